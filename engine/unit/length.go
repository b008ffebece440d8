package unit

import (
	"math"
	"math/bits"
	"strconv"
	"strings"
	"unicode/utf8"
)

// MaxLength is the longest length that is read or written as text: about 9007 km. As a
// number of nanometres it is still whole in a JavaScript number, and a thousand of them
// add up without overflow.
const MaxLength Length = 1 << 53

const writeLength = "3 ft 6 in, 42 in or 1.2 m"

// lengthUnit tells feet, inches and metric apart: only feet may be followed by inches.
type lengthUnit uint8

const (
	noUnit lengthUnit = iota
	footUnit
	inchUnit
	metricUnit
)

var lengthWords = [...]struct {
	word string
	size Length
	kind lengthUnit
}{
	{"in", Inch, inchUnit},
	{"ft", Foot, footUnit},
	{"mm", Millimetre, metricUnit},
	{"m", Metre, metricUnit},
	{"cm", 10 * Millimetre, metricUnit},
	{"inch", Inch, inchUnit},
	{"inches", Inch, inchUnit},
	{"feet", Foot, footUnit},
	{"foot", Foot, footUnit},
	{"ins", Inch, inchUnit},
	{"metre", Metre, metricUnit},
	{"metres", Metre, metricUnit},
	{"meter", Metre, metricUnit},
	{"meters", Metre, metricUnit},
	{"millimetre", Millimetre, metricUnit},
	{"millimetres", Millimetre, metricUnit},
	{"millimeter", Millimetre, metricUnit},
	{"millimeters", Millimetre, metricUnit},
	{"centimetre", 10 * Millimetre, metricUnit},
	{"centimetres", 10 * Millimetre, metricUnit},
	{"centimeter", 10 * Millimetre, metricUnit},
	{"centimeters", 10 * Millimetre, metricUnit},
}

// lengthUnit reads a unit of length: a mark or a word. spelled tells that it was the word
// "in", which a slope may mean as "1 in 50".
func (p *scan) lengthUnit() (size Length, kind lengthUnit, spelled bool) {
	if p.done() {
		return 0, noUnit, false
	}
	switch c := p.s[p.i]; {
	case c == '"':
		p.i++
		return Inch, inchUnit, false
	case c == '\'' || c >= utf8.RuneSelf:
		r, n := utf8.DecodeRuneInString(p.s[p.i:])
		switch r {
		case '\'', '′', '’':
			p.i += n
			if p.take(r) { // two feet marks are an inch mark
				return Inch, inchUnit, false
			}
			return Foot, footUnit, false
		case '″', '”':
			p.i += n
			return Inch, inchUnit, false
		}
		return 0, noUnit, false
	}
	mark := p.i
	if p.i+1 < len(p.s) && p.s[p.i] == '-' && letter(p.s[p.i+1]) {
		p.i++ // 2-inch
	}
	w := p.word()
	if w == "" {
		return 0, noUnit, false
	}
	for i := range lengthWords {
		if u := &lengthWords[i]; len(u.word) == len(w) && strings.EqualFold(u.word, w) {
			p.i += len(w)
			p.take('.')
			return u.size, u.kind, i == 0
		}
	}
	p.i = mark
	return 0, noUnit, false
}

// lengthForm says how a length was written.
type lengthForm struct {
	kind    lengthUnit // of its first part; noUnit when there is none
	spelled bool       // one part, in the word "in"
}

