package rules

import (
	"slices"
	"strconv"

	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/network"
	"trapweir/engine/source"
	"trapweir/engine/unit"
)

// A tall is a stack from its top to its foot, level offsets among its pieces, with the vents
// that leave it. Vents and branches stand at the upper end of a piece.
type tall struct {
	pieces    []network.SegID
	enters    []bool // something drains in at the upper end of the piece
	intervals int    // branch intervals of the whole stack
	known     bool   // the lengths are given
	undrawn   bool   // it is old, or a part that is not drawn drains into it
	vents     []offStack
}

// offStack is a vent that leaves a stack at the upper end of piece at.
type offStack struct {
	vent network.VentID
	at   int
}

// talls lists the stacks of a net.
func talls(p *check.Pass) []tall {
	n := p.Net
	piece := map[network.SegID][2]int{}
	var out []tall
	for i := range n.Segs {
		s := network.SegID(i)
		if !ofStack(n, s) || slices.ContainsFunc(n.Up(s), func(u network.SegID) bool { return ofStack(n, u) }) {
			continue
		}
		t := tall{known: true, intervals: int(p.Loads.Intervals[s])}
		for ; s != network.None && ofStack(n, s); s = n.Segs[s].Down {
			seg := &n.Segs[s]
			in := seg.Carries || seg.Fixture != network.None
			for _, u := range n.Up(s) {
				in = in || !ofStack(n, u) && (p.Loads.Units[u] > 0 || p.Loads.Traps[u] > 0)
				t.undrawn = t.undrawn || carriesPart(n, u)
			}
			piece[s] = [2]int{len(out), len(t.pieces)}
			t.pieces = append(t.pieces, s)
			t.enters = append(t.enters, in)
			t.known = t.known && (seg.LengthKnown || seg.Lie != network.Upright)
			t.undrawn = t.undrawn || seg.Carries || existing(n.RunOf(s))
		}
		out = append(out, t)
	}
	for v := range n.Vents {
		if end, _, _ := n.Outdoors(network.VentID(v)); end == network.Capped {
			continue
		}
		for _, k := range n.Vents[v].Takes {
			s, add := k.Seg, 0
			if k.Lower {
				segs := n.Runs[k.Run].Segs
				s, add = segs[len(segs)-1], 1
			}
			if s == network.None {
				continue
			}
			if x, ok := piece[s]; ok {
				out[x[0]].vents = append(out[x[0]].vents, offStack{network.VentID(v), x[1] + add})
			}
		}
	}
	return out
}

// ofStack: a segment is a stack or an offset in one.
func ofStack(n *network.Net, s network.SegID) bool {
	return n.Segs[s].Role == network.Stack || n.Segs[s].Role == network.StackOffset
}

// carriesPart: a part that is not drawn, or that the job says is vented elsewhere, drains
// through what joins.
func carriesPart(n *network.Net, s network.SegID) bool {
	for hop := 0; hop < 8; hop++ {
		r := n.RunOf(s)
		if n.Segs[s].Carries || r.Def.Vented.Text == "elsewhere" || existing(r) {
			return true
		}
		up := n.Up(s)
		if len(up) == 0 {
			return false
		}
		s = up[0]
	}
	return false
}

func (t *tall) run(n *network.Net) *network.Run { return n.RunOf(t.pieces[len(t.pieces)-1]) }

// lowest is the piece at whose upper end the lowest branch joins.
func (t *tall) lowest() int {
	for i := len(t.pieces) - 1; i >= 0; i-- {
		if t.enters[i] {
			return i
		}
	}
	return 0
}

// above is how many branch intervals stand above a piece.
func (t *tall) above(p *check.Pass, at int) int {
	if at == 0 {
		return 0
	}
	return int(p.Loads.IntervalAt[t.pieces[at-1]])
}

// countUnsure asks where a stack may have so many intervals and the places of its branches
// are not given: their heights, or their floors where the book counts by these. It reports
// whether it asked.
func (t *tall) countUnsure(p *check.Pass, least int, cite codebook.Param) bool {
	joins, unplaced := 0, false
	for i, in := range t.enters {
		if in {
			joins++
			unplaced = unplaced || !t.floorKnown(p.Net, i)
		}
	}
	byLength := given(p.Param("branch-interval"))
	if byLength && t.known || !byLength && !unplaced || joins < least {
		return false
	}
	if levels := len(p.Job.Levels); levels > 0 && levels < least {
		return false
	}
	r := t.run(p.Net)
	say := check.Say{
		Message: r.Name + ": how many branch intervals this stack has cannot be told without the heights at which its branches join",
		Ask:     "at what heights do the branches join " + r.Name + "? write `at` with a length for each", Limit: cite.Text, Cite: cite.Cite,
	}
	if !byLength {
		say.Message = r.Name + ": how many stories drain into this stack cannot be told without the floors of its branches"
		say.Ask = "on which floor is each branch of " + r.Name + "? name the floors under `levels`, and write `level` for each"
	}
	p.Unchecked(p.OnRun(p.Net.Segs[t.pieces[0]].Run, t.pieces[0]), r.Def.At, say)
	return true
}

