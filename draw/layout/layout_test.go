package layout_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"trapweir/draw"
	"trapweir/draw/internal/sample"
	"trapweir/draw/layout"
)

func pt(x, y float64) draw.Point { return draw.Point{X: x, Y: y} }

var page = draw.Rect{X0: 10, Y0: 10, X1: 290, Y1: 200}

func TestPreferredSide(t *testing.T) {
	at := pt(100, 100)
	for _, tt := range []struct {
		side layout.Side
		ok   func(b draw.Rect) bool
	}{
		{layout.Above, func(b draw.Rect) bool { return b.Y1 < at.Y && math.Abs(b.Centre().X-at.X) < 0.01 }},
		{layout.Below, func(b draw.Rect) bool { return b.Y0 > at.Y && math.Abs(b.Centre().X-at.X) < 0.01 }},
		{layout.LeftOf, func(b draw.Rect) bool { return b.X1 < at.X && math.Abs(b.Centre().Y-at.Y) < 0.01 }},
		{layout.RightOf, func(b draw.Rect) bool { return b.X0 > at.X && math.Abs(b.Centre().Y-at.Y) < 0.01 }},
		{layout.BelowLeft, func(b draw.Rect) bool { return b.X1 < at.X && b.Y0 > at.Y }},
		{layout.AboveRight, func(b draw.Rect) bool { return b.X0 > at.X && b.Y1 < at.Y }},
	} {
		p := layout.Place([]layout.Label{{Lines: []string{"WC-1"}, At: at, Sides: []layout.Side{tt.side}}}, nil, page)[0]
		if !p.OK || p.Leader != nil || !tt.ok(p.Box) {
			t.Errorf("side %d: placed %v, leader %v", tt.side, p.Box, p.Leader)
		}
	}
}

func TestAlongPipe(t *testing.T) {
	for _, tt := range []struct {
		name  string
		pts   []draw.Point
		sides []layout.Side
		ok    func(b draw.Rect) bool
	}{
		{"above a level pipe", []draw.Point{pt(50, 100), pt(90, 100)}, nil, func(b draw.Rect) bool { return b.Y1 < 100 && b.Y1 > 97 && math.Abs(b.Centre().X-70) < 0.1 }},
		{"below when asked", []draw.Point{pt(50, 100), pt(90, 100)}, []layout.Side{layout.Below}, func(b draw.Rect) bool { return b.Y0 > 100 && b.Y0 < 103 }},
		{"right of an upright one", []draw.Point{pt(50, 100), pt(50, 140)}, nil, func(b draw.Rect) bool { return b.X0 > 50 && b.X0 < 53 && math.Abs(b.Centre().Y-120) < 0.1 }},
		{"drawn upward, too", []draw.Point{pt(50, 140), pt(50, 100)}, nil, func(b draw.Rect) bool { return b.X0 > 50 && b.X0 < 53 }},
		{"left when asked", []draw.Point{pt(50, 100), pt(50, 140)}, []layout.Side{layout.LeftOf}, func(b draw.Rect) bool { return b.X1 < 50 && b.X1 > 47 }},
		{"at the longest piece", []draw.Point{pt(50, 100), pt(60, 100), pt(60, 180)}, nil, func(b draw.Rect) bool { return math.Abs(b.Centre().Y-140) < 0.1 }},
	} {
		p := layout.Place([]layout.Label{{Lines: []string{`3" S`}, Along: tt.pts, Sides: tt.sides, Half: 0.35}}, nil, page)[0]
		if !p.OK || p.Leader != nil || !tt.ok(p.Box) {
			t.Errorf("%s: placed %v, leader %v", tt.name, p.Box, p.Leader)
		}
	}
}

func TestPriority(t *testing.T) {
	// Both want the same place; the later one is worth more.
	req := []layout.Label{
		{ID: "low", Lines: []string{"LAV-1"}, At: pt(100, 100), Sides: []layout.Side{layout.RightOf}},
		{ID: "high", Lines: []string{"WC-1"}, At: pt(100, 100), Sides: []layout.Side{layout.RightOf}, Priority: 5},
	}
	p := layout.Place(req, nil, page)
	if c := p[1].Box.Centre(); math.Abs(c.Y-100) > 0.01 || c.X < 100 {
		t.Errorf("the label of priority 5 stands at %v", c)
	}
	if p[0].Box.Overlaps(p[1].Box) {
		t.Error("the labels overlap")
	}
}

