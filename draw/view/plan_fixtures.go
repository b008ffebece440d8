package view

import (
	"math"
	"slices"

	"trapweir/draw"
	"trapweir/draw/layout"
	"trapweir/draw/symbol"
	"trapweir/draw/textwidth"
	"trapweir/engine/network"
)

// outlined is a fixture that is drawn at its true size.
type outlined struct {
	fix  network.FixID
	sym  *symbol.Symbol
	at   draw.Point
	face draw.Point // the symbol's upper side
	box  draw.Rect
}

// outlines chooses how the fixtures of a plan lie. A job does not say; each first lies with
// its upper side the way that its water leaves, and turns by quarters where it would lie on
// another fixture or reach through a wall.
func (p *plan) outlines() []outlined {
	n := p.r.Net
	var list []outlined
	if p.schematic {
		return nil
	}
	for _, i := range inOrder(n) {
		f := &n.Fixtures[i]
		if !p.on[f.Seg] {
			continue
		}
		name := f.Kind.Symbol
		if name == "clothes-washer" { // its letters would lie on the pipe
			name = "washer-box"
		}
		sym := symbol.Get(name)
		if sym == nil || !sym.True {
			continue
		}
		x := outlined{fix: i, sym: sym, at: p.at(p.up[f.Seg]), face: p.leaves(f)}
		x.box = p.boxOf(&x, x.face)
		list = append(list, x)
	}
	for range 2 {
		moved := false
		for i := range list {
			x := &list[i]
			best := p.inTheWay(list, i, x.box)
			if best == 0 {
				continue
			}
			d := x.face
			for range 3 {
				d = d.Right()
				b := p.boxOf(x, d)
				if c := p.inTheWay(list, i, b); c < best-0.5 {
					best, x.face, x.box, moved = c, d, b, true
				}
			}
		}
		if !moved {
			break
		}
	}
	return list
}

// withFixtures widens what the plan has to hold by the fixtures that reach beyond the pipes.
func (p *plan) withFixtures() {
	q := *p
	q.k = 20 // any scale shows how they lie
	m := q.box.Centre()
	for _, x := range q.outlines() {
		for _, c := range [2]draw.Point{{X: x.box.X0, Y: x.box.Y0}, {X: x.box.X1, Y: x.box.Y1}} {
			for range (4 - q.turn) % 4 { // back to north up
				c = c.Right()
			}
			e, n := m.X+c.X/q.k, m.Y-c.Y/q.k
			p.box = p.box.Union(draw.Rect{X0: e, Y0: n, X1: e, Y1: n}.Grow(0.3))
		}
	}
}

// leaves is the way on paper in which the water of a fixture leaves it, the nearest quarter.
func (p *plan) leaves(f *network.Fixture) draw.Point {
	n := p.r.Net
	for s := f.Seg; s != network.None && n.Segs[s].Run == f.Run; s = n.Segs[s].Down {
		if w := p.at(p.low[s]).Sub(p.at(p.up[s])); w.Len() > 0.5 {
			return w.Unit()
		}
	}
	return draw.Point{Y: -1}
}

func (p *plan) place(x *outlined, face draw.Point) draw.Placement {
	k := p.k / 304.8 // millimetres on paper for one of the real thing
	return draw.Placement{At: x.at, U: face.Right(), V: face}.Scaled(k)
}

func (p *plan) boxOf(x *outlined, face draw.Point) draw.Rect {
	b, _ := draw.Bounds(x.sym.Put(draw.Mark{Layer: draw.LayerFixture}, p.place(x, face)))
	return b
}

// inTheWay tells how much a box covers of other fixtures and of what lies behind walls, in
// square millimetres.
func (p *plan) inTheWay(list []outlined, i int, b draw.Rect) float64 {
	sum := 0.0
	for k := range list {
		if k != i {
			sum += common(b, list[k].box)
		}
	}
	for _, w := range p.behind {
		sum += common(b, w)
	}
	return sum
}

// common is the area that two boxes share.
func common(a, b draw.Rect) float64 {
	w, h := min(a.X1, b.X1)-max(a.X0, b.X0), min(a.Y1, b.Y1)-max(a.Y0, b.Y0)
	if w <= 0 || h <= 0 {
		return 0
	}
	return w * h
}

// fixture draws the outline of a fixture.
func (p *plan) fixture(x *outlined) {
	f := &p.r.Net.Fixtures[x.fix]
	m := draw.Mark{Layer: draw.LayerFixture, ID: p.ids.id(p.r.Net.Runs[f.Run].Name + ".fixture"), Title: p.tags[x.fix] + ": " + f.Kind.Name}
	p.s.Add(x.sym.Put(m, p.place(x, x.face)))
}

