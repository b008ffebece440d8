package network

import (
	"trapweir/engine/unit"
)

// RoleWhy says what decided a role.
type RoleWhy uint8

const (
	WhyNone RoleWhy = iota
	WhyPinned
	WhyArm
	WhyOneFixture
	WhyStackLevels
	WhyStackTall
	WhyStackUnmeasured
	WhyOffset
	WhyJoinsStack
	WhyTakesStack
	WhyTrunk
	WhyJoinsBuildingDrain
	WhyOutside
	WhyToOutlet
	WhyBasin
)

var roleWhyText = [...]string{
	WhyNone:               "",
	WhyPinned:             "the job says so (`role`)",
	WhyArm:                "from the trap weir to the end of the arm",
	WhyOneFixture:         "one trap drains through it",
	WhyStackLevels:        "upright, and more than one floor drains through it",
	WhyStackTall:          "upright for a storey or more, with several fixtures on it",
	WhyStackUnmeasured:    "upright with several fixtures on it; its height is not given",
	WhyOffset:             "a level piece between upright pieces of a stack",
	WhyJoinsStack:         "it reaches the building drain through a stack",
	WhyTakesStack:         "lowest level pipe, it takes what comes down a stack",
	WhyTrunk:              "the level line from the outlet up",
	WhyJoinsBuildingDrain: "it joins the building drain without passing a stack",
	WhyOutside:            "it lies outside the building",
	WhyToOutlet:           "the last line to the point of disposal, nothing joins along it",
	WhyBasin:              "a pump pushes through it",
}

// String gives the reason in words, "" for none.
func (w RoleWhy) String() string { return roleWhyText[w] }

// storey is how tall an upright pipe with several fixtures must be to count as a stack
// when the floors do not tell. Codes define a stack by storeys, not by a length; 8 ft is
// common practice (and what one code family counts as a branch interval).
const storey = 8 * unit.Foot

// roles derives the role of every segment.
func (b *builder) roles() {
	n := b.net
	if len(n.Segs) == 0 {
		return
	}
	traps, floors := n.countTraps()
	n.findStacks(traps, floors, b.said)
	n.deriveRoles(traps, b.said)
}

// floorSet is what is known of the levels that drain through a segment.
type floorSet struct {
	level int32
	many  bool
	any   bool
}

func (f *floorSet) add(level int32) {
	switch {
	case level == None:
	case !f.any:
		f.level, f.any = level, true
	case f.level != level:
		f.many = true
	}
}

// countTraps sums traps (a part that is not drawn counts as two) and floors upstream.
func (n *Net) countTraps() ([]int32, []floorSet) {
	traps := make([]int32, len(n.Segs))
	floors := make([]floorSet, len(n.Segs))
	for i := range n.Segs {
		s := &n.Segs[i]
		if s.Piece == 0 { // what comes in does so at the upper end of a run
			n.comesIn(s, &traps[i], &floors[i])
		}
		if s.Down != None {
			traps[s.Down] += traps[i]
			f := &floors[s.Down]
			if floors[i].many {
				f.many, f.any = true, true
			}
			if floors[i].any {
				f.add(floors[i].level)
			}
		}
	}
	return traps, floors
}

// comesIn counts the traps of a segment's own fixture, part or basin.
func (n *Net) comesIn(s *Seg, traps *int32, floors *floorSet) {
	r := &n.Runs[s.Run]
	if r.Gone {
		return
	}
	if s.Fixture != None {
		*traps++
		floors.add(r.Level)
	}
	if s.Carries {
		*traps += 2
		floors.add(r.CarriedOn)
	}
	if s.Basin {
		*traps += 2
	}
}

// findStacks marks upright segments that are pieces of a stack. An upright stretch is
// followed with the water through runs that go on upright.
func (n *Net) findStacks(traps []int32, floors []floorSet, say []said) {
	var stretch []SegID
	done := make([]bool, len(n.Segs))
	for i := range n.Segs {
		if say[n.Segs[i].Run].basin {
			n.Segs[i].Role, n.Segs[i].RoleWhy = PumpDischarge, WhyBasin
			done[i] = true
		}
	}
	for i := range n.Segs {
		if done[i] || n.Segs[i].Lie != Upright {
			continue
		}
		if u := n.uprightAbove(SegID(i)); u != None {
			continue // starts higher up
		}
		stretch = stretch[:0]
		length, known := unit.Length(0), true
		for s := SegID(i); s != None && n.Segs[s].Lie == Upright && !done[s]; s = n.Segs[s].Down {
			stretch = append(stretch, s)
			done[s] = true
			if traps[s] >= 2 {
				length += n.Segs[s].Length()
				known = known && n.Segs[s].LengthKnown
			}
		}
		top := stretch[0]
		foot := stretch[len(stretch)-1]
		why := WhyNone
		switch {
		case floors[foot].many:
			why = WhyStackLevels
		case traps[foot] >= 2 && known && length >= storey:
			why = WhyStackTall
		case traps[foot] >= 2 && !known:
			why = WhyStackUnmeasured
		}
		// The drop through which the whole house passes on its way out is building drain or
		// sewer, not a stack: outside, or shorter than a storey.
		if why != WhyNone && traps[foot] == traps[n.Outlet] && traps[top] == traps[n.Outlet] &&
			(say[n.Segs[foot].Run].ground == outside || known && length < storey) {
			why = WhyNone
		}
		for _, s := range stretch {
			seg := &n.Segs[s]
			if why != WhyNone && traps[s] >= 2 {
				seg.Role, seg.RoleWhy = Stack, why
			}
		}
	}
	// What the job says stands.
	for i := range n.Segs {
		s := &n.Segs[i]
		if r := say[s.Run].pinned; r != RoleNone {
			if r == Stack && s.Lie != Upright {
				r = StackOffset
			}
			s.Role, s.RoleWhy = r, WhyPinned
		}
	}
}

