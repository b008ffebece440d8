package view

import (
	"slices"
	"strconv"
	"strings"

	"trapweir/draw"
	"trapweir/draw/textwidth"
	"trapweir/engine"
	"trapweir/report"
)

// part is a stretch of the set: what stands there, and on which of its sheets.
type part struct {
	kind        string // as in data/offices.yaml
	what        string // for the list of sheets
	first, last int    // indexes into the sheets of the set
}

// words is a part that is set in words or as a table.
type words struct {
	kind, what string
	fill       func(p *pager)
}

// setter puts the permit set together.
type setter struct {
	r     *engine.Result
	opt   Options
	doc   report.Doc
	kept  map[string]drawn // what does not change from one try to the next
	parts []part           // of this try
	out   []*draw.Sheet
	index []part            // of the try before, for the cover
	names []string          // of its sheets
	where map[string]string // what the office's list refers to
	zoom  float64           // of the words on large paper, once it is known
}

// drawn is some sheets with the parts on them, counted from the first of them.
type drawn struct {
	sheets []*draw.Sheet
	parts  []part
}

// Sheets makes the permit set: cover, schedules, riser, plans, sizes, vents, findings, open
// questions, the walk of the water, section, details, notes, test, what to look at on the
// site, and the office's list. Every sheet carries the code basis, who decides, and room
// for licence, signature and stamp. Larger paper takes several parts on one sheet, and so
// fewer sheets.
func Sheets(r *engine.Result, opt Options) []*draw.Sheet {
	opt.Stamp = true
	if opt.Paper == "" {
		opt.Paper = "letter"
	}
	t := &setter{r: r, opt: opt, doc: report.Document(r), kept: map[string]drawn{}}
	// The first try shows how many sheets there are, the next writes their numbers down; a
	// third is made when that took more room than none.
	for range 3 {
		t.parts, t.out = nil, nil
		switch w := paperWidth(opt.Paper); {
		case w >= ample:
			t.large()
		case w >= roomy:
			t.middle()
		default:
			t.small()
		}
		names := numbers(t.out)
		if slices.Equal(t.parts, t.index) && slices.Equal(names, t.names) {
			break
		}
		t.index, t.names = t.parts, names
		t.where = places(t.parts, names)
	}
	finish(t.out)
	return t.out
}

// roomy is the width of paper from which short parts share a sheet, ample that from which
// drawings do.
const (
	roomy = 300
	ample = 500
)

// add puts sheets into the set.
func (t *setter) add(d drawn) {
	n := len(t.out)
	for _, q := range d.parts {
		q.first += n
		q.last += n
		t.parts = append(t.parts, q)
	}
	t.out = append(t.out, d.sheets...)
}

// once draws something in the first try and keeps it.
func (t *setter) once(name string, make func() drawn) drawn {
	d, ok := t.kept[name]
	if !ok {
		d = make()
		t.kept[name] = d
	}
	return d
}

// whole is a part that has its sheets for itself; nothing without sheets.
func whole(kind, what string, sheets ...*draw.Sheet) drawn {
	if len(sheets) == 0 {
		return drawn{}
	}
	return drawn{sheets, []part{{kind, what, 0, len(sheets) - 1}}}
}

// set runs parts on over the sheets of a pager.
func set(p *pager, list ...words) drawn {
	var d drawn
	for _, x := range list {
		d.parts = append(d.parts, p.part(x))
	}
	d.sheets = p.sheets
	return d
}

// part fills in one part and tells where it came to stand.
func (p *pager) part(x words) part {
	p.began = -1
	x.fill(p)
	return part{x.kind, x.what, max(p.began, 0), len(p.sheets) - 1}
}

// keeping is set, but what does not fit into the rest of a column begins a new one as long
// as there are columns enough.
func keeping(p *pager, list ...words) drawn {
	var d drawn
	for i, x := range list {
		if !p.fresh && p.at+1 < len(p.boxes) && !p.takes(true, x) && p.takesFrom(list[i:]) {
			p.next()
		}
		d.parts = append(d.parts, p.part(x))
	}
	d.sheets = p.sheets
	return d
}

// takesFrom tells whether a list finds room from the next column on.
func (p *pager) takesFrom(list []words) bool {
	q := *p
	q.at, q.y, q.fresh = p.at+1, p.boxes[p.at+1].Y0, true
	return q.takes(false, list...)
}

// tables are the tables of the set, in order: of the fixtures, of sizes and vents, of
// findings and questions.
func (t *setter) tables() (schedule, sizes, open []words, all []*table) {
	r, doc := t.r, &t.doc
	of := func(kind, what string, tb *table) words {
		all = append(all, tb)
		return words{kind, what, func(p *pager) { p.table(tb) }}
	}
	schedule = []words{of("schedule", "Fixtures and units", fixtureTable(r, doc))}
	sizes = []words{of("sizes", "Drain sizes, each with its rule", sizeTable(r, doc)), of("vents", "Vents", ventTable(r, doc))}
	n := len(all)
	open = []words{of("findings", "Findings", findingTable(r)), of("questions", "Open questions", questionTable(r))}
	return schedule, sizes, open, all[:n]
}

