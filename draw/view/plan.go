package view

import (
	"math"

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
	if run.Level >= 0 && !n.Segs[s].UnderGround && run.Def.Where.Text != "crawl space" {
		return n.Job.Levels[run.Level].Name == level
	}
	if run.Level >= 0 && level != Below {
		return false
	}
	return level == Below
}

// Plan draws the pipe of one level (or Below) from above, to scale where lengths and
// directions are known. Walls are not known to a job, so stubs are measured from the
// outlet line.
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
	p := &plan{r: r, level: level, sys: r.Job.Units, tags: tagsOf(r.Net), ids: seq{}}
	p.places()
	scale, words := 0.0, "NOT TO SCALE"
	probe, area := newSheet(r, opt, paperOr(opt, "tabloid"), numberOr(opt, "P-1"), title, words)
	side := columnWidth(area)
	p.area = draw.Rect{X0: area.X0, Y0: area.Y0, X1: area.X1 - side - 5, Y1: area.Y1 - 12}
	p.bounds()
	scale, words = p.pick()
	p.s = probe
	if !p.schematic {
		p.s, area = newSheet(r, opt, paperOr(opt, "tabloid"), numberOr(opt, "P-1"), title, words)
	}
	p.s.Desc = "Drains of " + r.Job.Title.Text + " from above."
	p.k = scale
	p.draw(draw.Rect{X0: area.X1 - side, Y0: area.Y0, X1: area.X1, Y1: area.Y1})
	p.grips()
	return p.s
}

type plan struct {
	r         *engine.Result
	s         *draw.Sheet
	level     string
	sys       unit.System
	tags      []string
	ids       seq
	area      draw.Rect
	k         float64 // millimetres on paper for a foot
	schematic bool    // places are not all known
	up, low   [][2]float64
	on        []bool
	cut       network.SegID // the sewer, drawn short
	box       draw.Rect     // feet
	req       []layout.Label
	fall      unit.Slope // of most of the level pipe
}

// cutSewer is the length in feet at which a building sewer is broken off in plan.
const cutSewer = 7.0

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
	if s := n.Outlet; s != network.None && n.Segs[s].Lie != network.Upright {
		d := [2]float64{p.low[s][0] - p.up[s][0], p.low[s][1] - p.up[s][1]}
		if l := math.Hypot(d[0], d[1]); l > cutSewer+3 {
			p.cut = s
			p.low[s] = [2]float64{p.up[s][0] + d[0]/l*cutSewer, p.up[s][1] + d[1]/l*cutSewer}
		}
	}
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
	p.box = p.box.Grow(1.6)
}

// architects' scales: inches on paper for a foot, with their words.
var scales = []struct {
	inch float64
	word string
}{{0.75, `3/4" = 1'-0"`}, {0.5, `1/2" = 1'-0"`}, {0.375, `3/8" = 1'-0"`}, {0.25, `1/4" = 1'-0"`}, {0.1875, `3/16" = 1'-0"`}, {0.125, `1/8" = 1'-0"`}, {0.09375, `3/32" = 1'-0"`}, {0.0625, `1/16" = 1'-0"`}, {0.03125, `1/32" = 1'-0"`}}

// pick takes the largest scale at which the plan fits.
func (p *plan) pick() (float64, string) {
	w, h := p.area.W()-30, p.area.H()-22
	fits := min(w/max(p.box.W(), 1), h/max(p.box.H(), 1))
	if p.schematic {
		return min(fits, 14), "NOT TO SCALE"
	}
	for _, s := range scales {
		if s.inch*25.4 <= fits {
			return s.inch * 25.4, s.word
		}
	}
	return fits, "SEE SCALE BAR"
}

func (p *plan) at(q [2]float64) draw.Point {
	c := p.area.Centre()
	m := p.box.Centre()
	return draw.Point{X: c.X + (q[0]-m.X)*p.k, Y: c.Y - (q[1]-m.Y)*p.k}
}

