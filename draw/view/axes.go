package view

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"trapweir/draw"
	"trapweir/engine/network"
)

// The riser stands on three schematic axes. All places of the pipework along an axis are
// put in order, those that are one line in the house are one line here, and the distance
// of neighbours is shortened: monotone, so that nothing changes sides, and never so short
// that a leg is lost. Where two pipes that do not meet would lie on each other on paper,
// a distance somewhere between them is widened.

const (
	cos30, sin30 = 0.8660254037844386, 0.5
	sameLine     = 0.2  // feet: places nearer than this are one line
	apartPipes   = 8.5  // millimetres on paper between level pipes side by side: room for a label
	apartRisers  = 6.0  // between upright ones
	leastApart   = 2.6  // between any two: nearer than that they run into each other
	apartNodes   = 3.4  // from the end of a pipe to another pipe
	roofRise     = 12.0 // from the end of a vent up to its mouth above the roof
	roofHalf     = 7.5  // half the length of that roof's line
	roofAbove    = 5.5  // from the end of a vent up to the roof that it goes through
	standOff     = 4.6  // from the end of an arm to the riser of the fixture on its trap
	largest      = 2.5  // scale beyond which a small job is not blown up
)

// axes are the schematic axes of one riser.
type axes struct {
	g        *graph
	show     []bool // edges
	turn     int    // quarter turns of the viewpoint
	value    [3][]float64
	gap      [3][]float64 // millimetres from one value to the next
	at       [3][]float64 // millimetres from the first
	of       [3][]int32   // by node
	spots    []vec        // at of the nodes in use, by node
	inUse    []bool       // nodes
	floor    []floorLine
	lines    []line
	roofs    []int32    // ends of vents through the roof
	outlet   int32      // node, -1 where it is not shown
	outward  vec        // the way of its arrow
	tips     []int32    // nodes that other pipes keep off
	sorted   [3][]keyed // lines by key
	hopeless [][2]int32 // pairs that no gap parts
	least    bool       // clashes are pipes nearer than leastApart only
	together bool       // some are left
	nodes    [3][]keyed // tips by key
	natural  draw.Rect  // bounds before anything is widened
	k        float64
	shift    draw.Point
}

// floorLine is a floor to be drawn: its place among the heights.
type floorLine struct {
	level int
	z     float64
	value int32
	on    []int32 // nodes around which it is drawn
}

// line is a pipe along an axis, as the places of its ends along all three.
type line struct {
	axis   int8
	a, b   int32
	rise   float64 // millimetres on paper added at the end b: the riser of a fixture
	back   vec     // the way in which that riser stands off its node
	key    float64
	lo, hi float64
	edge   int32
}

// turned gives a place as seen from another corner of the house.
func turned(p vec, turn int) vec {
	for range turn {
		p[0], p[1] = p[1], -p[0]
	}
	return p
}

// shorten gives the distance of neighbours along an axis, in steps: an inch more in the house
// then mostly leaves the picture as it is, and who works on it keeps his place.
func shorten(d float64, axis int) float64 {
	const step = 0.75
	per := 1.5
	if axis == 2 {
		per = 1.2
	}
	return step * math.Round((5+3.4*math.Log1p(d/per))/step)
}

// newViews gives the axes of the pipework seen from the four corners of the house.
func newViews(g *graph, show []bool, floors []floorLine) []*axes {
	d := g.desk
	first := &axes{g: g, show: show, inUse: d.flags.take(len(g.nodes)), floor: slices.Clone(floors)}
	for i := range g.edges {
		if show[i] {
			first.inUse[g.edges[i].a], first.inUse[g.edges[i].b] = true, true
		}
	}
	for i := range first.inUse {
		if first.inUse[i] {
			first.tips = append(first.tips, int32(i))
		}
	}
	p, below, order := d.vecs.take(len(g.nodes)), d.numbers.take(len(g.nodes)), d.ids.take(len(first.tips))
	views := make([]*axes, 4)
	for turn := range views {
		x := first
		if turn > 0 { // what is in use, the heights and the floors are the same from everywhere
			x = &axes{g: g, show: show, turn: turn, inUse: first.inUse, tips: first.tips, floor: first.floor}
			x.value[2], x.gap[2], x.at[2], x.of[2] = first.value[2], first.gap[2], first.at[2], first.of[2]
		}
		for i := range p {
			p[i] = turned(g.nodes[i].p, turn)
		}
		copy(order, first.tips)
		x.order(p, below, order)
		x.k, x.spots = 1, d.vecs.take(len(g.nodes))
		x.makeLines()
		if turn == 0 {
			x.onFloors()
		}
		x.sum()
		x.natural = x.bounds()
		if turn < 2 {
			x.keep()
		} else { // from the other side the same lines lie along an axis
			x.sorted, x.nodes = views[turn-2].sorted, views[turn-2].nodes
		}
		views[turn] = x
	}
	return views
}

