package rules

import (
	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// basins visits the runs that a pump pushes, each with its basin.
func basins(p *check.Pass, visit func(r *network.Run, on diag.Ref)) {
	for i := range p.Net.Runs {
		if r := &p.Net.Runs[i]; r.Def.Basin.Set && len(r.Segs) > 0 {
			visit(r, p.OnRun(network.RunID(i), r.Segs[0]))
		}
	}
}

// valveRule makes the rule for one of the two valves of a discharge.
func valveRule(p *check.Pass, param, device string, flag func(*network.Run) (v, set bool)) {
	if m := p.Param(param); !given(m) || !m.Yes {
		return
	}
	basins(p, func(r *network.Run, on diag.Ref) {
		v, set := flag(r)
		switch {
		case v || has(r, device):
			p.Looked(1)
		case set:
			p.Looked(1)
			p.Fault(on, r.Def.Basin.At, check.Say{Message: r.Name + ": the discharge has no " + device})
		default:
			p.Unchecked(on, r.Def.Basin.At, check.Say{Message: r.Name + ": whether the discharge has a " + device + " is not given", Ask: "is there a " + device + " in the discharge " + r.Name + "? write `" + device + ": true` under `basin`"})
		}
	})
}

var sumpCheckValve = &check.Rule{
	ID: "sump-check-valve-missing", Family: "pumps", Clause: "sump-valves",
	Doc: "the discharge of a pump has a check valve",
	Why: "without it the pipe runs back into the basin, and the pump never rests",
	Try: "put a check valve in the discharge, near the pump",
	Run: func(p *check.Pass) {
		valveRule(p, "sump.check-valve", "check valve", func(r *network.Run) (bool, bool) { return r.Def.Basin.Check.V, r.Def.Basin.Check.Set })
	},
}

var sumpFullOpen = &check.Rule{
	ID: "sump-full-open-valve-missing", Family: "pumps", Clause: "sump-valves",
	Doc: "a full-open valve stands after the check valve of a pump",
	Why: "without it the check valve cannot be taken out but against the whole pipe",
	Try: "put a full-open valve on the street side of the check valve",
	Run: func(p *check.Pass) {
		valveRule(p, "sump.full-open-valve", "full-open valve", func(r *network.Run) (bool, bool) { return r.Def.Basin.Full.V, r.Def.Basin.Full.Set })
	},
}

var sumpCover = &check.Rule{
	ID: "sump-cover-not-gastight", Family: "pumps", Clause: "sump-pit",
	Doc: "the basin of a sewage pump has a gastight cover",
	Why: "sewer gas comes up into the room",
	Try: "bolt down a cover with a seal, and vent the basin",
	Run: func(p *check.Pass) {
		basins(p, func(r *network.Run, on diag.Ref) {
			switch c := r.Def.Basin.Cover; {
			case c.Text == "gastight", c.Text == "" && r.Def.Basin.Macerator.V:
				p.Looked(1)
			case c.Text == "":
				p.Unchecked(on, r.Def.Basin.At, check.Say{Message: r.Name + ": what covers the basin is not given", Ask: "is the cover of the basin bolted down and sealed? write `cover: gastight` under `basin`"})
			default:
				p.Looked(1)
				p.Fault(on, c.At, check.Say{Message: r.Name + ": the cover of the basin is " + c.Text + "; it must be gastight", Got: c.Text, Limit: "gastight"})
			}
		})
	},
}

var sumpUnvented = &check.Rule{
	ID: "sump-unvented", Family: "pumps", Clause: "sump-vented",
	Doc: "the basin of a pump has a vent of its own to the open air",
	Why: "a sealed basin cannot fill or be pumped out without air, and pulls it through the nearest traps",
	Try: "run a vent from the basin to the open air, or into a vent above the flood rims",
	Run: func(p *check.Pass) {
		// A job that draws no vents is asked about them once, all together.
		if len(p.Net.Vents) == 0 {
			return
		}
		vented := make(map[network.SegID]bool)
		for i := range p.Net.Vents {
			for _, k := range p.Net.Vents[i].Takes {
				if k.Seg != network.None {
					vented[k.Seg] = true
				}
			}
		}
		basins(p, func(r *network.Run, on diag.Ref) {
			switch {
			case vented[r.Segs[0]]:
				p.Looked(1)
			case existing(r):
				p.Unchecked(on, r.Def.Basin.At, check.Say{Message: r.Name + ": no vent of its basin is drawn", Ask: "does a vent leave the basin of " + r.Name + ", and where does it end? draw it: `vents: {basin vent: {from: " + r.Name + ", existing: true, ends: through roof}}`"})
			default:
				p.Looked(1)
				p.Fault(on, r.Def.Basin.At, check.Say{Message: r.Name + ": no vent leaves its basin"})
			}
		})
	},
}

// ejectorApart: the vent of an ejector that air pushes goes to the open air by itself.
var ejectorApart = &check.Rule{
	ID: "pneumatic-vent-apart", Family: "pumps", Clause: "sump-vent",
	Doc: "the vent of an ejector that air pushes joins no other vent",
	Why: "each push of it blows the traps that breathe through the same pipe",
	Try: "run it to the open air by itself",
	Run: func(p *check.Pass) {
		m := p.Param("sump-vent.pneumatic-min")
		if !given(m) {
			return
		}
		for i := range p.Net.Vents {
			x := &p.Net.Vents[i]
			for _, k := range x.Takes {
				if k.Seg == network.None || !p.Net.Segs[k.Seg].Basin || !p.Net.RunOf(k.Seg).Def.Basin.Pneumatic.V {
					continue
				}
				p.Looked(1)
				on := p.OnVent(network.VentID(i))
				switch {
				case x.End == network.JoinsVent:
					p.Fault(on, x.Def.At, check.Say{Message: x.Name + " vents an ejector that air pushes, and joins " + p.Net.Vents[x.Into].Name, Cite: m.Cite})
				case len(x.Feeds) > 0 || len(x.Takes) > 1:
					p.Fault(on, x.Def.At, check.Say{Message: x.Name + " vents an ejector that air pushes, and something else besides", Cite: m.Cite})
				}
			}
		}
	},
}

// atLeast judges a measure of a basin, and asks for it when it is not given.
func atLeast(p *check.Pass, r *network.Run, on diag.Ref, have unit.Length, set bool, limit codebook.Param, what, ask string) {
	switch {
	case !given(limit):
	case !set:
		p.Unchecked(on, r.Def.Basin.At, check.Say{Message: r.Name + ": " + what + " is not given", Ask: ask, Limit: limit.Length.Small(p.Job.Units), Cite: limit.Cite})
	case have < limit.Length:
		p.Looked(1)
		p.Fault(on, r.Def.Basin.At, check.Say{Message: r.Name + ": " + what + " is " + have.Small(p.Job.Units) + "; " + limit.Length.Small(p.Job.Units) + " is the least", Got: have.Small(p.Job.Units), Limit: limit.Length.Small(p.Job.Units), Cite: limit.Cite})
	default:
		p.Looked(1)
	}
}

var sumpPit = &check.Rule{
	ID: "sump-pit", Family: "pumps", Clause: "sump-pit",
	Doc: "the basin of a pump is wide and deep enough",
	Why: "a pump in a small basin starts and stops until it burns out",
	Try: "take a basin with {what the book asks} or more there",
	Run: func(p *check.Pass) {
		wide, deep := p.Param("sump.pit-width"), p.Param("sump.pit-depth")
		basins(p, func(r *network.Run, on diag.Ref) {
			b := &r.Def.Basin
			if b.Macerator.V {
				p.Looked(1)
				return // the unit is the closet's, with no pit
			}
			if !b.Diameter.Set && !b.Depth.Set && (given(wide) || given(deep)) {
				p.Unchecked(on, b.At, check.Say{Message: r.Name + ": the size of the basin is not given", Ask: "how wide and how deep is the basin inside? write `diameter` and `depth` under `basin`", Cite: wide.Cite})
				return
			}
			atLeast(p, r, on, b.Diameter.V, b.Diameter.Set, wide, "the width of the basin", "how wide is the basin inside? write `diameter` under `basin`")
			atLeast(p, r, on, b.Depth.V, b.Depth.Set, deep, "the depth of the basin", "how deep is the basin inside? write `depth` under `basin`")
		})
	},
}

var sumpInlet = &check.Rule{
	ID: "sump-inlet-low", Family: "pumps", Clause: "sump-inlet",
	Doc: "the inlet of a basin lies above its high water",
	Why: "else the drain into it stands full at every cycle",
	Try: "set the float lower, or take a deeper basin, so that {what the book asks} or more lies between",
	Run: func(p *check.Pass) {
		limit := p.Param("sump.inlet-above")
		basins(p, func(r *network.Run, on diag.Ref) {
			if r.Def.Basin.Macerator.V {
				p.Looked(1)
				return
			}
			h := r.Def.Basin.InletAboveHigh
			atLeast(p, r, on, h.V, h.Set, limit, "the height of the inlet above high water", "how high is the inlet of the basin above the highest water? write `inlet above high water` under `basin`")
		})
	},
}

var pumpFlow = &check.Rule{
	ID: "pump-flow-short", Family: "pumps", Clause: "pump-flow",
	Doc: "a pump delivers enough to keep its discharge clean",
	Why: "in a slow discharge solids settle and close it",
	Try: "take a pump that delivers {what the book asks} or more, or a smaller discharge if the book allows it",
	Run: func(p *check.Pass) {
		floor := p.Param("sump.min-flow")
		tab, _ := p.Book.Table("pump-capacity")
		basins(p, func(r *network.Run, on diag.Ref) {
			b := &r.Def.Basin
			if b.Pump.V == 0 {
				return // asked for by the sum of loads
			}
			need, cite := floor.Flow, floor.Cite
			size := p.Sizes.Size[r.Segs[0]]
			if b.Macerator.V || b.Pneumatic.V {
				p.Looked(1)
				return // a unit of its maker's, which the book's flows are not for
			}
			if tab != nil && !b.Grinder.V && len(tab.Columns) > 0 {
				if c := p.Book.Cell("pump-capacity", size, tab.Columns[0]); c.State == codebook.Given {
					need, cite = unit.Flow(int64(c.Load)*int64(unit.GPM)/int64(unit.Unit)), tab.Cite
				}
			}
			if need == 0 {
				p.Unchecked(on, b.At, check.Say{Message: r.Name + ": the book has no least flow for a " + size.String() + " discharge", Ask: "which flow does the authority ask of a pump with a " + size.String() + " discharge?"})
				return
			}
			p.Looked(1)
			if b.Pump.V < need {
				p.Fault(on, b.Pump.At, check.Say{Message: r.Name + ": the pump delivers " + b.Pump.V.String() + "; a " + size.String() + " discharge asks for " + need.String(), Got: b.Pump.V.String(), Limit: need.String(), Cite: cite})
			}
		})
	},
}

var pumpSolids = &check.Rule{
	ID: "pump-solids", Family: "pumps", Clause: "pump-solids",
	Doc: "a pump passes the solids that come to it",
	Why: "what it cannot pass stops it",
	Try: "take a pump that passes solids of {what the book asks}, or a grinder",
	Run: func(p *check.Pass) {
		closet, other := p.Param("sump.solids-closet"), p.Param("sump.solids-other")
		basins(p, func(r *network.Run, on diag.Ref) {
			b := &r.Def.Basin
			if b.Grinder.V || b.Macerator.V {
				p.Looked(1)
				return
			}
			limit := other
			for _, u := range p.Net.Up(r.Segs[0]) {
				if n, _ := p.Loads.Count(u, "water closet"); n > 0 {
					limit = closet
				}
			}
			atLeast(p, r, on, b.Solids.V, b.Solids.Set, limit, "the largest solid that the pump passes", "which solids does the pump pass? write `solids: 2\"` under `basin`")
		})
	},
}

var pumpCurve = &check.Rule{
	ID: "ask-pump-curve", Family: "pumps",
	Doc: "the flow of a pump is the one at its real head",
	Why: "the flow printed on the box is at no head at all",
	Try: "read the flow off the pump's curve at lift and friction together",
	Run: func(p *check.Pass) {
		basins(p, func(r *network.Run, on diag.Ref) {
			if b := &r.Def.Basin; b.Pump.V > 0 {
				p.Looked(1)
				at := ""
				if b.Head.Set {
					at = " at a head of " + b.Head.V.In(p.Job.Units)
				}
				p.Note(on, b.Pump.At, check.Say{Message: r.Name + ": " + b.Pump.V.String() + " is counted; is that the flow on the pump's curve" + at + ", friction included?", Got: b.Pump.V.String()})
			}
		})
	},
}

// gravityIntoSump compares floors: what stands on a floor over the drain that the pump
// lifts to could run there by itself.
var gravityIntoSump = &check.Rule{
	ID: "gravity-fixture-into-sump", Family: "pumps", Clause: "sump-gravity",
	Doc: "only what cannot drain by gravity goes to the pump",
	Why: "when the power fails, the upper floors flood the basin",
	Try: "let it join the house drain by gravity",
	Run: func(p *check.Pass) {
		n := p.Net
		basins(p, func(r *network.Run, on diag.Ref) {
			into := n.Segs[r.Segs[len(r.Segs)-1]].Down
			lowest := lowestFloor(p, r)
			for i := range n.Fixtures {
				f := &n.Fixtures[i]
				if !passes(n, f.Seg, r.Segs[0]) {
					continue
				}
				run := &n.Runs[f.Run]
				ref := p.OnFixture(network.FixID(i))
				var say check.Say
				switch {
				case into != network.None && p.Levels.CentreUp[into].Known && p.Levels.InvertUp[f.Seg].Known:
					p.Looked(1)
					if p.Levels.InvertUp[f.Seg].V <= p.Levels.CentreUp[into].V {
						continue
					}
					say.Message = run.Name + " begins " + (p.Levels.InvertUp[f.Seg].V - p.Levels.CentreUp[into].V).In(p.Job.Units) + " over the drain that the pump lifts to, and could run there by gravity"
				case f.Level >= 0 && n.Job.Levels[f.Level].Floor.Set && lowest.ok && into != network.None && p.Levels.CentreUp[into].Known:
					p.Looked(1)
					if n.Job.Levels[f.Level].Floor.V <= p.Levels.CentreUp[into].V+slack {
						continue
					}
					say.Message = run.Name + " stands on a floor over the drain that the pump lifts to, and could run there by gravity"
				case f.Level >= 0 && n.Job.Levels[f.Level].Floor.Set && lowest.ok:
					p.Looked(1)
					if n.Job.Levels[f.Level].Floor.V <= lowest.v {
						continue
					}
					p.Unchecked(ref, run.Def.At, check.Say{Message: run.Name + " goes to the pump and stands on a higher floor than the rest", Ask: "does the house drain lie below the floor of " + run.Name + "? give the invert of the house drain"})
					continue
				default:
					p.Looked(1)
					continue
				}
				if existing(run) {
					say.Message += "; it is existing work"
					p.Warn(ref, run.Def.At, say)
					continue
				}
				p.Fault(ref, run.Def.At, say)
			}
		})
	},
}

type height struct {
	v  unit.Length
	ok bool
}

// lowestFloor is the lowest floor of what drains into a basin.
func lowestFloor(p *check.Pass, r *network.Run) (low height) {
	n := p.Net
	for i := range n.Fixtures {
		f := &n.Fixtures[i]
		if f.Level < 0 || !n.Job.Levels[f.Level].Floor.Set || !passes(n, f.Seg, r.Segs[0]) {
			continue
		}
		if v := n.Job.Levels[f.Level].Floor.V; !low.ok || v < low.v {
			low = height{v, true}
		}
	}
	return low
}
