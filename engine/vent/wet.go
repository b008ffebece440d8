package vent

import (
	"strings"

	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// closetUnits heads the column of a wet-vent table for pipe that vents a water closet:
// what it may carry beside the closet.
const closetUnits = "closet units"

// ventsCloset marks the washed pipe that vents a water closet, where the table has a
// column for it.
func (t *tracer) ventsCloset(tab *codebook.Table) map[network.SegID]bool {
	out := map[network.SegID]bool{}
	if tab.Column(closetUnits) < 0 {
		return out
	}
	for i := range t.out.Trap {
		r := t.out.Trap[i].Reading()
		if r == nil || r.Method != WetLevel && r.Method != WetUpright || !t.net.Fixtures[i].Kind.Has(classCloset) {
			continue
		}
		for _, s := range r.Wet {
			out[s] = true
		}
	}
	return out
}

// wetClosets counts the water closets on a wet vent where the book limits them.
func (t *tracer) wetClosets(r *Reading, node network.SegID, on diag.Ref, st *up) {
	p := t.p.wetClosets
	if p.State != codebook.Given || int64(st.closets)*100 <= p.Number {
		return
	}
	run := t.net.RunOf(node)
	d := t.finding(on, run.Def.At, "wet-vent-closets", run.Name+": "+itoa(int(st.closets))+" water closets on this wet vent; the book allows "+p.Text, itoa(int(st.closets)), p.Text, "wet-vent")
	if p.Cite != nil {
		d.Cites = []diag.Cite{*p.Cite}
	}
	r.Fails = append(r.Fails, d)
}

// wetUpperFloors holds what each floor above the lowest drains into a wet vent against
// what the book lets one floor drain.
func (t *tracer) wetUpperFloors(f network.FixID, r *Reading, node network.SegID, on diag.Ref) {
	n, p := t.net, t.p.wetFloors
	units := map[int32]unit.Load{}
	lowest := n.Fixtures[f].Level
	var visit func(s network.SegID)
	unknown := network.FixID(network.None)
	visit = func(s network.SegID) {
		if x := n.Segs[s].Fixture; x != network.None {
			l := n.Fixtures[x].Level
			switch {
			case l == network.None || !n.Job.Levels[l].Floor.Set:
				unknown = x
			case lowest == network.None || !n.Job.Levels[lowest].Floor.Set || n.Job.Levels[l].Floor.V < n.Job.Levels[lowest].Floor.V:
				lowest = l
			}
			if l != network.None {
				units[l] += t.loads.Fixture[x].Units
			}
		}
		for _, u := range n.Up(s) {
			visit(u)
		}
	}
	for _, u := range n.Up(node) {
		visit(u)
	}
	if unknown != network.None {
		r.ask("vent-place", on, n.RunOf(node).Name+": fixtures of several floors drain into this wet vent, and how high the floor of "+t.name(unknown)+" lies is not given",
			"on which level does "+t.name(unknown)+" stand, and how high is its floor?", t.cite("wet-vent"))
		return
	}
	for i := range n.Job.Levels {
		l := int32(i)
		if l == lowest || int64(units[l]) <= p.Number {
			continue
		}
		run := n.RunOf(node)
		d := t.finding(on, run.Def.At, "wet-vent-undersized", run.Name+": floor "+n.Job.Levels[i].Name+" drains "+plural(units[l])+" into this wet vent; a floor above the lowest may drain "+p.Text, units[l].String(), p.Text, "wet-vent")
		if p.Cite != nil {
			d.Cites = []diag.Cite{*p.Cite}
		}
		r.Fails = append(r.Fails, d)
	}
}

// trapSize is the trap of a fixture: as given, as the book asks, or where its outlet
// decides the drain that it needs.
func (t *tracer) trapSize(f network.FixID) unit.Size {
	fx := &t.net.Fixtures[f]
	if s := max(fx.Def.Trap.V, t.loads.Fixture[f].Trap); s > 0 {
		return s
	}
	return t.sizes.Required[fx.Seg]
}

// byTrap sizes a vent by the largest trap that breathes through it, where the book has a
// table for that. Where no trap is drawn the drain stands for it.
func (t *tracer) byTrap(v network.VentID, add func(string, unit.Size, string, ...*diag.Cite)) {
	tab, ok := t.book.Table("trap-vent")
	if !ok {
		return
	}
	x := &t.out.Size[v]
	trap, of := unit.Size(0), ""
	for _, f := range x.Serves {
		if s := t.trapSize(f); s > trap {
			trap, of = s, "trap of "+t.name(f)
		}
	}
	if trap == 0 {
		trap, of = x.Drain, "drain that it vents"
	}
	if c := tab.Cell(trap, "vent"); c.State == codebook.Given && c.Size > 0 {
		add("table", c.Size, "for the "+trap.String()+" "+of, c.Cite)
	}
}

// lengthsUnknown says once that the book's file holds nothing on how long a vent may be.
func (t *tracer) lengthsUnknown() {
	c, ok := t.book.Clause("vent-length")
	if !ok || len(t.net.Vents) == 0 || t.book.Param("vent.long-length").State != codebook.Absent {
		return
	}
	if _, ok := t.book.Table("stack-vent-length"); ok {
		return
	}
	if tab, ok := t.book.Table("pipe-capacity"); ok && tab.Column("vent-length") >= 0 {
		return
	}
	longest := network.VentID(0)
	for i := range t.out.Size {
		if t.out.Size[i].Known && t.out.Size[i].Length > t.out.Size[longest].Length {
			longest = network.VentID(i)
		}
	}
	name := t.net.Vents[longest].Name
	d := diag.Diagnostic{
		Severity: diag.Unchecked, Rule: "vent-too-long", On: diag.Ref{What: diag.Vent, Name: name, Segment: network.None}, At: t.net.Vents[longest].Def.At,
		Message: "how long a vent may be is not in the file of this book, so no vent was sized by its length",
		Ask:     "what do the book's tables permit for vent " + name + ", the longest?",
		Cites:   []diag.Cite{c},
	}
	if x := &t.out.Size[longest]; x.Known {
		d.Got = x.Length.In(t.net.Job.Units)
		d.Ask = "how long may a " + x.Size.String() + " vent be for " + plural(x.Units) + "? vent " + name + ", the longest, is " + x.Length.In(t.net.Job.Units)
	}
	t.diags = append(t.diags, d)
}

// byUnits: on an upright wet vent the book goes by the units of a fixture, not by its room.
func (t *tracer) byUnits(r *Reading) bool {
	return r.Method == WetUpright && t.p.uprightUnits.State == codebook.Given
}

// trapsAbove visits the traps that drain through a segment.
func (t *tracer) trapsAbove(s network.SegID, visit func(network.FixID)) {
	if f := t.net.Segs[s].Fixture; f != network.None {
		visit(f)
	}
	for _, u := range t.net.Up(s) {
		if t.ups[u].traps > 0 {
			t.trapsAbove(u, visit)
		}
	}
}

// wetGroups counts the bathroom groups on a wet vent. An upright of which the book counts the
// fixtures and their units has no such limit.
func (t *tracer) wetGroups(r *Reading, node network.SegID, on diag.Ref, st *up) {
	if t.byUnits(r) {
		return
	}
	if p := t.p.groups; p.State == codebook.Given && int64(st.groups())*100 > p.Number {
		d := t.finding(on, t.net.RunOf(node).Def.At, "wet-vent-two-groups",
			t.net.RunOf(node).Name+": the fixtures on this wet vent make "+itoa(st.groups())+" bathroom groups; the book allows "+p.Text, itoa(st.groups()), p.Text, "wet-vent")
		d.Try = "leave " + p.Text + " on it, and give each further bathroom a branch with a vent of its own"
		if p.Cite != nil {
			d.Cites = []diag.Cite{*p.Cite}
			if p.Cite.Conflict != "" && t.p.groupsDoubt.State != codebook.Given {
				d.Severity = diag.Warning
			}
		}
		r.Fails = append(r.Fails, d)
	}
	if p, q := t.p.groupsDoubt, t.p.groups; p.State == codebook.Given && int64(st.groups())*100 > p.Number && (q.State != codebook.Given || int64(st.groups())*100 <= q.Number) {
		// Within what this book is taken to allow, and over what others read in it.
		d := t.finding(on, t.net.RunOf(node).Def.At, "wet-vent-two-groups",
			t.net.RunOf(node).Name+": the fixtures on this wet vent make "+itoa(st.groups())+" bathroom groups; editions and authorities differ on whether more than "+p.Text+" may be", itoa(st.groups()), p.Text, "wet-vent")
		d.Severity = diag.Warning
		d.Try = "ask the authority, or give the second group a vent of its own"
		if p.Cite != nil {
			d.Cites = []diag.Cite{*p.Cite}
		}
		r.Fails = append(r.Fails, d)
	}
}

// uprightRules holds an upright wet vent against what the book lets drain through it and
// breathe by it.
func (t *tracer) uprightRules(f network.FixID, r *Reading, node network.SegID, on diag.Ref) {
	run := t.net.RunOf(node)
	over := r.Wet[len(r.Wet)-1]
	if p := t.p.uprightUnits; p.State == codebook.Given {
		t.trapsAbove(over, func(x network.FixID) {
			u := t.loads.Fixture[x].Units
			if x == f || int64(u)*100 <= p.Number*int64(unit.Unit) {
				return
			}
			d := t.finding(on, run.Def.At, "wet-vent-foreign-fixture", run.Name+": "+t.name(x)+" drains "+plural(u)+" into this upright wet vent; fixtures of "+p.Text+" units at most may", u.String(), p.Text, "wet-vent-vertical")
			d.Try = "let " + t.name(x) + " join below " + t.name(f) + ", or give " + t.name(f) + " a vent of its own"
			if p.Cite != nil {
				d.Cites = []diag.Cite{*p.Cite}
			}
			r.Fails = append(r.Fails, d)
		})
	}
	// What breathes by it: all but what has the dry vent at its top.
	most := t.p.uprightMost
	if most.State != codebook.Given {
		return
	}
	top := int32(1)
	if v := t.ups[node].ventSeg; v != network.None {
		top = max(top, t.ups[v].traps)
	}
	if breathe := int64(t.ups[node].traps - top); breathe*100 > most.Number {
		p, got := most, itoa(int(breathe))
		d := t.finding(on, run.Def.At, "wet-vent-too-many", run.Name+": "+got+" traps breathe through this upright wet vent; "+p.Text+" may", got, p.Text, "wet-vent-vertical")
		if p.Cite != nil {
			d.Cites = []diag.Cite{*p.Cite}
		}
		d.Try = "give one of them a vent of its own"
		r.Fails = append(r.Fails, d)
	}
}

// closetsLevel: water closets on an upright wet vent join at one height.
func (t *tracer) closetsLevel(r *Reading, f network.FixID, above *up, node network.SegID) {
	c := t.closetAbove(r, f, above)
	if c == network.None {
		return
	}
	n := t.net
	run, other := &n.Runs[n.Fixtures[f].Run], &n.Runs[n.Fixtures[c].Run]
	on := diag.Ref{What: diag.Run, Name: n.RunOf(node).Name, Segment: int32(node)}
	if run.Unsaid || other.Unsaid || !n.Segs[r.Wet[len(r.Wet)-1]].LengthKnown {
		r.ask("wet-vent-closet-levels", on, n.RunOf(node).Name+": two water closets join this upright wet vent, and whether at one height is not given",
			"do "+run.Name+" and "+other.Name+" join "+n.RunOf(node).Name+" at one height? write `at` for both", t.cite("wet-vent-vertical"))
		return
	}
	d := t.finding(on, run.Def.At, "wet-vent-closet-levels", run.Name+" joins the upright wet vent below the water closet "+other.Name+"; water closets on it join at one height", "", "", "wet-vent-vertical")
	d.Try = "bring both in at one height, or give " + run.Name + " a vent of its own"
	r.Fails = append(r.Fails, d)
}

// dryFixture holds the fixture whose own vent is the dry vent of a wet vent against those
// that the book lets be it.
func (t *tracer) dryFixture(r *Reading, st *up) {
	t.dryRoom(r, st)
	p, n := t.p.dryFrom, t.net
	if p.State != codebook.Given || st.ventSeg == network.None {
		return
	}
	var names []string
	for _, f := range t.dryVented(st.ventSeg) {
		k := n.Fixtures[f].Kind
		if !k.Has(classBath) {
			return // no bathroom fixture at all: said as that
		}
		for _, w := range p.Words {
			if k.Has(w) {
				return
			}
		}
		names = append(names, t.name(f)+", "+k.A())
	}
	if len(names) == 0 {
		return
	}
	v := &n.Vents[st.vent]
	d := t.finding(diag.Ref{What: diag.Vent, Name: v.Name, Segment: network.None}, v.Def.At, "wet-vent-dry-fixture",
		v.Name+" is the dry vent of "+strings.Join(names, " and ")+"; the dry vent of a wet vent is that of a "+either(p.Words), names[0], either(p.Words), "wet-vent-dry")
	if p.Cite != nil {
		d.Cites = []diag.Cite{*p.Cite}
	}
	d.Try = "take the dry vent off the drain of a " + either(p.Words)
	r.Fails = append(r.Fails, d)
}

// dryRoom: two fixtures whose common vent is the dry vent of a wet vent stand in one
// bathroom, where the book says so. It is asked only where the wet vent is for two.
func (t *tracer) dryRoom(r *Reading, st *up) {
	p, n := t.p.dryRoom, t.net
	if p.State != codebook.Given || !p.Yes || st.ventSeg == network.None {
		return
	}
	fs := t.dryVented(st.ventSeg)
	if len(fs) != 2 {
		return
	}
	a, b := n.Fixtures[fs[0]].Room, n.Fixtures[fs[1]].Room
	v := &n.Vents[st.vent]
	on := diag.Ref{What: diag.Vent, Name: v.Name, Segment: network.None}
	both := t.name(fs[0]) + " and " + t.name(fs[1])
	switch {
	case a != "" && a == b:
	case a == "" || b == "":
		if st.groups() < 2 {
			return
		}
		r.ask("wet-vent-dry-fixture", on, v.Name+" is the common vent of "+both+" and the dry vent of a wet vent for two bathrooms; whether both stand in one of them is not given",
			"in which bathroom does each of "+both+" stand? write `room`", t.cite("wet-vent-dry"))
	default:
		d := t.finding(on, v.Def.At, "wet-vent-dry-fixture", v.Name+" is the common vent of "+both+", which stand in two bathrooms ("+a+", "+b+"); as the dry vent of a wet vent they are of one", "", "", "wet-vent-dry")
		if p.Cite != nil {
			d.Cites = []diag.Cite{*p.Cite}
		}
		d.Why = "waste of the other bathroom runs past the only dry opening"
		d.Try = "give each of the two a vent of its own"
		r.Fails = append(r.Fails, d)
	}
}

// dryVented are the fixtures whose own drain a vent leaves at the upper end of s: the one on
// whose pipe it stands, else those that join alone right there.
func (t *tracer) dryVented(s network.SegID) []network.FixID {
	n := t.net
	if n.RunOf(s).Fixture != network.None && t.ups[s].traps == 1 {
		return []network.FixID{n.RunOf(s).Fixture}
	}
	var out []network.FixID
	for _, u := range n.Up(s) {
		if t.ups[u].traps == 1 && n.Segs[u].Run != n.Segs[s].Run {
			out = append(out, t.ups[u].second)
		}
	}
	return out
}

// either lists words with "or" before the last.
func either(words []string) string {
	if n := len(words); n > 1 {
		return strings.Join(words[:n-1], ", ") + " or " + words[n-1]
	}
	return strings.Join(words, "")
}

// stackOffset finds a piece of a waste stack, between where a trap joins at the upper end of
// node and the vent on top, that does not hang plumb; None when there is none.
func (t *tracer) stackOffset(node, top network.SegID, v network.VentID) network.SegID {
	n := t.net
	for s, hop := node, 0; s != top && hop < 4*maxHops; hop++ {
		next := network.SegID(network.None)
		for _, u := range n.Up(s) {
			if t.ups[u].vent == v && t.ups[u].ventSeg == top {
				next = u
				break
			}
		}
		if next == network.None {
			return network.None
		}
		s = next
		if seg := &n.Segs[s]; seg.Lie == network.Level || seg.Lie == network.Upright && seg.Way.Plumb != 0 {
			return s
		}
	}
	return network.None
}
