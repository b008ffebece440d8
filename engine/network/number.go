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
	total := len(b.down)
	n.upAt = make([]int32, total+1)
	if total == 0 {
		return
	}
	at, up := b.upstream()
	root := b.order[0]
	queue := make([]int32, 1, total)
	queue[0] = b.first[root+1] - 1
	for k := 0; k < len(queue); k++ {
		p := queue[k]
		queue = append(queue, up[at[p]:at[p+1]]...)
	}
	b.final = make([]SegID, total)
	for k, p := range queue {
		b.final[p] = SegID(total - 1 - k)
	}
	n.Outlet = SegID(total - 1)
	n.ups = make([]SegID, 0, total)
	for id := range total {
		p := queue[total-1-id]
		for _, u := range up[at[p]:at[p+1]] {
			n.ups = append(n.ups, b.final[u])
		}
		n.upAt[id+1] = int32(len(n.ups))
	}
	for r := range n.Runs {
		n.Runs[r].Segs = b.final[b.first[r]:b.first[r+1]:b.first[r+1]]
	}
}

// upstream lists for piece p what drains into it, up[at[p]:at[p+1]]: the upper piece of the
// same run first, then joining runs in name order.
func (b *builder) upstream() (at, up []int32) {
	at = make([]int32, len(b.down)+1)
	for _, d := range b.down {
		if d != None {
			at[d+1]++
		}
	}
	for p := range b.down {
		at[p+1] += at[p]
	}
	up = make([]int32, at[len(b.down)])
	next := slices.Clone(at)
	put := func(p int32) {
		if d := b.down[p]; d != None {
			up[next[d]] = p
			next[d]++
		}
	}
	run := make([]RunID, len(b.down)) // by piece
	for r := range b.plans {
		for p := b.first[r]; p < b.first[r+1]; p++ {
			run[p] = RunID(r)
			if p < b.first[r+1]-1 {
				put(p)
			}
		}
	}
	for r := range b.plans {
		if b.first[r] < b.first[r+1] {
			put(b.first[r+1] - 1)
		}
	}
	name := func(p int32) string { return b.net.Runs[run[p]].Name }
	for p := range b.down {
		in := up[at[p]:at[p+1]]
		if len(in) > 0 && run[in[0]] == run[p] {
			in = in[1:]
		}
		if len(in) > 1 {
			slices.SortFunc(in, func(x, y int32) int { return strings.Compare(name(x), name(y)) })
		}
	}
	return at, up
}

// fixtures finds the kind of every fixture. They are numbered in the order in which the runs
// are met going up from the outlet, which does not hang on the file.
func (b *builder) fixtures() {
	n := b.net
	count := 0
	for _, r := range b.order {
		if b.said[r].fixture {
			n.Runs[r].Fixture = FixID(count)
			count++
		}
	}
	n.Fixtures = make([]Fixture, count)
	unknown := false
	for i := range n.Runs {
		if !b.said[i].fixture {
			continue
		}
		r := &n.Runs[i]
		w := &r.Def.Fixture.Kind
		kind, near := b.cat.Find(w.Text)
		on := diag.Ref{What: diag.Fixture, Name: r.Name, Segment: None}
		switch {
		case kind == nil:
			try := "write one of the kinds that `trapweir books BOOK fixtures` lists, or `other fixture` with its `trap`"
			if near != "" {
				try = "did you mean " + near + "?"
			}
			if why := b.cat.NoDrain(w.Text); why != "" {
				try = why
			}
			b.fault(w.At, on, r.Name+": no fixture kind "+w.Text, try)
			unknown = true
		case kind.Group:
			var names []string
			for _, m := range kind.Members {
				names = append(names, m.Name)
			}
			b.fault(w.At, on, r.Name+": "+kind.A()+" is a set, no fixture", "write a run for each ("+strings.Join(names, ", ")+"), or `carries: "+kind.Name+"` for what is not drawn")
			unknown = true
		case b.reached[i]:
			if r.Def.Fixture.Emergency.V {
				kind = b.cat.Emergency(kind)
			}
			beside, washes := b.beside(r, kind)
			n.Fixtures[r.Fixture] = Fixture{
				Run: RunID(i), Seg: r.Segs[0], Kind: kind, Def: &r.Def.Fixture, Level: r.Level, Room: r.Def.Room.Text, Beside: beside, Washes: washes,
			}
		}
	}
	if unknown {
		b.dropUnknown()
	}
}

// dropUnknown leaves out the fixtures of no known kind, which are reported.
func (b *builder) dropUnknown() {
	n := b.net
	for i := range n.Runs {
		n.Runs[i].Fixture = None
	}
	n.Fixtures = slices.DeleteFunc(n.Fixtures, func(f Fixture) bool { return f.Kind == nil })
	for i := range n.Fixtures {
		n.Runs[n.Fixtures[i].Run].Fixture = FixID(i)
	}
}

// beside resolves `serves`: what stands on one trap. The fixture itself is one of them when
// its kind is listed; the first dishwasher at a kitchen sink is none of them.
func (b *builder) beside(r *Run, kind *catalog.Kind) (out []*catalog.Kind, washes bool) {
	self := false
	washes = r.Def.Fixture.Dishwasher.V
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
		case kind.Has("kitchen sink") && k.Name == "dishwasher" && !washes:
			washes = true
		default:
			out = append(out, k)
		}
	}
	return out, washes
}
