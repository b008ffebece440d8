// Package network turns the words of a job into pipes that join: a tree of drain
// segments that flows to one outlet, and a tree of vent segments that ends outdoors.
//
// It derives what each segment is (its role, whether it lies level or upright, on which
// level) and says why. It knows no loads, no sizes and no codes. A Net is never changed
// after Join; what later stages learn sits beside it, in slices indexed by SegID.
package network

import (
	"trapweir/engine/catalog"
	"trapweir/engine/job"
	"trapweir/engine/source"
	"trapweir/engine/unit"
)

// SegID numbers drain segments. Invariant: every segment that drains into s has a lower
// number than s, so one pass upward over the numbers walks with the water.
type SegID int32

// RunID numbers runs in job order, VentID vents in name order, FixID fixtures as they are met
// going up from the outlet, all from 0; -1 is none.
type (
	RunID  int32
	FixID  int32
	VentID int32
)

// None is the -1 of every id type.
const None = -1

// Lie is how a pipe lies. The codes' line is 45 degrees: at 45 degrees or less from
// plumb a pipe is upright.
type Lie uint8

const (
	LieUnknown Lie = iota // no legs given: taken as level, and said
	Level
	Upright
)

// String gives "level", "upright" or "not known".
func (l Lie) String() string { return [...]string{"not known", "level", "upright"}[l] }

// Role chooses the table.
type Role uint8

const (
	RoleNone Role = iota
	TrapArm
	FixtureDrain
	Branch              // horizontal branch of a stack, with its upright parts
	BuildingDrainBranch // branch of the building drain
	Stack
	StackOffset // level piece of a stack
	BuildingDrain
	BuildingSewer
	PumpDischarge
)

var roleWords = [...]string{"", "trap arm", "fixture drain", "branch", "building drain branch", "stack", "stack offset", "building drain", "building sewer", "pump discharge"}

// Roles is how many roles there are, RoleNone among them.
const Roles = len(roleWords)

// String gives the words of the job file and the books.
func (r Role) String() string { return roleWords[r] }

// ParseRole is the inverse of String; ok is false for an unknown word.
func ParseRole(s string) (Role, bool) {
	for i, w := range roleWords {
		if i > 0 && w == s {
			return Role(i), true
		}
	}
	return RoleNone, false
}

// Seg is a straight piece of run between joins, turns or its ends. Wide fields stand before
// narrow ones: a large net is mostly these.
type Seg struct {
	// From and To are distances from the run's upper end (the weir, for a fixture's run).
	// LengthKnown is false when any of the two is not known; they then only order.
	From, To    unit.Length
	Run         RunID
	Piece       int32 // 0 for the first (uppermost) segment of its run
	Down        SegID // the segment it drains into, None at the outlet
	Fixture     FixID // the fixture at its upper end, or None
	Way         job.Way
	WayKnown    bool // plan direction known (always true for plumb pipe)
	LengthKnown bool
	Lie         Lie
	Arm         bool // part of the stated trap arm
	Carries     bool // the run's `carries` comes in at its upper end
	Basin       bool // a pump basin is at its upper end
	Lifted      bool // what passes it runs into the basin of a pump, or is pushed by one
	Role        Role
	RoleWhy     RoleWhy
	// UnderGround: under ground, under a slab or outside.
	UnderGround bool
}

// Length is the developed length, 0 when not known (see LengthKnown).
func (s *Seg) Length() unit.Length {
	if !s.LengthKnown {
		return 0
	}
	return s.To - s.From
}

// Fixture is one trap with what stands on it.
type Fixture struct {
	Run   RunID
	Seg   SegID         // the segment that starts at its trap
	Kind  *catalog.Kind // nil when the word is not known (reported)
	Def   *job.Fixture
	Level int32 // as for Run
	Room  string
	// Beside are the kinds that stand on the same trap, the fixture itself left out.
	Beside []*catalog.Kind
	// Washes: a dishwasher empties into this kitchen sink, however the job says so. The books
	// list the sink with or without one: it is none of those beside it.
	Washes bool
}

// Run is a drain pipe as written, with its segments.
type Run struct {
	Name     string
	Def      *job.Run
	Receiver RunID   // None at the outlet
	Segs     []SegID // uppermost first; at least one
	Fixture  FixID   // at its upper end, or None
	Level    int32   // index into Job.Levels, below None for a level that is only named, or None
	// Carried are the kinds of the fixtures in `carries`, one entry a fixture; CarriedOn
	// is their level.
	Carried   []*catalog.Kind
	CarriedOn int32
	// IntoVent is the vent that the job lets this run drain into, or None. Waste in a
	// dry vent is a finding, not a fault of the writing: the run is carried on to where
	// that vent leaves a drain.
	IntoVent VentID
	// Gone: the job takes it out. It is drawn, and nothing that it took counts any more.
	Gone bool
	// Unsaid: where it joins its receiver was not said and matters (it could lie on
	// either side of something).
	Unsaid bool
}

// VentEnd is how a vent ends.
type VentEnd uint8

const (
	EndUnknown VentEnd = iota
	ThroughRoof
	SideWall
	AirAdmittanceValve
	Capped
	JoinsVent
	JoinsRun // a loop back into a drain
)

// Vent is a vent pipe as written.
type Vent struct {
	Name  string
	Def   *job.Vent
	Takes []Takeoff // where it leaves drains, or None for vents that only collect vents
	End   VentEnd
	Into  VentID // JoinsVent
	// IntoRun is the piece of a drain that the vent comes down to (JoinsRun), and IntoOff how
	// far below the upper end of that; with no place given that is the upper end of the run.
	IntoRun SegID
	IntoOff unit.Length
	// Feeds are vents that join this one.
	Feeds       []VentID
	Length      unit.Length // developed length of its own legs
	LengthKnown bool
	Level       unit.Length // part of it that lies level
}

// Takeoff is where a vent leaves a drain: at the upper end of Seg (so the air of
// everything that passes this point), at distance At along Seg's run.
type Takeoff struct {
	Seg   SegID // the segment whose upper end is the take-off point; None: the very lower end of the run
	Run   RunID
	At    unit.Length
	Known bool // At is a known distance
	Lower bool // at the lower end of Run, where it meets its receiver
	Span  source.Span
}

// Net is the whole system.
type Net struct {
	Job      *job.Job
	Runs     []Run
	Segs     []Seg
	Fixtures []Fixture
	Vents    []Vent
	Walls    []Wall // those of the job, in its order
	Outlet   SegID  // the segment that reaches the outlet, None when the job has no runs
	// up lists, for segment s, the segments that drain into it: ups[upAt[s]:upAt[s+1]].
	upAt []int32
	ups  []SegID

	byGravity bool // a trap, or a part that is not drawn, drains without a pump
	byName    map[string]Named
	floors    map[string]int32 // level names to what Run.Level holds
}

// Up returns the segments that drain directly into s: the upper piece of the same run
// first, then joining runs in name order.
func (n *Net) Up(s SegID) []SegID { return n.ups[n.upAt[s]:n.upAt[s+1]] }

// Named is what a name in the job stands for: a run or a vent, the other is None.
type Named struct {
	Run  RunID
	Vent VentID
}

// Find returns what a name stands for; ok is false for a name that is not in the job.
func (n *Net) Find(name string) (Named, bool) {
	x, ok := n.byName[name]
	return x, ok
}

// RunOf returns the run that a segment is a piece of.
func (n *Net) RunOf(s SegID) *Run { return &n.Runs[n.Segs[s].Run] }
