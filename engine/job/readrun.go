package job

import (
	"strings"

	"go.yaml.in/yaml/v4"

	"trapweir/engine/diag"
	"trapweir/engine/source"
	"trapweir/engine/unit"
)

func (r *reader) runs(j *Job, n *yaml.Node) {
	if r.names == nil {
		r.names = make(map[string]source.Span, len(n.Content)/2+8)
	}
	if n.Kind == yaml.MappingNode {
		j.Runs = make([]Run, 0, len(n.Content)/2)
		if len(n.Content) == 0 {
			r.fault(r.span(n), "the job has no runs", "write NAME: {joins: outlet} below `runs:`, indented")
		}
	}
	r.named(n, "runs", diag.Run, r.names, func(name string, k, v *yaml.Node) {
		j.Runs = append(j.Runs, Run{Name: name, At: r.span(k)})
		r.run(&j.Runs[len(j.Runs)-1], k, v)
	})
}

func (r *reader) run(u *Run, k, n *yaml.Node) {
	if empty(n) {
		r.fault(u.At, "found nothing, expected a mapping with `joins`", "write "+u.Name+": {joins: outlet}, or the run that it drains into")
		return
	}
	var ofFixture *yaml.Node // the first key that only a fixture has
	var legs *yaml.Node
	r.each(n, "", runKeys, func(key string, k, v *yaml.Node) bool {
		switch key {
		case "joins":
			r.word(&u.Joins, key, v)
		case "at":
			r.place(&u.Place, key, v)
		case "legs":
			legs = k
			r.legs(&u.Legs, key, v, false)
		case "arm":
			r.legs(&u.Arm, key, v, true)
		case "length":
			r.length(&u.Length, key, v)
		case "lies":
			r.lies(&u.Lies, v)
		case "bends":
			r.bends(&u.Bends, key, v)
		case "slope":
			r.slope(&u.Slope, key, v)
		case "size":
			r.size(&u.Size, key, v)
		case "material":
			r.oneOf(&u.Mater, key, v, materialWords)
		case "existing", "remove", "new":
			r.state(&u.State, key, v)
		case "role":
			r.oneOf(&u.Role, key, v, runRoleWords)
		case "place":
			r.oneOf(&u.Where, key, v, whereWords)
		case "fitting":
			r.oneOf(&u.Fitting, key, v, fittingWords)
		case "turn":
			r.wordList(&u.Turns, key, v, turnWords)
		case "bend":
			r.closetBend(&u.Bend, v)
		case "vented":
			r.oneOf(&u.Vented, key, v, ventedWords)
		case "invert":
			r.inverts(u, v)
		case "weir":
			r.height(&u.Weir, key, v)
		case "cleanouts":
			r.cleanouts(&u.Clean, v)
		case "carries":
			r.carries(&u.Carries, k, v)
		case "basin":
			r.basin(&u.Basin, k, v)
		case "devices":
			r.wordList(&u.Devices, key, v, deviceWords)
		case "through":
			r.through(&u.Through, v)
		case "joint":
			r.oneOf(&u.Joint, key, v, jointWords)
		case "room":
			r.word(&u.Room, key, v)
		case "level":
			r.word(&u.Level, key, v)
		case "note":
			r.word(&u.Note, key, v)
		case "fixture":
			r.word(&u.Fixture.Kind, key, v)
		default:
			if !r.fixture(&u.Fixture, key, v) {
				return false
			}
			if ofFixture == nil {
				ofFixture = k
			}
		}
		return true
	})
	if n.Kind != yaml.MappingNode {
		return
	}
	if !has(n, "joins") {
		r.fault(u.At, "does not say what it joins", "write `joins: outlet`, or the name of the run that it drains into")
	}
	if ofFixture != nil && !has(n, "fixture") {
		r.fault(r.span(ofFixture), "the key "+quoted(ofFixture.Value)+" tells of a fixture, and no fixture stands here", "write `fixture: KIND` too, or leave the key out")
	}
	if legs != nil && has(n, "length") {
		r.fault(r.span(legs), "legs and a length are both given", "leave `length` out; the legs add up to it")
	}
}

