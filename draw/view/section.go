package view

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"trapweir/draw"
	"trapweir/draw/layout"
	"trapweir/draw/textwidth"
	"trapweir/engine"
	"trapweir/engine/elevation"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// Section draws the long section of the line from the farthest fixture (or from opt.Of) to
// the outlet: ground, floor, the pipe with its inverts, falls and the room left. Heights
// are drawn larger than lengths; both scales stand on the sheet. ok is false when the job
// gives too little to draw one, and the sheet then says what is wanted.
func Section(r *engine.Result, opt Options) (s *draw.Sheet, ok bool) {
	sheet, area := newSheet(r, opt, paperOr(opt, "tabloid"), numberOr(opt, "P-X1"), "Long section of the drain", "SEE SCALE BARS")
	s = sheet
	z := opt.zoom
	if ownPaper(opt) { // on large paper words are larger too
		if z = lettered(area.W()); z > 1 {
			room := area
			area = shrunk(area, z)
			s = &draw.Sheet{W: area.W(), H: area.H()}
			defer func() {
				larger(sheet, s, room, z)
				s = sheet
			}()
		}
	}
	s.Desc = "Long section from the farthest fixture to the outlet."
	from := network.SegID(network.None)
	if opt.Of != "" {
		if x, found := r.Net.Find(opt.Of); found && x.Run != network.None && len(r.Net.Runs[x.Run].Segs) > 0 {
			from = r.Net.Runs[x.Run].Segs[0]
		}
	}
	rows := r.Levels.Profile(r.Net, r.Sizes, from)
	c := &section{r: r, s: s, rows: rows, sys: r.Job.Units, zoom: z}
	if !c.heights() && !c.elsewhere(opt.Of == "") {
		f := &flow{s: s, box: area, y: area.Y0}
		f.heading("TOO LITTLE IS KNOWN FOR A SECTION")
		f.words("A section wants the length and the fall of every piece on the way from a fixture to the outlet, and the invert of the outlet for heights above the datum; floors and grade of the levels then show as well.", 0, false)
		for _, w := range c.wanting() {
			f.words(w, 0, false)
		}
		f.words(who, 0, true)
		return s, false
	}
	c.draw(area)
	return s, true
}

type section struct {
	r        *engine.Result
	s        *draw.Sheet
	rows     []elevation.Span
	sys      unit.System
	up, low  []float64       // centre line at the two ends of every row's pipe, feet
	flat     []float64       // level distance from the start: a drop stands at one place
	zoom     float64         // how many times as large it comes onto the sheet; 0 where that is not told
	relative bool            // heights count from the outlet
	without  string          // the run whose fall or length is not given, above where the section begins
	farther  string          // the fixture that is farther off, along such a run
	level    [][2]draw.Point // lines of equal height, not yet drawn
	req      []layout.Label
	lines    [][2]draw.Point // floors and ground
}

// heights gathers the centre lines; where the outlet has no invert they count from it.
func (c *section) heights() bool {
	n := len(c.rows)
	if n < 2 {
		return false
	}
	c.up, c.low, c.flat = make([]float64, n), make([]float64, n), make([]float64, n)
	l := c.r.Levels
	all := true
	c.relative = false
	for i := range c.rows {
		if !c.rows[i].StationKnown {
			return false
		}
		if i > 0 {
			c.flat[i] = c.flat[i-1]
			if !c.rows[i-1].Upright {
				c.flat[i] += feet(c.rows[i].Station - c.rows[i-1].Station)
			}
		}
		if s := c.rows[i].Seg; s != network.None {
			all = all && l.CentreUp[s].Known && l.CentreLow[s].Known
		}
	}
	if all {
		for i := range c.rows {
			if s := c.rows[i].Seg; s != network.None {
				c.up[i], c.low[i] = feet(l.CentreUp[s].V), feet(l.CentreLow[s].V)
			} else {
				c.up[i] = c.low[i-1]
				c.low[i] = c.up[i]
			}
		}
		return true
	}
	c.relative = true
	at := feet(c.rows[n-1].Size.Length()) / 2 // the inside bottom of the outlet is 0
	for i := n - 1; i >= 0; i-- {
		if s := c.rows[i].Seg; s != network.None {
			if !l.Fall[s].Known {
				return false
			}
			c.low[i] = at
			at += feet(l.Fall[s].V)
		}
		c.up[i] = at
		if c.rows[i].Seg == network.None {
			c.low[i] = at
		}
	}
	return true
}

