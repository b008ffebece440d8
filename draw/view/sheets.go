package view

import (
	"math"
	"strconv"
	"strings"

	"trapweir/draw"
	"trapweir/draw/textwidth"
	"trapweir/engine"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/unit"
	"trapweir/report"
)

// part is a stretch of the set: what stands there, and on which of its sheets.
type part struct {
	kind        string // as in data/offices.yaml
	what        string // for the list of sheets
	first, last int    // indexes into the sheets after the cover
}

// Sheets makes the permit set: cover, schedules, riser, plans, sizes, the walk of the
// water, vents, section, details, findings, notes, test, what to look at on the site, open
// questions and the office's list. Every sheet carries the code basis, who decides, and
// room for licence, signature and stamp. Larger paper takes several short parts on one sheet.
func Sheets(r *engine.Result, opt Options) []*draw.Sheet {
	opt.Stamp = true
	if opt.Paper == "" {
		opt.Paper = "letter"
	}
	doc := report.Document(r)
	var parts []part
	var body []*draw.Sheet
	add := func(kind, what string, s ...*draw.Sheet) {
		if len(s) > 0 {
			parts = append(parts, part{kind, what, len(body), len(body) + len(s) - 1})
			body = append(body, s...)
		}
	}
	// short puts parts one after the other on the same sheets; on small paper each begins a
	// sheet of its own, unless they run on.
	type section struct {
		kind, what string
		fill       func(p *pager)
	}
	short := func(runOn bool, sheets func(i int) *pager, list ...section) {
		var p *pager
		base := len(body)
		for i, x := range list {
			if p == nil || p.s().W < roomy && !runOn {
				p, base = sheets(i), len(body)
			}
			p.began = -1
			x.fill(p)
			parts = append(parts, part{x.kind, x.what, base + max(p.began, 0), base + len(p.sheets) - 1})
			if p.s().W < roomy && !runOn || i == len(list)-1 {
				body = append(body, p.sheets...)
			}
		}
	}

	fixtures, sizes, vents := fixtureTable(r, &doc), sizeTable(r, &doc), ventTable(r, &doc)
	found, asked := findingTable(r), questionTable(r)
	set := func(kind, what string, t *table) section {
		return section{kind, what, func(p *pager) { p.table(t) }}
	}
	// tables runs tables on over the same sheets.
	tables := func(number, title string, list ...section) {
		short(true, func(int) *pager { return newTablePager(r, opt, opt.Paper, number, title, fixtures, sizes, vents) }, list...)
	}
	schedule := set("schedule", "Fixtures and units", fixtures)
	bySize := []section{set("sizes", "Drain sizes, each with its rule", sizes), set("vents", "Vents", vents)}
	open := []section{set("findings", "Findings", found), set("questions", "Open questions", asked)}
	width := paperWidth(opt.Paper)
	switch { // the larger the paper the more tables share a sheet
	case width >= ample:
		tables("P-S1", "Schedules and findings", append(append([]section{schedule}, bySize...), open...)...)
	case width >= roomy:
		tables("P-S1", "Schedules", append([]section{schedule}, bySize...)...)
	default:
		tables("P-S1", "Fixtures and units", schedule)
	}
	add("riser", "Riser in isometric", riserSheets(r, opt)...)
	var plans []*draw.Sheet
	for i, level := range Plans(r) {
		plans = append(plans, Plan(r, level, numbered(opt, "P-"+strconv.Itoa(i+1))))
	}
	add("plan", "Plans", plans...)
	if width < roomy {
		tables("P-S2", "Drain sizes and vents", bySize...)
	}
	add("walk", "The walk of the water", Strip(r, numbered(opt, "P-W1"))...)
	if s, ok := Section(r, numbered(opt, "P-X1")); ok {
		add("section", "Long section", s)
	}
	add("details", "Details", Details(r, numbered(opt, "P-D1"))...)

	office := officeOf(r.Job.Site.Area.Text)
	officeTitle := "What the office asks for: " + office.Title
	if width < ample {
		tables("P-F1", "Findings and open questions", open...)
	}
	var where map[string]string // the office's list names the sheets; filled when they are known
	write := func() {
		short(false, func(i int) *pager {
			number := [...]string{"P-N1", "P-T1", "P-I1", "P-O1"}[i]
			p := newTextPager(r, opt, opt.Paper, number, [...]string{"Notes and cautions", "Test and inspection", "To look at on the site", "What the office asks for"}[i])
			if p.s().W >= roomy { // they share it
				p = newTextPager(r, opt, opt.Paper, number, "Notes, test, site, office")
			}
			return p
		}, section{"notes", "Notes and cautions", notesPage}, section{"test", "Test and inspection", testPage},
			section{"site", "To look at on the site", sitePage},
			section{"office", officeTitle, func(p *pager) { officePage(p, office, where) }})
	}
	// The first time shows how many sheets there are; the second writes their numbers.
	keepParts, keepBody := len(parts), len(body)
	write()
	cover := newTextPager(r, opt, opt.Paper, "P-0", "Cover")
	coverPage(cover, parts, 1, true)
	together := len(cover.sheets) == 1
	if !together { // rather the list of sheets in two pieces than a second cover
		cover = newTextPager(r, opt, opt.Paper, "P-0", "Cover")
		coverPage(cover, parts, 1, false)
	}
	n := len(cover.sheets)
	where = places(parts, n)
	parts, body = parts[:keepParts], body[:keepBody]
	write()
	if n > 1 {
		cover = newTextPager(r, opt, opt.Paper, "P-0", "Cover")
		coverPage(cover, parts, n, together)
	}
	out := append(append([]*draw.Sheet(nil), cover.sheets...), body...)
	finish(out)
	return out
}

