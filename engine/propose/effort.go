package propose

import (
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"trapweir/engine/diag"
	"trapweir/engine/unit"
	"trapweir/engine/yamlread"
)

// Cost is what a proposal takes, for comparing one with another. It is no price.
type Cost struct {
	Pipe     unit.Length `json:"pipe"`             // added pipe
	Size     unit.Size   `json:"size,omitempty"`   // of the added pipe, where it is one size and known
	Fittings int         `json:"fittings"`         // added fittings, valves and cleanouts
	Roof     int         `json:"roof,omitempty"`   // openings through the roof
	Walls    int         `json:"walls,omitempty"`  // walls opened for pipe to rise or cross
	Valves   int         `json:"valves,omitempty"` // air admittance valves: a part that moves and wears
	Moves    int         `json:"moves,omitempty"`  // fixtures or walls set anew
	Enlarged unit.Length `json:"enlarged"`         // pipe that becomes larger, or is laid anew
	// About: a length on the way is not known, and a usual one was taken for it.
	About bool `json:"about,omitempty"`
}

// Effort says for how many feet of pipe the other parts of a cost stand when proposals are
// put in order. It is a shop's own practice and no price; data/effort.yaml holds the one that
// comes with the program and says why.
type Effort struct {
	Fitting  unit.Length `json:"fitting"`
	Roof     unit.Length `json:"roof"`
	Wall     unit.Length `json:"wall"`
	Valve    unit.Length `json:"valve"`
	Move     unit.Length `json:"move"`
	Enlarged int         `json:"enlarged"` // percent of its length that enlarged pipe counts
}

// Weight puts costs in order: all of it as so much pipe.
func (e Effort) Weight(c Cost) unit.Length {
	return c.Pipe + unit.Length(c.Fittings)*e.Fitting + unit.Length(c.Roof)*e.Roof + unit.Length(c.Walls)*e.Wall +
		unit.Length(c.Valves)*e.Valve + unit.Length(c.Moves)*e.Move + c.Enlarged/100*unit.Length(e.Enlarged)
}

// effortKeys are the words of the file.
var effortKeys = []string{"fitting", "roof opening", "wall opening", "valve", "moved", "enlarged"}

// ReadEffort reads a file of efforts over base: a key that it does not have keeps what base
// says. What is wrong in the file is reported, and that key keeps what base says too.
//
//	roof opening: 8'
//	enlarged: 50%
func ReadEffort(name string, text []byte, base Effort) (Effort, []diag.Diagnostic) {
	root, ds := yamlread.Parse(name, text, yamlread.Limits{Rule: "effort-file"})
	if root == nil {
		return base, ds
	}
	r := yamlread.New(name, text, "effort-file")
	for key, v := range r.Fields(root, "the file of efforts", effortKeys) {
		if key == "enlarged" {
			base.Enlarged = percent(r, v, base.Enlarged)
			continue
		}
		to := map[string]*unit.Length{"fitting": &base.Fitting, "roof opening": &base.Roof, "wall opening": &base.Wall, "valve": &base.Valve, "moved": &base.Move}[key]
		s, at, ok := r.Text(v)
		if !ok {
			continue
		}
		l, err := unit.ParseLength(s)
		if err != nil || l < 0 || l > 1000*unit.Foot {
			r.Add(at, key+": "+yamlread.Short(s)+" is no length of pipe from 0' to 1000'", "write how much pipe it stands for: "+key+": 2'")
			continue
		}
		*to = l
	}
	return base, append(ds, r.Diags...)
}

// percent reads a share from 0% to 100%.
func percent(r *yamlread.Reader, v *yaml.Node, was int) int {
	s, at, ok := r.Text(v)
	if !ok {
		return was
	}
	head, found := strings.CutSuffix(strings.TrimSpace(s), "%")
	n, err := strconv.Atoi(strings.TrimSpace(head))
	if !found || err != nil || n < 0 || n > 100 {
		r.Add(at, "enlarged: "+yamlread.Short(s)+" is no share from 0% to 100%", "write enlarged: 50%")
		return was
	}
	return n
}
