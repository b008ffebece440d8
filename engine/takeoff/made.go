package takeoff

import (
	"slices"

	"trapweir/engine/fitting"
	"trapweir/engine/network"
	"trapweir/engine/stock"
	"trapweir/engine/unit"
)

// made is a fitting as it is bought: its pattern settled, the run of one size, what comes
// in smaller brought up by a bushing.
type made struct {
	kind     string
	run      unit.Size
	in       unit.Size // what comes in at the upper end, 0 for nothing
	branch   []unit.Size
	count    int
	material string
	phase    Phase
	who      who

	through network.SegID
	side    []network.SegID
	// up and beside are the vents that leave at the upper end and at the side.
	up, beside network.VentID
	join       *fitting.Fitting
	// shut: it closes an end of another fitting, whose joint that is.
	shut bool
}

// bends are the patterns with two ends that a branch can take the place of.
func isBend(kind string) bool {
	switch kind {
	case "quarter bend", "short sweep", "long sweep", "eighth bend", "sixth bend", "vent elbow":
		return true
	}
	return false
}

// isTee: patterns whose upper end stays open when nothing comes in there.
func isTee(kind string) bool {
	switch kind {
	case "sanitary tee", "double sanitary tee", "double fixture fitting", "wye", "double wye", "combo", "double combo", "upright wye", "upright combo", "tee":
		return true
	}
	return false
}

// settle turns the fittings of the job into what is bought.
func (t *taker) settle(fs []fitting.Fitting) {
	for i := range fs {
		f := &fs[i]
		switch f.Does {
		case fitting.Cleanout:
			t.cleans = append(t.cleans, f)
			continue
		case fitting.VentTurn, fitting.VentJoin, fitting.VentEnd:
			t.onVents = append(t.onVents, f)
			continue
		}
		m := &made{kind: f.Kind, run: f.Out, in: f.In, branch: slices.Clone(f.Branch), count: max(f.Count, 1), through: f.Through, side: f.From, up: network.None, beside: network.None, join: f}
		m.who, m.phase, m.material = t.whoSeg(f.At.Seg), t.phaseEnd(f.At.Seg), t.materialAt(f)
		if f.At.Lower || f.Does == fitting.Closet {
			m.phase = t.phaseSeg(f.At.Seg)
		}
		if f.Does == fitting.Trap {
			m.in = t.trapSize(f.At.Seg)
		}
		switch f.Word.Text {
		case "heel inlet 90":
			m.kind = "heel inlet quarter bend"
		case "side inlet 90":
			m.kind = "side inlet quarter bend"
		}
		if f.Does == fitting.Takeoff {
			m.beside = f.At.Vent
			if !t.newVent(f.At.Vent) && !t.newSeg(f.At.Seg) {
				continue
			}
		} else if !t.anyNew(f) {
			continue
		}
		if !f.At.Known && f.Does == fitting.Turn && f.Through == f.Into {
			// Counted turns: how many is known and not where.
			t.loose = append(t.loose, m)
			continue
		}
		if f.At.Lower {
			t.lower[f.At.Seg] = append(t.lower[f.At.Seg], m)
			continue
		}
		t.nodes[f.At.Seg] = append(t.nodes[f.At.Seg], m)
	}
	t.rising()
	for _, f := range t.cleans {
		t.cleanout(f)
	}
}

// rising: a vent that goes straight up from the top of a drop stands on the fitting through
// which the pipe comes in there. Where that is a bend that the job states, it is a sanitary
// tee that is bought all the same: the drain below, the vent above, the arm at the side.
func (t *taker) rising() {
	for v := range t.net.Vents {
		x := &t.net.Vents[v]
		for _, k := range x.Takes {
			if k.Seg == network.None || k.Lower || x.Def.Fitting.Text != "" || !t.risesPlumb(network.VentID(v)) || t.net.Segs[k.Seg].Lie != network.Upright {
				continue
			}
			if !t.newVent(network.VentID(v)) && !t.newSeg(k.Seg) {
				continue
			}
			at := t.nodes[k.Seg]
			size := t.ventSize(network.VentID(v))
			switch i := slices.IndexFunc(at, func(m *made) bool { return isBend(m.kind) && m.join.Change == fitting.LevelToUpright }); {
			case i >= 0:
				m := at[i]
				m.kind, m.branch, m.side, m.through, m.up, m.count = "sanitary tee", []unit.Size{m.in}, []network.SegID{m.through}, network.None, network.VentID(v), 1
				m.in = size
				continue
			}
			if i := slices.IndexFunc(at, func(m *made) bool {
				return isTee(m.kind) && m.through == network.None && m.up == network.None
			}); i >= 0 {
				at[i].up, at[i].in = network.VentID(v), size
				continue
			}
			if slices.ContainsFunc(at, func(m *made) bool { return m.through != network.None }) || len(t.net.Up(k.Seg)) > 0 {
				// Pipe comes in straight from above, so the vent leaves at the side.
				m := &made{kind: "vent tee", run: t.sizes.Size[k.Seg], in: t.sizes.Size[k.Seg], branch: []unit.Size{size}, count: 1, through: t.pred(k.Seg), up: network.None, beside: network.VentID(v)}
				m.who, m.phase, m.material = t.whoSeg(k.Seg), t.phaseSeg(k.Seg), t.segMaterial(k.Seg)
				t.nodes[k.Seg] = append(t.nodes[k.Seg], m)
			}
		}
	}
}

