package engine

import (
	"regexp"
	"strconv"
	"strings"

	"trapweir/engine/diag"
	"trapweir/engine/unit"
)

// quantity is a length, slope, flow or volume as the questions write their examples.
var quantity = regexp.MustCompile(`(-?)([0-9]+-[0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9.]+)(" per ft|"|'| gpm| gal)`)

// wording puts the figures of the findings as a tape shows them. Rules and stages compare
// exactly and write what they found; this is the one place that all findings pass.
func (r *Result) wording() {
	for i := range r.Findings {
		if f := &r.Findings[i]; r.Job.Units == unit.Metric {
			metricFinding(f)
		} else {
			onTape(f)
		}
	}
}

// metricFinding puts a finding of a metric job in its units: the examples of questions in
// round figures, as they show how a thing is written and not how much it should be, and the
// flows and lengths of sentences as they are.
func metricFinding(f *diag.Diagnostic) {
	f.Message, f.Ask = withInches(f.Message, f.Limit), withInches(f.Ask, f.Limit)
	parts := strings.Split(f.Ask, "`")
	for k := range parts {
		if k%2 == 1 {
			parts[k] = quantity.ReplaceAllStringFunc(parts[k], metricExample)
		} else {
			parts[k] = metricWords(parts[k])
		}
	}
	f.Ask = strings.Join(parts, "`")
	f.Message, f.Try = metricWords(f.Message), metricWords(inTenths.keep(f.Try, f))
}

var metricLength = regexp.MustCompile(`\b[0-9]+(?:\.[0-9]+)? mm?\b`)

// withInches puts the inches of a limit behind it where a sentence first names it: books of
// whole inches print them first, and nobody knows 3048 mm for 10 ft. A limit is the finding's,
// or what the words about it call one.
func withInches(s, limit string) string {
	var b strings.Builder
	end, last := 0, ""
	for _, x := range metricLength.FindAllStringIndex(s, -1) {
		tok := s[x[0]:x[1]]
		if tok != limit && told(s[:x[0]], s[x[1]:]) == 0 || tok == last {
			continue
		}
		l, err := unit.ParseLength(tok)
		if err != nil || l <= 0 || l%unit.Inch != 0 || l%(50*unit.Millimetre) == 0 {
			continue
		}
		inches := l.Inches()
		if l%unit.Foot == 0 {
			inches = l.String()
		}
		b.WriteString(s[end:x[1]] + " (" + inches + ")")
		end, last = x[1], tok
	}
	return b.String() + s[end:]
}

// onTape puts the lengths of a finding's sentences that no tape shows to a sixteenth of an
// inch: what came from millimetres, from degrees or from a share. A limit is cut to the side on
// which it is kept, and what breaks it away from it, so that the two never read alike. Got and
// Limit, which programs read, stay as they were measured.
func onTape(f *diag.Diagnostic) {
	f.Message, f.Try = fineSlope.ReplaceAllStringFunc(f.Message, sixteenthSlope), fineSlope.ReplaceAllStringFunc(f.Try, sixteenthSlope)
	f.Message, f.Try, f.Ask = inSixteenths.keep(f.Message, f), inSixteenths.keep(f.Try, f), inSixteenths.keep(f.Ask, f)
}

// fineSlope is a fall that came from percent or a ratio, which stand beside it: 2 % is nearly
// 1/4 in per ft, and nobody has a level for 15/64.
var fineSlope = regexp.MustCompile(`~(?:[0-9]+-)?[0-9]+/(?:32|64) in per ft`)

func sixteenthSlope(s string) string {
	l, err := unit.ParseLength(strings.TrimSuffix(strings.TrimPrefix(s, "~"), " per ft"))
	if l = l.Round(unit.Inch / 16); err != nil || l == 0 {
		return s
	}
	return "~" + l.Inches() + " per ft"
}

// A cut puts lengths of sentences on a coarser step, by what the words around them say.
type cut struct {
	length *regexp.Regexp
	mark   string // what stands in every such length
	step   unit.Length
	slack  unit.Length // by so much at most what is printed is off what was meant
	least  unit.Length // shorter ones stay as they are
	write  func(l unit.Length, was string) string
}

var (
	inSixteenths = cut{
		length: regexp.MustCompile(`~-?(?:[0-9]+ ft )?(?:[0-9]+-)?[0-9]+/(?:32|64) in\b`), mark: "~",
		step: unit.Inch / 16, slack: unit.Sixtyfourth / 2, least: unit.Inch,
		write: func(l unit.Length, was string) string {
			if strings.Contains(was, " ft ") {
				return "~" + l.String()
			}
			return "~" + l.Inches()
		},
	}
	// inTenths are lengths to a tenth of a millimetre; those that have more decimals have a
	// mark before them that they are not exact.
	inTenths = cut{
		length: regexp.MustCompile(`\b[0-9]+\.[0-9] mm\b`), mark: ".",
		step: unit.Millimetre, slack: unit.Millimetre / 20, least: 50 * unit.Millimetre,
		write: func(l unit.Length, _ string) string { return l.In(unit.Metric) },
	}
)

