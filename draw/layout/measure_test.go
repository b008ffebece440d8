package layout_test

import (
	"testing"

	"trapweir/draw"
	"trapweir/draw/layout"
)

// A sheet with one of each, drawn by hand.
func TestMeasure(t *testing.T) {
	s, _ := draw.NewSheet("letter", false, "", "")
	pipe := func(id string, x0, y0, x1, y1 float64) draw.Polyline {
		return draw.Polyline{Mark: draw.Mark{Layer: draw.LayerDrain, ID: id}, Points: []draw.Point{{X: x0, Y: y0}, {X: x1, Y: y1}}}
	}
	label := func(id string, x, y float64, leader ...draw.Point) draw.Group {
		g := draw.Group{Mark: draw.Mark{Layer: draw.LayerText, ID: id}, Shapes: []draw.Shape{draw.Text{Mark: draw.Mark{Layer: draw.LayerText}, At: draw.Point{X: x, Y: y}, Words: `3"`}}}
		if len(leader) > 0 {
			g.Shapes = append(g.Shapes, draw.Polyline{Mark: draw.Mark{Layer: draw.LayerDimension}, Points: leader})
		}
		return g
	}
	s.Add(pipe("main", 20, 100, 200, 100), pipe("branch", 20, 130, 200, 130))
	if m := layout.Measure(s); m.Leaders+m.OverPipes+m.OverLeader+m.Astray+m.OnPipes > 0 {
		t.Errorf("two pipes alone: %+v", m)
	}
	s.Add(pipe("a", 30, 20, 30, 60), pipe("b", 31, 22, 31, 58)) // 1 mm apart
	s.Add(pipe("c", 50, 20, 50, 60), pipe("d", 53, 22, 53, 58)) // 3 mm apart
	s.Add(pipe("e", 70, 20, 70, 60), pipe("f", 71, 59, 71, 61)) // for a little
	s.Add(pipe("g", 90, 20, 90, 60), pipe("g.2", 91, 22, 91, 58))
	if m := layout.Measure(s); m.Together != 1 || len(m.Notes) != 1 || m.Notes[0] != "a and b run together" {
		t.Errorf("pipes beside each other: %+v", m)
	}
	s.Add(label("main.label", 50, 98))                                                                                    // at its pipe
	s.Add(label("branch.label", 80, 98))                                                                                  // at the other one
	s.Add(label("branch.label.2", 60, 90, draw.Point{X: 66, Y: 89}, draw.Point{X: 68, Y: 89}, draw.Point{X: 90, Y: 130})) // over main
	s.Add(label("main.label.2", 60, 80, draw.Point{X: 90, Y: 79}, draw.Point{X: 88, Y: 79}, draw.Point{X: 66, Y: 100}))   // over that leader
	m := layout.Measure(s)
	if m.Lines != 4 || m.Leaders != 2 || m.OverPipes != 1 || m.OverLeader != 1 || m.Astray != 1 || m.OnPipes != 0 {
		t.Errorf("got %+v", m)
	}
	s.Add(draw.SymbolRef{Mark: draw.Mark{Layer: draw.LayerVent, ID: "roof"}, Name: "roof", Place: draw.Upright(draw.Point{X: 120, Y: 104}), Strokes: []draw.Shape{
		draw.Line{Mark: draw.Mark{Layer: draw.LayerVent}, A: draw.Point{X: 115, Y: 97}, B: draw.Point{X: 126, Y: 103}},
	}})
	if m := layout.Measure(s); m.OnPipes != 1 {
		t.Errorf("a mark on a pipe: %+v", m)
	}
}
