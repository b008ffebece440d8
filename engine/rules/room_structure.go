package rules

import (
	"strings"

	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/framing"
	"trapweir/engine/job"
	"trapweir/engine/source"
	"trapweir/engine/unit"
)

// share reads the book's share for a hole or notch.
func share(p *check.Pass, what string) (s unit.Slope, cite *diag.Cite, state codebook.State) {
	t, ok := p.Book.Table("drill-notch")
	if !ok {
		return unit.Slope{}, nil, codebook.Absent
	}
	r, ok := t.RowByKey(what)
	if !ok || len(r.Cells) == 0 {
		return unit.Slope{}, nil, codebook.Absent
	}
	c := &r.Cells[0]
	if c.State == codebook.Given && !c.Share.Given() {
		return unit.Slope{}, nil, codebook.Absent
	}
	return c.Share, t.Cite, c.State
}

// bored visits what goes through a kind of member by a hole, or by a notch.
func bored(p *check.Pass, what string, notch bool, do func(b *framing.Bore, name string, on diag.Ref)) {
	for i := range p.Framing.Bores {
		b := &p.Framing.Bores[i]
		if b.What == what && (b.Cut != "hole") == notch {
			do(b, p.Net.Runs[b.Run].Name, p.OnRun(b.Run, b.Seg))
		}
	}
}

// noMember asks what a run goes through where the job does not say, and sends what a maker
// designs to its maker. It reports whether there is nothing to judge.
func noMember(p *check.Pass, b *framing.Bore, name string, on diag.Ref, what, key string) bool {
	def := p.Net.Runs[b.Run].Def
	at, goes := def.Through.What.At, " is cut through "
	if b.Found {
		at, goes = def.Where.At, " goes across "
	}
	switch {
	case b.Member == "":
		p.Unchecked(on, at, check.Say{Message: name + goes + what + ", and what they are is not given", Ask: "what " + what + " does " + name + " go through? write `" + key + "` at its level"})
	case !b.Sawn:
		p.Unchecked(on, at, check.Say{Message: name + goes + "the " + made(b.Member, what) + " of " + b.Level.Name + "; what may be cut there is for their maker or an engineer to say", Ask: "what hole does the maker's chart permit in the " + made(b.Member, what) + " of " + b.Level.Name + ", and where?"})
	default:
		return false
	}
	return true
}

// made is the plural of a member that a maker designs.
func made(member, what string) string {
	switch member {
	case "i-joist":
		return "i-joists"
	case "truss":
		return "trusses"
	}
	return member + " " + what
}

