package web

import (
	"trapweir/engine/diag"
	"trapweir/engine/size"
	"trapweir/engine/unit"
	"trapweir/engine/vent"
	"trapweir/report"
)

// Shown is what the page shows of a result as it changes; reasons, hangers and the like are
// asked for one pipe at a time. The fields are those of report.Doc.
type Shown struct {
	Job      report.JobInfo    `json:"job"`
	Basis    report.Basis      `json:"basis"`
	Totals   report.Totals     `json:"totals"`
	Fixtures []ShownFixture    `json:"fixtures"`
	Runs     []ShownRun        `json:"runs"`
	Vents    []ShownVent       `json:"vents"`
	Findings []diag.Diagnostic `json:"findings"`
	Faults   []diag.Diagnostic `json:"faults"`
	Caution  string            `json:"caution"`
}

// ShownFixture is a fixture with its trap.
type ShownFixture struct {
	Run     string       `json:"run"`
	Kind    string       `json:"kind"`
	Units   unit.Load    `json:"units"`
	Verdict vent.Verdict `json:"verdict"`
	Vented  string       `json:"vented"`
}

// ShownRun is a run with its pieces.
type ShownRun struct {
	Name   string       `json:"name"`
	Joins  string       `json:"joins"`
	Pieces []ShownPiece `json:"pieces"`
}

// ShownPiece is a stretch of a run that has one size.
type ShownPiece struct {
	From    unit.Length `json:"from"`
	Known   bool        `json:"known"`
	Role    string      `json:"role"`
	Units   unit.Load   `json:"units"`
	AtLeast bool        `json:"atLeast,omitempty"`
	Closets int         `json:"waterClosets"`
	Size    unit.Size   `json:"size"`
}

// ShownVent is a vent with its reasons, which are few.
type ShownVent struct {
	Name     string        `json:"name"`
	Ends     string        `json:"ends"`
	Required unit.Size     `json:"required"`
	Size     unit.Size     `json:"size"`
	Units    unit.Load     `json:"units"`
	Length   unit.Length   `json:"length,omitempty"`
	Known    bool          `json:"lengthKnown"`
	Reasons  []size.Reason `json:"reasons"`
}

func shown(d report.Doc) Shown {
	s := Shown{
		Job: d.Job, Basis: d.Basis, Totals: d.Totals, Findings: d.Findings, Faults: d.Faults, Caution: d.Caution,
		Fixtures: make([]ShownFixture, 0, len(d.Fixtures)), Runs: make([]ShownRun, 0, len(d.Runs)), Vents: make([]ShownVent, 0, len(d.Vents)),
	}
	for i := range d.Fixtures {
		f := &d.Fixtures[i]
		s.Fixtures = append(s.Fixtures, ShownFixture{f.Run, f.Kind, f.Units, f.Verdict, f.Vented})
	}
	for i := range d.Runs {
		r := ShownRun{Name: d.Runs[i].Name, Joins: d.Runs[i].Joins, Pieces: make([]ShownPiece, 0, len(d.Runs[i].Pieces))}
		for k := range d.Runs[i].Pieces {
			p := &d.Runs[i].Pieces[k]
			r.Pieces = append(r.Pieces, ShownPiece{p.From, p.Known, p.Role, p.Units, p.AtLeast, p.Closets, p.Size})
		}
		s.Runs = append(s.Runs, r)
	}
	for i := range d.Vents {
		v := &d.Vents[i]
		s.Vents = append(s.Vents, ShownVent{v.Name, v.Ends, v.Required, v.Size, v.Units, v.Length, v.Known, v.Reasons})
	}
	return s
}
