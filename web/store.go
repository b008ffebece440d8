package web

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"sync"
	"time"
)

// suffix of job files.
const suffix = ".dwv.yaml"

// maxJob bounds a job's text; the reader of jobs has its own, lower, limit.
const maxJob = 4 << 20

// versionsKept bounds how many versions of a job are kept.
const versionsKept = 500

// store is one folder of jobs. Versions lie in a folder of their own beside them.
type store struct {
	dir  string
	mu   sync.Mutex // guards what follows, and makes checking a rev and taking a text one step
	last map[string]*saving
	told map[string]*history
	disk sync.Mutex // one write at a time
}

// A saving is a text that was taken and is on its way to the disk. Reading the job gives it
// at once; nobody is told that it is saved before done is closed and err is nil.
type saving struct {
	name, base, rev string // base is the rev that it replaces
	text            []byte
	before          *saving // what must be on the disk first
	step            bool    // a step through the history, which keeps its texts already
	err             error
	done            chan struct{}
}

// wait gives the end of a save.
func (v *saving) wait() error {
	<-v.done
	return v.err
}

var (
	errNoJob    = errors.New("no such job in this folder")
	errBadName  = errors.New("a job's name is letters, digits, spaces, dots, dashes and underscores")
	errConflict = errors.New("the file has changed since it was read")
	errThere    = errors.New("a job of that name is there already")
)

// revOf names a text by what it says.
func revOf(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:8])
}

// path of a job, for a plain name only: nothing that could leave the folder.
func (s *store) path(name string) (string, error) {
	if name == "" || len(name) > 120 || strings.HasPrefix(name, ".") {
		return "", errBadName
	}
	for _, r := range name {
		ok := r == ' ' || r == '.' || r == '-' || r == '_' || r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r > 127 && r != '\u2028' && r != '\u2029'
		if !ok {
			return "", errBadName
		}
	}
	return filepath.Join(s.dir, name+suffix), nil
}

// jobEntry is one line of the list of jobs.
type jobEntry struct {
	Name    string    `json:"name"`
	Title   string    `json:"title"`
	Changed time.Time `json:"changed"`
	Bytes   int64     `json:"bytes"`
}

// list reads the folder: names, and titles from the first lines of each file.
func (s *store) list() ([]jobEntry, error) {
	entries, err := os.ReadDir(s.dir)
	if err != nil {
		return nil, err
	}
	out := []jobEntry{}
	head := make([]byte, 1024)
	for _, e := range entries {
		name, ok := strings.CutSuffix(e.Name(), suffix)
		if !ok || e.IsDir() {
			continue
		}
		if _, err := s.path(name); err != nil {
			continue
		}
		info, err := e.Info()
		if err != nil {
			continue
		}
		out = append(out, jobEntry{name, s.title(e.Name(), head), info.ModTime().UTC(), info.Size()})
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Name < out[j].Name })
	return out, nil
}

func (s *store) title(file string, head []byte) string {
	f, err := os.Open(filepath.Join(s.dir, file))
	if err != nil {
		return ""
	}
	defer f.Close()
	n, _ := f.Read(head)
	for _, line := range strings.Split(string(head[:n]), "\n") {
		if t, ok := strings.CutPrefix(line, "job:"); ok {
			t, _, _ = strings.Cut(t, " #")
			return strings.Trim(strings.TrimSpace(t), `"'`)
		}
	}
	return ""
}

// read returns a job's text and rev: the last text that was taken for it, or what is on
// the disk.
func (s *store) read(name string) ([]byte, string, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.now(name)
}

// now is read for one who holds mu.
func (s *store) now(name string) ([]byte, string, error) {
	if v := s.last[name]; v != nil {
		return v.text, v.rev, nil
	}
	text, rev, err := s.onDisk(name)
	if err == nil {
		s.see(name, rev, text)
	}
	return text, rev, err
}

// onDisk reads a job's file.
func (s *store) onDisk(name string) ([]byte, string, error) {
	p, err := s.path(name)
	if err != nil {
		return nil, "", err
	}
	info, err := os.Stat(p)
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil, "", errNoJob
		}
		return nil, "", err
	}
	if !info.Mode().IsRegular() || info.Size() > maxJob {
		return nil, "", fmt.Errorf("%s is %d bytes; a job has at most %d", name, info.Size(), maxJob)
	}
	text, err := os.ReadFile(p)
	if err != nil {
		return nil, "", err
	}
	return text, revOf(text), nil
}

