package main

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"trapweir/engine"
	"trapweir/engine/catalog"
	"trapweir/engine/unit"
)

// item is one entry of the list that a job starts from.
type item struct {
	kind  *catalog.Kind
	word  string // as it was written, without the number
	count int
	more  string // keys beside `fixture`, each with a comma before it
}

// mostOfOne is how many of a kind one entry may ask for.
const mostOfOne = 200

var (
	numberFirst = regexp.MustCompile(`^(\d+)\s*[xX×]?\s+(\S.*)$`)
	numberLast  = regexp.MustCompile(`^(\S.*?)\s*(?:[xX×]\s*(\d+)|\(\s*(\d+)\s*\))$`)
	flushed     = regexp.MustCompile(`(?i)\b\d+(\.\d+)?(\s*/\s*\d+(\.\d+)?)?\s*(gal\.?|gallons?|gpf|lpf|l)\b`)
	flowing     = regexp.MustCompile(`(?i)\b\d+(\.\d+)?\s*(gpm|l/s|l/min|lpm)(\b|$)`)
	// counting are the numbers that people spell; "double" is said of a vanity with two bowls.
	counting = map[string]int{"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "double": 2}
)

// readItem reads "2 lavs", "lav x 2", "toilet 1.28 gpf", "kitchen sink with disposer and
// dishwasher".
func readItem(d engine.Data, text string) (item, error) {
	x := item{count: 1, word: text}
	if x.find(d, text) {
		return x, nil
	}
	rest := text
	if m := numberFirst.FindStringSubmatch(rest); m != nil {
		x.count, rest = atoi(m[1]), m[2]
	} else if m := numberLast.FindStringSubmatch(rest); m != nil {
		x.count, rest = atoi(m[2]+m[3]), m[1]
	} else if head, tail, ok := strings.Cut(rest, " "); ok && counting[strings.ToLower(head)] > 0 {
		n, k := counting[strings.ToLower(head)], item{}
		if k.find(d, strings.TrimSpace(tail)); !strings.EqualFold(head, "double") || k.kind != nil && k.kind.Name == "lavatory" {
			x.count, rest = n, strings.TrimSpace(tail)
		}
	}
	if x.count < 1 || x.count > mostOfOne {
		return x, fmt.Errorf("%q asks for %d: write 1 to %d", text, x.count, mostOfOne)
	}
	take := func(re *regexp.Regexp, key string, read func(string) (string, error)) error {
		m := re.FindStringIndex(rest)
		if m == nil {
			return nil
		}
		v, err := read(rest[m[0]:m[1]])
		if err != nil {
			return err
		}
		x.more += ", " + key + ": " + v
		rest = strings.Join(strings.Fields(rest[:m[0]]+" "+rest[m[1]:]), " ")
		return nil
	}
	if err := take(flowing, "flow", func(s string) (string, error) { v, err := unit.ParseFlow(s); return v.String(), err }); err != nil {
		return x, err
	}
	if err := take(flushed, "flush", func(s string) (string, error) { v, err := unit.ParseVolume(s); return v.String(), err }); err != nil {
		return x, err
	}
	name, with, _ := strings.Cut(rest, " with ")
	if with != "" {
		rest = name
		for _, w := range strings.FieldsFunc(strings.ReplaceAll(with, " and ", "+"), func(r rune) bool { return r == '+' || r == '&' || r == '/' }) {
			k, _ := d.Catalog.Find(w)
			why := d.Catalog.NoDrain(w)
			switch {
			case k != nil && k.Name == "dishwasher":
				x.more += ", dishwasher: true"
			case why != "" && why == d.Catalog.NoDrain("disposer"): // all words for one are answered alike
				x.more += ", disposer: true"
			default:
				return x, fmt.Errorf("%q: with %s is not understood: write it under its run in the file", text, strings.TrimSpace(w))
			}
		}
	}
	x.word = strings.TrimSpace(rest)
	if x.find(d, x.word) {
		return x, nil
	}
	if why := d.Catalog.NoDrain(x.word); why != "" {
		return x, fmt.Errorf("%s: %s", x.word, why)
	}
	if _, near := d.Catalog.Find(x.word); near != "" {
		return x, fmt.Errorf("no fixture kind %q; did you mean %s?", x.word, near)
	}
	return x, fmt.Errorf("no fixture kind %q: `trapweir books %s fixtures` lists them", x.word, d.Default)
}

func (x *item) find(d engine.Data, word string) bool {
	x.kind, _ = d.Catalog.Find(word)
	return x.kind != nil
}

// atoi reads digits; what is too long is more than anybody may ask for.
func atoi(s string) int {
	n, err := strconv.Atoi(s)
	if err != nil {
		return mostOfOne + 1
	}
	return n
}
