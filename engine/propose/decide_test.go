package propose_test

import (
	"testing"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/propose"
	"trapweir/engine/rules"
	"trapweir/shelf"
)

// A line for a person stands only beside rules that there are, and is one line.
func TestDecisionsAreOfRules(t *testing.T) {
	ids := map[string]bool{}
	for _, r := range rules.All {
		ids[r.ID] = true
	}
	for id, line := range propose.Decisions {
		if !ids[id] {
			t.Errorf("%s is no rule", id)
		}
		if line == "" || line[len(line)-1] == '.' {
			t.Errorf("%s: %q", id, line)
		}
	}
}

// Whatever the failing examples of the rules find has something to decide where nothing cures
// it: a line here, or what the finding or its rule says to try.
func TestDecisionsOfFindings(t *testing.T) {
	d, ds := shelf.All()
	if diag.Count(ds, diag.Error) > 0 {
		t.Fatal(ds)
	}
	said := map[string]bool{}
	for _, r := range rules.All {
		for _, x := range rules.Examples(r.ID) {
			if x.Outcome != "fail" {
				continue
			}
			for _, f := range engine.Run(d, engine.Input{Name: r.ID + ".dwv.yaml", Text: []byte(x.Job)}).Findings {
				of := rules.Find(f.Rule)
				if f.Severity > diag.Warning || said[f.Rule] || propose.Decisions[f.Rule] != "" || f.Try != "" || of != nil && of.Try != "" {
					continue
				}
				said[f.Rule] = true
				t.Errorf("%s: nothing is said to decide: %s", f.Rule, f.Message)
			}
		}
	}
}
