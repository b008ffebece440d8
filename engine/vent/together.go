package vent

import (
	"slices"

	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/unit"
)

// isStackVent: the vent goes on from a stack, or the job calls it a stack vent or a vent
// stack.
func (t *tracer) isStackVent(v network.VentID) bool {
	switch t.net.Vents[v].Def.Role.Text {
	case "stack vent", "vent stack":
		return true
	}
	_, ok := t.footOf(v)
	return ok
}

// footOf is the lowest piece of the stack that a vent leaves, or close past whose base a vent
// stack leaves the drain; None for a vent of no stack.
func (t *tracer) footOf(v network.VentID) (foot network.SegID, ok bool) {
	for _, k := range t.net.Vents[v].Takes {
		if foot, ok := t.footFor(v, k); ok {
			return foot, true
		}
	}
	return network.None, false
}

// footFor is footOf for one take-off.
func (t *tracer) footFor(v network.VentID, k network.Takeoff) (foot network.SegID, ok bool) {
	if foot, ok := t.footUnder(k); ok {
		return foot, true
	}
	return t.footBefore(v, k)
}

// footBefore finds the stack of a vent stack that leaves the drain past the base: the nearest
// one upstream. A vent that the job does not call a vent stack is one where the book asks for
// it, within so many diameters of the base of a stack with so many branch intervals.
func (t *tracer) footBefore(v network.VentID, k network.Takeoff) (foot network.SegID, ok bool) {
	n := t.net
	foot = network.None
	said := n.Vents[v].Def.Role.Text
	if said != "" && said != "vent stack" || k.Seg == network.None || n.Segs[k.Seg].Basin {
		return foot, false
	}
	// Without the job's word only what lies as near as the largest pipe would let it is looked at.
	reach := unit.Length(0)
	if most := t.book.Param("vent.stack-base-diameters"); said == "" {
		if most.State != codebook.Given || t.book.Param("vent.stack-intervals").State != codebook.Given {
			return foot, false
		}
		sizes := t.ventSizes()
		reach = unit.Length(int64(sizes[len(sizes)-1].Length()) * most.Number / 100)
	}
	near := unit.Length(0)
	var look func(s network.SegID, far unit.Length, known bool)
	from := func(u network.SegID, far unit.Length, known bool) {
		seg := &n.Segs[u]
		if seg.Role != network.Stack {
			if seg.Role == network.BuildingDrain || seg.Role == network.BuildingDrainBranch || seg.Role == network.BuildingSewer {
				look(u, far+seg.Length(), known && seg.LengthKnown)
			}
			return
		}
		if said == "" && !(known && t.ventsBase(u, far)) {
			return
		}
		if foot == network.None || far < near || far == near && t.loads.Units[u] > t.loads.Units[foot] {
			foot, near = u, far
		}
	}
	look = func(s network.SegID, far unit.Length, known bool) {
		if said == "" && (!known || far > reach) {
			return
		}
		for _, u := range n.Up(s) {
			from(u, far, known)
		}
	}
	if k.Lower {
		segs := n.Runs[k.Run].Segs
		from(segs[len(segs)-1], 0, true)
	} else {
		look(k.Seg, 0, true)
	}
	return foot, foot != network.None
}

// ventsBase: so far past the base of a stack the vent stack leaves that the book asks of it.
func (t *tracer) ventsBase(foot network.SegID, far unit.Length) bool {
	least, most := t.book.Param("vent.stack-intervals"), t.book.Param("vent.stack-base-diameters")
	if least.State != codebook.Given || most.State != codebook.Given || int64(t.loads.Intervals[foot])*100 < least.Number {
		return false
	}
	return int64(far)*100 <= int64(t.sizes.Size[foot].Length())*most.Number
}

