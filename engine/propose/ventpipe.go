package propose

import (
	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
	"trapweir/engine/vent"
)

func goesDown(legs []job.Leg) bool {
	for _, l := range legs {
		if l.Way.Down {
			return true
		}
	}
	return false
}

func (w *work) ventSize(v network.VentID) choice {
	edits := raisedVent(w.r, v)
	if len(edits) == 0 {
		return nil
	}
	return choice{{id: "larger-vent/" + w.r.Net.Vents[v].Name, edits: edits, do: plain(raiseWords(w.r, edits))}}
}

// toTheAir opens a house to the air that has no vent to it: a capped one goes on, a valve is
// taken off, the highest drain goes on up, or a trap gets a vent of its own, those first that
// have none.
func (w *work) toTheAir(f *diag.Diagnostic, id network.RunID) (out []choice) {
	n := w.r.Net
	for i := range n.Vents {
		switch v := network.VentID(i); {
		case n.Vents[i].End == network.Capped:
			out = append(out, w.opened(v))
		case n.Vents[i].End == network.AirAdmittanceValve && len(out) < 3:
			out = append(out, w.valve(f, v)...)
		}
	}
	out = append(out, w.stackVent(id))
	tried := 0
	for _, open := range []bool{true, false} {
		for i := range n.Fixtures {
			t := network.FixID(i)
			if (w.r.Vents.Trap[i].Verdict == vent.NotProtected) == open && tried < 4 && !w.noWall([]network.FixID{t}) {
				tried++
				out = append(out, w.own([]network.FixID{t}, w.wallEndings([]network.FixID{t})[0]))
			}
		}
	}
	return out
}

// stackVent takes a house without any vent to the open air up through the roof from its
// highest drain: a stack, else the upper end of the drain itself.
func (w *work) stackVent(drain network.RunID) choice {
	n := w.r.Net
	var c choice
	add := func(run *network.Run, at, from string) {
		name := w.free(run.Name + " vent")
		c = append(c, way{
			id: "vent-through-roof/" + run.Name, cost: Cost{Pipe: storey + toAttic, Fittings: 2, Roof: 1, Walls: 1, About: true}, care: careRoof,
			edits: []job.Edit{job.Add("vents", name, job.Field{Key: "from", Value: run.Name}, job.Field{Key: "at", Value: at}, job.Field{Key: "legs", List: []string{"up"}}, job.Field{Key: "ends", Value: "through roof"})},
			do: func(after result) string {
				return "run " + run.Name + " on up as a " + ventSize(after, name) + "vent from " + from + " through the roof"
			},
		})
	}
	for i := range n.Runs {
		if r := &n.Runs[i]; len(r.Segs) > 0 && n.Segs[r.Segs[0]].Role == network.Stack {
			add(r, "upper end", "its upper end")
		}
	}
	c = c[:min(len(c), 2)]
	// Where nothing comes in at the upper end, the first waste washes the opening; where a
	// stack stands there, that goes on up and not the drain at its foot.
	first, top := unit.Length(-1), false
	for i := range n.Runs {
		r := &n.Runs[i]
		if r.Receiver != drain || len(r.Segs) == 0 {
			continue
		}
		switch p := &r.Def.Place; {
		case p.Kind == job.AtLength && (first < 0 || p.Len < first):
			first = p.Len
		case p.Kind == job.UpperEnd || p.Kind == job.NotSaid:
			top = true
			if n.Segs[r.Segs[len(r.Segs)-1]].Lie == network.Upright {
				return c
			}
		}
	}
	add(&n.Runs[drain], "upper end", "its upper end")
	if first > 0 && !top {
		add(&n.Runs[drain], w.number(first), "where the first waste joins it, "+w.say(first)+" from its upper end,")
	}
	return c
}

