package vent

import (
	"slices"
	"strconv"
	"strings"

	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/load"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/unit"
)

// Sized is the size of one vent and why.
type Sized struct {
	Required unit.Size
	Size     unit.Size // as given, else Required
	Given    bool
	Drain    unit.Size // largest required drain that it vents
	Units    unit.Load // fixture units that it vents
	Closets  int
	Length   unit.Length // developed length, measured as the book measures it
	Known    bool        // Length is known
	Level    unit.Length // of it level, own legs
	Reasons  []size.Reason
	Serves   []network.FixID
}

// SizeAll sizes the vents and judges the sizes that the job gives.
func SizeAll(n *network.Net, l *load.Loads, z *size.Sizes, b *codebook.Book, v *Vents) []diag.Diagnostic {
	t := &tracer{net: n, loads: l, sizes: z, book: b, out: v}
	t.p = readParams(b)
	v.Size = make([]Sized, len(n.Vents))
	t.feet = t.islandFeet()
	t.serve()
	t.onWaste = t.wasteStacks()
	for i := range n.Vents {
		t.sizeVent(network.VentID(i))
	}
	// A vent is never smaller than what feeds it needs: carry sizes toward the open air.
	for i := range n.Vents {
		for _, p := range t.path(network.VentID(i))[1:] {
			if x := v.Size[i].Required; x > v.Size[p].Required {
				v.Size[p].Required = x
				v.Size[p].Reasons = append([]size.Reason{{Kind: "upstream", Min: x, Text: "never smaller than vent " + n.Vents[i].Name + ", which joins it"}}, v.Size[p].Reasons...)
			}
		}
	}
	t.reliefs()
	t.mainVent()
	t.enlargeForArea()
	for i := range n.Vents {
		t.judgeVent(network.VentID(i))
	}
	t.aggregate()
	t.lengthsUnknown()
	t.lengthsOpen()
	return t.diags
}

// serve tells every vent which traps breathe through it.
func (t *tracer) serve() {
	n := t.net
	for i := range t.out.Trap {
		r := t.out.Trap[i].Reading()
		if r == nil || r.Vent == network.None {
			continue
		}
		f := network.FixID(i)
		drain := t.sizes.Required[n.Fixtures[i].Seg]
		for s := n.Fixtures[i].Seg; s != network.None && s != r.Open; s = n.Segs[s].Down {
			drain = max(drain, t.sizes.Required[s])
			if n.Segs[s].Down == r.Open {
				break
			}
		}
		// The dry vent of a wet vent goes by the largest pipe of the whole wet-vented
		// system, arms included.
		for _, s := range r.Wet {
			drain = max(drain, t.sizes.Required[s])
		}
		for _, p := range t.path(r.Vent) {
			x := &t.out.Size[p]
			x.Drain = max(x.Drain, drain)
			x.Units += t.loads.Fixture[i].Units
			if n.Fixtures[i].Kind.Has(classCloset) {
				x.Closets++
			}
			x.Serves = append(x.Serves, f)
		}
	}
	// Vents on drains whose traps are not drawn, on stacks, and pumps' basins. Several that
	// leave one place count what drains there once in the vent in which they come together.
	type part struct {
		seg     network.SegID
		units   unit.Load
		closets int
	}
	counted := map[network.VentID][]part{}
	bare := make([]bool, len(n.Vents))
	for i := range n.Vents {
		bare[i] = t.out.Size[i].Drain == 0
	}
	var breathe []network.FixID
	for i := range t.out.Trap {
		if r := t.out.Trap[i].Reading(); r != nil && r.Vent != network.None {
			breathe = append(breathe, network.FixID(i))
		}
	}
	for i := range n.Vents {
		for _, k := range n.Vents[i].Takes {
			foot, stack := t.footFor(network.VentID(i), k)
			if k.Seg == network.None || !bare[i] && !stack {
				continue
			}
			d := unit.Size(0)
			if role := n.Segs[k.Seg].Role; stack && role != network.Stack && role != network.StackOffset {
				d = t.sizes.Required[foot] // at its base or past it, where the drain may be larger
			} else {
				for _, u := range n.Up(k.Seg) {
					d = max(d, t.sizes.Required[u])
				}
			}
			if d == 0 {
				d = t.sizes.Required[k.Seg]
			}
			from, units, closets := k.Seg, unit.Load(0), 0
			if stack {
				// The vent of a stack brings air to all that comes down it, but for traps
				// that are known to breathe elsewhere.
				from = foot
				units, closets = t.through(foot, breathe)
			}
			for _, p := range t.path(network.VentID(i)) {
				y := &t.out.Size[p]
				if bare[i] {
					y.Drain = max(y.Drain, d)
				}
				// What drains past two take-offs counts at the lower one.
				if slices.ContainsFunc(counted[p], func(c part) bool { return t.drainsPast(from, c.seg) }) {
					continue
				}
				for _, c := range counted[p] {
					if t.drainsPast(c.seg, from) {
						y.Units -= c.units
						y.Closets -= c.closets
					}
				}
				counted[p] = slices.DeleteFunc(counted[p], func(c part) bool { return t.drainsPast(c.seg, from) })
				if !stack {
					units, closets = t.through(from, y.Serves)
				}
				counted[p] = append(counted[p], part{from, units, closets})
				y.Units += units
				y.Closets += closets
			}
		}
	}
}

