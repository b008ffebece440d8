package network_test

import (
	"slices"
	"strings"
	"testing"

	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
	"trapweir/shelf"
)

func join(t *testing.T, text string) (*network.Net, []diag.Diagnostic) {
	t.Helper()
	d, _ := shelf.Of([]string{shelf.Default()})
	j, ds := job.Read("job", []byte(text))
	if diag.Count(ds, diag.Error) > 0 {
		t.Fatalf("%s: %s", ds[0].At, ds[0].Message)
	}
	return network.Join(j, d.Catalog)
}

// house is two storeys on a building drain and a sewer.
const house = `job: roles
code: irc-2021
outlet: {to: public sewer}
runs:
  sewer:  {joins: outlet, legs: [E 40'], slope: 1/4" per ft}
  main:   {joins: sewer, legs: [E 30'], slope: 1/4" per ft}
  stack:  {joins: main, legs: [down 10', E 2', down 4']}
  hall:   {joins: stack, legs: [E 6'], slope: 1/4" per ft}
  lav:    {joins: hall, arm: N 2', legs: [down 2'], fixture: lavatory, level: second}
  wc:     {joins: hall, at: 2', legs: [E 2'], fixture: water closet, level: second}
  powder: {joins: stack, at: 9', legs: [E 2'], fixture: water closet, level: first}
  line:   {joins: main, at: 12', legs: [N 8'], slope: 1/4" per ft}
  sink:   {joins: line, legs: [N 2'], fixture: kitchen sink, level: first}
  tub:    {joins: line, at: 2', legs: [E 2'], fixture: bathtub, level: first}
`

// Roles are read from the layout, by what model codes define (IPC 2021 chapter 2, IRC 2021
// R202, numbers aside): the building drain is the lowest level line that takes the stacks,
// the sewer goes on from it to the street, a branch of the building drain reaches it without
// a stack, a branch of a stack does not. What is not defined by a shape is common practice.
func TestRoles(t *testing.T) {
	n, ds := join(t, house)
	if len(ds) > 0 {
		t.Fatal(ds)
	}
	for run, want := range map[string]string{
		"sewer":  "building sewer",
		"main":   "building drain, building drain",
		"stack":  "stack, stack, stack offset, stack",
		"hall":   "fixture drain, branch",
		"lav":    "trap arm, fixture drain",
		"wc":     "fixture drain",
		"powder": "fixture drain",
		"line":   "fixture drain, building drain branch",
		"sink":   "fixture drain",
	} {
		x, _ := n.Find(run)
		var got []string
		for _, s := range n.Runs[x.Run].Segs {
			if n.Segs[s].RoleWhy.String() == "" {
				t.Errorf("%s: its role has no reason", run)
			}
			got = append(got, n.Segs[s].Role.String())
		}
		if strings.Join(got, ", ") != want {
			t.Errorf("%s is %s, want %s", run, strings.Join(got, ", "), want)
		}
	}
	// What the job says stands.
	n, _ = join(t, strings.Replace(house, "line:   {joins", "line:   {role: branch, joins", 1))
	x, _ := n.Find("line")
	for _, s := range n.Runs[x.Run].Segs {
		if n.Segs[s].Role != network.Branch || n.Segs[s].RoleWhy != network.WhyPinned {
			t.Errorf("a pinned role is %s (%s)", n.Segs[s].Role, n.Segs[s].RoleWhy)
		}
	}
}

// Segments are numbered with the water, lengths along a run go on, and what drains into a
// segment is listed once.
func TestNumbering(t *testing.T) {
	n, _ := join(t, house)
	seen := map[network.SegID]int{}
	for i := range n.Segs {
		s := network.SegID(i)
		if d := n.Segs[s].Down; d != network.None && d <= s {
			t.Errorf("segment %d drains into %d", s, d)
		}
		for _, u := range n.Up(s) {
			seen[u]++
			if n.Segs[u].Down != s {
				t.Errorf("segment %d is listed above %d and drains into %d", u, s, n.Segs[u].Down)
			}
		}
	}
	for i := range n.Segs {
		want := 1
		if network.SegID(i) == n.Outlet {
			want = 0
		}
		if seen[network.SegID(i)] != want {
			t.Errorf("segment %d is listed %d times", i, seen[network.SegID(i)])
		}
	}
	for i := range n.Runs {
		at := unit.Length(0)
		for _, s := range n.Runs[i].Segs {
			if n.Segs[s].From != at {
				t.Errorf("%s: a piece begins at %s and the one above ends at %s", n.Runs[i].Name, n.Segs[s].From, at)
			}
			at = n.Segs[s].To
		}
	}
}

