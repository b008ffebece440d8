package web

import (
	"errors"
	"net/http"
	"strings"

	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/unit"
	"trapweir/shelf"
)

func (s *Server) jobs(w http.ResponseWriter, _ *http.Request) {
	list, err := s.store.list()
	if err != nil {
		trouble(w, err)
		return
	}
	answer(w, map[string]any{"folder": s.opt.Folder, "jobs": list})
}

func (s *Server) create(w http.ResponseWriter, r *http.Request) {
	var in struct {
		Name, Title, Code string
		Fixtures          []string
		Floors            int    // of an empty pad, with no fixtures; so is what follows
		Under             string // what is under the first floor
		Metric            bool
		Drain, Street     string // lengths of the building drain and of the line to the street
		Text              string
	}
	if err := readBody(r, &in); err != nil {
		trouble(w, err)
		return
	}
	text := []byte(in.Text)
	if in.Text == "" && in.Title == "" {
		in.Title = in.Name
	}
	if in.Text == "" && len(in.Fixtures) == 0 {
		for _, l := range []string{in.Drain, in.Street} {
			if _, err := unit.ParseLength(l); l != "" && err != nil {
				fail(w, http.StatusBadRequest, err.Error())
				return
			}
		}
		text = pad{in.Title, in.Code, in.Floors, in.Under, in.Metric, in.Drain, in.Street}.text()
	} else if in.Text == "" {
		d, ds := shelf.All()
		if diag.Count(ds, diag.Error) > 0 || s.opt.Start == nil {
			fail(w, http.StatusInternalServerError, "the books cannot be read")
			return
		}
		var err error
		if text, err = s.opt.Start(d, in.Title, in.Code, in.Fixtures); err != nil {
			fail(w, http.StatusBadRequest, err.Error())
			return
		}
	}
	rev, err := s.store.create(in.Name, text)
	if err != nil {
		trouble(w, err)
		return
	}
	s.watch.own(in.Name, rev)
	s.sendState(w, r, http.StatusCreated, in.Name, rev, text, "")
}

// A pad is what an empty job is begun with.
type pad struct {
	title, code   string
	floors        int
	under         string // what is under the first floor: "crawl space", "basement", "slab"; "" not said
	metric        bool
	drain, street string // lengths of the building drain and of the line to the street, "" not known
}

// text is a job to begin with: levels, a line to the street and a building drain. The
// heights are usual ones (common practice) to be set to the house.
func (p pad) text() []byte {
	text := []byte("job: title\ncode: code\n\nlevels:\n  first: {floor: 0'}\n\noutlet: {to: public sewer}\n\nruns:\n  sewer: {joins: outlet, legs: [E]}\n  main:  {joins: sewer, legs: [E]}\n")
	edits := []job.Edit{job.Set(p.title, "job"), job.Set(p.code, "code")}
	if p.code == "" {
		edits[1] = job.Remove("code")
	}
	slope := quarter
	if p.metric {
		slope = "2%"
		text = []byte(strings.Replace(string(text), "code: code\n", "code: code\nunits: metric\n", 1))
		edits = append(edits, job.Set("0 m", "levels", "first", "floor"))
	}
	for i, name := range []string{"second", "third"} {
		floor := []string{"9' 1\"", "18' 2\""}[i]
		if p.metric {
			floor = []string{"2770 mm", "5540 mm"}[i]
		}
		if p.floors > i+1 {
			edits = append(edits, job.Add("levels", name, job.Field{Key: "floor", Value: floor}))
		}
	}
	if p.under != "" {
		lies := p.under
		if lies == "slab" {
			lies = "under slab"
		}
		edits = append(edits, job.Set(p.under, "levels", "first", "under"), job.Set("under ground", "runs", "sewer", "place"), job.Set(lies, "runs", "main", "place"))
	}
	for _, x := range []struct{ run, length string }{{"sewer", p.street}, {"main", p.drain}} {
		if x.length != "" {
			edits = append(edits, job.SetList([]string{"E " + x.length}, "runs", x.run, "legs"), job.Set(slope, "runs", x.run, "slope"))
		}
	}
	text, _ = job.Apply(text, edits)
	return text
}

func (s *Server) job(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("name")
	text, rev, err := s.store.read(name)
	if err != nil {
		trouble(w, err)
		return
	}
	s.sendState(w, r, http.StatusOK, name, rev, text, r.URL.Query().Get("code"))
}

func (s *Server) save(w http.ResponseWriter, r *http.Request) {
	var in struct{ Rev, Text string }
	if err := readBody(r, &in); err != nil {
		trouble(w, err)
		return
	}
	s.put(w, r, in.Rev, []byte(in.Text), nil, 0)
}

// room makes the edits that lay a new room out, or copy one.
func (s *Server) room(lay func(j *job.Job, text []byte, in place) ([]job.Edit, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		var in struct {
			Rev   string
			Place place
		}
		if err := readBody(r, &in); err != nil {
			trouble(w, err)
			return
		}
		s.apply(w, r, in.Rev, func(text []byte) ([]job.Edit, error) {
			j, _ := job.Read(r.PathValue("name")+suffix, text)
			if j == nil {
				return nil, errors.New("the file cannot be read yet")
			}
			return lay(j, text, in.Place)
		})
	}
}

func (s *Server) solve(w http.ResponseWriter, r *http.Request) {
	var in struct{ Name, Text, Code string }
	if err := readBody(r, &in); err != nil {
		trouble(w, err)
		return
	}
	s.sendState(w, r, http.StatusOK, in.Name, "", []byte(in.Text), in.Code)
}

func (s *Server) versions(w http.ResponseWriter, r *http.Request) {
	vs, err := s.store.versions(r.PathValue("name"))
	if err != nil {
		trouble(w, err)
		return
	}
	answer(w, map[string]any{"versions": vs})
}

func (s *Server) version(w http.ResponseWriter, r *http.Request) {
	text, err := s.store.old(r.PathValue("name"), r.PathValue("rev"))
	if err != nil {
		trouble(w, err)
		return
	}
	answer(w, map[string]string{"text": string(text)})
}
