package rules

import (
	"trapweir/engine/check"
	"trapweir/engine/network"
)

// loops visits the vents that come down again into a drain.
func loops(n *network.Net, visit func(v network.VentID, x *network.Vent)) {
	for i := range n.Vents {
		if x := &n.Vents[i]; x.End == network.JoinsRun || x.Def.Role.Text == "loop" {
			visit(network.VentID(i), x)
		}
	}
}

var islandLoop = &check.Rule{
	ID: "island-vent-no-open-air", Family: "vents", Clause: "island-vent",
	Doc: "the loop of an island is vented at its foot to the open air",
	Why: "a loop that only comes back to its own drain brings no air",
	Try: "take a foot vent off the drain where the loop comes down, and run it to the open air",
	Run: func(p *check.Pass) {
		n := p.Net
		loops(n, func(v network.VentID, x *network.Vent) {
			foot, unknown := false, false
			for i := range n.Vents {
				o := network.VentID(i)
				if o == v || !footOf(n, v, o) {
					continue
				}
				switch end, _, _ := n.Outdoors(o); end {
				case network.ThroughRoof, network.SideWall:
					foot = true
				case network.EndUnknown:
					unknown = true
				}
			}
			switch {
			case foot:
				p.Looked(1)
			case unknown:
				p.Unchecked(p.OnVent(v), x.Def.At, check.Say{Message: x.Name + ": where the foot vent of this loop ends is not given", Ask: "does the foot vent of " + x.Name + " reach the open air? write where it `ends`"})
			default:
				p.Looked(1)
				p.Fault(p.OnVent(v), x.Def.At, check.Say{Message: x.Name + " is a loop without a foot vent to the open air"})
			}
		})
	},
}

// feetOfIslands are the foot vents of island loops, which run under the floor to where a
// wall lets them rise.
func feetOfIslands(n *network.Net) map[network.VentID]bool {
	feet := map[network.VentID]bool{}
	loops(n, func(v network.VentID, _ *network.Vent) {
		for i := range n.Vents {
			if o := network.VentID(i); o != v && n.Vents[i].End != network.JoinsRun && footOf(n, v, o) {
				feet[o] = true
			}
		}
	})
	return feet
}

// footOf: vent o leaves the loop itself, or the drain that the loop comes down to or its
// own fixture's drain.
func footOf(n *network.Net, loop, o network.VentID) bool {
	for _, f := range n.Vents[o].Feeds {
		if f == loop {
			return true
		}
	}
	runs := map[network.RunID]bool{}
	if x := &n.Vents[loop]; x.End == network.JoinsRun && x.IntoRun != network.None {
		runs[n.Segs[x.IntoRun].Run] = true
	}
	for _, t := range n.Vents[loop].Takes {
		runs[t.Run] = true
	}
	for _, t := range n.Vents[o].Takes {
		if runs[t.Run] {
			return true
		}
	}
	return false
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
					p.Fault(p.OnVent(v), x.Def.At, check.Say{Message: x.Name + ": an island loop serves " + p.Net.Runs[fx.Run].Name + ", a " + fx.Kind.Name, Cite: kinds.Cite, Try: "give it a vent of its own"})
				}
			}
		})
	},
}
