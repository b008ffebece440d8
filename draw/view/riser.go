package view

import (
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"trapweir/draw"
	"trapweir/draw/layout"
	"trapweir/draw/symbol"
	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// picture is one riser while it is drawn.
type picture struct {
	r         *engine.Result
	g         *graph
	s         *draw.Sheet
	x         *axes
	area      draw.Rect // for the pipework and its labels
	mag       float64   // how many times larger than drawn all comes onto the sheet
	sys       unit.System
	keep      []bool   // segments, nil for all
	explained bool     // the column explains the symbols
	left      []string // notes that found no room in it
	say       *sayings
	show      []bool // edges
	at        []draw.Point
	depth     []float64
	deg       []int16
	tags      []string
	ids       seq
	gaps      map[int32][]draw.Point // where an edge passes behind another
	req       []layout.Label
	asked     []layout.Label // with those that an overview leaves to the parts
	over      []overlay
	sym       float64 // scale of symbols

	services map[int]bool // rows of draw.Services in use
	tiny     bool         // an overview
	unknown  int          // pieces without a length
	pieces   int
	dropped  int         // labels without room
	crammed  bool        // so many that it was given up
	fall     unit.Slope  // of most of the level pipe; Run == 0: there is no such
	roof     unit.Length // how far all terminals stand above the roof, 0: not all the same
	list     []diag.Diagnostic
	meets    [][]int32
	marks    map[network.SegID]match // where the riser is cut into parts
	fits     []int                   // labels that call out fittings
	plates   []draw.Polyline
	letters  []draw.Rect // set into pipes
	placed   []layout.Placed
}

// overlay is what is drawn around a label when its place is found.
type overlay struct {
	label int
	kind  byte // 'b' balloon, 't' tag
	id    string
	title string
	more  []balloon // after the first
}

// balloon is the number of a finding, and what it says.
type balloon struct{ number, id, title string }

// ballooned is the room that a balloon takes, millimetres.
const ballooned = 6.6

func (p *picture) kept(s network.SegID) bool { return p.keep == nil || p.keep[s] }

// model is pipework ready to be drawn on any paper.
type model struct {
	r     *engine.Result
	opt   Options
	keep  []bool // segments, nil for all
	g     *graph
	show  []bool  // edges
	deg   []int16 // shown edges at a node
	tags  []string
	views []*axes // from the corners of the house, nothing widened yet
	turn  int     // the view that looks as the plan of the house lies, or as the whole riser does
	gain  float64 // what that view may be worse by, in scale
	title string  // after the title of the sheet
	marks map[network.SegID]match
	last  *axes // as it was fitted last, into fitW by fitH
	fitW  float64
	fitH  float64
}

func newModel(r *engine.Result, opt Options, keep []bool) *model {
	m := &model{r: r, opt: opt, keep: keep, g: newGraph(r), tags: tagsOf(r.Net), gain: 0.05}
	m.turn, _ = northOn(r.Job.Site.North.Text)
	if c := opt.Last.Corner; c > 0 {
		m.turn, m.gain = c-1, 0.3
	}
	m.look()
	return m
}

// look finds what is shown, and how it looks from the corners of the house.
func (m *model) look() {
	m.choose()
	r, keep := m.r, m.keep
	floors := m.g.heights(func(f network.FixID) bool { return keep == nil || keep[r.Net.Fixtures[f].Seg] })
	m.views = newViews(m.g, m.show, floors)
}

// riser draws the pipework on one paper and tells its scale. Where that would be under
// least, or many labels would find no room although there is a least, nothing is drawn.
func (m *model) riser(paper string, least float64) (*draw.Sheet, float64) {
	p := m.paint(paper, least, true)
	if p == nil || p.crammed {
		return nil, 0
	}
	if p.dropped > 0 {
		return p.s, min(p.x.k, cramped)
	}
	return p.s, p.x.k
}

// cramped is the scale that a riser counts as when a label found no room.
const cramped = 0.5

// paint draws a riser, with or without the column of notes beside it; nil where its scale
// would be under least.
func (m *model) paint(paper string, least float64, notes bool) *picture {
	if strings.HasPrefix(paper, roll) { // cut to the drawing at its natural size
		return m.paintAt(paper, least, notes, 1)
	}
	p := m.paintAt(paper, least, notes, math.Inf(1))
	if p == nil || p.mag < 1.05 {
		return p
	}
	crowd := p.crowd()
	if crowd < crowded {
		return p
	}
	if q := m.paintAt(paper, least, notes, 1); q != nil && q.crowd() < crowd-0.1 { // words as usual leave more room
		return q
	}
	return p
}

// crowded is the share of labels that found no room beside what they name, from which
// smaller lettering is tried.
const crowded = 0.28

// crowd is the share of the labels that are led to, more for those left out.
func (p *picture) crowd() float64 {
	if p.crammed {
		return math.Inf(1)
	}
	n, far := 0, 0
	for i := range p.placed {
		q := &p.placed[i]
		switch {
		case q.Label.Spare:
			continue
		case !q.OK:
			far += 3
		case q.Leader != nil:
			far++
		}
		n++
	}
	return float64(far) / float64(max(n, 1))
}

// paintAt is paint with a largest size of lettering.
func (m *model) paintAt(paper string, least float64, notes bool, largest float64) *picture {
	r, opt, g := m.r, m.opt, m.g
	number := opt.Number
	if number == "" {
		number = "P-R1"
	}
	title := "Drain, waste and vent riser"
	switch {
	case opt.Of != "":
		title += ": " + opt.Of
	case opt.Level != "":
		title += ": " + opt.Level
	}
	s, area := newSheet(r, opt, paper, number, title+m.title, "NOT TO SCALE")
	s.Desc = "Isometric of the drains and vents of " + r.Job.Title.Text + ", not to scale."
	side := columnWidth(area)
	column := draw.Rect{X0: area.X1 - side, Y0: area.Y0, X1: area.X1, Y1: area.Y1}
	if notes {
		area.X1 = column.X0 - 5
	}
	x, mag := m.fill(area, least, largest)
	if x == nil {
		return nil
	}
	if mag > 1.2 { // large words want the broader lines
		s.Fine = false
	}
	onPaper := s
	s = &draw.Sheet{W: onPaper.W, H: onPaper.H, Fine: onPaper.Fine, Shapes: make([]draw.Shape, 0, 6*len(r.Net.Segs)+3*len(r.Net.Vents))}
	area = draw.Rect{X0: area.X0 / mag, Y0: area.Y0 / mag, X1: area.X1 / mag, Y1: area.Y1 / mag}
	p := &picture{
		r: r, g: g, s: s, x: x, area: area, mag: mag, keep: m.keep, show: m.show, deg: m.deg, tags: m.tags, marks: m.marks, sys: r.Job.Units,
		ids: seq{}, gaps: map[int32][]draw.Point{}, services: map[int]bool{},
		req: g.desk.labels.take(2*(len(r.Net.Segs)+len(r.Net.Fixtures)) + len(r.Net.Vents))[:0],
	}
	p.tiny = p.x.k < overview
	p.sym = min(max(0.62*p.x.k, 0.8), 1.05)
	p.lay(draw.Rect{X0: p.area.X0 + edgeSide, Y0: p.area.Y0 + edgeAbove, X1: p.area.X1 - edgeSide, Y1: p.area.Y1 - edgeBelow})

	p.floors()
	p.crossings()
	p.drains()
	p.ventPipes()
	p.ends()
	p.fixtures()
	p.cleanouts()
	p.compass()
	p.number()
	p.labels()
	p.matches()
	p.callOut(opt.Fittings)
	p.asked = p.req
	if opt.Wordless {
		p.fewer(forFindings)
	} else if p.tiny {
		p.fewer(7, 5, 9)
	} else if p.keep == nil && len(p.marks) > 0 { // the parts say the rest
		p.fewer(5, 6, 7, 8, 9)
	}
	if p.write(least > 0); p.crammed {
		return p
	}
	var beside []draw.Shape
	if notes && !opt.Wordless {
		beside = p.column(column, lettered(onPaper.W))
	}
	p.onto(onPaper)
	if notes {
		p.moreNotes()
		if !p.explained {
			p.signsAside()
		}
	}
	p.s.Add(beside...)
	p.grips()
	p.s.Seen = draw.Seen{Paper: paper, Corner: p.x.turn + 1}
	return p
}

// Blank edges around the pipework, which its labels reach into.
const edgeSide, edgeAbove, edgeBelow = 17.0, 13.0, 9.0

// fill fits the pipework into an area and tells how many times larger than usual words,
// symbols and pipework are to be: a small job, or large paper, is drawn and lettered
// larger, as far as a reader at arm's length likes it.
func (m *model) fill(area draw.Rect, least, largest float64) (*axes, float64) {
	w, h := area.W()-2*edgeSide, area.H()-edgeAbove-edgeBelow
	x := m.fit(w, h, least)
	if x == nil {
		return nil, 0
	}
	most, lettered := 1.3, 1.0
	switch {
	case area.W() > 700:
		most, lettered = 2, 1.2
	case area.W() > 450:
		most, lettered = 1.6, 1.2
	}
	b := x.bounds()
	k := min(w/max(b.W(), 1), h/max(b.H(), 1)) // however large
	mag := min(max(k/wellFilled, min(lettered, k), 1), most, largest)
	if mag < 1.05 {
		return x, 1
	}
	if y := m.fit(area.W()/mag-2*edgeSide, area.H()/mag-edgeAbove-edgeBelow, least); y != nil && (y.k >= comfortable || y.k >= x.k) {
		return y, mag
	}
	return x, 1
}

// wellFilled is the scale beyond which words and symbols grow with the pipework.
const wellFilled = 1.9

// largely is from how large lettering on lines are drawn broader, too.
const largely = 1.45

// onto brings what is drawn onto the sheet, as large as it is to be.
func (p *picture) onto(s *draw.Sheet) {
	s.Shapes = slices.Grow(s.Shapes, len(p.s.Shapes))
	for _, sh := range p.s.Shapes {
		sh = draw.Scaled(sh, p.mag)
		if p.mag >= largely {
			sh = draw.Widened(sh)
		}
		s.Add(sh)
	}
	for i := range p.at {
		p.at[i] = p.at[i].Mul(p.mag)
	}
	p.s = s
}

// forFindings is the priority of the numbers of findings.
const forFindings = 8

// overview is the scale under which a riser shows the pipes and the names of the trunk only.
const overview = 0.4

// fewer keeps the labels of some priorities only: an overview has no room for others.
func (p *picture) fewer(priorities ...int) {
	var req []layout.Label
	var over []overlay
	for i, l := range p.req {
		if !slices.Contains(priorities, l.Priority) {
			continue
		}
		for _, o := range p.over {
			if o.label == i {
				o.label = len(req)
				over = append(over, o)
			}
		}
		if p.tiny {
			l.Reach = 40
		}
		req = append(req, l)
	}
	p.req, p.over, p.fits = req, over, nil
}

// manyLabels is the number from which labels are not led far from what they name.
const manyLabels = 400

// columnWidth is the width of the column of notes beside a riser.
func columnWidth(area draw.Rect) float64 {
	switch w := area.W(); {
	case w < 300:
		return 66
	case w < 450:
		return 88
	default:
		return 110 * lettered(w)
	}
}

// choose marks the edges that are shown.
func (m *model) choose() {
	g, n := m.g, m.r.Net
	m.show = g.desk.flags.take(len(g.edges))
	m.deg = make([]int16, len(g.nodes))
	onKept := g.desk.flags.take(len(g.nodes))
	for i := range n.Segs {
		if m.keep != nil && !m.keep[i] {
			continue
		}
		for _, e := range g.segEdges[i] {
			m.show[e] = true
			onKept[g.edges[e].a], onKept[g.edges[e].b] = true, true
		}
	}
	for v := range n.Vents {
		path := g.ventPath[v]
		if len(path) == 0 {
			continue
		}
		draws := m.keep == nil || onKept[path[0]]
		if t := n.Vents[v].Takes; m.keep != nil && len(t) > 0 && t[0].Seg != network.None {
			draws = m.keep[t[0].Seg] // where parts meet, it belongs to one
		}
		if !draws {
			// A vent that only collects is shown with what it collects.
			for _, f := range n.Vents[v].Feeds {
				if q := g.ventPath[f]; len(q) > 0 && onKept[q[0]] {
					draws = true
				}
			}
		}
		if draws {
			for _, e := range g.ventEdges[v] {
				m.show[e] = true
				onKept[g.edges[e].b] = true
			}
		}
	}
	for i := range g.edges {
		if m.show[i] {
			m.deg[g.edges[i].a]++
			m.deg[g.edges[i].b]++
		}
	}
}

// lay puts the nodes on paper, in the middle of a box.
func (p *picture) lay(box draw.Rect) {
	x, g := p.x, p.g
	b := x.bounds()
	shift := box.Centre().Sub(b.Centre().Mul(x.k))
	p.at = make([]draw.Point, len(g.nodes))
	p.depth = g.desk.numbers.take(len(g.nodes))
	for i := range g.nodes {
		if !x.inUse[i] {
			continue
		}
		e, n, u := x.place(int32(i))
		p.at[i] = project(e, n, u).Mul(x.k).Add(shift)
		p.depth[i] = e + n - u
	}
	x.shift = shift
	if x.together {
		p.nudge()
	}
}

// spot puts a place on the axes on paper.
func (p *picture) spot(e, n, u float64) draw.Point {
	return project(e, n, u).Mul(p.x.k).Add(p.x.shift)
}

// toward gives the direction on paper of a way in the house; the length is that of a unit
// along the axes.
func (p *picture) toward(w vec) draw.Point {
	t := turned(w, p.x.turn)
	return project(t[0], t[1], t[2])
}

// floors finds the outline of every floor, where pipe stands on it or goes through it. It
// is drawn by write, below everything, with gaps where words stand.
func (p *picture) floors() {
	x, n := p.x, p.r.Net
	for i, f := range x.floor {
		corners, ok := x.plate(i)
		if !ok {
			continue
		}
		c := make([]draw.Point, 4)
		for k := range c {
			c[k] = corners[k].Mul(x.k).Add(x.shift)
		}
		lv := &n.Job.Levels[f.level]
		id := p.ids.id("level " + lv.Name)
		p.plates = append(p.plates, draw.Polyline{Mark: draw.Mark{Layer: draw.LayerBuilding, ID: id, Title: "Floor: " + lv.Name}, Points: append(append([]draw.Point(nil), c...), c[0])})
		if lv.Slab.Set {
			p.slab(lv.Name, c)
		}
		words := upper(lv.Name)
		if !strings.Contains(words, "FLOOR") {
			words += " FLOOR"
		}
		if lv.Floor.Set {
			words += "  " + elevationWords(lv.Floor.V, p.sys)
		}
		// At the lowest corner, which faces the reader, or at one of the others.
		p.req = append(p.req, layout.Label{ID: id + ".label", Lines: []string{words}, Along: []draw.Point{c[0], c[1]}, Sides: []layout.Side{layout.Below}, Priority: 7, Soft: true, Gap: 0.9})
	}
}

// slab draws the edge of a slab under the two sides of its floor that face the reader, with
// earth below it.
func (p *picture) slab(name string, c []draw.Point) {
	const thick, earth, every = 1.3, 1.6, 9.0
	m := draw.Mark{Layer: draw.LayerBuilding}
	down := draw.Point{Y: thick}
	edge := []draw.Point{c[3], c[3].Add(down), c[0].Add(down), c[1].Add(down), c[1]}
	p.plates = append(p.plates, draw.Polyline{Mark: draw.Mark{Layer: draw.LayerBuilding, ID: p.ids.id("slab " + name), Title: "Slab: " + name}, Points: edge})
	for i := 2; i < 4; i++ {
		a, w := edge[i-1], edge[i].Sub(edge[i-1])
		for d := every / 2; d < w.Len()-2; d += every {
			for k := range 3 { // three strokes, as earth is hatched
				at := a.Add(w.Unit().Mul(d + 0.9*float64(k)))
				p.plates = append(p.plates, draw.Polyline{Mark: m, Points: []draw.Point{at, at.Add(draw.Point{X: -math.Copysign(earth*0.7, w.Y), Y: earth})}})
			}
		}
	}
}

// crossings finds where pipes pass each other on paper without meeting.
func (p *picture) crossings() {
	g := p.g
	var list []int32
	box := g.desk.rects.take(len(g.edges))
	for i := range g.edges {
		if !p.show[i] {
			continue
		}
		a, b := p.at[g.edges[i].a], p.at[g.edges[i].b]
		box[i] = draw.Rect{X0: min(a.X, b.X), Y0: min(a.Y, b.Y), X1: max(a.X, b.X), Y1: max(a.Y, b.Y)}
		list = append(list, int32(i))
	}
	sort.Slice(list, func(i, j int) bool {
		if box[list[i]].X0 != box[list[j]].X0 {
			return box[list[i]].X0 < box[list[j]].X0
		}
		return list[i] < list[j]
	})
	for k, i := range list {
		for _, j := range list[k+1:] {
			if box[j].X0 > box[i].X1 {
				break
			}
			if box[j].Y0 > box[i].Y1 || box[j].Y1 < box[i].Y0 {
				continue
			}
			e, f := &g.edges[i], &g.edges[j]
			if e.a == f.a || e.a == f.b || e.b == f.a || e.b == f.b {
				continue
			}
			at, t, u, ok := meet(p.at[e.a], p.at[e.b], p.at[f.a], p.at[f.b])
			if !ok {
				continue
			}
			de := p.depth[e.a] + (p.depth[e.b]-p.depth[e.a])*t
			df := p.depth[f.a] + (p.depth[f.b]-p.depth[f.a])*u
			if de > df {
				p.gaps[i] = append(p.gaps[i], at)
			} else {
				p.gaps[j] = append(p.gaps[j], at)
			}
		}
	}
}

// meet finds where two lines cross, well within both.
func meet(a, b, c, d draw.Point) (at draw.Point, t, u float64, ok bool) {
	r, s := b.Sub(a), d.Sub(c)
	den := r.X*s.Y - r.Y*s.X
	if math.Abs(den) < 1e-9 {
		return
	}
	q := c.Sub(a)
	t, u = (q.X*s.Y-q.Y*s.X)/den, (q.X*r.Y-q.Y*r.X)/den
	const eps = 1e-6
	if t <= eps || t >= 1-eps || u <= eps || u >= 1-eps {
		return
	}
	return a.Add(r.Mul(t)), t, u, true
}

// write adds the placed labels, their tags and balloons. With all set the picture is crammed,
// and nothing is written, where many labels would find no room.
func (p *picture) write(all bool) {
	obs := layout.NewObstacles()
	defer obs.Done()
	obs.AddShapes(p.s.Shapes, p.s.Fine)
	for _, l := range p.plates {
		for i := 1; i < len(l.Points); i++ {
			obs.AddOutline(l.Points[i-1], l.Points[i])
		}
	}
	for i := range p.g.edges {
		if e := &p.g.edges[i]; p.show[i] {
			of := 1 + len(p.r.Net.Runs) + int(e.vent)
			if e.seg != network.None {
				of = 1 + int(p.r.Net.Segs[e.seg].Run)
			}
			obs.AddOwned(p.at[e.a], p.at[e.b], of)
		}
	}
	if len(p.req) > manyLabels { // in a large building what has no room nearby is left to the schedules
		for i := range p.req {
			if p.req[i].Priority < 7 {
				p.req[i].Reach = 12
			}
		}
	}
	around := map[int]overlay{}
	for _, o := range p.over {
		around[o.label] = o
	}
	place := layout.Place
	if all {
		place = layout.PlaceAll
	}
	placed := place(p.req, obs, p.area)
	if p.crammed = placed == nil; p.crammed {
		return
	}
	p.placed = placed
	defer p.writePlates(placed)
	for i := range placed {
		q := &placed[i]
		if !q.OK {
			if !q.Label.Spare {
				p.dropped++
			}
			continue
		}
		o, has := around[i]
		if !has {
			p.s.Add(q.Shapes())
			continue
		}
		p.wrapped(q, o)
	}
}

// writePlates draws the floors below everything else, with gaps where words stand.
func (p *picture) writePlates(placed []layout.Placed) {
	below := make([]draw.Shape, 0, len(p.plates)+len(p.s.Shapes))
	boxes := make([]draw.Rect, 0, len(placed))
	for k := range placed {
		if placed[k].OK {
			boxes = append(boxes, placed[k].Box.Grow(0.7))
		}
	}
	var cuts []span
	for _, l := range p.plates {
		cuts = cuts[:0]
		d := 0.0
		for i := 1; i < len(l.Points); i++ {
			a, b := l.Points[i-1], l.Points[i]
			w := b.Sub(a)
			n := w.Len()
			x0, x1, y0, y1 := min(a.X, b.X), max(a.X, b.X), min(a.Y, b.Y), max(a.Y, b.Y)
			for k := range boxes {
				r := &boxes[k]
				if r.X0 > x1 || r.X1 < x0 || r.Y0 > y1 || r.Y1 < y0 {
					continue
				}
				if t0, t1, ok := r.Along(a, w); ok && t0 < t1 {
					cuts = append(cuts, span{d + t0*n, d + t1*n})
				}
			}
			d += n
		}
		if len(cuts) == 0 {
			below = append(below, l)
			continue
		}
		parts := cutLine(l.Points, cuts)
		if len(parts) == 1 {
			below = append(below, draw.Polyline{Mark: l.Mark, Points: parts[0]})
			continue
		}
		g := draw.Group{Mark: l.Mark}
		for _, q := range parts {
			g.Shapes = append(g.Shapes, draw.Polyline{Mark: draw.Mark{Layer: l.Layer}, Points: q})
		}
		below = append(below, g)
	}
	p.s.Shapes = append(below, p.s.Shapes...)
}

// wrapped draws a label in a balloon or a tag.
func (p *picture) wrapped(q *layout.Placed, o overlay) {
	g := q.Shapes()
	switch o.kind {
	case 'b':
		row := append([]balloon{{q.Label.Lines[0], o.id, o.title}}, o.more...)
		at := func(i int) draw.Point { return q.Label.Round(q.Box, i) }
		// A leader, or a short stroke to what is named beside it.
		m := draw.Mark{Layer: draw.LayerFinding, Pen: draw.Pen{Width: draw.Thin}}
		if n := len(q.Leader); n > 1 {
			tip, elbow := q.Leader[n-1], q.Leader[n-2]
			w := tip.Sub(elbow)
			c := at(0)
			if elbow.X > q.Box.X1 {
				c = at(len(row) - 1)
			}
			from := c.Add(draw.Point{X: math.Copysign(3.2, elbow.X-c.X)})
			p.s.Add(draw.Polyline{Mark: m, Points: []draw.Point{from, elbow, tip.Sub(w.Unit().Mul(1.4))}}, draw.Arrow(m, tip, w, 1.8))
		} else if len(q.Stroke) > 1 {
			p.s.Add(draw.Line{Mark: m, A: q.Stroke[0], B: q.Stroke[1]})
		}
		for i, b := range row {
			p.s.Add(symbol.Get("balloon").Put(draw.Mark{Layer: draw.LayerFinding, ID: b.id, Title: b.title}, draw.Upright(at(i)), b.number))
		}
	case 't':
		b := q.Box
		box := draw.Polygon{
			Mark: draw.Mark{Layer: draw.LayerSymbol, Pen: draw.Pen{Width: draw.Thin}}, Fill: draw.NoFill,
			Points: capsule(b),
		}
		g.Shapes = append(g.Shapes, box)
		p.s.Add(g)
	}
}

// capsule is the outline of a tag: a box with its corners cut.
func capsule(b draw.Rect) []draw.Point {
	const c = 0.9
	return []draw.Point{{X: b.X0 + c, Y: b.Y0}, {X: b.X1 - c, Y: b.Y0}, {X: b.X1, Y: b.Y0 + c}, {X: b.X1, Y: b.Y1 - c}, {X: b.X1 - c, Y: b.Y1}, {X: b.X0 + c, Y: b.Y1}, {X: b.X0, Y: b.Y1 - c}, {X: b.X0, Y: b.Y0 + c}}
}

// number takes the findings that are drawn as balloons: faults and warnings, in the order
// of the report.
func (p *picture) number() {
	for _, d := range p.r.Findings {
		if d.Severity == diag.Error || d.Severity == diag.Warning {
			p.list = append(p.list, d)
		}
	}
}

func numberWords(i int) string { return strconv.Itoa(i + 1) }
