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

// heronPipe is the net pipe of Heron Lane by hand: every piece in inches, centre to centre
// less what the fittings at its ends take. Take-outs of data/fittings.yaml: sanitary tee
// 1-1/2: 1.08 up, 1.75 down and side; 2: 1.30, 2.31, 2.31; 3: side and down 3.06. Long sweep
// 2.5, 3.31, 4.62, 5.8. Combination at its side 2.78, 3.61, 4.62 when it is of one size.
// Quarter bend 4: 3.875. Closet bend 3: 3.06. Double fixture fitting 2 x 1-1/2: side 2.73,
// down 1.75; 3: side 3.81, down 3.06. Not known, so nothing is taken: traps, flanges, the run of a combination, uneven
// combinations, the cleanout tee, the increaser, the outlet.
const heronPipe = `
underground 4 sewer: 36 - 3.875; 42 - 3.875 - 5.8; 624 - 5.8; 10.25
rough-in 3 main: 144; 96; 48; 72
rough-in 3 stack: 122 - 3.06 - 4.62
rough-in 3 hall branch: 24 - 3.81
rough-in 3 main branch: 24 - 3.81
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

const alderPipe = `
underground 4 sewer: 720; 9
underground 3 main: 168; 144; 96; 96; 6.5 - 4.62
underground 3 bath 2 wc: 8 - 3.06; 24 - 3.06 - 4.62
underground 3 bath 1 wc: 8 - 3.06; 24 - 3.06 - 4.62
underground 3 bath 2 branch: 24 - 4.62
underground 3 bath 1 branch: 24 - 4.62
rough-in 3 washer: 24 - 3.06
underground 3 washer: 30 - 3.06 - 4.62; 48 - 4.62 - 4.62
underground 2 bath 2 branch: 24 - 3.31; 24
underground 2 bath 1 branch: 30 - 3.31; 30
underground 2 bath 2 tub: 36 - 3.61
underground 2 bath 1 shower: 48 - 3.61
rough-in 2 kitchen: 24 - 2.31
underground 2 kitchen: 30 - 2.31 - 3.31; 108 - 3.31
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

// Two houses were counted by hand, run by run, before the program's lists were looked at; the
// tables say where the two differed and which of them was mended. They agree exactly.
func TestHandCounts(t *testing.T) {
	lib, cat := shelfOf(t)
	st := onRecord(t)
	for _, tt := range []struct{ job, hand, pipe string }{
		{"examples/heron-lane.dwv.yaml", "heron-lane.count", heronPipe},
		{"examples/alder-court.dwv.yaml", "alder-court.count", alderPipe},
	} {
		r, ok := solve(t, lib, cat, tt.job, file(t, tt.job))
		if !ok {
			t.Fatalf("%s cannot be solved", tt.job)
		}
		o := take(r, st, takeoff.Settings{})
		var got []string
		for i := range o.Lines {
			l := &o.Lines[i]
			if l.Unit != takeoff.Each {
				continue
			}
			for _, s := range l.Shares {
				got = append(got, fmt.Sprintf("%s: %s %d %s", s.Name, l.Phase, s.Qty, l.Key()))
			}
		}
		compare(t, tt.job, got, byHand(t, string(file(t, "engine/takeoff/testdata/"+tt.hand))))

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

// byHand reads a table of pieces by run: the name of a run, and under it phase, number, thing.
func byHand(t *testing.T, text string) (out []string) {
	t.Helper()
	run := ""
	for _, l := range strings.Split(text, "\n") {
		l, _, _ = strings.Cut(l, "#")
		f := strings.Fields(l)
		switch {
		case len(f) == 0:
		case l[0] != ' ':
			run = strings.Join(f, " ")
		case len(f) < 3 || run == "":
			t.Fatalf("%q is no line of a count", l)
		default:
			out = append(out, run+": "+strings.Join(f, " "))
		}
	}
	return out
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
