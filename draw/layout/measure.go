package layout

import (
	"math"
	"sort"
	"strings"

	"trapweir/draw"
)

// Measures count what makes a drawing hard to follow though nothing on it overlaps.
type Measures struct {
	Lines      int     // lines of words in labels
	Leaders    int     // labels that are led to
	Length     float64 // of all leaders, millimetres
	OverPipes  int     // times that a leader crosses a pipe that it does not end at
	OverLeader int     // times that two leaders cross
	Astray     int     // labels that stand nearer to another pipe than to their own
	OnOutlet   int     // pipes that pass through the arrow at the outlet
	OnCompass  int     // pipes that pass through the compass
	OnPipes    int     // symbols that lie on a pipe that does not end or turn there
	Together   int     // pairs of pipes along the axes of an isometric with too little between them
	Notes      []string
}

// stroke is a straight piece of something that is drawn.
type stroke struct {
	a, b draw.Point
	of   int // what it is part of
	half float64
}

// Measure counts. Labels are known by their ids: what ID.label names is called ID, or ID
// and a number where it is drawn in pieces.
func Measure(s *draw.Sheet) Measures {
	var m Measures
	type label struct {
		id     string
		box    draw.Rect
		leader []draw.Point
	}
	var (
		labels  []label
		pipes   []stroke
		names   []string
		marks   []draw.SymbolRef
		outlet  []draw.Point
		compass draw.Rect
	)
	piece := func(id string, k draw.Mark, pts []draw.Point) {
		if !k.Layer.IsPipe() || len(pts) < 2 {
			return
		}
		names = append(names, id)
		for i := 1; i < len(pts); i++ {
			pipes = append(pipes, stroke{pts[i-1], pts[i], len(names) - 1, k.Pen.Or(k.Layer).Width.MM(s.Fine) / 2})
		}
	}
	for _, sh := range s.Shapes {
		switch sh := sh.(type) {
		case draw.Polyline:
			piece(sh.ID, sh.Mark, sh.Points)
		case draw.Line:
			piece(sh.ID, sh.Mark, []draw.Point{sh.A, sh.B})
		case draw.SymbolRef:
			marks = append(marks, sh)
		case draw.Group:
			if b, ok := draw.Bounds(sh); ok && sh.ID == "compass" {
				compass = b
			}
			if sh.ID == "outlet" {
				for _, in := range sh.Shapes {
					if a, ok := in.(draw.Polygon); ok {
						outlet = a.Points
					}
				}
			}
			l := label{id: sh.ID}
			first := true
			for _, in := range sh.Shapes {
				switch in := in.(type) {
				case draw.Text:
					if in.Layer.IsPipe() {
						continue
					}
					if b, ok := draw.Bounds(in); ok {
						m.Lines++
						if first {
							l.box, first = b, false
						} else {
							l.box = l.box.Union(b)
						}
					}
				case draw.Polyline:
					if in.Layer == draw.LayerDimension && len(in.Points) == 3 {
						l.leader = in.Points
					}
					piece(sh.ID, in.Mark, in.Points)
				case draw.Group: // a pipe with crosses
					for _, q := range in.Shapes {
						if q, ok := q.(draw.Polyline); ok {
							piece(sh.ID, q.Mark, q.Points)
						}
					}
				}
			}
			if !first {
				labels = append(labels, l)
			}
		}
	}
	sort.SliceStable(labels, func(i, j int) bool { return labels[i].id < labels[j].id })
	for i, l := range labels {
		if l.leader != nil {
			m.Leaders++
			m.Length += draw.Length(l.leader)
			tip := l.leader[2]
			crossed := map[int]bool{}
			for k := 1; k < 3; k++ {
				for _, p := range pipes {
					if at, ok := cross(l.leader[k-1], l.leader[k], p.a, p.b); ok && at.Sub(tip).Len() > 2.4 {
						crossed[p.of] = true
					}
				}
			}
			m.OverPipes += len(crossed)
			for _, o := range labels[i+1:] {
				for k := 1; o.leader != nil && k < 3; k++ {
					for j := 1; j < 3; j++ {
						if _, ok := cross(l.leader[k-1], l.leader[k], o.leader[j-1], o.leader[j]); ok {
							m.OverLeader++
							m.Notes = append(m.Notes, "leaders of "+l.id+" and "+o.id+" cross")
						}
					}
				}
			}
			continue
		}
		name, _, ok := strings.Cut(l.id, ".label")
		if !ok {
			continue
		}
		own, other, nearest := math.Inf(1), math.Inf(1), ""
		for _, p := range pipes {
			d := boxToLine(l.box, p.a, p.b)
			if n := names[p.of]; n == name || strings.HasPrefix(n, name+".") {
				own = min(own, d)
			} else if d < other {
				other, nearest = d, n
			}
		}
		if !math.IsInf(own, 1) && other < own-0.3 {
			m.Astray++
			m.Notes = append(m.Notes, l.id+" stands nearer to "+nearest)
		}
	}
	m.together(pipes, names)
	for _, p := range pipes {
		if compass.W() > 0 && boxToLine(compass, p.a, p.b) == 0 {
			m.OnCompass++
			m.Notes = append(m.Notes, "the compass lies on "+names[p.of])
		}
	}
	if len(outlet) > 2 {
		box, _ := draw.Bounds(draw.Polygon{Points: outlet})
		box = box.Grow(0.5)
		inside := func(p draw.Point) bool { return p.X > box.X0 && p.X < box.X1 && p.Y > box.Y0 && p.Y < box.Y1 }
		for _, p := range pipes {
			if inside(p.a) || inside(p.b) { // it ends at the arrow
				continue
			}
			for i := range outlet {
				if _, ok := cross(outlet[i], outlet[(i+1)%len(outlet)], p.a, p.b); ok {
					m.OnOutlet++
					m.Notes = append(m.Notes, "the outlet lies on "+names[p.of])
					break
				}
			}
		}
	}
	for _, k := range marks {
		if k.Layer == draw.LayerFinding {
			continue
		}
		lies := false
		for _, st := range k.Strokes {
			pts, _ := outline(st)
			for i := 1; i < len(pts) && !lies; i++ {
				for _, p := range pipes {
					// Pipes that begin, end or turn within the symbol belong to it.
					if p.a.Sub(k.Place.At).Len() < 14 || p.b.Sub(k.Place.At).Len() < 14 || boxToLine(draw.Rect{X0: k.Place.At.X, Y0: k.Place.At.Y, X1: k.Place.At.X, Y1: k.Place.At.Y}, p.a, p.b) < 0.5 {
						continue
					}
					if _, ok := cross(pts[i-1], pts[i], p.a, p.b); ok {
						lies = true
						m.Notes = append(m.Notes, k.Name+" "+k.ID+" lies on "+names[p.of])
						break
					}
				}
			}
		}
		if lies {
			m.OnPipes++
		}
	}
	return m
}

