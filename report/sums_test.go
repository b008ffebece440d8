package report

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"trapweir/engine"
	"trapweir/engine/network"
	"trapweir/engine/unit"
	"trapweir/shelf"
)

// What a pipe is told to carry is the sum of what is told to come in: in `why` for every
// piece, in `walk` from stop to stop; with each fixture counted and with groups.
func TestLoadsTheirOwnSums(t *testing.T) {
	credits := 0
	all, _ := shelf.All()
	for _, path := range jobs(t, "examples/*.dwv.yaml", "testdata/tried/*.dwv.yaml") {
		text, err := os.ReadFile(filepath.Join("..", path))
		if err != nil {
			t.Fatal(err)
		}
		for _, loads := range []string{"each fixture", "groups"} {
			job := "loads: " + loads + "\n" + strings.ReplaceAll(string(text), "\nloads:", "\n# loads:")
			r := engine.Run(all, engine.Input{Name: path, Text: []byte(job)})
			if !r.Solved() {
				continue
			}
			credits += len(r.Loads.Credit)
			for i := range r.Net.Segs {
				s := network.SegID(i)
				if got := sum(t, incoming(r, s)); got != r.Loads.Units[s] {
					t.Errorf("%s: %s carries %s, and what comes in sums to %s: %q", path, r.Net.RunOf(s).Name, r.Loads.Units[s], got, incoming(r, s))
				}
			}
			for f := range r.Net.Fixtures {
				name := r.Net.Runs[r.Net.Fixtures[f].Run].Name
				steps, ok := Steps(r, name)
				if !ok {
					t.Fatalf("%s: no walk from %s", path, name)
				}
				total := unit.Load(0)
				for k, st := range steps {
					if pumped(r, network.SegID(st.Segment)) {
						total = 0 // the flow of the pump stands for what runs into its basin
					}
					total += sum(t, st.In)
					if total != st.Units {
						t.Errorf("%s: walk from %s, stop %d, %s: %s told, %s summed: %q", path, name, k+1, st.Where, st.Units, total, st.In)
						break
					}
				}
			}
		}
	}
	if credits < 5 {
		t.Errorf("only %d groups are credited", credits)
	}
}

// sum adds up lines that begin with a number of units, "less" before it taking off.
func sum(t *testing.T, lines []string) unit.Load {
	t.Helper()
	total := unit.Load(0)
	for _, l := range lines {
		if strings.HasPrefix(strings.TrimSpace(l), "into the basin: ") {
			continue
		}
		rest, less := strings.CutPrefix(strings.TrimSpace(l), "less ")
		if cut, minus := strings.CutPrefix(rest, "-"); minus {
			rest, less = cut, true
		}
		word, _, _ := strings.Cut(strings.TrimPrefix(rest, "+"), " ")
		u, err := unit.ParseLoad(word)
		if err != nil {
			t.Fatalf("%q: %v", l, err)
		}
		if less {
			u = -u
		}
		total += u
	}
	return total
}
