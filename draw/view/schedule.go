package view

import (
	"strconv"
	"strings"

	"trapweir/draw"
	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/unit"
	"trapweir/engine/vent"
	"trapweir/report"
)

// Schedule sets the fixture, size and vent schedules on as many sheets as they take.
func Schedule(r *engine.Result, opt Options) []*draw.Sheet {
	doc := report.Document(r)
	list := []*table{fixtureTable(r, &doc), sizeTable(r, &doc), ventTable(r, &doc)}
	p := newTablePager(r, opt, paperOr(opt, "letter"), numberOr(opt, "P-S1"), "Schedules of fixtures, drains and vents", list...)
	for _, t := range list {
		p.table(t)
	}
	return p.sheets
}

func paperOr(opt Options, or string) string {
	if opt.Paper == "" {
		return or
	}
	return opt.Paper
}

func numberOr(opt Options, or string) string {
	if opt.Number == "" {
		return or
	}
	return opt.Number
}

func fixtureTable(r *engine.Result, doc *report.Doc) *table {
	sys := r.Job.Units
	t := &table{
		title: "Fixtures and units", empty: "No fixture is drawn; what comes in from other parts stands in the size schedule.",
		cols: []column{{head: "Tag", bold: true}, {head: "Fixture"}, {head: "Room, level"}, {head: "Units", point: true}, {head: "Units from", wrap: true}, {head: "Trap"}, {head: inMillimetres("Trap arm", sys)}, {head: "Vented by", wide: true}},
	}
	tags := tagsOf(r.Net)
	said := map[string]string{} // why a trap is not protected, and the fixture that says so
	for i := range doc.Fixtures {
		f := &doc.Fixtures[i]
		x, _ := r.Net.Find(f.Run)
		fix := r.Net.Runs[x.Run].Fixture
		where := f.Room
		if f.Level != "" {
			if where != "" {
				where += ", "
			}
			where += f.Level
		}
		units, from := f.Units.String(), citeWords(f.Cites)
		switch {
		case f.Stated:
			from = "stated in the job"
		case !f.Listed:
			units, from = "?", "the book does not list it"
		}
		trap := sizeWords(f.Trap)
		switch {
		case r.Net.Fixtures[fix].Kind.Integral:
			trap = "in the fixture"
		case f.Trap == 0:
			trap = "?"
		}
		vented := ventedWords(r, fix)
		if long := len(vented) > 60; long && said[vented] != "" {
			vented = "as " + said[vented]
		} else if long {
			said[vented] = tags[fix]
		}
		t.rows = append(t.rows, []string{tags[fix], f.Kind, where, units, from, trap, armWords(r, fix), vented})
	}
	// Parts that are not drawn count too.
	for i := range r.Net.Runs {
		run := &r.Net.Runs[i]
		if p := &r.Loads.Part[i]; p.Present && run.Def.Carries.Set {
			units := p.Units.String()
			if !p.Known {
				units += "+"
			}
			var what []string
			for _, k := range run.Carried {
				what = append(what, k.Name)
			}
			t.rows = append(t.rows, []string{"", "part not drawn: " + run.Name, run.Def.Carries.Level.Text, units, strings.Join(what, ", "), "", "", "not looked at"})
		}
	}
	units, closets, n := totals(r)
	if u, ok := strings.CutPrefix(units, "at least "); ok {
		units = u + "+"
	}
	at := "at the outlet"
	if closets > 0 {
		at += ", " + countWords(closets, "WC", "WC")
	}
	t.total = []string{"", countWords(n, "fixture drawn", "fixtures drawn"), "", units, at, "", "", ""}
	return t.starred()
}

// armWords is how long the trap arm of a fixture is, and how long it may be.
func armWords(r *engine.Result, f network.FixID) string {
	rd := r.Vents.Trap[f].Reading()
	switch {
	case rd == nil || r.Vents.Trap[f].Verdict == vent.NotLookedAt:
		return ""
	case rd.Arm.Free:
		return "no limit"
	case !rd.Arm.Known:
		return "?"
	case rd.Arm.Limit > 0:
		return lengthCell(rd.Arm.Length, r.Job.Units) + " of " + lengthCell(rd.Arm.Limit, r.Job.Units)
	}
	return lengthCell(rd.Arm.Length, r.Job.Units)
}

