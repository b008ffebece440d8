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
	"strings"
	"sync"

	"github.com/klauspost/compress/gzhttp"

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
	// Drawing makes the SVG that is worked on, Pages those of a view (riser, set, order
	// ...), and File a file to take away; the command hands them in, so that this package
	// knows no views and no formats. Views are those that the page offers by name.
	Drawing func(r *engine.Result) []byte
	Pages   func(r *engine.Result, what, of, level string) ([]string, error)
	File    func(r *engine.Result, out string) (data []byte, mime string, err error)
	Views   []View
	// Fix lists proposals for a job's findings; Start writes a new job from fixtures.
	Fix   func(d engine.Data, name string, text []byte) (any, error)
	Start func(d engine.Data, title, code string, fixtures []string) ([]byte, error)
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
}

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

// Close stops watching the folder.
func (s *Server) Close() { s.watch.stop() }

// maxBody bounds what a call may send.
const maxBody = maxJob + 64<<10

// Handler is the whole of the server.
func (s *Server) Handler() http.Handler {
	mux := http.NewServeMux()
	page, _ := fs.Sub(pageFiles, "page") // embedded: it is there
	mux.Handle("GET /", http.FileServerFS(page))
	mux.HandleFunc("GET /font/{weight}", typeface)
	mux.HandleFunc("GET /ink.css", inks)
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
	mux.HandleFunc("GET /api/job/{name}/riser", s.riser)
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
	case errors.Is(err, errNoJob):
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
	SVG    string            `json:"svg"`
	Said   []diag.Diagnostic `json:"said,omitempty"` // what an edit had to say
	// Written is the file key by key; Answers are the keys that would settle the questions
	// among the findings.
	Written Written  `json:"written"`
	Answers []Answer `json:"answers"`
	Spare   string   `json:"spare,omitempty"` // what the pipe at the outlet can still take
	Later   bool     `json:"later,omitempty"` // the drawing is to be asked for apart: it takes its time
}

// run solves a text as the named job, with the layer files that lie in the folder.
func (s *Server) run(name string, text []byte, code string) (*engine.Result, engine.Data, error) {
	d, err := s.booksFor(text, code)
	if err != nil {
		return nil, d, err
	}
	return engine.Run(d, engine.Input{Name: name + suffix, Text: text, Code: code}), d, nil
}

// booksFor reads the books that a text needs, once for all texts that name the same ones.
func (s *Server) booksFor(text []byte, code string) (engine.Data, error) {
	own := s.layers(text)
	key := []byte(code + "\x00" + strings.Join(shelf.With(text), ",") + "\x00")
	for line := range bytes.Lines(text) {
		if bytes.HasPrefix(line, []byte("code")) {
			key = append(key, line...)
		}
	}
	for _, f := range own {
		key = append(append(append(key, 0), f.Name...), f.Text...)
	}
	rev := revOf(key)
	s.mu.Lock()
	d, ok := s.read[rev]
	s.mu.Unlock()
	if ok {
		return d, nil
	}
	d, ds := shelf.For(text, code, own...)
	if diag.Count(ds, diag.Error) > 0 {
		return d, errors.New(ds[0].Message)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.read) >= booksKept {
		clear(s.read)
	}
	s.read[rev] = d
	return d, nil
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

// state solves a text. later leaves the drawing of a large job out, to be asked for apart.
func (s *Server) state(name, rev string, text []byte, code string, later bool) (State, error) {
	r, _, err := s.run(name, text, code)
	if err != nil {
		return State{}, err
	}
	st := State{Name: name, Rev: rev, Text: string(text), Result: report.Document(r)}
	if r.Job != nil {
		st.Written = written(text)
	} else {
		st.Written = Written{[]Entry{}, []Entry{}, []Entry{}, []Entry{}}
	}
	st.Answers = answers(st.Result.Findings, st.Written)
	if r.Solved() {
		st.Spare = r.Sizes.Explain(r.Net.Outlet).Spare
	}
	if later && r.Solved() && len(r.Net.Segs) > largeJob {
		st.Later = true
	} else if r.Solved() && s.opt.Drawing != nil {
		st.SVG = string(s.opt.Drawing(r))
	}
	return st, nil
}

func (s *Server) sendState(w http.ResponseWriter, status int, name, rev string, text []byte, code string, said []diag.Diagnostic) {
	st, err := s.state(name, rev, text, code, false)
	if err != nil {
		trouble(w, err)
		return
	}
	st.Said = said
	answerStatus(w, status, st)
}

// largeJob is how many pieces of pipe make a job whose numbers do not wait for its drawing.
const largeJob = 400

// riser draws a saved job that was answered without its drawing.
func (s *Server) riser(w http.ResponseWriter, r *http.Request) {
	text, rev, err := s.store.read(r.PathValue("name"))
	if err != nil {
		trouble(w, err)
		return
	}
	res, _, err := s.run(r.PathValue("name"), text, "")
	if err != nil {
		trouble(w, err)
		return
	}
	svg := ""
	if res.Solved() && s.opt.Drawing != nil {
		svg = string(s.opt.Drawing(res))
	}
	answer(w, map[string]string{"rev": rev, "svg": svg})
}

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
	s.sendState(w, http.StatusCreated, in.Name, rev, text, "", nil)
}

