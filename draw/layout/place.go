package layout

import (
	"math"
	"sort"

	"trapweir/draw"
)

// wording is one way to write a label, and the room that it takes.
type wording struct {
	lines []string
	w, h  float64
}

// placer places the labels of one sheet.
type placer struct {
	*field
	*owners
	req   []Label
	forms [][]wording
	out   []Placed
	// How many labels have found no room so far, and how many may, until it is given up.
	failed, bearable int
}

// rounds is how often labels that found no room may start again ahead of the others; less
// on a sheet of many labels, and once on one of very many.
func rounds(labels int) int {
	if labels < 150 {
		return 4
	}
	return 3
}

// veryMany is a number of labels from which only what must stand is tried again, before the
// others begin.
const veryMany = 600

// Must is the priority from which a label keeps room that it needs from all below.
const Must = 6

// Place finds a place within bounds for every label, in the order of priority; labels of
// the same priority with the fewest free places go first. All that find room beside what
// they name take it, then those that are led to from nearby, then shorter wordings, then
// whatever is left over is led to from farther off. When some find no room, all are placed
// anew with those ahead of the others. obs is not changed.
func Place(req []Label, obs *Obstacles, bounds draw.Rect) []Placed {
	return settle(req, obs, bounds, len(req))
}

// PlaceAll is Place for one who takes other paper rather than leave labels out: it gives
// nothing where so many find no room at the first go that no other order will help.
func PlaceAll(req []Label, obs *Obstacles, bounds draw.Rect) []Placed {
	return settle(req, obs, bounds, 6+len(req)/6) // twice what was ever mended, in some 1,000 drawings
}

// settle is Place that gives up when more than bearable labels find no room at the first go.
func settle(req []Label, obs *Obstacles, bounds draw.Rect, bearable int) []Placed {
	p := &placer{bearable: bearable, field: newField(bounds, obs), owners: newOwners(obs, bounds), req: req, forms: make([][]wording, len(req))}
	defer p.done()
	order := make([]int, len(req))
	free := make([]int, len(req))
	count := 0
	for i := range req {
		count += 1 + len(req[i].Short)
	}
	forms := make([]wording, 0, count)
	for i := range req {
		l := &req[i]
		order[i] = i
		from := len(forms)
		forms = l.wordings(forms)
		p.forms[i] = forms[from:]
		p.spots = l.spots(p.spots[:0], &p.forms[i][0])
		for k := range p.spots {
			if p.free(p.spots[k].box, offNothing) {
				free[i]++
			}
		}
	}
	first := make([]bool, len(req))
	// What must not be missing is placed to the end before the others begin.
	band := func(i int) int {
		switch must := req[i].Priority >= Must; {
		case req[i].Spare:
			return 4
		case must && first[i]:
			return 0
		case must:
			return 1
		case first[i]:
			return 2
		}
		return 3
	}
	sorted := func() {
		sort.SliceStable(order, func(a, b int) bool {
			i, j := order[a], order[b]
			switch {
			case band(i) != band(j):
				return band(i) < band(j)
			case req[i].Priority != req[j].Priority:
				return req[i].Priority > req[j].Priority
			case free[i] != free[j]:
				return free[i] < free[j]
			}
			return i < j
		})
	}
	place := func(list []int) {
		for from := 0; from < len(list) && p.failed <= p.bearable; {
			to := from
			for to < len(list) && band(list[to]) == band(list[from]) {
				to++
			}
			p.placeAll(list[from:to])
			from = to
		}
	}
	// A label that must stand weighs more than all others.
	weigh := func(list []int) (failed int) {
		for _, i := range list {
			if !p.out[i].OK && !req[i].Spare {
				k := max(0, req[i].Priority-Must+1)
				failed += 1 + len(req)*k*k*k
				first[i] = true
			}
		}
		return failed
	}
	if len(req) >= veryMany {
		sorted()
		musts := sort.Search(len(order), func(k int) bool { return band(order[k]) > 1 })
		p.out = make([]Placed, len(req))
		place(order[:musts])
		if failed := weigh(order[:musts]); failed > 0 && p.failed <= p.bearable {
			once := p.out
			p.failed = 0
			p.begin()
			sorted()
			p.out = make([]Placed, len(req))
			place(order[:musts])
			if weigh(order[:musts]) > failed {
				p.begin()
				p.out = once
				for _, i := range order[:musts] {
					if o := &once[i]; o.OK {
						p.take(o.Box, o.Leader)
					}
				}
			}
		}
		place(order[musts:])
		if p.failed > p.bearable {
			return nil
		}
		return p.out
	}
	var best []Placed
	fewest, idle := math.MaxInt, 0
	for range rounds(len(req)) {
		sorted()
		p.out = make([]Placed, len(req))
		place(order)
		if p.failed > p.bearable {
			return nil
		}
		p.bearable = math.MaxInt
		failed := weigh(order)
		idle++
		if failed < fewest {
			best, fewest, idle = p.out, failed, 0
		}
		if failed == 0 || idle == 2 { // full sheets stay full
			break
		}
		p.begin()
	}
	return best
}

