package propose

import (
	"strings"

	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
	"trapweir/engine/vent"
)

// choices lists what could cure a finding, and what would help and is no edit.
func (w *work) choices(f *diag.Diagnostic) (out []choice, advice []string) {
	switch {
	case f.Rule == "trap-arm-too-short":
		if id := fixtureOn(w.r, f.On); id != network.None {
			out = append(out, w.further(id))
		}
		return out, nil
	case f.Rule == "wet-vent-wc-not-last":
		out = append(out, w.closetLast(f))
	case f.Rule == "wet-vent-foreign-fixture":
		out = append(out, w.past(f))
	case sizeRule(f.Rule):
		out = append(out, w.size(f))
	}
	switch f.Rule {
	case "trap-arm-fall-exceeds-diameter", "circuit-slope", "cwv-slope":
		out = append(out, w.flatterArm(f))
	}
	if venting(f.Rule) || f.Rule == mixedMethods {
		out = append(out, w.protect(affected(w.r, f))...)
		advice = append(advice, w.intoStandpipe(f)...)
	}
	more, help := w.pipes(f)
	return append(out, more...), append(advice, help...)
}

// further moves a vent that opens too close to the weir to where it may open.
func (w *work) further(f network.FixID) choice {
	r := w.r.Vents.Trap[f].Reading()
	if r == nil || r.Vent == network.None {
		return nil
	}
	v := &w.r.Net.Vents[r.Vent]
	_, run := w.fixture(f)
	p := w.param("trap-arm.min")
	if !given(p) || len(v.Def.From) != 1 || v.Def.From[0].Text != run.Name {
		return nil
	}
	least := unit.Length(int64(w.armSize(f).Length()) / 100 * p.Number)
	return choice{{
		id: "move-vent/" + v.Name, edits: []job.Edit{job.Set(w.number(least), "vents", v.Name, "at")}, cost: Cost{Fittings: 2, Walls: 1},
		do: plain("move the vent " + v.Name + " to " + w.say(least) + " from the weir of " + run.Name + ", or further"),
	}}
}

// flatterArm lays a pipe that falls too steeply as flat as its size may lie, or as the rule
// asks.
func (w *work) flatterArm(f *diag.Diagnostic) choice {
	id := runNamed(w.r, f.On.Name)
	if id == network.None || !w.r.Net.Runs[id].Def.Slope.V.Given() {
		return nil
	}
	run := &w.r.Net.Runs[id]
	l, ok := lengthOf(w.r, id)
	var c choice
	put := func(s unit.Slope) {
		if s.Given() && s.Cmp(run.Def.Slope.V) < 0 {
			c = append(c, way{
				id: "flatter/" + run.Name, edits: anew([]job.Edit{job.Set(w.sayFall(s), "runs", run.Name, "slope")}, "runs", run.Name, run.Def.State),
				cost: Cost{Enlarged: l, About: !ok}, do: plain("lay " + run.Name + " at " + w.sayFall(s) + " instead of " + w.sayFall(run.Def.Slope.V)),
			})
		}
	}
	if s, err := slopeLimit(f.Limit); err == nil {
		put(s)
	}
	put(w.r.Levels.Run[id].Flattest)
	if cell := w.r.Book.Cell("min-slope", w.r.Sizes.Size[run.Segs[0]], "slope"); cell.State == codebook.Given {
		put(cell.Slope)
	}
	return c
}

// intoStandpipe: what a laundry tub without a vent could do instead. Two fixtures would
// then share one trap, which is another layout and not one edit.
func (w *work) intoStandpipe(f *diag.Diagnostic) []string {
	id := fixtureOn(w.r, f.On)
	if id == network.None || f.Rule != "unvented-fixture" {
		return nil
	}
	fx, run := w.fixture(id)
	if !fx.Kind.Has("laundry tub") {
		return nil
	}
	for i := range w.r.Net.Fixtures {
		x := &w.r.Net.Fixtures[i]
		if x.Kind.Has("standpipe") && w.r.Vents.Trap[i].Verdict != vent.NotProtected {
			if _, ok := w.r.Book.Clause("standpipe-tray"); ok {
				return []string{"where the book's heights and distances allow it, " + run.Name + " could drain into the standpipe of " + w.r.Net.Runs[x.Run].Name + " and need no trap and no vent of its own"}
			}
		}
	}
	return nil
}

// size enlarges a pipe, and what is smaller from there to the outlet.
func (w *work) size(f *diag.Diagnostic) choice {
	id := runNamed(w.r, f.On.Name)
	if id == network.None {
		return nil
	}
	edits := raised(w.r, id, 0)
	var c choice
	if len(edits) > 0 {
		c = append(c, way{id: "larger-pipe/" + f.On.Name, edits: edits, do: plain(raiseWords(w.r, edits))})
	}
	// Where what is required does not show it (a larger pipe comes in): the limit named.
	if s, err := unit.ParseSize(f.Limit); err == nil {
		if edits := raised(w.r, id, stocked(w.r, s)); len(edits) > 0 {
			c = append(c, way{id: "larger-pipe/" + f.On.Name, edits: edits, do: plain(raiseWords(w.r, edits))})
		}
	}
	return c
}

