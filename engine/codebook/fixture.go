package codebook

import (
	"strings"

	"go.yaml.in/yaml/v4"

	"trapweir/engine/diag"
	"trapweir/engine/source"
	"trapweir/engine/unit"
	"trapweir/engine/yamlread"
)

// fixtureDoc is the fixtures section of one file.
type fixtureDoc struct {
	at    source.Span
	rows  []fixtureLine
	notes []Note
	patch bool
	cols  []string
	said
}

// Use columns of the fixture table.
var useColumns = [3]string{"private", "public", "assembly"}

// fixtureLine is one row of the fixture table.
type fixtureLine struct {
	kind  string
	when  string
	tests []test
	units [3]unitsCell // private, public, assembly
	has   [4]bool      // which of the use columns and the trap stand in the grid
	trap  Cell
	notes string
	cite  *diag.Cite
	at    source.Span
}

// unitsCell is a cell of units, with what each further head (outlet, bowl, gpm) adds.
type unitsCell struct {
	Cell
	per  attr      // 0: nothing
	add  unit.Load // for each
	over int       // beyond so many
	// bare: `+1 per head over 1` without a number of its own; it adds to the kind's row.
	bare bool
}

type attr uint8

const (
	noAttr attr = iota
	attrFlush
	attrFlow
	attrHeads
	attrOutlets
	attrBowls
	attrTrap
	attrUse
	attrEmergency
	attrDisposer
)

var attrWords = map[string]attr{
	"flush": attrFlush, "flow": attrFlow, "heads": attrHeads, "outlets": attrOutlets, "bowls": attrBowls,
	"trap": attrTrap, "use": attrUse, "emergency": attrEmergency, "disposer": attrDisposer,
}

var attrNames = []string{"flush", "flow", "heads", "outlets", "bowls", "trap", "use", "emergency", "disposer"}

var perWords = map[string]attr{"head": attrHeads, "outlet": attrOutlets, "bowl": attrBowls, "gpm": attrFlow}

// test is one comparison of a `when`.
type test struct {
	attr attr
	op   string // "<=", "<", ">", ">=", "="
	v    int64
	text string // the value as written, for use and for what is assumed
}

var fixtureKeys = append([]string{"grid", "rows", "notes", "proof"}, saidKeys...)

func (r *reader) fixtureTable(n *yaml.Node) {
	d := &fixtureDoc{at: r.Span(n)}
	const what = "the fixture table"
	var lines, proof *yaml.Node
	for key, v := range r.Fields(n, what, fixtureKeys) {
		switch key {
		case "grid", "rows":
			if lines != nil {
				r.Add(r.Span(v), what+" has both grid and rows", "write grid for a whole table, rows for the kinds that differ")
				continue
			}
			lines, d.patch = v, key == "rows"
		case "notes":
			d.notes = r.notes(v, what)
		case "proof":
			proof = v
		default:
			r.said(&d.said, key, v)
		}
	}
	r.d.fixtures = d
	if lines == nil {
		r.Add(d.at, what+" has no lines", "write grid: | and the table, or rows: | with the kinds that differ")
		return
	}
	if !d.has {
		r.Add(d.at, what+" has no place", "write at: and the table's number in print")
	}
	g, ok := r.grid(lines, what, 2)
	if !ok {
		return
	}
	known := []string{"kind", "when", "private", "public", "assembly", "trap", "per head", "per gpm", "notes"}
	for i, h := range g.head {
		if !isOneOf(h, known) {
			r.Add(g.at, what+" has a column "+yamlread.Short(h), didYouMean(h, known, "the columns are "+strings.Join(known, ", ")))
			return
		}
		if i == 0 && h != "kind" {
			r.Add(g.at, "the first column of "+what+" is "+yamlread.Short(h), "write kind first")
			return
		}
	}
	d.cols = g.head[1:]
	table := make([][]Cell, 0, len(g.rows))
	for _, row := range g.rows {
		line, cells := r.fixtureLine(g.head, row, d)
		table = append(table, cells)
		d.rows = append(d.rows, line)
	}
	r.proof(proof, what, len(g.rows), d.cols, func(row, col int) (Cell, bool) { return table[row][col], true })
}