// footUnder is the lowest piece of the stack that a take-off stands on, past offsets.
func (t *tracer) footUnder(k network.Takeoff) (foot network.SegID, ok bool) {
	n := t.net
	s := k.Seg
	if k.Lower {
		segs := n.Runs[k.Run].Segs
		s = segs[len(segs)-1]
	}
	if s != network.None && !k.Lower && n.Segs[s].Role != network.Stack {
		s = n.Opening(k).Seg // off the dry top of a stack
	}
	if s == network.None || n.Segs[s].Role != network.Stack {
		return network.None, false
	}
	for d := n.Segs[s].Down; d != network.None && (n.Segs[d].Role == network.Stack || n.Segs[d].Role == network.StackOffset); d = n.Segs[d].Down {
		s = d
	}
	return s, true
}

// ventLength is the developed length of a vent. A book may measure it from the farthest
// drain whose air it brings to the first stack vent or vent stack that it joins; else it
// runs from the vent's own take-off to the open air. The air of an island's loop goes on in
// the loop's foot vent.
func (t *tracer) ventLength(v network.VentID) (length unit.Length, known bool) {
	n := t.net
	if p := t.book.Param("vent.length-to"); p.Text != "stack vent" || t.isStackVent(v) {
		_, length, known = n.Outdoors(v)
		dry, ok := t.dryLength(v)
		length, known = length+dry, known && ok
		if foot, ok := t.feet[v]; ok {
			_, rest, ok := n.Outdoors(foot)
			length, known = length+rest, known && ok
		}
		return length, known
	}
	length, known = t.lengthFrom(v, len(n.Vents))
	rest, ok := t.lengthPast(v)
	return length + rest, known && ok
}

// dryLength is how much pipe of the drain itself lies between a vent's take-off and the highest
// waste: it is part of the vent.
func (t *tracer) dryLength(v network.VentID) (length unit.Length, known bool) {
	known = true
	for _, k := range t.net.Vents[v].Takes {
		sum := unit.Length(0)
		for _, s := range t.net.Opening(k).Dry {
			sum += t.net.Segs[s].Length()
			known = known && t.net.Segs[s].LengthKnown
		}
		length = max(length, sum)
	}
	return length, known
}

// lengthPast is how long the way is from the end of a vent to the first stack vent or vent
// stack, else to the open air.
func (t *tracer) lengthPast(v network.VentID) (length unit.Length, known bool) {
	n := t.net
	known = true
	at := v
	for n.Vents[at].End == network.JoinsVent {
		into := n.Vents[at].Into
		if t.isStackVent(into) {
			return length, known
		}
		rest, ok := t.pastJoint(at)
		length, known = length+rest, known && ok
		at = into
	}
	if foot, ok := t.feet[at]; ok {
		rest, ok := t.lengthPast(foot)
		length += n.Vents[foot].Length + rest
		known = known && ok && n.Vents[foot].LengthKnown
	}
	return length, known
}

// lengthFrom is how long a vent is from the farthest drain to its own end.
func (t *tracer) lengthFrom(v network.VentID, depth int) (length unit.Length, known bool) {
	n := t.net
	x := &n.Vents[v]
	dry, okDry := t.dryLength(v)
	length, known = x.Length+dry, x.LengthKnown && okDry
	from := func(f network.VentID, rest unit.Length, okRest bool) {
		l, ok := t.lengthFrom(f, depth-1)
		known = known && ok && okRest
		length = max(length, l+rest)
	}
	if depth == 0 {
		return length, known
	}
	for _, f := range x.Feeds {
		if n.Vents[f].End == network.JoinsVent && !t.isStackVent(f) {
			rest, ok := t.pastJoint(f)
			from(f, rest, ok)
		}
	}
	for loop, foot := range t.feet {
		if foot == v {
			from(loop, x.Length, x.LengthKnown)
		}
	}
	return length, known
}

// islandFeet finds the foot vents of all loops.
func (t *tracer) islandFeet() map[network.VentID]network.VentID {
	feet := map[network.VentID]network.VentID{}
	for i := range t.net.Vents {
		if v := network.VentID(i); t.net.IsLoop(v) && (t.net.Vents[i].End == network.JoinsRun || t.net.Vents[i].End == network.EndUnknown) {
			if foot := t.islandFoot(v); foot != network.None {
				feet[v] = foot
			}
		}
	}
	return feet
}