// elsewhere lets the section begin where enough is known: at the fixture whose whole way is
// known and longest, if the start is free, or below the last piece of which too little is.
func (c *section) elsewhere(free bool) bool {
	r := c.r
	whole := c.rows
	flat := 0.0
	short := &section{r: r, s: c.s, rows: whole, sys: c.sys, zoom: c.zoom}
	ok := short.shortened()
	if ok {
		flat = short.flat[len(short.rows)-1]
	}
	best := short
	if free && len(whole) > 0 {
		for _, i := range inOrder(r.Net) {
			s := r.Net.Fixtures[i].Seg
			if !c.known(s) {
				continue
			}
			q := &section{r: r, s: c.s, sys: c.sys, zoom: c.zoom, rows: r.Levels.Profile(r.Net, r.Sizes, s)}
			if q.heights() && q.flat[len(q.rows)-1] > flat+1 {
				q.farther = r.Net.Runs[whole[0].Run].Name
				best, ok, flat = q, true, q.flat[len(q.rows)-1]
			}
		}
	}
	if ok {
		*c = *best
	}
	return ok
}

// known tells whether the way from a piece to the outlet has its lengths and falls.
func (c *section) known(s network.SegID) bool {
	for ; s != network.None; s = c.r.Net.Segs[s].Down {
		if !c.r.Net.Segs[s].LengthKnown || !c.r.Levels.Fall[s].Known {
			return false
		}
	}
	return true
}

// wanting says what is not given of the way that the section would show.
func (c *section) wanting() []string {
	var lengths, falls []string
	for i := range c.rows {
		s := c.rows[i].Seg
		if s == network.None {
			continue
		}
		name := c.r.Net.RunOf(s).Name
		switch {
		case !c.rows[i].LengthKnown:
			if !slices.Contains(lengths, name) {
				lengths = append(lengths, name)
			}
		case !c.r.Levels.Fall[s].Known && !slices.Contains(falls, name):
			falls = append(falls, name)
		}
	}
	var out []string
	if len(lengths) > 0 {
		out = append(out, "Lengths not given: "+strings.Join(lengths, ", ")+".")
	}
	if len(falls) > 0 {
		out = append(out, "Falls not given: "+strings.Join(falls, ", ")+".")
	}
	return out
}

// shortened lets the section begin below the last piece of which too little is known, where
// a length of drain is left to show.
func (c *section) shortened() bool {
	for i := len(c.rows) - 2; i >= 0; i-- {
		s := c.rows[i].Seg
		if c.rows[i].LengthKnown && c.r.Levels.Fall[s].Known {
			continue
		}
		if d := c.r.Net.Segs[s].Down; d != network.None {
			c.without = c.r.Net.RunOf(s).Name
			c.rows = c.r.Levels.Profile(c.r.Net, c.r.Sizes, d)
			return len(c.rows) > 1 && c.heights() && c.flat[len(c.rows)-1] > 3
		}
		return false
	}
	return false
}

// length writes a length, in sixteenths of an inch as the falls are told.
func (c *section) length(l unit.Length) string {
	if c.sys == unit.Metric {
		return wholeWords(l, c.sys)
	}
	return inchWords(l, 16)
}

func (c *section) height(l unit.Length) string { return heightWords(l, c.sys) }

// bands below the section.
var bandNames = []string{"Pipe", "Joins", "Station", "Invert", "Fall", "Cover", "Room to rise"}

// kinks is the height above the bands in which the lines to their columns turn aside.
const kinks = 7.0

// joinsFrom is the height of a drawing from which it says what joins where.
const joinsFrom = 200.0

