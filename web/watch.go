package web

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"sync"
	"time"
)

// watchEvery is how often the folder is looked at for changes from outside. Polling works
// on every file system, network shares and synced folders included.
const watchEvery = 700 * time.Millisecond

// watcher tells open pages when a job's file changes outside of them.
type watcher struct {
	store *store
	mu    sync.Mutex
	seen  map[string]stamp  // by name
	revs  map[string]string // what this server saved or told last
	pages map[chan change]bool
	done  chan struct{}
	once  sync.Once
}

type stamp struct {
	at   time.Time
	size int64
}

type change struct {
	Name string `json:"name"`
	Rev  string `json:"rev"`
}

func newWatcher(s *store) *watcher {
	w := &watcher{store: s, seen: map[string]stamp{}, revs: map[string]string{}, pages: map[chan change]bool{}, done: make(chan struct{})}
	w.look(false)
	go func() {
		t := time.NewTicker(watchEvery)
		defer t.Stop()
		for {
			select {
			case <-w.done:
				return
			case <-t.C:
				w.look(true)
			}
		}
	}()
	return w
}

func (w *watcher) stop() { w.once.Do(func() { close(w.done) }) }

// own notes a rev that a page saved: other pages are told of it at once.
func (w *watcher) own(name, rev string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.revs[name] != rev {
		w.revs[name] = rev
		w.tell(change{name, rev})
	}
}

// tell sends to every page; one that does not listen misses it and asks again later.
func (w *watcher) tell(c change) {
	for p := range w.pages {
		select {
		case p <- c:
		default:
		}
	}
}

// look compares the folder with what was seen. Only files whose time or size changed are
// read.
func (w *watcher) look(say bool) {
	list, err := w.store.list()
	if err != nil {
		return
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, e := range list {
		now := stamp{e.Changed, e.Bytes}
		if w.seen[e.Name] == now {
			continue
		}
		w.seen[e.Name] = now
		if !say {
			continue
		}
		_, rev, err := w.store.read(e.Name)
		if err != nil || w.revs[e.Name] == rev {
			continue
		}
		w.revs[e.Name] = rev
		w.tell(change{e.Name, rev})
	}
}

// events streams changes to a page.
func (s *Server) events(rw http.ResponseWriter, r *http.Request) {
	ch := make(chan change, 16)
	s.watch.mu.Lock()
	s.watch.pages[ch] = true
	s.watch.mu.Unlock()
	defer func() {
		s.watch.mu.Lock()
		delete(s.watch.pages, ch)
		s.watch.mu.Unlock()
	}()
	rw.Header().Set("Content-Type", "text/event-stream")
	rc := http.NewResponseController(rw)
	send := func(text string) bool {
		if _, err := io.WriteString(rw, text); err != nil {
			return false
		}
		return rc.Flush() == nil
	}
	if !send(": listening\n\n") {
		return
	}
	beat := time.NewTicker(20 * time.Second)
	defer beat.Stop()
	for {
		select {
		case <-r.Context().Done():
			return
		case <-s.watch.done:
			return
		case <-beat.C:
			if !send(": still here\n\n") {
				return
			}
		case c := <-ch:
			b, _ := json.Marshal(c)
			if !send(fmt.Sprintf("event: changed\ndata: %s\n\n", b)) {
				return
			}
		}
	}
}

// readSmall reads a file of at most a job's size.
func readSmall(path string) ([]byte, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() || info.Size() > maxJob {
		return nil, errNoJob
	}
	return os.ReadFile(path)
}
