package propose

import (
	"sort"
	"strconv"

	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// Here are the ways for branches and stacks that vent several traps at once.

// fewer gives those traps that are too many on a circuit vent vents of their own: the ones
// furthest down the branch, else the ones furthest up.
func (w *work) fewer(f *diag.Diagnostic) (out []choice) {
	most, err := strconv.Atoi(f.Limit)
	traps := affected(w.r, f)
	if err == nil && len(traps) <= most {
		if id := runNamed(w.r, f.On.Name); id != network.None {
			traps = through(w.r.Net, id)
		}
	}
	if err != nil || len(traps) <= most || len(traps)-most > 3 {
		return nil
	}
	at := func(f network.FixID) network.SegID {
		_, run := w.fixture(f)
		return w.r.Net.Segs[run.Segs[len(run.Segs)-1]].Down
	}
	sort.SliceStable(traps, func(i, k int) bool { return at(traps[i]) < at(traps[k]) })
	for _, extra := range [][]network.FixID{traps[most:], traps[:len(traps)-most]} {
		for _, e := range w.endings(extra) {
			out = append(out, w.own(extra, e))
		}
	}
	return out
}

// pastBranch leads a drain past a branch that it may not join.
func (w *work) pastBranch(id network.RunID) choice {
	route := routeOf(w.r.Net, id)
	if len(route) < 2 {
		return nil
	}
	return w.led(route, 1, "past-branch", "lead NAME past "+w.r.Net.Runs[route[1]].Name+": let it join RECV downstream")
}

// straight takes the offset out of a stack: it turns above everything that joins it.
func (w *work) straight(id network.RunID) choice {
	run := &w.r.Net.Runs[id]
	var legs []string
	for _, l := range run.Def.Legs {
		if l.Way.Plumb == 0 && l.Way.Down {
			legs = append(legs, w.leg(l))
		}
	}
	if len(legs) == 0 || len(legs) == len(run.Def.Legs) {
		return nil
	}
	return choice{{
		id: "straight-stack/" + run.Name, edits: anew([]job.Edit{job.SetList(legs, "runs", run.Name, "legs")}, "runs", run.Name, run.Def.State), cost: Cost{Pipe: 4 * unit.Foot, Fittings: 4, Walls: 2, About: true},
		do: plain("let " + run.Name + " run straight from the highest drain that joins it to the lowest, and turn aside below"),
	}}
}

// atFirstWaste moves a vent that leaves a level drain upstream of all waste to where the
// first waste joins, so that it is washed.
func (w *work) atFirstWaste(id network.RunID) (c choice) {
	n := w.r.Net
	first := unit.Length(-1)
	for i := range n.Runs {
		r := &n.Runs[i]
		if p := &r.Def.Place; r.Receiver == id && p.Kind == job.AtLength && (first < 0 || p.Len < first) {
			first = p.Len
		}
	}
	if first < 0 {
		return nil
	}
	for i := range n.Vents {
		v := &n.Vents[i]
		for _, t := range v.Takes {
			if t.Run != id {
				continue
			}
			for _, at := range []unit.Length{first, first + 6*unit.Inch} {
				c = append(c, way{
					id: "move-vent/" + v.Name, edits: []job.Edit{job.Set(w.number(at), "vents", v.Name, "at")}, cost: Cost{Fittings: 2, Walls: 1},
					do: plain("let the vent " + v.Name + " leave " + n.Runs[id].Name + " where the first waste joins, " + w.say(at) + " from its upper end"),
				})
			}
		}
	}
	return c
}

// dropped takes out a drain that nothing drains into, and lets a vent that leaves it leave what
// it joined, at the same place. The job keeps the drain as one that goes, with what is noted
// beside it.
func (w *work) dropped(id network.RunID) choice {
	n := w.r.Net
	run := &n.Runs[id]
	if run.Receiver < 0 || run.Fixture != network.None || run.Def.Carries.Set || run.Def.Basin.Set || existing(run.Def.State) || run.Def.State.Text == "remove" {
		return nil
	}
	for i := range n.Runs {
		if n.Runs[i].Receiver == id {
			return nil
		}
	}
	recv := n.Runs[run.Receiver].Name
	place := w.place(&run.Def.Place)
	if place == "" {
		place = "upper end"
	}
	var edits []job.Edit
	words := "nothing drains into " + run.Name + ": take it out"
	for i := range n.Vents {
		v := &n.Vents[i]
		for _, t := range v.Takes {
			if t.Run != id {
				continue
			}
			if len(v.Takes) > 1 {
				return nil
			}
			edits = append(edits, job.Set(recv, "vents", v.Name, "from"), job.Set(place, "vents", v.Name, "at"))
			words += ", and let the vent " + v.Name + " leave " + recv + " where it joined"
		}
	}
	return choice{{id: "drop/" + run.Name, edits: append(edits, job.Set("true", "runs", run.Name, "remove")), cost: Cost{Fittings: 1}, do: plain(words)}}
}
