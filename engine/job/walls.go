package job

import (
	"strings"

	"go.yaml.in/yaml/v4"

	"trapweir/engine/diag"
	"trapweir/engine/source"
)

// Wall is a face that stubs are measured from on plans: it stands square to its leg, at
// the end of it, and reaches as far as the plan does.
type Wall struct {
	Name string
	At   source.Span // of the name
	From Word        // a run
	End  Place       // UpperEnd or LowerEnd of it
	Leg  Leg         // north, east, south or west, with a length
}

func (r *reader) walls(j *Job, n *yaml.Node) {
	r.where = ""
	if !r.mapping(n, "walls") {
		return
	}
	seen := map[string]source.Span{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, v := n.Content[i], n.Content[i+1]
		r.where = ""
		if !r.key(k, "walls") {
			continue
		}
		w := Wall{Name: strings.TrimSpace(k.Value), At: r.span(k), End: Place{Kind: UpperEnd}}
		if w.Name == "" || w.Name != k.Value {
			r.fault(w.At, "walls: the name "+quoted(k.Value)+" is empty, or begins or ends with a blank", "write NAME: {from: RUN, legs: S 2'}")
			continue
		}
		if first, twice := seen[w.Name]; twice {
			r.fault(w.At, "walls: the name "+quoted(w.Name)+" is given twice, first on line "+itoa(int(first.Line)), "rename one of them")
			continue
		}
		seen[w.Name] = w.At
		r.enter(diag.Job, "", "wall "+w.Name)
		if r.wall(&w, v) {
			j.Walls = append(j.Walls, w)
		}
	}
}

// wall reads one wall; false when it says too little to be drawn, which has been told.
func (r *reader) wall(w *Wall, n *yaml.Node) bool {
	var legs []Leg
	faults := len(r.diags) + r.more
	r.each(n, "", wallKeys, func(key string, _, v *yaml.Node) bool {
		switch key {
		case "from":
			r.word(&w.From, key, v)
		case "at":
			r.place(&w.End, key, v)
			if w.End.Kind != UpperEnd && w.End.Kind != LowerEnd {
				r.fault(r.span(v), "at "+quoted(v.Value)+" is not an end of a run", "write upper end or lower end")
			}
		case "legs":
			r.legs(&legs, key, v, false)
			if len(legs) != 1 || !legs[0].Length.Set || !legs[0].Way.HasPlan || legs[0].Way.Plumb != 900 || legs[0].Way.Azimuth%900 != 0 {
				r.fault(r.span(v), "legs "+quoted(v.Value)+" does not lead square to a wall", "write N, E, S or W and a length, such as S 2'")
			}
		default:
			return false
		}
		return true
	})
	if len(r.diags)+r.more > faults {
		return false
	}
	if !w.From.Given() || len(legs) != 1 {
		r.fault(w.At, "`from` or `legs` is missing", "write "+w.Name+": {from: RUN, at: lower end, legs: S 2'}")
		return false
	}
	w.Leg = legs[0]
	return true
}
