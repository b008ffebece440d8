package rules_test

import (
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"trapweir/engine/rules"
)

// TestRuleListInDocs holds docs/rules.md against the rules: every id in it is a rule, and
// every number of loads, sizes, fall, fittings, cleanouts, traps, vents, ends, supports, protection,
// pumps and backwater stands in it once.
func TestRuleListInDocs(t *testing.T) {
	b, err := os.ReadFile("../../docs/rules.md")
	if err != nil {
		t.Fatal(err)
	}
	text := string(b)
	for _, m := range regexp.MustCompile("`([a-z0-9]+(?:-[a-z0-9]+)+)`").FindAllStringSubmatch(text, -1) {
		if rules.Find(m[1]) == nil {
			t.Errorf("docs/rules.md speaks of %s, which is no rule", m[1])
		}
	}
	var want []int
	for n := 1; n <= 34; n++ {
		want = append(want, n)
	}
	for n := 76; n <= 149; n++ {
		want = append(want, n)
	}
	for n := 175; n <= 183; n++ {
		want = append(want, n)
	}
	for n := 35; n <= 75; n++ {
		want = append(want, n)
	}
	for n := 150; n <= 155; n++ {
		want = append(want, n)
	}
	for n := 162; n <= 174; n++ {
		want = append(want, n)
	}
	for _, n := range want {
		if got := strings.Count(text, fmt.Sprintf("\n| R%03d |", n)); got != 1 {
			t.Errorf("docs/rules.md has %d rows for R%03d, want 1", got, n)
		}
	}
	for _, r := range rules.All {
		switch r.Family {
		case "sizes", "fall", "fittings", "cleanouts", "traps", "vents", "terminals", "supports", "room", "pumps":
			if r.ID != "standpipe-drain-under-2in" && !strings.Contains(text, "`"+r.ID+"`") {
				t.Errorf("docs/rules.md does not say what %s is for", r.ID)
			}
		}
	}
}