// order puts the places p of the nodes along each axis in order, and gives them their first
// distances. below and order are room to work in, order with the nodes in use.
func (x *axes) order(p []vec, below []float64, order []int32) {
	g, show := x.g, x.show
	for axis := range 3 {
		if x.of[axis] != nil {
			continue
		}
		for i := range below { // the lower end of a leg along the axis that ends here
			below[i] = math.Inf(-1)
		}
		for i := range g.edges {
			if !show[i] {
				continue
			}
			a, b := g.edges[i].a, g.edges[i].b
			va, vb := p[a][axis], p[b][axis]
			if math.Abs(va-vb) < 0.004 {
				continue
			}
			if va < vb {
				below[b] = max(below[b], va)
			} else {
				below[a] = max(below[a], vb)
			}
		}
		slices.SortStableFunc(order, func(i, j int32) int { return cmp.Compare(p[i][axis], p[j][axis]) })
		x.of[axis] = g.desk.ids.take(len(g.nodes))
		value := g.desk.numbers.take(len(order) + len(x.floor))[:0]
		last := 0.0
		f := 0
		for _, i := range order {
			v := p[i][axis]
			for axis == 2 && f < len(x.floor) && x.floor[f].z <= v {
				value = append(value, x.floor[f].z)
				x.floor[f].value = int32(len(value) - 1)
				last = math.Inf(-1)
				f++
			}
			if len(value) == 0 || math.IsInf(last, -1) || v-last > sameLine || below[i] >= last-0.004 {
				value = append(value, v)
				last = v
			}
			x.of[axis][i] = int32(len(value) - 1)
		}
		for ; axis == 2 && f < len(x.floor); f++ {
			value = append(value, x.floor[f].z)
			x.floor[f].value = int32(len(value) - 1)
		}
		x.value[axis] = value
		x.gap[axis] = g.desk.numbers.take(max(0, len(value)-1))
		x.at[axis] = g.desk.numbers.take(len(value))
		for i := range x.gap[axis] {
			x.gap[axis][i] = shorten(value[i+1]-value[i], axis)
		}
	}
}

// makeLines lists what must not lie on each other.
func (x *axes) makeLines() {
	g, n := x.g, x.g.r.Net
	x.lines = g.desk.lines.take(len(g.edges) + len(n.Fixtures) + len(n.Vents))[:0]
	for i := range g.edges {
		e := &g.edges[i]
		if !x.show[i] || e.axis < 0 {
			continue
		}
		axis := e.axis
		if x.turn%2 == 1 && axis < 2 {
			axis = 1 - axis
		}
		l := line{axis: axis, a: e.a, b: e.b, edge: int32(i)}
		if x.of[axis][l.a] > x.of[axis][l.b] {
			l.a, l.b = l.b, l.a
		}
		x.lines = append(x.lines, l)
	}
	for i := range n.Fixtures {
		if at := g.upper[n.Fixtures[i].Seg]; x.inUse[at] {
			flow := g.flow[n.Fixtures[i].Seg]
			if flow.upright() {
				flow = g.foot(n.Fixtures[i].Seg)
			}
			back, _ := flow.flat()
			x.lines = append(x.lines, line{axis: 2, a: at, b: at, rise: 8, back: turned(back.mul(-standOff), x.turn), edge: -1})
		}
	}
	for v := range n.Vents {
		if p := g.ventPath[v]; n.Vents[v].End == network.ThroughRoof && len(p) > 1 && x.inUse[p[len(p)-1]] {
			end := p[len(p)-1]
			x.roofs = append(x.roofs, end)
			x.lines = append(x.lines, line{axis: 2, a: end, b: end, rise: roofRise, edge: -1})
		}
	}
	x.outlet = -1
	if s := n.Outlet; s != network.None && x.inUse[g.lower[s]] && len(g.segEdges[s]) > 0 {
		x.outlet, x.outward = g.lower[s], turned(g.edges[g.segEdges[s][0]].way, x.turn)
	}
}

// sum adds the gaps up and gives every line its key: lines of one axis with the same key
// lie on each other.
func (x *axes) sum() {
	for axis := range 3 {
		at := 0.0
		for i := range x.at[axis] {
			x.at[axis][i] = at
			if i < len(x.gap[axis]) {
				at += x.gap[axis][i]
			}
		}
	}
	for _, i := range x.tips {
		x.spots[i] = vec{x.at[0][x.of[0][i]], x.at[1][x.of[1][i]], x.at[2][x.of[2][i]]}
	}
	for i := range x.lines {
		l := &x.lines[i]
		l.key = x.key(l.axis, l.a)
		l.lo, l.hi = x.along(l.axis, l.a), x.along(l.axis, l.b)
		if l.rise > 0 {
			l.key += (l.back[0] - l.back[1]) / x.k
			l.lo += (l.back[0] + l.back[1]) * sin30 / x.k
			l.hi = l.lo + l.rise/x.k
		}
	}
}

func (x *axes) place(i int32) (float64, float64, float64) {
	p := &x.spots[i]
	return p[0], p[1], p[2]
}

func (x *axes) key(axis int8, i int32) float64 { return keyOf(axis, &x.spots[i]) }

func keyOf(axis int8, p *vec) float64 {
	switch axis {
	case 0:
		return p[1] + p[2]
	case 1:
		return p[0] + p[2]
	}
	return p[0] - p[1]
}