// floorKnown: the floor of what joins at the upper end of a piece is given.
func (t *tall) floorKnown(n *network.Net, i int) bool {
	s := t.pieces[i]
	if f := n.Segs[s].Fixture; f != network.None {
		return n.Fixtures[f].Level != network.None
	}
	for _, u := range n.Up(s) {
		for s, hop := u, 0; !ofStack(n, u) && s != network.None && hop < 8; hop++ {
			r := n.RunOf(s)
			if r.Level != network.None || r.CarriedOn != network.None || r.Def.Level.Text != "" {
				return true
			}
			up := n.Up(s)
			if len(up) == 0 {
				break
			}
			s = up[0]
		}
	}
	return n.Segs[s].Carries && n.RunOf(s).CarriedOn != network.None
}

// ventStack looks for the vent stack of a tall stack.
var ventStack = &check.Rule{
	ID: "vent-stack-missing", Family: "vents", Clause: "vent-stack",
	Doc: "a stack of so many branch intervals has a vent stack beside it",
	Why: "what falls from many floors pushes air ahead of it, and only a pipe beside the stack lets that out",
	Try: "run a vent stack up beside it, off its foot at or below the lowest branch",
	Run: func(p *check.Pass) {
		least := p.Param("vent.stack-intervals")
		if !given(least) {
			return
		}
		for _, t := range talls(p) {
			if t.intervals < times(least) {
				if !t.countUnsure(p, times(least), least) {
					p.Looked(1)
				}
				continue
			}
			if len(t.ventStacks(p)) > 0 {
				p.Looked(1)
				continue
			}
			r := t.run(p.Net)
			on := p.OnRun(p.Net.Segs[t.pieces[0]].Run, t.pieces[0])
			got := strconv.Itoa(t.intervals)
			s := check.Say{Message: r.Name + " has " + got + " branch intervals and no vent stack; from " + least.Text + " on a stack has one", Got: got, Limit: least.Text, Cite: least.Cite}
			if t.undrawn {
				s.Ask = "does a vent stack rise beside " + r.Name + ", and where does it leave it? draw it under `vents` with `role: vent stack`"
				p.Unchecked(on, r.Def.At, s)
				continue
			}
			p.Fault(on, r.Def.At, s)
		}
	},
}

// A ventFoot is where a vent stack leaves: so far past the base of the stack, or on the stack.
type ventFoot struct {
	vent   network.VentID
	onTall bool
	at     int         // piece, where it leaves the stack
	past   unit.Length // along the drain from the base of the stack
	known  bool
}

// ventStacks lists the vents that serve a stack as vent stacks: those that the job calls so
// and that leave the stack or the drain past it, and any that leaves where one must.
func (t *tall) ventStacks(p *check.Pass) []ventFoot {
	n := p.Net
	var out []ventFoot
	said := func(v network.VentID) bool { return n.Vents[v].Def.Role.Text == "vent stack" }
	for _, o := range t.vents {
		if said(o.vent) && o.at > 0 || o.at > 0 && o.at >= t.lowest() {
			out = append(out, ventFoot{vent: o.vent, onTall: true, at: o.at, known: true})
		}
	}
	last := t.pieces[len(t.pieces)-1]
	length, known := unit.Length(0), true
	most, ok := t.baseReach(p)
	for s, hop := n.Segs[last].Down, 0; s != network.None && hop < 16; hop++ {
		for v := range n.Vents {
			for _, k := range n.Vents[v].Takes {
				if k.Lower || k.Seg != s {
					continue
				}
				if id := network.VentID(v); said(id) || ok && known && length <= most {
					out = append(out, ventFoot{vent: id, past: length, known: known})
				}
			}
		}
		length += n.Segs[s].Length()
		known = known && n.Segs[s].LengthKnown
		s = n.Segs[s].Down
	}
	return out
}

