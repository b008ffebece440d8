package rules

import (
	"slices"

	"trapweir/engine/catalog"
	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/fitting"
	"trapweir/engine/network"
	"trapweir/engine/source"
	"trapweir/engine/unit"
)

// doubles visits the fittings that take two pipes from two sides, with their two runs. A
// double fitting that only one run states is not one yet.
func doubles(p *check.Pass, do func(f *fitting.Fitting, a, b network.RunID)) {
	for i := range p.Fittings {
		f := &p.Fittings[i]
		if f.Does != fitting.Join || len(f.From) != 2 {
			continue
		}
		a, b := p.Net.Segs[f.From[0]].Run, p.Net.Segs[f.From[1]].Run
		if existing(&p.Net.Runs[a]) && existing(&p.Net.Runs[b]) {
			continue
		}
		do(f, a, b)
	}
}

// both names the two runs of a double fitting.
func both(p *check.Pass, a, b network.RunID) string {
	return p.Net.Runs[a].Name + " and " + p.Net.Runs[b].Name
}

// stateAt is where the job states a fitting, or the run that it stands for.
func stateAt(f *fitting.Fitting, p *check.Pass, a network.RunID) source.Span {
	if f.Pinned {
		return f.Word.At
	}
	return p.Net.Runs[a].Def.At
}

var doubleTeeClosets = &check.Rule{
	ID: "fitting-double-santee-wc", Family: "fittings", Clause: "double-tee-closets",
	Doc: "no double sanitary tee takes back-to-back water closets, unless their pipes are as long as the book asks",
	Why: "what one bowl flushes crosses the short throat and comes up in the other",
	Try: "set a double fixture fitting or a double combo",
	Run: func(p *check.Pass) {
		q, least := p.Param("double-tee.closets"), p.Param("double-tee.closet-arm-min")
		doubles(p, func(f *fitting.Fitting, a, b network.RunID) {
			if !closetOn(p, a) || !closetOn(p, b) || q.State != codebook.Given || q.Yes {
				return
			}
			on := p.OnRun(a, f.Into)
			at := stateAt(f, p, a)
			x, okX := armLength(p, a)
			y, okY := armLength(p, b)
			short := min(x, y)
			long := okX && okY && least.State == codebook.Given && short >= least.Length
			switch {
			case f.Kind != "double sanitary tee" && f.Pinned, long:
				p.Looked(1)
			case !f.Pinned:
				p.Unchecked(on, at, check.Say{Message: both(p, a, b) + " come together at one height; a double sanitary tee is not permitted there", Ask: "through which double fitting do " + both(p, a, b) + " join? write `fitting: double fixture fitting`"})
			case !okX || !okY:
				p.Unchecked(on, at, check.Say{Message: both(p, a, b) + " come into a double sanitary tee, and how long their pipes are is not known", Ask: "how long is the pipe from each water closet to the double sanitary tee?", Cite: least.Cite})
			case least.State != codebook.Given:
				p.Looked(1)
				p.Fault(on, at, check.Say{Message: both(p, a, b) + " come into a double sanitary tee", Got: f.Kind, Limit: "double fixture fitting", Cite: q.Cite})
			default:
				p.Looked(1)
				p.Fault(on, at, check.Say{
					Message: both(p, a, b) + " come into a double sanitary tee " + short.Small(p.Job.Units) + " away; " + least.Length.Small(p.Job.Units) + " is the least for water closets",
					Got:     short.Small(p.Job.Units), Limit: least.Length.Small(p.Job.Units), Cite: least.Cite,
					Try: "set a double fixture fitting or a double combo, or bring both in over " + least.Length.Small(p.Job.Units) + " or more of pipe",
				})
			}
		})
	},
}

// twoUp is the size two steps over another in the list of nominal sizes.
func twoUp(s unit.Size) unit.Size {
	for range 2 {
		next, ok := unit.NextSize(s)
		if !ok {
			return s
		}
		s = next
	}
	return s
}

