// Package svg writes a sheet as SVG: one element a line, attributes in a fixed order,
// millimetres to two places, ids from the job. The same sheet gives the same bytes.
//
// Every element has the class of its layer, then the words of its pen where that differs
// from the layer's; a style block at the top turns classes into lines, so that a page can
// show and hide layers or draw them otherwise. A shape with a title has a title element.
package svg

import (
	"bytes"
	"math"
	"strconv"
	"strings"
	"sync"
	"unicode/utf8"

	"trapweir/draw"
	"trapweir/draw/textwidth"
)

// Options are what a sheet does not say itself.
type Options struct {
	// Dark lets the sheet follow a reader who has asked for dark pages. On paper and in
	// readers that know no such wish it stays black on white.
	Dark bool
	// Fluid leaves out the size in millimetres, so that the drawing fills its place on a page.
	Fluid bool
	// Exact holds every line of words to its width, so that nothing runs into anything
	// where a reader lacks the font and takes another one.
	Exact bool
}

// Render gives the whole SVG document.
func Render(s *draw.Sheet, opt Options) []byte {
	w := writer{exact: opt.Exact, b: *buffers.Get().(*[]byte)}
	defer func() { buffers.Put(&w.b) }()
	w.look(s.Shapes)
	w.str(`<svg xmlns="http://www.w3.org/2000/svg"`)
	if !opt.Fluid {
		w.str(` width="`)
		w.num(s.W)
		w.str(`mm" height="`)
		w.num(s.H)
		w.str(`mm"`)
	}
	w.str(` viewBox="0 0 `)
	w.num(s.W)
	w.byte(' ')
	w.num(s.H)
	w.str(`" class="sheet`)
	if s.Fine {
		w.str(" fine")
	}
	w.str(`" lang="`)
	w.esc(s.Language())
	w.str("\" role=\"graphics-document document\">\n<title>")
	w.esc(s.Name())
	w.str("</title>\n")
	if s.Desc != "" {
		w.str("<desc>")
		w.esc(s.Desc)
		w.str("</desc>\n")
	}
	w.style(s.Fine, opt.Dark)
	w.str(`<rect class="page" x="0.00" y="0.00" width="`)
	w.num(s.W)
	w.str(`" height="`)
	w.num(s.H)
	w.str("\"/>\n")
	w.shapes(s.Shapes)
	w.str("</svg>\n")
	return bytes.Clone(w.b[:w.n])
}

// buffers lends out what a document is written into before its length is known.
var buffers = sync.Pool{New: func() any {
	b := make([]byte, 60_000) // a house
	return &b
}}

// writer fills b up to n. Keeping the count apart from the slice saves a pointer store a
// word, which is a third of the time while the collector runs.
type writer struct {
	exact bool
	b     []byte
	n     int
	used  [draw.LayerCount]bool
}

// room makes sure that k more bytes fit.
func (w *writer) room(k int) {
	if len(w.b)-w.n < k {
		b := make([]byte, 2*len(w.b)+k)
		copy(b, w.b[:w.n])
		w.b = b
	}
}

// look notes the layers in use.
func (w *writer) look(list []draw.Shape) {
	for _, s := range list {
		w.used[s.Base().Layer] = true
		switch s := s.(type) {
		case draw.Group:
			w.look(s.Shapes)
		case draw.SymbolRef:
			w.look(s.Strokes)
		}
	}
}

func (w *writer) str(s string) {
	w.room(len(s))
	w.n += copy(w.b[w.n:], s)
}

func (w *writer) byte(c byte) {
	w.room(1)
	w.b[w.n] = c
	w.n++
}

// num writes millimetres to two places, and never -0.00.
func (w *writer) num(v float64) {
	w.room(24)
	w.n += len(appendMM(w.b[w.n:w.n], v))
}

