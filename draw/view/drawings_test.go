package view_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"sort"
	"strconv"
	"strings"
	"testing"

	"trapweir/draw"
	"trapweir/draw/layout"
	"trapweir/draw/view"
	"trapweir/engine"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// drawnJobs are the jobs whose plans, sections and details are read by machine: demo houses,
// practice cases, jobs that are hard to draw, tried ones and random houses.
func drawnJobs(t *testing.T) []named {
	t.Helper()
	if drawn != nil {
		return drawn
	}
	var out []named
	for _, dir := range []string{"../../examples", "../../testdata/cases", "testdata/hard", "testdata/plans", "../../testdata/tried"} {
		out = append(out, from(t, dir)...)
	}
	houses := 80
	if testing.Short() {
		houses = 20
	}
	for seed := range houses {
		text := randomHouse(rand.New(rand.NewPCG(uint64(seed), 7)))
		out = append(out, named{fmt.Sprint("house ", seed), solve(t, fmt.Sprint("house ", seed), text, ".")})
	}
	for seed := range houses {
		name := fmt.Sprint("measured house ", seed)
		out = append(out, named{name, solve(t, name, measuredHouse(rand.New(rand.NewPCG(uint64(seed), 13))), ".")})
	}
	drawn = out
	return out
}

// measuredHouse writes a house on a slab of which every length and direction is given: baths on
// branches off a main, fixtures right on it, walls in most.
func measuredHouse(r *rand.Rand) []byte {
	var b strings.Builder
	chance := func(p float64) bool { return r.Float64() < p }
	along := []string{"N", "E", "S", "W"}
	way := r.IntN(4)
	side := func() string { return along[(way+1+2*r.IntN(2))%4] }
	ft := func(lo, hi int) string {
		w := fmt.Sprintf("%d'", lo+r.IntN(hi-lo+1))
		if chance(0.4) {
			w += fmt.Sprintf(" %d\"", 1+r.IntN(11))
		}
		return w
	}
	fmt.Fprintf(&b, "job: measured house (invented)\ncode: %s\n", []string{"irc-2021", "ipc-2021", "upc-2021"}[r.IntN(3)])
	if chance(0.3) {
		b.WriteString("units: metric\n")
	}
	fmt.Fprintf(&b, "levels:\n  first: {floor: 0', slab: 4\", under: slab, grade: -8\"}\noutlet: {to: %s, invert: -%d', grade: -1'}\nruns:\n", []string{"public sewer", "septic tank"}[r.IntN(2)], 4+r.IntN(6))
	fmt.Fprintf(&b, "  sewer: {joins: outlet, legs: [%s %s], slope: 1/4\" per ft, place: outside, cleanouts: [{at: upper end, type: two-way}]}\n", along[way], ft(6, 90))
	n := 2 + r.IntN(4)
	step := 6 + r.IntN(8)
	fmt.Fprintf(&b, "  main: {joins: sewer, legs: [%s %d'], slope: 1/4\" per ft, place: under slab, cleanouts: [upper end]}\n", along[way], n*step)
	var vents []string
	for i := range n {
		at := fmt.Sprintf("at: %d'", i*step)
		if i == 0 {
			at = "at: upper end"
		}
		if chance(0.35) {
			fmt.Fprintf(&b, "  sink %d: {joins: main, %s, arm: %s %s, legs: [down 2' 6\", %s %s], slope: 1/4\" per ft, fixture: kitchen sink, level: first, place: under slab}\n", i, at, side(), ft(1, 3), side(), ft(4, 12))
			vents = append(vents, fmt.Sprintf("sink %d", i))
			continue
		}
		branch := fmt.Sprintf("branch %d", i)
		fmt.Fprintf(&b, "  %s: {joins: main, %s, legs: [%s %s], slope: 1/4\" per ft, place: under slab, level: first}\n", branch, at, side(), ft(7, 12))
		fmt.Fprintf(&b, "  lav %d: {joins: %s, arm: %s %s, legs: [down 2' 4\"], slope: 1/4\" per ft, fixture: lavatory, level: first, room: bath %d}\n", i, branch, along[r.IntN(4)], ft(1, 2), i)
		fmt.Fprintf(&b, "  wc %d: {joins: %s, at: 3', legs: [down 8\", %s %s], slope: 1/4\" per ft, fixture: water closet, flush: 1.28 gal, level: first, room: bath %d, place: under slab}\n", i, branch, along[r.IntN(4)], ft(1, 3), i)
		vents = append(vents, fmt.Sprintf("lav %d", i))
		if chance(0.7) {
			fmt.Fprintf(&b, "  tub %d: {joins: %s, at: 5', legs: [%s %s], slope: 1/4\" per ft, fixture: bathtub, level: first, room: bath %d, place: under slab}\n", i, branch, along[r.IntN(4)], ft(2, 5), i)
		}
	}
	b.WriteString("vents:\n")
	for i, v := range vents {
		fmt.Fprintf(&b, "  v%d: {from: %s, legs: [up 9'], ends: through roof}\n", i, v)
	}
	if chance(0.7) {
		fmt.Fprintf(&b, "walls:\n  street wall: {from: main, at: lower end, legs: %s 1'}\n", along[way])
		if chance(0.7) {
			fmt.Fprintf(&b, "  side wall: {from: main, at: lower end, legs: %s %s}\n", side(), ft(13, 18))
		}
	}
	return []byte(b.String())
}