// drainsPast: what comes through a segment comes through another too.
func (t *tracer) drainsPast(s, past network.SegID) bool {
	for s != network.None && s < past {
		s = t.net.Segs[s].Down
	}
	return s == past
}

// through is what drains through a place, some traps left out: those that are counted in the
// vent already, or breathe elsewhere. Air goes in and out of a pump's basin by what comes in,
// not by what the pump sends on.
func (t *tracer) through(s network.SegID, out []network.FixID) (units unit.Load, closets int) {
	n := t.net
	basin := n.Segs[s].Basin
	if basin {
		for _, u := range n.Up(s) {
			units += t.loads.Units[u]
			c, _ := t.loads.Count(u, load.Closets)
			closets += c
		}
	} else {
		units = t.loads.Units[s]
		closets, _ = t.loads.Count(s, load.Closets)
	}
	for _, f := range out {
		d := n.Fixtures[f].Seg
		for d != network.None && d < s && n.Segs[d].Down != s {
			d = n.Segs[d].Down
		}
		if d == network.None || d > s || d == s && basin {
			continue
		}
		units -= t.loads.Fixture[f].Units
		if n.Fixtures[f].Kind.Has(classCloset) {
			closets--
		}
	}
	return max(0, units), max(0, closets)
}

func (t *tracer) sizeVent(v network.VentID) {
	n := t.net
	vent := &n.Vents[v]
	x := &t.out.Size[v]
	x.Length, x.Known = t.ventLength(v)
	x.Level = vent.Level
	add := func(kind string, min unit.Size, text string, cites ...*diag.Cite) {
		if min <= 0 {
			return
		}
		r := size.Reason{Kind: kind, Min: min, Text: text}
		for _, c := range cites {
			if c != nil {
				r.Cites = append(r.Cites, *c)
			}
		}
		x.Reasons = append(x.Reasons, r)
		x.Required = max(x.Required, min)
	}
	if p := t.book.Param("vent.min-size"); p.State == codebook.Given {
		add("minimum", p.Size, "no vent is smaller", p.Cite)
	}
	if basin, alone := t.basin(v); basin != network.None {
		t.sumpVent(v, basin, add)
		if _, ok := t.book.Clause("sump-vent"); ok && alone {
			t.order(x)
			return
		}
	}
	if p := t.book.Param("vent.half-of-drain"); p.State == codebook.Given && p.Yes && x.Drain > 0 {
		add("half", half(x.Drain, t.ventSizes()), "half of the "+x.Drain.String()+" drain that it vents", p.Cite)
	}
	if p := t.book.Param("vent.closet-min-size"); p.State == codebook.Given && x.Closets > 0 {
		add("minimum", p.Size, "it vents a water closet", p.Cite)
	}
	t.byTrap(v, add)
	t.byTable(v, add)
	t.branchVent(v, add)
	t.combinationVent(v, add)
	if r := t.onWaste[v]; r != nil {
		add("waste stack", t.sizes.Required[r.Open], "the vent of a waste stack is as large as the stack", &r.Cite)
	}
	if !t.header(v, add) && !t.stackVent(v, add) {
		t.long(v, add)
	}
	t.order(x)
}

