// Package layout finds room for labels: none on a pipe, on a symbol, on another label or
// off the sheet, and a leader to what it names where a label had to move away.
//
// It is deterministic, and its work grows with the number of labels and obstacles, not
// with their square: what is in the way is looked up in a grid.
package layout

import (
	"math"
	"sort"

	"trapweir/draw"
	"trapweir/draw/textwidth"
)

// Side is where a label stands, seen from what it names.
type Side uint8

const (
	Above Side = iota
	RightOf
	Below
	LeftOf
	AboveRight
	BelowRight
	AboveLeft
	BelowLeft
	sideCount
)

// toward gives the side as steps right and down.
var toward = [sideCount][2]float64{{0, -1}, {1, 0}, {0, 1}, {-1, 0}, {1, -1}, {1, 1}, {-1, -1}, {-1, 1}}

var usual = []Side{AboveRight, BelowRight, AboveLeft, BelowLeft, RightOf, LeftOf, Above, Below}

// Label asks for room for some words.
type Label struct {
	// ID is given to the group that the label becomes.
	ID    string
	Lines []string
	// At is what the label names, or Along when that has two points or more: then the
	// label may stand beside any part of that line.
	At    draw.Point
	Along []draw.Point
	// Half is how far the named thing reaches around At or Along: half a line's width, the
	// radius of a symbol.
	Half float64
	// Short are shorter wordings, the longest first, for where the whole one finds no room
	// nearby.
	Short [][]string
	// Sides are tried first, in order; the others follow in the usual order. For a label
	// along a line a side tells which side of the line comes first.
	Sides []Side
	// Priority: higher ones choose first.
	Priority int
	Layer    draw.Layer // draw.LayerFrame, the zero layer, means draw.LayerText
	Size     float64    // height of capitals; 0 is 2.5 mm
	Weight   textwidth.Weight
	Soft     bool
	// Gap is the distance to the named thing; 0 is 1.2 mm.
	Gap float64
	// Pad is blank room kept around the words, for a frame; Least is the smallest width
	// and height of the box, for a balloon.
	Pad, Least float64
	// Wide is the smallest width of the box, for a row of balloons.
	Wide float64
	// Row is how many round things of the size Least stand side by side in the box. Where none
	// of them touches At a stroke is drawn from the nearest one to it: Placed.Stroke.
	Row int
	// Reach is the longest way off, for words that would rather be left out than led to from
	// afar; 0 is as far as a leader is followed.
	Reach float64
	// Owner is the number of the thing that is named, as its lines are told to the
	// obstacles; 0 where it does not matter what else is near.
	Owner int
	// Spare words give way to all others and are left out where no room is left nearby.
	Spare bool
}

// Placed is the answer to the label with the same index.
type Placed struct {
	Label *Label
	// Lines is the wording that was taken: the label's Lines or one of Short.
	Lines []string
	Box   draw.Rect
	Align draw.Align
	// Leader runs from the words to what they name; nil when they stand beside it.
	Leader []draw.Point
	// Stroke runs from the edge of the nearest round thing of a row, which stands beside what it
	// names without touching it; nil where it touches, or is led to.
	Stroke []draw.Point
	// OK is false when the sheet has no room: the box is then where the label would have
	// liked to be, in the way of something.
	OK bool
}

// Clearances in millimetres: between labels, and from a label to the edge of a line or box.
const (
	betweenLabels = 1.0
	readApart     = 2.2 // wanted between labels, that two are not read as one
	toLines       = 0.5
	breathing     = 1.8 // wanted on sides that face away
	shoulder      = 1.6 // level piece of a leader at the words
	apartWords    = 0.5 // from there to the words
	leaderArrow   = 1.8
	shortest      = 4.0  // slanting piece of a leader, so that its arrow can be seen
	farthest      = 75.0 // a longer leader is not followed by the eye
)

func (l *Label) size() float64 {
	if l.Size == 0 {
		return draw.DefaultText
	}
	return l.Size
}

func (l *Label) gap() float64 {
	if l.Gap == 0 {
		return 1.2
	}
	return l.Gap
}

// wordings adds the ways to write a label, with the width and height of their boxes.
func (l *Label) wordings(out []wording) []wording {
	for k := -1; k < len(l.Short); k++ {
		f := wording{lines: l.Lines}
		if k >= 0 {
			f.lines = l.Short[k]
		}
		for _, s := range f.lines {
			f.w = max(f.w, textwidth.Width(s, l.size(), l.Weight))
		}
		f.w, f.h = max(f.w+2*l.Pad, l.Least, l.Wide), max(l.height(len(f.lines))+2*l.Pad, l.Least)
		out = append(out, f)
	}
	return out
}

// height is that of n lines.
func (l *Label) height(n int) float64 {
	return l.size() * (textwidth.Ascent + textwidth.Descent + draw.Leading*float64(max(n, 1)-1))
}

