package rules

import (
	"math"

	"trapweir/engine/check"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// A ventLeg is a straight piece of vent, followed from a take-off to the open air.
type ventLeg struct {
	vent   network.VentID
	way    job.Way
	known  bool        // its way is known
	length unit.Length // 0 when not known
	// rise is how high its start stands over the take-off; at least so high when !exact.
	rise  unit.Length
	exact bool
}

// flat is more than 45 degrees from plumb.
func (l *ventLeg) flat() bool { return l.known && l.way.Plumb > 450 }

// up is the height that a leg gains; below zero where it goes down. The cosine of an angle
// is no ratio; the height is rounded to the nanometre.
func up(w job.Way, length unit.Length) unit.Length {
	switch {
	case w.Plumb >= 900:
		return 0
	case w.Plumb != 0:
		length = unit.Length(math.Round(float64(length) * math.Cos(float64(w.Plumb)*math.Pi/1800)))
	}
	if w.Down {
		return -length
	}
	return length
}

// ventPath is a vent with those that it goes on in, leg by leg.
type ventPath struct {
	ids  []network.VentID
	legs []ventLeg
	// ends holds, for each vent of ids, the height of its end over the take-off.
	ends  []unit.Length
	exact []bool
	// blind: a vent on the way has no legs at all.
	blind bool
}

// A takeoff is where a vent's air reaches the waste. Seg is there; rise is how high the
// pipe of the drain itself goes on dry before the vent takes off from it.
type takeoff struct {
	network.Takeoff
	rise  unit.Length
	exact bool
	dry   []network.SegID
}

// follow walks a vent from where its air reaches the waste.
func follow(n *network.Net, v network.VentID, t takeoff) ventPath {
	path := ventPath{ids: n.Path(v)}
	rise, exact := t.rise, t.exact
	for i, id := range path.ids {
		d := n.Vents[id].Def
		skip := unit.Length(0)
		if i > 0 {
			if in := n.Vents[path.ids[i-1]].Def.Into; in.Kind == job.AtLength {
				skip = in.Len
			}
		}
		legs := d.Legs
		if len(legs) == 0 {
			legs = bare(d)
		}
		if len(legs) == 0 {
			path.blind, exact = true, false
		}
		for _, l := range legs {
			length := l.Length.V
			if skip > 0 && l.Length.Set {
				if skip >= length {
					skip -= length
					continue
				}
				length -= skip
				skip = 0
			}
			path.legs = append(path.legs, ventLeg{vent: id, way: l.Way, known: true, length: length, rise: rise, exact: exact})
			if !l.Length.Set && l.Way.Plumb < 900 {
				exact = false
			}
			rise += up(l.Way, length)
		}
		path.ends = append(path.ends, rise)
		path.exact = append(path.exact, exact)
	}
	return path
}

// bare turns a vent that gives only a length and how it lies into a leg.
func bare(d *job.Vent) []job.Leg {
	switch {
	case d.Lies.Text == "upright":
		return []job.Leg{{Way: job.Way{Up: true}, Length: d.Length}}
	case d.Lies.Text == "level":
		return []job.Leg{{Way: job.Way{Plumb: 900}, Length: d.Length}}
	}
	return nil
}

// A rim is how high the flood level rim of a fixture stands over a take-off.
type rim struct {
	over  unit.Length
	exact bool // by measures that the job gives, not by usual heights
	run   string
}

// slack is what usual heights may be off before they decide anything: a foot, from the
// spread of rough-in heights (common practice).
const slack = unit.Foot

// rimOver works out how high the rim of fixture f stands over a take-off. The trap weir is
// the middle: the take-off lies at the weir or lower.
func rimOver(p *check.Pass, t takeoff, f network.FixID) rim {
	n := p.Net
	x := &n.Fixtures[f]
	r := rim{run: n.Runs[x.Run].Name}
	own, stated := x.Kind.Rim.V, x.Def.Rim.Set
	if stated {
		own = x.Def.Rim.V
	}
	if x.Kind.Has("standpipe") && x.Def.Standpipe.Set && x.Def.TrapHigh.Set {
		own, stated = x.Def.TrapHigh.V+x.Def.Standpipe.V, true
	}
	if t.Seg != network.None && x.Level >= 0 {
		if lv := &n.Job.Levels[x.Level]; lv.Floor.Set && p.Levels.CentreUp[t.Seg].Known {
			r.over = lv.Floor.V + own - p.Levels.CentreUp[t.Seg].V
			r.exact = stated
			return r
		}
	}
	weir := x.Kind.Weir
	switch {
	case x.Kind.Has("standpipe") && x.Def.Standpipe.Set:
		r.over, r.exact = x.Def.Standpipe.V, true // its rim above its weir
	case stated && x.Def.TrapHigh.Set:
		r.over, r.exact = own-x.Def.TrapHigh.V, true
	case weir.Set:
		r.over = own - weir.V
	default:
		r.over = own + slack // the trap lies under the floor, usually by less than a foot
	}
	if !passes(n, x.Seg, t.Seg) && t.Seg != network.None {
		if beside, ok := rimBeside(p, t, f, rim{over: own, exact: stated}, r); ok {
			return beside
		}
	}
	fall, ok := fallTo(p, x.Seg, t.Seg)
	r.over += max(0, fall)
	r.exact = r.exact && ok
	return r
}

// rimBeside is the height over a take-off of the rim of a fixture that drains past it elsewhere:
// by the floors, where one drains through the take-off whose trap stands so high over its own,
// else by the fall from either to where their pipe meets. own is the rim over its floor, weir
// that over its weir.
func rimBeside(p *check.Pass, t takeoff, f network.FixID, own, weir rim) (r rim, ok bool) {
	n := p.Net
	x := &n.Fixtures[f]
	r = weir
	upstreamOf(n, t.Seg, func(s network.SegID) bool {
		g := n.Segs[s].Fixture
		if g == network.None {
			return true
		}
		y := &n.Fixtures[g]
		at, stated := y.Kind.Weir.V, y.Def.TrapHigh.Set
		if stated {
			at = y.Def.TrapHigh.V
		}
		up, okUp := floorOver(n, x.Level, y.Level)
		fall, okFall := fallTo(p, y.Seg, t.Seg)
		if okUp && okFall && (stated || y.Kind.Weir.Set) {
			r.over, r.exact, ok = up+own.over-at+fall, own.exact && stated, true
		}
		return !ok
	})
	if ok {
		return r, true
	}
	over, ok := higher(p, x.Seg, t.Seg)
	r.over = weir.over + over
	return r, ok
}

// higher is how high the upper end of segment a stands over that of b, by how far each falls to
// the first segment that both run through; ok is false where part of it is not known.
func higher(p *check.Pass, a, b network.SegID) (over unit.Length, ok bool) {
	n := p.Net
	// Segments are numbered with the water, so the one with the lower number has not met the
	// other yet.
	for a != b {
		at, sign := &a, unit.Length(1)
		if b < a {
			at, sign = &b, -1
		}
		h, next := p.Levels.Fall[*at], n.Segs[*at].Down
		if !h.Known || n.Segs[*at].Basin || next == network.None {
			return 0, false
		}
		*at = next
		over += sign * h.V
	}
	return over, true
}

// floorOver is how high one floor lies over another; ok is false where that is not known.
func floorOver(n *network.Net, a, b int32) (unit.Length, bool) {
	switch {
	case a == b && a != network.None:
		return 0, true
	case a < 0 || b < 0 || !n.Job.Levels[a].Floor.Set || !n.Job.Levels[b].Floor.Set:
		return 0, false
	}
	return n.Job.Levels[a].Floor.V - n.Job.Levels[b].Floor.V, true
}

// fallTo is how much the pipe falls from one segment to where another begins; ok is false
// where part of it is not known.
func fallTo(p *check.Pass, from, to network.SegID) (fall unit.Length, ok bool) {
	ok = true
	below(p.Net, from, func(s network.SegID) bool {
		if s == to {
			return false
		}
		if h := p.Levels.Fall[s]; h.Known {
			fall += h.V
		} else {
			ok = false
		}
		return true
	})
	return fall, ok
}

// highestRim is the highest rim over a take-off among the fixtures that a vent serves.
func highestRim(p *check.Pass, t takeoff, served []network.FixID) (top rim, any bool) {
	allExact := true
	for _, f := range served {
		r := rimOver(p, t, f)
		allExact = allExact && r.exact
		if !any || r.over > top.over {
			top, any = r, true
		}
	}
	top.exact = allExact
	return top, any
}

// served are the fixtures that breathe through a vent; where the reading of vents found
// none, those whose pipe passes the take-off.
func served(p *check.Pass, v network.VentID, t takeoff) []network.FixID {
	if s := p.Vents.Size[v].Serves; len(s) > 0 {
		return s
	}
	var out []network.FixID
	for i := range p.Net.Fixtures {
		hops := 0
		below(p.Net, p.Net.Fixtures[i].Seg, func(s network.SegID) bool {
			if s == t.Seg {
				out = append(out, network.FixID(i))
				return false
			}
			hops++
			return hops < 12
		})
	}
	return out
}

// verdict of a height against the rim.
type verdict uint8

const (
	cannotTell verdict = iota
	highEnough
	tooLow
)

// clears judges whether a point of a vent, so high over its take-off, stands high enough
// over the highest rim. A drain never lies above the rim that it serves, so what has risen
// less than the book's measure is too low for certain.
func clears(p *check.Pass, t takeoff, v network.VentID, rise unit.Length, exact bool, need unit.Length) (verdict, rim) {
	top, any := highestRim(p, t, served(p, v, t))
	switch {
	case exact && rise < need:
		return tooLow, top
	case !any:
		return cannotTell, top
	case top.exact && rise >= top.over+need:
		return highEnough, top
	case top.exact && exact:
		return tooLow, top
	case !top.exact && rise >= top.over+need+slack:
		return highEnough, top
	}
	return cannotTell, top
}

// isLoop: an island's vent, which comes down again, has rules of its own.
func isLoop(n *network.Net, v network.VentID) bool {
	for _, id := range n.Path(v) {
		if n.IsLoop(id) {
			return true
		}
	}
	return false
}

// fromDrains visits every place where a vent leaves a drain, pump basins left out: their
// vents serve no rim.
func fromDrains(n *network.Net, visit func(v network.VentID, t takeoff)) {
	for i := range n.Vents {
		for _, t := range n.Vents[i].Takes {
			if t.Seg != network.None && n.Segs[t.Seg].Basin {
				continue
			}
			o := n.Opening(t)
			x := takeoff{Takeoff: t, rise: o.Rise, exact: o.Known, dry: o.Dry}
			x.Seg = o.Seg
			visit(network.VentID(i), x)
		}
	}
}
