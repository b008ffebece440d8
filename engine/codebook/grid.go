package codebook

import (
	"fmt"
	"strings"

	"go.yaml.in/yaml/v4"

	"trapweir/engine/diag"
	"trapweir/engine/source"
	"trapweir/engine/unit"
	"trapweir/engine/yamlread"
)

// A grid is a table as it stands in print: one line a row, cells parted by two or more
// blanks, the head first. Lines that start with # are remarks.
type grid struct {
	head []string
	at   source.Span // of the head
	rows []gridRow
}

type gridRow struct {
	cells []gridCell
	at    source.Span
}

type gridCell struct {
	text string
	at   source.Span
}

// The largest grid that is read; the largest printed table has some 40 rows and 15 columns.
const (
	maxColumns = 64
	maxRows    = 2000
	maxNotes   = 64
)

// grid reads a block of lines. least is the smallest number of columns.
func (r *reader) grid(n *yaml.Node, what string, least int) (grid, bool) {
	var g grid
	b, ok := r.Block(n, what)
	if !ok {
		return g, false
	}
	for i, line := range b.Lines {
		t := strings.TrimSpace(line)
		if t == "" || t[0] == '#' {
			continue
		}
		if tab := strings.IndexByte(line, '\t'); tab >= 0 {
			from := len([]rune(line[:tab]))
			r.Add(b.Span(i, from, from+1), what+" has a tab", "part the columns by two or more blanks")
			return g, false
		}
		cells, spans := splitCells(line)
		row := gridRow{at: b.Span(i, spans[0][0], spans[len(spans)-1][1])}
		if len(cells) > maxColumns {
			r.Addf(row.at, "a line of %s has %d columns, more than the %d that are read", what, len(cells), maxColumns)
			return g, false
		}
		start := row.at.Col - int32(spans[0][0])
		for k := range cells {
			at := row.at
			at.Col, at.EndCol = start+int32(spans[k][0]), start+int32(spans[k][1])
			row.cells = append(row.cells, gridCell{cells[k], at})
		}
		if g.head == nil {
			g.head, g.at = cells, row.at
			if len(cells) < least {
				r.Add(row.at, fmt.Sprintf("the head of %s has %s, at least %d are needed", what, plural(len(cells), "column"), least), "part the columns by two or more blanks")
				return g, false
			}
			for k, h := range cells {
				for _, other := range cells[:k] {
					if other == h {
						r.Add(row.cells[k].at, "the column "+yamlread.Short(h)+" stands twice in the head of "+what, "give each column its own head")
						return g, false
					}
				}
			}
			continue
		}
		if len(cells) != len(g.head) {
			r.Add(row.at, fmt.Sprintf("the row has %s and the head of %s has %s", plural(len(cells), "cell"), what, plural(len(g.head), "column")),
				"write - where the book prints a dash, . where it prints nothing, and part cells by two or more blanks")
			continue
		}
		if len(g.rows) == maxRows {
			r.Addf(row.at, "%s has more than the %d rows that are read", what, maxRows)
			return g, false
		}
		g.rows = append(g.rows, row)
	}
	if g.head == nil {
		r.Add(r.Span(n), what+" has no lines", "write the head and a line for each row")
		return g, false
	}
	return g, true
}

// splitCells parts a line at two or more blanks; spans count characters.
func splitCells(line string) (cells []string, spans [][2]int) {
	pos := 0
	for rest := line; ; {
		trimmed := strings.TrimLeft(rest, " ")
		pos += len(rest) - len(trimmed)
		if trimmed == "" {
			return cells, spans
		}
		end := strings.Index(trimmed, "  ")
		if end < 0 {
			end = len(strings.TrimRight(trimmed, " "))
		}
		w := len([]rune(trimmed[:end]))
		cells = append(cells, trimmed[:end])
		spans = append(spans, [2]int{pos, pos + w})
		pos += w
		rest = trimmed[end:]
	}
}

