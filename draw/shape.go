package draw

import (
	"math"

	"trapweir/draw/textwidth"
)

// Mark is what every shape has: where it belongs, its pen, and what it stands for.
type Mark struct {
	Layer Layer
	Pen   Pen // zero: the pen of the layer
	// ID is the id of the thing in the job, such as "hall bath lav.arm"; unique on a
	// sheet, empty for shapes that stand for nothing.
	ID string
	// Title is what is said about the thing when it is pointed at or read aloud.
	Title string
}

// Base gives the mark of a shape.
func (m Mark) Base() Mark { return m }

func (Mark) shape() {}

// Shape is one of Line, Polyline, Polygon, Circle, Arc, Text, SymbolRef and Group.
type Shape interface {
	Base() Mark
	shape()
}

// Fill is how the inside of a closed shape is painted.
type Fill uint8

const (
	NoFill    Fill = iota
	FillInk        // solid, in the ink of the layer, no outline
	FillPaper      // hides what is below it, outlined
	FillTint       // a light wash of the ink, no outline
)

// String gives "none", "ink", "paper" or "tint".
func (f Fill) String() string { return [...]string{"none", "ink", "paper", "tint"}[f] }

// Line is a straight line.
type Line struct {
	Mark
	A, B Point
}

// Polyline is a line through at least two points.
type Polyline struct {
	Mark
	Points []Point
}

// Polygon is a closed outline through at least three points, the last joined to the first.
type Polygon struct {
	Mark
	Points []Point
	Fill   Fill
}

// Circle is a whole circle.
type Circle struct {
	Mark
	C    Point
	R    float64
	Fill Fill
}

// Arc is a part of a circle from Start through Sweep degrees. 0 is to the right and
// positive is clockwise on the sheet; Sweep lies between -360 and 360.
type Arc struct {
	Mark
	C            Point
	R            float64
	Start, Sweep float64
}

// At gives the point of a at deg.
func (a Arc) At(deg float64) Point {
	s, c := math.Sincos(deg * math.Pi / 180)
	return Point{a.C.X + a.R*c, a.C.Y + a.R*s}
}

// Align is where the anchor of a text lies along its line.
type Align uint8

const (
	Left Align = iota
	Middle
	Right
)

// String gives "left", "middle" or "right".
func (a Align) String() string { return [...]string{"left", "middle", "right"}[a] }

// VAlign is where the anchor of a text lies across its line.
type VAlign uint8

const (
	OnBaseline VAlign = iota
	AtMiddle          // half the height of capitals
	AtTop             // top of capitals
)

// String gives "baseline", "middle" or "top".
func (a VAlign) String() string { return [...]string{"baseline", "middle", "top"}[a] }

// Text is one line of words. Its own pen is not used; the ink is the layer's.
type Text struct {
	Mark
	At     Point
	Words  string
	Size   float64 // height of capitals; 0 is 2.5 mm
	Align  Align
	VAlign VAlign
	Turn   float64 // clockwise about At
	Weight textwidth.Weight
	Soft   bool // in grey, for words that only name others
}

// DefaultText and SmallestText are heights of capitals in millimetres. 2.5 mm is the least
// that stays legible after a sheet has been copied twice (common practice; ISO 3098 starts
// its usual series there, from memory).
const (
	DefaultText  = 2.5
	SmallestText = 2.5
)

// Height gives the height of capitals, never 0.
func (t Text) Height() float64 {
	if t.Size == 0 {
		return DefaultText
	}
	return t.Size
}

// Width gives how long the line is.
func (t Text) Width() float64 { return textwidth.Width(t.Words, t.Height(), t.Weight) }

// Ink gives the ink that the words are set in.
func (t Text) Ink() Ink {
	if t.Soft && t.Layer.Ink() == Black {
		return Grey
	}
	return t.Layer.Ink()
}

// Origin gives the left end of the baseline, turned with the text.
func (t Text) Origin() Point {
	p := Point{0, 0}
	switch t.Align {
	case Middle:
		p.X = -t.Width() / 2
	case Right:
		p.X = -t.Width()
	}
	return t.turned(p.X, t.rise())
}

// BaseAnchor gives the anchor moved onto the baseline: the same place along the line.
func (t Text) BaseAnchor() Point { return t.turned(0, t.rise()) }

func (t Text) rise() float64 {
	switch t.VAlign {
	case AtMiddle:
		return t.Height() / 2
	case AtTop:
		return t.Height()
	}
	return 0
}

func (t Text) turned(x, y float64) Point {
	if t.Turn == 0 {
		return Point{t.At.X + x, t.At.Y + y}
	}
	s, c := math.Sincos(t.Turn * math.Pi / 180)
	return Point{t.At.X + x*c - y*s, t.At.Y + x*s + y*c}
}

