package view

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"trapweir/draw"
	"trapweir/draw/layout"
	"trapweir/draw/symbol"
	"trapweir/draw/textwidth"
	"trapweir/engine"
	"trapweir/engine/load"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// Below is the name under which Plan draws what lies on no level: the building drain and
// what is under ground.
const Below = "below"

// Plans lists the levels of which a plan can be drawn, Below first; names are those of the
// job. A job without levels has one plan, "".
func Plans(r *engine.Result) []string {
	n := r.Net
	if len(n.Job.Levels) == 0 {
		return []string{""}
	}
	var out []string
	has := func(name string) bool {
		for i := range n.Segs {
			if onPlan(r, network.SegID(i), name) && n.Segs[i].Lie != network.Upright {
				return true
			}
		}
		return false
	}
	if has(Below) {
		out = append(out, Below)
	}
	for i := len(n.Job.Levels) - 1; i >= 0; i-- {
		if l := n.Job.Levels[i].Name; has(l) {
			out = append(out, l)
		}
	}
	return out
}

// onPlan tells whether a segment is drawn on the plan of a level.
func onPlan(r *engine.Result, s network.SegID, level string) bool {
	n := r.Net
	if level == "" {
		return true
	}
	run := n.RunOf(s)
	if run.Level >= 0 && !n.Segs[s].UnderGround && run.Def.Where.Text != "crawl space" && run.Def.Where.Text != "basement" {
		return n.Job.Levels[run.Level].Name == level
	}
	if run.Level >= 0 && level != Below {
		return false
	}
	return level == Below
}

// Plan draws the pipe of one level (or Below) from above, to scale where lengths and
// directions are known, with dimension lines to every stub: from the job's walls, or from
// the point where the building drain ends.
func Plan(r *engine.Result, level string, opt Options) *draw.Sheet {
	title := "Plan"
	switch level {
	case Below:
		title = "Plan of the drains below the floor"
	case "":
	default:
		title = "Plan, " + level
		if len(level) < 5 || level[len(level)-5:] != "floor" {
			title += " floor"
		}
	}
	number := numberOr(opt, "P-"+strconv.Itoa(1+max(0, slices.Index(Plans(r), level))))
	all := &plan{r: r, level: level, sys: r.Job.Units, tags: tagsOf(r.Net), zoom: opt.zoom}
	sheet := func(scale string) (*draw.Sheet, draw.Rect) {
		return newSheet(r, opt, paperOr(opt, "tabloid"), number, title, scale)
	}
	_, full := sheet("NOT TO SCALE")
	z, area := 1.0, full
	if ownPaper(opt) { // on large paper words are larger too
		if z = lettered(full.W()); z > 1 {
			area, all.zoom = shrunk(full, z), z
		}
	}
	all.turn, all.turnedHere = turnOf(r, area)
	all.places()
	all.bounds()
	all.bases()
	all.withFixtures()
	all.gather()
	all.crosses()
	all.key = all.legend()
	all.fall, _ = usual(r)
	arranged := func(under bool, columns int) *plan {
		p := new(plan)
		*p = *all
		p.ids = seq{}
		p.divide(area, under, columns)
		return p
	}
	begin := func(under bool) *plan { return arranged(under, 1) }
	finish := func(p *plan, scale string) *plan {
		if z > 1 {
			p.s = &draw.Sheet{W: area.W(), H: area.H()}
		} else {
			p.s, _ = sheet(scale)
		}
		p.s.Desc = "Drains of " + r.Job.Title.Text + " from above."
		p.draw()
		p.grips()
		return p
	}
	done := func(p *plan, scale string) *draw.Sheet {
		if p.listCut { // rather smaller, with the whole list below the plan or in two columns
			var best *plan
			for _, q := range []*plan{begin(true), arranged(false, 2)} {
				if l, word := q.pick(blankAcross/2, blankAbove/2); q.explained && l > p.k*0.6 && (best == nil || l > best.k) {
					q.k, best, scale = l, q, word
				}
			}
			if best != nil {
				p = finish(best, scale)
			}
		}
		s := p.s
		if z > 1 {
			s, _ = sheet(scale)
			larger(s, p.s, full, z)
		}
		if !p.schematic && p.k > 0 {
			s.Scale = 304.8 / (p.k * z)
		}
		return s
	}
	// The notes stand beside the plan, or below it where the plan comes out larger by that.
	p, under := begin(false), false
	k, scale := p.pick(blankAcross, blankAbove)
	if q := begin(true); q.field.H() > 40 {
		if l, word := q.pick(blankAcross, blankAbove); q.whole && (l > k*1.19 || !p.whole && l > k*0.7 || !p.explained && l > k*0.99) {
			p, under, k, scale = q, true, l, word
		}
	}
	p.k = k
	if p.schematic {
		return done(finish(p, scale), scale)
	}
	// With narrow edges a larger scale may fit, in either arrangement; it is taken where hardly
	// any words are shortened by it, and none is lost.
	type try struct {
		under bool
		k     float64
		word  string
	}
	var tries []try
	for _, u := range []bool{under, !under} {
		q := begin(u)
		if l, word := q.pick(blankAcross/4, 0); l > k && (u == under || q.whole) {
			tries = append(tries, try{u, l, word})
		}
	}
	p = finish(p, scale)
	slices.SortStableFunc(tries, func(a, b try) int { return cmp.Compare(b.k, a.k) })
	for _, t := range tries {
		q := begin(t.under)
		q.k = t.k
		q = finish(q, t.word)
		if q.lost <= p.lost && q.cutShort <= p.cutShort+2 && q.led <= p.led+4 {
			return done(q, t.word)
		}
	}
	return done(p, scale)
}

