package web

import (
	"encoding/json"
	"errors"
	"net/http"

	"trapweir/engine/diag"
	"trapweir/engine/job"
)

// lines is the answer to a change that comes in lines: State as soon as it is solved, then
// {"drawing", "rev"} of a large job, then {"saved": rev} when the disk has it, or {"error",
// "status"} when it does not get it.
const lines = "application/x-ndjson"

// put takes a text over a rev. A conflict answers 409 with what is in the file now, so that
// the page can show both and nothing is lost. The disk and the engine work at the same time;
// a page that reads lines sees the change before the disk has it, and is told when it has.
func (s *Server) put(w http.ResponseWriter, r *http.Request, rev string, text []byte, said []diag.Diagnostic, step int) {
	name, see := r.PathValue("name"), lookOf(r)
	conflict := func() {
		now, have, err := s.store.read(name)
		if err != nil {
			trouble(w, err)
			return
		}
		s.sendState(w, r, http.StatusConflict, name, have, now, "")
	}
	v, err := s.store.begin(name, rev, text, step)
	if errors.Is(err, errConflict) {
		conflict()
		return
	}
	if err != nil {
		trouble(w, err)
		return
	}
	go func() {
		if v.wait() == nil {
			s.watch.own(name, v.rev)
		}
	}()
	inLines := r.Header.Get("Accept") == lines
	st, solved := s.state(r.Context(), name, v.rev, text, "", see, inLines)
	st.Said = said
	if !inLines || solved != nil {
		switch err := v.wait(); {
		case errors.Is(err, errConflict):
			conflict()
		case err != nil:
			trouble(w, err)
		case solved != nil:
			trouble(w, solved)
		default:
			answer(w, st)
		}
		return
	}
	w.Header().Set("Content-Type", lines)
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	flush := http.NewResponseController(w).Flush
	_ = e.Encode(st)
	_ = flush()
	if st.Later {
		// A drawing that is out of date already is not made.
		if _, now, err := s.store.read(name); err == nil && now == v.rev && r.Context().Err() == nil {
			if o, _, err := s.run(name, text, ""); err == nil {
				o.mu.Lock()
				d := s.drawing(name, o.res, see)
				o.mu.Unlock()
				_ = e.Encode(map[string]any{"drawing": d, "rev": v.rev})
				_ = flush()
			}
		}
	}
	switch err := v.wait(); {
	case errors.Is(err, errConflict):
		_ = e.Encode(map[string]any{"error": err.Error(), "status": http.StatusConflict})
	case err != nil:
		_ = e.Encode(map[string]any{"error": err.Error(), "status": http.StatusInternalServerError})
	default:
		_ = e.Encode(map[string]any{"saved": v.rev})
	}
}

// step goes one text back or forth in the history.
func (s *Server) step(w http.ResponseWriter, r *http.Request) {
	var in struct {
		Rev string
		By  int
	}
	if err := readBody(r, &in); err != nil {
		trouble(w, err)
		return
	}
	text, err := s.store.stepped(r.PathValue("name"), in.By)
	if err != nil {
		trouble(w, err)
		return
	}
	s.put(w, r, in.Rev, text, nil, in.By)
}

// aside keeps a text that lost against another, one step of undo away.
func (s *Server) aside(w http.ResponseWriter, r *http.Request) {
	var in struct{ Text string }
	if err := readBody(r, &in); err != nil {
		trouble(w, err)
		return
	}
	name := r.PathValue("name")
	text, rev, err := s.store.read(name)
	if err == nil {
		err = s.store.aside(name, []byte(in.Text))
	}
	if err != nil {
		trouble(w, err)
		return
	}
	s.sendState(w, r, http.StatusOK, name, rev, text, "")
}

func (s *Server) edit(w http.ResponseWriter, r *http.Request) {
	var in struct {
		Rev   string
		Edits []job.Edit
	}
	if err := readBody(r, &in); err != nil {
		trouble(w, err)
		return
	}
	s.apply(w, r, in.Rev, func([]byte) ([]job.Edit, error) { return in.Edits, nil })
}

// apply makes edits in the text that has the rev and saves it.
func (s *Server) apply(w http.ResponseWriter, r *http.Request, rev string, make func(text []byte) ([]job.Edit, error)) {
	name := r.PathValue("name")
	text, have, err := s.store.read(name)
	if err != nil {
		trouble(w, err)
		return
	}
	if have != rev {
		s.sendState(w, r, http.StatusConflict, name, have, text, "")
		return
	}
	edits, err := make(text)
	if err != nil {
		fail(w, http.StatusUnprocessableEntity, err.Error())
		return
	}
	changed, said := job.Apply(text, edits)
	for i := range said {
		if said[i].Severity == diag.Error {
			answerStatus(w, http.StatusUnprocessableEntity, map[string]any{"error": said[i].Message, "said": said})
			return
		}
	}
	s.put(w, r, rev, changed, said, 0)
}
