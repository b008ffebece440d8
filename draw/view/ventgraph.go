package view

import (
	"math"

	"trapweir/engine/job"
	"trapweir/engine/network"
)

// Heights in feet: of a vent that the job gives no length, and of the level part of one
// over the drain that it leaves.
const (
	ventGuess = 9.0
	headerGap = 1.2
)

// vents draws the own legs of every vent, then closes the gaps to what they end in.
func (g *graph) vents() {
	n := g.r.Net
	k := len(n.Vents)
	g.ventPath, g.ventEdges = make([][]int32, k), make([][]int32, k)
	state := make([]int8, k)
	for v := range k {
		g.legs(network.VentID(v), state)
	}
	g.snapRoof()
	joined := make([]int, k)
	for v := range k {
		x := &n.Vents[v]
		path := g.ventPath[v]
		if len(path) == 0 {
			continue
		}
		end := path[len(path)-1]
		switch x.End {
		case network.JoinsVent:
			if t := x.Into; len(g.ventPath[t]) > 0 && end != g.ventPath[t][0] {
				joined[t]++
				g.close(network.VentID(v), end, g.target(network.VentID(v), t, end, joined[t]))
			}
		case network.JoinsRun:
			g.close(network.VentID(v), end, g.upper[x.IntoRun])
		}
		// Further drains that the vent leaves rise to it on their own.
		seen := map[int32]bool{path[0]: true}
		for _, t := range x.Takes[min(1, len(x.Takes)):] {
			at := g.takeoff(t)
			if seen[at] {
				continue
			}
			seen[at] = true
			top := g.nodes[end].p[2]
			if x.End == network.ThroughRoof {
				top = g.nodes[path[0]].p[2] + ventGuess*0.6
			}
			joined[v]++
			g.close(network.VentID(v), at, g.onPath(network.VentID(v), top+float64(joined[v]-1)*0.7))
		}
	}
}

func (g *graph) takeoff(t network.Takeoff) int32 {
	segs := g.r.Net.Runs[t.Run].Segs
	if t.Lower || t.Seg == network.None {
		return g.lower[segs[len(segs)-1]]
	}
	return g.upper[t.Seg]
}

// legs lays the own legs of a vent out from where it begins; state guards against vents
// that feed each other in a circle.
func (g *graph) legs(v network.VentID, state []int8) {
	if state[v] != 0 {
		return
	}
	state[v] = 1
	n := g.r.Net
	x := &n.Vents[v]
	start := int32(-1)
	if len(x.Takes) > 0 {
		start = g.takeoff(x.Takes[0])
	} else {
		for _, w := range x.Def.From {
			if f, ok := n.Find(w.Text); ok && f.Vent != network.None {
				g.legs(f.Vent, state)
				if p := g.ventPath[f.Vent]; len(p) > 0 {
					start = p[len(p)-1]
					break
				}
			}
		}
	}
	if start < 0 {
		// Nothing says where it begins.
		start = g.node(vec{2, 2, 2})
	}
	g.ventPath[v] = []int32{start}
	type leg struct {
		way    vec
		ok     bool
		feet   float64
		length bool
	}
	var list []leg
	for i := range x.Def.Legs {
		l := &x.Def.Legs[i]
		w, ok := known(l.Way)
		if l.Way.Plumb == 0 && !l.Way.Up && !l.Way.Down {
			w, ok = vec{}, false
		}
		d := 3.0
		if w[2] > 0.5 {
			d = ventGuess
		}
		if l.Length.Set {
			d = max(feet(l.Length.V), 0.05)
		}
		list = append(list, leg{w, ok, d, l.Length.Set})
	}
	if len(list) == 0 {
		d := leg{up, true, ventGuess, x.Def.Length.Set}
		if x.Def.Length.Set {
			d.feet = max(feet(x.Def.Length.V), 0.05)
		}
		if x.Def.Lies.Text == "level" {
			d.way, d.ok = vec{}, false
		}
		list = append(list, d)
	}
	at := start
	prev := vec{}
	for i, l := range list {
		way := l.way
		if !l.ok {
			plan := g.free(at, prev)
			g.turned = true
			way = plan
			if math.Abs(l.way[2]) > 0.02 && math.Abs(l.way[2]) < 0.98 {
				s := math.Sqrt(1 - l.way[2]*l.way[2])
				way = vec{plan[0] * s, plan[1] * s, l.way[2]}
			}
		}
		e := edge{seg: network.None, vent: v, known: l.length}
		if i == 0 && way.among(g.nodes[at].used) {
			// Something leads off that way already: step aside first.
			side := g.free(at, vec{})
			next := g.node(g.nodes[at].p.add(side.mul(elbowRoom)))
			extra := e
			extra.added = true
			g.append(v, at, next, extra)
			at = next
			g.spread = true
		}
		next := g.node(g.nodes[at].p.add(way.mul(l.feet)))
		g.append(v, at, next, e)
		at, prev = next, way
	}
	state[v] = 2
}

func (g *graph) append(v network.VentID, a, b int32, e edge) {
	g.ventEdges[v] = append(g.ventEdges[v], g.link(a, b, e))
	g.ventPath[v] = append(g.ventPath[v], b)
}