// uprightAbove returns the upright segment that drains straight on into s, if any.
func (n *Net) uprightAbove(s SegID) SegID {
	for _, u := range n.Up(s) {
		if n.Segs[u].Lie == Upright {
			return u
		}
	}
	return None
}

func (n *Net) deriveRoles(traps []int32, say []said) {
	takesStack := make([]bool, len(n.Segs)) // a stack drains through it
	for i := range n.Segs {
		s := &n.Segs[i]
		if s.Down != None && (takesStack[i] || s.Role == Stack) {
			takesStack[s.Down] = true
		}
	}
	trunk := n.trunk(traps, say)
	plainSewer := n.plainSewer(n.RunOf(n.Outlet))
	drawn := n.drawnTraps()
	stackBelow := make([]bool, len(n.Segs))
	saidBelow := make([]bool, len(n.Segs)) // it reaches a run that the job calls the building drain
	for i := len(n.Segs) - 1; i >= 0; i-- {
		s := &n.Segs[i]
		if s.Down != None {
			d := &n.Segs[s.Down]
			stackBelow[i] = stackBelow[s.Down] || d.Role == Stack
			saidBelow[i] = saidBelow[s.Down] || say[d.Run].pinned == BuildingDrain
		}
		if s.Role != RoleNone {
			continue
		}
		switch {
		case say[s.Run].basin:
			s.Role, s.RoleWhy = PumpDischarge, WhyBasin
		case s.Arm:
			s.Role, s.RoleWhy = TrapArm, WhyArm
		case say[s.Run].ground == outside && trunk[i] && s.Fixture == None:
			s.Role, s.RoleWhy = BuildingSewer, WhyOutside // however little the house has
		case traps[i] == 1 && !takesStack[i] && drawn[i]:
			s.Role, s.RoleWhy = FixtureDrain, WhyOneFixture
		case say[s.Run].ground == outside:
			s.Role, s.RoleWhy = BuildingSewer, WhyOutside
		case plainSewer && n.Runs[s.Run].Receiver == None:
			s.Role, s.RoleWhy = BuildingSewer, WhyToOutlet
			s.UnderGround = s.UnderGround || say[s.Run].ground == placeNotSaid && n.fromDrain()
		case stackBelow[i] && takesStack[i]:
			s.Role, s.RoleWhy = StackOffset, WhyOffset
		case stackBelow[i]:
			s.Role, s.RoleWhy = Branch, WhyJoinsStack
		case s.Lie == Upright && s.Down != None && traps[i] == traps[n.Outlet] && !saidBelow[i]:
			s.Role, s.RoleWhy = BuildingDrain, WhyTrunk
		case takesStack[i]:
			s.Role, s.RoleWhy = BuildingDrain, WhyTakesStack
		case trunk[i]:
			s.Role, s.RoleWhy = BuildingDrain, WhyTrunk
		default:
			s.Role, s.RoleWhy = BuildingDrainBranch, WhyJoinsBuildingDrain
		}
	}
}

// drawnTraps tells of every segment whether one line of pipe leads up from it to a fixture
// that is drawn (not a part that is carried in), however far.
func (n *Net) drawnTraps() []bool {
	drawn := make([]bool, len(n.Segs))
	for i := range n.Segs {
		up := n.Up(SegID(i))
		drawn[i] = n.Segs[i].Fixture != None || len(up) == 1 && drawn[up[0]]
	}
	return drawn
}

// plainSewer reports whether the run to the outlet is a sewer by its shape: exactly one
// run comes in, at its upper end, and it is not upright.
func (n *Net) plainSewer(r *Run) bool {
	if r.Fixture != None || r.Def.Carries.Set {
		return false
	}
	to := n.Job.Outlet.To.Text
	if to == "house drain" || to == "sump" {
		return false
	}
	for k, s := range r.Segs {
		if n.Segs[s].Lie == Upright {
			return false
		}
		in := 0
		for _, u := range n.Up(s) {
			if n.Segs[u].Run != n.Segs[s].Run {
				in++
			}
		}
		if k == 0 && in != 1 || k > 0 && in > 0 {
			return false
		}
	}
	return true
}

// fromDrain: level pipe goes on into the run to the outlet, which is told: the drain of the house
// is a run of its own, so that one lies beyond the wall, in the ground. A stack may stand on
// pipe that begins in the house.
func (n *Net) fromDrain() bool {
	r := n.RunOf(n.Outlet)
	up := n.Up(r.Segs[0])
	return n.Job.Outlet.To.Text != "" && len(up) == 1 && n.Segs[up[0]].Lie == Level
}

// trunk marks the level line from the outlet up: through runs that take nothing along
// their way, and the first run that does. What comes in at the upper end of that one is a
// branch like the others. A drop that is no stack, through which the whole house passes,
// belongs to the line. Where the job calls a run the building drain, what comes into that is
// none of it.
func (n *Net) trunk(traps []int32, say []said) []bool {
	t := make([]bool, len(n.Segs))
	took := false
	s := n.Outlet
	for s != None && (n.Segs[s].Lie != Upright || n.Segs[s].Role != Stack && traps[s] == traps[n.Outlet]) {
		t[s] = true
		next := SegID(None)
		up := n.Up(s)
		for _, u := range up {
			if n.Segs[u].Run == n.Segs[s].Run {
				next = u
			}
		}
		switch {
		case next != None:
			took = took || len(up) > 1
		case len(up) == 1 && !took && (say[n.Segs[s].Run].pinned != BuildingDrain || say[n.Segs[up[0]].Run].pinned == BuildingDrain):
			next = up[0]
		}
		s = next
	}
	return t
}
