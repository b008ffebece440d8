package codebook

import (
	"strings"

	"trapweir/engine/diag"
	"trapweir/engine/source"
	"trapweir/engine/unit"
	"trapweir/engine/yamlread"
)

// noPlace is for what stands in the job, whose reader knows the place.
var noPlace source.Span

// merger lays files over each other.
type merger struct {
	b      *Book
	shapes map[string]paramShape
	sizing []sizingDoc
	gone   map[string]bool // limits that an edition or layer below took out
	diags  []diag.Diagnostic
}

func newMerger(book Layer) *merger {
	return &merger{
		shapes: map[string]paramShape{}, gone: map[string]bool{},
		b: &Book{
			layer: book, layers: []Layer{book},
			clauses:  map[string]clause{},
			params:   map[string]*Param{},
			tables:   map[string]*Table{},
			fixtures: map[string][]*fixtureLine{},
		},
	}
}

func (m *merger) add(at source.Span, message, try string) {
	m.diags = append(m.diags, bookDiag(at, message, try))
}

// citeOf makes the cite of a value that speaks for a layer.
func citeOf(l Layer, s *said) diag.Cite {
	return diag.Cite{Book: l.ID, Kind: l.Kind, Title: l.Title, At: s.at, Memory: s.memory, Conflict: s.conflict}
}

// over says what lay below: its text and place, and its layer where that is no book.
func over(text string, c *diag.Cite) string {
	out := text
	if c == nil {
		return out
	}
	if c.At != "" {
		if out != "" {
			out += ", "
		}
		out += c.At
	}
	if !isOneOf(c.Kind, bookKinds) {
		out += ", " + c.Book
	}
	return out
}

// lay puts one file over what is there. The files of a book speak in the name of the
// edition that was asked for, and what an edition changes is no longer shown; layers
// keep what lay below.
func (m *merger) lay(d *doc, as Layer, layer bool) {
	b := m.b
	if layer {
		b.layers = append(b.layers, as)
	}
	for i := range d.clauses {
		c := &d.clauses[i]
		x := clause{cite: citeOf(as, &c.said), off: c.off}
		if old, ok := b.clauses[c.id.text]; ok && layer {
			x.cite.Over = over("", &old.cite)
		}
		b.clauses[c.id.text] = x
	}
	for i := range d.params {
		m.param(&d.params[i], as, layer)
	}
	for i := range d.tables {
		m.table(&d.tables[i], as, layer)
	}
	if d.fixtures != nil {
		m.fixtures(d.fixtures, as, layer)
	}
	if d.groups != nil {
		m.groups(d.groups, as)
	}
	if d.hasSize {
		m.sizing = d.sizing
	}
	for i := range d.limits {
		m.limit(&d.limits[i], as, layer)
	}
	if d.hasStock {
		b.stock, b.stockCite, b.hasStock = d.stock, citeOf(as, &d.stockAt), true
	}
}

func (m *merger) param(d *paramDoc, as Layer, layer bool) {
	b := m.b
	p := d.p
	c := citeOf(as, &d.said)
	if old := b.params[p.ID]; old != nil {
		below := m.shapes[p.ID]
		if !d.fits(below) {
			m.add(d.id.at, p.ID+" is "+shapeWords[below]+" in the book; found "+yamlread.Short(p.Text), "write "+shapeWrites[below])
			return
		}
		if layer {
			c.Over = over(old.Text, old.Cite)
		}
		if d.as == isNone && layer {
			// Keep the shape that a further layer has to have.
			d = &paramDoc{as: below}
		}
	} else {
		b.paramIDs = append(b.paramIDs, p.ID)
	}
	p.Cite = &c
	b.params[p.ID] = &p
	if d.as == isNone && d.shape != isNone {
		d = &paramDoc{as: d.shape}
	}
	m.shapes[p.ID] = d.as
}

func (m *merger) limit(d *limitDoc, as Layer, layer bool) {
	b := m.b
	c := citeOf(as, &d.said)
	at := -1
	for i := range b.limits {
		if b.limits[i].ID == d.l.ID {
			at = i
		}
	}
	if d.off {
		if at < 0 && m.gone[d.l.ID] {
			return // a later edition has dropped what the layer switches off
		}
		if at < 0 {
			var ids []string
			for i := range b.limits {
				ids = append(ids, b.limits[i].ID)
			}
			m.add(d.id.at, "no limit "+yamlread.Short(d.l.ID)+" to switch off", didYouMean(d.l.ID, ids, "the limits are "+strings.Join(ids, ", ")))
			return
		}
		gone := b.limits[at]
		m.gone[gone.ID] = true
		b.limits = append(b.limits[:at:at], b.limits[at+1:]...)
		if layer {
			c.Over = over(gone.Min.String(), gone.Cite)
			gone.Cite = &c
			b.off = append(b.off, gone)
			m.loosened(as, d.id.at, "switches off "+gone.ID+" of "+gone.Cite.Over)
		}
		return
	}
	l := d.l
	l.Cite = &c
	if at < 0 {
		b.limits = append(b.limits, l)
		return
	}
	if layer {
		c.Over = over(b.limits[at].Min.String(), b.limits[at].Cite)
		if l.Min < b.limits[at].Min {
			m.loosened(as, d.id.at, "makes "+l.ID+" "+l.Min.String()+", below "+c.Over)
		}
	}
	b.limits[at] = l
}

