package draw

import (
	"math"
	"strings"
	"testing"

	"trapweir/draw/textwidth"
)

func near(a, b float64) bool    { return math.Abs(a-b) < 1e-6 }
func nearPoint(a, b Point) bool { return near(a.X, b.X) && near(a.Y, b.Y) }
func nearRect(a Rect, b Rect) bool {
	return near(a.X0, b.X0) && near(a.Y0, b.Y0) && near(a.X1, b.X1) && near(a.Y1, b.Y1)
}

// Sizes of paper: ISO 216 for the A sizes; letter and tabloid are 8.5 by 11 and 11 by 17
// inches, the architectural sizes 9 by 12 up to 24 by 36 (ASME Y14.1, from memory).
func TestSizes(t *testing.T) {
	inches := map[string][2]float64{"letter": {11, 8.5}, "tabloid": {17, 11}, "arch-a": {12, 9}, "arch-b": {18, 12}, "arch-c": {24, 18}, "arch-d": {36, 24}}
	for _, z := range Sizes {
		if in, ok := inches[z.Name]; ok {
			if !near(z.W, in[0]*25.4) || !near(z.H, in[1]*25.4) {
				t.Errorf("%s is %g x %g mm", z.Name, z.W, z.H)
			}
			continue
		}
		if r := z.W / z.H; math.Abs(r-math.Sqrt2) > 0.005 {
			t.Errorf("%s has sides of %.3f to 1, not the root of two", z.Name, r)
		}
	}
	s, ok := NewSheet("letter", true, "P-1", "Plan")
	if !ok || s.W != 215.9 || s.H != 279.4 || !s.Fine || s.Name() != "P-1  Plan" {
		t.Errorf("upright letter is %g x %g, fine %v, %q", s.W, s.H, s.Fine, s.Name())
	}
	if _, ok := NewSheet("foolscap", false, "", ""); ok {
		t.Error("a size that is not in the list was found")
	}
}

// Each width is about the root of two times the one before (the series of ISO 128-2, from
// memory), and a fine sheet uses the next thinner one.
func TestWidths(t *testing.T) {
	for w := Thin; w <= Broad; w++ {
		if r := w.MM(false) / (w - 1).MM(false); r < 1.35 || r > 1.5 {
			t.Errorf("%v is %.2f times %v", w, r, w-1)
		}
		if w.MM(true) != (w - 1).MM(false) {
			t.Errorf("%v on a fine sheet is %.2f mm, want %.2f", w, w.MM(true), (w - 1).MM(false))
		}
	}
}

func TestPenOr(t *testing.T) {
	for _, tt := range []struct {
		pen   Pen
		layer Layer
		want  Pen
	}{
		{Pen{}, LayerVent, Pen{Bold, ShortDash}},
		{Pen{Heavy, Solid}, LayerVent, Pen{Heavy, Solid}},
		{Pen{OfLayer, Dots}, LayerDrain, Pen{Heavy, Dots}},
	} {
		if got := tt.pen.Or(tt.layer); got != tt.want {
			t.Errorf("%v on %v draws %v, want %v", tt.pen, tt.layer, got, tt.want)
		}
	}
}

// No two lines of the table of lines look the same in black and white.
func TestServicesDiffer(t *testing.T) {
	seen := map[Service]string{}
	for _, s := range Services {
		look := s
		look.Word, look.Tag = "", ""
		p := s.Layer.Pen()
		look.Layer = Layer(uint8(p.Width)*16 + uint8(p.Dash))
		if other, ok := seen[look]; ok {
			t.Errorf("%s is drawn like %s", s.Word, other)
		}
		seen[look] = s.Word
	}
}

