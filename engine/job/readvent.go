package job

import (
	"strings"

	"go.yaml.in/yaml/v4"

	"trapweir/engine/diag"
	"trapweir/engine/source"
)

func (r *reader) vents(j *Job, n *yaml.Node) {
	if r.names == nil {
		r.names = make(map[string]source.Span, len(n.Content)/2+64)
	}
	if n.Kind == yaml.MappingNode {
		j.Vents = make([]Vent, 0, len(n.Content)/2)
	}
	r.named(n, "vents", diag.Vent, r.names, func(name string, k, v *yaml.Node) {
		j.Vents = append(j.Vents, Vent{Name: name, At: r.span(k)})
		r.vent(&j.Vents[len(j.Vents)-1], v)
	})
}

func (r *reader) vent(u *Vent, n *yaml.Node) {
	if empty(n) {
		r.fault(u.At, "found nothing, expected a mapping with `from`", "write "+u.Name+": {from: RUN, ends: through roof}")
		return
	}
	var legs *yaml.Node
	r.each(n, "", ventKeys, func(key string, k, v *yaml.Node) bool {
		switch key {
		case "from":
			r.wordList(&u.From, key, v, nil)
		case "at":
			r.place(&u.Place, key, v)
		case "legs":
			legs = k
			r.legs(&u.Legs, key, v, false)
		case "length":
			r.length(&u.Length, key, v)
		case "lies":
			r.lies(&u.Lies, v)
		case "slope":
			r.slope(&u.Slope, key, v)
		case "size":
			r.size(&u.Size, key, v)
		case "material":
			r.oneOf(&u.Mater, key, v, materialWords)
		case "existing", "remove", "new":
			r.state(&u.State, key, v)
		case "place":
			r.oneOf(&u.Where, key, v, whereWords)
		case "level":
			r.word(&u.Level, key, v)
		case "fitting":
			r.oneOf(&u.Fitting, key, v, fittingWords)
		case "turn":
			r.wordList(&u.Turns, key, v, turnWords)
		case "ends":
			r.ends(&u.Ends, v)
		case "into at":
			r.place(&u.Into, key, v)
		case "terminal":
			r.terminal(&u.Terminal, k, v)
		case "valve":
			r.valve(&u.Valve, k, v)
		case "rises from":
			r.rises(&u.RisesFrom, v)
		case "above rim":
			r.height(&u.AboveRim, key, v)
		case "role":
			r.oneOf(&u.Role, key, v, ventRoleWords)
		case "joint":
			r.oneOf(&u.Joint, key, v, jointWords)
		case "cleanouts":
			r.cleanouts(&u.Clean, v)
		case "note":
			r.word(&u.Note, key, v)
		default:
			return false
		}
		return true
	})
	if legs != nil && has(n, "length") {
		r.fault(r.span(legs), "legs and a length are both given", "leave `length` out; the legs add up to it")
	}
}

// ends reads through roof and its like, or keeps a name.
func (r *reader) ends(dst *Word, n *yaml.Node) {
	r.word(dst, "ends", n)
	if w := match(dst.Text, endWords); w != "" {
		dst.Text = w
	}
}

// spokenEnds are short words of the trade for how a vent ends.
var spokenEnds = []struct {
	end  string
	says []string
}{
	{"through roof", []string{"VTR", "vent through roof", "through the roof", "roof"}},
	{"side wall", []string{"through side wall", "through wall", "through the wall"}},
	{"air admittance valve", []string{"AAV", "air admittance", "mechanical vent", "cheater vent", "auto vent"}},
}

// spokenBranchValves are other words for a valve of the kind for fixtures and branches, which
// is listed for both.
var spokenBranchValves = []string{"individual", "individual and branch", "individual or branch", "fixture"}

// endsMeant reads short words where a vent is said to end in something that no run and no
// vent is called.
func endsMeant(j *Job) {
	names := map[string]bool{}
	for i := range j.Runs {
		names[j.Runs[i].Name] = true
	}
	for i := range j.Vents {
		names[j.Vents[i].Name] = true
	}
	for i := range j.Vents {
		w := &j.Vents[i].Ends
		for _, s := range spokenEnds {
			if !names[w.Text] && match(w.Text, s.says) != "" {
				w.Text = s.end
			}
		}
	}
}

// rises takes both spellings of centre.
func (r *reader) rises(dst *Word, n *yaml.Node) {
	if n.Kind == yaml.ScalarNode {
		switch {
		case strings.EqualFold(strings.TrimSpace(n.Value), "above center line"),
			strings.EqualFold(strings.TrimSpace(n.Value), "above centerline"),
			strings.EqualFold(strings.TrimSpace(n.Value), "above centreline"):
			*dst = Word{Text: risesWords[0], At: r.span(n)}
			return
		}
	}
	r.oneOf(dst, "rises from", n, risesWords)
}

func (r *reader) terminal(t *Terminal, k, n *yaml.Node) {
	t.At, t.Set = r.span(k), true
	r.each(n, "terminal", terminalKeys, func(key string, _, v *yaml.Node) bool {
		switch key {
		case "above roof":
			r.length(&t.AboveRoof, "terminal, above roof", v)
		case "roof":
			r.height(&t.Roof, "terminal, roof", v)
		case "from opening":
			r.length(&t.FromOpening, "terminal, from opening", v)
		case "above opening":
			r.length(&t.AboveOpening, "terminal, above opening", v)
		case "below opening":
			r.length(&t.BelowOpening, "terminal, below opening", v)
		case "lot line":
			r.length(&t.LotLine, "terminal, lot line", v)
		case "from wall":
			r.length(&t.FromWall, "terminal, from wall", v)
		case "above grade":
			r.length(&t.AboveGrade, "terminal, above grade", v)
		case "under soffit":
			r.flag(&t.Soffit, "terminal, under soffit", v)
		case "occupied roof":
			r.flag(&t.OccupiedRoof, "terminal, occupied roof", v)
		case "covered":
			r.flag(&t.Covered, "terminal, covered", v)
		case "size":
			r.size(&t.Size, "terminal, size", v)
		case "enlarged inside":
			r.length(&t.EnlargedInside, "terminal, enlarged inside", v)
		default:
			return false
		}
		return true
	})
}

func (r *reader) valve(t *Valve, k, n *yaml.Node) {
	t.At, t.Set = r.span(k), true
	r.each(n, "valve", valveKeys, func(key string, _, v *yaml.Node) bool {
		switch key {
		case "above arm":
			r.height(&t.AboveArm, "valve, above arm", v)
		case "above drain":
			r.height(&t.AboveDrain, "valve, above drain", v)
		case "above rim":
			r.height(&t.AbvRim, "valve, above rim", v)
		case "above insulation":
			r.height(&t.AboveInsulation, "valve, above insulation", v)
		case "reach":
			r.oneOf(&t.Reach, "valve, reach", v, reachWords)
		case "ventilated":
			r.flag(&t.Ventilated, "valve, ventilated", v)
		case "kind":
			if v.Kind == yaml.ScalarNode && match(v.Value, spokenBranchValves) != "" {
				t.Kind = Word{Text: valveKindWords[0], At: r.span(v)}
				break
			}
			r.oneOf(&t.Kind, "valve, kind", v, valveKindWords)
		default:
			return false
		}
		return true
	})
}
