package rules

import (
	"slices"
	"strconv"

	"trapweir/engine/check"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// valves visits the vents that end in an air admittance valve.
func valves(n *network.Net, visit func(v network.VentID, x *network.Vent)) {
	for i := range n.Vents {
		if n.Vents[i].End == network.AirAdmittanceValve {
			visit(network.VentID(i), &n.Vents[i])
		}
	}
}

// valvesAllowed: the rules on how a valve stands only speak where valves are accepted.
func valvesAllowed(p *check.Pass) bool {
	a := p.Param("aav.allowed")
	return !given(a) || a.Yes
}

// barredThere: a valve on the basin of a pump, where the book wants none: how it stands does not
// matter.
func barredThere(p *check.Pass, x *network.Vent) bool {
	m := p.Param("aav.sump")
	return given(m) && !m.Yes && slices.ContainsFunc(x.Takes, func(t network.Takeoff) bool {
		return t.Seg != network.None && p.Net.Segs[t.Seg].Basin
	})
}

var valveProhibited = &check.Rule{
	ID: "aav-prohibited", Family: "vents", Clause: "aav",
	Doc: "air admittance valves stand only where the book, or the authority, accepts them",
	Why: "a book that does not name them leaves them to the authority, in writing",
	Try: "run the vent to the open air, or get the authority's consent in writing",
	Run: func(p *check.Pass) {
		a := p.Param("aav.allowed")
		valves(p.Net, func(v network.VentID, x *network.Vent) {
			p.Looked(1)
			if given(a) && !a.Yes {
				p.Fault(p.OnVent(v), x.Def.Ends.At, check.Say{Message: x.Name + " ends in an air admittance valve, which this book does not accept as a vent", Cite: a.Cite})
			}
		})
	},
}

// valveHeight measures from the centre of the drain that is vented, after the trap, not
// from a tailpiece or a disposer's outlet.
var valveHeight = &check.Rule{
	ID: "aav-too-low", Family: "vents", Clause: "aav-height",
	Doc: "an air admittance valve stands high enough over the drain that it vents; one on a stack over the highest rim",
	Why: "a valve that waste reaches fouls and stays open",
	Try: "raise the valve to {what the book asks} or more there",
	Run: func(p *check.Pass) {
		if !valvesAllowed(p) {
			return
		}
		branch, stack := p.Param("aav.above-drain"), p.Param("aav.above-rim-stack")
		valves(p.Net, func(v network.VentID, x *network.Vent) {
			d := x.Def
			on := p.OnVent(v)
			if barredThere(p, x) {
				return
			}
			if d.Valve.Kind.Text == "stack" || d.Role.Text == "stack vent" {
				switch {
				case !given(stack):
				case !d.Valve.AbvRim.Set:
					p.Unchecked(on, d.At, check.Say{
						Message: x.Name + ": how high its valve stands above the highest flood rim is not given",
						Ask:     "how high above the highest flood rim served does the valve of " + x.Name + " stand? write `above rim` under `valve`", Limit: stack.Length.Small(p.Job.Units), Cite: stack.Cite,
					})
				case d.Valve.AbvRim.V < stack.Length:
					p.Looked(1)
					p.Fault(on, d.Valve.AbvRim.At, check.Say{Message: x.Name + ": its valve stands " + d.Valve.AbvRim.V.Small(p.Job.Units) + " above the highest flood rim; " + stack.Length.Small(p.Job.Units) + " is the least", Got: d.Valve.AbvRim.V.Small(p.Job.Units), Limit: stack.Length.Small(p.Job.Units), Cite: stack.Cite})
				default:
					p.Looked(1)
				}
				return
			}
			if !given(branch) {
				return
			}
			h, ok := valveOver(d)
			if !ok {
				h, ok = lowestRise(p.Net, v)
			}
			switch {
			case !ok:
				p.Unchecked(on, d.At, check.Say{
					Message: x.Name + ": how high its valve stands above the drain is not given",
					Ask:     "how many inches is it from the centre line of the drain after the trap up to the valve of " + x.Name + "? write `above arm` under `valve`", Limit: branch.Length.Small(p.Job.Units), Cite: branch.Cite,
				})
			case h < branch.Length:
				p.Looked(1)
				p.Fault(on, d.At, check.Say{Message: x.Name + ": its valve stands " + h.Small(p.Job.Units) + " above the drain; " + branch.Length.Small(p.Job.Units) + " is the least", Got: h.Small(p.Job.Units), Limit: branch.Length.Small(p.Job.Units), Cite: branch.Cite})
			default:
				p.Looked(1)
			}
		})
	},
}

// lowestRise is the least height of a vent's end over any drain that breathes through it.
func lowestRise(n *network.Net, end network.VentID) (least unit.Length, ok bool) {
	fromDrains(n, func(v network.VentID, t takeoff) {
		path := follow(n, v, t)
		last := len(path.ids) - 1
		if path.ids[last] != end || !path.exact[last] {
			return
		}
		if h := path.ends[last]; !ok || h < least {
			least, ok = h, true
		}
	})
	return least, ok
}

var valveReach = &check.Rule{
	ID: "aav-inaccessible", Family: "vents", Clause: "aav-reach",
	Doc: "an air admittance valve can be reached and gets air",
	Why: "valves wear out; one that nobody can reach fails unseen",
	Try: "put it where it can be reached and air comes to it: in a cabinet, or behind a grille",
	Run: func(p *check.Pass) {
		if !valvesAllowed(p) {
			return
		}
		valves(p.Net, func(v network.VentID, x *network.Vent) {
			d := x.Def
			on := p.OnVent(v)
			switch {
			case d.Valve.Reach.Text == "concealed":
				p.Looked(1)
				p.Fault(on, d.Valve.Reach.At, check.Say{Message: x.Name + ": its valve cannot be reached"})
			case d.Valve.Ventilated.Set && !d.Valve.Ventilated.V:
				p.Looked(1)
				p.Fault(on, d.Valve.Ventilated.At, check.Say{Message: x.Name + ": no air comes to its valve"})
			default:
				p.Looked(1)
			}
		})
	},
}

// valveAccess reminds of the reach wherever a job does not speak of it.
var valveAccess = &check.Rule{
	ID: "aav-needs-access", Family: "vents", Clause: "aav-reach",
	Doc: "it is known that an air admittance valve can be reached and gets air",
	Why: "valves wear out; one that nobody can reach fails unseen",
	Run: func(p *check.Pass) {
		if !valvesAllowed(p) {
			return
		}
		valves(p.Net, func(v network.VentID, x *network.Vent) {
			p.Looked(1)
			if x.Def.Valve.Reach.Text != "" || barredThere(p, x) {
				return
			}
			p.Unchecked(p.OnVent(v), x.Def.At, check.Say{
				Message: x.Name + ": keep its valve within reach and let air come to it",
				Ask:     "can the valve of " + x.Name + " be reached without cutting a finish, and does air come to it? write `reach: accessible` and `ventilated: true` under `valve`",
			})
		})
	},
}

var valveFloors = &check.Rule{
	ID: "aav-other-floor", Family: "vents", Clause: "aav-branch",
	Doc: "a branch valve serves fixtures of one floor",
	Why: "waste from above puts pressure on it, which the valve cannot let out",
	Try: "give each floor a valve of its own",
	Run: func(p *check.Pass) {
		if m := p.Param("aav.same-floor"); !valvesAllowed(p) || !given(m) || !m.Yes {
			return
		}
		valves(p.Net, func(v network.VentID, x *network.Vent) {
			if x.Def.Valve.Kind.Text == "stack" || x.Def.Role.Text == "stack vent" {
				return
			}
			floors := map[int32]bool{}
			unknown := false
			for _, f := range p.Vents.Size[v].Serves {
				l := p.Net.Fixtures[f].Level
				if l == network.None {
					unknown = true
				} else {
					floors[l] = true
				}
			}
			switch {
			case len(floors) > 1:
				p.Looked(1)
				p.Fault(p.OnVent(v), x.Def.At, check.Say{Message: x.Name + ": its valve serves fixtures on " + strconv.Itoa(len(floors)) + " floors", Got: strconv.Itoa(len(floors)), Limit: "1"})
			case unknown && len(floors) > 0:
				p.Unchecked(p.OnVent(v), x.Def.At, check.Say{Message: x.Name + ": some of the fixtures that its valve serves are on no level", Ask: "on which level does each fixture stand that " + x.Name + " serves? write `level`"})
			default:
				p.Looked(1)
			}
		})
	},
}

var valveOnSump = &check.Rule{
	ID: "aav-on-sump", Family: "vents", Clause: "aav-barred",
	Doc: "no air admittance valve vents the basin of a pump",
	Why: "a basin must let air out while it fills, and a valve only lets it in",
	Try: "run the basin's vent to the open air",
	Run: func(p *check.Pass) {
		m := p.Param("aav.sump")
		for i := range p.Net.Vents {
			for _, t := range p.Net.Vents[i].Takes {
				if t.Seg == network.None || !p.Net.Segs[t.Seg].Basin {
					continue
				}
				p.Looked(1)
				switch end, _, _ := p.Net.Outdoors(network.VentID(i)); {
				case end == network.AirAdmittanceValve && given(m) && !m.Yes:
					p.Fault(p.OnVent(network.VentID(i)), p.Net.Vents[i].Def.At, check.Say{Message: p.Net.Vents[i].Name + ": a valve vents the basin of a pump", Cite: m.Cite})
				case end == network.EndUnknown:
					p.Unchecked(p.OnVent(network.VentID(i)), p.Net.Vents[i].Def.At, check.Say{Message: p.Net.Vents[i].Name + ": where the vent of the basin ends is not given", Ask: "where does the vent of the basin end? write `ends`"})
				}
			}
		}
	},
}

// ends are the vents of a job by how they end; those of what a pump lifts are left out.
type ends struct{ open, unknown, valve open }

func endsOf(p *check.Pass) (e ends) {
	n := p.Net
	for i := range n.Vents {
		v := network.VentID(i)
		x := &n.Vents[i]
		switch {
		case n.Pumped(v):
		case x.End == network.ThroughRoof, x.End == network.SideWall:
			e.open.add(x.Name, p.OnVent(v), x.Def.At)
		case x.End == network.EndUnknown:
			e.unknown.add(x.Name, p.OnVent(v), x.Def.At)
		case x.End == network.AirAdmittanceValve:
			e.valve.add(x.Name, p.OnVent(v), x.Def.At)
		}
	}
	return e
}

// openAir: in a house that is drawn whole it is certain when no vent ends outdoors; in a
// part of one it must be asked. Where valves end the vents, the rule below speaks.
var openAir = &check.Rule{
	ID: "no-open-air-vent", Family: "vents", Clause: "vent-outdoors",
	Doc: "at least one vent of the house ends in the open air",
	Why: "pressure must leave somewhere, and valves only let air in",
	Try: "take one vent through the roof",
	Run: func(p *check.Pass) {
		n := p.Net
		e := endsOf(p)
		if len(n.Fixtures) == 0 {
			return
		}
		p.Looked(1)
		switch {
		case len(e.open.names) > 0, len(e.valve.names) > 0:
		case len(e.unknown.names) > 0:
			e.unknown.ask(p, check.Say{
				Message: "where this vent ends is not given, and no other one ends in the open air",
				Ask:     "where does " + e.unknown.list() + " end? write `ends: through roof`, or what it joins",
			})
		case whole(n):
			p.Fault(p.OnRun(n.Segs[n.Outlet].Run, n.Outlet), n.Job.Title.At, check.Say{Message: "no vent of this house ends in the open air"})
		}
	},
}

// mainVentSize: one vent to the open air is at least half of the building drain. Certain
// only where the house seems drawn whole; in a part of one another vent may be the main one.
var mainVentSize = &check.Rule{
	ID: "main-vent-small", Family: "vents", Clause: "vent-outdoors",
	Doc: "one vent that ends in the open air is at least half of the building drain",
	Why: "the whole house breathes through it",
	Try: "enlarge one vent, from the drain to the roof, to half of the building drain or more",
	Run: func(p *check.Pass) {
		n := p.Net
		if m := p.Param("vent.main-half-of-building-drain"); !given(m) || !m.Yes || len(n.Fixtures) == 0 {
			return
		}
		// The sewer outside may be larger by a rule of its own; the building drain counts.
		drain := unit.Size(0)
		for i := range n.Segs {
			if n.Segs[i].Role == network.BuildingDrain {
				drain = max(drain, p.Sizes.Required[i])
			}
		}
		if drain == 0 {
			drain = p.Sizes.Required[n.Outlet]
		}
		best, size := network.VentID(network.None), unit.Size(0)
		outdoors(n, func(v network.VentID, _ *network.Vent) {
			if have := p.Vents.Size[v].Size; !n.Pumped(v) && have > size {
				best, size = v, have
			}
		})
		if best == network.None {
			return
		}
		p.Looked(1)
		if 2*size >= drain {
			return
		}
		s := check.Say{
			Message: n.Vents[best].Name + ", the largest vent to the open air, is " + size.String() + "; the building drain is required in " + drain.String() + ", and one vent is at least half of that",
			Got:     size.String(), Limit: "half of " + drain.String(), Cite: p.Param("vent.main-half-of-building-drain").Cite,
			Try: "enlarge one vent, from the drain to the roof, to " + halfOf(drain).String() + " or more",
		}
		if whole(n) {
			p.Fault(p.OnVent(best), n.Vents[best].Def.At, s)
			return
		}
		s.Ask = "is there a vent to the open air in this house of at least half of the building drain?"
		p.Unchecked(p.OnVent(best), n.Vents[best].Def.At, s)
	},
}

// halfOf is the smallest nominal size that is at least half of another.
func halfOf(s unit.Size) unit.Size {
	z := unit.Size(unit.Inch)
	for 2*z < s {
		next, ok := unit.NextSize(z)
		if !ok {
			return s
		}
		z = next
	}
	return z
}

var valvesNeedOpenAir = &check.Rule{
	ID: "aav-needs-open-air-vent", Family: "vents", Clause: "aav-open-air",
	Doc: "where valves are used, one vent of the house still ends in the open air",
	Why: "a valve lets air in and nothing out; pressure from the sewer then comes up through the traps",
	Try: "take one vent through the roof",
	Run: func(p *check.Pass) {
		e := endsOf(p)
		if m := p.Param("aav.open-air-vent"); !valvesAllowed(p) || !given(m) || !m.Yes || len(e.valve.names) == 0 {
			return
		}
		p.Looked(1)
		if len(e.open.names) > 0 {
			return
		}
		s := check.Say{Message: "every vent drawn ends in a valve; one vent of the house must end in the open air"}
		if whole(p.Net) && len(e.unknown.names) == 0 {
			s.Message = e.valve.list() + ": " + s.Message
			p.Fault(e.valve.on, e.valve.at, s)
			return
		}
		s.Ask = "is there at least one vent of this house that ends in the open air, above the roof or at a wall?"
		e.valve.ask(p, s)
	},
}
