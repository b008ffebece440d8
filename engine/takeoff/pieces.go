package takeoff

import (
	"cmp"
	"slices"

	"trapweir/engine/fitting"
	"trapweir/engine/framing"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/stock"
	"trapweir/engine/unit"
)

// exact is the take-out of an end that stands free.
func exact() stock.Dim { return stock.Dim{Confidence: stock.High, Basis: "a free end"} }

// Want is a measure that a shop has to take of its own fittings before every piece can be
// cut from the list.
type Want struct {
	Material string    `json:"material"`
	Kind     string    `json:"kind"` // as files of measures name it
	Say      string    `json:"say"`
	Run      unit.Size `json:"run"`
	Branch   unit.Size `json:"branch,omitempty"` // 0: a pattern with one measure for both ends
	// Ports says which of upper, lower and side are wanted; for a pattern with one measure
	// only the first.
	Ports [3]bool `json:"ports"`
	// Pieces is how many ends of pipe rest on it.
	Pieces int `json:"pieces"`
}

// lookup asks for a take-out, and notes it as wanted where it is less than medium sure.
func (t *taker) lookup(material, kind string, run, branch unit.Size, p stock.Port) stock.Dim {
	d := t.stock.Takeout(material, kind, run, branch, p)
	if d.Confidence >= stock.Medium || run == 0 {
		return d
	}
	kind = stock.Base(kind)
	pat, ok := t.stock.Pattern(kind)
	if !ok {
		return d
	}
	if branch == 0 {
		p = stock.Upper
	}
	i := slices.IndexFunc(t.wants, func(w Want) bool {
		return w.Material == material && w.Kind == kind && w.Run == run && w.Branch == branch
	})
	if i < 0 {
		i = len(t.wants)
		t.wants = append(t.wants, Want{Material: material, Kind: kind, Say: pat.Say, Run: run, Branch: branch})
	}
	t.wants[i].Ports[p] = true
	t.wants[i].Pieces++
	return d
}

// allWants are the wanted measures by material, pattern and size, largest first.
func (t *taker) allWants() []Want {
	out := slices.Clone(t.wants)
	slices.SortFunc(out, func(a, b Want) int {
		return cmp.Or(cmp.Compare(a.Material, b.Material), cmp.Compare(a.Kind, b.Kind), cmp.Compare(b.Run, a.Run), cmp.Compare(b.Branch, a.Branch))
	})
	return out
}

// take is what a fitting takes at one of its ends. Where pipe smaller than the end goes in
// by a bushing, what the bushing adds is counted in; as long as that is not on record, the
// measure is an estimate.
func (t *taker) take(m *made, p stock.Port, pipe unit.Size) stock.Dim {
	kind, run, branch := m.kind, m.run, unit.Size(0)
	if len(m.branch) > 0 {
		branch = m.branch[0]
	}
	at := run
	switch {
	case m.join != nil && m.join.Does == fitting.Trap && t.throughWall(m):
		kind, branch, run = "trap adapter", 0, adapterHub(run, m.in)
		at = run
	case m.join != nil && m.join.Does == fitting.Trap:
		branch = 0
		if m.in > 0 && m.in < run {
			run = m.in // the trap is smaller than its arm: a bushing between
		}
		at = run
	case kind == "closet flange and bend":
		kind, branch = "closet bend", 0
	case m.join != nil && m.join.Does == fitting.Reduce:
		branch = m.in
		if p == stock.Upper {
			at = m.in
		}
	case p == stock.Side:
		at = branch
	}
	if m.count > 1 {
		return stock.Dim{} // two bends for a turn: where the corner lies is not on record
	}
	d := t.lookup(m.material, kind, run, branch, p)
	between := func(large, small unit.Size) {
		word := "bushing"
		if x, ok := t.stock.Pipe(m.material); ok && x.Joint != stock.Solvent {
			word = "increaser"
		}
		b := t.lookup(m.material, word, large, small, stock.Upper)
		if !d.Known() {
			return
		}
		if !b.Known() {
			d.Confidence = stock.Low
			return
		}
		d.V += b.V
		d.Confidence = min(d.Confidence, b.Confidence)
	}
	switch {
	case pipe == 0 || at == 0 || at == pipe:
	case m.join != nil && m.join.Does == fitting.Trap && pipe > at:
		between(pipe, at)
	case pipe < at:
		between(at, pipe)
	case d.Known():
		d.Confidence = stock.Low
	}
	if d.Known() {
		if x, ok := t.stock.Pipe(m.material); ok && x.Joint == stock.Hubless {
			d.V += x.Gap.V
			if x.Gap.Known() {
				d.Confidence = min(d.Confidence, x.Gap.Confidence)
			}
		}
	}
	return d
}

