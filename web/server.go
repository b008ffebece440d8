package web

import (
	"crypto/rand"
	"embed"
	"encoding/hex"
	"io/fs"
	"net/http"
	"sync"

	"github.com/klauspost/compress/gzhttp"

	"trapweir/draw"
	"trapweir/engine"
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
	// Drawing makes the sheet that is worked on; Plans lists the
	// levels that have a plan; Pages makes those of a view (riser, set, order
	// ...), and File a file to take away; the command hands them in, so that this package
	// knows no views and no formats. Views are those that the page offers by name.
	Drawing func(r *engine.Result, see Look) Sheet
	Plans   func(r *engine.Result) []string
	Pages   func(r *engine.Result, what, of, level string) ([]string, error)
	File    func(r *engine.Result, out, of, level string) (data []byte, mime string, err error)
	Views   []View
	// Fix lists proposals for a job's findings; Start writes a new job from fixtures.
	Fix   func(d engine.Data, name string, text []byte) (any, error)
	Start func(d engine.Data, title, code string, fixtures []string) ([]byte, error)
}

// Look is the sheet that is to be worked on: the "riser", or the "plan" of a level.
type Look struct {
	View, Level string
	// Last is how the riser was seen before. Wordless leaves out the words of a riser: on the
	// screen they would be too small to be read.
	Last     draw.Seen
	Wordless bool
}

// Sheet is a drawing to work on: its SVG, where it can be taken hold of, and the part of it
// where the pipes are.
type Sheet struct {
	SVG   []byte
	Grips draw.Grips
	Pipes draw.Rect
	Seen  draw.Seen
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
	sent  []Parts                // what was drawn last, newest first
	seen  map[string]draw.Seen   // how each job's riser was seen last
	paper sync.Mutex             // one at a time makes sheets to take away
}

// New makes a server for a folder of jobs.
func New(opt Options) *Server {
	s := &Server{opt: opt, store: &store{dir: opt.Folder}, read: map[string]engine.Data{}, seen: map[string]draw.Seen{}}
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
	mux.HandleFunc("POST /api/job/{name}/room", s.room(func(j *job.Job, _ []byte, in place) ([]job.Edit, error) { return newRoom(j, in) }))
	mux.HandleFunc("POST /api/job/{name}/copy", s.room(func(j *job.Job, text []byte, in place) ([]job.Edit, error) { return copyRoom(j, written(text), in) }))
	mux.HandleFunc("GET /api/start", s.start)
	mux.HandleFunc("GET /api/jobs", s.jobs)
	mux.HandleFunc("POST /api/jobs", s.create)
	mux.HandleFunc("GET /api/job/{name}", s.job)
	mux.HandleFunc("PUT /api/job/{name}", s.save)
	mux.HandleFunc("POST /api/job/{name}/edit", s.edit)
	mux.HandleFunc("POST /api/solve", s.solve)
	mux.HandleFunc("GET /api/job/{name}/versions", s.versions)
	mux.HandleFunc("GET /api/job/{name}/versions/{rev}", s.version)
	mux.HandleFunc("GET /api/job/{name}/why/{thing}", s.find("the job has no run or vent of that name", why))
	mux.HandleFunc("GET /api/job/{name}/walk/{fixture...}", s.find("the job has no run of that name", walk))
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

func (s *Server) start(w http.ResponseWriter, _ *http.Request) {
	answer(w, map[string]any{"first": s.opt.First, "folder": s.opt.Folder, "caution": report.Caution, "views": s.opt.Views})
}

func (s *Server) forms(w http.ResponseWriter, _ *http.Request) {
	answer(w, map[string]any{"keys": forms(), "rooms": rooms})
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
