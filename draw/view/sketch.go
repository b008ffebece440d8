package view

import (
	"math"
	"slices"
	"sort"
	"strings"

	"trapweir/draw"
	"trapweir/draw/layout"
	"trapweir/draw/textwidth"
	"trapweir/engine"
	"trapweir/engine/codebook"
	"trapweir/engine/unit"
)

// sketch is the drawing of one detail. Places are on a canvas of canvasW by canvasH
// millimetres, from its upper left corner; it is drawn larger where the paper allows it.
type sketch struct {
	r     *engine.Result
	id    string // of the detail, for the ids of what is drawn
	title string
	notes []string

	shapes []draw.Shape    // on the canvas
	water  []draw.Shape    // below all else
	flow   [][2]draw.Point // tips of arrows, and which way they point
	quads  []quad
	walls  []wallLine
	req    []layout.Label
	dims   []dimension
}

const canvasW, canvasH = 66.0, 60.0

// sketchShare of the width of a detail is drawing, the rest is words.
const sketchShare = 0.5

type quad struct {
	p    [4]draw.Point
	tube int
}

type wallLine struct {
	a, b  draw.Point
	tube  int
	layer draw.Layer
}

// tubeHalf is half the width of pipe in details.
const tubeHalf = 2.0

// tube is pipe seen from the side, as two lines; where tubes meet their lines are open.
func (k *sketch) tube(l draw.Layer, pts ...draw.Point) { k.tubeOf(l, tubeHalf, false, pts...) }

// tubeOf is tube with half its width, and closed at both ends if asked for.
func (k *sketch) tubeOf(l draw.Layer, half float64, shut bool, pts ...draw.Point) {
	n := len(pts)
	id := len(k.walls) + len(k.quads) + 1
	left, right := make([]draw.Point, n), make([]draw.Point, n)
	for i := range pts {
		var in, out draw.Point
		if i > 0 {
			in = pts[i].Sub(pts[i-1]).Unit()
		}
		if i+1 < n {
			out = pts[i+1].Sub(pts[i]).Unit()
		}
		switch {
		case i == 0:
			in = out
		case i+1 == n:
			out = in
		}
		mid := in.Add(out).Unit()
		w := half / max(math.Abs(mid.X*in.X+mid.Y*in.Y), 0.4)
		left[i], right[i] = pts[i].Sub(mid.Right().Mul(w)), pts[i].Add(mid.Right().Mul(w))
	}
	for i := 0; i+1 < n; i++ {
		k.quads = append(k.quads, quad{[4]draw.Point{left[i], left[i+1], right[i+1], right[i]}, id})
		k.walls = append(k.walls, wallLine{left[i], left[i+1], id, l}, wallLine{right[i], right[i+1], id, l})
	}
	if shut {
		k.walls = append(k.walls, wallLine{left[0], right[0], id, l}, wallLine{left[n-1], right[n-1], id, l})
	}
}

// pipes draws the walls of all tubes, without the parts that lie inside another tube.
func (k *sketch) pipes() {
	for _, w := range k.walls {
		d := w.b.Sub(w.a)
		var cuts [][2]float64
		for _, q := range k.quads {
			if q.tube == w.tube {
				continue
			}
			if lo, hi, ok := q.inside(w.a, d); ok {
				cuts = append(cuts, [2]float64{lo, hi})
			}
		}
		sort.Slice(cuts, func(i, j int) bool { return cuts[i][0] < cuts[j][0] })
		from := 0.0
		piece := func(to float64) {
			if (to-from)*d.Len() > 0.05 {
				k.add(draw.Line{Mark: draw.Mark{Layer: w.layer, Pen: draw.Pen{Width: draw.Bold, Dash: draw.Solid}}, A: w.a.Add(d.Mul(from)), B: w.a.Add(d.Mul(to))})
			}
		}
		for _, c := range cuts {
			piece(c[0])
			from = max(from, c[1])
		}
		piece(1)
	}
}

