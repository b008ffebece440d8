// Package dxf writes a sheet as ASCII DXF of release 12, the form that every drafting
// program reads: lines on named layers with line types, text with its height of capitals.
//
// Units are millimetres on paper, y up from the lower left corner of the sheet. Release 12
// has no line weights: lines of 0.5 mm and more, which are the pipes and the frame, become
// polylines of that width, thinner ones have none. Colours follow the inks: 7 is black or
// white, 8 grey, 1 red. Filled triangles become SOLIDs and filled circles wide rings; an
// inside that hides what is below keeps its outline only. The id of a shape is written as
// extended data of the application TRAPWEIR.
package dxf

import (
	"math"
	"strconv"
	"strings"

	"trapweir/draw"
	"trapweir/draw/font"
	"trapweir/draw/textwidth"
)

// App is the application name that ids are written under.
const App = "TRAPWEIR"

type writer struct {
	b    []byte
	h    float64
	fine bool
	id   string // of the innermost group that has one
}

// Layer gives the name of a layer in the file.
func Layer(l draw.Layer) string { return layerNames[l] }

var layerNames = func() (names [draw.LayerCount]string) {
	for l := range names {
		names[l] = strings.ToUpper(draw.Layer(l).String())
	}
	return names
}()

func lineType(d draw.Dash) string {
	if d == draw.Solid {
		return "CONTINUOUS"
	}
	return strings.ToUpper(strings.ReplaceAll(d.String(), "-", "_"))
}

// colours are the colour numbers of the inks.
var colours = [draw.InkCount]int{draw.Black: 7, draw.Grey: 8, draw.Red: 1}

// wide gives the width that a line is written with, 0 for the thin ones.
func (w *writer) wide(m draw.Mark) float64 {
	if p := m.Pen.Or(m.Layer); p.Width >= draw.Bold {
		return p.Width.MM(w.fine)
	}
	return 0
}

// Render gives the whole file.
func Render(s *draw.Sheet) []byte {
	w := writer{b: make([]byte, 0, 4096+300*len(s.Shapes)), h: s.H, fine: s.Fine}
	w.pair(999, App)
	w.section("HEADER")
	w.pair(9, "$ACADVER")
	w.pair(1, "AC1009")
	w.pair(9, "$EXTMIN")
	w.xyz(10, 0, 0)
	w.pair(9, "$EXTMAX")
	w.xyz(10, s.W, s.H)
	w.pair(9, "$LIMMIN")
	w.num(10, 0)
	w.num(20, 0)
	w.pair(9, "$LIMMAX")
	w.num(10, s.W)
	w.num(20, s.H)
	w.pair(9, "$LTSCALE")
	w.num(40, 1)
	w.pair(9, "$TEXTSIZE")
	w.num(40, draw.DefaultText)
	w.pair(0, "ENDSEC")

	w.section("TABLES")
	w.table("LTYPE", draw.DashCount)
	for d := range draw.Dash(draw.DashCount) {
		w.pair(0, "LTYPE")
		w.pair(2, lineType(d))
		w.int(70, 0)
		w.pair(3, d.Meaning())
		w.int(72, 65)
		w.int(73, len(d.MM()))
		sum := 0.0
		for _, v := range d.MM() {
			sum += v
		}
		w.num(40, sum)
		for i, v := range d.MM() {
			if i%2 == 1 {
				v = -v
			}
			w.num(49, v)
		}
	}
	w.pair(0, "ENDTAB")
	w.table("LAYER", draw.LayerCount+1)
	w.layer("0", 7, draw.Solid)
	for l := range draw.Layer(draw.LayerCount) {
		w.layer(Layer(l), colours[l.Ink()], l.Pen().Dash)
	}
	w.pair(0, "ENDTAB")
	w.table("STYLE", 3)
	w.style("STANDARD", "txt")
	w.style("REGULAR", font.Family+"-Regular.ttf")
	w.style("BOLD", font.Family+"-Bold.ttf")
	w.pair(0, "ENDTAB")
	w.table("APPID", 1)
	w.pair(0, "APPID")
	w.pair(2, App)
	w.int(70, 0)
	w.pair(0, "ENDTAB")
	w.pair(0, "ENDSEC")

	w.section("BLOCKS")
	w.pair(0, "ENDSEC")
	w.section("ENTITIES")
	w.shapes(s.Shapes)
	w.pair(0, "ENDSEC")
	w.pair(0, "EOF")
	return w.b
}

func (w *writer) code(c int) {
	if c < 100 {
		w.b = append(w.b, ' ')
	}
	if c < 10 {
		w.b = append(w.b, ' ')
	}
	w.b = append(strconv.AppendInt(w.b, int64(c), 10), '\n')
}