// nearby is what a leader may cost, in millimetres, before a shorter wording is better.
const nearby = 29.0

// placeAll places labels in the given order.
func (p *placer) placeAll(order []int) {
	left := order
	try := func(f func(i int) bool) {
		rest := make([]int, 0, len(left))
		for _, i := range left {
			if !f(i) {
				rest = append(rest, i)
			}
		}
		left = rest
	}
	try(func(i int) bool { return p.stand(i, 0, true) })
	far := func(i int) bool { r := p.req[i].Reach; return r == 0 || r > nearby }
	try(func(i int) bool {
		if !far(i) {
			return p.lead(i, 0, len(p.forms[i])-1, math.Inf(1), false, true)
		}
		return p.lead(i, 0, 0, nearby, false, true)
	})
	try(func(i int) bool {
		for k := 1; k < len(p.forms[i]); k++ {
			if p.stand(i, k, true) || far(i) && p.lead(i, k, k, nearby, false, true) {
				return true
			}
		}
		return false
	})
	try(func(i int) bool {
		return p.stand(i, 0, false)
	})
	try(func(i int) bool {
		last := len(p.forms[i]) - 1
		if p.req[i].Spare || p.failed > p.bearable {
			return false
		}
		if p.lead(i, 0, last, math.Inf(1), true, true) || far(i) && p.lead(i, last, last, math.Inf(1), true, false) {
			return true
		}
		p.failed++
		return false
	})
	for _, i := range left {
		l := &p.req[i]
		p.spots = l.spots(p.spots[:0], &p.forms[i][0])
		p.put(i, 0, p.spots[0].box, p.spots[0].align, nil, false)
	}
}

// put writes down where a label stands.
func (p *placer) put(i, form int, box draw.Rect, align draw.Align, leader []draw.Point, ok bool) {
	p.out[i] = Placed{Label: &p.req[i], Lines: p.forms[i][form].lines, Box: box, Align: align, Leader: leader, OK: ok}
	if !ok {
		return
	}
	if leader == nil {
		leader = p.req[i].stroke(box)
		p.out[i].Stroke = leader
	}
	p.take(box, leader)
}

// touching is how near the edge of a round thing comes to what it names without a stroke.
const touching = 0.4

// stroke is the short line from a row of round things that stands in box to what it names.
func (l *Label) stroke(box draw.Rect) []draw.Point {
	if l.Row == 0 || len(l.Along) > 1 {
		return nil
	}
	c := l.Round(box, 0)
	for k := 1; k < l.Row; k++ {
		if d := l.Round(box, k); d.Sub(l.At).Len() < c.Sub(l.At).Len() {
			c = d
		}
	}
	w := l.At.Sub(c)
	radius := l.Least / 2
	if w.Len()-l.Half <= radius+touching-0.1 {
		return nil
	}
	return []draw.Point{c.Add(w.Unit().Mul(radius - 0.1)), c.Add(w.Unit().Mul(w.Len() - l.Half))}
}

// Round is the middle of the k-th round thing of a row that stands in box.
func (l *Label) Round(box draw.Rect, k int) draw.Point {
	return draw.Point{X: box.X0 + (box.W()-l.Least*float64(l.Row))/2 + l.Least*(float64(k)+0.5), Y: box.Centre().Y}
}

// fits tells whether words can stand in a box, and their stroke beside others.
func (p *placer) fits(l *Label, box draw.Rect, off int) bool {
	if !p.free(box, off) {
		return false
	}
	if s := l.stroke(box); s != nil {
		_, _, blocked := p.crossings(s[0], s[1])
		return !blocked
	}
	return true
}

