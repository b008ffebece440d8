package takeoff

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"trapweir/engine/codebook"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/stock"
	"trapweir/engine/unit"
)

// straight: two ways are one line.
func straight(a, b job.Way) bool { return a == b }

// pipe packs the pieces into stock lengths and says what to buy. Pieces longer than the
// longest stock length are whole lengths and a rest, with couplings between.
func (t *taker) pipe() {
	var cuts []Cut
	var sold []Stock
	for _, m := range t.stock.Materials() {
		p, _ := t.stock.Pipe(m)
		lengths := p.Lengths
		if t.set.Lengths != nil {
			lengths = t.set.Lengths
		}
		for _, z := range p.Sizes {
			for _, l := range lengths {
				sold = append(sold, Stock{l, z.Size, m})
			}
		}
	}
	longest := func(mat string, z unit.Size) unit.Length {
		var l unit.Length
		for _, s := range sold {
			if s.Material == mat && s.Size == z {
				l = max(l, s.Length)
			}
		}
		return l
	}
	phase := map[string]Phase{} // by the tag of a cut
	for i := range t.cut {
		p := &t.cut[i]
		if p.Length <= 0 {
			continue
		}
		tag := itoa(int64(p.Number))
		phase[tag] = p.Phase
		most := longest(p.Material, p.Size)
		if most == 0 || p.Length <= most {
			cuts = append(cuts, Cut{p.Length, p.Size, p.Material, tag})
			continue
		}
		whole := int64(p.Length / most)
		rest := p.Length - unit.Length(whole)*most
		for range whole {
			cuts = append(cuts, Cut{most, p.Size, p.Material, tag})
		}
		n := whole
		if rest > 0 {
			cuts = append(cuts, Cut{rest, p.Size, p.Material, tag})
		} else {
			n--
		}
		w := who{p.Runs[0], p.Vent}
		m := &made{kind: "coupling", run: p.Size, in: p.Size, count: int(n), material: p.Material, phase: p.Phase, who: w}
		if x, ok := t.stock.Pipe(p.Material); ok && x.Joint == stock.Hubless {
			t.joint(m, p.Size, n)
		} else {
			t.part(m)
		}
	}
	t.plan = Pack(cuts, sold, t.stock.Shop.Kerf)
	for _, l := range t.plan.Left {
		i := slices.IndexFunc(t.cut, func(p Piece) bool { return itoa(int64(p.Number)) == l.Cut.Run })
		p := &t.cut[i]
		line := t.pipeLine(p.Phase, p.Material, p.Size)
		line.Note = "no stock length on record: ask how it is sold"
	}
	// A stick is ordered with the first delivery that a piece of it is needed in.
	type key struct {
		ph  Phase
		mat string
		z   unit.Size
	}
	sticks := map[key]map[unit.Length]int64{}
	for _, g := range t.plan.Groups {
		for _, b := range g.Bars {
			first := Trim
			for _, c := range b.Cuts {
				first = min(first, phase[c.Run])
			}
			k := key{first, g.Material, g.Size}
			if sticks[k] == nil {
				sticks[k] = map[unit.Length]int64{}
			}
			sticks[k][b.Stock]++
		}
	}
	for k, byLength := range sticks {
		l := t.pipeLine(k.ph, k.mat, k.z)
		var lengths []unit.Length
		for x := range byLength {
			lengths = append(lengths, x)
		}
		slices.Sort(lengths)
		slices.Reverse(lengths)
		for _, x := range lengths {
			l.Buys = append(l.Buys, Buy{byLength[x] * 1000, stickUnit(x), x})
		}
	}
	for _, l := range t.b.lines {
		switch {
		case l.Unit != Run || l.Qty == 0 || l.Buys != nil:
		case l.Note != "":
			l.Buys = []Buy{{int64((unit.Length(l.Qty) + unit.Foot - 1) / unit.Foot * 1000), "ft", unit.Foot}}
		default:
			l.Note = "out of lengths bought with an earlier delivery"
			l.Buys = []Buy{}
		}
	}
}

// stickUnit names a stock length: "10 ft".
func stickUnit(l unit.Length) string {
	if l%unit.Foot == 0 {
		return itoa(int64(l/unit.Foot)) + " ft"
	}
	return l.String()
}

