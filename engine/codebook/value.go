package codebook

import (
	"strings"

	"go.yaml.in/yaml/v4"

	"trapweir/engine/unit"
	"trapweir/engine/yamlread"
)

// paramShape is how a value is written; a layer may not put another shape over it.
type paramShape uint8

const (
	isNone paramShape = iota
	isSize
	isLength
	isSlope
	isFlow
	isNumber
	isTemp
	isYesNo
	isWord
	isWords
)

var shapeWords = [...]string{"none", "a size", "a length", "a slope", "a flow", "a number", "a temperature", "yes or no", "a word", "a list of words"}

var shapeWrites = [...]string{"none", "3 in", `6" or 8'`, `1/4" per ft`, "20 gpm", "2 or 1.5", "0 F", "yes or no", "a word", "[one, two]"}

// shapeNames are how a book says of which shape a value is that it does not set.
var shapeNames = [...]string{"", "size", "length", "slope", "flow", "number", "temperature", "yes or no", "word", "words"}

func (r *reader) params(n *yaml.Node) {
	for k, v := range r.Entries(n, "params") {
		p := paramDoc{id: word{k.Value, r.Span(k)}}
		p.p.ID = k.Value
		good := false
		for key, x := range r.Fields(v, "the value "+k.Value, append([]string{"value", "as"}, saidKeys...)) {
			switch key {
			case "value":
				good = r.value(x, &p)
			case "as":
				p.shape = r.shape(x)
			default:
				r.said(&p.said, key, x)
			}
		}
		switch {
		case !good && yamlread.Get(v, "value") == nil:
			r.Add(p.id.at, k.Value+" has no value", "write value: and a size, a length, a number, yes, no or none")
		case !p.has:
			r.Add(p.id.at, k.Value+" has no place", `write at: and the section, or at: "" where none is printed`)
		}
		if good {
			r.d.params = append(r.d.params, p)
		}
	}
}

// shape reads of which shape a value is that is none here.
func (r *reader) shape(n *yaml.Node) paramShape {
	s, at, ok := r.Text(n)
	if !ok {
		return isNone
	}
	for i, w := range shapeNames {
		if i > 0 && w == s {
			return paramShape(i)
		}
	}
	r.Add(at, "no value is "+yamlread.Short(s), "write one of "+strings.Join(shapeNames[1:], ", "))
	return isNone
}

// value reads the value of a param in every way it can be read; the caller of Param picks
// the one that it needs.
func (r *reader) value(n *yaml.Node, d *paramDoc) bool {
	p := &d.p
	p.State = Given
	if n.Kind == yaml.SequenceNode {
		d.as = isWords
		for _, c := range r.Items(n, "value") {
			if s, _, ok := r.Text(c); ok {
				p.Words = append(p.Words, s)
			}
		}
		p.Text = strings.Join(p.Words, ", ")
		return true
	}
	s, at, ok := r.Text(n)
	if !ok {
		return false
	}
	s = strings.TrimSpace(s)
	p.Text = s
	switch s {
	case "none":
		p.State, d.as = NoLimit, isNone
		return true
	case "yes", "true":
		p.Yes, d.as, p.Text = true, isYesNo, "yes"
		return true
	case "no", "false":
		d.as, p.Text = isYesNo, "no"
		return true
	case "":
		r.Add(at, "the value of "+yamlread.Short(p.ID)+" is empty", "write none where the book sets no limit")
		return false
	}
	if !startsNumber(s) {
		d.as = isWord
		if strings.HasPrefix(s, "DN") {
			if size, err := unit.ParseSize(s); err == nil {
				p.Size, p.Length, d.as = size, size.Length(), isSize
				return true
			}
		}
		p.Words = []string{s}
		return true
	}
	d.as = isNone
	p.Share, _ = parseShare(s)
	if h, ok := hundredths(s); ok {
		p.Number, d.as = h, isNumber
		if size, err := unit.ParseSize(s); err == nil {
			p.Size = size
		}
		return true
	}
	if size, err := unit.ParseSize(s); err == nil {
		p.Size, d.as = size, isSize
	}
	if l, err := unit.ParseLength(s); err == nil {
		p.Length = l
		if d.as == isNone || strings.ContainsAny(s, `"'`) {
			d.as = isLength
		}
		return true
	}
	if d.as == isSize {
		return true
	}
	if sl, err := unit.ParseSlope(s); err == nil {
		p.Slope, d.as = sl, isSlope
		return true
	}
	if f, err := unit.ParseFlow(s); err == nil {
		p.Flow, d.as = f, isFlow
		return true
	}
	if t, err := unit.ParseTemperature(s); err == nil {
		p.Temp, p.Number, d.as = t, int64(t)*10, isTemp
		return true
	}
	// A share that is no whole number of hundredths, such as 1/3: Share is exact, Number is
	// rounded down.
	if p.Share.Run > 0 {
		p.Number, d.as = p.Share.Fall*100/p.Share.Run, isNumber
		return true
	}
	r.Add(at, yamlread.Short(s)+" is no quantity that can be read", `write 3 in for a size, 6" for a length, 1/4" per ft, 20 gpm, 0 F, a number, yes, no or none`)
	return false
}

