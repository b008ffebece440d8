package rules

import (
	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/fitting"
	"trapweir/engine/network"
	"trapweir/engine/vent"
)

// stated visits the fittings that the job states on drains, with the run that states them.
func stated(p *check.Pass, do func(f *fitting.Fitting, run network.RunID)) {
	for i := range p.Fittings {
		f := &p.Fittings[i]
		if !f.Pinned || f.Does != fitting.Join && f.Does != fitting.Turn {
			continue
		}
		from := f.Through
		if f.Does == fitting.Join && len(f.From) > 0 {
			from = f.From[0]
		}
		if from == network.None {
			continue
		}
		run := p.Net.Segs[from].Run
		if existing(&p.Net.Runs[run]) || gone(&p.Net.Runs[run]) {
			continue
		}
		do(f, run)
	}
}

// tee reports a sanitary tee that is laid in a way that the book's table does not permit.
func tee(p *check.Pass, word string, change fitting.Change, how string) {
	stated(p, func(f *fitting.Fitting, run network.RunID) {
		plain := f.Word.Text == "sanitary tee" && f.Change == change
		if f.Word.Text != word && !plain {
			return
		}
		name := p.Net.Runs[run].Name
		on := p.OnRun(run, f.Into)
		if plain && change == fitting.LevelToLevel && ventHere(p, f, run) {
			// Where a vent rises from it the tee stands, and the drop below it is not drawn.
			p.Unchecked(on, f.Word.At, check.Say{Message: name + " comes into level pipe through a sanitary tee under a vent; the tee must stand upright, with a drop below it that is not drawn", Ask: "does the sanitary tee of " + name + " stand upright? write the drop below it as a leg: `legs: [down 1', ...]`"})
			return
		}
		switch fitting.Permits(p.Book, "sanitary tee", change) {
		case fitting.No:
			p.Looked(1)
			p.Fault(on, f.Word.At, check.Say{Message: name + " comes in through a sanitary tee " + how, Got: f.Word.Text, Limit: "wye or combo"})
		case fitting.Silent:
			p.Unchecked(on, f.Word.At, check.Say{Message: name + ": the book does not say how a sanitary tee may lie", Ask: "does the authority permit a sanitary tee " + how + "?"})
		default:
			p.Looked(1)
		}
	})
}

// ventHere: a vent leaves the pipe where a run comes in, or the run itself.
func ventHere(p *check.Pass, f *fitting.Fitting, run network.RunID) bool {
	for i := range p.Net.Vents {
		for _, t := range p.Net.Vents[i].Takes {
			if t.Run == run || t.Seg == f.Into {
				return true
			}
		}
	}
	return false
}

var santeeOnBack = &check.Rule{
	ID: "fitting-santee-on-back", Family: "fittings", Clause: "fitting-sanitary-tee",
	Doc: "no sanitary tee lies on its back: waste that drops into level pipe comes in through a wye or a combo",
	Why: "the short throat sends the water against the far wall and both ways, and solids pile up there",
	Try: "set a combo, or a wye with an eighth bend, that points with the flow",
	Run: func(p *check.Pass) {
		tee(p, "sanitary tee on its back", fitting.UprightToLevel, "on its back")
		// A dry vent may rise from such a tee, where the book does not ask drainage
		// patterns of vents.
		q := p.Param("vent.tee-on-back")
		for i := range p.Net.Vents {
			v := &p.Net.Vents[i]
			if v.Def.Fitting.Text != "sanitary tee on its back" || v.Def.State.Text == "existing" {
				continue
			}
			p.Looked(1)
			if q.State == codebook.Given && !q.Yes {
				p.Fault(p.OnVent(network.VentID(i)), v.Def.Fitting.At, check.Say{Message: v.Name + " leaves the drain through a sanitary tee on its back", Got: v.Def.Fitting.Text, Limit: "wye or combo", Cite: q.Cite})
			}
		}
		// The direction at a stated plain tee is not known.
		unknownTee(p)
	},
}

