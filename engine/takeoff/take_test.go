package takeoff_test

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"trapweir/engine/stock"
	"trapweir/engine/takeoff"
	"trapweir/engine/unit"
)

// jobs are all example jobs and worked cases of the repository.
func jobs(t testing.TB) []string {
	t.Helper()
	var out []string
	for _, dir := range []string{"examples", "testdata/cases"} {
		m, err := filepath.Glob(filepath.Join(root, dir, "*.dwv.yaml"))
		if err != nil || len(m) == 0 {
			t.Fatal("no jobs in ", dir, err)
		}
		out = append(out, m...)
	}
	return out
}

// Every line is the sum of its runs, every run is in the job, every piece of pipe is on its
// line and in the plan once, and nothing that is bought is under what is needed.
func TestLinesAreTheSumOfTheirRuns(t *testing.T) {
	lib, cat := shelfOf(t)
	st := onRecord(t)
	solved := 0
	for _, name := range jobs(t) {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		r, ok := solve(t, lib, cat, name, text)
		if !ok {
			continue
		}
		solved++
		for _, material := range []string{"", "abs", "cast iron", "copper"} {
			o := take(r, st, takeoff.Settings{Material: material})
			what := filepath.Base(name) + " " + material
			pipe := map[string]unit.Length{}
			for i := range o.Lines {
				l := &o.Lines[i]
				var sum int64
				for _, s := range l.Shares {
					sum += s.Qty
					if s.Qty <= 0 {
						t.Errorf("%s: %s: %s has %d", what, l.Key(), s.Name, s.Qty)
					}
					if _, ok := r.net.Find(s.Name); !ok {
						t.Errorf("%s: %s: no run %s in the job", what, l.Key(), s.Name)
					}
				}
				if sum != l.Qty {
					t.Errorf("%s: %s: %d, the runs sum to %d", what, l.Key(), l.Qty, sum)
				}
				if len(l.Shares) == 0 || l.Qty <= 0 {
					t.Errorf("%s: %s comes from no run", what, l.Key())
				}
				if l.Unit == takeoff.Run {
					pipe[l.Material+l.Size] += unit.Length(l.Qty)
				}
				if l.Group == "other" {
					t.Errorf("%s: %s has no heading", what, l.Key())
				}
			}
			pieces := map[string]unit.Length{}
			for i := range o.Pieces {
				p := &o.Pieces[i]
				pieces[p.Material+p.Size.Short()] += p.Length
				mark := unit.Inch / 16
				if o.Units == unit.Metric {
					mark = unit.Millimetre
				}
				if p.Length%mark != 0 || p.Length < 0 || p.Number != i+1 {
					t.Errorf("%s: piece %d is %v", what, p.Number, p.Length)
				}
				says := p.Says(unit.FeetInches)
				if p.Sure < stock.Medium && !strings.HasPrefix(says, "measure") {
					t.Errorf("%s: piece %d is not sure and prints %q", what, p.Number, says)
				}
			}
			for k, l := range pipe {
				if pieces[k] != l {
					t.Errorf("%s: %s: the line says %v, the pieces %v", what, k, l, pieces[k])
				}
			}
			for _, g := range o.Plan.Groups {
				if g.Cut != pieces[g.Material+g.Size.Short()] || g.Bought < g.Cut || g.Bound > g.Bought {
					t.Errorf("%s: %s %s: the plan cuts %v of %v, bound %v, pieces %v", what, g.Size.Short(), g.Material, g.Cut, g.Bought, g.Bound, pieces[g.Material+g.Size.Short()])
				}
			}
			for _, j := range o.Joints {
				if j.N <= 0 || j.Size == 0 {
					t.Errorf("%s: %d joints of %s %s, %v", what, j.N, j.Material, j.Size.Short(), j.Phase)
				}
			}
			// Sticks on the lines are the sticks of the plan.
			var sticks, bars int64
			for i := range o.Lines {
				for _, b := range o.Lines[i].Buys {
					if o.Lines[i].Unit == takeoff.Run && b.Unit != "ft" {
						sticks += b.N / 1000
					}
				}
			}
			for _, g := range o.Plan.Groups {
				bars += int64(len(g.Bars))
			}
			if sticks != bars {
				t.Errorf("%s: %d sticks on the lines, %d in the plan", what, sticks, bars)
			}
		}
	}
	if solved < 40 {
		t.Errorf("only %d jobs were taken off", solved)
	}
}

