package view

import (
	"math"
	"strings"

	"trapweir/draw"
	"trapweir/draw/layout"
	"trapweir/draw/symbol"
	"trapweir/draw/textwidth"
	"trapweir/engine/job"
	"trapweir/engine/network"
)

// put places a symbol and gives its box.
func (p *picture) put(name string, m draw.Mark, at draw.Placement, words ...string) draw.Rect {
	ref := symbol.Get(name).Put(m, at, words...)
	p.s.Add(ref)
	b, _ := draw.Bounds(ref)
	return b
}

// level gives a direction on paper for symbols that stand on a level pipe: unit length,
// and never so steep that the symbol would fold up.
func (p *picture) level(w vec) draw.Point {
	f, ok := w.flat()
	if !ok {
		return draw.Point{X: 1}
	}
	d := p.toward(f)
	if math.Abs(d.X) < 0.5 {
		return draw.Point{X: sign(d.X)}
	}
	return d.Unit()
}

// ends draws what closes the vents, the outlet and the places where a part is cut off.
func (p *picture) ends() {
	g, n := p.g, p.r.Net
	p.usualRoof()
	for v := range n.Vents {
		x := &n.Vents[v]
		path := g.ventPath[v]
		if len(path) < 2 {
			continue
		}
		end := path[len(path)-1]
		if !p.x.inUse[end] {
			continue
		}
		last := &g.edges[g.ventEdges[v][len(path)-2]]
		l := p.ventLook(x)
		m := draw.Mark{Layer: draw.Services[l.service].Layer, Pen: l.pen, ID: p.ids.id(x.Name + ".end")}
		at := p.at[end]
		var box draw.Rect
		var words []string
		switch x.End {
		case network.ThroughRoof:
			p.put("vent-through-roof", m, draw.Upright(at.Add(draw.Point{Y: -6 * p.sym})).Scaled(p.sym))
			words = []string{sizeWords(p.r.Vents.Size[v].Size) + " VTR"}
			if t := x.Def.Terminal; t.AboveRoof.Set && p.roof == 0 {
				words = append(words, lengthWords(t.AboveRoof.V, p.sys)+" ABOVE ROOF")
			}
		case network.AirAdmittanceValve:
			box = p.put("air-admittance-valve", m, draw.Upright(at).Scaled(p.sym))
			words = []string{"AAV"}
		case network.Capped:
			u := p.toward(last.way)
			box = p.put("capped-end", m, draw.Placement{At: at, U: u, V: draw.Point{X: u.Y, Y: -u.X}}.Scaled(p.sym))
			words = []string{"CAPPED"}
		case network.SideWall:
			u := p.toward(last.way).Unit()
			box = p.put("capped-end", m, draw.Placement{At: at, U: u, V: draw.Point{X: u.Y, Y: -u.X}}.Scaled(p.sym))
			words = []string{"SIDE WALL", "TERMINAL"}
		case network.EndUnknown:
			u := p.toward(last.way).Unit()
			box = p.put("break-mark", m, draw.Placement{At: at.Add(u.Mul(0.9 * p.sym)), U: u, V: draw.Point{X: u.Y, Y: -u.X}}.Scaled(p.sym), "")
			words = []string{"END OF VENT", "NOT GIVEN"}
		default:
			continue
		}
		if x.End == network.ThroughRoof { // beside the pipe above the roof
			tip := draw.Point{X: at.X, Y: at.Y - 11.5*p.sym}
			p.req = append(p.req, layout.Label{ID: m.ID + ".label", Lines: words, At: tip, Half: 1.4 * p.sym, Priority: 4, Sides: []layout.Side{layout.RightOf, layout.LeftOf, layout.AboveRight, layout.AboveLeft}})
			continue
		}
		p.tag(m.ID+".label", words, box, 4, false)
	}
	p.outlet()
	p.cutEnds()
}

// usualRoof finds the height above the roof that all terminals have, if they have one.
func (p *picture) usualRoof() {
	for i := range p.r.Net.Vents {
		x := &p.r.Net.Vents[i]
		if x.End != network.ThroughRoof {
			continue
		}
		if h := x.Def.Terminal.AboveRoof; !h.Set || p.roof != 0 && h.V != p.roof {
			p.roof = 0
			return
		} else {
			p.roof = h.V
		}
	}
}