func (t *tracer) order(x *Sized) {
	for i := range x.Reasons {
		if x.Reasons[i].Min > x.Reasons[0].Min {
			x.Reasons[0], x.Reasons[i] = x.Reasons[i], x.Reasons[0]
		}
	}
}

// ventSizes are the sizes that vents step through.
func (t *tracer) ventSizes() []unit.Size { return unit.InchSizes() }

// stocked is the smallest size on the truck that is not under s.
func (t *tracer) stocked(s unit.Size) unit.Size {
	if st, _, ok := t.book.Stock(); ok {
		for _, x := range st {
			if x >= s {
				return x
			}
		}
	}
	return s
}

// half is the smallest size that is at least half of a drain's.
func half(drain unit.Size, sizes []unit.Size) unit.Size {
	for _, s := range sizes {
		if 2*s >= drain {
			return s
		}
	}
	return drain
}

// basin is the pump's basin that a vent leaves, or None; alone: it brings air to nothing else.
func (t *tracer) basin(v network.VentID) (basin network.SegID, alone bool) {
	basin, alone = network.None, len(t.net.Vents[v].Feeds) == 0
	for _, k := range t.net.Vents[v].Takes {
		if k.Seg != network.None && t.net.Segs[k.Seg].Basin {
			basin = k.Seg
		} else {
			alone = false
		}
	}
	return basin, alone
}

// sumpVent sizes the vent of a basin. By the book's table of pumps, where it has one, it
// picks the first size whose printed length reaches; fittings count by the book's share on
// top of the pipe. Else it is sized like any vent, by what drains into the basin.
func (t *tracer) sumpVent(v network.VentID, basin network.SegID, add func(string, unit.Size, string, ...*diag.Cite)) {
	tab, ok := t.book.Table("sump-vent")
	x := &t.out.Size[v]
	if p := t.book.Param("sump-vent.min-size"); p.State == codebook.Given {
		add("minimum", p.Size, "it vents the basin of a pump", p.Cite)
	}
	if p := t.book.Param("sump-vent.pneumatic-min"); p.State == codebook.Given && t.net.RunOf(basin).Def.Basin.Pneumatic.V {
		add("minimum", p.Size, "it vents an ejector that air pushes", p.Cite)
		return // the table is one of pumps
	}
	if !ok {
		if p := t.book.Param("vent.closet-min-size"); p.State == codebook.Given && x.Closets > 0 {
			add("minimum", p.Size, "water closets drain into the basin that it vents", p.Cite)
		}
		t.byTable(v, add)
		return
	}
	gpm := t.net.RunOf(basin).Def.Basin.Pump.V
	if gpm == 0 {
		return // the flow is asked for where the pump's load is
	}
	// From the basin on, whatever joins it from farther away.
	name := t.net.Vents[v].Name
	_, long, known := t.net.Outdoors(v)
	if !known {
		t.askSize(v, "vent-undersized", tab, name+" vents the basin of a "+gpm.String()+" pump, and how long it is is not given", "how long is "+name+", from the basin to the open air?")
		return
	}
	length := long
	if p := t.book.Param("sump-vent.fitting-share"); p.State == codebook.Given {
		length += unit.Length(int64(length) * p.Number / 100)
	}
	for i := range tab.Rows {
		row := &tab.Rows[i]
		// The key is the pump's flow; the first row that reaches it speaks.
		key, err := unit.ParseLoad(row.Key)
		if err != nil || unit.Flow(int64(key)*int64(unit.GPM)/int64(unit.Unit)) < gpm {
			continue
		}
		for k, c := range row.Cells {
			s, err := unit.ParseSize(tab.Columns[k])
			if err != nil {
				continue
			}
			reach := c.Length
			if reach == 0 {
				reach = unit.Length(int64(c.Load) / int64(unit.Unit) * int64(unit.Foot))
			}
			if c.State == codebook.NoLimit || c.State == codebook.Given && reach >= length {
				add("table", s, "a basin vent for a "+gpm.String()+" pump, "+long.In(t.net.Job.Units)+" long with its fittings", tab.Cite)
				return
			}
		}
	}
	t.askSize(v, "vent-undersized", tab, name+" vents the basin of a "+gpm.String()+" pump and is "+long.In(t.net.Job.Units)+" long, and the book's table ends before that", "how large a vent does the authority ask for the basin of a "+gpm.String()+" pump, "+long.In(t.net.Job.Units)+" long?")
}