// Nothing in an order depends on left and right: a house and its mirror image order alike.
func TestMirroredJobOrdersAlike(t *testing.T) {
	lib, cat := shelfOf(t)
	st := onRecord(t)
	way := regexp.MustCompile(`\b([EW]) (\d)`)
	for _, name := range []string{"examples/heron-lane.dwv.yaml", "examples/alder-court.dwv.yaml", "examples/quarry-row.dwv.yaml"} {
		text := file(t, name)
		mirror := way.ReplaceAllStringFunc(string(text), func(s string) string {
			if s[0] == 'E' {
				return "W" + s[1:]
			}
			return "E" + s[1:]
		})
		if mirror == string(text) && name != "examples/quarry-row.dwv.yaml" {
			t.Fatalf("%s has nothing to mirror", name)
		}
		a, ok := solve(t, lib, cat, name, text)
		b, ok2 := solve(t, lib, cat, name, []byte(mirror))
		if !ok || !ok2 {
			t.Fatalf("%s cannot be solved", name)
		}
		x, y := take(a, st, takeoff.Settings{}), take(b, st, takeoff.Settings{})
		if !reflect.DeepEqual(x.Lines, y.Lines) {
			t.Errorf("%s: the mirror image orders otherwise:\n%s\n%s", name, show(x), show(y))
		}
		if !reflect.DeepEqual(x.Pieces, y.Pieces) {
			t.Errorf("%s: the mirror image is cut otherwise", name)
		}
		if again := take(a, st, takeoff.Settings{}); !reflect.DeepEqual(x, again) {
			t.Errorf("%s: a second order differs from the first", name)
		}
	}
}

// show writes an order as words: phase | key | runs, pieces alone.
func show(o *takeoff.Order) string {
	var out []string
	for i := range o.Lines {
		l := &o.Lines[i]
		switch l.Unit {
		case takeoff.Each:
			out = append(out, fmt.Sprintf("%s | %s | %s", l.Phase, l.Key(), names(l)))
		case takeoff.Run:
			out = append(out, fmt.Sprintf("%s | %s | %s", l.Phase, l.Key(), unit.Length(l.Qty)))
		}
	}
	for i := range o.NotMeasured {
		x := &o.NotMeasured[i]
		out = append(out, fmt.Sprintf("? %s %s | %s | %s", x.What, x.Size, strings.Join(x.Runs, ", "), x.Why))
	}
	return strings.Join(out, "\n")
}

const head = "job: trial\ncode: irc-2021\noutlet: {to: public sewer}\nruns:\n"

