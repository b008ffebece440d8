// Package check runs rules over a solved job and keeps what they say: what is broken, what
// could not be looked at, and how much each rule looked at.
//
// A rule looks and reports. It does not print, sort, or know which book it is under: its
// numbers and its printed place come from the book, and a rule whose clause a book does
// not list is not part of that book.
package check

import (
	"cmp"
	"strings"

	"trapweir/engine/catalog"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/elevation"
	"trapweir/engine/fitting"
	"trapweir/engine/framing"
	"trapweir/engine/job"
	"trapweir/engine/load"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/source"
	"trapweir/engine/vent"
)

// Rule is one checkable statement.
type Rule struct {
	ID    string   // stable, in words; also the name of its file and of its examples
	Alias []string // older ids that still find it
	Doc   string   // what is true of a good job
	Why   string   // the harm that it guards against
	// Try is one change that would satisfy it. Words in braces stand for the limit of a
	// finding: "raise the valve to {what the book asks} or more".
	Try    string
	Family string // "sizes", "traps", "vents", "terminals", "fittings", "cleanouts", "fall", "room", "pumps", "advice", "questions"
	// Clause is the book's topic. Empty: good practice that no book prints; it runs under
	// every book and cites good practice.
	Clause string
	// Stage names the stage that decides the rule while it works; Run is then nil.
	Stage string
	Run   func(p *Pass)
}

// Cure is what would satisfy the rule, with the limit of one finding in it; with an empty
// limit it is told in words that hold for any.
func (r *Rule) Cure(limit string) string {
	before, rest, ok := strings.Cut(r.Try, "{")
	if !ok {
		return r.Try
	}
	words, after, _ := strings.Cut(rest, "}")
	return before + cmp.Or(limit, words) + after
}

// Tally counts what one rule did.
type Tally struct {
	Rule    string `json:"rule"`
	Looked  int    `json:"looked"`  // things that it judged
	Faults  int    `json:"faults"`  // errors and warnings
	Unknown int    `json:"unknown"` // things that it could not judge
	Skipped string `json:"skipped,omitempty"`
}

// Pass is what a rule sees.
type Pass struct {
	Job    *job.Job
	Net    *network.Net
	Loads  *load.Loads
	Sizes  *size.Sizes
	Vents  *vent.Vents
	Levels *elevation.Levels // heights; every height says whether it is known
	// Fittings are those that the job states and those that the geometry asks for.
	Fittings []fitting.Fitting
	Framing  *framing.Framing // what the pipe hangs from and goes through
	Book     *codebook.Book
	Cat      *catalog.Catalog

	rule  *Rule
	tally *Tally
	out   *[]diag.Diagnostic
}

// Looked says that the rule judged n things.
func (p *Pass) Looked(n int) { p.tally.Looked += n }

// Param is the book's named value.
func (p *Pass) Param(id string) codebook.Param { return p.Book.Param(id) }

// OnRun points at a run, at one of its segments.
func (p *Pass) OnRun(r network.RunID, s network.SegID) diag.Ref {
	return diag.Ref{What: diag.Run, Name: p.Net.Runs[r].Name, Segment: int32(s)}
}

// OnVent points at a vent.
func (p *Pass) OnVent(v network.VentID) diag.Ref {
	return diag.Ref{What: diag.Vent, Name: p.Net.Vents[v].Name, Segment: network.None}
}

// OnFixture points at a fixture, by the name of its run.
func (p *Pass) OnFixture(f network.FixID) diag.Ref {
	x := &p.Net.Fixtures[f]
	return diag.Ref{What: diag.Fixture, Name: p.Net.Runs[x.Run].Name, Segment: int32(x.Seg)}
}

// Say is what a rule reports, beyond where.
type Say struct {
	Message string
	Got     string
	Limit   string
	Try     string
	Ask     string
	// Cite replaces the clause's place (a param that a layer changed cites itself).
	Cite *diag.Cite
	// Rule replaces the id, for a rule that reports under several.
	Rule string
}

func (p *Pass) say(sev diag.Severity, on diag.Ref, at source.Span, s Say) {
	d := diag.Diagnostic{Severity: sev, Rule: p.rule.ID, On: on, At: p.line(on, at), Message: s.Message, Got: s.Got, Limit: s.Limit, Why: p.rule.Why, Try: s.Try, Ask: s.Ask}
	if s.Rule != "" {
		d.Rule = s.Rule
	}
	if d.Try == "" && sev != diag.Unchecked {
		d.Try = p.rule.Cure(s.Limit)
	}
	switch {
	case s.Cite != nil:
		d.Cites = []diag.Cite{*s.Cite}
	case p.rule.Clause != "":
		if c, ok := p.Book.Clause(p.rule.Clause); ok {
			d.Cites = []diag.Cite{c}
		}
	default:
		d.Cites = []diag.Cite{{Kind: "good practice"}}
	}
	*p.out = append(*p.out, d)
}

// line is where in the file a finding points: where the rule says, else at the thing that it
// is on, else at the title of the job.
func (p *Pass) line(on diag.Ref, at source.Span) source.Span {
	if !at.IsZero() {
		return at
	}
	if x, ok := p.Net.Find(on.Name); ok && x.Run != network.None {
		return p.Net.Runs[x.Run].Def.At
	} else if ok && x.Vent != network.None {
		return p.Net.Vents[x.Vent].Def.At
	}
	return p.Job.Title.At
}

// Fault reports a broken rule.
func (p *Pass) Fault(on diag.Ref, at source.Span, s Say) {
	p.tally.Faults++
	p.say(diag.Error, on, at, s)
}

// Warn reports what an authority must consent to, or where sources disagree.
func (p *Pass) Warn(on diag.Ref, at source.Span, s Say) {
	p.tally.Faults++
	p.say(diag.Warning, on, at, s)
}

// Unchecked reports that a fact is missing; s.Ask is the question.
func (p *Pass) Unchecked(on diag.Ref, at source.Span, s Say) {
	p.tally.Unknown++
	p.say(diag.Unchecked, on, at, s)
}

// Note gives advice: legal, worth saying.
func (p *Pass) Note(on diag.Ref, at source.Span, s Say) { p.say(diag.Info, on, at, s) }

// Run runs the rules in their order over what p holds.
func Run(p Pass, rules []*Rule) ([]diag.Diagnostic, []Tally) {
	var out []diag.Diagnostic
	tallies := make([]Tally, 0, len(rules))
	for _, r := range rules {
		t := Tally{Rule: r.ID}
		if r.Clause != "" {
			if _, ok := p.Book.Clause(r.Clause); !ok {
				t.Skipped = "not part of this book"
				tallies = append(tallies, t)
				continue
			}
		}
		if r.Run == nil {
			t.Skipped = "decided while working out " + r.Stage
			tallies = append(tallies, t)
			continue
		}
		q := p
		q.rule, q.tally, q.out = r, &t, &out
		r.Run(&q)
		tallies = append(tallies, t)
	}
	return out, tallies
}