func (c *section) draw(area draw.Rect) {
	s := c.s
	const labelW = 24.0
	m := draw.Mark{Layer: draw.LayerTable, Pen: draw.Pen{Width: draw.Hair}}
	heights := make([]float64, len(bandNames))
	for k := range bandNames {
		heights[k] = 8
		if k == 0 || bandNames[k] == "Fall" {
			continue
		}
		wide := 0.0
		for i := range c.rows {
			wide = max(wide, textwidth.Width(c.figure(k, i), draw.SmallestText, textwidth.Regular))
		}
		heights[k] = 0 // nothing is known
		if wide > 0 {
			heights[k] = max(10, wide+2.8)
		}
		if bandNames[k] == "Joins" && (area.H() < joinsFrom || heights[k] > area.H()*0.22) {
			heights[k] = 0
		}
	}
	total := 0.0
	for _, h := range heights {
		total += h
	}
	bands := draw.Rect{X0: area.X0, Y0: area.Y1 - total, X1: area.X1, Y1: area.Y1}
	notes := c.notes(area.W())
	y0 := area.Y0 + 10.5
	for _, l := range notes {
		s.Add(draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: area.X0, Y: y0}, Words: l, VAlign: draw.AtTop, Soft: true})
		y0 += lineStep
	}
	box := draw.Rect{X0: area.X0 + labelW + 4, Y0: y0 + 6, X1: area.X1 - 14, Y1: bands.Y0 - kinks - 5}

	// Scales: lengths to the width, heights to what is there, at most ten times larger.
	n := len(c.rows)
	long := max(c.flat[n-1], 6)
	lo, hi := math.Inf(1), math.Inf(-1)
	see := func(h float64) { lo, hi = min(lo, h), max(hi, h) }
	for i := range c.rows {
		see(c.up[i] + feet(c.rows[i].Size.Length()))
		see(c.low[i] - feet(c.rows[i].Size.Length()))
		if !c.relative {
			if g := c.rows[i].Ground; g.Known {
				see(feet(g.V))
			}
			if f := c.rows[i].Floor; f.Known {
				see(feet(f.V))
			}
		}
	}
	kx, times, scale := c.scaled(box.W()/long, box.H()/max(hi-lo, 0.5))
	ky := kx * times
	left, low := (box.W()-long*kx)/2, (box.H()-(hi-lo)*ky)*0.3
	x := func(st float64) float64 { return box.X0 + left + st*kx }
	y := func(h float64) float64 { return box.Y1 - low - (h-lo)*ky }
	mid := draw.Mark{Layer: draw.LayerBuilding}

	// Lines of equal height.
	of, step := 1.0, 0.5 // feet in what heights are told in
	if c.sys == unit.Metric {
		of = 1 / 0.3048
	}
	for _, f := range []float64{0.2, 0.5, 1, 2, 5, 10, 20, 50, 100} {
		step = f * of
		if step*ky >= 8 && (f >= 0.5 || of > 1) {
			break
		}
	}
	for h := math.Ceil(lo/step) * step; h <= hi+1e-9; h += step {
		mark := unit.Length(math.Round(h*12)) * unit.Inch
		if c.sys == unit.Metric {
			mark = unit.Length(math.Round(h*304.8)) * unit.Millimetre
		}
		c.level = append(c.level, [2]draw.Point{{X: box.X0, Y: y(h)}, {X: box.X1, Y: y(h)}})
		s.Add(draw.Text{Mark: mid, At: draw.Point{X: box.X0 - 3, Y: y(h)}, Words: c.height(mark), Align: draw.Right, VAlign: draw.AtMiddle})
	}
	if !c.relative {
		c.slab(x, y)
		c.surface(x, y, "FLOOR", func(r *elevation.Span) elevation.Height { return r.Floor }, false)
		c.surface(x, y, "GRADE", func(r *elevation.Span) elevation.Height { return r.Ground }, true)
	}

	// The pipe as a band between its inside bottom and top.
	for i := 0; i+1 < n; i++ {
		r := &c.rows[i]
		half := feet(r.Size.Length()) / 2
		side := draw.Mark{Layer: draw.LayerDrain, Pen: draw.Pen{Width: draw.Bold, Dash: draw.Solid}}
		old := c.r.Net.Runs[r.Run].Def.State.Text == "existing"
		if old {
			side = draw.Mark{Layer: draw.LayerExisting}
		}
		a, b := draw.Point{X: x(c.flat[i]), Y: y(c.up[i])}, draw.Point{X: x(c.flat[i+1]), Y: y(c.low[i])}
		if r.Upright {
			b.X = a.X
			if c.r.Net.Runs[r.Run].Def.Basin.Set {
				c.req = append(c.req, layout.Label{ID: "pumped " + numberWords(i), Lines: []string{"PUMPED UP"}, Along: []draw.Point{a, b}, Half: 1.5, Priority: 3})
			}
			w := min(max(half*kx, 0.45), 1.5)
			s.Add(draw.Line{Mark: side, A: draw.Point{X: a.X - w, Y: a.Y}, B: draw.Point{X: a.X - w, Y: b.Y}},
				draw.Line{Mark: side, A: draw.Point{X: a.X + w, Y: a.Y}, B: draw.Point{X: a.X + w, Y: b.Y}})
			continue
		}
		h := max(half*ky, 0.45)
		q := []draw.Point{{X: a.X, Y: a.Y - h}, {X: b.X, Y: b.Y - h}, {X: b.X, Y: b.Y + h}, {X: a.X, Y: a.Y + h}}
		s.Add(draw.Polygon{Mark: draw.Mark{Layer: draw.LayerDrain}, Points: q, Fill: draw.FillTint},
			draw.Line{Mark: side, A: q[0], B: q[1]},
			draw.Line{Mark: side, A: q[3], B: q[2]})
		if h > 1.2 {
			s.Add(draw.Line{Mark: draw.Mark{Layer: draw.LayerDimension, Pen: draw.Pen{Width: draw.Hair, Dash: draw.DashDot}}, A: a, B: b})
		}
		if d := r.Drop; d > 0 && i+2 <= n {
			s.Add(draw.Line{Mark: draw.Mark{Layer: draw.LayerDrain}, A: draw.Point{X: b.X, Y: b.Y}, B: draw.Point{X: b.X, Y: y(c.up[i+1])}})
			c.req = append(c.req, layout.Label{ID: "drop " + numberWords(i), Lines: []string{"DROP " + c.length(d)}, At: draw.Point{X: b.X, Y: (b.Y + y(c.up[i+1])) / 2}, Half: 1, Priority: 2})
		}
		if i == 0 || c.rows[i-1].Run != r.Run || c.rows[i-1].Size != r.Size {
			words := sizeWords(r.Size) + " " + upper(c.r.Net.Runs[r.Run].Name)
			if old {
				words += " " + draw.Services[5].Tag
			}
			c.req = append(c.req, layout.Label{ID: "pipe " + numberWords(i), Lines: []string{words}, Short: [][]string{{sizeWords(r.Size)}}, Along: []draw.Point{{X: a.X, Y: a.Y - h}, {X: b.X, Y: b.Y - h}}, Half: 0.3, Sides: []layout.Side{layout.Above}, Priority: 3, Reach: 30})
		}
	}
	c.walls(x, y, box.Y0-3)
	c.cleanouts(x, y, ky)
	ends := []struct {
		i     int
		words string
	}{{0, c.start()}, {n - 1, c.end()}}
	for _, e := range ends {
		c.req = append(c.req, layout.Label{ID: "end " + e.words, Lines: []string{e.words}, At: draw.Point{X: x(c.flat[e.i]), Y: y(c.up[e.i])}, Half: 1.5, Priority: layout.Must, Weight: textwidth.Bold, Sides: []layout.Side{layout.Above, layout.AboveRight, layout.AboveLeft}})
	}

	// Bands: columns at the stations, pulled apart where they would touch.
	at := make([]float64, n)
	for i := range at {
		at[i] = x(c.flat[i])
	}
	spreadOut(at, 5.4, box.X0, area.X1-4)
	yy := bands.Y0
	for k, name := range bandNames {
		if heights[k] == 0 {
			continue
		}
		s.Add(draw.Line{Mark: m, A: draw.Point{X: bands.X0, Y: yy}, B: draw.Point{X: bands.X1, Y: yy}},
			draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: bands.X0, Y: yy + heights[k]/2}, Words: name, VAlign: draw.AtMiddle, Weight: textwidth.Bold})
		c.band(k, at, yy, heights[k])
		yy += heights[k]
	}
	s.Add(draw.Line{Mark: m, A: draw.Point{X: bands.X0, Y: bands.Y1}, B: draw.Point{X: bands.X1, Y: bands.Y1}})
	for i := range at { // from the pipe to its column, behind words
		px, py := x(c.flat[i]), y(c.up[i])+max(feet(c.rows[i].Size.Length())/2*ky, 0.45)+0.8
		pts := []draw.Point{{X: px, Y: py}, {X: px, Y: bands.Y0 - kinks}, {X: at[i], Y: bands.Y0 - 2.5}, {X: at[i], Y: bands.Y0}}
		s.Add(draw.Polyline{Mark: draw.Mark{Layer: draw.LayerDimension, Pen: draw.Pen{Width: draw.Hair}}, Points: pts})
	}
	c.scales(area, kx, times, scale)
	var obs layout.Obstacles
	obs.AddShapes(s.Shapes, s.Fine)
	for _, l := range c.lines { // no words on floor and ground
		obs.AddSegment(l[0], l[1], 0.3)
	}
	for _, p := range layout.Place(c.req, &obs, draw.Rect{X0: box.X0 - 2, Y0: y0, X1: area.X1, Y1: bands.Y0 - kinks}) {
		if p.OK {
			s.Add(p.Shapes())
		}
	}
	c.levels(box)
}

