package view

import (
	"math"
	"strings"

	"trapweir/draw"
	"trapweir/draw/textwidth"
	"trapweir/engine"
	"trapweir/report"
)

// Strip draws the walk of the water from a fixture (opt.Of, else the farthest one) to the
// outlet: a pipe that grows from left to right, what comes in at every step, the units
// added up, and at every step to a larger size the rule that asks for it.
func Strip(r *engine.Result, opt Options) []*draw.Sheet {
	steps, ok := report.Steps(r, opt.Of)
	if !ok {
		p := stripPager(r, opt)
		p.words("There is nothing to walk along.", 0, false)
		return p.sheets
	}
	var best []*draw.Sheet
	widest := widestStep(steps)
	for _, width := range stepWidths { // rather narrower steps than a sheet with a few
		if width < stepWidth && width < widest {
			break
		}
		if list := strip(r, opt, steps, width); best == nil || len(list) < len(best) {
			best = list
		}
		if len(best) == 1 {
			break
		}
	}
	return best
}

// stepWidths are the widths of a step that are tried.
var stepWidths = [...]float64{stepWidth, 36, 33}

// widestStep is the width of the widest figures, when they are small.
func widestStep(steps []report.Step) float64 {
	widest := 0.0
	for _, s := range steps {
		widest = max(widest, textwidth.Width(carried(s), draw.SmallestText, textwidth.Bold)+4)
	}
	return widest
}

func stripPager(r *engine.Result, opt Options) *pager {
	p := newPager(r, opt, paperOr(opt, "letter"), numberOr(opt, "P-W1"), "The walk of the water")
	p.boxes = []draw.Rect{wholeOf(p)}
	return p
}

// strip draws the walk with steps of at least a width.
func strip(r *engine.Result, opt Options, steps []report.Step, width float64) []*draw.Sheet {
	p := stripPager(r, opt)
	lead := "From " + steps[0].Run + " to the outlet. The pipe is drawn as wide as its size; units add up from left to right. Downstream a pipe must not get smaller."
	alone := !strings.HasPrefix(paperOr(opt, "letter"), panel) // a panel has its own title, and its sheet says who decides
	if alone {
		p.heading("How the sizes come about", 60)
	}
	p.words(lead, 0, false)
	p.y += 3
	row := max(3, int((p.box().W()+0.01)/width))
	rows := (len(steps) + row - 1) / row
	row = max(3, (len(steps)+rows-1)/rows) // rows of about the same length
	for from := 0; from < len(steps); from += row {
		p.steps(r, steps, from, min(from+row, len(steps)), row)
	}
	if alone && len(wrap(who, draw.SmallestText, textwidth.Regular, p.box().W()))*5 < int(p.box().Y1-p.y) { // no sheet of its own for it
		p.words(who, 0, true)
	}
	return p.sheets
}

// wholeOf joins the columns of a sheet into one.
func wholeOf(p *pager) draw.Rect {
	b := p.boxes[0]
	return b.Union(p.boxes[len(p.boxes)-1])
}

const (
	stepWidth = 40.0 // of one step, millimetres
	perInch   = 2.3  // height of the pipe for an inch of its size
)

// carried writes the size and what it carries at a step.
func carried(s report.Step) string {
	words := sizeWords(s.Size) + "   " + counted(s.Units)
	if s.Closets > 0 {
		words += ", " + countWords(s.Closets, "WC", "WC")
	}
	return words
}

