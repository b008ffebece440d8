package rules

import (
	"embed"
	"strings"

	"trapweir/engine/check"
)

//go:embed examples
var exampleFiles embed.FS

// Example is one small job that shows what a rule does.
type Example struct {
	Outcome string `json:"outcome"` // "pass", "fail" or "unchecked"
	Says    string `json:"says"`
	Job     string `json:"job"`
}

// Find returns the rule with an id or an older id, nil for none.
func Find(id string) *check.Rule {
	for _, r := range All {
		if r.ID == id {
			return r
		}
		for _, a := range r.Alias {
			if a == id {
				return r
			}
		}
	}
	return nil
}

// Examples returns the examples of a rule, in file order; none when it has no file.
func Examples(id string) []Example {
	b, err := exampleFiles.ReadFile("examples/" + id + ".txtar")
	if err != nil {
		return nil
	}
	var out []Example
	for _, line := range strings.SplitAfter(string(b), "\n") {
		if head, ok := strings.CutPrefix(strings.TrimRight(line, "\r\n"), "-- "); ok && strings.HasSuffix(head, " --") {
			kind, says, _ := strings.Cut(strings.TrimSuffix(head, " --"), ":")
			out = append(out, Example{Outcome: strings.TrimSpace(kind), Says: strings.TrimSpace(says)})
			continue
		}
		if len(out) > 0 {
			out[len(out)-1].Job += line
		}
	}
	return out
}

// Preamble is what stands before the examples of a rule: what it looks at, in a sentence.
func Preamble(id string) string {
	b, err := exampleFiles.ReadFile("examples/" + id + ".txtar")
	if err != nil {
		return ""
	}
	head, _, _ := strings.Cut("\n"+string(b), "\n-- ")
	return strings.TrimSpace(head)
}

// ExampleFiles lists the files of examples.
func ExampleFiles() []string {
	entries, _ := exampleFiles.ReadDir("examples")
	out := make([]string, 0, len(entries))
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return out
}
