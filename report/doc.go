// Package report turns a solved job into what people and programs read: a document of
// plain values (the JSON result, a promise: docs/result.md), and text tables made from it.
//
// It works nothing out: every number and reason was made by the stage that knows it.
package report

import (
	"sort"

	"trapweir/engine"
	"trapweir/engine/check"
	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/load"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/unit"
	"trapweir/engine/vent"
)

// Format names the JSON result and its version. A field may be added under the same
// version; none changes its meaning or goes.
const Format = "trapweir-result/1"

// Caution stands on everything that is printed about a job.
const Caution = "Computed from what the job says. It approves nothing: local code and the inspector decide, and licensed work is licensed work."

// Doc is the whole result of a job.
type Doc struct {
	Format   string            `json:"format"`
	Job      JobInfo           `json:"job"`
	Basis    Basis             `json:"basis"`
	Totals   Totals            `json:"totals"`
	Fixtures []Fixture         `json:"fixtures"`
	Runs     []Run             `json:"runs"`
	Vents    []Vent            `json:"vents"`
	Findings []diag.Diagnostic `json:"findings"`
	Faults   []diag.Diagnostic `json:"faults"`
	Looked   []check.Tally     `json:"looked"`
	Readings []job.Reading     `json:"readings,omitempty"`
	Caution  string            `json:"caution"`
}

// JobInfo says which job it is.
type JobInfo struct {
	File  string   `json:"file"`
	Title string   `json:"title"`
	Notes []string `json:"notes,omitempty"`
}

// Basis is the book and the layers in force, in order.
type Basis struct {
	Code   string  `json:"code"`
	Title  string  `json:"title"`
	Layers []Layer `json:"layers"`
	// LeftOut are layers of the job that do not lie over this book; only a comparison has them.
	LeftOut []string `json:"leftOut,omitempty"`
}

// Layer is one book, amendment or practice in force.
type Layer struct {
	ID       string `json:"id"`
	Kind     string `json:"kind"`
	Title    string `json:"title"`
	Invented bool   `json:"invented,omitempty"`
	Status   string `json:"status,omitempty"`
}

// Totals at the outlet.
type Totals struct {
	Units     unit.Load `json:"units"`
	AtLeast   bool      `json:"atLeast,omitempty"`
	Closets   int       `json:"waterClosets"`
	Fixtures  int       `json:"fixtures"`
	Errors    int       `json:"errors"`
	Warnings  int       `json:"warnings"`
	Unchecked int       `json:"notChecked"`
	Notes     int       `json:"notes"`
}

// Fixture is one trap with its load and what protects it.
type Fixture struct {
	Run     string       `json:"run"`
	Kind    string       `json:"kind"`
	Room    string       `json:"room,omitempty"`
	Level   string       `json:"level,omitempty"`
	Units   unit.Load    `json:"units"`
	Stated  bool         `json:"stated,omitempty"`
	Listed  bool         `json:"listed"`
	Trap    unit.Size    `json:"trap,omitempty"`
	Cites   []diag.Cite  `json:"cites,omitempty"`
	Verdict vent.Verdict `json:"verdict"`
	Vented  string       `json:"vented"`
	Method  vent.Method  `json:"method"`
	Vent    string       `json:"vent,omitempty"`
	Arm     unit.Length  `json:"arm,omitempty"`
	Limit   unit.Length  `json:"armLimit,omitempty"`
}

// Run is a drain in pieces of one size and role, uppermost first.
type Run struct {
	Name   string  `json:"name"`
	Joins  string  `json:"joins"`
	Pieces []Piece `json:"pieces"`
	// Supports are the straight stretches above ground with what holds them, in order.
	Supports []Support `json:"supports"`
	Plates   []Plate   `json:"plates,omitempty"` // where shield plates go
	Braces   int       `json:"braces,omitempty"` // turns of large pipe that are braced against sway
	Feet     int       `json:"feet,omitempty"`   // feet of stacks that stand on a support
}

