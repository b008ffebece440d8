package view

import (
	"math"
	"slices"
	"sort"

	"trapweir/draw"
	"trapweir/engine/network"
)

// look is how a pipe is drawn.
type look struct {
	service int // row of draw.Services
	pen     draw.Pen
}

func (p *picture) drainLook(run *network.Run) look {
	l := look{}
	switch {
	case run.Def.State.Text == "remove":
		l.service = 6
	case run.Def.State.Text == "existing":
		l.service = 5
	case run.Def.Vented.Text == "combination":
		l.service = 3
	case p.r.Net.Segs[run.Segs[0]].UnderGround:
		l.service = 1
	}
	return l
}

func (p *picture) ventLook(v *network.Vent) look {
	switch v.Def.State.Text {
	case "remove":
		return look{service: 6}
	case "existing":
		return look{service: 5, pen: draw.Pen{Width: draw.Medium, Dash: draw.ShortDash}}
	}
	return look{service: 2}
}

// runEdges lists the edges of a run that are shown, with the water.
func (p *picture) runEdges(run *network.Run) []int32 {
	var out []int32
	for _, s := range run.Segs {
		if !p.kept(s) {
			continue
		}
		list := p.g.segEdges[s]
		for i := len(list) - 1; i >= 0; i-- {
			out = append(out, list[i])
		}
	}
	return out
}

const (
	bendRadius = 1.7 // millimetres on paper
	joinReach  = 2.4
)

// drains draws the runs: bends as fillets, joins as they turn into the flow.
func (p *picture) drains() {
	g, n := p.g, p.r.Net
	for i := range n.Runs {
		run := &n.Runs[i]
		list := p.runEdges(run)
		if len(list) == 0 {
			continue
		}
		first, last := &g.edges[list[0]], &g.edges[list[len(list)-1]]
		pts := []draw.Point{p.at[first.a]}
		if p.bendInto(first.a) {
			// The run above turns into this one: its fillet reaches down to here.
			pts[0] = p.step(first.a, first.b, bendRadius)
		}
		for k, e := range list {
			x := &g.edges[e]
			if k+1 < len(list) {
				y := &g.edges[list[k+1]]
				if !x.way.same(y.way) {
					pts = append(pts, p.fillet(x.a, x.b, y.b, bendRadius, p.deg[x.b] > 2)...)
					continue
				}
			}
			pts = append(pts, p.at[x.b])
		}
		// Into the receiver, with its flow.
		if d := n.Segs[run.Segs[len(run.Segs)-1]].Down; d != network.None && p.kept(d) {
			pts = pts[:len(pts)-1]
			if next := p.after(last.b, d); next >= 0 {
				radius := joinReach
				if p.bendInto(last.b) {
					radius = bendRadius
				}
				pts = append(pts, p.fillet(last.a, last.b, next, radius, false)...)
			} else {
				pts = append(pts, p.at[last.b])
			}
		}
		p.emit(p.drainLook(run), p.ids.id(run.Name), p.runTitle(run), list, pts)
	}
}

// bendInto tells whether a node is a plain bend from one run into another.
func (p *picture) bendInto(at int32) bool {
	return p.deg[at] == 2 && len(p.g.nodes[at].used) == 2
}

// after is the node that follows a node downstream on segment d.
func (p *picture) after(at int32, d network.SegID) int32 {
	for _, e := range p.edgesAt(at) {
		if x := &p.g.edges[e]; x.seg == d && x.a == at {
			return x.b
		}
	}
	return -1
}

// step gives the point d from node a toward node b, at most two fifths of the way.
func (p *picture) step(a, b int32, d float64) draw.Point {
	w := p.at[b].Sub(p.at[a])
	l := w.Len()
	return p.at[a].Add(w.Unit().Mul(min(d, 0.4*l)))
}

// fillet leads from node a around node b toward node c: the point before, and the curve
// up to the point after. plain keeps the corner, where other pipes come in.
func (p *picture) fillet(a, b, c int32, r float64, plain bool) []draw.Point {
	if plain {
		return []draw.Point{p.at[b]}
	}
	from, to, corner := p.step(b, a, r), p.step(b, c, r), p.at[b]
	out := []draw.Point{from}
	const steps = 5
	for i := 1; i < steps; i++ {
		t := float64(i) / steps
		q := from.Mul((1 - t) * (1 - t)).Add(corner.Mul(2 * t * (1 - t))).Add(to.Mul(t * t))
		out = append(out, q)
	}
	return append(out, to)
}

