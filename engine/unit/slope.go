package unit

import (
	"cmp"
	"math"
	"math/bits"
	"strconv"
	"strings"
)

const writeSlope = `1/4 in per ft, 2 % or 1:50`

// ParseSlope reads the slope of a pipe, a fall told along the run: 1/4" per ft, 1/4"/ft,
// 1/4 per foot, quarter inch, 2%, 1:50, 1 in 50, 1" per 8', 18" in 50', 2" every 4 ft,
// 1/4 in 12 (a quarter in twelve, the same as 1:48), 20 mm per m, level.
//
// A fall in inches without a run is per foot. "1 in 50" is 1:50; "1 in 50 ft" could be
// that or an inch, and is an error. A bare number, a fall against the flow and a bubble of
// the level are errors.
func ParseSlope(s string) (Slope, error) {
	p := scan{what: "slope", s: s}
	return p.slope(false)
}

// slope reads a slope; back allows a fall against the flow.
func (p *scan) slope(back bool) (Slope, error) {
	if err := p.tooLong(writeSlope); err != nil {
		return Slope{}, err
	}
	p.spaces()
	begin := p.i
	neg := p.minus()
	if neg && !back {
		return Slope{}, p.fail(begin, "-", "a fall", "is below zero, and a fall counts along the flow", writeSlope)
	}
	v, err := p.ratio()
	if err == nil && neg {
		v.Fall = -v.Fall
	}
	return v, err
}

// ratio reads a slope without a sign.
func (p *scan) ratio() (Slope, error) {
	start := p.i
	var a number
	switch {
	case p.done():
		return Slope{}, p.fail(start, "", "a slope", "is empty", writeSlope)
	case p.atNumber():
		var err error
		if a, err = p.number(); err != nil {
			return Slope{}, err
		}
	case p.takeWord("level"):
		return Slope{0, 1}, p.tail("level")
	default:
		var ok bool
		if a, ok = p.spokenFraction(); !ok {
			return Slope{}, p.fail(start, p.rest(), "a slope", "is not a slope", writeSlope)
		}
	}
	written := p.s[start:p.i]
	fall, form, err := p.lengthAfter(a, start)
	if err != nil {
		return Slope{}, err
	}
	if form.kind != noUnit {
		return p.overRun(fall, form, a, start)
	}
	p.spaces()
	at := p.i
	switch {
	case p.take('%'), p.takeWord("percent"), p.takeWord("pct"):
		return p.quotient(a, number{n: 100, d: 1}, start)
	case p.take(':'), p.takeWord("to") && p.toNumber():
		p.spaces()
		if !p.atNumber() {
			return Slope{}, p.fail(p.i, p.rest(), "a number", "has no run after "+quote(p.s[start:p.i]), "1:50")
		}
		b, err := p.number()
		if err != nil {
			return Slope{}, err
		}
		return p.quotient(a, b, start)
	}
	p.i = at
	if w := p.word(); strings.EqualFold(w, "bubble") || strings.EqualFold(w, "bubbles") {
		return Slope{}, p.fail(at, w, "a unit", "is told by the bubble, which differs from level to level", writeSlope)
	}
	if p.per() {
		if p.takeWord("cent") { // "per cent"
			return p.quotient(a, number{n: 100, d: 1}, start)
		}
		// Inches go without saying per foot: "quarter per foot".
		at := p.i
		if size, kind, _ := p.lengthUnit(); kind == footUnit {
			fall, err := p.exact(a, Inch, start)
			if err != nil {
				return Slope{}, err
			}
			return MakeSlope(fall, size), p.tail(writeSlope)
		}
		p.i = at
	}
	p.i = at
	hint := written + " in per ft"
	if a.whole {
		hint += ", " + written + " % or 1:" + written
	} else {
		hint += " or " + written + " %"
	}
	if p.done() {
		return Slope{}, p.fail(at, "", "a unit", "has no unit", hint)
	}
	return Slope{}, p.fail(at, p.rest(), "a unit", "has "+quote(p.rest())+" where a unit was expected", hint)
}

// spokenFraction reads quarter, half, eighth, sixteenth, with "a", "an" or "one" before
// and "of an" after.
func (p *scan) spokenFraction() (number, bool) {
	if p.takeWord("a") || p.takeWord("an") || p.takeWord("one") {
		p.spaces()
		p.hyphen()
	}
	var d uint64
	switch {
	case p.takeWord("quarter"):
		d = 4
	case p.takeWord("half"):
		d = 2
	case p.takeWord("eighth"):
		d = 8
	case p.takeWord("sixteenth"):
		d = 16
	default:
		return number{}, false
	}
	mark := p.i
	p.spaces()
	p.hyphen()
	if p.takeWord("of") {
		p.spaces()
	}
	if p.takeWord("an") {
		p.spaces()
	}
	if w := p.word(); !strings.EqualFold(w, "inch") && !strings.EqualFold(w, "in") {
		p.i = mark
	}
	return number{n: 1, d: d}, true
}

