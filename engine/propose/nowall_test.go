package propose_test

import (
	"testing"

	"trapweir/engine/diag"
	"trapweir/engine/job"
)

// newVents are the vents that a job's proposals add off a run, with where each ends.
func newVents(t *testing.T, text, run string) (ends []string, findings int) {
	t.Helper()
	set, r := find(t, shelves(t), sample{name: "job", text: []byte(text)})
	for i := range set.Answers {
		for k := range set.Answers[i].Proposals {
			for _, e := range set.Answers[i].Proposals[k].Edits {
				if e.Op != job.OpAdd || e.Path[0] != "vents" || e.Fields[0].Value != run {
					continue
				}
				loop := false
				end := ""
				for _, f := range e.Fields {
					loop = loop || f.Key == "role" && f.Value == "loop" || f.Key == "legs" && len(f.List) > 2
					if f.Key == "ends" {
						end = f.Value
					}
				}
				if !loop {
					ends = append(ends, end)
				}
			}
		}
	}
	return ends, diag.Count(r.Findings, diag.Error)
}

// No wall stands at an island in which its vent could rise (UPC 2021 909.1): alone, with the
// other traps of the room or out of a vent that it drained into, it is offered no vent up a wall.
func TestIslandHasNoWall(t *testing.T) {
	for name, text := range map[string]string{
		"with another trap": `job: an island without air (invented)
code: upc-2021
levels: {first: {floor: 0'}}
outlet: {to: public sewer}
runs:
  main: {joins: outlet, legs: [E 30'], slope: 1/4" per ft, place: under slab, cleanouts: [upper end]}
  sink: {joins: main, at: 10', legs: [down 3', S 6'], fixture: kitchen sink, island: true, level: first}
  lav: {joins: main, at: 20', legs: [down 3', S 3'], fixture: lavatory, level: first}
`,
		"into a vent": `job: an island that drains into a vent (invented)
code: upc-2021
levels: {first: {floor: 0'}}
outlet: {to: public sewer}
runs:
  main: {joins: outlet, legs: [E 30'], slope: 1/4" per ft, cleanouts: [upper end]}
  lav: {joins: main, at: 20', legs: [down 3', S 3'], fixture: lavatory, level: first}
  sink: {joins: lav vent, at: 1', legs: [S 6'], fixture: kitchen sink, island: true, level: first}
vents:
  lav vent: {from: lav, at: upper end, legs: [up 12'], ends: through roof}
`,
	} {
		ends, n := newVents(t, text, "sink")
		if n == 0 {
			t.Errorf("%s: nothing is found", name)
		}
		for _, e := range ends {
			if e == "through roof" || e == "lav vent" {
				t.Errorf("%s: the island has a vent up a wall that ends %s", name, e)
			}
		}
	}
}

// A stack that stands at the upper end of the house drain goes on up to the air; the drain at
// its foot does not (common practice).
func TestStackGoesOnUp(t *testing.T) {
	ends, n := newVents(t, `job: a stack without air (invented)
code: ipc-2021
levels: {first: {floor: 0'}, second: {floor: 9'}}
outlet: {to: public sewer}
runs:
  main: {joins: outlet, legs: [E 30'], slope: 1/4" per ft, cleanouts: [upper end]}
  stack: {joins: main, at: upper end, legs: [down 20'], size: 3}
  sink up: {joins: stack, at: 1', legs: [E 4'], fixture: kitchen sink, level: second}
  drain: {joins: main, at: 3', legs: [N 4'], fixture: floor drain, level: first}
vents:
  sv: {from: stack, legs: [up 10'], ends: capped}
`, "main")
	if n == 0 || len(ends) > 0 {
		t.Errorf("%d findings; main has new vents that end %q", n, ends)
	}
}
