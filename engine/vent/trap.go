package vent

import (
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/load"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/unit"
)

// maxHops bounds how far down a trap looks for its vent, in segments.
const maxHops = 48

// trap finds every reading for one fixture.
func (t *tracer) trap(f network.FixID) {
	n := t.net
	fx := &n.Fixtures[f]
	run := &n.Runs[fx.Run]
	tr := &t.out.Trap[f]
	tr.Chosen = -1
	if fx.Def.TrapType.Text == "none" || run.Gone {
		tr.Verdict = NotLookedAt // untrapped: another rule says so; taken out: it needs no vent
		return
	}
	pin := run.Def.Vented.Text
	if pin == "elsewhere" {
		tr.Readings = append(tr.Readings, Reading{Method: Elsewhere, Vent: network.None, Open: network.None})
		return
	}
	if run.IntoVent != network.None {
		return
	}
	path := make([]network.SegID, 1, 8)
	path[0] = fx.Seg
	if vs := t.at[fx.Seg]; len(vs) > 0 && pin != "none" {
		// The vent opens right at the trap: the arm is what is not drawn.
		t.dryAt(f, path[:0], fx.Seg, vs)
	}
	looked := 0 // readings of which the vent's way out was looked at
	outdoors := func() {
		for ; looked < len(tr.Readings); looked++ {
			t.loopAir(&tr.Readings[looked], tr.Readings[looked].Vent)
		}
	}
	outdoors()
	for hop := 0; hop < maxHops; hop++ {
		last := path[len(path)-1]
		next := n.Segs[last].Down
		if next == network.None {
			break
		}
		if n.Segs[next].Basin {
			// A unit that macerates stands behind its closet as a part of it, and breathes for it
			// (common practice).
			if vs := t.at[next]; len(vs) > 0 && pin != "none" && fx.Kind.Has(classCloset) && n.RunOf(next).Def.Basin.Macerator.V {
				r := Reading{Method: Individual, Vent: vs[0], Open: next, Cite: t.cite("individual-vent")}
				t.arm(f, path, &r)
				tr.Readings = append(tr.Readings, r)
			}
			break
		}
		w := n.RunOf(next).Def.Vented.Text
		if w == "combination" || pin == "combination" {
			t.combination(f, path)
			break
		}
		st := &t.ups[next]
		vs := t.at[next]
		switch {
		case len(vs) > 0 && pin != "none":
			t.dryAt(f, path, next, vs)
		case w == "waste stack":
			t.wasteStack(f, path, next)
		case st.vent != network.None && st.ventSeg != network.None:
			t.washedAt(f, path, next)
		}
		outdoors()
		if len(tr.Readings) > 0 && (t.anySettled(f) || st.traps > 2) {
			break
		}
		path = append(path, next)
	}
}

// loopAir: a vent that ends in the loop of an island brings the air of the loop's foot vent, and
// none where that is missing.
func (t *tracer) loopAir(r *Reading, v network.VentID) {
	n := t.net
	if v == network.None {
		return
	}
	path := n.Path(v)
	loop := path[len(path)-1]
	if !n.IsLoop(loop) {
		return
	}
	x := &n.Vents[loop]
	on := diag.Ref{What: diag.Vent, Name: x.Name, Segment: network.None}
	switch n.LoopAir(loop) {
	case network.EndUnknown:
		r.ask("island-vent-no-open-air", on, x.Name+": where the foot vent of this loop ends is not given", "does the foot vent of "+x.Name+" reach the open air? write where it `ends`", t.cite("island-vent"))
		r.Asks[len(r.Asks)-1].At = x.Def.At
	case network.Capped:
		d := t.finding(on, x.Def.At, "island-vent-no-open-air", x.Name+" is a loop without a foot vent to the open air", "", "", "island-vent")
		if into := n.LoopInWaste(loop); into != network.None {
			d.Message += ": it ends in " + n.Runs[into].Name + ", which carries other waste, and a pipe that carries waste is no vent"
			d.Try = "run it on to the open air, or into a vent above the flood rim; a loop that stays needs a foot vent"
		}
		r.Fails = append(r.Fails, d)
	}
}

