package takeoff_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"trapweir/engine/stock"
	"trapweir/engine/takeoff"
	"trapweir/engine/unit"
)

// With the measures of a shop (here those of an invented maker) every piece of the demo
// houses is cut from the list, but those that end at what lies outside the job.
func TestDimensionsMakeEveryCutExact(t *testing.T) {
	lib, cat := shelfOf(t)
	own := stock.File{Name: "dimensions.yaml", Text: file(t, "examples/dimensions.yaml")}
	for _, name := range []string{"heron-lane", "alder-court", "larkspur"} {
		r, ok := solve(t, lib, cat, name, file(t, "examples/"+name+".dwv.yaml"))
		if !ok {
			t.Fatal(name)
		}
		o := take(r, onRecord(t, own), takeoff.Settings{})
		exact := 0
		for i := range o.Pieces {
			p := &o.Pieces[i]
			switch {
			case p.To == "outlet":
			case p.Sure != stock.High || strings.Contains(p.Says(unit.FeetInches), "measure"):
				t.Errorf("%s: piece %d, %s to %s: %s", name, p.Number, p.From, p.To, p.Says(unit.FeetInches))
			default:
				exact++
				// The cut is the distance of the centres less what the file says, to the mark.
				if want := (p.Centres - p.Take[0].V - p.Take[1].V).Round(unit.Inch / 16); p.Length != want {
					t.Errorf("%s: piece %d is %v, want %v", name, p.Number, p.Length, want)
				}
			}
		}
		if exact < 15 {
			t.Errorf("%s: only %d pieces are cut from the list", name, exact)
		}
		if len(o.Wants) != 0 {
			t.Errorf("%s: still wanted: %+v", name, o.Wants)
		}
	}
	// By hand, from the numbers of that file: main of Heron Lane from the powder closet's
	// combination to the kitchen's, 8 ft: lower end of 3 x 3 and upper end of 3 x 1-1/2.
	r, _ := solve(t, lib, cat, "heron-lane", file(t, "examples/heron-lane.dwv.yaml"))
	st := onRecord(t, own)
	for _, p := range take(r, st, takeoff.Settings{}).Pieces {
		if p.Runs[0] == "main" && p.Centres == 8*unit.Foot {
			a := st.Takeout("pvc", "combo", unit.Size(3*unit.Inch), unit.Size(3*unit.Inch), stock.Lower)
			b := st.Takeout("pvc", "combo", unit.Size(3*unit.Inch), unit.Size(3*unit.Inch/2), stock.Upper)
			if want := 8*unit.Foot - a.V - b.V; p.Length != want || !a.Known() || !b.Known() {
				t.Errorf("main: %v, want %v", p.Length, want)
			}
			return
		}
	}
	t.Error("main has no piece of 8 ft")
}

// What is wanted is asked for once, by the fitting and its ends.
func TestWants(t *testing.T) {
	lib, cat := shelfOf(t)
	r, ok := solve(t, lib, cat, "trial", []byte(head+"  main: {joins: outlet, legs: [E 60\", S 60\", E 60\", S 60\"], size: 3, slope: 1/4\" per ft}\n"))
	if !ok {
		t.Fatal("the job cannot be solved")
	}
	o := take(r, onRecord(t), takeoff.Settings{})
	if len(o.Wants) != 1 || o.Wants[0].Kind != "long sweep" || o.Wants[0].Pieces != 6 || o.Wants[0].Ports != [3]bool{true} {
		t.Errorf("%+v, want the long sweep for six ends", o.Wants)
	}
}

