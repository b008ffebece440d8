package propose

import (
	"slices"
	"strconv"
	"strings"

	"trapweir/engine"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/unit"
	"trapweir/engine/vent"
)

// Short cautions for work that can hurt somebody.
const (
	careOld  = "old pipe can be heavy cast iron, lead, or wrapped with asbestos: find out before it is cut, and hold up what hangs on it"
	careRoof = "work on a roof needs a hold against a fall"
)

// mixedMethods is the rule that speaks of one way of venting behind another.
const mixedMethods = "mixed-vent-methods"

// venting rules speak of how a trap is vented.
func venting(rule string) bool {
	switch rule {
	case "unvented-fixture", "s-trap", "vent-below-trap-weir", "trap-arm-too-long", "trap-arm-too-short",
		"trap-arm-fall-exceeds-diameter", "vent-place", "waste-stack-wc":
		return true
	}
	return strings.HasPrefix(rule, "wet-vent-") || strings.HasPrefix(rule, "circuit-") || strings.HasPrefix(rule, "cwv-")
}

// number gives a length the way a job file of this job writes it: 5' 6-1/2", 1650 mm.
func (w *work) number(l unit.Length) string {
	if w.r.Job.Units == unit.Metric {
		return l.In(unit.Metric)
	}
	s := l.String()
	ft, in := "", s
	if head, rest, ok := strings.Cut(s, " ft"); ok {
		ft, in = head+"'", strings.TrimSpace(rest)
	}
	if in != "" {
		in = strings.TrimSuffix(in, " in") + `"`
	}
	return strings.TrimSpace(ft + " " + in)
}

// sayFall gives a slope the way a job file of this job writes it, so that it is read as the same
// slope: 1/4 in per ft, 1:48, 3 %.
func (w *work) sayFall(s unit.Slope) string {
	if w.r.Job.Units == unit.Metric {
		for _, text := range []string{s.Ratio(), s.Percent()} {
			if got, err := unit.ParseSlope(text); err == nil && got.Cmp(s) == 0 {
				return text
			}
		}
	}
	text, err := s.MarshalText()
	if err != nil {
		return s.String()
	}
	return string(text)
}

// slopeLimit reads the slope that a rule asks for. A metric job is told percent to two places;
// a fall of one in a whole number that is told so is what was meant: 2.08 % is 1:48.
func slopeLimit(limit string) (unit.Slope, error) {
	s, err := unit.ParseSlope(limit)
	if err != nil || s.Fall <= 0 || s.Run <= 0 {
		return s, err
	}
	if whole := (unit.Slope{Fall: 1, Run: (s.Run + s.Fall/2) / s.Fall}); whole.Given() && whole.Percent() == limit {
		return whole, nil
	}
	return s, nil
}

// short rounds down to what is easily read on a tape: an inch, or a centimetre.
func (w *work) short(l unit.Length) unit.Length {
	step := unit.Inch
	if w.r.Job.Units == unit.Metric {
		step = 10 * unit.Millimetre
	}
	if l < 0 {
		return 0
	}
	return l - l%step
}

// least is a least length as it is set out on site: in a metric job up to the centimetre.
func (w *work) least(l unit.Length) unit.Length {
	if w.r.Job.Units == unit.Metric {
		return w.stepUp(l)
	}
	return l
}

// toward is the limit of a finding as it is set out on site: rounded to the side on which the
// limit holds, away from what was found.
func (w *work) toward(f *diag.Diagnostic, l unit.Length) unit.Length {
	if w.r.Job.Units != unit.Metric {
		return l
	}
	if got, err := measureOf(f.Got); err == nil && got > l {
		return w.short(l)
	}
	return w.least(l)
}

// tape rounds a limit down to a mark of the tape: an eighth of an inch, or a millimetre.
func (w *work) tape(l unit.Length) unit.Length {
	if w.r.Job.Units == unit.Metric {
		return l - l%unit.Millimetre
	}
	return l - l%(unit.Inch/8)
}