// baseReach is how far past the base of a stack its vent stack may leave the drain.
func (t *tall) baseReach(p *check.Pass) (unit.Length, bool) {
	m := p.Param("vent.stack-base-diameters")
	if !given(m) {
		return 0, false
	}
	d := p.Sizes.Size[t.pieces[len(t.pieces)-1]].Length()
	return unit.Length(int64(d) / 100 * m.Number), true
}

var ventStackBase = &check.Rule{
	ID: "vent-stack-base", Family: "vents", Clause: "vent-stack-base",
	Doc: "a vent stack leaves its stack at or below the lowest branch, or the drain close past the base",
	Why: "pressure builds at the foot, and only a vent from there lets it out",
	Try: "let the vent stack leave at or below the lowest branch",
	Run: func(p *check.Pass) {
		n := p.Net
		least := p.Param("vent.stack-intervals")
		if !given(least) {
			return
		}
		for _, t := range talls(p) {
			feet := t.ventStacks(p)
			most, ok := t.baseReach(p)
			if t.intervals < times(least) || len(feet) == 0 || !ok {
				continue
			}
			var bad *ventFoot
			good := false
			for i := range feet {
				f := &feet[i]
				if f.onTall && f.at >= t.lowest() || !f.onTall && f.known && f.past <= most {
					good = true
				} else if bad == nil || !f.onTall && !f.known {
					bad = f
				}
			}
			if good {
				p.Looked(1)
				continue
			}
			vent := &n.Vents[bad.vent]
			r := t.run(n)
			cite := p.Param("vent.stack-base-diameters").Cite
			switch {
			case bad.onTall:
				p.Fault(p.OnVent(bad.vent), vent.Def.At, check.Say{Message: vent.Name + " leaves " + r.Name + " above its lowest branch; a vent stack leaves at or below that, or the drain at most " + most.Small(p.Job.Units) + " past the base", Cite: cite})
			case bad.known:
				p.Fault(p.OnVent(bad.vent), vent.Def.At, check.Say{Message: vent.Name + " leaves the drain " + bad.past.Small(p.Job.Units) + " past the base of " + r.Name + "; " + most.Small(p.Job.Units) + " is the most for a vent stack", Got: bad.past.Small(p.Job.Units), Limit: most.Small(p.Job.Units), Cite: cite})
			default:
				p.Unchecked(p.OnVent(bad.vent), vent.Def.At, check.Say{Message: vent.Name + ": how far past the base of " + r.Name + " it leaves the drain is not given", Ask: "how far past the base of " + r.Name + " does " + vent.Name + " leave the drain?", Limit: most.Small(p.Job.Units), Cite: cite})
			}
		}
	},
}

// reliefTall looks for the relief (yoke) vents along a very tall stack.
var reliefTall = &check.Rule{
	ID: "relief-vent-missing", Family: "vents", Clause: "relief-vent-tall",
	Doc: "a very tall stack has a relief vent every so many branch intervals, from the top down",
	Why: "in a long fall the air ahead of the water and behind it needs a way between stack and vent stack",
	Try: "join stack and vent stack by a relief vent there",
	Run: func(p *check.Pass) {
		most, every := p.Param("relief-vent.intervals"), p.Param("relief-vent.every")
		if !given(most) || !given(every) {
			return
		}
		for _, t := range talls(p) {
			if t.intervals <= times(most) {
				if !t.countUnsure(p, times(most)+1, most) {
					p.Looked(1)
				}
				continue
			}
			var at []int // intervals above each relief vent
			for _, o := range t.vents {
				if o.at > 0 && o.at < len(t.pieces) {
					at = append(at, int(p.Loads.IntervalAt[t.pieces[o.at]]))
				}
			}
			slices.Sort(at)
			from, gap := 0, 0
			for _, x := range append(at, t.intervals) {
				if x-from > times(every) {
					gap = from
					break
				}
				from, gap = x, -1
			}
			if gap < 0 {
				p.Looked(1)
				continue
			}
			r := t.run(p.Net)
			on := p.OnRun(p.Net.Segs[t.pieces[0]].Run, t.pieces[0])
			got := strconv.Itoa(t.intervals)
			s := check.Say{Message: r.Name + " has " + got + " branch intervals, and no relief vent leaves it between the " + strconv.Itoa(gap+1) + ". and the " + strconv.Itoa(gap+times(every)) + ". from the top; with more than " + most.Text + " there is one every " + every.Text, Got: got, Limit: every.Text, Cite: every.Cite}
			if t.undrawn {
				s.Ask = "which relief vents join " + r.Name + " to its vent stack, and at which floors?"
				p.Unchecked(on, r.Def.At, s)
				continue
			}
			p.Fault(on, r.Def.At, s)
		}
	},
}

