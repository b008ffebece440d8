package catalog

import (
	"slices"
	"strconv"
	"strings"

	"trapweir/engine/codebook"
	"trapweir/engine/unit"
)

// The ids by which a book says how it counts what it does not list.
const (
	perGPM       = "pumped.units-per-gpm" // param: units for each gpm of a flow that goes on
	byLike       = "unlisted.like"        // param: the highest value of a listed fixture like it
	byTrap       = "unlisted-by-trap"     // table: units by the drain or trap
	trapLoad     = "trap-load"            // table: most units on a trap, for what is not listed
	intermittent = "intermittent-flow"    // table: units of a flow that comes and goes
	receptor     = "receptor"             // class: takes what empties into it
	standpipe    = "standpipe"            // class: listed with the machine that empties into it
)

// uses are the columns in which a book may print a fixture, lightest use first.
var uses = [...]string{"private", "public", "assembly"}

// unlisted counts a fixture for which the book prints nothing, the way the book says: by
// the column of another use, a heavier one before a lighter one, by the last row where its
// flow is past that, by its trap, or by the listed fixtures that are like it. (A receptor's
// flow is withFlow's.) What had to be taken is in Assumed and Ask. Where nothing serves,
// state comes back as it came, and Ask is the question that would.
func (k *Kind) unlisted(b *codebook.Book, a codebook.Attr, row codebook.FixtureRow, state codebook.State) (codebook.FixtureRow, codebook.State) {
	if k.Has(receptor) && !k.Has(standpipe) {
		row.Ask = "what empties into it? write `flow: 3 gpm` where water runs on, or `units` for the fixtures that drain into it"
		return row, state
	}
	if state != codebook.Absent {
		at := max(0, slices.Index(uses[:], a.Use))
		for _, use := range append(slices.Clone(uses[at+1:]), uses[:at]...) { // heavier uses first
			other := a
			other.Use = use
			if got, st := b.Fixture(row.Kind, other); st == codebook.Given {
				got.Assumed = "the book prints no units for " + k.A() + " in " + useOf(a) + " use; counted as in " + use + " use, " + got.Units.Load.String()
				got.Ask = "how many fixture units does the authority count for it? write `units`"
				return got, st
			}
		}
	}
	if got, ok := k.pastLast(b, a, state); ok {
		return got, codebook.Given
	}
	if got, ok := k.byTrap(b, a, row); ok {
		return got, codebook.Given
	}
	if p := b.Param(byLike); p.State == codebook.Given && p.Yes {
		if got, ok := k.byLike(b, a); ok {
			got.Cite = p.Cite
			return got, codebook.Given
		}
	}
	if state == codebook.Absent && row.Ask == "" {
		if t := trapTable(b); t != nil {
			row.Ask = "what size is its trap or drain? " + t.Place + " counts what is not listed by it; write `trap`"
		}
	}
	return row, state
}

// pastLast: the book grades the kind by its flow, and this one is past the last row. It
// counts at least that row.
func (k *Kind) pastLast(b *codebook.Book, a codebook.Attr, state codebook.State) (codebook.FixtureRow, bool) {
	most := unit.Flow(0)
	for _, r := range b.FixtureRows(k.Name) {
		most = max(most, r.MaxFlow)
	}
	if state != codebook.Absent || most == 0 || a.Flow <= most {
		return codebook.FixtureRow{}, false
	}
	flow := a.Flow
	a.Flow, a.FlowLeast = most, 0
	row, st := b.Fixture(k.Name, a)
	if st != codebook.Given {
		return row, false
	}
	row.AtLeast = true
	row.Assumed = "its " + flow.String() + " are past the last row of the book, " + most.String() + "; it counts at least what that row does, " + unitsWord(row.Units.Load)
	row.Ask = "how many fixture units does the authority count for it, and through what trap? write `units` and `trap`"
	return row, true
}

func useOf(a codebook.Attr) string {
	if a.Use == "" {
		return uses[0]
	}
	return a.Use
}

// trapTable is the table that counts by the trap what is not listed, nil for none.
func trapTable(b *codebook.Book) *codebook.Table {
	for _, id := range [...]string{byTrap, trapLoad} {
		if t, ok := b.Table(id); ok && len(t.Columns) > 0 {
			return t
		}
	}
	return nil
}

