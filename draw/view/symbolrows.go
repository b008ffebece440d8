package view

import (
	"strings"

	"trapweir/draw"
	"trapweir/draw/layout"
	"trapweir/draw/symbol"
	"trapweir/draw/textwidth"
)

// legendSign is a symbol of a riser and what it stands for.
type legendSign struct {
	words string
	is    func(u *inUse) bool
	// put draws the symbol with its middle about at.
	put func(at draw.Point) []draw.Shape
}

// inUse is what stands on a riser.
type inUse struct {
	names  map[string]bool // symbols
	ends   map[string]bool // what ids end with, behind their last point
	dots   bool
	broken bool // a pipe passes behind another
}

// signs are explained in this order.
var signs = []legendSign{
	{"fixture on its trap", func(u *inUse) bool { return u.names["p-trap"] }, func(at draw.Point) []draw.Shape {
		head := at.Add(draw.Point{X: -2.2, Y: -2.6})
		m := draw.Mark{Layer: draw.LayerSymbol}
		bowl := draw.Polyline{Mark: m, Points: []draw.Point{head.Add(draw.Point{X: -2.2, Y: -1.6}), head.Add(draw.Point{X: -1, Y: 0}), head.Add(draw.Point{X: 1, Y: 0}), head.Add(draw.Point{X: 2.2, Y: -1.6})}}
		return []draw.Shape{signOf("p-trap", draw.Placement{At: head.Add(draw.Point{X: 4.3, Y: 3.75}), U: draw.Point{X: 0.75}, V: draw.Point{Y: -0.75}}), bowl}
	}},
	{"water closet, at the floor", func(u *inUse) bool { return u.names["closet-flange"] || u.names["closet-bend"] }, func(at draw.Point) []draw.Shape {
		return []draw.Shape{signOf("closet-bend", draw.Upright(at.Add(draw.Point{X: -1, Y: -2})).Scaled(0.8))}
	}},
	{"standpipe", func(u *inUse) bool { return u.names["standpipe"] }, func(at draw.Point) []draw.Shape {
		return []draw.Shape{
			signOf("standpipe", draw.Upright(at.Add(draw.Point{Y: -2.4})).Scaled(0.8)),
			draw.Line{Mark: draw.Mark{Layer: draw.LayerDrain}, A: at.Add(draw.Point{Y: -2.4}), B: at.Add(draw.Point{Y: 2.6})},
		}
	}},
	{"floor drain", func(u *inUse) bool { return u.ends["grate"] }, func(at draw.Point) []draw.Shape {
		q := &picture{s: &draw.Sheet{}}
		q.s.Add(draw.Line{Mark: draw.Mark{Layer: draw.LayerDrain}, A: at.Add(draw.Point{Y: -1}), B: at.Add(draw.Point{Y: 2.8})})
		q.grate("", at.Add(draw.Point{Y: -1}), 1)
		return unnamed(q.s.Shapes)
	}},
	{"vent through the roof (VTR)", func(u *inUse) bool { return u.names["vent-through-roof"] }, func(at draw.Point) []draw.Shape {
		return []draw.Shape{signOf("vent-through-roof", draw.Upright(at).Scaled(0.55))}
	}},
	{"air admittance valve (AAV)", func(u *inUse) bool { return u.names["air-admittance-valve"] }, func(at draw.Point) []draw.Shape {
		return []draw.Shape{signOf("air-admittance-valve", draw.Upright(at.Add(draw.Point{Y: 1.6})).Scaled(0.8))}
	}},
	{"vent joins", func(u *inUse) bool { return u.dots }, func(at draw.Point) []draw.Shape {
		return []draw.Shape{
			draw.Pipe(draw.Services[0], "", "", at, at.Add(draw.Point{Y: 3})),
			draw.Pipe(draw.Services[0], "", "", at, at.Add(draw.Point{X: 5.5})),
			draw.Pipe(draw.Services[2], "", "", at, at.Add(draw.Point{Y: -3.2})),
			draw.Circle{Mark: draw.Mark{Layer: draw.LayerSymbol}, C: at, R: 0.8, Fill: draw.FillInk},
		}
	}},
	{"cleanout (CO)", func(u *inUse) bool { return u.names["cleanout"] }, func(at draw.Point) []draw.Shape {
		return []draw.Shape{
			draw.Line{Mark: draw.Mark{Layer: draw.LayerDrain}, A: at.Add(draw.Point{X: 5}), B: at.Add(draw.Point{X: -1})},
			signOf("cleanout", draw.Placement{At: at.Add(draw.Point{X: -1}), U: draw.Point{X: -1}, V: draw.Point{Y: -1}}),
		}
	}},
	{"two-way cleanout, to both sides", func(u *inUse) bool { return u.names["two-way-cleanout"] }, func(at draw.Point) []draw.Shape {
		return []draw.Shape{signOf("two-way-cleanout", draw.Upright(at.Add(draw.Point{Y: 2.6})).Scaled(0.7))}
	}},
	{"backwater valve", func(u *inUse) bool { return u.names["backwater-valve"] }, func(at draw.Point) []draw.Shape {
		return []draw.Shape{signOf("backwater-valve", draw.Upright(at).Scaled(0.8))}
	}},
	{"basin with pump", func(u *inUse) bool { return u.ends["basin"] }, func(at draw.Point) []draw.Shape {
		const w, h = 2.6, 5.2
		m := draw.Mark{Layer: draw.LayerSymbol}
		top := at.Y - h/2
		return []draw.Shape{
			draw.Polyline{Mark: m, Points: []draw.Point{{X: at.X - w, Y: top}, {X: at.X - w, Y: top + h}, {X: at.X + w, Y: top + h}, {X: at.X + w, Y: top}}},
			draw.Line{Mark: draw.Mark{Layer: draw.LayerSymbol, Pen: draw.Pen{Width: draw.Bold}}, A: draw.Point{X: at.X - w - 0.6, Y: top}, B: draw.Point{X: at.X + w + 0.6, Y: top}},
			draw.Circle{Mark: m, C: draw.Point{X: at.X, Y: top + h*0.68}, R: 1.1},
			draw.Line{Mark: m, A: draw.Point{X: at.X, Y: top}, B: draw.Point{X: at.X, Y: top + h*0.68 - 1.1}},
		}
	}},
	{"capped end", func(u *inUse) bool { return u.names["capped-end"] }, func(at draw.Point) []draw.Shape {
		return []draw.Shape{
			draw.Line{Mark: draw.Mark{Layer: draw.LayerDrain}, A: at.Add(draw.Point{X: -5}), B: at},
			signOf("capped-end", draw.Upright(at)),
		}
	}},
	{"goes on, not drawn here", func(u *inUse) bool { return u.names["break-mark"] }, func(at draw.Point) []draw.Shape {
		return []draw.Shape{
			draw.Line{Mark: draw.Mark{Layer: draw.LayerDrain}, A: at.Add(draw.Point{X: -6}), B: at},
			signOf("break-mark", draw.Upright(at.Add(draw.Point{X: 0.9})), ""),
		}
	}},
	{"passes behind, does not join", func(u *inUse) bool { return u.broken }, func(at draw.Point) []draw.Shape {
		m := draw.Mark{Layer: draw.LayerDrain}
		return []draw.Shape{
			draw.Line{Mark: m, A: at.Add(draw.Point{Y: -2.8}), B: at.Add(draw.Point{Y: 2.8})},
			draw.Line{Mark: m, A: at.Add(draw.Point{X: -6}), B: at.Add(draw.Point{X: -1.5})},
			draw.Line{Mark: m, A: at.Add(draw.Point{X: 1.5}), B: at.Add(draw.Point{X: 6})},
		}
	}},
	{"lies off the axes, in the hatched plane", func(u *inUse) bool { return u.ends["skew"] }, func(at draw.Point) []draw.Shape {
		thin := draw.Mark{Layer: draw.LayerDimension}
		a, b, c := at.Add(draw.Point{X: -4.5, Y: 1.6}), at.Add(draw.Point{X: 4.5, Y: 1.6}), at.Add(draw.Point{Y: -1})
		out := []draw.Shape{
			draw.Line{Mark: draw.Mark{Layer: draw.LayerDrain}, A: a.Add(draw.Point{X: -1.5}), B: b.Add(draw.Point{X: 1.5})},
			draw.Polyline{Mark: thin, Points: []draw.Point{a, c, b}},
		}
		for j := 1; j < 4; j++ {
			t := float64(j) / 4
			out = append(out, draw.Line{Mark: thin, A: a.Add(b.Sub(a).Mul(t)), B: a.Add(c.Sub(a).Mul(t))})
		}
		return out
	}},
	{"number of a finding", func(u *inUse) bool { return u.names["balloon"] }, func(at draw.Point) []draw.Shape {
		return []draw.Shape{signOf("balloon", draw.Upright(at).Scaled(0.85), "1")}
	}},
}

