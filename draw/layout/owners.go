package layout

import (
	"math"

	"trapweir/draw"
)

// owned is a line of a thing that labels name.
type owned struct {
	a, b draw.Point
	of   int
	box  draw.Rect
}

// AddOwned tells which thing a line belongs to: a number above 0. Labels with that Owner
// then stand where no line of another thing is nearer. It is no obstacle by itself.
func (o *Obstacles) AddOwned(a, b draw.Point, of int) {
	o.owned = append(o.owned, owned{a, b, of, draw.Rect{X0: min(a.X, b.X), Y0: min(a.Y, b.Y), X1: max(a.X, b.X), Y1: max(a.Y, b.Y)}})
}

// owners finds the owned lines near a box.
type owners struct {
	lines  []owned
	bounds draw.Rect
	nx, ny int
	from   []int32 // where the lines of a square begin in on
	on     []int32
}

// cell is the side of the squares in which lines are looked up; sight is how far from a box
// a line bears on whose its words are.
const (
	cell  = 20.0
	sight = 4.0
	// fairly is how much nearer words are to their own line than to any other.
	fairly = 0.0
)

func newOwners(o *Obstacles, bounds draw.Rect) *owners {
	if o == nil || len(o.owned) == 0 {
		return nil
	}
	w := &owners{lines: o.owned, bounds: bounds, nx: int(bounds.W()/cell) + 1, ny: int(bounds.H()/cell) + 1}
	w.from = make([]int32, w.nx*w.ny+1)
	w.across(func(cell, _ int) { w.from[cell+1]++ })
	for k := 1; k < len(w.from); k++ {
		w.from[k] += w.from[k-1]
	}
	w.on = make([]int32, w.from[len(w.from)-1])
	filled := make([]int32, len(w.from))
	w.across(func(cell, line int) {
		w.on[w.from[cell]+filled[cell]] = int32(line)
		filled[cell]++
	})
	return w
}

// across goes through the squares that every line crosses.
func (w *owners) across(f func(cell, line int)) {
	bounds := w.bounds
	for i := range w.lines {
		l := &w.lines[i]
		x0, y0, x1, y1 := w.span(l.box)
		for y := y0; y <= y1; y++ {
			// Of a slanting line only the part in this row.
			top := bounds.Y0 + float64(y)*cell
			u0, u1 := x0, x1
			row := draw.Rect{X0: l.box.X0 - 1, Y0: top, X1: l.box.X1 + 1, Y1: top + cell}
			if t0, t1, ok := row.Along(l.a, l.b.Sub(l.a)); ok {
				p, q := l.a.X+(l.b.X-l.a.X)*t0, l.a.X+(l.b.X-l.a.X)*t1
				u0, _, u1, _ = w.span(draw.Rect{X0: min(p, q), Y0: top, X1: max(p, q), Y1: top})
			}
			for x := u0; x <= u1; x++ {
				f(y*w.nx+x, i)
			}
		}
	}
}

// span gives the squares that a box touches, within the bounds.
func (w *owners) span(r draw.Rect) (x0, y0, x1, y1 int) {
	at := func(v, from float64, n int) int { return min(max(int(math.Floor((v-from)/cell)), 0), n-1) }
	return at(r.X0, w.bounds.X0, w.nx), at(r.Y0, w.bounds.Y0, w.ny), at(r.X1, w.bounds.X0, w.nx), at(r.Y1, w.bounds.Y0, w.ny)
}

// astray tells whether words in a box would be read with a line of something else than
// their owner.
func (w *owners) astray(box draw.Rect, owner int) bool {
	if w == nil || owner == 0 {
		return false
	}
	near := box.Grow(sight)
	own, other := math.Inf(1), math.Inf(1)
	x0, y0, x1, y1 := w.span(near)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			at := y*w.nx + x
			for _, i := range w.on[w.from[at]:w.from[at+1]] {
				l := &w.lines[i]
				if l.box.X0 > near.X1 || l.box.X1 < near.X0 || l.box.Y0 > near.Y1 || l.box.Y1 < near.Y0 {
					continue
				}
				if d := boxToLine(box, l.a, l.b); l.of == owner {
					own = min(own, d)
				} else {
					other = min(other, d)
				}
			}
		}
	}
	return other < sight && other < own+fairly
}
