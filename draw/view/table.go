package view

import (
	"math"

	"trapweir/draw"
	"trapweir/draw/textwidth"
	"trapweir/engine"
)

// column is one column of a table. Its width follows what stands in it; a wide one takes
// what is left and wraps.
type column struct {
	head  string
	wide  bool
	right bool
	bold  bool
	wrap  bool    // it gives way like a wide one, and takes nothing that is left
	least float64 // width that it has however short its words, to be written in by hand
}

// table is a schedule as it is set on sheets.
type table struct {
	title string
	cols  []column
	rows  [][]string
	total []string // last row, set off; nil for none
	lead  string   // a sentence above the table
	empty string   // what stands there when it has no rows
}

// pager sets tables and words on as many sheets as they take, in columns of a width that
// can be read.
type pager struct {
	r      *engine.Result
	opt    Options
	paper  string
	number string
	title  string
	sheets []*draw.Sheet
	boxes  []draw.Rect // columns of the present sheet
	at     int         // the present column
	y      float64
	fresh  bool    // nothing stands in the present column
	width  float64 // wanted of a column; 0 is that of tables
	began  int     // sheet of the first heading since it was set to -1
	tight  float64 // how much closer rows and headings stand, from 0 to 1
}

func newPager(r *engine.Result, opt Options, paper, number, title string) *pager {
	p := &pager{r: r, opt: opt, paper: paper, number: number, title: title}
	p.sheet()
	return p
}

// newTablePager is newPager with columns as wide as the tables would like to be.
func newTablePager(r *engine.Result, opt Options, paper, number, title string, list ...*table) *pager {
	p := &pager{r: r, opt: opt, paper: paper, number: number, title: title, width: 190}
	for _, t := range list {
		p.width = max(p.width, min(t.natural(), 300))
	}
	p.sheet()
	return p
}

// natural is the width at which nothing in the table wraps.
func (t *table) natural() float64 {
	sum := 0.0
	for c := range t.cols {
		w := textwidth.Width(t.cols[c].head, draw.SmallestText, textwidth.Bold)
		for _, r := range t.rows {
			w = max(w, textwidth.Width(r[c], draw.SmallestText, textwidth.Bold))
		}
		sum += min(w, 110) + 2*cellPad
	}
	return sum
}

// textWidth is the width of a column of words that reads well.
const textWidth = 118.0

// newTextPager is newPager with the narrower columns of words.
func newTextPager(r *engine.Result, opt Options, paper, number, title string) *pager {
	p := &pager{r: r, opt: opt, paper: paper, number: number, title: title, width: textWidth}
	p.sheet()
	return p
}

const gutter = 9.0

func (p *pager) sheet() {
	s, area := newSheet(p.r, p.opt, p.paper, p.number, p.title, "")
	p.sheets = append(p.sheets, s)
	width := p.width
	if width == 0 {
		width = 215
	}
	p.boxes = columnsOf(area, max(1, int(area.W()/width+0.12)))
	p.at, p.y, p.fresh = 0, area.Y0, true
}

// columnsOf cuts an area into n columns.
func columnsOf(area draw.Rect, n int) []draw.Rect {
	w := (area.W() - gutter*float64(n-1)) / float64(n)
	var out []draw.Rect
	for i := range n {
		x := area.X0 + float64(i)*(w+gutter)
		out = append(out, draw.Rect{X0: x, Y0: area.Y0, X1: x + w, Y1: area.Y1})
	}
	return out
}

// box is the present column, s the present sheet.
func (p *pager) box() draw.Rect { return p.boxes[p.at] }
func (p *pager) s() *draw.Sheet { return p.sheets[len(p.sheets)-1] }

// next goes to the next column or sheet.
func (p *pager) next() {
	if p.at+1 < len(p.boxes) {
		p.at++
		p.y, p.fresh = p.box().Y0, true
		return
	}
	p.sheet()
}

