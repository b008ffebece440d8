package view_test

import (
	"fmt"
	"strings"
	"testing"

	"trapweir/draw"
	"trapweir/draw/view"
	"trapweir/engine/fitting"
	"trapweir/internal/randomjob"
)

// Fittings are called out where one floor is drawn, not on a house of several stacks
// unless asked for, and every call-out is explained. Patterns are those of the job:
// larkspur has a wall of two lavatories back to back over a quarter turn.
func TestFittingsAreCalledOut(t *testing.T) {
	says := func(s *draw.Sheet, w string) bool { return strings.Contains("\n"+strings.Join(words(s), "\n")+"\n", w) }
	s := view.Isometric(example(t, "larkspur"), view.Options{Paper: "tabloid"})
	for _, w := range []string{"DFF", "double fixture fitting", "1/4 LS", "long sweep quarter bend", "CB\n"} {
		if !says(s, w) {
			t.Errorf("larkspur does not say %q", w)
		}
	}
	if s := view.Isometric(example(t, "larkspur"), view.Options{Paper: "tabloid", Fittings: "none"}); says(s, "DFF") {
		t.Error("fittings are called out though none are wanted")
	}
	house := example(t, "heron-lane")
	if s := view.Isometric(house, view.Options{Paper: "tabloid"}); says(s, "FITTINGS") {
		t.Error("a whole house has its fittings called out unasked")
	}
	s = view.Isometric(house, view.Options{Paper: "arch-d", Fittings: "all"})
	audit(t, "heron-lane", []*draw.Sheet{s})
	kinds := map[string]string{"combo": "COMBO", "wye": "WYE", "sanitary tee": "ST", "long sweep": "1/4 LS", "closet bend": "CB"}
	n := 0
	for i := range house.Fittings {
		f := &house.Fittings[i]
		if w := kinds[f.Kind]; w != "" && f.Does != fitting.VentTurn {
			n++
			if !says(s, " "+w+"\n") {
				t.Errorf("%s is not called out as %s", f.Kind, w)
			}
		}
	}
	if n < 5 {
		t.Errorf("heron-lane has %d of the common fittings; take another job", n)
	}
}

// A building on small paper: every fixture, stack and size of pipe is on the whole riser
// or on a part, nothing is lost, and each match letter stands on the whole riser and on
// the two parts that meet there.
func TestPartsOfASetLoseNothing(t *testing.T) {
	for _, baths := range []int{6, 16} {
		r := solve(t, "building", randomjob.House(baths), ".")
		var risers []*draw.Sheet
		for _, s := range view.Sheets(r, view.Options{Paper: "letter"}) {
			if strings.HasPrefix(s.Number, "P-R") {
				risers = append(risers, s)
			}
		}
		audit(t, "building", risers)
		parts := risers[1 : len(risers)-1]
		if len(parts) < 2 {
			t.Fatalf("%d baths on letter paper: %d parts", baths, len(parts))
		}
		all := "\n" + strings.Join(words(parts...), "\n") + "\n"
		if strings.Contains(strings.Join(words(risers...), "\n"), "no room") {
			t.Error("a label has no room")
		}
		for i := range r.Net.Fixtures {
			f := &r.Net.Fixtures[i]
			if tag := "\n" + f.Kind.Tag + "-"; !strings.Contains(all, tag) {
				t.Errorf("no %s on the parts", f.Kind.Name)
			}
		}
		for i := 1; i <= baths; i++ {
			for _, tag := range []string{"LAV", "BT", "WC"} {
				if w := fmt.Sprintf("\n%s-%d\n", tag, i); strings.Count(all, w) != 1 {
					t.Errorf("%s stands %d times on the parts", strings.TrimSpace(w), strings.Count(all, w))
				}
			}
		}
		whole := "\n" + strings.Join(words(risers[0]), "\n") + "\n"
		cuts := 0
		for c := 'A'; strings.Contains(whole, "\n"+string(c)+"\n"); c++ {
			cuts++
			if n := strings.Count(all, "\nMATCH "+string(c)+", P-R"); n != 2 {
				t.Errorf("match %c stands on %d parts, want 2", c, n)
			}
		}
		if cuts != len(parts)-1 {
			t.Errorf("%d letters on the whole riser for %d parts", cuts, len(parts))
		}
	}
}
