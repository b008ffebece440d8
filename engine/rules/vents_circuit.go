package rules

import (
	"strconv"

	"trapweir/engine/check"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// circuitRelief looks for the relief vent of a branch with many water closets on a circuit
// vent that joins a stack under other branches.
var circuitRelief = &check.Rule{
	ID: "circuit-vent-relief", Family: "vents", Clause: "circuit-vent-relief",
	Doc: "a branch on a circuit vent with several water closets, under other branches, has a relief vent at its lower end",
	Why: "what falls from above pushes air into the branch, and the circuit vent stands at its far end",
	Try: "take a relief vent off the branch between the stack and the last trap on the circuit vent",
	Run: func(p *check.Pass) {
		n := p.Net
		least := p.Param("circuit.relief-closets")
		if !given(least) {
			return
		}
		for i := range p.Vents.Circuits {
			c := &p.Vents.Circuits[i]
			closets := c.Closets(n)
			stack := network.SegID(network.None)
			var tail []network.SegID // the branch past the last trap on the vent
			below(n, c.Last, func(s network.SegID) bool {
				if ofStack(n, s) {
					stack = s
					return false
				}
				tail = append(tail, s)
				return true
			})
			p.Looked(1)
			if closets < times(least) || stack == network.None || !loadedAbove(p, stack) {
				continue
			}
			relief, over := reliefAt(p, tail)
			branch := n.RunOf(c.Last)
			on := p.OnRun(n.Segs[c.Last].Run, c.Last)
			switch {
			case relief:
			case over > 0:
				most := p.Param("circuit.relief-units-max")
				p.Fault(on, branch.Def.At, check.Say{
					Message: branch.Name + ": what may be the relief vent of its circuit vent carries " + over.String() + " units; " + most.Text + " is the most",
					Got:     over.String(), Limit: most.Text, Cite: most.Cite,
				})
			case existing(branch):
				p.Unchecked(on, branch.Def.At, check.Say{
					Message: branch.Name + ": whether a relief vent leaves it between the stack and the last trap on its circuit vent is not drawn",
					Ask:     "does a relief vent leave " + branch.Name + " close to " + n.RunOf(stack).Name + "? draw it under `vents`", Limit: least.Text, Cite: least.Cite,
				})
			default:
				p.Fault(on, branch.Def.At, check.Say{
					Message: branch.Name + ": " + strconv.Itoa(closets) + " water closets on its circuit vent, under other branches of " + n.RunOf(stack).Name + ", and no relief vent at its lower end",
					Got:     strconv.Itoa(closets), Limit: least.Text, Cite: least.Cite,
				})
			}
		}
	},
}

// loadedAbove: something comes down the stack from above where a branch joins it.
func loadedAbove(p *check.Pass, s network.SegID) bool {
	for _, u := range p.Net.Up(s) {
		if ofStack(p.Net, u) && p.Loads.Units[u] > 0 {
			return true
		}
	}
	return false
}

// reliefAt looks along the lower end of a branch, past the upper end of its first piece, for
// a vent to the open air or the drain of something small that has one. Where the only such
// drain carries too much, over is what it carries.
func reliefAt(p *check.Pass, tail []network.SegID) (ok bool, over unit.Load) {
	n := p.Net
	most := p.Param("circuit.relief-units-max")
	for i, s := range tail {
		for _, u := range n.Up(s) {
			if i == 0 || u == tail[i-1] || !ownVentAbove(p, u) {
				continue
			}
			if l := p.Loads.Units[u]; !given(most) || int64(l)*100 <= most.Number*int64(unit.Unit) {
				return true, 0
			} else if over == 0 || l < over {
				over = l
			}
		}
		if opensAt(n, s) {
			return true, 0
		}
	}
	return false, over
}

// ownVentAbove: a trap that drains through a segment has a vent of its own to the open air.
func ownVentAbove(p *check.Pass, s network.SegID) bool {
	n := p.Net
	for i := range n.Fixtures {
		r := p.Vents.Trap[i].Reading()
		if r == nil || r.Vent == network.None {
			continue
		}
		if end, _, _ := n.Outdoors(r.Vent); end != network.ThroughRoof && end != network.SideWall {
			continue
		}
		if passes(n, n.Fixtures[i].Seg, s) {
			return true
		}
	}
	return false
}
