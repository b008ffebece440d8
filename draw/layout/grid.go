package layout

import (
	"math"

	"trapweir/draw"
)

// Obstacles are what labels keep clear of.
type Obstacles struct {
	segs  []seg
	soft  []seg
	boxes []draw.Rect
}

type seg struct {
	a, b draw.Point
	half float64
}

// AddSegment adds a line; half is half its width.
func (o *Obstacles) AddSegment(a, b draw.Point, half float64) {
	o.segs = append(o.segs, seg{a, b, half})
}

// AddPolyline adds the pieces of a line.
func (o *Obstacles) AddPolyline(pts []draw.Point, half float64) {
	for i := 1; i < len(pts); i++ {
		o.AddSegment(pts[i-1], pts[i], half)
	}
}

// AddOutline adds a line that labels avoid where they can, and cross rather than stand far
// off: outlines of the building and of fixtures.
func (o *Obstacles) AddOutline(a, b draw.Point) { o.soft = append(o.soft, seg{a: a, b: b}) }

// AddBox adds an upright box.
func (o *Obstacles) AddBox(r draw.Rect) { o.boxes = append(o.boxes, r) }

// AddShapes adds what is drawn already: pipes and dimension lines as lines, symbols and
// words as boxes, outlines of the building and of fixtures in plan as outlines.
func (o *Obstacles) AddShapes(shapes []draw.Shape, fine bool) {
	draw.Walk(shapes, func(s draw.Shape, in *draw.SymbolRef) {
		m := s.Base()
		if m.Layer == draw.LayerBuilding || m.Layer == draw.LayerFixture {
			if _, ok := s.(draw.Text); !ok {
				pts, _ := outline(s)
				for i := 1; i < len(pts); i++ {
					o.AddOutline(pts[i-1], pts[i])
				}
				return
			}
		}
		if in != nil && in.Layer != draw.LayerFixture && in.Layer != draw.LayerBuilding {
			return // its box is added with the symbol
		}
		half := m.Pen.Or(m.Layer).Width.MM(fine) / 2
		switch s := s.(type) {
		case draw.SymbolRef:
			if r, ok := draw.Bounds(s); ok {
				o.AddBox(r)
			}
		case draw.Text:
			if r, ok := draw.Bounds(s); ok {
				o.AddBox(r)
			}
		case draw.Line:
			if stops(m.Layer) {
				o.AddSegment(s.A, s.B, half)
			}
		case draw.Polyline:
			if stops(m.Layer) {
				o.AddPolyline(s.Points, half)
			}
		case draw.Polygon, draw.Circle, draw.Arc:
			if r, ok := draw.Bounds(s); ok && stops(m.Layer) {
				o.AddBox(r)
			}
		}
	})
}

func stops(l draw.Layer) bool {
	return l.IsPipe() || l == draw.LayerSymbol || l == draw.LayerDimension || l == draw.LayerFinding || l == draw.LayerTable
}

type itemKind uint8

const (
	pipeSeg itemKind = iota
	solidBox
	labelBox
	leaderSeg
	softSeg
)

type item struct {
	kind itemKind
	seg  seg
	box  draw.Rect // around the item, its width included
}

// pitch of the grid in millimetres: about the height of two lines of text.
const pitch = 8.0

type grid struct {
	bounds draw.Rect
	nx, ny int
	cells  [][]int32
	items  []item
	static *raster // what was there before the labels
}

func newGrid(bounds draw.Rect, obs *Obstacles) *grid {
	g := &grid{bounds: bounds, static: newRaster(bounds, obs)}
	g.nx = max(1, int(math.Ceil(bounds.W()/pitch)))
	g.ny = max(1, int(math.Ceil(bounds.H()/pitch)))
	g.cells = make([][]int32, g.nx*g.ny)
	if obs != nil {
		for _, s := range obs.segs {
			g.addSeg(s.a, s.b, s.half, pipeSeg)
		}
		for _, s := range obs.soft {
			g.addSeg(s.a, s.b, 0, softSeg)
		}
		for _, b := range obs.boxes {
			g.addBox(b, solidBox)
		}
	}
	return g
}

func (g *grid) span(r draw.Rect) (x0, y0, x1, y1 int) {
	cell := func(v, lo float64, n int) int { return min(max(int(math.Floor((v-lo)/pitch)), 0), n-1) }
	return cell(r.X0, g.bounds.X0, g.nx), cell(r.Y0, g.bounds.Y0, g.ny), cell(r.X1, g.bounds.X0, g.nx), cell(r.Y1, g.bounds.Y0, g.ny)
}