var drawn []named // once they are solved

// tape reads a figure of a drawing: feet, inches and parts of an inch, or millimetres, with
// or without a sign or the way that it is measured in; in millimetres.
func tape(w string, sys unit.System) (mm float64, ok bool) {
	sign := 1.0
	if i := strings.IndexByte(w, ' '); i > 0 && strings.Contains("NESW", w[:i]) {
		if w[:i] == "S" || w[:i] == "W" {
			sign = -1
		}
		w = w[i+1:]
	}
	w = strings.TrimPrefix(w, "+")
	if strings.HasPrefix(w, "-") {
		sign, w = -sign, w[1:]
	}
	if w == "0" {
		return 0, true
	}
	if sys == unit.Metric {
		v, err := strconv.Atoi(strings.TrimSuffix(w, " mm"))
		return sign * float64(v), err == nil
	}
	// Feet are followed by whole inches, so that 2'-0-11/16" is not taken for 11/16 of a foot.
	m := regexp.MustCompile(`^(?:(\d+)'-(\d+)(?:-(\d+)/(\d+))?|(\d+)(?:-(\d+)/(\d+))?|(\d+)/(\d+))"$`).FindStringSubmatch(w)
	if m == nil {
		return 0, false
	}
	n := func(i int) float64 {
		v, _ := strconv.ParseFloat("0"+m[i], 64)
		return v
	}
	in := n(1)*12 + n(2) + n(5)
	for _, i := range []int{3, 6, 8} {
		if m[i] != "" {
			in += n(i) / n(i+1)
		}
	}
	return sign * in * 25.4, true
}

// A tape reads what a plan says: every figure of a row of dimensions stands, to the scale of
// the sheet, as far from the base of the row as it says, the base has its 0, and what is
// measured from is drawn.
func TestDimensionsAreTrue(t *testing.T) {
	figures, rows := 0, 0
	for _, j := range drawnJobs(t) {
		for _, paper := range []string{"letter", "tabloid", "arch-d"} {
			for _, level := range view.Plans(j.r) {
				s := view.Plan(j.r, level, view.Options{Paper: paper})
				name := fmt.Sprintf("%s, %q on %s", j.name, level, paper)
				ids := map[string]bool{}
				for _, sh := range s.Shapes {
					ids[sh.Base().ID] = true
				}
				for _, sh := range s.Shapes {
					g, ok := sh.(draw.Group)
					if !ok || !strings.HasPrefix(g.ID, "dimensions ") {
						continue
					}
					rows++
					from := strings.TrimPrefix(g.Title, "Stubs from ")
					wall := "wall " + strings.TrimPrefix(from, "the ")
					if from == "the reference" && !ids["reference"] || from != "the reference" && !ids[wall] && !ids["wall "+strings.TrimSuffix(strings.TrimPrefix(from, "the "), " wall")] {
						t.Errorf("%s: measured from %s, which is not drawn", name, from)
					}
					n := rowIsTrue(t, name+", "+g.ID, s, &g, j.r.Job.Units)
					figures += n
				}
			}
		}
	}
	if figures < 2500 {
		t.Errorf("only %d figures on %d rows were read", figures, rows)
	}
}