// islandFoot is the foot vent of a loop, which brings its air from outdoors: the one that takes
// off from the loop, else from the drain of its fixture elsewhere than the loop does, else the
// only one on the drain that the loop comes down to.
func (t *tracer) islandFoot(v network.VentID) network.VentID {
	n := t.net
	loop := &n.Vents[v]
	own, best := network.VentID(network.None), network.VentID(network.None)
	others := 0
	for i := range n.Vents {
		o := network.VentID(i)
		if !n.FootOf(v, o) || n.IsLoop(o) {
			continue
		}
		if slices.Contains(n.Vents[i].Feeds, v) {
			return o
		}
		for _, k := range n.Vents[i].Takes {
			for _, l := range loop.Takes {
				if k.Run == l.Run && k.Seg != l.Seg && own == network.None {
					own = o
				}
			}
			if loop.End == network.JoinsRun && loop.IntoRun != network.None && k.Run == n.Segs[loop.IntoRun].Run {
				best = o
				others++
			}
		}
	}
	switch {
	case own != network.None:
		return own
	case others == 1:
		return best
	}
	return network.None
}

// path is the way of a vent's air to the open air, with the foot vent of a loop.
func (t *tracer) path(v network.VentID) []network.VentID {
	out := t.net.Path(v)
	if foot, ok := t.feet[out[len(out)-1]]; ok {
		out = append(out, t.net.Path(foot)...)
	}
	return out
}

// pastJoint is how much of the receiving vent lies past where a vent joins it.
func (t *tracer) pastJoint(v network.VentID) (unit.Length, bool) {
	x := &t.net.Vents[t.net.Vents[v].Into]
	if in := t.net.Vents[v].Def.Into; in.Kind == job.AtLength {
		return max(0, x.Length-in.Len), x.LengthKnown
	}
	return x.Length, x.LengthKnown
}

// feeding visits a vent and all that join it, on the way to it or before.
func (t *tracer) feeding(v network.VentID, depth int, visit func(network.VentID)) {
	visit(v)
	if depth == 0 {
		return
	}
	for _, f := range t.net.Vents[v].Feeds {
		t.feeding(f, depth-1, visit)
	}
}

// allOld: a vent, all that join it and every pipe and trap that drain past them are there
// already: nothing new makes it larger than it had to be.
func (t *tracer) allOld(v network.VentID) bool {
	n := t.net
	old := true
	t.feeding(v, len(n.Vents), func(u network.VentID) {
		old = old && n.Vents[u].Def.State.Text == "existing"
		for _, k := range n.Vents[u].Takes {
			if k.Seg == network.None || n.Runs[k.Run].Def.State.Text != "existing" {
				old = false
				return
			}
			for todo := slices.Clone(n.Up(k.Seg)); old && len(todo) > 0; {
				s := todo[len(todo)-1]
				todo = append(todo[:len(todo)-1], n.Up(s)...)
				old = n.RunOf(s).Def.State.Text == "existing"
			}
		}
	})
	for _, f := range t.out.Size[v].Serves {
		old = old && n.Runs[n.Fixtures[f].Run].Def.State.Text == "existing"
	}
	return old
}

// branchVent sizes a vent in which branch vents come together: by the drain that would
// carry all that they vent.
func (t *tracer) branchVent(v network.VentID, add func(string, unit.Size, string, ...*diag.Cite)) {
	n, x := t.net, &t.out.Size[v]
	cite, ok := t.book.Clause("branch-vent-size")
	half0 := t.book.Param("vent.half-of-drain")
	tab, has := t.book.Table("branch-stack")
	if !ok || !has || half0.State != codebook.Given || !half0.Yes || len(n.Vents[v].Feeds)+len(n.Vents[v].Takes) < 2 || x.Units == 0 {
		return
	}
	col := tab.Column("branch")
	stack := false
	t.feeding(v, len(n.Vents), func(u network.VentID) { stack = stack || t.isStackVent(u) })
	if col < 0 || stack {
		return
	}
	for i := range tab.Rows {
		row := &tab.Rows[i]
		if c := &row.Cells[col]; c.State == codebook.Given && c.Load >= x.Units {
			if least := half(row.Size, t.ventSizes()); least > 0 {
				add("branch", least, "half of the "+row.Size.String()+" drain that would carry the "+plural(x.Units)+" of all that it vents", &cite)
			}
			return
		}
	}
}