func (g *grid) put(it item) {
	id := int32(len(g.items))
	g.items = append(g.items, it)
	x0, y0, x1, y1 := g.span(it.box.Grow(toLines))
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			if it.kind != solidBox && it.kind != labelBox {
				// A long slanting line is put only into cells that it passes. Cells on the rim
				// stand for all that lies outside, so they take whatever reaches them.
				rim := x == 0 || y == 0 || x == g.nx-1 || y == g.ny-1
				cell := draw.Rect{X0: g.bounds.X0 + float64(x)*pitch, Y0: g.bounds.Y0 + float64(y)*pitch}
				cell.X1, cell.Y1 = cell.X0+pitch, cell.Y0+pitch
				if !rim && !meets(it.seg.a, it.seg.b, cell.Grow(it.seg.half+toLines)) {
					continue
				}
			}
			c := &g.cells[y*g.nx+x]
			*c = append(*c, id)
		}
	}
}

func (g *grid) addSeg(a, b draw.Point, half float64, k itemKind) {
	r := draw.Rect{X0: min(a.X, b.X), Y0: min(a.Y, b.Y), X1: max(a.X, b.X), Y1: max(a.Y, b.Y)}
	g.put(item{k, seg{a, b, half}, r.Grow(half)})
}

func (g *grid) addBox(r draw.Rect, k itemKind) { g.put(item{kind: k, box: r}) }

// free tells whether words can stand in r; outlines tells that they keep off
// outlines too.
func (g *grid) free(r draw.Rect, outlines bool) bool {
	if !g.bounds.Contains(r) {
		return false
	}
	near := r.Grow(toLines)
	if g.static.holds(near) {
		return false
	}
	x0, y0, x1, y1 := g.span(near)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			for _, id := range g.cells[y*g.nx+x] {
				it := &g.items[id]
				if it.kind == softSeg && !outlines || it.box.X0 > near.X1 || it.box.X1 < near.X0 || it.box.Y0 > near.Y1 || it.box.Y1 < near.Y0 {
					continue
				}
				if it.kind == solidBox || it.kind == labelBox || meets(it.seg.a, it.seg.b, near.Grow(it.seg.half)) {
					return false
				}
			}
		}
	}
	return true
}

// crossings counts the pipes that the line from a to b crosses, and tells whether it also
// runs into a box or another leader. What lies within near of the end b is what the
// leader points at and does not count.
func (g *grid) crossings(a, b draw.Point, near float64) (pipes int, blocked bool) {
	r := draw.Rect{X0: min(a.X, b.X), Y0: min(a.Y, b.Y), X1: max(a.X, b.X), Y1: max(a.Y, b.Y)}
	x0, y0, x1, y1 := g.span(r)
	own := draw.Rect{X0: b.X, Y0: b.Y, X1: b.X, Y1: b.Y}.Grow(near)
	for y := y0; y <= y1; y++ {
		// Of each row only the cells that the line passes.
		from, to := x0, x1
		if d := b.Y - a.Y; y1 > y0 && d != 0 {
			lo, hi := g.bounds.Y0+float64(y)*pitch, g.bounds.Y0+float64(y+1)*pitch
			if y == 0 {
				lo = min(lo, r.Y0)
			}
			if y == g.ny-1 {
				hi = max(hi, r.Y1)
			}
			u, v := min(max((lo-a.Y)/d, 0), 1), min(max((hi-a.Y)/d, 0), 1)
			u, v = a.X+(b.X-a.X)*u, a.X+(b.X-a.X)*v
			from, _, to, _ = g.span(draw.Rect{X0: min(u, v), X1: max(u, v)})
		}
		for x := from; x <= to; x++ {
			for _, id := range g.cells[y*g.nx+x] {
				it := &g.items[id]
				switch it.kind {
				case solidBox:
					if meets(a, b, it.box) && !it.box.Overlaps(own) {
						return 0, true
					}
				case labelBox:
					if meets(a, b, it.box) {
						return 0, true
					}
				case leaderSeg:
					if cross(a, b, it.seg.a, it.seg.b) {
						return 0, true
					}
				case pipeSeg:
					// A pipe that spans several cells counts once in each: a long crossing
					// costs more, which is as it should be.
					if cross(a, b, it.seg.a, it.seg.b) && !meets(it.seg.a, it.seg.b, own) {
						pipes++
					}
				}
			}
		}
	}
	return pipes, false
}

