package view

import (
	"math"

	"trapweir/draw"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// metre is the length that the steps of draw.Way stand for.
const metre = 1000 * unit.Millimetre

// footNM is a foot in the units of draw.Grip.
const footNM = float64(unit.Foot)

// legsOf gives, for the segments of a run in order, the leg that each belongs to: those of
// the arm first. A run without legs is one leg.
func legsOf(n *network.Net, run *network.Run) []int {
	legs := append(append([]job.Leg{}, run.Def.Arm...), run.Def.Legs...)
	out := make([]int, len(run.Segs))
	leg, from := 0, unit.Length(0)
	for i, s := range run.Segs {
		seg := &n.Segs[s]
		if i > 0 && leg+1 < len(legs) {
			now := &legs[leg]
			// The next leg begins where this one ends; where that is not known, at its turn.
			if seg.From == from+now.Length.V && seg.Way == legs[leg+1].Way && (now.Length.V > 0 || legs[leg+1].Way != now.Way) {
				from += now.Length.V
				leg++
			}
		}
		out[i] = leg
	}
	return out
}

// grips notes where the riser can be taken hold of.
func (p *picture) grips() {
	g, n := p.g, p.r.Net
	gr := &p.s.Grips
	gr.List = make([]draw.Grip, 0, len(n.Segs)+2*len(n.Vents))
	var worth, count [3]float64 // millimetres on paper for a foot, by axis
	see := func(axis int8, paper, feet float64) {
		if axis >= 0 && feet > 0.1 {
			worth[axis] += paper / feet
			count[axis]++
		}
	}
	for i := range n.Runs {
		run := &n.Runs[i]
		at := 0.0
		legs := legsOf(n, run)
		for k, s := range run.Segs {
			from := at
			at += g.length[s] * footNM
			if !p.kept(s) {
				continue
			}
			seg := &n.Segs[s]
			x := draw.Grip{ID: run.Name, Part: legs[k], A: p.at[g.upper[s]], B: p.at[g.lower[s]], From: int64(math.Round(from)), To: int64(math.Round(at)), Known: seg.LengthKnown}
			if seg.LengthKnown {
				x.To = x.From + int64(seg.To-seg.From)
				at = float64(x.To)
			}
			gr.List = append(gr.List, x)
			see(axisAlong(g.flow[s], 0.98), x.B.Sub(x.A).Len(), g.length[s])
		}
	}
	for v := range n.Vents {
		p.ventGrips(network.VentID(v))
	}
	all, many := 0.0, 0.0
	for axis := range worth {
		all += worth[axis]
		many += count[axis]
	}
	usual := 4.0 * p.x.k * p.mag
	if many > 0 {
		usual = all / many
	}
	for _, w := range []struct {
		word string
		way  vec
	}{{"E", east}, {"W", east.mul(-1)}, {"N", north}, {"S", north.mul(-1)}, {"up", up}, {"down", up.mul(-1)}} {
		gr.Ways = append(gr.Ways, draw.Way{Word: w.word, Step: p.toward(w.way).Unit().Mul(usual * float64(metre) / footNM)})
	}
}

// ventGrips notes the own legs of a vent, with the air upward from its take-off.
func (p *picture) ventGrips(v network.VentID) {
	g := p.g
	def := p.r.Net.Vents[v].Def
	said := []job.Len{def.Length}
	if len(def.Legs) > 0 {
		said = said[:0]
		for i := range def.Legs {
			said = append(said, def.Legs[i].Length)
		}
	}
	own := make([][]int32, len(said)) // the edges of each leg; one is split where others join
	leg := -1
	var last vec
	for _, i := range g.ventEdges[v] {
		e := &g.edges[i]
		if e.added {
			continue
		}
		if leg < 0 || !e.way.same(last) {
			leg++
		}
		if leg >= len(own) {
			break
		}
		own[leg], last = append(own[leg], i), e.way
	}
	long := func(i int32) float64 { return g.nodes[g.edges[i].b].p.sub(g.nodes[g.edges[i].a].p).len() * footNM }
	at := 0.0
	for leg, list := range own {
		drawn := 0.0
		for _, i := range list {
			drawn += long(i)
		}
		k := 1.0 // the last leg is drawn up to the roof, however long it is
		if said[leg].Set && drawn > 0 {
			k = float64(said[leg].V) / drawn
		}
		for _, i := range list {
			e := &g.edges[i]
			from := at
			at += k * long(i)
			if p.show[i] {
				p.s.Grips.List = append(p.s.Grips.List, draw.Grip{ID: p.r.Net.Vents[v].Name, Part: leg, A: p.at[e.a], B: p.at[e.b], From: int64(math.Round(from)), To: int64(math.Round(at)), Known: said[leg].Set})
			}
		}
	}
}

// grips notes where a plan can be taken hold of: its level pipe.
func (p *plan) grips() {
	n := p.r.Net
	gr := &p.s.Grips
	for i := range n.Runs {
		run := &n.Runs[i]
		at := 0.0
		legs := legsOf(n, run)
		for k, s := range run.Segs {
			seg := &n.Segs[s]
			from := at
			long := math.Hypot(p.up[s][0]-p.low[s][0], p.up[s][1]-p.low[s][1]) * footNM
			if seg.LengthKnown {
				long = float64(seg.To - seg.From)
			}
			at += long
			if !p.on[s] || seg.Lie == network.Upright && seg.Way.Plumb == 0 {
				continue
			}
			gr.List = append(gr.List, draw.Grip{ID: run.Name, Part: legs[k], A: p.at(p.up[s]), B: p.at(p.low[s]), From: int64(math.Round(from)), To: int64(math.Round(at)), Known: seg.LengthKnown})
		}
	}
	mm := p.k * float64(metre) / footNM
	d := mm * math.Sqrt2 / 2
	gr.Ways = []draw.Way{
		{Word: "N", Step: draw.Point{Y: -mm}},
		{Word: "E", Step: draw.Point{X: mm}},
		{Word: "S", Step: draw.Point{Y: mm}},
		{Word: "W", Step: draw.Point{X: -mm}},
		{Word: "NE", Step: draw.Point{X: d, Y: -d}},
		{Word: "SE", Step: draw.Point{X: d, Y: d}},
		{Word: "SW", Step: draw.Point{X: -d, Y: d}},
		{Word: "NW", Step: draw.Point{X: -d, Y: -d}},
	}
	for i := range gr.Ways { // as north lies on this plan
		gr.Ways[i].Step = p.turned(gr.Ways[i].Step)
	}
}
