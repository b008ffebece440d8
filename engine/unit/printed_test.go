package unit

import "testing"

// 1/4 in per ft is 2 % and 1/8 in per ft 1 % in print beside each other; exactly they are
// 2.083 and 1.042, so 2.08 and 1.04 to the hundredth (hydraulics handbook values, computed).
func TestReaches(t *testing.T) {
	for _, tt := range []struct {
		s, least string
		want     bool
	}{
		{"2%", "1/4 in per ft", true},
		{"1:50", "1/4 in per ft", true},
		{"20 mm per m", "1/4 in per ft", true},
		{"1:48", "1/4 in per ft", true},
		{"2.08%", "1/4 in per ft", true},
		{"1.04%", "1/8 in per ft", true},
		{"1.56%", "3/16 in per ft", true},
		{"2.07%", "1/4 in per ft", false},
		{"1.03%", "1/8 in per ft", false},
		{"1.99%", "1/4 in per ft", false},
		{"1.9%", "1/4 in per ft", false},
		{"15/64 in per ft", "1/4 in per ft", false},
		{"1.5%", "1/4 in per ft", false},
		{"1%", "1/8 in per ft", true},
		{"0.99%", "1/8 in per ft", false},
		{"4%", "1/2 in per ft", true},
		{"0.5%", "1/16 in per ft", true},
		{"1%", "1/4 in per ft", false},
		{"1%", "1:50", false},
		{"1:51", "1:50", false},
		{"level", "1/4 in per ft", false},
	} {
		s, err := ParseSlope(tt.s)
		if err != nil {
			t.Fatal(err)
		}
		least, err := ParseSlope(tt.least)
		if err != nil {
			t.Fatal(err)
		}
		if got := s.Reaches(least); got != tt.want {
			t.Errorf("%s reaches %s: %v, want %v", tt.s, tt.least, got, tt.want)
		}
	}
	if (Slope{}).Reaches(PerFoot(1, 4)) || !PerFoot(1, 4).Reaches(Slope{}) {
		t.Error("a slope that is not given")
	}
}

// The steps of a shower's flow as books print them in gallons and in litres: 5.7 gpm and
// 0.36 L/s, 12.3 and 0.78, 25.8 and 1.63, 55.6 and 3.51 (from memory; the second is the first
// converted and rounded). A step is not passed by its own figure in litres, and is by the next.
func TestFlowLeast(t *testing.T) {
	for _, tt := range []struct {
		s     string
		limit Flow
		over  bool
	}{
		{"0.36 L/s", 5700, false},
		{"0.37 L/s", 5700, true},
		{"0.360 L/s", 5700, false},
		{"0.361 L/s", 5700, true},
		{"0.78 L/s", 12300, false},
		{"0.79 L/s", 12300, true},
		{"1.63 L/s", 25800, false},
		{"1.64 L/s", 25800, true},
		{"3.51 L/s", 55600, false},
		{"3.52 L/s", 55600, true},
		{"21.6 L/min", 5700, false},
		{"21.7 L/min", 5700, true},
		{"22 lpm", 5700, true},
		{"0.4 L/s", 5700, true},
		{"5.7 gpm", 5700, false},
		{"5.701 gpm", 5700, true},
	} {
		v, least, err := ParseFlowLeast(tt.s)
		if err != nil {
			t.Fatal(err)
		}
		if least > v || v-least > 100 {
			t.Errorf("%s is %v, at least %v", tt.s, v, least)
		}
		if got := least > tt.limit; got != tt.over {
			t.Errorf("%s over %v: %v, want %v (%v)", tt.s, tt.limit, got, tt.over, least)
		}
	}
}