// throughWall: the trap comes with the trim, and an adapter takes it.
func (t *taker) throughWall(m *made) bool {
	f := t.net.Segs[m.join.At.Seg].Fixture
	return f != network.None && inWall(&t.net.Fixtures[f])
}

// part of a piece: a segment, or a leg of a vent.
type part struct {
	who who
	l   unit.Length
}

// pieces parts the drains at their fittings.
func (t *taker) pieces() {
	n := t.net
	starts := make([]bool, len(n.Segs))
	for i := range n.Segs {
		d := network.SegID(i)
		p := t.pred(d)
		starts[i] = len(t.nodes[d]) > 0 || p == network.None || t.segMaterial(p) != t.segMaterial(d) || t.sizes.Size[p] != t.sizes.Size[d] || t.newSeg(p) != t.newSeg(d)
		if p != network.None && t.newSeg(p) && t.newSeg(d) && len(t.nodes[d]) == 0 && t.segMaterial(p) != t.segMaterial(d) {
			// Another material goes straight on.
			t.coupling(t.segMaterial(p), t.segMaterial(d), t.sizes.Size[p], t.sizes.Size[d], false, t.phaseSeg(d), t.whoSeg(d), n.RunOf(p).Def.Joint)
		} else if p != network.None && t.newSeg(p) != t.newSeg(d) && len(t.nodes[d]) == 0 {
			fresh, old := p, d
			if !t.newSeg(p) {
				fresh, old = d, p
			}
			t.coupling(t.segMaterial(fresh), t.toldMaterial(old), t.sizes.Size[fresh], t.sizes.Size[old], true, t.phaseSeg(d), t.whoSeg(d), n.RunOf(p).Def.Joint)
		} else if !starts[i] && t.newSeg(d) && t.phaseSeg(p) != t.phaseSeg(d) {
			// One is laid and covered before the other comes.
			starts[i] = true
			t.joined(t.segMaterial(d), t.sizes.Size[d], 1, RoughIn, t.whoSeg(d))
		}
	}
	for i := range n.Segs {
		s := network.SegID(i)
		if !starts[i] || !t.newSeg(s) {
			continue
		}
		chain := []network.SegID{s}
		for d := n.Segs[s].Down; d != network.None && !starts[d] && t.pred(d) == chain[len(chain)-1]; d = n.Segs[d].Down {
			chain = append(chain, d)
		}
		t.piece(chain)
	}
}

// joined counts joints of pipe with pipe that goes straight on in the same size.
func (t *taker) joined(material string, z unit.Size, n int64, ph Phase, w who) {
	m := &made{kind: "coupling", run: z, in: z, count: int(n), material: material, phase: ph, who: w}
	if x, ok := t.stock.Pipe(material); ok && x.Joint == stock.Hubless {
		t.joint(m, z, n)
	} else {
		t.part(m)
	}
}

// upperEnd is the fitting and what it takes at the upper end of a segment.
func (t *taker) upperEnd(s network.SegID) (string, stock.Dim) {
	at := t.nodes[s]
	switch len(at) {
	case 0:
		if p := t.pred(s); p != network.None && t.newSeg(p) {
			return "coupling", exact()
		}
		return "open end", exact()
	case 1:
		m := at[0]
		word := t.say(m.kind)
		if m.join != nil && m.join.Does == fitting.Trap && t.throughWall(m) {
			word = t.say("trap adapter")
		}
		return word, t.take(m, stock.Lower, t.sizes.Size[s])
	}
	// Several fittings in one place stand one behind the other: how is for the plumber.
	m := at[len(at)-1]
	d := t.take(m, stock.Lower, t.sizes.Size[s])
	if d.Known() {
		d.Confidence = stock.Low
	}
	return t.say(m.kind), d
}

// lowerEnd is the same for where a segment arrives.
func (t *taker) lowerEnd(u network.SegID) (string, stock.Dim) {
	if len(t.lower[u]) > 0 {
		return t.say(t.lower[u][0].kind), stock.Dim{}
	}
	d := t.net.Segs[u].Down
	if d == network.None {
		return "outlet", stock.Dim{}
	}
	at := t.nodes[d]
	for _, m := range at {
		p := stock.Upper
		switch {
		case slices.Contains(m.side, u):
			p = stock.Side
		case m.through != u:
			continue
		}
		x := t.take(m, p, t.sizes.Size[u])
		if len(at) > 1 && x.Known() && p == stock.Upper {
			x.Confidence = stock.Low
		}
		return t.say(m.kind), x
	}
	if len(at) == 0 {
		return "coupling", exact()
	}
	return t.say(at[0].kind), stock.Dim{}
}

