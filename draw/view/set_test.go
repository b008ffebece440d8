package view_test

import (
	"os"
	"strings"
	"testing"

	"trapweir/draw"
	"trapweir/draw/view"
	"trapweir/engine"
)

// said is what stands in the groups of that id on a sheet.
func said(s *draw.Sheet, id string) string {
	var out []string
	for _, sh := range s.Shapes {
		if g, ok := sh.(draw.Group); ok && g.ID == id {
			draw.Walk(g.Shapes, func(x draw.Shape, _ *draw.SymbolRef) {
				if t, ok := x.(draw.Text); ok {
					out = append(out, t.Words)
				}
			})
		}
	}
	return strings.Join(out, "; ")
}

// The slab house from its walls, counted by hand in the job file: the west wall is 12 ft
// west of the main, the south wall 1 ft south of its lower end. The kitchen joins at 26 of
// 42 ft, so 16 + 1 ft north of the south wall, and drops 9 ft west of the main, 3 ft from
// the west wall.
func TestStubsFromWalls(t *testing.T) {
	r := example(t, "alder-court")
	for _, paper := range []string{"letter", "tabloid", "a4", "arch-c"} {
		s := view.Plan(r, view.Below, view.Options{Paper: paper})
		if got, want := said(s, "dimensions east-west"), `3'-0"; 5'-0"; 7'-6"; 10'-0"; 14'-0"; 16'-0"; 18'-0"`; got != want {
			t.Errorf("%s: from the west wall %s, want %s", paper, got, want)
		}
		if got, want := said(s, "dimensions north-south"), `43'-0"; 41'-0"; 40'-0"; 29'-0"; 27'-0"; 25'-0"; 17'-0"; 9'-0"`; got != want {
			t.Errorf("%s: from the south wall %s, want %s", paper, got, want)
		}
		all := strings.Join(words(s), "\n")
		for _, w := range []string{"SOUTH WALL", "WEST WALL", "FROM THE SOUTH WALL", "FROM THE WEST WALL"} {
			if !strings.Contains(all, w) {
				t.Errorf("%s: %q is not on the sheet", paper, w)
			}
		}
		if strings.Contains(all, "REFERENCE") {
			t.Errorf("%s: a reference is drawn beside two walls", paper)
		}
	}
}

// Without walls the figures run from the reference, to both sides, and the sheet says so.
// Counted in the job file: the kitchen joins at 20 of 30 ft, and comes from 8 ft south.
func TestStubsFromReference(t *testing.T) {
	r := example(t, "heron-lane")
	s := view.Plan(r, view.Below, view.Options{Paper: "letter"})
	if got := said(s, "dimensions east-west"); !strings.Contains(got, `W 10'-0"`) {
		t.Errorf("east-west: %s", got)
	}
	if got := said(s, "dimensions north-south"); !strings.Contains(got, `S 8'-0"`) || !strings.Contains(got, `N 6'-0"`) {
		t.Errorf("north-south: %s", got)
	}
	all := strings.Join(words(s), " ")
	for _, w := range []string{"The job gives no walls", "REFERENCE", "where the building drain ends"} {
		if !strings.Contains(all, w) {
			t.Errorf("the sheet does not say %q", w)
		}
	}
	// Upstairs the building drain's end is not in sight: the stack is.
	all = strings.Join(words(view.Plan(r, "second", view.Options{Paper: "letter"})), " ")
	if !strings.Contains(all, "the centre of stack") {
		t.Error("the second floor is not measured from the stack")
	}
}

// metric gives an example with metric answers.
func metric(t testing.TB, name string) *engine.Result {
	t.Helper()
	b, err := os.ReadFile("../../examples/" + name + ".dwv.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return solve(t, name+", metric", []byte(strings.Replace(string(b), "\ncode:", "\nunits: metric\ncode:", 1)), "../../examples")
}

// No feet are left on the sheets of a metric job, but for what is to be written into the
// job as it stands there.
func TestMetricSheets(t *testing.T) {
	for _, name := range []string{"heron-lane", "alder-court", "quarry-row"} {
		r := metric(t, name)
		for _, s := range view.Sheets(r, view.Options{Paper: "letter"}) {
			audit(t, name+", metric", []*draw.Sheet{s})
			if strings.HasPrefix(s.Number, "P-R") {
				continue
			}
			for _, w := range words(s) {
				if strings.Contains(w, "`") { // to be written into the job
					continue
				}
				for _, bad := range []string{`'-`, "/FT", " ft", "gallon"} {
					if strings.Contains(w, bad) {
						t.Errorf("%s, %s: %q", name, s.Name(), w)
					}
				}
			}
		}
	}
}
