package view_test

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"trapweir/draw"
	"trapweir/draw/view"
	"trapweir/engine"
)

// said is what stands in the groups of that id on a sheet.
func said(s *draw.Sheet, id string) string {
	var out []string
	for _, sh := range s.Shapes {
		if g, ok := sh.(draw.Group); ok && g.ID == id {
			draw.Walk(g.Shapes, func(x draw.Shape, _ *draw.SymbolRef) {
				if t, ok := x.(draw.Text); ok {
					out = append(out, t.Words)
				}
			})
		}
	}
	return strings.Join(out, "; ")
}

// The slab house from its walls, counted by hand in the job file: the west wall is 12 ft
// west of the main, the south wall 1 ft south of its lower end. The kitchen joins at 26 of
// 42 ft, so 16 + 1 ft north of the south wall, and drops 9 ft west of the main, 3 ft from
// the west wall. The house is longer to the north than it is wide, so it lies along the paper,
// with east at the top; each row of figures ends at the wall with 0.
func TestStubsFromWalls(t *testing.T) {
	r := example(t, "alder-court")
	for _, paper := range []string{"letter", "tabloid", "a4", "arch-c"} {
		s := view.Plan(r, view.Below, view.Options{Paper: paper})
		if got, want := said(s, "dimensions east-west"), `18'-0"; 16'-0"; 14'-0"; 10'-0"; 7'-6"; 5'-0"; 3'-0"; 0`; got != want {
			t.Errorf("%s: from the west wall %s, want %s", paper, got, want)
		}
		if got, want := said(s, "dimensions north-south"), `43'-0"; 41'-0"; 40'-0"; 29'-0"; 27'-0"; 25'-0"; 17'-0"; 9'-0"; 0`; got != want {
			t.Errorf("%s: from the south wall %s, want %s", paper, got, want)
		}
		all := strings.Join(words(s), "\n")
		for _, w := range []string{"SOUTH WALL", "WEST WALL", "FROM THE SOUTH WALL", "FROM THE WEST WALL"} {
			if !strings.Contains(all, w) {
				t.Errorf("%s: %q is not on the sheet", paper, w)
			}
		}
		if strings.Contains(all, "REFERENCE") {
			t.Errorf("%s: a reference is drawn beside two walls", paper)
		}
	}
}

// Without walls the figures run from the reference, to both sides, and the sheet says so.
// Counted in the job file: the kitchen joins at 20 of 30 ft, and comes from 8 ft south.
func TestStubsFromReference(t *testing.T) {
	r := example(t, "heron-lane")
	s := view.Plan(r, view.Below, view.Options{Paper: "letter"})
	if got := said(s, "dimensions east-west"); !strings.Contains(got, `W 10'-0"`) {
		t.Errorf("east-west: %s", got)
	}
	if got := said(s, "dimensions north-south"); !strings.Contains(got, `S 8'-0"`) || !strings.Contains(got, `N 6'-0"`) {
		t.Errorf("north-south: %s", got)
	}
	all := strings.Join(words(s), " ")
	for _, w := range []string{"The job gives no walls", "REFERENCE", "where the building drain ends"} {
		if !strings.Contains(all, w) {
			t.Errorf("the sheet does not say %q", w)
		}
	}
	// Upstairs the building drain's end is not in sight: the stack is.
	all = strings.Join(words(view.Plan(r, "second", view.Options{Paper: "letter"})), " ")
	if !strings.Contains(all, "the centre of stack") {
		t.Error("the second floor is not measured from the stack")
	}
}

