package symbol

import (
	"math"
	"strings"
	"testing"

	"trapweir/data/symbols"
	"trapweir/draw"
)

func TestEverySymbol(t *testing.T) {
	titles := map[string]string{}
	for _, n := range Names() {
		s := Get(n)
		if s.Name != n {
			t.Errorf("%s.sym is called %s inside", n, s.Name)
		}
		if other, ok := titles[s.Title]; ok {
			t.Errorf("%s and %s share the title %q", n, other, s.Title)
		}
		titles[s.Title] = n
		p := draw.Upright(draw.Point{})
		if s.True {
			p = p.Scaled(1.0 / 48)
		}
		ref := s.Put(draw.Mark{Layer: draw.LayerDrain, ID: n}, p, "A", "B")
		b, ok := draw.Bounds(ref)
		if !ok || max(b.W(), b.H()) < 1.3 || max(b.W(), b.H()) > 35 {
			t.Errorf("%s is %.1f by %.1f mm on paper: too small or too large to read", n, b.W(), b.H())
		}
		if ref.Title != s.Title {
			t.Errorf("%s has the title %q", n, ref.Title)
		}
		for _, k := range ref.Strokes {
			if x, ok := k.(draw.Text); ok && x.Height() < draw.SmallestText {
				t.Errorf("%s has text of %.1f mm", n, x.Height())
			}
		}
		// A port lies on the symbol or within the width of a line of it.
		for _, q := range s.Ports {
			at, dir, ok := s.Port(q.Name, p)
			if !ok || !b.Grow(0.9).Contains(draw.Rect{X0: at.X, Y0: at.Y, X1: at.X, Y1: at.Y}) {
				t.Errorf("%s: port %s at %v lies off the symbol %v", n, q.Name, at, b)
			}
			if math.Abs(dir.Len()-1) > 1e-9 {
				t.Errorf("%s: port %s leads %v", n, q.Name, dir)
			}
		}
	}
}

// The items that a drain, waste and vent drawing has symbols for (common practice; the
// list is our own), with the symbol that shows each in elevation and in plan.
func TestListIsComplete(t *testing.T) {
	for item, names := range map[string]string{
		"trap":               "p-trap p-trap-plan",
		"closet bend":        "closet-bend closet-bend-plan",
		"closet flange":      "closet-flange closet-flange-plan",
		"bends":              "quarter-bend long-turn-bend eighth-bend sixteenth-bend vent-ell",
		"branches":           "sanitary-tee wye combination-wye double-wye double-fixture-fitting test-tee",
		"cleanouts":          "cleanout floor-cleanout floor-cleanout-plan wall-cleanout two-way-cleanout two-way-cleanout-plan",
		"floor drain":        "floor-drain floor-drain-plan",
		"terminals":          "vent-through-roof vent-through-roof-plan air-admittance-valve air-admittance-valve-box",
		"changes":            "reducer eccentric-reducer coupling capped-end",
		"marks":              "flow-arrow slope-mark break-mark crossing joint north-arrow axes balloon level-mark section-mark",
		"support and walls":  "hanger hanger-plan sleeve",
		"appliances":         "backwater-valve backwater-valve-plan sump sump-plan air-gap air-gap-plan standpipe washer-box",
		"pipe through floor": "riser-up riser-down bend-up bend-down",
		"island":             "island-vent",
		"fixtures":           "water-closet lavatory lavatory-oval bathtub shower kitchen-sink kitchen-sink-double bar-sink laundry-sink clothes-washer dishwasher urinal bidet floor-sink",
	} {
		for _, n := range strings.Fields(names) {
			if Get(n) == nil {
				t.Errorf("%s: no symbol %s", item, n)
			}
		}
	}
}

