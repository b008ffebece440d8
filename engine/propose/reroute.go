package propose

import (
	"strings"

	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// Here are the ways that lead a drain elsewhere: past a backwater valve, past a pump, or
// into a drain of its own.

const backValve = "backwater valve"

// routeOf lists the runs that the water of a run goes through, itself first.
func routeOf(n *network.Net, id network.RunID) (out []network.RunID) {
	for hops := 0; id >= 0 && hops <= len(n.Runs); id, hops = n.Runs[id].Receiver, hops+1 {
		out = append(out, id)
	}
	return out
}

func hasDevice(r *network.Run, device string) bool {
	for _, d := range r.Def.Devices {
		if d.Text == device {
			return true
		}
	}
	return false
}

// through lists the fixtures whose water goes through a run.
func through(n *network.Net, id network.RunID) (out []network.FixID) {
	for i := range n.Fixtures {
		for _, r := range routeOf(n, n.Fixtures[i].Run) {
			if r == id {
				out = append(out, network.FixID(i))
				break
			}
		}
	}
	return out
}

// low: the opening of a fixture, or its floor where the book goes by floors, certainly lies
// under the rim of the next manhole.
func (w *work) low(f network.FixID) bool {
	fx, _ := w.fixture(f)
	rim := w.r.Job.Site.ManholeRim
	if !rim.Set || fx.Level < 0 || !w.r.Job.Levels[fx.Level].Floor.Set {
		return false
	}
	h := w.r.Job.Levels[fx.Level].Floor.V
	switch {
	case w.param("backwater.trigger").Text == "finished floor":
	case fx.Def.Rim.Set:
		h += fx.Def.Rim.V
	case fx.Kind.Rim.Set:
		h += fx.Kind.Rim.V
	default:
		return false
	}
	return h < rim.V
}

// allLow: only low fixtures drain through a run, and nothing that is not drawn.
func (w *work) allLow(id network.RunID) bool {
	n := w.r.Net
	for i := range n.Runs {
		if !n.Runs[i].Def.Carries.Set {
			continue
		}
		for _, r := range routeOf(n, network.RunID(i)) {
			if r == id {
				return false
			}
		}
	}
	for _, f := range through(n, id) {
		if !w.low(f) {
			return false
		}
	}
	return true
}

func addDevice(device, run string) job.Edit { return job.Append(device, "runs", run, "devices") }

// withoutDevice takes the first device of a kind out of a run.
func withoutDevice(run *network.Run, device string) []job.Edit {
	var keep []string
	found := false
	for _, d := range run.Def.Devices {
		if !found && d.Text == device {
			found = true
			continue
		}
		keep = append(keep, d.Text)
	}
	switch {
	case !found:
		return nil
	case len(keep) == 0:
		return []job.Edit{job.Remove("runs", run.Name, "devices")}
	}
	return []job.Edit{job.SetList(keep, "runs", run.Name, "devices")}
}

// guard puts a backwater valve where only what lies low drains through it: as far down the
// line as that holds, else on the fixture's own pipe.
func (w *work) guard(f network.FixID) choice {
	n := w.r.Net
	_, own := w.fixture(f)
	var c choice
	route := routeOf(n, n.Fixtures[f].Run)
	for k := len(route) - 1; k >= 0; k-- {
		if !w.allLow(route[k]) {
			continue
		}
		run := &n.Runs[route[k]]
		words := "put a backwater valve on " + run.Name + ", where it can be reached"
		if run != own {
			words += "; only what lies under the manhole drains through it"
		}
		c = append(c, way{id: "backwater-valve/" + run.Name, edits: []job.Edit{addDevice(backValve, run.Name)}, cost: Cost{Fittings: 3}, do: plain(words)})
	}
	return c
}

// bypass leads a high fixture past a backwater valve, or moves the valve to the branches of
// the low ones.
func (w *work) bypass(f network.FixID) []choice {
	n := w.r.Net
	route := routeOf(n, n.Fixtures[f].Run)
	at := -1
	for k, id := range route {
		if hasDevice(&n.Runs[id], backValve) {
			at = k
			break
		}
	}
	if at < 0 {
		return nil
	}
	valve := &n.Runs[route[at]]
	var out []choice
	if c := w.led(route, at, "past-valve", "lead NAME past the backwater valve: let it join RECV downstream of "+valve.Name); len(c) > 0 {
		out = append(out, c)
	}
	// The valve goes up to what lies low.
	off := withoutDevice(valve, backValve)
	var names []string
	for i := range n.Runs {
		r := network.RunID(i)
		if n.Runs[i].Receiver != route[at] || len(through(n, r)) == 0 {
			continue
		}
		if w.allLow(r) {
			names = append(names, n.Runs[i].Name)
			continue
		}
		for _, g := range through(n, r) {
			if w.low(g) {
				_, run := w.fixture(g)
				names = append(names, run.Name)
			}
		}
	}
	edits := off
	words := "take the backwater valve out of " + valve.Name
	cost := Cost{Fittings: 2}
	if len(names) > 0 {
		words += " and put one on " + strings.Join(names, ", ")
		for _, s := range names {
			edits = append(edits, addDevice(backValve, s))
			cost.Fittings += 3
		}
	} else {
		words += ": nothing that drains through it lies under the manhole"
	}
	if len(names) <= 3 {
		out = append(out, choice{{id: "valve-upstream/" + valve.Name, edits: edits, cost: cost, do: plain(words)}})
	}
	return out
}

// led lets what comes into the run at route[at] on this way join what that run joins: the
// whole branch, else the fixture's own pipe alone. NAME and RECV stand in the words.
func (w *work) led(route []network.RunID, at int, id, words string) (c choice) {
	n := w.r.Net
	around := &n.Runs[route[at]]
	if at == 0 || around.Receiver < 0 {
		return nil
	}
	recv := &n.Runs[around.Receiver]
	place := "after " + around.Name
	if p := &around.Def.Place; p.Kind == job.AtLength {
		place = w.number(p.Len + unit.Foot)
	}
	for _, k := range []int{at - 1, 0} {
		run := &n.Runs[route[k]]
		say := strings.NewReplacer("NAME", run.Name, "RECV", recv.Name).Replace(words)
		for _, p := range []string{place, "after " + around.Name, "lower end"} {
			c = append(c, way{
				id:    id + "/" + run.Name,
				edits: anew([]job.Edit{job.Set(recv.Name, "runs", run.Name, "joins"), job.Set(p, "runs", run.Name, "at")}, "runs", run.Name, run.Def.State),
				cost:  Cost{Pipe: 6 * unit.Foot, Fittings: 3, About: true}, do: plain(say),
			})
		}
		if at == 1 {
			break
		}
	}
	return c
}

// byGravity lets what need not be pumped join what the pump lifts to.
func (w *work) byGravity(f network.FixID) choice {
	n := w.r.Net
	route := routeOf(n, n.Fixtures[f].Run)
	for k, id := range route {
		if n.Runs[id].Def.Basin.Set {
			return w.led(route, k, "by-gravity", "let NAME run to RECV by gravity and join it downstream of "+n.Runs[id].Name+", not through the pump")
		}
	}
	return nil
}

// ownTraps gives fixtures that may not share a trap traps of their own: each a new arm to the
// tee where the first one ends, or a drain beside it with a vent of its own.
func (w *work) ownTraps(f network.FixID) []choice {
	fx, run := w.fixture(f)
	kinds := w.param("shared-trap.kinds")
	most := w.param("shared-trap.max-fixtures")
	may := func(s string) bool {
		if !given(kinds) {
			return true
		}
		for _, k := range kinds.Words {
			if k == s {
				return true
			}
		}
		return false
	}
	own, _ := w.d.Catalog.Find(fx.Def.Kind.Text)
	if own == nil {
		return nil
	}
	var keep, off []string
	first := true
	for _, s := range fx.Def.Serves {
		k, _ := w.d.Catalog.Find(s.Text)
		if k == nil {
			return nil
		}
		if k.Has("dishwasher") || k.Has("commercial disposer") {
			keep = append(keep, s.Text)
			continue
		}
		switch {
		case first && k.Name == own.Name: // what the trap stands under stays on it
			first = false
			keep = append(keep, s.Text)
		case k.Name != own.Name, !may(k.Name), given(most) && len(keep) >= int(most.Number/100):
			off = append(off, s.Text)
		default:
			keep = append(keep, s.Text)
		}
	}
	if len(off) == 0 || len(off) > 3 || run.Receiver < 0 {
		return nil
	}
	base := []job.Edit{job.SetList(keep, "runs", run.Name, "serves")}
	if len(keep) <= 1 {
		base = []job.Edit{job.Remove("runs", run.Name, "serves")}
		if fx.Def.Apart.Set {
			base = append(base, job.Remove("runs", run.Name, "apart"))
		}
	}
	return w.beside(f, base, off, "own-trap/"+run.Name, "off the trap of "+run.Name)
}

// beside adds drains with a trap for fixtures that had none of their own: they join the
// given one where its arm ends and share its vent, or join what it joins, with their own vents.
func (w *work) beside(f network.FixID, base []job.Edit, kinds []string, id, from string) []choice {
	_, run := w.fixture(f)
	recv := w.r.Net.Runs[run.Receiver].Name
	add := func(joins, at string, e *ending) way {
		x := way{id: id, edits: append([]job.Edit(nil), base...), cost: Cost{Pipe: unit.Length(len(kinds)) * 3 * unit.Foot, Fittings: 3 * len(kinds), About: true}}
		var names []string
		for _, k := range kinds {
			name := w.free(run.Name+" "+k, names...)
			names = append(names, name)
			fields := []job.Field{{Key: "joins", Value: joins}, {Key: "at", Value: at}, {Key: "arm", List: []string{"level"}}, {Key: "fixture", Value: k}}
			if e != nil {
				fields = append(fields, job.Field{Key: "legs", List: []string{"down", "level"}})
			}
			if run.Def.Slope.V.Fall > 0 {
				fields = append(fields, job.Field{Key: "slope", Value: w.sayFall(run.Def.Slope.V)})
			}
			if s := run.Def.Level.Text; s != "" {
				fields = append(fields, job.Field{Key: "level", Value: s})
			}
			if s := run.Def.Room.Text; s != "" {
				fields = append(fields, job.Field{Key: "room", Value: s})
			}
			x.edits = append(x.edits, job.Add("runs", name, fields...))
			if e == nil {
				continue
			}
			vent := w.free(name+" vent", names...)
			x.edits = append(x.edits, e.vent(vent, name, "end of arm")...)
			x.cost = plus(x.cost, e.cost())
		}
		words := "take the " + strings.Join(kinds, " and the ") + " " + from + ": a trap of its own and an arm to where the arm of " + run.Name + " ends, under the same vent"
		if e != nil {
			x.id += " vented"
			words = "take the " + strings.Join(kinds, " and the ") + " " + from + ": a trap and a drain of its own to " + recv + ", with a vent " + e.words
			x.care = e.care
		}
		x.do = plain(words)
		return x
	}
	out := []choice{{add(run.Name, "end of arm", nil)}}
	for _, e := range w.endings([]network.FixID{f}) {
		out = append(out, choice{add(recv, "after "+run.Name, &e), add(recv, "lower end", &e)})
	}
	return out
}

// trapped gives a fixture a trap: a machine that can empty into a sink loses its drain
// instead, anything else gets a trap and a vent.
func (w *work) trapped(f network.FixID) []choice {
	fx, run := w.fixture(f)
	n := w.r.Net
	var out []choice
	if fx.Kind.Has("dishwasher") {
		for i := range n.Fixtures {
			x, sr := w.fixture(network.FixID(i))
			if network.FixID(i) == f || !x.Kind.Has("kitchen sink") || x.Level != fx.Level || x.Def.TrapType.Text == "none" {
				continue
			}
			off := []job.Edit{job.Remove("runs", run.Name), job.Set("true", "runs", sr.Name, "dishwasher")}
			words := "take the drain " + run.Name + " away, cap what it joined, and let the dishwasher empty into " + sr.Name + " above its trap, the hose in a high loop or through an air gap"
			var c choice
			for _, key := range []string{"high loop", "air gap"} {
				say := words
				if key == "air gap" {
					say = strings.Replace(words, "the hose in a high loop or through an air gap", "through an air gap", 1)
				}
				c = append(c, way{id: "into-sink/" + run.Name, edits: append(off[:2:2], job.Set("true", "runs", sr.Name, key)), cost: Cost{Fittings: 2}, do: plain(say)})
			}
			out = append(out, c)
		}
	}
	put := job.Set("p", "runs", run.Name, "trap type")
	out = append(out, choice{{id: "p-trap/" + run.Name, edits: []job.Edit{put}, cost: Cost{Fittings: 1}, do: plain("put a P-trap on " + run.Name)}})
	for _, e := range w.endings([]network.FixID{f}) {
		c := w.own([]network.FixID{f}, e)
		for k := range c {
			do := c[k].do
			c[k].id = "p-trap " + c[k].id
			c[k].edits = append([]job.Edit{put}, c[k].edits...)
			c[k].cost.Fittings++
			c[k].do = prefixed("put a P-trap on "+run.Name+" and ", do)
		}
		out = append(out, c)
	}
	return out
}

// inletUpstream puts the fresh air inlet before the building trap.
func (w *work) inletUpstream(id network.RunID) choice {
	run := &w.r.Net.Runs[id]
	var list []string
	for _, d := range run.Def.Devices {
		switch d.Text {
		case "fresh air inlet":
		case "building trap":
			list = append(list, "fresh air inlet", d.Text)
		default:
			list = append(list, d.Text)
		}
	}
	if len(list) != len(run.Def.Devices) {
		return nil
	}
	return choice{{id: "inlet-upstream/" + run.Name, edits: []job.Edit{job.SetList(list, "runs", run.Name, "devices")}, cost: Cost{Fittings: 2}, do: plain("let the fresh air inlet of " + run.Name + " leave just upstream of the building trap")}}
}

// singles parts a double fitting: the two arms come in one under the other, each through a
// fitting of its own, or the smaller arm is laid as large as the other.
func (w *work) singles(id network.RunID) (out []choice) {
	n := w.r.Net
	run := &n.Runs[id]
	pair := w.twins(id)
	if len(pair) != 2 {
		return nil
	}
	most := unit.Size(0)
	for _, p := range pair {
		most = max(most, w.r.Sizes.Size[n.Runs[p].Segs[len(n.Runs[p].Segs)-1]])
	}
	var arms, traps []job.Edit
	for _, p := range pair {
		r := &n.Runs[p]
		if w.r.Sizes.Size[r.Segs[len(r.Segs)-1]] < most {
			arms = append(arms, resized(w.r, p, most)...)
			if r.Fixture != network.None && n.Fixtures[r.Fixture].Def.Trap.V > 0 {
				traps = append(traps, job.Set(most.Short(), "runs", r.Name, "trap"))
			}
		}
	}
	if len(arms) > 0 {
		words := plain(raiseWords(w.r, arms) + ", as large as the other side of the double fitting")
		out = append(out, choice{{id: "even-inlets/" + run.Name, edits: arms, do: words}, {id: "even-inlets/" + run.Name, edits: append(arms, traps...), cost: Cost{Fittings: 1}, do: words}})
	}
	other := &n.Runs[pair[1]]
	if pair[1] == id {
		other = &n.Runs[pair[0]]
	}
	place := "after " + other.Name
	if p := &run.Def.Place; p.Kind == job.AtLength {
		place = w.number(p.Len + 6*unit.Inch)
	}
	var c choice
	for _, fit := range []string{"sanitary tee", "wye"} {
		c = append(c, way{
			id: "single-fittings/" + run.Name, edits: []job.Edit{job.Set(fit, "runs", run.Name, "fitting"), job.Set(fit, "runs", other.Name, "fitting"), job.Set(place, "runs", run.Name, "at")},
			cost: Cost{Fittings: 2}, do: plain("let " + run.Name + " come in below " + other.Name + ", each through a " + fit + " of its own"),
		})
	}
	return append(out, c)
}

// pastBend lets what comes into the heel of a bend join past it through a wye instead, and sets
// a plain bend there.
func (w *work) pastBend(id network.RunID) choice {
	n := w.r.Net
	run := &n.Runs[id]
	if run.Receiver < 0 {
		return nil
	}
	recv := &n.Runs[run.Receiver]
	at := n.Segs[run.Segs[len(run.Segs)-1]].Down
	var turns []string
	heel := false
	for _, t := range recv.Def.Turns {
		s := t.Text
		if s == "heel inlet 90" {
			heel, s = true, "long sweep 90"
		}
		turns = append(turns, s)
	}
	if !heel || at == network.None || n.Segs[at].Run != run.Receiver {
		return nil
	}
	bend := job.SetList(turns, "runs", recv.Name, "turn")
	if len(turns) == 1 {
		bend = job.Set(turns[0], "runs", recv.Name, "turn")
	}
	var c choice
	for _, place := range []string{w.number(n.Segs[at].From + unit.Foot), "foot", "lower end"} {
		c = append(c, way{
			id: "past-bend/" + run.Name, edits: []job.Edit{bend, job.Set(place, "runs", run.Name, "at"), job.Set("wye", "runs", run.Name, "fitting")},
			cost: Cost{Pipe: unit.Foot, Fittings: 2, About: true}, do: plain("set a plain long sweep at the foot of " + recv.Name + " and let " + run.Name + " join past it through a wye"),
		})
	}
	return c
}

// twins are the runs that come in at one double fitting, the given one among them.
func (w *work) twins(id network.RunID) (out []network.RunID) {
	n := w.r.Net
	run := &n.Runs[id]
	for i := range n.Runs {
		r := &n.Runs[i]
		if r.Receiver == run.Receiver && len(r.Segs) > 0 && n.Segs[r.Segs[len(r.Segs)-1]].Down == n.Segs[run.Segs[len(run.Segs)-1]].Down && (i == int(id) || r.Def.Fitting.Given() && r.Def.Fitting.Text == run.Def.Fitting.Text) {
			out = append(out, network.RunID(i))
		}
	}
	return out
}

// discharge makes the pipe of a pump as large as the book asks.
func (w *work) discharge(f *diag.Diagnostic, id network.RunID) choice {
	s, err := unit.ParseSize(f.Limit)
	if err != nil {
		return nil
	}
	edits := resized(w.r, id, stocked(w.r, s))
	return choice{{id: "larger-pipe/" + f.On.Name, edits: edits, do: plain(raiseWords(w.r, edits))}}
}