// At 45 degrees from plumb a pipe still counts as upright, a tenth of a degree more and it
// does not (IRC 2021 R202, IPC 2021 202: 45 degrees or less from plumb).
func TestUprightAt45(t *testing.T) {
	for _, tt := range []struct {
		leg  string
		want network.Lie
	}{{"down", network.Upright}, {"down 45 E", network.Upright}, {"down 45 from plumb E", network.Upright}, {"down 46 from plumb E", network.Level}, {"E", network.Level}} {
		n, ds := join(t, "job: x\ncode: irc-2021\noutlet: {to: house drain}\nruns:\n  p: {joins: outlet, legs: ["+tt.leg+" 5']}\n")
		if len(ds) > 0 {
			t.Fatal(ds)
		}
		if got := n.Segs[0].Lie; got != tt.want {
			t.Errorf("%s lies %s, want %s", tt.leg, got, tt.want)
		}
	}
}

// Every fault of the joins is told with its place and a way out; none makes the program
// fall over.
func TestFaultsOfTheJoins(t *testing.T) {
	for _, tt := range []struct{ runs, say string }{
		{"  a: {joins: b}\n", "a joins b, and no run has that name"},
		{"  a: {joins: a}\n", "a joins itself"},
		{"  main: {joins: outlet}\n  a: {joins: b}\n  b: {joins: c}\n  c: {joins: a}\n", "these runs drain into each other in a circle: a -> b -> c -> a"},
		{"  a: {joins: outlet}\n  b: {joins: outlet}\n", "b joins the outlet, and so does another run"},
		{"  a: {joins: b}\n  b: {joins: a}\n", "no run joins the outlet"},
		{"  a: {joins: outlet, legs: [E 5']}\n  b: {joins: a, at: 6'}\n", "b joins a at 6 ft, and a is only 5 ft long"},
		{"  a: {joins: outlet, legs: [E 5']}\n  b: {joins: a, at: foot}\n", "b is at the foot of a, which has no drop"},
		{"  a: {joins: outlet}\n  b: {joins: a, at: after nowhere}\n", "b is after nowhere, and no run of that name joins a"},
		{"  a: {joins: outlet}\n  b: {joins: a, at: after c}\n  c: {joins: a, at: after b}\n", "is placed after itself"},
		{"  a: {joins: outlet, fixture: lavatry}\n", "a: no fixture kind lavatry"},
		{"  a: {joins: outlet, carries: {fixtures: [lavatry]}}\n", "a carries lavatry, and no fixture kind has that name"},
		{"  a: {joins: outlet}\nvents:\n  v: {from: nowhere, ends: through roof}\n", "v takes off from nowhere, and nothing has that name"},
		{"  a: {joins: outlet}\nvents:\n  v: {from: a, ends: v}\n", "v ends in itself"},
		{"  a: {joins: outlet}\nvents:\n  v: {from: a}\n  b: {from: [v, v]}\n  c: {from: v}\n", "v comes into b and into c"},
		{"  a: {joins: outlet}\nvents:\n  v: {from: a, ends: b}\n  b: {ends: through roof}\n  c: {from: v}\n", "v comes into b and into c"},
		{"  a: {joins: outlet}\nvents:\n  v: {from: a, ends: through roof}\n  w: {from: v, ends: through roof}\n", "w takes off from v, which ends through roof and not in it"},
		{"  a: {joins: outlet}\nvents:\n  v: {from: a, ends: side wall}\n  w: {from: [v]}\n", "w takes off from v, which ends at a side wall and not in it"},
		{"  a: {joins: outlet}\nvents:\n  v: {from: a, ends: air admittance valve}\n  w: {from: v, ends: through roof}\n", "w takes off from v, which ends in an air admittance valve and not in it"},
		{"  a: {joins: outlet}\nvents:\n  v: {from: a, ends: w}\n  w: {from: a, ends: v}\n", "never reach outdoors"},
	} {
		_, ds := join(t, "job: x\ncode: irc-2021\noutlet: {to: house drain}\nruns:\n"+tt.runs)
		found := false
		for _, d := range ds {
			if strings.Contains(d.Message, tt.say) {
				found = true
				if d.Severity != diag.Error || d.Try == "" || d.At.IsZero() {
					t.Errorf("%q: severity %s, place %s, try %q", d.Message, d.Severity, d.At, d.Try)
				}
			}
		}
		if !found {
			t.Errorf("%q is not said of\n%s%v", tt.say, tt.runs, ds)
		}
	}
}