// True sizes of fixtures in inches (common practice for residential fixtures).
func TestTrueSizes(t *testing.T) {
	for n, want := range map[string][2]float64{
		"bathtub":             {60, 32},
		"shower":              {36, 36},
		"water-closet":        {20, 29},
		"lavatory":            {20, 17.3},
		"kitchen-sink-double": {33, 22},
		"kitchen-sink":        {25, 22},
		"dishwasher":          {24, 24},
		"clothes-washer":      {27, 27},
		"floor-sink":          {12, 12},
	} {
		b, _ := draw.Bounds(Get(n).Put(draw.Mark{Layer: draw.LayerFixture}, draw.Upright(draw.Point{})))
		if w, h := b.W()/25.4, b.H()/25.4; math.Abs(w-want[0]) > 0.6 || math.Abs(h-want[1]) > 0.6 {
			t.Errorf("%s is %.1f by %.1f in, want %.1f by %.1f", n, w, h, want[0], want[1])
		}
	}
}

// Strokes that draw one pipe meet end to end: a gap would show.
func TestPipesMeet(t *testing.T) {
	for _, n := range []string{"p-trap", "closet-bend", "quarter-bend", "long-turn-bend", "p-trap-plan"} {
		for _, p := range []draw.Placement{draw.Upright(draw.Point{X: 5, Y: 5}), draw.Upright(draw.Point{}).Mirrored().Turned(30).Scaled(2), {U: draw.Point{X: 0.866, Y: -0.5}, V: draw.Point{Y: -1}}} {
			var end draw.Point
			has := false
			for _, k := range Get(n).Put(draw.Mark{Layer: draw.LayerDrain}, p).Strokes {
				if k.Base().Pen.Width != draw.Heavy {
					continue // marks, not pipe
				}
				var a, b draw.Point
				switch k := k.(type) {
				case draw.Line:
					a, b = k.A, k.B
				case draw.Arc:
					a, b = k.At(k.Start), k.At(k.Start+k.Sweep)
				case draw.Polyline:
					a, b = k.Points[0], k.Points[len(k.Points)-1]
				}
				if has && a.Sub(end).Len() > 0.01 {
					t.Errorf("%s: a stroke ends at %v and the next begins at %v", n, end, a)
				}
				end, has = b, true
			}
			if at, _, ok := Get(n).Port("out", p); !ok || at.Sub(end).Len() > 0.01 {
				t.Errorf("%s: the pipe ends at %v and its port is at %v", n, end, at)
			}
		}
	}
}

// In the level plane of an isometric a circle becomes an ellipse of 1.225 and 0.707 times
// its diameter (geometry: root of 3/2 and root of 1/2).
func TestCircleInIsometric(t *testing.T) {
	c, s := math.Cos(math.Pi/6), math.Sin(math.Pi/6)
	ref := Get("riser-down").Put(draw.Mark{Layer: draw.LayerDrain}, draw.Placement{U: draw.Point{X: c, Y: -s}, V: draw.Point{X: -c, Y: -s}})
	b, _ := draw.Bounds(ref)
	if d := 3.0; math.Abs(b.W()-d*math.Sqrt(1.5)) > 0.02 || math.Abs(b.H()-d*math.Sqrt(0.5)) > 0.02 {
		t.Errorf("the ellipse is %.3f by %.3f, want %.3f by %.3f", b.W(), b.H(), d*math.Sqrt(1.5), d*math.Sqrt(0.5))
	}
}

// A mirrored or turned symbol is the same symbol: its box is mirrored or turned.
func TestMirrored(t *testing.T) {
	for _, n := range Names() {
		s := Get(n)
		strokes := func(p draw.Placement) (b draw.Rect) {
			first := true
			for _, k := range s.Put(draw.Mark{Layer: draw.LayerDrain}, p).Strokes {
				if _, text := k.(draw.Text); text {
					continue // words stay level
				}
				r, _ := draw.Bounds(k)
				if first {
					b, first = r, false
				}
				b = b.Union(r)
			}
			return b
		}
		p := draw.Upright(draw.Point{})
		a, m, q := strokes(p), strokes(p.Mirrored()), strokes(p.Turned(90))
		const tol = 0.02
		if math.Abs(a.X0+m.X1) > tol || math.Abs(a.X1+m.X0) > tol || math.Abs(a.Y0-m.Y0) > tol {
			t.Errorf("%s: %v mirrored is %v", n, a, m)
		}
		// A quarter clockwise takes (x, y) to (-y, x).
		if math.Abs(q.X0+a.Y1) > tol || math.Abs(q.Y0-a.X0) > tol || math.Abs(q.X1+a.Y0) > tol {
			t.Errorf("%s: %v turned is %v", n, a, q)
		}
	}
}

