package view

import (
	"sort"
	"strings"

	"trapweir/draw"
	"trapweir/draw/layout"
	"trapweir/engine"
	"trapweir/engine/codebook"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// cleanouts visits the cleanouts of runs that are drawn.
func cleanouts(r *engine.Result, visit func(run *network.Run, c *job.Cleanout) bool) {
	for i := range r.Net.Runs {
		run := &r.Net.Runs[i]
		for j := range run.Def.Clean {
			if len(run.Segs) > 0 && visit(run, &run.Def.Clean[j]) {
				return
			}
		}
	}
}

// room is what the book asks in front of a cleanout on pipe of that size.
func (k *sketch) room(size unit.Size) (words, cite string) {
	c := k.r.Book.Cell("cleanout-clearance", size, "clearance")
	if c.State != codebook.Given {
		return "", ""
	}
	return k.words(c.Length), cited(c.Cite)
}

// clearance tells the room that the job gives at a cleanout, and what the book asks for; ""
// where neither says anything.
func (k *sketch) clearance(where string, co *job.Cleanout, least, cite string) string {
	switch {
	case co.Clearance.Set && least != "":
		return "Room " + where + ": " + k.words(co.Clearance.V) + "; at least " + least + cite + "."
	case co.Clearance.Set:
		return "Room " + where + ": " + k.words(co.Clearance.V) + "."
	case least != "":
		return "Room " + where + ": at least " + least + cite + "; the job does not say."
	}
	return ""
}

func twoWayDetail(r *engine.Result) *sketch {
	var run *network.Run
	var co *job.Cleanout
	cleanouts(r, func(x *network.Run, c *job.Cleanout) bool {
		if c.Type.Text == "two-way" {
			run, co = x, c
		}
		return co != nil
	})
	if co == nil {
		return nil
	}
	k := newSketch(r, "two-way cleanout", "Two-way cleanout on "+run.Name)
	seg := segAt(run, co)
	size := r.Sizes.Size[seg]
	k.tube(draw.LayerDrain, pt(2, 49), pt(64, 50.4))
	k.tubeOf(draw.LayerDrain, tubeHalf, true, pt(33, 9), pt(33, 40))
	k.tube(draw.LayerDrain, append([]draw.Point{pt(33, 33)}, elbow(pt(21, 37), 12, 0, 82)...)...)
	k.tube(draw.LayerDrain, append([]draw.Point{pt(33, 33)}, elbow(pt(45, 37), 12, 180, 98)...)...)
	k.tubeOf(draw.LayerSymbol, 2.8, true, pt(33, 6.4), pt(33, 9))
	k.face(pt(2, 9.6), pt(29.8, 9.6))
	k.face(pt(36.2, 9.6), pt(64, 9.6))
	k.name(pt(8, 9.6), 0.4, "GRADE", layout.Below, layout.Above)
	k.name(pt(33, 7), 3, "CAP IN REACH", layout.LeftOf, layout.AboveLeft)
	k.arrow(pt(62, 50.4), pt(1, 0.02))
	z := sizeWords(size)
	if co.Size.V > 0 {
		z = sizeWords(co.Size.V)
	}
	k.name(pt(33, 24), 2.3, z, layout.RightOf)
	k.pipe(pt(8, 49.2), 2.3, size, run.Name, layout.Below, layout.BelowRight)
	k.note("It stands " + k.placed(co.Place) + " of " + run.Name + "; one riser serves both ways, so that the line is rodded up and down" + k.clause("cleanout-junction") + ".")
	inv := r.Levels.InvertUp[seg]
	if g := r.Levels.Profile(r.Net, r.Sizes, seg)[0].Ground; g.Known && inv.Known {
		k.dim(pt(57, 52.2), pt(57, 9.6), 3, k.words(g.V-inv.V))
		k.note("Invert " + heightWords(inv.V, r.Job.Units) + ", " + k.words(g.V-inv.V) + " below grade.")
	} else {
		k.note("Depth below grade not known: the job gives no grade or no invert there.")
	}
	if w, c := k.room(size); w != "" {
		k.note(k.clearance("around it", co, w, c))
	}
	return k
}

// segAt is the piece of a run that a cleanout stands on.
func segAt(run *network.Run, co *job.Cleanout) network.SegID {
	if co.Place.Kind == job.LowerEnd || co.Place.Kind == job.FootOfDrop {
		return run.Segs[len(run.Segs)-1]
	}
	return run.Segs[0]
}

// atLeast marks a figure of a drawing as a limit of the book where the job gives none.
func atLeast(limit string) string {
	if limit == "" {
		return ""
	}
	return limit + " MIN"
}

// placed says where on a run something is.
func (k *sketch) placed(p job.Place) string {
	switch p.Kind {
	case job.UpperEnd, job.NotSaid:
		return "at the upper end"
	case job.LowerEnd:
		return "at the lower end"
	case job.FootOfDrop:
		return "at the foot"
	case job.TopOfDrop:
		return "at the top of the drop"
	case job.EndOfArm:
		return "at the end of the arm"
	case job.AfterName:
		return "at the place after " + p.Name
	}
	return k.words(p.Len) + " from the upper end"
}

func cleanoutDetail(r *engine.Result) *sketch {
	var names []string
	var run *network.Run
	var co *job.Cleanout
	cleanouts(r, func(x *network.Run, c *job.Cleanout) bool {
		if c.Type.Text == "two-way" {
			return false
		}
		if co == nil {
			run, co = x, c
		}
		if c != co {
			z := r.Sizes.Size[segAt(x, c)]
			if c.Size.V > 0 {
				z = c.Size.V
			}
			names = append(names, x.Name+" "+sizeWords(z))
		}
		return false
	})
	if co == nil {
		return nil
	}
	k := newSketch(r, "cleanout", "Cleanout on "+run.Name)
	size := r.Sizes.Size[segAt(run, co)]
	k.tube(draw.LayerDrain, pt(27, 32), pt(65, 33))
	k.tubeOf(draw.LayerSymbol, 2.9, true, pt(24, 32), pt(27, 32))
	k.box(draw.LayerSymbol, draw.Medium, draw.FillInk, 22.4, 30.9, 24, 33.1)
	k.tube(draw.LayerDrain, pt(44, 4), pt(44, 20), pt(53, 32.7))
	k.arrow(pt(62, 32.9), pt(1, 0.03))
	k.line(draw.LayerBuilding, draw.Medium, draw.Solid, pt(4, 12), pt(4, 52))
	k.name(pt(4, 16), 0.6, "WALL OR OTHER", layout.RightOf)
	k.name(pt(23, 32), 2, "PLUG", layout.Above)
	k.pipe(pt(56, 32.8), 2.3, size, run.Name, layout.Below, layout.BelowLeft)
	least, cite := k.room(size)
	words := atLeast(least)
	if co.Clearance.Set {
		words = k.words(co.Clearance.V)
	}
	if words != "" {
		k.dim(pt(4, 36), pt(22.4, 36), 6, words)
	}
	k.note("It stands " + k.placed(co.Place) + ".")
	k.note(k.clearance("in front", co, least, cite))
	z := size
	if co.Size.V > 0 {
		z = co.Size.V
	}
	k.note("Plug " + sizeWords(z) + " on " + sizeWords(size) + " pipe" + k.clause("cleanout-size") + "; it opens against the way of the water or square to it.")
	if co.Reach.Text == "concealed" {
		k.note("It is concealed: a cover or an extension brings it within reach" + k.clause("cleanout-concealed") + ".")
	}
	sort.Strings(names)
	names = uniq(names)
	if len(names) > 0 {
		k.note("Other cleanouts, of the sizes of their plugs: " + strings.Join(names, ", ") + ".")
	}
	return k
}
