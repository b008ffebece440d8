package engine_test

import (
	"fmt"
	"strings"
	"testing"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/unit"
	"trapweir/internal/cases"
	"trapweir/shelf"
)

// solve runs a job that must be readable.
func solve(t testing.TB, text string) *engine.Result {
	t.Helper()
	d, ds := shelf.For([]byte(text), "")
	for _, x := range ds {
		if x.Severity == diag.Error {
			t.Fatalf("%s: %s", x.At, x.Message)
		}
	}
	r := engine.Run(d, engine.Input{Name: "job", Text: []byte(text)})
	if !r.Solved() {
		t.Fatalf("not solved: %v\n%s", r.Faults, text)
	}
	return r
}

// last is the lowest piece of a run.
func last(t testing.TB, r *engine.Result, run string) network.SegID {
	t.Helper()
	x, ok := r.Net.Find(run)
	if !ok || x.Run == network.None {
		t.Fatalf("no run %s", run)
	}
	segs := r.Net.Runs[x.Run].Segs
	return segs[len(segs)-1]
}

// has reports whether a rule was raised as an error or a warning on a run.
func has(r *engine.Result, rule, run string) bool {
	for _, d := range r.Findings {
		if d.Rule == rule && d.On.Name == run && d.Severity <= diag.Warning {
			return true
		}
	}
	return false
}

// head begins a job of loose pipe: nothing is vented in what is drawn.
func head(code string, with ...string) string {
	s := "job: test\ncode: " + code + "\n"
	if len(with) > 0 {
		s += "with: [" + strings.Join(with, ", ") + "]\n"
	}
	return s + "outlet: {to: house drain}\nruns:\n"
}