// Inks are dark enough on paper and light enough on a dark page: contrast of 4.5 to 1 or
// more (WCAG 2.1, 1.4.3).
func TestContrast(t *testing.T) {
	lum := func(c [3]uint8) float64 {
		l := 0.0
		for i, k := range []float64{0.2126, 0.7152, 0.0722} {
			v := float64(c[i]) / 255
			if v <= 0.04045 {
				v /= 12.92
			} else {
				v = math.Pow((v+0.055)/1.055, 2.4)
			}
			l += k * v
		}
		return l
	}
	contrast := func(a, b [3]uint8) float64 {
		x, y := lum(a), lum(b)
		return (max(x, y) + 0.05) / (min(x, y) + 0.05)
	}
	for i := range Ink(InkCount) {
		if c := contrast(i.RGB(), [3]uint8{255, 255, 255}); c < 4.5 {
			t.Errorf("%v on paper has a contrast of %.1f", i, c)
		}
		if c := contrast(i.RGBDark(), [3]uint8{0x14, 0x16, 0x1a}); c < 4.5 {
			t.Errorf("%v on a dark page has a contrast of %.1f", i, c)
		}
	}
}

func TestTextQuad(t *testing.T) {
	w := textwidth.Width("WC-1", 2.5, textwidth.Regular)
	for _, tt := range []struct {
		t          Text
		left, base Point // left end of the baseline
	}{
		{Text{At: Point{10, 20}, Words: "WC-1"}, Point{10, 20}, Point{10, 20}},
		{Text{At: Point{10, 20}, Words: "WC-1", Align: Right, VAlign: AtTop}, Point{10 - w, 22.5}, Point{10, 22.5}},
		{Text{At: Point{10, 20}, Words: "WC-1", Align: Middle, VAlign: AtMiddle}, Point{10 - w/2, 21.25}, Point{10, 21.25}},
		// Turned a quarter clockwise the words run down and their feet point left.
		{Text{At: Point{10, 20}, Words: "WC-1", VAlign: AtTop, Turn: 90}, Point{7.5, 20}, Point{7.5, 20}},
	} {
		if got := tt.t.Origin(); !nearPoint(got, tt.left) {
			t.Errorf("%+v begins at %v, want %v", tt.t, got, tt.left)
		}
		if got := tt.t.BaseAnchor(); !nearPoint(got, tt.base) {
			t.Errorf("%+v is anchored at %v, want %v", tt.t, got, tt.base)
		}
		q := tt.t.Quad()
		if h := q[3].Sub(q[0]).Len(); !near(q[1].Sub(q[0]).Len(), w) || h < 3 || h > 3.6 {
			t.Errorf("%+v has a box of %.2f by %.2f", tt.t, q[1].Sub(q[0]).Len(), h)
		}
	}
}