func TestPens(t *testing.T) {
	vent := Get("vent-through-roof").Put(draw.Mark{Layer: draw.LayerVent}, draw.Upright(draw.Point{}))
	dashed := false
	for _, k := range vent.Strokes {
		dashed = dashed || k.Base().Pen.Or(draw.LayerVent) == draw.LayerVent.Pen()
	}
	if !dashed {
		t.Error("the pipe of a vent through the roof should be drawn as a vent")
	}
	trap := Get("p-trap").Put(draw.Mark{Layer: draw.LayerDrainBelow}, draw.Upright(draw.Point{}))
	for _, k := range trap.Strokes {
		if p := k.Base().Pen.Or(draw.LayerDrainBelow); p != (draw.Pen{Width: draw.Heavy}) {
			t.Errorf("a trap below the floor is drawn with %v, want heavy and solid: dashes would hide its shape", p)
		}
	}
}

func TestWordsHandedIn(t *testing.T) {
	count := func(words ...string) (n int, got string) {
		for _, k := range Get("balloon").Put(draw.Mark{Layer: draw.LayerFinding}, draw.Upright(draw.Point{}), words...).Strokes {
			if x, ok := k.(draw.Text); ok {
				n, got = n+1, x.Words
			}
		}
		return n, got
	}
	if n, got := count("12"); n != 1 || got != "12" {
		t.Errorf("the balloon says %q in %d texts", got, n)
	}
	if n, _ := count(); n != 0 {
		t.Error("a balloon without a number should have no text")
	}
}

func TestParseErrors(t *testing.T) {
	const head = "symbol x\ntitle X\nview plan\n"
	for _, tt := range []struct{ body, want string }{
		{"", "x.sym: a symbol needs the lines symbol, title and view"},
		{head, "x.sym: x has no strokes"},
		{head + "squiggle 1 2", `x.sym:4: "squiggle" is no word of a symbol file`},
		{head + "line 1 2 3", "x.sym:4: line has 3 numbers"},
		{head + "line 1 2 3 4 5", "x.sym:4: line has 5 numbers"},
		{head + "circle 1 2 three", `x.sym:4: "three" is no number`},
		{head + "circle 1 2 NaN", `x.sym:4: "NaN" is no number`},
		{head + "pen felt", `x.sym:4: pen "felt" is none of pipe, run, vent, hair, thin, medium, bold, heavy`},
		{head + "fill red", `x.sym:4: fill "red" is none of none, ink, paper`},
		{head + "port in 0 0 sideways", `x.sym:4: way "sideways" is none of left, right, up, down and no number of degrees`},
		{head + "port in 0 0", "x.sym:4: port has 3 words after it: write name, u, v and way"},
		{head + "text 0 0 2.5 middle", "x.sym:4: text has 4 words after it: write u, v, size, align and the words"},
		{"view side", `x.sym:1: view "side" is none of any, elevation, plan`},
		{"scale 1:4", `x.sym:1: scale "1:4" is neither true nor paper`},
	} {
		_, err := Parse("x.sym", tt.body)
		if err == nil || err.Error() != tt.want {
			t.Errorf("%q: %v, want %s", tt.body, err, tt.want)
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, n := range Names() {
		b, err := symbols.Files.ReadFile(n + ".sym")
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(b))
	}
	f.Fuzz(func(t *testing.T, body string) {
		s, err := Parse("x", body)
		if err != nil {
			return
		}
		s.Put(draw.Mark{}, draw.Upright(draw.Point{}), "1")
	})
}

func BenchmarkParseAll(b *testing.B) {
	var bodies []string
	for _, n := range Names() {
		body, err := symbols.Files.ReadFile(n + ".sym")
		if err != nil {
			b.Fatal(err)
		}
		bodies = append(bodies, string(body))
	}
	for b.Loop() {
		for _, s := range bodies {
			if _, err := Parse("x", s); err != nil {
				b.Fatal(err)
			}
		}
	}
}
