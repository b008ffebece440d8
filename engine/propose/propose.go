// Package propose finds the ways that would cure what is wrong with a job: an edit of the
// job file for each, with what to do on site. Nothing is offered on a guess: every way is
// written into the job, the whole engine runs again, and only what removes its finding and
// brings no new fault anywhere is kept, the cheapest first.
//
// It stands above the engine and calls it; nothing below knows it. It reads and writes no
// file: the caller applies the edits.
package propose

import (
	"sort"
	"strconv"
	"strings"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
	"trapweir/engine/vent"
)

// A Mark names a finding without its words: the rule and the thing, such as
// "trap-arm-too-long" on the run "kitchen".
type Mark struct {
	Rule string    `json:"rule"`
	What diag.What `json:"what"`
	Name string    `json:"name,omitempty"`
}

func markOf(d *diag.Diagnostic) Mark { return Mark{d.Rule, d.On.What, d.On.Name} }

// String is the thing, then the rule.
func (m Mark) String() string {
	if m.Name == "" {
		return m.What.String() + ": " + m.Rule
	}
	return m.Name + ": " + m.Rule
}

// A Proposal is one way to cure one finding, tried on the job.
type Proposal struct {
	// Number counts from 1 through a Set. The same edits that cure several findings have
	// one number.
	Number int    `json:"number"`
	ID     string `json:"id"` // which way, and on what: "vent-through-roof/kitchen"
	Do     string `json:"do"` // what to do on site
	// Care is the short caution where the work can hurt somebody; "" for none.
	Care  string     `json:"care,omitempty"`
	Edits []job.Edit `json:"edits"`
	Cost  Cost       `json:"cost"`
	// Weighs is the cost as feet of pipe, by which proposals are put in order.
	Weighs unit.Length `json:"weighs"`
	// Grounds say why it is legal under the book; Reserve what speaks against it, "" for
	// nothing; Changes what else becomes another size, or breathes in another way.
	Grounds []Ground `json:"grounds,omitempty"`
	Reserve string   `json:"reserve,omitempty"`
	Changes []Change `json:"changes,omitempty"`
	// Removes are the findings that go, the one that was asked about first; Leaves those
	// faults and warnings that stay.
	Removes []Mark `json:"removes"`
	Leaves  []Mark `json:"leaves"`
	// Asks are the questions that it leaves open and that were not open before. If is true
	// when one of them is about the very thing to be cured: then the cure hangs on the answer.
	Asks []string `json:"asks,omitempty"`
	If   bool     `json:"if,omitempty"`

	text []byte
	half bool // a trap that the finding is about has no air after it either
}

// Text is the job file with the edits made.
func (p *Proposal) Text() []byte { return p.text }

// An Answer is one finding with the ways that would cure it.
type Answer struct {
	Finding   diag.Diagnostic `json:"finding"`
	Proposals []Proposal      `json:"proposals"`
	// Advice is what would help and is not one edit of the job.
	Advice []string `json:"advice,omitempty"`
	// Decide is what a person must decide, where there is neither a proposal nor advice.
	Decide string `json:"decide,omitempty"`
	// Tried are ways that do not do, at most two, where there is no proposal.
	Tried []Tried `json:"tried,omitempty"`
	// Untried counts ways that were not tried because enough runs of the engine were made.
	Untried int `json:"untried,omitempty"`
}

// A Tried is a way that was tried and is not offered.
type Tried struct {
	Do  string `json:"do"`
	But string `json:"but"` // what it would bring, or take away
}

// A Set is the answer for a job, in the order of its findings.
type Set struct {
	Answers []Answer `json:"answers"`
	Effort  Effort   `json:"effort"` // by which they are put in order
	// Runs is how often the engine ran, of Most at most.
	Runs int `json:"runs"`
	Most int `json:"most"`
}

// MostRuns bounds how often the engine runs for one Set: a house takes about a thousandth of
// a second a run. What has more than MostSegments/MostRuns segments gets fewer runs, so that
// the time that a Set takes grows no faster than one run does.
const (
	MostRuns     = 300
	MostSegments = 45_000
	fewestRuns   = 8
)

func mostRuns(segments int) int {
	return max(fewestRuns, min(MostRuns, MostSegments/max(1, segments)))
}

