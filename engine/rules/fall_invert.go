package rules

import (
	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/elevation"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

var invertConflict = &check.Rule{
	ID: "invert-conflict", Family: "fall", Clause: "invert-chain",
	Doc: "every pipe arrives at or above what it joins, down to the sewer, and every fixture is still served",
	Why: "water does not run up: a line that arrives too low backs up to its first joint",
	Try: "lower the sewer's connection, flatten what may be flatter, shorten the way, or pump",
	Run: func(p *check.Pass) {
		n := p.Net
		for i := range n.Runs {
			run, f := &n.Runs[i], &p.Levels.Run[i]
			if len(run.Segs) == 0 || gone(run) {
				continue
			}
			on := p.OnRun(network.RunID(i), run.Segs[len(run.Segs)-1])
			if f.SpareKnown {
				p.Looked(1)
				if f.Spare < 0 {
					to := "what it joins"
					if run.Receiver != network.None {
						to = n.Runs[run.Receiver].Name
					} else {
						to = "the " + outletName(p)
					}
					at := run.Def.InvUp.At
					if run.Def.InvLow.Set {
						at = run.Def.InvLow.At
					}
					p.Fault(on, at, check.Say{
						Message: run.Name + " arrives " + (-f.Spare).Small(p.Job.Units) + " below " + to, Got: "short by " + (-f.Spare).Small(p.Job.Units), Limit: "0 in",
						Try: flatter(p, run.Segs[0], network.RunID(i), -f.Spare),
					})
				}
			}
			if f.Arrive.Known && len(run.Segs) > 0 {
				if up := p.Levels.InvertUp[run.Segs[0]]; up.Known && run.Def.InvUp.Set && up.V < f.Arrive.V && !pumped(p, run) {
					p.Fault(on, run.Def.InvUp.At, check.Say{
						Message: run.Name + " begins " + (f.Arrive.V - up.V).Small(p.Job.Units) + " lower than it ends", Got: up.V.In(p.Job.Units), Limit: f.Arrive.V.In(p.Job.Units),
					})
				}
			}
		}
		for i := range n.Fixtures {
			x, v := &n.Fixtures[i], &p.Levels.Serve[i]
			if !v.SpareKnown || gone(&n.Runs[x.Run]) {
				continue
			}
			p.Looked(1)
			if v.Spare >= 0 {
				continue
			}
			what := "the floor"
			if where := n.Runs[x.Run].Def.Where.Text; x.Level >= 0 && (where == "under slab" || n.Job.Levels[x.Level].Under.Text == "slab") {
				what = "the underside of the slab"
			}
			met := "the trap of " + n.Runs[x.Run].Name + " (" + x.Kind.Name + ")"
			if x.Kind.Has("water closet") {
				met = "the closet flange of " + n.Runs[x.Run].Name
			}
			msg := (-v.Spare).Small(p.Job.Units) + " short at " + met + ": to reach it with the fall that it needs, the pipe would rise above " + what
			if !v.Upper.Known {
				msg = (-v.Spare).Small(p.Job.Units) + " short at " + met + " even with the flattest slopes: the pipe would rise above " + what
			}
			p.Fault(p.OnFixture(network.FixID(i)), n.Runs[x.Run].Def.At, check.Say{Message: msg, Got: "short by " + (-v.Spare).Small(p.Job.Units), Limit: "0 in", Try: flatter(p, x.Seg, network.None, -v.Spare)})
		}
		askInvert(p)
	},
}

// flatter says which run, laid flatter than the job says but no flatter than the book
// permits, wins back what is short between a segment and the outlet (or the lower end of
// one run): the shortest that does. Where none does alone, how much is won in all and what is
// still missing.
func flatter(p *check.Pass, from network.SegID, only network.RunID, short unit.Length) string {
	n := p.Net
	best := network.RunID(network.None)
	var with elevation.Relay
	var all unit.Length
	for s, next := from, network.SegID(network.None); s != network.None; s = next {
		id := n.Segs[s].Run
		if only != network.None && id != only {
			break
		}
		// A run is asked once, where the way comes into it.
		segs := n.Runs[id].Segs
		next = n.Segs[segs[len(segs)-1]].Down
		if existing(&n.Runs[id]) {
			continue
		}
		r, ok := p.Levels.Flatter(n, s, short, p.Job.Units)
		if !ok {
			continue
		}
		all += r.Most
		if r.Slope.Given() && (best == network.None || r.Level < with.Level) {
			best, with = id, r
		}
	}
	switch {
	case best != network.None && with.Slope.Cmp(with.Flattest) == 0:
		return "lay " + n.Runs[best].Name + " at " + with.Slope.AllIn(p.Job.Units) + ", the flattest that the book permits: that wins back what is short"
	case best != network.None:
		return "lay " + n.Runs[best].Name + " at " + with.Slope.AllIn(p.Job.Units) + " or flatter, down to " + with.Flattest.In(p.Job.Units) + ": that wins back what is short"
	case all >= short:
		return "lay every run on the way nearer to the flattest that the book permits; together that wins " + all.Small(p.Job.Units)
	}
	return "even at the flattest slopes that the book permits " + (short - all).Small(p.Job.Units) + " are missing: lower what it joins, take a shorter way, or pump"
}

// pumped: a pump pushes through the run, so it may climb.
func pumped(p *check.Pass, run *network.Run) bool {
	return len(run.Segs) > 0 && p.Net.Segs[run.Segs[0]].Role == network.PumpDischarge
}

// outletName is the point of disposal in the job's words.
func outletName(p *check.Pass) string {
	if w := p.Job.Outlet.To.Text; w != "" {
		return w
	}
	return "outlet"
}

// askInvert asks for the height of the sewer once, with the answer from above where there
// is one.
func askInvert(p *check.Pass) {
	o := &p.Levels.Outlet
	if o.Invert.Known {
		return
	}
	to := outletName(p)
	msg := "the invert of the " + to + " is not given, so it cannot be told whether there is fall enough"
	if o.AtOrBelow.Known {
		at := "at or below"
		if o.Loose {
			at = "below"
		}
		msg = "the invert of the " + to + " is not given; it must be " + at + " " + o.AtOrBelow.V.In(p.Job.Units) + " to serve " + p.Net.Runs[o.Binds].Name
	}
	p.Unchecked(network2outlet(p), p.Job.Outlet.At, check.Say{
		Message: msg, Ask: "at what elevation (depth below the datum) is the invert of the " + to + " where the line taps in? write `outlet: {invert: -6'}`",
	})
}

var coverConflict = &check.Rule{
	ID: "cover-conflict", Family: "fall",
	Doc: "pipe under ground lies under the slab, and as deep as the authority and the frost ask",
	Why: "pipe in a slab breaks with it, and pipe in frozen ground freezes",
	Try: "lower the pipe and what it joins, until {what is asked} of earth lies over it",
	Run: func(p *check.Pass) {
		n := p.Net
		least := p.Param("sewer.cover")
		asked, slab := false, false
		for i := range n.Runs {
			run := &n.Runs[i]
			if len(run.Segs) == 0 || gone(run) || existing(run) || pumped(p, run) {
				continue
			}
			// What lies above a drop of the run stands in a wall, not in the ground.
			for _, s := range belowDrops(p, run) {
				seg := &n.Segs[s]
				if !seg.UnderGround {
					continue
				}
				where := run.Def.Where.Text
				if where == "" && seg.Role != network.BuildingSewer {
					where = "under slab" // with the pipe under the slab that it joins
				}
				top, end, ok := highest(p, s)
				k := elevation.LevelOf(n, seg.Run)
				// At the outlet the ground may be given where the level's is not.
				last := seg.Down == network.None && n.Job.Outlet.Grade.Set && p.Levels.CentreLow[s].Known
				if last && (k < 0 || !n.Job.Levels[k].Grade.Set && where != "under slab") {
					top, end, ok = p.Levels.CentreLow[s].V+outside(p, s)/2, "lower end", true
				}
				lv := &job.Level{}
				switch {
				case !ok || k < 0 && end != "lower end":
					continue
				case k >= 0:
					lv = &n.Job.Levels[k]
				case !last:
					continue
				}
				on := p.OnRun(seg.Run, s)
				if where == "under slab" {
					switch {
					case !lv.Floor.Set:
					case lv.Slab.Set:
						p.Looked(1)
						if under := lv.Floor.V - lv.Slab.V; top > under {
							if shortOf(p, run) > 0 {
								break // it is said as what is short at its fixture
							}
							if over := top - lv.Floor.V; over > 0 {
								p.Fault(on, run.Def.At, check.Say{
									Try:     flatter(p, s, network.None, top-under),
									Message: run.Name + ", which lies under the slab of " + lv.Name + ", comes " + over.Small(p.Job.Units) + " over its floor at its " + end,
									Got:     (top - under).Small(p.Job.Units), Limit: "0 in",
								})
								break
							}
							p.Fault(on, run.Def.At, check.Say{
								Try:     flatter(p, s, network.None, top-under),
								Message: run.Name + " comes " + (top - under).Small(p.Job.Units) + " into the slab of " + lv.Name + " at its " + end,
								Got:     (top - under).Small(p.Job.Units), Limit: "0 in",
							})
						}
					case !slab:
						slab = true
						p.Unchecked(on, run.Def.At, check.Say{Message: run.Name + ": the slab of " + lv.Name + " has no thickness, so the room under it is not known", Ask: "how thick is the slab of " + lv.Name + "?"})
					}
					break
				}
				ground, ok := lv.Grade.V, lv.Grade.Set
				if seg.Down == network.None && n.Job.Outlet.Grade.Set && end == "lower end" {
					ground, ok = n.Job.Outlet.Grade.V, true
				}
				if !ok {
					continue
				}
				cover := ground - top
				p.Looked(1)
				sewer := seg.Role == network.BuildingSewer
				switch frost := n.Job.Climate.Frost; {
				case cover < 0:
					p.Fault(on, run.Def.At, check.Say{Try: flatter(p, s, network.None, -cover), Message: run.Name + " comes " + (-cover).Small(p.Job.Units) + " out of the ground at its " + end, Got: cover.Small(p.Job.Units), Limit: "0 in"})
				case sewer && least.State == codebook.Given && least.Length > 0 && cover < least.Length:
					p.Fault(on, run.Def.At, check.Say{Try: flatter(p, s, network.None, least.Length-cover), Message: run.Name + " has " + cover.Small(p.Job.Units) + " of cover at its " + end + "; " + least.Length.In(p.Job.Units) + " is the least", Got: cover.Small(p.Job.Units), Limit: least.Length.Small(p.Job.Units), Cite: least.Cite})
				case frost.Set && cover < frost.V:
					p.Warn(on, run.Def.At, check.Say{Message: run.Name + " has " + cover.Small(p.Job.Units) + " of cover at its " + end + ", and frost goes down to " + frost.V.Small(p.Job.Units), Got: cover.Small(p.Job.Units), Limit: frost.V.Small(p.Job.Units), Cite: clause(p, "freezing")})
				case sewer && !frost.Set && least.State == codebook.Given && least.Length == 0 && !asked:
					asked = true
					p.Unchecked(on, run.Def.At, check.Say{
						Message: run.Name + " has " + cover.Small(p.Job.Units) + " of cover at its " + end + "; how much it needs is local", Cite: least.Cite,
						Ask: "what cover over a sewer does the authority ask, and how deep does frost go? write `climate: {frost: 30\"}`",
					})
				}
				break
			}
		}
	},
}

// shortOf is what is short at the fixture of a run.
func shortOf(p *check.Pass, run *network.Run) unit.Length {
	f := run.Fixture
	if f == network.None || !p.Levels.Serve[f].SpareKnown {
		return 0
	}
	return max(0, -p.Levels.Serve[f].Spare)
}

// belowDrops are the pieces of a run downstream of its last drop.
func belowDrops(p *check.Pass, run *network.Run) []network.SegID {
	for i := len(run.Segs) - 1; i >= 0; i-- {
		if p.Net.Segs[run.Segs[i]].Lie == network.Upright {
			return run.Segs[i+1:]
		}
	}
	return run.Segs
}

// highest is the outside top of a segment at its higher end under the ground: the upper
// end, or the lower one when that is where the ground is given.
func highest(p *check.Pass, s network.SegID) (top unit.Length, end string, ok bool) {
	h := p.Levels.CentreUp[s]
	end = "upper end"
	if !h.Known {
		h, end = p.Levels.CentreLow[s], "lower end"
	}
	if !h.Known {
		return 0, "", false
	}
	return h.V + outside(p, s)/2, end, true
}