// Places along a run: a distance, the foot of a drop, after another join.
func TestPlaces(t *testing.T) {
	n, ds := join(t, `job: x
code: irc-2021
outlet: {to: house drain}
runs:
  main: {joins: outlet, legs: [E 10', down 4', E 6']}
  a: {joins: main, at: 3'}
  b: {joins: main, at: top of drop}
  c: {joins: main, at: foot}
  d: {joins: main, at: after a}
  e: {joins: main}
`)
	if len(ds) > 0 {
		t.Fatal(ds)
	}
	for run, want := range map[string]unit.Length{"a": 3 * unit.Foot, "b": 10 * unit.Foot, "c": 14 * unit.Foot, "e": 0} {
		x, _ := n.Find(run)
		segs := n.Runs[x.Run].Segs
		if got := n.Segs[n.Segs[segs[len(segs)-1]].Down].From; got != want {
			t.Errorf("%s joins at %s, want %s", run, got, want)
		}
	}
	// After a: below it, and how far is not known.
	x, _ := n.Find("d")
	segs := n.Runs[x.Run].Segs
	into := n.Segs[segs[len(segs)-1]].Down
	a, _ := n.Find("a")
	asegs := n.Runs[a.Run].Segs
	if above := n.Segs[asegs[len(asegs)-1]].Down; into <= above {
		t.Errorf("d joins segment %d, not below a's %d", into, above)
	}
}

// What joins level pipe under a slab without a drop is in the same ditch (common practice):
// an upright is not, nor what comes in over it, nor what says another place.
func TestUnderSlabGoesOn(t *testing.T) {
	n, ds := join(t, `job: slab
code: irc-2021
runs:
  sewer: {joins: outlet, legs: [E 20'], place: outside}
  yard:  {joins: sewer, at: 8', legs: [E 5'], fixture: floor drain}
  main:  {joins: sewer, legs: [E 30'], place: under slab}
  lav:   {joins: main, at: 10', arm: W 1', legs: [down 3', N 4'], fixture: lavatory}
  wc:    {joins: lav, at: 5', legs: [down 6", E 3'], fixture: water closet}
  tub:   {joins: main, at: 12', legs: [E 3'], place: crawl space, fixture: bathtub}
  sink:  {joins: main, at: 14', fixture: kitchen sink}
`)
	if len(ds) > 0 {
		t.Fatal(ds)
	}
	for run, want := range map[string][]bool{
		"sewer": {true, true}, "yard": {false}, "main": {true, true, true, true},
		"lav": {false, false, true, true}, "wc": {false, true}, "tub": {false}, "sink": {false},
	} {
		found, _ := n.Find(run)
		var got []bool
		for _, s := range n.Runs[found.Run].Segs {
			got = append(got, n.Segs[s].UnderGround)
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: under ground %v, want %v", run, got, want)
		}
	}
}

// A sewer that tells no place lies in the ground where the drain of the house is a run of its
// own; where a stack stands on it, it begins in the house.
func TestSewerInTheGround(t *testing.T) {
	for joins, want := range map[string]bool{"E 30'": true, "down 9'": false} {
		n, _ := join(t, "job: t\noutlet: {to: public sewer}\nruns:\n  sewer: {joins: outlet, legs: [E 50']}\n  main: {joins: sewer, legs: ["+joins+"]}\n  wc: {joins: main, legs: [N 2'], fixture: water closet}\n  lav: {joins: main, at: 4', legs: [N 2'], fixture: lavatory}\n")
		found, _ := n.Find("sewer")
		if got := n.Segs[n.Runs[found.Run].Segs[0]].UnderGround; got != want {
			t.Errorf("below %s: under ground %v, want %v", joins, got, want)
		}
	}
}