// piece counts one length of pipe between two fittings.
func (t *taker) piece(chain []network.SegID) {
	first, last := chain[0], chain[len(chain)-1]
	z, mat, ph := t.sizes.Size[first], t.segMaterial(first), t.phaseSeg(first)
	var parts []part
	known := true
	for _, s := range chain {
		if !t.net.Segs[s].LengthKnown {
			known = false
		}
		parts = append(parts, part{t.whoSeg(s), t.net.Segs[s].Length()})
	}
	from, a := t.upperEnd(first)
	to, b := t.lowerEnd(last)
	t.put(ph, mat, z, parts, known, from, to, a, b)
}

// put counts a length of pipe, or lists it as not measured.
func (t *taker) put(ph Phase, mat string, z unit.Size, parts []part, known bool, from, to string, a, b stock.Dim) {
	var names []string
	vent := parts[0].who.vent
	for _, p := range parts {
		if !slices.Contains(names, p.who.name) {
			names = append(names, p.who.name)
		}
	}
	size := ""
	if z > 0 {
		size = z.Short()
	}
	if !known || z == 0 {
		o := Open{Phase: ph, What: "pipe", Runs: names, Size: size, Material: mat, Why: "a length is not given", Ask: "how long is it? write the lengths of its legs"}
		if known {
			o.Why, o.Ask = "its size is not known", "what size is it?"
		}
		t.open(o)
		if z > 0 {
			t.pipeLine(ph, mat, z).AtLeast = true
		}
		return
	}
	p := Piece{Phase: ph, Runs: names, Vent: vent, Material: mat, Size: z, From: from, To: to, Take: [2]stock.Dim{a, b}, Sure: min(a.Confidence, b.Confidence)}
	for _, x := range parts {
		p.Centres += x.l
	}
	p.Length = max(0, p.Centres-a.V-b.V).Round(mark(t.net.Job.Units))
	if p.Length == 0 && p.Sure >= stock.Medium {
		t.meet(mat, z, names)
	}
	l := t.pipeLine(ph, mat, z)
	l.Pieces++
	if p.Sure < stock.Medium {
		l.Guessed++
	}
	// The shares: every part its length, the fittings taken from the parts at the ends. What
	// an end part cannot give, the next one gives.
	left := p.Length
	over := p.Centres - p.Length
	for i, x := range parts {
		give := x.l
		if i == 0 {
			cut := min(give, a.V)
			give, over = give-cut, over-cut
		}
		if i == len(parts)-1 {
			give = left
		}
		give = max(0, min(give, left))
		l.add(x.who, int64(give))
		left -= give
	}
	p.Number = len(t.cut) + 1
	t.cut = append(t.cut, p)
}

func (t *taker) pipeLine(ph Phase, mat string, z unit.Size) *Line {
	l := t.b.line(ph, "pipe", mat, "pipe", z.Short(), []unit.Size{z}, Run)
	if p, ok := t.stock.Pipe(mat); ok {
		l.Standard = p.Standard
	}
	return l
}

// node is a fitting on a vent, so far from its take-off.
type node struct {
	at   unit.Length
	kind string
	take [2]stock.Dim // before it and after it
}

// ventPieces parts the vents at their turns and where other vents come in.
func (t *taker) ventPieces() {
	for i := range t.net.Vents {
		v := network.VentID(i)
		if t.newVent(v) {
			t.ventPiece(v)
		}
	}
}

