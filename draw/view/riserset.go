package view

import (
	"trapweir/draw"
	"trapweir/engine"
	"trapweir/engine/network"
)

// riserSheets gives the riser on the paper of the set. Where it would be cramped the notes
// go to a sheet of their own and the riser takes the whole paper.
func riserSheets(r *engine.Result, opt Options) []*draw.Sheet {
	opt.Number = "P-R1"
	m := newModel(r, opt, nil)
	s, k := m.riser(opt.Paper, 0)
	if k >= comfortable {
		return []*draw.Sheet{s}
	}
	p := m.paint(opt.Paper, 0, false)
	out := []*draw.Sheet{p.s}
	parts := p.dropped > 0
	if parts {
		// What comes into the trunk in one piece is drawn again by itself, larger.
		for _, name := range branches(r) {
			o := opt
			o.Of, o.Number = name, "P-R1"
			s, _ := newModel(r, o, chosen(r, o)).riser(opt.Paper, 0)
			out = append(out, s)
		}
	}
	q := newTextPager(r, opt, opt.Paper, "P-R2", "Riser: how to read it")
	p.readings(q)
	return append(out, q.sheets...)
}

// branches lists the runs with several fixtures that come into the building drain.
func branches(r *engine.Result) []string {
	n := r.Net
	count := make([]int, len(n.Segs))
	for i := range n.Segs {
		if n.Segs[i].Fixture != network.None || n.Segs[i].Carries {
			count[i]++
		}
		if d := n.Segs[i].Down; d != network.None {
			count[d] += count[i]
		}
	}
	trunk := func(s network.SegID) bool {
		role := n.Segs[s].Role
		return role == network.BuildingDrain || role == network.BuildingSewer
	}
	var out []string
	for i := range n.Runs {
		run := &n.Runs[i]
		if len(run.Segs) == 0 || len(out) == 12 {
			continue
		}
		last := run.Segs[len(run.Segs)-1]
		d := n.Segs[last].Down
		if d != network.None && trunk(d) && !trunk(last) && count[last] >= 2 {
			out = append(out, run.Name)
		}
	}
	return out
}
