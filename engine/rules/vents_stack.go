package rules

import (
	"strconv"

	"trapweir/engine/check"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// offsetVent counts branch intervals above a level offset. A jog at 45 degrees or steeper
// is upright pipe and no offset. The intervals of a stack are at most one for each height
// of an interval that it has; a house reaches the limit only with five floors.
var offsetVent = &check.Rule{
	ID: "offset-needs-vent", Family: "vents", Clause: "offset-vent",
	Doc: "a level offset low in a tall stack is vented",
	Why: "what falls from many floors fills the offset and blows the traps near it",
	Try: "vent the stack above and below the offset, or size it up as the book allows",
	Run: func(p *check.Pass) {
		n := p.Net
		most, span := p.Param("offset-vent.intervals"), p.Param("branch-interval")
		if !given(most) {
			return
		}
		for i := range n.Segs {
			s := network.SegID(i)
			if n.Segs[i].Role != network.StackOffset {
				continue
			}
			p.Looked(1)
			if int(p.Loads.Intervals[s]) <= times(most) {
				continue
			}
			// More in the whole stack than are free: count those above by the height above.
			above, known := heightAbove(n, s)
			if known && given(span) && span.Length > 0 && int(above/span.Length)+1 <= times(most) {
				continue
			}
			run := n.RunOf(s)
			if !known || !given(span) || ventNear(n, s) {
				p.Unchecked(p.OnRun(n.Segs[s].Run, s), run.Def.At, check.Say{
					Message: run.Name + ": how many branch intervals stand above its offset, or how it is vented, cannot be told",
					Ask:     "how many branch intervals enter above the offset of " + run.Name + ", and which vents leave just above and below it?", Limit: most.Text, Cite: most.Cite,
				})
				continue
			}
			got := strconv.Itoa(int(above/span.Length) + 1)
			p.Warn(p.OnRun(n.Segs[s].Run, s), run.Def.At, check.Say{
				Message: run.Name + ": up to " + got + " branch intervals stand above its level offset; over " + most.Text + " the offset is vented",
				Got:     got, Limit: most.Text, Cite: most.Cite,
			})
		}
	},
}

// heightAbove is the upright length of the stack above an offset.
func heightAbove(n *network.Net, s network.SegID) (h unit.Length, known bool) {
	known = true
	for {
		next := network.SegID(network.None)
		for _, u := range n.Up(s) {
			if r := n.Segs[u].Role; r == network.Stack || r == network.StackOffset {
				next = u
			}
		}
		if next == network.None {
			return h, known
		}
		if s = next; n.Segs[s].Lie == network.Upright {
			h += n.Segs[s].Length()
			known = known && n.Segs[s].LengthKnown
		}
	}
}

// ventNear: a vent leaves the offset or the piece below it.
func ventNear(n *network.Net, s network.SegID) bool {
	for i := range n.Vents {
		for _, t := range n.Vents[i].Takes {
			if t.Seg == s || t.Seg == n.Segs[s].Down {
				return true
			}
		}
	}
	return false
}

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