// begin takes a text for a job when its text still has the rev that the change was made
// from; otherwise errConflict. The disk gets it afterwards, in order, and wait tells how
// that went. What is replaced is kept as a version.
func (s *store) begin(name, rev string, text []byte, step int) (*saving, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	_, have, err := s.now(name)
	if err != nil {
		return nil, err
	}
	v := &saving{name: name, base: have, rev: revOf(text), text: text, before: s.last[name], step: step != 0, done: make(chan struct{})}
	if have != rev {
		return nil, errConflict
	}
	if v.rev == have { // nothing to write, but perhaps to wait for
		if v.before != nil {
			return v.before, nil
		}
		close(v.done)
		return v, nil
	}
	if s.last == nil {
		s.last = map[string]*saving{}
	}
	s.last[name] = v
	s.note(name, v.rev, text, step)
	go s.write(v)
	return v, nil
}

// write brings a text to the disk, after those that were taken before it.
func (s *store) write(v *saving) {
	if v.before != nil {
		v.err = v.before.wait()
		v.before = nil
	}
	if v.err == nil {
		v.err = s.toDisk(v)
	}
	s.mu.Lock()
	if s.last[v.name] == v || v.err != nil {
		delete(s.last, v.name)
	}
	if v.err != nil {
		delete(s.told, v.name) // it tells of a text that is not there
	}
	s.mu.Unlock()
	close(v.done)
}

func (s *store) toDisk(v *saving) error {
	s.disk.Lock()
	defer s.disk.Unlock()
	p, err := s.path(v.name)
	if err != nil {
		return err
	}
	old, have, err := s.onDisk(v.name)
	if err != nil {
		return err
	}
	if have != v.base { // another program was faster
		return errConflict
	}
	if err := s.keep(v.name, p, have, old, v.step); err != nil {
		return err
	}
	// A link that the owner of the folder laid stays one: what it points at is replaced.
	if p, err = filepath.EvalSymlinks(p); err != nil {
		return err
	}
	if err := replace(p, v.text); err != nil {
		return err
	}
	s.writeHistory(v.name)
	return nil
}

// save takes a text and waits until it is on the disk. The rev is that of the file.
func (s *store) save(name, rev string, text []byte) (string, error) {
	v, err := s.begin(name, rev, text, 0)
	if err != nil {
		_, have, e := s.read(name)
		if e != nil {
			err = e
		}
		return have, err
	}
	return v.rev, v.wait()
}

// settle waits until the disk has all that was taken.
func (s *store) settle() {
	s.mu.Lock()
	var open []*saving
	for _, v := range s.last {
		open = append(open, v)
	}
	s.mu.Unlock()
	for _, v := range open {
		_ = v.wait() // who asked for it is told
	}
}

// create writes a new job, never over one that is there.
func (s *store) create(name string, text []byte) (string, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	p, err := s.path(name)
	if err != nil {
		return "", err
	}
	if _, err := os.Lstat(p); err == nil {
		return "", errThere
	}
	delete(s.told, name) // the history of another that was called so
	_ = os.Remove(filepath.Join(s.versionDir(name), historyFile))
	s.see(name, revOf(text), text)
	return revOf(text), replace(p, text)
}

// replace writes beside, syncs, renames and syncs the folder, so that at any moment either
// the old or the new text is there, whole.
func replace(path string, text []byte) error {
	dir := filepath.Dir(path)
	f, err := os.CreateTemp(dir, ".saving-*")
	if err != nil {
		return err
	}
	tmp := f.Name()
	_, err = f.Write(text)
	if err == nil {
		err = f.Chmod(0o644)
	}
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(tmp, path)
	}
	if err != nil {
		os.Remove(tmp)
		return err
	}
	if d, e := os.Open(dir); e == nil {
		_ = d.Sync() // not every file system can; the rename itself is done
		d.Close()
	}
	return nil
}
