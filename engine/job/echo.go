package job

import (
	"trapweir/engine/diag"
	"trapweir/engine/source"
	"trapweir/engine/unit"
)

// Reading is one value that was written and how it was understood.
type Reading struct {
	On   diag.Ref    `json:"on"`
	What string      `json:"what"` // "size", "length", "leg", "place", "slope", "flow", "volume", "units", "temperature", "degrees", "kind"
	At   source.Span `json:"at"`
	Text string      `json:"text"` // as written
	Read string      `json:"read"` // how it was understood; of a kind, the word alone: the catalog knows what it names
}

// Echo lists every size, length, leg, place, slope, flow, volume, temperature and fixture
// kind that was written, in the order of the job, so that a wrong reading is seen.
// Lengths are told in the job's units, slopes in every way that a plumber may know them by.
func Echo(j *Job) []Reading {
	if j == nil {
		return nil
	}
	e := &echo{t: j.text, sys: j.Units, out: make([]Reading, 0, 16+8*(len(j.Runs)+len(j.Vents)))}
	e.on = diag.Ref{What: diag.Job, Segment: -1}
	if c := &j.Climate; c.Design.Set {
		e.add("temperature", c.Design.At, c.Design.V.String())
	}
	e.lens(&j.Climate.Snow, &j.Climate.Frost, &j.Site.ManholeRim)
	for i := range j.Levels {
		l := &j.Levels[i]
		e.on = diag.Ref{What: diag.Level, Name: l.Name, Segment: -1}
		e.lens(&l.Floor, &l.Spacing, &l.Slab, &l.Grade, &l.Ceiling, &l.CrawlHigh, &l.Subfloor)
	}
	e.on = diag.Ref{What: diag.Outlet, Segment: -1}
	e.lens(&j.Outlet.Invert, &j.Outlet.Grade)
	e.size(j.Outlet.Size)
	e.on = diag.Ref{What: diag.Job, Segment: -1}
	for i := range j.Walls {
		e.add("leg", j.Walls[i].Leg.At, j.Walls[i].Leg.In(j.Units))
	}
	for i := range j.Runs {
		e.run(&j.Runs[i])
	}
	for i := range j.Vents {
		e.vent(&j.Vents[i])
	}
	return e.out
}

type echo struct {
	t   *text
	sys unit.System
	on  diag.Ref
	out []Reading
}

func (e *echo) add(what string, at source.Span, read string) {
	e.out = append(e.out, Reading{On: e.on, What: what, At: at, Text: e.written(at), Read: read})
}

// written gives the characters of a span.
func (e *echo) written(at source.Span) string {
	if e.t == nil || at.IsZero() {
		return ""
	}
	from := e.t.offset(int(at.Line), int(at.Col))
	to := e.t.offset(int(at.Line), int(at.EndCol))
	return string(e.t.bytes[min(from, to):to])
}

func (e *echo) lens(ls ...*Len) {
	for _, l := range ls {
		if l.Set {
			e.add("length", l.At, l.V.In(e.sys))
		}
	}
}

func (e *echo) size(s Size) {
	if s.V != 0 {
		e.add("size", s.At, s.V.String())
	}
}

func (e *echo) slope(s Slope) {
	if s.V.Run != 0 {
		e.add("slope", s.At, s.V.AllIn(e.sys))
	}
}

func (e *echo) flow(f Flow) {
	if !f.At.IsZero() {
		e.add("flow", f.At, f.V.String())
	}
}

func (e *echo) units(u Units) {
	if u.Set {
		e.add("units", u.At, u.V.String())
	}
}

func (e *echo) legs(ls []Leg) {
	for i := range ls {
		e.add("leg", ls[i].At, ls[i].In(e.sys))
	}
}

func (e *echo) place(p Place) {
	if p.Kind != NotSaid {
		e.add("place", p.At, p.In(e.sys))
	}
}

func (e *echo) kinds(ws ...Word) {
	for _, w := range ws {
		if w.Given() {
			e.add("kind", w.At, w.Text)
		}
	}
}

func (e *echo) run(u *Run) {
	e.on = diag.Ref{What: diag.Run, Name: u.Name, Segment: -1}
	e.place(u.Place)
	e.legs(u.Arm)
	e.legs(u.Legs)
	e.lens(&u.Length)
	if u.Bends.Set {
		e.add("degrees", u.Bends.At, itoa(u.Bends.V)+" degrees")
	}
	e.slope(u.Slope)
	e.size(u.Size)
	e.lens(&u.InvUp, &u.InvLow, &u.Weir)
	for i := range u.Clean {
		c := &u.Clean[i]
		e.place(c.Place)
		e.size(c.Size)
		e.lens(&c.Clearance)
	}
	e.units(u.Carries.Units)
	e.units(u.Carries.More)
	e.kinds(u.Carries.Fixtures...)
	if u.Basin.Set {
		e.flow(u.Basin.Pump)
		e.lens(&u.Basin.Head, &u.Basin.Diameter, &u.Basin.Depth, &u.Basin.Solids, &u.Basin.InletAboveHigh)
	}
	f := &u.Fixture
	if !f.Kind.Given() {
		return
	}
	e.on.What = diag.Fixture
	e.kinds(f.Kind)
	e.kinds(f.Serves...)
	if !f.Flush.At.IsZero() {
		e.add("volume", f.Flush.At, f.Flush.V.String())
	}
	e.flow(f.Flow)
	e.units(f.Units)
	e.size(f.Trap)
	e.lens(&f.OutDown, &f.OutAcross, &f.Standpipe, &f.TrapHigh, &f.Rim, &f.Apart, &f.ClearSide, &f.ClearFront)
}

func (e *echo) vent(v *Vent) {
	e.on = diag.Ref{What: diag.Vent, Name: v.Name, Segment: -1}
	e.place(v.Place)
	e.legs(v.Legs)
	e.lens(&v.Length)
	e.slope(v.Slope)
	e.size(v.Size)
	e.place(v.Into)
	t := &v.Terminal
	e.lens(&t.AboveRoof, &t.Roof, &t.FromOpening, &t.AboveOpening, &t.BelowOpening, &t.LotLine, &t.FromWall, &t.AboveGrade, &t.EnlargedInside)
	e.size(t.Size)
	e.lens(&v.Valve.AboveArm, &v.Valve.AboveDrain, &v.Valve.AbvRim, &v.Valve.AboveInsulation, &v.AboveRim)
}