// signOf is a symbol of a legend: it stands for no thing of the job.
func signOf(name string, at draw.Placement, words ...string) draw.Shape {
	return symbol.Get(name).Put(draw.Mark{Layer: signLayer(name)}, at, words...)
}

func signLayer(name string) draw.Layer {
	switch name {
	case "vent-through-roof", "air-admittance-valve":
		return draw.LayerVent
	case "break-mark":
		return draw.LayerSymbol
	case "balloon":
		return draw.LayerFinding
	}
	return draw.LayerDrain
}

// at draws the symbol of a row with its middle at a place, no higher than the row.
func (l legendSign) at(c draw.Point) draw.Shape {
	g := draw.Group{Mark: draw.Mark{Layer: draw.LayerTable}, Shapes: l.put(draw.Point{})}
	b, _ := draw.Bounds(g)
	k := min(1, (signHigh-0.8)/b.H(), 15/b.W())
	return draw.Changed(g, k, c.Sub(b.Centre().Mul(k)), nil)
}

// unnamed takes the ids off shapes.
func unnamed(list []draw.Shape) []draw.Shape {
	out := make([]draw.Shape, len(list))
	for i, s := range list {
		out[i] = draw.Changed(s, 1, draw.Point{}, func(m draw.Mark, _ bool) draw.Mark {
			m.ID, m.Title = "", ""
			return m
		})
	}
	return out
}

