package rules

import (
	"strings"

	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// spacing is the farthest apart that the book lets hangers of level pipe be.
func spacing(p *check.Pass, s network.SegID) codebook.Cell {
	t, ok := p.Book.Table("support-spacing")
	if !ok {
		return codebook.Cell{}
	}
	m, size := material(p, s), p.Sizes.Size[s]
	col := -1
	for i, h := range t.Columns {
		if h == "level" {
			col = i
		}
	}
	for i := range t.Rows {
		key := t.Rows[i].Key
		fits := key == m
		if rest, ok := strings.CutPrefix(key, "copper tube "); ok && m == "copper" {
			if most, ok := strings.CutPrefix(rest, "to "); ok {
				v, err := unit.ParseSize(most)
				fits = err == nil && size <= v
			} else if from, ok := strings.CutSuffix(rest, " and up"); ok {
				v, err := unit.ParseSize(from)
				fits = err == nil && size >= v
			}
		}
		if fits && col >= 0 && col < len(t.Rows[i].Cells) {
			return t.Rows[i].Cells[col]
		}
	}
	return codebook.Cell{}
}

var supportSpacing = &check.Rule{
	ID: "support-spacing", Family: "supports", Clause: "support-spacing",
	Doc: "says how far apart the hangers of level pipe may be, and about how many that makes",
	Why: "pipe that sags between its hangers holds water and catches solids",
	Try: "hang it before the fall is set, and look for it at the rough-in",
	Run: func(p *check.Pass) {
		n := p.Net
		best, bestLen := network.SegID(network.None), unit.Length(0)
		for i := range n.Runs {
			run := &n.Runs[i]
			if len(run.Segs) == 0 || existing(run) {
				continue
			}
			length, at := unit.Length(0), network.SegID(network.None)
			for _, s := range run.Segs {
				seg := &n.Segs[s]
				if seg.Lie == network.Level && !seg.UnderGround && seg.Role != network.BuildingSewer && seg.Role != network.PumpDischarge {
					length += seg.Length()
					at = s
				}
			}
			if at != network.None && (length > bestLen || length == bestLen && best != network.None && run.Name < n.RunOf(best).Name) {
				best, bestLen = at, length
			}
		}
		if best == network.None {
			return
		}
		run := n.RunOf(best)
		c := spacing(p, best)
		on := p.OnRun(n.Segs[best].Run, best)
		m := material(p, best)
		if c.State != codebook.Given || c.Length <= 0 {
			p.Unchecked(on, run.Def.At, check.Say{Message: run.Name + ": the book gives no distance between hangers for level " + m, Ask: "how far apart may the hangers of " + m + " be?"})
			return
		}
		p.Looked(1)
		if bestLen <= c.Length {
			return
		}
		p.Note(on, run.Def.At, check.Say{
			Message: "hangers of level " + m + " stand at most " + c.Length.String() + " apart: " + itoa(hangers(bestLen, c.Length)) + " on the " + bestLen.String() + " of " + run.Name + ", to be seen at the rough-in",
			Got:     bestLen.String(), Limit: c.Length.String(), Cite: c.Cite,
		})
	},
}

// hangers is how many a level length needs: one at each end and between them no farther
// apart than the spacing.
func hangers(length, apart unit.Length) int {
	return int((length+apart-1)/apart) + 1
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
			length := func(q codebook.Param) string { return q.Length.Inches() }
			add("trench.layer", "; fill in layers of ", "", length)
			add("trench.cover", "; clean fill to ", " over the pipe", length)
			add("trench.footing-plane", "; no deeper beside a footing than ", " degrees from its edge", func(q codebook.Param) string { return itoa(times(q)) })
			p.Looked(1)
			p.Note(onJob(), run.Def.Where.At, check.Say{Message: "pipe under ground is bedded along its whole length" + say})
			return
		}
	},
}
