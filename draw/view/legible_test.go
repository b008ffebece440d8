package view_test

import (
	"strings"
	"testing"

	"trapweir/draw/layout"
	"trapweir/draw/view"
)

// What overlaps nothing can still be hard to follow. Over the demo houses, the practice
// cases and jobs made to be hard to draw, on small, middle and large paper: no two leaders
// cross, no pipes run together, few leaders cross a pipe, few labels stand nearer to another pipe than to their
// own, few marks lie on a pipe. The bounds are what is reached, a little rounded up.
func TestRisersAreLegible(t *testing.T) {
	var all layout.Measures
	for _, dir := range []string{"../../examples", "../../testdata/cases", "testdata/hard"} {
		for _, j := range from(t, dir) {
			for _, paper := range []string{"letter", "tabloid", "arch-d"} {
				s := view.Isometric(j.r, view.Options{Paper: paper})
				for _, f := range layout.Audit(s) {
					t.Errorf("%s on %s: %v", j.name, paper, f)
				}
				// Notes and the legend of lines are whole, wherever they stand.
				said := strings.Join(words(s), " ")
				if w := "Computed from what the job says"; !strings.Contains(said, w) && !strings.Contains(said, "in the list of findings") {
					t.Errorf("%s on %s does not say %q", j.name, paper, w)
				}
				for label, words := range map[string]string{"ARM ": "trap weir to vent", "DL ": "developed length to the open air", "L ?": "length not given"} {
					if strings.Contains(said, label) && !strings.Contains(said, words) {
						t.Errorf("%s on %s does not explain %q", j.name, paper, label)
					}
				}
				m := layout.Measure(s)
				if m.OverLeader+m.OnOutlet+m.OnCompass+m.Together > 0 {
					t.Errorf("%s on %s: %v", j.name, paper, m.Notes)
				}
				all.Lines += m.Lines
				all.Leaders += m.Leaders
				all.Length += m.Length
				all.OverPipes += m.OverPipes
				all.Astray += m.Astray
				all.OnPipes += m.OnPipes
			}
		}
	}
	all.Notes = nil
	if all.Lines < 6155 || all.Leaders > 800 || all.Length > 11300 || all.OverPipes > 95 || all.Astray > 1 || all.OnPipes > 3 {
		t.Errorf("risers have become harder to follow: %+v", all)
	}
	t.Logf("%+v", all)
}
