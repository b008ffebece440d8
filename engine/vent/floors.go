package vent

import (
	"cmp"
	"slices"

	"trapweir/engine/codebook"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/unit"
)

// floors asks for pipe sizes where drains also vent.
func (t *tracer) floors() []size.Floor {
	most := map[network.SegID]size.Floor{}
	put := func(f size.Floor) {
		if f.Min > most[f.Seg].Min {
			most[f.Seg] = f
		}
	}
	for i := range t.out.Trap {
		r := t.out.Trap[i].Reading()
		if r == nil {
			continue
		}
		f := network.FixID(i)
		t.armFloor(f, r, put)
		switch r.Method {
		case WetLevel, WetUpright:
			closet := t.net.Fixtures[f].Kind.Has(classCloset)
			for _, s := range r.Wet {
				t.wetFloor(s, closet, put)
			}
			if r.Method == WetUpright {
				t.oneUp(r, put)
			}
		case CommonLevels:
			if tab, ok := t.book.Table("common-vent"); ok {
				for _, s := range r.Wet {
					t.rowFloor(tab, 0, s, t.loads.Units[s], "wet-vent-undersized", "it is the common vent of a lower fixture for ", put)
				}
			} else {
				for _, s := range r.Wet {
					t.wetFloor(s, false, put)
				}
			}
		case WasteStack:
			if tab, ok := t.book.Table("waste-stack-vent"); ok {
				t.wasteStackFloor(tab, f, r, put)
			}
		case Combination:
			if tab, ok := t.book.Table("combination-vent"); ok {
				t.combinationFloor(tab, f, put)
			}
			t.combinationUp(f, put)
		}
	}
	t.circuitFloors(most, put)
	out := t.arms()
	for _, f := range most {
		out = append(out, f)
	}
	slices.SortStableFunc(out, func(a, b size.Floor) int { return cmp.Compare(a.Seg, b.Seg) })
	return out
}

// arms are the drains that are trap arms all the way, as what vents them is the pipe that they
// join. They are told where the book has another table for a fixture's drain than for its arm.
func (t *tracer) arms() (out []size.Floor) {
	drain, arm := network.FixtureDrain.String(), network.TrapArm.String()
	if !slices.ContainsFunc(t.book.Sizings(), func(z codebook.Sizing) bool {
		return slices.Contains(z.Roles, drain) && !slices.Contains(z.Roles, arm)
	}) {
		return nil
	}
	n := t.net
	for i := range t.out.Trap {
		f := network.FixID(i)
		r := t.out.Trap[i].Reading()
		if r == nil || r.Open == network.None || !r.settled() || r.Method == Combination || n.Fixtures[f].Kind.Has(classCloset) {
			continue
		}
		// Without a size of its own it is sized as its trap is: it must be vented so too.
		trap := t.loads.Fixture[f].Trap
		if said := n.Fixtures[f].Def.Trap.V; said > 0 {
			trap = said
		}
		long := t.book.Cell("trap-arm", trap, "max")
		most, falls := t.mostFall(trap)
		within := r.Arm.Known && long.State == codebook.Given && r.Arm.Length <= long.Length && !(falls && r.Arm.Fall > most)
		for s := n.Fixtures[f].Seg; s != network.None && s != r.Open && t.loads.Traps[s] == 1; s = n.Segs[s].Down {
			if n.Segs[s].Role == network.FixtureDrain && (within || t.sizes.Given[s]) {
				out = append(out, size.Floor{Seg: s, Arm: true})
			}
		}
	}
	return out
}

// armFloor: an arm that is too long for its size may be within the limit of the next
// size or two. Larger than 2 in it is no cure for a small fixture's arm: its trap would no
// longer scour itself.
func (t *tracer) armFloor(f network.FixID, r *Reading, put func(size.Floor)) {
	row, c := t.armRow(f, r)
	if row == nil || row.Size <= t.loads.Fixture[f].Trap {
		return
	}
	for s := t.net.Fixtures[f].Seg; s != network.None && s != r.Open; s = t.net.Segs[s].Down {
		fl := size.Floor{
			Seg: s, Min: row.Size, Rule: "trap-arm-too-long",
			Say: "its trap arm is " + r.Arm.Length.In(t.net.Job.Units) + " long, which " + row.Size.String() + " may be (up to " + c.Length.In(t.net.Job.Units) + ")",
		}
		if c.Cite != nil {
			fl.Cite = *c.Cite
		}
		put(fl)
	}
}

