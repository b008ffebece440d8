package framing

import (
	"strings"

	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/fitting"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// Held is a straight stretch of new pipe above ground and what holds it.
type Held struct {
	Run  network.RunID  // None on a vent
	Vent network.VentID // None on a drain
	Seg  network.SegID  // the first of the stretch, None on a vent
	// From is where it begins, from the upper end of the run (the take-off of a vent).
	From     unit.Length
	Length   unit.Length
	Known    bool // Length is known
	Level    bool
	Material string
	Size     unit.Size // 0: a vent that has no size
	// Before is how much of the same straight line lies upstream of it in another size.
	Before unit.Length
	// Every is how far apart it is held at most; 0 where the book says by floors, or
	// nothing.
	Every   unit.Length
	ByFloor bool
	// Count is how many hangers (level) or riser straps (upright) that makes; Guides the
	// guides of thin upright pipe between them.
	Count, Guides int
	Note          string // what the book adds to the row
	Cite          *diag.Cite
	// Why and Ask: it cannot be counted.
	Why, Ask string
}

// Word is what holds it: "hanger" or "riser strap".
func (h *Held) Word() string {
	if h.Level {
		return "hanger"
	}
	return "riser strap"
}

// Counted reports whether its supports are counted; a short drop counts none.
func (h *Held) Counted() bool { return h.Why == "" && h.Size != 0 }

// Brace is a turn of large pipe that is braced against sway.
type Brace struct {
	Run  network.RunID
	Seg  network.SegID // it stands at its upper end
	Size unit.Size
	Turn int // tenths of a degree, -1 where it is not known
	Cite *diag.Cite
}

// Foot is the base of a stack, which carries its weight.
type Foot struct {
	Run  network.RunID
	Seg  network.SegID // the last upright piece
	Size unit.Size
	Cite *diag.Cite
}

// shortDrop: an upright piece under this hangs from the fittings at its ends. Custom.
const shortDrop = 2 * unit.Foot

// hold lists the straight stretches and counts what holds them.
func (w *worker) hold() {
	n := w.net
	var list []Held
	// The heights of a stretch, for books that hold upright pipe at every floor.
	type ends struct {
		up, low height
		more    bool // the line goes on in another size
	}
	var at []ends
	for i := range n.Runs {
		r := &n.Runs[i]
		if stands(r.Def.State) {
			continue
		}
		cur := -1
		for k, s := range r.Segs {
			g := &n.Segs[s]
			if w.buried(s) {
				cur = -1
				continue
			}
			z := w.sizes.Size[s]
			straight := cur >= 0 && k > 0 && n.Segs[r.Segs[k-1]].Way == g.Way
			if straight && list[cur].Size == z {
				list[cur].Length += g.Length()
				list[cur].Known = list[cur].Known && g.LengthKnown
				at[cur].low = w.low(s)
				continue
			}
			h := Held{Run: network.RunID(i), Vent: network.None, Seg: s, From: g.From, Length: g.Length(), Known: g.LengthKnown, Level: g.Lie != network.Upright, Material: w.material(s), Size: z}
			if straight && list[cur].Known {
				h.Before, at[cur].more = list[cur].Before+list[cur].Length, true
			}
			cur = len(list)
			list, at = append(list, h), append(at, ends{w.up(s), w.low(s), false})
		}
	}
	for i := range n.Vents {
		v := network.VentID(i)
		x := &n.Vents[i]
		if where := x.Def.Where.Text; stands(x.Def.State) || where == "under ground" || where == "under slab" {
			continue
		}
		lengths, known := LegLengths(x)
		from := unit.Length(0)
		for j, l := range x.Def.Legs {
			h := Held{Run: network.None, Vent: v, Seg: network.None, From: from, Material: w.ventMaterial(v), Size: w.ventSize(v), Level: l.Way.Plumb > 450, Known: known}
			if known {
				h.Length = lengths[j]
				from += lengths[j]
			}
			list, at = append(list, h), append(at, ends{})
		}
		if len(x.Def.Legs) == 0 {
			list = append(list, Held{Run: network.None, Vent: v, Seg: network.None, Material: w.ventMaterial(v), Size: w.ventSize(v), Level: x.Def.Lies.Text == "level", Length: x.Length, Known: x.LengthKnown})
			at = append(at, ends{})
		}
	}
	for i := range list {
		w.count(&list[i], at[i].up, at[i].low, at[i].more)
	}
	w.out.Held = list
}

// height is a height, if known.
type height struct {
	v  unit.Length
	ok bool
}

func (w *worker) up(s network.SegID) height {
	if w.levels == nil {
		return height{}
	}
	return height{w.levels.CentreUp[s].V, w.levels.CentreUp[s].Known}
}

func (w *worker) low(s network.SegID) height {
	if w.levels == nil {
		return height{}
	}
	return height{w.levels.CentreLow[s].V, w.levels.CentreLow[s].Known}
}

// buried: the pipe lies in the ground. Of a run that the job puts under the slab, what lies
// wholly over the floor does not.
func (w *worker) buried(s network.SegID) bool {
	if !w.net.Segs[s].UnderGround {
		return false
	}
	lv := w.level(w.net.Segs[s].Run)
	up, low := w.up(s), w.low(s)
	return lv == nil || !lv.Floor.Set || !up.ok || !low.ok || up.v <= lv.Floor.V || low.v <= lv.Floor.V
}

// count fills what holds one stretch: level, one hanger for every spacing that is begun and
// one at the end of the straight line; upright, one strap for every spacing that is begun.
// Over a change of size the spacing runs on.
func (w *worker) count(h *Held, up, low height, more bool) {
	if h.Size == 0 {
		return
	}
	if !h.Known {
		h.Why, h.Ask = "a length is not given", "how long is it? write the lengths of its legs"
		return
	}
	if !h.Level && h.Length < shortDrop || h.Length == 0 {
		return
	}
	lie := "upright"
	if h.Level {
		lie = "level"
	}
	cell, note := w.spacing(h.Material, h.Size, lie)
	h.Note, h.Cite = note, cell.Cite
	switch {
	case cell.State == codebook.Given && cell.Length > 0:
	case cell.State == codebook.Blank && !h.Level:
		h.ByFloor = true
		if h.Vent != network.None || !up.ok || !low.ok {
			h.Why, h.Ask = "the book wants it held at its base and at every floor, and its heights are not known", "through which floors does it pass?"
			return
		}
		h.Count = 1
		for i := range w.net.Job.Levels {
			if f := w.net.Job.Levels[i].Floor; f.Set && f.V > low.v && f.V <= up.v {
				h.Count++
			}
		}
		if q := w.param("support.guide-mid-story"); q.State == codebook.Given && q.Yes {
			h.Guides = h.Count - 1 // one between two floors
		}
		return
	default:
		h.Why, h.Ask = "the book gives no spacing for "+h.Material+" that lies "+lie, "how far apart does your authority want it held?"
		if h.Material == "" {
			h.Why = "its material is not known"
		}
		return
	}
	h.Every = cell.Length
	begun := func(l unit.Length) int { return int((l + h.Every - 1) / h.Every) }
	h.Count = begun(h.Before+h.Length) - begun(h.Before)
	if h.Level {
		if !more {
			h.Count++
		}
		return
	}
	// Thin upright pipe has a guide half way between two supports.
	if p := w.param("support.guide-size"); p.State == codebook.Given && h.Size <= p.Size && h.Length > h.Every/2 {
		h.Guides = h.Count
	}
}

// spacing looks up the book's table of supports: the row of the material, for copper the
// one of tube that holds the size.
func (w *worker) spacing(material string, z unit.Size, lie string) (codebook.Cell, string) {
	tab, ok := w.table("support-spacing")
	if !ok {
		return codebook.Cell{}, ""
	}
	row, ok := tab.RowByKey(material)
	if !ok {
		row = tubeRow(tab, material, z)
	}
	col := tab.Column(lie)
	if row == nil || col < 0 {
		return codebook.Cell{}, ""
	}
	c := row.Cells[col]
	note := ""
	if c.Notes != "" {
		note = tab.Note(c.Notes[:1])
	}
	return c, note
}

// tubeRow finds the row of tube that is graded by size: "copper tube to 1-1/4", "copper
// tube 1-1/2 and up".
func tubeRow(tab *codebook.Table, material string, z unit.Size) *codebook.Row {
	for i := range tab.Rows {
		rest, ok := strings.CutPrefix(tab.Rows[i].Key, material+" tube")
		if !ok {
			continue
		}
		rest = strings.TrimSpace(rest)
		if to, ok := strings.CutPrefix(rest, "to "); ok {
			if m, err := unit.ParseSize(to); err == nil && z <= m {
				return &tab.Rows[i]
			}
		} else if from, ok := strings.CutSuffix(rest, " and up"); ok {
			if m, err := unit.ParseSize(from); err == nil && z >= m {
				return &tab.Rows[i]
			}
		}
	}
	return nil
}

// LegLengths gives the lengths of a vent's legs; a single one that is not written is what
// is left of the whole. Without legs it gives nothing, and whether the whole is known.
func LegLengths(x *network.Vent) (out []unit.Length, known bool) {
	if len(x.Def.Legs) == 0 {
		return nil, x.LengthKnown
	}
	missing, sum := -1, unit.Length(0)
	for i, l := range x.Def.Legs {
		out = append(out, l.Length.V)
		sum += l.Length.V
		if !l.Length.Set {
			if missing >= 0 {
				return out, false
			}
			missing = i
		}
	}
	if missing >= 0 {
		if !x.LengthKnown || x.Length < sum {
			return out, false
		}
		out[missing] = x.Length - sum
	}
	return out, true
}

// braces lists the turns of large level pipe above ground over the book's angle: in the
// flat, and where level pipe turns into an upright.
func (w *worker) braces() {
	from, over := w.param("support.brace-size"), w.param("support.brace-turn")
	if w.book == nil || from.State != codebook.Given || over.State != codebook.Given {
		return
	}
	if _, ok := w.book.Clause("support-brace"); !ok {
		return
	}
	for i := range w.fittings {
		f := &w.fittings[i]
		if f.Does != fitting.Turn || f.Through == network.None || w.buried(f.Through) || f.Change != fitting.LevelToLevel && f.Change != fitting.LevelToUpright {
			continue
		}
		seg := &w.net.Segs[f.Through]
		if stands(w.net.Runs[seg.Run].Def.State) || f.In < from.Size || f.Turn >= 0 && int64(f.Turn) <= over.Number/10 {
			continue
		}
		w.out.Braces = append(w.out.Braces, Brace{Run: seg.Run, Seg: f.Into, Size: f.In, Turn: f.Turn, Cite: from.Cite})
	}
}

// feet lists the bases of stacks, where the book asks that they be held.
func (w *worker) feet() {
	if w.book == nil {
		return
	}
	cite, ok := w.book.Clause("support-base")
	if !ok {
		return
	}
	for i := range w.net.Segs {
		g := &w.net.Segs[i]
		if g.Role != network.Stack || g.Lie != network.Upright || g.Down == network.None || w.net.Segs[g.Down].Lie == network.Upright || stands(w.net.Runs[g.Run].Def.State) {
			continue
		}
		w.out.Feet = append(w.out.Feet, Foot{Run: g.Run, Seg: network.SegID(i), Size: w.sizes.Size[i], Cite: &cite})
	}
}

// place is where a run lies.
func place(r *network.Run) string { return r.Def.Where.Text }