// room makes sure that h millimetres are left, on a new column if need be.
func (p *pager) room(h float64) {
	if p.y+h > p.box().Y1+0.01 && !p.fresh {
		p.next()
	}
}

func (p *pager) text(x, y float64, words string, size float64, w textwidth.Weight, soft bool, a draw.Align) {
	if words == "" {
		return
	}
	p.s().Add(draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: x, Y: y}, Words: words, Size: size, VAlign: draw.AtTop, Weight: w, Soft: soft, Align: a})
}

// rule draws a line across the column, in the middle of a row of dots of a screen, so that
// rules look alike there.
func (p *pager) rule(w draw.Width) {
	const dot = 25.4 / 96
	b := p.box()
	y := (math.Floor(p.y/dot) + 0.5) * dot
	p.s().Add(draw.Line{Mark: draw.Mark{Layer: draw.LayerTable, Pen: draw.Pen{Width: w}}, A: draw.Point{X: b.X0, Y: y}, B: draw.Point{X: b.X1, Y: y}})
}

// heading writes a title that stays with h millimetres of what follows.
func (p *pager) heading(words string, h float64) {
	if !p.fresh {
		p.y += p.between()
	}
	lines := draw.Wrap(words, headSize, textwidth.Bold, p.box().W())
	more := float64(len(lines)-1) * headSize * 1.4
	p.room(8 + more + h)
	if p.began < 0 {
		p.began = len(p.sheets) - 1
	}
	for i, l := range lines {
		p.text(p.box().X0, p.y+float64(i)*headSize*1.4, l, headSize, textwidth.Bold, false, draw.Left)
	}
	p.y += 6.6 + more
	p.fresh = false
}

// between is the room before a heading, rowPad that between the rules of a row beside its
// words.
func (p *pager) between() float64 { return 7 - 2.8*p.tight }

func (p *pager) rowPad() float64 { return 3.2 - 1.3*p.tight }

// headSize is the height of the letters of a heading.
const headSize = 3.5

// words writes a paragraph.
func (p *pager) words(text string, indent float64, soft bool) {
	const size = draw.SmallestText
	for _, l := range draw.Wrap(text, size, textwidth.Regular, p.box().W()-indent) {
		p.room(size + 1)
		p.text(p.box().X0+indent, p.y, l, size, textwidth.Regular, soft, draw.Left)
		p.y += size * draw.Leading
		p.fresh = false
	}
	p.y += 1.4
}

// item writes a paragraph behind a short mark.
func (p *pager) item(mark, text string, indent float64) {
	const size = draw.SmallestText
	lines := draw.Wrap(text, size, textwidth.Regular, p.box().W()-indent)
	p.room(float64(len(lines))*size*draw.Leading + 1)
	p.text(p.box().X0, p.y, mark, size, textwidth.Bold, false, draw.Left)
	for _, l := range lines {
		p.text(p.box().X0+indent, p.y, l, size, textwidth.Regular, false, draw.Left)
		p.y += size * draw.Leading
	}
	p.fresh = false
	p.y += 1
}

// blank draws a line to be filled in by hand, behind its name.
func (p *pager) blank(names ...string) {
	p.room(6)
	b := p.box()
	w := b.W() / float64(len(names))
	for i, n := range names {
		x := b.X0 + float64(i)*w
		t := textwidth.Width(n, draw.SmallestText, textwidth.Regular)
		p.text(x, p.y+3, n, draw.SmallestText, textwidth.Regular, true, draw.Left)
		p.s().Add(draw.Line{Mark: draw.Mark{Layer: draw.LayerTable}, A: draw.Point{X: x + t + 2, Y: p.y + 5.8}, B: draw.Point{X: x + w - 4, Y: p.y + 5.8}})
	}
	p.y += 9.5
	p.fresh = false
}

