// Package vent finds, for every trap, each way in which the layout can be read as
// venting it, and picks the one that holds; then it sizes the vents.
//
// A reading is a method of the book (individual, common, wet ...) with the vent that
// serves it, the point where the vent opens into the drain, the trap arm up to there, and
// what speaks against it. A trap is protected when a reading has nothing against it, not
// protected when each has, and cannot be told when only an answer is missing. The numbers
// come from the book; a method that the book does not have is not read.
package vent

import (
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/load"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/unit"
)

// Method is a way of venting.
type Method uint8

const (
	NoMethod Method = iota
	Individual
	Common       // two traps, one level
	CommonLevels // two traps at different levels on an upright drain
	WetUpright
	WetLevel
	WasteStack
	Circuit
	Combination
	Elsewhere // the job says that it is vented in a part that is not drawn
)

var methodWords = [...]string{"none", "individual vent", "common vent", "common vent at two levels", "vertical wet vent", "horizontal wet vent", "waste stack vent", "circuit vent", "combination waste and vent", "vented elsewhere"}

// String gives the trade's words.
func (m Method) String() string { return methodWords[m] }

// MarshalText makes the words the JSON form.
func (m Method) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// Verdict is what is known of a trap.
type Verdict uint8

const (
	CannotTell Verdict = iota
	Protected
	NotProtected
	NotLookedAt // no trap of its own here, or vented in a part that is not drawn
)

// String gives the words for reports.
func (v Verdict) String() string {
	return [...]string{"cannot tell", "protected", "not protected", "not looked at"}[v]
}

// MarshalText makes the words the JSON form.
func (v Verdict) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

// Reading is one way to see how a trap is vented.
type Reading struct {
	Method Method
	Vent   network.VentID // the vent that brings the air, None for a part not drawn
	// Open is the segment whose upper end is the vent opening; the arm is the pipe above.
	Open  network.SegID
	Arm   Arm
	Fails []diag.Diagnostic // what speaks against it
	Asks  []diag.Diagnostic // what must be known
	Wet   []network.SegID   // washed pipe that also vents, with the water
	Trap  unit.Size         // the least trap under this reading where it asks for a larger one, else 0
	Cite  diag.Cite
}

// Holds: nothing speaks against it and nothing is open.
func (r *Reading) Holds() bool { return len(r.Fails) == 0 && len(r.Asks) == 0 }

// Arm is a trap arm measured along the pipe from the weir to the vent opening.
type Arm struct {
	Length unit.Length
	Known  bool
	Drop   unit.Length // what it falls in upright or sloping pieces
	Fall   unit.Length // what it falls in all, with the slope given (or the flattest permitted)
	Turns  int         // degrees of turns in plan
	Size   unit.Size
	Limit  unit.Length // 0: none printed or self-siphoning
	Slope  unit.Slope
	Free   bool // no limit: a self-siphoning fixture
}

// Trap is the answer for one fixture.
type Trap struct {
	Verdict  Verdict
	Chosen   int // index into Readings, -1 none
	Readings []Reading
	// SShape: the arm turns down with no vent at the turn.
	SShape bool
}

// Reading returns the chosen reading, nil when there is none.
func (t *Trap) Reading() *Reading {
	if t.Chosen < 0 {
		return nil
	}
	return &t.Readings[t.Chosen]
}

// Vents are the results.
type Vents struct {
	Trap []Trap // by FixID
	Size []Sized
	// Washed marks segments that are used as wet vents, by SegID.
	Washed map[network.SegID]bool
	// Circuits are the branches on circuit vents, by their first trap.
	Circuits []CircuitBranch

	noValves bool // the book accepts no air admittance valve

	first []unit.Size // sizes that the load asks for when the readings were made, by SegID, stated traps left aside
}

// up is what is known of everything upstream of a segment's upper end, itself included.
type up struct {
	needy    int32 // traps that no vent has served yet
	traps    int32
	closets  int16
	tubs     int16
	showers  int16
	lavs     int16
	foreign  network.FixID // a fixture that is not of a bathroom
	level    int32
	leveled  bool
	mixed    bool // more than one floor
	parts    bool // a part that is not drawn comes through, not said to be vented
	partVent bool // such a part that the job says is vented
	vent     network.VentID
	ventSeg  network.SegID // where that vent takes off
	ventTrap network.FixID // the (last) trap it serves dry
	before   int16         // drains upstream of the dry-vented one
	second   network.FixID // some trap upstream (for a pair)
	closet   network.FixID // some water closet upstream
	pre      int32         // needy before a vent at this very point
}

// tracer holds the work of Trace.
type tracer struct {
	net     *network.Net
	loads   *load.Loads
	sizes   *size.Sizes
	book    *codebook.Book
	out     *Vents
	diags   []diag.Diagnostic
	at      map[network.SegID][]network.VentID // vents that leave at a segment's upper end
	capped  map[network.RunID]network.VentID   // the first vent that leaves a run and ends in a cap
	ups     []up
	p       params
	onWaste map[network.VentID]*Reading       // by the vent that stands on a waste stack; while vents are sized
	feet    map[network.VentID]network.VentID // of loops of islands, the vents that bring their air; while vents are sized
}

