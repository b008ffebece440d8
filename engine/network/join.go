package network

import (
	"slices"
	"sort"
	"strings"

	"trapweir/engine/catalog"
	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/source"
	"trapweir/engine/unit"
)

// RuleJoin is the id of every fault that this package reports: the words are fine, what
// they connect is not.
const RuleJoin = "job-file"

// Join builds the pipes of a job: every run split into segments at its turns and at what
// joins it, numbered with the water, with roles. Faults (a name that is not there, a loop,
// no outlet or two, a join past the end of its receiver) come back as diagnostics; runs
// that do not reach the outlet are left out of Segs. With any Error the Net must not be
// sized.
func Join(j *job.Job, cat *catalog.Catalog) (*Net, []diag.Diagnostic) {
	b := &builder{job: j, cat: cat, net: &Net{Job: j, Outlet: None}}
	b.names()
	b.receivers()
	b.reach()
	b.cut()
	b.number()
	b.vents()
	b.net.roles()
	return b.net, b.diags
}

type builder struct {
	job   *job.Job
	cat   *catalog.Catalog
	net   *Net
	diags []diag.Diagnostic

	reached []bool
	order   []RunID   // reached runs, receivers before what joins them
	joiners [][]RunID // by receiver, in name order
	plans   []plan
	legs    []leg  // backing of the plans' legs
	spots   []spot // where run i joins its receiver
	tmp     []Seg  // segments before numbering; Down is an index into tmp
	first   []int32
	levels  map[string]int32

	ventSpots []ventSpot
}

// A spot is a position on a run: in leg Leg at Off from that leg's start. Known is false
// for a position that is only ordered by Seq ("after NAME", or not said).
type spot struct {
	Leg   int32
	Off   unit.Length
	Seq   int32
	Known bool
	End   bool // the lower end
}

func (a spot) less(b spot) bool {
	switch {
	case a.End != b.End:
		return b.End
	case a.Leg != b.Leg:
		return a.Leg < b.Leg
	case a.Off != b.Off:
		return a.Off < b.Off
	}
	return a.Seq < b.Seq
}

// A plan is a run laid out in legs, before it is cut.
type plan struct {
	legs   []leg
	armEnd spot
	cuts   []spot
}

type leg struct {
	way      job.Way
	wayKnown bool
	lie      Lie
	length   unit.Length
	known    bool
	arm      bool
	from     unit.Length // distance of its start from the upper end
	fromOK   bool
}

func (b *builder) fault(at source.Span, on diag.Ref, msg, try string) {
	b.diags = append(b.diags, diag.Diagnostic{Severity: diag.Error, Rule: RuleJoin, On: on, At: at, Message: msg, Try: try})
}

func runRef(name string) diag.Ref  { return diag.Ref{What: diag.Run, Name: name, Segment: None} }
func ventRef(name string) diag.Ref { return diag.Ref{What: diag.Vent, Name: name, Segment: None} }

func (b *builder) names() {
	j, n := b.job, b.net
	n.byName = make(map[string]Named, len(j.Runs)+len(j.Vents))
	b.levels = make(map[string]int32, len(j.Levels))
	n.floors = b.levels
	for i := range j.Levels {
		b.levels[j.Levels[i].Name] = int32(i)
	}
	n.Runs = make([]Run, len(j.Runs))
	for i := range j.Runs {
		d := &j.Runs[i]
		n.Runs[i] = Run{Name: d.Name, Def: d, Receiver: None, Fixture: None, IntoVent: None, Level: b.level(d.Level, runRef(d.Name))}
		b.carried(&n.Runs[i])
		n.byName[d.Name] = Named{Run: RunID(i), Vent: None}
	}
	// Vents are numbered by name: of two that leave one place either would do, and which
	// one is taken must not hang on the order of the file.
	order := make([]*job.Vent, len(j.Vents))
	for i := range j.Vents {
		order[i] = &j.Vents[i]
	}
	slices.SortStableFunc(order, func(x, y *job.Vent) int { return strings.Compare(x.Name, y.Name) })
	n.Vents = make([]Vent, len(j.Vents))
	for i, d := range order {
		n.Vents[i] = Vent{Name: d.Name, Def: d, Into: None, IntoRun: None}
		n.byName[d.Name] = Named{Run: None, Vent: VentID(i)}
	}
}

