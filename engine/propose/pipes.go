package propose

import (
	"strconv"
	"strings"

	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/elevation"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// pipes lists the ways for findings of fall, cleanouts, fittings, vent pipe and fixtures.
func (w *work) pipes(f *diag.Diagnostic) (out []choice, advice []string) {
	name := f.On.Name
	heading := "runs"
	if f.On.What == diag.Vent {
		heading = "vents"
	}
	id, v := runNamed(w.r, name), ventNamed(w.r, name)
	onRun, onVent := heading == "runs" && id != network.None, heading == "vents" && v != network.None
	switch f.Rule {
	case "vent-undersized", "vent-too-long":
		if onVent {
			out = append(out, w.ventSize(v))
		}
	case "no-open-air-vent":
		if onRun {
			out = append(out, w.toTheAir(f, id)...)
		}
	case "ask-backwater", "backwater-bypass", "gravity-fixture-into-sump", "shared-trap-too-many", "untrapped-fixture", "double-trap":
		if fx := fixtureOn(w.r, f.On); fx != network.None {
			out = append(out, w.atFixture(f, fx)...)
		}
	case "fresh-air-inlet-side":
		if onRun {
			out = append(out, w.inletUpstream(id))
		}
	case "sump-discharge-undersized":
		if onRun {
			out = append(out, w.discharge(f, id))
		}
	case "island-vent-no-open-air":
		if onVent {
			out = append(out, w.footVent(v)...)
		}
	case "island-loop-low":
		if onVent {
			out = append(out, w.higherLoop(f, v))
		}
	case "cwv-vent-place":
		if onVent && len(w.r.Net.Vents[v].Takes) > 0 {
			out = append(out, w.atFirstWaste(w.r.Net.Vents[v].Takes[0].Run))
		}
	case "island-fixture":
		if onVent {
			out = append(out, w.notByLoop(v)...)
		}
	case "offset-needs-vent":
		if onRun {
			out = append(out, w.reliefOfOffset(id)...)
		}
	case "circuit-vent-relief":
		if onRun {
			out = append(out, w.relief(id, []string{w.pastLast(id)}))
		}
	case "relief-vent-missing":
		if onRun {
			out = append(out, w.reliefBetween(id)...)
		}
	case "vent-stack-missing":
		if onRun {
			out = append(out, w.ventStack(id))
		}
	case "vent-stack-base":
		if onVent {
			out = append(out, w.footOfVentStack(f, v))
		}
	case "vent-not-as-drain":
		if onVent {
			out = append(out, w.asDrain(f, v), w.fitted(heading, name, "sanitary tee", "wye"))
		}
	case "future-vent-capped":
		if onVent {
			out = append(out, w.opened(v))
		}
	case "closet-bend-sizes":
		out = append(out, set("closet-bend", "take a 4 x 3 closet bend for "+name, 1, "4x3", "runs", name, "bend"),
			choice{{id: "closet-bend-straight/" + name, edits: []job.Edit{job.Remove("runs", name, "bend")}, cost: Cost{Fittings: 1}, do: plain("take a closet bend of one size for " + name)}})
	case "cleanout-reused":
		if onRun {
			out = append(out, w.cleanout(f, id)...)
		}
	case "fitting-not-drainage":
		out = append(out, w.fitted(heading, name, "wye", "combo", "sanitary tee"))
	case "pumped-entry":
		if onRun {
			out = append(out, w.furtherDown(f, id), w.fitted(heading, name, "wye rolled 45", "upright wye", "combo rolled 45", "wye"))
		}
	case "joist-hole", "joist-room":
		if onRun {
			out = append(out, w.smaller(id, "; what is left of the joists is for whoever designed the structure to judge"))
			out = append(out, w.flatter(f, id)...)
			out = append(out, w.pastJoists(id)...)
		}
	case "joist-notch", "stud-notch":
		if onRun {
			out = append(out, w.bored(id)...)
			out = append(out, w.smaller(id, ""), w.deeperStuds(id))
			if f.Rule == "joist-notch" {
				out = append(out, w.pastJoists(id)...)
			}
		}
	case "top-plate", "sole-plate":
		if onRun {
			out = append(out, w.smaller(id, ""), w.deeperStuds(id), w.strapped(id))
		}
	case "crawl-room":
		if onRun {
			out = append(out, w.smaller(id, ""))
			out = append(out, w.flatter(f, id)...)
			out = append(out, w.higher(f, id)...)
			out = append(out, w.inTrench(id))
		}
	case "trap-room", "fixture-outlet-to-trap-too-far":
		if onRun {
			out = append(out, w.higher(f, id)...)
		}
		if onRun && f.Rule == "trap-room" {
			out = append(out, w.underJoists(id))
		}
	case "heel-inlet-wet":
		if onRun {
			out = append(out, w.pastBend(id))
			if traps := through(w.r.Net, id); len(traps) > 0 && len(traps) <= 3 {
				for _, e := range w.endings(traps) {
					out = append(out, w.own(traps, e))
				}
			}
		}
	case "fitting-double-unlike":
		if onRun {
			out = append(out, w.singles(id)...)
		}
	case "circuit-vent-too-many":
		out = append(out, w.fewer(f)...)
	case "circuit-vent-extra":
		if onRun {
			out = append(out, w.pastBranch(id))
		}
	case "waste-stack-offset":
		if onRun {
			out = append(out, w.straight(id))
			if traps := through(w.r.Net, id); len(traps) <= 4 {
				out = append(out, w.protect(traps)...)
			}
		}
	case "stud-hole", "wall-room":
		if onRun {
			out = append(out, w.smaller(id, ""), w.deeperStuds(id))
			if f.Rule == "stud-hole" {
				out = append(out, w.strengthened(id))
			}
			advice = append(advice, "or let "+name+" take another wall that is deeper or does not bear, or run under the floor")
		}
	case "freeze-risk-exterior-wall", "vent-freeze-outside":
		if onRun || onVent {
			out = append(out, w.indoors(heading, name))
		}
	case "vent-aggregate-area-short":
		out = append(out, w.roofArea()...)
	case "aav-prohibited", "aav-inaccessible", "aav-too-low", "aav-other-floor", "aav-on-sump", "aav-needs-open-air-vent",
		"aav-branch-relief", "aav-in-insulation", "aav-stack-too-tall":
		if onVent {
			out = append(out, w.valve(f, v)...)
		}
	case "vent-takeoff-below-centerline":
		if onVent {
			out = append(out, w.takeoffUp(v))
		}
	case "vent-horizontal-below-flood-rim", "vent-tie-in-too-low":
		if onRun {
			out = append(out, w.atFirstWaste(id), w.dropped(id))
		}
		if onVent {
			out = append(out, w.riseFirst(f, v)...)
		}
	case "vent-slope-back-pitch":
		if onVent && goesDown(w.r.Net.Vents[v].Def.Legs) {
			out = append(out, w.withoutDip(v))
		} else if onVent {
			out = append(out, set("vent-slope", "let the level part of "+name+" fall back to the drain", 0, w.slope(), "vents", name, "slope"))
		}
	case "vent-terminal-height", "vent-terminal-covered":
		if onVent {
			if l, err := unit.ParseLength(f.Limit); err == nil {
				out = append(out, choice{{id: "raise-terminal/" + name, edits: []job.Edit{job.Set(w.number(w.least(l)), "vents", name, "terminal", "above roof")}, cost: Cost{Pipe: w.least(l) - w.r.Net.Vents[v].Def.Terminal.AboveRoof.V}, care: careRoof, do: plain("run " + name + " up to " + w.say(w.least(l)) + " above the roof")}})
			}
		}
	case "slope-too-flat", "slope-needs-approval":
		if onRun {
			out = append(out, w.fall(f, id)...)
		}
	case "cleanout-missing":
		if onRun {
			out = append(out, w.cleanout(f, id)...)
		}
	case "cleanout-spacing":
		if onRun {
			out = append(out, w.cleanouts(f, id))
		}
	case "cleanout-inaccessible", "cleanout-clearance", "cleanout-size", "cleanout-direction":
		if onRun {
			out = append(out, w.cleanoutDetail(f, id)...)
		}
	case "fitting-santee-on-back":
		out = append(out, w.fitted(heading, name, "wye", "combo", "wye rolled 45", "combo rolled 45"))
	case "fitting-santee-horizontal":
		out = append(out, w.fitted(heading, name, "wye", "combo"))
	case "fitting-combo-on-trap-arm":
		out = append(out, w.fitted(heading, name, "sanitary tee"))
	case "fitting-double-santee-wc", "fitting-double-santee-lavs", "fitting-double-santee-pumped", "fitting-double-inlets":
		if onRun {
			out = append(out, w.doubles(id))
			out = append(out, w.singles(id)...)
		}
	case "fitting-short-90-horizontal", "fitting-short-90-vertical-to-horizontal", "heel-inlet-closet":
		if onRun {
			out = append(out, w.turned(id))
		}
	case "material-transition-unshielded":
		out = append(out, set("coupling", "join "+name+" with a shielded coupling made for the two pipes", 1, "shielded coupling", heading, name, "joint"))
	case "base-of-stack-too-close", "suds-zone":
		if onRun {
			out = append(out, w.furtherDown(f, id))
		}
	case "waste-into-dry-vent":
		if onRun {
			out = append(out, w.outOfVent(id)...)
		}
	case "trap-undersized":
		if onRun {
			out = append(out, w.trapSize(id))
		}
	case "trap-size-differs-from-arm":
		if onRun {
			out = append(out, w.sameSize(id)...)
		}
	case "sleeve-through-concrete":
		out = append(out, w.bySleeve(name, f.Limit))
	case "standpipe-height", "standpipe-trap-height":
		if l, err := unit.ParseLength(f.Limit); err == nil && onRun {
			key, what := "standpipe", "make the standpipe of "+name+" "+w.say(w.toward(f, l))+" high above its trap weir"
			if f.Rule == "standpipe-trap-height" {
				key, what = "trap above floor", "set the trap of "+name+" "+w.say(w.toward(f, l))+" above the floor"
			}
			out = append(out, set(key, what, 1, w.number(w.toward(f, l)), "runs", name, key))
		}
	case "floor-drain-primer":
		out = append(out, set("trap-primer", "connect a trap primer to "+name, 2, "true", "runs", name, "primer"),
			choice{{id: "trap-seal-device/" + name, edits: []job.Edit{job.Append("trap seal device", "runs", name, "devices")}, cost: Cost{Fittings: 1}, do: plain("put a listed trap seal device into " + name)}})
	case "garage-drain-interceptor":
		out = append(out, choice{
			{id: "interceptor/" + name, edits: []job.Edit{job.Append("sand interceptor", "runs", name, "devices")}, cost: Cost{Fittings: 3}, do: plain("set a sand interceptor between " + name + " and the drainage system")},
			{id: "interceptor/" + name, edits: []job.Edit{job.Append("oil interceptor", "runs", name, "devices")}, cost: Cost{Fittings: 3}, do: plain("set an oil interceptor between " + name + " and the drainage system")},
		})
	case "dishwasher-airgap":
		out = append(out, set("high-loop", "fasten the hose of the dishwasher of "+name+" in a high loop under the counter", 1, "true", "runs", name, "high loop"),
			set("air-gap", "put an air gap on the counter for the dishwasher of "+name, 2, "true", "runs", name, "air gap"))
	case "sump-check-valve-missing":
		out = append(out, set("check-valve", "put a check valve on the discharge "+name, 1, "true", "runs", name, "basin", "check valve"))
	case "sump-full-open-valve-missing":
		out = append(out, set("full-open-valve", "put a full-open valve on the discharge "+name+", downstream of the check valve", 1, "true", "runs", name, "basin", "full-open valve"))
	case "sump-cover-not-gastight":
		out = append(out, set("gastight-cover", "put a gastight cover on the basin of "+name, 1, "gastight", "runs", name, "basin", "cover"))
	case "sump-unvented":
		if onRun {
			out = append(out, w.basinVent(id))
		}
	case "drum-trap":
		out = append(out, set("p-trap", "replace the trap of "+name+" by a P-trap", 1, "p", "runs", name, "trap type"))
	case "s-trap":
		if onRun && w.r.Net.Runs[id].Def.Fixture.TrapType.Text == "s" {
			out = append(out, set("p-trap", "replace the S-trap of "+name+" by a P-trap", 1, "p", "runs", name, "trap type"))
		}
	case "trap-arm-bends":
		if onRun {
			out = append(out, w.cleanout(f, id)...)
		}
	case "dead-end":
		if onRun {
			out = append(out, w.dropped(id))
			out = append(out, w.deadEnd(f, id)...)
		}
	case "invert-conflict", "cover-conflict":
		if onRun {
			out = append(out, w.flatter(f, id)...)
			if short := w.shortBy(f, id); short > 0 {
				out = append(out, w.lift(id, -short)...)
			}
		}
	case "building-trap":
		if onRun {
			out = append(out, w.without(id, "building trap"))
		}
	case "vent-terminal-under-soffit", "vent-terminal-at-wall", "vent-terminal-location", "vent-terminal-occupied-roof", "vent-terminal-frost":
		if onVent {
			out = append(out, w.terminal(f, v)...)
		}
	case "main-vent-small":
		out = append(out, w.mainVent()...)
	case "local-rule-main-vent-base":
		if onVent && f.Limit == "" {
			out = append(out, w.lowerFoot(v))
		}
		if s, err := unit.ParseSize(f.Limit); err == nil && onVent {
			x := &w.r.Net.Vents[v]
			edits := anew([]job.Edit{job.Set(s.Short(), "vents", name, "size")}, "vents", name, x.Def.State)
			out = append(out, choice{{id: "larger-vent/" + name, edits: edits, do: plain(raiseWords(w.r, edits))}})
		}
	}
	if onRun {
		out = append(out, w.measured(f, id)...)
	}
	return out, advice
}

// atFixture lists the ways for what is wrong at one fixture.
func (w *work) atFixture(f *diag.Diagnostic, fx network.FixID) []choice {
	switch f.Rule {
	case "ask-backwater":
		return []choice{w.guard(fx)}
	case "backwater-bypass":
		return w.bypass(fx)
	case "gravity-fixture-into-sump":
		return []choice{w.byGravity(fx)}
	case "shared-trap-too-many":
		return w.ownTraps(fx)
	case "untrapped-fixture":
		return w.trapped(fx)
	case "double-trap":
		_, run := w.fixture(fx)
		return []choice{{{id: "one-trap/" + run.Name, edits: []job.Edit{job.Remove("runs", run.Name, "trap type")}, cost: Cost{Fittings: 1}, do: plain("take the second trap out of " + run.Name + ": the one in the fixture is enough")}}}
	}
	return nil
}

// deadEnd does away with a dead end: a cleanout at its end, where the book lets one stand
// there, or the first pipe that joins led to the upper end.
func (w *work) deadEnd(f *diag.Diagnostic, id network.RunID) []choice {
	n := w.r.Net
	run := &n.Runs[id]
	out := []choice{{{
		id: "cleanout/" + run.Name, edits: []job.Edit{job.Append("upper end", "runs", run.Name, "cleanouts")}, cost: Cost{Fittings: 2},
		do: plain("end " + run.Name + " in a cleanout at its upper end"),
	}}}
	first := network.RunID(network.None)
	for i := range n.Runs {
		r := &n.Runs[i]
		if r.Receiver != id || r.Def.Place.Kind != job.AtLength {
			continue
		}
		if first == network.None || r.Def.Place.Len < n.Runs[first].Def.Place.Len {
			first = network.RunID(i)
		}
	}
	if first == network.None {
		return out
	}
	r := &n.Runs[first]
	return append(out, choice{{
		id: "join-upper-end/" + r.Name, edits: []job.Edit{job.Set("upper end", "runs", r.Name, "at")}, cost: Cost{Pipe: r.Def.Place.Len, Fittings: 1, About: true},
		do: plain("let " + r.Name + " join " + run.Name + " at its upper end, or begin " + run.Name + " where " + r.Name + " joins"),
	}})
}

// flatter lays the line from a run to the outlet flatter than it is told: one run, as steep
// still as wins what is short, or several as flat as their sizes may lie.
func (w *work) flatter(f *diag.Diagnostic, id network.RunID) []choice {
	n := w.r.Net
	short := w.shortBy(f, id)
	var out []choice
	var together choice
	var all []job.Edit
	var names []string
	slope := ""
	cost := Cost{}
	for k, hops := id, 0; k >= 0 && hops <= len(n.Runs); k, hops = n.Runs[k].Receiver, hops+1 {
		run := &n.Runs[k]
		least := w.r.Levels.Run[k].Flattest
		if !run.Def.Slope.V.Given() || !least.Given() || run.Def.Slope.V.Cmp(least) <= 0 || existing(run.Def.State) {
			continue
		}
		l, ok := lengthOf(w.r, k)
		if r, found := w.r.Levels.Flatter(n, run.Segs[0], short, w.r.Job.Units); found && r.Slope.Given() {
			var c choice
			if r.Slope.Cmp(least) != 0 {
				c = append(c, way{id: "flatter/" + run.Name, edits: []job.Edit{job.Set(w.sayFall(r.Slope), "runs", run.Name, "slope")}, cost: Cost{Enlarged: l, About: !ok}, do: plain("lay " + run.Name + " at " + w.sayFall(r.Slope))})
			}
			c = append(c, way{id: "flatter/" + run.Name, edits: []job.Edit{job.Set(w.sayFall(least), "runs", run.Name, "slope")}, cost: Cost{Enlarged: l, About: !ok}, do: plain("lay " + run.Name + " at " + w.sayFall(least) + ", as flat as its size may lie")})
			out = append(out, c)
		}
		all = append(all, job.Set(w.sayFall(least), "runs", run.Name, "slope"))
		names = append(names, run.Name)
		cost.Enlarged += l
		cost.About = cost.About || !ok
		slope = w.sayFall(least)
		if all := append([]job.Edit(nil), all...); len(all) > 1 {
			together = append(together, way{id: "flatter/" + strings.Join(names, "+"), edits: all, cost: cost, do: plain("lay " + strings.Join(names, ", ") + " as flat as their sizes may lie, " + slope + " at the flattest")})
		}
	}
	if len(out) == 0 {
		out = append(out, together)
	}
	return out
}

// shortBy is how much a pipe lies too high, by a finding or by what is short at its fixture; 0
// where that is not told.
func (w *work) shortBy(f *diag.Diagnostic, id network.RunID) unit.Length {
	if f.Rule != "invert-conflict" && f.Rule != "cover-conflict" {
		return 0
	}
	got := shortOf(f)
	if x := w.r.Net.Runs[id].Fixture; x != network.None && w.r.Levels.Serve[x].SpareKnown {
		got = max(got, -w.r.Levels.Serve[x].Spare)
	}
	return got
}

// without takes a device out of a run.
func (w *work) without(id network.RunID, device string) choice {
	run := &w.r.Net.Runs[id]
	for i, d := range run.Def.Devices {
		if d.Text != device {
			continue
		}
		e := job.Remove("runs", run.Name, "devices")
		if len(run.Def.Devices) > 1 {
			e = job.Remove("runs", run.Name, "devices", strconv.Itoa(i))
		}
		return choice{{id: "take-out/" + run.Name, edits: []job.Edit{e}, cost: Cost{Fittings: 2}, care: careOld, do: plain("take the " + device + " out of " + run.Name)}}
	}
	return nil
}

// fall gives a run the least fall of its size, or makes it so large that its fall is enough.
func (w *work) fall(f *diag.Diagnostic, id network.RunID) []choice {
	run := &w.r.Net.Runs[id]
	var out []choice
	found := false
	for _, s := range run.Segs {
		found = found || w.r.Levels.SlopeFrom[s] == elevation.Found
	}
	l, ok := lengthOf(w.r, id)
	if s, err := slopeLimit(f.Limit); err == nil && !found {
		edits := anew([]job.Edit{job.Set(w.sayFall(s), "runs", run.Name, "slope")}, "runs", run.Name, run.Def.State)
		out = append(out, choice{{id: "steeper/" + run.Name, edits: edits, cost: Cost{Enlarged: l, About: !ok}, do: plain("lay " + run.Name + " at " + w.sayFall(s))}})
	}
	if s, err := slopeLimit(f.Limit); err == nil && found && run.Def.InvUp.Set {
		// Its fall follows from two inverts: the upper one goes up.
		off := []string{"runs", run.Name, "invert"}
		if run.Def.InvLow.Set {
			off = append(off, "upper")
		}
		out = append(out, choice{{
			id: "raise-upper-end/" + run.Name, edits: anew([]job.Edit{job.Remove(off...), job.Set(w.sayFall(s), "runs", run.Name, "slope")}, "runs", run.Name, run.Def.State),
			cost: Cost{Enlarged: l, About: !ok}, do: plain("raise the upper end of " + run.Name + " until it falls " + w.sayFall(s) + ", and with it what comes in there"),
		}})
	}
	if s, err := slopeLimit(f.Limit); err == nil && run.Fixture != network.None {
		out = append(out, w.steeperArm(run.Fixture, s, l))
	}
	// The next sizes may lie flatter.
	have := w.r.Sizes.Size[run.Segs[len(run.Segs)-1]]
	var c choice
	for size, k := have, 0; k < 2; k++ {
		next, ok := unit.NextSize(size)
		if !ok {
			break
		}
		size = stocked(w.r, next)
		cell := w.r.Book.Cell("min-slope", size, "slope")
		if cell.State != codebook.Given || run.Def.Slope.V.Cmp(cell.Slope) < 0 {
			continue
		}
		edits := resized(w.r, id, size)
		if run.Receiver >= 0 {
			edits = append(edits, raised(w.r, run.Receiver, size)...)
		}
		c = append(c, way{id: "larger-pipe/" + run.Name, edits: edits, do: plain(raiseWords(w.r, edits) + "; that size may lie as flat as this")})
		break
	}
	return append(out, c)
}

// higher raises what lies too low: by more fall or a longer drop on the way, or by where it
// joins.
func (w *work) higher(f *diag.Diagnostic, id network.RunID) []choice {
	short := shortOf(f)
	if short <= 0 {
		return nil
	}
	return append(w.lift(id, short), w.more(id, short)...)
}

// fitted tries other fittings where a run or vent joins.
func (w *work) fitted(heading, name string, words ...string) choice {
	var c choice
	for _, x := range words {
		c = append(c, way{id: "fitting/" + name, edits: []job.Edit{job.Set(x, heading, name, "fitting")}, cost: Cost{Fittings: 1}, do: plain("use a " + x + " where " + name + " comes in")})
	}
	return c
}

// doubles changes a double fitting on every run that names it at that place.
func (w *work) doubles(id network.RunID) choice {
	n := w.r.Net
	run := &n.Runs[id]
	var names []string
	for i := range n.Runs {
		r := &n.Runs[i]
		if r.Receiver == run.Receiver && len(r.Segs) > 0 && n.Segs[r.Segs[len(r.Segs)-1]].Down == n.Segs[run.Segs[len(run.Segs)-1]].Down && (i == int(id) || r.Def.Fitting.Text == run.Def.Fitting.Text && r.Def.Fitting.Given()) {
			names = append(names, r.Name)
		}
	}
	var c choice
	for _, x := range []string{"double fixture fitting", "double wye", "double combo"} {
		var edits []job.Edit
		for _, s := range names {
			edits = append(edits, job.Set(x, "runs", s, "fitting"))
		}
		c = append(c, way{id: "fitting/" + run.Name, edits: edits, cost: Cost{Fittings: 1}, do: plain("use a " + x + " where " + run.Name + " comes in")})
	}
	return c
}

// turned takes long turns in place of short ones.
func (w *work) turned(id network.RunID) choice {
	run := &w.r.Net.Runs[id]
	if len(run.Def.Turns) == 0 {
		return nil
	}
	var c choice
	for _, x := range []string{"long sweep 90", "two 45s"} {
		var list []string
		for _, t := range run.Def.Turns {
			switch t.Text {
			case "short 90", "heel inlet 90", "side inlet 90", "vent 90":
				list = append(list, x)
			default:
				list = append(list, t.Text)
			}
		}
		e := job.SetList(list, "runs", run.Name, "turn")
		if len(list) == 1 {
			e = job.Set(list[0], "runs", run.Name, "turn")
		}
		word := "a long sweep 90"
		if x == "two 45s" {
			word = "two 45s"
		}
		c = append(c, way{id: "turn/" + run.Name, edits: []job.Edit{e}, cost: Cost{Fittings: 1}, do: plain("turn " + run.Name + " through " + word)})
	}
	return c
}

// trapSize makes a trap as large as the book asks, and its pipe with it: the first size
// that does.
func (w *work) trapSize(id network.RunID) choice {
	run := &w.r.Net.Runs[id]
	if run.Fixture == network.None {
		return nil
	}
	var c choice
	size := w.armSize(run.Fixture)
	for range 3 {
		next, ok := unit.NextSize(size)
		if !ok {
			break
		}
		if size = stocked(w.r, next); size < next {
			break
		}
		edits := []job.Edit{job.Set(size.Short(), "runs", run.Name, "trap")}
		if have := run.Def.Size.V; have > 0 && have < size {
			edits = append(edits, resized(w.r, id, size)...)
		}
		if run.Receiver >= 0 {
			edits = append(edits, raised(w.r, run.Receiver, size)...)
		}
		c = append(c, way{id: "larger-trap/" + run.Name, edits: edits, cost: Cost{Fittings: 1}, do: plain("put a " + size.String() + " trap on " + run.Name + " and pipe no smaller from there on")})
	}
	return c
}

// sameSize makes trap and arm one size.
func (w *work) sameSize(id network.RunID) []choice {
	run := &w.r.Net.Runs[id]
	if run.Fixture == network.None {
		return nil
	}
	trap := w.r.Net.Fixtures[run.Fixture].Def.Trap.V
	arm := run.Def.Size.V
	var out []choice
	if arm > 0 {
		out = append(out, set("trap-size", "put a "+arm.String()+" trap on "+run.Name, 1, arm.Short(), "runs", run.Name, "trap"))
	}
	if trap > 0 && arm > trap {
		edits := resized(w.r, id, trap)
		out = append(out, choice{{id: "arm-size/" + run.Name, edits: edits, do: plain("make the arm " + run.Name + " " + trap.String() + ", as its trap is")}})
	}
	return out
}
