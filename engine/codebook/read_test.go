package codebook_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"trapweir/data"
	"trapweir/engine/codebook"
	"trapweir/engine/unit"
)

const head = "book: b\nkind: model code\ntitle: B\n"

func TestReadSays(t *testing.T) {
	grid := func(rows string) string {
		return head + "tables:\n  t:\n    title: T\n    at: 1\n    grid: |\n" + rows
	}
	fix := func(rows string) string {
		return head + "fixtures:\n  at: 1\n  grid: |\n    kind  when  private  trap\n" + rows
	}
	tests := []struct{ name, text, want string }{
		{"nothing said of itself", "title: B\n", "f:1:1: the file does not say what it is (write book: ID, or layer: ID for an amendment or a shop's practice)"},
		{"both", "book: b\nlayer: l\nkind: edition\ntitle: B\namends: x\n", "f:2:8: a file is either a book or a layer (keep one of the two keys); f:5:9: b amends x, which is not here (the books are b)"},
		{"kinds", "book: b\nkind: shop practice\ntitle: B\n", "f:1:7: b is written as a book and its kind is shop practice (a book is model code or edition)"},
		{"no kind, no title", "book: b\n", "f:1:7: b has no kind (write kind: model code, edition, local amendment or shop practice); f:1:7: b has no title (write title: and the name to print)"},
		{"an edition of nothing", "book: b\nkind: edition\ntitle: B\n", "f:1:7: b is an edition and does not say of what (write amends: and the id of the book that it differs from)"},
		{"a layer over nothing", "layer: b\nkind: shop practice\ntitle: B\n", "f:1:8: b does not say which books it lies over (write amends: and their ids, or amends: any)"},
		{"circle", "book: b\nkind: edition\ntitle: B\namends: b\n", "f:1:7: b amends itself in a circle (an edition lies over a book that does not lie over it)"},
		{
			"unknown keys", head + "clausis: {}\nparams:\n  p: {vlaue: 3 in, at: 1}\n",
			"f:4:1: unknown key clausis in the book file (did you mean clauses?); f:6:7: unknown key vlaue in the value p (did you mean value?); f:6:3: p has no value (write value: and a size, a length, a number, yes, no or none)",
		},
		{"twice", head + "params:\n  p: {value: 3 in, at: 1}\n  p: {value: 4 in, at: 1}\n", "f:6:3: p is given twice in params, first on line 5 (keep one of the two)"},
		{"a bad value", head + "params:\n  p: {value: 3 furlongs, at: 1}\n", "f:5:14: 3 furlongs is no quantity that can be read (write 3 in for a size, 6\" for a length, 1/4\" per ft, 20 gpm, 0 F, a number, yes, no or none)"},
		{"no place", head + "params:\n  p: {value: 3 in}\nclauses:\n  c: {memory: yes}\n", `f:5:3: p has no place (write at: and the section, or at: "" where none is printed); f:7:3: the clause c has no place (write at: and the section, or at: "" where none is printed)`},
		{"source", head + "sources: {pg7: x}\nclauses:\n  c: {at: 1, seen: [pg8]}\n", "f:6:21: no source pg8 (did you mean pg7?)"},
		{"yes or no", head + "clauses:\n  c: {at: 1, memory: perhaps}\n", "f:5:22: found perhaps; yes or no is expected (write yes or no)"},
		{"too few cells", grid("      pipe  a  b\n      2     1\n"), "f:10:7: the row has 2 cells and the head of the table t has 3 columns (write - where the book prints a dash, . where it prints nothing, and part cells by two or more blanks)"},
		{
			"bad cells", grid("      pipe  a\n      2     12o\n      3     4[q]\n      4     [a]\n"),
			"f:10:13: the cell 12o is no quantity that can be read (write 160, 6', 1/4\"/ft, 1-1/2, - (a dash), NL (no limit) or . (nothing printed)); " +
				"f:11:13: no note q in the table t (add it under notes, or take the mark off); f:12:13: no note a in the table t (add it under notes, or take the mark off)",
		},
		{"rows and columns twice", grid("      pipe  a\n      2     1\n      2     2\n"), "f:11:7: the row 2 stands twice in the table t (keep one of the two)"},
		{"columns twice", grid("      pipe  a  a\n      2     1  2\n"), "f:9:16: the column a stands twice in the head of the table t (give each column its own head)"},
		{"a tab", grid("      pipe  a\n      2\t1\n"), "f:10:8: the table t has a tab (part the columns by two or more blanks)"},
		{"one column", grid("      pipe\n      2\n"), "f:9:7: the head of the table t has 1 column, at least 2 are needed (part the columns by two or more blanks)"},
		{
			"proof", grid("      pipe  a  b\n      2     1  2'\n      3     4  -\n    proof: {rows: 3, sum a: 6, sum b: 3', sum c: 1}\n"),
			"f:12:19: the proof says 3 rows and the table t has 2 (read both against the printed table); " +
				"f:12:29: the proof says that column a of the table t sums to 6; it sums to 5 (read both against the printed table); " +
				"f:12:39: the proof says that column b of the table t sums to 3'; it sums to 2 ft (read both against the printed table); " +
				"f:12:43: the proof of the table t has sum c (write rows, or sum and one of a, b)",
		},
		{"not a block", head + "tables:\n  t: {title: T, at: 1, grid: a b}\n", "f:5:30: the table t is not written as a block of lines (write | after the key and the lines below it, indented)"},
		{"fixture attribute", fix("    tub   colour <= 3  1  2\n"), "f:8:11: unknown attribute colour (write one of flush, flow, heads, outlets, bowls, trap, use, emergency, disposer)"},
		{"fixture quantity", fix("    wc    flush <= 3  1  2\n"), "f:8:11: "},
		{"fixture comparison", fix("    wc    flush about 3 gal  1  2\n"), "f:8:11: cannot read flush about 3 gal (write flush <= and a value, with blanks around the sign)"},
		{"fixture units", fix("    tub   .     two      2\n"), "f:8:17: the units two are no number (write 3 or 0.5, - where the book prints a dash, . where it prints nothing)"},
		{"fixture growing units", fix("    tub   .     2 +1 a head  2\n"), "f:8:17: cannot read the units 2 +1 a head (write 2 +1 per head over 1 (or per outlet, per bowl, per gpm))"},
		{"fixture trap", fix("    tub   .     2        big\n"), "f:8:26: the trap big is no size (write 1-1/2, or . where the outlet of the fixture decides)"},
		{"fixture column", head + "fixtures:\n  at: 1\n  grid: |\n    kind  whem\n    tub   .\n", "f:7:5: the fixture table has a column whem (did you mean when?)"},
		{
			"limit", head + "limits:\n  - {id: l, say: s, when: {carries: 4, roles: [brnch], fixtures: x}, min: 7 in, at: 1, finds: f}\n  - {say: s}\n  - {id: l, off: true, min: 3 in, at: 1}\n",
			"f:5:37: 4 names no class of fixtures (write water closet, or 4 water closet for at least four); f:5:48: unknown role brnch (did you mean branch?); f:5:66: fixtures is x; a whole number is expected (write 1, 2, 3 ...); ",
		},
		{"sizing", head + "sizing:\n  - {roles: [stack], table: t}\n", "f:5:5: a sizing says which table and column speak for which roles (write {roles: [...], table: ID, column: HEAD, finds: RULE})"},
		{
			"group", head + "groups:\n  at: 1\n  grid: |\n    group  members  flush   units\n    a      +        .       1\n    b      tub      = 1 gal  x\n",
			"f:8:12: the group a has no members (write water closet + lavatory + bathtub|shower); f:9:21: a group asks for = 1 gal (write <= 1.6 gal, > 1.6 gal or .); f:9:30: the units x are no number (write 5)",
		},
		{"baths", head + "groups:\n  at: 1\n  baths: |\n    baths  units\n    many   7\n", "f:8:5: many is no number of baths (write 1-1/2, 2, 2-1/2 ... or further)"},
		{"stock", head + "stock: {sizes: [1.9], at: truck}\n", "f:4:17: "},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, ds := codebook.ReadLibrary([]codebook.File{{Name: "f", Text: []byte(tt.text)}})
			if got := said(ds, false); got != tt.want && !(strings.HasSuffix(tt.want, " ") && strings.HasPrefix(got, tt.want)) {
				t.Errorf("said\n%s\nwant\n%s", strings.ReplaceAll(got, "; ", "\n"), strings.ReplaceAll(tt.want, "; ", "\n"))
			}
		})
	}
}