// rowIsTrue reads one row of dimensions; it gives how many figures it has.
func rowIsTrue(t *testing.T, name string, s *draw.Sheet, g *draw.Group, sys unit.System) int {
	t.Helper()
	if s.Scale <= 0 {
		t.Errorf("%s: a plan to scale that does not tell its scale", name)
		return 0
	}
	var base draw.Point
	var hooks [][]draw.Point
	var words []draw.Text
	for _, sh := range g.Shapes {
		switch x := sh.(type) {
		case draw.Circle:
			base = x.C
		case draw.Polyline:
			hooks = append(hooks, x.Points)
		case draw.Text:
			words = append(words, x)
		}
	}
	if len(hooks) != len(words) {
		t.Errorf("%s: %d figures for %d marks", name, len(words), len(hooks))
		return 0
	}
	across := len(words) > 0 && words[0].Turn != 0 // the row lies across the sheet
	zero, turned, same := false, 0.0, 0.0
	for i, w := range words {
		v, ok := tape(w.Words, sys)
		if !ok {
			t.Errorf("%s: no tape reads %q", name, w.Words)
			continue
		}
		on := hooks[i][0].X - base.X
		if !across {
			on = hooks[i][0].Y - base.Y
		}
		if v == 0 {
			zero = true
		}
		// Figures from one side of a wall have no way; a row may run either way on paper.
		if d := math.Abs(math.Abs(v) - math.Abs(on)*s.Scale); d > 2 {
			t.Errorf("%s: %q stands %.1f mm of the house from the base", name, w.Words, math.Abs(on)*s.Scale)
		}
		turned += v * on
		same += math.Abs(v * on)
	}
	if !zero {
		t.Errorf("%s: the base has no 0", name)
	}
	if math.Abs(math.Abs(turned)-same) > 1e-6*(1+same) {
		t.Errorf("%s: figures of one sign lie on both sides of the base", name)
	}
	return len(words)
}

// crossingPipes tells where lines of different pipes cross unbroken.
func crossingPipes(s *draw.Sheet) (out []string) {
	type piece struct {
		a, b draw.Point
		of   string
	}
	var list []piece
	for _, sh := range s.Shapes {
		of := sh.Base().ID
		if i := strings.LastIndexByte(of, '.'); i > 0 && strings.Trim(of[i+1:], "0123456789") == "" {
			of = of[:i] // another piece of the same run
		}
		draw.Walk([]draw.Shape{sh}, func(x draw.Shape, in *draw.SymbolRef) {
			if l, ok := x.(draw.Polyline); ok && l.Layer.IsPipe() && in == nil && of != "" {
				for i := 1; i < len(l.Points); i++ {
					list = append(list, piece{l.Points[i-1], l.Points[i], of})
				}
			}
		})
	}
	for i, p := range list {
		for _, q := range list[:i] {
			if p.of == q.of {
				continue
			}
			u, v, w := p.b.Sub(p.a), q.b.Sub(q.a), q.a.Sub(p.a)
			c := u.X*v.Y - u.Y*v.X
			if math.Abs(c) < 0.2*u.Len()*v.Len() {
				continue
			}
			t, r := (w.X*v.Y-w.Y*v.X)/c*u.Len(), (w.X*u.Y-w.Y*u.X)/c*v.Len()
			if t > 0.6 && t < u.Len()-0.6 && r > 0.6 && r < v.Len()-0.6 {
				out = append(out, fmt.Sprintf("%s and %s cross at %.0f, %.0f mm", p.of, q.of, p.a.X+u.Unit().X*t, p.a.Y+u.Unit().Y*t))
			}
		}
	}
	return out
}

// columnsHold tells which words of the notes of a plan reach beyond their column.
func columnsHold(s *draw.Sheet) (out []string) {
	right := 0.0
	for _, sh := range s.Shapes {
		if l, ok := sh.(draw.Line); ok && l.Layer == draw.LayerTable && l.A.Y == l.B.Y {
			right = max(right, l.B.X)
		}
	}
	draw.Walk(s.Shapes, func(sh draw.Shape, _ *draw.SymbolRef) {
		if x, ok := sh.(draw.Text); ok && x.Layer == draw.LayerTable {
			if b, _ := draw.Bounds(x); b.X1 > right+0.1 {
				out = append(out, x.Words)
			}
		}
	})
	return out
}

