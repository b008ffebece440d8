package view

import (
	"math"
	"slices"
	"strconv"

	"trapweir/draw"
	"trapweir/draw/layout"
	"trapweir/draw/symbol"
	"trapweir/draw/textwidth"
	"trapweir/engine"
	"trapweir/engine/network"
)

// barRoom is what the bar scale takes below a plan, millimetres.
const barRoom = 12.0

// turnOf is how many quarters north is turned to the right of up on the plans of a job: as
// the job says, else so that the house lies along the paper where it is drawn much larger
// by that, with the sewer leaving at the right. here tells that the job did not ask for it.
func turnOf(r *engine.Result, area draw.Rect) (turn int, here bool) {
	if w := r.Job.Site.North.Text; w != "" {
		turn, _ = northOn(w)
		return turn, false
	}
	p := &plan{r: r, sys: r.Job.Units}
	p.places()
	if p.schematic || len(p.on) == 0 {
		return 0, false
	}
	p.bounds()
	p.bases()
	const notes = 50.0 // about what they take below a plan
	wide, high := area.W()-railRoom-blankAcross, area.H()-barRoom-railRoom-blankAbove
	fits := func(w, h float64) float64 {
		return max(min((wide-columnWidth(area)-5)/w, high/h), min(wide/w, (high-notes)/h))
	}
	w, h := p.box.W(), p.box.H()
	if fits(h, w) < 1.2*fits(w, h) {
		return 0, false
	}
	if o := r.Net.Outlet; o != network.None && p.low[o][1] < p.up[o][1] {
		return 3, true
	}
	return 1, true
}

// divide shares the room on a sheet out among the plan, its dimension lines and its notes:
// those stand below it, or in so many columns beside it.
func (p *plan) divide(area draw.Rect, under bool, beside int) {
	p.under = under
	p.columns = nil
	if !under {
		const gap = 5.0
		w := columnWidth(area)
		side := float64(beside)*(w+gap) - gap
		for i := range beside {
			x := area.X1 - side + float64(i)*(w+gap)
			p.columns = append(p.columns, draw.Rect{X0: x, Y0: area.Y0, X1: x + w, Y1: area.Y1})
		}
		p.area = draw.Rect{X0: area.X0, Y0: area.Y0, X1: area.X1 - side - 5, Y1: area.Y1 - barRoom}
		for _, p.tight = range [2]bool{false, true} {
			if p.explained = p.fill(nil, p.columns, true); p.explained {
				break
			}
		}
		p.whole = p.explained
		if !p.explained {
			p.tight = false
			if p.whole = p.fill(nil, p.columns, false); !p.whole {
				p.tight = true
				p.whole = p.fill(nil, p.columns, false)
			}
		}
	} else {
		n := max(2, int(area.W()/78))
		const gap = 6.0
		w := (area.W() - gap*float64(n-1)) / float64(n)
		deep := 20.0
		for ; deep < area.H()*0.6; deep += 4 {
			p.columns = nil
			for i := range n {
				x := area.X0 + float64(i)*(w+gap)
				p.columns = append(p.columns, draw.Rect{X0: x, Y0: area.Y1 - deep, X1: x + w, Y1: area.Y1})
			}
			if p.whole = p.fill(nil, p.columns, true); p.whole {
				p.explained = true
				break
			}
		}
		p.area = draw.Rect{X0: area.X0, Y0: area.Y0, X1: area.X1, Y1: area.Y1 - deep - 4 - barRoom}
	}
	p.field = p.area
	if !p.schematic && len(p.stubs) > 0 {
		p.field.X0, p.field.Y1 = p.field.X0+railRoom, p.field.Y1-railRoom
	}
}

// service is the row of draw.Services that a run is drawn as.
func (p *plan) service(run *network.Run) int {
	k := 0
	switch {
	case run.Def.State.Text == "existing":
		k = 5
	case run.Def.State.Text == "remove":
		k = 6
	case run.Def.Vented.Text == "combination":
		k = 3
	case len(run.Segs) > 0 && p.r.Net.Segs[run.Segs[0]].UnderGround:
		k = 1
	}
	return k
}

