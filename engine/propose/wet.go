package propose

import (
	"sort"

	"trapweir/engine/catalog"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
	"trapweir/engine/vent"
)

const lavatory = "lavatory"

// wet lists the ways to make the drain of another bathroom fixture the vent of this one: a
// vent on one that joins above it, or the drain of a vented lavatory led there.
func (w *work) wet(f network.FixID) []choice {
	if _, ok := w.r.Book.Table("wet-vent"); !ok {
		return nil
	}
	fx, run := w.fixture(f)
	if !fx.Kind.Has("bathroom fixture") || run.Receiver < 0 {
		return nil
	}
	n := w.r.Net
	var list []network.FixID
	for i := range n.Fixtures {
		g := network.FixID(i)
		x, gr := w.fixture(g)
		if g == f || x.Level != fx.Level || !x.Kind.Has("bathroom fixture") || x.Kind.Has("water closet") || gr.Receiver < 0 {
			continue
		}
		list = append(list, g)
	}
	sort.SliceStable(list, func(i, k int) bool {
		a, ar := w.fixture(list[i])
		b, br := w.fixture(list[k])
		if al, bl := a.Kind.Name == lavatory, b.Kind.Name == lavatory; al != bl {
			return al
		}
		if as, bs := ar.Receiver == run.Receiver, br.Receiver == run.Receiver; as != bs {
			return as
		}
		return a.Room != "" && a.Room == fx.Room && b.Room != fx.Room
	})
	var out []choice
	roof := w.wallEndings([]network.FixID{f})[0]
	for _, g := range list[:min(3, len(list))] {
		x, gr := w.fixture(g)
		switch tr := &w.r.Vents.Trap[g]; {
		case tr.Verdict == vent.NotProtected && gr.Receiver == run.Receiver:
			out = append(out, w.own([]network.FixID{g}, roof))
		case tr.Verdict == vent.Protected && x.Kind.Name == lavatory && dry(tr):
			out = append(out, w.lead(g, f))
		}
	}
	return out
}

func dry(t *vent.Trap) bool {
	r := t.Reading()
	return r != nil && (r.Method == vent.Individual || r.Method == vent.Common)
}

// lead takes the drain of a vented lavatory to where trap f joins, just upstream of it.
func (w *work) lead(lav, f network.FixID) choice {
	_, lr := w.fixture(lav)
	_, run := w.fixture(f)
	n := w.r.Net
	recv := n.Runs[run.Receiver].Name
	base := []job.Edit{}
	if lr.Def.Joins.Text != recv {
		base = append(base, job.Set(recv, "runs", lr.Name, "joins"))
	}
	// What lies level becomes as long as it takes; that is not known.
	changed := len(base) > 0
	if changed && len(lr.Def.Legs) > 0 {
		var legs []string
		for _, l := range lr.Def.Legs {
			switch {
			case l.Way.Plumb == 0 && l.Way.Down && l.Length.Set:
				legs = append(legs, "down "+w.number(l.Length.V))
			case l.Way.Plumb == 0 && l.Way.Down:
				legs = append(legs, "down")
			}
		}
		base = append(base, job.SetList(append(legs, "level"), "runs", lr.Name, "legs"))
	}
	if changed && lr.Def.Length.Set {
		base = append(base, job.Remove("runs", lr.Name, "length"))
	}
	place := run.Def.Place
	var places []string
	if place.Kind == job.AtLength {
		if up := w.short(place.Len - 6*unit.Inch); up > 0 {
			places = append(places, w.number(up))
		}
		places = append(places, w.number(place.Len))
	} else {
		places = append(places, "upper end")
	}
	var c choice
	for _, p := range places {
		c = append(c, way{
			id: "wet-vent-by " + lr.Name + "/" + run.Name, edits: append(base[:len(base):len(base)], job.Set(p, "runs", lr.Name, "at")),
			cost: Cost{Pipe: 4 * unit.Foot, Fittings: 3, About: true},
			do:   plain("drain " + lr.Name + " into " + recv + " just upstream of " + run.Name + ", so that its vented drain becomes the wet vent of " + run.Name),
		})
	}
	return c
}

// combination declares the pipe of a trap a combination waste and vent.
func (w *work) combination(f network.FixID) choice {
	fx, run := w.fixture(f)
	p := w.param("combination.allowed")
	if !given(p) || p.Text == "no" || !kindIn(fx.Kind, w.param("combination.fixtures").Words) {
		return nil
	}
	n := w.r.Net
	var c choice
	for _, id := range []network.RunID{run.Receiver, fx.Run} {
		if id < 0 || n.Runs[id].Receiver < 0 || n.Runs[id].Def.Vented.Text != "" {
			continue
		}
		pipe := &n.Runs[id]
		last := pipe.Segs[len(pipe.Segs)-1]
		if n.Segs[last].Lie == network.Upright || id != fx.Run && n.Segs[pipe.Segs[0]].Role >= network.Stack {
			continue
		}
		c = append(c, way{
			id: "combination/" + pipe.Name, edits: []job.Edit{job.Set("combination", "runs", pipe.Name, "vented")},
			do: func(after result) string {
				s := "lay " + pipe.Name + " as a combination waste and vent, level but for the drop from its fixtures"
				if k := runNamed(after, pipe.Name); k != network.None {
					if z := after.Sizes.Size[after.Net.Runs[k].Segs[0]]; z > 0 {
						s += ", " + z.String() + " from the trap on"
					}
				}
				return s
			},
		})
	}
	return c
}

func kindIn(k *catalog.Kind, words []string) bool {
	for _, x := range words {
		if k.Has(x) || k.As == x {
			return true
		}
	}
	return false
}

// island runs the vent of a sink up under the counter, down again into its own drain, and a
// foot vent to the open air.
func (w *work) island(f network.FixID) choice {
	fx, run := w.fixture(f)
	if !w.allowed("island.allowed") || !kindIn(fx.Kind, w.param("island.fixtures").Words) || run.Receiver < 0 {
		return nil
	}
	if !fx.Def.Island.V {
		return nil
	}
	loop := w.free(run.Name + " loop")
	foot := w.free(run.Name+" foot vent", loop)
	recv := w.r.Net.Runs[run.Receiver].Name
	rise, _ := w.toRoof(f)
	up := "up"
	if p := w.param("island.rise"); given(p) {
		up += " " + w.number(w.toRim(f)+p.Length)
	}
	c := choice{}
	for _, s := range w.spots(f) {
		edits := append([]job.Edit(nil), s.pre...)
		edits = append(edits,
			job.Add("vents", loop, job.Field{Key: "from", Value: run.Name}, job.Field{Key: "at", Value: s.at}, job.Field{Key: "role", Value: "loop"},
				job.Field{Key: "legs", List: []string{up, "level", "down"}}, job.Field{Key: "ends", Value: recv}, job.Field{Key: "into at", Value: "lower end"}),
			job.Add("vents", foot, job.Field{Key: "from", Value: recv}, job.Field{Key: "at", Value: "lower end"}, job.Field{Key: "legs", List: []string{"up"}}, job.Field{Key: "ends", Value: "through roof"}))
		c = append(c, way{
			id: "island-loop/" + run.Name, edits: edits, cost: Cost{Pipe: rise + storey, Fittings: 9, Roof: 1, Walls: 1, About: true}, care: careRoof,
			do: func(after result) string {
				return "run the " + ventSize(after, loop) + "vent of " + run.Name + " up under the counter as high as it goes, down again into " + recv + " downstream, and take a " + ventSize(after, foot) + "foot vent from there up a wall and through the roof; cleanouts in both"
			},
		})
	}
	return c
}