func (b *builder) level(w job.Word, on diag.Ref) int32 {
	if w.Text == "" {
		return None
	}
	if i, ok := b.levels[w.Text]; ok {
		return i
	}
	// A level that is only named still tells floors apart; levels are asked for only
	// where a height is needed.
	if len(b.job.Levels) == 0 {
		i := int32(-2 - len(b.levels))
		b.levels[w.Text] = i
		return i
	}
	if i := b.levels[w.Text]; i < -1 {
		return i
	}
	try := "add it under `levels`"
	if near := nearest(w.Text, b.levelNames()); near != "" {
		try = "did you mean " + near + "?"
	}
	b.fault(w.At, on, on.Name+": no level "+w.Text, try)
	return None
}

// carried resolves what comes in from a part that is not drawn: "lavatory", "2 lavatories".
func (b *builder) carried(r *Run) {
	c := &r.Def.Carries
	r.CarriedOn = r.Level
	if !c.Set {
		return
	}
	if c.Level.Text != "" {
		r.CarriedOn = b.level(c.Level, runRef(r.Name))
	}
	closets := 0
	for _, w := range c.Fixtures {
		word, count := w.Text, 1
		if head, rest, ok := strings.Cut(word, " "); ok {
			if n := smallNumber(head); n > 0 {
				word, count = rest, n
			}
		}
		kind, near := b.cat.Find(word)
		if kind == nil {
			try := "write a fixture kind, or `units` alone"
			if near != "" {
				try = "did you mean " + near + "?"
			}
			b.fault(w.At, runRef(r.Name), r.Name+" carries "+w.Text+", and no fixture kind has that name", try)
			continue
		}
		for range count {
			r.Carried = append(r.Carried, kind)
		}
		if kind.Name == closetKind {
			closets += count
		}
	}
	if c.Closets.Set && c.Closets.V > closets {
		if kind, _ := b.cat.Find(closetKind); kind != nil {
			for range c.Closets.V - closets {
				r.Carried = append(r.Carried, kind)
			}
		}
	}
}

// closetKind is the catalog's word for what `water closets: N` counts.
const closetKind = "water closet"

func smallNumber(s string) int {
	n := 0
	for _, c := range []byte(s) {
		if c < '0' || c > '9' || n > 99 {
			return 0
		}
		n = n*10 + int(c-'0')
	}
	return n
}

func (b *builder) levelNames() []string {
	var out []string
	for i := range b.job.Levels {
		out = append(out, b.job.Levels[i].Name)
	}
	return out
}

