package view_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"trapweir/draw"
	"trapweir/draw/internal/golden"
	"trapweir/draw/layout"
	"trapweir/draw/pdf"
	"trapweir/draw/svg"
	"trapweir/draw/view"
	"trapweir/engine"
)

// every gives every view of a job on one paper.
func every(r *engine.Result, paper string) []*draw.Sheet {
	o := view.Options{Paper: paper}
	out := []*draw.Sheet{view.Isometric(r, o)}
	for _, l := range view.Plans(r) {
		out = append(out, view.Plan(r, l, o))
	}
	s, _ := view.Section(r, o)
	out = append(out, s)
	out = append(out, view.Strip(r, o)...)
	return append(out, view.Schedule(r, o)...)
}

func audit(t *testing.T, name string, sheets []*draw.Sheet) {
	t.Helper()
	for _, s := range sheets {
		for _, f := range layout.Audit(s) {
			t.Errorf("%s, %s on %.0f mm: %v", name, s.Name(), s.W, f)
		}
		inner := s.Inner().Grow(0.05)
		draw.Walk(s.Shapes, func(sh draw.Shape, _ *draw.SymbolRef) {
			if b, ok := draw.Bounds(sh); ok && sh.Base().Layer != draw.LayerFrame && !inner.Contains(b) {
				t.Errorf("%s, %s on %.0f mm: %q lies over the frame at %.1f, %.1f mm", name, s.Name(), s.W, sh.Base().ID, b.Centre().X, b.Centre().Y)
			}
		})
	}
}

// No words on words, on pipes, on symbols or on lines, nothing off the sheet, no letters
// under 2.5 mm: on every view of every demo house and practice case.
func TestEveryViewIsClean(t *testing.T) {
	for _, dir := range []string{"../../examples", "../../testdata/cases"} {
		for _, j := range from(t, dir) {
			for _, paper := range []string{"letter", "tabloid"} {
				audit(t, j.name, every(j.r, paper))
			}
			audit(t, j.name, []*draw.Sheet{view.Isometric(j.r, view.Options{})})
		}
	}
}

// The whole permit set on every paper that it is offered on.
func TestPermitSetsAreClean(t *testing.T) {
	for _, j := range from(t, "../../examples") {
		for _, paper := range []string{"letter", "tabloid", "arch-b", "arch-c", "arch-d", "a4", "a3"} {
			sheets := view.Sheets(j.r, view.Options{Paper: paper})
			audit(t, j.name, sheets)
			for i, s := range sheets {
				if s.W > s.H && i > 0 && (s.W != sheets[0].W || s.H != sheets[0].H) {
					t.Errorf("%s: sheet %d is %g by %g, the first %g by %g", j.name, i+1, s.W, s.H, sheets[0].W, sheets[0].H)
				}
			}
		}
	}
}

func TestRandomHousesAreClean(t *testing.T) {
	houses, outlets, compasses, together := 500, 0, 0, 0
	if testing.Short() {
		houses = 60
	}
	for seed := range houses {
		text := randomHouse(rand.New(rand.NewPCG(uint64(seed), 3)))
		r := solve(t, fmt.Sprint("house ", seed), text, ".")
		paper := []string{"letter", "tabloid", "a4", "arch-c", ""}[seed%5]
		o := view.Options{Paper: paper}
		sheets := []*draw.Sheet{view.Isometric(r, o)}
		if seed%4 == 0 {
			sheets = every(r, paper)
		}
		if seed%25 == 0 {
			sheets = append(sheets, view.Sheets(r, o)...)
		}
		audit(t, fmt.Sprint("house ", seed), sheets)
		m := layout.Measure(sheets[0])
		outlets += m.OnOutlet
		if m.Together > 0 {
			together++
			t.Logf("house %d: %v", seed, m.Notes)
		}
		if m.OnCompass > 0 {
			compasses++
		}
		if t.Failed() {
			t.Fatalf("house %d:\n%s", seed, text)
		}
	}
	if compasses > 0 {
		t.Errorf("pipes pass through the compass of %d of %d", compasses, houses)
	}
	if together > 0 {
		t.Errorf("pipes run together in %d houses of %d", together, houses)
	}
	// Where a drain doubles back on itself its outlet may lie among other pipes.
	if outlets > 1+houses/20 {
		t.Errorf("pipes pass through %d outlets of %d", outlets, houses)
	}
}

func TestGolden(t *testing.T) {
	for _, name := range []string{"heron-lane", "alder-court", "larkspur", "quarry-row"} {
		golden.Check(t, name+".svg", svg.Render(view.Isometric(example(t, name), view.Options{}), svg.Options{}))
	}
	cases := map[string]bool{"S01": true, "S02": true, "S05": true, "S07": true, "S09": true, "S13": true, "S22": true, "S26": true, "S36": true, "S37": true, "S38": true, "S39": true}
	for _, j := range from(t, "../../testdata/cases") {
		if cases[j.name] {
			golden.Check(t, j.name+".svg", svg.Render(view.Isometric(j.r, view.Options{}), svg.Options{}))
			delete(cases, j.name)
		}
	}
	if len(cases) > 0 {
		t.Errorf("no job for %v", cases)
	}
}

