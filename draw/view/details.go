package view

import (
	"strconv"
	"strings"

	"trapweir/draw"
	"trapweir/draw/layout"
	"trapweir/engine"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// pt is a point of a detail's canvas.
func pt(x, y float64) draw.Point { return draw.Point{X: x, Y: y} }

// Details draws, not to scale, the parts of the job that inspectors look at closely, with
// the job's own figures, and the book's limits with their places: only parts that the job
// has.
func Details(r *engine.Result, opt Options) []*draw.Sheet {
	var list []*sketch
	for _, make := range []func(*engine.Result) *sketch{trapArmDetail, standpipeDetail, islandDetail, valveDetail, terminalDetail, twoWayDetail, cleanoutDetail, basinDetail, backwaterDetail} {
		if k := make(r); k != nil {
			list = append(list, k)
		}
	}
	if len(list) == 0 {
		return nil
	}
	if ownPaper(opt) { // on large paper as large as they find room on one sheet
		_, area := newSheet(r, opt, paperOr(opt, "letter"), "", "Details", "NOT TO SCALE")
		usual := lettered(area.W())
		for _, z := range [...]float64{2.2, 2, 1.7, 1.4, 1.2} {
			if usual == 1 || z > usual*1.6 {
				continue
			}
			inner := opt
			inner.zoom, inner.Paper = z, bareOf(area.W()/z, area.H()/z)
			on, lost := detailSheets(r, inner, list, 0, 68)
			if len(on) > 1 || lost > 0 || flawed(on) {
				continue
			}
			s, room := newSheet(r, opt, paperOr(opt, "letter"), on[0].Number, "Details", "NOT TO SCALE")
			larger(s, on[0], room, z)
			return []*draw.Sheet{s}
		}
	}
	least := 68.0
	out, lost := detailSheets(r, opt, list, 0, least)
	for _, l := range []float64{56, 54, 52, 50, 48} { // rather a little smaller than another sheet, where no words are lost by it
		if len(out) < 2 {
			break
		}
		if less, gone := detailSheets(r, opt, list, 0, l); len(less) < len(out) && gone == 0 && !flawed(less) {
			out, lost, least = less, 0, l
			break
		}
	}
	if n := len(out); n > 1 { // about as many on each
		if even, gone := detailSheets(r, opt, list, n, least); len(even) == n && gone <= lost && !flawed(even) {
			return even
		}
	}
	return out
}

// flawed tells whether words lie on anything.
func flawed(sheets []*draw.Sheet) bool {
	for _, s := range sheets {
		if len(layout.Audit(s)) > 0 {
			return true
		}
	}
	return false
}

// detailSheets lays details row by row, each row as high as its details need, at least
// least millimetres; lost counts words that found no room. Over so many sheets as are told
// they are spread evenly; 0 fills each.
func detailSheets(r *engine.Result, opt Options, list []*sketch, sheets int, least float64) (out []*draw.Sheet, lost int) {
	for len(list) > 0 {
		s, area := newSheet(r, opt, paperOr(opt, "letter"), nthNumber(numberOr(opt, "P-D1"), len(out)), "Details", "NOT TO SCALE")
		s.Desc = "Details of parts of the system, not to scale."
		columns := max(1, int(area.W()/116))
		most := area.H()
		if n := len(list); ownPaper(opt) && n <= 2 && len(out) == 0 && least >= 68 { // a few take the sheet
			columns, most = 1, max(area.H()/float64(n), least)
		}
		w := area.W() / float64(columns)
		y := area.Y0
		left := len(list)
		if n := sheets - len(out); n > 1 {
			left = (left + n - 1) / n
		}
		for len(list) > 0 && left > 0 {
			row := list[:min(columns, len(list), left)]
			h := least
			for _, k := range row {
				h = max(h, k.deep(w-4, least)+4)
				if least >= 68 {
					h = max(h, min(most, w*sketchShare*canvasH/canvasW+12))
				}
			}
			if y > area.Y0 && y+h > area.Y1+4 {
				break
			}
			for i, k := range row {
				x := area.X0 + float64(i)*w
				k := *k // it may be drawn again
				k.shapes = append([]draw.Shape(nil), k.shapes...)
				high := h
				if least < 68 { // words may make the row higher, not the drawing
					high = least
				}
				lost += k.put(s, draw.Rect{X0: x, Y0: y, X1: x + w - 4, Y1: min(y+h-4, area.Y1)}, high-4)
			}
			y += h
			list, left = list[len(row):], left-len(row)
		}
		out = append(out, s)
	}
	return out, lost
}

// nthNumber is the number of the sheet i places behind one: P-D3 is the second behind P-D1.
func nthNumber(first string, i int) string {
	digits := len(first) - len(strings.TrimRight(first, "0123456789"))
	n, err := strconv.Atoi(first[len(first)-digits:])
	if err != nil || i == 0 {
		return first
	}
	return first[:len(first)-digits] + strconv.Itoa(n+i)
}

func newSketch(r *engine.Result, id, title string) *sketch {
	return &sketch{r: r, id: id, title: title}
}

// words writes a length of the job, or what to write where it gives none.
func (k *sketch) words(l unit.Length) string { return wholeWords(l, k.r.Job.Units) }

// trap draws a P-trap from a tailpiece at x, its weir at y on the right, and the water in
// it; it gives the place where the arm begins.
func (k *sketch) trap(x, top, y float64) draw.Point {
	const r = 4.6
	pts := []draw.Point{pt(x, top)}
	pts = append(pts, elbow(pt(x+r, y+2), r, 180, 0)...)
	pts = append(pts, elbow(pt(x+2*r+r-0.6, y+2), r-0.6, 180, 270)...)
	k.tube(draw.LayerDrain, pts...)
	// Water stands to the weir on both sides.
	level := y + 0.9
	in := append([]draw.Point{pt(x-tubeHalf, level)}, elbow(pt(x+r, y+2), r+tubeHalf, 180, 0)...)
	in = append(in, pt(x+2*r+tubeHalf, level), pt(x+2*r-tubeHalf, level))
	in = append(in, elbow(pt(x+r, y+2), r-tubeHalf, 0, 180)...)
	in = append(in, pt(x+tubeHalf, level))
	k.water = append(k.water, draw.Polygon{Mark: draw.Mark{Layer: draw.LayerDrain}, Points: in, Fill: draw.FillTint})
	return pt(x+3*r-0.6, y+2-r+0.6)
}

// venting is the fixture whose trap arm says most: measured, with a limit, and nearest to
// it. pick chooses among fixtures.
func venting(r *engine.Result, pick func(f *network.Fixture) bool) (network.FixID, bool) {
	best, share, ok := network.FixID(0), -1.0, false
	for _, i := range inOrder(r.Net) {
		f := &r.Net.Fixtures[i]
		rd := r.Vents.Trap[i].Reading()
		if rd == nil || !rd.Arm.Known || rd.Vent == network.VentID(network.None) || f.Kind.Integral || !pick(f) {
			continue
		}
		s := 0.0
		if rd.Arm.Limit > 0 {
			s = float64(rd.Arm.Length) / float64(rd.Arm.Limit)
		}
		if s > share {
			best, share, ok = i, s, true
		}
	}
	return best, ok
}

func trapArmDetail(r *engine.Result) *sketch {
	i, ok := venting(r, func(f *network.Fixture) bool { return !f.Def.Standpipe.Set && !f.Def.Island.V })
	if !ok || r.Net.Vents[r.Vents.Trap[i].Reading().Vent].End == network.AirAdmittanceValve {
		return nil
	}
	k := newSketch(r, "trap arm", "Trap arm and its vent: "+tagsOf(r.Net)[i])
	a := k.arm(i)
	k.tube(draw.LayerVent, pt(50, 3), pt(50, a.Y))
	k.name(pt(50, 8), 2.4, "VENT", layout.LeftOf)
	return k
}

// arm draws trap, arm and the drain down from its end, and tells its figures; it gives the
// weir.
func (k *sketch) arm(i network.FixID) draw.Point {
	r, n := k.r, k.r.Net
	rd := r.Vents.Trap[i].Reading()
	f := &n.Fixtures[i]
	a := k.trap(8, 8, 26)
	k.tube(draw.LayerDrain, a, pt(50, a.Y+1.4))
	k.tube(draw.LayerDrain, pt(50, a.Y), pt(50, 58))
	k.arrow(pt(50, 55), pt(0, 1))
	k.line(draw.LayerDimension, draw.Hair, draw.DashDot, pt(2, 26.9), pt(63, 26.9))
	k.name(pt(34, 26.9), 1.6, "WEIR", layout.Below)
	k.dim(pt(17.2, 30), pt(50, 30), 15, k.words(rd.Arm.Length))
	size := sizeWords(rd.Arm.Size)
	text := n.Runs[f.Run].Name + ": arm of " + size + " pipe, " + k.words(rd.Arm.Length) + " from the weir to the vent"
	if rd.Arm.Limit > 0 {
		text += "; at most " + k.words(rd.Arm.Limit) + k.clause("trap-arm")
	}
	k.note(text + ".")
	if p := r.Book.Param("trap-arm.max-fall"); p.State == codebook.Given && p.Number == 100 {
		k.note("It falls " + k.words(rd.Arm.Fall) + ", and no more than its own bore from weir to vent" + cited(p.Cite) + ": the vent must open above the weir.")
	}
	if p := r.Book.Param("trap-arm.min"); p.State == codebook.Given && p.Number > 0 {
		k.note("No vent nearer to the weir than " + p.Text + " bores" + cited(p.Cite) + ".")
	}
	return a
}

func cited(c *diag.Cite) string {
	if c == nil {
		return ""
	}
	return " [" + citeWords([]diag.Cite{*c}) + "]"
}

func valveDetail(r *engine.Result) *sketch {
	n := r.Net
	i, ok := venting(r, func(f *network.Fixture) bool { return !f.Def.Standpipe.Set })
	v := network.VentID(network.None)
	for _, j := range inOrder(n) {
		if rd := r.Vents.Trap[j].Reading(); rd != nil && rd.Arm.Known && rd.Vent != network.VentID(network.None) && n.Vents[rd.Vent].End == network.AirAdmittanceValve {
			i, v, ok = j, rd.Vent, true
			break
		}
	}
	if !ok || v == network.VentID(network.None) {
		return nil
	}
	k := newSketch(r, "air admittance valve", "Air admittance valve: "+tagsOf(n)[i])
	a := k.arm(i)
	k.tubeOf(draw.LayerVent, tubeHalf, true, pt(50, 9), pt(50, a.Y))
	k.tubeOf(draw.LayerSymbol, 3.4, true, pt(50, 3), pt(50, 9))
	k.line(draw.LayerSymbol, draw.Medium, draw.Solid, pt(48, 7.5), pt(50, 5), pt(52, 7.5))
	k.line(draw.LayerSymbol, draw.Medium, draw.Solid, pt(48, 4.6), pt(52, 4.6))
	k.name(pt(50, 6), 3.6, "AAV", layout.LeftOf)
	x := &n.Vents[v]
	least, cite := k.limit("aav.above-drain")
	words := atLeast(least)
	if x.Def.Valve.AboveArm.Set {
		words = k.words(x.Def.Valve.AboveArm.V)
	}
	if words != "" {
		k.dim(pt(52, a.Y), pt(52, 9), 7, words)
	}
	text := x.Name + ": "
	if x.Def.Valve.AboveArm.Set {
		text += words + " above the arm"
	} else {
		text += "height above the arm not given"
	}
	if least != "" {
		text += "; at least " + least + cite
	}
	k.note(text + ".")
	k.note("Upright, within reach, in aired space, as its listing says" + k.clause("aav-reach") + ". Where the office allows one.")
	return k
}

func standpipeDetail(r *engine.Result) *sketch {
	n := r.Net
	var at network.FixID
	found := false
	for _, i := range inOrder(n) {
		if n.Fixtures[i].Def.Standpipe.Set {
			at, found = i, true
			break
		}
	}
	if !found {
		return nil
	}
	f := &n.Fixtures[at]
	k := newSketch(r, "standpipe", "Standpipe: "+tagsOf(n)[at])
	a := k.trap(18, 8, 33)
	k.tube(draw.LayerDrain, a, pt(54, a.Y+1))
	k.tube(draw.LayerDrain, pt(54, a.Y), pt(54, 59))
	k.tube(draw.LayerVent, pt(54, 3), pt(54, a.Y))
	k.name(pt(54, 5), 2.4, "VENT", layout.LeftOf)
	k.arrow(pt(54, 57), pt(0, 1))
	// The hose hangs in the open end.
	k.line(draw.LayerFixture, draw.Medium, draw.Solid, append([]draw.Point{pt(18, 16)}, elbow(pt(22.5, 7), 4.5, 180, 350)...)...)
	k.name(pt(26.5, 8), 1, "HOSE", layout.BelowRight, layout.RightOf, layout.Above)
	k.face(pt(51, 56), pt(2, 56))
	k.face(pt(64, 56), pt(57, 56))
	k.name(pt(6, 56), 0.4, "FLOOR", layout.Below, layout.BelowRight)
	k.dim(pt(16, 33.9), pt(16, 8), -7, k.words(f.Def.Standpipe.V))
	least, cite := k.limit("standpipe.min")
	most, _ := k.limit("standpipe.max")
	text := n.Runs[f.Run].Name + ": rim " + k.words(f.Def.Standpipe.V) + " above the weir"
	if least != "" && most != "" {
		text += "; " + least + " to " + most + " are asked for" + cite
	}
	k.note(text + ".")
	lo, c1 := k.limit("standpipe.trap-above-floor-min")
	hi, _ := k.limit("standpipe.trap-above-floor-max")
	if f.Def.TrapHigh.Set {
		k.dim(pt(24, 56), pt(24, 41), 13, k.words(f.Def.TrapHigh.V))
		text = "Trap " + k.words(f.Def.TrapHigh.V) + " above the floor"
	} else if lo != "" || hi != "" {
		text = "Height of the trap above the floor not given"
	} else {
		text = ""
	}
	if lo != "" && hi != "" {
		text += "; " + lo + " to " + hi + c1
	}
	if text != "" {
		k.note(text + ".")
	}
	if rd := r.Vents.Trap[at].Reading(); rd != nil && rd.Arm.Known {
		k.dim(pt(28, a.Y), pt(54, a.Y), -9, k.words(rd.Arm.Length))
		text = "Arm " + k.words(rd.Arm.Length) + " of " + sizeWords(rd.Arm.Size) + " pipe from the weir to the vent"
		if rd.Arm.Limit > 0 {
			text += ", at most " + k.words(rd.Arm.Limit)
		}
		k.note(text + ".")
	}
	k.note("Trap " + sizeWords(max(r.Loads.Fixture[at].Trap, f.Def.Trap.V)) + "; the hose hangs loose in it, so that nothing is sucked back.")
	return k
}

func islandDetail(r *engine.Result) *sketch {
	n := r.Net
	at := network.FixID(0)
	found := false
	for _, i := range inOrder(n) {
		if n.Fixtures[i].Def.Island.V {
			at, found = i, true
			break
		}
	}
	loop := network.VentID(network.None)
	for v := range n.Vents {
		if x := &n.Vents[v]; x.End == network.JoinsRun || x.Def.Role.Text == "loop" {
			loop = network.VentID(v)
			break
		}
	}
	if !found || loop == network.VentID(network.None) {
		return nil
	}
	run := &n.Runs[n.Fixtures[at].Run]
	k := newSketch(r, "island", "Island loop vent: "+tagsOf(n)[at])
	a := k.trap(12, 14, 27)
	// Counter and sink.
	k.line(draw.LayerBuilding, draw.Medium, draw.Solid, pt(2, 6), pt(64, 6))
	k.line(draw.LayerFixture, draw.Medium, draw.Solid, pt(6, 6), pt(6, 13), pt(18, 13), pt(18, 6))
	k.name(pt(60, 6), 0.4, "COUNTER", layout.Above, layout.AboveLeft)
	k.tube(draw.LayerDrain, a, pt(34, a.Y+0.8))
	k.tube(draw.LayerDrain, pt(34, a.Y), pt(34, 57), pt(64, 58))
	k.arrow(pt(62, 57.9), pt(1, 0.03))
	loopPts := append([]draw.Point{pt(34, a.Y)}, elbow(pt(39, 15), 5, 180, 270)...)
	loopPts = append(loopPts, elbow(pt(45, 15), 5, 270, 360)...)
	loopPts = append(loopPts, pt(50, 47), pt(44, 57.3))
	k.tube(draw.LayerVent, loopPts...)
	k.tube(draw.LayerVent, pt(50, 40), pt(65, 39.4))
	k.name(pt(62, 39.5), 2.3, "FOOT VENT", layout.Below, layout.Above)
	k.face(pt(64, 48.5), pt(54, 48.5))
	k.face(pt(46, 48.5), pt(37, 48.5))
	k.face(pt(31, 48.5), pt(2, 48.5))
	k.name(pt(8, 48.5), 0.4, "FLOOR", layout.Above)
	k.name(pt(42, 10), 2.3, "LOOP", layout.RightOf, layout.AboveRight)
	// The cleanout on the loop's leg, below where the foot vent leaves.
	k.tubeOf(draw.LayerVent, 1.4, true, pt(50, 44.4), pt(55, 44.4))
	k.name(pt(55, 44.4), 1.4, "CO", layout.RightOf)
	k.line(draw.LayerDimension, draw.Hair, draw.DashDot, pt(4, 27.9), pt(33, 27.9))
	x := &n.Vents[loop]
	up := unit.Length(0)
	for _, l := range x.Def.Legs {
		if l.Way.Up && l.Length.Set {
			up = l.Length.V
			break
		}
	}
	if up > 0 {
		k.dim(pt(32, a.Y), pt(32, 10), -4, k.words(up))
		k.note(x.Name + " rises " + k.words(up) + " from the drain of " + run.Name + " before it turns, as high as the counter allows.")
	} else {
		k.note(x.Name + " rises as high as the counter allows before it turns down; the job does not say how high.")
	}
	if w, c := k.limit("island.rise"); w != "" {
		k.note("The foot vent stays level or rises until it is " + w + " above the rim of the sink" + c + "; below that with drainage fittings.")
	}
	foot := ""
	for v := range n.Vents {
		if n.FootOf(loop, network.VentID(v)) {
			foot = n.Vents[v].Name
		}
	}
	if foot != "" {
		k.note("Foot vent: " + foot + ".")
	} else {
		k.note("The job has no foot vent; it is shown where it belongs" + k.clause("island-vent") + ".")
	}
	k.note("Cleanout in the loop's leg, within reach" + k.clause("cleanout-island") + ".")
	return k
}

func terminalDetail(r *engine.Result) *sketch {
	n := r.Net
	groups := map[string][]string{}
	var order []string
	var one *network.Vent
	var size unit.Size
	for v := range n.Vents {
		x := &n.Vents[v]
		if x.End != network.ThroughRoof {
			continue
		}
		z := r.Vents.Size[v].Size
		if s := x.Def.Terminal.Size.V; s > 0 {
			z = s
		}
		h := "height above the roof not given"
		if x.Def.Terminal.AboveRoof.Set {
			h = wholeWords(x.Def.Terminal.AboveRoof.V, r.Job.Units) + " above the roof"
		}
		if one == nil || !one.Def.Terminal.AboveRoof.Set && x.Def.Terminal.AboveRoof.Set {
			one, size = x, z
		}
		key := sizeWords(z) + ", " + h
		if groups[key] == nil {
			order = append(order, key)
		}
		groups[key] = append(groups[key], x.Name)
	}
	if one == nil {
		return nil
	}
	k := newSketch(r, "terminal", "Vent through the roof")
	k.tube(draw.LayerVent, pt(32, 8), pt(32, 59))
	k.face(pt(34.6, 37.8), pt(64, 30))
	k.face(pt(2, 46), pt(29.4, 38.8))
	k.name(pt(59, 31.3), 0.4, "ROOF", layout.Below, layout.BelowRight)
	// Flashing: under the course above, over the one below.
	k.line(draw.LayerSymbol, draw.Medium, draw.Solid, pt(18, 40.6), pt(28, 38), pt(29.4, 29), pt(34.6, 29), pt(36, 35.9), pt(46, 33.4))
	k.name(pt(22, 39.5), 0.4, "FLASHING", layout.AboveLeft, layout.Above)
	k.line(draw.LayerDimension, draw.Hair, draw.Solid, pt(34, 8), pt(52, 8))
	least, cite := k.limit("terminal.above-roof")
	t := &one.Def.Terminal
	words := atLeast(least)
	if t.AboveRoof.Set {
		words = k.words(t.AboveRoof.V)
	}
	if words != "" {
		k.dim(pt(44, 35.4), pt(44, 8), 3, words)
	}
	k.name(pt(32, 50), 2.4, sizeWords(size)+" V", layout.RightOf)
	snow := r.Book.Param("terminal.above-snow")
	c := &r.Job.Climate
	if c.Snow.Set && c.Snow.V > 0 && snow.State == codebook.Given && snow.Yes {
		k.line(draw.LayerBuilding, draw.Thin, draw.Dots, pt(2, 33), pt(28, 26.2))
		k.line(draw.LayerBuilding, draw.Thin, draw.Dots, pt(36, 24.2), pt(64, 17))
		k.name(pt(8, 31.5), 0.4, "SNOW "+k.words(c.Snow.V), layout.Above)
		l := &k.req[len(k.req)-1]
		l.Short = append(l.Short, []string{"SNOW"}) // the words tell how deep
	}
	for _, key := range order {
		names := groups[key]
		k.note(strings.Join(names, ", ") + ": " + key + ".")
	}
	if least != "" {
		what := "At least " + least + " above the roof"
		if snow.State == codebook.Given && snow.Yes {
			what = "At least " + least + " above the roof or the snow that lies there"
			if !c.Snow.Set {
				what += " (the job does not say how deep)"
			} else if c.Snow.V > 0 {
				what += " (" + k.words(c.Snow.V) + ")"
			}
		}
		k.note(what + cite + ".")
	}
	if w, c := k.limit("terminal.opening-across"); w != "" {
		text := "Within " + w + " of a window, door or air inlet it ends above it"
		if up, _ := k.limit("terminal.opening-above"); up != "" {
			text = "At least " + w + " from a window, door or air inlet, or " + up + " above it"
		}
		k.note(text + c + ".")
	}
	if p := r.Book.Param("terminal.frost-size"); p.State == codebook.Given && c.Design.Set {
		if d := r.Book.Param("terminal.frost-design"); d.State == codebook.Given {
			if c.Design.V <= d.Temp {
				k.note("Frost: through the roof at least " + sizeWords(p.Size) + cited(p.Cite) + ".")
			} else {
				k.note("No larger end against frost is asked for at this design temperature" + cited(d.Cite) + ".")
			}
		}
	}
	return k
}

// uniq drops what stands twice in a sorted list.
func uniq(list []string) []string {
	var out []string
	for i, s := range list {
		if i == 0 || s != list[i-1] {
			out = append(out, s)
		}
	}
	return out
}

func given(set bool, l unit.Length, sys unit.System) string {
	if !set {
		return "not given"
	}
	return wholeWords(l, sys)
}
