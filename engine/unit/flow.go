package unit

import (
	"math"
	"math/bits"
	"strconv"
	"strings"
)

// A US gallon is 231 cubic inches, which is 3.785 411 784 L exactly (NIST SP 811,
// appendix B: 1 in = 25.4 mm, gallon = 231 in3).
const (
	litreNum = 1_000_000_000 // a litre is litreNum/litreDen US gallons
	litreDen = 3_785_411_784
)

const (
	writeFlow   = "5.7 gpm, 0.36 L/s or 9 L/min"
	writeVolume = "1.28 gal or 6 L"
)

// ParseFlow reads a rate of flow: 5.7 gpm, 5.7 gal/min, 0.36 L/s, 9 L/min, 9 lpm. Litres
// are converted by the exact gallon and rounded to a thousandth of a gallon a minute,
// half up: 0.36 L/s is 5.706 gpm, a little more than the 5.7 gpm it is printed beside; see
// ParseFlowLeast.
func ParseFlow(s string) (Flow, error) {
	p := scan{what: "flow", s: s}
	v, _, err := p.flow(false)
	return Flow(v), err
}

// ParseFlowLeast is ParseFlow, and gives beside the flow the least one that is printed as
// that figure. Books print litres to a hundredth of a litre a second beside gallons
// (5.7 gpm is 0.36 L/s, 12.3 gpm 0.78 L/s), so a flow written no finer than that, or than a
// tenth of a litre a minute, stands for all that round to it: 0.36 L/s for 0.355 L/s and
// more. What is written finer, or in gallons, is meant as it stands. A limit is passed only
// by the least flow.
func ParseFlowLeast(s string) (v, least Flow, err error) {
	p := scan{what: "flow", s: s}
	a, b, err := p.flow(false)
	return Flow(a), Flow(b), err
}

func (p *scan) flow(neg bool) (v, least int64, err error) {
	a, sign, err := p.amount(neg, writeFlow)
	if err != nil {
		return 0, 0, err
	}
	at := p.i
	num, den := uint64(0), uint64(1)
	step := uint64(10) // steps of a litre in which books print
	switch {
	case p.takeWord("gpm"):
		num = 1
	case p.takeWord("lpm"):
		num, den = litreNum, litreDen
	case p.takeWord("lps"):
		num, den, step = 60*litreNum, litreDen, 100
	case p.gallon():
		if p.over() && p.minute() {
			num = 1
		}
	case p.litre():
		if !p.over() {
			break
		}
		if p.minute() {
			num, den = litreNum, litreDen
		} else if p.takeWord("s") || p.takeWord("sec") || p.takeWord("second") {
			num, den, step = 60*litreNum, litreDen, 100
		}
	}
	if num == 0 {
		return 0, 0, p.noRate(at, "gpm", "L/s", writeFlow)
	}
	if err := p.tail(writeFlow); err != nil {
		return 0, 0, err
	}
	v, err = p.thousandths(a, sign, num, den, writeFlow)
	return v, leastOf(a, v, num, den, step), err
}

// leastOf is the least amount, in thousandths of a gallon, that rounds to a in whole steps
// of a litre; v, the amount itself, where a is finer than that or in gallons.
func leastOf(a number, v int64, num, den, step uint64) int64 {
	if den == 1 || v <= 0 || a.d == 0 || step%a.d != 0 || a.n > 1e6 {
		return v
	}
	steps := a.n * (step / a.d)
	if steps == 0 {
		return v
	}
	// Half a step less, in half steps; a part of a thousandth counts as a whole one.
	half := number{n: 2*steps - 1, d: 2 * step}
	g := gcd(1000*num, den)
	hi, lo := bits.Mul64(half.n, 1000*num/g)
	over, d := bits.Mul64(half.d, den/g)
	if over != 0 || hi >= d {
		return v
	}
	q, rem := bits.Div64(hi, lo, d)
	if rem > 0 {
		q++
	}
	return min(int64(q&math.MaxInt64), v)
}

// noRate is the error of a number whose unit, at offset at, is missing or unknown.
func (p *scan) noRate(at int, one, two, write string) error {
	p.i = at
	if p.done() {
		n := strings.TrimSpace(p.s[:at])
		return p.fail(at, "", "a unit", "has no unit", n+" "+one+" or "+n+" "+two)
	}
	return p.fail(at, p.rest(), "a unit", "has "+quote(p.rest())+" where a unit was expected", write)
}

// thousandths is a times num/den in thousandths of a gallon. Gallons are exact or
// refused; litres, which never come out even, are rounded half up.
func (p *scan) thousandths(a number, sign int64, num, den uint64, write string) (int64, error) {
	if den == 1 {
		v, exact, fits := a.times(1000 * num)
		switch {
		case !fits:
			return 0, p.fail(0, "", "", "is too large", write)
		case !exact:
			return 0, p.fail(0, "", "", "is finer than a thousandth of a gallon", "three decimals at most")
		}
		return sign * v, nil
	}
	g := gcd(1000*num, den)
	v, fits := a.nearest(1000*num/g, den/g)
	if !fits {
		return 0, p.fail(0, "", "", "has too many digits", write)
	}
	return sign * v, nil
}

func (p *scan) gallon() bool {
	return p.takeWord("gal") || p.takeWord("gals") || p.takeWord("gallon") || p.takeWord("gallons")
}

