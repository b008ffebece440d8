package view

import (
	"fmt"
	"slices"
	"sort"
	"strconv"
	"strings"

	"trapweir/draw"
	"trapweir/draw/layout"
	"trapweir/draw/textwidth"
	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// who is printed on every sheet.
const who = "Computed from what the job says; it approves nothing. Local code and the inspector decide, and licensed work is licensed work."

// whoBriefly is who where there is no room for all of it.
const whoBriefly = "Computed from what the job says; it approves nothing."

// roll begins the name of a sheet of any size: roll 1200x900.
const roll = "roll "

// newSheet makes a sheet with frame and title block and gives the room left.
func newSheet(r *engine.Result, opt Options, paper, number, title, scale string) (*draw.Sheet, draw.Rect) {
	s, ok := draw.NewSheet(paper, false, number, title)
	var w, h float64
	if size, is := strings.CutPrefix(paper, panel); is {
		if n, err := fmt.Sscanf(size, "%gx%g", &w, &h); n == 2 && err == nil {
			return newPanel(w, h, number, title, scale)
		}
	}
	if size, is := strings.CutPrefix(paper, bare); is {
		if n, err := fmt.Sscanf(size, "%gx%g", &w, &h); n == 2 && err == nil {
			return &draw.Sheet{Number: number, Title: title, W: w, H: h}, draw.Rect{X1: w, Y1: h}
		}
	}
	if size, is := strings.CutPrefix(paper, roll); is {
		if n, err := fmt.Sscanf(size, "%gx%g", &w, &h); n == 2 && err == nil {
			s, ok = &draw.Sheet{Number: number, Title: title, W: w, H: h, Margins: draw.Margins{Left: 15, Top: 10, Right: 10, Bottom: 10}}, true
		}
	}
	if !ok {
		s, _ = draw.NewSheet("letter", false, number, title)
	}
	get := func(keys ...string) string {
		for _, k := range keys {
			if w, ok := r.Job.Sheet[k]; ok && w.Text != "" {
				return w.Text
			}
		}
		return ""
	}
	address := get("address")
	if address == "" {
		address = r.Job.Site.Address.Text
	}
	var layers []string
	if r.Book != nil {
		for _, l := range r.Book.Layers() {
			layers = append(layers, l.ID)
		}
	}
	code, with := "", ""
	if len(layers) > 0 {
		code, with = layers[0], strings.Join(layers[1:], ", ")
	}
	if with == "" {
		with = "no local layer"
	}
	date := get("date")
	if date == "" {
		date = opt.Date
	}
	tb := draw.TitleBlock{
		Project: r.Job.Title.Text, Scale: scale, Of: opt.Place, Notice: "Local code and the inspector decide.", Stamp: opt.Stamp,
		Lines: []draw.Field{
			{Label: "Address", Value: address},
			{Label: "Owner", Value: get("owner")},
			{Label: "Permit", Value: get("permit")},
			{Label: "Code", Value: code},
			{Label: "With", Value: with},
			{Label: "Licence", Value: get("licence", "license")},
			{Label: "Drawn", Value: get("drawn by", "drawn")},
			{Label: "Date", Value: date},
		},
	}
	if opt.Stamp { // of a sheet for an office, where offices look for it
		tb.Lines = slices.Insert(tb.Lines, 2, draw.Field{Label: "Parcel", Value: get("parcel")})
	}
	return s, draw.DrawFrame(s, tb)
}

// lettered is how many times larger than usual the column of notes is written: small words
// are lost on large paper.
func lettered(paper float64) float64 {
	switch {
	case paper > 800:
		return 1.4
	case paper > 550:
		return 1.2
	}
	return 1
}

// column gives what the riser needs to be read beside it, k times as large as usual: totals,
// findings, lines, labels, fixtures, sizes, notes. What explains the drawing and what must
// be noted has its room first; the findings that then find none stand in their own list.
// Where the column is too full for the notes and all findings, the notes go into a corner
// that the riser leaves free.
func (p *picture) column(box draw.Rect, k float64) []draw.Shape {
	box = draw.Rect{X0: box.X0 / k, Y0: box.Y0 / k, X1: box.X1 / k, Y1: box.Y1 / k}
	out := &draw.Sheet{}
	m := draw.Mark{Layer: draw.LayerTable, Pen: draw.Pen{Width: draw.Hair}}
	out.Add(draw.Line{Mark: m, A: draw.Point{X: box.X0 - 3, Y: box.Y0}, B: draw.Point{X: box.X0 - 3, Y: box.Y1}})
	f := &flow{s: out, box: box, y: box.Y0}
	deep := func(rows func(f *flow)) float64 { return depth(box, f.tight, rows) }
	findings := func(f *flow) { f.findings(p.list, p.r.Findings, f.box.Y1) }
	all := func() float64 {
		return deep(p.outletRows) + deep(findings) + deep(p.lineRows) + deep(p.legend) + deep(p.noteRows)
	}
	f.tight = all() > box.H()
	aside := f.tight && all() > box.H() && p.notesAside()
	p.outletRows(f)
	legend, notes, first := deep(p.lineRows)+deep(p.legend), deep(p.noteRows), deep(p.firstNotes)
	if aside {
		notes, first = 0, 0
	}
	f.findings(p.list, p.r.Findings, box.Y1-legend-first)
	f.box.Y1 = box.Y1 - first
	p.lineRows(f)
	p.legend(f)
	f.box.Y1 = box.Y1
	p.fixtureList(f, notes)
	if deep(p.pipeRows)+notes <= box.Y1-f.y {
		p.pipeRows(f)
	}
	p.explained = p.signRows(f, notes)
	if !aside {
		p.left = f.notes("NOTES", p.sayings().notes)
	}
	for i, sh := range out.Shapes {
		out.Shapes[i] = draw.Scaled(sh, k)
	}
	return out.Shapes
}

// outletRows say what comes together at the outlet.
func (p *picture) outletRows(f *flow) {
	units, closets, fixtures := totals(p.r)
	f.heading("AT THE OUTLET")
	f.pair(units, "drainage fixture "+unitWord(p.r.Loads.Units[p.r.Net.Outlet]), tabFor(units), true)
	drawn := countWords(fixtures, "fixture drawn", "fixtures drawn")
	if p.keep != nil { // a part of the house
		here := 0
		for i := range p.r.Net.Fixtures {
			if p.kept(p.r.Net.Fixtures[i].Seg) {
				here++
			}
		}
		drawn = strconv.Itoa(here) + " of " + drawn
	}
	f.pair(countWords(closets, "water closet", "water closets")+",", drawn, textwidth.Width(countWords(closets, "water closet", "water closets")+", ", draw.SmallestText, textwidth.Regular)+0.8, false)
}

// notesAside writes the notes into a corner that the riser leaves free, and tells whether
// there is one.
func (p *picture) notesAside() bool {
	obs := layout.NewObstacles()
	defer obs.Done()
	obs.AddShapes(p.s.Shapes, p.s.Fine)
	var sizes [][2]float64
	for _, w := range [...]float64{84, 66, 110, 56} {
		w /= p.mag
		sizes = append(sizes, [2]float64{w, depth(draw.Rect{X1: w, Y1: 1}, false, p.noteRows)})
	}
	r, ok := obs.Free(p.area, 5, sizes...)
	if ok {
		p.noteRows(&flow{s: p.s, box: r.Grow(0.01), y: r.Y0 + 0.01})
	}
	return ok
}

// lineRows show the lines in use.
func (p *picture) lineRows(f *flow) {
	if !f.heading("LINES") {
		return
	}
	for _, k := range p.serviceRows() {
		sv := draw.Services[k]
		lines := draw.Wrap(sv.Word, draw.SmallestText, textwidth.Regular, f.box.W()-26)
		if !f.room(float64(len(lines)) * lineStep) {
			break
		}
		if f.s != nil { // a sample stands with the words of the list, no pipe of the drawing
			sample := draw.Pipe(sv, "", "", draw.Point{X: f.box.X0, Y: f.y + 1.25}, draw.Point{X: f.box.X0 + 22, Y: f.y + 1.25})
			f.add(draw.Group{Mark: draw.Mark{Layer: draw.LayerTable}, Shapes: []draw.Shape{sample}})
		}
		f.set(draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: f.box.X0 + 26, Y: f.y}}, lines)
	}
}

