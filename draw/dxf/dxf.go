// Package dxf writes a sheet as ASCII DXF of release 2000, which drafting programs and the
// readers of machines take: lines on named layers with line types and line weights, symbols as
// blocks, text with its height of capitals.
//
// Units are millimetres on paper ($INSUNITS 4), y up from the lower left corner of the sheet;
// lengths that are measured on a plan drawn to scale read true ($DIMLFAC). Colours follow the
// inks: 7 is black or white, 8 grey, 1 red. Filled triangles and washes of ink become SOLIDs
// and filled circles wide rings; an inside that hides what is below, and a wash of more than
// four corners, keep their outline only. A symbol that is put down as it is, turned, scaled or
// mirrored becomes an INSERT of its block; one that is skewed into an isometric view, or that
// carries words, is drawn stroke by stroke. The id of a shape is written as extended data of
// the application TRAPWEIR.
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
	b      []byte
	h      float64
	fine   bool
	id     string // of the innermost group that has one
	owner  int    // handle of the block record that entities belong to
	last   int    // handle given last
	blocks []block
	known  map[string]int // blocks by their strokes
	names  map[string]int // how often a name is taken
}

// block is a symbol that is drawn once and inserted where it stands.
type block struct {
	name    string
	record  int
	strokes []draw.Shape // y up, about its origin
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

// weight is the line weight of a pen, in hundredths of a millimetre: all that are in use are in
// the series of the format.
func (w *writer) weight(p draw.Pen) int { return int(math.Round(p.Width.MM(w.fine) * 100)) }

// Handles of what every file has.
const (
	modelRecord = 0x1F
	paperRecord = 0x1B
	firstHandle = 0x100
)

// Render gives the whole file.
func Render(s *draw.Sheet) []byte {
	w := writer{h: s.H, fine: s.Fine, owner: modelRecord, last: firstHandle, known: map[string]int{}, names: map[string]int{}}
	w.b = make([]byte, 0, 4096+600*len(s.Shapes))
	w.shapes(s.Shapes)
	entities := w.b
	w.b = make([]byte, 0, len(entities)+16384)
	for i := range w.blocks {
		w.define(&w.blocks[i])
	}
	blocks := w.b
	w.b = nil
	w.tables(s)
	tables := w.b

	w.b = make([]byte, 0, len(entities)+len(blocks)+len(tables)+4096)
	w.pair(999, App+", millimetres on paper")
	w.section("HEADER")
	w.header(s)
	w.pair(0, "ENDSEC")
	w.section("CLASSES")
	w.pair(0, "ENDSEC")
	w.section("TABLES")
	w.b = append(w.b, tables...)
	w.pair(0, "ENDSEC")
	w.section("BLOCKS")
	w.frame("*Model_Space", modelRecord, 0x20, 0x21, nil)
	w.frame("*Paper_Space", paperRecord, 0x22, 0x23, nil)
	w.b = append(w.b, blocks...)
	w.pair(0, "ENDSEC")
	w.section("ENTITIES")
	w.b = append(w.b, entities...)
	w.pair(0, "ENDSEC")
	w.section("OBJECTS")
	w.pair(0, "DICTIONARY")
	w.pair(5, "C")
	w.pair(330, "0")
	w.pair(100, "AcDbDictionary")
	w.int(281, 1)
	w.pair(3, "ACAD_GROUP")
	w.pair(350, "D")
	w.pair(0, "DICTIONARY")
	w.pair(5, "D")
	w.pair(330, "C")
	w.pair(100, "AcDbDictionary")
	w.int(281, 1)
	w.pair(0, "ENDSEC")
	w.pair(0, "EOF")
	return w.b
}

func (w *writer) header(s *draw.Sheet) {
	w.pair(9, "$ACADVER")
	w.pair(1, "AC1015")
	w.pair(9, "$HANDSEED")
	w.hex(5, w.last+1)
	w.pair(9, "$DWGCODEPAGE")
	w.pair(3, "ANSI_1252")
	w.pair(9, "$INSUNITS")
	w.int(70, 4)
	w.pair(9, "$MEASUREMENT")
	w.int(70, 1)
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
	if s.Scale > 0 {
		w.pair(9, "$DIMLFAC")
		w.num(40, s.Scale)
	}
	w.pair(9, "$LWDISPLAY")
	w.int(290, 1)
}

// tables writes views, line types, layers, styles and the names of blocks.
func (w *writer) tables(s *draw.Sheet) {
	w.table("VPORT", 0x8, 1)
	w.record("VPORT", 0x8, "AcDbViewportTableRecord", "*ACTIVE")
	w.num(10, 0)
	w.num(20, 0)
	w.num(11, 1)
	w.num(21, 1)
	w.num(12, s.W/2)
	w.num(22, s.H/2)
	w.num(40, s.H)
	w.num(41, s.W/s.H)
	w.pair(0, "ENDTAB")

	w.table("LTYPE", 0x5, draw.DashCount+2)
	for _, name := range []string{"ByBlock", "ByLayer"} {
		w.record("LTYPE", 0x5, "AcDbLinetypeTableRecord", name)
		w.pair(3, "")
		w.int(72, 65)
		w.int(73, 0)
		w.num(40, 0)
	}
	for d := range draw.Dash(draw.DashCount) {
		w.record("LTYPE", 0x5, "AcDbLinetypeTableRecord", lineType(d))
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
			w.int(74, 0)
		}
	}
	w.pair(0, "ENDTAB")

	w.table("LAYER", 0x2, draw.LayerCount+1)
	w.layer("0", 7, draw.Solid, 25)
	for l := range draw.Layer(draw.LayerCount) {
		w.layer(Layer(l), colours[l.Ink()], l.Pen().Dash, w.weight(l.Pen()))
	}
	w.pair(0, "ENDTAB")

	w.table("STYLE", 0x3, 3)
	w.style("STANDARD", "txt")
	w.style("REGULAR", font.Family+"-Regular.ttf")
	w.style("BOLD", font.Family+"-Bold.ttf")
	w.pair(0, "ENDTAB")

	w.table("VIEW", 0x6, 0)
	w.pair(0, "ENDTAB")
	w.table("UCS", 0x7, 0)
	w.pair(0, "ENDTAB")

	w.table("APPID", 0x9, 2)
	for _, name := range []string{"ACAD", App} {
		w.record("APPID", 0x9, "AcDbRegAppTableRecord", name)
	}
	w.pair(0, "ENDTAB")

	w.table("DIMSTYLE", 0xA, 1)
	w.pair(100, "AcDbDimStyleTable")
	w.pair(0, "DIMSTYLE")
	w.hex(105, w.handle())
	w.hex(330, 0xA)
	w.pair(100, "AcDbSymbolTableRecord")
	w.pair(100, "AcDbDimStyleTableRecord")
	w.pair(2, "STANDARD")
	w.int(70, 0)
	w.pair(0, "ENDTAB")

	w.table("BLOCK_RECORD", 0x1, 2+len(w.blocks))
	names := []struct {
		name   string
		record int
	}{{"*Model_Space", modelRecord}, {"*Paper_Space", paperRecord}}
	for i := range w.blocks {
		names = append(names, struct {
			name   string
			record int
		}{w.blocks[i].name, w.blocks[i].record})
	}
	for _, n := range names {
		w.pair(0, "BLOCK_RECORD")
		w.hex(5, n.record)
		w.hex(330, 0x1)
		w.pair(100, "AcDbSymbolTableRecord")
		w.pair(100, "AcDbBlockTableRecord")
		w.pair(2, n.name)
	}
	w.pair(0, "ENDTAB")
}

