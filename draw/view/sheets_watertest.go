package view

import (
	"math"
	"strconv"

	"trapweir/draw"
	"trapweir/draw/textwidth"
	"trapweir/engine"
	"trapweir/engine/codebook"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// testPage says what to cap, where the water stands, how much it takes and for how long.
func testPage(p *pager) {
	r := p.r
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
	fresh := newPipe(r)
	gallons, open, sewer := volume(r, fresh)
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
	if sewer {
		w += "; the building sewer is not in it"
	}
	p.item("Volume", w, tab)
	p.words("Standing water pushes hard on a low plug: stand clear of it, and let the water off slowly. Air tests of plastic pipe can throw plugs and pieces; many offices and makers forbid them, so ask before using air.", 0, false)

	toCap(p, fresh)
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

// newPipe tells of every run whether it is new. Where nothing is, all of it is taken for
// what is tested.
func newPipe(r *engine.Result) []bool {
	n := r.Net
	out := make([]bool, len(n.Runs))
	some := false
	for i := range n.Runs {
		out[i] = !old(n.Runs[i].Def.State.Text)
		some = some || out[i] && len(n.Runs[i].Segs) > 0
	}
	if !some {
		for i := range out {
			out[i] = true
		}
	}
	return out
}

// old tells whether pipe in that state is there already.
func old(state string) bool { return state == "existing" || state == "remove" }

// toCap lists what is closed for the test, the lowest first, as boxes to tick: of what is
// new. Sizes are those of the openings, as an order of caps and plugs has them.
func toCap(p *pager, fresh []bool) {
	r := p.r
	n := r.Net
	some := false // existing pipe is there
	for i := range fresh {
		some = some || !fresh[i]
	}
	lead := "Plug the outlet end first, then every opening. Tick as you go."
	if some {
		lead = "Plug where new pipe meets old first, then every opening of what is new. Tick as you go. Whether existing pipe is tested too is for the office to say."
	}
	var list []toTick
	tick := func(words string) { list = append(list, toTick{text: words}) }
	for i := len(n.Segs) - 1; i >= 0; i-- {
		s := &n.Segs[i]
		if !fresh[s.Run] || s.Role == network.PumpDischarge {
			continue
		}
		switch {
		case s.Down == network.None:
			tick("Outlet: " + outletWords(r) + ", " + sizeWords(r.Sizes.Size[i]))
		case !fresh[n.Segs[s.Down].Run]:
			tick("end of " + n.Runs[s.Run].Name + " at " + n.Runs[n.Segs[s.Down].Run].Name + ", " + sizeWords(r.Sizes.Size[i]))
		}
	}
	basins := 0
	tags := tagsOf(n)
	for _, i := range inOrder(n) {
		f := &n.Fixtures[i]
		if !fresh[f.Run] {
			continue
		}
		what, size := openingOf(r, i)
		tick(tags[i] + " " + n.Runs[f.Run].Name + ", " + what + " " + sizeWords(size))
	}
	for i := range n.Runs {
		run := &n.Runs[i]
		if len(run.Segs) == 0 || !fresh[i] {
			continue
		}
		if run.Def.Carries.Set {
			tick("where " + run.Name + " comes in from a part not drawn")
		}
		if run.Def.Basin.Set {
			tick("basin of " + run.Name + ": plug its inlets")
			basins++
		}
		for range run.Def.Clean {
			tick("cleanout on " + run.Name)
		}
	}
	for v := range n.Vents {
		x := &n.Vents[v]
		if old(x.Def.State.Text) && some {
			continue
		}
		switch x.End {
		case network.ThroughRoof:
			tick(x.Name + ": stays open, " + sizeWords(r.Vents.Size[v].Size) + " through the roof; water is seen here")
		case network.AirAdmittanceValve:
			tick(x.Name + ": cap; the valve is set after the test")
		case network.EndUnknown, network.SideWall, network.Capped:
			tick(x.Name + ": cap")
		}
	}
	p.heading("What to cap", 8+p.least(list))
	p.words(lead, 0, true)
	p.ticks(list)
	if basins > 0 {
		p.words("How pipe that a pump pushes through is tested is for the office to say.", 0, true)
	}
}

// openingOf is the opening of a fixture that is closed for the test: the flange of a water
// closet, else that of its trap as the order has it: as the job states it; where the trap
// comes with the trim, the least that the book asks for; never larger than the pipe.
func openingOf(r *engine.Result, i network.FixID) (string, unit.Size) {
	f := &r.Net.Fixtures[i]
	size := r.Sizes.Size[f.Seg]
	if f.Kind == nil {
		return "opening", size
	}
	if f.Kind.Has("water closet") {
		return "closet flange", size
	}
	trap := f.Def.Trap.V
	if trap == 0 && f.Kind.Outlet.Set && f.Kind.Outlet.V > 0 && !f.Kind.Standpipe.Set { // it drains through the wall
		trap = r.Loads.Fixture[i].Trap
		if read := r.Vents.Trap[i].Reading(); read != nil {
			trap = max(trap, read.Trap)
		}
	}
	if trap != 0 && (size == 0 || trap < size) {
		size = trap
	}
	return "opening", size
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

// volume of the pipe that is tested by nominal sizes, in US gallons; open tells that
// lengths are missing, sewer that there is a building sewer, which counts only where nothing
// else is tested.
func volume(r *engine.Result, fresh []bool) (gallons float64, open, sewer bool) {
	n := r.Net
	add := func(size unit.Size, l unit.Length) {
		d := float64(size) / float64(unit.Inch)
		gallons += math.Pi / 4 * d * d * float64(l) / float64(unit.Inch) / 231 // cubic inches in a gallon
	}
	house := false // there is more than a sewer
	for i := range n.Segs {
		house = house || fresh[n.Segs[i].Run] && n.Segs[i].Role != network.BuildingSewer
	}
	for i := range n.Segs {
		s := &n.Segs[i]
		switch {
		case !fresh[s.Run]:
		case s.Role == network.BuildingSewer && house:
			sewer = true
		default:
			open = open || !s.LengthKnown
			add(r.Sizes.Size[i], s.Length())
		}
	}
	for v := range n.Vents {
		if old(n.Vents[v].Def.State.Text) {
			continue
		}
		open = open || !n.Vents[v].LengthKnown
		add(r.Vents.Size[v].Size, n.Vents[v].Length)
	}
	return gallons, open, sewer
}
