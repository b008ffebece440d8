package rules

import (
	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/network"
)

// tooNear reports a distance of a vent's end that is under a book's measure.
func tooNear(p *check.Pass, on diag.Ref, have job.Len, limit codebook.Param, msg, try string) {
	p.Fault(on, have.At, check.Say{
		Try:     try,
		Message: msg + "; " + limit.Length.In(p.Job.Units) + " is the least",
		Got:     have.V.In(p.Job.Units), Limit: limit.Length.In(p.Job.Units), Cite: limit.Cite,
	})
}

// terminalLocation looks at windows, walls, lot line and ground. An opening far enough off, or
// one that the vent ends well over, does not matter.
var terminalLocation = &check.Rule{
	ID: "vent-terminal-location", Family: "terminals", Clause: "terminal-opening",
	Doc: "a vent ends away from windows, doors, intakes, walls beside it, the lot line and the ground",
	Why: "what leaves the vent comes in at the opening",
	Try: "move the end of the vent, so that {what the book asks} or more is between",
	Run: func(p *check.Pass) {
		lot, ground, face := p.Param("terminal.lot-line"), p.Param("terminal.above-grade"), p.Param("terminal.from-wall")
		_, wallRules := p.Book.Clause("terminal-side-wall")
		var ask open
		outdoors(p.Net, func(v network.VentID, x *network.Vent) {
			t := &x.Def.Terminal
			on := p.OnVent(v)
			wall := x.End == network.SideWall
			known := opening(p, v, x)
			measure := func(have job.Len, limit codebook.Param, from string) {
				p.Looked(1)
				if have.V < limit.Length {
					tooNear(p, on, have, limit, x.Name+" ends "+have.V.In(p.Job.Units)+from, "")
				}
			}
			// The distance from the lot line is for ends at a wall where the book has a
			// clause for these, else for every end.
			if given(lot) && (wall || !wallRules) {
				if t.LotLine.Set {
					measure(t.LotLine, lot, " from the lot line")
				} else if wall {
					known = false
				}
			}
			if !wall && given(face) {
				if known = known && t.FromWall.Set; t.FromWall.Set {
					measure(t.FromWall, face, " from a wall or other upright face")
				}
			}
			if wall && given(ground) {
				if known = known && t.AboveGrade.Set; t.AboveGrade.Set {
					measure(t.AboveGrade, ground, " above the ground")
				}
			}
			if !known && x.Def.State.Text != "existing" {
				ask.add(x.Name, on, x.Def.At)
			}
		})
		say := check.Say{
			Message: "what lies near the end of the vent is not given",
			Ask:     "how far is the end of the vent from the nearest window, door or intake (across, and above or below it), and at a wall from the lot line and the ground? write `from opening: 12'` and the like under `terminal`",
		}
		if given(face) {
			say.Ask = "how far is the end of the vent from the nearest window, door or intake (across, and above or below it), and from the nearest wall or other upright face? write `from opening: 12'`, `from wall: 2'` and the like under `terminal`"
		}
		ask.ask(p, say)
	},
}

// opening judges the nearest opening; false when what is given does not decide.
func opening(p *check.Pass, v network.VentID, x *network.Vent) (known bool) {
	across, over, under := p.Param("terminal.opening-across"), p.Param("terminal.opening-above"), p.Param("terminal.opening-below")
	barred := p.Param("terminal.beneath-barred")
	t := &x.Def.Terminal
	on := p.OnVent(v)
	if !given(across) {
		return true
	}
	beneath := t.BelowOpening.Set && t.BelowOpening.V > 0
	switch {
	case t.FromOpening.Set && t.FromOpening.V >= across.Length,
		given(over) && t.AboveOpening.Set && t.AboveOpening.V >= over.Length:
		p.Looked(1)
	case beneath && given(barred) && barred.Yes:
		p.Looked(1)
		p.Fault(on, t.BelowOpening.At, check.Say{Message: x.Name + " ends beneath an opening", Cite: barred.Cite, Try: "move the end of the vent out from under the opening, or take it through the roof"})
	case beneath && given(under):
		p.Looked(1)
		if t.BelowOpening.V < under.Length {
			tooNear(p, on, t.BelowOpening, under, x.Name+" ends "+t.BelowOpening.V.In(p.Job.Units)+" below an opening", "")
		}
	case t.FromOpening.Set && (beneath || t.AboveOpening.Set || !given(over)):
		p.Looked(1)
		tooNear(p, on, t.FromOpening, across, x.Name+" ends "+t.FromOpening.V.In(p.Job.Units)+" from an opening"+notAbove(p, t, over), orOver(p, over))
	case t.AboveOpening.Set && !t.FromOpening.Set, t.FromOpening.Set:
		return false
	default:
		return false
	}
	return true
}