// Blank edges beside and above the pipes of a plan, which its words reach into.
const blankAcross, blankAbove = 24.0, 12.0

type plan struct {
	r          *engine.Result
	s          *draw.Sheet
	level      string
	sys        unit.System
	tags       []string
	ids        seq
	area       draw.Rect
	k          float64 // millimetres on paper for a foot
	schematic  bool    // places are not all known
	up, low    [][2]float64
	on         []bool
	cut        network.SegID // the sewer, drawn short
	box        draw.Rect     // feet
	req        []layout.Label
	fall       unit.Slope                     // of most of the level pipe
	field      draw.Rect                      // of area, what is left beside the dimension lines
	columns    []draw.Rect                    // for the notes
	under      bool                           // the notes stand below the plan
	gaps       map[network.SegID][]draw.Point // where others pass over a piece
	crossed    bool                           // there are such places
	whole      bool                           // they find room, the legend not counted
	explained  bool                           // so does the legend
	tight      bool                           // they stand closer and say less
	noted      [2]int                         // which shapes of the sheet they are
	listCut    bool                           // stubs are left out of their list
	noList     bool                           // only the notes, to see how deep they are
	listEnd    float64                        // where the list of stubs ends in the last column; 0 is with it
	key        []legendRow                    // the lines and marks that stand on the plan
	from       [2]base
	zx, zy     unit.Length // the reference, east and north of the outlet
	start      string      // what it is
	rail       [2]rail
	stubs      []stub
	ext        [][2]draw.Point // lines from stubs to the rails
	faces      [][2]draw.Point // of the walls
	behind     []draw.Rect     // what lies behind them
	zoom       float64         // how many times as large it comes onto the sheet
	turn       int             // quarters that north is turned to the right of up
	turnedHere bool            // so that the plan lies along the paper; the job does not say it
	// Words that found no room, only a shorter wording, and those led to.
	lost, cutShort, led int
}

// cutSewer is the length in feet at which a building sewer is broken off in plan.
const cutSewer = 5.0

// places gathers the ends of the segments in feet, east and north of the outlet line.
func (p *plan) places() {
	r, n := p.r, p.r.Net
	k := len(n.Segs)
	p.up, p.low, p.on = make([][2]float64, k), make([][2]float64, k), make([]bool, k)
	p.cut = network.None
	for i := range n.Segs {
		s := network.SegID(i)
		p.on[i] = onPlan(r, s, p.level)
		if !r.Levels.PlanUp[i].Known {
			p.schematic = true
		}
	}
	var g *graph
	if p.schematic {
		g = newGraph(r)
	}
	for i := range n.Segs {
		if p.schematic {
			a, b := g.nodes[g.upper[i]].p, g.nodes[g.edges[g.segEdges[i][0]].b].p
			p.up[i], p.low[i] = [2]float64{a[0], a[1]}, [2]float64{b[0], b[1]}
			continue
		}
		a, b := r.Levels.PlanUp[i], r.Levels.PlanLow[i]
		p.up[i], p.low[i] = [2]float64{feet(a.X), feet(a.Y)}, [2]float64{feet(b.X), feet(b.Y)}
	}
	// A long line outside is broken off, so that the house is drawn large.
	for _, s := range p.tail() {
		d := [2]float64{p.low[s][0] - p.up[s][0], p.low[s][1] - p.up[s][1]}
		if p.cut != network.None {
			p.on[s] = false
		} else if l := math.Hypot(d[0], d[1]); l > cutSewer+3 {
			p.cut = s
			p.low[s] = [2]float64{p.up[s][0] + d[0]/l*cutSewer, p.up[s][1] + d[1]/l*cutSewer}
		}
	}
}

