package rules

import (
	"strings"

	"trapweir/engine/check"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

const backValve = "backwater valve"

// backwaterValve compares the lowest opening with the next manhole up the street. Where
// the rim of that manhole is not known, a house with fixtures under the ground is asked.
var backwaterValve = &check.Rule{
	ID: "ask-backwater", Family: "pumps", Clause: "backwater",
	Doc: "a fixture lower than the next manhole up the street is behind a backwater valve",
	Why: "a full sewer comes up at the lowest opening of the house",
	Try: "put a backwater valve on the branch of the low fixtures only",
	Run: func(p *check.Pass) {
		n := p.Net
		trigger := p.Param("backwater.trigger")
		byFloor := trigger.Text == "finished floor"
		var ask open
		guards := guards(n)
		for i := range n.Fixtures {
			f := &n.Fixtures[i]
			run := &n.Runs[f.Run]
			if guards[f.Seg] != (guard{}) {
				p.Looked(1)
				continue
			}
			on := p.OnFixture(network.FixID(i))
			h, known := openingOf(p, f, byFloor)
			rim := n.Job.Site.ManholeRim
			switch {
			case rim.Set && known:
				p.Looked(1)
				if h >= rim.V {
					continue
				}
				what := "the flood rim of " + run.Name
				if byFloor {
					what = "the floor of " + run.Name
				}
				say := check.Say{Message: what + " lies " + (rim.V - h).In(p.Job.Units) + " under the rim of the next manhole, and no backwater valve is shown", Got: h.In(p.Job.Units), Limit: rim.V.In(p.Job.Units), Cite: trigger.Cite}
				if existing(run) {
					p.Warn(on, run.Def.At, say)
					continue
				}
				p.Fault(on, run.Def.At, say)
			case lowLevel(n, f) && !existing(run):
				ask.add(run.Name, on, run.Def.At)
			}
		}
		cover := "the next sewer manhole cover up the street"
		if septic(n) {
			cover = "the lid of the septic tank (or the next manhole)"
		}
		ask.ask(p, check.Say{
			Message: "it stands below ground, and whether it is lower than " + cover + " is not given",
			Ask:     "does it lie lower than " + cover + "? write `manhole rim` under `site`; if lower, it needs a backwater valve", Cite: trigger.Cite,
		})
	},
}

// guard is what stands first between a place and the sewer.
type guard struct{ valve, pump bool }

// guards tells for every segment whether a backwater valve or a pump stands between it and
// the sewer.
func guards(n *network.Net) []guard {
	out := make([]guard, len(n.Segs))
	for i := len(n.Segs) - 1; i >= 0; i-- {
		s := &n.Segs[i]
		out[i] = guard{has(&n.Runs[s.Run], backValve), s.Basin}
		if out[i] == (guard{}) && s.Down != network.None {
			out[i] = out[s.Down]
		}
	}
	return out
}

// openingOf is the height at which water would come out: the flood rim, or the floor.
func openingOf(p *check.Pass, f *network.Fixture, byFloor bool) (h unit.Length, known bool) {
	if f.Level < 0 || !p.Job.Levels[f.Level].Floor.Set {
		return 0, false
	}
	h = p.Job.Levels[f.Level].Floor.V
	switch {
	case byFloor:
		return h, true
	case f.Def.Rim.Set:
		return h + f.Def.Rim.V, true
	case f.Kind.Rim.Set:
		return h + f.Kind.Rim.V, true
	}
	return 0, false
}

// lowLevel: by its heights or by its name the fixture's level is under the ground.
func lowLevel(n *network.Net, f *network.Fixture) bool {
	if f.Level >= 0 {
		lv := &n.Job.Levels[f.Level]
		if lv.Floor.Set && lv.Grade.Set {
			return lv.Floor.V < lv.Grade.V
		}
	}
	return strings.Contains(strings.ToLower(n.Runs[f.Run].Def.Level.Text), "basement")
}

var backwaterBypass = &check.Rule{
	ID: "backwater-bypass", Family: "pumps", Clause: "backwater-bypass",
	Doc: "fixtures over the next manhole do not drain through the backwater valve",
	Why: "when the valve is shut, the upper floors flood the lower ones",
	Try: "put the valve on the branch of the low fixtures, and let the others join below it",
	Run: func(p *check.Pass) {
		n := p.Net
		rim := n.Job.Site.ManholeRim
		byFloor := p.Param("backwater.trigger").Text == "finished floor"
		var ask open
		guards := guards(n)
		for i := range n.Fixtures {
			f := &n.Fixtures[i]
			run := &n.Runs[f.Run]
			if !guards[f.Seg].valve {
				continue
			}
			h, known := openingOf(p, f, byFloor)
			switch {
			case !rim.Set || !known:
				ask.add(run.Name, p.OnFixture(network.FixID(i)), run.Def.At)
			case h >= rim.V:
				p.Looked(1)
				say := check.Say{Message: run.Name + " stands over the rim of the next manhole and drains through the backwater valve", Got: h.In(p.Job.Units), Limit: rim.V.In(p.Job.Units)}
				if existing(run) {
					p.Warn(p.OnFixture(network.FixID(i)), run.Def.At, say)
					continue
				}
				p.Fault(p.OnFixture(network.FixID(i)), run.Def.At, say)
			default:
				p.Looked(1)
			}
		}
		ask.ask(p, check.Say{
			Message: "it drains through a backwater valve, and whether it needs to is not known without the heights of its floor and of the next manhole",
			Ask:     "how high is the rim of the next manhole up the street, and each floor, over the datum? write `manhole rim` under `site` and `floor` of the levels",
		})
	},
}