// loosened warns where a shop's practice asks for less than the book.
func (m *merger) loosened(as Layer, at source.Span, what string) {
	if as.Kind != "shop practice" {
		return
	}
	d := bookDiag(at, as.ID+" is shop practice and "+what, "a shop may ask for more than the book, not for less; if an authority permits it, write a local amendment")
	d.Severity = diag.Warning
	m.diags = append(m.diags, d)
}

func (m *merger) table(d *tableDoc, as Layer, layer bool) {
	b := m.b
	id := d.id.text
	old := b.tables[id]
	switch {
	case d.off && old == nil, d.patch && old == nil:
		m.add(d.id.at, "the book has no table "+yamlread.Short(id), didYouMean(id, b.tableIDs, "the tables are "+strings.Join(b.tableIDs, ", ")))
		return
	case d.off:
		delete(b.tables, id)
		for i, x := range b.tableIDs {
			if x == id {
				b.tableIDs = append(b.tableIDs[:i:i], b.tableIDs[i+1:]...)
				break
			}
		}
		return
	case d.patch:
		m.patch(d, old, as, layer)
		return
	}
	t := d.t.clone()
	t.stamp(citeOf(as, &d.said))
	if old == nil {
		b.tableIDs = append(b.tableIDs, id)
	} else if layer {
		t.keepOver(old)
	}
	b.tables[id] = t
}

// keepOver notes in every cell that differs what the table below had there.
func (t *Table) keepOver(old *Table) {
	for i := range t.Rows {
		o, ok := old.RowByKey(t.Rows[i].Key)
		if !ok {
			continue
		}
		for k, head := range t.Columns {
			if c := old.Column(head); c >= 0 {
				t.Rows[i].Cells[k].keepOver(&o.Cells[c])
			}
		}
	}
}

func (c *Cell) keepOver(old *Cell) {
	if c.State == old.State && c.Text == old.Text {
		return
	}
	x := *c.Cite
	text := old.Text
	if old.State == Blank {
		text = "nothing"
	}
	x.Over = over(text, old.Cite)
	c.Cite = &x
}

func (m *merger) patch(d *tableDoc, old *Table, as Layer, layer bool) {
	what := "the table " + old.ID
	if d.t.KeyHead != old.KeyHead || strings.Join(d.t.Columns, "\x00") != strings.Join(old.Columns, "\x00") {
		m.add(d.heads, "the head of "+what+" is "+d.t.KeyHead+", "+strings.Join(d.t.Columns, ", "), "write the head of the book's table: "+old.KeyHead+"  "+strings.Join(old.Columns, "  "))
		return
	}
	t := old.clone()
	for _, n := range d.t.Notes {
		if hasNote(t.Notes, n.Mark) {
			if !layer {
				for i := range t.Notes {
					if t.Notes[i].Mark == n.Mark {
						t.Notes[i] = n
					}
				}
				continue
			}
			m.add(d.id.at, what+" has a note "+n.Mark+" already", "take another letter")
			continue
		}
		t.Notes = append(t.Notes, n)
	}
	place := d.said
	if !place.has {
		place.at = old.Place
	}
	p := d.t.clone()
	p.stamp(citeOf(as, &place))
	for i := range p.Rows {
		row := p.Rows[i]
		for k := range row.Cells {
			for _, mark := range row.Cells[k].Notes {
				if !hasNote(t.Notes, string(mark)) {
					m.add(row.At, "no note "+string(mark)+" in "+what, "add it under notes, or take the mark off")
				}
			}
		}
		at := -1
		for k := range t.Rows {
			if t.Rows[k].Key == row.Key || row.Size != 0 && t.Rows[k].Size == row.Size {
				at = k
			}
		}
		if at < 0 {
			// Sizes stay in order; other keys go last.
			at = len(t.Rows)
			for k := range t.Rows {
				if row.Size != 0 && t.Rows[k].Size > row.Size {
					at = k
					break
				}
			}
			t.Rows = append(t.Rows, Row{})
			copy(t.Rows[at+1:], t.Rows[at:])
			t.Rows[at] = row
			continue
		}
		if layer {
			for k := range row.Cells {
				row.Cells[k].keepOver(&t.Rows[at].Cells[k])
			}
		}
		t.Rows[at] = row
	}
	if d.t.Title != "" {
		t.Title = d.t.Title
	}
	t.index()
	m.b.tables[old.ID] = t
}

