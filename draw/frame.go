package draw

import "trapweir/draw/textwidth"

// Field is one labelled entry of a title block.
type Field struct{ Label, Value string }

// TitleBlock is what the strip along the lower edge of a sheet says.
type TitleBlock struct {
	Project string  // job title, large
	Lines   []Field // address, permit number, code basis, contractor ... in order of weight
	Scale   string  // `1/4" = 1'-0"` or "NOT TO SCALE"
	Of      string  // place in the set, such as "3 of 7"
	Notice  string  // who decides; printed under the title
	Stamp   bool    // leave a blank box for the office's stamp and a line to sign on
}

const (
	cell   = 3.0 // blank edge inside the cells of the strip
	little = SmallestText
)

// DrawFrame draws the frame and the title strip of s from its Number, Title and tb, and
// gives the area left for the drawing, 5 mm inside the frame. The strip grows with its text.
func DrawFrame(s *Sheet, tb TitleBlock) Rect {
	in := s.Inner()
	m := Mark{Layer: LayerFrame}
	thin := Mark{Layer: LayerFrame, Pen: Pen{Thin, Solid}}
	text := func(x, y, size float64, words string, w textwidth.Weight, soft bool) Text {
		return Text{Mark: m, At: Point{x, y}, Words: words, Size: size, VAlign: AtTop, Weight: w, Soft: soft}
	}

	numberSize := 7.0
	last := max(34, textwidth.Width(s.Number, numberSize, textwidth.Bold)+2*cell)
	first := min(max(68, in.W()*0.26), in.W()-last-40)
	stamp := 0.0
	if tb.Stamp {
		stamp = min(62, in.W()*0.17)
	}
	middle := in.W() - first - last - stamp

	// The two text cells are set first, from the top of the strip at 0, to learn its height.
	var left, mid []Shape
	y := cell
	put := func(list *[]Shape, x float64, size float64, words string, w textwidth.Weight, soft bool, width float64) {
		if words == "" {
			return
		}
		shapes, depth := Lines(text(x, y, size, words, w, soft), Wrap(words, size, w, width))
		*list = append(*list, shapes...)
		y += depth
	}
	x := in.X0 + cell
	put(&left, x, 3.5, tb.Project, textwidth.Bold, false, first-2*cell)
	y += 3
	put(&left, x, 3, s.Title, textwidth.Regular, false, first-2*cell)
	if tb.Notice != "" {
		y += 3
		put(&left, x, little, tb.Notice, textwidth.Regular, true, first-2*cell)
	}
	depth := y + cell

	// Fields fill columns from the top: as many as their longest words leave room for.
	columns := min(max(1, int(middle/44)), 3)
	var rows int
	var colW float64
	var labels []float64
	for ; columns >= 1; columns-- {
		rows = (len(tb.Lines) + columns - 1) / columns
		colW = middle / float64(columns)
		labels = make([]float64, columns)
		fits := true
		for i, f := range tb.Lines {
			labels[i/rows] = max(labels[i/rows], textwidth.Width(f.Label, little, textwidth.Regular))
		}
		for i, f := range tb.Lines {
			for _, w := range Wrap(f.Value, little, textwidth.Regular, 0) {
				fits = fits && textwidth.Width(w, little, textwidth.Regular) <= colW-2*cell-labels[i/rows]-2.5
			}
		}
		if fits || columns == 1 {
			break
		}
	}
	gap := little * 0.95 // between rows; less where lines to write on part them
	if tb.Stamp {
		gap = little * 0.85
	}
	var blanks [][2]Point
	for c := range columns {
		y = cell
		x := in.X0 + first + float64(c)*colW + cell
		for i := c * rows; i < min((c+1)*rows, len(tb.Lines)); i++ {
			f := tb.Lines[i]
			mid = append(mid, text(x, y, little, f.Label, textwidth.Regular, true))
			if f.Value == "" { // left blank, to be filled in by hand
				if tb.Stamp {
					blanks = append(blanks, [2]Point{{x + labels[c] + 2.5, y + little + 0.6}, {in.X0 + first + float64(c+1)*colW - cell, y + little + 0.6}})
				}
				y += little
			}
			put(&mid, x+labels[c]+2.5, little, f.Value, textwidth.Regular, false, colW-2*cell-labels[c]-2.5)
			y += gap
			depth = max(depth, y-gap+cell)
		}
	}
	depth = max(depth, 24)

	top := in.Y1 - depth
	rule := func(x float64) { s.Add(Line{thin, Point{x, top}, Point{x, in.Y1}}) }
	s.Add(Polygon{m, []Point{{in.X0, in.Y0}, {in.X1, in.Y0}, {in.X1, in.Y1}, {in.X0, in.Y1}}, NoFill},
		Line{m, Point{in.X0, top}, Point{in.X1, top}})
	rule(in.X0 + first)
	for _, list := range [][]Shape{left, mid} {
		for _, t := range list {
			t := t.(Text)
			t.At.Y += top
			s.Add(t)
		}
	}
	for _, b := range blanks {
		s.Add(Line{Mark{Layer: LayerFrame, Pen: Pen{Hair, Solid}}, Point{b[0].X, b[0].Y + top}, Point{b[1].X, b[1].Y + top}})
	}
	if tb.Stamp {
		x := in.X0 + first + middle
		rule(x)
		s.Add(text(x+cell, top+cell, little, "Office use", textwidth.Regular, true),
			Line{thin, Point{x + cell, in.Y1 - cell - little - 1.6}, Point{x + stamp - cell, in.Y1 - cell - little - 1.6}},
			text(x+cell, in.Y1-cell-little, little, "Signed, date", textwidth.Regular, true))
	}
	rule(in.X1 - last)
	x = in.X1 - last/2
	centred := func(y, size float64, words string, w textwidth.Weight, soft bool) {
		if words != "" {
			t := text(x, y, size, words, w, soft)
			t.Align = Middle
			s.Add(t)
		}
	}
	centred(top+depth/2-numberSize/2, numberSize, s.Number, textwidth.Bold, false)
	centred(top+cell, little, tb.Of, textwidth.Regular, true)
	centred(in.Y1-cell-little, little, tb.Scale, textwidth.Regular, false)
	return Rect{in.X0 + 5, in.Y0 + 5, in.X1 - 5, top - 5}
}