// fits reports whether a value may be laid over one of another shape.
func (d *paramDoc) fits(below paramShape) bool {
	switch {
	case d.as == isNone, below == isNone, below == isWord, d.as == below:
		return true
	}
	switch below {
	case isSize:
		return d.p.Size != 0
	case isLength:
		return d.as == isLength || d.as == isSize && d.p.Length != 0
	case isYesNo:
		return d.as == isWord && d.p.Text == "approval"
	case isWords:
		return d.as == isWord
	}
	return false
}

// startsNumber: a digit, a vulgar fraction, a minus or a point comes first.
func startsNumber(s string) bool {
	for _, c := range s {
		return c >= '0' && c <= '9' || c == '-' || c == '.' || c == '¼' || c == '½' || c == '¾' || c == '⅛'
	}
	return false
}

// hundredths reads a bare number with at most two places: 12, -5, 0.75.
func hundredths(s string) (int64, bool) {
	neg := strings.HasPrefix(s, "-")
	s = strings.TrimPrefix(s, "-")
	head, tail, point := strings.Cut(s, ".")
	if head == "" && tail == "" || point && tail == "" || len(head) > 9 || len(tail) > 2 {
		return 0, false
	}
	var v int64
	for _, c := range head {
		if c < '0' || c > '9' {
			return 0, false
		}
		v = v*10 + int64(c-'0')
	}
	for i := range 2 {
		v *= 10
		if i < len(tail) {
			if tail[i] < '0' || tail[i] > '9' {
				return 0, false
			}
			v += int64(tail[i] - '0')
		}
	}
	if neg {
		v = -v
	}
	return v, true
}

// parseShare reads a bare number or fraction as an exact ratio: 0.8, 2/5, 1-1/2.
func parseShare(s string) (unit.Slope, bool) {
	whole, frac := int64(0), s
	if w, f, ok := strings.Cut(s, "-"); ok && w != "" {
		h, ok := hundredths(w)
		if !ok || h%100 != 0 || !strings.Contains(f, "/") {
			return unit.Slope{}, false
		}
		whole, frac = h/100, f
	}
	if n, d, ok := strings.Cut(frac, "/"); ok {
		a, okA := hundredths(n)
		b, okB := hundredths(d)
		if !okA || !okB || b <= 0 || a < 0 || a%100 != 0 || b%100 != 0 || b > 100*64*16 {
			return unit.Slope{}, false
		}
		return unit.MakeSlope(unit.Length(whole*b+a), unit.Length(b)), true
	}
	h, ok := hundredths(frac)
	if !ok || h < 0 {
		return unit.Slope{}, false
	}
	return unit.MakeSlope(unit.Length(h), 100), true
}

// headSlope reads a column head that is a slope: 1/4 is a quarter inch per foot.
func headSlope(s string) (unit.Slope, bool) {
	if n, d, ok := strings.Cut(s, "/"); ok {
		a, okA := whole(n)
		b, okB := whole(d)
		if okA && okB && a < b && b <= 64 {
			return unit.PerFoot(int64(a), int64(b)), true
		}
	}
	if strings.ContainsAny(s, "%:") || strings.Contains(s, "/ft") || strings.Contains(s, " per ") {
		if sl, err := unit.ParseSlope(s); err == nil && sl.Run > 0 {
			return sl, true
		}
	}
	return unit.Slope{}, false
}
