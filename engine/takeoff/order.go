package takeoff

import (
	"cmp"
	"slices"
	"strings"

	"trapweir/engine/stock"
	"trapweir/engine/unit"
)

// Phase is the delivery that a thing comes with.
type Phase uint8

const (
	Underground Phase = iota
	RoughIn
	Trim
)

// Phases is how many there are.
const Phases = 3

// String gives the words for headings.
func (p Phase) String() string { return [...]string{"underground", "rough-in", "trim"}[p] }

// MarshalText makes the words the JSON form.
func (p Phase) MarshalText() ([]byte, error) { return []byte(p.String()), nil }

// Unit is what Line.Qty counts.
type Unit uint8

const (
	Each  Unit = iota // pieces
	Run               // length in nanometres
	Quart             // millionths of a US quart
	Cubic             // thousandths of a cubic foot
)

// String gives the unit as it is written beside a quantity: "ea", "ft", "qt", "cu ft".
func (u Unit) String() string { return [...]string{"ea", "ft", "qt", "cu ft"}[u] }

// MarshalText makes the words the JSON form.
func (u Unit) MarshalText() ([]byte, error) { return []byte(u.String()), nil }

// Share is the part of a line that one run or vent takes, in the unit of the line.
type Share struct {
	Name string `json:"name"` // of the run or vent
	Vent bool   `json:"vent,omitempty"`
	Qty  int64  `json:"qty"`
}

// Buy is what goes over the counter for a line: whole things. N is in thousandths of Unit.
type Buy struct {
	N    int64  `json:"thousandths"`
	Unit string `json:"unit"` // "ea", "10 ft", "pint", "cu yd"
	// Length of one, for pipe.
	Length unit.Length `json:"length,omitempty"`
}

// Line is one line of an order: all that is alike in one phase.
//
// Invariant: Qty is the sum of the shares.
type Line struct {
	Phase    Phase  `json:"phase"`
	Group    string `json:"group"`
	Item     string `json:"item"`
	Size     string `json:"size,omitempty"`
	Material string `json:"material,omitempty"`
	Standard string `json:"standard,omitempty"`
	Unit     Unit   `json:"unit"`
	// Qty is the net amount, no waste and no spare.
	Qty    int64   `json:"qty"`
	Shares []Share `json:"shares"`
	Buys   []Buy   `json:"buys"`
	// AtLeast: more of it is needed, but not measured (Order.NotMeasured says where).
	AtLeast bool `json:"atLeast,omitempty"`
	// Pieces is how many lengths of pipe Qty is made of; Guessed how many of them count a
	// take-out that is an estimate or, where none is on record, none at all.
	Pieces  int    `json:"pieces,omitempty"`
	Guessed int    `json:"guessed,omitempty"`
	Note    string `json:"note,omitempty"`

	sizes []unit.Size
}

// Key names what the line is, whatever its phase, as a price file does:
// "pvc sanitary tee 2 x 2 x 1-1/2".
func (l *Line) Key() string {
	return strings.TrimSpace(strings.Join(strings.Fields(l.Material+" "+l.Item+" "+l.Size), " "))
}

// Open is a thing that the job needs but that cannot be counted. It is in no total.
type Open struct {
	Phase    Phase    `json:"phase"`
	What     string   `json:"what"`
	Runs     []string `json:"runs"`
	Size     string   `json:"size,omitempty"`
	Material string   `json:"material,omitempty"`
	Why      string   `json:"why"`
	Ask      string   `json:"ask"`
}

// Piece is one length of pipe between two fittings, as the saw list names it.
type Piece struct {
	Phase    Phase     `json:"phase"`
	Runs     []string  `json:"runs"` // in the order of flow; one, but for pipe that goes straight on in the next run
	Vent     bool      `json:"vent,omitempty"`
	Material string    `json:"material"`
	Size     unit.Size `json:"size"`
	From     string    `json:"from"` // the fitting at its upper end, "open end" or "outlet"
	To       string    `json:"to"`
	// Centres is the length from centre to centre, Take what the fittings take of it.
	Centres unit.Length  `json:"centres"`
	Take    [2]stock.Dim `json:"take"`
	// Length is what is left to cut, to the nearest 1/16 in (of a metric job 1 mm); 0 where the fittings meet.
	Length unit.Length `json:"length"`
	// Sure is the least sure of the measures that Length rests on. Below Medium the piece
	// is measured in place.
	Sure stock.Confidence `json:"sure"`
	// Number is the piece's number on the saw list, from 1.
	Number int `json:"number"`
}

// sixteenth is the finest mark that pipe is cut to, of a metric job a millimetre.
const sixteenth = unit.Inch / 16

// mark is the finest mark of the rule that pipe is measured with.
func mark(sys unit.System) unit.Length {
	if sys == unit.Metric {
		return unit.Millimetre
	}
	return sixteenth
}

// Step is what a length that is not sure is rounded to: an inch, of a metric job a centimetre.
func Step(sys unit.System) unit.Length {
	if sys == unit.Metric {
		return 10 * unit.Millimetre
	}
	return unit.Inch
}

// Cut reports whether the piece can be cut from the list.
func (p *Piece) Cut() bool { return p.Sure >= stock.Medium && p.Length > 0 }

