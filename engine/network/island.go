package network

import "slices"

// IsLoop reports whether a vent is the loop of an island: it comes down again to a drain, or
// the job calls it one.
func (n *Net) IsLoop(v VentID) bool {
	x := &n.Vents[v]
	return x.End == JoinsRun || x.Def.Role.Text == "loop"
}

// FootOf reports whether vent o is a foot vent of a loop: it leaves the loop itself, its own
// fixture's drain, or the drain that the loop comes down to. Of that, not above where the loop
// comes in if other waste comes down there: air that has to come past it is no foot vent's. Nor
// is one that goes on into a loop, this one or another.
func (n *Net) FootOf(loop, o VentID) bool {
	x, foot := &n.Vents[loop], &n.Vents[o]
	path := n.Path(o)
	if o == loop || n.IsLoop(path[len(path)-1]) {
		return false
	}
	if slices.Contains(foot.Feeds, loop) {
		return true
	}
	for _, t := range foot.Takes {
		switch {
		case x.takesRun(t.Run):
			return true
		case x.IntoRun == None || t.Run != n.Segs[x.IntoRun].Run:
		case t.Lower || t.Seg > x.IntoRun || t.Seg == x.IntoRun && x.IntoOff == 0 || !n.otherWaste(x.IntoRun, x):
			return true
		}
	}
	return false
}

// LoopAir reports how the air of a loop comes in: ThroughRoof or SideWall where it or a foot
// vent ends so, EndUnknown where a foot vent of which the end is not given might, Capped where
// there is none. A loop that joins another one has that one's.
func (n *Net) LoopAir(loop VentID) VentEnd {
	switch end, _, _ := n.Outdoors(loop); end {
	case ThroughRoof, SideWall:
		return end
	}
	path := n.Path(loop)
	if last := path[len(path)-1]; n.IsLoop(last) {
		loop = last
	}
	air := Capped
	for i := range n.Vents {
		if !n.FootOf(loop, VentID(i)) {
			continue
		}
		switch end, _, _ := n.Outdoors(VentID(i)); end {
		case ThroughRoof, SideWall:
			return end
		case EndUnknown:
			air = end
		}
	}
	return air
}

// LoopInWaste is the drain that a loop comes down to where that is not its fixture's own and
// more drains past there, None otherwise.
func (n *Net) LoopInWaste(loop VentID) RunID {
	x := &n.Vents[loop]
	if x.IntoRun == None || x.takesRun(n.Segs[x.IntoRun].Run) || !n.otherWaste(x.IntoRun, x) {
		return None
	}
	return n.Segs[x.IntoRun].Run
}

// takesRun: the vent leaves a run.
func (v *Vent) takesRun(r RunID) bool {
	return slices.ContainsFunc(v.Takes, func(t Takeoff) bool { return t.Run == r })
}

// otherWaste: more than the drains that a vent leaves comes down past the upper end of a segment.
func (n *Net) otherWaste(s SegID, v *Vent) bool {
	for _, u := range n.Up(s) {
		if x := &n.Segs[u]; !v.takesRun(x.Run) && (x.Fixture != None || x.Carries || x.Basin || n.otherWaste(u, v)) {
			return true
		}
	}
	return false
}
