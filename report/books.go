package report

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/unit"
)

// BookEntry is one line of the list of books.
type BookEntry struct {
	ID       string `json:"id"`
	Kind     string `json:"kind"`
	Title    string `json:"title"`
	Invented bool   `json:"invented,omitempty"`
	Status   string `json:"status,omitempty"`
}

// BookList lists every book and layer in the library.
func BookList(l *codebook.Library) []BookEntry {
	var out []BookEntry
	for _, id := range l.IDs() {
		if x, ok := l.Info(id); ok {
			out = append(out, BookEntry{x.ID, x.Kind, x.Title, x.Invented, x.Status})
		}
	}
	return out
}

// Books prints the list of books and layers.
func Books(w io.Writer, l *codebook.Library) {
	t := newTable("Id", "Kind", "Title")
	for _, e := range BookList(l) {
		title := titled(e.Title, e.Invented)
		if e.Status != "" {
			title += " - " + e.Status
		}
		t.add(e.ID, e.Kind, title)
	}
	t.write(w)
	fmt.Fprintln(w, "\n`trapweir books ID` shows what is in one; a job lays amendments and practices over a book with `with`.")
}

// Contents is what is in a book, by name.
type Contents struct {
	ID     string   `json:"id"`
	Title  string   `json:"title"`
	Layers []Layer  `json:"layers"`
	Tables []string `json:"tables"`
	Values []Value  `json:"values"`
}

// Value is one named value with its place.
type Value struct {
	ID    string      `json:"id"`
	Value string      `json:"value"`
	Cites []diag.Cite `json:"cites,omitempty"`
}

// BookContents collects the contents of a book.
func BookContents(b *codebook.Book) Contents {
	c := Contents{ID: b.ID(), Title: b.Title(), Tables: b.Tables(), Layers: []Layer{}, Values: []Value{}}
	for _, l := range b.Layers() {
		c.Layers = append(c.Layers, Layer{l.ID, l.Kind, l.Title, l.Invented, l.Status})
	}
	for _, id := range b.Params() {
		c.Values = append(c.Values, value(b, id))
	}
	return c
}

func value(b *codebook.Book, id string) Value {
	p := b.Param(id)
	v := Value{ID: id, Value: p.Text}
	if p.State == codebook.NoLimit {
		v.Value = "none"
	}
	if p.Cite != nil {
		v.Cites = []diag.Cite{*p.Cite}
	}
	return v
}

// Book prints what is in a book.
func Book(w io.Writer, b *codebook.Book) {
	fmt.Fprintf(w, "%s: %s\n", b.ID(), b.Title())
	for _, l := range b.Layers() {
		st := ""
		if l.Status != "" {
			st = " - " + l.Status
		}
		fmt.Fprintf(w, "  %s, %s%s\n", l.ID, l.Kind, st)
	}
	fmt.Fprintln(w)
	t := newTable("Table", "In print", "Title")
	t.add("fixtures", fixturesPage(b).Place, "loads and traps of fixtures")
	if p := groupsPage(b); len(p.Rows) > 0 {
		t.add("groups", p.Place, "fixtures that count less together, where a job asks for it")
	}
	t.add("limits", "", "one-liners that override the tables")
	t.add("values", "", "named values that authorities change")
	t.add("places", "", "where each topic is printed")
	for _, id := range b.Tables() {
		if x, ok := b.Table(id); ok {
			t.add(id, x.Place, x.Title)
		}
	}
	t.write(w)
	fmt.Fprintf(w, "\n`trapweir books %s TABLE` prints one.\n", b.ID())
}

// TablePage is a table as it stands in print.
type TablePage struct {
	ID      string     `json:"id"`
	Title   string     `json:"title"`
	Place   string     `json:"place"`
	Columns []string   `json:"columns"`
	Rows    [][]string `json:"rows"`
	Notes   []string   `json:"notes,omitempty"`
	Seen    []string   `json:"seen,omitempty"`
	Cite    diag.Cite  `json:"cite"`
}

// listings are what a book has besides its tables, read as tables too.
var listings = []string{"fixtures", "groups", "limits", "values", "places"}

// TableNames are the names that Table and TableDoc take for a book.
func TableNames(b *codebook.Book) []string {
	out := slices.Clone(b.Tables())
	for _, id := range listings {
		if _, ok := TableDoc(b, id); ok {
			out = append(out, id)
		}
	}
	return out
}

// TableDoc collects a table; ok is false when the book has none of that name.
func TableDoc(b *codebook.Book, id string) (TablePage, bool) {
	switch id {
	case "fixtures":
		return fixturesPage(b), true
	case "groups":
		return groupsPage(b), len(b.Groups())+len(b.Baths()) > 0
	case "limits":
		return limitsPage(b), true
	case "values":
		p := TablePage{ID: id, Title: "Named values", Columns: []string{"value", "is", "in print"}}
		for _, x := range b.Params() {
			v := value(b, x)
			p.Rows = append(p.Rows, []string{x, v.Value, citeLine(v.Cites)})
		}
		return p, true
	case "places":
		p := TablePage{ID: id, Title: "Where each topic is printed", Columns: []string{"topic", "in print"}}
		for _, x := range b.Clauses() {
			if c, ok := b.Clause(x); ok {
				p.Rows = append(p.Rows, []string{x, citeLine([]diag.Cite{c})})
			}
		}
		return p, true
	}
	t, ok := b.Table(id)
	if !ok {
		return TablePage{}, false
	}
	p := TablePage{ID: t.ID, Title: t.Title, Place: t.Place, Columns: append([]string{t.KeyHead}, t.Columns...), Seen: t.Seen}
	if t.Cite != nil {
		p.Cite = *t.Cite
	}
	for _, r := range t.Rows {
		row := []string{r.Key}
		for i := range r.Cells {
			row = append(row, cell(&r.Cells[i]))
		}
		p.Rows = append(p.Rows, row)
	}
	for _, n := range t.Notes {
		p.Notes = append(p.Notes, n.Mark+"  "+n.Say)
	}
	return p, true
}