// armRow is the first row of the book's table whose arm may be as long as that of a
// reading, nil where a larger arm is no cure.
func (t *tracer) armRow(f network.FixID, r *Reading) (*codebook.Row, codebook.Cell) {
	fx := &t.net.Fixtures[f]
	if r.Arm.Free || !r.Arm.Known || fx.Kind.Has(classCloset) || fx.Def.Trap.V > 0 || r.Method == Combination {
		return nil, codebook.Cell{}
	}
	tab, ok := t.book.Table("trap-arm")
	if !ok {
		return nil, codebook.Cell{}
	}
	for i := range tab.Rows {
		row := &tab.Rows[i]
		c := t.book.Cell("trap-arm", row.Size, "max")
		if c.State != codebook.Given || c.Length < r.Arm.Length {
			continue
		}
		if row.Size.Length() > 2*unit.Inch {
			break
		}
		return row, c
	}
	return nil, codebook.Cell{}
}

// wetFloor sizes a washed pipe. closet: what it vents is a water closet, for which a book
// may have a column of its own.
func (t *tracer) wetFloor(s network.SegID, closet bool, put func(size.Floor)) {
	tab, ok := t.book.Table("wet-vent")
	if !ok {
		return
	}
	col := max(0, tab.Column("units"))
	if c := tab.Column(closetUnits); closet && c >= 0 {
		col = c
	}
	t.rowFloor(tab, col, s, t.loads.Units[s], "wet-vent-undersized", "it is a wet vent carrying ", put)
	if p := t.p.wetUpright; p.State == codebook.Given && t.net.Segs[s].Lie == network.Upright && p.Size > 0 {
		fl := size.Floor{Seg: s, Min: p.Size, Rule: "wet-vent-undersized", Say: "it is a vertical wet vent, " + p.Size.String() + " at least", Max: p.Size.String()}
		if p.Cite != nil {
			fl.Cite = *p.Cite
		}
		put(fl)
	}
}

// oneUp: where the book asks it, an upright wet vent is a size or more over what the fixture
// at its top needs.
func (t *tracer) oneUp(r *Reading, put func(size.Floor)) {
	p := t.p.uprightUp
	if p.State != codebook.Given || len(r.Wet) == 0 {
		return
	}
	var top network.FixID = network.None
	for s := r.Wet[0]; s != network.None && top == network.None; {
		top = t.net.Segs[s].Fixture
		next := network.SegID(network.None)
		for _, u := range t.net.Up(s) {
			if next == network.None && t.loads.Traps[u] > 0 {
				next = u
			}
		}
		s = next
	}
	if top == network.None || t.loads.Fixture[top].Trap == 0 {
		return
	}
	least := stepUp(t.loads.Fixture[top].Trap, p)
	for _, s := range r.Wet {
		if t.net.Segs[s].Lie != network.Upright {
			continue
		}
		fl := size.Floor{Seg: s, Min: least, Rule: "wet-vent-undersized", Say: "it is a vertical wet vent, a size over the " + t.loads.Fixture[top].Trap.String() + " that " + t.name(top) + " needs", Max: least.String()}
		if p.Cite != nil {
			fl.Cite = *p.Cite
		}
		put(fl)
	}
}

// stepUp is the size so many sizes over s, half sizes counted.
func stepUp(s unit.Size, p codebook.Param) unit.Size {
	for steps := p.Number; steps > 0; steps -= 100 {
		if next, ok := unit.NextSize(s); ok {
			s = next
		}
	}
	return s
}

// rowFloor finds the first row of a table that carries the units.
func (t *tracer) rowFloor(tab *codebook.Table, col int, s network.SegID, units unit.Load, rule, say string, put func(size.Floor)) {
	for i := range tab.Rows {
		row := &tab.Rows[i]
		if row.Size == 0 || col >= len(row.Cells) {
			continue
		}
		c := &row.Cells[col]
		if c.State == codebook.NoLimit || c.State == codebook.Given && c.Load >= units {
			most := c.Text
			if c.State == codebook.NoLimit {
				most = "any number"
			}
			f := size.Floor{Seg: s, Min: row.Size, Rule: rule, Say: say + plural(units) + "; " + row.Size.String() + " may carry " + most, Got: units.String()}
			if tab.Cite != nil {
				f.Cite = *tab.Cite
			}
			if f.Max = t.carriesBelow(tab, col, row.Size); f.Max == "" {
				f.Got = "" // no smaller pipe at all: the sizes say it
			}
			put(f)
			return
		}
	}
}

