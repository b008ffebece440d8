package view

import (
	"cmp"
	"math"
	"strconv"
	"strings"

	"trapweir/draw"
	"trapweir/draw/textwidth"
	"trapweir/engine"
	"trapweir/engine/codebook"
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
	for _, l := range draw.Wrap(r.Job.Title.Text, 5, textwidth.Bold, b.W()) {
		p.text(b.X0, p.y, l, 5, textwidth.Bold, false, draw.Left)
		p.y += 9
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
	before := ""
	for _, q := range index {
		if q.kind == "cover" {
			continue
		}
		at := sheetWords(q, names)
		mark := at
		if at == before { // it stands once for all that is on it
			mark = ""
		}
		before = at
		p.item(mark, q.what, tab)
	}
	t := doc.Totals
	p.heading("State of the checks", 12)
	p.words(countWords(t.Errors, "fault", "faults")+", "+countWords(t.Warnings, "warning", "warnings")+", "+countWords(t.Unchecked, "thing not checked", "things not checked")+". They stand in the findings and the open questions.", 0, false)
	p.heading("Licence and signature", 26)
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
	text := countWords(n, "fixture is", "fixtures are") + " drawn, on " + countWords(len(r.Net.Runs), "run", "runs") + " of drain and " + countWords(len(r.Net.Vents), "vent", "vents") + ". At the outlet"
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

// testPage says what to cap, where the water stands, how much it takes and for how long.
func testPage(p *pager) {
	r := p.r
	n := r.Net
	sys := r.Job.Units
	head, minutes := r.Book.Param("test.head"), r.Book.Param("test.minutes")
	p.heading("Water test of the rough-in", 24)
	tab := textwidth.Width("Water stands", draw.SmallestText, textwidth.Bold) + 4
	if head.State == codebook.Given {
		deep := lengthWords(head.Length, sys)
		p.item("Head", "at least "+deep+" of water over every part that is tested, but for the uppermost "+deep+cited(head.Cite), tab)
	} else {
		p.item("Head", "the book gives none: ask the inspector", tab)
	}
	if minutes.State == codebook.Given {
		p.item("Time", minutes.Text+" minutes without a drop in the level, before the inspector looks"+cited(minutes.Cite), tab)
	} else {
		p.item("Time", "the book gives none: ask the inspector", tab)
	}
	if top, ok := lowestTop(r); ok {
		p.item("Water stands", "at the rim of the lowest of the filled vents, about "+elevationWords(top, sys)+" from the datum of the job; parts that reach less high are filled to their own tops", tab)
	} else {
		p.item("Water stands", "at the top of the filled vents; their heights are not all known", tab)
	}
	gallons, open := volume(r)
	litres := strconv.FormatFloat(math.Ceil(gallons*3.785), 'f', 0, 64) + " L"
	w := "about " + strconv.FormatFloat(math.Ceil(gallons), 'f', 0, 64) + " gallons (" + litres + ") by nominal sizes"
	if sys == unit.Metric {
		w = "about " + litres + " by nominal sizes"
	}
	switch {
	case open && gallons < 1:
		w = "not known: the job gives too few lengths"
	case open:
		w += "; pieces of unknown length come on top"
	}
	p.item("Volume", w, tab)
	p.words("Air tests of plastic pipe can throw plugs and pieces: many offices and makers forbid them. Ask before using air.", 0, false)

	p.heading("What to cap", 24)
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
		if run.Def.Basin.Set {
			p.tick("basin of "+run.Name+": plug its inlets; how its discharge pipe is tested is for the office to say", "")
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
	p.heading("Inspection", 6+3*formRow)
	share := []float64{0.46, 0.15, 0.19, 0.2}
	if p.box().W() < 100 { // room to write in comes before words on one line
		share = []float64{0.36, 0.2, 0.2, 0.24}
	}
	p.form([]string{"Inspection", "Date", "By", "Result"}, share,
		"under ground, before backfill", "rough-in, before cover", "final, with traps filled")
	p.heading("Sign-off", 30)
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
	if o.Invented && !strings.Contains(title+o.Note, "nvented") {
		title += " (invented)"
	}
	p.heading("What the office asks for", min(float64(len(o.Asks)+1)*(lineStep+tickGap), p.box().H()*0.8))
	p.words(strings.TrimSpace(title+". "+o.Note), 0, true)
	for _, a := range o.Asks {
		w := where[a.Sheet]
		if w == "" {
			w = "not in this set"
		}
		p.tick(strings.ToUpper(a.What[:1])+a.What[1:], w)
	}
}