// Floors turns the readings that were picked into smallest sizes for washed pipe, and tells
// which drains are trap arms all the way.
func Floors(n *network.Net, l *load.Loads, z *size.Sizes, b *codebook.Book, v *Vents) []size.Floor {
	t := &tracer{net: n, loads: l, sizes: z, book: b, out: v}
	t.p = readParams(b)
	return t.floors()
}

// Trace reads the venting of every trap. It does not change sizes; call it once with the
// first sizes, give Floors back to size.Choose, and call it again with the final ones.
func Trace(n *network.Net, l *load.Loads, z *size.Sizes, b *codebook.Book) (*Vents, []diag.Diagnostic) {
	t := &tracer{net: n, loads: l, sizes: z, book: b, out: &Vents{Washed: map[network.SegID]bool{}}}
	t.p = readParams(b)
	t.takeoffs()
	t.upstream()
	t.out.Trap = make([]Trap, len(n.Fixtures))
	t.out.first = t.bareSizes()
	valves := b.Param("aav.allowed")
	t.out.noValves = valves.State == codebook.Given && !valves.Yes
	if t.bareList() {
		t.notDrawn()
		return t.out, t.diags
	}
	for i := range n.Fixtures {
		t.trap(network.FixID(i))
	}
	t.washed()
	t.verdicts()
	return t.out, t.diags
}

// bareList: the job is a list of fixtures and what they join, with nothing measured and no
// vent: nothing can be said of its venting yet.
func (t *tracer) bareList() bool {
	if len(t.net.Vents) > 0 || len(t.net.Fixtures) == 0 {
		return false
	}
	for i := range t.net.Runs {
		run := &t.net.Runs[i]
		d := run.Def
		if d.Vented.Text == "" && (run.Receiver == network.None || d.State.Text == "existing" && run.Fixture == network.None) {
			continue // neither how far it is to the street nor what old pipe is there says anything of vents
		}
		if len(d.Legs) > 0 || len(d.Arm) > 0 || d.Length.Set || d.Vented.Text != "" {
			return false
		}
	}
	return true
}

// notDrawn asks once for the vents of a bare list.
func (t *tracer) notDrawn() {
	for i := range t.out.Trap {
		t.out.Trap[i].Chosen = -1
	}
	d := diag.Diagnostic{
		Severity: diag.Unchecked, Rule: "unvented-fixture", On: diag.Ref{What: diag.Job, Segment: network.None}, At: t.net.Job.Title.At,
		Message: "no branch is measured and no vent is drawn yet, so the venting of " + itoa(len(t.net.Fixtures)) + " traps is not looked at",
		Ask:     "where does the vent of each trap leave its drain? write the legs of the runs, and the vents under `vents`",
	}
	if c, ok := t.book.Clause("vent-each"); ok {
		d.Cites = []diag.Cite{c}
	}
	t.diags = append(t.diags, d)
}

// params are the book's numbers for venting.
type params struct {
	armDiameters, armTwo           codebook.Param
	commonMax, upperCloset         codebook.Param
	commonUpright                  codebook.Param
	closetMax, byArm, groups, last codebook.Param
	groupsDoubt                    codebook.Param
	upstreamMax, wetUpright        codebook.Param
	combination, comboDrop         codebook.Param
	comboSlope, comboDisposer      codebook.Param
	circuitMax, circuitSlope       codebook.Param
	stackClosets                   codebook.Param
	wetClosets, wetFloors          codebook.Param
	wetAny                         bool // any fixture may drain into a wet vent
	dryFrom, dryRoom               codebook.Param
	uprightUnits, uprightMost      codebook.Param
	uprightUp                      codebook.Param
	stackUrinals, stackOffsets     codebook.Param
	comboUp, comboBranch           codebook.Param
}

func readParams(b *codebook.Book) params {
	return params{
		armDiameters: b.Param("trap-arm.max-fall"), armTwo: b.Param("trap-arm.min"),
		commonMax: b.Param("common-vent.fixtures-max"), upperCloset: b.Param("common-vent.upper-closet"),
		commonUpright: b.Param("common-vent.on-upright"),
		closetMax:     b.Param("trap-arm.closet-max"), byArm: b.Param("trap.same-size-as-arm"),
		groupsDoubt: b.Param("wet-vent.groups-doubt"),
		groups:      b.Param("wet-vent.groups-max"), last: b.Param("wet-vent.closet-last"),
		upstreamMax: b.Param("wet-vent.upstream-max"), wetUpright: b.Param("wet-vent.vertical-min-size"),
		combination: b.Param("combination.allowed"), comboDrop: b.Param("combination.drop-max"),
		comboSlope: b.Param("combination.slope-max"), comboDisposer: b.Param("combination.disposer"),
		circuitMax: b.Param("circuit.fixtures-max"), circuitSlope: b.Param("circuit.slope-max"),
		stackClosets: b.Param("waste-stack.closets"),
		wetClosets:   b.Param("wet-vent.closets-max"), wetFloors: b.Param("wet-vent.upper-floor-units"),
		wetAny:  b.Param("wet-vent.fixtures").Text == "any fixture",
		dryFrom: b.Param("wet-vent.dry-from"), dryRoom: b.Param("wet-vent.dry-one-room"),
		uprightUnits: b.Param("wet-vent.vertical-units-max"), uprightMost: b.Param("wet-vent.vertical-fixtures-max"),
		uprightUp:    b.Param("wet-vent.vertical-sizes-up"),
		stackUrinals: b.Param("waste-stack.urinals"), stackOffsets: b.Param("waste-stack.offsets"),
		comboUp: b.Param("combination.sizes-up"), comboBranch: b.Param("combination.branch-vent-over"),
	}
}