// mainVent makes one vent to the open air at least half of the building drain: the two
// shortest ones that are drawn.
func (w *work) mainVent() []choice {
	n := w.r.Net
	size := halfOf(w.r, w.r.Sizes.Required[n.Outlet])
	var list []network.VentID
	for i := range n.Vents {
		x := &n.Vents[i]
		if x.End != network.ThroughRoof && x.End != network.SideWall || x.Def.State.Text == "remove" || len(x.Takes) > 0 && x.Takes[0].Seg != network.None && n.Segs[x.Takes[0].Seg].Basin {
			continue
		}
		k := len(list)
		list = append(list, network.VentID(i))
		for ; k > 0 && x.Length < n.Vents[list[k-1]].Length; k-- {
			list[k] = list[k-1]
		}
		list[k] = network.VentID(i)
	}
	var out []choice
	for _, v := range list[:min(2, len(list))] {
		x := &n.Vents[v]
		edits := anew([]job.Edit{job.Set(size.Short(), "vents", x.Name, "size")}, "vents", x.Name, x.Def.State)
		out = append(out, choice{{id: "larger-vent/" + x.Name, edits: edits, care: careRoof, do: plain("make " + x.Name + " " + size.String() + " from the drain all the way to the open air")}})
	}
	return out
}

// halfOf is the smallest size on the truck that is at least half of a drain's.
func halfOf(r *engine.Result, drain unit.Size) unit.Size {
	for _, s := range r.Sizes.Stock() {
		if 2*s >= drain {
			return s
		}
	}
	return drain
}

// roofArea enlarges one vent through the roof until the areas add up: the shortest one
// first, in the smallest size that does.
func (w *work) roofArea() []choice {
	n := w.r.Net
	best := network.VentID(network.None)
	for i := range n.Vents {
		v := network.VentID(i)
		if x := &n.Vents[i]; x.End != network.ThroughRoof || x.Def.State.Text == "remove" {
			continue
		}
		if best == network.None || n.Vents[v].LengthKnown && (!n.Vents[best].LengthKnown || n.Vents[v].Length < n.Vents[best].Length) {
			best = v
		}
	}
	if best == network.None {
		return nil
	}
	x := &n.Vents[best]
	var c choice
	size := w.r.Vents.Size[best].Size
	for range 4 {
		next, ok := unit.NextSize(size)
		if !ok {
			break
		}
		size = stocked(w.r, next)
		edits := anew([]job.Edit{job.Set(size.Short(), "vents", x.Name, "size")}, "vents", x.Name, x.Def.State)
		c = append(c, way{id: "larger-vent/" + x.Name, edits: edits, care: careRoof, do: plain("make " + x.Name + " " + size.String() + " all the way through the roof")})
	}
	return []choice{c}
}

