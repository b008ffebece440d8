package draw

import (
	"math"

	"trapweir/draw/textwidth"
)

// Along gives the point that lies d along a polyline from its first point, and the unit
// direction there. Past either end it gives the end.
func Along(pts []Point, d float64) (at, dir Point) {
	for i := 1; i < len(pts); i++ {
		step := pts[i].Sub(pts[i-1])
		l := step.Len()
		if (d <= l || i == len(pts)-1) && l > 0 {
			return pts[i-1].Add(step.Unit().Mul(min(max(d, 0), l))), step.Unit()
		}
		d -= l
	}
	if len(pts) == 0 {
		return Point{}, Point{1, 0}
	}
	return pts[len(pts)-1], Point{1, 0}
}

// Length gives the length of a polyline.
func Length(pts []Point) float64 {
	sum := 0.0
	for i := 1; i < len(pts); i++ {
		sum += pts[i].Sub(pts[i-1]).Len()
	}
	return sum
}

// between gives the part of a polyline from a to b along it.
func between(pts []Point, a, b float64) []Point {
	first, _ := Along(pts, a)
	out := []Point{first}
	d := 0.0
	for i := 1; i < len(pts)-1; i++ {
		d += pts[i].Sub(pts[i-1]).Len()
		if d > a && d < b {
			out = append(out, pts[i])
		}
	}
	last, _ := Along(pts, b)
	return append(out, last)
}

// Pipe draws a pipe of a service through pts, with the crosses or letters of the service,
// as one shape with the given id and title. A pipe too short for its letters goes without.
func Pipe(v Service, id, title string, pts ...Point) Shape {
	return PipeClear(v, nil, id, title, pts...)
}

// PipeClear is Pipe with a say in where letters are set: as near to their usual place as
// clear allows for their box. Letters that find no such place are left out.
func PipeClear(v Service, clear func(Rect) bool, id, title string, pts ...Point) Shape {
	m := Mark{Layer: v.Layer, ID: id, Title: title}
	length := Length(pts)
	const size = SmallestText
	w := textwidth.Width(v.Letters, size, textwidth.Bold)
	switch gap := w + 2.4; {
	case v.Crosses:
		const every, arm = 10.0, 1.4
		g := Group{Mark: m, Shapes: []Shape{Polyline{Mark{Layer: v.Layer}, pts}}}
		n := max(1, math.Floor(length/every))
		for i := 0.5; i < n; i++ {
			at, dir := Along(pts, length*i/n)
			for _, turn := range []Point{dir.Add(dir.Right()), dir.Sub(dir.Right())} {
				d := turn.Unit().Mul(arm)
				g.Shapes = append(g.Shapes, Line{Mark{Layer: v.Layer, Pen: Pen{Medium, Solid}}, at.Sub(d), at.Add(d)})
			}
		}
		return g
	case v.Letters != "" && length > gap+8:
		g := Group{Mark: m}
		n := max(1, math.Floor(length/60))
		from := 0.0
		for i := 0.5; i < n; i++ {
			mid, half, found := 0.0, 0.0, false
			var at, dir Point
			for _, off := range [...]float64{0, -0.15, 0.15, -0.3, 0.3} {
				mid = length * (i + off) / n
				at, dir = Along(pts, mid)
				// The letters stand level; across a steep pipe they need their height only.
				half = min(gap/2/max(math.Abs(dir.X), 0.01), (size*1.2+2)/2/max(math.Abs(dir.Y), 0.01))
				if found = clear == nil || mid-half > from+2 && mid+half < length-2 && clear(Rect{at.X - w/2, at.Y - size, at.X + w/2, at.Y + size}); found {
					break
				}
			}
			if !found {
				continue
			}
			g.Shapes = append(g.Shapes, Polyline{Mark{Layer: v.Layer}, between(pts, from, mid-half)},
				Text{Mark: Mark{Layer: v.Layer}, At: at, Words: v.Letters, Size: size, Align: Middle, VAlign: AtMiddle, Weight: textwidth.Bold})
			from = mid + half
		}
		g.Shapes = append(g.Shapes, Polyline{Mark{Layer: v.Layer}, between(pts, from, length)})
		return g
	}
	return Polyline{m, pts}
}