// say gives a length for a sentence.
func (w *work) say(l unit.Length) string { return l.In(w.r.Job.Units) }

// runNamed returns the run with a name, or None.
func runNamed(r *engine.Result, name string) network.RunID {
	if x, ok := r.Net.Find(name); ok {
		return x.Run
	}
	return network.None
}

// ventNamed returns the vent with a name, or None.
func ventNamed(r *engine.Result, name string) network.VentID {
	if x, ok := r.Net.Find(name); ok {
		return x.Vent
	}
	return network.None
}

// fixtureOn is the fixture on the run that a finding points at, or None.
func fixtureOn(r *engine.Result, on diag.Ref) network.FixID {
	if on.What != diag.Run && on.What != diag.Fixture {
		return network.None
	}
	if id := runNamed(r, on.Name); id != network.None {
		return r.Net.Runs[id].Fixture
	}
	return network.None
}

func (w *work) fixture(f network.FixID) (*network.Fixture, *network.Run) {
	fx := &w.r.Net.Fixtures[f]
	return fx, &w.r.Net.Runs[fx.Run]
}

// free makes a name that nothing has.
func (w *work) free(name string, taken ...string) string {
	used := func(s string) bool {
		if _, ok := w.r.Net.Find(s); ok {
			return true
		}
		for _, t := range taken {
			if t == s {
				return true
			}
		}
		return s == "outlet"
	}
	out := name
	for n := 2; used(out); n++ {
		out = name + " " + strconv.Itoa(n)
	}
	return out
}

func existing(state job.Word) bool { return state.Text == "existing" }

func given(p codebook.Param) bool { return p.State == codebook.Given }

func (w *work) param(id string) codebook.Param { return w.r.Book.Param(id) }

// allowed: a yes or no of the book, taken as no where the book does not speak.
func (w *work) allowed(id string) bool {
	p := w.param(id)
	return given(p) && p.Yes
}

// lengthOf is the developed length of a run; ok is false where a piece is not known.
func lengthOf(r *engine.Result, id network.RunID) (l unit.Length, ok bool) {
	ok = true
	for _, s := range r.Net.Runs[id].Segs {
		l += r.Net.Segs[s].Length()
		ok = ok && r.Net.Segs[s].LengthKnown
	}
	return l, ok
}

// stocked is the smallest size on the truck that is not under s.
func stocked(r *engine.Result, s unit.Size) unit.Size {
	for _, x := range r.Sizes.Stock() {
		if x >= s {
			return x
		}
	}
	return s
}

// raised makes the given sizes from a run to the outlet as large as the code asks, and at
// least as large as least; sizes that are not given follow by themselves.
func raised(r *engine.Result, from network.RunID, least unit.Size) (edits []job.Edit) {
	need := least
	for id, hops := from, 0; id >= 0 && hops <= len(r.Net.Runs); id, hops = r.Net.Runs[id].Receiver, hops+1 {
		run := &r.Net.Runs[id]
		if run.Def.Basin.Set {
			return edits // a pump's pipe has a size of its own
		}
		for _, s := range run.Segs {
			need = max(need, stocked(r, r.Sizes.Required[s]))
		}
		if have := run.Def.Size.V; have > 0 && have < need {
			edits = append(edits, resized(r, id, need)...)
		}
	}
	return edits
}

// resized sets the size of one run. Pipe that is there already is laid anew.
func resized(r *engine.Result, id network.RunID, size unit.Size) []job.Edit {
	run := &r.Net.Runs[id]
	return anew([]job.Edit{job.Set(size.Short(), "runs", run.Name, "size")}, "runs", run.Name, run.Def.State)
}

// anew says that old pipe is laid anew.
func anew(edits []job.Edit, heading, name string, state job.Word) []job.Edit {
	if !existing(state) {
		return edits
	}
	return append(edits, job.Remove(heading, name, "existing"), job.Set("true", heading, name, "new"))
}