// tag asks for a label beside a symbol; framed puts it into a frame.
func (p *picture) tag(id string, lines []string, box draw.Rect, priority int, framed bool, sides ...layout.Side) {
	l := layout.Label{ID: id, Lines: lines, At: box.Centre(), Half: max(box.W(), box.H()) / 2, Priority: priority, Sides: sides}
	if framed {
		l.Weight, l.Pad, l.Gap = textwidth.Bold, 0.7, 1.0
		p.over = append(p.over, overlay{label: len(p.req), kind: 't'})
	}
	p.req = append(p.req, l)
}

// outletArrow is the length of the arrow at the outlet.
const outletArrow = 4.6

func (p *picture) outlet() {
	n, g := p.r.Net, p.g
	s := n.Outlet
	if s == network.None || !p.kept(s) {
		return
	}
	at := p.at[g.lower[s]]
	list := g.segEdges[s]
	u := p.toward(g.edges[list[0]].way).Unit()
	m := draw.Mark{Layer: draw.LayerSymbol, ID: p.ids.id("outlet"), Title: "Point of disposal"}
	grp := draw.Group{Mark: m, Shapes: []draw.Shape{
		draw.Arrow(draw.Mark{Layer: draw.LayerSymbol}, at.Add(u.Mul(outletArrow)), u, outletArrow),
	}}
	p.s.Add(grp)
	units, closets, _ := totals(p.r)
	lines := []string{upper(outletWords(p.r))}
	if o := n.Job.Outlet; o.Invert.Set {
		lines = append(lines, "IE "+elevationWords(o.Invert.V, p.sys))
	}
	lines = append(lines, strings.ToUpper(units+" "+unitWord(p.r.Loads.Units[s]))+", "+countWords(closets, "WC", "WC"))
	b := draw.Rect{X0: at.X - 1, Y0: at.Y - 1, X1: at.X + 1, Y1: at.Y + 1}
	b = b.Union(draw.Rect{X0: at.X + u.X*outletArrow, Y0: at.Y + u.Y*outletArrow, X1: at.X + u.X*outletArrow, Y1: at.Y + u.Y*outletArrow})
	l := layout.Label{ID: "outlet.label", Lines: lines, At: b.Centre(), Half: 3, Priority: 9, Weight: textwidth.Bold}
	p.req = append(p.req, l)
}

// cutEnds marks where a shown part goes on in one that is not shown.
func (p *picture) cutEnds() {
	n, g := p.r.Net, p.g
	if p.keep == nil {
		return
	}
	for i := range n.Segs {
		s := &n.Segs[i]
		d := s.Down
		down := d != network.None && p.keep[i] && !p.keep[d]
		upward := d != network.None && !p.keep[i] && p.keep[d]
		if !down && !upward {
			continue
		}
		other := n.Runs[n.Segs[i].Run].Name
		way := g.flow[i]
		at := g.lower[i]
		if down {
			other = n.Runs[n.Segs[d].Run].Name
			if other == n.Runs[s.Run].Name {
				other += ", on"
			}
		} else {
			way = way.mul(-1)
			if n.Segs[i].Run == n.Segs[d].Run {
				other += ", above"
			}
		}
		u := p.toward(way).Unit()
		m := draw.Mark{Layer: draw.LayerSymbol, ID: p.ids.id("cut " + other), Title: "Goes on: " + other}
		from := p.at[at]
		if upward { // a short stub, so that it is seen where it comes in
			p.s.Add(draw.Line{Mark: draw.Mark{Layer: draw.LayerDrain}, A: from, B: from.Add(u.Mul(5))})
			from = from.Add(u.Mul(5))
		}
		box := p.put("break-mark", m, draw.Placement{At: from.Add(u.Mul(0.9)), U: u, V: draw.Point{X: u.Y, Y: -u.X}}, "")
		word := "FROM "
		if down {
			word = "TO "
		}
		lines := []string{word + upper(other)}
		priority := 3
		if c, ok := p.marks[network.SegID(i)]; ok {
			sheet := c.up
			if down {
				sheet = c.down
			}
			lines = append([]string{"MATCH " + c.letter + ", " + sheet}, lines...)
			priority = 6
		}
		p.tag(m.ID+".label", lines, box, priority, false)
	}
	p.cutVents()
}

