package takeoff_test

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	"trapweir/data"
	"trapweir/engine/stock"
	"trapweir/engine/takeoff"
	"trapweir/engine/unit"
)

// onRecord reads the pipe and fittings that come with the program, and more over them.
func onRecord(t testing.TB, own ...stock.File) *stock.Stock {
	t.Helper()
	st, ds := stock.Read(append([]stock.File{{Name: "pipes.yaml", Text: data.Get("pipes.yaml")}, {Name: "fittings.yaml", Text: data.Get("fittings.yaml")}}, own...))
	if len(ds) > 0 {
		t.Fatal(ds)
	}
	return st
}

// take makes the order for a solved job.
func take(r solved, st *stock.Stock, set takeoff.Settings) *takeoff.Order {
	set.Book, set.Traps = r.book, r.traps
	return takeoff.Take(r.net, r.sizes, r.vents, r.levels, r.fittings, st, set)
}

// The two houses were taken off by hand from the job files, run by run, the way a plumber
// goes over a drawing: at every turn, join, trap and end, what is there? Each # line is the
// look at one run; the lines below are the tally. What stands after a name is its count
// where it is not one. (worked by hand; the conventions are those of docs/order.md)
const heronHand = `
# sewer, 4 in, outside: the 3 in main comes in, so an increaser; the two-way cleanout at its
#   head; a quarter bend where it turns down, a long sweep where it levels; 51 ft 6 in after
#   that are two 20 ft sticks and a rest: two couplings.
# main, 3 in, in the crawl space: at its head the stack comes down and the cleanout stands, so
#   the stack enters a combination at the side and the straight end is the cleanout. Then powder
#   wc (3), kitchen (1-1/2) and washer (2) come in square: three combinations.
# stack, 3 in: both branches come in at its head, one tee each; nothing goes on upward: a plug.
# hall branch: the lavatory's drop sweeps into it (1-1/2); the tub's 2 in comes in: a 2 in
#   combination with a bushing for the 1-1/2 that arrives; the closet's 3 in: a 3 in one with
#   a bushing for the 2 in.
# main branch: a 2 in sweep below the lavatories; the shower's 1-1/2 comes in; the closet's
#   3 in: bushing for the 2 in that arrives.
# main lavs: two arms at one height from two sides, the 1-1/2 vent goes on up: a double fixture
#   fitting with a bushing on top.
# hall lav, powder lav, kitchen: arm, vent up, drain down: a sanitary tee. The drops of powder
#   lav and kitchen sweep level.
# washer: the same in 2 in; its vent is 1-1/2: a bushing.
# closets: a flange and a bend each. Traps of tub, shower and washer are set with the pipe;
#   those of lavatories (1-1/4) and sink (1-1/2) come with the trim, on an adapter.
# vents: a flashing each. 24 and 23 ft are over a 20 ft stick: a coupling each.
underground | pvc long sweep quarter bend 4 | sewer
underground | pvc quarter bend 4 | sewer
underground | pvc increaser 4 x 3 | sewer
underground | pvc two-way cleanout tee 4 | sewer
underground | pvc cleanout adapter 4 | sewer
underground | pvc cleanout plug 4 | sewer
underground | pvc coupling 4 | sewer 2
rough-in | pvc closet bend 3 | hall wc, main wc, powder wc
rough-in | pvc long sweep quarter bend 2 | main branch, washer
rough-in | pvc long sweep quarter bend 1-1/2 | hall branch, kitchen, powder lav
rough-in | pvc combination wye and eighth bend 3 | hall branch, main 2, main branch
rough-in | pvc combination wye and eighth bend 3 x 3 x 2 | main
rough-in | pvc combination wye and eighth bend 3 x 3 x 1-1/2 | main, powder wc
rough-in | pvc combination wye and eighth bend 2 | hall branch
rough-in | pvc combination wye and eighth bend 2 x 2 x 1-1/2 | main branch
rough-in | pvc double fixture fitting 2 x 2 x 1-1/2 x 1-1/2 | main lavs
rough-in | pvc sanitary tee 3 | stack 2
rough-in | pvc sanitary tee 2 | washer
rough-in | pvc sanitary tee 1-1/2 | hall lav, kitchen, powder lav
rough-in | pvc bushing 3 x 2 | hall branch, main branch
rough-in | pvc bushing 2 x 1-1/2 | hall branch, main lavs, washer
rough-in | pvc P-trap 2 | hall tub, washer
rough-in | pvc P-trap 1-1/2 | main shower
rough-in | pvc trap adapter 1-1/2 x 1-1/4 | hall lav, main lav 1, main lav 2, powder lav
rough-in | pvc trap adapter 1-1/2 | kitchen
rough-in | pvc cleanout adapter 3 | main
rough-in | pvc cleanout plug 3 | main
rough-in | pvc plug for an open end 3 | stack
rough-in | pvc closet flange 3 | hall wc, main wc, powder wc
rough-in | pvc coupling 1-1/2 | kitchen vent, powder vent, washer vent
rough-in | roof flashing 1-1/2 | hall vent, kitchen vent, main vent, powder vent, washer vent
trim | tubular P-trap 1-1/2 | kitchen
trim | tubular P-trap 1-1/4 | hall lav, main lav 1, main lav 2, powder lav
# supports: level pipe every 4 ft and one at the end of each straight piece. main 30 ft: 8 + 1.
#   washer: arm 2-1/2 ft 1 + 1, level 6 ft 2 + 1. main branch: 5 ft of 2 in 2 + 1, 2 ft of 3 in 1 + 1.
#   kitchen: arm 1 + 1, level 8 ft 2 + 1. powder lav: arm 1 + 1, level 2 ft 1 + 1. All others 1 + 1.
rough-in | hanger for pvc 3 | hall branch 2, hall wc 2, main 9, main branch 2, main wc 2, powder wc 2
rough-in | hanger for pvc 2 | hall branch 2, hall tub 2, main branch 3, washer 5
rough-in | hanger for pvc 1-1/2 | hall branch 2, hall lav 2, kitchen 5, main lav 1 2, main lav 2 2, main shower 2, powder lav 4
# upright pipe every 10 ft: the stack's 10 ft 2 in twice, drops of over 2 ft once, vents of 15 ft
#   twice and of 23 and 24 ft three times, these with a guide for each (2 in and smaller).
rough-in | riser strap for pvc 3 | stack 2
rough-in | riser strap for pvc 2 | main lavs, washer
rough-in | riser strap for pvc 1-1/2 | hall lav, hall vent 2, kitchen, kitchen vent 3, main vent 2, powder lav, powder vent 3, washer vent 3
rough-in | pipe guide for pvc 1-1/2 | hall vent 2, kitchen vent 3, main vent 2, powder vent 3, washer vent 3
# the test: a cap for every trap, a plug for every flange, a ball in the sewer.
underground | test ball 4 | sewer
rough-in | test cap 2 | hall tub, washer
rough-in | test cap 1-1/2 | kitchen, main shower
rough-in | test cap 1-1/4 | hall lav, main lav 1, main lav 2, powder lav
rough-in | test plug for a closet flange 3 | hall wc, main wc, powder wc
`

