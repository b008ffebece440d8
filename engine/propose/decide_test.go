package propose

import (
	"testing"

	"trapweir/engine/rules"
)

// A line for a person stands only beside rules that there are, and is one line.
func TestDecisionsAreOfRules(t *testing.T) {
	ids := map[string]bool{}
	for _, r := range rules.All {
		ids[r.ID] = true
	}
	for id, line := range decisions {
		if !ids[id] {
			t.Errorf("%s is no rule", id)
		}
		if line == "" || line[len(line)-1] == '.' {
			t.Errorf("%s: %q", id, line)
		}
	}
}
