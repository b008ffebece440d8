package cases

import (
	"fmt"
	"strings"

	"trapweir/engine/diag"
	"trapweir/engine/unit"
)

// Kind is what an entry of a case asks for.
type Kind uint8

const (
	Found   Kind = iota // a finding that must be there
	Silence             // a rule that must keep silent
	Sized               // a size, a trap or a sum of units
	Asked               // a question
	Invert              // an invert
	kinds
)

// Outcome is one entry of a case and how it came out.
type Outcome struct {
	Kind Kind
	Say  string // the entry in words
	OK   bool
	// Ran is false when no variant of the entry gave a result: silence then means nothing.
	Ran bool
	Why string // when not OK, or worth knowing
}

// Report is a case with its outcomes.
type Report struct {
	ID       string
	Outcomes []Outcome
	Failed   map[string]string // variant -> why it gave no result
	Also     []string          // errors and warnings of the job as written that no entry speaks of
}

// Check runs every variant that a case names and compares. run is usually Run.
func (s *Suite) Check(c *Case, run Runner) Report {
	rep := Report{ID: c.ID, Failed: map[string]string{}}
	results := map[string]*Result{}
	for _, name := range c.Used() {
		text, err := s.Text(c, name)
		var res *Result
		if err == nil {
			res, err = run(Input{Name: c.ID + ", " + name, Text: text, Layers: s.Layers})
		}
		if err == nil {
			err = unread(res)
		}
		if err != nil {
			rep.Failed[name] = err.Error()
			continue
		}
		results[name] = res
	}
	for _, e := range c.Find {
		rep.Outcomes = append(rep.Outcomes, s.all(Found, e, results, func(r *Result) (bool, string) { return s.found(e, r) }))
	}
	for _, e := range c.Clear {
		rep.Outcomes = append(rep.Outcomes, s.all(Silence, e, results, func(r *Result) (bool, string) { return s.silent(e, r) }))
	}
	rep.Outcomes = append(rep.Outcomes, sizes("", c.Sizes, c.Used(), results, func(r *Result) map[string]int64 { return nm(r.Sizes) }, inches)...)
	rep.Outcomes = append(rep.Outcomes, sizes("trap of ", c.Traps, c.Used(), results, func(r *Result) map[string]int64 { return nm(r.Traps) }, inches)...)
	rep.Outcomes = append(rep.Outcomes, sizes("units of ", c.Units, c.Used(), results, hundredths, hundred)...)
	for _, e := range c.Ask {
		rep.Outcomes = append(rep.Outcomes, s.all(Asked, e, results, func(r *Result) (bool, string) { return asked(e, r) }))
	}
	for _, e := range c.Inverts {
		rep.Outcomes = append(rep.Outcomes, s.all(Invert, e, results, func(r *Result) (bool, string) { return invert(e, r) }))
	}
	if r := results[AsWritten]; r != nil {
		rep.Also = s.also(c, r)
	}
	if c.Only {
		o := Outcome{Kind: Silence, Say: "nothing else is wrong", OK: len(rep.Also) == 0, Ran: results[AsWritten] != nil, Why: strings.Join(rep.Also, "; ")}
		rep.Outcomes = append(rep.Outcomes, o)
	}
	return rep
}

// unread says whether the job could not be read or joined: nothing else then counts.
func unread(r *Result) error {
	if r == nil {
		return fmt.Errorf("no result")
	}
	for i := range r.Findings {
		if d := &r.Findings[i]; d.Rule == "job-file" && d.Severity == diag.Error {
			return fmt.Errorf("%s: %s", d.At, d.Message)
		}
	}
	return nil
}

// all holds an entry against each of its variants; it is right when all of them are.
func (s *Suite) all(k Kind, e *Expect, results map[string]*Result, test func(*Result) (bool, string)) Outcome {
	o := Outcome{Kind: k, Say: e.String(), OK: true, Ran: true}
	var why []string
	for _, name := range e.in() {
		in := ""
		if name != AsWritten {
			in = name + ": "
		}
		r := results[name]
		if r == nil {
			o.OK, o.Ran = false, false
			why = append(why, in+"no result")
			continue
		}
		ok, say := test(r)
		o.OK = o.OK && ok
		if say != "" {
			why = append(why, in+say)
		}
	}
	o.Why = strings.Join(why, "; ")
	return o
}

