package report

import (
	"fmt"
	"io"
	"strconv"
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
	Effort  propose.Effort   `json:"effort"`
	Caution string           `json:"caution"`
}

// FixDocument wraps a set of proposals.
func FixDocument(s *propose.Set) FixDoc { return FixDoc{Format, s.Answers, s.Effort, Caution} }

// Fix prints, for every finding, the numbered ways that would cure it, the cheapest first.
// A way that cures several findings is told in full once and then by its number.
func Fix(w io.Writer, r *engine.Result, s *propose.Set) {
	heading(w, r)
	list := fixList{w: w, sys: r.Job.Units, asked: map[string]int{}, told: map[int]bool{}}
	untried := 0
	for i := 0; i < len(s.Answers); {
		k := alike(s.Answers[i:])
		list.answer(&s.Answers[i], s.Answers[i+1:i+k])
		i += k
	}
	for i := range s.Answers {
		if s.Answers[i].Untried > 0 {
			untried++
		}
	}
	if untried > 0 {
		wrapped(w, fmt.Sprintf("Not all was tried: a job of this size gets %d tries, and for %s some ways were left out. `trapweir fix JOB RUN` spends them all on one run.",
			s.Most, count(untried, "finding")), "", "")
	}
	switch {
	case len(s.Answers) == 0:
		fmt.Fprintln(w, "Nothing is found that could be cured.")
	case s.Count() > 0:
		wrapped(w, "Each was tried on the job: it removes its finding and brings no new fault. Write one into the job with --apply NUMBER; see first what changes with --dry-run beside it.", "", "")
		wrapped(w, effortWords(s.Effort, r.Job.Units), "", "")
	}
	wrapped(w, Caution, "", "")
}

// fixList prints a list of proposals and keeps what it has told already.
type fixList struct {
	w     io.Writer
	sys   unit.System
	told  map[int]bool   // proposals
	asked map[string]int // questions, and the proposal that told them
}

const fixIndent = "      "

// alike is how many answers, the first among them, are told as one: those of one rule that
// have nothing but the same thing to decide.
func alike(as []propose.Answer) int {
	a := &as[0]
	if len(a.Proposals)+len(a.Advice) > 0 {
		return 1
	}
	n := 1
	for n < len(as) && len(as[n].Proposals)+len(as[n].Advice) == 0 && as[n].Finding.Rule == a.Finding.Rule && as[n].Decide == a.Decide {
		n++
	}
	if n < 4 {
		return 1
	}
	return n
}

// answer prints one, and names others that have the same.
func (l *fixList) answer(a *propose.Answer, same []propose.Answer) {
	w := l.w
	head := ""
	if at := a.Finding.At; at.Line > 0 {
		head = fmt.Sprintf("line %d: ", at.Line)
	}
	wrapped(w, fmt.Sprintf("%s%s [%s]", head, a.Finding.Message, a.Finding.Rule), "", "  ")
	for k := 0; k < len(a.Proposals); k++ {
		p := &a.Proposals[k]
		head := fmt.Sprintf("  %2d  ", p.Number)
		if l.told[p.Number] {
			again := []string{strconv.Itoa(p.Number)}
			for k+1 < len(a.Proposals) && l.told[a.Proposals[k+1].Number] {
				k++
				again = append(again, strconv.Itoa(a.Proposals[k].Number))
			}
			if len(again) == 1 {
				wrapped(w, "as above"+shortOnly(": "+p.Do), head, fixIndent)
			} else {
				wrapped(w, "as above, in this order: "+strings.Join(again, ", "), "   -  ", fixIndent)
			}
			continue
		}
		l.told[p.Number] = true
		l.proposal(p, head, a.Finding.On.Name)
	}
	for _, x := range a.Advice {
		wrapped(w, x, "   -  ", fixIndent)
	}
	for _, t := range a.Tried {
		wrapped(w, "tried and not offered: "+t.Do+"; "+t.But, "   -  ", fixIndent)
	}
	if a.Untried > 0 {
		wrapped(w, count(a.Untried, "more way")+" not tried; name the run to try more", "   -  ", fixIndent)
	}
	if a.Decide != "" {
		wrapped(w, a.Decide, "   -  ", fixIndent)
	}
	if len(same) > 0 {
		var names []string
		for i := range same {
			names = append(names, same[i].Finding.On.Name)
		}
		wrapped(w, "the same of "+someOf(names, 8), "   -  ", fixIndent)
	}
	fmt.Fprintln(w)
}

