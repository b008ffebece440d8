package vent_test

import (
	"fmt"
	"strings"
	"testing"

	"trapweir/engine"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// ventSize gives the required size of a vent and the kind of reason that governs it.
func ventSize(r *engine.Result, name string) string {
	for i := range r.Net.Vents {
		if r.Net.Vents[i].Name == name {
			x := &r.Vents.Size[i]
			return strings.TrimSuffix(x.Required.String(), " in") + " " + x.Reasons[0].Kind
		}
	}
	return "no such vent"
}

// fixtures draws n fixtures on drains of their own, each with a vent that joins vent all.
func fixtures(kinds ...string) (runs, vents string) {
	for i, k := range kinds {
		runs += fmt.Sprintf("  f%d: {joins: main, at: %d', arm: N 2', legs: [down 2', N 4']%s, fixture: %s}\n", i, 2+2*i, slope, k)
		vents += fmt.Sprintf("  v%d: {from: f%d, legs: [up 8'], ends: all}\n", i, i)
	}
	return runs, vents
}

// Sizes of vents that come together. `from` names the section.
func TestVentsTogether(t *testing.T) {
	house := func(kinds []string, all string) string {
		runs, vents := fixtures(kinds...)
		return "runs:\n  sewer: {joins: outlet, role: building sewer, size: 4, legs: [E 20']" + slope + "}\n  main: {joins: sewer, role: building drain, legs: [E 60']" + slope + "}\n" + runs + "vents:\n" + vents + all
	}
	list := func(n int, kind string) []string {
		return strings.Split(strings.Repeat(kind+";", n)[:n*len(kind)+n-1], ";")
	}
	const trays = "laundry tub"
	out := "  all: {from: main, at: 1', legs: [up 12'], ends: through roof}\n"
	plain := "  all: {legs: [up 12'], ends: through roof}\n  other: {from: main, at: 50', size: 3, legs: [up 12'], ends: through roof}\n"
	three := "runs:\n  sewer: {joins: outlet, role: building sewer, legs: [E 20']" + slope + "}\n  main: {joins: sewer, role: building drain, legs: [E 60']" + slope + "}\n"
	stacks := func(n, units, height int) string {
		s, v := three, "vents:\n"
		for i := range n {
			s += fmt.Sprintf("  s%d: {joins: main, at: %d', role: stack, legs: [down %d']}\n  p%d: {joins: s%d, carries: {units: %d, water closets: 1}, vented: elsewhere, legs: [W 3']%s}\n", i, 5+10*i, height, i, i, units, slope)
			v += fmt.Sprintf("  v%d: {from: s%d, legs: [up 4'], ends: head}\n", i, i)
		}
		return s + v + "  head: {legs: [E 20', up 6'], slope: 1/4\" per ft, ends: through roof}\n"
	}
	tests := []struct{ name, code, job, vent, want, from string }{
		// 10 tubs of 2 units: 20 units, a 3 in branch, half of it 1-1/2 in; 11: 22 units, 4 in, 2 in.
		{"branch vents, 20 units", "irc-2021", house(list(10, trays), plain), "all", "1-1/2 branch", "P3113.3, Table P3005.4.1"},
		{"branch vents, 22 units", "irc-2021", house(list(11, trays), plain), "all", "2 branch", "P3113.3, Table P3005.4.1"},
		// Three stacks of 16 units: 48 in all, the row of 53 for 3 in; 10 + 4 + 26 ft is over the
		// 27 ft of 1-1/2 in, and 2 in may be 94 ft. One stack of 16: 32 ft for 1-1/2 in.
		{"a vent header", "ipc-2021", stacks(3, 16, 10), "head", "2 header", "904.5, Table 906.1"},
		{"the vent of one of its stacks", "ipc-2021", stacks(3, 16, 10), "v0", "1-1/2 half", "906.1"},
		// The same three with 30 units, 90 in all: 25, 86, 210 and 620 ft in the row of 102; 640 ft
		// and the rest of the way are over all of them, and 4 in is the next size over 3 in.
		{"a header longer than the table has it", "ipc-2021", strings.Replace(stacks(3, 30, 10), "up 6'", "up 640'", 1), "head", "4 header", "904.5, Table 906.1"},
		{"a book without headers", "irc-2021", stacks(3, 16, 10), "head", "1-1/2 half", "none in the IRC"},
		// Both vents are 1-1/4 in by their traps; the building drain is 3 in.
		{"the main vent", "irc-2021", `
runs:
  sewer: {joins: outlet, role: building sewer, size: 4, legs: [E 20']` + slope + `}
  main: {joins: sewer, role: building drain, size: 3, legs: [E 60']` + slope + `}
  lav:  {joins: main, at: 5', arm: N 2', legs: [down 2', N 4']` + slope + `, fixture: lavatory}
  wc:   {joins: main, at: 8', legs: [N 3']` + slope + `, fixture: water closet, flush: 1.28 gal}
  sink: {joins: main, at: 30', arm: N 2', legs: [down 2', N 4']` + slope + `, fixture: kitchen sink}
vents:
  lv: {from: lav, legs: [up 12'], ends: through roof}
  wv: {from: wc, at: 2', legs: [up 3'], ends: air admittance valve}
  kv: {from: sink, legs: [up 12'], ends: through roof}
`, "kv", "1-1/2 main", "P3102.1"},
		{"a branch vent through the roof is main enough", "irc-2021", house(list(11, trays), out), "all", "2 branch", "P3102.1, P3113.3"},
	}
	for _, tt := range tests {
		if got := ventSize(solve(t, tt.code, tt.job), tt.vent); got != tt.want {
			t.Errorf("%s: %s, want %s (%s)", tt.name, got, tt.want, tt.from)
		}
	}
}

// The vent of a stack counts what comes down the stack, traps left out that breathe elsewhere.
func TestStackVentUnits(t *testing.T) {
	job := func(at string) string {
		return `
runs:
  sewer: {joins: outlet, role: building sewer, size: 4, legs: [E 20']` + slope + `}
  st: {joins: sewer, role: stack, size: 3, legs: [down 30']}
  lav: {joins: st, at: 5', arm: N 2', legs: [down 2', N 2']` + slope + `, fixture: lavatory}
  a: {joins: st, at: ` + at + `, legs: [E 3']` + slope + `, carries: {units: 5, water closets: 0}, vented: elsewhere}
  b: {joins: st, at: 20', legs: [E 5']` + slope + `, carries: {units: 15, water closets: 0}, vented: elsewhere}
vents:
  v: {from: st, legs: [up 10'], ends: head}
  lv: {from: lav, legs: [up 20'], ends: through roof}
  head: {legs: [E 5', up 5'], slope: 1/4" per ft, ends: through roof}
`
	}
	for _, at := range []string{"upper end", "10'"} {
		r := solve(t, "ipc-2021", job(at))
		for i, x := range r.Vents.Size {
			want := 20 * unit.Unit
			if r.Net.Vents[i].Name == "lv" {
				want = 1 * unit.Unit
			}
			if x.Units != want {
				t.Errorf("a branch at %s: %s vents %v, want %v (IPC 906.1: the units connected to it; Table 709.1: a lavatory is 1)", at, r.Net.Vents[i].Name, x.Units, want)
			}
		}
	}
}

// The loop of an island comes down to a drain, and its air goes on in the foot vent, which may
// take off from the loop or from the drain: both are one way to the open air, over 40 ft a size
// larger (P3113.1, P3113.2), and the foot vent serves what the loop serves.
func TestIslandFoot(t *testing.T) {
	job := func(foot, up string) string {
		return `
runs:
  sewer: {joins: outlet, role: building sewer, size: 4, legs: [E 20']` + slope + `}
  ks: {joins: sewer, at: 5', arm: N 8", legs: [down 3', N 6']` + slope + `, fixture: kitchen sink, island: true}
vents:
  lp: {from: ks, legs: [up 2', E 1', down 4'], role: loop, ends: ks, into at: 4'}
  ft: {from: ` + foot + `, legs: [W 4', ` + up + `], slope: 1/4" per ft, ends: through roof}
`
	}
	for _, foot := range []string{"lp", "ks, at: 5'"} {
		for up, want := range map[string]string{"up 29'": "1-1/4 minimum", "up 29' 1/64\"": "1-1/2 length"} {
			r := solve(t, "irc-2021", job(foot, up))
			for _, v := range []string{"lp", "ft"} {
				if got := ventSize(r, v); got != want {
					t.Errorf("from %s, %s: %s is %s, want %s", foot, up, v, got, want)
				}
			}
			for i := range r.Vents.Size {
				if x := &r.Vents.Size[i]; x.Units != 2*unit.Unit || len(x.Serves) > 1 {
					t.Errorf("from %s: %s vents %v and serves %v, want the sink's 2 units", foot, r.Net.Vents[i].Name, x.Units, x.Serves)
				}
			}
		}
	}
}

// A branch vent is measured from the farthest drain, and only to the stack vent that it
// joins (P3113.2); over 40 ft it is a size larger for its whole length (P3113.1).
func TestVentLengthMeasured(t *testing.T) {
	job := func(far, near, into string) string {
		return `
runs:
  sewer: {joins: outlet, role: building sewer, legs: [E 20']` + slope + `}
  main: {joins: sewer, role: building drain, legs: [E 60']` + slope + `}
  st:   {joins: main, at: 5', role: stack, legs: [down 10']}
  wc:   {joins: st, legs: [N 3']` + slope + `, fixture: water closet, flush: 1.28 gal}
  a:    {joins: main, at: 20', arm: N 2', legs: [down 2', N 4']` + slope + `, fixture: lavatory}
  b:    {joins: main, at: 30', arm: N 2', legs: [down 2', N 4']` + slope + `, fixture: lavatory}
vents:
  sv: {from: st, legs: [up 60'], ends: through roof}
  av: {from: a, legs: [up 4', ` + far + `], slope: 1/4" per ft, ends: sv, into at: 30'}
  bv: {from: b, legs: [up 4', ` + near + `], slope: 1/4" per ft, ends: av, into at: ` + into + `}
`
	}
	for _, tt := range []struct{ far, near, into, vent, want string }{
		{"W 36'", "W 2'", "10'", "av", "1-1/4 minimum"}, // 40 ft, though 70 ft to the open air
		{"W 36' 1/64\"", "W 2'", "10'", "av", "1-1/2 length"},
		{"W 30'", "W 2'", "0'", "av", "1-1/4 minimum"},
		{"W 30'", "W 2' 1/64\"", "0'", "av", "1-1/2 length"}, // 4 + 2 + 34 ft and a bit, from b
	} {
		if got := ventSize(solve(t, "irc-2021", job(tt.far, tt.near, tt.into)), tt.vent); got != tt.want {
			t.Errorf("%s and %s: %s is %s, want %s", tt.far, tt.near, tt.vent, got, tt.want)
		}
	}
}

// A vent that the job ends in the dry top of a stack, above all that drains in, joins the vent
// that stands on it; the dry pipe is part of either, and that vent is the stack's (IPC 906.1: a
// 3 in stack with 10 units has 1-1/2 in to 42 ft).
func TestDryTopJoined(t *testing.T) {
	job := func(up string) string {
		return `
runs:
  sewer: {joins: outlet, role: building sewer, size: 4, legs: [E 20']` + slope + `}
  st: {joins: sewer, legs: [down 24']}
  wc: {joins: st, at: 12', arm: S 3'` + slope + `, fixture: water closet, flush: 1.28 gal}
  lav: {joins: st, at: 12', arm: N 2'` + slope + `, fixture: lavatory}
  low: {joins: sewer, at: 8', arm: N 2', legs: [down 2', N 2']` + slope + `, fixture: lavatory}
vents:
  sv: {from: st, at: upper end, legs: [` + up + `], ends: through roof}
  lv: {from: low, legs: [up 20', W 6'], slope: 1/4" per ft, ends: st, into at: 5'}
`
	}
	for up, want := range map[string]string{"up 30'": "1-1/2 half", "up 30' 1/64\"": "2 stack vent"} {
		r := solve(t, "ipc-2021", job(up))
		if got := ventSize(r, "sv"); got != want {
			t.Errorf("%s above 12 ft of dry stack: sv is %s, want %s", up, got, want)
		}
		for i := range r.Net.Vents {
			v := &r.Net.Vents[i]
			if v.Name == "lv" && (v.End != network.JoinsVent || r.Net.Vents[v.Into].Name != "sv" || v.Length != 31*unit.Foot) {
				t.Errorf("lv ends %v after %v, want in sv after 20 + 6 + 5 ft", v.End, v.Length)
			}
		}
	}
}

// The words of a trap on an island's loop and the finding of the loop say one thing: no air
// without a foot vent, nor from one above where other waste comes past (IRC P3112.3, P3101.2.1).
func TestIslandSaysOneThing(t *testing.T) {
	job := func(foot string) string {
		return `
runs:
  main: {joins: outlet, role: building drain, size: 4, legs: [E 30']` + slope + `}
  lav: {joins: main, at: 3', arm: N 2', legs: [down 2']` + slope + `, fixture: lavatory}
  ks: {joins: main, at: 20', arm: S 1', legs: [down 3']` + slope + `, fixture: kitchen sink, island: true}
vents:
  lv: {from: lav, legs: [up 14'], ends: through roof}
  lp: {from: ks, legs: [up 2', E 1', down 5'], role: loop, ends: main, into at: 21'}
` + foot
	}
	for foot, want := range map[string]string{
		"": "not protected; as island vent it fails: lp is a loop without a foot vent to the open air: it ends in main, which carries other waste, and a pipe that carries waste is no vent",
		"  ft: {from: main, at: 22', legs: [up 14'], ends: through roof}\n": "protected by island vent lp, 1 ft of 6 ft",
		"  ft: {from: main, at: 21', legs: [up 14'], ends: through roof}\n": "protected by island vent lp, 1 ft of 6 ft",
		"  ft: {from: main, at: 22', legs: [up 14'], ends: capped}\n":       "not protected; as island vent it fails: lp is a loop without a foot vent to the open air: it ends in main, which carries other waste, and a pipe that carries waste is no vent",
		"  ft: {from: main, at: 22', legs: [up 14']}\n":                     "cannot tell; read as island vent lp, 1 ft of 6 ft",
	} {
		r := solve(t, "irc-2021", job(foot))
		said := 0
		for _, d := range r.Findings {
			if d.Rule == "island-vent-no-open-air" {
				said++
			}
		}
		for i := range r.Net.Fixtures {
			if r.Net.Runs[r.Net.Fixtures[i].Run].Name != "ks" {
				continue
			}
			got := r.Vents.Words(r.Net, network.FixID(i))
			if !strings.HasPrefix(got, want) {
				t.Errorf("%q: %s\nwant %s", foot, got, want)
			}
			if open := got[:9] != "protected"; open != (said == 1) || said > 1 {
				t.Errorf("%q: %s, and the loop is told of %d times", foot, got, said)
			}
		}
	}
}

// Foot vents that only lead into loops, this one or one another's, bring no air, and end the work.
func TestFootIntoLoop(t *testing.T) {
	for _, code := range []string{"irc-2021", "upc-2021"} {
		for _, vents := range []string{
			"  lp: {from: a, role: loop, legs: [up 1', E 1', down 5'], ends: br, into at: 4'}\n  ft: {from: br, at: 6', legs: [up 20'], ends: lp}\n",
			"  lp: {from: a, role: loop, legs: [up 1']}\n  ft: {from: a, at: lower end, legs: [up 20'], ends: lp}\n",
			"  lp: {from: a, legs: [up 1'], ends: br, into at: 4'}\n  ft: {from: br, at: 5', legs: [up 20'], ends: l2}\n  l2: {from: b, legs: [up 1'], ends: br, into at: 12'}\n  f2: {from: br, at: 13', legs: [up 2'], ends: lp}\n",
		} {
			r := solve(t, code, `
runs:
  br: {joins: outlet, legs: [E 20'], size: 2`+slope+`}
  a: {joins: br, at: 2', arm: S 1', legs: [down 3']`+slope+`, fixture: kitchen sink, island: true}
  b: {joins: br, at: 10', arm: S 1', legs: [down 3']`+slope+`, fixture: kitchen sink, island: true}
vents:
`+vents)
			for i := range r.Net.Fixtures {
				if w := r.Vents.Words(r.Net, network.FixID(i)); !strings.HasPrefix(w, "not protected") {
					t.Errorf("%s: %s%s", code, vents, w)
				}
			}
		}
	}
}