// notes writes stubs, notes and legend beside or below the plan.
func (p *plan) notes() {
	m := draw.Mark{Layer: draw.LayerTable, Pen: draw.Pen{Width: draw.Hair}}
	if b := p.columns[0]; p.under {
		y := b.Y0 - 3
		p.s.Add(draw.Line{Mark: m, A: draw.Point{X: b.X0, Y: y}, B: draw.Point{X: p.columns[len(p.columns)-1].X1, Y: y}})
	} else {
		p.s.Add(draw.Line{Mark: m, A: draw.Point{X: b.X0 - 3, Y: b.Y0}, B: draw.Point{X: b.X0 - 3, Y: b.Y1}})
	}
	from := len(p.s.Shapes)
	if p.whole {
		p.fill(p.s, p.columns, p.explained)
	} else {
		p.cutList(p.s, false)
	}
	p.noted = [2]int{from, len(p.s.Shapes)}
}

// cutList writes as much of the list of stubs as leaves room for the notes, and for the legend
// where that is asked for.
func (p *plan) cutList(s *draw.Sheet, legend bool) {
	p.tight = true
	box := p.columns[len(p.columns)-1]
	q := *p
	q.noList = true
	notes := &draw.Sheet{}
	q.fill(notes, []draw.Rect{{X0: box.X0, X1: box.X1, Y1: 1000}}, legend)
	p.listEnd = box.Y1 - used(notes) - 5
	p.listCut = !p.fill(s, p.columns, legend)
	p.listEnd = 0
}

// fill writes stubs, notes and legend into columns, one after the other; it tells whether
// all found room. Without legend, that is left for a free corner of the plan.
func (p *plan) fill(s *draw.Sheet, columns []draw.Rect, legend bool) bool {
	f := &flow{s: s, box: columns[0], y: columns[0].Y0, tight: p.tight}
	rest := columns[1:]
	next := func() bool {
		if len(rest) == 0 {
			return false
		}
		f.box, f.y, rest = rest[0], rest[0].Y0, rest[1:]
		return true
	}
	all := p.noList || p.stubTable(f, next)
	said := p.sentences()
	lines := len(draw.Wrap(said[0], draw.SmallestText, textwidth.Regular, f.box.W()))
	if f.y+10+float64(lines)*lineStep > f.box.Y1 && !next() || !f.heading("NOTES") {
		return false
	}
	for _, w := range said {
		for !f.words(w, 0, false) {
			if !next() {
				return false
			}
		}
		if !p.tight {
			f.y += 1.2
		}
	}
	if !legend {
		return all
	}
	list := p.key
	if len(list) == 0 {
		return all
	}
	lead := 4 + f.between() + f.under()
	fits := func(rows int, box draw.Rect, y float64) bool { return y+lead+float64(rows)*legendHigh <= box.Y1+1.5 }
	if !fits(len(list), f.box, f.y) && len(rest) > 0 && fits(len(list), rest[0], rest[0].Y0) || !fits(min(len(list), 2), f.box, f.y) {
		if !next() {
			return false
		}
	}
	if !f.heading("LINES AND MARKS") {
		return false
	}
	for _, x := range list {
		if f.y+legendHigh > f.box.Y1+1.5 && !next() {
			return false
		}
		x.put(f)
	}
	return all
}

// legendHigh is the height of a row of the legend.
const legendHigh = 5.2

// legendRow is a line or a mark of plans with its meaning.
type legendRow struct {
	words string
	draw  func(at draw.Point) []draw.Shape // with its middle there
}

