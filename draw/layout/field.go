package layout

import (
	"math"
	"math/bits"
	"sync"

	"trapweir/draw"
)

// field is the sheet as small squares, a bit each, so that a place for words is tried by
// looking at a few numbers, whatever lies around it. What is in the way is written into
// the squares with its clearance; a square that it only grazes counts as taken, so a place
// that is free by its squares is free.
type field struct {
	bounds   draw.Rect
	side     float64 // of a square, millimetres
	per      float64 // squares a millimetre
	nx, ny   int
	w        int // numbers a row
	still    []uint64
	words    []uint64 // where no words can stand: still, and what was placed since
	stillRow []uint64 // still and words, of each row and the next ones together
	wordsRow []uint64
	outlines []uint64 // where words should rather not stand
	pipes    []uint64 // what leaders cross if they must
	things   []uint64 // what leaders only run into at their end
	lettered []uint64 // words that were there before
	taken    []uint64 // words and leaders, there before or placed: no leader crosses them
	met      []uint64 // whatever a leader may meet: pipes, things, taken
	near     []uint64 // so close to words that were placed that a label there would be read with them
	drawn    bool     // there are outlines
	*store
}

// store is most of what a sheet takes of memory while its labels are placed.
type store struct {
	squares []uint64
	spots   []spot
	ways    []probe // of the leader that is looked for
	open    []int32 // ways that may still lead somewhere
}

// stores lends them out.
var stores = sync.Pool{New: func() any { return new(store) }}

// done gives the store back.
func (f *field) done() { stores.Put(f.store) }

// Squares are 0.5 mm wide, or 1 mm where only room is looked for; wider on sheets that would
// take more than mostSquares.
const (
	square      = 0.5
	coarse      = 1.0
	mostSquares = 6_000_000
)

// sheets is how many sets of squares there are; rows is how many rows stillRow and wordsRow
// put together, so that most of a label is tried at once.
const (
	sheets = 11
	rows   = 4
)

// newField gives the squares of a sheet on which labels are placed.
func newField(bounds draw.Rect, obs *Obstacles) *field {
	f := blank(bounds, square, sheets)
	if obs != nil {
		f.stop(obs)
		for _, s := range obs.segs {
			f.line(f.pipes, s.a, s.b, s.half)
		}
		for _, b := range obs.boxes {
			f.box(f.things, b)
		}
		for _, b := range obs.words {
			f.box(f.lettered, b.Grow(f.clearance(toLines)))
		}
	}
	f.together()
	f.begin()
	return f
}

// standing gives the squares of a sheet as it is, with nothing to be placed.
func standing(bounds draw.Rect, obs *Obstacles) *field {
	f := blank(bounds, coarse, 3)
	f.stop(obs)
	f.together()
	f.words, f.wordsRow = f.still, f.stillRow
	return f
}

// blank gives empty squares of a side, as many sets as are wanted.
func blank(bounds draw.Rect, side float64, sets int) *field {
	f := &field{bounds: bounds}
	f.side = max(side, math.Sqrt(bounds.W()*bounds.H()/mostSquares))
	f.per = 1 / f.side
	f.nx = max(1, int(math.Ceil(bounds.W()*f.per))+1)
	f.ny = max(1, int(math.Ceil(bounds.H()*f.per))+1)
	f.w = (f.nx + 63) / 64
	n := f.w * f.ny
	f.store = stores.Get().(*store)
	if cap(f.squares) < sheets*n {
		f.squares = make([]uint64, sheets*n)
	}
	all := f.squares[:sets*n]
	for i, b := range []*[]uint64{&f.stillRow, &f.still, &f.outlines, &f.pipes, &f.things, &f.lettered, &f.words, &f.wordsRow, &f.taken, &f.near, &f.met}[:sets] {
		*b = all[i*n : (i+1)*n : (i+1)*n]
		if 1 <= i && i <= 5 { // the others are written over
			clear(*b)
		}
	}
	return f
}

// stop marks what words cannot stand on, and what they should not.
func (f *field) stop(obs *Obstacles) {
	clear := f.clearance(toLines)
	for _, s := range obs.segs {
		f.line(f.still, s.a, s.b, s.half+clear)
	}
	for _, s := range obs.soft {
		f.line(f.outlines, s.a, s.b, clear)
		f.drawn = true
	}
	for _, b := range obs.boxes {
		f.box(f.still, b.Grow(clear))
	}
	for _, b := range obs.words {
		f.box(f.still, b.Grow(clear))
	}
}

