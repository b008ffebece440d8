// Package pdf writes sheets as one PDF: vectors and words, the font embedded, a bookmark a
// sheet, the layers of the drawing as layers that a reader can switch, and the same bytes
// for the same sheets.
package pdf

import (
	"bytes"
	"math"
	"strconv"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"trapweir/draw"
	"trapweir/draw/font"
	"trapweir/draw/textwidth"
)

// Options are what the sheets do not say themselves.
type Options struct {
	Title, Subject, Author string
	// Date is written as the date of the file; the zero time becomes the first of January
	// 2000, so that a file says no time it does not know.
	Date time.Time
}

const (
	k         = 72 / 25.4 // points in a millimetre
	roundness = 0.5522847498307936
)

// Render gives the PDF of the sheets in order. It fails only when the library that writes
// the file does.
func Render(sheets []*draw.Sheet, opt Options) ([]byte, error) {
	f := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: 210, Ht: 297}})
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	f.SetCatalogSort(true)
	date := opt.Date
	if date.IsZero() {
		date = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	f.SetCreationDate(date)
	f.SetModificationDate(date)
	f.SetProducer("Trapweir", true)
	f.SetCreator("Trapweir", true)
	title := opt.Title
	if title == "" && len(sheets) > 0 {
		title = sheets[0].Name()
	}
	f.SetTitle(title, true)
	f.SetSubject(opt.Subject, true)
	f.SetAuthor(opt.Author, true)
	if len(sheets) > 0 {
		f.SetLang(sheets[0].Language())
	}

	w := writer{f: f}
	bold := false
	for _, s := range sheets {
		draw.Walk(s.Shapes, func(sh draw.Shape, _ *draw.SymbolRef) {
			w.used[sh.Base().Layer] = true
			if t, ok := sh.(draw.Text); ok && t.Weight == textwidth.Bold {
				bold = true
			}
		})
	}
	// Reading a font takes most of the time, so the bold one is only read when it is used.
	f.AddUTF8FontFromBytes(font.Family, "", font.Regular)
	if bold {
		f.AddUTF8FontFromBytes(font.Family, "B", font.Bold)
	}
	for l := range draw.Layer(draw.LayerCount) {
		if w.used[l] {
			w.layer[l] = f.AddLayer(l.Meaning(), true)
		}
	}
	for _, s := range sheets {
		w.sheet(s)
	}
	var out bytes.Buffer
	if err := f.Output(&out); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// state is what a line needs of the page; setting it only when it changes keeps files small.
type state struct {
	ink  draw.Ink
	mm   float64
	dash draw.Dash
	set  bool
}

type writer struct {
	f     *fpdf.Fpdf
	h     float64
	fine  bool
	b     []byte // page content not yet handed to f
	used  [draw.LayerCount]bool
	layer [draw.LayerCount]int
	in    int // layer that is open, or -1
	pen   state
	fill  [3]uint8
	bold  bool
	size  float64
}

func (w *writer) sheet(s *draw.Sheet) {
	// The library turns a page whose orientation disagrees with its size, so it is told
	// "upright" and the true size.
	w.f.AddPageFormat("P", fpdf.SizeType{Wd: s.W, Ht: s.H})
	w.f.Bookmark(s.Name(), 0, 0)
	w.h, w.fine, w.in = s.H, s.Fine, -1
	w.pen, w.fill, w.size = state{}, [3]uint8{}, 0
	w.str("1 j 0 g\n")
	w.shapes(s.Shapes)
	w.flush()
	w.f.EndLayer()
}

func (w *writer) flush() {
	if len(w.b) > 0 {
		w.f.RawWriteStr(string(w.b[:len(w.b)-1])) // the library ends the line
		w.b = w.b[:0]
	}
}

func (w *writer) str(s string) { w.b = append(w.b, s...) }

// num writes points to three places, which is finer than a micrometre.
func (w *writer) num(v float64) {
	if !(math.Abs(v) < 1e9) {
		v = 0
	}
	n := int64(math.Round(v * 1000))
	if n < 0 {
		w.b = append(w.b, '-')
		n = -n
	}
	w.b = strconv.AppendInt(w.b, n/1000, 10)
	if r := n % 1000; r != 0 {
		w.b = append(w.b, '.', byte('0'+r/100), byte('0'+r/10%10), byte('0'+r%10))
	}
	w.b = append(w.b, ' ')
}

func (w *writer) at(p draw.Point, op string) {
	w.num(p.X * k)
	w.num((w.h - p.Y) * k)
	w.str(op)
}

func (w *writer) rgb(c [3]uint8, op string) {
	for _, v := range c {
		w.num(float64(v) / 255)
	}
	w.str(op)
}

func (w *writer) on(l draw.Layer) {
	if id := w.layer[l]; id != w.in {
		w.flush()
		w.f.BeginLayer(id)
		w.in = id
	}
}

// begin readies the pen and the fill and gives the operator that ends the path.
func (w *writer) begin(m draw.Mark, f draw.Fill, closed bool) string {
	w.on(m.Layer)
	ink := m.Layer.Ink()
	switch f {
	case draw.FillInk:
		w.filled(ink.RGB())
	case draw.FillTint:
		w.filled(tint(ink.RGB()))
	case draw.FillPaper:
		w.filled([3]uint8{255, 255, 255})
	}
	if f == draw.FillInk || f == draw.FillTint {
		return "f\n"
	}
	p := m.Pen.Or(m.Layer)
	next := state{ink, p.Width.MM(w.fine), p.Dash, true}
	if !w.pen.set || next.ink != w.pen.ink {
		w.rgb(ink.RGB(), "RG\n")
	}
	if !w.pen.set || next.mm != w.pen.mm {
		w.num(next.mm * k)
		w.str("w\n")
	}
	if !w.pen.set || next.dash != w.pen.dash {
		w.b = append(w.b, '[')
		for _, v := range p.Dash.MM() {
			w.num(v * k)
		}
		if p.Dash == draw.Solid {
			w.str("] 0 d 1 J\n")
		} else {
			w.str("] 0 d 0 J\n") // round ends would eat the gaps
		}
	}
	w.pen = next
	switch {
	case f == draw.FillPaper:
		return "b\n"
	case closed:
		return "s\n"
	}
	return "S\n"
}

func (w *writer) filled(c [3]uint8) {
	if c != w.fill {
		w.rgb(c, "rg\n")
		w.fill = c
	}
}

// tint mixes an ink with nine parts of white: as light as SVG's one tenth, with no need
// for transparency in the file.
func tint(c [3]uint8) [3]uint8 {
	for i, v := range c {
		c[i] = uint8(255 - (255-int(v)+5)/10)
	}
	return c
}

func (w *writer) path(pts []draw.Point) {
	for i, p := range pts {
		if i == 0 {
			w.at(p, "m\n")
		} else {
			w.at(p, "l\n")
		}
	}
}

func (w *writer) shapes(list []draw.Shape) {
	for _, s := range list {
		w.shape(s)
	}
}

func (w *writer) shape(s draw.Shape) {
	switch s := s.(type) {
	case draw.Line:
		end := w.begin(s.Mark, draw.NoFill, false)
		w.at(s.A, "m\n")
		w.at(s.B, "l\n")
		w.str(end)
	case draw.Polyline:
		if len(s.Points) > 1 {
			end := w.begin(s.Mark, draw.NoFill, false)
			w.path(s.Points)
			w.str(end)
		}
	case draw.Polygon:
		if len(s.Points) > 1 {
			end := w.begin(s.Mark, s.Fill, true)
			w.path(s.Points)
			w.str(end)
		}
	case draw.Circle:
		end := w.begin(s.Mark, s.Fill, true)
		w.arc(draw.Arc{C: s.C, R: s.R, Sweep: 360})
		w.str(end)
	case draw.Arc:
		end := w.begin(s.Mark, draw.NoFill, false)
		w.arc(s)
		w.str(end)
	case draw.Text:
		w.words(s)
	case draw.Group:
		w.shapes(s.Shapes)
	case draw.SymbolRef:
		w.shapes(s.Strokes)
	}
}

// arc draws quarter turns as curves; the error is 0.03 percent of the radius.
func (w *writer) arc(a draw.Arc) {
	n := max(1, int(math.Ceil(math.Abs(a.Sweep)/90-1e-9)))
	step := a.Sweep / float64(n)
	h := 4.0 / 3 * math.Tan(step*math.Pi/720)
	if n == 4 && math.Abs(a.Sweep) == 360 {
		h = math.Copysign(roundness, step)
	}
	p := a.At(a.Start)
	w.at(p, "m\n")
	for i := range n {
		q := a.At(a.Start + step*float64(i+1))
		w.at(p.Add(p.Sub(a.C).Right().Mul(h)), "")
		w.at(q.Sub(q.Sub(a.C).Right().Mul(h)), "")
		w.at(q, "c\n")
		p = q
	}
}

// basic replaces what the library cannot number (beyond 16 bits) by an empty box, which is
// how the font shows a character that it lacks.
func basic(r rune) rune {
	if r > 0xFFFF {
		return '□'
	}
	return r
}

func (w *writer) words(t draw.Text) {
	if t.Words == "" {
		return
	}
	w.on(t.Layer)
	w.filled(t.Ink().RGB())
	w.flush()
	bold, size := t.Weight == textwidth.Bold, textwidth.FontSize(t.Height())
	if w.size == 0 || bold != w.bold || size != w.size {
		style := ""
		if bold {
			style = "B"
		}
		w.f.SetFont(font.Family, style, size*k)
		w.bold, w.size = bold, size
	}
	words := strings.Map(basic, t.Words)
	at := t.Origin()
	if t.Turn == 0 {
		w.f.Text(at.X, at.Y, words)
		return
	}
	w.f.TransformBegin()
	w.f.TransformRotate(-t.Turn, at.X, at.Y)
	w.f.Text(at.X, at.Y, words)
	w.f.TransformEnd()
}
