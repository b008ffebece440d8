package sample

import (
	"fmt"
	"math"

	"trapweir/draw"
	"trapweir/draw/layout"
	"trapweir/draw/symbol"
	"trapweir/draw/textwidth"
)

// iso turns a place in an invented house, in metres east, north and up, into one on the
// sheet, k millimetres to the metre.
func iso(o draw.Point, k, x, y, z float64) draw.Point {
	c, s := math.Cos(math.Pi/6), math.Sin(math.Pi/6)
	return draw.Point{X: o.X + k*(x-y)*c, Y: o.Y - k*((x+y)*s+z)}
}

// House gives a small invented house drawn by hand on a sheet of the named size: enough
// pipes, symbols, labels and a legend to see whether a writer gets them right.
func House(size string) *draw.Sheet {
	s, ok := draw.NewSheet(size, false, "P-R1", "Drain, waste and vent riser")
	if !ok {
		panic("no paper size " + size)
	}
	s.Desc = "Isometric of the drains and vents of an invented house with one bath and a kitchen."
	free := draw.DrawFrame(s, draw.TitleBlock{
		Project: "Heron Lane, new house (invented)", Scale: "NOT TO SCALE", Of: "2 of 7", Stamp: true,
		Notice: "Local code and the inspector decide.",
		Lines: []draw.Field{
			{Label: "Address", Value: "12 Heron Lane, Marlow County (invented)"},
			{Label: "Permit", Value: "none, a sample"},
			{Label: "Code", Value: "irc-2021, marlow-county, our-shop"},
			{Label: "Contractor", Value: "Example Plumbing (invented)"},
			{Label: "Drawn", Value: "2026-11-25"},
		},
	})
	k := free.H() / 11
	o := draw.Point{X: free.X0 + min(free.W()*0.44, 4.4*k), Y: free.Y1 - 2.3*k}
	at := func(x, y, z float64) draw.Point { return iso(o, k, x, y, z) }

	// Levels: a thin outline of each floor.
	for _, l := range []struct {
		name string
		z    float64
	}{{"FIRST FLOOR FF 0'-0\"", 0}, {"SECOND FLOOR FF 9'-1\"", 2.77}} {
		p := []draw.Point{at(-2.2, -1.2, l.z), at(2.4, -1.2, l.z), at(2.4, 2.4, l.z), at(-2.2, 2.4, l.z)}
		s.Add(draw.Polygon{Mark: draw.Mark{Layer: draw.LayerBuilding, ID: l.name}, Points: p})
	}

	var req []layout.Label
	pipe := func(sv int, id, title, label string, pts ...draw.Point) {
		s.Add(draw.Pipe(draw.Services[sv], id, title, pts...))
		if label != "" {
			req = append(req, layout.Label{ID: id + ".label", Lines: []string{label}, Along: pts, Half: 0.35, Priority: 1})
		}
	}
	put := func(name, id string, layer draw.Layer, p draw.Placement, label ...string) {
		ref := symbol.Get(name).Put(draw.Mark{Layer: layer, ID: id}, p)
		s.Add(ref)
		if len(label) > 0 {
			b, _ := draw.Bounds(ref)
			req = append(req, layout.Label{ID: id + ".tag", Lines: label, At: b.Centre(), Half: max(b.W(), b.H()) / 2, Priority: 2, Weight: textwidth.Bold})
		}
	}
	const drain, below, vent, existing, remove = 0, 1, 2, 5, 6
	pipe(below, "sewer", "Building sewer, 4 in", `4" S  1/4"/FT  (17)`, at(0, -2.6, -0.9), at(0, 0, -0.7))
	pipe(drain, "stack", "Stack, 3 in", `3" S  (11)`, at(0, 0, -0.7), at(0, 0, 2.6))
	pipe(vent, "stack vent", "Stack vent, 3 in", `3" V`, at(0, 0, 2.6), at(0, 0, 5.6))
	pipe(drain, "hall bath wc", "Hall bath WC, 3 in", `3" S  1/4"/FT  (4)`, at(0, 0, 2.5), at(-1.6, 0, 2.55), at(-1.6, 0, 2.77))
	pipe(drain, "hall bath lav", "Hall bath lavatory, 2 in", `2" W  1/4"/FT  (1)`, at(0, 0, 2.6), at(0, 1.7, 2.65), at(0, 1.7, 3.2))
	pipe(vent, "hall bath lav.vent", "Lavatory vent, 1-1/2 in", `1-1/2" V`, at(0, 1.7, 3.2), at(0, 1.7, 4.6), at(0, 0, 4.65))
	pipe(drain, "hall bath tub", "Hall bath tub, 2 in", `2" W  1/4"/FT  (2)`, at(0, 0, 2.45), at(1.5, 0, 2.5), at(1.5, 0, 2.6))
	pipe(vent, "hall bath tub.vent", "Tub vent, 1-1/2 in", `1-1/2" V`, at(0.8, 0, 2.47), at(0.8, 0, 4.5), at(0, 0, 4.55))
	pipe(drain, "kitchen", "Kitchen, 2 in", `2" W  1/4"/FT  (2)`, at(0, 0, -0.4), at(1.9, 0, -0.3), at(1.9, 0, 0.6))
	pipe(vent, "kitchen.vent", "Kitchen vent, 1-1/2 in", `1-1/2" V`, at(1.9, 0, 0.6), at(1.9, 0, 1.9))
	pipe(existing, "laundry", "Existing laundry drain, 2 in", `2" W (E)`, at(0, 0, -0.5), at(-1.9, 0, -0.4), at(-1.9, 0, 0.5))
	pipe(remove, "old sink", "Old sink drain, 1-1/2 in", `1-1/2" W (R)`, at(0, 0, -0.55), at(0, 1.9, -0.45))

	put("vent-through-roof", "vtr", draw.LayerVent, draw.Upright(at(0, 0, 5.6)), `3" VTR`)
	put("cleanout", "sewer.co", draw.LayerDrain, draw.Placement{At: at(0, 0, -0.7), U: draw.Point{X: -0.866, Y: -0.5}, V: draw.Point{Y: -1}}, `4" CO`)
	put("air-admittance-valve", "kitchen.aav", draw.LayerVent, draw.Upright(at(1.9, 0, 1.9)), "AAV")
	put("p-trap", "hall bath lav.trap", draw.LayerDrain, draw.Upright(at(0, 1.7, 3.2)).Scaled(0.8), "LAV-1")
	put("closet-flange", "hall bath wc.flange", draw.LayerDrain, draw.Upright(at(-1.6, 0, 2.77)), "WC-1")
	put("p-trap", "hall bath tub.trap", draw.LayerDrain, draw.Upright(at(1.5, 0, 2.6)).Mirrored().Scaled(0.8), "TUB-1")
	put("p-trap", "kitchen.trap", draw.LayerDrain, draw.Upright(at(1.9, 0, 0.6)).Mirrored().Scaled(0.8), "KS-1")
	put("standpipe", "laundry.standpipe", draw.LayerExisting, draw.Upright(at(-1.9, 0, 0.5)), "CW-1 (E)")
	put("flow-arrow", "sewer.flow", draw.LayerDrain, draw.Placement{At: at(0, -2.2, -0.87), U: draw.Point{X: 0.866, Y: 0.5}, V: draw.Point{X: 0.5, Y: -0.866}})
	ref := symbol.Get("balloon").Put(draw.Mark{Layer: draw.LayerFinding, ID: "finding 1", Title: "Trap arm longer than allowed"}, draw.Upright(at(0, 0.9, 2.62).Add(draw.Point{X: -2, Y: -9})), "1")
	s.Add(ref)
	s.Add(symbol.Get("north-arrow").Put(draw.Mark{Layer: draw.LayerSymbol, ID: "north"},
		draw.Placement{At: draw.Point{X: free.X1 - 14, Y: free.Y1 - 14}, U: draw.Point{X: 0.866, Y: -0.5}, V: draw.Point{X: -0.866, Y: -0.5}}))

	req = append(req, layout.Label{ID: "to sewer", Lines: []string{"TO PUBLIC SEWER", "IE 96.42"}, At: at(0, -2.6, -0.9), Half: 0.5, Priority: 3})
	for _, l := range []struct {
		id string
		p  draw.Point
	}{{"S-1", at(0, 0, 0.8)}} {
		req = append(req, layout.Label{ID: l.id, Lines: []string{l.id}, At: l.p, Half: 0.35, Weight: textwidth.Bold})
	}

	// The legend stands in the upper right corner.
	legend := draw.Point{X: free.X1 - 74, Y: free.Y0 + 2}
	s.Add(draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: legend, Words: "LEGEND", Size: 3, VAlign: draw.AtTop, Weight: textwidth.Bold})
	y := legend.Y + 9
	for i, v := range draw.Services {
		lines := draw.Wrap(v.Word, draw.SmallestText, textwidth.Regular, 40)
		s.Add(draw.Pipe(v, fmt.Sprintf("legend %d", i+1), "", draw.Point{X: legend.X, Y: y + 1.25}, draw.Point{X: legend.X + 28, Y: y + 1.25}))
		shapes, depth := draw.Lines(draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: legend.X + 32, Y: y}}, lines)
		s.Add(shapes...)
		y += depth + 3.5
	}

	var obs layout.Obstacles
	obs.AddShapes(s.Shapes, s.Fine)
	placed := layout.Place(req, &obs, free)
	for i := range placed {
		s.Add(placed[i].Shapes())
	}
	return s
}
