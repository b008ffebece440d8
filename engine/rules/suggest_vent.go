package rules

import (
	"slices"

	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/unit"
	"trapweir/engine/vent"
)

// wetCarries is what the book lets a wet vent of a size carry.
func wetCarries(p *check.Pass, size unit.Size) (unit.Load, bool) {
	t, ok := p.Book.Table("wet-vent")
	if !ok || len(t.Columns) == 0 {
		return 0, false
	}
	c := p.Book.Cell("wet-vent", size, wetColumn(t))
	return c.Load, c.State == codebook.Given
}

func wetColumn(t *codebook.Table) string {
	if t.Column("units") < 0 && len(t.Columns) > 0 {
		return t.Columns[0]
	}
	return "units"
}

// bathOnly: every fixture that drains through s is of a bathroom, and nothing comes in that
// is not drawn.
func bathOnly(p *check.Pass, s network.SegID) bool {
	n := p.Net
	for i := range n.Fixtures {
		if passes(n, n.Fixtures[i].Seg, s) && !n.Fixtures[i].Kind.Has("bathroom fixture") {
			return false
		}
	}
	for i := range n.Runs {
		if r := &n.Runs[i]; r.Def.Carries.Set && len(r.Segs) > 0 && passes(n, r.Segs[0], s) {
			return false
		}
	}
	return true
}

// suggestWetVent offers a lavatory where its drain would make a pipe a lawful wet vent: one
// that could wash a flat vent, or one that already joins above traps without a vent.
var suggestWetVent = &check.Rule{
	ID: "suggest-wet-vent", Family: "advice", Clause: "wet-vent",
	Doc: "says where the drain of a lavatory could wash a pipe and make it a wet vent",
	Why: "one pipe then drains and vents, and no other vent has to be run",
	Run: func(p *check.Pass) {
		washFlat(p)
		washBranch(p)
	},
}

// washFlat: a flat vent that leaves the drain of bathroom fixtures, and lavatories on the
// same floor (or on none) that could drain down it.
func washFlat(p *check.Pass) {
	n := p.Net
	need := p.Param("vent.flood-rim-rise")
	if !given(need) {
		return
	}
	flat := flats(p, need.Length)
	if len(flat.order) == 0 {
		return
	}
	fromDrains(n, func(v network.VentID, t takeoff) {
		if flat.length[v] == 0 || t.Seg == network.None {
			return
		}
		size := p.Vents.Size[v].Size
		limit, ok := wetCarries(p, size)
		if !ok {
			return
		}
		// The fixtures that would then be vented are those whose pipe passes the take-off.
		level, sum := int32(network.None), unit.Load(0)
		closet := false
		for _, f := range servedHere(p, t) {
			x := &n.Fixtures[f]
			if !x.Kind.Has("bathroom fixture") {
				return
			}
			closet = closet || x.Kind.Has("water closet")
			level = x.Level
			if !x.Kind.Has("water closet") {
				sum += p.Loads.Fixture[f].Units
			}
		}
		if closet && sum == 0 {
			return // a closet is washed at its own size; the lavatory joins at its drain
		}
		var names open
		lavs := unit.Load(0)
		for i := range n.Fixtures {
			x := &n.Fixtures[i]
			if x.Kind.Name != "lavatory" || x.Level != level || passes(n, x.Seg, t.Seg) {
				continue
			}
			if u := p.Loads.Fixture[i].Units; sum+lavs+u <= limit {
				lavs += u
				names.add(n.Runs[x.Run].Name, diag.Ref{}, n.Runs[x.Run].Def.At)
			}
		}
		if lavs == 0 {
			return
		}
		p.Looked(1)
		p.Note(p.OnVent(v), n.Vents[v].Def.At, check.Say{
			Message: n.Vents[v].Name + ": with " + names.list() + " draining down it, its level part would be a wet vent of " + (sum + lavs).String() + " units; " + size.String() + " may carry " + limit.String(),
			Got:     (sum + lavs).String() + " units", Limit: limit.String() + " units", Try: "let " + names.list() + " drain down this pipe, laid and fitted as a drain",
		})
	})
}

