package network

import (
	"math"
	"slices"
	"sort"

	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/unit"
)

// takeoffSpots holds, while building, where each vent leaves drains.
type ventSpot struct {
	vent VentID
	run  RunID
	spot spot
}

// ventCuts resolves where vents leave drains, so that a segment starts there.
func (b *builder) ventCuts() {
	n := b.net
	for i := range n.Vents {
		v := &n.Vents[i]
		if len(v.Def.From) == 0 {
			continue
		}
		for _, w := range v.Def.From {
			x, ok := n.byName[w.Text]
			switch {
			case !ok:
				try := "write the name of a run or a vent"
				if near := b.nearest(w.Text, allNames); near != "" {
					try = "did you mean " + near + "?"
				}
				b.fault(w.At, ventRef(v.Name), v.Name+" takes off from "+w.Text+", and nothing has that name", try)
			case x.Vent == VentID(i):
				b.fault(w.At, ventRef(v.Name), v.Name+" takes off from itself", "write the drain that it vents")
			case x.Vent != None:
				if !slices.Contains(v.Feeds, x.Vent) {
					v.Feeds = append(v.Feeds, x.Vent)
				}
			case b.reached[x.Run]:
				pl := v.Def.Place
				if len(v.Def.From) > 1 && pl.Kind == job.AtLength {
					b.fault(pl.At, ventRef(v.Name), v.Name+" takes off from several runs and gives one distance", "give each run a vent of its own that ends in "+v.Name)
					pl = job.Place{}
				}
				if pl.Kind == job.NotSaid {
					pl.Kind = job.UpperEnd
					if n.Runs[x.Run].Def.Fixture.Kind.Text != "" {
						pl.Kind = job.EndOfArm
					}
				}
				s, _ := b.resolve(x.Run, pl, ventRef(v.Name))
				if !s.End {
					b.plans[x.Run].cuts = append(b.plans[x.Run].cuts, s)
				}
				b.ventSpots = append(b.ventSpots, ventSpot{VentID(i), x.Run, s})
			}
		}
	}
}

// takeoffs turns the vents' spots into take-offs with the final numbers of segments.
func (b *builder) takeoffs() {
	n := b.net
	for _, vs := range b.ventSpots {
		t := Takeoff{Run: vs.run, Known: vs.spot.Known}
		p := &b.plans[vs.run]
		last := p.legs[len(p.legs)-1]
		if vs.spot.End {
			t.At = last.from + last.length
			t.Known = last.fromOK && last.known
			t.Lower = true
		} else {
			l := p.legs[vs.spot.Leg]
			t.At = l.from + vs.spot.Off
			t.Known = t.Known && l.fromOK
		}
		t.Seg = b.final[b.pieceAt(vs.run, vs.spot)]
		t.Span = n.Vents[vs.vent].Def.At
		n.Vents[vs.vent].Takes = append(n.Vents[vs.vent].Takes, t)
	}
}

// vents resolves how every vent ends, and measures its legs.
func (b *builder) vents() {
	n := b.net
	for i := range n.Vents {
		v := &n.Vents[i]
		d := v.Def
		v.measure()
		switch d.Ends.Text {
		case "":
			v.End = EndUnknown
		case "through roof":
			v.End = ThroughRoof
		case "side wall":
			v.End = SideWall
		case "air admittance valve":
			v.End = AirAdmittanceValve
		case "capped":
			v.End = Capped
		default:
			x, ok := n.byName[d.Ends.Text]
			switch {
			case !ok:
				try := "write through roof, side wall, air admittance valve, capped, or the name of a vent"
				if near := b.nearest(d.Ends.Text, ventEnds); near != "" {
					try = "did you mean " + near + "?"
				}
				b.fault(d.Ends.At, ventRef(v.Name), v.Name+" ends in "+d.Ends.Text+", and nothing has that name", try)
			case x.Vent == VentID(i):
				b.fault(d.Ends.At, ventRef(v.Name), v.Name+" ends in itself", "write through roof, or the vent that it joins")
			case x.Vent != None:
				v.End, v.Into = JoinsVent, x.Vent
				if into := &n.Vents[x.Vent]; !into.from(v.Name) {
					into.Feeds = append(into.Feeds, VentID(i))
				}
			case b.reached[x.Run]:
				v.End = JoinsRun
				pl := d.Into
				if pl.Kind == job.NotSaid {
					pl.Kind = job.UpperEnd
				}
				s, _ := b.resolve(x.Run, pl, ventRef(v.Name))
				if top, far, ok := b.dryTop(x.Run, s); ok && top != VentID(i) {
					v.joinDry(top, far)
					n.Vents[top].Feeds = append(n.Vents[top].Feeds, VentID(i))
					continue
				}
				v.IntoRun, v.IntoOff = b.pieceHolding(x.Run, s)
			}
		}
	}
	// `from: VENT` says the same as that vent's `ends: THIS`.
	joins := make([]VentID, len(n.Vents))
	for i := range joins {
		joins[i] = None
	}
	for i := range n.Vents {
		for _, f := range n.Vents[i].Feeds {
			v := &n.Vents[f]
			if v.End == EndUnknown && v.Def.Ends.Text == "" {
				v.End, v.Into = JoinsVent, VentID(i)
			}
			// The loop of an island comes down to a drain, and its foot vent takes off from it. Any
			// other vent that ends elsewhere cannot also end here.
			if x := &n.Vents[i]; v.End != JoinsVent && v.End != JoinsRun && v.End != EndUnknown && v.Def.Role.Text != "loop" {
				b.fault(x.Def.At, ventRef(x.Name), x.Name+" takes off from "+v.Name+", which ends "+endsHow(v.Def.Ends.Text)+" and not in it",
					"let "+v.Name+" end in "+x.Name+", or let "+x.Name+" take off from the drain and end in "+v.Name)
			}
			if first := joins[f]; first != None && first != VentID(i) {
				b.fault(v.Def.At, ventRef(v.Name), v.Name+" comes into "+n.Vents[first].Name+" and into "+n.Vents[i].Name, "let it come into one of them, which goes on to the other")
			}
			joins[f] = VentID(i)
		}
		sort.Slice(n.Vents[i].Feeds, func(a, c int) bool { return n.Vents[n.Vents[i].Feeds[a]].Name < n.Vents[n.Vents[i].Feeds[c]].Name })
	}
	b.ventCircles()
}

