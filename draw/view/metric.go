package view

import (
	"regexp"
	"strings"

	"trapweir/engine/unit"
)

// Sentences of findings and reasons tell lengths in feet and falls in inches per foot, as
// the books do. On the sheets of a metric job they are read in millimetres and per cent.
// Nominal sizes stay, and so does what stands in backticks to be written into the job.
var (
	fallWords = regexp.MustCompile(`~?-?([0-9]+-)?[0-9]+(/[0-9]+)? in per ft( \(([0-9.]+ %), [^)]*\))?`)
	feetWords = regexp.MustCompile(`~?[0-9]+ ft( [0-9]+(-[0-9]+/[0-9]+|/[0-9]+)? in)?`)
)

// inSystem is a sentence as a job of that system reads it.
func inSystem(text string, sys unit.System) string {
	if sys != unit.Metric || !strings.Contains(text, " ft") {
		return text
	}
	parts := strings.Split(text, "`")
	for i := 0; i < len(parts); i += 2 {
		s := fallWords.ReplaceAllStringFunc(parts[i], func(w string) string {
			if m := fallWords.FindStringSubmatch(w); m[4] != "" {
				return m[4]
			}
			f, err := unit.ParseSlope(strings.TrimPrefix(w, "~"))
			if err != nil {
				return w
			}
			return f.Percent()
		})
		parts[i] = feetWords.ReplaceAllStringFunc(s, func(w string) string {
			l, err := unit.ParseLength(strings.TrimPrefix(w, "~"))
			if err != nil {
				return w
			}
			return lengthWords(l, sys)
		})
	}
	return strings.Join(parts, "`")
}

// in gives the table as a job of that system reads it.
func (t *table) in(sys unit.System) *table {
	for _, r := range t.rows {
		for i := range r {
			r[i] = inSystem(r[i], sys)
		}
	}
	return t
}