func cell(c *codebook.Cell) string {
	s := c.Text
	switch c.State {
	case codebook.Dash:
		if s == "" {
			s = "-"
		}
	case codebook.NoLimit:
		s = "NL"
	case codebook.Blank, codebook.Absent:
		s = ""
	}
	if c.Notes != "" {
		s += " [" + c.Notes + "]"
	}
	if c.Memory {
		s += " ?"
	}
	return s
}

func fixturesPage(b *codebook.Book) TablePage {
	p := TablePage{ID: "fixtures", Title: "Fixture units and traps", Columns: []string{"kind", "when", "private", "public", "assembly", "trap", "notes"}}
	for _, f := range b.Fixtures() {
		trap := cell(&f.Trap)
		if trap == "" {
			trap = "by its outlet"
		}
		p.Rows = append(p.Rows, []string{f.Kind, f.When, cell(&f.Private), cell(&f.Public), cell(&f.Assembly), trap, f.Notes})
		if f.Cite != nil && p.Place == "" {
			p.Place, p.Cite = f.Cite.At, *f.Cite
		}
	}
	for _, n := range b.FixtureNotes() {
		p.Notes = append(p.Notes, n.Mark+"  "+n.Say)
	}
	return p
}

// groupsPage lists the groups and what a house counts by its baths; without rows where the
// book has neither.
func groupsPage(b *codebook.Book) TablePage {
	p := TablePage{ID: "groups", Title: "Fixtures that count together (with `loads: groups`)", Columns: []string{"group", "members", "flush", "units", "notes"}}
	add := func(name, members, flush string, u unit.Load, marks string, c *diag.Cite) {
		load := u.String()
		if c != nil {
			if p.Place == "" {
				p.Place, p.Cite = c.At, *c
			}
			if c.Memory {
				load += " ?"
			}
		}
		p.Rows = append(p.Rows, []string{name, members, flush, load, marks})
	}
	for _, g := range b.Groups() {
		var parts []string
		for _, m := range g.Members {
			parts = append(parts, strings.Join(m, " or "))
		}
		for _, m := range g.Optional {
			parts = append(parts, "with or without "+m)
		}
		add(g.Name, strings.Join(parts, ", "), strings.TrimPrefix(g.When, "flush "), g.Units, g.Notes, g.Cite)
	}
	for _, x := range b.Baths() {
		what := "each further bath"
		if !x.Further {
			what = strconv.Itoa(x.HalfBaths/2) + " baths"
			if x.HalfBaths%2 == 1 {
				what = strconv.Itoa(x.HalfBaths/2) + "-1/2 baths"
			}
		}
		add(what, "all of a house, in print; not used here", "", x.Units, x.Notes, x.Cite)
	}
	for _, n := range b.GroupNotes() {
		p.Notes = append(p.Notes, n.Mark+"  "+n.Say)
	}
	return p
}

func limitsPage(b *codebook.Book) TablePage {
	p := TablePage{ID: "limits", Title: "One-liners that override the tables", Columns: []string{"limit", "at least", "says", "in print"}}
	for _, l := range b.Limits() {
		var cs []diag.Cite
		if l.Cite != nil {
			cs = []diag.Cite{*l.Cite}
		}
		p.Rows = append(p.Rows, []string{l.ID, sizeText(l.Min), l.Say, citeLine(cs)})
	}
	for _, l := range b.Off() {
		var cs []diag.Cite
		if l.Cite != nil {
			cs = []diag.Cite{*l.Cite}
		}
		p.Rows = append(p.Rows, []string{l.ID, "off", "switched off: " + l.Say, citeLine(cs)})
	}
	return p
}

func sizeText(s unit.Size) string {
	if s == 0 {
		return ""
	}
	return s.String()
}

// Table prints a table as it stands in the book, notes included; ok is false when the book
// has none of that name.
func Table(w io.Writer, b *codebook.Book, id string) bool {
	p, ok := TableDoc(b, id)
	if !ok {
		return false
	}
	title := p.Title
	if p.Place != "" {
		title = p.Place + "  " + title
	}
	fmt.Fprintf(w, "%s\n%s\n\n", b.Title(), title)
	heads := append([]string(nil), p.Columns...)
	if !slices.Contains(listings, id) {
		for i := 1; i < len(heads); i++ {
			heads[i] = ">" + heads[i]
		}
	}
	t := newTable(heads...)
	mem := false
	for _, r := range p.Rows {
		t.add(r...)
		for _, c := range r {
			mem = mem || strings.HasSuffix(c, "?")
		}
	}
	t.write(w)
	if len(p.Notes) > 0 {
		fmt.Fprintln(w)
		for _, n := range p.Notes {
			for i, l := range wrapText(n, 92) {
				if i > 0 {
					l = "   " + l
				}
				fmt.Fprintf(w, "  %s\n", l)
			}
		}
	}
	if mem || p.Cite.Memory {
		fmt.Fprintln(w, "\n  ?  from memory, not checked against a published page")
	}
	if p.Cite.Conflict != "" {
		fmt.Fprintf(w, "\n  sources differ: %s\n", p.Cite.Conflict)
	}
	if len(p.Seen) > 0 {
		fmt.Fprintf(w, "\n  checked against: %s\n", strings.Join(p.Seen, ", "))
	}
	fmt.Fprintln(w, "\n  Check against the edition adopted where you work.")
	return true
}
