package job

import (
	"math"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"trapweir/engine/diag"
	"trapweir/engine/source"
	"trapweir/engine/unit"
)

func itoa(n int) string { return strconv.Itoa(n) }

// A reader walks the nodes of a job and gathers every fault.
type reader struct {
	*text
	diags []diag.Diagnostic
	more  int      // faults beyond MaxFault
	on    diag.Ref // the thing being read
	where string   // its name in messages, "" at the top of the file
	names map[string]source.Span
}

// enter sets the thing that faults are about.
func (r *reader) enter(what diag.What, name, where string) {
	r.on, r.where = diag.Ref{What: what, Name: name, Segment: -1}, where
}

func (r *reader) fault(at source.Span, msg, try string) {
	if len(r.diags) >= MaxFault {
		r.more++
		return
	}
	if r.where != "" {
		msg = r.where + ": " + msg
	}
	r.diags = append(r.diags, diag.Diagnostic{Severity: diag.Error, Rule: RuleFile, On: r.on, At: at, Message: msg, Try: try})
}

// full says that so many faults are told that advice for more is not worth working out.
func (r *reader) full() bool { return len(r.diags) >= MaxFault }

func plainStyle(n *yaml.Node) bool { return n.Style&^yaml.TaggedStyle == 0 }

// empty says that nothing was written after the colon.
func empty(n *yaml.Node) bool {
	return n.Kind == yaml.ScalarNode && plainStyle(n) && (n.Value == "" || n.Value == "~" || n.Value == "null")
}

func shape(n *yaml.Node) string {
	switch {
	case n.Kind == yaml.MappingNode:
		return "a mapping"
	case n.Kind == yaml.SequenceNode:
		return "a list"
	case empty(n):
		return "nothing"
	}
	return quoted(n.Value)
}

// refuse reports anchors, aliases and tags anywhere below n, and takes them out so that
// the rest can be read.
func (r *reader) refuse(n *yaml.Node) {
	switch {
	case n.Kind == yaml.AliasNode:
		r.fault(r.span(n), "an alias (*"+n.Value+") stands here, and a job has none", "write the value out, or put it in quotes")
	case n.Anchor != "":
		r.fault(r.span(n), "an anchor (&"+n.Anchor+") stands here, and a job has none", "leave it out, or put the value in quotes")
	case n.Style&yaml.TaggedStyle != 0:
		r.fault(r.span(n), "a tag ("+n.Tag+") stands here, and a job has none", "leave it out, or put the value in quotes")
	}
	for _, c := range n.Content {
		r.refuse(c)
	}
}

// each calls f for the keys of a mapping, once for each key; f returns false for a key
// that it does not know, and known then gives the nearest.
func (r *reader) each(n *yaml.Node, thing string, known []key, f func(key string, k, v *yaml.Node) bool) {
	if !r.mapping(n, thing) {
		return
	}
	var seen map[string]int
	if len(n.Content) > 100 {
		seen = make(map[string]int, len(n.Content)/2)
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, v := n.Content[i], n.Content[i+1]
		if !r.key(k, thing) {
			continue
		}
		first := 0
		if seen != nil {
			if first = seen[k.Value]; first == 0 {
				seen[k.Value] = k.Line
			}
		} else {
			for j := 0; j < i; j += 2 {
				if n.Content[j].Value == k.Value {
					first = n.Content[j].Line
					break
				}
			}
		}
		if first > 0 {
			r.fault(r.span(k), inThing(thing, "the key "+quoted(k.Value)+" is given twice, first on line "+itoa(first)), "keep one of them")
			continue
		}
		if !f(k.Value, k, v) {
			r.unknown(k, thing, known)
		}
	}
}

func inThing(thing, msg string) string {
	if thing == "" {
		return msg
	}
	return thing + ": " + msg
}

