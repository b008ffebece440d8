// Package stock knows pipe and fittings as they are sold: outside diameters, the lengths
// that pipe comes in, what a fitting is called and what it takes of the distance between
// two centres. It reads this from files (data/pipes.yaml, data/fittings.yaml, and a shop's
// own of the same shape) in which every value carries its basis and how sure it is.
//
// It knows no job and no code, and it never fills a gap: a measure that is not on record
// is not known.
package stock

import (
	"slices"

	"trapweir/engine/unit"
)

// Confidence is how sure a value is. The order is that of trust.
type Confidence uint8

const (
	Unknown Confidence = iota // not on record
	Low                       // an estimate: no cut is printed from it
	Medium                    // prints with a note to check the piece in hand
	High
)

// String gives the words of the files; "not known" for Unknown.
func (c Confidence) String() string { return [...]string{"not known", "low", "medium", "high"}[c] }

// MarshalText makes the word the JSON form.
func (c Confidence) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// Dim is a measure of a pipe or fitting. With confidence Unknown, V means nothing.
type Dim struct {
	V          unit.Length `json:"v"`
	Confidence Confidence  `json:"confidence"`
	Basis      string      `json:"basis,omitempty"`
}

// Known reports whether there is a value at all.
func (d Dim) Known() bool { return d.Confidence != Unknown }

// Joint is how pipe of a material is joined.
type Joint uint8

const (
	OtherJoint Joint = iota
	Solvent          // socket and cement
	Hubless          // coupling over two plain ends
	Solder
)

var jointWords = [...]string{"other", "solvent", "hubless", "solder"}

// String gives the word of the file.
func (j Joint) String() string { return jointWords[j] }

// Pipe is pipe of one material.
type Pipe struct {
	Material string // the job's word: "pvc", "cast iron"
	Say      string // the words of an order
	Standard string
	Joint    Joint
	Primer   bool // solvent joints take primer
	// Gap is what a joint keeps between two ends inside a coupling.
	Gap Dim
	// Lengths are the stock lengths, shortest first.
	Lengths      []unit.Length
	LengthsBasis string
	LengthsSure  Confidence
	Sizes        []PipeSize // smallest first
}

// PipeSize is one size of a pipe.
type PipeSize struct {
	Size   unit.Size
	OD, ID Dim
}

// Pattern is a kind of fitting.
type Pattern struct {
	Kind  string // the word of package fitting
	Say   string // the words of an order
	Group string // the heading that it stands under
	Ends  int    // joints that it makes
}

// Body is what a fixture drains into and that is set with the pipe: a tub's waste and
// overflow, a floor drain.
type Body struct {
	Say  string
	Note string // said on the order line
}

// Port is an end of a fitting.
type Port uint8

const (
	Upper Port = iota // where the line comes in; either end of a bend
	Lower             // where it leaves
	Side              // where the branch comes in
)

type bendKey struct {
	kind string
	size unit.Size
}

type branchKey struct {
	kind        string
	run, branch unit.Size
}

// set is the fittings of some materials.
type set struct {
	standard string
	sockets  map[unit.Size]Dim
	bends    map[bendKey]Dim
	branches map[branchKey][3]Dim
}

// Shop is what the plumber decides and no rule says.
type Shop struct {
	Kerf        unit.Length
	PrimerShare unit.Slope // of the volume of cement
	CementSpare unit.Slope // on top of the cement
	TrenchWidth unit.Length
	TrenchBed   unit.Length // under the pipe
	TrenchOver  unit.Length // over the pipe
	HoleOver    unit.Length // bored hole over outside diameter
	ReuseFrom   unit.Length // offcuts from this length on are kept
	Basis       map[string]string
}

// Stock is everything on record. It does not change after Read.
type Stock struct {
	Shop     Shop
	pipes    map[string]*Pipe
	patterns map[string]Pattern
	bodies   map[string]Body
	sets     map[string]*set // by material
	joints   map[unit.Size]Joints
}