// settled: no need to look further down.
func (r *Reading) settled() bool {
	for i := range r.Fails {
		if r.Fails[i].Severity == diag.Error {
			return false
		}
	}
	return true
}

func onPath(path []network.SegID, s network.SegID) bool {
	for _, p := range path {
		if p == s {
			return true
		}
	}
	return false
}

// dryAt reads a vent that leaves right where the arm ends.
func (t *tracer) dryAt(f network.FixID, path []network.SegID, node network.SegID, vs []network.VentID) {
	n, st := t.net, &t.ups[node]
	r := Reading{Vent: vs[0], Open: node}
	switch {
	case st.pre <= 1:
		r.Method, r.Cite = Individual, t.cite("individual-vent")
	case int(st.pre) <= t.commonMost():
		r.Method, r.Cite = Common, t.cite("common-vent")
		if st.mixed {
			r.fail(t, f, "unvented-fixture", t.name(f)+": a common vent serves two traps on one floor, and these stand on two", "", "", "common-vent")
		} else if t.undrawn(node) {
			r.ask("vent-place", diag.Ref{What: diag.Run, Name: n.RunOf(node).Name, Segment: int32(node)}, n.RunOf(node).Name+": two traps come together at vent "+n.Vents[vs[0]].Name+", and how they join is not given",
				"do both join at one fitting at the same height, or one above the other? write `at` and the `arm` of each", t.cite("common-vent"))
		}
	case n.Segs[node].Lie == network.Upright && (st.foreign == network.None || t.p.wetAny || t.p.uprightUnits.State == codebook.Given) && (!st.mixed || t.p.wetFloors.State == codebook.Given):
		r.Method, r.Cite = WetUpright, t.cite("wet-vent-vertical")
		t.wetRules(f, &r, node, *st)
		// Above or below a water closet is not the same: what shares an upright with one joins
		// it at its height or higher, and several of them at one height.
		if (st.closets > 1 || st.closets == 1 && !n.Fixtures[f].Kind.Has(classCloset)) && t.unsaid(node) {
			d := n.RunOf(node)
			r.ask("vent-place", diag.Ref{What: diag.Run, Name: d.Name, Segment: int32(node)}, d.Name+": "+itoa(int(st.pre))+" traps join this upright, a water closet among them, and where each joins is not given",
				"in which order from the top, and how far apart, do they join "+d.Name+"? write `at`; what is on a vertical wet vent joins at or above the water closet", t.cite("wet-vent-vertical"))
		}
	default:
		r.Method, r.Cite = Common, t.cite("common-vent")
		if t.unsaid(node) {
			r.ask("vent-place", t.onFixture(f), t.name(f)+": several traps come together where vent "+n.Vents[vs[0]].Name+" leaves, and where each joins is not given",
				"in which order, and how far apart, do the pipes join "+n.RunOf(node).Name+"?", t.cite("common-vent"))
			break
		}
		r.fail(t, f, "unvented-fixture", t.name(f)+": "+itoa(int(st.pre))+" traps rely on vent "+n.Vents[vs[0]].Name+" where it leaves; a common vent serves "+itoa(t.commonMost()), itoa(int(st.pre)), itoa(t.commonMost()), "common-vent")
	}
	// A vent serves a trap's own drain (a common vent that of two, though one of them has air
	// of its own too); past where other waste has come in it is too late.
	if len(path) > 0 && !t.alone(path) {
		up := &t.ups[path[len(path)-1]]
		if r.Method == Individual && up.traps > 1 && int(up.traps) <= t.commonMost() && !st.mixed {
			r.Method, r.Cite = Common, t.cite("common-vent")
		}
		if up.parts || up.partVent || int(up.traps) > t.commonMost() || r.Method != Common {
			r.fail(t, f, "unvented-fixture", t.name(f)+": other waste joins its drain before vent "+n.Vents[vs[0]].Name, "", "", "vent-each")
		}
	}
	if r.Method == Common && r.settled() {
		t.onUpright(f, &r, path, node)
	}
	t.oldAbove(f, &r)
	t.arm(f, path, &r)
	t.out.Trap[f].Readings = append(t.out.Trap[f].Readings, r)
	if !r.settled() {
		t.circuitFirst(f, path, node, vs[0])
	}
}