// The same job gives the same bytes.
func TestSameBytes(t *testing.T) {
	a := view.Sheets(example(t, "heron-lane"), view.Options{})
	b := view.Sheets(example(t, "heron-lane"), view.Options{})
	if len(a) != len(b) {
		t.Fatalf("%d and %d sheets", len(a), len(b))
	}
	for i := range a {
		if !bytes.Equal(svg.Render(a[i], svg.Options{}), svg.Render(b[i], svg.Options{})) {
			t.Errorf("sheet %s differs", a[i].Name())
		}
	}
}

func words(sheets ...*draw.Sheet) []string {
	var out []string
	for _, s := range sheets {
		draw.Walk(s.Shapes, func(s draw.Shape, _ *draw.SymbolRef) {
			if t, ok := s.(draw.Text); ok {
				out = append(out, t.Words)
			}
		})
	}
	return out
}

// What the riser of a measured house must say: counted from the job file, not from the
// drawing.
func TestRiserSays(t *testing.T) {
	s := view.Isometric(example(t, "heron-lane"), view.Options{Paper: "tabloid"})
	all := "\n" + strings.Join(words(s), "\n") + "\n"
	for _, tag := range []string{"LAV-1", "LAV-2", "LAV-3", "LAV-4", "WC-1", "WC-2", "WC-3", "BT-1", "SH-1", "KS-1", "CLW-1", "STACK", "MAIN", "SEWER", "TO PUBLIC SEWER", `IE -7'-2"`, `10'-2"`, `52'-0"`, "2-WAY CO", "CO", "NOT TO SCALE", "SECOND FLOOR  +9'-1\""} {
		if !strings.Contains(all, "\n"+tag+"\n") && !strings.Contains(all, tag) {
			t.Errorf("the riser does not say %q", tag)
		}
	}
	if n := strings.Count(all, " VTR\n"); n != 5 {
		t.Errorf("%d vents through the roof, want the 5 of the job", n)
	}
	ids := map[string]bool{}
	draw.Walk(s.Shapes, func(s draw.Shape, _ *draw.SymbolRef) { ids[s.Base().ID] = true })
	for _, id := range []string{"sewer", "main", "stack", "hall branch", "hall vent", "washer"} {
		if !ids[id] {
			t.Errorf("nothing on the sheet stands for %s", id)
		}
	}
}

func TestPartsOfARiser(t *testing.T) {
	r := example(t, "heron-lane")
	all := strings.Join(words(view.Isometric(r, view.Options{Paper: "tabloid", Of: "hall branch"})), "\n")
	for tag, want := range map[string]bool{"LAV-1": true, "BT-1": true, "WC-1": true, "KS-1": false, "TO STACK": true} {
		if strings.Contains(all, tag) != want {
			t.Errorf("of hall branch: %s shown is %v, want %v", tag, !want, want)
		}
	}
	if !strings.Contains(all, "3 of 11 fixtures drawn") {
		t.Error("of hall branch: the sheet does not say that it draws 3 of 11 fixtures")
	}
	all = strings.Join(words(view.Isometric(r, view.Options{Paper: "tabloid", Level: "first"})), "\n")
	for tag, want := range map[string]bool{"KS-1": true, "CLW-1": true, "BT-1": false} {
		if strings.Contains(all, tag) != want {
			t.Errorf("first floor: %s shown is %v, want %v", tag, !want, want)
		}
	}
}

// Findings have balloons with the numbers of the list.
func TestFindingsAreNumbered(t *testing.T) {
	r := example(t, "quarry-row")
	s := view.Isometric(r, view.Options{Paper: "tabloid"})
	n := 0
	for _, d := range r.Findings {
		if d.Severity.String() == "error" || d.Severity.String() == "warning" {
			n++
		}
	}
	if n == 0 {
		t.Fatal("quarry-row has no findings; take another job")
	}
	balloons := map[string]bool{}
	draw.Walk(s.Shapes, func(s draw.Shape, in *draw.SymbolRef) {
		if x, ok := s.(draw.Text); ok && in != nil && in.Name == "balloon" {
			balloons[x.Words] = true
		}
	})
	listed := words(s)
	for i := 1; i <= n; i++ {
		found := false
		for _, w := range listed {
			found = found || w == fmt.Sprintf("%d.", i)
		}
		if !found && !strings.Contains(strings.Join(listed, "\n"), "in the list of findings") {
			t.Errorf("finding %d is not listed", i)
		}
	}
	if len(balloons) == 0 {
		t.Error("no balloons")
	}
}

