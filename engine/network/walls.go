package network

import "trapweir/engine/diag"

// Wall is a wall of the job (Def is its index in Job.Walls) and the run that it is told from.
type Wall struct {
	Def int
	Run RunID
}

// walls finds the runs that walls are told from.
func (b *builder) walls() {
	n := b.net
	for i := range b.job.Walls {
		w := &b.job.Walls[i]
		x, ok := n.byName[w.From.Text]
		if ok && x.Run != None {
			n.Walls = append(n.Walls, Wall{i, x.Run})
			continue
		}
		try := "write the name of a run"
		if near := b.nearest(w.From.Text, runNames); near != "" && !ok {
			try = "did you mean " + near + "?"
		}
		b.fault(w.From.At, diag.Ref{What: diag.Job, Segment: None}, "wall "+w.Name+" is told from "+w.From.Text+", and no run has that name", try)
	}
}
