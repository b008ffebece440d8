// Package framing holds the pipe against the house around it: what it hangs from, where a
// nail could reach it, what it is bored through, and the room that its hubs have in walls,
// between joists and over the earth of a crawl space.
//
// It counts and measures; whether a code is broken is for the rules to say. Shares, edges
// and spacings are the book's. Members that a maker designs (i-joists, trusses) have no
// depth here: what may be cut in them is for their maker or an engineer.
package framing

import (
	"trapweir/engine/codebook"
	"trapweir/engine/elevation"
	"trapweir/engine/fitting"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/unit"
	"trapweir/engine/vent"
)

// Framing is what is known of the pipe in the frame of the house. Lists are in the order of
// the runs, then of the vents; what exists or goes is not in them.
type Framing struct {
	Held   []Held
	Braces []Brace
	Feet   []Foot
	Plates []Plates
	Bores  []Bore
	Bays   []Bay
	Walls  []Wall
	Crawls []Crawl
}

// Settings are what an order may change.
type Settings struct {
	// Material stands in for that of all new pipe, "" as the job says.
	Material string
	// HoleOver is how much larger than the outside of the pipe a hole is bored; 0: an
	// eighth of an inch, common practice.
	HoleOver unit.Length
}

// holeOver: a hole is bored so much over the outside of the pipe. Common practice.
const holeOver = unit.Inch / 8

// Work measures and counts for a sized job. vents, levels and fittings may be nil: what
// hangs on them is then not told. A nil book leaves spacings and shares open.
func Work(n *network.Net, z *size.Sizes, v *vent.Vents, levels *elevation.Levels, fs []fitting.Fitting, b *codebook.Book, set Settings) *Framing {
	w := &worker{net: n, sizes: z, vents: v, levels: levels, fittings: fs, book: b, set: set, out: &Framing{}}
	if w.set.HoleOver == 0 {
		w.set.HoleOver = holeOver
	}
	w.hold()
	w.braces()
	w.feet()
	w.bores()
	w.plates()
	w.bays()
	w.walls()
	w.crawls()
	return w.out
}

type worker struct {
	net      *network.Net
	sizes    *size.Sizes
	vents    *vent.Vents
	levels   *elevation.Levels
	fittings []fitting.Fitting
	book     *codebook.Book
	set      Settings
	out      *Framing
	at       map[network.SegID][]int32 // fittings that stand on or open into a segment
}

// fittingsAt lists the fittings at an upright: what joins it, leaves it or stands on it.
func (w *worker) fittingsAt(s network.SegID) []int32 {
	if w.at == nil {
		w.at = map[network.SegID][]int32{}
		for i := range w.fittings {
			f := &w.fittings[i]
			k := int32(i)
			switch f.Does {
			case fitting.Cleanout, fitting.Takeoff:
				w.at[f.At.Seg] = append(w.at[f.At.Seg], k)
			case fitting.Join:
				w.at[f.Into] = append(w.at[f.Into], k)
				if f.Through != network.None && f.Through != f.Into {
					w.at[f.Through] = append(w.at[f.Through], k)
				}
			}
		}
	}
	return w.at[s]
}

// stands: pipe that is there already, or is taken out.
func stands(w job.Word) bool { return w.Text == "existing" || w.Text == "remove" }

func (w *worker) param(id string) codebook.Param {
	if w.book == nil {
		return codebook.Param{}
	}
	return w.book.Param(id)
}

func (w *worker) table(id string) (*codebook.Table, bool) {
	if w.book == nil {
		return nil, false
	}
	return w.book.Table(id)
}

func (w *worker) material(s network.SegID) string {
	if w.set.Material != "" {
		return w.set.Material
	}
	return elevation.Material(w.net.Job, w.net.RunOf(s), w.net.Segs[s].UnderGround)
}

func (w *worker) ventMaterial(v network.VentID) string {
	if w.set.Material != "" {
		return w.set.Material
	}
	return elevation.VentMaterial(w.net.Job, &w.net.Vents[v])
}

func (w *worker) ventSize(v network.VentID) unit.Size {
	if w.vents == nil || int(v) >= len(w.vents.Size) {
		return 0
	}
	return w.vents.Size[v].Size
}

// outside is the outside diameter of a segment; ok is false where it is not on record, and
// the nominal size stands for it.
func (w *worker) outside(s network.SegID) (od unit.Length, ok bool) {
	if od, ok = elevation.Outside(w.material(s), w.sizes.Size[s]); ok {
		return od, true
	}
	return w.sizes.Size[s].Length(), false
}

// hub is what the widest part of a fitting on a segment measures, at least and at most.
func (w *worker) hub(s network.SegID) (least, most unit.Length, ok bool) {
	m := w.material(s)
	if m == "cast iron" {
		if j := w.net.RunOf(s).Def.Joint.Text; j == "caulked" || j == "compression gasket" {
			m = "cast iron, hubbed"
		}
	}
	return elevation.Hub(m, w.sizes.Size[s])
}

// level is the level that a run is on, nil for none.
func (w *worker) level(r network.RunID) *job.Level {
	if k := elevation.LevelOf(w.net, r); k >= 0 && int(k) < len(w.net.Job.Levels) {
		return &w.net.Job.Levels[k]
	}
	return nil
}
