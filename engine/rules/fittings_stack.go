package rules

import (
	"slices"

	"trapweir/engine/catalog"
	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// A foot is where a stack that carries waste turns into level pipe.
type foot struct {
	stack  network.SegID // the last upright piece
	level  network.SegID // the level piece that it turns into
	offset bool          // the level piece is an offset of the stack
}

// dry: nothing that is drawn or told drains through a segment.
func dry(p *check.Pass, s network.SegID) bool { return p.Loads.Traps[s] == 0 && p.Loads.Units[s] == 0 }

func feet(p *check.Pass) []foot {
	n := p.Net
	var out []foot
	for i := range n.Segs {
		s := &n.Segs[i]
		if s.Role != network.Stack || s.Lie != network.Upright || s.Down == network.None || dry(p, network.SegID(i)) {
			continue
		}
		if d := &n.Segs[s.Down]; d.Lie == network.Level {
			out = append(out, foot{network.SegID(i), s.Down, d.Role == network.StackOffset})
		}
	}
	return out
}

// downstream visits what joins the level pipe below a foot, up to a distance: the run that
// joins, how far along the pipe from the foot, and whether that is known. It ends where
// the pipe turns upright. Drops that come down into the pipe are visited where a book
// speaks of any connection (the zone of suds); the distance in diameters is one of
// horizontal branches, and what falls in from above is none.
func downstream(p *check.Pass, f foot, within unit.Length, drops bool, do func(u network.SegID, at unit.Length, known bool)) {
	n := p.Net
	at, known := unit.Length(0), true
	for s := f.level; s != network.None && n.Segs[s].Lie != network.Upright; s = n.Segs[s].Down {
		seg := &n.Segs[s]
		d := seg.Down
		at += seg.Length()
		known = known && seg.LengthKnown
		if d == network.None || at >= within || n.Segs[d].Lie == network.Upright {
			return
		}
		for _, u := range n.Up(d) {
			if u != s && (drops || n.Segs[u].Lie != network.Upright) && n.Segs[u].Role != network.PumpDischarge {
				do(u, at, known)
			}
		}
	}
}

// upstream visits what joins the upright pipe above a foot, up to a distance from it.
func upstream(p *check.Pass, f foot, within unit.Length, do func(u network.SegID, at unit.Length, known bool)) {
	n := p.Net
	at, known := unit.Length(0), true
	for s := f.stack; s != network.None && n.Segs[s].Lie == network.Upright; {
		at += n.Segs[s].Length()
		known = known && n.Segs[s].LengthKnown
		if at >= within {
			return
		}
		next := network.SegID(network.None)
		for _, u := range n.Up(s) {
			switch {
			case n.Segs[u].Run == n.Segs[s].Run || ofStack(n, u):
				next = u
			case !dry(p, u):
				do(u, at, known)
			}
		}
		s = next
	}
}

var baseOfStack = &check.Rule{
	ID: "base-of-stack-too-close", Family: "fittings", Clause: "base-of-stack",
	Doc: "no branch joins within the book's distance, in stack diameters, downstream of the foot of a stack or of its offset",
	Why: "the water from above stands up where it turns level, and rises into what joins there",
	Try: "join farther down, past that distance",
	Run: func(p *check.Pass) {
		times, ok := number(p.Param("base-of-stack.diameters"))
		if !ok {
			return
		}
		cite := p.Param("base-of-stack.diameters").Cite
		said := map[network.RunID]bool{}
		for _, f := range feet(p) {
			size := p.Sizes.Size[f.stack]
			limit := unit.Length(times) * size.Length()
			stack := p.Net.RunOf(f.stack).Name
			downstream(p, f, limit, false, func(u network.SegID, at unit.Length, known bool) {
				run := p.Net.RunOf(u)
				id := p.Net.Segs[u].Run
				if said[id] || existing(run) {
					return
				}
				said[id] = true
				on := p.OnRun(id, u)
				if !known {
					p.Unchecked(on, run.Def.Place.At, check.Say{
						Message: run.Name + " joins below the foot of " + stack + ", and how far is not known; " + limit.Small(p.Job.Units) + " is the least",
						Ask:     "how far from the foot of " + stack + ", along the pipe, does " + run.Name + " join?", Cite: cite,
					})
					return
				}
				p.Looked(1)
				p.Fault(on, run.Def.Place.At, check.Say{
					Message: run.Name + " joins " + at.Small(p.Job.Units) + " from the foot of " + stack + "; " + limit.Small(p.Job.Units) + " (" + itoa(int(times)) + " diameters) is the least",
					Got:     at.Small(p.Job.Units), Limit: limit.Small(p.Job.Units), Cite: cite,
					Try: "let " + run.Name + " join " + limit.In(p.Job.Units) + " or more from the foot",
				})
			})
			p.Looked(1)
		}
	},
}

// A sudsJoin is a connection in the suds zone of a stack: so far from its foot, along the
// stack above it or along the pipe past it.
type sudsJoin struct {
	run      *network.Run
	id       network.RunID
	seg      network.SegID
	stack    string
	at, zone unit.Length
	known    bool
	above    bool
	off      bool // the book lets the stack off
	sure     bool // and that is known
}

// where says how far from the foot a connection is.
func (j *sudsJoin) where(p *check.Pass) string {
	if j.above {
		return j.at.In(p.Job.Units) + " above the foot of " + j.stack
	}
	return j.at.In(p.Job.Units) + " from the foot of " + j.stack
}

// suds finds what joins within the book's suds zone of stacks with sudsy fixtures, on either
// side of the foot, whichever way it comes in.
func suds(p *check.Pass, do func(j sudsJoin)) {
	zone, kinds := p.Param("suds.zone"), p.Param("suds.fixtures")
	if zone.State != codebook.Given || zone.Length <= 0 {
		return
	}
	said := map[network.RunID]bool{}
	for _, f := range feet(p) {
		if !sudsy(p, f.stack, kinds.Words) {
			continue
		}
		stack := p.Net.RunOf(f.stack).Name
		off, sure := exempt(p, f.stack)
		visit := func(above bool) func(u network.SegID, at unit.Length, known bool) {
			return func(u network.SegID, at unit.Length, known bool) {
				id := p.Net.Segs[u].Run
				if run := &p.Net.Runs[id]; !said[id] && !existing(run) {
					said[id] = true
					do(sudsJoin{run, id, u, stack, at, zone.Length, known, above, off, sure})
				}
			}
		}
		upstream(p, f, zone.Length, visit(true))
		downstream(p, f, zone.Length, true, visit(false))
		p.Looked(1)
	}
}

// sudsy: a fixture that the book names as making suds drains into the stack, drawn or told of
// a part that is not drawn.
func sudsy(p *check.Pass, s network.SegID, kinds []string) (yes bool) {
	n := p.Net
	makes := func(k *catalog.Kind) bool { return slices.ContainsFunc(kinds, k.Has) }
	upstreamOf(n, s, func(u network.SegID) bool {
		g := &n.Segs[u]
		yes = g.Fixture != network.None && makes(n.Fixtures[g.Fixture].Kind) || g.Carries && slices.ContainsFunc(n.Runs[g.Run].Carried, makes)
		return !yes
	})
	return yes
}

// exempt: the book lets one-family houses, and stacks that take fixtures of few stories, off
// the suds zone. known is false when the stories decide and are not given.
func exempt(p *check.Pass, stack network.SegID) (yes, known bool) {
	if q := p.Param("suds.exempt-one-family"); q.State == codebook.Given && q.Yes {
		if w := p.Job.Occupancy.Text; w == "" || w == "one-family" {
			return true, true
		}
	}
	under, ok := number(p.Param("suds.exempt-under-stories"))
	if !ok {
		return false, true
	}
	floors, all := storiesOn(p, stack)
	switch {
	case int64(floors) >= under:
		return false, true
	case all, p.Job.Stories.Set && int64(p.Job.Stories.V) < under:
		return true, true
	}
	return false, false
}

// storiesOn counts the floors whose fixtures drain through a segment; all is false where the
// floor of one of them is not given.
func storiesOn(p *check.Pass, s network.SegID) (floors int, all bool) {
	n := p.Net
	seen := map[int32]bool{}
	all = true
	add := func(level int32) {
		if level == network.None {
			all = false
		} else {
			seen[level] = true
		}
	}
	for i := range n.Fixtures {
		if f := &n.Fixtures[i]; passes(n, f.Seg, s) {
			add(f.Level)
		}
	}
	for i := range n.Runs {
		if r := &n.Runs[i]; r.Def.Carries.Set && len(r.Segs) > 0 && passes(n, r.Segs[0], s) {
			add(r.CarriedOn)
		}
	}
	return len(seen), all
}

var sudsZone = &check.Rule{
	ID: "suds-zone", Family: "fittings", Clause: "suds-zone",
	Doc: "nothing joins within the suds zone, above or past the foot of a stack that takes washers, sinks or tubs",
	Why: "suds fill the foot of such a stack and are pushed into whatever joins there",
	Try: "join {the length of the zone} or more from the foot",
	Run: func(p *check.Pass) {
		suds(p, func(j sudsJoin) {
			if j.off {
				return
			}
			on, where := p.OnRun(j.id, j.seg), j.run.Def.Place.At
			switch {
			case !j.sure:
				p.Unchecked(on, where, check.Say{Message: j.run.Name + " joins near the foot of " + j.stack + ", and whether the suds zone counts depends on how many stories drain into that stack", Ask: "from how many stories do fixtures drain into " + j.stack + "? write the `level` of each"})
			case !j.known:
				p.Unchecked(on, where, check.Say{Message: j.run.Name + " joins near the foot of " + j.stack + ", and how far from it is not known", Ask: "how far from the foot of " + j.stack + " does " + j.run.Name + " join?"})
			default:
				p.Fault(on, where, check.Say{Message: j.run.Name + " joins " + j.where(p) + ", in its suds zone of " + j.zone.In(p.Job.Units), Got: j.at.In(p.Job.Units), Limit: j.zone.In(p.Job.Units)})
			}
		})
	},
}

var adviseSuds = &check.Rule{
	ID: "advise-suds-zone", Family: "advice", Clause: "suds-zone",
	Doc: "says where the suds zone does not bind and distance is wise all the same",
	Why: "suds rise in small houses too",
	Try: "join farther down than the zone if there is room",
	Run: func(p *check.Pass) {
		suds(p, func(j sudsJoin) {
			if j.off && j.known {
				p.Note(p.OnRun(j.id, j.seg), j.run.Def.Place.At, check.Say{Message: j.run.Name + " joins " + j.where(p) + ", which takes suds; the book lets this building off, " + j.zone.In(p.Job.Units) + " is better", Got: j.at.In(p.Job.Units), Limit: j.zone.In(p.Job.Units)})
			}
		})
	},
}

var deadEnd = &check.Rule{
	ID: "dead-end", Family: "fittings", Clause: "dead-end",
	Doc: "no drain has a dead end longer than the book allows, but for cleanouts",
	Why: "waste stands in it and rots",
	Try: "cut the dead end back to {what the book allows}, or bring a cleanout to its end",
	Run: func(p *check.Pass) {
		most := p.Param("dead-end.max")
		if most.State != codebook.Given || most.Length <= 0 {
			return
		}
		n := p.Net
		if n.Outlet == network.None || dry(p, n.Outlet) {
			return // a job that is not begun: no end of it is deader than the rest
		}
		vents, on := ventsAt(p), cleanoutsOn(p)
		for i := range n.Segs {
			s, seg := network.SegID(i), &n.Segs[i]
			run := &n.Runs[seg.Run]
			if len(n.Up(s)) > 0 || seg.Fixture != network.None || seg.Carries || seg.Basin || seg.Lie != network.Level || existing(run) || vents[s] || nodeHas(p, on, s) {
				continue
			}
			on := p.OnRun(seg.Run, s)
			if !seg.LengthKnown {
				p.Unchecked(on, run.Def.At, check.Say{Message: run.Name + " has an end that nothing drains into, and how long it is is not known", Ask: "how long is the dead end of " + run.Name + ", or what drains into it?", Cite: most.Cite})
				continue
			}
			p.Looked(1)
			if l := seg.Length(); l > most.Length {
				p.Fault(on, run.Def.At, check.Say{Message: run.Name + " has a dead end of " + l.In(p.Job.Units) + "; " + most.Length.In(p.Job.Units) + " is the most", Got: l.In(p.Job.Units), Limit: most.Length.In(p.Job.Units), Cite: most.Cite})
			}
		}
	},
}

// ventsAt marks the segments at whose upper end a vent leaves or comes back.
func ventsAt(p *check.Pass) map[network.SegID]bool {
	out := map[network.SegID]bool{}
	for i := range p.Net.Vents {
		v := &p.Net.Vents[i]
		for _, t := range v.Takes {
			if !t.Lower {
				out[t.Seg] = true
			}
		}
		if v.End == network.JoinsRun {
			out[v.IntoRun] = true
		}
	}
	return out
}

var materialTransition = &check.Rule{
	ID: "material-transition-unshielded", Family: "fittings", Clause: "material-transition",
	Doc: "pipes of unlike material meet above ground in a shielded coupling or an adapter",
	Why: "a plain sleeve lets the pipes sag and part",
	Try: "set a listed shielded transition coupling",
	Run: func(p *check.Pass) {
		n := p.Net
		asked := false
		for i := range n.Runs {
			run := &n.Runs[i]
			if len(run.Segs) == 0 || existing(run) && run.Def.Joint.Text == "" || gone(run) {
				continue
			}
			last := run.Segs[len(run.Segs)-1]
			on := p.OnRun(network.RunID(i), last)
			switch joint := run.Def.Joint; {
			case joint.Text == "unshielded sleeve":
				p.Looked(1)
				if !n.Segs[last].UnderGround {
					p.Fault(on, joint.At, check.Say{Message: run.Name + " is joined above ground by an unshielded sleeve", Got: joint.Text, Limit: "shielded coupling"})
				}
			case joint.Text != "":
				p.Looked(1)
			case !asked && n.Segs[last].Down != network.None:
				d := n.Segs[last].Down
				a, b := material(p, last), material(p, d)
				if a != b && !n.Segs[last].UnderGround {
					asked = true
					p.Unchecked(on, run.Def.At, check.Say{Message: run.Name + " is " + a + " and " + n.RunOf(d).Name + ", which it joins, is " + b, Ask: "how are the two materials joined? write `joint: shielded coupling`"})
				}
			}
		}
		for i := range n.Vents {
			v := &n.Vents[i]
			if v.Def.Joint.Text == "" {
				continue
			}
			p.Looked(1)
			if v.Def.Joint.Text == "unshielded sleeve" {
				p.Fault(p.OnVent(network.VentID(i)), v.Def.Joint.At, check.Say{Message: v.Name + " is joined above ground by an unshielded sleeve", Got: v.Def.Joint.Text, Limit: "shielded coupling"})
			}
		}
	},
}