func (r *reader) fixtureLine(head []string, row gridRow, d *fixtureDoc) (fixtureLine, []Cell) {
	const what = "the fixture table"
	l := fixtureLine{at: row.at}
	cells := make([]Cell, len(head)-1)
	for i := range l.units {
		l.units[i].State = Blank
	}
	l.trap.State = Blank
	var perHead, perGPM Cell
	for k, h := range head {
		g := row.cells[k]
		switch h {
		case "kind":
			l.kind = g.text
		case "when":
			if g.text != "." {
				l.when = g.text
				l.tests = r.tests(g)
			}
		case "private", "public", "assembly":
			u := r.unitsCell(g)
			for i, name := range useColumns {
				if name == h {
					l.units[i], l.has[i] = u, true
				}
			}
			cells[k-1] = u.Cell
			if !d.patch {
				r.marks(u.Notes, d.notes, g.at, what)
			}
		case "trap":
			l.trap, l.has[3] = r.cell(g), true
			if l.trap.State == Given && l.trap.Size == 0 {
				r.Add(g.at, "the trap "+yamlread.Short(g.text)+" is no size", "write 1-1/2, or . where the outlet of the fixture decides")
			}
			cells[k-1] = l.trap
		case "per head":
			perHead = r.cell(g)
		case "per gpm":
			perGPM = r.cell(g)
		case "notes":
			if g.text != "." {
				l.notes = strings.NewReplacer(",", "", " ", "").Replace(g.text)
				if !d.patch {
					r.marks(l.notes, d.notes, g.at, what)
				}
			}
		}
	}
	for i := range l.units {
		u := &l.units[i]
		switch {
		case u.State != Given || u.per != noAttr:
		case perHead.State == Given:
			u.per, u.add, u.over = attrHeads, perHead.Load, 1
		case perGPM.State == Given:
			u.per, u.add = attrFlow, perGPM.Load
		}
	}
	return l, cells
}

// unitsCell reads `2`, `2 +1 per head over 1`, `+1 per head over 1 to 2` or, to add to
// the row of the kind, `+1 per head over 1`.
func (r *reader) unitsCell(g gridCell) unitsCell {
	m, s := parseMarks(g.text)
	base, more, plus := strings.Cut(s, "+")
	if !plus {
		c := r.cell(g)
		if c.State == Given && !isNumberCell(c.Text) {
			r.Add(g.at, "the units "+yamlread.Short(g.text)+" are no number", "write 3 or 0.5, - where the book prints a dash, . where it prints nothing")
		}
		return unitsCell{Cell: c}
	}
	base = strings.TrimSpace(base)
	fault := func() unitsCell {
		r.Add(g.at, "cannot read the units "+yamlread.Short(g.text), "write 2 +1 per head over 1 (or per outlet, per bowl, per gpm)")
		return unitsCell{Cell: Cell{State: Blank}}
	}
	if head, to, ok := strings.Cut(more, " to "); ok && base == "" {
		more, base = head, strings.TrimSpace(to)
	}
	f := strings.Fields(more)
	if len(f) != 3 && len(f) != 5 || f[1] != "per" {
		return fault()
	}
	u := unitsCell{per: perWords[f[2]]}
	add, ok := hundredths(f[0])
	if u.per == noAttr || !ok || add <= 0 {
		return fault()
	}
	u.add = unit.Load(add)
	if len(f) == 5 {
		n, ok := whole(f[4])
		if f[3] != "over" || !ok {
			return fault()
		}
		u.over = n
	} else if u.per != attrFlow {
		u.over = 1
	}
	u.Cell = Cell{State: Given, Text: s, Notes: m.Notes, Memory: m.Memory}
	switch h, ok := hundredths(base); {
	case base == "":
		u.bare = true
	case !ok:
		return fault()
	default:
		u.Load = unit.Load(h)
	}
	return u
}

func isNumberCell(s string) bool {
	_, ok := hundredths(s)
	return ok
}

// tests reads a `when` cell: comparisons joined by and.
func (r *reader) tests(g gridCell) []test {
	var out []test
	for _, part := range strings.Split(g.text, " and ") {
		part = strings.TrimSpace(part)
		name, rest, _ := strings.Cut(part, " ")
		a, known := attrWords[name]
		rest = strings.TrimSpace(rest)
		if !known {
			r.Add(g.at, "unknown attribute "+yamlread.Short(name), didYouMean(name, attrNames, "write one of "+strings.Join(attrNames, ", ")))
			continue
		}
		if rest == "" {
			if a != attrEmergency && a != attrDisposer {
				r.Add(g.at, name+" is compared with nothing", "write "+name+" <= and a value")
				continue
			}
			rest = "= yes"
		}
		op, val, ok := strings.Cut(rest, " ")
		if !ok || !isOneOf(op, []string{"<=", "<", ">=", ">", "=", "is"}) {
			r.Add(g.at, "cannot read "+yamlread.Short(part), "write "+name+" <= and a value, with blanks around the sign")
			continue
		}
		if op == "is" {
			op = "="
		}
		val = strings.TrimSpace(val)
		t := test{attr: a, op: op, text: val}
		var err error
		switch a {
		case attrFlush:
			var v unit.Volume
			v, err = unit.ParseVolume(val)
			t.v = int64(v)
		case attrFlow:
			var v unit.Flow
			v, err = unit.ParseFlow(val)
			t.v = int64(v)
		case attrTrap:
			var v unit.Size
			v, err = unit.ParseSize(val)
			t.v, t.text = int64(v), v.String()
		case attrHeads, attrOutlets, attrBowls:
			n, ok := whole(val)
			if !ok {
				r.Add(g.at, yamlread.Short(val)+" is no whole number", "write "+name+" >= 2")
				continue
			}
			t.v = int64(n)
		case attrUse:
			if op != "=" || !isOneOf(val, useColumns[:]) {
				r.Add(g.at, "cannot read "+yamlread.Short(part), "write use = private, use = public or use = assembly")
				continue
			}
		default:
			switch val {
			case "yes":
				t.v = 1
			case "no":
			default:
				r.Add(g.at, "cannot read "+yamlread.Short(part), "write "+name+", or "+name+" = no")
				continue
			}
		}
		if err != nil {
			r.quantity(g.at, err)
			continue
		}
		out = append(out, t)
	}
	return out
}