// toNumber looks past spaces for a number.
func (p *scan) toNumber() bool {
	p.spaces()
	return p.atNumber()
}

// per skips the words between a fall and its run: per, /, in, every, for each, to the ...
func (p *scan) per() bool {
	p.spaces()
	if p.take('/') {
		p.spaces()
		return true
	}
	got := false
	for {
		switch w := p.word(); len(w) {
		case 1:
			if w != "a" {
				return got
			}
		case 2:
			if !strings.EqualFold(w, "in") && w != "to" && w != "an" && w != "of" {
				return got
			}
		case 3:
			if !strings.EqualFold(w, "per") && w != "for" && w != "the" {
				return got
			}
		case 4:
			if w != "over" && w != "each" && w != "fall" && w != "drop" {
				return got
			}
		case 5:
			if w != "every" {
				return got
			}
		default:
			return got
		}
		p.i += len(p.word())
		p.spaces()
		got = true
	}
}

// overRun reads the run that a fall with a unit is told over.
func (p *scan) overRun(fall Length, form lengthForm, a number, start int) (Slope, error) {
	p.spaces()
	if p.done() {
		if form.kind == inchUnit && fall < Foot {
			return MakeSlope(fall, Foot), nil
		}
		return Slope{}, p.fail(p.i, "", "a run", "has no run", `18" in 50', or `+writeSlope)
	}
	if p.atNumber() {
		if form.spelled {
			return p.oneIn(fall, a, start)
		}
		return Slope{}, p.fail(p.i, p.rest(), `"per"`, "has "+quote(p.rest())+" after the fall", writeSlope)
	}
	at := p.i
	if !p.per() {
		return Slope{}, p.fail(at, p.rest(), `"per"`, "has "+quote(p.rest())+" after the fall", writeSlope)
	}
	at = p.i
	b := number{n: 1, d: 1, whole: true}
	told := p.atNumber()
	if told {
		var err error
		if b, err = p.number(); err != nil {
			return Slope{}, err
		}
	}
	run, runForm, err := p.lengthAfter(b, at)
	if err != nil {
		return Slope{}, err
	}
	if runForm.kind == noUnit {
		p.spaces()
		// A quarter in twelve: the only bare run that cannot be meant otherwise.
		if told && p.done() && form.kind == inchUnit && b.d == 1 && b.n == 12 {
			return MakeSlope(fall, Foot), nil
		}
		return Slope{}, p.fail(p.i, p.rest(), "a unit", "has a run without a unit", writeSlope)
	}
	if run == 0 {
		return Slope{}, p.fail(at, p.s[at:p.i], "a run", "has a run of zero", writeSlope)
	}
	return MakeSlope(fall, run), p.tail(writeSlope)
}

// oneIn reads what follows "1 in": a number is the run of a ratio (1 in 50, 1/4 in 12);
// inches give the same either way; feet do not, and are asked about.
func (p *scan) oneIn(fall Length, a number, start int) (Slope, error) {
	at := p.i
	b, err := p.number()
	if err != nil {
		return Slope{}, err
	}
	end := p.i
	run, form, err := p.lengthAfter(b, at)
	if err != nil {
		return Slope{}, err
	}
	switch {
	case form.kind == noUnit:
		return p.quotient(a, b, start)
	case form.kind == inchUnit && run > 0:
		return MakeSlope(fall, run), p.tail(writeSlope)
	case run == 0:
		return Slope{}, p.fail(at, p.s[at:p.i], "a run", "has a run of zero", writeSlope)
	}
	return Slope{}, p.fail(at, p.s[at:p.i], "", "can be read as a ratio or as inches", string(fall.appendExact(nil))+" per "+string(run.appendExact(nil))+", or "+ratioText(a)+":"+p.s[at:end])
}

// ratioText is a number as a hint shows it.
func ratioText(a number) string {
	if a.d == 1 {
		return strconv.FormatUint(a.n, 10)
	}
	return strconv.FormatUint(a.n, 10) + "/" + strconv.FormatUint(a.d, 10)
}

// quotient is a over b at the end of the text.
func (p *scan) quotient(a, b number, start int) (Slope, error) {
	if err := p.tail(writeSlope); err != nil {
		return Slope{}, err
	}
	if b.n == 0 {
		return Slope{}, p.fail(start, p.s[start:], "a run", "has a run of zero", writeSlope)
	}
	if a.n == 0 {
		return Slope{0, 1}, nil
	}
	g := gcd(a.n, a.d)
	a.n, a.d = a.n/g, a.d/g
	g = gcd(b.n, b.d)
	b.n, b.d = b.n/g, b.d/g
	g, h := gcd(a.n, b.n), gcd(a.d, b.d)
	h1, fall := bits.Mul64(a.n/g, b.d/h)
	h2, run := bits.Mul64(b.n/g, a.d/h)
	if h1|h2 != 0 || fall > math.MaxInt64 || run > math.MaxInt64 {
		return Slope{}, p.fail(start, p.s[start:], "a slope", "has numbers with too many digits", "fewer digits")
	}
	return Slope{int64(fall), int64(run)}, nil
}