// receivers resolves `joins` and finds the one run that reaches the outlet.
func (b *builder) receivers() {
	n := b.net
	outlets := 0
	b.joiners = make([][]RunID, len(n.Runs))
	for i := range n.Runs {
		r := &n.Runs[i]
		to := r.Def.Joins.Text
		switch {
		case to == "outlet":
			outlets++
			if outlets > 1 {
				b.fault(r.Def.Joins.At, runRef(r.Name), r.Name+" joins the outlet, and so does another run",
					"one run reaches the outlet; let "+r.Name+" join that run, or end here in a file of its own")
				r.Receiver = -2
			}
		case to == "":
			// the reader has said that `joins` is missing
			r.Receiver = -2
		default:
			x, ok := n.byName[to]
			switch {
			case !ok:
				try := "write the name of a run, or outlet"
				if near := nearest(to, b.allNames()); near != "" {
					try = "did you mean " + near + "?"
				}
				b.fault(r.Def.Joins.At, runRef(r.Name), r.Name+" joins "+to+", and no run has that name", try)
				r.Receiver = -2
			case x.Run == None:
				// Waste into a dry vent: follow the vent down to the drain that it leaves.
				recv := b.drainOf(x.Vent)
				if recv == None || int(recv) == i {
					b.fault(r.Def.Joins.At, runRef(r.Name), r.Name+" joins "+to+", which is a vent", "a drain joins a run; waste never goes into a dry vent")
					r.Receiver = -2
					break
				}
				r.Receiver, r.IntoVent = recv, x.Vent
				b.joiners[recv] = append(b.joiners[recv], RunID(i))
			case int(x.Run) == i:
				b.fault(r.Def.Joins.At, runRef(r.Name), r.Name+" joins itself", "write what it drains into")
				r.Receiver = -2
			default:
				r.Receiver = x.Run
				b.joiners[x.Run] = append(b.joiners[x.Run], RunID(i))
			}
		}
	}
	for _, js := range b.joiners {
		slices.SortFunc(js, func(x, y RunID) int { return strings.Compare(n.Runs[x].Name, n.Runs[y].Name) })
	}
	if outlets == 0 && len(n.Runs) > 0 {
		b.fault(b.job.Runs[0].At, diag.Ref{What: diag.Outlet, Segment: None}, "no run joins the outlet", "write `joins: outlet` on the run that leaves the house")
	}
}

// drainOf returns the run that a vent takes off from, through other vents if need be.
func (b *builder) drainOf(v VentID) RunID {
	for range b.net.Vents {
		from := b.net.Vents[v].Def.From
		if len(from) == 0 {
			return None
		}
		x, ok := b.net.byName[from[0].Text]
		if !ok {
			return None
		}
		if x.Run != None {
			return x.Run
		}
		v = x.Vent
	}
	return None
}

func (b *builder) allNames() []string {
	out := make([]string, 0, len(b.net.Runs)+1)
	for i := range b.net.Runs {
		out = append(out, b.net.Runs[i].Name)
	}
	return append(out, "outlet")
}

// reach walks up from the outlet; what it does not meet runs in a circle.
func (b *builder) reach() {
	n := b.net
	b.reached = make([]bool, len(n.Runs))
	b.order = make([]RunID, 0, len(n.Runs))
	for i := range n.Runs {
		if n.Runs[i].Receiver == None {
			b.order = append(b.order, RunID(i))
			b.reached[i] = true
			break
		}
	}
	for k := 0; k < len(b.order); k++ {
		for _, c := range b.joiners[b.order[k]] {
			b.reached[c] = true
			b.order = append(b.order, c)
		}
	}
	// Walk down from each run not met, to tell a circle from a run below a fault.
	state := make([]int8, len(n.Runs))
	for i := range n.Runs {
		if b.reached[i] || state[i] != 0 {
			continue
		}
		var path []RunID
		r := RunID(i)
		for r >= 0 && state[r] == 0 && !b.reached[r] {
			state[r] = 1
			path = append(path, r)
			r = n.Runs[r].Receiver
		}
		if r >= 0 && state[r] == 1 {
			names := []string{}
			at := r
			for k, p := range path {
				if p == r {
					for _, q := range path[k:] {
						names = append(names, n.Runs[q].Name)
						if n.Runs[q].Name < n.Runs[at].Name {
							at = q
						}
					}
				}
			}
			b.fault(n.Runs[at].Def.Joins.At, runRef(n.Runs[at].Name),
				"these runs drain into each other in a circle: "+strings.Join(names, " -> ")+" -> "+n.Runs[r].Name,
				"let one of them join a run that reaches the outlet")
		}
		for _, p := range path {
			state[p] = 2
		}
	}
}