// emit draws a pipe through pts, broken where its edges pass behind others.
func (p *picture) emit(l look, id, title string, edges []int32, pts []draw.Point) {
	sv := draw.Services[l.service]
	p.services[l.service] = true
	var cuts []span
	half := sv.Layer.Pen().Width.MM(p.s.Fine) / 2
	for _, e := range edges {
		for _, at := range p.gaps[e] {
			d := nearest(pts, at)
			cuts = append(cuts, span{d - 1.2 - half, d + 1.2 + half})
		}
	}
	m := draw.Mark{Layer: sv.Layer, Pen: l.pen, ID: id, Title: title}
	if len(cuts) == 0 && l.pen == (draw.Pen{}) && (sv.Crosses || sv.Letters != "") {
		pipe := draw.PipeClear(sv, p.clearOf(edges), id, title, pts...)
		draw.Walk([]draw.Shape{pipe}, func(s draw.Shape, _ *draw.SymbolRef) {
			if _, ok := s.(draw.Text); ok {
				b, _ := draw.Bounds(s)
				p.letters = append(p.letters, b)
			}
		})
		p.s.Add(pipe)
		return
	}
	parts := cutLine(pts, cuts)
	if d := m.Pen.Or(sv.Layer).Dash.MM(); len(d) == 2 && !sv.Crosses {
		var out [][]draw.Point
		for _, q := range parts {
			out = dashed(out, q, d[0]/p.mag, d[1]/p.mag)
		}
		parts = out
	}
	if len(parts) == 1 && !sv.Crosses {
		p.s.Add(draw.Polyline{Mark: m, Points: parts[0]})
		return
	}
	grp := draw.Group{Mark: draw.Mark{Layer: sv.Layer, ID: id, Title: title}}
	for _, q := range parts {
		if sv.Crosses {
			grp.Shapes = append(grp.Shapes, draw.Pipe(sv, "", "", q...))
		} else {
			grp.Shapes = append(grp.Shapes, draw.Polyline{Mark: draw.Mark{Layer: sv.Layer, Pen: l.pen}, Points: q})
		}
	}
	p.s.Add(grp)
}

// dashed cuts a line that is drawn with dashes and gaps so that dashes meet at its ends and
// its corners, as a draftsman lets them: every leg is drawn from both of its ends to where
// the dashes come together in its middle.
func dashed(out [][]draw.Point, pts []draw.Point, dash, gap float64) [][]draw.Point {
	const leg = 4.0 // shorter pieces are parts of a bend
	from := 0       // first point of the bend before a leg
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		long := b.Sub(a).Len()
		if long < leg {
			if i == len(pts)-1 {
				out = append(out, pts[from:])
			}
			continue
		}
		bend := append(make([]draw.Point, 0, i-from+1), pts[from:i]...)
		curve := draw.Length(bend)
		all := curve + long
		w := b.Sub(a).Unit()
		switch {
		case all <= dash:
			out = append(out, append(bend, b))
		case all < 2*dash+gap && (all-gap)/2 > curve: // a gap in the middle
			out = append(out, append(bend, a.Add(w.Mul((all-gap)/2-curve))), []draw.Point{b, b.Sub(w.Mul((all - gap) / 2))})
		default:
			n := math.Max(0, math.Round((all/2-dash/2)/(dash+gap)))
			seam := n*(dash+gap) + dash/2
			if seam <= curve {
				seam = curve + long/2
			}
			q := a.Add(w.Mul(seam - curve))
			out = append(out, append(bend, q), []draw.Point{b, q})
		}
		from = i
	}
	return out
}

// clearOf tells of a box whether nothing else is drawn there besides some edges.
func (p *picture) clearOf(own []int32) func(draw.Rect) bool {
	return func(r draw.Rect) bool {
		for i := range p.g.edges {
			if e := &p.g.edges[i]; p.show[i] && !slices.Contains(own, int32(i)) {
				a := p.at[e.a]
				if t0, t1, ok := r.Grow(1).Along(a, p.at[e.b].Sub(a)); ok && t0 < t1 {
					return false
				}
			}
		}
		for i := range p.r.Net.Fixtures {
			if f := &p.r.Net.Fixtures[i]; p.kept(f.Seg) { // its trap stands about there
				at := p.at[p.g.upper[f.Seg]]
				if r.Grow(7 * p.sym).Contains(draw.Rect{X0: at.X, Y0: at.Y, X1: at.X, Y1: at.Y}) {
					return false
				}
			}
		}
		return true
	}
}

