package price

import (
	"fmt"
	"slices"
	"strings"

	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/takeoff"
	"trapweir/engine/unit"
	"trapweir/engine/vent"
)

// Side is one version of a job.
type Side struct {
	Net    *network.Net
	Sizes  *size.Sizes
	Vents  *vent.Vents
	Priced *Priced
}

// Change is what a change order says: the difference of two versions.
type Change struct {
	Added   []string `json:"added"`   // runs and vents that were not there
	Removed []string `json:"removed"` // that are gone
	// Resized are those that stay with another size, Rerouted those whose legs, joint or
	// fixture changed.
	Resized  []Resize `json:"resized"`
	Rerouted []string `json:"rerouted"`
	Lines    []Delta  `json:"lines"`
	// Cost is new less old; Known is false where a price is missing on either side for
	// something whose amount changed.
	Cost  Money `json:"cost"`
	Known bool  `json:"known"`
	// Material and Labour are the parts of Cost; what is left is sundries and tax.
	Material Money       `json:"material"`
	Labour   Money       `json:"labour"`
	Hours    Money       `json:"hours"` // new less old, by the shop's figures
	Units    unit.System `json:"units"` // of the new version
	Missing  []string    `json:"missing"`
	// LabourMissing are figures for labour that one of the two versions lacks.
	LabourMissing []string  `json:"labourMissing,omitempty"`
	Inspect       []Inspect `json:"inspect"`
}

// Resize is a run or vent of another size than before; sizes along it, with the flow.
type Resize struct {
	Name string `json:"name"`
	Was  string `json:"was"`
	Is   string `json:"is"`
}

// Delta is a line of the order whose amount changed. Was and Is are net, in Unit.
type Delta struct {
	Phase takeoff.Phase `json:"phase"`
	Key   string        `json:"item"`
	Unit  takeoff.Unit  `json:"unit"`
	Was   int64         `json:"was"`
	Is    int64         `json:"is"`
	Cost  Money         `json:"cost"`
	Known bool          `json:"known"`
	Runs  []string      `json:"runs"` // whose share changed
}

// Inspect is what has to be seen again before it is covered.
type Inspect struct {
	Phase takeoff.Phase `json:"phase"`
	Runs  []string      `json:"runs"`
	Say   string        `json:"say"`
}

// Compare tells what the new version changes. Nothing in it depends on the order in which
// a job names its runs.
func Compare(old, now Side) *Change {
	c := &Change{Known: true, Added: []string{}, Removed: []string{}, Resized: []Resize{}, Rerouted: []string{}, Lines: []Delta{}, Missing: []string{}, Inspect: []Inspect{}}
	c.pipes(old, now)
	c.lines(old, now)
	c.Cost = now.Priced.Total - old.Priced.Total
	c.Material = now.Priced.Material - old.Priced.Material
	c.Labour = now.Priced.Labour.Cost - old.Priced.Labour.Cost
	c.Hours, c.Units = now.Priced.Labour.Hours-old.Priced.Labour.Hours, now.Priced.Order.Units
	if len(c.Lines) > 0 {
		c.LabourMissing = append(slices.Clone(old.Priced.Labour.Missing), now.Priced.Labour.Missing...)
		slices.Sort(c.LabourMissing)
		c.LabourMissing = slices.Compact(c.LabourMissing)
		c.Known = c.Known && len(c.LabourMissing) == 0
	}
	c.inspect()
	return c
}

// pipe is what is compared of a run or vent.
type pipe struct{ sizes, route string }

func pipes(s Side) map[string]pipe {
	out := map[string]pipe{}
	for i := range s.Net.Runs {
		r := &s.Net.Runs[i]
		var sizes, route []string
		for _, g := range r.Segs {
			z := s.Sizes.Size[g].Short()
			if len(sizes) == 0 || sizes[len(sizes)-1] != z {
				sizes = append(sizes, z)
			}
			x := &s.Net.Segs[g]
			leg := fmt.Sprint(x.Way, x.LengthKnown, x.Lie, x.UnderGround)
			if k := len(route) - 1; k >= 0 && strings.HasPrefix(route[k], leg+"|") {
				continue // only cut by what joins
			}
			route = append(route, leg+"|")
		}
		var length unit.Length
		for _, g := range r.Segs {
			length += s.Net.Segs[g].Length()
		}
		d := r.Def
		legs := ""
		for _, l := range append(slices.Clone(d.Arm), d.Legs...) {
			legs += fmt.Sprint(l.Way, l.Length.V, l.Length.Set, ";")
		}
		out[r.Name] = pipe{strings.Join(sizes, ", "), fmt.Sprint(route, length, legs, d.Joins.Text, d.Place.Kind, d.Place.Len, d.Place.Name, d.Mater.Text, d.State.Text, d.Fixture.Kind.Text, d.Slope.V, d.Fitting.Text)}
	}
	for i := range s.Net.Vents {
		v := &s.Net.Vents[i]
		z := ""
		if s.Vents != nil && i < len(s.Vents.Size) {
			z = s.Vents.Size[i].Size.Short()
		}
		d := v.Def
		legs := ""
		for _, l := range d.Legs {
			legs += fmt.Sprint(l.Way, l.Length.V, l.Length.Set, ";")
		}
		var from []string
		for _, w := range d.From {
			from = append(from, w.Text)
		}
		out[v.Name] = pipe{z, fmt.Sprint(legs, v.Length, from, d.Place.Kind, d.Place.Len, d.Ends.Text, d.Mater.Text, d.State.Text, d.Fitting.Text)}
	}
	return out
}

