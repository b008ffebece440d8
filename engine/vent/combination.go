package vent

import (
	"trapweir/engine/catalog"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/unit"
)

// combination reads a drain that the job says is a combination waste and vent.
func (t *tracer) combination(f network.FixID, path []network.SegID) {
	n := t.net
	fx := &n.Fixtures[f]
	run := &n.Runs[fx.Run]
	r := Reading{Method: Combination, Vent: network.None, Open: path[len(path)-1], Cite: t.cite("combination-vent")}
	var cwv *network.Run
	for s := fx.Seg; s != network.None; s = n.Segs[s].Down {
		if x := n.RunOf(s); x.Def.Vented.Text == "combination" {
			cwv = x
			break
		}
	}
	if cwv == nil {
		return
	}
	on := diag.Ref{What: diag.Run, Name: cwv.Name, Segment: int32(cwv.Segs[0])}
	at := cwv.Def.Vented.At
	p := t.p.combination
	switch {
	case p.State == codebook.Absent || p.State == codebook.NoLimit || p.Text == "no":
		r.failOn(t, on, at, "unvented-fixture", t.name(f)+": this book has no combination waste and vent", "", "", "vent-each")
	case p.Text == "approval":
		d := t.finding(on, at, "cwv-needs-approval", cwv.Name+": a combination waste and vent needs the authority's approval under this book", "", "", "combination-approval")
		d.Try = "give " + t.name(f) + " a vent, or ask for approval in writing"
		if p.Cite != nil {
			d.Cites = []diag.Cite{*p.Cite}
		}
		r.Fails = append(r.Fails, d)
	}
	if !t.combinationKind(fx.Kind) {
		r.failOn(t, t.onFixture(f), run.Def.Fixture.Kind.At, "unvented-fixture", t.name(f)+": "+fx.Kind.A()+" may not drain into a combination waste and vent", "", "", "combination-fixtures")
	}
	if fx.Def.Disposer.V && t.p.comboDisposer.State == codebook.Given && !t.p.comboDisposer.Yes {
		d := t.finding(on, at, "cwv-disposer", cwv.Name+": a food waste disposer may not drain into a combination waste and vent under this book", "", "", "combination-disposer")
		if c := t.p.comboDisposer.Cite; c != nil {
			d.Cites = []diag.Cite{*c}
		}
		d.Try = "leave the disposer off " + t.name(f) + ", or give " + t.name(f) + " a vent of its own"
		r.Fails = append(r.Fails, d)
	}
	// Upright pipe: only the drop from the fixture, and no more than the book says.
	var drop unit.Length
	for s := fx.Seg; s != network.None; s = n.Segs[s].Down {
		if n.Segs[s].Lie == network.Upright {
			drop += n.Segs[s].Length()
		}
		if x := n.Segs[s].Down; x == network.None || n.RunOf(s) == cwv && n.RunOf(x) != cwv {
			break
		}
	}
	if m := t.p.comboDrop; m.State == codebook.Given && drop > m.Length {
		r.failTry(t, on, at, "cwv-drop", cwv.Name+": the drop from "+t.name(f)+" is "+drop.In(t.net.Job.Units)+"; "+m.Length.In(t.net.Job.Units)+" is the most", drop.In(t.net.Job.Units), m.Length.In(t.net.Job.Units), "combination-drop",
			"lay "+cwv.Name+" so high that "+t.name(f)+" drops no more than "+m.Length.In(t.net.Job.Units)+" to it, or give "+t.name(f)+" a vent of its own")
	}
	if m := t.p.comboSlope; m.State == codebook.Given && cwv.Def.Slope.V.Run != 0 && cwv.Def.Slope.V.Cmp(m.Slope) > 0 {
		r.failTry(t, on, cwv.Def.Slope.At, "cwv-slope", cwv.Name+" falls "+cwv.Def.Slope.V.In(t.net.Job.Units)+"; a combination waste and vent falls at most "+m.Slope.In(t.net.Job.Units), cwv.Def.Slope.V.In(t.net.Job.Units), m.Slope.In(t.net.Job.Units), "combination-slope",
			"lay "+cwv.Name+" at "+m.Slope.In(t.net.Job.Units)+" or flatter, and take the rest of the fall past its lower end")
	}
	t.combinationTrap(f, &r, cwv)
	t.combinationBranch(f, &r, cwv)
	t.combinationArm(f, &r, cwv)
	// Where does it end? Into a drain that is vented.
	end := cwv.Segs[len(cwv.Segs)-1]
	if d := n.Segs[end].Down; d != network.None {
		st := &t.ups[d]
		if st.vent == network.None && !st.partVent {
			r.ask("vent-place", on, cwv.Name+" is a combination waste and vent, and whether the drain it joins is vented is not shown",
				"is "+n.RunOf(d).Name+" vented upstream of where "+cwv.Name+" joins?", t.cite("combination-vent"))
		}
		if st.vent != network.None && st.closets > 0 && t.bathOnly(d, cwv) {
			w := t.finding(on, at, "mixed-vent-methods", cwv.Name+": a combination waste and vent that ends in a wet vent mixes two methods; authorities differ on that", "", "", "wet-vent")
			w.Severity = diag.Warning
			w.Try = "ask the authority, or give " + t.name(f) + " a vent of its own"
			r.Fails = append(r.Fails, w)
		}
	}
	t.out.Trap[f].Readings = append(t.out.Trap[f].Readings, r)
}