func (r *reader) mapping(n *yaml.Node, thing string) bool {
	switch n.Kind {
	case yaml.MappingNode:
		return true
	case yaml.AliasNode:
	default:
		r.fault(r.span(n), inThing(thing, "found "+shape(n)+", expected a mapping"), "write {KEY: VALUE, KEY: VALUE}, or one KEY: VALUE a line, indented")
	}
	return false
}

func (r *reader) key(k *yaml.Node, thing string) bool {
	switch {
	case k.Kind == yaml.AliasNode:
		return false
	case k.Kind != yaml.ScalarNode:
		r.fault(r.span(k), inThing(thing, "found "+shape(k)+" as a key, expected a word"), "write KEY: VALUE")
		return false
	}
	return true
}

func (r *reader) unknown(k *yaml.Node, thing string, known []key) {
	if r.full() {
		r.more++
		return
	}
	names := make([]string, len(known))
	for i := range known {
		names[i] = known[i].name
	}
	try := "write one of " + oneOf(names)
	if near := nearest(k.Value, names); near != "" {
		try = "did you mean " + near + "?"
	} else if len(names) > 14 {
		try = "see docs/job-format.md for the keys that can stand here"
	}
	r.fault(r.span(k), inThing(thing, "the key "+quoted(k.Value)+" is not known"), try)
}

// scalar gives a value as written, or reports that it is none.
func (r *reader) scalar(n *yaml.Node, thing, expected string) (string, bool) {
	switch {
	case n.Kind == yaml.AliasNode:
	case n.Kind != yaml.ScalarNode:
		r.fault(r.span(n), thing+": found "+shape(n)+", expected "+expected, "write "+thing+": and one value")
	case empty(n) || n.Value == "":
		r.fault(r.span(n), thing+": found nothing, expected "+expected, "write it, or leave the key out")
	default:
		return n.Value, true
	}
	return "", false
}

func (r *reader) slip(n *yaml.Node, thing, value string, s slip) {
	r.fault(r.span(n), thing+" "+quoted(value)+" "+s.found, s.try)
}

// unitErr reports what package unit says, with the key in front where it is not the
// quantity's own name.
func (r *reader) unitErr(n *yaml.Node, thing string, err error) {
	if r.full() {
		r.more++
		return
	}
	found, try := unitFault(err)
	if !strings.HasPrefix(found, thing+" ") {
		found = thing + ": " + found
	}
	r.fault(r.span(n), found, try)
}

// word reads free words.
func (r *reader) word(dst *Word, thing string, n *yaml.Node) {
	if s, ok := r.scalar(n, thing, "words"); ok {
		*dst = Word{Text: strings.TrimSpace(s), At: r.span(n)}
	}
}

// oneOf reads a word of a closed list.
func (r *reader) oneOf(dst *Word, thing string, n *yaml.Node, list []string) {
	s, ok := r.scalar(n, thing, "a word")
	if !ok {
		return
	}
	if w := match(strings.TrimSpace(s), list); w != "" {
		*dst = Word{Text: w, At: r.span(n)}
		return
	}
	r.badWord(n, thing, s, list)
}

func (r *reader) badWord(n *yaml.Node, thing, s string, list []string) {
	if r.full() {
		r.more++
		return
	}
	try := "write one of " + oneOf(list)
	if near := nearest(s, list); near != "" {
		try = "did you mean " + near + "?"
	}
	r.fault(r.span(n), thing+" "+quoted(s)+" is not known", try)
}

// items yields the members of a list; one value stands for a list of one.
func (r *reader) items(n *yaml.Node, thing string) []*yaml.Node {
	switch {
	case n.Kind == yaml.SequenceNode:
		return n.Content
	case n.Kind == yaml.ScalarNode && !empty(n):
		return []*yaml.Node{n}
	case n.Kind != yaml.AliasNode:
		r.fault(r.span(n), thing+": found "+shape(n)+", expected a list", "write [ONE, TWO]")
	}
	return nil
}

