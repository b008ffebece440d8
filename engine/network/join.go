package network

import (
	"slices"
	"strings"

	"trapweir/engine/catalog"
	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/source"
	"trapweir/engine/unit"
	"trapweir/engine/yamlread"
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
	b.fixtures()
	b.segments()
	b.underSlab()
	b.lifted()
	b.takeoffs()
	b.vents()
	b.walls()
	b.roles()
	return b.net, b.diags
}

type builder struct {
	job   *job.Job
	cat   *catalog.Catalog
	net   *Net
	diags []diag.Diagnostic

	said    []said // by RunID
	reached []bool
	order   []RunID // reached runs, receivers before what joins them
	plans   []plan
	legs    []leg  // backing of the plans' legs
	spots   []spot // where run i joins its receiver
	placed  []placed
	levels  map[string]int32
	guesses map[guess]string // names that are not there, and what may be meant

	// What joins run r, in name order: joinIn[joinAt[r]:joinAt[r+1]].
	joinAt []int32
	joinIn []RunID

	// Pieces of the reached runs, run after run in the order of the file, before they are
	// numbered with the water: those of run r are first[r] up to first[r+1], down is what a
	// piece drains into, and final the number that it gets.
	first []int32
	down  []int32
	final []SegID

	ventSpots []ventSpot
}

// said is what is asked again and again of a run as it is written, kept together: the runs
// of a large job are spread over much memory, and each look at one waits for it.
type said struct {
	joins          string
	place          job.Place
	legs           int32 // at most, arm and legs
	arm, fixture   bool
	carries, basin bool
	ground         ground
	pinned         Role // as the job says, RoleNone when it does not
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
	length   unit.Length
	from     unit.Length // distance of its start from the upper end
	wayKnown bool
	known    bool // the length
	fromOK   bool
	lie      Lie
	arm      bool
}

func (b *builder) fault(at source.Span, on diag.Ref, msg, try string) {
	b.diags = append(b.diags, diag.Diagnostic{Severity: diag.Error, Rule: RuleJoin, On: on, At: at, Message: msg, Try: try})
}

// maxGuesses is how many names that are not there are looked for among all names: a file of
// nothing else is answered too.
const maxGuesses = 25

// guess is a name that is not there, and what else could stand in its place.
type guess struct {
	name  string
	among among
}

type among uint8

const (
	runNames among = iota // and the outlet
	allNames              // vents too
	ventEnds              // all, and the other ways to end
)

// nearest returns the name that was probably meant, "" for none.
func (b *builder) nearest(name string, of among) string {
	near, ok := b.guesses[guess{name, of}]
	if ok || len(b.guesses) >= maxGuesses {
		return near
	}
	var names []string
	for i := range b.net.Runs {
		names = append(names, b.net.Runs[i].Name)
	}
	names = append(names, "outlet")
	if of != runNames {
		for i := range b.net.Vents {
			names = append(names, b.net.Vents[i].Name)
		}
	}
	if of == ventEnds {
		names = append(names, "through roof", "side wall", "air admittance valve", "capped")
	}
	near = yamlread.Nearest(name, names)
	if b.guesses == nil {
		b.guesses = map[guess]string{}
	}
	b.guesses[guess{name, of}] = near
	return near
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
	b.said = make([]said, len(j.Runs))
	for i := range j.Runs {
		d := &j.Runs[i]
		b.said[i] = said{
			joins: d.Joins.Text, place: d.Place,
			legs: int32(len(d.Arm) + len(d.Legs) + 1), arm: len(d.Arm) > 0, fixture: d.Fixture.Kind.Text != "",
			carries: d.Carries.Set, basin: d.Basin.Set, ground: groundOf(d.Where.Text),
		}
		if d.Role.Text != "" {
			b.said[i].pinned, _ = ParseRole(d.Role.Text) // the reader has reported an unknown word
		}
		n.Runs[i] = Run{Name: d.Name, Def: d, Receiver: None, Fixture: None, IntoVent: None, Gone: d.State.Text == "remove", Level: b.level(d.Level, runRef(d.Name))}
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
	if near := yamlread.Nearest(w.Text, b.levelNames()); near != "" {
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
		count, word := Counted(w.Text)
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
		if kind.Has(closetKind) {
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

// Counted parts "2 lavatories", as `carries` takes it, into how many and of what.
func Counted(s string) (n int, of string) {
	if head, rest, ok := strings.Cut(s, " "); ok {
		if n := smallNumber(head); n > 0 {
			return n, rest
		}
	}
	return 1, s
}

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
	for i := range n.Runs {
		r := &n.Runs[i]
		to := b.said[i].joins
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
				if near := b.nearest(to, runNames); near != "" {
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
			case int(x.Run) == i:
				b.fault(r.Def.Joins.At, runRef(r.Name), r.Name+" joins itself", "write what it drains into")
				r.Receiver = -2
			case n.Runs[x.Run].Gone && !r.Gone:
				b.fault(r.Def.Joins.At, runRef(r.Name), r.Name+" joins "+to+", which is taken out", "let it join pipe that stays, or take it out too with `remove: true`")
				r.Receiver = -2
			default:
				r.Receiver = x.Run
			}
		}
	}
	b.collect()
	if outlets == 0 && len(n.Runs) > 0 {
		b.fault(b.job.Runs[0].At, diag.Ref{What: diag.Outlet, Segment: None}, "no run joins the outlet", "write `joins: outlet` on the run that leaves the house")
	}
}

// collect lists by receiver what joins it, in name order.
func (b *builder) collect() {
	runs := b.net.Runs
	b.joinAt = make([]int32, len(runs)+1)
	for i := range runs {
		if to := runs[i].Receiver; to >= 0 {
			b.joinAt[to+1]++
		}
	}
	for r := range runs {
		b.joinAt[r+1] += b.joinAt[r]
	}
	b.joinIn = make([]RunID, b.joinAt[len(runs)])
	next := slices.Clone(b.joinAt)
	for i := range runs {
		if to := runs[i].Receiver; to >= 0 {
			b.joinIn[next[to]] = RunID(i)
			next[to]++
		}
	}
	for r := range runs {
		b.inNameOrder(b.joiners(RunID(r)))
	}
}

// joiners returns what joins a run, in name order.
func (b *builder) joiners(r RunID) []RunID { return b.joinIn[b.joinAt[r]:b.joinAt[r+1]] }

// inNameOrder sorts runs by name. Of a long list the names are first laid side by side:
// each run is looked at once, not once a comparison.
func (b *builder) inNameOrder(list []RunID) {
	runs := b.net.Runs
	byName := func(x, y RunID) int { return strings.Compare(runs[x].Name, runs[y].Name) }
	if slices.IsSortedFunc(list, byName) {
		return
	}
	if len(list) < 1000 {
		slices.SortFunc(list, byName)
		return
	}
	type named struct {
		name string
		run  RunID
	}
	names := make([]named, len(list))
	for i, r := range list {
		names[i] = named{runs[r].Name, r}
	}
	slices.SortFunc(names, func(x, y named) int { return strings.Compare(x.name, y.name) })
	for i := range names {
		list[i] = names[i].run
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
		for _, c := range b.joiners(b.order[k]) {
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
