package rules

import (
	"trapweir/engine/check"
	"trapweir/engine/network"
)

var untrappedFixture = &check.Rule{
	ID: "untrapped-fixture", Family: "traps", Clause: "trap-each",
	Doc: "every fixture drains through a trap",
	Why: "a drain without a trap lets sewer gas into the room, or into the machine that hangs on it",
	Try: "give it a trap of its own with a vent, or let it empty above the trap of a sink",
	Run: func(p *check.Pass) {
		for i := range p.Net.Fixtures {
			f := &p.Net.Fixtures[i]
			p.Looked(1)
			if f.Def.TrapType.Text == "none" {
				run := &p.Net.Runs[f.Run]
				p.Fault(p.OnFixture(network.FixID(i)), f.Def.TrapType.At, check.Say{Message: run.Name + ": this " + f.Kind.Name + " drains without a trap"})
			}
		}
	},
}

var doubleTrap = &check.Rule{
	ID: "double-trap", Family: "traps", Clause: "double-trap",
	Doc: "no fixture drains through two traps",
	Why: "the air between two traps cannot leave, and the fixture drains in gulps or not at all",
	Try: "take the second trap out; the one in the fixture is enough",
	Run: func(p *check.Pass) {
		for i := range p.Net.Fixtures {
			f := &p.Net.Fixtures[i]
			if !f.Kind.Integral {
				continue
			}
			p.Looked(1)
			switch t := f.Def.TrapType.Text; t {
			case "p", "s", "drum", "bell", "running":
				run := &p.Net.Runs[f.Run]
				p.Fault(p.OnFixture(network.FixID(i)), f.Def.TrapType.At, check.Say{Message: run.Name + ": a " + f.Kind.Name + " has its trap built in, and a second one (" + t + ") is drawn below it"})
			}
		}
	},
}

// barredTraps judges the type of trap that the job states. An S-trap is reported under the
// id that the reading of vents uses for one that it finds in the layout.
var barredTraps = &check.Rule{
	ID: "drum-trap", Family: "traps", Clause: "trap-barred",
	Doc: "no trap is of a barred type: drum, bell and the like",
	Why: "such traps clog, cannot be cleaned, or lose their seal",
	Try: "put a P-trap in its place",
	Run: func(p *check.Pass) {
		barred := p.Param("trap.barred-types")
		for i := range p.Net.Fixtures {
			f := &p.Net.Fixtures[i]
			t := f.Def.TrapType.Text
			if t == "" || !oneOf(barred.Words, t) {
				continue
			}
			p.Looked(1)
			run := &p.Net.Runs[f.Run]
			s := check.Say{Message: run.Name + ": its trap is of the type " + t + ", which is barred", Got: t, Cite: barred.Cite}
			if t == "s" {
				s.Rule = "s-trap"
				s.Message = run.Name + ": an S-trap is barred; it siphons itself dry"
				s.Try = "put a P-trap and a sanitary tee at the turn, with a vent above it"
			}
			if existing(run) {
				s.Message += "; it is there already and may stay only while nothing on it is altered"
				p.Warn(p.OnFixture(network.FixID(i)), f.Def.TrapType.At, s)
				continue
			}
			p.Fault(p.OnFixture(network.FixID(i)), f.Def.TrapType.At, s)
		}
	},
}

func oneOf(words []string, w string) bool {
	for _, x := range words {
		if x == w {
			return true
		}
	}
	return false
}

const (
	houseTrap = "building trap"
	airInlet  = "fresh air inlet"
)

var buildingTrap = &check.Rule{
	ID: "building-trap", Family: "traps", Clause: "building-trap",
	Doc: "there is no building trap unless the authority orders one",
	Why: "it stops the air of the whole house, collects what should pass, and is the first place to clog",
	Try: "leave it out, or show the order that asks for it",
	Run: func(p *check.Pass) {
		allowed := p.Param("building-trap.allowed")
		for i := range p.Net.Runs {
			r := &p.Net.Runs[i]
			if !has(r, houseTrap) || len(r.Segs) == 0 {
				continue
			}
			p.Looked(1)
			if given(allowed) && allowed.Yes {
				continue
			}
			s := check.Say{Message: r.Name + " has a building trap, which is not permitted without an order", Cite: allowed.Cite}
			if existing(r) {
				s.Message = r.Name + " has an old building trap; it may stay while nothing orders it out, and new work leaves it out"
				p.Warn(p.OnRun(network.RunID(i), r.Segs[0]), r.Def.At, s)
				continue
			}
			p.Fault(p.OnRun(network.RunID(i), r.Segs[0]), r.Def.At, s)
		}
	},
}

// freshAirInlet reads the devices of a run in the order of the flow.
var freshAirInlet = &check.Rule{
	ID: "fresh-air-inlet-side", Family: "traps", Clause: "building-trap",
	Doc: "a building trap has its fresh air inlet on the house side",
	Why: "behind the trap the inlet brings the house no air, and it vents the street's sewer at the door",
	Try: "let the inlet leave the drain just upstream of the trap",
	Run: func(p *check.Pass) {
		for i := range p.Net.Runs {
			r := &p.Net.Runs[i]
			if !has(r, houseTrap) || len(r.Segs) == 0 {
				continue
			}
			p.Looked(1)
			trap, inlet := -1, -1
			for k, d := range r.Def.Devices {
				switch {
				case d.Text == houseTrap && trap < 0:
					trap = k
				case d.Text == airInlet && inlet < 0:
					inlet = k
				}
			}
			on := p.OnRun(network.RunID(i), r.Segs[0])
			switch {
			case inlet > trap:
				p.Fault(on, r.Def.Devices[inlet].At, check.Say{Message: r.Name + ": the fresh air inlet leaves behind the building trap, on the street side"})
			case inlet < 0 && !inletAbove(p.Net, r):
				p.Unchecked(on, r.Def.At, check.Say{
					Message: r.Name + " has a building trap and no fresh air inlet is shown",
					Ask:     "where does the fresh air inlet leave, upstream or downstream of the building trap? list both under `devices` in the order of the flow",
				})
			}
		}
	},
}

// inletAbove: a run that drains into this one has the inlet.
func inletAbove(n *network.Net, r *network.Run) bool {
	for i := range n.Runs {
		if x := &n.Runs[i]; has(x, airInlet) && x.Receiver >= 0 && &n.Runs[x.Receiver] == r {
			return true
		}
	}
	return false
}
