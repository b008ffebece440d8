package rules

import (
	"slices"
	"strings"

	"trapweir/engine/check"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// flatPieces measures, for every vent, what lies level too low, and collects the vents of
// which it cannot be told.
type flatPieces struct {
	length map[network.VentID]unit.Length
	top    map[network.VentID]rim
	order  []network.VentID
	ask    open
	blind  open
	looked int
	stubs  []network.SegID // level pipe of a drain that only brings air
}

func flats(p *check.Pass, need unit.Length) *flatPieces {
	n := p.Net
	out := &flatPieces{length: map[network.VentID]unit.Length{}, top: map[network.VentID]rim{}}
	asked := map[network.VentID]bool{}
	feet := feetOfIslands(n)
	fromDrains(n, func(v network.VentID, t takeoff) {
		if isLoop(n, v) || feet[v] {
			return
		}
		out.looked++
		under := t.rise
		for _, d := range t.dry {
			seg := &n.Segs[d]
			if seg.Lie == network.Level && under < need {
				out.stubs = append(out.stubs, d)
			}
			if seg.Lie == network.Upright {
				under -= up(job.Way{Up: true, Plumb: seg.Way.Plumb}, seg.Length())
			}
		}
		path := follow(n, v, t)
		sum := map[network.VentID]unit.Length{}
		for i := range path.legs {
			l := &path.legs[i]
			if !l.flat() || l.way.Down {
				continue
			}
			d := n.Vents[l.vent].Def
			is, top := clears(p, t, l.vent, l.rise, l.exact, need)
			if d.AboveRim.Set {
				is = highEnough
				if d.AboveRim.V < need {
					is = tooLow
				}
			}
			switch {
			case is == tooLow:
				if _, ok := out.length[l.vent]; !ok {
					out.order = append(out.order, l.vent)
					out.top[l.vent] = top
				}
				sum[l.vent] += l.length
				out.length[l.vent] = max(out.length[l.vent], sum[l.vent])
			case is == cannotTell && !asked[l.vent] && n.Vents[l.vent].Def.State.Text != "existing":
				asked[l.vent] = true
				out.ask.add(n.Vents[l.vent].Name, p.OnVent(l.vent), n.Vents[l.vent].Def.At)
			}
		}
		if path.blind {
			for _, id := range path.ids {
				d := n.Vents[id].Def
				if len(d.Legs) == 0 && len(bare(d)) == 0 && !asked[id] && d.State.Text != "existing" && !d.AboveRim.Set {
					asked[id] = true
					out.blind.add(n.Vents[id].Name, p.OnVent(id), d.At)
				}
			}
		}
	})
	return out
}

// flatVent: a dry vent that lies level under the flood rim is filled by the first stoppage
// and stays closed. A vent whose first piece is level is one for certain.
var flatVent = &check.Rule{
	ID: "vent-horizontal-below-flood-rim", Family: "vents", Clause: "vent-flood-rim",
	Doc: "a dry vent rises, 45 degrees from plumb at most, until it is over the flood rim of what it serves",
	Why: "a level dry vent under the rim fills with waste at the first stoppage, is never washed, and stays closed",
	Try: "keep the vent at 45 degrees or steeper until it is over the rim, or let a lavatory drain through it as a wet vent where the book allows it",
	Run: func(p *check.Pass) {
		need := p.Param("vent.flood-rim-rise")
		if !given(need) {
			return
		}
		f := flats(p, need.Length)
		p.Looked(f.looked)
		for _, v := range f.order {
			vent := &p.Net.Vents[v]
			got := f.length[v].In(p.Job.Units)
			if f.length[v] == 0 {
				got = ""
			}
			msg := vent.Name + " lies level under the flood rim"
			if got != "" {
				msg = vent.Name + ": " + got + " of this dry vent lies level under the flood rim"
			}
			p.Fault(p.OnVent(v), vent.Def.At, check.Say{Message: msg, Got: got, Limit: need.Length.Small(p.Job.Units) + " above the flood rim", Cite: need.Cite})
		}
		for _, s := range f.stubs {
			run := p.Net.RunOf(s)
			got := ""
			if l := p.Net.Segs[s].Length(); l > 0 {
				got = l.In(p.Job.Units)
			}
			p.Fault(p.OnRun(p.Net.Segs[s].Run, s), run.Def.At, check.Say{
				Message: strings.TrimSpace(run.Name+": "+got+" of it") + " lies level between a vent and the first waste, and carries nothing: a flat vent",
				Got:     got, Limit: need.Length.Small(p.Job.Units) + " above the flood rim", Cite: need.Cite,
				Try: "let the vent leave where the first waste joins, or let a lavatory drain through this piece",
			})
		}
		f.ask.ask(p, check.Say{
			Message: "whether the level part lies above the flood rim cannot be told from the heights given",
			Ask:     "how high above the highest flood rim served does the vent first turn level? write `above rim: 6\"`, or the heights of floor and pipe",
			Limit:   need.Length.Small(p.Job.Units), Cite: need.Cite,
		})
		f.blind.ask(p, check.Say{
			Message: "how the vent runs is not given",
			Ask:     "how does the vent run from the drain on? write its `legs`: up 8', W 4' ...", Cite: need.Cite,
		})
	},
}

// ventTieIn looks at the points where vents come together, and at a vent of several traps
// that ends in a valve.
var ventTieIn = &check.Rule{
	ID: "vent-tie-in-too-low", Family: "vents", Clause: "vent-tie-in",
	Doc: "vents come together over the highest flood rim that they serve",
	Why: "under the rim a stoppage sends waste from one fixture's vent into the other's",
	Try: "join them {above the flood rim}",
	Run: func(p *check.Pass) {
		n := p.Net
		need := p.Param("vent.flood-rim-rise")
		if !given(need) {
			return
		}
		flat := flats(p, need.Length)
		var ask open
		said := map[network.VentID]bool{}
		judge := func(v network.VentID, is verdict, height unit.Length, exact bool, msg string) {
			if said[v] || flat.length[v] > 0 {
				return
			}
			said[v] = true
			p.Looked(1)
			vent := &n.Vents[v]
			switch {
			case is == tooLow:
				s := check.Say{Message: vent.Name + " " + msg, Limit: need.Length.Small(p.Job.Units) + " above the flood rim", Cite: need.Cite}
				if exact {
					s.Got = height.Small(p.Job.Units)
				}
				p.Fault(p.OnVent(v), vent.Def.At, s)
			case is == cannotTell && vent.Def.State.Text != "existing":
				ask.add(vent.Name, p.OnVent(v), vent.Def.At)
			}
		}
		fromDrains(n, func(v network.VentID, t takeoff) {
			if isLoop(n, v) {
				return
			}
			path := follow(n, v, t)
			for i, id := range path.ids {
				vent := &n.Vents[id]
				switch {
				case vent.End == network.JoinsVent && joint(n, id):
					into := vent.Into
					over := into
					if passesFloors(n, into) {
						over = id // each floor joins it over its own rims
					}
					is, _ := clears(p, t, over, path.ends[i], path.exact[i], need.Length)
					if vent.Def.AboveRim.Set {
						is = highEnough
						if vent.Def.AboveRim.V < need.Length {
							is = tooLow
						}
						judge(id, is, vent.Def.AboveRim.V, true, "joins "+n.Vents[into].Name+" "+vent.Def.AboveRim.V.Small(p.Job.Units)+" above the flood rim; "+need.Length.Small(p.Job.Units)+" is the least")
						continue
					}
					judge(id, is, path.ends[i], path.exact[i], "joins "+n.Vents[into].Name+" under the height of the flood rim and "+need.Length.Small(p.Job.Units))
				case vent.End == network.AirAdmittanceValve && several(p, t):
					rise, exact := path.ends[i], path.exact[i]
					if h, ok := valveOver(vent.Def); ok {
						rise, exact = h, true
					}
					if exact && rise < need.Length {
						judge(id, tooLow, rise, true, "serves several traps and ends "+rise.Small(p.Job.Units)+" above the drain, under their flood rims")
					}
				}
			}
		})
		ask.ask(p, check.Say{
			Message: "whether the vent joins another one above the flood rim cannot be told from the heights given",
			Ask:     "how high above the highest flood rim served do the vents come together? write `above rim: 6\"`",
			Limit:   need.Length.Small(p.Job.Units), Cite: need.Cite,
		})
	},
}

// joint: what a vent joins has air from elsewhere too, or goes on past the joint; a vent
// that only changes its name is none.
func joint(n *network.Net, v network.VentID) bool {
	into := &n.Vents[n.Vents[v].Into]
	return len(into.Feeds)+len(into.Takes) > 1 || n.Vents[v].Def.Into.Kind == job.AtLength
}

// passesFloors: a vent runs up beside a stack past the floors that join it there, as the job
// calls it a vent stack or it leaves a stack under its top.
func passesFloors(n *network.Net, v network.VentID) bool {
	x := &n.Vents[v]
	if x.Def.Role.Text != "" {
		return x.Def.Role.Text == "vent stack"
	}
	for _, k := range x.Takes {
		switch segs := n.Runs[k.Run].Segs; {
		case k.Lower && len(segs) > 0 && ofStack(n, segs[len(segs)-1]):
			return true
		case !k.Lower && k.Seg != network.None && ofStack(n, k.Seg) && slices.ContainsFunc(n.Up(k.Seg), func(u network.SegID) bool { return ofStack(n, u) }):
			return true
		}
	}
	return false
}

// several: the pipe that a vent leaves is a branch of more than one trap and no fixture's own.
func several(p *check.Pass, t takeoff) bool {
	r := &p.Net.Runs[t.Run]
	return r.Fixture == network.None && len(r.Segs) > 0 && p.Loads.Traps[r.Segs[len(r.Segs)-1]] > 1
}

func valveOver(d *job.Vent) (unit.Length, bool) {
	switch {
	case d.Valve.AboveDrain.Set && (!d.Valve.AboveArm.Set || d.Valve.AboveDrain.V <= d.Valve.AboveArm.V):
		return d.Valve.AboveDrain.V, true
	case d.Valve.AboveArm.Set:
		return d.Valve.AboveArm.V, true
	}
	return 0, false
}

// ventTakeoff: only a drain that lies level has a centre line to leave above; off an
// upright one a vent goes on at the top.
var ventTakeoff = &check.Rule{
	ID: "vent-takeoff-below-centerline", Family: "vents", Clause: "vent-takeoff",
	Doc: "a dry vent leaves a level drain above its centre line",
	Why: "at the centre line and under it the opening fills with what the drain carries",
	Try: "roll the fitting up 45 degrees, or take the vent straight off the top",
	Run: func(p *check.Pass) {
		n := p.Net
		var ask open
		fromDrains(n, func(v network.VentID, t takeoff) {
			if len(t.dry) > 0 || t.Seg == network.None || n.Segs[t.Seg].Lie == network.Upright {
				return // off dry pipe, or off the top
			}
			d := n.Vents[v].Def
			legs := d.Legs
			if len(legs) == 0 {
				legs = bare(d)
			}
			rises := len(legs) > 0 && legs[0].Way.Plumb <= 450 && !legs[0].Way.Down
			drain := n.RunOf(t.Seg).Name
			if r := n.Runs[t.Run].Name; !t.Lower {
				drain = r
			}
			switch fit := d.Fitting.Text; {
			case d.RisesFrom.Text == "above centre line", d.RisesFrom.Text == "rolled 45", fit == "wye rolled 45", fit == "combo rolled 45":
				p.Looked(1)
			case d.RisesFrom.Text == "level", fit == "wye flat", fit == "combo flat", fit == "sanitary tee flat":
				p.Looked(1)
				how := "lies flat"
				if fit != "" {
					how = "leaves by a " + fit
				}
				p.Fault(p.OnVent(v), d.At, check.Say{Message: n.Vents[v].Name + " " + how + " at the centre line of " + drain + "; it must leave above it"})
			case rises:
				p.Looked(1)
			case d.State.Text != "existing":
				ask.add(n.Vents[v].Name, p.OnVent(v), d.At)
			}
		})
		ask.ask(p, check.Say{
			Message: "whether the vent leaves its level drain above the centre line is not given",
			Ask:     "does the vent leave above the centre line of the drain? write `rises from: above centre line`, or the fitting at its take-off",
		})
	},
}

// ventBackPitch: a dead level vent does not drain. What is a flat vent is left to that rule.
var ventBackPitch = &check.Rule{
	ID: "vent-slope-back-pitch", Family: "vents", Clause: "vent-slope",
	Doc: "the level part of a vent falls back to a drain",
	Why: "water that gathers in a sag closes the vent, and freezes in it",
	Try: "give the level part a little fall back to the drain",
	Run: func(p *check.Pass) {
		n := p.Net
		flat := &flatPieces{}
		if need := p.Param("vent.flood-rim-rise"); given(need) {
			flat = flats(p, need.Length)
		}
		var ask open
		for i := range n.Vents {
			v := network.VentID(i)
			d := n.Vents[i].Def
			if flat.length[v] > 0 || isLoop(n, v) {
				continue
			}
			level, down := false, false
			for _, l := range d.Legs {
				level = level || l.Way.Plumb > 450 && !l.Way.Down
				down = down || l.Way.Down
			}
			if len(d.Legs) == 0 {
				level = d.Lies.Text == "level"
			}
			back := d.Slope.V.Given() && d.Slope.V.Fall <= 0
			switch {
			case down:
				p.Looked(1)
				p.Fault(p.OnVent(v), d.At, check.Say{Message: n.Vents[i].Name + " goes down on its way to the open air; water stays in it"})
			case !level:
			case back:
				p.Looked(1)
				p.Fault(p.OnVent(v), d.Slope.At, check.Say{Message: n.Vents[i].Name + " lies " + d.Slope.V.In(p.Job.Units) + "; its level part must fall back to the drain", Got: d.Slope.V.In(p.Job.Units)})
			case d.Slope.V.Given():
				p.Looked(1)
			case d.State.Text != "existing":
				ask.add(n.Vents[i].Name, p.OnVent(v), d.At)
			}
		}
		ask.ask(p, check.Say{
			Message: "whether the level part falls back to the drain is not given",
			Ask:     "does the level part of the vent fall back to the drain? write its `slope`",
		})
	},
}

var wasteIntoVent = &check.Rule{
	ID: "waste-into-dry-vent", Family: "vents", Clause: "waste-into-vent",
	Doc: "no fixture drains into a pipe that is meant to be dry",
	Why: "waste in a vent closes it, and pulls the traps that breathe through it",
	Try: "let it join a drain, below the traps that the vent serves",
	Run: func(p *check.Pass) {
		for i := range p.Net.Runs {
			r := &p.Net.Runs[i]
			if len(r.Segs) == 0 {
				continue
			}
			p.Looked(1)
			if v := r.IntoVent; v != network.None {
				p.Fault(p.OnRun(network.RunID(i), r.Segs[0]), r.Def.Joins.At, check.Say{Message: r.Name + " drains into " + p.Net.Vents[v].Name + ", which is a dry vent"})
			}
		}
	},
}