// away looks for a place farther off, with a leader, in widening rings. The leader points
// at the middle part of a line, or with anywhere set at any part of it.
func (g *grid) away(l *Label, anywhere bool) (box draw.Rect, align draw.Align, leader []draw.Point, ok bool) {
	w, h := l.extent()
	var targets []draw.Point
	if len(l.Along) >= 2 {
		pieces, parts := longest(l.Along)[:1], []float64{0.5, 0.3, 0.7}
		if anywhere {
			pieces, parts = longest(l.Along), []float64{0.4, 0.6, 0.2, 0.8, 0.1, 0.9, 0, 1}
		}
		for _, k := range pieces {
			a, b := l.Along[k], l.Along[k+1]
			for _, t := range parts {
				targets = append(targets, a.Add(b.Sub(a).Mul(t)))
			}
		}
	} else {
		targets = []draw.Point{l.At}
	}
	best := math.Inf(1)
	const step, perPipe = 2.5, 7.0
	reach := min(math.Hypot(g.bounds.W(), g.bounds.H()), farthest)
	if l.Reach > 0 {
		reach = min(reach, l.Reach)
	}
	for r := l.Half + 5; r < reach && r < best; r += step {
		for ti, target := range targets {
			if r+0.5*float64(ti) >= best {
				break
			}
			for d := range rays {
				cos, sin := rays[d].X, rays[d].Y
				p := target.Add(draw.Point{X: cos * r, Y: sin * r})
				// The end of the words that faces the target lies at p.
				x0 := p.X
				a := draw.Left
				if cos < 0 {
					x0, a = p.X-w, draw.Right
				}
				b := draw.Rect{X0: x0, Y0: p.Y - h/2, X1: x0 + w, Y1: p.Y + h/2}
				if !g.free(b, true) {
					continue
				}
				edge := draw.Point{X: p.X - sign(cos, 0)*0.5, Y: p.Y}
				elbow := draw.Point{X: edge.X - sign(cos, 0)*shoulder, Y: p.Y}
				way := target.Sub(elbow)
				if way.Len() < l.Half+shortest {
					continue
				}
				tip := target.Sub(way.Unit().Mul(l.Half))
				n, blocked := g.crossings(elbow, tip, l.Half+0.3)
				m, blocked2 := g.crossings(edge, elbow, 0)
				if blocked || blocked2 {
					continue
				}
				cost := r + perPipe*float64(n+m) + 0.5*float64(ti)
				if way.X*sign(cos, 0) > 0 { // the leader would turn back under its words
					cost += 6
				}
				if cost < best {
					best, box, align, ok = cost, b, a, true
					leader = []draw.Point{edge, elbow, tip}
				}
			}
		}
	}
	return box, align, leader, ok
}

// rays are the directions in which away looks.
var rays = func() (out [24]draw.Point) {
	for i := range out {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / float64(len(out)))
		out[i] = draw.Point{X: cos, Y: sin}
	}
	return out
}()

// meets tells whether the line from a to b touches r.
func meets(a, b draw.Point, r draw.Rect) bool {
	t0, t1 := 0.0, 1.0
	for _, e := range [...]struct{ p, d, lo, hi float64 }{{a.X, b.X - a.X, r.X0, r.X1}, {a.Y, b.Y - a.Y, r.Y0, r.Y1}} {
		if e.d == 0 {
			if e.p < e.lo || e.p > e.hi {
				return false
			}
			continue
		}
		u, v := (e.lo-e.p)/e.d, (e.hi-e.p)/e.d
		if u > v {
			u, v = v, u
		}
		t0, t1 = max(t0, u), min(t1, v)
		if t0 > t1 {
			return false
		}
	}
	return true
}

// cross tells whether two lines cross or touch.
func cross(a, b, c, d draw.Point) bool {
	side := func(p, q, r draw.Point) float64 { return (q.X-p.X)*(r.Y-p.Y) - (q.Y-p.Y)*(r.X-p.X) }
	return side(a, b, c)*side(a, b, d) <= 0 && side(c, d, a)*side(c, d, b) <= 0
}
