package rules

import (
	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/job"
	"trapweir/engine/network"
)

// fixtureClearance measures from the centre line of the bowl. Where one of the two measures
// is given, the other is asked for; where none is, it is left to the site check.
var fixtureClearance = &check.Rule{
	ID: "fixture-clearance", Family: "room", Clause: "fixture-clearance",
	Doc: "a water closet, bidet or lavatory has room at its sides and in front",
	Why: "nobody can use it otherwise, and moving a flange later costs the floor",
	Try: "move the flange or the wall, so that {what the book asks} or more is clear",
	Run: func(p *check.Pass) {
		side, front := p.Param("fixture.clear-side"), p.Param("fixture.clear-front")
		for i := range p.Net.Fixtures {
			f := &p.Net.Fixtures[i]
			d := f.Def
			if !d.ClearSide.Set && !d.ClearFront.Set {
				continue
			}
			if !f.Kind.Has("water closet") && !f.Kind.Has("bidet") && !f.Kind.Has("lavatory") && !f.Kind.Has("urinal") {
				continue
			}
			run := &p.Net.Runs[f.Run]
			on := p.OnFixture(network.FixID(i))
			for _, x := range []struct {
				have  job.Len
				limit codebook.Param
				say   string
				key   string
			}{{d.ClearSide, side, " from its centre line to the nearest wall or fixture", "clear side"}, {d.ClearFront, front, " free in front of it", "clear front"}} {
				switch {
				case !given(x.limit):
				case !x.have.Set:
					p.Unchecked(on, run.Def.At, check.Say{Message: run.Name + ": how much is" + x.say + " is not given", Ask: "how many inches are" + x.say + "? write `" + x.key + "`", Limit: x.limit.Length.Small(p.Job.Units), Cite: x.limit.Cite})
				case x.have.V < x.limit.Length:
					p.Looked(1)
					p.Fault(on, x.have.At, check.Say{Message: run.Name + ": " + x.have.V.Small(p.Job.Units) + x.say + "; " + x.limit.Length.Small(p.Job.Units) + " is the least", Got: x.have.V.Small(p.Job.Units), Limit: x.limit.Length.Small(p.Job.Units), Cite: x.limit.Cite})
				default:
					p.Looked(1)
				}
			}
		}
	},
}

var exteriorWall = &check.Rule{
	ID: "freeze-risk-exterior-wall", Family: "room", Clause: "freezing",
	Doc: "no trap or drain lies in a cold outside wall or in the open without protection",
	Why: "a trap that freezes bursts, and a drain that freezes closes",
	Try: "move it to an inside wall, or keep it on the warm side of the insulation",
	Run: func(p *check.Pass) {
		is, known := cold(p, "freezing.design")
		if m := p.Param("freezing.design"); !given(m) {
			is, known = true, true // the clause stands without a temperature
		}
		for i := range p.Net.Runs {
			r := &p.Net.Runs[i]
			if len(r.Segs) == 0 || r.Def.Where.Text != "exterior wall" {
				continue
			}
			on := p.OnRun(network.RunID(i), r.Segs[0])
			switch {
			case !known:
				p.Unchecked(on, r.Def.Where.At, check.Say{Message: r.Name + " lies in an outside wall, and how cold it gets is not given", Ask: "what is the winter design temperature of the site, and which side of the pipe is the insulation on? write `design temperature` under `climate`"})
			case is:
				p.Looked(1)
				p.Warn(on, r.Def.Where.At, check.Say{Message: r.Name + " lies in an outside wall, where it may freeze"})
			default:
				p.Looked(1)
			}
		}
	},
}
