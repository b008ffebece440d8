package propose

import (
	"slices"
	"sort"
	"strconv"
	"strings"

	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
	"trapweir/engine/vent"
)

// Here are the ways that bring air to several traps at once. Where many have no vent, one for
// a single trap is seldom a cure: what joins its drain reaches that vent then, from too far or
// past too much. So vents are added one by one, lavatories first because their drains wash
// those of the bathroom below, until no trap is the worse for it.

// mostTogether bounds how many vents one proposal adds.
const mostTogether = 24

// mostVain is how many plans may come to nothing: what fails for one trap of a crowd fails
// for the others.
const mostVain = 6

// together lists the ways to vent the trap of a finding and those that cannot stay as they
// are when it is: into one another and through the roof once, or each with a valve.
func (w *work) together(p *pending) (out []choice) {
	f := &p.answer.Finding
	if !venting(f.Rule) {
		return nil
	}
	traps := affected(w.r, f)
	if len(traps) == 0 {
		return nil
	}
	for _, t := range traps {
		if w.r.Vents.Trap[t].Verdict != vent.NotProtected {
			return nil
		}
	}
	group := w.neighbours(traps)
	if len(group) < 2 {
		return nil
	}
	for _, valves := range []bool{false, true} {
		id := "vents-together"
		if valves {
			id = "valves-together"
		}
		if valves && !w.allowed("aav.allowed") {
			continue
		}
		if x, ok := w.planned(id, traps); ok {
			out = append(out, choice{x})
			continue
		}
		if w.spent() || w.vain >= mostVain {
			p.answer.Untried++
			continue
		}
		x, ok := w.plan(id, traps, group, valves)
		if !ok {
			w.vain++
			continue
		}
		w.plans = append(w.plans, x)
		out = append(out, choice{x})
	}
	return out
}

// planned is a way that was found for another trap and helps these too.
func (w *work) planned(id string, traps []network.FixID) (way, bool) {
	for _, x := range w.plans {
		if x.id != id && !strings.HasPrefix(x.id, id+"/") {
			continue
		}
		helps := true
		for _, t := range traps {
			helps = helps && slices.Contains(x.traps, t)
		}
		if helps {
			return x, true
		}
	}
	return way{}, false
}

// neighbours are traps without a vent on one floor with the given ones that join the same
// pipe as one of them or stand in the same room, those given first.
func (w *work) neighbours(traps []network.FixID) []network.FixID {
	out := append([]network.FixID(nil), traps...)
	for i := range w.r.Net.Fixtures {
		g := network.FixID(i)
		x, gr := w.fixture(g)
		if slices.Contains(traps, g) || w.r.Vents.Trap[i].Verdict != vent.NotProtected {
			continue
		}
		for _, t := range traps {
			fx, run := w.fixture(t)
			if x.Level == fx.Level && (gr.Receiver == run.Receiver || gr.Receiver == fx.Run || run.Receiver == x.Run || x.Room != "" && x.Room == fx.Room) {
				out = append(out, g)
				break
			}
		}
	}
	return out
}

// plan adds vents until the traps of a group have air and none of the others is the worse.
func (w *work) plan(id string, traps, group []network.FixID, valves bool) (way, bool) {
	cur := w.r
	x := way{id: id + "/" + w.nameList(traps)}
	var parts []added
	var names []string
	first := "" // the vent that goes through the roof
	need := append([]network.FixID(nil), group[:min(len(group), mostTogether)]...)
	done := map[network.FixID]bool{}
	for len(parts) < mostTogether {
		w.washersFirst(need)
		t := network.FixID(network.None)
		for _, g := range need {
			if !done[g] && w.verdict(cur, g) == vent.NotProtected {
				t = g
				break
			}
		}
		if t == network.None {
			break
		}
		done[t] = true
		step, part, after, ok := w.step(x.edits, cur, t, names, first, valves)
		if !ok {
			if slices.Contains(traps, t) {
				return way{}, false
			}
			continue // another vent may help it, or it is told when all is tried
		}
		x.edits, cur = step.edits, after
		x.cost = plus(x.cost, step.cost)
		if step.care != "" {
			x.care = step.care
		}
		names = append(names, step.id)
		if first == "" && !valves {
			first = step.id
		}
		parts = append(parts, part)
		for _, d := range w.worse(cur) {
			for _, a := range affected(cur, d) {
				if g := sameTrap(cur, a, w.r); g != network.None && !slices.Contains(need, g) && w.r.Vents.Trap[g].Verdict == vent.NotProtected {
					need = append(need, g)
				}
			}
		}
	}
	if len(parts) < 2 {
		return way{}, false
	}
	for _, g := range need {
		if w.verdict(cur, g) != vent.NotProtected {
			x.traps = append(x.traps, g)
		}
	}
	for _, t := range traps {
		if !slices.Contains(x.traps, t) {
			return way{}, false
		}
	}
	n := len(x.traps)
	x.do = func(after result) string {
		return "vent " + strconv.Itoa(n) + " traps together: " + w.addedWords(after, parts)
	}
	return x, true
}