// For finds the proposals for the faults and warnings of a solved job; name restricts them
// to those about one run, vent or fixture, "" takes all. r is the result of engine.Run(d,
// in); e puts the proposals in order. A job that is not solved has none.
func For(d engine.Data, in engine.Input, r *engine.Result, name string, e Effort) *Set {
	set := &Set{Answers: []Answer{}, Effort: e}
	if !r.Solved() {
		return set
	}
	w := &work{
		d: d, in: in, r: r, effort: e, most: mostRuns(len(r.Net.Segs)),
		answered: map[Mark][]Proposal{}, tried: map[string]*outcome{}, before: count(r.Findings), unsure: asked(r.Findings),
	}
	var open []*pending
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Severity > diag.Warning || name != "" && !about(r, f, name) {
			continue
		}
		p := &pending{answer: Answer{Finding: *f, Proposals: []Proposal{}}, seen: map[string]bool{}}
		p.choices, p.answer.Advice = w.choices(f)
		open = append(open, p)
	}
	w.all(open)
	for _, p := range open {
		set.Answers = append(set.Answers, p.done())
	}
	number(set.Answers)
	for i := range set.Answers {
		a := &set.Answers[i]
		w.answered[markOf(&a.Finding)] = append(w.answered[markOf(&a.Finding)], a.Proposals...)
	}
	for i, p := range open {
		if a := &set.Answers[i]; len(a.Proposals)+len(a.Advice) == 0 {
			a.Decide = w.decide(&a.Finding, a.Untried == 0 && !p.cut, p.after)
		}
	}
	set.Most = w.most
	set.Runs = w.runs
	return set
}

// about reports whether a finding is about what has the name: it points there, or at a vent
// that leaves it.
func about(r *engine.Result, d *diag.Diagnostic, name string) bool {
	if d.On.Name == name {
		return true
	}
	if d.On.What != diag.Vent {
		return false
	}
	for i := range r.Net.Vents {
		if v := &r.Net.Vents[i]; v.Name == d.On.Name {
			for _, t := range v.Takes {
				if r.Net.Runs[t.Run].Name == name {
					return true
				}
			}
		}
	}
	return false
}

// Find returns the proposal with a number, or with an id; nil for none.
func (s *Set) Find(which string) *Proposal {
	for i := range s.Answers {
		for k := range s.Answers[i].Proposals {
			p := &s.Answers[i].Proposals[k]
			if strconv.Itoa(p.Number) == which || p.ID == which {
				return p
			}
		}
	}
	return nil
}

// Count is how many different proposals there are.
func (s *Set) Count() int {
	most := 0
	for i := range s.Answers {
		for k := range s.Answers[i].Proposals {
			most = max(most, s.Answers[i].Proposals[k].Number)
		}
	}
	return most
}

// A way is a proposal before it is tried.
type way struct {
	id    string
	edits []job.Edit
	cost  Cost
	care  string
	traps []network.FixID // that a plan for several brings air to
	// do words it once the sizes of what is new are known.
	do func(after result) string
}

// A choice is several ways to do the same thing; the first one that holds is offered.
type choice []way

func plain(s string) func(result) string { return func(result) string { return s } }

// prefixed puts words before others.
func prefixed(s string, do func(result) string) func(result) string {
	return func(after result) string { return s + do(after) }
}

// result is the job with a way made, solved.
type result = *engine.Result

// outcome is what became of edits.
type outcome struct {
	result *engine.Result // nil: the edits cannot be made, or the job cannot be read any more
	text   []byte
}

// work holds what one call of For needs.
type work struct {
	d      engine.Data
	in     engine.Input
	r      *engine.Result
	effort Effort
	tried  map[string]*outcome
	// answered holds what is offered so far for each finding.
	answered map[Mark][]Proposal
	kept     []string // keys of what is tried, the oldest first
	plans    []way    // vents for several traps at once, found so far
	vain     int      // plans that came to nothing
	before   map[Mark]int
	unsure   map[Mark]bool
	runs     int
	most     int // runs, at most
}

// count counts the faults and warnings of each mark.
func count(ds []diag.Diagnostic) map[Mark]int {
	m := map[Mark]int{}
	for i := range ds {
		if ds[i].Severity <= diag.Warning {
			m[markOf(&ds[i])]++
		}
	}
	return m
}

// asked marks what is not checked.
func asked(ds []diag.Diagnostic) map[Mark]bool {
	m := map[Mark]bool{}
	for i := range ds {
		if ds[i].Severity == diag.Unchecked {
			m[markOf(&ds[i])] = true
		}
	}
	return m
}