var joistHole = &check.Rule{
	ID: "joist-hole", Family: "room", Clause: "joist-hole",
	Doc: "a pipe that is bored through joists leaves them the share of their depth that the book asks, and their edges",
	Why: "a joist that is cut too deep sags or breaks under the floor",
	Try: "run beside the joists or below them, or have an engineer frame around it",
	Run: func(p *check.Pass) {
		bored(p, "joists", false, func(b *framing.Bore, name string, on diag.Ref) {
			at := p.Net.Runs[b.Run].Def.Through.What.At
			if b.Found {
				at = p.Net.Runs[b.Run].Def.Where.At
				if !b.Sawn && b.Count == 0 {
					return // how they lie does not matter until it is known what they are
				}
			}
			if noMember(p, b, name, on, "joists", "joists: 2x10") {
				return
			}
			part, cite, state := share(p, "joist hole")
			edge := p.Param("joist.hole-edge")
			if state != codebook.Given {
				p.Unchecked(on, at, check.Say{Message: name + ": the book gives no share for holes in joists", Ask: "how large a hole does the authority permit in a joist?"})
				return
			}
			most := part.Drop(b.Depth)
			if edge.State == codebook.Given {
				most = min(most, b.Depth-2*edge.Length)
			}
			if b.Found && b.Count == 0 {
				if b.OD > most {
					p.Unchecked(on, at, check.Say{Message: name + " goes " + b.Across.In(p.Job.Units) + " across the " + b.Member + " joists of " + b.Level.Name + ", and it is " + b.OD.Small(p.Job.Units) + " outside; a hole in one is at most " + most.Small(p.Job.Units), Ask: "how far apart do the joists of " + b.Level.Name + " stand, and is there one in its way? write `joist spacing: 16\"` at the level", Cite: cite})
				}
				return
			}
			p.Looked(1)
			if b.OD > most && b.Found {
				p.Fault(on, at, check.Say{
					Message: name + " goes " + b.Across.In(p.Job.Units) + " across the joists of " + b.Level.Name + ", through " + someOf(b.Count) + " of them, and is " + b.OD.Small(p.Job.Units) + " outside; a hole in a " + b.Member + " joist is at most " + most.Small(p.Job.Units),
					Got:     b.OD.Small(p.Job.Units), Limit: most.Small(p.Job.Units), Cite: cite,
					Try: "lay it along the joists, drop it below them, or have an engineer head them off",
				})
				return
			}
			if b.OD > most {
				p.Fault(on, at, check.Say{
					Message: name + " is " + b.OD.Small(p.Job.Units) + " outside; a hole in a " + b.Member + " joist is at most " + most.Small(p.Job.Units),
					Got:     b.OD.Small(p.Job.Units), Limit: most.Small(p.Job.Units), Cite: cite,
				})
				return
			}
			if edge.State != codebook.Given {
				return
			}
			// The holes wander with the fall from joist to joist.
			band := b.Depth - 2*edge.Length - min(b.Need, most)
			fall, sure := b.Fall, b.FallKnown
			if !sure && b.Slope.Given() {
				f := &p.Levels.Run[b.Run]
				if !f.LengthKnown || b.Slope.Drop(f.Level) <= band {
					return // even over its whole length it stays in
				}
				ask := "how many joists does " + name + " go through, and how far apart do they stand? write `through: {joists: 3}` and `joist spacing: 16\"`"
				p.Unchecked(on, at, check.Say{Message: name + " has room to fall " + band.Small(p.Job.Units) + " between the edges of " + b.Member + " joists, which takes " + b.Slope.RunFor(band).In(p.Job.Units) + ", and over how far it goes through them is not given", Ask: ask})
				return
			}
			if sure && fall > band {
				p.Fault(on, at, check.Say{
					Message: name + " falls " + fall.Small(p.Job.Units) + " from its first joist to its last; between the edges there is room for " + band.Small(p.Job.Units) + ", which at " + b.Slope.In(p.Job.Units) + " takes " + b.Slope.RunFor(band).Round(unit.Inch).In(p.Job.Units),
					Got:     fall.Small(p.Job.Units), Limit: band.Small(p.Job.Units), Cite: cite,
				})
			}
		})
	},
}

// someOf writes a least number: at least one, at least 3.
func someOf(n int) string {
	if n == 1 {
		return "at least one"
	}
	return "at least " + itoa(n)
}

// notched judges notches in members of one kind by a row of the book for each.
func notched(p *check.Pass, what, key string, rows func(b *framing.Bore) []string) {
	bored(p, what, true, func(b *framing.Bore, name string, on diag.Ref) {
		at := p.Net.Runs[b.Run].Def.Through.Cut.At
		if noMember(p, b, name, on, what, key) {
			return
		}
		one := strings.TrimSuffix(what, "s")
		list := rows(b)
		for i, row := range list {
			part, cite, state := share(p, row)
			switch {
			case state == codebook.Dash:
				p.Looked(1)
				p.Fault(on, at, check.Say{Message: name + " asks for a " + b.Cut + " of " + b.Member + " " + what + ", and the book permits none there", Got: b.Need.Small(p.Job.Units), Limit: "none", Cite: cite})
			case state != codebook.Given:
				p.Unchecked(on, at, check.Say{Message: name + ": the book gives no depth for a " + row, Ask: "how deep a " + row + " does the authority permit?"})
			case b.Need > part.Drop(b.Depth):
				most := part.Drop(b.Depth)
				p.Looked(1)
				say := check.Say{Message: name + " asks for a notch of " + b.Need.Small(p.Job.Units) + "; in a " + b.Member + " " + one + " " + most.Small(p.Job.Units) + " is the most", Got: b.Need.Small(p.Job.Units), Limit: most.Small(p.Job.Units), Cite: cite}
				if i == 0 && len(list) > 1 {
					// Too deep for a member that bears; the next row may still permit it.
					if next, _, st := share(p, list[1]); st == codebook.Given && b.Need <= next.Drop(b.Depth) {
						say.Message += " where it bears"
						p.Warn(on, at, say)
						return
					}
					continue
				}
				p.Fault(on, at, say)
			default:
				p.Looked(1)
			}
			return
		}
	})
}