// together puts each row of still and the next ones into stillRow: by twos, then by fours.
func (f *field) together() {
	s, r, w := f.still, f.stillRow, f.w
	copy(r, s)
	for k := 1; k < rows; k *= 2 {
		for i, v := range r[min(k*w, len(r)):] {
			r[i] |= v
		}
	}
}

// begin takes everything off that was placed.
func (f *field) begin() {
	copy(f.words, f.still)
	copy(f.wordsRow, f.stillRow)
	copy(f.taken, f.lettered)
	for i, v := range f.lettered {
		f.met[i] = v | f.pipes[i] | f.things[i]
	}
	clear(f.near)
}

// clearance is d less what a grazed square adds on average.
func (f *field) clearance(d float64) float64 { return max(0, d-f.side/2) }

func (f *field) col(x float64) int { return int((x - f.bounds.X0) * f.per) }
func (f *field) row(y float64) int { return int((y - f.bounds.Y0) * f.per) }

// box marks the squares that r touches.
func (f *field) box(b []uint64, r draw.Rect) {
	if r.X1 < f.bounds.X0 || r.Y1 < f.bounds.Y0 || r.X0 > f.bounds.X1 || r.Y0 > f.bounds.Y1 {
		return
	}
	x0, y0, x1, y1 := max(0, f.col(r.X0)), max(0, f.row(r.Y0)), min(f.nx-1, f.col(r.X1)), min(f.ny-1, f.row(r.Y1))
	for y := y0; y <= y1; y++ {
		f.span(b, y, x0, x1)
	}
}

// span marks a stretch of row y.
func (f *field) span(b []uint64, y, x0, x1 int) {
	if x0 > x1 {
		return
	}
	f.mark(b[y*f.w:(y+1)*f.w], x0, x1)
	if f.words != nil && &b[0] == &f.words[0] {
		for k := max(0, y-rows+1); k <= y; k++ {
			f.mark(f.wordsRow[k*f.w:(k+1)*f.w], x0, x1)
		}
	}
}

func (f *field) mark(row []uint64, x0, x1 int) {
	i0, i1 := x0>>6, x1>>6
	m0, m1 := ^uint64(0)<<(x0&63), ^uint64(0)>>(63-x1&63)
	if i0 == i1 {
		row[i0] |= m0 & m1
		return
	}
	row[i0] |= m0
	for i := i0 + 1; i < i1; i++ {
		row[i] = ^uint64(0)
	}
	row[i1] |= m1
}

// line marks the squares that lie within half of the line from p to q.
func (f *field) line(b []uint64, p, q draw.Point, half float64) {
	x0, x1 := min(p.X, q.X)-half, max(p.X, q.X)+half
	y0, y1 := min(p.Y, q.Y)-half, max(p.Y, q.Y)+half
	if x1 < f.bounds.X0 || y1 < f.bounds.Y0 || x0 > f.bounds.X1 || y0 > f.bounds.Y1 {
		return
	}
	dx, dy := q.X-p.X, q.Y-p.Y
	if math.Abs(dy) < f.side || math.Abs(dx) < 1e-9 {
		f.box(b, draw.Rect{X0: x0, Y0: y0, X1: x1, Y1: y1})
		return
	}
	// In each row of squares the strip along the line reaches from left to right.
	slope := dx / dy
	reach := half * math.Hypot(dx, dy) / math.Abs(dy)
	r0, r1 := max(0, f.row(y0)), min(f.ny-1, f.row(y1))
	for r := r0; r <= r1; r++ {
		top := f.bounds.Y0 + float64(r)*f.side
		u, v := p.X+(top-p.Y)*slope, p.X+(top+f.side-p.Y)*slope
		lo, hi := max(min(u, v)-reach, x0), min(max(u, v)+reach, x1)
		if hi < f.bounds.X0 || lo > f.bounds.X1 {
			continue
		}
		f.span(b, r, max(0, f.col(lo)), min(f.nx-1, f.col(hi)))
	}
}

// What words keep off besides what they must.
const (
	offNothing  = iota
	offOutlines // outlines of the building and of fixtures
	offWords    // and the room around other words
)