func TestLayersSpeakOfKnownThings(t *testing.T) {
	layer := "layer: l\nkind: shop practice\ntitle: L\namends: glen-30\nclauses:\n  trap-arn: {at: c}\nparams:\n  vent.min-sise: {value: 2 in, at: c}\n"
	_, ds := codebook.ReadLibrary([]codebook.File{{Name: "g", Text: []byte(baseBook)}, {Name: "l", Text: []byte(layer)}, {Name: "again", Text: []byte(layer)}})
	want := "again:1:8: l is already the id of l (give it an id of its own); l:6:3: no book has the topic trap-arn (did you mean trap-arm?); l:8:3: no book has the value vent.min-sise (did you mean vent.min-size?)"
	if got := said(ds, false); got != want {
		t.Errorf("said %s\nwant %s", got, want)
	}
}

// Whatever is read, nothing panics or hangs, and a book can be asked.
func FuzzReadLibrary(f *testing.F) {
	for _, s := range []string{baseBook, nextBook, town, shop, head, "layer: x\namends: any\n"} {
		f.Add([]byte(s))
	}
	for _, x := range data.Books() {
		if len(x.Text) < 6000 {
			f.Add(x.Text)
		}
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		lib, _ := codebook.ReadLibrary([]codebook.File{{Name: "base", Text: []byte(baseBook)}, {Name: "fuzz", Text: text}})
		for _, id := range lib.IDs() {
			for _, with := range [][]string{nil, {"fuzz"}} {
				b, _ := lib.Book(id, with)
				if b == nil {
					b, _ = lib.Book("glen-30", []string{id})
				}
				for _, tid := range b.Tables() {
					tab, ok := b.Table(tid)
					if !ok {
						t.Fatalf("table %q is listed and not there", tid)
					}
					for i := range tab.Rows {
						if len(tab.Rows[i].Cells) != len(tab.Columns) {
							t.Fatalf("table %q, row %d has %d cells", tid, i, len(tab.Rows[i].Cells))
						}
						for k := range tab.Rows[i].Cells {
							if tab.Rows[i].Cells[k].Cite == nil {
								t.Fatalf("table %q, row %d: a cell without a place", tid, i)
							}
						}
						b.CellSlope(tid, tab.Rows[i].Size, unit.PerFoot(1, 4))
					}
				}
				for _, p := range b.Params() {
					if b.Param(p).State != codebook.Absent && b.Param(p).Cite == nil {
						t.Fatalf("%q has no place", p)
					}
				}
				for _, k := range b.FixtureKinds() {
					if row, st := b.Fixture(k, codebook.Attr{Heads: 2, Use: "public"}); st == codebook.Given && row.Units.Cite == nil {
						t.Fatalf("the units of %q have no place", k)
					}
				}
			}
		}
	})
}

