package propose

import (
	"strings"

	"trapweir/engine/elevation"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// Here are the ways that find room for a pipe: in a wall, between and through joists,
// through concrete, away from the frost.

// levelOf is the level that a run lies on: its own, else that of the first fixture above it.
func (w *work) levelOf(id network.RunID) *job.Level {
	n := w.r.Net
	name := n.Runs[id].Def.Level.Text
	for i := range w.r.Job.Levels {
		if w.r.Job.Levels[i].Name == name {
			return &w.r.Job.Levels[i]
		}
	}
	if k := n.Runs[id].Level; k >= 0 {
		return &w.r.Job.Levels[k]
	}
	if len(w.r.Job.Levels) == 1 {
		return &w.r.Job.Levels[0]
	}
	return nil
}

// smaller takes the smallest pipe that its load lets it have, where a larger one is given.
func (w *work) smaller(id network.RunID, why string) choice {
	run := &w.r.Net.Runs[id]
	have, need := run.Def.Size.V, unit.Size(0)
	for _, s := range run.Segs {
		need = max(need, w.r.Sizes.Required[s])
	}
	var c choice
	stock := w.r.Sizes.Stock()
	for i := len(stock) - 1; i >= 0; i-- {
		if s := stock[i]; s < have && s >= need && need > 0 {
			c = append(c, way{
				id: "smaller-pipe/" + run.Name, edits: anew([]job.Edit{job.Set(s.Short(), "runs", run.Name, "size")}, "runs", run.Name, run.Def.State),
				do: plain("lay " + run.Name + " in " + s.String() + " pipe, which its load permits" + why),
			})
		}
	}
	return c
}

// deeperStuds builds the walls of the level deeper.
func (w *work) deeperStuds(id network.RunID) (c choice) {
	run, lv := &w.r.Net.Runs[id], w.levelOf(id)
	if lv == nil || lv.Studs.Text == "" {
		return nil
	}
	have, ok := elevation.Depth(w.r.Book, lv.Studs.Text)
	if !ok {
		return nil
	}
	for _, s := range []string{"2x6", "2x8"} {
		if d, ok := elevation.Depth(w.r.Book, s); ok && d > have {
			c = append(c, way{
				id: "deeper-studs/" + lv.Name, edits: []job.Edit{job.Set(s, "levels", lv.Name, "studs")}, cost: Cost{Moves: 1},
				do: plain("build the wall of " + run.Name + " of " + s + " studs, or fur it out as deep (the job has one depth of studs for all walls of " + lv.Name + ")"),
			})
		}
	}
	return c
}

// pastJoists runs a pipe with the joists, or hung under them, instead of through them.
func (w *work) pastJoists(id network.RunID) (out []choice) {
	run := &w.r.Net.Runs[id]
	off := []job.Edit{}
	if run.Def.Through.What.Text == "joists" {
		off = append(off, job.Remove("runs", run.Name, "through"))
		out = append(out, choice{{
			id: "along-joists/" + run.Name, edits: append(off[:1:1], job.Set("joists", "runs", run.Name, "place")), cost: Cost{Pipe: 4 * unit.Foot, Fittings: 2, About: true},
			do: plain("run " + run.Name + " in a bay with the joists instead of through them, and cross where nothing is cut"),
		}})
	}
	under := []job.Edit{}
	where := "under the joists, in a dropped ceiling or a chase,"
	if run.Def.Where.Text == "joists" {
		under = append(under, job.Remove("runs", run.Name, "place"))
	}
	if lv := w.levelOf(id); lv != nil && lv.Under.Text == "crawl space" {
		under = []job.Edit{job.Set("crawl space", "runs", run.Name, "place")}
		where = "under the joists in the crawl space"
	}
	if len(off)+len(under) > 0 {
		out = append(out, choice{{id: "under-joists/" + run.Name, edits: append(off, under...), cost: Cost{Fittings: 2, Walls: 1, About: true}, do: plain("hang " + run.Name + " " + where + " instead")}})
	}
	return out
}

// indoors takes a pipe out of an outside wall.
func (w *work) indoors(heading, name string) choice {
	return choice{{
		id: "inside-wall/" + name, edits: []job.Edit{job.Set("wall", heading, name, "place")}, cost: Cost{Pipe: 4 * unit.Foot, Fittings: 2, Walls: 1, About: true},
		do: plain("run " + name + " in an inside wall, where it is warm"),
	}}
}

// bySleeve notes a sleeve where the drain leaves the house.
func (w *work) bySleeve(name, limit string) choice {
	if w.r.Job.Outlet.To.Text == "" {
		return nil
	}
	what := strings.TrimPrefix(limit, "a ")
	return choice{{
		id: "sleeve/" + name, edits: []job.Edit{job.Set("true", "outlet", "sleeve")}, cost: Cost{Fittings: 1},
		care: "a footing carries the house: whoever designed it says where it may be opened",
		do:   plain("set a " + what + " where " + name + " goes through, and fill the ring with what stays soft"),
	}}
}

// bored lets a notch become a hole, or lie where the member may be notched.
func (w *work) bored(id network.RunID) (out []choice) {
	run := &w.r.Net.Runs[id]
	t := &run.Def.Through
	if !t.Cut.Given() {
		return nil
	}
	hole := []job.Edit{job.Set("hole", "runs", run.Name, "through", "cut")}
	if t.Deep.Set {
		hole = append(hole, job.Remove("runs", run.Name, "through", "deep"))
	}
	out = append(out, choice{{id: "hole/" + run.Name, edits: hole, cost: Cost{Fittings: 1}, do: plain("bore " + run.Name + " through the middle of the " + t.What.Text + " instead of notching them")}})
	if t.Cut.Text == "notch in the middle third" {
		out = append(out, choice{{
			id: "notch-outside/" + run.Name, edits: []job.Edit{job.Set("notch", "runs", run.Name, "through", "cut")}, cost: Cost{Pipe: 4 * unit.Foot, Fittings: 2, About: true},
			do: plain("cross the joists with " + run.Name + " outside the middle third of their span"),
		}})
	}
	return out
}

// strengthened doubles the studs that a pipe is bored through.
func (w *work) strengthened(id network.RunID) choice {
	run := &w.r.Net.Runs[id]
	words := plain("double the studs that " + run.Name + " goes through")
	return choice{{id: "double-studs/" + run.Name, edits: []job.Edit{job.Set("true", "runs", run.Name, "through", "doubled")}, cost: Cost{Moves: 1}, do: words}}
}

// strapped puts a tie over a top plate that a pipe cuts.
func (w *work) strapped(id network.RunID) choice {
	run := &w.r.Net.Runs[id]
	words := plain("put a metal tie over the top plate that " + run.Name + " cuts, as long and as often nailed as the building code asks")
	strap := job.Set("true", "runs", run.Name, "through", "strap")
	cost := Cost{Fittings: 1}
	return choice{
		{id: "strap/" + run.Name, edits: []job.Edit{strap}, cost: cost, do: words},
		{id: "strap/" + run.Name, edits: []job.Edit{job.Set("1", "runs", run.Name, "through", "top plate"), strap}, cost: cost, do: words},
	}
}