// cut lays every reached run out in legs and cuts it where something joins or leaves.
func (b *builder) cut() {
	n := b.net
	b.plans = make([]plan, len(n.Runs))
	b.spots = make([]spot, len(n.Runs))
	legs := 0
	for _, r := range b.order {
		legs += len(n.Runs[r].Def.Arm) + len(n.Runs[r].Def.Legs) + 1
	}
	b.legs = make([]leg, 0, legs)
	// In the order of the file, not of the water: what is read of a run lies there.
	for i := range n.Runs {
		if b.reached[i] {
			b.plans[i] = b.layOut(&n.Runs[i])
		}
	}
	// One backing for the cuts of all runs: those of its legs, the end of its arm and
	// what joins it.
	room := 0
	for _, r := range b.order {
		room += len(b.plans[r].legs) + 1 + len(b.joiners[r])
	}
	cuts := make([]spot, room)
	for _, r := range b.order {
		k := len(b.plans[r].legs) + 1 + len(b.joiners[r])
		b.plans[r].cuts = cuts[:0:k]
		cuts = cuts[k:]
	}
	for i := range n.Runs {
		if b.reached[i] {
			b.place(RunID(i))
		}
	}
	count := 0
	for _, r := range b.order {
		p := &b.plans[r]
		for i := range p.legs {
			p.cuts = append(p.cuts, spot{Leg: int32(i), Known: true})
		}
		if p.armEnd != (spot{}) && !p.armEnd.End {
			p.cuts = append(p.cuts, p.armEnd)
		}
		count += len(p.cuts)
	}
	// Vents leave pipe too; their spots are worked out here so that a segment starts there.
	b.ventCuts()
	b.first = make([]int32, len(n.Runs))
	b.tmp = make([]Seg, 0, count+len(n.Vents))
	for i := range n.Runs {
		if b.reached[i] {
			b.segments(RunID(i))
		}
	}
	for _, r := range b.order {
		b.connect(r)
	}
}

// layOut turns arm, legs or length into one list of legs.
func (b *builder) layOut(r *Run) plan {
	d := r.Def
	var p plan
	k := len(d.Arm) + len(d.Legs) + 1
	p.legs = b.legs[len(b.legs) : len(b.legs) : len(b.legs)+k]
	b.legs = b.legs[:len(b.legs)+k]
	add := func(l job.Leg, arm bool) {
		x := leg{way: l.Way, wayKnown: l.Way.HasPlan || l.Way.Plumb == 0, length: l.Length.V, known: l.Length.Set, arm: arm, lie: lieOf(l.Way)}
		p.legs = append(p.legs, x)
	}
	for _, l := range d.Arm {
		add(l, true)
	}
	for _, l := range d.Legs {
		add(l, false)
	}
	if len(d.Legs) == 0 && (d.Length.Set || d.Lies.Text != "" || len(d.Arm) == 0) {
		x := leg{length: d.Length.V, known: d.Length.Set}
		switch {
		case d.Lies.Text == "upright":
			x.way, x.lie, x.wayKnown = job.Way{Down: true}, Upright, true
		case d.Lies.Text == "level":
			x.way, x.lie = job.Way{Plumb: 900}, Level
		case d.Lies.Text != "":
			x.way = job.Way{Down: true, Plumb: plumbOf(d.Lies.Text)}
			x.lie = lieOf(x.way)
		case d.Role.Text == "stack":
			x.way, x.lie, x.wayKnown = job.Way{Down: true}, Upright, true
		default:
			x.way = job.Way{Plumb: 900}
			if x.known {
				x.lie = Level
			}
		}
		p.legs = append(p.legs, x)
	}
	at, ok := unit.Length(0), true
	for i := range p.legs {
		l := &p.legs[i]
		l.from, l.fromOK = at, ok
		if l.known {
			at += l.length
		} else {
			ok = false
		}
	}
	p.armEnd = endOfArm(d, p.legs)
	return p
}

// lieOf draws the codes' line: 45 degrees or less from plumb is upright.
func lieOf(w job.Way) Lie {
	if w.Plumb <= 450 {
		return Upright
	}
	return Level
}