func (r *reader) wordList(dst *[]Word, thing string, n *yaml.Node, list []string) {
	items := r.items(n, thing)
	if len(items) == 0 {
		return
	}
	out := make([]Word, 0, len(items))
	for _, c := range items {
		var w Word
		if list == nil {
			r.word(&w, thing, c)
		} else {
			r.oneOf(&w, thing, c, list)
		}
		if w.Given() {
			out = append(out, w)
		}
	}
	*dst = out
}

// height reads a length that may be below the datum.
func (r *reader) height(dst *Len, thing string, n *yaml.Node) {
	s, ok := r.scalar(n, thing, "a length")
	if !ok {
		return
	}
	v, err := unit.ParseLength(s)
	if err != nil {
		r.unitErr(n, thing, err)
		return
	}
	*dst = Len{V: v, At: r.span(n), Set: true}
}

// length reads a length of pipe or a distance, not below zero.
func (r *reader) length(dst *Len, thing string, n *yaml.Node) {
	var l Len
	r.height(&l, thing, n)
	if l.Set && l.V < 0 {
		r.fault(l.At, thing+" "+quoted(n.Value)+" is below zero", "write "+l.V.String()[1:])
		return
	}
	if l.Set {
		*dst = l
	}
}

func (r *reader) size(dst *Size, thing string, n *yaml.Node) { r.sizeBy(unit.ParseSize, dst, thing, n) }

func (r *reader) sizeBy(parse func(string) (unit.Size, error), dst *Size, thing string, n *yaml.Node) {
	s, ok := r.scalar(n, thing, "a size")
	if !ok {
		return
	}
	v, err := parse(s)
	if err != nil {
		r.unitErr(n, thing, err)
		return
	}
	// The books' tables go by inches.
	*dst = Size{V: v.Inches(), At: r.span(n)}
}

func (r *reader) slope(dst *Slope, thing string, n *yaml.Node) {
	s, ok := r.scalar(n, thing, "a slope")
	if !ok {
		return
	}
	v, err := unit.ParseSlope(s)
	if err != nil {
		r.unitErr(n, thing, err)
		return
	}
	*dst = Slope{V: v, At: r.span(n)}
}

func (r *reader) flow(dst *Flow, thing string, n *yaml.Node) {
	s, ok := r.scalar(n, thing, "a flow")
	if !ok {
		return
	}
	v, least, err := unit.ParseFlowLeast(s)
	if err != nil {
		r.unitErr(n, thing, err)
		return
	}
	*dst = Flow{V: v, Least: least, At: r.span(n)}
}

func (r *reader) volume(dst *Volume, thing string, n *yaml.Node) {
	s, ok := r.scalar(n, thing, "a volume")
	if !ok {
		return
	}
	v, least, err := unit.ParseVolumeLeast(s)
	if err != nil {
		r.unitErr(n, thing, err)
		return
	}
	*dst = Volume{V: v, Least: least, At: r.span(n)}
}

func (r *reader) temp(dst *Temp, thing string, n *yaml.Node) {
	s, ok := r.scalar(n, thing, "a temperature")
	if !ok {
		return
	}
	v, err := unit.ParseTemperature(s)
	if err != nil {
		r.unitErr(n, thing, err)
		return
	}
	*dst = Temp{V: v, At: r.span(n), Set: true}
}

func (r *reader) units(dst *Units, thing string, n *yaml.Node) {
	s, ok := r.scalar(n, thing, "fixture units")
	if !ok {
		return
	}
	v, err := unit.ParseLoad(s)
	if err != nil {
		r.unitErr(n, thing, err)
		return
	}
	*dst = Units{V: v, At: r.span(n), Set: true}
}

// count reads a whole number from least to 999.
func (r *reader) count(dst *Count, thing string, n *yaml.Node, least int) {
	s, ok := r.scalar(n, thing, "a whole number")
	if !ok {
		return
	}
	v, err := strconv.ParseUint(strings.TrimSpace(s), 10, 16)
	if err != nil || v > 999 || int(v) < least {
		r.fault(r.span(n), thing+" "+quoted(s)+" is not a whole number from "+itoa(least)+" to 999", "write a number alone: "+thing+": 2")
		return
	}
	*dst = Count{V: int(v), At: r.span(n), Set: true}
}