type span struct{ from, to float64 }

// nearest gives how far along a line the point nearest to at lies.
func nearest(pts []draw.Point, at draw.Point) float64 {
	best, bestD, d := 0.0, math.Inf(1), 0.0
	for i := 1; i < len(pts); i++ {
		w := pts[i].Sub(pts[i-1])
		l := w.Len()
		if l == 0 {
			continue
		}
		q := at.Sub(pts[i-1])
		t := min(max((q.X*w.X+q.Y*w.Y)/l, 0), l)
		if off := pts[i-1].Add(w.Mul(t / l)).Sub(at).Len(); off < bestD {
			bestD, best = off, d+t
		}
		d += l
	}
	return best
}

// cutLine leaves the spans of a line out.
func cutLine(pts []draw.Point, cuts []span) [][]draw.Point {
	if len(cuts) == 0 {
		return [][]draw.Point{pts}
	}
	sort.Slice(cuts, func(i, j int) bool { return cuts[i].from < cuts[j].from })
	total := draw.Length(pts)
	out := make([][]draw.Point, 0, len(cuts)+1)
	from := 0.0
	keep := func(a, b float64) {
		if b-a < 0.15 {
			return
		}
		first, _ := draw.Along(pts, a)
		line := append(make([]draw.Point, 0, len(pts)+1), first)
		d := 0.0
		for i := 1; i < len(pts)-1; i++ {
			d += pts[i].Sub(pts[i-1]).Len()
			if d > a+1e-9 && d < b-1e-9 {
				line = append(line, pts[i])
			}
		}
		last, _ := draw.Along(pts, b)
		out = append(out, append(line, last))
	}
	for _, c := range cuts {
		keep(from, min(c.from, total))
		from = max(from, c.to)
	}
	keep(from, total)
	if len(out) == 0 {
		return [][]draw.Point{pts}
	}
	return out
}

func (p *picture) runTitle(run *network.Run) string {
	r := p.r
	last := run.Segs[len(run.Segs)-1]
	t := run.Name + ": " + r.Sizes.Size[last].String() + " " + r.Net.Segs[last].Role.String() + ", " + counted(r.Loads.Units[last])
	if g := r.Sizes.Governing(last); g.Text != "" {
		t += ". " + g.Text
	}
	return t
}

// ventPipes draws the vents, corners sharp as they are drawn by hand, with a dot where
// they join.
func (p *picture) ventPipes() {
	g, n := p.g, p.r.Net
	for v := range n.Vents {
		x := &n.Vents[v]
		// Chains of edges: the path, then the pieces that close gaps.
		var chain []int32
		first := true
		flush := func() {
			if len(chain) == 0 {
				return
			}
			pts := []draw.Point{p.at[g.edges[chain[0]].a]}
			for _, e := range chain {
				pts = append(pts, p.at[g.edges[e].b])
			}
			id := p.ids.id(x.Name)
			title := ""
			if first {
				title = x.Name + ": " + p.r.Vents.Size[v].Size.String() + " vent"
				first = false
			}
			p.emit(p.ventLook(x), id, title, chain, pts)
			chain = nil
		}
		for _, e := range g.ventEdges[v] {
			if !p.show[e] {
				continue
			}
			if len(chain) > 0 && g.edges[chain[len(chain)-1]].b != g.edges[e].a {
				flush()
			}
			chain = append(chain, e)
		}
		flush()
	}
	// Dots where a vent joins and no fitting is drawn.
	for i := range g.nodes {
		if p.deg[i] < 3 {
			continue
		}
		vents := 0
		for _, e := range p.edgesAt(int32(i)) {
			if g.edges[e].vent != network.None {
				vents++
			}
		}
		if vents > 0 {
			p.s.Add(draw.Circle{Mark: draw.Mark{Layer: draw.LayerSymbol}, C: p.at[i], R: 0.8, Fill: draw.FillInk})
		}
	}
}

// edgesAt lists the shown edges that meet at a node.
func (p *picture) edgesAt(at int32) []int32 {
	if p.meets == nil {
		p.meets = make([][]int32, len(p.g.nodes))
		for i := range p.g.edges {
			if p.show[i] {
				e := &p.g.edges[i]
				p.meets[e.a] = append(p.meets[e.a], int32(i))
				p.meets[e.b] = append(p.meets[e.b], int32(i))
			}
		}
	}
	return p.meets[at]
}
