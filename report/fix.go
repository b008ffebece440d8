package report

import (
	"fmt"
	"io"
	"strings"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/propose"
	"trapweir/engine/unit"
)

// FixDoc is the list of proposals as JSON.
type FixDoc struct {
	Format  string           `json:"format"`
	Answers []propose.Answer `json:"answers"`
	Caution string           `json:"caution"`
}

// FixDocument wraps a set of proposals.
func FixDocument(s *propose.Set) FixDoc { return FixDoc{Format, s.Answers, Caution} }

// Fix prints, for every finding, the numbered ways that would cure it, the cheapest first.
// A way that cures several findings is told in full once and then by its number.
func Fix(w io.Writer, r *engine.Result, s *propose.Set) {
	heading(w, r)
	told := map[int]bool{}
	for i := range s.Answers {
		a := &s.Answers[i]
		wrapped(w, fmt.Sprintf("%s [%s]", a.Finding.Message, a.Finding.Rule), "", "  ")
		for k := range a.Proposals {
			p := &a.Proposals[k]
			head := fmt.Sprintf("  %2d  ", p.Number)
			if told[p.Number] {
				wrapped(w, "as above: "+p.ID, head, "      ")
				continue
			}
			told[p.Number] = true
			proposal(w, p, head, r.Job.Units)
		}
		for _, x := range a.Advice {
			wrapped(w, x, "   -  ", "      ")
		}
		if a.Untried > 0 {
			wrapped(w, fmt.Sprintf("%d more ways were not tried; name the run to try them", a.Untried), "   -  ", "      ")
		}
		if len(a.Proposals)+len(a.Advice) == 0 {
			text := "no one change was found that cures it without harm elsewhere"
			if a.Finding.Try != "" {
				text += "; " + a.Finding.Try
			}
			wrapped(w, text, "   -  ", "      ")
		}
		fmt.Fprintln(w)
	}
	switch {
	case len(s.Answers) == 0:
		fmt.Fprintln(w, "Nothing is found that could be cured.")
	case s.Count() > 0:
		fmt.Fprintln(w, "Each was tried on the job: it removes its finding and brings no new fault. Write one into")
		fmt.Fprintln(w, "the job with --apply NUMBER; see first what changes with --dry-run beside it.")
	}
	wrapped(w, Caution, "", "")
}

// proposal prints one in full.
func proposal(w io.Writer, p *propose.Proposal, head string, sys unit.System) {
	const in = "      "
	wrapped(w, p.Do, head, in)
	wrapped(w, costWords(p.Cost, sys), in+"takes    ", in+"         ")
	if len(p.Removes) > 1 {
		wrapped(w, marks(p.Removes[1:]), in+"cures    ", in+"         ")
	}
	if len(p.Leaves) > 0 {
		wrapped(w, marks(p.Leaves), in+"leaves   ", in+"         ")
	}
	for k, ask := range p.Asks {
		word := "asks     "
		if k > 0 {
			word = "         "
		}
		wrapped(w, ask, in+word, in+"         ")
	}
	if p.If {
		wrapped(w, "whether it cures hangs on the answer", in+"         ", in+"         ")
	}
	if p.Care != "" {
		wrapped(w, p.Care, in+"care     ", in+"         ")
	}
}

// marks names at most four findings and counts the rest.
func marks(ms []propose.Mark) string {
	const most = 4
	var parts []string
	for i, m := range ms {
		if i == most {
			parts = append(parts, fmt.Sprintf("%d more", len(ms)-most))
			break
		}
		parts = append(parts, m.String())
	}
	return strings.Join(parts, ", ")
}

// costWords tells what a proposal takes.
func costWords(c propose.Cost, sys unit.System) string {
	var parts []string
	round := unit.Length(unit.Foot)
	length := func(l unit.Length) string {
		if sys == unit.Metric {
			return l.Round(100 * unit.Millimetre).In(sys)
		}
		if l < round {
			return l.Round(unit.Inch).Inches()
		}
		return l.Round(round).String()
	}
	if c.Pipe > 0 {
		parts = append(parts, length(c.Pipe)+" more pipe")
	}
	switch {
	case c.Fittings == 1:
		parts = append(parts, "1 fitting")
	case c.Fittings > 1:
		parts = append(parts, fmt.Sprintf("%d fittings", c.Fittings))
	}
	if c.Enlarged > 0 {
		parts = append(parts, length(c.Enlarged)+" of pipe laid otherwise")
	}
	switch {
	case len(parts) == 0 && c.About:
		return "pipe of a length that is not known"
	case len(parts) == 0:
		return "no more pipe"
	case c.About:
		return "about " + strings.Join(parts, ", ")
	}
	return strings.Join(parts, ", ")
}

// wrapped prints text in lines of at most 100 characters, with one head before the first
// line and another before the others.
func wrapped(w io.Writer, text, first, others string) {
	for i, line := range wrapText(text, 100-len(first)) {
		if i == 0 {
			fmt.Fprintln(w, first+line)
			continue
		}
		fmt.Fprintln(w, others+line)
	}
}

// Fixed tells that a proposal was written into the job, and how the job stands then.
func Fixed(w io.Writer, file string, p *propose.Proposal, after *engine.Result) {
	wrapped(w, fmt.Sprintf("%s: %s", file, p.Do), "", "  ")
	left := diag.Count(after.Findings, diag.Error) + diag.Count(after.Findings, diag.Warning)
	switch left {
	case 0:
		fmt.Fprintln(w, "No fault is left that the program finds.")
	case 1:
		fmt.Fprintln(w, "One finding is left.")
	default:
		fmt.Fprintf(w, "%d findings are left.\n", left)
	}
	wrapped(w, Caution, "", "")
}
