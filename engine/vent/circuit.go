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

// CircuitBranch is a level branch whose traps breathe through one circuit vent.
type CircuitBranch struct {
	Vent network.VentID
	// Pipe is the branch from where its first drain joins to where the last trap that
	// relies on the vent does, with the water; at least one segment.
	Pipe []network.SegID
	// Last is the segment at whose upper end that last trap joins.
	Last  network.SegID
	Traps []network.FixID // those that rely on the vent, in order
}

// oneBranch: pipe from a vent on, with the water, is one branch: it may change its name, but
// it joins no pipe that other drains come down.
func (t *tracer) oneBranch(pipe []network.SegID) bool {
	n := t.net
	for i := 1; i < len(pipe); i++ {
		if s := pipe[i]; n.Segs[s].Run != n.Segs[pipe[i-1]].Run {
			for _, u := range n.Up(s) {
				if n.Segs[u].Run == n.Segs[s].Run {
					return false
				}
			}
		}
	}
	return true
}

// saidCircuit: the job itself calls the vent, or the branch, a circuit.
func (t *tracer) saidCircuit(v network.VentID, s network.SegID) bool {
	return v != network.None && t.net.Vents[v].Def.Role.Text == "circuit" || t.net.RunOf(s).Def.Vented.Text == "circuit"
}

// ofFixture: the vent leaves a fixture's own drain, which makes it that fixture's vent.
func (t *tracer) ofFixture(v network.VentID, s network.SegID) bool {
	n := t.net
	if n.RunOf(s).Fixture != network.None {
		return true
	}
	for _, k := range n.Vents[v].Takes {
		if n.Runs[k.Run].Fixture != network.None {
			return true
		}
	}
	return false
}

// circuit reads a level branch that a vent enters between its two most upstream drains.
func (t *tracer) circuit(f network.FixID, path []network.SegID, node, over network.SegID) (Reading, bool) {
	n, st := t.net, &t.ups[over]
	p := t.p.circuitMax
	if p.State != codebook.Given || st.ventSeg == network.None || n.Segs[st.ventSeg].Lie == network.Upright {
		return Reading{}, false
	}
	named := t.saidCircuit(st.vent, st.ventSeg)
	if !named && t.ofFixture(st.vent, st.ventSeg) {
		return Reading{}, false
	}
	r := Reading{Method: Circuit, Vent: st.vent, Open: node, Cite: t.cite("circuit-vent")}
	r.Wet = t.washedPipe(over, st)
	if !t.oneBranch(append(r.Wet[:len(r.Wet):len(r.Wet)], node)) {
		return Reading{}, false
	}
	if st.parts {
		r.fail(t, f, "unvented-fixture", t.name(f)+": waste from a part that is not drawn comes past it, and a circuit vent serves drains of one branch", "", "", "circuit-vent")
	}
	if !t.circuitPlace(f, &r, st, named) {
		return Reading{}, false
	}
	run := n.RunOf(node)
	on := diag.Ref{What: diag.Run, Name: run.Name, Segment: int32(node)}
	for _, s := range r.Wet {
		if n.Segs[s].Lie == network.Upright {
			r.fail(t, f, "unvented-fixture", t.name(f)+": "+n.RunOf(s).Name+" drops between the circuit vent and where it joins; such a branch lies level", "", "", "circuit-vent")
			break
		}
	}
	t.joinsLevel(f, path, &r, "circuit-joins-upright", "circuit-vent")
	if m := t.p.circuitSlope; m.State == codebook.Given && run.Def.Slope.V.Given() && run.Def.Slope.V.Cmp(m.Slope) > 0 {
		r.failTry(t, on, run.Def.Slope.At, "circuit-slope",
			run.Name+" falls "+run.Def.Slope.V.In(t.net.Job.Units)+"; a branch on a circuit vent falls at most "+m.Slope.In(t.net.Job.Units), run.Def.Slope.V.In(t.net.Job.Units), m.Slope.In(t.net.Job.Units), "circuit-slope",
			"lay "+run.Name+" at "+m.Slope.In(t.net.Job.Units)+" or flatter, and take the rest of the fall past the last trap")
	}
	t.arm(f, path, &r)
	return r, true
}

