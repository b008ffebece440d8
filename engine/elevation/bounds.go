package elevation

import (
	"trapweir/engine/catalog"
	"trapweir/engine/codebook"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// least is the least that a segment falls: what it falls, else by the flattest permitted
// slope. ok is false where its length or a row of the book is missing.
func (w *worker) least(s network.SegID) (unit.Length, bool) {
	if f := w.l.Fall[s]; f.Known {
		return f.V, true
	}
	seg := &w.net.Segs[s]
	if m := w.flattest(s); seg.LengthKnown && sloped(seg) && m.Given() {
		return m.Drop(seg.Length()), true
	}
	return 0, false
}

// bounds fills how low pipe can lie (from the outlet up) and how high it may (from the
// fixtures down). Both count on centre lines and are turned into inverts at the end.
func (w *worker) bounds() {
	n, l := w.net, w.l
	for i := len(n.Segs) - 1; i >= 0; i-- {
		s := network.SegID(i)
		low := l.Outlet.Invert.plus(w.half(s))
		if d := n.Segs[i].Down; d != network.None {
			low = l.LowestUp[d]
		}
		if fall, ok := w.least(s); ok {
			l.LowestUp[i] = low.plus(fall)
		}
	}
	for i := range n.Segs {
		s := network.SegID(i)
		run := &n.Runs[n.Segs[i].Run]
		best, binds, loose := Height{}, network.RunID(network.None), false
		take := func(h Height, by network.RunID) {
			if h.Known && (!best.Known || h.V < best.V) {
				best, binds = h, by
			}
		}
		if run.Segs[0] == s {
			take(w.up[n.Segs[i].Run], n.Segs[i].Run)
		}
		if f := n.Segs[i].Fixture; f != network.None {
			take(w.limit(f), n.Segs[i].Run)
		}
		for _, u := range n.Up(s) {
			take(l.HighestLow[u], l.Binds[u])
			loose = loose || l.Loose[u]
		}
		l.HighestUp[i], l.Binds[i], l.Loose[i] = best, binds, loose
		fall, ok := w.least(s)
		if !ok {
			l.Loose[i] = true
		}
		l.HighestLow[i] = best.plus(-fall)
	}
	for i := range n.Segs {
		h := -w.half(network.SegID(i))
		l.LowestUp[i] = l.LowestUp[i].plus(h)
		l.HighestUp[i] = l.HighestUp[i].plus(h)
		l.HighestLow[i] = l.HighestLow[i].plus(h)
	}
	if s := n.Outlet; s != network.None {
		o := &l.Outlet
		o.AtOrBelow, o.Loose, o.Binds = l.HighestLow[s], l.Loose[s], l.Binds[s]
		if o.Binds != network.None {
			first := n.Runs[o.Binds].Segs[0]
			if top := l.HighestUp[first]; top.Known && o.AtOrBelow.Known {
				o.Needed = known(top.V - o.AtOrBelow.V)
				if o.Invert.Known {
					o.Available = known(top.V - o.Invert.V)
				}
			}
		}
	}
}

// throughFloor: the outlet of the fixture goes down through the floor. The pipe of others
// may come from above it.
func throughFloor(k *catalog.Kind) bool { return k.Outlet.Set && k.Outlet.V == 0 }

// limit is the highest that the centre line may lie where a fixture's pipe begins, so that
// the pipe keeps under the floor. Not known for a fixture on a wall, or where the floor's
// height is not given.
func (w *worker) limit(f network.FixID) Height {
	n := w.net
	x := &n.Fixtures[f]
	if x.Level < 0 || !throughFloor(x.Kind) {
		return Height{}
	}
	lv := &n.Job.Levels[x.Level]
	if !lv.Floor.Set {
		return Height{}
	}
	top := lv.Floor.V
	seg := &n.Segs[x.Seg]
	if seg.Lie == network.Upright {
		return known(top) // its riser comes up through the floor
	}
	switch where := n.Runs[x.Run].Def.Where.Text; {
	case where == "under slab" || lv.Under.Text == "slab":
		top -= lv.Slab.V
	case where == "crawl space", where == "basement":
		// hung below the joists
		if d, ok := w.depth(lv); ok {
			top -= d
		}
		top -= lv.Subfloor.V
	default:
		top -= lv.Subfloor.V
	}
	od, _ := OutsideOf(n, x.Seg, w.sizes.Size[x.Seg])
	return known(top - od/2)
}

// depth is the depth of a level's joists by the book's table of lumber.
func (w *worker) depth(lv *job.Level) (unit.Length, bool) {
	return Depth(w.book, lv.Joists.Text)
}

// Depth is the actual depth of sawn lumber ("2x10"); ok is false for anything else.
func Depth(b *codebook.Book, member string) (unit.Length, bool) {
	t, ok := b.Table("lumber-depth")
	if !ok || member == "" {
		return 0, false
	}
	for i := range t.Rows {
		if t.Rows[i].Key == member && len(t.Rows[i].Cells) > 0 {
			c := &t.Rows[i].Cells[0]
			return c.Length, c.State == codebook.Given && c.Length > 0
		}
	}
	return 0, false
}

// steepest fills, for every run with level pipe, the steepest slope that still serves what
// is upstream: the room between the lowest and the highest at its upper end, all taken by
// this one run.
func (w *worker) steepest() {
	n, l := w.net, w.l
	for i := range n.Runs {
		run, f := &n.Runs[i], &l.Run[i]
		if len(run.Segs) == 0 || f.Level == 0 || !f.LengthKnown {
			continue
		}
		first := run.Segs[0]
		hi, lo := l.HighestUp[first], l.LowestUp[first]
		if !hi.Known || !lo.Known || l.Loose[first] {
			continue
		}
		fall := unit.Length(0) // of its level pieces as they count in lo
		for _, s := range run.Segs {
			if sloped(&n.Segs[s]) {
				v, ok := w.least(s)
				if !ok {
					fall = -1
					break
				}
				fall += v
			}
		}
		if fall < 0 {
			continue
		}
		f.Steepest, f.SteepestKnown = unit.MakeSlope(fall+hi.V-lo.V, f.Level), true
	}
}

// serve fills what is known of each fixture.
func (w *worker) serve() {
	n, l := w.net, w.l
	for i := range n.Fixtures {
		x, v := &n.Fixtures[i], &l.Serve[i]
		v.Upper = l.InvertUp[x.Seg]
		if x.Level >= 0 && n.Job.Levels[x.Level].Floor.Set {
			v.Floor = known(n.Job.Levels[x.Level].Floor.V)
		}
		v.Limit = w.limit(network.FixID(i)).plus(-w.half(x.Seg))
		at := v.Upper
		if !at.Known {
			at = l.LowestUp[x.Seg]
		}
		if v.Limit.Known && at.Known {
			v.Spare, v.SpareKnown = v.Limit.V-at.V, true
		}
	}
}