// oldAbove: the air of new work comes down old drain of which nothing is told but that it is
// there. Old work is drawn only as far as it matters, so whether waste comes down it is asked.
func (t *tracer) oldAbove(f network.FixID, r *Reading) {
	n := t.net
	if n.Runs[n.Fixtures[f].Run].Def.State.Text == "existing" {
		return
	}
	for _, k := range n.Vents[r.Vent].Takes {
		if k.Lower || k.Seg == network.None || n.Opening(k).Seg != r.Open || k.Seg == r.Open {
			continue
		}
		run := n.RunOf(k.Seg)
		if run.Def.State.Text != "existing" {
			continue
		}
		r.ask("vent-place", diag.Ref{What: diag.Run, Name: run.Name, Segment: int32(k.Seg)}, run.Name+" is old, and it is not given whether waste comes down it from above to where "+t.name(f)+" is to be vented",
			"does anything drain into "+run.Name+" above that? write it as `carries`, for a pipe that waste comes down is no vent; where nothing does, write the part above as a vent", t.cite("vent-each"))
		return
	}
}

// onUpright: the two drains on a common vent come together at one fitting on an upright, where
// the book says so.
func (t *tracer) onUpright(f network.FixID, r *Reading, path []network.SegID, node network.SegID) {
	n := t.net
	p := t.p.commonUpright
	if p.State != codebook.Given || !p.Yes {
		return
	}
	vent := n.Vents[r.Vent].Name
	drain := n.RunOf(node)
	switch {
	case len(path) > 0 && !t.alone(path):
		r.fail(t, f, "unvented-fixture", t.name(f)+": two drains come together in level pipe before vent "+vent+"; under this book those on a common vent come together in one double fitting on an upright", "", "", "common-vent")
	case n.Segs[node].Lie == network.Upright || len(n.Up(node)) < 2:
	case len(drain.Def.Legs) == 0 && drain.Def.Lies.Text == "":
		r.ask("vent-place", diag.Ref{What: diag.Run, Name: drain.Name, Segment: int32(node)}, drain.Name+": two traps share vent "+vent+" where it begins, and whether it drops from there is not given",
			"does "+drain.Name+" stand upright below the fitting that takes both? write its legs, or `lies: upright`; a common vent serves two drains at one height on an upright", t.cite("common-vent"))
	default:
		r.fail(t, f, "unvented-fixture", t.name(f)+": two drains come together in level pipe at vent "+vent+"; under this book those on a common vent come together in one double fitting on an upright", "", "", "common-vent")
	}
}

// commonMost is how many traps that meet at one height a common vent serves: two, if the book
// does not say.
func (t *tracer) commonMost() int {
	if p := t.p.commonMax; p.State == codebook.Given {
		return int(p.Number / 100)
	}
	return 2
}

// alone: nothing but this trap's own waste runs in its drain up to the end of the path.
func (t *tracer) alone(path []network.SegID) bool {
	up := &t.ups[path[len(path)-1]]
	return up.traps <= 1 && !up.parts && !up.partVent
}

// undrawn: two fixtures' own runs join at a segment's upper end, and neither their places
// nor their pipes are given.
func (t *tracer) undrawn(node network.SegID) bool {
	count := 0
	for _, u := range t.net.Up(node) {
		r := t.net.RunOf(u)
		if r.Fixture != network.None && r.Def.Place.Kind == job.NotSaid && len(r.Def.Arm) == 0 && len(r.Def.Legs) == 0 && !r.Def.Length.Set {
			count++
		}
	}
	return count > 1
}

// unsaid reports whether something that joins at a segment's upper end is not placed.
func (t *tracer) unsaid(node network.SegID) bool {
	for _, u := range t.net.Up(node) {
		if r := t.net.RunOf(u); r.Unsaid || r.Def.Place.Kind == job.NotSaid {
			return true
		}
	}
	return false
}

