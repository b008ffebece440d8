package layout

import "trapweir/draw"

// Free finds a place along the edges of bounds with nothing in the way nor within margin,
// corners first, for the first of some sizes, width and height in millimetres, that finds
// one; ok is false where there is none.
func (o *Obstacles) Free(bounds draw.Rect, margin float64, sizes ...[2]float64) (r draw.Rect, ok bool) {
	f := standing(bounds, o)
	defer f.done()
	for _, z := range sizes {
		if r, ok := f.corner(z[0], z[1], margin); ok {
			return r, true
		}
	}
	return draw.Rect{}, false
}

// corner finds a place of w by h along the edges.
func (f *field) corner(w, h, margin float64) (r draw.Rect, ok bool) {
	bounds := f.bounds
	if w > bounds.W() || h > bounds.H() {
		return r, false
	}
	try := func(x, y float64) bool {
		r = draw.Rect{X0: x, Y0: y, X1: x + w, Y1: y + h}
		g := r.Grow(margin)
		g = draw.Rect{X0: max(g.X0, bounds.X0), Y0: max(g.Y0, bounds.Y0), X1: min(g.X1, bounds.X1), Y1: min(g.Y1, bounds.Y1)}
		return f.free(g, offOutlines)
	}
	left, right, top, bottom := bounds.X0, bounds.X1-w, bounds.Y0, bounds.Y1-h
	const step = 3.0
	// Away from each corner along its two edges, all corners at once.
	for d := 0.0; d <= max(right-left, bottom-top)/2+step; d += step {
		x0, x1 := min(left+d, right), max(right-d, left)
		y0, y1 := min(top+d, bottom), max(bottom-d, top)
		for _, c := range [...][2]float64{{right, y1}, {left, y1}, {x1, bottom}, {x0, bottom}, {right, y0}, {left, y0}, {x1, top}, {x0, top}} {
			if try(c[0], c[1]) {
				return r, true
			}
		}
	}
	return draw.Rect{}, false
}
