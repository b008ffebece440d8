package view

import (
	"trapweir/draw"
	"trapweir/draw/textwidth"
)

// flow writes down a column of a sheet.
type flow struct {
	s     *draw.Sheet // nil only measures
	box   draw.Rect
	y     float64
	short bool // something found no room
	tight bool // rows and headings stand closer
}

// add draws, unless f only measures.
func (f *flow) add(shapes ...draw.Shape) {
	if f.s != nil {
		f.s.Add(shapes...)
	}
}

// between is the room before a heading, under that below it.
func (f *flow) between() float64 {
	if f.tight {
		return 1.4
	}
	return 3.2
}

func (f *flow) under() float64 {
	if f.tight {
		return 1.5
	}
	return 2
}

// afterRow is the room behind a row or a paragraph: that between lines.
const afterRow = 1.9

// room tells whether h millimetres are left.
func (f *flow) room(h float64) bool {
	if f.y+h <= f.box.Y1+0.01 {
		return true
	}
	f.short = true
	return false
}

const lineStep = draw.SmallestText * draw.Leading

// heading writes a small title with a rule under it.
func (f *flow) heading(words string) bool {
	if f.y > f.box.Y0 {
		f.y += f.between()
	}
	if !f.room(5 + lineStep) {
		return false
	}
	if f.s != nil {
		m := draw.Mark{Layer: draw.LayerTable}
		f.add(draw.Text{Mark: m, At: draw.Point{X: f.box.X0, Y: f.y}, Words: words, VAlign: draw.AtTop, Weight: textwidth.Bold},
			draw.Line{Mark: draw.Mark{Layer: draw.LayerTable, Pen: draw.Pen{Width: draw.Hair}}, A: draw.Point{X: f.box.X0, Y: f.y + 4}, B: draw.Point{X: f.box.X1, Y: f.y + 4}})
	}
	f.y += 4 + f.under()
	return true
}

// words writes lines wrapped to the width less indent.
func (f *flow) words(text string, indent float64, soft bool) bool {
	lines := draw.Wrap(text, draw.SmallestText, textwidth.Regular, f.box.W()-indent)
	if !f.room(float64(len(lines)-1)*lineStep + draw.SmallestText) {
		return false
	}
	f.set(draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: f.box.X0 + indent, Y: f.y}, Soft: soft}, lines)
	return true
}

// pair writes a label at the left and words at a tab stop.
func (f *flow) pair(label, text string, tab float64, bold bool) bool {
	lines := draw.Wrap(text, draw.SmallestText, textwidth.Regular, f.box.W()-tab)
	if !f.room(float64(len(lines)-1)*lineStep + draw.SmallestText) {
		return false
	}
	if f.s != nil {
		t := draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: f.box.X0, Y: f.y}, Words: label, VAlign: draw.AtTop}
		if bold {
			t.Weight = textwidth.Bold
		}
		f.add(t)
	}
	f.set(draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: f.box.X0 + tab, Y: f.y}}, lines)
	return true
}

// set writes lines below each other, the first of them at t, and goes on below them.
func (f *flow) set(t draw.Text, lines []string) {
	if f.s != nil {
		shapes, _ := draw.Lines(t, lines)
		f.add(shapes...)
	}
	f.y += draw.Depth(&t, len(lines)) + afterRow
}

// notes writes notes as far as they find room, and gives those that did not.
func (f *flow) notes(title string, list []string) (left []string) {
	need := 6.0 + draw.SmallestText + float64(len(draw.Wrap(list[0], draw.SmallestText, textwidth.Regular, f.box.W()))-1)*lineStep
	if f.y > f.box.Y0 {
		need += f.between()
	}
	if f.y+need > f.box.Y1+0.01 || !f.heading(title) {
		return list
	}
	for _, w := range list {
		// What is shorter may still find room, and the title block says the rest of who decides.
		if !f.words(w, 0, false) && (w != who || !f.words(whoBriefly, 0, false)) {
			left = append(left, w)
		}
	}
	return left
}

// depth measures what some rows take of a column.
func depth(box draw.Rect, tight bool, rows func(f *flow)) float64 {
	f := &flow{box: box, y: box.Y0 + 1, tight: tight}
	f.box.Y1 += 1000
	rows(f)
	return f.y - box.Y0 - 1
}
