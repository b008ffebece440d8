package vent_test

import (
	"strings"
	"testing"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/shelf"
)

// solve runs a job under a book; the job is a fragment without its head.
func solve(t *testing.T, code, body string) *engine.Result {
	t.Helper()
	text := []byte("job: test\ncode: " + code + "\noutlet: {to: public sewer}\n" + body)
	d, ds := shelf.For(text, "")
	if diag.Count(ds, diag.Error) > 0 {
		t.Fatalf("books: %v", ds)
	}
	r := engine.Run(d, engine.Input{Name: "test.dwv.yaml", Text: text})
	if !r.Solved() {
		t.Fatalf("not solved: %v", r.Faults)
	}
	return r
}

// answers gives "verdict, method" by the name of the fixture's run.
func answers(r *engine.Result) map[string]string {
	out := map[string]string{}
	for i := range r.Net.Fixtures {
		tr := &r.Vents.Trap[i]
		s := tr.Verdict.String()
		if rd := tr.Reading(); rd != nil {
			s += ", " + rd.Method.String()
		}
		out[r.Net.Runs[r.Net.Fixtures[i].Run].Name] = s
	}
	return out
}

const slope = `, slope: 1/4" per ft`

// Readings of whole layouts. `from` names the section that decides, of the book that is
// named first; sub-section numbers are those of the books' own files, where the ones from
// memory are marked.
func TestReadings(t *testing.T) {
	bathOnWetVent := `
runs:
  main: {joins: outlet, legs: [E 20']` + slope + `}
  br:   {joins: main, legs: [E 8']` + slope + `}
  lav:  {joins: br, arm: N 2', legs: [down 2']` + slope + `, fixture: lavatory, trap: 1-1/4}
  sh:   {joins: br, at: 3', legs: [N 4']` + slope + `, fixture: shower, flow: 2 gpm}
  wc:   {joins: br, at: 6', legs: [S 3']` + slope + `, fixture: water closet, flush: 1.28 gal}
vents:
  v: {from: lav, legs: [up 12'], ends: through roof}
`
	tests := []struct {
		name, code, job string
		want            map[string]string
		from            string
	}{
		{
			"a bath on a horizontal wet vent", "irc-2021", bathOnWetVent,
			map[string]string{"lav": "protected, individual vent", "sh": "protected, horizontal wet vent", "wc": "protected, horizontal wet vent"},
			"IRC P3108.1",
		},
		{
			"the same, closet last", "upc-2021", bathOnWetVent,
			map[string]string{"lav": "protected, individual vent", "sh": "protected, horizontal wet vent", "wc": "protected, horizontal wet vent"},
			"UPC 908.2",
		},
		{
			"the closet before the shower", "upc-2021", strings.NewReplacer("at: 6'", "at: 2'").Replace(bathOnWetVent),
			map[string]string{"sh": "not protected, horizontal wet vent", "wc": "protected, horizontal wet vent"},
			"UPC 908.2, closet last",
		},
		{
			"the same order where the book does not ask", "ipc-2021", strings.NewReplacer("at: 6'", "at: 2'").Replace(bathOnWetVent),
			map[string]string{"sh": "protected, horizontal wet vent", "wc": "protected, horizontal wet vent"},
			"IPC 912.1",
		},
		{"a kitchen sink upstream of the shower", "irc-2021", bathOnWetVent[:strings.Index(bathOnWetVent, "vents:")] + `
  ks: {joins: br, at: 1', legs: [S 2']` + slope + `, fixture: kitchen sink}
vents:
  v: {from: lav, legs: [up 12'], ends: through roof}
`, map[string]string{"sh": "not protected, horizontal wet vent", "ks": "not protected, horizontal wet vent"}, "IRC P3108.1: bathroom fixtures only"},
		{"two lavatories on one fitting", "irc-2021", `
runs:
  main: {joins: outlet, legs: [E 20']` + slope + `}
  d:  {joins: main, legs: [down 4']}
  l1: {joins: d, arm: N 2'` + slope + `, fixture: lavatory}
  l2: {joins: d, arm: S 2'` + slope + `, fixture: lavatory}
vents:
  v: {from: d, legs: [up 12'], ends: through roof}
`, map[string]string{"l1": "protected, common vent", "l2": "protected, common vent"}, "IRC P3107.1, P3107.2"},
		{"two lavatories at two heights", "irc-2021", `
runs:
  main: {joins: outlet, legs: [E 20']` + slope + `}
  d:  {joins: main, legs: [down 4']}
  l1: {joins: d, arm: N 2'` + slope + `, fixture: lavatory}
  l2: {joins: d, at: 1', arm: S 2'` + slope + `, fixture: lavatory}
vents:
  v: {from: d, legs: [up 12'], ends: through roof}
`, map[string]string{"l1": "protected, individual vent", "l2": "protected, common vent at two levels"}, "IRC P3107.3, Table P3107.3"},
		{"the same where the book has only the vertical wet vent", "upc-2021", `
runs:
  main: {joins: outlet, legs: [E 20']` + slope + `}
  d:  {joins: main, legs: [down 4'], size: 2}
  l1: {joins: d, arm: N 2'` + slope + `, fixture: lavatory, trap: 1-1/2}
  l2: {joins: d, at: 1', arm: S 2'` + slope + `, fixture: lavatory, trap: 1-1/2}
vents:
  v: {from: d, legs: [up 12'], ends: through roof}
`, map[string]string{"l1": "protected, individual vent", "l2": "protected, vertical wet vent"}, "UPC 908.1"},
		{"sinks and a washer on a waste stack", "ipc-2021", `
runs:
  main: {joins: outlet, legs: [E 20']` + slope + `}
  s:  {joins: main, legs: [down 16']}
  lv: {joins: s, arm: N 2'` + slope + `, fixture: lavatory, level: two}
  ks: {joins: s, at: 8', arm: N 3'` + slope + `, fixture: kitchen sink, level: one}
  cw: {joins: s, at: 9', arm: S 3'` + slope + `, fixture: clothes washer, level: one}
vents:
  v: {from: s, legs: [up 8'], ends: through roof}
`, map[string]string{"lv": "protected, individual vent", "ks": "protected, waste stack vent", "cw": "protected, waste stack vent"}, "IPC 913.1 to 913.4"},
		{"a closet below another floor's bath", "irc-2021", `
runs:
  main: {joins: outlet, legs: [E 20']` + slope + `}
  s:  {joins: main, legs: [down 18']}
  up: {joins: s, arm: N 2'` + slope + `, fixture: water closet, flush: 1.28 gal, level: two}
  dn: {joins: s, at: 9', arm: N 2'` + slope + `, fixture: water closet, flush: 1.28 gal, level: one}
vents:
  v: {from: s, legs: [up 8'], ends: through roof}
`, map[string]string{"up": "protected, individual vent", "dn": "not protected, vertical wet vent"}, "IRC P3108.4: one floor"},
		{"a vent that waste has passed", "irc-2021", `
runs:
  main: {joins: outlet, legs: [E 30']` + slope + `}
  a:  {joins: main, legs: [N 3']` + slope + `, fixture: shower, flow: 2 gpm}
  b:  {joins: main, at: 2', legs: [N 3']` + slope + `, fixture: bathtub}
  c:  {joins: main, at: 6', arm: S 2', legs: [down 3']` + slope + `, fixture: lavatory}
vents:
  v: {from: c, legs: [up 12'], ends: through roof}
`, map[string]string{"a": "not protected, horizontal wet vent", "b": "not protected, horizontal wet vent", "c": "protected, individual vent"}, "IRC P3108.1: each joins the wet vent by itself"},
		{"a sink on a declared combination drain", "irc-2021", `
runs:
  main: {joins: outlet, legs: [E 30']` + slope + `}
  old:  {joins: main, carries: {units: 6, water closets: 1}, vented: elsewhere}
  drop: {joins: cwv, legs: [down 3'], fixture: kitchen sink}
  cwv:  {joins: main, at: 4', legs: [N 12']` + slope + `, size: 2, vented: combination}
`, map[string]string{"drop": "protected, combination waste and vent"}, "IRC P3111.1 to P3111.3"},
		{"nothing drawn yet", "irc-2021", `
runs:
  main: {joins: outlet}
  lav:  {joins: main, fixture: lavatory}
`, map[string]string{"lav": "cannot tell"}, "design: what was not looked at is not judged"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := answers(solve(t, tt.code, tt.job))
			for name, want := range tt.want {
				if got[name] != want {
					t.Errorf("%s: %q, want %q (%s)", name, got[name], want, tt.from)
				}
			}
		})
	}
}