func (p *plan) draw(column draw.Rect) {
	r, n, s := p.r, p.r.Net, p.s
	p.fall, _ = usual(r)
	half := draw.LayerDrain.Pen().Width.MM(s.Fine) / 2
	// Pipes, run by run.
	for i := range n.Runs {
		run := &n.Runs[i]
		var pts []draw.Point
		flush := func() {
			if len(pts) > 1 && draw.Length(pts) > 0.05 {
				service := 0
				switch {
				case run.Def.State.Text == "existing":
					service = 5
				case run.Def.State.Text == "remove":
					service = 6
				case n.Segs[run.Segs[0]].UnderGround:
					service = 1
				}
				sh := draw.Pipe(draw.Services[service], p.ids.id(run.Name), run.Name, pts...)
				s.Add(sh)
			}
			pts = nil
		}
		var last unit.Size
		var lastUnits unit.Load = -1
		for _, sg := range run.Segs {
			if !p.on[sg] || n.Segs[sg].Lie == network.Upright && n.Segs[sg].Way.Plumb == 0 {
				flush()
				continue
			}
			a, b := p.at(p.up[sg]), p.at(p.low[sg])
			if len(pts) == 0 {
				pts = append(pts, a)
			}
			pts = append(pts, b)
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
				lines = append(lines, sizeWords(z)+" "+w+" "+unitsWords(u, r.Loads.AtLeast[sg]))
				last, lastUnits = z, u
			}
			second := ""
			if f := r.Levels.Slope[sg]; f.Given() && len(lines) > 0 && f.Cmp(p.fall) != 0 {
				second = slopeWords(f, p.sys)
			}
			if seg.LengthKnown {
				second = join(second, lengthWords(seg.Length(), p.sys))
			}
			if second != "" {
				lines = append(lines, second)
			}
			if len(lines) > 0 {
				priority := 2
				if len(lines) > 1 {
					priority = 3
				}
				p.req = append(p.req, layout.Label{ID: p.ids.id(run.Name + ".label"), Lines: lines, Along: []draw.Point{a, b}, Half: half, Priority: priority})
			}
		}
		flush()
	}
	p.risers()
	stubs := p.stubs()
	p.vents()
	p.reference()
	if p.cut != network.None && p.on[p.cut] {
		at := p.at(p.low[p.cut])
		d := at.Sub(p.at(p.up[p.cut])).Unit()
		m := draw.Mark{Layer: draw.LayerSymbol, ID: p.ids.id("sewer.break")}
		ref := symbol.Get("break-mark").Put(m, draw.Placement{At: at.Add(d.Mul(0.9)), U: d, V: draw.Point{X: d.Y, Y: -d.X}}, "")
		s.Add(ref)
		b, _ := draw.Bounds(ref)
		p.req = append(p.req, layout.Label{ID: m.ID + ".label", Lines: []string{upper(outletWords(r))}, At: b.Centre(), Half: 2.5, Priority: 5, Weight: textwidth.Bold})
	}
	// North and the scale.
	north := symbol.Get("north-arrow").Put(draw.Mark{Layer: draw.LayerSymbol, ID: "north"}, draw.Upright(draw.Point{X: p.area.X0 + 8, Y: p.area.Y0 + 12}))
	s.Add(north)
	if !p.schematic {
		step := 1.0
		for _, f := range []float64{1, 2, 4, 5, 10, 20} {
			step = f
			if f*p.k >= 14 {
				break
			}
		}
		s.Add(draw.ScaleBar(draw.Point{X: p.area.X0 + 2, Y: p.area.Y1 + 4}, 4, step*p.k, step, "ft"))
	}
	p.column(column, stubs)
	var obs layout.Obstacles
	obs.AddShapes(s.Shapes, s.Fine)
	for _, q := range layout.Place(p.req, &obs, p.area) {
		if q.OK {
			s.Add(q.Shapes())
		}
	}
}

