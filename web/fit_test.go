package web

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
)

// What one who lays a room out leaves open is settled: a stack, a place where there is room,
// a side that was not taken yet, lengths in the job's own measure.
func TestRoomsFit(t *testing.T) {
	h, _ := serve(t, nil)
	for _, metric := range []bool{false, true} {
		name := fmt.Sprint("fit ", metric)
		drain, street := "24'", "40'"
		if metric {
			drain, street = "8 m", "12 m"
		}
		var a told
		if got := ask(t, "POST", h.URL+"/api/jobs", map[string]any{"name": name, "title": "Fit", "code": "irc-2021", "floors": 2, "under": "crawl space", "metric": metric, "drain": drain, "street": street}, &a); got != http.StatusCreated || len(a.Result.Faults) > 0 {
			t.Fatalf("%d %s %+v", got, a.Error, a.Result.Faults)
		}
		lay := func(p place) {
			t.Helper()
			if got := ask(t, "POST", h.URL+"/api/job/"+name+"/room", map[string]any{"rev": a.Rev, "place": p}, &a); got != 200 || len(a.Result.Faults) > 0 {
				t.Fatalf("%d %s %+v\n%s", got, a.Error, a.Result.Faults, a.Text)
			}
		}
		lay(place{Kind: "powder room", As: "powder", Joins: "main", Level: "first", Place: "crawl space"})
		lay(place{Kind: "laundry", As: "laundry", Joins: "main", Level: "first"})
		lay(place{Kind: "kitchen wall", As: "kitchen", Joins: "main", Level: "first"})
		lay(place{Kind: "bath with tub", As: "bath", Joins: "main", Level: "second", Stack: true})
		lay(place{Kind: "bath with shower", As: "other bath", Joins: "stack", Level: "second"})
		// A copy on another floor hangs on a stack of its own and lies in what is there.
		if got := ask(t, "POST", h.URL+"/api/job/"+name+"/copy", map[string]any{"rev": a.Rev, "place": place{Room: "powder", As: "upper powder", Joins: "main", Level: "second", Place: "joists", Stack: true}}, &a); got != 200 || len(a.Result.Faults) > 0 {
			t.Fatalf("%d %s %+v\n%s", got, a.Error, a.Result.Faults, a.Text)
		}
		key := func(run, key string) string {
			e, ok := get(a.Written.Runs, run)
			if !ok {
				t.Fatalf("no run %q in\n%s", run, a.Text)
			}
			k, _ := get(e.Keys, key)
			return k.Text + strings.Join(k.List, ", ")
		}
		for _, c := range []struct{ run, key, feet, metric string }{
			{"sewer", "legs", "E 40'", "E 12 m"},
			{"sewer", "place", "under ground", "under ground"},
			{"main", "place", "crawl space", "crawl space"},
			{"powder wc", "at", "", ""}, // the first one takes the upper end
			{"laundry washer", "at", "4'", "1200 mm"},
			{"kitchen sink", "at", "8'", "2400 mm"},
			{"stack", "joins", "main", "main"},
			{"stack", "at", "12'", "3600 mm"},
			{"stack", "legs", "down 10' 6\"", "down 3200 mm"}, // 9' 1" and 1' 5"; 2770 and 430 mm
			{"bath branch", "joins", "stack", "stack"},
			{"bath branch", "legs", "E 6'", "E 1830 mm"},
			{"other bath branch", "legs", "W 7'", "W 2130 mm"},
			{"bath wc", "slope", quarter, "2%"},
			{"bath wc", "flush", "1.28 gal", "4.8 L"},
			{"stack 2", "joins", "main", "main"},
			{"stack 2", "at", "16'", "4800 mm"},
			{"stack 2", "legs", "down 10' 6\"", "down 3200 mm"},
			{"upper powder wc", "joins", "stack 2", "stack 2"},
			{"upper powder wc", "at", "", ""},
			{"upper powder wc", "level", "second", "second"},
			{"upper powder wc", "place", "joists", "joists"},
			{"upper powder lav", "joins", "upper powder wc", "upper powder wc"},
		} {
			want, got := c.feet, key(c.run, c.key)
			if metric {
				want = c.metric
			}
			if got != want {
				t.Errorf("metric %v: %s of %s is %q, want %q", metric, c.key, c.run, got, want)
			}
		}
		// The branches on the drain come from both sides.
		if a, b := key("powder wc", "legs"), key("laundry washer", "legs"); strings.Contains(a, "S ") == strings.Contains(b, "S ") {
			t.Errorf("metric %v: powder runs %q, laundry %q", metric, a, b)
		}
		if metric && strings.ContainsAny(strings.ReplaceAll(a.Text, "'", ""), `"`) {
			t.Errorf("inches in a metric job:\n%s", a.Text)
		}
	}
	if got := ask(t, "POST", h.URL+"/api/jobs", map[string]any{"name": "bad", "title": "Bad", "drain": "some"}, nil); got != http.StatusBadRequest {
		t.Errorf("a length that is none: %d", got)
	}
}

// The lowest level is told by the heights, not by which one is written first; what does not
// say how high it is, is lowest only where nothing does.
func TestLowestLevel(t *testing.T) {
	h, _ := serve(t, nil)
	for levels, want := range map[string]string{
		"":                           "",
		"levels: {up: {}, down: {}}": "up",
		"levels: {second: {floor: 9'}, first: {floor: 0'}}":                       "first",
		"levels: {first: {floor: 0'}, second: {floor: 9'}}":                       "first",
		"levels: {attic: {}, first: {floor: 0'}, cellar: {floor: -8'}, loft: {}}": "cellar",
	} {
		var a told
		ask(t, "POST", h.URL+"/api/solve", map[string]string{"name": "x", "text": "job: x\ncode: irc-2021\n" + levels + "\noutlet: {to: public sewer}\nruns:\n  main: {joins: outlet}\n"}, &a)
		if a.Lowest != want {
			t.Errorf("%s: %q, want %q", levels, a.Lowest, want)
		}
	}
}
