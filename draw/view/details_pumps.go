package view

import (
	"trapweir/draw"
	"trapweir/draw/layout"
	"trapweir/engine"
	"trapweir/engine/codebook"
	"trapweir/engine/job"
	"trapweir/engine/network"
)

func basinDetail(r *engine.Result) *sketch {
	n := r.Net
	var run *network.Run
	for i := range n.Runs {
		if n.Runs[i].Def.Basin.Set && len(n.Runs[i].Segs) > 0 {
			run = &n.Runs[i]
			break
		}
	}
	if run == nil {
		return nil
	}
	b := &run.Def.Basin
	k := newSketch(r, "basin", "Basin with pump: "+run.Name)
	// Pit, cover, pump.
	k.face(pt(40, 26), pt(64, 26))
	k.face(pt(2, 26), pt(12, 26))
	k.name(pt(57, 26), 0.4, "FLOOR", layout.Below, layout.BelowRight)
	k.line(draw.LayerSymbol, draw.Bold, draw.Solid, pt(13, 26), pt(13, 52), pt(39, 52), pt(39, 26))
	cover := "COVER"
	if b.Cover.Text != "" {
		cover = upper(b.Cover.Text)
	}
	if b.Cover.Text == "open" {
		cover = "OPEN"
	} else {
		k.box(draw.LayerSymbol, draw.Medium, draw.FillPaper, 11.5, 24, 40.5, 26)
	}
	k.name(pt(38, 25), 1.4, cover, layout.AboveRight)
	k.box(draw.LayerSymbol, draw.Medium, draw.NoFill, 21, 44, 30, 51)
	k.name(pt(27, 48), 3.6, "PUMP", layout.RightOf)
	inlet := network.SegID(network.None)
	for _, u := range n.Up(run.Segs[0]) {
		inlet = u
	}
	k.tube(draw.LayerDrain, pt(2, 34), pt(15, 34.4))
	k.arrow(pt(12, 34.3), pt(1, 0.03))
	if inlet != network.None {
		k.also(pt(6, 34.1), 2.4, sizeWords(r.Sizes.Size[inlet]), layout.Below, layout.Above)
	}
	k.line(draw.LayerDimension, draw.Hair, draw.DashDot, pt(13, 40), pt(39, 40))
	k.name(pt(39, 40), 1, "WATER", layout.RightOf)
	// Discharge: up through the cover, check valve, full-open valve.
	z := r.Sizes.Size[run.Segs[0]]
	k.tube(draw.LayerDrain, pt(25.5, 44), pt(25.5, 2.4), pt(64, 2.4))
	k.also(pt(60, 2.4), 2.4, sizeWords(z), layout.Below)
	if b.Check.V || !b.Check.Set {
		k.valveBody(pt(25.5, 16), true)
		k.name(pt(25.5, 16), 3.4, "CHECK VALVE", layout.RightOf)
	}
	if b.Full.V || !b.Full.Set {
		k.valveBody(pt(25.5, 9), false)
		k.name(pt(25.5, 9), 3.4, "FULL OPEN", layout.RightOf)
	}
	k.arrow(pt(62, 2.4), pt(1, 0))
	k.tube(draw.LayerVent, pt(16.5, 2), pt(16.5, 24))
	k.name(pt(16.5, 6), 2.3, "VENT", layout.LeftOf)
	if b.Diameter.Set {
		k.dim(pt(39, 52), pt(13, 52), -6.4, k.words(b.Diameter.V))
	}
	if b.Depth.Set {
		k.dim(pt(39, 52), pt(39, 26), 24, k.words(b.Depth.V))
	}
	in := ""
	if inlet != network.None {
		in = "Inlet " + sizeWords(r.Sizes.Size[inlet]) + " from " + n.RunOf(inlet).Name
		if h := r.Levels.InvertLow[inlet]; h.Known {
			in += ", invert " + heightWords(h.V, r.Job.Units)
		}
		in += "; "
	}
	least, cite := k.limit("sump.inlet-above")
	text := in + "height over high water " + given(b.InletAboveHigh.Set, b.InletAboveHigh.V, r.Job.Units)
	if least != "" {
		text += ", at least " + least + cite
	}
	k.note(upper(text[:1]) + text[1:] + ".")
	pit := "Size of the pit not given"
	switch {
	case b.Diameter.Set && b.Depth.Set:
		pit = "Pit " + k.words(b.Diameter.V) + " across, " + k.words(b.Depth.V) + " deep"
	case b.Diameter.Set:
		pit = "Pit " + k.words(b.Diameter.V) + " across, depth not given"
	case b.Depth.Set:
		pit = "Pit " + k.words(b.Depth.V) + " deep, width not given"
	}
	if w, c := k.limit("sump.pit-width"); w != "" {
		if d, _ := k.limit("sump.pit-depth"); d != "" {
			pit += "; at least " + w + " and " + d + c
		}
	}
	switch b.Cover.Text {
	case "":
		pit += "; cover not given"
	case "open":
		pit += "; no cover"
	default:
		pit += "; " + b.Cover.Text + " cover"
	}
	k.note(pit + ".")
	pump := "Pump "
	if b.Pump.V > 0 {
		pump += b.Pump.V.String()
		if b.Head.Set {
			pump += " at a head of " + k.words(b.Head.V)
		}
	} else {
		pump += "not given"
	}
	k.note(pump + "; discharge " + sizeWords(z) + ", into the top of " + run.Def.Joins.Text + ".")
	var valves []string
	for _, v := range []struct {
		f     job.Flag
		name  string
		param string
	}{{b.Check, "check valve", "sump.check-valve"}, {b.Full, "full-open valve", "sump.full-open-valve"}} {
		w := v.name + " not given"
		if v.f.Set && v.f.V {
			w = v.name
		} else if v.f.Set {
			w = "no " + v.name
		}
		if p := r.Book.Param(v.param); p.State == codebook.Given && p.Yes {
			w += " (asked for" + cited(p.Cite) + ")"
		}
		valves = append(valves, w)
	}
	k.note(upper(valves[0][:1]) + valves[0][1:] + ", " + valves[1] + ".")
	if c := k.clause("sump-vent"); c != "" {
		k.note("The basin has a vent of its own" + c + ".")
	}
	return k
}