// A drop in the sewer does not end the building drain above it.
func TestTrunkPassesADrop(t *testing.T) {
	n, _ := join(t, `job: t
runs:
  sewer: {joins: outlet, legs: [E 3', down 3' 6", E 50'], place: outside}
  main: {joins: sewer, legs: [E 30']}
  wc: {joins: main, legs: [down 1', E 2'], fixture: water closet, level: first}
  lav: {joins: main, at: 10', arm: E 2', legs: [down 2'], fixture: lavatory, level: first}
`)
	for _, s := range n.Segs {
		if n.Runs[s.Run].Name == "main" && s.From > 0 && s.Role != network.BuildingDrain {
			t.Errorf("main from %v is %v: %v", s.From, s.Role, s.RoleWhy)
		}
	}
}

// A vent that comes down to a drain lies on the piece that holds the place where the job ends it.
func TestLoopComesDown(t *testing.T) {
	for at, want := range map[string]string{
		"":                     "main from 0 in, 0 in on",
		", into at: 2'":        "main from 0 in, 2 ft on",
		", into at: 3'":        "main from 3 ft, 0 in on",
		", into at: 21'":       "main from 20 ft, 1 ft on",
		", into at: after ks":  "main from 20 ft, 0 in on",
		", into at: lower end": "main from 20 ft, 10 ft on",
	} {
		n, ds := join(t, "job: x\ncode: irc-2021\noutlet: {to: house drain}\nruns:\n"+
			"  main: {joins: outlet, legs: [E 30']}\n  lav: {joins: main, at: 3', arm: N 2', fixture: lavatory}\n  ks: {joins: main, at: 20', arm: S 1', legs: [down 3'], fixture: kitchen sink}\n"+
			"vents:\n  lp: {from: ks, ends: main"+at+"}\n")
		if len(ds) > 0 {
			t.Fatal(ds)
		}
		v := &n.Vents[0]
		s := &n.Segs[v.IntoRun]
		if got := n.Runs[s.Run].Name + " from " + s.From.String() + ", " + v.IntoOff.String() + " on"; got != want {
			t.Errorf("%q: %s, want %s", at, got, want)
		}
	}
}

// A vent is the foot of a loop where its own way goes to the open air, and not through a loop.
func TestFootOfLoop(t *testing.T) {
	for vents, want := range map[string]network.VentEnd{
		"ft: {from: main, at: 22', ends: through roof}":                           network.ThroughRoof,
		"ft: {from: main, at: 22', ends: lp}":                                     network.Capped,
		"ft: {from: ks, at: lower end, ends: lp}":                                 network.Capped,
		"ft: {from: main, at: 19', ends: through roof}":                           network.Capped, // above it lav drains past
		"ft: {from: main, at: 22', ends: up}\n  up: {from: lav, ends: side wall}": network.SideWall,
		"ft: {from: main, at: 22'}":                                               network.EndUnknown,
		"ft: {from: main, at: 22', ends: lp2}\n  lp2: {from: ks2, ends: main, into at: 6'}\n  ft2: {from: main, at: 7', ends: lp}": network.Capped,
	} {
		n, ds := join(t, "job: x\ncode: irc-2021\noutlet: {to: house drain}\nruns:\n"+
			"  main: {joins: outlet, legs: [E 30']}\n  lav: {joins: main, at: 3', arm: N 2', fixture: lavatory}\n  ks2: {joins: main, at: 5', arm: S 1', legs: [down 3'], fixture: kitchen sink}\n  ks: {joins: main, at: 20', arm: S 1', legs: [down 3'], fixture: kitchen sink}\n"+
			"vents:\n  lp: {from: ks, ends: main, into at: 21'}\n  "+vents+"\n")
		if len(ds) > 0 {
			t.Fatal(ds)
		}
		if x, _ := n.Find("lp"); n.LoopAir(x.Vent) != want {
			t.Errorf("%s: %v, want %v", vents, n.LoopAir(x.Vent), want)
		}
	}
}
