package elevation

import (
	"math"

	"trapweir/engine/codebook"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/unit"
)

// Work works out all heights. The slope that a run gives counts; where it gives none and
// the heights of both its ends are known, the slope is found. What a job states (an invert,
// a weir) stands: where it does not agree with what the slopes give, the run's Fit tells
// the difference.
func Work(n *network.Net, z *size.Sizes, b *codebook.Book) *Levels {
	w := &worker{net: n, sizes: z, book: b, l: &Levels{}}
	w.prepare()
	w.fromBelow()
	w.fromAbove()
	w.rest()
	w.fits()
	w.bounds()
	w.steepest()
	w.serve()
	w.below()
	w.plan()
	w.walls()
	return w.l
}

type worker struct {
	net   *network.Net
	sizes *size.Sizes
	book  *codebook.Book
	l     *Levels
	low   []Height // lower end of the runs as far as the job states it, centre, by RunID
	up    []Height // upper end likewise
	flat  map[unit.Size]unit.Slope
}

func (w *worker) prepare() {
	n, l := w.net, w.l
	k := len(n.Segs)
	heights := make([]Height, 9*k)
	next := func() []Height { h := heights[:k:k]; heights = heights[k:]; return h }
	l.InvertUp, l.InvertLow, l.CentreUp, l.CentreLow = next(), next(), next(), next()
	l.Fall, l.LowestUp, l.HighestUp, l.HighestLow = next(), next(), next(), next()
	l.Slope, l.SlopeFrom = make([]unit.Slope, k), make([]From, k)
	l.Loose, l.Binds = make([]bool, k), make([]network.RunID, k)
	l.PlanUp, l.PlanLow = make([]Point, k), make([]Point, k)
	l.Run, l.Serve = make([]Fit, len(n.Runs)), make([]Serve, len(n.Fixtures))
	w.low, w.up = make([]Height, len(n.Runs)), make([]Height, len(n.Runs))
	l.Outlet = Outlet{Invert: Height{n.Job.Outlet.Invert.V, n.Job.Outlet.Invert.Set}, Binds: network.None}
	w.flat = map[unit.Size]unit.Slope{}
	if t, ok := w.book.Table("min-slope"); ok {
		for _, r := range t.Rows {
			for _, c := range r.Cells {
				if c.State == codebook.Given && c.Slope.Given() {
					w.flat[r.Size] = c.Slope
					break
				}
			}
		}
	}
	for i := range n.Segs {
		s := &n.Segs[i]
		if g := n.Runs[s.Run].Def.Slope.V; g.Given() && sloped(s) {
			l.Slope[i], l.SlopeFrom[i] = g, Given
		}
		if !sloped(s) {
			l.SlopeFrom[i] = Plumb
		}
		l.Fall[i] = w.fall(network.SegID(i))
	}
	for i := range n.Runs {
		r := &n.Runs[i]
		if len(r.Segs) == 0 {
			continue
		}
		first, last := r.Segs[0], r.Segs[len(r.Segs)-1]
		switch {
		case r.Def.InvUp.Set:
			w.up[i] = known(r.Def.InvUp.V + w.half(first))
		case r.Def.Weir.Set && r.Fixture != network.None && !integral(&n.Fixtures[r.Fixture]):
			// The weir of a trap is the invert of its arm where it begins; that of a trap
			// in the fixture stands over the floor.
			w.up[i] = known(r.Def.Weir.V + w.half(first))
		}
		if r.Def.InvLow.Set {
			w.low[i] = known(r.Def.InvLow.V + w.half(last))
		}
	}
}

// half is from the invert of a segment to its centre line. The invert of upright pipe is
// that of level pipe of its size at that point.
func (w *worker) half(s network.SegID) unit.Length { return w.sizes.Size[s].Length() / 2 }

// sloped tells level pipe, whose fall is a slope, from legs that fall by their angle.
func sloped(s *network.Seg) bool {
	return s.Lie != network.Upright && s.Way.Plumb >= 900 || s.Lie == network.LieUnknown
}

// fall is what a segment falls: by its slope, or by the angle of its leg. The cosine of an
// angle other than plumb is no ratio; that fall is rounded to the nanometre.
func (w *worker) fall(s network.SegID) Height {
	seg := &w.net.Segs[s]
	if !seg.LengthKnown {
		return Height{}
	}
	if sloped(seg) {
		if !w.l.Slope[s].Given() {
			return Height{}
		}
		return known(w.l.Slope[s].Drop(seg.Length()))
	}
	v := seg.Length()
	if seg.Way.Plumb != 0 {
		v = unit.Length(math.Round(float64(v) * math.Cos(float64(seg.Way.Plumb)*math.Pi/1800)))
	}
	if seg.Way.Up {
		v = -v
	}
	return known(v)
}

// node is the centre line at which run r joins what it drains into.
func (w *worker) node(r network.RunID) Height {
	run := &w.net.Runs[r]
	last := run.Segs[len(run.Segs)-1]
	if d := w.net.Segs[last].Down; d != network.None {
		return w.l.CentreUp[d]
	}
	return w.l.Outlet.Invert.plus(w.half(last))
}

// runsUp visits every run that reaches the outlet, each after the one it joins.
func (w *worker) runsUp(do func(network.RunID)) {
	for i := len(w.net.Segs) - 1; i >= 0; i-- {
		run := &w.net.Runs[w.net.Segs[i].Run]
		if run.Segs[len(run.Segs)-1] == network.SegID(i) {
			do(w.net.Segs[i].Run)
		}
	}
}