// askSize asks how large a vent is where the book's table does not tell.
func (t *tracer) askSize(v network.VentID, rule string, tab *codebook.Table, msg, ask string) {
	vent := &t.net.Vents[v]
	if vent.Def.State.Text == "existing" {
		return
	}
	d := diag.Diagnostic{
		Severity: diag.Unchecked, Rule: rule, On: diag.Ref{What: diag.Vent, Name: vent.Name, Segment: network.None}, At: vent.Def.At,
		Message: msg, Ask: ask,
	}
	if tab.Cite != nil {
		d.Cites = []diag.Cite{*tab.Cite}
	}
	t.diags = append(t.diags, d)
}

// byTable reads a book's vent columns (units and length), where it has them.
func (t *tracer) byTable(v network.VentID, add func(string, unit.Size, string, ...*diag.Cite)) {
	tab, ok := t.book.Table("pipe-capacity")
	x := &t.out.Size[v]
	if !ok || x.Units == 0 {
		return
	}
	uc, lc := -1, -1
	for k, h := range tab.Columns {
		switch h {
		case "vent-units":
			uc = k
		case "vent-length":
			lc = k
		}
	}
	if uc < 0 {
		return
	}
	level := t.levelOut(v)
	// The size that all else asks for. One size over it the book sets no limit of length.
	base := unit.Size(0)
	for i := range tab.Rows {
		row := &tab.Rows[i]
		c := &row.Cells[uc]
		if c.State != codebook.Given || c.Load < x.Units {
			continue
		}
		if base == 0 {
			add("table", row.Size, "it vents "+plural(x.Units)+"; "+row.Size.String()+" serves "+c.Load.String(), tab.Cite)
			base = x.Required
		}
		if row.Size < base {
			continue
		}
		if lc < 0 || row.Cells[lc].State != codebook.Given {
			return
		}
		if row.Size > base {
			add("length", row.Size, "it is "+t.howLong(x)+" long, "+level.In(t.net.Job.Units)+" of it level", tab.Cite)
			return
		}
		most := lengthOf(&row.Cells[lc])
		ok := x.Length <= most
		if share := t.book.Param("vent.horizontal-share"); ok && share.State == codebook.Given {
			ok = within(level, most, share)
		}
		if ok {
			return
		}
	}
}

// levelOut is how much of a vent lies level from its start to the open air, with what it
// goes on in.
func (t *tracer) levelOut(v network.VentID) (sum unit.Length) {
	n := t.net
	path := t.path(v)
	for i, id := range path {
		skip := unit.Length(0)
		if i > 0 {
			if in := n.Vents[path[i-1]].Def.Into; in.Kind == job.AtLength {
				skip = in.Len
			}
		}
		if len(n.Vents[id].Def.Legs) == 0 {
			sum += max(0, n.Vents[id].Level-skip)
		}
		for _, l := range n.Vents[id].Def.Legs {
			have := max(0, l.Length.V-skip)
			skip = max(0, skip-l.Length.V)
			if l.Way.Plumb > 450 {
				sum += have
			}
		}
	}
	return sum
}

// within reports whether a part is no more than a share of the whole; a fraction is taken as
// it is printed.
func within(part, whole unit.Length, share codebook.Param) bool {
	num, den := share.Number, int64(100)
	if a, b, ok := strings.Cut(share.Text, "/"); ok {
		x, err := strconv.ParseInt(a, 10, 32)
		y, bad := strconv.ParseInt(b, 10, 32)
		if err == nil && bad == nil && y > 0 {
			num, den = x, y
		}
	}
	return int64(part)*den <= int64(whole)*num
}

func lengthOf(c *codebook.Cell) unit.Length {
	if c.Length > 0 {
		return c.Length
	}
	return unit.Length(int64(c.Load) / int64(unit.Unit) * int64(unit.Foot))
}

// wasteStacks gives, by the vent that stands on it, the waste stack reading of a trap.
func (t *tracer) wasteStacks() map[network.VentID]*Reading {
	var out map[network.VentID]*Reading
	for i := len(t.out.Trap) - 1; i >= 0; i-- {
		if r := t.out.Trap[i].Reading(); r != nil && r.Method == WasteStack {
			if out == nil {
				out = map[network.VentID]*Reading{}
			}
			out[r.Vent] = r
		}
	}
	return out
}

