package elevation_test

import (
	"os"
	"strings"
	"testing"

	"trapweir/data"
	"trapweir/engine"
	"trapweir/engine/catalog"
	"trapweir/engine/codebook"
	"trapweir/engine/elevation"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// load reads the embedded books and the catalog.
func load(t testing.TB) engine.Data {
	t.Helper()
	var files []codebook.File
	for _, f := range data.Books() {
		files = append(files, codebook.File(f))
	}
	lib, _ := codebook.ReadLibrary(files)
	cat, ds := catalog.Read([]codebook.File{{Name: "fixtures.yaml", Text: data.Get("fixtures.yaml")}})
	if len(ds) > 0 {
		t.Fatal(ds)
	}
	return engine.Data{Books: lib, Catalog: cat, Default: "irc-2021"}
}

func solve(t testing.TB, text string) *engine.Result {
	t.Helper()
	r := engine.Run(load(t), engine.Input{Name: "test.dwv.yaml", Text: []byte(text)})
	for _, d := range r.Faults {
		t.Fatalf("%v: %s (%s)", d.At, d.Message, d.Try)
	}
	return r
}

// ends returns the inverts of a run's two ends.
func ends(t testing.TB, r *engine.Result, run string) (up, low elevation.Height) {
	t.Helper()
	x, ok := r.Net.Find(run)
	if !ok {
		t.Fatalf("no run %s", run)
	}
	segs := r.Net.Runs[x.Run].Segs
	return r.Levels.InvertUp[segs[0]], r.Levels.InvertLow[segs[len(segs)-1]]
}

func length(t testing.TB, s string) unit.Length {
	t.Helper()
	v, err := unit.ParseLength(s)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func show(h elevation.Height) string {
	if !h.Known {
		return "not known"
	}
	return h.V.Inches()
}

// The inverts of practice cases and textbooks.
func TestInverts(t *testing.T) {
	s33 := `
job: garage
code: upc-2021
levels:
  garage: {floor: 0', slab: 4", under: slab}
outlet: {to: house drain, invert: -30"}
runs:
  b4:   {joins: outlet, role: building sewer, size: 4, legs: [level 25'], slope: 1/4" per ft, place: outside}
  wc:   {joins: b4, fixture: water closet, flush: 1.28 gal, level: garage}
  b2:   {joins: b4, size: 2, legs: [level 15'], slope: 1/4" per ft, place: under slab, level: garage}
  armS: {joins: b2, fixture: shower, level: garage, size: 2, arm: [level 4'], slope: 1/4" per ft, place: under slab}
`
	s35 := `
job: sewer
code: irc-2021
levels: {ground: {grade: 0'}}
outlet: {to: public sewer, invert: -96", grade: -12"}
runs:
  bs: {joins: outlet, role: building sewer, size: 4, legs: [level 250'], slope: 1/4" per ft, place: outside, level: ground, invert: {upper: -24"}, carries: {units: 24}}
`
	drop := func(s, old, new string) string {
		if !strings.Contains(s, old) {
			t.Fatalf("no %q in the job", old)
		}
		return strings.ReplaceAll(s, old, new)
	}
	fromHouse := drop(s35, `, invert: -96", grade: -12"`, "")
	tests := []struct {
		name, job, run, upper, lower string
		from                         string
	}{
		{"S33 sewer", s33, "b4", "-23-3/4 in", "-30 in", "practice case S33: -30 + 25 ft at 1/4"},
		{"S33 branch", s33, "b2", "-19 in", "-22-3/4 in", "practice case S33: 2 in joined on the centre of 4 in"},
		{"S33 arm", s33, "armS", "-18 in", "-19 in", "practice case S33: shower trap"},
		{"S33 at 1/8", drop(s33, `[level 25'], slope: 1/4"`, `[level 25'], slope: 1/8"`), "b4", "-26-7/8 in", "-30 in", "practice case S33, judgement: -26.9 at 1/8"},
		{"S35 from the house", fromHouse, "bs", "-24 in", "-86-1/2 in", "practice case S35: 62.5 in of fall at 1/4"},
		{"S35 at 1/8", drop(fromHouse, `1/4" per ft`, `1/8" per ft`), "bs", "-24 in", "-55-1/4 in", "practice case S35: 31.25 in of fall at 1/8"},
		{"WE-21", `
job: fall of 50 ft
outlet: {to: public sewer, invert: 0"}
runs: {d: {joins: outlet, size: 3, legs: [level 50'], slope: 1/8" per ft, carries: {units: 4}}}
`, "d", "6-1/4 in", "0 in", "WE-21: Modern Plumbing 2022, ch. 6, p. 109: 6-1/4 in"},
		{"WE-20", `
job: tee below a joist
outlet: {to: house drain, invert: -4-7/8"}
runs: {d: {joins: outlet, size: 3, legs: [level 9.5'], slope: 1/4" per ft, carries: {units: 4}}}
`, "d", "-2-1/2 in", "-4-7/8 in", "WE-20: Modern Plumbing 2022, ch. 21, p. 325: centre 1 in below the joist is 3-3/8 in below it 9.5 ft on, a fall of 2-3/8 in (3 in pipe: inverts 1-1/2 in lower)"},
		{"a drop and an angle", `
job: drop
outlet: {to: house drain, invert: 0"}
runs:
  m: {joins: outlet, size: 3, legs: [E 8'], slope: 1/4" per ft}
  b: {joins: m, size: 2, legs: [E 4', down 2', E 4'], slope: 1/4" per ft, carries: {units: 2}}
`, "b", "28-1/2 in", "2-1/2 in", "arithmetic: 2 in over, 1/2 in for the sizes, two times 1 in and 24 in"},
		{"a pumped line goes up", `
job: pump
outlet: {to: public sewer, invert: -6'}
runs:
  m: {joins: outlet, size: 4, legs: [E 8'], slope: 1/8" per ft}
  p: {joins: m, size: 2, legs: [up 10'], basin: {pump: 30 gpm}, carries: {units: 4}}
`, "p", "-190 in", "-70 in", "arithmetic: the axis meets the centre of the 4 in drain, 2 in over its invert of -71 in; 1 in less for the 2 in pipe"},
		{"slope found from two inverts", `
job: two ends
outlet: {to: public sewer, invert: -10'}
runs:
  m: {joins: outlet, size: 4, legs: [E 48'], invert: {upper: -9'}}
  b: {joins: m, at: 24', size: 4, legs: [N 8'], slope: 1/4" per ft, carries: {units: 4}}
`, "b", "-112 in", "-114 in", "arithmetic: 12 in over 48 ft; half way up 6 in, and 2 in of the branch"},
		{"a weir stands", `
job: weir
outlet: {to: house drain}
runs:
  d: {joins: outlet, size: 2, legs: [down 4']}
  a: {joins: d, fixture: lavatory, weir: 17", size: 1-1/2, arm: [E 2'], slope: 1/4" per ft, fitting: sanitary tee}
`, "a", "17 in", "16-1/2 in", "arithmetic: the weir is the invert of the arm where it begins"},
	}
	for _, tt := range tests {
		up, low := ends(t, solve(t, tt.job), tt.run)
		if show(up) != tt.upper || show(low) != tt.lower {
			t.Errorf("%s: %s from %s to %s, want %s to %s (%s)", tt.name, tt.run, show(up), show(low), tt.upper, tt.lower, tt.from)
		}
	}

	r := solve(t, s35)
	x, _ := r.Net.Find("bs")
	if f := r.Levels.Run[x.Run]; !f.SpareKnown || f.Spare != length(t, `9-1/2"`) {
		t.Errorf("S35: spare %v, want 9-1/2 in (practice case S35: 72 in available, 62.5 needed at 1/4)", f.Spare)
	}
	if o := r.Levels.Outlet; o.Available.V != 72*unit.Inch || o.Needed.V != length(t, `62-1/2"`) {
		t.Errorf("S35: available %v and needed %v, want 72 in and 62-1/2 in", show(o.Available), show(o.Needed))
	}
}

// The files of the practice cases give the same as the copies above.
func TestCaseFiles(t *testing.T) {
	text, err := os.ReadFile("../../testdata/cases/S33.dwv.yaml")
	if err != nil {
		t.Fatal(err)
	}
	r := solve(t, string(text))
	for run, want := range map[string]string{"b4": "-23-3/4 in", "b2": "-19 in", "armS": "-18 in"} {
		if up, _ := ends(t, r, run); show(up) != want {
			t.Errorf("S33: %s begins at %s, want %s", run, show(up), want)
		}
	}
}

// WE-22: 148 ft at 2 percent drop 2.96 ft. Source: Math Central, University of Regina,
// answer QQ.09.15.
func TestTwoPercent(t *testing.T) {
	r := solve(t, `
job: two percent
outlet: {to: public sewer, invert: 0"}
runs: {d: {joins: outlet, size: 4, legs: [level 148'], slope: 2%, carries: {units: 4}}}
`)
	up, _ := ends(t, r, "d")
	if want := length(t, "2.96'"); up.V != want {
		t.Errorf("148 ft at 2 %% rise %v, want %v", up.V, want)
	}
}

// WE-23: inverts every 50 ft of a sewer at 1 percent. Source: surveying exercise, sewer
// pipe grade problem; the answers are worked out there.
func TestStakes(t *testing.T) {
	one, err := unit.ParseSlope("1%")
	if err != nil {
		t.Fatal(err)
	}
	got := elevation.Stakes(length(t, "326.32'"), 320*unit.Foot, one, 50*unit.Foot)
	want := []string{"326.32'", "325.82'", "325.32'", "324.82'", "324.32'", "323.82'", "323.32'", "323.12'"}
	if len(got) != len(want) {
		t.Fatalf("%d stakes, want %d", len(got), len(want))
	}
	for i, w := range want {
		if got[i].Invert != length(t, w) {
			t.Errorf("stake %d at %v is %v, want %s", i, got[i].Station, got[i].Invert, w)
		}
	}
	if got[7].Station != 320*unit.Foot {
		t.Errorf("the last stake stands at %v", got[7].Station)
	}
}

// WE-24: a rolling offset of 8 in over and 12 in up is 14.42 in; with eighth bends it
// advances as much and travels 1.414 times that, with sixth bends 1.155, with sixteenth
// bends 2.613. Source: trade reference answer on pipe offsets.
func TestRolling(t *testing.T) {
	near := func(got unit.Length, want float64) bool {
		d := float64(got)/float64(unit.Inch) - want
		return d < 0.006 && d > -0.006
	}
	for _, tt := range []struct {
		angle           int
		travel, advance float64
	}{
		{450, 14.42 * 1.414, 14.42},
		{600, 14.42 * 1.155, 8.33},
		{225, 14.42 * 2.613, 34.82},
	} {
		r := elevation.Roll(8*unit.Inch, 12*unit.Inch, tt.angle)
		if !near(r.Offset, 14.42) || !near(r.Advance, tt.advance) {
			t.Errorf("angle %d: %v over, %v along, %v on", tt.angle, r.Offset, r.Travel, r.Advance)
		}
		if ratio := float64(r.Travel) / float64(r.Offset); ratio < tt.travel/14.42-0.001 || ratio > tt.travel/14.42+0.001 {
			t.Errorf("angle %d: travel is %.4f times the offset, want %.3f", tt.angle, ratio, tt.travel/14.42)
		}
	}
	if elevation.Roll(unit.Inch, unit.Inch, 0) != (elevation.Rolling{}) {
		t.Error("an angle of 0 has no offset")
	}
}

// A slope that is not given is not taken; the range that fits is told.
func TestMissingSlope(t *testing.T) {
	job := `
job: no slope
levels:
  first: {floor: 0', slab: 4", under: slab}
outlet: {to: public sewer, invert: -40"}
runs:
  m:  {joins: outlet, size: 4, legs: [E 48'], place: under slab, level: first}
  wc: {joins: m, fixture: water closet, level: first, size: 3, arm: [E 2'], slope: 1/4" per ft}
`
	r := solve(t, job)
	if up, _ := ends(t, r, "m"); up.Known {
		t.Errorf("m begins at %s although its slope is not given", show(up))
	}
	x, _ := r.Net.Find("m")
	f := r.Levels.Run[x.Run]
	if !f.Missing || f.Flattest != unit.PerFoot(1, 8) {
		t.Errorf("flattest %v, want 1/8 in per ft", f.Flattest)
	}
	// Under the slab: 4 in, half of 3-1/2 in outside, so the centre of the arm lies at most
	// at -5-3/4 in, its foot 1/2 in lower, and the drain's invert 2 in under that: 31-3/4 in
	// of fall over 48 ft.
	if want := unit.MakeSlope(length(t, `31-3/4"`), 48*unit.Foot); !f.SteepestKnown || f.Steepest != want {
		t.Errorf("steepest %v, want %v", f.Steepest.All(), want.All())
	}
	free := solve(t, strings.Replace(job, `, invert: -40"`, "", 1))
	if o := free.Levels.Outlet; !o.AtOrBelow.Known || o.AtOrBelow.V != length(t, `-14-1/4"`) {
		t.Errorf("the sewer must be at or below %s, want -14-1/4 in: 6 in for 48 ft at 1/8", show(o.AtOrBelow))
	}
	short := solve(t, strings.Replace(job, `-40"`, `-14"`, 1))
	fx := short.Levels.Serve[0]
	if !fx.SpareKnown || fx.Spare != length(t, `-1/4"`) {
		t.Errorf("spare %v, want -1/4 in", fx.Spare)
	}
}

// In plan everything counts from the outlet, east and north.
func TestPlan(t *testing.T) {
	r := solve(t, `
job: plan
outlet: {to: public sewer, invert: -40"}
runs:
  m: {joins: outlet, size: 4, legs: [E 20', down 2', S 10'], slope: 1/4" per ft}
  b: {joins: m, at: 5', size: 3, legs: [N45E 8.5'], slope: 1/4" per ft, carries: {units: 4}}
  c: {joins: m, size: 3, legs: [level 4'], slope: 1/4" per ft, carries: {units: 4}}
`)
	at := func(run string) elevation.Point {
		x, _ := r.Net.Find(run)
		return r.Levels.PlanUp[r.Net.Runs[x.Run].Segs[0]]
	}
	if p := at("m"); p != (elevation.Point{X: -20 * unit.Foot, Y: 10 * unit.Foot, Known: true}) {
		t.Errorf("m begins at %v, %v", p.X, p.Y)
	}
	// 8.5 ft at 45 degrees are 72-1/8 in each way, to the hundredth.
	p, hundredth := at("b"), unit.Inch/100
	if !p.Known || p.X.Round(hundredth).Inches() != "-252-1/8 in" && p.X.Round(hundredth) != length(t, "-252.12\"") || p.Y.Round(hundredth) != length(t, "47.88\"") {
		t.Errorf("b begins at %v, %v", p.X, p.Y)
	}
	if at("c").Known {
		t.Error("c has no direction and yet a place")
	}
}

func TestOutside(t *testing.T) {
	for _, tt := range []struct {
		material, size, od string
		from               string
	}{
		{"pvc", "3", "3.5", "ASTM D2665, D1785"},
		{"abs", "1-1/2", "1.9", "ASTM F628"},
		{"galvanized steel", "2", "2.375", "ASTM A53"},
		{"cast iron", "4", "4.38", "ASTM A888, CISPI 301"},
		{"copper", "1-1/2", "1.625", "ASTM B306"},
	} {
		s, err := unit.ParseSize(tt.size)
		if err != nil {
			t.Fatal(err)
		}
		od, ok := elevation.Outside(tt.material, s)
		if !ok || od != length(t, tt.od+`"`) {
			t.Errorf("%s %s: %v, want %s in (%s)", tt.size, tt.material, od, tt.od, tt.from)
		}
	}
	if _, ok := elevation.Outside("clay", unit.Size(4*unit.Inch)); ok {
		t.Error("clay has no outside diameter on record")
	}
}

// The profile runs from the farthest fixture to the outlet, without gaps.
func TestProfile(t *testing.T) {
	r := solve(t, `
job: profile
levels:
  first: {floor: 0', slab: 4", under: slab, grade: -8"}
outlet: {to: public sewer, invert: -60", grade: -12"}
runs:
  s:  {joins: outlet, size: 4, legs: [E 40'], slope: 1/8" per ft, place: outside, level: first, invert: {upper: -40"}}
  m:  {joins: s, size: 3, legs: [E 20'], slope: 1/4" per ft, place: under slab, level: first}
  wc: {joins: m, fixture: water closet, level: first, size: 3, arm: [E 2'], slope: 1/4" per ft, place: under slab}
  lv: {joins: m, at: 10', fixture: lavatory, level: first, size: 2, legs: [down 2', N 3'], slope: 1/4" per ft}
`)
	rows := r.Levels.Profile(r.Net, r.Sizes, network.None)
	if name := r.Net.Runs[rows[0].Run].Name; name != "wc" {
		t.Fatalf("the profile begins at %s", name)
	}
	end := rows[len(rows)-1]
	if end.Seg != network.None || end.Station != 62*unit.Foot || end.Invert.V != -60*unit.Inch {
		t.Errorf("the profile ends at %v, %s", end.Station, show(end.Invert))
	}
	if want := length(t, `43-3/4"`); end.Cover.V != want {
		t.Errorf("cover at the outlet %s, want %v: -12 in less -60 in, 2 in and 2-1/4 in", show(end.Cover), want)
	}
	s := rows[len(rows)-2]
	if s.Drop != 15*unit.Inch {
		t.Errorf("drop at the outlet %v, want 15 in: -40 in, 5 in of fall, -60 in", s.Drop)
	}
	for i := 1; i < len(rows); i++ {
		if rows[i].Station < rows[i-1].Station {
			t.Errorf("row %d goes back", i)
		}
		if got := rows[i-1].Centre.V - rows[i].Centre.V; i < len(rows)-1 && got != r.Levels.Fall[rows[i-1].Seg].V+rows[i-1].Drop {
			t.Errorf("row %d: falls %v", i, got)
		}
	}
}

// A wall 2 ft south of where the drain leaves, another 12 ft 6 in west of its upper end:
// counted by hand from the outlet, which is the origin of the plan.
func TestWalls(t *testing.T) {
	r := solve(t, "job: t\ncode: irc-2021\nruns:\n  sewer: {joins: outlet, legs: [S 20']}\n  main: {joins: sewer, legs: [S 30', W 4']}\n  far: {joins: main, legs: [level 3']}\nwalls:\n  south: {from: main, at: lower end, legs: S 2'}\n  west: {from: main, legs: W 12' 6\"}\n  lost: {from: far, legs: N 1'}\n")
	want := []elevation.Wall{{Name: "south", Side: 180, Place: length(t, "18'")}, {Name: "west", Side: 270, Place: length(t, "4'") - length(t, `12' 6"`)}}
	if got := r.Levels.Walls; len(got) != 2 || got[0] != want[0] || got[1] != want[1] {
		t.Errorf("walls %+v, want %+v; the one told from a pipe without a direction has no place", got, want)
	}
}

// Pipe that names no level and hangs in the basement belongs to the only floor with a
// basement under it, as in a crawl space.
func TestBasementTellsItsLevel(t *testing.T) {
	for _, where := range []string{"crawl space", "basement"} {
		n := solve(t, `job: t
code: irc-2021
levels:
  up: {floor: 9'}
  first: {floor: 0', under: `+where+`}
runs:
  main: {joins: outlet, legs: [E 10'], place: `+where+`}
  sink: {joins: main, legs: [E 2'], fixture: kitchen sink}
`).Net
		x, _ := n.Find("main")
		if k := elevation.LevelOf(n, x.Run); k < 0 || n.Job.Levels[k].Name != "first" {
			t.Errorf("%s: level %d", where, k)
		}
	}
}

// The weir of a trap in the fixture is no height of pipe: 3 ft at 1/4 in per ft and a drop of 20 in
// over the outlet, whatever the bowl's weir is.
func TestWeirInTheFixture(t *testing.T) {
	r := solve(t, "job: t\ncode: irc-2021\nlevels: {first: {floor: 0'}}\noutlet: {to: house drain, invert: -3'}\nruns:\n  wc: {joins: outlet, size: 3, fixture: water closet, level: first, legs: [down 20\", E 3'], slope: 1/4\" per ft, weir: 9\"}\n")
	if got := r.Levels.InvertUp[0]; !got.Known || got.V != length(t, `-15-1/4"`) {
		t.Errorf("upper invert %s, want -15-1/4 in", show(got))
	}
}