// fromBelow lays the runs from the outlet up.
func (w *worker) fromBelow() {
	w.runsUp(func(r network.RunID) {
		low := w.low[r]
		if !low.Known {
			low = w.node(r)
		}
		if w.up[r].Known {
			w.find(r, low)
			w.layDown(r)
		}
		w.layUp(r, low)
	})
}

// find works out the slope of a run whose two ends are known.
func (w *worker) find(r network.RunID, low Height) {
	run := &w.net.Runs[r]
	if run.Def.Slope.V.Given() || !low.Known {
		return
	}
	level, drop := unit.Length(0), unit.Length(0)
	for _, s := range run.Segs {
		seg := &w.net.Segs[s]
		switch {
		case !seg.LengthKnown:
			return
		case sloped(seg):
			level += seg.Length()
		default:
			drop += w.l.Fall[s].V
		}
	}
	if level == 0 {
		return
	}
	sl := unit.MakeSlope(w.up[r].V-low.V-drop, level)
	for _, s := range run.Segs {
		if sloped(&w.net.Segs[s]) {
			w.l.Slope[s], w.l.SlopeFrom[s] = sl, Found
			w.l.Fall[s] = w.fall(s)
		}
	}
}

// layDown lays a run from its upper end down, as far as its falls are known.
func (w *worker) layDown(r network.RunID) {
	at := w.up[r]
	for _, s := range w.net.Runs[r].Segs {
		w.l.CentreUp[s] = at
		if !w.l.Fall[s].Known {
			return
		}
		at = at.plus(-w.l.Fall[s].V)
		w.l.CentreLow[s] = at
	}
}

// layUp lays what is not laid of a run from its lower end up.
func (w *worker) layUp(r network.RunID, at Height) {
	segs := w.net.Runs[r].Segs
	for i := len(segs) - 1; i >= 0; i-- {
		s := segs[i]
		if !w.l.CentreLow[s].Known {
			w.l.CentreLow[s] = at
		}
		if !w.l.CentreUp[s].Known {
			if !w.l.CentreLow[s].Known || !w.l.Fall[s].Known {
				at = Height{}
				continue
			}
			w.l.CentreUp[s] = w.l.CentreLow[s].plus(w.l.Fall[s].V)
		}
		at = w.l.CentreUp[s]
	}
}

// fromAbove carries heights with the flow to where nothing below is known: the lowest of
// what arrives says how high a pipe lies at most.
func (w *worker) fromAbove() {
	n, l := w.net, w.l
	for i := range n.Segs {
		s := network.SegID(i)
		if !l.CentreUp[s].Known {
			for _, u := range n.Up(s) {
				if h := l.CentreLow[u]; h.Known && (!l.CentreUp[s].Known || h.V < l.CentreUp[s].V) {
					l.CentreUp[s] = h
				}
			}
		}
		if !l.CentreLow[s].Known && l.CentreUp[s].Known && l.Fall[s].Known {
			l.CentreLow[s] = l.CentreUp[s].plus(-l.Fall[s].V)
		}
	}
}

// rest fills branches of pipe whose height was found from above, and turns centre lines
// into inverts.
func (w *worker) rest() {
	l := w.l
	w.runsUp(func(r network.RunID) { w.layUp(r, w.node(r)) })
	for i := range w.net.Segs {
		s := network.SegID(i)
		l.InvertUp[i] = l.CentreUp[i].plus(-w.half(s))
		l.InvertLow[i] = l.CentreLow[i].plus(-w.half(s))
	}
}

// fits compares where runs arrive with what they join.
func (w *worker) fits() {
	n, l := w.net, w.l
	for i := range n.Runs {
		run := &n.Runs[i]
		if len(run.Segs) == 0 {
			continue
		}
		f := &l.Run[i]
		last := run.Segs[len(run.Segs)-1]
		f.Arrive = l.InvertLow[last]
		f.Meet = w.node(network.RunID(i)).plus(-w.half(last))
		if f.Arrive.Known && f.Meet.Known {
			f.SpareKnown = true
			f.Spare = f.Arrive.V - f.Meet.V
			if d := n.Segs[last].Down; f.Spare < 0 && d != network.None && n.Segs[d].Lie != network.Upright && l.InvertUp[d].Known {
				// Laid bottom on bottom still flows; only under the other's bottom is it short.
				f.Spare = min(0, f.Arrive.V-l.InvertUp[d].V)
			}
		}
		f.LengthKnown = true
		for _, s := range run.Segs {
			seg := &n.Segs[s]
			f.LengthKnown = f.LengthKnown && seg.LengthKnown
			if sloped(seg) {
				f.Level += seg.Length()
				f.Missing = f.Missing || l.SlopeFrom[s] == NotKnown
				if m := w.flattest(s); m.Given() && m.Cmp(f.Flattest) > 0 {
					f.Flattest = m
				}
			} else {
				f.Drop += l.Fall[s].V
			}
		}
	}
}

// flattest is the flattest slope that the book permits for a segment's size; Run == 0
// where it has no row.
func (w *worker) flattest(s network.SegID) unit.Slope { return w.flat[w.sizes.Size[s]] }

// integral: the trap is part of the fixture.
func integral(f *network.Fixture) bool {
	return f.Def.TrapType.Text == "integral" || f.Kind != nil && f.Kind.Integral
}
