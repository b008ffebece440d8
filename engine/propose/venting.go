package propose

import (
	"sort"
	"strings"

	"trapweir/engine"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
	"trapweir/engine/vent"
)

// affected are the traps that a finding of the venting speaks of: those whose reading fails
// for that reason, else the fixture that it points at.
func affected(res *engine.Result, f *diag.Diagnostic) []network.FixID {
	var out []network.FixID
	for i := range res.Vents.Trap {
		r := res.Vents.Trap[i].Reading()
		if r == nil {
			continue
		}
		for k := range r.Fails {
			if d := &r.Fails[k]; d.Rule == f.Rule && d.On.Name == f.On.Name && d.On.What == f.On.What {
				out = append(out, network.FixID(i))
				break
			}
		}
	}
	if len(out) == 0 {
		if id := fixtureOn(res, f.On); id != network.None {
			out = append(out, id)
		}
	}
	return out
}

// protect lists the ways to bring air to traps: a vent of each one's own that ends in one
// way or another, then what is particular to one trap.
func (w *work) protect(traps []network.FixID) []choice {
	if len(traps) == 0 || len(traps) > 4 {
		return nil
	}
	var out []choice
	for _, e := range w.endings(traps) {
		out = append(out, w.own(traps, e))
	}
	if len(traps) == 1 {
		f := traps[0]
		out = append(out, w.nearer(f), w.larger(f))
		out = append(out, w.wet(f)...)
		out = append(out, w.combination(f), w.island(f))
	}
	return out
}

// A spot is a place on a fixture's run where a vent could leave.
type spot struct {
	at    string     // as the job file writes it
	pre   []job.Edit // what must be written of the run first
	words string
	limit bool   // how far from the weir it may be is told
	stop  string // behind that
}

// told words a spot, with how far from the weir it may be where the change is made.
func (w *work) told(s spot, f network.FixID, after result) string {
	if g := sameTrap(w.r, f, after); s.limit && g != network.None {
		then := work{r: after}
		if limit := then.limit(g); limit > 0 {
			return s.words + " (" + w.say(w.tape(limit)) + " at most)" + s.stop
		}
	}
	return s.words + s.stop
}

// spots lists where a vent could leave the drain of a trap, the best first.
func (w *work) spots(f network.FixID) []spot {
	fx, run := w.fixture(f)
	n := w.r.Net
	name := run.Name
	// What lies level from the weir on.
	level, known, drop := unit.Length(0), true, false
	for _, s := range run.Segs {
		if n.Segs[s].Lie == network.Upright {
			drop = true
			break
		}
		level += n.Segs[s].Length()
		known = known && n.Segs[s].LengthKnown
	}
	limit := w.limit(f)
	var out []spot
	within := func() {
		// As far from the weir as is permitted, and short of the end of the run.
		at := w.short(level - 6*unit.Inch)
		if at <= 0 {
			at = w.short(level / 2)
		}
		if limit > 0 && at > limit {
			at = w.short(limit)
		}
		if known && at > 0 {
			out = append(out, spot{at: w.number(at), words: "off " + name + " " + w.say(at) + " from its trap weir", limit: true})
		}
	}
	if s, ok := w.longer(f, level, known && (drop || len(run.Def.Arm) > 0)); ok {
		return append(out, s)
	}
	switch {
	case level == 0 && drop && !fx.Kind.Integral:
		// Drawn straight down: the arm from the weir to the wall is not drawn.
		out = append(out, spot{
			at: "end of arm", pre: []job.Edit{job.Set("level", "runs", name, "arm")},
			words: "off the tee where the trap arm of " + name + " turns down, the arm level and no longer than permitted", limit: true, stop: ",",
		})
	case level == 0 && drop:
		out = append(out, spot{at: "end of arm", words: "off the top of the drop of " + name})
	case drop || len(run.Def.Arm) > 0:
		if limit == 0 || !known || level <= limit || len(run.Def.Arm) > 0 {
			out = append(out, spot{at: "end of arm", words: "off a sanitary tee where the trap arm of " + name + " ends"})
		}
		within()
	default:
		within()
		if known {
			out = append(out, spot{at: "end of arm", words: "off the drain where " + name + " joins it"})
		}
	}
	if !known || level == 0 && !drop {
		out = append(out, spot{at: "upper end", words: "off " + name + ", close to its trap", limit: true, stop: ","})
	}
	return out
}

