package web

import (
	"bytes"
	"crypto/rand"
	"crypto/subtle"
	"embed"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"net"
	"net/http"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"github.com/klauspost/compress/gzhttp"

	"trapweir/draw"
	"trapweir/engine"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/report"
	"trapweir/shelf"
)

//go:embed page
var pageFiles embed.FS

// Options of a server.
type Options struct {
	Folder string // where the jobs are
	First  string // the job to open first, "" for the list
	// Token is asked for when it is not empty: in the first address as ?token=, then as a
	// cookie. It is needed as soon as others than this machine can reach the page.
	Token string
	// Hosts are the names and addresses, without port, under which the page may be called.
	Hosts []string
	// Drawing makes the sheet that is worked on, "riser" or "plan" of a level; Plans lists the
	// levels that have a plan; Pages makes those of a view (riser, set, order
	// ...), and File a file to take away; the command hands them in, so that this package
	// knows no views and no formats. Views are those that the page offers by name.
	Drawing func(r *engine.Result, what, level string) Sheet
	Plans   func(r *engine.Result) []string
	Pages   func(r *engine.Result, what, of, level string) ([]string, error)
	File    func(r *engine.Result, out string) (data []byte, mime string, err error)
	Views   []View
	// Fix lists proposals for a job's findings; Start writes a new job from fixtures.
	Fix   func(d engine.Data, name string, text []byte) (any, error)
	Start func(d engine.Data, title, code string, fixtures []string) ([]byte, error)
}

// Sheet is a drawing to work on: its SVG, where it can be taken hold of, and the part of it
// where the pipes are.
type Sheet struct {
	SVG   []byte
	Grips draw.Grips
	Pipes draw.Rect
}

// View is a drawing that can be looked at.
type View struct {
	Name  string `json:"name"`
	Title string `json:"title"`
}

// Server answers the page's calls.
type Server struct {
	opt   Options
	store *store
	watch *watcher
	mu    sync.Mutex
	read  map[string]engine.Data // books, by what was asked of them
	done  []*solution            // what was solved last, newest first
}

// A solution is a solved text. Views and reasons are asked of it more than once, one after
// the other: what is asked of a result may make words as it goes.
type solution struct {
	key string
	mu  sync.Mutex
	res *engine.Result
}

// solutionsKept bounds how many solved texts are kept in memory.
const solutionsKept = 4

// New makes a server for a folder of jobs.
func New(opt Options) *Server {
	s := &Server{opt: opt, store: &store{dir: opt.Folder}, read: map[string]engine.Data{}}
	s.watch = newWatcher(s.store)
	return s
}

// NewToken makes a token that cannot be guessed.
func NewToken() string {
	b := make([]byte, 16)
	_, _ = rand.Read(b) // never fails
	return hex.EncodeToString(b)
}

// Close stops watching the folder, and returns when all that was taken is saved.
func (s *Server) Close() {
	s.watch.stop()
	s.store.settle()
}

// maxBody bounds what a call may send.
const maxBody = maxJob + 64<<10

