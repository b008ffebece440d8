package view

import (
	"cmp"
	"strconv"
	"strings"

	"trapweir/draw"
	"trapweir/draw/textwidth"
	"trapweir/engine"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
	"trapweir/report"
)

// coverPage fills the cover. index and names are the parts and sheets of the set, empty
// while they are not known; together keeps the list of sheets in one column.
func coverPage(p *pager, doc *report.Doc, index []part, names []string, together bool) {
	r := p.r
	b := p.box()
	size := 5.0
	if len(wrap(r.Job.Title.Text, size, textwidth.Bold, b.W())) > 2 {
		size = 4
	}
	for _, l := range wrap(r.Job.Title.Text, size, textwidth.Bold, b.W()) {
		p.text(b.X0, p.y, l, size, textwidth.Bold, false, draw.Left)
		p.y += 1.8 * size
	}
	p.fresh, p.began = false, len(p.sheets)-1
	p.words("Drain, waste and vent system: drawings, schedules and reasons.", 0, true)
	p.heading("Scope", 10)
	p.words(scopeWords(r), 0, false)
	state := map[string]int{}
	for i := range r.Net.Runs {
		state[r.Net.Runs[i].Def.State.Text]++
	}
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
	tab := 0.0
	for _, l := range r.Book.Layers() {
		tab = max(tab, textwidth.Width(l.ID, draw.SmallestText, textwidth.Bold)+4)
	}
	for _, l := range r.Book.Layers() {
		text := l.Title
		if l.Kind != "" {
			text += " (" + l.Kind + ")"
		}
		if l.Invented && !strings.Contains(text, "invented") {
			text += ", invented"
		}
		if l.Status != "" {
			text += ". " + l.Status
		}
		p.item(l.ID, text, tab)
	}
	p.words("Where layers differ, the later one speaks, and every size and finding names the one that spoke.", 0, true)
	p.heading("Who decides", 25)
	if a := r.Job.Site.Area.Text; a != "" {
		p.words("Authority: "+a+".", 0, false)
	} else {
		p.blank("Authority")
	}
	p.words(who, 0, false)
	p.words("The adopted code, the local amendments and the inspector come before anything printed here. Values marked from memory were not checked against a printed page.", 0, false)
	deep := 14.0
	if together {
		deep = min(float64(len(index))*(lineStep+1.4), p.box().H()*0.7)
	}
	revised := false // where the list goes to the next column anyway, the revisions fill this one
	if left := p.box().Y1 - p.y; left >= revisionsDeep && left < deep+15 {
		revised = true
		revisions(p)
	}
	p.heading("Sheets", deep)
	tab = 0
	for _, q := range index {
		tab = max(tab, textwidth.Width(sheetWords(q, names), draw.SmallestText, textwidth.Bold)+4)
	}
	type row struct{ at, what string }
	var rows []row
	for _, q := range index {
		if q.kind == "cover" && q.last == q.first { // the sheet that this is
			continue
		}
		at := sheetWords(q, names)
		switch n := len(rows); {
		case n == 0 || rows[n-1].at != at:
			rows = append(rows, row{at, q.what})
		case p.tight > 0: // on one line with what else is there
			rows[n-1].what += "; " + strings.ToLower(q.what[:1]) + q.what[1:]
		default:
			rows[n-1].what += "\n" + q.what
		}
	}
	for _, x := range rows {
		for i, w := range strings.Split(x.what, "\n") {
			mark := x.at
			if i > 0 { // it stands once for all that is on it
				mark = ""
			}
			p.item(mark, w, tab)
		}
	}
	t := doc.Totals
	p.heading("State of the checks", 12)
	p.words(countWords(t.Errors, "fault", "faults")+", "+countWords(t.Warnings, "warning", "warnings")+", "+countWords(t.Unchecked, "thing not checked", "things not checked")+". They stand in the findings and the open questions.", 0, false)
	p.heading("Licence and signature", 3*p.blankRow()-2.5)
	p.blank("Contractor", "Licence")
	p.blank("Designer", "Registration")
	p.blank("Signature", "Date")
	if !revised && p.box().Y1-p.y >= revisionsDeep {
		revisions(p)
	}
}

