package rules

import (
	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/elevation"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// cut reads the book's share for a hole or notch; ok is false where it has none.
func cut(p *check.Pass, what string) (share unit.Slope, cite *diag.Cite, state codebook.State) {
	t, ok := p.Book.Table("drill-notch")
	if !ok {
		return unit.Slope{}, nil, codebook.Absent
	}
	for i := range t.Rows {
		if t.Rows[i].Key == what && len(t.Rows[i].Cells) > 0 {
			c := &t.Rows[i].Cells[0]
			st := c.State
			if st == codebook.Given && !c.Share.Given() {
				st = codebook.Absent
			}
			return c.Share, t.Cite, st
		}
	}
	return unit.Slope{}, nil, codebook.Absent
}

// bored visits the new runs that go through a kind of member, at their first level piece.
func bored(p *check.Pass, what string, do func(run *network.Run, id network.RunID, s network.SegID, lv *job.Level)) {
	for i := range p.Net.Runs {
		run := &p.Net.Runs[i]
		if run.Def.Through.What.Text != what || len(run.Segs) == 0 || existing(run) {
			continue
		}
		s := run.Segs[0]
		for _, x := range run.Segs {
			if p.Net.Segs[x].Lie == network.Level && p.Sizes.Size[x] > p.Sizes.Size[s] {
				s = x
			}
		}
		var lv *job.Level
		if k, ok := levelOf(p, network.RunID(i)); ok {
			lv = &p.Job.Levels[k]
		}
		do(run, network.RunID(i), s, lv)
	}
}

var joistHole = &check.Rule{
	ID: "joist-hole", Family: "room", Clause: "joist-hole",
	Doc: "a pipe that is bored through joists leaves them the share of their depth that the book asks, and their edges",
	Why: "a joist that is cut too deep sags or breaks under the floor",
	Try: "run beside the joists or below them, or have an engineer frame around it",
	Run: func(p *check.Pass) {
		bored(p, "joists", func(run *network.Run, id network.RunID, s network.SegID, lv *job.Level) {
			on, at := p.OnRun(id, s), run.Def.Through.What.At
			if lv == nil || lv.Joists.Text == "" {
				p.Unchecked(on, at, check.Say{Message: run.Name + " is bored through joists, and what they are is not given", Ask: "how deep are the joists that " + run.Name + " goes through? write `joists: 2x10` at its level"})
				return
			}
			depth, ok := elevation.Depth(p.Book, lv.Joists.Text)
			if !ok {
				p.Unchecked(on, at, check.Say{Message: run.Name + " is bored through " + lv.Joists.Text + " joists; what may be cut there is for the maker or an engineer to say", Ask: "what hole does the maker's chart permit in the joists of " + lv.Name + ", and where?"})
				return
			}
			share, cite, state := cut(p, "joist hole")
			edge := p.Param("joist.hole-edge")
			if state != codebook.Given {
				p.Unchecked(on, at, check.Say{Message: run.Name + ": the book gives no share for holes in joists", Ask: "how large a hole does the authority permit in a joist?"})
				return
			}
			most := share.Drop(depth)
			if edge.State == codebook.Given {
				most = min(most, depth-2*edge.Length)
			}
			od := outside(p, s)
			p.Looked(1)
			if od > most {
				p.Fault(on, at, check.Say{
					Message: run.Name + " is " + od.Inches() + " outside; a hole in a " + lv.Joists.Text + " joist is at most " + most.Inches(),
					Got:     od.Inches(), Limit: most.Inches(), Cite: cite,
				})
				return
			}
			// The holes wander with the fall from joist to joist.
			fall, ok := boredFall(p, run, lv)
			if !ok || edge.State != codebook.Given {
				return
			}
			if room := depth - 2*edge.Length - od; fall > room {
				p.Fault(on, at, check.Say{
					Message: run.Name + " falls " + fall.Inches() + " from its first joist to its last; between the edges there is room for " + room.Inches(),
					Got:     fall.Inches(), Limit: room.Inches(), Cite: cite,
				})
			}
		})
	},
}

// boredFall is what a run falls from its first joist to its last.
func boredFall(p *check.Pass, run *network.Run, lv *job.Level) (unit.Length, bool) {
	if c := run.Def.Through.Count; c.Set && lv.Spacing.Set {
		for _, s := range run.Segs {
			if sl := p.Levels.Slope[s]; sl.Given() {
				return sl.Drop(unit.Length(c.V-1) * lv.Spacing.V), true
			}
		}
		return 0, false
	}
	return 0, run.Def.Through.Count.V == 1
}

var joistRoom = &check.Rule{
	ID: "joist-room", Family: "room",
	Doc: "level pipe in a joist bay keeps between floor and ceiling over its whole length",
	Why: "what hangs below the joists needs a lower ceiling, and is found out when the pipe is cut",
	Try: "shorten it, lay it flatter where the book permits, or drop it below the joists",
	Run: func(p *check.Pass) {
		asked := false
		for i := range p.Net.Runs {
			run := &p.Net.Runs[i]
			if run.Def.Where.Text != "joists" || run.Def.Through.What.Text == "joists" || len(run.Segs) == 0 || existing(run) {
				continue
			}
			id := network.RunID(i)
			on := p.OnRun(id, run.Segs[0])
			k, ok := levelOf(p, id)
			depth := unit.Length(0)
			if ok {
				depth, ok = elevation.Depth(p.Book, p.Job.Levels[k].Joists.Text)
			}
			if !ok {
				if !asked {
					asked = true
					p.Unchecked(on, run.Def.Where.At, check.Say{Message: run.Name + " lies in the joists, and their depth is not known", Ask: "how deep are the joists that " + run.Name + " lies in? write `joists: 2x10` at its level"})
				}
				continue
			}
			need, known := unit.Length(0), true
			for _, s := range run.Segs {
				if p.Net.Segs[s].Lie != network.Level {
					continue
				}
				need = max(need, outside(p, s))
			}
			fall := unit.Length(0)
			for _, s := range run.Segs {
				if p.Net.Segs[s].Lie == network.Level {
					known = known && p.Levels.Fall[s].Known
					fall += p.Levels.Fall[s].V
				}
			}
			if need == 0 || !known {
				continue
			}
			p.Looked(1)
			if need+fall > depth {
				p.Fault(on, run.Def.Where.At, check.Say{
					Message: run.Name + " needs " + (need + fall).Inches() + " (its outside and " + fall.Inches() + " of fall), and the joists are " + depth.Inches() + " deep",
					Got:     (need + fall).Inches(), Limit: depth.Inches(),
				})
			}
		}
	},
}

// studDepth is the depth of a level's studs.
func studDepth(p *check.Pass, lv *job.Level) (unit.Length, bool) {
	if lv == nil {
		return 0, false
	}
	return elevation.Depth(p.Book, lv.Studs.Text)
}

var studHole = &check.Rule{
	ID: "stud-hole", Family: "room", Clause: "stud-hole",
	Doc: "a pipe that is bored through studs leaves them the share that the book asks",
	Why: "a stud that is bored too wide buckles",
	Try: "run below the floor, or fur the wall out",
	Run: func(p *check.Pass) {
		bored(p, "studs", func(run *network.Run, id network.RunID, s network.SegID, lv *job.Level) {
			on, at := p.OnRun(id, s), run.Def.Through.What.At
			depth, ok := studDepth(p, lv)
			if !ok {
				p.Unchecked(on, at, check.Say{Message: run.Name + " is bored through studs, and what they are is not given", Ask: "what studs does " + run.Name + " go through? write `studs: 2x4` at its level"})
				return
			}
			free, cite, stF := cut(p, "nonbearing stud hole")
			bearing, _, stB := cut(p, "bearing stud hole")
			if stF != codebook.Given || stB != codebook.Given {
				p.Unchecked(on, at, check.Say{Message: run.Name + ": the book gives no share for holes in studs", Ask: "how large a hole does the authority permit in a stud?"})
				return
			}
			od := outside(p, s)
			p.Looked(1)
			switch {
			case od > free.Drop(depth):
				p.Fault(on, at, check.Say{Message: run.Name + " is " + od.Inches() + " outside; a hole in a " + lv.Studs.Text + " stud is at most " + free.Drop(depth).Inches(), Got: od.Inches(), Limit: free.Drop(depth).Inches(), Cite: cite})
			case od > bearing.Drop(depth):
				p.Warn(on, at, check.Say{Message: run.Name + " is " + od.Inches() + " outside; in a " + lv.Studs.Text + " stud that bears, " + bearing.Drop(depth).Inches() + " is the most unless it is doubled", Got: od.Inches(), Limit: bearing.Drop(depth).Inches(), Cite: cite})
			}
		})
	},
}

var wallRoom = &check.Rule{
	ID: "wall-room", Family: "room",
	Doc: "an upright in a wall is narrower than its studs, with room for the hubs of its fittings",
	Why: "the hubs of a 3 in stack stand out of a wall of 2x4 studs, and the board does not go on",
	Try: "build the wall of 2x6 studs, or fur it out",
	Run: func(p *check.Pass) {
		asked := false
		for i := range p.Net.Runs {
			run := &p.Net.Runs[i]
			if w := run.Def.Where.Text; w != "wall" && w != "exterior wall" || len(run.Segs) == 0 || existing(run) {
				continue
			}
			id := network.RunID(i)
			for _, s := range run.Segs {
				if p.Net.Segs[s].Lie != network.Upright {
					continue
				}
				on := p.OnRun(id, s)
				var lv *job.Level
				if k, ok := levelOf(p, id); ok {
					lv = &p.Job.Levels[k]
				}
				depth, ok := studDepth(p, lv)
				if !ok {
					if !asked {
						asked = true
						p.Unchecked(on, run.Def.Where.At, check.Say{Message: run.Name + " stands in a wall, and the depth of its studs is not known", Ask: "what studs is the wall of " + run.Name + " built of? write `studs: 2x6` at its level"})
					}
					break
				}
				od := outside(p, s)
				p.Looked(1)
				if od >= depth {
					p.Warn(on, run.Def.Where.At, check.Say{Message: run.Name + " is " + od.Inches() + " outside, and the studs are " + depth.Inches() + " deep: there is no room for its hubs", Got: od.Inches(), Limit: "under " + depth.Inches()})
					break
				}
			}
		}
	},
}

var shieldPlate = &check.Rule{
	ID: "shield-plate", Family: "advice", Clause: "shield",
	Doc: "says where bored studs need shield plates, and how many",
	Why: "a nail that goes through the pipe leaks for years behind the board",
	Try: "nail a plate over each place, past the pipe",
	Run: func(p *check.Pass) {
		edge := p.Param("shield.edge")
		if edge.State != codebook.Given {
			return
		}
		bored(p, "studs", func(run *network.Run, id network.RunID, s network.SegID, lv *job.Level) {
			depth, ok := studDepth(p, lv)
			m := material(p, s)
			if !ok || m == "cast iron" || m == "galvanized steel" {
				return
			}
			od := outside(p, s)
			p.Looked(1)
			if 2*edge.Length+od <= depth {
				return
			}
			count := ""
			if c := run.Def.Through.Count; c.Set {
				count = ", " + itoa(2*c.V) + " in all"
			}
			p.Note(p.OnRun(id, s), run.Def.Through.What.At, check.Say{
				Message: run.Name + " lies within " + edge.Length.Inches() + " of the faces of " + lv.Studs.Text + " studs: a plate on both faces of each" + count,
				Got:     ((depth - od) / 2).Round(unit.Sixtyfourth).Inches(), Limit: edge.Length.Inches(), Cite: edge.Cite,
			})
		})
	},
}

var sleeveThrough = &check.Rule{
	ID: "sleeve-through-concrete", Family: "room", Clause: "sleeve",
	Doc: "pipe through a footing, a foundation wall or the edge of a slab goes through a sleeve or is wrapped",
	Why: "concrete moves and its edge shears the pipe",
	Try: "set a sleeve two sizes larger, or wrap it; ask before a footing is cut",
	Run: func(p *check.Pass) {
		for i := range p.Net.Runs {
			run := &p.Net.Runs[i]
			w := run.Def.Through.What
			if w.Text != "footing" && w.Text != "slab edge" || len(run.Segs) == 0 || existing(run) {
				continue
			}
			s := run.Segs[len(run.Segs)-1]
			p.Looked(1)
			if f := p.Job.Outlet.Sleeve; f.Set && f.V {
				continue
			}
			say := check.Say{Message: run.Name + " goes through a " + w.Text + ", and no sleeve is noted", Got: "no sleeve", Limit: "a sleeve"}
			if up, ok := number(p.Param("sleeve.sizes-up")); ok {
				size := p.Sizes.Size[s]
				for range up {
					if next, ok := unit.NextSize(size); ok {
						size = next
					}
				}
				say.Limit = "a sleeve of " + size.String()
				say.Message += "; " + size.String() + " is " + itoa(int(up)) + " sizes up"
			}
			p.Warn(p.OnRun(network.RunID(i), s), w.At, say)
		}
	},
}