// Handler is the whole of the server.
func (s *Server) Handler() http.Handler {
	mux := http.NewServeMux()
	page, _ := fs.Sub(pageFiles, "page") // embedded: it is there
	mux.Handle("GET /", http.FileServerFS(page))
	mux.HandleFunc("GET /font/{weight}", typeface)
	mux.HandleFunc("GET /ink.css", inks)
	mux.HandleFunc("POST /api/job/{name}/length", s.length)
	mux.HandleFunc("POST /api/job/{name}/step", s.step)
	mux.HandleFunc("POST /api/job/{name}/aside", s.aside)
	mux.HandleFunc("GET /api/forms", s.forms)
	mux.HandleFunc("POST /api/job/{name}/room", s.room)
	mux.HandleFunc("POST /api/job/{name}/copy", s.copy)
	mux.HandleFunc("GET /api/start", s.start)
	mux.HandleFunc("GET /api/jobs", s.jobs)
	mux.HandleFunc("POST /api/jobs", s.create)
	mux.HandleFunc("GET /api/job/{name}", s.job)
	mux.HandleFunc("PUT /api/job/{name}", s.save)
	mux.HandleFunc("POST /api/job/{name}/edit", s.edit)
	mux.HandleFunc("POST /api/solve", s.solve)
	mux.HandleFunc("GET /api/job/{name}/versions", s.versions)
	mux.HandleFunc("GET /api/job/{name}/versions/{rev}", s.version)
	mux.HandleFunc("GET /api/job/{name}/why/{thing}", s.why)
	mux.HandleFunc("GET /api/job/{name}/walk/{fixture...}", s.walk)
	mux.HandleFunc("GET /api/job/{name}/fix", s.fix)
	mux.HandleFunc("GET /api/job/{name}/pages/{what}", s.pages)
	mux.HandleFunc("GET /api/job/{name}/file/{out}", s.file)
	mux.HandleFunc("GET /api/kinds", s.kinds)
	mux.HandleFunc("GET /api/books", s.books)
	mux.HandleFunc("GET /api/events", s.events)
	var h http.Handler = mux
	h = http.NewCrossOriginProtection().Handler(h)
	h = s.guard(h)
	if s.opt.Token == "" {
		return h // nobody but this machine: packing would only cost time
	}
	return gzhttp.GzipHandler(h)
}

// policy lets the page load only what this server serves.
const policy = "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; font-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// guard checks host, token and size before anything else looks at a request.
func (s *Server) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		if strings.HasPrefix(r.URL.Path, "/api/") {
			h.Set("Cache-Control", "no-store")
		}
		if !s.hostOK(r.Host) {
			// Another name that resolves to this machine must not reach the jobs.
			fail(w, http.StatusForbidden, "this page is served under "+strings.Join(s.opt.Hosts, ", ")+" only")
			return
		}
		if s.opt.Token != "" && !s.tokenOK(w, r) {
			fail(w, http.StatusForbidden, "open the page by the address that was printed: it holds a token")
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, maxBody)
		next.ServeHTTP(w, r)
	})
}

func (s *Server) hostOK(hostport string) bool {
	host := hostport
	if h, _, err := net.SplitHostPort(hostport); err == nil {
		host = h
	}
	host = strings.Trim(host, "[]")
	for _, ok := range s.opt.Hosts {
		if strings.EqualFold(host, ok) {
			return true
		}
	}
	return false
}

const cookie = "trapweir"

func (s *Server) tokenOK(w http.ResponseWriter, r *http.Request) bool {
	same := func(t string) bool { return subtle.ConstantTimeCompare([]byte(t), []byte(s.opt.Token)) == 1 }
	if c, err := r.Cookie(cookie); err == nil && same(c.Value) {
		return true
	}
	if t := r.URL.Query().Get("token"); t != "" && same(t) {
		http.SetCookie(w, &http.Cookie{Name: cookie, Value: s.opt.Token, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
		return true
	}
	return false
}

func fail(w http.ResponseWriter, status int, words string) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(map[string]string{"error": words})
}

func answer(w http.ResponseWriter, v any) { answerStatus(w, http.StatusOK, v) }

func answerStatus(w http.ResponseWriter, status int, v any) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	_ = e.Encode(v) // the reader has gone; there is nobody to tell
}

// trouble turns an error into a status and words.
func trouble(w http.ResponseWriter, err error) {
	status := http.StatusInternalServerError
	var big *http.MaxBytesError
	switch {
	case errors.Is(err, errNoJob), errors.Is(err, errNoStep):
		status = http.StatusNotFound
	case errors.Is(err, errBadName), errors.Is(err, errBody):
		status = http.StatusBadRequest
	case errors.Is(err, errConflict), errors.Is(err, errThere):
		status = http.StatusConflict
	case errors.As(err, &big):
		status = http.StatusRequestEntityTooLarge
	}
	fail(w, status, err.Error())
}

var errBody = errors.New("the call's body is not what is expected")