// valve cures what is wrong with an air admittance valve: raise it, put it where it can be
// reached, or do without it.
func (w *work) valve(f *diag.Diagnostic, v network.VentID) []choice {
	x := &w.r.Net.Vents[v]
	name := x.Name
	var out []choice
	switch f.Rule {
	case "aav-in-insulation":
		if l, err := unit.ParseLength(f.Limit); err == nil {
			out = append(out, choice{{id: "raise-valve/" + name, edits: []job.Edit{job.Set(w.number(w.least(l)), "vents", name, "valve", "above insulation")}, cost: Cost{Pipe: l, Fittings: 1}, do: plain("raise the valve of " + name + " to " + w.say(w.least(l)) + " above the insulation, or higher")}})
		}
	case "aav-inaccessible":
		out = append(out, choice{{
			id: "reach-valve/" + name, edits: []job.Edit{job.Set("accessible", "vents", name, "valve", "reach"), job.Set("true", "vents", name, "valve", "ventilated")}, cost: Cost{Pipe: 2 * unit.Foot, Fittings: 2, About: true},
			do: plain("move the valve of " + name + " to where it can be reached and air comes to it: into a cabinet, or behind a grille"),
		}})
	case "aav-too-low":
		if l, err := unit.ParseLength(f.Limit); err == nil {
			keys := []string{"above arm"}
			if x.Def.Valve.AboveDrain.Set {
				keys = append(keys, "above drain")
			}
			if x.Def.Valve.Kind.Text == "stack" || x.Def.Role.Text == "stack vent" {
				keys = []string{"above rim"}
			}
			var edits []job.Edit
			for _, k := range keys {
				edits = append(edits, job.Set(w.number(w.least(l)), "vents", name, "valve", k))
			}
			out = append(out, choice{{id: "raise-valve/" + name, edits: edits, cost: Cost{Pipe: l, Fittings: 1}, do: plain("raise the valve of " + name + " to " + w.say(w.least(l)) + " above the drain, or higher")}})
		}
	}
	// Through the roof instead, or into a vent near by.
	open := []job.Edit{}
	if x.Def.Valve.Set {
		open = append(open, job.Remove("vents", name, "valve"))
	}
	rise := storey + toAttic
	var traps []network.FixID
	traps = append(traps, w.r.Vents.Size[v].Serves...)
	if len(traps) > 0 {
		rise, _ = w.toRoof(traps[0])
	}
	legs := []job.Edit{}
	if len(x.Def.Legs) == 0 && !x.Def.Length.Set {
		legs = append(legs, job.SetList([]string{"up"}, "vents", name, "legs"))
	} else if len(x.Def.Legs) > 0 {
		legs = append(legs, job.Append("up", "vents", name, "legs"))
	} else {
		// One straight piece of a known length: it goes on, how far is not known.
		legs = append(legs, job.Remove("vents", name, "length"), job.SetList([]string{"up"}, "vents", name, "legs"))
		if x.Def.Lies.Text != "" {
			legs = append(legs, job.Remove("vents", name, "lies"))
		}
	}
	roof := append(append(append([]job.Edit(nil), open...), legs...), job.Set("through roof", "vents", name, "ends"))
	out = append(out, choice{{
		id: "vent-through-roof/" + name, edits: roof, cost: Cost{Pipe: rise, Fittings: 1, Roof: 1, Walls: 1, About: true}, care: careRoof,
		do: func(after result) string {
			return "take the valve off " + name + " and run it up through the roof, " + ventSize(after, name) + "all the way"
		},
	}})
	if need := w.param("vent.flood-rim-rise"); given(need) && len(traps) > 0 {
		for _, o := range w.near(traps[0]) {
			if o == v {
				continue
			}
			y := &w.r.Net.Vents[o]
			_, run := w.fixture(traps[0])
			across, _ := w.apart(run, o)
			edits := append(append([]job.Edit(nil), open...), legs...)
			edits = append(edits, job.Append("level", "vents", name, "legs"), job.Set(y.Name, "vents", name, "ends"),
				job.Set(w.number(w.least(need.Length)), "vents", name, "above rim"), job.Set(w.slope(), "vents", name, "slope"))
			out = append(out, choice{{
				id: "vent-joins " + y.Name + "/" + name, edits: edits, cost: Cost{Pipe: across + w.toRim(traps[0]) + need.Length, Fittings: 3, Walls: 1, About: true},
				do: plain("take the valve off " + name + ", run it up to " + w.say(w.least(need.Length)) + " or more above the highest flood rim, then across to " + y.Name + ", falling back to the drain"),
			}})
		}
	}
	return out
}

// takeoffUp lets a vent leave its level drain above the centre line.
func (w *work) takeoffUp(v network.VentID) choice {
	x := &w.r.Net.Vents[v]
	var c choice
	if x.Def.Fitting.Given() {
		word := "wye rolled 45"
		if x.Def.Fitting.Text == "combo flat" {
			word = "combo rolled 45"
		}
		edits := []job.Edit{job.Set(word, "vents", x.Name, "fitting")}
		if x.Def.RisesFrom.Given() {
			edits = append(edits, job.Remove("vents", x.Name, "rises from"))
		}
		c = append(c, way{id: "roll-takeoff/" + x.Name, edits: edits, cost: Cost{Fittings: 1}, do: plain("roll the fitting where " + x.Name + " leaves the drain up to 45 degrees, so that it leaves above the centre line")})
	}
	return append(c, way{
		id: "roll-takeoff/" + x.Name, edits: []job.Edit{job.Set("rolled 45", "vents", x.Name, "rises from")}, cost: Cost{Fittings: 1},
		do: plain("let " + x.Name + " leave the drain above its centre line, rolled up 45 degrees or straight off the top"),
	})
}