func (t *taker) ventPiece(v network.VentID) {
	x := &t.net.Vents[v]
	z, mat, ph, w := t.ventSize(v), t.ventMaterial(v), t.phaseVent(v), t.whoVent(v)
	lengths, known := framing.LegLengths(x)
	from, a := t.ventStart(v)
	to, b := t.ventStop(v)
	// Turns, in the order of the legs.
	var nodes []node
	k := 0
	var at unit.Length
	for j := range x.Def.Legs {
		if j > 0 {
			if m := t.ventTurn(v, &k, j); m != nil {
				d := t.take(m, stock.Upper, z)
				nodes = append(nodes, node{at, t.say(m.kind), [2]stock.Dim{d, d}})
			}
		}
		if j < len(lengths) {
			at += lengths[j]
		}
	}
	total := at
	if len(x.Def.Legs) == 0 {
		total = x.Length
	}
	for _, f := range x.Feeds {
		fv := &t.net.Vents[f]
		if fv.Def.Into.Kind != job.AtLength {
			continue
		}
		s := fv.Def.Into.Len
		if s <= 0 || s >= total {
			continue
		}
		m := &made{kind: "vent tee", run: z, branch: []unit.Size{t.ventSize(f)}, count: 1, material: mat}
		// Air goes up: the lower end of the tee is nearer to the take-off.
		nodes = append(nodes, node{s, t.say(m.kind), [2]stock.Dim{t.take(m, stock.Lower, z), t.take(m, stock.Upper, z)}})
	}
	slices.SortStableFunc(nodes, func(p, q node) int {
		switch {
		case p.at < q.at:
			return -1
		case p.at > q.at:
			return 1
		}
		return 0
	})
	if !known {
		t.put(ph, mat, z, []part{{w, 0}}, false, from, to, a, b)
		return
	}
	begin := unit.Length(0)
	for _, nd := range nodes {
		if nd.at > begin {
			t.put(ph, mat, z, []part{{w, nd.at - begin}}, true, from, nd.kind, a, nd.take[0])
		}
		begin, from, a = nd.at, nd.kind, nd.take[1]
	}
	if total > begin {
		t.put(ph, mat, z, []part{{w, total - begin}}, true, from, to, a, b)
	}
}

// ventTurn finds the fitting of the turn before leg j; nil when the legs go straight on.
// k counts the turns found.
func (t *taker) ventTurn(v network.VentID, k *int, j int) *made {
	legs := t.net.Vents[v].Def.Legs
	if straight(legs[j-1].Way, legs[j].Way) {
		return nil
	}
	i := 0
	for _, f := range t.onVents {
		if f.At.Vent != v || f.Does.String() != "vent turn" {
			continue
		}
		if i == *k {
			*k++
			return &made{kind: f.Kind, run: f.Out, count: max(1, f.Count), material: t.ventMaterial(v)}
		}
		i++
	}
	return nil
}

// ventStart is the fitting at the take-off.
func (t *taker) ventStart(v network.VentID) (string, stock.Dim) {
	z := t.ventSize(v)
	for _, k := range t.net.Vents[v].Takes {
		if k.Seg == network.None {
			continue
		}
		for _, m := range append(slices.Clone(t.nodes[k.Seg]), t.lower[k.Seg]...) {
			switch {
			case m.up == v:
				return t.say(m.kind), t.take(m, stock.Upper, z)
			case m.beside == v:
				return t.say(m.kind), t.take(m, stock.Side, z)
			}
		}
		if len(t.nodes[k.Seg]) == 0 {
			return "open end", exact()
		}
		return t.say(t.nodes[k.Seg][0].kind), stock.Dim{}
	}
	return "open end", stock.Dim{}
}

// ventStop is what stands at its end.
func (t *taker) ventStop(v network.VentID) (string, stock.Dim) {
	x := &t.net.Vents[v]
	switch x.End {
	case network.ThroughRoof:
		return "open end over the roof", exact()
	case network.SideWall:
		return "open end at the wall", exact()
	case network.JoinsVent:
		m := &made{kind: "vent tee", run: t.ventSize(x.Into), branch: []unit.Size{t.ventSize(v)}, count: 1, material: t.ventMaterial(v)}
		return t.say(m.kind), t.take(m, stock.Side, t.ventSize(v))
	case network.JoinsRun:
		return "wye", stock.Dim{}
	case network.AirAdmittanceValve:
		z := t.ventSize(v)
		return "air admittance valve", t.take(&made{kind: "air admittance valve", run: z, count: 1, material: t.ventMaterial(v)}, stock.Upper, z)
	case network.Capped:
		return "cap", exact()
	}
	return "end", stock.Dim{}
}

// standpipes: the upright pipe that a washer empties into, from the trap's weir to its rim.
func (t *taker) standpipes() {
	for i := range t.net.Fixtures {
		f := &t.net.Fixtures[i]
		if f.Kind == nil || !f.Kind.Standpipe.Set && !f.Def.Standpipe.Set || !t.newSeg(f.Seg) {
			continue
		}
		z := t.trapSize(f.Seg)
		w, mat := t.whoSeg(f.Seg), t.segMaterial(f.Seg)
		if !f.Def.Standpipe.Set {
			t.open(Open{Phase: RoughIn, What: "standpipe", Runs: []string{w.name}, Size: z.Short(), Material: mat, Why: "its height is not given", Ask: "how high is the rim of the standpipe over the weir? write `standpipe: 30\"`"})
			continue
		}
		t.put(RoughIn, mat, z, []part{{w, f.Def.Standpipe.V}}, true, "open end", t.say("p-trap"), exact(), t.lookup(mat, "p-trap inlet", z, 0, stock.Upper))
	}
}