func TestLeader(t *testing.T) {
	// A mark boxed in by pipes close on every side: its label has to go off, and points back.
	var obs layout.Obstacles
	for i := range 7 {
		d := 2 + 2*float64(i)
		obs.AddPolyline([]draw.Point{pt(100-d, 100-d), pt(100+d, 100-d), pt(100+d, 100+d), pt(100-d, 100+d), pt(100-d, 100-d)}, 0.35)
	}
	p := layout.Place([]layout.Label{{ID: "co", Lines: []string{`4" CO`, "TO GRADE"}, At: pt(100, 100)}}, &obs, page)[0]
	if !p.OK || len(p.Leader) != 3 {
		t.Fatalf("placed %v with leader %v", p.Box, p.Leader)
	}
	if tip := p.Leader[2]; tip.Sub(pt(100, 100)).Len() > 0.01 {
		t.Errorf("the leader points at %v", tip)
	}
	if p.Box.Overlaps(draw.Rect{X0: 86, Y0: 86, X1: 114, Y1: 114}) {
		t.Errorf("the words lie at %v among the pipes", p.Box)
	}
	g := p.Shapes()
	if g.ID != "co" || len(g.Shapes) != 4 {
		t.Errorf("%d shapes in %q, want line, arrow and two lines of words", len(g.Shapes), g.ID)
	}
}

// Where the whole wording has no room beside its pipe nor nearby, a shorter one is taken.
func TestShorterWording(t *testing.T) {
	box := draw.Rect{X0: 10, Y0: 10, X1: 40, Y1: 30} // too narrow for the whole
	l := layout.Label{Lines: []string{`1-1/2" W (1)  ARM 2'-0" (MAX 6'-0")`}, Short: [][]string{{`1-1/2" W (1)`}, {`1-1/2"`}}, Along: []draw.Point{pt(15, 20), pt(35, 20)}}
	p := layout.Place([]layout.Label{l}, nil, box)[0]
	if !p.OK || p.Leader != nil || p.Lines[0] != l.Short[0][0] {
		t.Errorf("placed %q, leader %v", p.Lines, p.Leader)
	}
	if p := layout.Place([]layout.Label{l}, nil, page)[0]; p.Lines[0] != l.Lines[0] {
		t.Errorf("shortened to %q on an empty page", p.Lines)
	}
}

// Spare words give way to all others and are not missed.
func TestSpareGivesWay(t *testing.T) {
	box := draw.Rect{X0: 10, Y0: 10, X1: 30, Y1: 16} // room for one
	req := []layout.Label{
		{Lines: []string{"COMBO"}, At: pt(11, 13), Spare: true, Priority: 9},
		{Lines: []string{"WC-1"}, At: pt(11, 13)},
	}
	if p := layout.Place(req, nil, box); p[0].OK || !p[1].OK {
		t.Errorf("spare words placed: %v, the others: %v", p[0].OK, p[1].OK)
	}
}

func TestNoRoom(t *testing.T) {
	var obs layout.Obstacles
	obs.AddBox(page)
	p := layout.Place([]layout.Label{{Lines: []string{"WC-1"}, At: pt(100, 100)}}, &obs, page)[0]
	if p.OK {
		t.Error("a full sheet has room")
	}
	if p.Box.W() == 0 {
		t.Error("a label without room should still say where it would stand")
	}
}

