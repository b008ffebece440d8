package web

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"strings"
	"time"
)

// history is the line of texts of a job that undo and redo step along: revs, oldest first,
// and where the job stands. Their texts are kept as versions, so that it outlives the
// program and the page.
type history struct {
	Revs []string `json:"revs"`
	At   int      `json:"at"`
	text []byte   // what Revs[At] says, to be kept should another program write over it
}

const historyFile = "history.json"

// line gives the history of a job, for one who holds mu.
func (s *store) line(name string) *history {
	if h := s.told[name]; h != nil {
		return h
	}
	h := &history{}
	b, err := os.ReadFile(filepath.Join(s.versionDir(name), historyFile))
	if err != nil || json.Unmarshal(b, h) != nil || h.At < 0 || h.At >= len(h.Revs) {
		*h = history{} // none yet, or none that can be used: undo begins anew
	}
	if s.told == nil {
		s.told = map[string]*history{}
	}
	s.told[name] = h
	return h
}

// see notes what the file says. A text that came from outside is a step like another; the
// one before it is kept.
func (s *store) see(name, rev string, text []byte) {
	h := s.line(name)
	switch {
	case len(h.Revs) == 0:
		h.Revs, h.At = []string{rev}, 0
	case h.Revs[h.At] == rev:
	default:
		if h.text != nil {
			s.keepText(name, h.Revs[h.At], h.text)
		}
		h.push(rev)
	}
	h.text = text
}

func (h *history) push(rev string) {
	h.Revs = append(h.Revs[:h.At+1:h.At+1], rev)
	if over := len(h.Revs) - versionsKept; over > 0 {
		h.Revs = h.Revs[over:]
	}
	h.At = len(h.Revs) - 1
}

// note puts a change into the history: a new text, or a step back or forth.
func (s *store) note(name, to string, text []byte, step int) {
	h := s.line(name)
	if at := h.At + step; step != 0 && at >= 0 && at < len(h.Revs) && h.Revs[at] == to {
		h.At = at
	} else {
		h.push(to)
	}
	h.text = text
}

// writeHistory keeps the history on the disk. It is written after the text that it tells
// of; a history that was lost begins anew, and no text is lost with it.
func (s *store) writeHistory(name string) {
	s.mu.Lock()
	b, err := json.Marshal(s.line(name))
	s.mu.Unlock()
	if err != nil {
		return
	}
	path := filepath.Join(s.versionDir(name), historyFile)
	if os.WriteFile(path+".new", b, 0o644) == nil {
		_ = os.Rename(path+".new", path)
	}
}

// steps tells whether there is a text to go back to, and one to go forth to.
func (s *store) steps(name string) (undo, redo bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	h := s.line(name)
	return h.At > 0, h.At+1 < len(h.Revs)
}

// aside puts a text that was never in the file one step behind the one that is.
func (s *store) aside(name string, text []byte) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	h := s.line(name)
	rev := revOf(text)
	if len(h.Revs) == 0 || h.Revs[h.At] == rev {
		return nil
	}
	if err := s.keepText(name, rev, text); err != nil {
		return err
	}
	h.Revs = slices.Insert(h.Revs[:h.At+1:h.At+1], h.At, rev)
	h.At = len(h.Revs) - 1
	return nil
}

// stepped gives the text that is by steps away from the one in the file.
func (s *store) stepped(name string, by int) ([]byte, error) {
	s.settle() // what is replaced is kept when it is
	s.mu.Lock()
	h := s.line(name)
	at := h.At + by
	if at < 0 || at >= len(h.Revs) {
		s.mu.Unlock()
		return nil, errNoStep
	}
	rev := h.Revs[at]
	s.mu.Unlock()
	text, err := s.old(name, rev)
	if errors.Is(err, errNoJob) {
		return nil, errNoStep
	}
	return text, err
}

var errNoStep = errors.New("there is no such step: its text is not kept any more")

func (s *store) versionDir(name string) string {
	return filepath.Join(s.dir, ".trapweir", "versions", name)
}

// versionName is the file of a version that is kept now.
func versionName(rev string) string {
	return fmt.Sprintf("%s-%s%s", time.Now().UTC().Format("20060102T150405.000000"), rev, suffix)
}

// version is one kept text of a job.
type version struct {
	Rev   string    `json:"rev"`
	Saved time.Time `json:"saved"`
	Bytes int64     `json:"bytes"`
	file  string
}

// keep keeps the file that is about to be replaced as a version, named by the time. The
// file itself is given a second name, which costs no writing: a save puts another file in
// its place and leaves it as it is. Where that cannot be done its text is written anew.
func (s *store) keep(name, path, rev string, text []byte, step bool) error {
	dir := s.versionDir(name)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	if step {
		if _, err := s.old(name, rev); err == nil {
			return nil
		}
	}
	file := filepath.Join(dir, versionName(rev))
	if err := os.Link(path, file); err != nil {
		if err := replace(file, text); err != nil {
			return err
		}
	} else if now, err := os.ReadFile(file); err != nil || revOf(now) != rev {
		// Another program wrote into the file in this very moment.
		os.Remove(file)
		return errConflict
	}
	return s.fewer(name)
}

// keepText keeps a text that is in no file as a version.
func (s *store) keepText(name, rev string, text []byte) error {
	if _, err := s.old(name, rev); err == nil {
		return nil
	}
	dir := s.versionDir(name)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	return replace(filepath.Join(dir, versionName(rev)), text)
}

// fewer takes the oldest versions away where there are too many.
func (s *store) fewer(name string) error {
	vs, err := s.versions(name)
	if err != nil {
		return err
	}
	dir := s.versionDir(name)
	for _, v := range vs[min(len(vs), versionsKept):] {
		os.Remove(filepath.Join(dir, v.file))
	}
	return nil
}

// versions lists what is kept of a job, newest first.
func (s *store) versions(name string) ([]version, error) {
	if _, err := s.path(name); err != nil {
		return nil, err
	}
	entries, err := os.ReadDir(s.versionDir(name))
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return []version{}, nil
		}
		return nil, err
	}
	out := []version{}
	for _, e := range entries {
		stem, ok := strings.CutSuffix(e.Name(), suffix)
		if !ok {
			continue
		}
		when, rev, ok := strings.Cut(stem, "-")
		if !ok {
			continue
		}
		at, err := time.Parse("20060102T150405.000000", when)
		if err != nil {
			continue
		}
		info, err := e.Info()
		if err != nil {
			continue
		}
		out = append(out, version{rev, at, info.Size(), e.Name()})
	}
	sort.Slice(out, func(i, j int) bool { return out[i].file > out[j].file })
	return out, nil
}

// old returns the text of a version.
func (s *store) old(name, rev string) ([]byte, error) {
	vs, err := s.versions(name)
	if err != nil {
		return nil, err
	}
	for _, v := range vs {
		if v.Rev == rev {
			return os.ReadFile(filepath.Join(s.versionDir(name), v.file))
		}
	}
	return nil, errNoJob
}
