package view_test

import (
	"bytes"
	"testing"

	"trapweir/draw"
	"trapweir/draw/svg"
	"trapweir/draw/view"
)

// Whoever works on a riser sees it from where he saw it last, on the paper that it was on; only
// a view that is much clearer turns it. (common practice: a drawing is not turned under the pen)
func TestRiserKeepsItsPlace(t *testing.T) {
	kept, turned := 0, 0
	for _, j := range append(from(t, "../../examples"), from(t, "../../testdata/cases")...) {
		first := view.Isometric(j.r, view.Options{})
		if first.Seen.Paper == "" || first.Seen.Corner < 1 || first.Seen.Corner > 4 {
			t.Fatalf("%s: seen %+v", j.name, first.Seen)
		}
		again := view.Isometric(j.r, view.Options{Last: first.Seen})
		if !bytes.Equal(svg.Render(again, svg.Options{}), svg.Render(first, svg.Options{})) {
			t.Errorf("%s: another drawing, though it was seen so before", j.name)
		}
		for c := 1; c <= 4; c++ {
			got := view.Isometric(j.r, view.Options{Last: draw.Seen{Corner: c, Paper: first.Seen.Paper}}).Seen
			if got.Corner == c {
				kept++
			} else {
				turned++
			}
		}
	}
	t.Logf("%d kept, %d turned", kept, turned)
	if kept < 3*turned {
		t.Errorf("%d views kept, %d turned", kept, turned)
	}
}
