package view

import (
	"strconv"
	"strings"

	"trapweir/draw"
	"trapweir/draw/textwidth"
)

// panel begins the name of a part of a sheet of any size: panel 400x250. It has a title of
// its own in place of frame and title block.
const panel = "panel "

// panelTitle is the height of a panel's title, millimetres.
const panelTitle = 9.0

func panelOf(w, h float64) string {
	return panel + strconv.FormatFloat(w, 'f', 2, 64) + "x" + strconv.FormatFloat(h, 'f', 2, 64)
}

// newPanel makes an empty panel with its title, and gives the room left.
func newPanel(w, h float64, number, title, scale string) (*draw.Sheet, draw.Rect) {
	s := &draw.Sheet{Number: number, Title: title, W: w, H: h}
	x := textwidth.Width(title, 3.5, textwidth.Bold)
	const top = 0.8 // strokes that rise above capitals stay on it
	s.Add(draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{Y: top}, Words: title, Size: 3.5, VAlign: draw.AtTop, Weight: textwidth.Bold})
	if scale != "" {
		s.Add(draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: x + 6, Y: top + 1}, Words: scale, VAlign: draw.AtTop})
	}
	s.Add(draw.Line{Mark: draw.Mark{Layer: draw.LayerTable, Pen: draw.Pen{Width: draw.Medium}}, A: draw.Point{Y: top + 5.2}, B: draw.Point{X: w, Y: top + 5.2}})
	return s, draw.Rect{Y0: panelTitle, X1: w, Y1: h}
}

// bare begins the name of a part of a sheet with nothing on it: bare 400x250.
const bare = "bare "

func bareOf(w, h float64) string {
	return bare + strings.TrimPrefix(panelOf(w, h), panel)
}

// used is how far down a panel anything is drawn.
func used(s *draw.Sheet) float64 {
	y := 0.0
	for _, sh := range s.Shapes {
		if b, ok := draw.Bounds(sh); ok {
			y = max(y, b.Y1)
		}
	}
	return y
}

// lay puts a panel on a sheet with its upper left corner at a place, z times as large. From
// the second panel on ids begin with its number, so that no two are alike.
func lay(on, p *draw.Sheet, at draw.Point, z float64, first bool) {
	name := func(m draw.Mark, _ bool) draw.Mark {
		if m.ID != "" && !first {
			m.ID = p.Number + " " + m.ID
		}
		return m
	}
	for _, sh := range p.Shapes {
		on.Add(draw.Changed(sh, z, at, name))
	}
}
