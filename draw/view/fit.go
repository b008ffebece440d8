package view

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"trapweir/draw"
	"trapweir/engine/network"
)

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

// keep makes room for the lists that clashes goes through. They are sorted anew whenever they
// are used, by all that share them.
func (x *axes) keep() {
	room := x.g.desk.keys.take(len(x.lines) + 3*len(x.tips))[:0]
	for axis := range int8(3) {
		from := len(room)
		for i := range x.lines {
			if x.lines[i].axis == axis {
				room = append(room, keyed{i: int32(i)})
			}
		}
		x.sorted[axis] = room[from:len(room):len(room)]
		from = len(room)
		for _, i := range x.tips {
			room = append(room, keyed{i: i})
		}
		x.nodes[axis] = room[from:len(room):len(room)]
	}
}

// clashes sums up how bad it is and gives the worst one that can be helped. It stops as
// soon as the cost is past limit.
func (x *axes) clashes(limit float64) (cost float64, worst clash, ok bool) {
	level, upright, nodes := apartPipes/x.k/cos30, apartRisers/x.k/cos30, apartNodes/x.k/cos30
	tiny := 0.6 / x.k
	worstBy := 0.0
	see := func(axis int8, p, q int32, off, need float64) (enough bool) {
		by := 1 - math.Abs(off)/need
		cost += by
		if by > worstBy && x.canPart(axis, p, q) && !x.isHopeless(p, q) {
			worst, worstBy, ok = clash{axis, p, q, off, need}, by, true
		}
		return cost > limit
	}
	apart := [3]float64{level, level, upright}
	if least := leastApart / x.k / cos30; x.least {
		apart = [3]float64{least, least, least}
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
				if see(axis, l.a, m.a, l.key-m.key, need) {
					return cost, worst, ok
				}
			}
		}
		if x.least {
			continue
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
				if along > m.lo-nodes*0.5 && along < m.hi+nodes*0.5 && see(axis, i, m.a, key-m.key, nodes) {
					return cost, worst, ok
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
				if m.a != i && m.b != i && along > m.lo-nodes && along < m.hi+nodes && see(axis, i, m.a, key-m.key, need) {
					return cost, worst, ok
				}
			}
		}
		if x.outlet >= 0 { // the arrow at the outlet
			p := x.spots[x.outlet].add(x.outward.mul(outletArrow / 2 / x.k))
			key, along, need := keyOf(axis, &p), alongOf(axis, &p), nodes*1.3
			from := sort.Search(len(list), func(k int) bool { return list[k].key > key-need })
			for j := from; j < len(list) && list[j].key-key < need; j++ {
				m := &x.lines[list[j].i]
				if m.a != x.outlet && m.b != x.outlet && along > m.lo-need*0.5 && along < m.hi+need*0.5 && see(axis, x.outlet, m.a, key-m.key, need) {
					return cost, worst, ok
				}
			}
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

// part widens gaps until nothing lies on each other, nothing helps any more, or enough is
// told to have been done.
func (x *axes) part(rounds int, enough func() bool) {
	x.hopeless = x.hopeless[:0]
	cost, worst, ok := x.clashes(math.Inf(1))
	for ; ok && rounds > 0 && !enough(); rounds-- {
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
	most := 0.0 // what came out too small although it looked better than what follows
	for i := 0; i < min(tries, len(list)); i++ {
		from := list[i].x
		if list[i].hope <= bestScore || from.k <= most {
			continue
		}
		x := from.parted(w, h, least)
		if x.k < least {
			most = max(most, from.k)
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
	if len(best.lines) <= many {
		best.partLeast(w, h)
	}
	m.last, m.fitW, m.fitH = best, w, h
	return best
}

// A scale that is large enough, and the number of pipes up to which more than one view is
// tried to the end.
const (
	enough   = 1.3
	fewLines = 120
)

// parted gives the axes with their pipes parted, at the scale at which they then fit. What
// comes out well under least is not parted to the end.
func (x *axes) parted(w, h, least float64) *axes {
	x = x.copy()
	x.sum()
	rounds := 40
	if len(x.lines) > 400 {
		rounds = 4
	}
	small := func() bool { return least > 0 && x.scaleFor(w, h) < least } // widening seldom makes it larger
	for range 2 {
		if len(x.lines) <= many {
			x.part(rounds, small)
		}
		k := x.scaleFor(w, h)
		done := k > x.k*0.95 || small()
		x.k = k
		x.sum()
		if done {
			break
		}
	}
	return x
}

// partLeast parts what still runs into each other, whatever else comes nearer by that and
// though the scale becomes smaller.
func (x *axes) partLeast(w, h float64) {
	x.least = true
	if cost, _, _ := x.clashes(math.Inf(1)); cost > 0 {
		for range 3 {
			x.part(20, func() bool { return false })
			k := x.scaleFor(w, h)
			if k >= x.k {
				break
			}
			x.k = k
			x.sum()
		}
	}
	cost, _, _ := x.clashes(math.Inf(1))
	x.least, x.together = false, cost > 0
}

// nudge moves pipe on paper off other pipe on whose line it lies in the house, and from which
// no gap parts it: a vent rather than a drain, a short piece rather than a long one. What it
// is joined to then lies a little off the axes.
func (p *picture) nudge() {
	x := p.x
	moved := map[int32]bool{}
	for i := range x.lines {
		for j := i + 1; j < len(x.lines); j++ {
			l, m := &x.lines[i], &x.lines[j]
			off := (l.key - m.key) * x.k * cos30
			if l.axis != m.axis || l.edge < 0 || m.edge < 0 || math.Abs(off) >= leastApart || l.hi <= m.lo+0.3 || m.hi <= l.lo+0.3 {
				continue
			}
			q := l
			switch vent := p.g.edges[m.edge].vent != network.None; {
			case vent != (p.g.edges[l.edge].vent != network.None):
				if vent {
					q, off = m, -off
				}
			case m.hi-m.lo < l.hi-l.lo:
				q, off = m, -off
			}
			if moved[q.edge] {
				continue
			}
			moved[q.edge] = true
			// Keys grow to the right of upright pipe, and upward of level pipe.
			way := draw.Point{X: 1}
			switch q.axis {
			case 0:
				way = draw.Point{X: -sin30, Y: -cos30}
			case 1:
				way = draw.Point{X: sin30, Y: -cos30}
			}
			by := way.Mul(math.Copysign(leastApart, off) - off)
			p.at[q.a], p.at[q.b] = p.at[q.a].Add(by), p.at[q.b].Add(by)
		}
	}
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
	cost := math.Inf(1) // very many pipes are left as the house has them
	if len(x.lines) <= many {
		cost, _, _ = x.clashes(cost)
	}
	gap := x.g.desk.numbers.copied(x.gap[2])
	// As far as that brings no pipes together.
	for f := min(1+spare/z, tallest); f > 1.05; f -= 0.1 {
		for i := range gap {
			x.gap[2][i] = gap[i] * f
		}
		x.sum()
		if math.IsInf(cost, 1) {
			return
		}
		if c, _, _ := x.clashes(cost + 0.05); c <= cost+0.05 {
			return
		}
	}
	copy(x.gap[2], gap)
	x.sum()
}

// drawnEdge is an edge on paper, and the box around it.
type drawnEdge struct {
	a, b           draw.Point
	x0, x1, y0, y1 float64
	e              *edge
}

// crossed counts the pipes that cross on paper, and the level ones that would stand
// upright.
func (x *axes) crossed() (crossed, upended int) {
	g := x.g
	list := slices.Grow(g.drawn[:0], len(g.edges))
	for i := range g.edges {
		if !x.show[i] {
			continue
		}
		e := &g.edges[i]
		a, b := project(x.place(e.a)), project(x.place(e.b))
		list = append(list, drawnEdge{a, b, min(a.X, b.X), max(a.X, b.X), min(a.Y, b.Y), max(a.Y, b.Y), e})
		if d := b.Sub(a); e.axis < 0 && math.Abs(d.X) < 0.18*math.Abs(d.Y) {
			upended++
		}
	}
	slices.SortFunc(list, func(p, q drawnEdge) int { return cmp.Compare(p.x0, q.x0) })
	g.drawn = list // for the next view
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

// many is the number of pipes beyond which they are left as the house has them.
const many = 1200
