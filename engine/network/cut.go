package network

import (
	"slices"
	"sort"

	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/unit"
)

// cut lays every reached run out in legs and cuts it where something joins or leaves.
// The runs are taken in the order of the file, not of the water: what is read of a run lies
// there.
func (b *builder) cut() {
	n := b.net
	b.plans = make([]plan, len(n.Runs))
	b.spots = make([]spot, len(n.Runs))
	b.placed = make([]placed, len(n.Runs))
	legs := 0
	for i := range n.Runs {
		legs += int(b.said[i].legs)
	}
	b.legs = make([]leg, 0, legs)
	for i := range n.Runs {
		if b.reached[i] {
			b.plans[i] = b.layOut(&n.Runs[i])
		}
	}
	// One backing for the cuts of all runs: those of its legs, the end of its arm and
	// what joins it.
	cuts := make([]spot, len(b.legs)+len(n.Runs)+len(b.joinIn))
	for i := range n.Runs {
		k := len(b.plans[i].legs) + 1 + len(b.joiners(RunID(i)))
		b.plans[i].cuts = cuts[:0:k]
		cuts = cuts[k:]
	}
	for i := range n.Runs {
		if b.reached[i] {
			b.place(RunID(i))
		}
	}
	for i := range b.plans {
		p := &b.plans[i]
		for k := range p.legs {
			p.cuts = append(p.cuts, spot{Leg: int32(k), Known: true})
		}
		if p.armEnd != (spot{}) && !p.armEnd.End {
			p.cuts = append(p.cuts, p.armEnd)
		}
	}
	// Vents leave pipe too; their spots are worked out here so that a segment starts there.
	b.ventCuts()
	b.first = make([]int32, len(n.Runs)+1)
	for i := range b.plans {
		b.plans[i].order()
		b.first[i+1] = b.first[i] + int32(len(b.plans[i].cuts))
	}
	b.connect()
}

// layOut turns arm, legs or length into one list of legs.
func (b *builder) layOut(r *Run) plan {
	d := r.Def
	var p plan
	k := len(d.Arm) + len(d.Legs) + 1
	p.legs = b.legs[len(b.legs) : len(b.legs) : len(b.legs)+k]
	b.legs = b.legs[:len(b.legs)+k]
	add := func(l job.Leg, arm bool) {
		x := leg{way: l.Way, wayKnown: l.Way.HasPlan || l.Way.Plumb == 0, length: l.Length.V, known: l.Length.Set, arm: arm, lie: lieOf(l.Way)}
		p.legs = append(p.legs, x)
	}
	for _, l := range d.Arm {
		add(l, true)
	}
	for _, l := range d.Legs {
		add(l, false)
	}
	if len(d.Legs) == 0 && (d.Length.Set || d.Lies.Text != "" || len(d.Arm) == 0) {
		x := leg{length: d.Length.V, known: d.Length.Set}
		switch {
		case d.Lies.Text == "upright":
			x.way, x.lie, x.wayKnown = job.Way{Down: true}, Upright, true
		case d.Lies.Text == "level":
			x.way, x.lie = job.Way{Plumb: 900}, Level
		case d.Lies.Text != "":
			x.way = job.Way{Down: true, Plumb: plumbOf(d.Lies.Text)}
			x.lie = lieOf(x.way)
		case d.Role.Text == "stack":
			x.way, x.lie, x.wayKnown = job.Way{Down: true}, Upright, true
		default:
			x.way = job.Way{Plumb: 900}
			if x.known {
				x.lie = Level
			}
		}
		p.legs = append(p.legs, x)
	}
	at, ok := unit.Length(0), true
	for i := range p.legs {
		l := &p.legs[i]
		l.from, l.fromOK = at, ok
		if l.known {
			at += l.length
		} else {
			ok = false
		}
	}
	p.armEnd = endOfArm(d, p.legs)
	return p
}

// lieOf draws the codes' line: 45 degrees or less from plumb is upright.
func lieOf(w job.Way) Lie {
	if w.Plumb <= 450 {
		return Upright
	}
	return Level
}

func plumbOf(s string) int16 {
	v, frac, scale := 0, 0, 0
	for _, c := range s {
		switch {
		case c == '.' && scale == 0:
			scale = 1
		case c >= '0' && c <= '9' && scale == 0:
			v = v*10 + int(c-'0')
		case c >= '0' && c <= '9' && scale == 1:
			frac, scale = int(c-'0'), 2
		}
		if v > 90 {
			return 900
		}
	}
	return int16(v*10 + frac)
}

// endOfArm finds where a fixture's trap arm ends when no vent says so: the end of the
// stated arm; else the first drop; else the lower end of an all-level run.
func endOfArm(d *job.Run, legs []leg) spot {
	if d.Fixture.Kind.Text == "" && len(d.Arm) == 0 {
		return spot{}
	}
	if n := len(d.Arm); n > 0 {
		if n >= len(legs) {
			return spot{End: true, Known: true}
		}
		return spot{Leg: int32(n), Known: true}
	}
	for i := range legs {
		if legs[i].lie == Upright {
			return spot{Leg: int32(i), Known: true}
		}
	}
	return spot{End: true, Known: true}
}