// washedAt reads a vent that comes down through pipe that other traps wash. What joins at
// the very point where this trap's drain joins is beside it, not upstream of it, so only
// the washed pipe itself is judged.
func (t *tracer) washedAt(f network.FixID, path []network.SegID, node network.SegID) {
	if t.net.RunOf(node).Def.Vented.Text == "waste stack" {
		t.wasteStack(f, path, node)
		return
	}
	// Any of the pipes that come together here may bring the air; the first that holds does.
	for _, over := range t.washedFrom(path, node) {
		t.washedThrough(f, path, node, over)
		if t.anySettled(f) {
			return
		}
	}
}

// anySettled: one of the readings found so far needs no look further down.
func (t *tracer) anySettled(f network.FixID) bool {
	rs := t.out.Trap[f].Readings
	for i := range rs {
		if rs[i].settled() {
			return true
		}
	}
	return false
}

// washedThrough reads the vent whose air comes down through the pipe over.
func (t *tracer) washedThrough(f network.FixID, path []network.SegID, node, over network.SegID) {
	n := t.net
	tr := &t.out.Trap[f]
	st := t.ups[over]
	upright := n.Segs[node].Lie == network.Upright
	alone := t.alone(path)
	wet := t.washedPipe(over, &st)
	both := st
	both.addFixture(n, f)
	// Two traps at two heights on one upright drain.
	if upright && alone && !both.mixed && st.traps == 1 && t.ups[node].traps == 2 {
		if tab, ok := t.book.Table("common-vent"); ok {
			r := Reading{Method: CommonLevels, Vent: st.vent, Open: node, Cite: t.cite("common-vent-levels"), Wet: wet}
			t.levels(f, &r, tab)
			t.storeyApart(f, &r, diag.Ref{What: diag.Run, Name: n.RunOf(node).Name, Segment: int32(node)})
			t.arm(f, path, &r)
			tr.Readings = append(tr.Readings, r)
			if r.settled() {
				return
			}
		}
	}
	r := Reading{Method: WetLevel, Vent: st.vent, Open: node, Cite: t.cite("wet-vent"), Wet: wet}
	if upright {
		r.Method, r.Cite = WetUpright, t.cite("wet-vent-vertical")
	}
	if p := t.p.upstreamMax; !alone && !upright && p.State == codebook.Given && t.upstreamOf(path, node) {
		// They come down the branch itself, past one another, to the drain with the dry vent.
		got := itoa(int(t.ups[path[len(path)-1]].traps))
		run := n.RunOf(node)
		r.failTry(t, diag.Ref{What: diag.Run, Name: run.Name, Segment: int32(node)}, run.Def.At, "wet-vent-more-than-one-upstream",
			run.Name+": "+got+" drains join upstream of the dry-vented one, which joins here by "+n.RunOf(over).Name+"; "+p.Text+" may", got, p.Text, "wet-vent-dry",
			"let no more than "+p.Text+" join upstream of "+n.RunOf(over).Name+"; the others join below it, or get a vent of their own")
	} else if !alone {
		r.fail(t, f, "unvented-fixture", t.name(f)+": other waste joins its drain before the wet vent, so it does not reach the wet vent by itself", "", "", "wet-vent-joins")
	}
	t.wetRules(f, &r, node, st)
	if !upright {
		t.joinsLevel(f, path, &r, "wet-vent-joins-upright", "wet-vent-joins")
	}
	t.arm(f, path, &r)
	if upright && t.heightsDecide(&r, node) {
		d := n.RunOf(node)
		r.ask("vent-place", diag.Ref{What: diag.Run, Name: d.Name, Segment: int32(node)}, d.Name+": two trap arms join this upright, and whether at one height is not given",
			"at what height above the floor does each trap arm enter "+d.Name+"? at one height they share a common vent, at two the pipe between them is a wet vent and must be larger", t.cite("wet-vent-vertical"))
	}
	// A waste stack vent asks for more vent than a wet one.
	if upright && !r.settled() && t.wasteStack(f, path, node) {
		return
	}
	tr.Readings = append(tr.Readings, r)
	if !upright && alone {
		if c, ok := t.circuit(f, path, node, over); ok {
			tr.Readings = append(tr.Readings, c)
		}
	}
}