// servedHere are the fixtures whose own pipe ends at a take-off.
func servedHere(p *check.Pass, t takeoff) []network.FixID {
	n := p.Net
	var out []network.FixID
	for i := range n.Fixtures {
		if passes(n, n.Fixtures[i].Seg, t.Seg) && (n.Segs[n.Fixtures[i].Seg].Run == t.Run || p.Net.Runs[n.Fixtures[i].Run].Receiver == t.Run) {
			out = append(out, network.FixID(i))
		}
	}
	return out
}

// washBranch: a lavatory joins a level branch above traps that are not protected.
func washBranch(p *check.Pass) {
	n := p.Net
	var onRun map[network.RunID][]int // fixtures by the run that theirs joins
	for i := range n.Fixtures {
		lav := &n.Fixtures[i]
		run := &n.Runs[lav.Run]
		if lav.Kind.Name != "lavatory" || run.Receiver < 0 || p.Vents.Trap[i].Verdict != vent.NotProtected || n.RunOf(run.Segs[0]).Def.Vented.Text == "none" {
			continue
		}
		join := n.Segs[run.Segs[len(run.Segs)-1]].Down
		if join == network.None || n.Segs[join].Lie == network.Upright {
			continue
		}
		size, units := p.Sizes.Size[join], p.Loads.Units[join]
		limit, ok := wetCarries(p, size)
		if !ok || units > limit {
			continue
		}
		if onRun == nil {
			onRun = make(map[network.RunID][]int)
			for k := range n.Fixtures {
				to := n.Runs[n.Fixtures[k].Run].Receiver
				onRun[to] = append(onRun[to], k)
			}
		}
		// Another bathroom trap joins the same pipe at or below the lavatory.
		other := ""
		for _, k := range onRun[run.Receiver] {
			x := &n.Fixtures[k]
			if k == i || !x.Kind.Has("bathroom fixture") || x.Level != lav.Level {
				continue
			}
			at := n.Segs[n.Runs[x.Run].Segs[len(n.Runs[x.Run].Segs)-1]].Down
			// On one run what has the higher number lies further down.
			if at > join && n.Segs[at].Run == n.Segs[join].Run {
				other = n.Runs[x.Run].Name
			}
		}
		if other == "" || !bathOnly(p, join) {
			continue
		}
		wet := n.RunOf(join).Name
		say := check.Say{
			Message: run.Name + ": a dry vent on its own upright, over its arm, would make " + wet + ", from there on, the wet vent of " + other + "; it carries " + units.String() + " of the " + limit.String() + " units that " + size.String() + " may",
			Got:     units.String() + " units", Limit: limit.String() + " units", Try: "vent " + run.Name + " above its arm",
		}
		// Its own drain is washed too, by no more than it brings.
		tab, _ := p.Book.Table("wet-vent")
		least, _ := firstRow(tab, wetColumn(tab), p.Loads.Fixture[i].Units)
		if has := p.Sizes.Size[run.Segs[len(run.Segs)-1]]; least > has {
			say.Try += " and make its drain " + least.String()
		}
		p.Looked(1)
		p.Note(p.OnFixture(network.FixID(i)), run.Def.At, say)
	}
}

var suggestIslandLoop = &check.Rule{
	ID: "suggest-island-loop", Family: "advice", Clause: "island-vent",
	Doc: "says where an island loop would vent a sink that no other vent reaches",
	Why: "a sink away from the walls has no place for a vent to rise",
	Try: "run the vent up under the counter, down again, and to a wall with a foot vent",
	Run: func(p *check.Pass) {
		n := p.Net
		if m := p.Param("island.allowed"); !given(m) || !m.Yes {
			return
		}
		kinds := p.Param("island.fixtures")
		for i := range n.Fixtures {
			f := &n.Fixtures[i]
			if !kindIn(f, kinds.Words) {
				continue
			}
			run := &n.Runs[f.Run]
			island := f.Def.Island.V && p.Vents.Trap[i].Verdict == vent.NotProtected
			if r := p.Vents.Trap[i].Reading(); r != nil && r.Vent != network.None && !valvesAllowed(p) && !f.Kind.Has("lavatory") {
				end, _, _ := n.Outdoors(r.Vent)
				island = island || end == network.AirAdmittanceValve
			}
			if !island {
				continue
			}
			p.Looked(1)
			p.Note(p.OnFixture(network.FixID(i)), run.Def.At, check.Say{Message: run.Name + ": where no vent can rise, this book has the island loop with a foot vent"})
		}
	},
}