// circuitFirst reads the trap that joins first: it drains past the circuit vent through the
// branch, which is vented from where that trap joins on.
func (t *tracer) circuitFirst(f network.FixID, path []network.SegID, node network.SegID, v network.VentID) {
	n := t.net
	if t.p.circuitMax.State != codebook.Given || len(path) < 2 || !t.saidCircuit(v, node) || n.Segs[node].Lie == network.Upright || t.drainsAbove(node) != 1 {
		return
	}
	own := 0
	for own < len(path) && n.Segs[path[own]].Run == n.Fixtures[f].Run {
		own++
	}
	if own == 0 || own == len(path) {
		return
	}
	r := Reading{Method: Circuit, Vent: v, Open: path[own], Cite: t.cite("circuit-vent"), Wet: []network.SegID{node}}
	t.joinsLevel(f, path[:own], &r, "circuit-joins-upright", "circuit-vent")
	t.arm(f, path[:own], &r)
	t.out.Trap[f].Readings = append(t.out.Trap[f].Readings, r)
}

// circuitPlace looks at where the vent leaves: between the two most upstream drains.
// Drains that come together at one point count as one. ok is false where the layout is no
// circuit at all.
func (t *tracer) circuitPlace(f network.FixID, r *Reading, st *up, named bool) (ok bool) {
	n := t.net
	above := t.drainsAbove(st.ventSeg)
	if above == 1 {
		return true
	}
	vent := n.Vents[st.vent].Name
	on := diag.Ref{What: diag.Vent, Name: vent, Segment: network.None}
	switch {
	case !named:
		return false
	case t.unsaidAbove(st.ventSeg), n.Vents[st.vent].Def.Place.Kind == job.NotSaid:
		r.ask("circuit-vent-place", on, vent+": where it leaves the branch among the drains that join is not given",
			"between which two drains does "+vent+" leave "+n.RunOf(st.ventSeg).Name+"? write `at` for the vent and the drains", t.cite("circuit-vent-place"))
		return true
	}
	msg := vent + " leaves above the most upstream drain of " + n.RunOf(st.ventSeg).Name
	if above > 1 {
		msg = vent + " leaves " + n.RunOf(st.ventSeg).Name + " below where " + itoa(above) + " drains join"
	}
	d := t.finding(on, n.Vents[st.vent].Def.At, "circuit-vent-place", msg+"; a circuit vent leaves between the two most upstream ones", itoa(above), "1", "circuit-vent-place")
	d.Try = "take the vent off between the two drains that join first"
	r.Fails = append(r.Fails, d)
	return true
}

// drainsAbove counts the points at which drains join a branch above where a vent leaves it
// at the upper end of s; drains that join at that end itself are not above it.
func (t *tracer) drainsAbove(s network.SegID) int {
	n, points := t.net, 0
	for at := s; ; {
		next := network.SegID(network.None)
		for _, u := range n.Up(at) {
			if t.ups[u].traps == 0 && !t.ups[u].parts && !t.ups[u].partVent {
				continue
			}
			if n.Segs[u].Run == n.Segs[at].Run {
				next = u
			}
		}
		if next == network.None {
			return points
		}
		at = next
		if n.Segs[at].Fixture != network.None || t.joinsAt(at) {
			points++
		}
	}
}

// joinsAt: another run that carries something joins at the upper end of a segment.
func (t *tracer) joinsAt(s network.SegID) bool {
	for _, u := range t.net.Up(s) {
		if x := &t.ups[u]; t.net.Segs[u].Run != t.net.Segs[s].Run && (x.traps > 0 || x.parts || x.partVent) {
			return true
		}
	}
	return false
}

// unsaidAbove: a drain that joins the branch at or above a segment is not placed on it. One
// alone that is not is the head of the branch, above the segment: something drains in where
// it begins.
func (t *tracer) unsaidAbove(s network.SegID) bool {
	unsaid, head := 0, false
	for at := s; at != network.None; {
		next := network.SegID(network.None)
		placed := false
		var here int
		for _, u := range t.net.Up(at) {
			if t.net.Segs[u].Run == t.net.Segs[s].Run {
				next = u
			} else if r := t.net.RunOf(u); r.Unsaid || r.Def.Place.Kind == job.NotSaid {
				here++
			} else {
				placed = true
			}
		}
		unsaid += here
		head = at != s && next == network.None && here == 1 && !placed && t.net.Segs[at].Fixture == network.None
		at = next
	}
	return unsaid > 1 || unsaid == 1 && !head
}

