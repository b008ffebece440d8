package codebook

import (
	"sort"

	"trapweir/engine/diag"
	"trapweir/engine/unit"
)

// Book is one edition with its layers laid over it, ready to answer. It does not change;
// what its methods return is shared and must not be written to.
type Book struct {
	layer    Layer
	layers   []Layer
	clauses  map[string]clause
	params   map[string]*Param
	paramIDs []string
	tables   map[string]*Table
	tableIDs []string

	fixtures     map[string][]*fixtureLine
	fixtureList  []*fixtureLine
	fixtureNotes []Note

	groups     []Group
	baths      []BathsRow
	groupNotes []Note

	sizing []Sizing
	limits []Limit
	off    []Limit

	stock     []unit.Size
	stockCite diag.Cite
	hasStock  bool
}

type clause struct {
	cite diag.Cite
	off  bool
}

// ID is the id of the edition.
func (b *Book) ID() string { return b.layer.ID }

// Title is the title of the edition.
func (b *Book) Title() string { return b.layer.Title }

// Layers lists what takes part: the edition first, then the layers in the order laid.
func (b *Book) Layers() []Layer { return b.layers }

// Clause returns the printed place of a topic. ok is false when the book does not have
// the topic, or a layer has switched it off: the rule is then not part of this book.
func (b *Book) Clause(topic string) (diag.Cite, bool) {
	c, ok := b.clauses[topic]
	return c.cite, ok && !c.off
}

// ClauseOff returns the layer that switched a topic off, with the place that it stood
// under in Over; ok is false when none did.
func (b *Book) ClauseOff(topic string) (diag.Cite, bool) {
	c, ok := b.clauses[topic]
	return c.cite, ok && c.off
}

// Clauses lists the topics in alphabetical order, without those switched off.
func (b *Book) Clauses() []string {
	out := make([]string, 0, len(b.clauses))
	for t, c := range b.clauses {
		if !c.off {
			out = append(out, t)
		}
	}
	sort.Strings(out)
	return out
}

// Param returns a named value; its State is Absent when the book does not have it, and
// NoLimit when the book (or a layer) sets no such limit.
func (b *Book) Param(id string) Param {
	if p := b.params[id]; p != nil {
		return *p
	}
	return Param{ID: id}
}

// Params lists the ids of the named values in the book's order.
func (b *Book) Params() []string { return b.paramIDs }

// Tables lists the ids of the tables in the book's order.
func (b *Book) Tables() []string { return b.tableIDs }

// Table returns a table by its id.
func (b *Book) Table(id string) (*Table, bool) {
	t := b.tables[id]
	return t, t != nil
}

// Cell returns one cell of a table whose rows are pipe sizes; Absent when the table, the
// row or the column is not there. Rows are not interpolated.
func (b *Book) Cell(table string, row unit.Size, column string) Cell {
	t := b.tables[table]
	if t == nil {
		return Cell{}
	}
	return t.Cell(row, column)
}

// CellSlope returns the cell of a table whose columns are slopes, and the slope of its
// column: that of the steepest printed slope which the pipe reaches. A column where the
// row has nothing printed is passed over. Absent when the table or the row is not there
// or the pipe is flatter than every column; a printed dash stays a Dash.
func (b *Book) CellSlope(table string, row unit.Size, slope unit.Slope) (Cell, unit.Slope) {
	t := b.tables[table]
	if t == nil {
		return Cell{}, unit.Slope{}
	}
	r := t.Row(row)
	if r == nil {
		return Cell{}, unit.Slope{}
	}
	best := -1
	for k, s := range t.Slopes {
		if s.Run == 0 || r.Cells[k].State == Blank || slope.Run == 0 || !slope.Reaches(s) {
			continue
		}
		if best < 0 || t.Slopes[best].Cmp(s) < 0 {
			best = k
		}
	}
	if best < 0 {
		return Cell{}, unit.Slope{}
	}
	return r.Cells[best], t.Slopes[best]
}

// Column returns the index of a column head, -1 when there is none.
func (t *Table) Column(head string) int {
	for i, c := range t.Columns {
		if c == head {
			return i
		}
	}
	return -1
}

// Row returns the row of a pipe size, nil when the table has none.
func (t *Table) Row(size unit.Size) *Row {
	i, ok := t.rows[size]
	if !ok || size == 0 {
		return nil
	}
	return &t.Rows[i]
}

// RowByKey returns the row with a key as written ("cast iron").
func (t *Table) RowByKey(key string) (*Row, bool) {
	for i := range t.Rows {
		if t.Rows[i].Key == key {
			return &t.Rows[i], true
		}
	}
	return nil, false
}

// Cell returns one cell by pipe size and column head; Absent when there is none.
func (t *Table) Cell(size unit.Size, column string) Cell {
	r := t.Row(size)
	c := t.Column(column)
	if r == nil || c < 0 {
		return Cell{}
	}
	return r.Cells[c]
}

// CellByKey returns one cell by the row's key as written and the column head; Absent when
// there is none.
func (t *Table) CellByKey(key, column string) Cell {
	r, ok := t.RowByKey(key)
	c := t.Column(column)
	if !ok || c < 0 {
		return Cell{}
	}
	return r.Cells[c]
}

// FirstRow returns the first row in the printed order for which want is true.
func (t *Table) FirstRow(want func(Row) bool) (Row, bool) {
	for i := range t.Rows {
		if want(t.Rows[i]) {
			return t.Rows[i], true
		}
	}
	return Row{}, false
}

// Note returns what a note mark of the table says, "" when it has none.
func (t *Table) Note(mark string) string {
	for _, n := range t.Notes {
		if n.Mark == mark {
			return n.Say
		}
	}
	return ""
}

// Limits lists the one-liners that hold, in the book's order.
func (b *Book) Limits() []Limit { return b.limits }

// Off lists the one-liners that a layer has switched off, with the layer as Cite and what
// it lay over in Cite.Over.
func (b *Book) Off() []Limit { return b.off }

// Sizings lists which table and column speak for which roles.
func (b *Book) Sizings() []Sizing { return b.sizing }

// Stock lists the sizes that the shop keeps, smallest first; ok is false when no layer
// says.
func (b *Book) Stock() (sizes []unit.Size, cite diag.Cite, ok bool) {
	return b.stock, b.stockCite, b.hasStock
}

// Groups lists the sets of fixtures that the book rates together; none when it has none.
func (b *Book) Groups() []Group { return b.groups }

// Baths lists what the book counts for a house by its number of baths, the row of each
// further bath last; none when it has none.
func (b *Book) Baths() []BathsRow { return b.baths }

// GroupNotes are the notes of the groups.
func (b *Book) GroupNotes() []Note { return b.groupNotes }
