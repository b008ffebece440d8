package list

import (
	"testing"

	"trapweir/draw"
	"trapweir/draw/internal/golden"
	"trapweir/draw/internal/sample"
	"trapweir/draw/textwidth"
)

func TestGolden(t *testing.T) {
	golden.Check(t, "house.txt", Render(sample.House("tabloid")))
	golden.Check(t, "symbols.txt", Render(sample.Symbols()))
}

func TestEveryShape(t *testing.T) {
	s := &draw.Sheet{Number: "P-1", Title: "One of each", W: 100, H: 80}
	m := draw.Mark{Layer: draw.LayerDrain}
	s.Add(
		draw.Line{Mark: draw.Mark{Layer: draw.LayerVent, ID: "v 1", Title: `a "vent"`}, A: draw.Point{X: 1, Y: 2}, B: draw.Point{X: 3, Y: -0.001}},
		draw.Polyline{Mark: m, Points: []draw.Point{{X: 1, Y: 1}, {X: 2, Y: 2}}},
		draw.Polygon{Mark: m, Points: []draw.Point{{X: 1, Y: 1}, {X: 2, Y: 2}, {X: 3, Y: 1}}, Fill: draw.FillTint},
		draw.Circle{Mark: draw.Mark{Layer: draw.LayerDrain, Pen: draw.Pen{Dash: draw.Dots}}, C: draw.Point{X: 5, Y: 5}, R: 2},
		draw.Arc{Mark: m, C: draw.Point{X: 5, Y: 5}, R: 2, Start: 90, Sweep: -45},
		draw.Text{Mark: m, Words: "IE 96.42", Align: draw.Right, VAlign: draw.AtTop, Turn: -90, Weight: textwidth.Bold, Soft: true},
		draw.Group{Mark: draw.Mark{Layer: draw.LayerDrain, ID: "g"}, Shapes: []draw.Shape{draw.Line{Mark: m}}},
		draw.SymbolRef{Mark: m, Name: "cleanout", Place: draw.Upright(draw.Point{X: 4, Y: 4}).Scaled(2)},
	)
	want := `sheet "P-1" "One of each" 100.00 x 80.00
  line vent #"v 1" 1.00,2.00 3.00,0.00 title "a \"vent\""
  polyline drain 1.00,1.00 2.00,2.00
  polygon drain tint 1.00,1.00 2.00,2.00 3.00,1.00
  circle drain heavy dots 5.00,5.00 r 2.00
  arc drain 5.00,5.00 r 2.00 from 90.00 through -45.00
  text drain 0.00,0.00 2.50 right top bold soft turned -90.00 "IE 96.42"
  group drain #"g"
    line drain 0.00,0.00 0.00,0.00
  symbol cleanout drain 4.00,4.00 u 2.00,0.00 v 0.00,-2.00
`
	if got := string(Render(s)); got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
}
