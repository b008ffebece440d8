package report

import (
	"fmt"
	"io"
	"strings"

	"trapweir/engine"
	"trapweir/engine/check"
	"trapweir/engine/diag"
	"trapweir/engine/rules"
)

// RulePage is one rule with where each book prints it.
type RulePage struct {
	ID       string          `json:"id"`
	Alias    []string        `json:"alias,omitempty"`
	Family   string          `json:"family"`
	Says     string          `json:"says"`
	Why      string          `json:"why"`
	Try      string          `json:"try,omitempty"`
	Decided  string          `json:"decided"` // by which stage, or "by a check"
	Topic    string          `json:"topic,omitempty"`
	Printed  []diag.Cite     `json:"printed"`
	NotIn    []string        `json:"notIn,omitempty"` // books that have no such rule
	Examples []rules.Example `json:"examples,omitempty"`
}

// RuleList collects all rules.
func RuleList(d engine.Data) []RulePage {
	var out []RulePage
	for _, r := range rules.All {
		p := rulePage(d, r)
		p.Examples = nil
		out = append(out, p)
	}
	return out
}

// RuleDoc finds a rule by id or alias.
func RuleDoc(d engine.Data, id string) (RulePage, bool) {
	r := rules.Find(id)
	if r == nil {
		return RulePage{}, false
	}
	return rulePage(d, r), true
}

func rulePage(d engine.Data, r *check.Rule) RulePage {
	p := RulePage{ID: r.ID, Alias: r.Alias, Family: r.Family, Says: r.Doc, Why: r.Why, Try: r.Cure(""), Topic: r.Clause, Decided: "by a check", Printed: []diag.Cite{}, Examples: rules.Examples(r.ID)}
	if r.Stage != "" {
		p.Decided = "while working out " + r.Stage
	}
	if r.Clause == "" {
		return p
	}
	for _, id := range d.Books.IDs() {
		info, _ := d.Books.Info(id)
		if info.Kind != "model code" {
			continue
		}
		b, ds := d.Books.Book(id, nil)
		if diag.Count(ds, diag.Error) > 0 {
			continue
		}
		if c, ok := b.Clause(r.Clause); ok {
			p.Printed = append(p.Printed, c)
		} else {
			p.NotIn = append(p.NotIn, id)
		}
	}
	return p
}

// Rules prints the list of rules with the place under one book (the default when code is "").
func Rules(w io.Writer, d engine.Data, code string) {
	if code == "" {
		code = d.Default
	}
	b, ds := d.Books.Book(code, nil)
	if diag.Count(ds, diag.Error) > 0 {
		Faults(w, nil, ds)
		return
	}
	fmt.Fprintf(w, "Rules, with their place in %s (%s)\n\n", b.ID(), b.Title())
	t := newTable("Rule", "In print", "Says")
	family := ""
	for _, r := range rules.All {
		if r.Family != family {
			family = r.Family
			t.add(strings.ToUpper(family), "", "")
		}
		at := "good practice"
		if r.Clause != "" {
			at = "not in this book"
			if c, ok := b.Clause(r.Clause); ok {
				at = c.At
				if c.Memory {
					at += " ?"
				}
			}
		}
		t.add("  "+r.ID, at, r.Doc)
	}
	t.write(w)
	fmt.Fprintln(w, "\n?  place or value from memory. `trapweir rules ID` shows one with its examples; docs/rules.md says what is left to the eye on site.")
}

// Rule prints one rule; ok is false when there is none.
func Rule(w io.Writer, d engine.Data, id string) bool {
	p, ok := RuleDoc(d, id)
	if !ok {
		return false
	}
	fmt.Fprintf(w, "%s (%s)\n", p.ID, p.Family)
	row := func(word, text string) {
		if text == "" {
			return
		}
		for i, l := range wrapText(text, 84) {
			if i > 0 {
				word = ""
			}
			fmt.Fprintf(w, "  %-9s %s\n", word, l)
		}
	}
	row("says", p.Says)
	row("why", p.Why)
	row("try", p.Try)
	row("decided", p.Decided)
	row("also", strings.Join(p.Alias, ", "))
	for _, c := range p.Printed {
		s := c.Book + " " + c.At
		if c.Memory {
			s += " (from memory)"
		}
		if c.Conflict != "" {
			s += "; sources differ: " + c.Conflict
		}
		row("printed", s)
	}
	if len(p.NotIn) > 0 {
		row("not in", strings.Join(p.NotIn, ", "))
	}
	if p.Topic == "" {
		row("printed", "good practice; no code is cited")
	}
	for _, e := range p.Examples {
		fmt.Fprintf(w, "\n  %s: %s\n", e.Outcome, e.Says)
		for _, l := range strings.Split(strings.TrimRight(e.Job, "\n"), "\n") {
			fmt.Fprintf(w, "    %s\n", l)
		}
	}
	return true
}