// A plan explains the pipe that is on it; tells who decides; arrows of flow keep off each
// other; existing pipe and pipe that goes are marked so on their labels, not by line alone;
// numbers of plans and of details differ; metric drawings are in whole millimetres.
func TestPlansAreExplained(t *testing.T) {
	metres := regexp.MustCompile(`\d m\b`)
	unexplained, sheets, cleanouts, broken := 0, 0, 0, 0
	for _, j := range drawnJobs(t) {
		for _, paper := range []string{"letter", "tabloid", "arch-d"} {
			numbers := map[string]bool{}
			for _, level := range view.Plans(j.r) {
				s := view.Plan(j.r, level, view.Options{Paper: paper})
				sheets++
				name := fmt.Sprintf("%s, %q on %s", j.name, level, paper)
				if numbers[s.Number] {
					t.Errorf("%s: a second sheet %s", name, s.Number)
				}
				numbers[s.Number] = true
				if w := columnsHold(s); len(w) > 0 {
					t.Errorf("%s: beyond the column: %q", name, w)
				}
				all := strings.Join(words(s), " ")
				if !strings.Contains(all, "approves nothing") {
					t.Errorf("%s does not say who decides", name)
				}
				if j.r.Job.Units == unit.Metric {
					rest := &draw.Sheet{}
					for _, sh := range s.Shapes {
						if sh.Base().Title != "Scale bar" {
							rest.Add(sh)
						}
					}
					if w := strings.Join(words(rest), " "); metres.MatchString(w) {
						t.Errorf("%s: metres: %q", name, metres.FindString(w))
					}
				}
				if strings.Contains(all, "Pipe from above") && strings.Contains(all, "more: see the dimension lines") {
					t.Errorf("%s: stubs are left out of their list", name)
				}
				var north draw.Rect
				for _, sh := range s.Shapes {
					if sh.Base().ID == "north" {
						north, _ = draw.Bounds(sh)
					}
				}
				draw.Walk(s.Shapes, func(sh draw.Shape, in *draw.SymbolRef) {
					l := sh.Base().Layer
					if b, ok := draw.Bounds(sh); ok && (in == nil || in.ID != "north") && (l.IsPipe() || l == draw.LayerFixture || l == draw.LayerBuilding || l == draw.LayerText) {
						if _, group := sh.(draw.Group); !group && north.W() > 0 && b.Grow(0.01).Overlaps(north) {
							t.Errorf("%s: %s lies on the compass", name, l)
						}
					}
				})
				for _, x := range crossingPipes(s) {
					t.Errorf("%s: %s", name, x)
				}
				if strings.Contains(all, "Passes below") {
					broken++
				}
				var arrows []draw.Point
				missing := false
				for _, sh := range s.Shapes {
					if ref, ok := sh.(draw.SymbolRef); ok && ref.Name == "flow-arrow" {
						for _, q := range arrows {
							if d := q.Sub(ref.Place.At).Len(); d < 4 {
								t.Errorf("%s: two arrows of flow %.1f mm apart", name, d)
							}
						}
						arrows = append(arrows, ref.Place.At)
					}
					switch sh.Base().Layer {
					case draw.LayerExisting:
						missing = missing || !strings.Contains(all, "to remain (E)")
					case draw.LayerRemove:
						missing = missing || !strings.Contains(all, "to be removed (R)")
					case draw.LayerDrainBelow:
						missing = missing || !strings.Contains(all, "Drain below floor or slab")
					}
				}
				// A cleanout of a run that is drawn stands on the plan of it, and in the legend.
				for _, w := range []struct{ symbol, words string }{{"cleanout", "Cleanout at an end"}, {"floor-cleanout-plan", "Cleanout on the line"}, {"two-way-cleanout-plan", "Cleanout to both sides"}, {"backwater-valve-plan", "Valve against backflow"}, {"sump-plan", "Basin with pump"}} {
					for _, sh := range s.Shapes {
						if ref, ok := sh.(draw.SymbolRef); ok && ref.Name == w.symbol && !strings.Contains(all, w.words) {
							t.Errorf("%s: %s is not explained", name, w.symbol)
							break
						}
					}
				}
				for _, sh := range s.Shapes {
					if ref, ok := sh.(draw.SymbolRef); ok && strings.Contains(ref.Name, "cleanout") {
						cleanouts++
					}
				}
				if missing || !strings.Contains(all, "LINES AND MARKS") && slices.ContainsFunc(s.Shapes, func(sh draw.Shape) bool { return sh.Base().Layer.IsPipe() }) {
					t.Logf("%s: lines are not explained", name)
					unexplained++
				}
			}
		}
	}
	if broken == 0 {
		t.Error("no plan has pipes that pass over each other")
	}
	if cleanouts < 400 {
		t.Errorf("only %d cleanouts stand on plans", cleanouts)
	}
	if unexplained > 0 {
		t.Errorf("lines are not explained on %d of %d plans", unexplained, sheets)
	}
}

