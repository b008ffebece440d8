// Package view draws a solved job: the isometric riser, plans, the long section of the
// building drain, the walk of the water, schedules, and the sheets of a permit set.
//
// It works nothing out about the job: sizes, loads, heights and findings were made by the
// stages that know them. What it decides is where things stand on paper. The riser is not
// to scale: directions are kept, lengths are shortened so that short legs stay visible,
// and what would cover something else is pulled apart. Where a job gives no directions the
// view chooses them and says so on the sheet.
package view

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"trapweir/draw"
	"trapweir/engine"
	"trapweir/engine/network"
)

// Options choose what is drawn and on what.
type Options struct {
	// Paper is one of draw.Sizes; empty picks the smallest that holds the drawing well.
	Paper string
	// Of is the name of a run: only what drains through it is drawn, and the run itself.
	Of string
	// Level is the name of a level: only runs of that level are drawn, and what they drain
	// through on the way to the next stack.
	Level string
	// Number and Place are the sheet's number and its place in a set ("3 of 9"); Number ""
	// takes the usual one for the view.
	Number, Place string
	// Date is written into the title block as it stands; "" leaves a blank.
	Date string
	// Fittings says which fittings a riser calls out at joins and turns: "all", "none", or
	// "" for those that find room where it shows one stack or one floor.
	Fittings string
	// Stamp leaves room for an office's stamp and signature.
	Stamp bool
	// Last is how the riser was seen before a change: who works on it keeps his place, unless it
	// is much clearer otherwise. The zero value chooses anew.
	Last draw.Seen
	// Wordless leaves out the words of a riser and the column beside it, for a screen on which
	// they cannot be read: the numbers of the findings stay.
	Wordless bool
	// zoom is how many times as large a plan is made after it is drawn; 0 is once.
	zoom float64
}

// Isometric draws the riser: drains and vents in isometric, not to scale. The job must be
// solved (engine.Result.Solved).
func Isometric(r *engine.Result, opt Options) *draw.Sheet {
	s, _ := isometric(r, opt)
	return s
}

// papers in the order in which they are tried for a riser.
var papers = []string{"letter", "tabloid", "arch-c", "arch-d"}

// isometric also tells how large the drawing came out: 1 is the natural size, under 0.8 is
// cramped.
func isometric(r *engine.Result, opt Options) (*draw.Sheet, float64) {
	m := newModel(r, opt, chosen(r, opt))
	defer m.g.desk.done()
	if opt.Paper != "" {
		return m.riser(opt.Paper, 0)
	}
	if opt.Wordless && opt.Last.Paper != "" { // what words find room on is not found out without them
		if strings.HasPrefix(opt.Last.Paper, roll) {
			return m.riser(m.roll(), 0)
		}
		return m.riser(opt.Last.Paper, 0)
	}
	if slices.Contains(papers, opt.Last.Paper) {
		if s, k := m.riser(opt.Last.Paper, comfortable); s != nil && k >= comfortable {
			return s, k
		}
	}
	for _, p := range papers {
		if p == opt.Last.Paper {
			continue
		}
		if s, k := m.riser(p, comfortable); s != nil && k >= comfortable {
			return s, k
		}
	}
	return m.riser(m.roll(), 0)
}

// comfortable is the scale from which the labels of a riser find room beside their pipes.
const comfortable = 0.95

// roll is the name of a sheet cut from a roll that holds the riser at its natural size.
func (m *model) roll() string {
	b := m.fit(1e6, 1e6, 0).bounds()
	w, h := math.Ceil(max(b.W()*1.1+210, 914)/50)*50, math.Ceil(max(b.H()*1.1+90, 609)/50)*50
	return roll + strconv.Itoa(int(w)) + "x" + strconv.Itoa(int(h))
}

// chosen marks the segments that a riser shows; nil is all of them.
func chosen(r *engine.Result, opt Options) []bool {
	n := r.Net
	if opt.Of == "" && opt.Level == "" {
		return nil
	}
	keep := make([]bool, len(n.Segs))
	for i := len(n.Segs) - 1; i >= 0; i-- {
		s := &n.Segs[i]
		run := &n.Runs[s.Run]
		if opt.Of != "" && (run.Name == opt.Of || s.Down != network.None && keep[s.Down]) {
			keep[i] = true
		}
	}
	if opt.Level == "" {
		return keep
	}
	for i := range n.Segs {
		s := &n.Segs[i]
		run := &n.Runs[s.Run]
		on := run.Level >= 0 && n.Job.Levels[run.Level].Name == opt.Level
		if opt.Of != "" && !keep[i] {
			on = false
		}
		keep[i] = on
	}
	// With the water to the first upright pipe of more than a fixture, so that the branch
	// is seen to arrive somewhere.
	for i := range n.Segs {
		if keep[i] {
			if d := n.Segs[i].Down; d != network.None && !keep[d] && n.Segs[d].Lie != network.Upright && n.Segs[d].Run != n.Segs[i].Run {
				keep[d] = true
			}
		}
	}
	return keep
}
