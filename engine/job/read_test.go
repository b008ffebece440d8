package job

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"trapweir/engine/diag"
	"trapweir/engine/unit"
)

var update = flag.Bool("update", false, "write the golden files anew")

// docExample is the job that opens docs/job-format.md.
func docExample(t testing.TB) []byte {
	b, err := os.ReadFile(filepath.Join("..", "..", "docs", "job-format.md"))
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	in := false
	for _, l := range strings.Split(string(b), "\n") {
		if strings.HasPrefix(l, "    job:") {
			in = true
		}
		if in && l != "" && !strings.HasPrefix(l, "    ") {
			break
		}
		if in {
			out = append(out, strings.TrimPrefix(l, "    "))
		}
	}
	if len(out) < 10 {
		t.Fatal("docs/job-format.md has no example")
	}
	return []byte(strings.Join(out, "\n"))
}

func tell(ds []diag.Diagnostic) string {
	var b strings.Builder
	for _, d := range ds {
		fmt.Fprintf(&b, "%d:%d-%d: %s: %s\n", d.At.Line, d.At.Col, d.At.EndCol, d.Severity, d.Message)
		if d.Try != "" {
			fmt.Fprintf(&b, "    %s\n", d.Try)
		}
	}
	return b.String()
}

func read(t testing.TB, s string) *Job {
	t.Helper()
	j, ds := Read("t.dwv.yaml", []byte(s))
	if len(ds) > 0 {
		t.Fatalf("faults in a sound job:\n%s\n%s", s, tell(ds))
	}
	return j
}

func TestExampleOfTheDocument(t *testing.T) {
	j := read(t, string(docExample(t)))
	if j.Title.Text != "Heron Lane, new house" || len(j.Runs) != 6 || len(j.Vents) != 1 || len(j.Levels) != 2 {
		t.Fatalf("title %q, %d runs, %d vents, %d levels", j.Title.Text, len(j.Runs), len(j.Vents), len(j.Levels))
	}
	lav := j.Runs[4]
	if lav.Name != "hall bath lav" || lav.Joins.Text != "hall bath wc" || lav.Place.Len != 14*unit.Inch ||
		len(lav.Arm) != 1 || lav.Arm[0].Way.Azimuth != 1800 || lav.Arm[0].Length.V != 2*unit.Foot ||
		len(lav.Legs) != 2 || !lav.Legs[0].Way.Down || lav.Legs[0].Length.V != 19*unit.Inch ||
		lav.Fixture.Kind.Text != "lavatory" || lav.Level.Text != "second" {
		t.Errorf("hall bath lav is read as %+v", lav)
	}
	if j.Runs[0].Slope.V != (unit.Slope{Fall: 1, Run: 48}) {
		t.Errorf("slope of the sewer is %v", j.Runs[0].Slope.V)
	}
	if v := j.Vents[0]; v.Place.Kind != EndOfArm || v.Ends.Text != "through roof" || v.From[0].Text != "hall bath lav" {
		t.Errorf("vent is read as %+v", v)
	}
	if at := lav.Legs[1].At; at.Line != 16 || at.EndCol-at.Col != 4 {
		t.Errorf("place of the leg S 4' is %v to %d", at, at.EndCol)
	}
}

// house is a job of 60 runs, written as a plumber would.
func house() []byte {
	var b strings.Builder
	b.WriteString("job: sixty runs, invented\ncode: irc-2021\nlevels:\n  second: {floor: 9' 1\", joists: 2x10}\n  first: {floor: 0', under: crawl space}\noutlet: {to: public sewer, invert: -7' 2\"}\nruns:\n")
	b.WriteString("  sewer: {joins: outlet, legs: [E 52'], slope: 1/4\" per ft}\n  main: {joins: sewer, legs: [S 118' 6\"]}\n  stack: {joins: main, at: 9', legs: [down 10' 4\"]}\n")
	for i := range 19 {
		fmt.Fprintf(&b, "  bath %d wc: {joins: main, at: %d', legs: [W 2' 3\"], fixture: water closet, flush: 1.28 gal, level: second}\n", i, i+10)
		fmt.Fprintf(&b, "  bath %d lav: {joins: bath %d wc, at: 1' 2\", arm: S 2', legs: [down 1' 7\", S 4'], fixture: lavatory, level: second}\n", i, i)
		fmt.Fprintf(&b, "  bath %d tub: {joins: bath %d wc, legs: [N45E 3' 1-1/2\"], size: 1-1/2, fixture: bathtub}   # invented\n", i, i)
	}
	b.WriteString("vents:\n")
	for i := range 10 {
		fmt.Fprintf(&b, "  bath %d: {from: bath %d lav, at: end of arm, legs: [up 12'], ends: through roof}\n", i, i)
	}
	return []byte(b.String())
}

func BenchmarkRead(b *testing.B) {
	text := house()
	b.ReportAllocs()
	for b.Loop() {
		if _, ds := Read("house.dwv.yaml", text); len(ds) > 0 {
			b.Fatal(tell(ds))
		}
	}
}

// BenchmarkParse is the share of Read that the YAML library takes.
func BenchmarkParse(b *testing.B) {
	text := house()
	b.ReportAllocs()
	for b.Loop() {
		if _, bad := parse("house.dwv.yaml", text); bad != nil {
			b.Fatal(bad)
		}
	}
}

func BenchmarkEcho(b *testing.B) {
	j, _ := Read("house.dwv.yaml", house())
	b.ReportAllocs()
	for b.Loop() {
		Echo(j)
	}
}

// A valve for one fixture and one for a branch are listed as one kind.
func TestValveKindAsSpoken(t *testing.T) {
	for says, want := range map[string]string{"branch": "branch", "Individual": "branch", "individual and branch": "branch", "stack": "stack"} {
		j, ds := Read("x", []byte("job: x\ncode: irc-2021\nruns:\n  a: {joins: outlet, fixture: lavatory}\nvents:\n  v: {from: a, ends: AAV, valve: {kind: "+says+"}}\n"))
		if len(ds) > 0 || j.Vents[0].Valve.Kind.Text != want {
			t.Errorf("%s: %q, %v", says, j.Vents[0].Valve.Kind.Text, ds)
		}
	}
}

// Short words for the end of a vent are understood, a name that is in the job stands.
func TestVentEndsAsSpoken(t *testing.T) {
	for _, tt := range []struct{ says, want string }{
		{"AAV", "air admittance valve"},
		{"mechanical vent", "air admittance valve"},
		{"VTR", "through roof"},
		{"Roof", "through roof"},
		{"through the wall", "side wall"},
		{"vtr main", "vtr main"},
		{"aav", "aav"}, // a vent of that name
	} {
		src := "job: x\ncode: irc-2021\nruns:\n  a: {joins: outlet, fixture: lavatory}\nvents:\n  v: {from: a, ends: " + tt.says + "}\n"
		if tt.says == "aav" {
			src += "  aav: {from: a, ends: capped}\n"
		}
		j, ds := Read("test.dwv.yaml", []byte(src))
		if len(ds) > 0 {
			t.Fatal(ds)
		}
		if got := j.Vents[0].Ends.Text; got != tt.want {
			t.Errorf("%s is read as %s, want %s", tt.says, got, tt.want)
		}
	}
}
