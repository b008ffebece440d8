// Package load sums what drains through every segment: fixture units, traps, and how many
// fixtures of each class that a code counts.
//
// It asks the book what a fixture counts and keeps the terms, so that every sum can be
// explained. It picks no sizes.
package load

import (
	"cmp"
	"slices"
	"strings"

	"trapweir/engine/catalog"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// Loads are the sums, by segment unless said otherwise.
type Loads struct {
	// Units is what the pipe carries, in hundredths of a fixture unit.
	Units []unit.Load
	// AtLeast is true where a fixture upstream is not listed by the book or a part's load
	// is not given: Units is then only a floor.
	AtLeast []bool
	// ClosetsUnknown is true where a part upstream is given in units alone, with no word of
	// water closets.
	ClosetsUnknown []bool
	// Traps counts fixtures upstream; those of a part that is not drawn only when listed.
	Traps []int32
	// Interval is, for stack segments, what enters in the branch interval that the
	// segment lies in, and Intervals how many the stack has; IntervalAt is which of them the
	// segment lies in, from the top, 1 for the first; 0 elsewhere and above the highest branch.
	Interval   []unit.Load
	Intervals  []int16
	IntervalAt []int16
	// Fixture is by FixID, Part by RunID (what `carries` and basins bring).
	Fixture []Fixture
	Part    []Part
	// Credit is what counting a group once took off at a segment (and so below it), and what
	// counting washers as a battery added.
	Credit []GroupCredit

	classes []string
	counts  []int32
}

// Fixture is the load of one fixture and where it comes from.
type Fixture struct {
	Units    unit.Load
	Row      *codebook.FixtureRow // shared by fixtures that count the same; never nil
	State    codebook.State       // Absent: the book does not list it
	Declared bool                 // the job states the units
	Trap     unit.Size            // smallest trap; 0 when its outlet decides or nothing is known
	TrapCite *diag.Cite
	Stated   unit.Size // the trap that the job states, 0 none
	Gone     bool      // it is taken out and counts nothing
	disposer bool
}

// Part is load that comes in at the upper end of a run from a part that is not drawn.
type Part struct {
	Units   unit.Load
	Known   bool
	Pumped  unit.Flow // a basin's pump, 0 none
	Terms   []Term
	Present bool
	// Trap is the largest trap that the book asks for of what is carried, 0 where that is not
	// known; TrapOf has it.
	Trap     unit.Size
	TrapOf   *catalog.Kind
	TrapCite *diag.Cite
}

// Term is one piece of a part's load.
type Term struct {
	What  string
	Units unit.Load
	Cite  diag.Cite
}

// GroupCredit says that a group is counted as one from Seg down.
type GroupCredit struct {
	Seg  network.SegID
	Room string // or, of a battery, the names of its runs
	Name string
	Sum  unit.Load // its fixtures one by one
	As   unit.Load // what the group counts
	Cite diag.Cite
}

// Count returns how many fixtures of a class drain through s. Classes that no limit of
// the book names are not kept; ok is then false.
func (l *Loads) Count(s network.SegID, class string) (n int, ok bool) {
	for i, c := range l.classes {
		if c == class {
			return int(l.counts[int(s)*len(l.classes)+i]), true
		}
	}
	return 0, false
}

// ClassIndex returns the column of a class for CountAt, or -1.
func (l *Loads) ClassIndex(class string) int {
	for i, c := range l.classes {
		if c == class {
			return i
		}
	}
	return -1
}

// CountAt is Count by column.
func (l *Loads) CountAt(s network.SegID, column int) int32 {
	return l.counts[int(s)*len(l.classes)+column]
}

// Closets is the class that drawings and sums always show.
const Closets = "water closet"

// Pumped and Disposer are classes that follow from attributes, not from the kind.
const (
	Pumped   = "pumped"
	Disposer = "disposer"
)

// Sum adds up the loads of a net under a book. What is not listed or not given is reported
// as not checked, and the segments below it are marked AtLeast.
func Sum(n *network.Net, b *codebook.Book) (*Loads, []diag.Diagnostic) {
	w := &summer{net: n, book: b, out: &Loads{}}
	w.prepare()
	w.fixtures()
	w.parts()
	w.total()
	w.groups()
	w.batteries()
	w.credit()
	w.intervals()
	w.nothing()
	return w.out, w.diags
}

// nothing asks for the fixtures of a job that has none: no size of it comes of a load.
func (w *summer) nothing() {
	n, o := w.net, w.out
	if n.Outlet == network.None || o.Traps[n.Outlet] > 0 || o.Units[n.Outlet] > 0 || o.AtLeast[n.Outlet] {
		return
	}
	run := n.RunOf(n.Outlet)
	w.diags = append(w.diags, diag.Diagnostic{
		Severity: diag.Unchecked, Rule: "fixture-load", On: diag.Ref{What: diag.Run, Name: run.Name, Segment: int32(n.Outlet)}, At: run.Def.At,
		Message: "no fixture drains into " + run.Name + " yet, so no size here comes of a load",
		Ask:     "which fixtures drain into it? write a run for each with its `fixture`, or `carries` for a part that is not drawn",
	})
}

type summer struct {
	net   *network.Net
	book  *codebook.Book
	out   *Loads
	diags []diag.Diagnostic
	use   string
}

func (w *summer) prepare() {
	n, o := w.net, w.out
	o.Units = make([]unit.Load, len(n.Segs))
	o.AtLeast = make([]bool, len(n.Segs))
	o.ClosetsUnknown = make([]bool, len(n.Segs))
	o.Traps = make([]int32, len(n.Segs))
	o.Interval = make([]unit.Load, len(n.Segs))
	o.Intervals = make([]int16, len(n.Segs))
	o.IntervalAt = make([]int16, len(n.Segs))
	o.classes = classesOf(w.book)
	o.counts = make([]int32, len(n.Segs)*len(o.classes))
	w.use = "private"
	switch n.Job.Occupancy.Text {
	case "public":
		w.use = "public"
	case "assembly":
		w.use = "assembly"
	}
}

// classesOf lists the classes that the book's limits count, those that are switched off
// among them, and closets.
func classesOf(b *codebook.Book) []string {
	out := []string{Closets}
	add := func(c string) {
		for _, x := range out {
			if x == c {
				return
			}
		}
		if c != "" {
			out = append(out, c)
		}
	}
	for _, list := range [][]codebook.Limit{b.Limits(), b.Off()} {
		for _, l := range list {
			add(l.When.Class)
			for _, c := range l.When.Joins {
				add(c)
			}
		}
	}
	return out
}

// rowVal is what the book says of a kind with its attributes. A house has few different
// ones; looking through those of one kind is quicker than hashing the attributes.
type rowVal struct {
	attr  codebook.Attr
	row   *codebook.FixtureRow
	state codebook.State
}

func (w *summer) fixtures() {
	n, o := w.net, w.out
	o.Fixture = make([]Fixture, len(n.Fixtures))
	seen := make(map[*catalog.Kind][]rowVal, 16)
	taken := assumed{}
	for i := range n.Fixtures {
		f := &n.Fixtures[i]
		d := f.Def
		a := codebook.Attr{
			Flush: d.Flush.V, Flow: d.Flow.V, FlushLeast: d.Flush.Least, FlowLeast: d.Flow.Least, Heads: d.Heads.V, Outlets: d.Outlets.V, Bowls: d.Bowls.V,
			Trap: d.Trap.V, Use: d.Use.Text, Disposer: d.Disposer.V, Emergency: d.Emergency.V,
		}
		if a.Use == "" {
			a.Use = w.use
		}
		if a.Trap == 0 {
			a.Drain = n.Runs[f.Run].Def.Size.V
		}
		v, ok := lookUp(seen[f.Kind], &a)
		if !ok {
			row, state := f.Kind.In(w.book, a)
			v = rowVal{a, &row, state}
			if len(seen[f.Kind]) < 64 { // a file of nothing but different fixtures stays linear
				seen[f.Kind] = append(seen[f.Kind], v)
			}
		}
		x := &o.Fixture[i]
		x.Stated, x.disposer = d.Trap.V, d.Disposer.V
		x.Row, x.State = v.row, v.state
		if n.Runs[f.Run].Gone {
			x.Gone = true
			continue
		}
		x.Units = v.row.Units.Load
		if v.row.Trap.State == codebook.Given {
			x.Trap, x.TrapCite = v.row.Trap.Size, v.row.Trap.Cite
		}
		if usual := f.Kind.UsualTrap; usual > x.Trap {
			switch {
			case v.row.Ask != "" && v.row.MaxFlow > 0:
				// What is built as the book's row asks is not too small: its flow is asked for.
				if built := cmp.Or(d.Trap.V, n.Runs[f.Run].Def.Size.V); x.Trap > 0 && built >= x.Trap && built < usual {
					break
				}
				x.Trap, x.TrapCite = usual, &diag.Cite{Kind: "good practice", At: "usual while " + v.row.Assumed}
			case v.row.Trap.State != codebook.Given && d.Trap.V == 0 && n.Runs[f.Run].Def.Size.V == 0:
				x.Trap, x.TrapCite = usual, &diag.Cite{Kind: "good practice", At: "usual where the book names no trap"}
			}
		}
		run := &n.Runs[f.Run]
		on := diag.Ref{What: diag.Fixture, Name: run.Name, Segment: int32(f.Seg)}
		more, known := w.beside(f, a.Use)
		if !known && !d.Units.Set {
			o.AtLeast[f.Seg] = true
		}
		if set, trap := w.lavatorySet(f); set > 0 {
			more = set - x.Units
			if trap.Size > x.Trap {
				x.Trap, x.TrapCite = trap.Size, trap.Cite
			}
		}
		switch {
		case d.Units.Set:
			x.Units, x.Declared = d.Units.V, true
		case v.state == codebook.Given:
			x.Units += more
			if v.row.AtLeast {
				o.AtLeast[f.Seg] = true
			}
			if v.row.Ask != "" {
				taken.add(f.Kind, v.row, run.Name, on, d.Kind.At)
			}
		default:
			o.AtLeast[f.Seg] = true
			msg := run.Name + ": the book does not list " + f.Kind.A()
			if v.state == codebook.Blank || v.state == codebook.Dash {
				msg = run.Name + ": the book prints no units for " + f.Kind.A() + " in " + a.Use + " use"
			}
			ask := v.row.Ask
			if ask == "" {
				ask = "how many fixture units does the authority count for it, and through what trap? write `units` and `trap`"
			}
			w.diags = append(w.diags, diag.Diagnostic{
				Severity: diag.Unchecked, Rule: "fixture-load", On: on, At: d.Kind.At,
				Message: msg + "; it counts nothing here, so every pipe below is at least what is shown",
				Ask:     ask,
			})
		}
	}
	w.diags = append(w.diags, taken.questions()...)
}

func lookUp(list []rowVal, a *codebook.Attr) (rowVal, bool) {
	for i := range list {
		if list[i].attr == *a {
			return list[i], true
		}
	}
	return rowVal{}, false
}

// lavatorySet is what a book counts for two or three lavatories on one trap, and that trap;
// 0 where they are no such set or the book has none.
func (w *summer) lavatorySet(f *network.Fixture) (unit.Load, codebook.Param) {
	if len(f.Beside) == 0 || len(f.Beside) > 2 || f.Kind.Name != "lavatory" {
		return 0, codebook.Param{}
	}
	for _, k := range f.Beside {
		if k != f.Kind {
			return 0, codebook.Param{}
		}
	}
	u := w.book.Param("lavatory-set.units")
	if u.State != codebook.Given {
		return 0, codebook.Param{}
	}
	return unit.Load(u.Number), w.book.Param("lavatory-set.trap")
}

// beside adds what stands on the same trap beside the fixture itself; known is false when
// the book does not list one of them.
func (w *summer) beside(f *network.Fixture, use string) (sum unit.Load, known bool) {
	known = true
	for _, k := range f.Beside {
		row, st := k.In(w.book, codebook.Attr{Use: use})
		if st == codebook.Given {
			sum += row.Units.Load
		} else {
			known = false
		}
	}
	return sum, known
}

func cites(c *diag.Cite) []diag.Cite {
	if c == nil {
		return nil
	}
	return []diag.Cite{*c}
}

// perGPM is the param that turns pumped or continuous flow into units.
const perGPM = "pumped.units-per-gpm"

func (w *summer) parts() {
	n, o := w.net, w.out
	o.Part = make([]Part, len(n.Runs))
	for i := range n.Runs {
		r := &n.Runs[i]
		if len(r.Segs) == 0 {
			continue
		}
		p := &o.Part[i]
		on := diag.Ref{What: diag.Run, Name: r.Name, Segment: int32(r.Segs[0])}
		top := &n.Segs[r.Segs[0]]
		if r.Gone {
			p.Known = true
			continue
		}
		if top.Carries {
			p.Present = true
			w.carried(r, p, on)
		}
		if top.Basin {
			bs := &r.Def.Basin
			p.Present = true
			p.Pumped = bs.Pump.V
			per := w.book.Param(perGPM)
			switch {
			case bs.Pump.V == 0:
				w.diags = append(w.diags, diag.Diagnostic{
					Severity: diag.Unchecked, Rule: "ask-pump-curve", On: on, At: bs.At,
					Message: r.Name + ": the pump's flow is not given, so what it adds to the drain is not counted",
					Ask:     "how many gpm does the pump deliver at the actual head (lift and friction)?",
				})
			case per.State != codebook.Given:
				w.diags = append(w.diags, diag.Diagnostic{
					Severity: diag.Unchecked, Rule: "fixture-load", On: on, At: bs.At,
					Message: r.Name + ": the book does not say how pumped flow counts",
					Ask:     "how many fixture units does the authority count for each gpm of pumped flow?",
				})
			default:
				p.Known = true
				u := unit.Load((int64(bs.Pump.V)*per.Number + int64(unit.GPM) - 1) / int64(unit.GPM))
				p.Units += u
				p.Terms = append(p.Terms, Term{What: "pump, " + bs.Pump.V.String(), Units: u, Cite: *per.Cite})
			}
		}
	}
}

// trapOf keeps the largest trap of what a run carries; of a set that of its members.
func (w *summer) trapOf(p *Part, k *catalog.Kind, row *codebook.FixtureRow) {
	if t := &row.Trap; t.State == codebook.Given && t.Size > p.Trap {
		p.Trap, p.TrapOf, p.TrapCite = t.Size, k, t.Cite
	}
	for _, m := range k.Members {
		if row, st := m.In(w.book, codebook.Attr{Use: w.use}); st == codebook.Given {
			w.trapOf(p, m, &row)
		}
	}
}

func (w *summer) carried(r *network.Run, p *Part, on diag.Ref) {
	c := &r.Def.Carries
	if c.Units.Set {
		p.Units, p.Known = c.Units.V, true
		p.Terms = append(p.Terms, Term{What: "stated by the job", Units: c.Units.V})
		return
	}
	if len(r.Carried) == 0 {
		w.diags = append(w.diags, diag.Diagnostic{
			Severity: diag.Unchecked, Rule: "fixture-load", On: on, At: c.At,
			Message: r.Name + ": what it carries is not given in units or fixtures",
			Ask:     "which fixtures drain into it (count water closets separately)?",
		})
		return
	}
	p.Known = true
	var asked []string
	if c.More.Set {
		p.Units += c.More.V
		p.Terms = append(p.Terms, Term{What: "stated by the job", Units: c.More.V})
	}
	for i, k := range r.Carried {
		row, st := k.In(w.book, codebook.Attr{Use: w.use})
		if st != codebook.Given {
			p.Known = false
			if slices.Contains(r.Carried[:i], k) {
				continue // asked for already
			}
			w.diags = append(w.diags, diag.Diagnostic{
				Severity: diag.Unchecked, Rule: "fixture-load", On: on, At: c.At,
				Message: r.Name + ": the book does not list " + k.A(),
				Ask:     "how many fixture units does the authority count for it? write `units`",
			})
			continue
		}
		if row.Ask != "" && !slices.Contains(asked, row.Ask) {
			asked = append(asked, row.Ask)
			ask, _, _ := strings.Cut(row.Ask, "?")
			w.diags = append(w.diags, diag.Diagnostic{
				Severity: diag.Unchecked, Rule: "fixture-load", On: on, At: c.At,
				Message: r.Name + " carries " + k.A() + ": " + row.Assumed,
				Ask:     ask + "? if it is otherwise, write `units` under `carries`", Cites: cites(row.Cite),
			})
		}
		p.Known = p.Known && !row.AtLeast
		w.trapOf(p, k, &row)
		t := Term{What: k.Name, Units: row.Units.Load}
		if k.Group && strings.HasPrefix(row.When, "one by one") {
			t.What += ", " + row.When
		}
		if row.Cite != nil {
			t.Cite = *row.Cite
		}
		p.Units += t.Units
		p.Terms = append(p.Terms, t)
	}
	w.carriedBattery(p, r.Carried)
}

// total walks with the water once.
func (w *summer) total() {
	n, o := w.net, w.out
	k := len(o.classes)
	count := func(s int, kind *catalog.Kind) {
		for c, name := range o.classes {
			if kind.Has(name) {
				o.counts[s*k+c]++
			}
		}
	}
	for i := range n.Segs {
		s := &n.Segs[i]
		if f := s.Fixture; f != network.None && !o.Fixture[f].Gone {
			o.Units[i] += o.Fixture[f].Units
			o.Traps[i]++
			count(i, n.Fixtures[f].Kind)
			for _, kind := range n.Fixtures[f].Beside {
				count(i, kind)
			}
			if o.Fixture[f].disposer {
				w.bump(i, Disposer)
			}
		}
		if s.Carries && !n.Runs[s.Run].Gone {
			p := &o.Part[s.Run]
			o.Units[i] += p.Units
			o.AtLeast[i] = o.AtLeast[i] || !p.Known
			c := &n.Runs[s.Run].Def.Carries
			if len(c.Fixtures) == 0 {
				o.ClosetsUnknown[i] = !c.Closets.Set
				// Units alone: as many traps as there are units, so that a limit on how
				// many fixtures a pipe may take is not missed.
				o.Traps[i] += max(0, int32((p.Units+unit.Unit-1)/unit.Unit)-int32(len(n.Runs[s.Run].Carried)))
			}
			for _, kind := range n.Runs[s.Run].Carried {
				count(i, kind)
				o.Traps[i]++
			}
		}
		if s.Basin && !n.Runs[s.Run].Gone {
			// What is pumped replaces what runs into the basin.
			p := &o.Part[s.Run]
			o.Units[i] = p.Units
			o.AtLeast[i] = !p.Known
			w.bump(i, Pumped)
		}
		if d := s.Down; d != network.None {
			o.Units[d] += o.Units[i]
			o.AtLeast[d] = o.AtLeast[d] || o.AtLeast[i]
			o.ClosetsUnknown[d] = o.ClosetsUnknown[d] || o.ClosetsUnknown[i]
			o.Traps[d] += o.Traps[i]
			for c := range k {
				o.counts[int(d)*k+c] += o.counts[i*k+c]
			}
		}
	}
}

func (w *summer) bump(seg int, class string) {
	if c := w.out.ClassIndex(class); c >= 0 {
		w.out.counts[seg*len(w.out.classes)+c]++
	}
}
