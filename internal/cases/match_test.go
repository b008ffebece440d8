package cases

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"trapweir/engine/diag"
	"trapweir/engine/unit"
)

// Equal and unequal ways of writing; the values are arithmetic.
func TestNumbersSayTheSame(t *testing.T) {
	for _, x := range []struct {
		a, b string
		same bool
	}{
		{"65 in", `5' 5"`, true},
		{"65 in", "5 ft 5 in", true},
		{"65 in", `65-1/4"`, false},
		{"10 ft", "10'", true},
		{"1.5 ft", `1' 6"`, true},
		{"1-1/2 in", `1½"`, true},
		{"1-1/2 in", "1.5 in", true},
		{"1-1/2 in", "1-1/4 in", false},
		{"3.08 in", `3-1/16"`, true}, // 3.0833 in, written to the sixteenth
		{"3.08 in", `3.083"`, true},
		{"3.08 in", `2.31"`, false},
		{"6 in", "6.01 in", true}, // rounded on the way
		{"35 units", "35", true},
		{"35 units", "35 DFU", true},
		{"36 units", "35 units", false},
		{"4", "4 water closets", true},
		{"1/8 in per ft", `1/8"/ft`, true},
		{"1/8 in per ft", `1/8" per ft`, true},
		{"1/8 in per ft", "1:96", true},
		{"1/4 in per ft", "2.08 %", true},
		{"1/4 in per ft", `1/8" per ft`, false},
		{"0.02 in per ft", "1:600", true},
		{"90 deg", "90°", true},
		{"180 deg", "135 degrees", false},
		{"12.5 gpm", "12.5 gpm", true},
		{"12.3 gpm", "12.5 gpm", false},
		{"6.28 sq in", "6.283 sq in", true},
		{"6.28 sq in", "7.07 sq in", false},
		{"35 units", "35 in", true}, // a bare number takes the other's measure
		{"35 in", "35 gpm", false},
		{"-23.75 in", `-23-3/4"`, true},
		{"-23.75 in", `23-3/4"`, false},
		{"42 in", "1067 mm", true},
		{"0.5 in", `1/2"`, true},
		{"3/4", "0.75", true},
		{"3/4 in", "3 in", false},
	} {
		a, err := parseNumber(x.a)
		if err != nil {
			t.Error(err)
			continue
		}
		b, err := parseNumber(x.b)
		if err != nil {
			t.Error(err)
			continue
		}
		if a.same(b) != x.same || b.same(a) != x.same {
			t.Errorf("%s and %s: same is %v, want %v (%v, %v)", x.a, x.b, a.same(b), x.same, a, b)
		}
	}
	if _, err := parseNumber("none"); err == nil {
		t.Error("a text without a number must be an error")
	}
}

func on(name string) diag.Ref { return diag.Ref{What: diag.Run, Name: name, Segment: 0} }