// risers draws upright pipe: a circle with a dot where it begins here and goes down, a
// circle where it comes down from above.
func (p *plan) risers() {
	n := p.r.Net
	for i := range n.Segs {
		seg := &n.Segs[i]
		if seg.Lie != network.Upright || seg.Way.Plumb != 0 || seg.Fixture != network.None {
			continue
		}
		run := n.RunOf(network.SegID(i))
		below := seg.Down != network.None && p.on[seg.Down] && n.Segs[seg.Down].Lie != network.Upright
		feeds := false // level pipe of this plan drains into it
		for _, u := range n.Up(network.SegID(i)) {
			feeds = feeds || p.on[u] && n.Segs[u].Lie != network.Upright
		}
		if !p.on[i] && !below && !feeds {
			continue
		}
		name, word := "riser-down", "DN"
		if below && !feeds && !p.on[i] { // it comes down here from a level above
			name, word = "riser-up", "UP"
		}
		if !feeds && seg.Down != network.None && n.Segs[seg.Down].Lie == network.Upright {
			continue // the piece below says it
		}
		at := p.at(p.low[i])
		m := draw.Mark{Layer: draw.LayerDrain, ID: p.ids.id(run.Name + ".riser"), Title: run.Name + ", upright"}
		ref := symbol.Get(name).Put(m, draw.Upright(at).Scaled(0.8))
		p.s.Add(ref)
		b, _ := draw.Bounds(ref)
		if roleOf(n, run) == network.Stack {
			p.req = append(p.req, layout.Label{ID: m.ID + ".label", Lines: []string{upper(run.Name), sizeWords(p.r.Sizes.Size[i]) + " " + word}, At: b.Centre(), Half: b.W() / 2, Priority: 4, Weight: textwidth.Bold})
		}
	}
}

// stub is a point that the crew sets out.
type stub struct {
	tag, name string
	x, y      float64
	invert    string
}

// stubs draws the fixtures and lists where their pipes come up.
func (p *plan) stubs() []stub {
	r, n := p.r, p.r.Net
	var out []stub
	ox, oy := p.zero()
	for _, i := range inOrder(n) {
		f := &n.Fixtures[i]
		if !p.on[f.Seg] {
			continue
		}
		at := p.at(p.up[f.Seg])
		run := &n.Runs[f.Run]
		// The fixture faces away from the way of its water.
		d := draw.Point{Y: -1}
		for s := f.Seg; s != network.None && n.Segs[s].Run == f.Run; s = n.Segs[s].Down {
			if w := p.at(p.low[s]).Sub(p.at(p.up[s])); w.Len() > 0.5 {
				d = w.Unit()
				break
			}
		}
		m := draw.Mark{Layer: draw.LayerFixture, ID: p.ids.id(run.Name + ".fixture"), Title: p.tags[i] + ": " + f.Kind.Name}
		name := f.Kind.Symbol
		if name == "clothes-washer" { // its letters would lie on the pipe
			name = "washer-box"
		}
		if sym := symbol.Get(name); sym != nil && sym.True && !p.schematic {
			k := p.k / 304.8 // millimetres on paper for one of the real thing
			ref := sym.Put(m, draw.Placement{At: at, U: draw.Point{X: -d.Y, Y: d.X}, V: d}.Scaled(k))
			p.s.Add(ref)
		}
		c := draw.Circle{Mark: draw.Mark{Layer: draw.LayerDrain, ID: p.ids.id(run.Name + ".stub"), Pen: draw.Pen{Width: draw.Medium}, Title: p.tags[i] + ", " + run.Name}, C: at, R: 1.1, Fill: draw.FillPaper}
		p.s.Add(c)
		p.req = append(p.req, layout.Label{ID: c.ID + ".tag", Lines: []string{p.tags[i]}, At: at, Half: 1.4, Priority: 6, Weight: textwidth.Bold})
		inv := ""
		if h := r.Levels.InvertUp[f.Seg]; h.Known {
			inv = elevationWords(h.V, p.sys)
		}
		out = append(out, stub{p.tags[i], run.Name, p.up[f.Seg][0] - ox, p.up[f.Seg][1] - oy, inv})
	}
	return out
}

