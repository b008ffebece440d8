package view

import (
	"strings"

	"trapweir/draw"
)

// ownPaper tells whether a drawing has a sheet of its own, no part of one.
func ownPaper(opt Options) bool {
	return opt.zoom == 0 && !strings.HasPrefix(opt.Paper, panel) && !strings.HasPrefix(opt.Paper, bare)
}

// larger lays a drawing that was made on blank paper onto a sheet, z times as large, into the
// room there. What can be taken hold of comes along.
func larger(on, p *draw.Sheet, room draw.Rect, z float64) {
	at := draw.Point{X: room.X0, Y: room.Y0}
	lay(on, p, at, z, true)
	for _, g := range p.Grips.List {
		g.A, g.B = at.Add(g.A.Mul(z)), at.Add(g.B.Mul(z))
		on.Grips.List = append(on.Grips.List, g)
	}
	for _, w := range p.Grips.Ways {
		w.Step = w.Step.Mul(z)
		on.Grips.Ways = append(on.Grips.Ways, w)
	}
	on.Desc = p.Desc
}

// shrunk is room for a drawing that is made z times as large afterwards, from the corner of
// blank paper.
func shrunk(room draw.Rect, z float64) draw.Rect {
	return draw.Rect{X1: room.W() / z, Y1: room.H() / z}
}