// header sizes a vent in which the vents of several stacks come together, by the sum of
// their units and the longest way from the foot of a stack. It reports whether the table
// spoke.
func (t *tracer) header(v network.VentID, add func(string, unit.Size, string, ...*diag.Cite)) bool {
	n := t.net
	cite, ok := t.book.Clause("vent-header")
	tab, has := t.book.Table("stack-vent-length")
	if !ok || !has {
		return false
	}
	feet := map[network.SegID]bool{}
	var units unit.Load
	var stack unit.Size
	var longest unit.Length
	var open string // a stack vent whose way from the foot of its stack is not known
	t.feeding(v, len(n.Vents), func(u network.VentID) {
		foot, ok := t.footOf(u)
		if !ok {
			return
		}
		if !feet[foot] {
			feet[foot] = true
			units += t.loads.Units[foot]
			stack = max(stack, t.sizes.Required[foot])
		}
		l, ok := t.ventLength(u)
		high, okHigh := t.stackHeight(u)
		if !ok || !okHigh {
			open = n.RunOf(foot).Name
		}
		longest = max(longest, l+high)
	})
	if len(feet) < 2 {
		return false
	}
	what := "the vents of " + itoa(len(feet)) + " stacks come together in it, " + plural(units) + " in all"
	if open != "" {
		// What is known of the length gives the least; the rule for other long vents is not this one's.
		if cell, s := stackVentRow(tab, stack, units, longest, t.out.Size[v].Required); cell != nil && cell.Length >= longest {
			add("header", s, what+"; how far it is from the foot of the farthest is not known", &cite)
		}
		t.askSize(v, "vent-undersized", tab, n.Vents[v].Name+": "+what+", and how far it is from the foot of the farthest to the open air is not given", "how tall is "+open+", and how long are its vent and "+n.Vents[v].Name+"? write the lengths of their `legs`")
		return true
	}
	t.byStack(v, "header", tab, stack, units, longest, what+" and "+longest.In(n.Job.Units)+" from the foot of the farthest", &cite, add)
	return true
}

// stackVent sizes the extension of a stack by the book's table of stack, units and length,
// where it has one: by the stack as it stands, or as it is required if that is larger. It
// reports whether the table speaks of this vent; the rule for long vents does not then apply.
func (t *tracer) stackVent(v network.VentID, add func(string, unit.Size, string, ...*diag.Cite)) bool {
	tab, has := t.book.Table("stack-vent-length")
	foot, ok := t.footOf(v)
	x := &t.out.Size[v]
	if !has || !ok {
		return false
	}
	stack, units := max(t.sizes.Size[foot], t.sizes.Required[foot]), max(x.Units, t.loads.Units[foot])
	if !x.Known {
		// Legs of it are not measured: the rest asks for so much at least.
		if cell, s := stackVentRow(tab, stack, units, x.Length, x.Required); x.Length > 0 && cell != nil && cell.Length >= x.Length {
			add("stack vent", s, "the vent of a "+stack.String()+" stack with "+plural(units)+", "+t.howLong(x)+" long; "+s.String()+" may be "+cell.Length.In(t.net.Job.Units), tab.Cite)
		}
		return true
	}
	t.byStack(v, "stack vent", tab, stack, units, x.Length, "the vent of a "+stack.String()+" stack with "+plural(units)+", "+x.Length.In(t.net.Job.Units)+" long", tab.Cite, add)
	return true
}

