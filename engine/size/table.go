package size

import (
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// unlimited stands for a printed "no limit".
const unlimited = unit.Load(1) << 40

// tableTerm finds the smallest pipe whose cell carries the load. base is what all else asks
// for: a row without a number (one fixture only, say) lets a pipe of its size pass and none
// that is larger. A segment that no sizing speaks for, or whose tables end too early, is
// reported as not checked.
func (c *chooser) tableTerm(s network.SegID, base unit.Size) {
	z := c.z
	found := false
	role := z.roleOf(s)
	for _, at := range c.sizings[role] {
		sz := &z.sizing[at.index]
		if !c.speaks(s, sz) {
			continue
		}
		found = true
		need := c.measure(s, sz)
		if need == 0 {
			continue
		}
		ok := false
		most, top := unit.Load(0), unit.Size(0)
		for i := range at.table.Rows {
			row := &at.table.Rows[i]
			if row.Size == 0 || !c.pickable(row.Size) {
				continue
			}
			capacity := c.capacity(at, sz, row, c.slopeFor(s, row.Size))
			if capacity >= need && (capacity < unlimited || row.Size >= base) {
				ok = true
				z.terms = append(z.terms, Term{Kind: ByTable, Min: row.Size, Ref: at.index, Cap: capacity})
				break
			}
			if capacity < unlimited && capacity > most {
				most, top = capacity, row.Size
			}
		}
		if !ok {
			// Past the end of the table: certainly not smaller than its last row.
			if top > 0 {
				z.terms = append(z.terms, Term{Kind: ByTable, Min: top, Ref: at.index, Cap: most})
			}
			c.outOfTable(s, at.table, need)
		}
	}
	// A trap arm that no table speaks for is as large as its trap.
	if !found && role != network.RoleNone && role != network.TrapArm {
		c.notCovered(s)
	}
}

// roleOf is the role by which tables speak for a segment.
func (z *Sizes) roleOf(s network.SegID) network.Role {
	if z.arms[s] {
		return network.TrapArm
	}
	return z.net.Segs[s].Role
}

// pickable: with a shop's stock, only stocked sizes; a table row of another size would
// only be rounded up again.
func (c *chooser) pickable(s unit.Size) bool {
	return !c.z.shop || hasSize(c.z.stock, s)
}

// speaks tells whether a sizing speaks for a segment's lie and number of intervals.
func (c *chooser) speaks(s network.SegID, sz *codebook.Sizing) bool {
	seg := &c.net.Segs[s]
	switch {
	case sz.Lies == "level" && seg.Lie == network.Upright, sz.Lies == "upright" && seg.Lie != network.Upright:
		return false
	case sz.Intervals == "up to 3" && c.loads.Intervals[s] > 3, sz.Intervals == "over 3" && c.loads.Intervals[s] <= 3:
		return false
	}
	return true
}

func (c *chooser) measure(s network.SegID, sz *codebook.Sizing) unit.Load {
	if sz.Measure == "branch interval" {
		return c.loads.Interval[s]
	}
	return c.loads.Units[s]
}

// slopeFor is the slope that counts for a size: the given one, else the flattest that the
// book permits for that size.
func (c *chooser) slopeFor(s network.SegID, size unit.Size) unit.Slope {
	if c.z.SlopeGiven[s] {
		return c.z.Slope[s]
	}
	sl, _ := c.minSlopeOf(size)
	return sl
}

// capacity reads what a row carries at a slope; -1 where it is not permitted or the table
// does not speak.
func (c *chooser) capacity(at sizingAt, sz *codebook.Sizing, row *codebook.Row, slope unit.Slope) unit.Load {
	col := at.column
	if col < 0 {
		col = c.slopeColumn(at.table, row, slope)
	}
	if col < 0 || col >= len(row.Cells) {
		return -1
	}
	cell := &row.Cells[col]
	switch cell.State {
	case codebook.Given:
		return scaled(cell.Load, sz, slope)
	case codebook.NoLimit:
		return unlimited
	}
	return -1
}

// slopeColumn picks the steepest printed slope that the pipe reaches. A pipe flatter than
// every printed slope has no column.
func (c *chooser) slopeColumn(t *codebook.Table, row *codebook.Row, slope unit.Slope) int {
	best := -1
	for k, sl := range t.Slopes {
		if sl.Run == 0 || k >= len(row.Cells) {
			continue
		}
		if slope.Reaches(sl) && row.Cells[k].State != codebook.Blank {
			if best < 0 || t.Slopes[best].Cmp(sl) < 0 {
				best = k
			}
		}
	}
	return best
}

// scaled applies a sizing's slope factors: the factor of the steepest listed slope that
// the pipe reaches; flatter than all of them, the factor of the flattest.
func scaled(l unit.Load, sz *codebook.Sizing, slope unit.Slope) unit.Load {
	if len(sz.Slopes) == 0 || slope.Run == 0 {
		return l
	}
	best, flattest := -1, 0
	for i := range sz.Slopes {
		if sz.Slopes[i].Slope.Cmp(sz.Slopes[flattest].Slope) < 0 {
			flattest = i
		}
		if slope.Reaches(sz.Slopes[i].Slope) && (best < 0 || sz.Slopes[best].Slope.Cmp(sz.Slopes[i].Slope) < 0) {
			best = i
		}
	}
	if best < 0 {
		best = flattest
	}
	return unit.Load(int64(l) * sz.Slopes[best].Num / sz.Slopes[best].Den)
}

// CapacityAt returns what a pipe of the given size carries on segment s under each sizing
// that speaks for it: the smallest of them, with the sizing's index; -1, -1 when no table
// speaks, 0 when a table speaks and does not permit the size.
func (z *Sizes) CapacityAt(s network.SegID, size unit.Size) (unit.Load, int32) {
	c := &chooser{net: z.net, loads: z.loads, book: z.book, z: z}
	best, ref := unit.Load(-1), int32(-1)
	for i := range z.sizing {
		sz := &z.sizing[i]
		if len(sz.Roles) == 0 || !rolesHave(sz.Roles, z.roleOf(s)) || !c.speaks(s, sz) {
			continue
		}
		got, ok := z.capacityOf(s, int32(i), size)
		if !ok {
			continue
		}
		// Compare what is left, as measures differ.
		if best < 0 || got-c.measure(s, sz) < best-c.measure(s, &z.sizing[ref]) {
			best, ref = got, int32(i)
		}
	}
	return best, ref
}

// reader gives what reads the table of a sizing; ok is false when the book has no such table.
func (z *Sizes) reader(sizing int32) (c *chooser, at sizingAt, ok bool) {
	sz := &z.sizing[sizing]
	t, ok := z.book.Table(sz.Table)
	if !ok {
		return nil, sizingAt{}, false
	}
	at = sizingAt{index: sizing, table: t, column: -1}
	for k, h := range t.Columns {
		if h == sz.Column {
			at.column = k
		}
	}
	return &chooser{net: z.net, loads: z.loads, book: z.book, z: z}, at, true
}

// slopeAt is the slope that counts for a size: the given one, else the flattest permitted.
func (c *chooser) slopeAt(s network.SegID, size unit.Size) unit.Slope {
	if c.z.SlopeGiven[s] {
		return c.z.Slope[s]
	}
	return minSlope(c.book, size)
}

// capacityOf is the capacity under one sizing; ok is false when its table has no row.
func (z *Sizes) capacityOf(s network.SegID, sizing int32, size unit.Size) (unit.Load, bool) {
	c, at, ok := z.reader(sizing)
	if !ok {
		return 0, false
	}
	return c.carries(s, at, size)
}

// carries is capacityOf for a sizing whose table is at hand.
func (c *chooser) carries(s network.SegID, at sizingAt, size unit.Size) (unit.Load, bool) {
	for i := range at.table.Rows {
		if row := &at.table.Rows[i]; row.Size == size {
			return max(0, c.capacity(at, &c.z.sizing[at.index], row, c.slopeAt(s, size))), true
		}
	}
	return 0, false
}

func (c *chooser) outOfTable(s network.SegID, t *codebook.Table, need unit.Load) {
	run := c.net.RunOf(s)
	key := "out " + run.Name + t.ID
	if c.askRow[key] {
		return
	}
	c.askRow[key] = true
	sl := ""
	if c.z.SlopeGiven[s] {
		sl = " at " + c.z.Slope[s].In(c.net.Job.Units)
	}
	c.diags = append(c.diags, diag.Diagnostic{
		Severity: diag.Unchecked, Rule: "size-table", On: segRef(run.Name, s), At: run.Def.At,
		Message: run.Name + " carries " + units(need) + sl + ", and no row of " + t.Place + " goes that far",
		Ask:     "which table does the authority use for larger or flatter drains?",
		Cites:   citesOf(t.Cite),
	})
}

func (c *chooser) notCovered(s network.SegID) {
	run := c.net.RunOf(s)
	role := c.net.Segs[s].Role.String()
	key := "role " + run.Name + role
	if c.askRow[key] {
		return
	}
	c.askRow[key] = true
	c.diags = append(c.diags, diag.Diagnostic{
		Severity: diag.Unchecked, Rule: "size-table", On: segRef(run.Name, s), At: run.Def.At,
		Message: run.Name + ": the book names no table for a " + role,
		Ask:     "which table does the authority use for it?",
	})
}

func segRef(name string, s network.SegID) diag.Ref {
	return diag.Ref{What: diag.Run, Name: name, Segment: int32(s)}
}

func citesOf(cs ...*diag.Cite) []diag.Cite {
	var out []diag.Cite
	for _, c := range cs {
		if c != nil {
			out = append(out, *c)
		}
	}
	return out
}

// units writes a load with its word: "1 unit", "3.5 units".
func units(l unit.Load) string {
	if l == unit.Unit {
		return "1 unit"
	}
	return l.String() + " units"
}
