package elevation

import (
	"trapweir/engine/codebook"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/unit"
)

// Work walks from the outlet upstream. The given slope counts; where none is given the
// height above is known only through what the job states.
func Work(n *network.Net, z *size.Sizes, b *codebook.Book) *Levels {
	l := &Levels{InvertUp: make([]Height, len(n.Segs)), InvertLow: make([]Height, len(n.Segs))}
	for i := len(n.Segs) - 1; i >= 0; i-- {
		s := &n.Segs[i]
		run := &n.Runs[s.Run]
		low := Height{}
		switch {
		case run.Def.InvLow.Set && run.Segs[len(run.Segs)-1] == network.SegID(i):
			low = Height{run.Def.InvLow.V, true}
		case s.Down == network.None:
			low = Height{n.Job.Outlet.Invert.V, n.Job.Outlet.Invert.Set}
		default:
			low = l.InvertUp[s.Down]
			if low.Known && n.Segs[s.Down].Run != s.Run {
				// Joined centre on centre: the smaller pipe's invert lies higher.
				low.V += (z.Size[s.Down].Length() - z.Size[i].Length()) / 2
			}
		}
		l.InvertLow[i] = low
		up := low
		rise, ok := riseOf(s, run.Def.Slope.V)
		up.V += rise
		up.Known = low.Known && ok
		l.InvertUp[i] = up
	}
	_ = b
	return l
}

func riseOf(s *network.Seg, slope unit.Slope) (unit.Length, bool) {
	if !s.LengthKnown {
		return 0, false
	}
	if s.Way.Plumb == 0 {
		return s.Length(), true
	}
	if slope.Run == 0 {
		return 0, false
	}
	return slope.Drop(s.Length()), true
}