var joistNotch = &check.Rule{
	ID: "joist-notch", Family: "room", Clause: "joist-notch",
	Doc: "a notch in a joist is no deeper and no longer than the book allows at its place",
	Why: "a joist is as strong as what is left below the notch",
	Try: "bore it instead, or go below the joists",
	Run: func(p *check.Pass) {
		notched(p, "joists", "joists: 2x10", func(b *framing.Bore) []string {
			switch b.Cut {
			case "notch at the end":
				return []string{"joist notch at the end"}
			case "notch in the middle third":
				return []string{"joist notch in the middle third"}
			}
			return []string{"joist notch in the outer thirds"}
		})
		// Along the joist a notch is as long at least as the pipe that crosses in it is wide.
		bored(p, "joists", true, func(b *framing.Bore, name string, on diag.Ref) {
			part, cite, state := share(p, "joist notch, how long")
			if b.Cut != "notch" || !b.Sawn || !b.ODSure || state != codebook.Given {
				return
			}
			p.Looked(1)
			if most := part.Drop(b.Depth); widerThan(b.OD, b.Need, most) {
				p.Fault(on, p.Net.Runs[b.Run].Def.Through.Cut.At, check.Say{
					Message: name + " is " + b.OD.Small(p.Job.Units) + " outside; along a " + b.Member + " joist a notch is at most " + most.Small(p.Job.Units) + " long",
					Got:     b.OD.Small(p.Job.Units), Limit: most.Small(p.Job.Units), Cite: cite,
				})
			}
		})
	},
}

// widerThan: a pipe that lies in a notch of a depth is wider there than so much. In a notch
// that is less than half as deep as the pipe is wide it is its chord that counts.
func widerThan(od, deep, most unit.Length) bool {
	if deep >= od/2 {
		return od > most
	}
	// chord^2 = 4 * deep * (od - deep); lengths are under a metre, squares fit
	return 4*int64(deep)*int64(od-deep) > int64(most)*int64(most)
}