// tallValve bars a valve on top of a very tall stack.
var tallValve = &check.Rule{
	ID: "aav-stack-too-tall", Family: "vents", Clause: "aav-stack-tall",
	Doc: "no air admittance valve ends the vent of a stack of more branch intervals than the book allows",
	Why: "a tall stack pushes air as well as pulling it, and a valve lets none out",
	Try: "run the stack's vent to the open air",
	Run: func(p *check.Pass) {
		most := p.Param("aav.stack-intervals-max")
		if !valvesAllowed(p) || !given(most) {
			return
		}
		for _, t := range talls(p) {
			for _, o := range t.vents {
				x := &p.Net.Vents[o.vent]
				if end, _, _ := p.Net.Outdoors(o.vent); end != network.AirAdmittanceValve {
					continue
				}
				if t.intervals <= times(most) {
					if !t.countUnsure(p, times(most)+1, most) {
						p.Looked(1)
					}
					continue
				}
				got := strconv.Itoa(t.intervals)
				p.Fault(p.OnVent(o.vent), x.Def.At, check.Say{Message: x.Name + " ends in a valve on " + t.run(p.Net).Name + ", a stack of " + got + " branch intervals; " + most.Text + " is the most", Got: got, Limit: most.Text, Cite: most.Cite})
			}
		}
	},
}

// valveRelief: a branch low under many others needs a vent that also lets air out.
var valveRelief = &check.Rule{
	ID: "aav-branch-relief", Family: "vents", Clause: "aav-branch",
	Doc: "a branch that breathes by a valve, far below the top of its stack, has a relief vent",
	Why: "waste from many floors above pushes air into the branch, and a valve lets none out",
	Try: "take a relief vent to the open air off the branch, between the stack and the last trap",
	Run: func(p *check.Pass) {
		n := p.Net
		most := p.Param("aav.branch-intervals-max")
		if !valvesAllowed(p) || !given(most) {
			return
		}
		said := map[network.VentID]bool{}
		for v := range n.Vents {
			id := network.VentID(v)
			if end, _, _ := n.Outdoors(id); end != network.AirAdmittanceValve {
				continue
			}
			for _, k := range n.Vents[v].Takes {
				if k.Seg == network.None || said[id] {
					continue
				}
				stack, open := network.SegID(network.None), false
				below(n, k.Seg, func(s network.SegID) bool {
					if ofStack(n, s) {
						stack = s
						return false
					}
					open = open || opensAt(n, s)
					return true
				})
				if stack == network.None || stack == k.Seg {
					continue
				}
				p.Looked(1)
				at := int(p.Loads.IntervalAt[stack])
				if at <= times(most) || open {
					continue
				}
				said[id] = true
				got := strconv.Itoa(at)
				p.Fault(p.OnVent(id), n.Vents[v].Def.At, check.Say{
					Message: n.Vents[v].Name + ": the branch of its valve joins " + n.RunOf(stack).Name + " in the " + got + ". branch interval from the top and has no relief vent; more than " + most.Text + " down it needs one",
					Got:     got, Limit: most.Text, Cite: most.Cite,
				})
			}
		}
	},
}

// opensAt: a vent that ends in the open air leaves at the upper end of a segment.
func opensAt(n *network.Net, s network.SegID) bool {
	for v := range n.Vents {
		for _, k := range n.Vents[v].Takes {
			if k.Seg != s {
				continue
			}
			switch end, _, _ := n.Outdoors(network.VentID(v)); end {
			case network.ThroughRoof, network.SideWall:
				return true
			}
		}
	}
	return false
}