// CrossBehind gives the parts of the line from a to b that stay when it passes behind other
// lines at the places at, with gap millimetres left open on each side of every place.
func CrossBehind(a, b Point, gap float64, at ...Point) [][2]Point {
	dir, length := b.Sub(a).Unit(), b.Sub(a).Len()
	type cut struct{ from, to float64 }
	var cuts []cut
	for _, p := range at {
		q := p.Sub(a)
		t := q.X*dir.X + q.Y*dir.Y
		c := cut{t - gap, t + gap}
		i := len(cuts)
		for i > 0 && cuts[i-1].from > c.from {
			i--
		}
		cuts = append(cuts[:i], append([]cut{c}, cuts[i:]...)...)
	}
	var out [][2]Point
	from := 0.0
	for _, c := range cuts {
		if c.from > from {
			out = append(out, [2]Point{a.Add(dir.Mul(from)), a.Add(dir.Mul(min(c.from, length)))})
		}
		from = max(from, c.to)
	}
	if from < length {
		out = append(out, [2]Point{a.Add(dir.Mul(from)), b})
	}
	return out
}

// Arrow gives a filled arrowhead with its point at tip, pointing along dir, three times as
// long as it is wide (ASME Y14.2, from memory).
func Arrow(m Mark, tip, dir Point, length float64) Polygon {
	d := dir.Unit()
	back, side := tip.Sub(d.Mul(length)), d.Right().Mul(length/6)
	return Polygon{m, []Point{tip, back.Add(side), back.Sub(side)}, FillInk}
}

// DimensionLine draws a dimension between a and b: extension lines out to a line that lies
// off millimetres to the right of the way from a to b, slashes at its ends, and the words
// in the middle above it, turned so that they read from below or from the right.
func DimensionLine(id string, a, b Point, off float64, words string) Group {
	dir := b.Sub(a).Unit()
	n := dir.Right()
	if off < 0 {
		n = n.Mul(-1)
	}
	d := math.Abs(off)
	m := Mark{Layer: LayerDimension}
	p, q := a.Add(n.Mul(d)), b.Add(n.Mul(d))
	g := Group{Mark: Mark{Layer: LayerDimension, ID: id, Title: words}}
	for _, e := range []struct{ from, to Point }{{a, p}, {b, q}} {
		slash := dir.Add(dir.Right().Mul(-1)).Unit().Mul(1.2)
		g.Shapes = append(g.Shapes, Line{m, e.from.Add(n.Mul(1)), e.to.Add(n.Mul(1.5))},
			Line{Mark{Layer: LayerDimension, Pen: Pen{Bold, Solid}}, e.to.Sub(slash), e.to.Add(slash)})
	}
	turn := math.Atan2(dir.Y, dir.X) * 180 / math.Pi
	if turn > 90.01 {
		turn -= 180
	} else if turn <= -90.01 {
		turn += 180
	}
	if turn > 89.99 { // upright words read from the right-hand side
		turn -= 180
	}
	s, c := math.Sincos(turn * math.Pi / 180)
	mid := p.Add(q).Mul(0.5).Add(Point{s, -c}.Mul(1.2))
	g.Shapes = append(g.Shapes, Line{m, p, q},
		Text{Mark: Mark{Layer: LayerDimension}, At: mid, Words: words, Align: Middle, Turn: turn})
	return g
}

// ScaleBar draws a bar of steps equal parts, each part millimetres long on paper and
// worth worth of unit, alternately filled, so that the scale survives a copier.
func ScaleBar(at Point, steps int, part float64, worth float64, unit string) Group {
	g := Group{Mark: Mark{Layer: LayerDimension, Title: "Scale bar"}}
	m := Mark{Layer: LayerDimension}
	const h = 1.4
	for i := range steps {
		x := at.X + float64(i)*part
		f := FillPaper
		if i%2 == 0 {
			f = FillInk
		}
		g.Shapes = append(g.Shapes, Polygon{m, []Point{{x, at.Y}, {x + part, at.Y}, {x + part, at.Y + h}, {x, at.Y + h}}, f})
	}
	g.Shapes = append(g.Shapes, Polygon{m, []Point{at, {at.X + part*float64(steps), at.Y}, {at.X + part*float64(steps), at.Y + h}, {at.X, at.Y + h}}, NoFill})
	for i := 0; i <= steps; i++ {
		words := number(worth * float64(i))
		if i == steps {
			words += " " + unit
		}
		t := Text{Mark: m, At: Point{at.X + float64(i)*part, at.Y + h + 1.2}, Words: words, Align: Middle, VAlign: AtTop}
		if i == steps { // the number stays below its mark, the unit follows
			t.Align = Left
			t.At.X -= textwidth.Width(number(worth*float64(i)), t.Height(), t.Weight) / 2
		}
		g.Shapes = append(g.Shapes, t)
	}
	return g
}
