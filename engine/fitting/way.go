package fitting

import (
	"math"

	"trapweir/engine/job"
	"trapweir/engine/network"
)

// heading is the unit vector of a way: east, north, up. ok is false where the direction in
// plan is not known and matters.
func heading(w job.Way) (v [3]float64, ok bool) {
	p := float64(w.Plumb) * math.Pi / 1800
	if w.Plumb == 0 {
		v[2] = -1
		if w.Up {
			v[2] = 1
		}
		return v, true
	}
	if !w.HasPlan {
		return v, false
	}
	a := float64(w.Azimuth) * math.Pi / 1800
	v[0], v[1] = math.Sin(p)*math.Sin(a), math.Sin(p)*math.Cos(a)
	switch {
	case w.Down:
		v[2] = -math.Cos(p)
	case w.Up:
		v[2] = math.Cos(p)
	}
	return v, true
}

// Angle is the change of direction from one way to another in tenths of a degree, 0 for
// straight on; ok is false where it cannot be known. A level way whose direction is not
// known still makes a quarter turn with a plumb one.
func Angle(a, b job.Way) (tenths int, ok bool) {
	if a.Plumb == 0 && b.Plumb >= 900 || a.Plumb >= 900 && b.Plumb == 0 {
		return 900, true
	}
	if a.Plumb == 0 && b.Plumb == 0 {
		if a.Up != b.Up {
			return 1800, true
		}
		return 0, true
	}
	if a.Plumb == 0 || b.Plumb == 0 {
		t := int(max(a.Plumb, b.Plumb)) // from plumb
		if (a.Up || b.Up) && a.Up != b.Up {
			t = 1800 - t
		}
		return t, true
	}
	if a.Plumb >= 900 && b.Plumb >= 900 && a.HasPlan && b.HasPlan {
		d := int(a.Azimuth) - int(b.Azimuth)
		if d < 0 {
			d = -d
		}
		if d > 1800 {
			d = 3600 - d
		}
		return d, true
	}
	u, okU := heading(a)
	v, okV := heading(b)
	if !okU || !okV {
		return 0, false
	}
	dot := u[0]*v[0] + u[1]*v[1] + u[2]*v[2]
	return int(math.Round(math.Acos(max(-1, min(1, dot))) * 1800 / math.Pi)), true
}

// side is the side from which a comes towards b's direction: looking with b, a pipe that
// heads to the left comes in from the right.
func side(a, b job.Way) Hand {
	if !a.HasPlan || !b.HasPlan || a.Plumb == 0 || b.Plumb == 0 {
		return NoHand
	}
	d := (int(a.Azimuth) - int(b.Azimuth) + 3600) % 3600
	switch {
	case d == 0 || d == 1800:
		return NoHand
	case d < 1800: // a heads to the right of b, so it comes from the left
		return Left
	}
	return Right
}

// goes is the side to which a turn from a into b goes.
func goes(a, b job.Way) Hand { return side(a, b) }

// ChangeOf tells the column of the fitting tables for the way from one segment into
// another.
func ChangeOf(n *network.Net, from, into network.SegID) Change {
	a, b := n.Segs[from].Lie, n.Segs[into].Lie
	switch {
	case a == network.LieUnknown || b == network.LieUnknown:
		return NoChange
	case a == network.Level && b == network.Upright:
		return LevelToUpright
	case a == network.Upright && b == network.Level:
		return UprightToLevel
	case a == network.Level:
		return LevelToLevel
	}
	return NoChange
}

// Through picks, of what drains into the upper end of a segment, the pipe that goes on into
// it: the same run, else for upright pipe what comes straight from above, and for level
// pipe the one that bends least, then the larger one. None where all come in at the side
// (level pipe at the top of a drop).
func (p *picker) through(d network.SegID) network.SegID {
	n := p.net
	up := n.Up(d)
	best := network.SegID(network.None)
	bestAngle := 0
	for _, u := range up {
		if n.Segs[u].Run == n.Segs[d].Run {
			return u
		}
		if n.Segs[u].Role == network.PumpDischarge || len(up) > 1 && sideways(n.RunOf(u).Def.Fitting.Text) {
			continue
		}
		if n.Segs[d].Lie == network.Upright && n.Segs[u].Lie != network.Upright {
			continue
		}
		a, ok := Angle(n.Segs[u].Way, n.Segs[d].Way)
		if !ok {
			a = 899 // not known: ahead of a quarter turn, behind all less
		}
		if n.Segs[d].Lie != network.Upright && n.Segs[u].Lie == network.Upright {
			a = 1800 // a drop is the last to be called the line
		}
		switch {
		case best == network.None, a < bestAngle, a == bestAngle && p.sizes.Size[u] > p.sizes.Size[best]:
			best, bestAngle = u, a
		}
	}
	if best != network.None && len(up) > 1 && n.Segs[d].Lie != network.Upright && n.Segs[best].Lie == network.Upright {
		return network.None // several drops at one foot
	}
	return best
}

// sideways: the word stands for a fitting with a branch, so what states it comes in at the
// side of something.
func sideways(word string) bool {
	switch word {
	case "", "short 90", "long sweep 90", "vent 90":
		return false
	}
	return true
}