func plumbOf(s string) int16 {
	v, frac, scale := 0, 0, 0
	for _, c := range s {
		switch {
		case c == '.' && scale == 0:
			scale = 1
		case c >= '0' && c <= '9' && scale == 0:
			v = v*10 + int(c-'0')
		case c >= '0' && c <= '9' && scale == 1:
			frac, scale = int(c-'0'), 2
		}
		if v > 90 {
			return 900
		}
	}
	return int16(v*10 + frac)
}

// endOfArm finds where a fixture's trap arm ends when no vent says so: the end of the
// stated arm; else the first drop; else the lower end of an all-level run.
func endOfArm(d *job.Run, legs []leg) spot {
	if d.Fixture.Kind.Text == "" && len(d.Arm) == 0 {
		return spot{}
	}
	if n := len(d.Arm); n > 0 {
		if n >= len(legs) {
			return spot{End: true, Known: true}
		}
		return spot{Leg: int32(n), Known: true}
	}
	for i := range legs {
		if legs[i].lie == Upright {
			return spot{Leg: int32(i), Known: true}
		}
	}
	return spot{End: true, Known: true}
}

// place works out where run r joins its receiver, and cuts the receiver there.
func (b *builder) place(r RunID) {
	run := &b.net.Runs[r]
	if run.Receiver < 0 {
		return
	}
	pl := run.Def.Place
	if run.IntoVent != None {
		pl = b.net.Vents[run.IntoVent].Def.Place
		if pl.Kind == job.NotSaid {
			pl.Kind = job.EndOfArm
		}
	}
	s, unsaid := b.resolve(run.Receiver, pl, runRef(run.Name), r, 0)
	run.Unsaid = unsaid
	b.spots[r] = s
	if !s.End {
		b.plans[run.Receiver].cuts = append(b.plans[run.Receiver].cuts, s)
	}
}

// resolve turns a written place on run r into a spot. depth guards chains of `after`.
func (b *builder) resolve(r RunID, pl job.Place, on diag.Ref, self RunID, depth int) (s spot, unsaid bool) {
	recv, p := &b.net.Runs[r], &b.plans[r]
	switch pl.Kind {
	case job.NotSaid:
		if recv.Def.Fixture.Kind.Text == "" && len(recv.Def.Arm) == 0 {
			return spot{Known: true}, false
		}
		// Somewhere below the fixture; all joins that are not placed come in at one
		// point, so that their order in the file says nothing.
		return spot{Leg: p.firstLevelBelowArm(), Seq: 1 << 20}, true
	case job.UpperEnd:
		return spot{Known: true}, false
	case job.LowerEnd:
		return spot{End: true, Known: true}, false
	case job.EndOfArm:
		if p.armEnd != (spot{}) {
			return p.armEnd, false
		}
		return spot{Known: true}, false
	case job.TopOfDrop:
		for i := range p.legs {
			if p.legs[i].lie == Upright {
				return spot{Leg: int32(i), Known: true}, false
			}
		}
		b.fault(pl.At, on, on.Name+" is at the top of the drop of "+recv.Name+", which has no drop", "give "+recv.Name+" a leg that goes down, or write a distance")
		return spot{Known: true}, false
	case job.FootOfDrop:
		for i := len(p.legs) - 1; i >= 0; i-- {
			if p.legs[i].lie == Upright {
				if i == len(p.legs)-1 {
					return spot{End: true, Known: true}, false
				}
				return spot{Leg: int32(i + 1), Known: true}, false
			}
		}
		b.fault(pl.At, on, on.Name+" is at the foot of "+recv.Name+", which has no drop", "give "+recv.Name+" a leg that goes down, or write a distance")
		return spot{Known: true}, false
	case job.AfterName:
		x, ok := b.net.byName[pl.Name]
		if !ok || x.Run == None || b.net.Runs[x.Run].Receiver != r {
			if ok && x.Run == r && recv.Def.Fixture.Kind.Text != "" {
				return spot{Leg: p.firstLevelBelowArm(), Seq: 1 << 20}, true
			}
			b.fault(pl.At, on, on.Name+" is after "+pl.Name+", and no run of that name joins "+recv.Name, "name a run that joins "+recv.Name)
			return spot{Known: true}, false
		}
		if x.Run == self || depth > len(b.net.Runs) {
			b.fault(pl.At, on, on.Name+" is placed after itself", "place one of them by a distance")
			return spot{Known: true}, false
		}
		if x.Run != self {
			s, _ := b.resolve(r, b.net.Runs[x.Run].Def.Place, runRef(pl.Name), self, depth+1)
			if s.End {
				return s, false
			}
			s.Seq++
			s.Known = false
			return s, false
		}
	case job.AtLength:
		return b.atLength(r, pl, on)
	}
	return spot{Known: true}, false
}

