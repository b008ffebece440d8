package vent

import (
	"slices"
	"strings"

	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// washed marks the pipe that the chosen readings use as wet vents. Readings are picked
// here, before anything is said, so that floors and findings speak of the same ones.
func (t *tracer) washed() {
	for i := range t.out.Trap {
		t.pick(network.FixID(i), &t.out.Trap[i])
	}
	t.circuits()
	defer t.notMixed()
	for i := range t.out.Trap {
		tr := &t.out.Trap[i]
		if r := tr.Reading(); r != nil && (r.Method == WetLevel || r.Method == WetUpright || r.Method == CommonLevels) {
			if r.outOfReach() {
				r.Wet = nil // the trap does not reach it at all, so nothing there is sized for that
			}
			for _, s := range r.Wet {
				t.out.Washed[s] = true
			}
		}
	}
}

// pick chooses the reading that speaks for a trap: one that holds; else one with only
// something to ask; else the one that fails at fewest points, readings that fail as no
// vent at all last.
func (t *tracer) pick(f network.FixID, tr *Trap) {
	if tr.Verdict == NotLookedAt {
		return
	}
	best, bestScore := -1, 1<<30
	asked := false // the best one is the method that the job names
	for i := range tr.Readings {
		r := &tr.Readings[i]
		score := 0
		row, _ := t.armRow(f, r)
		grows := row != nil && !t.sizes.Given[t.net.Fixtures[f].Seg]
		for _, d := range r.Fails {
			if d.Severity != diag.Error {
				continue
			}
			score += 10
			switch {
			case d.Rule == "unvented-fixture":
				score += 1000
			case grows && (d.Rule == "trap-arm-too-long" || d.Rule == "trap-arm-fall-exceeds-diameter"):
				score -= 7 // the next size cures it
			}
		}
		if len(r.Asks) > 0 {
			score++
		}
		named := r.Method == Circuit && r.Vent != network.None && t.saidCircuit(r.Vent, r.Open)
		if score < bestScore || score == bestScore && named && !asked {
			best, bestScore, asked = i, score, named
		}
	}
	tr.Chosen = best
	switch {
	case best < 0:
		tr.Verdict = NotProtected
	case tr.Readings[best].Method == Elsewhere:
		tr.Verdict = NotLookedAt
	case bestScore > 1: // a fault counts three at least
		tr.Verdict = NotProtected
	case bestScore > 0:
		tr.Verdict = CannotTell
	default:
		tr.Verdict = Protected
	}
}

// verdicts turns the chosen readings into findings and questions.
func (t *tracer) verdicts() {
	said := map[string]bool{}
	say := func(d diag.Diagnostic) {
		key := d.Rule + "\x00" + d.On.Name + "\x00" + d.Message
		if !said[key] {
			said[key] = true
			t.diags = append(t.diags, d)
		}
	}
	for v := range t.net.Vents {
		if t.net.IsLoop(network.VentID(v)) {
			var r Reading
			t.loopAir(&r, network.VentID(v))
			for _, d := range append(r.Fails, r.Asks...) {
				say(d)
			}
		}
	}
	for i := range t.out.Trap {
		f := network.FixID(i)
		tr := &t.out.Trap[i]
		if t.net.Runs[t.net.Fixtures[i].Run].IntoVent != network.None {
			continue
		}
		r := tr.Reading()
		if r != nil && len(r.Wet) > 0 && tr.Verdict == NotProtected && t.maybeVented(f) != "" {
			// Through somebody else's waste it is not vented; its own vent may not be drawn.
			r, tr.Chosen = nil, -1
		}
		if r != nil && tr.Verdict == NotProtected && r.noWetVent() {
			r, tr.Chosen = nil, -1
		}
		if r != nil {
			t.oldWork(f, r)
			if v := t.cappedVent(f); v != "" {
				for k := range r.Fails {
					if d := &r.Fails[k]; d.Rule == "unvented-fixture" && d.On.Name == t.name(f) {
						d.Message += "; its own vent, " + v + ", is capped and brings no air"
					}
				}
			}
			t.sayFails(r, say)
			if r.onlyApproval() {
				for _, d := range r.Asks {
					if d.At.IsZero() {
						d.At = t.net.Runs[t.net.Fixtures[i].Run].Def.At
					}
					say(d)
				}
			}
		} else if tr.Verdict == NotProtected {
			d := t.unvented(f)
			if ask := t.maybeVented(f); ask != "" {
				d.Severity, d.Ask, d.Try = diag.Unchecked, ask, ""
				tr.Verdict = CannotTell
			}
			say(d)
			t.armAlone(f, say)
		}
		if tr.Verdict == NotProtected {
			t.sTrap(f, tr, say)
		}
	}
	t.wetNearLimit()
}

// oldWork makes a warning of an arm that is too long or falls too much where the trap, all
// its pipe to the vent and the vent are old: books let such work stay until it is changed.
func (t *tracer) oldWork(f network.FixID, r *Reading) {
	cite, ok := t.book.Clause("existing-arm")
	n := t.net
	if !ok || r.Vent == network.None {
		return
	}
	for s := n.Fixtures[f].Seg; s != network.None; s = n.Segs[s].Down {
		if n.RunOf(s).Def.State.Text != "existing" {
			return
		}
		if s == r.Open || n.Segs[s].Down == r.Open {
			break
		}
	}
	for _, v := range n.Path(r.Vent) {
		if n.Vents[v].Def.State.Text != "existing" {
			return
		}
	}
	for i := range r.Fails {
		d := &r.Fails[i]
		if d.Severity != diag.Error || d.Rule != "trap-arm-too-long" && d.Rule != "trap-arm-fall-exceeds-diameter" {
			continue
		}
		d.Severity = diag.Warning
		d.Message += "; it is old, and may stay so until it is changed"
		d.Try = "leave it as it is, or bring the vent nearer when the wall is open"
		d.Cites = append(d.Cites, cite)
	}
}

// noWetVent: a pipe that carries what no wet vent may, out of the reach of the trap, is not
// meant as its wet vent at all; the trap has no vent.
func (r *Reading) noWetVent() bool {
	if r.Method != WetLevel && r.Method != WetUpright {
		return false
	}
	foreign, far := false, false
	for _, d := range r.Fails {
		foreign = foreign || d.Rule == "wet-vent-foreign-fixture"
		far = far || d.Rule == "trap-arm-too-long"
	}
	return foreign && far
}

// outOfReach: the vent opens both too far from the trap and below its weir.
func (r *Reading) outOfReach() bool {
	far, below := false, false
	for i := range r.Fails {
		far = far || r.Fails[i].Rule == "trap-arm-too-long"
		below = below || r.Fails[i].Rule == "vent-below-trap-weir"
	}
	return far && below
}

// onlyApproval: nothing speaks against the reading but that the authority must consent.
func (r *Reading) onlyApproval() bool {
	for i := range r.Fails {
		if d := &r.Fails[i]; d.Severity == diag.Error && d.Rule != "cwv-needs-approval" {
			return false
		}
	}
	return true
}

// sayFails reports what speaks against the reading that was picked. Where it is no vent at
// all, that alone is said: what else would be wrong with it does not matter. Otherwise one
// fault of a kind is enough for one trap; the first is the plainest.
func (t *tracer) sayFails(r *Reading, say func(diag.Diagnostic)) {
	for _, d := range r.Fails {
		if d.Rule == "unvented-fixture" && d.Severity == diag.Error {
			if what, why, ok := strings.Cut(d.Message, ": "); ok {
				d.Message = what + ": no vent protects this trap; as " + r.Method.String() + " it fails: " + why
			}
			say(d)
			return
		}
	}
	for k, d := range r.Fails {
		first := true
		for _, e := range r.Fails[:k] {
			first = first && (e.Rule != d.Rule || e.On != d.On)
		}
		if first {
			say(d)
		}
	}
}

// plainest is the fault to tell of a reading that fails: that it is no vent at all, else the
// first; nil when nothing but warnings speaks against it.
func (r *Reading) plainest() *diag.Diagnostic {
	var first *diag.Diagnostic
	for i := range r.Fails {
		d := &r.Fails[i]
		if d.Severity != diag.Error {
			continue
		}
		if d.Rule == "unvented-fixture" {
			return d
		}
		if first == nil || first.Rule == "cwv-needs-approval" {
			first = d
		}
	}
	return first
}

// unvented words why no vent of any kind protects a trap.
func (t *tracer) unvented(f network.FixID) diag.Diagnostic {
	n := t.net
	fx := &n.Fixtures[f]
	run := &n.Runs[fx.Run]
	d := t.finding(t.onFixture(f), run.Def.Fixture.Kind.At, "unvented-fixture", "", "", "", "vent-each")
	where, at, dist, known := t.nearest(f)
	past := t.pastParts(f)
	recv := "the outlet"
	if run.Receiver >= 0 {
		recv = n.Runs[run.Receiver].Name
	}
	msg := run.Name + ": no vent of any kind protects this trap"
	switch {
	case at != network.None && n.Segs[at].Basin:
		msg += "; the nearest vent, " + where + ", is that of the basin which " + n.RunOf(at).Name + " empties, and a drain into that needs a vent of its own"
	case where != "" && known:
		msg += "; the nearest vent, " + where + ", is " + dist.In(t.net.Job.Units) + " along the pipe and is past other waste"
	case where != "":
		msg += "; the nearest vent is " + where + ", past other waste"
	case past != network.None:
		msg += "; it drains into " + n.RunOf(past).Name + ", which carries waste from parts that are not drawn, and a pipe that carries waste from above is no vent"
	default:
		msg += "; nothing open to the air leaves its drain, and joining a larger pipe (" + recv + ") vents nothing"
	}
	if v := t.cappedVent(f); v != "" {
		msg += "; its own vent, " + v + ", is capped and brings no air"
	}
	d.Message = msg
	d.Why = "water running past an unvented trap pulls its seal, and sewer gas comes in"
	d.Try = "take a vent off the end of its trap arm"
	return d
}

// cappedVent is a vent off a trap's own drain that ends in a cap, "" for none.
func (t *tracer) cappedVent(f network.FixID) string {
	if v, ok := t.capped[t.net.Fixtures[f].Run]; ok {
		return t.net.Vents[v].Name
	}
	return ""
}

// maybeVented: old work is drawn only as far as it matters, so a vent that is not drawn may
// be there. It gives the question, "" when the trap is certainly without a vent: the old
// fixture's own vent, or the top of an old stack that nothing else drains into.
func (t *tracer) maybeVented(f network.FixID) string {
	n := t.net
	run := &n.Runs[n.Fixtures[f].Run]
	if run.Def.State.Text == "existing" {
		return "is there a vent above the trap arm of " + run.Name + ", and where? draw it, or write `vented: elsewhere`"
	}
	s := n.Fixtures[f].Seg
	for s != network.None && n.Segs[s].Run == n.Fixtures[f].Run {
		s = n.Segs[s].Down
	}
	if s == network.None || n.Segs[s].Lie != network.Upright || t.ups[s].traps > 1 || t.ups[s].parts || t.ups[s].partVent {
		return ""
	}
	if recv := n.RunOf(s); recv.Def.State.Text == "existing" && recv.Segs[0] == s {
		return "does " + recv.Name + " go on up as a vent above where " + run.Name + " joins, with nothing draining into it from above? draw the vent"
	}
	return ""
}

// pastParts is where on its way waste from a part that is not drawn comes past, or None.
func (t *tracer) pastParts(f network.FixID) network.SegID {
	s := t.net.Segs[t.net.Fixtures[f].Seg].Down
	for hop := 0; hop < maxHops && s != network.None; hop++ {
		if t.ups[s].parts || t.ups[s].partVent {
			return s
		}
		s = t.net.Segs[s].Down
	}
	return network.None
}

// nearest finds the first vent below a trap, along the pipe, and where it leaves.
func (t *tracer) nearest(f network.FixID) (name string, at network.SegID, dist unit.Length, known bool) {
	n := t.net
	known = true
	for s := n.Fixtures[f].Seg; s != network.None; s = n.Segs[s].Down {
		if vs := t.at[s]; len(vs) > 0 && s != n.Fixtures[f].Seg {
			return n.Vents[vs[0]].Name, s, dist, known
		}
		dist += n.Segs[s].Length()
		known = known && n.Segs[s].LengthKnown
	}
	return "", network.None, 0, false
}

// armAlone measures a stated arm although no vent was found at its end: its length does
// not depend on the vent.
func (t *tracer) armAlone(f network.FixID, say func(diag.Diagnostic)) {
	n := t.net
	fx := &n.Fixtures[f]
	var path []network.SegID
	for s := fx.Seg; s != network.None && n.Segs[s].Run == fx.Run; s = n.Segs[s].Down {
		if n.Segs[s].Role != network.TrapArm && !n.Segs[s].Arm {
			break
		}
		path = append(path, s)
	}
	if len(path) == 0 {
		return
	}
	var r Reading
	t.arm(f, path, &r)
	for _, d := range r.Fails {
		if d.Rule == "trap-arm-too-long" || d.Rule == "trap-arm-fall-exceeds-diameter" {
			say(d)
		}
	}
}

// sTrap: the trap's pipe turns down with no vent at the turn.
func (t *tracer) sTrap(f network.FixID, tr *Trap, say func(diag.Diagnostic)) {
	n := t.net
	fx := &n.Fixtures[f]
	run := &n.Runs[fx.Run]
	if fx.Kind.Integral || fx.Def.TrapType.Text == "s" {
		return // a closet's own passage is its trap; a stated S-trap is another rule's
	}
	if r := tr.Reading(); r != nil {
		if r.Method == Combination {
			return
		}
		if !tr.SShape {
			return
		}
	}
	limit := t.limit(f, t.measure(f, nil))
	level := unit.Length(0)
	for s := fx.Seg; s != network.None && t.ups[s].traps == 1; s = n.Segs[s].Down {
		seg := &n.Segs[s]
		if len(t.at[s]) > 0 && s != fx.Seg {
			return
		}
		if dropOf(seg) > 0 || seg.Lie == network.Upright {
			if level == 0 || t.ups[s].parts || t.ups[s].partVent || s != fx.Seg && len(n.Up(s)) > 1 {
				return // the arm is not drawn, or it joins the side of a pipe from above
			}
			if limit > 0 && level > limit {
				return
			}
			d := t.finding(diag.Ref{What: diag.Run, Name: run.Name, Segment: int32(fx.Seg)}, run.Def.At, "s-trap",
				run.Name+": the trap's outlet turns down "+level.Small(t.net.Job.Units)+" from the weir with no vent at the turn, which makes an S-trap", level.Small(t.net.Job.Units), "", "trap-barred")
			d.Try = "put a sanitary tee at the turn with a vent above it"
			say(d)
			return
		}
		if !seg.LengthKnown {
			return
		}
		level += seg.Length()
	}
}

// wetNearLimit says where a wet vent is within a tenth of what it may carry.
func (t *tracer) wetNearLimit() {
	tab, ok := t.book.Table("wet-vent")
	if !ok || t.sizes == nil {
		return
	}
	done := map[network.RunID]bool{}
	closet := t.ventsCloset(tab)
	// Only what a trap relies on: a reading that was given up speaks for no pipe.
	relied := map[network.SegID]bool{}
	for i := range t.out.Trap {
		if tr := &t.out.Trap[i]; tr.Verdict == Protected || tr.Verdict == CannotTell {
			if r := tr.Reading(); r != nil {
				for _, s := range r.Wet {
					relied[s] = t.out.Washed[s]
				}
			}
		}
	}
	for i := len(t.net.Segs) - 1; i >= 0; i-- {
		s := network.SegID(i)
		if !relied[s] || t.loads.Traps[s] < 2 || done[t.net.Segs[s].Run] {
			continue
		}
		c := tab.Cell(t.sizes.Size[s], "units")
		if closet[s] {
			c = tab.Cell(t.sizes.Size[s], closetUnits)
		}
		l := t.loads.Units[s]
		if c.State != codebook.Given || l > c.Load || l*10 < c.Load*9 {
			continue
		}
		done[t.net.Segs[s].Run] = true
		run := t.net.RunOf(s)
		d := diag.Diagnostic{
			Severity: diag.Info, Rule: "capacity-near-limit", On: diag.Ref{What: diag.Run, Name: run.Name, Segment: int32(s)}, At: run.Def.At,
			Message: run.Name + " carries " + plural(l) + " of the " + c.Load.String() + " that a " + t.sizes.Size[s].String() + " wet vent may", Got: l.String(), Limit: c.Load.String(),
		}
		if tab.Cite != nil {
			d.Cites = []diag.Cite{*tab.Cite}
		}
		t.diags = append(t.diags, d)
	}
}

// words is the method in the trade's words; the individual vent of an island has its own.
func (r *Reading) words(n *network.Net) string {
	if r.Method == Individual && r.Vent != network.None && n.IsLoop(r.Vent) {
		return "island vent"
	}
	return r.Method.String()
}

// Words gives the answer for one trap in a sentence, for reports and drawings.
func (v *Vents) Words(n *network.Net, f network.FixID) string {
	tr := &v.Trap[f]
	r := tr.Reading()
	switch tr.Verdict {
	case NotLookedAt:
		if r != nil && r.Method == Elsewhere {
			return "vented elsewhere, as the job says; not looked at"
		}
		return "not looked at"
	case Protected, CannotTell:
		if r == nil {
			return "not drawn yet, not looked at"
		}
		var b strings.Builder
		if tr.Verdict == Protected {
			b.WriteString("protected by ")
		} else {
			b.WriteString("cannot tell; read as ")
		}
		b.WriteString(r.words(n))
		if r.Vent != network.None {
			b.WriteString(" " + n.Vents[r.Vent].Name)
		}
		switch {
		case r.Arm.Free:
			b.WriteString(" (no arm limit for a self-siphoning fixture)")
		case !r.Arm.Known:
			b.WriteString(", arm not measured")
		case r.Arm.Limit > 0:
			b.WriteString(", " + r.Arm.Length.In(n.Job.Units) + " of " + r.Arm.Limit.AtMost(n.Job.Units))
		}
		if v.noValves && r.Vent != network.None {
			if end, _, _ := n.Outdoors(r.Vent); end == network.AirAdmittanceValve {
				b.WriteString(", if the authority accepts the valve that it ends in, which this book does not")
			}
		}
		return b.String()
	}
	var parts []string
	for i := range tr.Readings {
		x := &tr.Readings[i]
		if d := x.plainest(); d != nil {
			say := "as " + x.words(n) + " it fails: " + strings.TrimPrefix(d.Message, n.Runs[n.Fixtures[f].Run].Name+": ")
			if !slices.Contains(parts, say) {
				parts = append(parts, say)
			}
		}
	}
	if len(parts) == 0 {
		return "not protected: no vent opens into its drain before other waste joins"
	}
	return "not protected; " + strings.Join(parts, "; ")
}