func TestTake(t *testing.T) {
	lib, cat := shelfOf(t)
	st := onRecord(t)
	tests := []struct {
		name string
		job  string
		set  takeoff.Settings
		want []string // lines that are there
		none []string // texts that are not
	}{
		{"a length that is not given is not zero", head + `
  main: {joins: outlet, legs: [E 10'], size: 3, slope: 1/4" per ft}
  bath: {joins: main, at: 2', legs: [S], size: 2, fixture: bathtub}
`, takeoff.Settings{}, []string{"? pipe 2 | bath | a length is not given", "? hanger 2 | bath | a length is not given", "rough-in | pvc P-trap 2 | bath"}, []string{"pvc pipe 2"}},
		{"what stands is not bought, what ties into it is coupled by outside diameter", head + `
  stack: {joins: outlet, legs: [down 9'], size: 3, existing: true, material: cast iron}
  bath: {joins: stack, at: 4', legs: [W 6'], size: 2, slope: 1/4" per ft, fixture: bathtub}
`, takeoff.Settings{}, []string{
			"rough-in | shielded transition coupling 3 pvc (3.500 in) x 3 cast iron (3.350 in) | stack 2",
			"rough-in | pvc sanitary tee 3 x 3 x 2 | stack", "rough-in | pvc P-trap 2 | bath",
		}, []string{"pipe 3", "riser strap"}},
		{"pipe that stands and of which nothing is said is measured", head + `
  stack: {joins: outlet, legs: [down 9'], size: 3, existing: true}
  bath: {joins: stack, at: 4', legs: [W 6'], size: 2, slope: 1/4" per ft, fixture: bathtub}
`, takeoff.Settings{}, []string{"rough-in | coupling to standing pipe 3 pvc (3.500 in) x 3 standing pipe (measure) | stack 2"}, nil},
		{"plastic into cast iron under ground", head + `
  main: {joins: outlet, legs: [E 10'], size: 4, material: cast iron, slope: 1/4" per ft, place: under ground}
  bath: {joins: main, legs: [E 10'], size: 4, slope: 1/4" per ft, place: under ground}
`, takeoff.Settings{}, []string{"underground | transition coupling, under ground 4 pvc (4.500 in) x 4 cast iron (4.380 in) | main"}, nil},
		{"an air admittance valve, with the trim", head + `
  sink: {joins: outlet, arm: E 2', legs: [down 3'], size: 1-1/2, slope: 1/4" per ft, fixture: bar sink}
vents:
  v: {from: sink, legs: [up 1'], size: 1-1/2, ends: air admittance valve}
`, takeoff.Settings{}, []string{"trim | air admittance valve 1-1/2 | v", "rough-in | pvc adapter for an air admittance valve 1-1/2 | v", "rough-in | pvc sanitary tee 1-1/2 | sink"}, []string{"roof flashing", "quarter bend"}},
		{"a cleanout at a dead end, and one in the middle", head + `
  main: {joins: outlet, legs: [E 60'], size: 3, slope: 1/4" per ft, cleanouts: [upper end, 30']}
`, takeoff.Settings{}, []string{"rough-in | pvc wye 3 | main", "rough-in | pvc cleanout adapter 3 | main 2", "rough-in | pvc cleanout plug 3 | main 2"}, nil},
		{"a cleanout at the foot of a stack is a tee", head + `
  main: {joins: outlet, legs: [E 10'], size: 3, slope: 1/4" per ft}
  stack: {joins: main, legs: [down 10'], size: 3, cleanouts: [foot]}
`, takeoff.Settings{}, []string{"rough-in | pvc test tee with plug 3 | stack", "rough-in | pvc long sweep quarter bend 3 | main"}, nil},
		{"counted turns", head + `
  main: {joins: outlet, length: 20', size: 3, bends: 180}
`, takeoff.Settings{}, []string{"rough-in | pvc long sweep quarter bend 3 | main 2"}, nil},
		// Long sweep 10.5 in (CISPI 301, from memory) and 0.09 in between the ends: two pieces of
		// 120 - 10.59, to the sixteenth.
		{"hubless pipe: couplings for every end, five feet between hangers", head + `
  main: {joins: outlet, legs: [E 10', S 10'], size: 4, slope: 1/4" per ft}
`, takeoff.Settings{Material: "cast iron"}, []string{"rough-in | cast iron hubless coupling 4 | main 2", "rough-in | hanger for cast iron 4 | main 6", "rough-in | cast iron pipe 4 | 18 ft 2-7/8 in"}, []string{"cement", "primer"}},
		{"copper tube by its size, solder", head + `
  main: {joins: outlet, legs: [E 20', S 20'], size: 2, slope: 1/4" per ft}
`, takeoff.Settings{Material: "copper"}, []string{"rough-in | copper solder joint 2 | main 2", "rough-in | hanger for copper 2 | main 6"}, nil},
		{"held at its base and at every floor where the book prints no spacing", strings.Replace(head, "irc-2021", "upc-2021", 1) + `
  main: {joins: outlet, legs: [E 10'], size: 3, slope: 1/4" per ft}
  stack: {joins: main, legs: [down 20'], size: 3}
levels: {first: {floor: 1'}, second: {floor: 10'}}
`, takeoff.Settings{}, []string{"? riser strap 3 | stack | the book wants it held at its base and at every floor, and its heights are not known"}, nil},
		{"the same with heights", strings.Replace(strings.Replace(head, "irc-2021", "upc-2021", 1), "{to: public sewer}", "{to: public sewer, invert: 0'}", 1) + `
  main: {joins: outlet, legs: [E 10'], size: 3, slope: 1/4" per ft}
  stack: {joins: main, legs: [down 20'], size: 3}
levels: {first: {floor: 1'}, second: {floor: 10'}}
`, takeoff.Settings{}, []string{"rough-in | riser strap for pvc 3 | stack 3"}, nil},
		{"shield plates where the bore is near the edge", head + `
  bath: {joins: outlet, legs: [W 6'], size: 2, slope: 1/4" per ft, level: first, through: {studs: 3}}
levels: {first: {floor: 0', studs: 2x4}}
`, takeoff.Settings{}, []string{"rough-in | shield plate | bath 6"}, nil},
		{"none in a wide stud", head + `
  bath: {joins: outlet, legs: [W 6'], size: 2, slope: 1/4" per ft, level: first, through: {studs: 3}}
levels: {first: {floor: 0', studs: 2x6}}
`, takeoff.Settings{}, nil, []string{"shield plate"}},
		{"a reducing closet bend", head + `
  wc: {joins: outlet, legs: [down 1', E 6'], bend: 4x3, size: 3, slope: 1/4" per ft, fixture: water closet, flush: 1.28 gal}
`, takeoff.Settings{}, []string{"rough-in | pvc closet flange 4 x 3 | wc", "rough-in | pvc closet bend 3 | wc"}, nil},
		{"a vent enlarged at the roof", head + `
  sink: {joins: outlet, arm: E 2', legs: [down 3'], size: 1-1/2, slope: 1/4" per ft, fixture: bar sink}
vents:
  v: {from: sink, legs: [up 12', E 3', up 4'], size: 1-1/2, ends: through roof, terminal: {size: 3}}
`, takeoff.Settings{}, []string{"rough-in | roof flashing 3 | v", "rough-in | pvc increaser 3 x 1-1/2 | v", "rough-in | pvc vent quarter bend 1-1/2 | v 2"}, nil},
	}
	for _, tt := range tests {
		r, ok := solve(t, lib, cat, "trial.dwv.yaml", []byte(tt.job))
		if !ok {
			t.Errorf("%s: the job cannot be solved", tt.name)
			continue
		}
		got := show(take(r, st, tt.set))
		lines := strings.Split(got, "\n")
		for _, w := range tt.want {
			if !slices.Contains(lines, w) {
				t.Errorf("%s: no line %q in\n%s", tt.name, w, got)
			}
		}
		for _, w := range tt.none {
			if strings.Contains(got, w) {
				t.Errorf("%s: %q is in\n%s", tt.name, w, got)
			}
		}
	}
}