// free tells whether words can stand in r.
func (f *field) free(r draw.Rect, off int) bool {
	if r.X0 < f.bounds.X0 || r.Y0 < f.bounds.Y0 || r.X1 > f.bounds.X1 || r.Y1 > f.bounds.Y1 {
		return false
	}
	x0, y0, x1, y1 := f.col(r.X0), f.row(r.Y0), f.col(r.X1), f.row(r.Y1)
	return !f.wordy(x0, y0, x1, y1) &&
		!(off >= offOutlines && f.drawn && f.holds(f.outlines, x0, y0, x1, y1)) &&
		!(off >= offWords && f.holds(f.near, x0, y0, x1, y1))
}

// wordy tells whether words cannot stand in the squares from x0, y0 to x1, y1.
func (f *field) wordy(x0, y0, x1, y1 int) bool {
	if y1-y0 < rows-1 {
		return f.holds(f.words, x0, y0, x1, y1)
	}
	i0, i1 := x0>>6, x1>>6
	m0, m1 := ^uint64(0)<<(x0&63), ^uint64(0)>>(63-x1&63)
	if i0 == i1 {
		m0 &= m1
		m1 = m0
	}
	last := y1 - rows + 1
	for y := y0; ; y = min(y+rows, last) {
		row := f.wordsRow[y*f.w+i0 : y*f.w+i1+1]
		if row[0]&m0 != 0 || row[len(row)-1]&m1 != 0 {
			return true
		}
		for k := 1; k < len(row)-1; k++ {
			if row[k] != 0 {
				return true
			}
		}
		if y == last {
			return false
		}
	}
}

func (f *field) holds(b []uint64, x0, y0, x1, y1 int) bool {
	i0, i1 := x0>>6, x1>>6
	m0, m1 := ^uint64(0)<<(x0&63), ^uint64(0)>>(63-x1&63)
	if i0 == i1 {
		m0 &= m1
		for i, end := y0*f.w+i0, y1*f.w+i0; i <= end; i += f.w {
			if b[i]&m0 != 0 {
				return true
			}
		}
		return false
	}
	for y := y0; y <= y1; y++ {
		row := b[y*f.w+i0 : y*f.w+i1+1]
		if row[0]&m0 != 0 || row[len(row)-1]&m1 != 0 {
			return true
		}
		for _, v := range row[1 : len(row)-1] {
			if v != 0 {
				return true
			}
		}
	}
	return false
}

// held gives how far words that stand in r must go in direction to, at least, before they can
// stand: until they are past a square that is taken; 0 where none is found.
func (f *field) held(r draw.Rect, to draw.Point) float64 {
	if r.X0 < f.bounds.X0 || r.Y0 < f.bounds.Y0 || r.X1 > f.bounds.X1 || r.Y1 > f.bounds.Y1 {
		return 0
	}
	x0, y0, x1, y1 := f.col(r.X0), f.row(r.Y0), f.col(r.X1), f.row(r.Y1)
	taken, deep := f.wordsRow, rows
	if y1-y0 < rows-1 {
		taken, deep = f.words, 1
	}
	i0, i1 := x0>>6, x1>>6
	m0, m1 := ^uint64(0)<<(x0&63), ^uint64(0)>>(63-x1&63)
	// The squares that are passed last are looked at first.
	for k := 0; k <= y1-y0; k += deep {
		y := min(y0+k, y1-deep+1)
		if to.Y > 0 {
			y = max(y1-deep+1-k, y0)
		}
		for j := 0; j <= i1-i0; j++ {
			i := i0 + j
			if to.X > 0 {
				i = i1 - j
			}
			v := taken[y*f.w+i]
			if i == i0 {
				v &= m0
			}
			if i == i1 {
				v &= m1
			}
			if v == 0 {
				continue
			}
			// Which of the rows it is in is not known: the one that is passed first.
			var dx float64
			dy := math.Inf(1)
			if to.X > 0 {
				dx = (f.bounds.X0 + float64(i*64+bits.Len64(v))*f.side - r.X0) / to.X
			} else {
				dx = (f.bounds.X0 + float64(i*64+bits.TrailingZeros64(v))*f.side - r.X1) / to.X
			}
			switch {
			case to.Y > 0:
				dy = (f.bounds.Y0 + float64(y+1)*f.side - r.Y0) / to.Y
			case to.Y < 0:
				dy = (f.bounds.Y0 + float64(y+deep-1)*f.side - r.Y1) / to.Y
			}
			return max(min(dx, dy)-1e-6, 1e-6)
		}
	}
	return 0
}

