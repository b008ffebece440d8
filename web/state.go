package web

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/http"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"trapweir/draw"
	"trapweir/engine"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/report"
	"trapweir/shelf"
)

// A solution is a solved text. Views and reasons are asked of it more than once, one after
// the other: what is asked of a result may make words as it goes.
type solution struct {
	key  string
	file Written // what the text says, key by key
	mu   sync.Mutex
	res  *engine.Result
}

// solutionsKept bounds how many solved texts are kept in memory.
const solutionsKept = 4

// State is a job as the page shows it.
type State struct {
	Name   string            `json:"name"`
	Rev    string            `json:"rev"`
	Text   string            `json:"text"`
	Result Shown             `json:"result"`
	Said   []diag.Diagnostic `json:"said,omitempty"` // what an edit had to say
	// Written is the file key by key; Answers are the keys that would settle the questions
	// among the findings.
	Written Written  `json:"written"`
	Answers []Answer `json:"answers"`
	Spare   string   `json:"spare,omitempty"` // what the pipe at the outlet can still take
	Plans   []string `json:"plans"`           // the levels that have a plan
	Lowest  string   `json:"lowest"`          // the level whose floor is the lowest, "" for none
	Undo    bool     `json:"undo"`
	Redo    bool     `json:"redo"`
	Later   bool     `json:"later,omitempty"` // the drawing comes apart: it takes its time
	Drawing
}

// Drawing is the sheet that is worked on.
type Drawing struct {
	SVG   Parts  `json:"svg"`
	Says  string `json:"says,omitempty"` // why nothing is drawn of a job that is solved
	View  string `json:"view"`           // "riser" or "plan"
	Level string `json:"level,omitempty"`
	// Wordless: the words are left out, as the page asked.
	Wordless bool   `json:"wordless,omitempty"`
	Holds    []Hold `json:"holds"`
	Ways     []Way  `json:"ways"`
	// Pipes is where the pipes and their labels are: x, y, width and height.
	Pipes [4]float64 `json:"pipes"`
}

// look is what a page wants to see of a job, and the key of the drawing that it has.
type look struct {
	view, level, has string
	wordless         bool
}

func lookOf(r *http.Request) look {
	q := r.URL.Query()
	if q.Get("view") == "plan" {
		return look{view: "plan", level: q.Get("level"), has: hasOf(r)}
	}
	return look{view: "riser", has: hasOf(r), wordless: q.Get("words") == "no"}
}