// upstreamOf: a path leaves its fixture's own pipe and comes to node down the branch that
// goes on there, and all in it is a bathroom's.
func (t *tracer) upstreamOf(path []network.SegID, node network.SegID) bool {
	n, last := t.net, path[len(path)-1]
	x := &t.ups[last]
	return len(path) > 1 && n.Segs[last].Run == n.Segs[node].Run && n.Segs[last].Run != n.Segs[path[0]].Run &&
		n.Segs[last].Lie != network.Upright && x.foreign == network.None && !x.parts && !x.partVent && !x.mixed
}

// heightsDecide: two traps on an upright drain whose distance is not known, in pipe that
// does as a common vent's drain and is too small for a wet vent.
func (t *tracer) heightsDecide(r *Reading, node network.SegID) bool {
	if t.sizes == nil || t.ups[node].traps != 2 || t.ups[node].closets > 0 {
		return false
	}
	for _, s := range r.Wet {
		if t.net.Segs[s].Lie != network.Upright || t.net.Segs[s].LengthKnown || !t.sizes.Given[s] {
			continue
		}
		small := false
		t.wetFloor(s, false, func(f size.Floor) { small = small || f.Min > t.sizes.Size[s] })
		if small {
			return true
		}
	}
	return false
}

// washedFrom lists the pipes through which a vent's air comes down to node, those with
// nothing in them that a wet vent may not carry first. A few are enough: where many come
// together the first ones are as good as the rest.
func (t *tracer) washedFrom(path []network.SegID, node network.SegID) []network.SegID {
	var good, fair, dry []network.SegID
	for _, u := range t.net.Up(node) {
		x := &t.ups[u]
		if x.vent == network.None || onPath(path, u) || onPath(path, x.ventSeg) {
			continue
		}
		switch {
		case x.traps > 0 && x.foreign == network.None && !x.mixed && !x.parts && !x.partVent:
			good = append(good, u)
		case x.traps > 0:
			fair = append(fair, u)
		default:
			dry = append(dry, u)
		}
		if len(good) >= maxPipes {
			break
		}
	}
	out := append(append(good, fair...), dry...)
	return out[:min(len(out), maxPipes)]
}

// maxPipes bounds how many pipes that come together are read as bringing air.
const maxPipes = 4