var doubleTeeBarrel = &check.Rule{
	ID: "fitting-double-santee-lavs", Family: "fittings", Clause: "double-tee-barrel",
	Doc: "where the book asks it, the barrel of a double sanitary tee is two sizes over its inlets",
	Why: "in a narrow barrel the water of one side crosses into the other",
	Try: "set a double fixture fitting, or a double sanitary tee with a barrel of {two sizes more}",
	Run: func(p *check.Pass) {
		q := p.Param("double-tee.barrel-two-up")
		if q.State != codebook.Given || !q.Yes {
			return
		}
		doubles(p, func(f *fitting.Fitting, a, b network.RunID) {
			inlet := max(f.Branch[0], f.Branch[1])
			need := twoUp(inlet)
			on, at := p.OnRun(a, f.Into), stateAt(f, p, a)
			switch {
			case f.Out >= need || f.Pinned && f.Kind != "double sanitary tee":
				p.Looked(1)
			case !f.Pinned:
				p.Unchecked(on, at, check.Say{Message: both(p, a, b) + " come together at one height; a double sanitary tee would need a barrel of " + need.String(), Ask: "through which double fitting do " + both(p, a, b) + " join?", Cite: q.Cite})
			default:
				p.Looked(1)
				p.Fault(on, at, check.Say{
					Message: both(p, a, b) + " come through " + inlet.String() + " inlets into a double sanitary tee of " + f.Out.String() + "; its barrel must be two sizes larger than they are, " + need.String(),
					Got:     f.Out.String(), Limit: need.String(), Cite: q.Cite,
				})
			}
		})
	},
}

var doubleInlets = &check.Rule{
	ID: "fitting-double-inlets", Family: "fittings", Clause: "double-fitting-inlets",
	Doc: "the two inlets of a double fitting are of one size",
	Why: "the larger one fills the barrel and runs into the smaller",
	Try: "let the smaller one join below or above through a fitting of its own",
	Run: func(p *check.Pass) {
		q := p.Param("double-fitting.same-size")
		doubles(p, func(f *fitting.Fitting, a, b network.RunID) {
			if q.State != codebook.Given || !q.Yes || !f.Pinned {
				return
			}
			p.Looked(1)
			if f.Branch[0] != f.Branch[1] {
				p.Fault(p.OnRun(a, f.Into), f.Word.At, check.Say{
					Message: both(p, a, b) + " come into a " + f.Kind + " with inlets of " + f.Branch[0].String() + " and " + f.Branch[1].String(),
					Got:     f.Branch[0].String() + " and " + f.Branch[1].String(), Limit: "one size", Cite: q.Cite,
				})
			}
		})
	},
}

// A comesIn is what comes in at one side of a double fitting: the kinds of its fixtures, each
// once. Bathtubs and showers count as one kind.
type comesIn struct {
	kinds  []string
	closet bool
	open   bool // part of it is not told as fixtures
}

func comesThrough(p *check.Pass, s network.SegID) comesIn {
	var c comesIn
	add := func(k *catalog.Kind) {
		word := k.Name
		switch {
		case k.Group:
			c.open = c.open || !k.Has("water closet")
			c.closet = c.closet || k.Has("water closet")
		case k.Has("water closet"):
			word, c.closet = "water closet", true
		case k.Name == "bathtub", k.Name == "shower":
			word = "bathtub or shower"
		}
		if !slices.Contains(c.kinds, word) {
			c.kinds = append(c.kinds, word)
		}
	}
	upstreamOf(p.Net, s, func(u network.SegID) bool {
		g := &p.Net.Segs[u]
		if g.Fixture != network.None {
			add(p.Net.Fixtures[g.Fixture].Kind)
		}
		if g.Carries {
			run := &p.Net.Runs[g.Run]
			for _, k := range run.Carried {
				add(k)
			}
			if run.Def.Carries.Closets.V > 0 {
				c.closet = true
			}
			c.open = c.open || len(run.Def.Carries.Fixtures) == 0
		}
		c.open = c.open || g.Basin
		return true
	})
	slices.Sort(c.kinds)
	return c
}

// words names what comes in, for a sentence.
func (c *comesIn) words() string {
	var o open
	for _, k := range c.kinds {
		o.add(k, diag.Ref{}, source.Span{})
	}
	return o.list()
}