// Piece is a stretch of a run with one role and size.
type Piece struct {
	Segments []int32     `json:"segments"`
	From     unit.Length `json:"from"`
	To       unit.Length `json:"to"`
	Known    bool        `json:"known"` // From and To are measured
	Role     string      `json:"role"`
	Lies     string      `json:"lies"`
	Units    unit.Load   `json:"units"`
	AtLeast  bool        `json:"atLeast,omitempty"`
	Closets  int         `json:"waterClosets"`
	Slope    string      `json:"slope,omitempty"`
	Required unit.Size   `json:"required"`
	Size     unit.Size   `json:"size"`
	Given    bool        `json:"given,omitempty"`
	Existing bool        `json:"existing,omitempty"`
	Governs  size.Reason `json:"governs"`
}

// Vent is a vent with its size.
type Vent struct {
	Name     string        `json:"name"`
	Ends     string        `json:"ends"`
	Required unit.Size     `json:"required"`
	Size     unit.Size     `json:"size"`
	Given    bool          `json:"given,omitempty"`
	Units    unit.Load     `json:"units"`
	Drain    unit.Size     `json:"largestDrain"`
	Length   unit.Length   `json:"length,omitempty"`
	Known    bool          `json:"lengthKnown"`
	Serves   []string      `json:"serves"`
	Supports []Support     `json:"supports"`
	Reasons  []size.Reason `json:"reasons"`
}

// Document collects a result. It can be called on a result that was not solved; it then
// holds the faults.
func Document(r *engine.Result) Doc {
	d := Doc{
		Format: Format, Caution: Caution, Findings: r.Findings, Faults: r.Faults, Looked: r.Tallies,
		Fixtures: []Fixture{}, Runs: []Run{}, Vents: []Vent{},
	}
	d.Basis.Layers = []Layer{}
	if d.Looked == nil {
		d.Looked = []check.Tally{}
	}
	if d.Findings == nil {
		d.Findings = []diag.Diagnostic{}
	}
	if d.Faults == nil {
		d.Faults = []diag.Diagnostic{}
	}
	if j := r.Job; j != nil {
		d.Job = JobInfo{File: j.File, Title: j.Title.Text}
		for _, n := range j.Notes {
			d.Job.Notes = append(d.Job.Notes, n.Text)
		}
		d.Readings = readings(r)
	}
	if b := r.Book; b != nil {
		d.Basis.Code, d.Basis.Title, d.Basis.LeftOut = b.ID(), b.Title(), r.LeftOut
		for _, l := range b.Layers() {
			d.Basis.Layers = append(d.Basis.Layers, Layer{l.ID, l.Kind, l.Title, l.Invented, l.Status})
		}
	}
	d.Totals.Errors = diag.Count(d.Findings, diag.Error) + diag.Count(d.Faults, diag.Error)
	d.Totals.Warnings = diag.Count(d.Findings, diag.Warning) + diag.Count(d.Faults, diag.Warning)
	d.Totals.Unchecked = diag.Count(d.Findings, diag.Unchecked)
	d.Totals.Notes = diag.Count(d.Findings, diag.Info)
	if !r.Solved() {
		return d
	}
	out := r.Net.Outlet
	d.Totals.Units, d.Totals.AtLeast = r.Loads.Units[out], r.Loads.AtLeast[out]
	d.Totals.Closets, _ = r.Loads.Count(out, load.Closets)
	d.Totals.Fixtures = len(r.Net.Fixtures)
	for i := range r.Net.Runs {
		if f := r.Net.Runs[i].Fixture; f != network.None {
			d.Fixtures = append(d.Fixtures, fixture(r, f))
		}
	}
	fr := frameOf(r)
	for i := range r.Net.Runs {
		if len(r.Net.Runs[i].Segs) > 0 {
			d.Runs = append(d.Runs, run(r, &fr, network.RunID(i)))
		}
	}
	for _, v := range ventOrder(r.Net) {
		d.Vents = append(d.Vents, ventDoc(r, &fr, v))
	}
	return d
}