// ventedWords is how a trap is vented, without what the arm's own column says.
func ventedWords(r *engine.Result, f network.FixID) string {
	w := strings.TrimPrefix(r.Vents.Words(r.Net, f), "protected by ")
	rd := r.Vents.Trap[f].Reading()
	if rd == nil || rd.Vent == network.VentID(network.None) {
		return w
	}
	in := r.Job.Units
	for _, arm := range []string{" (no arm limit for a self-siphoning fixture)", ", arm not measured", ", " + rd.Arm.Length.In(in) + " of " + rd.Arm.Limit.AtMost(in)} {
		w = strings.Replace(w, arm, "", 1)
	}
	name := r.Net.Vents[rd.Vent].Name
	return strings.Replace(w, " "+name, ": "+name, 1)
}

func reasonWords(g size.Reason) string {
	c := citeWords(g.Cites)
	if c == "" {
		return g.Text
	}
	return g.Text + " [" + c + "]"
}

func sizeTable(r *engine.Result, doc *report.Doc) *table {
	sys := r.Job.Units
	t := &table{
		title: "Drain sizes", lead: "Each size with the one rule that governs it.",
		cols: []column{{head: "Run", bold: true}, {head: "Role"}, {head: "Units", point: true}, {head: "WC", right: true}, {head: inMillimetres("Length", sys), right: true}, {head: "Fall"}, {head: "Size", bold: true, right: true}, {head: "Governed by", wide: true, again: true}},
	}
	for i := range doc.Runs {
		run := &doc.Runs[i]
		for k := 0; k < len(run.Pieces); k++ {
			p := run.Pieces[k]
			name := run.Name
			if k > 0 { // as lists of sizes name it
				name = "then"
				if p.Known && p.From > 0 {
					name = "from " + lengthWords(p.From, sys)
				}
			}
			if k+1 < len(run.Pieces) && goesOn(&p, &run.Pieces[k+1]) {
				k++
				q := &run.Pieces[k]
				p.Role, p.To, p.Known = "arm and fixture drain", q.To, p.Known && q.Known
				p.Segments = append(p.Segments[:len(p.Segments):len(p.Segments)], q.Segments...)
			}
			units := p.Units.String()
			if p.AtLeast {
				units += "+"
			}
			length := "?"
			if p.Known {
				length = lengthCell(p.To-p.From, sys)
			}
			s := sizeWords(p.Size)
			switch {
			case p.Given && p.Size < p.Required:
				s += ", needs " + sizeWords(p.Required)
			case p.Existing && !p.Given:
				s = "?, needs " + sizeWords(p.Required)
			}
			fall := ""
			for _, sg := range p.Segments {
				if r.Net.Segs[sg].Lie != network.Upright && fall == "" {
					fall = slopeWords(r.Levels.Slope[sg], sys)
				}
			}
			why := reasonWords(p.Governs)
			if p.Given && p.Size > p.Required && p.Governs.Min == p.Required {
				why = "given; the least is " + sizeWords(p.Required) + ": " + why
			}
			t.rows = append(t.rows, []string{name, p.Role, units, countOrBlank(p.Closets), length, fall, s, why})
		}
	}
	return t.starred()
}

// starred marks with a star what the table says is from memory, and tells what the star is.
func (t *table) starred() *table {
	const memory, star = " (from memory)", "*"
	some := false
	for _, r := range t.rows {
		for c := range r {
			if strings.Contains(r[c], memory) {
				some = true
				r[c] = strings.ReplaceAll(r[c], memory, star)
			}
		}
	}
	if some {
		t.lead = strings.TrimSpace(t.lead + " " + star + " from memory, not checked against a printed page.")
	}
	return t
}

// inMillimetres is the head of a column of lengths: with their unit where all have the same.
func inMillimetres(head string, sys unit.System) string {
	if sys == unit.Metric {
		return head + ", mm"
	}
	return head
}

// lengthCell is a length in such a column.
func lengthCell(l unit.Length, sys unit.System) string {
	if sys == unit.Metric {
		return strconv.FormatInt(int64(l.Round(unit.Millimetre)/unit.Millimetre), 10)
	}
	return lengthWords(l, sys)
}

// goesOn tells whether a drain goes on as its arm begins: of one size for one reason.
func goesOn(arm, drain *report.Piece) bool {
	return arm.Role == "trap arm" && drain.Role == "fixture drain" &&
		arm.Size == drain.Size && arm.Required == drain.Required && arm.Given == drain.Given && arm.Existing == drain.Existing &&
		arm.Units == drain.Units && arm.AtLeast == drain.AtLeast && reasonWords(arm.Governs) == reasonWords(drain.Governs)
}

