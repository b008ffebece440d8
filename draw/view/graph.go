package view

import (
	"cmp"
	"math"
	"slices"

	"trapweir/engine"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// vec is a place or a direction in the house: feet east, north and up of the outlet.
type vec [3]float64

func (a vec) add(b vec) vec     { return vec{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func (a vec) sub(b vec) vec     { return vec{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
func (a vec) mul(k float64) vec { return vec{a[0] * k, a[1] * k, a[2] * k} }
func (a vec) dot(b vec) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func (a vec) same(b vec) bool   { return a.dot(b) > 0.98 }
func (a vec) upright() bool     { return math.Abs(a[2]) > 0.98 }
func (a vec) len() float64      { return math.Sqrt(a.dot(a)) }
func (a vec) flat() (vec, bool) {
	f := vec{a[0], a[1], 0}
	l := f.len()
	return f.mul(1 / max(l, 1e-9)), l > 0.02
}
func (a vec) among(list []vec) bool { return index(list, a) >= 0 }

func index(list []vec, a vec) int {
	for i, b := range list {
		if a.same(b) {
			return i
		}
	}
	return -1
}

var (
	east, north, up = vec{1, 0, 0}, vec{0, 1, 0}, vec{0, 0, 1}
	compass         = [...]vec{north, {0, -1, 0}, {-1, 0, 0}, east}
)

func feet(l unit.Length) float64 { return float64(l) / float64(unit.Foot) }

// node is a point of the pipework.
type node struct {
	p    vec    // feet, as the job has it or as chosen
	used []vec  // ways in which pipe leads off
	room [4]vec // for the first of them
}

// edge is a straight piece of pipe between two nodes, with the water (vents: with the air
// upward).
type edge struct {
	a, b  int32
	seg   network.SegID  // None for vents
	vent  network.VentID // None for drains
	way   vec
	axis  int8    // 0 east, 1 north, 2 up; -1 none of them
	known bool    // its length is in the job
	added bool    // drawn only to keep pipes apart, or to close a gap that the job leaves open
	said  float64 // feet as the job has them, of a leg of a vent: as drawn it may be another
	leg   int16   // number of that leg, from 1
}

// graph is the pipework as it is drawn: the tree of drains and the vents, with a way for
// every piece.
type graph struct {
	r     *engine.Result
	nodes []node
	edges []edge
	// upper and lower are the nodes at the ends of a segment; slot are its further nodes
	// below upper, where runs join that would otherwise cover each other.
	upper, lower []int32
	flow         []vec // with the water, by SegID
	ventPath     [][]int32
	ventEdges    [][]int32
	segEdges     [][]int32
	turned       bool // directions were chosen
	spread       bool // joins were pulled apart

	length []float64
	pos    [][]float64 // places of the slots from the upper end, pos[0] == 0
	slotOf []int32     // slot of the receiver that a segment joins
	jog    []vec       // piece put in between a segment and its slot
	weight []int32
	sides  map[network.RunID]*[2]int32
	roof   float64
	hasTop bool
	taken  taken
	begun  map[int32][]network.VentID // vents by the node at which they begin

	desk  *desk
	drawn []drawnEdge // room in which crossed works
}

func newGraph(r *engine.Result) *graph {
	n := r.Net
	k := len(n.Segs)
	d := desks.Get().(*desk)
	g := &graph{
		r: r, desk: d, upper: d.ids.take(k), lower: d.ids.take(k), flow: d.vecs.take(k), length: d.numbers.take(k),
		pos: make([][]float64, k), slotOf: d.ids.take(k), jog: d.vecs.take(k), weight: d.ids.take(k), segEdges: make([][]int32, k),
		sides: map[network.RunID]*[2]int32{},
	}
	for i := range n.Segs {
		g.weight[i]++
		if d := n.Segs[i].Down; d != network.None {
			g.weight[d] += g.weight[i]
		}
	}
	for i := k - 1; i >= 0; i-- {
		if n.Segs[i].Down == network.None {
			g.flow[i] = g.wayOf(network.SegID(i), vec{-1, 0, 0})
		}
		g.join(network.SegID(i))
	}
	g.measure()
	g.place()
	g.vents()
	return g
}

// known gives the way of a leg; ok is false where its plan direction is not said.
func known(w job.Way) (vec, bool) {
	tilt := float64(w.Plumb) * math.Pi / 1800
	down := -math.Cos(tilt)
	if w.Up {
		down = -down
	}
	if math.Abs(down) < 1e-6 {
		down = 0
	}
	flat := math.Sin(tilt)
	if w.Plumb == 0 {
		if !w.Up && !w.Down {
			return vec{}, false
		}
		return vec{0, 0, down}, true
	}
	if !w.HasPlan {
		return vec{0, flat, down}, false
	}
	a := float64(w.Azimuth) * math.Pi / 1800
	v := vec{flat * math.Sin(a), flat * math.Cos(a), down}
	for i := range v {
		if math.Abs(v[i]) < 1e-6 {
			v[i] = 0
		}
	}
	return v, true
}

// said gives the way of a segment as the job has it.
func (g *graph) said(s network.SegID) (vec, bool) {
	seg := &g.r.Net.Segs[s]
	if !seg.WayKnown && seg.Lie != network.Upright || seg.Lie == network.LieUnknown {
		return vec{}, false
	}
	v, ok := known(seg.Way)
	if !ok && seg.Lie == network.Upright && v[2] == 0 {
		return vec{0, 0, -1}, true
	}
	return v, ok
}

// wayOf gives the way of a segment: as said, else along plan as chosen.
func (g *graph) wayOf(s network.SegID, chosen vec) vec {
	if v, ok := g.said(s); ok {
		return v
	}
	g.turned = true
	return g.tilted(s, chosen)
}

// tilted turns a direction in plan into that of the segment, which may slope by an angle.
func (g *graph) tilted(s network.SegID, plan vec) vec {
	v, _ := known(g.r.Net.Segs[s].Way)
	if math.Abs(v[2]) < 1e-6 || plan.upright() {
		return plan
	}
	return vec{plan[0] * math.Abs(v[1]), plan[1] * math.Abs(v[1]), v[2]}
}

// foot is the way in plan in which the water of an upright segment goes on.
func (g *graph) foot(s network.SegID) vec {
	for d := g.r.Net.Segs[s].Down; d != network.None; d = g.r.Net.Segs[d].Down {
		if f, ok := g.flow[d].flat(); ok {
			return f
		}
	}
	return vec{-1, 0, 0}
}

// choices lists the ways that lead upstream from segment d, best first: straight on, then
// to the sides, the lighter side of the run first.
func (g *graph) choices(d network.SegID, straight bool) []vec {
	v := g.flow[d]
	var out []vec
	base := v
	if f, ok := v.flat(); ok && !v.upright() {
		if straight {
			out = append(out, f.mul(-1))
		}
		base = f
	} else {
		base = g.foot(d)
	}
	side := g.side(g.r.Net.Segs[d].Run)
	left, right := vec{-base[1], base[0], 0}, vec{base[1], -base[0], 0}
	if math.Abs(base[0]) < 0.98 && math.Abs(base[1]) < 0.98 { // beside a skew pipe keep to the axes
		left, right = vec{-sign(base[1]), 0, 0}, vec{sign(base[1]), 0, 0}
	}
	first := side[0] <= side[1]
	// Of a run that lies along the one that it joins, branches go off to the far side first.
	run := g.r.Net.Segs[d].Run
	if segs := g.r.Net.Runs[run].Segs; len(segs) > 0 {
		if off := g.jog[segs[len(segs)-1]].dot(left); math.Abs(off) > 0.3 {
			first = off > 0
		}
	}
	if first {
		out = append(out, left, right)
	} else {
		out = append(out, right, left)
	}
	if v.upright() {
		out = append(out, base.mul(-1), base)
	}
	return out
}

func (g *graph) side(r network.RunID) *[2]int32 {
	if g.sides[r] == nil {
		g.sides[r] = &[2]int32{}
	}
	return g.sides[r]
}

func sign(v float64) float64 {
	if v < 0 {
		return -1
	}
	return 1
}

// join gives everything that drains into the upper end of d its way, and its slot where
// two would lie on each other.
func (g *graph) join(d network.SegID) {
	n := g.r.Net
	v := g.flow[d]
	ups := n.Up(d)
	slots := [][]vec{{v}}
	if n.Segs[d].Fixture != network.None || n.Segs[d].Carries || n.Segs[d].Basin { // its trap or part stands there
		back := v.mul(-1)
		if v.upright() {
			back = up
		}
		slots[0] = append(slots[0], back)
	}
	slot := func(k int) *[]vec {
		for len(slots) <= k {
			slots = append(slots, []vec{v, v.mul(-1)})
		}
		return &slots[k]
	}
	take := func(u network.SegID, way vec, k int) { // way leads upstream
		s := slot(k)
		*s = append(*s, way)
		g.slotOf[u] = int32(k)
		if k > 0 {
			g.spread = true
		}
		f, ok := v.flat()
		if v.upright() {
			f = g.foot(d)
		}
		if ok || v.upright() {
			if turn := f[0]*way[1] - f[1]*way[0]; turn > 0.3 {
				g.side(n.Segs[d].Run)[0] += g.weight[u]
			} else if turn < -0.3 {
				g.side(n.Segs[d].Run)[1] += g.weight[u]
			}
		}
	}
	// Slots only fill up: where one was found taken, the search for the next joiner goes on.
	full := 0
	beside := func() (way vec, k int) {
		for ; ; full++ {
			for _, c := range g.choices(d, false) {
				if !c.among(*slot(full)) {
					return c, full
				}
			}
		}
	}
	var next map[vec]int // slot to look at next, by the way that leads upstream
	own := func(u network.SegID) bool { return n.Segs[u].Run == n.Segs[d].Run }
	var open []network.SegID
	for _, u := range ups {
		w, ok := g.said(u)
		if !ok {
			open = append(open, u)
			continue
		}
		g.flow[u] = w
		back := w.mul(-1)
		switch {
		case own(u) || !back.among(*slot(0)):
			take(u, back, 0)
		case back.same(v) || back.same(v.mul(-1)): // along the pipe that it joins: let it come in from a side
			side, k := beside()
			g.jog[u] = side
			take(u, side, k)
		default:
			k := next[back]
			for back.among(*slot(k)) {
				k++
			}
			if next == nil {
				next = map[vec]int{}
			}
			next[back] = k + 1
			take(u, back, k)
		}
	}
	// What has no way yet: the heaviest goes straight on, the others to the sides.
	slices.SortStableFunc(open, func(a, b network.SegID) int {
		switch first := own(a); {
		case first == own(b):
			return cmp.Compare(g.weight[b], g.weight[a])
		case first:
			return -1
		}
		return 1
	})
	for _, u := range open {
		way, k := g.choices(d, true)[0], 0
		if way.among(slots[0]) {
			way, k = beside()
		}
		g.turned = true
		g.flow[u] = g.tilted(u, way.mul(-1))
		take(u, way, k)
	}
	g.pos[d] = g.desk.numbers.take(len(slots))
}

// area is a rectangle in plan.
type area struct {
	x0, y0, x1, y1 float64
	any            bool
}

func (a *area) point(x, y, r float64) { a.join(area{x - r, y - r, x + r, y + r, true}) }

func (a *area) join(b area) {
	switch {
	case !b.any:
	case !a.any:
		*a = b
	default:
		*a = area{min(a.x0, b.x0), min(a.y0, b.y0), max(a.x1, b.x1), max(a.y1, b.y1), true}
	}
}

func (a area) moved(v vec) area {
	if a.any {
		a.x0, a.x1, a.y0, a.y1 = a.x0+v[0], a.x1+v[0], a.y0+v[1], a.y1+v[1]
	}
	return a
}

// reach is how far the area goes along v from the origin, 0 if it does not.
func (a area) reach(v vec) float64 {
	if !a.any {
		return 0
	}
	return max(0, max(a.x0*v[0], a.x1*v[0])+max(a.y0*v[1], a.y1*v[1]))
}

// Lengths in feet that stand in where the job gives none, and the room between two
// branches on one side.
const (
	levelGuess, armGuess, dropGuess, stackGuess = 4.0, 3.0, 2.5, 9.0
	slotStep, elbowRoom                         = 1.6, 1.5
)

// measure gives every segment its length: as written, or as long as what hangs on it
// needs. Segments are numbered with the water, so everything upstream is ready.
func (g *graph) measure() {
	n := g.r.Net
	upper := make([][2]area, len(n.Segs)) // upstream of the upper end, left and right of the pipe
	full := make([]area, len(n.Segs))     // the segment and all upstream, from its lower end
	for i := range n.Segs {
		d := network.SegID(i)
		seg := &n.Segs[i]
		v := g.flow[i]
		plan, level := v.flat()
		level = level && !v.upright()
		g.length[i] = g.guess(d)
		pos := g.pos[i]
		var at [2][]area // lateral areas by side and slot
		at[0], at[1] = make([]area, len(pos)), make([]area, len(pos))
		straight := network.SegID(network.None)
		for _, u := range n.Up(d) {
			if g.flow[u].same(v) && g.slotOf[u] == 0 && level {
				straight = u
				continue
			}
			side := 0
			if w := g.flow[u].mul(-1); plan[0]*w[1]-plan[1]*w[0] < 0 {
				side = 1
			}
			a := full[u].moved(g.jog[u].mul(elbowRoom))
			at[side][g.slotOf[u]].join(a)
			if math.Abs(plan[0]*g.flow[u][1]-plan[1]*g.flow[u][0]) < 0.3 { // from above, or back along the pipe
				at[1-side][g.slotOf[u]].join(a)
			}
		}
		// Slots.
		for k := 1; k < len(pos); k++ {
			step := slotStep
			if level {
				for s := range 2 {
					step = max(step, at[s][k-1].reach(plan)+at[s][k].reach(plan.mul(-1))+elbowRoom)
				}
			}
			pos[k] = pos[k-1] + step
		}
		if seg.Down == network.None && !seg.LengthKnown && level { // the arrow at the outlet lies clear of all
			for s := range 2 {
				for k := range pos {
					g.length[i] = max(g.length[i], pos[k]+at[s][k].reach(plan)+elbowRoom)
				}
			}
		}
		if last := pos[len(pos)-1]; seg.LengthKnown && last > 0 {
			k := min(1, 0.8*g.length[i]/last)
			for j := range pos {
				pos[j] *= k
			}
		} else {
			g.length[i] = max(g.length[i], last+slotStep)
		}
		for s := range 2 {
			for k := range pos {
				upper[i][s].join(at[s][k].moved(v.mul(pos[k])))
			}
		}
		if u := straight; u != network.None {
			if !n.Segs[u].LengthKnown {
				for s := range 2 {
					g.length[u] = max(g.length[u], upper[u][s].reach(plan)+upper[i][s].reach(plan.mul(-1))+elbowRoom)
				}
			}
			for s := range 2 {
				upper[i][s].join(upper[u][s].moved(v.mul(-g.length[u])))
			}
		}
		if seg.Fixture != network.None || len(n.Up(d)) == 0 {
			upper[i][0].point(0, 0, 0.8)
		}
		full[i].point(0, 0, 0)
		full[i].point(-v[0]*g.length[i], -v[1]*g.length[i], 0)
		for s := range 2 {
			full[i].join(upper[i][s].moved(v.mul(-g.length[i])))
		}
	}
}

func (g *graph) guess(d network.SegID) float64 {
	seg := &g.r.Net.Segs[d]
	switch {
	case seg.LengthKnown && seg.To > seg.From:
		return max(feet(seg.To-seg.From), 0.05)
	case g.flow[d].upright() && (seg.Role == network.Stack || seg.Role == network.PumpDischarge):
		return stackGuess
	case g.flow[d].upright():
		return dropGuess
	case seg.Fixture != network.None:
		return armGuess
	}
	return levelGuess
}

func (g *graph) node(p vec) int32 {
	g.nodes = append(g.nodes, node{p: p})
	n := &g.nodes[len(g.nodes)-1]
	n.used = n.room[:0] // stays where it is when the list of nodes grows
	return int32(len(g.nodes) - 1)
}

// link puts a piece of pipe between two nodes.
func (g *graph) link(a, b int32, e edge) int32 {
	d := g.nodes[b].p.sub(g.nodes[a].p)
	l := d.len()
	e.a, e.b = a, b
	e.way = d.mul(1 / max(l, 1e-9))
	e.axis = axisAlong(e.way, 0.9999)
	g.edges = append(g.edges, e)
	g.nodes[a].used = append(g.nodes[a].used, e.way)
	g.nodes[b].used = append(g.nodes[b].used, e.way.mul(-1))
	return int32(len(g.edges) - 1)
}

// axisAlong is the axis along which a way leads, with at least a share of its length; -1 none.
func axisAlong(way vec, share float64) int8 {
	for i := range way {
		if math.Abs(way[i]) > share {
			return int8(i)
		}
	}
	return -1
}

// place puts nodes at the ends of all segments, from the outlet up.
func (g *graph) place() {
	n := g.r.Net
	slots := make([][]int32, len(n.Segs))
	pieces := 0
	for i := range n.Segs {
		pieces += 1 + len(g.pos[i]) // with one to the side
	}
	room := g.desk.ids.take(pieces) // for the edges of the segments
	g.nodes, g.edges = g.desk.nodes.take(pieces + 4*len(n.Vents))[:0], g.desk.edges.take(pieces + 4*len(n.Vents))[:0]
	outlet := g.node(vec{})
	g.taken = taken{}
	for i := len(n.Segs) - 1; i >= 0; i-- {
		s := network.SegID(i)
		seg := &n.Segs[i]
		low := outlet
		k := 1 + len(g.pos[i])
		g.segEdges[i], room = room[:0:k], room[k:]
		if d := seg.Down; d != network.None {
			low = slots[d][g.slotOf[i]]
		}
		e := edge{seg: s, vent: network.None, known: seg.LengthKnown}
		if g.jog[i] == (vec{}) && seg.Down != network.None {
			g.jog[i] = g.offTaken(s, low)
		}
		if j := g.jog[i]; j != (vec{}) {
			at := g.node(g.nodes[low].p.add(j.mul(elbowRoom)))
			extra := e
			extra.added = true
			g.segEdges[i] = append(g.segEdges[i], g.link(at, low, extra))
			low = at
		}
		g.lower[i] = low
		top := g.nodes[low].p.sub(g.flow[i].mul(g.length[i]))
		prev := low
		first := len(g.edges)
		slots[i] = g.desk.ids.take(len(g.pos[i]))
		for k := len(g.pos[i]) - 1; k >= 0; k-- {
			at := g.node(top.add(g.flow[i].mul(g.pos[i][k])))
			g.segEdges[i] = append(g.segEdges[i], g.link(at, prev, e))
			slots[i][k], prev = at, at
		}
		for k := first; k < len(g.edges); k++ {
			g.taken.add(g, int32(k))
		}
		g.upper[i] = prev
		if seg.Fixture != network.None {
			back := g.flow[i].mul(-1)
			if back.upright() {
				back = up
			}
			g.nodes[prev].used = append(g.nodes[prev].used, back)
		}
	}
}
