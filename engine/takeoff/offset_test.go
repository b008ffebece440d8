package takeoff

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"trapweir/engine/unit"
)

func inches(f float64) unit.Length { return unit.Length(math.Round(f * float64(unit.Inch))) }

// near reports whether two lengths are printed alike to so many inches.
func near(a unit.Length, want, within float64) bool {
	return math.Abs(float64(a)/float64(unit.Inch)-want) <= within
}

func TestOffset(t *testing.T) {
	tests := []struct {
		set             float64 // inches
		bend            Bend
		travel, advance float64 // inches, as printed
		within          float64 // half of the last place that is printed
		from            string
	}{
		{1, Eighth, 1.414, 1, 0.0005, "trade reference answer, How to calculate a pipe offset: factors 1.414 at 45"},
		{1, Sixth, 1.155, 0.577, 0.0005, "the same: 1.155 at 60; advance 0.577, common practice"},
		{1, Sixteenth, 2.613, 2.414, 0.0005, "the same: 2.613 at 22.5; advance 2.414, common practice"},
		{10, Eighth, 14.14, 10, 0.005, "common practice: 10 in times 1.414"},
		{4, Sixteenth, 10.45, 9.66, 0.005, "common practice: 4 in times 2.613 and 2.414"},
		{10, Fifth, 10.515, 3.249, 0.0005, "1/sin 72 = 1.05146, 1/tan 72 = 0.32492: trigonometric table, from memory"},
		{1, ThirtySecond, 5.126, 5.027, 0.0005, "1/sin 11.25 = 5.12583, 1/tan 11.25 = 5.02734: trigonometric table, from memory"},
		{7, Quarter, 7, 0, 0, "square: the slanted piece is the set"},
		{0, Eighth, 0, 0, 0, "no set, no travel"},
	}
	for _, tt := range tests {
		o, err := NewOffset(inches(tt.set), tt.bend)
		if err != nil {
			t.Error(err)
			continue
		}
		if !near(o.Travel, tt.travel, tt.within) || !near(o.Advance, tt.advance, tt.within) {
			t.Errorf("set %v in at %v: travel %v, advance %v; want %v and %v in (%s)", tt.set, tt.bend, o.Travel.Inches(), o.Advance.Inches(), tt.travel, tt.advance, tt.from)
		}
	}
}

// Trade reference answer, How to calculate a pipe offset (45 degree rolling offset): the
// true offset and the advance are 14.42 in. The 8 and 12 in are worked back from it.
func TestRollingPublished(t *testing.T) {
	o, roll, err := Rolling(8*unit.Inch, 12*unit.Inch, Eighth)
	if err != nil {
		t.Fatal(err)
	}
	if !near(o.Set, 14.42, 0.005) || !near(o.Advance, 14.42, 0.005) || !near(o.Travel, 20.4, 0.05) {
		t.Errorf("set %v, advance %v, travel %v; printed 14.42, 14.42 and by the factor 20.4", o.Set.Inches(), o.Advance.Inches(), o.Travel.Inches())
	}
	if roll != 5631 { // atan(12/8) = 56.31 degrees
		t.Errorf("rolled by %d hundredths of a degree, want 5631", roll)
	}
	s := o.Sixteenths()
	if s.Set != 14*unit.Inch+7*unit.Inch/16 || s.Travel != 20*unit.Inch+6*unit.Inch/16 {
		t.Errorf("in sixteenths: set %v, travel %v; want 14-7/16 and 20-3/8", s.Set.Inches(), s.Travel.Inches())
	}
}

// Modern Plumbing (Goodheart-Willcox 2022), ch. 21, p. 325: a double sanitary tee set for
// two bathtubs, and the closet's pipe cut to length.
func TestTeeAndClosetPipePublished(t *testing.T) {
	fall := unit.PerFoot(1, 4).Drop(9*unit.Foot + 6*unit.Inch)
	if want := 2*unit.Inch + 3*unit.Inch/8; fall != want {
		t.Errorf("9-1/2 ft at 1/4 in per ft fall %v, printed 2-3/8 in", fall.Inches())
	}
	if got, want := unit.Inch+fall, 3*unit.Inch+3*unit.Inch/8; got != want {
		t.Errorf("the side inlets are %v below the joist, printed 3-3/8 in", got.Inches())
	}
	// 16 in from the centre of the flange to the inlet of the tee, 3 in laying length of the
	// quarter bend, 1-1/2 in allowance at the tee, read as the depth of its hub.
	got := PipeBetween(16*unit.Inch, []unit.Length{3 * unit.Inch}, []unit.Length{unit.Inch * 3 / 2})
	if want := 14*unit.Inch + unit.Inch/2; got != want {
		t.Errorf("the pipe is %v, printed 14-1/2 in", got.Inches())
	}
}

// Travel, set and advance are the sides of a right triangle, whatever the bend.
func TestOffsetIsARightTriangle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		side := unit.Length(rapid.Int64Range(0, int64(100*unit.Foot)).Draw(t, "side"))
		rise := unit.Length(rapid.Int64Range(0, int64(100*unit.Foot)).Draw(t, "rise"))
		bend := Bend(rapid.Int32Range(100, 9000).Draw(t, "bend"))
		o, roll, err := Rolling(side, rise, bend)
		if err != nil {
			t.Fatal(err)
		}
		travel, set, advance := float64(o.Travel), float64(o.Set), float64(o.Advance)
		if d := math.Abs(travel - math.Sqrt(set*set+advance*advance)); d > 4 {
			t.Fatalf("travel is off by %v nm", d)
		}
		if d := math.Abs(set*set - float64(side)*float64(side) - float64(rise)*float64(rise)); d > 4*(set+1) {
			t.Fatalf("set is off: %v of %v and %v", o.Set, side, rise)
		}
		if o.Set > 0 && (roll < 0 || roll > 9000) || o.Travel < o.Set || o.Set < max(side, rise) {
			t.Fatalf("rolled by %d, travel %v, set %v", roll, o.Travel, o.Set)
		}
	})
}

func TestOffsetRefuses(t *testing.T) {
	for _, tt := range []struct {
		set  unit.Length
		bend Bend
		want string
	}{
		{unit.Inch, 0, "bend of 0 degrees: expected more than 0 and at most 90 degrees"},
		{unit.Inch, 9150, "bend of 91.5 degrees: expected more than 0 and at most 90 degrees"},
		{-2 * unit.Inch, Eighth, "set of " + (-2 * unit.Inch).String() + " is negative: write how far the pipe is moved, whichever the side"},
	} {
		if _, err := NewOffset(tt.set, tt.bend); err == nil || err.Error() != tt.want {
			t.Errorf("%v at %v: %v, want %s", tt.set, tt.bend, err, tt.want)
		}
	}
	if _, _, err := Rolling(-1, unit.Inch, Eighth); err == nil {
		t.Error("a negative side is taken")
	}
	if o, err := NewOffset(math.MaxInt64, ThirtySecond); err != nil || o.Travel != math.MaxInt64 {
		t.Errorf("the longest set gives a travel of %d, %v", o.Travel, err)
	}
	if got := ThirtySecond.String(); got != "11.25 degrees" {
		t.Errorf("1125 is written %q", got)
	}
}