// takeoffs indexes where vents leave drains. A capped pipe brings no air; it is kept by itself.
func (t *tracer) takeoffs() {
	t.at = make(map[network.SegID][]network.VentID)
	t.capped = make(map[network.RunID]network.VentID)
	for i := range t.net.Vents {
		v := network.VentID(i)
		end, _, _ := t.net.Outdoors(v)
		if end == network.Capped {
			for _, k := range t.net.Vents[i].Takes {
				if _, twice := t.capped[k.Run]; !twice {
					t.capped[k.Run] = v
				}
			}
			continue
		}
		for _, k := range t.net.Vents[i].Takes {
			s := t.net.Opening(k).Seg
			t.at[s] = append(t.at[s], v)
		}
	}
}

// upstream fills ups, with the water.
func (t *tracer) upstream() {
	n := t.net
	t.ups = make([]up, len(n.Segs))
	for i := range n.Segs {
		s := network.SegID(i)
		u := up{foreign: network.None, vent: network.None, ventSeg: network.None, ventTrap: network.None, level: network.None, second: network.None, closet: network.None}
		for _, c := range n.Up(s) {
			if n.Segs[c].Role == network.PumpDischarge {
				continue // what a pump pushes does not come down as a slug from a trap
			}
			u.merge(&t.ups[c])
		}
		seg := &n.Segs[i]
		if f := seg.Fixture; f != network.None {
			u.addFixture(n, f)
		}
		if seg.Carries {
			if n.Runs[seg.Run].Def.Vented.Text == "elsewhere" {
				u.partVent = true
			} else {
				u.parts = true
				u.addLevel(n.Runs[seg.Run].CarriedOn)
			}
		}
		u.pre = u.needy
		if vs := t.at[s]; len(vs) > 0 && (u.traps > 0 || u.parts || u.partVent) {
			if u.vent == network.None {
				u.before = int16(max(0, u.needy-1))
			}
			u.vent, u.ventSeg = vs[0], s
			u.ventTrap = u.second
			u.needy = 0
		}
		t.ups[i] = u
	}
}

func (u *up) merge(c *up) {
	u.needy += c.needy
	u.traps += c.traps
	u.closets += c.closets
	u.tubs += c.tubs
	u.showers += c.showers
	u.lavs += c.lavs
	if u.foreign == network.None {
		u.foreign = c.foreign
	}
	if c.mixed {
		u.mixed, u.leveled = true, true
	}
	if c.leveled {
		u.addLevel(c.level)
	}
	u.parts = u.parts || c.parts
	u.partVent = u.partVent || c.partVent
	if u.vent == network.None && c.vent != network.None {
		u.vent, u.ventSeg, u.ventTrap, u.before = c.vent, c.ventSeg, c.ventTrap, c.before
	}
	if c.second != network.None {
		u.second = c.second
	}
	if c.closet != network.None {
		u.closet = c.closet
	}
}

func (u *up) addLevel(l int32) {
	switch {
	case l == network.None:
	case !u.leveled:
		u.level, u.leveled = l, true
	case u.level != l:
		u.mixed = true
	}
}

// Classes of the catalog that venting asks for.
const (
	classBath   = "bathroom fixture"
	classCloset = "water closet"
	classLav    = "lavatory"
	classTub    = "bathtub"
	classBidet  = "bidet"
	classDrain  = "floor drain"
)

func (u *up) addFixture(n *network.Net, f network.FixID) {
	x := &n.Fixtures[f]
	u.traps++
	u.needy++
	u.second = f
	u.addLevel(x.Level)
	switch {
	case !x.Kind.Has(classBath):
		if u.foreign == network.None {
			u.foreign = f
		}
	case x.Kind.Has(classCloset):
		u.closets++
		u.closet = f
	case x.Kind.Name == classLav:
		u.lavs++
	case x.Kind.Has(classBidet), x.Kind.Has(classDrain):
		// a group may have one beside its bath
	case x.Kind.Has(classTub):
		u.tubs++
	default:
		u.showers++
	}
}

// groups is how many bathroom groups the fixtures need at least. One bathroom may have a
// bathtub and a shower stall (the full bath of IRC Table P3004.1 has either or both).
func (u *up) groups() int {
	return max(int(u.closets), int(u.tubs), int(u.showers), (int(u.lavs)+1)/2)
}
