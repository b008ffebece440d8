package propose

import (
	"strconv"

	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// Here are the ways for cleanouts.

// cleanout sets one where it is missing.
func (w *work) cleanout(f *diag.Diagnostic, id network.RunID) []choice {
	run := &w.r.Net.Runs[id]
	var c choice
	put := func(at, words string) {
		c = append(c, way{
			id: "cleanout/" + run.Name, edits: []job.Edit{job.Append(at, "runs", run.Name, "cleanouts")}, cost: Cost{Fittings: 2},
			do: plain("set a cleanout " + words + ", as large as the pipe and where it can be reached"),
		})
	}
	if atFoot(w.r, f, id) {
		put("lower end", "at the foot of "+run.Name)
	} else if turn := turnOf(w.r, f, id); turn > 0 {
		put(w.number(turn), "at the turn of "+run.Name+", "+w.say(turn)+" from its upper end")
	}
	put("upper end", "at the upper end of "+run.Name)
	put("lower end", "at the lower end of "+run.Name)
	return []choice{c}
}

// atFoot: a finding points at an upright piece, where what is missing is at the foot.
func atFoot(r result, f *diag.Diagnostic, id network.RunID) bool {
	s := f.On.Segment
	return s >= 0 && int(s) < len(r.Net.Segs) && r.Net.Segs[s].Run == id && r.Net.Segs[s].Lie == network.Upright
}

// turnOf is how far from the upper end of a run the piece begins that a finding points at; 0
// where that is its upper end, or is not known.
func turnOf(r result, f *diag.Diagnostic, id network.RunID) unit.Length {
	if s := f.On.Segment; s >= 0 && int(s) < len(r.Net.Segs) {
		if seg := &r.Net.Segs[s]; seg.Run == id && seg.LengthKnown {
			return seg.From
		}
	}
	return 0
}

// cleanouts sets as many as the spacing asks for.
func (w *work) cleanouts(f *diag.Diagnostic, id network.RunID) choice {
	limit, err := unit.ParseLength(f.Limit)
	if err != nil || limit <= 0 {
		return nil
	}
	run := &w.r.Net.Runs[id]
	total, known := lengthOf(w.r, id)
	if !known {
		return nil
	}
	var c choice
	for _, first := range []unit.Length{limit, 0} {
		var edits []job.Edit
		for at := first; at < total && len(edits) < 40; at += limit {
			where := w.number(at)
			if at == 0 {
				where = "upper end"
			}
			edits = append(edits, job.Append(where, "runs", run.Name, "cleanouts"))
		}
		c = append(c, way{
			id: "cleanouts/" + run.Name, edits: edits, cost: Cost{Fittings: 2 * len(edits)},
			do: plain("set " + strconv.Itoa(len(edits)) + " more on " + run.Name + ", so that no two cleanouts are over " + w.say(limit) + " apart"),
		})
	}
	return c
}

// cleanoutDetail corrects what is said of a cleanout.
func (w *work) cleanoutDetail(f *diag.Diagnostic, id network.RunID) []choice {
	run := &w.r.Net.Runs[id]
	key, value, words := "reach", "accessible", "bring the cleanout of "+run.Name+" to where it can be reached, through a wall or floor plate if need be"
	switch f.Rule {
	case "cleanout-clearance":
		l, err := unit.ParseLength(f.Limit)
		if err != nil {
			return nil
		}
		key, value, words = "clearance", w.number(w.least(l)), "move the cleanout of "+run.Name+" to where there is "+w.say(w.least(l))+" of room in front of it"
	case "cleanout-size":
		s, err := unit.ParseSize(f.Limit)
		if err != nil {
			return nil
		}
		key, value, words = "size", s.Short(), "make the cleanout of "+run.Name+" "+s.String()
	case "cleanout-direction":
		key, value, words = "type", "one-way", "let the cleanout of "+run.Name+" open in the direction of the flow"
	}
	var c choice
	if edit, ok := w.detailed(run, key, value); ok {
		return []choice{{{id: "cleanout-" + key + "/" + run.Name, edits: []job.Edit{edit}, cost: Cost{Pipe: unit.Foot, Fittings: 1, About: true}, do: plain(words)}}}
	}
	for i := range run.Def.Clean {
		for _, path := range [][]string{{"runs", run.Name, "cleanouts", strconv.Itoa(i), key}, {"runs", run.Name, "cleanouts", key}} {
			if len(path) == 4 && len(run.Def.Clean) > 1 {
				continue
			}
			c = append(c, way{id: "cleanout-" + key + "/" + run.Name, edits: []job.Edit{job.Set(value, path...)}, cost: Cost{Pipe: unit.Foot, Fittings: 1, About: true}, do: plain(words)})
		}
	}
	return []choice{c}
}

// detailed writes cleanouts of which the job names only the places as mappings, each with one
// more thing told of it.
func (w *work) detailed(run *network.Run, key, value string) (job.Edit, bool) {
	var items []job.Item
	for i := range run.Def.Clean {
		c := &run.Def.Clean[i]
		at := w.place(&c.Place)
		if at == "" || c.Type.Given() || c.Size.V > 0 || c.Reach.Given() || c.Clearance.Set {
			return job.Edit{}, false
		}
		items = append(items, job.Item{Fields: []job.Field{{Key: "at", Value: at}, {Key: key, Value: value}}})
	}
	return job.Edit{Op: job.OpSet, Path: []string{"runs", run.Name, "cleanouts"}, Items: items}, len(items) > 0
}
