package propose

import (
	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// Here are the ways for vents that come down again, end shut, or leave at the wrong place.

// footVent gives the loop of an island a foot vent off the drain that it comes down to: the
// one that is there and ends shut goes on through the roof, else a new one leaves.
func (w *work) footVent(v network.VentID) (out []choice) {
	n := w.r.Net
	x := &n.Vents[v]
	if x.End != network.JoinsRun || x.IntoRun == network.None {
		return nil
	}
	drain := &n.Runs[n.Segs[x.IntoRun].Run]
	for i := range n.Vents {
		o := &n.Vents[i]
		for _, t := range o.Takes {
			if network.VentID(i) != v && n.Runs[t.Run].Name == drain.Name && o.End == network.Capped {
				out = append(out, w.opened(network.VentID(i)))
			}
		}
	}
	serves := w.r.Vents.Size[v].Serves
	if len(serves) == 0 {
		for _, t := range x.Takes {
			if f := n.Runs[t.Run].Fixture; f != network.None {
				serves = append(serves, f)
			}
		}
	}
	if len(serves) == 0 {
		return out
	}
	name := w.free(x.Name + " foot vent")
	places := []string{"lower end"}
	if p := &x.Def.Into; p.Kind == job.AtLength {
		places = append([]string{w.number(p.Len + unit.Foot)}, places...)
	}
	for _, e := range w.wallEndings(serves[:1]) {
		if e.valves > 0 {
			continue
		}
		var c choice
		for _, p := range places {
			c = append(c, way{
				id: "foot-vent " + e.id + "/" + x.Name, edits: e.vent(name, drain.Name, p), cost: e.cost(), care: e.care,
				do: plain("take a foot vent off " + drain.Name + " just downstream of where " + x.Name + " comes down, in a wall, " + e.words),
			})
		}
		out = append(out, c)
	}
	return out
}

// higherLoop runs the loop of an island up to where the book asks it, in whole inches, and
// down by as much more.
func (w *work) higherLoop(f *diag.Diagnostic, v network.VentID) choice {
	x := &w.r.Net.Vents[v]
	got, err := measureOf(f.Got)
	limit, bad := measureOf(f.Limit)
	if err != nil || bad != nil || limit <= got {
		return w.risingLoop(v)
	}
	more := (limit - got + unit.Inch - 1) / unit.Inch * unit.Inch
	var legs []string
	up, down := false, false
	for i := range x.Def.Legs {
		l := x.Def.Legs[i]
		if l.Length.Set && l.Way.Plumb == 0 && (l.Way.Up && !up || l.Way.Down && !down) {
			up, down = up || l.Way.Up, down || l.Way.Down
			l.Length.V += more
		}
		word := w.leg(l)
		if word == "" {
			return nil
		}
		legs = append(legs, word)
	}
	if !up {
		return nil
	}
	return choice{{
		id: "higher-loop/" + x.Name, edits: anew([]job.Edit{job.SetList(legs, "vents", x.Name, "legs")}, "vents", x.Name, x.Def.State), cost: Cost{Pipe: 2 * more},
		do: plain("run the loop " + x.Name + " " + w.say(more) + " higher before it comes down, if the counter leaves that room"),
	}}
}

// risingLoop lets a loop that does not rise at all go up first, as far over the rim of its
// sink as the book asks, and come down by so much more.
func (w *work) risingLoop(v network.VentID) choice {
	x := &w.r.Net.Vents[v]
	serves := w.r.Vents.Size[v].Serves
	p := w.param("island.rise")
	if !given(p) {
		return nil
	}
	rise := p.Length
	if len(serves) > 0 {
		rise += w.toRim(serves[0])
	}
	rise = w.stepUp(rise)
	legs := []string{"up " + w.number(rise)}
	down := false
	for _, l := range x.Def.Legs {
		if l.Way.Up {
			return nil
		}
		if l.Way.Down && l.Way.Plumb == 0 && l.Length.Set && !down {
			down = true
			l.Length.V += rise
		}
		word := w.leg(l)
		if word == "" {
			return nil
		}
		legs = append(legs, word)
	}
	return choice{{
		id: "higher-loop/" + x.Name, edits: anew([]job.Edit{job.SetList(legs, "vents", x.Name, "legs")}, "vents", x.Name, x.Def.State), cost: Cost{Pipe: 2 * rise, Fittings: 2},
		do: plain("let the loop " + x.Name + " rise " + w.say(rise) + " first, as high under the counter as it goes, and come down from there"),
	}}
}

// opened lets a capped vent go on up through the roof.
func (w *work) opened(v network.VentID) choice {
	x := &w.r.Net.Vents[v]
	rise := storey + toAttic
	if t := w.r.Vents.Size[v].Serves; len(t) > 0 {
		rise, _ = w.toRoof(t[0])
	}
	rise = max(2*unit.Foot, rise-x.Length)
	up := way{
		id: "open-vent/" + x.Name, edits: []job.Edit{job.Set("through roof", "vents", x.Name, "ends")}, cost: Cost{Pipe: rise, Fittings: 2, Roof: 1, About: true}, care: careRoof,
		do: func(after result) string {
			return "take the cap off " + x.Name + " and run it on up through the roof, " + ventSize(after, x.Name) + "all the way"
		},
	}
	if len(x.Def.Legs) == 0 {
		return choice{up}
	}
	// Its last leg may go up already: then the end alone is another one.
	longer := up
	longer.edits = append([]job.Edit{job.Append("up", "vents", x.Name, "legs")}, up.edits...)
	return choice{longer, up}
}

// notByLoop takes a loop away from a fixture that may not have one, and gives each of its
// traps a vent of its own.
func (w *work) notByLoop(v network.VentID) (out []choice) {
	n := w.r.Net
	x := &n.Vents[v]
	traps := w.r.Vents.Size[v].Serves
	if len(traps) == 0 || len(traps) > 3 {
		return nil
	}
	off := []job.Edit{job.Remove("vents", x.Name)}
	for _, f := range traps {
		if fx, run := w.fixture(f); fx.Def.Island.V {
			off = append(off, job.Remove("runs", run.Name, "island"))
		}
	}
	for _, e := range w.wallEndings(traps) {
		c := w.own(traps, e)
		for k := range c {
			c[k].id = "no-loop " + c[k].id
			c[k].edits = append(off[:len(off):len(off)], c[k].edits...)
			c[k].cost.Moves++
			c[k].do = prefixed("take the loop "+x.Name+" away, set the fixture by a wall, and ", c[k].do)
		}
		out = append(out, c)
	}
	return out
}

// basinVent takes a vent off the basin of a pump.
func (w *work) basinVent(id network.RunID) choice {
	run := &w.r.Net.Runs[id]
	name := w.free(run.Name + " basin vent")
	return choice{{
		id:    "basin-vent/" + run.Name,
		edits: []job.Edit{job.Add("vents", name, job.Field{Key: "from", Value: run.Name}, job.Field{Key: "legs", List: []string{"up"}}, job.Field{Key: "ends", Value: "through roof"})},
		cost:  Cost{Pipe: 2 * storey, Fittings: 3, Roof: 1, Walls: 2, About: true}, care: careRoof,
		do: func(after result) string {
			return "run a " + ventSize(after, name) + "vent from the basin of " + run.Name + " up through the roof"
		},
	}}
}

// lowerFoot lets the main vent leave the drain below the last branch that joins it.
func (w *work) lowerFoot(v network.VentID) choice {
	n := w.r.Net
	x := &n.Vents[v]
	if len(x.Takes) != 1 {
		return nil
	}
	var c choice
	for k, id := range routeOf(n, x.Takes[0].Run) {
		run := &n.Runs[id]
		edits := []job.Edit{job.Set("lower end", "vents", x.Name, "at")}
		if k > 0 {
			edits = append([]job.Edit{job.Set(run.Name, "vents", x.Name, "from")}, edits...)
		}
		c = append(c, way{
			id: "lower-foot/" + x.Name, edits: edits, cost: Cost{Pipe: 6 * unit.Foot, Fittings: 3, Walls: 1, About: true},
			do: plain("let " + x.Name + " leave " + run.Name + " at its lower end, below the last branch"),
		})
	}
	return c
}

// withoutDip takes the pieces that go down out of a vent's way.
func (w *work) withoutDip(v network.VentID) choice {
	x := &w.r.Net.Vents[v]
	var legs []string
	dips := 0
	for _, l := range x.Def.Legs {
		if l.Way.Down {
			dips++
			continue
		}
		word := w.leg(l)
		if word == "" {
			return nil
		}
		legs = append(legs, word)
	}
	if dips == 0 || len(legs) == 0 {
		return nil
	}
	edits := []job.Edit{job.SetList(legs, "vents", x.Name, "legs")}
	if !x.Def.Slope.V.Given() || x.Def.Slope.V.Fall <= 0 {
		edits = append(edits, job.Set(w.slope(), "vents", x.Name, "slope"))
	}
	return choice{{
		id: "no-dip/" + x.Name, edits: edits, cost: Cost{Fittings: 2, Walls: 1, About: true},
		do: plain("run " + x.Name + " without the drop on its way: up and across only, every level part falling back to the drain"),
	}}
}

// fromBeneath moves a vent's end out from under an opening.
func (w *work) fromBeneath(v network.VentID) (out []choice) {
	x := &w.r.Net.Vents[v]
	t := &x.Def.Terminal
	if !t.BelowOpening.Set {
		return nil
	}
	off := job.Remove("vents", x.Name, "terminal", "below opening")
	cost := Cost{Pipe: 6 * unit.Foot, Fittings: 3, Roof: 1, About: true}
	if p := w.param("terminal.opening-across"); given(p) {
		out = append(out, choice{{
			id: "terminal-away/" + x.Name, edits: []job.Edit{off, job.Set(w.number(w.least(p.Length)), "vents", x.Name, "terminal", "from opening")}, cost: cost, care: careRoof,
			do: plain("move the end of " + x.Name + " out from under the opening, until it is " + w.say(w.least(p.Length)) + " from it"),
		}})
	}
	if p := w.param("terminal.opening-above"); given(p) {
		out = append(out, choice{{
			id: "terminal-over/" + x.Name, edits: []job.Edit{off, job.Set(w.number(w.least(p.Length)), "vents", x.Name, "terminal", "above opening")}, cost: cost, care: careRoof,
			do: plain("run " + x.Name + " up until it ends " + w.say(w.least(p.Length)) + " above the opening"),
		}})
	}
	return out
}