// long applies the rule that a long vent is larger for its whole length.
func (t *tracer) long(v network.VentID, add func(string, unit.Size, string, ...*diag.Cite)) {
	x := &t.out.Size[v]
	p := t.book.Param("vent.long-length")
	if p.State != codebook.Given || x.Length <= p.Length {
		return
	}
	s := x.Required
	steps := int64(100)
	if q := t.book.Param("vent.long-steps"); q.State == codebook.Given {
		steps = q.Number
	}
	for ; steps > 0; steps -= 100 {
		if next, ok := unit.NextSize(s); ok {
			s = next
		}
	}
	add("length", s, "it is "+t.howLong(x)+" long; over "+p.Length.In(t.net.Job.Units)+" the whole vent is a size larger", p.Cite)
}

// howLong is the length of a vent in words. Where legs of it are not measured the rest is the
// least that it can be, and what that asks for is certain.
func (t *tracer) howLong(x *Sized) string {
	if !x.Known {
		return "at least " + x.Length.In(t.net.Job.Units)
	}
	return x.Length.In(t.net.Job.Units)
}

// lengthsOpen asks once how long the vents are of which legs are not measured, where the rest
// alone is half as long as the size that they are given may be, or more.
func (t *tracer) lengthsOpen() {
	n := t.net
	p := t.book.Param("vent.long-length")
	tab, has := t.book.Table("pipe-capacity")
	var names []string
	d := diag.Diagnostic{Severity: diag.Unchecked, Rule: "vent-too-long"}
	for i := range n.Vents {
		x, vent := &t.out.Size[i], &n.Vents[i]
		limit, cite := p.Length, p.Cite
		if p.State != codebook.Given && has {
			c := tab.Cell(x.Required, "vent-length")
			limit, cite = 0, tab.Cite
			if c.State == codebook.Given {
				limit = lengthOf(&c)
			}
		}
		if rows, ok := t.book.Table("stack-vent-length"); ok {
			if foot, ok := t.footOf(network.VentID(i)); ok {
				limit, cite = 0, rows.Cite
				if c, _ := stackVentRow(rows, max(t.sizes.Size[foot], t.sizes.Required[foot]), max(x.Units, t.loads.Units[foot]), x.Length, x.Required); c != nil {
					limit = c.Length
				}
			}
		}
		if x.Known || limit == 0 || x.Length > limit || 2*x.Length < limit || vent.Def.State.Text == "existing" {
			continue
		}
		if len(names) == 0 {
			d.On, d.At = diag.Ref{What: diag.Vent, Name: vent.Name, Segment: network.None}, vent.Def.At
			d.Limit = limit.In(n.Job.Units)
			if cite != nil {
				d.Cites = []diag.Cite{*cite}
			}
		}
		names = append(names, vent.Name)
	}
	if len(names) == 0 {
		return
	}
	who := strings.Join(names, ", ")
	d.Message = who + ": how long the vent is cannot be told, as legs of it are not measured; it is sized by the rest"
	d.Ask = "how long is every leg of " + who + "? write the lengths in its `legs`"
	t.diags = append(t.diags, d)
}

func (t *tracer) judgeVent(v network.VentID) {
	n := t.net
	vent := &n.Vents[v]
	x := &t.out.Size[v]
	x.Size = t.stocked(x.Required)
	if g := vent.Def.Size.V; g > 0 {
		x.Size, x.Given = g, true
	}
	if !x.Given || x.Size >= x.Required {
		return
	}
	// Which reason asks for more than is there?
	d := diag.Diagnostic{
		Severity: diag.Error, Rule: "vent-undersized", On: diag.Ref{What: diag.Vent, Name: vent.Name, Segment: network.None}, At: vent.Def.Size.At,
		Got: x.Size.String(), Limit: x.Required.String(), Try: "make vent " + vent.Name + " " + x.Required.String() + " for its whole length",
	}
	onlyLength := true
	for _, r := range x.Reasons {
		if r.Min > x.Size {
			if !byLength(r) {
				onlyLength = false
				if len(d.Cites) == 0 {
					d.Message = "vent " + vent.Name + " is " + x.Size.String() + "; " + r.Text + ", and that asks for " + r.Min.String()
					d.Cites = r.Cites
				}
			}
		}
	}
	if onlyLength {
		for _, r := range x.Reasons {
			if byLength(r) {
				d.Rule = "vent-too-long"
				d.Message = "vent " + vent.Name + " is " + x.Size.String() + "; " + r.Text
				d.Cites, d.Got = r.Cites, x.Length.In(t.net.Job.Units)
				if p := t.book.Param("vent.long-length"); p.State == codebook.Given && r.Kind == "length" {
					d.Limit = p.Length.In(t.net.Job.Units)
				}
			}
		}
	}
	if cite, ok := t.book.Clause("existing-arm"); ok && t.allOld(v) {
		d.Severity = diag.Warning
		d.Message += "; it is old as all that it vents, and may stay so until it is changed"
		d.Try = "leave it as it is, or " + d.Try + " when the wall is open"
		d.Cites = append(d.Cites, cite)
	}
	t.diags = append(t.diags, d)
}