// tail is the last of the line to the outlet, in the order of flow: level pieces of one run
// that nothing else joins.
func (p *plan) tail() []network.SegID {
	n := p.r.Net
	var out []network.SegID
	for s := n.Outlet; s != network.None && n.Segs[s].Lie != network.Upright; {
		if len(out) > 0 && n.Segs[s].Run != n.Segs[out[0]].Run {
			break
		}
		out = append(out, s)
		up := n.Up(s)
		if len(up) != 1 {
			break
		}
		s = up[0]
	}
	slices.Reverse(out)
	return out
}

func (p *plan) bounds() {
	first := true
	for i := range p.on {
		if !p.on[i] {
			continue
		}
		for _, q := range [2][2]float64{p.up[i], p.low[i]} {
			b := draw.Rect{X0: q[0], Y0: q[1], X1: q[0], Y1: q[1]}
			if first {
				p.box, first = b, false
			} else {
				p.box = p.box.Union(b)
			}
		}
	}
	if !p.schematic {
		for i := range p.r.Levels.Walls {
			q := p.reach(&p.r.Levels.Walls[i])
			p.box = p.box.Union(draw.Rect{X0: q[0], Y0: q[1], X1: q[0], Y1: q[1]})
		}
	}
	p.box = p.box.Grow(1.2)
}

// scales of architects, and the engineers' of 10 to 100 feet in an inch where those grow
// small: inches on paper for a foot, with their words.
var scales = []struct {
	inch float64
	word string
}{{0.75, `3/4" = 1'-0"`}, {0.5, `1/2" = 1'-0"`}, {0.375, `3/8" = 1'-0"`}, {0.25, `1/4" = 1'-0"`}, {0.1875, `3/16" = 1'-0"`}, {0.125, `1/8" = 1'-0"`}, {0.1, `1" = 10'`}, {0.09375, `3/32" = 1'-0"`}, {0.0625, `1/16" = 1'-0"`}, {0.05, `1" = 20'`}, {1.0 / 30, `1" = 30'`}, {0.025, `1" = 40'`}, {0.02, `1" = 50'`}, {0.01, `1" = 100'`}}

// ratios are the scales of metric plans: 1 to so much.
var ratios = []int{10, 20, 25, 50, 75, 100, 125, 150, 200, 250, 500}

// pick takes the largest scale at which the plan fits, with edges left blank.
func (p *plan) pick(across, above float64) (float64, string) {
	w, h := p.field.W()-across, p.field.H()-above
	wide, deep := p.box.W(), p.box.H()
	if p.turn&1 == 1 {
		wide, deep = deep, wide
	}
	fits := min(w/max(wide, 1), h/max(deep, 1))
	if p.schematic {
		return min(fits, 14), "NOT TO SCALE"
	}
	z := p.zoom
	if z == 0 {
		z = 1
	}
	if p.sys == unit.Metric {
		for _, n := range ratios {
			if k := 304.8 / float64(n) / z; k <= fits {
				return k, "1 : " + strconv.Itoa(n)
			}
		}
		return fits, "SEE SCALE BAR"
	}
	for _, s := range scales {
		if k := s.inch * 25.4 / z; k <= fits {
			return k, s.word
		}
	}
	return fits, "SEE SCALE BAR"
}

func (p *plan) at(q [2]float64) draw.Point {
	m := p.box.Centre()
	return p.field.Centre().Add(p.turned(draw.Point{X: (q[0] - m.X) * p.k, Y: (m.Y - q[1]) * p.k}))
}

// turned gives a step on paper with north up as it lies on this plan.
func (p *plan) turned(d draw.Point) draw.Point {
	for range p.turn {
		d = d.Right()
	}
	return d
}

