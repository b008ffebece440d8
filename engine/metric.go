package engine

import (
	"regexp"
	"strconv"
	"strings"

	"trapweir/engine/unit"
)

// quantity is a length, slope, flow or volume as the questions write their examples.
var quantity = regexp.MustCompile(`(-?)([0-9]+-[0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9.]+)(" per ft|"|'| gpm| gal)`)

// metricWording puts the findings of a metric job in its units: the examples of questions in
// round figures, as they show how a thing is written and not how much it should be, and the
// flows and lengths of sentences as they are. Rules and stages write the examples for the tape;
// this is the one place that all findings pass.
func (r *Result) metricWording() {
	if r.Job.Units != unit.Metric {
		return
	}
	for i := range r.Findings {
		f := &r.Findings[i]
		parts := strings.Split(f.Ask, "`")
		for k := range parts {
			if k%2 == 1 {
				parts[k] = quantity.ReplaceAllStringFunc(parts[k], metricExample)
			} else {
				parts[k] = metricWords(parts[k])
			}
		}
		f.Ask = strings.Join(parts, "`")
		f.Message, f.Try = metricWords(f.Message), metricWords(f.Try)
	}
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