// A megabyte of one thing repeated must be answered in moments.
func TestHostile(t *testing.T) {
	many := func(before, format string) []byte {
		var b strings.Builder
		b.WriteString(before)
		for i := 0; b.Len() < 1_000_000; i++ {
			fmt.Fprintf(&b, format, i)
		}
		return []byte(b.String())
	}
	layer := "layer: l\nkind: shop practice\ntitle: L\namends: any\n"
	for name, text := range map[string][]byte{
		"limits":  many(head+"limits:\n", "  - {id: l%d, say: s, when: {}, min: 3 in, at: 1, finds: f}\n"),
		"columns": many(head+"tables:\n  t:\n    title: T\n    at: 1\n    grid: |\n      pipe", "  %d"),
		"rows":    many(head+"tables:\n  t:\n    title: T\n    at: 1\n    grid: |\n      pipe  a\n", "      %d  1\n"),
		"notes":   many(head+"tables:\n  t:\n    title: T\n    at: 1\n    grid: |\n      pipe  a\n      2  1\n    notes:\n", "      n%d: x\n"),
		"topics":  many(layer+"clauses:\n", "  trap-arm%d: {at: 1}\n"),
		"params":  many(layer+"params:\n", "  rise%d: {value: 3 in, at: 1}\n"),
		"kinds":   many(head+"fixtures:\n  at: 1\n  grid: |\n    kind  when  private\n", "    k%d  .  1\n"),
		"tables":  many(head+"tables:\n", "  t%d: {title: T, at: 1, off: yes}\n"),
		"sizing":  many(head+"sizing:\n", "  - {roles: [stack], table: t%d, column: c, finds: f}\n"),
		"sources": many(head+"clauses:\n", "  c%d: {at: 1, seen: [a, b, c]}\n"),
	} {
		start := time.Now()
		lib, _ := codebook.ReadLibrary([]codebook.File{{Name: "g", Text: []byte(baseBook)}, {Name: "f", Text: text}})
		for _, id := range lib.IDs() {
			if b, _ := lib.Book(id, nil); b != nil {
				b.FixtureKinds()
			}
			lib.Book("glen-30", []string{id})
		}
		// Ten seconds, not one: the machine may be busy with others.
		if d := time.Since(start); d > 10*time.Second {
			t.Errorf("%s: %v", name, d)
		}
	}
}

func BenchmarkReadLibrary(b *testing.B) {
	var files []codebook.File
	for _, f := range data.Books() {
		files = append(files, codebook.File(f))
	}
	for b.Loop() {
		codebook.ReadLibrary(files)
	}
}

func real(b *testing.B) *codebook.Book {
	x, _ := library(b).Book("irc-2021", []string{"marlow-county", "our-shop"})
	return x
}

func BenchmarkBook(b *testing.B) {
	lib := library(b)
	for b.Loop() {
		lib.Book("irc-2021", []string{"marlow-county", "our-shop"})
	}
}

func BenchmarkCell(b *testing.B) {
	x := real(b)
	for b.Loop() {
		if x.Cell("branch-stack", 3*inch, "branch").Load == 0 {
			b.Fatal("no cell")
		}
	}
}

func BenchmarkCellSlope(b *testing.B) {
	x := real(b)
	q := unit.PerFoot(1, 4)
	for b.Loop() {
		if c, _ := x.CellSlope("building-drain", 3*inch, q); c.Load == 0 {
			b.Fatal("no cell")
		}
	}
}

func BenchmarkParam(b *testing.B) {
	x := real(b)
	for b.Loop() {
		if x.Param("vent.min-size").Size == 0 {
			b.Fatal("no value")
		}
	}
}

func BenchmarkFixture(b *testing.B) {
	x := real(b)
	a := codebook.Attr{Flush: 1280}
	for b.Loop() {
		if _, st := x.Fixture("water closet", a); st != codebook.Given {
			b.Fatal("not listed")
		}
	}
}