// riser gives a sheet with runs of pipe on a grid that is turned as in an isometric, n
// runs in all, and a label for each.
func riser(n int, r *rand.Rand) (*draw.Sheet, []layout.Label) {
	size := 34 * math.Sqrt(float64(n))
	s := &draw.Sheet{W: size * 1.4, H: size, Margins: draw.Margins{Left: 10, Top: 10, Right: 10, Bottom: 10}}
	dirs := []draw.Point{pt(0.866, -0.5), pt(0.866, 0.5), pt(0, 1), pt(0, -1), pt(-0.866, 0.5), pt(-0.866, -0.5)}
	var req []layout.Label
	for i := range n {
		a := pt(40+r.Float64()*(s.W-80), 30+r.Float64()*(s.H-60))
		b := a.Add(dirs[r.IntN(len(dirs))].Mul(8 + 20*r.Float64()))
		l := draw.LayerDrain
		if i%3 == 0 {
			l = draw.LayerVent
		}
		id := fmt.Sprintf("run %d", i)
		s.Add(draw.Polyline{Mark: draw.Mark{Layer: l, ID: id}, Points: []draw.Point{a, b}})
		if i%4 == 0 {
			req = append(req, layout.Label{ID: id + ".tag", Lines: []string{fmt.Sprintf("LAV-%d", i), `1-1/2" P`}, At: b, Half: 0.35, Priority: 2})
		}
		req = append(req, layout.Label{ID: id + ".label", Lines: []string{`2" W 1/4"/FT`}, Along: []draw.Point{a, b}, Half: 0.35})
	}
	return s, req
}

// However the pipes lie, the audit, which measures by itself, finds nothing.
// PlaceAll places what Place does, where most finds room, and gives up where most does not.
func TestPlaceAll(t *testing.T) {
	at := func(n int, reach float64) (req []layout.Label) {
		for i := range n {
			req = append(req, layout.Label{Lines: []string{fmt.Sprint("DRAIN ", i)}, At: pt(150, 100), Reach: reach})
		}
		return req
	}
	for _, n := range []int{0, 1, 12} {
		req := at(n, 0)
		if all := layout.PlaceAll(req, nil, page); all == nil || !reflect.DeepEqual(all, layout.Place(req, nil, page)) {
			t.Errorf("%d labels: other places than Place gives: %v", n, all)
		}
	}
	if all := layout.PlaceAll(at(60, 12), nil, page); all != nil {
		t.Errorf("60 labels within 12 mm of a point: placed %v", all)
	}
	if got := layout.Place(at(60, 12), nil, page); len(got) != 60 {
		t.Errorf("60 labels within 12 mm of a point: %d answers", len(got))
	}
}

func TestPlacedSheetsAreClean(t *testing.T) {
	for seed := range uint64(200) {
		s, req := riser(40, rand.New(rand.NewPCG(seed, 1)))
		var obs layout.Obstacles
		obs.AddShapes(s.Shapes, false)
		placed := layout.Place(req, &obs, s.Inner())
		leaders := 0
		for i := range placed {
			if !placed[i].OK {
				t.Errorf("sheet %d: no room for %q", seed, req[i].ID)
			}
			if placed[i].Leader != nil {
				leaders++
			}
			s.Add(placed[i].Shapes())
		}
		for _, f := range layout.Audit(s) {
			t.Errorf("sheet %d: %v", seed, f)
		}
		if leaders > len(req)/3 {
			t.Errorf("sheet %d: %d of %d labels stand off with a leader", seed, leaders, len(req))
		}
		again := layout.Place(req, &obs, s.Inner())
		if !reflect.DeepEqual(placed, again) {
			t.Errorf("sheet %d: placed differently the second time", seed)
		}
	}
}

func TestSamplesAreClean(t *testing.T) {
	for _, s := range []*draw.Sheet{sample.House("tabloid"), sample.House("letter"), sample.House("a3"), sample.Symbols()} {
		for _, f := range layout.Audit(s) {
			t.Errorf("%s, %g mm wide: %v", s.Name(), s.W, f)
		}
	}
}

