package price

import (
	"slices"
	"strings"

	"trapweir/engine/takeoff"
	"trapweir/engine/unit"
)

// Labour is the shop's own time, from the shop's own figures. There are no others.
type Labour struct {
	// Given: the price file has figures for labour.
	Given bool  `json:"given"`
	Hours Money `json:"hours"` // ten-thousandths of an hour
	// Rate is the price of an hour, Cost what the hours come to, when RateKnown. Where a
	// phase has a rate of its own, Rate is that of the others.
	Rate      Money `json:"rate"`
	RateKnown bool  `json:"rateKnown"`
	Cost      Money `json:"cost"`
	// Phases has an entry for each phase, in order; their hours and costs sum to the above.
	Phases  []PhaseHours `json:"phases"`
	Missing []string     `json:"missing,omitempty"` // what no figure is there for
}

// PhaseHours are the hours of one phase, by what they are figured on.
type PhaseHours struct {
	Phase    takeoff.Phase `json:"phase"`
	Pipe     Money         `json:"pipe"`     // by the foot
	Joints   Money         `json:"joints"`   // by the joint
	Pieces   Money         `json:"pieces"`   // by the piece
	Fixtures Money         `json:"fixtures"` // by the fixture, roughed in or set
	Tests    Money         `json:"tests"`    // by the test
	Fixed    Money         `json:"fixed"`    // for the phase as a whole
	Hours    Money         `json:"hours"`
	// Rate and Cost as for Labour.
	Rate      Money `json:"rate"`
	RateKnown bool  `json:"rateKnown"`
	Cost      Money `json:"cost"`
}

// figure finds a line of the price file under labour, in either spelling.
func (l *List) figure(name, unit string) (Money, bool) {
	it, ok := l.Find("labour "+name, unit)
	if !ok {
		it, ok = l.Find("labor "+name, unit)
	}
	return it.Price, ok
}

// figures reports whether the file has any figure for labour of a kind, told by its name
// after the word labour and its unit.
func (l *List) figures(is func(name, unit string) bool) bool {
	for i := range l.Items {
		k := key(l.Items[i].Key)
		name, ok := strings.CutPrefix(k, "labour ")
		if !ok {
			name, ok = strings.CutPrefix(k, "labor ")
		}
		if ok && is(name, l.Items[i].Unit) {
			return true
		}
	}
	return false
}

// labour sums the shop's hours by phase: by the foot of pipe, the joint, the piece, the
// fixture, the test, and for the phase as a whole. What a figure of the file is based on and
// this order has without a figure is missing; a basis that the file does not use is not.
func (p *Priced) labour(l *List) {
	lab := &p.Labour
	lab.Phases = make([]PhaseHours, takeoff.Phases)
	for i := range lab.Phases {
		lab.Phases[i].Phase = takeoff.Phase(i)
	}
	add := func(to *Money, name, unit string, num, den int64) bool {
		h, ok := l.figure(name, unit)
		if ok {
			lab.Given = true
			*to += h.Times(num, den)
		}
		return ok
	}
	// need takes the figure of one basis; where the file has figures of that basis and not
	// this one, it is missing.
	var missing []string
	need := func(used bool, to *Money, name, unit string, num, den int64) {
		if !add(to, name, unit, num, den) && used {
			missing = append(missing, "labour "+name+", "+unit)
		}
	}
	pipe := l.figures(func(name, unit string) bool { return unit == "hour/ft" })
	joint := l.figures(func(name, unit string) bool { return unit == "hour/ea" && strings.Contains(name, " joint ") })
	rough := l.figures(func(name, _ string) bool { return strings.HasPrefix(name, "fixture ") })
	set := l.figures(func(name, _ string) bool { return strings.HasPrefix(name, "trim ") })
	test := l.figures(func(name, _ string) bool {
		return slices.Contains([]string{"test underground", "test rough-in", "test trim"}, name)
	})
	for i := range p.Order.Lines {
		x := &p.Order.Lines[i]
		ph := &lab.Phases[x.Phase]
		switch {
		case x.Unit == takeoff.Run:
			need(pipe, &ph.Pipe, x.Key(), "hour/ft", x.Qty, int64(unit.Foot))
		case x.Unit == takeoff.Each:
			add(&ph.Pieces, x.Key(), "hour/ea", x.Qty, 1)
		}
	}
	for _, j := range p.Order.Joints {
		name := j.Material + " joint " + j.Size.Short()
		need(joint, &lab.Phases[j.Phase].Joints, name, "hour/ea", j.N, 1)
	}
	for _, f := range p.Order.Fixtures {
		need(rough, &lab.Phases[f.Phase].Fixtures, "fixture "+f.Kind, "hour/ea", f.N, 1)
		need(set, &lab.Phases[takeoff.Trim].Fixtures, "trim "+f.Kind, "hour/ea", f.N, 1)
	}
	for _, ph := range p.Order.Tests {
		need(test, &lab.Phases[ph].Tests, "test "+ph.String(), "hour/ea", 1, 1)
	}
	for i := range lab.Phases {
		ph := &lab.Phases[i]
		if slices.ContainsFunc(p.Order.Lines, func(x takeoff.Line) bool { return x.Phase == ph.Phase }) || ph.Fixtures > 0 {
			add(&ph.Fixed, "phase "+ph.Phase.String(), "hour", 1, 1)
		}
	}
	if !lab.Given {
		return
	}
	slices.Sort(missing)
	lab.Missing = slices.Compact(missing)
	lab.Rate, lab.RateKnown = l.figure("rate", "hour")
	all := true
	for i := range lab.Phases {
		ph := &lab.Phases[i]
		ph.Hours = ph.Pipe + ph.Joints + ph.Pieces + ph.Fixtures + ph.Tests + ph.Fixed
		lab.Hours += ph.Hours
		ph.Rate, ph.RateKnown = l.figure("rate "+ph.Phase.String(), "hour")
		if !ph.RateKnown {
			ph.Rate, ph.RateKnown = lab.Rate, lab.RateKnown
		}
		if ph.RateKnown {
			ph.Cost = ph.Rate.Times(int64(ph.Hours), int64(One)).Cents()
			lab.Cost += ph.Cost
		} else if ph.Hours > 0 {
			all = false
		}
	}
	lab.RateKnown = all
}
