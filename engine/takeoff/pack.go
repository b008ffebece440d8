package takeoff

import (
	"cmp"
	"slices"

	"trapweir/engine/unit"
)

// Cut is one piece of pipe of a given length, cut square at both ends. Length is the
// length of the pipe itself, sockets already counted in.
type Cut struct {
	Length   unit.Length `json:"length"`
	Size     unit.Size   `json:"size"`
	Material string      `json:"material"`
	Run      string      `json:"run,omitempty"` // the run or vent that it is for; not looked at
}

// Stock is a length in which pipe of a size and material is sold. As many as wanted can
// be had. Several lengths of one pipe may be given.
type Stock struct {
	Length   unit.Length `json:"length"`
	Size     unit.Size   `json:"size"`
	Material string      `json:"material"`
}

// Plan says which pieces come out of which stock length.
type Plan struct {
	// Groups are in order of material, then size. Pipe of different groups is not mixed.
	Groups []Group `json:"groups"`
	// Left are the cuts that are in no group, in the order given, each with its reason.
	// They are not in any total.
	Left []Left `json:"left,omitempty"`
}

// Group is the plan for all pieces of one size and material.
type Group struct {
	Material string    `json:"material"`
	Size     unit.Size `json:"size"`
	// Bars are the stock lengths to buy: longest first, then by their pieces, longest first.
	Bars []Bar `json:"bars"`
	// Cut is the sum of the pieces, Bought the sum of the stock lengths.
	Cut    unit.Length `json:"cut"`
	Bought unit.Length `json:"bought"`
	// Bound is a length below which no plan whatever can buy. With one stock length it is
	// the bound L2 of Martello and Toth; with several, the weaker one said at bound.
	Bound unit.Length `json:"bound"`
	// Least: no plan buys less than Bought, because Bought meets Bound or because the
	// search came to its end. Otherwise up to Bought - Bound may be bought in vain.
	Least bool `json:"least"`
}

// Gap is how much less a better plan might buy: 0 when there is none.
func (g *Group) Gap() unit.Length {
	if g.Least {
		return 0
	}
	return g.Bought - g.Bound
}

// Offcuts are the lengths that are left over, longest first, without those of length 0.
func (g *Group) Offcuts() []unit.Length {
	var out []unit.Length
	for i := range g.Bars {
		if o := g.Bars[i].Offcut; o > 0 {
			out = append(out, o)
		}
	}
	slices.SortFunc(out, func(a, b unit.Length) int { return cmp.Compare(b, a) })
	return out
}

// Bar is one stock length with the pieces that are cut from it, longest first.
type Bar struct {
	Stock unit.Length `json:"stock"`
	Cuts  []Cut       `json:"cuts"`
	// Offcut is what is left after the last saw cut; 0 also when the saw takes the rest.
	Offcut unit.Length `json:"offcut"`
}

// Why says why a cut is in no group.
type Why uint8

const (
	NoLength Why = iota // its length is 0 or less: not known
	NoStock             // nothing of this size and material is sold
	TooLong             // longer than the longest stock length: it needs a coupling, and where is the plumber's choice
)

// String gives the reason in words.
func (w Why) String() string {
	return [...]string{"length not known", "no stock length of this size and material", "longer than any stock length"}[w]
}

// MarshalText makes the words the JSON form.
func (w Why) MarshalText() ([]byte, error) { return []byte(w.String()), nil }

// Left is a cut that is in no group.
type Left struct {
	Cut Cut `json:"cut"`
	Why Why `json:"why"`
}

// work bounds the search for one group, counted in piece lengths that are looked at. It is
// a count and not a time, so the same cuts give the same plan on every machine. It is
// about a tenth of a second.
const work = 20_000_000

