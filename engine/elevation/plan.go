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

// Wall is a face that stubs are measured from. One that lies to the north or south runs
// east and west at Place north of the outlet; one to the east or west, north and south at
// Place east of it.
type Wall struct {
	Name  string
	Side  int16 // where it lies seen from the house: 0 north, 90 east, 180 south, 270 west
	Place unit.Length
}

// NorthSouth tells whether the wall runs north and south.
func (w Wall) NorthSouth() bool { return w.Side == 90 || w.Side == 270 }

// walls places the walls of the job from the ends of the runs that they are told from.
func (w *worker) walls() {
	n, l := w.net, w.l
	for _, x := range n.Walls {
		segs := n.Runs[x.Run].Segs
		if len(segs) == 0 {
			continue
		}
		def := &n.Job.Walls[x.Def]
		from := l.PlanUp[segs[0]]
		if def.End.Kind == job.LowerEnd {
			from = l.PlanLow[segs[len(segs)-1]]
		}
		east, north, ok := Along(def.Leg.Way, def.Leg.Length.V)
		if !from.Known || !ok {
			continue
		}
		out := Wall{Name: def.Name, Side: def.Leg.Way.Azimuth / 10, Place: from.Y + north}
		if out.NorthSouth() {
			out.Place = from.X + east
		}
		l.Walls = append(l.Walls, out)
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
