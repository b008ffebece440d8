package rules

import (
	"trapweir/engine/check"
	"trapweir/engine/network"
)

// mainVentBase is part of a book only where a state's or a county's layer has it.
var mainVentBase = &check.Rule{
	ID: "local-rule-main-vent-base", Family: "vents", Clause: "main-vent-base",
	Doc: "where the authority asks it, a main vent joins in full size at its foot, at or below the lowest branch",
	Why: "a local rule; the inspector of that authority decides how it is met",
	Try: "let the main vent leave the drain downstream of the last branch, or ask the inspector",
	Run: func(p *check.Pass) {
		n := p.Net
		for i := range n.Vents {
			v := network.VentID(i)
			if !mainVent(p, v) {
				continue
			}
			for _, t := range n.Vents[i].Takes {
				if t.Seg == network.None {
					continue
				}
				p.Looked(1)
				// A branch that joins further down lies lower than the foot of the vent.
				lower := ""
				below(n, n.Segs[t.Seg].Down, func(s network.SegID) bool {
					for _, u := range n.Up(s) {
						if n.Segs[u].Down == s && n.Segs[u].Run != n.Segs[s].Run && !passes(n, t.Seg, u) {
							lower = n.RunOf(u).Name
						}
					}
					return lower == ""
				})
				vent := &n.Vents[i]
				if lower != "" {
					p.Warn(p.OnVent(v), vent.Def.At, check.Say{Message: vent.Name + ": the main vent leaves the drain above where " + lower + " joins"})
				} else if have, need := p.Vents.Size[v].Size, p.Sizes.Size[t.Seg]; have < need {
					p.Warn(p.OnVent(v), vent.Def.At, check.Say{Message: vent.Name + " is " + have.String() + " at its foot, and the drain is " + need.String(), Got: have.String(), Limit: need.String(), Try: "make the foot of the main vent as large as the drain"})
				}
			}
		}
	},
}

// mainVent: the job calls it a vent stack, or it is the only one through the roof.
func mainVent(p *check.Pass, v network.VentID) bool {
	n := p.Net
	if n.Vents[v].Def.Role.Text == "vent stack" {
		return true
	}
	for i := range n.Vents {
		if n.Vents[i].Def.Role.Text == "vent stack" {
			return false
		}
	}
	if n.Vents[v].End != network.ThroughRoof {
		return false
	}
	for i := range n.Vents {
		if n.Vents[i].End == network.ThroughRoof && network.VentID(i) != v {
			return false
		}
	}
	return true
}

// passes reports whether what leaves segment a runs through segment b.
func passes(n *network.Net, a, b network.SegID) bool {
	found := false
	below(n, a, func(s network.SegID) bool {
		found = found || s == b
		return !found && s < b
	})
	return found
}
