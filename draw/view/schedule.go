package view

import (
	"strconv"
	"strings"

	"trapweir/draw"
	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/size"
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
	t := &table{
		title: "Fixtures and units", empty: "No fixture is drawn; what comes in from other parts stands in the size schedule.",
		cols: []column{{head: "Tag", bold: true}, {head: "Fixture"}, {head: "Room, level"}, {head: "Units", right: true}, {head: "Units from", wide: true}, {head: "Trap"}, {head: "Vented", wide: true}},
	}
	tags := tagsOf(r.Net)
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
		t.rows = append(t.rows, []string{tags[fix], f.Kind, where, units, from, trap, f.Vented})
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
			t.rows = append(t.rows, []string{"", "part not drawn: " + run.Name, run.Def.Carries.Level.Text, units, strings.Join(what, ", "), "", "not looked at"})
		}
	}
	units, closets, n := totals(r)
	t.total = []string{"", countWords(n, "fixture drawn", "fixtures drawn"), "", units, "at the outlet, with " + countWords(closets, "water closet", "water closets"), "", ""}
	return t
}

func reasonWords(g size.Reason) string {
	c := citeWords(g.Cites)
	if c == "" {
		return g.Text
	}
	return g.Text + " [" + c + "]"
}

func sizeTable(r *engine.Result, doc *report.Doc) *table {
	t := &table{
		title: "Drain sizes", lead: "Each size with the one rule that governs it; smaller sizes that the tables alone would allow are not drawn.",
		cols: []column{{head: "Run", bold: true}, {head: "Role"}, {head: "Units", right: true}, {head: "WC", right: true}, {head: "Length", right: true}, {head: "Fall"}, {head: "Size", bold: true, right: true}, {head: "Governed by", wide: true}},
	}
	sys := r.Job.Units
	last := ""
	for i := range doc.Runs {
		run := &doc.Runs[i]
		for k := range run.Pieces {
			p := &run.Pieces[k]
			name := run.Name
			if k > 0 {
				name = "  then"
			}
			units := p.Units.String()
			if p.AtLeast {
				units += "+"
			}
			length := "?"
			if p.Known {
				length = lengthWords(p.To-p.From, sys)
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
			if k > 0 && why == last {
				why = "as above"
			} else {
				last = why
			}
			t.rows = append(t.rows, []string{name, p.Role, units, countOrBlank(p.Closets), length, fall, s, why})
		}
	}
	return t
}

func countOrBlank(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

func ventTable(r *engine.Result, doc *report.Doc) *table {
	t := &table{
		title: "Vents", empty: "No vent is drawn.",
		cols: []column{{head: "Vent", bold: true}, {head: "Ends"}, {head: "Serves", wide: true}, {head: "Units", right: true}, {head: "Largest drain", right: true}, {head: "Length", right: true}, {head: "Size", bold: true, right: true}, {head: "Governed by", wide: true}},
	}
	sys := r.Job.Units
	for i := range doc.Vents {
		v := &doc.Vents[i]
		length := "?"
		if v.Known {
			length = lengthWords(v.Length, sys)
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
	return t
}

// questionTable lists what could not be checked and the question that would settle each.
func questionTable(r *engine.Result) *table {
	t := &table{
		title: "Open questions for the inspector and the job", empty: "Nothing was left unchecked.",
		lead: "What could not be checked because a fact is missing, each with the one question that settles it. A blank here is no pass.",
		cols: []column{{head: "No.", right: true}, {head: "About", bold: true}, {head: "Question", wide: true}, {head: "What is open", wide: true}, {head: "Place"}},
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
		t.rows = append(t.rows, []string{numberWords(k - 1), about, d.Ask, d.Message, citeWords(d.Cites)})
	}
	return t
}

// findingTable lists faults, warnings and notes with their numbers on the riser.
func findingTable(r *engine.Result) *table {
	t := &table{
		title: "Findings", empty: "No fault found in what was looked at.", lead: "Faults and warnings carry the number of their balloon on the riser.",
		cols: []column{{head: "No.", right: true, bold: true}, {head: ""}, {head: "On"}, {head: "What was found", wide: true}, {head: "What would settle it", wide: true}, {head: "Place"}},
	}
	k := 0
	for _, d := range r.Findings {
		no := ""
		switch d.Severity {
		case diag.Error, diag.Warning:
			k++
			no = numberWords(k - 1)
		case diag.Unchecked:
			continue
		}
		t.rows = append(t.rows, []string{no, d.Severity.String(), d.On.Name, d.Message, d.Try, citeWords(d.Cites)})
	}
	return t
}

// roleOf tells the role of the segment at the lower end of a run.
func roleOf(n *network.Net, run *network.Run) network.Role {
	return n.Segs[run.Segs[len(run.Segs)-1]].Role
}