// enlarged is the pipe whose size edits change.
func enlarged(r *engine.Result, edits []job.Edit) (cost Cost) {
	done := map[string]bool{}
	for i := range edits {
		e := &edits[i]
		if e.Op != job.OpSet || len(e.Path) != 3 || e.Path[2] != "size" || done[e.Path[1]] {
			continue
		}
		x, ok := r.Net.Find(e.Path[1])
		if !ok {
			continue // it is new
		}
		done[e.Path[1]] = true
		l, known := unit.Length(0), false
		if x.Run != network.None {
			l, known = lengthOf(r, x.Run)
		} else {
			l, known = r.Net.Vents[x.Vent].Length, r.Net.Vents[x.Vent].LengthKnown
		}
		cost.Enlarged += l
		cost.About = cost.About || !known
	}
	return cost
}

// grown is the pipe whose size edits change, and what becomes larger along with it.
func (w *work) grown(after *engine.Result, edits []job.Edit) Cost {
	cost := enlarged(w.r, edits)
	set := map[string]bool{}
	for i := range edits {
		if p := edits[i].Path; len(p) > 1 {
			set[p[1]] = len(p) == 3 && p[2] == "size" || set[p[1]]
		}
	}
	for i := range w.r.Net.Runs {
		run := &w.r.Net.Runs[i]
		k := runNamed(after, run.Name)
		if set[run.Name] || k == network.None || len(run.Segs) == 0 || len(after.Net.Runs[k].Segs) == 0 {
			continue
		}
		if lastSize(after.Sizes, &after.Net.Runs[k]) > lastSize(w.r.Sizes, run) {
			l, known := lengthOf(w.r, network.RunID(i))
			cost.Enlarged += l
			cost.About = cost.About || !known
		}
	}
	for i := range w.r.Net.Vents {
		x := &w.r.Net.Vents[i]
		if k := ventNamed(after, x.Name); !set[x.Name] && k != network.None && after.Vents.Size[k].Size > w.r.Vents.Size[i].Size && w.r.Vents.Size[i].Size > 0 {
			cost.Enlarged += x.Length
			cost.About = cost.About || !x.LengthKnown
		}
	}
	return cost
}

// lastSize is the size of a run at its lower end.
func lastSize(s *size.Sizes, r *network.Run) unit.Size {
	if len(r.Segs) == 0 {
		return 0
	}
	return s.Size[r.Segs[len(r.Segs)-1]]
}

// replaces: pipe that is there already is laid anew.
func replaces(edits []job.Edit) bool {
	for i := range edits {
		if e := &edits[i]; e.Op == job.OpRemove && len(e.Path) == 3 && e.Path[2] == "existing" {
			return true
		}
	}
	return false
}

// raiseWords says which pipe becomes how large.
func raiseWords(r *engine.Result, edits []job.Edit) string {
	type made struct{ name, size string }
	var order []made
	fresh := map[string]bool{}
	var falls []string
	for i := range edits {
		e := &edits[i]
		if len(e.Path) != 3 {
			continue
		}
		switch {
		case e.Op == job.OpSet && e.Path[2] == "size":
			k := len(order)
			for j := range order {
				if order[j].name == e.Path[1] {
					k = j
				}
			}
			if k == len(order) {
				order = append(order, made{})
			}
			order[k] = made{e.Path[1], e.Value}
		case e.Op == job.OpSet && e.Path[2] == "slope":
			falls = append(falls, "lay "+e.Path[1]+" at "+e.Value)
		case e.Op == job.OpRemove && e.Path[2] == "existing":
			fresh[e.Path[1]] = true
		}
	}
	var parts []string
	for _, m := range order {
		size := m.size
		if s, err := unit.ParseSize(m.size); err == nil {
			size = s.String()
		}
		word := "make "
		if fresh[m.name] {
			word = "replace the old "
			parts = append(parts, word+m.name+" with "+size)
			continue
		}
		if _, ok := r.Net.Find(m.name); !ok {
			continue // it is new, and told with its size
		}
		parts = append(parts, word+m.name+" "+size)
	}
	return strings.Join(append(parts, falls...), ", ")
}

