package engine_test

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/internal/randomjob"
	"trapweir/report"
)

// Whatever stands in a job file, the engine neither falls over nor hangs; what it solves has
// a size and a reason for every pipe, and what it does not solve says why.
func FuzzRun(f *testing.F) {
	for _, pattern := range []string{"../examples/*.dwv.yaml", "../testdata/cases/*.dwv.yaml", "../testdata/worked/*.dwv.yaml", "../testdata/tried/*.dwv.yaml"} {
		files, err := filepath.Glob(pattern)
		if err != nil {
			f.Fatal(err)
		}
		for _, p := range files {
			text, err := os.ReadFile(p)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(text)
		}
	}
	f.Add(randomjob.House(2))
	f.Add([]byte("job: x\nruns:\n  a: {joins: a}\n"))
	f.Add([]byte("job: x\nruns:\n  a: {joins: outlet}\n  b: {joins: a, at: after c}\n  c: {joins: a, at: after b}\nvents:\n  v: {from: v, ends: v}\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		start := time.Now()
		r := engine.Run(library(), engine.Input{Name: "job", Text: text})
		if d := time.Since(start); d > 5*time.Second {
			t.Errorf("%v for %d bytes", d, len(text))
		}
		doc := report.Document(r)
		if !r.Solved() {
			if len(r.Faults) == 0 && r.Net != nil && len(r.Net.Segs) > 0 {
				t.Error("not solved, and nothing is said")
			}
			return
		}
		if diag.Count(r.Faults, diag.Error) > 0 {
			t.Error("solved in spite of faults")
		}
		if len(doc.Runs) == 0 {
			t.Error("solved, and no run in the result")
		}
		for i := range r.Net.Segs {
			s := network.SegID(i)
			if r.Sizes.Required[s] <= 0 || len(r.Sizes.Terms(s)) == 0 {
				t.Errorf("%s has size %s and %d reasons", r.Net.RunOf(s).Name, r.Sizes.Required[s], len(r.Sizes.Terms(s)))
			}
			if d := r.Net.Segs[s].Down; d != network.None && d <= s {
				t.Errorf("%s drains into %d, which has a lower number", r.Net.RunOf(s).Name, d)
			}
		}
	})
}