// along is how far a node lies along the lines of an axis.
func (x *axes) along(axis int8, i int32) float64 { return alongOf(axis, &x.spots[i]) }

func alongOf(axis int8, p *vec) float64 {
	switch axis {
	case 0:
		return p[0] - p[1]
	case 1:
		return p[1] - p[0]
	}
	return p[2] + (p[0]+p[1])*sin30
}

// project puts a place on the axes onto paper; y grows downward.
func project(e, n, u float64) draw.Point {
	return draw.Point{X: (e - n) * cos30, Y: -((e+n)*sin30 + u)}
}

// bounds is the box around everything, at scale 1.
func (x *axes) bounds() draw.Rect {
	var r draw.Rect
	first := true
	for _, i := range x.tips {
		e, n, u := x.place(i)
		p := project(e, n, u)
		b := draw.Rect{X0: p.X, Y0: p.Y, X1: p.X, Y1: p.Y}
		if first {
			r, first = b, false
		} else {
			r = r.Union(b)
		}
	}
	for i := range x.floor {
		if c, ok := x.plate(i); ok {
			for _, q := range c {
				r = r.Union(draw.Rect{X0: q.X, Y0: q.Y, X1: q.X, Y1: q.Y})
			}
		}
	}
	return r
}

// plateEdge is how far a floor is drawn beyond the pipes on it, at scale 1.
const plateEdge = 5.5

// plate gives the corners of a floor at scale 1: around the fixtures that stand on it and
// the pipes that go through it.
func (x *axes) plate(i int) (c [4]draw.Point, ok bool) {
	f := &x.floor[i]
	var box draw.Rect
	z := x.at[2][f.value]
	for _, at := range f.on {
		e, n, _ := x.place(at)
		b := draw.Rect{X0: e, Y0: n, X1: e, Y1: n}
		if ok {
			box = box.Union(b)
		} else {
			box, ok = b, true
		}
	}
	box = box.Grow(plateEdge)
	c = [4]draw.Point{project(box.X0, box.Y0, z), project(box.X1, box.Y0, z), project(box.X1, box.Y1, z), project(box.X0, box.Y1, z)}
	return c, ok
}

// onFloors finds the nodes that the floors are drawn around.
func (x *axes) onFloors() {
	g, n := x.g, x.g.r.Net
	for i := range x.floor {
		f := &x.floor[i]
		for k := range g.edges {
			e := &g.edges[k]
			if !x.show[k] {
				continue
			}
			za, zb := x.of[2][e.a], x.of[2][e.b]
			if min(za, zb) <= f.value && max(za, zb) >= f.value {
				f.on = append(f.on, e.a)
			}
		}
		for k := range n.Fixtures {
			if at := g.upper[n.Fixtures[k].Seg]; int(n.Fixtures[k].Level) == f.level && x.inUse[at] {
				f.on = append(f.on, at)
			}
		}
	}
}

// copy gives axes that can be widened without changing x.
func (x *axes) copy() *axes {
	y := *x
	for i := range x.gap {
		y.gap[i] = x.g.desk.numbers.copied(x.gap[i])
		y.at[i] = x.g.desk.numbers.copied(x.at[i])
	}
	y.spots, y.lines = x.g.desk.vecs.copied(x.spots), x.g.desk.lines.copied(x.lines)
	y.hopeless, y.natural = nil, draw.Rect{}
	return &y
}

// heights finds where the floors lie among the heights of the pipework, which are those of
// the pipe without its fall: by the fixtures that stand on them.
func (g *graph) heights(keep func(network.FixID) bool) []floorLine {
	r, n := g.r, g.r.Net
	var out []floorLine
	for lv := range n.Job.Levels {
		def := &n.Job.Levels[lv]
		under, over := math.Inf(-1), math.Inf(1)
		var exact []float64
		for i := range n.Fixtures {
			f := &n.Fixtures[i]
			if int(f.Level) != lv || !keep(network.FixID(i)) {
				continue
			}
			z := g.nodes[g.upper[f.Seg]].p[2]
			if f.Kind.Outlet.Set && f.Kind.Outlet.V == 0 {
				under = max(under, z)
			} else {
				h := 1.3
				if f.Kind.Weir.Set {
					h = feet(f.Kind.Weir.V)
				}
				over = min(over, z-0.4)
				if !r.Levels.CentreUp[f.Seg].Known {
					exact = append(exact, z-h)
				}
			}
			if c := r.Levels.CentreUp[f.Seg]; c.Known && def.Floor.Set {
				exact = append(exact, z+feet(def.Floor.V-c.V))
			}
		}
		if math.IsInf(under, -1) && math.IsInf(over, 1) {
			continue
		}
		z := over - 0.9
		if len(exact) > 0 {
			sort.Float64s(exact)
			z = exact[len(exact)/2]
		}
		if math.IsInf(over, 1) && len(exact) == 0 {
			z = under + 0.5
		}
		z = min(z, over)
		if z < under+0.1 {
			z = under + 0.1
		}
		out = append(out, floorLine{level: lv, z: z})
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].z < out[j].z })
	return out
}