var studHole = &check.Rule{
	ID: "stud-hole", Family: "room", Clause: "stud-hole",
	Doc: "a pipe that is bored through studs leaves them the share that the book asks",
	Why: "a stud that is bored too wide buckles",
	Try: "run below the floor, or fur the wall out",
	Run: func(p *check.Pass) {
		bored(p, "studs", false, func(b *framing.Bore, name string, on diag.Ref) {
			def := &p.Net.Runs[b.Run].Def.Through
			at := def.What.At
			if noMember(p, b, name, on, "studs", "studs: 2x4") {
				return
			}
			limit := func(row string) (unit.Length, *diag.Cite, bool) {
				part, cite, state := share(p, row)
				most := part.Drop(b.Depth)
				if edge := p.Param("stud.hole-edge"); edge.State == codebook.Given {
					most = min(most, b.Depth-2*edge.Length)
				}
				return most, cite, state == codebook.Given
			}
			hard, cite, okB := limit("bearing stud hole")
			if def.Doubled.V {
				hard, cite, okB = limit("doubled bearing stud hole")
			}
			free, _, okF := limit("nonbearing stud hole")
			if !okB || !okF {
				p.Unchecked(on, at, check.Say{Message: name + ": the book gives no share for holes in such studs", Ask: "how large a hole does the authority permit in a stud?"})
				return
			}
			p.Looked(1)
			plain, _, _ := limit("bearing stud hole")
			row, ok := number(p.Param("stud.doubled-in-row"))
			say := func(most unit.Length, words string) check.Say {
				return check.Say{Message: name + " is " + b.OD.Small(p.Job.Units) + " outside; " + words, Got: b.OD.Small(p.Job.Units), Limit: most.Small(p.Job.Units), Cite: cite}
			}
			switch {
			case b.OD > max(free, hard), def.Bearing.Set && !def.Bearing.V && b.OD > free:
				p.Fault(on, at, say(free, "a hole in a "+b.Member+" stud is at most "+free.Small(p.Job.Units)))
			case def.Doubled.V && def.Bearing.V && b.OD > plain && ok && int64(b.Count) > row:
				s := say(plain, itoa(b.Count)+" doubled studs in a row are bored; past "+plain.Small(p.Job.Units)+" no more than "+itoa(int(row))+" may be")
				s.Cite = p.Param("stud.doubled-in-row").Cite
				p.Fault(on, at, s)
			case b.OD <= hard, def.Bearing.Set && !def.Bearing.V:
			case def.Bearing.V:
				p.Fault(on, at, say(hard, "in a "+b.Member+" stud that bears, "+hard.Small(p.Job.Units)+" is the most"))
			default:
				p.Warn(on, at, say(hard, "in a "+b.Member+" stud that bears, "+hard.Small(p.Job.Units)+" is the most unless it is doubled"))
			}
		})
	},
}

var studNotch = &check.Rule{
	ID: "stud-notch", Family: "room", Clause: "stud-notch",
	Doc: "a notch in a stud is no deeper than the book allows",
	Why: "a stud that is cut too deep buckles",
	Try: "bore it instead, or fur the wall out",
	Run: func(p *check.Pass) {
		notched(p, "studs", "studs: 2x4", func(b *framing.Bore) []string {
			switch bears := p.Net.Runs[b.Run].Def.Through.Bearing; {
			case bears.Set && !bears.V:
				return []string{"nonbearing stud notch"}
			case bears.Set:
				return []string{"bearing stud notch"}
			}
			return []string{"bearing stud notch", "nonbearing stud notch"}
		})
	},
}

var topPlate = &check.Rule{
	ID: "top-plate", Family: "room", Clause: "top-plate",
	Doc: "a top plate that bears and is cut past the book's share of its width is tied over the opening",
	Why: "the plate ties the wall together; cut, it lets the wall part at the pipe",
	Try: "nail a metal tie over the opening, past it on both sides, as the book's note says, or build the wall of wider studs",
	Run: func(p *check.Pass) {
		part, cite, state := share(p, "top plate")
		if state != codebook.Given {
			return
		}
		var found []string
		var first *framing.Bore
		bored(p, "top plate", false, func(b *framing.Bore, name string, on diag.Ref) {
			run := &p.Net.Runs[b.Run]
			def := &run.Def.Through
			if b.Found && (b.Member == "" || !b.Sawn) || !b.Found && noMember(p, b, name, on, "plates of", "studs: 2x4") {
				return
			}
			p.Looked(1)
			most := part.Drop(b.Depth)
			if b.Need <= most {
				return
			}
			exterior := run.Def.Where.Text == "exterior wall"
			msg := name + " takes " + b.Need.Small(p.Job.Units) + " of a " + b.Member + " top plate, more than " + most.Small(p.Job.Units)
			switch {
			case b.Found:
				if first == nil {
					first = b
				}
				found = append(found, name)
			case def.Strap.V, def.Bearing.Set && !def.Bearing.V:
			case def.Bearing.V, exterior:
				p.Warn(on, def.What.At, check.Say{Message: msg + "; in a wall that bears, or an exterior one, a metal tie goes over it", Got: b.Need.Small(p.Job.Units), Limit: most.Small(p.Job.Units), Cite: cite})
			default:
				p.Unchecked(on, def.What.At, check.Say{Message: msg, Ask: "does the wall of " + name + " bear, or is it an exterior wall? write `through: {top plate: 1, bearing: yes, strap: yes}`", Cite: cite})
			}
		})
		if first != nil {
			p.Note(p.OnRun(first.Run, first.Seg), p.Net.Runs[first.Run].Def.At, check.Say{
				Message: names(found) + " " + verb(found, "takes", "take") + " more than " + part.Drop(first.Depth).Small(p.Job.Units) + " of a " + first.Member + " top plate; where that wall bears, or is an exterior wall, a metal tie goes over the opening",
				Got:     first.Need.Small(p.Job.Units), Limit: part.Drop(first.Depth).Small(p.Job.Units), Cite: cite,
			})
		}
	},
}

