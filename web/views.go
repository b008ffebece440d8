package web

import (
	"net/http"
	"strings"

	"trapweir/engine"
	"trapweir/report"
)

// solved reads and solves the job that a path names; it has answered when it gives nil. The
// caller holds the solution until it calls free.
func (s *Server) solved(w http.ResponseWriter, r *http.Request) (res *engine.Result, d engine.Data, text []byte, free func()) {
	name := r.PathValue("name")
	text, _, err := s.store.read(name)
	if err != nil {
		trouble(w, err)
		return nil, d, nil, nil
	}
	o, d, err := s.run(name, text, r.URL.Query().Get("code"))
	if err != nil {
		trouble(w, err)
		return nil, d, nil, nil
	}
	o.mu.Lock()
	if res = o.res; !res.Solved() {
		o.mu.Unlock()
		words := "the job cannot be read yet"
		if len(res.Faults) > 0 {
			words = res.Faults[0].Message
		}
		fail(w, http.StatusUnprocessableEntity, words)
		return nil, d, nil, nil
	}
	return res, d, text, o.mu.Unlock
}

func (s *Server) why(w http.ResponseWriter, r *http.Request) {
	res, _, _, free := s.solved(w, r)
	if res == nil {
		return
	}
	p, ok := report.WhyDoc(res, r.PathValue("thing"))
	free()
	if !ok {
		fail(w, http.StatusNotFound, "the job has no run or vent of that name")
		return
	}
	answer(w, p)
}

func (s *Server) walk(w http.ResponseWriter, r *http.Request) {
	res, _, _, free := s.solved(w, r)
	if res == nil {
		return
	}
	steps, ok := report.Steps(res, r.PathValue("fixture"))
	free()
	if !ok {
		fail(w, http.StatusNotFound, "the job has no run of that name")
		return
	}
	answer(w, map[string]any{"steps": steps})
}

func (s *Server) fix(w http.ResponseWriter, r *http.Request) {
	res, d, text, free := s.solved(w, r)
	if res == nil {
		return
	}
	free() // proposals are tried on results of their own
	if s.opt.Fix == nil {
		answer(w, map[string]any{"changes": []any{}, "people": []any{}})
		return
	}
	v, err := s.opt.Fix(d, r.PathValue("name")+suffix, text)
	if err != nil {
		trouble(w, err)
		return
	}
	answer(w, v)
}

func (s *Server) pages(w http.ResponseWriter, r *http.Request) {
	res, _, _, free := s.solved(w, r)
	if res == nil {
		return
	}
	defer free()
	q := r.URL.Query()
	pages, err := s.opt.Pages(res, r.PathValue("what"), q.Get("of"), q.Get("level"))
	if err != nil {
		fail(w, http.StatusUnprocessableEntity, err.Error())
		return
	}
	answer(w, map[string]any{"pages": pages})
}

func (s *Server) file(w http.ResponseWriter, r *http.Request) {
	res, _, _, free := s.solved(w, r)
	if res == nil {
		return
	}
	defer free()
	data, mime, err := s.opt.File(res, r.PathValue("out"))
	if err != nil {
		fail(w, http.StatusUnprocessableEntity, err.Error())
		return
	}
	w.Header().Set("Content-Type", mime)
	w.Header().Set("Content-Disposition", `attachment; filename="`+plainName(r.PathValue("name"))+"-"+plainName(r.PathValue("out"))+`"`)
	_, _ = w.Write(data)
}

// plainName keeps what is safe in a header.
func plainName(s string) string {
	return strings.Map(func(r rune) rune {
		if r < 32 || r > 126 || strings.ContainsRune(`"\/`, r) {
			return '-'
		}
		return r
	}, s)
}
