package engine

import (
	"regexp"
	"strconv"
	"strings"

	"trapweir/engine/unit"
)

// quantity is a length, slope, flow or volume as the questions write their examples.
var quantity = regexp.MustCompile(`(-?)([0-9]+-[0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9.]+)(" per ft|"|'| gpm| gal)`)

// metricExamples writes the examples of the questions as a metric job would, in round
// figures: they show how a thing is written, not how much it should be. Rules and stages write
// them for the tape; this is the one place that all their questions pass.
func (r *Result) metricExamples() {
	if r.Job.Units != unit.Metric {
		return
	}
	for i := range r.Findings {
		parts := strings.Split(r.Findings[i].Ask, "`")
		for k := 1; k < len(parts); k += 2 {
			parts[k] = quantity.ReplaceAllStringFunc(parts[k], metricExample)
		}
		r.Findings[i].Ask = strings.Join(parts, "`")
	}
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
