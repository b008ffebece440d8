package size

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"trapweir/engine/diag"
	"trapweir/engine/load"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// Why is everything that was weighed for one segment.
type Why struct {
	Run      string    `json:"run"`
	Segment  int32     `json:"segment"`
	Role     string    `json:"role"`
	RoleWhy  string    `json:"roleWhy"`
	Lies     string    `json:"lies"`
	Units    unit.Load `json:"units"`
	AtLeast  bool      `json:"atLeast,omitempty"`
	Closets  int       `json:"waterClosets"`
	Slope    string    `json:"slope,omitempty"`
	Required unit.Size `json:"required"`
	Size     unit.Size `json:"size"`
	Given    bool      `json:"given"`
	Reasons  []Reason  `json:"reasons"` // the governing one first
	Table    unit.Size `json:"tableAlone,omitempty"`
	Spare    string    `json:"spare,omitempty"`  // units (and water closets) left at this size
	Next     []string  `json:"next,omitempty"`   // what would force a bigger pipe next
	IfSize   []IfSize  `json:"ifSize,omitempty"` // of pipe that is there already and whose size is not known
	// Off are one-liners that would speak here and that a layer has switched off: the layer,
	// and over what.
	Off []diag.Cite `json:"switchedOff,omitempty"`
}

// IfSize is what is left in pipe of a size that is not known, should it be Size.
type IfSize struct {
	Size  unit.Size `json:"size"`
	Spare string    `json:"spare"`
}

// mostIf is how many sizes are told of pipe whose size is not known.
const mostIf = 3

// Reason is one constraint in words.
type Reason struct {
	Kind  string      `json:"kind"`
	Min   unit.Size   `json:"min"`
	Text  string      `json:"text"`
	Cites []diag.Cite `json:"cites,omitempty"`
}

// Governing returns the sentence of the governing reason, "" when there is none.
func (z *Sizes) Governing(s network.SegID) Reason {
	ts := z.Terms(s)
	if len(ts) == 0 {
		return Reason{}
	}
	return z.reason(s, ts[0])
}

// Explain words everything that was weighed for a segment.
func (z *Sizes) Explain(s network.SegID) Why {
	seg := &z.net.Segs[s]
	n, _ := z.loads.Count(s, load.Closets)
	w := Why{
		Run: z.net.RunOf(s).Name, Segment: int32(s), Role: seg.Role.String(), RoleWhy: seg.RoleWhy.String(), Lies: seg.Lie.String(),
		Units: z.loads.Units[s], AtLeast: z.loads.AtLeast[s], Closets: n,
		Required: z.Required[s], Size: z.Size[s], Given: z.Given[s],
	}
	if z.arms[s] {
		w.RoleWhy += "; vented where it joins, it is trap arm all the way"
	}
	if seg.Lie != network.Upright {
		c := &chooser{z: z, book: z.book, net: z.net, loads: z.loads}
		w.Slope = c.slopeWords(s, z.Size[s])
	}
	for _, t := range z.Terms(s) {
		w.Reasons = append(w.Reasons, z.reason(s, t))
		if t.Kind == ByTable && t.Cap < unlimited {
			w.Table = max(w.Table, t.Min)
		}
	}
	for i := range z.off {
		if l := &z.off[i]; l.Cite != nil && rolesHave(l.When.Roles, z.roleOf(s)) &&
			z.holds(s, &l.When, z.loads.ClassIndex(l.When.Class), columns(z.loads, l.When.Joins)) {
			w.Off = append(w.Off, *l.Cite)
		}
	}
	w.Spare, w.Next = z.room(s, z.Size[s])
	if z.net.RunOf(s).Def.State.Text == "existing" && !z.Given[s] {
		for _, size := range z.stock {
			if size < z.Required[s] || len(w.IfSize) == mostIf {
				continue
			}
			if spare, _ := z.room(s, size); spare != "" {
				w.IfSize = append(w.IfSize, IfSize{size, spare})
			}
		}
	}
	return w
}

