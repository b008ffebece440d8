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
	of       [3][]int16   // by node
	inUse    []bool       // nodes
	floor    []floorLine
	lines    []line
	roofs    []int32    // ends of vents through the roof
	tips     []int32    // nodes that other pipes keep off
	sorted   [3][]keyed // lines by key
	hopeless [][2]int32 // pairs that no gap parts
	nodes    [3][]keyed // tips by key
	natural  draw.Rect  // bounds before anything is widened
	k        float64
	shift    draw.Point
}

// floorLine is a floor to be drawn: its place among the heights.
type floorLine struct {
	level int
	z     float64
	value int16
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

func shorten(d float64, axis int) float64 {
	if axis == 2 {
		return 5 + 3.4*math.Log1p(d/1.2)
	}
	return 5 + 3.4*math.Log1p(d/1.5)
}

func newAxes(g *graph, show []bool, floors []floorLine, turn int) *axes {
	x := &axes{g: g, show: show, turn: turn, k: 1, inUse: make([]bool, len(g.nodes))}
	for i := range g.edges {
		if show[i] {
			x.inUse[g.edges[i].a], x.inUse[g.edges[i].b] = true, true
		}
	}
	x.floor = append(x.floor, floors...)
	p := make([]vec, len(g.nodes))
	for i := range g.nodes {
		p[i] = turned(g.nodes[i].p, turn)
	}
	var order []int32
	for i := range g.nodes {
		if x.inUse[i] {
			order = append(order, int32(i))
		}
	}
	below := make([]float64, len(g.nodes)) // the lower end of a leg along the axis that ends here
	for axis := range 3 {
		for i := range below {
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
		x.of[axis] = make([]int16, len(g.nodes))
		var value []float64
		last := 0.0
		f := 0
		for _, i := range order {
			v := p[i][axis]
			for axis == 2 && f < len(x.floor) && x.floor[f].z <= v {
				value = append(value, x.floor[f].z)
				x.floor[f].value = int16(len(value) - 1)
				last = math.Inf(-1)
				f++
			}
			if len(value) == 0 || math.IsInf(last, -1) || v-last > sameLine || below[i] >= last-0.004 {
				value = append(value, v)
				last = v
			}
			x.of[axis][i] = int16(len(value) - 1)
		}
		for ; axis == 2 && f < len(x.floor); f++ {
			value = append(value, x.floor[f].z)
			x.floor[f].value = int16(len(value) - 1)
		}
		x.value[axis] = value
		x.gap[axis] = make([]float64, max(0, len(value)-1))
		x.at[axis] = make([]float64, len(value))
		for i := range x.gap[axis] {
			x.gap[axis][i] = shorten(value[i+1]-value[i], axis)
		}
	}
	x.makeLines()
	x.onFloors()
	x.sum()
	x.natural = x.bounds()
	return x
}

// makeLines lists what must not lie on each other.
func (x *axes) makeLines() {
	g := x.g
	deg := make([]int8, len(g.nodes))
	for i := range g.edges {
		e := &g.edges[i]
		if !x.show[i] {
			continue
		}
		deg[e.a]++
		deg[e.b]++
		if e.axis < 0 {
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
	n := g.r.Net
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
	for i := range deg {
		if deg[i] > 0 {
			x.tips = append(x.tips, int32(i))
		}
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
	return x.at[0][x.of[0][i]], x.at[1][x.of[1][i]], x.at[2][x.of[2][i]]
}

func (x *axes) key(axis int8, i int32) float64 {
	e, n, u := x.place(i)
	switch axis {
	case 0:
		return n + u
	case 1:
		return e + u
	}
	return e - n
}

// along is how far a node lies along the lines of an axis.
func (x *axes) along(axis int8, i int32) float64 {
	e, n, u := x.place(i)
	switch axis {
	case 0:
		return e - n
	case 1:
		return n - e
	}
	return u + (e+n)*sin30
}

// clash is a pair that lies too close: two lines of an axis, or a line and a node.
type clash struct {
	axis int8
	p, q int32   // nodes that stand for the two
	off  float64 // difference of their keys
	need float64 // the least that it should be
}

// keyed is a line or a node by its key along an axis.
type keyed struct {
	key float64
	i   int32
}

// byKey sorts by key. Widening a gap changes little in the order, so short lists are
// sorted by inserting.
func byKey(list []keyed) {
	if len(list) > 500 {
		slices.SortFunc(list, func(a, b keyed) int {
			return cmp.Or(cmp.Compare(a.key, b.key), cmp.Compare(a.i, b.i))
		})
		return
	}
	for k := 1; k < len(list); k++ {
		x := list[k]
		j := k
		for ; j > 0 && (list[j-1].key > x.key || list[j-1].key == x.key && list[j-1].i > x.i); j-- {
			list[j] = list[j-1]
		}
		list[j] = x
	}
}

// clashes sums up how bad it is and gives the worst one that can be helped. It stops when
// the cost is past limit.
func (x *axes) clashes(limit float64) (cost float64, worst clash, ok bool) {
	level, upright, nodes := apartPipes/x.k/cos30, apartRisers/x.k/cos30, apartNodes/x.k/cos30
	tiny := 0.6 / x.k
	worstBy := 0.0
	see := func(axis int8, p, q int32, off, need float64) {
		by := 1 - math.Abs(off)/need
		cost += by
		if by > worstBy && x.canPart(axis, p, q) && !x.isHopeless(p, q) {
			worst, worstBy, ok = clash{axis, p, q, off, need}, by, true
		}
	}
	apart := [3]float64{level, level, upright}
	if x.sorted[0] == nil {
		for axis := range int8(3) {
			x.sorted[axis], x.nodes[axis] = make([]keyed, 0, len(x.lines)), make([]keyed, len(x.tips))
			for i := range x.lines {
				if x.lines[i].axis == axis {
					x.sorted[axis] = append(x.sorted[axis], keyed{i: int32(i)})
				}
			}
			for k, i := range x.tips {
				x.nodes[axis][k].i = i
			}
		}
	}
	for axis := range int8(3) {
		list, tips := x.sorted[axis], x.nodes[axis]
		for k := range list {
			list[k].key = x.lines[list[k].i].key
		}
		byKey(list)
		need := apart[axis]
		for k := range list {
			l := &x.lines[list[k].i]
			for j := k + 1; j < len(list) && list[j].key-list[k].key < need; j++ {
				m := &x.lines[list[j].i]
				if l.hi <= m.lo+tiny || m.hi <= l.lo+tiny ||
					l.rise > 0 && (m.a == l.a || m.b == l.a) || m.rise > 0 && (l.a == m.a || l.b == m.a) {
					continue
				}
				see(axis, l.a, m.a, l.key-m.key, need)
			}
		}
		for k := range tips {
			tips[k].key = x.key(axis, tips[k].i)
		}
		byKey(tips)
		from := 0
		for k := range tips {
			key, i := tips[k].key, tips[k].i
			for from < len(list) && list[from].key <= key-nodes {
				from++
			}
			along, got := 0.0, false
			for j := from; j < len(list) && list[j].key-key < nodes; j++ {
				m := &x.lines[list[j].i]
				if m.a == i || m.b == i {
					continue
				}
				if !got {
					along, got = x.along(axis, i), true
				}
				if along > m.lo-nodes*0.5 && along < m.hi+nodes*0.5 {
					see(axis, i, m.a, key-m.key, nodes)
				}
			}
		}
		for _, i := range x.roofs { // the roof that a vent goes through lies a little above its end
			key, along, need := x.key(axis, i), x.along(axis, i), nodes
			if axis < 2 {
				key += roofAbove / x.k
			} else {
				along += roofAbove / x.k
				need = roofHalf / x.k / cos30
			}
			from := sort.Search(len(list), func(k int) bool { return list[k].key > key-need })
			for j := from; j < len(list) && list[j].key-key < need; j++ {
				m := &x.lines[list[j].i]
				if m.a != i && m.b != i && along > m.lo-nodes && along < m.hi+nodes {
					see(axis, i, m.a, key-m.key, need)
				}
			}
		}
		if cost > limit {
			break
		}
	}
	return cost, worst, ok
}

// sides gives the two axes whose places make the key of lines along axis, and the sign of
// the second.
func sides(axis int8) (int, int, float64) {
	switch axis {
	case 0:
		return 1, 2, 1
	case 1:
		return 0, 2, 1
	}
	return 0, 1, -1
}

// mostHopeless is how many pairs are given up before parting ends.
const mostHopeless = 8

func (x *axes) isHopeless(p, q int32) bool {
	for _, h := range x.hopeless {
		if h[0] == p && h[1] == q || h[0] == q && h[1] == p {
			return true
		}
	}
	return false
}

func (x *axes) canPart(axis int8, p, q int32) bool {
	a, b, _ := sides(axis)
	return x.of[a][p] != x.of[a][q] || x.of[b][p] != x.of[b][q]
}

// part widens gaps until nothing lies on each other, or nothing helps any more.
func (x *axes) part(rounds int) {
	x.hopeless = x.hopeless[:0]
	cost, worst, ok := x.clashes(math.Inf(1))
	for ; ok && rounds > 0; rounds-- {
		a, b, sb := sides(worst.axis)
		bestCost, bestAxis, bestGap, bestBy := cost-0.02, -1, 0, 0.0
		for _, s := range [2]struct {
			axis int
			sign float64
		}{{a, 1}, {b, sb}} {
			i, j := int(x.of[s.axis][worst.p]), int(x.of[s.axis][worst.q])
			if i == j {
				continue
			}
			grows := s.sign // what widening does to off
			if i < j {
				i, j = j, i
				grows = -grows
			}
			by := worst.need - worst.off
			if grows < 0 {
				by = worst.need + worst.off
			}
			by *= 1.02
			for _, gap := range [2]int{j, i - 1} {
				if gap == i-1 && i-1 == j && bestAxis == s.axis && bestGap == gap {
					continue
				}
				x.gap[s.axis][gap] += by
				x.sum()
				longer := by * 0.015 * x.k // the sheet is not endless
				if c, _, _ := x.clashes(bestCost - longer); c+longer < bestCost {
					bestCost, bestAxis, bestGap, bestBy = c+longer, s.axis, gap, by
				}
				x.gap[s.axis][gap] -= by
			}
		}
		if bestAxis < 0 { // this one stays as it is; the next is looked at
			x.hopeless = append(x.hopeless, [2]int32{worst.p, worst.q})
			if len(x.hopeless) > mostHopeless {
				break
			}
			x.sum()
			cost, worst, ok = x.clashes(math.Inf(1))
			continue
		}
		x.gap[bestAxis][bestGap] += bestBy
		x.sum()
		cost, worst, ok = x.clashes(math.Inf(1))
	}
	x.sum()
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

// scaleFor is the scale at which everything fits into a space.
func (x *axes) scaleFor(w, h float64) float64 {
	b := x.natural
	if b == (draw.Rect{}) {
		b = x.bounds()
	}
	return min(w/max(b.W(), 1), h/max(b.H(), 1), largest)
}

// What speaks against a view, in scale: a pair of pipes that lie too close, pipes that
// cross, a level pipe that stands upright on paper because it runs between the axes.
const perClash, perLeft, perCrossing, perUpended = 0.012, 0.03, 0.035, 0.06

// fit finds the viewpoint and the gaps with which the pipework fits into a space of w by h
// millimetres; nil where its scale would come out under least.
func (m *model) fit(w, h, least float64) *axes {
	if m.last != nil && m.fitW == w && m.fitH == h && m.last.k >= least {
		return m.last
	}
	type try struct {
		x           *axes
		score, hope float64 // as it stands, and with nothing too close
	}
	var list []try
	for turn, x := range m.views {
		x.k = x.scaleFor(w, h)
		if x.k < least { // widening only makes it smaller
			continue
		}
		score := min(x.k, enough)
		if turn == m.turn {
			score += m.gain // as the plan of the house lies, unless another view is clearer
		}
		hope := score
		if len(x.lines) <= many {
			x.sum()
			cost, _, _ := x.clashes(math.Inf(1))
			crossed, upended := x.crossed()
			hope -= perCrossing*float64(crossed) + perUpended*float64(upended)
			score = hope - perClash*cost
		}
		list = append(list, try{x, score, hope})
	}
	slices.SortStableFunc(list, func(p, q try) int { return cmp.Compare(q.score, p.score) })
	// What comes of a view is known when its pipes are parted: of a house the better views
	// are tried.
	tries := 1
	if len(m.views[0].lines) <= fewLines {
		tries = 4
	}
	var best *axes
	bestScore := math.Inf(-1)
	for i := 0; i < min(tries, len(list)); i++ {
		if list[i].hope <= bestScore {
			continue
		}
		x := list[i].x.parted(w, h)
		if x.k < least {
			continue
		}
		score := 0.0
		if tries > 1 {
			cost, _, _ := x.clashes(math.Inf(1))
			crossed, upended := x.crossed()
			score = min(x.k, enough) - perLeft*cost - perCrossing*float64(crossed) - perUpended*float64(upended)
			if x.turn == m.turn {
				score += m.gain
			}
		}
		if score > bestScore {
			best, bestScore = x, score
		}
	}
	if best == nil {
		return nil
	}
	best.taller(w, h)
	m.last, m.fitW, m.fitH = best, w, h
	return best
}

// A scale that is large enough, and the number of pipes up to which more than one view is
// tried to the end.
const (
	enough   = 1.3
	fewLines = 120
)

// parted gives the axes with their pipes parted, at the scale at which they then fit.
func (x *axes) parted(w, h float64) *axes {
	x = x.copy()
	x.sum()
	rounds := 40
	if len(x.lines) > 400 {
		rounds = 4
	}
	for range 2 {
		if len(x.lines) <= many {
			x.part(rounds)
		}
		k := x.scaleFor(w, h)
		done := k > x.k*0.95
		x.k = k
		x.sum()
		if done {
			break
		}
	}
	return x
}

// tallest is how many times higher than usual storeys are drawn where the paper has room.
const tallest = 1.6

// taller draws the storeys higher where the width is what limits the scale: floors lie
// farther apart then, and labels find room.
func (x *axes) taller(w, h float64) {
	spare := 0.98*h/x.k - x.bounds().H()
	z := 0.0
	for _, d := range x.gap[2] {
		z += d
	}
	if spare <= 0 || z <= 0 || x.k >= largest {
		return
	}
	f := min(1+spare/z, tallest)
	for i := range x.gap[2] {
		x.gap[2][i] *= f
	}
	x.sum()
}

// crossed counts the pipes that cross on paper, and the level ones that would stand
// upright.
func (x *axes) crossed() (crossed, upended int) {
	g := x.g
	type box struct {
		a, b           draw.Point
		x0, x1, y0, y1 float64
		e              *edge
	}
	list := make([]box, 0, len(x.lines))
	for i := range g.edges {
		if !x.show[i] {
			continue
		}
		e := &g.edges[i]
		a, b := project(x.place(e.a)), project(x.place(e.b))
		list = append(list, box{a, b, min(a.X, b.X), max(a.X, b.X), min(a.Y, b.Y), max(a.Y, b.Y), e})
		if d := b.Sub(a); e.axis < 0 && math.Abs(d.X) < 0.18*math.Abs(d.Y) {
			upended++
		}
	}
	slices.SortFunc(list, func(p, q box) int { return cmp.Compare(p.x0, q.x0) })
	for i := range list {
		p := &list[i]
		for j := i + 1; j < len(list) && list[j].x0 < p.x1; j++ {
			q := &list[j]
			if q.y0 >= p.y1 || q.y1 <= p.y0 || q.e.axis == p.e.axis && p.e.axis >= 0 ||
				p.e.a == q.e.a || p.e.a == q.e.b || p.e.b == q.e.a || p.e.b == q.e.b {
				continue
			}
			if _, _, _, ok := meet(p.a, p.b, q.a, q.b); ok {
				crossed++
			}
		}
	}
	return crossed, upended
}

// copy gives axes that can be widened without changing x.
func (x *axes) copy() *axes {
	y := *x
	for i := range x.gap {
		y.gap[i] = append([]float64(nil), x.gap[i]...)
		y.at[i] = append([]float64(nil), x.at[i]...)
	}
	y.lines = append([]line(nil), x.lines...)
	y.hopeless = nil
	y.sorted, y.nodes, y.natural = [3][]keyed{}, [3][]keyed{}, draw.Rect{}
	return &y
}

// many is the number of pipes beyond which they are left as the house has them.
const many = 1200

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
