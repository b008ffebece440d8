package takeoff

import (
	"slices"
	"strings"

	"trapweir/engine/codebook"
	"trapweir/engine/elevation"
	"trapweir/engine/fitting"
	"trapweir/engine/framing"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/stock"
	"trapweir/engine/unit"
	"trapweir/engine/vent"
)

// Settings are what the person who orders decides.
type Settings struct {
	// Material stands in for that of all new pipe, "" as the job says.
	Material string
	// Lengths are the stock lengths to buy, nil for all that are on record.
	Lengths []unit.Length
	// Book is asked for the spacing of supports and where shield plates are needed. Without
	// one these are listed as not counted.
	Book *codebook.Book
	// Traps are the smallest traps that the book asks for, by FixID; nil or 0: a trap that
	// the job does not state is as large as its pipe.
	Traps []unit.Size
}

// Take makes the order for a solved job: every pipe, fitting, support and pint of cement
// that is new in it. What exists or goes is not bought; what ties into it is. levels and
// vents may be nil.
//
// What cannot be counted is listed in Order.NotMeasured and is in no total.
func Take(n *network.Net, z *size.Sizes, v *vent.Vents, levels *elevation.Levels, fs []fitting.Fitting, st *stock.Stock, set Settings) *Order {
	t := &taker{
		net: n, sizes: z, vents: v, levels: levels, stock: st, set: set, book: set.Book,
		nodes: map[network.SegID][]*made{}, lower: map[network.SegID][]*made{}, opened: map[network.SegID]bool{},
		joints: map[jointKey]int64{},
	}
	t.settle(fs)
	t.count()
	t.ventFittings()
	t.pieces()
	t.ventPieces()
	t.standpipes()
	t.risers()
	t.street()
	t.pipe()
	fr := framing.Work(n, z, v, levels, fs, set.Book, framing.Settings{Material: set.Material, HoleOver: st.Shop.HoleOver})
	t.supports(fr)
	t.plates(fr)
	t.braced(fr)
	t.expansion(fr)
	t.roof()
	t.devices()
	t.test()
	t.bedding()
	t.consumed()
	o := &Order{Lines: t.b.done(), NotMeasured: t.opens, Pieces: t.cut, Plan: t.plan, Joints: t.allJoints(), Fixtures: t.fixtures(), Tests: t.tests(), Wants: t.allWants(), Offsets: t.offsets(), Kerf: st.Shop.Kerf, ReuseFrom: st.Shop.ReuseFrom, Material: set.Material, Units: n.Job.Units, Taken: t.said}
	if o.NotMeasured == nil {
		o.NotMeasured = []Open{}
	}
	if o.Pieces == nil {
		o.Pieces = []Piece{}
	}
	return o
}

type jointKey struct {
	material string
	size     unit.Size
	phase    Phase
	who      who
}

type taker struct {
	net    *network.Net
	sizes  *size.Sizes
	vents  *vent.Vents
	levels *elevation.Levels
	stock  *stock.Stock
	set    Settings
	book   *codebook.Book

	b       builder
	nodes   map[network.SegID][]*made // at the upper end of a segment
	lower   map[network.SegID][]*made // at the lower end of the last segment of a run
	loose   []*made                   // counted, but not known where
	cleans  []*fitting.Fitting
	onVents []*fitting.Fitting
	opened  map[network.SegID]bool
	joints  map[jointKey]int64
	cut     []Piece
	plan    Plan
	opens   []Open
	wants   []Want
	up      []riser
	said    []string
}

// open lists something that cannot be counted; the same thing of several runs is one entry.
func (t *taker) open(o Open) {
	for i := range t.opens {
		x := &t.opens[i]
		if x.Phase == o.Phase && x.What == o.What && x.Size == o.Size && x.Material == o.Material && x.Why == o.Why {
			for _, r := range o.Runs {
				if !slices.Contains(x.Runs, r) {
					x.Runs = append(x.Runs, r)
				}
			}
			return
		}
	}
	t.opens = append(t.opens, o)
}

// say1 notes once how something was counted.
func (t *taker) note(s string) {
	if !slices.Contains(t.said, s) {
		t.said = append(t.said, s)
	}
}

// state words of pipe that is not bought.
func stands(w job.Word) bool { return w.Text == "existing" || w.Text == "remove" }

func (t *taker) newSeg(s network.SegID) bool {
	return s != network.None && !stands(t.net.RunOf(s).Def.State)
}

func (t *taker) newVent(v network.VentID) bool {
	return v >= 0 && !stands(t.net.Vents[v].Def.State)
}

