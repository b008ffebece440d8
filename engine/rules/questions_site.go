package rules

import (
	"trapweir/engine/check"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

var septicCapacity = &check.Rule{
	ID: "ask-septic-capacity", Family: "questions",
	Doc: "a septic system takes the flow that is added to it",
	Why: "tank and field are laid out for a flow; more of it floods the field",
	Run: func(p *check.Pass) {
		n := p.Net
		if !septic(n) || n.Outlet == network.None {
			return
		}
		p.Looked(1)
		added, old := "", false
		for i := range n.Fixtures {
			f := &n.Fixtures[i]
			run := &n.Runs[f.Run]
			switch {
			case run.Def.State.Text == "new", f.Def.Location.Text == "garage" && f.Kind.Has("floor drain"), f.Def.Disposer.V:
				if added == "" {
					added = run.Name
				}
			}
		}
		for i := range n.Runs {
			old = old || existing(&n.Runs[i])
		}
		if added == "" {
			return
		}
		run := n.RunOf(n.Outlet)
		p.Unchecked(p.OnRun(n.Segs[n.Outlet].Run, n.Outlet), run.Def.At, check.Say{
			Message: run.Name + " leads to a septic tank, and " + added + " adds to its flow",
			Ask:     "which flow in gallons a day are tank and field laid out for, and does the authority accept what is added?",
		})
	},
}

// lateralSlope asks for the fall of an old line that new work relies on.
var lateralSlope = &check.Rule{
	ID: "ask-lateral-slope", Family: "questions",
	Doc: "the fall of an existing line to the street or tank is known",
	Why: "how much it carries depends on its fall, and an old line may have sagged",
	Run: func(p *check.Pass) {
		n := p.Net
		if n.Outlet == network.None {
			return
		}
		id := n.Segs[n.Outlet].Run
		r := &n.Runs[id]
		if !existing(r) {
			return
		}
		p.Looked(1)
		if oldLateral(p) == network.None {
			return
		}
		p.Unchecked(diag.Ref{What: diag.Run, Name: r.Name, Segment: int32(n.Outlet)}, r.Def.At, check.Say{
			Message: r.Name + " is there already, and its slope is not given",
			Ask:     "what is the slope of " + r.Name + "? two depths and the distance between them will do, or a camera run",
		})
	},
}

// oldLateral is the existing run that reaches the outlet with level pipe whose slope is not
// given, None for none. Its slope is asked for by itself, and by no other rule.
func oldLateral(p *check.Pass) network.RunID {
	n := p.Net
	if n.Outlet == network.None || n.Segs[n.Outlet].Lie == network.Upright || p.Levels.Slope[n.Outlet].Given() {
		return network.None
	}
	if id := n.Segs[n.Outlet].Run; existing(&n.Runs[id]) {
		return id
	}
	return network.None
}

// trapSizeAsked asks for a trap's size where its arm is nearly as long as the size that is
// taken allows: the answer decides.
var trapSizeAsked = &check.Rule{
	ID: "ask-trap-size", Family: "questions", Clause: "trap-arm",
	Doc: "where an arm is nearly as long as it may be, the size of its trap is known",
	Why: "the distance permitted goes by the size",
	Run: func(p *check.Pass) {
		for i := range p.Net.Fixtures {
			f := &p.Net.Fixtures[i]
			r := p.Vents.Trap[i].Reading()
			if r == nil || f.Kind.Integral || f.Def.Trap.V > 0 || p.Sizes.Given[f.Seg] || !r.Arm.Known || r.Arm.Limit == 0 || r.Arm.Free {
				continue
			}
			p.Looked(1)
			if r.Arm.Length*10 < r.Arm.Limit*9 || r.Arm.Length > r.Arm.Limit {
				continue
			}
			run := &p.Net.Runs[f.Run]
			p.Unchecked(p.OnFixture(network.FixID(i)), run.Def.At, check.Say{
				Message: run.Name + ": its arm is " + r.Arm.Length.In(p.Job.Units) + " of the " + r.Arm.Limit.In(p.Job.Units) + " that " + r.Arm.Size.String() + " allows, and the size of its trap is taken, not given",
				Ask:     "what size is the trap of " + run.Name + "? write `trap`",
			})
		}
	},
}

// drawnTrue is how far the heights of a job may be from the height of a trap that it gives:
// both are written from one sketch. Common practice.
const drawnTrue = unit.Foot

// trapHeightAsked holds the height of a trap that the job gives against what its pipe comes to:
// of the two one is wrong, and rims and loops go by the heights.
var trapHeightAsked = &check.Rule{
	ID: "ask-trap-height", Family: "questions",
	Doc: "where a trap's height over the floor is given, its pipe comes up to about there",
	Why: "a drop that is written too short or too long moves every height above it",
	Run: func(p *check.Pass) {
		for i := range p.Net.Fixtures {
			f := &p.Net.Fixtures[i]
			v := &p.Levels.Serve[i]
			run := &p.Net.Runs[f.Run]
			if !f.Def.TrapHigh.Set || !v.Floor.Known || !v.Upper.Known || existing(run) || p.Net.Segs[f.Seg].Lie != network.Level {
				continue
			}
			p.Looked(1)
			drawn := v.Upper.V - v.Floor.V
			off := drawn - f.Def.TrapHigh.V
			if off <= drawnTrue && -off <= drawnTrue {
				continue
			}
			where := drawn.Round(unit.Inch).Small(p.Job.Units) + " above"
			if drawn < 0 {
				where = (-drawn).Round(unit.Inch).Small(p.Job.Units) + " below"
			}
			p.Unchecked(p.OnFixture(network.FixID(i)), f.Def.TrapHigh.At, check.Say{
				Message: run.Name + ": by the heights its trap stands " + where + " the floor, and the job gives " + f.Def.TrapHigh.V.Small(p.Job.Units) + " above it",
				Ask:     "how far does " + run.Name + " drop, and how high is its trap above the floor? correct its `legs` or `trap above floor`",
				Got:     drawn.Round(unit.Inch).Small(p.Job.Units), Limit: f.Def.TrapHigh.V.Small(p.Job.Units),
			})
		}
	},
}

// wallAtTakeoff asks once for vents that rise straight out of a floor.
var wallAtTakeoff = &check.Rule{
	ID: "ask-wall-at-takeoff", Family: "questions",
	Doc: "a vent that rises out of a floor has a wall to rise in",
	Why: "without one the vent must run level under the floor, and that is a flat vent",
	Run: func(p *check.Pass) {
		n := p.Net
		var ask open
		fromDrains(n, func(v network.VentID, t takeoff) {
			d := n.Vents[v].Def
			if t.Seg == network.None || t.Run < 0 || d.Where.Text != "" || d.State.Text == "existing" || len(d.Legs) == 0 || !d.Legs[0].Way.Up {
				return
			}
			f := n.Runs[t.Run].Fixture
			if f == network.None || n.Segs[t.Seg].Lie == network.Upright {
				return
			}
			// Only what drains through the floor, away from the walls.
			if k := n.Fixtures[f].Kind; k.Weir.Set || !k.Outlet.Set || k.Outlet.V != 0 || k.Has("standpipe") {
				return
			}
			ask.add(n.Vents[v].Name, p.OnVent(v), d.At)
		})
		ask.ask(p, check.Say{
			Message: "the vent rises from a drain under the floor, and whether a wall stands there is not given",
			Ask:     "is there a wall straight above the take-off? write `place: wall`",
		})
	},
}