// valveBody draws a valve on upright pipe: two triangles, or a flap that lets pass upward.
func (k *sketch) valveBody(c draw.Point, check bool) {
	k.box(draw.LayerSymbol, draw.Medium, draw.FillPaper, c.X-3.2, c.Y-2.6, c.X+3.2, c.Y+2.6)
	if check {
		k.line(draw.LayerSymbol, draw.Medium, draw.Solid, pt(c.X-3.2, c.Y+1.6), pt(c.X+2, c.Y-1.4))
		k.add(draw.Circle{Mark: draw.Mark{Layer: draw.LayerSymbol}, C: pt(c.X-2.6, c.Y+1.3), R: 0.5, Fill: draw.FillInk})
		return
	}
	k.line(draw.LayerSymbol, draw.Medium, draw.Solid, pt(c.X-3.2, c.Y-2.6), pt(c.X+3.2, c.Y+2.6))
	k.line(draw.LayerSymbol, draw.Medium, draw.Solid, pt(c.X-3.2, c.Y+2.6), pt(c.X+3.2, c.Y-2.6))
}

func backwaterDetail(r *engine.Result) *sketch {
	n := r.Net
	for i := range n.Runs {
		run := &n.Runs[i]
		for _, d := range run.Def.Devices {
			if d.Text != "backwater valve" || len(run.Segs) == 0 {
				continue
			}
			k := newSketch(r, "backwater valve", "Backwater valve on "+run.Name)
			size := r.Sizes.Size[run.Segs[0]]
			k.tube(draw.LayerDrain, pt(2, 42), pt(64, 43.6))
			k.box(draw.LayerSymbol, draw.Bold, draw.FillPaper, 24, 36, 44, 48)
			k.line(draw.LayerSymbol, draw.Bold, draw.Solid, pt(27, 37), pt(33, 44))
			k.add(draw.Circle{Mark: draw.Mark{Layer: draw.LayerSymbol}, C: pt(27, 37), R: 0.7, Fill: draw.FillInk})
			k.tubeOf(draw.LayerSymbol, 5, false, pt(34, 36), pt(34, 12))
			k.box(draw.LayerSymbol, draw.Medium, draw.FillPaper, 27, 10, 41, 12)
			k.face(pt(2, 12), pt(27, 12))
			k.face(pt(41, 12), pt(64, 12))
			k.name(pt(58, 12), 0.4, "FLOOR OR GRADE", layout.Above, layout.AboveLeft)
			k.name(pt(34, 22), 5.3, "COVER AND SHAFT", layout.LeftOf, layout.RightOf)
			k.arrow(pt(61, 43.5), pt(1, 0.03))
			k.pipe(pt(8, 42.2), 2.3, size, run.Name, layout.Below, layout.BelowRight)
			k.note("On " + run.Name + ", " + sizeWords(size) + ": its flap opens with the water and closes against a sewer that backs up.")
			k.note("Only what lies below the next manhole's rim drains through it" + k.clause("backwater") + ".")
			if r.Job.Site.ManholeRim.Set {
				k.note("Rim of the manhole: " + heightWords(r.Job.Site.ManholeRim.V, r.Job.Units) + ".")
			} else {
				k.note("Rim of the manhole: not given.")
			}
			k.note("Within reach for cleaning" + k.clause("backwater-valve") + ".")
			return k
		}
	}
	return nil
}