// A shop that has measured its fittings gets cuts to the sixteenth; what it has not measured
// stays "measure".
func TestOwnMeasures(t *testing.T) {
	lib, cat := shelfOf(t)
	const job = head + "  main: {joins: outlet, legs: [E 60\", S 60\", E 60\"], size: 3, slope: 1/4\" per ft}\n"
	r, ok := solve(t, lib, cat, "trial.dwv.yaml", []byte(job))
	if !ok {
		t.Fatal("the job cannot be solved")
	}
	middle := func(o *takeoff.Order) string { return o.Pieces[1].Says(unit.FeetInches) }
	// Long sweeps are an estimate: 1.5 times the quarter bend, 4.62 in.
	if got, want := middle(take(r, onRecord(t), takeoff.Settings{})), "measure: about 4 ft 3 in"; got != want {
		t.Errorf("from the estimate: %q, want %q", got, want)
	}
	for sure, want := range map[string]string{
		"high":   "4 ft 2-5/8 in", // 60 - 2 x 4-11/16
		"medium": "4 ft 2-5/8 in, check the fittings in hand",
		"low":    "measure: about 4 ft 3 in",
	} {
		own := stock.File{Name: "own.yaml", Text: []byte("sets:\n  ours:\n    for: [pvc]\n    bends:\n      long sweep:\n        basis: measured on the shelf\n        grid: |\n          size  end     confidence\n          3     4.6875  " + sure + "\n")}
		if got := middle(take(r, onRecord(t, own), takeoff.Settings{})); got != want {
			t.Errorf("measured, %s: %q, want %q", sure, got, want)
		}
	}
}

