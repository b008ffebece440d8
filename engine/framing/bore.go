package framing

import (
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/elevation"
	"trapweir/engine/fitting"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// Bore is where a run goes through members of the frame.
type Bore struct {
	Run    network.RunID
	Seg    network.SegID // the widest piece that goes through
	What   string        // "joists", "studs", "top plate", "sole plate"
	Member string        // "2x10", "i-joist"; "" where it is not given
	Depth  unit.Length   // of the member, across the cut
	Sawn   bool          // Depth is known: sawn lumber of a size on record
	Cut    string        // "hole", "notch", "notch at the end", "notch in the middle third"
	Count  int           // how many (at least so many where Found of joists); 0 where it is not said
	OD     unit.Length
	ODSure bool
	// Need is the hole as it is bored, or the depth of the notch.
	Need unit.Length
	// Fall is what the run falls from the first member to the last, when FallKnown.
	Fall      unit.Length
	FallKnown bool
	Slope     unit.Slope // Run == 0 where it is not known
	// Found: the job does not say it; its heights do, or for joists the way they lie.
	Found bool
	// Across is how far it goes across joists, when Found.
	Across unit.Length
	Level  *job.Level
}

// bores lists what the job says is cut, then the plates that uprights in walls pass.
func (w *worker) bores() {
	n := w.net
	for i := range n.Runs {
		run, id := &n.Runs[i], network.RunID(i)
		if len(run.Segs) == 0 || stands(run.Def.State) {
			continue
		}
		what := run.Def.Through.What.Text
		switch what {
		case "joists", "studs", "top plate", "sole plate":
			w.out.Bores = append(w.out.Bores, w.bore(id, what))
		}
		if b, ok := w.crossing(id); ok {
			w.out.Bores = append(w.out.Bores, b)
		}
		if what == "top plate" || what == "sole plate" || place(run) != "wall" && place(run) != "exterior wall" {
			continue
		}
		w.passed(id)
	}
}

// Joists stand 12 to 24 in apart from centre to centre. Common practice.
const (
	Narrowest = 12 * unit.Inch
	Widest    = 24 * unit.Inch
)

// deepest is how deep joists and trusses that a maker designs commonly are at the most. Common
// practice.
const deepest = 24 * unit.Inch

// crossing finds the joists that level pipe between them goes across, from the direction in
// which they lie: in so much pipe there are so many at least. Where their spacing is not
// given, the widest usual one counts; Count is 0 where only a narrower one would put a joist in
// its way.
func (w *worker) crossing(id network.RunID) (Bore, bool) {
	n := w.net
	run, lv := &n.Runs[id], w.level(id)
	if place(run) != "joists" || run.Def.Through.What.Text != "" || lv == nil || lv.Across.Text == "" {
		return Bore{}, false
	}
	b := Bore{Run: id, Seg: network.None, What: "joists", Cut: "hole", Found: true, Level: lv, Member: lv.Joists.Text}
	deep, sawn := elevation.Depth(w.book, b.Member)
	if !sawn {
		deep = deepest
	}
	var at, least, most unit.Length // across the joists
	level, down := false, unit.Length(0)
	for _, s := range run.Segs {
		g := &n.Segs[s]
		if level = level || g.Lie == network.Level; level && g.Way.Down && g.Way.Plumb == 0 {
			if down += g.Length(); down >= deep || !g.LengthKnown {
				break // what comes then lies below the joists
			}
		}
		east, north, ok := elevation.Along(g.Way, g.Length())
		if !ok || !g.LengthKnown {
			at, least, most = 0, 0, 0
			continue
		}
		over := north
		if lv.Across.Text == "N-S" {
			over = east
		}
		at += over
		least, most = min(least, at), max(most, at)
		b.Across = max(b.Across, most-least)
		if g.Lie == network.Level && over != 0 && (b.Seg == network.None || w.sizes.Size[s] > w.sizes.Size[b.Seg]) {
			b.Seg = s
			if w.levels != nil {
				b.Slope = w.levels.Slope[s]
			}
		}
	}
	apart, narrow := lv.Spacing.V, lv.Spacing.V
	if !lv.Spacing.Set {
		apart, narrow = Widest, Narrowest
	}
	if b.Seg == network.None || narrow <= 0 || b.Across < narrow {
		return Bore{}, false
	}
	b.Count = int(b.Across / apart)
	w.cut(&b)
	switch {
	case b.Count == 1:
		b.FallKnown = true
	case b.Count > 1 && b.Slope.Given():
		b.Fall, b.FallKnown = b.Slope.Drop(unit.Length(b.Count-1)*apart), true
	}
	return b, true
}

// bore is one that the job states.
func (w *worker) bore(id network.RunID, what string) Bore {
	n := w.net
	run := &n.Runs[id]
	lie := network.Level
	if what == "top plate" || what == "sole plate" {
		lie = network.Upright
	}
	s := run.Segs[0]
	for _, x := range run.Segs {
		if n.Segs[x].Lie == lie && (n.Segs[s].Lie != lie || w.sizes.Size[x] > w.sizes.Size[s]) {
			s = x
		}
	}
	t := &run.Def.Through
	b := Bore{Run: id, Seg: s, What: what, Cut: t.Cut.Text, Count: t.Count.V, Level: w.level(id)}
	if b.Cut == "" {
		b.Cut = "hole"
	}
	if b.Level != nil {
		b.Member = b.Level.Studs.Text
		if what == "joists" {
			b.Member = b.Level.Joists.Text
		}
	}
	w.cut(&b)
	if t.Deep.Set {
		b.Need = t.Deep.V
	}
	for _, x := range run.Segs {
		if w.levels != nil && w.levels.Slope[x].Given() {
			b.Slope = w.levels.Slope[x]
			break
		}
	}
	switch {
	case what != "joists":
	case b.Count == 1:
		b.FallKnown = true
	case b.Count > 1 && b.Level != nil && b.Level.Spacing.Set && b.Slope.Given():
		b.Fall, b.FallKnown = b.Slope.Drop(unit.Length(b.Count-1)*b.Level.Spacing.V), true
	}
	return b
}

// cut fills the member's depth and what is cut out of it.
func (w *worker) cut(b *Bore) {
	b.Depth, b.Sawn = elevation.Depth(w.book, b.Member)
	b.OD, b.ODSure = w.outside(b.Seg)
	b.Need = b.OD
	if b.Cut == "hole" {
		b.Need += w.set.HoleOver
	}
}

// passed finds the plates that the uprights of a run in a wall go through, from the heights
// of floors and ceilings.
func (w *worker) passed(id network.RunID) {
	n := w.net
	for _, s := range n.Runs[id].Segs {
		if n.Segs[s].Lie != network.Upright {
			continue
		}
		up, low := w.up(s), w.low(s)
		if !up.ok || !low.ok {
			continue
		}
		for i := range n.Job.Levels {
			lv := &n.Job.Levels[i]
			add := func(what string) {
				b := Bore{Run: id, Seg: s, What: what, Cut: "hole", Count: 1, Found: true, Level: lv, Member: lv.Studs.Text}
				w.cut(&b)
				w.out.Bores = append(w.out.Bores, b)
			}
			if lv.Floor.Set && low.v < lv.Floor.V && lv.Floor.V < up.v && lv.Under.Text != "slab" {
				add("sole plate")
			}
			if c := w.ceiling(lv); c.ok && low.v < c.v && c.v < up.v {
				add("top plate")
			}
		}
	}
}

// ceiling is the height of the underside of what is over a level: as given, else that of
// the joists of the floor above.
func (w *worker) ceiling(lv *job.Level) height {
	if lv.Ceiling.Set {
		return height{lv.Ceiling.V, true}
	}
	var best *job.Level
	for i := range w.net.Job.Levels {
		x := &w.net.Job.Levels[i]
		if x.Floor.Set && lv.Floor.Set && x.Floor.V > lv.Floor.V && (best == nil || x.Floor.V < best.Floor.V) {
			best = x
		}
	}
	if best == nil {
		return height{}
	}
	d, ok := elevation.Depth(w.book, best.Joists.Text)
	return height{best.Floor.V - best.Subfloor.V - d, ok}
}

// Plates are the shield plates that a run needs at members that it goes through, or why
// that cannot be told.
type Plates struct {
	Run    network.RunID
	Seg    network.SegID
	What   string // "studs", "joists", "top plate", "sole plate"
	Member string
	Where  string // the level, for plates of walls
	// Clear is the wood left between the hole and each face; Limit the least that needs no
	// plate.
	Clear, Limit unit.Length
	// Members is how many are bored, Count how many plates that makes: one on each face.
	Members, Count int
	Cite           *diag.Cite
	// Why and Ask: it cannot be counted.
	Why, Ask string
}

// plates lists where a nail could reach the pipe.
func (w *worker) plates() {
	var edge codebook.Param
	if w.book != nil {
		edge = w.param("shield.edge")
	}
	known := map[network.RunID]bool{}
	for i := range w.out.Bores {
		b := &w.out.Bores[i]
		known[b.Run] = true
		if b.Found && b.What == "joists" && b.Count == 0 {
			continue
		}
		if m := w.material(b.Seg); m == "cast iron" || m == "galvanized steel" {
			continue // a nail does not pierce it; the shield rules except both
		}
		p := Plates{Run: b.Run, Seg: b.Seg, What: b.What, Member: b.Member, Limit: edge.Length, Cite: edge.Cite, Members: b.Count}
		if b.Level != nil {
			p.Where = b.Level.Name
		}
		key := "studs: 2x4"
		if b.What == "joists" {
			key = "joists: 2x10"
		}
		switch {
		case edge.State != codebook.Given:
			p.Why, p.Ask = "the book does not say how near to the edge a bore needs one", "how near to the edge does your authority want a plate?"
		case !b.Sawn && b.What == "joists" && b.Member != "":
			continue // for the maker
		case !b.Sawn:
			p.Why, p.Ask = "the lumber of the "+plural(b.What)+" is not said", "what are the "+plural(b.What)+" of this level? write `"+key+"`"
		case !b.ODSure:
			p.Why, p.Ask = "the outside diameter is not on record", "what does the pipe measure on the outside?"
		case b.Cut != "hole":
			// A notch is open to its face.
			p.Count = b.Count
			if b.Count == 0 {
				p.Why, p.Ask = "how many "+b.What+" is not said", "how many are notched? write `through: {"+b.What+": 3}`"
			}
		default:
			p.Clear = (b.Depth - b.Need) / 2
			if p.Clear >= edge.Length {
				continue
			}
			p.Count = 2 * b.Count
			if b.Count == 0 {
				p.Why, p.Ask = "how many "+b.What+" is not said", "how many are bored? write `through: {"+b.What+": 3}`"
			}
		}
		w.out.Plates = append(w.out.Plates, p)
	}
	for i := range w.net.Runs {
		run, id := &w.net.Runs[i], network.RunID(i)
		if len(run.Segs) == 0 || stands(run.Def.State) || known[id] || run.Def.Through.What.Text != "" || place(run) != "wall" && place(run) != "exterior wall" {
			continue
		}
		w.out.Plates = append(w.out.Plates, Plates{
			Run: id, Seg: run.Segs[0], Limit: edge.Length, Cite: edge.Cite,
			Why: "how many studs and plates it is bored through is not said", Ask: "what is it bored through? write `through: {studs: 3}`",
		})
	}
}

// plural is the word for several of a member.
func plural(what string) string {
	switch what {
	case "top plate", "sole plate":
		return "studs"
	}
	return what
}

// Wall is an upright in a wall.
type Wall struct {
	Run    network.RunID
	Seg    network.SegID
	Member string
	Depth  unit.Length
	Sawn   bool
	OD     unit.Length
	// Least and Most are how wide its hubs are, 0 where nothing is on record.
	Least, Most unit.Length
	// Fitting names the fitting of it that stands in the wall, "" for none that is known.
	Fitting string
	// Sure: whether one stands there is known.
	Sure bool
}

// stick: a straight upright longer than this has a coupling in it. Plastic pipe is commonly
// sold in 10 ft lengths.
const stick = 10 * unit.Foot

// walls lists the uprights in walls, for each run the one with a fitting first.
func (w *worker) walls() {
	n := w.net
	for i := range n.Runs {
		run, id := &n.Runs[i], network.RunID(i)
		if len(run.Segs) == 0 || stands(run.Def.State) || place(run) != "wall" && place(run) != "exterior wall" {
			continue
		}
		best := -1
		for _, s := range run.Segs {
			if n.Segs[s].Lie != network.Upright {
				continue
			}
			x := Wall{Run: id, Seg: s}
			if lv := w.level(id); lv != nil {
				x.Member = lv.Studs.Text
				x.Depth, x.Sawn = elevation.Depth(w.book, lv.Studs.Text)
			}
			x.OD, _ = w.outside(s)
			x.Least, x.Most, _ = w.hub(s)
			x.Fitting, x.Sure = w.inWall(s)
			if best >= 0 && w.out.Walls[best].Run == id {
				if o := &w.out.Walls[best]; x.OD > o.OD || x.OD == o.OD && o.Fitting == "" && x.Fitting != "" {
					*o = x
				}
				continue
			}
			best = len(w.out.Walls)
			w.out.Walls = append(w.out.Walls, x)
		}
	}
}

// inWall finds a fitting of an upright that stands in the wall: where the pipe of a fixture
// that drains through a wall comes in or a vent leaves, a cleanout, a coupling in a long
// piece. sure is false where what comes in may be in the wall or in the floor.
func (w *worker) inWall(s network.SegID) (what string, sure bool) {
	n := w.net
	sure = true
	if g := &n.Segs[s]; g.LengthKnown && g.Length() > stick {
		return "a coupling", true
	}
	for _, k := range w.fittingsAt(s) {
		f := &w.fittings[k]
		switch f.Does {
		case fitting.Cleanout:
			return "a cleanout", true
		case fitting.Takeoff:
			return "the take-off of " + n.Vents[f.At.Vent].Name, true
		case fitting.Join:
			for _, u := range f.From {
				run := n.RunOf(u)
				switch {
				case run.Fixture != network.None && wallFixture(n.Fixtures[run.Fixture].Kind):
					return "the fitting of " + run.Name, true
				case run.Fixture != network.None, place(run) == "joists", place(run) == "crawl space", place(run) == "basement":
				default:
					sure = false
				}
			}
		}
	}
	return "", sure
}
