package takeoff

import (
	"slices"

	"trapweir/engine/elevation"
	"trapweir/engine/fitting"
	"trapweir/engine/network"
	"trapweir/engine/stock"
	"trapweir/engine/unit"
)

// riser is the pipe from a cleanout in the ground up to where it can be reached.
type riser struct {
	fit  *fitting.Fitting
	size unit.Size
	to   string // the kind that its foot stands on
	// bend: the foot is a sweep that turns the level end of the line upward.
	bend bool
}

// needsRiser: the cleanout is in the ground, and nothing on the line itself brings it up. A
// cleanout in the ground is brought up to the floor or the ground (common practice; books
// ask for it under cleanouts).
func (t *taker) needsRiser(f *fitting.Fitting) bool {
	return t.phaseSeg(f.At.Seg) == Underground && t.phaseEnd(f.At.Seg) == Underground
}

// risers counts the pipe of cleanouts that come up from the ground: to the grade outside, to
// the floor under a slab. Where a height is not known, or the pipe does not lie under what it
// should come up to, it is asked.
func (t *taker) risers() {
	for _, r := range t.up {
		s := r.fit.At.Seg
		w, mat, ph := t.whoSeg(s), t.segMaterial(s), t.phaseSeg(s)
		if r.bend {
			t.part(&made{kind: "long sweep", run: r.size, count: 1, material: mat, phase: ph, who: w})
		}
		what := "riser pipe of the cleanout"
		if r.to != "long sweep" {
			what = "riser pipe of the two-way cleanout"
		}
		o := Open{Phase: ph, What: what, Runs: []string{w.name}, Size: r.size.Short(), Material: mat, Ask: "how far is it from the pipe up to where the cleanout ends?"}
		centre, ok := t.heightAt(r.fit)
		top, word, known := t.reach(s)
		switch {
		case !ok || !known:
			o.Why = "how deep the line lies here is not known"
			t.open(o)
			continue
		case top <= centre:
			o.Why = "the line does not lie under " + word + " here, as far as the heights of the job go"
			t.open(o)
			continue
		}
		foot := &made{kind: r.to, run: r.size, branch: nil, count: 1, material: mat}
		port := stock.Upper
		if r.to != "long sweep" {
			foot.branch = []unit.Size{r.size}
			port = stock.Side
		}
		end := &made{kind: "cleanout adapter", run: r.size, count: 1, material: mat}
		t.note("a cleanout in the ground has a riser up to " + word)
		t.put(ph, mat, r.size, []part{{w, top - centre}}, true, "cleanout", t.say(r.to), t.take(end, stock.Upper, r.size), t.take(foot, port, r.size))
	}
}

// heightAt is the centre line at a fitting.
func (t *taker) heightAt(f *fitting.Fitting) (unit.Length, bool) {
	if t.levels == nil {
		return 0, false
	}
	s := f.At.Seg
	up, low := t.levels.CentreUp[s], t.levels.CentreLow[s]
	seg := &t.net.Segs[s]
	switch {
	case f.At.Lower:
		return low.V, low.Known
	case f.At.Station == seg.From || !f.At.Known:
		return up.V, up.Known
	case !up.Known || !low.Known || seg.Length() == 0:
		return 0, false
	}
	// Inside a segment, by its slope: to the 1/16 in that it is cut to anyway.
	part := float64(f.At.Station-seg.From) / float64(seg.Length())
	return up.V - unit.Length(float64(up.V-low.V)*part).Round(sixteenth), true
}

// reach is what a cleanout in the ground comes up to: the grade outside the house, the floor
// inside it.
func (t *taker) reach(s network.SegID) (top unit.Length, word string, ok bool) {
	run := t.net.RunOf(s)
	outside := run.Def.Where.Text == "outside"
	if run.Level >= 0 && int(run.Level) < len(t.net.Job.Levels) {
		lv := &t.net.Job.Levels[run.Level]
		if !outside && lv.Floor.Set {
			return lv.Floor.V, "the floor", true
		}
		if lv.Grade.Set {
			return lv.Grade.V, "the ground", true
		}
	}
	// The lowest level that says so: the line leaves the house there.
	found := elevation.Height{}
	word = "the ground"
	for i := range t.net.Job.Levels {
		lv := &t.net.Job.Levels[i]
		h := lv.Grade
		if !outside {
			h, word = lv.Floor, "the floor"
		}
		if h.Set && (!found.Known || h.V < found.V) {
			found = elevation.Height{V: h.V, Known: true}
		}
	}
	return found.V, word, found.Known
}

// street asks what the line is joined to at its end: only the job knows where it ends, and
// nobody what is there.
func (t *taker) street() {
	to := t.net.Job.Outlet.To.Text
	ask, ok := map[string]string{
		"public sewer": "what is there at the public sewer, of what pipe and size: a branch left for the lot, a saddle, a manhole? who sets it?",
		"septic tank":  "what does the inlet of the tank take, and in what size?",
		"house drain":  "what does the line join at the house drain: a branch that stands, or one to be cut in, in what pipe and size?",
	}[to]
	if !ok {
		return
	}
	for i := range t.net.Segs {
		s := network.SegID(i)
		if t.net.Segs[s].Down != network.None || !t.newSeg(s) || t.net.Segs[s].Role == network.PumpDischarge {
			continue
		}
		z := t.sizes.Size[s]
		size := ""
		if z > 0 {
			size = z.Short()
		}
		t.open(Open{Phase: t.phaseSeg(s), What: "connection at the " + to, Runs: []string{t.whoSeg(s).name}, Size: size, Material: t.segMaterial(s), Why: "what it is joined to is not said", Ask: ask})
	}
}

// meet takes away the joint that two fittings which meet without pipe do not make.
func (t *taker) meet(material string, z unit.Size, names []string) {
	var best *jointKey
	for k, n := range t.joints {
		if n <= 0 || k.material != material || k.size != z || !slices.Contains(names, k.who.name) {
			continue
		}
		if best == nil || k.phase < best.phase || k.phase == best.phase && k.who.name < best.who.name {
			key := k
			best = &key
		}
	}
	if best != nil {
		t.joints[*best]--
	}
}
