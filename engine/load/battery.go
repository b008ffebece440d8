package load

import (
	"cmp"
	"slices"
	"strconv"

	"trapweir/engine/catalog"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// washers is the kind that a book may count higher where several stand together.
const washers = "clothes washer"

// A battery is so many clothes washers together that the book counts each of them higher on
// the drains that they share.
type battery struct {
	from int       // so many make one, 0 for a book that has none
	each unit.Load // what each counts then
	cite diag.Cite
}

func batteryOf(b *codebook.Book) battery {
	n, each := b.Param("washer.battery"), b.Param("washer.battery-units")
	if n.State != codebook.Given || each.State != codebook.Given || n.Cite == nil {
		return battery{}
	}
	return battery{from: int(n.Number / int64(unit.Unit)), each: unit.Load(each.Number), cite: *n.Cite}
}

// batteries counts the washers that stand in one room or, where the job names no room, join
// one run. From where enough of them have come together each counts what the battery asks.
// One whose units the job states keeps them.
func (w *summer) batteries() {
	n, o := w.net, w.out
	bat := batteryOf(w.book)
	if bat.from == 0 {
		return
	}
	type key struct {
		room string
		run  network.RunID
	}
	sets := map[key][]network.FixID{}
	var order []key
	for i := range n.Fixtures {
		f, l := &n.Fixtures[i], &o.Fixture[i]
		if f.Kind.Name != washers || f.Kind.Group || l.Declared || l.Gone || l.Units >= bat.each || l.State != codebook.Given {
			continue
		}
		k := key{room: f.Room, run: network.None}
		if f.Room == "" {
			k.run = n.Runs[f.Run].Receiver
		}
		if sets[k] == nil {
			order = append(order, k)
		}
		sets[k] = append(sets[k], network.FixID(i))
	}
	for _, k := range order {
		if set := sets[k]; len(set) >= bat.from {
			w.battery(bat, set, k.room == "")
		}
	}
}

// battery credits one set of washers, going with the water: where enough for one have come
// together, and again where further ones do.
func (w *summer) battery(bat battery, set []network.FixID, asked bool) {
	n, o := w.net, w.out
	called := func(fs []network.FixID) string {
		name := func(f network.FixID) string { return n.Runs[n.Fixtures[f].Run].Name }
		slices.SortFunc(fs, func(a, b network.FixID) int { return cmp.Compare(name(a), name(b)) })
		var names []string
		for _, f := range fs[:min(len(fs), most)] {
			names = append(names, name(f))
		}
		return list(names, len(fs)-len(names))
	}
	// By segment: how many washers come through, and those that are not counted higher yet.
	count, fresh := map[network.SegID]int{}, map[network.SegID][]network.FixID{}
	first := n.Outlet
	for _, f := range set {
		s := n.Fixtures[f].Seg
		count[s]++
		fresh[s] = append(fresh[s], f)
		first = min(first, s)
	}
	for s := first; s <= n.Outlet; s++ {
		k, more := count[s], fresh[s]
		if k == 0 || n.Segs[s].Basin {
			continue // below a basin the flow of the pump counts
		}
		if k >= bat.from && len(more) > 0 {
			c := GroupCredit{Seg: s, Name: "battery", Cite: bat.cite, As: unit.Load(len(more)) * bat.each, Room: called(more)}
			for _, f := range more {
				c.Sum += o.Fixture[f].Units
			}
			if asked {
				asked = false
				seg := n.Fixtures[more[0]].Seg
				run := n.RunOf(seg)
				w.diags = append(w.diags, diag.Diagnostic{
					Severity: diag.Unchecked, Rule: "fixture-load", On: diag.Ref{What: diag.Fixture, Name: run.Name, Segment: int32(seg)}, At: run.Def.Fixture.Kind.At,
					Message: called(set) + ": taken as one battery, " + unitsEach(bat.each) + " on the drains that they share",
					Ask:     "do they stand together? if each is in a dwelling of its own, name their `room`",
					Cites:   []diag.Cite{bat.cite},
				})
			}
			o.Credit = append(o.Credit, c)
			more = nil
		}
		if k == len(set) {
			return
		}
		if d := n.Segs[s].Down; d != network.None {
			count[d] += k
			fresh[d] = append(fresh[d], more...)
		}
	}
}

// carriedBattery adds what washers that a run carries count more as a battery.
func (w *summer) carriedBattery(p *Part, kinds []*catalog.Kind) {
	bat := batteryOf(w.book)
	if bat.from == 0 {
		return
	}
	n, sum := 0, unit.Load(0)
	for _, k := range kinds {
		if k.Name != washers {
			continue
		}
		row, st := k.In(w.book, codebook.Attr{Use: w.use})
		if st != codebook.Given || row.Units.Load >= bat.each {
			return
		}
		n++
		sum += row.Units.Load
	}
	if n < bat.from {
		return
	}
	more := unit.Load(n)*bat.each - sum
	p.Units += more
	p.Terms = append(p.Terms, Term{What: strconv.Itoa(n) + " washers counted as one battery, " + unitsEach(bat.each), Units: more, Cite: bat.cite})
}

func unitsEach(u unit.Load) string { return u.String() + " units each" }