// dryTop is the vent that stands on the dry top of a run, where a place on the run lies in that
// top, above all that drains in: pipe there is vent. far is how far up the vent begins.
func (b *builder) dryTop(r RunID, s spot) (top VentID, far unit.Length, ok bool) {
	n := b.net
	run := &n.Runs[r]
	if s.End || !s.Known || !n.carriesNothing(run.Segs[0], 8) {
		return None, 0, false
	}
	l := b.plans[r].legs[s.Leg]
	at := l.from + s.Off
	for _, id := range run.Segs {
		seg := &n.Segs[id]
		if !l.fromOK || !seg.LengthKnown || seg.Lie != Upright || !n.carriesNothing(id, 8) {
			return None, 0, false
		}
		if at < seg.To {
			break
		}
	}
	for v := range n.Vents {
		for _, k := range n.Vents[v].Takes {
			if k.Run == r && k.Known && !k.Lower && k.At == 0 {
				return VentID(v), at, true
			}
		}
	}
	return None, 0, false
}

// pieceHolding is the piece of a run on which a place lies that nothing is cut at, and how far
// below the upper end of the piece.
func (b *builder) pieceHolding(r RunID, s spot) (SegID, unit.Length) {
	segs, cuts := b.net.Runs[r].Segs, b.plans[r].cuts
	k := len(segs) - 1
	if s.End {
		return segs[k], b.net.Segs[segs[k]].Length()
	}
	for k > 0 && s.less(cuts[k]) {
		k--
	}
	return segs[k], max(0, s.Off-cuts[k].Off)
}

// joinDry lets a vent that the job ends in the dry top of a drain join the vent on it, with the
// pipe of the drain between.
func (v *Vent) joinDry(top VentID, far unit.Length) {
	d := *v.Def
	d.Into = job.Place{}
	v.Def, v.End, v.Into = &d, JoinsVent, top
	v.Length += far
}

// endsHow puts an end in a sentence.
func endsHow(word string) string {
	switch word {
	case "side wall":
		return "at a " + word
	case "air admittance valve":
		return "in an " + word
	}
	return word
}

// from reports whether the job lets a vent take off from a name.
func (v *Vent) from(name string) bool {
	return slices.ContainsFunc(v.Def.From, func(w job.Word) bool { return w.Text == name })
}

func (b *builder) ventCircles() {
	n := b.net
	state := make([]int8, len(n.Vents))
	for i := range n.Vents {
		var path []VentID
		v := VentID(i)
		for v != None && state[v] == 0 {
			state[v] = 1
			path = append(path, v)
			if n.Vents[v].End != JoinsVent {
				v = None
				break
			}
			v = n.Vents[v].Into
		}
		if v != None && state[v] == 1 {
			x := &n.Vents[v]
			b.fault(x.Def.Ends.At, diag.Ref{What: diag.Vent, Name: x.Name, Segment: None},
				"the vents from "+x.Name+" on join each other in a circle and never reach outdoors", "let the last one end through roof")
			x.End, x.Into = EndUnknown, None
		}
		for _, p := range path {
			state[p] = 2
		}
	}
}