// A plan is as large as its paper lets it be: what it shows takes most of the room for it
// one way or the other.
func TestPlansFillTheirPaper(t *testing.T) {
	small, all := 0, 0
	for _, j := range drawnJobs(t) {
		for _, paper := range []string{"letter", "tabloid"} {
			for _, level := range view.Plans(j.r) {
				s := view.Plan(j.r, level, view.Options{Paper: paper})
				if s.Scale == 0 || s.Scale < 16.5 { // 3/4" = 1'-0" is as large as plans are drawn
					continue
				}
				var pipes, room draw.Rect
				first := true
				for _, sh := range s.Shapes {
					l := sh.Base().Layer
					b, ok := draw.Bounds(sh)
					switch {
					case !ok:
					case l.IsPipe() || l == draw.LayerFixture || l == draw.LayerDimension && (sh.Base().ID == "reference" || strings.HasPrefix(sh.Base().ID, "dimensions")):
						if first {
							pipes, first = b, false
						} else {
							pipes = pipes.Union(b)
						}
					case l == draw.LayerTable && b.W() < 0.01 && b.H() > 60: // beside the notes
						room = draw.Rect{X0: s.Inner().X0, Y0: s.Inner().Y0, X1: b.X0, Y1: b.Y1}
					case l == draw.LayerTable && b.H() < 0.01 && b.W() > s.W*0.7: // above them
						room = draw.Rect{X0: s.Inner().X0, Y0: s.Inner().Y0, X1: b.X1, Y1: b.Y0}
					}
				}
				if first || room.W() == 0 {
					continue
				}
				all++
				if share := max(pipes.W()/room.W(), pipes.H()/room.H()); share < 0.45 { // less than that and the next scale would fit
					t.Logf("%s, %q on %s at 1:%.0f: %.2f of the room", j.name, level, paper, s.Scale, share)
					small++
				}
			}
		}
	}
	if small > 0 {
		t.Errorf("%d of %d plans leave more than half of the room for them empty both ways", small, all)
	}
}