// cell reads one cell. Marks: [a] notes, ? from memory. key cells are not read as
// quantities and never faulted.
func (r *reader) cell(g gridCell) Cell {
	c, s := parseMarks(g.text)
	c.Text = s
	switch s {
	case "":
		if c.Notes == "" {
			r.Add(g.at, "the cell "+yamlread.Short(g.text)+" has marks and no value", "write - where the book prints a dash, . where it prints nothing")
		}
		c.State = Blank
		return c
	case "-", "NP":
		c.State = Dash
		return c
	case "NL":
		c.State = NoLimit
		return c
	case ".":
		c.State, c.Text = Blank, ""
		return c
	}
	c.State = Given
	if !startsNumber(s) {
		return c
	}
	known := false
	if h, ok := hundredths(s); ok {
		c.Load, known = unit.Load(h), true
	}
	if share, ok := parseShare(s); ok {
		c.Share, known = share, true
	}
	if size, err := unit.ParsePlug(s); err == nil { // a table of cleanouts has sizes of its own
		c.Size, known = size, true
	}
	if l, err := unit.ParseLength(s); err == nil {
		c.Length, known = l, true
	}
	if !known {
		if sl, err := unit.ParseSlope(s); err == nil {
			c.Slope, known = sl, true
		} else if _, err := unit.ParseFlow(s); err == nil {
			known = true
		} else if _, err := unit.ParseVolume(s); err == nil {
			known = true
		} else if _, err := unit.ParseTemperature(s); err == nil {
			known = true
		}
	}
	if !known {
		r.Add(g.at, "the cell "+yamlread.Short(g.text)+" is no quantity that can be read", `write 160, 6', 1/4"/ft, 1-1/2, - (a dash), NL (no limit) or . (nothing printed)`)
	}
	return c
}

// parseMarks takes note marks and the memory mark off the end of a cell.
func parseMarks(s string) (c Cell, rest string) {
	for {
		switch {
		case strings.HasSuffix(s, "?"):
			c.Memory = true
			s = strings.TrimRight(s[:len(s)-1], " ")
		case strings.HasSuffix(s, "]") && strings.LastIndexByte(s, '[') >= 0:
			at := strings.LastIndexByte(s, '[')
			marks := s[at+1 : len(s)-1]
			marks = strings.NewReplacer(",", "", " ", "").Replace(marks)
			c.Notes = marks + c.Notes
			s = strings.TrimRight(s[:at], " ")
		default:
			return c, s
		}
	}
}

type tableDoc struct {
	id    word
	t     Table
	off   bool
	patch bool // rows only: laid over the table below
	heads source.Span
	said
}

var tableKeys = append([]string{"title", "grid", "rows", "notes", "proof", "off"}, saidKeys...)

func (r *reader) table(k, n *yaml.Node) {
	d := tableDoc{id: word{k.Value, r.Span(k)}}
	d.t.ID = k.Value
	what := "the table " + k.Value
	var lines, proof *yaml.Node
	for key, v := range r.Fields(n, what, tableKeys) {
		switch key {
		case "title":
			d.t.Title, _, _ = r.Text(v)
		case "grid", "rows":
			if lines != nil {
				r.Add(r.Span(v), what+" has both grid and rows", "write grid for a whole table, rows for a few that differ")
				continue
			}
			lines, d.patch = v, key == "rows"
		case "notes":
			d.t.Notes = r.notes(v, what)
		case "proof":
			proof = v
		case "off":
			d.off, _ = r.yes(v)
		default:
			r.said(&d.said, key, v)
		}
	}
	d.t.Place, d.t.Seen = d.at, d.seen
	switch {
	case d.off:
		r.d.tables = append(r.d.tables, d)
		return
	case lines == nil:
		r.Add(d.id.at, what+" has no lines", "write grid: | and the table, or rows: | with the rows that differ")
		return
	case !d.patch && d.t.Title == "":
		r.Add(d.id.at, what+" has no title", "write title: and what it gives, in your own words")
	}
	if !d.has && !d.patch {
		r.Add(d.id.at, what+" has no place", "write at: and the table's number in print")
	}
	g, ok := r.grid(lines, what, 2)
	if !ok {
		return
	}
	d.heads = g.at
	d.t.KeyHead, d.t.Columns = g.head[0], g.head[1:]
	d.t.Slopes = make([]unit.Slope, len(d.t.Columns))
	for i, h := range d.t.Columns {
		d.t.Slopes[i], _ = headSlope(h)
	}
	keys := make(map[string]bool, len(g.rows))
	for _, line := range g.rows {
		row := Row{At: line.at}
		mark, key := parseMarks(line.cells[0].text)
		row.Key = key
		if keys[key] {
			r.Add(line.cells[0].at, "the row "+yamlread.Short(key)+" stands twice in "+what, "keep one of the two")
			continue
		}
		keys[key] = true
		row.Size, _ = unit.ParseSize(key)
		for _, c := range line.cells[1:] {
			cell := r.cell(c)
			cell.Notes = mark.Notes + cell.Notes
			cell.Memory = cell.Memory || mark.Memory
			if !d.patch {
				r.marks(cell.Notes, d.t.Notes, c.at, what)
			}
			row.Cells = append(row.Cells, cell)
		}
		d.t.Rows = append(d.t.Rows, row)
	}
	r.proof(proof, what, len(g.rows), d.t.Columns, func(row, col int) (Cell, bool) {
		if row >= len(d.t.Rows) {
			return Cell{}, false
		}
		return d.t.Rows[row].Cells[col], true
	})
	r.d.tables = append(r.d.tables, d)
}

