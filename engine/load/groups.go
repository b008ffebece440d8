package load

import (
	"slices"

	"trapweir/engine/codebook"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// groups credits bathroom and other groups once where the job asks for it
// (`loads: groups`): from the point where all of a room's fixtures have come together, the
// group's value replaces their sum. It is never more than the sum.
func (w *summer) groups() {
	n := w.net
	if n.Job.Loads.Text != "groups" {
		return
	}
	groups := w.book.Groups()
	if len(groups) == 0 {
		return
	}
	rooms := map[string][]network.FixID{}
	var order []string
	for i := range n.Fixtures {
		f := &n.Fixtures[i]
		if f.Room == "" {
			continue
		}
		if _, ok := rooms[f.Room]; !ok {
			order = append(order, f.Room)
		}
		rooms[f.Room] = append(rooms[f.Room], network.FixID(i))
	}
	slices.Sort(order)
	for _, room := range order {
		w.creditRoom(room, rooms[room], groups)
	}
}

// credit brings what groups and batteries count otherwise into the units of every segment
// from where they are complete.
func (w *summer) credit() {
	n, o := w.net, w.out
	if len(o.Credit) == 0 {
		return
	}
	off := make([]unit.Load, len(n.Segs))
	for _, c := range o.Credit {
		off[c.Seg] += c.Sum - c.As
	}
	for i := range n.Segs {
		if off[i] == 0 || n.Segs[i].Basin {
			continue // past a basin the pump's flow counts, not what came into it
		}
		o.Units[i] -= off[i]
		if d := n.Segs[i].Down; d != network.None {
			off[d] += off[i]
		}
	}
}

// meet is the first segment that all of the fixtures drain through.
func (w *summer) meet(fs []network.FixID) network.SegID {
	n := w.net
	at := n.Fixtures[fs[0]].Seg
	for _, f := range fs[1:] {
		b := n.Fixtures[f].Seg
		for at != b {
			if at < b {
				at = n.Segs[at].Down
			} else {
				b = n.Segs[b].Down
			}
			if at == network.None || b == network.None {
				return network.None
			}
		}
	}
	return at
}

// creditRoom finds the largest group that the room's fixtures hold and credits it.
func (w *summer) creditRoom(room string, fs []network.FixID, groups []codebook.Group) {
	o := w.out
	best, saved := -1, unit.Load(0)
	var used []network.FixID
	for g := range groups {
		in, ok := w.match(&groups[g], fs)
		if !ok {
			continue
		}
		sum := unit.Load(0)
		for _, f := range in {
			sum += o.Fixture[f].Units
		}
		if d := sum - groups[g].Units; d > saved {
			best, saved, used = g, d, in
		}
	}
	if best < 0 {
		return
	}
	at := w.meet(used)
	if at == network.None || slices.ContainsFunc(used, func(f network.FixID) bool { return w.lifted(f, at) }) {
		return
	}
	c := GroupCredit{Seg: at, Room: room, Name: groups[best].Name, As: groups[best].Units}
	for _, f := range used {
		c.Sum += o.Fixture[f].Units
	}
	if groups[best].Cite != nil {
		c.Cite = *groups[best].Cite
	}
	o.Credit = append(o.Credit, c)
}

// lifted: a pump lifts what a fixture drains before it comes through a segment, and its flow
// counts there instead.
func (w *summer) lifted(f network.FixID, at network.SegID) bool {
	for s := w.net.Fixtures[f].Seg; s != network.None; s = w.net.Segs[s].Down {
		if w.net.Segs[s].Basin {
			return true
		}
		if s == at {
			return false
		}
	}
	return false
}

// match picks the fixtures of a room that make up a group; ok is false when one is missing.
func (w *summer) match(g *codebook.Group, fs []network.FixID) ([]network.FixID, bool) {
	taken := make([]bool, len(fs))
	var out []network.FixID
	for _, alt := range g.Members {
		found := false
		for i, f := range fs {
			if taken[i] || !w.isOne(f, alt, g) {
				continue
			}
			taken[i], found = true, true
			out = append(out, f)
			break
		}
		if !found {
			return nil, false
		}
	}
	for _, may := range g.Optional {
		for i, f := range fs {
			if !taken[i] && w.net.Fixtures[f].Kind.Name == may {
				taken[i] = true
				out = append(out, f)
				break
			}
		}
	}
	return out, true
}

func (w *summer) isOne(f network.FixID, kinds []string, g *codebook.Group) bool {
	x := &w.net.Fixtures[f]
	for _, k := range kinds {
		if x.Kind.Name != k {
			continue
		}
		if k == Closets {
			flush := x.Def.Flush.Least
			if g.FlushMax > 0 && flush > g.FlushMax || g.FlushOver > 0 && flush <= g.FlushOver {
				return false
			}
		}
		return true
	}
	return false
}
