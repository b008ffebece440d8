package rules

import (
	"math"

	"trapweir/engine/check"
	"trapweir/engine/elevation"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// sketchTrue is how far a sketch may be out before it is asked about: legs are written to
// the foot, and a wall is some inches thick (common practice).
const sketchTrue = 2 * unit.Foot

// ventMeets compares where the legs of a vent lead with where the vent stands that it joins: in
// plan, and in height. Only vents that are laid out whole are looked at.
var ventMeets = &check.Rule{
	ID: "ask-vent-legs", Family: "questions",
	Doc: "the legs of a vent lead to the vent that it joins, not past its top and not under its start",
	Why: "its developed length, its size and the order are worked out from its legs",
	Run: func(p *check.Pass) {
		for i := range p.Net.Vents {
			v := &p.Net.Vents[i]
			if v.End != network.JoinsVent || len(v.Def.Legs) == 0 {
				continue
			}
			into := p.Net.Vents[v.Into].Name
			from, a := ventLine(p, v)
			to, b := ventLine(p, &p.Net.Vents[v.Into])
			off := unit.Length(0)
			if a && b {
				p.Looked(1)
				off = apart(from[len(from)-1], to)
			}
			if off <= sketchTrue {
				if over, under, known := pastEnds(p, v); known {
					p.Looked(1)
					switch {
					case over > sketchTrue:
						p.Unchecked(p.OnVent(network.VentID(i)), v.Def.At, check.Say{
							Message: v.Name + ", as its legs go, ends " + sketched(p, over) + " above the top of " + into + ", which it joins",
							Ask:     "how high does " + v.Name + " rise to where it joins " + into + ", and how high does that go? correct the `legs` of one of them",
						})
					case under > sketchTrue:
						p.Unchecked(p.OnVent(network.VentID(i)), v.Def.At, check.Say{
							Message: v.Name + ", as its legs go, ends " + sketched(p, under) + " under where " + into + ", which it joins, begins",
							Ask:     "how high does " + v.Name + " rise to where it joins " + into + "? correct its `legs`, or where one of the two leaves its drain",
						})
					}
				}
				continue
			}
			far := sketched(p, off)
			p.Unchecked(p.OnVent(network.VentID(i)), v.Def.At, check.Say{
				Message: v.Name + ", as its legs go, ends " + far + " in plan from " + into + ", which it joins",
				Ask:     "which way, and how far, does " + v.Name + " run to " + into + "? correct its `legs`",
			})
		}
	},
}

// sketched is a length in words as exactly as a sketch tells it.
func sketched(p *check.Pass, l unit.Length) string {
	if p.Job.Units == unit.Metric {
		return l.Round(100 * unit.Millimetre).In(p.Job.Units)
	}
	return l.Round(unit.Foot / 2).In(p.Job.Units)
}

// ventLine is the way of a vent in plan from its take-off; ok is false where a leg or the
// place of the take-off is not known, or it leaves several drains.
func ventLine(p *check.Pass, v *network.Vent) (line []elevation.Point, ok bool) {
	if len(v.Takes) != 1 {
		return nil, false
	}
	at := elevation.Point{}
	if k := &v.Takes[0]; k.Seg != network.None {
		at = p.Levels.PlanUp[k.Seg]
	} else if segs := p.Net.Runs[k.Run].Segs; k.Lower && len(segs) > 0 {
		at = p.Levels.PlanLow[segs[len(segs)-1]]
	}
	if !at.Known {
		return nil, false
	}
	line = append(line, at)
	for j := range v.Def.Legs {
		l := &v.Def.Legs[j]
		if plumb(l.Way) {
			continue
		}
		east, north, is := elevation.Along(l.Way, l.Length.V)
		if !l.Length.Set || !is {
			return nil, false
		}
		at = elevation.Point{X: at.X + east, Y: at.Y + north, Known: true}
		line = append(line, at)
	}
	return line, true
}

// pastEnds is how high the end of a vent stands over the highest that its own legs take the vent
// that it joins, and how far under the lowest of that; known is false where a leg, or how one
// drain lies to the other, is not.
func pastEnds(p *check.Pass, v *network.Vent) (over, under unit.Length, known bool) {
	into := &p.Net.Vents[v.Into]
	if len(v.Takes) != 1 || len(into.Takes) != 1 || v.Takes[0].Seg == network.None || into.Takes[0].Seg == network.None {
		return 0, 0, false
	}
	end, _, _, a := risesTo(v.Def.Legs)
	_, top, bottom, b := risesTo(into.Def.Legs)
	start, c := higher(p, v.Takes[0].Seg, into.Takes[0].Seg)
	return start + end - top, bottom - start - end, a && b && c
}

// risesTo is how high over its take-off the end of a vent stands, and its highest and lowest.
func risesTo(legs []job.Leg) (end, top, bottom unit.Length, known bool) {
	known = len(legs) > 0
	for i := range legs {
		known = known && legs[i].Length.Set
		end += up(legs[i].Way, legs[i].Length.V)
		top, bottom = max(top, end), min(bottom, end)
	}
	return end, top, bottom, known
}

func plumb(w job.Way) bool { return w.Plumb == 0 && !w.HasPlan }

// apart is the distance in plan of a point from a line.
func apart(x elevation.Point, line []elevation.Point) unit.Length {
	near := math.Hypot(float64(x.X-line[0].X), float64(x.Y-line[0].Y))
	for k := 1; k < len(line); k++ {
		a, b := line[k-1], line[k]
		dx, dy := float64(b.X-a.X), float64(b.Y-a.Y)
		px, py := float64(x.X-a.X), float64(x.Y-a.Y)
		t := 0.0
		if d := dx*dx + dy*dy; d > 0 {
			t = min(1, max(0, (px*dx+py*dy)/d))
		}
		near = min(near, math.Hypot(px-t*dx, py-t*dy))
	}
	return unit.Length(near)
}