// stretch is a straight length of pipe above ground that is held.
type stretch struct {
	who      who
	phase    Phase
	material string
	size     unit.Size
	level    bool
	length   unit.Length
	known    bool
	low, up  elevHeight
	// before is how much of the same straight line lies upstream in another size; more: it
	// goes on in another size.
	before unit.Length
	more   bool
}

type elevHeight struct {
	v  unit.Length
	ok bool
}

// shortDrop: an upright piece under this hangs from the fittings at its ends. Custom.
const shortDrop = 2 * unit.Foot

// supports counts hangers, straps and guides by the book's table.
func (t *taker) supports() {
	for i := range t.net.Runs {
		r := &t.net.Runs[i]
		if stands(r.Def.State) {
			continue
		}
		var cur *stretch
		for k, s := range r.Segs {
			g := &t.net.Segs[s]
			if t.phaseSeg(s) == Underground {
				cur = nil
				continue
			}
			z, mat := t.sizes.Size[s], t.segMaterial(s)
			if cur != nil && k > 0 && straight(t.net.Segs[r.Segs[k-1]].Way, g.Way) && cur.size == z {
				cur.length += g.Length()
				cur.known = cur.known && g.LengthKnown
				if t.levels != nil {
					cur.low = elevHeight{t.levels.CentreLow[s].V, t.levels.CentreLow[s].Known}
				}
				continue
			}
			x := stretch{who: t.whoSeg(s), phase: t.phaseSeg(s), material: mat, size: z, level: g.Lie != network.Upright, length: g.Length(), known: g.LengthKnown}
			if cur != nil && k > 0 && straight(t.net.Segs[r.Segs[k-1]].Way, g.Way) && cur.known {
				x.before, cur.more = cur.before+cur.length, true
			}
			t.stretches = append(t.stretches, x)
			cur = &t.stretches[len(t.stretches)-1]
			if t.levels != nil {
				cur.up = elevHeight{t.levels.CentreUp[s].V, t.levels.CentreUp[s].Known}
				cur.low = elevHeight{t.levels.CentreLow[s].V, t.levels.CentreLow[s].Known}
			}
		}
	}
	for i := range t.net.Vents {
		v := network.VentID(i)
		x := &t.net.Vents[i]
		if !t.newVent(v) || t.phaseVent(v) == Underground {
			continue
		}
		lengths, known := legLengths(x)
		for j, l := range x.Def.Legs {
			s := stretch{who: t.whoVent(v), phase: RoughIn, material: t.ventMaterial(v), size: t.ventSize(v), level: l.Way.Plumb > 450, known: known}
			if known {
				s.length = lengths[j]
			}
			t.stretches = append(t.stretches, s)
		}
		if len(x.Def.Legs) == 0 {
			t.stretches = append(t.stretches, stretch{who: t.whoVent(v), phase: RoughIn, material: t.ventMaterial(v), size: t.ventSize(v), level: x.Def.Lies.Text == "level", length: x.Length, known: x.LengthKnown})
		}
	}
	for i := range t.stretches {
		t.support(&t.stretches[i])
	}
}

func (t *taker) support(s *stretch) {
	lie, item := "upright", "riser strap"
	if s.level {
		lie, item = "level", "hanger"
	}
	if s.size == 0 {
		return // listed with the pipe
	}
	o := Open{Phase: s.phase, What: item, Runs: []string{s.who.name}, Size: s.size.Short(), Material: s.material}
	if !s.known {
		o.Why, o.Ask = "a length is not given", "how long is it? write the lengths of its legs"
		t.open(o)
		return
	}
	if !s.level && s.length < shortDrop || s.length == 0 {
		return
	}
	cell, note := t.spacing(s.material, s.size, lie)
	switch {
	case cell.State == codebook.Given && cell.Length > 0:
	case cell.State == codebook.Blank && !s.level:
		t.byFloor(s, item, note, o)
		return
	default:
		o.Why, o.Ask = "the book gives no spacing for "+s.material+" that lies "+lie, "how far apart does your authority want it held?"
		if s.material == "" {
			o.Why = "its material is not known"
		}
		t.open(o)
		return
	}
	// Over a change of size the spacing runs on.
	begun := func(l unit.Length) int64 { return int64((l + cell.Length - 1) / cell.Length) }
	n := begun(s.before+s.length) - begun(s.before)
	if s.level {
		if !s.more {
			n++
		}
		t.note("hangers: one for every spacing of the book's table that a straight piece begins, and one at its end")
	} else {
		t.note("riser straps: one for every spacing of the book's table that an upright piece begins; under 2 ft none")
	}
	if n == 0 {
		return
	}
	l := t.b.line(s.phase, "hangers and straps", "", item+" for "+s.material, s.size.Short(), []unit.Size{s.size}, Each)
	l.add(s.who, n)
	if cell.Cite != nil && l.Note == "" {
		l.Note = "every " + cell.Length.String() + ", " + cell.Cite.Book + " " + cell.Cite.At
	}
	// Thin upright pipe has a guide half way between two supports.
	if p := t.book.Param("support.guide-size"); !s.level && p.State == codebook.Given && s.size <= p.Size && s.length > cell.Length/2 {
		t.b.line(s.phase, "hangers and straps", "", "pipe guide for "+s.material, s.size.Short(), []unit.Size{s.size}, Each).add(s.who, n)
	}
}