// take marks the box of words and their leader as placed.
func (f *field) take(r draw.Rect, leader []draw.Point) {
	f.box(f.words, r.Grow(f.clearance(betweenLabels)))
	f.box(f.taken, r.Grow(f.clearance(toLines)))
	f.box(f.met, r.Grow(f.clearance(toLines)))
	f.box(f.near, r.Grow(f.clearance(readApart)))
	for k := 1; k < len(leader); k++ {
		f.line(f.words, leader[k-1], leader[k], 0.15+f.clearance(toLines))
		f.line(f.taken, leader[k-1], leader[k], 0.3)
		f.line(f.met, leader[k-1], leader[k], 0.3)
	}
}

// crossings counts the pipes and the symbols that the line from a to b crosses, and tells
// whether it runs into words or another leader. The pipe or symbol that lies at b, without
// a gap, is what the leader points at and does not count.
func (f *field) crossings(a, b draw.Point) (pipes, things int, blocked bool) {
	d := b.Sub(a)
	n := int(d.Len()*f.per*1.25) + 1
	step := d.Mul(1 / float64(n))
	x, y := (a.X-f.bounds.X0)*f.per, (a.Y-f.bounds.Y0)*f.per
	dx, dy := step.X*f.per, step.Y*f.per
	onPipe, onThing := false, false
	for range n + 1 {
		cx, cy := int(x), int(y)
		x += dx
		y += dy
		if cx < 0 || cy < 0 || cx >= f.nx || cy >= f.ny {
			continue
		}
		i, m := cy*f.w+cx>>6, uint64(1)<<(cx&63)
		if f.taken[i]&m != 0 {
			return 0, 0, true
		}
		thing := f.things[i]&m != 0
		if onThing && !thing { // it comes out again on the other side
			things++
		}
		onThing = thing
		pipe := f.pipes[i]&m != 0
		if onPipe && !pipe {
			pipes++
		}
		onPipe = pipe
	}
	return pipes, things, false
}

// trail is what every leader meets that leaves its tip along a ray, as far as the ray has
// been followed: a longer one meets all that a shorter one did. The ray is looked at in
// steps, and leaders look at other places, so only what is met sure times in a row counts.
type trail struct {
	steps         int
	blocked       int8 // times in a row, by words or another leader; sure is for good
	pipes, things meets
	calm          bool // nothing for so long that more of it changes nothing
}

const sure = 3

// meets counts what is met beyond a gap: the pipe or symbol at the tip is what the leader
// points at.
type meets struct {
	met     int8
	on, off int8 // times in a row that there is something, and nothing, up to sure
	gap     bool
}

func (m *meets) see(something bool) {
	if !something {
		m.on, m.off = 0, min(m.off+1, sure)
		m.gap = m.gap || m.off == sure
		return
	}
	m.on, m.off = min(m.on+1, sure), 0
	if m.on == sure && m.gap {
		m.met++
		m.gap = false
	}
}

// nothing is see for all where there is nothing.
func (t *trail) nothing() {
	if t.calm {
		return
	}
	t.blocked = 0
	t.things.see(false)
	t.pipes.see(false)
	t.calm = t.things.off == sure && t.pipes.off == sure
}

// follow goes on along a trail that leaves tip in direction dir, up to length millimetres
// from there or until it is blocked.
func (f *field) follow(t *trail, tip, dir draw.Point, length float64) {
	const step = 0.8    // squares, as in crossings
	const one = 1 << 24 // of a square
	last := int(length * f.per / step)
	if t.steps > last || t.blocked >= sure {
		return
	}
	dx, dy := int(dir.X*(step*one)), int(dir.Y*(step*one))
	x := int((tip.X-f.bounds.X0)*f.per*one) + t.steps*dx
	y := int((tip.Y-f.bounds.Y0)*f.per*one) + t.steps*dy
	for ; t.steps <= last; t.steps++ {
		cx, cy := x/one, y/one
		x += dx
		y += dy
		if uint(cx) >= uint(f.nx) || uint(cy) >= uint(f.ny) {
			continue
		}
		i, m := cy*f.w+cx>>6, uint64(1)<<(cx&63)
		if f.met[i]&m == 0 {
			t.nothing()
			continue
		}
		t.calm = false
		t.things.see(f.things[i]&m != 0)
		t.pipes.see(f.pipes[i]&m != 0)
		if f.taken[i]&m == 0 {
			t.blocked = 0
		} else if t.blocked++; t.blocked == sure {
			return
		}
	}
}
