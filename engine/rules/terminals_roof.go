package rules

import (
	"trapweir/engine/check"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// outdoors visits the vents that end in the open air.
func outdoors(n *network.Net, visit func(v network.VentID, x *network.Vent)) {
	for i := range n.Vents {
		if x := &n.Vents[i]; x.End == network.ThroughRoof || x.End == network.SideWall {
			visit(network.VentID(i), x)
		}
	}
}

// cold reports whether the site is as cold as a param says, and whether that is known.
func cold(p *check.Pass, param string) (is, known bool) {
	limit, t := p.Param(param), p.Job.Climate.Design
	if !given(limit) {
		return false, true
	}
	return t.Set && t.V <= limit.Temp, t.Set
}

// terminalHeight takes the book's height over the roof, over the snow that is to be
// expected where the book counts from there, and the greater height of cold sites.
var terminalHeight = &check.Rule{
	ID: "vent-terminal-height", Family: "terminals", Clause: "terminal-height",
	Doc: "a vent ends high enough over the roof, and over the snow where the book asks it",
	Why: "snow and leaves close a low one",
	Try: "run it up to {what the book asks} or more above the roof",
	Run: func(p *check.Pass) {
		base := p.Param("terminal.above-roof")
		if !given(base) {
			return
		}
		snow := p.Param("terminal.above-snow")
		least, cite := base.Length, base.Cite
		why := ""
		if given(snow) && snow.Yes && p.Job.Climate.Snow.Set && p.Job.Climate.Snow.V > 0 {
			least += p.Job.Climate.Snow.V
			why = ", " + base.Length.Small(p.Job.Units) + " over " + p.Job.Climate.Snow.V.Small(p.Job.Units) + " of snow"
		}
		if more := p.Param("terminal.frost-above-roof"); given(more) && more.Length > least {
			if is, _ := cold(p, "terminal.frost-design"); is {
				least, cite, why = more.Length, more.Cite, ", where it is so cold"
			}
		}
		_, covers := p.Book.Clause("terminal-covered")
		var ask open
		outdoors(p.Net, func(v network.VentID, x *network.Vent) {
			t := &x.Def.Terminal
			if x.End != network.ThroughRoof || t.OccupiedRoof.V || covers && t.Covered.V {
				return
			}
			switch {
			case t.AboveRoof.Set:
				p.Looked(1)
				if t.AboveRoof.V < least {
					p.Fault(p.OnVent(v), t.AboveRoof.At, check.Say{
						Message: x.Name + " ends " + t.AboveRoof.V.Small(p.Job.Units) + " above the roof; " + least.Small(p.Job.Units) + " is the least" + why,
						Got:     t.AboveRoof.V.Small(p.Job.Units), Limit: least.Small(p.Job.Units), Cite: cite,
					})
				}
			case x.Def.State.Text != "existing":
				ask.add(x.Name, p.OnVent(v), x.Def.At)
			}
		})
		askCold(p, least)
		say := check.Say{
			Message: "how high it ends above the roof is not given",
			Ask:     "how high above the roof does it end? write `above roof: 12\"` under `terminal`",
			Limit:   least.Small(p.Job.Units), Cite: cite,
		}
		if given(snow) && snow.Yes && !p.Job.Climate.Snow.Set {
			say.Ask = "how high above the roof does it end, and how deep may snow lie there? write `above roof: 12\"` under `terminal` and `snow` under `climate`"
		}
		ask.ask(p, say)
		askSnow(p, len(ask.names) > 0, given(snow) && snow.Yes)
	},
}

// askCold asks for the cold where the greater height of cold sites would decide.
func askCold(p *check.Pass, least unit.Length) {
	more := p.Param("terminal.frost-above-roof")
	if _, known := cold(p, "terminal.frost-design"); known || !given(more) || more.Length <= least {
		return
	}
	var ask open
	outdoors(p.Net, func(v network.VentID, x *network.Vent) {
		if h := x.Def.Terminal.AboveRoof; x.End == network.ThroughRoof && h.Set && h.V >= least && h.V < more.Length {
			ask.add(x.Name, p.OnVent(v), x.Def.At)
		}
	})
	ask.ask(p, check.Say{
		Message: "it is high enough unless winters are hard, and how cold it gets is not given",
		Ask:     "what is the winter design temperature of the site? write `design temperature` under `climate`",
		Limit:   more.Length.Small(p.Job.Units), Cite: more.Cite,
	})
}

// askSnow asks for the depth of snow where heights are given and only the snow is not.
func askSnow(p *check.Pass, asked, counts bool) {
	if asked || !counts || p.Job.Climate.Snow.Set {
		return
	}
	var ask open
	outdoors(p.Net, func(v network.VentID, x *network.Vent) {
		if x.End == network.ThroughRoof && x.Def.Terminal.AboveRoof.Set {
			ask.add(x.Name, p.OnVent(v), x.Def.At)
		}
	})
	ask.ask(p, check.Say{
		Message: "how deep snow may lie on the roof is not given",
		Ask:     "what depth of snow is to be expected on the roof? write `snow: 0\"` or its depth under `climate`",
	})
}

var terminalOccupied = &check.Rule{
	ID: "vent-terminal-occupied-roof", Family: "terminals", Clause: "terminal-occupied",
	Doc: "over a roof that people use a vent ends above their heads",
	Why: "sewer gas, where people sit",
	Try: "run it up to {what the book asks} or more above that roof, or move it off the terrace",
	Run: func(p *check.Pass) {
		limit := p.Param("terminal.occupied-roof")
		outdoors(p.Net, func(v network.VentID, x *network.Vent) {
			t := &x.Def.Terminal
			switch {
			case !given(limit) || !t.OccupiedRoof.V:
			case !t.AboveRoof.Set:
				p.Unchecked(p.OnVent(v), x.Def.At, check.Say{Message: x.Name + " ends over a roof that is used, and how high is not given", Ask: "how high above the roof does " + x.Name + " end? write `above roof` under `terminal`", Limit: limit.Length.In(p.Job.Units), Cite: limit.Cite})
			default:
				p.Looked(1)
				if t.AboveRoof.V < limit.Length {
					p.Fault(p.OnVent(v), t.AboveRoof.At, check.Say{Message: x.Name + " ends " + t.AboveRoof.V.In(p.Job.Units) + " above a roof that is used; " + limit.Length.In(p.Job.Units) + " is the least", Got: t.AboveRoof.V.In(p.Job.Units), Limit: limit.Length.In(p.Job.Units), Cite: limit.Cite})
				}
			}
		})
	},
}

var terminalFrost = &check.Rule{
	ID: "vent-terminal-frost", Family: "terminals", Clause: "terminal-frost",
	Doc: "where winters are hard a vent goes through the roof in a larger size, enlarged inside the house",
	Why: "the damp air of the drains freezes at the mouth of a small vent and closes it",
	Run: func(p *check.Pass) {
		design, size, inside := p.Param("terminal.frost-design"), p.Param("terminal.frost-size"), p.Param("terminal.frost-inside")
		if !given(size) {
			return
		}
		is, known := cold(p, "terminal.frost-design")
		if given(design) && known && !is {
			p.Looked(1)
			return
		}
		var ask open
		outdoors(p.Net, func(v network.VentID, x *network.Vent) {
			t := &x.Def.Terminal
			have := t.Size.V
			if have == 0 {
				have = p.Vents.Size[v].Size
			}
			small := have < size.Size
			switch {
			case !known && small:
				ask.add(x.Name, p.OnVent(v), x.Def.At)
			case !known:
				p.Looked(1)
			case small:
				p.Looked(1)
				where := ""
				if given(design) {
					where = "where it is so cold "
				}
				p.Fault(p.OnVent(v), x.Def.At, check.Say{
					Message: x.Name + " goes out in " + have.String() + "; " + where + size.Size.String() + " is the least",
					Got:     have.String(), Limit: size.Size.String(), Cite: size.Cite,
					Try: enlarge(p, size.Size, inside.Length, given(inside)),
				})
			case given(inside) && t.EnlargedInside.Set && t.EnlargedInside.V < inside.Length:
				p.Looked(1)
				p.Fault(p.OnVent(v), t.EnlargedInside.At, check.Say{
					Message: x.Name + " is enlarged " + t.EnlargedInside.V.Small(p.Job.Units) + " inside; " + inside.Length.Small(p.Job.Units) + " is the least",
					Got:     t.EnlargedInside.V.Small(p.Job.Units), Limit: inside.Length.Small(p.Job.Units), Cite: inside.Cite, Try: "enlarge it " + inside.Length.Small(p.Job.Units) + " or more below the roof, in the warm",
				})
			default:
				p.Looked(1)
			}
		})
		ask.ask(p, check.Say{
			Message: "whether it may freeze shut is not known without the winter design temperature",
			Ask:     "what are the winter design temperature and the expected snow of the site? write `design temperature` and `snow` under `climate`",
			Limit:   size.Size.String(), Cite: size.Cite,
		})
	},
}

func enlarge(p *check.Pass, size unit.Size, inside unit.Length, known bool) string {
	s := "enlarge it to " + size.String()
	if known {
		s += ", at least " + inside.In(p.Job.Units) + " below the roof in the warm"
	}
	return s
}