func (p *plan) firstLevelBelowArm() int32 {
	for i := range p.legs {
		if !p.legs[i].arm && p.legs[i].lie != Upright {
			return int32(i)
		}
	}
	return int32(len(p.legs) - 1)
}

func (b *builder) atLength(r RunID, pl job.Place, on diag.Ref) (spot, bool) {
	recv, p := &b.net.Runs[r], &b.plans[r]
	rest := pl.Len
	if rest < 0 {
		b.fault(pl.At, on, on.Name+" joins "+recv.Name+" at "+pl.Len.String()+", above its upper end", "distances count from the upper end of "+recv.Name+", with the water")
		return spot{Known: true}, false
	}
	for i := range p.legs {
		l := &p.legs[i]
		if !l.known || rest < l.length {
			return spot{Leg: int32(i), Off: rest, Known: true}, false
		}
		rest -= l.length
	}
	if rest == 0 {
		return spot{End: true, Known: true}, false
	}
	last := p.legs[len(p.legs)-1]
	total := last.from + last.length
	b.fault(pl.At, on, on.Name+" joins "+recv.Name+" at "+pl.Len.String()+", and "+recv.Name+" is only "+total.String()+" long",
		"write a distance from 0 to "+total.String()+", or lengthen "+recv.Name)
	return spot{End: true, Known: true}, false
}

// segments cuts run r and appends its pieces to tmp.
func (b *builder) segments(r RunID) {
	p := &b.plans[r]
	slices.SortFunc(p.cuts, func(x, y spot) int {
		switch {
		case x.less(y):
			return -1
		case y.less(x):
			return 1
		}
		return 0
	})
	cuts := p.cuts[:0]
	for _, c := range p.cuts {
		if len(cuts) > 0 {
			last := &cuts[len(cuts)-1]
			if last.Leg == c.Leg && last.Off == c.Off && last.Seq == c.Seq {
				last.Known = last.Known || c.Known
				continue
			}
		}
		cuts = append(cuts, c)
	}
	p.cuts = cuts
	b.first[r] = int32(len(b.tmp))
	run := &b.net.Runs[r]
	d := run.Def
	under := underGround(d.Where.Text)
	for i, c := range cuts {
		l := &p.legs[c.Leg]
		s := Seg{Run: r, Piece: int32(i), Way: l.way, WayKnown: l.wayKnown, Lie: l.lie, Arm: l.arm, Down: None, Fixture: None, UnderGround: under}
		s.From = l.from + c.Off
		fromOK := l.fromOK && c.Known
		relOK := c.Known
		var toOK bool
		if i+1 < len(cuts) && cuts[i+1].Leg == c.Leg {
			s.To = l.from + cuts[i+1].Off
			toOK = relOK && cuts[i+1].Known
		} else {
			s.To = l.from + l.length
			toOK = relOK && l.known
		}
		_ = fromOK
		s.LengthKnown = toOK
		if s.To < s.From {
			s.To = s.From
		}
		if i == 0 {
			s.Carries, s.Basin = d.Carries.Set, d.Basin.Set
		}
		b.tmp = append(b.tmp, s)
	}
}

func underGround(where string) bool {
	return where == "under ground" || where == "under slab" || where == "outside"
}

