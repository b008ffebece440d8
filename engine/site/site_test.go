package site_test

import (
	"regexp"
	"sort"
	"strings"
	"testing"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/site"
	"trapweir/shelf"
)

func solved(t *testing.T, text string) *engine.Result {
	t.Helper()
	d, ds := shelf.For([]byte(text), "")
	if diag.Count(ds, diag.Error) > 0 {
		t.Fatal(ds[0].Message)
	}
	r := engine.Run(d, engine.Input{Name: "job", Text: []byte(text)})
	if !r.Solved() {
		t.Fatal(r.Faults)
	}
	return r
}

func checks(t *testing.T) []site.Check {
	t.Helper()
	list, ds := shelf.SiteChecks()
	if len(ds) > 0 {
		t.Fatal(ds[0].Message)
	}
	return list
}

const house = `job: a house with a bit of everything (invented)
code: CODE
levels:
  first: {floor: 0', studs: 2x4}
outlet: {to: public sewer}
runs:
  main: {joins: outlet, legs: [E 40'], slope: 1/4" per ft, size: 4, place: under ground, devices: [backwater valve], cleanouts: [{at: upper end, type: wall}]}
  cw: {joins: main, at: 4', arm: S 3', legs: [down 3'], slope: 1/4" per ft, fixture: clothes washer, standpipe: 30", place: wall}
  ks: {joins: main, at: 8', arm: S 1', legs: [down 3'], slope: 1/4" per ft, fixture: kitchen sink, bowls: 2, island: true}
  tub: {joins: main, at: 12', arm: S 2', legs: [down 1'], slope: 1/4" per ft, fixture: laundry tub, through: {joists: 2, cut: notch}}
  lav: {joins: main, at: 14', arm: S 2', legs: [down 1'], slope: 1/4" per ft, fixture: lavatory, future: true, through: {studs: 2, doubled: yes}}
  floor: {joins: main, at: 16', legs: [S 4'], slope: 1/4" per ft, fixture: floor drain, vented: combination}
  dis: {joins: main, at: 20', size: 2, legs: [up 10'], basin: {pump: 60 gpm}}
  low: {joins: dis, fixture: water closet, vented: elsewhere}
vents:
  a: {from: cw, legs: [up 8', W 3', up 4'], slope: 1/4" per ft, ends: through roof, terminal: {covered: true}}
  loop: {from: ks, role: loop, legs: [up 1', E 1', down 5'], ends: main, into at: 9'}
  foot: {from: main, at: 10', legs: [up 20'], ends: through roof}
  v: {from: tub, legs: [up 1'], ends: air admittance valve}
`

// A house that has cause for everything is given every check that its book prints, and each
// check comes in at least one of the books.
func TestEveryCheckHasItsCause(t *testing.T) {
	seen := map[string]bool{}
	for _, code := range []string{"irc-2021", "ipc-2021", "upc-2021"} {
		r := solved(t, strings.Replace(house, "CODE", code, 1))
		phase := 0
		for _, x := range site.For(checks(t), r) {
			seen[x.Rule] = true
			if x.Look == "" || strings.ContainsAny(x.Look, "{}[]") || strings.Contains(x.Look, "  ") {
				t.Errorf("%s under %s: %q", x.Rule, code, x.Look)
			}
			if x.Cite.Book != code || x.Cite.At == "" {
				t.Errorf("%s under %s is cited as %+v", x.Rule, code, x.Cite)
			}
			for site.Phases[phase] != x.Phase {
				if phase++; phase == len(site.Phases) {
					t.Fatalf("%s under %s is out of order", x.Rule, code)
				}
			}
		}
	}
	for _, c := range checks(t) {
		if !seen[c.Rule] {
			t.Errorf("%s (%s) is never given", c.Rule, c.When)
		}
	}
}

// Only what a job has cause for is listed: no valve, no check of valves; old pipe is nobody's
// new work.
func TestOnlyWithCause(t *testing.T) {
	r := solved(t, `job: one lavatory (invented)
code: irc-2021
outlet: {to: house drain}
runs:
  d: {joins: outlet, size: 3, existing: true, legs: [E 12'], slope: 1/4" per ft, place: under ground, cleanouts: [upper end]}
  lav: {joins: d, at: 4', arm: S 3', legs: [down 4'], slope: 1/4" per ft, fixture: lavatory}
vents:
  v: {from: lav, legs: [up 12'], ends: through roof}
`)
	var got []string
	for _, x := range site.For(checks(t), r) {
		got = append(got, x.Rule)
	}
	sort.Strings(got)
	if s := strings.Join(got, " "); s != "R038 R053 R054 R060 R078 R084 R085 R147" {
		t.Errorf("the checks are %s", s)
	}
	if site.For(checks(t), &engine.Result{}) != nil {
		t.Error("a job that is not solved has checks")
	}
}

// The numbers are the book's, in the units of the job; what a book gives no number for falls
// away in brackets.
func TestNumbersAreTheBooks(t *testing.T) {
	look := func(code, units, rule string) string {
		r := solved(t, strings.Replace(house, "CODE", code+units, 1))
		for _, x := range site.For(checks(t), r) {
			if x.Rule == rule {
				return x.Look
			}
		}
		return ""
	}
	for _, x := range []struct{ code, units, rule, want string }{
		{"irc-2021", "", "R078", "2 in to 4 in"},                       // IRC P3201.2
		{"irc-2021", "\nunits: metric", "R078", "50.8 mm to 101.6 mm"}, // the same
		{"ipc-2021", "", "R170", "dug out 3 in under it"},              // IPC 306.2
		{"irc-2021", "", "R170", "dug out under it"},                   // no number in this book
		{"ipc-2021", "", "R163", "go 2 in past"},                       // IPC 305.6
	} {
		if got := look(x.code, x.units, x.rule); !strings.Contains(got, x.want) {
			t.Errorf("%s under %s%s: %q, want %q", x.rule, x.code, x.units, got, x.want)
		}
	}
	if got := look("upc-2021", "", "R139"); got != "" {
		t.Errorf("a book without valves asks %q", got)
	}
}

func TestReadReports(t *testing.T) {
	for _, x := range []struct{ text, says string }{
		{"trench:\n  - {rule: R170, topic: bedding, when: under grond, look: x}\n", "is no cause"},
		{"trench:\n  - {rule: R170, topic: bedding, when: under ground}\n", "lacks its rule"},
		{"winter:\n  - {rule: R170}\n", "winter"},
		{"trench:\n  - {rule: R170, topc: bedding, when: under ground, look: x}\n", "topc"},
	} {
		list, ds := site.Read("x.yaml", []byte(x.text))
		if len(list) > 0 || len(ds) == 0 || !strings.Contains(ds[0].Message, x.says) {
			t.Errorf("%q gives %v, says %v", x.text, list, ds)
		}
	}
}

// Rules are numbers of the rule list, each once, and topics are words of the books.
func TestChecksAreOrdered(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range checks(t) {
		if !regexp.MustCompile(`^R\d{3}$`).MatchString(c.Rule) || seen[c.Rule] {
			t.Errorf("rule %s is no number, or comes twice", c.Rule)
		}
		seen[c.Rule] = true
	}
}
