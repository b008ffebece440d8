package fitting_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"trapweir/data"
	"trapweir/engine"
	"trapweir/engine/catalog"
	"trapweir/engine/codebook"
	"trapweir/engine/fitting"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

func solve(t testing.TB, text string) *engine.Result {
	t.Helper()
	var files []codebook.File
	for _, f := range data.Books() {
		files = append(files, codebook.File(f))
	}
	lib, _ := codebook.ReadLibrary(files)
	cat, _ := catalog.Read([]codebook.File{{Name: "fixtures.yaml", Text: data.Get("fixtures.yaml")}})
	r := engine.Run(engine.Data{Books: lib, Catalog: cat, Default: "irc-2021"}, engine.Input{Name: "t.dwv.yaml", Text: []byte(text)})
	for _, f := range r.Faults {
		t.Fatalf("line %d: %s", f.At.Line, f.Message)
	}
	return r
}

// line writes a fitting in short: run, what it does, pattern, sizes, hand, a star if stated.
func line(r *engine.Result, f *fitting.Fitting) string {
	name := "-"
	if f.At.Run != network.None {
		name = r.Net.Runs[f.At.Run].Name
	}
	s := fmt.Sprintf("%s: %s %s %s", name, f.Does, f.Kind, f.Size())
	if f.Count > 1 {
		s += fmt.Sprintf(" x%d", f.Count)
	}
	if f.Hand != fitting.NoHand {
		s += " " + f.Hand.String()
	}
	if f.Pinned {
		s += " *"
	}
	return s
}

func TestPick(t *testing.T) {
	tests := []struct {
		name, runs, vents string
		want              []string
		from              string
	}{
		{
			"a square branch in the flat", `
  m: {joins: outlet, size: 3, legs: [E 20'], slope: 1/4" per ft, carries: {units: 4}}
  b: {joins: m, at: 8', size: 2, legs: [S 6'], slope: 1/4" per ft, carries: {units: 2}}`, "",
			[]string{"m: join combo 3 x 3 x 2 left"},
			"table of fittings by change of direction, IRC P3005.1: a wye or combo in the flat; a pipe heading south comes into one heading east from its left",
		},
		{
			"at 45 degrees", `
  m: {joins: outlet, size: 3, legs: [E 20'], slope: 1/4" per ft, carries: {units: 4}}
  b: {joins: m, at: 8', size: 2, legs: [NE 6'], slope: 1/4" per ft, carries: {units: 2}}`, "",
			[]string{"m: join wye 3 x 3 x 2 right"},
			"IRC P3005.1: a wye in the flat",
		},
		{
			"a drop into level pipe", `
  m: {joins: outlet, size: 3, legs: [E 20'], slope: 1/4" per ft, carries: {units: 4}}
  b: {joins: m, at: 8', fixture: lavatory, size: 2, legs: [down 3']}`, "",
			[]string{"b: trap p-trap 2", "m: join combo 3 x 3 x 2"},
			"IRC P3005.1: no sanitary tee from upright to level",
		},
		{
			"level into an upright, with its vent", `
  d: {joins: outlet, size: 2, legs: [down 6']}
  a: {joins: d, fixture: lavatory, size: 1-1/2, arm: [E 2'], slope: 1/4" per ft}`, `
  v: {from: d, size: 1-1/2, legs: [up 8', E 4', up 4'], ends: through roof}`,
			[]string{"-: vent turn vent elbow 1-1/2", "-: vent turn vent elbow 1-1/2", "a: trap p-trap 1-1/2", "d: join sanitary tee 2 x 2 x 1-1/2"},
			"IRC P3005.1: sanitary tees only from level to upright",
		},
		{
			"a vent over the turn into a drop: a tee, not a bend", `
  m: {joins: outlet, size: 3, legs: [E 20'], slope: 1/4" per ft, carries: {units: 4}}
  d: {joins: m, at: 8', fixture: lavatory, size: 1-1/2, arm: [E 2'], legs: [down 6'], slope: 1/4" per ft}`, `
  v: {from: d, at: end of arm, size: 1-1/4, legs: [up 8'], ends: through roof}`,
			[]string{"d: join sanitary tee 1-1/2 x 1-1/4 x 1-1/2", "d: trap p-trap 1-1/2", "m: join combo 3 x 3 x 1-1/2"},
			"common practice: the vent goes on up from the tee that takes the arm",
		},
		{
			"a stated bend stays", `
  d: {joins: outlet, fixture: lavatory, size: 1-1/2, arm: [E 2'], legs: [down 6'], turn: short 90, slope: 1/4" per ft}`, `
  v: {from: d, at: end of arm, size: 1-1/4, legs: [up 8'], ends: through roof}`,
			[]string{"d: trap p-trap 1-1/2", "d: turn quarter bend 1-1/2 *"},
			"the job's words",
		},
		{
			"two sides at one height", `
  d: {joins: outlet, size: 2, legs: [down 6']}
  a: {joins: d, fixture: lavatory, size: 1-1/2, arm: [E 2'], slope: 1/4" per ft}
  b: {joins: d, fixture: lavatory, size: 1-1/2, arm: [W 2'], slope: 1/4" per ft}`, "",
			[]string{"a: trap p-trap 1-1/2", "b: trap p-trap 1-1/2", "d: join double fixture fitting 2 x 2 x 1-1/2 x 1-1/2"},
			"IPC 706.3, UPC 704.2: the double fixture fitting serves in every book",
		},
		{
			"turns", `
  d: {joins: outlet, size: 3, legs: [E 4', N 4', NE 4', down 6', N 3'], slope: 1/4" per ft, carries: {units: 4}}`, "",
			[]string{"d: turn eighth bend 3 right", "d: turn long sweep 3", "d: turn long sweep 3 left", "d: turn quarter bend 3"},
			"IRC P3005.1: long patterns in the flat and at the foot, a quarter bend into the upright",
		},
		{
			"stated turns", `
  d: {joins: outlet, size: 3, legs: [E 4', N 4'], bends: 90, turn: [two 45s, short 90], slope: 1/4" per ft, carries: {units: 4}}`, "",
			[]string{"d: turn eighth bend 3 x2 left *", "d: turn quarter bend 3 *"},
			"the job's words",
		},
		{
			"a closet with its bend", `
  m: {joins: outlet, size: 3, legs: [E 20'], slope: 1/4" per ft, carries: {units: 4}}
  w: {joins: m, at: 5', fixture: water closet, size: 3, bend: 4x3, legs: [down 1', N 3'], slope: 1/4" per ft, fitting: wye}`, "",
			[]string{"m: join wye 3 right *", "w: closet closet flange 4 x 3 *", "w: turn closet bend 3"},
			"IRC P3005.1.4: a 4x3 flange or bend",
		},
		{
			"cleanouts and a growing pipe", `
  m: {joins: outlet, size: 4, legs: [E 20'], slope: 1/4" per ft, cleanouts: [{at: 10', type: two-way, size: 4}]}
  b: {joins: m, size: 3, legs: [E 6'], slope: 1/4" per ft, carries: {units: 2}}`, "",
			[]string{"m: cleanout two-way cleanout 4 *", "m: reducer increaser 4 x 3"},
			"arithmetic",
		},
		{
			"a vent over level pipe, a valve", `
  m: {joins: outlet, size: 3, legs: [E 20'], slope: 1/4" per ft, carries: {units: 4}}`, `
  v: {from: m, at: 4', size: 2, legs: [up 2'], ends: air admittance valve}`,
			[]string{"-: vent end air admittance valve 2", "m: vent take-off wye rolled 45 3 x 3 x 2"},
			"IRC P3104.3: above the centre line",
		},
	}
	for _, tt := range tests {
		text := "job: x\noutlet: {to: house drain}\nruns:" + tt.runs + "\n"
		if tt.vents != "" {
			text += "vents:" + tt.vents + "\n"
		}
		r := solve(t, text)
		var got []string
		for i := range r.Fittings {
			got = append(got, line(r, &r.Fittings[i]))
			if r.Fittings[i].Why == "" {
				t.Errorf("%s: %s has no reason", tt.name, got[len(got)-1])
			}
		}
		slices.Sort(got)
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s:\n got  %s\n want %s\n (%s)", tt.name, strings.Join(got, "\n      "), strings.Join(tt.want, "\n      "), tt.from)
		}
	}
}

