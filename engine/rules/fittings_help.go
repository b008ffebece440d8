package rules

import (
	"strconv"

	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/elevation"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

func itoa(n int) string { return strconv.Itoa(n) }

// degreesText writes tenths of a degree: 90 degrees, 22.5 degrees.
func degreesText(tenths int) string {
	s := itoa(tenths / 10)
	if r := tenths % 10; r != 0 {
		s += "." + itoa(r)
	}
	return s + " degrees"
}

// gone: the pipe is taken out.
func gone(r *network.Run) bool { return r.Def.State.Text == "remove" }

// clause is the printed place of a topic, nil when the book does not have it.
func clause(p *check.Pass, topic string) *diag.Cite {
	c, ok := p.Book.Clause(topic)
	if !ok {
		return nil
	}
	return &c
}

func inBook(p *check.Pass, topic string) bool { return clause(p, topic) != nil }

// number is a param's plain number, in whole units.
func number(q codebook.Param) (int64, bool) {
	if q.State != codebook.Given || q.Number <= 0 {
		return 0, false
	}
	return q.Number / 100, true
}

func network2outlet(p *check.Pass) diag.Ref {
	return diag.Ref{What: diag.Outlet, Segment: int32(p.Net.Outlet)}
}

func onJob() diag.Ref { return diag.Ref{What: diag.Job, Segment: network.None} }

// outside is the outside diameter of a segment.
func outside(p *check.Pass, s network.SegID) unit.Length {
	od, _ := elevation.OutsideOf(p.Net, s, p.Sizes.Size[s])
	return od
}

// levelOf is the level that a run is on: its own, that of the fixture on it, or the only one
// that its place can mean.
func levelOf(p *check.Pass, r network.RunID) (index int32, ok bool) {
	k := elevation.LevelOf(p.Net, r)
	return max(k, 0), k >= 0
}

// armLength is the pipe from the fixture at the top of a run down to the run's lower end.
func armLength(p *check.Pass, r network.RunID) (unit.Length, bool) {
	sum, ok := unit.Length(0), true
	for _, s := range p.Net.Runs[r].Segs {
		sum += p.Net.Segs[s].Length()
		ok = ok && p.Net.Segs[s].LengthKnown
	}
	return sum, ok
}

// closetOn: a water closet stands on the run.
func closetOn(p *check.Pass, r network.RunID) bool {
	f := p.Net.Runs[r].Fixture
	return f != network.None && p.Net.Fixtures[f].Kind.Has("water closet")
}

// material is what a segment is made of.
func material(p *check.Pass, s network.SegID) string {
	seg := &p.Net.Segs[s]
	return elevation.Material(p.Job, &p.Net.Runs[seg.Run], seg.UnderGround)
}