func TestRisers(t *testing.T) {
	lib, cat := shelfOf(t)
	const top = "job: trial\ncode: irc-2021\noutlet: {to: public sewer, invert: -4', grade: -1'}\nlevels: {first: {floor: 0', slab: 4\", under: slab, grade: -8\"}}\nruns:\n"
	tests := []struct{ name, job, want string }{
		// 4 in: -48 in and 10 ft x 1/4 = 2.5 in is the invert, and half the bore of 4.026 in over
		// it the centre: -43.49 in; the grade is -8 in. 35.49 in, to the sixteenth 35-1/2.
		{"two-way, up to the grade", top + "  sewer: {joins: outlet, legs: [E 10'], size: 4, slope: 1/4\" per ft, place: outside, cleanouts: [{at: upper end, type: two-way}]}\n", "cleanout > two-way cleanout tee: 35-1/2 in"},
		{"under the slab, up to the floor", top + "  main: {joins: outlet, legs: [E 10'], size: 4, slope: 1/4\" per ft, place: under slab, level: first, cleanouts: [upper end]}\n", "cleanout > long sweep quarter bend: 43-1/2 in"},
	}
	for _, tt := range tests {
		r, ok := solve(t, lib, cat, "trial", []byte(tt.job))
		if !ok {
			t.Fatal(tt.name)
		}
		o := take(r, onRecord(t), takeoff.Settings{})
		var got []string
		for _, p := range o.Pieces {
			if p.From == "cleanout" {
				got = append(got, fmt.Sprintf("%s > %s: %s", p.From, p.To, p.Centres.Round(unit.Inch/16).Inches()))
			}
		}
		if !slices.Contains(got, tt.want) {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
	// Without heights it is asked, and nothing is counted.
	r, _ := solve(t, lib, cat, "trial", []byte(head+"  sewer: {joins: outlet, legs: [E 10'], size: 4, place: outside, cleanouts: [{at: upper end, type: two-way}]}\n"))
	got := show(take(r, onRecord(t), takeoff.Settings{}))
	for _, want := range []string{"? riser pipe of the two-way cleanout 4 | sewer | how deep the line lies here is not known", "? connection at the public sewer 4 | sewer | what it is joined to is not said"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
}

// Offsets of the job, to the sixteenth.
func TestOffsets(t *testing.T) {
	lib, cat := shelfOf(t)
	tests := []struct{ name, legs, want string }{
		// common practice: travel is 1.414 times the set. 17 in of travel: set and advance 12.02.
		{"off a plumb line", `[down 4', down 45 E 17", down 4']`, "45 degrees, side 12 in, rise 0 in, set 12 in, travel 17 in, advance 12 in, roll 0"},
		{"in the flat", `[E 4', NE 17", E 4']`, "45 degrees, side 12 in, rise 0 in, set 12 in, travel 17 in, advance 12 in, roll 0"},
		{"down off a level line", `[E 4', down 45 E 17", E 4']`, "45 degrees, side 0 in, rise 12 in, set 12 in, travel 17 in, advance 12 in, roll 0"},
		// A rolling offset as much to the side as down: with eighth bends its slanted piece goes
		// (1, 1/sqrt 2, 1/sqrt 2) x travel / sqrt 2: 60 degrees from plumb, N 54.7 E. Travel 24 in:
		// set 16.97, to the sixteenth 17, of it 12 to the side and 12 down (24 x cos 60), rolled by 45 degrees.
		{"rolling", `[E 4', down 60 from plumb N55E 24", E 4']`, "45 degrees, side 12 in, rise 12 in, set 17 in, travel 24 in, advance 17 in, roll 4500"},
		{"a turn is no offset", `[E 4', S 4', W 4']`, ""},
	}
	for _, tt := range tests {
		r, ok := solve(t, lib, cat, "trial", []byte(head+"  main: {joins: outlet, legs: "+tt.legs+", size: 3}\n"))
		if !ok {
			t.Errorf("%s cannot be solved", tt.name)
			continue
		}
		var got []string
		for _, b := range take(r, onRecord(t), takeoff.Settings{}).Offsets {
			got = append(got, fmt.Sprintf("%v, side %s, rise %s, set %s, travel %s, advance %s, roll %d", b.Bend, b.Side.Inches(), b.Rise.Inches(), b.Set.Inches(), b.Travel.Inches(), b.Advance.Inches(), b.Roll))
		}
		if strings.Join(got, "; ") != tt.want {
			t.Errorf("%s:\n got %q\nwant %q", tt.name, got, tt.want)
		}
	}
}

// Hubless couplings, counted at the bench: every end of pipe that goes into a fitting has one,
// what screws or plugs into an end of a fitting has that fitting's, and an increaser in the
// run stands between two.
func TestHublessJoints(t *testing.T) {
	lib, cat := shelfOf(t)
	// A stack of 3 in with a plug on its head, two branches of 2 in, level below with a
	// cleanout at the turn. Double fitting: 4 ends, 1 of them the plug. Combination: 3 ends, 1
	// of them the cleanout. 10 ft pieces: none between. 3 in: two of the double fitting (stack,
	// plug), three of the combination. 2 in: two sides, their traps.
	const text = head + `  main:  {joins: outlet, legs: [E 9'], size: 3, slope: 1/4" per ft, cleanouts: [upper end]}
  stack: {joins: main, legs: [down 8'], size: 3}
  tub a: {joins: stack, legs: [E 4'], size: 2, slope: 1/4" per ft, fixture: bathtub}
  tub b: {joins: stack, legs: [W 4'], size: 2, slope: 1/4" per ft, fixture: bathtub}
`
	r, ok := solve(t, lib, cat, "trial", []byte(text))
	if !ok {
		t.Fatal("the job cannot be solved")
	}
	o := take(r, onRecord(t), takeoff.Settings{Material: "cast iron"})
	got := map[string]int64{}
	for _, l := range o.Lines {
		if l.Item == "hubless coupling" {
			got[l.Size] += l.Qty
		}
	}
	// Each trap has an inlet and an outlet.
	if got["3"] != 5 || got["2"] != 6 {
		t.Errorf("couplings %v in\n%s", got, show(o))
	}
	// An existing end is joined by the transition coupling alone.
	r, ok = solve(t, lib, cat, "trial", []byte(head+`  stack: {joins: outlet, legs: [down 9'], size: 3, existing: true, material: cast iron}
  bath: {joins: stack, at: 4', legs: [W 6'], size: 2, slope: 1/4" per ft, fixture: bathtub}
`))
	if !ok {
		t.Fatal("the job cannot be solved")
	}
	var joints int64
	for _, j := range take(r, onRecord(t), takeoff.Settings{}).Joints {
		joints += j.N
	}
	// The tee's side and the two ends of the trap; its run is coupled.
	if joints != 3 {
		t.Errorf("%d cemented joints, want 3", joints)
	}
}

// What goes into the ground comes with the first delivery, also where the pipe runs straight
// on into the crawl space in its size; a coupling joins the two (common practice).
func TestDeliveriesPartAPipe(t *testing.T) {
	lib, cat := shelfOf(t)
	r, ok := solve(t, lib, cat, "trial", []byte(head+`  sewer: {joins: outlet, legs: [E 30'], size: 3, slope: 1/4" per ft, place: outside}
  main:  {joins: sewer, legs: [E 9'], size: 3, slope: 1/4" per ft, place: crawl space}
  tub:   {joins: main, legs: [E 4'], size: 2, slope: 1/4" per ft, fixture: bathtub}
`))
	if !ok {
		t.Fatal("the job cannot be solved")
	}
	o := take(r, onRecord(t), takeoff.Settings{})
	got := map[string]string{}
	for _, p := range o.Pieces {
		got[p.Runs[0]] = p.Phase.String() + ", " + p.From + " to " + p.To
	}
	if got["sewer"] != "underground, coupling to outlet" || !strings.HasSuffix(got["main"], " to coupling") || !strings.HasPrefix(got["main"], "rough-in") {
		t.Errorf("%q in\n%s", got, show(o))
	}
	var couplings int64
	for _, l := range o.Lines {
		if l.Item == "coupling" && l.Phase == takeoff.RoughIn {
			couplings += l.Qty
		}
	}
	if couplings != 1 {
		t.Errorf("%d couplings with the rough-in, want 1", couplings)
	}
}

// Books that ask for room to expand get a question for each long straight line of plastic.
func TestExpansion(t *testing.T) {
	lib, cat := shelfOf(t)
	upc := strings.Replace(head, "irc-2021", "upc-2021", 1)
	for _, tt := range []struct {
		job  string
		set  takeoff.Settings
		want bool
	}{
		{upc + "  main: {joins: outlet, legs: [E 31'], size: 3, slope: 1/4\" per ft}\n", takeoff.Settings{}, true},
		{upc + "  main: {joins: outlet, legs: [E 30'], size: 3, slope: 1/4\" per ft}\n", takeoff.Settings{}, false},
		{upc + "  main: {joins: outlet, legs: [E 20', S 20'], size: 3, slope: 1/4\" per ft}\n", takeoff.Settings{}, false},
		{upc + "  main: {joins: outlet, legs: [E 31'], size: 3, slope: 1/4\" per ft, place: under ground}\n", takeoff.Settings{}, false},
		{upc + "  main: {joins: outlet, legs: [E 31'], size: 3, slope: 1/4\" per ft}\n", takeoff.Settings{Material: "cast iron"}, false},
		{head + "  main: {joins: outlet, legs: [E 31'], size: 3, slope: 1/4\" per ft}\n", takeoff.Settings{}, false},
	} {
		r, ok := solve(t, lib, cat, "trial", []byte(tt.job))
		if !ok {
			t.Fatal("the job cannot be solved")
		}
		if got := strings.Contains(show(take(r, onRecord(t), tt.set)), "expansion joint or offset"); got != tt.want {
			t.Errorf("asked %v, want %v:\n%s", got, tt.want, tt.job)
		}
	}
}

// A metric job is cut to the millimetre, and its bedding is bought by the cubic metre.
func TestMetric(t *testing.T) {
	lib, cat := shelfOf(t)
	text := strings.Replace(head, "runs:", "units: metric\nruns:", 1) + "  main: {joins: outlet, legs: [E 3 m, S 3 m, E 3 m], size: 3, slope: 2%, place: under ground}\n"
	r, ok := solve(t, lib, cat, "trial", []byte(text))
	if !ok {
		t.Fatal("the job cannot be solved")
	}
	o := take(r, onRecord(t), takeoff.Settings{})
	for _, p := range o.Pieces {
		if p.Length%unit.Millimetre != 0 {
			t.Errorf("piece %d is %v", p.Number, p.Length.In(unit.Metric))
		}
	}
	if got := o.Pieces[1].Says(o.Units); !strings.HasPrefix(got, "measure: about ") || !strings.HasSuffix(got, "0 mm") {
		t.Errorf("%q", got)
	}
	for _, l := range o.Lines {
		if l.Unit == takeoff.Cubic && (len(l.Buys) != 1 || l.Buys[0].Unit != "m3") {
			t.Errorf("bedding is bought as %+v", l.Buys)
		}
	}
}