// Quad gives the corners of the box around the words, brackets and descenders included,
// in reading order: top left, top right, bottom right, bottom left.
func (t Text) Quad() [4]Point {
	w, h := t.Width(), t.Height()
	x0 := 0.0
	switch t.Align {
	case Middle:
		x0 = -w / 2
	case Right:
		x0 = -w
	}
	base := t.rise()
	top, bottom := base-h*textwidth.Ascent, base+h*textwidth.Descent
	return [4]Point{t.turned(x0, top), t.turned(x0+w, top), t.turned(x0+w, bottom), t.turned(x0, bottom)}
}

// Group is a set of shapes that stand for one thing together. The layer and pen of its own
// mark are not handed down.
type Group struct {
	Mark
	Shapes []Shape
}

// Placement says where a symbol goes and how it lies: its own u axis points along U and
// its v axis along V, in millimetres of paper for one of its own.
type Placement struct{ At, U, V Point }

// Upright places a symbol at at as it is drawn: u to the right, v up.
func Upright(at Point) Placement { return Placement{at, Point{1, 0}, Point{0, -1}} }

// Map gives the place on the sheet of (u, v).
func (p Placement) Map(u, v float64) Point {
	return Point{p.At.X + u*p.U.X + v*p.V.X, p.At.Y + u*p.U.Y + v*p.V.Y}
}

// Turned gives p turned about its origin, clockwise on the sheet.
func (p Placement) Turned(deg float64) Placement {
	s, c := math.Sincos(deg * math.Pi / 180)
	rot := func(q Point) Point { return Point{q.X*c - q.Y*s, q.X*s + q.Y*c} }
	return Placement{p.At, rot(p.U), rot(p.V)}
}

// Scaled gives p larger by k about its origin.
func (p Placement) Scaled(k float64) Placement { return Placement{p.At, p.U.Mul(k), p.V.Mul(k)} }

// Mirrored gives p with u turned about.
func (p Placement) Mirrored() Placement { return Placement{p.At, p.U.Mul(-1), p.V} }

// Rigid tells whether p keeps shapes: then circles stay circles. k is its scale;
// clockwise tells whether the turn from u to v is clockwise on the sheet.
func (p Placement) Rigid() (k float64, clockwise, ok bool) {
	lu, lv := p.U.Len(), p.V.Len()
	dot, cross := p.U.X*p.V.X+p.U.Y*p.V.Y, p.U.X*p.V.Y-p.U.Y*p.V.X
	const tiny = 1e-9
	return lu, cross > 0, math.Abs(lu-lv) <= tiny*lu && math.Abs(dot) <= tiny*lu*lv
}

// SymbolRef is a symbol put on a sheet: its name, where it lies, and its strokes already
// in place, so that writers need not know the symbols.
type SymbolRef struct {
	Mark
	Name    string
	Place   Placement
	Strokes []Shape
}

// Walk calls f for every shape in order, a group before its members. in is the symbol that
// the shape is a stroke of, or nil; it is good for this call of f only.
func Walk(shapes []Shape, f func(s Shape, in *SymbolRef)) {
	var in SymbolRef // one for all symbols
	walk(shapes, nil, &in, f)
}

func walk(shapes []Shape, in, room *SymbolRef, f func(Shape, *SymbolRef)) {
	for _, s := range shapes {
		f(s, in)
		switch s := s.(type) {
		case Group:
			walk(s.Shapes, in, room, f)
		case SymbolRef:
			*room = s
			walk(s.Strokes, room, room, f)
		}
	}
}

// Bounds gives the box around a shape, the width of lines not counted. ok is false for an
// empty group.
func Bounds(s Shape) (r Rect, ok bool) {
	box := func(pts []Point) (Rect, bool) {
		if len(pts) == 0 {
			return Rect{}, false
		}
		r := Rect{pts[0].X, pts[0].Y, pts[0].X, pts[0].Y}
		for _, p := range pts[1:] {
			r = Rect{min(r.X0, p.X), min(r.Y0, p.Y), max(r.X1, p.X), max(r.Y1, p.Y)}
		}
		return r, true
	}
	all := func(list []Shape) (r Rect, ok bool) {
		for _, m := range list {
			if q, has := Bounds(m); has {
				if !ok {
					r, ok = q, true
				} else {
					r = r.Union(q)
				}
			}
		}
		return r, ok
	}
	switch s := s.(type) {
	case Line:
		return box([]Point{s.A, s.B})
	case Polyline:
		return box(s.Points)
	case Polygon:
		return box(s.Points)
	case Circle:
		return Rect{s.C.X - s.R, s.C.Y - s.R, s.C.X + s.R, s.C.Y + s.R}, true
	case Arc:
		pts := []Point{s.At(s.Start), s.At(s.Start + s.Sweep)}
		lo, hi := min(s.Start, s.Start+s.Sweep), max(s.Start, s.Start+s.Sweep)
		for q := math.Ceil(lo/90) * 90; q <= hi; q += 90 {
			pts = append(pts, s.At(q))
		}
		return box(pts)
	case Text:
		q := s.Quad()
		return box(q[:])
	case Group:
		return all(s.Shapes)
	case SymbolRef:
		return all(s.Strokes)
	}
	return Rect{}, false
}
