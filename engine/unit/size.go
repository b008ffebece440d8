package unit

import (
	"slices"
	"strconv"
	"strings"
)

// in4 is a size in quarters of an inch.
const in4 = Size(Inch / 4)

// smallSizes are read as sizes but are no drain sizes: openings of pumps, primer lines.
var smallSizes = [...]Size{3 * in4, 4 * in4}

// inchSizes are the nominal drain and vent sizes of the United States and Canada in
// inches. Source: the row heads of the drain tables of IPC 710.1 and IRC P3005.4
// (1-1/4 to 15 in).
var inchSizes = [...]Size{5 * in4, 6 * in4, 8 * in4, 10 * in4, 12 * in4, 16 * in4, 20 * in4, 24 * in4, 32 * in4, 40 * in4, 48 * in4, 60 * in4}

// dnSizes are the nominal sizes DN, in millimetres. Source: EN 12056-2, table 1 and the
// capacity tables (30 to 300, from memory); 32, 65, 350 and 400 are in the series of ISO
// 6708 (from memory), 75 is common practice.
var dnSizes = [...]Size{30, 32, 40, 50, 56, 60, 65, 70, 75, 80, 90, 100, 125, 150, 200, 225, 250, 300, 350, 400}

const (
	mmSize    = Size(Millimetre)
	writeSize = "1-1/2 in, 3 in or DN 100"
)

// ParseSize reads a nominal pipe size: 1-1/2, 1-1/2", 1 1/2 in, 1.5", 1½, 3in, inch and a
// half, DN 50, DN50. A bare number is inches. Only sizes that exist are read: 3/4, 1,
// 1-1/4, 1-1/2, 2, 2-1/2, 3, 4, 5, 6, 8, 10, 12 and 15 in, and DN 30 to DN 400; an
// outside diameter such as 1.9 in is an error that names the nearest sizes. A material
// after the size is an error: it has a place of its own in a job.
func ParseSize(s string) (Size, error) {
	p := scan{what: "size", s: s}
	if err := p.tooLong(writeSize); err != nil {
		return 0, err
	}
	p.spaces()
	if p.done() {
		return 0, p.fail(p.i, "", "a size", "is empty", writeSize)
	}
	start := p.i
	if w := p.word(); w != "" {
		if strings.EqualFold(w, "dn") {
			p.i += len(w)
			return p.dn(start)
		}
		if v, ok := p.inchAndAHalf(); ok {
			return v, p.sizeTail(v)
		}
		p.i = start
		return 0, p.fail(start, p.rest(), "a size", "is not a size", writeSize)
	}
	if !p.atNumber() {
		return 0, p.fail(start, p.rest(), "a size", "is not a size", writeSize)
	}
	a, err := p.number()
	if err != nil {
		return 0, err
	}
	end := p.i
	p.spaces()
	size, kind, _ := p.lengthUnit()
	switch kind {
	case noUnit:
		size = Inch
		p.i = end
	case inchUnit:
	default:
		hint := writeSize
		if v, exact, fits := a.times(uint64(size)); exact && fits && kind == metricUnit && isDN(Size(v)) {
			hint = Size(v).String() + ", or the size in inches"
		}
		return 0, p.fail(end, p.s[end:p.i], "inches", "is not in inches", hint)
	}
	v, exact, fits := a.times(uint64(size))
	if n := Size(v); exact && fits && (slices.Contains(smallSizes[:], n) || slices.Contains(inchSizes[:], n)) {
		return n, p.sizeTail(n)
	}
	if err := p.sizeTail(0); err != nil {
		return 0, err
	}
	if !fits {
		v = int64(MaxLength)
	}
	hint := nearestSizes(inchSizes[:], Size(v), 1)
	if Size(v) < inchSizes[0] {
		hint = nearestSizes(append(smallSizes[:len(smallSizes):len(smallSizes)], inchSizes[0]), Size(v), 1)
	}
	if kind == noUnit && a.whole && a.n <= 400 && isDN(Size(a.n)*mmSize) {
		hint = "DN " + strconv.FormatUint(a.n, 10) + " for the metric size, else " + hint
	}
	return 0, p.fail(start, p.s[start:p.i], "a nominal size", "is not a nominal pipe size", hint)
}

// plug is the size of a cleanout that is no drain size. Source: UPC Table 707.1, on 4 in pipe
// and larger (from memory).
const plug = 14 * in4

// ParsePlug reads the size of a cleanout: what ParseSize reads, and 3-1/2 in.
func ParsePlug(s string) (Size, error) {
	v, err := ParseSize(s)
	if err == nil {
		return v, nil
	}
	t := strings.TrimSpace(s)
	for _, in := range []string{`"`, "inches", "inch", "in"} {
		t = strings.TrimSuffix(t, in)
	}
	switch strings.TrimSpace(t) {
	case "3-1/2", "3 1/2", "3.5", "3½":
		return plug, nil
	}
	return 0, err
}

// inchOfDN pairs the metric names with the inch sizes that they are another name of. Source:
// the pairs NPS and DN of ASME B36.10M (from memory); 75 beside 80 for 3 in is common
// practice. A DN that is no other name of an inch size is not in it.
var inchOfDN = [...][2]Size{
	{32, 5 * in4},
	{40, 6 * in4},
	{50, 8 * in4},
	{65, 10 * in4},
	{75, 12 * in4},
	{80, 12 * in4},
	{100, 16 * in4},
	{125, 20 * in4},
	{150, 24 * in4},
	{200, 32 * in4},
	{250, 40 * in4},
	{300, 48 * in4},
}