// cutVents marks vents that go on into one that is not shown.
func (p *picture) cutVents() {
	n, g := p.r.Net, p.g
	for v := range n.Vents {
		x := &n.Vents[v]
		list := g.ventEdges[v]
		if x.End != network.JoinsVent || len(list) == 0 || !p.show[list[0]] || len(g.ventEdges[x.Into]) == 0 || p.show[g.ventEdges[x.Into][0]] {
			continue
		}
		last := &g.edges[list[len(list)-1]]
		u := p.toward(last.way).Unit()
		other := n.Vents[x.Into].Name
		m := draw.Mark{Layer: draw.LayerSymbol, ID: p.ids.id("cut " + x.Name), Title: "Goes on: " + other}
		box := p.put("break-mark", m, draw.Placement{At: p.at[last.b].Add(u.Mul(0.9)), U: u, V: draw.Point{X: u.Y, Y: -u.X}}, "")
		p.tag(m.ID+".label", []string{"TO " + upper(other)}, box, 3, false)
	}
}

// fixtures draws the traps with what stands on them, parts that are not drawn, and basins.
func (p *picture) fixtures() {
	g, n := p.g, p.r.Net
	for i := range n.Fixtures {
		f := &n.Fixtures[i]
		if !p.kept(f.Seg) {
			continue
		}
		run := &n.Runs[f.Run]
		at := p.at[g.upper[f.Seg]]
		flow := g.flow[f.Seg]
		upright := flow.upright()
		u := p.level(flow)
		if upright {
			u = p.level(g.foot(f.Seg))
		}
		k := p.sym
		v := draw.Point{Y: -1}
		l := p.drainLook(run)
		layer := draw.Services[l.service].Layer
		if layer == draw.LayerDrainBelow {
			layer = draw.LayerDrain // the trap is seen, also where the pipe is not
		}
		m := draw.Mark{Layer: layer, ID: p.ids.id(run.Name + ".trap"), Title: p.tags[i] + ": " + f.Kind.Name + ", " + run.Name}
		in := draw.Placement{At: at, U: u, V: v}.Scaled(k)
		var box draw.Rect
		head := draw.Point{} // where the fixture stands on its trap
		top := byte('s')
		switch {
		case f.Kind.Has("water closet") && upright:
			box = p.put("closet-flange", m, draw.Upright(at).Scaled(k))
			top = 0
		case f.Kind.Has("water closet"):
			box = p.put("closet-bend", m, draw.Placement{At: in.Map(-2.5, 5), U: in.U, V: in.V})
			top = 0
		case f.Kind.Symbol == "floor-drain" || f.Kind.Symbol == "floor-sink":
			box = p.put("p-trap", m, in)
			head = in.Map(-5.75, 5)
			b := p.grate(m.ID, head, k)
			box = box.Union(b)
			top = 0
		case f.Def.TrapType.Text == "none":
			head = at
			box = draw.Rect{X0: at.X - 1, Y0: at.Y - 1, X1: at.X + 1, Y1: at.Y + 1}
		default:
			box = p.put("p-trap", m, in)
			head = in.Map(-5.75, 5)
		}
		if f.Kind.Has("standpipe") && top != 0 {
			b := p.put("standpipe", draw.Mark{Layer: layer, ID: m.ID + ".standpipe"}, draw.Upright(head).Scaled(k*0.8))
			box = box.Union(b)
			top = 0
		}
		if top != 0 {
			s := p.cup(f, head, k)
			p.s.Add(s)
			b, _ := draw.Bounds(s)
			box = box.Union(b)
		}
		lines := []string{p.tags[i]}
		p.tag(m.ID+".tag", lines, draw.Rect{X0: box.X0, Y0: box.Y0, X1: box.X1, Y1: box.Y0 + 1}, 6, true, layout.Above, layout.AboveRight, layout.AboveLeft, layout.LeftOf, layout.RightOf)
	}
	for i := range n.Runs {
		run := &n.Runs[i]
		if len(run.Segs) == 0 || !p.kept(run.Segs[0]) {
			continue
		}
		at := p.at[g.upper[run.Segs[0]]]
		switch {
		case run.Def.Basin.Set:
			p.basin(run, at)
		case run.Def.Carries.Set:
			p.part(run, at)
		}
	}
}