func appendMM(b []byte, v float64) []byte {
	if !(math.Abs(v) < 1e12) { // also not a number: keeps the document well formed
		v = 0
	}
	v *= 100
	neg := v < 0
	if neg {
		v = -v
	}
	n := uint64(v + 0.5)
	if neg && n > 0 {
		b = append(b, '-')
	}
	if n < 100000 { // under a metre, which nearly all are
		if n >= 10000 {
			b = append(b, byte('0'+n/10000%10))
		}
		if n >= 1000 {
			b = append(b, byte('0'+n/1000%10))
		}
		return append(b, byte('0'+n/100%10), '.', byte('0'+n/10%10), byte('0'+n%10))
	}
	b = strconv.AppendUint(b, n/100, 10)
	return append(b, '.', byte('0'+n/10%10), byte('0'+n%10))
}

func (w *writer) xy(p draw.Point) {
	w.num(p.X)
	w.byte(' ')
	w.num(p.Y)
}

// esc writes s as character data or as the value of an attribute. What XML cannot hold
// becomes U+FFFD.
func (w *writer) esc(s string) {
	from := 0
	for i := 0; i < len(s); {
		r, n := rune(s[i]), 1
		if r >= utf8.RuneSelf {
			r, n = utf8.DecodeRuneInString(s[i:])
		}
		rep := ""
		switch {
		case r == '&':
			rep = "&amp;"
		case r == '<':
			rep = "&lt;"
		case r == '>':
			rep = "&gt;"
		case r == '"':
			rep = "&quot;"
		case r < 0x20, r == utf8.RuneError && n == 1, r == 0xFFFE, r == 0xFFFF:
			rep = "\uFFFD"
		}
		if rep != "" {
			w.str(s[from:i])
			w.str(rep)
			from = i + n
		}
		i += n
	}
	w.str(s[from:])
}

// ID gives the name of an id of the job in the document: a space becomes an underscore,
// and what cannot stand in an XML name becomes _xHEX_. A name that would not start with a
// letter starts with an underscore.
func ID(id string) string { return string(appendID(nil, id)) }

func appendID(b []byte, id string) []byte {
	letter := func(r rune) bool {
		return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= 0xC0 && r != 0xD7 && r != 0xF7 && r < 0x2000
	}
	for i, r := range id {
		if i == 0 && !letter(r) {
			b = append(b, '_')
		}
		switch {
		case letter(r) || r >= '0' && r <= '9' || r == '-' || r == '.':
			b = utf8.AppendRune(b, r)
		case r == ' ':
			b = append(b, '_')
		default:
			b = append(strconv.AppendInt(append(b, "_x"...), int64(r), 16), '_')
		}
	}
	return b
}

// plain tells whether ID(id) is id, for the usual case.
func plain(id string) bool {
	for i := 0; i < len(id); i++ {
		c := id[i]
		letter := c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'
		if !letter && (i == 0 || !(c >= '0' && c <= '9' || c == '-' || c == '.')) {
			return false
		}
	}
	return true
}

// open writes the name of the element, its id and the start of its class.
func (w *writer) open(element string, m draw.Mark) {
	w.byte('<')
	w.str(element)
	if m.ID != "" {
		w.str(` id="`)
		if plain(m.ID) {
			w.str(m.ID)
		} else {
			w.room(1 + 11*len(m.ID))
			w.n += len(appendID(w.b[w.n:w.n], m.ID))
			w.str(`" data-id="`)
			w.esc(m.ID)
		}
		w.byte('"')
	}
	w.str(` class="`)
	w.str(m.Layer.String())
}

// line is open for shapes with lines: the pen's words and the fill follow the layer.
func (w *writer) line(element string, m draw.Mark, f draw.Fill) {
	w.open(element, m)
	own := m.Layer.Pen()
	if p := m.Pen.Or(m.Layer); p != own && (f == draw.NoFill || f == draw.FillPaper) {
		if p.Width != own.Width {
			w.byte(' ')
			w.str(p.Width.String())
		}
		if p.Dash != own.Dash {
			w.byte(' ')
			w.str(p.Dash.String())
		}
	}
	if f != draw.NoFill {
		w.byte(' ')
		w.str(f.String())
	}
	w.byte('"')
}

