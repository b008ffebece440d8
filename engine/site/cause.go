package site

import (
	"strings"

	"trapweir/engine"
	"trapweir/engine/network"
	"trapweir/engine/vent"
)

// causes find what in a job gives cause for a check: the names of the runs and vents, or all
// where it is the whole of the new work.
var causes = map[string]func(*engine.Result) (on []string, all bool){
	"drains": func(r *engine.Result) ([]string, bool) {
		return nil, len(runs(r, func(*network.Run) bool { return true })) > 0
	},
	"level drains": func(r *engine.Result) ([]string, bool) {
		return nil, len(runs(r, func(x *network.Run) bool { return lies(r, x, network.Level) })) > 0
	},
	"under ground": func(r *engine.Result) ([]string, bool) {
		return runs(r, func(x *network.Run) bool {
			for _, s := range x.Segs {
				if r.Net.Segs[s].UnderGround {
					return true
				}
			}
			return false
		}), false
	},
	"traps": func(r *engine.Result) ([]string, bool) {
		return nil, len(fixtures(r, func(f *network.Fixture) bool { return !f.Kind.Integral })) > 0
	},
	"shared traps": func(r *engine.Result) ([]string, bool) {
		return fixtures(r, func(f *network.Fixture) bool { return len(f.Def.Serves) > 1 || f.Def.Bowls.V > 1 }), false
	},
	"washers": func(r *engine.Result) ([]string, bool) {
		return fixtures(r, func(f *network.Fixture) bool { return f.Kind.Has("standpipe") || f.Kind.Has("clothes washer") }), false
	},
	"level vents": func(r *engine.Result) ([]string, bool) {
		return vents(r, func(v *network.Vent) bool {
			for _, l := range v.Def.Legs {
				if !l.Way.Up && !l.Way.Down && l.Way.Plumb > 450 {
					return true
				}
			}
			return false
		}), false
	},
	"combinations": func(r *engine.Result) ([]string, bool) {
		var out []string
		for i := range r.Vents.Trap {
			if x := r.Vents.Trap[i].Reading(); x != nil && x.Method == vent.Combination {
				out = append(out, r.Net.Runs[r.Net.Fixtures[i].Run].Name)
			}
		}
		return out, false
	},
	"loops": func(r *engine.Result) ([]string, bool) {
		return vents(r, func(v *network.Vent) bool {
			return v.End == network.JoinsRun || v.Def.Role.Text == "loop"
		}), false
	},
	"valves": func(r *engine.Result) ([]string, bool) {
		return vents(r, func(v *network.Vent) bool { return v.End == network.AirAdmittanceValve }), false
	},
	"sumps": func(r *engine.Result) ([]string, bool) {
		return runs(r, func(x *network.Run) bool { return x.Def.Basin.Set }), false
	},
	"backwater valves": func(r *engine.Result) ([]string, bool) {
		return runs(r, func(x *network.Run) bool {
			for _, d := range x.Def.Devices {
				if d.Text == "backwater valve" {
					return true
				}
			}
			return false
		}), false
	},
	"notches": func(r *engine.Result) ([]string, bool) {
		return runs(r, func(x *network.Run) bool {
			t := &x.Def.Through
			return t.What.Text == "joists" && strings.HasPrefix(t.Cut.Text, "notch")
		}), false
	},
	"bored studs": func(r *engine.Result) ([]string, bool) {
		return runs(r, func(x *network.Run) bool { return x.Def.Through.What.Text == "studs" && x.Def.Through.Doubled.V }), false
	},
	"future fixtures": func(r *engine.Result) ([]string, bool) {
		return fixtures(r, func(f *network.Fixture) bool { return f.Def.Future.V }), false
	},
	"covered ends": func(r *engine.Result) ([]string, bool) {
		return vents(r, func(v *network.Vent) bool { return v.Def.Terminal.Covered.V }), false
	},
	"wall cleanouts": func(r *engine.Result) ([]string, bool) {
		return runs(r, func(x *network.Run) bool {
			for i := range x.Def.Clean {
				if x.Def.Clean[i].Type.Text == "wall" {
					return true
				}
			}
			return false
		}), false
	},
	"in walls": func(r *engine.Result) ([]string, bool) {
		on := runs(r, func(x *network.Run) bool {
			w := x.Def.Where.Text
			return w == "wall" || w == "exterior wall" || x.Def.Through.What.Text == "studs"
		})
		return append(on, vents(r, func(v *network.Vent) bool {
			w := v.Def.Where.Text
			return w == "wall" || w == "exterior wall"
		})...), false
	},
	"roof ends": func(r *engine.Result) ([]string, bool) {
		return vents(r, func(v *network.Vent) bool {
			return v.End == network.ThroughRoof || v.End == network.SideWall
		}), false
	},
}

func lies(r *engine.Result, x *network.Run, how network.Lie) bool {
	for _, s := range x.Segs {
		if r.Net.Segs[s].Lie == how {
			return true
		}
	}
	return false
}

// old: it stands there already, or goes.
func old(state string) bool { return state == "existing" || state == "remove" }

// runs names the new runs of which something holds.
func runs(r *engine.Result, is func(*network.Run) bool) (out []string) {
	for i := range r.Net.Runs {
		if x := &r.Net.Runs[i]; len(x.Segs) > 0 && !old(x.Def.State.Text) && is(x) {
			out = append(out, x.Name)
		}
	}
	return out
}

// vents names the new vents of which something holds.
func vents(r *engine.Result, is func(*network.Vent) bool) (out []string) {
	for i := range r.Net.Vents {
		if x := &r.Net.Vents[i]; !old(x.Def.State.Text) && is(x) {
			out = append(out, x.Name)
		}
	}
	return out
}

// fixtures names the runs of the new fixtures of which something holds.
func fixtures(r *engine.Result, is func(*network.Fixture) bool) (out []string) {
	for i := range r.Net.Fixtures {
		f := &r.Net.Fixtures[i]
		if run := &r.Net.Runs[f.Run]; !old(run.Def.State.Text) && is(f) {
			out = append(out, run.Name)
		}
	}
	return out
}
