// Package sample draws sheets that the tests of the writers share: all symbols, and a small
// invented house drawn by hand. No program imports it.
package sample

import (
	"trapweir/draw"
	"trapweir/draw/symbol"
	"trapweir/draw/textwidth"
)

// Symbols gives a sheet with every symbol at the size it has on a drawing, those of true
// size at 1:48 (1/4 inch to the foot), with their titles below.
func Symbols() *draw.Sheet {
	s, _ := draw.NewSheet("tabloid", false, "P-0", "Symbols")
	s.Desc = "Every drawing symbol with its name."
	free := draw.DrawFrame(s, draw.TitleBlock{
		Project: "Heron Lane, new house (invented)",
		Scale:   "Fixtures 1:48",
		Of:      "1 of 7",
		Notice:  "Local code and the inspector decide. Licensed work is licensed work.",
		Stamp:   true,
		Lines: []draw.Field{
			{Label: "Address", Value: "12 Heron Lane, Marlow County (invented)"},
			{Label: "Permit", Value: "none, sample only"},
			{Label: "Code", Value: "irc-2021 with marlow-county, our-shop"},
			{Label: "Drawn", Value: "2026-11-25"},
		},
	})
	names := symbol.Names()
	const columns = 13
	rows := (len(names) + columns - 1) / columns
	w, h := free.W()/columns, free.H()/float64(rows)
	i := 0
	for pass := range 3 {
		for _, name := range names {
			sym := symbol.Get(name)
			if group(sym) != pass {
				continue
			}
			x, y := free.X0+(float64(i%columns)+0.5)*w, free.Y0+float64(i/columns)*h
			i++
			p := draw.Upright(draw.Point{})
			if sym.True {
				p = p.Scaled(1.0 / 48)
			}
			m := draw.Mark{Layer: draw.LayerDrain, ID: name}
			switch {
			case sym.True:
				m.Layer = draw.LayerFixture
			case name == "vent-through-roof" || name == "air-admittance-valve" || name == "air-admittance-valve-box" || name == "vent-ell" || name == "island-vent":
				m.Layer = draw.LayerVent
			case name == "balloon":
				m.Layer = draw.LayerFinding
			case group(sym) == 1 || sym.View == symbol.Any:
				m.Layer = draw.LayerSymbol
			}
			if name == "crossing" {
				m.Layer = draw.LayerDrain
			}
			var words []string
			switch name {
			case "slope-mark":
				words = []string{`1/4"/FT`}
			case "break-mark":
				words = []string{"A"}
			case "balloon":
				words = []string{"7"}
			case "section-mark":
				words = []string{"3", "P-4"}
			case "axes":
				words = []string{"E", "UP"}
			}
			b, _ := draw.Bounds(sym.Put(m, p, words...))
			c := b.Centre()
			p.At = draw.Point{X: x - c.X, Y: y + (h-9)/2 - c.Y}
			s.Add(sym.Put(m, p, words...))
			lines := draw.Wrap(sym.Title, draw.SmallestText, textwidth.Regular, w-3)
			shapes, _ := draw.Lines(draw.Text{Mark: draw.Mark{Layer: draw.LayerText}, At: draw.Point{X: x, Y: y + h - 9.5}, Align: draw.Middle}, lines)
			s.Add(shapes...)
		}
	}
	return s
}

func group(s *symbol.Symbol) int {
	switch {
	case s.True:
		return 2
	case s.View == symbol.Plan:
		return 1
	}
	return 0
}