// names lists names once each, at most four of them.
func names(list []string) string {
	var o open
	seen := map[string]bool{}
	for _, s := range list {
		if !seen[s] {
			seen[s] = true
			o.add(s, diag.Ref{}, source.Span{})
		}
	}
	return o.list()
}

func verb(list []string, one, several string) string {
	for _, s := range list {
		if s != list[0] {
			return several
		}
	}
	return one
}

// thickest is more than a subfloor and its finish are commonly thick together. Where the
// job does not say, what would hang lower even so is short. Common practice.
const thickest = unit.Inch + unit.Inch/2

var joistRoom = &check.Rule{
	ID: "joist-room", Family: "room",
	Doc: "level pipe in a joist bay, with its hubs, keeps between floor and ceiling over its whole length",
	Why: "what hangs below the joists needs a lower ceiling, and is found out when the pipe is cut",
	Try: "shorten it, lay it flatter where the book permits, or drop it below the joists",
	Run: func(p *check.Pass) {
		asked := false
		low := map[*job.Level]*unknownFloor{}
		var levels []*unknownFloor
		for i := range p.Framing.Bays {
			b := &p.Framing.Bays[i]
			run := &p.Net.Runs[b.Run]
			on, at := p.OnRun(b.Run, b.Seg), run.Def.Where.At
			if !b.Sawn {
				if !asked {
					asked = true
					say := check.Say{Message: run.Name + " lies in the joists, and their depth is not known", Ask: "how deep are the joists that " + run.Name + " lies in? write `joists: 2x10` at its level"}
					if b.Member != "" && b.FallKnown {
						say = check.Say{Message: run.Name + " lies between " + made(b.Member, "joists") + ", whose depth is their maker's; with its hubs and its fall it needs " + about(p, b.Most+b.Fall), Ask: "how deep are the " + made(b.Member, "joists") + " of " + b.Level.Name + ", and is there " + about(p, b.Most+b.Fall) + " between their flanges?"}
					}
					p.Unchecked(on, at, say)
				}
				continue
			}
			if !b.FallKnown {
				continue
			}
			p.Looked(1)
			if need := b.Least + b.Fall; need > b.Depth {
				msg := run.Name + " needs " + about(p, need) + " (its hubs and " + b.Fall.Small(p.Job.Units) + " of fall), and the joists are " + b.Depth.Small(p.Job.Units) + " deep"
				if b.OD+b.Fall > b.Depth {
					need = b.OD + b.Fall
					msg = run.Name + " needs " + about(p, need) + " (its outside and " + b.Fall.Small(p.Job.Units) + " of fall), and the joists are " + b.Depth.Small(p.Job.Units) + " deep"
				}
				say := check.Say{Message: msg, Got: about(p, need), Limit: b.Depth.Small(p.Job.Units)}
				if b.Longest > 0 {
					say.Try = "at " + b.Slope.In(p.Job.Units) + " it can run " + b.Longest.Round(unit.Inch).In(p.Job.Units) + " between such joists; shorten it, lay it flatter where the book permits, or drop it below them"
				}
				p.Fault(on, at, say)
				continue
			}
			if b.Most+b.Fall > b.Depth {
				p.Unchecked(on, at, check.Say{Message: run.Name + " needs " + about(p, b.Least+b.Fall) + " to " + about(p, b.Most+b.Fall) + " with its hubs and its fall, and the joists are " + b.Depth.Small(p.Job.Units) + " deep", Ask: "how wide are the hubs of the fittings on " + run.Name + "?"})
				continue
			}
			if hang(p, b, on) {
				open := low[b.Level]
				if open == nil {
					open = &unknownFloor{}
					low[b.Level] = open
					levels = append(levels, open)
				}
				open.level, open.most = b, max(open.most, lowestHub(b))
				open.add(run.Name, on, at)
			}
		}
		for _, o := range levels {
			b := o.level
			o.ask(p, check.Say{
				Message: "below the " + b.Member + " joists of " + b.Level.Name + " by up to " + about(p, o.most) + " at the lowest hub, less what lies over the joists",
				Ask:     "how thick are the subfloor and the finished floor of " + b.Level.Name + " together? write `subfloor: 3/4\"` at the level",
			})
		}
	},
}

