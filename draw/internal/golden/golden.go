// Package golden holds what a writer gave against what it gave when someone last looked:
// files under testdata, rewritten by go test -update.
package golden

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"
)

var update = flag.Bool("update", false, "rewrite the files under testdata")

// Check compares got with testdata/name and shows the first line that differs.
func Check(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Equal(got, want) {
		return
	}
	g, w := bytes.Split(got, []byte("\n")), bytes.Split(want, []byte("\n"))
	for i := range max(len(g), len(w)) {
		var a, b []byte
		if i < len(g) {
			a = g[i]
		}
		if i < len(w) {
			b = w[i]
		}
		if !bytes.Equal(a, b) || i >= len(g) || i >= len(w) {
			t.Fatalf("%s:%d: differs\n got %s\nwant %s", path, i+1, a, b)
		}
	}
}
