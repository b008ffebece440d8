package propose

import (
	"strings"

	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// A measure is a fact of a fixture or basin that a rule holds against a limit: what is
// written is the limit, and what is done on site follows.
type measure struct {
	rule string
	path []string
	has  func(*job.Run) bool
	do   string // with NAME and LIMIT
}

func measures() []measure {
	return []measure{
		{"standpipe-tray", []string{"standpipe"}, func(r *job.Run) bool { return r.Fixture.Standpipe.Set }, "make the standpipe of NAME LIMIT high above its trap weir, its rim above the rim of the tub"},
		{"standpipe-tray", []string{"apart"}, func(r *job.Run) bool { return r.Fixture.Apart.Set }, "set the laundry tub so that its outlet is LIMIT or less from the trap of NAME"},
		{"shared-trap-apart", []string{"apart"}, func(r *job.Run) bool { return r.Fixture.Apart.Set }, "set the fixtures on the trap of NAME so that their outlets are LIMIT apart or less"},
		{"fixture-outlet-to-trap-too-far", []string{"outlet to weir", "down"}, func(r *job.Run) bool { return r.Fixture.OutDown.Set }, "raise the trap of NAME until its weir is LIMIT or less below the outlet"},
		{"fixture-outlet-to-trap-too-far", []string{"outlet to weir", "across"}, func(r *job.Run) bool { return r.Fixture.OutAcross.Set }, "bring the trap of NAME to within LIMIT of the outlet, across"},
		{"fixture-clearance", []string{"clear side"}, func(r *job.Run) bool { return r.Fixture.ClearSide.Set }, "move NAME, or what stands beside it, until there is LIMIT from its centre line to the side"},
		{"fixture-clearance", []string{"clear front"}, func(r *job.Run) bool { return r.Fixture.ClearFront.Set }, "move NAME, or what stands before it, until LIMIT is free in front of it"},
		{"sump-inlet-low", []string{"basin", "inlet above high water"}, func(r *job.Run) bool { return r.Basin.InletAboveHigh.Set }, "set the float of NAME so that high water stays LIMIT below the inlet"},
		{"sump-pit", []string{"basin", "diameter"}, func(r *job.Run) bool { return r.Basin.Diameter.Set }, "set a basin LIMIT wide for NAME"},
		{"sump-pit", []string{"basin", "depth"}, func(r *job.Run) bool { return r.Basin.Depth.Set }, "set a basin LIMIT deep for NAME"},
		{"pump-solids", []string{"basin", "solids"}, func(r *job.Run) bool { return r.Basin.Solids.Set }, "choose a pump for NAME that passes solids of LIMIT"},
		{"pump-flow-short", []string{"basin", "pump"}, func(r *job.Run) bool { return r.Basin.Pump.V > 0 }, "choose a pump for NAME that delivers LIMIT at its head"},
	}
}

// measured lists the ways that write a limit in place of a measure.
func (w *work) measured(f *diag.Diagnostic, id network.RunID) []choice {
	run := &w.r.Net.Runs[id]
	var out []choice
	for _, m := range measures() {
		if m.rule != f.Rule || !m.has(run.Def) || f.Limit == "" {
			continue
		}
		value, say := f.Limit, f.Limit
		if l, err := unit.ParseLength(f.Limit); err == nil {
			value, say = w.number(w.toward(f, l)), w.say(w.toward(f, l))
		}
		words := strings.NewReplacer("NAME", run.Name, "LIMIT", say).Replace(m.do)
		out = append(out, choice{{
			id: m.path[len(m.path)-1] + "/" + run.Name, edits: []job.Edit{job.Set(value, append([]string{"runs", run.Name}, m.path...)...)},
			cost: measuredCost(m.rule), do: plain(words),
		}})
	}
	return out
}

// measuredCost: a clearance moves a fixture, the rest is a piece of pipe or a part.
func measuredCost(rule string) Cost {
	if rule == "fixture-clearance" {
		return Cost{Pipe: 2 * unit.Foot, Fittings: 2, Moves: 1, About: true}
	}
	return Cost{Fittings: 1}
}