// serviceRows lists the rows of draw.Services in use.
func (p *picture) serviceRows() []int {
	var rows []int
	for k := range p.services {
		rows = append(rows, k)
	}
	sort.Ints(rows)
	return rows
}

// legend explains the labels and the call-outs of fittings.
func (p *picture) legend(f *flow) {
	say := p.sayings()
	tab := 23.0
	for _, list := range [...][][2]string{say.labels, say.called} {
		for _, row := range list {
			tab = max(tab, textwidth.Width(row[0], draw.SmallestText, textwidth.Regular)+3)
		}
	}
	rows := func(title string, list [][2]string) {
		if len(list) > 0 && f.heading(title) {
			for _, row := range list {
				if !f.pair(row[0], row[1], tab, false) {
					break
				}
			}
		}
	}
	rows("LABELS", say.labels)
	rows("FITTINGS", say.called)
}

// pipeRows sum the pipe by size.
func (p *picture) pipeRows(f *flow) {
	if !f.heading("PIPE") {
		return
	}
	for _, row := range p.bySize() {
		if !f.pair(row[0], row[1], 16, false) {
			break
		}
	}
}

// noteRows write the notes of this drawing, firstNotes those that it cannot be read without.
func (p *picture) noteRows(f *flow) { f.notes("NOTES", p.sayings().notes) }