func readBody(r *http.Request, into any) error {
	d := json.NewDecoder(r.Body)
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		var big *http.MaxBytesError
		if errors.As(err, &big) {
			return err
		}
		return errors.Join(errBody, err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return errBody
	}
	return nil
}

// State is a job as the page shows it.
type State struct {
	Name   string            `json:"name"`
	Rev    string            `json:"rev"`
	Text   string            `json:"text"`
	Result report.Doc        `json:"result"`
	Said   []diag.Diagnostic `json:"said,omitempty"` // what an edit had to say
	// Written is the file key by key; Answers are the keys that would settle the questions
	// among the findings.
	Written Written  `json:"written"`
	Answers []Answer `json:"answers"`
	Spare   string   `json:"spare,omitempty"` // what the pipe at the outlet can still take
	Plans   []string `json:"plans"`           // the levels that have a plan
	Undo    bool     `json:"undo"`
	Redo    bool     `json:"redo"`
	Later   bool     `json:"later,omitempty"` // the drawing comes apart: it takes its time
	Drawing
}

// Drawing is the sheet that is worked on.
type Drawing struct {
	SVG   string `json:"svg"`
	View  string `json:"view"` // "riser" or "plan"
	Level string `json:"level,omitempty"`
	Holds []Hold `json:"holds"`
	Ways  []Way  `json:"ways"`
	// Pipes is where the pipes and their labels are: x, y, width and height.
	Pipes [4]float64 `json:"pipes"`
}

// look is what a page wants to see of a job.
type look struct{ view, level string }