func (k *Kind) byTrap(b *codebook.Book, a codebook.Attr, row codebook.FixtureRow) (codebook.FixtureRow, bool) {
	t := trapTable(b)
	size := a.Trap
	if size == 0 && row.Trap.State == codebook.Given {
		size = row.Trap.Size
	}
	if size == 0 {
		size = a.Drain
	}
	if t == nil || size == 0 || k.Group {
		return row, false
	}
	c := t.Cell(size, t.Columns[0])
	if c.State != codebook.Given {
		return row, false
	}
	return codebook.FixtureRow{
		Kind: k.Name, When: "not listed; by its trap or drain of " + size.String(), Units: c,
		Trap: codebook.Cell{State: codebook.Blank}, Cite: t.Cite,
	}, true
}

// byLike takes the highest value among the listed fixtures that are like this one, and the
// largest trap.
func (k *Kind) byLike(b *codebook.Book, a codebook.Attr) (codebook.FixtureRow, bool) {
	var best codebook.FixtureRow
	found := false
	for _, name := range k.Like {
		got, st := b.Fixture(name, a)
		if st != codebook.Given {
			continue
		}
		trap := best.Trap
		if !found || got.Units.Load > best.Units.Load {
			best = got
			best.When = "not listed; as " + a1(name) + ", which is like it"
		}
		if found && trap.State == codebook.Given && trap.Size > best.Trap.Size {
			best.Trap = trap
		}
		if got.Trap.State == codebook.Given && got.Trap.Size > best.Trap.Size {
			best.Trap = got.Trap
		}
		found = true
	}
	if !found {
		return best, false
	}
	best.Assumed = "the book does not list " + k.A() + "; counted " + strings.TrimPrefix(best.When, "not listed; ") + ": " + unitsWord(best.Units.Load)
	best.Ask = "does the authority count it as that fixture? if not, write `units` and `trap`"
	return best, true
}

// withFlow adds what a receptor takes as a flow: never under the book's value for it.
func (k *Kind) withFlow(b *codebook.Book, a codebook.Attr, row codebook.FixtureRow, state codebook.State) (codebook.FixtureRow, codebook.State) {
	per := b.Param(perGPM)
	if a.Flow <= 0 || per.State != codebook.Given || !k.Has(receptor) || k.Has(standpipe) {
		return row, state
	}
	u := unit.Load((int64(a.Flow)*per.Number + int64(unit.GPM) - 1) / int64(unit.GPM))
	if state == codebook.Given && row.Units.Load >= u {
		return row, state
	}
	if row.Kind == "" {
		row.Kind = k.Name
	}
	row.When = "by the flow of " + a.Flow.String() + " that it takes"
	row.Units = codebook.Cell{State: codebook.Given, Text: u.String(), Load: u, Cite: per.Cite}
	row.Cite = per.Cite
	row.Assumed, row.Ask = "", ""
	if t, ok := b.Table(intermittent); ok {
		for i := range t.Rows {
			most, err := unit.ParseFlow(t.Rows[i].Key + " gpm")
			if err != nil || len(t.Rows[i].Cells) == 0 || most < a.Flow {
				continue
			}
			if c := &t.Rows[i].Cells[0]; c.State == codebook.Given && c.Load < u {
				row.Assumed = "the flow of " + a.Flow.String() + " is counted as one that goes on, " + unitsWord(u) + "; one that comes and goes counts " + c.Load.String() + " (" + t.Place + ")"
				row.Ask = "does it run on? if it comes and goes, write `units: " + c.Load.String() + "`"
			}
			break
		}
	}
	return row, codebook.Given
}

func unitsWord(u unit.Load) string {
	if u == unit.Unit {
		return "1 unit"
	}
	return u.String() + " units"
}

// A is the name with its article: "a lavatory", "an indirect receptor".
func (k *Kind) A() string { return a1(k.Name) }

// a1 puts the article before a name. The only names in u begin with a consonant's sound
// (a urinal, a utility sink).
func a1(name string) string {
	if name != "" && strings.IndexByte("aeio", name[0]) >= 0 {
		return "an " + name
	}
	return "a " + name
}

// Count returns "1 lavatory", "2 lavatories".
func (k *Kind) Count(n int) string {
	if n == 1 {
		return "1 " + k.Name
	}
	return strconv.Itoa(n) + " " + k.Plural
}