// fixtures lays a fixture table over the one below. A grid stands in place of the whole
// table; rows stand in place of all rows of their kinds. Columns that rows do not have
// keep what lay below, in the row with the same `when` or else the first of the kind.
func (m *merger) fixtures(d *fixtureDoc, as Layer, layer bool) {
	b := m.b
	units, trap := citeOf(as, &d.said), citeOf(as, &d.said)
	// "P3004.1, Table P3004.1; Table P3201.7": loads, then traps.
	if u, t, ok := strings.Cut(d.said.at, ";"); ok {
		units.At, trap.At = strings.TrimSpace(u), strings.TrimSpace(t)
	}
	old := b.fixtures
	if !d.patch {
		b.fixtureNotes, b.fixtureList = nil, nil
		b.fixtures = map[string][]*fixtureLine{}
	}
	for _, n := range d.notes {
		if hasNote(b.fixtureNotes, n.Mark) && layer {
			m.add(d.at, "the fixture table has a note "+n.Mark+" already", "take another letter")
			continue
		}
		b.fixtureNotes = append(b.fixtureNotes, n)
	}
	fresh := map[string][]*fixtureLine{}
	var order []string
	for i := range d.rows {
		l := d.rows[i]
		was := sameWhen(old[l.kind], l.when)
		for k := range l.units {
			u := &l.units[k]
			switch {
			case d.patch && !l.has[k] && was != nil:
				*u = was.units[k]
				continue
			}
			u.Cite = withMemory(&units, u.Memory)
			if layer && was != nil {
				u.keepOver(&was.units[k].Cell)
			}
		}
		if d.patch && !l.has[3] && was != nil {
			l.trap = was.trap
		} else {
			l.trap.Cite = withMemory(&trap, l.trap.Memory)
			if layer && was != nil {
				l.trap.keepOver(&was.trap)
			}
		}
		l.cite = withMemory(&units, l.units[0].Memory)
		if d.patch {
			for _, mark := range l.notes + l.units[0].Notes + l.units[1].Notes + l.units[2].Notes + l.trap.Notes {
				if !hasNote(b.fixtureNotes, string(mark)) {
					m.add(l.at, "no note "+string(mark)+" in the fixture table", "add it under notes, or take the mark off")
				}
			}
		}
		if len(fresh[l.kind]) == 0 {
			order = append(order, l.kind)
		}
		fresh[l.kind] = append(fresh[l.kind], &l)
	}
	// Keep the book's order; kinds that it does not have go last.
	var list []*fixtureLine
	done := map[string]bool{}
	for _, l := range b.fixtureList {
		lines, changed := fresh[l.kind]
		switch {
		case !changed:
			list = append(list, l)
		case !done[l.kind]:
			list = append(list, lines...)
			done[l.kind] = true
		}
	}
	for _, k := range order {
		if !done[k] {
			list = append(list, fresh[k]...)
		}
	}
	b.fixtureList = list
	b.fixtures = make(map[string][]*fixtureLine, len(b.fixtures)+len(fresh))
	for _, l := range list {
		b.fixtures[l.kind] = append(b.fixtures[l.kind], l)
	}
}

func withMemory(c *diag.Cite, memory bool) *diag.Cite {
	if !memory || c.Memory {
		return c
	}
	x := *c
	x.Memory = true
	return &x
}

func sameWhen(list []*fixtureLine, when string) *fixtureLine {
	for _, l := range list {
		if l.when == when {
			return l
		}
	}
	if len(list) > 0 {
		return list[0]
	}
	return nil
}

// groups of a file stand in place of all groups below.
func (m *merger) groups(d *groupDoc, as Layer) {
	b := m.b
	c := citeOf(as, &d.said)
	b.groups, b.baths, b.groupNotes = nil, nil, d.notes
	for i, g := range d.groups {
		g.Cite = withMemory(&c, d.memory[i])
		b.groups = append(b.groups, g)
	}
	for i, r := range d.baths {
		r.Cite = withMemory(&c, d.bathsM[i])
		b.baths = append(b.baths, r)
	}
}

// finish checks what only the whole can show.
func (m *merger) finish() *Book {
	b := m.b
	for i := range m.sizing {
		s := &m.sizing[i]
		t := b.tables[s.s.Table]
		switch {
		case t == nil:
			m.add(s.table.at, "sizing names the table "+yamlread.Short(s.s.Table)+", which the book does not have", didYouMean(s.s.Table, b.tableIDs, "the tables are "+strings.Join(b.tableIDs, ", ")))
		case s.s.Column == bySlope:
			if !t.hasSlopes() {
				m.add(s.col.at, "sizing reads "+t.ID+" by slope, and no column head of it is a slope", "write a column: "+strings.Join(t.Columns, ", "))
			}
		case t.Column(s.s.Column) < 0:
			m.add(s.col.at, "sizing names the column "+yamlread.Short(s.s.Column)+", which "+t.ID+" does not have", didYouMean(s.s.Column, t.Columns, "the columns are "+strings.Join(t.Columns, ", ")))
		}
		b.sizing = append(b.sizing, s.s)
	}
	return b
}

// bySlope is the column word that means the column of the pipe's slope.
const bySlope = "by slope"

func (t *Table) hasSlopes() bool {
	for _, s := range t.Slopes {
		if s != (unit.Slope{}) {
			return true
		}
	}
	return false
}