// end names what the line runs into, with its invert where that counts from the datum.
func (c *section) end() string {
	words := upper(outletWords(c.r))
	if o := c.r.Levels.Outlet.Invert; o.Known && !c.relative {
		words += ", IE " + c.height(o.V)
	}
	return words
}

// start names where the line begins: the fixture's tag, as on the riser, else the run.
func (c *section) start() string {
	run := &c.r.Net.Runs[c.rows[0].Run]
	if run.Fixture != network.None && len(run.Segs) > 0 && run.Segs[0] == c.rows[0].Seg {
		return tagsOf(c.r.Net)[run.Fixture]
	}
	return upper(run.Name)
}

// surface draws ground or floor where it is known.
func (c *section) surface(x, y func(float64) float64, word string, of func(*elevation.Span) elevation.Height, ground bool) {
	for i := 0; i+1 < len(c.rows); {
		h := of(&c.rows[i])
		j := i + 1
		for j < len(c.rows)-1 && of(&c.rows[j]) == h {
			j++
		}
		if h.Known && c.flat[j]-c.flat[i] > 0.2 {
			a, b := draw.Point{X: x(c.flat[i]), Y: y(feet(h.V))}, draw.Point{X: x(c.flat[j]), Y: y(feet(h.V))}
			c.lines = append(c.lines, [2]draw.Point{a, b})
			c.s.Add(draw.Line{Mark: draw.Mark{Layer: draw.LayerBuilding, Pen: draw.Pen{Width: draw.Medium}}, A: a, B: b})
			if ground {
				for t := a.X + 1.5; t < b.X-2; t += 6 {
					c.s.Add(draw.Line{Mark: draw.Mark{Layer: draw.LayerBuilding}, A: draw.Point{X: t + 1.8, Y: a.Y}, B: draw.Point{X: t, Y: a.Y + 1.8}})
				}
			}
			q := layout.Label{ID: upper(word) + " " + numberWords(i), Lines: []string{word}, Along: []draw.Point{a, b}, Half: 0.2, Sides: []layout.Side{layout.Above}, Priority: 1, Soft: true, Reach: 14}
			if b.X-a.X < 45 { // in the crowd of a fixture's pipes: where the line ends
				q.Along, q.At, q.Half, q.Priority = nil, b, 1.8, 3
				q.Sides = []layout.Side{layout.RightOf, layout.AboveRight, layout.LeftOf}
			}
			c.req = append(c.req, q)
		}
		i = j
	}
	if last := of(&c.rows[len(c.rows)-1]); ground && last.Known && of(&c.rows[len(c.rows)-2]) != last {
		// Where the line ends the ground may be known, though not on the way there.
		b := draw.Point{X: x(c.flat[len(c.rows)-1]), Y: y(feet(last.V))}
		a := draw.Point{X: b.X - 14, Y: b.Y}
		c.lines = append(c.lines, [2]draw.Point{a, b})
		c.s.Add(draw.Line{Mark: draw.Mark{Layer: draw.LayerBuilding, Pen: draw.Pen{Width: draw.Medium}}, A: a, B: b})
		for t := a.X + 1.5; t < b.X-2; t += 6 {
			c.s.Add(draw.Line{Mark: draw.Mark{Layer: draw.LayerBuilding}, A: draw.Point{X: t + 1.8, Y: a.Y}, B: draw.Point{X: t, Y: a.Y + 1.8}})
		}
		c.req = append(c.req, layout.Label{ID: word + " at the end", Lines: []string{word}, Along: []draw.Point{a, b}, Half: 0.2, Sides: []layout.Side{layout.Above}, Priority: 1, Soft: true})
	}
}