// wetRules says what speaks against a wet vent whose lower end (so far) is node.
func (t *tracer) wetRules(f network.FixID, r *Reading, node network.SegID, st up) {
	n := t.net
	fx := &n.Fixtures[f]
	above := st
	if r.Open == node && len(r.Wet) > 0 {
		st.addFixture(n, f)
	}
	wetRun := n.RunOf(node).Name
	on := diag.Ref{What: diag.Run, Name: wetRun, Segment: int32(node)}
	if _, ok := t.book.Table("wet-vent"); !ok {
		r.fail(t, f, "unvented-fixture", t.name(f)+": this book has no wet vent", "", "", "")
		return
	}
	if st.parts || st.partVent {
		r.fail(t, f, "unvented-fixture", t.name(f)+": waste from a part that is not drawn comes past it, so the pipe above is no vent", "", "", "vent-each")
	}
	t.wetClosets(r, node, on, &st)
	if st.mixed && t.p.wetFloors.State == codebook.Given {
		t.wetUpperFloors(f, r, node, on)
	} else if st.mixed {
		r.fail(t, f, "unvented-fixture", t.name(f)+": waste from another floor comes past it; a wet vent serves one floor", "", "", "wet-vent")
	} else if d := t.onlyFloorDrains(&st, node, f); d != network.None && !t.p.wetAny && !t.byUnits(r) {
		r.ask("wet-vent-foreign-fixture", on, wetRun+": "+t.name(d)+", a floor drain, is on this wet vent; one that takes only what spills counts with a bathroom, and whether it does is not given",
			"does "+t.name(d)+" take nothing but spills? write `emergency: true`; one that something empties into has a vent of its own", t.cite("wet-vent"))
	} else if st.foreign != network.None && !t.p.wetAny && !t.byUnits(r) {
		name := t.name(st.foreign)
		if st.foreign == f {
			r.fail(t, f, "unvented-fixture", name+": "+fx.Kind.A()+" may not be wet-vented, only bathroom fixtures may", "", "", "vent-each")
		} else {
			r.failTry(t, on, t.net.RunOf(node).Def.At, "wet-vent-foreign-fixture",
				wetRun+": "+name+" ("+n.Fixtures[st.foreign].Kind.Name+") drains into the wet vent; only bathroom fixtures may", "", "", "wet-vent",
				"give "+name+" a vent of its own and let it join past the wet vent")
		}
	}
	t.wetGroups(r, node, on, &st)
	if p := t.p.last; p.Yes && !fx.Kind.Has(classCloset) && r.Method == WetLevel {
		if c := t.closetAbove(r, f, &above); c != network.None {
			cr := &n.Runs[n.Fixtures[c].Run]
			d := t.finding(diag.Ref{What: diag.Run, Name: cr.Name, Segment: int32(n.Fixtures[c].Seg)}, cr.Def.At, "wet-vent-wc-not-last",
				cr.Name+": this water closet joins the wet vent upstream of "+t.name(f)+"; it must be the last to join", "", "", "wet-vent-closet-last")
			d.Try = "let " + t.name(f) + " join upstream of the water closet"
			r.Fails = append(r.Fails, d)
		}
	}
	if r.Method == WetUpright && fx.Kind.Has(classCloset) {
		t.closetsLevel(r, f, &above, node)
	}
	if r.Method == WetUpright && len(r.Wet) > 0 {
		t.uprightRules(f, r, node, on)
	}
	if t.p.wetFloors.State != codebook.Given && !st.mixed {
		t.storeyApart(f, r, on)
	}
	if r.Method == WetLevel {
		t.dryFixture(r, &st)
	}
	if r.Method == WetUpright && !fx.Kind.Has(classCloset) && len(r.Wet) > 0 {
		if c := t.closetAbove(r, f, &above); c != network.None {
			cr := &n.Runs[n.Fixtures[c].Run]
			r.fail(t, f, "unvented-fixture", t.name(f)+": on a vertical wet vent it joins at or above the water closet "+cr.Name+", not below", "", "", "wet-vent-vertical")
		}
	}
	if p := t.p.upstreamMax; p.State == codebook.Given && int64(st.before)*100 > p.Number && r.Method == WetLevel {
		r.failTry(t, on, n.RunOf(node).Def.At, "wet-vent-more-than-one-upstream",
			wetRun+": "+itoa(int(st.before))+" wet-vented drains join upstream of the dry-vented one; "+p.Text+" may", itoa(int(st.before)), p.Text, "wet-vent-dry",
			"let no more than "+p.Text+" join upstream of the dry-vented one; the others join below it, or get a vent of their own")
	}
}

// onlyFloorDrains is a floor drain on a wet vent that is otherwise a bathroom's, None where
// anything else there is foreign to one, or where the drain stands in another room.
func (t *tracer) onlyFloorDrains(st *up, node network.SegID, f network.FixID) network.FixID {
	plain := func(x network.FixID) bool {
		k := t.net.Fixtures[x].Kind
		return k.Has(classDrain) && !k.Has(classBath)
	}
	if st.foreign == network.None || !plain(st.foreign) {
		return network.None
	}
	found, other := network.FixID(network.None), false
	rooms := map[string]bool{}
	visit := func(x network.FixID) {
		switch {
		case plain(x):
			found = x
		case !t.net.Fixtures[x].Kind.Has(classBath):
			other = true
		default:
			rooms[t.net.Fixtures[x].Room] = true
		}
	}
	t.trapsAbove(node, visit)
	visit(f)
	if other || found == network.None || len(rooms) == 0 {
		return network.None
	}
	if r := t.net.Fixtures[found].Room; r != "" && !rooms[r] && !rooms[""] {
		return network.None
	}
	return found
}

