package layout

import (
	"math"

	"trapweir/draw"
)

// raster remembers which squares of the sheet hold something that was there before the
// labels, so that most places are turned down by looking at four numbers. It never turns
// down a place that is free; what it lets through is looked at closely.
type raster struct {
	x0, y0 float64
	side   float64 // of a square, millimetres
	nx, ny int
	sum    []int32 // summed over all squares above and to the left
}

// The squares are 1.5 mm wide, wider on sheets that would take more than mostSquares.
const mostSquares = 400_000

func newRaster(bounds draw.Rect, obs *Obstacles) *raster {
	square := max(1.5, math.Sqrt(bounds.W()*bounds.H()/mostSquares))
	r := &raster{x0: bounds.X0, y0: bounds.Y0, side: square, nx: int(math.Ceil(bounds.W()/square)) + 1, ny: int(math.Ceil(bounds.H()/square)) + 1}
	w := r.nx + 1
	r.sum = make([]int32, w*(r.ny+1))
	mark := func(x, y int) {
		if x >= 0 && y >= 0 && x < r.nx && y < r.ny {
			r.sum[(y+1)*w+x+1] = 1
		}
	}
	if obs != nil {
		for _, s := range obs.segs {
			d := s.b.Sub(s.a)
			n := int(math.Ceil(d.Len()/(square*0.6))) + 1
			for i := 0; i <= n; i++ {
				p := s.a.Add(d.Mul(float64(i) / float64(n)))
				mark(int(math.Floor((p.X-r.x0)/square)), int(math.Floor((p.Y-r.y0)/square)))
			}
		}
		for _, b := range obs.boxes {
			x1, y1 := int(math.Ceil((b.X1-r.x0)/square))-1, int(math.Ceil((b.Y1-r.y0)/square))-1
			for y := max(0, int(math.Floor((b.Y0-r.y0)/square))); y <= min(y1, r.ny-1); y++ {
				for x := max(0, int(math.Floor((b.X0-r.x0)/square))); x <= min(x1, r.nx-1); x++ {
					mark(x, y)
				}
			}
		}
	}
	for y := 1; y <= r.ny; y++ {
		row := int32(0)
		for x := 1; x <= r.nx; x++ {
			row += r.sum[y*w+x]
			r.sum[y*w+x] = row + r.sum[(y-1)*w+x]
		}
	}
	return r
}

// holds tells whether a square that lies wholly within b holds something.
func (r *raster) holds(b draw.Rect) bool {
	square := r.side
	x0, y0 := max(0, int(math.Ceil((b.X0-r.x0)/square))), max(0, int(math.Ceil((b.Y0-r.y0)/square)))
	x1, y1 := min(r.nx, int(math.Floor((b.X1-r.x0)/square))), min(r.ny, int(math.Floor((b.Y1-r.y0)/square)))
	if x0 >= x1 || y0 >= y1 {
		return false
	}
	w := r.nx + 1
	return r.sum[y1*w+x1]-r.sum[y0*w+x1]-r.sum[y1*w+x0]+r.sum[y0*w+x0] > 0
}