// heronPipe is the net pipe of Heron Lane by hand: every piece in inches, centre to centre
// less what the fittings at its ends take. Take-outs of data/fittings.yaml: sanitary tee
// 1-1/2: 1.08 up, 1.75 down and side; 2: 1.30, 2.31, 2.31; 3: side and down 3.06. Long sweep
// 2.5, 3.31, 4.62, 5.8. Combination at its side 2.78, 3.61, 4.62 when it is of one size.
// Quarter bend 4: 3.875. Closet bend 3: 3.06. Double fixture fitting 2 x 1-1/2: side 2.73,
// down 1.75. Not known, so nothing is taken: traps, flanges, the run of a combination, uneven
// combinations, the cleanout tee, the increaser, the outlet.
const heronPipe = `
underground 4 sewer: 36 - 3.875; 42 - 3.875 - 5.8; 624 - 5.8
rough-in 3 main: 144; 96; 48; 72
rough-in 3 stack: 122 - 3.06 - 4.62
rough-in 3 hall branch: 24 - 3.06
rough-in 3 main branch: 24 - 3.06
rough-in 3 hall wc: 6 - 3.06; 18 - 3.06 - 4.62
rough-in 3 main wc: 6 - 3.06; 18 - 3.06 - 4.62
rough-in 3 powder wc: 6 - 3.06; 12 - 3.06; 18 - 4.62
rough-in 2 hall branch: 24
rough-in 2 hall tub: 24 - 3.61
rough-in 2 main lavs: 26 - 1.75 - 3.31
rough-in 2 main branch: 30 - 3.31; 30
rough-in 2 washer: 30 - 2.31; 33 - 2.31 - 3.31; 72 - 3.31; 30
rough-in 1-1/2 hall lav: 24 - 1.75; 26 - 1.75 - 2.5
rough-in 1-1/2 hall branch: 24 - 2.5
rough-in 1-1/2 main lav 1: 18 - 2.73
rough-in 1-1/2 main lav 2: 18 - 2.73
rough-in 1-1/2 main shower: 30
rough-in 1-1/2 powder lav: 24 - 1.75; 28 - 1.75 - 2.5; 24 - 2.5
rough-in 1-1/2 kitchen: 18 - 1.75; 33 - 1.75 - 2.5; 96 - 2.5
rough-in 1-1/2 hall vent: 180 - 1.08
rough-in 1-1/2 main vent: 180
rough-in 1-1/2 powder vent: 288 - 1.08
rough-in 1-1/2 kitchen vent: 276 - 1.08
rough-in 1-1/2 washer vent: 276 - 1.30
`