func TestAuditFinds(t *testing.T) {
	text := func(x, y float64, words string) draw.Text {
		return draw.Text{Mark: draw.Mark{Layer: draw.LayerText}, At: pt(x, y), Words: words}
	}
	turned := func(t draw.Text, deg float64) draw.Text { t.Turn = deg; return t }
	tiny := text(50, 50, "TINY")
	tiny.Size = 2.4
	pipe := func(x0, y0, x1, y1 float64) draw.Line {
		return draw.Line{Mark: draw.Mark{Layer: draw.LayerDrain}, A: pt(x0, y0), B: pt(x1, y1)}
	}
	for _, tt := range []struct {
		name   string
		shapes []draw.Shape
		want   []layout.FlawKind
	}{
		{"clear words", []draw.Shape{text(20, 50, "WC-1"), text(20, 56, "WC-2"), pipe(20, 52, 60, 52)}, nil},
		{"words on words", []draw.Shape{text(20, 50, "WC-1"), text(24, 51, "WC-2")}, []layout.FlawKind{layout.Overlap}},
		{"a pipe through words", []draw.Shape{text(20, 50, "WC-1"), pipe(10, 40, 30, 60)}, []layout.FlawKind{layout.OnPipe}},
		{"a pipe that only passes the box of turned words", []draw.Shape{turned(text(20, 50, "TO PUBLIC SEWER"), -45), pipe(32, 47, 42, 37)}, nil},
		{"turned words on a pipe", []draw.Shape{turned(text(20, 50, "TO PUBLIC SEWER"), -45), pipe(20, 40, 40, 40)}, []layout.FlawKind{layout.OnPipe}},
		{"the width of a pipe counts: its middle is clear by a quarter millimetre", []draw.Shape{text(20, 50, "WC"), pipe(10, 47.1, 40, 47.1)}, []layout.FlawKind{layout.OnPipe}},
		{"words on a symbol", []draw.Shape{text(20, 50, "WC-1"), draw.SymbolRef{Name: "cleanout", Strokes: []draw.Shape{draw.Circle{Mark: draw.Mark{Layer: draw.LayerDrain}, C: pt(20, 50), R: 2}}}}, []layout.FlawKind{layout.OnSymbol}},
		{"the words of a symbol on its own strokes", []draw.Shape{draw.SymbolRef{Name: "section-mark", Strokes: []draw.Shape{text(20, 50, "7"), draw.Circle{Mark: draw.Mark{Layer: draw.LayerFinding}, C: pt(20, 50), R: 2}}}}, nil},
		{"words on a rule of a table", []draw.Shape{text(20, 50, "WC-1"), draw.Line{Mark: draw.Mark{Layer: draw.LayerTable}, A: pt(22, 40), B: pt(22, 60)}}, []layout.FlawKind{layout.OnLine}},
		{"words over a floor outline", []draw.Shape{text(20, 50, "WC-1"), draw.Line{Mark: draw.Mark{Layer: draw.LayerBuilding}, A: pt(22, 40), B: pt(22, 60)}}, nil},
		{"words in the margin", []draw.Shape{text(4, 50, "WC-1")}, []layout.FlawKind{layout.OffSheet}},
		{"a pipe off the paper", []draw.Shape{pipe(50, 50, 50, 101)}, []layout.FlawKind{layout.OffSheet}},
		{"small letters", []draw.Shape{tiny}, []layout.FlawKind{layout.Small}},
		{"a sign that the font lacks", []draw.Shape{text(20, 50, "⌀ 3")}, []layout.FlawKind{layout.NoGlyph}},
		{"an id used twice", []draw.Shape{draw.Group{Mark: draw.Mark{ID: "a"}}, draw.Group{Mark: draw.Mark{ID: "a"}}, draw.Group{Mark: draw.Mark{ID: "a"}}}, []layout.FlawKind{layout.DuplicateID}},
	} {
		s := &draw.Sheet{W: 100, H: 100, Margins: draw.Margins{Left: 5, Top: 5, Right: 5, Bottom: 5}, Shapes: tt.shapes}
		var got []layout.FlawKind
		for _, f := range layout.Audit(s) {
			got = append(got, f.Kind)
		}
		if !reflect.DeepEqual(got, tt.want) {
			t.Errorf("%s: found %v, want %v", tt.name, got, tt.want)
		}
	}
}

func benchmark(b *testing.B, n int) {
	s, req := riser(n, rand.New(rand.NewPCG(7, 7)))
	var obs layout.Obstacles
	obs.AddShapes(s.Shapes, false)
	for b.Loop() {
		layout.Place(req, &obs, s.Inner())
	}
	b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/float64(len(req)), "us/label")
}

// The time a label takes should not grow with the number of labels.
func BenchmarkPlace100(b *testing.B)  { benchmark(b, 100) }
func BenchmarkPlace1000(b *testing.B) { benchmark(b, 1000) }

func BenchmarkAudit2000(b *testing.B) {
	s := sample.Many(2000)
	for b.Loop() {
		layout.Audit(s)
	}
}