// Textbook: 2 in pipe between two fittings is the face-to-face length and both sockets,
// 1-1/2 in; the take-out way gives the same. Modern Plumbing (Goodheart-Willcox 2015), DWV
// installation chapter, by the material facts.
func TestSetBackPublished(t *testing.T) {
	st := onRecord(t)
	z := unit.Size(2 * unit.Inch)
	socket := st.Socket("pvc", z)
	if socket.V*2 != unit.Inch*3/2 || socket.Confidence != stock.High {
		t.Errorf("two sockets of 2 in take %v (%v), printed 1-1/2 in", (socket.V * 2).Inches(), socket.Confidence)
	}
	bend := st.Takeout("pvc", "quarter bend", z, 0, stock.Upper)
	apart := 40 * unit.Inch
	byTakeout := apart - 2*bend.V
	faces := apart - 2*(bend.V+socket.V)
	byFaces := takeoff.PipeBetween(faces, nil, []unit.Length{socket.V, socket.V})
	if byTakeout != byFaces || byTakeout != 35*unit.Inch+3*unit.Inch/8 {
		t.Errorf("by take-out %v, face to face %v; want 35-3/8 in", byTakeout.Inches(), byFaces.Inches())
	}
}

// Counted turns of 45 degrees that stand in for a quarter turn have no take-out on record.
func TestNoRoom(t *testing.T) {
	lib, cat := shelfOf(t)
	own := stock.File{Name: "own.yaml", Text: []byte("sets:\n  ours:\n    for: [pvc]\n    bends:\n      long sweep:\n        basis: measured\n        grid: |\n          size  end  confidence\n          3     4.5  high\n")}
	r, ok := solve(t, lib, cat, "trial.dwv.yaml", []byte(head+"  main: {joins: outlet, legs: [E 60\", S 8\", E 60\"], size: 3, slope: 1/4\" per ft}\n"))
	if !ok {
		t.Fatal("the job cannot be solved")
	}
	o := take(r, onRecord(t, own), takeoff.Settings{})
	if got, want := o.Pieces[1].Says(unit.FeetInches), "no pipe: the fittings need 9 in of 8 in"; got != want || o.Pieces[1].Length != 0 {
		t.Errorf("%q (%v), want %q", got, o.Pieces[1].Length, want)
	}
}

func TestTrenchBedding(t *testing.T) {
	lib, cat := shelfOf(t)
	// Material facts, trench: 4 in schedule 40, 18 in wide, 4 in bed and 6 in cover:
	// 1.70 cu ft per ft (computed there: W x (bed + OD + cover) - pi/4 OD^2, over 144).
	r, ok := solve(t, lib, cat, "trial.dwv.yaml", []byte(head+"  main: {joins: outlet, legs: [E 100'], size: 4, slope: 1/4\" per ft, place: under ground}\n"))
	if !ok {
		t.Fatal("the job cannot be solved")
	}
	for _, l := range take(r, onRecord(t), takeoff.Settings{}).Lines {
		if l.Unit == takeoff.Cubic {
			if l.Qty < 169_500 || l.Qty > 170_500 {
				t.Errorf("%d thousandths of a cubic foot for 100 ft, printed 1.70 cu ft per ft", l.Qty)
			}
			if len(l.Buys) != 1 || l.Buys[0].N != 6_400 || l.Buys[0].Unit != "cu yd" {
				t.Errorf("bought %v, want 6.4 cu yd (170.2 / 27 = 6.30, up to a tenth)", l.Buys)
			}
			return
		}
	}
	t.Error("no bedding")
}

func BenchmarkTakeHouse(b *testing.B) {
	lib, cat := shelfOf(b)
	st := onRecord(b)
	r, _ := solve(b, lib, cat, "heron", file(b, "examples/heron-lane.dwv.yaml"))
	for b.Loop() {
		take(r, st, takeoff.Settings{})
	}
}