// revisionsDeep is what the table of revisions takes, with its heading.
const revisionsDeep = 16 + 6 + 3*formRow

// revisions leaves lines for what is changed later.
func revisions(p *pager) {
	p.heading("Revisions", 6+3*formRow)
	p.form([]string{"No.", "Date", "By", "What"}, []float64{0.11, 0.2, 0.2, 0.49}, "1", "2", "3")
}

// scopeWords tells in a few sentences what there is, and how large the drain comes out.
func scopeWords(r *engine.Result) string {
	units, closets, n := totals(r)
	fixtures, vents := "no fixture is", "no vent"
	if n > 0 {
		fixtures = countWords(n, "fixture is", "fixtures are")
	}
	if k := len(r.Net.Vents); k > 0 {
		vents = countWords(k, "vent", "vents")
	}
	text := fixtures + " drawn, on " + countWords(len(r.Net.Runs), "run", "runs") + " of drain and " + vents + ". At the outlet"
	if to := r.Job.Outlet.To.Text; to != "" {
		text += " (" + to + ")"
	}
	text += ": " + units + " fixture " + unitWord(r.Loads.Units[r.Net.Outlet]) + " with " + closetWords(closets) + "."
	var sizes []string
	for _, x := range []struct {
		role network.Role
		word string
	}{{network.BuildingDrain, "building drain"}, {network.BuildingSewer, "building sewer"}} {
		for i := len(r.Net.Segs) - 1; i >= 0; i-- { // at its lower end
			if r.Net.Segs[i].Role == x.role && r.Sizes.Size[i] != 0 {
				sizes = append(sizes, x.word+" "+sizeWords(r.Sizes.Size[i]))
				break
			}
		}
	}
	text = strings.ToUpper(text[:1]) + text[1:]
	if len(sizes) == 0 {
		return text
	}
	w := strings.Join(sizes, ", ")
	return text + " " + strings.ToUpper(w[:1]) + w[1:] + "."
}

// closetWords counts water closets.
func closetWords(n int) string {
	if n == 0 {
		return "no water closet"
	}
	return countWords(n, "water closet", "water closets")
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
	note(materialWords(j) + " Pipe, fittings and joints to the standards that the code lists for the material.")
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

// materialWords tells what drains, vents and pipe under ground are made of.
func materialWords(j *job.Job) string {
	name := func(w string) string {
		if len(w) == 3 { // PVC, ABS
			w = strings.ToUpper(w)
		}
		return w
	}
	drains := cmp.Or(j.Material.Drains.Text, "pvc")
	vents, under := cmp.Or(j.Material.Vents.Text, drains), cmp.Or(j.Material.Underground.Text, drains)
	taken := ""
	if j.Material.Drains.Text == "" {
		taken = " (the job does not say; it is taken so)"
	}
	if vents == drains && under == drains {
		return "Material: " + name(drains) + " for drains, vents and under ground" + taken + "."
	}
	return "Material: drains " + name(drains) + taken + ", vents " + name(vents) + ", under ground " + name(under) + "."
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

func officePage(p *pager, o Office, where map[string]string) {
	title := o.Title
	if o.Invented && !strings.Contains(title+o.Note, "nvented") {
		title += " (invented)"
	}
	p.heading("What the office asks for", min(float64(len(o.Asks)+1)*(lineStep+tickGap), p.box().H()*0.8))
	p.words(strings.TrimSpace(title+". "+o.Note), 0, true)
	var list []toTick
	for _, a := range o.Asks {
		w := where[a.Sheet]
		if w == "" {
			w = "not in this set"
		}
		list = append(list, toTick{strings.ToUpper(a.What[:1]) + a.What[1:], w})
	}
	p.ticks(list)
}
