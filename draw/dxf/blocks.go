package dxf

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"trapweir/draw"
)

// insert writes a symbol as an INSERT of its block; false where it has to be drawn stroke by
// stroke, because it is skewed or carries words.
func (w *writer) insert(s *draw.SymbolRef) bool {
	k, clockwise, rigid := s.Place.Rigid()
	if !rigid || k == 0 || s.Name == "" {
		return false
	}
	own := make([]draw.Shape, 0, len(s.Strokes))
	for _, sh := range s.Strokes {
		q, ok := back(sh, s.Place, k, clockwise)
		if !ok {
			return false
		}
		own = append(own, q)
	}
	key := s.Name + fmt.Sprintf("%.3v", own)
	i, found := w.known[key]
	if !found {
		name := strings.ToUpper(strings.ReplaceAll(s.Name, " ", "-"))
		w.names[name]++
		if n := w.names[name]; n > 1 {
			name += "-" + strconv.Itoa(n)
		}
		i = len(w.blocks)
		w.known[key] = i
		w.blocks = append(w.blocks, block{name, w.handle(), own})
	}
	// v points up on the sheet where the turn from u to v is anticlockwise.
	up := k
	if clockwise {
		up = -k
	}
	w.head("INSERT", "AcDbBlockReference", s.Mark)
	w.pair(2, w.blocks[i].name)
	w.at(10, s.Place.At)
	for i, v := range [3]float64{k, up, k} { // fixtures of a plan are a few hundredths of their size
		w.number(41+i, v, 1e9)
	}
	if deg := turn(-math.Atan2(s.Place.U.Y, s.Place.U.X) * 180 / math.Pi); deg != 0 {
		w.num(50, deg)
	}
	w.tail(s.Mark)
	return true
}

// back gives a stroke of a placed symbol about the origin of the symbol, x along u and y along
// v as written downward, without what only its place told; false for words.
func back(sh draw.Shape, p draw.Placement, k float64, clockwise bool) (draw.Shape, bool) {
	u, v := p.U.Mul(1/(k*k)), p.V.Mul(1/(k*k))
	to := func(q draw.Point) draw.Point {
		d := q.Sub(p.At)
		return draw.Point{X: round(d.X*u.X + d.Y*u.Y), Y: -round(d.X*v.X + d.Y*v.Y)}
	}
	list := func(in []draw.Point) []draw.Point {
		out := make([]draw.Point, len(in))
		for i, q := range in {
			out[i] = to(q)
		}
		return out
	}
	plain := func(m draw.Mark) draw.Mark { return draw.Mark{Layer: m.Layer, Pen: m.Pen} }
	switch s := sh.(type) {
	case draw.Line:
		return draw.Line{Mark: plain(s.Mark), A: to(s.A), B: to(s.B)}, true
	case draw.Polyline:
		return draw.Polyline{Mark: plain(s.Mark), Points: list(s.Points)}, true
	case draw.Polygon:
		return draw.Polygon{Mark: plain(s.Mark), Points: list(s.Points), Fill: s.Fill}, true
	case draw.Circle:
		return draw.Circle{Mark: plain(s.Mark), C: to(s.C), R: round(s.R / k), Fill: s.Fill}, true
	case draw.Arc:
		a := draw.Arc{Mark: plain(s.Mark), C: to(s.C), R: round(s.R / k), Sweep: s.Sweep}
		from := to(s.At(s.Start)).Sub(a.C)
		a.Start = round(math.Atan2(from.Y, from.X) * 180 / math.Pi)
		if clockwise { // v pointed down
			a.Sweep = -s.Sweep
		}
		return a, true
	}
	return nil, false
}

// round takes off what comes of turning there and back.
func round(v float64) float64 {
	if v = math.Round(v*1e4) / 1e4; v == 0 {
		return 0
	}
	return v
}

// define writes a block with its strokes.
func (w *writer) define(b *block) {
	h, owner, id := w.h, w.owner, w.id
	w.h, w.owner, w.id = 0, b.record, ""
	w.frame(b.name, b.record, w.handle(), w.handle(), b.strokes)
	w.h, w.owner, w.id = h, owner, id
}

// frame writes the beginning and the end of a block, and what is between.
func (w *writer) frame(name string, record, begin, end int, strokes []draw.Shape) {
	w.pair(0, "BLOCK")
	w.hex(5, begin)
	w.hex(330, record)
	w.pair(100, "AcDbEntity")
	w.pair(8, "0")
	w.pair(100, "AcDbBlockBegin")
	w.pair(2, name)
	w.int(70, 0)
	w.xyz(10, 0, 0)
	w.pair(3, name)
	w.pair(1, "")
	w.shapes(strokes)
	w.pair(0, "ENDBLK")
	w.hex(5, end)
	w.hex(330, record)
	w.pair(100, "AcDbEntity")
	w.pair(8, "0")
	w.pair(100, "AcDbBlockEnd")
}