// joinsLevel: a drain joins pipe that also vents lying level. Only a water closet's is
// looked at; any other trap's drop is held against its weir. Where a closet's pipe is one
// drop, its level bend may not be drawn.
func (t *tracer) joinsLevel(f network.FixID, path []network.SegID, r *Reading, rule, topic string) {
	n := t.net
	fx := &n.Fixtures[f]
	last := path[len(path)-1]
	if !fx.Kind.Integral || n.Segs[last].Lie != network.Upright || n.Segs[last].Run != fx.Run {
		return
	}
	run := &n.Runs[fx.Run]
	on := diag.Ref{What: diag.Run, Name: run.Name, Segment: int32(last)}
	for _, s := range path {
		if n.Segs[s].Lie == network.Level {
			d := t.finding(on, run.Def.At, rule, run.Name+" comes down into "+n.RunOf(r.Open).Name+" from above; what is vented through it joins it lying level", "", "", topic)
			d.Try = "let " + run.Name + " turn level before it joins, or give it a vent of its own"
			r.Fails = append(r.Fails, d)
			return
		}
	}
	r.ask(rule, on, run.Name+" is drawn as a drop straight into "+n.RunOf(r.Open).Name+", which also vents it",
		"does "+run.Name+" turn level before it joins "+n.RunOf(r.Open).Name+"? write its legs, the level one last", t.cite(topic))
}

// circuits gathers the branches on circuit vents once a reading is picked for every trap,
// and says what only the whole branch shows: how many rely on the vent, on which floors
// they stand, what else drains into it.
func (t *tracer) circuits() {
	first := map[network.SegID]int{} // where the vent leaves -> index into Circuits
	for i := range t.out.Trap {
		r := t.out.Trap[i].Reading()
		if r == nil || r.Method != Circuit {
			continue
		}
		k, ok := first[r.Wet[0]]
		if !ok {
			k = len(t.out.Circuits)
			first[r.Wet[0]] = k
			t.out.Circuits = append(t.out.Circuits, CircuitBranch{Vent: r.Vent, Pipe: r.Wet, Last: r.Open})
		}
		if c := &t.out.Circuits[k]; len(r.Wet) > len(c.Pipe) {
			c.Pipe, c.Last = r.Wet, r.Open
		}
	}
	if len(first) == 0 {
		return
	}
	for i := range t.out.Trap {
		tr := &t.out.Trap[i]
		r := tr.Reading()
		if r == nil {
			continue
		}
		from := r.Open
		if len(r.Wet) > 0 {
			from = r.Wet[0]
		}
		k, ok := first[from]
		if !ok {
			continue
		}
		switch r.Method {
		case Circuit, Individual, Common:
			t.out.Circuits[k].Traps = append(t.out.Circuits[k].Traps, network.FixID(i))
		case WetLevel:
			// The same vent, read in one way for all that rely on it; where the job calls it a
			// circuit, whatever speaks against it.
			for j := range tr.Readings {
				x := &tr.Readings[j]
				if x.Method != Circuit || x.Vent != r.Vent || !x.settled() && !t.saidCircuit(x.Vent, x.Open) {
					continue
				}
				tr.Chosen = j
				if len(x.Fails) > 0 {
					tr.Verdict = NotProtected
				}
				t.out.Circuits[k].Traps = append(t.out.Circuits[k].Traps, network.FixID(i))
				break
			}
		}
	}
	for k := range t.out.Circuits {
		t.wholeCircuit(&t.out.Circuits[k])
	}
}

// wholeCircuit completes one branch and judges it.
func (t *tracer) wholeCircuit(c *CircuitBranch) {
	n := t.net
	// Up from the vent to where the first drain joins.
	for s := c.Pipe[0]; t.drainsAbove(s) > 0; s = c.Pipe[0] {
		next := network.SegID(network.None)
		for _, u := range n.Up(s) {
			if n.Segs[u].Run == n.Segs[s].Run {
				next = u
			}
		}
		if next == network.None || n.Segs[next].Fixture != network.None {
			break
		}
		c.Pipe = append([]network.SegID{next}, c.Pipe...)
	}
	run := n.RunOf(c.Last)
	on := diag.Ref{What: diag.Run, Name: run.Name, Segment: int32(c.Last)}
	var fails []diag.Diagnostic
	if p := t.p.circuitMax; int64(len(c.Traps))*100 > p.Number {
		d := t.finding(on, run.Def.At, "circuit-vent-too-many",
			run.Name+": "+itoa(len(c.Traps))+" fixtures on a circuit vent, "+p.Text+" may be", itoa(len(c.Traps)), p.Text, "circuit-vent")
		d.Try = "part the branch in two of " + p.Text + " fixtures at most, each with a circuit vent of its own, or take " + itoa(len(c.Traps)-int(p.Number/100)) + " off it"
		fails = append(fails, d)
	}
	level := int32(network.None)
	for _, f := range c.Traps {
		switch l := n.Fixtures[f].Level; {
		case l == network.None:
		case level == network.None:
			level = l
		case l != level:
			fails = append(fails, t.finding(on, run.Def.At, "unvented-fixture",
				run.Name+": the traps on its circuit vent stand on two floors ("+t.name(c.Traps[0])+", "+t.name(f)+"); such a vent serves one", "", "", "circuit-vent"))
		}
	}
	for _, d := range fails {
		for _, f := range c.Traps {
			tr := &t.out.Trap[f]
			if r := tr.Reading(); r.Method == Circuit {
				r.Fails = append(r.Fails, d)
				tr.Verdict = NotProtected
			}
		}
	}
	t.circuitGuests(c, level)
}

