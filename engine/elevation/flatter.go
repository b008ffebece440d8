package elevation

import (
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// Slopes that levels are marked with, steepest first. Common practice.
var (
	perFoot    = []unit.Slope{{Fall: 1, Run: 24}, {Fall: 1, Run: 32}, {Fall: 1, Run: 48}, {Fall: 1, Run: 64}, {Fall: 1, Run: 96}, {Fall: 1, Run: 192}}
	inHundreds = []unit.Slope{{Fall: 1, Run: 25}, {Fall: 3, Run: 100}, {Fall: 1, Run: 40}, {Fall: 1, Run: 50}, {Fall: 3, Run: 200}, {Fall: 1, Run: 100}, {Fall: 1, Run: 200}}
)

// A Relay is the level pipe of one run, from a segment down to where the run ends, laid flatter
// than it is told.
type Relay struct {
	Level    unit.Length // how much pipe it is
	Flattest unit.Slope  // that the book permits
	// Most is what is won by that.
	Most unit.Length
	// Slope is the steepest usual slope that wins what was asked for, else Flattest where that
	// does; Run == 0 where nothing does.
	Slope unit.Slope
}

// levelPipe is the level pipe of known slope and length from a segment down to where its run
// ends, and what it falls.
type levelPipe struct{ length, fall unit.Length }

// below sums the level pipe from every segment down its run.
func (w *worker) below() {
	n, l := w.net, w.l
	l.below = make([]levelPipe, len(n.Segs))
	for i := len(n.Segs) - 1; i >= 0; i-- {
		s, sum := &n.Segs[i], &l.below[i]
		if d := s.Down; d != network.None && n.Segs[d].Run == s.Run {
			*sum = l.below[d]
		}
		if l.Slope[i].Given() && s.LengthKnown {
			sum.length += s.Length()
			sum.fall += l.Fall[i].V
		}
	}
}

// Flatter tells how the run of a segment may lie flatter from there down, and at which slope
// that wins so much height. ok is false for pipe without a known slope or a least one.
func (l *Levels) Flatter(n *network.Net, from network.SegID, short unit.Length, sys unit.System) (r Relay, ok bool) {
	fall := l.below[from].fall
	r.Level, r.Flattest = l.below[from].length, l.Run[n.Segs[from].Run].Flattest
	if r.Level == 0 || !r.Flattest.Given() {
		return Relay{}, false
	}
	r.Most = max(0, fall-r.Flattest.Drop(r.Level))
	list := perFoot
	if sys == unit.Metric {
		list = inHundreds
	}
	for _, s := range append(list[:len(list):len(list)], r.Flattest) {
		if s.Cmp(r.Flattest) >= 0 && fall-s.Drop(r.Level) >= max(short, 1) {
			r.Slope = s
			break
		}
	}
	return r, true
}