// metric gives an example with metric answers.
func metric(t testing.TB, name string) *engine.Result {
	t.Helper()
	b, err := os.ReadFile("../../examples/" + name + ".dwv.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return solve(t, name+", metric", []byte(strings.Replace(string(b), "\ncode:", "\nunits: metric\ncode:", 1)), "../../examples")
}

var ofTheBook = regexp.MustCompile(`([0-9] mm) \([0-9]+ (?:ft|in)\)`)

// No feet are left on the sheets of a metric job, but for what is to be written into the
// job as it stands there, and the figure that a book of inches prints, in brackets behind
// its millimetres.
func TestMetricSheets(t *testing.T) {
	for _, name := range []string{"heron-lane", "alder-court", "quarry-row"} {
		r := metric(t, name)
		for _, s := range view.Sheets(r, view.Options{Paper: "letter"}) {
			audit(t, name+", metric", []*draw.Sheet{s})
			for _, w := range words(s) {
				if strings.Contains(w, "`") { // to be written into the job
					continue
				}
				w = ofTheBook.ReplaceAllString(w, "$1")
				for _, bad := range []string{`'-`, "/FT", " ft", "gallon"} {
					if strings.Contains(w, bad) {
						t.Errorf("%s, %s: %q", name, s.Name(), w)
					}
				}
			}
		}
	}
}

// A house that has every part of which there is a detail. Invented; its figures are told
// on the details, with the book's limits as testdata of the book prints them.
const everyDetail = `job: every detail
code: irc-2021
climate: {design temperature: -5 F, snow: 14"}
site: {manhole rim: 2'}
levels:
  first: {floor: 0', joists: 2x10, under: basement, grade: -1'}
  basement: {floor: -8'}
outlet: {to: public sewer, invert: -6'}
runs:
  hd:  {joins: outlet, role: building drain, size: 4, legs: [E 20'], slope: 1/4" per ft, devices: [backwater valve], cleanouts: [{at: upper end, type: two-way, clearance: 18"}, {at: 10', clearance: 20"}]}
  dis: {joins: hd, size: 2, legs: [up 10'], fitting: wye, basin: {pump: 60 gpm, head: 20', diameter: 18", depth: 30", check valve: true, full-open valve: true, cover: gastight, inlet above high water: 3"}}
  g:   {joins: dis, size: 3, legs: [E 8'], slope: 1/4" per ft}
  wc:  {joins: g, fixture: water closet, flush: 1.6 gal}
  ks:  {joins: hd, at: 2', arm: S 1', legs: [down 3'], slope: 1/4" per ft, fixture: kitchen sink, island: true}
  cw:  {joins: hd, at: 5', arm: S 3', legs: [down 4'], slope: 1/4" per ft, fixture: clothes washer, standpipe: 30", trap above floor: 10"}
  lv:  {joins: hd, at: 12', arm: N 2', legs: [down 3'], slope: 1/4" per ft, fixture: lavatory}
  bar: {joins: hd, at: 14', arm: N 2', legs: [down 3'], slope: 1/4" per ft, fixture: bar sink}
vents:
  loop: {from: ks, role: loop, legs: [up 14", E 1', down 5'], ends: hd, into at: 4'}
  foot: {from: hd, at: 6', legs: [up 20'], ends: through roof, terminal: {above roof: 20"}}
  vP:   {from: dis, size: 2, legs: [up 30'], ends: through roof}
  vL:   {from: lv, legs: [up 10'], ends: through roof, terminal: {above roof: 20"}}
  vc:   {from: cw, legs: [up 10'], ends: through roof, terminal: {above roof: 20"}}
  vb:   {from: bar, legs: [up 2'], ends: air admittance valve, valve: {above arm: 6"}}
`

func TestDetails(t *testing.T) {
	r := solve(t, "every detail", []byte(everyDetail), ".")
	for _, paper := range []string{"letter", "tabloid", "a4", "arch-c"} {
		sheets := view.Details(r, view.Options{Paper: paper})
		audit(t, "every detail", sheets)
		all := strings.Join(words(sheets...), " ")
		for _, w := range []string{
			"Trap arm and its vent: LAV-1", "2'-0\" from the weir to the vent; at most 5'-0\"", "P3105.1",
			"Standpipe: CLW-1", "rim 2'-6\" above the weir; 1'-6\" to 3'-6\" are asked for [P2706.1.2]", "Trap 10\" above the floor",
			"Island loop vent: KS-1", "FOOT VENT", "loop rises 1'-2\"", "Foot vent: foot.",
			"Air admittance valve: BS-1", "vb: 6\" above the arm; at least 4\"",
			"Vent through the roof", "SNOW 1'-2\"", "FLASHING", "At least 6\" above the roof or the snow",
			"Two-way cleanout on hd", "It stands at the upper end of hd; one riser", "Room around it: 1'-6\"; at least 1'-6\" [P3005.2.9].", "CAP IN REACH",
			"Cleanout on hd", "It stands 10'-0\" from the upper end.", "Room in front: 1'-8\"; at least 1'-6\"",
			"Basin with pump: dis", "CHECK VALVE", "FULL OPEN", "GASTIGHT", "gastight cover", "Pit 1'-6\" across, 2'-6\" deep", "60 gpm at a head of 20'-0\"",
			"Backwater valve on hd", "Rim of the manhole: +2'-0\"", "NOT TO SCALE",
		} {
			if !strings.Contains(all, w) {
				t.Errorf("%s: the details do not say %q", paper, w)
			}
		}
	}
	// Only what the job has.
	all := strings.Join(words(view.Details(example(t, "heron-lane"), view.Options{})...), " ")
	for _, w := range []string{"Basin", "Backwater", "Island", "admittance"} {
		if strings.Contains(all, w) {
			t.Errorf("a detail of %s in a house that has none", w)
		}
	}
}

// A plan shows all that a crew sets out on it, and where its pipe goes on: counted in the
// job. The closet and the tub come through the slab with their first drop; the laundry's
// pipe under the slab is told from the drain that is hung in the basement.
func TestPlansAreWhole(t *testing.T) {
	const text = `job: two ways down (invented)
code: ipc-2021
levels:
  first: {floor: 0', under: basement}
  basement: {floor: -8', under: slab}
outlet: {to: public sewer, invert: -11'}
runs:
  main: {joins: outlet, legs: [N 20'], slope: 1/4" per ft, place: under slab}
  wc:   {joins: main, at: 4', legs: [down 1', E 3'], slope: 1/4" per ft, fixture: water closet, flush: 1.28 gal, level: basement}
  tub:  {joins: main, at: 8', legs: [down 1', W 3'], slope: 1/4" per ft, fixture: bathtub, level: basement}
  ks:   {joins: hung, arm: E 1', legs: [down 3', E 5'], slope: 1/4" per ft, fixture: kitchen sink, level: first}
  hung: {joins: drop, legs: [N 9'], slope: 1/4" per ft, place: basement}
  drop: {joins: main, legs: [down 9']}
`
	r := solve(t, "two ways down", []byte(text), ".")
	for _, paper := range []string{"letter", "tabloid", "arch-c"} {
		o := view.Options{Paper: paper}
		below, first := view.Plan(r, view.Below, o), view.Plan(r, "first", o)
		audit(t, "two ways down", []*draw.Sheet{below, first})
		all := "\n" + strings.Join(words(below), "\n") + "\n"
		for _, w := range []string{"WC-1", "BT-1", "FROM KS-1"} {
			if !strings.Contains(all, "\n"+w+"\n") {
				t.Errorf("%s: the plan below the floor does not say %q", paper, w)
			}
		}
		for _, tag := range []string{"WC-1", "BT-1"} {
			if n := strings.Count(all, "\n"+tag+"\n"); n != 2 { // at its circle and in the table
				t.Errorf("%s: %s stands %d times, want it at its pipe and among the stubs", paper, tag, n)
			}
		}
		if all := "\n" + strings.Join(words(first), "\n") + "\n"; !strings.Contains(all, "\nTO HUNG\n") {
			t.Errorf("%s: the plan of the first floor does not say where its pipe goes", paper)
		}
	}
}
