// Package unit holds the exact quantities of the trade: lengths, nominal sizes, slopes,
// fixture units, flows, volumes and temperatures, read in the notations that plumbers
// write and printed back in one way each.
//
// Everything that decides something is an integer or a ratio of integers: no size
// decision rests on a floating-point comparison. The package knows no pipes and no codes.
package unit

// Length is an exact length in whole nanometres. An inch is 25 400 000 nm and 1/64 in
// is 396 875 nm, so inch fractions to 1/64, thousandths and millimetres are all whole.
type Length int64

const (
	Nanometre  Length = 1
	Millimetre        = 1_000_000 * Nanometre
	Metre             = 1000 * Millimetre
	Inch              = 25_400_000 * Nanometre
	Foot              = 12 * Inch
	// Sixtyfourth is 1/64 in, the finest fraction read and printed.
	Sixtyfourth = Inch / 64
)

// System is how lengths are written in answers.
type System uint8

const (
	FeetInches System = iota
	Metric
)

// Size is a nominal pipe size as a length in nanometres: 1-1/2 in is 38 100 000,
// DN 100 is 100 mm. It is a name, not an inside diameter. 0 means "not given".
type Size int64

// Slope is fall per run as an exact ratio in lowest terms, Run > 0: 1/4 in per ft is
// 1/48, 2 % is 1/50. The zero Slope (Run == 0) means "not given"; Level is 0/1.
type Slope struct{ Fall, Run int64 }

// Load is a number of fixture units in hundredths.
type Load int64

// Unit is one fixture unit.
const Unit Load = 100

// Flow is a rate of flow in thousandths of a US gallon a minute.
type Flow int64

// GPM is one US gallon a minute.
const GPM Flow = 1000

// Volume is a volume in thousandths of a US gallon.
type Volume int64

// Gallon is one US gallon.
const Gallon Volume = 1000

// Temperature is in tenths of a degree Fahrenheit.
type Temperature int32

// Error says what is wrong with a written quantity. Off is the offset in characters into
// the text, from 0.
type Error struct {
	What     string // the quantity: "length", "size", "slope" ...
	Text     string // what was read
	Off      int
	Found    string // what stands there
	Expected string // what was expected
	Says     string // what is wrong, after the text: "has no unit"; "" when Found and Expected say it
	Write    string // an example of what to write instead
}
