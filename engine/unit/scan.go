package unit

import (
	"math"
	"math/bits"
	"strings"
	"unicode/utf8"
)

// A text of a quantity is short; what is longer than this is not one.
const maxText = 120

// scan reads one quantity from s, from left to right. It keeps no other state, so a
// reader may step back by setting i.
type scan struct {
	what string // the quantity, for messages
	s    string
	i    int
}

// number is an exact, non-negative number n/d as written.
type number struct {
	n, d  uint64
	whole bool // written without a fraction or a decimal point
}

// fail is the error at offset at: says, and what to write.
func (p *scan) fail(at int, found, expected, says, write string) error {
	return &Error{What: p.what, Text: p.s, Off: utf8.RuneCountInString(p.s[:at]), Found: found, Expected: expected, Says: says, Write: write}
}

// tooLong refuses texts that cannot be a quantity, before anything else looks at them.
func (p *scan) tooLong(write string) error {
	if len(p.s) <= maxText {
		return nil
	}
	return p.fail(0, p.s[:0], "a "+p.what, "is too long a text for a "+p.what, write)
}

func (p *scan) done() bool { return p.i >= len(p.s) }

// rest is what has not been read yet.
func (p *scan) rest() string { return strings.TrimSpace(p.s[p.i:]) }

// spaces skips blanks, with the no-break and thin ones that word processors put before units.
func (p *scan) spaces() {
	for p.i < len(p.s) {
		switch c := p.s[p.i]; {
		case c == ' ' || c == '\t':
			p.i++
		case c < utf8.RuneSelf:
			return
		default:
			r, n := utf8.DecodeRuneInString(p.s[p.i:])
			if r != '\u00a0' && r != '\u202f' && r != '\u2009' {
				return
			}
			p.i += n
		}
	}
}

// take skips r when it stands next.
func (p *scan) take(r rune) bool {
	if p.i < len(p.s) && r < utf8.RuneSelf && p.s[p.i] == byte(r) {
		p.i++
		return true
	}
	if r >= utf8.RuneSelf && p.i < len(p.s) && p.s[p.i] >= utf8.RuneSelf {
		if c, n := utf8.DecodeRuneInString(p.s[p.i:]); c == r {
			p.i += n
			return true
		}
	}
	return false
}

// minus skips a sign and reports whether it is negative.
func (p *scan) minus() bool {
	p.spaces()
	neg := false
	if p.take('-') || p.take('−') {
		neg = true
	} else {
		p.take('+')
	}
	p.spaces()
	return neg
}

// hyphen skips a hyphen or a short dash.
func (p *scan) hyphen() bool {
	if p.i >= len(p.s) || p.s[p.i] != '-' && p.s[p.i] < utf8.RuneSelf {
		return false
	}
	return p.take('-') || p.take('‐') || p.take('‑') || p.take('–')
}

// word is the run of letters that stands next; it is not skipped.
func (p *scan) word() string {
	j := p.i
	for j < len(p.s) && letter(p.s[j]) {
		j++
	}
	return p.s[p.i:j]
}

// takeWord skips the word w (any case) and a full stop after it.
func (p *scan) takeWord(w string) bool {
	if got := p.word(); len(got) == len(w) && strings.EqualFold(got, w) {
		p.i += len(w)
		return true
	}
	return false
}

func letter(c byte) bool { return 'a' <= c|0x20 && c|0x20 <= 'z' }
func digit(c byte) bool  { return '0' <= c && c <= '9' }

// vulgar is the value of a one-character fraction; d is 0 when r is none.
func vulgar(r rune) (n, d uint64) {
	switch r {
	case '½':
		return 1, 2
	case '¼':
		return 1, 4
	case '¾':
		return 3, 4
	case '⅛':
		return 1, 8
	case '⅜':
		return 3, 8
	case '⅝':
		return 5, 8
	case '⅞':
		return 7, 8
	case '⅓':
		return 1, 3
	case '⅔':
		return 2, 3
	}
	return 0, 0
}

// atNumber reports whether a number stands next.
func (p *scan) atNumber() bool {
	if p.done() {
		return false
	}
	c := p.s[p.i]
	if digit(c) || c == '.' && p.i+1 < len(p.s) && digit(p.s[p.i+1]) {
		return true
	}
	if c < utf8.RuneSelf {
		return false
	}
	r, _ := utf8.DecodeRuneInString(p.s[p.i:])
	_, d := vulgar(r)
	return d != 0
}

// mostDigits is the largest number that may still take one more digit.
const mostDigits = (math.MaxUint64 - 9) / 10

// digits reads a run of digits; ok is false when there are none or too many to hold.
func (p *scan) digits() (n uint64, ok bool) {
	j := p.i
	for p.i < len(p.s) && digit(p.s[p.i]) {
		if n > mostDigits {
			return 0, false
		}
		n = n*10 + uint64(p.s[p.i]-'0')
		p.i++
	}
	return n, p.i > j
}

// fraction reads 3/8 or a one-character fraction. got is false, and nothing is skipped,
// when none stands next.
func (p *scan) fraction() (n, d uint64, got bool, err error) {
	start := p.i
	if p.done() {
		return 0, 0, false, nil
	}
	if p.s[p.i] >= utf8.RuneSelf {
		r, w := utf8.DecodeRuneInString(p.s[p.i:])
		if n, d = vulgar(r); d != 0 {
			p.i += w
			return n, d, true, nil
		}
		return 0, 0, false, nil
	}
	n, ok := p.digits()
	if ok {
		d, ok = p.denominator()
	}
	if !ok {
		p.i = start
		return 0, 0, false, nil
	}
	return n, d, true, p.checkFraction(n, d, start)
}