// lengthAfter reads the unit of the number a, which was read at start, and the inches
// that may follow feet. Without a unit it gives noUnit and skips nothing.
func (p *scan) lengthAfter(a number, start int) (Length, lengthForm, error) {
	mark := p.i
	p.spaces()
	size, kind, spelled := p.lengthUnit()
	if kind == noUnit {
		p.i = mark
		return 0, lengthForm{}, nil
	}
	v, err := p.exact(a, size, start)
	if err != nil || kind != footUnit {
		return v, lengthForm{kind, spelled}, err
	}
	// Inches: 3'6", 3' 6", 3'-6", 3 ft, 6 in, and 3'6 at the end of the text.
	mark = p.i
	p.spaces()
	if p.take(',') || p.hyphen() {
		p.spaces()
	}
	if !p.atNumber() {
		p.i = mark
		return v, lengthForm{kind: kind}, nil
	}
	at := p.i
	if !a.whole {
		return 0, lengthForm{}, p.fail(start, p.s[start:mark], "whole feet", "has inches after feet that are not whole", "3 ft 6 in or 3.5 ft")
	}
	b, err := p.number()
	if err != nil {
		return 0, lengthForm{}, err
	}
	p.spaces()
	last := p.i
	size, unit, _ := p.lengthUnit()
	switch {
	case unit == inchUnit:
	case unit == noUnit && p.done():
		size = Inch
	case unit == noUnit:
		return 0, lengthForm{}, p.fail(last, p.rest(), "an inch mark", "", writeLength)
	default:
		return 0, lengthForm{}, p.fail(at, p.s[at:p.i], "inches", "has "+quote(p.s[at:p.i])+" after feet", writeLength)
	}
	w, err := p.exact(b, size, at)
	if err == nil && v > MaxLength-w {
		err = p.tooFar(start)
	}
	return v + w, lengthForm{kind: kind}, err
}

// exact is a number of units in whole nanometres.
func (p *scan) exact(a number, size Length, at int) (Length, error) {
	v, exact, fits := a.times(uint64(size))
	switch {
	case !fits || v > int64(MaxLength):
		return 0, p.tooFar(at)
	case !exact:
		return 0, p.fail(at, "", "", "is not a whole number of nanometres", "it in 64ths or to three decimals of an inch")
	}
	return Length(v), nil
}

func (p *scan) tooFar(at int) error {
	return p.fail(at, "", "", "is longer than 9007 km", "a length on the site")
}

// ParseLength reads a length with its unit: 3'6", 3' 6", 3'-6", 3 ft 6 in, 42", 65 inches,
// 3.5', 12' 3-1/2", ½", 100 mm, 12 cm, 2.5 m; any of them may be negative, spaces are
// free. The inch mark may be left out after feet (3'6). Inches after feet may pass 12;
// feet before inches are whole. Feet and inches do not mix with metric.
//
// A bare number other than 0 is an error, and so is a length that is not a whole number of
// nanometres (1/3 in): nothing is rounded in reading.
func ParseLength(s string) (Length, error) {
	p := scan{what: "length", s: s}
	if err := p.tooLong(writeLength); err != nil {
		return 0, err
	}
	neg := p.minus()
	if !p.atNumber() {
		return 0, p.noLength()
	}
	start := p.i
	a, err := p.number()
	if err != nil {
		return 0, err
	}
	number := p.s[start:p.i]
	v, form, err := p.lengthAfter(a, start)
	if err != nil {
		return 0, err
	}
	if form.kind == noUnit {
		p.spaces()
		if !p.done() {
			return 0, p.fail(p.i, p.rest(), "a unit", "has "+quote(p.rest())+" where a unit was expected", number+" ft, "+number+" in or "+number+" mm")
		}
		if a.n == 0 {
			return 0, nil
		}
		if neg {
			number = "-" + number
		}
		return 0, p.fail(p.i, "", "a unit", "has no unit", number+" ft, "+number+" in or "+number+" mm")
	}
	if neg {
		v = -v
	}
	p.spaces()
	if !p.done() {
		if p.atNumber() {
			return 0, p.fail(p.i, p.rest(), "the end", "has "+quote(p.rest())+" after the length: feet come first, then inches, and metric stands alone", writeLength)
		}
		return 0, p.tail(string(v.appendExact(nil)))
	}
	return v, nil
}