// anyNew: a fitting is bought where one of the pipes at it is new.
func (t *taker) anyNew(f *fitting.Fitting) bool {
	if t.newSeg(f.Into) || f.Through != network.None && t.newSeg(f.Through) {
		return true
	}
	return slices.ContainsFunc(f.From, t.newSeg)
}

func (t *taker) segMaterial(s network.SegID) string {
	if t.set.Material != "" && t.newSeg(s) {
		return t.set.Material
	}
	return elevation.Material(t.net.Job, t.net.RunOf(s), t.net.Segs[s].UnderGround)
}

func (t *taker) ventMaterial(v network.VentID) string {
	d, j := t.net.Vents[v].Def, t.net.Job
	switch {
	case t.set.Material != "" && t.newVent(v):
		return t.set.Material
	case d.Mater.Text != "":
		return d.Mater.Text
	case j.Material.Vents.Text != "":
		return j.Material.Vents.Text
	case j.Material.Drains.Text != "":
		return j.Material.Drains.Text
	}
	return "pvc"
}

// materialAt is what a fitting is made of: the new pipe that it leads into, else the new
// pipe that comes in.
func (t *taker) materialAt(f *fitting.Fitting) string {
	if t.newSeg(f.Into) {
		return t.segMaterial(f.Into)
	}
	for _, u := range f.From {
		if t.newSeg(u) {
			return t.segMaterial(u)
		}
	}
	if f.Through != network.None && t.newSeg(f.Through) {
		return t.segMaterial(f.Through)
	}
	if f.Does == fitting.Takeoff {
		return t.ventMaterial(f.At.Vent)
	}
	return t.segMaterial(f.At.Seg)
}

func (t *taker) ventSize(v network.VentID) unit.Size {
	if t.vents == nil || v < 0 || int(v) >= len(t.vents.Size) {
		return 0
	}
	return t.vents.Size[v].Size
}

func (t *taker) whoSeg(s network.SegID) who { return who{t.net.RunOf(s).Name, false} }

func (t *taker) whoVent(v network.VentID) who { return who{t.net.Vents[v].Name, true} }

// phaseSeg is the delivery that the pipe of a segment comes with. Of a run that the job puts
// under the slab, what lies wholly over the floor is set with the rough-in.
func (t *taker) phaseSeg(s network.SegID) Phase {
	if t.net.Segs[s].UnderGround && (t.levels == nil || !t.overFloor(s, t.levels.CentreLow[s]) || !t.overFloor(s, t.levels.CentreUp[s])) {
		return Underground
	}
	return RoughIn
}

// phaseEnd is the delivery of a fitting at the upper end of a segment.
func (t *taker) phaseEnd(s network.SegID) Phase {
	if t.net.Segs[s].UnderGround && (t.levels == nil || !t.overFloor(s, t.levels.CentreUp[s])) {
		return Underground
	}
	return RoughIn
}

// overFloor: a height is known to be over the floor of the level of a segment.
func (t *taker) overFloor(s network.SegID, h elevation.Height) bool {
	k := t.net.RunOf(s).Level
	if k < 0 || int(k) >= len(t.net.Job.Levels) {
		return false
	}
	f := t.net.Job.Levels[k].Floor
	return h.Known && f.Set && h.V > f.V
}

func (t *taker) phaseVent(v network.VentID) Phase {
	switch t.net.Vents[v].Def.Where.Text {
	case "under ground", "under slab":
		return Underground
	}
	return RoughIn
}

// pred is the pipe that goes on into a segment: the piece above in its run, else the only
// one that comes in, else the one that a fitting there lets through.
func (t *taker) pred(d network.SegID) network.SegID {
	for _, m := range t.nodes[d] {
		if m.through != network.None {
			return m.through
		}
	}
	up := t.net.Up(d)
	for _, u := range up {
		if t.net.Segs[u].Run == t.net.Segs[d].Run {
			return u
		}
	}
	if len(up) == 1 {
		return up[0]
	}
	return network.None
}

func (t *taker) joint(m *made, z unit.Size, n int64) {
	if z > 0 {
		t.joints[jointKey{m.material, z, m.phase, m.who}] += n
	}
}

// couplings counts what joins a fitting to pipe of another material, or to pipe that
// stands.
func (t *taker) couplings(m *made) {
	f := m.join
	if f == nil {
		return
	}
	ends := append([]network.SegID{}, f.From...)
	if f.Through != network.None {
		ends = append(ends, f.Through)
	}
	if f.Into != network.None && f.Does != fitting.Trap && f.Does != fitting.Closet {
		ends = append(ends, f.Into)
	}
	seen := map[network.SegID]bool{}
	for _, s := range ends {
		if seen[s] {
			continue
		}
		seen[s] = true
		if t.coupling(m.material, t.toldMaterial(s), t.sizes.Size[s], t.sizes.Size[s], !t.newSeg(s), m.phase, m.who, t.net.RunOf(s).Def.Joint) {
			t.joint(m, t.sizes.Size[s], -1) // the coupling is that end's joint
		}
	}
}

