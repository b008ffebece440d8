package propose

import (
	"strconv"
	"strings"

	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// Here are the ways that lay a pipe higher or lower: heights are counted from the outlet up,
// so a longer drop or more fall on the way down raises all that comes in above it.

// shortOf is how much a finding is short by: what it found less what is the most; 0 where it
// does not tell.
func shortOf(f *diag.Diagnostic) unit.Length {
	got, err := measureOf(strings.TrimPrefix(f.Got, "short by "))
	if err != nil {
		return 0
	}
	if limit, err := measureOf(f.Limit); err == nil {
		return max(0, got-limit)
	}
	return max(0, got)
}

// measureOf reads a length as findings tell it, one that is rounded too.
func measureOf(s string) (unit.Length, error) { return unit.ParseLength(strings.TrimPrefix(s, "~")) }

// stepUp rounds up to what lengths on site are told in: half an inch, or a centimetre.
func (w *work) stepUp(l unit.Length) unit.Length {
	step := unit.Inch / 2
	if w.r.Job.Units == unit.Metric {
		step = 10 * unit.Millimetre
	}
	return (l + step - 1) / step * step
}

// lift raises a pipe, or lowers it where by is negative: by a drop on its way, or by where it
// joins an upright one.
func (w *work) lift(id network.RunID, by unit.Length) (out []choice) {
	n := w.r.Net
	word, amount := "higher", w.stepUp(by)
	if by < 0 {
		word, amount = "lower", -w.stepUp(-by)
	}
	if amount == 0 {
		return nil
	}
	for _, k := range routeOf(n, id) {
		run := &n.Runs[k]
		if existing(run.Def.State) || run.Def.State.Text == "remove" {
			break
		}
		if c := w.longerDrop(k, amount, word, id); len(c) > 0 {
			out = append(out, c)
		}
		// On an upright receiver it can join nearer to the top.
		if run.Receiver < 0 || len(run.Segs) == 0 || run.Def.Place.Kind != job.AtLength {
			continue
		}
		at := n.Segs[run.Segs[len(run.Segs)-1]].Down
		if at == network.None || n.Segs[at].Lie != network.Upright || n.Segs[at].Run != run.Receiver {
			continue
		}
		place := run.Def.Place.Len - amount
		if place < 0 || by < 0 && place > n.Segs[at].To {
			continue
		}
		out = append(out, choice{{
			id: word + "/" + run.Name, edits: anew([]job.Edit{job.Set(w.number(place), "runs", run.Name, "at")}, "runs", run.Name, run.Def.State),
			cost: Cost{Fittings: 1}, do: plain("let " + run.Name + " join " + n.Runs[run.Receiver].Name + " " + w.say(abs(amount)) + " " + word),
		}})
	}
	return out
}

// longerDrop makes the last drop of a run longer or shorter.
func (w *work) longerDrop(id network.RunID, by unit.Length, word string, about network.RunID) choice {
	run := &w.r.Net.Runs[id]
	last := -1
	var legs []string
	for i, l := range run.Def.Legs {
		if l.Way.Plumb == 0 && l.Way.Down && l.Length.Set && l.Length.V+by > 0 {
			last = i
		}
	}
	if last < 0 {
		return nil
	}
	for i, l := range run.Def.Legs {
		if i == last {
			l.Length.V += by
		}
		s := w.leg(l)
		if s == "" {
			return nil
		}
		legs = append(legs, s)
	}
	change := "longer"
	if by < 0 {
		change = "shorter"
	}
	words := "make the drop of " + run.Name + " " + w.say(abs(by)) + " " + change
	if id != about {
		words += ": it and " + w.r.Net.Runs[about].Name + ", which drains through it, then lie so much " + word
	}
	x := way{id: word + "/" + run.Name, cost: Cost{Pipe: max(0, by), Enlarged: max(0, -by)}, do: plain(words)}
	all := x
	x.edits = anew([]job.Edit{job.Set(legs[last], "runs", run.Name, "legs", strconv.Itoa(last))}, "runs", run.Name, run.Def.State)
	all.edits = anew([]job.Edit{job.SetList(legs, "runs", run.Name, "legs")}, "runs", run.Name, run.Def.State)
	return choice{x, all}
}

// falls are usual falls, steeper than the least: 5/16, 3/8 and 1/2 in per ft, and their like
// in a metric job. Steeper than that a drain is not laid for want of height (common practice).
func (w *work) falls() []unit.Slope {
	if w.r.Job.Units == unit.Metric {
		return []unit.Slope{{Fall: 1, Run: 40}, {Fall: 1, Run: 33}, {Fall: 1, Run: 25}}
	}
	return []unit.Slope{{Fall: 5, Run: 192}, {Fall: 3, Run: 96}, {Fall: 1, Run: 24}}
}

// more lays a pipe on the way steeper, so that what is upstream of it lies higher by so much.
func (w *work) more(id network.RunID, by unit.Length) (out []choice) {
	n := w.r.Net
	for _, k := range routeOf(n, id) {
		run := &n.Runs[k]
		if existing(run.Def.State) || !run.Def.Slope.V.Given() || run.Def.Slope.V.Fall <= 0 {
			continue
		}
		level, known := unit.Length(0), true
		for _, s := range run.Segs {
			if n.Segs[s].Lie == network.Level {
				level += n.Segs[s].Length()
				known = known && n.Segs[s].LengthKnown
			}
		}
		if !known || level == 0 {
			continue
		}
		var c choice
		for _, s := range w.falls() {
			if s.Cmp(run.Def.Slope.V) <= 0 || s.Drop(level)-run.Def.Slope.V.Drop(level) < by {
				continue
			}
			c = append(c, way{
				id: "steeper/" + run.Name, edits: []job.Edit{job.Set(w.sayFall(s), "runs", run.Name, "slope")},
				cost: Cost{Enlarged: level}, do: plain("lay " + run.Name + " at " + w.sayFall(s) + " instead of " + w.sayFall(run.Def.Slope.V) + ", so that its upper end lies higher"),
			})
		}
		if len(c) > 0 {
			out = append(out, c)
		}
	}
	return out
}

// inTrench lays a pipe in the ground that the crawl space has no height for.
func (w *work) inTrench(id network.RunID) choice {
	run := &w.r.Net.Runs[id]
	l, ok := lengthOf(w.r, id)
	return choice{{
		id: "in-trench/" + run.Name, edits: []job.Edit{job.Set("under ground", "runs", run.Name, "place")}, cost: Cost{Enlarged: l, Fittings: 1, About: !ok},
		care: "a crawl space is close: light, air and somebody outside; find out what lies in the ground before digging",
		do:   plain("lay " + run.Name + " in a trench in the earth of the crawl space, bedded and covered"),
	}}
}

// underJoists lets a trap and its arm hang lower than the joists.
func (w *work) underJoists(id network.RunID) choice {
	run := &w.r.Net.Runs[id]
	if run.Def.Where.Text != "joists" {
		return nil
	}
	return choice{{
		id: "under-joists/" + run.Name, edits: []job.Edit{job.Remove("runs", run.Name, "place")}, cost: Cost{Fittings: 1, Moves: 1},
		do: plain("let the trap of " + run.Name + " hang below the joists, in a dropped ceiling or a soffit"),
	}}
}