// Inches is the inch size that a DN is another name of: 4 in for DN 100. A size in inches,
// and a DN without an inch size, stay as they are.
func (s Size) Inches() Size {
	for _, p := range inchOfDN {
		if s == p[0]*mmSize {
			return p[1]
		}
	}
	return s
}

func isDN(v Size) bool { return v%mmSize == 0 && slices.Contains(dnSizes[:], v/mmSize) }

// dn reads the number after DN.
func (p *scan) dn(start int) (Size, error) {
	p.spaces()
	at := p.i
	n, ok := p.digits()
	if !ok {
		return 0, p.fail(at, p.rest(), "a number", "has no number after DN", "DN 50 or DN 100")
	}
	v := Size(min(n, 1e6))
	if slices.Contains(dnSizes[:], v) {
		return v * mmSize, p.sizeTail(v * mmSize)
	}
	if err := p.sizeTail(0); err != nil {
		return 0, err
	}
	return 0, p.fail(start, p.s[start:p.i], "a nominal size", "is not a nominal pipe size", nearestSizes(dnSizes[:], v, mmSize))
}

// inchAndAHalf reads the spoken sizes: inch and a half, an inch and a quarter.
func (p *scan) inchAndAHalf() (Size, bool) {
	next := func(words ...string) bool {
		p.spaces()
		if p.hyphen() {
			p.spaces()
		}
		return slices.ContainsFunc(words, p.takeWord)
	}
	if next("an", "one"); !next("inch") || !next("and") || !next("a") {
		return 0, false
	}
	switch {
	case next("half"):
		return 6 * in4, true
	case next("quarter"):
		return 5 * in4, true
	}
	return 0, false
}

// sizeTail refuses what stands after the size v; v is 0 when the size itself is in doubt.
func (p *scan) sizeTail(v Size) error {
	p.spaces()
	if p.done() {
		return nil
	}
	write := writeSize
	if v != 0 {
		write = v.String()
	}
	rest := p.rest()
	switch w := strings.ToLower(p.word()); w {
	case "x":
		return p.fail(p.i, rest, "the end", "has "+quote(rest)+" after the size: one size is asked for", write)
	case "pvc", "abs", "cast", "iron", "ci", "copper", "cu", "dwv", "pp", "pe", "hdpe", "galv", "galvanized", "galvanised", "steel", "lead", "clay", "brass", "stainless", "plastic", "sch", "schedule":
		return p.fail(p.i, rest, "the end", "has "+quote(rest)+" after the size", write+", and put the rest under `material`")
	}
	return p.tail(write)
}

// nearestSizes names the sizes next to v, below and above.
func nearestSizes(list []Size, v, unit Size) string {
	i, _ := slices.BinarySearch(list, v)
	switch {
	case i == 0:
		return (list[0] * unit).String()
	case i == len(list):
		return (list[i-1] * unit).String()
	}
	return (list[i-1] * unit).String() + " or " + (list[i] * unit).String()
}

func (s Size) append(b []byte, in string) []byte {
	switch l := Length(s); {
	case s == 0:
		return append(b, "not given"...)
	case l%Sixtyfourth == 0:
		b = begin(b, true, s < 0)
		return append(appendFraction(b, abs(int64(s))/uint64(Sixtyfourth)), in...)
	case l%Millimetre == 0:
		return strconv.AppendInt(append(b, "DN "...), int64(l/Millimetre), 10)
	default: // no nominal size; said as it is
		return l.appendExact(b)
	}
}

// String is the name of the size: 1-1/2 in, DN 100; "not given" for 0.
func (s Size) String() string {
	var buf [32]byte
	return string(s.append(buf[:0], " in"))
}

// Short is String without the inches, for table heads and labels: 1-1/2, DN 100.
func (s Size) Short() string {
	var buf [32]byte
	return string(s.append(buf[:0], ""))
}

// Length is the nominal size as a length: 1-1/2 in, 100 mm. It is no pipe's bore.
func (s Size) Length() Length { return Length(s) }

// Given reports whether a size was given.
func (s Size) Given() bool { return s != 0 }

// InchSizes is the list of drain and vent sizes in inches, from 1-1/4 in up to 15 in. The
// caller may change it.
func InchSizes() []Size { return slices.Clone(inchSizes[:]) }

// NextSize is the next larger drain size: of InchSizes for a size in inches (and for 0),
// of the DN sizes for a DN. It reports false when there is none.
func NextSize(s Size) (Size, bool) {
	if isDN(s) {
		if i := slices.Index(dnSizes[:], s/mmSize); i+1 < len(dnSizes) {
			return dnSizes[i+1] * mmSize, true
		}
		return 0, false
	}
	for _, v := range inchSizes {
		if v > s {
			return v, true
		}
	}
	return 0, false
}

// MarshalText is String, and empty for a size that is not given.
func (s Size) MarshalText() ([]byte, error) {
	if s == 0 {
		return []byte{}, nil
	}
	return s.append(make([]byte, 0, 16), " in"), nil
}

// UnmarshalText reads what ParseSize reads; an empty text is "not given".
func (s *Size) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*s = 0
		return nil
	}
	v, err := ParseSize(string(b))
	if err == nil {
		*s = v
	}
	return err
}
