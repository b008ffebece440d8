package view

import (
	"math"
	"strings"

	"trapweir/draw"
	"trapweir/draw/textwidth"
)

// column is one column of a table. Its width follows what stands in it; a wide one takes
// what is left and wraps.
type column struct {
	head  string
	wide  bool
	right bool
	bold  bool
	wrap  bool    // it gives way like a wide one, and takes nothing that is left
	point bool    // its numbers stand with their points below each other
	again bool    // what it says again in the next row is written "as above"
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

const cellPad = 1.8

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

// longWord is the width of a word that is broken where a column is narrower.
const longWord = 36.0

// widths gives every column of t its width within w millimetres.
func (t *table) widths(w float64) []float64 {
	const size = draw.SmallestText
	out := make([]float64, len(t.cols))
	least := make([]float64, len(t.cols))
	sum, wide := 0.0, 0
	rows := t.all()
	natural := make([][]float64, len(rows)) // of every cell
	for k := range rows {
		natural[k] = make([]float64, len(t.cols))
	}
	for c := range t.cols {
		out[c] = max(textwidth.Width(t.cols[c].head, size, textwidth.Bold), t.cols[c].least)
		least[c] = out[c]
		tail := t.tail(c)
		for k, r := range rows {
			weight := t.weight(k, c)
			x := textwidth.Width(r[c], size, weight)
			if t.cols[c].point {
				x += tail - tailOf(r[c], weight)
			}
			natural[k][c] = x
			out[c] = max(out[c], x)
			if t.cols[c].point {
				least[c] = max(least[c], x)
				continue
			}
			for _, l := range strings.Fields(r[c]) { // its longest word, up to one that is broken
				least[c] = max(least[c], min(textwidth.Width(l, size, weight), longWord))
			}
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
		// The wide columns give way, and with them what is wider than most; then the others,
		// none below its longest word.
		const most = 45.0
		gives := make([]bool, len(out))
		for c := range out {
			gives[c] = t.gives(c) || out[c] > most
		}
		over := sum - w
		for _, wides := range [2]bool{true, false} {
			room := 0.0
			for c := range out {
				if gives[c] == wides {
					room += out[c] - least[c]
				}
			}
			take := min(over, room)
			for c := range out {
				if gives[c] == wides && room > 0 {
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
			return out
		}
		settle(gives, out, least, natural)
	}
	return out
}

// settle moves width between the columns that give way as long as the table takes fewer
// lines by it.
func settle(give []bool, out, least []float64, natural [][]float64) {
	var gives []int
	for c := range give {
		if give[c] {
			gives = append(gives, c)
		}
	}
	lines := func() int { // first of the rows, then of all cells
		sum := 0
		for _, r := range natural {
			deep := 1
			for _, c := range gives {
				n := 1
				if room := out[c] - 2*cellPad; r[c] > room+0.01 {
					n = int(r[c]*1.06/room) + 1 // lines do not end full
				}
				deep = max(deep, n)
				sum += n
			}
			sum += deep * 1000
		}
		return sum
	}
	best := lines()
	for _, step := range [...]float64{32, 24, 16, 8, 4, 2} {
		for moved := true; moved; {
			moved = false
			for _, a := range gives {
				for _, b := range gives {
					if a == b || out[a]-step < least[a] {
						continue
					}
					out[a] -= step
					out[b] += step
					if n := lines(); n < best {
						best, moved = n, true
						continue
					}
					out[a] += step
					out[b] -= step
				}
			}
		}
	}
}

// all are the rows with the total.
func (t *table) all() [][]string {
	if t.total == nil {
		return t.rows
	}
	return append(t.rows[:len(t.rows):len(t.rows)], t.total)
}

// weight is that of a cell of the k-th of all rows.
func (t *table) weight(k, c int) textwidth.Weight {
	if t.cols[c].bold || k == len(t.rows) {
		return textwidth.Bold
	}
	return textwidth.Regular
}

// tailOf is the width of what stands behind the whole number of a figure.
func tailOf(words string, weight textwidth.Weight) float64 {
	rest := strings.TrimLeft(words, "0123456789")
	if rest == "" || len(rest) == len(words) {
		return 0
	}
	return textwidth.Width(rest, draw.SmallestText, weight)
}

// tail is the widest of a column whose numbers stand with their points below each other.
func (t *table) tail(c int) float64 {
	tail := 0.0
	if t.cols[c].point {
		for k, r := range t.all() {
			tail = max(tail, tailOf(r[c], t.weight(k, c)))
		}
	}
	return tail
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

// leastOn is how many rows of a table go on to another column, at the least, leastBegun how
// many stand under its title; the total counts as a row.
// A table of no more than mostWhole rows is divided only where that saves a sheet.
const (
	leastOn    = 3
	leastBegun = 2
	mostWhole  = 6
)

// table sets a table; its title and head stand again on every column that it goes on to.
// No row or two go on alone.
func (p *pager) table(t *table) {
	const size = draw.SmallestText
	t = t.filled()
	rows := t.all()
	width := p.box().W()
	if len(rows) == 0 {
		p.heading(t.title, size*draw.Leading)
		p.words(t.empty, 0, true)
		return
	}
	above := 0.0 // what stands between title and rows
	if t.lead != "" {
		above = float64(len(wrap(t.lead, size, textwidth.Regular, width)))*size*draw.Leading + 1.4
	}
	const head = size + 3.4
	above += head
	w := t.widths(width)
	// Every row in lines as it stands below another, and as it stands first in a column.
	below, first := make([]cells, len(rows)), make([]cells, len(rows))
	for k, r := range rows {
		first[k] = p.wrapped(t, k, r, w)
		below[k] = first[k]
		if shown := t.shown(k); shown != nil {
			below[k] = p.wrapped(t, k, shown, w)
		}
	}
	// fit is how many rows from one on find room.
	fit := func(from int, room float64) int {
		k := from
		for k < len(rows) {
			high := below[k].high
			if k == from {
				high = first[k].high
			}
			if high > room+0.01 {
				break
			}
			room -= high
			k++
		}
		return k - from
	}
	// here is how many rows from one on are to stand in that room; 0 for none.
	here := func(from int, room float64, least int) int {
		n := fit(from, room)
		if left := len(rows) - from - n; left > 0 && left < leastOn {
			n -= leastOn - left
		}
		if n < least && n < len(rows)-from {
			return 0
		}
		return n
	}
	column := p.box().H()
	title := titleDeep(t.title, width)
	room := p.box().Y1 - p.y - title - above
	if !p.fresh {
		room -= p.between()
	}
	n := here(0, room, leastBegun)
	if n == 0 || n < len(rows) && len(rows) <= p.whole && here(0, column-title-above, 1) == len(rows) {
		if !p.fresh {
			p.next()
		}
		n = max(here(0, column-title-above, 1), 1)
	}
	p.heading(t.title, 0)
	if t.lead != "" {
		p.words(t.lead, 0, false)
	}
	tails := make([]float64, len(t.cols))
	for c := range t.cols {
		tails[c] = t.tail(c)
	}
	for from := 0; ; {
		p.rule(draw.Medium)
		p.y += 1.7
		x := p.box().X0
		for c, col := range t.cols {
			p.cell(col, x, w[c], col.head, textwidth.Bold)
			x += w[c]
		}
		p.y += size + 1.7
		p.rule(draw.Thin)
		for k := from; k < from+n; k++ {
			x := p.box().X0
			row := below[k]
			if k == from {
				row = first[k]
			}
			for c := range rows[k] {
				weight := t.weight(k, c)
				back := 0.0
				if t.cols[c].point {
					back = tails[c] - tailOf(rows[k][c], weight)
				}
				top := p.y
				p.y += p.rowPad() / 2
				for _, l := range row.lines[c] {
					p.cell(t.cols[c], x, w[c]-back, l, weight)
					p.y += size * draw.Leading
				}
				p.y = top
				x += w[c]
			}
			p.y += row.high
			p.rule(draw.Hair)
		}
		p.fresh = false
		if from += n; from == len(rows) {
			break
		}
		p.next()
		p.breaks++
		p.heading(t.title+", continued", 0)
		n = max(here(from, p.box().Y1-p.y-head, 1), 1)
	}
	p.y += 1
}

// cells are a row in lines, with its height.
type cells struct {
	lines [][]string
	high  float64
}

// wrapped breaks what the k-th row says into lines.
func (p *pager) wrapped(t *table, k int, r []string, w []float64) cells {
	const size = draw.SmallestText
	deep := 1
	out := cells{lines: make([][]string, len(r))}
	for c := range r {
		out.lines[c] = wrap(r[c], size, t.weight(k, c), w[c]-2*cellPad+0.01)
		deep = max(deep, len(out.lines[c]))
	}
	out.high = math.Ceil((size+float64(deep-1)*size*draw.Leading+p.rowPad())/dot) * dot // rules and words keep their distance
	return out
}

// shown is what the k-th row says below the row before; nil where that is all of it.
func (t *table) shown(k int) []string {
	if k == 0 || k >= len(t.rows) {
		return nil
	}
	for c := range t.cols {
		if t.cols[c].again && t.rows[k][c] != "" && t.rows[k][c] == t.rows[k-1][c] {
			out := append([]string(nil), t.rows[k]...)
			out[c] = "as above"
			return out
		}
	}
	return nil
}

func (p *pager) cell(c column, x, w float64, words string, weight textwidth.Weight) {
	if c.right || c.point {
		p.text(x+w-cellPad, p.y, words, draw.SmallestText, weight, false, draw.Right)
		return
	}
	p.text(x+cellPad, p.y, words, draw.SmallestText, weight, false, draw.Left)
}