// riseFirst lets a vent rise before it turns level: the upright pieces come first.
func (w *work) riseFirst(f *diag.Diagnostic, v network.VentID) []choice {
	x := &w.r.Net.Vents[v]
	need := w.param("vent.flood-rim-rise")
	if !given(need) {
		return nil
	}
	above := job.Set(w.number(w.least(need.Length)), "vents", x.Name, "above rim")
	if f.Rule == "vent-tie-in-too-low" {
		if x.End == network.AirAdmittanceValve {
			return w.valve(f, v)
		}
		return []choice{{{
			id: "join-higher/" + x.Name, edits: []job.Edit{above}, cost: Cost{Pipe: 2 * unit.Foot, Fittings: 2, About: true},
			do: plain("join " + x.Name + " to the other vent " + w.say(w.least(need.Length)) + " or more above the highest flood rim that they serve"),
		}}}
	}
	var ups, levels []string
	for _, l := range x.Def.Legs {
		word := w.leg(l)
		switch {
		case l.Way.Down || word == "":
			return nil
		case l.Way.Plumb <= 450:
			ups = append(ups, word)
		default:
			levels = append(levels, word)
		}
	}
	if len(ups) == 0 {
		ups = []string{"up"}
	}
	edits := []job.Edit{job.SetList(append(ups, levels...), "vents", x.Name, "legs"), above}
	if (!x.Def.Slope.V.Given() || x.Def.Slope.V.Fall <= 0) && len(levels) > 0 {
		edits = append(edits, job.Set(w.slope(), "vents", x.Name, "slope"))
	}
	pipe := unit.Length(0)
	if t := w.r.Vents.Size[v].Serves; len(t) > 0 {
		pipe = w.toRim(t[0])
	}
	return []choice{{{
		id: "rise-first/" + x.Name, edits: edits, cost: Cost{Pipe: pipe, Fittings: 2, About: true},
		do: plain("let " + x.Name + " rise straight from the drain to " + w.say(w.least(need.Length)) + " or more above the highest flood rim, and turn level only there, falling back to the drain"),
	}}}
}

// leg writes a leg as the job file does; "" for ways that are not straight up, down or level.
func (w *work) leg(l job.Leg) string {
	s := ""
	switch {
	case l.Way.Plumb == 0 && l.Way.Up:
		s = "up"
	case l.Way.Plumb == 0:
		s = "down"
	case l.Way.Plumb == 900 && !l.Way.HasPlan:
		s = "level"
	case l.Way.Plumb == 900 && l.Way.Azimuth%450 == 0:
		s = [...]string{"N", "NE", "E", "SE", "S", "SW", "W", "NW"}[(l.Way.Azimuth/450)%8]
	default:
		return ""
	}
	if l.Length.Set {
		s += " " + w.number(l.Length.V)
	}
	return s
}