// axisOn is the axis, 0 for east and west, that lies along rail h: 0 across the paper, 1 up
// and down it.
func (p *plan) axisOn(h int) int { return h ^ p.turn&1 }

// northOn is how many quarters north lies to the right of up on the job's own plan, by which
// the plans are turned; ok is false where it lies askew.
func northOn(word string) (turn int, ok bool) {
	switch word {
	case "", "up":
		return 0, true
	case "right":
		return 1, true
	case "down":
		return 2, true
	case "left":
		return 3, true
	}
	deg, err := strconv.ParseFloat(word, 64)
	if q := math.Mod(math.Mod(deg, 360)+360, 360) / 90; err == nil && q == math.Trunc(q) {
		return int(q), true
	}
	return 0, false
}

func (p *plan) draw() {
	r, n, s := p.r, p.r.Net, p.s
	half := draw.LayerDrain.Pen().Width.MM(s.Fine) / 2
	p.rails()
	p.walls()
	drawn := p.outlines() // below the pipes
	for i := range drawn {
		p.fixture(&drawn[i])
	}
	p.crossings()
	// Pipes, run by run.
	for i := range n.Runs {
		run := &n.Runs[i]
		var pts []draw.Point
		var pieces []network.SegID // that end at the second point and those after it
		flush := func() {
			if len(pts) > 1 && draw.Length(pts) > 0.05 {
				s.Add(p.broken(run, pts, pieces))
			}
			pts, pieces = nil, nil
		}
		var last unit.Size
		var lastUnits unit.Load = -1
		sloped := false // of a trunk the fall is written once
		for _, sg := range run.Segs {
			if !p.on[sg] || n.Segs[sg].Lie == network.Upright && n.Segs[sg].Way.Plumb == 0 {
				flush()
				continue
			}
			a, b := p.at(p.up[sg]), p.at(p.low[sg])
			if len(pts) == 0 {
				pts = append(pts, a)
			}
			pts, pieces = append(pts, b), append(pieces, sg)
			if b.Sub(a).Len() < 4 {
				continue
			}
			seg := &n.Segs[sg]
			var lines []string
			if z, u := r.Sizes.Size[sg], r.Loads.Units[sg]; z != last || u != lastUnits {
				w := "W"
				if c, ok := r.Loads.Count(sg, load.Closets); ok && c > 0 {
					w = "S"
				}
				words := sizeWords(z) + " " + w
				if run.Def.State.Text != "remove" {
					words += " " + unitsWords(u, r.Loads.AtLeast[sg])
				}
				lines = append(lines, strings.TrimSpace(words+" "+draw.Services[p.service(run)].Tag))
				last, lastUnits = z, u
			}
			second := ""
			trunk := seg.Role == network.BuildingDrain || seg.Role == network.BuildingSewer
			if f := r.Levels.Slope[sg]; f.Given() && len(lines) > 0 && (f.Cmp(p.fall) != 0 || trunk && !sloped) {
				sloped = sloped || trunk
				second = slopeWords(f, p.sys)
			}
			switch {
			case sg == p.cut && p.beyond():
				rest := unit.Length(0)
				for d := sg; d != network.None; d = n.Segs[d].Down {
					rest += n.Segs[d].Length()
				}
				second = join(second, wholeWords(rest, p.sys)+" IN ALL")
			case seg.LengthKnown:
				second = join(second, wholeWords(seg.Length(), p.sys))
			case len(lines) > 0:
				second = join(second, unknownLength)
			}
			if second != "" {
				lines = append(lines, second)
			}
			if len(lines) > 0 {
				priority := 2
				if len(lines) > 1 {
					priority = 3
				}
				q := layout.Label{ID: p.ids.id(run.Name + ".label"), Lines: lines, Along: []draw.Point{a, b}, Half: half, Priority: priority, Owner: 1 + i}
				if len(lines) > 1 { // the length stands on the riser and in the schedule too
					q.Short = [][]string{lines[:1]}
				}
				switch z := sizeWords(r.Sizes.Size[sg]); {
				case !strings.HasPrefix(lines[0], z):
					q.Spare = sg != p.cut // a length alone, which the riser has too
				case lines[0] != z:
					q.Short = append(q.Short, []string{z})
				}
				p.req = append(p.req, q)
			}
		}
		flush()
	}
	p.risers()
	p.tagged(drawn)
	p.devices()
	p.flows()
	p.vents()
	p.goesOn()
	p.rooms()
	p.reference()
	p.dimensions()
	if p.cut != network.None && p.on[p.cut] {
		at := p.at(p.low[p.cut])
		d := at.Sub(p.at(p.up[p.cut])).Unit()
		m := draw.Mark{Layer: draw.LayerSymbol, ID: p.ids.id("sewer.break")}
		ref := symbol.Get("break-mark").Put(m, draw.Placement{At: at.Add(d.Mul(0.9)), U: d, V: draw.Point{X: d.Y, Y: -d.X}}, "")
		s.Add(ref)
		b, _ := draw.Bounds(ref)
		p.req = append(p.req, layout.Label{ID: m.ID + ".label", Lines: []string{upper(outletWords(r))}, At: b.Centre(), Half: 2.5, Priority: 5, Weight: textwidth.Bold})
		if w := p.cutAway(); w != "" {
			p.req = append(p.req, layout.Label{ID: m.ID + ".beyond", Lines: []string{w}, At: b.Centre(), Half: 2.5, Priority: 4})
		}
	}
	// North and the scale.
	p.compass()
	if !p.schematic {
		part, step, word := barOf(p.k, 14, p.sys)
		s.Add(draw.ScaleBar(draw.Point{X: p.area.X0 + 2, Y: p.area.Y1 + 4}, 4, part, step, word))
	}
	p.notes()
	var obs layout.Obstacles
	p.keepOff(&obs)
	p.owned(&obs)
	for _, q := range layout.Place(p.req, &obs, p.area) {
		if strings.HasPrefix(q.Label.ID, roomID) {
			if q.OK && q.Leader == nil {
				s.Add(q.Shapes())
			}
			continue
		}
		switch {
		case !q.OK && !q.Label.Spare:
			p.lost++
		case len(q.Lines) < len(q.Label.Lines):
			p.cutShort++
		}
		if q.Leader != nil {
			p.led++
		}
		if q.OK {
			s.Add(q.Shapes())
		}
	}
	p.extensions()
	p.legendAside()
}

