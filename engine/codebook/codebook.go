// Package codebook reads code books, editions, local amendments and shop practice (one
// kind of file, docs/book-format.md), lays them over each other and answers questions:
// a table's cell, a named value, the printed place of a topic, the load of a fixture, the
// smallest pipe that a one-liner allows. Every answer carries the layer it comes from.
//
// It knows no book by name and decides nothing: it looks up.
package codebook

import (
	"trapweir/engine/diag"
	"trapweir/engine/source"
	"trapweir/engine/unit"
)

// State tells apart the answers that a printed table can give.
type State uint8

const (
	Absent  State = iota // no such table, row or column: the book does not speak
	Given                // a value
	Dash                 // printed as a dash or NP: not permitted
	NoLimit              // printed as no limit
	Blank                // nothing printed in this cell
)

// Cell is one cell of a printed table.
type Cell struct {
	State  State
	Text   string      // as printed, without note marks
	Load   unit.Load   // a bare number, in hundredths
	Length unit.Length // a cell with a unit of length
	Slope  unit.Slope  // a cell that is a slope
	Size   unit.Size   // a bare number or fraction read as a nominal size
	Share  unit.Slope  // a bare number or fraction as an exact ratio: 2/5 of the depth of a stud
	Notes  string      // note marks, in order: "ab"
	Memory bool
	Cite   *diag.Cite // the table's place; a row or cell changed by a layer cites that layer
}

// Row is one row of a table. Size is the key read as a nominal size, 0 if it is none.
type Row struct {
	Key   string
	Size  unit.Size
	Cells []Cell
	At    source.Span
}

// Table is a table as it stands in print.
type Table struct {
	ID      string
	Title   string
	Place   string   // "Table P3005.4.1"
	Columns []string // without the key column
	KeyHead string
	Slopes  []unit.Slope // Columns read as slopes; zero Slope where a head is none
	Rows    []Row
	Notes   []Note
	Seen    []string
	Cite    *diag.Cite

	rows map[unit.Size]int32
}

// Note is a footnote of a table, in our words.
type Note struct{ Mark, Say string }

// Param is a named value.
type Param struct {
	ID     string
	State  State // Given, NoLimit for `none`, Absent
	Text   string
	Size   unit.Size   // a size, also one written as a length that is a nominal size (`4"`)
	Length unit.Length // a length, also of a size written in inches
	Slope  unit.Slope
	Flow   unit.Flow
	Number int64      // hundredths of a plain number, or of degrees F; of a share such as 1/3 rounded down
	Share  unit.Slope // a plain number or fraction as an exact ratio
	Temp   unit.Temperature
	Yes    bool
	Words  []string
	Cite   *diag.Cite
}

// Attr are the properties of a fixture that choose its row. Zero means "not given".
type Attr struct {
	Flush unit.Volume
	Flow  unit.Flow
	// FlushLeast and FlowLeast are held against limits in their stead, where set: what a
	// figure in litres may stand for (unit.ParseFlowLeast).
	FlushLeast unit.Volume
	FlowLeast  unit.Flow
	Heads      int
	Outlets    int
	Bowls      int
	Trap       unit.Size
	Drain      unit.Size // size of its drain as given; only for what a book counts by trap or drain
	Use        string    // "private", "public", "assembly"; "" is private
	Disposer   bool
	Emergency  bool
}

// FixtureRow is what the book says of one fixture.
type FixtureRow struct {
	Kind    string
	When    string
	Units   Cell // the cell of the use column, heads already added
	Trap    Cell // smallest trap; State Blank when the fixture's outlet decides ("integral")
	Notes   string
	Cite    *diag.Cite
	MaxFlow unit.Flow // the flow up to which this row holds, 0 if it is not graded by flow
	Assumed string    // what was taken because it was not given: "flush taken as 1.6 gal or less"
	Ask     string    // the question that settles Assumed; "" when nothing was assumed
	AtLeast bool      // the units are only a floor: the fixture is past the last row
}

// Limit is a one-liner that overrides a table: where When holds, the pipe is at least Min.
type Limit struct {
	ID, Say string
	When    When
	Min     unit.Size
	Finds   string     // rule id of the finding when a pipe breaks it
	Cite    *diag.Cite // of a switched-off limit (Off): the layer that switches it off
}

// When is a condition of the growing kind: adding a fixture can turn it true, never false.
type When struct {
	Roles       []string // empty: any
	Lies        string   // "level", "upright", "" any
	UnderGround bool     // only pipe under ground or under a slab
	Class       string   // fixture class carried, "" any
	ClassCount  int      // at least so many of Class (1 if 0 and Class set)
	Fixtures    int      // at least so many fixtures upstream
	UnitsOver   unit.Load
	Joins       []string // classes of which at least JoinCount come together in this pipe
	JoinCount   int
	Occupancy   string
}

// Sizing says which table and column speak for which roles.
type Sizing struct {
	Roles     []string
	Lies      string // "level", "upright", "" any
	Table     string
	Column    string // a column head, or "by slope"
	Measure   string // "total" or "branch interval"
	Intervals string // "", "up to 3", "over 3"
	Slopes    []SlopeFactor
	Finds     string
}

// SlopeFactor scales a column at a slope: 0.8 is {4, 5}.
type SlopeFactor struct {
	Slope    unit.Slope
	Num, Den int64
}

// Layer describes one file that takes part.
type Layer struct {
	ID, Kind, Title string
	Invented        bool
	Status          string
	Amends          []string // what it lies over; "any" for any book
}

// Group is a set of fixtures that a book rates together, lower than their sum. It stands
// in place of its members, never beside them.
type Group struct {
	Name string
	// Members: one of each entry's alternatives must be there; further ones of the same
	// entry are not of the group and count besides.
	Members [][]string
	// Optional may be there and then belong to the group.
	Optional []string
	// The water closet flushes more than FlushOver and, if FlushMax is not 0, at most
	// FlushMax. Both 0: any flush.
	FlushOver, FlushMax unit.Volume
	When                string // the flush as written, "" for any
	Units               unit.Load
	Notes               string // the marks of its notes
	Cite                *diag.Cite
}

// Fits reports whether the group's row holds for a flush volume.
func (g *Group) Fits(flush unit.Volume) bool {
	return flush > g.FlushOver && (g.FlushMax == 0 || flush <= g.FlushMax) || g.FlushOver == 0 && g.FlushMax == 0
}

// BathsRow is what a book counts for a house by its number of baths.
type BathsRow struct {
	HalfBaths int  // 3 for one and a half baths; of Further: the step, 2 for a full bath
	Further   bool // Units for each further step beyond the rows
	Units     unit.Load
	Notes     string // the marks of its notes
	Cite      *diag.Cite
}