// cup is what a trap takes: a bowl for what hangs on a wall, a strainer for what stands on
// the floor.
func (p *picture) cup(f *network.Fixture, at draw.Point, k float64) draw.Polyline {
	m := draw.Mark{Layer: draw.LayerSymbol}
	if f.Kind.Outlet.Set && f.Kind.Outlet.V == 0 {
		return draw.Polyline{Mark: m, Points: []draw.Point{{X: at.X - 2.4*k, Y: at.Y - 0.6*k}, {X: at.X - 2*k, Y: at.Y}, {X: at.X + 2*k, Y: at.Y}, {X: at.X + 2.4*k, Y: at.Y - 0.6*k}}}
	}
	return draw.Polyline{Mark: m, Points: []draw.Point{{X: at.X - 2.8*k, Y: at.Y - 2*k}, {X: at.X - 2*k, Y: at.Y - 0.5*k}, {X: at.X - 1.2*k, Y: at.Y}, {X: at.X + 1.2*k, Y: at.Y}, {X: at.X + 2*k, Y: at.Y - 0.5*k}, {X: at.X + 2.8*k, Y: at.Y - 2*k}}}
}

// grate is the top of a floor drain, flat in the floor, and gives its box.
func (p *picture) grate(id string, at draw.Point, k float64) draw.Rect {
	m := draw.Mark{Layer: draw.LayerSymbol}
	r := 2 * k
	g := draw.Group{Mark: draw.Mark{Layer: draw.LayerSymbol, ID: id + ".grate"}, Shapes: []draw.Shape{
		draw.Polygon{Mark: m, Fill: draw.FillPaper, Points: flatRing(at, r, 24)},
	}}
	thin := draw.Mark{Layer: draw.LayerSymbol, Pen: draw.Pen{Width: draw.Thin}}
	for _, n := range [...]float64{-0.5, 0, 0.5} { // bars, from east to west
		e := math.Sqrt(1 - n*n)
		g.Shapes = append(g.Shapes, draw.Line{Mark: thin, A: at.Add(project(-e, n, 0).Mul(r)), B: at.Add(project(e, n, 0).Mul(r))})
	}
	p.s.Add(g)
	b, _ := draw.Bounds(g)
	return b
}

// flatRing is a circle that lies flat in the house, in n pieces.
func flatRing(c draw.Point, r float64, n int) []draw.Point {
	out := make([]draw.Point, n)
	for i := range out {
		sin, cos := math.Sincos(float64(i) * 2 * math.Pi / float64(n))
		out[i] = c.Add(project(cos, sin, 0).Mul(r))
	}
	return out
}

// part marks where a part of the system comes in that is not drawn.
func (p *picture) part(run *network.Run, at draw.Point) {
	flow := p.g.flow[run.Segs[0]]
	u := p.toward(flow).Unit()
	m := draw.Mark{Layer: draw.LayerSymbol, ID: p.ids.id(run.Name + ".part"), Title: "A part that is not drawn comes in here"}
	box := p.put("break-mark", m, draw.Placement{At: at.Sub(u.Mul(0.9)), U: u, V: draw.Point{X: u.Y, Y: -u.X}}, "")
	words := []string{"FROM " + upper(run.Name)}
	var kinds []string
	for _, k := range run.Carried {
		kinds = append(kinds, k.Tag)
	}
	if len(kinds) > 0 {
		if len(kinds) > 4 {
			kinds = append(kinds[:4], "...")
		}
		words = append(words, strings.Join(kinds, " "))
	}
	p.tag(m.ID+".label", words, box, 4, false)
}