// longer makes an arm as long as the least distance from weir to vent, where it is drawn
// shorter than that.
func (w *work) longer(f network.FixID, level unit.Length, known bool) (spot, bool) {
	fx, run := w.fixture(f)
	p := w.param("trap-arm.min")
	if !given(p) || !known || level == 0 || fx.Kind.Has("water closet") {
		return spot{}, false
	}
	least := unit.Length(int64(w.armSize(f).Length()) / 100 * p.Number)
	if level >= least {
		return spot{}, false
	}
	legs, key := run.Def.Arm, "arm"
	if len(legs) == 0 {
		legs, key = run.Def.Legs, "legs"
	}
	if len(legs) == 0 {
		return spot{}, false
	}
	l := legs[0]
	l.Length.V, l.Length.Set = least, true
	word := w.leg(l)
	if word == "" {
		return spot{}, false
	}
	edit := job.Set(word, "runs", run.Name, key)
	if key == "legs" || len(legs) > 1 {
		list := []string{word}
		for _, x := range legs[1:] {
			s := w.leg(x)
			if s == "" {
				return spot{}, false
			}
			list = append(list, s)
		}
		edit = job.SetList(list, "runs", run.Name, key)
	}
	return spot{
		at: "end of arm", pre: []job.Edit{edit},
		words: "off a sanitary tee where the trap arm of " + run.Name + " ends, the arm made " + w.say(least) + " long or longer", stop: ",",
	}, true
}

// limit is how far from the weir the vent of a trap may be: by the table, and so that the
// arm falls no more than the book lets it; 0 where neither speaks.
func (w *work) limit(f network.FixID) unit.Length {
	fx, run := w.fixture(f)
	if fx.Kind.Has("water closet") {
		if p := w.param("trap-arm.closet-max"); given(p) {
			return p.Length
		}
		return 0
	}
	size := w.armSize(f)
	l := unit.Length(0)
	if c := w.r.Book.Cell("trap-arm", size, "max"); c.State == codebook.Given {
		l = c.Length
	}
	if p := w.param("trap-arm.max-fall"); given(p) && run.Def.Slope.V.Fall > 0 {
		most := run.Def.Slope.V.RunFor(unit.Length(int64(size.Length()) / 100 * p.Number))
		if l == 0 || most < l {
			l = most
		}
	}
	return l
}

func (w *work) armSize(f network.FixID) unit.Size {
	fx, _ := w.fixture(f)
	if r := w.r.Vents.Trap[f].Reading(); r != nil && r.Arm.Size > 0 {
		return r.Arm.Size
	}
	if fx.Def.Trap.V > 0 {
		return fx.Def.Trap.V
	}
	return w.r.Sizes.Size[fx.Seg]
}

// An ending is a way in which a new vent goes on from where it leaves the drain.
type ending struct {
	id       string
	legs     []string
	ends     string
	fields   []job.Field
	sets     []job.Edit // with "NAME" for the vent's name
	words    string
	care     string
	rise     unit.Length
	about    bool
	fittings int
	roof     int
	walls    int
	valves   int
}

// cost is what one vent takes that ends so.
func (e *ending) cost() Cost {
	return Cost{Pipe: e.rise, Fittings: e.fittings, Roof: e.roof, Walls: e.walls, Valves: e.valves, About: e.about}
}

// vent writes a new vent that ends so.
func (e *ending) vent(name, from, at string) []job.Edit {
	fields := []job.Field{{Key: "from", Value: from}, {Key: "at", Value: at}, {Key: "legs", List: e.legs}, {Key: "ends", Value: e.ends}}
	edits := []job.Edit{job.Add("vents", name, append(fields, e.fields...)...)}
	for _, set := range e.sets {
		set.Path = append([]string(nil), set.Path...)
		set.Path[1] = name
		edits = append(edits, set)
	}
	return edits
}

// plus adds up what two things take.
func plus(a, b Cost) Cost {
	return Cost{
		Pipe: a.Pipe + b.Pipe, Fittings: a.Fittings + b.Fittings, Roof: a.Roof + b.Roof, Walls: a.Walls + b.Walls, Valves: a.Valves + b.Valves,
		Moves: a.Moves + b.Moves, Enlarged: a.Enlarged + b.Enlarged, About: a.About || b.About,
	}
}

// endings lists how new vents of these traps could end. At an island no wall stands in which
// one could rise: where the book has loops for it, it ends in a valve or is one.
func (w *work) endings(traps []network.FixID) (out []ending) {
	island := w.noWall(traps)
	for _, e := range w.wallEndings(traps) {
		if !island || e.valves > 0 {
			out = append(out, e)
		}
	}
	return out
}

