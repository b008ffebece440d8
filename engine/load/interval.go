package load

import (
	"trapweir/engine/codebook"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// branchInterval is the param that says how much stack makes a branch interval.
const branchInterval = "branch-interval"

// intervals splits every stack into branch intervals, counted down from the highest
// branch: a branch that joins at least an interval's length below the one that opened the
// present interval opens the next. Where lengths are not known, a branch from another
// floor does. Fewer intervals give the smaller column and the larger interval load, so
// what is not known errs to the larger pipe.
func (w *summer) intervals() {
	n, o := w.net, w.out
	span := unit.Length(0)
	if p := w.book.Param(branchInterval); p.State == codebook.Given {
		span = p.Length
	}
	done := make([]bool, len(n.Segs))
	var pieces []network.SegID
	for i := range n.Segs {
		if done[i] || n.Segs[i].Role != network.Stack && n.Segs[i].Role != network.StackOffset || w.stackAbove(network.SegID(i)) {
			continue
		}
		pieces = pieces[:0]
		for s := network.SegID(i); s != network.None && !done[s]; s = n.Segs[s].Down {
			if r := n.Segs[s].Role; r != network.Stack && r != network.StackOffset {
				break
			}
			done[s] = true
			pieces = append(pieces, s)
		}
		w.oneStack(pieces, span)
	}
	_ = o
}

func (w *summer) stackAbove(s network.SegID) bool {
	for _, u := range w.net.Up(s) {
		if r := w.net.Segs[u].Role; r == network.Stack || r == network.StackOffset {
			return true
		}
	}
	return false
}

func (w *summer) oneStack(pieces []network.SegID, span unit.Length) {
	n, o := w.net, w.out
	start := 0 // first piece of the present interval
	var inside, since unit.Length
	sinceKnown := true
	var entering unit.Load
	floor := int32(network.None)
	open := false
	intervals := int16(0)
	close := func(end int) {
		for _, s := range pieces[start:end] {
			o.Interval[s] = entering
			o.IntervalAt[s] = intervals
		}
	}
	for k, s := range pieces {
		in := o.Units[s]
		if k > 0 {
			in -= o.Units[pieces[k-1]]
		}
		if in > 0 {
			level := w.levelEntering(s, pieces, k)
			next := !open
			if open {
				switch {
				case sinceKnown && span > 0:
					next = since >= span
				case level != network.None && floor != network.None:
					next = level != floor
				}
			}
			if next {
				if open {
					close(k)
				}
				start, entering, since, sinceKnown, open = k, 0, 0, true, true
				intervals++
				if k == 0 {
					start = 0
				}
			}
			entering += in
			if level != network.None {
				floor = level
			}
		}
		if n.Segs[s].Lie == network.Upright {
			since += n.Segs[s].Length()
			sinceKnown = sinceKnown && n.Segs[s].LengthKnown
		}
		inside += n.Segs[s].Length()
	}
	close(len(pieces))
	for _, s := range pieces {
		o.Intervals[s] = intervals
	}
}

// levelEntering tells the floor of what joins at the upper end of the k-th piece.
func (w *summer) levelEntering(s network.SegID, pieces []network.SegID, k int) int32 {
	n := w.net
	if n.Segs[s].Carries && n.Runs[n.Segs[s].Run].CarriedOn != network.None {
		return n.Runs[n.Segs[s].Run].CarriedOn
	}
	for _, u := range n.Up(s) {
		if k > 0 && u == pieces[k-1] {
			continue
		}
		for hop := 0; hop < 64 && u != network.None; hop++ {
			r := n.RunOf(u)
			if r.Level != network.None {
				return r.Level
			}
			if r.CarriedOn != network.None && n.Segs[u].Carries {
				return r.CarriedOn
			}
			up := n.Up(u)
			if len(up) == 0 {
				break
			}
			u = up[0]
		}
	}
	return network.None
}