// roomy is the width of paper from which short parts share a sheet, ample that from which
// all tables do.
const (
	roomy = 300
	ample = 500
)

// paperWidth is the width of a paper, 0 when it is not known.
func paperWidth(name string) float64 {
	for _, z := range draw.Sizes {
		if z.Name == name {
			return z.W
		}
	}
	return 0
}

// places names the sheets of every kind of part, with cover sheets before them.
func places(parts []part, cover int) map[string]string {
	where := map[string]string{"cover": "1", "every sheet": "every sheet", "none": "beside the set"}
	for _, q := range parts {
		if where[q.kind] == "" {
			where[q.kind] = sheetWords(q, cover)
		}
	}
	return where
}

// sheetWords writes "4" or "4 to 6".
func sheetWords(q part, cover int) string {
	w := strconv.Itoa(cover + q.first + 1)
	if q.last > q.first {
		w += " to " + strconv.Itoa(cover+q.last+1)
	}
	return w
}

func numbered(opt Options, number string) Options {
	opt.Number = number
	return opt
}

// finish numbers the sheets of the set and gives every one its place. Further sheets of a
// kind get letters: P-S1, P-S1b.
func finish(all []*draw.Sheet) {
	seen := map[string]int{}
	for i, s := range all {
		n := seen[s.Number]
		seen[s.Number]++
		number := s.Number
		if n > 0 {
			number += string(rune('a' + n))
		}
		place := strconv.Itoa(i+1) + " of " + strconv.Itoa(len(all))
		renumber(s, number, place)
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

// coverPage fills the cover; together keeps the list of sheets in one column.
func coverPage(p *pager, parts []part, cover int, together bool) {
	r := p.r
	b := p.box()
	for _, l := range draw.Wrap(r.Job.Title.Text, 5, textwidth.Bold, b.W()) {
		p.text(b.X0, p.y, l, 5, textwidth.Bold, false, draw.Left)
		p.y += 9
	}
	p.fresh = false
	p.words("Drain, waste and vent system: drawings, schedules and reasons.", 0, true)
	p.heading("Scope", 10)
	units, closets, n := totals(r)
	state := map[string]int{}
	for i := range r.Net.Runs {
		state[r.Net.Runs[i].Def.State.Text]++
	}
	scope := countWords(n, "fixture is", "fixtures are") + " drawn, on " + countWords(len(r.Net.Runs), "run", "runs") + " of drain and " + countWords(len(r.Net.Vents), "vent", "vents") + "; " + units + " fixture units with " + countWords(closets, "water closet", "water closets") + " " + outletWords(r) + "."
	p.words(scope, 0, false)
	if state["existing"] > 0 || state["remove"] > 0 {
		var what []string
		if k := state["existing"]; k > 0 {
			what = append(what, countWords(k, "run is existing and stays", "runs are existing and stay"))
		}
		if k := state["remove"]; k > 0 {
			what = append(what, countWords(k, "run is removed", "runs are removed"))
		}
		p.words(strings.Join(what, ", ")+". Existing pipe is drawn thin and tagged (E), removed pipe is crossed and tagged (R).", 0, false)
	}
	for _, w := range r.Job.Notes {
		p.words(w.Text, 0, false)
	}
	p.heading("Code basis, in the order in which it speaks", 12)
	for _, l := range r.Book.Layers() {
		text := l.Title
		if l.Kind != "" {
			text += " (" + l.Kind + ")"
		}
		if l.Invented {
			text += ", invented"
		}
		if l.Status != "" {
			text += ". " + l.Status
		}
		p.item(l.ID, text, 34)
	}
	p.words("Where layers differ, the later one speaks, and every size and finding names the one that spoke.", 0, true)
	p.heading("Who decides", 25)
	p.words(who, 0, false)
	p.words("The adopted code, the local amendments and the inspector come before anything printed here. Values marked from memory were not checked against a printed page.", 0, false)
	deep := 14.0
	if together {
		deep = min(float64(len(parts))*(lineStep+1.4), p.box().H()*0.7)
	}
	p.heading("Sheets", deep)
	for _, q := range parts {
		p.item(sheetWords(q, cover), q.what, 18)
	}
	t := report.Document(r).Totals
	p.heading("State of the checks", 12)
	p.words(countWords(t.Errors, "fault", "faults")+", "+countWords(t.Warnings, "warning", "warnings")+", "+countWords(t.Unchecked, "thing not checked", "things not checked")+". They stand in the findings and the open questions.", 0, false)
	p.heading("Licence and signature", 26)
	p.blank("Contractor", "Licence")
	p.blank("Designer", "Registration")
	p.blank("Signature", "Date")
}

func notesPage(p *pager) {
	r := p.r
	j := r.Job
	p.heading("Notes", 25)
	n := 0
	note := func(text string) {
		n++
		p.item(strconv.Itoa(n)+".", text, 8)
	}
	note("The work follows the code basis on the cover and the orders of the authority; where they differ, the authority decides.")
	note("Sizes are the smallest that the code basis permits unless the job asks for larger ones. The riser is not to scale.")
	if f, ok := usual(r); ok {
		note("Level drains fall " + slopeWords(f, j.Units) + " where nothing else is written, even along their length.")
	} else {
		note("Level drains fall evenly along their length; the falls stand in the size schedule.")
	}
	note("Material: drains " + or(j.Material.Drains.Text, "pvc (not said, taken)") + ", vents " + or(j.Material.Vents.Text, or(j.Material.Drains.Text, "pvc (not said, taken)")) + ", under ground " + or(j.Material.Underground.Text, or(j.Material.Drains.Text, "pvc (not said, taken)")) + ". Pipe, fittings and joints to the standards that the code lists for the material.")
	note("Vents grade back to the drain that they serve. Cleanouts stay within reach.")
	note("Bored and notched framing, fire stops and support follow the building code and the maker; shield pipe that lies close to the face of framing.")
	note("Existing pipe, its size and its state are to be verified on site. What is concealed may change the drawing.")
	note("Rough-in measures follow the maker's sheets of the fixtures.")
	p.heading("Cautions", 25)
	for _, c := range cautions {
		p.item("!", c, 6)
	}
	if len(r.Assumed) > 0 {
		p.heading("Taken because the job does not say", 10)
		for _, a := range r.Assumed {
			p.item("-", a.Message, 6)
		}
	}
}

// cautions where the work can hurt (common practice).
var cautions = []string{
	"Trenches: the sides cave in without warning. Have buried lines marked before digging; shore, slope or box any trench that a person enters, keep the spoil back, and never work in one alone.",
	"Sewer gas: an opened drain lets out gas that poisons and burns. Plug what stays open, air the room, keep flames away, and leave at dizziness; pits and manholes are entered only with training and a watch.",
	"Cement and primer: the vapour burns and numbs. Air the room, above all a crawl space, keep flames and switches away, and wear gloves and eye cover.",
	"Old houses: lead joints, lead pipe and asbestos wraps do harm as dust and fume. Have them looked at before cutting; do not dry-cut, sand or burn.",
	"Cutting structure: a joist, stud or beam that is bored too large or at the wrong place fails later. Keep to the limits, and ask an engineer where they do not fit.",
	"Cast iron overhead: an old stack holds up what hangs on it. Brace above and below before the first cut.",
}

func usual(r *engine.Result) (unit.Slope, bool) {
	p := &picture{r: r}
	p.usualSlope()
	return p.fall, p.fall.Given()
}

func or(a, b string) string {
	if a == "" {
		return b
	}
	return a
}

// testPage says what to cap, where the water stands, how much it takes and for how long.
func testPage(p *pager) {
	r := p.r
	n := r.Net
	sys := r.Job.Units
	head, minutes := r.Book.Param("test.head"), r.Book.Param("test.minutes")
	p.heading("Water test of the rough-in", 24)
	place := func(c *diag.Cite) string {
		if c == nil {
			return ""
		}
		return " [" + citeWords([]diag.Cite{*c}) + "]"
	}
	if head.State == codebook.Given {
		p.item("Head", "at least "+lengthWords(head.Length, sys)+" of water over every part that is tested, but the uppermost"+place(head.Cite), 25)
	} else {
		p.item("Head", "the book gives none: ask the inspector", 25)
	}
	if minutes.State == codebook.Given {
		p.item("Time", minutes.Text+" minutes without a drop in the level, before the inspector looks"+place(minutes.Cite), 25)
	} else {
		p.item("Time", "the book gives none: ask the inspector", 25)
	}
	if top, ok := lowestTop(r); ok {
		p.item("Water stands", "at the rim of the lowest of the filled vents, about "+elevationWords(top, sys)+" from the datum of the job; parts that reach less high are filled to their own tops", 25)
	} else {
		p.item("Water stands", "at the top of the filled vents; their heights are not all known", 25)
	}
	gallons, open := volume(r)
	litres := strconv.FormatFloat(math.Ceil(gallons*3.785), 'f', 0, 64) + " L"
	w := "about " + strconv.FormatFloat(math.Ceil(gallons), 'f', 0, 64) + " gallons (" + litres + ") by nominal sizes"
	if sys == unit.Metric {
		w = "about " + litres + " by nominal sizes"
	}
	if open {
		w += "; pieces of unknown length come on top"
	}
	p.item("Volume", w, 25)
	p.words("Air tests of plastic pipe can throw plugs and pieces: many offices and makers forbid them. Ask before using air.", 0, false)

	p.heading("What to cap", 14)
	p.words("Plug the outlet end first, then every stub. Tick as you go.", 0, true)
	p.tick("Outlet: "+outletWords(r), "")
	tags := tagsOf(n)
	for _, i := range inOrder(n) {
		f := &n.Fixtures[i]
		p.tick(tags[i]+"  "+n.Runs[f.Run].Name+", stub "+sizeWords(r.Sizes.Size[f.Seg]), "")
	}
	for i := range n.Runs {
		run := &n.Runs[i]
		if len(run.Segs) == 0 {
			continue
		}
		if run.Def.Carries.Set {
			p.tick("where "+run.Name+" comes in from a part not drawn", "")
		}
		for range run.Def.Clean {
			p.tick("cleanout on "+run.Name, "")
		}
	}
	for v := range n.Vents {
		switch x := &n.Vents[v]; x.End {
		case network.ThroughRoof:
			p.tick(x.Name+": stays open, "+sizeWords(r.Vents.Size[v].Size)+" through the roof; water is seen here", "")
		case network.AirAdmittanceValve:
			p.tick(x.Name+": cap; the valve is set after the test", "")
		case network.EndUnknown, network.SideWall, network.Capped:
			p.tick(x.Name+": cap", "")
		}
	}
	p.heading("Inspection", 16)
	for _, w := range []string{"under ground, before backfill", "rough-in, before cover", "final, with fixtures set and traps filled"} {
		p.words("Inspection "+w, 0, false)
		p.blank("Date", "By", "Result")
	}
	p.heading("Sign-off", 12)
	p.blank("Tested by", "Licence")
	p.blank("Inspector", "Date")
	p.words("Who signs the test and who accepts it is for the authority to say; this sheet accepts nothing.", 0, true)
}

// lowestTop is the height of the lowest end of a vent through the roof, where known.
func lowestTop(r *engine.Result) (unit.Length, bool) {
	n := r.Net
	best, some := unit.Length(0), false
	for v := range n.Vents {
		x := &n.Vents[v]
		if x.End != network.ThroughRoof || len(x.Takes) == 0 {
			continue
		}
		t := x.Takes[0]
		if t.Seg == network.None || !x.LengthKnown || !r.Levels.CentreUp[t.Seg].Known {
			return 0, false
		}
		h := r.Levels.CentreUp[t.Seg].V + x.Length - x.Level
		if !some || h < best {
			best, some = h, true
		}
	}
	return best, some
}

// volume of the pipe by nominal sizes, in US gallons; open tells that lengths are missing.
func volume(r *engine.Result) (gallons float64, open bool) {
	n := r.Net
	add := func(size unit.Size, l unit.Length) {
		d := float64(size) / float64(unit.Inch)
		gallons += math.Pi / 4 * d * d * float64(l) / float64(unit.Inch) / 231 // cubic inches in a gallon
	}
	for i := range n.Segs {
		open = open || !n.Segs[i].LengthKnown
		if n.Segs[i].Role != network.BuildingSewer {
			add(r.Sizes.Size[i], n.Segs[i].Length())
		}
	}
	for v := range n.Vents {
		open = open || !n.Vents[v].LengthKnown
		add(r.Vents.Size[v].Size, n.Vents[v].Length)
	}
	return gallons, open
}

func officePage(p *pager, o Office, where map[string]string) {
	title := o.Title
	if o.Invented {
		title += " (invented)"
	}
	p.heading(title, 14)
	if o.Note != "" {
		p.words(o.Note, 0, true)
	}
	for _, a := range o.Asks {
		w := where[a.Sheet]
		switch {
		case w == "":
			w = "not in this set"
		case w[0] >= '0' && w[0] <= '9':
			w = "sheet " + w
		}
		p.tick(strings.ToUpper(a.What[:1])+a.What[1:], w)
	}
}