// toldMaterial is segMaterial, but "" for pipe that stands and of which nothing is said:
// what is usual today says nothing of what is in an old wall.
func (t *taker) toldMaterial(s network.SegID) string {
	if !t.newSeg(s) && t.net.RunOf(s).Def.Mater.Text == "" && t.net.Job.Material.Drains.Text == "" && t.net.Job.Material.Underground.Text == "" {
		return ""
	}
	return t.segMaterial(s)
}

// coupling counts one between two pipes by their outside diameters; none is needed between
// new pipes of one material, and the answer is false.
func (t *taker) coupling(a, b string, za, zb unit.Size, standing bool, ph Phase, w who, stated job.Word) bool {
	if za == 0 || zb == 0 || a == b && !standing {
		return false
	}
	side := func(m string, z unit.Size) (string, bool) {
		if m == "" {
			return z.Short() + " standing pipe (measure)", false
		}
		if d := t.stock.OD(m, z); d.Known() {
			return z.Short() + " " + m + " (" + thousandths(d.V) + " in)", true
		}
		return z.Short() + " " + m + " (measure)", false
	}
	x, okA := side(a, za)
	y, okB := side(b, zb)
	item := "shielded transition coupling"
	switch {
	case stated.Text == "transition cement" && a != b && !standing:
		t.note("transition cement at " + w.name + " is not counted by volume: one joint")
		l := t.b.line(ph, "cement and primer", "", "transition cement, joint", za.Short(), []unit.Size{za}, Each)
		l.add(w, 1)
		return true
	case stated.Text != "" && a != b:
		item = stated.Text
	case a == b, standing && b == "":
		item = "coupling to standing pipe"
	case ph == Underground:
		item = "transition coupling, under ground"
	}
	l := t.b.line(ph, "couplings and gaskets", "", item, x+" x "+y, []unit.Size{za, zb}, Each)
	switch {
	case !okA || !okB:
		l.Note = "measure the outside of the pipe that stands before ordering"
	case standing:
		l.Note = "check the outside diameter of the pipe that stands: old pipe of the same size differs"
	}
	l.add(w, 1)
	return true
}

// thousandths writes a length in inches to three places: 2.375.
func thousandths(l unit.Length) string {
	n := int64(l.Round(unit.Inch/1000)) / int64(unit.Inch/1000)
	return itoa(n/1000) + "." + pad3(n%1000)
}

func pad3(n int64) string {
	s := itoa(n)
	return strings.Repeat("0", max(0, 3-len(s))) + s
}

func itoa(n int64) string {
	if n < 0 {
		return "-" + itoa(-n)
	}
	if n < 10 {
		return string(rune('0' + n))
	}
	return itoa(n/10) + string(rune('0'+n%10))
}

// ventFittings counts what stands on vents.
func (t *taker) ventFittings() {
	// A cleanout on a vent is a test tee with its plug.
	for i := range t.net.Vents {
		v := network.VentID(i)
		for range t.net.Vents[i].Def.Clean {
			if t.newVent(v) {
				z := t.ventSize(v)
				t.part(&made{kind: "test tee", run: z, in: z, count: 1, material: t.ventMaterial(v), phase: t.phaseVent(v), who: t.whoVent(v), through: network.None, up: network.None, beside: network.None})
			}
		}
	}
	for _, f := range t.onVents {
		v := f.At.Vent
		if !t.newVent(v) {
			continue
		}
		m := &made{kind: f.Kind, run: f.Out, in: f.In, branch: slices.Clone(f.Branch), count: max(1, f.Count), material: t.ventMaterial(v), phase: t.phaseVent(v), who: t.whoVent(v), through: network.None, up: network.None, beside: network.None}
		switch {
		case f.Does == fitting.VentEnd && f.Kind == "air admittance valve":
			if m.run == 0 {
				t.part(m)
				continue
			}
			kind := "air admittance valve"
			if k := t.net.Vents[v].Def.Valve.Kind.Text; k != "" {
				kind += ", " + k
			}
			l := t.b.line(Trim, "traps and adapters", "", kind, m.run.Short(), []unit.Size{m.run}, Each)
			l.Standard = "ASSE 1051 or 1050"
			l.add(m.who, 1)
			m.kind, m.branch = "valve adapter", nil
			l = t.b.line(m.phase, "traps and adapters", m.material, "adapter for an air admittance valve", m.run.Short(), []unit.Size{m.run}, Each)
			l.add(m.who, 1)
			t.joint(m, m.run, 1)
		case f.Does == fitting.VentJoin:
			if f.Into != network.None {
				m.material = t.ventMaterial(v)
			}
			if w := t.net.Vents[v].Into; w != network.None && t.net.Vents[v].End == network.JoinsVent {
				mat := t.ventMaterial(w)
				t.coupling(m.material, mat, f.Out, f.Out, !t.newVent(w), m.phase, m.who, t.net.Vents[v].Def.Joint)
				if !t.newVent(w) {
					t.coupling(m.material, mat, f.Out, f.Out, true, m.phase, m.who, t.net.Vents[v].Def.Joint)
				}
			}
			t.part(m)
		default:
			if f.Does == fitting.VentTurn {
				m.branch = nil
			}
			t.part(m)
		}
	}
}