// tick draws an empty box before words.
func (p *pager) tick(text, where string) {
	const size = draw.SmallestText
	const indent = 6.0
	right := 0.0
	if where != "" {
		right = textwidth.Width(where, size, textwidth.Regular) + 4
	}
	lines := draw.Wrap(text, size, textwidth.Regular, p.box().W()-indent-right)
	p.room(float64(len(lines))*size*draw.Leading + 1)
	b := p.box()
	x, y := b.X0, p.y-0.25
	p.s().Add(draw.Polygon{Mark: draw.Mark{Layer: draw.LayerTable}, Points: []draw.Point{{X: x, Y: y}, {X: x + 3, Y: y}, {X: x + 3, Y: y + 3}, {X: x, Y: y + 3}}})
	p.text(b.X1, p.y, where, size, textwidth.Regular, true, draw.Right)
	for _, l := range lines {
		p.text(x+indent, p.y, l, size, textwidth.Regular, false, draw.Left)
		p.y += size * draw.Leading
	}
	p.fresh = false
	p.y += tickGap
}

// tickGap is the room between boxes to tick.
const tickGap = 0.7

const cellPad = 1.8

// widths gives every column of t its width within w millimetres.
func (t *table) widths(w float64) []float64 {
	const size = draw.SmallestText
	out := make([]float64, len(t.cols))
	least := make([]float64, len(t.cols))
	sum, wide := 0.0, 0
	rows := t.rows
	if t.total != nil {
		rows = append(append([][]string(nil), rows...), t.total)
	}
	for c := range t.cols {
		out[c] = textwidth.Width(t.cols[c].head, size, textwidth.Bold)
		out[c] = max(out[c], t.cols[c].least)
		least[c] = out[c]
		for _, r := range rows {
			weight := textwidth.Regular
			if t.cols[c].bold {
				weight = textwidth.Bold
			}
			out[c] = max(out[c], textwidth.Width(r[c], size, weight))
			for _, l := range draw.Wrap(r[c], size, weight, 0) { // its longest word
				least[c] = max(least[c], textwidth.Width(l, size, weight))
			}
		}
		if t.total != nil {
			out[c] = max(out[c], textwidth.Width(t.total[c], size, textwidth.Bold))
		}
		out[c] += 2 * cellPad
		least[c] += 2 * cellPad
		sum += out[c]
		if t.cols[c].wide {
			wide++
		}
	}
	switch {
	case sum <= w && wide > 0:
		for c := range out {
			if t.cols[c].wide {
				out[c] += (w - sum) / float64(wide)
			}
		}
	case sum <= w:
		for c := range out {
			out[c] *= w / sum
		}
	default:
		// The wide columns give way, then the others, none below its longest word.
		over := sum - w
		for _, wides := range [2]bool{true, false} {
			room := 0.0
			for c := range out {
				if t.gives(c) == wides {
					room += out[c] - least[c]
				}
			}
			take := min(over, room)
			for c := range out {
				if t.gives(c) == wides && room > 0 {
					out[c] -= take * (out[c] - least[c]) / room
				}
			}
			over -= take
		}
		if over > 0 { // hopeless, but it must stay on the sheet
			f := w / (w + over)
			for c := range out {
				out[c] *= f
			}
		}
	}
	return out
}

// filled is the table without columns in which nothing stands.
func (t *table) filled() *table {
	var keep []int
	for c := range t.cols {
		some := t.cols[c].least > 0 || t.total != nil && t.total[c] != ""
		for _, r := range t.rows {
			some = some || r[c] != ""
		}
		if some {
			keep = append(keep, c)
		}
	}
	if len(keep) == len(t.cols) || len(t.rows) == 0 {
		return t
	}
	pick := func(r []string) (out []string) {
		for _, c := range keep {
			out = append(out, r[c])
		}
		return out
	}
	q := *t
	q.cols, q.rows, q.total = nil, nil, nil
	for _, c := range keep {
		q.cols = append(q.cols, t.cols[c])
	}
	for _, r := range t.rows {
		q.rows = append(q.rows, pick(r))
	}
	if t.total != nil {
		q.total = pick(t.total)
	}
	return &q
}