// placed tells how far the place of a run is worked out.
type placed uint8

const (
	notPlaced placed = iota
	underWay
	isPlaced
)

// place works out where run r joins its receiver, and cuts the receiver there.
func (b *builder) place(r RunID) {
	run := &b.net.Runs[r]
	if run.Receiver < 0 || b.placed[r] != notPlaced {
		return
	}
	b.placed[r] = underWay
	pl := b.said[r].place
	if run.IntoVent != None {
		pl = b.net.Vents[run.IntoVent].Def.Place
		if pl.Kind == job.NotSaid {
			pl.Kind = job.EndOfArm
		}
	}
	s, unsaid := b.resolve(run.Receiver, pl, runRef(run.Name))
	run.Unsaid = unsaid
	b.spots[r], b.placed[r] = s, isPlaced
	if !s.End {
		b.plans[run.Receiver].cuts = append(b.plans[run.Receiver].cuts, s)
	}
}

// resolve turns a written place on run r into a spot.
func (b *builder) resolve(r RunID, pl job.Place, on diag.Ref) (s spot, unsaid bool) {
	recv, p := &b.net.Runs[r], &b.plans[r]
	switch pl.Kind {
	case job.NotSaid:
		if !b.said[r].fixture && !b.said[r].arm {
			return spot{Known: true}, false
		}
		// Somewhere below the fixture; all joins that are not placed come in at one
		// point, so that their order in the file says nothing.
		return spot{Leg: p.firstLevelBelowArm(), Seq: 1 << 20}, true
	case job.UpperEnd:
		return spot{Known: true}, false
	case job.LowerEnd:
		return spot{End: true, Known: true}, false
	case job.EndOfArm:
		if p.armEnd != (spot{}) {
			return p.armEnd, false
		}
		return spot{Known: true}, false
	case job.TopOfDrop:
		for i := range p.legs {
			if p.legs[i].lie == Upright {
				return spot{Leg: int32(i), Known: true}, false
			}
		}
		b.fault(pl.At, on, on.Name+" is at the top of the drop of "+recv.Name+", which has no drop", "give "+recv.Name+" a leg that goes down, or write a distance")
		return spot{Known: true}, false
	case job.FootOfDrop:
		for i := len(p.legs) - 1; i >= 0; i-- {
			if p.legs[i].lie == Upright {
				if i == len(p.legs)-1 {
					return spot{End: true, Known: true}, false
				}
				return spot{Leg: int32(i + 1), Known: true}, false
			}
		}
		b.fault(pl.At, on, on.Name+" is at the foot of "+recv.Name+", which has no drop", "give "+recv.Name+" a leg that goes down, or write a distance")
		return spot{Known: true}, false
	case job.AfterName:
		x, ok := b.net.byName[pl.Name]
		if !ok || x.Run == None || b.net.Runs[x.Run].Receiver != r {
			if ok && x.Run == r && b.said[r].fixture {
				return spot{Leg: p.firstLevelBelowArm(), Seq: 1 << 20}, true
			}
			b.fault(pl.At, on, on.Name+" is after "+pl.Name+", and no run of that name joins "+recv.Name, "name a run that joins "+recv.Name)
			return spot{Known: true}, false
		}
		b.place(x.Run)
		if b.placed[x.Run] == underWay {
			b.fault(pl.At, on, on.Name+" is placed after itself", "place one of them by a distance")
			return spot{Known: true}, false
		}
		if s = b.spots[x.Run]; !s.End {
			s.Seq++
			s.Known = false
		}
		return s, false
	case job.AtLength:
		return b.atLength(r, pl, on)
	}
	return spot{Known: true}, false
}

func (p *plan) firstLevelBelowArm() int32 {
	for i := range p.legs {
		if !p.legs[i].arm && p.legs[i].lie != Upright {
			return int32(i)
		}
	}
	return int32(len(p.legs) - 1)
}

func (b *builder) atLength(r RunID, pl job.Place, on diag.Ref) (spot, bool) {
	recv, p := &b.net.Runs[r], &b.plans[r]
	rest := pl.Len
	if rest < 0 {
		b.fault(pl.At, on, on.Name+" joins "+recv.Name+" at "+pl.Len.In(b.job.Units)+", above its upper end", "distances count from the upper end of "+recv.Name+", with the water")
		return spot{Known: true}, false
	}
	for i := range p.legs {
		l := &p.legs[i]
		if !l.known || rest < l.length {
			return spot{Leg: int32(i), Off: rest, Known: true}, false
		}
		rest -= l.length
	}
	if rest == 0 {
		return spot{End: true, Known: true}, false
	}
	last := p.legs[len(p.legs)-1]
	total := last.from + last.length
	b.fault(pl.At, on, on.Name+" joins "+recv.Name+" at "+pl.Len.In(b.job.Units)+", and "+recv.Name+" is only "+total.In(b.job.Units)+" long",
		"write a distance from 0 to "+total.In(b.job.Units)+", or lengthen "+recv.Name)
	return spot{End: true, Known: true}, false
}