// cleanouts draws the cleanouts on the line: a stub up from the pipe with its plug.
func (c *section) cleanouts(x, y func(float64) float64, ky float64) {
	for i := 0; i+1 < len(c.rows); i++ {
		r := &c.rows[i]
		first := i == 0 || c.rows[i-1].Run != r.Run
		last := c.rows[i+1].Seg == network.None || c.rows[i+1].Run != r.Run
		run := &c.r.Net.Runs[r.Run]
		from := c.r.Net.Segs[r.Seg].From
		for k := range run.Def.Clean {
			co := &run.Def.Clean[k]
			share := -1.0 // of this row's pipe, from its upper end
			switch co.Place.Kind {
			case job.UpperEnd, job.NotSaid:
				if first && r.Seg == run.Segs[0] {
					share = 0
				}
			case job.LowerEnd:
				if last {
					share = 1
				}
			case job.FootOfDrop:
				if !r.Upright && i > 0 && c.rows[i-1].Upright && c.rows[i-1].Run == r.Run {
					share = 0
				} else if r.Upright && last {
					share = 1
				}
			case job.AtLength:
				if d := co.Place.Len - from; !r.Upright && r.LengthKnown && r.Length > 0 && d >= 0 && (d < r.Length || last && d == r.Length) {
					share = float64(d) / float64(r.Length)
				}
			}
			if share < 0 {
				continue
			}
			px := x(c.flat[i] + (c.flat[i+1]-c.flat[i])*share)
			top := y(c.up[i]+(c.low[i]-c.up[i])*share) - max(feet(r.Size.Length())/2*ky, 0.45)
			m := draw.Mark{Layer: draw.LayerSymbol}
			words := "CO"
			high := 3.4
			if co.Type.Text == "two-way" {
				words = "2-WAY CO"
				if r.Ground.Known && !c.relative { // it rises to grade
					high = max(high, top-y(feet(r.Ground.V)))
				}
			}
			id := "section cleanout " + run.Name + " " + numberWords(k)
			c.s.Add(draw.Group{Mark: draw.Mark{Layer: draw.LayerSymbol, ID: id, Title: "Cleanout on " + run.Name}, Shapes: []draw.Shape{
				draw.Line{Mark: m, A: draw.Point{X: px, Y: top}, B: draw.Point{X: px, Y: top - high}},
				draw.Line{Mark: m, A: draw.Point{X: px - 1.5, Y: top - high}, B: draw.Point{X: px + 1.5, Y: top - high}},
				draw.Polygon{Mark: m, Points: []draw.Point{{X: px - 0.6, Y: top - high}, {X: px + 0.6, Y: top - high}, {X: px + 0.6, Y: top - high - 1.2}, {X: px - 0.6, Y: top - high - 1.2}}, Fill: draw.FillInk},
			}})
			c.req = append(c.req, layout.Label{ID: id + ".label", Lines: []string{words}, At: draw.Point{X: px, Y: top - high}, Half: 1.8, Priority: 4, Sides: []layout.Side{layout.Above, layout.AboveRight, layout.AboveLeft}})
		}
	}
}

