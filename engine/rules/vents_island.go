package rules

import (
	"trapweir/engine/check"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// loops visits the vents that come down again into a drain.
func loops(n *network.Net, visit func(v network.VentID, x *network.Vent)) {
	for i := range n.Vents {
		if v := network.VentID(i); n.IsLoop(v) {
			visit(v, &n.Vents[i])
		}
	}
}

// feetOfIslands are the foot vents of island loops, which run under the floor to where a
// wall lets them rise.
func feetOfIslands(n *network.Net) map[network.VentID]bool {
	feet := map[network.VentID]bool{}
	loops(n, func(v network.VentID, _ *network.Vent) {
		for i := range n.Vents {
			if o := network.VentID(i); n.FootOf(v, o) {
				feet[o] = true
			}
		}
	})
	return feet
}

var islandKinds = &check.Rule{
	ID: "island-fixture", Family: "vents", Clause: "island-fixtures",
	Doc: "an island loop serves only the fixtures that the book names for it",
	Why: "the loop is an exception for sinks that stand where no vent can rise",
	Run: func(p *check.Pass) {
		kinds := p.Param("island.fixtures")
		if !given(kinds) {
			return
		}
		loops(p.Net, func(v network.VentID, x *network.Vent) {
			for _, f := range p.Vents.Size[v].Serves {
				p.Looked(1)
				if fx := &p.Net.Fixtures[f]; !kindIn(fx, kinds.Words) {
					p.Fault(p.OnVent(v), x.Def.At, check.Say{Message: x.Name + ": an island loop serves " + p.Net.Runs[fx.Run].Name + ", " + fx.Kind.A(), Cite: kinds.Cite, Try: "give it a vent of its own"})
				}
			}
		})
	},
}

// islandHeight holds the top of a loop against what the book measures it by: the outlet of
// the sink, or its drainboard, which is taken to stand level with the rim.
var islandHeight = &check.Rule{
	ID: "island-loop-low", Family: "vents", Clause: "island-vent",
	Doc: "the loop of an island rises over the outlet of its sink, or to the drainboard where the book asks that, before it comes down",
	Why: "a low loop fills as soon as the drain is slow, and is washed by nothing",
	Try: "run the loop up as high as the counter lets it",
	Run: func(p *check.Pass) {
		n := p.Net
		over := p.Param("island.loop-over")
		if !given(over) {
			return
		}
		var ask open
		loops(n, func(v network.VentID, x *network.Vent) {
			if x.Def.State.Text == "existing" {
				return
			}
			on, at := p.OnVent(v), x.Def.At
			is, top, least := loopRises(p, v, over.Text)
			switch is {
			case highEnough:
				p.Looked(1)
			case tooLow:
				p.Looked(1)
				s := check.Say{
					Message: x.Name + " rises " + top.Small(p.Job.Units) + " before it comes down; the " + over.Text + " of the sink lies " + least.Small(p.Job.Units) + " over the take-off, and the loop goes above that",
					Got:     top.Small(p.Job.Units), Limit: least.Small(p.Job.Units), Cite: over.Cite,
				}
				if least == 0 {
					s.Message = x.Name + " does not rise before it comes down; the loop goes up over the " + over.Text + " of the sink"
				}
				if least > 0 {
					s.Try = "run the loop up more than " + least.Small(p.Job.Units) + " over its take-off, as high as the counter lets it"
				}
				p.Fault(on, at, s)
			default:
				ask.add(x.Name, on, at)
			}
		})
		say := check.Say{
			Message: "whether the loop rises over the " + over.Text + " of its sink cannot be told from the heights given",
			Ask:     "how high does the loop rise, and how high is the outlet of the sink above its trap weir? write the lengths of its `legs`, and `outlet to weir` at the sink", Cite: over.Cite,
		}
		if over.Text != "outlet" {
			say.Ask = "how high does the loop rise, and how high over the floor are the trap and the drainboard? write the lengths of its `legs`, and `trap above floor` and `rim` at the sink"
		}
		ask.ask(p, say)
	},
}

// loopRises judges the top of a loop over every take-off of it: how high it rises there, and
// how high it must. The rim is above the outlet for certain, so a loop that reaches the rim
// of usual heights is over the outlet; nothing usual makes a fault.
func loopRises(p *check.Pass, v network.VentID, over string) (is verdict, top, least unit.Length) {
	n := p.Net
	is = highEnough
	any := false
	fromDrains(n, func(o network.VentID, t takeoff) {
		if o != v || is == tooLow {
			return
		}
		high, exact := t.rise, t.exact
		for _, l := range follow(n, v, t).legs {
			high = max(high, l.rise+up(l.way, l.length))
			exact = exact && (l.length > 0 || l.way.Plumb >= 900 || l.way.Down)
		}
		for _, f := range served(p, v, t) {
			any = true
			r := rimOver(p, t, f)
			need, certain := r.over, r.exact
			reach := r.over
			if over == "outlet" {
				need, certain = outletOver(p, t, f)
			} else if !r.exact {
				reach += slack
			}
			switch {
			case certain && exact && high < need, exact && high <= 0:
				is, top, least = tooLow, high, max(0, need)
				if high <= 0 {
					least = 0
				}
				return
			case certain && high >= need, !certain && high >= reach:
			default:
				is = cannotTell
			}
		}
	})
	if !any {
		return cannotTell, 0, 0
	}
	return is, top, least
}

// outletOver is how high the outlet of a fixture stands over a take-off; ok is false where the
// job does not say how high it is over the weir.
func outletOver(p *check.Pass, t takeoff, f network.FixID) (over unit.Length, ok bool) {
	x := &p.Net.Fixtures[f]
	if !x.Def.OutDown.Set {
		return 0, false
	}
	fall, ok := fallTo(p, x.Seg, t.Seg)
	return x.Def.OutDown.V + fall, ok
}