// byStack reads the table of stack vents. Where it ends before the length of the vent, that is
// larger than any that the table has, and by how much is asked.
func (t *tracer) byStack(v network.VentID, kind string, tab *codebook.Table, stack unit.Size, units unit.Load, length unit.Length, what string, cite *diag.Cite, add func(string, unit.Size, string, ...*diag.Cite)) {
	x, vent := &t.out.Size[v], &t.net.Vents[v]
	cell, s := stackVentRow(tab, stack, units, length, x.Required)
	if cell != nil && cell.Length >= length {
		add(kind, s, what+"; "+s.String()+" may be "+cell.Length.In(t.net.Job.Units), cite)
		return
	}
	ends := "the book's table has no row for that"
	if cell != nil {
		ends = "the book's table ends with " + s.String() + ", which may be " + cell.Length.In(t.net.Job.Units)
		if next, ok := unit.NextSize(s); ok {
			add(kind, next, what+"; "+ends, cite)
		}
		if g := vent.Def.Size.V; g > 0 && g <= s {
			return // it is found too small
		}
	}
	t.askSize(v, "vent-too-long", tab, vent.Name+": "+what+"; "+ends, "how large a vent does the authority ask there?")
}

// amid: a take-off lies on a stack, with more of the stack above it.
func (t *tracer) amid(k network.Takeoff) bool {
	n := t.net
	if k.Lower || k.Seg == network.None || n.Segs[k.Seg].Role != network.Stack && n.Segs[k.Seg].Role != network.StackOffset {
		return false
	}
	for _, u := range n.Up(k.Seg) {
		if n.Segs[u].Role == network.Stack || n.Segs[u].Role == network.StackOffset {
			return true
		}
	}
	return false
}

// stackHeight is the upright pipe from the foot of a stack to where its vent leaves it.
func (t *tracer) stackHeight(v network.VentID) (high unit.Length, known bool) {
	n := t.net
	known = true
	for _, k := range n.Vents[v].Takes {
		at := n.Opening(k).Seg
		if k.Lower || at == network.None || n.Segs[at].Role != network.Stack {
			continue
		}
		high = 0
		for s := at; s != network.None && (n.Segs[s].Role == network.Stack || n.Segs[s].Role == network.StackOffset); s = n.Segs[s].Down {
			high += n.Segs[s].Length()
			known = known && n.Segs[s].LengthKnown
		}
	}
	return high, known
}

// stackVentRow finds the row for a stack and its units, and in it the smallest vent that may
// be so long, or else the largest that it has. A vent that has to be larger than that for
// another reason reads the length of the size that the table asks for.
func stackVentRow(tab *codebook.Table, stack unit.Size, units unit.Load, length unit.Length, least unit.Size) (cell *codebook.Cell, s unit.Size) {
	sc, uc := tab.Column("stack"), tab.Column("units")
	if sc < 0 || uc < 0 {
		return nil, 0
	}
	for i := range tab.Rows {
		row := &tab.Rows[i]
		if row.Cells[sc].Size < stack || row.Cells[uc].Load < units {
			continue
		}
		for k := range row.Cells {
			z, err := unit.ParseSize(tab.Columns[k])
			if err != nil || k == sc || k == uc || row.Cells[k].State != codebook.Given {
				continue
			}
			cell, s = &row.Cells[k], z
			if cell.Length >= length && z >= least {
				break
			}
		}
		return cell, s
	}
	return nil, 0
}

// drawnWhole: new work from the street up, with nothing in it that is not drawn, so that no
// vent of the house is missing.
func (t *tracer) drawnWhole() bool {
	n := t.net
	if !reachesStreet(n) && !n.Job.Site.Septic.V || len(n.Fixtures) == 0 {
		return false
	}
	for i := range n.Runs {
		d := n.Runs[i].Def
		if d.State.Text == "existing" || d.State.Text == "remove" || d.Carries.Set || d.Vented.Text == "elsewhere" {
			return false
		}
	}
	return true
}

// open lists the vents that end in the open air and serve more than what a pump lifts.
func (t *tracer) open() []network.VentID {
	var out []network.VentID
	for i := range t.net.Vents {
		x := &t.net.Vents[i]
		if (x.End == network.ThroughRoof || x.End == network.SideWall) && !t.net.Pumped(network.VentID(i)) {
			out = append(out, network.VentID(i))
		}
	}
	return out
}

