package main

import (
	"bytes"
	"context"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"trapweir/examples"
)

// quietly collects what a command says while it runs.
type quietly struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (q *quietly) Write(p []byte) (int, error) {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.b.Write(p)
}

func (q *quietly) String() string {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.b.String()
}

// opened serves a folder and gives the addresses that are printed.
func opened(t *testing.T, lan bool) (said string, addresses []string) {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	var out quietly
	done := make(chan error, 1)
	go func() { done <- serve(ctx, &out, t.TempDir(), "", 0, lan, true) }()
	for end := time.Now().Add(10 * time.Second); !strings.Contains(out.String(), "The workbench:"); time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("no address is printed: %q", out.String())
		}
	}
	t.Cleanup(func() {
		stop()
		select {
		case err := <-done:
			if err != nil {
				t.Error(err)
			}
		case <-time.After(10 * time.Second):
			t.Error("it does not end")
		}
	})
	return out.String(), regexp.MustCompile(`http://\S+`).FindAllString(out.String(), -1)
}

func status1(t *testing.T, url string) int {
	t.Helper()
	r, err := http.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	r.Body.Close()
	return r.StatusCode
}

func TestOpenServesThisMachineOnly(t *testing.T) {
	_, at := opened(t, false)
	if len(at) != 1 || !strings.HasPrefix(at[0], "http://127.0.0.1:") {
		t.Fatalf("the addresses are %q", at)
	}
	if got := status1(t, at[0]); got != http.StatusOK {
		t.Errorf("the page: %d", got)
	}
	if got := status1(t, strings.Replace(at[0], "127.0.0.1", "[::ffff:127.0.0.1]", 1)); got != http.StatusForbidden && got != http.StatusOK {
		t.Errorf("another spelling of this machine: %d", got)
	}
}

func TestOpenToTheNetworkAsksForAToken(t *testing.T) {
	said, at := opened(t, true)
	for _, a := range at {
		if !regexp.MustCompile(`/\?token=[0-9a-f]{32}$`).MatchString(a) {
			t.Errorf("%s has no token", a)
		}
	}
	last := at[len(at)-1]
	if got := status1(t, last); got != http.StatusOK {
		t.Errorf("with the token: %d", got)
	}
	bare, _, _ := strings.Cut(last, "?")
	if got := status1(t, bare); got != http.StatusForbidden {
		t.Errorf("without the token: %d", got)
	}
	if len(at) > 1 && !strings.Contains(said, "not encrypted") {
		t.Errorf("no caution is said: %s", said)
	}
}

func TestOpenFindsItsFolder(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "mine"+jobSuffix), "job: mine\n")
	write(t, filepath.Join(dir, "notes.txt"), "")
	var out bytes.Buffer
	for _, c := range []struct{ arg, first, fails string }{
		{dir, "", ""},
		{filepath.Join(dir, "mine"+jobSuffix), "mine", ""},
		{filepath.Join(dir, "gone"), "", "no such job or folder"},
		{filepath.Join(dir, "notes.txt"), "", "not a job"},
	} {
		folder, first, err := workFolder([]string{c.arg}, &out)
		switch {
		case c.fails != "":
			if err == nil || !strings.Contains(err.Error(), c.fails) {
				t.Errorf("%s: %v, want %q", c.arg, err, c.fails)
			}
		case err != nil || folder != dir || first != c.first:
			t.Errorf("%s opens %q in %s, %v", c.arg, first, folder, err)
		}
	}
	// With nothing named, a copy of the examples that can be written to, and where it is.
	t.Setenv("TMPDIR", t.TempDir())
	folder, first, err := workFolder(nil, &out)
	if err != nil || first != examples.First || !strings.Contains(out.String(), folder) {
		t.Fatalf("%q in %s, %v; said %q", first, folder, err, out.String())
	}
	file := filepath.Join(folder, first+jobSuffix)
	f, err := os.OpenFile(file, os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	f.Close()
}
