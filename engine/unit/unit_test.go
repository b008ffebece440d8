package unit

import (
	"encoding/json"
	"errors"
	"math"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// sp811 is NIST SP 811, appendix B: 1 in = 25.4 mm and 1 ft = 0.3048 m, both exactly.
const sp811 = "NIST SP 811, appendix B"

func TestParseLength(t *testing.T) {
	tests := []struct {
		in   string
		nm   int64
		text string
		from string
	}{
		{"1 in", 25_400_000, "1 in", sp811},
		{"1 ft", 304_800_000, "1 ft", sp811},
		{`12"`, 304_800_000, "1 ft", sp811},
		{"25.4 mm", 25_400_000, "1 in", sp811},
		{"2.54cm", 25_400_000, "1 in", sp811},
		{"0.3048 m", 304_800_000, "1 ft", sp811},
		{"304.8 millimeters", 304_800_000, "1 ft", sp811},
		{".5 in", 12_700_000, "1/2 in", sp811},
		{`1.9"`, 48_260_000, "~1-29/32 in", sp811 + ": 1.9 x 25.4 = 48.26"},
		{"0.001 in", 25_400, "~0 in", sp811},
		{"100 mm", 100_000_000, "~3-15/16 in", sp811 + ": 100/25.4 = 3.937"},
		{"2.5 m", 2_500_000_000, "~8 ft 2-27/64 in", sp811 + ": 2500/25.4 = 98.425"},
		// The notations of the trade, common practice.
		{`3'6"`, 42 * 25_400_000, "3 ft 6 in", "common practice"},
		{`3' 6"`, 42 * 25_400_000, "3 ft 6 in", "common practice"},
		{`3'-6"`, 42 * 25_400_000, "3 ft 6 in", "common practice"},
		{`3'6`, 42 * 25_400_000, "3 ft 6 in", "common practice"},
		{`3 ft 6 in`, 42 * 25_400_000, "3 ft 6 in", "common practice"},
		{`  3ft.,6in.  `, 42 * 25_400_000, "3 ft 6 in", "common practice"},
		{`3 FEET 6 INCHES`, 42 * 25_400_000, "3 ft 6 in", "common practice"},
		{`42"`, 42 * 25_400_000, "3 ft 6 in", "common practice"},
		{`42 in`, 42 * 25_400_000, "3 ft 6 in", "common practice"},
		{`42-inch`, 42 * 25_400_000, "3 ft 6 in", "common practice"},
		{`42''`, 42 * 25_400_000, "3 ft 6 in", "common practice"},
		{`65 inches`, 65 * 25_400_000, "5 ft 5 in", "common practice"},
		{`3.5'`, 42 * 25_400_000, "3 ft 6 in", "common practice"},
		{`6 ft`, 72 * 25_400_000, "6 ft", "common practice"},
		{`1 foot`, 12 * 25_400_000, "1 ft", "common practice"},
		{`3-1/2"`, 88_900_000, "3-1/2 in", "common practice"},
		{`3 1/2 in`, 88_900_000, "3-1/2 in", "common practice"},
		{`3½"`, 88_900_000, "3-1/2 in", "common practice"},
		{`3 ½"`, 88_900_000, "3-1/2 in", "common practice"},
		{"3\u00a01\u20442\u2033", 88_900_000, "3-1/2 in", "common practice"},
		{`½"`, 12_700_000, "1/2 in", "common practice"},
		{`7/8"`, 22_225_000, "7/8 in", "common practice"},
		{`12' 3-1/2"`, 147*25_400_000 + 12_700_000, "12 ft 3-1/2 in", "common practice"},
		{`12′ 3½″`, 147*25_400_000 + 12_700_000, "12 ft 3-1/2 in", "common practice"},
		{`12’ 3½”`, 147*25_400_000 + 12_700_000, "12 ft 3-1/2 in", "common practice"},
		{`-7' 2"`, -86 * 25_400_000, "-7 ft 2 in", "common practice"},
		{`−7' 2"`, -86 * 25_400_000, "-7 ft 2 in", "common practice"},
		{`0'`, 0, "0 in", "common practice"},
		{"0", 0, "0 in", "common practice: nothing is nothing in any unit"},
		{"-0.0", 0, "0 in", "common practice"},
		{`-0"`, 0, "0 in", "common practice"},
		{`3' 14"`, 50 * 25_400_000, "4 ft 2 in", "common practice"},
		{`9' 1-1/2"`, 109*25_400_000 + 12_700_000, "9 ft 1-1/2 in", "common practice"},
		{`1/3 ft`, 4 * 25_400_000, "4 in", "arithmetic"},
		{`¼"`, 6_350_000, "1/4 in", "arithmetic"},
		{`¾"`, 19_050_000, "3/4 in", "arithmetic"},
		{`⅛"`, 3_175_000, "1/8 in", "arithmetic"},
		{`⅜"`, 9_525_000, "3/8 in", "arithmetic"},
		{`⅝"`, 15_875_000, "5/8 in", "arithmetic"},
		{`⅞"`, 22_225_000, "7/8 in", "arithmetic"},
		{`⅔ ft`, 8 * 25_400_000, "8 in", "arithmetic"},
		{`3/64"`, 3 * 396_875, "3/64 in", "arithmetic"},
		{`1.000000000000000000000 in`, 25_400_000, "1 in", "arithmetic"},
	}
	for _, tt := range tests {
		got, err := ParseLength(tt.in)
		if err != nil || int64(got) != tt.nm {
			t.Errorf("ParseLength(%q) = %d nm, %v, want %d (%s)", tt.in, got, err, tt.nm, tt.from)
			continue
		}
		if s := got.String(); s != tt.text {
			t.Errorf("ParseLength(%q).String() = %q, want %q (%s)", tt.in, s, tt.text, tt.from)
		}
	}
}

func TestErrors(t *testing.T) {
	length := func(s string) error { _, err := ParseLength(s); return err }
	size := func(s string) error { _, err := ParseSize(s); return err }
	slope := func(s string) error { _, err := ParseSlope(s); return err }
	load := func(s string) error { _, err := ParseLoad(s); return err }
	flow := func(s string) error { _, err := ParseFlow(s); return err }
	volume := func(s string) error { _, err := ParseVolume(s); return err }
	temperature := func(s string) error { _, err := ParseTemperature(s); return err }
	tests := []struct {
		parse func(string) error
		in    string
		off   int
		want  string
	}{
		{length, "4", 1, `length "4" has no unit: write 4 ft, 4 in or 4 mm`},
		{length, "-1-1/2", 6, `length "-1-1/2" has no unit: write -1-1/2 ft, -1-1/2 in or -1-1/2 mm`},
		{length, "", 0, `length "" is empty: write 3 ft 6 in, 42 in or 1.2 m`},
		{length, "about 15'", 0, `length "about 15'" starts with "about": write 15 ft, and the rest in a note`},
		{length, "somewhere", 0, `length "somewhere" has no number: write 3 ft 6 in, 42 in or 1.2 m`},
		{length, `18" off the stack`, 4, "length `18\" off the stack` has \"off the stack\" after the length: write 1 ft 6 in"},
		{length, "4 bananas", 2, `length "4 bananas" has "bananas" where a unit was expected: write 4 ft, 4 in or 4 mm`},
		{length, `1/3"`, 0, "length `1/3\"` is not a whole number of nanometres: write it in 64ths or to three decimals of an inch"},
		{length, "3.5' 6\"", 0, "length `3.5' 6\"` has inches after feet that are not whole: write 3 ft 6 in or 3.5 ft"},
		{length, "3' 4'", 3, `length "3' 4'" has "4'" after feet: write 3 ft 6 in, 42 in or 1.2 m`},
		{length, "3' 100 mm", 3, `length "3' 100 mm" has "100 mm" after feet: write 3 ft 6 in, 42 in or 1.2 m`},
		{length, `12 mm 3"`, 6, "length `12 mm 3\"` has `3\"` after the length: feet come first, then inches, and metric stands alone: write 3 ft 6 in, 42 in or 1.2 m"},
		{length, `3" 4'`, 3, "length `3\" 4'` has \"4'\" after the length: feet come first, then inches, and metric stands alone: write 3 ft 6 in, 42 in or 1.2 m"},
		{length, `1/0"`, 0, "length `1/0\"` has a fraction that cannot be read, \"1/0\": write a fraction such as 3/8"},
		{length, `3-5/4"`, 2, "length `3-5/4\"` has 5/4 after a whole number: write a fraction below 1, such as 1-1/2"},
		{length, "99999999999999999999 m", 0, `length "99999999999999999999 m" has a number with too many digits: write fewer digits`},
		{length, "9999999999 m", 0, `length "9999999999 m" is longer than 9007 km: write a length on the site`},
		{length, "1,5 m", 1, `length "1,5 m" has ",5 m" where a unit was expected: write 1 ft, 1 in or 1 mm`},
		{length, "½½", 1, `length "½½" has "½" where a unit was expected: write ½ ft, ½ in or ½ mm`},
		{length, "3' 4 bananas", 5, `length "3' 4 bananas" has "bananas" where an inch mark was expected: write 3 ft 6 in, 42 in or 1.2 m`},
		{length, "⅓\"", 0, "length `⅓\"` is not a whole number of nanometres: write it in 64ths or to three decimals of an inch"},
		{length, "x 1/0 in", 2, `length "x 1/0 in" has a fraction that cannot be read, "1/0": write a fraction such as 3/8`},
		{size, "", 0, `size "" is empty: write 1-1/2 in, 3 in or DN 100`},
		{size, `3" PVC`, 3, "size `3\" PVC` has \"PVC\" after the size: write 3 in, and put the rest under `material`"},
		{size, `3"ABS`, 2, "size `3\"ABS` has \"ABS\" after the size: write 3 in, and put the rest under `material`"},
		{size, "3x2", 1, `size "3x2" has "x2" after the size: one size is asked for: write 3 in`},
		{size, "1.9", 0, `size "1.9" is not a nominal pipe size: write 1-1/2 in or 2 in`},
		{size, "1/2", 0, `size "1/2" is not a nominal pipe size: write 3/4 in`},
		{size, "20 in", 0, `size "20 in" is not a nominal pipe size: write 15 in`},
		{size, "50", 0, `size "50" is not a nominal pipe size: write DN 50 for the metric size, else 15 in`},
		{size, "100 mm", 3, `size "100 mm" is not in inches: write DN 100, or the size in inches`},
		{size, "3 ft", 1, `size "3 ft" is not in inches: write 1-1/2 in, 3 in or DN 100`},
		{size, "DN 110", 0, `size "DN 110" is not a nominal pipe size: write DN 100 or DN 125`},
		{size, "DN", 2, `size "DN" has no number after DN: write DN 50 or DN 100`},
		{size, "big", 0, `size "big" is not a size: write 1-1/2 in, 3 in or DN 100`},
		{size, "-3", 0, `size "-3" is not a size: write 1-1/2 in, 3 in or DN 100`},
		{slope, "", 0, `slope "" is empty: write 1/4 in per ft, 2 % or 1:50`},
		{slope, "2", 1, `slope "2" has no unit: write 2 in per ft, 2 % or 1:2`},
		{slope, "1/4", 3, `slope "1/4" has no unit: write 1/4 in per ft or 1/4 %`},
		{slope, "1/4 bubble", 4, `slope "1/4 bubble" is told by the bubble, which differs from level to level: write 1/4 in per ft, 2 % or 1:50`},
		{slope, "-2%", 0, `slope "-2%" is below zero, and a fall counts along the flow: write 1/4 in per ft, 2 % or 1:50`},
		{slope, "1 in 50 ft", 5, `slope "1 in 50 ft" can be read as a ratio or as inches: write 1 in per 50 ft, or 1:50`},
		{slope, "1:0", 0, `slope "1:0" has a run of zero: write 1/4 in per ft, 2 % or 1:50`},
		{slope, "1:", 2, `slope "1:" has no run after "1:": write 1:50`},
		{slope, "20 mm", 5, `slope "20 mm" has no run: write 18" in 50', or 1/4 in per ft, 2 % or 1:50`},
		{slope, `18" in 50`, 9, "slope `18\" in 50` has a run without a unit: write 1/4 in per ft, 2 % or 1:50"},
		{slope, "steep", 0, `slope "steep" is not a slope: write 1/4 in per ft, 2 % or 1:50`},
		{slope, "2% or so", 3, `slope "2% or so" has "or so" after the slope: write 1/4 in per ft, 2 % or 1:50`},
		{slope, "1 in 0", 0, `slope "1 in 0" has a run of zero: write 1/4 in per ft, 2 % or 1:50`},
		{slope, "1 in 0 ft", 5, `slope "1 in 0 ft" has a run of zero: write 1/4 in per ft, 2 % or 1:50`},
		{slope, `1" per 0 ft`, 7, "slope `1\" per 0 ft` has a run of zero: write 1/4 in per ft, 2 % or 1:50"},
		{slope, "1/4 in 2 ft", 7, `slope "1/4 in 2 ft" can be read as a ratio or as inches: write 1/4 in per 2 ft, or 1/4:2`},
		{flow, "1.0005 gpm", 0, `flow "1.0005 gpm" is finer than a thousandth of a gallon: write three decimals at most`},
		{flow, "9999999999999999999 gpm", 0, `flow "9999999999999999999 gpm" is too large: write 5.7 gpm, 0.36 L/s or 9 L/min`},
		{flow, "9999999999999999999 L/s", 0, `flow "9999999999999999999 L/s" has too many digits: write 5.7 gpm, 0.36 L/s or 9 L/min`},
		{load, "-1", 0, `load "-1" is below zero: write 3 or 1.5`},
		{load, "1.005", 0, `load "1.005" is finer than a hundredth of a unit: write two decimals at most`},
		{load, "4 gpm", 2, `load "4 gpm" has "gpm" after the load: write 3 or 1.5`},
		{load, "", 0, `load "" is empty: write 3 or 1.5`},
		{flow, "5", 1, `flow "5" has no unit: write 5 gpm or 5 L/s`},
		{flow, "5 L", 2, `flow "5 L" has "L" where a unit was expected: write 5.7 gpm, 0.36 L/s or 9 L/min`},
		{volume, "6", 1, `volume "6" has no unit: write 6 gal or 6 L`},
		{volume, "1.6/1.1 gal", 0, `volume "1.6/1.1 gal" tells two flushes: write the larger, 1.6 gal`},
		{volume, "3/6 L", 0, `volume "3/6 L" tells two flushes: write the larger, 6 L`},
		{volume, "0.8 / 1.28gpf", 0, `volume "0.8 / 1.28gpf" tells two flushes: write the larger, 1.28 gpf`},
		{volume, "2/4 L", 0, `volume "2/4 L" tells two flushes: write the larger, 4 L`},
		{temperature, "-5", 2, `temperature "-5" has no unit: write -5 F or -5 C`},
		{temperature, "-300 C", 0, `temperature "-300 C" is below absolute zero: write -5 F or -20 C`},
		{temperature, "1.25 F", 0, `temperature "1.25 F" is finer than a tenth of a degree: write one decimal at most`},
	}
	for _, tt := range tests {
		err := tt.parse(tt.in)
		var e *Error
		if !errors.As(err, &e) {
			t.Errorf("%q: error %v, want %s", tt.in, err, tt.want)
			continue
		}
		if e.Error() != tt.want {
			t.Errorf("%q:\n got %s\nwant %s", tt.in, e, tt.want)
		}
		if e.Off != tt.off {
			t.Errorf("%q: at character %d, want %d", tt.in, e.Off, tt.off)
		}
	}
	long := strings.Repeat("9", 1000)
	for name, parse := range map[string]func(string) error{"length": length, "size": size, "slope": slope, "load": load, "flow": flow, "volume": volume, "temperature": temperature} {
		if err := parse(long); err == nil || len(err.Error()) > 200 {
			t.Errorf("%s of a thousand digits: %v, want a short error", name, err)
		}
	}
}

func TestLengthForms(t *testing.T) {
	tests := []struct{ in, inches, metric, text string }{
		{`4' 2"`, "50 in", "1270 mm", "4 ft 2 in"},
		{`50'`, "600 in", "15.24 m", "50 ft"},
		{`9-3/4"`, "9-3/4 in", "~247.7 mm", "9-3/4 in"},
		{`3-1/2"`, "3-1/2 in", "88.9 mm", "3-1/2 in"},
		{`-1/2"`, "-1/2 in", "-12.7 mm", "-1/2 in"},
		{"100 mm", "~3-15/16 in", "100 mm", "100 mm"},
		{"-0.125 mm", "~0 in", "~-0.1 mm", "-0.125 mm"},
		{"9.9999 m", "~393-45/64 in", "9999.9 mm", "9999.9 mm"},
		{"10 m", "~393-45/64 in", "10 m", "10000 mm"},
		{"0 mm", "0 in", "0 mm", "0 in"},
	}
	for _, tt := range tests {
		l, err := ParseLength(tt.in)
		if err != nil {
			t.Fatal(err)
		}
		text, err := l.MarshalText()
		if l.Inches() != tt.inches || l.In(Metric) != tt.metric || string(text) != tt.text || err != nil || l.In(FeetInches) != l.String() {
			t.Errorf("%s: %q, %q, %q, %v, want %q, %q, %q (values: %s)", tt.in, l.Inches(), l.In(Metric), text, err, tt.inches, tt.metric, tt.text, sp811)
		}
	}
	for _, l := range []Length{math.MinInt64, math.MaxInt64} {
		if s := l.String() + l.Inches() + l.In(Metric); strings.Count(s, "-") > 6 {
			t.Errorf("%d prints as %q", int64(l), s)
		}
		if b, err := l.MarshalText(); err == nil {
			t.Errorf("%d is written as %q, which cannot be read", int64(l), b)
		}
	}
}

func TestRound(t *testing.T) {
	tests := []struct{ l, step, want Length }{
		{5, 10, 10},
		{-5, 10, -10},
		{4, 10, 0},
		{-4, 10, 0},
		{14, 10, 10},
		{15, 10, 20},
		{7, 3, 6},
		{8, 3, 9},
		{7, 0, 7},
		{7, -1, 7},
		{3 * Inch / 16, Inch / 8, 2 * Inch / 8},
		{100 * Millimetre, Inch, 4 * Inch},
		{math.MaxInt64, 10, math.MaxInt64 - 7},
		{math.MinInt64, 1, math.MinInt64},
	}
	for _, tt := range tests {
		if got := tt.l.Round(tt.step); got != tt.want {
			t.Errorf("%d to %d rounds to %d, want %d (arithmetic)", int64(tt.l), int64(tt.step), int64(got), int64(tt.want))
		}
	}
}

func TestParseSize(t *testing.T) {
	tests := []struct {
		in, text, short string
		nm              int64
	}{ // notations: common practice; values: 1-1/2 x 25.4 = 38.1 (NIST SP 811)
		{`1-1/2`, "1-1/2 in", "1-1/2", 38_100_000},
		{`1-1/2"`, "1-1/2 in", "1-1/2", 38_100_000},
		{`1 1/2 in`, "1-1/2 in", "1-1/2", 38_100_000},
		{`1.5"`, "1-1/2 in", "1-1/2", 38_100_000},
		{`1.5`, "1-1/2 in", "1-1/2", 38_100_000},
		{`1.5 inch`, "1-1/2 in", "1-1/2", 38_100_000},
		{`1½`, "1-1/2 in", "1-1/2", 38_100_000},
		{`1½″`, "1-1/2 in", "1-1/2", 38_100_000},
		{`inch and a half`, "1-1/2 in", "1-1/2", 38_100_000},
		{`Inch-and-a-half`, "1-1/2 in", "1-1/2", 38_100_000},
		{`an inch and a quarter`, "1-1/4 in", "1-1/4", 31_750_000},
		{`3`, "3 in", "3", 76_200_000},
		{` 3in `, "3 in", "3", 76_200_000},
		{`3-inch`, "3 in", "3", 76_200_000},
		{`2-1/2`, "2-1/2 in", "2-1/2", 63_500_000},
		{`3/4`, "3/4 in", "3/4", 19_050_000},
		{`1`, "1 in", "1", 25_400_000},
		{`15"`, "15 in", "15", 381_000_000},
		{`DN 50`, "DN 50", "DN 50", 50_000_000},
		{`dn50`, "DN 50", "DN 50", 50_000_000},
		{`DN 400`, "DN 400", "DN 400", 400_000_000},
	}
	for _, tt := range tests {
		got, err := ParseSize(tt.in)
		if err != nil || int64(got) != tt.nm || got.String() != tt.text || got.Short() != tt.short || got.Length() != Length(tt.nm) {
			t.Errorf("ParseSize(%q) = %v (%d, %q), %v, want %s (%d, %q)", tt.in, got, got, got.Short(), err, tt.text, tt.nm, tt.short)
		}
	}
	var names []string
	for _, s := range InchSizes() {
		names = append(names, s.Short())
	}
	// Row heads of the drain tables, IPC 710.1 and IRC P3005.4.
	if got, want := strings.Join(names, " "), "1-1/4 1-1/2 2 2-1/2 3 4 5 6 8 10 12 15"; got != want {
		t.Errorf("inch sizes are %s, want %s", got, want)
	}
	InchSizes()[0] = 0
	if InchSizes()[0] == 0 {
		t.Error("a caller can change the list of sizes")
	}
	next := []struct{ in, want string }{{"1", "1-1/4 in"}, {"1-1/2", "2 in"}, {"2", "2-1/2 in"}, {"12", "15 in"}, {"15", ""}, {"DN 100", "DN 125"}, {"DN 400", ""}}
	for _, tt := range next {
		s, err := ParseSize(tt.in)
		if err != nil {
			t.Fatal(err)
		}
		got, ok := NextSize(s)
		if ok != (tt.want != "") || ok && got.String() != tt.want {
			t.Errorf("next after %s is %v, %v, want %q", tt.in, got, ok, tt.want)
		}
	}
	if got, ok := NextSize(0); !ok || got.String() != "1-1/4 in" || Size(0).String() != "not given" || Size(0).Given() {
		t.Errorf("the size not given: next %v, %v, text %v", got, ok, Size(0))
	}
	if got := Size(Millimetre / 2).String(); got != "0.5 mm" {
		t.Errorf("a size of 0.5 mm prints as %q", got)
	}
}

func TestParseSlope(t *testing.T) {
	const code = "IPC 704.1 prints 1/4 in per ft beside 2 percent (2.08), 1:48; rest arithmetic"
	tests := []struct {
		in        string
		fall, run int64
		all       string
	}{
		{`1/4" per ft`, 1, 48, "1/4 in per ft (2.08 %, 1:48)"},
		{`1/4"/ft`, 1, 48, "1/4 in per ft (2.08 %, 1:48)"},
		{`1/4 in per ft`, 1, 48, "1/4 in per ft (2.08 %, 1:48)"},
		{`1/4 in. per foot`, 1, 48, "1/4 in per ft (2.08 %, 1:48)"},
		{`1/4-inch per foot`, 1, 48, "1/4 in per ft (2.08 %, 1:48)"},
		{`1/4 per ft`, 1, 48, "1/4 in per ft (2.08 %, 1:48)"},
		{`¼" to the foot`, 1, 48, "1/4 in per ft (2.08 %, 1:48)"},
		{`1/4"`, 1, 48, "1/4 in per ft (2.08 %, 1:48)"},
		{`1/4"/1'`, 1, 48, "1/4 in per ft (2.08 %, 1:48)"},
		{`0.25 in/ft`, 1, 48, "1/4 in per ft (2.08 %, 1:48)"},
		{`quarter inch`, 1, 48, "1/4 in per ft (2.08 %, 1:48)"},
		{`a quarter of an inch per foot`, 1, 48, "1/4 in per ft (2.08 %, 1:48)"},
		{`quarter-inch`, 1, 48, "1/4 in per ft (2.08 %, 1:48)"},
		{`quarter per foot`, 1, 48, "1/4 in per ft (2.08 %, 1:48)"},
		{`1/4 in 12`, 1, 48, "1/4 in per ft (2.08 %, 1:48)"},
		{`1/4 in 12"`, 1, 48, "1/4 in per ft (2.08 %, 1:48)"},
		{`1/4" in 12`, 1, 48, "1/4 in per ft (2.08 %, 1:48)"},
		{`1/4 in in 12 in`, 1, 48, "1/4 in per ft (2.08 %, 1:48)"},
		{`1/4 inch of fall per foot`, 1, 48, "1/4 in per ft (2.08 %, 1:48)"},
		{`2" every 8 ft`, 1, 48, "1/4 in per ft (2.08 %, 1:48)"},
		{`1:48`, 1, 48, "1/4 in per ft (2.08 %, 1:48)"},
		{`1/8" per ft`, 1, 96, "1/8 in per ft (1.04 %, 1:96)"},
		{`an eighth per foot`, 1, 96, "1/8 in per ft (1.04 %, 1:96)"},
		{`1" per 8'`, 1, 96, "1/8 in per ft (1.04 %, 1:96)"},
		{`1/16 in per ft`, 1, 192, "1/16 in per ft (0.52 %, 1:192)"},
		{`2" every 4 ft`, 1, 24, "1/2 in per ft (4.17 %, 1:24)"},
		{`2%`, 1, 50, "~15/64 in per ft (2 %, 1:50)"},
		{`2 percent`, 1, 50, "~15/64 in per ft (2 %, 1:50)"},
		{`2 per cent`, 1, 50, "~15/64 in per ft (2 %, 1:50)"},
		{`1:50`, 1, 50, "~15/64 in per ft (2 %, 1:50)"},
		{`1 in 50`, 1, 50, "~15/64 in per ft (2 %, 1:50)"},
		{`1 to 50`, 1, 50, "~15/64 in per ft (2 %, 1:50)"},
		{`20 mm per m`, 1, 50, "~15/64 in per ft (2 %, 1:50)"},
		{`2cm/m`, 1, 50, "~15/64 in per ft (2 %, 1:50)"},
		{`18" in 50'`, 3, 100, "~23/64 in per ft (3 %, 1:33.3)"},
		{`1' 6" in 50'`, 3, 100, "~23/64 in per ft (3 %, 1:33.3)"},
		{`0.01 %`, 1, 10000, "under 1/64 in per ft (0.01 %, 1:10000)"},
		{`level`, 0, 1, "level"},
		{`0%`, 0, 1, "level"},
		{`12 in per ft`, 1, 1, "12 in per ft (100 %, 1:1)"},
	}
	for _, tt := range tests {
		got, err := ParseSlope(tt.in)
		if err != nil || got != (Slope{tt.fall, tt.run}) {
			t.Errorf("ParseSlope(%q) = %v, %v, want %d/%d (%s)", tt.in, got, err, tt.fall, tt.run, code)
			continue
		}
		if got.All() != tt.all {
			t.Errorf("%q reads %q, want %q (%s)", tt.in, got.All(), tt.all, code)
		}
	}
	if s := (Slope{}); s.Given() || s.String() != "not given" || s.Percent() != "not given" || s.Ratio() != "not given" || s.All() != "not given" || s.Drop(Foot) != 0 {
		t.Errorf("the slope not given reads %q", s.All())
	}
	if s := MakeSlope(-Inch/4, Foot); s != (Slope{-1, 48}) || s.All() != "-1/4 in per ft (-2.08 %, -1:48)" || s != MakeSlope(Inch/4, -Foot) {
		t.Errorf("a fall against the flow reads %q", s.All())
	}
	if s := MakeSlope(1, 0); s.Given() {
		t.Errorf("no run gives %v", s)
	}
}

func TestDrop(t *testing.T) {
	tests := []struct{ slope, run, want, from string }{
		{`1/8" per ft`, "50 ft", `6-1/4"`, "worked example WE-21, Modern Plumbing, ch. 6, p. 109"},
		{"2%", "148 ft", "2.96 ft", "worked example WE-22, Math Central QQ.09.15"},
		{`1/4" per ft`, "9.5 ft", `2-3/8"`, "worked example WE-20, Modern Plumbing, ch. 21, p. 325"},
		{`1/4" per ft`, "8 ft", `2"`, "worked example WE-25, home-inspection column"},
		{"level", "50 ft", "0 in", "arithmetic"},
	}
	for _, tt := range tests {
		s, err := ParseSlope(tt.slope)
		run, err2 := ParseLength(tt.run)
		want, err3 := ParseLength(tt.want)
		if err != nil || err2 != nil || err3 != nil {
			t.Fatal(err, err2, err3)
		}
		if got := s.Drop(run); got != want {
			t.Errorf("%s falls %v in %s, want %v (%s)", tt.slope, got, tt.run, want, tt.from)
		}
		if got := s.Drop(-run); got != -want {
			t.Errorf("%s falls %v in -%s, want %v", tt.slope, got, tt.run, -want)
		}
		if s.Fall > 0 && s.RunFor(want) != run {
			t.Errorf("%s falls %s within %v, want %s (%s)", tt.slope, tt.want, s.RunFor(want), tt.run, tt.from)
		}
	}
	if got := PerFoot(1, 4); got != (Slope{1, 48}) {
		t.Errorf("PerFoot(1, 4) is %v", got)
	}
	if got := (Slope{1, 3}).Drop(math.MaxInt64); got != math.MaxInt64/3 {
		t.Errorf("1:3 of the longest length is %d", int64(got))
	}
	if got := (Slope{3, 1}).Drop(math.MinInt64); got != math.MinInt64 {
		t.Errorf("a drop past the end of int64 is %d, want the end", int64(got))
	}
	if a, b, c := (Slope{0, 1}).RunFor(1), (Slope{1, 2}).RunFor(-1), (Slope{3, 2}).RunFor(2); a != math.MaxInt64 || b != 0 || c != 1 {
		t.Errorf("runs for a fall: level %d, below zero %d, 3:2 %d", int64(a), int64(b), int64(c))
	}
}

// Cmp, Drop, RunFor and PerFoot agree with exact rational arithmetic.
func TestSlopeAgainstRationals(t *testing.T) {
	any64 := rapid.OneOf(rapid.Int64(), rapid.Int64Range(-1000, 1000))
	rapid.Check(t, func(t *rapid.T) {
		slope := func(name string) Slope {
			return MakeSlope(Length(any64.Draw(t, name+" fall")), Length(rapid.OneOf(rapid.Int64Range(1, math.MaxInt64), rapid.Int64Range(1, 1000)).Draw(t, name+" run")))
		}
		rat := func(s Slope) *big.Rat { return big.NewRat(s.Fall, s.Run) }
		a, b := slope("a"), slope("b")
		if got, want := a.Cmp(b), rat(a).Cmp(rat(b)); got != want {
			t.Fatalf("%v against %v is %d, want %d", a, b, got, want)
		}
		l := Length(any64.Draw(t, "length"))
		exact := new(big.Rat).Mul(rat(a), new(big.Rat).SetInt64(int64(l)))
		drop := a.Drop(l)
		if drop != math.MaxInt64 && drop != math.MinInt64 {
			off := new(big.Rat).Sub(exact, new(big.Rat).SetInt64(int64(drop)))
			if off.Abs(off).Cmp(big.NewRat(1, 2)) > 0 {
				t.Fatalf("%v of %d is %d, want %s", a, int64(l), int64(drop), exact.FloatString(3))
			}
		} else if exact.Abs(exact).Cmp(new(big.Rat).SetInt64(math.MaxInt64-1)) < 0 {
			t.Fatalf("%v of %d is held at %d, want %s", a, int64(l), int64(drop), exact.FloatString(3))
		}
		if run := a.RunFor(l); a.Fall > 0 && l >= 0 && run != math.MaxInt64 {
			fall := func(x int64) *big.Rat { return new(big.Rat).Mul(rat(a), new(big.Rat).SetInt64(x)) }
			most := new(big.Rat).SetInt64(int64(l))
			if fall(int64(run)).Cmp(most) > 0 || fall(int64(run)+1).Cmp(most) <= 0 {
				t.Fatalf("%v falls %d within %d", a, int64(l), int64(run))
			}
		}
		n, d := rapid.Int64Range(-1e9, 1e9).Draw(t, "n"), rapid.Int64Range(1, 1e9).Draw(t, "d")
		if got := rat(PerFoot(n, d)); got.Cmp(big.NewRat(n, 12*d)) != 0 {
			t.Fatalf("PerFoot(%d, %d) is %v", n, d, got)
		}
	})
	given := Slope{-5, 1}
	if given.Cmp(Slope{}) != 1 || (Slope{}).Cmp(given) != -1 || (Slope{}).Cmp(Slope{}) != 0 {
		t.Error("a slope that is not given does not come first")
	}
}

func TestAmounts(t *testing.T) {
	load := func(s string) (any, error) { return ParseLoad(s) }
	flow := func(s string) (any, error) { return ParseFlow(s) }
	volume := func(s string) (any, error) { return ParseVolume(s) }
	temperature := func(s string) (any, error) { return ParseTemperature(s) }
	const gallon = "NIST SP 811, appendix B: 1 gal = 3.785 411 784 L"
	tests := []struct {
		parse    func(string) (any, error)
		in, want string
		from     string
	}{
		{load, "3", "3", "arithmetic"},
		{load, "1.5", "1.5", "arithmetic"},
		{load, "0", "0", "arithmetic"},
		{load, "0.05", "0.05", "arithmetic"},
		{load, "1/2 dfu", "0.5", "common practice"},
		{load, "6 units", "6", "common practice"},
		{flow, "5.7 gpm", "5.7 gpm", "common practice"},
		{flow, "60 GPM", "60 gpm", "common practice"},
		{flow, "2 gal/min", "2 gpm", "common practice"},
		{flow, "2 gallons per minute", "2 gpm", "common practice"},
		{flow, "0.36 L/s", "5.706 gpm", gallon + ": 21.6/3.785411784 = 5.70612"},
		{flow, "9 L/min", "2.378 gpm", gallon + ": 9/3.785411784 = 2.37755"},
		{flow, "9 lpm", "2.378 gpm", gallon},
		{flow, "3.785411784 L/min", "1 gpm", gallon},
		{volume, "1.28 gal", "1.28 gal", "common practice"},
		{volume, "1.6 gpf", "1.6 gal", "common practice"},
		{volume, "1/2 gal", "0.5 gal", "common practice"},
		{volume, "1/8 gpf", "0.125 gal", "common practice"},
		{volume, "3-1/2 gal", "3.5 gal", "common practice"},
		{volume, "1.6 gal. per flush", "1.6 gal", "common practice"},
		{volume, "6 L", "1.585 gal", gallon + ": 6/3.785411784 = 1.58503"},
		{volume, "6 L per flush", "1.585 gal", gallon},
		{volume, "6 litres/flush", "1.585 gal", gallon},
		{volume, "4.8 lpf", "1.268 gal", gallon + ": 4.8/3.785411784 = 1.26803"},
		{temperature, "-5 F", "-5 F", "common practice"},
		{temperature, "-5°F", "-5 F", "common practice"},
		{temperature, "−5 deg. F", "-5 F", "common practice"},
		{temperature, "0 C", "32 F", "NIST SP 811, appendix B: F = 1.8 C + 32"},
		{temperature, "100 C", "212 F", "NIST SP 811, appendix B"},
		{temperature, "-40 C", "-40 F", "NIST SP 811, appendix B"},
		{temperature, "-20 °C", "-4 F", "NIST SP 811, appendix B"},
		{temperature, "-20.5 C", "-4.9 F", "NIST SP 811, appendix B"},
	}
	for _, tt := range tests {
		got, err := tt.parse(tt.in)
		if s, ok := got.(interface{ String() string }); err != nil || !ok || s.String() != tt.want {
			t.Errorf("%q is %v, %v, want %s (%s)", tt.in, got, err, tt.want, tt.from)
		}
	}
	mul := []struct {
		l        Load
		num, den int64
		want     Load
	}{
		{300, 3, 4, 225},
		{100, 1, 3, 34},
		{100, -1, 3, -34},
		{100, 1, -3, -34},
		{0, 1, 3, 0},
		{200, 1, 2, 100},
		{math.MaxInt64, 2, 1, math.MaxInt64},
		{math.MaxInt64, 2, 2, math.MaxInt64},
	}
	for _, tt := range mul {
		if got := tt.l.Mul(tt.num, tt.den); got != tt.want {
			t.Errorf("%v times %d/%d is %d, want %d (arithmetic)", tt.l, tt.num, tt.den, got, tt.want)
		}
	}
}

// quantities are all the types that JSON carries.
type quantities struct {
	Length      Length
	Size        Size
	Slope       Slope
	Load        Load
	Flow        Flow
	Volume      Volume
	Temperature Temperature
	System      System
}

func TestJSONRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var sizes []Size
		sizes = append(append(append(sizes, 0), inchSizes[:]...), smallSizes[:]...)
		for _, s := range dnSizes {
			sizes = append(sizes, s*mmSize)
		}
		in := quantities{
			Length: Length(rapid.OneOf(
				rapid.Int64Range(-int64(MaxLength), int64(MaxLength)),
				rapid.Map(rapid.Int64Range(-1e6, 1e6), func(n int64) int64 { return n * int64(Sixtyfourth) }),
			).Draw(t, "length")),
			Size: rapid.SampledFrom(sizes).Draw(t, "size"),
			Slope: MakeSlope(
				Length(rapid.OneOf(rapid.Int64(), rapid.Int64Range(-100, 100)).Draw(t, "fall")),
				Length(rapid.OneOf(rapid.Int64Range(0, math.MaxInt64), rapid.Int64Range(0, 10000)).Draw(t, "run"))),
			Load:        Load(rapid.Int64().Draw(t, "load")),
			Flow:        Flow(rapid.Int64().Draw(t, "flow")),
			Volume:      Volume(rapid.Int64().Draw(t, "volume")),
			Temperature: Temperature(rapid.Int32Range(int32(absoluteZero), int32(hottest)).Draw(t, "temperature")),
			System:      System(rapid.Uint8Range(0, 1).Draw(t, "system")),
		}
		in.Load, in.Flow, in.Volume = max(in.Load, -math.MaxInt64), max(in.Flow, -math.MaxInt64), max(in.Volume, -math.MaxInt64)
		b, err := json.Marshal(in)
		if err != nil {
			t.Fatal(err)
		}
		var out quantities
		if err := json.Unmarshal(b, &out); err != nil || out != in {
			t.Fatalf("%s reads back as %+v, %v, want %+v", b, out, err, in)
		}
	})
	for _, in := range []string{`{"Length":"4"}`, `{"Size":"7"}`, `{"Slope":"2"}`, `{"Load":"x"}`, `{"Flow":"1"}`, `{"Volume":"1"}`, `{"Temperature":"1"}`, `{"System":"furlongs"}`} {
		q := quantities{Length: 1, Size: 1, Slope: Slope{1, 1}, Load: 1, Flow: 1, Volume: 1, Temperature: 1}
		kept := q
		if err := json.Unmarshal([]byte(in), &q); err == nil || q != kept {
			t.Errorf("%s is read as %+v, %v, want an error and nothing changed", in, q, err)
		}
	}
}

