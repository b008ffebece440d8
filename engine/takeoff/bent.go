package takeoff

import (
	"math"

	"trapweir/engine/fitting"
	"trapweir/engine/framing"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// Bent is an offset of the job: a slanted piece between two pieces that go on parallel, as
// the plumber lays it out. All lengths are to the nearest 1/16 in (of a metric job 1 mm), between centres.
type Bent struct {
	Run  string `json:"run"`
	Vent bool   `json:"vent,omitempty"`
	// Bend is the angle of both bends.
	Bend Bend `json:"bend"`
	// Side and Rise are the parts of the set across the pipe: to the side, and up or down.
	// Both are over 0 for a rolling offset only.
	Side unit.Length `json:"side"`
	Rise unit.Length `json:"rise"`
	// Set, Travel and Advance are as for Offset. Travel is what the job draws.
	Set     unit.Length `json:"set"`
	Travel  unit.Length `json:"travel"`
	Advance unit.Length `json:"advance"`
	// Roll is the angle by which both bends are turned out of the level, in hundredths of a
	// degree; 0 for an offset that is not rolling.
	Roll int32 `json:"roll,omitempty"`
}

// Rolling reports whether the offset goes to the side and up or down at once.
func (b *Bent) Rolling() bool { return b.Side > 0 && b.Rise > 0 }

// leg is a straight piece for the search of offsets.
type leg struct {
	way    job.Way
	length unit.Length
	known  bool
}

// offsets lists the offsets of new runs and vents.
func (t *taker) offsets() []Bent {
	var out []Bent
	step := mark(t.net.Job.Units)
	for i := range t.net.Runs {
		r := &t.net.Runs[i]
		if stands(r.Def.State) {
			continue
		}
		var legs []leg
		for _, s := range r.Segs {
			g := &t.net.Segs[s]
			if k := len(legs) - 1; k >= 0 && straight(legs[k].way, g.Way) {
				legs[k].length += g.Length()
				legs[k].known = legs[k].known && g.LengthKnown
				continue
			}
			legs = append(legs, leg{g.Way, g.Length(), g.LengthKnown})
		}
		out = append(out, bents(r.Name, false, legs, step)...)
	}
	for i := range t.net.Vents {
		v := &t.net.Vents[i]
		if !t.newVent(network.VentID(i)) {
			continue
		}
		lengths, known := framing.LegLengths(v)
		var legs []leg
		for j, l := range v.Def.Legs {
			x := leg{way: l.Way, known: known}
			if known {
				x.length = lengths[j]
			}
			legs = append(legs, x)
		}
		out = append(out, bents(v.Name, true, legs, step)...)
	}
	return out
}

// bents finds the offsets in a line of legs: three in a row of which the first and the last
// go the same way and the middle one slants from them by no more than 60 degrees.
func bents(name string, vent bool, legs []leg, step unit.Length) []Bent {
	var out []Bent
	for i := 1; i+1 < len(legs); i++ {
		a, b, c := legs[i-1], legs[i], legs[i+1]
		if !straight(a.way, c.way) || !b.known || b.length <= 0 {
			continue
		}
		turn, ok := fitting.Angle(a.way, b.way)
		if !ok || turn <= 0 || turn > 600 {
			continue
		}
		out = append(out, bent(name, vent, a.way, b, nearest(Bend(turn*10)), step))
	}
	return out
}

// nearest is the bend of the trade that an angle is meant for: directions in a job are whole
// degrees, and a rolling offset seldom comes out to the tenth. Off by more than a degree, it
// stays as it is.
func nearest(b Bend) Bend {
	for _, x := range []Bend{Sixteenth, Eighth, Sixth} {
		if d := b - x; d >= -100 && d <= 100 {
			return x
		}
	}
	return b
}

// bent works an offset out from its travel: set = travel x sin, advance = travel x cos of the
// bend. The set of a level line parts into what goes to the side and what goes down.
func bent(name string, vent bool, way job.Way, l leg, bend Bend, step unit.Length) Bent {
	sin, cos := math.Sincos(float64(bend) / 100 * math.Pi / 180)
	x := Bent{Run: name, Vent: vent, Bend: bend, Travel: l.length, Set: scale(l.length, sin), Advance: scale(l.length, cos)}
	if way.Plumb < 900 || l.way.Plumb >= 900 {
		x.Side = x.Set // off a plumb line, or in the flat
	} else {
		// A level line: the slanted piece falls by travel x cos of its angle from plumb.
		rise := scale(l.length, math.Cos(float64(l.way.Plumb)/10*math.Pi/180))
		x.Rise = min(rise, x.Set)
		side := math.Sqrt(max(0, float64(x.Set)*float64(x.Set)-float64(x.Rise)*float64(x.Rise)))
		// What is under the mark of a rule is rounding of the job's angles.
		if s := scale(1, side); s >= step {
			x.Side = s
			x.Roll = int32(math.Round(math.Atan2(float64(x.Rise), side) * 18000 / math.Pi))
		}
	}
	for _, p := range []*unit.Length{&x.Side, &x.Rise, &x.Set, &x.Travel, &x.Advance} {
		*p = p.Round(step)
	}
	return x
}