// band writes one row of figures under the section.
func (c *section) band(k int, at []float64, y, h float64) {
	upright := func(i int, words string) {
		if words == "" {
			return
		}
		c.s.Add(draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: at[i] + draw.SmallestText/2, Y: y + h - 1.6}, Words: words, Turn: -90})
	}
	between := func(i, j int, words string) {
		if w := textwidth.Width(words, draw.SmallestText, textwidth.Regular); words != "" && at[j]-at[i] > w+1.6 {
			c.s.Add(draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: (at[i] + at[j]) / 2, Y: y + h/2}, Words: words, Align: draw.Middle, VAlign: draw.AtMiddle})
		}
	}
	for i := range c.rows {
		r := &c.rows[i]
		last := i == len(c.rows)-1
		switch bandNames[k] {
		case "Pipe":
			if last {
				continue
			}
			j := i // to the end of the run
			for j+1 < len(c.rows)-1 && c.rows[j+1].Run == r.Run && c.rows[j+1].Size == r.Size {
				j++
			}
			if i > 0 && c.rows[i-1].Run == r.Run && c.rows[i-1].Size == r.Size {
				continue
			}
			words := c.r.Net.Runs[r.Run].Name
			room := at[j+1] - at[i]
			full := sizeWords(r.Size) + " " + words
			for _, w := range []string{full, sizeWords(r.Size)} {
				if textwidth.Width(w, draw.SmallestText, textwidth.Regular)+1.6 < room {
					c.s.Add(draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: (at[i] + at[j+1]) / 2, Y: y + h/2}, Words: w, Align: draw.Middle, VAlign: draw.AtMiddle})
					break
				}
			}
		case "Fall":
			switch {
			case last:
			case r.Upright && c.r.Net.Runs[r.Run].Def.Basin.Set:
				between(i, i+1, "lift")
			case r.Upright:
				between(i, i+1, "drop")
			case i > 0 && !c.rows[i-1].Upright && c.rows[i-1].Slope.Cmp(r.Slope) == 0: // said already
			default: // as far as it goes on
				j := i + 1
				for j < len(c.rows)-1 && !c.rows[j].Upright && c.rows[j].Slope.Cmp(r.Slope) == 0 {
					j++
				}
				between(i, j, slopeWords(r.Slope, c.sys))
			}
		default:
			upright(i, c.figure(k, i))
		}
	}
}