// emptyPad is a job to begin with: levels, a line to the street and a building drain. The
// heights are usual ones (common practice) to be set to the house.
func emptyPad(title, code string, floors int) []byte {
	text := []byte("job: title\ncode: code\n\nlevels:\n  first: {floor: 0'}\n\noutlet: {to: public sewer}\n\nruns:\n  sewer: {joins: outlet}\n  main:  {joins: sewer}\n")
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
	s.sendState(w, http.StatusOK, name, rev, text, r.URL.Query().Get("code"), nil)
}

func (s *Server) save(w http.ResponseWriter, r *http.Request) {
	var in struct{ Rev, Text string }
	if err := readBody(r, &in); err != nil {
		trouble(w, err)
		return
	}
	s.put(w, r.PathValue("name"), in.Rev, []byte(in.Text), nil)
}

// put saves a text over a rev. A conflict answers 409 with what is in the file now, so that
// the page can show both and nothing is lost.
func (s *Server) put(w http.ResponseWriter, name, rev string, text []byte, said []diag.Diagnostic) {
	type saved struct {
		rev string
		err error
	}
	done := make(chan saved, 1)
	go func() {
		next, err := s.store.save(name, rev, text)
		if err == nil {
			s.watch.own(name, next)
		}
		done <- saved{next, err}
	}()
	// The disk and the engine work at the same time.
	st, solved := s.state(name, "", text, "", true)
	is := <-done
	if errors.Is(is.err, errConflict) {
		now, have, err := s.store.read(name)
		if err != nil {
			trouble(w, err)
			return
		}
		s.sendState(w, http.StatusConflict, name, have, now, "", nil)
		return
	}
	if is.err != nil {
		trouble(w, is.err)
		return
	}
	if solved != nil {
		trouble(w, solved)
		return
	}
	st.Rev, st.Said = is.rev, said
	answer(w, st)
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
	s.apply(w, r.PathValue("name"), in.Rev, func([]byte) ([]job.Edit, error) { return in.Edits, nil })
}

// apply makes edits in the text that has the rev and saves it.
func (s *Server) apply(w http.ResponseWriter, name, rev string, make func(text []byte) ([]job.Edit, error)) {
	text, have, err := s.store.read(name)
	if err != nil {
		trouble(w, err)
		return
	}
	if have != rev {
		s.sendState(w, http.StatusConflict, name, have, text, "", nil)
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
	s.put(w, name, rev, changed, said)
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
	s.apply(w, r.PathValue("name"), in.Rev, func([]byte) ([]job.Edit, error) { return newRoom(in.Place) })
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
	s.apply(w, r.PathValue("name"), in.Rev, func(text []byte) ([]job.Edit, error) {
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
	s.sendState(w, http.StatusOK, in.Name, "", []byte(in.Text), in.Code, nil)
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

// solved reads and solves the job that a path names; it has answered when ok is false.
func (s *Server) solved(w http.ResponseWriter, r *http.Request) (*engine.Result, engine.Data, []byte, bool) {
	name := r.PathValue("name")
	text, _, err := s.store.read(name)
	if err != nil {
		trouble(w, err)
		return nil, engine.Data{}, nil, false
	}
	res, d, err := s.run(name, text, r.URL.Query().Get("code"))
	if err != nil {
		trouble(w, err)
		return nil, d, nil, false
	}
	if !res.Solved() {
		words := "the job cannot be read yet"
		if len(res.Faults) > 0 {
			words = res.Faults[0].Message
		}
		fail(w, http.StatusUnprocessableEntity, words)
		return nil, d, nil, false
	}
	return res, d, text, true
}

func (s *Server) why(w http.ResponseWriter, r *http.Request) {
	res, _, _, ok := s.solved(w, r)
	if !ok {
		return
	}
	p, ok := report.WhyDoc(res, r.PathValue("thing"))
	if !ok {
		fail(w, http.StatusNotFound, "the job has no run or vent of that name")
		return
	}
	answer(w, p)
}

func (s *Server) walk(w http.ResponseWriter, r *http.Request) {
	res, _, _, ok := s.solved(w, r)
	if !ok {
		return
	}
	steps, ok := report.Steps(res, r.PathValue("fixture"))
	if !ok {
		fail(w, http.StatusNotFound, "the job has no run of that name")
		return
	}
	answer(w, map[string]any{"steps": steps})
}

func (s *Server) fix(w http.ResponseWriter, r *http.Request) {
	_, d, text, ok := s.solved(w, r)
	if !ok {
		return
	}
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
	res, _, _, ok := s.solved(w, r)
	if !ok {
		return
	}
	q := r.URL.Query()
	pages, err := s.opt.Pages(res, r.PathValue("what"), q.Get("of"), q.Get("level"))
	if err != nil {
		fail(w, http.StatusUnprocessableEntity, err.Error())
		return
	}
	answer(w, map[string]any{"pages": pages})
}

func (s *Server) file(w http.ResponseWriter, r *http.Request) {
	res, _, _, ok := s.solved(w, r)
	if !ok {
		return
	}
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