// suggestCombination offers a combination waste and vent to a drain that carries only what
// the book lets into one, lies level and has no vent.
var suggestCombination = &check.Rule{
	ID: "suggest-combination-waste-vent", Family: "advice", Clause: "combination-fixtures",
	Doc: "says where a level drain without a vent could be a combination waste and vent",
	Why: "an oversized level drain that joins a vented one brings its own air",
	Run: func(p *check.Pass) {
		n := p.Net
		allowed, kinds := p.Param("combination.allowed"), p.Param("combination.fixtures")
		if !given(allowed) || allowed.Text == "no" {
			return
		}
		tab, ok := p.Book.Table("combination-vent")
		var groups []combos
		for i := range n.Fixtures {
			f := &n.Fixtures[i]
			if !kindIn(f, kinds.Words) || p.Vents.Trap[i].Verdict != vent.NotProtected || f.Def.Location.Text == "garage" {
				continue
			}
			run := &n.Runs[f.Run]
			// The pipe that would be it: the run that the fixture joins, else its own.
			pipe := run
			if run.Receiver >= 0 && onlyKinds(n, run.Receiver, kinds.Words) {
				pipe = &n.Runs[run.Receiver]
			}
			last := pipe.Segs[len(pipe.Segs)-1]
			if n.Segs[last].Lie == network.Upright || n.Segs[last].Down == network.None {
				continue
			}
			if pipe.Def.Vented.Text == "combination" {
				continue // it is one already; what is wrong with it is said there
			}
			p.Looked(1)
			g := combos{into: n.Segs[last].Down}
			if ok {
				col := "branch"
				switch n.Segs[g.into].Role {
				case network.BuildingDrain, network.BuildingSewer, network.BuildingDrainBranch:
					col = "drain"
				}
				g.units = p.Loads.Units[last]
				g.least, g.carries = firstRow(tab, col, g.units)
			}
			k := slices.IndexFunc(groups, func(x combos) bool {
				return x.least == g.least && n.Segs[x.into].Run == n.Segs[g.into].Run
			})
			if k < 0 {
				k = len(groups)
				groups = append(groups, g)
			}
			groups[k].fixtures.add(run.Name, p.OnFixture(network.FixID(i)), run.Def.At)
			if !groups[k].pipes.holds(pipe.Name) {
				groups[k].pipes.add(pipe.Name, p.OnRun(n.Segs[last].Run, last), pipe.Def.At)
			}
			if known, _ := ventedAbove(n, g.into, last); !known && !groups[k].unsure.holds(pipe.Name) {
				groups[k].unsure.add(pipe.Name, p.OnFixture(network.FixID(i)), run.Def.At)
			}
		}
		for k := range groups {
			g := &groups[k]
			one := len(g.pipes.names) == 1
			say := check.Say{Message: g.pipes.list() + ": declared `vented: combination`, each of these pipes could drain and vent what it carries, if what it joins is vented"}
			if one {
				say.Message = g.pipes.list() + ": declared `vented: combination`, this pipe could drain and vent " + g.fixtures.list() + ", if what it joins is vented"
			}
			if allowed.Text == "approval" {
				say.Message += " and the authority approves"
			}
			switch {
			case g.least == 0:
			case one:
				say.Got, say.Limit = g.units.String()+" units", g.carries+" units"
				say.Message += "; its load of " + g.units.String() + " asks for " + g.least.String()
				say.Try = "make it " + g.least.String() + " or larger from the trap on, and write `vented: combination`"
			default:
				say.Message += "; their loads ask for " + g.least.String()
				say.Try = "make each " + g.least.String() + " or larger from the trap on, and write `vented: combination`"
			}
			p.Note(g.pipes.on, g.pipes.at, say)
			if len(g.unsure.names) > 0 {
				into, pipes := n.RunOf(g.into).Name, g.unsure.list()
				join := " joins"
				if len(g.unsure.names) > 1 {
					join = " join"
				}
				p.Unchecked(g.unsure.on, g.unsure.at, check.Say{
					Message: "whether " + into + " is vented where " + pipes + join + " is not shown",
					Ask:     "is " + into + " vented upstream of " + pipes + ", and how far along the pipe is each trap from the nearest vented drain?",
				})
			}
		}
	},
}

