package elevation

import (
	"math"

	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// plan lays the pipe out in plan from the outlet, which is the origin. A leg without a
// direction leaves everything upstream of it without a place.
func (w *worker) plan() {
	n, l := w.net, w.l
	for i := len(n.Segs) - 1; i >= 0; i-- {
		s := &n.Segs[i]
		low := Point{Known: true}
		if s.Down != network.None {
			low = l.PlanUp[s.Down]
		}
		l.PlanLow[i] = low
		east, north, ok := Along(s.Way, s.Length())
		if !low.Known || !s.LengthKnown || !ok {
			continue
		}
		l.PlanUp[i] = Point{low.X - east, low.Y - north, true}
	}
}

// Along is how far a leg of a length goes in plan, east and north. It is exact along the
// compass's four directions and rounded to the nanometre on others; ok is false for a leg
// that is not plumb and has no direction.
func Along(way job.Way, length unit.Length) (east, north unit.Length, ok bool) {
	if way.Plumb == 0 && !way.HasPlan {
		return 0, 0, true
	}
	if !way.HasPlan {
		return 0, 0, false
	}
	flat := length
	if way.Plumb < 900 {
		flat = scale(length, math.Sin(float64(way.Plumb)*math.Pi/1800))
	}
	switch way.Azimuth {
	case 0:
		return 0, flat, true
	case 900:
		return flat, 0, true
	case 1800:
		return 0, -flat, true
	case 2700:
		return -flat, 0, true
	}
	a := float64(way.Azimuth) * math.Pi / 1800
	return scale(flat, math.Sin(a)), scale(flat, math.Cos(a)), true
}

func scale(l unit.Length, by float64) unit.Length {
	return unit.Length(math.Round(float64(l) * by))
}
