package view

import (
	"strings"

	"trapweir/draw"
	"trapweir/draw/layout"
	"trapweir/draw/symbol"
	"trapweir/draw/textwidth"
	"trapweir/engine/job"
	"trapweir/engine/network"
)

// markScale is how large the marks of cleanouts and valves are drawn, and markStep how far
// along a pipe from its end those in line stand, millimetres.
const (
	markScale = 0.72
	markStep  = 4.5
)

// devices draws cleanouts, valves and basins where they stand on this plan.
func (p *plan) devices() {
	n := p.r.Net
	for i := range n.Runs {
		run := &n.Runs[i]
		for k := range run.Def.Clean {
			p.cleanout(run, &run.Def.Clean[k])
		}
		for k, d := range run.Def.Devices {
			at, dir, _, ok := p.onRun(run, job.Place{Kind: job.NotSaid}, float64(k))
			if !ok {
				continue
			}
			m := draw.Mark{Layer: draw.LayerSymbol, ID: p.ids.id(run.Name + "." + d.Text), Title: d.Text + " on " + run.Name}
			name := "joint"
			if d.Text == "backwater valve" || d.Text == "check valve" {
				name = "backwater-valve-plan"
			}
			p.mark(name, m, draw.Placement{At: at, U: dir, V: draw.Point{X: dir.Y, Y: -dir.X}}, upper(d.Text))
		}
		if run.Def.Basin.Set && len(run.Segs) > 0 {
			s := run.Segs[0]
			shown := p.on[s]
			for _, u := range n.Up(s) {
				shown = shown || p.on[u]
			}
			if shown {
				m := draw.Mark{Layer: draw.LayerSymbol, ID: p.ids.id(run.Name + ".basin"), Title: "Basin with pump, " + run.Name}
				p.mark("sump-plan", m, draw.Upright(p.at(p.up[s])), "BASIN, PUMP")
			}
		}
	}
}

// mark puts a symbol down and asks for room for its words.
func (p *plan) mark(name string, m draw.Mark, at draw.Placement, words string) {
	ref := symbol.Get(name).Put(m, at.Scaled(markScale))
	p.s.Add(ref)
	b, _ := draw.Bounds(ref)
	p.req = append(p.req, layout.Label{ID: m.ID + ".label", Lines: []string{words}, At: b.Centre(), Half: max(b.W(), b.H()) / 2, Priority: 5, Weight: textwidth.Regular})
}

// cleanout draws one: a plug at a free end, a square in a circle on the line, arrows to both
// sides of one that serves both.
func (p *plan) cleanout(run *network.Run, c *job.Cleanout) {
	at, dir, free, ok := p.onRun(run, c.Place, 0)
	if !ok {
		return
	}
	z := c.Size.V
	if z == 0 {
		z = p.r.Sizes.Size[segAt(run, c)]
	}
	words, name := sizeWords(z)+" CO", "floor-cleanout-plan"
	m := draw.Mark{Layer: draw.LayerSymbol, ID: p.ids.id(run.Name + ".cleanout"), Title: "Cleanout on " + run.Name}
	lies := draw.Placement{At: at, U: dir, V: draw.Point{X: dir.Y, Y: -dir.X}}
	switch {
	case c.Type.Text == "two-way":
		words, name = sizeWords(z)+" 2-WAY CO", "two-way-cleanout-plan"
	case free:
		name = "cleanout"
		m.Layer = draw.LayerDrain
		lies.U, lies.V = lies.U.Mul(-1), lies.V.Mul(-1)
	}
	p.mark(name, m, lies, words)
}

