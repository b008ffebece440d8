package vent

import (
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/network"
)

// isVentStack: the job calls it a vent stack; or it does not say, and the vent leaves a stack at
// its foot or the drain close past that, or off the stack and goes to the open air by itself.
// One that leaves a stack and ends in another vent is a vent stack where nothing drains into
// the stack below it; higher up it is a relief vent.
func (t *tracer) isVentStack(v network.VentID) bool {
	x := &t.net.Vents[v]
	if x.Def.Role.Text != "" {
		return x.Def.Role.Text == "vent stack"
	}
	for _, k := range x.Takes {
		foot, ok := t.footFor(v, k)
		if !ok {
			continue
		}
		if _, on := t.footUnder(k); !on || k.Lower {
			return true
		}
		if t.amid(k) && (x.End != network.JoinsVent || t.loads.Units[k.Seg] == t.loads.Units[foot]) {
			return true
		}
	}
	return false
}

// reliefs makes the vents that join a stack, below its top, to its vent stack as large as that,
// where the book asks it: relief vents of tall stacks and those about offsets. On a stack so
// tall that it needs them one is asked about that joins what is not known to be a vent stack.
func (t *tracer) reliefs() {
	n := t.net
	p := t.book.Param("relief-vent.as-vent-stack")
	if p.State != codebook.Given || !p.Yes {
		return
	}
	tall := t.book.Param("relief-vent.intervals")
	for i := range n.Vents {
		v := network.VentID(i)
		for _, k := range n.Vents[i].Takes {
			foot, ok := t.footUnder(k)
			if n.Vents[i].End != network.JoinsVent || !ok || !t.amid(k) || t.isVentStack(v) {
				continue
			}
			stack := n.RunOf(foot).Name
			if vs := t.ventStackPast(v, foot); vs != network.None {
				t.enlarge(v, t.out.Size[vs].Required, "relief", "a relief vent between "+stack+" and its vent stack "+n.Vents[vs].Name+" is as large as that", p.Cite)
				continue
			}
			if to := &n.Vents[n.Vents[i].Into]; tall.State == codebook.Given && int64(t.loads.Intervals[foot])*100 > tall.Number && to.Def.Role.Text == "" && len(to.Takes) > 0 {
				d := t.finding(diag.Ref{What: diag.Vent, Name: n.Vents[i].Name, Segment: network.None}, n.Vents[i].Def.At, "vent-undersized",
					n.Vents[i].Name+" leaves "+stack+" below its top and joins "+to.Name+"; a relief vent is as large as the vent stack, and whether "+to.Name+" is that of "+stack+" is not given", "", "", "")
				d.Severity, d.Ask = diag.Unchecked, "is "+to.Name+" the vent stack of "+stack+"? write `role: vent stack`"
				if p.Cite != nil {
					d.Cites = []diag.Cite{*p.Cite}
				}
				t.diags = append(t.diags, d)
			}
		}
	}
}

// ventStackPast is the vent stack of a stack that a vent comes to on its way to the open air,
// under any of the names that it has by then; None for none.
func (t *tracer) ventStackPast(v network.VentID, foot network.SegID) network.VentID {
	found := network.VentID(network.None)
	look := func(u network.VentID) {
		if f, ok := t.footOf(u); ok && f == foot && u != v && found == network.None && t.isVentStack(u) {
			found = u
		}
	}
	for _, to := range t.net.Path(v)[1:] {
		if look(to); found != network.None {
			break
		}
		if len(t.net.Vents[to].Takes) == 0 { // what it goes on from
			t.feeding(to, len(t.net.Vents), look)
		}
	}
	return found
}