// shortOnly is text that takes no more than about a line: what is longer stands above.
func shortOnly(s string) string {
	if len(s) > 120 {
		return ""
	}
	return s
}

// row prints one thing that is said of a proposal under its word.
func (l *fixList) row(word, text string) {
	if text != "" {
		wrapped(l.w, text, fmt.Sprintf("%s%-8s ", fixIndent, word), fixIndent+"         ")
	}
}

// proposal prints one in full; about is the thing that its finding is about.
func (l *fixList) proposal(p *propose.Proposal, head, about string) {
	wrapped(l.w, p.Do, head, fixIndent)
	l.row("costs", CostWords(p.Cost, l.sys)+weighs(p, l.sys))
	for k, g := range p.Grounds {
		word := "meets"
		if k > 0 {
			word = ""
		}
		l.row(word, GroundWords(&g))
	}
	l.row("changes", ChangeWords(p.Changes))
	if len(p.Removes) > 1 {
		l.row("cures", "also "+marks(p.Removes[1:]))
	}
	l.row("leaves", leaves(p.Leaves, about))
	l.asks(p)
	if p.If {
		l.row("", "whether it cures hangs on the answer")
	}
	l.row("reserve", p.Reserve)
	l.row("care", p.Care)
}

// mostAsks is how many questions of one proposal are told in full.
const mostAsks = 8

// asks prints each question once in full, and then names the proposal that has it.
func (l *fixList) asks(p *propose.Proposal) {
	word, again, where, fresh := "asks", 0, 0, 0
	for _, ask := range p.Asks {
		if n := l.asked[ask]; n > 0 {
			again++
			where = n
			continue
		}
		if fresh++; fresh > mostAsks {
			continue
		}
		l.asked[ask] = p.Number
		l.row(word, ask)
		word = ""
	}
	if n := fresh - mostAsks; n > 0 {
		l.row(word, count(n, "question")+" more, which check lists once it is written")
	}
	switch {
	case again == 1:
		l.row(word, fmt.Sprintf("a question of proposal %d", where))
	case again > 1:
		l.row(word, fmt.Sprintf("%d questions that are told above, the last at proposal %d", again, where))
	}
}

// weighs tells as how much pipe a proposal counts in the order.
func weighs(p *propose.Proposal, sys unit.System) string {
	if p.Weighs <= 0 || p.Weighs == p.Cost.Pipe {
		return ""
	}
	return " (counts as " + roughly(p.Weighs, sys) + " of pipe)"
}

// GroundWords tells why a proposal is legal, with where it is printed.
func GroundWords(g *propose.Ground) string {
	at := printedAt(&g.Cite)
	if g.Cite.Book != "" {
		at = g.Cite.Book + " " + at
	}
	if g.Says == "" {
		return at
	}
	return g.Says + " [" + at + "]"
}

// printedAt is the section of one citation, or that none is known.
func printedAt(c *diag.Cite) string {
	switch {
	case c.At == "" && c.Kind == "good practice":
		return "good practice, no code is cited"
	case c.At == "":
		return "no section is confirmed"
	case c.Memory:
		return c.At + ", from memory"
	}
	return c.At
}

// ChangeWords names what else becomes another size, at most six of it.
func ChangeWords(cs []propose.Change) string {
	var parts []string
	for _, c := range cs {
		parts = append(parts, c.Name+": "+c.To+" (was "+c.From+")")
	}
	return someOf(parts, 6)
}

// someOf names at most so many things and counts the rest.
func someOf(list []string, most int) string {
	if n := len(list) - most; n > 0 {
		list = append(list[:most:most], fmt.Sprintf("%d more", n))
	}
	return strings.Join(list, ", ")
}

