package view

import (
	"math"
	"slices"
	"strings"

	"trapweir/draw"
	"trapweir/draw/textwidth"
	"trapweir/engine"
)

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
	fresh  bool      // nothing stands in the present column
	width  float64   // wanted of a column; 0 is that of tables
	began  int       // sheet of the first heading since it was set to -1
	tight  float64   // how much closer rows and headings stand, from 0 to 1
	whole  int       // a table of no more rows than that is not divided
	breaks int       // how often a table went on
	ends   []float64 // where the last columns of the sheets before the present one end
	full   float64   // share of the emptiest of the sheets before the present one
}

// newPager begins with a sheet of columns as wide as tables take.
func newPager(r *engine.Result, opt Options, paper, number, title string) *pager {
	p := &pager{r: r, opt: opt, paper: paper, number: number, title: title}
	p.sheet()
	return p
}

// newTablePager is newPager with columns as wide as the tables would like to be.
func newTablePager(r *engine.Result, opt Options, paper, number, title string, list ...*table) *pager {
	p := &pager{r: r, opt: opt, paper: paper, number: number, title: title, width: 190, whole: mostWhole}
	for _, t := range list {
		p.width = max(p.width, min(t.natural(), 300))
	}
	p.sheet()
	return p
}

// wrap is draw.Wrap, but breaks a word that is wider than the column too, such as a long
// name of a run; what follows goes on behind its end.
func wrap(words string, size float64, w textwidth.Weight, width float64) []string {
	lines := draw.Wrap(words, size, w, width)
	tooWide := func(l string) bool {
		return strings.IndexByte(l, ' ') < 0 && len(l) >= 8 && textwidth.Width(l, size, w) > width+0.01
	}
	if !slices.ContainsFunc(lines, tooWide) {
		return lines
	}
	var out strings.Builder
	for i, para := range strings.Split(words, "\n") {
		if i > 0 {
			out.WriteByte('\n')
		}
		for _, word := range strings.Fields(para) {
			for letters := []rune(word); tooWide(word); letters = []rune(word) {
				n := len(letters)
				for n > 3 && textwidth.Width(string(letters[:n])+"-", size, w) > width {
					n--
				}
				out.WriteString(string(letters[:n]) + "- ")
				word = string(letters[n:])
			}
			out.WriteString(word + " ")
		}
	}
	return draw.Wrap(out.String(), size, w, width)
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
	if len(p.sheets) > 0 {
		p.full = p.emptiest()
		p.ends = append(p.ends, p.y)
	}
	s, area := newSheet(p.r, p.opt, p.paper, p.number, p.title, "")
	p.sheets = append(p.sheets, s)
	width := p.width
	if width == 0 {
		width = 215
	}
	p.boxes = columnsOf(area, max(1, int(area.W()/width+0.12)))
	p.at, p.y, p.fresh = 0, area.Y0, true
}

// emptiest is how full the emptiest sheet is, as a share of its columns.
func (p *pager) emptiest() float64 {
	b := p.box()
	full := (float64(p.at) + (p.y-b.Y0)/b.H()) / float64(len(p.boxes))
	if len(p.sheets) > 1 {
		full = min(full, p.full)
	}
	return full
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

// dot is the side of a dot of a screen.
const dot = 25.4 / 96

func (p *pager) text(x, y float64, words string, size float64, w textwidth.Weight, soft bool, a draw.Align) {
	if words == "" {
		return
	}
	y = math.Round((y+size)/dot)*dot - size // letters stand on a row of dots
	p.s().Add(draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: x, Y: y}, Words: words, Size: size, VAlign: draw.AtTop, Weight: w, Soft: soft, Align: a})
}

// rule draws a line across the column, in the middle of a row of dots of a screen, so that
// rules look alike there.
func (p *pager) rule(w draw.Width) {
	b := p.box()
	y := (math.Floor(p.y/dot) + 0.5) * dot
	p.s().Add(draw.Line{Mark: draw.Mark{Layer: draw.LayerTable, Pen: draw.Pen{Width: w}}, A: draw.Point{X: b.X0, Y: y}, B: draw.Point{X: b.X1, Y: y}})
}

// heading writes a title that stays with h millimetres of what follows.
func (p *pager) heading(words string, h float64) {
	if !p.fresh {
		p.y += p.between()
	}
	lines := wrap(words, headSize, textwidth.Bold, p.box().W())
	more := float64(len(lines)-1) * headSize * 1.4
	p.room(titleDeep(words, p.box().W()) + h)
	if p.began < 0 {
		p.began = len(p.sheets) - 1
	}
	for i, l := range lines {
		p.text(p.box().X0, p.y+float64(i)*headSize*1.4, l, headSize, textwidth.Bold, false, draw.Left)
	}
	p.y += 6.6 + more
	p.fresh = false
}

