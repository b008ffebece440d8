package rules_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"trapweir/engine"
	"trapweir/engine/rules"
)

// way is a direction in plan where the job writes one: a leg, an arm, a leg down to a side.
var way = regexp.MustCompile(`([^-\w])(N|S|E|W|NE|NW|SE|SW)( [0-9]|,|\]|\})`)

// turn rewrites the directions of a job.
func turn(job string, to map[string]string) string {
	if to["N"] == "E" || to["N"] == "W" { // joists lie the other way in a house that is turned so
		job = strings.NewReplacer("joist direction: E-W", "joist direction: N-S", "joist direction: N-S", "joist direction: E-W").Replace(job)
	}
	return way.ReplaceAllStringFunc(job, func(s string) string {
		m := way.FindStringSubmatch(s)
		return m[1] + to[m[2]] + m[3]
	})
}

// A house that is turned, or built as its mirror image, has the same findings: nothing in
// fall, fittings, cleanouts, room or supports hangs on which way is north, or on the hand.
func TestTurnedAndMirrored(t *testing.T) {
	quarter := map[string]string{"N": "E", "E": "S", "S": "W", "W": "N", "NE": "SE", "SE": "SW", "SW": "NW", "NW": "NE"}
	mirror := map[string]string{"N": "N", "E": "W", "S": "S", "W": "E", "NE": "NW", "SE": "SW", "SW": "SE", "NW": "NE"}
	d := load(t)
	findings := func(job string) []string {
		r := engine.Run(d, engine.Input{Name: "t.dwv.yaml", Text: []byte(job)})
		var out []string
		for _, f := range r.Findings {
			out = append(out, f.Severity.String()+" "+f.Rule+": "+f.Message+" / "+f.Limit)
		}
		slices.Sort(out)
		return out
	}
	tried, moved := 0, 0
	for _, r := range rules.All {
		switch r.Family {
		case "fall", "fittings", "cleanouts", "room", "supports", "advice":
		default:
			continue
		}
		for _, x := range rules.Examples(r.ID) {
			want := findings(x.Job)
			tried++
			for name, to := range map[string]map[string]string{"turned": quarter, "mirrored": mirror} {
				job := turn(x.Job, to)
				if job != x.Job {
					moved++
				}
				if got := findings(job); !slices.Equal(got, want) {
					t.Errorf("%s, %s, %s:\n%q\nas it stands:\n%q", r.ID, x.Says, name, got, want)
				}
			}
		}
	}
	if tried < 100 || moved < tried {
		t.Errorf("only %d examples, %d of them moved", tried, moved)
	}
}