func (w *writer) attr(name string, v float64) {
	w.byte(' ')
	w.str(name)
	w.str(`="`)
	w.num(v)
	w.byte('"')
}

func (w *writer) points(pts []draw.Point) {
	w.str(` points="`)
	for i, p := range pts {
		if i > 0 {
			w.byte(' ')
		}
		w.xy(p)
	}
	w.byte('"')
}

// end closes the element, with the title inside when there is one.
func (w *writer) end(element string, m draw.Mark) {
	if m.Title == "" {
		w.str("/>\n")
		return
	}
	w.byte('>')
	w.title(m)
	w.str("</")
	w.str(element)
	w.str(">\n")
}

func (w *writer) title(m draw.Mark) {
	if m.Title != "" {
		w.str("<title>")
		w.esc(m.Title)
		w.str("</title>")
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
		w.line("line", s.Mark, draw.NoFill)
		w.attr("x1", s.A.X)
		w.attr("y1", s.A.Y)
		w.attr("x2", s.B.X)
		w.attr("y2", s.B.Y)
		w.end("line", s.Mark)
	case draw.Polyline:
		w.line("polyline", s.Mark, draw.NoFill)
		w.points(s.Points)
		w.end("polyline", s.Mark)
	case draw.Polygon:
		w.line("polygon", s.Mark, s.Fill)
		w.points(s.Points)
		w.end("polygon", s.Mark)
	case draw.Circle:
		w.line("circle", s.Mark, s.Fill)
		w.attr("cx", s.C.X)
		w.attr("cy", s.C.Y)
		w.attr("r", s.R)
		w.end("circle", s.Mark)
	case draw.Arc:
		w.line("path", s.Mark, draw.NoFill)
		w.str(` d="M`)
		w.xy(s.At(s.Start))
		// An SVG arc cannot close on itself, so it is written as two halves.
		for _, part := range [2]float64{0.5, 1} {
			w.str(" A")
			w.num(s.R)
			w.byte(' ')
			w.num(s.R)
			if s.Sweep < 0 {
				w.str(" 0 0 0 ")
			} else {
				w.str(" 0 0 1 ")
			}
			w.xy(s.At(s.Start + part*s.Sweep))
		}
		w.byte('"')
		w.end("path", s.Mark)
	case draw.Text:
		w.text(s)
	case draw.Group:
		w.group(s.Mark, "", s.Shapes)
	case draw.SymbolRef:
		w.group(s.Mark, s.Name, s.Strokes)
	}
}

func (w *writer) group(m draw.Mark, symbol string, list []draw.Shape) {
	w.open("g", m)
	if symbol != "" {
		w.str(`" data-symbol="`)
		w.esc(symbol)
	}
	w.str(`">`)
	w.title(m)
	w.byte('\n')
	w.shapes(list)
	w.str("</g>\n")
}

func (w *writer) text(t draw.Text) {
	w.open("text", t.Mark)
	if t.Weight == textwidth.Bold {
		w.str(" strong")
	}
	if t.Soft {
		w.str(" soft")
	}
	w.byte('"')
	at := t.BaseAnchor()
	w.attr("x", at.X)
	w.attr("y", at.Y)
	w.attr("font-size", textwidth.FontSize(t.Height()))
	switch t.Align {
	case draw.Middle:
		w.str(` text-anchor="middle"`)
	case draw.Right:
		w.str(` text-anchor="end"`)
	}
	if w.exact {
		w.attr("textLength", t.Width())
		w.str(` lengthAdjust="spacingAndGlyphs"`)
	}
	if t.Turn != 0 {
		w.str(` transform="rotate(`)
		w.num(t.Turn)
		w.byte(' ')
		w.xy(at)
		w.str(`)"`)
	}
	if strings.Contains(t.Words, "  ") || strings.HasPrefix(t.Words, " ") || strings.HasSuffix(t.Words, " ") {
		w.str(` xml:space="preserve"`)
	}
	w.byte('>')
	w.title(t.Mark)
	w.esc(t.Words)
	w.str("</text>\n")
}
