package view

import (
	"slices"
	"strconv"
	"strings"

	"trapweir/draw"
	"trapweir/draw/textwidth"
	"trapweir/engine"
	"trapweir/engine/site"
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

	office Office
	items  []site.Item // what is looked at on the site
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
	t := &setter{
		r: r, opt: opt, doc: report.Document(r), kept: map[string]drawn{},
		office: officeOf(r.Job.Site.Area.Text), items: report.SiteChecks(r),
	}
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

// schedules is the title of a sheet of tables until it is known which stand on it, and of
// one that holds more than its title has room for.
const schedules = "Schedules and questions"

// short are the names of the tables in the titles of sheets.
var short = map[string]string{"schedule": "Fixtures", "sizes": "Drain sizes", "vents": "Vents", "findings": "Findings", "questions": "Open questions"}

// named calls every sheet of tables after what stands on it.
func named(d drawn) {
	for i, s := range d.sheets {
		if title := tablesTitle(d, i, titleRoom); title != "" && s.Title == schedules {
			retitle(s, title)
		}
	}
}

// tablesTitle names all tables on the i-th sheet, or the first and the last of them where
// all have no room; "" where there are none.
func tablesTitle(d drawn, i int, room float64) string {
	var list []string
	walk := ""
	for _, q := range d.parts {
		if q.kind == "walk" && q.first == i {
			walk = ", walk"
		}
		if w := short[q.kind]; w != "" && i >= q.first && i <= q.last {
			if len(list) > 0 {
				w = strings.TrimPrefix(strings.ToLower(w), "open ")
			}
			list = append(list, w)
		}
	}
	if len(list) == 0 {
		return ""
	}
	if title := strings.Join(list, ", ") + walk; textwidth.Width(title, titleSize, textwidth.Regular) <= room {
		return title
	}
	return list[0] + " to " + list[len(list)-1] + walk
}

// titleSize is the height of the letters of a title in the strip of a sheet, titleRoom how
// wide it may be on any paper without going on to another line.
const (
	titleSize = 3.0
	titleRoom = 62.0
)

// retitle writes another title of one line into the title strip, which is drawn already.
func retitle(s *draw.Sheet, title string) {
	for i, sh := range s.Shapes {
		if t, ok := sh.(draw.Text); ok && t.Layer == draw.LayerFrame && t.Words == s.Title {
			t.Words = title
			s.Shapes[i] = t
			s.Title = title
			return
		}
	}
}

// tabled runs all tables on over sheets of their own, with the walk of the water below the
// last where it finds room there and has none beside the details.
func (t *setter) tabled(schedule, sizes, open []words, all []*table) drawn {
	list := append(append(schedule, sizes...), open...)
	// make sets them, those from the at-th on beginning on a sheet of their own.
	make := func(tight float64, most, at int) (*pager, drawn) {
		p := newTablePager(t.r, t.opt, t.opt.Paper, "P-S1", schedules, all...)
		p.tight, p.whole = tight, most
		var d drawn
		for i, x := range list {
			if i == at && (p.at > 0 || !p.fresh) {
				p.sheet()
			}
			d.parts = append(d.parts, p.part(x))
		}
		d.sheets = p.sheets
		return p, d
	}
	return t.once("tables", func() drawn {
		p, d := make(0, mostWhole, -1)
		if n := len(d.sheets); n > 1 { // rather closer rows, or a short table divided, than a sheet with a few of them
			for _, x := range [...]struct {
				tight float64
				most  int
			}{{0.5, mostWhole}, {1, mostWhole}, {1, 0}} {
				if q, e := make(x.tight, x.most, -1); len(e.sheets) < n {
					p, d = q, e
					break
				}
			}
		}
		for _, closer := range []float64{0.25, 0.5} { // rather rows a little closer than a table that goes on
			if p.tight < closer && p.breaks > 0 {
				if q, e := make(closer, p.whole, -1); len(e.sheets) == len(d.sheets) && q.breaks < p.breaks {
					p, d = q, e
				}
			}
		}
		where := t.walkBelow(p, d)
		for at := len(list) - 1; at > 0 && len(d.sheets) > 1 && (p.emptiest() < 0.5 || where.panel == nil && t.lone()); at-- { // rather two sheets half full
			q, e := make(p.tight, p.whole, at)
			if len(e.sheets) > len(d.sheets) {
				continue
			}
			if w := t.walkBelow(q, e); where.panel == nil && w.panel != nil || (where.panel == nil) == (w.panel == nil) && q.emptiest() > p.emptiest() {
				p, d, where = q, e, w
			}
		}
		if where.panel != nil {
			t.layWalk(&d, where)
		}
		named(d)
		return d
	})
}

// lone tells whether the walk of the water has one sheet for itself.
func (t *setter) lone() bool {
	walk := t.walked()
	return len(walk.parts) > 0 && walk.parts[0].last == 0 && (len(walk.parts) == 1 || walk.parts[1].first > 0)
}

// spot is a place for a panel below the tables.
type spot struct {
	panel *draw.Sheet
	sheet int
	at    draw.Point
}

// walkBelow finds room for a walk that has a sheet for itself below the vents, else below
// the last of the tables.
func (t *setter) walkBelow(p *pager, d drawn) spot {
	if len(p.boxes) > 1 || !t.lone() {
		return spot{}
	}
	const above = 10.0
	b := p.box()
	ends := append(p.ends[:len(p.ends):len(p.ends)], p.y)
	for _, i := range [...]int{d.parts[2].last, len(ends) - 1} {
		if s, ok := t.walk(b.W(), b.Y1-ends[i]-above); ok {
			return spot{s, i, draw.Point{X: b.X0, Y: ends[i] + above}}
		}
	}
	return spot{}
}

// layWalk lays the walk below the tables; what is left of its sheets are the details.
func (t *setter) layWalk(d *drawn, x spot) {
	lay(d.sheets[x.sheet], x.panel, x.at, 1, false)
	d.parts = append(d.parts, part{"walk", "The walk of the water", x.sheet, x.sheet})
	walk := t.walked()
	rest := drawn{sheets: walk.sheets[1:]}
	for _, q := range walk.parts[1:] {
		q.first, q.last = q.first-1, q.last-1
		rest.parts = append(rest.parts, q)
	}
	t.kept["walk"] = rest
}

// walk is the walk of the water as a panel w wide, if it finds room on one h high with any
// width of its steps.
func (t *setter) walk(w, h float64) (*draw.Sheet, bool) {
	steps, ok := report.Steps(t.r, t.opt.Of)
	if !ok || h < 40 {
		return nil, false
	}
	opt := numbered(t.opt, "P-W1")
	opt.Paper = panelOf(w, h)
	for _, width := range stepWidths {
		if width < stepWidth && width < widestStep(steps) {
			break
		}
		if list := strip(t.r, opt, steps, width); len(list) == 1 && used(list[0]) <= h {
			return list[0], true
		}
	}
	return nil, false
}

// texts are the parts in words.
func (t *setter) texts() (notes, office, test, site words) {
	o := t.office
	return words{"notes", "Notes and cautions", notesPage},
		words{"office", "What the office asks for: " + o.Title, func(p *pager) { officePage(p, o, t.where) }},
		words{"test", "Test and inspection", testPage},
		words{"site", "To look at on the site", func(p *pager) { sitePage(p, t.items) }}
}

// cover sets the cover, with more behind it where there is room.
func (t *setter) cover(more ...words) {
	n := len(t.out)
	make := func(tight float64, together bool) drawn {
		p := newTextPager(t.r, t.opt, t.opt.Paper, "P-0", "Cover")
		p.tight = tight
		coverPage(p, &t.doc, t.index, t.names, together)
		return keeping(p, more...)
	}
	// Rather the list of sheets in two pieces, or all closer together, than a second cover.
	d := make(0, true)
	for _, tight := range [...]float64{0, 1} {
		if len(d.sheets) > 1 {
			d = make(tight, false)
		}
	}
	last := len(d.sheets) - 1
	for _, q := range d.parts {
		last = min(last, q.first)
	}
	t.add(d)
	t.parts = append(t.parts, part{"cover", "Cover", n, n + last})
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
	t.add(t.tabled(schedule, sizes, open, all))
	t.add(t.riser())
	t.add(t.once("plans", func() drawn { return whole("plan", "Plans", t.plans(opt.Paper, 1)...) }))
	t.add(t.once("section", func() drawn { return t.section(opt.Paper, 0) }))
	t.add(t.walked())
	notes, office, test, site := t.texts()
	// The test is carried to the site, with what is looked at there where both find room on
	// a sheet. The office's list stands behind the notes or behind what is looked at.
	type sheet struct {
		number, title string
		list          []words
	}
	var (
		both   = sheet{"P-T1", "Test, to look at on the site", []words{test, site}}
		tested = sheet{"P-T1", "Test and inspection", []words{test}}
		looked = sheet{"P-I1", "To look at on the site", []words{site}}
		asked  = sheet{"P-I1", "To look at on the site, office's list", []words{site, office}}
		noted  = sheet{"P-N1", "Notes, cautions, office's list", []words{notes, office}}
		bare   = sheet{"P-N1", "Notes and cautions", []words{notes}}
		listed = sheet{"P-O1", "What the office asks for", []words{office}}
	)
	one := func(x sheet) *pager { // nil where they do not find room
		for _, width := range [...]float64{textWidth, 80} {
			for _, tight := range [...]float64{0, 1} {
				p := newWordsPager(r, opt, x.number, x.title, width)
				p.tight = tight
				if p.takes(false, x.list...) {
					return p
				}
			}
		}
		return nil
	}
	for _, set := range [][]sheet{{both, noted}, {tested, looked, noted}, {tested, asked, bare}, {both, bare, listed}, {tested, looked, bare, listed}} {
		var pages []*pager
		for _, x := range set {
			if p := one(x); p != nil {
				pages = append(pages, p)
			}
		}
		if len(pages) < len(set) && len(set) < 4 {
			continue
		}
		for _, x := range set {
			p := one(x)
			if p == nil {
				p = newTextPager(r, opt, opt.Paper, x.number, x.title)
			}
			d := keeping(p, x.list...)
			if x.number != "P-N1" && x.number != "P-O1" {
				p.remarks()
			}
			t.add(d)
		}
		return
	}
}

// riser is the riser, with its parts and how to read it where it takes several sheets.
func (t *setter) riser() drawn {
	return t.once("riser", func() drawn {
		const what = "Riser in isometric"
		d := whole("riser", what, riserSheets(t.r, t.opt)...)
		if n := len(d.sheets); n > 1 {
			d.parts = []part{{"riser", what, 0, 0}}
			if n > 2 {
				d.parts = append(d.parts, part{"riser", "The riser in parts", 1, n - 2})
			}
			d.parts = append(d.parts, part{"riser", "How to read the riser", n - 1, n - 1})
		}
		return d
	})
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
	t.add(t.riser())
	t.add(t.once("plans", func() drawn { return whole("plan", "Plans", t.plans(opt.Paper, 1)...) }))
	t.add(t.once("section", func() drawn { return t.section(opt.Paper, 0) }))
	t.add(t.walked())
	p := newTextPager(r, opt, opt.Paper, "P-T1", "Test, site, office's list")
	d := keeping(p, test, site, office)
	p.remarks()
	t.add(d)
}

// walked is the walk of the water and the details: the details below the end of the walk
// where they find room there.
func (t *setter) walked() drawn {
	return t.once("walk", func() drawn {
		details := Details(t.r, numbered(t.opt, "P-D1"))
		d := whole("walk", "The walk of the water", Strip(t.r, numbered(t.opt, "P-W1"))...)
		if len(details) == 0 {
			return d
		}
		_, area := newSheet(t.r, t.opt, t.opt.Paper, "P-W1", "", "")
		if e := t.panels(t.below(area.W(), area.H()), 1, "P-W1", 1); len(e.sheets) > 0 && len(e.sheets) < len(d.sheets)+len(details) {
			return e
		}
		d.parts = append(d.parts, part{"details", "Details", len(d.sheets), len(d.sheets) + len(details) - 1})
		d.sheets = append(d.sheets, details...)
		return d
	})
}

// below gives the walk and the details as panels, the details as high as there is room for
// below the end of the walk; nothing where that is too little, however narrow the steps.
func (t *setter) below(w, h float64) []panelPart {
	steps, ok := report.Steps(t.r, t.opt.Of)
	if !ok {
		return nil
	}
	opt := numbered(t.opt, "P-W1")
	opt.Paper = panelOf(w, h)
	low := 0.0 // the lowest end of the walk that was tried
	for _, width := range stepWidths {
		if width < stepWidth && width < widestStep(steps) {
			break
		}
		walk := strip(t.r, opt, steps, width)
		end := used(walk[len(walk)-1])
		left := h - end - gutter
		if left < 40 || low > 0 && end >= low {
			continue
		}
		low = end
		under := numbered(t.opt, "P-D1")
		under.Paper = panelOf(w, left)
		details := Details(t.r, under)
		if len(details) != 1 || used(details[0]) > left+0.01 {
			continue
		}
		var out []panelPart
		for _, s := range walk {
			out = append(out, panelPart{s, "walk", "The walk of the water", used(s)})
		}
		return append(out, panelPart{details[0], "details", "Details", used(details[0])})
	}
	return nil
}

// wideText is the width of a column of words on large paper.
const wideText = 130.0

// newWordsPager is newTextPager with columns about as wide as that.
func newWordsPager(r *engine.Result, opt Options, number, title string, width float64) *pager {
	p := &pager{r: r, opt: opt, paper: opt.Paper, number: number, title: title, width: width}
	p.sheet()
	return p
}

// section is the long section, where the job gives enough for one, on a sheet, or on a panel
// so named that is made zoom times as large; 0 is a sheet of its own.
func (t *setter) section(paper string, zoom float64) drawn {
	opt := numbered(t.opt, "P-X1")
	opt.Paper, opt.zoom = paper, zoom
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
	first := map[string]int{}
	for _, q := range parts {
		if i, ok := first[q.kind]; ok {
			q.first = i
		}
		first[q.kind] = q.first
		where[q.kind] = sheetWords(q, names)
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
