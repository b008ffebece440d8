package propose

import (
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/rules"
	"trapweir/engine/unit"
	"trapweir/engine/vent"
)

// A Ground is why a proposal is legal under the book that the job is solved with: what holds
// when it is made, and where the book prints it.
type Ground struct {
	Says string    `json:"says"`
	Cite diag.Cite `json:"cite"`
}

// A Change is a size that becomes another one, or a trap that breathes in another way.
type Change struct {
	Name string `json:"name"`
	From string `json:"from"`
	To   string `json:"to"`
}

// reserve is what is said of every proposal with a valve.
const reserve = "a valve is a part that moves and wears and must stay in reach; it lets air in and none out; ask first whether your inspector takes one here"

// barred is said of a proposal that keeps a valve which the book does not accept.
const barred = "the vent still ends in an air admittance valve, which this book does not accept: it cures only where the authority does"

// grounds says what holds after a proposal: how each trap that the finding is about is
// vented then, or else what the rule asks.
func (w *work) grounds(f *diag.Diagnostic, after result) (out []Ground) {
	if venting(f.Rule) || f.Rule == mixedMethods {
		for _, id := range affected(w.r, f) {
			_, run := w.fixture(id)
			fx := sameTrap(w.r, id, after)
			if fx == network.None {
				continue
			}
			t := &after.Vents.Trap[fx]
			r := t.Reading()
			if t.Verdict != vent.Protected && t.Verdict != vent.CannotTell || r == nil || r.Cite.At == "" {
				continue
			}
			says := after.Vents.Words(after.Net, fx)
			if t.Verdict == vent.CannotTell {
				says = r.Method.String()
				if r.Vent != network.None {
					says += " " + after.Net.Vents[r.Vent].Name
				}
				says += ", if what is asked is so"
			}
			out = append(out, Ground{run.Name + ": " + says, r.Cite})
			if r.Vent == network.None {
				continue
			}
			if end, _, _ := after.Net.Outdoors(r.Vent); end == network.AirAdmittanceValve && w.allowed("aav.allowed") {
				if c, ok := after.Book.Clause("aav"); ok {
					out = append(out, Ground{"an air admittance valve may end the vent", c})
				}
			}
		}
	}
	if len(out) > 0 {
		return out
	}
	says := ""
	if r := rules.Find(f.Rule); r != nil {
		says = r.Doc
	}
	for _, c := range f.Cites {
		if c.At != "" || c.Kind == "good practice" {
			return []Ground{{says, c}}
		}
	}
	return nil
}

// stillOpen: one of the traps that a finding of the venting is about has no vent after all.
func (w *work) stillOpen(f *diag.Diagnostic, after result) bool {
	if !venting(f.Rule) {
		return false
	}
	for _, id := range affected(w.r, f) {
		if w.verdict(after, id) == vent.NotProtected {
			return true
		}
	}
	return false
}

// barredValve: one of the traps would breathe through a valve that the book does not accept.
func (w *work) barredValve(f *diag.Diagnostic, after result) bool {
	if !venting(f.Rule) || w.allowed("aav.allowed") {
		return false
	}
	for _, id := range affected(w.r, f) {
		k := sameTrap(w.r, id, after)
		if k == network.None {
			continue
		}
		if r := after.Vents.Trap[k].Reading(); r != nil && r.Vent != network.None {
			if end, _, _ := after.Net.Outdoors(r.Vent); end == network.AirAdmittanceValve {
				return true
			}
		}
	}
	return false
}

// unsettled: one of the traps that the finding is about can be told protected only when
// something is answered.
func (w *work) unsettled(f *diag.Diagnostic, after result) bool {
	if !venting(f.Rule) && f.Rule != mixedMethods {
		return false
	}
	for _, id := range affected(w.r, f) {
		if w.verdict(after, id) == vent.CannotTell {
			return true
		}
	}
	return false
}

// changes lists the sizes of what was there already that are others after a proposal, and
// the traps that are vented in another way, the one asked about left aside.
func (w *work) changes(f *diag.Diagnostic, after result) (out []Change) {
	say := func(name, from, to string) {
		if from != to && from != "" && to != "" {
			out = append(out, Change{name, from, to})
		}
	}
	word := func(s unit.Size) string {
		if s <= 0 {
			return ""
		}
		return s.String()
	}
	for i := range w.r.Net.Runs {
		run := &w.r.Net.Runs[i]
		if k := runNamed(after, run.Name); k != network.None {
			say(run.Name, word(lastSize(w.r.Sizes, run)), word(lastSize(after.Sizes, &after.Net.Runs[k])))
		}
	}
	for i := range w.r.Net.Vents {
		name := w.r.Net.Vents[i].Name
		if k := ventNamed(after, name); k != network.None {
			say(name, word(w.r.Vents.Size[i].Size), word(after.Vents.Size[k].Size))
		}
	}
	about := map[string]bool{f.On.Name: true}
	if venting(f.Rule) {
		for _, id := range affected(w.r, f) {
			_, run := w.fixture(id)
			about[run.Name] = true
		}
	}
	for i := range w.r.Net.Fixtures {
		_, run := w.fixture(network.FixID(i))
		if k := sameTrap(w.r, network.FixID(i), after); k != network.None && !about[run.Name] {
			say(run.Name, method(&w.r.Vents.Trap[i]), method(&after.Vents.Trap[k]))
		}
	}
	return out
}

