package propose_test

import (
	"strings"
	"testing"

	"trapweir/engine/diag"
	"trapweir/engine/job"
)

const valved = `job: a basement bath behind a valve (invented)
code: irc-2021
levels:
  basement: {floor: -9'}
  first: {floor: 0'}
site: {manhole rim: -2'}
outlet: {to: house drain}
runs:
  main: {joins: outlet, legs: [E 20'], slope: 1/4" per ft, size: 4, role: building drain}
  low: {joins: main, at: 4', devices: [backwater valve], legs: [S 10'], slope: 1/4" per ft, size: 3, cleanouts: [upper end]}   # the cellar
  shower: {joins: low, fixture: shower, rim: 4", level: basement, vented: elsewhere}
  lav: {joins: low, at: 6', fixture: lavatory, rim: 30", level: first, vented: elsewhere}   # upstairs
`

// What lies over the manhole is led past the valve, or the valve goes to what lies under it
// (IRC P3008.1: only fixtures under the manhole drain through it).
func TestBackwaterBypass(t *testing.T) {
	p := want(t, valved, "backwater-bypass", "past-valve/lav")
	j, ds := job.Read("", p.Text())
	if diag.Count(ds, diag.Error) > 0 {
		t.Fatal(ds)
	}
	for _, r := range j.Runs {
		if r.Name == "lav" && r.Joins.Text != "main" {
			t.Errorf("lav joins %s", r.Joins.Text)
		}
	}
	for _, comment := range []string{"# the cellar", "# upstairs"} {
		if !strings.Contains(string(p.Text()), comment) {
			t.Errorf("the comment %s is lost", comment)
		}
	}
	p = want(t, valved, "backwater-bypass", "valve-upstream/low")
	if j, _ = job.Read("", p.Text()); len(j.Runs[1].Devices) != 0 || len(j.Runs[2].Devices) != 1 {
		t.Errorf("low has %v and shower has %v", j.Runs[1].Devices, j.Runs[2].Devices)
	}
}

// The valve goes as far down the line as only low fixtures drain through it.
func TestBackwaterValve(t *testing.T) {
	text := strings.Replace(valved, "devices: [backwater valve], ", "", 1)
	want(t, text, "ask-backwater", "backwater-valve/shower")
	text = strings.Replace(text, "  lav: {joins: low, at: 6',", "  lav: {joins: main, at: 8',", 1)
	want(t, text, "ask-backwater", "backwater-valve/low")
}

// A fixture with a trap of its own after a proposal drains through its own arm, and the trap
// that it left serves one fixture less (IRC P3201.6: three of a kind at most).
func TestOwnTrap(t *testing.T) {
	text := `job: four lavatories (invented)
code: irc-2021
outlet: {to: house drain}
runs:
  main: {joins: outlet, legs: [E 20'], slope: 1/4" per ft, size: 3, cleanouts: [upper end]}
  lav: {joins: main, arm: S 3', legs: [down 4'], slope: 1/4" per ft, size: 2, fixture: lavatory, serves: [lavatory, lavatory, lavatory, lavatory], apart: 20"}
vents:
  v: {from: lav, legs: [up 12'], ends: through roof}
`
	p := want(t, text, "shared-trap-too-many", "own-trap/lav")
	j, ds := job.Read("", p.Text())
	if diag.Count(ds, diag.Error) > 0 {
		t.Fatal(ds)
	}
	if len(j.Runs) != 3 || len(j.Runs[1].Fixture.Serves) != 3 || j.Runs[2].Fixture.Kind.Text != "lavatory" {
		t.Errorf("%d runs, %d fixtures on the trap:\n%s", len(j.Runs), len(j.Runs[1].Fixture.Serves), p.Text())
	}
}

// Every word that tells how legal, how dear and how doubtful a proposal is stands on it.
func TestWhatAProposalTells(t *testing.T) {
	p := want(t, tub, "unvented-fixture", "vent-through-roof/tub")
	if len(p.Grounds) != 1 || p.Grounds[0].Cite.At != "P3106.1" || !strings.Contains(p.Grounds[0].Says, "individual vent") {
		t.Errorf("grounds %+v, want an individual vent by P3106.1", p.Grounds)
	}
	if p.Cost.Roof != 1 || p.Cost.Walls != 1 || p.Cost.Size == 0 || p.Reserve != "" || p.Weighs != effort.Weight(p.Cost) {
		t.Errorf("cost %+v, counts as %s, reserve %q", p.Cost, p.Weighs, p.Reserve)
	}
	p = want(t, tub, "unvented-fixture", "air-admittance-valve/tub")
	if p.Cost.Valves != 1 || !strings.Contains(p.Reserve, "reach") || len(p.Grounds) != 2 || p.Grounds[1].Cite.At != "P3114.3" {
		t.Errorf("cost %+v, reserve %q, grounds %+v", p.Cost, p.Reserve, p.Grounds)
	}
	small := `job: a kitchen on old pipe (invented)
code: irc-2021
outlet: {to: house drain}
runs:
  d: {joins: outlet, size: 1-1/2, role: branch, legs: [E 6'], slope: 1/4" per ft, carries: {units: 9}}
`
	p = want(t, small, "branch-overloaded", "larger-pipe/d")
	if len(p.Changes) != 1 || p.Changes[0].Name != "d" || p.Changes[0].From != "1-1/2 in" {
		t.Errorf("changes %+v", p.Changes)
	}
}

// Where no change cures a finding, what a person must decide is said in one line.
func TestDecide(t *testing.T) {
	text := `job: a drain that comes out of the ground (invented)
levels:
  first: {grade: 0'}
outlet: {to: public sewer, invert: -6"}
runs:
  d: {joins: outlet, size: 4, legs: [E 40'], slope: 1/8" per ft, place: outside, level: first, carries: {units: 4}}
`
	set, _ := find(t, shelves(t), sample{name: "job", text: []byte(text)})
	said := 0
	for i := range set.Answers {
		if a := &set.Answers[i]; a.Finding.Rule == "cover-conflict" && len(a.Proposals) == 0 {
			said++
			if !strings.HasPrefix(a.Decide, "no change to the file was found") || !strings.Contains(a.Decide, "connection") || strings.Contains(a.Decide, "\n") {
				t.Errorf("to decide: %q", a.Decide)
			}
		}
	}
	if said == 0 {
		t.Error("nothing is found, or it is cured")
	}
}

// A metric job is told slopes in percent to two places, of which 1/48 and 1/96 are none: what is
// written is the whole of it. 2 in pipe at 1/4 in per ft: IRC 2021 P3005.3.
func TestSlopeOfAMetricJob(t *testing.T) {
	text := `job: a flat branch (invented)
code: irc-2021
units: metric
outlet: {to: house drain}
runs:
  d: {joins: outlet, size: 4, role: building drain, legs: [E 6 m], slope: 1:96, cleanouts: [upper end]}
  k: {joins: d, at: 600 mm, size: 2, arm: N 600 mm, legs: [down 600 mm, N 300 mm], slope: 1:100, fixture: kitchen sink}
vents:
  v: {from: k, size: 1-1/2, legs: [up 4 m], ends: through roof}
`
	p := want(t, text, "slope-too-flat", "steeper/k")
	if p.Do != "lay k at 1:48" || !strings.Contains(string(p.Text()), "slope: 1:48, fixture") {
		t.Errorf("%s:\n%s", p.Do, p.Text())
	}
}