// ventOrder lists the vents as the job does.
func ventOrder(n *network.Net) []network.VentID {
	out := make([]network.VentID, len(n.Vents))
	for i := range out {
		out[i] = network.VentID(i)
	}
	sort.SliceStable(out, func(i, j int) bool {
		a, b := n.Vents[out[i]].Def.At, n.Vents[out[j]].Def.At
		return a.Line < b.Line || a.Line == b.Line && a.Col < b.Col
	})
	return out
}

func fixture(r *engine.Result, f network.FixID) Fixture {
	x, l := &r.Net.Fixtures[f], &r.Loads.Fixture[f]
	run := &r.Net.Runs[x.Run]
	t := &r.Vents.Trap[f]
	out := Fixture{
		Run: run.Name, Kind: x.Kind.Name, Room: x.Room, Level: run.Def.Level.Text, Units: l.Units, Stated: l.Declared,
		Listed: l.Declared || l.Row.Cite != nil, Trap: max(l.Trap, x.Def.Trap.V), Verdict: t.Verdict, Vented: r.Vents.Words(r.Net, f),
	}
	if l.Row.Cite != nil {
		out.Cites = []diag.Cite{*l.Row.Cite}
	}
	if rd := t.Reading(); rd != nil {
		out.Method = rd.Method
		if rd.Vent != network.None {
			out.Vent = r.Net.Vents[rd.Vent].Name
		}
		out.Limit = rd.Arm.Limit
		if rd.Arm.Known {
			out.Arm = rd.Arm.Length
		}
	}
	return out
}

func run(r *engine.Result, fr *frame, id network.RunID) Run {
	n := r.Net
	x := &n.Runs[id]
	out := Run{Name: x.Name, Joins: x.Def.Joins.Text, Supports: some(fr.runs[id]), Plates: fr.plates[id], Braces: fr.braces[id], Feet: fr.feet[id]}
	existing := x.Def.State.Text == "existing"
	for _, s := range x.Segs {
		seg := &n.Segs[s]
		closets, _ := r.Loads.Count(s, load.Closets)
		p := Piece{
			Segments: []int32{int32(s)}, From: seg.From, To: seg.To, Known: seg.LengthKnown, Role: seg.Role.String(), Lies: seg.Lie.String(),
			Units: r.Loads.Units[s], AtLeast: r.Loads.AtLeast[s], Closets: closets, Required: r.Sizes.Required[s], Size: r.Sizes.Size[s],
			Given: r.Sizes.Given[s], Existing: existing, Governs: r.Sizes.Governing(s),
		}
		if seg.Lie != network.Upright && r.Sizes.SlopeGiven[s] {
			p.Slope = r.Sizes.Slope[s].In(r.Job.Units)
		}
		if k := len(out.Pieces) - 1; k >= 0 {
			q := &out.Pieces[k]
			if q.Role == p.Role && q.Size == p.Size && q.Required == p.Required && q.Units == p.Units && q.Closets == p.Closets {
				q.Segments = append(q.Segments, int32(s))
				q.To, q.Known = p.To, q.Known && p.Known
				if q.Slope == "" {
					q.Slope = p.Slope
				}
				continue
			}
		}
		out.Pieces = append(out.Pieces, p)
	}
	return out
}

func ventDoc(r *engine.Result, fr *frame, v network.VentID) Vent {
	x, z := &r.Net.Vents[v], &r.Vents.Size[v]
	out := Vent{
		Name: x.Name, Ends: x.Def.Ends.Text, Required: z.Required, Size: z.Size, Given: z.Given, Units: z.Units, Drain: z.Drain,
		Length: z.Length, Known: z.Known, Reasons: z.Reasons, Serves: []string{}, Supports: some(fr.vents[v]),
	}
	if out.Reasons == nil {
		out.Reasons = []size.Reason{}
	}
	for _, f := range z.Serves {
		out.Serves = append(out.Serves, r.Net.Runs[r.Net.Fixtures[f].Run].Name)
	}
	return out
}
