package view

import (
	"slices"
	"strings"

	"trapweir/draw"
)

// zooms are how much larger than on office paper words may be on the paper of drawing
// offices: such sheets are often printed at half their size.
var zooms = []float64{1.3, 1.2, 1.1, 1}

// large puts a set on the paper of drawing offices: all words and tables on the cover as
// far as they find room, and the drawings together. Each is as large as does not ask for
// another sheet.
func (t *setter) large() {
	z := 1.0
	if t.zoom == 0 && t.index != nil { // the list of sheets on the cover has its length
		fewest := 0
		for _, z := range zooms {
			if n := len(t.spread(z).sheets); fewest == 0 || n < fewest {
				fewest, t.zoom = n, z
			}
		}
	}
	if t.zoom != 0 {
		z = t.zoom
	}
	t.add(t.spread(z))
	t.add(t.riser())
	t.add(t.once("drawings", func() drawn {
		var best drawn
		for _, z := range zooms {
			if d := t.drawings(z); best.sheets == nil || len(d.sheets) < len(best.sheets) {
				best = d
			}
		}
		return best
	}))
}

// spread sets all words and tables z times as large as on office paper: the words in as
// many columns as they take, the tables in what is left beside them, on the same sheet
// where a table has room there.
func (t *setter) spread(z float64) drawn {
	opt := t.opt
	schedule, sizes, open, all := t.tables()
	notes, office, test, site := t.texts()
	const title = "Cover, schedules, notes"
	cover := words{"cover", "Cover", func(p *pager) { coverPage(p, &t.doc, t.index, t.names, true) }}
	text := []words{cover, notes, office, test, site}
	tables := append(append(schedule, sizes...), open...)
	_, area := newSheet(t.r, opt, t.opt.Paper, "P-0", title, "")
	opt.Paper = bareOf(area.W()/z, area.H()/z)
	p := newWordsPager(t.r, opt, "P-0", title, wideText)
	columns := len(p.boxes)
	for _, x := range text {
		x.fill(p)
	}
	need := (len(p.sheets)-1)*columns + p.at + 1
	p = newWordsPager(t.r, opt, "P-0", title, wideText)
	var left draw.Rect
	if need < columns {
		left = p.boxes[need].Union(p.boxes[columns-1])
		p.boxes = p.boxes[:need]
	}
	d := keeping(p, text...)
	q := newTablePager(t.r, opt, opt.Paper, "P-S1", schedules, all...)
	shared := 0 // sheets that the words and the tables stand on
	if n := int(left.W()/q.width + 0.12); n > 0 {
		q.sheets[0], q.boxes = d.sheets[0], columnsOf(left, n)
		shared = 1
	}
	e := set(q, tables...)
	at := func(i int) int { // in the set, of a sheet of tables
		if i < shared {
			return i
		}
		return len(d.sheets) - shared + i
	}
	for _, x := range e.parts {
		d.parts = append(d.parts, part{x.kind, x.what, at(x.first), at(x.last)})
	}
	d.sheets = append(d.sheets, e.sheets[shared:]...)
	for i, b := range d.sheets {
		switch tables := tablesTitle(d, i, area.W()*0.2); {
		case b.Title == schedules && tables != "":
			b.Title = tables
		case b.Title != title || tables != "":
		case i == 0:
			b.Title = "Cover, notes, test"
		default:
			b.Title = "Notes, test, site"
		}
		s, area := newSheet(t.r, t.opt, t.opt.Paper, b.Number, b.Title, "")
		lay(s, b, draw.Point{X: area.X0, Y: area.Y0}, z, true)
		d.sheets[i] = s
	}
	return d
}

// drawings puts plans, long section, walk and details on sheets of two columns, z times as
// large as on office paper. The section gives way as far as that saves a sheet.
func (t *setter) drawings(z float64) drawn {
	_, area := newSheet(t.r, t.opt, t.opt.Paper, "P-1", "", "")
	w, half := (area.W()-gutter)/2, (area.H()-gutter)/2
	var plans []panelPart
	for _, s := range t.plans(panelOf(w/z, half/z), z) {
		plans = append(plans, panelPart{s, "plan", "Plans", half})
	}
	rest := t.together(w, area.H(), z)
	var best drawn
	for _, share := range []float64{1, 0.88, 0.78} {
		list := slices.Clone(plans)
		if d := t.section(panelOf(w/z, half*share/z), z); len(d.sheets) > 0 {
			list = append(list, panelPart{d.sheets[0], "section", "Long section", half * share})
		}
		if d := t.panels(append(list, rest...), 2, "P-1", z); best.sheets == nil || len(d.sheets) < len(best.sheets) {
			best = d
		}
	}
	return best
}

// panelPart is a panel with what it is in the set, and the height that it takes.
type panelPart struct {
	s          *draw.Sheet
	kind, what string
	h          float64
}

// together gives the walk of the water and the details as panels that are w wide when they
// are made z times as large, as high as they come out, at most h.
func (t *setter) together(w, h, z float64) []panelPart {
	opt := t.opt
	opt.Paper = panelOf(w/z, h/z)
	var out []panelPart
	for _, s := range Strip(t.r, numbered(opt, "P-W1")) {
		out = append(out, panelPart{s, "walk", "The walk of the water", used(s) * z})
	}
	for _, s := range Details(t.r, numbered(opt, "P-D1")) {
		out = append(out, panelPart{s, "details", "Details", used(s) * z})
	}
	return out
}

// panels lays panels on sheets, down the columns of each.
func (t *setter) panels(list []panelPart, columns int, number string, z float64) drawn {
	var d drawn
	for len(list) > 0 {
		// How many there is room for, and where; then what the sheet is called.
		_, area := newSheet(t.r, t.opt, t.opt.Paper, number, "", "")
		boxes := columnsOf(area, columns)
		var at []draw.Point
		c, y := 0, area.Y0
		for _, x := range list {
			if y > area.Y0 && y+x.h > area.Y1+0.5 {
				c, y = c+1, area.Y0
			}
			if c == columns {
				break
			}
			at = append(at, draw.Point{X: boxes[c].X0, Y: y})
			y += x.h + gutter
		}
		var what []string
		for _, x := range list[:len(at)] {
			w := x.what
			if len(what) > 0 {
				w = strings.ToLower(w[:1]) + w[1:]
			}
			if !slices.Contains(what, w) && !slices.Contains(what, x.what) {
				what = append(what, w)
			}
		}
		scale := "NOT TO SCALE"
		for _, x := range list[:len(at)] {
			if x.kind == "plan" || x.kind == "section" {
				scale = "AS SHOWN"
			}
		}
		s, _ := newSheet(t.r, t.opt, t.opt.Paper, number, strings.Join(what, ", "), scale)
		for i, x := range list[:len(at)] {
			lay(s, x.s, at[i], z, i == 0)
			k := len(d.sheets)
			if n := len(d.parts); n > 0 && d.parts[n-1].kind == x.kind {
				d.parts[n-1].last = k
				continue
			}
			d.parts = append(d.parts, part{x.kind, x.what, k, k})
		}
		d.sheets = append(d.sheets, s)
		list = list[len(at):]
	}
	return d
}