// inside is the part of the line from a along d, from 0 to 1, that lies within the quad.
func (q *quad) inside(a, d draw.Point) (lo, hi float64, ok bool) {
	lo, hi = 0, 1
	c := q.p[0].Add(q.p[2]).Mul(0.5)
	for i := range q.p {
		e := q.p[(i+1)%4].Sub(q.p[i])
		n := e.Right().Unit()
		if v := c.Sub(q.p[i]); v.X*n.X+v.Y*n.Y < 0 {
			n = n.Mul(-1)
		}
		v := a.Sub(q.p[i])
		at, way := v.X*n.X+v.Y*n.Y-0.01, d.X*n.X+d.Y*n.Y
		if math.Abs(way) < 1e-9 {
			if at < 0 {
				return 0, 0, false
			}
			continue
		}
		t := -at / way
		if way > 0 {
			lo = max(lo, t)
		} else {
			hi = min(hi, t)
		}
	}
	return lo, hi, hi > lo
}

func (k *sketch) add(s ...draw.Shape) { k.shapes = append(k.shapes, s...) }

func (k *sketch) line(l draw.Layer, w draw.Width, d draw.Dash, pts ...draw.Point) {
	k.add(draw.Polyline{Mark: draw.Mark{Layer: l, Pen: draw.Pen{Width: w, Dash: d}}, Points: pts})
}

func (k *sketch) box(l draw.Layer, w draw.Width, f draw.Fill, x0, y0, x1, y1 float64) {
	k.add(draw.Polygon{Mark: draw.Mark{Layer: l, Pen: draw.Pen{Width: w, Dash: draw.Solid}}, Fill: f, Points: []draw.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}})
}

// face is a floor, ground or wall line, hatched on the side that is right of its way.
func (k *sketch) face(pts ...draw.Point) {
	k.line(draw.LayerBuilding, draw.Medium, draw.Solid, pts...)
	for i := 1; i < len(pts); i++ {
		d := pts[i].Sub(pts[i-1])
		u := d.Unit()
		for t := 1.0; t < d.Len()-1; t += 2.6 {
			a := pts[i-1].Add(u.Mul(t + 1.2))
			k.line(draw.LayerBuilding, draw.Hair, draw.Solid, a, a.Sub(u.Mul(1.2)).Add(u.Right().Mul(1.4)))
		}
	}
}

// dim is a dimension from a to b, off millimetres to the right of that way.
func (k *sketch) dim(a, b draw.Point, off float64, words string) {
	k.dims = append(k.dims, dimension{a, b, off, words})
}

type dimension struct {
	a, b  draw.Point
	off   float64
	words string
}

// dimensions draws the dimensions of a drawing that is made scale times as large. Where a
// line is too short for its figure, the figure goes beside it.
func (k *sketch) dimensions(scale float64) {
	for _, d := range k.dims {
		g := draw.DimensionLine("", d.a, d.b, d.off, d.words)
		if textwidth.Width(d.words, draw.SmallestText, textwidth.Regular) > d.b.Sub(d.a).Len()*min(scale*0.9, 0.7) {
			n := d.b.Sub(d.a).Unit().Right()
			if d.off < 0 {
				n = n.Mul(-1)
			}
			g.Shapes = g.Shapes[:len(g.Shapes)-1]
			k.name(d.a.Add(d.b).Mul(0.5).Add(n.Mul(math.Abs(d.off))), 0.8, d.words, layout.RightOf, layout.LeftOf, layout.Below)
		}
		k.add(g)
	}
}

// name asks for room for words about a place.
func (k *sketch) name(at draw.Point, half float64, words string, sides ...layout.Side) {
	l := layout.Label{Lines: []string{words}, At: at, Half: half, Sides: sides, Priority: 2}
	if i := strings.LastIndexByte(strings.TrimSuffix(words, " mm"), ' '); i > 0 { // below each other where the drawing is narrow
		l.Short = [][]string{{words[:i], words[i+1:]}}
	}
	k.req = append(k.req, l)
}

// pipe names a pipe by its size and its run: the run is left out where the drawing has no
// room for its name, which the words tell.
func (k *sketch) pipe(at draw.Point, half float64, size unit.Size, run string, sides ...layout.Side) {
	first, name := sizeWords(size), upper(run)
	l := layout.Label{Lines: []string{first + " " + name}, At: at, Half: half, Sides: sides, Priority: 2}
	l.Short = [][]string{{first, name}}
	if lines := wrap(first+" "+name, draw.SmallestText, textwidth.Regular, longestName); len(lines) > 2 {
		l.Lines, l.Short = lines, nil
	}
	l.Short = append(l.Short, []string{first})
	k.req = append(k.req, l)
}