// MakeSlope is the slope of a pipe that falls so much along so much run, in lowest terms.
// A fall below zero is a fall against the flow. A run of 0 gives the slope that is not
// given; a run below zero turns both signs.
func MakeSlope(fall, run Length) Slope { return reduce(int64(fall), int64(run)) }

func reduce(fall, run int64) Slope {
	neg := (fall < 0) != (run < 0)
	// The smallest int64 has no negative: it is held one short.
	f, r := min(abs(fall), math.MaxInt64), min(abs(run), math.MaxInt64)
	if r == 0 {
		return Slope{}
	}
	g := gcd(f, r)
	return Slope{signed(neg, f/g), signed(false, r/g)}
}

// PerFoot is a slope of n/d inches per foot: PerFoot(1, 4) is 1/4 in per ft. A d
// of 0 gives the slope that is not given.
func PerFoot(n, d int64) Slope {
	s := reduce(n, d)
	if s.Run == 0 || s.Fall == 0 {
		return s
	}
	g := gcd(abs(s.Fall), 12)
	hi, run := bits.Mul64(uint64(s.Run), 12/g)
	if hi != 0 {
		run = math.MaxUint64
	}
	return Slope{s.Fall / int64(g), signed(false, run)}
}

// Given reports whether a slope was given. Level is given.
func (s Slope) Given() bool { return s.Run > 0 }

// Cmp is -1, 0 or +1 as s is flatter than t, equal or steeper, exactly. A slope against
// the flow is flatter than level; one that is not given comes before all others.
func (s Slope) Cmp(t Slope) int {
	if !s.Given() || !t.Given() {
		switch {
		case s.Given():
			return 1
		case t.Given():
			return -1
		}
		return 0
	}
	if (s.Fall < 0) != (t.Fall < 0) {
		return cmp.Compare(s.Fall, t.Fall)
	}
	h1, l1 := bits.Mul64(abs(s.Fall), uint64(t.Run))
	h2, l2 := bits.Mul64(abs(t.Fall), uint64(s.Run))
	c := cmp.Compare(h1, h2)
	if c == 0 {
		c = cmp.Compare(l1, l2)
	}
	if s.Fall < 0 {
		return -c
	}
	return c
}

// Reaches reports whether s is as steep as a printed least: exactly, or in percent, as the
// trade writes it. 1/4 in per ft is 2 % and 1/8 in per ft 1 % wherever both are printed
// (2.08 and 1.04 to the hundredth, as Percent writes them), so a slope of whole or half
// percents, of hundredths of one, or the same ratio, reaches what rounds to it. 2 %, 1:50 and
// 2.08 % reach 1/4 in per ft; 1.9 % and 2.07 % do not.
func (s Slope) Reaches(least Slope) bool {
	if s.Cmp(least) >= 0 {
		return true
	}
	if !s.Given() || !least.Given() || s.Fall <= 0 {
		return false
	}
	for _, parts := range []int64{200, 10000} {
		n := mulDiv(s.Fall, parts, uint64(s.Run), down)
		if n > 0 && MakeSlope(Length(n), Length(parts)).Cmp(s) == 0 && mulDiv(least.Fall, parts, uint64(least.Run), nearest) == n {
			return true
		}
	}
	return false
}

// Drop is the fall along run, to the nearest nanometre, half away from zero. It is held at
// the ends of Length, and 0 for a slope that is not given: ask Given first.
func (s Slope) Drop(run Length) Length {
	if !s.Given() {
		return 0
	}
	return Length(mulDiv(int64(run), s.Fall, uint64(s.Run), nearest))
}

// RunFor is the longest run that falls no more than fall: fall over slope, rounded down.
// It is the largest Length when the pipe never falls so much (a level one, one that is
// not given or runs against the flow), and 0 when fall is below zero.
func (s Slope) RunFor(fall Length) Length {
	switch {
	case fall < 0:
		return 0
	case !s.Given() || s.Fall <= 0:
		return math.MaxInt64
	}
	return Length(mulDiv(int64(fall), s.Run, uint64(s.Fall), down))
}

// rounding is what becomes of a remainder in mulDiv.
type rounding uint8

const (
	nearest rounding = iota // half away from zero
	down                    // towards zero
	up                      // away from zero
)