// outcome of a test: false, true, or not known because the fact is missing.
type outcome uint8

const (
	fails outcome = iota
	holds
	unknown
)

func (t *test) try(a *Attr) outcome {
	var v int64
	switch t.attr {
	case attrFlush:
		v = int64(least(a.Flush, a.FlushLeast))
	case attrFlow:
		v = int64(least(a.Flow, a.FlowLeast))
	case attrTrap:
		v = int64(a.Trap)
	case attrHeads:
		v = int64(max(1, a.Heads))
	case attrOutlets:
		v = int64(max(1, a.Outlets))
	case attrBowls:
		v = int64(max(1, a.Bowls))
	case attrUse:
		return yesNo(useIndex(a.Use) == useIndex(t.text))
	case attrEmergency:
		return yesNo(a.Emergency == (t.v == 1))
	case attrDisposer:
		return yesNo(a.Disposer == (t.v == 1))
	}
	if v == 0 {
		return unknown
	}
	switch t.op {
	case "<=":
		return yesNo(v <= t.v)
	case "<":
		return yesNo(v < t.v)
	case ">":
		return yesNo(v > t.v)
	case ">=":
		return yesNo(v >= t.v)
	}
	return yesNo(v == t.v)
}

// least is what is held against a limit: the least that a figure stands for, where that is set.
func least[T unit.Flow | unit.Volume](v, low T) T {
	if low > 0 {
		return low
	}
	return v
}

func yesNo(b bool) outcome {
	if b {
		return holds
	}
	return fails
}

// useIndex is the use column; anything but public and assembly is private.
func useIndex(use string) int {
	switch use {
	case "public":
		return 1
	case "assembly":
		return 2
	}
	return 0
}

func (l *fixtureLine) try(a *Attr) outcome {
	out := holds
	for i := range l.tests {
		switch l.tests[i].try(a) {
		case fails:
			return fails
		case unknown:
			out = unknown
		}
	}
	return out
}

// headFlow is the most that one shower head may deliver: 2.5 gpm. Source: 10 CFR
// 430.32(p), the federal standard for showerheads.
const headFlow = 2500 * unit.Flow(1)

// Fixture returns what the book says of a fixture: the first row of its kind whose `when`
// holds, with the units of the use column.
//
// State is Given, or that of the units cell (Blank: nothing printed for this use, Dash);
// Absent when the book has no such kind or no row of it fits. Units then count nothing.
// Where a fact that chooses between rows is missing and the rows differ, the first row
// that can still hold is taken; Assumed and Ask say so. Several shower heads or outlets
// without a flow are taken at 2.5 gpm each.
func (b *Book) Fixture(kind string, a Attr) (FixtureRow, State) {
	list := b.fixtures[kind]
	if len(list) == 0 {
		return FixtureRow{Kind: kind}, Absent
	}
	flowSaid := ""
	if n := max(a.Heads, a.Outlets); n > 1 && a.Flow == 0 {
		a.Flow, a.FlowLeast = unit.Flow(n)*headFlow, 0
		flowSaid = "flow taken as " + a.Flow.String() + ", " + plural(n, "head") + " of " + headFlow.String()
	}
	use := useIndex(a.Use)
	var taken *fixtureLine
	certain := true // no row before taken could hold
	differ := false // a row that could hold too says something else
	for _, l := range list {
		if l.units[use].bare {
			continue
		}
		o := l.try(&a)
		if o == fails {
			continue
		}
		if taken == nil {
			taken = l
			if o == holds {
				break
			}
			certain = false
			continue
		}
		if !sameCell(&l.units[use].Cell, &taken.units[use].Cell) || !sameCell(&l.trap, &taken.trap) {
			differ = true
		}
		if o == holds {
			break
		}
	}
	if taken == nil {
		return FixtureRow{Kind: kind}, Absent
	}
	row := b.fixtureRow(taken, use)
	u := &taken.units[use]
	if u.State == Given {
		row.Units.Load += u.more(&a)
		for _, l := range list {
			if x := &l.units[use]; x.bare && l.try(&a) != fails {
				row.Units.Load += x.more(&a)
				row.Units.Memory = row.Units.Memory || x.Memory
			}
		}
	}
	switch {
	case !certain && differ:
		row.Assumed, row.Ask = taken.assumed(&a)
	case flowSaid != "" && usesFlow(list):
		row.Assumed, row.Ask = flowSaid, askOf(attrFlow)
	}
	return row, row.Units.State
}

