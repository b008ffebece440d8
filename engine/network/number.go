package network

import (
	"slices"
	"strings"

	"trapweir/engine/catalog"
	"trapweir/engine/diag"
)

// number gives the final numbers: breadth-first from the outlet, turned round, so that
// what drains into a segment has a lower number.
func (b *builder) number() {
	n := b.net
	total := len(b.tmp)
	n.upAt = make([]int32, total+1)
	if total == 0 {
		return
	}
	// children in tmp numbering
	start := make([]int32, total+1)
	for i := range b.tmp {
		if d := b.tmp[i].Down; d != None {
			start[d+1]++
		}
	}
	for i := 1; i <= total; i++ {
		start[i] += start[i-1]
	}
	kids := make([]int32, total)
	fill := append([]int32(nil), start[:total]...)
	put := func(i int) {
		if d := b.tmp[i].Down; d != None {
			kids[fill[d]] = int32(i)
			fill[d]++
		}
	}
	// The upper piece of the same run first, then joining runs in name order.
	for _, r := range b.order {
		f, c := int(b.first[r]), len(b.plans[r].cuts)
		for i := f; i < f+c-1; i++ {
			put(i)
		}
	}
	put(int(b.first[b.order[0]]) + len(b.plans[b.order[0]].cuts) - 1)
	for _, r := range b.order {
		for _, k := range b.joiners[r] {
			put(int(b.first[k]) + len(b.plans[k].cuts) - 1)
		}
	}
	b.orderKids(start, kids)
	queue := make([]int32, 0, total)
	root := b.order[0]
	queue = append(queue, b.first[root]+int32(len(b.plans[root].cuts))-1)
	for k := 0; k < len(queue); k++ {
		queue = append(queue, kids[start[queue[k]]:start[queue[k]+1]]...)
	}
	final := make([]SegID, total)
	for k, t := range queue {
		final[t] = SegID(len(queue) - 1 - k)
	}
	n.Segs = make([]Seg, len(queue))
	for _, t := range queue {
		s := b.tmp[t]
		if s.Down != None {
			s.Down = final[s.Down]
		}
		n.Segs[final[t]] = s
	}
	n.Outlet = SegID(len(queue) - 1)
	n.ups = make([]SegID, 0, len(queue))
	for id := range n.Segs {
		t := queue[len(queue)-1-id]
		n.upAt[id] = int32(len(n.ups))
		for _, k := range kids[start[t]:start[t+1]] {
			n.ups = append(n.ups, final[k])
		}
	}
	n.upAt = n.upAt[:len(queue)+1]
	n.upAt[len(queue)] = int32(len(n.ups))
	n.underSlab()
	backing := make([]SegID, 0, len(queue))
	for _, r := range b.order {
		a := len(backing)
		for i := range b.plans[r].cuts {
			backing = append(backing, final[int(b.first[r])+i])
		}
		n.Runs[r].Segs = backing[a:len(backing):len(backing)]
	}
	b.fixtures(final)
	b.finalSpots(final)
}

// underSlab carries `under slab` upstream into level pipe that says no place of its own: what
// joins pipe under a slab at its level, with no drop between, lies under the slab with it. Pipe
// in the ground and outside hands nothing on, a crawl space may begin where it comes in.
func (n *Net) underSlab() {
	for id := n.Outlet - 1; id >= 0; id-- {
		s := &n.Segs[id]
		d := &n.Segs[s.Down]
		if s.UnderGround || !d.UnderGround || s.Lie != Level || d.Lie != Level || n.Runs[s.Run].Def.Where.Text != "" {
			continue
		}
		// A place that is not said and yet under ground came to it in this way.
		from := n.Runs[d.Run].Def.Where.Text
		s.UnderGround = from == "under slab" || from == ""
	}
}

// orderKids puts what joins one segment in name order. Runs that join one receiver already
// are; those that join at the lower end of another one come in on a segment that is not its.
func (b *builder) orderKids(start, kids []int32) {
	name := func(k int32) string { return b.net.Runs[b.tmp[k].Run].Name }
	for i := range b.tmp {
		ks := kids[start[i]:start[i+1]]
		if len(ks) > 0 && b.tmp[ks[0]].Run == b.tmp[i].Run {
			ks = ks[1:]
		}
		if !slices.IsSortedFunc(ks, func(x, y int32) int { return strings.Compare(name(x), name(y)) }) {
			slices.SortFunc(ks, func(x, y int32) int { return strings.Compare(name(x), name(y)) })
		}
	}
}

func (b *builder) fixtures(final []SegID) {
	n := b.net
	count := 0
	for i := range n.Runs {
		if b.said[i].fixture != "" {
			count++
		}
	}
	n.Fixtures = make([]Fixture, 0, count)
	for i := range n.Runs {
		if b.said[i].fixture == "" {
			continue
		}
		r := &n.Runs[i]
		w := r.Def.Fixture.Kind
		kind, near := b.cat.Find(w.Text)
		if kind == nil {
			try := "write one of the kinds that `trapweir books BOOK fixtures` lists, or `other fixture` with its `trap`"
			if near != "" {
				try = "did you mean " + near + "?"
			}
			b.fault(w.At, diag.Ref{What: diag.Fixture, Name: r.Name, Segment: None}, r.Name+": no fixture kind "+w.Text, try)
			continue
		}
		if !b.reached[i] {
			continue
		}
		r.Fixture = FixID(len(n.Fixtures))
		seg := r.Segs[0]
		n.Fixtures = append(n.Fixtures, Fixture{Run: RunID(i), Seg: seg, Kind: kind, Def: &r.Def.Fixture, Level: r.Level, Room: r.Def.Room.Text, Beside: b.beside(r, kind)})
		n.Segs[seg].Fixture = r.Fixture
	}
	// Numbered in the order in which the runs were met going up from the outlet, which does
	// not hang on the file.
	met := make([]Fixture, 0, len(n.Fixtures))
	for _, k := range b.order {
		if r := &n.Runs[k]; r.Fixture != None {
			met = append(met, n.Fixtures[r.Fixture])
			r.Fixture = FixID(len(met) - 1)
			n.Segs[r.Segs[0]].Fixture = r.Fixture
		}
	}
	n.Fixtures = met
}

// beside resolves `serves`: what stands on one trap. The fixture itself is one of them when
// its kind is listed.
func (b *builder) beside(r *Run, kind *catalog.Kind) []*catalog.Kind {
	var out []*catalog.Kind
	self := false
	for _, w := range r.Def.Fixture.Serves {
		k, near := b.cat.Find(w.Text)
		switch {
		case k == nil:
			try := "write a fixture kind"
			if near != "" {
				try = "did you mean " + near + "?"
			}
			b.fault(w.At, diag.Ref{What: diag.Fixture, Name: r.Name, Segment: None}, r.Name+" serves "+w.Text+", and no fixture kind has that name", try)
		case k == kind && !self:
			self = true
		default:
			out = append(out, k)
		}
	}
	return out
}
