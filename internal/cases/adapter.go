package cases

import (
	"fmt"

	"trapweir/engine"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/unit"
	"trapweir/shelf"
)

// Input is one job to run, as text, with the layer files that it may name.
type Input struct {
	Name   string            // for messages: "S01, as written"
	Text   []byte            // a job file
	Layers map[string][]byte // layer id -> file
}

// Ends are the inside bottoms of the two ends of a run, from the datum of the job.
type Ends struct {
	Upper, Lower           unit.Length
	UpperKnown, LowerKnown bool
}

// Result is what the scorer needs to know of a solved job. Names are those of runs and
// vents.
type Result struct {
	Findings []diag.Diagnostic
	Sizes    map[string]unit.Size // the smallest size permitted, at the widest place of a run or vent
	Needed   map[string]unit.Size // the same, with what the job lays upstream taken as built
	Traps    map[string]unit.Size // the smallest trap of the fixture on a run
	Units    map[string]unit.Load // fixture units at the lower end of a run
	Inverts  map[string]Ends
}

// Runner solves a job. An error means that there is no result at all (no such book, say).
type Runner func(Input) (*Result, error)

// Run is the engine, as the scorer sees it.
var Run Runner = solve

func solve(in Input) (*Result, error) {
	extra := make([]codebook.File, 0, len(in.Layers))
	for _, id := range shelf.With(in.Text) {
		if text, ok := in.Layers[id]; ok {
			extra = append(extra, codebook.File{Name: id + ".yaml", Text: text})
		}
	}
	d, ds := shelf.For(in.Text, "", extra...)
	for i := range ds {
		if ds[i].Severity == diag.Error {
			return nil, fmt.Errorf("%s: %s", ds[i].At, ds[i].Message)
		}
	}
	r := engine.Run(d, engine.Input{Name: in.Name, Text: in.Text})
	if !r.Solved() {
		for i := range r.Faults {
			if r.Faults[i].Severity == diag.Error {
				return nil, fmt.Errorf("%s: %s", r.Faults[i].At, r.Faults[i].Message)
			}
		}
		return nil, fmt.Errorf("%s: not solved", in.Name)
	}
	return result(r), nil
}

func result(r *engine.Result) *Result {
	n := r.Net
	out := &Result{
		Findings: r.Findings,
		Sizes:    map[string]unit.Size{}, Needed: map[string]unit.Size{}, Traps: map[string]unit.Size{},
		Units: map[string]unit.Load{}, Inverts: map[string]Ends{},
	}
	for i := range n.Runs {
		run := &n.Runs[i]
		if len(run.Segs) == 0 {
			continue
		}
		for _, s := range run.Segs {
			out.Sizes[run.Name] = max(out.Sizes[run.Name], r.Sizes.Required[s])
			out.Needed[run.Name] = max(out.Needed[run.Name], r.Sizes.Needed(s))
		}
		first, last := run.Segs[0], run.Segs[len(run.Segs)-1]
		out.Units[run.Name] = r.Loads.Units[last]
		if r.Levels != nil {
			up, low := r.Levels.InvertUp[first], r.Levels.InvertLow[last]
			out.Inverts[run.Name] = Ends{Upper: up.V, UpperKnown: up.Known, Lower: low.V, LowerKnown: low.Known}
		}
	}
	for i := range n.Fixtures {
		if t := r.Loads.Fixture[i].Trap; t > 0 {
			out.Traps[n.Runs[n.Fixtures[i].Run].Name] = t
		}
	}
	for i := range n.Vents {
		out.Sizes[n.Vents[i].Name] = r.Vents.Size[i].Required
	}
	return out
}