// gives tells whether a column gives way before others.
func (t *table) gives(c int) bool { return t.cols[c].wide || t.cols[c].wrap }

// height is what the table takes below its title in a column w millimetres wide.
func (t *table) height(w float64) float64 {
	const size = draw.SmallestText
	h := 0.0
	if t.lead != "" {
		h += float64(len(draw.Wrap(t.lead, size, textwidth.Regular, w)))*size*draw.Leading + 1.4
	}
	if len(t.rows) == 0 && t.total == nil {
		return h + size*draw.Leading
	}
	h += size + 3.4
	wide := t.widths(w)
	rows := t.rows
	if t.total != nil {
		rows = append(append([][]string(nil), rows...), t.total)
	}
	for _, r := range rows {
		deep := 1
		for c := range r {
			weight := textwidth.Regular
			if t.cols[c].bold {
				weight = textwidth.Bold
			}
			deep = max(deep, len(draw.Wrap(r[c], size, weight, wide[c]-2*cellPad+0.01)))
		}
		if h += size + float64(deep-1)*size*draw.Leading + 3.2; h > 300 { // more than is ever asked for
			return h
		}
	}
	return h
}

// table sets a table; its head stands again on every column that it goes on to.
func (p *pager) table(t *table) {
	const size = draw.SmallestText
	t = t.filled()
	p.heading(t.title, min(t.height(p.box().W()), 38)) // its head and a few rows
	if t.lead != "" {
		p.words(t.lead, 0, false)
	}
	if len(t.rows) == 0 && t.total == nil {
		p.words(t.empty, 0, true)
		return
	}
	w := t.widths(p.box().W())
	head := func() {
		p.rule(draw.Medium)
		p.y += 1.7
		x := p.box().X0
		for c, col := range t.cols {
			p.cell(col, x, w[c], col.head, textwidth.Bold)
			x += w[c]
		}
		p.y += size + 1.7
		p.rule(draw.Thin)
		p.fresh = false
	}
	head()
	wrapped := func(r []string, bold bool) (lines [][]string, h float64) {
		deep := 1
		lines = make([][]string, len(r))
		for c := range r {
			weight := textwidth.Regular
			if bold || t.cols[c].bold {
				weight = textwidth.Bold
			}
			lines[c] = draw.Wrap(r[c], size, weight, w[c]-2*cellPad+0.01)
			deep = max(deep, len(lines[c]))
		}
		return lines, size + float64(deep-1)*size*draw.Leading + p.rowPad()
	}
	// after is the height of the row that must not be left alone on the next column.
	set := func(r []string, bold bool, after float64) {
		lines, h := wrapped(r, bold)
		if p.y+h+after > p.box().Y1 && !p.fresh {
			p.next()
			head()
		}
		y := p.y + p.rowPad()/2
		x := p.box().X0
		for c := range r {
			weight := textwidth.Regular
			if bold || t.cols[c].bold {
				weight = textwidth.Bold
			}
			for k, l := range lines[c] {
				keep := p.y
				p.y = y + float64(k)*size*draw.Leading
				p.cell(t.cols[c], x, w[c], l, weight)
				p.y = keep
			}
			x += w[c]
		}
		p.y += h
		p.rule(draw.Hair)
		p.fresh = false
	}
	for i, r := range t.rows {
		after := 0.0
		switch n := len(t.rows); {
		case t.total != nil && i == n-1:
			_, after = wrapped(t.total, true)
		case t.total == nil && i == n-2 && n > 2:
			_, after = wrapped(t.rows[n-1], false)
		}
		set(r, false, after)
	}
	if t.total != nil {
		set(t.total, true, 0)
	}
	p.y += 1
}

func (p *pager) cell(c column, x, w float64, words string, weight textwidth.Weight) {
	if c.right {
		p.text(x+w-cellPad, p.y, words, draw.SmallestText, weight, false, draw.Right)
		return
	}
	p.text(x+cellPad, p.y, words, draw.SmallestText, weight, false, draw.Left)
}