// free gives a level way that leads off a node and is not taken, straight on from prev if
// that is free.
func (g *graph) free(at int32, prev vec) vec {
	if f, ok := prev.flat(); ok && !prev.upright() && !f.among(g.nodes[at].used) {
		return f
	}
	for _, c := range compass {
		if !c.among(g.nodes[at].used) {
			return c
		}
	}
	return north
}

// snapRoof lets all vents that go through the roof end at one height: the riser is not to
// scale, and a roof that jumps from pipe to pipe tells nothing.
func (g *graph) snapRoof() {
	n := g.r.Net
	for v := range n.Vents {
		if p := g.ventPath[v]; n.Vents[v].End == network.ThroughRoof && len(p) > 0 {
			z := g.nodes[p[len(p)-1]].p[2]
			if !g.hasTop || z > g.roof {
				g.roof, g.hasTop = z, true
			}
		}
	}
	for i := range g.nodes {
		if g.hasTop {
			g.roof = max(g.roof, g.nodes[i].p[2])
		}
	}
	for v := range n.Vents {
		p := g.ventPath[v]
		if n.Vents[v].End != network.ThroughRoof || len(p) < 2 {
			continue
		}
		last := p[len(p)-1]
		// A vent whose last leg is level still goes up through the roof.
		if e := &g.edges[g.ventEdges[v][len(g.ventEdges[v])-1]]; e.axis == 2 {
			g.nodes[last].p[2] = g.roof
		} else if g.nodes[last].p[2] < g.roof-0.01 {
			q := g.nodes[last].p
			q[2] = g.roof
			g.append(network.VentID(v), last, g.node(q), edge{seg: network.None, vent: network.VentID(v), added: true})
		}
	}
}

// target gives the node of vent t into which v comes, and makes it where it lies within a
// leg.
func (g *graph) target(v, t network.VentID, end int32, nth int) int32 {
	into := g.r.Net.Vents[v].Def.Into
	if into.Kind == job.AtLength {
		rest := feet(into.Len)
		for _, i := range g.ventEdges[t] {
			e := &g.edges[i]
			if e.added {
				continue
			}
			l := g.nodes[e.b].p.sub(g.nodes[e.a].p).len()
			if rest < l-0.05 {
				if rest < 0.05 {
					return e.a
				}
				return g.split(t, i, g.nodes[e.a].p.add(e.way.mul(rest)))
			}
			rest -= l
		}
	}
	z := g.nodes[end].p[2]
	return g.onPath(t, z+float64(nth-1)*0.7)
}

// onPath gives a node on an upright leg of vent t at height z, or as near as there is one.
func (g *graph) onPath(t network.VentID, z float64) int32 {
	best, bestOff, bestZ := int32(-1), math.Inf(1), 0.0
	for _, i := range g.ventEdges[t] {
		e := &g.edges[i]
		if e.axis != 2 {
			continue
		}
		lo, hi := g.nodes[e.a].p[2], g.nodes[e.b].p[2]
		if lo > hi {
			lo, hi = hi, lo
		}
		room := min(headerGap, (hi-lo)*0.3)
		at := min(max(z, lo+room), hi-room)
		if off := math.Abs(at - z); off < bestOff {
			best, bestOff, bestZ = i, off, at
		}
	}
	if best < 0 {
		return g.ventPath[t][len(g.ventPath[t])-1]
	}
	p := g.nodes[g.edges[best].a].p
	p[2] = bestZ
	return g.split(t, best, p)
}

// split cuts leg i of vent t at p.
func (g *graph) split(t network.VentID, i int32, p vec) int32 {
	at := g.node(p)
	e := g.edges[i]
	g.nodes[at].used = append(g.nodes[at].used, e.way, e.way.mul(-1))
	g.edges[i].b = at
	second := e
	second.a = at
	g.edges = append(g.edges, second)
	j := int32(len(g.edges) - 1)
	list := g.ventEdges[t]
	for k := range list {
		if list[k] == i {
			list = append(list[:k+1], append([]int32{j}, list[k+1:]...)...)
			break
		}
	}
	g.ventEdges[t] = list
	return at
}

// close leads vent v from one node to another: upright first, then level along the axes.
func (g *graph) close(v network.VentID, from, to int32) {
	const tiny = 0.02
	d := g.nodes[to].p.sub(g.nodes[from].p)
	if d.len() < tiny {
		// The ends meet already; join them so that the line is whole.
		if from != to {
			g.ventEdges[v] = append(g.ventEdges[v], g.link(from, to, edge{seg: network.None, vent: v, added: true}))
		}
		return
	}
	order := [3]int{2, 0, 1}
	if math.Abs(d[1]) > math.Abs(d[0]) {
		order = [3]int{2, 1, 0}
	}
	if d[2] < 0 { // down last, as a loop comes down
		order = [3]int{order[1], order[2], 2}
	}
	at := from
	for k, axis := range order {
		if math.Abs(d[axis]) < tiny {
			continue
		}
		q := g.nodes[at].p
		q[axis] = g.nodes[to].p[axis]
		last := true
		for _, later := range order[k+1:] {
			if math.Abs(d[later]) >= tiny {
				last = false
			}
		}
		next := to
		if !last {
			next = g.node(q)
		}
		g.ventEdges[v] = append(g.ventEdges[v], g.link(at, next, edge{seg: network.None, vent: v, added: true}))
		at = next
	}
}