func (t *taker) risesPlumb(v network.VentID) bool {
	legs := t.net.Vents[v].Def.Legs
	return len(legs) == 0 || legs[0].Way.Plumb == 0
}

// cleanout settles what a cleanout is made of. At a dead end the pipe itself is closed; at
// a turn the bend becomes a branch whose straight end is the cleanout; elsewhere a branch
// is set for it.
func (t *taker) cleanout(f *fitting.Fitting) {
	s := f.At.Seg
	if !t.newSeg(s) {
		return
	}
	w, ph, mat := t.whoSeg(s), t.phaseSeg(s), t.segMaterial(s)
	size := f.Out
	if len(f.Branch) > 0 {
		size = f.Branch[0]
	}
	part := func(kind string, z unit.Size, branch ...unit.Size) *made {
		return &made{kind: kind, run: z, branch: branch, count: 1, material: mat, phase: ph, who: w, through: network.None, up: network.None, beside: network.None}
	}
	inside := !f.At.Lower && f.At.Station != t.net.Segs[s].From
	switch f.Kind {
	case "two-way cleanout":
		m := part("two-way cleanout tee", f.Out, size)
		m.in, m.through = f.Out, t.pred(s)
		if !inside && !f.At.Lower {
			t.takeIn(m, s)
		}
		t.place(m, s, f.At.Lower, inside)
		t.up = append(t.up, riser{fit: f, size: size, to: "two-way cleanout tee"})
	case "test tee cleanout":
		m := part("test tee", f.Out)
		m.in, m.through = f.Out, t.pred(s)
		t.place(m, s, f.At.Lower, inside)
		return // its plug comes with it
	default:
		at := t.nodes[s]
		turn := slices.IndexFunc(at, func(m *made) bool {
			return isBend(m.kind) && !m.join.Pinned && (m.join.Change == fitting.UprightToLevel || m.join.Change == fitting.LevelToLevel)
		})
		switch {
		case inside || f.At.Lower && t.net.Segs[s].Lie != network.Upright:
			m := part("wye", f.Out, size)
			m.in = f.Out
			t.place(m, s, f.At.Lower, inside)
		case f.At.Lower || t.net.Segs[s].Lie == network.Upright && len(t.net.Up(s)) > 0:
			m := part("test tee", f.Out)
			m.in = f.Out
			t.place(m, s, f.At.Lower, true)
			return
		case len(t.net.Up(s)) == 0 && len(at) == 0:
			// The end of the pipe: nothing but the adapter and its plug.
		case turn >= 0:
			m := at[turn]
			m.kind, m.branch, m.side, m.through, m.count = "combo", []unit.Size{m.in}, []network.SegID{m.through}, network.None, 1
			if m.join.Turn > 0 && m.join.Turn <= 525 {
				m.kind = "wye"
			}
			m.in = size
		default:
			if i := slices.IndexFunc(at, func(m *made) bool { return isTee(m.kind) && m.through == network.None && m.up == network.None }); i >= 0 {
				at[i].in = size // the open end of the branch takes it
				at[i].up = closed
				break
			}
			m := part("wye", f.Out, size)
			m.in, m.through = f.Out, t.pred(s)
			t.takeIn(m, s)
			t.place(m, s, false, false)
		}
	}
	// Where a fitting's end or hub takes it, that joint is the fitting's.
	x := part("cleanout adapter", size)
	x.shut = f.Kind != "two-way cleanout" && (inside || f.At.Lower || len(t.nodes[s]) > 0)
	if f.Kind != "two-way cleanout" && t.needsRiser(f) {
		t.up = append(t.up, riser{fit: f, size: size, to: "long sweep", bend: !inside && t.net.Segs[s].Lie != network.Upright})
		x.shut = false
	}
	t.part(x)
	t.part(part("cleanout plug", size))
}