func notAbove(p *check.Pass, t *job.Terminal, over codebook.Param) string {
	if t.AboveOpening.Set && given(over) {
		return " and only " + t.AboveOpening.V.In(p.Job.Units) + " above it (" + over.Length.In(p.Job.Units) + " would do)"
	}
	return ""
}

// orOver is what to do with an end beside an opening: away from it, or over it where the book
// lets that do.
func orOver(p *check.Pass, over codebook.Param) string {
	away := "move the end of the vent " + p.Param("terminal.opening-across").Length.In(p.Job.Units) + " or more from the opening"
	if !given(over) {
		return away
	}
	return away + ", or end it " + over.Length.In(p.Job.Units) + " or more above it"
}

// terminalWall: an end at a wall is one of the book's ways only where the book speaks of it.
var terminalWall = &check.Rule{
	ID: "vent-terminal-at-wall", Family: "terminals", Clause: "terminal-height",
	Doc: "a vent goes out at a wall only where the book has rules for such ends",
	Why: "a book that lets vents end above the roof alone leaves an end at a wall to the authority",
	Try: "run it up through the roof, or ask the authority",
	Run: func(p *check.Pass) {
		m := p.Param("terminal.side-wall")
		outdoors(p.Net, func(v network.VentID, x *network.Vent) {
			if x.End != network.SideWall {
				return
			}
			p.Looked(1)
			if given(m) && !m.Yes && x.Def.State.Text != "existing" {
				p.Warn(p.OnVent(v), x.Def.Ends.At, check.Say{Message: x.Name + " ends at a wall; this book lets a vent go out above the roof or into another vent", Cite: m.Cite})
			}
		})
	},
}

var terminalSoffit = &check.Rule{
	ID: "vent-terminal-under-soffit", Family: "terminals", Clause: "terminal-side-wall",
	Doc: "a vent at a wall does not end under a soffit that lets air into the roof",
	Why: "the damp gas goes up into the attic",
	Try: "move it away from the soffit, or take it through the roof",
	Run: func(p *check.Pass) {
		if m := p.Param("terminal.soffit-barred"); !given(m) || !m.Yes {
			return
		}
		outdoors(p.Net, func(v network.VentID, x *network.Vent) {
			t := &x.Def.Terminal
			switch {
			case x.End != network.SideWall && !t.Soffit.V:
			case t.Soffit.V:
				p.Looked(1)
				p.Fault(p.OnVent(v), t.Soffit.At, check.Say{Message: x.Name + " ends at the wall under a soffit"})
			case t.Soffit.Set:
				p.Looked(1)
			case x.Def.State.Text != "existing":
				p.Unchecked(p.OnVent(v), x.Def.At, check.Say{Message: x.Name + " ends at a wall, and whether that is under a soffit is not given", Ask: "does " + x.Name + " end under a soffit with openings into the roof? write `under soffit` under `terminal`"})
			}
		})
	},
}

// ventFreezes: a vent that runs outside the house.
var ventFreezes = &check.Rule{
	ID: "vent-freeze-outside", Family: "terminals", Clause: "vent-freeze",
	Doc: "a vent that runs outside is kept from freezing where winters are hard",
	Why: "frost closes it from the wall inwards",
	Try: "run it inside, or insulate or heat it",
	Run: func(p *check.Pass) {
		is, known := cold(p, "vent.freeze-design")
		for i := range p.Net.Vents {
			x := &p.Net.Vents[i]
			if w := x.Def.Where.Text; w != "outside" && w != "exterior wall" {
				continue
			}
			on := p.OnVent(network.VentID(i))
			switch {
			case !known:
				p.Unchecked(on, x.Def.At, check.Say{Message: x.Name + " runs outside or in an outside wall, and how cold it gets is not given", Ask: "what is the winter design temperature of the site? write `design temperature` under `climate`"})
			case is:
				p.Looked(1)
				p.Warn(on, x.Def.At, check.Say{Message: x.Name + " runs outside or in an outside wall, where it freezes at " + p.Job.Climate.Design.V.String() + "; it must be protected"})
			default:
				p.Looked(1)
			}
		}
	},
}
