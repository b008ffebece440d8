package vent

import (
	"math"
	"strconv"

	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/source"
	"trapweir/engine/unit"
)

func itoa(n int) string { return strconv.Itoa(n) }

func (t *tracer) name(f network.FixID) string { return t.net.Runs[t.net.Fixtures[f].Run].Name }

func (t *tracer) onFixture(f network.FixID) diag.Ref {
	return diag.Ref{What: diag.Fixture, Name: t.name(f), Segment: int32(t.net.Fixtures[f].Seg)}
}

// cite gives the printed place of a topic; the zero Cite when the book does not list it.
func (t *tracer) cite(topic string) diag.Cite {
	c, _ := t.book.Clause(topic)
	return c
}

func (t *tracer) finding(on diag.Ref, at source.Span, rule, msg, got, limit, topic string) diag.Diagnostic {
	d := diag.Diagnostic{Severity: diag.Error, Rule: rule, On: on, At: at, Message: msg, Got: got, Limit: limit}
	if topic != "" {
		if c, ok := t.book.Clause(topic); ok {
			d.Cites = []diag.Cite{c}
		}
	}
	return d
}

// failTry is failOn with what would mend it.
func (r *Reading) failTry(t *tracer, on diag.Ref, at source.Span, rule, msg, got, limit, topic, try string) {
	d := t.finding(on, at, rule, msg, got, limit, topic)
	d.Try = try
	r.Fails = append(r.Fails, d)
}

func (r *Reading) fail(t *tracer, f network.FixID, rule, msg, got, limit, topic string) {
	run := &t.net.Runs[t.net.Fixtures[f].Run]
	r.Fails = append(r.Fails, t.finding(t.onFixture(f), run.Def.Fixture.Kind.At, rule, msg, got, limit, topic))
}

func (r *Reading) failOn(t *tracer, on diag.Ref, at source.Span, rule, msg, got, limit, topic string) {
	r.Fails = append(r.Fails, t.finding(on, at, rule, msg, got, limit, topic))
}

func (r *Reading) ask(rule string, on diag.Ref, msg, ask string, cite diag.Cite) {
	r.Asks = append(r.Asks, diag.Diagnostic{Severity: diag.Unchecked, Rule: rule, On: on, Message: msg, Ask: ask, Cites: []diag.Cite{cite}})
}

// measure sums an arm along the pipe.
func (t *tracer) measure(f network.FixID, path []network.SegID) Arm {
	n := t.net
	fx := &n.Fixtures[f]
	run := &n.Runs[fx.Run]
	a := Arm{Known: true, Free: t.free(f), Size: fx.Def.Trap.V, Slope: run.Def.Slope.V}
	if a.Size == 0 || t.p.byArm.Yes && t.sizes != nil && t.sizes.Given[fx.Seg] {
		if t.sizes != nil {
			a.Size = t.sizes.Size[fx.Seg]
		}
	}
	var prev *network.Seg
	for i, s := range path {
		seg := &n.Segs[s]
		a.Known = a.Known && seg.LengthKnown
		a.Length += seg.Length()
		d := dropOf(seg)
		a.Drop += d
		if seg.Lie != network.Upright && d == 0 && a.Slope.Run != 0 {
			a.Fall += a.Slope.Drop(seg.Length())
		}
		if i > 0 && prev.Lie != network.Upright && seg.Lie != network.Upright {
			a.Turns += turn(prev, seg)
		}
		prev = seg
	}
	a.Turns += run.Def.Bends.V
	a.Fall += a.Drop
	// A trap whose pipe goes straight down has an arm that is not drawn, unless the trap
	// is part of the fixture.
	if !fx.Kind.Integral && len(run.Def.Arm) == 0 && (len(path) == 0 || n.Segs[path[0]].Lie == network.Upright) {
		a.Known = false
		// The size of the drop says nothing of the arm above it.
		if trap := t.loads.Fixture[f].Trap; fx.Def.Trap.V == 0 && trap > 0 {
			a.Size = trap
		}
	}
	a.Limit = t.limit(f, a)
	return a
}