// fixture reads what changes a fixture's load or trap; false for a key that it does not know.
func (r *reader) fixture(f *Fixture, key string, v *yaml.Node) bool {
	switch key {
	case "flush":
		r.volume(&f.Flush, key, v)
	case "flow":
		r.flow(&f.Flow, key, v)
	case "heads":
		r.count(&f.Heads, key, v, 1)
	case "outlets":
		r.count(&f.Outlets, key, v, 1)
	case "bowls":
		r.count(&f.Bowls, key, v, 1)
	case "disposer":
		r.flag(&f.Disposer, key, v)
	case "dishwasher":
		r.flag(&f.Dishwasher, key, v)
	case "use":
		r.oneOf(&f.Use, key, v, useWords)
	case "units":
		r.units(&f.Units, key, v)
	case "trap":
		r.size(&f.Trap, key, v)
	case "trap type":
		r.oneOf(&f.TrapType, key, v, trapTypeWords)
	case "outlet to weir":
		r.each(v, key, outletToWeirKeys, func(k string, _, v *yaml.Node) bool {
			switch k {
			case "down":
				r.length(&f.OutDown, "outlet to weir, down", v)
			case "across":
				r.length(&f.OutAcross, "outlet to weir, across", v)
			default:
				return false
			}
			return true
		})
	case "standpipe":
		r.length(&f.Standpipe, key, v)
	case "trap above floor":
		r.height(&f.TrapHigh, key, v)
	case "rim":
		r.height(&f.Rim, key, v)
	case "serves":
		r.wordList(&f.Serves, key, v, nil)
	case "apart":
		r.length(&f.Apart, key, v)
	case "emergency":
		r.flag(&f.Emergency, key, v)
	case "primer":
		r.flag(&f.Primer, key, v)
	case "clear side":
		r.length(&f.ClearSide, key, v)
	case "clear front":
		r.length(&f.ClearFront, key, v)
	case "air gap":
		r.flag(&f.AirGap, key, v)
	case "high loop":
		r.flag(&f.HighLoop, key, v)
	case "future":
		r.flag(&f.Future, key, v)
	case "island":
		r.flag(&f.Island, key, v)
	case "location":
		r.word(&f.Location, key, v)
	case "drain":
		r.word(&f.Drain, key, v)
	default:
		return false
	}
	return true
}

// lies reads level, upright or degrees from plumb.
func (r *reader) lies(dst *Word, n *yaml.Node) {
	s, ok := r.scalar(n, "lies", "level, upright or degrees from plumb")
	if !ok {
		return
	}
	if v, ok := number(s); ok {
		if v > 90 {
			r.fault(r.span(n), "lies "+quoted(s)+" is more than 90 degrees from plumb", "write degrees from plumb: 45")
			return
		}
		*dst = Word{Text: digits(s), At: r.span(n)}
		return
	}
	r.oneOf(dst, "lies", n, liesWords)
}

// state reads existing, remove and new, of which one can be true.
func (r *reader) state(dst *Word, key string, n *yaml.Node) {
	var f Flag
	r.flag(&f, key, n)
	if !f.V {
		return
	}
	if dst.Given() {
		r.fault(f.At, "is both "+dst.Text+" and "+key, "keep one of them")
		return
	}
	*dst = Word{Text: key, At: f.At}
}

// closetBend reads 4x3.
func (r *reader) closetBend(dst *Word, n *yaml.Node) {
	s, ok := r.scalar(n, "bend", "a closet bend such as 4x3")
	if !ok {
		return
	}
	a, b, cut := strings.Cut(strings.ReplaceAll(strings.ToLower(strings.TrimSpace(s)), "×", "x"), "x")
	from, err := unit.ParseSize(a)
	to, err2 := unit.ParseSize(b)
	if !cut || err != nil || err2 != nil || from < to {
		r.fault(r.span(n), "bend "+quoted(s)+" is not a closet bend", "write the inlet, x and the outlet: 4x3")
		return
	}
	*dst = Word{Text: strings.TrimSpace(a) + "x" + strings.TrimSpace(b), At: r.span(n)}
}

func (r *reader) inverts(u *Run, n *yaml.Node) {
	r.each(n, "invert", invertKeys, func(key string, _, v *yaml.Node) bool {
		switch key {
		case "upper":
			r.height(&u.InvUp, "invert, upper", v)
		case "lower":
			r.height(&u.InvLow, "invert, lower", v)
		default:
			return false
		}
		return true
	})
}

func (r *reader) cleanouts(to *[]Cleanout, n *yaml.Node) {
	items := []*yaml.Node{n}
	if n.Kind == yaml.SequenceNode {
		items = n.Content
	}
	for _, c := range items {
		co := Cleanout{At: r.span(c)}
		if c.Kind != yaml.MappingNode {
			r.place(&co.Place, "cleanout", c)
			if co.Place.Kind != NotSaid {
				*to = append(*to, co)
			}
			continue
		}
		r.each(c, "cleanouts", cleanoutKeys, func(key string, _, v *yaml.Node) bool {
			switch key {
			case "at":
				r.place(&co.Place, "cleanouts, at", v)
			case "type":
				r.oneOf(&co.Type, "cleanouts, type", v, cleanoutWords)
			case "size":
				r.sizeBy(unit.ParsePlug, &co.Size, "cleanouts, size", v)
			case "reach":
				r.oneOf(&co.Reach, "cleanouts, reach", v, reachWords)
			case "clearance":
				r.length(&co.Clearance, "cleanouts, clearance", v)
			default:
				return false
			}
			return true
		})
		*to = append(*to, co)
	}
}