// noWall: one of the traps stands in an island, and the book has loops for it.
func (w *work) noWall(traps []network.FixID) bool {
	for _, f := range traps {
		if fx, _ := w.fixture(f); fx.Def.Island.V {
			return w.allowed("island.allowed")
		}
	}
	return false
}

// joining is how a vent ends in another one, so far across; ok is false where the book does
// not tell how high.
func (w *work) joining(other string, f network.FixID, across unit.Length, about bool) (e ending, ok bool) {
	need := w.param("vent.flood-rim-rise")
	if !given(need) {
		return ending{}, false
	}
	high := w.least(need.Length)
	return ending{
		id: "vent-joins " + other, legs: []string{"up", "level"}, ends: other,
		fields: []job.Field{{Key: "above rim", Value: w.number(high)}, {Key: "slope", Value: w.slope()}},
		words:  "up to " + w.say(high) + " or more above the highest flood rim that the two serve, then across to " + other + ", falling back to the drain",
		rise:   w.toRim(f) + need.Length + across, about: about, fittings: 3, walls: 1,
	}, true
}

// wallEndings are the same where walls stand by all of them, the way through the roof first.
func (w *work) wallEndings(traps []network.FixID) []ending {
	f := traps[0]
	_, run := w.fixture(f)
	rise, about := w.toRoof(f)
	out := []ending{{
		id: "vent-through-roof", legs: []string{"up"}, ends: "through roof", words: "straight up and through the roof",
		rise: rise, about: about, fittings: 2, roof: 1, walls: 1, care: careRoof,
	}}
	for _, v := range w.near(f) {
		across, known := w.apart(run, v)
		if e, ok := w.joining(w.r.Net.Vents[v].Name, f, across, !known || !w.rimKnown(f)); ok {
			out = append(out, e)
		}
	}
	if high := w.param("aav.above-drain"); w.allowed("aav.allowed") && given(high) {
		out = append(out, ending{
			id: "air-admittance-valve", legs: []string{"up"}, ends: "air admittance valve",
			sets: []job.Edit{
				job.Set(w.number(w.least(high.Length)), "vents", "NAME", "valve", "above arm"),
				job.Set("accessible", "vents", "NAME", "valve", "reach"),
				job.Set("true", "vents", "NAME", "valve", "ventilated"),
			},
			words:    "with an air admittance valve on it that is listed for this use, " + w.say(w.least(high.Length)) + " or more above the drain, where it can be reached and air comes to it",
			rise:     high.Length,
			fittings: 2,
			valves:   1,
		})
	}
	return out
}

// slope is a usual fall for the level part of a vent.
func (w *work) slope() string {
	if w.r.Job.Units == unit.Metric {
		return "1:50"
	}
	return `1/4" per ft`
}

// ventEdits writes a new vent of one trap.
func (w *work) ventEdits(f network.FixID, s spot, e ending, taken []string) (edits []job.Edit, name string) {
	_, run := w.fixture(f)
	name = w.free(run.Name+" vent", taken...)
	edits = append(edits, s.pre...)
	return append(edits, e.vent(name, run.Name, s.at)...), name
}

// own gives each trap a vent of its own; the spots are tried one after the other.
func (w *work) own(traps []network.FixID, e ending) choice {
	var c choice
	spots := make([][]spot, len(traps))
	most := 0
	for i, f := range traps {
		spots[i] = w.spots(f)
		most = max(most, len(spots[i]))
		if len(spots[i]) == 0 {
			return nil
		}
	}
	for k := range most {
		x := way{care: e.care}
		var names []string
		var at []spot
		for i, f := range traps {
			s := spots[i][min(k, len(spots[i])-1)]
			at = append(at, s)
			edits, name := w.ventEdits(f, s, e, names)
			names = append(names, name)
			x.edits = append(x.edits, w.unpin(f)...)
			x.edits = append(x.edits, edits...)
			x.cost = plus(x.cost, e.cost())
		}
		x.id = e.id + "/" + w.nameList(traps)
		x.do = func(after result) string {
			parts := make([]string, len(at))
			for i, s := range at {
				parts[i] = "take a " + ventSize(after, names[i]) + "vent " + w.told(s, traps[i], after) + " " + e.words
			}
			return strings.Join(parts, "; ")
		}
		c = append(c, x)
	}
	return c
}

