package takeoff

import (
	"cmp"
	"math"
	"slices"

	"trapweir/engine/framing"
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
		t.joined(p.Material, p.Size, n, p.Phase, w)
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

// supports lists the hangers, straps and guides that are counted with the frame of the house.
func (t *taker) supports(fr *framing.Framing) {
	for i := range fr.Held {
		h := &fr.Held[i]
		if h.Size == 0 {
			continue // listed with the pipe
		}
		w, ph := t.whoHeld(h)
		if h.Why != "" {
			t.open(Open{Phase: ph, What: h.Word(), Runs: []string{w.name}, Size: h.Size.Short(), Material: h.Material, Why: h.Why, Ask: h.Ask})
			continue
		}
		if h.Count == 0 {
			continue
		}
		if h.Level {
			t.note("hangers: one for every spacing of the book's table that a straight piece begins, and one at its end")
		} else if !h.ByFloor {
			t.note("riser straps: one for every spacing of the book's table that an upright piece begins; under " + (2 * unit.Foot).In(t.net.Job.Units) + " none")
		}
		l := t.b.line(ph, "hangers and straps", "", h.Word()+" for "+h.Material, h.Size.Short(), []unit.Size{h.Size}, Each)
		l.add(w, int64(h.Count))
		switch {
		case h.ByFloor:
			l.Note = h.Note
		case h.Cite != nil && l.Note == "":
			l.Note = "every " + h.Every.In(t.net.Job.Units) + ", " + h.Cite.Book + " " + h.Cite.At
		}
		if h.Guides > 0 {
			t.b.line(ph, "hangers and straps", "", "pipe guide for "+h.Material, h.Size.Short(), []unit.Size{h.Size}, Each).add(w, int64(h.Guides))
		}
	}
}

// whoHeld is the run or vent of a stretch, and the delivery that it comes with.
func (t *taker) whoHeld(h *framing.Held) (who, Phase) {
	if h.Run == network.None {
		return t.whoVent(h.Vent), RoughIn
	}
	return t.whoSeg(h.Seg), t.phaseSeg(h.Seg)
}

// plates lists the shield plates that are counted with the frame of the house, and sleeves.
func (t *taker) plates(fr *framing.Framing) {
	for i := range fr.Plates {
		p := &fr.Plates[i]
		w := t.whoSeg(p.Seg)
		if p.Why != "" {
			t.open(Open{Phase: RoughIn, What: "shield plates", Runs: []string{w.name}, Why: p.Why, Ask: p.Ask})
			continue
		}
		l := t.b.line(RoughIn, "plates and sleeves", "", "shield plate", "", []unit.Size{0}, Each)
		l.Note = "one on each face where the bore is under " + p.Limit.In(t.net.Job.Units) + " from the edge"
		l.add(w, int64(p.Count))
	}
	for i := range t.net.Runs {
		r := &t.net.Runs[i]
		if stands(r.Def.State) || len(r.Segs) == 0 {
			continue
		}
		if th := r.Def.Through; th.What.Text == "footing" || th.What.Text == "slab edge" {
			s := r.Segs[0]
			z := t.sizes.Size[s]
			t.b.line(t.phaseSeg(s), "plates and sleeves", "", "sleeve through the "+th.What.Text+" for pipe", z.Short(), []unit.Size{z}, Each).add(t.whoSeg(s), int64(max(1, th.Count.V)))
		}
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
		l.Note = "trench " + sh.TrenchWidth.In(t.net.Job.Units) + " wide, " + sh.TrenchBed.In(t.net.Job.Units) + " under the pipe, " + sh.TrenchOver.In(t.net.Job.Units) + " over it"
		l.add(w, cubic)
	}
	for _, l := range t.b.lines {
		switch {
		case l.Unit == Cubic && t.net.Job.Units == unit.Metric:
			// A cubic foot is 0.028316846592 m3; to a tenth, upward.
			l.Buys = []Buy{{N: (l.Qty*28_316_847/1_000_000_000 + 99) / 100 * 100, Unit: "m3"}}
		case l.Unit == Cubic:
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