// Shapes gives the words and the leader as one group.
func (p *Placed) Shapes() draw.Group {
	l := p.Label
	layer := l.Layer
	if layer == draw.LayerFrame {
		layer = draw.LayerText
	}
	g := draw.Group{Mark: draw.Mark{Layer: layer, ID: l.ID}, Shapes: make([]draw.Shape, 0, len(p.Lines)+2)}
	if n := len(p.Leader); n > 1 {
		m := draw.Mark{Layer: draw.LayerDimension}
		tip, from := p.Leader[n-1], p.Leader[n-2]
		line := append([]draw.Point(nil), p.Leader...)
		dir := tip.Sub(from).Unit()
		line[n-1] = tip.Sub(dir.Mul(leaderArrow * 0.8))
		g.Shapes = append(g.Shapes, draw.Polyline{Mark: m, Points: line}, draw.Arrow(m, tip, dir, leaderArrow))
	}
	x, align := p.Box.X0, p.Align
	if l.Pad > 0 || l.Least > 0 { // words in a frame stand in its middle
		align = draw.Middle
	}
	switch align {
	case draw.Middle:
		x = p.Box.Centre().X
	case draw.Right:
		x = p.Box.X1
	}
	y := p.Box.Y0 + (p.Box.H()-l.height(len(p.Lines)))/2 + l.size()*textwidth.Ascent
	for _, s := range p.Lines {
		g.Shapes = append(g.Shapes, draw.Text{Mark: draw.Mark{Layer: layer}, At: draw.Point{X: x, Y: y}, Words: s, Size: l.Size, Align: align, Weight: l.Weight, Soft: l.Soft})
		y += l.size() * draw.Leading
	}
	return g
}

// spot is one place that a label could stand at.
type spot struct {
	box   draw.Rect
	roomy draw.Rect // with breathing space on the sides that face away from the named thing
	align draw.Align
	rank  int // 0 beside the middle of the longest piece of a line, 1 beside its ends, 2 the next piece ...
}

// spots lists the places beside the named thing, best first.
func (l *Label) spots(out []spot, f *wording) []spot {
	w, h := f.w, f.h
	if len(l.Along) >= 2 {
		return l.alongSpots(out, w, h)
	}
	d := l.gap() + l.Half
	seen := [sideCount]bool{}
	for _, list := range [][]Side{l.Sides, usual} {
		for _, s := range list {
			if s >= sideCount || seen[s] {
				continue
			}
			seen[s] = true
			t := toward[s]
			k := d
			if t[0] != 0 && t[1] != 0 {
				k = d * 0.75 // a corner is nearer than a side
			}
			out = append(out, beside(l.At.Add(draw.Point{X: t[0] * k, Y: t[1] * k}), t, w, h))
		}
	}
	return out
}

// beside gives the box whose corner or side is at p and that lies toward t of it.
func beside(p draw.Point, t [2]float64, w, h float64) spot {
	x0, y0 := p.X-w/2+t[0]*w/2, p.Y-h/2+t[1]*h/2
	s := spot{box: draw.Rect{X0: x0, Y0: y0, X1: x0 + w, Y1: y0 + h}, align: draw.Middle}
	switch {
	case t[0] > 0:
		s.align = draw.Left
	case t[0] < 0:
		s.align = draw.Right
	}
	s.roomy = s.box
	if t[0] >= 0 {
		s.roomy.X1 += breathing
	}
	if t[0] <= 0 {
		s.roomy.X0 -= breathing
	}
	if t[1] >= 0 {
		s.roomy.Y1 += breathing
	}
	if t[1] <= 0 {
		s.roomy.Y0 -= breathing
	}
	return s
}

// alongSpots goes along the pieces of a line, the longest first, from its middle outward.
func (l *Label) alongSpots(out []spot, w, h float64) []spot {
	for piece, k := range longest(l.Along) {
		a, b := l.Along[k], l.Along[k+1]
		dir := b.Sub(a).Unit()
		n := dir.Right()
		// The first side to try: above a level line, right of an upright one, unless asked.
		if n.Y > 0.05 || math.Abs(n.Y) <= 0.05 && n.X < 0 {
			n = n.Mul(-1)
		}
		for _, s := range l.Sides {
			if s < sideCount {
				if t := toward[s]; n.X*t[0]+n.Y*t[1] < -0.01 {
					n = n.Mul(-1)
				}
				break
			}
		}
		for i, t := range [...]float64{0.5, 0.35, 0.65, 0.2, 0.8, 0.08, 0.92} {
			p := a.Add(b.Sub(a).Mul(t))
			for _, side := range [...]draw.Point{n, n.Mul(-1)} {
				s := besideLine(p, side, l.Half+l.gap(), w, h)
				s.rank = 2 * piece
				if i > 2 {
					s.rank++
				}
				out = append(out, s)
			}
		}
	}
	return out
}

// longest gives the pieces of a line in order of length, longest first, at most four.
func longest(pts []draw.Point) []int {
	if len(pts) == 2 {
		return single
	}
	var k []int
	for i := 1; i < len(pts); i++ {
		k = append(k, i-1)
	}
	sort.SliceStable(k, func(a, b int) bool {
		return pts[k[a]+1].Sub(pts[k[a]]).Len() > pts[k[b]+1].Sub(pts[k[b]]).Len()+1e-9
	})
	return k[:min(len(k), 4)]
}

var single = []int{0}

// besideLine gives the box on the side of a line, with the nearest part of the box at d
// from p. Beside a slanting line the near corner goes to p, so that the words begin there.
func besideLine(p, side draw.Point, d, w, h float64) spot {
	q := p.Add(side.Mul(d))
	t := [2]float64{sign(side.X, 0.1), sign(side.Y, 0.1)}
	return beside(q, t, w, h)
}

func sign(v, tiny float64) float64 {
	switch {
	case v > tiny:
		return 1
	case v < -tiny:
		return -1
	}
	return 0
}