// A pending is an answer that is being made.
type pending struct {
	answer  Answer
	choices []choice
	seen    map[string]bool // edits that it offers already, in any order
	after   bool            // its ways were tried with the cures of others made before
	cut     bool            // not all of them were
	refused []Tried
}

// all tries the ways for all findings in turn: the first choice of each, then the second of
// each and so on, so that where not all can be tried every finding has had its first.
func (w *work) all(open []*pending) {
	for k, more := 0, true; more; k++ {
		more = false
		for _, p := range open {
			if k < len(p.choices) {
				more = true
				w.choose(p, p.choices[k])
			}
		}
	}
	w.afterOthers(open)
	// Traps that only a vent for each of several helps: those first that nothing helped so far.
	for _, none := range []bool{true, false} {
		for _, p := range open {
			if (len(p.answer.Proposals) == 0) == none {
				for _, c := range w.together(p) {
					w.choose(p, c)
				}
			}
		}
	}
}

// mostAfter bounds how many ways are tried of one finding on top of cures of others.
const mostAfter = 6

// afterOthers tries the ways of findings that nothing cured so far once more, each with the
// first cure of another finding on the same thing made before: a washer's pipe is enlarged and
// then laid at the fall of its new size.
func (w *work) afterOthers(open []*pending) {
	for _, p := range open {
		f := &p.answer.Finding
		if len(p.answer.Proposals) > 0 || f.On.Name == "" {
			continue
		}
		n := 0
		for _, q := range open {
			d := &q.answer.Finding
			if q == p || d.On.Name != f.On.Name || d.Rule == f.Rule || len(q.answer.Proposals) == 0 {
				continue
			}
			first := q.best()
			for _, c := range p.choices {
				if len(p.answer.Proposals) > 0 {
					break
				}
				if n >= mostAfter || w.spent() {
					p.cut = true
					break
				}
				n++
				p.after = true
				w.choose(p, after(first, c))
			}
		}
	}
}

// after is a choice with another change made before.
func after(first *Proposal, c choice) (out choice) {
	for _, x := range c {
		if len(x.edits) == 0 {
			continue
		}
		y := x
		y.id = first.ID + "+" + x.id
		y.edits = append(first.Edits[:len(first.Edits):len(first.Edits)], x.edits...)
		y.cost = plus(first.Cost, x.cost)
		y.do = prefixed(first.Do+"; ", x.do)
		if y.care == "" {
			y.care = first.Care
		}
		out = append(out, y)
	}
	return out
}

// choose tries the ways of one choice until one holds.
func (w *work) choose(p *pending, c choice) {
	f := &p.answer.Finding
	for i := range c {
		if len(c[i].edits) == 0 {
			continue
		}
		if w.spent() && w.tried[keyOf(c[i].edits)] == nil {
			p.answer.Untried++
			return
		}
		x, but := w.try(f, &c[i])
		if x == nil {
			if but.But != "" && len(p.refused) < 2 && (len(p.refused) == 0 || p.refused[0] != but) {
				p.refused = append(p.refused, but)
			}
			continue
		}
		if key := setOf(x.Edits); !p.seen[key] {
			p.seen[key] = true
			p.answer.Proposals = append(p.answer.Proposals, *x)
		}
		return
	}
}

// spent reports whether the engine has run as often as it may.
func (w *work) spent() bool { return w.runs >= w.most }

// before reports whether a proposal stands before another one: what hangs on an answer last.
func (p *Proposal) before(q *Proposal) bool {
	if p.If != q.If {
		return !p.If
	}
	return p.Weighs < q.Weighs
}

// best is the proposal that stands first.
func (p *pending) best() *Proposal {
	x := &p.answer.Proposals[0]
	for i := range p.answer.Proposals {
		if y := &p.answer.Proposals[i]; y.before(x) {
			x = y
		}
	}
	return x
}

// done puts the proposals in order, and leaves out vents of several traps that a plan for
// them together has cheaper, and what cures the finding and leaves its trap without air where
// another way does not.
func (p *pending) done() Answer {
	a := p.answer
	all := a.Proposals
	whole := false
	for i := range all {
		whole = whole || !all[i].half
	}
	a.Proposals = []Proposal{}
	for i := range all {
		if !all[i].outdone(all) && (!whole || !all[i].half) {
			a.Proposals = append(a.Proposals, all[i])
		}
	}
	sort.SliceStable(a.Proposals, func(i, k int) bool { return a.Proposals[i].before(&a.Proposals[k]) })
	if len(a.Proposals) == 0 {
		a.Tried = p.refused
	}
	return a
}

