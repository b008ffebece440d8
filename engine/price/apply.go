package price

import (
	"slices"

	"trapweir/engine/takeoff"
	"trapweir/engine/unit"
)

// Settings are the shop's own shares, in hundredths of a percent: 500 is 5 %. 0 is none.
type Settings struct {
	Waste    int64 // on what is bought by the foot or the yard; sticks carry their waste in whole lengths
	Spare    int64 // on pieces, rounded up to whole ones
	Sundries int64 // on the material, for what nobody counts
	Tax      int64 // on material and sundries
}

// Cost is what one Buy of a line comes to.
type Cost struct {
	N     int64  `json:"thousandths"` // of Unit, spare and waste counted in
	Unit  string `json:"unit"`
	Price Money  `json:"price"`
	// Known is false where the file has no price; Extended then means nothing.
	Known    bool   `json:"known"`
	Extended Money  `json:"extended"` // to the cent
	Supplier string `json:"supplier,omitempty"`
}

// Line is a line of the order with its costs, one for each of its Buys.
type Line struct {
	*takeoff.Line
	Costs []Cost `json:"costs"`
}

// Priced is an order with prices.
type Priced struct {
	Order    *takeoff.Order `json:"-"`
	Settings Settings       `json:"settings"`
	// Listed: there was a price file.
	Listed bool   `json:"listed"`
	Lines  []Line `json:"lines"`
	// Missing are the things without a price, each once, in the order of the lines. They
	// are in no total.
	Missing  []string `json:"missing"`
	Material Money    `json:"material"`
	Sundries Money    `json:"sundries"`
	Tax      Money    `json:"tax"`
	Labour   Labour   `json:"labour"`
	Total    Money    `json:"total"` // material, sundries, tax, labour where it is known
}

// Complete reports whether the total can be all: every line has a price, and nothing that
// the job needs was left uncounted.
func (p *Priced) Complete() bool { return len(p.Missing) == 0 && len(p.Order.NotMeasured) == 0 }

// AllPriced reports whether every line that is counted has a price, and all labour that the
// shop figures has its figure.
func (p *Priced) AllPriced() bool {
	return p.Listed && len(p.Missing) == 0 && len(p.Labour.Missing) == 0 && (!p.Labour.Given || p.Labour.RateKnown)
}

// percent is the base of Settings.
const percent = 10_000

// Apply puts prices on an order. l may be nil: everything is then missing.
func Apply(o *takeoff.Order, l *List, set Settings) *Priced {
	p := &Priced{Order: o, Settings: set, Listed: l != nil, Missing: []string{}}
	if l == nil {
		l = &List{}
	}
	for i := range o.Lines {
		x := Line{Line: &o.Lines[i]}
		for _, b := range x.Buys {
			c := cost(l, x.Line, b, set)
			if !c.Known {
				if m := x.Key() + ", " + c.Unit; !slices.Contains(p.Missing, m) {
					p.Missing = append(p.Missing, m)
				}
			} else {
				p.Material += c.Extended
			}
			x.Costs = append(x.Costs, c)
		}
		p.Lines = append(p.Lines, x)
	}
	p.Sundries = p.Material.Times(set.Sundries, percent).Cents()
	p.Tax = (p.Material + p.Sundries).Times(set.Tax, percent).Cents()
	p.labour(l)
	p.Total = p.Material + p.Sundries + p.Tax + p.Labour.Cost
	return p
}

// cost finds the price of one buy, in its own unit or in one that it can be counted in.
func cost(l *List, x *takeoff.Line, b takeoff.Buy, set Settings) Cost {
	n := b.N
	switch {
	case b.Unit == "ea":
		n = up(n*(percent+set.Spare), percent*1000) * 1000
	case b.Unit == "ft", b.Unit == "cu yd", b.Unit == "m3":
		n = up(n*(percent+set.Waste), percent*100) * 100
	}
	c := Cost{N: n, Unit: b.Unit}
	take := func(unit string, n int64) bool {
		it, ok := l.Find(x.Key(), unit)
		if ok {
			c = Cost{N: n, Unit: unit, Price: it.Price, Known: true, Supplier: it.Supplier, Extended: it.Price.Times(n, 1000).Cents()}
		}
		return ok
	}
	switch {
	case take(b.Unit, n):
	case x.Unit == takeoff.Run && b.Length > 0:
		// A price by the foot for whole sticks.
		take("ft", int64(unit.Length(n)*b.Length/unit.Foot))
	case b.Unit == "pint":
		if !take("quart", up(n, 2000)*1000) {
			take("gallon", up(n, 8000)*1000)
		}
	case b.Unit == "m3":
		// 1 m3 is 1.30795 cu yd.
		if n := up(n*130_795, 100_000*100) * 100; !take("cu yd", n) {
			take("ton", up(n*14, 10*100)*100)
		}
	case b.Unit == "cu yd":
		// 1.4 tons to the cubic yard of sand or gravel: custom, 1.3 to 1.5.
		take("ton", up(n*14, 10*100)*100)
	}
	return c
}

// up divides and rounds upward.
func up(n, by int64) int64 { return (n + by - 1) / by }

// Sums gives what each heading of the order comes to, in the order of the headings.
func (p *Priced) Sums() []Sum {
	var out []Sum
	for i := range p.Lines {
		x := &p.Lines[i]
		k := slices.IndexFunc(out, func(s Sum) bool { return s.Group == x.Group })
		if k < 0 {
			k = len(out)
			out = append(out, Sum{Group: x.Group})
		}
		for _, c := range x.Costs {
			if c.Known {
				out[k].Cost += c.Extended
			} else {
				out[k].Missing++
			}
		}
	}
	order := takeoff.Groups()
	slices.SortStableFunc(out, func(a, b Sum) int { return slices.Index(order, a.Group) - slices.Index(order, b.Group) })
	return out
}

// Sum is what one heading comes to.
type Sum struct {
	Group   string `json:"group"`
	Cost    Money  `json:"cost"`
	Missing int    `json:"missing"` // buys without a price
}
