package rules

import (
	"trapweir/engine/check"
	"trapweir/engine/fitting"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// A spot is a cleanout on a segment.
type spot struct {
	off   unit.Length // from the segment's upper end
	known bool
	two   bool // it opens both ways
}

// cleanoutsOn lists the cleanouts by the segment that they stand on, from its upper end
// down. One at the lower end of a run stands at the end of its last segment.
func cleanoutsOn(p *check.Pass) map[network.SegID][]spot {
	out := map[network.SegID][]spot{}
	for i := range p.Fittings {
		f := &p.Fittings[i]
		if f.Does != fitting.Cleanout {
			continue
		}
		s := f.At.Seg
		seg := &p.Net.Segs[s]
		c := spot{off: f.At.Station - seg.From, known: f.At.Known, two: f.Word.Text == "two-way"}
		if f.At.Lower {
			c.off = seg.Length()
		}
		list := append(out[s], c)
		for k := len(list) - 1; k > 0 && list[k].off < list[k-1].off; k-- {
			list[k], list[k-1] = list[k-1], list[k]
		}
		out[s] = list
	}
	return out
}

// nodeHas: a cleanout opens at the upper end of a segment: on it, at the foot of what comes
// down there, or at the lower end of what joins there.
func nodeHas(p *check.Pass, on map[network.SegID][]spot, s network.SegID) bool {
	for _, c := range on[s] {
		if c.off == 0 {
			return true
		}
	}
	for _, u := range p.Net.Up(s) {
		seg := &p.Net.Segs[u]
		for _, c := range on[u] {
			if c.off >= seg.Length() || seg.Lie == network.Upright && c.off+closeBy >= seg.Length() {
				return true
			}
		}
	}
	return false
}

// closeBy: a cleanout this near to a point serves it; a test tee above the foot of a stack
// stands so. Common practice.
const closeBy = 3 * unit.Foot

// A turn is a change of direction in plan.
type turning struct {
	deg  int // tenths
	run  network.RunID
	seg  network.SegID // it stands at the upper end of this segment
	free bool          // between a fixed trap and its vent, where the book asks for none
	f    *fitting.Fitting
}

// turnsIn lists the turns in plan by the segment at whose upper end they stand; those that
// a run only counts stand at its upper end.
func turnsIn(p *check.Pass) map[network.SegID][]turning {
	out := map[network.SegID][]turning{}
	free := inBook(p, "cleanout-fixed-trap")
	for i := range p.Fittings {
		f := &p.Fittings[i]
		if f.Does != fitting.Turn || f.Change != fitting.LevelToLevel || f.Turn <= 0 {
			continue
		}
		seg := &p.Net.Segs[f.Through]
		t := turning{deg: f.Turn, run: seg.Run, seg: f.Into, f: f}
		t.free = free && (seg.Arm || seg.Role == network.TrapArm)
		out[f.Into] = append(out[f.Into], t)
	}
	return out
}

// line is the level pipe that goes on into a segment: the piece of the same run, else the
// level pipe of the same size or larger; None at the upper end of a line.
func line(p *check.Pass, s network.SegID) network.SegID {
	n := p.Net
	for _, u := range n.Up(s) {
		if n.Segs[u].Run == n.Segs[s].Run && n.Segs[u].Lie != network.Upright {
			return u
		}
	}
	best := network.SegID(network.None)
	for _, u := range n.Up(s) {
		seg := &n.Segs[u]
		if seg.Lie != network.Level || seg.Arm || seg.Role == network.TrapArm || n.Runs[seg.Run].Fixture != network.None || seg.Role == network.PumpDischarge {
			continue
		}
		if p.Sizes.Size[u] >= p.Sizes.Size[s] && (best == network.None || p.Sizes.Size[u] > p.Sizes.Size[best]) {
			best = u
		}
	}
	return best
}

// levelLength is the length of the level pipe of a run from a segment to where it joins or
// turns down.
func levelLength(p *check.Pass, s network.SegID) (sum unit.Length, known bool) {
	known = true
	run := p.Net.Segs[s].Run
	for s != network.None && p.Net.Segs[s].Run == run && p.Net.Segs[s].Lie == network.Level {
		sum += p.Net.Segs[s].Length()
		known = known && p.Net.Segs[s].LengthKnown
		s = p.Net.Segs[s].Down
	}
	return sum, known
}