// mend answers the harm that a try does: given sizes that it has made too small are raised,
// traps that had no vent before and are now faulted otherwise get one too, a new vent
// through the roof is made so large that the areas of all add up, pipe that is laid anew gets
// its fall and its cleanout, a trap the size of its arm, a basin its vent. ok is false when
// something else is wrong too.
func (w *work) mend(after *engine.Result, bad []*diag.Diagnostic, tried []job.Edit) (edits []job.Edit, ok bool) {
	done := map[string]bool{}
	var open []network.FixID
	for _, d := range bad {
		var more []job.Edit
		switch {
		case (!sizeRule(d.Rule) && venting(d.Rule) || d.Rule == mixedMethods) && w.unvented(after, d, &open):
			continue
		case sizeRule(d.Rule) && d.On.What != diag.Vent:
			if id := runNamed(after, d.On.Name); id != network.None {
				more = raised(after, id, 0)
			}
		case d.On.What == diag.Vent && (d.Rule == "vent-undersized" || d.Rule == "vent-too-long"):
			if id := ventNamed(after, d.On.Name); id != network.None {
				more = raisedVent(after, id)
			}
		case d.Rule == "main-vent-small":
			half := halfOf(after, after.Sizes.Required[after.Net.Outlet])
			more = []job.Edit{job.Set(half.Short(), "vents", d.On.Name, "size")}
		case d.Rule == "slope-too-flat" && d.On.What == diag.Run && changes(tried, d.On.Name):
			if slope, err := slopeLimit(d.Limit); err == nil {
				more = []job.Edit{job.Set(w.sayFall(slope), "runs", d.On.Name, "slope")}
			}
		case d.Rule == "vent-aggregate-area-short":
			more = widened(after, tried)
		case (d.Rule == "trap-size-differs-from-arm" || d.Rule == "trap-undersized") && changes(tried, d.On.Name):
			if id := runNamed(after, d.On.Name); id != network.None && after.Net.Runs[id].Def.Size.V > 0 {
				more = []job.Edit{job.Set(after.Net.Runs[id].Def.Size.V.Short(), "runs", d.On.Name, "trap")}
			}
		case d.Rule == "vent-horizontal-below-flood-rim" && d.On.What == diag.Vent:
			// A rim that is raised asks the vent to rise farther before it turns.
			if v := ventNamed(w.r, d.On.Name); v != network.None {
				if c := w.riseFirst(d, v); len(c) > 0 {
					more = c[0][0].edits
				}
			}
		case d.Rule == "pump-flow-short" && changes(tried, d.On.Name):
			more = []job.Edit{job.Set(d.Limit, "runs", d.On.Name, "basin", "pump")}
		case d.Rule == "cleanout-missing" && d.On.What == diag.Run:
			more = w.cleanoutToo(after, d)
		case d.Rule == "cleanout-spacing" && slices.ContainsFunc(bad, func(x *diag.Diagnostic) bool { return x.Rule == "cleanout-missing" }):
			continue // the one that is missing may do
		case d.Rule == "sump-unvented":
			if id := runNamed(w.r, d.On.Name); id != network.None {
				more = w.basinVent(id)[0].edits
			}
		}
		if len(more) == 0 {
			return nil, false
		}
		for i := range more {
			if key := keyOf(more[i : i+1]); !done[key] {
				done[key] = true
				edits = append(edits, more[i])
			}
		}
	}
	if len(open) > 0 {
		more := w.ventToo(open, tried)
		if len(more) == 0 {
			return nil, false
		}
		edits = append(edits, more...)
	}
	return edits, true
}