// devices counts valves, interceptors and pumps that the job names.
func (t *taker) devices() {
	for i := range t.net.Runs {
		r := &t.net.Runs[i]
		if stands(r.Def.State) || len(r.Segs) == 0 {
			continue
		}
		s := r.Segs[0]
		z := t.sizes.Size[s]
		for _, d := range r.Def.Devices {
			t.b.line(t.phaseSeg(s), "valves and devices", "", d.Text, z.Short(), []unit.Size{z}, Each).add(t.whoSeg(s), 1)
		}
		if r.Def.Basin.Set {
			t.b.line(t.phaseSeg(s), "valves and devices", "", "basin with pump and cover", "", []unit.Size{z}, Each).add(t.whoSeg(s), 1)
			for word, f := range map[string]job.Flag{"check valve": r.Def.Basin.Check, "full-open valve": r.Def.Basin.Full} {
				if f.V && !slices.ContainsFunc(r.Def.Devices, func(w job.Word) bool { return w.Text == word }) {
					t.b.line(t.phaseSeg(s), "valves and devices", "", word, z.Short(), []unit.Size{z}, Each).add(t.whoSeg(s), 1)
				}
			}
		}
	}
}

// roof counts a flashing for every vent through the roof, and the enlargement below it.
func (t *taker) roof() {
	for i := range t.net.Vents {
		v := network.VentID(i)
		x := &t.net.Vents[i]
		if x.End != network.ThroughRoof || !t.newVent(v) {
			continue
		}
		z, end := t.ventSize(v), x.Def.Terminal.Size.V
		w := t.whoVent(v)
		if max(z, end) == 0 {
			t.open(Open{Phase: RoughIn, What: "roof flashing", Runs: []string{w.name}, Why: "the size of the vent is not known", Ask: "what size is the vent at the roof?"})
			continue
		}
		if end > z && z > 0 {
			t.part(&made{kind: "increaser", run: end, branch: []unit.Size{z}, count: 1, material: t.ventMaterial(v), phase: RoughIn, who: w})
		}
		l := t.b.line(RoughIn, "flashings", "", "roof flashing", max(z, end).Short(), []unit.Size{max(z, end)}, Each)
		l.Note = "say the pitch of the roof"
		l.add(w, 1)
	}
}

// test counts what closes the openings for a water test: a cap for every trap, a plug for
// every flange, one ball where the new line ends.
func (t *taker) test() {
	for i := range t.net.Fixtures {
		f := &t.net.Fixtures[i]
		if f.Kind == nil || !t.newSeg(f.Seg) || f.Kind.Integral && !f.Kind.Has("water closet") {
			continue
		}
		z := t.sizes.Size[f.Seg]
		item := "test cap"
		if f.Kind.Has("water closet") {
			item = "test plug for a closet flange"
		} else {
			z = t.trapSize(f.Seg)
		}
		if z == 0 {
			continue
		}
		t.b.line(t.phaseSeg(f.Seg), "test gear", "", item, z.Short(), []unit.Size{z}, Each).add(t.whoSeg(f.Seg), 1)
	}
	// The lowest new pipe: where the water is held.
	for s := range t.net.Segs {
		d := t.net.Segs[s].Down
		if z := t.sizes.Size[s]; z > 0 && t.newSeg(network.SegID(s)) && (d == network.None || !t.newSeg(d)) && t.net.Segs[s].Role != network.PumpDischarge {
			t.b.line(t.phaseSeg(network.SegID(s)), "test gear", "", "test ball", z.Short(), []unit.Size{z}, Each).add(t.whoSeg(network.SegID(s)), 1)
		}
	}
	if len(t.net.Fixtures) > 0 {
		t.note("test gear: a cap for every trap opening, a plug for every closet flange, a ball where new pipe ends; your own may do instead")
	}
}
