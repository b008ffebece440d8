package rules

import (
	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/elevation"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

var trapRoom = &check.Rule{
	ID: "trap-room", Family: "room",
	Doc: "a trap between joists, as deep as its seal at least, keeps above their underside",
	Why: "a trap that hangs below the joists needs a lower ceiling under it",
	Try: "let the pipe come in higher",
	Run: func(p *check.Pass) {
		seal := p.Param("trap.seal-min")
		if seal.State != codebook.Given || p.Levels == nil {
			return
		}
		for i := range p.Net.Fixtures {
			x := &p.Net.Fixtures[i]
			run := &p.Net.Runs[x.Run]
			t := trapIn(p, network.FixID(i), seal.Length)
			if !t.ok {
				continue
			}
			p.Looked(1)
			least := t.under - t.bottom
			if !t.level.Subfloor.Set {
				least -= thickest
			}
			if least <= 0 {
				continue
			}
			say := check.Say{
				Message: "the trap of " + run.Name + " reaches " + about(p, least) + " or more below the " + t.level.Joists.Text + " joists of " + t.level.Name + ", with a seal of " + seal.Length.Small(p.Job.Units),
				Got:     about(p, least), Limit: "0 in",
			}
			if v := &p.Levels.Serve[i]; v.SpareKnown && v.Spare >= least {
				say.Try = "let " + run.Name + " come in " + about(p, least) + " or more higher; the floor leaves " + about(p, v.Spare)
			}
			p.Warn(p.OnRun(x.Run, x.Seg), run.Def.Where.At, say)
		}
	},
}

// A hung is a trap between joists: the outside of its bottom, at least so high over the datum,
// and the underside of the joists where nothing but the job's subfloor lies over them.
type hung struct {
	bottom, under unit.Length
	level         *job.Level
	ok            bool
}

// trapIn measures the trap of a fixture that stands on the floor and whose arm lies between
// the joists. From the weir down: the seal, the bore of the trap, its wall.
func trapIn(p *check.Pass, f network.FixID, seal unit.Length) hung {
	x := &p.Net.Fixtures[f]
	run := &p.Net.Runs[x.Run]
	k := elevation.LevelOf(p.Net, x.Run)
	if k < 0 || run.Def.Where.Text != "joists" || existing(run) || gone(run) || x.Kind == nil || x.Kind.Integral || !x.Kind.Outlet.Set || x.Kind.Outlet.V != 0 {
		return hung{}
	}
	if t := x.Def.TrapType.Text; t != "" && t != "p" {
		return hung{}
	}
	lv := &p.Job.Levels[k]
	depth, sawn := elevation.Depth(p.Book, lv.Joists.Text)
	weir := p.Levels.InvertUp[x.Seg]
	if !sawn || !lv.Floor.Set || !weir.Known || p.Net.Segs[x.Seg].Lie != network.Level {
		return hung{}
	}
	size := x.Def.Trap.V
	if size == 0 { // the smallest that the book permits
		if size = p.Loads.Fixture[f].Trap; size == 0 || size > p.Sizes.Size[x.Seg] {
			size = p.Sizes.Size[x.Seg]
		}
	}
	wall := unit.Length(0)
	if od, ok := elevation.Outside(material(p, x.Seg), size); ok {
		wall = max(0, (od-size.Length())/2)
	}
	return hung{bottom: weir.V - seal - size.Length() - wall, under: lv.Floor.V - lv.Subfloor.V - depth, level: lv, ok: true}
}