// A list of fixtures without a direction or a length still makes a drawing, and says so.
func TestBareList(t *testing.T) {
	r := solve(t, "list", []byte("job: list\ncode: irc-2021\nruns:\n  main: {joins: outlet}\n  a: {joins: main, fixture: lavatory}\n  b: {joins: main, fixture: water closet}\n  c: {joins: main, fixture: bathtub}\n  d: {joins: main, fixture: kitchen sink}\n  e: {joins: main, fixture: clothes washer}\n  f: {joins: main, fixture: shower}\n"), ".")
	s := view.Isometric(r, view.Options{})
	audit(t, "list", []*draw.Sheet{s})
	all := strings.Join(words(s), " ")
	for _, w := range []string{"LAV-1", "WC-1", "BT-1", "KS-1", "CLW-1", "SH-1", "does not give every direction", "Most lengths are not given"} {
		if !strings.Contains(all, w) {
			t.Errorf("the sheet does not say %q", w)
		}
	}
}

func TestOffices(t *testing.T) {
	all, err := view.Offices()
	if err != nil {
		t.Fatal(err)
	}
	kinds := map[string]bool{"cover": true, "schedule": true, "riser": true, "plan": true, "sizes": true, "walk": true, "vents": true, "section": true, "details": true, "notes": true, "test": true, "questions": true, "findings": true, "every sheet": true, "none": true}
	if all["neutral"].Title == "" {
		t.Error("no neutral list")
	}
	for id, o := range all {
		if len(o.Asks) == 0 || o.Title == "" {
			t.Errorf("%s has no title or asks nothing", id)
		}
		if id != "neutral" && !o.Invented {
			t.Errorf("%s is not marked invented", id)
		}
		for _, a := range o.Asks {
			if !kinds[a.Sheet] {
				t.Errorf("%s: no kind of sheet %q", id, a.Sheet)
			}
		}
	}
}

// The PDF is sound, and every word on the sheets can be found in it.
func TestPDF(t *testing.T) {
	for _, tool := range []string{"qpdf", "pdftotext"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("no %s", tool)
		}
	}
	sheets := view.Sheets(example(t, "quarry-row"), view.Options{Paper: "letter"})
	b, err := pdf.Render(sheets, pdf.Options{Title: "set"})
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "set.pdf")
	if err := os.WriteFile(file, b, 0o644); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("qpdf", "--check", file).CombinedOutput(); err != nil {
		t.Fatalf("qpdf: %v\n%s", err, out)
	}
	for i, s := range sheets {
		page := fmt.Sprint(i + 1)
		out, err := exec.Command("pdftotext", "-f", page, "-l", page, "-raw", file, "-").Output()
		if err != nil {
			t.Fatal(err)
		}
		space := regexp.MustCompile(`\s+`)
		got := space.ReplaceAllString(string(out), "")
		for _, w := range words(s) {
			if w = space.ReplaceAllString(w, ""); !strings.Contains(got, w) {
				t.Errorf("%s: %q is not in the text of page %s", s.Name(), w, page)
			}
		}
	}
}

func BenchmarkRiserSVG(b *testing.B) {
	for _, name := range []string{"heron-lane", "alder-court", "larkspur"} {
		r := example(b, name)
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				svg.Render(view.Isometric(r, view.Options{Paper: "tabloid"}), svg.Options{})
			}
		})
		b.Run(name+"/auto", func(b *testing.B) {
			for b.Loop() {
				svg.Render(view.Isometric(r, view.Options{}), svg.Options{})
			}
		})
	}
}

func BenchmarkPermitSet(b *testing.B) {
	r := example(b, "heron-lane")
	for b.Loop() {
		if _, err := pdf.Render(view.Sheets(r, view.Options{Paper: "tabloid"}), pdf.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPermitSetLetter(b *testing.B) {
	r := example(b, "heron-lane")
	for b.Loop() {
		view.Sheets(r, view.Options{Paper: "letter"})
	}
}

// One fixture unit is one unit (a lavatory: IRC 2021, Table P3004.1) wherever sheets count.
func TestOneUnit(t *testing.T) {
	r := solve(t, "one", []byte("job: one\ncode: irc-2021\nruns:\n  main: {joins: outlet, size: 2}\n  a: {joins: main, fixture: lavatory}\n"), ".")
	sheets := append(view.Sheets(r, view.Options{Paper: "tabloid"}), view.Isometric(r, view.Options{}))
	all := strings.Join(words(sheets...), " ")
	draw.Walk(sheets[len(sheets)-1].Shapes, func(s draw.Shape, _ *draw.SymbolRef) { all += " " + s.Base().Title })
	for _, w := range []string{"1 drainage fixture unit ", "1 fixture unit with", "1 UNIT,", ", 1 unit."} {
		if !strings.Contains(all, w) {
			t.Errorf("the sheets do not say %q", w)
		}
	}
	if m := regexp.MustCompile(`(?i)[^0-9]1 (drainage )?(fixture )?units\b`).FindString(all); m != "" {
		t.Errorf("a sheet says %q", m)
	}
}
