package sample

import (
	"fmt"

	"trapweir/draw"
	"trapweir/draw/symbol"
)

// Many gives a sheet of n shapes in the mixture of a large riser, for benchmarks.
func Many(n int) *draw.Sheet {
	s, _ := draw.NewSheet("arch-d", false, "P-9", "Many")
	trap := symbol.Get("p-trap")
	for i := range n {
		x, y := 20+float64(i%50)*17, 20+float64(i/50)*12
		id := fmt.Sprintf("run %d", i)
		switch i % 10 {
		case 0, 1, 2, 3:
			s.Add(draw.Polyline{Mark: draw.Mark{Layer: draw.LayerDrain, ID: id, Title: "Branch, 2 in"}, Points: []draw.Point{{X: x, Y: y}, {X: x + 8, Y: y + 4.62}, {X: x + 8, Y: y + 9}}})
		case 4:
			s.Add(draw.Line{Mark: draw.Mark{Layer: draw.LayerVent, ID: id}, A: draw.Point{X: x, Y: y}, B: draw.Point{X: x, Y: y + 9}})
		case 5:
			s.Add(draw.Circle{Mark: draw.Mark{Layer: draw.LayerSymbol, ID: id}, C: draw.Point{X: x + 4, Y: y + 4}, R: 2.5})
		case 6:
			s.Add(trap.Put(draw.Mark{Layer: draw.LayerDrain, ID: id}, draw.Upright(draw.Point{X: x + 6, Y: y + 6})))
		default:
			s.Add(draw.Text{Mark: draw.Mark{Layer: draw.LayerText}, At: draw.Point{X: x, Y: y + 4}, Words: `2" W 1/4"/FT`})
		}
	}
	return s
}
