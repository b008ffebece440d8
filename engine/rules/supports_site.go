package rules

import (
	"strings"

	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/framing"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

var supportSpacing = &check.Rule{
	ID: "support-spacing", Family: "supports", Clause: "support-spacing",
	Doc: "says how far apart the hangers of level pipe may be, and how many hangers, straps, guides and braces that makes",
	Why: "pipe that sags between its hangers holds water and catches solids",
	Try: "hang it before the fall is set, and look for it at the rough-in; `trapweir fall` lists it run by run",
	Run: func(p *check.Pass) {
		n := p.Net
		var best *framing.Held // the longest level run
		var bestLen unit.Length
		sum, count := map[network.RunID]unit.Length{}, map[network.RunID]int{}
		hangers, straps, guides := 0, 0, 0
		for i := range p.Framing.Held {
			h := &p.Framing.Held[i]
			guides += h.Guides
			if !h.Level {
				straps += h.Count
				continue
			}
			hangers += h.Count
			if h.Run == network.None {
				continue
			}
			if seg := &n.Segs[h.Seg]; seg.Role == network.BuildingSewer || seg.Role == network.PumpDischarge || seg.Lie != network.Level {
				continue
			}
			sum[h.Run] += h.Length
			count[h.Run] += h.Count
			if l := sum[h.Run]; l > bestLen || l == bestLen && best != nil && n.Runs[h.Run].Name < n.Runs[best.Run].Name {
				best, bestLen = h, l
			}
		}
		if best == nil {
			return
		}
		run := &n.Runs[best.Run]
		on := p.OnRun(best.Run, best.Seg)
		if best.Every == 0 {
			p.Unchecked(on, run.Def.At, check.Say{Message: run.Name + ": the book gives no distance between hangers for level " + best.Material, Ask: "how far apart may the hangers of " + best.Material + " be?"})
			return
		}
		p.Looked(1)
		if bestLen <= best.Every {
			return
		}
		msg := "hangers of level " + best.Material + " stand at most " + best.Every.In(p.Job.Units) + " apart: " + itoa(count[best.Run]) + " on the " + bestLen.In(p.Job.Units) + " of " + run.Name
		all := tally(
			some{hangers - count[best.Run], "hanger of other level pipe", "hangers of other level pipe"}, some{straps, "riser strap", "riser straps"}, some{guides, "guide", "guides"},
			some{len(p.Framing.Braces), "brace at a turn of large pipe", "braces at turns of large pipe"}, some{len(p.Framing.Feet), "support under the foot of a stack", "supports under the feet of stacks"},
		)
		if all != "" {
			msg += "; besides " + all
		}
		p.Note(on, run.Def.At, check.Say{Message: msg + "; to be seen at the rough-in", Got: bestLen.In(p.Job.Units), Limit: best.Every.In(p.Job.Units), Cite: best.Cite})
	},
}

// some is a count with its words.
type some struct {
	n         int
	one, many string
}

// tally lists counts; those of none are left out.
func tally(list ...some) string {
	var out []string
	for _, x := range list {
		switch {
		case x.n == 1:
			out = append(out, "1 "+x.one)
		case x.n > 1:
			out = append(out, itoa(x.n)+" "+x.many)
		}
	}
	switch len(out) {
	case 0:
		return ""
	case 1:
		return out[0]
	}
	return strings.Join(out[:len(out)-1], ", ") + " and " + out[len(out)-1]
}

var trenchCheck = &check.Rule{
	ID: "trench-site-check", Family: "advice", Clause: "backfill",
	Doc: "says once what is to be seen in the trench before it is closed",
	Why: "pipe breaks on rocks, in a trench that undermines a footing and under fill that is dumped on it",
	Try: "look at it before the trench is closed; keep out of a trench that is not shored",
	Run: func(p *check.Pass) {
		for i := range p.Net.Runs {
			run := &p.Net.Runs[i]
			if len(run.Segs) == 0 || existing(run) || !p.Net.Segs[run.Segs[0]].UnderGround {
				continue
			}
			say := ""
			add := func(id, before, after string, f func(codebook.Param) string) {
				if q := p.Param(id); q.State == codebook.Given {
					say += before + f(q) + after
				}
			}
			length := func(q codebook.Param) string { return q.Length.Small(p.Job.Units) }
			add("trench.layer", "; fill in layers of ", "", length)
			add("trench.cover", "; clean fill to ", " over the pipe", length)
			add("trench.footing-plane", "; no deeper beside a footing than ", " degrees from its edge", func(q codebook.Param) string { return itoa(times(q)) })
			p.Looked(1)
			at := run.Def.Where.At
			if at.IsZero() {
				at = run.Def.At
			}
			p.Note(onJob(), at, check.Say{Message: "pipe under ground is bedded along its whole length" + say})
			return
		}
	},
}