// byLength: it is how long the vent is that asks for the size.
func byLength(r size.Reason) bool { return r.Kind == "length" || r.Kind == "stack vent" }

// aggregate adds up the areas of the vents through the roof where a book asks that they
// equal the required building sewer. Areas are compared as squares of nominal diameters,
// so no irrational number decides.
func (t *tracer) aggregate() {
	n := t.net
	p := t.book.Param("vent.aggregate-area")
	if p.State != codebook.Given || !p.Yes || n.Outlet == network.None {
		return
	}
	need := t.sizes.Required[n.Outlet]
	// What brings air only to what a pump lifts does not count.
	var sum, pumped, terminals int64
	for i := range n.Vents {
		if n.Vents[i].End != network.ThroughRoof {
			continue
		}
		terminals++
		if n.Pumped(network.VentID(i)) {
			pumped += squares(t.out.Size[i].Size)
		} else {
			sum += squares(t.out.Size[i].Size)
		}
	}
	q := squares(need)
	if terminals == 0 || sum >= q {
		return
	}
	d := diag.Diagnostic{
		Severity: diag.Error, Rule: "vent-aggregate-area-short", On: diag.Ref{What: diag.Job, Name: "house", Segment: network.None}, At: n.Job.Title.At,
		Message: "the vents through the roof have " + area(sum) + " in all; the required building sewer of " + need.String() + " has " + area(q),
		Got:     area(sum), Limit: area(q),
		Try: "enlarge a vent to the roof, or add one: " + area(q-sum) + " are missing",
	}
	if pumped > 0 {
		d.Message += "; those of what a pump lifts, " + area(pumped) + ", are left out"
		if sum+pumped >= q {
			d.Severity = diag.Warning // that they are left out is a weak memory of the book
		}
	}
	if p.Cite != nil {
		d.Cites = []diag.Cite{*p.Cite}
	}
	if hasParts(n) || !reachesStreet(n) {
		d.Severity = diag.Unchecked
		d.Ask = "which other vents of the house go through the roof, and how large is the smallest part of each?"
	}
	t.diags = append(t.diags, d)
}

// hasParts: something that is not drawn may have vents of its own. A part from which a
// vent is drawn is taken to be drawn whole.
func hasParts(n *network.Net) bool {
	vented := map[network.RunID]bool{}
	for i := range n.Vents {
		for _, k := range n.Vents[i].Takes {
			vented[k.Run] = true
		}
	}
	for i := range n.Runs {
		if n.Runs[i].Def.Carries.Set && !vented[network.RunID(i)] {
			return true
		}
	}
	return false
}

// reachesStreet: the outlet is the line that leaves the house. A job that ends in a house
// drain draws a part of a house, whose other vents count as well.
func reachesStreet(n *network.Net) bool {
	to := strings.ToLower(n.Job.Outlet.To.Text)
	return strings.Contains(to, "sewer") || strings.Contains(to, "septic")
}

// area writes quarter-inch squares as square inches of a circle, two decimals.
func area(quarterSquares int64) string {
	// pi/4 * (q/4)^2 square inches; 785398/1e6 is pi/4 to the digits shown.
	hundredths := (quarterSquares*785398/16 + 5000) / 10000
	whole, frac := hundredths/100, hundredths%100
	f := itoa(int(frac))
	if frac < 10 {
		f = "0" + f
	}
	return itoa(int(whole)) + "." + f + " sq in"
}