// byFloor: the book prints no spacing for upright pipe but wants it held at its base and at
// every floor.
func (t *taker) byFloor(s *stretch, item, note string, o Open) {
	if s.who.vent || !s.up.ok || !s.low.ok {
		o.Why, o.Ask = "the book wants it held at its base and at every floor, and its heights are not known", "through which floors does it pass?"
		t.open(o)
		return
	}
	n := int64(1)
	for i := range t.net.Job.Levels {
		if f := t.net.Job.Levels[i].Floor; f.Set && f.V > s.low.v && f.V <= s.up.v {
			n++
		}
	}
	l := t.b.line(s.phase, "hangers and straps", "", item+" for "+s.material, s.size.Short(), []unit.Size{s.size}, Each)
	l.Note = note
	l.add(s.who, n)
}

// spacing looks up the book's table of supports: the row of the material, for copper the
// one of tube that holds the size.
func (t *taker) spacing(material string, z unit.Size, lie string) (codebook.Cell, string) {
	if t.book == nil {
		return codebook.Cell{}, ""
	}
	tab, ok := t.book.Table("support-spacing")
	if !ok {
		return codebook.Cell{}, ""
	}
	row, ok := tab.RowByKey(material)
	if !ok {
		row = tubeRow(tab, material, z)
	}
	col := tab.Column(lie)
	if row == nil || col < 0 {
		return codebook.Cell{}, ""
	}
	c := row.Cells[col]
	note := ""
	if c.Notes != "" {
		note = tab.Note(c.Notes[:1])
	}
	return c, note
}

// tubeRow finds the row of tube that is graded by size: "copper tube to 1-1/4", "copper
// tube 1-1/2 and up".
func tubeRow(tab *codebook.Table, material string, z unit.Size) *codebook.Row {
	for i := range tab.Rows {
		rest, ok := strings.CutPrefix(tab.Rows[i].Key, material+" tube")
		if !ok {
			continue
		}
		rest = strings.TrimSpace(rest)
		if to, ok := strings.CutPrefix(rest, "to "); ok {
			if m, err := unit.ParseSize(to); err == nil && z <= m {
				return &tab.Rows[i]
			}
		} else if from, ok := strings.CutSuffix(rest, " and up"); ok {
			if m, err := unit.ParseSize(from); err == nil && z >= m {
				return &tab.Rows[i]
			}
		}
	}
	return nil
}

// lumber is the dressed width of lumber in sixteenths of an inch, by its name. Source:
// American softwood lumber standard PS 20, from memory.
var lumber = map[string]unit.Length{"2x4": 56 * sixteenth, "2x6": 88 * sixteenth, "2x8": 116 * sixteenth, "2x10": 148 * sixteenth, "2x12": 180 * sixteenth}

