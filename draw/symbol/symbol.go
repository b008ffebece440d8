// Package symbol reads the drawing symbols, which are data, and puts them on sheets.
//
// A symbol is one file of words and numbers, data/symbols/NAME.sym:
//
//	symbol cleanout
//	title  Cleanout
//	view   elevation            # or plan, or any
//	port   in 0 0 left          # where a pipe joins and the way it leads off
//	pen    pipe                 # for the strokes that follow
//	line   0 0 2.5 0
//	fill   ink
//	box    2.5 -0.5 1.1 1
//
// Places are pairs u v: u to the right (with the water, where water flows), v up, in
// millimetres on paper about an origin that the views place. With `scale true` they are
// millimetres of the real thing and the placement carries the scale of the plan.
//
//	line U V U V ...            a line through two points or more
//	polygon U V U V U V ...     a closed outline
//	box U V W H [R]             lower left corner, size, radius of the corners
//	circle U V R                dot U V R is a filled one
//	ellipse U V RU RV
//	arc U V R FROM TO           degrees, anticlockwise from u; TO below FROM runs clockwise
//	text U V SIZE ALIGN [bold] WORDS
//
// Pens: `pipe` has the width of the pipe it is put on and is always solid, `run` has its
// dashes too; `vent` is the pen of vents; `hair`, `thin`, `medium`, `bold`, `heavy` are widths. Fills: `none`, `ink`,
// `paper`. Ways: left, right, up, down, or degrees. Text stands at the middle of its
// height, keeps its size and stays level however the symbol is turned; $1 and $2 stand for
// words handed in, and a text left empty is not drawn.
package symbol

import (
	"fmt"
	"io/fs"
	"math"
	"sort"
	"strconv"
	"strings"
	"sync"

	"trapweir/data/symbols"
	"trapweir/draw"
	"trapweir/draw/textwidth"
)

// View is where a symbol is used.
type View string

const (
	Any       View = "any"
	Elevation View = "elevation" // riser and isometric
	Plan      View = "plan"
)

// Port is a place where a pipe joins.
type Port struct {
	Name string
	U, V float64
	// Way is the direction in which the pipe leads off, degrees anticlockwise from u.
	Way float64
}

// Symbol is one symbol as data.
type Symbol struct {
	Name, Title string
	View        View
	// True tells that the strokes are millimetres of the real thing.
	True    bool
	Ports   []Port
	strokes []stroke
}

type kind uint8

const (
	line kind = iota
	polygon
	circle
	ellipse
	arc
	text
)

type pen uint8

const (
	pipe pen = iota
	run
	fixed
)

type stroke struct {
	kind  kind
	pen   pen
	own   draw.Pen // for fixed
	fill  draw.Fill
	n     []float64 // pairs for line and polygon, the numbers of the file for others
	words string
	align draw.Align
	bold  bool
}

var all = sync.OnceValues(func() (map[string]*Symbol, []string) {
	files, err := fs.Glob(symbols.Files, "*.sym")
	if err != nil {
		panic(err) // a pattern that is wrong in the line above
	}
	byName := make(map[string]*Symbol, len(files))
	names := make([]string, 0, len(files))
	for _, f := range files {
		b, err := symbols.Files.ReadFile(f)
		if err != nil {
			panic(err) // the file system is part of the program
		}
		s, err := Parse(f, string(b))
		if err != nil {
			panic(err) // a test reads every file
		}
		byName[s.Name] = s
		names = append(names, s.Name)
	}
	sort.Strings(names)
	return byName, names
})

// Get gives the symbol of that name, or nil.
func Get(name string) *Symbol { m, _ := all(); return m[name] }

// Names gives the names of all symbols in order of the alphabet.
func Names() []string { _, n := all(); return append([]string(nil), n...) }