// unknownTee asks where a plain sanitary tee is stated and it is not known how the pipes
// lie.
func unknownTee(p *check.Pass) {
	stated(p, func(f *fitting.Fitting, run network.RunID) {
		if f.Word.Text != "sanitary tee" || f.Change != fitting.NoChange || f.Turn >= 0 {
			return
		}
		name := p.Net.Runs[run].Name
		p.Unchecked(p.OnRun(run, f.Into), f.Word.At, check.Say{Message: name + ": how the sanitary tee lies is not known, as the way of the pipe is not given", Ask: "does " + name + " come level into an upright, or into level pipe? write its `legs`"})
	})
}

var santeeFlat = &check.Rule{
	ID: "fitting-santee-horizontal", Family: "fittings", Clause: "fitting-direction",
	Doc: "no sanitary tee lies flat: level pipe joins level pipe through a wye or a combo",
	Why: "its short throat throws the water against the far wall, upstream as well as down",
	Try: "set a wye with an eighth bend, or a combo",
	Run: func(p *check.Pass) {
		tee(p, "sanitary tee flat", fitting.LevelToLevel, "that lies flat")
		unknownTee(p)
	},
}

var comboOnArm = &check.Rule{
	ID: "fitting-combo-on-trap-arm", Family: "fittings", Clause: "weir-level",
	Doc: "a trap arm meets the upright that vents it through a sanitary tee, not a wye or combo",
	Why: "the slope of a wye takes the vent opening below the trap weir, and the trap siphons",
	Try: "set a sanitary tee, or vent the arm before it",
	Run: func(p *check.Pass) {
		for i := range p.Fittings {
			f := &p.Fittings[i]
			if !f.Pinned || f.Does != fitting.Join || len(f.From) == 0 || p.Net.Segs[f.Into].Lie != network.Upright {
				continue
			}
			switch f.Word.Text {
			case "combo", "wye", "upright wye", "upright combo", "double wye", "double combo":
			default:
				continue
			}
			for _, u := range f.From {
				run := &p.Net.Runs[p.Net.Segs[u].Run]
				fix := onlyTrap(p, u)
				if fix == network.None || existing(run) || gone(run) {
					continue
				}
				x := &p.Net.Fixtures[fix]
				if x.Kind.Has("water closet") {
					continue // it siphons itself and fills again; books except it
				}
				vented, known := ventedBefore(p, fix, f.Into)
				on := p.OnRun(p.Net.Segs[u].Run, f.Into)
				switch lie := p.Net.Segs[u].Lie; {
				case lie == network.Upright:
					continue // it drops before it joins; that is looked at with the vents
				case lie == network.LieUnknown && !vented:
					p.Unchecked(on, f.Word.At, check.Say{Message: run.Name + " meets an upright through a " + f.Word.Text + ", and how it lies is not known", Ask: "how does " + run.Name + " come in, and how far is it from its trap? write its `arm`"})
					continue
				}
				if !known {
					p.Unchecked(on, f.Word.At, check.Say{Message: run.Name + " meets its upright through a " + f.Word.Text + ", and whether it is vented before that is not known", Ask: "is " + p.Net.Runs[x.Run].Name + " vented before it meets the upright?"})
					continue
				}
				p.Looked(1)
				if !vented {
					p.Fault(on, f.Word.At, check.Say{Message: run.Name + ", a trap arm that is not vented yet, meets the upright through a " + f.Word.Text, Got: f.Word.Text, Limit: "sanitary tee"})
				}
			}
		}
	},
}

// onlyTrap is the fixture upstream of a segment when there is exactly one and no part that
// is not drawn.
func onlyTrap(p *check.Pass, s network.SegID) network.FixID {
	for {
		seg := &p.Net.Segs[s]
		if seg.Carries || seg.Basin {
			return network.None
		}
		up := p.Net.Up(s)
		if seg.Fixture != network.None {
			if len(up) > 0 {
				return network.None
			}
			return seg.Fixture
		}
		if len(up) != 1 {
			return network.None
		}
		s = up[0]
	}
}

