package unit

const (
	writeTemperature = "-5 F or -20 C"

	absoluteZero Temperature = -4597 // -459.67 F, rounded away
	hottest      Temperature = 20000
)

// ParseTemperature reads a temperature: -5 F, -5°F, -20 C, 14.5 deg F. Celsius is
// converted (F = 9/5 C + 32) and rounded to a tenth of a degree Fahrenheit, half away from
// 0 C; a Fahrenheit temperature finer than a tenth is an error.
func ParseTemperature(s string) (Temperature, error) {
	p := scan{what: "temperature", s: s}
	a, sign, err := p.amount(true, writeTemperature)
	if err != nil {
		return 0, err
	}
	at := p.i
	if p.take('°') || p.take('º') || p.takeWord("degrees") || p.takeWord("degree") || p.takeWord("deg") {
		p.take('.')
		p.spaces()
	}
	celsius := false
	switch {
	case p.takeWord("F"), p.takeWord("Fahrenheit"):
	case p.takeWord("C"), p.takeWord("Celsius"):
		celsius = true
	default:
		return 0, p.noRate(at, "F", "C", writeTemperature)
	}
	if err := p.tail(writeTemperature); err != nil {
		return 0, err
	}
	// A degree Celsius is 18 tenths Fahrenheit; the 32 degrees are whole tenths, so only
	// the product is rounded.
	var v int64
	exact, fits := true, true
	if celsius {
		v, fits = a.nearest(18, 1)
	} else {
		v, exact, fits = a.times(10)
	}
	switch {
	case !fits || v > int64(hottest):
		return 0, p.fail(0, "", "", "is beyond any climate", writeTemperature)
	case !exact:
		return 0, p.fail(0, "", "", "is finer than a tenth of a degree", "one decimal at most")
	}
	v *= sign
	if celsius {
		v += 320
	}
	if v < int64(absoluteZero) {
		return 0, p.fail(0, "", "", "is below absolute zero", writeTemperature)
	}
	return Temperature(v), nil
}

func (t Temperature) append(b []byte) []byte {
	return append(appendDecimal(begin(b, true, t < 0), abs(int64(t)), 1), " F"...)
}

// String is the temperature in degrees Fahrenheit: -5 F, 14.5 F.
func (t Temperature) String() string {
	var buf [24]byte
	return string(t.append(buf[:0]))
}

// MarshalText is String.
func (t Temperature) MarshalText() ([]byte, error) { return t.append(make([]byte, 0, 12)), nil }

// UnmarshalText reads what ParseTemperature reads.
func (t *Temperature) UnmarshalText(b []byte) error {
	v, err := ParseTemperature(string(b))
	if err == nil {
		*t = v
	}
	return err
}