func (p *picture) firstNotes(f *flow) { f.notes("NOTES", p.sayings().must) }

// sayings are what the column says of the whole picture.
type sayings struct {
	labels, called [][2]string
	must, notes    []string
}

// sayings works them out, once the labels stand.
func (p *picture) sayings() *sayings {
	if p.say == nil {
		p.say = &sayings{p.labelRows(), p.calledRows(), p.mustNote(), p.notes()}
	}
	return p.say
}

// moreNotes writes the notes that found no room in the column into a corner that the riser
// leaves free, or the last of them briefly. All is on the sheet already.
func (p *picture) moreNotes() {
	if len(p.left) == 0 {
		return
	}
	obs := layout.NewObstacles()
	defer obs.Done()
	obs.AddShapes(p.s.Shapes, p.s.Fine)
	for _, list := range [][]string{p.left, {whoBriefly}} {
		rows := func(f *flow) { f.notes("MORE NOTES", list) }
		var sizes [][2]float64
		for _, w := range [...]float64{66, 84, 56, 110, 46, 140} {
			sizes = append(sizes, [2]float64{w, depth(draw.Rect{X1: w, Y1: 1}, false, rows) + 1})
		}
		if r, ok := obs.Free(p.onSheet(), 3, sizes...); ok {
			b := r.Grow(0.01)
			rows(&flow{s: p.s, box: b, y: b.Y0})
			return
		}
	}
}

// onSheet is the room for pipework and labels in millimetres of the sheet.
func (p *picture) onSheet() draw.Rect {
	return draw.Rect{X0: p.area.X0 * p.mag, Y0: p.area.Y0 * p.mag, X1: p.area.X1 * p.mag, Y1: p.area.Y1 * p.mag}
}

// readings writes what the column would, on sheets of its own.
func (p *picture) readings(q *pager) {
	q.heading("Lines", 20)
	for _, k := range p.serviceRows() {
		sv := draw.Services[k]
		q.room(6)
		b := q.box()
		q.s().Add(draw.Pipe(sv, "", "", draw.Point{X: b.X0, Y: q.y + 1.25}, draw.Point{X: b.X0 + 24, Y: q.y + 1.25}))
		q.text(b.X0+30, q.y, sv.Word, draw.SmallestText, textwidth.Regular, false, draw.Left)
		q.y += 5
	}
	q.heading("Labels", 20)
	for _, row := range p.labelRows() {
		q.item(row[0], row[1], 30)
	}
	if rows := p.calledRows(); len(rows) > 0 {
		q.heading("Fittings", 20)
		for _, row := range rows {
			q.item(row[0], row[1], 30)
		}
	}
	p.signPage(q)
	q.heading("Pipe by size", 20)
	for _, row := range p.bySize() {
		q.item(row[0], row[1], 30)
	}
	q.heading("Notes", 12)
	for _, w := range p.notes() {
		q.words(w, 0, false)
	}
	rows := p.fixtureRows()
	list := words{fill: func(q *pager) {
		q.heading("Fixtures", 20)
		for _, row := range rows {
			text := row.what + ", " + counted(row.units)
			if row.trap != "" {
				text += ", " + row.trap
			}
			q.item(row.tag, text, 30)
		}
	}}
	if len(rows) > 0 && q.takes(false, list) {
		keeping(q, list)
	}
}

// labelRows explain the labels in use.
func (p *picture) labelRows() [][2]string {
	arm, open := 2*unit.Foot, 15*unit.Foot
	if p.sys == unit.Metric {
		arm, open = 600*unit.Millimetre, 4500*unit.Millimetre
	}
	out := [][2]string{{`3" S (14)`, "size, S soil, W waste, V vent, (units carried)"}}
	for _, row := range [...]struct{ begins, label, words string }{
		{"ARM ", "ARM " + lengthWords(arm, p.sys), "trap weir to vent, (MAX allowed)"},
		{"DL ", "DL " + lengthWords(open, p.sys), "developed length to the open air"},
		{"IE ", "IE", "inside bottom, from the datum of the job"},
		{"L ?", "L ?", "length not given"},
	} {
		if p.says(row.begins) {
			out = append(out, [2]string{row.label, row.words})
		}
	}
	return out
}

