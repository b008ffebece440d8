package rules

import (
	"slices"

	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/fitting"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// asLarge is the cleanout that the book asks on a pipe, in words: "a 3 in cleanout".
func asLarge(p *check.Pass, s network.SegID) string {
	if c := p.Book.Cell("cleanout-size", p.Sizes.Size[s], "size"); c.State == codebook.Given && c.Size > 0 {
		return "a " + c.Size.String() + " cleanout"
	}
	return "a cleanout"
}

// placeOn tells a place on a run: "12 ft from the upper end of main"; at its ends "at the
// upper end of main", and where lengths are missing the run alone.
func placeOn(p *check.Pass, s network.SegID, off unit.Length) string {
	seg := &p.Net.Segs[s]
	run := &p.Net.Runs[seg.Run]
	known := seg.LengthKnown
	for _, u := range run.Segs {
		if u == s {
			break
		}
		known = known && p.Net.Segs[u].LengthKnown
	}
	switch at := seg.From + off; {
	case s == run.Segs[0] && off == 0:
		return "at the upper end of " + run.Name
	case !known:
		return "on " + run.Name
	default:
		return at.In(p.Job.Units) + " from the upper end of " + run.Name
	}
}

// stackBases: where the book, or a county, asks a cleanout at the foot of every stack.
func stackBases(p *check.Pass, on map[network.SegID][]spot) {
	q := p.Param("cleanout.stack-base")
	if q.State != codebook.Given || !q.Yes || !inBook(p, "cleanout-stack-base") {
		return
	}
	within := closeBy
	if w := p.Param("cleanout.stack-base-within"); w.State == codebook.Given && w.Length > within {
		within = w.Length
	}
	n := p.Net
	said := map[network.RunID]bool{}
	for _, f := range feet(p) {
		run := n.RunOf(f.stack)
		if f.offset || existing(run) || said[n.Segs[f.stack].Run] {
			continue
		}
		p.Looked(1)
		if nodeHas(p, on, f.level) || nearUpper(on, f.level) || above(p, on, f.stack, within) {
			continue
		}
		said[n.Segs[f.stack].Run] = true
		p.Fault(p.OnRun(n.Segs[f.stack].Run, f.stack), run.Def.At, check.Say{
			Message: run.Name + " has no cleanout at its foot, where it turns into " + n.RunOf(f.level).Name, Got: "none", Limit: "one at the foot", Cite: clause(p, "cleanout-stack-base"),
			Try: "set " + asLarge(p, f.stack) + " on " + run.Name + " just above its foot, or in the line of " + n.RunOf(f.level).Name + " behind the foot",
		})
	}
}

// above: a cleanout stands on the upright pipe within a distance of its lower end.
func above(p *check.Pass, on map[network.SegID][]spot, s network.SegID, within unit.Length) bool {
	n := p.Net
	at := unit.Length(0)
	for s != network.None && n.Segs[s].Lie == network.Upright {
		seg := &n.Segs[s]
		for _, c := range on[s] {
			if !c.known || at+seg.Length()-c.off <= within {
				return true
			}
		}
		if at += seg.Length(); at > within {
			return false
		}
		next := network.SegID(network.None)
		for _, u := range n.Up(s) {
			if n.Segs[u].Lie == network.Upright && n.Segs[u].Run == seg.Run {
				next = u
			}
		}
		s = next
	}
	return false
}

var cleanoutReused = &check.Rule{
	ID: "cleanout-reused", Family: "cleanouts", Clause: "cleanout-reuse",
	Doc: "no new pipe takes the opening of an old cleanout, unless another one as good is set",
	Why: "what was the way in for the snake is then closed for good",
	Try: "join beside it through a fitting of its own, or set another cleanout as large there",
	Run: func(p *check.Pass) {
		n := p.Net
		on := cleanoutsOn(p)
		for i := range n.Runs {
			run, id := &n.Runs[i], network.RunID(i)
			if len(run.Segs) == 0 || existing(run) || run.Receiver == network.None || !existing(&n.Runs[run.Receiver]) {
				continue
			}
			last := run.Segs[len(run.Segs)-1]
			d := n.Segs[last].Down
			old := &n.Runs[run.Receiver]
			if d == network.None || len(old.Def.Clean) == 0 {
				continue
			}
			p.Looked(1)
			taken := false
			for _, c := range on[d] {
				taken = taken || c.known && c.off == 0
			}
			if !taken {
				continue
			}
			if len(run.Def.Clean) > 0 {
				continue // another one is set on the new pipe
			}
			p.Fault(p.OnRun(id, last), run.Def.Place.At, check.Say{
				Message: run.Name + " joins " + old.Name + " where its cleanout stands, and no other is set", Got: "none left", Limit: "another as large",
				Try: "set " + asLarge(p, d) + " on " + run.Name + " where it joins, or join beside the old one",
			})
		}
	},
}

var adviseTurnPairs = &check.Rule{
	ID: "advise-cleanout-turn-pairs", Family: "advice", Clause: "cleanout-turn-pairs",
	Doc: "says where two smaller bends in a row make a turn for which some officials ask a cleanout",
	Why: "the rule reads each turn by itself, and officials differ on whether two in a row are one",
	Try: "ask before the line is covered, or set a cleanout at the turn",
	Run: func(p *check.Pass) {
		limit, ok := number(p.Param("cleanout.turn"))
		if !ok {
			return
		}
		on := cleanoutsOn(p)
		turns := turnsIn(p)
		for i := range p.Net.Segs {
			s := network.SegID(i)
			for _, t := range turns[s] {
				if t.free || t.f.Count < 2 || int64(t.deg) <= limit*10 || int64(t.deg/t.f.Count) > limit*10 || existing(&p.Net.Runs[t.run]) {
					continue
				}
				p.Looked(1)
				if nodeHas(p, on, s) || len(on[s]) > 0 {
					continue
				}
				p.Note(p.OnRun(t.run, s), p.Net.Runs[t.run].Def.At, check.Say{
					Message: p.Net.Runs[t.run].Name + " turns " + degreesText(t.deg) + " in the flat by " + itoa(t.f.Count) + " bends in a row, " + placeOn(p, s, 0) + ", and no cleanout is set there", Got: degreesText(t.deg),
				})
			}
		}
	},
}

// islandCleanouts: those that the job writes on the loop of an island and on its foot vents.
var islandCleanouts = &check.Rule{
	ID: "island-cleanouts", Family: "cleanouts", Clause: "cleanout-island",
	Doc: "the vent of an island can be snaked below the rim, through cleanouts that stay within reach",
	Why: "the part of the loop below the rim clogs when the sink backs up, and no other opening reaches it",
	Try: "set cleanouts in the loop under the counter, one for each way, and one in the upright of the foot vent",
	Run: func(p *check.Pass) {
		n := p.Net
		where := p.Param("island.cleanouts")
		loops(n, func(v network.VentID, x *network.Vent) {
			if s := x.Def.State.Text; s == "existing" || s == "remove" || !given(where) {
				return
			}
			// Which vents may hold them: where the book names the foot vent, no other does.
			var counted, elsewhere []*job.Cleanout
			for i := range n.Vents {
				o := network.VentID(i)
				if o != v && !n.FootOf(v, o) {
					continue
				}
				for k := range n.Vents[i].Def.Clean {
					c := &n.Vents[i].Def.Clean[k]
					if o == v && where.Text == "foot vent" {
						elsewhere = append(elsewhere, c)
					} else {
						counted = append(counted, c)
					}
				}
			}
			on := p.OnVent(v)
			concealed := slices.IndexFunc(counted, func(c *job.Cleanout) bool { return c.Reach.Text == "concealed" })
			switch {
			case concealed >= 0:
				p.Looked(1)
				p.Fault(on, counted[concealed].At, check.Say{Message: x.Name + ": a cleanout of this island's vent is concealed", Got: "concealed", Limit: "within reach", Cite: where.Cite})
			case len(counted) == 0 && len(elsewhere) > 0:
				p.Looked(1)
				p.Fault(on, elsewhere[0].At, check.Say{Message: x.Name + ": the cleanout of this island stands in the loop; the book asks for one in the foot vent", Got: "in the loop", Limit: "in the foot vent", Cite: where.Cite})
			case len(counted) == 0:
				p.Unchecked(on, x.Def.At, check.Say{Message: x.Name + " is the loop of an island, and where its vents have cleanouts is not given", Ask: "where are the cleanouts of " + x.Name + " and of its foot vent? write `cleanouts: [2']` on the vent that has them", Cite: where.Cite})
			case where.Text == "both ways" && len(counted) == 1 && counted[0].Type.Text == "one-way":
				p.Looked(1)
				p.Fault(on, counted[0].At, check.Say{Message: x.Name + ": the one cleanout of this island's vent opens one way; it must be snaked both ways", Got: "one way", Limit: "both ways", Cite: where.Cite})
			default:
				p.Looked(1)
			}
		})
	},
}

// pumpedEntry: where a pumped line comes into level pipe.
var pumpedEntry = &check.Rule{
	ID: "pumped-entry", Family: "fittings", Clause: "pumped-entry",
	Doc: "a pumped line comes into level pipe from above through a wye, and as far from the foot of a stack as the book asks",
	Why: "the jet and the water that stands up at the foot of a stack push each other back",
	Try: "come in from the top through a wye, farther down",
	Run: func(p *check.Pass) {
		n := p.Net
		times, ok := number(p.Param("sump.discharge-from-base"))
		for i := range n.Runs {
			run, id := &n.Runs[i], network.RunID(i)
			if len(run.Segs) == 0 || existing(run) || gone(run) {
				continue
			}
			last := run.Segs[len(run.Segs)-1]
			d := n.Segs[last].Down
			if n.Segs[last].Role != network.PumpDischarge || d == network.None || n.Segs[d].Lie != network.Level || n.Segs[d].Role == network.PumpDischarge {
				continue
			}
			on := p.OnRun(id, last)
			p.Looked(1)
			switch w := run.Def.Fitting; w.Text {
			case "sanitary tee flat", "wye flat", "combo flat", "tee", "vent tee", "test tee", "side inlet":
				p.Fault(on, w.At, check.Say{Message: run.Name + ", a pumped line, comes into " + n.RunOf(d).Name + " through a " + w.Text, Got: w.Text, Limit: "wye from above"})
			}
			if !ok {
				continue
			}
			limit := unit.Length(times) * p.Sizes.Size[d].Length()
			foot, at, known := footAbove(p, d)
			switch {
			case foot == network.None || known && at >= limit:
			case !known:
				p.Unchecked(on, run.Def.Place.At, check.Say{Message: run.Name + " comes in below the foot of " + n.RunOf(foot).Name + ", and how far is not known; " + limit.Small(p.Job.Units) + " is the least", Ask: "how far from the foot of " + n.RunOf(foot).Name + ", along the pipe, does " + run.Name + " come in?"})
			default:
				p.Fault(on, run.Def.Place.At, check.Say{
					Message: run.Name + " comes in " + at.Small(p.Job.Units) + " from the foot of " + n.RunOf(foot).Name + "; " + limit.Small(p.Job.Units) + " (" + itoa(int(times)) + " diameters) is the least for a pumped line",
					Got:     at.Small(p.Job.Units), Limit: limit.Small(p.Job.Units), Try: "let " + run.Name + " come in " + limit.In(p.Job.Units) + " or more from the foot, from the top through a wye",
				})
			}
		}
	},
}

// footAbove is the foot of a stack upstream along the line that goes on into a segment, and
// how far it is from there; None where the line has none.
func footAbove(p *check.Pass, s network.SegID) (stack network.SegID, at unit.Length, known bool) {
	n := p.Net
	known = true
	for range n.Segs {
		next := network.SegID(network.None)
		for _, u := range n.Up(s) {
			seg := &n.Segs[u]
			switch {
			case seg.Role == network.Stack && seg.Lie == network.Upright && !dry(p, u):
				return u, at, known
			case seg.Lie == network.Level && seg.Role != network.PumpDischarge && (next == network.None || seg.Run == n.Segs[s].Run):
				next = u
			}
		}
		if next == network.None {
			return network.None, 0, false
		}
		at += n.Segs[next].Length()
		known = known && n.Segs[next].LengthKnown
		s = next
	}
	return network.None, 0, false
}

var notDrainage = &check.Rule{
	ID: "fitting-not-drainage", Family: "fittings", Clause: "fitting-direction",
	Doc: "what carries waste joins through a drainage pattern: no saddle, no vent tee, no straight tee",
	Why: "a saddle leaks and leaves an edge in the bore; a straight or turned tee throws the water against the flow",
	Try: "cut in a wye or a combo",
	Run: func(p *check.Pass) {
		stated(p, func(f *fitting.Fitting, run network.RunID) {
			if f.Does != fitting.Join {
				return
			}
			p.Looked(1)
			say := check.Say{Message: p.Net.Runs[run].Name + " comes in through a " + f.Word.Text, Got: f.Word.Text, Limit: "wye, combo or sanitary tee"}
			switch f.Word.Text {
			case "saddle":
				if c := clause(p, "joints-barred"); c != nil {
					say.Cite = c
				}
			case "tee", "vent tee", "test tee":
			default:
				return
			}
			p.Fault(p.OnRun(run, f.Into), f.Word.At, say)
		})
	},
}

var closetBend = &check.Rule{
	ID: "closet-bend-sizes", Family: "fittings", Clause: "closet-bend",
	Doc: "a closet bend or flange goes down a size only as the book lets it",
	Why: "a smaller outlet than the book names stops what the closet sends",
	Try: "set a bend of one size, or one of {the sizes that the book names}",
	Run: func(p *check.Pass) {
		in, out, may := p.Param("closet-flange.inlet"), p.Param("closet-flange.outlet"), p.Param("closet-flange.reduction-allowed")
		for i := range p.Net.Runs {
			run, id := &p.Net.Runs[i], network.RunID(i)
			if run.Def.Bend.Text == "" || len(run.Segs) == 0 || existing(run) || gone(run) {
				continue
			}
			a, b, ok := fitting.Bend(run.Def.Bend.Text)
			if !ok || in.State != codebook.Given || out.State != codebook.Given {
				continue
			}
			p.Looked(1)
			if a <= b && b >= out.Size || a == in.Size && b == out.Size && may.Yes {
				continue
			}
			p.Fault(p.OnRun(id, run.Segs[0]), run.Def.Bend.At, check.Say{Message: run.Name + " has a " + a.Short() + " x " + b.Short() + " bend; the one that may go down a size is " + in.Size.Short() + " x " + out.Size.Short(), Got: a.Short() + " x " + b.Short(), Limit: in.Size.Short() + " x " + out.Size.Short(), Cite: out.Cite})
		}
	},
}