// order sorts the cuts of a run with the water, and makes one of those at the same spot.
func (p *plan) order() {
	slices.SortFunc(p.cuts, func(x, y spot) int {
		switch {
		case x.less(y):
			return -1
		case y.less(x):
			return 1
		}
		return 0
	})
	cuts := p.cuts[:0]
	for _, c := range p.cuts {
		if len(cuts) > 0 {
			last := &cuts[len(cuts)-1]
			if last.Leg == c.Leg && last.Off == c.Off && last.Seq == c.Seq {
				last.Known = last.Known || c.Known
				continue
			}
		}
		cuts = append(cuts, c)
	}
	p.cuts = cuts
}

// segments makes the segments of every run, at their numbers.
func (b *builder) segments() {
	n := b.net
	n.Segs = make([]Seg, len(b.final))
	for r := range b.plans {
		p, d := &b.plans[r], &b.said[r]
		for i, id := range n.Runs[r].Segs {
			s := &n.Segs[id]
			l := &p.legs[p.cuts[i].Leg]
			*s = Seg{
				Run: RunID(r), Piece: int32(i), Way: l.way, WayKnown: l.wayKnown, Lie: l.lie, Arm: l.arm,
				Down: None, Fixture: None, UnderGround: d.ground >= inGround,
			}
			if to := b.down[int(b.first[r])+i]; to != None {
				s.Down = b.final[to]
			}
			s.From, s.To, s.LengthKnown = p.stretch(i)
			if i == 0 {
				s.Fixture, s.Carries, s.Basin = n.Runs[r].Fixture, d.carries, d.basin
			}
		}
	}
}

// stretch tells from where to where the i-th piece of a run reaches; known is false when
// one of the two is only an order.
func (p *plan) stretch(i int) (from, to unit.Length, known bool) {
	c := p.cuts[i]
	l := &p.legs[c.Leg]
	from = l.from + c.Off
	if i+1 < len(p.cuts) && p.cuts[i+1].Leg == c.Leg {
		to, known = l.from+p.cuts[i+1].Off, c.Known && p.cuts[i+1].Known
	} else {
		to, known = l.from+l.length, c.Known && l.known
	}
	return from, max(from, to), known
}

// ground is how the place of a run bears on the ground.
type ground uint8

const (
	placeNotSaid ground = iota
	aboveGround
	inGround
	underSlab
	outside
)

func groundOf(where string) ground {
	switch where {
	case "":
		return placeNotSaid
	case "under ground":
		return inGround
	case "under slab":
		return underSlab
	case "outside":
		return outside
	}
	return aboveGround
}

// underSlab carries `under slab` upstream into level pipe that says no place of its own: what
// joins pipe under a slab at its level, with no drop between, lies under the slab with it. Pipe
// in the ground and outside hands nothing on, a crawl space may begin where it comes in.
func (b *builder) underSlab() {
	n := b.net
	for id := n.Outlet - 1; id >= 0; id-- {
		s := &n.Segs[id]
		d := &n.Segs[s.Down]
		if s.UnderGround || !d.UnderGround || s.Lie != Level || d.Lie != Level || b.said[s.Run].ground != placeNotSaid {
			continue
		}
		// A place that is not said and yet under ground came to it in this way.
		from := b.said[d.Run].ground
		s.UnderGround = from == underSlab || from == placeNotSaid
	}
}

// connect tells what each piece drains into: the next one of its run, the last one the
// receiver.
func (b *builder) connect() {
	b.down = make([]int32, b.first[len(b.plans)])
	for r := range b.plans {
		from, to := b.first[r], b.first[r+1]
		if from == to {
			continue // not reached
		}
		for i := from; i < to-1; i++ {
			b.down[i] = i + 1
		}
		b.down[to-1] = None
		if recv := b.net.Runs[r].Receiver; recv >= 0 {
			b.down[to-1] = b.pieceAt(recv, b.spots[r])
		}
	}
}

// pieceAt returns the piece that starts at a spot of run r: for the lower end, the piece
// that r itself drains into.
func (b *builder) pieceAt(r RunID, s spot) int32 {
	if s.End {
		recv := b.net.Runs[r].Receiver
		if recv < 0 {
			return b.first[r+1] - 1
		}
		return b.pieceAt(recv, b.spots[r])
	}
	cuts := b.plans[r].cuts
	i := sort.Search(len(cuts), func(i int) bool { return !cuts[i].less(s) })
	return b.first[r] + int32(min(i, len(cuts)-1))
}