// beyond tells whether the line is known to go on behind the piece at which it is broken off.
func (p *plan) beyond() bool {
	n := p.r.Net
	d := n.Segs[p.cut].Down
	for s := p.cut; s != network.None; s = n.Segs[s].Down {
		if !n.Segs[s].LengthKnown {
			return false
		}
	}
	return d != network.None
}

// compass draws north into a corner, the upper left one if nothing is there.
func (p *plan) compass() {
	lies := draw.Placement{U: p.turned(draw.Point{X: 1}), V: p.turned(draw.Point{Y: -1})}
	m := draw.Mark{Layer: draw.LayerSymbol, ID: "north"}
	north := symbol.Get("north-arrow")
	b, ok := draw.Bounds(north.Put(m, lies))
	if !ok {
		return
	}
	var taken []draw.Rect
	draw.Walk(p.s.Shapes, func(sh draw.Shape, _ *draw.SymbolRef) {
		switch sh.(type) {
		case draw.Line, draw.Polyline, draw.Polygon, draw.Circle, draw.Arc, draw.Text:
			if q, ok := draw.Bounds(sh); ok && p.area.Grow(1).Overlaps(q.Grow(0.1)) && sh.Base().Layer != draw.LayerFrame {
				taken = append(taken, q.Grow(0.8))
			}
		}
	})
	a := p.area
	var best draw.Point
	least := math.Inf(1)
	for _, at := range []draw.Point{{X: a.X0 + 3, Y: a.Y0 + 1}, {X: a.X1 - 3 - b.W(), Y: a.Y0 + 1}, {X: a.X1 - 3 - b.W(), Y: a.Y1 - 2 - b.H()}, {X: a.X0 + 3, Y: a.Y1 - 2 - b.H()}, {X: a.X0 + 90, Y: a.Y0 + 1}, {X: a.X0 + 90, Y: a.Y1 - 2 - b.H()}} {
		r := draw.Rect{X0: at.X, Y0: at.Y, X1: at.X + b.W(), Y1: at.Y + b.H()}
		sum := 0.0
		for _, q := range taken {
			sum += common(r, q)
		}
		if sum < least-1e-9 {
			least, best = sum, at
		}
	}
	lies.At = best.Sub(draw.Point{X: b.X0, Y: b.Y0})
	p.s.Add(north.Put(m, lies))
}

