package view_test

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"trapweir/draw"
	"trapweir/draw/textwidth"
	"trapweir/draw/view"
)

// lines gives what is drawn on a layer as straight pieces.
func lines(s *draw.Sheet, is func(m draw.Mark) bool) (out [][2]draw.Point) {
	along := func(pts []draw.Point) {
		for i := 1; i < len(pts); i++ {
			out = append(out, [2]draw.Point{pts[i-1], pts[i]})
		}
	}
	draw.Walk(s.Shapes, func(sh draw.Shape, _ *draw.SymbolRef) {
		if !is(sh.Base()) {
			return
		}
		switch t := sh.(type) {
		case draw.Line:
			along([]draw.Point{t.A, t.B})
		case draw.Polyline:
			along(t.Points)
		case draw.Polygon:
			along(append(append([]draw.Point(nil), t.Points...), t.Points[0]))
		case draw.Circle:
			var pts []draw.Point
			for i := range 25 {
				sin, cos := math.Sincos(float64(i) * math.Pi / 12)
				pts = append(pts, draw.Point{X: t.C.X + t.R*cos, Y: t.C.Y + t.R*sin})
			}
			along(pts)
		}
	})
	return out
}

// crosses tells whether a line passes through a box.
func crosses(r draw.Rect, l [2]draw.Point) bool {
	t0, t1 := 0.0, 1.0
	d := l[1].Sub(l[0])
	for _, c := range [4][2]float64{{-d.X, l[0].X - r.X0}, {d.X, r.X1 - l[0].X}, {-d.Y, l[0].Y - r.Y0}, {d.Y, r.Y1 - l[0].Y}} {
		switch {
		case c[0] == 0 && c[1] < 0:
			return false
		case c[0] < 0:
			t0 = max(t0, c[1]/c[0])
		case c[0] > 0:
			t1 = min(t1, c[1]/c[0])
		}
	}
	return t1 > t0
}

// on tells which words of a sheet lie on some lines.
func on(s *draw.Sheet, list [][2]draw.Point) (out []string) {
	draw.Walk(s.Shapes, func(sh draw.Shape, _ *draw.SymbolRef) {
		t, ok := sh.(draw.Text)
		if !ok || t.Layer == draw.LayerFrame {
			return
		}
		b, _ := draw.Bounds(t)
		for _, l := range list {
			if crosses(b.Grow(-0.1), l) {
				out = append(out, t.Words)
				return
			}
		}
	})
	return out
}

// Tags and sizes stand beside the outlines of fixtures or within them, never on them; in a
// long section no words lie on floor or ground.
func TestWordsKeepOffOutlines(t *testing.T) {
	for _, dir := range []string{"../../examples", "../../testdata/cases"} {
		for _, j := range from(t, dir) {
			for _, paper := range []string{"letter", "tabloid", "a3"} {
				for _, level := range view.Plans(j.r) {
					s := view.Plan(j.r, level, view.Options{Paper: paper})
					if w := on(s, lines(s, func(m draw.Mark) bool { return m.Layer == draw.LayerFixture })); len(w) > 0 {
						t.Errorf("%s, %s on %s: on outlines of fixtures: %q", j.name, level, paper, w)
					}
				}
				s, ok := view.Section(j.r, view.Options{Paper: paper})
				if !ok {
					continue
				}
				if w := on(s, lines(s, func(m draw.Mark) bool { return m.Layer == draw.LayerBuilding && m.Pen.Width == draw.Medium })); len(w) > 0 {
					t.Errorf("%s on %s: on floor or ground: %q", j.name, paper, w)
				}
			}
		}
	}
}

// What a permit set says is for paper: nothing of how the job is written, and no sheet that
// is nearly empty; a heading stands with what follows it.
func TestSetsRead(t *testing.T) {
	for _, dir := range []string{"../../examples", "../../testdata/cases"} {
		for _, j := range from(t, dir) {
			papers := []string{"letter"}
			if dir == "../../examples" {
				papers = []string{"letter", "a4", "tabloid", "arch-c", "arch-d"}
			}
			for _, paper := range papers {
				for _, s := range view.Sheets(j.r, view.Options{Paper: paper}) {
					name := j.name + " on " + paper + ", " + s.Name()
					frame, low, high := s.H, 0.0, s.H
					var texts []draw.Text
					draw.Walk(s.Shapes, func(sh draw.Shape, _ *draw.SymbolRef) {
						b, ok := draw.Bounds(sh)
						if !ok {
							return
						}
						if l, is := sh.(draw.Line); is && l.Layer == draw.LayerFrame && l.A.Y == l.B.Y && l.B.X-l.A.X > s.W*0.8 {
							frame = l.A.Y
						}
						if sh.Base().Layer == draw.LayerFrame {
							return
						}
						low, high = max(low, b.Y1), min(high, b.Y0)
						if x, ok := sh.(draw.Text); ok {
							texts = append(texts, x)
							if strings.Contains(x.Words, "`") {
								t.Errorf("%s: %q", name, x.Words)
							}
						}
					})
					if dir == "../../examples" && (low-s.Inner().Y0)/(frame-s.Inner().Y0) < 0.3 {
						t.Errorf("%s: nearly empty", name)
					}
					for _, h := range texts {
						if h.Weight != textwidth.Bold || h.Layer != draw.LayerTable || h.Size < 3.4 || h.Size > 4.6 {
							continue
						}
						follows := false
						for _, x := range texts {
							d := x.At.Y - h.At.Y
							follows = follows || d > 2 && d < 19 && x.At.X > h.At.X-1 && x.At.X < h.At.X+160
						}
						if !follows {
							t.Errorf("%s: nothing follows %q", name, h.Words)
						}
					}
				}
			}
		}
	}
}