// A long section says what is so: slopes on it are those of the pipe, as many times steeper as
// it says heights are drawn; figures are those of the levels, to the sixteenth of an inch; and
// no line of equal height passes through words.
func TestSectionsAreTrue(t *testing.T) {
	times := regexp.MustCompile(`^Heights (\d+) times that$`)
	slopes, inverts := 0, 0
	for _, j := range drawnJobs(t) {
		for _, paper := range []string{"letter", "tabloid", "arch-d"} {
			s, ok := view.Section(j.r, view.Options{Paper: paper})
			name := j.name + " on " + paper
			audit(t, name, []*draw.Sheet{s})
			all := words(s)
			if !ok {
				if said := strings.Join(all, " "); !strings.Contains(said, "not given:") {
					t.Errorf("%s: the section does not say what is not given: %s", name, said)
				}
				continue
			}
			steeper := 1.0
			for _, w := range all {
				if m := times.FindStringSubmatch(w); m != nil {
					steeper, _ = strconv.ParseFloat(m[1], 64)
				}
			}
			want := map[string]bool{}
			for i := range j.r.Net.Segs {
				if f := j.r.Levels.Slope[i]; f.Given() && j.r.Net.Segs[i].Lie != network.Upright {
					want[fmt.Sprintf("%.4f", float64(f.Fall)/float64(f.Run))] = true
				}
			}
			var level [][2]draw.Point
			draw.Walk(s.Shapes, func(sh draw.Shape, _ *draw.SymbolRef) {
				switch x := sh.(type) {
				case draw.Polygon:
					if x.Layer == draw.LayerDrain && x.Fill == draw.FillTint && len(x.Points) == 4 && x.ID == "" {
						d := x.Points[1].Sub(x.Points[0])
						if d.X < 1 {
							return
						}
						slopes++
						// Short pipe is drawn by heights that are rounded to the nanometre: compare loosely.
						drawn, near := d.Y/d.X/steeper, false
						for w := range want {
							v, _ := strconv.ParseFloat(w, 64)
							near = near || math.Abs(v-drawn) < 0.0006+0.02*math.Abs(v)
						}
						if !near {
							t.Errorf("%s: pipe drawn at %.4f, of %v", name, drawn, sortedKeys(want))
						}
					}
				case draw.Line:
					if x.Layer == draw.LayerBuilding && x.Pen.Dash == draw.Dots {
						level = append(level, [2]draw.Point{x.A, x.B})
					}
				}
			})
			if w := on(s, level); len(w) > 0 {
				t.Errorf("%s: lines of equal height pass through %q", name, w)
			}
			// Every known invert on the way, as near as a sixteenth.
			for _, r := range j.r.Levels.Profile(j.r.Net, j.r.Sizes, network.None) {
				if !r.Invert.Known || !r.StationKnown || strings.Contains(strings.Join(all, " "), "lengths and falls are given") {
					continue
				}
				inverts++
				mm := float64(r.Invert.V) / float64(unit.Millimetre)
				if !slices.ContainsFunc(all, func(w string) bool {
					v, ok := tape(w, j.r.Job.Units)
					return ok && math.Abs(v-mm) < 25.4/32+0.01
				}) && !strings.Contains(strings.Join(all, " "), "It begins below") {
					t.Errorf("%s: no figure for the invert %.1f mm", name, mm)
				}
			}
		}
	}
	if slopes < 800 || inverts < 800 {
		t.Errorf("only %d slopes and %d inverts were read", slopes, inverts)
	}
}

// The section says its scale on every paper, also where it shares a sheet with other drawings
// and is made larger afterwards; its bar, as it lies on the sheet, measures the same.
func TestSectionSaysItsScale(t *testing.T) {
	imperial, metric := regexp.MustCompile(`^Lengths 1" = (\d+)'$`), regexp.MustCompile(`^Lengths 1 : (\d+)$`)
	ends := regexp.MustCompile(`^([0-9.]+) (ft|m)$`)
	var jobs []*engine.Result
	for _, name := range []string{"heron-lane", "alder-court"} {
		text := exampleText(t, name)
		jobs = append(jobs, solve(t, name, []byte(text), "../../examples"), solve(t, name+" in metric", []byte(text+"\nunits: metric\n"), "../../examples"))
	}
	for _, r := range jobs {
		for _, paper := range []string{"letter", "tabloid", "arch-c", "arch-d", "a1"} {
			found := false
			for _, s := range view.Sheets(r, view.Options{Paper: paper}) {
				var scale draw.Text
				of := 0.0 // millimetres on paper for a millimetre of the house
				draw.Walk(s.Shapes, func(sh draw.Shape, _ *draw.SymbolRef) {
					x, ok := sh.(draw.Text)
					if !ok {
						return
					}
					if m := imperial.FindStringSubmatch(x.Words); m != nil {
						n, _ := strconv.ParseFloat(m[1], 64)
						scale, of = x, 1/(12*n)
					} else if m := metric.FindStringSubmatch(x.Words); m != nil {
						n, _ := strconv.ParseFloat(m[1], 64)
						scale, of = x, 1/n
					}
				})
				if of == 0 {
					continue
				}
				found = true
				long, worth, nearest := 0.0, 0.0, math.Inf(1)
				draw.Walk(s.Shapes, func(sh draw.Shape, _ *draw.SymbolRef) {
					g, ok := sh.(draw.Group)
					if !ok || g.Title != "Scale bar" {
						return
					}
					b, _ := draw.Bounds(g)
					d := b.X0 - scale.At.X
					if d < 0 || d > nearest || math.Abs(b.Y0-scale.At.Y) > 4 {
						return
					}
					nearest = d
					for _, part := range g.Shapes {
						switch x := part.(type) {
						case draw.Polygon:
							if x.Fill == draw.NoFill {
								long = x.Points[1].X - x.Points[0].X
							}
						case draw.Text:
							if m := ends.FindStringSubmatch(x.Words); m != nil {
								worth, _ = strconv.ParseFloat(m[1], 64)
								if m[2] == "ft" {
									worth *= 304.8
								} else {
									worth *= 1000
								}
							}
						}
					}
				})
				if worth == 0 || math.Abs(long/worth-of) > of*1e-6 {
					t.Errorf("%s on %s: %q, and a bar of %.2f mm for %.0f mm", r.Job.Title.Text, paper, scale.Words, long, worth)
				}
			}
			if !found {
				t.Errorf("%s on %s: no section says its scale", r.Job.Title.Text, paper)
			}
		}
	}
}

