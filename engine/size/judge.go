package size

import (
	"strconv"

	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// RuleReduced is the id of "never smaller downstream".
const RuleReduced = "pipe-reduced-downstream"

// shopPractice is the kind of layer whose one-liners are advice on a given size.
const shopPractice = "shop practice"

// judge compares given sizes with what is required, says where a pipe is near its limit,
// and asks for existing sizes that are not given.
func (c *chooser) judge() {
	said := map[string]bool{}
	c.broken = map[string]broken{}
	// With the water, so that a fault shows where it first appears.
	for i := range c.net.Segs {
		s := network.SegID(i)
		switch {
		case c.z.Given[s]:
			c.judgeSeg(s, said)
		case c.runs[c.net.Segs[s].Run].existing:
			c.askExisting(s, said)
		}
		c.nearLimit(s, said)
		c.askUpright(s, said)
	}
	c.trapFindings()
}

func once(said map[string]bool, key string) bool {
	if said[key] {
		return false
	}
	said[key] = true
	return true
}

// broken is a broken constraint of a run: where it stands among the diagnostics, its cure
// where it first appears, and the most that a piece below there asks for.
type broken struct {
	at  int
	try string
	min unit.Size
}

// tell reports a broken constraint once a run, where it first appears; what asks for more
// further down is told in the cure.
func (c *chooser) tell(d diag.Diagnostic, least unit.Size) {
	key := d.Rule + "\x00" + d.On.Name
	was, ok := c.broken[key]
	switch least = c.stocked(least); {
	case !ok:
		c.broken[key] = broken{len(c.diags), d.Try, least}
		c.diags = append(c.diags, d)
	case least > was.min:
		c.diags[was.at].Try = was.try + "; further down at least " + least.String()
		was.min = least
		c.broken[key] = was
	}
}

func (c *chooser) judgeSeg(s network.SegID, said map[string]bool) {
	z := c.z
	have := z.Size[s]
	run := c.net.RunOf(s)
	explained := false
	for _, t := range z.Terms(s) {
		if t.Min <= have || t.Kind == ByUpstream || t.Kind == ByTrap || t.Kind == ByQuestion {
			continue
		}
		if t.Kind == ByFloor && z.floors[t.Ref].Rule == "trap-arm-too-long" {
			continue // the reading of the vent has said it
		}
		if t.Kind == ByTable {
			// A row without a number (one fixture only) lets a pipe of its size pass; that it must
			// be larger is what another term says.
			sz := &z.sizing[t.Ref]
			if most, ok := z.capacityOf(s, t.Ref, have); ok && most >= c.measure(s, sz) {
				continue
			}
		}
		explained = true
		c.tell(c.finding(s, t, have), t.Min)
	}
	for _, u := range c.net.Up(s) {
		if c.net.Segs[u].Role == network.PumpDischarge || c.net.Segs[s].Basin {
			continue // a pump pushes; its pipe may be smaller than what runs into the basin
		}
		in := c.sizeInto(u)
		if in <= have || !z.Given[u] && explained {
			continue
		}
		up := c.net.RunOf(u)
		if !once(said, RuleReduced+"\x00"+run.Name) {
			continue
		}
		msg := run.Name + " is " + have.String() + " and " + up.Name + ", which drains into it, is " + in.String()
		if !z.Given[u] {
			msg = run.Name + " is " + have.String() + " and " + up.Name + ", which drains into it, must be " + in.String()
		}
		d := diag.Diagnostic{
			Severity: diag.Error, Rule: RuleReduced, On: segRef(run.Name, s), At: run.Def.Size.At,
			Message: msg, Got: have.String(), Limit: in.String(),
			Try: "make " + run.Name + " " + in.String() + " from there to the outlet",
		}
		if cite, ok := c.book.Clause("no-reduction"); ok {
			d.Cites = []diag.Cite{cite}
		}
		c.diags = append(c.diags, d)
	}
}

// finding words one broken constraint on a given size.
func (c *chooser) finding(s network.SegID, t Term, have unit.Size) diag.Diagnostic {
	z := c.z
	run := c.net.RunOf(s)
	d := diag.Diagnostic{
		Severity: diag.Error, On: segRef(run.Name, s), At: run.Def.Size.At,
		Got: have.String(), Limit: t.Min.String(),
		Try: "make " + run.Name + " at least " + c.stocked(t.Min).String() + " from there to the outlet",
	}
	switch t.Kind {
	case ByTable:
		sz := &z.sizing[t.Ref]
		need := c.measure(s, sz)
		limit, _ := z.capacityOf(s, t.Ref, have)
		d.Rule = sz.Finds
		d.Got, d.Limit = need.String(), limit.String()
		slope := ""
		if tab, ok := c.book.Table(sz.Table); ok {
			d.Cites = citesOf(tab.Cite)
			if sz.Column == "by slope" || len(sz.Slopes) > 0 {
				slope = " at " + c.slopeWords(s, have)
			}
		}
		what := "a " + have.String() + " " + c.net.Segs[s].Role.String()
		if limit == 0 {
			d.Message = run.Name + " carries " + units(need) + "; " + what + slope + " is not permitted to carry any"
		} else {
			d.Message = run.Name + " carries " + units(need) + "; " + what + slope + " carries at most " + limit.String()
		}
		if sz.Measure == "branch interval" {
			d.Message += " in one branch interval"
		}
	case ByCarried:
		d.Rule = "trap-larger-than-drain"
		d.Message = run.Name + " is " + have.String() + ", and " + c.loads.Part[t.Ref].TrapOf.A() + " drains into it through a " + t.Min.String() + " trap"
		if cite, ok := c.book.Clause("trap-not-over-drain"); ok {
			d.Cites = []diag.Cite{cite}
		}
	case ByLimit:
		l := &z.limits[t.Ref]
		d.Rule = l.Finds
		if d.Rule == "" {
			d.Rule = "size-limit"
		}
		d.Message = run.Name + " is " + have.String() + ": " + l.Say
		if l.When.ClassCount > 1 {
			n, _ := c.loads.Count(s, l.When.Class)
			d.Got, d.Limit = strconv.Itoa(n), strconv.Itoa(l.When.ClassCount-1)
			d.Message = run.Name + " is " + have.String() + " and carries " + strconv.Itoa(n) + " " + plural(l.When.Class, n) + ": " + l.Say
		}
		d.Cites = citesOf(l.Cite)
		if l.Cite != nil && l.Cite.Kind == shopPractice {
			d.Severity = diag.Info // the shop's own habit is no fault
		}
	case ByParam:
		p := &minParams[t.Ref]
		d.Rule = p.finds
		d.Message = run.Name + " is " + have.String() + "; " + p.say + ", and " + t.Min.String() + " is the least"
		d.Cites = citesOf(z.params[t.Ref].Cite)
		if c := z.params[t.Ref].Cite; c != nil && c.Kind == shopPractice {
			d.Severity = diag.Info
		}
	case ByFloor:
		f := &z.floors[t.Ref]
		d.Rule = f.Rule
		d.Message = run.Name + " is " + have.String() + ": " + f.Say
		if f.Got != "" {
			d.Got, d.Limit = f.Got, f.Max
		}
		d.Cites = []diag.Cite{f.Cite}
	case ByUpright:
		d.Rule = RuleUpright
		tall := z.fallen[s]
		d.Got = tall.In(c.net.Job.Units)
		d.Message = run.Name + " is " + have.String() + " and stands " + d.Got + " tall"
		if may := z.mostUpright(have); may != nil {
			d.Limit = may.most.In(c.net.Job.Units)
			d.Message += "; " + d.Limit + " of upright pipe of that size is the most"
		}
		d.Cites = citesOf(z.reach[t.Ref].cite)
	default:
		d.Rule = "size-limit"
		d.Message = run.Name + " is " + have.String() + " and must be at least " + t.Min.String()
	}
	return d
}

func plural(class string, n int) string {
	if n == 1 {
		return class
	}
	return class + "s"
}

// slopeWords names the slope that a table was read at and whether it was given.
func (c *chooser) slopeWords(s network.SegID, size unit.Size) string {
	if c.z.SlopeGiven[s] {
		return c.z.Slope[s].In(c.net.Job.Units)
	}
	sl := minSlope(c.book, size)
	if sl.Run == 0 {
		return "a slope that is not given"
	}
	return sl.In(c.net.Job.Units) + " (the flattest permitted; no slope is given)"
}

// minSlope returns the flattest slope that the book permits for a size; the zero Slope
// when its table has no such row.
func minSlope(b *codebook.Book, size unit.Size) unit.Slope {
	t, ok := b.Table("min-slope")
	if !ok {
		return unit.Slope{}
	}
	for i := range t.Rows {
		if t.Rows[i].Size == size {
			for _, cell := range t.Rows[i].Cells {
				if cell.State == codebook.Given && cell.Slope.Run != 0 {
					return cell.Slope
				}
			}
		}
	}
	return unit.Slope{}
}

func (c *chooser) askExisting(s network.SegID, said map[string]bool) {
	run := c.net.RunOf(s)
	if s != run.Segs[len(run.Segs)-1] || !once(said, "existing\x00"+run.Name) {
		return
	}
	need := c.z.Required[s]
	c.diags = append(c.diags, diag.Diagnostic{
		Severity: diag.Unchecked, Rule: "existing-size", On: segRef(run.Name, s), At: run.Def.At,
		Message: run.Name + " is existing pipe of a size that is not given; with what is drawn it must be at least " + need.String(),
		Limit:   need.String(),
		Ask:     "what is the outside diameter or the marking of the existing pipe " + run.Name + "?",
	})
}

// nearLimit says where a pipe with several fixtures is within a tenth of what it carries.
func (c *chooser) nearLimit(s network.SegID, said map[string]bool) {
	z := c.z
	if c.loads.Traps[s] < 2 && !c.net.Segs[s].Carries || c.net.Segs[s].Role == network.FixtureDrain || c.net.Segs[s].Role == network.TrapArm {
		return
	}
	run := c.net.RunOf(s)
	// Only what the end of a run carries speaks for it: loads grow with the water.
	if end := run.Segs[len(run.Segs)-1]; c.loads.Units[end] > c.loads.Units[s] {
		return
	}
	for _, at := range c.sizings[c.net.Segs[s].Role] {
		sz := &z.sizing[at.index]
		if !c.speaks(s, sz) {
			continue
		}
		need := c.measure(s, sz)
		limit, ok := c.carries(s, at, z.Size[s])
		if !ok || limit <= 0 || limit >= unlimited || need > limit || need*10 < limit*9 || need < 4*unit.Unit {
			continue
		}
		if !once(said, "near\x00"+run.Name+sz.Column) {
			continue
		}
		where := ""
		if sz.Measure == "branch interval" {
			where = " in one branch interval"
		}
		c.diags = append(c.diags, diag.Diagnostic{
			Severity: diag.Info, Rule: "capacity-near-limit", On: segRef(run.Name, s), At: run.Def.At,
			Message: run.Name + " carries " + units(need) + " of the " + limit.String() + " that " + z.Size[s].String() + " may carry" + where,
			Got:     need.String(), Limit: limit.String(), Cites: citesOf(at.table.Cite),
		})
	}
}

// trapFindings judges stated traps, and drains that are smaller than the trap they need.
func (c *chooser) trapFindings() {
	// Where trap and arm are one size by the book, the rule of that says it.
	one := c.book.Param("trap.same-size-as-arm")
	same := one.State == codebook.Given && one.Yes
	for i := range c.net.Fixtures {
		f := &c.net.Fixtures[i]
		l := &c.loads.Fixture[i]
		run := &c.net.Runs[f.Run]
		stated := l.Stated
		size := c.z.Size[f.Seg]
		on := segRef(run.Name, f.Seg)
		got := stated
		if got == 0 && c.z.Given[f.Seg] && !f.Kind.Integral {
			got = size
		}
		if l.Trap > 0 && got > 0 && got < l.Trap && !c.limitSays(f.Seg, l.Trap) {
			d := diag.Diagnostic{
				Severity: diag.Error, Rule: "trap-undersized", On: on, At: run.Def.Fixture.Kind.At,
				Message: run.Name + ": the trap of this " + f.Kind.Name + " is " + got.String() + "; the book asks for " + l.Trap.String(),
				Got:     got.String(), Limit: l.Trap.String(), Cites: citesOf(l.TrapCite),
				Try: "give it a " + l.Trap.String() + " trap and drain",
			}
			if f.Def.Flow.V > 0 && l.Row.When != "" {
				d.Message += " at " + f.Def.Flow.V.String()
				d.Got = f.Def.Flow.V.String()
				if most := c.mostFlow(f, got); most > 0 {
					d.Limit = most.String()
				}
			}
			c.diags = append(c.diags, d)
		}
		if stated > 0 && c.z.Given[f.Seg] && size < stated && !same {
			d := diag.Diagnostic{
				Severity: diag.Error, Rule: "trap-larger-than-drain", On: on, At: run.Def.Size.At,
				Message: run.Name + " is " + size.String() + " and its trap is " + stated.String(),
				Got:     size.String(), Limit: stated.String(),
				Try: "make the drain " + stated.String() + " or the trap " + size.String(),
			}
			if cite, ok := c.book.Clause("trap-not-over-drain"); ok {
				d.Cites = []diag.Cite{cite}
			}
			c.diags = append(c.diags, d)
		}
	}
}

// limitSays: a one-liner has already said that this drain is too small.
func (c *chooser) limitSays(s network.SegID, size unit.Size) bool {
	if !c.z.Given[s] {
		return false
	}
	for _, t := range c.z.Terms(s) {
		if (t.Kind == ByLimit || t.Kind == ByParam) && t.Min >= size && t.Min > c.z.Size[s] {
			return true
		}
	}
	return false
}

// mostFlow is the largest flow for which the book still allows the trap size, 0 if the
// book does not grade by flow.
func (c *chooser) mostFlow(f *network.Fixture, trap unit.Size) unit.Flow {
	most := unit.Flow(0)
	for _, r := range c.book.FixtureRows(f.Kind.Name) {
		if r.Trap.State == codebook.Given && r.Trap.Size <= trap && r.MaxFlow > most {
			most = r.MaxFlow
		}
	}
	return most
}