// Put draws s on the mark's layer with the mark's pen, id and title (the title of the
// symbol when the mark has none). words fill $1, $2 ...
func (s *Symbol) Put(m draw.Mark, p draw.Placement, words ...string) draw.SymbolRef {
	if m.Title == "" {
		m.Title = s.Title
	}
	ref := draw.SymbolRef{Mark: m, Name: s.Name, Place: p, Strokes: make([]draw.Shape, 0, len(s.strokes))}
	scale, clockwise, rigid := p.Rigid()
	own := m.Pen.Or(m.Layer)
	for _, k := range s.strokes {
		sm := draw.Mark{Layer: m.Layer, Pen: k.own}
		switch k.pen {
		case pipe:
			sm.Pen = draw.Pen{Width: own.Width}
		case run:
			sm.Pen = own
		}
		n := k.n
		switch k.kind {
		case line, polygon:
			if k.kind == line && len(n) == 4 {
				ref.Strokes = append(ref.Strokes, draw.Line{Mark: sm, A: p.Map(n[0], n[1]), B: p.Map(n[2], n[3])})
				continue
			}
			pts := make([]draw.Point, len(n)/2)
			for i := range pts {
				pts[i] = p.Map(n[2*i], n[2*i+1])
			}
			if k.kind == polygon {
				ref.Strokes = append(ref.Strokes, draw.Polygon{Mark: sm, Points: pts, Fill: k.fill})
			} else {
				ref.Strokes = append(ref.Strokes, draw.Polyline{Mark: sm, Points: pts})
			}
		case circle:
			if rigid {
				ref.Strokes = append(ref.Strokes, draw.Circle{Mark: sm, C: p.Map(n[0], n[1]), R: n[2] * scale, Fill: k.fill})
				continue
			}
			ref.Strokes = append(ref.Strokes, draw.Polygon{Mark: sm, Points: curve(p, n[0], n[1], n[2], n[2], 0, 360), Fill: k.fill})
		case ellipse:
			ref.Strokes = append(ref.Strokes, draw.Polygon{Mark: sm, Points: curve(p, n[0], n[1], n[2], n[3], 0, 360), Fill: k.fill})
		case arc:
			from, to := n[3], n[4]
			if !rigid {
				ref.Strokes = append(ref.Strokes, draw.Polyline{Mark: sm, Points: curve(p, n[0], n[1], n[2], n[2], from, to)})
				continue
			}
			base, sign := math.Atan2(p.U.Y, p.U.X)*180/math.Pi, -1.0
			if clockwise {
				sign = 1
			}
			ref.Strokes = append(ref.Strokes, draw.Arc{
				Mark: sm, C: p.Map(n[0], n[1]), R: n[2] * scale,
				Start: normal(base + sign*from), Sweep: sign * (to - from),
			})
		case text:
			w := fill(k.words, words)
			if w == "" {
				continue
			}
			t := draw.Text{Mark: draw.Mark{Layer: m.Layer}, At: p.Map(n[0], n[1]), Words: w, Size: n[2], Align: k.align, VAlign: draw.AtMiddle}
			if k.bold {
				t.Weight = textwidth.Bold
			}
			ref.Strokes = append(ref.Strokes, t)
		}
	}
	return ref
}

// Port gives where the named port lies on the sheet and the unit direction in which its
// pipe leads off; ok is false when s has no such port.
func (s *Symbol) Port(name string, p draw.Placement) (at, dir draw.Point, ok bool) {
	for _, q := range s.Ports {
		if q.Name == name {
			sin, cos := math.Sincos(q.Way * math.Pi / 180)
			at = p.Map(q.U, q.V)
			return at, p.Map(q.U+cos, q.V+sin).Sub(at).Unit(), true
		}
	}
	return draw.Point{}, draw.Point{}, false
}

// curve gives points on an elliptic arc, close enough that no chord is more than 0.005 mm
// off on paper; a whole turn leaves the first point unrepeated.
func curve(p draw.Placement, u, v, ru, rv, from, to float64) []draw.Point {
	r := max(ru*p.U.Len(), rv*p.V.Len(), ru*p.V.Len(), rv*p.U.Len())
	step := 30.0
	if r > 0.005 {
		step = min(step, 2*math.Acos(1-0.005/r)*180/math.Pi)
	}
	n := int(math.Ceil(math.Abs(to-from) / step))
	pts := make([]draw.Point, 0, n+1)
	for i := 0; i <= n; i++ {
		if i == n && math.Abs(to-from) == 360 {
			break
		}
		s, c := math.Sincos((from + (to-from)*float64(i)/float64(n)) * math.Pi / 180)
		pts = append(pts, p.Map(u+ru*c, v+rv*s))
	}
	return pts
}

func normal(deg float64) float64 {
	deg = math.Mod(deg, 360)
	if deg < 0 {
		deg += 360
	}
	return deg
}

func fill(words string, with []string) string {
	for i := 1; i <= 2; i++ {
		v := ""
		if i <= len(with) {
			v = with[i-1]
		}
		words = strings.ReplaceAll(words, "$"+strconv.Itoa(i), v)
	}
	return words
}

// Parse reads the text of a symbol file; name is what errors call it.
func Parse(name, body string) (*Symbol, error) {
	s := &Symbol{}
	cur := stroke{kind: line, pen: fixed, own: draw.Pen{Width: draw.Medium}}
	for i, l := range strings.Split(body, "\n") {
		if at := strings.IndexByte(l, '#'); at >= 0 {
			l = l[:at]
		}
		f := strings.Fields(l)
		if len(f) == 0 {
			continue
		}
		if err := s.word(f, &cur); err != nil {
			return nil, fmt.Errorf("%s:%d: %w", name, i+1, err)
		}
	}
	if s.Name == "" || s.Title == "" || s.View == "" {
		return nil, fmt.Errorf("%s: a symbol needs the lines symbol, title and view", name)
	}
	if len(s.strokes) == 0 {
		return nil, fmt.Errorf("%s: %s has no strokes", name, s.Name)
	}
	return s, nil
}

var ways = map[string]float64{"right": 0, "up": 90, "left": 180, "down": 270}