func (w *writer) pair(c int, v string) {
	w.code(c)
	w.b = append(append(w.b, v...), '\n')
}

func (w *writer) int(c, v int) {
	w.code(c)
	w.b = append(strconv.AppendInt(w.b, int64(v), 10), '\n')
}

// num writes millimetres to four places.
func (w *writer) num(c int, v float64) {
	w.code(c)
	if v = math.Round(v*1e4) / 1e4; v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		v = 0 // no -0, and nothing that a reader would refuse
	}
	n := len(w.b)
	w.b = strconv.AppendFloat(w.b, v, 'f', -1, 64)
	for _, ch := range w.b[n:] {
		if ch == '.' {
			w.b = append(w.b, '\n')
			return
		}
	}
	w.b = append(w.b, ".0\n"...)
}

func (w *writer) xyz(c int, x, y float64) {
	w.num(c, x)
	w.num(c+10, y)
	w.num(c+20, 0)
}

func (w *writer) at(c int, p draw.Point) { w.xyz(c, p.X, w.h-p.Y) }

func (w *writer) section(name string) {
	w.pair(0, "SECTION")
	w.pair(2, name)
}

func (w *writer) table(name string, n int) {
	w.pair(0, "TABLE")
	w.pair(2, name)
	w.int(70, n)
}

func (w *writer) layer(name string, colour int, d draw.Dash) {
	w.pair(0, "LAYER")
	w.pair(2, name)
	w.int(70, 0)
	w.int(62, colour)
	w.pair(6, lineType(d))
}

func (w *writer) style(name, file string) {
	w.pair(0, "STYLE")
	w.pair(2, name)
	w.int(70, 0)
	w.num(40, 0)
	w.num(41, 1)
	w.num(50, 0)
	w.int(71, 0)
	w.num(42, draw.DefaultText)
	w.pair(3, file)
	w.pair(4, "")
}