func usesFlow(list []*fixtureLine) bool {
	for _, l := range list {
		for i := range l.tests {
			if l.tests[i].attr == attrFlow {
				return true
			}
		}
	}
	return false
}

func sameCell(a, b *Cell) bool { return a.State == b.State && a.Load == b.Load && a.Size == b.Size }

// more is what further heads, outlets, bowls or gallons a minute add.
func (u *unitsCell) more(a *Attr) unit.Load {
	n := 0
	switch u.per {
	case noAttr:
		return 0
	case attrFlow:
		over := int64(a.Flow) - int64(u.over)*int64(unit.GPM)
		if over <= 0 {
			return 0
		}
		return unit.Load((over*int64(u.add) + int64(unit.GPM) - 1) / int64(unit.GPM))
	case attrHeads:
		n = a.Heads
	case attrOutlets:
		n = a.Outlets
	case attrBowls:
		n = a.Bowls
	}
	return unit.Load(max(0, n-u.over)) * u.add
}

// assumed says what was taken for the facts that a row asks for and the job lacks.
func (l *fixtureLine) assumed(a *Attr) (string, string) {
	var said, ask []string
	for i := range l.tests {
		t := &l.tests[i]
		if t.try(a) != unknown {
			continue
		}
		w := attrNames[t.attr-1] + " taken as "
		switch t.op {
		case "<=":
			w += t.text + " or less"
		case "<":
			w += "less than " + t.text
		case ">":
			w += "more than " + t.text
		case ">=":
			w += t.text + " or more"
		default:
			w += t.text
		}
		said = append(said, w)
		ask = append(ask, askOf(t.attr))
	}
	if len(said) == 0 {
		return "", ""
	}
	return strings.Join(said, ", "), ask[0]
}

func askOf(a attr) string {
	switch a {
	case attrFlush:
		return "how much water does it flush? write `flush: 1.28 gal`"
	case attrFlow:
		return "how many gpm do all its heads and sprays that can run together deliver? write `flow: 2.5 gpm`"
	case attrTrap:
		return "what size is its trap? write `trap: 1-1/2`"
	}
	return "what is its " + attrNames[a-1] + "?"
}

func (b *Book) fixtureRow(l *fixtureLine, use int) FixtureRow {
	row := FixtureRow{Kind: l.kind, When: l.when, Units: l.units[use].Cell, Trap: l.trap, Notes: l.notes, Cite: l.units[use].Cite}
	for i := range l.tests {
		if t := &l.tests[i]; t.attr == attrFlow && (t.op == "<=" || t.op == "<") {
			row.MaxFlow = unit.Flow(t.v)
		}
	}
	return row
}

// FixtureRows returns every row of a kind in the book's order, with the units of private
// use; nil when the book does not list it.
func (b *Book) FixtureRows(kind string) []FixtureRow {
	var out []FixtureRow
	for _, l := range b.fixtures[kind] {
		out = append(out, b.fixtureRow(l, 0))
	}
	return out
}

// FixtureLine is one row of the fixture table for printing.
type FixtureLine struct {
	Kind, When                string
	Private, Public, Assembly Cell
	Trap                      Cell
	Notes                     string // note marks
	Cite                      *diag.Cite
}

// Fixtures lists the fixture table in the book's order.
func (b *Book) Fixtures() []FixtureLine {
	out := make([]FixtureLine, 0, len(b.fixtureList))
	for _, l := range b.fixtureList {
		out = append(out, FixtureLine{l.kind, l.when, l.units[0].Cell, l.units[1].Cell, l.units[2].Cell, l.trap, l.notes, l.cite})
	}
	return out
}

// FixtureNotes are the notes of the fixture table.
func (b *Book) FixtureNotes() []Note { return b.fixtureNotes }

// FixtureKinds lists the kinds of the fixture table, each once, in the book's order.
func (b *Book) FixtureKinds() []string {
	var out []string
	for _, l := range b.fixtureList {
		if len(out) == 0 || !isOneOf(l.kind, out) {
			out = append(out, l.kind)
		}
	}
	return out
}
