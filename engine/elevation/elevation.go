// Package elevation works out how high every piece of pipe lies: invert and centre line at
// both ends of every segment, from the outlet upstream, by slopes and drops.
//
// Heights are above the job's datum, up positive. What cannot be worked out says so; a
// height is never guessed.
package elevation

import (
	"trapweir/engine/unit"
)

// Height is a height above the datum, when Known.
type Height struct {
	V     unit.Length
	Known bool
}

// Levels are the heights of the pipe, by SegID.
type Levels struct {
	// InvertUp and InvertLow are the inside bottom at the upper and lower end.
	InvertUp, InvertLow []Height
}