func sortedKeys(m map[string]bool) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

// What a detail says is of this job: a figure on its drawing stands in its words, as the job's
// or as the least that the book asks for, and then it is marked so; none is empty; each sheet
// has a number of its own; washes of water lie under the pipe, not over it.
func TestDetailsAreOfTheJob(t *testing.T) {
	figures := 0
	for _, j := range drawnJobs(t) {
		for _, paper := range []string{"letter", "tabloid", "arch-d"} {
			numbers := map[string]bool{}
			for _, s := range view.Details(j.r, view.Options{Paper: paper}) {
				name := j.name + ", " + s.Number + " on " + paper
				for _, f := range layout.Audit(s) {
					t.Errorf("%s: %v", name, f)
				}
				if numbers[s.Number] {
					t.Errorf("%s: a second sheet of that number", name)
				}
				numbers[s.Number] = true
				all := strings.Join(words(s), " ")
				for _, sh := range s.Shapes {
					g, ok := sh.(draw.Group)
					if !ok || !strings.HasPrefix(g.ID, "detail ") {
						continue
					}
					if len(g.Shapes) < 6 {
						t.Errorf("%s: %s is nearly empty", name, g.Title)
					}
					lines := false
					draw.Walk(g.Shapes, func(sh draw.Shape, _ *draw.SymbolRef) {
						switch x := sh.(type) {
						case draw.Line:
							lines = lines || x.Layer.IsPipe()
						case draw.Polygon:
							if x.Fill == draw.FillTint && lines {
								t.Errorf("%s: %s: a wash hides pipe", name, g.Title)
							}
						case draw.Group: // a dimension
							if x.Layer != draw.LayerDimension || x.Title == "" {
								return
							}
							figures++
							w, least := strings.CutSuffix(x.Title, " MIN")
							if !strings.Contains(all, w) || least && !strings.Contains(all, "at least "+w) && !strings.Contains(all, "At least "+w) {
								t.Errorf("%s: %s: the words do not tell of %q", name, g.Title, x.Title)
							}
						}
					})
				}
			}
		}
	}
	if figures < 500 {
		t.Errorf("only %d figures were read", figures)
	}
}

// A long line outside is broken off behind the house on the plan, however many legs it has,
// and says how long it is and where the cleanouts beyond stand; on the section it is whole, and
// a wall that has no ends in the job is not met again far outside. Lengths added up by hand:
// 100 + 180 + 40 ft.
func TestLongSewerIsBrokenOff(t *testing.T) {
	for _, j := range from(t, "testdata/plans") {
		if j.name != "long-sewer" {
			continue
		}
		s := view.Plan(j.r, view.Below, view.Options{Paper: "letter"})
		all := strings.Join(words(s), " ")
		for _, w := range []string{`320'-0" IN ALL`, "TO SEPTIC TANK", `CO AT 75'-0", 150'-0", 225'-0"`, `1/8" = 1'-0"`} {
			if !strings.Contains(all, w) {
				t.Errorf("the plan does not say %q", w)
			}
		}
		x, ok := view.Section(j.r, view.Options{Paper: "tabloid"})
		said := strings.Join(words(x), " ")
		if !ok || strings.Contains(said, "EAST WALL") || !strings.Contains(said, `358'-0"`) {
			t.Errorf("the section: %s", said)
		}
	}
}