// plates counts shield plates: one on each face of each member that a pipe is bored
// through too near to its edge. What is not said to be bored is asked about.
func (t *taker) plates() {
	var edge unit.Length
	if t.book != nil {
		if p := t.book.Param("shield.edge"); p.State == codebook.Given {
			edge = p.Length
		}
	}
	for i := range t.net.Runs {
		r := &t.net.Runs[i]
		if stands(r.Def.State) || len(r.Segs) == 0 {
			continue
		}
		s := r.Segs[0]
		z, mat, w := t.sizes.Size[s], t.segMaterial(s), t.whoSeg(s)
		o := Open{Phase: RoughIn, What: "shield plates", Runs: []string{w.name}}
		th := r.Def.Through
		if th.What.Text == "" {
			if r.Def.Where.Text == "wall" || r.Def.Where.Text == "exterior wall" {
				o.Why, o.Ask = "how many studs and plates it is bored through is not said", "what is it bored through? write `through: {studs: 3}`"
				t.open(o)
			}
			continue
		}
		if th.What.Text != "studs" && th.What.Text != "joists" {
			if th.What.Text == "footing" || th.What.Text == "slab edge" {
				t.b.line(t.phaseSeg(s), "plates and sleeves", "", "sleeve through the "+th.What.Text+" for pipe", z.Short(), []unit.Size{z}, Each).add(w, int64(max(1, th.Count.V)))
			}
			continue
		}
		if mat == "cast iron" || mat == "galvanized steel" {
			continue // metal that a nail does not pierce; the shield rules exempt both (common practice)
		}
		member := ""
		if r.Level >= 0 && int(r.Level) < len(t.net.Job.Levels) {
			lv := &t.net.Job.Levels[r.Level]
			member = lv.Studs.Text
			if th.What.Text == "joists" {
				member = lv.Joists.Text
			}
		}
		od := t.stock.OD(mat, z)
		width, ok := lumber[member]
		switch {
		case edge == 0:
			o.Why, o.Ask = "the book does not say how near to the edge a bore needs one", "how near to the edge does your authority want a plate?"
		case !ok:
			o.Why, o.Ask = "the lumber of the "+th.What.Text+" is not said", "what are the "+th.What.Text+" of this level? write `studs: 2x4` or `joists: 2x10`"
		case !od.Known():
			o.Why, o.Ask = "the outside diameter is not on record", "what does the pipe measure on the outside?"
		case !th.Count.Set:
			o.Why, o.Ask = "how many "+th.What.Text+" is not said", "how many are bored? write `through: {"+th.What.Text+": 3}`"
		default:
			if clear := (width - od.V - t.stock.Shop.HoleOver) / 2; clear < edge {
				l := t.b.line(RoughIn, "plates and sleeves", "", "shield plate", "", []unit.Size{0}, Each)
				l.Note = "one on each face where the bore is under " + edge.Inches() + " from the edge"
				l.add(w, 2*int64(th.Count.V))
			}
			continue
		}
		t.open(o)
	}
}

// bedding counts the sand or gravel around pipe that lies in a trench: width times (bed,
// pipe and cover) less the pipe, per foot.
func (t *taker) bedding() {
	sh := &t.stock.Shop
	for i := range t.net.Segs {
		s := network.SegID(i)
		g := &t.net.Segs[i]
		if t.phaseSeg(s) != Underground || !t.newSeg(s) || g.Lie == network.Upright {
			continue
		}
		w := t.whoSeg(s)
		od := t.stock.OD(t.segMaterial(s), t.sizes.Size[s])
		if !g.LengthKnown || !od.Known() {
			why, ask := "a length is not given", "how long is it? write the lengths of its legs"
			if g.LengthKnown {
				why, ask = "the outside diameter of the pipe is not on record", "what does the pipe measure on the outside?"
			}
			t.open(Open{Phase: Underground, What: "bedding", Runs: []string{w.name}, Why: why, Ask: ask})
			continue
		}
		in := func(l unit.Length) float64 { return float64(l) / float64(unit.Inch) }
		area := in(sh.TrenchWidth)*in(sh.TrenchBed+od.V+sh.TrenchOver) - math.Pi/4*in(od.V)*in(od.V)
		cubic := int64(math.Round(area / 144 * float64(g.Length()) / float64(unit.Foot) * 1000))
		l := t.b.line(Underground, "bedding", "", "sand or gravel for bedding", "", []unit.Size{0}, Cubic)
		l.Note = "trench " + sh.TrenchWidth.Inches() + " wide, " + sh.TrenchBed.Inches() + " under the pipe, " + sh.TrenchOver.Inches() + " over it"
		l.add(w, cubic)
	}
	for _, l := range t.b.lines {
		if l.Unit == Cubic {
			l.Buys = []Buy{{N: (l.Qty*1000/27 + 99_999) / 100_000 * 100, Unit: "cu yd"}} // to a tenth, upward
		}
	}
}