// basin draws the basin of a pump below its drain.
func (p *picture) basin(run *network.Run, at draw.Point) {
	const w, h = 4.2, 8.5
	m := draw.Mark{Layer: draw.LayerSymbol}
	k := p.sym
	g := draw.Group{Mark: draw.Mark{Layer: draw.LayerSymbol, ID: p.ids.id(run.Name + ".basin"), Title: "Basin with pump: " + run.Name}, Shapes: []draw.Shape{
		draw.Polyline{Mark: m, Points: []draw.Point{{X: at.X - w*k, Y: at.Y}, {X: at.X - w*k, Y: at.Y + h*k}, {X: at.X + w*k, Y: at.Y + h*k}, {X: at.X + w*k, Y: at.Y}}},
		draw.Line{Mark: draw.Mark{Layer: draw.LayerSymbol, Pen: draw.Pen{Width: draw.Bold}}, A: draw.Point{X: at.X - (w+0.8)*k, Y: at.Y}, B: draw.Point{X: at.X + (w+0.8)*k, Y: at.Y}},
		draw.Circle{Mark: m, C: draw.Point{X: at.X, Y: at.Y + h*0.68*k}, R: 1.7 * k},
		draw.Line{Mark: m, A: at, B: draw.Point{X: at.X, Y: at.Y + (h*0.68-1.7)*k}},
	}}
	p.s.Add(g)
	b, _ := draw.Bounds(g)
	p.tag(g.ID+".label", []string{"BASIN, PUMP"}, b, 4, false, layout.Below)
}

// cleanouts draws cleanouts and valves.
func (p *picture) cleanouts() {
	g, n := p.g, p.r.Net
	for i := range n.Runs {
		run := &n.Runs[i]
		list := p.runEdges(run)
		if len(list) == 0 {
			continue
		}
		l := p.drainLook(run)
		layer := draw.Services[l.service].Layer
		if layer == draw.LayerDrainBelow {
			layer = draw.LayerDrain
		}
		for k := range run.Def.Clean {
			c := &run.Def.Clean[k]
			at, way, atEnd := p.onRun(run, list, c.Place)
			m := draw.Mark{Layer: layer, ID: p.ids.id(run.Name + ".cleanout"), Title: "Cleanout on " + run.Name}
			words := "CO"
			var box draw.Rect
			switch {
			case c.Type.Text == "two-way":
				words = "2-WAY CO"
				u := p.level(way)
				box = p.put("two-way-cleanout", m, draw.Placement{At: at, U: u, V: draw.Point{Y: -1}}.Scaled(p.sym))
			case atEnd:
				u := p.toward(way.mul(-1)).Unit()
				box = p.put("cleanout", m, draw.Placement{At: at, U: u, V: draw.Point{X: u.Y, Y: -u.X}}.Scaled(p.sym))
			default:
				u := draw.Point{Y: -1}
				if way.upright() {
					u = p.level(g.foot(run.Segs[0])).Mul(-1)
				}
				box = p.put("cleanout", m, draw.Placement{At: at, U: u, V: draw.Point{X: u.Y, Y: -u.X}}.Scaled(p.sym*1.3))
			}
			p.tag(m.ID+".label", []string{words}, box, 3, false)
		}
		for k, d := range run.Def.Devices {
			at, way, _ := p.onRun(run, list, job.Place{Kind: job.NotSaid})
			at = at.Add(p.toward(way).Unit().Mul(float64(4 + 6*k)))
			var box draw.Rect
			id := p.ids.id(run.Name + "." + d.Text)
			if d.Text == "backwater valve" || d.Text == "check valve" {
				u := p.level(way)
				box = p.put("backwater-valve", draw.Mark{Layer: draw.LayerDrain, ID: id}, draw.Placement{At: at, U: u, V: draw.Point{Y: -1}}.Scaled(p.sym))
			} else {
				c := draw.Circle{Mark: draw.Mark{Layer: draw.LayerSymbol, ID: id, Title: d.Text}, C: at, R: 1.4, Fill: draw.FillPaper}
				p.s.Add(c)
				box, _ = draw.Bounds(c)
			}
			p.tag(id+".label", []string{upper(d.Text)}, box, 3, false)
		}
	}
}

