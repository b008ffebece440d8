package view

import (
	"strconv"

	"trapweir/draw"
	"trapweir/draw/layout"
	"trapweir/draw/textwidth"
	"trapweir/engine"
	"trapweir/engine/network"
)

// match is a place where a riser is cut: its letter, and the sheets on its two sides.
type match struct {
	letter   string
	up, down string
}

// riserSheets gives the riser on the paper of the set. Where it would be cramped the notes
// go to a sheet of their own and the riser takes the whole paper; where labels find no room
// then, it is drawn again in parts that match at letters, larger.
func riserSheets(r *engine.Result, opt Options) []*draw.Sheet {
	opt.Number = "P-R1"
	m := newModel(r, opt, nil)
	s, k := m.riser(opt.Paper, 0)
	if k >= comfortable {
		return []*draw.Sheet{s}
	}
	p := m.paint(opt.Paper, 0, false)
	out := []*draw.Sheet{p.s}
	if p.dropped > 0 || p.tiny { // an overview leaves labels out by itself
		parts, marks := m.parts(opt)
		if len(parts) > 0 {
			m.marks, m.title = marks, ", overview"
			p = m.paint(opt.Paper, 0, false) // again, with the letters
			out = append([]*draw.Sheet{p.s}, parts...)
		}
	}
	opt.Number = "P-R" + strconv.Itoa(len(out)+1)
	q := newTextPager(r, opt, opt.Paper, opt.Number, "Riser: how to read it")
	p.readings(q)
	return append(out, q.sheets...)
}

// fixturesOn is how many fixtures a part on a paper may have: a sheet of letter size holds
// ten, and a larger one as many more as it is larger.
func fixturesOn(paper string) int {
	for _, z := range draw.Sizes {
		if z.Name == paper {
			return max(8, int(10*z.W*z.H/(draw.Sizes[0].W*draw.Sizes[0].H)))
		}
	}
	return 10
}

// parts draws the riser in parts. Where a part still has no room for a label, all are made
// smaller, down to a few fixtures.
func (m *model) parts(opt Options) ([]*draw.Sheet, map[network.SegID]match) {
	var out []*draw.Sheet
	var marks map[network.SegID]match
	fewest := 0
	for most := fixturesOn(opt.Paper); most >= 3; most = most * 2 / 3 {
		keeps, cuts := pieces(m.r.Net, most)
		if len(keeps) < 2 {
			continue
		}
		var list []*draw.Sheet
		lost := 0
		for i, keep := range keeps {
			part := m.part(keep)
			part.opt.Number = partNumber(i)
			part.title = ", part " + strconv.Itoa(i+1) + " of " + strconv.Itoa(len(keeps))
			part.marks = cuts
			p := part.paint(opt.Paper, 0, false)
			lost += p.dropped
			list = append(list, p.s)
		}
		if out == nil || lost < fewest {
			out, marks, fewest = list, cuts, lost
		}
		if lost == 0 {
			break
		}
	}
	return out, marks
}

// part is the model of some segments; what lies in the house is shared.
func (m *model) part(keep []bool) *model {
	q := &model{r: m.r, opt: m.opt, keep: keep, g: m.g, tags: m.tags, turn: m.turn, gain: 0.25}
	if m.last != nil { // parts look from the same corner as the whole
		q.turn = m.last.turn
	}
	q.look()
	return q
}

// partNumber is the sheet of the i-th part: the whole riser has the first number.
func partNumber(i int) string { return "P-R" + strconv.Itoa(i+2) }

// pieces cuts the tree of drains into connected pieces of at most that many fixtures, if
// no single join has more: the one at the outlet first. At every cut there is the first
// segment above it, with a letter.
func pieces(n *network.Net, most int) ([][]bool, map[network.SegID]match) {
	weight := make([]int, len(n.Segs))
	cut := make([]bool, len(n.Segs))
	for i := range n.Segs {
		s := &n.Segs[i]
		w := 0
		if s.Fixture != network.None || s.Carries {
			w = 1
		}
		ups := n.Up(network.SegID(i))
		for _, u := range ups {
			w += weight[u]
		}
		for w > most {
			heaviest := network.SegID(network.None)
			for _, u := range ups {
				if !cut[u] && weight[u] >= 2 && (heaviest == network.None || weight[u] > weight[heaviest]) {
					heaviest = u
				}
			}
			if heaviest == network.None {
				break
			}
			cut[heaviest] = true
			w -= weight[heaviest]
		}
		weight[i] = w
	}
	of := make([]int, len(n.Segs))
	var keeps [][]bool
	cuts := map[network.SegID]match{}
	for i := len(n.Segs) - 1; i >= 0; i-- {
		d := n.Segs[i].Down
		if d != network.None && !cut[i] {
			of[i] = of[d]
		} else {
			of[i] = len(keeps)
			keeps = append(keeps, make([]bool, len(n.Segs)))
			if d != network.None {
				cuts[network.SegID(i)] = match{letter: letters(len(cuts)), up: partNumber(of[i]), down: partNumber(of[d])}
			}
		}
		keeps[of[i]][i] = true
	}
	return keeps, cuts
}

// letters counts A, B ... Z, AA, AB ...
func letters(i int) string {
	if i < 26 {
		return string(rune('A' + i))
	}
	return letters(i/26-1) + string(rune('A'+i%26))
}

// matches puts the letters at the cuts of a riser that is drawn whole.
func (p *picture) matches() {
	if p.keep != nil {
		return
	}
	for i := range p.r.Net.Segs {
		m, ok := p.marks[network.SegID(i)]
		if !ok {
			continue
		}
		p.over = append(p.over, overlay{label: len(p.req), kind: 't'})
		p.req = append(p.req, layout.Label{ID: p.ids.id("match " + m.letter), Lines: []string{m.letter}, At: p.at[p.g.lower[i]], Half: 1.5, Priority: 9, Weight: textwidth.Bold, Pad: 0.7, Least: 4, Gap: 1})
	}
}