// What String prints without ~ reads back as the same length.
func TestLengthStringReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(-1e9, 1e9).Draw(t, "64ths")
		l := Length(n) * Sixtyfourth
		for _, s := range []string{l.String(), l.Inches()} {
			if got, err := ParseLength(s); err != nil || got != l {
				t.Fatalf("%d prints as %q, which reads as %d, %v", int64(l), s, int64(got), err)
			}
		}
		mm := Length(n) * Millimetre
		if got, err := ParseLength(mm.In(Metric)); err != nil || got != mm {
			t.Fatalf("%d prints as %q, which reads as %d, %v", int64(mm), mm.In(Metric), int64(got), err)
		}
		off := Length(rapid.Int64().Draw(t, "nm"))
		if s := off.String(); strings.HasPrefix(s, "~") != (off%Sixtyfourth != 0) {
			t.Fatalf("%d prints as %q", int64(off), s)
		}
	})
}

// Parsing takes no memory on common input; a String takes one allocation.
func TestAllocations(t *testing.T) {
	l, s := Length(3*Foot+Inch/2), PerFoot(1, 4)
	tests := []struct {
		name string
		most float64
		f    func()
	}{
		{"ParseLength", 0, func() { ParseLength(`12' 3-1/2"`) }},
		{"ParseSize", 0, func() { ParseSize(`1-1/2"`) }},
		{"ParseSlope", 0, func() { ParseSlope(`1/4" per ft`) }},
		{"Length.String", 1, func() { _ = l.String() }},
		{"Slope.All", 1, func() { _ = s.All() }},
	}
	for _, tt := range tests {
		if got := testing.AllocsPerRun(100, tt.f); got > tt.most {
			t.Errorf("%s allocates %v times, want %v at most", tt.name, got, tt.most)
		}
	}
}

func BenchmarkParse(b *testing.B) {
	for _, s := range []string{`12' 3-1/2"`, "3 ft 6 in", "2.5 m"} {
		b.Run("length "+s, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				ParseLength(s)
			}
		})
	}
	for _, s := range []string{`1-1/2"`, "DN 100"} {
		b.Run("size "+s, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				ParseSize(s)
			}
		})
	}
	for _, s := range []string{`1/4" per ft`, "2%", "1 in 50"} {
		b.Run("slope "+s, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				ParseSlope(s)
			}
		})
	}
}

func BenchmarkString(b *testing.B) {
	l, s := Length(12*Foot+7*Inch/2), PerFoot(1, 4)
	b.Run("length", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			_ = l.String()
		}
	})
	b.Run("slope all", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			_ = s.All()
		}
	})
}
