package takeoff

import (
	"encoding/binary"
	"math/bits"
	"slices"
)

// cutter packs pieces into bars of one or more lengths so that the sum of bar lengths is
// least. Several quick ways give a first plan; then a search looks for a better one until
// there is none or its budget is used up.
//
// The search fills one bar at a time (bin completion): the longest piece that is left
// must go somewhere, so every bar that holds it is tried, but only bars into which
// nothing more fits and that would not fit into a shorter length. Any other plan can be
// turned into one of these by moving pieces into that bar, without buying more.
type cutter struct {
	piece   []int64 // lengths with one kerf, longest first, each once
	left    []int   // how many of each are still to place
	room    []int64 // what a bar of each length holds, one kerf added; shortest first
	lengths []int64 // what it costs
	step    int64   // every sum of lengths is a multiple of this
	budget  int

	best     int64
	bestBars []bar
	now      []bar // the bars filled so far on the way that is being tried
	// been holds, for pieces that were left at some point of the search, the least that
	// the bars before it cost.
	been map[string]int64
	key  []byte
}

// remembered bounds been.
const remembered = 100_000

// bar is a filled bar: an index into lengths, and indices into piece in rising order.
type bar struct {
	length int
	pieces []int
}

// solve returns the bars of the best plan, a length below which no plan can be, and
// whether the plan is known to be the least. It leaves left as it was.
func (c *cutter) solve() (bars []bar, bound int64, least bool) {
	bound = c.bound()
	c.best = -1
	for open := range c.lengths {
		c.offer(c.fit(open, false))
		c.offer(c.fit(open, true))
		c.offer(c.fillWell(c.left, open))
	}
	if len(c.lengths) > 1 {
		c.offer(c.fillWell(c.left, -1))
	}
	if c.best > bound {
		c.been = map[string]int64{}
		c.search(0)
	}
	return c.bestBars, bound, c.best <= bound || c.budget > 0
}

// offer keeps a whole plan if it is better than the best one so far.
func (c *cutter) offer(bars []bar) {
	var cost int64
	for i := range bars {
		bars[i].length = c.shortest(c.held(bars[i].pieces))
		cost += c.lengths[bars[i].length]
	}
	if c.best < 0 || cost < c.best {
		c.best, c.bestBars = cost, bars
	}
}

func (c *cutter) held(pieces []int) int64 {
	var sum int64
	for _, p := range pieces {
		sum += c.piece[p]
	}
	return sum
}

// shortest is the shortest length that holds so much.
func (c *cutter) shortest(held int64) int {
	i, _ := slices.BinarySearch(c.room, held)
	return i
}

// fit places the pieces from the longest to the shortest into the first bar that has room
// (or, if tight, into the one with the least room), and opens bars of one length.
func (c *cutter) fit(open int, tight bool) []bar {
	var bars []bar
	var rest []int64
	for p, n := range c.left {
		for range n {
			at := -1
			for i, r := range rest {
				if r >= c.piece[p] && (at < 0 || tight && r < rest[at]) {
					at = i
					if !tight {
						break
					}
				}
			}
			if at < 0 {
				l := max(open, c.shortest(c.piece[p]))
				bars, rest, at = append(bars, bar{length: l}), append(rest, c.room[l]), len(bars)
			}
			bars[at].pieces = append(bars[at].pieces, p)
			rest[at] -= c.piece[p]
		}
	}
	return bars
}