func (z *Sizes) reason(s network.SegID, t Term) Reason {
	r := Reason{Kind: t.Kind.String(), Min: t.Min}
	switch t.Kind {
	case ByTable:
		sz := &z.sizing[t.Ref]
		tab, _ := z.book.Table(sz.Table)
		need := z.loads.Units[s]
		if sz.Measure == "branch interval" {
			need = z.loads.Interval[s]
		}
		at := ""
		if sz.Column == "by slope" || len(sz.Slopes) > 0 {
			c := &chooser{z: z, book: z.book, net: z.net, loads: z.loads}
			at = " at " + c.slopeWords(s, t.Min)
		}
		switch {
		case t.Cap < need:
			r.Text = "more than the " + units(t.Cap) + " of " + t.Min.String() + ", where the table ends" + at
		case t.Cap >= unlimited:
			r.Text = "no number of units is printed for " + t.Min.String() + " here" + at
		case sz.Measure == "branch interval":
			r.Text = need.String() + " of the " + units(t.Cap) + " that may enter a " + t.Min.String() + " stack in one branch interval"
		default:
			r.Text = need.String() + " of the " + units(t.Cap) + " that " + t.Min.String() + " may carry" + at
		}
		if tab != nil {
			r.Cites = citesOf(tab.Cite)
			if cell := z.cellCite(s, t.Ref, t.Min); cell != nil {
				r.Cites = citesOf(cell)
			}
		}
	case ByLimit:
		l := &z.limits[t.Ref]
		r.Text = l.Say
		r.Cites = citesOf(l.Cite)
	case ByParam:
		r.Text = minParams[t.Ref].say + ": at least " + t.Min.String()
		r.Cites = citesOf(z.params[t.Ref].Cite)
	case ByTrap:
		f := &z.net.Fixtures[t.Ref]
		r.Text = "it takes the " + t.Min.String() + " trap of " + f.Kind.A()
		r.Cites = citesOf(z.loads.Fixture[t.Ref].TrapCite)
	case ByCarried:
		p := &z.loads.Part[t.Ref]
		r.Text = p.TrapOf.A() + " drains into it, through a " + t.Min.String() + " trap"
		r.Cites = citesOf(p.TrapCite)
	case ByUpstream:
		u := network.SegID(t.Ref)
		r.Text = "never smaller than what drains into it: " + z.net.RunOf(u).Name + " is " + t.Min.String()
		if t.Min > z.Required[u] {
			r.Text += " as built"
		}
		if cite, ok := z.book.Clause("no-reduction"); ok {
			r.Cites = []diag.Cite{cite}
		}
	case ByFloor:
		f := &z.floors[t.Ref]
		r.Text = f.Say
		r.Cites = []diag.Cite{f.Cite}
	case ByQuestion:
		l := &z.limits[t.Ref]
		r.Text = "what drains into it is given in units alone; should one of them be a water closet: " + l.Say
		r.Cites = citesOf(l.Cite)
	case ByUpright:
		x := &z.reach[t.Ref]
		j := z.net.Job.Units
		r.Text = "it stands " + z.fallen[s].In(j) + " tall; upright pipe of " + x.size.String() + " may be " + x.most.In(j)
		r.Cites = citesOf(x.cite)
	case ByBelow:
		r.Text = "nothing runs in it; it goes on up in the size of the pipe below"
	case ByStock:
		r.Text = "nothing asks for more; " + t.Min.String() + " is the smallest size there is"
		if z.shop {
			r.Text = "nothing asks for more; " + t.Min.String() + " is the smallest size on the truck"
			r.Cites = []diag.Cite{z.stockC}
		}
	}
	return r
}

// cellCite is the citation of the cell that was read: its own where a layer changed it or
// it stands on other authority than its table, else nil.
func (z *Sizes) cellCite(s network.SegID, sizing int32, size unit.Size) *diag.Cite {
	c, at, ok := z.reader(sizing)
	if !ok {
		return nil
	}
	for i := range at.table.Rows {
		row := &at.table.Rows[i]
		if row.Size != size {
			continue
		}
		col := at.column
		if col < 0 {
			col = c.slopeColumn(at.table, row, c.slopeAt(s, size))
		}
		if col < 0 || col >= len(row.Cells) {
			return nil
		}
		return row.Cells[col].Cite
	}
	return nil
}

// room says what is left at a size, and what would be the next thing to force a bigger pipe.
func (z *Sizes) room(s network.SegID, size unit.Size) (spare string, next []string) {
	var parts []string
	if capacity, ref := z.CapacityAt(s, size); ref >= 0 && capacity > 0 && capacity < unlimited {
		c := &chooser{z: z, net: z.net, loads: z.loads, book: z.book}
		need := c.measure(s, &z.sizing[ref])
		if left := capacity - need; left >= 0 {
			parts = append(parts, units(left)+" left of "+capacity.String())
			if left == 0 {
				next = append(next, "any more units")
			} else {
				next = append(next, "over "+left.String()+" more "+unitWord(left))
			}
		} else {
			parts = append(parts, units(-left)+" over the "+capacity.String()+" it may carry")
		}
	}
	// Of each class the count at which the first one-liner would speak.
	type step struct {
		class string
		nth   int
		have  int
		min   unit.Size
	}
	var steps []step
	for i := range z.limits {
		l := &z.limits[i]
		if l.Min <= size || l.When.Class == "" || !rolesHave(l.When.Roles, z.roleOf(s)) {
			continue
		}
		n, ok := z.loads.Count(s, l.When.Class)
		nth := max(1, l.When.ClassCount)
		if !ok || n >= nth || !z.inPlace(s, &l.When) {
			continue
		}
		x := step{l.When.Class, nth, n, l.Min}
		k := slices.IndexFunc(steps, func(y step) bool { return y.class == x.class })
		switch {
		case k < 0:
			steps = append(steps, x)
		case x.nth < steps[k].nth || x.nth == steps[k].nth && x.min > steps[k].min:
			steps[k] = x
		}
	}
	slices.SortStableFunc(steps, func(a, b step) int { return int(a.nth-b.nth)*1000 + cmp.Compare(a.min, b.min) })
	for i := 0; i < len(steps); i++ {
		x := steps[i]
		if x.nth > 1 {
			left := strconv.Itoa(x.nth - 1 - x.have)
			if x.nth-1 == x.have {
				left = "no"
			}
			parts = append(parts, left+" "+plural(x.class, x.nth-1-x.have)+" left of "+strconv.Itoa(x.nth-1))
		}
		// Those that ask for one size at one count are told together.
		kinds := []string{x.class}
		for i+1 < len(steps) && steps[i+1].nth == x.nth && steps[i+1].min == x.min && x.nth == 1 {
			i++
			kinds = append(kinds, steps[i].class)
		}
		next = append(next, "the "+ordinal(x.nth)+" "+strings.Join(kinds, ", ")+" ("+x.min.String()+")")
	}
	return strings.Join(parts, "; "), next
}

func unitWord(l unit.Load) string {
	if l == unit.Unit {
		return "unit"
	}
	return "units"
}

func ordinal(n int) string {
	switch n {
	case 1:
		return "first"
	case 2:
		return "second"
	case 3:
		return "third"
	case 4:
		return "fourth"
	case 5:
		return "fifth"
	case 6:
		return "sixth"
	}
	return strconv.Itoa(n) + "th"
}