// fewMissing is how many labels without room are written out in the notes.
const fewMissing = 12

// says tells whether a label on the sheet, or in the notes, has a line that begins so, or
// ends so.
func (p *picture) says(begins string) bool {
	in := func(lines []string) bool {
		for _, l := range lines {
			if strings.HasPrefix(l, begins) || strings.HasSuffix(l, "  "+begins) {
				return true
			}
		}
		return false
	}
	if p.keep == nil && len(p.marks) > 0 { // or on one of the parts
		for i := range p.asked {
			if in(p.asked[i].Lines) {
				return true
			}
		}
	}
	for i := range p.placed {
		if q := &p.placed[i]; (q.OK || p.dropped <= fewMissing && !q.Label.Spare) && in(q.Lines) {
			return true
		}
	}
	return false
}

// listed is a fixture of a list: what its tag stands for.
type listed struct {
	tag, what, trap string
	units           unit.Load
}

// fixtureRows lists the fixtures that are drawn.
func (p *picture) fixtureRows() (rows []listed) {
	n := p.r.Net
	for _, i := range inOrder(n) {
		x := &n.Fixtures[i]
		if !p.kept(x.Seg) {
			continue
		}
		what := x.Kind.Name
		if x.Room != "" {
			what += ", " + x.Room
		}
		l := &p.r.Loads.Fixture[i]
		trap := ""
		if z := max(l.Trap, x.Def.Trap.V); z != 0 && !x.Kind.Integral {
			trap = "trap " + sizeWords(z)
		}
		rows = append(rows, listed{p.tags[i], what, trap, l.Units})
	}
	return rows
}

// fixtureList names the tags, when there is room for all of them and for what follows.
func (p *picture) fixtureList(f *flow, rest float64) {
	rows := p.fixtureRows()
	need := 8 + f.between() + float64(len(rows))*(draw.SmallestText+afterRow) + rest
	if len(rows) == 0 || f.y+need > f.box.Y1 || !f.heading("FIXTURES") {
		return
	}
	for _, row := range rows {
		y := f.y
		figures := join(row.units.String(), row.trap)
		right := textwidth.Width(figures, draw.SmallestText, textwidth.Regular)
		lines := draw.Wrap(row.what, draw.SmallestText, textwidth.Regular, f.box.W()-16-right-3)
		if !f.room(float64(len(lines)) * lineStep) {
			return
		}
		f.add(draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: f.box.X1, Y: y}, Words: figures, VAlign: draw.AtTop, Align: draw.Right})
		f.pair(row.tag, strings.Join(lines, "\n"), 16, true)
	}
}

// missing says which labels found no room, with their words while they are few.
func (p *picture) missing() string {
	if p.dropped == 0 {
		return ""
	}
	out := countWords(p.dropped, "label has", "labels have") + " no room and stand in the schedules"
	if p.dropped > fewMissing {
		return out + "."
	}
	var list []string
	for i := range p.placed {
		if q := &p.placed[i]; !q.OK && !q.Label.Spare {
			name, _, _ := strings.Cut(q.Label.ID, ".")
			list = append(list, strings.TrimSpace(name+" "+strings.Join(q.Label.Lines, " ")))
		}
	}
	return out + ": " + strings.Join(list, "; ") + "."
}

func tabFor(w string) float64 {
	return textwidth.Width(w, draw.SmallestText, textwidth.Bold) + 2
}

// findings lists what the balloons stand for, down to limit.
func (f *flow) findings(list, all []diag.Diagnostic, limit float64) {
	if len(all) == 0 || !f.heading("FINDINGS") {
		return
	}
	open := diag.Count(all, diag.Unchecked)
	if len(list) == 0 {
		f.words("No fault found in what was looked at.", 0, false)
	}
	unchecked := countWords(open, "thing is", "things are") + " not checked: a fact is missing. See the open questions."
	below := []string{countWords(len(list), "finding more stands", "findings more stand") + " in the list of findings."}
	if open > 0 {
		below = append(below, unchecked)
	}
	for i, d := range list {
		text := d.Message
		if c := citeWords(d.Cites); c != "" {
			text += " [" + c + "]"
		}
		tab := 8.0
		if len(list) > 99 {
			tab = 11
		}
		lines := draw.Wrap(text, draw.SmallestText, textwidth.Regular, f.box.W()-tab)
		last := 0.0 // what stands below the list
		for _, w := range below {
			last += float64(len(draw.Wrap(w, draw.SmallestText, textwidth.Regular, f.box.W()))) * lineStep
		}
		if i == len(list)-1 {
			last -= float64(len(draw.Wrap(below[0], draw.SmallestText, textwidth.Regular, f.box.W()))) * lineStep
		}
		if f.y+float64(len(lines))*lineStep+last > limit {
			more := " more"
			if i == 0 {
				more = ""
			}
			f.words(countWords(len(list)-i, "finding"+more+" stands", "findings"+more+" stand")+" in the list of findings.", 0, true)
			break
		}
		f.pair(numberWords(i)+".", text, tab, true)
	}
	if open > 0 {
		f.words(unchecked, 0, true)
	}
}