// zero is the point that stubs are measured from: where the building drain ends.
func (p *plan) zero() (float64, float64) {
	n := p.r.Net
	best := n.Outlet
	for i := len(n.Segs) - 1; i >= 0; i-- {
		if n.Segs[i].Role == network.BuildingDrain && n.Segs[i].Lie != network.Upright {
			best = network.SegID(i)
			break
		}
	}
	if best == network.None {
		return 0, 0
	}
	q := p.low[best]
	if best == p.cut {
		q = p.up[best]
	}
	return q[0], q[1]
}

// reference marks the point that stubs are measured from.
func (p *plan) reference() {
	x, y := p.zero()
	at := p.at([2]float64{x, y})
	if !p.area.Contains(draw.Rect{X0: at.X, Y0: at.Y, X1: at.X, Y1: at.Y}.Grow(4)) {
		return
	}
	m := draw.Mark{Layer: draw.LayerDimension}
	g := draw.Group{Mark: draw.Mark{Layer: draw.LayerDimension, ID: "reference", Title: "Stubs are measured from here"}, Shapes: []draw.Shape{
		draw.Line{Mark: m, A: draw.Point{X: at.X - 4, Y: at.Y}, B: draw.Point{X: at.X + 4, Y: at.Y}},
		draw.Line{Mark: m, A: draw.Point{X: at.X, Y: at.Y - 4}, B: draw.Point{X: at.X, Y: at.Y + 4}},
		draw.Circle{Mark: m, C: at, R: 2.4},
	}}
	p.s.Add(g)
	p.req = append(p.req, layout.Label{ID: "reference.label", Lines: []string{"REFERENCE 0, 0"}, At: at, Half: 4, Priority: 5})
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
			p.req = append(p.req, layout.Label{ID: m.ID + ".label", Lines: []string{sizeWords(p.r.Vents.Size[v].Size) + " V UP"}, At: at, Half: 2.2, Priority: 3})
		}
	}
}

func (p *plan) column(box draw.Rect, stubs []stub) {
	m := draw.Mark{Layer: draw.LayerTable, Pen: draw.Pen{Width: draw.Hair}}
	p.s.Add(draw.Line{Mark: m, A: draw.Point{X: box.X0 - 3, Y: box.Y0}, B: draw.Point{X: box.X0 - 3, Y: box.Y1}})
	f := &flow{s: p.s, box: box, y: box.Y0}
	if len(stubs) > 0 && f.heading("STUBS FROM THE REFERENCE") {
		for _, t := range stubs {
			if p.schematic {
				f.pair(t.tag, t.name, 17, true)
				continue
			}
			w := along(t.x, "E", "W", p.sys) + "  " + along(t.y, "N", "S", p.sys)
			if t.invert != "" {
				w += "  IE " + t.invert
			}
			if !f.pair(t.tag, w, 17, true) {
				break
			}
		}
		f.y += 1
	}
	if f.heading("NOTES") {
		list := []string{"Walls are not in the job: stubs are measured along east-west and north-south from the reference, where the building drain ends. Set out from the walls by the plans of the house."}
		if p.schematic {
			list = []string{"Not to scale: lengths or directions are not all given, and the drawing chooses what is missing."}
		}
		if p.fall.Given() {
			list = append(list, "Level drains fall "+slopeWords(p.fall, p.sys)+" where nothing else is written.")
		}
		list = append(list, "A circle with words UP or DN is upright pipe; a small circle is the upper end of a fixture's pipe.", "Lengths are developed lengths along the pipe.")
		if p.level == Below {
			list = append(list, "Caution: trenches cave in without warning. Have lines marked before digging, shore or slope the sides, and never work alone in a trench.")
		}
		list = append(list, who)
		for _, w := range list {
			if !f.words(w, 0, false) {
				break
			}
		}
	}
}

func along(v float64, plus, minus string, sys unit.System) string {
	l := unit.Length(math.Round(math.Abs(v)*96)) * (unit.Inch / 8)
	if l == 0 {
		return "0"
	}
	if v < 0 {
		plus = minus
	}
	return plus + " " + lengthWords(l, sys)
}
