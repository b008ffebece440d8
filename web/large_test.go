package web

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"

	"trapweir/engine"
)

// crowded writes a job whose fixtures all join at one place, as no house has them.
func crowded(n int) string {
	var b strings.Builder
	b.WriteString("job: crowded (invented)\ncode: irc-2021\noutlet: {to: public sewer}\nruns:\n  sewer: {joins: outlet, legs: [E 20'], slope: 1/4\" per ft}\n")
	for i := range n {
		fmt.Fprintf(&b, "  lav %d: {joins: sewer, at: 5', fixture: lavatory, legs: [E 2'], slope: 1/4\" per ft}\n", i)
	}
	return b.String()
}

// What is too large to be drawn is sized, and says why nothing is drawn; neither sheets nor
// files are made of it. One that is just small enough is drawn.
func TestTooLargeIsNotDrawn(t *testing.T) {
	const fixtures = 20000
	drawn := 0
	h, dir := serve(t, func(o *Options) {
		o.Drawing = func(*engine.Result, Look) Sheet {
			drawn++
			return Sheet{SVG: []byte("<svg><style></style></svg>")}
		}
		o.Pages = func(*engine.Result, string, string, string) ([]string, error) {
			t.Error("sheets are made of it")
			return nil, nil
		}
		o.File = func(*engine.Result, string, string, string) ([]byte, string, error) {
			t.Error("a file is made of it")
			return nil, "", nil
		}
	})
	put(t, filepath.Join(dir, "crowd"+suffix), crowded(fixtures))
	var a struct {
		told
		Says, Error string
		Later       bool
		SVG         Parts
	}
	text := crowded(fixtures)
	look := func(what string, got int) {
		t.Helper()
		if got != http.StatusOK || drawn > 0 || a.SVG.Head != "" || a.Later || a.Result.Totals.Fixtures != fixtures || !strings.Contains(a.Says, "20002 pieces") {
			t.Errorf("%s: %d, drawn %d times, later %v, %d fixtures, it says %q", what, got, drawn, a.Later, a.Result.Totals.Fixtures, a.Says)
		}
	}
	look("solve", ask(t, "POST", h.URL+"/api/solve", map[string]string{"name": "crowd", "text": text}, &a))
	look("open", ask(t, "GET", h.URL+"/api/job/crowd?view=plan&level=first", nil, &a))
	for _, path := range []string{"pages/riser", "pages/set", "file/set.pdf", "file/riser.svg"} {
		if got := ask(t, "GET", h.URL+"/api/job/crowd/"+path, nil, &a); got != http.StatusUnprocessableEntity || !strings.Contains(a.told.Error+a.Error, "20002 pieces") {
			t.Errorf("%s: %d %q", path, got, a.told.Error+a.Error)
		}
	}
	// Saved in lines, it does not wait for a drawing that never comes.
	q, err := http.NewRequest("PUT", h.URL+"/api/job/crowd", strings.NewReader(fmt.Sprintf(`{"rev": %q, "text": %q}`, a.Rev, text+"# more\n")))
	if err != nil {
		t.Fatal(err)
	}
	q.Header.Set("Accept", lines)
	r, err := http.DefaultClient.Do(q)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	b, err := io.ReadAll(r.Body)
	if said := string(b); err != nil || strings.Contains(said, `"later"`) || strings.Contains(said, `{"drawing"`) || !strings.Contains(said, `"says"`) || !strings.Contains(said, `"saved"`) {
		t.Errorf("saved in lines: %v %.200s", err, said)
	}
	a.Says = ""
	if got := ask(t, "POST", h.URL+"/api/solve", map[string]string{"name": "crowd", "text": crowded(mostDrawn - 2)}, &a); got != http.StatusOK || drawn != 1 || a.Says != "" {
		t.Errorf("%d pieces: %d, drawn %d times, it says %q", mostDrawn, got, drawn, a.Says)
	}
}

// Nobody waits for sheets that another asked for, and those that nobody waits for are not made.
func TestSheetsHoldNobodyUp(t *testing.T) {
	begun, on := make(chan bool, 8), make(chan bool)
	h, _ := serve(t, func(o *Options) {
		o.Pages = func(*engine.Result, string, string, string) ([]string, error) {
			begun <- true
			<-on
			return []string{}, nil
		}
	})
	done := make(chan int, 1)
	go func() { done <- ask(t, "GET", h.URL+"/api/job/house/pages/set", nil, nil) }()
	<-begun
	if got := ask(t, "GET", h.URL+"/api/job/house/why/main", nil, nil); got != http.StatusOK {
		t.Errorf("a reason beside it: %d", got)
	}
	if got := ask(t, "GET", h.URL+"/api/job/house", nil, nil); got != http.StatusOK {
		t.Errorf("the job beside it: %d", got)
	}
	// Two that nobody waits for any more: neither its sheets nor its drawing are made.
	ctx, leave := context.WithCancel(t.Context())
	leave()
	for _, path := range []string{"/api/job/house/pages/set", "/api/job/house"} {
		gone := httptest.NewRecorder()
		left := make(chan bool)
		go func() {
			h.Config.Handler.ServeHTTP(gone, httptest.NewRequestWithContext(ctx, "GET", h.URL+path, nil))
			close(left)
		}()
		defer func() {
			if <-left; gone.Code < 400 {
				t.Errorf("%s is made for one who has gone: %d", path, gone.Code)
			}
		}()
	}
	close(on)
	if got := <-done; got != http.StatusOK {
		t.Errorf("the sheets: %d", got)
	}
}