// The limit of a trap arm is exact: at it the arm holds, 1/64 in over it fails.
func TestArmLimits(t *testing.T) {
	tests := []struct {
		code, size, at, over string
		from                 string
	}{
		{"irc-2021", "1-1/4", `5'`, `5' 1/64"`, "IRC Table P3105.1"},
		{"irc-2021", "1-1/2", `6'`, `6' 1/64"`, "IRC Table P3105.1"},
		{"irc-2021", "2", `8'`, `8' 1/64"`, "IRC Table P3105.1"},
		{"ipc-2021", "2", `8'`, `8' 1/64"`, "IPC Table 909.1"},
		{"upc-2021", "1-1/4", `30"`, `30-1/64"`, "UPC Table 1002.2"},
		{"upc-2021", "1-1/2", `42"`, `42-1/64"`, "UPC Table 1002.2"},
		{"upc-2021", "2", `60"`, `60-1/64"`, "UPC Table 1002.2"},
	}
	for _, tt := range tests {
		for _, arm := range []struct {
			length string
			want   string
		}{{tt.at, "protected, individual vent"}, {tt.over, "not protected, individual vent"}} {
			r := solve(t, tt.code, `
runs:
  main: {joins: outlet, legs: [E 20'], slope: 1/4" per ft, size: 3}
  lav:  {joins: main, at: 4', size: `+tt.size+`, trap: `+tt.size+`, arm: N `+arm.length+`, legs: [down 3'], fixture: lavatory}
vents:
  v: {from: lav, legs: [up 12'], ends: through roof}
`)
			if got := answers(r)["lav"]; got != arm.want {
				t.Errorf("%s, %s trap, arm of %s: %q, want %q (%s)", tt.code, tt.size, arm.length, got, arm.want, tt.from)
			}
		}
	}
}
