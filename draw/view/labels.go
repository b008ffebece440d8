package view

import (
	"math"

	"trapweir/draw"
	"trapweir/draw/layout"
	"trapweir/draw/textwidth"
	"trapweir/engine/diag"
	"trapweir/engine/load"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// stretch is a straight piece of a run with one size and load.
type stretch struct {
	edges  []int32
	first  network.SegID
	length unit.Length
	known  bool
	arm    bool
	way    vec
	a, b   draw.Point
}

// stretches cuts a run into straight pieces of one size and load.
func (p *picture) stretches(run *network.Run) []stretch {
	g, r := p.g, p.r
	var out []stretch
	for _, s := range run.Segs {
		if !p.kept(s) {
			continue
		}
		seg := &r.Net.Segs[s]
		list := g.segEdges[s]
		var own []int32
		for i := len(list) - 1; i >= 0; i-- {
			if !g.edges[list[i]].added {
				own = append(own, list[i])
			}
		}
		if len(own) == 0 {
			continue
		}
		if k := len(out) - 1; k >= 0 {
			q := &out[k]
			if r.Sizes.Size[q.first] == r.Sizes.Size[s] && r.Loads.Units[q.first] == r.Loads.Units[s] && q.way.same(g.flow[s]) && q.arm == seg.Arm {
				q.edges = append(q.edges, own...)
				q.length += seg.Length()
				q.known = q.known && seg.LengthKnown
				q.b = p.at[g.edges[own[len(own)-1]].b]
				continue
			}
		}
		out = append(out, stretch{
			edges: own, first: s, length: seg.Length(), known: seg.LengthKnown, arm: seg.Arm, way: g.flow[s],
			a: p.at[g.edges[own[0]].a], b: p.at[g.edges[own[len(own)-1]].b],
		})
	}
	return out
}

// service letter of a drain: soil where a water closet drains through it, else waste.
func (p *picture) letter(s network.SegID) string {
	if n, ok := p.r.Loads.Count(s, load.Closets); ok && n > 0 {
		return "S"
	}
	return "W"
}

// labels asks for room for everything that is written at the pipes.
func (p *picture) labels() {
	r, n, g := p.r, p.r.Net, p.g
	// How much is not known decides whether each is marked or all at once.
	for i := range n.Segs {
		if p.kept(network.SegID(i)) {
			p.pieces++
			if !n.Segs[i].LengthKnown {
				p.unknown++
			}
		}
	}
	markEach := p.unknown*2 <= p.pieces
	p.usualSlope()
	half := draw.LayerDrain.Pen().Width.MM(p.s.Fine) / 2
	for i := range n.Runs {
		run := &n.Runs[i]
		if len(run.Segs) == 0 {
			continue
		}
		list := p.stretches(run)
		slopeSaid := false
		var lastSize unit.Size
		var lastUnits unit.Load = -1
		trunk := false
		longest := 0
		for k := range list {
			if list[k].b.Sub(list[k].a).Len() > list[longest].b.Sub(list[longest].a).Len() {
				longest = k
			}
		}
		for k := range list {
			q := &list[k]
			seg := &n.Segs[q.first]
			role := seg.Role
			trunk = role == network.BuildingDrain || role == network.BuildingSewer || role == network.Stack
			size, load := r.Sizes.Size[q.first], r.Loads.Units[q.first]
			var lines []string
			full := size != lastSize || load != lastUnits
			var name, brief []string
			if k == longest && trunk {
				name = []string{upper(run.Name)}
				lines = append(lines, name...)
			}
			second, mark := "", ""
			if full {
				w := sizeWords(size) + " " + p.letter(q.first) + " " + unitsWords(load, r.Loads.AtLeast[q.first])
				switch run.Def.State.Text {
				case "existing":
					mark = " (E)"
					w += mark
					if size == 0 || !r.Sizes.Given[q.first] {
						w = "SIZE ? " + unitsWords(load, r.Loads.AtLeast[q.first]) + " (E)"
						second = "NEEDS " + sizeWords(r.Sizes.Required[q.first])
					}
				case "remove":
					mark = " (R)"
					w += mark
				}
				lines = append(lines, w)
				brief = append(brief, w)
				if second != "" { // what an unknown pipe would have to be is never left out
					brief = append(brief, second)
				}
				lastSize, lastUnits = size, load
			}
			// The usual fall is told once, in the notes; at the trunk and where it differs, here.
			if f := r.Levels.Slope[q.first]; !q.way.upright() && f.Given() && !slopeSaid && (trunk || f.Cmp(p.fall) != 0) {
				if w := slopeWords(f, p.sys); w != "" {
					second = join(second, w)
					slopeSaid = true
				}
			}
			switch {
			case q.arm && q.known:
				w := "ARM " + lengthWords(q.length, p.sys)
				if f := seg.Fixture; f != network.None {
					if rd := r.Vents.Trap[f].Reading(); rd != nil && rd.Arm.Limit > 0 {
						w = "ARM " + lengthWords(rd.Arm.Length, p.sys) + " (MAX " + lengthWords(rd.Arm.Limit, p.sys) + ")"
					}
				}
				if second != "" {
					lines = append(lines, second)
				}
				second = w
			case q.known:
				second = join(second, lengthWords(q.length, p.sys))
			case markEach:
				second = join(second, "L ?")
			}
			if second != "" {
				lines = append(lines, second)
			}
			if len(lines) == 0 {
				continue
			}
			priority, reach := 2, 16.0
			var short [][]string
			if full {
				reach = 60
				// Without the length, then the size alone: the rest stands in the schedule.
				if second != "" && second != brief[len(brief)-1] {
					short = append(short, append(append([]string(nil), name...), brief...))
				}
				if len(brief) == 1 && second != "" && brief[0] != sizeWords(size)+mark && r.Sizes.Size[q.first] != 0 {
					short = append(short, append(append([]string(nil), name...), sizeWords(size)+mark))
				}
			}
			switch {
			case trunk && full:
				priority = 5
			case full:
				priority = 4
			}
			if d := q.b.Sub(q.a).Len(); d < 3.5 && !full {
				continue
			}
			a, b := p.beside(q.a, q.b)
			p.req = append(p.req, layout.Label{ID: p.ids.id(run.Name + ".label"), Lines: lines, Short: short, Along: []draw.Point{a, b}, Half: half, Priority: priority, Reach: reach, Owner: 1 + i})
		}
	}
	for v := range n.Vents {
		x := &n.Vents[v]
		best, bestLen := int32(-1), 0.0
		for _, e := range g.ventEdges[v] {
			if !p.show[e] {
				continue
			}
			l := p.at[g.edges[e].a].Sub(p.at[g.edges[e].b]).Len()
			if g.edges[e].added {
				l *= 0.5
			}
			if l > bestLen {
				best, bestLen = e, l
			}
		}
		if best < 0 {
			continue
		}
		z := &r.Vents.Size[v]
		w := sizeWords(z.Size) + " V"
		if s := x.Def.State.Text; s == "existing" {
			w += " (E)"
		} else if s == "remove" {
			w += " (R)"
		}
		lines := []string{w}
		switch {
		case z.Known && z.Length > 0:
			lines = append(lines, "DL "+lengthWords(z.Length, p.sys))
		case markEach && !x.LengthKnown:
			lines = append(lines, "L ?")
		}
		e := &g.edges[best]
		var short [][]string
		if len(lines) > 1 {
			short = [][]string{lines[:1]}
		}
		p.req = append(p.req, layout.Label{ID: p.ids.id(x.Name + ".label"), Lines: lines, Short: short, Along: []draw.Point{p.at[e.a], p.at[e.b]}, Half: half, Priority: 4, Owner: 1 + len(n.Runs) + v})
	}
	p.inverts()
	p.skew()
	p.balloons()
}

// usualSlope finds the fall that most of the level pipe has, if most of it has one.
func (p *picture) usualSlope() {
	r := p.r
	count := map[unit.Slope]int{}
	total := 0
	for i := range r.Net.Segs {
		if f := r.Levels.Slope[i]; p.kept(network.SegID(i)) && f.Given() && r.Net.Segs[i].Lie != network.Upright {
			count[f]++
			total++
		}
	}
	for i := range r.Net.Segs {
		if f := r.Levels.Slope[i]; f.Given() && count[f]*2 > total {
			p.fall = f
			return
		}
	}
}

// beside gives the part of a pipe that labels may point at: not the letters set into it.
func (p *picture) beside(a, b draw.Point) (draw.Point, draw.Point) {
	w := b.Sub(a)
	for _, l := range p.letters {
		t0, t1, ok := l.Grow(1).Along(a, w)
		switch {
		case !ok, t0 == t1:
		case t0 > 1-t1:
			b = a.Add(w.Mul(t0))
			return a, b
		default:
			return a.Add(w.Mul(t1)), b
		}
	}
	return a, b
}

func join(a, b string) string {
	if a == "" {
		return b
	}
	return a + "  " + b
}

// inverts writes the inside bottoms at the ends of the building drain and sewer.
func (p *picture) inverts() {
	r, n, g := p.r, p.r.Net, p.g
	done := map[int32]bool{}
	for i := range n.Runs {
		run := &n.Runs[i]
		if len(run.Segs) == 0 {
			continue
		}
		first := run.Segs[0]
		role := n.Segs[first].Role
		if role != network.BuildingDrain && role != network.BuildingSewer || !p.kept(first) {
			continue
		}
		h := r.Levels.InvertUp[first]
		at := g.upper[first]
		if !h.Known || done[at] || n.Segs[first].Lie == network.Upright {
			continue
		}
		done[at] = true
		p.req = append(p.req, layout.Label{ID: p.ids.id(run.Name + ".invert"), Lines: []string{"IE " + elevationWords(h.V, p.sys)}, At: p.at[at], Half: 1.2, Priority: 3, Sides: []layout.Side{layout.Below, layout.BelowLeft, layout.BelowRight}})
	}
}

// skew marks level pipe that lies along no axis, with a hatched triangle on its plane: on
// paper it would pass for something else, for a riser at worst.
func (p *picture) skew() {
	g := p.g
	for i := range g.edges {
		e := &g.edges[i]
		if !p.show[i] || e.axis >= 0 || e.added {
			continue
		}
		a, b := p.at[e.a], p.at[e.b]
		d := b.Sub(a)
		if d.Len() < 3 {
			continue
		}
		// The corner of the triangle: first along one axis, then along the other.
		x := p.x
		_, an, au := x.place(e.a)
		be, bn, _ := x.place(e.b)
		c := p.spot(be, an, au)
		if math.Abs(e.way[2]) > 0.1 { // it slopes: the plane is upright
			c = p.spot(be, bn, au)
		}
		// At most 9 mm of the pipe are marked, in its middle or where no letters are set into it.
		var ta, tb, tc draw.Point
		clear := false
		for _, t := range [...]float64{0.5, 0.2, 0.8, 0.35, 0.65} {
			k := min(1, 9/d.Len(), 2*min(t, 1-t))
			mid := a.Add(d.Mul(t))
			shrink := func(q draw.Point) draw.Point { return mid.Add(q.Sub(a.Add(b).Mul(0.5)).Mul(k)) }
			ta, tb, tc = shrink(a), shrink(b), shrink(c)
			box, _ := draw.Bounds(draw.Polyline{Points: []draw.Point{ta, tb, tc}})
			clear = true
			for _, l := range p.letters {
				clear = clear && !l.Overlaps(box.Grow(0.5))
			}
			if clear {
				break
			}
		}
		if !clear {
			continue
		}
		m := draw.Mark{Layer: draw.LayerDimension}
		grp := draw.Group{Mark: draw.Mark{Layer: draw.LayerDimension, ID: p.ids.id("skew"), Title: "Lies at an angle to the axes, in the plane of the hatching"}}
		grp.Shapes = append(grp.Shapes, draw.Polyline{Mark: m, Points: []draw.Point{ta, tc, tb}})
		for j := 1; j < 4; j++ {
			t := float64(j) / 4
			grp.Shapes = append(grp.Shapes, draw.Line{Mark: m, A: ta.Add(tb.Sub(ta).Mul(t)), B: ta.Add(tc.Sub(ta).Mul(t))})
		}
		p.s.Add(grp)
	}
}

// mostBalloons is how many findings are drawn; the list has the others.
const mostBalloons = 30

// rowOf is how many balloons stand in a row at one place.
const rowOf = 4

// balloons puts the numbers of the findings at what they point at, those of one place in a
// row.
func (p *picture) balloons() {
	n, g := p.r.Net, p.g
	drawn := 0
	rows := map[draw.Point]int{} // overlay by place, one that has room
	for i, d := range p.list {
		if drawn >= mostBalloons {
			break
		}
		var at draw.Point
		half := 0.5
		switch d.On.What {
		case diag.Run, diag.Fixture:
			x, ok := n.Find(d.On.Name)
			if !ok || x.Run == network.None || len(n.Runs[x.Run].Segs) == 0 {
				continue
			}
			run := &n.Runs[x.Run]
			s := run.Segs[0]
			if k := network.SegID(d.On.Segment); k >= 0 && int(k) < len(n.Segs) && n.Segs[k].Run == x.Run {
				s = k
			}
			if !p.kept(s) {
				continue
			}
			if d.On.What == diag.Fixture {
				at, half = p.at[g.upper[s]], 2
				break
			}
			e := &g.edges[g.segEdges[s][len(g.segEdges[s])-1]]
			at = p.at[e.a].Add(p.at[e.b]).Mul(0.5)
		case diag.Vent:
			x, ok := n.Find(d.On.Name)
			if !ok || x.Vent == network.None || len(g.ventEdges[x.Vent]) == 0 || !p.show[g.ventEdges[x.Vent][0]] {
				continue
			}
			e := &g.edges[g.ventEdges[x.Vent][0]]
			at = p.at[e.a].Add(p.at[e.b].Sub(p.at[e.a]).Mul(0.4))
		case diag.Outlet:
			if n.Outlet == network.None || !p.kept(n.Outlet) {
				continue
			}
			at, half = p.at[g.lower[n.Outlet]], 2
		default:
			continue
		}
		drawn++
		if k, ok := rows[at]; ok && len(p.over[k].more) < rowOf-1 {
			o := &p.over[k]
			o.more = append(o.more, balloon{numberWords(i), "finding " + numberWords(i), d.Message})
			p.req[o.label].Row = len(o.more) + 1
			p.req[o.label].Wide = ballooned * float64(len(o.more)+1)
			continue
		}
		rows[at] = len(p.over)
		p.over = append(p.over, overlay{label: len(p.req), kind: 'b', id: "finding " + numberWords(i), title: d.Message})
		p.req = append(p.req, layout.Label{Lines: []string{numberWords(i)}, At: at, Half: half, Priority: forFindings, Weight: textwidth.Bold, Least: ballooned, Row: 1, Gap: 1.4, Layer: draw.LayerFinding})
	}
}