// fillWell fills one bar after the other with the pieces in left as full as it can,
// beginning each with the longest piece. open is the length to use where the piece fits
// it; -1 takes, for each bar, the length of which the smallest part stays empty.
func (c *cutter) fillWell(left []int, open int) []bar {
	left = slices.Clone(left)
	var bars []bar
	for first := 0; first < len(left); {
		if left[first] == 0 {
			first++
			continue
		}
		least := c.shortest(c.piece[first])
		from, to := max(open, least), max(open, least)
		if open < 0 {
			from, to = least, len(c.room)-1
		}
		left[first]--
		var chosen bar
		chosenRest := int64(-1)
		for l := from; l <= to; l++ {
			f := filler{piece: c.piece, left: left, steps: 4000, rest: c.room[l] - c.piece[first]}
			f.best = f.rest
			f.try(first, f.rest)
			// f.best/room[l] < chosenRest/room[chosen], without dividing
			if chosenRest < 0 || product(f.best, c.room[chosen.length]).less(product(chosenRest, c.room[l])) {
				chosen = bar{length: l, pieces: append([]int{first}, f.bestTaken...)}
				chosenRest = f.best
			}
		}
		for _, p := range chosen.pieces[1:] {
			left[p]--
		}
		bars = append(bars, chosen)
	}
	return bars
}

// filler looks for the pieces that leave the least rest of one bar.
type filler struct {
	piece []int64
	left  []int
	steps int
	rest  int64

	taken     []int
	best      int64
	bestTaken []int
}

func (f *filler) try(from int, rest int64) {
	if rest < f.best {
		f.best, f.bestTaken = rest, slices.Clone(f.taken)
	}
	for p := from; p < len(f.piece) && f.best > 0 && f.steps > 0; p++ {
		if f.left[p] == 0 || f.piece[p] > rest {
			continue
		}
		f.steps--
		f.left[p]--
		f.taken = append(f.taken, p)
		f.try(p, rest-f.piece[p])
		f.taken = f.taken[:len(f.taken)-1]
		f.left[p]++
	}
}

// search goes on from the bars in now, which cost so much.
func (c *cutter) search(cost int64) {
	first := slices.IndexFunc(c.left, func(n int) bool { return n > 0 })
	if first < 0 {
		if cost < c.best {
			c.best, c.bestBars = cost, make([]bar, len(c.now))
			for i, b := range c.now {
				c.bestBars[i] = bar{b.length, slices.Clone(b.pieces)}
			}
		}
		return
	}
	if c.budget -= len(c.piece); c.budget <= 0 || cost+c.bound() >= c.best {
		return
	}
	// The same bars in another order leave the same pieces: once is enough.
	c.key = c.key[:0]
	for _, n := range c.left {
		c.key = binary.AppendUvarint(c.key, uint64(n))
	}
	if been, ok := c.been[string(c.key)]; ok && been <= cost {
		return
	} else if ok || len(c.been) < remembered {
		c.been[string(c.key)] = cost
	}
	c.left[first]--
	for _, f := range c.fillings(first) {
		b := f.bar
		if cost+c.lengths[b.length] >= c.best {
			continue
		}
		for _, p := range b.pieces[1:] {
			c.left[p]--
		}
		c.now = append(c.now, b)
		c.search(cost + c.lengths[b.length])
		c.now = c.now[:len(c.now)-1]
		for _, p := range b.pieces[1:] {
			c.left[p]++
		}
		if c.budget <= 0 {
			break
		}
	}
	c.left[first]++
}

// filling is a way to fill a bar, with what stays empty of it.
type filling struct {
	bar
	rest int64
}

// fillings lists the ways to fill a bar that holds a piece first (already taken out of
// left) and is full, those that leave least of the bar empty before the others.
func (c *cutter) fillings(first int) []filling {
	var out []filling
	taken := []int{first}
	var add func(l, from int, rest int64)
	add = func(l, from int, rest int64) {
		if c.budget -= len(c.piece); c.budget <= 0 {
			return
		}
		p := from
		for p < len(c.piece) && (c.left[p] == 0 || c.piece[p] > rest) {
			p++
		}
		if p == len(c.piece) {
			if l > 0 && c.room[l]-rest <= c.room[l-1] {
				return // it would fit into a shorter length
			}
			for q := range c.piece {
				if c.left[q] > 0 && c.piece[q] <= rest {
					return // something more fits in
				}
			}
			out = append(out, filling{bar{l, slices.Clone(taken)}, rest})
			return
		}
		most := min(c.left[p], int(rest/c.piece[p]))
		held := len(taken)
		for k := most; k >= 0; k-- {
			taken = taken[:held]
			for range k {
				taken = append(taken, p)
			}
			c.left[p] -= k
			add(l, p+1, rest-int64(k)*c.piece[p])
			c.left[p] += k
		}
		taken = taken[:held]
	}
	for l := len(c.room) - 1; l >= 0 && c.room[l] >= c.piece[first]; l-- {
		add(l, first, c.room[l]-c.piece[first])
	}
	slices.SortStableFunc(out, func(a, b filling) int {
		x, y := product(a.rest, c.room[b.length]), product(b.rest, c.room[a.length])
		switch {
		case x.less(y):
			return -1
		case y.less(x):
			return 1
		}
		return 0
	})
	return out
}