// closetAbove returns a water closet whose waste comes down the washed pipe to where f
// joins; None when there is none. A closet that joins at the same point is beside it.
func (t *tracer) closetAbove(r *Reading, f network.FixID, above *up) network.FixID {
	if len(r.Wet) == 0 || above.closets == 0 || above.closet == f {
		return network.None
	}
	return above.closet
}

// storey is how far the pipe that vents may come down between two traps before it is asked on
// which floor each stands, common practice: from a fixture's drain to that of the floor below
// it is a storey.
const storey = 8 * unit.Foot

// storeyApart asks for the floors of traps that breathe through pipe that comes down a storey
// and more on its way from the vent, where the job does not give them.
func (t *tracer) storeyApart(f network.FixID, r *Reading, on diag.Ref) {
	n := t.net
	var down unit.Length
	for _, s := range r.Wet {
		down += dropOf(&n.Segs[s])
	}
	if down < storey {
		return
	}
	given := n.Fixtures[f].Level != network.None
	if given {
		t.trapsAbove(r.Wet[len(r.Wet)-1], func(x network.FixID) { given = given && n.Fixtures[x].Level != network.None })
	}
	if given {
		return
	}
	r.ask("vent-place", on, on.Name+": traps join it "+storey.In(n.Job.Units)+" and more below where vent "+n.Vents[r.Vent].Name+" leaves, past other waste, and not all of their floors are given",
		"on which floor does each of the fixtures on "+on.Name+" stand? write `level`; waste from another floor that comes past a trap leaves it without a vent", r.Cite)
}

// washedPipe lists the segments from the vent's take-off down to over, with the water.
func (t *tracer) washedPipe(over network.SegID, st *up) []network.SegID {
	out := []network.SegID{over}
	s := over
	for hop := 0; hop < 4*maxHops && s != st.ventSeg; hop++ {
		next := network.SegID(network.None)
		for _, u := range t.net.Up(s) {
			if t.ups[u].vent == st.vent && t.ups[u].ventSeg == st.ventSeg {
				next = u
				break
			}
		}
		if next == network.None {
			break
		}
		out = append(out, next)
		s = next
	}
	for i, j := 0, len(out)-1; i < j; i, j = i+1, j-1 {
		out[i], out[j] = out[j], out[i]
	}
	return out
}

// levels checks a common vent at two levels: the upper fixture is no closet, where the book
// bars that, and within what its pipe may carry.
func (t *tracer) levels(f network.FixID, r *Reading, tab *codebook.Table) {
	upper := network.FixID(network.None)
	for _, w := range r.Wet {
		if x := t.ups[w].second; x != f && x != network.None {
			upper = x
		}
	}
	if upper == network.None {
		return
	}
	if p := t.p.upperCloset; p.State == codebook.Given && !p.Yes && t.net.Fixtures[upper].Kind.Has(classCloset) {
		r.fail(t, f, "unvented-fixture", t.name(f)+": the upper fixture of a common vent at two levels may not be a water closet", "", "", "common-vent-levels")
		return
	}
	units := t.loads.Fixture[upper].Units
	for i := range tab.Rows {
		if c := tab.Rows[i].Cells; len(c) > 0 && c[0].State == codebook.Given && c[0].Load >= units {
			return
		}
	}
	r.fail(t, f, "unvented-fixture", t.name(f)+": the upper fixture of this common vent counts "+units.String()+" units, over every row of "+tab.Place, "", "", "common-vent-levels")
}

// stackFoot is the last upright piece below a segment.
func (t *tracer) stackFoot(s network.SegID) network.SegID {
	for d := t.net.Segs[s].Down; d != network.None && t.net.Segs[d].Lie == network.Upright; d = t.net.Segs[d].Down {
		s = d
	}
	return s
}