// figure is what a band says at a station; "" where nothing is known.
func (c *section) figure(k, i int) string {
	r := &c.rows[i]
	switch bandNames[k] {
	case "Joins":
		return c.joining(i)
	case "Station":
		return c.length(r.Station)
	case "Invert":
		switch {
		case r.Invert.Known:
			return c.height(r.Invert.V)
		case c.relative:
			return c.height(unit.Length(math.Round(c.up[i]*float64(unit.Foot))) - r.Size.Length()/2)
		}
		return "?"
	case "Cover":
		if r.Cover.Known {
			return c.length(r.Cover.V)
		}
	case "Room to rise":
		if r.Room.Known {
			return c.length(r.Room.V)
		}
	}
	return ""
}

// scaled takes the largest scale for lengths of those in use at which the section fits, and
// tells how many times as large heights are drawn, at most ten; wide and high are the
// millimetres on paper for a foot that there is room for.
func (c *section) scaled(wide, high float64) (k, times float64, word string) {
	fits, z := min(wide, high), max(c.zoom, 1)
	if c.sys == unit.Metric {
		for _, n := range [...]int{5, 10, 20, 25, 40, 50, 75, 100, 125, 150, 200, 250, 300, 400, 500, 1000, 2000, 5000, 10000} {
			if k, word = 304.8/float64(n)/z, "1 : "+strconv.Itoa(n); k <= fits {
				break
			}
		}
	} else {
		for _, n := range [...]int{1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100, 200, 500, 1000} {
			if k, word = 25.4/float64(n)/z, "1\" = "+strconv.Itoa(n)+"'"; k <= fits {
				break
			}
		}
	}
	if c.zoom == 0 { // the bars tell it
		word = ""
	}
	for _, e := range [...]float64{10, 8, 6, 5, 4, 3, 2} {
		if k*e <= high {
			return k, e, word
		}
	}
	return k, 1, word
}

// scales draws a bar for lengths and one for heights, and says how many times larger these
// are drawn.
func (c *section) scales(area draw.Rect, kx, times float64, scale string) {
	y := area.Y0
	x := area.X0
	put := func(words string) {
		c.s.Add(draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: x, Y: y}, Words: words, VAlign: draw.AtTop})
		x += textwidth.Width(words, draw.SmallestText, textwidth.Regular) + 3
	}
	put(strings.TrimSpace("Lengths " + scale))
	part, worth, word := barOf(kx, 11, c.sys)
	c.s.Add(draw.ScaleBar(draw.Point{X: x, Y: y}, 2, part, worth, word))
	x += 2*part + 13
	if times > 1 {
		put("Heights " + strconv.FormatFloat(times, 'f', -1, 64) + " times that")
	} else {
		put("Heights the same")
	}
	part, worth, word = barOf(kx*times, 11, c.sys)
	c.s.Add(draw.ScaleBar(draw.Point{X: x, Y: y}, 2, part, worth, word))
	x += 2*part + 13
	if c.steps() && x+keyWidth() <= area.X1 {
		c.key(draw.Rect{X0: x, Y0: y, X1: area.X1, Y1: y + 8})
	}
}

// steps tells whether level pipe of different sizes meets on the line.
func (c *section) steps() bool {
	for i := 1; i < len(c.rows); i++ {
		a, b := &c.rows[i-1], &c.rows[i]
		if a.Seg != network.None && b.Seg != network.None && a.Size != b.Size {
			return true
		}
	}
	return false
}