func TestBounds(t *testing.T) {
	for _, tt := range []struct {
		name string
		s    Shape
		want Rect
	}{
		{"a quarter clockwise from the right is at the bottom", Arc{C: Point{10, 10}, R: 5, Sweep: 90}, Rect{10, 10, 15, 15}},
		{"anticlockwise from the right over the top", Arc{C: Point{10, 10}, R: 5, Sweep: -180}, Rect{5, 5, 15, 10}},
		{"through the bottom", Arc{C: Point{0, 0}, R: 1, Start: 45, Sweep: 90}, Rect{-math.Sqrt2 / 2, math.Sqrt2 / 2, math.Sqrt2 / 2, 1}},
		{"circle", Circle{C: Point{1, 2}, R: 1}, Rect{0, 1, 2, 3}},
		{"group", Group{Shapes: []Shape{Line{A: Point{0, 0}, B: Point{1, 1}}, Group{}, Line{A: Point{5, -1}, B: Point{2, 2}}}}, Rect{0, -1, 5, 2}},
	} {
		if got, ok := Bounds(tt.s); !ok || !nearRect(got, tt.want) {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
	if _, ok := Bounds(Group{}); ok {
		t.Error("an empty group has a box")
	}
}

func TestPlacement(t *testing.T) {
	p := Upright(Point{10, 10})
	if got := p.Map(2, 3); !nearPoint(got, Point{12, 7}) {
		t.Errorf("v should point up the sheet: %v", got)
	}
	if got := p.Turned(90).Map(2, 0); !nearPoint(got, Point{10, 12}) {
		t.Errorf("a quarter clockwise turns u down: %v", got)
	}
	k, clockwise, ok := p.Turned(33).Scaled(2).Rigid()
	if !near(k, 2) || clockwise || !ok {
		t.Errorf("turned and scaled: scale %g, clockwise %v, rigid %v", k, clockwise, ok)
	}
	if _, clockwise, ok := p.Mirrored().Rigid(); !clockwise || !ok {
		t.Error("a mirrored symbol turns clockwise and stays rigid")
	}
	if _, _, ok := (Placement{U: Point{0.866, -0.5}, V: Point{-0.866, -0.5}}).Rigid(); ok {
		t.Error("the level plane of an isometric is not rigid")
	}
}

func TestAlong(t *testing.T) {
	pts := []Point{{0, 0}, {10, 0}, {10, 10}}
	for _, tt := range []struct {
		d       float64
		at, dir Point
	}{{4, Point{4, 0}, Point{1, 0}}, {15, Point{10, 5}, Point{0, 1}}, {99, Point{10, 10}, Point{0, 1}}, {-1, Point{0, 0}, Point{1, 0}}} {
		if at, dir := Along(pts, tt.d); !nearPoint(at, tt.at) || !nearPoint(dir, tt.dir) {
			t.Errorf("%g along: %v toward %v, want %v toward %v", tt.d, at, dir, tt.at, tt.dir)
		}
	}
	if l := Length(pts); l != 20 {
		t.Errorf("length %g, want 20", l)
	}
}

func TestCrossBehind(t *testing.T) {
	got := CrossBehind(Point{0, 0}, Point{100, 0}, 2.5, Point{70, 0}, Point{20, 0}, Point{22, 0}, Point{99, 0})
	want := [][2]Point{{{0, 0}, {17.5, 0}}, {{24.5, 0}, {67.5, 0}}, {{72.5, 0}, {96.5, 0}}}
	if len(got) != len(want) {
		t.Fatalf("got %v, want %v", got, want)
	}
	for i := range want {
		if !nearPoint(got[i][0], want[i][0]) || !nearPoint(got[i][1], want[i][1]) {
			t.Errorf("part %d is %v, want %v", i, got[i], want[i])
		}
	}
}

func TestPipe(t *testing.T) {
	find := func(word string) Service {
		for _, s := range Services {
			if s.Word == word {
				return s
			}
		}
		t.Fatalf("no service %q", word)
		return Service{}
	}
	// Crosses every 10 mm or so: five on 50 mm, of two strokes each.
	g := Pipe(find("Existing, to be removed"), "old", "", Point{0, 0}, Point{30, 0}, Point{30, 20}).(Group)
	if n := len(g.Shapes) - 1; n != 10 || g.ID != "old" {
		t.Errorf("%d strokes of crosses on %q, want 10 on old", n, g.ID)
	}
	// Letters stand in a gap that is wider than they are.
	for _, end := range []Point{{60, 0}, {0, 60}, {40, 30}} {
		g := Pipe(find("Combination waste and vent"), "c", "", Point{0, 0}, end).(Group)
		if len(g.Shapes) != 3 {
			t.Fatalf("%d shapes, want line, letters, line", len(g.Shapes))
		}
		box, _ := Bounds(g.Shapes[1])
		for _, i := range []int{0, 2} {
			for _, p := range g.Shapes[i].(Polyline).Points {
				if box.Grow(0.5).Contains(Rect{p.X, p.Y, p.X, p.Y}) {
					t.Errorf("toward %v the pipe ends %v in its letters %v", end, p, box)
				}
			}
		}
	}
	if _, plain := Pipe(find("Indirect waste"), "s", "", Point{0, 0}, Point{10, 0}).(Polyline); !plain {
		t.Error("a pipe too short for letters should be a plain line")
	}
}

func TestWrap(t *testing.T) {
	lines := Wrap("Local code and the inspector decide.\n\nLicensed work", 2.5, textwidth.Regular, 30)
	for _, l := range lines {
		if w := textwidth.Width(l, 2.5, textwidth.Regular); w > 30 {
			t.Errorf("%q is %.1f mm wide", l, w)
		}
	}
	if got := strings.Join(lines, "|"); strings.ReplaceAll(got, "|", " ") != "Local code and the inspector decide.  Licensed work" {
		t.Errorf("words were lost: %s", got)
	}
}

func TestDimensionLine(t *testing.T) {
	for _, tt := range []struct {
		a, b Point
		turn float64
	}{
		{Point{0, 0}, Point{50, 0}, 0},
		{Point{50, 0}, Point{0, 0}, 0},
		{Point{0, 0}, Point{0, 50}, -90},
		{Point{0, 50}, Point{0, 0}, -90},
	} {
		g := DimensionLine("d", tt.a, tt.b, 8, `12'-6"`)
		var text Text
		var line Line
		for _, s := range g.Shapes {
			switch s := s.(type) {
			case Text:
				text = s
			case Line:
				line = s // the last one is the dimension line
			}
		}
		if !near(text.Turn, tt.turn) {
			t.Errorf("from %v to %v the words are turned %g, want %g: they read from below or from the right", tt.a, tt.b, text.Turn, tt.turn)
		}
		box, _ := Bounds(text)
		lb, _ := Bounds(line)
		if box.Overlaps(lb.Grow(0.2)) {
			t.Errorf("from %v to %v the words %v lie on the line %v", tt.a, tt.b, box, lb)
		}
	}
}

func TestFrameLeavesRoom(t *testing.T) {
	for _, size := range []string{"letter", "tabloid", "a4", "a3", "arch-d"} {
		for _, upright := range []bool{false, true} {
			s, _ := NewSheet(size, upright, "P-R1", "Drain, waste and vent riser")
			free := DrawFrame(s, TitleBlock{
				Project: "Heron Lane, new house", Scale: "NOT TO SCALE", Of: "3 of 7", Notice: "Local code and the inspector decide.", Stamp: true,
				Lines: []Field{{"Address", "12 Heron Lane, Marlow County"}, {"Code", "irc-2021"}, {"Drawn", "2026-11-25"}},
			})
			if free.H() < s.H*0.6 || free.W() < s.W*0.8 {
				t.Errorf("%s: only %v is left of %g x %g", size, free, s.W, s.H)
			}
			for _, sh := range s.Shapes {
				if b, _ := Bounds(sh); !s.Inner().Grow(0.01).Contains(b) {
					t.Errorf("%s upright %v: %+v leaves the margins", size, upright, sh)
				}
			}
		}
	}
}

// The part of a line in a box; corners and edges count as in it.
func TestRectAlong(t *testing.T) {
	r := Rect{X0: 0, Y0: 0, X1: 10, Y1: 10}
	for _, tt := range []struct {
		a, w   Point
		t0, t1 float64
		ok     bool
	}{
		{Point{-10, 5}, Point{40, 0}, 0.25, 0.5, true},
		{Point{5, 5}, Point{1, 1}, 0, 1, true},
		{Point{5, 20}, Point{0, -40}, 0.25, 0.5, true},
		{Point{-5, 5}, Point{10, 10}, 0.5, 0.5, true}, // touches a corner
		{Point{-5, 11}, Point{20, 0}, 0, 0, false},
		{Point{-5, 5}, Point{4, 0}, 0, 0, false},
	} {
		t0, t1, ok := r.Along(tt.a, tt.w)
		if ok != tt.ok || ok && (t0 != tt.t0 || t1 != tt.t1) {
			t.Errorf("from %v along %v: %v %v %v, want %v %v %v", tt.a, tt.w, t0, t1, ok, tt.t0, tt.t1, tt.ok)
		}
	}
}
