package size

import (
	"slices"

	"trapweir/engine/codebook"
	"trapweir/engine/load"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// RuleTaper is the id of "a stack does not shrink too far upward".
const RuleTaper = "stack-tapers-too-far"

// tapers asks for a floor where a stack, going up, would become smaller than the book's share
// of the largest size that it needs lower down. What carries nothing is left out: it goes on
// up in the size below. The lower end of a stack is never made larger by that, so that sizes
// chosen again with these floors ask for no more of them.
func (c *chooser) tapers() []Floor {
	share := c.book.Param("stack.taper-share")
	cite, topic := c.book.Clause("stack-taper")
	if share.State != codebook.Given || share.Number <= 0 || !topic {
		return nil
	}
	var out []Floor
	most := make([]unit.Size, len(c.net.Segs))
	for i := len(c.net.Segs) - 1; i >= 0; i-- {
		seg := &c.net.Segs[i]
		if seg.Role != network.Stack && seg.Role != network.StackOffset {
			continue
		}
		if d := seg.Down; d != network.None {
			most[i] = most[d] // 0 past the foot of the stack
		}
		if seg.Role == network.StackOffset {
			continue // sized as a drain; the stack below it is as large
		}
		most[i] = max(most[i], c.z.Required[i])
		least := unit.Size((int64(most[i])*share.Number + int64(unit.Unit) - 1) / int64(unit.Unit))
		if c.z.Required[i] >= least || c.loads.Traps[i] == 0 && c.loads.Units[i] == 0 {
			continue
		}
		out = append(out, Floor{
			Seg: network.SegID(i), Min: c.stocked(least), Rule: RuleTaper, Cite: cite,
			Say: "the stack is " + most[i].String() + " lower down, and going up it is never under " + least.String(),
		})
	}
	return out
}

// chosen sizes every segment, with the floors given.
func chosen(n *network.Net, l *load.Loads, b *codebook.Book, floors []Floor) *chooser {
	c := &chooser{net: n, loads: l, book: b}
	c.prepare(floors)
	for i := range n.Segs {
		c.seg(network.SegID(i))
	}
	c.z.termAt[len(n.Segs)] = int32(len(c.z.terms))
	return c
}

// withTapers sizes every segment, and again where a stack shrinks too far.
func withTapers(n *network.Net, l *load.Loads, b *codebook.Book, floors []Floor) *chooser {
	c := chosen(n, l, b, floors)
	if more := c.tapers(); len(more) > 0 {
		c = chosen(n, l, b, append(slices.Clip(floors), more...))
	}
	return c
}
