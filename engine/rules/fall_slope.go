package rules

import (
	"strconv"
	"strings"

	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/elevation"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// readable is the least fall that a level can show over a whole piece of pipe. A nipple
// whose fall would be less is not judged. Common practice.
const readable = unit.Inch / 16

// eachSlope visits, for every run, its level pieces that have a slope of their own.
func eachSlope(p *check.Pass, do func(s network.SegID, seg *network.Seg, run *network.Run, slope unit.Slope)) {
	for i := range p.Net.Runs {
		run := &p.Net.Runs[i]
		for _, s := range run.Segs {
			seg := &p.Net.Segs[s]
			if dry(p, s) {
				continue // nothing runs in it: a stub above the first join
			}
			if seg.Role == network.PumpDischarge || gone(run) || !p.Levels.Slope[s].Given() {
				continue
			}
			do(s, seg, run, p.Levels.Slope[s])
		}
	}
}

// minSlope is the book's least slope for a size.
func minSlope(p *check.Pass, s unit.Size) codebook.Cell {
	c := p.Book.Cell("min-slope", s, "slope")
	if c.State == codebook.Given && !c.Slope.Given() {
		c.State = codebook.Absent
	}
	return c
}

// perFoot is a slope in inches per foot, in decimals where it is no even fraction; a metric
// job reads percent.
func perFoot(p *check.Pass, s unit.Slope) string {
	if p.Job.Units == unit.Metric {
		return s.Percent()
	}
	t := s.String()
	if !strings.ContainsAny(t, "~u") || s.Fall <= 0 { // "~15/64", "under 1/64"
		return t
	}
	return strings.TrimRight(strings.TrimRight(strconv.FormatFloat(float64(s.Fall)*12/float64(s.Run), 'f', 3, 64), "0"), ".") + " in per ft"
}

// byConsent: the slope is under the book's least, and the book leaves it to the authority.
func byConsent(p *check.Pass, size unit.Size, slope unit.Slope) (codebook.Param, bool) {
	a, from := p.Param("slope.approval"), p.Param("slope.approval-size")
	return a, a.State == codebook.Given && from.State == codebook.Given && size >= from.Size && slope.Reaches(a.Slope)
}

var slopeTooFlat = &check.Rule{
	ID: "slope-too-flat", Family: "fall", Clause: "min-slope",
	Doc: "level drains fall at least as much as the book asks for their size",
	Why: "water that runs slowly leaves the solids behind, and the pipe fills with them",
	Try: "lay it at {the fall of its size} or steeper, or make it larger where the book then permits less",
	Run: func(p *check.Pass) {
		done := map[network.RunID]bool{}
		eachSlope(p, func(s network.SegID, seg *network.Seg, run *network.Run, slope unit.Slope) {
			if done[seg.Run] {
				return
			}
			size := p.Sizes.Size[s]
			c := minSlope(p, size)
			if c.State != codebook.Given {
				done[seg.Run] = true
				p.Unchecked(p.OnRun(seg.Run, s), run.Def.Slope.At, check.Say{
					Message: run.Name + ": the book gives no least fall for " + size.String() + " pipe",
					Ask:     "what fall does the authority ask of " + size.String() + " pipe?",
				})
				return
			}
			p.Looked(1)
			if slope.Reaches(c.Slope) {
				return
			}
			if _, ok := byConsent(p, size, slope); ok {
				return // another rule says it
			}
			if seg.LengthKnown && slope.Fall >= 0 && c.Slope.Drop(seg.To-seg.From) < readable {
				return
			}
			done[seg.Run] = true
			say := check.Say{
				Message: run.Name + " falls " + slope.AllIn(p.Job.Units) + "; " + size.String() + " pipe falls at least " + c.Slope.AllIn(p.Job.Units),
				Got:     perFoot(p, slope), Limit: c.Slope.In(p.Job.Units), Cite: c.Cite,
			}
			at := run.Def.Slope.At
			if p.Levels.SlopeFrom[s] == elevation.Found {
				say.Message = run.Name + ", from one of its ends to the other, falls " + slope.AllIn(p.Job.Units) + "; " + size.String() + " pipe falls at least " + c.Slope.AllIn(p.Job.Units)
				at = run.Def.InvUp.At
			}
			if existing(run) {
				p.Warn(p.OnRun(seg.Run, s), at, say)
				return
			}
			p.Fault(p.OnRun(seg.Run, s), at, say)
		})
		askSlope(p)
	},
}

// askSlope asks once for a job: for the run nearest the outlet that has level pipe and no
// slope, and names how many others are like it.
func askSlope(p *check.Pass) {
	best := network.RunID(network.None)
	others := 0
	lateral := oldLateral(p)
	for i := len(p.Net.Segs) - 1; i >= 0; i-- {
		seg := &p.Net.Segs[i]
		run := &p.Net.Runs[seg.Run]
		if run.Segs[len(run.Segs)-1] != network.SegID(i) || seg.Role == network.PumpDischarge || gone(run) || lateral == seg.Run {
			continue
		}
		if f := &p.Levels.Run[seg.Run]; !f.Missing {
			continue
		}
		others++
		if best == network.None || better(p, seg.Run, best) {
			best = seg.Run
		}
	}
	if best == network.None {
		return
	}
	run, f := &p.Net.Runs[best], &p.Levels.Run[best]
	msg := "the slope of " + run.Name + " is not given"
	if others == 2 {
		msg += ", nor of one other run"
	} else if others > 2 {
		msg += ", nor of " + itoa(others-1) + " other runs"
	}
	if f.Flattest.Given() {
		msg += "; it lies at " + f.Flattest.In(p.Job.Units) + " at the flattest"
		switch {
		case !f.Bound():
		case f.Steepest.Cmp(f.Flattest) >= 0:
			msg += " and " + f.Steepest.In(p.Job.Units) + " at the steepest, all else as flat as it may"
		default:
			msg += ", and even that is too steep for what it serves"
		}
	}
	p.Unchecked(p.OnRun(best, run.Segs[len(run.Segs)-1]), run.Def.At, check.Say{
		Message: msg, Ask: "what is the slope (fall) of " + run.Name + "? write `slope: 1/4\" per ft`, or the inverts at both ends",
	})
}

// better: of two runs without a slope, the question is put about new pipe first, then about
// pipe whose length is known.
func better(p *check.Pass, a, b network.RunID) bool {
	oldA, oldB := existing(&p.Net.Runs[a]), existing(&p.Net.Runs[b])
	if oldA != oldB {
		return oldB
	}
	return measured(p, a) && !measured(p, b)
}

// measured: the run has level pipe of known length.
func measured(p *check.Pass, r network.RunID) bool {
	f := &p.Levels.Run[r]
	return f.LengthKnown && f.Level > 0
}

var slopeNeedsApproval = &check.Rule{
	ID: "slope-needs-approval", Family: "fall", Clause: "slope-approval",
	Doc: "a fall that the book leaves to the authority has its consent",
	Why: "flatter pipe carries solids less surely; the authority may want to know that there is no other way",
	Try: "ask for consent before the trench is dug, or lay it at {the full fall}",
	Run: func(p *check.Pass) {
		done := map[network.RunID]bool{}
		eachSlope(p, func(s network.SegID, seg *network.Seg, run *network.Run, slope unit.Slope) {
			size := p.Sizes.Size[s]
			c := minSlope(p, size)
			if c.State != codebook.Given || done[seg.Run] || existing(run) {
				return
			}
			p.Looked(1)
			a, ok := byConsent(p, size, slope)
			if slope.Reaches(c.Slope) || !ok {
				return
			}
			done[seg.Run] = true
			p.Warn(p.OnRun(seg.Run, s), run.Def.Slope.At, check.Say{
				Message: run.Name + " falls " + slope.AllIn(p.Job.Units) + "; less than " + c.Slope.In(p.Job.Units) + " on " + size.String() + " pipe needs the authority's consent",
				Got:     slope.In(p.Job.Units), Limit: c.Slope.In(p.Job.Units), Cite: a.Cite,
			})
		})
		from := p.Param("slope.approval-size")
		for i := range p.Net.Runs {
			run := &p.Net.Runs[i]
			if len(run.Segs) == 0 || existing(run) || gone(run) || from.State != codebook.Given || !measured(p, network.RunID(i)) || !p.Levels.Run[i].Missing {
				continue
			}
			if s := run.Segs[0]; p.Sizes.Size[s] >= from.Size {
				p.Unchecked(p.OnRun(network.RunID(i), s), run.Def.At, check.Say{
					Message: run.Name + ": without its slope it cannot be told whether the authority must consent",
					Ask:     "what is the slope of " + run.Name + "?",
				})
				return
			}
		}
	},
}

// steep is the slope over which water is said to outrun the solids; long enough that a
// straight drop and a gentle run would do better. Common practice: up to 1/2 in per ft, or
// else 45 degrees and more.
var (
	steep    = unit.PerFoot(1, 2)
	worthIt  = 3 * unit.Foot
	halfTurn = int16(450)
)

var slopeSteep = &check.Rule{
	ID: "slope-steep-advisory", Family: "advice",
	Doc: "level drains fall no more than 1/2 in per ft, or else 45 degrees and more",
	Why: "by the rule of the trade water outruns the solids; tests do not show a sharp limit, and no book sets one",
	Try: "lay it flatter and take the rest in a drop of 45 degrees or straight down",
	Run: func(p *check.Pass) {
		for i := range p.Net.Runs {
			run := &p.Net.Runs[i]
			for _, s := range run.Segs {
				seg := &p.Net.Segs[s]
				if seg.Role == network.PumpDischarge || seg.Role == network.TrapArm || seg.Arm || gone(run) || !seg.LengthKnown || seg.Length() < worthIt {
					continue
				}
				got := ""
				switch sl := p.Levels.Slope[s]; {
				case seg.Way.Down && seg.Way.Plumb > halfTurn && seg.Way.Plumb < 900:
					got = degreesText(900-int(seg.Way.Plumb)) + " from level"
				case sl.Given() && sl.Cmp(steep) > 0:
					got = sl.AllIn(p.Job.Units)
				}
				p.Looked(1)
				if got != "" {
					p.Note(p.OnRun(seg.Run, s), run.Def.Slope.At, check.Say{
						Message: run.Name + " falls " + got + ", between " + steep.In(p.Job.Units) + " and 45 degrees", Got: got, Limit: steep.In(p.Job.Units),
						Try: "lay it at no more than " + steep.In(p.Job.Units) + " and take the rest in a drop of 45 degrees or straight down",
					})
					break
				}
			}
		}
	},
}
