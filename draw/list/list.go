// Package list writes a sheet as words, a shape a line, so that tests see what is on it
// without any drawing format. Strokes of symbols are left out: the name says them.
package list

import (
	"strconv"

	"trapweir/draw"
	"trapweir/draw/textwidth"
)

// Render gives the sheet as text. Places are millimetres to two places; members of groups
// are indented.
func Render(s *draw.Sheet) []byte {
	w := writer{}
	w.word("sheet")
	w.quoted(s.Number)
	w.quoted(s.Title)
	w.num(s.W)
	w.b = append(w.b, " x"...)
	w.num(s.H)
	w.end()
	w.list(s.Shapes, 1)
	return w.b
}

type writer struct{ b []byte }

func (w *writer) end()            { w.b = append(w.b, '\n') }
func (w *writer) quoted(s string) { w.b = strconv.AppendQuote(append(w.b, ' '), s) }

func (w *writer) word(s string) {
	if n := len(w.b); n > 0 && w.b[n-1] != '\n' && w.b[n-1] != ' ' {
		w.b = append(w.b, ' ')
	}
	w.b = append(w.b, s...)
}

func (w *writer) num(v float64) {
	if v > -0.005 && v < 0 {
		v = 0
	}
	w.b = strconv.AppendFloat(append(w.b, ' '), v, 'f', 2, 64)
}

func (w *writer) at(p draw.Point) {
	w.num(p.X)
	w.b = append(w.b, ',')
	n := len(w.b)
	w.num(p.Y)
	copy(w.b[n:], w.b[n+1:]) // no blank after the comma
	w.b = w.b[:len(w.b)-1]
}

func (w *writer) mark(name string, m draw.Mark, f draw.Fill) {
	w.word(name)
	w.word(m.Layer.String())
	if m.Pen != (draw.Pen{}) {
		p := m.Pen.Or(m.Layer)
		w.word(p.Width.String())
		w.word(p.Dash.String())
	}
	if f != draw.NoFill {
		w.word(f.String())
	}
	if m.ID != "" {
		w.word("#")
		w.b = strconv.AppendQuote(w.b, m.ID)
	}
}

func (w *writer) list(list []draw.Shape, depth int) {
	for _, s := range list {
		for range depth {
			w.b = append(w.b, "  "...)
		}
		w.shape(s, depth)
	}
}

func (w *writer) points(pts []draw.Point) {
	for _, p := range pts {
		w.at(p)
	}
}

func (w *writer) title(m draw.Mark) {
	if m.Title != "" {
		w.word("title")
		w.quoted(m.Title)
	}
	w.end()
}

func (w *writer) shape(s draw.Shape, depth int) {
	switch s := s.(type) {
	case draw.Line:
		w.mark("line", s.Mark, 0)
		w.at(s.A)
		w.at(s.B)
		w.title(s.Mark)
	case draw.Polyline:
		w.mark("polyline", s.Mark, 0)
		w.points(s.Points)
		w.title(s.Mark)
	case draw.Polygon:
		w.mark("polygon", s.Mark, s.Fill)
		w.points(s.Points)
		w.title(s.Mark)
	case draw.Circle:
		w.mark("circle", s.Mark, s.Fill)
		w.at(s.C)
		w.word("r")
		w.num(s.R)
		w.title(s.Mark)
	case draw.Arc:
		w.mark("arc", s.Mark, 0)
		w.at(s.C)
		w.word("r")
		w.num(s.R)
		w.word("from")
		w.num(s.Start)
		w.word("through")
		w.num(s.Sweep)
		w.title(s.Mark)
	case draw.Text:
		w.mark("text", s.Mark, 0)
		w.at(s.At)
		w.num(s.Height())
		w.word(s.Align.String())
		w.word(s.VAlign.String())
		if s.Weight == textwidth.Bold {
			w.word("bold")
		}
		if s.Soft {
			w.word("soft")
		}
		if s.Turn != 0 {
			w.word("turned")
			w.num(s.Turn)
		}
		w.quoted(s.Words)
		w.title(s.Mark)
	case draw.Group:
		w.mark("group", s.Mark, 0)
		w.title(s.Mark)
		w.list(s.Shapes, depth+1)
	case draw.SymbolRef:
		w.mark("symbol "+s.Name, s.Mark, 0)
		w.at(s.Place.At)
		if p := draw.Upright(s.Place.At); s.Place != p {
			w.word("u")
			w.at(s.Place.U)
			w.word("v")
			w.at(s.Place.V)
		}
		for _, k := range s.Strokes {
			if t, ok := k.(draw.Text); ok {
				w.quoted(t.Words)
			}
		}
		w.title(s.Mark)
	}
}