func (x *legendRow) put(f *flow) {
	y := f.y + 1.25
	if f.s == nil { // only measured
		f.y += legendHigh
		return
	}
	f.add(draw.Group{Mark: draw.Mark{Layer: draw.LayerTable}, Shapes: x.draw(draw.Point{X: f.box.X0 + 9.5, Y: y})},
		draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: f.box.X0 + 21, Y: y}, Words: x.words, VAlign: draw.AtMiddle})
	f.y += legendHigh
}

// legend lists the lines and marks that stand on the plan.
func (p *plan) legend() []legendRow {
	n := p.r.Net
	var rows []legendRow
	used := map[int]bool{}
	for i := range n.Runs {
		run := &n.Runs[i]
		if slices.ContainsFunc(run.Segs, func(s network.SegID) bool { return p.on[s] }) {
			used[p.service(run)] = true
		}
	}
	for k, sv := range draw.Services {
		if !used[k] {
			continue
		}
		words := sv.Word
		switch k { // shorter than on a riser
		case 1:
			words = "Drain below floor or slab"
		case 3:
			words = "Combined waste and vent"
		}
		if sv.Tag != "" {
			words += " " + sv.Tag
		}
		rows = append(rows, legendRow{words, func(at draw.Point) []draw.Shape {
			return []draw.Shape{draw.Pipe(sv, "", "", at.Sub(draw.Point{X: 9.5}), at.Add(draw.Point{X: 9.5}))}
		}})
	}
	up, down, stub, vent := false, false, false, false
	for i := range n.Segs {
		here, above := p.rises(network.SegID(i))
		up, down = up || here && above, down || here && !above
	}
	for i := range n.Fixtures {
		stub = stub || p.on[n.Fixtures[i].Seg]
	}
	for v := range n.Vents {
		for _, t := range n.Vents[v].Takes {
			vent = vent || t.Seg != network.None && p.on[t.Seg]
		}
	}
	riser := func(name string) func(at draw.Point) []draw.Shape {
		return func(at draw.Point) []draw.Shape {
			return []draw.Shape{symbol.Get(name).Put(draw.Mark{Layer: draw.LayerDrain}, draw.Upright(at).Scaled(0.8))}
		}
	}
	if up {
		rows = append(rows, legendRow{"Pipe from above (UP)", riser("riser-up")})
	}
	ends := "End of a fixture's pipe"
	switch {
	case down && stub:
		ends = "Fixture's pipe, or DN"
	case down:
		rows = append(rows, legendRow{"Pipe goes down here (DN)", riser("riser-down")})
	}
	if stub {
		rows = append(rows, legendRow{ends, func(at draw.Point) []draw.Shape {
			return []draw.Shape{draw.Circle{Mark: draw.Mark{Layer: draw.LayerDrain, Pen: draw.Pen{Width: draw.Medium}}, C: at, R: 1.1, Fill: draw.FillPaper}}
		}})
	}
	if p.crossed {
		rows = append(rows, legendRow{"Passes below, not joined", func(at draw.Point) []draw.Shape {
			m := draw.Mark{Layer: draw.LayerDrain}
			return []draw.Shape{
				draw.Line{Mark: m, A: at.Add(draw.Point{Y: -2}), B: at.Add(draw.Point{Y: 2})},
				draw.Line{Mark: m, A: at.Add(draw.Point{X: -7}), B: at.Add(draw.Point{X: -crossGap})},
				draw.Line{Mark: m, A: at.Add(draw.Point{X: crossGap}), B: at.Add(draw.Point{X: 7})},
			}
		}})
	}
	for _, x := range p.marked() {
		rows = append(rows, legendRow{x.words, func(at draw.Point) []draw.Shape {
			lies := draw.Upright(at)
			layer := draw.LayerSymbol
			if x.name == "cleanout" {
				lies, layer = draw.Upright(at.Sub(draw.Point{X: 1.3})), draw.LayerDrain
			}
			return []draw.Shape{symbol.Get(x.name).Put(draw.Mark{Layer: layer}, lies.Scaled(markScale*x.scale))}
		}})
	}
	if vent {
		rows = append(rows, legendRow{"Vent rises (V UP)", func(at draw.Point) []draw.Shape {
			return []draw.Shape{draw.Circle{Mark: draw.Mark{Layer: draw.LayerVent, Pen: draw.Pen{Width: draw.Medium, Dash: draw.Solid}}, C: at, R: 1.8}}
		}})
	}
	return rows
}