// stand places a label beside what it names: by rank, and within a rank first with room
// around it and clear of outlines and other words, then tight, then beside other words,
// then over outlines. fair keeps the words nearer to their own than to anything else.
func (p *placer) stand(i, form int, fair bool) bool {
	l := &p.req[i]
	owner := l.Owner
	if !fair {
		owner = 0
	}
	p.spots = l.spots(p.spots[:0], &p.forms[i][form])
	spots := p.spots[:0]
	for k := range p.spots {
		if p.free(p.spots[k].box, offNothing) {
			spots = append(spots, p.spots[k])
		}
	}
	for k := range spots {
		if s := &spots[k]; p.free(s.roomy, offWords) && p.fits(l, s.box, offWords) && !p.astray(s.box, owner) {
			p.put(i, form, s.box, s.align, nil, true)
			return true
		}
	}
	for from := 0; from < len(spots); {
		to := from
		for to < len(spots) && spots[to].rank == spots[from].rank {
			to++
		}
		for _, off := range [...]int{offWords, offOutlines, offNothing} {
			for k := range spots[from:to] {
				s := &spots[from+k]
				if p.fits(l, s.box, off) && !p.astray(s.box, owner) {
					p.put(i, form, s.box, s.align, nil, true)
					return true
				}
			}
		}
		from = to
	}
	return false
}

// ray is a direction in which a leader goes off, and what it costs more than the best.
type ray struct {
	to    draw.Point
	extra float64
}

// rays are the directions of leaders: those of pipes in an isometric, 30 degrees and
// upright, are left out, so that no leader passes for a pipe.
var rays = func() (out []ray) {
	for _, deg := range [...]struct{ deg, extra float64 }{{60, 0}, {45, 0.5}, {75, 1}, {15, 1.5}, {0, 5}} {
		sin, cos := math.Sincos(deg.deg * math.Pi / 180)
		for _, s := range [...]draw.Point{{X: 1, Y: -1}, {X: -1, Y: -1}, {X: 1, Y: 1}, {X: -1, Y: 1}} {
			if deg.deg == 0 && s.Y > 0 {
				continue
			}
			out = append(out, ray{draw.Point{X: cos * s.X, Y: sin * s.Y}, deg.extra})
		}
	}
	return out
}()

// probe is a way that a leader may go: along a ray from what it points at.
type probe struct {
	target, tip draw.Point
	*ray
	extra float64 // what it costs for its target
	next  float64 // up to here something is in the way of every wording
	end   float64 // from here on no wording is within the bounds
	trail trail   // what is met on the way
}

// probes lists the ways that leaders of a label may go to some targets, the best target and
// ray first. w and h are the smallest width and height of its wordings.
func (p *placer) probes(l *Label, targets []draw.Point, from int, w, h float64) {
	p.ways, p.open = p.ways[:0], p.open[:0]
	in := p.field.bounds
	in = draw.Rect{X0: in.X0 + w + shoulder + apartWords, Y0: in.Y0 + h/2, X1: in.X1 - w - shoulder - apartWords, Y1: in.Y1 - h/2}
	for ti := from; ti < len(targets); ti++ {
		at := targets[ti]
		for k := range rays {
			d := &rays[k]
			q := probe{target: at, tip: at.Add(d.to.Mul(l.Half)), ray: d, extra: 0.5 * float64(ti), end: math.Inf(1)}
			for _, e := range [...]struct{ way, at, lo, hi float64 }{{d.to.X, at.X, in.X0, in.X1}, {d.to.Y, at.Y, in.Y0, in.Y1}} {
				switch {
				case e.way > 0:
					q.end = min(q.end, (e.hi-e.at)/e.way+slack)
				case e.way < 0:
					q.end = min(q.end, (e.lo-e.at)/e.way+slack)
				}
			}
			p.open = append(p.open, int32(len(p.ways)))
			p.ways = append(p.ways, q)
		}
	}
}