func (c *Change) pipes(old, now Side) {
	a, b := pipes(old), pipes(now)
	for name, x := range a {
		y, ok := b[name]
		switch {
		case !ok:
			c.Removed = append(c.Removed, name)
		default:
			if x.sizes != y.sizes {
				c.Resized = append(c.Resized, Resize{name, x.sizes, y.sizes})
			}
			if x.route != y.route {
				c.Rerouted = append(c.Rerouted, name)
			}
		}
	}
	for name := range b {
		if _, ok := a[name]; !ok {
			c.Added = append(c.Added, name)
		}
	}
	slices.Sort(c.Added)
	slices.Sort(c.Removed)
	slices.Sort(c.Rerouted)
	slices.SortFunc(c.Resized, func(x, y Resize) int { return strings.Compare(x.Name, y.Name) })
}

type lineKey struct {
	phase takeoff.Phase
	key   string
}

func (c *Change) lines(old, now Side) {
	a, b := map[lineKey]*Line{}, map[lineKey]*Line{}
	var keys []lineKey
	for i := range now.Priced.Lines {
		x := &now.Priced.Lines[i]
		k := lineKey{x.Phase, x.Key()}
		b[k] = x
		keys = append(keys, k)
	}
	for i := range old.Priced.Lines {
		x := &old.Priced.Lines[i]
		k := lineKey{x.Phase, x.Key()}
		a[k] = x
		if b[k] == nil {
			keys = append(keys, k)
		}
	}
	for _, k := range keys {
		x, y := a[k], b[k]
		d := Delta{Phase: k.phase, Key: k.key, Known: true}
		shares := map[string]int64{}
		for i, l := range []*Line{x, y} {
			if l == nil {
				continue
			}
			d.Unit = l.Unit
			sign := int64(2*i - 1)
			for _, s := range l.Shares {
				shares[s.Name] += sign * s.Qty
			}
			for _, m := range l.Costs {
				d.Cost += m.Extended * Money(sign)
				d.Known = d.Known && m.Known
			}
			if i == 0 {
				d.Was = l.Qty
			} else {
				d.Is = l.Qty
			}
		}
		for name, q := range shares {
			if q != 0 {
				d.Runs = append(d.Runs, name)
			}
		}
		slices.Sort(d.Runs)
		if d.Was == d.Is && len(d.Runs) == 0 && d.Cost == 0 {
			continue
		}
		if !d.Known {
			c.Known = false
			c.Missing = append(c.Missing, k.key)
		}
		c.Lines = append(c.Lines, d)
	}
	slices.SortStableFunc(c.Lines, func(x, y Delta) int { return int(x.Phase) - int(y.Phase) })
	slices.Sort(c.Missing)
	c.Missing = slices.Compact(c.Missing)
}

// inspect: whatever pipe or fitting changes in a phase is open work again in that phase.
func (c *Change) inspect() {
	say := [...]string{
		takeoff.Underground: "before the trench is filled: bedding, fall, joints, and the water test of the part that changed",
		takeoff.RoughIn:     "before walls and floors are closed: pipe, supports, bores, and the water test of the part that changed",
		takeoff.Trim:        "at the final inspection: traps, valves and plugs in place",
	}
	for ph := range takeoff.Phases {
		in := Inspect{Phase: takeoff.Phase(ph), Say: say[ph], Runs: []string{}}
		for _, d := range c.Lines {
			if d.Phase == in.Phase {
				in.Runs = append(in.Runs, d.Runs...)
			}
		}
		slices.Sort(in.Runs)
		in.Runs = slices.Compact(in.Runs)
		if len(in.Runs) > 0 {
			c.Inspect = append(c.Inspect, in)
		}
	}
}
