package view

import (
	"strconv"
	"strings"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/load"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// sizeWords is a size as drawings have it: 1-1/2", DN 100, "?" when there is none.
func sizeWords(s unit.Size) string {
	if s == 0 {
		return "?"
	}
	w := s.Short()
	if strings.HasPrefix(w, "DN") || strings.HasSuffix(w, "mm") {
		return w
	}
	return w + `"`
}

// lengthWords is a length as drawings have it: 12'-6", 8-1/2", 0"; in metric millimetres,
// from 10 m up metres. Feet and inches are rounded to an eighth of an inch.
func lengthWords(l unit.Length, sys unit.System) string {
	if sys == unit.Metric {
		if l >= 10*unit.Metre || l <= -10*unit.Metre {
			return strings.TrimPrefix(l.Round(10*unit.Millimetre).In(sys), "~")
		}
		return strings.TrimPrefix(l.Round(unit.Millimetre).In(sys), "~")
	}
	return inchWords(l, 8)
}

// inchWords is a length in feet and inches, rounded to one of so many parts of an inch.
func inchWords(l unit.Length, parts int64) string {
	sign := ""
	small := unit.Inch / unit.Length(parts)
	l = l.Round(small)
	if l < 0 {
		sign, l = "-", -l
	}
	feet, rest := l/unit.Foot, l%unit.Foot
	inch, rest := rest/unit.Inch, (rest%unit.Inch)/small
	frac := ""
	if rest > 0 {
		num, den := int64(rest), parts
		for num%2 == 0 {
			num, den = num/2, den/2
		}
		frac = strconv.FormatInt(num, 10) + "/" + strconv.FormatInt(den, 10)
	}
	in := strconv.FormatInt(int64(inch), 10)
	switch {
	case frac != "" && inch == 0 && feet == 0:
		in = frac
	case frac != "":
		in += "-" + frac
	}
	if feet == 0 {
		return sign + in + `"`
	}
	return sign + strconv.FormatInt(int64(feet), 10) + `'-` + in + `"`
}

// elevationWords is a height with its sign: +9'-1", -7'-2".
func elevationWords(l unit.Length, sys unit.System) string {
	w := lengthWords(l, sys)
	if l >= 0 {
		return "+" + w
	}
	return w
}

// slopeWords is a fall as drawings have it: 1/4"/FT, 2%; "" where none is given.
func slopeWords(s unit.Slope, sys unit.System) string {
	if !s.Given() {
		return ""
	}
	if s.Fall == 0 {
		return "LEVEL"
	}
	w := s.String()
	if f, ok := strings.CutSuffix(w, " in per ft"); ok && sys != unit.Metric && !strings.HasPrefix(w, "~") {
		return f + `"/FT`
	}
	return strings.ReplaceAll(s.Percent(), " ", "")
}

// unitsWords is a load in brackets: (7), (7+) where more may come.
func unitsWords(l unit.Load, atLeast bool) string {
	if atLeast {
		return "(" + l.String() + "+)"
	}
	return "(" + l.String() + ")"
}

// upper gives capitals, as drawings are lettered. Foot and inch marks stay.
func upper(s string) string { return strings.ToUpper(s) }

// citeWords names printed places shortly; layers with their id, so that an amendment is
// never taken for the book.
func citeWords(cs []diag.Cite) string {
	var parts []string
	for _, c := range cs {
		s := c.At
		if c.Kind == "local amendment" || c.Kind == "shop practice" {
			s = c.Book
			if c.At != "" {
				s += ": " + c.At
			}
		}
		if s == "" {
			s = c.Kind
		}
		if c.Memory {
			s += " (from memory)"
		}
		if s != "" {
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, "; ")
}

// inOrder lists the fixtures as the job has them.
func inOrder(n *network.Net) []network.FixID {
	out := make([]network.FixID, 0, len(n.Fixtures))
	for i := range n.Runs {
		if f := n.Runs[i].Fixture; f != network.None {
			out = append(out, f)
		}
	}
	return out
}

// tagsOf numbers the fixtures of every kind in the order of the job: LAV-1, WC-2.
func tagsOf(n *network.Net) []string {
	count := map[string]int{}
	out := make([]string, len(n.Fixtures))
	for _, i := range inOrder(n) {
		t := n.Fixtures[i].Kind.Tag
		if t == "" {
			t = "FX"
		}
		count[t]++
		out[i] = t + "-" + strconv.Itoa(count[t])
	}
	return out
}

// outletWords says where everything goes.
func outletWords(r *engine.Result) string {
	to := r.Job.Outlet.To.Text
	if to == "" {
		to = "outlet"
	}
	return "to " + to
}

func totals(r *engine.Result) (units string, closets, fixtures int) {
	out := r.Net.Outlet
	closets, _ = r.Loads.Count(out, load.Closets)
	units = r.Loads.Units[out].String()
	if r.Loads.AtLeast[out] {
		units = "at least " + units
	}
	return units, closets, len(r.Net.Fixtures)
}

// countWords writes "1 fault", "3 faults".
func countWords(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// counted writes "1 unit", "3 units", "1.5 units".
func counted(l unit.Load) string { return l.String() + " " + unitWord(l) }

// unitWord is "unit" of a single one, "units" of any other load.
func unitWord(l unit.Load) string {
	if l == unit.Unit {
		return "unit"
	}
	return "units"
}

// seq keeps ids unique on a sheet: the first use of a name stays as it is, others get a
// number.
type seq map[string]int

func (q seq) id(name string) string {
	q[name]++
	if q[name] == 1 {
		return name
	}
	return name + "." + strconv.Itoa(q[name])
}