// legendAside writes the legend into a place that the plan leaves free, where the column has
// no room for it.
func (p *plan) legendAside() {
	rows := p.key
	if p.explained || len(rows) == 0 {
		return
	}
	wide := 0.0
	for _, x := range rows {
		wide = max(wide, 22+textwidth.Width(x.words, draw.SmallestText, textwidth.Regular))
	}
	var obs layout.Obstacles
	obs.AddShapes(p.s.Shapes, p.s.Fine)
	var sizes [][2]float64
	for c := 1; c <= 3; c++ {
		sizes = append(sizes, [2]float64{float64(c)*(wide+4) - 4, 6.2 + legendHigh*math.Ceil(float64(len(rows))/float64(c))})
	}
	b, ok := obs.Free(p.area, 3, sizes...)
	if !ok { // rather a part of the list of stubs is left out: they stand on the plan
		p.lost++
		again := &draw.Sheet{}
		p.cutList(again, true)
		p.s.Shapes = slices.Replace(p.s.Shapes, p.noted[0], p.noted[1], again.Shapes...)
		return
	}
	f := &flow{s: p.s, box: b.Grow(0.01), y: b.Y0}
	f.heading("LINES AND MARKS")
	top, x0 := f.y, f.box.X0
	columns := max(1, int((b.W()+4.1)/(wide+4)))
	per := (len(rows) + columns - 1) / columns
	for i := range rows {
		if i > 0 && i%per == 0 {
			f.y = top
		}
		f.box.X0 = x0 + float64(i/per)*(wide+4)
		rows[i].put(f)
	}
}

// unknownLength stands in place of a length that the job does not give.
const unknownLength = "L ?"

// sentences are the notes of a plan.
func (p *plan) sentences() []string {
	list := []string{p.measured()}
	if p.tight {
		list[0] = p.measuredBriefly()
	}
	switch {
	case p.schematic:
		list = []string{"Not to scale: lengths or directions are not all given, and the drawing chooses what is missing. " + unknownLength + ": length not given."}
	case len(p.stubs) == 0:
		list = nil
	}
	if !slices.Contains(p.on, true) {
		list = []string{"No pipe lies on this level by itself: its fixtures stand on the plan of the drains below the floor."}
	}
	side := [...]string{"up", "to the right", "down", "to the left"}[p.turn]
	switch _, ok := northOn(p.r.Job.Site.North.Text); {
	case p.turnedHere:
		list = append(list, "Drawn along the sheet, with north "+side+".")
	case p.turn != 0:
		list = append(list, "Drawn as the plan of the house lies, with north "+side+".")
	case !ok:
		list = append(list, "Drawn with north up; on the plan of the house it lies "+p.r.Job.Site.North.Text+" degrees to the right of that.")
	}
	fall := "Lengths are developed lengths along the pipe."
	switch {
	case p.fall.Given() && p.tight:
		fall = "Falls " + slopeWords(p.fall, p.sys) + " unless written. Lengths run along the pipe."
	case p.fall.Given():
		fall = "Level drains fall " + slopeWords(p.fall, p.sys) + " where nothing else is written. " + fall
	}
	list = append(list, fall)
	if p.level == Below {
		list = append(list, "Caution: trenches cave in without warning. Have lines marked before digging, shore or slope the sides, and never work alone in a trench.")
	}
	if p.tight { // the title block says the rest
		return append(list, whoBriefly)
	}
	return append(list, who)
}

