package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A file that was changed since it was read is left as it is, and nothing stays beside it.
func TestReplaceFileRefusesWhatChanged(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.dwv.yaml")
	if err := os.WriteFile(path, []byte("changed by somebody else\n"), 0o640); err != nil {
		t.Fatal(err)
	}
	err := replaceFile(path, []byte("as it was read\n"), []byte("new\n"))
	if err == nil || !strings.Contains(err.Error(), "was changed meanwhile") {
		t.Errorf("error %v", err)
	}
	if b, _ := os.ReadFile(path); string(b) != "changed by somebody else\n" {
		t.Errorf("the file holds %q", b)
	}
	only(t, dir, "a.dwv.yaml")
}

// The mode of the file is kept, and nothing stays beside it.
func TestReplaceFileKeepsTheMode(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.dwv.yaml")
	if err := os.WriteFile(path, []byte("old\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := replaceFile(path, []byte("old\n"), []byte("new\n")); err != nil {
		t.Fatal(err)
	}
	if b, _ := os.ReadFile(path); string(b) != "new\n" {
		t.Errorf("the file holds %q", b)
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("mode %v, %v", info.Mode(), err)
	}
	only(t, dir, "a.dwv.yaml")
}

func only(t *testing.T, dir, name string) {
	t.Helper()
	list, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	if len(list) != 1 || list[0].Name() != name {
		t.Errorf("the folder holds %v", list)
	}
}
