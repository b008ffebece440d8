package propose_test

import (
	"strings"
	"testing"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/propose"
	"trapweir/engine/unit"
)

// The numbers that the program has are those that its documents name.
func TestEffort(t *testing.T) {
	want := propose.Effort{Fitting: 2 * unit.Foot, Roof: 8 * unit.Foot, Wall: 3 * unit.Foot, Valve: 28 * unit.Foot, Move: 12 * unit.Foot, Enlarged: 50}
	if effort != want {
		t.Errorf("effort is %+v, want %+v", effort, want)
	}
	c := propose.Cost{Pipe: 10 * unit.Foot, Fittings: 3, Roof: 1, Walls: 2, Valves: 1, Moves: 1, Enlarged: 8 * unit.Foot}
	if got := effort.Weight(c); got != 74*unit.Foot { // 10 + 6 + 8 + 6 + 28 + 12 + 4
		t.Errorf("it counts as %s, want 74 ft", got)
	}
}

// A shop's own file goes over the program's; what is wrong in it is said and changes nothing.
func TestOwnEffort(t *testing.T) {
	for _, x := range []struct {
		text string
		want func(*propose.Effort)
		says string
	}{
		{"valve: 3 m\n", func(e *propose.Effort) { e.Valve = 3000 * unit.Millimetre }, ""},
		{"roof opening: 20'   # steep\nenlarged: 100%\n", func(e *propose.Effort) { e.Roof, e.Enlarged = 20*unit.Foot, 100 }, ""},
		{"valve: much\n", func(*propose.Effort) {}, "no length of pipe"},
		{"fitting: 2000'\n", func(*propose.Effort) {}, "no length of pipe"},
		{"enlarged: 120%\n", func(*propose.Effort) {}, "no share"},
		{"enlarged: half\n", func(*propose.Effort) {}, "no share"},
		{"valves: 3'\n", func(*propose.Effort) {}, "valve"},
		{"[", func(*propose.Effort) {}, ""},
	} {
		want := effort
		x.want(&want)
		got, ds := propose.ReadEffort("own.yaml", []byte(x.text), effort)
		if got != want {
			t.Errorf("%q gives %+v, want %+v", x.text, got, want)
		}
		if x.says != "" && (len(ds) != 1 || !strings.Contains(ds[0].Message+ds[0].Try, x.says)) {
			t.Errorf("%q says %v, want %q", x.text, ds, x.says)
		}
	}
	if _, ds := propose.ReadEffort("own.yaml", []byte("["), effort); diag.Count(ds, diag.Error) == 0 {
		t.Error("nothing is said of a file that is no YAML")
	}
}

// A vent to the open air comes before a valve as long as it goes through one floor, and a
// shop that does not mind valves sets that otherwise.
func TestOrderIsTheShops(t *testing.T) {
	first := func(e propose.Effort) string {
		d := shelves(t)
		in := engine.Input{Name: "tub", Text: []byte(tub)}
		set := propose.For(d, in, engine.Run(d, in), "", e)
		for i := range set.Answers {
			if set.Answers[i].Finding.Rule == "unvented-fixture" {
				return set.Answers[i].Proposals[0].ID
			}
		}
		return ""
	}
	if id := first(effort); strings.HasPrefix(id, "air-admittance-valve") {
		t.Errorf("%s comes first", id)
	}
	cheap := effort
	cheap.Valve, cheap.Roof = 0, 40*unit.Foot
	if id := first(cheap); strings.HasPrefix(id, "vent-through-roof") {
		t.Errorf("with valves for nothing and roofs that are dear, %s comes first", id)
	}
}
