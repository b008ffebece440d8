package rules

import (
	"strconv"

	"trapweir/engine/catalog"
	"trapweir/engine/check"
	"trapweir/engine/network"
)

// onOneTrap lists the fixtures that a job puts on one trap: `serves`, the fixture itself
// among them. Machines that empty into the sink are no fixtures with an outlet of their
// own, and what empties into a standpipe is a rule of its own.
func onOneTrap(p *check.Pass, f *network.Fixture) []*catalog.Kind {
	var out []*catalog.Kind
	for _, w := range f.Def.Serves {
		if k, _ := p.Cat.Find(w.Text); k != nil && !k.Has("dishwasher") && !k.Has("commercial disposer") {
			out = append(out, k)
		}
	}
	return out
}

func withStandpipe(kinds []*catalog.Kind) bool {
	for _, k := range kinds {
		if k.Has("standpipe") {
			return true
		}
	}
	return false
}

var sharedTrapMany = &check.Rule{
	ID: "shared-trap-too-many", Family: "traps", Clause: "shared-trap",
	Doc: "only so many fixtures of one kind, of the kinds that the book names, share a trap; beside a standpipe a laundry tub alone",
	Why: "a shared trap that is far from an outlet, or loaded by many, loses its seal and fouls",
	Try: "give each of them a trap of its own",
	Run: func(p *check.Pass) {
		most, kinds := p.Param("shared-trap.max-fixtures"), p.Param("shared-trap.kinds")
		for i := range p.Net.Fixtures {
			f := &p.Net.Fixtures[i]
			on := onOneTrap(p, f)
			if len(on) < 2 {
				continue
			}
			p.Looked(1)
			run := &p.Net.Runs[f.Run]
			ref, at := p.OnFixture(network.FixID(i)), f.Def.Serves[0].At
			if withStandpipe(on) {
				for _, k := range on {
					if !k.Has("standpipe") && k.Name != "laundry tub" {
						p.Fault(ref, at, check.Say{Message: run.Name + ": a " + k.Name + " shares the trap of a standpipe; beside the machine only a laundry tub may"})
						break
					}
				}
				continue
			}
			if given(most) && len(on) > times(most) {
				p.Fault(ref, at, check.Say{
					Message: run.Name + ": " + strconv.Itoa(len(on)) + " fixtures share a trap; " + most.Text + " is the most",
					Got:     strconv.Itoa(len(on)), Limit: most.Text, Cite: most.Cite,
				})
			}
			for _, k := range on {
				if given(kinds) && !oneOf(kinds.Words, k.Name) {
					p.Fault(ref, at, check.Say{Message: run.Name + ": a " + k.Name + " may not share a trap", Cite: kinds.Cite})
					break
				}
				if k.Name != on[0].Name {
					p.Fault(ref, at, check.Say{Message: run.Name + ": a " + on[0].Name + " and a " + k.Name + " share a trap; only fixtures of one kind may", Cite: kinds.Cite})
					break
				}
			}
		}
	},
}

var sharedTrapApart = &check.Rule{
	ID: "shared-trap-apart", Family: "traps", Clause: "shared-trap",
	Doc: "the outlets of fixtures on one trap are near each other",
	Why: "the long pipe to the far outlet stands full and fouls",
	Try: "move the trap under the middle outlet, within {what the book allows} of the others, or give each fixture its own",
	Run: func(p *check.Pass) {
		limit := p.Param("shared-trap.apart-max")
		if !given(limit) {
			return
		}
		for i := range p.Net.Fixtures {
			f := &p.Net.Fixtures[i]
			if on := onOneTrap(p, f); len(on) < 2 || withStandpipe(on) {
				continue
			}
			run := &p.Net.Runs[f.Run]
			ref := p.OnFixture(network.FixID(i))
			switch {
			case !f.Def.Apart.Set:
				p.Unchecked(ref, f.Def.Serves[0].At, check.Say{
					Message: run.Name + ": several fixtures share its trap, and how far their outlets are apart is not given",
					Ask:     "how far apart are the outlets on the trap of " + run.Name + "? write `apart: 20\"`", Limit: limit.Length.Small(p.Job.Units), Cite: limit.Cite,
				})
			case f.Def.Apart.V > limit.Length:
				p.Looked(1)
				p.Fault(ref, f.Def.Apart.At, check.Say{
					Message: run.Name + ": outlets " + f.Def.Apart.V.Small(p.Job.Units) + " apart share a trap; " + limit.Length.Small(p.Job.Units) + " is the most",
					Got:     f.Def.Apart.V.Small(p.Job.Units), Limit: limit.Length.Small(p.Job.Units), Cite: limit.Cite,
				})
			default:
				p.Looked(1)
			}
		}
	},
}