func TestFound(t *testing.T) {
	s := &Suite{Aliases: map[string][]string{"trap-arm-too-long": {"arm-length"}}}
	want := &Expect{Rule: "trap-arm-too-long", On: Words{"arm"}, Value: "65 in", Limit: "60 in", Severity: "error"}
	good := diag.Diagnostic{Severity: diag.Error, Rule: "trap-arm-too-long", On: on("arm"), Got: `5' 5"`, Limit: `5'`}
	change := func(f func(*diag.Diagnostic)) *Result {
		d := good
		f(&d)
		return &Result{Findings: []diag.Diagnostic{d}}
	}
	for _, x := range []struct {
		name string
		r    *Result
		ok   bool
		why  string
	}{
		{"as expected", change(func(*diag.Diagnostic) {}), true, ""},
		{"by its alias", change(func(d *diag.Diagnostic) { d.Rule = "arm-length" }), true, ""},
		{"another rule", change(func(d *diag.Diagnostic) { d.Rule = "s-trap" }), false, "not found"},
		{"another pipe", change(func(d *diag.Diagnostic) { d.On.Name = "wd" }), false, "only on wd"},
		{"another measure", change(func(d *diag.Diagnostic) { d.Got = `5' 6"` }), false, "measured 65 in expected"},
		{"no measure", change(func(d *diag.Diagnostic) { d.Got = "" }), false, "none given"},
		{"another limit", change(func(d *diag.Diagnostic) { d.Limit = "6'" }), false, "limit 60 in expected"},
		{"too mild", change(func(d *diag.Diagnostic) { d.Severity = diag.Warning }), false, "said as warning"},
		{"not decided", change(func(d *diag.Diagnostic) { d.Severity = diag.Unchecked }), false, "said as not checked"},
		{"nothing", &Result{}, false, "not found"},
	} {
		ok, why := s.found(want, x.r)
		if ok != x.ok || !strings.Contains(why, x.why) {
			t.Errorf("%s: %v %q, want %v %q", x.name, ok, why, x.ok, x.why)
		}
	}
	note := &Expect{Rule: "advise-upsize", On: Words{"arm", "d"}, Suggest: "2 in", Severity: "note"}
	if ok, why := s.found(note, &Result{Findings: []diag.Diagnostic{{Severity: diag.Info, Rule: "advise-upsize", On: on("d"), Try: "lay 2 in"}}}); !ok {
		t.Errorf("a note with its advice: %s", why)
	}
	if ok, _ := s.found(note, &Result{Findings: []diag.Diagnostic{{Severity: diag.Info, Rule: "advise-upsize", On: on("d"), Try: "lay 3 in"}}}); ok {
		t.Error("a note with other advice is not what was expected")
	}
	if ok, _ := s.found(note, &Result{Findings: []diag.Diagnostic{{Severity: diag.Error, Rule: "advise-upsize", On: on("d"), Try: "lay 2 in"}}}); ok {
		t.Error("advice must not come as an error")
	}
}

func TestSilent(t *testing.T) {
	s := &Suite{}
	e := &Expect{Rule: "s-trap", On: Words{"drop"}}
	for _, x := range []struct {
		d  diag.Diagnostic
		ok bool
	}{
		{diag.Diagnostic{Severity: diag.Error, Rule: "s-trap", On: on("drop")}, false},
		{diag.Diagnostic{Severity: diag.Warning, Rule: "s-trap", On: on("drop")}, false},
		{diag.Diagnostic{Severity: diag.Info, Rule: "s-trap", On: on("drop")}, false},
		{diag.Diagnostic{Severity: diag.Unchecked, Rule: "s-trap", On: on("drop")}, true},
		{diag.Diagnostic{Severity: diag.Error, Rule: "s-trap", On: on("arm")}, true},
		{diag.Diagnostic{Severity: diag.Error, Rule: "drum-trap", On: on("drop")}, true},
	} {
		if ok, _ := s.silent(e, &Result{Findings: []diag.Diagnostic{x.d}}); ok != x.ok {
			t.Errorf("%s %s on %s: silent %v, want %v", x.d.Severity, x.d.Rule, x.d.On.Name, ok, x.ok)
		}
	}
}