// tabled runs all tables on over sheets of their own.
func (t *setter) tabled(schedule, sizes, open []words, all []*table) drawn {
	list := append(append(schedule, sizes...), open...)
	make := func(tight float64) drawn {
		p := newTablePager(t.r, t.opt, t.opt.Paper, "P-S1", "Schedules and questions", all...)
		p.tight = tight
		return set(p, list...)
	}
	return t.once("tables", func() drawn {
		d := make(0)
		if n := len(d.sheets); n > 1 { // rather closer rows than a sheet with a few of them
			for _, tight := range []float64{0.5, 1} {
				if closer := make(tight); len(closer.sheets) < n {
					return closer
				}
			}
		}
		return d
	})
}

// texts are the parts in words.
func (t *setter) texts() (notes, office, test, site words) {
	o := officeOf(t.r.Job.Site.Area.Text)
	return words{"notes", "Notes and cautions", notesPage},
		words{"office", "What the office asks for: " + o.Title, func(p *pager) { officePage(p, o, t.where) }},
		words{"test", "Test and inspection", testPage},
		words{"site", "To look at on the site", sitePage}
}

// cover sets the cover, with more behind it where there is room.
func (t *setter) cover(more ...words) {
	n := len(t.out)
	make := func(together bool) drawn {
		p := newTextPager(t.r, t.opt, t.opt.Paper, "P-0", "Cover")
		coverPage(p, t.index, t.names, together)
		return keeping(p, more...)
	}
	d := make(true)
	if len(d.sheets) > 1 { // rather the list of sheets in two pieces than a second cover
		d = make(false)
	}
	t.add(d)
	t.parts = append(t.parts, part{"cover", "Cover", n, n})
}

// plans draws all plans, each on a sheet or a panel so named that is made zoom times as
// large afterwards.
func (t *setter) plans(paper string, zoom float64) []*draw.Sheet {
	var out []*draw.Sheet
	opt := t.opt
	opt.Paper, opt.zoom = paper, zoom
	for i, level := range Plans(t.r) {
		out = append(out, Plan(t.r, level, numbered(opt, "P-"+strconv.Itoa(i+1))))
	}
	return out
}

// small puts a set on office paper: most parts have sheets of their own, and tables run on.
func (t *setter) small() {
	r, opt := t.r, t.opt
	t.cover()
	schedule, sizes, open, all := t.tables()
	notes, office, test, site := t.texts()
	t.add(t.tabled(schedule, sizes, open, all))
	t.add(t.once("riser", func() drawn { return whole("riser", "Riser in isometric", riserSheets(r, opt)...) }))
	t.add(t.once("plans", func() drawn { return whole("plan", "Plans", t.plans(opt.Paper, 1)...) }))
	t.add(t.once("section", func() drawn { return t.section(opt.Paper) }))
	t.add(t.walked())
	t.add(t.once("test", func() drawn {
		return set(newTextPager(r, opt, opt.Paper, "P-T1", "Test and inspection"), test)
	}))
	// The office's list stands behind the notes, in narrower columns, or behind what is looked
	// at on the site, where it finds room; the test has its sheet for itself, to be carried to
	// the site.
	narrow := func(title string) *pager { return newWordsPager(r, opt, "P-N1", title, 80) }
	if p := narrow("Notes, office"); p.takes(false, notes, office) {
		t.add(keeping(p, notes, office))
		office.fill = nil
	} else {
		t.add(set(newTextPager(r, opt, opt.Paper, "P-N1", "Notes and cautions"), notes))
	}
	p := newTextPager(r, opt, opt.Paper, "P-I1", "To look at on the site")
	d := set(p, site)
	if office.fill != nil && p.takes(false, office) {
		d = keeping(newTextPager(r, opt, opt.Paper, "P-I1", "To look at on the site, office"), site, office)
		office.fill = nil
	}
	t.add(d)
	if office.fill != nil {
		t.add(set(newTextPager(r, opt, opt.Paper, "P-O1", "What the office asks for"), office))
	}
}

// takes tells whether more finds room on the present sheet, or in the present column.
func (p *pager) takes(column bool, list ...words) bool {
	q := *p
	q.sheets = []*draw.Sheet{{W: p.s().W, H: p.s().H}}
	q.boxes = append([]draw.Rect(nil), p.boxes...)
	for _, x := range list {
		x.fill(&q)
	}
	return len(q.sheets) == 1 && (!column || q.at == p.at)
}