// method words how a trap breathes, "" where that is not known.
func method(t *vent.Trap) string {
	if r := t.Reading(); r != nil && t.Verdict == vent.Protected && r.Method != vent.NoMethod {
		return r.Method.String()
	}
	return ""
}

// pipeSize is the size of the pipe that edits add, where it is one.
func pipeSize(p *Proposal, after result) unit.Size {
	one := unit.Size(0)
	for i := range p.Edits {
		e := &p.Edits[i]
		if e.Op != "add" || len(e.Path) != 2 {
			continue
		}
		s := unit.Size(0)
		if id := ventNamed(after, e.Path[1]); id != network.None {
			s = after.Vents.Size[id].Size
		} else if id := runNamed(after, e.Path[1]); id != network.None && len(after.Net.Runs[id].Segs) > 0 {
			s = after.Sizes.Size[after.Net.Runs[id].Segs[0]]
		}
		if s == 0 || one != 0 && s != one {
			return 0
		}
		one = s
	}
	return one
}

// decisions say what a person must decide where no change to the file was found that cures
// a finding, by rule. A rule that is not here says what to try, itself or with what it finds;
// the tests hold that for all that the rules' examples find.
var decisions = map[string]string{
	"ask-backwater":                   "whether the low fixture stays: a backwater valve needs a place where it is reached, and a pump is the other way",
	"backwater-bypass":                "which way the higher fixtures can take around the valve, or where above it the valve can stand",
	"gravity-fixture-into-sump":       "which way the upper fixture can take to the house drain without crossing what is in the way",
	"fixture-clearance":               "where the fixture or the wall can move",
	"invert-conflict":                 "whether the sewer can be met lower, the way made shorter, the pipe larger and so flatter, or the low part pumped",
	"cover-conflict":                  "whether the connection can be lower, the pipe protected as the authority accepts, or the way changed",
	"slope-too-flat":                  "which end can move: raise the upper one, lower the lower one, or take pipe that may lie flatter",
	"slope-needs-approval":            "whether the authority consents to the flatter pipe",
	"relief-vent-missing":             "where on which floor the relief vent can rise",
	"vent-stack-missing":              "where a vent stack can rise beside the stack",
	"vent-stack-base":                 "where at the foot of the stack the vent stack can begin",
	"circuit-vent-relief":             "where at the lower end of the branch a relief vent can rise",
	"aav-branch-relief":               "where a relief vent of the branch can rise",
	"aav-stack-too-tall":              "where the stack vent can go on to the open air",
	"cleanout-reused":                 "where another cleanout as large can stand",
	"cleanout-inaccessible":           "where the cleanout can be brought to: outside, or to the floor above",
	"pumped-entry":                    "where the pumped line can come in, away from the foot of the stack",
	"closet-bend-sizes":               "which closet bend fits the flange and the drain",
	"joist-notch":                     "which way the pipe takes past the joists; what is cut is for whoever designed the structure to judge",
	"stud-notch":                      "which wall the pipe takes; what is cut is for whoever designed the structure to judge",
	"top-plate":                       "how the cut plate is tied, or which wall the pipe takes",
	"crawl-room":                      "whether the earth is taken out, the pipe drops sooner or is laid in the ground",
	"waste-stack-offset":              "where the stack can run straight, or how each trap gets a vent of its own",
	"joist-hole":                      "which way the pipe takes past the joists; what is cut is for whoever designed the structure to judge",
	"joist-room":                      "whether the ceiling comes down, the pipe drops sooner, or it takes a shorter way",
	"stud-hole":                       "which wall the pipe takes, or whether the stud is doubled; what is cut is for whoever designed the structure to judge",
	"wall-room":                       "whether the wall becomes deeper or the pipe stands in another one",
	"sleeve-through-concrete":         "where the concrete may be opened; whoever designed the structure says so",
	"offset-needs-vent":               "where a relief vent of the offset can rise",
	"freeze-risk-exterior-wall":       "whether the pipe comes inside or the wall is insulated and warmed as the authority accepts",
	"vent-freeze-outside":             "whether the vent comes inside or is protected as the authority accepts",
	"vent-terminal-location":          "where the vent may end",
	"vent-terminal-height":            "where the vent may end",
	"vent-terminal-under-soffit":      "where the vent may end",
	"vent-terminal-at-wall":           "where the vent may end",
	"vent-terminal-occupied-roof":     "where the vent may end",
	"vent-terminal-frost":             "whether the end is enlarged inside or protected as the authority accepts",
	"no-open-air-vent":                "which drain goes on up to the open air, and through which wall",
	"local-rule-main-vent-base":       "where below the last branch the main vent can begin",
	"shared-trap-too-many":            "which fixtures keep the trap and where the arm and vent of the others can lie",
	"untrapped-fixture":               "where a trap and its vent can stand, or into which sink it can empty",
	"island-vent-no-open-air":         "up which wall the foot vent can rise",
	"island-fixture":                  "where a vent of the fixture's own can rise, or whether the fixture moves to a wall",
	"pump-flow-short":                 "which pump: choose it by its own curve",
	"size-table":                      "what size the authority asks where the table does not speak",
	"fixture-load":                    "what the authority counts for a fixture that is not listed",
	"vent-aggregate-area-short":       "which vents become larger, and where one more can go through the roof",
	"wet-vent-two-groups":             "how the two bathrooms part: each on a branch with a vent of its own",
	"circuit-vent-too-many":           "where the branch parts, each part with a circuit vent of its own",
	"cwv-needs-approval":              "whether the authority approves the combination waste and vent",
	mixedMethods:                      "whether the authority accepts one way of venting behind another; else each trap gets a vent of its own",
	"unvented-fixture":                "where a vent of this trap can rise",
	"building-trap":                   "whether an order of the authority asks for it",
	"stack-overloaded":                "whether the stack becomes larger or part of the house goes to another one",
	"building-drain-overloaded":       "whether the drain becomes larger or steeper",
	"trap-overloaded":                 "which fixtures get a trap of their own",
	"pipe-reduced-downstream":         "which pipe becomes larger, from there to the outlet",
	"fitting-double-inlets":           "how the two arms come in apart",
	"fresh-air-inlet-side":            "where upstream of the trap the inlet can leave",
	"sump-unvented":                   "where the vent of the basin can rise to the open air",
	"aav-on-sump":                     "where the vent of the basin can rise to the open air",
	"garage-drain-interceptor":        "what the local rule asks of a garage drain",
	"trap-arm-bends":                  "how the arm becomes straighter or its vent nearer",
	"trap-arm-too-short":              "where the vent can leave, farther from the trap",
	"trap-arm-fall-exceeds-diameter":  "how the arm becomes shorter or flatter, or its vent nearer",
	"vent-below-trap-weir":            "where the vent can leave before the pipe drops",
	"wet-vent-foreign-fixture":        "where past the wet vent the fixture can drain, with a vent of its own",
	"wet-vent-more-than-one-upstream": "which of the drains gets a vent of its own",
	"circuit-slope":                   "where the branch can drop, so that the rest of it lies flatter",
	"cwv-disposer":                    "whether the disposer goes, or where a vent of the sink's own can rise",
	"cwv-drop":                        "whether the pipe can lie higher, or where a vent of the fixture's own can rise",
	"cwv-slope":                       "where the pipe can drop before it or past it, so that it lies flatter",
	"standpipe-height":                "how high the standpipe can end over its trap",
	"standpipe-trap-height":           "how high over the floor the trap can stand",
	"standpipe-tray":                  "how much higher the standpipe can end, or where else the tray can drain",
	"vent-horizontal-below-flood-rim": "where the vent can rise before it turns",
}