func TestAskedInvertAndSizes(t *testing.T) {
	e := &Expect{Words: Words{"slope", "Fall"}, On: Words{"hd"}}
	q := diag.Diagnostic{Severity: diag.Unchecked, Rule: "slope-too-flat", On: on("hd"), Ask: "what is the fall of hd?"}
	if ok, _ := asked(e, &Result{Findings: []diag.Diagnostic{q}}); !ok {
		t.Error("the question stands there")
	}
	q.On.Name = "bd"
	if ok, _ := asked(e, &Result{Findings: []diag.Diagnostic{q}}); ok {
		t.Error("a question about another pipe")
	}
	q.On.Name, q.Severity = "hd", diag.Info
	if ok, _ := asked(e, &Result{Findings: []diag.Diagnostic{q}}); ok {
		t.Error("a note is no question")
	}

	r := &Result{Inverts: map[string]Ends{"b4": {Upper: -23*unit.Inch - 3*unit.Inch/4, UpperKnown: true}}}
	for _, x := range []struct {
		e  Expect
		ok bool
	}{
		{Expect{Run: "b4", End: "upper", Is: "-23.75 in"}, true},
		{Expect{Run: "b4", End: "upper", Is: "-26.9 in"}, false},
		{Expect{Run: "b4", End: "lower", Is: "-23.75 in"}, false},
		{Expect{Run: "b2", End: "upper", Is: "0 in"}, false},
	} {
		if ok, why := invert(&x.e, r); ok != x.ok {
			t.Errorf("%s: %v (%s), want %v", &x.e, ok, why, x.ok)
		}
	}

	got := map[string]int64{"a": int64(3 * unit.Inch), "b": int64(3 * unit.Inch), "c": int64(4 * unit.Inch), "v": int64(3 * unit.Inch / 2)}
	for _, x := range []struct {
		name string
		s    Size
		ok   bool
	}{
		{"a", Size{Is: "3"}, true},
		{"a", Size{Is: "4"}, false},
		{"v", Size{Is: "1-1/2"}, true},
		{"v", Size{Is: "1-1/4"}, false},
		{"a", Size{SameAs: "b"}, true},
		{"a", Size{SameAs: "c"}, false},
		{"c", Size{AtLeast: "4"}, true},
		{"a", Size{AtLeast: "4"}, false},
		{"d", Size{Is: "3"}, false},
		{"d", Size{SameAs: "e"}, false},
	} {
		if ok, why := x.s.holds(x.name, got, inches); ok != x.ok {
			t.Errorf("%s %s: %v (%s), want %v", x.name, x.s, ok, why, x.ok)
		}
	}
}

const small = `job: small
code: irc-2021
runs:
  bd:  {joins: outlet, size: 3, slope: 1/4" per ft}
  arm: {joins: bd, fixture: lavatory, arm: [level 2' 6"]}
`

const smallExpect = `
floor: {found: 1, false alarms: 0, sizes: 1}
cases:
  T1:
    variants:
      changed: {edits: [{set: runs/bd/size, to: 4}, {drop: runs/arm/arm}]}
    find:
      - {rule: r1, on: bd, value: 5 units, limit: 4 units, severity: error, in: [as written, upc-2021]}
      - {rule: r2, on: bd, severity: note, in: changed}
    clear:
      - {rule: r3, on: arm}
      - {rule: r3, on: arm, in: broken-2021}
    sizes:
      as written: {bd: 3, arm: 1-1/4}
    ask:
      - {on: arm, words: [arm], in: changed}
`