func (r *reader) notes(n *yaml.Node, what string) []Note {
	var out []Note
	for k, v := range r.Entries(n, "the notes of "+what) {
		if len(out) == maxNotes {
			r.Addf(r.Span(k), "%s has more than the %d notes that are read", what, maxNotes)
			break
		}
		if s, _, ok := r.Text(v); ok {
			out = append(out, Note{Mark: k.Value, Say: strings.Join(strings.Fields(s), " ")})
		}
		if len(k.Value) != 1 {
			r.Add(r.Span(k), "the note mark "+yamlread.Short(k.Value)+" is longer than one letter", "write a, b, c ...")
		}
	}
	return out
}

// marks reports note marks that no note explains.
func (r *reader) marks(marks string, notes []Note, at source.Span, what string) {
	for _, m := range marks {
		if !hasNote(notes, string(m)) {
			r.Add(at, "no note "+string(m)+" in "+what, "add it under notes, or take the mark off")
		}
	}
}

func hasNote(notes []Note, mark string) bool {
	for _, n := range notes {
		if n.Mark == mark {
			return true
		}
	}
	return false
}

// proof compares a grid with what a second reader counted: the number of rows and the
// sums of the bare numbers (or lengths) of columns.
func (r *reader) proof(n *yaml.Node, what string, rows int, columns []string, cell func(row, col int) (Cell, bool)) {
	if n == nil {
		return
	}
	for k, v := range r.Entries(n, "the proof of "+what) {
		s, at, ok := r.Text(v)
		if !ok {
			continue
		}
		if k.Value == "rows" {
			if want, ok := whole(s); !ok || want != rows {
				r.Add(at, fmt.Sprintf("the proof says %s rows and %s has %d", yamlread.Short(s), what, rows), "read both against the printed table")
			}
			continue
		}
		col := -1
		name, isSum := strings.CutPrefix(k.Value, "sum ")
		for i, c := range columns {
			if isSum && c == name {
				col = i
			}
		}
		if col < 0 {
			r.Add(r.Span(k), "the proof of "+what+" has "+yamlread.Short(k.Value), "write rows, or sum and one of "+strings.Join(columns, ", "))
			continue
		}
		var load unit.Load
		var length unit.Length
		for i := range rows {
			if c, ok := cell(i, col); ok && c.State == Given {
				load += c.Load
				length += c.Length
			}
		}
		if want, ok := hundredths(s); ok {
			if unit.Load(want) != load {
				r.Add(at, fmt.Sprintf("the proof says that column %s of %s sums to %s; it sums to %s", name, what, s, load), "read both against the printed table")
			}
		} else if want, err := unit.ParseLength(s); err == nil {
			if want != length {
				r.Add(at, fmt.Sprintf("the proof says that column %s of %s sums to %s; it sums to %s", name, what, s, length), "read both against the printed table")
			}
		} else {
			r.Add(at, yamlread.Short(s)+" is no sum", "write a number, or a length for a column of lengths")
		}
	}
}

// stamp gives every cell its cite: the table's place, or one marked as from memory.
func (t *Table) stamp(c diag.Cite) {
	t.Cite = &c
	var mem *diag.Cite
	if c.Memory {
		mem = t.Cite
	}
	for i := range t.Rows {
		for k := range t.Rows[i].Cells {
			x := &t.Rows[i].Cells[k]
			x.Cite = t.Cite
			if x.Memory {
				if mem == nil {
					m := c
					m.Memory = true
					mem = &m
				}
				x.Cite = mem
			}
		}
	}
	t.index()
}

func (t *Table) index() {
	t.rows = make(map[unit.Size]int32, len(t.Rows))
	for i := range t.Rows {
		if s := t.Rows[i].Size; s != 0 {
			if _, ok := t.rows[s]; !ok {
				t.rows[s] = int32(i)
			}
		}
	}
}

// clone copies a table so that rows can be replaced.
func (t *Table) clone() *Table {
	c := *t
	c.Rows = make([]Row, len(t.Rows))
	for i := range t.Rows {
		c.Rows[i] = t.Rows[i]
		c.Rows[i].Cells = append([]Cell(nil), t.Rows[i].Cells...)
	}
	c.Notes = append([]Note(nil), t.Notes...)
	return &c
}