// unknownFloor gathers the runs that may hang below the joists of one level.
type unknownFloor struct {
	open
	level *framing.Bay
	most  unit.Length
}

// lowestHub is how far the hubs of a run may reach below the joists, with nothing over them
// but what the job says.
func lowestHub(b *framing.Bay) unit.Length {
	if b.DropKnown {
		return b.Drop + b.Fall + b.Most/2 - b.Depth - b.Subfloor
	}
	return b.Under.V - b.Subfloor - b.Bottom.V + (b.Most-b.OD)/2
}

// hang judges how low a run in a joist bay hangs, by its drop from the floor, or by its
// height. It reports whether that turns on how thick the floor is.
func hang(p *check.Pass, b *framing.Bay, on diag.Ref) (thickness bool) {
	if !b.DropKnown && (!b.Bottom.Known || !b.Under.Known) {
		return false
	}
	run := &p.Net.Runs[b.Run]
	at := run.Def.Where.At
	most := lowestHub(b)
	least := most - (b.Most-b.Least)/2
	if !b.SubfloorKnown {
		least -= thickest
	}
	switch {
	case least > 0:
		p.Fault(on, at, check.Say{Message: run.Name + " hangs " + about(p, least) + " or more below the " + b.Member + " joists of " + b.Level.Name + " at its lowest hub", Got: about(p, least), Limit: "0 in"})
	case most.Round(unit.Inch/8) > 0 && !b.SubfloorKnown:
		return true
	case most.Round(unit.Inch/8) > 0: // hubs are estimates: less than that is none
		p.Unchecked(on, at, check.Say{Message: run.Name + " may hang up to " + about(p, most) + " below the " + b.Member + " joists of " + b.Level.Name + ", as wide as its hubs are", Ask: "how wide are the hubs of the fittings on " + run.Name + "?"})
	}
	return false
}

// about is a measure that comes of estimates, to the nearest eighth of an inch, or 5 mm.
func about(p *check.Pass, l unit.Length) string {
	step := unit.Inch / 8
	if p.Job.Units == unit.Metric {
		step = 5 * unit.Millimetre
	}
	return l.Round(step).Small(p.Job.Units)
}