// handle gives a new handle.
func (w *writer) handle() int {
	w.last++
	return w.last
}

func (w *writer) hex(c, v int) {
	w.code(c)
	w.b = append(append(w.b, strings.ToUpper(strconv.FormatInt(int64(v), 16))...), '\n')
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
func (w *writer) num(c int, v float64) { w.number(c, v, 1e4) }

// number writes a number to a share of 1.
func (w *writer) number(c int, v, share float64) {
	w.code(c)
	if v = math.Round(v*share) / share; v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
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

func (w *writer) table(name string, handle, n int) {
	w.pair(0, "TABLE")
	w.pair(2, name)
	w.hex(5, handle)
	w.pair(330, "0")
	w.pair(100, "AcDbSymbolTable")
	w.int(70, n)
}

// record begins a row of a table.
func (w *writer) record(kind string, table int, class, name string) {
	w.pair(0, kind)
	w.hex(5, w.handle())
	w.hex(330, table)
	w.pair(100, "AcDbSymbolTableRecord")
	w.pair(100, class)
	w.pair(2, name)
	w.int(70, 0)
}

func (w *writer) layer(name string, colour int, d draw.Dash, weight int) {
	w.record("LAYER", 0x2, "AcDbLayerTableRecord", name)
	w.int(62, colour)
	w.pair(6, lineType(d))
	w.int(370, weight)
}

func (w *writer) style(name, file string) {
	w.record("STYLE", 0x3, "AcDbTextStyleTableRecord", name)
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

// head writes the kind, the layer, and line type and weight where they differ from the layer's.
func (w *writer) head(kind, class string, m draw.Mark) { w.tinted(kind, class, m, 0) }

// tinted is head with a colour of its own.
func (w *writer) tinted(kind, class string, m draw.Mark, colour int) {
	w.pair(0, kind)
	w.hex(5, w.handle())
	w.hex(330, w.owner)
	w.pair(100, "AcDbEntity")
	w.pair(8, Layer(m.Layer))
	if kind != "TEXT" && kind != "SOLID" && kind != "INSERT" {
		p, usual := m.Pen.Or(m.Layer), m.Layer.Pen()
		if p.Dash != usual.Dash {
			w.pair(6, lineType(p.Dash))
		}
		if p.Width != usual.Width {
			w.int(370, w.weight(p))
		}
	}
	if colour != 0 {
		w.int(62, colour)
	}
	w.pair(100, class)
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
		w.head("LINE", "AcDbLine", s.Mark)
		w.at(10, s.A)
		w.at(11, s.B)
		w.tail(s.Mark)
	case draw.Polyline:
		w.polyline(s.Mark, s.Points, false)
	case draw.Polygon:
		switch {
		case s.Fill == draw.FillInk && w.solid(s, 0), s.Fill == draw.FillTint && w.solid(s, tint):
			return
		}
		w.polyline(s.Mark, s.Points, true)
	case draw.Circle:
		if s.Fill == draw.FillInk {
			w.disc(s)
			return
		}
		w.head("CIRCLE", "AcDbCircle", s.Mark)
		w.at(10, s.C)
		w.num(40, s.R)
		w.tail(s.Mark)
	case draw.Arc:
		// DXF arcs run anticlockwise, seen with y up.
		from, to := -s.Start-s.Sweep, -s.Start
		if s.Sweep < 0 {
			from, to = to, from
		}
		w.head("ARC", "AcDbCircle", s.Mark)
		w.at(10, s.C)
		w.num(40, s.R)
		w.pair(100, "AcDbArc")
		w.num(50, turn(from))
		w.num(51, turn(to))
		w.tail(s.Mark)
	case draw.Text:
		w.text(s)
	case draw.Group:
		w.group(s.Mark, s.Shapes)
	case draw.SymbolRef:
		if !w.insert(&s) {
			w.group(s.Mark, s.Strokes)
		}
	}
}

// tint is the colour of a light wash.
const tint = 254

func turn(deg float64) float64 {
	deg = math.Mod(deg, 360)
	if deg < 0 {
		deg += 360
	}
	return deg
}

func (w *writer) polyline(m draw.Mark, pts []draw.Point, closed bool) {
	if len(pts) < 2 {
		return
	}
	flag := 128 // line types run through the corners
	if closed {
		flag |= 1
	}
	w.head("LWPOLYLINE", "AcDbPolyline", m)
	w.int(90, len(pts))
	w.int(70, flag)
	for _, p := range pts {
		w.vertex(p)
	}
	w.tail(m)
}

func (w *writer) vertex(p draw.Point) {
	w.num(10, p.X)
	w.num(20, w.h-p.Y)
}

// solid fills a triangle or a convex four-sided outline; false for others.
func (w *writer) solid(s draw.Polygon, colour int) bool {
	n := len(s.Points)
	if n != 3 && (n != 4 || !convex(s.Points)) {
		return false
	}
	p := s.Points
	w.tinted("SOLID", "AcDbTrace", s.Mark, colour)
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
	w.head("LWPOLYLINE", "AcDbPolyline", draw.Mark{Layer: s.Layer})
	w.int(90, 2)
	w.int(70, 1)
	w.num(43, s.R)
	for _, x := range [2]float64{-s.R / 2, s.R / 2} {
		w.vertex(s.C.Add(draw.Point{X: x}))
		w.num(42, 1)
	}
	w.tail(s.Mark)
}

func (w *writer) text(t draw.Text) {
	if t.Words == "" {
		return
	}
	w.head("TEXT", "AcDbText", t.Mark)
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
	w.pair(100, "AcDbText")
	w.tail(t.Mark)
}
