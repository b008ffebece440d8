// Package draw is the drawing model: sheets of plain shapes, symbols and words, each
// carrying the id of the thing in the job that it stands for. It knows no output format
// and no pipes; views put shapes on a sheet, writers (list, svg, pdf, dxf) take them off.
//
// Lengths are millimetres on paper, x to the right and y down from the sheet's upper left
// corner. Angles are degrees, clockwise as seen on the sheet. Shapes are drawn in the order
// of the list, later ones on top. The same sheet always gives the same bytes.
package draw

import "math"

// Point is a place on a sheet, or a step from one place to another.
type Point struct{ X, Y float64 }

// Add gives p moved by q.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub gives the step from q to p.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Mul gives p stretched by k.
func (p Point) Mul(k float64) Point { return Point{p.X * k, p.Y * k} }

// Len gives the length of the step p.
func (p Point) Len() float64 { return math.Sqrt(p.X*p.X + p.Y*p.Y) }

// Unit gives the step of length 1 in the direction of p; a zero step gives (1, 0).
func (p Point) Unit() Point {
	l := p.Len()
	if l == 0 {
		return Point{1, 0}
	}
	return Point{p.X / l, p.Y / l}
}

// Right gives p turned a quarter clockwise as seen on the sheet.
func (p Point) Right() Point { return Point{-p.Y, p.X} }

// Rect is an upright rectangle; X0 <= X1 and Y0 <= Y1.
type Rect struct{ X0, Y0, X1, Y1 float64 }

// W gives the width of r.
func (r Rect) W() float64 { return r.X1 - r.X0 }

// H gives the height of r.
func (r Rect) H() float64 { return r.Y1 - r.Y0 }

// Centre gives the middle of r.
func (r Rect) Centre() Point { return Point{(r.X0 + r.X1) / 2, (r.Y0 + r.Y1) / 2} }

// Grow gives r with d more on every side; a negative d shrinks it.
func (r Rect) Grow(d float64) Rect { return Rect{r.X0 - d, r.Y0 - d, r.X1 + d, r.Y1 + d} }

// Union gives the smallest rectangle around r and q.
func (r Rect) Union(q Rect) Rect {
	return Rect{min(r.X0, q.X0), min(r.Y0, q.Y0), max(r.X1, q.X1), max(r.Y1, q.Y1)}
}

// Along gives the part of the line from a along w that lies in r, as shares of w from 0 to 1;
// ok is false where none does. A line that only touches r has a part without length.
func (r Rect) Along(a, w Point) (t0, t1 float64, ok bool) {
	t0, t1 = 0, 1
	for _, e := range [...]struct{ p, d, lo, hi float64 }{{a.X, w.X, r.X0, r.X1}, {a.Y, w.Y, r.Y0, r.Y1}} {
		if e.d == 0 {
			if e.p < e.lo || e.p > e.hi {
				return 0, 0, false
			}
			continue
		}
		u, v := (e.lo-e.p)/e.d, (e.hi-e.p)/e.d
		if u > v {
			u, v = v, u
		}
		t0, t1 = max(t0, u), min(t1, v)
	}
	return t0, t1, t0 <= t1
}

// Contains tells whether q lies within r; touching edges count as within.
func (r Rect) Contains(q Rect) bool {
	return q.X0 >= r.X0 && q.Y0 >= r.Y0 && q.X1 <= r.X1 && q.Y1 <= r.Y1
}

// Overlaps tells whether r and q share more than an edge.
func (r Rect) Overlaps(q Rect) bool {
	return r.X0 < q.X1 && q.X0 < r.X1 && r.Y0 < q.Y1 && q.Y0 < r.Y1
}

// Margins are the widths of the edge of a sheet that stay blank, in millimetres.
type Margins struct{ Left, Top, Right, Bottom float64 }

// Sheet is one sheet of paper.
type Sheet struct {
	// Number is what the sheet is called in the set ("P-R1"); Title is what it shows.
	Number, Title string
	// Desc says in a sentence what there is to see, for those who listen to it.
	Desc string
	// W and H are the size of the paper.
	W, H    float64
	Margins Margins
	// Fine draws every line one step thinner: for letter-size paper.
	Fine bool
	// Scale is how many millimetres of the real thing one on paper stands for, where the whole
	// sheet is drawn to one scale; 0 elsewhere.
	Scale float64
	// Lang is the language of the words, as a BCP 47 tag; empty is "en".
	Lang   string
	Shapes []Shape
	Grips  Grips
	// Seen is how a riser is seen on it.
	Seen Seen
}

// Seen is the paper that a riser was drawn on, and the corner of the house from which it is
// seen: 1 to 4, 0 for none.
type Seen struct {
	Paper  string
	Corner int
}

// Add puts shapes on top of what is on the sheet.
func (s *Sheet) Add(shapes ...Shape) { s.Shapes = append(s.Shapes, shapes...) }

// Inner is the part of the paper within the margins.
func (s *Sheet) Inner() Rect {
	return Rect{s.Margins.Left, s.Margins.Top, s.W - s.Margins.Right, s.H - s.Margins.Bottom}
}

// Language gives Lang, or "en" when it is empty.
func (s *Sheet) Language() string {
	if s.Lang == "" {
		return "en"
	}
	return s.Lang
}

// Name gives the number and the title in one line, as bookmarks and window titles show it.
func (s *Sheet) Name() string {
	switch {
	case s.Number == "":
		return s.Title
	case s.Title == "":
		return s.Number
	}
	return s.Number + "  " + s.Title
}

// Size is a size of paper, lying (the long side across).
type Size struct {
	Name string
	W, H float64
}

// Sizes are the papers that a permit set is printed on: the office papers and the
// architectural sizes of North America, and the A sizes of ISO 216.
var Sizes = []Size{
	{"letter", 279.4, 215.9},
	{"tabloid", 431.8, 279.4},
	{"arch-a", 304.8, 228.6},
	{"arch-b", 457.2, 304.8},
	{"arch-c", 609.6, 457.2},
	{"arch-d", 914.4, 609.6},
	{"a4", 297, 210},
	{"a3", 420, 297},
	{"a2", 594, 420},
	{"a1", 841, 594},
}

// NewSheet gives a blank sheet of the named size, lying or upright, with 10 mm of margin
// (15 on the left, for the binding). Letter and A4 are drawn fine. ok is false for a size
// that is not in Sizes.
func NewSheet(size string, upright bool, number, title string) (s *Sheet, ok bool) {
	for _, z := range Sizes {
		if z.Name != size {
			continue
		}
		s = &Sheet{Number: number, Title: title, W: z.W, H: z.H, Margins: Margins{15, 10, 10, 10}, Fine: z.W < 300}
		if upright {
			s.W, s.H = s.H, s.W
		}
		return s, true
	}
	return nil, false
}
