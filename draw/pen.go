package draw

// Width is one of the line widths of the drawings. The set is closed so that a sheet never
// shows two widths that cannot be told apart: each is about 1.4 times the one before, the
// series of ISO 128.
type Width uint8

const (
	OfLayer Width = iota // whatever the layer draws with
	Hair                 // 0.18 mm: outlines of the building
	Thin                 // 0.25 mm: dimensions, leaders, hatching, table rules
	Medium               // 0.35 mm: existing pipe, symbols' bodies
	Bold                 // 0.5 mm: vents
	Heavy                // 0.7 mm: drains, the frame
	Broad                // 1 mm: drains of a drawing that is lettered large
)

var widths = [...]struct {
	word     string
	mm, fine float64
}{{"", 0.25, 0.18}, {"hair", 0.18, 0.13}, {"thin", 0.25, 0.18}, {"medium", 0.35, 0.25}, {"bold", 0.5, 0.35}, {"heavy", 0.7, 0.5}, {"broad", 1, 0.7}}

// String gives the word: "hair", "thin", "medium", "bold", "heavy" or "broad".
func (w Width) String() string { return widths[w].word }

// MM gives the width in millimetres, one step less on a fine sheet.
func (w Width) MM(fine bool) float64 {
	if fine {
		return widths[w].fine
	}
	return widths[w].mm
}

// Dash is a pattern of dashes.
type Dash uint8

const (
	Solid      Dash = iota
	LongDash        // drains below a floor or slab
	ShortDash       // vents
	Sparse          // future work: long dashes, wide gaps
	DashDot         // centre lines, cold water
	DashDotDot      // hot water, property lines
	Dots            // construction lines, reference levels
)

var dashes = [...]struct {
	word, meaning string
	mm            []float64
}{
	{"solid", "Solid line", nil},
	{"long-dash", "Long dash __ __ __", []float64{9, 2}},
	{"short-dash", "Short dash _ _ _", []float64{3.5, 1.5}},
	{"sparse", "Wide gaps __  __", []float64{6, 3.5}},
	{"dash-dot", "Dash dot __ . __", []float64{7, 1.5, 0.5, 1.5}},
	{"dash-dot-dot", "Dash dot dot __ . . __", []float64{7, 1.5, 0.5, 1.5, 0.5, 1.5}},
	{"dots", "Dots . . .", []float64{0.5, 1.25}},
}

// DashCount is the number of dash patterns.
const DashCount = len(dashes)

// String gives the word, such as "long-dash".
func (d Dash) String() string { return dashes[d].word }

// Meaning describes the pattern in a few plain characters.
func (d Dash) Meaning() string { return dashes[d].meaning }

// MM gives the lengths of dash, gap, dash, gap ... in millimetres; nil is a solid line.
// The slice is shared: do not write to it.
func (d Dash) MM() []float64 { return dashes[d].mm }

// Pen is how a line is drawn. The zero pen is the layer's own.
type Pen struct {
	Width Width
	Dash  Dash
}

// Ink is what a line is drawn with. On white paper every ink is dark enough to be read in
// black and white; meaning is always carried by width, dash or words as well.
type Ink uint8

const (
	Black Ink = iota
	Grey      // what is there already, and what only explains
	Red       // findings
)

// InkCount is the number of inks.
const InkCount = 3

// String gives the word of the ink.
func (i Ink) String() string { return [...]string{"black", "grey", "red"}[i] }

// RGB gives the ink on white paper.
func (i Ink) RGB() [3]uint8 {
	return [...][3]uint8{{0x16, 0x18, 0x1b}, {0x62, 0x67, 0x6e}, {0xb0, 0x20, 0x1a}}[i]
}

// RGBDark gives the ink on a dark screen.
func (i Ink) RGBDark() [3]uint8 {
	return [...][3]uint8{{0xec, 0xee, 0xf1}, {0xa3, 0xa9, 0xb2}, {0xff, 0x8a, 0x80}}[i]
}

// Layer is what a shape belongs to. Writers that have layers keep them apart.
type Layer uint8