// bound is a length below which nothing that packs the pieces in left can be.
//
// With one bar length it is L2 of S. Martello and P. Toth, "Lower bounds and reduction
// procedures for the bin packing problem", Discrete Applied Mathematics 28 (1990), times
// that length. With several it is the larger of two: the sum of the pieces at the cheapest
// length per room, rounded up to a multiple of what all lengths are multiples of; and the
// bars that pieces longer than half of the longest bar need, since no two share one.
func (c *cutter) bound() int64 {
	if len(c.room) == 1 {
		return c.barsNeeded(c.room[0]) * c.lengths[0]
	}
	var sum, alone int64
	longest := c.room[len(c.room)-1]
	for p, n := range c.left {
		sum += c.piece[p] * int64(n)
		if 2*c.piece[p] > longest {
			alone += int64(n) * c.lengths[c.shortest(c.piece[p])]
		}
	}
	// length/(length + kerf) is smallest for the shortest bar.
	hi, lo := bits.Mul64(uint64(sum), uint64(c.lengths[0]))
	lo, carry := bits.Add64(lo, uint64(c.room[0])-1, 0)
	q, _ := bits.Div64(hi+carry, lo, uint64(c.room[0])) // hi < room[0]: sum < 2^63 and length < room
	total := int64(q)
	if r := total % c.step; r != 0 {
		total += c.step - r
	}
	return max(total, alone)
}

// barsNeeded is the bound L2 on the number of bars that hold so much.
//
// For a threshold a of at most half a bar: pieces longer than room-a stand alone, since
// nothing of a or longer goes with them; the others longer than half need a bar each but
// leave some room; what the pieces from a up to half need beyond that room takes more.
func (c *cutter) barsNeeded(room int64) int64 {
	// The pieces up to index half are longer than half a bar: so many, and so long together.
	half := 0
	var count, long, small int64
	for ; half < len(c.piece) && 2*c.piece[half] > room; half++ {
		count += int64(c.left[half])
		long += int64(c.left[half]) * c.piece[half]
	}
	need := count
	// As the threshold falls from piece to piece, fewer of the long ones stand alone and
	// more of the short ones count. The pieces up to index alone are longer than room-a.
	alone, lone, loneLong := half, count, long
	for i := half; i <= len(c.piece); i++ {
		a := int64(0)
		if i < len(c.piece) {
			if c.left[i] == 0 {
				continue
			}
			a = c.piece[i]
			small += int64(c.left[i]) * a
		}
		for alone > 0 && c.piece[alone-1] <= room-a {
			alone--
			lone -= int64(c.left[alone])
			loneLong -= int64(c.left[alone]) * c.piece[alone]
		}
		space := (count-lone)*room - (long - loneLong)
		need = max(need, count+(max(small-space, 0)+room-1)/room)
	}
	return need
}

// wide is a product of two lengths, which can be larger than 64 bits.
type wide struct{ hi, lo uint64 }

func product(a, b int64) wide {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	return wide{hi, lo}
}

func (a wide) less(b wide) bool { return a.hi < b.hi || a.hi == b.hi && a.lo < b.lo }
