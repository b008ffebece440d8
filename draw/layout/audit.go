package layout

import (
	"fmt"
	"math"
	"sort"

	"trapweir/draw"
	"trapweir/draw/textwidth"
)

// Flaw is something on a sheet that a reader would stumble over.
type Flaw struct {
	Kind FlawKind
	Text string // the words it is about, or the id of the shape
	With string // what it runs into: other words, the id or layer of a line, a size
	At   draw.Point
}

// FlawKind is the kind of a flaw.
type FlawKind string

const (
	Overlap     FlawKind = "words overlap words"
	OnPipe      FlawKind = "words lie on a pipe"
	OnSymbol    FlawKind = "words lie on a symbol"
	OnLine      FlawKind = "words lie on a line"
	OffSheet    FlawKind = "not within the margins"
	Small       FlawKind = "letters too small"
	NoGlyph     FlawKind = "character not in the font"
	DuplicateID FlawKind = "id used twice"
)

// String gives the flaw in one line.
func (f Flaw) String() string {
	s := fmt.Sprintf("%s: %q", f.Kind, f.Text)
	if f.With != "" {
		s += " / " + fmt.Sprintf("%q", f.With)
	}
	return s + fmt.Sprintf(" at %.1f, %.1f mm", f.At.X, f.At.Y)
}

type word struct {
	t    draw.Text
	quad [4]draw.Point
	box  draw.Rect
	in   int // number of the symbol it belongs to, or -1
}

type edge struct {
	a, b   draw.Point
	half   float64
	box    draw.Rect
	layer  draw.Layer
	id     string
	in     int
	symbol string
}

// slack in millimetres: boxes that share less than this are taken as touching.
const slack = 0.05

// Audit looks for words that overlap words, lie on pipes, symbols or lines, or leave the
// margins, for letters under 2.5 mm, characters that the font lacks and ids used twice.
// Words over outlines of the building and over fixtures in plan are no flaw. It does not
// ask Place: it measures what is on the sheet, however it came there.
func Audit(s *draw.Sheet) []Flaw {
	var (
		words []word
		edges []edge
		flaws []Flaw
	)
	ids := map[string]int{}
	paper := draw.Rect{X1: s.W, Y1: s.H}
	symbols := -1
	var current *draw.SymbolRef
	draw.Walk(s.Shapes, func(sh draw.Shape, in *draw.SymbolRef) {
		m := sh.Base()
		if m.ID != "" {
			if ids[m.ID]++; ids[m.ID] == 2 {
				r, _ := draw.Bounds(sh)
				flaws = append(flaws, Flaw{DuplicateID, m.ID, "", r.Centre()})
			}
		}
		switch sh.(type) {
		case draw.Group, draw.SymbolRef:
		default:
			if r, ok := draw.Bounds(sh); ok && !paper.Grow(slack).Contains(r) {
				flaws = append(flaws, Flaw{OffSheet, name(sh), "off the paper", r.Centre()})
			}
		}
		of := -1
		if in != nil {
			// A symbol comes before its strokes, and is in none itself: after it begins another.
			if in != current {
				current = in
				symbols++
			}
			of = symbols
		} else {
			current = nil
		}
		if t, ok := sh.(draw.Text); ok {
			w := word{t: t, quad: t.Quad(), in: of}
			w.box, _ = draw.Bounds(t)
			words = append(words, w)
			return
		}
		if in == nil && !m.Layer.IsPipe() && (m.Layer == draw.LayerBuilding || m.Layer == draw.LayerFixture) ||
			in != nil && (m.Layer == draw.LayerFixture || m.Layer == draw.LayerBuilding) {
			return
		}
		e := edge{half: m.Pen.Or(m.Layer).Width.MM(s.Fine) / 2, layer: m.Layer, id: m.ID, in: of}
		if in != nil {
			e.symbol = in.Name
		}
		pts, filled := outline(sh)
		if filled {
			e.half = 0
		}
		for i := 1; i < len(pts); i++ {
			e.a, e.b = pts[i-1], pts[i]
			e.box = draw.Rect{X0: min(e.a.X, e.b.X), Y0: min(e.a.Y, e.b.Y), X1: max(e.a.X, e.b.X), Y1: max(e.a.Y, e.b.Y)}.Grow(e.half)
			edges = append(edges, e)
		}
	})

	for _, w := range words {
		if !s.Inner().Grow(slack).Contains(w.box) {
			flaws = append(flaws, Flaw{OffSheet, w.t.Words, "", w.t.At})
		}
		if w.t.Height() < draw.SmallestText-1e-9 {
			flaws = append(flaws, Flaw{Small, w.t.Words, fmt.Sprintf("%.2f mm", w.t.Height()), w.t.At})
		}
		for _, r := range w.t.Words {
			if !textwidth.Has(r) {
				flaws = append(flaws, Flaw{NoGlyph, w.t.Words, string(r), w.t.At})
				break
			}
		}
	}

	sort.SliceStable(words, func(i, j int) bool { return words[i].box.X0 < words[j].box.X0 })
	squares := map[[2]int][]int32{} // edges by the square of the sheet that they pass
	for i, e := range edges {
		inSquares(e.box, func(q [2]int) { squares[q] = append(squares[q], int32(i)) })
	}
	seen := make([]int, len(edges)) // 1 + the word that an edge was last held against
	for i, w := range words {
		for _, v := range words[i+1:] {
			if v.box.X0 >= w.box.X1 {
				break
			}
			if w.box.Y0 < v.box.Y1 && v.box.Y0 < w.box.Y1 && apart(w.quad[:], v.quad[:]) < -slack {
				flaws = append(flaws, Flaw{Overlap, w.t.Words, v.t.Words, w.t.At})
			}
		}
		inSquares(w.box, func(q [2]int) {
			for _, k := range squares[q] {
				if seen[k] == i+1 {
					continue
				}
				seen[k] = i + 1
				e := &edges[k]
				if !e.box.Overlaps(w.box) || e.in >= 0 && e.in == w.in {
					continue
				}
				if apart(w.quad[:], []draw.Point{e.a, e.b})-e.half >= -slack {
					continue
				}
				f := Flaw{OnLine, w.t.Words, e.id, w.t.At}
				switch {
				case e.in >= 0:
					f.Kind, f.With = OnSymbol, e.symbol
				case e.layer.IsPipe():
					f.Kind = OnPipe
				}
				if f.With == "" {
					f.With = e.layer.String()
				}
				if n := len(flaws); n == 0 || flaws[n-1] != f { // one flaw for a line of many pieces
					flaws = append(flaws, f)
				}
			}
		})
	}
	sort.SliceStable(flaws, func(i, j int) bool {
		a, b := flaws[i], flaws[j]
		switch {
		case a.Kind != b.Kind:
			return a.Kind < b.Kind
		case a.At.Y != b.At.Y:
			return a.At.Y < b.At.Y
		case a.At.X != b.At.X:
			return a.At.X < b.At.X
		}
		return a.Text < b.Text
	})
	return flaws
}

