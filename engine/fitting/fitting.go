// Package fitting names the fitting at every join, turn, trap, closet, vent take-off and
// cleanout of a job: its pattern, its sizes, its place, its hand and why.
//
// A fitting that the job states is kept as it is and marked Pinned; whether a code allows
// it is for the rules to say. Where the job states none, the pattern is the one that the
// geometry asks for and the book's table of fittings by change of direction permits.
// Nothing is counted or priced here.
package fitting

import (
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// Does is what a fitting is there for.
type Does uint8

const (
	Join     Does = iota // a pipe comes in at the side of another
	Turn                 // a pipe changes direction, or goes on in another run
	Reduce               // the pipe gets larger with the flow, without a join or turn
	Trap                 // a P-trap below a fixture
	Closet               // flange and bend under a water closet
	Takeoff              // a vent leaves a drain
	VentTurn             // a vent changes direction
	VentJoin             // a vent comes into another vent
	VentEnd              // what closes a vent: a valve, a cap
	Cleanout
)

var doesWords = [...]string{"join", "turn", "reducer", "trap", "closet", "vent take-off", "vent turn", "vent join", "vent end", "cleanout"}

// String gives the words for lists.
func (d Does) String() string { return doesWords[d] }

// Change is the change of direction, which is the column of the books' fitting tables.
type Change uint8

const (
	NoChange Change = iota // straight on, or not a change that the tables speak of
	LevelToUpright
	UprightToLevel
	LevelToLevel
)

// String is the head of the column.
func (c Change) String() string {
	return [...]string{"", "level-to-upright", "upright-to-level", "level-to-level"}[c]
}

// Hand is the side that a branch comes from, or a turn goes to, looking with the flow.
type Hand uint8

const (
	NoHand Hand = iota // not known, or neither side
	Left
	Right
)

// String gives "", "left" or "right".
func (h Hand) String() string { return [...]string{"", "left", "right"}[h] }

// Place is where a fitting stands.
type Place struct {
	Run   network.RunID // None on a vent
	Vent  network.VentID
	Seg   network.SegID // the fitting stands at its upper end, or at its lower end if Lower
	Lower bool
	// Station is the distance from the upper end of the run (the take-off of a vent).
	Station unit.Length
	Known   bool
}

// Fitting is one fitting, or Count of them in a row (two eighth bends for a quarter turn).
type Fitting struct {
	Kind   string // the pattern: "wye", "combo", "sanitary tee", "long sweep", "p-trap" ...
	Does   Does
	Change Change
	At     Place
	Count  int
	// In is the size of the pipe that goes through where it comes in, Out where it leaves,
	// Branch of what comes in at the side. 0: there is none, or its size is not known.
	In, Out unit.Size
	Branch  []unit.Size
	// From are the segments that come in at the side (of a turn, through the inlet of a bend
	// that has one); Through the one that goes through,
	// or None. Into is the segment that leaves.
	From    []network.SegID
	Through network.SegID
	Into    network.SegID
	// Turn is the change of direction in tenths of a degree, -1 where it is not known.
	Turn int
	Hand Hand
	// Plan: the turn is in plan (no upright pipe takes part).
	Plan bool
	// Pinned: the job states it, in Word.
	Pinned bool
	Word   job.Word
	// Open: a direction is not known, and the pattern is the usual one.
	Open bool
	Why  string
}

// Size gives the sizes as they are called out: run in, run out, branch ("4 x 3 x 2"); one
// size where they are all the same.
//
// A closet flange or bend is called by its inlet first: 4 x 3.
func (f *Fitting) Size() string {
	if f.Does == Closet && f.In != f.Out && f.In != 0 {
		return f.In.Short() + " x " + f.Out.Short()
	}
	sizes := []unit.Size{f.Out}
	if f.In != 0 && f.In != f.Out {
		sizes = append(sizes, f.In)
	} else if len(f.Branch) > 0 && f.In != 0 {
		sizes = append(sizes, f.In)
	}
	sizes = append(sizes, f.Branch...)
	same := true
	for _, s := range sizes {
		same = same && s == sizes[0]
	}
	if same {
		return sizes[0].Short()
	}
	out := ""
	for i, s := range sizes {
		if i > 0 {
			out += " x "
		}
		out += s.Short()
	}
	return out
}

// CutLength is the length of the pipe between two fittings: the distance between their
// centres less the laying lengths (centre of a fitting to the stop in its socket) at both
// ends. A negative answer means that the fittings do not fit between the two points.
func CutLength(centres unit.Length, layings ...unit.Length) unit.Length {
	for _, l := range layings {
		centres -= l
	}
	return centres
}