// String is the entry in words: rule@pipe value/limit [variants].
func (e *Expect) String() string {
	var b strings.Builder
	switch {
	case e.Run != "":
		fmt.Fprintf(&b, "%s end of %s at %s", e.End, e.Run, e.Is)
	case len(e.Words) > 0:
		fmt.Fprintf(&b, "asks about %s", strings.Join(e.Words, "|"))
		if len(e.On) > 0 {
			fmt.Fprintf(&b, " of %s", strings.Join(e.On, "|"))
		}
	default:
		fmt.Fprintf(&b, "%s@%s", e.Rule, strings.Join(e.On, "|"))
	}
	if e.Value != "" {
		fmt.Fprintf(&b, " %s", e.Value)
	}
	if e.Limit != "" {
		fmt.Fprintf(&b, " / %s", e.Limit)
	}
	if len(e.In) > 0 {
		fmt.Fprintf(&b, " [%s]", strings.Join(e.In, " + "))
	}
	return b.String()
}

// rule reports whether a diagnostic's rule is the one meant, by its name or by an alias.
func (s *Suite) rule(want, got string) bool {
	if want == got {
		return true
	}
	for _, a := range s.Aliases[want] {
		if a == got {
			return true
		}
	}
	return false
}

func (e *Expect) at(d *diag.Diagnostic) bool {
	for _, n := range e.On {
		if n == d.On.Name || n == "job" {
			return true
		}
	}
	return false
}

// found looks for the finding. why tells, when it is not there, how near it came.
func (s *Suite) found(e *Expect, r *Result) (ok bool, why string) {
	why = "not found"
	elsewhere := ""
	for i := range r.Findings {
		d := &r.Findings[i]
		if !s.rule(e.Rule, d.Rule) {
			continue
		}
		if !e.at(d) {
			elsewhere = "found only on " + d.On.Name
			continue
		}
		if bad := e.differs(d); bad != "" {
			why = bad
			continue
		}
		return true, ""
	}
	if why == "not found" && elsewhere != "" {
		why = elsewhere
	}
	return false, why
}

// differs says what is wrong with a finding of the right rule at the right place, "" when
// nothing is.
func (e *Expect) differs(d *diag.Diagnostic) string {
	if (e.Severity == "error") != (d.Severity == diag.Error) {
		return fmt.Sprintf("said as %s, not as %s", d.Severity, e.Severity)
	}
	if bad := compare("measured", e.Value, d.Got); bad != "" {
		return bad
	}
	if bad := compare("limit", e.Limit, d.Limit); bad != "" {
		return bad
	}
	if e.Suggest != "" && compare("limit", e.Suggest, d.Limit) != "" && !strings.Contains(d.Try, e.Suggest) {
		return fmt.Sprintf("does not suggest %s", e.Suggest)
	}
	return ""
}

func compare(what, want, got string) string {
	if want == "" {
		return ""
	}
	w, err := parseNumber(want)
	if err != nil {
		return err.Error()
	}
	if got == "" {
		return fmt.Sprintf("%s %s expected, none given", what, want)
	}
	g, err := parseNumber(got)
	if err != nil || !w.same(g) {
		return fmt.Sprintf("%s %s expected, got %s", what, want, got)
	}
	return ""
}

// silent reports whether the rule keeps silent. `not checked` is no alarm, and is told.
func (s *Suite) silent(e *Expect, r *Result) (ok bool, why string) {
	for i := range r.Findings {
		d := &r.Findings[i]
		if !s.rule(e.Rule, d.Rule) || !e.at(d) {
			continue
		}
		if d.Severity == diag.Unchecked {
			why = "not checked there"
			continue
		}
		return false, fmt.Sprintf("raised as %s: %s", d.Severity, d.Message)
	}
	return true, why
}

// asked looks for an open question that has one of the words in it.
func asked(e *Expect, r *Result) (bool, string) {
	for i := range r.Findings {
		d := &r.Findings[i]
		if d.Severity != diag.Unchecked || d.Ask == "" || len(e.On) > 0 && !e.at(d) {
			continue
		}
		text := strings.ToLower(d.Ask + " " + d.Message)
		for _, w := range e.Words {
			if strings.Contains(text, strings.ToLower(w)) {
				return true, ""
			}
		}
	}
	return false, "not asked"
}