// denominator reads the stroke and the lower number of a fraction; 0 is one that cannot be
// used.
func (p *scan) denominator() (d uint64, got bool) {
	mark := p.i
	if p.done() || p.s[p.i] != '/' && p.s[p.i] < utf8.RuneSelf {
		return 0, false
	}
	if !p.take('/') && !p.take('⁄') && !p.take('∕') || p.done() || !digit(p.s[p.i]) {
		p.i = mark
		return 0, false
	}
	d, ok := p.digits()
	if !ok {
		d = 0
	}
	return d, true
}

// checkFraction refuses the fraction n/d that starts at start when it is none, or finer
// than any rule.
func (p *scan) checkFraction(n, d uint64, start int) error {
	if d == 0 || d > 1e9 || n > 1e9 {
		return p.fail(start, p.s[start:p.i], "a fraction", "has a fraction that cannot be read, "+quote(p.s[start:p.i]), "a fraction such as 3/8")
	}
	return nil
}

// number reads 12, 2.5, .5, 3/8, ½, 1-1/2, 1 1/2 or 1½. The caller has looked at atNumber.
func (p *scan) number() (number, error) {
	start := p.i
	if p.s[p.i] >= utf8.RuneSelf {
		n, d, _, err := p.fraction()
		return number{n: n, d: d}, err
	}
	n, ok := p.digits()
	if d, got := p.denominator(); ok && got {
		return number{n: n, d: d}, p.checkFraction(n, d, start)
	}
	if !ok && p.i > start {
		return number{}, p.fail(start, "", "a number", "has a number with too many digits", "fewer digits")
	}
	if p.i+1 < len(p.s) && p.s[p.i] == '.' && digit(p.s[p.i+1]) {
		p.i++
		d := uint64(1)
		zeros := 0 // trailing noughts change nothing, so they are not carried
		for ; p.i < len(p.s) && digit(p.s[p.i]); p.i++ {
			if p.s[p.i] == '0' {
				zeros++
				continue
			}
			for ; zeros >= 0; zeros-- {
				if n > mostDigits || d > mostDigits {
					return number{}, p.fail(start, "", "a number", "has a number with too many digits", "fewer digits")
				}
				n, d = n*10, d*10
			}
			zeros = 0
			n += uint64(p.s[p.i] - '0')
		}
		return number{n: n, d: d}, nil
	}
	// 1-1/2, 1 1/2, 1½: a fraction may follow a whole number.
	mark := p.i
	p.spaces()
	if p.hyphen() {
		p.spaces()
	}
	at := p.i
	if p.done() || !digit(p.s[p.i]) && p.s[p.i] < utf8.RuneSelf {
		p.i = mark
		return number{n: n, d: 1, whole: true}, nil
	}
	fn, fd, got, err := p.fraction()
	if err != nil {
		return number{}, err
	}
	if !got {
		p.i = mark
		return number{n: n, d: 1, whole: true}, nil
	}
	if fn >= fd {
		return number{}, p.fail(at, p.s[at:p.i], "a fraction below 1", "has "+p.s[at:p.i]+" after a whole number", "a fraction below 1, such as 1-1/2")
	}
	hi, lo := bits.Mul64(n, fd)
	if hi != 0 || lo > math.MaxInt64 {
		return number{}, p.fail(start, "", "a number", "has a number with too many digits", "fewer digits")
	}
	return number{n: lo + fn, d: fd}, nil
}

// times is a in units of unit: exact tells whether it is whole, fits whether an int64 holds it.
func (a number) times(unit uint64) (v int64, exact, fits bool) {
	hi, lo := bits.Mul64(a.n, unit)
	if hi >= a.d {
		return 0, false, false
	}
	q, r := bits.Div64(hi, lo, a.d)
	return int64(q & math.MaxInt64), r == 0, q <= math.MaxInt64
}

// nearest is num/den times a, rounded half up; fits tells whether an int64 holds it.
// den times a.d has to fit 64 bits, which the callers' small constants see to.
func (a number) nearest(num, den uint64) (v int64, fits bool) {
	over, d := bits.Mul64(a.d, den)
	hi, lo := bits.Mul64(a.n, num)
	if over != 0 {
		return 0, false
	}
	lo, c := bits.Add64(lo, d/2, 0)
	hi += c
	if hi >= d {
		return 0, false
	}
	q, _ := bits.Div64(hi, lo, d)
	return int64(q & math.MaxInt64), q <= math.MaxInt64
}

// abs is the amount of v; it is right for the smallest int64 too.
func abs(v int64) uint64 {
	if v < 0 {
		return -uint64(v)
	}
	return uint64(v)
}

func gcd(a, b uint64) uint64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// signed puts a sign on an amount, holding it at the ends of int64.
func signed(neg bool, v uint64) int64 {
	switch {
	case v > math.MaxInt64 && neg:
		return math.MinInt64
	case v > math.MaxInt64:
		return math.MaxInt64
	case neg:
		return -int64(v)
	}
	return int64(v)
}

// tail refuses what still stands after a whole quantity. The text says where it was read to.
func (p *scan) tail(write string) error {
	p.spaces()
	if p.done() {
		return nil
	}
	return p.fail(p.i, p.rest(), "the end", "has "+quote(p.rest())+" after the "+p.what, write)
}