// run solves a text as the named job, with the layer files that lie in the folder. What
// was solved already is given again.
func (s *Server) run(name string, text []byte, code string) (*solution, engine.Data, error) {
	d, books, err := s.booksFor(text, code)
	if err != nil {
		return nil, d, err
	}
	key := name + "\x00" + books + revOf(text)
	s.mu.Lock()
	for i, o := range s.done {
		if o.key == key {
			copy(s.done[1:i+1], s.done[:i])
			s.done[0] = o
			s.mu.Unlock()
			return o, d, nil
		}
	}
	s.mu.Unlock()
	file := make(chan Written, 1)
	go func() { file <- written(text) }() // beside the engine
	o := &solution{key: key, res: engine.Run(d, engine.Input{Name: name + suffix, Text: text, Code: code})}
	if o.file = <-file; o.res.Job == nil {
		o.file = nothingWritten()
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.done = append([]*solution{o}, s.done[:min(len(s.done), solutionsKept-1)]...)
	return o, d, nil
}

// booksFor reads the books that a text needs, once for all texts that name the same ones;
// key names them.
func (s *Server) booksFor(text []byte, code string) (d engine.Data, key string, err error) {
	own := s.layers(text)
	said := []byte(code + "\x00" + strings.Join(shelf.With(text), ",") + "\x00")
	for line := range bytes.Lines(text) {
		if bytes.HasPrefix(line, []byte("code")) {
			said = append(said, line...)
		}
	}
	for _, f := range own {
		said = append(append(append(said, 0), f.Name...), f.Text...)
	}
	key = revOf(said)
	s.mu.Lock()
	d, ok := s.read[key]
	s.mu.Unlock()
	if ok {
		return d, key, nil
	}
	d, ds := shelf.For(text, code, own...)
	if diag.Count(ds, diag.Error) > 0 {
		return d, "", errors.New(ds[0].Message)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.read) >= booksKept {
		clear(s.read)
	}
	s.read[key] = d
	return d, key, nil
}

// booksKept bounds how many sets of books are kept in memory; one is about a megabyte.
const booksKept = 12

// layers reads the user's own amendments that a job names and that lie beside it.
func (s *Server) layers(text []byte) []codebook.File {
	var out []codebook.File
	for _, w := range shelf.With(text) {
		file := strings.TrimSuffix(w, ".yaml")
		if _, err := s.store.path(file); err != nil {
			continue
		}
		if b, err := readSmall(filepath.Join(s.opt.Folder, file+".yaml")); err == nil {
			out = append(out, codebook.File{Name: file + ".yaml", Text: b})
		}
	}
	return out
}

// state solves a text for one who asks within ctx. later leaves the drawing of a large job
// out, to be sent apart.
func (s *Server) state(ctx context.Context, name, rev string, text []byte, code string, see look, later bool) (State, error) {
	o, _, err := s.run(name, text, code)
	if err != nil {
		return State{}, err
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return State{}, err // nobody waits for it by now
	}
	r := o.res
	st := State{Name: name, Rev: rev, Text: string(text), Result: shown(report.Document(r)), Written: o.file, Plans: []string{}}
	if r.Job != nil {
		st.Lowest = lowest(r.Job)
	}
	st.Answers = answers(st.Result.Findings, st.Written)
	if r.Solved() {
		st.Spare = r.Sizes.Explain(r.Net.Outlet).Spare
		if s.opt.Plans != nil {
			st.Plans = s.opt.Plans(r)
		}
	}
	if later && r.Solved() && len(r.Net.Segs) > largeJob && len(r.Net.Segs) <= mostDrawn {
		st.Later = true
		st.Drawing = Drawing{View: see.view, Level: see.level, Holds: []Hold{}, Ways: []Way{}}
	} else {
		st.Drawing = s.drawing(name, r, see)
	}
	if rev != "" {
		st.Undo, st.Redo = s.store.steps(name)
	}
	return st, nil
}

// drawing draws a result, as far as it is solved. A plan that there is none of is the riser.
func (s *Server) drawing(name string, r *engine.Result, see look) Drawing {
	d := Drawing{View: see.view, Level: see.level, Holds: []Hold{}, Ways: []Way{}}
	if !r.Solved() || s.opt.Drawing == nil {
		return d
	}
	if d.Says = tooLarge(r); d.Says != "" {
		return d
	}
	if d.View == "plan" && (s.opt.Plans == nil || !slices.Contains(s.opt.Plans(r), d.Level)) {
		d.View, d.Level = "riser", ""
	}
	s.mu.Lock()
	last := s.seen[name]
	s.mu.Unlock()
	d.Wordless = see.wordless && d.View == "riser"
	sheet := s.opt.Drawing(r, Look{View: d.View, Level: d.Level, Last: last, Wordless: d.Wordless})
	if sheet.Seen != (draw.Seen{}) {
		s.mu.Lock()
		s.seen[name] = sheet.Seen
		s.mu.Unlock()
	}
	d.SVG = s.drawn(apart(sheet.SVG), see.has)
	d.Holds, d.Ways = holds(r.Job, sheet.Grips)
	d.Pipes = [4]float64{sheet.Pipes.X0, sheet.Pipes.Y0, sheet.Pipes.W(), sheet.Pipes.H()}
	return d
}

func (s *Server) sendState(w http.ResponseWriter, r *http.Request, status int, name, rev string, text []byte, code string) {
	st, err := s.state(r.Context(), name, rev, text, code, lookOf(r), false)
	if err != nil {
		trouble(w, err)
		return
	}
	answerStatus(w, status, st)
}

// largeJob is how many pieces of pipe make a job whose numbers do not wait for its drawing.
const largeJob = 400

// mostDrawn is how many pieces of pipe the page draws: some four hundred baths. Where all of
// more meet at one place, it would be busy with them for minutes.
const mostDrawn = 4000

// tooLarge says that the page does not draw a solved job, "" if it does.
func tooLarge(r *engine.Result) string {
	if n := len(r.Net.Segs); n > mostDrawn {
		return fmt.Sprintf("This job has %d pieces of pipe, and the page draws up to %d. It is sized and checked like any; the commands draw, sheets and order take it whole.", n, mostDrawn)
	}
	return ""
}