func lookOf(r *http.Request) look {
	q := r.URL.Query()
	if q.Get("view") == "plan" {
		return look{"plan", q.Get("level")}
	}
	return look{view: "riser"}
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
	o := &solution{key: key, res: engine.Run(d, engine.Input{Name: name + suffix, Text: text, Code: code})}
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

// state solves a text. later leaves the drawing of a large job out, to be sent apart.
func (s *Server) state(name, rev string, text []byte, code string, see look, later bool) (State, error) {
	file := make(chan Written, 1)
	go func() { file <- written(text) }() // beside the engine
	o, _, err := s.run(name, text, code)
	w := <-file
	if err != nil {
		return State{}, err
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	r := o.res
	st := State{Name: name, Rev: rev, Text: string(text), Result: report.Document(r), Written: w, Plans: []string{}}
	if r.Job == nil {
		st.Written = nothingWritten()
	}
	st.Answers = answers(st.Result.Findings, st.Written)
	if r.Solved() {
		st.Spare = r.Sizes.Explain(r.Net.Outlet).Spare
		if s.opt.Plans != nil {
			st.Plans = s.opt.Plans(r)
		}
	}
	if later && r.Solved() && len(r.Net.Segs) > largeJob {
		st.Later = true
		st.Drawing = Drawing{View: see.view, Level: see.level, Holds: []Hold{}, Ways: []Way{}}
	} else {
		st.Drawing = s.drawing(r, see)
	}
	if rev != "" {
		st.Undo, st.Redo = s.store.steps(name)
	}
	return st, nil
}

// drawing draws a result, as far as it is solved. A plan that there is none of is the riser.
func (s *Server) drawing(r *engine.Result, see look) Drawing {
	d := Drawing{View: see.view, Level: see.level, Holds: []Hold{}, Ways: []Way{}}
	if !r.Solved() || s.opt.Drawing == nil {
		return d
	}
	if d.View == "plan" && (s.opt.Plans == nil || !slices.Contains(s.opt.Plans(r), d.Level)) {
		d.View, d.Level = "riser", ""
	}
	sheet := s.opt.Drawing(r, d.View, d.Level)
	d.SVG = string(sheet.SVG)
	d.Holds, d.Ways = holds(r.Job, sheet.Grips)
	d.Pipes = [4]float64{sheet.Pipes.X0, sheet.Pipes.Y0, sheet.Pipes.W(), sheet.Pipes.H()}
	return d
}

func (s *Server) sendState(w http.ResponseWriter, status int, name, rev string, text []byte, code string, see look) {
	st, err := s.state(name, rev, text, code, see, false)
	if err != nil {
		trouble(w, err)
		return
	}
	answerStatus(w, status, st)
}

// largeJob is how many pieces of pipe make a job whose numbers do not wait for its drawing.
const largeJob = 400

func (s *Server) start(w http.ResponseWriter, _ *http.Request) {
	answer(w, map[string]any{"first": s.opt.First, "folder": s.opt.Folder, "caution": report.Caution, "views": s.opt.Views})
}

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
		Floors            int // of an empty pad, with no fixtures
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
		text = emptyPad(in.Title, in.Code, in.Floors)
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
	s.sendState(w, http.StatusCreated, in.Name, rev, text, "", lookOf(r))
}

// emptyPad is a job to begin with: levels, a line to the street and a building drain. The
// heights are usual ones (common practice) to be set to the house.
func emptyPad(title, code string, floors int) []byte {
	text := []byte("job: title\ncode: code\n\nlevels:\n  first: {floor: 0'}\n\noutlet: {to: public sewer}\n\nruns:\n  sewer: {joins: outlet, legs: [E]}\n  main:  {joins: sewer, legs: [E]}\n")
	edits := []job.Edit{job.Set(title, "job"), job.Set(code, "code")}
	if code == "" {
		edits[1] = job.Remove("code")
	}
	for i, name := range []string{"second", "third"} {
		if floors > i+1 {
			edits = append(edits, job.Add("levels", name, job.Field{Key: "floor", Value: []string{"9' 1\"", "18' 2\""}[i]}))
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
	s.sendState(w, http.StatusOK, name, rev, text, r.URL.Query().Get("code"), lookOf(r))
}

func (s *Server) save(w http.ResponseWriter, r *http.Request) {
	var in struct{ Rev, Text string }
	if err := readBody(r, &in); err != nil {
		trouble(w, err)
		return
	}
	s.put(w, r, in.Rev, []byte(in.Text), nil, 0)
}

// room lays a new room out, and copy copies one.
func (s *Server) room(w http.ResponseWriter, r *http.Request) {
	var in struct {
		Rev   string
		Place place
	}
	if err := readBody(r, &in); err != nil {
		trouble(w, err)
		return
	}
	s.apply(w, r, in.Rev, func([]byte) ([]job.Edit, error) { return newRoom(in.Place) })
}

func (s *Server) copy(w http.ResponseWriter, r *http.Request) {
	var in struct {
		Rev   string
		Place place
	}
	if err := readBody(r, &in); err != nil {
		trouble(w, err)
		return
	}
	s.apply(w, r, in.Rev, func(text []byte) ([]job.Edit, error) {
		if j, _ := job.Read(r.PathValue("name")+suffix, text); j == nil {
			return nil, errors.New("the file cannot be read yet")
		}
		return copyRoom(written(text), in.Place)
	})
}

func (s *Server) forms(w http.ResponseWriter, _ *http.Request) {
	answer(w, map[string]any{"keys": forms(), "rooms": rooms})
}

func (s *Server) solve(w http.ResponseWriter, r *http.Request) {
	var in struct{ Name, Text, Code string }
	if err := readBody(r, &in); err != nil {
		trouble(w, err)
		return
	}
	s.sendState(w, http.StatusOK, in.Name, "", []byte(in.Text), in.Code, lookOf(r))
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
		answer(w, []any{})
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

func (s *Server) kinds(w http.ResponseWriter, _ *http.Request) {
	d, _ := shelf.Of([]string{shelf.Default()})
	type kind struct {
		Name   string   `json:"name"`
		Plural string   `json:"plural"`
		Also   []string `json:"also"`
		Tag    string   `json:"tag"`
	}
	out := []kind{}
	for _, k := range d.Catalog.Kinds() {
		if !k.Group {
			out = append(out, kind{k.Name, k.Plural, k.Also, k.Tag})
		}
	}
	answer(w, out)
}

func (s *Server) books(w http.ResponseWriter, _ *http.Request) {
	d, _ := shelf.All()
	answer(w, report.BookList(d.Books))
}