// offsetVent counts branch intervals above an offset low in a tall stack. A level one is
// vented above and below, or a size larger with what hangs under it; one that hangs at an
// angle is, where a branch joins close to it, or as large as a building drain.
var offsetVent = &check.Rule{
	ID: "offset-needs-vent", Family: "vents", Clause: "offset-vent",
	Doc: "an offset low in a tall stack is vented above and below, or large enough",
	Why: "what falls from many floors fills the offset and blows the traps near it",
	Try: "vent the stack above and below the offset, or size it up as the book allows",
	Run: func(p *check.Pass) {
		n := p.Net
		most := p.Param("offset-vent.intervals")
		if !given(most) {
			return
		}
		for _, t := range talls(p) {
			for i, s := range t.pieces {
				seg := &n.Segs[s]
				level := seg.Role == network.StackOffset
				if i == 0 || !level && (seg.Lie != network.Upright || seg.Way.Plumb == 0) {
					continue
				}
				on, at := p.OnRun(seg.Run, s), n.RunOf(s).Def.At
				if t.intervals > times(most) && !t.known || t.intervals <= times(most) && t.countUnsure(p, times(most)+1, most) {
					if t.intervals > times(most) {
						p.Unchecked(on, at, check.Say{
							Message: n.RunOf(s).Name + ": how many branch intervals stand above its offset cannot be told",
							Ask:     "at what heights do the branches join " + n.RunOf(s).Name + " above the offset? write `at` with a length for each", Limit: most.Text, Cite: most.Cite,
						})
					}
					continue
				}
				p.Looked(1)
				above := t.above(p, i)
				if above <= times(most) || t.offsetLarge(p, i, level) {
					continue
				}
				near := ""
				if !level {
					if near = t.branchNear(p, i); near == "" {
						continue
					}
				}
				upper, lower := t.ventedAbout(i)
				if upper && lower {
					continue
				}
				t.offsetFault(p, i, above, upper, lower, near, at, most)
			}
		}
	},
}

func (t *tall) offsetFault(p *check.Pass, i, above int, upper, lower bool, near string, at source.Span, most codebook.Param) {
	n := p.Net
	s := t.pieces[i]
	name, got := n.RunOf(s).Name, strconv.Itoa(above)
	msg := name + ": " + got + " branch intervals stand above its level offset"
	if near != "" {
		msg = name + ": " + got + " branch intervals stand above its offset at an angle, and " + near + " joins close to it"
	}
	msg += "; over " + most.Text + " the offset is vented"
	switch {
	case upper:
		msg += ", and no vent leaves between it and the next branch below"
	case lower:
		msg += ", and no vent leaves between it and the next branch above"
	default:
		msg += " above and below"
	}
	say := check.Say{Message: msg, Got: got, Limit: most.Text, Cite: most.Cite}
	if t.undrawn && existing(n.RunOf(s)) {
		say.Ask = "which vents leave " + name + " just above and below its offset?"
		p.Unchecked(p.OnRun(n.Segs[s].Run, s), at, say)
		return
	}
	p.Fault(p.OnRun(n.Segs[s].Run, s), at, say)
}

// ventedAbout: vents leave between an offset and the next branch above it, and below it.
func (t *tall) ventedAbout(i int) (upper, lower bool) {
	from, to := 0, len(t.pieces)
	for k := i; k > 0; k-- {
		if t.enters[k] {
			from = k
			break
		}
	}
	for k := i + 1; k < len(t.pieces); k++ {
		if t.enters[k] {
			to = k
			break
		}
	}
	for _, o := range t.vents {
		upper = upper || o.at >= from && o.at <= i && o.at > 0
		lower = lower || o.at > i && o.at <= to
	}
	return upper, lower
}

// offsetLarge: the offset is so large that the book asks no vent: a level one a size over
// what it needs, with the stack below it; one at an angle as large as a building drain.
func (t *tall) offsetLarge(p *check.Pass, i int, level bool) bool {
	s := t.pieces[i]
	have := p.Sizes.Size[s]
	if level {
		next, ok := unit.NextSize(p.Sizes.Required[s])
		if !ok || have < next {
			return false
		}
		for _, b := range t.pieces[i+1:] {
			if p.Sizes.Size[b] < have {
				return false
			}
		}
		return true
	}
	tab, ok := p.Book.Table("building-drain")
	if !ok || len(tab.Columns) == 0 {
		return false
	}
	c := tab.Cell(have, tab.Columns[len(tab.Columns)-1])
	return c.State == codebook.Given && c.Load >= p.Loads.Units[s]
}

// branchNear names what joins close above or below a piece, by the book's measure.
func (t *tall) branchNear(p *check.Pass, i int) string {
	m := p.Param("offset-vent.branch-within")
	if !given(m) {
		return ""
	}
	n := p.Net
	name := func(k int) string {
		for _, u := range n.Up(t.pieces[k]) {
			if k == 0 || u != t.pieces[k-1] {
				return n.RunOf(u).Name
			}
		}
		return ""
	}
	for k, far := i, unit.Length(0); k > 0 && far <= m.Length; k-- {
		if t.enters[k] {
			return name(k)
		}
		far += n.Segs[t.pieces[k-1]].Length()
	}
	for k, far := i+1, unit.Length(0); k < len(t.pieces) && far <= m.Length; k++ {
		if t.enters[k] {
			return name(k)
		}
		far += n.Segs[t.pieces[k]].Length()
	}
	return ""
}
