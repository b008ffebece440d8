// Package elevation works out how high every piece of pipe lies and where it lies in plan:
// invert and centre line at both ends of every segment, what fall there is and what is
// needed, what is short or to spare, and the profile from the farthest fixture down.
//
// Heights are above the job's datum, up positive. What cannot be worked out says so; a
// height is never guessed, and a slope that is not given is not taken: where it is missing
// the answer is the range from the flattest that the book permits to the steepest that
// fits.
//
// How pipes of different sizes meet: centre line on centre line, everywhere, at joins as
// well as at a change of size in a line. The invert of a 2 in branch at a 4 in drain thus
// lies 1 in over the drain's. A stack's foot and what joins a stack are told by the axis
// of the stack; the invert of upright pipe at a point is that of level pipe of its size
// there. Sizes are nominal; outside diameters come in only for cover and room.
//
// Heights along a fall are rounded to the nanometre, so that they are exact wherever the
// fall is a whole number of 64ths of an inch.
package elevation

import (
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// Height is a height above the datum, when Known.
type Height struct {
	V     unit.Length
	Known bool
}

// known makes a height.
func known(v unit.Length) Height { return Height{v, true} }

// plus moves a height; one that is not known stays so.
func (h Height) plus(d unit.Length) Height {
	if h.Known {
		h.V += d
	}
	return h
}

// Point is a place in plan, east and north of the outlet, when Known.
type Point struct {
	X, Y  unit.Length // east, north
	Known bool
}

// From says where the slope of a segment comes from.
type From uint8

const (
	NotKnown From = iota // not given and not to be found
	Given                // the job says it
	Found                // worked out from the inverts at the two ends of the run
	Plumb                // upright, or a leg with an angle of its own: the fall is the leg's
)

// String gives the words for tables.
func (f From) String() string {
	return [...]string{"not given", "given", "found from its two ends", "by its angle"}[f]
}

// Levels are the heights of the pipe, by SegID unless said otherwise.
type Levels struct {
	// InvertUp and InvertLow are the inside bottom at the upper and lower end. At the
	// lower end it is where the pipe itself arrives (see Run.Spare).
	InvertUp, InvertLow []Height
	// CentreUp and CentreLow are the centre line; of upright pipe, the point on its axis.
	CentreUp, CentreLow []Height
	// Slope of level pipe; Run == 0 where not known. Against the flow it is below zero.
	Slope     []unit.Slope
	SlopeFrom []From
	// Fall is what the segment falls in all, when Known.
	Fall []Height
	// LowestUp is the lowest that the invert at the upper end can lie: from the outlet up
	// with the slopes that are given, and the flattest permitted ones where none is.
	LowestUp []Height
	// HighestUp and HighestLow are the highest that the inverts may lie so that every
	// fixture upstream can still be served; not known where nothing upstream binds.
	HighestUp, HighestLow []Height
	// Loose: a length upstream is not known, so Highest is a bound that may be too high.
	Loose []bool
	// Binds is the fixture (or the run with a given invert) that sets Highest, by its run.
	Binds []network.RunID
	// PlanUp and PlanLow are the ends in plan.
	PlanUp, PlanLow []Point
	// Walls are the faces that stubs are measured from, as far as their places are known.
	Walls []Wall
	// Run is by RunID, Serve by FixID.
	Run   []Fit
	Serve []Serve
	// Outlet sums up the whole system.
	Outlet Outlet

	below []levelPipe
}

// Fit tells how a run fits between what it joins and what is known of its upper end.
type Fit struct {
	// Arrive is the invert with which the run arrives; Meet the invert with which it
	// would join what it drains into, centre on centre.
	Arrive, Meet Height
	// Spare is how much higher it arrives than it meets: fall that is left and must be
	// taken in a drop. Below zero it arrives too low, by so much. Only when SpareKnown.
	Spare      unit.Length
	SpareKnown bool
	// Level is the length of its level pieces, Drop the fall of all others; both only when
	// LengthKnown.
	Level, Drop unit.Length
	LengthKnown bool
	// Missing: it has level pipe and no slope is given or found.
	Missing bool
	// Flattest is the least slope that the book permits for its size (Run == 0: no row).
	Flattest unit.Slope
	// Steepest is the steepest slope at which everything upstream is still served, all
	// else lying as flat as it may; when SteepestKnown. Flatter than Flattest: nothing fits.
	Steepest      unit.Slope
	SteepestKnown bool
}

// Bound tells whether the steepest slope is worth telling: from 45 degrees up a pipe is no
// level pipe, and there is more fall than any slope could take.
func (f *Fit) Bound() bool {
	return f.SteepestKnown && f.Steepest.Cmp(unit.MakeSlope(1, 1)) < 0
}

// Serve tells at what height a fixture is met.
type Serve struct {
	// Upper is the invert at the upper end of the fixture's pipe.
	Upper Height
	// Floor is the floor that it stands on.
	Floor Height
	// Limit is the highest that the invert may lie: the pipe, by its outside, stays under
	// the floor (under the slab where there is one). Known only for fixtures that drain
	// through the floor.
	Limit Height
	// Spare is Limit over the invert (or over the lowest that it can lie, where slopes
	// are missing), below zero: short by so much; when SpareKnown.
	Spare      unit.Length
	SpareKnown bool
}

// Outlet is the fall of the whole system.
type Outlet struct {
	// Invert is the invert of the point of disposal, as the job gives it.
	Invert Height
	// AtOrBelow is the highest that it may lie so that everything is served; Loose as in
	// Levels. Not known where nothing upstream binds.
	AtOrBelow Height
	Loose     bool
	// Binds is the run that sets AtOrBelow, None for none.
	Binds network.RunID
	// Needed and Available are the fall from Binds to the outlet; Available only where
	// Invert is known.
	Needed, Available Height
}