const alderHand = `
# sewer, 4 in, outside: increaser for the 3 in main, two-way cleanout; 60 ft are three sticks:
#   two couplings.
# main, 3 in, under the slab: at its head bath 2 branch comes in square and the cleanout stands:
#   a combination, the straight end closed. bath 1 branch (3), kitchen (2) and washer (3) come in
#   square: three more.
# bath 2 branch, bath 1 branch: a 2 in sweep takes the lavatory's 1-1/2 drop with a bushing;
#   tub or shower (2) comes in; the closet (3) comes in: a 3 in combination, a bushing for the 2 in.
# closets: flange and bend each, under the slab.
# lavatories: 1-1/4 arm, 1-1/2 drop and vent: a sanitary tee with a 1-1/4 side; trap with the trim.
# kitchen, 2 in: tee with a bushing for its 1-1/4 vent, sweep at the foot; the sink's 1-1/2 trap
#   comes with the trim on an adapter.
# washer, 3 in as demanded, 2 in trap set with the pipe: a bushing at the arm; tee with a bushing
#   for the 1-1/4 vent; sweep at the foot.
underground | pvc closet bend 3 | bath 1 wc, bath 2 wc
underground | pvc long sweep quarter bend 3 | washer
underground | pvc long sweep quarter bend 2 | bath 1 branch, bath 2 branch, kitchen
underground | pvc combination wye and eighth bend 3 | bath 1 branch, bath 2 branch, main 3
underground | pvc combination wye and eighth bend 3 x 3 x 2 | main
underground | pvc combination wye and eighth bend 2 | bath 1 branch, bath 2 branch
underground | pvc sanitary tee 3 | washer
underground | pvc sanitary tee 2 | kitchen
underground | pvc bushing 3 x 2 | bath 1 branch, bath 2 branch, washer
underground | pvc bushing 3 x 1-1/4 | washer
underground | pvc bushing 2 x 1-1/2 | bath 1 branch, bath 2 branch
underground | pvc bushing 2 x 1-1/4 | kitchen
underground | pvc increaser 4 x 3 | sewer
underground | pvc P-trap 2 | bath 1 shower, bath 2 tub, washer
underground | pvc trap adapter 2 x 1-1/2 | kitchen
underground | pvc cleanout adapter 4 | sewer
underground | pvc cleanout adapter 3 | main
underground | pvc cleanout plug 4 | sewer
underground | pvc cleanout plug 3 | main
underground | pvc two-way cleanout tee 4 | sewer
underground | pvc closet flange 3 | bath 1 wc, bath 2 wc
underground | pvc coupling 4 | sewer 2
underground | test ball 4 | sewer
underground | test cap 2 | bath 1 shower, bath 2 tub, washer
underground | test cap 1-1/2 | kitchen
underground | test plug for a closet flange 3 | bath 1 wc, bath 2 wc
rough-in | pvc sanitary tee 1-1/2 x 1-1/2 x 1-1/4 | bath 1 lav, bath 2 lav
rough-in | pvc trap adapter 1-1/4 | bath 1 lav, bath 2 lav
rough-in | roof flashing 1-1/2 | bath 1 vent, bath 2 vent
rough-in | roof flashing 1-1/4 | kitchen vent, washer vent
rough-in | test cap 1-1/4 | bath 1 lav, bath 2 lav
# supports: only what is not in the ground. Arms of 1-1/2 ft 1 + 1; drops of 2 ft 4 in and vents of
#   9 ft once, the vents with a guide (over half of 10 ft).
rough-in | hanger for pvc 1-1/4 | bath 1 lav 2, bath 2 lav 2
rough-in | riser strap for pvc 1-1/2 | bath 1 lav, bath 1 vent, bath 2 lav, bath 2 vent
rough-in | riser strap for pvc 1-1/4 | kitchen vent, washer vent
rough-in | pipe guide for pvc 1-1/2 | bath 1 vent, bath 2 vent
rough-in | pipe guide for pvc 1-1/4 | kitchen vent, washer vent
trim | tubular P-trap 1-1/4 | bath 1 lav, bath 2 lav
trim | tubular P-trap 1-1/2 | kitchen
`