// combos are pipes that could be combination waste and vents of one size on one drain.
type combos struct {
	into     network.SegID // what the first of them joins
	least    unit.Size     // 0 where the book has no table
	units    unit.Load     // of the first of them
	carries  string        // what least may carry
	pipes    open
	fixtures open
	unsure   open // those of which it is not shown that what they join is vented
}

// ventedAbove: a vent drawn upstream of a segment, by another way than through `except`,
// brings air to it.
func ventedAbove(n *network.Net, s, except network.SegID) (vented bool, by network.VentID) {
	for i := range n.Vents {
		for _, t := range n.Vents[i].Takes {
			if t.Seg != network.None && (t.Seg == s || passes(n, t.Seg, s)) && !passes(n, t.Seg, except) {
				return true, network.VentID(i)
			}
		}
	}
	return false, network.None
}

// onlyKinds: every fixture that drains into a run is of these kinds.
func onlyKinds(n *network.Net, r network.RunID, kinds []string) bool {
	run := &n.Runs[r]
	if len(run.Segs) == 0 || run.Def.Carries.Set || run.Receiver < 0 {
		return false
	}
	last := run.Segs[len(run.Segs)-1]
	any := false
	for i := range n.Fixtures {
		if !passes(n, n.Fixtures[i].Seg, last) {
			continue
		}
		any = true
		if !kindIn(&n.Fixtures[i], kinds) {
			return false
		}
	}
	for i := range n.Runs {
		if x := &n.Runs[i]; x.Def.Carries.Set && len(x.Segs) > 0 && passes(n, x.Segs[0], last) {
			return false
		}
	}
	return any
}

// firstRow is the smallest size of a table that carries the units, and what it carries.
func firstRow(t *codebook.Table, column string, units unit.Load) (unit.Size, string) {
	k := t.Column(column)
	if k < 0 {
		return 0, ""
	}
	for i := range t.Rows {
		c := &t.Rows[i].Cells[k]
		if t.Rows[i].Size > 0 && c.State == codebook.Given && c.Load >= units {
			return t.Rows[i].Size, c.Text
		}
	}
	return 0, ""
}

var suggestTray = &check.Rule{
	ID: "suggest-laundry-tray-to-standpipe", Family: "advice", Clause: "standpipe-tray",
	Doc: "says where a laundry tub without a vent could drain into the washer's standpipe",
	Why: "the standpipe has a trap and, it is to be hoped, a vent already",
	Run: func(p *check.Pass) {
		n := p.Net
		washer := ""
		standpipes(p, func(_ network.FixID, _ *network.Fixture, r *network.Run) {
			if washer == "" {
				washer = r.Name
			}
		})
		if washer == "" {
			return
		}
		tall, across := p.Param("standpipe.tray-min"), p.Param("standpipe.tray-across-max")
		for i := range n.Fixtures {
			f := &n.Fixtures[i]
			if !f.Kind.Has("laundry tub") || f.Kind.Group || p.Vents.Trap[i].Verdict != vent.NotProtected {
				continue
			}
			p.Looked(1)
			run := &n.Runs[f.Run]
			say := check.Say{Message: run.Name + ": it could drain into the standpipe of " + washer + ", once that is vented", Cite: tall.Cite}
			if given(tall) && given(across) {
				say.Try = "keep the standpipe " + tall.Length.Small(p.Job.Units) + " or more above its weir and above the tub's rim, and the tub's outlet within " + across.Length.Small(p.Job.Units) + " of its trap"
			}
			p.Note(p.OnFixture(network.FixID(i)), run.Def.At, say)
		}
	},
}
