package cases

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// dim is what a number measures.
type dim uint8

const (
	count  dim = iota // fixture units, groups, water closets: a bare number
	length            // inches
	slope             // inches in a foot
	angle             // degrees
	flow              // US gallons a minute
	area              // square inches
)

// A number is a measured value with how exactly it was written.
type number struct {
	v   float64
	dim dim
	tol float64 // half of the last place written
}

const one = `\d+/\d+|\d+(?:[- ]\d+/\d+|\.\d+)?|\.\d+`

var (
	feetRE   = regexp.MustCompile(`(` + one + `)\s*(?:'|ft\b|feet\b|foot\b)`)
	inchRE   = regexp.MustCompile(`(` + one + `)\s*(?:"|in\b|inch|$)`)
	metricRE = regexp.MustCompile(`(` + one + `)\s*(mm|cm|m)\b`)
	perFtRE  = regexp.MustCompile(`^\s*(` + one + `)\s*(?:"|in\b|inch(?:es)?)?\s*(?:per|/|in an?|a)\s*(?:foot|ft)\b`)
	ratioRE  = regexp.MustCompile(`^\s*1\s*:\s*(` + one + `)`)
	anyRE    = regexp.MustCompile(`(` + one + `)`)
	vulgar   = strings.NewReplacer("½", "-1/2", "¼", "-1/4", "¾", "-3/4", "⅛", "-1/8", "⅜", "-3/8", "⅝", "-5/8", "⅞", "-7/8",
		"”", `"`, "″", `"`, "’", "'", "′", "'", "−", "-")
)

// parseNumber reads a value in any of the ways that the trade writes it.
func parseNumber(s string) (number, error) {
	t := strings.ToLower(strings.TrimSpace(vulgar.Replace(s)))
	neg := strings.HasPrefix(t, "-")
	t = strings.TrimSpace(strings.TrimPrefix(t, "-"))
	n, err := parsePositive(t)
	if err != nil {
		return n, fmt.Errorf("%q: %w", s, err)
	}
	if neg {
		n.v = -n.v
	}
	return n, nil
}

func parsePositive(t string) (number, error) {
	first := func(d dim, factor float64, re *regexp.Regexp) (number, error) {
		m := re.FindStringSubmatch(t)
		if m == nil {
			return number{}, fmt.Errorf("no number in it")
		}
		v, tol := value(m[1])
		return number{v * factor, d, tol * factor}, nil
	}
	switch {
	case strings.Contains(t, "sq in") || strings.Contains(t, "square in") || strings.Contains(t, "in²"):
		return first(area, 1, anyRE)
	case strings.Contains(t, "gpm"):
		return first(flow, 1, anyRE)
	case perFtRE.MatchString(t):
		return first(slope, 1, perFtRE)
	case strings.Contains(t, "%"):
		return first(slope, 0.12, anyRE)
	case ratioRE.MatchString(t):
		n, err := first(slope, 1, ratioRE)
		n.v, n.tol = 12/n.v, 1e-6
		return n, err
	case strings.Contains(t, "deg") || strings.Contains(t, "°"):
		return first(angle, 1, anyRE)
	}
	if m := metricRE.FindStringSubmatch(t); m != nil {
		v, tol := value(m[1])
		f := map[string]float64{"mm": 1 / 25.4, "cm": 1 / 2.54, "m": 1 / 0.0254}[m[2]]
		return number{v * f, length, tol * f}, nil
	}
	n := number{dim: length}
	f := feetRE.FindStringSubmatchIndex(t)
	rest := t
	if f != nil {
		v, tol := value(t[f[2]:f[3]])
		n.v, n.tol = v*12, tol*12
		rest = t[f[1]:]
	}
	inch := inchRE.FindStringSubmatchIndex(rest)
	if inch != nil && (f != nil || inch[3] < inch[1]) {
		v, tol := value(rest[inch[2]:inch[3]])
		n.v += v
		n.tol = tol
		return n, nil
	}
	if f != nil {
		return n, nil
	}
	return first(count, 1, anyRE)
}

// value reads 3, 3.08, 1/2, 1-1/2 or 1 1/2, and how exact it is: half of the last decimal
// place, half of the denominator from sixteenths on, else 1/64 (a plain number is meant
// exactly, but for what was rounded on the way).
func value(s string) (v, tol float64) {
	const exact = 1.0 / 64
	if i := strings.IndexByte(s, '.'); i >= 0 {
		v, _ = strconv.ParseFloat(s, 64)
		return v, 0.5 * math.Pow(10, -float64(len(s)-i-1))
	}
	whole := 0.0
	if i := strings.IndexAny(s, "- "); i >= 0 {
		whole, _ = strconv.ParseFloat(s[:i], 64)
		s = s[i+1:]
	}
	top, bottom, frac := strings.Cut(s, "/")
	v, _ = strconv.ParseFloat(top, 64)
	if !frac {
		return v, exact
	}
	d, _ := strconv.ParseFloat(bottom, 64)
	if d == 0 {
		return math.NaN(), 0
	}
	if d >= 16 {
		return whole + v/d, 0.5 / d
	}
	return whole + v/d, exact / 2
}

// same reports whether two numbers say the same: one kind of measure, and no further apart
// than the coarser of the two was written. What measures nothing (a bare number) is taken
// in the other's measure.
func (a number) same(b number) bool {
	if a.dim != b.dim && a.dim != count && b.dim != count {
		return false
	}
	return math.Abs(a.v-b.v) <= math.Max(a.tol, b.tol)+1e-9
}