// dropOf is what a segment falls by lying other than level: its whole length when plumb.
// The cosine of an angle is no ratio; the result is rounded to the nanometre.
func dropOf(s *network.Seg) unit.Length {
	if s.Way.Plumb >= 900 || s.Way.Up {
		return 0
	}
	if s.Way.Plumb == 0 {
		if s.Lie == network.Upright {
			return s.Length()
		}
		return 0
	}
	return unit.Length(math.Round(float64(s.Length()) * math.Cos(float64(s.Way.Plumb)*math.Pi/1800)))
}

// turn is the change of direction in plan, in degrees, 0 when one of the ways is not known.
func turn(a, b *network.Seg) int {
	if !a.Way.HasPlan || !b.Way.HasPlan {
		return 0
	}
	d := int(a.Way.Azimuth) - int(b.Way.Azimuth)
	if d < 0 {
		d = -d
	}
	if d > 1800 {
		d = 3600 - d
	}
	return d / 10
}

// free: a self-siphoning fixture, whose arm the book does not limit.
func (t *tracer) free(f network.FixID) bool {
	return t.net.Fixtures[f].Kind.Has(classCloset) && t.p.closetMax.State != codebook.Given
}

// limit is the longest arm that the book allows, 0 when it prints none for the size.
func (t *tracer) limit(f network.FixID, a Arm) unit.Length {
	if t.free(f) {
		return 0
	}
	if t.net.Fixtures[f].Kind.Has(classCloset) && t.p.closetMax.State == codebook.Given {
		return t.p.closetMax.Length
	}
	c := t.book.Cell("trap-arm", a.Size, "max")
	if c.State == codebook.Given {
		return c.Length
	}
	return 0
}

// arm measures the arm of a reading and says what is wrong with it.
func (t *tracer) arm(f network.FixID, path []network.SegID, r *Reading) {
	n := t.net
	fx := &n.Fixtures[f]
	run := &n.Runs[fx.Run]
	a := t.measure(f, path)
	r.Arm = a
	on := diag.Ref{What: diag.Run, Name: run.Name, Segment: int32(fx.Seg)}
	if !a.Free {
		if a.Limit > 0 && a.Length > a.Limit {
			r.Fails = append(r.Fails, t.armTooLong(f, a.Length, a, path))
		}
		if !a.Known && !(a.Limit > 0 && a.Length > a.Limit) {
			lim := ""
			if a.Limit > 0 {
				lim = " (at most " + a.Limit.In(t.net.Job.Units) + " for " + a.Size.String() + ")"
			}
			r.ask("trap-arm-too-long", on, run.Name+": the trap arm is not measured"+lim,
				"how far is it along the pipe from the trap weir of "+run.Name+" to the vent opening?", t.cite("trap-arm"))
		}
	}
	closet := fx.Kind.Has(classCloset)
	if closet {
		return // a closet's bend is its trap; weir and crown rules do not speak of it
	}
	diameter := a.Size.Length()
	if m := t.p.armTwo; m.State == codebook.Given && a.Known && int64(a.Length)*100 < m.Number*int64(diameter) {
		least := unit.Length(int64(diameter) / 100 * m.Number)
		try := "let the vent leave " + least.Small(t.net.Job.Units) + " or more from the weir"
		if a.Limit > least {
			try += ", within " + a.Limit.In(t.net.Job.Units)
		}
		r.failTry(t, on, run.Def.At, "trap-arm-too-short", run.Name+": the vent opens "+a.Length.Small(t.net.Job.Units)+" from the trap weir; "+least.Small(t.net.Job.Units)+" is the least (two diameters)", a.Length.Small(t.net.Job.Units), least.Small(t.net.Job.Units), "crown-vent", try)
	}
	if most, ok := t.mostFall(a.Size); ok {
		switch {
		case a.Drop > most:
			if t.straightDown(f, path) {
				t.out.Trap[f].SShape = true
				r.fail(t, f, "unvented-fixture", run.Name+": its trap turns straight down and the vent opens "+a.Drop.In(t.net.Job.Units)+" below the weir", a.Drop.Small(t.net.Job.Units), most.Small(t.net.Job.Units), "weir-level")
				return
			}
			r.failTry(t, on, run.Def.At, "vent-below-trap-weir", run.Name+" drops "+a.Drop.Small(t.net.Job.Units)+" before its vent; the vent opening is then below the trap weir ("+most.Small(t.net.Job.Units)+" of fall is the most)", a.Drop.Small(t.net.Job.Units), most.Small(t.net.Job.Units), "weir-level",
				"let the vent leave above the drop, no more than "+most.Small(t.net.Job.Units)+" below the weir, and let the pipe drop past it")
		case a.Fall > most && a.Slope.Run != 0 && !a.onlyLong(most):
			r.failTry(t, on, run.Def.At, "trap-arm-fall-exceeds-diameter", run.Name+" falls "+a.Fall.Small(t.net.Job.Units)+" on its way to the vent; one diameter, "+most.Small(t.net.Job.Units)+", is the most", a.Fall.Small(t.net.Job.Units), most.Small(t.net.Job.Units), "trap-arm-fall", t.fallLess(a, most))
		}
	}
}

