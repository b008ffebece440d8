package cases

import (
	"trapweir/engine/diag"
	"trapweir/engine/unit"
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
	Traps    map[string]unit.Size // the smallest trap of the fixture on a run
	Units    map[string]unit.Load // fixture units at the lower end of a run
	Inverts  map[string]Ends
}

// Runner solves a job. An error means that there is no result at all (no such book, say).
type Runner func(Input) (*Result, error)

// Run is the engine, as the scorer sees it; nil until it is wired.
var Run Runner