// WE-20: the pipe between a closet bend and a double tee. Source: Modern Plumbing, ch. 21,
// p. 325: 16 in between centres, 3 in for the bend, and 1-1/2 in that the pipe gains at the
// tee give 14-1/2 in.
func TestCutLength(t *testing.T) {
	in := func(s string) unit.Length {
		v, err := unit.ParseLength(s)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	if got, want := fitting.CutLength(in(`16"`), in(`3"`), -in(`1-1/2"`)), in(`14-1/2"`); got != want {
		t.Errorf("the pipe is %v, want %v", got, want)
	}
}

func TestAngle(t *testing.T) {
	leg := func(s string) job.Way {
		l, found, _ := job.ParseLeg(s)
		if found != "" {
			t.Fatalf("%s %s", s, found)
		}
		return l.Way
	}
	for _, tt := range []struct {
		a, b  string
		angle int
		ok    bool
	}{
		{"E", "E", 0, true},
		{"E", "N", 900, true},
		{"E", "W", 1800, true},
		{"NW", "NE", 900, true},
		{"N45E", "N", 450, true},
		{"down", "E", 900, true},
		{"level", "down", 900, true},
		{"down", "up", 1800, true},
		{"down 45 E", "E", 450, true},
		{"down", "down 22.5 from plumb E", 225, true},
		{"level", "E", 0, false},
		{"down 45 E", "down 45 N", 600, true},
	} {
		got, ok := fitting.Angle(leg(tt.a), leg(tt.b))
		if ok != tt.ok || ok && got != tt.angle {
			t.Errorf("from %s into %s: %d, %v; want %d, %v", tt.a, tt.b, got, ok, tt.angle, tt.ok)
		}
	}
}