// longestName is how wide the names of pipes on details are, millimetres: longer ones are
// written below each other.
const longestName = 34.0

// also names what the notes tell too, where there is room for it.
func (k *sketch) also(at draw.Point, half float64, words string, sides ...layout.Side) {
	k.req = append(k.req, layout.Label{Lines: []string{words}, At: at, Half: half, Sides: sides, Priority: 1, Spare: true})
}

// arrow shows which way the water goes.
func (k *sketch) arrow(tip, dir draw.Point) {
	k.flow = append(k.flow, [2]draw.Point{tip, dir})
}

func (k *sketch) note(text string) {
	if text != "" {
		k.notes = append(k.notes, text)
	}
}

// elbow is a quarter or half turn as points, from degrees a to b about c.
func elbow(c draw.Point, r, a, b float64) []draw.Point {
	n := max(2, int(math.Abs(b-a)/15))
	out := make([]draw.Point, 0, n+1)
	for i := 0; i <= n; i++ {
		s, co := math.Sincos((a + (b-a)*float64(i)/float64(n)) * math.Pi / 180)
		out = append(out, draw.Point{X: c.X + r*co, Y: c.Y + r*s})
	}
	return out
}

// put sets the detail into a box on a sheet: title, drawing at the left, words at its right.
// The drawing is as large as a box so high would have it. It tells how many words found no
// room.
func (k *sketch) put(s *draw.Sheet, box draw.Rect, high float64) (lost int) {
	s.Add(draw.Polygon{Mark: draw.Mark{Layer: draw.LayerTable, Pen: draw.Pen{Width: draw.Hair}}, Points: []draw.Point{{X: box.X0, Y: box.Y0}, {X: box.X1, Y: box.Y0}, {X: box.X1, Y: box.Y1}, {X: box.X0, Y: box.Y1}}})
	title := k.titled(box.W())
	for i, l := range title {
		s.Add(draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: box.X0 + 3, Y: box.Y0 + 3 + float64(i)*nameStep}, Words: l, Size: nameSize, VAlign: draw.AtTop, Weight: textwidth.Bold})
	}
	top := 9 + float64(len(title)-1)*nameStep
	at := draw.Rect{X0: box.X0 + 3, Y0: box.Y0 + top, X1: box.X1 - 3, Y1: box.Y1 - 2.5}
	scale := min((min(high, box.H())-2.5-top)/canvasH, at.W()*sketchShare/canvasW)
	area := draw.Rect{X0: at.X0, Y0: at.Y0, X1: at.X0 + canvasW*scale, Y1: at.Y1}
	k.req = slices.Clone(k.req) // it may be drawn again
	k.dimensions(scale)
	on := k.shapes
	k.shapes = append([]draw.Shape(nil), k.water...)
	k.pipes()
	k.shapes = append(k.shapes, on...) // bodies of valves hide the pipe that they sit on
	var obs layout.Obstacles
	to := func(p draw.Point) draw.Point { return draw.Point{X: area.X0 + p.X*scale, Y: area.Y0 + p.Y*scale} }
	out := make([]draw.Shape, 0, len(k.shapes))
	for _, sh := range k.shapes {
		out = append(out, moved(sh, to, scale))
	}
	for _, a := range k.flow { // as large on any scale
		out = append(out, draw.Arrow(draw.Mark{Layer: draw.LayerSymbol}, to(a[0]), a[1], 2.4))
	}
	s.Add(draw.Group{Mark: draw.Mark{Layer: draw.LayerSymbol, ID: "detail " + k.id, Title: k.title}, Shapes: out})
	obs.AddShapes(out, s.Fine)
	clear := obs // no words on hoses, walls and floors either, where there is room
	draw.Walk(out, func(sh draw.Shape, _ *draw.SymbolRef) {
		if t, ok := sh.(draw.Polyline); ok && (t.Layer == draw.LayerFixture || t.Layer == draw.LayerBuilding) {
			clear.AddPolyline(t.Points, 0.2)
		}
	})
	req := k.req
	for i := range req {
		req[i].At, req[i].Half = to(req[i].At), req[i].Half*scale
	}
	missing := func(list []layout.Placed) (n int) {
		for _, p := range list {
			if !p.OK && !p.Label.Spare {
				n++
			}
		}
		return n
	}
	room := draw.Rect{X0: area.X0 - 2, Y0: area.Y0 - 1.5, X1: area.X1 + 2.5, Y1: area.Y1 + 1}
	placed := layout.Place(req, &clear, room)
	if missing(placed) > 0 {
		if over := layout.Place(req, &obs, room); missing(over) < missing(placed) {
			placed = over
		}
	}
	lost = missing(placed)
	for _, p := range placed {
		if p.OK {
			s.Add(p.Shapes())
		}
	}
	f := &flow{s: s, box: draw.Rect{X0: area.X1 + 4, Y0: at.Y0, X1: at.X1, Y1: at.Y1}, y: at.Y0}
	for _, n := range k.notes {
		lines := wrap(n, draw.SmallestText, textwidth.Regular, f.box.W())
		if !f.room(float64(len(lines)-1)*lineStep + draw.SmallestText) {
			lost++
			break
		}
		f.set(draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: f.box.X0, Y: f.y}}, lines)
	}
	return lost
}

