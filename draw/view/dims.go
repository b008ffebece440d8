package view

import (
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"trapweir/draw"
	"trapweir/draw/layout"
	"trapweir/engine/elevation"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// stub is a point that the crew sets out: where pipe comes up through the floor, or the
// upper end of a fixture's pipe.
type stub struct {
	tag, name string
	at        [2]float64  // feet, as the plan has it
	x, y      unit.Length // east and north of the outlet; not of a schematic plan
	invert    string
	order     network.RunID
}

// base is what stubs are measured from along one axis: a wall, or the point where the
// building drain ends.
type base struct {
	wall  bool
	name  string
	place unit.Length // east or north of the outlet
}

// bases picks what is measured from: x along east and west, y along north and south.
func (p *plan) bases() {
	zx, zy := p.zero()
	p.start = "where the building drain ends"
	if q := (draw.Rect{X0: feet(zx), Y0: feet(zy), X1: feet(zx), Y1: feet(zy)}); !p.box.Contains(q) {
		// On an upper floor: a stack that goes through it.
		if s := p.stackHere(); s != network.None {
			u := p.r.Levels.PlanUp[s]
			zx, zy, p.start = u.X, u.Y, "the centre of "+p.r.Net.RunOf(s).Name
		}
	}
	p.zx, p.zy = zx, zy
	p.from = [2]base{{name: "the reference", place: zx}, {name: "the reference", place: zy}}
	for _, w := range p.r.Levels.Walls {
		k := 1
		if w.NorthSouth() {
			k = 0
		}
		if !p.from[k].wall {
			p.from[k] = base{true, wallName(w.Name), w.Place}
		}
	}
	if p.onReference() && !p.schematic {
		// What is measured from is on the paper.
		p.box = p.box.Union(draw.Rect{X0: feet(zx), Y0: feet(zy), X1: feet(zx), Y1: feet(zy)}.Grow(1.2))
	}
}

// wallName is a wall's name as it stands after "from": "the south wall".
func wallName(s string) string {
	if !strings.Contains(strings.ToLower(s), "wall") {
		s += " wall"
	}
	return "the " + s
}

// onReference tells whether anything is measured from the reference point.
func (p *plan) onReference() bool { return !p.from[0].wall || !p.from[1].wall }

// stackHere is the stack that most drains into within the plan, or None.
func (p *plan) stackHere() network.SegID {
	n := p.r.Net
	best := network.SegID(network.None)
	for i := range n.Segs {
		s := network.SegID(i)
		q := draw.Rect{X0: p.up[i][0], Y0: p.up[i][1], X1: p.up[i][0], Y1: p.up[i][1]}
		if n.Segs[i].Role != network.Stack || n.Segs[i].Lie != network.Upright || !p.box.Contains(q) {
			continue
		}
		if best == network.None || p.r.Loads.Units[s] > p.r.Loads.Units[best] {
			best = s
		}
	}
	return best
}

// zero is the point where the building drain ends, east and north of the outlet.
func (p *plan) zero() (x, y unit.Length) {
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
	q := p.r.Levels.PlanLow[best]
	if best == p.cut {
		q = p.r.Levels.PlanUp[best]
	}
	return q.X, q.Y
}

// stubOf is where the pipe of a fixture is set out: its first drop, else its upper end.
// foot is the level pipe that begins there, or None.
func (p *plan) stubOf(f *network.Fixture) (at, foot network.SegID) {
	n := p.r.Net
	segs := n.Runs[f.Run].Segs
	for k, s := range segs {
		if n.Segs[s].Lie != network.Upright || n.Segs[s].Way.Plumb != 0 {
			continue
		}
		if k+1 < len(segs) {
			return s, segs[k+1]
		}
		return s, network.None
	}
	return f.Seg, f.Seg
}

// gather finds the stubs, in the order of the runs.
func (p *plan) gather() {
	n := p.r.Net
	for i := range n.Segs {
		if _, above := p.rises(network.SegID(i)); above {
			run := n.RunOf(network.SegID(i))
			tag := upper(run.Name)
			if run.Fixture != network.None {
				tag = p.tags[run.Fixture]
			}
			p.setOut(tag, run.Name, network.SegID(i), n.Segs[i].Down)
		}
	}
	for _, i := range inOrder(n) {
		if f := &n.Fixtures[i]; p.on[f.Seg] {
			at, foot := p.stubOf(f)
			p.setOut(p.tags[i], n.Runs[f.Run].Name, at, foot)
		}
	}
	sort.SliceStable(p.stubs, func(i, j int) bool { return p.stubs[i].order < p.stubs[j].order })
}

// setOut notes a stub at the upper end of segment at.
func (p *plan) setOut(tag, name string, at, foot network.SegID) {
	l := p.r.Levels
	t := stub{tag: tag, name: name, at: p.up[at], x: l.PlanUp[at].X, y: l.PlanUp[at].Y, order: p.r.Net.Segs[at].Run}
	switch {
	case foot != network.None:
		if h := l.InvertUp[foot]; h.Known {
			t.invert = heightWords(h.V, p.sys)
		}
	case l.InvertLow[at].Known: // it drops right into the drain
		t.invert = heightWords(l.InvertLow[at].V, p.sys)
	}
	p.stubs = append(p.stubs, t)
}

// reference marks the point that stubs are measured from where no wall is.
func (p *plan) reference() {
	if p.schematic || !p.onReference() {
		return
	}
	at := p.at([2]float64{feet(p.zx), feet(p.zy)})
	if !p.area.Contains(draw.Rect{X0: at.X, Y0: at.Y, X1: at.X, Y1: at.Y}.Grow(4)) {
		return
	}
	m := draw.Mark{Layer: draw.LayerDimension}
	p.s.Add(draw.Group{Mark: draw.Mark{Layer: draw.LayerDimension, ID: "reference", Title: "Stubs are measured from here"}, Shapes: []draw.Shape{
		draw.Line{Mark: m, A: draw.Point{X: at.X - 4, Y: at.Y}, B: draw.Point{X: at.X + 4, Y: at.Y}},
		draw.Line{Mark: m, A: draw.Point{X: at.X, Y: at.Y - 4}, B: draw.Point{X: at.X, Y: at.Y + 4}},
		draw.Circle{Mark: m, C: at, R: 2.4},
	}})
	p.req = append(p.req, layout.Label{ID: "reference.label", Lines: []string{"REFERENCE"}, At: at, Half: 4, Priority: 5})
}

// walls draws the faces: a line across the plan, hatched on the far side.
func (p *plan) walls() {
	if p.schematic {
		return
	}
	m := draw.Mark{Layer: draw.LayerBuilding}
	for i, w := range p.r.Levels.Walls {
		a, b := draw.Point{X: p.rail[0].lo, Y: 0}, draw.Point{X: p.rail[0].hi, Y: 0}
		out := p.turned(map[int16]draw.Point{0: {Y: -1}, 90: {X: 1}, 180: {Y: 1}, 270: {X: -1}}[w.Side])
		c := p.at([2]float64{feet(w.Place), feet(w.Place)})
		if math.Abs(out.X) > 0.5 { // it stands up and down the paper
			a, b = draw.Point{X: c.X, Y: p.rail[1].lo}, draw.Point{X: c.X, Y: p.rail[1].hi}
		} else {
			a.Y, b.Y = c.Y, c.Y
		}
		g := draw.Group{Mark: draw.Mark{Layer: draw.LayerBuilding, ID: p.ids.id("wall " + w.Name), Title: w.Name}}
		g.Shapes = append(g.Shapes, draw.Line{Mark: draw.Mark{Layer: draw.LayerBuilding, Pen: draw.Pen{Width: draw.Medium}}, A: a, B: b})
		dir, length := b.Sub(a).Unit(), b.Sub(a).Len()
		for t := 2.0; t < length; t += 3 {
			q := a.Add(dir.Mul(t))
			g.Shapes = append(g.Shapes, draw.Line{Mark: m, A: q, B: q.Add(out.Mul(1.6)).Sub(dir.Mul(1.6))})
		}
		p.s.Add(g)
		p.faces = append(p.faces, [2]draw.Point{a.Add(out.Mul(0.6)), b.Add(out.Mul(0.6))})
		far := b.Add(out.Mul(60))
		p.behind = append(p.behind, draw.Rect{X0: min(a.X, far.X), Y0: min(a.Y, far.Y), X1: max(a.X, far.X), Y1: max(a.Y, far.Y)})
		side := [4]layout.Side{layout.Above, layout.RightOf, layout.Below, layout.LeftOf}[(int(w.Side)/90+p.turn)%4]
		p.req = append(p.req, layout.Label{ID: p.ids.id("wall " + w.Name + ".label"), Lines: []string{upper(strings.TrimPrefix(wallName(w.Name), "the "))}, Along: []draw.Point{a, b}, Half: 2, Sides: []layout.Side{side}, Priority: 1 - min(i, 1), Soft: true})
	}
}

// wholeWords is a length as lengthWords has it, in metric always in whole millimetres: 18000 mm.
func wholeWords(l unit.Length, sys unit.System) string {
	if sys == unit.Metric {
		return strconv.FormatInt(int64(l.Round(unit.Millimetre)/unit.Millimetre), 10) + " mm"
	}
	return lengthWords(l, sys)
}

// heightWords is a height with its sign, in sixteenths of an inch as the falls are told, in
// metric in whole millimetres; 0 has none.
func heightWords(l unit.Length, sys unit.System) string {
	w := wholeWords(l, sys)
	if sys != unit.Metric {
		w = inchWords(l, 16)
	}
	switch {
	case w == "0 mm" || w == `0"` || w == "-0 mm" || w == `-0"`:
		return "0"
	case l > 0:
		return "+" + w
	}
	return w
}

// rail is a dimension line beside the plan on which every stub has its mark; the figures
// run from one end, so that no reading error adds to another (running dimensions of
// ISO 129-1, from memory).
type rail struct {
	at     float64 // across: y of the one below the plan, x of the one at its left
	lo, hi float64 // along, how far walls reach
}

// railRoom is what the two rails take, with their figures, millimetres.
const (
	railRoom = 27.0
	railGap  = 11.0 // between the plan and its rail
	railDeep = 21.0 // from a rail to the ends of its figures
)

// compassRoom is what the compass takes of the upper left corner, across and down.
const compassRoom = 22.0

// rails places the dimension lines, once scale and field are known.
func (p *plan) rails() {
	q, t := p.at([2]float64{p.box.X0, p.box.Y0}), p.at([2]float64{p.box.X1, p.box.Y1})
	b := draw.Rect{X0: min(q.X, t.X), Y0: min(q.Y, t.Y), X1: max(q.X, t.X), Y1: max(q.Y, t.Y)}
	p.rail[0] = rail{at: min(b.Y1+railGap, p.area.Y1-railDeep), lo: b.X0, hi: b.X1}
	p.rail[1] = rail{at: max(b.X0-railGap, p.area.X0+railDeep), lo: b.Y0, hi: b.Y1}
}

// mark is one figure on a rail.
type mark struct {
	v    unit.Length
	on   float64 // place along the rail on paper
	from float64 // where the line out to the stub farthest off begins
	base bool    // no stub, only what is measured from
}

// marks gathers the figures of the rail h.
func (p *plan) marks(h int) []mark {
	var out []mark
	for i := range p.stubs {
		t := &p.stubs[i]
		v, q := t.x, p.at(t.at)
		if p.axisOn(h) == 1 {
			v = t.y
		}
		on, from := q.X, q.Y+1.9
		if h == 1 {
			on, from = q.Y, q.X-1.9
		}
		found := false
		for k := range out {
			if d := out[k].v - v; d < unit.Inch/16 && d > -unit.Inch/16 {
				if h == 0 {
					out[k].from = min(out[k].from, from)
				} else {
					out[k].from = max(out[k].from, from)
				}
				found = true
			}
		}
		if !found {
			out = append(out, mark{v: v, on: on, from: from})
		}
	}
	base := &p.from[p.axisOn(h)]
	if !slices.ContainsFunc(out, func(k mark) bool { return k.v == base.place }) {
		f := feet(base.place)
		q := p.at([2]float64{f, f})
		out = append(out, mark{v: base.place, on: [2]float64{q.X, q.Y}[h], base: true})
	}
	sort.Slice(out, func(i, j int) bool { return out[i].on < out[j].on })
	return out
}

// measure writes a place along an axis from its base.
func (p *plan) measure(axis int, v unit.Length) string {
	v -= p.from[axis].place
	if v == 0 {
		return "0"
	}
	w := strings.TrimSuffix(wholeWords(max(v, -v), p.sys), " mm") // a note says what they are in
	if p.from[axis].wall && !p.across(axis) {
		return w
	}
	return [2][2]string{{"W", "E"}, {"S", "N"}}[axis][map[bool]int{false: 0, true: 1}[v > 0]] + " " + w
}

// across tells that stubs lie on both sides of what they are measured from, so that
// figures need their direction.
func (p *plan) across(axis int) bool {
	less, more := false, false
	for i := range p.stubs {
		v := p.stubs[i].x
		if axis == 1 {
			v = p.stubs[i].y
		}
		less, more = less || v < p.from[axis].place, more || v > p.from[axis].place
	}
	return less && more
}

// dimensions draws both rails; the lines out to the stubs are cut later, when the labels
// have their places.
func (p *plan) dimensions() {
	if p.schematic || len(p.stubs) == 0 {
		return
	}
	// Clear of what fixtures reach beyond their pipes.
	for _, sh := range p.s.Shapes {
		if ref, ok := sh.(draw.SymbolRef); ok && ref.Layer == draw.LayerFixture {
			b, _ := draw.Bounds(ref)
			p.rail[0].at = min(max(p.rail[0].at, b.Y1+3), p.area.Y1-railDeep)
			p.rail[1].at = max(min(p.rail[1].at, b.X0-3), p.area.X0+railDeep)
		}
	}
	for h := range 2 {
		p.dimension(h)
	}
}

// dimension draws the rail h with its figures.
func (p *plan) dimension(h int) {
	const size = draw.SmallestText
	list, axis := p.marks(h), p.axisOn(h)
	at := p.rail[h].at
	f := feet(p.from[axis].place)
	zero := p.at([2]float64{f, f})
	start := zero.X
	if h == 1 {
		start = zero.Y
	}
	// pt is a point by its places along and off the rail, outward.
	pt := func(on, off float64) draw.Point {
		if h == 0 {
			return draw.Point{X: on, Y: at + off}
		}
		return draw.Point{X: at - off, Y: on}
	}
	lo, hi := start, start
	spread := make([]float64, len(list))
	for i := range list {
		lo, hi = min(lo, list[i].on), max(hi, list[i].on)
		spread[i] = list[i].on
	}
	if h == 0 {
		spreadOut(spread, 4, p.area.X0+2, p.area.X1-2)
	} else {
		top := p.area.Y0 + 2
		if at-railDeep < p.area.X0+compassRoom {
			top = p.area.Y0 + compassRoom
		}
		spreadOut(spread, 4, top, p.area.Y1-2)
	}
	thin := draw.Mark{Layer: draw.LayerDimension}
	g := draw.Group{Mark: draw.Mark{Layer: draw.LayerDimension, ID: [2]string{"dimensions east-west", "dimensions north-south"}[axis], Title: "Stubs from " + p.from[axis].name}}
	add := func(s ...draw.Shape) { g.Shapes = append(g.Shapes, s...) }
	add(draw.Line{Mark: thin, A: pt(lo, 0), B: pt(hi, 0)}, draw.Circle{Mark: thin, C: pt(start, 0), R: 0.9, Fill: draw.FillPaper})
	for i := range list {
		k := &list[i]
		x := pt(k.on, 0)
		if k.v != p.from[axis].place {
			slash := draw.Point{X: 0.85, Y: -0.85}
			add(draw.Line{Mark: draw.Mark{Layer: draw.LayerDimension, Pen: draw.Pen{Width: draw.Bold}}, A: x.Sub(slash), B: x.Add(slash)})
		}
		add(draw.Polyline{Mark: draw.Mark{Layer: draw.LayerDimension, Pen: draw.Pen{Width: draw.Hair}}, Points: []draw.Point{pt(k.on, 0), pt(k.on, 1.4), pt(spread[i], 4.2), pt(spread[i], 5)}})
		t := draw.Text{Mark: thin, At: pt(spread[i], 6), Words: p.measure(axis, k.v), Align: draw.Right, VAlign: draw.AtMiddle}
		if h == 0 {
			t.At.X += size / 2
			t.VAlign, t.Turn = draw.OnBaseline, -90
		}
		add(t)
		if k.base {
			continue
		}
		a := pt(k.on, 0)
		b := draw.Point{X: k.on, Y: k.from}
		if h == 1 {
			b = draw.Point{X: k.from, Y: k.on}
		}
		p.ext = append(p.ext, [2]draw.Point{b, a})
	}
	if p.from[axis].wall { // out to the wall's line
		a, b := pt(start, 0), draw.Point{X: start, Y: p.rail[1].hi}
		if h == 1 {
			b = draw.Point{X: p.rail[0].lo, Y: start}
		}
		p.ext = append(p.ext, [2]draw.Point{b, a})
	} else if q := p.at([2]float64{feet(p.from[0].place), feet(p.from[1].place)}); !p.from[0].wall && !p.from[1].wall {
		b := draw.Point{X: q.X, Y: q.Y + 4.5}
		if h == 1 {
			b = draw.Point{X: q.X - 4.5, Y: q.Y}
		}
		p.ext = append(p.ext, [2]draw.Point{b, pt(start, 0)})
	}
	p.s.Add(g)
	words, sides := "FROM "+upper(p.from[axis].name), []layout.Side{layout.Above, layout.Below}
	if h == 1 {
		sides = []layout.Side{layout.RightOf, layout.LeftOf}
	}
	p.req = append(p.req, layout.Label{ID: p.ids.id("dimensions.label"), Lines: []string{words}, Along: []draw.Point{pt(lo, 0), pt(hi, 0)}, Half: 1.2, Sides: sides, Priority: 4, Soft: true})
}

// extensions draws the lines from the rails to the stubs, open where words stand and where
// they would run along a pipe.
func (p *plan) extensions() {
	var boxes []draw.Rect
	var pipes [][2]draw.Point
	draw.Walk(p.s.Shapes, func(sh draw.Shape, _ *draw.SymbolRef) {
		switch t := sh.(type) {
		case draw.Text:
			b, _ := draw.Bounds(t)
			if p.area.Overlaps(b) {
				boxes = append(boxes, b.Grow(0.9))
			}
		case draw.Polyline:
			if t.Layer.IsPipe() {
				for i := 1; i < len(t.Points); i++ {
					pipes = append(pipes, [2]draw.Point{t.Points[i-1], t.Points[i]})
				}
			}
		}
	})
	m := draw.Mark{Layer: draw.LayerDimension, Pen: draw.Pen{Width: draw.Hair}}
	for _, e := range p.ext {
		a, b := e[0], e[1]
		length := b.Sub(a).Len()
		if length < 1 {
			continue
		}
		upright := math.Abs(a.X-b.X) < 0.01
		// along is where something begins and ends on the way from a to b.
		var cuts [][2]float64
		along := func(r draw.Rect) {
			lo, hi := r.X0, r.X1
			s, way := a.X, b.X-a.X
			if upright {
				lo, hi, s, way = r.Y0, r.Y1, a.Y, b.Y-a.Y
			}
			if way < 0 {
				lo, hi = s-hi, s-lo
			} else {
				lo, hi = lo-s, hi-s
			}
			cuts = append(cuts, [2]float64{max(lo, 0), min(hi, length)})
		}
		for _, r := range boxes {
			if upright && r.X0 < a.X && a.X < r.X1 || !upright && r.Y0 < a.Y && a.Y < r.Y1 {
				along(r)
			}
		}
		for _, q := range pipes {
			r := draw.Rect{X0: min(q[0].X, q[1].X), Y0: min(q[0].Y, q[1].Y), X1: max(q[0].X, q[1].X), Y1: max(q[0].Y, q[1].Y)}.Grow(0.7)
			if upright && r.W() < 1.6 && r.H() > 3 && r.X0 < a.X && a.X < r.X1 || !upright && r.H() < 1.6 && r.W() > 3 && r.Y0 < a.Y && a.Y < r.Y1 {
				along(r)
			}
		}
		sort.Slice(cuts, func(i, j int) bool { return cuts[i][0] < cuts[j][0] })
		dir := b.Sub(a).Unit()
		from := 0.0
		piece := func(to float64) {
			if to-from > 0.8 {
				p.s.Add(draw.Line{Mark: m, A: a.Add(dir.Mul(from)), B: a.Add(dir.Mul(to))})
			}
		}
		for _, c := range cuts {
			if c[1] <= c[0] {
				continue
			}
			piece(c[0])
			from = max(from, c[1])
		}
		piece(length)
	}
}

// measured says in a sentence what stubs are measured from.
func (p *plan) measured() string {
	if p.sys == unit.Metric {
		return p.measuredFrom() + " Dimensions are in millimetres."
	}
	return p.measuredFrom()
}

// measuredBriefly is measured for a full column.
func (p *plan) measuredBriefly() string {
	w := "To centres of pipe: E-W from " + p.from[0].name + ", N-S from " + p.from[1].name
	switch {
	case !p.from[0].wall && !p.from[1].wall:
		w = "The job gives no walls: to centres of pipe from the reference, " + p.start
	case p.onReference():
		w += " (" + p.start + ")"
	}
	if p.sys == unit.Metric {
		w += ", in millimetres"
	}
	return w + "; do not add figures up."
}

func (p *plan) measuredFrom() string {
	a, b := &p.from[0], &p.from[1]
	switch {
	case a.wall && b.wall:
		return "Stubs are measured to the centre of the pipe: E-W from " + a.name + ", N-S from " + b.name + ". The figures run from the wall; do not add them up."
	case a.wall:
		return "Stubs are measured to the centre of the pipe: E-W from " + a.name + ", N-S from the reference, " + p.start + ". The job gives no wall that runs east and west."
	case b.wall:
		return "Stubs are measured to the centre of the pipe: N-S from " + b.name + ", E-W from the reference, " + p.start + ". The job gives no wall that runs north and south."
	}
	return "The job gives no walls: stubs are measured to the centre of the pipe from the reference, " + p.start + ". Set out from the walls by the plans of the house."
}

// reach is a point of a wall beside the middle of the plan.
func (p *plan) reach(w *elevation.Wall) (q [2]float64) {
	c := [2]float64{(p.box.X0 + p.box.X1) / 2, (p.box.Y0 + p.box.Y1) / 2}
	if w.NorthSouth() {
		return [2]float64{feet(w.Place), c[1]}
	}
	return [2]float64{c[0], feet(w.Place)}
}

// barOf gives the parts of a scale bar at k millimetres for a foot, each at least least
// millimetres long: its length on paper, what it is worth, and in what.
func barOf(k, least float64, sys unit.System) (part, worth float64, word string) {
	unitMM, word := k, "ft"
	steps := []float64{0.25, 0.5, 1, 2, 5, 10, 20, 50, 100, 200}
	if sys == unit.Metric {
		unitMM, word = k/0.3048, "m"
		steps = append([]float64{0.1}, steps...)
	}
	for _, f := range steps {
		if f*unitMM >= least {
			return f * unitMM, f, word
		}
	}
	return 500 * unitMM, 500, word
}