// TestCheck runs a made-up suite against a made-up engine, which tells the variants apart by
// the text that it is given.
func TestCheck(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{"expect.yaml": smallExpect, "T1.dwv.yaml": small} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	s := load(t, dir)
	engine := func(upc bool) Runner {
		return func(in Input) (*Result, error) {
			text := string(in.Text)
			r := &Result{Sizes: map[string]unit.Size{"bd": unit.Size(3 * unit.Inch), "arm": unit.Size(3 * unit.Inch / 2)}}
			r1 := diag.Diagnostic{Severity: diag.Error, Rule: "r1", On: on("bd"), Got: "5 units", Limit: "4 units"}
			switch {
			case strings.Contains(text, "broken-2021"):
				return nil, errors.New("no such book")
			case strings.Contains(text, "upc-2021"):
				if upc {
					r.Findings = []diag.Diagnostic{r1}
				}
			case strings.Contains(text, "size: 4") && !strings.Contains(text, "2' 6"):
				r.Findings = []diag.Diagnostic{
					{Severity: diag.Info, Rule: "r2", On: on("bd")},
					{Severity: diag.Unchecked, Rule: "r4", On: on("arm"), Ask: "how long is the arm?"},
				}
			case strings.Contains(text, "size: 3") && strings.Contains(text, "2' 6"):
				r.Findings = []diag.Diagnostic{r1, {Severity: diag.Warning, Rule: "r3", On: on("arm"), Message: "raised"}, {Severity: diag.Error, Rule: "r5", On: on("bd"), Message: "more"}}
			default:
				t.Errorf("a text that no variant writes:\n%s", text)
			}
			return r, nil
		}
	}
	reports, score := s.All(engine(true))
	if got, want := score.Line(), "expected found: 2 of 2; false alarms: 1 of 1; sizes right: 1 of 2"; got != want {
		t.Errorf("score\n%s\nwant\n%s", got, want)
	}
	if score.Right[Asked] != 1 {
		t.Error("the question was asked")
	}
	if got, want := score.Below(s.Floor), "1 false alarms, 0 before"; got != want {
		t.Errorf("below the floor: %q, want %q", got, want)
	}
	if r := reports[0]; r.Failed["broken-2021"] != "no such book" || len(r.Also) != 1 || !strings.Contains(r.Also[0], "r5@bd: more") {
		t.Errorf("failed %v, also %v", r.Failed, r.Also)
	}
	var b bytes.Buffer
	if err := Write(&b, reports, score, true); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(b.String()), "\n")
	if last := lines[len(lines)-1]; last != score.Line() {
		t.Errorf("the last line is %q", last)
	}
	if !strings.Contains(b.String(), "alarm    silence  r3@arm: raised as warning") {
		t.Errorf("the false alarm is not shown:\n%s", b.String())
	}
	// The same finding missing in one of its two variants is not found.
	if _, score = s.All(engine(false)); score.Right[Found] != 1 {
		t.Errorf("found %d, want 1", score.Right[Found])
	}
	// A job that cannot be read gives nothing, and its silence does not count.
	_, score = s.All(func(Input) (*Result, error) {
		return &Result{Findings: []diag.Diagnostic{{Severity: diag.Error, Rule: "job-file", Message: "unreadable"}}}, nil
	})
	if got, want := score.Line(), "expected found: 0 of 2; false alarms: 0 of 0; sizes right: 0 of 2"; got != want {
		t.Errorf("unreadable: %s, want %s", got, want)
	}
}

func TestEditsThatCannotBe(t *testing.T) {
	c := &Case{ID: "T1", Variants: map[string]*Variant{}}
	for _, e := range []Edit{{Drop: "runs/bd/bends"}, {Set: "runs/none/size"}, {Drop: "job/size"}, {Set: "job", Drop: "code"}, {}} {
		if _, err := apply([]byte(small), &Variant{Edits: []Edit{e}}); err == nil {
			t.Errorf("%+v must be an error", e)
		}
	}
	if _, err := c.variant("no such"); err == nil {
		t.Error("a variant that is not listed must be an error")
	}
}

// A case in which nothing else may be wrong: an error that no entry speaks of is a false alarm,
// those of find are none, nor is a note.
func TestNothingElse(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{
		"expect.yaml": "cases:\n  T1:\n    nothing else: true\n    find:\n      - {rule: r1, on: bd, severity: error}\n",
		"T1.dwv.yaml": small,
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	s := load(t, dir)
	said := []diag.Diagnostic{{Severity: diag.Error, Rule: "r1", On: on("bd")}, {Severity: diag.Info, Rule: "r2", On: on("bd")}}
	run := func(Input) (*Result, error) { return &Result{Findings: said}, nil }
	if _, score := s.All(run); score.Alarms() != 0 || score.All[Silence] != 1 || score.Right[Found] != 1 {
		t.Errorf("%s", score.Line())
	}
	said = append(said, diag.Diagnostic{Severity: diag.Warning, Rule: "r3", On: on("arm"), Message: "more"})
	if _, score := s.All(run); score.Alarms() != 1 {
		t.Errorf("%s", score.Line())
	}
}