// The letters of a detail's title, and from line to line of one that is too long for one.
const (
	nameSize = 3.0
	nameStep = nameSize * draw.Leading
)

// titled is the title in lines for a box so wide.
func (k *sketch) titled(wide float64) []string {
	return wrap(k.title, nameSize, textwidth.Bold, wide-6)
}

// deep is the height that the words of a detail take beside a drawing in a box w wide, in a
// row h high.
func (k *sketch) deep(w, h float64) float64 {
	wide := w - 6 - min((w-6)*sketchShare, (h-4-11.5)*canvasW/canvasH) - 4
	y := float64(len(k.titled(w))-1) * nameStep
	for _, n := range k.notes {
		y += float64(len(wrap(n, draw.SmallestText, textwidth.Regular, wide))-1)*lineStep + draw.SmallestText + 1.9
	}
	return y + 10
}

// moved gives a shape of the canvas on the sheet. Text keeps its size.
func moved(s draw.Shape, to func(draw.Point) draw.Point, scale float64) draw.Shape {
	list := func(ps []draw.Point) []draw.Point {
		out := make([]draw.Point, len(ps))
		for i, p := range ps {
			out[i] = to(p)
		}
		return out
	}
	switch s := s.(type) {
	case draw.Line:
		s.A, s.B = to(s.A), to(s.B)
		return s
	case draw.Polyline:
		s.Points = list(s.Points)
		return s
	case draw.Polygon:
		s.Points = list(s.Points)
		return s
	case draw.Circle:
		s.C, s.R = to(s.C), s.R*scale
		return s
	case draw.Arc:
		s.C, s.R = to(s.C), s.R*scale
		return s
	case draw.Text:
		s.At = to(s.At)
		if s.Layer == draw.LayerDimension && scale < 1 { // a figure keeps its distance from its line
			sin, cos := math.Sincos(s.Turn * math.Pi / 180)
			s.At = s.At.Add(draw.Point{X: sin, Y: -cos}.Mul(1.2 * (1 - scale)))
		}
		return s
	case draw.Group:
		g := s
		g.Shapes = make([]draw.Shape, len(s.Shapes))
		for i := range s.Shapes {
			g.Shapes[i] = moved(s.Shapes[i], to, scale)
		}
		return g
	}
	return s
}

// limit is a length that the book gives, with its place in brackets: `6" [P3103.1]`; "" where
// it gives none.
func (k *sketch) limit(param string) (words, cite string) {
	p := k.r.Book.Param(param)
	if p.State != codebook.Given || p.Length == 0 {
		return "", ""
	}
	return wholeWords(p.Length, k.r.Job.Units), cited(p.Cite)
}

// clause is the place in brackets where the book speaks of a topic.
func (k *sketch) clause(topic string) string {
	c, ok := k.r.Book.Clause(topic)
	if !ok {
		return ""
	}
	return cited(&c)
}
