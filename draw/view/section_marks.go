package view

import (
	"math"
	"sort"
	"strings"

	"trapweir/draw"
	"trapweir/draw/layout"
	"trapweir/engine/elevation"
	"trapweir/engine/network"
)

// levels draws the lines of equal height, open where words stand.
func (c *section) levels(box draw.Rect) {
	var words []draw.Rect
	draw.Walk(c.s.Shapes, func(sh draw.Shape, _ *draw.SymbolRef) {
		if t, ok := sh.(draw.Text); ok {
			if b, _ := draw.Bounds(t); b.X1 > box.X0-2 && box.Grow(20).Overlaps(b) {
				words = append(words, b.Grow(0.9))
			}
		}
	})
	m := draw.Mark{Layer: draw.LayerBuilding, Pen: draw.Pen{Width: draw.Hair, Dash: draw.Dots}}
	for _, l := range c.level {
		var cuts [][2]float64
		for _, b := range words {
			if b.Y0 < l[0].Y && l[0].Y < b.Y1 {
				cuts = append(cuts, [2]float64{b.X0, b.X1})
			}
		}
		sort.Slice(cuts, func(i, j int) bool { return cuts[i][0] < cuts[j][0] })
		from := l[0].X
		piece := func(to float64) {
			if to-from > 1 {
				c.s.Add(draw.Line{Mark: m, A: draw.Point{X: from, Y: l[0].Y}, B: draw.Point{X: to, Y: l[0].Y}})
			}
		}
		for _, k := range cuts {
			piece(k[0])
			from = max(from, k[1])
		}
		piece(l[1].X)
	}
}

// slab draws the underside of slabs below the floor, with the slab as a light band.
func (c *section) slab(x, y func(float64) float64) {
	thick := func(r *elevation.Span) float64 {
		k := elevation.LevelOf(c.r.Net, r.Run)
		if k < 0 || !r.Floor.Known || c.r.Net.Runs[r.Run].Def.Where.Text == "outside" {
			return 0
		}
		return feet(c.r.Net.Job.Levels[k].Slab.V)
	}
	for i := 0; i+1 < len(c.rows); {
		r := &c.rows[i]
		t := thick(r)
		j := i + 1
		for j < len(c.rows)-1 && c.rows[j].Floor == r.Floor && thick(&c.rows[j]) == t {
			j++
		}
		if t > 0 && c.flat[j]-c.flat[i] > 0.2 {
			a, b := draw.Point{X: x(c.flat[i]), Y: y(feet(r.Floor.V))}, draw.Point{X: x(c.flat[j]), Y: y(feet(r.Floor.V) - t)}
			c.s.Add(draw.Polygon{Mark: draw.Mark{Layer: draw.LayerBuilding}, Points: []draw.Point{a, {X: b.X, Y: a.Y}, b, {X: a.X, Y: b.Y}}, Fill: draw.FillTint},
				draw.Line{Mark: draw.Mark{Layer: draw.LayerBuilding, Pen: draw.Pen{Width: draw.Thin}}, A: draw.Point{X: a.X, Y: b.Y}, B: b})
			c.lines = append(c.lines, [2]draw.Point{{X: a.X, Y: b.Y}, b})
		}
		i = j
	}
}

// joining names what drains into the line at the upper end of row i: tags of fixtures, names
// of other runs.
func (c *section) joining(i int) string {
	n := c.r.Net
	s := c.rows[i].Seg
	if i == 0 || s == network.None {
		return ""
	}
	var names []string
	for _, u := range n.Up(s) {
		if u == c.rows[i-1].Seg {
			continue
		}
		run := n.RunOf(u)
		if run.Fixture != network.None {
			names = append(names, tagsOf(n)[run.Fixture])
		} else {
			names = append(names, upper(run.Name))
		}
	}
	return strings.Join(names, ", ")
}