// counts gives how many numbers a stroke takes: at least, at most (0 for any even number).
var counts = map[string][2]int{
	"line": {4, 0}, "polygon": {6, 0}, "box": {4, 5}, "circle": {3, 3}, "dot": {3, 3}, "ellipse": {4, 4}, "arc": {5, 5},
}

func (s *Symbol) word(f []string, cur *stroke) error {
	rest := strings.Join(f[1:], " ")
	switch f[0] {
	case "symbol":
		s.Name = rest
		return nil
	case "title":
		s.Title = rest
		return nil
	case "view":
		switch v := View(rest); v {
		case Any, Elevation, Plan:
			s.View = v
			return nil
		}
		return fmt.Errorf("view %q is none of any, elevation, plan", rest)
	case "scale":
		if rest != "true" && rest != "paper" {
			return fmt.Errorf("scale %q is neither true nor paper", rest)
		}
		s.True = rest == "true"
		return nil
	case "port":
		if len(f) != 5 {
			return fmt.Errorf("port has %d words after it: write name, u, v and way", len(f)-1)
		}
		n, err := numbers(f[2:4])
		if err != nil {
			return err
		}
		way, ok := ways[f[4]]
		if !ok {
			if way, err = strconv.ParseFloat(f[4], 64); err != nil {
				return fmt.Errorf("way %q is none of left, right, up, down and no number of degrees", f[4])
			}
		}
		s.Ports = append(s.Ports, Port{f[1], n[0], n[1], way})
		return nil
	case "pen":
		switch rest {
		case "pipe":
			cur.pen = pipe
			return nil
		case "run":
			cur.pen = run
			return nil
		case "vent":
			cur.pen, cur.own = fixed, draw.LayerVent.Pen()
			return nil
		}
		for w := draw.Hair; w <= draw.Heavy; w++ {
			if w.String() == rest {
				cur.pen, cur.own = fixed, draw.Pen{Width: w}
				return nil
			}
		}
		return fmt.Errorf("pen %q is none of pipe, run, vent, hair, thin, medium, bold, heavy", rest)
	case "fill":
		for _, v := range []draw.Fill{draw.NoFill, draw.FillInk, draw.FillPaper} {
			if v.String() == rest {
				cur.fill = v
				return nil
			}
		}
		return fmt.Errorf("fill %q is none of none, ink, paper", rest)
	case "text":
		return s.text(f[1:])
	}
	c, ok := counts[f[0]]
	if !ok {
		return fmt.Errorf("%q is no word of a symbol file", f[0])
	}
	n, err := numbers(f[1:])
	if err != nil {
		return err
	}
	if len(n) < c[0] || c[1] > 0 && len(n) > c[1] || c[1] == 0 && len(n)%2 != 0 {
		return fmt.Errorf("%s has %d numbers", f[0], len(n))
	}
	k := *cur
	k.n = n
	switch f[0] {
	case "line":
		k.kind, k.fill = line, draw.NoFill
	case "polygon":
		k.kind = polygon
	case "box":
		k.kind, k.n = polygon, box(n)
	case "circle":
		k.kind = circle
	case "dot":
		k.kind, k.fill = circle, draw.FillInk
	case "ellipse":
		k.kind = ellipse
	case "arc":
		k.kind, k.fill = arc, draw.NoFill
	}
	s.strokes = append(s.strokes, k)
	return nil
}

func (s *Symbol) text(f []string) error {
	if len(f) < 5 {
		return fmt.Errorf("text has %d words after it: write u, v, size, align and the words", len(f))
	}
	n, err := numbers(f[:3])
	if err != nil {
		return err
	}
	k := stroke{kind: text, n: n}
	switch f[3] {
	case "left":
	case "middle":
		k.align = draw.Middle
	case "right":
		k.align = draw.Right
	default:
		return fmt.Errorf("align %q is none of left, middle, right", f[3])
	}
	f = f[4:]
	if f[0] == "bold" && len(f) > 1 {
		k.bold, f = true, f[1:]
	}
	k.words = strings.Join(f, " ")
	s.strokes = append(s.strokes, k)
	return nil
}

// box turns corner, size and radius into an outline.
func box(n []float64) []float64 {
	u, v, w, h := n[0], n[1], n[2], n[3]
	if len(n) == 4 || n[4] == 0 {
		return []float64{u, v, u + w, v, u + w, v + h, u, v + h}
	}
	r := n[4]
	var out []float64
	for i, c := range [][2]float64{{u + w - r, v + r}, {u + w - r, v + h - r}, {u + r, v + h - r}, {u + r, v + r}} {
		const steps = 8
		for j := 0; j <= steps; j++ {
			s, co := math.Sincos((float64(i-1) + float64(j)/steps) * math.Pi / 2)
			out = append(out, c[0]+r*co, c[1]+r*s)
		}
	}
	return out
}

func numbers(f []string) ([]float64, error) {
	out := make([]float64, len(f))
	for i, w := range f {
		v, err := strconv.ParseFloat(w, 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("%q is no number", w)
		}
		out[i] = v
	}
	return out, nil
}