// bends reads degrees and keeps whole ones, rounded up.
func (r *reader) bends(dst *Count, thing string, n *yaml.Node) {
	s, ok := r.scalar(n, thing, "degrees")
	if !ok {
		return
	}
	v, ok := number(s)
	if !ok || v < 0 || v > 1800 {
		r.fault(r.span(n), thing+" "+quoted(s)+" is not a number of degrees from 0 to 1800", "write the turns in plan added up: 90, or 135")
		return
	}
	*dst = Count{V: int(math.Ceil(v)), At: r.span(n), Set: true}
}

// number reads digits with an optional decimal part and an optional degree mark.
func number(s string) (float64, bool) {
	s = strings.TrimSpace(s)
	i := 0
	for i < len(s) && (s[i] >= '0' && s[i] <= '9' || s[i] == '.') {
		i++
	}
	if i == 0 || i > 8 || degreeMark(s[i:]) != "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(s[:i], 64)
	return v, err == nil
}

func (r *reader) flag(dst *Flag, thing string, n *yaml.Node) {
	s, ok := r.scalar(n, thing, "yes or no")
	if !ok {
		return
	}
	f := Flag{At: r.span(n), Set: true}
	switch {
	case strings.EqualFold(s, "yes"), strings.EqualFold(s, "true"):
		f.V = true
	case strings.EqualFold(s, "no"), strings.EqualFold(s, "false"):
	default:
		r.fault(f.At, thing+" "+quoted(s)+" is neither yes nor no", "write yes or no")
		return
	}
	*dst = f
}

func (r *reader) place(dst *Place, thing string, n *yaml.Node) {
	s, ok := r.scalar(n, thing, "a place")
	if !ok {
		return
	}
	p, bad := parsePlace(s)
	if bad.found != "" {
		r.slip(n, thing, s, bad)
		return
	}
	p.At = r.span(n)
	*dst = p
}

// legs reads a list of legs. One value may hold several with commas between.
func (r *reader) legs(dst *[]Leg, thing string, n *yaml.Node, bare bool) {
	items := r.items(n, thing)
	if len(items) == 0 {
		return
	}
	out := make([]Leg, 0, len(items))
	for _, c := range items {
		s, ok := r.scalar(c, thing, "a direction and a length")
		if !ok {
			continue
		}
		at := r.span(c)
		rest, more, off := s, true, int32(0)
		for more {
			s, rest, more = strings.Cut(rest, ",")
			if n.Kind == yaml.SequenceNode && more {
				r.fault(at, "leg "+quoted(c.Value)+" holds a comma", "write each leg as an item of its own")
				break
			}
			l, bad := parseLeg(s)
			if bad.found != "" && bare && n.Kind == yaml.ScalarNode {
				if v, err := unit.ParseLength(s); err == nil && v >= 0 {
					l, bad = Leg{Way: Way{Plumb: 900}, Length: Len{V: v, Set: true}}, slip{}
				}
			}
			if bad.found != "" {
				r.fault(at, "leg "+quoted(strings.TrimSpace(s))+" "+bad.found, bad.try)
			} else {
				l.At = at
				if n.Kind == yaml.ScalarNode && (more || off > 0) && plainStyle(c) {
					lead := runes(s) - runes(strings.TrimLeft(s, " \t"))
					l.At.Col += off + lead
					l.At.EndCol = min(at.EndCol, l.At.Col+runes(strings.TrimSpace(s)))
					l.At.EndCol = max(l.At.EndCol, l.At.Col+1)
				}
				if l.Length.Set {
					l.Length.At = l.At
				}
				out = append(out, l)
			}
			off += runes(s) + 1
		}
	}
	*dst = out
}