// noLength says what is wrong with a text that does not start with a number, and gives
// the length in it when there is one (about 15').
func (p *scan) noLength() error {
	at := p.i
	if p.done() {
		return p.fail(at, "", "a length", "is empty", writeLength)
	}
	for j := at + 1; j < len(p.s); j++ {
		if digit(p.s[j]) {
			q := scan{what: p.what, s: p.s, i: j}
			a, err := q.number()
			if err != nil {
				return err
			}
			before := strings.TrimSpace(p.s[at:j])
			if v, form, err := q.lengthAfter(a, j); err == nil && form.kind != noUnit {
				return p.fail(at, before, "a number", "starts with "+quote(before), string(v.appendExact(nil))+", and the rest in a note")
			}
			return p.fail(at, before, "a number", "starts with "+quote(before), writeLength)
		}
	}
	return p.fail(at, p.rest(), "a number", "has no number", writeLength)
}

// appendFraction writes n/64 as a whole number and a fraction in lowest terms: 3, 1-1/2, 7/8, 0.
func appendFraction(b []byte, n uint64) []byte {
	whole, part, of := n/64, n%64, uint64(64)
	if whole > 0 || part == 0 {
		b = strconv.AppendUint(b, whole, 10)
	}
	if part == 0 {
		return b
	}
	if whole > 0 {
		b = append(b, '-')
	}
	for part%2 == 0 {
		part, of = part/2, of/2
	}
	b = strconv.AppendUint(b, part, 10)
	b = append(b, '/')
	return strconv.AppendUint(b, of, 10)
}

// sixtyfourths is the amount of l in 64ths of an inch, to the nearest, half away from
// zero; exact tells whether it is whole.
func (l Length) sixtyfourths() (n uint64, exact bool) {
	a := abs(int64(l))
	n = a / uint64(Sixtyfourth)
	r := a % uint64(Sixtyfourth)
	if 2*r >= uint64(Sixtyfourth) {
		n++
	}
	return n, r == 0
}

// begin writes the mark of an inexact text and the sign.
func begin(b []byte, exact, neg bool) []byte {
	if !exact {
		b = append(b, '~')
	}
	if neg {
		b = append(b, '-')
	}
	return b
}

func (l Length) appendFeet(b []byte) []byte {
	n, exact := l.sixtyfourths()
	b = begin(b, exact, l < 0 && n > 0)
	const foot = 12 * 64
	if n < foot {
		return append(appendFraction(b, n), " in"...)
	}
	b = strconv.AppendUint(b, n/foot, 10)
	b = append(b, " ft"...)
	if n%foot == 0 {
		return b
	}
	b = append(b, ' ')
	return append(appendFraction(b, n%foot), " in"...)
}

// appendDecimal writes n/10^places without trailing noughts.
func appendDecimal(b []byte, n uint64, places int) []byte {
	unit := uint64(1)
	for range places {
		unit *= 10
	}
	b = strconv.AppendUint(b, n/unit, 10)
	r := n % unit
	if r == 0 {
		return b
	}
	b = append(b, '.')
	for r > 0 {
		unit /= 10
		b = append(b, byte('0'+r/unit))
		r %= unit
	}
	return b
}

// appendExact writes feet and inches where they are exact, else decimal millimetres.
func (l Length) appendExact(b []byte) []byte {
	if _, exact := l.sixtyfourths(); exact {
		return l.appendFeet(b)
	}
	b = begin(b, true, l < 0)
	return append(appendDecimal(b, abs(int64(l)), 6), " mm"...)
}

// String is the length in feet and inches: 4 ft 2 in, 9 ft 1-1/2 in, 7/8 in, -7 ft 2 in,
// 6 ft, 0 in. A length that is not a multiple of 1/64 in is written as the nearest one
// (half away from zero) with ~ in front, as in ~3-15/16 in for 100 mm; Round before
// printing where the mark is not wanted.
func (l Length) String() string {
	var buf [48]byte
	return string(l.appendFeet(buf[:0]))
}

// Inches is the length in inches only: 9-3/4 in, 65 in; marked with ~ as String is.
func (l Length) Inches() string {
	var buf [48]byte
	n, exact := l.sixtyfourths()
	return string(append(appendFraction(begin(buf[:0], exact, l < 0 && n > 0), n), " in"...))
}

