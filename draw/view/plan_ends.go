package view

import (
	"trapweir/draw"
	"trapweir/draw/layout"
	"trapweir/draw/symbol"
	"trapweir/engine/network"
)

// goesOn marks the level pipe that goes on on another plan, where no circle says so: into
// a drain that is not drawn here, or from a branch that is not.
func (p *plan) goesOn() {
	n := p.r.Net
	if p.level == "" {
		return
	}
	level := func(s network.SegID) bool { return n.Segs[s].Lie != network.Upright || n.Segs[s].Way.Plumb != 0 }
	mark := func(id string, at, out draw.Point, word string) {
		if out.Len() < 0.01 {
			return
		}
		u := out.Unit()
		m := draw.Mark{Layer: draw.LayerSymbol, ID: p.ids.id(id + ".goes on"), Title: "Goes on: " + word}
		ref := symbol.Get("break-mark").Put(m, draw.Placement{At: at.Add(u.Mul(0.9)), U: u, V: draw.Point{X: u.Y, Y: -u.X}}.Scaled(0.7), "")
		p.s.Add(ref)
		b, _ := draw.Bounds(ref)
		p.req = append(p.req, layout.Label{ID: m.ID + ".label", Lines: []string{word}, At: b.Centre(), Half: 1.9, Priority: 4})
	}
	for i := range n.Segs {
		s := network.SegID(i)
		d := n.Segs[s].Down
		if d == network.None || s == p.cut || p.on[s] == p.on[d] || !level(s) || !level(d) {
			continue
		}
		a, b := p.at(p.up[s]), p.at(p.low[s])
		if p.on[s] {
			mark(n.RunOf(s).Name, b, b.Sub(a), "TO "+upper(n.RunOf(d).Name))
			continue
		}
		if n.Segs[s].Run == n.Segs[d].Run {
			continue // it begins here, where the other plan ends it
		}
		// A stub, as long as it can be seen.
		w := a.Sub(b)
		if w.Len() < 0.01 {
			continue
		}
		tip := b.Add(w.Unit().Mul(2.6))
		p.s.Add(draw.Line{Mark: draw.Mark{Layer: draw.LayerDrain}, A: b, B: tip})
		name := upper(n.RunOf(s).Name)
		if f := n.RunOf(s).Fixture; f != network.None {
			name = p.tags[f]
		}
		mark(n.RunOf(s).Name, tip, w, "FROM "+name)
	}
}

// owned tells the layout which run the pieces of pipe belong to.
func (p *plan) owned(obs *layout.Obstacles) {
	n := p.r.Net
	for i := range n.Segs {
		if p.on[i] {
			obs.AddOwned(p.at(p.up[i]), p.at(p.low[i]), 1+int(n.Segs[i].Run))
		}
	}
}