// uses finds what stands on the riser.
func (p *picture) uses() *inUse {
	u := &inUse{names: map[string]bool{}, ends: map[string]bool{}, broken: len(p.gaps) > 0}
	draw.Walk(p.s.Shapes, func(s draw.Shape, in *draw.SymbolRef) {
		switch s := s.(type) {
		case draw.SymbolRef:
			u.names[s.Name] = true
		case draw.Group:
			switch id := s.ID; {
			case id == "skew" || strings.HasPrefix(id, "skew."):
				u.ends["skew"] = true
			case strings.Contains(id, ".grate"):
				u.ends["grate"] = true
			case strings.Contains(id, ".basin"):
				u.ends["basin"] = true
			}
		case draw.Circle:
			u.dots = u.dots || in == nil && s.Layer == draw.LayerSymbol && s.Fill == draw.FillInk && s.ID == ""
		}
	})
	return u
}

// signsInUse are the symbols to explain.
func (p *picture) signsInUse() []legendSign {
	u := p.uses()
	var out []legendSign
	for _, s := range signs {
		if s.is(u) {
			out = append(out, s)
		}
	}
	return out
}

// Height of a row of the legend of symbols, and the width of the symbol in it.
const signHigh, signWide = 7.4, 18.0

// signRows explain the symbols in columns beside each other, if all of them find room and
// rest is left; it tells whether they stand.
func (p *picture) signRows(f *flow, rest float64) bool {
	list := p.signsInUse()
	if len(list) == 0 {
		return true
	}
	n, _ := signColumns(list, f.box.W())
	rows := (len(list) + n - 1) / n
	lead := 6.0
	if f.y > f.box.Y0 {
		lead += f.between()
	}
	if f.y+lead+float64(rows)*signHigh+rest > f.box.Y1 || !f.heading("SYMBOLS") {
		return false
	}
	for i, s := range list {
		x := f.box.X0 + float64(i/rows)*f.box.W()/float64(n)
		y := f.y + (float64(i%rows)+0.5)*signHigh - 1
		f.add(s.at(draw.Point{X: x + 8, Y: y}))
		f.add(draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: x + signWide, Y: y}, Words: s.words, VAlign: draw.AtMiddle})
	}
	f.y += float64(rows) * signHigh
	return true
}

// signColumns is how many columns of symbols stand in a width, and what one takes.
func signColumns(list []legendSign, w float64) (n int, wide float64) {
	for _, s := range list {
		wide = max(wide, signWide+textwidth.Width(s.words, draw.SmallestText, textwidth.Regular)+4)
	}
	return min(max(1, int((w+4)/wide)), len(list)), wide
}

// signsAside writes the legend of symbols into a corner that the riser leaves free, if
// there is one. All is on its sheet already.
func (p *picture) signsAside() {
	list := p.signsInUse()
	obs := layout.NewObstacles()
	defer obs.Done()
	obs.AddShapes(p.s.Shapes, p.s.Fine)
	area := p.onSheet()
	_, wide := signColumns(list, 0)
	var sizes [][2]float64
	for n := 1; n <= 4; n++ {
		rows := (len(list) + n - 1) / n
		sizes = append(sizes, [2]float64{float64(n) * wide, 6.2 + float64(rows)*signHigh})
	}
	if r, ok := obs.Free(area, 4, sizes...); ok {
		b := r.Grow(0.01)
		p.signRows(&flow{s: p.s, box: b, y: b.Y0}, 0)
	}
}

// signPage explains the symbols on a sheet of words.
func (p *picture) signPage(q *pager) {
	list := p.signsInUse()
	if len(list) == 0 {
		return
	}
	q.heading("Symbols", 2*signHigh)
	for _, s := range list {
		q.room(signHigh)
		b := q.box()
		y := q.y + signHigh/2 - 1
		q.s().Add(s.at(draw.Point{X: b.X0 + 12, Y: y}))
		q.text(b.X0+30, y-draw.SmallestText/2, s.words, draw.SmallestText, textwidth.Regular, false, draw.Left)
		q.y += signHigh
		q.fresh = false
	}
}