// In is the length as the system writes it. Metric is millimetres to a tenth (1270 mm,
// 88.9 mm) and, from 10 m up, metres to a millimetre (15.24 m); a value that this rounds
// has ~ in front.
func (l Length) In(sys System) string {
	if sys != Metric {
		return l.String()
	}
	var buf [48]byte
	step, places, name := uint64(Millimetre/10), 1, " mm"
	a := abs(int64(l))
	if a >= uint64(10*Metre) {
		step, places, name = uint64(Millimetre), 3, " m"
	}
	n, r := a/step, a%step
	if 2*r >= step {
		n++
	}
	b := begin(buf[:0], r == 0, l < 0 && n > 0)
	return string(append(appendDecimal(b, n, places), name...))
}

// Small is a length that is told in inches however long it is (a rise, a clearance, what is
// missing): Inches, or as a metric job writes it.
func (l Length) Small(sys System) string {
	if sys == Metric {
		return l.In(sys)
	}
	return l.Inches()
}

// AtMost is the length as the most that may be: In, but what the system has no short words
// for is cut down to a sixteenth of an inch or a whole millimetre, so that what is built by
// it keeps within it. 2.4 m is ~7 ft 10-7/16 in, 152.4 mm is ~152 mm.
func (l Length) AtMost(sys System) string { return l.short(sys, l.floor) }

// AtLeast is the length as the least that must be, cut up in the same way: 2.4 m is
// ~7 ft 10-1/2 in, 152.4 mm is ~153 mm.
func (l Length) AtLeast(sys System) string {
	return l.short(sys, func(step Length) Length { return -(-l).floor(step) })
}

func (l Length) short(sys System, cut func(Length) Length) string {
	step := Inch / 16
	if sys == Metric {
		step = Millimetre
	} else if _, exact := l.sixtyfourths(); exact {
		return l.In(sys)
	}
	if v := cut(step); v != l {
		return "~" + v.In(sys)
	}
	return l.In(sys)
}

// floor is the multiple of step at l or under it.
func (l Length) floor(step Length) Length {
	r := l % step
	if r < 0 {
		r += step
	}
	return l - r
}

// Round is the multiple of step nearest to l, half away from zero. A step of 0 or less
// leaves l as it is.
func (l Length) Round(step Length) Length {
	if step <= 0 {
		return l
	}
	a, s := abs(int64(l)), uint64(step)
	n := a / s
	if r := a % s; r >= s-r {
		n++
	}
	most := uint64(math.MaxInt64)
	if l < 0 {
		most++
	}
	hi, v := bits.Mul64(n, s)
	if hi != 0 || v > most {
		v = n*s - s // past the end of int64: the multiple below
	}
	return Length(signed(l < 0, v))
}

// MarshalText is String where that is exact, else decimal millimetres (3.937 in is
// 99.9998 mm), so that reading it gives the same length. Beyond MaxLength it fails.
func (l Length) MarshalText() ([]byte, error) {
	if l > MaxLength || l < -MaxLength {
		return nil, &Error{What: "length", Text: strconv.FormatInt(int64(l), 10) + " nm", Says: "is longer than 9007 km"}
	}
	return l.appendExact(make([]byte, 0, 24)), nil
}

// UnmarshalText reads what ParseLength reads.
func (l *Length) UnmarshalText(b []byte) error {
	v, err := ParseLength(string(b))
	if err == nil {
		*l = v
	}
	return err
}

// String is the word a job file uses: ft-in or metric.
func (s System) String() string {
	if s == Metric {
		return "metric"
	}
	return "ft-in"
}

// MarshalText is String.
func (s System) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads ft-in or metric.
func (s *System) UnmarshalText(b []byte) error {
	switch t := string(b); t {
	case "ft-in":
		*s = FeetInches
	case "metric":
		*s = Metric
	default:
		return &Error{What: "units", Text: t, Says: "are not known", Write: "ft-in or metric"}
	}
	return nil
}
