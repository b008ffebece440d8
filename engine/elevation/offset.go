package elevation

import (
	"math"

	"trapweir/engine/unit"
)

// Rolling is a rolling offset: pipe that moves over and up (or down) at once between two
// fittings of one angle. Lengths are centre to centre.
type Rolling struct {
	Offset  unit.Length // the true offset, square to the pipe
	Travel  unit.Length // along the diagonal piece
	Advance unit.Length // along the pipe
}

// Roll works out a rolling offset that moves by over to the side and by rise in height,
// with fittings of an angle in tenths of a degree (450 for eighth bends). Lengths are
// rounded to the nanometre. An angle of 0 or over 90 degrees gives nothing.
func Roll(over, rise unit.Length, angle int) Rolling {
	if angle <= 0 || angle > 900 {
		return Rolling{}
	}
	o := math.Hypot(float64(over), float64(rise))
	a := float64(angle) * math.Pi / 1800
	return Rolling{
		Offset:  unit.Length(math.Round(o)),
		Travel:  unit.Length(math.Round(o / math.Sin(a))),
		Advance: unit.Length(math.Round(o / math.Tan(a))),
	}
}

// Stake is one point along a line of even slope.
type Stake struct {
	Station unit.Length // from the upper end
	Invert  unit.Length
}

// Stakes gives the inverts of a line of even slope at every step from its upper end, and
// at its lower end.
func Stakes(upper, length unit.Length, s unit.Slope, every unit.Length) []Stake {
	if length < 0 || every <= 0 || !s.Given() || length/every > 10_000 {
		return nil
	}
	var out []Stake
	for at := unit.Length(0); at < length; at += every {
		out = append(out, Stake{at, upper - s.Drop(at)})
	}
	return append(out, Stake{length, upper - s.Drop(length)})
}