// Every sheet has a number of its own, counted on within its letter; the cover and the
// office's list name only sheets that are there, and the cover names all.
func TestSheetNumbers(t *testing.T) {
	number := regexp.MustCompile(`P-[A-Z]?[0-9]+`)
	for _, name := range []string{"heron-lane", "quarry-row", "larkspur"} {
		for _, paper := range []string{"letter", "tabloid", "a3", "arch-d"} {
			sheets := view.Sheets(example(t, name), view.Options{Paper: paper})
			have, order := map[string]int{}, map[string]int{}
			for i, s := range sheets {
				if _, twice := have[s.Number]; twice {
					t.Errorf("%s on %s: two sheets %s", name, paper, s.Number)
				}
				have[s.Number] = i
				letter := strings.TrimRight(s.Number, "0123456789")
				n := 0
				fmt.Sscanf(s.Number[len(letter):], "%d", &n)
				if last, ok := order[letter]; ok && n != last+1 {
					t.Errorf("%s on %s: %s follows %s%d", name, paper, s.Number, letter, last)
				}
				order[letter] = n
				if !strings.Contains(strings.Join(words(s), "\n"), fmt.Sprintf("%d of %d", i+1, len(sheets))) {
					t.Errorf("%s on %s: %s does not say that it is %d of %d", name, paper, s.Number, i+1, len(sheets))
				}
			}
			named := map[int]bool{0: true}
			for _, w := range words(sheets[0]) {
				list := number.FindAllString(w, -1)
				for _, x := range list {
					if _, ok := have[x]; !ok {
						t.Errorf("%s on %s: %q names no sheet of the set", name, paper, w)
					}
				}
				if len(list) > 0 {
					for i := have[list[0]]; i <= have[list[len(list)-1]]; i++ {
						named[i] = true
					}
				}
			}
			if len(named) != len(sheets) {
				t.Errorf("%s on %s: the cover names %d of %d sheets", name, paper, len(named), len(sheets))
			}
		}
	}
}

// A plan lies as the plan of the house does: with north to the right, what lies farther
// north is farther right, and the figures from the south wall run along the lower edge.
func TestPlanLiesAsTheHouse(t *testing.T) {
	at := func(s *draw.Sheet, id string) (p draw.Point) {
		for _, sh := range s.Shapes {
			if sh.Base().ID == id {
				b, _ := draw.Bounds(sh)
				p = b.Centre()
			}
		}
		if p == (draw.Point{}) {
			t.Fatalf("no %s on the plan", id)
		}
		return p
	}
	// Counted in the job file: the washer stands 8 ft south of the kitchen sink, and 13 ft
	// east of it.
	for north, want := range map[string]draw.Point{"up": {X: 1, Y: 1}, "right": {X: -1, Y: 1}, "down": {X: -1, Y: -1}, "left": {X: 1, Y: -1}, "90": {X: -1, Y: 1}} {
		text := strings.Replace(exampleText(t, "alder-court"), "\ncode:", "\nsite: {north: "+north+"}\ncode:", 1)
		s := view.Plan(solve(t, "turned", []byte(text), "../../examples"), view.Below, view.Options{Paper: "tabloid"})
		audit(t, "north "+north, []*draw.Sheet{s})
		d := at(s, "washer.stub").Sub(at(s, "kitchen.stub"))
		if d.X*want.X <= 0 || d.Y*want.Y <= 0 {
			t.Errorf("north %s: from the sink to the washer is %.0f, %.0f mm on paper", north, d.X, d.Y)
		}
		if got := said(s, "dimensions north-south"); strings.Count(got, "; ") != 8 || !strings.Contains(got, `17'-0"`) {
			t.Errorf("north %s: from the south wall %s", north, got)
		}
		ns, ew := at(s, "dimensions north-south"), at(s, "dimensions east-west")
		if turned := north == "right" || north == "left" || north == "90"; turned != (ns.Y > ew.Y) {
			t.Errorf("north %s: the figures north and south stand at %.0f mm, those east and west at %.0f mm", north, ns.Y, ew.Y)
		}
	}
}