// circuitGuests looks at the traps that drain into the branch and do not rely on its vent:
// they stand on the same floor and have an individual or a common vent.
func (t *tracer) circuitGuests(c *CircuitBranch, level int32) {
	cite, ok := t.book.Clause("circuit-vent-extra")
	if !ok {
		return
	}
	n := t.net
	relies := map[network.FixID]bool{}
	for _, f := range c.Traps {
		relies[f] = true
	}
	pipe := map[network.SegID]bool{c.Last: true}
	for _, s := range c.Pipe {
		pipe[s] = true
	}
	for i := range n.Fixtures {
		f := network.FixID(i)
		x := &n.Fixtures[i]
		if relies[f] {
			continue
		}
		s := x.Seg
		for hop := 0; hop < 2*maxHops && s != network.None && !pipe[s]; hop++ {
			s = n.Segs[s].Down
		}
		if s == network.None || !pipe[s] {
			continue
		}
		r := t.out.Trap[i].Reading()
		msg := ""
		switch {
		case level != network.None && x.Level != network.None && x.Level != level:
			msg = " stands on another floor"
		case r == nil || r.Method == Elsewhere:
		case r.Method != Individual && r.Method != Common && r.Method != CommonLevels:
			msg = " is read as a trap on a " + r.Method.String()
		}
		if msg == "" {
			continue
		}
		run := &n.Runs[x.Run]
		t.diags = append(t.diags, diag.Diagnostic{
			Severity: diag.Error, Rule: "circuit-vent-extra", On: t.onFixture(f), At: run.Def.Fixture.Kind.At,
			Message: run.Name + msg + ", and drains into " + n.RunOf(s).Name + " where that is on a circuit vent; what joins there beside the vented traps stands on their floor and has an individual or a common vent",
			Try:     "let " + run.Name + " join below the last trap on the circuit vent",
			Cites:   []diag.Cite{cite},
		})
	}
}

// Closets counts the water closets that rely on the vent.
func (c *CircuitBranch) Closets(n *network.Net) (count int) {
	for _, f := range c.Traps {
		if n.Fixtures[f].Kind.Has(load.Closets) {
			count++
		}
	}
	return count
}

// circuitFloors asks for one size along each branch on a circuit vent: the largest that any
// piece of it is, or becomes by the other floors. The size that the job gives a run binds the
// others, not that run itself.
func (t *tracer) circuitFloors(most map[network.SegID]size.Floor, put func(size.Floor)) {
	for k := range t.out.Circuits {
		c := &t.out.Circuits[k]
		pipe := map[network.SegID]bool{}
		for _, s := range c.Pipe {
			pipe[s] = true
		}
		least := unit.Size(0)
		for s, f := range most {
			for hop := 0; hop < maxHops && s != network.None; hop++ {
				if pipe[s] {
					least = max(least, f.Min)
					break
				}
				s = t.net.Segs[s].Down
			}
		}
		run := t.net.RunOf(c.Last).Name
		for _, s := range c.Pipe {
			need := least
			for _, q := range c.Pipe {
				if t.sizes.Given[q] && t.net.Segs[q].Run == t.net.Segs[s].Run {
					need = max(need, t.sizes.Required[q])
				} else {
					need = max(need, t.sizes.Size[q])
				}
			}
			put(size.Floor{Seg: s, Min: need, Rule: "circuit-size-changes", Say: "it is on the circuit vent " + t.net.Vents[c.Vent].Name + "; such a branch, here " + run + ", is one size along the vented part", Cite: t.cite("circuit-vent-run")})
		}
	}
}