// combinationArm measures the trap arm up to the combination waste and vent. Where the
// fixture's own run is one, the arm ends where the job says, and what is drawn past it is the
// vented pipe; with no arm drawn that begins at the trap.
func (t *tracer) combinationArm(f network.FixID, r *Reading, cwv *network.Run) {
	n := t.net
	fx := &n.Fixtures[f]
	run := &n.Runs[fx.Run]
	own := cwv == run
	if own && len(run.Def.Arm) == 0 {
		r.Arm = Arm{Known: true, Size: t.armSize(f), Slope: run.Def.Slope.V}
		return
	}
	var path []network.SegID
	level := unit.Length(0) // a drop to the vented pipe is held against the book's drop
	for s := fx.Seg; s != network.None && n.Segs[s].Run == fx.Run && (!own || n.Segs[s].Arm); s = n.Segs[s].Down {
		path = append(path, s)
		if own || n.Segs[s].Lie != network.Upright {
			level += n.Segs[s].Length()
		}
	}
	if !own && n.Segs[fx.Seg].Lie == network.Upright {
		return
	}
	r.Arm = t.measure(f, path)
	if a := r.Arm; a.Limit > 0 && level > a.Limit && !a.Free {
		r.Fails = append(r.Fails, t.armTooLong(f, level, a, path))
	}
}

// combinationKind: the book lists the kind (or a class of it) for combination waste and vent.
func (t *tracer) combinationKind(k *catalog.Kind) bool {
	p := t.book.Param("combination.fixtures")
	if p.State != codebook.Given {
		return k.Has("combination fixture")
	}
	for _, w := range p.Words {
		if k.Has(w) || k.As == w {
			return true
		}
	}
	return false
}

// notMixed takes back what was said of a combination waste and vent that ends in a wet vent,
// where no trap turned out to breathe through the pipe that it joins.
func (t *tracer) notMixed() {
	n := t.net
	for i := range t.out.Trap {
		r := t.out.Trap[i].Reading()
		if r == nil || r.Method != Combination {
			continue
		}
		kept := r.Fails[:0]
		for _, d := range r.Fails {
			if d.Rule == "mixed-vent-methods" {
				segs := n.RunOf(network.SegID(d.On.Segment)).Segs
				at := n.Segs[segs[len(segs)-1]].Down
				wet := t.out.Washed[at]
				for _, u := range n.Up(at) {
					wet = wet || t.out.Washed[u]
				}
				for _, s := range n.RunOf(at).Segs { // a wet vent further up in the same pipe counts
					wet = wet || s <= at && t.out.Washed[s]
				}
				if !wet {
					continue
				}
			}
			kept = append(kept, d)
		}
		r.Fails = kept
	}
}

// bathOnly: what comes past the end of a combination run is otherwise a bathroom's.
func (t *tracer) bathOnly(d network.SegID, cwv *network.Run) bool {
	for _, u := range t.net.Up(d) {
		if t.net.RunOf(u) != cwv && t.ups[u].vent != network.None && t.ups[u].foreign == network.None && !t.ups[u].parts {
			return true
		}
	}
	return false
}

// combinationTrap: where the book sizes such pipe by so many sizes over what it would else
// be, that holds for the traps as well.
func (t *tracer) combinationTrap(f network.FixID, r *Reading, cwv *network.Run) {
	p, fx := t.p.comboUp, &t.net.Fixtures[f]
	normal := t.loads.Fixture[f].Trap
	if p.State != codebook.Given || normal == 0 || fx.Kind.Integral {
		return
	}
	r.Trap = stepUp(normal, p)
	if least := r.Trap; fx.Def.Trap.V > 0 && fx.Def.Trap.V < least {
		d := t.finding(t.onFixture(f), fx.Def.Trap.At, "cwv-undersized", t.name(f)+": its trap is "+fx.Def.Trap.V.String()+"; on the combination waste and vent "+cwv.Name+" it is "+p.Text+" sizes over the "+normal.String()+" that it needs elsewhere, "+least.String(), fx.Def.Trap.V.String(), least.String(), "combination-size")
		d.Try = "make the trap of " + t.name(f) + " " + least.String()
		if p.Cite != nil {
			d.Cites = []diag.Cite{*p.Cite}
		}
		r.Fails = append(r.Fails, d)
	}
}