// cleanoutToo sets the cleanout that pipe which is laid anew asks for.
func (w *work) cleanoutToo(after *engine.Result, d *diag.Diagnostic) []job.Edit {
	id := runNamed(after, d.On.Name)
	if id == network.None {
		return nil
	}
	if atFoot(after, d, id) {
		return []job.Edit{job.Append("lower end", "runs", d.On.Name, "cleanouts")}
	}
	if turn := turnOf(after, d, id); turn > 0 {
		return []job.Edit{job.Append(w.number(turn), "runs", d.On.Name, "cleanouts")}
	}
	// Its upper end is closed where another run comes in there: it is set on that.
	for i := range after.Net.Runs {
		r := &after.Net.Runs[i]
		if p := r.Def.Place.Kind; r.Receiver == id && r.Fixture == network.None && (p == job.UpperEnd || p == job.NotSaid) {
			return []job.Edit{job.Append("lower end", "runs", r.Name, "cleanouts")}
		}
	}
	return []job.Edit{job.Append("upper end", "runs", d.On.Name, "cleanouts")}
}

// changes reports whether edits change a run.
func changes(edits []job.Edit, name string) bool {
	for i := range edits {
		if p := edits[i].Path; len(p) > 2 && p[0] == "runs" && p[1] == name {
			return true
		}
	}
	return false
}

// unvented reports whether a finding speaks only of traps that were not protected before, or
// of a combination waste and vent that gets a vent instead, and gathers them, at most three.
func (w *work) unvented(after *engine.Result, d *diag.Diagnostic, open *[]network.FixID) bool {
	traps := affected(after, d)
	for _, a := range traps {
		f := sameTrap(after, a, w.r)
		if f == network.None {
			return false
		}
		if w.r.Vents.Trap[f].Verdict != vent.NotProtected && (d.Rule != mixedMethods || len(w.unpin(f)) == 0) {
			return false
		}
		if !slices.Contains(*open, f) {
			*open = append(*open, f)
		}
	}
	return len(traps) > 0 && len(*open) <= 3
}

// ventToo gives more traps a vent like the one that a try adds.
func (w *work) ventToo(open []network.FixID, tried []job.Edit) []job.Edit {
	var out []job.Edit
	var taken []string
	for i := range tried {
		if e := &tried[i]; e.Op == job.OpAdd && e.Path[0] == "vents" {
			taken = append(taken, e.Path[1])
		}
	}
	if len(taken) == 0 {
		return nil
	}
	for _, f := range open {
		_, run := w.fixture(f)
		for _, t := range taken {
			if strings.HasPrefix(t, run.Name+" vent") {
				return nil // it has one, and that does not do
			}
		}
		spots := w.spots(f)
		if len(spots) == 0 {
			return nil
		}
		endings := w.endings([]network.FixID{f})
		if len(endings) == 0 {
			return nil
		}
		ending := endings[0]
		for i := range tried {
			if e := &tried[i]; e.Op == job.OpAdd && e.Path[0] == "vents" {
				for _, x := range endings {
					for _, field := range e.Fields {
						if field.Key == "ends" && field.Value == x.ends {
							ending = x
						}
					}
				}
			}
		}
		edits, _ := w.ventEdits(f, spots[0], ending, taken)
		out = append(append(out, w.unpin(f)...), edits...)
	}
	return out
}

// widened makes a vent that a try adds so large that all vents through the roof together
// have the area of the building sewer.
func widened(after *engine.Result, tried []job.Edit) []job.Edit {
	n := after.Net
	need := after.Sizes.Required[n.Outlet]
	for i := range tried {
		e := &tried[i]
		if e.Op != job.OpAdd || e.Path[0] != "vents" {
			continue
		}
		id := ventNamed(after, e.Path[1])
		if id == network.None || n.Vents[id].End != network.ThroughRoof || n.Vents[id].Def.Size.V > 0 {
			continue
		}
		// Areas go by the squares of the sizes.
		sum := 0.0
		for k := range n.Vents {
			if network.VentID(k) != id && n.Vents[k].End == network.ThroughRoof {
				x := float64(after.Vents.Size[k].Size)
				sum += x * x
			}
		}
		for _, s := range after.Sizes.Stock() {
			if x := float64(s); s >= after.Vents.Size[id].Size && x*x+sum >= float64(need)*float64(need) {
				return []job.Edit{job.Set(s.Short(), "vents", e.Path[1], "size")}
			}
		}
	}
	return nil
}