// The trade facts that the program was begun with. They are common practice: no source, the
// word of a working plumber whose place has amendments of its own. Where a book says so
// too, the book gives the value; what only the place or the shop asks for is a layer.
func TestTradeFacts(t *testing.T) {
	// branch: one fixture or several into a level line at 1/4 in per ft, then out.
	line := func(role string, fixtures ...string) string {
		s := "  line: {joins: outlet, legs: [E 20'], slope: 1/4\" per ft, vented: elsewhere, role: " + role + "}\n"
		for i, f := range fixtures {
			s += fmt.Sprintf("  f%d: {joins: line, at: %d', legs: [S 2'], slope: 1/4\" per ft, vented: elsewhere, fixture: %s}\n", i+1, i, f)
		}
		return s
	}
	const shop = "our-shop"
	tests := []struct {
		say   string // common practice
		job   string
		run   string
		units string
		size  string
	}{
		{"a lavatory is 1 unit", head("irc-2021") + line("branch", "lavatory"), "f1", "1", ""},
		{"its smallest trap is 1-1/4 in", head("irc-2021") + line("branch", "lavatory"), "f1", "1", "1-1/4"},
		{"two lavatories joined are 2 units", head("irc-2021") + line("branch", "lavatory", "lavatory"), "line", "2", "1-1/2"},
		{"and the shop steps up to 2 in", head("irc-2021", shop) + line("branch", "lavatory", "lavatory"), "line", "2", "2"},
		{"a tub with a shower over it is 2", head("irc-2021") + line("branch", "bathtub"), "f1", "2", "1-1/2"},
		{"a shower with one head is 2", head("irc-2021") + line("branch", "shower, flow: 2.5 gpm"), "f1", "2", "1-1/2"},
		{"a kitchen sink is 2", head("irc-2021") + line("branch", "kitchen sink"), "f1", "2", "1-1/2"},
		{"a water closet at 1.6 gal is 3", head("irc-2021") + line("branch", "water closet, flush: 1.6 gal"), "f1", "3", "3"},
		{"more at a higher flush", head("irc-2021") + line("branch", "water closet, flush: 3.5 gal"), "f1", "4", "3"},
		{"a washer drains by 2 in", head("irc-2021") + line("branch", "clothes washer"), "f1", "2", "2"},
		{"two lavatories and a tub are 4", head("irc-2021") + line("branch", "lavatory", "lavatory", "bathtub"), "line", "4", "2"},
		{"and with a kitchen sink 6", head("irc-2021") + line("branch", "lavatory", "lavatory", "bathtub", "kitchen sink"), "line", "6", "2"},
		{"a tub and a shower are 4", head("irc-2021") + line("branch", "bathtub", "shower, flow: 2.5 gpm"), "line", "4", "2"},
		{"with a water closet 7, and the line stays 3 in", head("irc-2021") + line("branch", "bathtub", "shower, flow: 2.5 gpm", "water closet, flush: 1.28 gal"), "line", "7", "3"},
		{"a shower over 5.7 gpm is 3 units", head("ipc-2021") + line("branch", "shower, flow: 5.71 gpm"), "f1", "3", "2"},
		{"at 5.7 gpm it is still 2", head("ipc-2021") + line("branch", "shower, flow: 5.7 gpm"), "f1", "2", "1-1/2"},
		{"it grows from there and can need 3 in", head("ipc-2021") + line("branch", "shower, flow: 14.5 gpm"), "f1", "5", "3"},
		// The residential code grows the trap and not the units (Table P3201.7).
		{"3 in where only the trap grows", head("irc-2021") + line("branch", "shower, flow: 14.5 gpm"), "f1", "2", "3"},
	}
	for _, tt := range tests {
		r := solve(t, tt.job)
		s := last(t, r, tt.run)
		if got := r.Loads.Units[s].String(); got != tt.units {
			t.Errorf("%s: %s carries %s units, want %s (common practice)", tt.say, tt.run, got, tt.units)
		}
		if tt.size != "" && r.Sizes.Required[s] != inch(t, tt.size) {
			t.Errorf("%s: %s is %s, want %s (common practice)", tt.say, tt.run, r.Sizes.Required[s], tt.size)
		}
	}
	// The rest is said of pipe, not of fixtures.
	for _, tt := range []struct {
		say, code, role, slope, least string
		most                          float64
	}{
		{"1-1/2 in carries 3 units at 1/4 in per ft", "irc-2021", "branch", `1/4" per ft`, "1-1/2", 3},
		{"3 in carries 42 at 1/4 in per ft", "irc-2021", "building drain", `1/4" per ft`, "3", 42},
		{"and 36 at 1/8 in per ft", "irc-2021", "building drain", `1/8" per ft`, "3", 36},
	} {
		at, over := carry(t, tt.code, tt.role, tt.slope, "level", tt.most), carry(t, tt.code, tt.role, tt.slope, "level", tt.most+0.01)
		if want := inch(t, tt.least); at != want || over <= want {
			t.Errorf("%s: %g units need %s, a hundredth more %s (common practice)", tt.say, tt.most, at, over)
		}
	}
}

