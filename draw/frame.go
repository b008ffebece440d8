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

	gap := little * 0.95 // between rows; less where lines to write on part them
	if tb.Stamp {
		gap = little * 0.85
	}
	fields, deep := fieldColumns(tb.Lines, middle, gap, max(depth, 24)-2*cell)
	var blanks [][2]Point
	x = in.X0 + first + cell
	for c, w := range fields.width {
		y = cell
		value := x + fields.label[c] + 2.5
		for _, f := range tb.Lines[fields.from[c]:fields.from[c+1]] {
			mid = append(mid, text(x, y, little, f.Label, textwidth.Regular, true))
			if f.Value == "" { // left blank, to be filled in by hand
				if tb.Stamp {
					blanks = append(blanks, [2]Point{{value, y + little + 0.6}, {x + w - 2*cell, y + little + 0.6}})
				}
				y += little
			}
			put(&mid, value, little, f.Value, textwidth.Regular, false, fields.room(c))
			y += gap
		}
		x += w
	}
	depth = max(depth, deep+2*cell)
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

// fieldWidth is a field with the widths of its label, of its value on one line, and of the
// longest word in that.
type fieldWidth struct {
	Field
	label, value, word float64
}

// columned is how the fields of a strip stand in columns, which fill from the top.
type columned struct {
	all          []fieldWidth
	from         []int     // the first field of every column, and where the last ends
	width, label []float64 // of every column; of the longest label in it
}

// room is the width of the values of a column.
func (c columned) room(i int) float64 { return c.width[i] - 2*cell - c.label[i] - 2.5 }

// toWrite is the least width of a value, which may be written in by hand.
const toWrite = 18.0

// fieldColumns sets fields in columns and gives their depth: in as many of one width, three
// at the most, as the longest words leave room for. Where that is deeper than there is room
// anyway, columns are made as wide, and as long, as takes the least depth.
func fieldColumns(list []Field, width, gap, room float64) (columned, float64) {
	all := make([]fieldWidth, len(list))
	for i, f := range list {
		all[i] = fieldWidth{Field: f, label: textwidth.Width(f.Label, little, textwidth.Regular), value: textwidth.Width(f.Value, little, textwidth.Regular)}
		for _, w := range Wrap(f.Value, little, textwidth.Regular, 0) {
			all[i].word = max(all[i].word, textwidth.Width(w, little, textwidth.Regular))
		}
	}
	var best columned
	least := 0.0
	for columns := min(max(1, int(width/44)), 3); columns >= 1; columns-- {
		rows := (len(list) + columns - 1) / columns
		c := columned{all: all, from: []int{0}}
		for i := range columns {
			c.from = append(c.from, min((i+1)*rows, len(list)))
		}
		c.labels()
		for range columns {
			c.width = append(c.width, width/float64(columns))
		}
		if deep, fits := c.deep(gap); fits || columns == 1 {
			best, least = c, deep
			break
		}
	}
	if least <= room+0.01 {
		return best, least
	}
	const step = 1.5
	for columns := min(max(1, int(width/36)), 3); columns > 1; columns-- {
		rows := (len(list) + columns - 1) / columns
		for first := max(1, rows-2); first <= min(rows+1, len(list)-columns+1); first++ {
			rest := (len(list) - first + columns - 2) / (columns - 1)
			c := columned{all: all, from: []int{0, first}}
			for len(c.from) <= columns {
				c.from = append(c.from, min(c.from[len(c.from)-1]+rest, len(list)))
			}
			c.labels()
			try := func(w ...float64) {
				c.width = w
				for i := range w {
					if c.room(i) < toWrite {
						return
					}
				}
				if deep, fits := c.deep(gap); fits && deep < least-0.01 {
					best, least = c, deep
				}
			}
			if columns == 2 {
				try(c.need(0), width-c.need(0))
				try(width-c.need(1), c.need(1))
			}
			for w := 30.0; w < width-30; w += step {
				if columns == 2 {
					try(w, width-w)
					continue
				}
				for v := 30.0; v < width-w-30; v += step {
					try(w, v, width-w-v)
				}
			}
		}
	}
	return best, least
}

// labels finds the longest label of every column.
func (c *columned) labels() {
	for i := range c.from[1:] {
		long := 0.0
		for _, f := range c.all[c.from[i]:c.from[i+1]] {
			long = max(long, f.label)
		}
		c.label = append(c.label, long)
	}
}

// need is the width of a column whose longest word has just room.
func (c columned) need(i int) float64 {
	long := toWrite
	for _, f := range c.all[c.from[i]:c.from[i+1]] {
		long = max(long, f.word)
	}
	return long + 0.02 + 2*cell + c.label[i] + 2.5
}

// deep is how far down the fields come; fits is false when a word has no room.
func (c columned) deep(gap float64) (deep float64, fits bool) {
	fits = true
	for i := range c.width {
		y, room := -gap, c.room(i)
		for _, f := range c.all[c.from[i]:c.from[i+1]] {
			n := 1
			if f.value > room {
				n = len(Wrap(f.Value, little, textwidth.Regular, room))
			}
			fits = fits && f.word <= room
			y += little + float64(n-1)*little*Leading + gap
		}
		deep = max(deep, y)
	}
	return deep, fits
}