// rises tells whether upright pipe is drawn on this plan, and whether it comes down here
// from above, which is where it is set out.
func (p *plan) rises(i network.SegID) (here, fromAbove bool) {
	n := p.r.Net
	seg := &n.Segs[i]
	if seg.Lie != network.Upright || seg.Way.Plumb != 0 || seg.Fixture != network.None && p.on[i] {
		return false, false
	}
	below := seg.Down != network.None && p.on[seg.Down] && n.Segs[seg.Down].Lie != network.Upright
	feeds := false // level pipe of this plan drains into it
	for _, u := range n.Up(i) {
		feeds = feeds || p.on[u] && n.Segs[u].Lie != network.Upright
	}
	if !p.on[i] && !below && !feeds {
		return false, false
	}
	if !feeds && seg.Down != network.None && n.Segs[seg.Down].Lie == network.Upright {
		return false, false // the piece below says it
	}
	return true, below && !feeds
}

// risers draws upright pipe: a circle with a dot where it begins here and goes down, a
// circle where it comes down from above.
func (p *plan) risers() {
	n := p.r.Net
	// Of pieces of a run above each other the lowest is drawn.
	type spot struct {
		run   network.RunID
		x, y  int
		above bool
	}
	of := func(i int, above bool) spot {
		at := p.at(p.low[i])
		return spot{n.Segs[i].Run, int(math.Round(at.X * 10)), int(math.Round(at.Y * 10)), above}
	}
	lowest := map[spot]int{}
	for i := range n.Segs {
		if here, above := p.rises(network.SegID(i)); here {
			lowest[of(i, above)] = i
		}
	}
	for i := range n.Segs {
		here, above := p.rises(network.SegID(i))
		if !here || lowest[of(i, above)] != i {
			continue
		}
		run := n.RunOf(network.SegID(i))
		name, word := "riser-down", "DN"
		if above {
			name, word = "riser-up", "UP"
		}
		at := p.at(p.low[i])
		m := draw.Mark{Layer: draw.LayerDrain, ID: p.ids.id(run.Name + ".riser"), Title: run.Name + ", upright"}
		ref := symbol.Get(name).Put(m, draw.Upright(at).Scaled(0.8))
		p.s.Add(ref)
		b, _ := draw.Bounds(ref)
		if above && run.Fixture != network.None && !p.on[n.Fixtures[run.Fixture].Seg] {
			p.req = append(p.req, layout.Label{ID: m.ID + ".tag", Lines: []string{p.tags[run.Fixture]}, At: b.Centre(), Half: b.W() / 2, Priority: 6, Weight: textwidth.Bold})
		}
		if roleOf(n, run) == network.Stack {
			p.req = append(p.req, layout.Label{ID: m.ID + ".label", Lines: []string{upper(run.Name), sizeWords(p.r.Sizes.Size[i]) + " " + word}, At: b.Centre(), Half: b.W() / 2, Priority: layout.Must, Weight: textwidth.Bold})
		}
	}
}

// risesAs tells how a vent rises from a plan: to the open air or to others, or to a valve.
func risesAs(v *network.Vent) string {
	if v.End == network.AirAdmittanceValve {
		return " V, AAV"
	}
	return " V UP"
}

// vents marks where vents rise.
func (p *plan) vents() {
	n := p.r.Net
	for v := range n.Vents {
		x := &n.Vents[v]
		for _, t := range x.Takes {
			if t.Seg == network.None || !p.on[t.Seg] {
				continue
			}
			at := p.at(p.up[t.Seg])
			m := draw.Mark{Layer: draw.LayerVent, ID: p.ids.id(x.Name + ".rise"), Pen: draw.Pen{Width: draw.Medium, Dash: draw.Solid}, Title: x.Name + " rises here"}
			c := draw.Circle{Mark: m, C: at, R: 1.8, Fill: draw.NoFill}
			p.s.Add(c)
			p.req = append(p.req, layout.Label{ID: m.ID + ".label", Lines: []string{sizeWords(p.r.Vents.Size[v].Size) + risesAs(x)}, At: at, Half: 2.2, Priority: 3})
		}
	}
}