// combinationBranch: a long branch of such a system has a vent of its own where the book
// says so.
func (t *tracer) combinationBranch(f network.FixID, r *Reading, cwv *network.Run) {
	n, p := t.net, t.p.comboBranch
	run := &n.Runs[n.Fixtures[f].Run]
	if p.State != codebook.Given {
		return
	}
	length, known := unit.Length(0), true
	for _, s := range run.Segs {
		if len(t.at[s]) > 0 {
			return
		}
		if n.Segs[s].Lie != network.Upright {
			length += n.Segs[s].Length()
			known = known && n.Segs[s].LengthKnown
		}
	}
	if d := n.Segs[run.Segs[len(run.Segs)-1]].Down; d != network.None && run != cwv && len(t.at[d]) > 0 {
		return // a vent stands right where it joins
	}
	on := diag.Ref{What: diag.Run, Name: run.Name, Segment: int32(run.Segs[0])}
	switch {
	case length > p.Length:
		d := t.finding(on, run.Def.At, "cwv-branch-unvented", run.Name+" is "+length.In(t.net.Job.Units)+" long on the combination waste and vent "+cwv.Name+"; over "+p.Length.In(t.net.Job.Units)+" a branch of it has a vent of its own", length.In(t.net.Job.Units), p.Length.In(t.net.Job.Units), "combination-vent")
		d.Try = "take a vent off " + run.Name
		if p.Cite != nil {
			d.Cites = []diag.Cite{*p.Cite}
		}
		r.Fails = append(r.Fails, d)
	case !known:
		r.ask("cwv-branch-unvented", on, run.Name+": how long it is on the combination waste and vent "+cwv.Name+" is not given",
			"how long is "+run.Name+" up to where it joins? over "+p.Length.In(t.net.Job.Units)+" it needs a vent of its own", t.cite("combination-vent"))
	}
}

// combinationUp asks for pipe so many sizes over what its load would need.
func (t *tracer) combinationUp(f network.FixID, put func(size.Floor)) {
	n, p := t.net, t.p.comboUp
	if p.State != codebook.Given || t.out.first == nil {
		return
	}
	in := false
	for s := n.Fixtures[f].Seg; s != network.None; s = n.Segs[s].Down {
		cwv := n.RunOf(s).Def.Vented.Text == "combination"
		if in && !cwv {
			return
		}
		in = in || cwv
		normal := t.out.first[s]
		least := stepUp(normal, p)
		fl := size.Floor{Seg: s, Min: least, Rule: "cwv-undersized", Say: "it is a combination waste and vent, " + p.Text + " sizes over the " + normal.String() + " that its load needs", Max: least.String()}
		if p.Cite != nil {
			fl.Cite = *p.Cite
		}
		put(fl)
	}
}

// bareSizes are the sizes that the segments need with the least trap that each fixture may
// have: a trap that the job makes larger, as a book asks it on a combination waste and vent,
// does not make the pipe's need larger in turn.
func (t *tracer) bareSizes() []unit.Size {
	n, z := t.net, t.sizes
	larger := false
	for i := range n.Fixtures {
		larger = larger || t.loads.Fixture[i].Stated > t.loads.Fixture[i].Trap
	}
	if !larger || t.p.comboUp.State != codebook.Given {
		return z.Required
	}
	out := make([]unit.Size, len(n.Segs))
	for i := range n.Segs {
		s := network.SegID(i)
		for _, term := range z.Terms(s) {
			switch term.Kind {
			case size.ByTrap:
				out[i] = max(out[i], t.loads.Fixture[term.Ref].Trap)
			case size.ByUpstream, size.ByFloor, size.ByBelow:
			default:
				out[i] = max(out[i], term.Min)
			}
		}
		if n.Segs[i].Role == network.PumpDischarge || n.Segs[i].Basin {
			continue
		}
		for _, u := range n.Up(s) {
			if n.Segs[u].Role != network.PumpDischarge {
				out[i] = max(out[i], out[u])
			}
		}
	}
	return out
}

// combinationVent sizes a vent that leaves a combination waste and vent by the drain's bore,
// where the book has a share for it. Areas are compared as squares of the nominal sizes.
func (t *tracer) combinationVent(v network.VentID, add func(string, unit.Size, string, ...*diag.Cite)) {
	p := t.book.Param("combination.vent-area-share")
	if p.State != codebook.Given {
		return
	}
	for _, k := range t.net.Vents[v].Takes {
		s := t.net.Opening(k).Seg
		if s == network.None || t.net.RunOf(s).Def.Vented.Text != "combination" {
			continue
		}
		drain := t.sizes.Required[s]
		for _, x := range t.ventSizes() {
			a, b := int64(x/unit.Size(unit.Inch/4)), int64(drain/unit.Size(unit.Inch/4))
			if a*a*100 >= b*b*p.Number {
				add("combination", x, "the "+drain.String()+" combination waste and vent that it leaves asks for "+p.Text+" of its area", p.Cite)
				break
			}
		}
	}
}