// allJoints sums the joints by phase, material and size.
func (t *taker) allJoints() []Joints {
	out := []Joints{}
	for k, n := range t.joints {
		if n == 0 {
			continue
		}
		i := slices.IndexFunc(out, func(j Joints) bool { return j.Phase == k.phase && j.Material == k.material && j.Size == k.size })
		if i < 0 {
			out = append(out, Joints{k.phase, k.material, k.size, n})
		} else {
			out[i].N += n
		}
	}
	slices.SortFunc(out, func(a, b Joints) int {
		return cmp.Or(cmp.Compare(a.Phase, b.Phase), cmp.Compare(a.Material, b.Material), cmp.Compare(b.Size, a.Size))
	})
	return out
}

// fixtures counts the new fixtures by kind.
func (t *taker) fixtures() []Fixtures {
	out := []Fixtures{}
	for i := range t.net.Fixtures {
		f := &t.net.Fixtures[i]
		if f.Kind == nil || !t.newSeg(f.Seg) {
			continue
		}
		ph := t.phaseSeg(f.Seg)
		k := slices.IndexFunc(out, func(x Fixtures) bool { return x.Kind == f.Kind.Name && x.Phase == ph })
		if k < 0 {
			k = len(out)
			out = append(out, Fixtures{Kind: f.Kind.Name, Phase: ph})
		}
		out[k].N++
		out[k].Runs = append(out[k].Runs, t.net.RunOf(f.Seg).Name)
	}
	for i := range out {
		slices.Sort(out[i].Runs)
	}
	slices.SortFunc(out, func(a, b Fixtures) int {
		return cmp.Or(cmp.Compare(a.Phase, b.Phase), cmp.Compare(a.Kind, b.Kind))
	})
	return out
}

// tests lists the deliveries that have pipe: each is tested before it is covered.
func (t *taker) tests() []Phase {
	out := []Phase{}
	for ph := range Phase(Phases) {
		if slices.ContainsFunc(t.cut, func(p Piece) bool { return p.Phase == ph }) {
			out = append(out, ph)
		}
	}
	return out
}

// consumed counts what joints use up: cement and primer by the quart, couplings of hubless
// pipe, solder joints.
func (t *taker) consumed() {
	keys := make([]jointKey, 0, len(t.joints))
	for k := range t.joints {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b jointKey) int {
		return cmp.Or(cmp.Compare(a.phase, b.phase), cmp.Compare(a.material, b.material), cmp.Compare(a.size, b.size), cmp.Compare(a.who.name, b.who.name))
	})
	for _, k := range keys {
		n := t.joints[k]
		if n <= 0 {
			continue
		}
		p, ok := t.stock.Pipe(k.material)
		if !ok {
			t.open(Open{Phase: k.phase, What: "joints", Runs: []string{k.who.name}, Size: k.size.Short(), Material: k.material, Why: "how " + k.material + " is joined is not on record", Ask: "how do you join it, and to what?"})
			continue
		}
		switch p.Joint {
		case stock.Solvent:
			j, ok := t.stock.JointsPerQuart(k.size)
			if !ok {
				t.open(Open{Phase: k.phase, What: "cement", Runs: []string{k.who.name}, Size: k.size.Short(), Material: k.material, Why: "how many joints a quart makes in this size is not on record", Ask: "how many joints of this size does a quart of your cement make?"})
				continue
			}
			q := n * 1_000_000 / j.PerQuart
			t.b.line(k.phase, "cement and primer", k.material, "solvent cement", "", []unit.Size{0}, Quart).add(k.who, q)
			if sh := t.stock.Shop.PrimerShare; p.Primer && sh.Run > 0 {
				t.b.line(k.phase, "cement and primer", k.material, "primer", "", []unit.Size{0}, Quart).add(k.who, q*sh.Fall/sh.Run)
			}
		case stock.Hubless:
			l := t.b.line(k.phase, "couplings and gaskets", k.material, "hubless coupling", k.size.Short(), []unit.Size{k.size}, Each)
			l.Standard = "CISPI 310, ASTM C1277"
			l.add(k.who, n)
		case stock.Solder:
			t.b.line(k.phase, "cement and primer", k.material, "solder joint", k.size.Short(), []unit.Size{k.size}, Each).add(k.who, n)
		}
	}
	for _, l := range t.b.lines {
		if l.Unit != Quart {
			continue
		}
		q := l.Qty
		if sh := t.stock.Shop.CementSpare; sh.Run > 0 {
			q += q * sh.Fall / sh.Run
		}
		l.Buys = []Buy{{N: (q + 499_999) / 500_000 * 1000, Unit: "pint"}}
		l.Note = "by joints per quart, with the shop's spare, in whole pints"
	}
}