// takeIn lets a branch that is set where the pipe grows take the smaller pipe into its own hub,
// by a bushing, in place of an increaser beside it.
func (t *taker) takeIn(m *made, s network.SegID) {
	at := t.nodes[s]
	if len(at) != 1 || at[0].join == nil || at[0].join.Does != fitting.Reduce {
		return
	}
	m.in = at[0].in
	t.couplings(at[0])
	t.nodes[s] = nil
}

// closed stands for a vent at an end that something else closes.
const closed network.VentID = -2

// place puts a fitting that the take-off adds at the end of a segment; inside one, it is
// counted and the pipe is not parted there.
func (t *taker) place(m *made, s network.SegID, lower, inside bool) {
	switch {
	case inside:
		t.loose = append(t.loose, m)
	case lower:
		t.lower[s] = append(t.lower[s], m)
	default:
		t.nodes[s] = append(t.nodes[s], m)
	}
}

// count puts every settled fitting on the order.
func (t *taker) count() {
	for s := range t.net.Segs {
		for _, m := range t.nodes[network.SegID(s)] {
			t.countOne(m)
		}
		for _, m := range t.lower[network.SegID(s)] {
			t.countOne(m)
		}
	}
	for _, m := range t.loose {
		t.countOne(m)
	}
}

func (t *taker) countOne(m *made) {
	if m.join != nil {
		switch m.join.Does {
		case fitting.Trap:
			t.trap(m)
			return
		case fitting.Closet:
			t.closet(m)
			return
		case fitting.Reduce:
			p := *m
			p.kind, p.branch = "increaser", []unit.Size{m.in}
			t.part(&p)
			t.couplings(m)
			return
		}
		t.couplings(m)
	}
	t.part(m)
	for range m.count {
		t.bushing(m, m.in)
	}
	if isTee(m.kind) && m.through == network.None && m.up == network.None && m.beside == network.None && m.join != nil && m.join.Does == fitting.Join {
		if t.opened[m.join.Into] {
			return
		}
		t.opened[m.join.Into] = true
		p := *m
		p.kind, p.branch, p.count, p.join, p.shut = "plug", nil, 1, nil, true
		t.part(&p)
	}
}

// bushing brings up what comes in smaller than the run of the fitting; a vent that goes on
// larger than the fitting it stands on has an increaser over it.
func (t *taker) bushing(m *made, in unit.Size) {
	if in > m.run && m.run > 0 && m.up >= 0 {
		p := *m
		p.kind, p.run, p.branch, p.in, p.count, p.join = "increaser", in, []unit.Size{m.run}, 0, 1, nil
		t.part(&p)
		return
	}
	if in == 0 || m.run == 0 || in >= m.run {
		return
	}
	p := *m
	p.kind, p.branch, p.in, p.count, p.join = "bushing", []unit.Size{in}, 0, 1, nil
	if pipe, ok := t.stock.Pipe(m.material); ok && pipe.Joint != stock.Solvent {
		p.kind, p.in = "increaser", in
	}
	t.part(&p)
}

// part counts a thing and its joints.
func (t *taker) part(m *made) {
	pat, ok := t.stock.Pattern(m.kind)
	sizes := []unit.Size{m.run}
	switch {
	case m.kind == "bushing" || m.kind == "increaser" || m.kind == "trap adapter" || m.kind == "closet flange" || m.kind == "closet bend":
		sizes = append(sizes, m.branch...)
	case len(m.branch) > 0:
		sizes = append(append(sizes, m.run), m.branch...)
	}
	if m.run == 0 || slices.Contains(sizes, 0) {
		t.open(Open{Phase: m.phase, What: pat.Say, Runs: []string{m.who.name}, Material: m.material, Why: "its size is not known", Ask: "what size is the pipe at " + m.who.name + "?"})
		return
	}
	l := t.b.line(m.phase, pat.Group, m.material, pat.Say, called(sizes), sizes, Each)
	if ok && m.kind != "cleanout plug" {
		l.Standard = t.stock.PatternStandard(m.material)
	}
	if !t.made(m.material, sizes) && l.Note == "" {
		l.Note = "this size is not on record for the material: ask whether it is made"
	}
	l.add(m.who, int64(m.count))
	joints := sizes
	switch {
	case m.shut:
		return
	case m.kind == "bushing", m.kind == "increaser" && m.in > 0 && m.join == nil:
		joints = sizes[:1] // the joint of the smaller pipe is that of the fitting it stands in
	case m.kind == "increaser", m.kind == "closet bend" && len(m.branch) > 0:
	case len(m.branch) > 0:
		joints = append([]unit.Size{m.run, m.run}, m.branch...)
		if m.in > 0 {
			joints[1] = min(m.in, m.run)
		}
	default:
		joints = []unit.Size{m.run, m.run}
		if m.in > 0 && pat.Ends == 2 {
			joints[1] = m.in
		}
	}
	for i, z := range joints {
		if i < pat.Ends {
			t.joint(m, z, int64(m.count))
		}
	}
}

