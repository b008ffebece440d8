package job

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"trapweir/engine/unit"
)

func TestLegs(t *testing.T) {
	const ft, in = unit.Foot, unit.Inch
	level := func(az int16) Way { return Way{HasPlan: true, Azimuth: az, Plumb: 900} }
	for _, c := range []struct {
		s   string
		way Way
		len unit.Length // -1: not given
	}{
		{`E 4' 6"`, level(900), 4*ft + 6*in},
		{`down 8' 6"`, Way{Down: true}, 8*ft + 6*in},
		{`N45E 4'`, level(450), 4 * ft},
		{`N 45 E 4'`, level(450), 4 * ft},
		{`N45°E 4'`, level(450), 4 * ft},
		{`n30w 2'`, level(3300), 2 * ft},
		{`S 22.5 E 1'`, level(1575), 1 * ft},
		{`S10W 5'`, level(1900), 5 * ft},
		{`N0W 5'`, level(0), 5 * ft},
		{`N 45' `, level(0), 45 * ft},
		{`N 4 ft`, level(0), 4 * ft},
		{`S 3 in`, level(1800), 3 * in},
		{`NE 3'`, level(450), 3 * ft},
		{`SE3'`, level(1350), 3 * ft},
		{`SW 3'`, level(2250), 3 * ft},
		{`NW 3'`, level(3150), 3 * ft},
		{`east`, level(900), -1},
		{`North-West 3'`, level(3150), 3 * ft},
		{`south east 3'`, level(1350), 3 * ft},
		{`down 45 E 3'`, Way{Down: true, HasPlan: true, Azimuth: 900, Plumb: 450}, 3 * ft},
		{`down 45° 3'`, Way{Down: true, Plumb: 450}, 3 * ft},
		{`down 45 degrees NE 3'`, Way{Down: true, HasPlan: true, Azimuth: 450, Plumb: 450}, 3 * ft},
		{`down 22.5 from plumb E 3'`, Way{Down: true, HasPlan: true, Azimuth: 900, Plumb: 225}, 3 * ft},
		{`down 60 from level W 1'`, Way{Down: true, HasPlan: true, Azimuth: 2700, Plumb: 300}, 1 * ft},
		{`up 45 N30W 2'`, Way{Up: true, HasPlan: true, Azimuth: 3300, Plumb: 450}, 2 * ft},
		{`level 5'`, Way{Plumb: 900}, 5 * ft},
		{`level E 5'`, level(900), 5 * ft},
		{`level`, Way{Plumb: 900}, -1},
		{`up 12'`, Way{Up: true}, 12 * ft},
		{`DOWN`, Way{Down: true}, -1},
		{`6' N`, level(0), 6 * ft},
		{`8 ft 6 in down`, Way{Down: true}, 8*ft + 6*in},
		{`3 m S`, level(1800), 3 * unit.Metre},
		{`3' down 45 E`, Way{Down: true, HasPlan: true, Azimuth: 900, Plumb: 450}, 3 * ft},
		{`E 3′ 6½″`, level(900), 3*ft + 6*in + in/2},
	} {
		l, found, _ := ParseLeg(c.s)
		switch {
		case found != "":
			t.Errorf("%s: %s", c.s, found)
		case l.Way != c.way:
			t.Errorf("%s: way %+v, want %+v", c.s, l.Way, c.way)
		case l.Length.Set != (c.len >= 0) || l.Length.Set && l.Length.V != c.len:
			t.Errorf("%s: length %v, want %v", c.s, l.Length, c.len)
		}
	}
	for _, s := range []string{
		"", " ", "4'", "4", "Q 4'", "down 45", "down 30 E 3'", "down E", "down 100 from plumb E", "N95E 4'", "E 4", "E four", "down 8", "E -1'",
		"level up", "N45 4'", "down from plumb", "E E 4'", strings.Repeat("E", 5000), strings.Repeat("1", 5000),
	} {
		if l, found, try := ParseLeg(s); found == "" || try == "" {
			t.Errorf("%.40q is read as %+v, found %q, try %q", s, l, found, try)
		}
	}
}

func TestLegsReadBackAsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := Way{}
		switch rapid.IntRange(0, 3).Draw(t, "kind") {
		case 0:
			w = Way{HasPlan: true, Azimuth: int16(rapid.IntRange(0, 3599).Draw(t, "azimuth")), Plumb: 900}
		case 1:
			w = Way{Down: true, Plumb: int16(rapid.IntRange(0, 899).Draw(t, "plumb"))}
		case 2:
			w = Way{Up: true, HasPlan: true, Azimuth: int16(rapid.IntRange(0, 3599).Draw(t, "azimuth")), Plumb: int16(rapid.IntRange(1, 899).Draw(t, "plumb"))}
		case 3:
			w = Way{Plumb: 900}
		}
		l := Leg{Way: w}
		if rapid.Bool().Draw(t, "known") {
			l.Length = Len{V: unit.Length(rapid.IntRange(0, 64*12*200).Draw(t, "length")) * unit.Sixtyfourth, Set: true}
		}
		if w.Down && w.Plumb == 450 && !l.Length.Set && !w.HasPlan {
			return // "down 45" alone could be a length
		}
		got, found, _ := ParseLeg(l.String())
		if found != "" || got != l {
			t.Fatalf("%+v is written %q and read %+v %s", l, l, got, found)
		}
	})
}

func TestPlaces(t *testing.T) {
	for s, want := range map[string]Place{
		"9'":                   {Kind: AtLength, Len: 9 * unit.Foot},
		"0'":                   {Kind: AtLength},
		"upper end":            {Kind: UpperEnd},
		"Upper  End":           {Kind: UpperEnd},
		"end of arm":           {Kind: EndOfArm},
		"top of drop":          {Kind: TopOfDrop},
		"foot":                 {Kind: FootOfDrop},
		"lower end":            {Kind: LowerEnd},
		"after Kitchen  sink ": {Kind: AfterName, Name: "Kitchen  sink"},
	} {
		got, found, _ := ParsePlace(s)
		if found != "" || got != want {
			t.Errorf("%q is read as %+v %s", s, got, found)
			continue
		}
		if back, found, _ := ParsePlace(got.String()); found != "" || back != want {
			t.Errorf("%q is written %q and read %+v", s, got, back)
		}
	}
	for _, s := range []string{"", "after", "afterwards", "midway", "9", "-1'", "end"} {
		if p, found, try := ParsePlace(s); found == "" || try == "" {
			t.Errorf("%q is read as %+v, try %q", s, p, try)
		}
	}
}