// unpin takes back that the pipe of a trap is a combination waste and vent.
func (w *work) unpin(f network.FixID) []job.Edit {
	if r := w.r.Vents.Trap[f].Reading(); r == nil || r.Method != vent.Combination {
		return nil
	}
	for s, hops := w.r.Net.Fixtures[f].Seg, 0; s != network.None && hops < 64; s, hops = w.r.Net.Segs[s].Down, hops+1 {
		if run := w.r.Net.RunOf(s); run.Def.Vented.Text == "combination" {
			return []job.Edit{job.Remove("runs", run.Name, "vented")}
		}
	}
	return nil
}

func (w *work) nameList(traps []network.FixID) string {
	names := make([]string, len(traps))
	for i, f := range traps {
		_, run := w.fixture(f)
		names[i] = run.Name
	}
	return strings.Join(names, "+")
}

// storey and toAttic are taken where no height is known, to put proposals in order: a floor
// of a house, and from its ceiling to over the roof (common practice).
const (
	storey  = 9 * unit.Foot
	toAttic = 6 * unit.Foot
)

// toRoof is how far it is from a trap to over the roof: as the longest vent of that floor
// that is known, else by the ceilings, else by a usual height.
func (w *work) toRoof(f network.FixID) (l unit.Length, about bool) {
	n := w.r.Net
	fx, _ := w.fixture(f)
	for i := range n.Vents {
		v := &n.Vents[i]
		if v.End != network.ThroughRoof || !v.LengthKnown || len(v.Takes) == 0 {
			continue
		}
		for _, g := range w.r.Vents.Size[i].Serves {
			if n.Fixtures[g].Level == fx.Level {
				l = max(l, v.Length)
			}
		}
	}
	if l > 0 {
		return l, true
	}
	if fx.Level >= 0 {
		lv := &w.r.Job.Levels[fx.Level]
		top := unit.Length(0)
		for i := range w.r.Job.Levels {
			if x := &w.r.Job.Levels[i]; x.Ceiling.Set {
				top = max(top, x.Ceiling.V)
			}
		}
		if lv.Floor.Set && top > lv.Floor.V {
			return top - lv.Floor.V + toAttic, true
		}
	}
	return storey + toAttic, true
}

// toRim is about how high the flood rim of a fixture stands over its drain.
func (w *work) toRim(f network.FixID) unit.Length {
	fx, _ := w.fixture(f)
	rim, weir := fx.Kind.Rim.V, fx.Kind.Weir.V
	if fx.Def.Rim.Set {
		rim = fx.Def.Rim.V
	}
	if fx.Def.TrapHigh.Set {
		weir = fx.Def.TrapHigh.V
	}
	return max(0, rim-weir)
}

func (w *work) rimKnown(f network.FixID) bool {
	fx, _ := w.fixture(f)
	return fx.Def.Rim.Set && fx.Def.TrapHigh.Set
}

// near lists the vents on the same floor that reach the open air, the nearest first, at
// most two.
func (w *work) near(f network.FixID) []network.VentID {
	n := w.r.Net
	fx, run := w.fixture(f)
	type cand struct {
		v     network.VentID
		apart unit.Length
	}
	var list []cand
	for i := range n.Vents {
		v := network.VentID(i)
		end, _, _ := n.Outdoors(v)
		if end != network.ThroughRoof && end != network.SideWall || n.Vents[i].Def.State.Text == "remove" || n.Vents[i].Def.Role.Text == "loop" {
			continue
		}
		same := false
		for _, g := range w.r.Vents.Size[i].Serves {
			same = same || g != f && n.Fixtures[g].Level == fx.Level
		}
		if !same {
			continue
		}
		d, _ := w.apart(run, v)
		list = append(list, cand{v, d})
	}
	sort.SliceStable(list, func(i, k int) bool {
		if list[i].apart != list[k].apart {
			return list[i].apart < list[k].apart
		}
		return n.Vents[list[i].v].Name < n.Vents[list[k].v].Name
	})
	var out []network.VentID
	for _, c := range list[:min(2, len(list))] {
		out = append(out, c.v)
	}
	return out
}

// apart is how far a vent stands from a run in plan, along the walls; a usual distance
// where it is not known.
func (w *work) apart(run *network.Run, v network.VentID) (l unit.Length, known bool) {
	const usual = 8 * unit.Foot // across a small room
	a := w.r.Levels.PlanUp[run.Segs[0]]
	for _, t := range w.r.Net.Vents[v].Takes {
		if t.Seg == network.None {
			continue
		}
		if b := w.r.Levels.PlanUp[t.Seg]; a.Known && b.Known {
			return abs(a.X-b.X) + abs(a.Y-b.Y), true
		}
	}
	return usual, false
}