// onRun is a place on a run on this plan, on paper, and the way of the water there; free tells
// that it is an upper end from which no other pipe leads straight on. Places at an end of pipe
// that goes on are a step along it; nth of several at one place stand behind each other.
func (p *plan) onRun(run *network.Run, pl job.Place, nth float64) (at, dir draw.Point, free, ok bool) {
	n := p.r.Net
	var level []network.SegID // that is drawn here, with some length
	for _, s := range run.Segs {
		if p.on[s] && p.at(p.low[s]).Sub(p.at(p.up[s])).Len() > 0.5 {
			level = append(level, s)
		}
	}
	if len(level) == 0 {
		return at, dir, false, false
	}
	first, last := level[0], level[len(level)-1]
	along := func(s network.SegID, mm float64) (draw.Point, draw.Point) {
		a, b := p.at(p.up[s]), p.at(p.low[s])
		d := b.Sub(a)
		return a.Add(d.Unit().Mul(min(mm, d.Len()*0.6))), d.Unit()
	}
	switch pl.Kind {
	case job.UpperEnd:
		if first != run.Segs[0] {
			break
		}
		at, dir = p.at(p.up[first]), p.at(p.low[first]).Sub(p.at(p.up[first])).Unit()
		for _, u := range n.Up(first) {
			d := p.at(p.low[u]).Sub(p.at(p.up[u]))
			if d.Len() > 0.5 && p.on[u] && d.Unit().Sub(dir).Len() < 0.3 {
				at, dir = along(first, markStep)
				return at, dir, false, true
			}
		}
		return at, dir, true, true
	case job.LowerEnd:
		if last != run.Segs[len(run.Segs)-1] || last == p.cut {
			return at, dir, false, false
		}
		a, b := p.at(p.up[last]), p.at(p.low[last])
		d := b.Sub(a)
		return b.Sub(d.Unit().Mul(min(markStep, d.Len()*0.4))), d.Unit(), false, true
	case job.FootOfDrop:
		for i := len(run.Segs) - 1; i > 0; i-- {
			s, drop := run.Segs[i], run.Segs[i-1]
			if n.Segs[drop].Lie == network.Upright && p.on[s] && p.at(p.low[s]).Sub(p.at(p.up[s])).Len() > 0.5 {
				at, dir = along(s, markStep)
				return at, dir, false, true
			}
		}
		return at, dir, false, false
	case job.AtLength:
		for _, s := range level {
			g := &n.Segs[s]
			if g.LengthKnown && pl.Len >= g.From && pl.Len <= g.To && g.To > g.From {
				if s == p.cut && feet(pl.Len-g.From) > cutSewer-1 {
					return at, dir, false, false
				}
				a, b := p.at(p.up[s]), p.at(p.low[s])
				share := float64(pl.Len-g.From) / float64(g.To-g.From)
				if s == p.cut {
					share = feet(pl.Len-g.From) / cutSewer
				}
				return a.Add(b.Sub(a).Mul(share)), b.Sub(a).Unit(), false, true
			}
		}
		if last == p.cut { // beyond where the line is broken off
			return at, dir, false, false
		}
	case job.AfterName:
		for _, s := range level {
			for _, u := range n.Up(s) {
				if n.RunOf(u).Name == pl.Name {
					at, dir = along(s, markStep)
					return at, dir, false, true
				}
			}
		}
	}
	at, dir = along(first, markStep*(1+1.6*nth))
	return at, dir, false, true
}

// markRow is a mark of plans that the legend explains.
type markRow struct {
	name, words string
	scale       float64
}

// marked lists the marks that stand on this plan.
func (p *plan) marked() []markRow {
	q := *p
	q.s, q.ids, q.req, q.k = &draw.Sheet{}, seq{}, nil, 20 // at any scale
	q.devices()
	used := map[string]bool{}
	for _, sh := range q.s.Shapes {
		if ref, ok := sh.(draw.SymbolRef); ok {
			used[ref.Name] = true
		}
	}
	var out []markRow
	for _, x := range []markRow{
		{"cleanout", "Cleanout at an end (CO)", 1},
		{"floor-cleanout-plan", "Cleanout on the line (CO)", 1},
		{"two-way-cleanout-plan", "Cleanout to both sides", 1},
		{"backwater-valve-plan", "Valve against backflow", 0.9},
		{"sump-plan", "Basin with pump", 0.6},
	} {
		if used[x.name] {
			out = append(out, x)
		}
	}
	return out
}

// cutAway tells of the cleanouts beyond where the line outside is broken off; "" where there
// are none.
func (p *plan) cutAway() string {
	run := p.r.Net.RunOf(p.cut)
	var at []string
	for k := range run.Def.Clean {
		c := &run.Def.Clean[k]
		if _, _, _, ok := p.onRun(run, c.Place, 0); ok {
			continue
		}
		switch c.Place.Kind {
		case job.AtLength:
			at = append(at, wholeWords(c.Place.Len, p.sys))
		case job.LowerEnd:
			at = append(at, "THE END")
		}
	}
	if len(at) == 0 {
		return ""
	}
	return "CO AT " + strings.Join(at, ", ")
}

// rooms asks for room for the names of rooms, between the fixtures that stand in them; they are
// left out where they would have to be led to.
func (p *plan) rooms() {
	n := p.r.Net
	type room struct {
		name string
		box  draw.Rect
	}
	var list []room
	for _, i := range inOrder(n) {
		f := &n.Fixtures[i]
		name := n.Runs[f.Run].Def.Room.Text
		if name == "" || !p.on[f.Seg] {
			continue
		}
		at := p.at(p.up[f.Seg])
		b := draw.Rect{X0: at.X, Y0: at.Y, X1: at.X, Y1: at.Y}
		found := false
		for k := range list {
			if list[k].name == name {
				list[k].box, found = list[k].box.Union(b), true
			}
		}
		if !found {
			list = append(list, room{name, b})
		}
	}
	for _, x := range list {
		b := x.box.Grow(5) // anywhere around them
		p.req = append(p.req, layout.Label{ID: p.ids.id(roomID + x.name), Lines: []string{upper(x.name)}, Along: []draw.Point{{X: b.X0, Y: b.Y0}, {X: b.X1, Y: b.Y0}, {X: b.X1, Y: b.Y1}, {X: b.X0, Y: b.Y1}, {X: b.X0, Y: b.Y0}}, Half: 0.5, Soft: true, Spare: true, Reach: 9})
	}
}

const roomID = "room "
