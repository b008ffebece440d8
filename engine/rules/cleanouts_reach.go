package rules

import (
	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/fitting"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

var suggestFewerBends = &check.Rule{
	ID: "suggest-fewer-bends", Family: "advice",
	Doc: "says where the pipe of one fixture turns half round or more in a short way",
	Why: "each turn slows the flow and stops the snake",
	Try: "let the main line run straight and the others join it",
	Run: func(p *check.Pass) {
		n := p.Net
		list := turnsIn(p)
		sum := make([]int, len(n.Segs))
		way := make([]unit.Length, len(n.Segs))
		for i := range n.Segs {
			s, seg := network.SegID(i), &n.Segs[i]
			for _, u := range n.Up(s) {
				if sum[u] > sum[i] {
					sum[i], way[i] = sum[u], way[u]
				}
			}
			if seg.Lie == network.Upright {
				sum[i] = 0
				continue
			}
			was := sum[i]
			for _, t := range list[s] {
				sum[i] += t.deg
			}
			way[i] += seg.Length()
			p.Looked(1)
			if was < fullHalf && sum[i] >= fullHalf && way[i] <= shortWay && !existing(&n.Runs[seg.Run]) {
				p.Note(p.OnRun(seg.Run, s), n.Runs[seg.Run].Def.At, check.Say{Message: "the line turns " + degreesText(sum[i]) + " in the flat by the end of " + n.Runs[seg.Run].Name + ", within " + way[i].In(p.Job.Units), Got: degreesText(sum[i])})
			}
		}
	},
}

// Half a turn within this length is worth a word. Common practice.
const (
	fullHalf = 1800
	shortWay = 20 * unit.Foot
)

var cleanoutSpacing = &check.Rule{
	ID: "cleanout-spacing", Family: "cleanouts",
	Doc: "along a level line cleanouts stand no farther apart than the book allows",
	Why: "a snake reaches only so far",
	Try: "set one at each full distance",
	Run: func(p *check.Pass) {
		n := p.Net
		on := cleanoutsOn(p)
		gap := make([]unit.Length, len(n.Segs))
		known := make([]bool, len(n.Segs))
		said := map[network.RunID]bool{}
		asked := false
		limit := func(s network.SegID) (codebook.Param, *diag.Cite) {
			q, cite := p.Param("cleanout.spacing"), clause(p, "cleanout-spacing")
			if n.Segs[s].Role == network.BuildingSewer {
				q, cite = p.Param("cleanout.sewer-spacing"), clause(p, "cleanout-sewer-spacing")
			}
			// A book may grade the distance by the size of the pipe.
			if c := p.Book.Cell("cleanout-spacing", p.Sizes.Size[s], "one-way"); c.State == codebook.Given {
				q.State, q.Length = c.State, c.Length
			}
			return q, cite
		}
		// judge holds a length of pipe, which began so far over the upper end of a segment
		// and ends on it, against the book.
		judge := func(s network.SegID, l, from unit.Length) {
			q, cite := limit(s)
			if q.State != codebook.Given || q.Length <= 0 || cite == nil {
				return
			}
			p.Looked(1)
			id := n.Segs[s].Run
			if run := &n.Runs[id]; l > q.Length && !said[id] && !existing(run) {
				said[id] = true
				p.Fault(p.OnRun(id, s), run.Def.At, check.Say{Message: run.Name + ": " + l.In(p.Job.Units) + " of level pipe lie between cleanouts; " + q.Length.In(p.Job.Units) + " is the most", Got: l.In(p.Job.Units), Limit: q.Length.In(p.Job.Units), Cite: cite, Try: "set " + asLarge(p, s) + " " + spaced(p, s, q.Length-from)})
			}
		}
		for i := range n.Segs {
			s, seg := network.SegID(i), &n.Segs[i]
			run := &n.Runs[seg.Run]
			known[i] = true
			if seg.Lie == network.Upright || seg.Role == network.PumpDischarge {
				continue
			}
			at, same := unit.Length(0), false
			for _, u := range n.Up(s) {
				if n.Segs[u].Run == seg.Run {
					at, same, known[i] = gap[u], true, known[u]
				}
			}
			if !same {
				for _, u := range n.Up(s) {
					if gap[u] > at {
						at, known[i] = gap[u], known[u]
					}
				}
			}
			if nodeHas(p, on, s) {
				for _, u := range n.Up(s) {
					if gap[u] > 0 {
						judge(u, gap[u], gap[u]-n.Segs[u].Length())
					}
				}
				at, known[i] = 0, true
			}
			last := unit.Length(0)
			for _, c := range on[s] {
				if !c.known {
					known[i] = false
				}
				judge(s, at+c.off-last, at-last)
				at, last = 0, c.off
			}
			at += seg.Length() - last
			known[i] = known[i] && seg.LengthKnown
			gap[i] = at
			if seg.Down == network.None || n.Segs[seg.Down].Lie == network.Upright {
				judge(s, at, at-seg.Length())
			}
			if _, cite := limit(s); !known[i] && !asked && seg.Down == network.None && seg.Role == network.BuildingSewer && !existing(run) && cite != nil {
				asked = true
				p.Unchecked(p.OnRun(seg.Run, s), run.Def.At, check.Say{Message: run.Name + ": how far its cleanouts stand apart is not known", Ask: "how long is " + run.Name + "?", Cite: cite})
			}
		}
	},
}

// spaced tells where along a line the next cleanout is due: so far from the upper end of a
// segment, or, when that lies before it, upstream of it.
func spaced(p *check.Pass, s network.SegID, off unit.Length) string {
	switch {
	case off < 0:
		return (-off).In(p.Job.Units) + " or more above the upper end of the piece of " + p.Net.RunOf(s).Name + " that is too far"
	case off == 0:
		return "no farther down than " + placeOn(p, s, 0)
	}
	return "no farther down than " + placeOn(p, s, off)
}

var cleanoutDirection = &check.Rule{
	ID: "cleanout-direction", Family: "cleanouts", Clause: "cleanout-direction",
	Doc: "cleanouts open with the flow or square to it; two-way ones stand where drain becomes sewer",
	Why: "a snake fed against the flow runs into the fixtures",
	Try: "point it with the flow",
	Run: func(p *check.Pass) {
		n := p.Net
		starts := sewerStarts(p)
		within := p.Param("cleanout.junction-within")
		for i := range n.Runs {
			run := &n.Runs[i]
			if len(run.Segs) == 0 || existing(run) {
				continue
			}
			for k := range run.Def.Clean {
				c := &run.Def.Clean[k]
				p.Looked(1)
				if c.Type.Text != "two-way" {
					continue
				}
				s := run.Segs[0]
				role := n.Segs[s].Role
				if len(starts) == 0 && (role == network.BuildingDrain || run.Receiver == network.None) || role == network.BuildingSewer {
					continue // at or near the line to the street
				}
				if len(starts) > 0 {
					on := map[network.SegID][]spot{}
					at := locate(p, network.RunID(i), c.Place)
					on[at.Seg] = []spot{{off: at.Station - n.Segs[at.Seg].From, known: at.Known, two: true}}
					if at.Lower {
						on[at.Seg][0].off = n.Segs[at.Seg].Length()
					}
					good, open := false, false
					for _, x := range starts {
						d, found, sure := x.nearest(p, on)
						good = good || found && (within.State != codebook.Given || sure && d <= within.Length)
						open = open || found && !sure
					}
					if good {
						continue
					} else if open {
						p.Unchecked(p.OnRun(network.RunID(i), at.Seg), c.At, check.Say{Message: run.Name + " has a two-way cleanout, and how far it stands from the sewer is not known", Ask: "how far is it from there to where the drain becomes the sewer?"})
						continue
					}
				}
				p.Warn(p.OnRun(network.RunID(i), s), c.Type.At, check.Say{Message: run.Name + " has a two-way cleanout away from where the drain becomes the sewer; one side of it opens against the flow", Got: "two-way", Limit: "with the flow"})
			}
		}
	},
}

// hidden: the run lies where a cleanout may end up behind finish.
func hidden(run *network.Run) bool {
	switch run.Def.Where.Text {
	case "under slab", "under ground", "joists", "wall", "exterior wall":
		return true
	}
	return false
}

var cleanoutInaccessible = &check.Rule{
	ID: "cleanout-inaccessible", Family: "cleanouts", Clause: "cleanout-concealed",
	Doc: "every cleanout can be got at: none is behind finish, over a ceiling or below grade",
	Why: "one that cannot be found is one that is not there",
	Try: "bring it to the finish, with a cover or an access panel",
	Run: func(p *check.Pass) {
		asked := false
		eachCleanout(p, func(run *network.Run, id network.RunID, c *job.Cleanout) {
			on := p.OnRun(id, run.Segs[0])
			least := p.Param("cleanout.crawl-height")
			var crawl job.Len
			if k, ok := levelOf(p, id); ok {
				crawl = p.Job.Levels[k].CrawlHigh
			}
			switch {
			case run.Def.Where.Text == "crawl space" && crawl.Set && least.State == codebook.Given && crawl.V < least.Length && c.Reach.Text != "accessible":
				p.Looked(1)
				p.Fault(on, c.At, check.Say{Message: run.Name + " has a cleanout in a crawl space " + crawl.V.Small(p.Job.Units) + " high; under " + least.Length.Small(p.Job.Units) + " it is brought outside or to the floor", Got: crawl.V.Small(p.Job.Units), Limit: least.Length.Small(p.Job.Units), Cite: least.Cite})
			case c.Reach.Text == "concealed":
				p.Looked(1)
				p.Fault(on, c.At, check.Say{Message: run.Name + " has a cleanout that will be concealed", Got: c.Reach.Text, Limit: "accessible"})
			case c.Reach.Text == "accessible" || !hidden(run):
				p.Looked(1)
			case !asked:
				asked = true
				p.Unchecked(on, c.At, check.Say{Message: run.Name + " lies in " + in(run.Def.Where.Text) + ", and whether its cleanout can be got at is not said", Ask: "can the cleanout of " + run.Name + " be reached (brought to grade, to the finish or to a panel)? write `reach: accessible`"})
			}
		})
	},
}

func in(where string) string {
	switch where {
	case "under slab":
		return "the ground under a slab"
	case "under ground":
		return "the ground"
	case "joists":
		return "the joists"
	case "exterior wall":
		return "an exterior wall"
	}
	return "a " + where
}

// eachCleanout visits the cleanouts of new pipe.
func eachCleanout(p *check.Pass, do func(run *network.Run, id network.RunID, c *job.Cleanout)) {
	for i := range p.Net.Runs {
		run := &p.Net.Runs[i]
		if len(run.Segs) == 0 || existing(run) {
			continue
		}
		for k := range run.Def.Clean {
			do(run, network.RunID(i), &run.Def.Clean[k])
		}
	}
}

var cleanoutClearance = &check.Rule{
	ID: "cleanout-clearance", Family: "cleanouts", Clause: "cleanout-clearance",
	Doc: "there is working room in front of every cleanout, by the size of its pipe",
	Why: "a snake needs room to be turned in",
	Try: "turn it or move it, so that {what the book asks} or more is clear in front of it",
	Run: func(p *check.Pass) {
		asked := false
		eachCleanout(p, func(run *network.Run, id network.RunID, c *job.Cleanout) {
			s := locate(p, id, c.Place).Seg
			size := p.Sizes.Size[s]
			cell := p.Book.Cell("cleanout-clearance", size, "clearance")
			on := p.OnRun(id, s)
			switch {
			case cell.State != codebook.Given:
				p.Unchecked(on, c.At, check.Say{Message: run.Name + ": the book gives no working room for a cleanout on " + size.String() + " pipe", Ask: "how much room does the authority ask in front of it?"})
			case c.Clearance.Set:
				p.Looked(1)
				if c.Clearance.V < cell.Length {
					p.Fault(on, c.Clearance.At, check.Say{Message: run.Name + " has " + c.Clearance.V.Small(p.Job.Units) + " of room in front of its cleanout; " + cell.Length.Small(p.Job.Units) + " is the least on " + size.String() + " pipe", Got: c.Clearance.V.Small(p.Job.Units), Limit: cell.Length.Small(p.Job.Units), Cite: cell.Cite})
				}
			case !asked:
				asked = true
				p.Unchecked(on, c.At, check.Say{Message: "the working room in front of the cleanout of " + run.Name + " is not given; " + cell.Length.Small(p.Job.Units) + " is the least", Ask: "how much room is there in front of it? write `clearance: 18\"`", Cite: cell.Cite})
			}
		})
	},
}

var cleanoutSize = &check.Rule{
	ID: "cleanout-size", Family: "cleanouts", Clause: "cleanout-size",
	Doc: "a cleanout is as large as the book asks for its pipe",
	Why: "the head of the snake must go in",
	Try: "set one of {the size of the pipe}",
	Run: func(p *check.Pass) {
		eachCleanout(p, func(run *network.Run, id network.RunID, c *job.Cleanout) {
			if c.Size.V == 0 {
				return
			}
			s := locate(p, id, c.Place).Seg
			size := p.Sizes.Size[s]
			cell := p.Book.Cell("cleanout-size", size, "size")
			on := p.OnRun(id, s)
			if cell.State != codebook.Given || cell.Size == 0 {
				p.Unchecked(on, c.Size.At, check.Say{Message: run.Name + ": the book gives no cleanout size for " + size.String() + " pipe", Ask: "how large a cleanout does the authority ask on " + size.String() + " pipe?"})
				return
			}
			least := cell.Size
			if p.Net.Segs[s].Lie == network.Upright {
				down, ok := number(p.Param("cleanout.stack-sizes-down"))
				if !ok || material(p, s) == "cast iron" {
					return // the fitting's own standard decides
				}
				for range down {
					least = sizeUnder(least)
				}
			}
			p.Looked(1)
			if c.Size.V < least {
				p.Fault(on, c.Size.At, check.Say{Message: run.Name + " has a cleanout of " + c.Size.V.String() + "; " + least.String() + " is the least on " + size.String() + " pipe", Got: c.Size.V.String(), Limit: least.String(), Cite: cell.Cite})
			}
		})
	},
}

// sizeUnder is the next nominal size below another, or that one where there is none.
func sizeUnder(s unit.Size) unit.Size {
	best := s
	for z := unit.Size(unit.Inch); z < s; {
		best = z
		next, ok := unit.NextSize(z)
		if !ok {
			break
		}
		z = next
	}
	return best
}

func locate(p *check.Pass, r network.RunID, pl job.Place) fitting.Place {
	return fitting.Locate(p.Net, r, pl)
}