// besides adds to a proposal what was mended along with it: vents of other traps.
func (w *work) besides(p *Proposal, more []job.Edit, after *engine.Result) {
	for i := range more {
		e := &more[i]
		if e.Op == job.OpSet && e.Path[2] == "trap" {
			size := e.Value
			if s, err := unit.ParseSize(size); err == nil {
				size = s.String()
			}
			p.Do += "; put a " + size + " trap on " + e.Path[1]
			p.Cost.Fittings++
			continue
		}
		if e.Op == job.OpSet && e.Path[0] == "vents" && e.Path[2] == "legs" {
			p.Do += "; let " + e.Path[1] + " rise above the flood rim before it turns level"
			p.Cost = plus(p.Cost, Cost{Fittings: 2, About: true})
			continue
		}
		if e.Op == job.OpSet && e.Path[len(e.Path)-1] == "pump" {
			p.Do += "; choose a pump for " + e.Path[1] + " that delivers " + e.Value + " at its head"
			p.Cost.Fittings++
			continue
		}
		if e.Op == job.OpAppend && e.Path[2] == "cleanouts" {
			at := "at its " + e.Value
			if l, err := unit.ParseLength(e.Value); err == nil {
				at = w.say(l) + " from its upper end"
			}
			p.Do += "; set a cleanout on " + e.Path[1] + ", " + at
			p.Cost.Fittings += 2
			continue
		}
		if e.Op != job.OpAdd || e.Path[0] != "vents" {
			continue
		}
		if id := runNamed(w.r, e.Fields[0].Value); id != network.None && w.r.Net.Runs[id].Def.Basin.Set {
			b := w.basinVent(id)[0]
			p.Do += "; " + b.do(after)
			p.Cost = plus(p.Cost, b.cost)
			continue
		}
		p.Do += "; take a " + ventSize(after, e.Path[1]) + "vent in the same way off " + e.Fields[0].Value
		if f := fixtureOn(w.r, diag.Ref{What: diag.Run, Name: e.Fields[0].Value}); f != network.None {
			for _, x := range w.endings([]network.FixID{f}) {
				for _, field := range e.Fields {
					if field.Key == "ends" && field.Value == x.ends {
						p.Cost = plus(p.Cost, x.cost())
					}
				}
			}
		}
	}
}

// sizeRule: a larger pipe would satisfy the rule.
func sizeRule(rule string) bool {
	switch rule {
	case "branch-overloaded", "stack-overloaded", "building-drain-overloaded", "pipe-reduced-downstream",
		"wc-branch-under-3in", "wc-limit-3in-horizontal", "wc-limit-3in-vertical", "trap-larger-than-drain",
		"standpipe-drain-under-2in", "standpipe-needs-3in-branch", "drain-under-minimum", "under-ground-min-size",
		"building-drain-min-size", "building-sewer-min-size", "size-limit", "wet-vent-undersized",
		"stack-tapers-too-far", "waste-stack-undersized", "cwv-undersized", "circuit-size-changes", "upright-too-long":
		return true
	}
	return false
}

// raisedVent makes a vent, and those that it goes on in, as large as they must be.
func raisedVent(r *engine.Result, v network.VentID) (edits []job.Edit) {
	for _, id := range r.Net.Path(v) {
		x, vent := &r.Vents.Size[id], &r.Net.Vents[id]
		need := stocked(r, x.Required)
		if vent.Def.Size.V == 0 || vent.Def.Size.V >= need {
			continue
		}
		edits = append(edits, anew([]job.Edit{job.Set(need.Short(), "vents", vent.Name, "size")}, "vents", vent.Name, vent.Def.State)...)
	}
	return edits
}

// ventSize is the size of a vent of a result, as words with a blank behind it.
func ventSize(r *engine.Result, name string) string {
	if id := ventNamed(r, name); id != network.None {
		if s := r.Vents.Size[id].Size; s > 0 {
			return s.String() + " "
		}
	}
	return ""
}