// Pack plans how to cut the pieces from stock lengths so that the least length of pipe is
// bought. Each saw cut costs kerf (0 or less: nothing); no cut is made where a piece ends
// with the bar, and a rest shorter than the kerf goes with the last cut.
//
// Houses of ordinary size come out with Least set. Where the search is cut short, the
// plan is the best one found, and Bound shows how far off it can be. The same input gives
// the same plan; the order of cuts only decides which run gets which of two equal pieces.
//
// Lengths may be up to a kilometre for a million pieces without overflow.
func Pack(cuts []Cut, stock []Stock, kerf unit.Length) Plan {
	type pipe struct {
		material string
		size     unit.Size
	}
	kerf = max(kerf, 0)
	sold := map[pipe][]int64{}
	for _, s := range stock {
		if p := (pipe{s.Material, s.Size}); s.Length > 0 {
			sold[p] = append(sold[p], int64(s.Length))
		}
	}
	for _, lengths := range sold {
		slices.Sort(lengths)
	}
	var plan Plan
	groups := map[pipe][]Cut{}
	for _, c := range cuts {
		p := pipe{c.Material, c.Size}
		lengths := sold[p]
		switch {
		case c.Length <= 0:
			plan.Left = append(plan.Left, Left{c, NoLength})
		case len(lengths) == 0:
			plan.Left = append(plan.Left, Left{c, NoStock})
		case int64(c.Length) > lengths[len(lengths)-1]:
			plan.Left = append(plan.Left, Left{c, TooLong})
		default:
			groups[p] = append(groups[p], c)
		}
	}
	pipes := make([]pipe, 0, len(groups))
	for p := range groups {
		pipes = append(pipes, p)
	}
	slices.SortFunc(pipes, func(a, b pipe) int {
		return cmp.Or(cmp.Compare(a.material, b.material), cmp.Compare(a.size, b.size))
	})
	for _, p := range pipes {
		g := packGroup(groups[p], slices.Compact(slices.Clone(sold[p])), int64(kerf), work)
		g.Material, g.Size = p.material, p.size
		plan.Groups = append(plan.Groups, g)
	}
	return plan
}

// packGroup plans one group. lengths are the stock lengths, shortest first, without
// doubles; every cut fits the longest.
//
// With the saw counted, n pieces fit into a bar when their lengths and n-1 saw cuts do.
// Adding one kerf on both sides makes this plain bin packing: pieces of length + kerf into
// bars of length + kerf.
func packGroup(cuts []Cut, lengths []int64, kerf int64, budget int) Group {
	sorted := slices.Clone(cuts)
	slices.SortStableFunc(sorted, func(a, b Cut) int { return cmp.Compare(b.Length, a.Length) })
	c := cutter{budget: budget, lengths: lengths}
	for _, l := range lengths {
		c.room = append(c.room, l+kerf)
		c.step = gcd(c.step, l)
	}
	var g Group
	for _, cut := range sorted {
		g.Cut += cut.Length
		w := int64(cut.Length) + kerf
		if k := len(c.piece); k == 0 || c.piece[k-1] != w {
			c.piece, c.left = append(c.piece, w), append(c.left, 0)
		}
		c.left[len(c.left)-1]++
	}
	bars, bound, least := c.solve()

	g.Bound, g.Least = unit.Length(bound), least
	slices.SortStableFunc(bars, func(a, b bar) int {
		return cmp.Or(cmp.Compare(b.length, a.length), slices.Compare(a.pieces, b.pieces))
	})
	// next is where, in sorted, the cuts of each length that are not yet used begin.
	next := make([]int, len(c.piece))
	for i, at := 0, 0; i < len(next); i++ {
		next[i] = at
		for at < len(sorted) && int64(sorted[at].Length)+kerf == c.piece[i] {
			at++
		}
	}
	for _, b := range bars {
		out := Bar{Stock: unit.Length(lengths[b.length])}
		rest := lengths[b.length]
		for _, p := range b.pieces {
			out.Cuts = append(out.Cuts, sorted[next[p]])
			next[p]++
			rest -= c.piece[p]
		}
		out.Offcut = unit.Length(max(rest, 0))
		g.Bars = append(g.Bars, out)
		g.Bought += out.Stock
	}
	return g
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