var wallRoom = &check.Rule{
	ID: "wall-room", Family: "room",
	Doc: "an upright in a wall, with the hubs of the fittings that stand in it, is narrower than its studs",
	Why: "the hubs of a 3 in stack stand out of a wall of 2x4 studs, and the board does not go on",
	Try: "build the wall of 2x6 studs, or fur it out",
	Run: func(p *check.Pass) {
		asked := false
		for i := range p.Framing.Walls {
			x := &p.Framing.Walls[i]
			run := &p.Net.Runs[x.Run]
			on, at := p.OnRun(x.Run, x.Seg), run.Def.Where.At
			if !x.Sawn {
				if !asked {
					asked = true
					p.Unchecked(on, at, check.Say{Message: run.Name + " stands in a wall, and the depth of its studs is not known", Ask: "what studs is the wall of " + run.Name + " built of? write `studs: 2x6` at its level"})
				}
				continue
			}
			p.Looked(1)
			hubs := "its hubs are about " + about(p, x.Least) + " to " + about(p, x.Most) + " wide"
			if x.Least == x.Most {
				hubs = "its hubs are " + x.Least.Small(p.Job.Units) + " wide"
			}
			switch {
			case x.OD >= x.Depth:
				msg := run.Name + " is " + x.OD.Small(p.Job.Units) + " outside, and the studs are " + x.Depth.Small(p.Job.Units) + " deep: there is no room for its hubs"
				if x.Least > 0 {
					msg += ", " + strings.TrimPrefix(hubs, "its hubs are ")
				}
				p.Warn(on, at, check.Say{Message: msg, Got: x.OD.Small(p.Job.Units), Limit: "under " + x.Depth.Small(p.Job.Units)})
			case x.Fitting != "" && x.Least >= x.Depth:
				p.Warn(on, at, check.Say{Message: run.Name + " stands in " + x.Member + " studs, " + x.Depth.Small(p.Job.Units) + " deep, with " + x.Fitting + " in the wall, and " + hubs, Got: about(p, x.Least), Limit: "under " + x.Depth.Small(p.Job.Units)})
			case x.Fitting != "" && x.Most >= x.Depth:
				p.Unchecked(on, at, check.Say{Message: run.Name + " stands in " + x.Member + " studs, " + x.Depth.Small(p.Job.Units) + " deep, with " + x.Fitting + " in the wall, and " + hubs, Ask: "how wide is " + x.Fitting + " on " + run.Name + ", hub and all?"})
			case x.Fitting == "" && !x.Sure && x.Least >= x.Depth:
				p.Unchecked(on, at, check.Say{Message: run.Name + " fits into " + x.Member + " studs, " + x.Depth.Small(p.Job.Units) + " deep; " + hubs, Ask: "does a fitting or a coupling of " + run.Name + " stand in the wall, or only in the floors?"})
			}
		}
	},
}

var crawlRoom = &check.Rule{
	ID: "crawl-room", Family: "room",
	Doc: "pipe in a crawl space hangs clear of the earth",
	Why: "pipe that lies on the earth cannot be hung to its fall, and is stepped on",
	Try: "lay it higher, or write `place: under ground` if it is meant to lie in the earth",
	Run: func(p *check.Pass) {
		for i := range p.Framing.Crawls {
			c := &p.Framing.Crawls[i]
			run := &p.Net.Runs[c.Run]
			on, at := p.OnRun(c.Run, c.Seg), run.Def.Where.At
			switch {
			case c.Clear >= 0:
				p.Looked(1)
			case c.Sure:
				p.Looked(1)
				p.Fault(on, at, check.Say{Message: run.Name + " comes " + (-c.Clear).Small(p.Job.Units) + " into the earth of the crawl space", Got: (-c.Clear).Small(p.Job.Units), Limit: "0 in", Try: "lay it " + (-c.Clear).Small(p.Job.Units) + " or more higher, or write `place: under ground` if it is meant to lie in the earth"})
			default:
				say := check.Say{Message: run.Name + " lies " + (-c.Clear).Small(p.Job.Units) + " lower than the grade outside, in a crawl space", Ask: "how high is the crawl space, from the earth to the joists? write `crawl height: 3'` at its level"}
				if c.High {
					say.Ask = "how deep are the joists over the crawl space? write `joists: 2x10` at its level"
				}
				p.Unchecked(on, at, say)
			}
		}
	},
}