// connect sets Down inside the run and to the receiver.
func (b *builder) connect(r RunID) {
	n := len(b.plans[r].cuts)
	f := b.first[r]
	for i := 0; i+1 < n; i++ {
		b.tmp[int(f)+i].Down = SegID(int(f) + i + 1)
	}
	last := int(f) + n - 1
	recv := b.net.Runs[r].Receiver
	if recv < 0 {
		b.tmp[last].Down = None
		return
	}
	b.tmp[last].Down = b.segAt(recv, b.spots[r])
}

// segAt returns the tmp segment that starts at a spot of run r: for the lower end, the
// segment that r itself drains into.
func (b *builder) segAt(r RunID, s spot) SegID {
	if s.End {
		recv := b.net.Runs[r].Receiver
		if recv < 0 {
			return SegID(int(b.first[r]) + len(b.plans[r].cuts) - 1)
		}
		return b.segAt(recv, b.spots[r])
	}
	cuts := b.plans[r].cuts
	i := sort.Search(len(cuts), func(i int) bool { return !cuts[i].less(s) })
	if i == len(cuts) {
		i--
	}
	return SegID(int(b.first[r]) + i)
}

// number gives the final numbers: breadth-first from the outlet, turned round, so that
// what drains into a segment has a lower number.
func (b *builder) number() {
	n := b.net
	total := len(b.tmp)
	n.upAt = make([]int32, total+1)
	if total == 0 {
		return
	}
	// children in tmp numbering
	start := make([]int32, total+1)
	for i := range b.tmp {
		if d := b.tmp[i].Down; d != None {
			start[d+1]++
		}
	}
	for i := 1; i <= total; i++ {
		start[i] += start[i-1]
	}
	kids := make([]int32, total)
	fill := append([]int32(nil), start[:total]...)
	put := func(i int) {
		if d := b.tmp[i].Down; d != None {
			kids[fill[d]] = int32(i)
			fill[d]++
		}
	}
	// The upper piece of the same run first, then joining runs in name order.
	for _, r := range b.order {
		f, c := int(b.first[r]), len(b.plans[r].cuts)
		for i := f; i < f+c-1; i++ {
			put(i)
		}
	}
	put(int(b.first[b.order[0]]) + len(b.plans[b.order[0]].cuts) - 1)
	for _, r := range b.order {
		for _, k := range b.joiners[r] {
			put(int(b.first[k]) + len(b.plans[k].cuts) - 1)
		}
	}
	b.orderKids(start, kids)
	queue := make([]int32, 0, total)
	root := b.order[0]
	queue = append(queue, b.first[root]+int32(len(b.plans[root].cuts))-1)
	for k := 0; k < len(queue); k++ {
		queue = append(queue, kids[start[queue[k]]:start[queue[k]+1]]...)
	}
	final := make([]SegID, total)
	for k, t := range queue {
		final[t] = SegID(len(queue) - 1 - k)
	}
	n.Segs = make([]Seg, len(queue))
	for _, t := range queue {
		s := b.tmp[t]
		if s.Down != None {
			s.Down = final[s.Down]
		}
		n.Segs[final[t]] = s
	}
	n.Outlet = SegID(len(queue) - 1)
	n.ups = make([]SegID, 0, len(queue))
	for id := range n.Segs {
		t := queue[len(queue)-1-id]
		n.upAt[id] = int32(len(n.ups))
		for _, k := range kids[start[t]:start[t+1]] {
			n.ups = append(n.ups, final[k])
		}
	}
	n.upAt = n.upAt[:len(queue)+1]
	n.upAt[len(queue)] = int32(len(n.ups))
	backing := make([]SegID, 0, len(queue))
	for _, r := range b.order {
		a := len(backing)
		for i := range b.plans[r].cuts {
			backing = append(backing, final[int(b.first[r])+i])
		}
		n.Runs[r].Segs = backing[a:len(backing):len(backing)]
	}
	b.fixtures(final)
	b.finalSpots(final)
}