// asBuilt is the size that a vent will have: as given, else as stocked.
func (t *tracer) asBuilt(v network.VentID) unit.Size {
	if g := t.net.Vents[v].Def.Size.V; g > 0 {
		return g
	}
	return t.stocked(t.out.Size[v].Required)
}

// toEnlarge picks the vent to the open air that is best made larger: one whose size the job
// leaves open, off the building drain or a stack before others, the largest of them.
func (t *tracer) toEnlarge(open []network.VentID) network.VentID {
	best, score := network.VentID(network.None), int64(-1)
	for _, v := range open {
		if t.net.Vents[v].Def.Size.V > 0 || t.net.Vents[v].Def.State.Text == "existing" {
			continue
		}
		s := int64(t.out.Size[v].Required)
		for _, k := range t.net.Vents[v].Takes {
			if k.Seg == network.None {
				continue
			}
			switch t.net.Segs[k.Seg].Role {
			case network.BuildingDrain, network.Stack:
				s += int64(100 * unit.Inch)
			}
		}
		if s > score {
			best, score = v, s
		}
	}
	return best
}

// mainVent enlarges one vent where the book asks that one to the open air is at least half
// of the building drain and none is. In a part of a house another vent may be that one, so
// there it is only asked for.
func (t *tracer) mainVent() {
	p := t.book.Param("vent.main-half-of-building-drain")
	if p.State != codebook.Given || !p.Yes || !t.drawnWhole() {
		return
	}
	drain := unit.Size(0)
	for i := range t.net.Segs {
		if t.net.Segs[i].Role == network.BuildingDrain {
			drain = max(drain, t.sizes.Required[i])
		}
	}
	if drain == 0 {
		drain = t.sizes.Required[t.net.Outlet]
	}
	open := t.open()
	for _, v := range open {
		if 2*t.asBuilt(v) >= drain {
			return
		}
	}
	if v := t.toEnlarge(open); v != network.None {
		t.enlarge(v, half(drain, t.ventSizes()), "main", "one vent to the open air is at least half of the building drain, which is required in "+drain.String()+"; this one is taken", p.Cite)
	}
}

// enlargeForArea enlarges one vent until the vents through the roof have together the area
// of the required building sewer, where the book asks that.
func (t *tracer) enlargeForArea() {
	p := t.book.Param("vent.aggregate-area")
	if p.State != codebook.Given || !p.Yes || t.net.Outlet == network.None || !t.drawnWhole() || !reachesStreet(t.net) {
		return
	}
	var roof []network.VentID
	for _, v := range t.open() {
		if t.net.Vents[v].End == network.ThroughRoof {
			roof = append(roof, v)
		}
	}
	v := t.toEnlarge(roof)
	if v == network.None {
		return
	}
	need := squares(t.sizes.Required[t.net.Outlet])
	for i := range t.net.Vents {
		if w := network.VentID(i); w != v && t.net.Vents[i].End == network.ThroughRoof && !t.net.Pumped(w) {
			need -= squares(t.asBuilt(w))
		}
	}
	for _, s := range t.ventSizes() {
		if s > t.out.Size[v].Required && squares(t.stocked(t.out.Size[v].Required)) < need && squares(s) >= need {
			t.enlarge(v, s, "area", "the vents through the roof have together the area of the "+t.sizes.Required[t.net.Outlet].String()+" building sewer that is required; this one is enlarged for it", p.Cite)
			return
		}
	}
}

func (t *tracer) enlarge(v network.VentID, s unit.Size, kind, text string, cite *diag.Cite) {
	x := &t.out.Size[v]
	if s <= x.Required {
		return
	}
	r := size.Reason{Kind: kind, Min: s, Text: text}
	if cite != nil {
		r.Cites = []diag.Cite{*cite}
	}
	x.Required = s
	x.Reasons = append([]size.Reason{r}, x.Reasons...)
}

// squares is the area of a pipe in quarter-inch squares.
func squares(s unit.Size) int64 {
	d := int64(s / unit.Size(unit.Inch/4))
	return d * d
}