// made reports whether pipe of the sizes is on record for a material; one without any
// record passes.
func (t *taker) made(material string, sizes []unit.Size) bool {
	p, ok := t.stock.Pipe(material)
	if !ok {
		return true
	}
	for _, z := range sizes {
		if _, ok := p.Size(z); !ok {
			return false
		}
	}
	return true
}

// adapter is the size of a trap adapter that also takes the tube of the size below.
// Material facts: 1-1/2 x 1-1/2, 1-1/2 x 1-1/4, 1-1/4 x 1-1/4.
const adapter = unit.Size(unit.Inch * 3 / 2)

// adapterHub is the size of the adapter on an arm that takes the tube of a trap.
func adapterHub(arm, tube unit.Size) unit.Size {
	if tube == 0 || tube == arm {
		return arm
	}
	return max(tube, min(arm, adapter))
}

// trap: below what drains through a wall the trap comes with the trim, and an adapter takes
// it; below what drains through the floor, and under a standpipe, it is set with the pipe.
func (t *taker) trap(m *made) {
	s := m.join.At.Seg
	if f := t.net.Segs[s].Fixture; f != network.None {
		if inWall(&t.net.Fixtures[f]) {
			size := m.in
			if size == 0 {
				size = m.run
			}
			a := *m
			a.kind, a.branch, a.join, a.in = "trap adapter", nil, nil, 0
			// Adapters are made for tube of their own size, and 1-1/2 for tube of 1-1/4.
			if size != m.run && size > 0 {
				if hub := adapterHub(m.run, size); hub != m.run {
					t.bushing(m, hub)
					a.run = hub
				}
				if size != a.run {
					a.branch = []unit.Size{size}
				}
			}
			t.part(&a)
			if size > 0 {
				l := t.b.line(Trim, "traps and adapters", "", "tubular "+t.say(m.kind), size.Short(), []unit.Size{size}, Each)
				l.add(m.who, 1)
			}
			return
		}
	}
	p := *m
	if p.in > 0 && p.in < p.run {
		t.bushing(m, m.in)
		p.run = p.in
	}
	p.branch = nil
	t.part(&p)
	if f := t.net.Segs[s].Fixture; f != network.None && t.net.Fixtures[f].Kind != nil {
		if b, ok := t.stock.Body(t.net.Fixtures[f].Kind.Name); ok {
			z := t.trapSize(s)
			l := t.b.line(m.phase, "traps and adapters", "", b.Say, z.Short(), []unit.Size{z}, Each)
			l.Note = b.Note
			l.add(m.who, 1)
		}
	}
}

// inWall: the fixture drains through the wall and its trap comes with the trim. What drains
// through the floor or by a standpipe has a trap that is set with the pipe.
func inWall(f *network.Fixture) bool {
	return f.Kind != nil && f.Kind.Outlet.Set && f.Kind.Outlet.V > 0 && !f.Kind.Standpipe.Set
}

// trapSize is the size of the trap that a segment starts at: as the job states it; else with
// the trim the smallest that the book asks for, with the pipe that of the pipe; never larger
// than the pipe.
func (t *taker) trapSize(s network.SegID) unit.Size {
	z, f := t.sizes.Size[s], t.net.Segs[s].Fixture
	if f == network.None {
		return z
	}
	own := t.net.Fixtures[f].Def.Trap.V
	if own == 0 && inWall(&t.net.Fixtures[f]) && int(f) < len(t.set.Traps) {
		own = t.set.Traps[f]
	}
	if own == 0 || z > 0 && own > z {
		return z
	}
	return own
}

func (t *taker) say(kind string) string {
	p, _ := t.stock.Pattern(kind)
	return p.Say
}

// closet: flange and, where the pipe goes on level at once, its bend; either may bring the
// opening of the fixture down to the pipe (4 x 3).
func (t *taker) closet(m *made) {
	p := *m
	p.kind, p.branch, p.in = "closet flange", nil, 0
	opening := max(m.in, m.run)
	bend := m.kind == "closet flange and bend"
	p.run = opening
	if !bend && opening != m.run {
		p.branch = []unit.Size{m.run}
	}
	t.part(&p)
	if bend {
		p.kind, p.branch = "closet bend", nil
		if opening != m.run {
			p.branch = []unit.Size{m.run}
		}
		t.part(&p)
	}
}
