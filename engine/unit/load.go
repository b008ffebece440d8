package unit

import "math"

const writeLoad = "3 or 1.5"

// ParseLoad reads a number of fixture units: 3, 1.5, 1/2, 4 dfu, 2 units. It is exact in
// hundredths; a finer or negative number is an error.
func ParseLoad(s string) (Load, error) {
	p := scan{what: "load", s: s}
	v, err := p.load(false)
	return Load(v), err
}

func (p *scan) load(neg bool) (int64, error) {
	a, sign, err := p.amount(neg, writeLoad)
	if err != nil {
		return 0, err
	}
	for _, w := range [...]string{"dfu", "fu", "units", "unit", "du"} {
		if p.takeWord(w) {
			break
		}
	}
	if err := p.tail(writeLoad); err != nil {
		return 0, err
	}
	v, exact, fits := a.times(uint64(Unit))
	switch {
	case !fits:
		return 0, p.fail(0, "", "", "is too large", writeLoad)
	case !exact:
		return 0, p.fail(0, "", "", "is finer than a hundredth of a unit", "two decimals at most")
	}
	return sign * v, nil
}

// amount reads a sign and a number, and the spaces after it; sign is 1 or -1. Below zero
// is an error unless neg.
func (p *scan) amount(neg bool, write string) (a number, sign int64, err error) {
	if err := p.tooLong(write); err != nil {
		return a, 0, err
	}
	p.spaces()
	start := p.i
	sign = 1
	if p.minus() {
		sign = -1
	}
	switch {
	case p.done() && p.i == start:
		return a, 0, p.fail(start, "", "a "+p.what, "is empty", write)
	case !p.atNumber():
		return a, 0, p.fail(p.i, p.rest(), "a number", "has no number", write)
	case sign < 0 && !neg:
		return a, 0, p.fail(start, "-", "a number", "is below zero", write)
	}
	a, err = p.number()
	p.spaces()
	return a, sign, err
}

func (l Load) append(b []byte) []byte {
	return appendDecimal(begin(b, true, l < 0), abs(int64(l)), 2)
}

// String is the number of units without needless decimals: 3, 1.5, 0.
func (l Load) String() string {
	var buf [24]byte
	return string(l.append(buf[:0]))
}

// Mul is l times num/den, rounded up to a hundredth of a unit (away from zero), so that a
// share of a load is never told too small. It is held at the ends of Load. A den of 0
// panics.
func (l Load) Mul(num, den int64) Load {
	if den == 0 {
		panic("unit: load divided by zero")
	}
	if den < 0 {
		den, num = int64(signed(false, abs(den))), -max(num, -math.MaxInt64)
	}
	return Load(mulDiv(int64(l), num, uint64(den), up))
}

// MarshalText is String.
func (l Load) MarshalText() ([]byte, error) { return l.append(make([]byte, 0, 16)), nil }

// UnmarshalText reads what ParseLoad reads, and a negative load.
func (l *Load) UnmarshalText(b []byte) error {
	p := scan{what: "load", s: string(b)}
	v, err := p.load(true)
	if err == nil {
		*l = Load(v)
	}
	return err
}