// steps draws a row of steps.
func (p *pager) steps(r *engine.Result, steps []report.Step, from, to, row int) {
	const size = draw.SmallestText
	const pad = 2.0
	list := steps[from:to]
	w := min(p.box().W()/float64(row), stepWidth*1.5)
	inner := w - 2*pad
	fold := func(s string) []string { return wrap(s, size, textwidth.Regular, inner) }
	above, below, wide := 0, 0, 0.0
	heads := make([][]string, len(list))
	ins := make([][]string, len(list))
	whys := make([][]string, len(list))
	for i, s := range list {
		heads[i] = wrap(numberWords(from+i)+". "+s.Run, size, textwidth.Bold, inner)
		for _, in := range s.In {
			ins[i] = append(ins[i], fold("+ "+in)...)
		}
		why := s.Step
		if why == "" {
			why = s.Role
			if s.Spare != "" {
				why += "; " + s.Spare
			}
		}
		whys[i] = fold(why)
		above = max(above, len(heads[i])+len(ins[i]))
		below = max(below, len(whys[i]))
		wide = max(wide, float64(s.Size)/25_400_000*perInch)
	}
	figure := 3.0 // of the letters of sizes and units, the same in all rows
	for _, s := range steps {
		if textwidth.Width(carried(s), figure, textwidth.Bold) > inner { // they must not run together
			figure = size
		}
	}
	step := size * draw.Leading
	h := float64(above)*step + 8 + wide + 9 + float64(below)*step + 5
	if p.y+h > p.box().Y1 && !p.fresh {
		p.sheet()
		p.boxes = []draw.Rect{wholeOf(p)}
	}
	p.fresh = false
	top := p.y
	axis := top + float64(above)*step + 7 + wide/2
	b := p.box()
	half := func(i int) float64 { return max(0.6, float64(list[i].Size)/25_400_000*perInch/2) }
	var upperLine, lowerLine []draw.Point
	for i, s := range list {
		x := b.X0 + float64(i)*w
		// Words above: the run, what comes in.
		y := top
		for _, l := range heads[i] {
			p.text(x+pad, y, l, size, textwidth.Bold, false, draw.Left)
			y += step
		}
		y = axis - wide/2 - 6 - float64(len(ins[i]))*step + 1
		for _, l := range ins[i] {
			p.text(x+pad, y, l, size, textwidth.Regular, false, draw.Left)
			y += step
		}
		if len(s.In) > 0 { // an arrow into the pipe
			tip := draw.Point{X: x + pad + 3, Y: axis - half(i) - 0.6}
			m := draw.Mark{Layer: draw.LayerSymbol}
			p.s().Add(draw.Line{Mark: m, A: draw.Point{X: tip.X, Y: axis - wide/2 - 5.2}, B: draw.Point{X: tip.X, Y: tip.Y - 1.6}}, draw.Arrow(m, tip, draw.Point{Y: 1}, 2.2))
		}
		h0, h1 := half(i), half(i)
		x0 := x
		if i > 0 {
			x0 = x + 1.2
		}
		upperLine = append(upperLine, draw.Point{X: x0, Y: axis - h0}, draw.Point{X: x + w - 1.2, Y: axis - h1})
		lowerLine = append(lowerLine, draw.Point{X: x0, Y: axis + h0}, draw.Point{X: x + w - 1.2, Y: axis + h1})
		// Size and units below the pipe, then the reason.
		y = axis + wide/2 + 3
		bold := s.Step != ""
		p.text(x+pad, y, carried(s), figure, textwidth.Bold, false, draw.Left)
		y += 6
		for _, l := range whys[i] {
			p.text(x+pad, y, l, size, textwidth.Regular, !bold, draw.Left)
			y += step
		}
		if bold { // where the size steps up
			p.s().Add(draw.Line{Mark: draw.Mark{Layer: draw.LayerTable, Pen: draw.Pen{Dash: draw.Dots}}, A: draw.Point{X: x, Y: top}, B: draw.Point{X: x, Y: axis + wide/2 + 8 + float64(below)*step}})
		}
	}
	m := draw.Mark{Layer: draw.LayerSymbol, Pen: draw.Pen{Width: draw.Bold}}
	outline := append([]draw.Point(nil), upperLine...)
	for i := len(lowerLine) - 1; i >= 0; i-- {
		outline = append(outline, lowerLine[i])
	}
	id := "walk"
	if from > 0 {
		id += "." + numberWords(from)
	}
	p.s().Add(draw.Polygon{Mark: draw.Mark{Layer: draw.LayerDrain}, Points: outline, Fill: draw.FillTint},
		draw.Polyline{Mark: draw.Mark{Layer: draw.LayerSymbol, Pen: m.Pen, ID: id, Title: "The pipe from the fixture to the outlet, as wide as its size"}, Points: upperLine},
		draw.Polyline{Mark: m, Points: lowerLine})
	// Flow, and how the row goes on.
	end := b.X0 + float64(len(list))*w
	last := half(len(list) - 1)
	if to == len(steps) {
		p.s().Add(draw.Arrow(draw.Mark{Layer: draw.LayerSymbol}, draw.Point{X: end - 1.2 + min(5, math.Max(0, b.X1-end+1)), Y: axis}, draw.Point{X: 1}, 3.4))
	} else {
		p.s().Add(draw.Line{Mark: draw.Mark{Layer: draw.LayerSymbol, Pen: draw.Pen{Dash: draw.ShortDash}}, A: draw.Point{X: end - 1.2, Y: axis - last}, B: draw.Point{X: end - 1.2, Y: axis + last}})
	}
	p.y = top + h
}