// walls draws the faces of the job's walls where the line passes through them: upright,
// hatched on the far side, from above the floor to below the pipe.
func (c *section) walls(x, y func(float64) float64, highest float64) {
	for _, w := range c.r.Levels.Walls {
		at, height, ok := c.through(&w)
		if !ok {
			continue
		}
		top := y(height) - 14
		for i := range c.rows {
			for _, h := range [2]elevation.Height{c.rows[i].Floor, c.rows[i].Ground} {
				if h.Known && !c.relative && c.flat[i] <= at {
					top = min(top, y(feet(h.V))-5)
				}
			}
		}
		a, b := draw.Point{X: x(at), Y: max(top, highest)}, draw.Point{X: x(at), Y: y(height) + 5}
		m := draw.Mark{Layer: draw.LayerBuilding}
		g := draw.Group{Mark: draw.Mark{Layer: draw.LayerBuilding, ID: "wall " + w.Name, Title: w.Name}, Shapes: []draw.Shape{
			draw.Line{Mark: draw.Mark{Layer: draw.LayerBuilding, Pen: draw.Pen{Width: draw.Medium}}, A: a, B: b},
		}}
		for t := a.Y + 2; t < b.Y; t += 3 {
			g.Shapes = append(g.Shapes, draw.Line{Mark: m, A: draw.Point{X: a.X, Y: t}, B: draw.Point{X: a.X + 1.6, Y: t - 1.6}})
		}
		c.s.Add(g)
		c.lines = append(c.lines, [2]draw.Point{a, b}, [2]draw.Point{{X: a.X + 1.2, Y: a.Y}, {X: a.X + 1.2, Y: b.Y}})
		c.req = append(c.req, layout.Label{ID: "wall " + w.Name + ".label", Lines: []string{upper(w.Name)}, At: a.Add(draw.Point{X: 0.8, Y: 1}), Half: 2, Sides: []layout.Side{layout.RightOf, layout.AboveRight, layout.LeftOf}, Priority: 3, Soft: true})
	}
}

// wallNear is how far along a line outside the walls of the house still stand, feet.
const wallNear = 10.0

// through is where along the line, and at what height of its centre, the line leaves the
// house through a wall.
func (c *section) through(w *elevation.Wall) (at, height float64, ok bool) {
	l := c.r.Levels
	axis := func(p elevation.Point) float64 {
		if w.NorthSouth() {
			return feet(p.X)
		}
		return feet(p.Y)
	}
	// A face has no ends in the job: beyond the first feet outside the house it is no wall.
	far := math.Inf(1)
	for i := range c.rows {
		if c.r.Net.Runs[c.rows[i].Run].Def.Where.Text == "outside" {
			far = c.flat[i] + wallNear
			break
		}
	}
	for i := 0; i+1 < len(c.rows) && c.flat[i] < far; i++ {
		s := c.rows[i].Seg
		if s == network.None || c.rows[i].Upright || !l.PlanUp[s].Known || !l.PlanLow[s].Known {
			continue
		}
		u, v, f := axis(l.PlanUp[s]), axis(l.PlanLow[s]), feet(w.Place)
		if (u-f)*(v-f) < 0 {
			t := (f - u) / (v - u)
			if at = c.flat[i] + (c.flat[i+1]-c.flat[i])*t; at > far {
				break
			}
			return at, c.up[i] + (c.low[i]-c.up[i])*t, true
		}
	}
	return 0, 0, false
}

// spreadOut moves values apart until neighbours are at least least from each other,
// keeping their order and staying between lo and hi as far as they fit.
func spreadOut(v []float64, least, lo, hi float64) {
	n := len(v)
	if n == 0 {
		return
	}
	if w := hi - lo; least*float64(n-1) > w {
		least = w / float64(max(n-1, 1))
	}
	want := append([]float64(nil), v...)
	sort.Float64s(want)
	// Groups of touching values take the place that moves them least.
	type group struct {
		from, n int
		sum     float64 // of want less the place within the group
	}
	var gs []group
	pos := func(g group) float64 {
		p := g.sum / float64(g.n)
		return min(max(p, lo), hi-least*float64(g.n-1))
	}
	for i := range want {
		gs = append(gs, group{i, 1, want[i]})
		for len(gs) > 1 {
			a, b := gs[len(gs)-2], gs[len(gs)-1]
			if pos(a)+least*float64(a.n) <= pos(b)+1e-9 {
				break
			}
			gs = gs[:len(gs)-1]
			gs[len(gs)-1] = group{a.from, a.n + b.n, a.sum + b.sum - least*float64(a.n*b.n)}
		}
	}
	for _, g := range gs {
		p := pos(g)
		for k := range g.n {
			v[g.from+k] = p + least*float64(k)
		}
	}
}
