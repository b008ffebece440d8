package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// runGen runs what go generate runs for the page.
func runGen(args ...string) (string, error) {
	c := exec.Command("go", append([]string{"run", "./gen"}, args...)...)
	c.Dir = "../../web"
	out, err := c.CombinedOutput()
	return string(out), err
}

// The bundle that is committed is what its sources give, and their types are right.
func TestPageBundleIsFresh(t *testing.T) {
	if _, err := exec.LookPath("npm"); err != nil {
		t.Skip("NOT TESTED: whether the page's bundle is fresh, as there is no npm on this machine")
	}
	if out, err := runGen("-install"); err != nil {
		t.Skipf("NOT TESTED: whether the page's bundle is fresh, as its libraries cannot be had: %s", out)
	}
	dir := t.TempDir()
	if out, err := runGen("-out", dir); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	for _, f := range []string{"app.js", "app.css", "LICENSES.txt"} {
		want, err := os.ReadFile(filepath.Join(dir, f))
		if err != nil {
			t.Fatal(err)
		}
		have, err := os.ReadFile(filepath.Join("../../web/page", f))
		if err != nil || !bytes.Equal(have, want) {
			t.Errorf("web/page/%s is not what web/ui gives: go generate ./web (%v)", f, err)
		}
	}
}