// lead places a label farther off, with a leader, in widening rings, in the cheapest of the
// wordings from form to last. The leader points at the middle part of a line, or with
// anywhere set at any part of it; avoid keeps the words off outlines and the leader off
// symbols. Nothing that costs limit or more is taken.
func (p *placer) lead(i, form, last int, limit float64, anywhere, avoid bool) bool {
	l := &p.req[i]
	var room [32]draw.Point
	targets := l.targets(room[:0], anywhere)
	off := offNothing
	if avoid {
		off = offOutlines
	}
	tried := 0
	if anywhere && avoid && l.Reach > 0 && l.Reach <= nearby {
		tried = 1 // the middle was tried in every wording, and what was taken stays so
	}
	const perPipe, perThing, perForm, perNear = 26.0, 12.0, 6.0, 2.0
	step := 2.0
	if anywhere {
		step = 4
	}
	reach := min(math.Hypot(p.field.bounds.W(), p.field.bounds.H()), farthest)
	if l.Reach > 0 {
		reach = min(reach, l.Reach)
	}
	w, h := math.Inf(1), math.Inf(1)
	for _, f := range p.forms[i][form : last+1] {
		w, h = min(w, f.w), min(h, f.h)
	}
	p.probes(l, targets, tried, w, h)
	best, bestForm, ok := limit, 0, false
	var box draw.Rect
	var align draw.Align
	var leader [3]draw.Point
	lost := func(t *trail, cost float64) bool {
		return t.blocked >= sure || avoid && t.things.met > 0 || cost+perPipe*float64(t.pipes.met)+perThing*float64(t.things.met) >= best
	}
	for r := l.Half + shortest + shoulder; r < reach && r < best && len(p.open) > 0; r += step {
		// What is lost on a way stays lost: it is not looked at again.
		open := p.open[:0]
		for _, k := range p.open {
			q := &p.ways[k]
			if r < q.next {
				open = append(open, k)
				continue
			}
			base := r + q.ray.extra + q.extra
			if r > q.end || base >= best || lost(&q.trail, base) {
				continue
			}
			open = append(open, k)
			elbow := q.target.Add(q.to.Mul(r))
			edge, a := draw.Point{X: elbow.X + shoulder, Y: elbow.Y}, draw.Left
			if q.to.X < 0 {
				edge.X, a = elbow.X-shoulder, draw.Right
			}
			if d := p.held(besideEdge(edge, a, w, h), q.to); d > 0 {
				q.next = r + d
				continue
			}
			for fi := form; fi <= last; fi++ {
				cost := base + perForm*float64(fi-form)
				if cost >= best {
					break
				}
				f := &p.forms[i][fi]
				b := besideEdge(edge, a, f.w, f.h)
				if !p.free(b, off) {
					continue
				}
				if p.follow(&q.trail, q.tip, q.to, r-l.Half); lost(&q.trail, base) {
					break
				}
				n, over, blocked := p.crossings(elbow, q.tip)
				m, over2, blocked2 := p.crossings(edge, elbow)
				if blocked || blocked2 || avoid && over+over2 > 0 {
					break
				}
				if avoid && !p.free(b, offWords) {
					cost += perNear
				}
				if cost += perPipe*float64(n+m) + perThing*float64(over+over2); cost < best {
					best, bestForm, box, align, ok = cost, fi, b, a, true
					leader = [3]draw.Point{edge, elbow, q.tip}
				}
			}
		}
		p.open = open
	}
	if ok {
		p.put(i, bestForm, box, align, append([]draw.Point(nil), leader[:]...), true)
	}
	return ok
}

// besideEdge is the box of words of w by h that a leader comes to at edge, its end.
func besideEdge(edge draw.Point, a draw.Align, w, h float64) draw.Rect {
	b := draw.Rect{X0: edge.X + apartWords, Y0: edge.Y - h/2, X1: edge.X + apartWords + w, Y1: edge.Y + h/2}
	if a == draw.Right {
		b.X0, b.X1 = edge.X-apartWords-w, edge.X-apartWords
	}
	return b
}

// Where along a piece of line leaders point, the best first.
var (
	middle = [...]float64{0.5, 0.3, 0.7, 0.15, 0.85}
	few    = [...]float64{0.5, 0.25, 0.75}
	far    = [...]float64{0.5, 0.2, 0.8, 0.05, 0.95} // with the ends
)

// targets are what a leader to a label may point at.
func (l *Label) targets(out []draw.Point, anywhere bool) []draw.Point {
	if len(l.Along) < 2 {
		return append(out, l.At)
	}
	pieces := longest(l.Along)
	if !anywhere {
		pieces = pieces[:1]
	}
	for _, k := range pieces {
		a, b := l.Along[k], l.Along[k+1]
		list := middle[:]
		switch n := b.Sub(a).Len(); { // places nearer together than some 2 mm are as good as one
		case anywhere:
			list = far[:]
		case n < 5:
			list = middle[:1]
		case n < 12:
			list = few[:]
		}
		for _, t := range list {
			out = append(out, a.Add(b.Sub(a).Mul(t)))
		}
	}
	return out
}
