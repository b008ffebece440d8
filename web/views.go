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

// find answers with what a solved job has of what a path names.
func (s *Server) find(none string, of func(res *engine.Result, r *http.Request) (any, bool)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		res, _, _, free := s.solved(w, r)
		if res == nil {
			return
		}
		found, ok := of(res, r)
		free()
		if !ok {
			fail(w, http.StatusNotFound, none)
			return
		}
		answer(w, found)
	}
}

func why(res *engine.Result, r *http.Request) (any, bool) {
	return report.WhyDoc(res, r.PathValue("thing"))
}

func walk(res *engine.Result, r *http.Request) (any, bool) {
	steps, ok := report.Steps(res, r.PathValue("fixture"))
	return map[string]any{"steps": steps}, ok
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

// onPaper hands the job that a path names to one who makes sheets or files of it: a result of
// his own, so that nobody waits for the one that is worked on. send answers with what is made.
func (s *Server) onPaper(w http.ResponseWriter, r *http.Request, make func(res *engine.Result) (send func(), err error)) {
	res, d, text, free := s.solved(w, r)
	if res == nil {
		return
	}
	says := tooLarge(res)
	free()
	if says != "" {
		fail(w, http.StatusUnprocessableEntity, says)
		return
	}
	send, err := func() (func(), error) {
		s.paper.Lock()
		defer s.paper.Unlock()
		if err := r.Context().Err(); err != nil {
			return nil, err // nobody waits for it by now
		}
		return make(engine.Run(d, engine.Input{Name: r.PathValue("name") + suffix, Text: text, Code: r.URL.Query().Get("code")}))
	}()
	if err != nil {
		fail(w, http.StatusUnprocessableEntity, err.Error())
		return
	}
	send()
}

func (s *Server) pages(w http.ResponseWriter, r *http.Request) {
	s.onPaper(w, r, func(res *engine.Result) (func(), error) {
		q := r.URL.Query()
		pages, err := s.opt.Pages(res, r.PathValue("what"), q.Get("of"), q.Get("level"))
		return func() { answer(w, map[string]any{"pages": pages}) }, err
	})
}

func (s *Server) file(w http.ResponseWriter, r *http.Request) {
	s.onPaper(w, r, func(res *engine.Result) (func(), error) {
		q := r.URL.Query()
		data, mime, err := s.opt.File(res, r.PathValue("out"), q.Get("of"), q.Get("level"))
		return func() {
			w.Header().Set("Content-Type", mime)
			w.Header().Set("Content-Disposition", `attachment; filename="`+plainName(r.PathValue("name"))+"-"+plainName(r.PathValue("out"))+`"`)
			_, _ = w.Write(data)
		}, err
	})
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