const (
	LayerFrame      Layer = iota // sheet frame and title block
	LayerBuilding                // floors, walls, roof, ground
	LayerFixture                 // fixtures in plan
	LayerExisting                // pipe that stays
	LayerRemove                  // pipe that goes
	LayerFuture                  // pipe that is only provided for
	LayerDrainBelow              // drains below a floor or slab
	LayerDrain                   // drains
	LayerVent                    // vents
	LayerSymbol                  // fittings, traps, marks
	LayerDimension               // dimensions and their leaders
	LayerText                    // labels and notes
	LayerTable                   // schedules and legends
	LayerFinding                 // balloons and clouds of findings
	layerCount
)

var layers = [...]struct {
	word, meaning string
	ink           Ink
	pen           Pen
}{
	{"frame", "Sheet frame and title block", Black, Pen{Heavy, Solid}},
	{"building", "Floors, walls, roof and ground", Grey, Pen{Hair, Solid}},
	{"fixture", "Fixtures", Grey, Pen{Thin, Solid}},
	{"existing", "Existing pipe to remain", Grey, Pen{Medium, Solid}},
	{"remove", "Existing pipe to be removed", Grey, Pen{Medium, ShortDash}},
	{"future", "Future pipe", Grey, Pen{Medium, Sparse}},
	{"drain-below", "Soil and waste below floor or slab", Black, Pen{Heavy, LongDash}},
	{"drain", "Soil and waste", Black, Pen{Heavy, Solid}},
	{"vent", "Vents", Black, Pen{Bold, ShortDash}},
	{"symbol", "Fittings, traps and marks", Black, Pen{Medium, Solid}},
	{"dimension", "Dimensions and leaders", Black, Pen{Thin, Solid}},
	{"text", "Labels and notes", Black, Pen{Thin, Solid}},
	{"table", "Schedules and legends", Black, Pen{Thin, Solid}},
	{"finding", "Findings", Red, Pen{Medium, Solid}},
}

// LayerCount is the number of layers.
const LayerCount = int(layerCount)

// String gives the word of the layer, which is also its class in SVG.
func (l Layer) String() string { return layers[l].word }

// Meaning says in plain words what is on the layer.
func (l Layer) Meaning() string { return layers[l].meaning }

// Ink gives the ink of the layer.
func (l Layer) Ink() Ink { return layers[l].ink }

// Pen gives the pen of the layer.
func (l Layer) Pen() Pen { return layers[l].pen }

// IsPipe tells whether the lines of the layer are pipes, which labels keep clear of.
func (l Layer) IsPipe() bool { return l >= LayerExisting && l <= LayerVent }

// Or gives p, or the pen of the layer when p is the zero pen; a pen that only sets a dash
// keeps the layer's width.
func (p Pen) Or(l Layer) Pen {
	if p == (Pen{}) {
		return layers[l].pen
	}
	if p.Width == OfLayer {
		p.Width = layers[l].pen.Width
	}
	return p
}

// Service is one row of the table of lines: how a kind of pipe is drawn.
type Service struct {
	Word    string // for the legend
	Layer   Layer
	Letters string // set into gaps of the line
	Crosses bool   // struck through with crosses
	Tag     string // what its labels end in
}

// Services is the table of lines. Offices differ, so every set prints it as a legend.
// Patterns follow MIL-STD-17B and ISO 128 (from memory, checked by no page); letters and
// tags are common practice.
var Services = []Service{
	{Word: "Soil and waste", Layer: LayerDrain},
	{Word: "Soil and waste below floor or slab", Layer: LayerDrainBelow},
	{Word: "Vent", Layer: LayerVent},
	{Word: "Combination waste and vent", Layer: LayerDrain, Letters: "CWV"},
	{Word: "Indirect waste", Layer: LayerDrain, Letters: "IW"},
	{Word: "Existing, to remain", Layer: LayerExisting, Tag: "(E)"},
	{Word: "Existing, to be removed", Layer: LayerRemove, Crosses: true, Tag: "(R)"},
	{Word: "Future", Layer: LayerFuture, Tag: "(F)"},
}