// Says is the entry of the saw list: a length to 1/16 in where every measure is at least of
// medium confidence, else "measure" with what to expect.
func (p *Piece) Says(sys unit.System) string {
	switch {
	case p.Length <= 0 && p.Sure >= stock.Medium:
		return "no pipe: the fittings need " + (p.Take[0].V + p.Take[1].V).In(sys) + " of " + p.Centres.In(sys)
	case p.Length <= 0:
		return "measure: " + p.Centres.In(sys) + " between centres leave little or no pipe"
	case p.Sure == stock.High:
		return p.Length.In(sys)
	case p.Sure == stock.Medium:
		return p.Length.In(sys) + ", check the fittings in hand"
	case p.Sure == stock.Low:
		return "measure: about " + p.Length.Round(Step(sys)).In(sys)
	}
	step := Step(sys)
	return "measure: under " + ((p.Length + step - 1) / step * step).In(sys)
}

// Order is the whole take-off.
type Order struct {
	Lines       []Line  `json:"lines"` // by phase, group, item, material, size: largest first
	NotMeasured []Open  `json:"notMeasured"`
	Pieces      []Piece `json:"pieces"`
	Plan        Plan    `json:"plan"`
	// Joints are the joints made on the job, by phase, material and size, for labour.
	Joints []Joints `json:"joints"`
	// Fixtures are the new fixtures by kind and the phase of their drain, for labour.
	Fixtures []Fixtures `json:"fixtures"`
	// Tests are the deliveries that have pipe to be tested, in order.
	Tests []Phase `json:"tests"`
	// Wants are the measures that pieces are missing, Offsets the offsets of the job.
	Wants   []Want `json:"wants,omitempty"`
	Offsets []Bent `json:"offsets,omitempty"`
	// Kerf is the width of the saw cut that the plan counts.
	Kerf unit.Length `json:"kerf"`
	// ReuseFrom is the shortest offcut that the shop keeps.
	ReuseFrom unit.Length `json:"reuseFrom"`
	// Material is the material that was asked for in place of the job's, "" for the job's.
	Material string `json:"material,omitempty"`
	// Units are the job's: how amounts and lengths are to be written.
	Units unit.System `json:"units"`
	// Taken says how things were counted that the job does not say.
	Taken []string `json:"taken"`
}

// Fixtures is how many fixtures of a kind are set.
type Fixtures struct {
	Kind  string   `json:"kind"`
	Phase Phase    `json:"phase"` // of the drain; they are set with the trim
	N     int64    `json:"n"`
	Runs  []string `json:"runs"`
}

// Joints is how many joints of a material and size are made with a delivery.
type Joints struct {
	Phase    Phase     `json:"phase"`
	Material string    `json:"material"`
	Size     unit.Size `json:"size"`
	N        int64     `json:"n"`
}

// groups are the headings of an order, in its order.
var groups = []string{
	"pipe", "bends", "tees and wyes", "reducers and bushings", "traps and adapters", "cleanouts and plugs", "flanges",
	"couplings and gaskets", "valves and devices", "hangers and straps", "plates and sleeves", "flashings", "cement and primer", "test gear", "bedding", "other",
}

// builder gathers lines.
type builder struct {
	lines map[string]*Line
}

// line finds or makes the line for a thing.
func (b *builder) line(ph Phase, group, material, item, size string, sizes []unit.Size, u Unit) *Line {
	key := ph.String() + "|" + material + "|" + item + "|" + size
	l := b.lines[key]
	if l == nil {
		l = &Line{Phase: ph, Group: group, Item: item, Size: size, Material: material, Unit: u, sizes: sizes}
		if b.lines == nil {
			b.lines = map[string]*Line{}
		}
		b.lines[key] = l
	}
	return l
}

// add counts something on a line for a run. A name can come again; done sums them up.
func (l *Line) add(who who, qty int64) {
	if qty == 0 {
		return
	}
	l.Qty += qty
	if k := len(l.Shares) - 1; k >= 0 && l.Shares[k].Name == who.name {
		l.Shares[k].Qty += qty
		return
	}
	l.Shares = append(l.Shares, Share{who.name, who.vent, qty})
}

// summed gives one share a name, in the order of names.
func summed(shares []Share) []Share {
	slices.SortFunc(shares, func(a, c Share) int { return cmp.Compare(a.Name, c.Name) })
	k := 0
	for i := 1; i < len(shares); i++ {
		if shares[i].Name == shares[k].Name {
			shares[k].Qty += shares[i].Qty
			continue
		}
		k++
		shares[k] = shares[i]
	}
	return shares[:min(k+1, len(shares))]
}

// who is a run or a vent by name. Names of runs and vents share one space.
type who struct {
	name string
	vent bool
}

// done gives the lines in the order of an order, shares in the order of names.
func (b *builder) done() []Line {
	out := make([]Line, 0, len(b.lines))
	for _, l := range b.lines {
		if l.Qty == 0 {
			continue // nothing of it is measured: it stands with what is not
		}
		l.Shares = summed(l.Shares)
		if l.Buys == nil && l.Unit == Each {
			l.Buys = []Buy{{N: l.Qty * 1000, Unit: "ea"}}
		}
		out = append(out, *l)
	}
	slices.SortFunc(out, func(a, c Line) int {
		return cmp.Or(cmp.Compare(a.Phase, c.Phase), cmp.Compare(slices.Index(groups, a.Group), slices.Index(groups, c.Group)),
			cmp.Compare(a.Item, c.Item), cmp.Compare(a.Material, c.Material), slices.Compare(c.sizes, a.sizes), cmp.Compare(a.Size, c.Size))
	})
	return out
}

// called gives sizes as an order calls them out: run, run, branches; one size where all
// are the same.
func called(sizes []unit.Size) string {
	same := true
	for _, s := range sizes {
		same = same && s == sizes[0]
	}
	if same {
		return sizes[0].Short()
	}
	var out []string
	for _, s := range sizes {
		out = append(out, s.Short())
	}
	return strings.Join(out, " x ")
}

// Groups lists the headings of an order, in its order.
func Groups() []string { return slices.Clone(groups) }
