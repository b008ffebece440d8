package rules

import (
	"trapweir/engine/check"
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