// leaves names what stays on the same thing and counts the rest.
func leaves(ms []propose.Mark, about string) string {
	var here []propose.Mark
	for _, m := range ms {
		if m.Name == about && about != "" {
			here = append(here, m)
		}
	}
	rest := len(ms) - len(here)
	s := marks(here)
	switch {
	case rest > 0 && s != "":
		return s + ", and " + count(rest, "finding") + " elsewhere"
	case rest > 0:
		return count(rest, "finding") + " elsewhere"
	}
	return s
}

// marks names at most four findings and counts the rest.
func marks(ms []propose.Mark) string {
	var parts []string
	for _, m := range ms {
		parts = append(parts, m.String())
	}
	return someOf(parts, 4)
}

// roughly gives a length for a cost: whole feet, or decimetres; what is under one in inches, or
// centimetres, and never nothing where there is something.
func roughly(l unit.Length, sys unit.System) string {
	if l == 0 {
		return l.In(sys)
	}
	if sys == unit.Metric {
		step := 100 * unit.Millimetre
		if l < step {
			step = 10 * unit.Millimetre
		}
		return max(step, l.Round(step)).In(sys)
	}
	if l < unit.Foot {
		return max(unit.Inch, l.Round(unit.Inch)).Inches()
	}
	return l.Round(unit.Foot).String()
}

// CostWords tells what a proposal takes.
func CostWords(c propose.Cost, sys unit.System) string {
	var parts []string
	some := func(n int, one, many string) {
		switch {
		case n == 1:
			parts = append(parts, one)
		case n > 1:
			parts = append(parts, fmt.Sprintf("%d %s", n, many))
		}
	}
	if c.Pipe > 0 {
		s := roughly(c.Pipe, sys) + " of "
		if c.Size > 0 {
			s += c.Size.String() + " pipe"
		} else {
			s += "pipe"
		}
		parts = append(parts, s)
	}
	some(c.Fittings, "1 fitting", "fittings")
	some(c.Roof, "one roof opening", "roof openings")
	some(c.Walls, "one wall opened", "walls opened")
	some(c.Valves, "one air admittance valve", "air admittance valves")
	some(c.Moves, "a fixture or wall set anew", "fixtures or walls set anew")
	added := len(parts) > 0
	if c.Enlarged > 0 {
		parts = append(parts, roughly(c.Enlarged, sys)+" of pipe laid otherwise")
	}
	text := strings.Join(parts, ", ")
	switch {
	case text == "" && c.About:
		return "pipe of a length that is not known"
	case text == "":
		return "no more pipe"
	case added && c.About && c.Pipe > 0:
		return "adds about " + text
	case added:
		return "adds " + text
	}
	return text
}

// effortWords tells how the order came about.
func effortWords(e propose.Effort, sys unit.System) string {
	say := func(l unit.Length) string { return roughly(l, sys) }
	return fmt.Sprintf("In order of what they take, counted as pipe: a fitting as %s, a wall opened as %s, a roof opening as %s, a fixture or wall set anew as %s, an air admittance valve as %s, pipe laid otherwise as %d %% of its length. That is shop practice and no price; --effort FILE takes your own.",
		say(e.Fitting), say(e.Wall), say(e.Roof), say(e.Move), say(e.Valve), e.Enlarged)
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
	if s := ChangeWords(p.Changes); s != "" {
		wrapped(w, "changes "+s, "  ", "  ")
	}
	left := diag.Count(after.Findings, diag.Error) + diag.Count(after.Findings, diag.Warning)
	switch left {
	case 0:
		fmt.Fprintln(w, "No fault is left that the program finds.")
	case 1:
		fmt.Fprintln(w, "One finding is left.")
	default:
		fmt.Fprintf(w, "%d findings are left.\n", left)
	}
	for _, ask := range p.Asks {
		wrapped(w, "asks  "+ask, "  ", "        ")
	}
	wrapped(w, Caution, "", "")
}