// middle puts a set on paper on which what is in words shares sheets.
func (t *setter) middle() {
	r, opt := t.r, t.opt
	schedule, sizes, open, all := t.tables()
	notes, office, test, site := t.texts()
	t.cover(notes)
	t.add(t.tabled(schedule, sizes, open, all))
	t.add(t.once("riser", func() drawn { return whole("riser", "Riser in isometric", riserSheets(r, opt)...) }))
	t.add(t.once("plans", func() drawn { return whole("plan", "Plans", t.plans(opt.Paper, 1)...) }))
	t.add(t.once("section", func() drawn { return t.section(opt.Paper) }))
	t.add(t.walked())
	t.add(keeping(newTextPager(r, opt, opt.Paper, "P-T1", "Test, site, office"), test, site, office))
}

// walked is the walk of the water and the details, on one sheet where that takes both.
func (t *setter) walked() drawn {
	return t.once("walk", func() drawn {
		_, area := newSheet(t.r, t.opt, t.opt.Paper, "P-D1", "", "")
		if d := t.panels(t.together(area.W(), area.H(), 1), 1, "P-D1", 1); len(d.sheets) == 1 {
			return d
		}
		d := whole("walk", "The walk of the water", Strip(t.r, numbered(t.opt, "P-W1"))...)
		if s := Details(t.r, numbered(t.opt, "P-D1")); len(s) > 0 {
			d.parts = append(d.parts, part{"details", "Details", len(d.sheets), len(d.sheets) + len(s) - 1})
			d.sheets = append(d.sheets, s...)
		}
		return d
	})
}

// wideText is the width of a column of words on large paper.
const wideText = 130.0

// newWordsPager is newTextPager with columns about as wide as that.
func newWordsPager(r *engine.Result, opt Options, number, title string, width float64) *pager {
	p := &pager{r: r, opt: opt, paper: opt.Paper, number: number, title: title, width: width}
	p.sheet()
	return p
}

// section is the long section, where the job gives enough for one.
func (t *setter) section(paper string) drawn {
	opt := numbered(t.opt, "P-X1")
	opt.Paper = paper
	s, ok := Section(t.r, opt)
	if !ok {
		return drawn{}
	}
	return whole("section", "Long section", s)
}

// paperWidth is the width of a paper, 0 when it is not known.
func paperWidth(name string) float64 {
	for _, z := range draw.Sizes {
		if z.Name == name {
			return z.W
		}
	}
	return 0
}

// places names the sheets of every kind of part.
func places(parts []part, names []string) map[string]string {
	where := map[string]string{"every sheet": "every sheet", "none": "beside the set"}
	for _, q := range parts {
		if where[q.kind] == "" {
			where[q.kind] = sheetWords(q, names)
		}
	}
	return where
}

// sheetWords writes "P-R1" or "P-1 to P-3".
func sheetWords(q part, names []string) string {
	w := names[q.first]
	if q.last > q.first {
		w += " to " + names[q.last]
	}
	return w
}

func numbered(opt Options, number string) Options {
	opt.Number = number
	return opt
}

// numbers gives the numbers of the sheets of a set: counted on within their letter, P-S1,
// P-S2, so that none is there twice.
func numbers(all []*draw.Sheet) []string {
	next := map[string]int{}
	out := make([]string, len(all))
	for i, s := range all {
		letter := strings.TrimRight(s.Number, "0123456789")
		k, err := strconv.Atoi(s.Number[len(letter):])
		n, seen := next[letter]
		if err == nil && (!seen || k > n) {
			n = k
		}
		out[i] = letter + strconv.Itoa(n)
		next[letter] = n + 1
	}
	return out
}

// finish numbers the sheets of the set and gives every one its place.
func finish(all []*draw.Sheet) {
	for i, number := range numbers(all) {
		renumber(all[i], number, strconv.Itoa(i+1)+" of "+strconv.Itoa(len(all)))
	}
}

// renumber writes number and place into the title block, which is drawn already.
func renumber(s *draw.Sheet, number, place string) {
	in := s.Inner()
	for i, sh := range s.Shapes {
		t, ok := sh.(draw.Text)
		if !ok || t.Layer != draw.LayerFrame || t.Align != draw.Middle {
			continue
		}
		if t.Words == s.Number && t.Weight == textwidth.Bold {
			t.Words = number
			s.Shapes[i] = t
			top := in.Y1 - (in.Y1-t.At.Y-3.5)*2 // the number stands in the middle of the strip
			s.Add(draw.Text{Mark: draw.Mark{Layer: draw.LayerFrame}, At: draw.Point{X: t.At.X, Y: top + 3}, Words: place, Align: draw.Middle, VAlign: draw.AtTop, Soft: true})
			break
		}
	}
	s.Number = number
}
