package takeoff

import (
	"fmt"
	"math"

	"trapweir/engine/unit"
)

// Bend is the angle by which a fitting turns a pipe, in hundredths of a degree.
type Bend int32

// The bends of the trade, named for their part of a circle.
const (
	ThirtySecond Bend = 1125
	Sixteenth    Bend = 2250
	Eighth       Bend = 4500
	Sixth        Bend = 6000
	Fifth        Bend = 7200
	Quarter      Bend = 9000
)

// String gives degrees: "22.5 degrees".
func (b Bend) String() string {
	switch {
	case b%100 == 0:
		return fmt.Sprintf("%d degrees", b/100)
	case b%10 == 0:
		return fmt.Sprintf("%d.%d degrees", b/100, b%100/10)
	}
	return fmt.Sprintf("%d.%02d degrees", b/100, b%100)
}

// ratios gives 1/sin and 1/tan of the bend. Where these are whole or a plain root they
// are taken as such, so that a 45 degree offset advances exactly as far as it is set.
func (b Bend) ratios() (travel, advance float64) {
	switch b {
	case Eighth:
		return math.Sqrt2, 1
	case Sixth:
		return 2 / math.Sqrt(3), 1 / math.Sqrt(3)
	case Quarter:
		return 1, 0
	}
	sin, cos := math.Sincos(float64(b) / 100 * math.Pi / 180)
	return 1 / sin, cos / sin
}

// Offset is a pipe that two equal bends move sideways and let go on parallel. All three
// lengths are between centres, in whole nanometres; they are rounded from floating point
// and right to the nanometre for anything that fits into a building.
type Offset struct {
	Bend Bend `json:"bend"`
	// Set is how far the pipe is moved, square to its direction. For a rolling offset it is
	// the true set, along the slant.
	Set unit.Length `json:"set"`
	// Travel is the length of the slanted piece.
	Travel unit.Length `json:"travel"`
	// Advance is how far the slanted piece gets in the direction of the pipe.
	Advance unit.Length `json:"advance"`
}

// NewOffset gives the offset of so much set with bends of an angle over 0 and up to 90
// degrees. The set is not negative.
//
// travel = set / sin(bend), advance = set / tan(bend): trigonometry, as in every trade
// handbook.
func NewOffset(set unit.Length, bend Bend) (Offset, error) {
	switch {
	case bend <= 0 || bend > Quarter:
		return Offset{}, fmt.Errorf("bend of %v: expected more than 0 and at most 90 degrees", bend)
	case set < 0:
		return Offset{}, fmt.Errorf("set of %v is negative: write how far the pipe is moved, whichever the side", set)
	}
	travel, advance := bend.ratios()
	return Offset{bend, set, scale(set, travel), scale(set, advance)}, nil
}

// Rolling gives the offset that moves a pipe by so much to the side and so much up or down
// at once (neither negative). Its Set is the slant of the two. Roll is the angle of the
// slant from the side, in hundredths of a degree, by which both bends are turned: 0 when
// there is nothing up or down, 9000 when there is nothing to the side.
func Rolling(side, rise unit.Length, bend Bend) (o Offset, roll int32, err error) {
	if side < 0 || rise < 0 {
		return Offset{}, 0, fmt.Errorf("rolling offset of %v to the side and %v up or down: neither may be negative", side, rise)
	}
	set := scale(1, math.Hypot(float64(side), float64(rise)))
	o, err = NewOffset(set, bend)
	if err != nil {
		return Offset{}, 0, err
	}
	if set > 0 {
		roll = int32(math.Round(math.Atan2(float64(rise), float64(side)) * 180 / math.Pi * 100))
	}
	return o, roll, nil
}

// scale multiplies and rounds to whole nanometres; what is too long for a Length becomes
// the longest one.
func scale(l unit.Length, by float64) unit.Length {
	v := math.Round(float64(l) * by)
	if v >= math.MaxInt64 {
		return math.MaxInt64
	}
	return unit.Length(v)
}

// Sixteenths rounds the three lengths to the nearest 1/16 in, as they are read off a rule.
// Rounding comes last: measures that are worked on are left as they are.
func (o Offset) Sixteenths() Offset {
	const step = unit.Inch / 16
	return Offset{o.Bend, o.Set.Round(step), o.Travel.Round(step), o.Advance.Round(step)}
}

// PipeBetween gives the length of pipe to cut between two points of fittings that are so
// far apart. laying is what each fitting itself takes of that distance, up to the face of
// its hub (nothing for a fitting whose face is the point); engaged is how far the pipe
// goes into each hub.
//
// A result of 0 or less is not a pipe: the fittings do not fit in so little room.
func PipeBetween(apart unit.Length, laying, engaged []unit.Length) unit.Length {
	for _, l := range laying {
		apart -= l
	}
	for _, l := range engaged {
		apart += l
	}
	return apart
}
