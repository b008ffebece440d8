package rules

import (
	"slices"
	"strings"

	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/source"
	"trapweir/engine/unit"
)

// standpipes visits the washers and other standpipes of a job.
func standpipes(p *check.Pass, visit func(f network.FixID, x *network.Fixture, r *network.Run)) {
	for i := range p.Net.Fixtures {
		if f := &p.Net.Fixtures[i]; f.Kind.Has("standpipe") {
			visit(network.FixID(i), f, &p.Net.Runs[f.Run])
		}
	}
}

// between judges a height against a least and a most, either of which a book may lack. mend
// is what to do, with {} for the limits.
func between(p *check.Pass, on diag.Ref, at source.Span, v unit.Length, least, most codebook.Param, say, mend string) {
	limits := ""
	switch {
	case given(least) && given(most):
		limits = least.Length.Small(p.Job.Units) + " to " + most.Length.Small(p.Job.Units)
	case given(least):
		limits = least.Length.Small(p.Job.Units) + " or more"
	case given(most):
		limits = most.Length.Small(p.Job.Units) + " or less"
	}
	mend = strings.Replace(mend, "{}", limits, 1)
	p.Looked(1)
	switch {
	case given(least) && v < least.Length:
		p.Fault(on, at, check.Say{Message: say + v.Small(p.Job.Units) + "; " + least.Length.Small(p.Job.Units) + " is the least", Got: v.Small(p.Job.Units), Limit: least.Length.Small(p.Job.Units), Cite: least.Cite, Try: mend})
	case given(most) && v > most.Length:
		p.Fault(on, at, check.Say{Message: say + v.Small(p.Job.Units) + "; " + most.Length.Small(p.Job.Units) + " is the most", Got: v.Small(p.Job.Units), Limit: most.Length.Small(p.Job.Units), Cite: most.Cite, Try: mend})
	}
}

var standpipeHeight = &check.Rule{
	ID: "standpipe-height", Family: "traps", Clause: "standpipe",
	Doc: "a standpipe rises so far above its trap weir, neither less nor more",
	Why: "a short one overflows when the washer pumps; a tall one blows its trap",
	Run: func(p *check.Pass) {
		least, most := p.Param("standpipe.min"), p.Param("standpipe.max")
		if !given(least) && !given(most) {
			return
		}
		standpipes(p, func(f network.FixID, x *network.Fixture, r *network.Run) {
			switch {
			case x.Def.Standpipe.Set:
				between(p, p.OnFixture(f), x.Def.Standpipe.At, x.Def.Standpipe.V, least, most, r.Name+": the standpipe rises above its weir ", "let its rim stand {} over the weir")
			case !existing(r):
				p.Unchecked(p.OnFixture(f), r.Def.At, check.Say{
					Message: r.Name + ": the height of the standpipe is not given",
					Ask:     "how high is the rim of the standpipe of " + r.Name + " above its trap weir? write `standpipe: 30\"`",
					Cite:    least.Cite,
				})
			}
		})
	},
}

var standpipeTrapHeight = &check.Rule{
	ID: "standpipe-trap-height", Family: "traps", Clause: "standpipe-trap-height",
	Doc: "the trap of a washer stands above the floor, within the book's range",
	Why: "a trap under the floor cannot be reached; one too high leaves no room for the standpipe",
	Run: func(p *check.Pass) {
		least, most := p.Param("standpipe.trap-above-floor-min"), p.Param("standpipe.trap-above-floor-max")
		if !given(least) && !given(most) {
			return
		}
		standpipes(p, func(f network.FixID, x *network.Fixture, r *network.Run) {
			switch {
			case x.Def.TrapHigh.Set:
				between(p, p.OnFixture(f), x.Def.TrapHigh.At, x.Def.TrapHigh.V, least, most, r.Name+": its trap stands above the floor ", "set its trap {} over the floor")
			case !existing(r):
				p.Unchecked(p.OnFixture(f), r.Def.At, check.Say{
					Message: r.Name + ": how high its trap stands is not given",
					Ask:     "how high above the floor is the trap of " + r.Name + "? write `trap above floor: 10\"`",
					Cite:    least.Cite,
				})
			}
		})
	},
}