// carriesBelow is what the next smaller row carries, "" for the first row.
func (t *tracer) carriesBelow(tab *codebook.Table, col int, s unit.Size) string {
	last := ""
	for i := range tab.Rows {
		if tab.Rows[i].Size >= s {
			break
		}
		if c := tab.Rows[i].Cells[col]; c.State == codebook.Given {
			last = c.Load.String()
		}
	}
	return last
}

func plural(l unit.Load) string {
	if l == unit.Unit {
		return "1 unit"
	}
	return l.String() + " units"
}

// wasteStackFloor: the stack is one size from the foot to the top, by its whole load.
func (t *tracer) wasteStackFloor(tab *codebook.Table, f network.FixID, r *Reading, put func(size.Floor)) {
	foot := t.stackFoot(r.Open)
	interval := t.mostInInterval(foot)
	total, ival := len(tab.Columns)-1, 0
	for i := range tab.Rows {
		row := &tab.Rows[i]
		if row.Size == 0 || len(row.Cells) <= total {
			continue
		}
		fits := func(c *codebook.Cell, l unit.Load) bool {
			return c.State == codebook.NoLimit || c.State == codebook.Given && c.Load >= l
		}
		if !fits(&row.Cells[total], t.loads.Units[foot]) || !fits(&row.Cells[ival], interval) {
			continue
		}
		got, in, col := t.loads.Units[foot], "", total
		if i > 0 && len(tab.Rows[i-1].Cells) > total && fits(&tab.Rows[i-1].Cells[total], got) {
			got, in, col = interval, " in one branch interval", ival
		}
		for s := foot; s != network.None; s = t.stackUp(s) {
			fl := size.Floor{
				Seg: s, Min: row.Size, Rule: "waste-stack-undersized",
				Say: "it is a waste stack vent carrying " + plural(got) + in + ", one size from foot to top", Got: got.String(),
			}
			if tab.Cite != nil {
				fl.Cite = *tab.Cite
			}
			fl.Max = t.carriesBelow(tab, col, row.Size)
			put(fl)
		}
		return
	}
}

// mostInInterval is the most that comes in in one branch interval of an upright; all of it
// where the upright is no stack, which has no intervals.
func (t *tracer) mostInInterval(foot network.SegID) (most unit.Load) {
	for s := foot; s != network.None; s = t.stackUp(s) {
		if t.net.Segs[s].Role != network.Stack {
			return t.loads.Units[foot]
		}
		most = max(most, t.loads.Interval[s])
	}
	return most
}

// stackUp is the piece of the same run that comes down into an upright one, or None.
func (t *tracer) stackUp(s network.SegID) network.SegID {
	for _, u := range t.net.Up(s) {
		if t.net.Segs[u].Lie == network.Upright && t.net.Segs[u].Run == t.net.Segs[s].Run {
			return u
		}
	}
	return network.None
}

// combinationFloor sizes every segment from the fixture to the end of the combination pipe.
func (t *tracer) combinationFloor(tab *codebook.Table, f network.FixID, put func(size.Floor)) {
	n := t.net
	fx := &n.Fixtures[f]
	var path []network.SegID
	in := false
	for s := fx.Seg; s != network.None; s = n.Segs[s].Down {
		cwv := n.RunOf(s).Def.Vented.Text == "combination"
		if in && !cwv {
			break
		}
		in = in || cwv
		if !n.Segs[s].Arm || cwv {
			path = append(path, s)
		}
	}
	if !in || len(path) == 0 {
		return
	}
	col := 0
	want := "branch"
	if d := n.Segs[path[len(path)-1]].Down; d != network.None {
		switch n.Segs[d].Role {
		case network.BuildingDrain, network.BuildingSewer, network.BuildingDrainBranch:
			want = "drain"
		}
	}
	for k, h := range tab.Columns {
		if h == want {
			col = k
		}
	}
	for _, s := range path {
		t.rowFloor(tab, col, s, t.loads.Units[s], "cwv-undersized", "it is a combination waste and vent carrying ", put)
	}
}
