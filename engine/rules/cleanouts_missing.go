package rules

import (
	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

var cleanoutMissing = &check.Rule{
	ID: "cleanout-missing", Family: "cleanouts",
	Doc: "cleanouts stand where the book asks for them: at upper ends, where drain becomes sewer, at turns, at the foot of stacks",
	Why: "a stoppage that cannot be reached with a snake is reached with a shovel or a saw",
	Try: "set a cleanout there, full size, where it can be got at",
	Run: func(p *check.Pass) {
		on := cleanoutsOn(p)
		upperEnds(p, on)
		junction(p, on)
		turns(p, on)
		turnTotal(p, on)
		stackBases(p, on)
	},
}

// upperEnds: where the book asks a cleanout at the upper end of every level drain.
func upperEnds(p *check.Pass, on map[network.SegID][]spot) {
	q := p.Param("cleanout.upper-end")
	if q.State != codebook.Given || !q.Yes {
		return
	}
	n := p.Net
	from, shortKinds, upKinds := p.Param("cleanout.upper-end-from"), p.Param("cleanout.upper-end-short-kinds"), p.Param("cleanout.upper-end-upstairs-kinds")
	said := map[network.RunID]bool{}
	askedLevel, askedLength := false, false
	twoWay := junctionTwoWay(p, on)
	top := network.SegID(network.None) // where the sewer begins is looked at by itself
	if inBook(p, "cleanout-junction") {
		if top = sewerTop(p); top != network.None && len(n.Up(top)) == 0 {
			top = network.None
		}
	}
	for i := range n.Segs {
		s, seg := network.SegID(i), &n.Segs[i]
		run := &n.Runs[seg.Run]
		switch {
		case seg.Lie != network.Level, seg.Arm, seg.Fixture != network.None, seg.Role == network.TrapArm, seg.Role == network.PumpDischarge, seg.Role == network.StackOffset,
			existing(run), said[seg.Run], s == top, line(p, s) != network.None, belowDrop(p, s):
			continue
		}
		fix := onlyTrap(p, s)
		sinks := fix != network.None && kindIn(&n.Fixtures[fix], shortKinds.Words)
		if seg.Role != network.BuildingDrain && seg.Role != network.BuildingSewer && seg.Role != network.BuildingDrainBranch {
			up, known := upstairs(p, seg.Run)
			switch {
			case !known:
				if !askedLevel && seg.Role == network.Branch && !seg.UnderGround {
					askedLevel = true
					p.Unchecked(p.OnRun(seg.Run, s), run.Def.At, check.Say{Message: run.Name + ": above the lowest floor it needs no cleanout at its upper end, and its level is not known", Ask: "on which level does " + run.Name + " lie?", Cite: clause(p, "cleanout-upper-end")})
				}
				continue
			case up && !(fix != network.None && kindIn(&n.Fixtures[fix], upKinds.Words)):
				continue
			}
		}
		length, known := levelLength(p, s)
		if !known {
			if !askedLength {
				askedLength = true
				p.Unchecked(p.OnRun(seg.Run, s), run.Def.At, check.Say{Message: run.Name + ": whether its upper end needs a cleanout depends on its length", Ask: "how long is " + run.Name + ", and is there a cleanout at its upper end?", Cite: clause(p, "cleanout-upper-end")})
			}
			continue
		}
		p.Looked(1)
		if from.State == codebook.Given && length < from.Length && !sinks {
			continue
		}
		if nodeHas(p, on, s) || nearUpper(on, s) || onDropAbove(p, on, s) || twoWay && (seg.Role == network.BuildingDrain || seg.Role == network.BuildingSewer) {
			continue
		}
		said[seg.Run] = true
		p.Fault(p.OnRun(seg.Run, s), run.Def.At, check.Say{
			Message: run.Name + ", " + length.In(p.Job.Units) + " of level drain, has no cleanout at its upper end", Got: "none", Limit: "one at the upper end", Cite: clause(p, "cleanout-upper-end"),
			Try: "set " + asLarge(p, s) + " " + placeOn(p, s, 0) + ", or within " + closeBy.In(p.Job.Units) + " of there, that opens with the flow",
		})
	}
}

// belowDrop: the whole house comes down to s by a drop in the line, which is no stack. The
// line begins above the drop and is rodded from there (common practice).
func belowDrop(p *check.Pass, s network.SegID) bool {
	n := p.Net
	up := n.Up(s)
	if len(up) != 1 || n.Segs[up[0]].Lie != network.Upright {
		return false
	}
	for u := up[0]; ; u = n.Up(u)[0] {
		if r := n.Segs[u].Role; r != network.BuildingDrain && r != network.BuildingSewer || len(n.Up(u)) != 1 {
			return false
		}
		if n.Segs[u].Lie == network.Level {
			return true
		}
	}
}

// nearUpper: a cleanout stands on the first stretch of the line itself.
func nearUpper(on map[network.SegID][]spot, s network.SegID) bool {
	for _, c := range on[s] {
		if c.known && c.off <= closeBy {
			return true
		}
	}
	return false
}

// onDropAbove: one stands on the drop of a fixture that comes down into the upper end of the
// line, or at its top: the cable goes straight down into it (common practice).
func onDropAbove(p *check.Pass, on map[network.SegID][]spot, s network.SegID) bool {
	n := p.Net
	for up := n.Up(s); len(up) == 1; up = n.Up(up[0]) {
		u := &n.Segs[up[0]]
		if u.Lie != network.Upright || u.Role == network.Stack {
			return false
		}
		if len(on[up[0]]) > 0 || nodeHas(p, on, up[0]) {
			return true
		}
	}
	return false
}

// upstairs: the run lies above the lowest floor that the job has.
func upstairs(p *check.Pass, r network.RunID) (yes, known bool) {
	lv, ok := levelOf(p, r)
	if !ok || !p.Job.Levels[lv].Floor.Set {
		return false, false
	}
	for i := range p.Job.Levels {
		if x := &p.Job.Levels[i]; x.Floor.Set && x.Floor.V < p.Job.Levels[lv].Floor.V {
			return true, true
		}
	}
	return false, true
}

// sewerTop is the segment where building sewer begins, None where none is drawn or the
// drain above it is not.
func sewerTop(p *check.Pass) network.SegID {
	n := p.Net
	for i := range n.Segs {
		if n.Segs[i].Role != network.BuildingSewer {
			continue
		}
		for _, u := range n.Up(network.SegID(i)) {
			if n.Segs[u].Role == network.BuildingSewer {
				return network.None
			}
		}
		return network.SegID(i)
	}
	return network.None
}

// A sewerStart is a place where drain becomes sewer: where the sewer begins, or where another
// building drain joins it farther down.
type sewerStart struct {
	sewer network.SegID
	drain network.SegID // the drain that joins farther down; None where the sewer begins
}

// sewerStarts are the places where drain becomes sewer, where it begins first.
func sewerStarts(p *check.Pass) []sewerStart {
	n := p.Net
	top := sewerTop(p)
	if top == network.None {
		return nil
	}
	out := []sewerStart{{top, network.None}}
	for i := range n.Segs {
		if s := network.SegID(i); n.Segs[i].Role == network.BuildingSewer && s != top {
			for _, u := range n.Up(s) {
				if n.Segs[u].Role == network.BuildingDrain {
					out = append(out, sewerStart{s, u})
				}
			}
		}
	}
	return out
}

// nearest is the shortest way up the drain from there to a cleanout.
func (x sewerStart) nearest(p *check.Pass, on map[network.SegID][]spot) (best unit.Length, found, known bool) {
	if x.drain == network.None {
		return nearestUp(p, on, x.sewer, 0, true, 0)
	}
	return nearestOn(p, on, x.drain, 0, true, 0)
}

// junctionTwoWay: a two-way cleanout stands where drain becomes sewer, or at the lower end
// of the line.
func junctionTwoWay(p *check.Pass, on map[network.SegID][]spot) bool {
	for s, list := range on {
		role := p.Net.Segs[s].Role
		for _, c := range list {
			if c.two && (role == network.BuildingSewer || role == network.BuildingDrain) {
				return true
			}
		}
	}
	return false
}

// junction: one where the building drain becomes the building sewer, or upstream of there
// within the book's distance.
func junction(p *check.Pass, on map[network.SegID][]spot) {
	within := p.Param("cleanout.junction-within")
	if !inBook(p, "cleanout-junction") {
		return
	}
	if within.State != codebook.Given {
		// The book asks it at the junction itself.
		within.State, within.Length = codebook.Given, closeBy
	}
	starts := sewerStarts(p)
	if len(starts) == 0 {
		askJunction(p, on, within.Length)
	}
	for _, x := range starts {
		junctionAt(p, on, x, within)
	}
}

// junctionAt judges one place where drain becomes sewer.
func junctionAt(p *check.Pass, on map[network.SegID][]spot, x sewerStart, within codebook.Param) {
	n := p.Net
	top := x.sewer
	run := n.RunOf(top)
	where, above, pipe, at := "the drain becomes "+run.Name, run.Name+", where the drain becomes the sewer", top, run.Def.At
	if x.drain != network.None {
		drain := n.RunOf(x.drain)
		where, pipe, at = drain.Name+" joins "+run.Name+" and becomes sewer", x.drain, drain.Def.At
		above = "where " + where
	}
	if nodeHas(p, on, top) {
		p.Looked(1)
		return
	}
	beyond := p.Param("building-drain.beyond-wall")
	for _, c := range on[top] {
		if c.known && beyond.State == codebook.Given && c.off <= beyond.Length {
			p.Looked(1)
			return
		}
	}
	drawn := false
	for _, u := range n.Up(top) {
		switch n.Segs[u].Role {
		case network.BuildingDrain, network.BuildingDrainBranch, network.Stack, network.FixtureDrain, network.Branch:
			drawn = true
		}
	}
	if !drawn {
		return
	}
	best, found, sure := x.nearest(p, on)
	onRun := p.OnRun(n.Segs[pipe].Run, pipe)
	cite := clause(p, "cleanout-junction")
	say := check.Say{Limit: within.Length.In(p.Job.Units), Cite: cite, Try: "set " + asLarge(p, pipe) + " where " + where + "; a two-way one serves both" + orUpstream(p, x, within.Length)}
	switch {
	case found && sure && best <= within.Length:
		p.Looked(1)
	case existing(run):
		p.Unchecked(onRun, at, check.Say{Message: run.Name + " is there already, and no cleanout is drawn where the drain becomes the sewer", Ask: "is there a cleanout where the building drain meets " + run.Name + ", or within " + within.Length.In(p.Job.Units) + " upstream?", Limit: say.Limit, Cite: cite})
	case found && !sure:
		p.Unchecked(onRun, at, check.Say{Message: "how far the nearest cleanout stands above " + run.Name + " is not known; " + within.Length.In(p.Job.Units) + " is the most", Ask: "how far, along the pipe, is it from the cleanout to where the building drain becomes the sewer?", Limit: say.Limit, Cite: cite})
	case found:
		p.Looked(1)
		say.Message = "the nearest cleanout stands " + best.In(p.Job.Units) + " above " + above + "; " + within.Length.In(p.Job.Units) + " is the most"
		say.Got = best.In(p.Job.Units)
		p.Fault(onRun, at, say)
	default:
		p.Looked(1)
		say.Message = "no cleanout stands where " + where + ", nor within " + within.Length.In(p.Job.Units) + " upstream"
		say.Got = "none"
		p.Fault(onRun, at, say)
	}
}

// orUpstream tells between which places on the drain above the sewer a cleanout would do.
func orUpstream(p *check.Pass, x sewerStart, within unit.Length) string {
	n := p.Net
	for _, u := range n.Up(x.sewer) {
		run := n.RunOf(u)
		if x.drain != network.None && u != x.drain || n.Segs[u].Lie != network.Level || n.Segs[u].Role != network.BuildingDrain || !measured(p, n.Segs[u].Run) {
			continue
		}
		end := n.Segs[u].To
		if end <= within {
			return ", or one anywhere on the last " + end.In(p.Job.Units) + " of " + run.Name
		}
		return ", or one on " + run.Name + " from " + (end - within).In(p.Job.Units) + " to " + end.In(p.Job.Units) + " from its upper end"
	}
	return ""
}

// askJunction: the line goes to the street and the job does not show where it becomes
// sewer.
func askJunction(p *check.Pass, on map[network.SegID][]spot, within unit.Length) {
	n := p.Net
	if n.Outlet == network.None {
		return
	}
	seg := &n.Segs[n.Outlet]
	if to := p.Job.Outlet.To.Text; seg.Role != network.BuildingDrain || to != "public sewer" && to != "septic tank" || len(on[n.Outlet]) > 0 {
		return
	}
	run := &n.Runs[seg.Run]
	for _, s := range run.Segs {
		if len(on[s]) > 0 {
			return
		}
	}
	p.Unchecked(p.OnRun(seg.Run, n.Outlet), run.Def.At, check.Say{
		Message: "where " + run.Name + " leaves the building and becomes sewer is not drawn, and no cleanout is noted there",
		Ask:     "is there a cleanout where the building drain becomes the sewer, or within " + within.In(p.Job.Units) + " upstream of there?", Limit: within.In(p.Job.Units), Cite: clause(p, "cleanout-junction"),
	})
}

// nearestUp is the shortest way up the pipe from the upper end of s to a cleanout.
func nearestUp(p *check.Pass, on map[network.SegID][]spot, s network.SegID, at unit.Length, sure bool, depth int) (best unit.Length, found, known bool) {
	n := p.Net
	if depth > 200 {
		return 0, false, false
	}
	for _, u := range n.Up(s) {
		if d, f, k := nearestOn(p, on, u, at, sure, depth); f && (!found || k && !known || k == known && d < best) {
			best, found, known = d, true, k
		}
	}
	return best, found, known
}

// nearestOn is nearestUp through one of the pipes that come in.
func nearestOn(p *check.Pass, on map[network.SegID][]spot, u network.SegID, at unit.Length, sure bool, depth int) (best unit.Length, found, known bool) {
	seg := &p.Net.Segs[u]
	for _, c := range on[u] {
		d, ok := at+seg.Length()-c.off, sure && seg.LengthKnown && c.known
		if !found || ok && !known || ok == known && d < best {
			best, found, known = d, true, ok
		}
	}
	if found || seg.Role == network.TrapArm {
		return best, found, known
	}
	return nearestUp(p, on, u, at+seg.Length(), sure && seg.LengthKnown, depth+1)
}

// turns: one at every level turn over the book's angle; one serves the turns of the next
// stretch.
func turns(p *check.Pass, on map[network.SegID][]spot) {
	q, stretch := p.Param("cleanout.turn"), p.Param("cleanout.turn-within")
	limit, ok := number(q)
	if !ok || !inBook(p, "cleanout-turn") {
		return
	}
	n := p.Net
	list := turnsIn(p)
	const far = unit.Length(1) << 60
	since := make([]unit.Length, len(n.Segs)) // from the last cleanout to the lower end
	said := map[network.RunID]bool{}
	for i := range n.Segs {
		s, seg := network.SegID(i), &n.Segs[i]
		run := &n.Runs[seg.Run]
		at := far
		for _, u := range n.Up(s) {
			at = min(at, since[u])
		}
		if nodeHas(p, on, s) {
			at = 0
		}
		for _, t := range list[s] {
			if t.free || int64(t.deg) <= limit*10 || existing(run) || int64(t.deg/t.f.Count) <= limit*10 {
				continue // two smaller bends in a row are read each by itself
			}
			served := at
			if !t.f.At.Known && len(on[s]) > 0 {
				served = 0 // where on the run the turn is, is not known; nor need it be
			}
			p.Looked(1)
			if stretch.State == codebook.Given && served <= stretch.Length {
				continue
			}
			at = 0 // the one that is missing serves what follows
			if said[t.run] {
				continue
			}
			said[t.run] = true
			p.Fault(p.OnRun(t.run, s), n.Runs[t.run].Def.At, check.Say{
				Message: n.Runs[t.run].Name + " turns " + degreesText(t.deg) + " in the flat and has no cleanout at the turn, nor within " + stretch.Length.In(p.Job.Units) + " above it",
				Got:     degreesText(t.deg), Limit: degreesText(int(limit) * 10), Cite: clause(p, "cleanout-turn"),
				Try: "set " + asLarge(p, s) + " at the turn, " + placeOn(p, s, 0),
			})
		}
		if at < far {
			at += seg.Length()
		}
		for _, c := range on[s] {
			at = seg.Length() - c.off
		}
		since[i] = at
	}
}

// turnTotal: no more than the book's total of turns between cleanouts along a line.
func turnTotal(p *check.Pass, on map[network.SegID][]spot) {
	limit, ok := number(p.Param("cleanout.turn-total"))
	if !ok || !inBook(p, "cleanout-turn") {
		return
	}
	n := p.Net
	list := turnsIn(p)
	sum := make([]int, len(n.Segs)) // turned since the last cleanout, at the lower end
	for i := range n.Segs {
		s, seg := network.SegID(i), &n.Segs[i]
		run := &n.Runs[seg.Run]
		turned, same := 0, false
		for _, u := range n.Up(s) {
			if n.Segs[u].Run == seg.Run {
				turned, same = sum[u], true
			}
		}
		if !same {
			for _, u := range n.Up(s) {
				turned = max(turned, sum[u])
			}
		}
		if seg.Lie == network.Upright || existing(run) {
			sum[i] = 0
			continue
		}
		has := nodeHas(p, on, s)
		if has {
			turned = 0
		}
		for _, t := range list[s] {
			// One turn that is over the total by itself is served by a cleanout at the turn: no
			// other place would do better.
			if !has || !t.f.At.Known || int64(t.deg) <= limit*10 {
				turned += t.deg
			}
		}
		if len(list[s]) > 0 {
			p.Looked(1)
		}
		if int64(turned) > limit*10 {
			p.Fault(p.OnRun(seg.Run, s), run.Def.At, check.Say{
				Message: "the line turns " + degreesText(turned) + " in the flat by the end of " + run.Name + " without a cleanout; " + degreesText(int(limit)*10) + " is the most",
				Got:     degreesText(turned), Limit: degreesText(int(limit) * 10), Cite: clause(p, "cleanout-turn"),
				Try: "set " + asLarge(p, s) + " " + placeOn(p, s, 0),
			})
			turned = 0
		}
		if len(on[s]) > 0 {
			turned = 0
		}
		sum[i] = turned
	}
}
