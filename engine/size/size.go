// Package size picks the smallest stocked pipe that meets every constraint on a segment,
// judges the sizes that a job gives, and keeps what was weighed so that each size can be
// explained.
//
// It reads tables and one-liners from the book; it knows no rule of its own beyond "the
// largest of the smallest sizes". Vents are sized elsewhere; a drain that must be larger
// because it also vents comes in as a Floor.
package size

import (
	"slices"

	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/load"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// Kind is what a constraint is.
type Kind uint8

const (
	ByTable    Kind = iota // the book's table for the role
	ByLimit                // a one-liner of the book, an amendment or the shop
	ByTrap                 // the trap that it takes
	ByUpstream             // never smaller than what comes in
	ByParam                // a named minimum (building sewer, under ground ...)
	ByFloor                // it also vents
	ByStock                // the smallest size in the book or on the truck
	ByJob                  // the job demands it
	ByPump                 // a pump's discharge
	ByQuestion             // what is not known could ask for it
	ByBelow                // nothing runs in it: it goes on up in the size below
	ByUpright              // it stands so tall
	ByCarried              // the trap of what it carries and is not drawn
)

var kindWords = [...]string{"table", "one-liner", "trap", "upstream", "minimum", "vent", "stock", "job", "pump", "not known", "below", "height", "trap"}

// String gives one word.
func (k Kind) String() string { return kindWords[k] }

// Term is one constraint on one segment: the pipe is at least Min.
type Term struct {
	Min unit.Size
	// Cap is what a pipe of Min carries, for ByTable.
	Cap unit.Load
	// Ref is the index of the limit (ByLimit), the sizing (ByTable), the parameter
	// (ByParam), the fixture (ByTrap), the segment (ByUpstream), the floor (ByFloor), the row
	// of lengths (ByUpright) or the run (ByCarried).
	Ref  int32
	Kind Kind
}

// Floor is a smallest size asked for by the venting of a segment.
type Floor struct {
	Seg  network.SegID
	Min  unit.Size
	Rule string // rule id when a given size is smaller
	Say  string // "wet vent for 4 units"
	Got  string
	Max  string
	Cite diag.Cite
	// Arm asks for nothing: it says that the segment is the trap arm of a fixture, as it is
	// vented where it joins other pipe. What a book sizes fixture drains by and not arms does
	// not speak for it.
	Arm bool
}

// Sizes are the results, by segment.
type Sizes struct {
	// Required is the smallest size that the code and the layers ask for, sizes given in
	// the job left aside.
	Required []unit.Size
	// Size is the size of the pipe: as given, else the smallest stocked size that also is
	// not smaller than any pipe coming in. 0 where nothing could be found (reported).
	Size []unit.Size
	// Given tells where the job states the size.
	Given []bool
	// Slope used for sloped tables, and whether it was given.
	Slope      []unit.Slope
	SlopeGiven []bool

	terms  []Term
	termAt []int32

	net    *network.Net
	loads  *load.Loads
	book   *codebook.Book
	limits []codebook.Limit
	off    []codebook.Limit // switched off by a layer
	sizing []codebook.Sizing
	floors []Floor
	arms   map[network.SegID]bool // trap arms as they are vented, beside those by their role
	params []codebook.Param
	reach  []reach
	fallen []unit.Length // upright pipe in the line, to the lower end; empty where no table limits it
	stock  []unit.Size
	stockC diag.Cite
	shop   bool
}

// Terms returns the constraints on a segment, the governing one first.
func (z *Sizes) Terms(s network.SegID) []Term { return z.terms[z.termAt[s]:z.termAt[s+1]] }

// Needed is the smallest size for a segment with everything upstream as it is built:
// Required, or more where a larger pipe drains into it.
func (z *Sizes) Needed(s network.SegID) unit.Size {
	need := z.Required[s]
	for _, t := range z.Terms(s) {
		need = max(need, t.Min)
	}
	return need
}

// Stock returns the sizes that are picked from, smallest first.
func (z *Sizes) Stock() []unit.Size { return z.stock }

// Choose sizes every segment of a net. floors are sizes asked for by venting, any order.
// Given sizes that break a constraint come back as diagnostics.
func Choose(n *network.Net, l *load.Loads, b *codebook.Book, floors []Floor) (*Sizes, []diag.Diagnostic) {
	c := withTapers(n, l, b, floors)
	c.dryEnds()
	c.judge()
	return c.z, c.diags
}

type chooser struct {
	net   *network.Net
	loads *load.Loads
	book  *codebook.Book
	z     *Sizes
	diags []diag.Diagnostic

	byRole   [network.Roles][]limitAt // limits that can speak for a role
	sizings  [network.Roles][]sizingAt
	minSlope []slopeRow
	floorOf  map[network.SegID][]int32
	joinCols [][]int
	runs     []told      // by RunID
	traps    []unit.Size // by FixID: the larger of the trap it needs and the one that is stated
	reach    []reach
	fallen   []unit.Length
	fallOpen []bool // a length in the line is not known
	askRow   map[string]bool
	broken   map[string]broken // by rule and run
}

type limitAt struct {
	index  int32
	column int
}

type sizingAt struct {
	index  int32
	table  *codebook.Table
	column int // -1: by slope
}

// told is what the job says of a run that every one of its segments asks for. The runs of
// a large net are spread over much memory; this is not.
type told struct {
	slope unit.Slope
	size  unit.Size
	bend  unit.Size // size after a reducing closet bend, 0 none

	existing bool
}

type slopeRow struct {
	size  unit.Size
	slope unit.Slope
	cite  *diag.Cite
}

// minParam is a named smallest size, and when it speaks.
type minParam struct {
	id    string
	say   string
	finds string
	when  func(c *chooser, s network.SegID) bool
}

// minParams lists the named minimums. What they ask is in the book; a book or layer that
// does not name one does not ask it.
var minParams = [...]minParam{
	{"drain.min-size", "no drain is smaller", "drain-under-minimum", func(c *chooser, s network.SegID) bool {
		by := c.lifts(s) // a discharge goes by what the book asks of one
		return by == "" || c.book.Param(by).State != codebook.Given
	}},
	{"under-ground.min-size", "it lies under ground", "under-ground-min-size", func(c *chooser, s network.SegID) bool { return c.net.Segs[s].UnderGround }},
	{"building-drain.min-size", "it is building drain", "building-drain-min-size", func(c *chooser, s network.SegID) bool { return c.net.Segs[s].Role == network.BuildingDrain }},
	{"building-sewer.min-size", "it is building sewer", "building-sewer-min-size", func(c *chooser, s network.SegID) bool { return c.net.Segs[s].Role == network.BuildingSewer }},
	{"sump.min-discharge", "a pump pushes through it", "sump-discharge-undersized", func(c *chooser, s network.SegID) bool { return c.lifts(s) == "sump.min-discharge" }},
	{"sump.grinder-min", "a grinder pump pushes through it", "sump-discharge-undersized", func(c *chooser, s network.SegID) bool { return c.lifts(s) == "sump.grinder-min" }},
	{"sump.macerator-min", "a macerating unit at one water closet pushes through it", "sump-discharge-undersized", func(c *chooser, s network.SegID) bool { return c.lifts(s) == "sump.macerator-min" }},
}

// lifts names the least discharge that is asked of what pushes through a segment, "" where
// nothing does. A macerating unit is one for a single water closet, where the book names it.
func (c *chooser) lifts(s network.SegID) string {
	if c.net.Segs[s].Role != network.PumpDischarge {
		return ""
	}
	run := c.net.RunOf(s)
	b := &run.Def.Basin
	closets := 0
	for _, u := range c.net.Up(run.Segs[0]) {
		k, _ := c.loads.Count(u, load.Closets)
		closets += k
	}
	switch {
	case b.Macerator.V && closets <= 1 && c.book.Param("sump.macerator-min").State == codebook.Given:
		return "sump.macerator-min"
	case b.Grinder.V:
		return "sump.grinder-min"
	}
	return "sump.min-discharge"
}

func (c *chooser) prepare(floors []Floor) {
	n := len(c.net.Segs)
	c.z = &Sizes{
		Required: make([]unit.Size, n), Size: make([]unit.Size, n), Given: make([]bool, n),
		Slope: make([]unit.Slope, n), SlopeGiven: make([]bool, n),
		terms: make([]Term, 0, 4*n), termAt: make([]int32, n+1),
		net: c.net, loads: c.loads, book: c.book, limits: c.book.Limits(), off: c.book.Off(), sizing: c.book.Sizings(), floors: floors,
	}
	c.askRow = map[string]bool{}
	z := c.z
	if st, cite, ok := c.book.Stock(); ok {
		z.stock, z.stockC, z.shop = st, cite, true
	} else {
		z.stock = c.bookSizes()
	}
	for i := range z.limits {
		col := -1
		if cl := z.limits[i].When.Class; cl != "" {
			col = c.loads.ClassIndex(cl)
		}
		c.joinCols = append(c.joinCols, columns(c.loads, z.limits[i].When.Joins))
		for r := range c.byRole {
			if rolesHave(z.limits[i].When.Roles, network.Role(r)) {
				c.byRole[r] = append(c.byRole[r], limitAt{int32(i), col})
			}
		}
	}
	for i := range z.sizing {
		sz := &z.sizing[i]
		t, ok := c.book.Table(sz.Table)
		if !ok {
			continue
		}
		at := sizingAt{index: int32(i), table: t, column: -1}
		for k, h := range t.Columns {
			if h == sz.Column {
				at.column = k
			}
		}
		for r := range c.sizings {
			if len(sz.Roles) > 0 && rolesHave(sz.Roles, network.Role(r)) {
				c.sizings[r] = append(c.sizings[r], at)
			}
		}
	}
	if c.reach = reaches(c.book, z.sizing); c.reach != nil {
		c.fallen, c.fallOpen = make([]unit.Length, n), make([]bool, n)
		z.reach, z.fallen = c.reach, c.fallen
	}
	if t, ok := c.book.Table("min-slope"); ok {
		for _, r := range t.Rows {
			for _, cell := range r.Cells {
				if cell.State == codebook.Given && cell.Slope.Run != 0 {
					c.minSlope = append(c.minSlope, slopeRow{r.Size, cell.Slope, cell.Cite})
					break
				}
			}
		}
	}
	for i := range minParams {
		z.params = append(z.params, c.book.Param(minParams[i].id))
	}
	c.runs = make([]told, len(c.net.Runs))
	for i := range c.net.Runs {
		d := c.net.Runs[i].Def
		c.runs[i] = told{slope: d.Slope.V, size: d.Size.V, existing: d.State.Text == "existing"}
		if d.Bend.Text != "" && c.net.Runs[i].Fixture != network.None {
			c.runs[i].bend = bendSmall(d.Bend.Text)
		}
	}
	c.traps = make([]unit.Size, len(c.net.Fixtures))
	for i := range c.net.Fixtures {
		c.traps[i] = max(c.loads.Fixture[i].Trap, c.loads.Fixture[i].Stated)
	}
	if len(floors) > 0 {
		c.floorOf = make(map[network.SegID][]int32, len(floors))
		for i := range floors {
			if f := &floors[i]; !f.Arm {
				c.floorOf[f.Seg] = append(c.floorOf[f.Seg], int32(i))
			} else {
				if z.arms == nil {
					z.arms = map[network.SegID]bool{}
				}
				z.arms[f.Seg] = true
			}
		}
	}
}

func rolesHave(roles []string, r network.Role) bool {
	if len(roles) == 0 {
		return true
	}
	for _, w := range roles {
		if w == r.String() {
			return true
		}
	}
	return false
}

// bookSizes lists every pipe size that a sizing table has a row for.
func (c *chooser) bookSizes() []unit.Size {
	var out []unit.Size
	for i := range c.z.sizing {
		t, ok := c.book.Table(c.z.sizing[i].Table)
		if !ok {
			continue
		}
		for _, r := range t.Rows {
			if r.Size > 0 && !hasSize(out, r.Size) {
				out = append(out, r.Size)
			}
		}
	}
	for i := 1; i < len(out); i++ {
		for k := i; k > 0 && out[k] < out[k-1]; k-- {
			out[k], out[k-1] = out[k-1], out[k]
		}
	}
	return out
}

func hasSize(list []unit.Size, s unit.Size) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// minSlopeOf returns the flattest slope that the book permits for a size.
func (c *chooser) minSlopeOf(s unit.Size) (unit.Slope, *diag.Cite) {
	for i := range c.minSlope {
		if c.minSlope[i].size == s {
			return c.minSlope[i].slope, c.minSlope[i].cite
		}
	}
	return unit.Slope{}, nil
}

// seg gathers the constraints on one segment and picks its size. Everything that drains
// into it has been sized before.
func (c *chooser) seg(s network.SegID) {
	z, seg := c.z, &c.net.Segs[s]
	z.termAt[s] = int32(len(z.terms))
	run := &c.runs[seg.Run]
	given := run.slope
	z.Slope[s], z.SlopeGiven[s] = given, given.Run != 0

	if seg.Role != network.PumpDischarge {
		for _, la := range c.byRole[c.z.roleOf(s)] {
			if z.holds(s, &z.limits[la.index].When, la.column, c.joinCols[la.index]) {
				z.terms = append(z.terms, Term{Kind: ByLimit, Min: z.limits[la.index].Min, Ref: la.index})
			}
		}
		c.trapTerm(s)
		c.unknownTerm(s)
		c.fall(s)
		c.uprightTerm(s)
	}
	for i := range minParams {
		if p := &z.params[i]; p.State == codebook.Given && p.Size > 0 && minParams[i].when(c, s) {
			z.terms = append(z.terms, Term{Kind: ByParam, Min: p.Size, Ref: int32(i)})
		}
	}
	for _, f := range c.floorOf[s] {
		z.terms = append(z.terms, Term{Kind: ByFloor, Min: z.floors[f].Min, Ref: f})
	}
	// Never smaller downstream: once for what the code asks, once for what is there.
	up, upBuilt := network.SegID(network.None), network.SegID(network.None)
	var upReq, upSize unit.Size
	for _, u := range c.net.Up(s) {
		if c.net.Segs[u].Role == network.PumpDischarge || seg.Basin {
			continue // a pump pushes; its pipe may be smaller than what runs into the basin
		}
		if z.Required[u] > upReq {
			upReq, up = z.Required[u], u
		}
		if x := c.sizeInto(u); x > upSize {
			upSize, upBuilt = x, u
		}
	}
	var required unit.Size
	others := z.terms[z.termAt[s]:]
	for _, t := range others {
		required = max(required, t.Min)
	}
	if seg.Role != network.PumpDischarge {
		c.tableTerm(s, c.stocked(max(required, upReq)))
		// The tables stand first.
		all := z.terms[z.termAt[s]:]
		for _, t := range all[len(others):] {
			required = max(required, t.Min)
		}
		slices.Reverse(all[:len(others)])
		slices.Reverse(all[len(others):])
		slices.Reverse(all)
	}
	built := required
	if up != network.None {
		z.terms = append(z.terms, Term{Kind: ByUpstream, Min: upReq, Ref: int32(up)})
		required = max(required, upReq)
	}
	if upBuilt != network.None && upSize > upReq {
		z.terms = append(z.terms, Term{Kind: ByUpstream, Min: upSize, Ref: int32(upBuilt)})
	}
	built = max(built, upSize, upReq)
	z.Required[s] = c.sold(seg.Role, required)
	if g := run.size; g > 0 {
		z.Size[s], z.Given[s] = g, true
	} else {
		z.Size[s] = c.sold(seg.Role, built)
	}
	if required == 0 && len(z.stock) > 0 {
		z.terms = append(z.terms, Term{Kind: ByStock, Min: z.stock[0]})
		z.Required[s] = z.stock[0]
		if !z.Given[s] {
			z.Size[s] = max(z.Size[s], z.stock[0])
		}
	}
	c.order(z.terms[z.termAt[s]:], z.Given[s])
}

// sizeInto is the size with which segment u arrives: a closet bend of 4x3 brings 3 in.
func (c *chooser) sizeInto(u network.SegID) unit.Size {
	seg := &c.net.Segs[u]
	if small := c.runs[seg.Run].bend; small > 0 && seg.Fixture != network.None {
		return min(c.z.Size[u], small)
	}
	return c.z.Size[u]
}

// bendSmall reads the downstream size of a reducing closet bend: 3 in for "4x3".
func bendSmall(s string) unit.Size {
	for i := range len(s) {
		if s[i] == 'x' {
			if v, err := unit.ParseSize(s[i+1:]); err == nil {
				return v
			}
		}
	}
	return 0
}

// stocked returns the smallest stocked size not under s, or s itself when the stock ends
// below it.
func (c *chooser) stocked(s unit.Size) unit.Size {
	for _, x := range c.z.stock {
		if x >= s {
			return x
		}
	}
	return s
}

// sold is stocked, but for the pressure pipe of a small unit: that comes in sizes under the
// smallest drain.
func (c *chooser) sold(role network.Role, s unit.Size) unit.Size {
	if role == network.PumpDischarge && !c.z.shop && s > 0 && len(c.z.stock) > 0 && s < c.z.stock[0] {
		return s
	}
	return c.stocked(s)
}

// order puts the governing term first: the largest; on a tie one that says something
// before a table that limits nothing.
func (c *chooser) order(ts []Term, _ bool) {
	best := 0
	for i := range ts {
		if ts[i].Min > ts[best].Min || ts[i].Min == ts[best].Min && ts[best].Cap >= unlimited && ts[i].Cap < unlimited {
			best = i
		}
	}
	ts[0], ts[best] = ts[best], ts[0]
}

// dry: nothing that is told drains through a segment.
func (c *chooser) dry(s network.SegID) bool {
	return c.loads.Traps[s] == 0 && c.loads.Units[s] == 0 && !c.loads.AtLeast[s] && c.net.Segs[s].Fixture == network.None
}

// dryEnds: the piece of a run above its first join carries nothing. It is laid in the size
// of the pipe that it goes on into.
func (c *chooser) dryEnds() {
	z := c.z
	for i := len(c.net.Segs) - 1; i >= 0; i-- {
		seg := &c.net.Segs[i]
		d := seg.Down
		if d == network.None || c.net.Segs[d].Run != seg.Run || !c.dry(network.SegID(i)) || z.Given[i] {
			continue
		}
		if z.Size[d] > z.Size[i] && z.termAt[i] < z.termAt[i+1] {
			// Only laid so: the code asks nothing of it, and Required stays.
			z.Size[i] = z.Size[d]
			z.terms[z.termAt[i]] = Term{Kind: ByBelow, Min: z.Size[d], Ref: int32(d)}
		}
	}
}

// unknownTerm: a whole house whose load is given in units alone may well have a water
// closet. Building drain and sewer are then not sized under what one asks; a size that is
// given is not faulted for it, the question is asked.
func (c *chooser) unknownTerm(s network.SegID) {
	role := c.net.Segs[s].Role
	if !c.loads.ClosetsUnknown[s] || role != network.BuildingDrain && role != network.BuildingSewer {
		return
	}
	for i := range c.z.limits {
		l := &c.z.limits[i]
		if l.When.Class == load.Closets && l.When.ClassCount <= 1 && rolesHave(l.When.Roles, role) {
			c.z.terms = append(c.z.terms, Term{Kind: ByQuestion, Min: l.Min, Ref: int32(i)})
			return
		}
	}
}

// trapTerm: a drain is not smaller than the trap that it takes.
func (c *chooser) trapTerm(s network.SegID) {
	seg := &c.net.Segs[s]
	if seg.Carries && c.loads.Part[seg.Run].Trap > 0 {
		c.z.terms = append(c.z.terms, Term{Kind: ByCarried, Min: c.loads.Part[seg.Run].Trap, Ref: int32(seg.Run)})
	}
	if seg.Fixture == network.None {
		return
	}
	trap := c.traps[seg.Fixture]
	if trap > 0 {
		c.z.terms = append(c.z.terms, Term{Kind: ByTrap, Min: trap, Ref: int32(seg.Fixture)})
	}
}

// holds tells whether a one-liner speaks for a segment of one of its roles; column and joins
// are the columns of the classes that it counts. (That fixtures came together here or above is
// what matters; it stays true all the way down.)
func (z *Sizes) holds(s network.SegID, w *codebook.When, column int, joins []int) bool {
	switch {
	case !z.inPlace(s, w),
		w.UnitsOver > 0 && z.loads.Units[s] <= w.UnitsOver,
		w.Fixtures > 0 && int(z.loads.Traps[s]) < w.Fixtures,
		w.Class != "" && (column < 0 || int(z.loads.CountAt(s, column)) < max(1, w.ClassCount)):
		return false
	}
	n := 0
	for _, col := range joins {
		if col >= 0 {
			n += int(z.loads.CountAt(s, col))
		}
	}
	return len(joins) == 0 || n >= max(1, w.JoinCount)
}

// inPlace tells whether a one-liner could speak for a segment by how it lies and whose
// building it is in, whatever it carries.
func (z *Sizes) inPlace(s network.SegID, w *codebook.When) bool {
	seg := &z.net.Segs[s]
	switch {
	case w.UnderGround && !seg.UnderGround,
		w.Lies == "level" && seg.Lie == network.Upright,
		w.Lies == "upright" && seg.Lie != network.Upright,
		w.Occupancy != "" && w.Occupancy != z.net.Job.Occupancy.Text:
		return false
	}
	return true
}

// columns are those of the classes in the counts.
func columns(l *load.Loads, classes []string) []int {
	var out []int
	for _, c := range classes {
		out = append(out, l.ClassIndex(c))
	}
	return out
}