// closetLast lets the water closet join downstream of everything else on its wet vent.
func (w *work) closetLast(f *diag.Diagnostic) choice {
	n := w.r.Net
	id := runNamed(w.r, f.On.Name)
	if id == network.None || n.Runs[id].Receiver < 0 {
		return nil
	}
	closet := &n.Runs[id]
	recv := n.Runs[closet.Receiver].Name
	pos := func(r *network.Run) network.SegID { return n.Segs[r.Segs[len(r.Segs)-1]].Down }
	var below []*network.Run // what joins the same pipe downstream of the closet, with the water
	for i := range n.Runs {
		r := &n.Runs[i]
		if r.Receiver != closet.Receiver || r == closet || len(r.Segs) == 0 || pos(r) <= pos(closet) || r.Fixture == network.None || n.Fixtures[r.Fixture].Kind.Has("water closet") {
			continue
		}
		k := len(below)
		below = append(below, r)
		for ; k > 0 && pos(below[k-1]) > pos(r); k-- {
			below[k] = below[k-1]
		}
		below[k] = r
	}
	if len(below) == 0 {
		return nil
	}
	last := below[len(below)-1]
	words := plain("let the water closet " + closet.Name + " join " + recv + " last, downstream of " + last.Name)
	var c choice
	// Exchange the two places.
	if p, q := w.place(&closet.Def.Place), w.place(&last.Def.Place); p != "" && q != "" && last.Def.Place.Name != closet.Name && closet.Def.Place.Name != last.Name {
		c = append(c, way{
			id: "closet-last/" + closet.Name, edits: []job.Edit{job.Set(q, "runs", closet.Name, "at"), job.Set(p, "runs", last.Name, "at")},
			cost: Cost{Pipe: 2 * unit.Foot, Fittings: 2, About: true},
			do:   plain("change places: let " + last.Name + " join " + recv + " where " + closet.Name + " does, and the water closet " + closet.Name + " where " + last.Name + " does, last of all"),
		})
	}
	// Or lead the closet past the last one; what joined after the closet takes its place.
	edits := []job.Edit{}
	for _, r := range below {
		if r.Def.Place.Kind == job.AfterName && r.Def.Place.Name == closet.Name {
			if p := w.place(&closet.Def.Place); p != "" {
				edits = append(edits, job.Set(p, "runs", r.Name, "at"))
			} else {
				edits = append(edits, job.Set("upper end", "runs", r.Name, "at"))
			}
		}
	}
	edits = append(edits, job.Set("after "+last.Name, "runs", closet.Name, "at"))
	c = append(c, way{id: "closet-last/" + closet.Name, edits: edits, cost: Cost{Pipe: 3 * unit.Foot, Fittings: 2, About: true}, do: words})
	return c
}

// place writes a place as the job file does, "" where none was said.
func (w *work) place(p *job.Place) string {
	switch p.Kind {
	case job.AtLength:
		return w.number(p.Len)
	case job.UpperEnd:
		return "upper end"
	case job.EndOfArm:
		return "end of arm"
	case job.TopOfDrop:
		return "top of drop"
	case job.FootOfDrop:
		return "foot"
	case job.LowerEnd:
		return "lower end"
	case job.AfterName:
		return "after " + p.Name
	}
	return ""
}

// past leads what does not belong into a wet vent past it.
func (w *work) past(f *diag.Diagnostic) choice {
	n := w.r.Net
	wet := runNamed(w.r, f.On.Name)
	if wet == network.None || n.Runs[wet].Receiver < 0 {
		return nil
	}
	var c choice
	for i := range n.Runs {
		r := &n.Runs[i]
		if r.Receiver != wet || r.Fixture == network.None || n.Fixtures[r.Fixture].Kind.Has("bathroom fixture") || !strings.Contains(f.Message, r.Name) {
			continue
		}
		recv := &n.Runs[n.Runs[wet].Receiver]
		say := plain("lead " + r.Name + " past the wet vent: let it join downstream of " + n.Runs[wet].Name)
		cost := Cost{Pipe: 6 * unit.Foot, Fittings: 2, About: true}
		edits := []job.Edit{job.Set(recv.Name, "runs", r.Name, "joins")}
		at := "after " + n.Runs[wet].Name
		if p := &n.Runs[wet].Def.Place; p.Kind == job.AtLength {
			at = w.number(p.Len + unit.Foot)
		}
		edits = append(edits, job.Set(at, "runs", r.Name, "at"))
		c = append(c, way{id: "join-past/" + r.Name, edits: edits, cost: cost, do: say},
			way{id: "join-past/" + r.Name, edits: []job.Edit{job.Set("lower end", "runs", r.Name, "at")}, cost: cost, do: say})
	}
	return c
}

// set is a choice of one way that writes one value.
func set(id, words string, fittings int, value string, path ...string) choice {
	return choice{{id: id + "/" + path[1], edits: []job.Edit{job.Set(value, path...)}, cost: Cost{Fittings: fittings}, do: plain(words)}}
}