func countOrBlank(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

func ventTable(r *engine.Result, doc *report.Doc) *table {
	sys := r.Job.Units
	t := &table{
		title: "Vents", empty: "No vent is drawn.",
		cols: []column{{head: "Vent", bold: true}, {head: "Ends"}, {head: "Serves", wide: true}, {head: "Units", point: true}, {head: "Largest drain", right: true}, {head: inMillimetres("Length", sys), right: true}, {head: "Size", bold: true, right: true}, {head: "Governed by", wide: true, again: true}},
	}
	for i := range doc.Vents {
		v := &doc.Vents[i]
		length := "?"
		if v.Known {
			length = lengthCell(v.Length, sys)
		}
		s := sizeWords(v.Size)
		if v.Given && v.Size < v.Required {
			s += ", needs " + sizeWords(v.Required)
		}
		why := ""
		if len(v.Reasons) > 0 {
			why = reasonWords(v.Reasons[0])
		}
		ends := v.Ends
		if ends == "" {
			ends = "not given"
		}
		t.rows = append(t.rows, []string{v.Name, ends, strings.Join(v.Serves, ", "), v.Units.String(), sizeWords(v.Drain), length, s, why})
	}
	return t.starred()
}

// questionTable lists what could not be checked and the question that would settle each.
func questionTable(r *engine.Result) *table {
	t := &table{
		title: "Open questions for the inspector and the job", empty: "Nothing was left unchecked.",
		lead: "What could not be checked because a fact is missing, each with the one question that settles it. A blank here is no pass.",
		cols: []column{{head: "No.", right: true}, {head: "About", bold: true}, {head: "What is open", wide: true}, {head: "Question", wide: true}, {head: "Code", wrap: true}, {head: "Answer", least: 30}},
	}
	k := 0
	for _, d := range r.Findings {
		if d.Severity != diag.Unchecked {
			continue
		}
		k++
		about := d.On.Name
		if about == "" {
			about = d.On.What.String()
		}
		t.rows = append(t.rows, []string{numberWords(k - 1), about, foundOn(about, d.Message), onPaper(d.Ask), citeWords(d.Cites), ""})
	}
	return t.starred()
}

// foundOn is a message as it stands beside the name of what it is about.
func foundOn(name, message string) string {
	return onPaper(strings.TrimPrefix(message, name+": "))
}

// onPaper is a sentence of a finding as it is printed: without what it says of how the job
// is written or of commands, which no one can follow on paper. Those parts stand between
// backticks, in a clause of their own.
func onPaper(text string) string {
	at := strings.IndexByte(text, '`')
	if at < 0 {
		return text
	}
	end := max(strings.LastIndexByte(text[:at], '?')+1, strings.LastIndexByte(text[:at], ';'), strings.LastIndexByte(text[:at], '.')+1)
	if end <= 0 {
		return strings.ReplaceAll(text, "`", "")
	}
	out := strings.TrimSpace(text[:end])
	// What follows in a sentence of its own stays.
	rest := text[at:]
	if n := strings.LastIndexByte(rest, '`'); n >= 0 {
		rest = rest[n+1:]
	}
	if n := strings.Index(rest, "; "); n >= 0 {
		out += "; " + rest[n+2:]
	}
	return out
}

// findingTable lists faults, warnings and notes with their numbers on the riser.
func findingTable(r *engine.Result) *table {
	t := &table{
		title: "Findings", empty: "No fault found in what was looked at.", lead: "Faults and warnings carry the number of their balloon on the riser.",
		cols: []column{{head: "No.", right: true, bold: true}, {head: "Kind"}, {head: "On", bold: true}, {head: "What was found", wide: true}, {head: "What would settle it", wide: true}, {head: "Code", wrap: true}},
	}
	k := 0
	for _, d := range r.Findings {
		no, kind := "", d.Severity.String()
		switch d.Severity {
		case diag.Error:
			kind = "fault"
			fallthrough
		case diag.Warning:
			k++
			no = numberWords(k - 1)
		case diag.Unchecked:
			continue
		}
		t.rows = append(t.rows, []string{no, kind, d.On.Name, foundOn(d.On.Name, d.Message), onPaper(d.Try), citeWords(d.Cites)})
	}
	return t.starred()
}

// roleOf tells the role of the segment at the lower end of a run.
func roleOf(n *network.Net, run *network.Run) network.Role {
	return n.Segs[run.Segs[len(run.Segs)-1]].Role
}