// bySize sums the pipe by size: what is drawn and how long it is where that is known.
func (p *picture) bySize() [][2]string {
	r, n := p.r, p.r.Net
	type sum struct {
		drain, vent  unit.Length
		d, v         bool // there is some
		openD, openV bool // not all lengths are known
	}
	by := map[unit.Size]*sum{}
	get := func(z unit.Size) *sum {
		if by[z] == nil {
			by[z] = &sum{}
		}
		return by[z]
	}
	for i := range n.Segs {
		if !p.kept(network.SegID(i)) {
			continue
		}
		x := get(r.Sizes.Size[i])
		x.d = true
		x.drain += n.Segs[i].Length()
		x.openD = x.openD || !n.Segs[i].LengthKnown
	}
	for v := range n.Vents {
		if e := p.g.ventEdges[v]; len(e) == 0 || !p.show[e[0]] {
			continue
		}
		x := get(r.Vents.Size[v].Size)
		x.v = true
		x.vent += n.Vents[v].Length
		x.openV = x.openV || !n.Vents[v].LengthKnown
	}
	var sizes []unit.Size
	for z := range by {
		sizes = append(sizes, z)
	}
	sort.Slice(sizes, func(i, j int) bool { return sizes[i] < sizes[j] })
	var out [][2]string
	for _, z := range sizes {
		x := by[z]
		var parts []string
		add := func(word string, l unit.Length, some, open bool) {
			if !some {
				return
			}
			if l > 0 {
				word += " " + lengthWords(l, p.sys)
				if open {
					word += " and more"
				}
			}
			parts = append(parts, word)
		}
		add("drain", x.drain, x.d, x.openD)
		add("vent", x.vent, x.v, x.openV)
		w := strings.Join(parts, ", ")
		out = append(out, [2]string{sizeWords(z), w})
	}
	return out
}

// mustNote are the notes that the drawing cannot be read without.
func (p *picture) mustNote() []string {
	out := []string{"Not to scale; directions hold. Build by the lengths written."}
	if p.keep == nil && len(p.marks) > 0 {
		out = append(out, "The riser is drawn whole on P-R1 and again in parts, "+partNumber(0)+" to "+partNumber(len(p.marks))+", with all sizes and lengths; MATCH letters tell where parts meet.")
	} else if w := p.missing(); w != "" {
		out = append(out, w)
	}
	if p.tiny {
		out = append(out, "Too much for this paper: sizes and tags stand in the schedules and on the parts drawn by themselves.")
	}
	if p.fall.Given() {
		out = append(out, "Level drains fall "+slopeWords(p.fall, p.sys)+" unless noted.")
	}
	return out
}

// notes are the sentences that this drawing needs, the weightiest first.
func (p *picture) notes() []string {
	out := p.mustNote()
	if p.roof > 0 {
		out = append(out, "Vents end "+lengthWords(p.roof, p.sys)+" above the roof (VTR).")
	}
	if turn, ok := northOn(p.r.Job.Site.North.Text); turn != 0 || !ok {
		w := "North lies " + [...]string{"up", "to the right", "down", "to the left"}[turn] + " on the plan of the house"
		if !ok {
			w = "North lies " + p.r.Job.Site.North.Text + " degrees to the right of up on the plan of the house"
		}
		if p.x.turn == turn {
			w += ", and this view looks as that does."
		} else {
			w += "; this view looks from another corner, as its arrow shows."
		}
		out = append(out, w)
	}
	if p.uncalled() {
		out = append(out, "Fittings are called out where there is room; the order lists all.")
	}
	if p.g.turned {
		out = append(out, "The job does not give every direction; the drawing chooses the others.")
	}
	if p.unknown*2 > p.pieces {
		out = append(out, "Most lengths are not given; such pipe is drawn as long as suits.")
	}
	if p.g.spread {
		out = append(out, "Joins that would cover each other are drawn apart.")
	}
	out = append(out, who)
	return out
}
