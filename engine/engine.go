// Package engine runs the stages in their one order: job, network, loads, sizes, vents,
// elevations, checks. It is the only thing that the command line and the page call.
//
// It opens no file, reads no clock and keeps nothing between calls.
package engine

import (
	"cmp"

	"trapweir/engine/catalog"
	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/elevation"
	"trapweir/engine/fitting"
	"trapweir/engine/framing"
	"trapweir/engine/job"
	"trapweir/engine/load"
	"trapweir/engine/network"
	"trapweir/engine/rules"
	"trapweir/engine/size"
	"trapweir/engine/stock"
	"trapweir/engine/takeoff"
	"trapweir/engine/unit"
	"trapweir/engine/vent"
)

// Input is one job to solve.
type Input struct {
	Name string // file name, for messages
	Text []byte
	Code string   // book to use instead of the job's `code`; "" uses the job's
	With []string // layers instead of the job's `with`; nil uses the job's
	// Part leaves out layers that cannot lie over the book, instead of faulting them: for
	// trying a job under another book than its own. Result.LeftOut names them.
	Part bool
}

// Result is everything that is known of a job. Fields of stages that could not run are nil.
type Result struct {
	Job      *job.Job
	Book     *codebook.Book
	Net      *network.Net
	Loads    *load.Loads
	Sizes    *size.Sizes
	Vents    *vent.Vents
	Levels   *elevation.Levels
	Fittings []fitting.Fitting
	Framing  *framing.Framing
	Tallies  []check.Tally
	Faults   []diag.Diagnostic // the job or a book cannot be read as written
	Findings []diag.Diagnostic // what the stages and rules say, in report order
	// Assumed are the readings that the program took because the job does not say.
	Assumed []diag.Diagnostic
	LeftOut []string // layers that cannot lie over the book, by id, when asked to leave them out
}

// Solved reports whether the job could be read and sized.
func (r *Result) Solved() bool { return r.Sizes != nil }

// Data is what the engine reads beside the job: the books and the catalog of fixtures.
type Data struct {
	Books   *codebook.Library
	Catalog *catalog.Catalog
	Default string       // the book used when a job names none
	Stock   *stock.Stock // pipe and fittings as they are sold; only Order looks at it
}

// Run solves one job.
func Run(d Data, in Input) *Result {
	r := &Result{}
	j, faults := job.Read(in.Name, in.Text)
	r.Job, r.Faults = j, faults
	if j == nil {
		return r
	}
	r.book(d, in)
	n, ds := network.Join(j, d.Catalog)
	r.Net = n
	r.Faults = append(r.Faults, ds...)
	diag.Sort(r.Faults)
	if r.Book == nil || diag.Count(r.Faults, diag.Error) > 0 || len(n.Segs) == 0 {
		return r
	}
	r.solve(d)
	return r
}

// Order makes the take-off of a solved job: what to buy, what to cut, and what could not be
// counted. The book and the traps of the settings are filled in from the result. nil for a
// job that was not solved.
func (r *Result) Order(st *stock.Stock, set takeoff.Settings) *takeoff.Order {
	if !r.Solved() || st == nil {
		return nil
	}
	set.Book, set.Traps = r.Book, make([]unit.Size, len(r.Loads.Fixture))
	for i := range r.Loads.Fixture {
		set.Traps[i] = r.Loads.Fixture[i].Trap
		if read := r.Vents.Trap[i].Reading(); read != nil {
			set.Traps[i] = max(set.Traps[i], read.Trap)
		}
	}
	return takeoff.Take(r.Net, r.Sizes, r.Vents, r.Levels, r.Fittings, st, set)
}

// Solve runs the stages on a net that is already joined (large nets built by a program).
func Solve(d Data, n *network.Net, b *codebook.Book) *Result {
	r := &Result{Job: n.Job, Book: b, Net: n}
	r.solve(d)
	return r
}

func (r *Result) solve(d Data) {
	n, b := r.Net, r.Book
	say := func(ds []diag.Diagnostic) { r.Findings = append(r.Findings, ds...) }
	l, ds := load.Sum(n, b)
	r.Loads = l
	say(ds)
	// A drain that also vents can have to be larger, and which drains vent is read from
	// the layout: sizes, readings, sizes again with what the readings ask. What vents only
	// grows the second time, and what turns out to be trap arm all the way is sized by its
	// trap where that is vented so too: no trap loses its vent by it, so twice is enough.
	z, ds := size.Choose(n, l, b, nil)
	v, vds := vent.Trace(n, l, z, b)
	if floors := vent.Floors(n, l, z, b, v); len(floors) > 0 {
		z, ds = size.Choose(n, l, b, floors)
		v, vds = vent.Trace(n, l, z, b)
	}
	r.Sizes, r.Vents = z, v
	say(ds)
	say(vds)
	say(vent.SizeAll(n, l, z, b, v))
	r.Levels = elevation.Work(n, z, b)
	r.Fittings = fitting.Pick(n, z, r.Levels, v, b)
	r.Framing = framing.Work(n, z, v, r.Levels, r.Fittings, b, framing.Settings{})
	found, tallies := check.Run(check.Pass{Job: r.Job, Net: n, Loads: l, Sizes: z, Vents: v, Levels: r.Levels, Fittings: r.Fittings, Framing: r.Framing, Book: b, Cat: d.Catalog}, rules.All)
	say(found)
	r.Tallies = tallies
	diag.Sort(r.Findings)
	r.reasons()
	r.wording()
}

// reasons gives what a stage found broken the harm and the cure of its rule, where the stage
// had nothing nearer to say. A rule of the checks brings its own.
func (r *Result) reasons() {
	for i := range r.Findings {
		d := &r.Findings[i]
		if d.Severity > diag.Warning || d.Why != "" && d.Try != "" {
			continue
		}
		rule := rules.Find(d.Rule)
		if rule == nil || rule.Stage == "" {
			continue
		}
		d.Why, d.Try = cmp.Or(d.Why, rule.Why), cmp.Or(d.Try, rule.Cure(d.Limit))
	}
}

// book picks the book and its layers.
func (r *Result) book(d Data, in Input) {
	j := r.Job
	id := in.Code
	if id == "" {
		id = j.Code.Text
	}
	if id == "" {
		id = d.Default
		r.Assumed = append(r.Assumed, diag.Diagnostic{
			Severity: diag.Unchecked, Rule: "code-basis", On: diag.Ref{What: diag.Job, Segment: network.None}, At: j.Title.At,
			Message: "the job names no code; " + d.Default + " is used",
			Ask:     "which code and edition does your building department enforce?",
		})
		r.Findings = append(r.Findings, r.Assumed...)
	}
	with := in.With
	if with == nil {
		for _, w := range j.With {
			with = append(with, w.Text)
		}
	}
	if in.Part {
		with, r.LeftOut = d.Books.Part(id, with)
	}
	b, ds := d.Books.Book(id, with)
	for i := range ds {
		// Say it where the job names the book.
		if ds[i].At.IsZero() {
			if in.Code == "" {
				ds[i].At = j.Code.At
			}
			for _, w := range j.With {
				if containsWord(ds[i].Message, w.Text) {
					ds[i].At = w.At
				}
			}
		}
	}
	r.Faults = append(r.Faults, ds...)
	if diag.Count(ds, diag.Error) == 0 {
		r.Book = b
	}
}

func containsWord(s, w string) bool {
	if w == "" {
		return false
	}
	for i := 0; i+len(w) <= len(s); i++ {
		if s[i:i+len(w)] == w {
			return true
		}
	}
	return false
}
