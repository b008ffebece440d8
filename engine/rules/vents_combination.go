package rules

import (
	"trapweir/engine/check"
	"trapweir/engine/job"
	"trapweir/engine/network"
)

// combinationVentPlace looks at the vents that leave a combination waste and vent.
var combinationVentPlace = &check.Rule{
	ID: "cwv-vent-place", Family: "vents", Clause: "combination-vent",
	Doc: "where the book asks it, the vent of a combination waste and vent leaves downstream of the uppermost fixture",
	Why: "above all waste nothing washes the opening, and it closes",
	Try: "let the vent leave downstream of where the uppermost fixture joins",
	Run: func(p *check.Pass) {
		n := p.Net
		m := p.Param("combination.vent-below-top")
		if !given(m) || !m.Yes {
			return
		}
		fromDrains(n, func(v network.VentID, t takeoff) {
			if t.Lower || n.Runs[t.Run].Def.Vented.Text != "combination" {
				return
			}
			vent := &n.Vents[v]
			run := &n.Runs[t.Run]
			switch above, from := wasteAbove(p, t); {
			case above:
				p.Looked(1)
				return
			case from != nil:
				p.Unchecked(p.OnVent(v), vent.Def.At, check.Say{
					Message: "whether " + vent.Name + " leaves " + run.Name + " downstream of the uppermost fixture cannot be told, as where " + from.Name + " joins is not given",
					Ask:     "where does " + from.Name + " join " + run.Name + "? write its `at`", Cite: m.Cite,
				})
				return
			}
			p.Looked(1)
			p.Fault(p.OnVent(v), vent.Def.At, check.Say{Message: vent.Name + " leaves " + run.Name + " above the uppermost fixture of that combination waste and vent", Cite: m.Cite})
		})
	},
}

// wasteAbove: something drains into a run above a take-off, or where it is. Where that hangs
// on a drain whose place is not given, it is not certain, and from is that drain.
func wasteAbove(p *check.Pass, t takeoff) (certain bool, from *network.Run) {
	n := p.Net
	at := t.Seg
	if len(t.dry) > 0 {
		at = t.dry[0]
	}
	for _, s := range n.Runs[t.Run].Segs {
		if seg := &n.Segs[s]; seg.Fixture != network.None || seg.Carries {
			return true, nil
		}
		for _, u := range n.Up(s) {
			r := n.RunOf(u)
			if n.Segs[u].Run == t.Run || dry(p, u) && !p.Loads.AtLeast[u] {
				continue
			}
			if r.Def.Place.Kind != job.NotSaid && !r.Unsaid {
				return true, nil
			}
			from = r
		}
		if s == at {
			break
		}
	}
	return false, from
}
