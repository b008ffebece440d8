package draw

// Scaled gives a shape k times as large about the corner of the sheet: places, radii and
// words. Pens stay, so that a sheet keeps its few widths of line.
func Scaled(s Shape, k float64) Shape {
	if k == 1 {
		return s
	}
	return Changed(s, k, Point{}, nil)
}

// Widened gives a shape with every line one width broader, for a drawing that is lettered
// so large that the usual widths look thin beside the words.
func Widened(s Shape) Shape {
	return Changed(s, 1, Point{}, func(m Mark, line bool) Mark {
		if line {
			m.Pen = m.Pen.Or(m.Layer)
			m.Pen.Width = min(m.Pen.Width+1, Broad)
		}
		return m
	})
}

// Changed gives a shape k times as large about the corner of the sheet and then moved by a
// step; mark, if any, changes the mark of the shape and those of its members, and is told
// whether it is one that draws a line.
func Changed(s Shape, k float64, by Point, mark func(m Mark, line bool) Mark) Shape {
	if mark == nil {
		mark = func(m Mark, _ bool) Mark { return m }
	}
	at := func(p Point) Point { return p.Mul(k).Add(by) }
	points := func(pts []Point) []Point {
		out := make([]Point, len(pts))
		for i, p := range pts {
			out[i] = at(p)
		}
		return out
	}
	all := func(list []Shape) []Shape {
		out := make([]Shape, len(list))
		for i, m := range list {
			out[i] = Changed(m, k, by, mark)
		}
		return out
	}
	switch s := s.(type) {
	case Line:
		s.A, s.B = at(s.A), at(s.B)
		s.Mark = mark(s.Mark, true)
		return s
	case Polyline:
		s.Points = points(s.Points)
		s.Mark = mark(s.Mark, true)
		return s
	case Polygon:
		s.Points = points(s.Points)
		s.Mark = mark(s.Mark, true)
		return s
	case Circle:
		s.C, s.R = at(s.C), s.R*k
		s.Mark = mark(s.Mark, true)
		return s
	case Arc:
		s.C, s.R = at(s.C), s.R*k
		s.Mark = mark(s.Mark, true)
		return s
	case Text:
		s.At, s.Size = at(s.At), s.Height()*k
		s.Mark = mark(s.Mark, false)
		return s
	case SymbolRef:
		s.Place = Placement{at(s.Place.At), s.Place.U.Mul(k), s.Place.V.Mul(k)}
		s.Strokes = all(s.Strokes)
		s.Mark = mark(s.Mark, false)
		return s
	case Group:
		s.Shapes = all(s.Shapes)
		s.Mark = mark(s.Mark, false)
		return s
	}
	return s
}