// fallLess is how an arm that falls too much is mended: how near its vent must come at the
// fall that it has, or the fall at which it may stay as long as it is, where the book
// permits one so flat.
func (t *tracer) fallLess(a Arm, most unit.Length) string {
	sys := t.net.Job.Units
	reach := a.Slope.RunFor(most - a.Drop)
	if a.Limit > 0 {
		reach = min(reach, a.Limit)
	}
	if reach <= 0 {
		return "let the vent leave before the arm drops"
	}
	try := "bring the vent to within " + reach.AtMost(sys) + " of the weir"
	c := t.book.Cell("min-slope", a.Size, "slope")
	if c.State != codebook.Given || !a.Known || a.Limit > 0 && a.Length > a.Limit {
		return try
	}
	// The usual falls of the trade, steepest first, that keep the arm within its diameter.
	for _, s := range []unit.Slope{unit.PerFoot(1, 2), unit.PerFoot(3, 8), unit.PerFoot(1, 4), unit.PerFoot(3, 16), unit.PerFoot(1, 8)} {
		if s.Cmp(a.Slope) < 0 && s.Reaches(c.Slope) && a.Drop+s.Drop(a.Length) <= most {
			return try + ", or lay the arm at " + s.AllIn(sys)
		}
	}
	return try
}

// mostFall is how much an arm of a size may fall on its way to the vent.
func (t *tracer) mostFall(s unit.Size) (most unit.Length, ok bool) {
	m := t.p.armDiameters
	return unit.Length(int64(s.Length()) / 100 * m.Number), m.State == codebook.Given
}

// onlyLong: an arm over the book's length that would fall no more than it may at that length,
// and falls over that by less than a tape shows. The finding of its length says it.
func (a *Arm) onlyLong(most unit.Length) bool {
	return a.Limit > 0 && a.Length > a.Limit && a.Drop+a.Slope.Drop(a.Limit) <= most && a.Fall-most < unit.Inch/64
}

// straightDown: the pipe turns down at the trap, within two diameters of the weir.
func (t *tracer) straightDown(f network.FixID, path []network.SegID) bool {
	if len(path) == 0 {
		return false
	}
	level := unit.Length(0)
	for _, s := range path {
		seg := &t.net.Segs[s]
		if dropOf(seg) > 0 {
			break
		}
		if !seg.LengthKnown {
			return false
		}
		level += seg.Length()
	}
	return level < 2*t.armSize(f).Length()
}

func (t *tracer) armTooLong(f network.FixID, length unit.Length, a Arm, path []network.SegID) diag.Diagnostic {
	run := &t.net.Runs[t.net.Fixtures[f].Run]
	on := diag.Ref{What: diag.Run, Name: run.Name, Segment: int32(t.net.Fixtures[f].Seg)}
	d := t.finding(on, run.Def.At, "trap-arm-too-long",
		run.Name+": the vent is "+length.In(t.net.Job.Units)+" along the pipe from the trap weir; "+a.Limit.In(t.net.Job.Units)+" is the most for "+a.Size.String(),
		length.In(t.net.Job.Units), a.Limit.In(t.net.Job.Units), "trap-arm")
	d.Try = "bring the vent to within " + a.Limit.In(t.net.Job.Units) + " of the weir"
	return d
}

func (t *tracer) armSize(f network.FixID) unit.Size {
	if s := t.net.Fixtures[f].Def.Trap.V; s > 0 {
		return s
	}
	if t.sizes != nil {
		return t.sizes.Size[t.net.Fixtures[f].Seg]
	}
	return 0
}
