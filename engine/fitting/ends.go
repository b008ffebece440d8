package fitting

import (
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// ventSize is the size of a vent, 0 when vents were not sized.
func (p *picker) ventSize(v network.VentID) unit.Size {
	if p.vents == nil || int(v) >= len(p.vents.Size) {
		return 0
	}
	return p.vents.Size[v].Size
}

// vent names what a vent is made with: its take-offs, its turns, its end.
func (p *picker) vent(v network.VentID) {
	n := p.net
	x := &n.Vents[v]
	own := p.ventSize(v)
	start := job.Way{Up: true}
	if len(x.Def.Legs) > 0 {
		start = x.Def.Legs[0].Way
	}
	for _, t := range x.Takes {
		d := t.Seg
		at := Place{Run: t.Run, Vent: v, Seg: d, Station: t.At, Known: t.Known, Lower: t.Lower}
		f := Fitting{Does: Takeoff, At: at, Through: network.None, Into: d, In: p.sizes.Size[d], Out: p.sizes.Size[d], Branch: []unit.Size{own}, Turn: -1}
		if angle, ok := Angle(n.Segs[d].Way, start); ok {
			f.Turn = angle
		}
		switch w := x.Def.Fitting; {
		case w.Text != "":
			p.pin(&f, w)
			f.Why = "stated for " + x.Name
		case n.Segs[d].Lie == network.Upright && start.Plumb == 0:
			// The vent goes on up from the top of the drop; the fitting is the branch's.
			p.rises(v, d, own)
			continue
		case n.Segs[d].Lie == network.Upright:
			f.Kind, f.Why = "sanitary tee", x.Name+" leaves an upright"
		default:
			f.Kind, f.Why = "wye rolled 45", x.Name+" leaves level pipe over its centre line"
		}
		p.put(f)
	}
	k := 0
	for i := 1; i < len(x.Def.Legs); i++ {
		a, b := x.Def.Legs[i-1].Way, x.Def.Legs[i].Way
		angle, ok := Angle(a, b)
		if ok && angle == 0 {
			continue
		}
		f := Fitting{Does: VentTurn, At: Place{Run: network.None, Vent: v, Seg: network.None}, In: own, Out: own, Through: network.None, Into: network.None, Turn: angle, Hand: goes(a, b), Kind: "vent elbow", Why: "the vent turns"}
		switch {
		case !ok:
			f.Turn, f.Open = -1, true
		case angle <= 525:
			f.Kind = "eighth bend"
		}
		if k < len(x.Def.Turns) {
			p.pin(&f, x.Def.Turns[k])
			k++
		}
		p.put(f)
	}
	end := Fitting{Does: VentEnd, At: Place{Run: network.None, Vent: v, Seg: network.None}, In: own, Out: own, Through: network.None, Into: network.None}
	switch x.End {
	case network.AirAdmittanceValve:
		end.Kind, end.Why = "air admittance valve", "the vent ends in it"
	case network.Capped:
		end.Kind, end.Why = "cap", "the vent is capped"
	case network.JoinsVent:
		end.Does, end.Kind, end.Why = VentJoin, "vent tee", x.Name+" joins "+n.Vents[x.Into].Name
		end.Out = p.ventSize(x.Into)
		end.In, end.Branch = end.Out, []unit.Size{own}
	case network.JoinsRun:
		end.Does, end.Kind, end.Why = VentJoin, "wye", x.Name+" comes back into a drain"
		end.Into = x.IntoRun
		end.Out = p.sizes.Size[x.IntoRun]
		end.In, end.Branch = end.Out, []unit.Size{own}
	default:
		return
	}
	p.put(end)
}

// rises: where a vent goes straight up from a drop that level pipe turns into, what stands
// there is not the bend but a sanitary tee: the drain below, the vent above, the pipe at the
// side. A bend that the job states stays as it says.
func (p *picker) rises(v network.VentID, d network.SegID, own unit.Size) {
	i, ok := p.drops[d]
	if !ok {
		return
	}
	delete(p.drops, d)
	f := &p.out[i]
	f.Does, f.Kind, f.Count = Join, "sanitary tee", 1
	f.From, f.Branch, f.Through, f.In = []network.SegID{f.Through}, []unit.Size{f.In}, network.None, own
	f.Why = p.net.Vents[v].Name + " rises where " + p.net.RunOf(f.From[0]).Name + " turns down"
	if Permits(p.book, f.Kind, f.Change) == No {
		f.Kind = "combo"
	}
}

// indexTurns notes the turns that a vent may rise from.
func (p *picker) indexTurns() {
	p.drops = make(map[network.SegID]int)
	for i := len(p.out) - 1; i >= 0; i-- {
		f := &p.out[i]
		if f.Does == Turn && !f.At.Lower && f.Change == LevelToUpright && f.Through != network.None && !f.Pinned {
			p.drops[f.Into] = i
		}
	}
}

// cleanouts names the cleanouts that the job places on a run.
func (p *picker) cleanouts(r network.RunID) {
	n := p.net
	run := &n.Runs[r]
	if len(run.Segs) == 0 {
		return
	}
	for i := range run.Def.Clean {
		c := &run.Def.Clean[i]
		at := Locate(n, r, c.Place)
		f := Fitting{Does: Cleanout, At: at, Into: at.Seg, Through: network.None, In: p.sizes.Size[at.Seg], Out: p.sizes.Size[at.Seg], Pinned: true, Word: job.Word{Text: "cleanout", At: c.At}, Kind: "cleanout", Why: "stated for " + run.Name}
		if c.Type.Text != "" {
			f.Kind, f.Word = c.Type.Text+" cleanout", c.Type
		}
		f.Branch = []unit.Size{f.Out}
		if c.Size.V > 0 {
			f.Branch[0] = c.Size.V
		}
		p.put(f)
	}
}

// Locate finds a written place on a run: the segment that begins there, or the last one
// with Lower for the lower end of the run. A distance inside a segment gives that segment
// and the distance as Station. A place that was not said is the upper end.
func Locate(n *network.Net, r network.RunID, pl job.Place) Place {
	run := &n.Runs[r]
	segs := run.Segs
	first, last := segs[0], segs[len(segs)-1]
	at := func(s network.SegID, lower bool) Place {
		seg := &n.Segs[s]
		p := Place{Run: r, Vent: network.None, Seg: s, Lower: lower, Station: seg.From, Known: true}
		if lower {
			p.Station, p.Known = seg.To, seg.LengthKnown
		}
		for _, x := range segs {
			if x == s {
				break
			}
			p.Known = p.Known && n.Segs[x].LengthKnown
		}
		return p
	}
	switch pl.Kind {
	case job.LowerEnd:
		return at(last, true)
	case job.EndOfArm:
		for _, s := range segs {
			if !n.Segs[s].Arm {
				return at(s, false)
			}
		}
		return at(last, true)
	case job.TopOfDrop:
		for _, s := range segs {
			if n.Segs[s].Lie == network.Upright {
				return at(s, false)
			}
		}
	case job.FootOfDrop:
		for i := len(segs) - 1; i >= 0; i-- {
			if n.Segs[segs[i]].Lie == network.Upright {
				return at(segs[i], true)
			}
		}
	case job.AfterName:
		if x, ok := n.Find(pl.Name); ok && x.Run != network.None && n.Runs[x.Run].Receiver == r {
			from := n.Runs[x.Run].Segs
			if d := n.Segs[from[len(from)-1]].Down; d != network.None {
				p := at(d, false)
				p.Known = false
				return p
			}
		}
	case job.AtLength:
		for _, s := range segs {
			seg := &n.Segs[s]
			if pl.Len < seg.To || s == last {
				return Place{Run: r, Vent: network.None, Seg: s, Lower: s == last && pl.Len >= seg.To, Station: pl.Len, Known: true}
			}
		}
	}
	return at(first, false)
}