func abs(l unit.Length) unit.Length {
	if l < 0 {
		return -l
	}
	return l
}

// nearer moves the vent that the trap has to where it is within the limit.
func (w *work) nearer(f network.FixID) choice {
	_, run := w.fixture(f)
	r := w.r.Vents.Trap[f].Reading()
	if r == nil || r.Vent == network.None {
		return nil
	}
	v := &w.r.Net.Vents[r.Vent]
	// Old pipe stays where it is, and an old stack's vent serves what is not drawn of it.
	if v.Def.State.Text == "existing" {
		return nil
	}
	// A vent that serves others too would be taken from them.
	if s := w.r.Vents.Size[r.Vent].Serves; len(v.Def.From) != 1 || len(s) != 1 || len(v.Feeds) > 0 || v.Def.Role.Given() {
		return nil
	}
	var c choice
	for _, s := range w.spots(f) {
		edits := append([]job.Edit(nil), s.pre...)
		if v.Def.From[0].Text != run.Name {
			edits = append(edits, job.Set(run.Name, "vents", v.Name, "from"))
		}
		edits = append(edits, job.Set(s.at, "vents", v.Name, "at"))
		moved := unit.Length(0)
		if at, err := unit.ParseLength(s.at); err == nil && r.Arm.Known {
			moved = abs(r.Arm.Length - at)
		}
		c = append(c, way{
			id: "move-vent/" + v.Name, edits: edits, cost: Cost{Pipe: moved, Fittings: 2, Walls: 1, About: true},
			do: func(after result) string {
				return "move the vent " + v.Name + ": take it " + strings.TrimSuffix(w.told(s, f, after), ",")
			},
		})
	}
	return c
}

// steeperArm gives a trap arm the fall of its size and brings its vent to where the steeper
// arm may still end.
func (w *work) steeperArm(f network.FixID, s unit.Slope, length unit.Length) choice {
	_, run := w.fixture(f)
	r := w.r.Vents.Trap[f].Reading()
	if r == nil || r.Vent == network.None || r.Arm.Limit == 0 || s.Fall <= 0 {
		return nil
	}
	v := &w.r.Net.Vents[r.Vent]
	if len(v.Def.From) != 1 || len(w.r.Vents.Size[r.Vent].Serves) != 1 {
		return nil
	}
	most := r.Arm.Limit
	if p := w.param("trap-arm.max-fall"); given(p) {
		most = min(most, s.RunFor(unit.Length(int64(w.armSize(f).Length())/100*p.Number)))
	}
	at := w.short(most)
	return choice{{
		id:    "steeper-arm/" + run.Name,
		edits: []job.Edit{job.Set(w.sayFall(s), "runs", run.Name, "slope"), job.Set(run.Name, "vents", v.Name, "from"), job.Set(w.number(at), "vents", v.Name, "at")},
		cost:  Cost{Fittings: 2, Walls: 1, Enlarged: length},
		do:    plain("lay " + run.Name + " at " + w.sayFall(s) + " and let the vent " + v.Name + " leave it " + w.say(at) + " from the weir or nearer: at that slope it may be no longer"),
	}}
}

// larger makes the trap and its pipe larger, where a larger trap arm may be longer. Two
// steps at most: a trap that is much too large no longer scours itself.
func (w *work) larger(f network.FixID) choice {
	fx, run := w.fixture(f)
	r := w.r.Vents.Trap[f].Reading()
	if r == nil || !r.Arm.Known || r.Arm.Limit == 0 || r.Arm.Length <= r.Arm.Limit || fx.Kind.Integral {
		return nil
	}
	size := r.Arm.Size
	for range 2 {
		next, ok := unit.NextSize(size)
		if !ok {
			return nil
		}
		size = stocked(w.r, next)
		c := w.r.Book.Cell("trap-arm", size, "max")
		if c.State != codebook.Given || c.Length < r.Arm.Length {
			continue
		}
		edits := []job.Edit{job.Set(size.Short(), "runs", run.Name, "trap")}
		if run.Def.Size.V < size {
			edits = append(edits, resized(w.r, fx.Run, size)...)
		}
		edits = append(edits, raised(w.r, run.Receiver, size)...)
		return choice{{
			id: "larger-trap/" + run.Name, edits: edits, cost: Cost{Fittings: 1},
			do: plain("put a " + size.String() + " trap on " + run.Name + " and make its pipe " + size.String() + " from there on; its arm may then be " + w.say(c.Length) + " long"),
		}}
	}
	return nil
}