// together counts pipes along the axes of an isometric that run beside each other with less
// than twice the broader line between them, or under 0.7 mm. What turns into another pipe runs
// along it for a little.
func (m *Measures) together(pipes []stroke, names []string) {
	const turning = 2.5
	along := func(u draw.Point) bool { return math.Abs(u.X) < 0.02 || math.Abs(math.Abs(u.Y)-0.5) < 0.02 }
	name := func(k int) string { // without the number of a piece
		s := names[k]
		if i := strings.LastIndexByte(s, '.'); i >= 0 && strings.Trim(s[i+1:], "0123456789") == "" {
			return s[:i]
		}
		return s
	}
	seen := map[string]bool{}
	for i, p := range pipes {
		w := p.b.Sub(p.a)
		l, u := w.Len(), w.Unit()
		if l < turning || !along(u) {
			continue
		}
		for _, q := range pipes[i+1:] {
			v := q.b.Sub(q.a)
			if v.Len() < turning || math.Abs(u.X*v.Y-u.Y*v.X) > 0.02*v.Len() {
				continue
			}
			from, to := q.a.Sub(p.a), q.b.Sub(p.a)
			s, t := from.X*u.X+from.Y*u.Y, to.X*u.X+to.Y*u.Y
			between := math.Abs(from.X*u.Y-from.Y*u.X) - p.half - q.half
			if min(l, max(s, t))-max(0, min(s, t)) < turning || between >= max(0.7, 4*max(p.half, q.half)) || name(p.of) == name(q.of) {
				continue
			}
			if pair := name(p.of) + " and " + name(q.of); !seen[pair] {
				seen[pair] = true
				m.Together++
				m.Notes = append(m.Notes, pair+" run together")
			}
		}
	}
}

// cross finds where two lines cross.
func cross(a, b, c, d draw.Point) (draw.Point, bool) {
	r, s := b.Sub(a), d.Sub(c)
	den := r.X*s.Y - r.Y*s.X
	if math.Abs(den) < 1e-9 {
		return draw.Point{}, false
	}
	q := c.Sub(a)
	t, u := (q.X*s.Y-q.Y*s.X)/den, (q.X*r.Y-q.Y*r.X)/den
	return a.Add(r.Mul(t)), t > 0 && t < 1 && u > 0 && u < 1
}

// boxToLine gives how far a box and a line lie apart; 0 where they meet.
func boxToLine(r draw.Rect, a, b draw.Point) float64 {
	c := []draw.Point{{X: r.X0, Y: r.Y0}, {X: r.X1, Y: r.Y0}, {X: r.X1, Y: r.Y1}, {X: r.X0, Y: r.Y1}}
	inside := func(p draw.Point) bool { return p.X >= r.X0 && p.X <= r.X1 && p.Y >= r.Y0 && p.Y <= r.Y1 }
	if inside(a) || inside(b) {
		return 0
	}
	best := math.Inf(1)
	for i := range c {
		p, q := c[i], c[(i+1)%4]
		if _, ok := cross(p, q, a, b); ok {
			return 0
		}
		best = min(best, toLine(p, a, b), toLine(a, p, q), toLine(b, p, q))
	}
	return best
}

// toLine gives how far a point lies from a line.
func toLine(p, a, b draw.Point) float64 {
	w := b.Sub(a)
	l := w.X*w.X + w.Y*w.Y
	if l == 0 {
		return p.Sub(a).Len()
	}
	q := p.Sub(a)
	t := min(max((q.X*w.X+q.Y*w.Y)/l, 0), 1)
	return a.Add(w.Mul(t)).Sub(p).Len()
}