// stubTable lists the stubs with their places and inverts; it tells whether all found room.
func (p *plan) stubTable(f *flow, next func() bool) bool {
	if len(p.stubs) == 0 {
		return true
	}
	if !f.heading("STUBS") {
		return false
	}
	defer func() { f.y++ }()
	if p.schematic {
		tab := 17.0
		for _, t := range p.stubs {
			tab = max(tab, textwidth.Width(t.tag, draw.SmallestText, textwidth.Bold)+3)
		}
		return p.rows(f, next, func(t *stub) bool {
			name := t.name
			if upper(name) == t.tag {
				name = ""
			}
			return f.pair(t.tag, name, tab, true)
		})
	}
	rows := [][4]string{{"Tag", "E-W", "N-S", "IE"}}
	some := false
	for i := range p.stubs {
		t := &p.stubs[i]
		rows = append(rows, [4]string{t.tag, p.measure(0, t.x), p.measure(1, t.y), t.invert})
		some = some || t.invert != ""
	}
	if !some {
		rows[0][3] = ""
	}
	var wide [4]float64
	for i, r := range rows {
		for k := range r {
			w := textwidth.Regular
			if i == 0 || k == 0 {
				w = textwidth.Bold
			}
			wide[k] = max(wide[k], textwidth.Width(r[k], draw.SmallestText, w))
		}
	}
	gap := (f.box.W() - wide[0] - wide[1] - wide[2] - wide[3]) / 3
	if gap < 1.6 { // too wide for four columns
		i := 0
		return p.rows(f, next, func(*stub) bool {
			r := rows[i+1]
			tab := max(17, wide[0]+2)
			if r[3] == "" {
				ok := f.pair(r[0], r[1]+"  "+r[2], tab, true)
				if ok {
					i++
				}
				return ok
			}
			if !f.room(lineStep + draw.SmallestText) {
				return false
			}
			f.pair(r[0], r[1]+"  "+r[2], tab, true)
			f.words("IE "+r[3], tab, false)
			i++
			return true
		})
	}
	gap = min(gap, 9)
	step := lineStep + 0.6
	if p.tight {
		step = lineStep
	}
	line := func(r [4]string, head bool) {
		x := f.box.X0
		for k := range r {
			t := draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: x, Y: f.y}, Words: r[k], VAlign: draw.AtTop}
			if head || k == 0 {
				t.Weight = textwidth.Bold
			}
			if k > 0 { // figures stand below each other at their right
				t.At.X, t.Align = x+wide[k], draw.Right
			}
			if r[k] != "" {
				f.add(t)
			}
			x += wide[k] + gap
		}
		f.y += step
	}
	line(rows[0], true)
	i := 0
	return p.rows(f, next, func(*stub) bool {
		if !f.room(draw.SmallestText) {
			return false
		}
		if f.y <= f.box.Y0 {
			line(rows[0], true)
		}
		i++
		line(rows[i], false)
		return true
	})
}

// rows writes a row for every stub, into the next column where one is full. Where none is
// left it says how many more there are; their figures stand at the dimension lines.
func (p *plan) rows(f *flow, next func() bool, row func(t *stub) bool) bool {
	end := func() float64 { // of the present column
		if p.listEnd > 0 && f.box == p.columns[len(p.columns)-1] {
			return p.listEnd
		}
		return f.box.Y1
	}
	last, whole := end(), f.box.Y1
	for i := range p.stubs {
		f.box.Y1 = last
		if i+1 < len(p.stubs) {
			f.box.Y1 -= lineStep + 0.6 // a line is kept for what is left
		}
		ok := row(&p.stubs[i])
		f.box.Y1 = whole
		if ok {
			continue
		}
		if next() {
			last, whole = end(), f.box.Y1
			f.box.Y1 = last
			ok = row(&p.stubs[i])
			f.box.Y1 = whole
			if ok {
				continue
			}
		}
		words := "and " + strconv.Itoa(len(p.stubs)-i) + " more"
		if !p.schematic {
			words += ": see the dimension lines"
		}
		f.words(words, 0, false)
		return false
	}
	return true
}
