package rules

import (
	"slices"
	"strconv"

	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

var trapDiffersFromArm = &check.Rule{
	ID: "trap-size-differs-from-arm", Family: "traps", Clause: "trap-same-size",
	Doc: "trap and trap arm are of one size",
	Why: "a trap runs full while a larger arm does not, so the table's distance holds for neither",
	Run: func(p *check.Pass) {
		if m := p.Param("trap.same-size-as-arm"); !given(m) || !m.Yes {
			return
		}
		for i := range p.Net.Fixtures {
			f := &p.Net.Fixtures[i]
			run := &p.Net.Runs[f.Run]
			trap := f.Def.Trap.V
			if trap == 0 || f.Kind.Integral {
				continue
			}
			on := p.OnRun(f.Run, f.Seg)
			arm := p.Sizes.Size[f.Seg]
			switch {
			case arm == trap:
				p.Looked(1)
			case p.Sizes.Given[f.Seg] && pastArm(p, network.FixID(i), trap):
				// One size is written for the whole run, and only the pipe past the arm needs it.
				p.Unchecked(on, f.Def.Trap.At, check.Say{
					Message: run.Name + ": the trap is " + trap.String() + " and the run " + arm.String() + ", which the pipe past the trap arm needs; the size of the arm itself is not given",
					Ask:     "is the trap arm of " + run.Name + " " + trap.String() + " like its trap, up to its vent? write the arm as a run of its own with its size",
					Got:     trap.String(), Limit: arm.String(),
				})
			case p.Sizes.Given[f.Seg]:
				p.Looked(1)
				try := "make the trap " + arm.String() + " too"
				if least := p.Loads.Fixture[i].Trap; arm < least {
					try = "make the arm " + max(trap, least).String() + " too; the fixture needs a trap of " + least.String()
				}
				p.Fault(on, f.Def.Trap.At, check.Say{
					Message: run.Name + ": the trap is " + trap.String() + " and its arm " + arm.String() + "; they are one size",
					Got:     trap.String(), Limit: arm.String(), Try: try,
				})
			default:
				p.Unchecked(on, f.Def.Trap.At, check.Say{
					Message: run.Name + ": the trap is " + trap.String() + ", and the size of its arm is not given",
					Ask:     "what size is the arm of " + run.Name + "? trap and arm are one size",
				})
			}
		}
	},
}

// pastArm: the run goes on past its trap arm in pipe that must be larger than the trap, while
// the arm may be as small, and is no longer than an arm of the trap's size may be.
func pastArm(p *check.Pass, id network.FixID, trap unit.Size) bool {
	f := &p.Net.Fixtures[id]
	if p.Sizes.Required[f.Seg] > trap {
		return false
	}
	if r := p.Vents.Trap[id].Reading(); r != nil && r.Arm.Known {
		if c := p.Book.Cell("trap-arm", trap, "max"); c.State == codebook.Given && r.Arm.Length > c.Length {
			return false
		}
	}
	for _, s := range p.Net.Runs[f.Run].Segs {
		if p.Sizes.Required[s] > trap && p.Net.Segs[s].Role != network.TrapArm {
			return true
		}
	}
	return false
}

// trapOverloaded reads the book's table of units on one trap. It is made for fixtures that
// the book does not list. It binds what one listed fixture counts over its plain row
// (further shower heads), not what the row counts on the trap that it prints beside the
// units; whether it binds listed fixtures that share a trap is disputed.
var trapOverloaded = &check.Rule{
	ID: "trap-overloaded", Family: "traps", Clause: "unlisted-units",
	Doc: "one trap takes no more units than its size may",
	Why: "an overloaded trap stands full and overflows its fixture",
	Run: func(p *check.Pass) {
		tab, ok := p.Book.Table("trap-load")
		if !ok || len(tab.Columns) == 0 {
			return
		}
		for i := range p.Net.Fixtures {
			f := &p.Net.Fixtures[i]
			l := &p.Loads.Fixture[i]
			if f.Kind.Integral || l.State != codebook.Given && !l.Declared {
				continue
			}
			trap := trapSize(p, network.FixID(i))
			c := p.Book.Cell("trap-load", trap, tab.Columns[0])
			if c.State != codebook.Given {
				continue
			}
			p.Looked(1)
			if l.Units <= c.Load {
				continue
			}
			shares := len(f.Def.Serves) > 1
			plain := l.State == codebook.Given && l.Units == l.Row.Units.Load && plainRow(p, f, l.Row.Units.Load)
			if plain && !shares && l.Row.Trap.State == codebook.Given {
				continue // its own row says which trap takes its units
			}
			run := &p.Net.Runs[f.Run]
			s := check.Say{
				Rule:    "trap-undersized",
				Message: run.Name + ": " + l.Units.String() + " units come through one " + trap.String() + " trap, which takes " + c.Load.String(),
				Got:     l.Units.String() + " units", Limit: c.Load.String() + " units", Cite: tab.Cite,
			}
			for k := range tab.Rows {
				if x := &tab.Rows[k].Cells[0]; x.State == codebook.Given && x.Load >= l.Units {
					s.Try = "make trap and arm " + tab.Rows[k].Size.String() + ", or give part of it a trap of its own"
					break
				}
			}
			if plain || shares && l.State == codebook.Given {
				s.Message += "; the table is made for fixtures that are not listed, and whether it binds this one is disputed"
				p.Warn(p.OnFixture(network.FixID(i)), f.Def.Kind.At, s)
				continue
			}
			p.Fault(p.OnFixture(network.FixID(i)), f.Def.Kind.At, s)
		}
	},
}

// plainRow: the units are those of the kind's row without heads or outlets.
func plainRow(p *check.Pass, f *network.Fixture, units unit.Load) bool {
	if f.Def.Heads.V <= 1 && f.Def.Outlets.V <= 1 {
		return true
	}
	row, st := f.Kind.In(p.Book, codebook.Attr{Use: "private", Flow: f.Def.Flow.V})
	return st == codebook.Given && row.Units.Load == units
}

// trapSize is the trap as stated, else the size of its arm.
func trapSize(p *check.Pass, f network.FixID) unit.Size {
	x := &p.Net.Fixtures[f]
	if x.Def.Trap.V > 0 {
		return x.Def.Trap.V
	}
	return p.Sizes.Size[x.Seg]
}

var trapArmBends = &check.Rule{
	ID: "trap-arm-bends", Family: "traps", Clause: "trap-arm-turns",
	Doc: "a trap arm turns no more in plan than the book allows without a cleanout",
	Why: "a cable cannot follow further turns, and each slows the flow",
	Try: "let the arm turn no more than {what the book allows} before its vent, or put a cleanout in it",
	Run: func(p *check.Pass) {
		var ask open
		for i := range p.Net.Fixtures {
			f := &p.Net.Fixtures[i]
			r := p.Vents.Trap[i].Reading()
			run := &p.Net.Runs[f.Run]
			if r == nil || r.Open == network.None || len(run.Def.Clean) > 0 {
				continue
			}
			limit := p.Param("trap-arm.max-turns")
			if big := p.Param("trap-arm.max-turns-3in"); given(big) && r.Arm.Size >= 3*unit.Size(unit.Inch) {
				limit = big
			}
			if own := p.Param("trap-arm.closet-max-turns"); given(own) && f.Kind.Has("water closet") {
				limit = own
			}
			if !given(limit) {
				continue
			}
			if !run.Def.Bends.Set && hiddenTurns(run) {
				ask.add(run.Name, p.OnRun(f.Run, f.Seg), run.Def.At)
				continue
			}
			p.Looked(1)
			if most := times(limit); r.Arm.Turns > most {
				p.Fault(p.OnRun(f.Run, f.Seg), run.Def.At, check.Say{
					Message: run.Name + " turns " + degrees(r.Arm.Turns) + " on its way to the vent; " + degrees(most) + " is the most without a cleanout",
					Got:     degrees(r.Arm.Turns), Limit: degrees(most), Cite: limit.Cite,
				})
			}
		}
		ask.ask(p, check.Say{
			Message: "the trap arm has several level pieces whose directions are not given",
			Ask:     "how many degrees does the trap arm turn in plan on its way to the vent? write `bends: 90`, or directions for its legs",
		})
	},
}

// hiddenTurns: the fixture's own pipe has several level legs up to its first drop and one
// of them has no direction, so that a turn between them cannot be seen.
func hiddenTurns(r *network.Run) bool {
	level, blind := 0, false
	for _, legs := range [][]job.Leg{r.Def.Arm, r.Def.Legs} {
		for _, l := range legs {
			if l.Way.Plumb <= 450 {
				return level > 1 && blind
			}
			level++
			blind = blind || !l.Way.HasPlan
		}
	}
	return level > 1 && blind
}

func degrees(n int) string { return strconv.Itoa(n) + " degrees" }

// outletToTrap limits how far a trap may stand from the outlet of its fixture. The
// standpipe of a washer has limits of its own.
var outletToTrap = &check.Rule{
	ID: "fixture-outlet-to-trap-too-far", Family: "traps", Clause: "trap-outlet-down",
	Doc: "a trap stands near the outlet of its fixture, by height and across",
	Why: "water that falls too far runs through the trap and takes the seal along; the pipe above it fouls the room",
	Try: "bring the trap to within {what the book allows} of the outlet",
	Run: func(p *check.Pass) {
		down, across := p.Param("trap.outlet-down-max"), p.Param("trap.outlet-across-max")
		for i := range p.Net.Fixtures {
			f := &p.Net.Fixtures[i]
			d := f.Def
			if !d.OutDown.Set && given(down) {
				trapUnderFloor(p, network.FixID(i), down)
			}
			if f.Kind.Has("standpipe") || !d.OutDown.Set && !d.OutAcross.Set {
				continue
			}
			run := &p.Net.Runs[f.Run]
			on := p.OnFixture(network.FixID(i))
			p.Looked(1)
			for _, x := range []struct {
				set   bool
				v     unit.Length
				limit codebook.Param
				say   string
				word  string
			}{
				{d.OutDown.Set, d.OutDown.V, down, " above the trap weir", "down"},
				{d.OutAcross.Set, d.OutAcross.V, across, " to the side of the trap", "across"},
			} {
				at := d.OutDown.At
				if x.word == "across" && d.OutAcross.Set {
					at = d.OutAcross.At
				}
				switch {
				case !given(x.limit):
				case !x.set:
					p.Unchecked(on, run.Def.At, check.Say{
						Message: run.Name + ": only one of the two distances from its outlet to the trap is given",
						Ask:     "how far" + x.say + " is the outlet of " + run.Name + "? write `outlet to weir` with `" + x.word + "`",
						Limit:   x.limit.Length.Small(p.Job.Units), Cite: x.limit.Cite,
					})
				case x.v > x.limit.Length:
					p.Fault(on, at, check.Say{
						Message: run.Name + ": its outlet is " + x.v.Small(p.Job.Units) + x.say + "; " + x.limit.Length.Small(p.Job.Units) + " is the most",
						Got:     x.v.Small(p.Job.Units), Limit: x.limit.Length.Small(p.Job.Units), Cite: x.limit.Cite,
					})
				}
			}
		}
	},
}

// trapUnderFloor judges by the heights a fixture whose outlet is in the floor or over it: from
// the outlet to the weir it is as far at least as from the floor.
func trapUnderFloor(p *check.Pass, f network.FixID, most codebook.Param) {
	x := &p.Net.Fixtures[f]
	run := &p.Net.Runs[x.Run]
	v := &p.Levels.Serve[f]
	if existing(run) || x.Kind.Integral || !x.Kind.Outlet.Set || x.Kind.Outlet.V != 0 || !v.Floor.Known || !v.Upper.Known || p.Net.Segs[x.Seg].Lie != network.Level {
		return
	}
	down := v.Floor.V - v.Upper.V
	if down <= most.Length {
		p.Looked(1)
		return
	}
	say := check.Say{
		Message: run.Name + ": by the heights its trap weir lies " + down.Small(p.Job.Units) + " below the floor; " + most.Length.Small(p.Job.Units) + " is the most from its outlet",
		Got:     down.Small(p.Job.Units), Limit: most.Length.Small(p.Job.Units), Cite: most.Cite,
	}
	if !slices.ContainsFunc(run.Segs, func(s network.SegID) bool { return p.Net.Segs[s].Lie == network.Upright }) {
		// A drop is easily left out of a sketch; nobody sets the trap of a tub that deep.
		say.Message += ", and no drop is drawn"
		say.Ask = "where does " + run.Name + " drop, and how far? write it among its legs, past the vent: `down 2'`"
		p.Unchecked(p.OnFixture(f), run.Def.At, say)
		return
	}
	p.Looked(1)
	say.Try = "bring the trap up under its outlet, and take the fall in a drop past its vent"
	p.Fault(p.OnFixture(f), run.Def.At, say)
}

// trapClose advises over half of what the book permits; common practice.
var trapClose = &check.Rule{
	ID: "advise-trap-close", Family: "advice", Clause: "trap-outlet-down",
	Doc: "says where a trap is legal and yet far from its outlet",
	Why: "the longer the pipe above the trap, the more fouls it and the harder the water falls",
	Try: "keep the trap as near to the outlet as the room allows",
	Run: func(p *check.Pass) {
		for i := range p.Net.Fixtures {
			f := &p.Net.Fixtures[i]
			if f.Kind.Has("standpipe") {
				continue
			}
			run := &p.Net.Runs[f.Run]
			for _, x := range []struct {
				v     unit.Length
				limit codebook.Param
				say   string
			}{
				{f.Def.OutDown.V, p.Param("trap.outlet-down-max"), " above the weir"},
				{f.Def.OutAcross.V, p.Param("trap.outlet-across-max"), " to the side"},
			} {
				if given(x.limit) && 2*x.v > x.limit.Length && x.v <= x.limit.Length {
					p.Looked(1)
					p.Note(p.OnFixture(network.FixID(i)), run.Def.At, check.Say{
						Message: run.Name + ": its outlet is " + x.v.Small(p.Job.Units) + x.say + ", within the " + x.limit.Length.Small(p.Job.Units) + " permitted; nearer is better",
						Got:     x.v.Small(p.Job.Units), Limit: x.limit.Length.Small(p.Job.Units), Cite: x.limit.Cite,
					})
				}
			}
		}
	},
}