// words escapes text: release 12 is ASCII, % and ^ start its own escapes, and a line ends
// the value.
func words(s string) string {
	plain := true
	for i := 0; i < len(s) && plain; i++ {
		c := s[i]
		plain = c >= 0x20 && c < 0x7F && c != '^' && c != '\\' && c != '%'
	}
	if plain {
		return s
	}
	double := strings.Contains(s, "%%")
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '\n' || r == '\r' || r == '\t':
			b.WriteByte(' ')
		case r < 0x20 || r == 0x7F:
		case r == '%' && double:
			b.WriteString("%%%")
		case r == '^':
			b.WriteString("^ ")
		case r == '\\' || r > 0x7E && r <= 0xFFFF:
			b.WriteString(`\U+` + strings.ToUpper(strconv.FormatInt(0x10000+int64(r), 16)[1:]))
		case r > 0xFFFF:
			b.WriteByte('?')
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// name makes an id fit extended data: at most 255 characters.
func name(id string) string {
	id = words(id)
	if len(id) > 255 {
		id = id[:255]
	}
	return id
}

// head writes the kind, the layer and the line type where it differs from the layer's.
func (w *writer) head(kind string, m draw.Mark) {
	w.pair(0, kind)
	w.pair(8, Layer(m.Layer))
	if d := m.Pen.Or(m.Layer).Dash; d != m.Layer.Pen().Dash && kind != "TEXT" && kind != "SOLID" {
		w.pair(6, lineType(d))
	}
}

// tail writes the id of the shape, or of the group that it belongs to.
func (w *writer) tail(m draw.Mark) {
	id := m.ID
	if id == "" {
		id = w.id
	}
	if id != "" {
		w.pair(1001, App)
		w.pair(1000, name(id))
	}
}

func (w *writer) shapes(list []draw.Shape) {
	for _, s := range list {
		w.shape(s)
	}
}

func (w *writer) group(m draw.Mark, list []draw.Shape) {
	outer := w.id
	if m.ID != "" {
		w.id = m.ID
	}
	w.shapes(list)
	w.id = outer
}

func (w *writer) shape(s draw.Shape) {
	switch s := s.(type) {
	case draw.Line:
		if w.wide(s.Mark) > 0 {
			w.polyline(s.Mark, []draw.Point{s.A, s.B}, nil, false)
			return
		}
		w.head("LINE", s.Mark)
		w.at(10, s.A)
		w.at(11, s.B)
		w.tail(s.Mark)
	case draw.Polyline:
		w.polyline(s.Mark, s.Points, nil, false)
	case draw.Polygon:
		if s.Fill == draw.FillInk && w.solid(s) {
			return
		}
		w.polyline(s.Mark, s.Points, nil, true)
	case draw.Circle:
		if s.Fill == draw.FillInk {
			w.disc(s)
			return
		}
		w.head("CIRCLE", s.Mark)
		w.at(10, s.C)
		w.num(40, s.R)
		w.tail(s.Mark)
	case draw.Arc:
		if w.wide(s.Mark) > 0 {
			bulge := -math.Tan(s.Sweep / 2 / 4 * math.Pi / 180) // of each half
			w.polyline(s.Mark, []draw.Point{s.At(s.Start), s.At(s.Start + s.Sweep/2), s.At(s.Start + s.Sweep)}, []float64{bulge, bulge, 0}, false)
			return
		}
		// DXF arcs run anticlockwise, seen with y up.
		from, to := -s.Start-s.Sweep, -s.Start
		if s.Sweep < 0 {
			from, to = to, from
		}
		w.head("ARC", s.Mark)
		w.at(10, s.C)
		w.num(40, s.R)
		w.num(50, turn(from))
		w.num(51, turn(to))
		w.tail(s.Mark)
	case draw.Text:
		w.text(s)
	case draw.Group:
		w.group(s.Mark, s.Shapes)
	case draw.SymbolRef:
		w.group(s.Mark, s.Strokes)
	}
}

func turn(deg float64) float64 {
	deg = math.Mod(deg, 360)
	if deg < 0 {
		deg += 360
	}
	return deg
}

func (w *writer) polyline(m draw.Mark, pts []draw.Point, bulges []float64, closed bool) {
	if len(pts) < 2 {
		return
	}
	flag := 128 // line types run through the corners
	if closed {
		flag |= 1
	}
	w.head("POLYLINE", m)
	w.int(66, 1)
	w.xyz(10, 0, 0)
	w.int(70, flag)
	if wide := w.wide(m); wide > 0 {
		w.num(40, wide)
		w.num(41, wide)
	}
	w.tail(m)
	for i, p := range pts {
		bulge := 0.0
		if bulges != nil {
			bulge = bulges[i]
		}
		w.vertex(m, p, bulge)
	}
	w.pair(0, "SEQEND")
	w.pair(8, Layer(m.Layer))
}

func (w *writer) vertex(m draw.Mark, p draw.Point, bulge float64) {
	w.pair(0, "VERTEX")
	w.pair(8, Layer(m.Layer))
	w.at(10, p)
	if bulge != 0 {
		w.num(42, bulge)
	}
}

// solid fills a triangle or a convex four-sided outline; false for others.
func (w *writer) solid(s draw.Polygon) bool {
	n := len(s.Points)
	if n != 3 && (n != 4 || !convex(s.Points)) {
		return false
	}
	p := s.Points
	w.head("SOLID", s.Mark)
	w.at(10, p[0])
	w.at(11, p[1])
	// The third and fourth corners of a SOLID are given crosswise.
	w.at(12, p[n-1])
	w.at(13, p[2])
	w.tail(s.Mark)
	return true
}

func convex(p []draw.Point) bool {
	sign := 0.0
	for i := range p {
		a, b, c := p[i], p[(i+1)%len(p)], p[(i+2)%len(p)]
		x := (b.X-a.X)*(c.Y-b.Y) - (b.Y-a.Y)*(c.X-b.X)
		if x*sign < 0 {
			return false
		}
		if x != 0 {
			sign = x
		}
	}
	return true
}

// disc fills a circle: two half turns at half the radius, as wide as the radius.
func (w *writer) disc(s draw.Circle) {
	w.head("POLYLINE", draw.Mark{Layer: s.Layer})
	w.int(66, 1)
	w.xyz(10, 0, 0)
	w.int(70, 1)
	w.num(40, s.R)
	w.num(41, s.R)
	w.tail(s.Mark)
	w.vertex(s.Mark, s.C.Sub(draw.Point{X: s.R / 2}), 1)
	w.vertex(s.Mark, s.C.Add(draw.Point{X: s.R / 2}), 1)
	w.pair(0, "SEQEND")
	w.pair(8, Layer(s.Layer))
}

func (w *writer) text(t draw.Text) {
	if t.Words == "" {
		return
	}
	w.head("TEXT", t.Mark)
	w.at(10, t.Origin())
	w.num(40, t.Height())
	w.pair(1, words(t.Words))
	if t.Turn != 0 {
		w.num(50, turn(-t.Turn))
	}
	style := "REGULAR"
	if t.Weight == textwidth.Bold {
		style = "BOLD"
	}
	w.pair(7, style)
	if t.Align != draw.Left {
		w.int(72, int(t.Align))
		w.at(11, t.BaseAnchor())
	}
	w.tail(t.Mark)
}
