package view

import (
	"trapweir/draw"
	"trapweir/engine/network"
)

// crossGap is left open on each side of a pipe that passes over another, millimetres: at least
// five widths of the line in all (ISO 6412-1, from memory).
const crossGap = 1.5

// crossings finds where level pipes of different runs pass over each other on this plan, and
// leaves the lower one open there.
func (p *plan) crossings() {
	n := p.r.Net
	p.gaps = map[network.SegID][]draw.Point{}
	var list []network.SegID
	for i := range n.Segs {
		s := network.SegID(i)
		if p.on[i] && (n.Segs[i].Lie != network.Upright || n.Segs[i].Way.Plumb != 0) && p.at(p.low[i]).Sub(p.at(p.up[i])).Len() > 1 {
			list = append(list, s)
		}
	}
	for i, s := range list {
		for _, t := range list[:i] {
			if n.Segs[s].Run == n.Segs[t].Run || n.Segs[s].Down == t || n.Segs[t].Down == s {
				continue
			}
			at, ok := crossing(p.at(p.up[s]), p.at(p.low[s]), p.at(p.up[t]), p.at(p.low[t]))
			if !ok {
				continue
			}
			under := s
			if p.height(t) < p.height(s) {
				under = t
			}
			p.gaps[under] = append(p.gaps[under], at)
		}
	}
}

// height is about how high a piece lies, feet above the outlet: by its levels, else by how far
// up the line it is.
func (p *plan) height(s network.SegID) float64 {
	l := p.r.Levels
	if a, b := l.CentreUp[s], l.CentreLow[s]; a.Known && b.Known {
		return (feet(a.V) + feet(b.V)) / 2
	}
	h := 0.0
	for d := s; d != network.None; d = p.r.Net.Segs[d].Down {
		if p.r.Net.Segs[d].Lie == network.Upright {
			h += max(feet(p.r.Net.Segs[d].Length()), 1)
		} else {
			h += 0.01
		}
	}
	return h
}

// crossing is where two lines cross within both, clear of their ends.
func crossing(a, b, c, d draw.Point) (at draw.Point, ok bool) {
	u, v, w := b.Sub(a), d.Sub(c), c.Sub(a)
	cross := u.X*v.Y - u.Y*v.X
	if cross*cross < 0.01*(u.X*u.X+u.Y*u.Y)*(v.X*v.X+v.Y*v.Y) { // nearly along each other
		return at, false
	}
	s, t := (w.X*v.Y-w.Y*v.X)/cross, (w.X*u.Y-w.Y*u.X)/cross
	const clear = 0.4 // millimetres
	eu, ev := clear/u.Len(), clear/v.Len()
	if s < eu || s > 1-eu || t < ev || t > 1-ev {
		return at, false
	}
	return a.Add(u.Mul(s)), true
}

// broken draws a run of pipe that is left open where others pass over it.
func (p *plan) broken(run *network.Run, pts []draw.Point, segs []network.SegID) draw.Shape {
	id := p.ids.id(run.Name)
	sv := draw.Services[p.service(run)]
	var gaps bool
	for _, s := range segs {
		gaps = gaps || len(p.gaps[s]) > 0
	}
	if !gaps {
		return draw.Pipe(sv, id, run.Name, pts...)
	}
	g := draw.Group{Mark: draw.Mark{Layer: sv.Layer, ID: id, Title: run.Name}}
	from := []draw.Point{pts[0]}
	end := func() {
		if len(from) > 1 && draw.Length(from) > 0.05 {
			g.Shapes = append(g.Shapes, draw.Pipe(sv, "", "", from...))
		}
	}
	for i := 1; i < len(pts); i++ {
		for k, piece := range draw.CrossBehind(pts[i-1], pts[i], crossGap, p.gaps[segs[i-1]]...) {
			if k > 0 || piece[0].Sub(from[len(from)-1]).Len() > 0.01 {
				end()
				from = []draw.Point{piece[0]}
			}
			from = append(from, piece[1])
		}
	}
	end()
	return g
}

// crosses notes whether pipes pass over each other, for the legend.
func (p *plan) crosses() {
	q := *p
	q.k = 20 // at any scale
	q.crossings()
	p.crossed = len(q.gaps) > 0
}
