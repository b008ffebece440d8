package rules

import (
	"trapweir/engine/check"
	"trapweir/engine/network"
)

// floorDrainPrimer: an emergency drain gets no water by design; of any other floor drain it
// must be known whether something runs into it regularly.
var floorDrainPrimer = &check.Rule{
	ID: "floor-drain-primer", Family: "traps", Clause: "trap-primer",
	Doc: "the trap of a floor drain that seldom gets water has a primer or a device that keeps its seal",
	Why: "the seal dries out and sewer gas comes in",
	Try: "add a primer line or a device that keeps the seal, and write `primer: true`",
	Run: func(p *check.Pass) {
		for i := range p.Net.Fixtures {
			f := &p.Net.Fixtures[i]
			if !f.Kind.Has("floor drain") {
				continue
			}
			run := &p.Net.Runs[f.Run]
			on := p.OnFixture(network.FixID(i))
			rare := f.Def.Emergency.V || f.Kind.Emergency
			switch {
			case f.Def.Primer.V || has(run, "primer") || has(run, "trap seal device"):
				p.Looked(1)
			case f.Def.Primer.Set || rare:
				p.Looked(1)
				p.Fault(on, f.Def.Kind.At, check.Say{Message: run.Name + ": nothing keeps the seal of this floor drain"})
			case !existing(run):
				p.Unchecked(on, f.Def.Kind.At, check.Say{
					Message: run.Name + ": what keeps the seal of this floor drain is not given",
					Ask:     "does water run into " + run.Name + " regularly, or does it have a primer or a seal device? write `primer: true` or list it under `devices`",
				})
			}
		}
	},
}

// garageDrain runs under every book. Those that print a section for it are cited; where
// none does, a state's or a county's rule decides, and that is asked as well.
var garageDrain = &check.Rule{
	ID: "garage-drain-interceptor", Family: "traps",
	Doc: "a floor drain in a garage passes an interceptor for sand and oil, or is not connected",
	Why: "petrol and oil in a sewer burn and poison; in a septic tank they kill it and reach the ground water",
	Try: "leave the drain out, or put a sand and oil interceptor in it that the authority accepts",
	Run: func(p *check.Pass) {
		for i := range p.Net.Fixtures {
			f := &p.Net.Fixtures[i]
			if f.Def.Location.Text != "garage" || !f.Kind.Has("receptor") && !f.Kind.Has("floor drain") {
				continue
			}
			p.Looked(1)
			run := &p.Net.Runs[f.Run]
			held := false
			below(p.Net, f.Seg, func(s network.SegID) bool {
				r := p.Net.RunOf(s)
				held = held || has(r, "interceptor") || has(r, "oil interceptor") || has(r, "sand interceptor")
				return !held
			})
			if held {
				continue
			}
			on := p.OnFixture(network.FixID(i))
			s := check.Say{Message: run.Name + ": a garage floor drain reaches the drainage system without an interceptor"}
			if c, ok := p.Book.Clause("garage-drain"); ok {
				s.Cite = &c
			}
			p.Fault(on, f.Def.Kind.At, s)
			p.Unchecked(on, f.Def.Kind.At, check.Say{
				Message: run.Name + ": whether the authority lets a garage drain join is a local rule",
				Ask:     "does the authority allow a garage floor drain into the sanitary system, and with which interceptor?", Cite: s.Cite,
			})
		}
	},
}

// dishwasherGap: an air gap where the book asks for it; else an air gap or a high loop.
var dishwasherGap = &check.Rule{
	ID: "dishwasher-airgap", Family: "traps", Clause: "dishwasher",
	Doc: "a dishwasher empties through an air gap, or through a high loop where the book lets it",
	Why: "a blocked sink drains back into the machine",
	Run: func(p *check.Pass) {
		gap := p.Param("dishwasher.air-gap")
		strict := given(gap) && gap.Yes
		var ask open
		for i := range p.Net.Fixtures {
			f := &p.Net.Fixtures[i]
			d := f.Def
			if !f.Kind.Has("dishwasher") && !f.Washes || f.Kind.Group {
				continue
			}
			run := &p.Net.Runs[f.Run]
			on := p.OnFixture(network.FixID(i))
			say := check.Say{Cite: gap.Cite}
			switch {
			case d.AirGap.V, !strict && d.HighLoop.V:
				p.Looked(1)
			case strict && (d.AirGap.Set || d.HighLoop.V):
				p.Looked(1)
				say.Message, say.Try = run.Name+": the dishwasher has no air gap", "put an air gap on the counter, and lead the machine through it"
				p.Fault(on, d.Kind.At, say)
			case !strict && d.AirGap.Set && d.HighLoop.Set:
				p.Looked(1)
				say.Message, say.Try = run.Name+": the dishwasher has neither an air gap nor a high loop", "fasten its hose in a loop to the underside of the counter, or put in an air gap"
				p.Fault(on, d.Kind.At, say)
			case !existing(run):
				ask.add(run.Name, on, d.Kind.At)
			}
		}
		word, write := "through an air gap or a high loop", "`air gap: true` or `high loop: true`"
		if strict {
			word, write = "through an air gap", "`air gap: true`"
		}
		ask.ask(p, check.Say{
			Message: "whether the dishwasher empties " + word + " is not given",
			Ask:     "does the dishwasher empty " + word + "? write " + write, Cite: gap.Cite,
		})
	},
}
