// Package price puts a user's own prices on an order, lays alternates side by side, and
// says what a change of the job adds, removes and costs.
//
// It has no prices of its own. A thing without a price is listed as missing and is in no
// total. Money is exact: whole ten-thousandths, never floating point.
package price

import (
	"fmt"
	"math/big"
	"strings"
)

// Money is an amount in ten-thousandths of the currency that the user's prices are in.
type Money int64

// One is one whole unit of the currency.
const One Money = 10_000

// most bounds what is read, so that sums stay far from overflow: a thousand million.
const most = 1_000_000_000 * One

// ParseMoney reads an amount: 12, 12.5, 1,234.50, $3.0625. Up to four decimals; negative
// amounts, exponents and other signs are errors.
func ParseMoney(s string) (Money, error) {
	text := strings.TrimSpace(s)
	text = strings.TrimSpace(strings.TrimPrefix(text, "$"))
	whole, part, dot := strings.Cut(text, ".")
	if groups := strings.Split(whole, ","); len(groups) > 1 {
		for i, g := range groups {
			if i > 0 && len(g) != 3 || i == 0 && (len(g) == 0 || len(g) > 3) {
				return 0, fmt.Errorf("price %q: the commas do not part thousands: write 1234.50", s)
			}
		}
		whole = strings.Join(groups, "")
	}
	if whole == "" && !dot || whole == "" && part == "" || dot && part == "" {
		return 0, fmt.Errorf("price %q is no amount: write 12.50", s)
	}
	if len(part) > 4 {
		return 0, fmt.Errorf("price %q has more than four decimals: round it as your supplier does", s)
	}
	if len(whole) > 10 {
		return 0, fmt.Errorf("price %q is over a thousand million: write the price of one", s)
	}
	var v Money
	for _, c := range whole + part + strings.Repeat("0", 4-len(part)) {
		if c < '0' || c > '9' {
			return 0, fmt.Errorf("price %q: found %q where a digit is expected: write 12.50", s, string(c))
		}
		v = v*10 + Money(c-'0')
	}
	if v > most {
		return 0, fmt.Errorf("price %q is over a thousand million: write the price of one", s)
	}
	return v, nil
}

// String gives the amount with two decimals, or with up to four where it has them.
func (m Money) String() string {
	sign := ""
	if m < 0 {
		sign, m = "-", -m
	}
	s := fmt.Sprintf("%s%d.%04d", sign, m/One, m%One)
	for strings.HasSuffix(s, "0") && len(s)-strings.IndexByte(s, '.') > 3 {
		s = s[:len(s)-1]
	}
	return s
}

// MarshalText is String: amounts are text in JSON, so that no reader rounds them.
func (m Money) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// Cents rounds to hundredths, half away from zero.
func (m Money) Cents() Money { return Money(round(big.NewInt(int64(m)), 100)) * 100 }

// Times multiplies by num/den and rounds to ten-thousandths, half away from zero.
func (m Money) Times(num, den int64) Money {
	p := new(big.Int).Mul(big.NewInt(int64(m)), big.NewInt(num))
	return Money(round(p, den))
}

// round divides and rounds half away from zero; what is beyond an int64 becomes its end.
func round(p *big.Int, den int64) int64 {
	neg := p.Sign() < 0
	p = new(big.Int).Abs(p)
	p.Mul(p, big.NewInt(2)).Add(p, big.NewInt(den))
	p.Quo(p, big.NewInt(2*den))
	v := int64(1<<63 - 1)
	if p.IsInt64() {
		v = p.Int64()
	}
	if neg {
		return -v
	}
	return v
}