// Body is what is set with the pipe for a kind of fixture; ok is false where nothing is.
func (s *Stock) Body(kind string) (b Body, ok bool) {
	b, ok = s.bodies[kind]
	return b, ok
}

// Joints is how many joints a quart of cement makes.
type Joints struct {
	PerQuart   int64
	Confidence Confidence
	Basis      string
}

// Materials lists the materials that pipe is on record for, in order.
func (s *Stock) Materials() []string {
	var out []string
	for m := range s.pipes {
		out = append(out, m)
	}
	slices.Sort(out)
	return out
}

// Pipe returns the pipe of a material; ok is false for one that is not sold (clay, lead).
func (s *Stock) Pipe(material string) (*Pipe, bool) {
	p, ok := s.pipes[material]
	return p, ok
}

// Size returns one size of a pipe.
func (p *Pipe) Size(z unit.Size) (PipeSize, bool) {
	for _, x := range p.Sizes {
		if x.Size == z {
			return x, true
		}
	}
	return PipeSize{}, false
}

// OD is the outside diameter of a pipe, not known for materials and sizes that are not on
// record.
func (s *Stock) OD(material string, z unit.Size) Dim {
	if p, ok := s.pipes[material]; ok {
		if x, ok := p.Size(z); ok {
			return x.OD
		}
	}
	return Dim{}
}

// Pattern returns how a kind of fitting is sold. A kind that is not on record is called by
// its own name, under "other", with two ends; ok is then false.
func (s *Stock) Pattern(kind string) (p Pattern, ok bool) {
	if p, ok = s.patterns[kind]; ok {
		return p, true
	}
	return Pattern{Kind: kind, Say: kind, Group: "other", Ends: 2}, false
}

// alike are patterns that are made like another and take as much room.
var alike = map[string]string{
	"sanitary tee on its back": "sanitary tee",
	"sanitary tee flat":        "sanitary tee",
	"vent tee":                 "sanitary tee",
	"wye flat":                 "wye",
	"wye rolled 45":            "wye",
	"upright wye":              "wye",
	"double wye":               "wye",
	"combo flat":               "combo",
	"combo rolled 45":          "combo",
	"double combo":             "combo",
	"heel inlet quarter bend":  "quarter bend",
	"side inlet quarter bend":  "quarter bend",
}

// Base is the pattern that a kind is made like, itself if there is none: the one whose
// measures stand for it in a file.
func Base(kind string) string {
	for {
		next, ok := alike[kind]
		if !ok {
			return kind
		}
		kind = next
	}
}

// Takeout is what a fitting takes of the distance to the next centre at one of its ends.
// For a bend of one size, branch is 0. Not on record: Unknown.
func (s *Stock) Takeout(material, kind string, run, branch unit.Size, p Port) Dim {
	st := s.sets[material]
	if st == nil {
		return Dim{}
	}
	for {
		if d, ok := st.bends[bendKey{kind, run}]; ok {
			return d
		}
		if d, ok := st.branches[branchKey{kind, run, branch}]; ok {
			return d[p]
		}
		next, ok := alike[kind]
		if !ok {
			return Dim{}
		}
		kind = next
	}
}

// Socket is the depth of a hub or socket.
func (s *Stock) Socket(material string, z unit.Size) Dim {
	if st := s.sets[material]; st != nil {
		return st.sockets[z]
	}
	return Dim{}
}

// PatternStandard is the standard that a material's fittings are made to, "" if none is on
// record.
func (s *Stock) PatternStandard(material string) string {
	if st := s.sets[material]; st != nil {
		return st.standard
	}
	return ""
}

// JointsPerQuart tells how many solvent joints of a size a quart of cement makes; ok is
// false for a size without a figure.
func (s *Stock) JointsPerQuart(z unit.Size) (Joints, bool) {
	j, ok := s.joints[z]
	return j, ok
}
