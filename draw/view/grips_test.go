package view_test

import (
	"math"
	"testing"

	"trapweir/draw"
	"trapweir/draw/view"
	"trapweir/engine/unit"
)

// Grips tell where the job's own lengths are drawn: the legs of a run add up to what the
// file says, and a plan to scale has one step for all.
func TestGrips(t *testing.T) {
	r := example(t, "heron-lane")
	riser := view.Isometric(r, view.Options{})
	long := func(s *draw.Sheet, id string, part int) (sum unit.Length, pieces int) {
		for _, g := range s.Grips.List {
			if g.ID == id && g.Part == part {
				sum += unit.Length(g.To - g.From)
				pieces++
				if !g.Known {
					t.Errorf("%s: a length that the file gives is not known", id)
				}
			}
		}
		return sum, pieces
	}
	for _, c := range []struct {
		id   string
		part int
		feet float64
		n    int // pieces: one more than what joins along it
	}{
		{"sewer", 0, 3, 1},
		{"sewer", 1, 3.5, 1},
		{"sewer", 2, 52, 1},
		{"main", 0, 30, 4},      // powder wc, kitchen and washer join along it
		{"hall lav", 0, 2, 1},   // its arm
		{"hall vent", 0, 15, 1}, // whatever is drawn up to the roof
	} {
		sum, n := long(riser, c.id, c.part)
		if sum != unit.Length(c.feet*float64(unit.Foot)) || n != c.n {
			t.Errorf("%s, leg %d: %v in %d pieces, want %v feet in %d", c.id, c.part, sum, n, c.feet, c.n)
		}
	}
	if len(riser.Grips.Ways) != 6 {
		t.Errorf("%d ways on a riser, want 6", len(riser.Grips.Ways))
	}
	// The ways are those in which the pipes are drawn.
	for _, g := range riser.Grips.List {
		if g.ID == "main" && g.Part == 0 { // runs east with the water
			d := g.B.Sub(g.A).Unit()
			for _, w := range riser.Grips.Ways {
				if w.Word == "E" {
					if u := w.Step.Unit(); math.Abs(u.X-d.X)+math.Abs(u.Y-d.Y) > 0.01 {
						t.Errorf("main runs %v, and east is %v", d, u)
					}
				}
			}
		}
	}
	plan := view.Plan(r, "second", view.Options{})
	for _, g := range plan.Grips.List {
		paper, real := g.B.Sub(g.A).Len(), float64(g.To-g.From)/1e9
		if want := plan.Grips.Ways[0].Step.Len(); math.Abs(paper-want*real) > 0.01 {
			t.Errorf("%s, leg %d: %.2f mm for %.3f m, want %.2f a metre", g.ID, g.Part, paper, real, want)
		}
	}
	if len(plan.Grips.List) < 8 {
		t.Errorf("%d grips in plan", len(plan.Grips.List))
	}
}
