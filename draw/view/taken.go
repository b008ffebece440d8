package view

import (
	"math"

	"trapweir/engine/network"
)

// taken finds the pipe that lies on a line along an axis: two pipes on one line cannot be
// told apart on paper, from whichever corner they are seen.
type taken map[lineOf][]int32 // edges

// lineOf is a line along an axis, by its places along the other two in steps of sameLine.
type lineOf struct {
	axis int8
	p, q int32
}

// across gives the other two axes.
func across(axis int) (int, int) { return (axis + 1) % 3, (axis + 2) % 3 }

func lineAt(axis int, at vec) lineOf {
	a, b := across(axis)
	return lineOf{int8(axis), int32(math.Floor(at[a] / sameLine)), int32(math.Floor(at[b] / sameLine))}
}

func (t taken) add(g *graph, i int32) {
	if e := &g.edges[i]; e.axis >= 0 {
		k := lineAt(int(e.axis), g.nodes[e.a].p)
		t[k] = append(t[k], i)
	}
}

// on tells whether pipe other than that of vent v lies along some of the way from p to q,
// which goes along an axis.
func (t taken) on(g *graph, p, q vec, axis int, v network.VentID) bool {
	const shared = 0.3 // feet
	a, b := across(axis)
	k := lineAt(axis, p)
	lo, hi := min(p[axis], q[axis]), max(p[axis], q[axis])
	for i := k.p - 1; i <= k.p+1; i++ {
		for j := k.q - 1; j <= k.q+1; j++ {
			for _, n := range t[lineOf{k.axis, i, j}] {
				e := &g.edges[n]
				if e.vent == v && e.seg == network.None {
					continue
				}
				// Where it lies now: it may have been moved since it was listed.
				s, u := g.nodes[e.a].p, g.nodes[e.b].p
				if math.Abs(s[a]-p[a]) < sameLine && math.Abs(s[b]-p[b]) < sameLine &&
					min(hi, max(s[axis], u[axis]))-max(lo, min(s[axis], u[axis])) > shared {
					return true
				}
			}
		}
	}
	return false
}

// offTaken gives the level step off node low with which segment s lies on no line that other
// pipe lies on; none where it does without, or where no step helps.
func (g *graph) offTaken(s network.SegID, low int32) vec {
	at, flow := g.nodes[low].p, g.flow[s]
	on := func(p vec) bool { return g.lies(network.None, p.sub(flow.mul(g.length[s])), p) }
	if !on(at) {
		return vec{}
	}
	for far := 1.0; far <= 3; far += 0.5 {
		for _, c := range compass {
			side := c.mul(far * elbowRoom)
			if math.Abs(c.dot(flow)) < 0.5 && !c.among(g.nodes[low].used) && !on(at.add(side)) && !g.lies(network.None, at, at.add(side)) {
				g.spread = true
				return c.mul(far)
			}
		}
	}
	return vec{}
}

// stepAside moves the legs of a vent that lie on the line of another pipe: a level one up or
// down by making the upright one before it longer, an upright one by making the level one
// before it longer, or by a step to the side where it is the first.
func (g *graph) stepAside(v network.VentID) {
	const step, tries = 0.6, 6 // feet
	path := g.ventPath[v]
	if len(path) < 2 || g.begunOn(v) {
		return
	}
	on := func(k int) bool {
		e := &g.edges[g.ventEdges[v][k]]
		return g.lies(v, g.nodes[e.a].p, g.nodes[e.b].p)
	}
	for k := 0; k < len(g.ventEdges[v]); k++ {
		if !on(k) {
			continue
		}
		axis := g.edges[g.ventEdges[v][k]].axis
		before := k - 1
		for ; before >= 0; before-- { // one that turns into it
			if e := &g.edges[g.ventEdges[v][before]]; e.axis >= 0 && (e.axis == 2) != (axis == 2) {
				break
			}
		}
		if before < 0 {
			switch {
			case axis == 2:
				g.sidestep(v, k)
				path, k = g.ventPath[v], k+1
			case k == 0 && g.edges[g.ventEdges[v][0]].added && len(path) > 2: // a step to the side, to another one
				was := g.nodes[path[1]].p.sub(g.nodes[path[0]].p)
				by := g.sideFor(v, 1, path[0]).sub(was)
				for _, at := range path[1:] {
					g.nodes[at].p = g.nodes[at].p.add(by)
				}
				e := &g.edges[g.ventEdges[v][0]]
				d := g.nodes[e.b].p.sub(g.nodes[e.a].p)
				e.way = d.mul(1 / max(d.len(), 1e-9))
				e.axis = axisAlong(e.way, 0.9999)
			}
			continue
		}
		by, last := g.edges[g.ventEdges[v][before]].way, len(path)
		if by.upright() && g.r.Net.Vents[v].End == network.ThroughRoof { // its end stays on the roof
			last--
		}
		for n := 0; n < tries && on(k); n++ {
			for _, at := range path[before+1 : last] {
				g.nodes[at].p = g.nodes[at].p.add(by.mul(step))
			}
		}
	}
	for _, i := range g.ventEdges[v] {
		g.taken.add(g, i)
	}
}

// sideFor gives a step to the side of a node, at which the k-th leg of a vent begins then, with
// which that leg comes to lie on a line of its own.
func (g *graph) sideFor(v network.VentID, k int, at int32) vec {
	e := &g.edges[g.ventEdges[v][k]]
	a := g.nodes[at].p
	b := a.add(g.nodes[e.b].p.sub(g.nodes[e.a].p))
	for far := 1.0; far <= 3; far += 0.5 {
		for _, c := range compass {
			side := c.mul(far * elbowRoom)
			if !c.among(g.nodes[at].used) && !g.lies(v, a, a.add(side)) && !g.lies(v, a.add(side), b.add(side)) {
				return side
			}
		}
	}
	return g.free(at, vec{}).mul(elbowRoom)
}

// sidestep moves what follows a node of a vent to a side that is free.
func (g *graph) sidestep(v network.VentID, k int) {
	path := g.ventPath[v]
	at := path[k]
	side := g.sideFor(v, k, at)
	for _, i := range path[k+1:] {
		g.nodes[i].p = g.nodes[i].p.add(side)
	}
	next := g.node(g.nodes[at].p.add(side))
	own := g.ventEdges[v][k]
	step := g.link(at, next, edge{seg: network.None, vent: v, added: true})
	e := &g.edges[own]
	e.a = next
	g.nodes[next].used = append(g.nodes[next].used, e.way)
	g.ventPath[v] = append(path[:k+1:k+1], append([]int32{next}, path[k+1:]...)...)
	list := g.ventEdges[v]
	g.ventEdges[v] = append(list[:k:k], append([]int32{step}, list[k:]...)...)
	g.spread = true
}
