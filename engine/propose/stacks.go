package propose

import (
	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// Here are the ways for tall stacks: relief vents, vent stacks and where these begin.

// relief takes a relief vent off a run at each of some places, or at one of them, up to the
// open air or into a vent stack that stands there.
func (w *work) relief(id network.RunID, places []string) (c choice) {
	run := &w.r.Net.Runs[id]
	ends, words := "through roof", "to the open air"
	cost := Cost{Pipe: 4 * storey, Fittings: 3, Roof: 1, Walls: 4, About: true}
	for i := range w.r.Net.Vents {
		if v := &w.r.Net.Vents[i]; v.Def.Role.Text == "vent stack" {
			ends, words = v.Name, "into "+v.Name+", above the flood rims of that floor"
			cost = Cost{Pipe: storey, Fittings: 3, Walls: 1, About: true}
		}
	}
	add := func(places []string, id string) {
		x := way{id: id + "/" + run.Name, care: careRoof}
		var names []string
		for _, at := range places {
			name := w.free(run.Name+" relief vent", names...)
			names = append(names, name)
			fields := []job.Field{{Key: "from", Value: run.Name}, {Key: "at", Value: at}, {Key: "role", Value: "relief"}, {Key: "legs", List: []string{"up"}}, {Key: "ends", Value: ends}}
			if ends != "through roof" {
				x.care = ""
				if p := w.param("vent.flood-rim-rise"); given(p) {
					fields = append(fields, job.Field{Key: "above rim", Value: w.number(w.least(p.Length))})
				}
			}
			x.edits = append(x.edits, job.Add("vents", name, fields...))
			x.cost = plus(x.cost, cost)
		}
		x.do = func(after result) string {
			s := "take a " + ventSize(after, names[0]) + "relief vent off " + run.Name
			for k, at := range places {
				if k > 0 {
					s += ", and another"
				}
				s += " at " + at
			}
			return s + " of it, " + words
		}
		c = append(c, x)
	}
	for _, p := range places {
		add([]string{p}, "relief-vent")
	}
	if len(places) == 2 {
		add(places, "relief-vents")
	}
	return c
}

// reliefOfOffset are the places just above and just below each offset of a stack.
func (w *work) reliefOfOffset(id network.RunID) (out []choice) {
	const near = 6 * unit.Inch
	for k, s := range w.r.Net.Runs[id].Segs {
		seg := &w.r.Net.Segs[s]
		if k == 0 || seg.Lie == network.Upright && seg.Way.Plumb == 0 || !seg.LengthKnown {
			continue
		}
		places := []string{w.number(seg.To + near)}
		if seg.From > near {
			places = append([]string{w.number(seg.From - near)}, places...)
		}
		out = append(out, w.relief(id, places))
	}
	return out
}

// reliefBetween are the places where other drains join a stack, each a foot below.
func (w *work) reliefBetween(id network.RunID) []choice {
	var c choice
	for i := range w.r.Net.Runs {
		r := &w.r.Net.Runs[i]
		if p := &r.Def.Place; r.Receiver == id && p.Kind == job.AtLength && len(c) < 12 {
			c = append(c, w.relief(id, []string{w.number(p.Len + unit.Foot)})...)
		}
	}
	return []choice{c}
}

// pastLast is a place on a run downstream of everything that joins it.
func (w *work) pastLast(id network.RunID) string {
	last := unit.Length(-1)
	for i := range w.r.Net.Runs {
		r := &w.r.Net.Runs[i]
		if p := &r.Def.Place; r.Receiver == id && p.Kind == job.AtLength {
			last = max(last, p.Len)
		}
	}
	if l, known := lengthOf(w.r, id); last < 0 || !known || last+unit.Foot >= l {
		return "lower end"
	}
	return w.number(last + unit.Foot)
}

// ventStack gives a stack a vent stack that leaves the drain at its foot.
func (w *work) ventStack(id network.RunID) choice {
	run := &w.r.Net.Runs[id]
	if run.Receiver < 0 {
		return nil
	}
	recv := w.r.Net.Runs[run.Receiver].Name
	name := w.free(run.Name + " vent stack")
	var c choice
	put := func(from, at string) {
		c = append(c, way{
			id: "vent-stack/" + run.Name, cost: Cost{Pipe: 4 * storey, Fittings: 4, Roof: 1, Walls: 4, About: true}, care: careRoof,
			edits: []job.Edit{job.Add("vents", name, job.Field{Key: "from", Value: from}, job.Field{Key: "at", Value: at}, job.Field{Key: "role", Value: "vent stack"}, job.Field{Key: "legs", List: []string{"up"}}, job.Field{Key: "ends", Value: "through roof"})},
			do: func(after result) string {
				return "run a " + ventSize(after, name) + "vent stack from the foot of " + run.Name + " up beside it and through the roof, and let the branch vents end in it"
			},
		})
	}
	put(run.Name, "lower end")
	if p := &run.Def.Place; p.Kind == job.AtLength {
		put(recv, w.number(p.Len+unit.Foot))
	}
	return c
}

// footOfVentStack lets a vent stack begin where the book lets it: nearer to the base of its
// stack, or at the lower end of the stack itself.
func (w *work) footOfVentStack(f *diag.Diagnostic, v network.VentID) choice {
	x := &w.r.Net.Vents[v]
	var c choice
	cost := Cost{Pipe: 2 * unit.Foot, Fittings: 3, Walls: 1, About: true}
	got, err := unit.ParseLength(f.Got)
	limit, bad := unit.ParseLength(f.Limit)
	if p := &x.Def.Place; err == nil && bad == nil && p.Kind == job.AtLength && p.Len+limit-got >= 0 {
		at := p.Len + limit - got
		c = append(c, way{id: "lower-foot/" + x.Name, edits: []job.Edit{job.Set(w.number(at), "vents", x.Name, "at")}, cost: cost, do: plain("let " + x.Name + " leave the drain " + w.say(limit) + " or less past the base of the stack")})
	}
	return append(c, w.lowerFoot(v)...)
}

// asDrain lays what an island's vents have under the floor like a drain.
func (w *work) asDrain(f *diag.Diagnostic, v network.VentID) choice {
	x := &w.r.Net.Vents[v]
	if s, err := slopeLimit(f.Limit); err == nil {
		return set("vent-slope", "lay the level part of "+x.Name+" at "+w.sayFall(s)+", as a drain of its size", 0, w.sayFall(s), "vents", x.Name, "slope")
	}
	if len(x.Def.Turns) == 0 {
		return nil
	}
	var list []string
	for _, t := range x.Def.Turns {
		if t.Text == "vent 90" {
			list = append(list, "long sweep 90")
		} else {
			list = append(list, t.Text)
		}
	}
	e := job.SetList(list, "vents", x.Name, "turn")
	if len(list) == 1 {
		e = job.Set(list[0], "vents", x.Name, "turn")
	}
	return choice{{id: "turn/" + x.Name, edits: []job.Edit{e}, cost: Cost{Fittings: 1}, do: plain("turn " + x.Name + " through drainage bends under the flood rim")}}
}

// furtherDown lets a run join further from the foot of a stack.
func (w *work) furtherDown(f *diag.Diagnostic, id network.RunID) choice {
	n := w.r.Net
	run := &n.Runs[id]
	got, err := unit.ParseLength(f.Got)
	limit, bad := unit.ParseLength(f.Limit)
	at := n.Segs[run.Segs[len(run.Segs)-1]].Down
	if err != nil || bad != nil || at == network.None || !n.Segs[at].LengthKnown || n.Segs[at].Run != run.Receiver {
		return nil
	}
	place, side := n.Segs[at].From+limit-got, "from"
	if n.Segs[at].Lie == network.Upright {
		place, side = n.Segs[at].From-limit+got, "above"
	}
	if place < 0 {
		return nil
	}
	return choice{{
		id: "join-further/" + run.Name, edits: []job.Edit{job.Set(w.number(place), "runs", run.Name, "at")}, cost: Cost{Pipe: limit - got, Fittings: 1, About: true},
		do: plain("let " + run.Name + " join " + n.Runs[run.Receiver].Name + " " + w.say(limit) + " or more " + side + " the foot of the stack"),
	}}
}