// keep cuts the lengths of one sentence of a finding.
func (c cut) keep(s string, f *diag.Diagnostic) string {
	if !strings.Contains(s, c.mark) {
		return s
	}
	at := c.length.FindAllStringIndex(s, -1)
	if at == nil {
		return s
	}
	var b strings.Builder
	end := 0
	for _, x := range at {
		tok := s[x[0]:x[1]]
		l, err := unit.ParseLength(strings.TrimPrefix(tok, "~"))
		if err != nil || l < c.least {
			continue
		}
		b.WriteString(s[end:x[0]])
		end = x[1]
		slack := unit.Length(0)
		if tok[0] == '~' || x[0] > 0 && s[x[0]-1] == '~' {
			slack = c.slack
		}
		switch side(s[:x[0]], s[x[1]:], tok, f) {
		case 1:
			l += slack + c.step - 1
		case -1:
			l -= slack
		default:
			l += c.step / 2
		}
		b.WriteString(c.write(l-l%c.step, tok))
	}
	return b.String() + s[end:]
}

// side is where a length of a sentence is cut to: 1 up, as it is the least of something; -1
// down, as it is the most; 0 to the nearest.
func side(before, after, tok string, f *diag.Diagnostic) int {
	if by := told(before, after); by != 0 {
		return by
	}
	got, err := unit.ParseLength(strings.TrimPrefix(f.Got, "~"))
	limit, err2 := unit.ParseLength(strings.TrimPrefix(f.Limit, "~"))
	if err != nil || err2 != nil || got == limit || f.Severity > diag.Warning {
		return 0
	}
	over := 1
	if got < limit {
		over = -1
	}
	switch tok {
	case f.Got:
		return over
	case f.Limit:
		return -over
	}
	return 0
}

// told is side by the words alone.
func told(before, after string) int {
	if strings.HasSuffix(before, "at least ") {
		return 1
	}
	for _, w := range []string{"at most ", "no more than ", "more than ", "within ", "past ", "room for ", "has room to fall "} {
		if strings.HasSuffix(before, w) {
			return -1
		}
	}
	for _, w := range []string{" is the least", " or more", " are missing", " short"} {
		if strings.HasPrefix(after, w) {
			return 1
		}
	}
	for _, w := range []string{" is the most", " or less", " of fall is the most"} {
		if strings.HasPrefix(after, w) {
			return -1
		}
	}
	return 0
}

// flowing is a flow or a volume in a sentence, fine a length with a tenth of a millimetre.
var (
	flowing = regexp.MustCompile(`(?:^| )[0-9]+(?:\.[0-9]+)? (?:gpm|gal)\b|\bhow many gpm\b`)
	fine    = regexp.MustCompile(`\b([0-9]+\.[0-9]) mm\b`)
)

// metricWords puts the flows of a sentence in litres, and its lengths in whole millimetres
// where those are as good: where two that differ would read alike, the tenths stay.
func metricWords(s string) string {
	s = flowing.ReplaceAllStringFunc(s, func(q string) string {
		if q == "how many gpm" {
			return "how many L/min"
		}
		return quantity.ReplaceAllStringFunc(q, metricExample)
	})
	whole := map[string]string{} // by what it is rounded to
	alike := false
	round := func(q string) string {
		v, _ := strconv.ParseFloat(strings.TrimSuffix(q, " mm"), 64)
		return strconv.FormatFloat(v, 'f', 0, 64) + " mm"
	}
	for _, q := range fine.FindAllString(s, -1) {
		w := round(q)
		if was, ok := whole[w]; ok && was != q || len(w) < len("100 mm") || strings.Contains(s, " "+w) {
			alike = true
		}
		whole[w] = q
	}
	if alike {
		return s
	}
	return fine.ReplaceAllStringFunc(s, round)
}

func metricExample(s string) string {
	m := quantity.FindStringSubmatch(s)
	if strings.Contains(m[2], "-") {
		return s // 1-1/2": the size of a pipe, which is called so everywhere
	}
	top, bottom, _ := strings.Cut(m[2], "/")
	v, _ := strconv.ParseFloat(top, 64)
	if d, err := strconv.ParseFloat(bottom, 64); err == nil && d > 0 {
		v /= d
	}
	round := func(v float64, places int, word string) string {
		s := strconv.FormatFloat(v, 'f', places, 64)
		if strings.Contains(s, ".") {
			s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
		}
		return m[1] + s + word
	}
	switch m[3] {
	case `" per ft`:
		return "1:" + round(12/v, 0, "")
	case `"`:
		return round(v*25, 0, " mm")
	case `'`:
		return round(v*0.3, 1, " m")
	case " gpm":
		return round(v*3.785, 1, " L/min")
	}
	return round(v*3.785, 1, " L")
}
