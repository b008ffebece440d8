package draw

// Scaled gives a shape k times as large about the corner of the sheet: places, radii and
// words. Pens stay, so that a sheet keeps its few widths of line.
func Scaled(s Shape, k float64) Shape {
	if k == 1 {
		return s
	}
	points := func(pts []Point) []Point {
		out := make([]Point, len(pts))
		for i, p := range pts {
			out[i] = p.Mul(k)
		}
		return out
	}
	all := func(list []Shape) []Shape {
		out := make([]Shape, len(list))
		for i, m := range list {
			out[i] = Scaled(m, k)
		}
		return out
	}
	switch s := s.(type) {
	case Line:
		s.A, s.B = s.A.Mul(k), s.B.Mul(k)
		return s
	case Polyline:
		s.Points = points(s.Points)
		return s
	case Polygon:
		s.Points = points(s.Points)
		return s
	case Circle:
		s.C, s.R = s.C.Mul(k), s.R*k
		return s
	case Arc:
		s.C, s.R = s.C.Mul(k), s.R*k
		return s
	case Text:
		s.At, s.Size = s.At.Mul(k), s.Height()*k
		return s
	case SymbolRef:
		s.Place = Placement{s.Place.At.Mul(k), s.Place.U.Mul(k), s.Place.V.Mul(k)}
		s.Strokes = all(s.Strokes)
		return s
	case Group:
		s.Shapes = all(s.Shapes)
		return s
	}
	return s
}

// Widened gives a shape with every line one width broader, for a drawing that is lettered
// so large that the usual widths look thin beside the words.
func Widened(s Shape) Shape {
	pen := func(m *Mark) {
		p := m.Pen.Or(m.Layer)
		p.Width = min(p.Width+1, Broad)
		m.Pen = p
	}
	all := func(list []Shape) []Shape {
		out := make([]Shape, len(list))
		for i, m := range list {
			out[i] = Widened(m)
		}
		return out
	}
	switch s := s.(type) {
	case Line:
		pen(&s.Mark)
		return s
	case Polyline:
		pen(&s.Mark)
		return s
	case Polygon:
		pen(&s.Mark)
		return s
	case Circle:
		pen(&s.Mark)
		return s
	case Arc:
		pen(&s.Mark)
		return s
	case SymbolRef:
		s.Strokes = all(s.Strokes)
		return s
	case Group:
		s.Shapes = all(s.Shapes)
		return s
	}
	return s
}
