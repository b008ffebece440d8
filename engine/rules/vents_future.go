package rules

import (
	"trapweir/engine/check"
	"trapweir/engine/network"
)

// futureVent looks at the vents of fixtures that are roughed in for later. That there is one
// and how large it is, the reading of vents decides as for a fixture that stands.
var futureVent = &check.Rule{
	ID: "future-vent-capped", Family: "vents", Clause: "vent-future",
	Doc: "the vent of a fixture that is roughed in for later is tied into the vents now",
	Why: "once the wall is closed nobody finds a capped stub, and the fixture is set without a vent",
	Try: "run the vent on to the open air or into another vent, and label it",
	Run: func(p *check.Pass) {
		n := p.Net
		for i := range n.Fixtures {
			x := &n.Fixtures[i]
			if !x.Def.Future.V {
				continue
			}
			p.Looked(1)
			for v := range n.Vents {
				id := network.VentID(v)
				if end, _, _ := n.Outdoors(id); end != network.Capped {
					continue
				}
				for _, k := range n.Vents[v].Takes {
					if k.Run == x.Run {
						p.Fault(p.OnVent(id), n.Vents[v].Def.At, check.Say{Message: n.Vents[v].Name + ", the vent of " + n.Runs[x.Run].Name + ", which is roughed in for later, ends capped; it is tied in now"})
					}
				}
			}
		}
	},
}

// ventAsDrain looks at the dry pipe under an island: it fills when the drain stops, and must
// then drain by itself. Of other vents it looks at the fitting by which they leave a drain.
var ventAsDrain = &check.Rule{
	ID: "vent-not-as-drain", Family: "vents", Clause: "vent-as-drain",
	Doc: "an island's vent is laid like a drain where it runs under the flood rim: drainage bends, and fall; any vent leaves a drain by a drainage fitting",
	Why: "waste backs up into it at a stoppage and stays if the pipe does not drain",
	Try: "use drainage bends, and give the level part the fall of a drain of its size",
	Run: func(p *check.Pass) {
		n := p.Net
		said := map[network.VentID]bool{}
		loops(n, func(v network.VentID, x *network.Vent) {
			p.Looked(1)
			for _, w := range x.Def.Turns {
				if w.Text == "vent 90" {
					p.Fault(p.OnVent(v), x.Def.At, check.Say{Message: x.Name + ", the loop of an island, turns by a vent bend under the flood rim; bends there have the drainage pattern", Try: "turn it by long sweeps or by two 45 degree bends"})
					break
				}
			}
			for i := range n.Vents {
				o := network.VentID(i)
				if said[o] || !n.FootOf(v, o) {
					continue
				}
				said[o] = true
				footFall(p, o)
			}
		})
		fromDrains(n, func(v network.VentID, t takeoff) {
			x := &n.Vents[v]
			if len(t.dry) > 0 || t.Seg == network.None || x.Def.State.Text == "existing" {
				return
			}
			switch w := x.Def.Fitting; w.Text {
			case "":
			case "tee", "vent tee", "test tee", "saddle":
				p.Looked(1)
				p.Fault(p.OnVent(v), w.At, check.Say{Message: x.Name + " leaves the drain through a " + w.Text + "; what lies under the flood rim has the drainage pattern", Got: w.Text, Limit: "wye, combo or sanitary tee", Try: "let it leave through a drainage fitting"})
			default:
				p.Looked(1)
			}
		})
	},
}

// footFall holds the level part of a foot vent, up to where it first rises, against the fall
// of a drain of its size.
func footFall(p *check.Pass, v network.VentID) {
	d := p.Net.Vents[v].Def
	level := false
	for _, l := range d.Legs {
		if l.Way.Plumb <= 450 {
			break
		}
		level = true
	}
	tab, ok := p.Book.Table("min-slope")
	if !level || !ok {
		return
	}
	c := tab.Cell(p.Vents.Size[v].Size, "slope")
	if !c.Slope.Given() {
		return
	}
	name := p.Net.Vents[v].Name
	switch {
	case !d.Slope.V.Given():
		if d.State.Text != "existing" {
			p.Unchecked(p.OnVent(v), d.At, check.Say{Message: name + ", the foot vent of an island, runs level under the floor, and its fall is not given", Ask: "how much does the level part of " + name + " fall back to the drain? write its `slope`", Limit: c.Slope.In(p.Job.Units)})
		}
	case d.Slope.V.Cmp(c.Slope) < 0:
		p.Looked(1)
		p.Fault(p.OnVent(v), d.Slope.At, check.Say{Message: name + ", the foot vent of an island, falls " + d.Slope.V.In(p.Job.Units) + " under the floor; a drain of its size falls " + c.Slope.In(p.Job.Units), Got: d.Slope.V.In(p.Job.Units), Limit: c.Slope.In(p.Job.Units)})
	default:
		p.Looked(1)
	}
}

// valveInsulation looks at a valve in an attic.
var valveInsulation = &check.Rule{
	ID: "aav-in-insulation", Family: "vents", Clause: "aav-height",
	Doc: "an air admittance valve stands clear above the insulation of an attic",
	Why: "loose insulation shuts off its air and falls into its seal",
	Try: "raise the valve to {what the book asks} or more above the insulation",
	Run: func(p *check.Pass) {
		least := p.Param("aav.above-insulation")
		if !valvesAllowed(p) || !given(least) {
			return
		}
		valves(p.Net, func(v network.VentID, x *network.Vent) {
			h := x.Def.Valve.AboveInsulation
			if !h.Set {
				return
			}
			p.Looked(1)
			if h.V < least.Length {
				p.Fault(p.OnVent(v), h.At, check.Say{Message: x.Name + ": its valve stands " + h.V.Small(p.Job.Units) + " above the insulation; " + least.Length.Small(p.Job.Units) + " is the least", Got: h.V.Small(p.Job.Units), Limit: least.Length.Small(p.Job.Units), Cite: least.Cite})
			}
		})
	},
}

// terminalCovered looks at ends under a panel or a shroud, which have a height of their own
// in books that speak of them.
var terminalCovered = &check.Rule{
	ID: "vent-terminal-covered", Family: "terminals", Clause: "terminal-covered",
	Doc: "the covered end of a vent stands clear of the roof",
	Why: "under a cover the first ice or leaves on the roof close a low end",
	Try: "run it up to {what the book asks} or more above the roof under its cover, and see that the cover is open for at least the bore of the pipe",
	Run: func(p *check.Pass) {
		least := p.Param("terminal.covered-above-roof")
		if !given(least) {
			return
		}
		outdoors(p.Net, func(v network.VentID, x *network.Vent) {
			t := &x.Def.Terminal
			if x.End != network.ThroughRoof || !t.Covered.V {
				return
			}
			switch {
			case !t.AboveRoof.Set:
				p.Unchecked(p.OnVent(v), x.Def.At, check.Say{Message: x.Name + " ends under a cover, and how high above the roof is not given", Ask: "how high above the roof does " + x.Name + " end under its cover? write `above roof` under `terminal`", Limit: least.Length.Small(p.Job.Units), Cite: least.Cite})
			case t.AboveRoof.V < least.Length:
				p.Looked(1)
				p.Warn(p.OnVent(v), t.AboveRoof.At, check.Say{Message: x.Name + " ends " + t.AboveRoof.V.Small(p.Job.Units) + " above the roof under its cover; " + least.Length.Small(p.Job.Units) + " is the least, in the editions that have that rule", Got: t.AboveRoof.V.Small(p.Job.Units), Limit: least.Length.Small(p.Job.Units), Cite: least.Cite})
			default:
				p.Looked(1)
			}
		})
	},
}