// tagged draws where the pipes of fixtures come up, and asks for room for their tags:
// beside the outlines, or within where there is room; never on them.
func (p *plan) tagged(list []outlined) {
	n := p.r.Net
	lies := map[network.FixID]*outlined{}
	for i := range list {
		lies[list[i].fix] = &list[i]
	}
	for _, i := range inOrder(n) {
		f := &n.Fixtures[i]
		if !p.on[f.Seg] {
			continue
		}
		at := p.at(p.up[f.Seg])
		run := &n.Runs[f.Run]
		c := draw.Circle{Mark: draw.Mark{Layer: draw.LayerDrain, ID: p.ids.id(run.Name + ".stub"), Pen: draw.Pen{Width: draw.Medium}, Title: p.tags[i] + ", " + run.Name}, C: at, R: 1.1, Fill: draw.FillPaper}
		tag := layout.Label{ID: c.ID + ".tag", Lines: []string{p.tags[i]}, At: at, Half: 1.4, Priority: 6, Weight: textwidth.Bold}
		if x := lies[i]; x != nil {
			if b := x.box; min(b.W(), b.H()) > 3.5 { // the tag goes along the outline
				tag.Along = []draw.Point{{X: b.X0, Y: b.Y0}, {X: b.X1, Y: b.Y0}, {X: b.X1, Y: b.Y1}, {X: b.X0, Y: b.Y1}, {X: b.X0, Y: b.Y0}}
				tag.Half = 0.2
			}
		}
		p.s.Add(c)
		p.req = append(p.req, tag)
	}
}

// shortFlow is the longest piece on paper that goes without an arrow, millimetres.
const shortFlow = 13.0

// flows marks on the pipes which way the water goes: once on every run, in the middle of
// its longest piece.
func (p *plan) flows() {
	n := p.r.Net
	sym := symbol.Get("flow-arrow")
	var taken []draw.Point
	draw.Walk(p.s.Shapes, func(sh draw.Shape, _ *draw.SymbolRef) {
		switch c := sh.(type) {
		case draw.Circle:
			if c.Layer == draw.LayerDrain || c.Layer == draw.LayerVent {
				taken = append(taken, c.C)
			}
		case draw.SymbolRef: // cleanouts and valves
			if c.Layer != draw.LayerFixture {
				b, _ := draw.Bounds(c)
				taken = append(taken, b.Centre())
			}
		case draw.Text: // letters in a pipe
			if c.Layer.IsPipe() {
				b, _ := draw.Bounds(c)
				taken = append(taken, b.Centre(), b.Centre().Sub(draw.Point{X: b.W() / 2}), b.Centre().Add(draw.Point{X: b.W() / 2}))
			}
		}
	})
	for v := range n.Vents {
		for _, t := range n.Vents[v].Takes {
			if t.Seg != network.None && p.on[t.Seg] {
				taken = append(taken, p.at(p.up[t.Seg]))
			}
		}
	}
	for i := range n.Runs {
		var a, b draw.Point
		long := shortFlow // shorter ones are hidden by their labels
		for _, s := range n.Runs[i].Segs {
			if !p.on[s] || n.Segs[s].Lie == network.Upright && n.Segs[s].Way.Plumb == 0 {
				continue
			}
			u, v := p.at(p.up[s]), p.at(p.low[s])
			if l := v.Sub(u).Len(); l > long+0.01 {
				a, b, long = u, v, l
			}
		}
		if long <= shortFlow {
			continue
		}
		d := b.Sub(a).Unit()
		m := draw.Mark{Layer: draw.LayerSymbol, ID: p.ids.id(n.Runs[i].Name + ".flow"), Title: "Flow in " + n.Runs[i].Name}
		for _, share := range [...]float64{0.5, 0.4, 0.6, 0.3, 0.7} { // clear of circles and of other arrows
			at := a.Add(b.Sub(a).Mul(share))
			if slices.ContainsFunc(taken, func(q draw.Point) bool { return q.Sub(at).Len() < flowClear }) {
				continue
			}
			p.s.Add(sym.Put(m, draw.Placement{At: at, U: d, V: draw.Point{X: d.Y, Y: -d.X}}.Scaled(1.1)))
			taken = append(taken, at)
			break
		}
	}
}

// flowClear is how far arrows keep off the middles of circles and of each other.
const flowClear = 5.5

// keepOff gathers what words keep off: what is drawn, and harder than usual the outlines of
// the fixtures and the faces of the walls, on which no words lie at all.
func (p *plan) keepOff(obs *layout.Obstacles) {
	rest := make([]draw.Shape, 0, len(p.s.Shapes))
	line := func(pts []draw.Point) {
		if n := len(pts); n > 16 { // a curve; every other point of it will do
			few := make([]draw.Point, 0, n/2+2)
			for i := 0; i < n; i += 2 {
				few = append(few, pts[i])
			}
			pts = append(few, pts[n-1])
		}
		obs.AddPolyline(pts, 0.1)
	}
	for _, sh := range p.s.Shapes {
		if sh.Base().Layer != draw.LayerFixture {
			rest = append(rest, sh)
			continue
		}
		draw.Walk([]draw.Shape{sh}, func(sh draw.Shape, _ *draw.SymbolRef) {
			switch t := sh.(type) {
			case draw.Line:
				obs.AddSegment(t.A, t.B, 0.1)
			case draw.Polyline:
				line(t.Points)
			case draw.Polygon:
				if len(t.Points) > 0 {
					line(append(append([]draw.Point(nil), t.Points...), t.Points[0]))
				}
			case draw.Circle:
				line(ring(t.C, t.R))
			}
		})
	}
	obs.AddShapes(rest, p.s.Fine)
	for _, w := range p.faces {
		obs.AddSegment(w[0], w[1], 1.2)
	}
}

// ring is a circle as straight pieces.
func ring(c draw.Point, r float64) []draw.Point {
	out := make([]draw.Point, 0, 13)
	for i := range 13 {
		s, co := math.Sincos(float64(i) * math.Pi / 6)
		out = append(out, draw.Point{X: c.X + r*co, Y: c.Y + r*s})
	}
	return out
}