// key shows at the right end of a box how pipes of different sizes meet: centre line on
// centre line, so that the inside bottom steps down.
func (c *section) key(box draw.Rect) {
	const small, large, long = 1.2, 2.4, 11.0 // half the bores, and the length of each pipe
	x0 := box.X1 - keyWidth() + textwidth.Width(keyLeft[1], draw.SmallestText, textwidth.Regular) + 3
	y := box.Y0 + 2.6
	pipe := draw.Mark{Layer: draw.LayerDrain, Pen: draw.Pen{Width: draw.Medium, Dash: draw.Solid}}
	thin := draw.Mark{Layer: draw.LayerDimension, Pen: draw.Pen{Width: draw.Hair}}
	mid := x0 + long
	step := draw.Point{X: mid, Y: y + large}
	g := draw.Group{Mark: draw.Mark{Layer: draw.LayerDrain, ID: "key", Title: "Pipes of different sizes meet centre line on centre line, and the invert steps down"}}
	g.Shapes = append(g.Shapes,
		draw.Polyline{Mark: pipe, Points: []draw.Point{{X: x0, Y: y - small}, {X: mid, Y: y - small}, {X: mid, Y: y - large}, {X: mid + long, Y: y - large}}},
		draw.Polyline{Mark: pipe, Points: []draw.Point{{X: x0, Y: y + small}, {X: mid, Y: y + small}, step, {X: mid + long, Y: step.Y}}},
		draw.Line{Mark: draw.Mark{Layer: draw.LayerDimension, Pen: draw.Pen{Width: draw.Hair, Dash: draw.DashDot}}, A: draw.Point{X: x0 - 1.5, Y: y}, B: draw.Point{X: mid + long + 1.5, Y: y}},
		draw.Polyline{Mark: thin, Points: []draw.Point{{X: mid + long + 3, Y: y + 4.2}, {X: mid + 4, Y: y + 4.2}, {X: mid + 0.5, Y: y + large + 0.5}}},
		draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: x0 - 3, Y: y - lineStep/2}, Words: keyLeft[0], Align: draw.Right, VAlign: draw.AtMiddle},
		draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: x0 - 3, Y: y + lineStep/2}, Words: keyLeft[1], Align: draw.Right, VAlign: draw.AtMiddle},
		draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: box.X1, Y: y + 4.2}, Words: keyRight, Align: draw.Right, VAlign: draw.AtMiddle})
	c.s.Add(g)
}

// The words of the key.
var keyLeft = [2]string{"SIZES MEET ON", "THE CENTRE LINE"}

const keyRight = "INVERT STEPS"

// keyWidth is the room that the key takes, millimetres.
func keyWidth() float64 {
	return textwidth.Width(keyLeft[1], draw.SmallestText, textwidth.Regular) + 3 + 2*11 + 4 + textwidth.Width(keyRight, draw.SmallestText, textwidth.Regular)
}

// notes says what the figures count from and how pipes meet, a line an item.
func (c *section) notes(width float64) []string {
	words := "Heights from the datum of the job."
	if c.relative {
		words = "Heights from the inside bottom of the outlet: its height is not given."
	}
	words += " Stations count along the pipe; a drop stands at one place."
	if c.farther != "" {
		words += " The way of " + c.farther + " is longer, but not all of its lengths and falls are given."
	}
	if c.without != "" {
		words += " It begins below " + c.without + ", whose length or slope is not given."
	}
	room, below := false, false
	for i := range c.rows {
		m := c.rows[i].Room
		room, below = room || m.Known, below || m.Known && m.V < 0
	}
	if room {
		words += " Room to rise: how much higher the pipe may lie for what drains into it"
		if below {
			words += "; below zero it lies too high, by so much"
		}
		words += "."
	}
	if slices.ContainsFunc(c.rows, func(r elevation.Span) bool { return r.Cover.Known }) {
		words += " Cover: of ground, or of the underside of the slab, over the top of the pipe."
	}
	o := &c.r.Levels.Outlet
	if o.Needed.Known && o.Available.Known {
		words += " Fall needed " + c.length(o.Needed.V) + ", available " + c.length(o.Available.V) + "."
	}
	return draw.Wrap(words, draw.SmallestText, textwidth.Regular, width)
}
