package layout

import (
	"sync"

	"trapweir/draw"
)

// Obstacles are what labels keep clear of. The zero value is none; those of NewObstacles work
// in room that Done gives to the next.
type Obstacles struct {
	segs  []seg
	soft  []seg
	boxes []draw.Rect
	words []draw.Rect // which leaders keep off, too
	owned []owned     // whose the lines are
}

var piles = sync.Pool{New: func() any { return new(Obstacles) }}

// NewObstacles gives none.
func NewObstacles() *Obstacles { return piles.Get().(*Obstacles) }

// Done ends the use of o.
func (o *Obstacles) Done() {
	o.segs, o.soft, o.boxes, o.words, o.owned = o.segs[:0], o.soft[:0], o.boxes[:0], o.words[:0], o.owned[:0]
	piles.Put(o)
}

type seg struct {
	a, b draw.Point
	half float64
}

// AddSegment adds a line; half is half its width.
func (o *Obstacles) AddSegment(a, b draw.Point, half float64) {
	o.segs = append(o.segs, seg{a, b, half})
}

// AddPolyline adds the pieces of a line.
func (o *Obstacles) AddPolyline(pts []draw.Point, half float64) {
	for i := 1; i < len(pts); i++ {
		o.AddSegment(pts[i-1], pts[i], half)
	}
}

// AddOutline adds a line that labels avoid where they can, and cross rather than stand far
// off: outlines of the building and of fixtures.
func (o *Obstacles) AddOutline(a, b draw.Point) { o.soft = append(o.soft, seg{a: a, b: b}) }

// AddBox adds an upright box.
func (o *Obstacles) AddBox(r draw.Rect) { o.boxes = append(o.boxes, r) }

// AddShapes adds what is drawn already: pipes and dimension lines as lines, symbols and
// words as boxes, outlines of the building and of fixtures in plan as outlines.
func (o *Obstacles) AddShapes(shapes []draw.Shape, fine bool) {
	draw.Walk(shapes, func(s draw.Shape, in *draw.SymbolRef) {
		m := s.Base()
		if m.Layer == draw.LayerBuilding || m.Layer == draw.LayerFixture {
			if _, ok := s.(draw.Text); !ok {
				pts, _ := outline(s)
				for i := 1; i < len(pts); i++ {
					o.AddOutline(pts[i-1], pts[i])
				}
				return
			}
		}
		if in != nil && in.Layer != draw.LayerFixture && in.Layer != draw.LayerBuilding {
			return // its box is added with the symbol
		}
		half := m.Pen.Or(m.Layer).Width.MM(fine) / 2
		switch s := s.(type) {
		case draw.SymbolRef:
			o.addSymbol(&s)
		case draw.Text:
			if r, ok := draw.Bounds(s); ok {
				o.words = append(o.words, r)
			}
		case draw.Line:
			if stops(m.Layer) {
				o.AddSegment(s.A, s.B, half)
			}
		case draw.Polyline:
			if stops(m.Layer) {
				o.AddPolyline(s.Points, half)
			}
		case draw.Polygon, draw.Circle, draw.Arc:
			if r, ok := draw.Bounds(s); ok && stops(m.Layer) {
				o.AddBox(r)
			}
		}
	})
}

// addSymbol adds a symbol as the box around its body; its hair lines, a roof say, reach
// beyond that and are lines.
func (o *Obstacles) addSymbol(s *draw.SymbolRef) {
	var body draw.Rect
	any := false
	for _, k := range s.Strokes {
		if k.Base().Pen.Width == draw.Hair {
			if pts, _ := outline(k); len(pts) > 0 {
				o.AddPolyline(pts, draw.Hair.MM(false)/2)
				continue
			}
		}
		if r, ok := draw.Bounds(k); ok {
			if any {
				r = r.Union(body)
			}
			body, any = r, true
		}
	}
	if any {
		o.AddBox(body)
	}
}

func stops(l draw.Layer) bool {
	return l.IsPipe() || l == draw.LayerSymbol || l == draw.LayerDimension || l == draw.LayerFinding || l == draw.LayerTable
}