var doubleUnlike = &check.Rule{
	ID: "fitting-double-unlike", Family: "fittings", Clause: "double-fitting-inlets",
	Doc: "the two inlets of a double fitting take fixtures, or groups of them, that are alike",
	Why: "what comes in strong on one side runs across into the side that is weak",
	Try: "let one of them join above or below the other through a fitting of its own",
	Run: func(p *check.Pass) {
		q := p.Param("double-fitting.like")
		doubles(p, func(f *fitting.Fitting, a, b network.RunID) {
			if q.State != codebook.Given || !q.Yes {
				return
			}
			x, y := comesThrough(p, f.From[0]), comesThrough(p, f.From[1])
			on, at := p.OnRun(a, f.Into), stateAt(f, p, a)
			brings := p.Net.Runs[a].Name
			if y.closet {
				brings = p.Net.Runs[b].Name
			}
			switch {
			case !x.open && len(x.kinds) == 0, !y.open && len(y.kinds) == 0: // nothing comes in on one side
				p.Looked(1)
			case x.open || y.open:
				if f.Pinned {
					p.Unchecked(on, at, check.Say{Message: both(p, a, b) + " come into a " + f.Kind + " from two sides, and which fixtures drain into it is not told in full", Ask: "are the fixtures on both sides of it alike? write them under `carries`: `carries: {fixtures: [lavatory, bathtub]}`", Cite: q.Cite})
				}
			case x.closet != y.closet && f.Pinned:
				p.Looked(1)
				p.Fault(on, at, check.Say{Message: both(p, a, b) + " come into a " + f.Kind + " from two sides, and only " + brings + " brings a water closet", Got: x.words() + " and " + y.words(), Limit: "like fixtures", Cite: q.Cite})
			case x.closet != y.closet:
				p.Unchecked(on, at, check.Say{Message: both(p, a, b) + " come together at one height, and only " + brings + " brings a water closet; a double fitting there takes like fixtures", Ask: "do " + both(p, a, b) + " join through one fitting, or one below the other? write `at` and `fitting` for each", Cite: q.Cite})
			case f.Pinned && !slices.Equal(x.kinds, y.kinds):
				p.Unchecked(on, at, check.Say{Message: both(p, a, b) + " come into a " + f.Kind + " from two sides, one with " + x.words() + ", the other with " + y.words(), Ask: "does the authority take them as like fixtures?", Cite: q.Cite})
			default:
				p.Looked(1)
			}
		})
	},
}

var doubleTeePumped = &check.Rule{
	ID: "fitting-double-santee-pumped", Family: "fittings", Clause: "double-tee-closets",
	Doc: "no double sanitary tee takes a fixture that pumps its water out",
	Why: "the jet crosses into the pipe on the other side",
	Try: "set a double fixture fitting",
	Run: func(p *check.Pass) {
		q := p.Param("double-tee.pumped")
		doubles(p, func(f *fitting.Fitting, a, b network.RunID) {
			if q.State != codebook.Given || q.Yes || !f.Pinned || f.Kind != "double sanitary tee" {
				return
			}
			p.Looked(1)
			for _, r := range []network.RunID{a, b} {
				x := p.Net.Runs[r].Fixture
				if x != network.None && p.Net.Fixtures[x].Kind.Has("clothes washer") {
					p.Fault(p.OnRun(r, f.Into), f.Word.At, check.Say{Message: p.Net.Runs[r].Name + ", a clothes washer, comes into a double sanitary tee", Got: f.Kind, Limit: "double fixture fitting", Cite: q.Cite})
				}
			}
		})
	},
}

var adviseCrossflow = &check.Rule{
	ID: "advise-wc-crossflow", Family: "advice",
	Doc: "says where the flush of one water closet can cross to the one behind it",
	Why: "back-to-back closets near one fitting push each other's water",
	Try: "keep them apart, or set a double combo",
	Run: func(p *check.Pass) {
		doubles(p, func(f *fitting.Fitting, a, b network.RunID) {
			if !closetOn(p, a) || !closetOn(p, b) {
				return
			}
			p.Looked(1)
			if f.Kind == "double fixture fitting" || f.Kind == "double sanitary tee" {
				p.Note(p.OnRun(a, f.Into), stateAt(f, p, a), check.Say{Message: both(p, a, b) + " face each other in a " + f.Kind + "; a strong flush may cross"})
			}
		})
	},
}

var adviseCleanoutCross = &check.Rule{
	ID: "advise-cleanout-near-cross", Family: "advice",
	Doc: "says where a double sanitary tee stands without a cleanout near it",
	Why: "a snake goes straight across the fitting into the other arm and not down",
	Try: "set a cleanout right above or below it",
	Run: func(p *check.Pass) {
		doubles(p, func(f *fitting.Fitting, a, b network.RunID) {
			if f.Kind != "double sanitary tee" {
				return
			}
			p.Looked(1)
			into := p.Net.Segs[f.Into].Run
			for _, r := range []network.RunID{a, b, into} {
				if len(p.Net.Runs[r].Def.Clean) > 0 {
					return
				}
			}
			p.Note(p.OnRun(a, f.Into), stateAt(f, p, a), check.Say{Message: both(p, a, b) + " come into a double sanitary tee, which cannot be snaked downwards, and no cleanout stands near it"})
		})
	},
}