// number counts the proposals. The same edits have one number in whatever order they were
// found, and are then told and made as the first time.
func number(answers []Answer) {
	first := map[string]*Proposal{}
	for i := range answers {
		ps := answers[i].Proposals
		for k := range ps {
			p, key := &ps[k], setOf(ps[k].Edits)
			if x := first[key]; x != nil {
				p.Number, p.Do, p.Edits, p.text = x.Number, x.Do, x.Edits, x.text
				continue
			}
			p.Number = len(first) + 1
			first[key] = p
		}
	}
}

// repairs bounds how often a way is mended by enlarging what it makes too small.
const repairs = 2

// try makes the edits, solves the job again and judges the two results. Where the only harm
// is that given sizes have become too small, or that traps which had no vent before are now
// faulted in another way, that is mended too and it is tried again. It gives no proposal for
// what does not do, and why, where that can be told in one line.
func (w *work) try(f *diag.Diagnostic, c *way) (*Proposal, Tried) {
	edits, care := c.edits, c.care
	for round := 0; ; round++ {
		o := w.outcome(edits)
		if o.result == nil {
			return nil, Tried{}
		}
		after := o.result
		if name := w.unprotects(f, after); name != "" {
			return nil, Tried{c.do(after), name + " would lose its vent by it"}
		}
		bad := w.worse(after)
		if len(bad) > 0 {
			more, ok := []job.Edit(nil), false
			if round < repairs && !w.spent() {
				more, ok = w.mend(after, bad, edits)
			}
			if !ok {
				return nil, Tried{c.do(after), "then there would be: " + bad[0].Message + " [" + bad[0].Rule + "]"}
			}
			edits = append(edits[:len(edits):len(edits)], more...)
			continue
		}
		now := count(after.Findings)
		if m := markOf(f); now[m] >= w.before[m] || stays(after, f) {
			return nil, Tried{}
		}
		if replaces(edits) {
			care = careOld
		}
		p := &Proposal{ID: c.id, Do: c.do(after), Care: care, Edits: edits, Cost: c.cost, text: o.text}
		more := w.grown(after, edits)
		p.Cost.Enlarged += more.Enlarged
		p.Cost.About = p.Cost.About || more.About
		if more := raiseWords(w.r, edits[len(c.edits):]); more != "" {
			p.Do += "; " + more
		}
		if len(edits) > len(c.edits) {
			w.besides(p, edits[len(c.edits):], after)
		}
		if p.Cost.Pipe > 0 {
			p.Cost.Size = pipeSize(p, after)
		}
		p.Weighs = w.effort.Weight(p.Cost)
		p.Grounds, p.Changes = w.grounds(f, after), w.changes(f, after)
		if p.Cost.Valves > 0 {
			p.Reserve = reserve
		}
		p.Removes, p.Leaves = w.difference(f, now)
		p.Asks, p.If = w.opens(f, after)
		p.If = p.If || w.unsettled(f, after)
		p.half = w.stillOpen(f, after)
		if w.barredValve(f, after) {
			p.If, p.Reserve = true, barred
		}
		return p, Tried{}
	}
}

// stays reports whether the very finding is still there.
func stays(after *engine.Result, f *diag.Diagnostic) bool {
	for i := range after.Findings {
		if d := &after.Findings[i]; markOf(d) == markOf(f) && d.Message == f.Message && d.Severity <= diag.Warning {
			return true
		}
	}
	return false
}

// outcome runs the engine on the job with the edits made, once for the same edits.
func (w *work) outcome(edits []job.Edit) *outcome {
	key := keyOf(edits)
	if o := w.tried[key]; o != nil {
		return o
	}
	o := &outcome{}
	w.keep(key, o)
	text, ds := job.Apply(w.in.Text, edits)
	if len(ds) > 0 {
		return o // refused, or comments would be lost
	}
	in := w.in
	in.Text = text
	r := engine.Run(w.d, in)
	w.runs++
	if !r.Solved() || diag.Count(r.Faults, diag.Error) > 0 {
		return o
	}
	o.result, o.text = r, text
	return o
}