// orderKids puts what joins one segment in name order. Runs that join one receiver already
// are; those that join at the lower end of another one come in on a segment that is not its.
func (b *builder) orderKids(start, kids []int32) {
	name := func(k int32) string { return b.net.Runs[b.tmp[k].Run].Name }
	for i := range b.tmp {
		ks := kids[start[i]:start[i+1]]
		if len(ks) > 0 && b.tmp[ks[0]].Run == b.tmp[i].Run {
			ks = ks[1:]
		}
		if !slices.IsSortedFunc(ks, func(x, y int32) int { return strings.Compare(name(x), name(y)) }) {
			slices.SortFunc(ks, func(x, y int32) int { return strings.Compare(name(x), name(y)) })
		}
	}
}

func (b *builder) fixtures(final []SegID) {
	n := b.net
	count := 0
	for i := range n.Runs {
		if n.Runs[i].Def.Fixture.Kind.Text != "" {
			count++
		}
	}
	n.Fixtures = make([]Fixture, 0, count)
	for i := range n.Runs {
		r := &n.Runs[i]
		w := r.Def.Fixture.Kind
		if w.Text == "" {
			continue
		}
		kind, near := b.cat.Find(w.Text)
		if kind == nil {
			try := "write one of the kinds that `trapweir books BOOK fixtures` lists, or give `units` and `trap` of your own"
			if near != "" {
				try = "did you mean " + near + "?"
			}
			b.fault(w.At, diag.Ref{What: diag.Fixture, Name: r.Name, Segment: None}, r.Name+": no fixture kind "+w.Text, try)
			continue
		}
		if !b.reached[i] {
			continue
		}
		r.Fixture = FixID(len(n.Fixtures))
		seg := r.Segs[0]
		n.Fixtures = append(n.Fixtures, Fixture{Run: RunID(i), Seg: seg, Kind: kind, Def: &r.Def.Fixture, Level: r.Level, Room: r.Def.Room.Text, Beside: b.beside(r, kind)})
		n.Segs[seg].Fixture = r.Fixture
	}
	// Numbered in the order in which the runs were met going up from the outlet, which does
	// not hang on the file.
	met := make([]Fixture, 0, len(n.Fixtures))
	for _, k := range b.order {
		if r := &n.Runs[k]; r.Fixture != None {
			met = append(met, n.Fixtures[r.Fixture])
			r.Fixture = FixID(len(met) - 1)
			n.Segs[r.Segs[0]].Fixture = r.Fixture
		}
	}
	n.Fixtures = met
}

// beside resolves `serves`: what stands on one trap. The fixture itself is one of them when
// its kind is listed.
func (b *builder) beside(r *Run, kind *catalog.Kind) []*catalog.Kind {
	var out []*catalog.Kind
	self := false
	for _, w := range r.Def.Fixture.Serves {
		k, near := b.cat.Find(w.Text)
		switch {
		case k == nil:
			try := "write a fixture kind"
			if near != "" {
				try = "did you mean " + near + "?"
			}
			b.fault(w.At, diag.Ref{What: diag.Fixture, Name: r.Name, Segment: None}, r.Name+" serves "+w.Text+", and no fixture kind has that name", try)
		case k == kind && !self:
			self = true
		default:
			out = append(out, k)
		}
	}
	return out
}

// nearest returns the known word within a third of its length in edits, or "".
func nearest(word string, known []string) string {
	best, bd := "", len(word)/3+2
	for _, k := range known {
		if d := distance(strings.ToLower(word), strings.ToLower(k), bd); d < bd || d == bd && best != "" && k < best {
			best, bd = k, d
		}
	}
	return best
}

func distance(a, c string, limit int) int {
	if len(a)-len(c) > limit || len(c)-len(a) > limit {
		return limit + 1
	}
	row := make([]int, len(c)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		prev := row[0]
		row[0] = i
		for j := 1; j <= len(c); j++ {
			cur := row[j]
			if a[i-1] != c[j-1] {
				prev++
			}
			row[j] = min(prev, row[j]+1, row[j-1]+1)
			prev = cur
		}
	}
	return row[len(c)]
}
