package view_test

import (
	"strings"
	"testing"

	"trapweir/draw/view"
	"trapweir/report"
)

// The permit set carries every site check that the job has cause for, and no other: a house
// without a valve has none of a valve.
func TestSheetsCarryTheSiteChecks(t *testing.T) {
	r := example(t, "alder-court")
	for _, paper := range []string{"letter", "arch-d"} {
		all := strings.Join(words(view.Sheets(r, view.Options{Paper: paper})...), " ")
		items := report.SiteChecks(r)
		if len(items) < 5 {
			t.Fatalf("only %d checks", len(items))
		}
		for i := range items {
			if s := report.SiteWords(&items[i]); !strings.Contains(all, s) {
				t.Errorf("%s: the set does not say %q", paper, s)
			}
		}
		if strings.Contains(all, "pressure test, not before") {
			t.Errorf("%s: valves are asked for in a house without one", paper)
		}
	}
}