// decide words what nobody but a person can settle. f has no proposal; all of its ways were
// tried, or not; after says that they were tried with the cures of others made before.
func (w *work) decide(f *diag.Diagnostic, all, after bool) string {
	head := "no change to the file was found that cures this"
	if !all {
		head = "of the ways that were tried none cures this"
	}
	for i := range w.r.Findings {
		d := &w.r.Findings[i]
		if !after && d.Severity <= diag.Warning && d.On.Name == f.On.Name && f.On.Name != "" && d.Rule != f.Rule && len(w.answered[markOf(d)]) > 0 && bears(d, f) {
			return head + " by itself: cure " + d.Rule + " of " + d.On.Name + " first, then ask again"
		}
	}
	if s := decisions[f.Rule]; s != "" {
		return head + "; to decide: " + s
	}
	r := rules.Find(f.Rule)
	switch {
	case f.Try != "":
		return head + "; to decide: " + f.Try
	case r != nil && r.Try != "":
		return head + "; to decide: " + r.Cure(f.Limit)
	}
	return head + "; to decide: how it is laid otherwise, with the inspector if in doubt"
}

// bears: curing one finding may cure the other. What is short of fall or room hangs on nothing
// but fall and room.
func bears(d, on *diag.Diagnostic) bool {
	a, b := rules.Find(d.Rule), rules.Find(on.Rule)
	return a == nil || b == nil || a.Family == b.Family || b.Family != "fall" && b.Family != "room"
}