func (p *scan) litre() bool {
	return p.takeWord("l") || p.takeWord("litre") || p.takeWord("litres") || p.takeWord("liter") || p.takeWord("liters")
}

func (p *scan) minute() bool {
	return p.takeWord("min") || p.takeWord("minute")
}

// over skips a stroke, "per" or "a".
func (p *scan) over() bool {
	p.take('.')
	p.spaces()
	ok := p.take('/') || p.takeWord("per") || p.takeWord("a")
	p.spaces()
	return ok
}

func (f Flow) append(b []byte) []byte {
	return append(appendDecimal(begin(b, true, f < 0), abs(int64(f)), 3), " gpm"...)
}

// String is the flow in US gallons a minute: 5.7 gpm.
func (f Flow) String() string {
	var buf [32]byte
	return string(f.append(buf[:0]))
}

// MarshalText is String.
func (f Flow) MarshalText() ([]byte, error) { return f.append(make([]byte, 0, 24)), nil }

// UnmarshalText reads what ParseFlow reads, and a negative flow.
func (f *Flow) UnmarshalText(b []byte) error {
	p := scan{what: "flow", s: string(b)}
	v, _, err := p.flow(true)
	if err == nil {
		*f = Flow(v)
	}
	return err
}

// ParseVolume reads a volume, of a flush for one: 1.28 gal, 1.6 gpf, 6 L, 6 L per flush,
// 6 lpf. Litres are converted by the exact gallon and rounded to a thousandth of a gallon,
// half up: 6 L is 1.585 gal.
func ParseVolume(s string) (Volume, error) {
	p := scan{what: "volume", s: s}
	v, _, err := p.volume(false)
	return Volume(v), err
}

// ParseVolumeLeast is ParseVolume, and gives beside the volume the least one that is printed
// as that figure: books print litres to a tenth beside gallons (1 gal is 3.8 L, 1.6 gal
// 6.1 L). It is to ParseVolume what ParseFlowLeast is to ParseFlow.
func ParseVolumeLeast(s string) (v, least Volume, err error) {
	p := scan{what: "volume", s: s}
	a, b, err := p.volume(false)
	return Volume(a), Volume(b), err
}

func (p *scan) volume(neg bool) (v, least int64, err error) {
	if more, rest := twoFlushes(p.s); more != "" {
		return 0, 0, p.fail(0, p.s, "one volume", "tells two flushes", "the larger, "+strings.TrimSpace(more+" "+rest))
	}
	a, sign, err := p.amount(neg, writeVolume)
	if err != nil {
		return 0, 0, err
	}
	at := p.i
	num, den := uint64(0), uint64(1)
	switch {
	case p.takeWord("gpf"):
		num = 1
	case p.takeWord("lpf"):
		num, den = litreNum, litreDen
	case p.gallon():
		num = 1
		p.perFlush()
	case p.litre():
		num, den = litreNum, litreDen
		p.perFlush()
	}
	if num == 0 {
		return 0, 0, p.noRate(at, "gal", "L", writeVolume)
	}
	if err := p.tail(writeVolume); err != nil {
		return 0, 0, err
	}
	v, err = p.thousandths(a, sign, num, den, writeVolume)
	return v, leastOf(a, v, num, den, 10), err
}

// twoFlushes finds 1.1/1.6 or 3/6, as a closet with two buttons is sold, and gives the larger
// and what stands behind. A fraction of a gallon is halves, quarters and so on, in lowest
// terms, and below one.
func twoFlushes(s string) (more, rest string) {
	one, s, ok := strings.Cut(s, "/")
	one, s = strings.TrimSpace(one), strings.TrimSpace(s)
	end := strings.IndexFunc(s, func(r rune) bool { return r != '.' && (r < '0' || r > '9') })
	if end < 0 {
		end = len(s)
	}
	two, rest := s[:end], strings.TrimSpace(s[end:])
	a, errA := strconv.ParseFloat(one, 64)
	b, errB := strconv.ParseFloat(two, 64)
	if !ok || errA != nil || errB != nil || a <= 0 || b <= 0 || strings.ContainsAny(one, "eExXpP_+-") {
		return "", ""
	}
	if n, d := int64(a), int64(b); float64(n) == a && float64(d) == b && n < d && n%2 == 1 && d&(d-1) == 0 {
		return "", ""
	}
	if a > b {
		return one, rest
	}
	return two, rest
}

func (p *scan) perFlush() {
	p.take('.')
	if mark := p.i; !p.over() || !p.takeWord("flush") {
		p.i = mark
	}
}

func (v Volume) append(b []byte) []byte {
	return append(appendDecimal(begin(b, true, v < 0), abs(int64(v)), 3), " gal"...)
}

// String is the volume in US gallons: 1.28 gal.
func (v Volume) String() string {
	var buf [32]byte
	return string(v.append(buf[:0]))
}

// MarshalText is String.
func (v Volume) MarshalText() ([]byte, error) { return v.append(make([]byte, 0, 24)), nil }

// UnmarshalText reads what ParseVolume reads, and a negative volume.
func (v *Volume) UnmarshalText(b []byte) error {
	p := scan{what: "volume", s: string(b)}
	n, _, err := p.volume(true)
	if err == nil {
		*v = Volume(n)
	}
	return err
}