// titleDeep is what a heading takes in a column of that width.
func titleDeep(words string, w float64) float64 {
	return 8 + float64(len(wrap(words, headSize, textwidth.Bold, w))-1)*headSize*1.4
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
	for _, l := range wrap(text, size, textwidth.Regular, p.box().W()-indent) {
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
	lines := wrap(text, size, textwidth.Regular, p.box().W()-indent)
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
	p.y += p.blankRow()
	p.fresh = false
}

// blankRow is the height of a line to be filled in.
func (p *pager) blankRow() float64 { return 9.5 - 1.2*p.tight }

// form leaves a table to be filled in by hand: a row for each of the names in its first
// column, the other columns empty, as wide as their share of what is left.
func (p *pager) form(heads []string, share []float64, names ...string) {
	const size = draw.SmallestText
	p.room(size + 3.4 + formRow*float64(len(names)))
	b := p.box()
	at := make([]float64, len(heads)+1)
	at[0] = b.X0
	for c := range heads {
		at[c+1] = at[c] + share[c]*b.W()
	}
	inner := at[1] - at[0] - 2*cellPad
	top := p.y
	p.rule(draw.Medium)
	for c, h := range heads {
		p.text(at[c]+cellPad, p.y+1.7, h, size, textwidth.Bold, false, draw.Left)
	}
	p.y += size + 3.4
	p.rule(draw.Thin)
	for _, n := range names {
		lines := wrap(n, size, textwidth.Regular, inner)
		y := p.y + (formRow-size-float64(len(lines)-1)*size*1.5)/2
		for _, l := range lines {
			p.text(at[0]+cellPad, y, l, size, textwidth.Regular, false, draw.Left)
			y += size * 1.5
		}
		p.y += formRow
		p.rule(draw.Hair)
	}
	for c := 1; c < len(heads); c++ {
		p.s().Add(draw.Line{Mark: draw.Mark{Layer: draw.LayerTable, Pen: draw.Pen{Width: draw.Hair}}, A: draw.Point{X: at[c], Y: top}, B: draw.Point{X: at[c], Y: p.y}})
	}
	p.y += 2
	p.fresh = false
}

// formRow is the height of a row to be written in.
const formRow = 8.5

// remarks leaves lines to write on in what is left of the column, else in the next one of
// the sheet.
func (p *pager) remarks() {
	const most, fewest = 8, 3
	const what = "What was seen, changed or agreed on the site, with name and date."
	lead := float64(len(wrap(what, draw.SmallestText, textwidth.Regular, p.box().W())))*draw.SmallestText*draw.Leading + 1.4
	room := p.box().Y1 - p.y - p.between() - titleDeep("Remarks", p.box().W()) - lead
	n := min(most, int(room/formRow))
	if n < fewest && p.at+1 < len(p.boxes) { // at the head of an empty column
		p.next()
		n = most
	}
	if n < fewest {
		return
	}
	p.heading("Remarks", 0)
	p.words(what, 0, true)
	for range n {
		p.y += formRow
		p.rule(draw.Hair)
	}
}

// toTick is a line of a list to tick: its words, and what stands at the right edge.
type toTick struct{ text, where string }

// pair is how many boxes of a list stand together at the least.
const pair = 2

// least is what of a list must stand below its heading: all of a short one, else a pair.
func (p *pager) least(list []toTick) float64 {
	if len(list) >= 2*pair {
		list = list[:pair]
	}
	h := 0.0
	for _, x := range list {
		h += float64(len(x.lines(p.box().W())))*boxSize*draw.Leading + tickGap
	}
	return min(h, p.box().H()*0.8)
}

// ticks draws a list to tick. No box goes on to another column alone.
func (p *pager) ticks(list []toTick) {
	width := p.box().W()
	high := make([]float64, len(list))
	for i, x := range list {
		high[i] = float64(len(x.lines(width)))*boxSize*draw.Leading + tickGap
	}
	from := 0
	for from < len(list) {
		n, room := 0, p.box().Y1-p.y
		for from+n < len(list) && high[from+n]-tickGap <= room+0.01 {
			room -= high[from+n]
			n++
		}
		if left := len(list) - from - n; left > 0 && left < pair && n > pair {
			n -= pair - left
		}
		for range n {
			p.tick(list[from])
			from++
		}
		switch {
		case from == len(list):
		case p.fresh && n == 0: // higher than a column
			p.tick(list[from])
			from++
		default:
			p.next()
		}
	}
}

const (
	boxSize   = draw.SmallestText
	boxIndent = 6.0
)

// lines are the words of a box in a column of that width.
func (x toTick) lines(width float64) []string {
	right := 0.0
	if x.where != "" {
		right = textwidth.Width(x.where, boxSize, textwidth.Regular) + 4
	}
	return wrap(x.text, boxSize, textwidth.Regular, width-boxIndent-right)
}

// tick draws an empty box before words.
func (p *pager) tick(item toTick) {
	b := p.box()
	x, y := b.X0, p.y-0.25
	p.s().Add(draw.Polygon{Mark: draw.Mark{Layer: draw.LayerTable}, Points: []draw.Point{{X: x, Y: y}, {X: x + 3, Y: y}, {X: x + 3, Y: y + 3}, {X: x, Y: y + 3}}})
	p.text(b.X1, p.y, item.where, boxSize, textwidth.Regular, true, draw.Right)
	for _, l := range item.lines(b.W()) {
		p.text(x+boxIndent, p.y, l, boxSize, textwidth.Regular, false, draw.Left)
		p.y += boxSize * draw.Leading
	}
	p.fresh = false
	p.y += tickGap
}

// tickGap is the room between boxes to tick.
const tickGap = 0.7