var standpipeTray = &check.Rule{
	ID: "standpipe-tray", Family: "traps", Clause: "standpipe-tray",
	Doc: "a laundry tub that drains into a washer's standpipe is near it, and the standpipe is tall enough",
	Why: "the washer pumps into the tub, or the tub's drain fouls",
	Run: func(p *check.Pass) {
		tall, across := p.Param("standpipe.tray-min"), p.Param("standpipe.tray-across-max")
		standpipes(p, func(f network.FixID, x *network.Fixture, r *network.Run) {
			tub := false
			for _, k := range onOneTrap(p, x) {
				tub = tub || k.Has("laundry tub")
			}
			if !tub {
				return
			}
			on := p.OnFixture(f)
			if given(tall) {
				if x.Def.Standpipe.Set {
					between(p, on, x.Def.Standpipe.At, x.Def.Standpipe.V, tall, codebook.Param{}, r.Name+": a laundry tub drains into it, and the standpipe rises above its weir ", "let its rim stand {} over the weir")
				} else {
					p.Unchecked(on, r.Def.At, check.Say{
						Message: r.Name + ": a laundry tub drains into it, and the height of the standpipe is not given",
						Ask:     "how high is the standpipe above its trap weir, and is its rim above the rim of the tub?", Limit: tall.Length.Small(p.Job.Units), Cite: tall.Cite,
					})
				}
			}
			if given(across) {
				if x.Def.Apart.Set {
					between(p, on, x.Def.Apart.At, x.Def.Apart.V, codebook.Param{}, across, r.Name+": the outlet of the laundry tub is from the standpipe's trap ", "bring the tub's outlet to {} from the standpipe's trap, or give the tub a trap of its own")
				} else {
					p.Unchecked(on, r.Def.At, check.Say{
						Message: r.Name + ": a laundry tub drains into it, and how far its outlet is from the trap is not given",
						Ask:     "how many inches is it from the tub's outlet to the standpipe's trap? write `apart: 24\"`", Limit: across.Length.Small(p.Job.Units), Cite: across.Cite,
					})
				}
			}
		})
	},
}

// sizeSays: a one-liner of the book has found the given size of a segment too small by this
// rule already.
func sizeSays(p *check.Pass, s network.SegID, rule string) bool {
	if !p.Sizes.Given[s] {
		return false
	}
	for _, t := range p.Sizes.Terms(s) {
		if t.Kind == size.ByLimit && t.Min > p.Sizes.Size[s] && p.Book.Limits()[t.Ref].Finds == rule {
			return true
		}
	}
	return false
}

// offFor reports whether a layer has switched off every one-liner that a rule stands for: a
// town that takes out the line need not know of the value that the rule reads.
func offFor(p *check.Pass, rule string) bool {
	finds := func(l codebook.Limit) bool { return l.Finds == rule }
	return slices.ContainsFunc(p.Book.Off(), finds) && !slices.ContainsFunc(p.Book.Limits(), finds)
}

// standpipe3in looks at the first pipe that a washer shares with others.
var standpipe3in = &check.Rule{
	ID: "standpipe-needs-3in-branch", Family: "traps", Clause: "washer-3in",
	Doc: "where the book asks it, a washer's drain reaches a 3 in branch or stack",
	Why: "a pumped washer fills a smaller one and blows the traps on it",
	Run: func(p *check.Pass) {
		if m := p.Param("washer.needs-3in"); !given(m) || !m.Yes || offFor(p, "standpipe-needs-3in-branch") {
			return
		}
		const need = 3 * unit.Size(unit.Inch)
		standpipes(p, func(f network.FixID, x *network.Fixture, r *network.Run) {
			below(p.Net, x.Seg, func(s network.SegID) bool {
				switch p.Net.Segs[s].Role {
				case network.Branch, network.BuildingDrainBranch, network.Stack, network.StackOffset, network.BuildingDrain, network.BuildingSewer:
				default:
					return true
				}
				p.Looked(1)
				if have := p.Sizes.Size[s]; have > 0 && have < need && !sizeSays(p, s, "standpipe-needs-3in-branch") {
					recv := p.Net.RunOf(s)
					say := check.Say{
						Message: recv.Name + ", which takes the washer " + r.Name + ", is " + have.String() + "; it must be 3 in",
						Got:     have.String(), Limit: need.String(), Try: "make " + recv.Name + " 3 in, or run the washer's own drain on to a 3 in pipe",
					}
					if c, _ := p.Book.Clause("washer-3in"); c.Conflict != "" {
						p.Warn(p.OnRun(p.Net.Segs[s].Run, s), recv.Def.At, say)
					} else {
						p.Fault(p.OnRun(p.Net.Segs[s].Run, s), recv.Def.At, say)
					}
				}
				return false
			})
		})
	},
}