var shieldPlate = &check.Rule{
	ID: "shield-plate", Family: "advice", Clause: "shield",
	Doc: "says where bored studs and plates need shield plates, and how many",
	Why: "a nail that goes through the pipe leaks for years behind the board",
	Try: "nail a plate over each place, past the pipe",
	Run: func(p *check.Pass) {
		var passing []string
		var first *framing.Plates
		total := 0
		for i := range p.Framing.Plates {
			x := &p.Framing.Plates[i]
			run := &p.Net.Runs[x.Run]
			if x.What == "" || x.Member == "" || x.Clear == 0 && x.Count == 0 {
				continue
			}
			p.Looked(1)
			if run.Def.Through.What.Text != x.What {
				if first == nil {
					first = x
				}
				passing = append(passing, run.Name)
				total += x.Count
				continue
			}
			count := ""
			if x.Count > 0 {
				count = ", " + itoa(x.Count) + " in all"
			}
			msg := run.Name + " lies within " + x.Limit.Small(p.Job.Units) + " of the faces of " + x.Member + " " + x.What + ": a shield plate on both faces of each" + count
			if strings.HasSuffix(x.What, " plate") {
				msg = run.Name + " lies within " + x.Limit.Small(p.Job.Units) + " of the faces of a " + x.Member + " " + x.What + ": a shield plate on both faces" + count
			}
			if run.Def.Through.Cut.Given() && run.Def.Through.Cut.Text != "hole" {
				msg = run.Name + " lies in notches of " + x.Member + " " + x.What + ": a plate over each" + count
			}
			p.Note(p.OnRun(x.Run, x.Seg), run.Def.Through.What.At, check.Say{Message: msg, Got: x.Clear.Round(unit.Sixtyfourth).Small(p.Job.Units), Limit: x.Limit.Small(p.Job.Units), Cite: x.Cite})
		}
		if first != nil {
			p.Note(p.OnRun(first.Run, first.Seg), p.Net.Runs[first.Run].Def.At, check.Say{
				Message: names(passing) + " " + verb(passing, "passes", "pass") + " within " + first.Limit.Small(p.Job.Units) + " of the faces of top or sole plates of " + first.Member + " walls: a shield plate on both faces of each, " + itoa(total) + " in all",
				Got:     first.Clear.Round(unit.Sixtyfourth).Small(p.Job.Units), Limit: first.Limit.Small(p.Job.Units), Cite: first.Cite,
			})
		}
	},
}

var sleeveThrough = &check.Rule{
	ID: "sleeve-through-concrete", Family: "room", Clause: "sleeve",
	Doc: "pipe through a footing, a foundation wall or the edge of a slab goes through a sleeve or is wrapped",
	Why: "concrete moves and its edge shears the pipe",
	Try: "set {a sleeve} and write `sleeve: true` at the outlet, or wrap it; ask before a footing is cut",
	Run: func(p *check.Pass) {
		for i := range p.Net.Runs {
			run := &p.Net.Runs[i]
			w := run.Def.Through.What
			if w.Text != "footing" && w.Text != "slab edge" || len(run.Segs) == 0 || existing(run) {
				continue
			}
			s := run.Segs[len(run.Segs)-1]
			p.Looked(1)
			if f := p.Job.Outlet.Sleeve; f.Set && f.V {
				continue
			}
			say := check.Say{Message: run.Name + " goes through a " + w.Text + ", and no sleeve is noted", Got: "no sleeve", Limit: "a sleeve"}
			if up, ok := number(p.Param("sleeve.sizes-up")); ok {
				size := p.Sizes.Size[s]
				for range up {
					if next, ok := unit.NextSize(size); ok {
						size = next
					}
				}
				say.Limit = "a sleeve of " + size.String()
				say.Message += "; " + size.String() + " is " + itoa(int(up)) + " sizes up"
			}
			p.Warn(p.OnRun(p.Net.Segs[s].Run, s), w.At, say)
		}
	},
}