func inch(t testing.TB, s string) unit.Size {
	t.Helper()
	v, err := unit.ParseSize(s)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// carry is the size that a pipe of a role needs for a load that is given in units alone.
func carry(t testing.TB, code, role, slope, lies string, load float64) unit.Size {
	t.Helper()
	s := head(code) + fmt.Sprintf("  p: {joins: outlet, length: 9', lies: %s, slope: %s, vented: elsewhere, role: %s, carries: {units: %g, water closets: 0}}\n", lies, slope, role, load)
	r := solve(t, s)
	return r.Sizes.Required[last(t, r, "p")]
}

// The fourth water closet makes the line 4 in from where it ties in, a buried building
// sewer is 4 in, and nothing under ground is under 2 in: a county's one-liners (common
// practice where such amendments hold; the county is invented).
func TestCountyLayer(t *testing.T) {
	var b strings.Builder
	b.WriteString(strings.Replace(head("irc-2021", "marlow-county"), "house drain", "public sewer", 1))
	b.WriteString("  sewer: {joins: outlet, legs: [E 50'], slope: 1/4\" per ft, place: outside}\n")
	b.WriteString("  main: {joins: sewer, legs: [E 40'], slope: 1/4\" per ft, place: under slab}\n")
	for i := 1; i <= 5; i++ {
		fmt.Fprintf(&b, "  wc %d: {joins: main, at: %d', legs: [S 2'], slope: 1/4\" per ft, vented: elsewhere, fixture: water closet, flush: 1.28 gal}\n", i, 5*i)
	}
	b.WriteString("  lav: {joins: main, legs: [S 2'], slope: 1/4\" per ft, vented: elsewhere, fixture: lavatory}\n")
	r := solve(t, b.String())
	x, _ := r.Net.Find("main")
	three, four := inch(t, "3"), inch(t, "4")
	wcs := 0
	for _, s := range r.Net.Runs[x.Run].Segs {
		n, _ := r.Loads.Count(s, "water closet")
		want := three
		switch {
		case n == 0:
			want = inch(t, "2") // 1 unit; under ground
		case n >= 4:
			want = four
		}
		if r.Sizes.Required[s] != want {
			t.Errorf("main with %d water closets is %s, want %s", n, r.Sizes.Required[s], want)
		}
		if n == 4 {
			g := r.Sizes.Governing(s)
			if len(g.Cites) == 0 || g.Cites[0].Book != "marlow-county" || g.Cites[0].Kind != "local amendment" {
				t.Errorf("the fourth water closet is governed by %q %v, want the county", g.Text, g.Cites)
			}
		}
		wcs = n
	}
	if wcs != 5 {
		t.Errorf("%d water closets at the end of main, want 5", wcs)
	}
	if got := r.Sizes.Required[last(t, r, "sewer")]; got != four {
		t.Errorf("sewer is %s, want 4 in", got)
	}
	// Under the book alone nothing asks for 4 in: 16 units, 5 water closets.
	r = solve(t, strings.Replace(b.String(), "with: [marlow-county]\n", "", 1))
	if got := r.Sizes.Required[last(t, r, "sewer")]; got != three {
		t.Errorf("without the county the sewer is %s, want 3 in (IRC 2021 Table P3005.4.2: 42 units at 1/4 in per ft)", got)
	}
}

// A shop's practice lies over both: 2 in where two lavatories join, 2 in for every tub,
// and sizes that are not on the truck are passed over (common practice; the shop is
// invented).
func TestShopLayer(t *testing.T) {
	job := func(with ...string) string {
		return head("irc-2021", with...) + `  line: {joins: outlet, legs: [E 20'], slope: 1/4" per ft, role: branch, vented: elsewhere, carries: {units: 8, water closets: 0}}
  tub: {joins: line, at: 2', legs: [S 2'], slope: 1/4" per ft, vented: elsewhere, fixture: bathtub}
  lav: {joins: line, at: 4', legs: [S 2'], slope: 1/4" per ft, vented: elsewhere, fixture: lavatory}
`
	}
	for _, tt := range []struct{ run, book, shop string }{
		{"lav", "1-1/4", "1-1/2"}, // no 1-1/4 in on the truck
		{"tub", "1-1/2", "2"},
		{"line", "2-1/2", "3"}, // 11 units: 2-1/2 in by IRC Table P3005.4.1, and none on the truck
	} {
		if got := solve(t, job()); got.Sizes.Required[last(t, got, tt.run)] != inch(t, tt.book) {
			t.Errorf("%s by the book is %s, want %s", tt.run, got.Sizes.Required[last(t, got, tt.run)], tt.book)
		}
		if got := solve(t, job("our-shop")); got.Sizes.Size[last(t, got, tt.run)] != inch(t, tt.shop) {
			t.Errorf("%s by the shop is %s, want %s", tt.run, got.Sizes.Size[last(t, got, tt.run)], tt.shop)
		}
	}
}

// Size never drops downstream; a 4x3 closet bend or flange is no reduction (common
// practice; UPC 2021 Table 703.2 notes and IPC 2021 706.1, 704.2 say the same).
func TestNoReduction(t *testing.T) {
	job := func(bend, lower string) string {
		return head("ipc-2021") + `  main: {joins: outlet, legs: [E 20'], slope: 1/4" per ft, vented: elsewhere, size: ` + lower + `}
  wc: {joins: main, legs: [E 2'], slope: 1/4" per ft, vented: elsewhere, fixture: water closet, flush: 1.28 gal, size: 4` + bend + `}
`
	}
	if r := solve(t, job("", "3")); !has(r, "pipe-reduced-downstream", "main") {
		t.Error("4 in into 3 in is not reported")
	}
	if r := solve(t, job(", bend: 4x3", "3")); has(r, "pipe-reduced-downstream", "main") {
		t.Error("a 4x3 closet bend is reported as a reduction")
	}
	if r := solve(t, job("", "4")); has(r, "pipe-reduced-downstream", "main") {
		t.Error("4 in into 4 in is reported")
	}
	// A pipe that nobody sized is drawn no smaller than what is there above it.
	r := solve(t, strings.Replace(job("", "4"), ", size: 4}\n  wc", "}\n  wc", 1))
	if s := last(t, r, "main"); r.Sizes.Required[s] != inch(t, "3") || r.Sizes.Size[s] != inch(t, "4") {
		t.Errorf("below a 4 in drain main needs %s and is %s, want 3 in and 4 in", r.Sizes.Required[s], r.Sizes.Size[s])
	}
}

// A run that is too small is told where that begins, with what it needs further down too.
// IPC 2021 Table 710.1(1) at 1/4 in per ft: 3 in 42 units, 4 in 216, 5 in 480.
func TestTooSmallFurtherDown(t *testing.T) {
	job := head("ipc-2021") + `  main: {joins: outlet, role: building drain, size: 3, legs: [E 40'], slope: 1/4" per ft, carries: {units: 43, water closets: 1}}
  more: {joins: main, at: 20', legs: [S 6'], slope: 1/4" per ft, carries: {units: MORE, water closets: 1}}
`
	for more, want := range map[string]string{
		"100": "make main at least 4 in from there to the outlet",
		"200": "make main at least 4 in from there to the outlet; further down at least 5 in",
	} {
		r := solve(t, strings.Replace(job, "MORE", more, 1))
		told := 0
		for _, d := range r.Findings {
			if d.Rule != "building-drain-overloaded" {
				continue
			}
			told++
			if d.Try != want || d.Got != "43" || d.Limit != "42" || d.On.Segment != int32(r.Net.Runs[0].Segs[0]) {
				t.Errorf("%s units more: %+v, want %q", more, d, want)
			}
		}
		if told != 1 {
			t.Errorf("%s units more: told %d times", more, told)
		}
	}
}

// What is given is judged, what exists and is not known is asked for (our own rule: a
// missing fact is a question).
func TestGivenAndExisting(t *testing.T) {
	job := head("irc-2021") + `  old: {joins: outlet, legs: [E 20'], slope: 1/4" per ft, vented: elsewhere, existing: yes, size: 1-1/2, role: branch, carries: {units: 4, water closets: 0}}
`
	if r := solve(t, job); !has(r, "branch-overloaded", "old") {
		t.Error("4 units on existing 1-1/2 in are not reported (IRC 2021 Table P3005.4.1: 3)")
	}
	r := solve(t, strings.Replace(job, ", size: 1-1/2", "", 1))
	asked := false
	for _, d := range r.Findings {
		asked = asked || d.Rule == "existing-size" && d.Severity == diag.Unchecked && d.Ask != "" && d.On.Name == "old"
	}
	if !asked {
		t.Error("the size of existing pipe is not asked for")
	}
	if got := r.Sizes.Required[last(t, r, "old")]; got != inch(t, "2") {
		t.Errorf("existing pipe needs %s, want 2 in", got)
	}
}

// Pumped flow counts by the gallon a minute, as each book says: IRC 2021 Table P3004.1 note
// a: 1.5; IPC 2021 709.3: 2; UPC 2021 Table 702.2(1): 2.
func TestPumpedFlow(t *testing.T) {
	for _, tt := range []struct{ code, units string }{{"irc-2021", "60"}, {"ipc-2021", "80"}, {"upc-2021", "80"}} {
		r := solve(t, head(tt.code)+`  drain: {joins: outlet, legs: [E 20'], slope: 1/4" per ft, vented: elsewhere}
  up: {joins: drain, legs: [E 2'], size: 2, basin: {pump: 40 gpm, head: 10'}}
  bath: {joins: up, legs: [E 9'], slope: 1/4" per ft, vented: elsewhere, carries: {fixtures: [water closet, lavatory, shower]}}
`)
		if got := r.Loads.Units[last(t, r, "drain")].String(); got != tt.units {
			t.Errorf("%s: 40 gpm count %s units, want %s", tt.code, got, tt.units)
		}
		if has(r, "pipe-reduced-downstream", "up") {
			t.Errorf("%s: a pump's pipe is judged by the bath that runs into its basin", tt.code)
		}
	}
}

// Public and private use: IPC 2021 Table 709.1 counts a public 1.6 gal water closet 4, UPC
// 2021 Table 702.1 a private one 3 and a public one 4.
func TestUse(t *testing.T) {
	for _, tt := range []struct{ code, occupancy, use, units string }{
		{"ipc-2021", "one-family", "", "3"},
		{"ipc-2021", "public", "", "4"},
		{"ipc-2021", "public", ", use: private", "3"},
		{"upc-2021", "one-family", "", "3"},
		{"upc-2021", "one-family", ", use: public", "4"},
	} {
		r := solve(t, strings.Replace(head(tt.code), "outlet:", "occupancy: "+tt.occupancy+"\noutlet:", 1)+
			"  wc: {joins: outlet, legs: [E 9'], slope: 1/4\" per ft, vented: elsewhere, fixture: water closet, flush: 1.6 gal"+tt.use+"}\n")
		if got := r.Loads.Units[last(t, r, "wc")].String(); got != tt.units {
			t.Errorf("%s, %s%s: a water closet counts %s, want %s", tt.code, tt.occupancy, tt.use, got, tt.units)
		}
	}
}

// A sink with a disposer and a dishwasher on one trap stays 2 units (IRC 2021 Table P3004.1
// kitchen group, IPC 2021 Table 709.1: domestic sink with disposer and dishwasher 2).
func TestDisposer(t *testing.T) {
	for _, code := range []string{"irc-2021", "ipc-2021", "upc-2021"} {
		r := solve(t, head(code)+"  sink: {joins: outlet, legs: [E 9'], slope: 1/4\" per ft, vented: elsewhere, fixture: kitchen sink, disposer: yes, dishwasher: yes}\n")
		if got := r.Loads.Units[last(t, r, "sink")].String(); got != "2" {
			t.Errorf("%s: a sink with both counts %s, want 2", code, got)
		}
	}
}

// Groups count once where the job asks: IPC 2021 Table 709.1, bathroom group with a 1.6 gal
// closet 5 for 3 + 1 + 2; the default is each fixture, never smaller.
func TestGroups(t *testing.T) {
	job := head("ipc-2021") + `  line: {joins: outlet, legs: [E 20'], slope: 1/4" per ft, vented: elsewhere}
  wc:  {joins: line, at: 1', legs: [S 2'], slope: 1/4" per ft, vented: elsewhere, fixture: water closet, flush: 1.28 gal, room: bath}
  lav: {joins: line, at: 2', legs: [S 2'], slope: 1/4" per ft, vented: elsewhere, fixture: lavatory, room: bath}
  tub: {joins: line, at: 3', legs: [S 2'], slope: 1/4" per ft, vented: elsewhere, fixture: bathtub, room: bath}
  lav 2: {joins: line, at: 4', legs: [S 2'], slope: 1/4" per ft, vented: elsewhere, fixture: lavatory, room: bath}
`
	if r := solve(t, job); r.Loads.Units[last(t, r, "line")] != 7*unit.Unit {
		t.Errorf("each fixture: %s, want 7", r.Loads.Units[last(t, r, "line")])
	}
	r := solve(t, strings.Replace(job, "outlet:", "loads: groups\noutlet:", 1))
	x, _ := r.Net.Find("line")
	var got []string
	for _, s := range r.Net.Runs[x.Run].Segs {
		got = append(got, r.Loads.Units[s].String())
	}
	// Nothing, the closet, with a lavatory, the whole group: 5 and not 6; the second
	// lavatory is not of the group.
	if want := "0 3 4 5 6"; strings.Join(got, " ") != want {
		t.Errorf("groups along the line: %v, want %s", got, want)
	}
}

// What is carried in from a part that is not drawn: by fixtures, by units, and the
// question when neither is known.
func TestCarries(t *testing.T) {
	job := func(c string) string {
		return head("irc-2021") + "  p: {joins: outlet, legs: [E 9'], slope: 1/4\" per ft, vented: elsewhere, carries: " + c + "}\n"
	}
	for _, tt := range []struct {
		carries, units, size string
		closets              int
	}{
		{"{fixtures: [water closet, lavatory, bathtub]}", "6", "3", 1},
		{"2 lavatories and bathtub", "4", "2", 0},
		{"{units: 13, water closets: 1}", "13", "3", 1},
	} {
		r := solve(t, job(tt.carries))
		s := last(t, r, "p")
		n, _ := r.Loads.Count(s, "water closet")
		if r.Loads.Units[s].String() != tt.units || n != tt.closets || r.Sizes.Required[s] != inch(t, tt.size) {
			t.Errorf("%s: %s units, %d closets, %s; want %s, %d, %s", tt.carries, r.Loads.Units[s], n, r.Sizes.Required[s], tt.units, tt.closets, tt.size)
		}
	}
	r := solve(t, job("{note: the old house}"))
	if s := last(t, r, "p"); !r.Loads.AtLeast[s] {
		t.Error("a part that is not known is not marked as a floor")
	}
	asked := false
	for _, d := range r.Findings {
		asked = asked || d.Rule == "fixture-load" && d.Severity == diag.Unchecked && d.Ask != ""
	}
	if !asked {
		t.Error("a part that is not known is not asked about")
	}
}

// The worked examples: published loads and sizes beside ours (testdata/worked/expect.yaml
// names each source, and the table where the source counts by another one than the books
// here). All agree.
//
// WE-14 is entered with the stack of its reply, 3 in; the load of the 2 in one is not told.
// CX-02 and CX-03 are compared in what concerns loads and sizes.
func TestWorkedExamples(t *testing.T) {
	s, err := cases.Load("../testdata/worked")
	if err != nil {
		t.Fatal(err)
	}
	total := 0
	for _, id := range s.IDs() {
		rep := s.Check(s.Cases[id], cases.Run)
		for v, why := range rep.Failed {
			t.Errorf("%s, %s: %s", id, v, why)
		}
		for _, o := range rep.Outcomes {
			total++
			if !o.OK {
				t.Errorf("%s: %s: %s (%s)", id, o.Say, o.Why, s.Cases[id].Say)
			}
		}
	}
	if total < 90 {
		t.Errorf("only %d results compared", total)
	}
}