// ventedBefore: a vent opens into the pipe between a trap and the upper end of segment to.
func ventedBefore(p *check.Pass, f network.FixID, to network.SegID) (vented, known bool) {
	switch p.Net.Runs[p.Net.Fixtures[f].Run].Def.Vented.Text {
	case "elsewhere", "combination", "waste stack", "circuit":
		return true, true
	}
	t := &p.Vents.Trap[f]
	r := t.Reading()
	if r == nil {
		return false, t.Verdict != vent.CannotTell
	}
	for s := p.Net.Fixtures[f].Seg; s != network.None && s != to; s = p.Net.Segs[s].Down {
		if r.Open == s && r.Vent != network.None {
			return true, true
		}
	}
	return false, true
}

// shortTurn judges quarter bends and short sweeps of one change of direction.
func shortTurn(p *check.Pass, change fitting.Change, what string) {
	stated(p, func(f *fitting.Fitting, run network.RunID) {
		if f.Kind != "quarter bend" && f.Kind != "short sweep" || f.Change != change {
			return
		}
		if (f.Word.Text == "heel inlet 90" || f.Word.Text == "side inlet 90") && inBook(p, "heel-inlet-closet") {
			// A book that speaks of them permits them, except under water closets and as
			// wet vents.
			p.Looked(1)
			return
		}
		name := p.Net.Runs[run].Name
		on := p.OnRun(run, f.Through)
		ok, limit, known := shortAllowed(p, f)
		switch {
		case !known:
			p.Unchecked(on, f.Word.At, check.Say{Message: name + " turns " + what + " through a " + f.Word.Text + ", and the book does not say where that is permitted", Ask: "does the authority permit a short quarter bend " + what + "?"})
		case !ok:
			p.Looked(1)
			p.Fault(on, f.Word.At, check.Say{Message: name + " turns " + what + " through a " + f.Word.Text + limit, Got: f.Word.Text, Limit: "long sweep or two 45s"})
		default:
			p.Looked(1)
		}
	})
}

// shortAllowed reads the book's table and its conditions: the drain of one fixture up to a
// size, and for short sweeps any pipe from a size up.
func shortAllowed(p *check.Pass, f *fitting.Fitting) (ok bool, limit string, known bool) {
	switch fitting.Permits(p.Book, f.Kind, f.Change) {
	case fitting.Silent:
		return false, "", false
	case fitting.Yes:
		return true, "", true
	case fitting.No:
		return false, "", true
	}
	most := p.Param("fitting.short-turn-max")
	if most.State != codebook.Given {
		return false, "", false
	}
	size := p.Sizes.Size[f.Through]
	if p.Loads.Traps[f.Through] == 1 && size <= most.Size {
		return true, "", true
	}
	if from := p.Param("fitting.short-sweep-from"); f.Kind == "short sweep" && f.Change == fitting.UprightToLevel && from.State == codebook.Given && size >= from.Size {
		return true, "", true
	}
	return false, "; it may do so only on the drain of one fixture, up to " + most.Size.String(), true
}

var short90Foot = &check.Rule{
	ID: "fitting-short-90-vertical-to-horizontal", Family: "fittings", Clause: "fitting-quarter-bend",
	Doc: "a drop turns into level pipe through a long pattern, except where the book lets a small one-fixture drain off",
	Why: "water and solids hit the heel of a short bend and stop there, and a snake does not pass it",
	Try: "set a long sweep or two eighth bends",
	Run: func(p *check.Pass) { shortTurn(p, fitting.UprightToLevel, "from upright to level") },
}

var short90Flat = &check.Rule{
	ID: "fitting-short-90-horizontal", Family: "fittings", Clause: "fitting-quarter-bend",
	Doc: "level pipe turns in the flat through a long pattern, except where the book lets a small one-fixture drain off",
	Why: "solids lodge at a short turn in the flat",
	Try: "set a long sweep or two eighth bends",
	Run: func(p *check.Pass) { shortTurn(p, fitting.LevelToLevel, "in the flat") },
}

