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
	dir string
	mu  sync.Mutex // one save at a time, so that a rev is checked and replaced as one step
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

// read returns a job's text and rev.
func (s *store) read(name string) ([]byte, string, error) {
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

// save replaces a job's text when the file still has the rev that the change was made
// from; otherwise errConflict, and the file stays. What is replaced is kept as a version.
func (s *store) save(name, rev string, text []byte) (string, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	p, err := s.path(name)
	if err != nil {
		return "", err
	}
	old, have, err := s.read(name)
	if err != nil {
		return "", err
	}
	if have != rev {
		return have, errConflict
	}
	next := revOf(text)
	if next == have {
		return next, nil
	}
	if err := s.keep(name, p, have, old); err != nil {
		return "", err
	}
	return next, replace(p, text)
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

func (s *store) versionDir(name string) string {
	return filepath.Join(s.dir, ".trapweir", "versions", name)
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
func (s *store) keep(name, path, rev string, text []byte) error {
	dir := s.versionDir(name)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	file := filepath.Join(dir, fmt.Sprintf("%s-%s%s", time.Now().UTC().Format("20060102T150405.000000"), rev, suffix))
	if err := os.Link(path, file); err != nil {
		if err := replace(file, text); err != nil {
			return err
		}
	} else if now, err := os.ReadFile(file); err != nil || revOf(now) != rev {
		// Another program wrote into the file in this very moment.
		os.Remove(file)
		return errConflict
	}
	vs, err := s.versions(name)
	if err != nil {
		return err
	}
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