const alderPipe = `
underground 4 sewer: 720
underground 3 main: 168; 144; 96; 96
underground 3 bath 2 wc: 8 - 3.06; 24 - 3.06 - 4.62
underground 3 bath 1 wc: 8 - 3.06; 24 - 3.06 - 4.62
underground 3 bath 2 branch: 24 - 4.62
underground 3 bath 1 branch: 24 - 4.62
underground 3 washer: 24 - 3.06; 30 - 3.06 - 4.62; 48 - 4.62 - 4.62
underground 2 bath 2 branch: 24 - 3.31; 24
underground 2 bath 1 branch: 30 - 3.31; 30
underground 2 bath 2 tub: 36 - 3.61
underground 2 bath 1 shower: 48 - 3.61
underground 2 kitchen: 24 - 2.31; 30 - 2.31 - 3.31; 108 - 3.31
rough-in 2 washer: 34
rough-in 1-1/2 bath 2 lav: 28 - 3.31
rough-in 1-1/2 bath 1 lav: 28 - 3.31
rough-in 1-1/2 bath 2 vent: 108
rough-in 1-1/2 bath 1 vent: 108
rough-in 1-1/4 bath 2 lav: 18
rough-in 1-1/4 bath 1 lav: 18
rough-in 1-1/4 kitchen vent: 108 - 1.30
rough-in 1-1/4 washer vent: 108 - 1.80
`

func TestHandCounts(t *testing.T) {
	lib, cat := shelfOf(t)
	st := onRecord(t)
	for _, tt := range []struct{ job, hand, pipe string }{
		{"examples/heron-lane.dwv.yaml", heronHand, heronPipe},
		{"examples/alder-court.dwv.yaml", alderHand, alderPipe},
	} {
		r, ok := solve(t, lib, cat, tt.job, file(t, tt.job))
		if !ok {
			t.Fatalf("%s cannot be solved", tt.job)
		}
		o := take(r, st, takeoff.Settings{})
		var got []string
		for i := range o.Lines {
			l := &o.Lines[i]
			if l.Unit == takeoff.Each {
				got = append(got, fmt.Sprintf("%s | %s | %s", l.Phase, l.Key(), names(l)))
			}
		}
		compare(t, tt.job, got, handLines(tt.hand))

		got = nil
		for i := range o.Lines {
			l := &o.Lines[i]
			if l.Unit != takeoff.Run {
				continue
			}
			for _, s := range l.Shares {
				got = append(got, fmt.Sprintf("%s %s %s: %s", l.Phase, l.Size, s.Name, unit.Length(s.Qty).Inches()))
			}
		}
		var want []string
		for _, line := range handLines(tt.pipe) {
			head, sum, _ := strings.Cut(line, ": ")
			var net unit.Length
			for _, piece := range strings.Split(sum, ";") {
				net += handPiece(t, piece)
			}
			want = append(want, head+": "+net.Inches())
		}
		compare(t, tt.job, got, want)
	}
}

// handPiece works out "42 - 3.875 - 5.8" inches and rounds to 1/16 in.
func handPiece(t *testing.T, s string) unit.Length {
	t.Helper()
	var l unit.Length
	for i, f := range strings.Split(s, "-") {
		v, err := strconv.ParseFloat(strings.TrimSpace(f), 64)
		if err != nil {
			t.Fatal(err)
		}
		x := unit.Length(v*1000+0.5) * unit.Inch / 1000
		if i > 0 {
			x = -x
		}
		l += x
	}
	return l.Round(unit.Inch / 16)
}

func names(l *takeoff.Line) string {
	var out []string
	for _, s := range l.Shares {
		if s.Qty == 1 {
			out = append(out, s.Name)
		} else {
			out = append(out, fmt.Sprintf("%s %d", s.Name, s.Qty))
		}
	}
	return strings.Join(out, ", ")
}

func handLines(s string) []string {
	var out []string
	for _, l := range strings.Split(s, "\n") {
		if l = strings.TrimSpace(l); l != "" && !strings.HasPrefix(l, "#") {
			out = append(out, l)
		}
	}
	return out
}

// compare says which lines are on one side alone, whatever their order.
func compare(t *testing.T, what string, got, want []string) {
	t.Helper()
	for _, g := range got {
		if !slices.Contains(want, g) {
			t.Errorf("%s: the order has, and the hand count has not:\n  %s", what, g)
		}
	}
	for _, w := range want {
		if !slices.Contains(got, w) {
			t.Errorf("%s: the hand count has, and the order has not:\n  %s", what, w)
		}
	}
	if len(got) != len(want) {
		t.Errorf("%s: %d lines, by hand %d", what, len(got), len(want))
	}
}