func invert(e *Expect, r *Result) (bool, string) {
	ends, ok := r.Inverts[e.Run]
	v, known := ends.Upper, ends.UpperKnown
	if e.End == "lower" {
		v, known = ends.Lower, ends.LowerKnown
	}
	if !ok || !known {
		return false, "not known"
	}
	w, err := parseNumber(e.Is)
	if err != nil {
		return false, err.Error()
	}
	g := number{v: float64(v) / float64(unit.Inch), dim: length}
	if !w.same(g) {
		return false, fmt.Sprintf("%.3f in", g.v)
	}
	return true, ""
}

// inches reads a size written as a bare number of inches, in nanometres.
func inches(s string) (int64, error) {
	n, err := parseNumber(s)
	return int64(n.v*float64(unit.Inch) + 0.5), err
}

func hundred(s string) (int64, error) {
	n, err := parseNumber(s)
	return int64(n.v*float64(unit.Unit) + 0.5), err
}

func nm(m map[string]unit.Size) map[string]int64 {
	out := make(map[string]int64, len(m))
	for k, v := range m {
		out[k] = int64(v)
	}
	return out
}

func hundredths(r *Result) map[string]int64 {
	out := make(map[string]int64, len(r.Units))
	for k, v := range r.Units {
		out[k] = int64(v)
	}
	return out
}

// sizes compares sizes, traps or units, whichever pick and read are about.
func sizes(what string, want map[string]map[string]Size, order []string, results map[string]*Result, pick func(*Result) map[string]int64, read func(string) (int64, error)) []Outcome {
	var out []Outcome
	for _, variant := range order {
		list := want[variant]
		for _, name := range sortedKeys(list) {
			w := list[name]
			o := Outcome{Kind: Sized, Say: what + name + " " + w.String()}
			if variant != AsWritten {
				o.Say += " [" + variant + "]"
			}
			if r := results[variant]; r == nil {
				o.Why = "no result"
			} else {
				o.Ran = true
				got := pick(r)
				if w.AtLeast != "" && r.Needed != nil {
					got = nm(r.Needed) // what is built above it counts too
				}
				o.OK, o.Why = w.holds(name, got, read)
			}
			out = append(out, o)
		}
	}
	return out
}

// String is the size as the case writes it.
func (s Size) String() string {
	switch {
	case s.SameAs != "":
		return "same as " + s.SameAs
	case s.AtLeast != "":
		return "at least " + s.AtLeast
	}
	return s.Is
}

func (s Size) holds(name string, got map[string]int64, read func(string) (int64, error)) (bool, string) {
	g, ok := got[name]
	if !ok || g == 0 && s.Is != "0" {
		return false, "none given"
	}
	scale, _ := read("1")
	say := fmt.Sprintf("got %g", float64(g)/float64(scale))
	if s.SameAs != "" {
		if g != got[s.SameAs] {
			return false, fmt.Sprintf("%s, %s has %g", say, s.SameAs, float64(got[s.SameAs])/float64(scale))
		}
		return true, ""
	}
	text := s.Is
	if s.AtLeast != "" {
		text = s.AtLeast
	}
	w, err := read(text)
	switch {
	case err != nil:
		return false, err.Error()
	case s.AtLeast != "" && g < w, s.AtLeast == "" && g != w:
		return false, say
	}
	return true, ""
}

// also lists what was said of the job as written, as error or warning, and no entry is about.
func (s *Suite) also(c *Case, r *Result) []string {
	var out []string
	seen := map[string]bool{}
	for i := range r.Findings {
		d := &r.Findings[i]
		if d.Severity > diag.Warning {
			continue
		}
		known := false
		for _, list := range [][]*Expect{c.Find, c.Clear} {
			for _, e := range list {
				known = known || s.rule(e.Rule, d.Rule) && e.at(d)
			}
		}
		line := fmt.Sprintf("%s: %s@%s: %s", d.Severity, d.Rule, d.On.Name, d.Message)
		if !known && !seen[line] {
			seen[line] = true
			out = append(out, line)
		}
	}
	return out
}
