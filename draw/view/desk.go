package view

import (
	"sync"

	"trapweir/draw"
	"trapweir/draw/layout"
)

// desk is room to work in for one riser: what is worked out on the way to a drawing and is
// gone when it is drawn. It is lent from one riser to the next, so that a house drawn after
// every change does not leave twice its size behind each time.
type desk struct {
	vecs    pile[vec]
	numbers pile[float64]
	ids     pile[int32]
	flags   pile[bool]
	lines   pile[line]
	keys    pile[keyed]
	rects   pile[draw.Rect]
	labels  pile[layout.Label]
	nodes   pile[node]
	edges   pile[edge]
}

var desks = sync.Pool{New: func() any { return new(desk) }}

// done gives the desk to the next: nothing that was worked out on it is used any more.
func (k *desk) done() {
	k.vecs.used, k.numbers.used, k.ids.used, k.flags.used, k.lines.used = 0, 0, 0, 0, 0
	k.keys.used, k.rects.used, k.labels.used, k.nodes.used, k.edges.used = 0, 0, 0, 0, 0
	desks.Put(k)
}

// pile is room for many lists, one after the other.
type pile[T any] struct {
	room []T
	used int
}

// take gives a list of n zeros.
func (p *pile[T]) take(n int) []T {
	if p.used+n > len(p.room) {
		p.room, p.used = make([]T, max(2*len(p.room), 2*n)), 0
	}
	out := p.room[p.used : p.used+n : p.used+n]
	p.used += n
	clear(out)
	return out
}

// copied gives a list with what is in another.
func (p *pile[T]) copied(list []T) []T {
	out := p.take(len(list))
	copy(out, list)
	return out
}