// mulDiv is a*b/d in 128 bits, held at the ends of int64.
func mulDiv(a, b int64, d uint64, how rounding) int64 {
	neg := (a < 0) != (b < 0)
	hi, lo := bits.Mul64(abs(a), abs(b))
	if hi >= d {
		return signed(neg, math.MaxUint64)
	}
	q, r := bits.Div64(hi, lo, d)
	if (how == nearest && r >= d-r || how == up && r > 0) && q < math.MaxUint64 {
		q++
	}
	return signed(neg, q)
}

// perFoot is the fall in 64ths of an inch per foot, to the nearest.
func (s Slope) perFoot() (n uint64, exact bool) {
	hi, lo := bits.Mul64(abs(s.Fall), 12*64)
	r := uint64(s.Run)
	if hi >= r {
		return math.MaxUint64, false
	}
	n, rem := bits.Div64(hi, lo, r)
	if rem >= r-rem && n < math.MaxUint64 {
		n++
	}
	return n, rem == 0
}

func (s Slope) append(b []byte) []byte {
	switch {
	case !s.Given():
		return append(b, "not given"...)
	case s.Fall == 0:
		return append(b, "level"...)
	}
	n, exact := s.perFoot()
	if n == 0 {
		b = begin(b, true, s.Fall < 0)
		return append(b, "under 1/64 in per ft"...)
	}
	b = begin(b, exact, s.Fall < 0)
	return append(appendFraction(b, n), " in per ft"...)
}

// String is the fall in inches per foot: 1/4 in per ft. One that is not a multiple of
// 1/64 in is written as the nearest with ~ in front (2 % is ~15/64 in per ft), or as
// "under 1/64 in per ft". Level is "level", the zero Slope "not given".
func (s Slope) String() string {
	var buf [48]byte
	return string(s.append(buf[:0]))
}

// In is the slope as a job of that system has its answers: inches per foot, or percent. What
// is no even part of an inch but an even percent was written so, and is written so again.
func (s Slope) In(sys System) string {
	even := s.Given() && s.Fall*10000%s.Run == 0
	if sys == Metric && s.Given() || even && strings.HasPrefix(s.String(), "~") {
		return s.Percent()
	}
	return s.String()
}

func (s Slope) appendPercent(b []byte) []byte {
	v := mulDiv(s.Fall, 100*100, uint64(s.Run), nearest)
	return append(appendDecimal(begin(b, true, v < 0), abs(v), 2), " %"...)
}

// Percent is the fall in hundredths of the run, to two places: 2.08 %, 2 %.
func (s Slope) Percent() string {
	if !s.Given() {
		return "not given"
	}
	var buf [48]byte
	return string(s.appendPercent(buf[:0]))
}

func (s Slope) appendRatio(b []byte) []byte {
	switch {
	case !s.Given():
		return append(b, "not given"...)
	case s.Fall == 0:
		return append(b, "level"...)
	}
	b = append(begin(b, true, s.Fall < 0), "1:"...)
	return appendDecimal(b, abs(mulDiv(s.Run, 10, abs(s.Fall), nearest)), 1)
}

// Ratio is the run for a fall of one, to one place: 1:48, 1:66.7; "level" for level.
func (s Slope) Ratio() string {
	var buf [48]byte
	return string(s.appendRatio(buf[:0]))
}

// All is the slope in its three notations: 1/4 in per ft (2.08 %, 1:48).
func (s Slope) All() string {
	var buf [96]byte
	b := s.append(buf[:0])
	if !s.Given() || s.Fall == 0 {
		return string(b)
	}
	b = s.appendPercent(append(b, " ("...))
	b = s.appendRatio(append(b, ", "...))
	return string(append(b, ')'))
}

// AllIn is All; in a metric job percent and the ratio only: 2 % (1:50).
func (s Slope) AllIn(sys System) string {
	if sys != Metric || !s.Given() {
		return s.All()
	}
	return s.Percent() + " (" + s.Ratio() + ")"
}

// MarshalText is String where that is exact, else the ratio fall:run in lowest terms
// (1:50, 3:125), so that reading it gives the same slope; empty when not given.
func (s Slope) MarshalText() ([]byte, error) {
	b := make([]byte, 0, 24)
	if !s.Given() {
		return b, nil
	}
	if n, exact := s.perFoot(); exact && n <= 1<<34 {
		return s.append(b), nil
	}
	b = strconv.AppendInt(b, s.Fall, 10)
	b = append(b, ':')
	return strconv.AppendInt(b, s.Run, 10), nil
}

// UnmarshalText reads what ParseSlope reads, and a fall against the flow (-1:50); an empty
// text is "not given".
func (s *Slope) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*s = Slope{}
		return nil
	}
	p := scan{what: "slope", s: string(b)}
	v, err := p.slope(true)
	if err == nil {
		*s = v
	}
	return err
}
