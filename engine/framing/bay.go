package framing

import (
	"trapweir/engine/catalog"
	"trapweir/engine/elevation"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// wallFixture: its outlet goes through the wall, over the floor.
func wallFixture(k *catalog.Kind) bool {
	return k != nil && k.Outlet.Set && k.Outlet.V > 0
}

// floorFixture: its outlet goes down through the floor.
func floorFixture(k *catalog.Kind) bool {
	return k != nil && k.Outlet.Set && k.Outlet.V == 0
}

// Bay is a run that lies level between joists.
type Bay struct {
	Run    network.RunID
	Seg    network.SegID // its widest level piece
	Member string
	Depth  unit.Length
	Sawn   bool // Depth is known
	OD     unit.Length
	// Least and Most are how wide its hubs are; the outside of the pipe where nothing is
	// on record.
	Least, Most unit.Length
	Length      unit.Length // of its level pipe
	LengthKnown bool
	Slope       unit.Slope // of its first level piece; Run == 0 where it is not known
	Fall        unit.Length
	FallKnown   bool
	// Longest is how far it could run at its slope between floor and ceiling, by Most: what
	// the pipe in hand is sure to have. 0 where it is not known.
	Longest unit.Length
	// Drop is from the floor down to the centre of the level pipe, where the run begins
	// with a drop under a fixture that drains through the floor; DropKnown.
	Drop      unit.Length
	DropKnown bool
	// Bottom is the underside of the pipe at its lowest, by its outside (its hubs reach
	// (Least-OD)/2 to (Most-OD)/2 farther). Under is the underside of the joists when the
	// subfloor has no thickness; Subfloor is to be taken off it.
	Bottom, Under elevation.Height
	Subfloor      unit.Length
	SubfloorKnown bool
	Level         *job.Level
}

// bays lists the level pipe in joist bays. What is bored through joists is not in a bay.
func (w *worker) bays() {
	n := w.net
	for i := range n.Runs {
		run, id := &n.Runs[i], network.RunID(i)
		if place(run) != "joists" || run.Def.Through.What.Text == "joists" || len(run.Segs) == 0 || stands(run.Def.State) {
			continue
		}
		b := Bay{Run: id, Seg: network.None, Level: w.level(id), LengthKnown: true, FallKnown: w.levels != nil}
		if b.Level != nil {
			b.Member = b.Level.Joists.Text
			b.Depth, b.Sawn = elevation.Depth(w.book, b.Member)
			b.Subfloor, b.SubfloorKnown = b.Level.Subfloor.V, b.Level.Subfloor.Set
		}
		for k, s := range run.Segs {
			g := &n.Segs[s]
			if g.Lie == network.Upright {
				if k == 0 && g.LengthKnown && run.Fixture != network.None && floorFixture(n.Fixtures[run.Fixture].Kind) {
					b.Drop, b.DropKnown = g.Length(), true
				}
				continue
			}
			if b.Seg == network.None || w.sizes.Size[s] > w.sizes.Size[b.Seg] {
				b.Seg = s
			}
			b.Length += g.Length()
			b.LengthKnown = b.LengthKnown && g.LengthKnown
			if w.levels == nil {
				continue
			}
			if sl := w.levels.Slope[s]; !b.Slope.Given() && sl.Given() {
				b.Slope = sl
			}
			b.Fall += w.levels.Fall[s].V
			b.FallKnown = b.FallKnown && w.levels.Fall[s].Known
			if low := w.low(s); low.ok {
				od, _ := w.outside(s)
				if v := low.v - od/2; !b.Bottom.Known || v < b.Bottom.V {
					b.Bottom = elevation.Height{V: v, Known: true}
				}
			}
		}
		if b.Seg == network.None {
			continue
		}
		b.OD, _ = w.outside(b.Seg)
		b.Least, b.Most = b.OD, b.OD
		if least, most, ok := w.hub(b.Seg); ok {
			b.Least, b.Most = least, most
		}
		if b.Level != nil && b.Level.Floor.Set && b.Sawn {
			b.Under = elevation.Height{V: b.Level.Floor.V - b.Depth, Known: true}
		}
		if b.Sawn && b.Slope.Given() && b.Slope.Fall > 0 && b.Depth > b.Most {
			b.Longest = b.Slope.RunFor(b.Depth - b.Most)
		}
		w.out.Bays = append(w.out.Bays, b)
	}
}

// Crawl is a run in a crawl space and the earth under it.
type Crawl struct {
	Run network.RunID
	Seg network.SegID // where it is nearest to the earth
	// Clear is from the earth up to the underside of the pipe; Sure when the earth is told
	// by the height of the crawl space, and not by the grade outside.
	Clear unit.Length
	Sure  bool
	// High: the height of the crawl space is given, and how deep the joists over it are is not.
	High bool
}

// crawls lists the pipe that hangs in crawl spaces, where the earth's height is known.
func (w *worker) crawls() {
	n := w.net
	for i := range n.Runs {
		run, id := &n.Runs[i], network.RunID(i)
		lv := w.level(id)
		if place(run) != "crawl space" || lv == nil || len(run.Segs) == 0 || stands(run.Def.State) {
			continue
		}
		earth, sure := height{lv.Grade.V, lv.Grade.Set}, false
		if d, ok := elevation.Depth(w.book, lv.Joists.Text); ok && lv.Floor.Set && lv.CrawlHigh.Set {
			earth, sure = height{lv.Floor.V - lv.Subfloor.V - d - lv.CrawlHigh.V, true}, true
		}
		if !earth.ok {
			continue
		}
		c := Crawl{Run: id, Seg: network.None, Sure: sure, High: !sure && lv.CrawlHigh.Set && lv.Floor.Set}
		for _, s := range run.Segs {
			low := w.low(s)
			if !low.ok || n.Segs[s].Lie == network.Upright {
				continue
			}
			od, _ := w.outside(s)
			if v := low.v - od/2 - earth.v; c.Seg == network.None || v < c.Clear {
				c.Seg, c.Clear = s, v
			}
		}
		if c.Seg != network.None {
			w.out.Crawls = append(w.out.Crawls, c)
		}
	}
}