// mostKept bounds how many segments of solved jobs are kept, so that the same edits need not
// be solved again for another finding: about 100 MB.
const mostKept = 8000

// keep remembers what becomes of edits, and forgets what was tried first.
func (w *work) keep(key string, o *outcome) {
	w.tried[key] = o
	w.kept = append(w.kept, key)
	if most := max(2, mostKept/max(1, len(w.r.Net.Segs))); len(w.kept) > most {
		delete(w.tried, w.kept[0])
		w.kept = w.kept[1:]
	}
}

// unprotects names a trap that certainly is protected and no longer certainly would be, the
// one that a finding is about left aside; "" for none.
func (w *work) unprotects(f *diag.Diagnostic, after *engine.Result) string {
	for i := range w.r.Vents.Trap {
		if w.r.Vents.Trap[i].Verdict != vent.Protected {
			continue
		}
		name := w.r.Net.Runs[w.r.Net.Fixtures[i].Run].Name
		if name == f.On.Name {
			continue
		}
		if w.verdict(after, network.FixID(i)) != vent.Protected {
			return name
		}
	}
	return ""
}

// worse lists the faults and warnings that were not there before, by rule and thing.
func (w *work) worse(after *engine.Result) []*diag.Diagnostic {
	var out []*diag.Diagnostic
	now := map[Mark]int{}
	for i := range after.Findings {
		d := &after.Findings[i]
		if d.Severity > diag.Warning {
			continue
		}
		m := markOf(d)
		if now[m]++; now[m] > w.before[m] {
			out = append(out, d)
		}
	}
	return out
}

// difference says which findings go and which stay, those on the same thing first.
func (w *work) difference(f *diag.Diagnostic, now map[Mark]int) (removes, leaves []Mark) {
	removes, leaves = []Mark{markOf(f)}, []Mark{}
	told := map[Mark]bool{markOf(f): true}
	if now[markOf(f)] > 0 {
		leaves = append(leaves, markOf(f))
	}
	for i := range w.r.Findings {
		d := &w.r.Findings[i]
		m := markOf(d)
		if d.Severity > diag.Warning || told[m] {
			continue
		}
		told[m] = true
		if now[m] < w.before[m] {
			removes = append(removes, m)
		}
		if now[m] > 0 {
			leaves = append(leaves, m)
		}
	}
	sort.SliceStable(leaves, func(i, k int) bool {
		return leaves[i].Name == f.On.Name && leaves[k].Name != f.On.Name
	})
	return removes, leaves
}

// opens lists the questions that are new. What is asked about the very thing, by the same
// rule, makes the cure hang on the answer.
func (w *work) opens(f *diag.Diagnostic, after *engine.Result) (asks []string, hangs bool) {
	for i := range after.Findings {
		d := &after.Findings[i]
		if d.Severity != diag.Unchecked || w.unsure[markOf(d)] {
			continue
		}
		if d.Ask != "" {
			asks = append(asks, d.Ask)
		}
		if markOf(d) == markOf(f) || d.On.Name == f.On.Name && venting(d.Rule) && venting(f.Rule) {
			hangs = true
		}
	}
	return asks, hangs
}

// setOf is the same for the same edits in whatever order.
func setOf(edits []job.Edit) string {
	keys := make([]string, len(edits))
	for i := range edits {
		keys[i] = keyOf(edits[i : i+1])
	}
	sort.Strings(keys)
	return strings.Join(keys, "")
}

// keyOf writes edits down so that the same ones are known again.
func keyOf(edits []job.Edit) string {
	var b strings.Builder
	for i := range edits {
		e := &edits[i]
		b.WriteString(string(e.Op))
		for _, list := range [][]string{e.Path, {e.Value, e.After}, e.List} {
			for _, s := range list {
				b.WriteByte(0)
				b.WriteString(s)
			}
			b.WriteByte(1)
		}
		fields := func(list []job.Field) {
			for _, f := range list {
				b.WriteString("\x02" + f.Key + "\x00" + f.Value + "\x00" + strings.Join(f.List, "\x00"))
			}
			b.WriteByte(3)
		}
		fields(e.Fields)
		for _, x := range e.Items {
			b.WriteString("\x04" + x.Value)
			fields(x.Fields)
		}
	}
	return b.String()
}