// terminal moves the end of a vent to where it may be.
func (w *work) terminal(f *diag.Diagnostic, v network.VentID) []choice {
	x := &w.r.Net.Vents[v]
	t := &x.Def.Terminal
	var out []choice
	put := func(set bool, key, value, words string) {
		if set {
			out = append(out, choice{{
				id: "terminal/" + x.Name, edits: []job.Edit{job.Set(value, "vents", x.Name, "terminal", key)}, cost: Cost{Pipe: 2 * unit.Foot, Fittings: 2, About: true}, care: careRoof, do: plain(words),
			}})
		}
	}
	if s, err := unit.ParseSize(f.Limit); err == nil && f.Rule == "vent-terminal-frost" {
		put(!t.EnlargedInside.Set, "size", s.Short(), "enlarge "+x.Name+" to "+s.String()+" inside, where it is warm, and go out with that")
	}
	l, err := unit.ParseLength(f.Limit)
	if err != nil {
		l = 0
	}
	if l > 0 {
		say := w.say(w.least(l))
		switch f.Rule {
		case "vent-terminal-frost":
			put(t.EnlargedInside.Set, "enlarged inside", w.number(w.least(l)), "enlarge "+x.Name+" "+say+" or more inside the warm roof")
		case "vent-terminal-occupied-roof":
			put(t.AboveRoof.Set, "above roof", w.number(w.least(l)), "run "+x.Name+" up to "+say+" above the roof that is used")
		case "vent-terminal-location":
			put(t.FromOpening.Set, "from opening", w.number(w.least(l)), "move the end of "+x.Name+" until it is "+say+" from the opening")
			put(t.BelowOpening.Set, "below opening", w.number(w.least(l)), "move the end of "+x.Name+" until it is "+say+" below the opening")
			put(t.LotLine.Set, "lot line", w.number(w.least(l)), "move the end of "+x.Name+" until it is "+say+" from the lot line")
			put(t.FromWall.Set, "from wall", w.number(w.least(l)), "move the end of "+x.Name+" until it is "+say+" from the wall beside it")
			put(t.AboveGrade.Set, "above grade", w.number(w.least(l)), "raise the end of "+x.Name+" to "+say+" above the ground")
		}
	}
	if f.Rule == "vent-terminal-location" {
		out = append(out, w.fromBeneath(v)...)
	}
	if high := w.param("terminal.opening-above"); given(high) && f.Rule == "vent-terminal-location" {
		put(t.AboveOpening.Set, "above opening", w.number(w.least(high.Length)), "run "+x.Name+" up to "+w.say(w.least(high.Length))+" above the opening")
	}
	if x.End == network.SideWall {
		edits := []job.Edit{job.Set("through roof", "vents", x.Name, "ends")}
		if t.Set {
			edits = append([]job.Edit{job.Remove("vents", x.Name, "terminal")}, edits...)
		}
		if len(x.Def.Legs) > 0 {
			edits = append(edits, job.Append("up", "vents", x.Name, "legs"))
		}
		out = append(out, choice{{id: "vent-through-roof/" + x.Name, edits: edits, cost: Cost{Pipe: storey + toAttic, Fittings: 2, Roof: 1, Walls: 1, About: true}, care: careRoof, do: plain("run " + x.Name + " up through the roof instead of out at the wall")}})
	}
	return out
}

// outOfVent leads waste out of a dry vent and into the drain under it.
func (w *work) outOfVent(id network.RunID) []choice {
	n := w.r.Net
	run := &n.Runs[id]
	v := run.IntoVent
	if v == network.None || len(n.Vents[v].Takes) == 0 {
		return nil
	}
	drain := &n.Runs[n.Vents[v].Takes[0].Run]
	cost := Cost{Pipe: 3 * unit.Foot, Fittings: 2, About: true}
	words := "take " + run.Name + " out of the vent " + n.Vents[v].Name + " and let it join " + drain.Name + " below"
	edits := []job.Edit{job.Set(drain.Name, "runs", run.Name, "joins"), job.Set("lower end", "runs", run.Name, "at")}
	out := []choice{{{id: "join-drain/" + run.Name, edits: edits, cost: cost, do: plain(words)}}}
	if run.Fixture == network.None {
		return out
	}
	endings := w.endings([]network.FixID{run.Fixture})
	if len(endings) == 0 {
		return out
	}
	var c choice
	for _, x := range w.own([]network.FixID{run.Fixture}, endings[0]) {
		do := x.do
		x.id = "join-drain-and-vent/" + run.Name
		x.edits = append(edits[:len(edits):len(edits)], x.edits...)
		x.cost.Pipe += cost.Pipe
		x.cost.Fittings += cost.Fittings
		x.do = func(after result) string { return words + "; " + do(after) }
		c = append(c, x)
	}
	return append(out, c)
}
