package view

import (
	"math"
	"slices"

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
	g.begun = make(map[int32][]network.VentID, k)
	state := make([]int8, k)
	for v := range k {
		g.legs(network.VentID(v), state)
	}
	g.snapRoof()
	for _, list := range g.ventEdges {
		for _, i := range list {
			g.taken.add(g, i)
		}
	}
	joined := make([]int, k)
	done := make([]bool, k)
	for v := range k {
		g.ends(network.VentID(v), joined, done)
	}
	for v := range k {
		x := &n.Vents[v]
		path := g.ventPath[v]
		if len(path) == 0 {
			continue
		}
		end := path[len(path)-1]
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

// ends leads a vent to what it ends in, which is led to its own end first. done guards
// against vents that end in each other.
func (g *graph) ends(v network.VentID, joined []int, done []bool) {
	if done[v] {
		return
	}
	done[v] = true
	x := &g.r.Net.Vents[v]
	if x.End == network.JoinsVent {
		g.ends(x.Into, joined, done)
	}
	path := g.ventPath[v]
	if len(path) == 0 {
		return
	}
	end := path[len(path)-1]
	switch x.End {
	case network.JoinsVent:
		if t := x.Into; len(g.ventPath[t]) > 0 && end != g.ventPath[t][0] {
			joined[t]++
			to := g.target(v, t, end, joined[t])
			g.reach(v, to)
			g.stepAside(v)
			g.close(v, end, to)
			return
		}
	case network.JoinsRun:
		g.reach(v, g.upper[x.IntoRun])
		g.stepAside(v)
		g.close(v, end, g.upper[x.IntoRun])
		return
	}
	g.stepAside(v)
}

// reach makes the legs of a vent longer or shorter, so that it ends where it joins: the riser
// is not to scale, and directions hold. What no leg can make good is left to close. Nothing
// has joined the vent yet.
func (g *graph) reach(v network.VentID, to int32) {
	const least = 1.0 // feet that are left of a leg
	path, edges := g.ventPath[v], g.ventEdges[v]
	if g.begunOn(v) {
		return
	}
	for axis := range 3 {
		d := g.nodes[to].p[axis] - g.nodes[path[len(path)-1]].p[axis]
		if math.Abs(d) < 0.02 {
			continue
		}
		best, bestLeft := -1, least
		for k, i := range edges {
			e := &g.edges[i]
			if e.added || int(e.axis) != axis {
				continue
			}
			if left := g.nodes[e.b].p.sub(g.nodes[e.a].p).len() + d*e.way[axis]; left >= bestLeft {
				best, bestLeft = k, left
			}
		}
		if best < 0 {
			continue
		}
		for _, at := range path[best+1:] {
			g.nodes[at].p[axis] += d
		}
	}
}

// begunOn tells whether another vent begins on v beyond where v begins.
func (g *graph) begunOn(v network.VentID) bool {
	return slices.ContainsFunc(g.ventPath[v][1:], func(at int32) bool { return len(g.begun[at]) > 0 })
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
	if list[0].ok && list[0].way.among(g.nodes[start].used) && !g.hasFree(start) { // there is pipe on all sides
		if at := g.onto(start); at != start {
			start = at
		} else if len(x.Takes) > 0 {
			start = g.upArm(x.Takes[0])
		}
		g.ventPath[v][0] = start
	}
	g.begun[start] = append(g.begun[start], v)
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
		e := edge{seg: network.None, vent: v, known: l.length, said: l.feet, leg: int16(i + 1)}
		if i == 0 && way.among(g.nodes[at].used) {
			// Something leads off that way already: step aside first.
			side := g.free(at, vec{})
			next := g.node(g.nodes[at].p.add(side.mul(elbowRoom)))
			extra := e
			extra.added, extra.leg = true, 0
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
	// A way that lies along no axis, seen from whichever corner.
	for _, c := range [...]vec{{0.894, 0.447, 0}, {-0.894, -0.447, 0}, {0.447, -0.894, 0}} {
		if !c.among(g.nodes[at].used) {
			return c
		}
	}
	return vec{-0.447, 0.894, 0}
}

// hasFree tells whether there is a level way that leads off a node and is not taken.
func (g *graph) hasFree(at int32) bool {
	for _, c := range compass {
		if !c.among(g.nodes[at].used) {
			return true
		}
	}
	return false
}

// onto gives a node on the upright leg of a vent that begins at a node, a little above it
// and above what steps aside there already; the node itself where no vent goes up from it.
func (g *graph) onto(at int32) int32 {
	const above = 0.8 // feet
	for _, u := range g.begun[at] {
		// The highest node on the leg that is not its end.
		for _, i := range g.ventEdges[u] {
			e := &g.edges[i]
			if e.axis != 2 || e.way[2] < 0 || g.nodes[e.a].p.sub(g.nodes[at].p).len() > 4*above {
				break
			}
			if g.nodes[e.b].p[2] > g.nodes[e.a].p[2]+1.5*above {
				p := g.nodes[e.a].p
				p[2] += above
				return g.split(u, i, p)
			}
		}
	}
	return at
}

// upArm gives a node on the pipe that a vent leaves, a little up from its lower end; its
// lower end itself where the vent leaves it elsewhere or nothing is left between.
func (g *graph) upArm(t network.Takeoff) int32 {
	at := g.takeoff(t)
	segs := g.r.Net.Runs[t.Run].Segs
	s := segs[len(segs)-1]
	if at != g.lower[s] {
		return at
	}
	list := g.segEdges[s]
	for k, i := range list {
		e := g.edges[i]
		if e.b != at || e.added || g.nodes[e.a].p.sub(g.nodes[e.b].p).len() < 1 {
			continue
		}
		l := g.nodes[e.a].p.sub(g.nodes[e.b].p).len()
		mid := g.node(g.nodes[e.b].p.sub(e.way.mul(min(1, 0.4*l))))
		g.nodes[mid].used = append(g.nodes[mid].used, e.way, e.way.mul(-1))
		g.edges[i].a = mid
		upper := e
		upper.b = mid
		g.edges = append(g.edges, upper)
		g.segEdges[s] = slices.Insert(list, k+1, int32(len(g.edges)-1))
		return mid
	}
	return at
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
			if rest < e.said-0.05 {
				if rest < 0.05 {
					return e.a
				}
				l := g.nodes[e.b].p.sub(g.nodes[e.a].p).len()
				return g.split(t, i, g.nodes[e.a].p.add(e.way.mul(l*rest/e.said)))
			}
			rest -= e.said
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
	if l := g.nodes[e.b].p.sub(g.nodes[e.a].p).len(); l > 0 {
		g.edges[i].said = e.said * p.sub(g.nodes[e.a].p).len() / l
		second.said = e.said - g.edges[i].said
	}
	g.edges = append(g.edges, second)
	j := int32(len(g.edges) - 1)
	g.taken.add(g, j)
	list := g.ventEdges[t]
	for k := range list {
		if list[k] == i {
			list = append(list[:k+1], append([]int32{j}, list[k+1:]...)...)
			if path := g.ventPath[t]; k+1 < len(path) {
				g.ventPath[t] = slices.Insert(path, k+1, at)
			}
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
			g.lead(v, from, to)
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
	if o, ok := g.wayTo(v, g.nodes[from].p, g.nodes[from].used, to, order); ok {
		order = o
	} else { // whichever way it goes it would lie on pipe: step aside first
		side, o := g.asideTo(v, from, to, order)
		order = o
		at = g.node(g.nodes[from].p.add(side))
		g.lead(v, from, at)
		g.spread = true
		d = g.nodes[to].p.sub(g.nodes[at].p)
	}
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
		g.lead(v, at, next)
		at = next
	}
}

// lead adds a piece to a vent that the job does not have.
func (g *graph) lead(v network.VentID, from, to int32) {
	i := g.link(from, to, edge{seg: network.None, vent: v, added: true})
	g.ventEdges[v] = append(g.ventEdges[v], i)
	g.taken.add(g, i)
}

// wayTo gives the order of axes in which the way from a place, where pipe leads off some ways
// already, to a node lies on no pipe; ok is false where there is none.
func (g *graph) wayTo(v network.VentID, from vec, used []vec, to int32, order [3]int) (o [3]int, ok bool) {
	a, b, c := order[0], order[1], order[2]
	for _, o := range [...][3]int{order, {a, c, b}, {b, a, c}, {b, c, a}, {c, a, b}, {c, b, a}} {
		if g.clear(v, from, used, to, o) {
			return o, true
		}
	}
	return order, false
}

// asideTo gives a step to the side of a node from which there is a way to another that lies on
// no pipe, and the order of axes of that way.
func (g *graph) asideTo(v network.VentID, from, to int32, order [3]int) (side vec, o [3]int) {
	n := &g.nodes[from]
	for far := 1.0; far <= 3; far += 0.5 {
		for _, c := range [...]vec{north, compass[1], compass[2], east, up} {
			side := c.mul(far * elbowRoom)
			if c.among(n.used) || g.lies(v, n.p, n.p.add(side)) {
				continue
			}
			if o, ok := g.wayTo(v, n.p.add(side), []vec{c.mul(-1)}, to, order); ok {
				return side, o
			}
		}
	}
	return g.free(from, vec{}).mul(elbowRoom), order
}

// clear tells whether the way from a place to a node, along the axes in order, lies on no pipe.
func (g *graph) clear(v network.VentID, p vec, used []vec, to int32, order [3]int) bool {
	d := g.nodes[to].p.sub(p)
	var first, last vec
	for _, axis := range order {
		if math.Abs(d[axis]) < 0.02 {
			continue
		}
		last = vec{}
		last[axis] = math.Copysign(1, d[axis])
		if first == (vec{}) {
			first = last
		}
		q := p
		q[axis] += d[axis]
		if g.lies(v, p, q) {
			return false
		}
		p = q
	}
	return !first.among(used) && !last.mul(-1).among(g.nodes[to].used)
}

// lies tells whether the way from p to q, if it is one along an axis, lies on pipe other than
// that of vent v.
func (g *graph) lies(v network.VentID, p, q vec) bool {
	d := q.sub(p)
	axis := axisAlong(d.mul(1/max(d.len(), 1e-9)), 0.9999)
	return axis >= 0 && g.taken.on(g, p, q, int(axis), v)
}
