package rules

import (
	"trapweir/engine/check"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// A customary size is larger than what a book may permit. Both are common practice; the
// shower's is also what several books require.
type customary struct {
	class string
	size  unit.Size
	say   string
}

var customarySizes = []customary{
	{"shower", 2 * unit.Size(unit.Inch), "showers are mostly given a 2 in trap and drain: heads are added, and hair closes the smaller one"},
	{"clothes washer", 2 * unit.Size(unit.Inch), "washers are given a 2 in trap and drain"},
}

// upsize speaks only of sizes that the job states and no rule objects to.
var upsize = &check.Rule{
	ID: "advise-upsize", Family: "advice",
	Doc: "says where a size is legal and a larger one is customary",
	Why: "the larger pipe costs little now and much later",
	Run: func(p *check.Pass) {
		for i := range p.Net.Fixtures {
			f := &p.Net.Fixtures[i]
			for _, c := range customarySizes {
				if !f.Kind.Has(c.class) {
					continue
				}
				have := f.Def.Trap.V
				if have == 0 && p.Sizes.Given[f.Seg] {
					have = p.Sizes.Size[f.Seg]
				}
				if have == 0 {
					continue
				}
				p.Looked(1)
				if have >= c.size || have < p.Loads.Fixture[i].Trap || have < p.Sizes.Required[f.Seg] {
					continue
				}
				run := &p.Net.Runs[f.Run]
				p.Note(p.OnRun(f.Run, f.Seg), run.Def.At, check.Say{
					Message: run.Name + " is " + have.String() + ", which is legal; " + c.say,
					Got:     have.String(), Limit: c.size.String(), Try: "make trap and drain " + c.size.String(),
				})
			}
		}
	},
}

// fewerBends adds up the turns in plan that a cable has to follow from a fixture down, and
// speaks on the run where they pass what the book lets stand between cleanouts. Whether
// cleanouts are there is another rule's.
var fewerBends = &check.Rule{
	ID: "suggest-fewer-bends", Family: "advice", Clause: "cleanout-turn",
	Doc: "says where a line turns so much that another way should be looked for",
	Why: "each turn slows the flow and stops a cable",
	Try: "draw the main line straight and let the branches join it by wyes",
	Run: func(p *check.Pass) {
		n := p.Net
		limit := p.Param("cleanout.turn-total")
		if !given(limit) {
			return
		}
		most := times(limit)
		said := map[network.RunID]bool{}
		for i := range n.Fixtures {
			sum := 0
			last := network.RunID(network.None)
			prev := network.SegID(network.None)
			p.Looked(1)
			below(n, n.Fixtures[i].Seg, func(s network.SegID) bool {
				seg := &n.Segs[s]
				if seg.Lie == network.Upright {
					sum, prev = 0, network.None // a drop ends the line in plan
					last = seg.Run
					return true
				}
				if seg.Run != last {
					sum += n.Runs[seg.Run].Def.Bends.V
					last = seg.Run
				}
				if prev != network.None {
					sum += planTurn(&n.Segs[prev], seg)
				}
				prev = s
				if sum > most && !said[seg.Run] {
					said[seg.Run] = true
					run := &n.Runs[seg.Run]
					p.Note(p.OnRun(seg.Run, s), run.Def.At, check.Say{
						Message: run.Name + ": the line from " + n.Runs[n.Fixtures[i].Run].Name + " has turned " + degrees(sum) + " by here",
						Got:     degrees(sum), Limit: degrees(most), Cite: limit.Cite,
					})
				}
				return !said[seg.Run]
			})
		}
	},
}

// planTurn is the change of direction in plan between two pieces, 0 when one is not known.
func planTurn(a, b *network.Seg) int {
	if !a.Way.HasPlan || !b.Way.HasPlan {
		return 0
	}
	d := int(a.Way.Azimuth) - int(b.Way.Azimuth)
	if d < 0 {
		d = -d
	}
	if d > 1800 {
		d = 3600 - d
	}
	return d / 10
}