// inSquares calls f for the squares of 20 mm that r touches.
func inSquares(r draw.Rect, f func([2]int)) {
	const side = 20
	for y := math.Floor(r.Y0 / side); y <= r.Y1/side; y++ {
		for x := math.Floor(r.X0 / side); x <= r.X1/side; x++ {
			f([2]int{int(x), int(y)})
		}
	}
}

func name(s draw.Shape) string {
	if t, ok := s.(draw.Text); ok {
		return t.Words
	}
	if m := s.Base(); m.ID != "" {
		return m.ID
	}
	return s.Base().Layer.String()
}

// outline gives a shape as straight pieces; filled tells that it has no outline of its own.
func outline(s draw.Shape) (pts []draw.Point, filled bool) {
	switch s := s.(type) {
	case draw.Line:
		return []draw.Point{s.A, s.B}, false
	case draw.Polyline:
		return s.Points, false
	case draw.Polygon:
		if len(s.Points) > 0 {
			pts = append(append(pts, s.Points...), s.Points[0])
		}
		return pts, s.Fill == draw.FillInk || s.Fill == draw.FillTint
	case draw.Circle:
		pts, _ = outline(draw.Arc{C: s.C, R: s.R, Sweep: 360})
		return pts, s.Fill == draw.FillInk || s.Fill == draw.FillTint
	case draw.Arc:
		n := max(2, int(math.Ceil(math.Abs(s.Sweep)/15)))
		for i := 0; i <= n; i++ {
			pts = append(pts, s.At(s.Start+s.Sweep*float64(i)/float64(n)))
		}
	}
	return pts, false
}

// apart gives how far two convex outlines lie apart along the best of the directions square
// to their edges; a negative number is how deep they reach into each other.
func apart(p, q []draw.Point) float64 {
	best := math.Inf(-1)
	for _, poly := range [2][]draw.Point{p, q} {
		for i := range poly {
			e := poly[(i+1)%len(poly)].Sub(poly[i])
			if e == (draw.Point{}) {
				continue
			}
			n := e.Right().Unit()
			p0, p1 := reach(p, n)
			q0, q1 := reach(q, n)
			best = max(best, q0-p1, p0-q1)
		}
	}
	return best
}

// reach gives the extent of an outline along n.
func reach(p []draw.Point, n draw.Point) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, v := range p {
		d := v.X*n.X + v.Y*n.Y
		lo, hi = min(lo, d), max(hi, d)
	}
	return lo, hi
}