// onRun finds a place on a run on paper, the way of the water there, and whether it is the
// free upper end.
func (p *picture) onRun(run *network.Run, list []int32, pl job.Place) (draw.Point, vec, bool) {
	g := p.g
	first, last := &g.edges[list[0]], &g.edges[list[len(list)-1]]
	switch pl.Kind {
	case job.LowerEnd:
		return p.step(last.b, last.a, 4), last.way, false
	case job.FootOfDrop:
		for i := len(list) - 1; i >= 0; i-- {
			if e := &g.edges[list[i]]; e.way.upright() {
				return p.step(e.b, e.a, 5), e.way, false
			}
		}
	case job.AtLength:
		rest := feet(pl.Len)
		for _, i := range list {
			e := &g.edges[i]
			l := g.nodes[e.b].p.sub(g.nodes[e.a].p).len()
			if rest <= l {
				t := rest / max(l, 0.01)
				return p.at[e.a].Add(p.at[e.b].Sub(p.at[e.a]).Mul(min(max(t, 0.2), 0.8))), e.way, false
			}
			rest -= l
		}
	case job.UpperEnd:
		if !first.way.mul(-1).among(othersAt(g, first.a, list[0])) {
			return p.at[first.a], first.way, true
		}
		return p.step(first.a, first.b, 4), first.way, false
	}
	for _, i := range list {
		if e := &g.edges[i]; !e.way.upright() {
			return p.step(e.a, e.b, 4), e.way, false
		}
	}
	return p.step(first.a, first.b, 3), first.way, false
}

// othersAt lists the ways that lead off a node besides along one edge.
func othersAt(g *graph, at, not int32) []vec {
	var out []vec
	skip := g.edges[not].way
	if g.edges[not].b == at {
		skip = skip.mul(-1)
	}
	for _, w := range g.nodes[at].used {
		if !w.same(skip) {
			out = append(out, w)
		}
	}
	return out
}

// compass draws north, east and up in the corner with the most room.
func (p *picture) compass() {
	const r = 11.0
	var best draw.Point
	bestRoom := -1.0
	a := p.area
	for _, c := range []draw.Point{{X: a.X1 - r - 4, Y: a.Y1 - r}, {X: a.X0 + r + 4, Y: a.Y1 - r}, {X: a.X1 - r - 4, Y: a.Y0 + r + 8}, {X: a.X0 + r + 4, Y: a.Y0 + r + 8}} {
		room := math.Inf(1)
		for i := range p.g.edges {
			if p.show[i] {
				room = min(room, distance(c, p.at[p.g.edges[i].a], p.at[p.g.edges[i].b]))
			}
		}
		if room > bestRoom+6 {
			best, bestRoom = c, room
		}
	}
	grp := draw.Group{Mark: draw.Mark{Layer: draw.LayerSymbol, ID: "compass", Title: "North, east and up in this view"}, Shapes: []draw.Shape{
		draw.Polygon{Mark: draw.Mark{Layer: draw.LayerSymbol, Pen: draw.Pen{Width: draw.Hair}}, Fill: draw.NoFill, Points: flatRing(best, 4.2, 36)},
	}}
	m := draw.Mark{Layer: draw.LayerSymbol, Pen: draw.Pen{Width: draw.Thin}}
	for _, w := range []struct {
		way  vec
		word string
	}{{north, "N"}, {east, "E"}, {up, "UP"}} {
		d := p.toward(w.way).Unit()
		tip := best.Add(d.Mul(8))
		t := draw.Text{Mark: draw.Mark{Layer: draw.LayerSymbol}, At: best.Add(d.Mul(10.6)), Words: w.word, Align: draw.Middle, VAlign: draw.AtMiddle}
		switch w.word {
		case "N": // the one that is looked for
			bold := draw.Mark{Layer: draw.LayerSymbol, Pen: draw.Pen{Width: draw.Bold}}
			grp.Shapes = append(grp.Shapes, draw.Line{Mark: bold, A: best.Sub(d.Mul(5.1)), B: tip.Sub(d.Mul(2.5))}, draw.Arrow(bold, tip.Add(d.Mul(0.6)), d, 3.6))
			t.Weight, t.At = textwidth.Bold, best.Add(d.Mul(11.2))
		default:
			grp.Shapes = append(grp.Shapes, draw.Line{Mark: m, A: best, B: tip.Sub(d)}, draw.Arrow(m, tip, d, 2.2))
		}
		if w.word == "UP" {
			t.At = best.Add(draw.Point{Y: -10.2})
		}
		grp.Shapes = append(grp.Shapes, t)
	}
	p.s.Add(grp)
}

// distance is from a point to a line.
func distance(c, a, b draw.Point) float64 {
	w := b.Sub(a)
	l := w.Len()
	if l == 0 {
		return c.Sub(a).Len()
	}
	q := c.Sub(a)
	t := min(max((q.X*w.X+q.Y*w.Y)/(l*l), 0), 1)
	return a.Add(w.Mul(t)).Sub(c).Len()
}