// wasteStack reads an upright drain with a full-size vent at its top that vents whatever
// joins it. It reports whether it added a reading that settles the trap.
func (t *tracer) wasteStack(f network.FixID, path []network.SegID, node network.SegID) bool {
	n, st := t.net, &t.ups[node]
	tab, ok := t.book.Table("waste-stack-vent")
	pinned := n.RunOf(node).Def.Vented.Text == "waste stack"
	if !pinned && (!ok || n.Segs[node].Lie != network.Upright) {
		return false
	}
	// What joins further down counts too, and what is told of parts that are not drawn.
	if closets, _ := t.loads.Count(t.stackFoot(node), load.Closets); !pinned && closets > 0 {
		return false
	}
	if !ok || st.vent == network.None && len(t.at[node]) == 0 {
		return false
	}
	// The vent must stand on top of this upright pipe.
	top := node
	for {
		next := network.SegID(network.None)
		for _, u := range n.Up(top) {
			if n.Segs[u].Lie == network.Upright && t.ups[u].vent == st.vent {
				next = u
			}
		}
		if next == network.None {
			break
		}
		top = next
	}
	if !pinned && st.ventSeg != top {
		return false
	}
	offset := t.stackOffset(node, st.ventSeg, st.vent)
	r := Reading{Method: WasteStack, Vent: st.vent, Open: node, Cite: t.cite("waste-stack-vent")}
	r.Wet = []network.SegID{node}
	fx := &n.Fixtures[f]
	barred, word := t.p.stackClosets, "water closet"
	if fx.Kind.Has("urinal") {
		barred, word = t.p.stackUrinals, "urinal"
	}
	if fx.Kind.Has(word) && !barred.Yes {
		run := &n.Runs[fx.Run]
		d := t.finding(t.onFixture(f), run.Def.Fixture.Kind.At, "waste-stack-wc", run.Name+": a "+word+" may not drain into a waste stack vent", "", "", "waste-stack-vent")
		if barred.Cite != nil {
			d.Cites = []diag.Cite{*barred.Cite}
		}
		d.Try = "give the " + word + " a vent of its own, or drain it into another stack"
		r.Fails = append(r.Fails, d)
	}
	if st.parts || st.partVent {
		r.fail(t, f, "unvented-fixture", t.name(f)+": waste from a part that is not drawn comes past it", "", "", "waste-stack-vent")
	}
	if t.ups[path[len(path)-1]].traps > 1 {
		r.fail(t, f, "unvented-fixture", t.name(f)+": each fixture joins a waste stack vent by itself, and another one joins its drain first", "", "", "waste-stack-vent")
	}
	if p := t.p.stackOffsets; offset != network.None && p.State == codebook.Given && !p.Yes {
		run := n.RunOf(offset)
		d := t.finding(diag.Ref{What: diag.Run, Name: run.Name, Segment: int32(offset)}, run.Def.At, "waste-stack-offset", run.Name+" turns aside between the drains that join it; a waste stack vent runs straight from the lowest to the highest", "", "", "waste-stack-vent")
		if p.Cite != nil {
			d.Cites = []diag.Cite{*p.Cite}
		}
		d.Try = "run the stack straight, or give what joins below the offset a vent of its own"
		r.Fails = append(r.Fails, d)
	}
	// It must fit a row of the table, whatever the present size.
	if last := len(tab.Columns) - 1; last >= 0 {
		fits := false
		for i := range tab.Rows {
			if c := tab.Rows[i].Cells; len(c) > last && (c[last].State == codebook.NoLimit || c[last].State == codebook.Given && c[last].Load >= t.loads.Units[node]) {
				fits = true
			}
		}
		if !fits {
			r.fail(t, f, "unvented-fixture", t.name(f)+": the stack carries more than any row of "+tab.Place, "", "", "waste-stack-vent-size")
		}
	}
	t.arm(f, path, &r)
	if !r.settled() && !pinned && (len(r.Fails) != 1 || r.Fails[0].Rule != "waste-stack-offset") {
		return false
	}
	t.out.Trap[f].Readings = append(t.out.Trap[f].Readings, r)
	return pinned || r.settled()
}
