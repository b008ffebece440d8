package report

import (
	"fmt"
	"slices"
	"strconv"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/framing"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// Support is a straight stretch of new pipe above ground and what holds it.
type Support struct {
	What     string      `json:"what"` // hanger, riser strap
	Material string      `json:"material"`
	Size     unit.Size   `json:"size"`
	From     unit.Length `json:"from"` // from the upper end of the run, the take-off of a vent
	Length   unit.Length `json:"length"`
	Known    bool        `json:"known"`           // Length is measured
	Every    unit.Length `json:"every,omitempty"` // farthest apart; "" where the book counts by floors
	Count    int         `json:"count"`
	Guides   int         `json:"guides,omitempty"`
	Cites    []diag.Cite `json:"cites,omitempty"`
	Note     string      `json:"note,omitempty"` // what the book adds
	Why      string      `json:"why,omitempty"`  // why it cannot be counted
	Ask      string      `json:"ask,omitempty"`
}

// Plate is where shield plates go over a pipe in wood.
type Plate struct {
	Through string      `json:"through"` // studs, joists, top plate, sole plate
	Member  string      `json:"member"`
	Level   string      `json:"level,omitempty"`
	Clear   unit.Length `json:"clear"` // wood between the hole and a face
	Limit   unit.Length `json:"limit"`
	Count   int         `json:"count"`
	Cites   []diag.Cite `json:"cites,omitempty"`
	Why     string      `json:"why,omitempty"` // why they cannot be counted
	Ask     string      `json:"ask,omitempty"`
}

func cites(c *diag.Cite) []diag.Cite {
	if c == nil {
		return nil
	}
	return []diag.Cite{*c}
}

// frame is what the frame of the house says of each run and vent, gathered once.
type frame struct {
	runs   map[network.RunID][]Support
	vents  map[network.VentID][]Support
	plates map[network.RunID][]Plate
	braces map[network.RunID]int
	feet   map[network.RunID]int
}

// frameOf gathers it.
func frameOf(r *engine.Result) frame {
	f := frame{map[network.RunID][]Support{}, map[network.VentID][]Support{}, map[network.RunID][]Plate{}, map[network.RunID]int{}, map[network.RunID]int{}}
	for i := range r.Framing.Held {
		h := &r.Framing.Held[i]
		if h.Size == 0 || h.Why == "" && h.Count == 0 {
			continue
		}
		s := Support{
			What: h.Word(), Material: h.Material, Size: h.Size, From: h.From, Length: h.Length, Known: h.Known,
			Every: h.Every, Count: h.Count, Guides: h.Guides, Cites: cites(h.Cite), Note: h.Note, Why: h.Why, Ask: h.Ask,
		}
		if h.Run != network.None {
			f.runs[h.Run] = append(f.runs[h.Run], s)
		} else {
			f.vents[h.Vent] = append(f.vents[h.Vent], s)
		}
	}
	for i := range r.Framing.Plates {
		p := &r.Framing.Plates[i]
		f.plates[p.Run] = append(f.plates[p.Run], Plate{Through: p.What, Member: p.Member, Level: p.Where, Clear: p.Clear, Limit: p.Limit, Count: p.Count, Cites: cites(p.Cite), Why: p.Why, Ask: p.Ask})
	}
	for i := range r.Framing.Braces {
		f.braces[r.Framing.Braces[i].Run]++
	}
	for i := range r.Framing.Feet {
		f.feet[r.Framing.Feet[i].Run]++
	}
	return f
}

// some is a list that is never null.
func some(list []Support) []Support {
	if list == nil {
		return []Support{}
	}
	return list
}

// holds lists what holds the pipe: by run, then vents, as the job has them.
func (f *faller) holds() {
	fr := f.r.Framing
	t := newTable("Held", "Pipe", ">Length", ">Every", ">Count", "By")
	var hangers, straps, guides int
	var notes []string
	for i := range fr.Held {
		h := &fr.Held[i]
		if h.Size == 0 || h.Why == "" && h.Count == 0 {
			continue
		}
		every, count, length := f.len(h.Every), strconv.Itoa(h.Count), f.len(h.Length)
		switch {
		case h.ByFloor:
			every = "each floor"
		case h.Every == 0:
			every = "?"
		}
		if !h.Known {
			length = "?"
		}
		by := h.Word() + "s"
		if h.Count == 1 {
			by = h.Word()
		}
		switch {
		case h.Why != "":
			count = "?"
			by = h.Word() + "s: " + h.Why
		case h.Guides == 1:
			by += ", 1 guide half way"
		case h.Guides > 1:
			by += ", " + strconv.Itoa(h.Guides) + " guides half way"
		}
		if h.Level {
			hangers += h.Count
		} else {
			straps += h.Count
		}
		guides += h.Guides
		if n := h.Material + ": " + h.Note; h.Note != "" && !slices.Contains(notes, n) {
			notes = append(notes, n)
		}
		t.add(f.heldName(h), h.Size.Short()+" "+h.Material, length, every, count, by)
	}
	for i := range fr.Braces {
		b := &fr.Braces[i]
		turn := "a turn"
		if b.Turn > 0 {
			turn = "a turn of " + strconv.Itoa(b.Turn/10) + " degrees"
		}
		t.add(f.r.Net.Runs[b.Run].Name, b.Size.Short(), "", "", "1", "brace against sway at "+turn)
	}
	for i := range fr.Feet {
		b := &fr.Feet[i]
		t.add(f.r.Net.Runs[b.Run].Name, b.Size.Short(), "", "", "1", "support under the foot of the stack")
	}
	if len(t.rows) == 0 {
		return
	}
	fmt.Fprintln(f.w)
	t.write(f.w)
	fmt.Fprintf(f.w, "\n%s, %s, %s", count(hangers, "hanger"), count(straps, "riser strap"), count(guides, "guide"))
	if n := len(fr.Braces); n > 0 {
		fmt.Fprintf(f.w, ", %s", count(n, "brace"))
	}
	if c := f.spacingPlace(); c != "" {
		fmt.Fprintf(f.w, " by %s", c)
	}
	fmt.Fprintln(f.w, ". A straight level line is held at both ends; an upright under", f.len(2*unit.Foot), "hangs from its fittings.")
	for _, n := range notes {
		fmt.Fprintln(f.w, n)
	}
}

func (f *faller) heldName(h *framing.Held) string {
	if h.Run == network.None {
		return f.r.Net.Vents[h.Vent].Name + " (vent)"
	}
	name := f.r.Net.Runs[h.Run].Name
	if h.From > 0 {
		name += ", from " + f.len(h.From)
	}
	return name
}

// spacingPlace is where the book prints the spacing.
func (f *faller) spacingPlace() string {
	for i := range f.r.Framing.Held {
		if c := f.r.Framing.Held[i].Cite; c != nil {
			return c.Book + " " + c.At
		}
	}
	return ""
}

// wood lists what goes through wood, and the plates over it.
func (f *faller) wood() {
	fr := f.r.Framing
	t := newTable("Through wood", "Pipe", "What", ">Cut", ">Plates", "")
	for i := range fr.Bores {
		b := &fr.Bores[i]
		run := &f.r.Net.Runs[b.Run]
		what := b.What
		if b.Member != "" {
			what = b.Member + " " + b.What
		}
		if b.Count > 1 {
			what = strconv.Itoa(b.Count) + " " + what
		}
		note := ""
		switch {
		case b.Found && b.What == "joists":
			if b.Count == 0 {
				continue // whether one stands in its way is not known
			}
			note = "of " + b.Level.Name + ", at least: it goes " + f.len(b.Across) + " across them"
		case b.Level != nil && b.Found:
			note = "of " + b.Level.Name + ", by its heights"
		}
		if b.Count == 0 {
			note = "how many is not given"
		}
		plates := "."
		for k := range fr.Plates {
			p := &fr.Plates[k]
			if p.Run == b.Run && p.Seg == b.Seg && p.What == b.What && (b.Level == nil || p.Where == b.Level.Name) {
				plates = strconv.Itoa(p.Count)
				if p.Why != "" {
					plates = "?"
				}
			}
		}
		t.add(run.Name, f.r.Sizes.Size[b.Seg].Short(), what, b.Cut+" "+f.short(b.Need), plates, note)
	}
	if len(t.rows) == 0 {
		return
	}
	fmt.Fprintln(f.w)
	t.write(f.w)
	fmt.Fprintln(f.w, "\nA hole is bored", f.short(unit.Inch/8), "over the pipe. Plates: shield plates, one on each face of each member; where there is a dot, none are needed.")
}

// short is a small measure: inches, or millimetres.
func (f *faller) short(l unit.Length) string {
	if f.sys == unit.Metric {
		return f.len(l)
	}
	return l.Round(unit.Sixtyfourth).Inches()
}

// bays lists the room of level pipe between joists.
func (f *faller) bays() {
	t := newTable("Between joists", ">Size", "Joists", ">Hubs and fall", ">Depth", ">Could run", "")
	for i := range f.r.Framing.Bays {
		b := &f.r.Framing.Bays[i]
		need, depth, run, note := "?", "?", ".", ""
		if b.FallKnown {
			need = f.short((b.Most + b.Fall).Round(unit.Inch / 8))
		}
		if b.Sawn {
			depth = f.short(b.Depth)
		}
		if b.Longest > 0 {
			run = f.len(b.Longest.Round(unit.Inch))
			if f.sys == unit.Metric {
				run = f.len(b.Longest.Round(10 * unit.Millimetre))
			}
		}
		member := b.Member
		switch {
		case member == "":
			member, note = "?", "what joists is not given"
		case !b.Sawn:
			note = "their maker says what fits"
		}
		t.add(f.r.Net.Runs[b.Run].Name, f.r.Sizes.Size[b.Seg].Short(), member, need, depth, run, note)
	}
	if len(t.rows) == 0 {
		return
	}
	fmt.Fprintln(f.w)
	t.write(f.w)
	fmt.Fprintln(f.w, "\nHubs are taken as wide as fittings are made; could run: how far at its slope before the hubs leave the joists.")
}