var adviseLongSweep = &check.Rule{
	ID: "advise-long-sweep", Family: "advice",
	Doc: "says where a short bend is legal and a long one customary",
	Why: "many authorities have never taken a short bend there, and a snake passes a long one",
	Try: "set a long sweep all the same",
	Run: func(p *check.Pass) {
		stated(p, func(f *fitting.Fitting, run network.RunID) {
			if f.Kind != "quarter bend" && f.Kind != "short sweep" || f.Change != fitting.UprightToLevel && f.Change != fitting.LevelToLevel || len(f.From) > 0 {
				return
			}
			p.Looked(1)
			if ok, _, known := shortAllowed(p, f); ok && known {
				p.Note(p.OnRun(run, f.Through), f.Word.At, check.Say{Message: p.Net.Runs[run].Name + ": the " + f.Word.Text + " is permitted here; a long sweep is customary", Got: f.Word.Text})
			}
		})
	},
}

var heelInletWet = &check.Rule{
	ID: "heel-inlet-wet", Family: "fittings", Clause: "heel-inlet-wet",
	Doc: "what comes into the low heel of a bend is not vented by the wet pipe over the bend",
	Why: "what falls down the bend closes the inlet at its foot, and no air comes through",
	Try: "vent it before the bend, or let it join farther down through a wye",
	Run: func(p *check.Pass) {
		for i := range p.Fittings {
			f := &p.Fittings[i]
			if f.Does != fitting.Turn || f.Word.Text != "heel inlet 90" || f.Change != fitting.UprightToLevel || len(f.From) == 0 {
				continue
			}
			heel := f.From[0]
			run := p.Net.RunOf(heel)
			if existing(p.Net.RunOf(f.Through)) || gone(run) {
				continue
			}
			on := p.OnRun(p.Net.Segs[heel].Run, f.Into)
			for _, x := range trapsThrough(p, heel) {
				t := &p.Vents.Trap[x]
				r := t.Reading()
				name := p.Net.Runs[p.Net.Fixtures[x].Run].Name
				switch {
				case t.Verdict == vent.NotLookedAt, r == nil && t.Verdict == vent.NotProtected:
				case r == nil:
					p.Unchecked(on, f.Word.At, check.Say{Message: name + " comes into the heel of a bend, and how it is vented is not known", Ask: "which vent serves " + name + ", and where does it leave?"})
				case r.Open == f.Into && (r.Method == vent.WetUpright || r.Method == vent.WetLevel || r.Method == vent.CommonLevels):
					p.Looked(1)
					p.Fault(on, f.Word.At, check.Say{Message: name + " comes into the heel of a bend under " + p.Net.RunOf(f.Through).Name + " and is vented by it, a " + r.Method.String(), Got: f.Word.Text, Limit: "a vent of its own, or a wye below the bend"})
				default:
					p.Looked(1)
				}
			}
		}
	},
}

// trapsThrough are the fixtures that drain through a segment.
func trapsThrough(p *check.Pass, s network.SegID) []network.FixID {
	var out []network.FixID
	upstreamOf(p.Net, s, func(u network.SegID) bool {
		if f := p.Net.Segs[u].Fixture; f != network.None {
			out = append(out, f)
		}
		return true
	})
	return out
}

var heelInletCloset = &check.Rule{
	ID: "heel-inlet-closet", Family: "fittings", Clause: "heel-inlet-closet",
	Doc: "no heel inlet bend stands under a water closet",
	Why: "what the closet sends down goes up the inlet",
	Try: "set a plain closet bend and let the other pipe join below it",
	Run: func(p *check.Pass) {
		for i := range p.Net.Runs {
			run := &p.Net.Runs[i]
			if !closetOn(p, network.RunID(i)) || len(run.Segs) == 0 || existing(run) || gone(run) {
				continue
			}
			for _, w := range run.Def.Turns {
				p.Looked(1)
				if w.Text == "heel inlet 90" {
					p.Fault(p.OnRun(network.RunID(i), run.Segs[0]), w.At, check.Say{Message: run.Name + " has a heel inlet bend under its water closet", Got: w.Text, Limit: "closet bend"})
				}
			}
		}
	},
}
