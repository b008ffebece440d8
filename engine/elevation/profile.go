package elevation

import (
	"slices"

	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/unit"
)

// Span is one row of a profile: a point along the line, and the pipe that leaves it
// downstream. The last row is the end of the line; its Seg is None.
type Span struct {
	Station      unit.Length // along the pipe from the start of the line
	StationKnown bool
	Seg          network.SegID
	Run          network.RunID
	Invert       Height
	Centre       Height
	Top          Height // outside top of the pipe
	Ground       Height // as the job gives it for this place
	Floor        Height
	Cover        Height // ground (or the underside of the slab) over the top of the pipe
	Room         Height // how much higher the pipe may lie here: Highest over the invert
	Slope        unit.Slope
	SlopeFrom    From
	Size         unit.Size
	Length       unit.Length
	LengthKnown  bool
	Upright      bool
	// Drop is a step down to the next row beyond the fall of the pipe: fall to spare.
	Drop unit.Length
}

// Farthest is where the longest way to the outlet begins, by known lengths, then by the
// number of pieces: at a fixture or at pipe that carries what is not drawn; only where there
// are none, at another upper end. None for a net without segments.
func Farthest(n *network.Net) network.SegID {
	best := network.SegID(network.None)
	length := make([]unit.Length, len(n.Segs))
	pieces := make([]int, len(n.Segs))
	drains := func(i network.SegID) bool { return n.Segs[i].Fixture != network.None || n.Segs[i].Carries }
	for i := network.SegID(len(n.Segs) - 1); i >= 0; i-- {
		s := &n.Segs[i]
		length[i], pieces[i] = s.Length(), 1
		if s.Down != network.None {
			length[i] += length[s.Down]
			pieces[i] += pieces[s.Down]
		}
		switch {
		case !drains(i) && (len(n.Up(i)) > 0 || best != network.None && drains(best)):
			continue
		case best == network.None, drains(i) && !drains(best),
			length[i] > length[best],
			length[i] == length[best] && pieces[i] > pieces[best],
			length[i] == length[best] && pieces[i] == pieces[best] && n.RunOf(i).Name < n.RunOf(best).Name:
			best = i
		}
	}
	return best
}

// Profile walks from the upper end of segment from (None: of the farthest one) to the
// outlet and gives a row for every segment, then one for the end.
func (l *Levels) Profile(n *network.Net, z *size.Sizes, from network.SegID) []Span {
	if from == network.None {
		from = Farthest(n)
	}
	var out []Span
	at, ok := unit.Length(0), true
	last := network.SegID(network.None)
	drop := network.SegID(network.None) // the lowest drop of the run that s is a piece of
	for s := from; s != network.None; s = n.Segs[s].Down {
		seg := &n.Segs[s]
		if last == network.None || n.Segs[last].Run != seg.Run {
			drop = lowestDrop(n, seg.Run)
		}
		row := l.row(n, z, s, l.InvertUp[s], l.CentreUp[s], s < drop)
		row.Station, row.StationKnown = at, ok
		row.Slope, row.SlopeFrom = l.Slope[s], l.SlopeFrom[s]
		row.Length, row.LengthKnown = seg.Length(), seg.LengthKnown
		if hi, inv := l.HighestUp[s], l.InvertUp[s]; hi.Known && inv.Known {
			row.Room = known(hi.V - inv.V)
		}
		if d := seg.Down; d == network.None || n.Segs[d].Run != seg.Run {
			if f := &l.Run[seg.Run]; f.SpareKnown && f.Spare > 0 {
				row.Drop = f.Spare
			}
		}
		out = append(out, row)
		at += seg.Length()
		ok = ok && seg.LengthKnown
		last = s
	}
	if last == network.None {
		return out
	}
	end := l.row(n, z, last, l.InvertLow[last], l.CentreLow[last], last < drop)
	if o := l.Outlet.Invert; o.Known {
		drop := end.Invert.V - o.V
		end.Invert = o
		end.Centre, end.Top, end.Cover = end.Centre.plus(-drop), end.Top.plus(-drop), Height{}
	}
	if g := n.Job.Outlet.Grade; g.Set {
		end.Ground = known(g.V)
	}
	if end.Ground.Known && end.Top.Known {
		end.Cover = known(end.Ground.V - end.Top.V)
	}
	end.Seg, end.Station, end.StationKnown, end.Floor = network.None, at, ok, Height{}
	return append(out, end)
}

// row fills what is known of a point on segment s. Above a drop, where the run goes down once
// more below it, this piece may lie over the ground that the rest of the run is in.
func (l *Levels) row(n *network.Net, z *size.Sizes, s network.SegID, invert, centre Height, aboveDrop bool) Span {
	seg := &n.Segs[s]
	r := Span{Seg: s, Run: seg.Run, Invert: invert, Centre: centre, Size: z.Size[s], Upright: seg.Lie == network.Upright}
	od, _ := OutsideOf(n, s, z.Size[s])
	if !r.Upright {
		r.Top = centre.plus(od / 2)
	}
	run := &n.Runs[seg.Run]
	if k := LevelOf(n, seg.Run); k >= 0 {
		lv := &n.Job.Levels[k]
		outside := run.Def.Where.Text == "outside"
		if lv.Floor.Set && !outside {
			r.Floor = known(lv.Floor.V)
		}
		if lv.Grade.Set {
			r.Ground = known(lv.Grade.V)
		}
		switch {
		case !r.Top.Known, aboveDrop:
		case seg.UnderGround && !outside && lv.Floor.Set:
			r.Cover = known(lv.Floor.V - lv.Slab.V - r.Top.V)
		case seg.UnderGround && lv.Grade.Set:
			r.Cover = known(lv.Grade.V - r.Top.V)
		}
	}
	return r
}

// lowestDrop is the last upright piece of a run, None where it has none.
func lowestDrop(n *network.Net, r network.RunID) network.SegID {
	for _, s := range slices.Backward(n.Runs[r].Segs) {
		if n.Segs[s].Lie == network.Upright {
			return s
		}
	}
	return network.None
}

// LevelOf is the level that a run lies on or under: its own; for pipe in a crawl space or
// under a slab that names none, the only level with such a thing under it; for pipe in the
// ground or outside, the only one whose grade is given. None where that is not told.
func LevelOf(n *network.Net, r network.RunID) int32 {
	run := &n.Runs[r]
	if run.Level >= 0 {
		return run.Level
	}
	where := run.Def.Where.Text
	fits := func(*job.Level) bool { return false }
	switch where {
	case "crawl space", "basement":
		fits = func(lv *job.Level) bool { return lv.Under.Text == where }
	case "under slab":
		fits = func(lv *job.Level) bool { return lv.Under.Text == "slab" || lv.Slab.Set }
	case "outside", "under ground":
		fits = func(lv *job.Level) bool { return lv.Grade.Set }
	}
	found := int32(network.None)
	for i := range n.Job.Levels {
		if !fits(&n.Job.Levels[i]) {
			continue
		}
		if found != network.None {
			return network.None
		}
		found = int32(i)
	}
	return found
}