// A urinal of 1 gal is printed as 3.8 L, a water closet of 1.6 gal as 6.1 L or, rounded
// down, 6 L (from memory).
func TestVolumeLeast(t *testing.T) {
	for _, tt := range []struct {
		s     string
		limit Volume
		over  bool
	}{
		{"3.8 L", 1000, false},
		{"3.9 L", 1000, true},
		{"3.81 L", 1000, true},
		{"4 L", 1000, true},
		{"6.1 L", 1600, false},
		{"6.2 L", 1600, true},
		{"6 lpf", 1600, false},
		{"1.6 gal", 1600, false},
	} {
		v, least, err := ParseVolumeLeast(tt.s)
		if err != nil {
			t.Fatal(err)
		}
		if least > v || v-least > 20 {
			t.Errorf("%s is %v, at least %v", tt.s, v, least)
		}
		if got := least > tt.limit; got != tt.over {
			t.Errorf("%s over %v: %v, want %v (%v)", tt.s, tt.limit, got, tt.over, least)
		}
	}
}

// Pairs of NPS and DN, ASME B36.10M (from memory).
func TestInches(t *testing.T) {
	for dn, want := range map[string]string{
		"DN 32": "1-1/4 in", "DN 40": "1-1/2 in", "DN 50": "2 in", "DN 65": "2-1/2 in", "DN 80": "3 in", "DN 75": "3 in",
		"DN 100": "4 in", "DN 125": "5 in", "DN 150": "6 in", "DN 200": "8 in", "DN 90": "DN 90", "3": "3 in",
	} {
		v, err := ParseSize(dn)
		if err != nil {
			t.Fatal(err)
		}
		if got := v.Inches().String(); got != want {
			t.Errorf("%s is %s, want %s", dn, got, want)
		}
	}
}

// A limit in words keeps the limit: 2.4 m is 94.488 in, between 7 ft 10-7/16 in and 10-1/2;
// 6 in is 152.4 mm (exact: 25.4 mm an inch, NIST SP 811).
func TestLimitsInWords(t *testing.T) {
	for _, tt := range []struct {
		l           Length
		sys         System
		most, least string
	}{
		{2400 * Millimetre, FeetInches, "~7 ft 10-7/16 in", "~7 ft 10-1/2 in"},
		{1200 * Millimetre, FeetInches, "~3 ft 11-3/16 in", "~3 ft 11-1/4 in"},
		{18*Inch - Sixtyfourth, FeetInches, "1 ft 5-63/64 in", "1 ft 5-63/64 in"},
		{5 * Foot, FeetInches, "5 ft", "5 ft"},
		{6 * Inch, Metric, "~152 mm", "~153 mm"},
		{5 * Foot, Metric, "1524 mm", "1524 mm"},
		{100 * Foot, Metric, "30.48 m", "30.48 m"},
		{-100 * Millimetre, FeetInches, "~-3-15/16 in", "~-3-7/8 in"},
	} {
		if got := tt.l.AtMost(tt.sys); got != tt.most {
			t.Errorf("%s at most: %s, want %s", tt.l, got, tt.most)
		}
		if got := tt.l.AtLeast(tt.sys); got != tt.least {
			t.Errorf("%s at least: %s, want %s", tt.l, got, tt.least)
		}
	}
}

// A cleanout of 3-1/2 in is in UPC Table 707.1 (from memory); it is no size of pipe.
func TestParsePlug(t *testing.T) {
	for _, s := range []string{"3-1/2", `3-1/2"`, "3 1/2 in", "3.5 inches", " 3½ "} {
		if v, err := ParsePlug(s); err != nil || v.String() != "3-1/2 in" {
			t.Errorf("%q: %v, %v", s, v, err)
		}
		if _, err := ParseSize(s); err == nil {
			t.Errorf("%q is no pipe", s)
		}
	}
	if v, err := ParsePlug("4"); err != nil || v != Size(4*Inch) {
		t.Errorf("4: %v, %v", v, err)
	}
	if _, err := ParsePlug("3-3/4"); err == nil {
		t.Error("3-3/4 is no cleanout")
	}
}
