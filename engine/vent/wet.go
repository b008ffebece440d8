package vent

import (
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
	d := t.finding(on, run.Def.At, "wet-vent-two-groups", run.Name+": "+itoa(int(st.closets))+" water closets on this wet vent; the book allows "+p.Text, itoa(int(st.closets)), p.Text, "wet-vent")
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
		d.Got = x.Length.String()
		d.Ask = "how long may a " + x.Size.String() + " vent be for " + plural(x.Units) + "? vent " + name + ", the longest, is " + x.Length.String()
	}
	t.diags = append(t.diags, d)
}