// added is one vent of a plan: its name and trap, where it leaves and how it goes on.
type added struct {
	vent string
	trap network.FixID
	off  spot
	on   string
}

// addedWords tells vents, those that go on in the same way in one sentence.
func (w *work) addedWords(after result, parts []added) string {
	var out []string
	for i := 0; i < len(parts); {
		k := i + 1
		for k < len(parts) && parts[k].on == parts[i].on {
			k++
		}
		var some []string
		for _, a := range parts[i:k] {
			some = append(some, "a "+ventSize(after, a.vent)+"vent "+strings.TrimSuffix(w.told(a.off, a.trap, after), ","))
		}
		last := len(some) - 1
		s := "take " + some[last]
		if last > 0 {
			s = "take " + strings.Join(some[:last], ", ") + " and " + some[last] + ", each"
		}
		out = append(out, s+" "+parts[i].on)
		i = k
	}
	return strings.Join(out, "; ")
}

// step adds a vent for one more trap: into the vent that goes through the roof already, else
// through the roof. Its id is the name of the vent.
func (w *work) step(edits []job.Edit, cur result, t network.FixID, names []string, first string, valves bool) (way, added, result, bool) {
	for _, e := range w.ends(t, first, valves) {
		for _, s := range w.spots(t) {
			if w.spent() {
				return way{}, added{}, nil, false
			}
			more, name := w.ventEdits(t, s, e, names)
			x := way{
				id: name, cost: e.cost(), care: e.care,
				edits: append(append(edits[:len(edits):len(edits)], w.unpin(t)...), more...),
			}
			o := w.outcome(x.edits)
			if o.result == nil || w.verdict(o.result, t) == vent.NotProtected || w.loses(cur, o.result) {
				continue
			}
			return x, added{name, t, s, e.words}, o.result, true
		}
	}
	return way{}, added{}, nil, false
}

// ends are the endings that one more vent of a plan may have.
func (w *work) ends(t network.FixID, first string, valves bool) (out []ending) {
	for _, e := range w.endings([]network.FixID{t}) {
		if (e.valves > 0) != valves {
			continue
		}
		out = append(out, e)
	}
	if valves || first == "" || w.noWall([]network.FixID{t}) {
		return out
	}
	const across = 8 * unit.Foot // a small room
	if e, ok := w.joining(first, t, across, true); ok {
		out = append([]ending{e}, out...)
	}
	return out
}

// verdict is what a result says of a trap of the job as it was.
func (w *work) verdict(after result, t network.FixID) vent.Verdict {
	if k := sameTrap(w.r, t, after); k != network.None {
		return after.Vents.Trap[k].Verdict
	}
	return vent.NotProtected
}

// sameTrap is the trap of one result, by the name of its run, in another one; None where that
// has none.
func sameTrap(r result, f network.FixID, in result) network.FixID {
	if k := runNamed(in, r.Net.Runs[r.Net.Fixtures[f].Run].Name); k != network.None {
		return in.Net.Runs[k].Fixture
	}
	return network.None
}

// loses reports whether a trap that has air in one result has none in the next.
func (w *work) loses(cur, after result) bool {
	for i := range w.r.Vents.Trap {
		f := network.FixID(i)
		if w.verdict(cur, f) != vent.NotProtected && w.verdict(after, f) == vent.NotProtected {
			return true
		}
	}
	return false
}

// washersFirst puts traps in the order in which they are vented: lavatories, then the rest of
// a bathroom, then all others, water closets last; upstream first.
func (w *work) washersFirst(list []network.FixID) {
	rank := func(f network.FixID) int {
		fx, _ := w.fixture(f)
		switch {
		case fx.Kind.Name == lavatory:
			return 0
		case fx.Kind.Has("water closet"):
			return 3
		case fx.Kind.Has("bathroom fixture"):
			return 1
		}
		return 2
	}
	sort.SliceStable(list, func(i, k int) bool {
		if a, b := rank(list[i]), rank(list[k]); a != b {
			return a < b
		}
		return w.r.Net.Fixtures[list[i]].Seg < w.r.Net.Fixtures[list[k]].Seg
	})
}

// outdone: it vents several traps one by one, and a plan that cures as much takes less.
func (p *Proposal) outdone(all []Proposal) bool {
	vents := 0
	for i := range p.Edits {
		if p.Edits[i].Op == job.OpAdd && p.Edits[i].Path[0] == "vents" {
			vents++
		}
	}
	if vents < 2 || strings.Contains(p.ID, "-together/") || strings.Contains(p.ID, "loop") {
		return false
	}
	for i := range all {
		q := &all[i]
		if !strings.Contains(q.ID, "-together/") || q.If && !p.If || q.Cost.Valves > p.Cost.Valves || q.Weighs > p.Weighs {
			continue
		}
		cures := map[Mark]bool{}
		for _, m := range q.Removes {
			cures[m] = true
		}
		most := true
		for _, m := range p.Removes {
			most = most && cures[m]
		}
		if most {
			return true
		}
	}
	return false
}