// carries reads the mapping, or in short: 13 units, lavatory, [2 water closets, bathtub].
func (r *reader) carries(c *Carries, k, n *yaml.Node) {
	c.At = r.span(k)
	if n.Kind != yaml.MappingNode {
		for _, it := range r.items(n, "carries") {
			s, ok := r.scalar(it, "carries", "fixtures or units")
			if !ok {
				continue
			}
			c.Set = true
			at := r.span(it)
			for s != "" {
				var part string
				part, s = cutAnd(s)
				if part == "" {
					continue
				}
				if isUnits(part) {
					v, err := unit.ParseLoad(part)
					if err != nil {
						r.unitErr(it, "carries", err)
						continue
					}
					c.Units = Units{V: c.Units.V + v, At: at, Set: true}
					continue
				}
				c.Fixtures = append(c.Fixtures, Word{Text: part, At: at})
			}
		}
		if len(c.Fixtures) > 0 {
			c.Units, c.More = Units{}, c.Units
		}
		return
	}
	c.Set = true
	r.each(n, "carries", carriesKeys, func(key string, _, v *yaml.Node) bool {
		switch key {
		case "units":
			r.units(&c.Units, "carries, units", v)
		case "water closets":
			r.count(&c.Closets, "carries, water closets", v, 0)
		case "fixtures":
			r.wordList(&c.Fixtures, "carries, fixtures", v, nil)
		case "note":
			r.word(&c.Note, "carries, note", v)
		case "level":
			r.word(&c.Level, "carries, level", v)
		default:
			return false
		}
		return true
	})
}

// cutAnd takes the part before a comma or the word and.
func cutAnd(s string) (part, rest string) {
	for i := range len(s) {
		if s[i] == ',' {
			return strings.TrimSpace(s[:i]), s[i+1:]
		}
		if s[i] == ' ' && strings.HasPrefix(s[i:], " and ") {
			return strings.TrimSpace(s[:i]), s[i+5:]
		}
	}
	return strings.TrimSpace(s), ""
}

// isUnits tells 13 units, 4.5 dfu and a bare number from 2 lavatories.
func isUnits(s string) bool {
	if s[0] < '0' || s[0] > '9' {
		return false
	}
	i := len(s)
	for i > 0 && letter(s[i-1]) {
		i--
	}
	switch strings.ToLower(s[i:]) {
	case "", "unit", "units", "dfu", "fu", "du":
		return true
	}
	return false
}

func (r *reader) basin(b *Basin, k, n *yaml.Node) {
	b.At, b.Set = r.span(k), true
	r.each(n, "basin", basinKeys, func(key string, _, v *yaml.Node) bool {
		switch key {
		case "pump":
			r.flow(&b.Pump, "basin, pump", v)
		case "head":
			r.length(&b.Head, "basin, head", v)
		case "diameter":
			r.length(&b.Diameter, "basin, diameter", v)
		case "depth":
			r.length(&b.Depth, "basin, depth", v)
		case "check valve":
			r.flag(&b.Check, "basin, check valve", v)
		case "full-open valve":
			r.flag(&b.Full, "basin, full-open valve", v)
		case "cover":
			r.oneOf(&b.Cover, "basin, cover", v, coverWords)
		case "solids":
			r.length(&b.Solids, "basin, solids", v)
		case "grinder":
			r.flag(&b.Grinder, "basin, grinder", v)
		case "macerator":
			r.flag(&b.Macerator, "basin, macerator", v)
		case "pneumatic":
			r.flag(&b.Pneumatic, "basin, pneumatic", v)
		case "inlet above high water":
			r.length(&b.InletAboveHigh, "basin, inlet above high water", v)
		default:
			return false
		}
		return true
	})
}

// through reads joists, or {joists: 2}.
func (r *reader) through(t *Through, n *yaml.Node) {
	if n.Kind != yaml.MappingNode {
		r.oneOf(&t.What, "through", n, throughWords)
		return
	}
	r.each(n, "through", throughKeys, func(key string, k, v *yaml.Node) bool {
		switch key {
		case "cut":
			r.oneOf(&t.Cut, "through, cut", v, cutWords)
			return true
		case "deep":
			r.length(&t.Deep, "through, deep", v)
			return true
		case "bearing":
			r.flag(&t.Bearing, "through, bearing", v)
			return true
		case "doubled":
			r.flag(&t.Doubled, "through, doubled", v)
			return true
		case "strap":
			r.flag(&t.Strap, "through, strap", v)
			return true
		}
		if match(key, throughWords) != key {
			return false
		}
		if t.What.Given() {
			r.fault(r.span(k), "through: bored through "+t.What.Text+" and "+key+" at once", "cut the run in two, one for each")
			return true
		}
		t.What = Word{Text: key, At: r.span(k)}
		r.count(&t.Count, "through, "+key, v, 1)
		return true
	})
	if !t.What.Given() && len(n.Content) > 0 {
		r.fault(r.span(n), "through: what it goes through is not said", "write the member with its count: through: {joists: 2}")
	}
}
