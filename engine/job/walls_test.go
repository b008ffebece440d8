package job

import (
	"strings"
	"testing"

	"trapweir/engine/unit"
)

func TestWalls(t *testing.T) {
	const frame = "job: t\nruns: {main: {joins: outlet, legs: [S 10']}}\nwalls:\n"
	j, ds := Read("t", []byte(frame+"  south: {from: main, at: lower end, legs: S 2'}\n  west: {from: main, legs: [W 12' 6\"]}\n"))
	if len(ds) > 0 {
		t.Fatal(tell(ds))
	}
	if len(j.Walls) != 2 || j.Walls[0].Name != "south" || j.Walls[0].End.Kind != LowerEnd || j.Walls[0].Leg.Way.Azimuth != 1800 ||
		j.Walls[1].End.Kind != UpperEnd || j.Walls[1].Leg.Length.V != 12*unit.Foot+6*unit.Inch {
		t.Errorf("read %+v", j.Walls)
	}
	for line, want := range map[string]string{
		"s: {legs: S 2'}":                          "`from` or `legs` is missing",
		"s: {from: main}":                          "`from` or `legs` is missing",
		"s: {from: main, legs: SE 2'}":             "does not lead square to a wall",
		"s: {from: main, legs: S}":                 "does not lead square to a wall",
		"s: {from: main, legs: [S 2', E 2']}":      "does not lead square to a wall",
		"s: {from: main, legs: down 2'}":           "does not lead square to a wall",
		"s: {from: main, at: 2', legs: S 2'}":      "is not an end of a run",
		"s: {from: main, face: S 2'}":              `the key "face" is not known`,
		"s: {from: main, legs: S 2'}\n  s: {a: b}": "is given twice",
		"s:":                           "expected a mapping",
		"'': {from: main, legs: S 2'}": "is empty",
	} {
		j, ds := Read("t", []byte(frame+"  "+line+"\n"))
		if !strings.Contains(tell(ds), want) {
			t.Errorf("%s: said %q, want %q", line, tell(ds), want)
		}
		if n := len(j.Walls); n > strings.Count(line, "s: {from: main, legs: S 2'}\n") {
			t.Errorf("%s: %d walls were read", line, n)
		}
	}
}