// measure sums the legs of a vent.
func (v *Vent) measure() {
	d := v.Def
	v.LengthKnown = true
	switch {
	case len(d.Legs) > 0:
		for _, l := range d.Legs {
			if !l.Length.Set {
				v.LengthKnown = false
			}
			v.Length += l.Length.V
			if lieOf(l.Way) == Level {
				v.Level += l.Length.V
			}
		}
	case d.Length.Set:
		v.Length = d.Length.V
		if d.Lies.Text == "level" {
			v.Level = v.Length
		}
	default:
		v.LengthKnown = false
	}
}

// Path returns the vents from v on to where the air comes in, v first.
func (n *Net) Path(v VentID) []VentID {
	var out []VentID
	for v != None && len(out) <= len(n.Vents) {
		out = append(out, v)
		if n.Vents[v].End != JoinsVent {
			break
		}
		v = n.Vents[v].Into
	}
	return out
}

// Outdoors reports how the air of vent v comes in at the end of its path, and the
// developed length from v's take-off to there; known is false when a length on the way
// is missing.
func (n *Net) Outdoors(v VentID) (end VentEnd, length unit.Length, known bool) {
	known = true
	path := n.Path(v)
	for i, p := range path {
		x := &n.Vents[p]
		l, ok := x.Length, x.LengthKnown
		if i > 0 {
			if in := n.Vents[path[i-1]].Def.Into; in.Kind == job.AtLength && ok {
				l = max(0, l-in.Len)
			}
		}
		length += l
		known = known && ok
		end = x.End
	}
	return end, length, known
}

// Pumped reports whether a vent, with all that join it, brings air only to what a pump lifts:
// the basin, or drains that run into it. Where a pump lifts all there is, the drains that
// run into it are the house's, and only the vent of the basin itself is meant.
func (n *Net) Pumped(v VentID) bool {
	lifted := func(s *Seg) bool { return s.Lifted }
	basin := func(s *Seg) bool { return s.Basin }
	return n.pumped(v, len(n.Vents), lifted) && (n.byGravity || n.pumped(v, len(n.Vents), basin))
}

func (n *Net) pumped(v VentID, depth int, is func(*Seg) bool) bool {
	x := &n.Vents[v]
	if depth == 0 || len(x.Takes)+len(x.Feeds) == 0 {
		return false
	}
	for _, k := range x.Takes {
		if k.Seg == None || !is(&n.Segs[k.Seg]) {
			return false
		}
	}
	for _, f := range x.Feeds {
		if !n.pumped(f, depth-1, is) {
			return false
		}
	}
	return true
}

// lifted marks what drains into the basin of a pump.
func (b *builder) lifted() {
	n := b.net
	for i := len(n.Segs) - 1; i >= 0; i-- {
		s := &n.Segs[i]
		s.Lifted = s.Basin || s.Down != None && n.Segs[s.Down].Lifted
		n.byGravity = n.byGravity || !s.Lifted && (s.Fixture != None || s.Carries)
	}
}

// Opening is where the air of a vent reaches the waste: past pipe of the drain itself that
// nothing drains into, such as the top of a stack above its highest branch.
type Opening struct {
	Seg SegID // the segment at whose upper end waste and air meet
	// Dry is the pipe between the take-off and there, from the take-off down, and Rise how
	// high the take-off stands over it; Known is false when a length on the way is missing.
	Dry   []SegID
	Rise  unit.Length
	Known bool
}

// Opening follows a take-off down through pipe that carries nothing. Where nothing at all
// drains past it, it is the take-off itself.
func (n *Net) Opening(t Takeoff) Opening {
	o := Opening{Seg: t.Seg, Known: true}
	if t.Seg == None {
		return o
	}
	s := t.Seg
	for s != None && n.carriesNothing(s, 8) {
		seg := &n.Segs[s]
		o.Dry = append(o.Dry, s)
		if seg.Lie == Upright {
			o.Rise += plumb(seg.Way, seg.Length())
			o.Known = o.Known && seg.LengthKnown
		}
		s = seg.Down
	}
	if s == None {
		return Opening{Seg: t.Seg, Known: true}
	}
	o.Seg = s
	return o
}

// carriesNothing looks a few pieces up: a stub is short.
func (n *Net) carriesNothing(s SegID, depth int) bool {
	seg := &n.Segs[s]
	if depth == 0 || seg.Fixture != None || seg.Carries || seg.Basin {
		return false
	}
	for _, u := range n.Up(s) {
		if !n.carriesNothing(u, depth-1) {
			return false
		}
	}
	return true
}

// plumb is the height of a piece that lies at an angle. The cosine of an angle is no ratio;
// the height is rounded to the nanometre.
func plumb(w job.Way, length unit.Length) unit.Length {
	if w.Plumb == 0 {
		return length
	}
	return unit.Length(math.Round(float64(length) * math.Cos(float64(w.Plumb)*math.Pi/1800)))
}
