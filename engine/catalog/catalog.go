// Package catalog knows the kinds of fixtures by the words that people use for them: what
// a thing is called, which classes it belongs to, whether its trap is built in, what its
// typical heights are. It reads them from a file (data/fixtures.yaml) and does not know
// what a code counts for them; that is the business of package codebook.
package catalog

import (
	"maps"
	"slices"
	"sort"
	"strings"

	"go.yaml.in/yaml/v4"

	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/source"
	"trapweir/engine/unit"
	"trapweir/engine/yamlread"
)

// Fact is a typical height with where it was seen. It stands in where a job says nothing
// and must be shown as assumed.
type Fact struct {
	V    unit.Length // above the floor that the fixture stands on, up is positive
	Set  bool
	From string // "common practice", "from memory", "rough-in pages", "worked out"
}

// Kind is one kind of fixture.
type Kind struct {
	Name     string   // singular, as the books list it: "kitchen sink"
	Plural   string   // "kitchen sinks"
	Also     []string // other words for it
	Tag      string   // letters on drawings: "KS"
	Symbol   string   // name of a drawing symbol
	Integral bool     // its trap is part of it, and its outlet decides the size
	// As is the kind under which a book lists it that has no row (or, of a set, no group) of
	// its own for it, "" for none; Emergency goes with it.
	As        string
	Emergency bool
	// Like are listed kinds that are like it, for a book that counts what it does not list by
	// the highest of those.
	Like    []string
	Group   bool     // a set of fixtures that a book may rate together; it is not drawn
	Members []*Kind  // what a set is made of; one each
	Classes []string // beside its own name, which is a class too

	// UsualTrap is the trap that is common practice where the fact that the book's trap goes
	// by is not given; 0 for none.
	UsualTrap unit.Size

	Rim       Fact // flood level rim
	Outlet    Fact // centre of the drain in the wall; 0 in the floor
	Weir      Fact // trap weir; not set where the trap lies in or under the floor
	Standpipe Fact // top of a standpipe

	index   []int32 // into Catalog.Classes, sorted
	asKind  *Kind
	members []word
}

// word is a text of the file and where it stands.
type word struct {
	text string
	at   source.Span
}

// Has reports whether the kind is of a class or bears that name.
func (k *Kind) Has(class string) bool {
	if k.Name == class {
		return true
	}
	for _, c := range k.Classes {
		if c == class {
			return true
		}
	}
	return false
}

// HasAt is Has by the class's index in the catalog.
func (k *Kind) HasAt(class int) bool {
	for _, c := range k.index {
		if int(c) == class {
			return true
		}
	}
	return false
}

// In looks the kind up in a book: under its own name, or where the book has no row for
// that, under the kind that it is listed as (an emergency floor drain is a floor drain
// with `emergency`). A set of fixtures takes the units that the book's group of that name
// has; without a flush volume the first, and the row says what was taken. Where the book has
// no such group its members count one by one.
//
// What the book prints nothing for is counted as the book counts such things: a receptor by
// the flow that it takes, else by the trap, or by the fixtures that are like it; a fixture
// that is printed for a heavier use only, as in that use. State is what is left: Absent when
// the book lists neither and says no way, Blank or Dash when it prints nothing; Ask is then
// the question that would help, where there is one.
func (k *Kind) In(b *codebook.Book, a codebook.Attr) (codebook.FixtureRow, codebook.State) {
	row, state := b.Fixture(k.Name, a)
	if state == codebook.Absent && k.Group {
		return k.inGroups(b, a)
	}
	if state == codebook.Absent && k.As != "" {
		a.Emergency = a.Emergency || k.Emergency
		row, state = b.Fixture(k.As, a)
	}
	if state != codebook.Given {
		row, state = k.unlisted(b, a, row, state)
	}
	return k.withFlow(b, a, row, state)
}

func (k *Kind) inGroups(b *codebook.Book, a codebook.Attr) (codebook.FixtureRow, codebook.State) {
	var row codebook.FixtureRow
	state := codebook.Absent
	for _, g := range b.Groups() {
		if !k.bears(g.Name) || a.Flush != 0 && !g.Fits(a.Flush) {
			continue
		}
		if state == codebook.Given {
			if g.Units != row.Units.Load {
				row.Assumed = strings.Replace(row.When, "flush <=", "flush taken as at most", 1)
				row.Ask = "how much water does its water closet flush? write its fixtures one by one, with `flush: 1.28 gal`"
			}
			break
		}
		row = codebook.FixtureRow{Kind: g.Name, When: g.When, Cite: g.Cite}
		row.Units = codebook.Cell{State: codebook.Given, Text: g.Units.String(), Load: g.Units, Cite: g.Cite}
		row.Trap.State = codebook.Blank
		state = codebook.Given
	}
	if state != codebook.Given {
		return k.oneByOne(b, a)
	}
	return row, state
}

// oneByOne sums what the members of a set count.
func (k *Kind) oneByOne(b *codebook.Book, a codebook.Attr) (codebook.FixtureRow, codebook.State) {
	out := codebook.FixtureRow{Kind: k.Name}
	for i, m := range k.Members {
		row, state := m.In(b, a)
		if state != codebook.Given {
			return codebook.FixtureRow{}, codebook.Absent
		}
		if i == 0 {
			out = row
			out.Kind, out.When = k.Name, "one by one: "+m.Name
			out.Trap = codebook.Cell{State: codebook.Blank}
			continue
		}
		out.When += ", " + m.Name
		out.Units.Load += row.Units.Load
		out.AtLeast = out.AtLeast || row.AtLeast
		if out.Ask == "" {
			out.Assumed, out.Ask = row.Assumed, row.Ask
		}
	}
	if len(k.Members) == 0 {
		return out, codebook.Absent
	}
	out.Units.Text = out.Units.Load.String()
	return out, codebook.Given
}

// bears: the name is the kind's or another word for it, or that of the kind that it is
// listed as.
func (k *Kind) bears(name string) bool {
	return k.named(name) || k.asKind != nil && k.asKind.named(name)
}

func (k *Kind) named(name string) bool { return name == k.Name || slices.Contains(k.Also, name) }

// Catalog holds the kinds. It does not change after Read.
type Catalog struct {
	kinds   []*Kind
	classes []string
	classAt map[string]int
	words   map[string]*Kind
	known   []string // every word, kinds first
	none    map[string]string
}

const ruleID = "fixture-file"

var (
	topKeys  = []string{"no drain", "classes", "kinds"}
	kindKeys = []string{"plural", "also", "tag", "symbol", "trap", "group", "as", "like", "members", "emergency", "classes", "usual trap", "rim", "outlet", "weir", "standpipe"}
	sources  = []string{"rough-in pages", "common practice", "from memory", "worked out"}
)

// Read reads catalog files. Faults are reported at their places; what could be read stays.
func Read(files []codebook.File) (*Catalog, []diag.Diagnostic) {
	c := &Catalog{classAt: map[string]int{}, words: map[string]*Kind{}, none: map[string]string{}}
	var out []diag.Diagnostic
	for _, f := range files {
		root, ds := yamlread.Parse(f.Name, f.Text, yamlread.Limits{Rule: ruleID, On: diag.Book})
		if root == nil {
			out = append(out, ds...)
			continue
		}
		r := &reader{Reader: yamlread.New(f.Name, f.Text, ruleID), c: c}
		r.On = diag.Book
		r.Diags = ds
		r.file(root)
		out = append(out, r.Diags...)
	}
	c.finish()
	return c, out
}

type reader struct {
	*yamlread.Reader
	c *Catalog
}

func (r *reader) file(root *yaml.Node) {
	c := r.c
	var kinds *yaml.Node
	nowhere := map[string]source.Span{}
	for key, v := range r.Fields(root, "the fixture file", topKeys) {
		if key == "kinds" {
			kinds = v
			continue
		}
		if key == "no drain" {
			for k, why := range r.Entries(v, key) {
				if s, _, ok := r.Text(why); ok {
					c.none[fold(k.Value)] = s
					nowhere[fold(k.Value)] = r.Span(k)
				}
			}
			continue
		}
		for k, meaning := range r.Entries(v, "classes") {
			r.Text(meaning)
			c.class(k.Value)
		}
	}
	// A kind's name is a class, so that others may belong to it.
	if kinds != nil && kinds.Kind == yaml.MappingNode {
		for i := 0; i+1 < len(kinds.Content); i += 2 {
			c.class(kinds.Content[i].Value)
		}
	}
	for k, v := range r.Entries(kinds, "kinds") {
		r.kind(k, v)
	}
	for _, w := range slices.Sorted(maps.Keys(nowhere)) {
		if k := c.words[w]; k != nil {
			r.Add(nowhere[w], yamlread.Short(w)+" is no drain, and means "+k.Name+" too", "let each word mean one thing")
		}
	}
	for _, k := range c.kinds {
		if k.asKind = c.words[fold(k.As)]; k.As == "" || k.asKind == k {
			k.asKind = nil
		}
		for _, m := range k.members {
			x := c.words[fold(m.text)]
			if x == nil || x.Group {
				r.Add(m.at, "the fixture "+yamlread.Short(k.Name)+" has the member "+yamlread.Short(m.text)+", which is no fixture", "write the name of a kind that is no set")
				continue
			}
			k.Members = append(k.Members, x)
		}
		k.members = nil
	}
}

func (c *Catalog) class(name string) {
	if _, ok := c.classAt[name]; !ok {
		c.classAt[name] = len(c.classes)
		c.classes = append(c.classes, name)
	}
}

func (r *reader) kind(key, n *yaml.Node) {
	c := r.c
	k := &Kind{Name: key.Value, Plural: key.Value + "s"}
	what := "the fixture " + yamlread.Short(k.Name)
	trap := false
	var as source.Span
	r.word(k.Name, key, k)
	for field, v := range r.Fields(n, what, kindKeys) {
		switch field {
		case "plural":
			if s, _, ok := r.Text(v); ok {
				k.Plural = s
				r.word(s, v, k)
			}
		case "also":
			for _, x := range r.Items(v, "also") {
				if s, _, ok := r.Text(x); ok {
					k.Also = append(k.Also, s)
					r.word(s, x, k)
				}
			}
		case "tag":
			k.Tag, _, _ = r.Text(v)
		case "symbol":
			k.Symbol, _, _ = r.Text(v)
		case "trap":
			switch s, at, ok := r.Text(v); {
			case !ok:
			case s == "integral":
				k.Integral, trap = true, true
			case s == "own", s == "none":
				trap = true
			default:
				r.Add(at, "the trap of "+what+" is "+yamlread.Short(s), "write own, integral or none")
			}
		case "as":
			k.As, as, _ = r.Text(v)
		case "like":
			for _, x := range r.Items(v, "like") {
				s, at, ok := r.Text(x)
				if !ok {
					continue
				}
				if r.c.ClassIndex(s) < 0 {
					r.Add(at, what+" is like "+yamlread.Short(s)+", which is no kind", "write the name of a kind")
					continue
				}
				k.Like = append(k.Like, s)
			}
		case "group":
			k.Group = r.yes(v)
		case "members":
			for _, x := range r.Items(v, "members") {
				if s, at, ok := r.Text(x); ok {
					k.members = append(k.members, word{s, at})
				}
			}
		case "emergency":
			k.Emergency = r.yes(v)
		case "classes":
			for _, x := range r.Items(v, "classes") {
				s, at, ok := r.Text(x)
				if !ok {
					continue
				}
				i, ok := c.classAt[s]
				if !ok {
					try := "describe it under classes"
					if near := yamlread.Nearest(s, c.classes); near != "" {
						try = "did you mean " + near + "?"
					}
					r.Add(at, "no class "+yamlread.Short(s), try)
					continue
				}
				k.Classes = append(k.Classes, s)
				k.index = append(k.index, int32(i))
			}
		case "usual trap":
			s, at, ok := r.Text(v)
			if !ok {
				break
			}
			size, err := unit.ParseSize(s)
			if err != nil {
				r.Add(at, "the usual trap of "+what+" is "+yamlread.Short(s), "write a nominal size such as 2")
			}
			k.UsualTrap = size
		case "rim":
			k.Rim = r.fact(v, field)
		case "outlet":
			k.Outlet = r.fact(v, field)
		case "weir":
			k.Weir = r.fact(v, field)
		case "standpipe":
			k.Standpipe = r.fact(v, field)
		}
	}
	if k.As != "" && c.ClassIndex(k.As) < 0 {
		r.Add(as, what+" is listed as "+yamlread.Short(k.As)+", which is no kind", "write the name of a kind")
	}
	if !trap {
		r.Add(r.Span(key), what+" does not say where its trap is", "write trap: own, integral or none")
	}
	if k.Tag == "" || k.Symbol == "" {
		r.Add(r.Span(key), what+" has no tag or no symbol", "write tag: and its letters, symbol: and a drawing symbol")
	}
	k.index = append(k.index, int32(c.classAt[k.Name]))
	c.kinds = append(c.kinds, k)
}

func (r *reader) yes(n *yaml.Node) bool {
	switch s, at, ok := r.Text(n); {
	case !ok:
	case s == "true", s == "yes":
		return true
	case s != "false" && s != "no":
		r.Add(at, "found "+yamlread.Short(s)+"; yes or no is expected", "write yes or no")
	}
	return false
}

// word makes a word mean a kind.
func (r *reader) word(w string, at *yaml.Node, k *Kind) {
	w = fold(w)
	if old := r.c.words[w]; old != nil && old != k {
		r.Add(r.Span(at), yamlread.Short(w)+" already means "+old.Name, "let each word mean one kind")
		return
	}
	r.c.words[w] = k
}

func (r *reader) fact(n *yaml.Node, what string) Fact {
	var f Fact
	for key, v := range r.Fields(n, what, []string{"value", "from"}) {
		s, at, ok := r.Text(v)
		if !ok {
			continue
		}
		if key == "value" {
			l, err := unit.ParseLength(s)
			if err != nil {
				r.Add(at, err.Error(), "")
				continue
			}
			f.V, f.Set = l, true
			continue
		}
		f.From = s
		known := false
		for _, w := range sources {
			known = known || w == s
		}
		if !known {
			r.Add(at, what+" is from "+yamlread.Short(s), "write one of "+strings.Join(sources, ", "))
		}
	}
	if !f.Set || f.From == "" {
		r.Add(r.Span(n), what+" is not complete", "write {value: 31\", from: common practice}")
	}
	return f
}

func (c *Catalog) finish() {
	for _, k := range c.kinds {
		// "kitchen sinks" is read as well as "kitchen sink".
		if p := fold(k.Plural); c.words[p] == nil {
			c.words[p] = k
		}
	}
	for _, k := range c.kinds {
		c.known = append(c.known, k.Name)
	}
	var rest []string
	for w, k := range c.words {
		if w != fold(k.Name) {
			rest = append(rest, w)
		}
	}
	sort.Strings(rest)
	c.known = append(c.known, rest...)
}

// fold makes words alike that differ only in case, blanks, hyphens, strokes or the word
// "and": tub/shower, Tub-Shower, tub & shower.
func fold(s string) string {
	s = strings.Map(func(r rune) rune {
		switch r {
		case '-', '_', '/', '&', '+':
			return ' '
		case '\'', '\u2019', '.':
			return -1 // janitor's, w.c.
		}
		return r
	}, strings.ToLower(s))
	f := strings.Fields(s)
	if len(f) > 1 {
		f = slices.DeleteFunc(f, func(w string) bool { return w == "and" })
	}
	return strings.Join(f, " ")
}

// Find returns the kind that a word means: its name, another word for it or the plural of
// one, whatever the case and hyphens. When no kind bears it, kind is nil and nearest is the
// closest word that is known, "" when none is close.
func (c *Catalog) Find(word string) (kind *Kind, nearest string) {
	if k := c.words[word]; k != nil {
		return k, ""
	}
	w := fold(word)
	if k := c.words[w]; k != nil {
		return k, ""
	}
	if c.NoDrain(w) != "" {
		return nil, ""
	}
	// "tubs", "bidets", "vanities": the plurals of other words for it.
	for _, end := range [...][2]string{{"ies", "y"}, {"es", ""}, {"s", ""}} {
		if one, ok := strings.CutSuffix(w, end[0]); ok && len(one) > 2 {
			if k := c.words[one+end[1]]; k != nil {
				return k, ""
			}
		}
	}
	if near := yamlread.Nearest(w, c.known); near != "" {
		return nil, near
	}
	return nil, c.within(w)
}

// NoDrain says why a word that people list with the fixtures is none, and what to write for
// what drains of it: "hose bib"; "" for all other words.
func (c *Catalog) NoDrain(word string) string {
	w := fold(word)
	if s := c.none[w]; s != "" {
		return s
	}
	return c.none[strings.TrimSuffix(w, "s")]
}

// within is the longest known word that a phrase ends in, or else begins with: vanity for
// "double vanity", "" for none.
func (c *Catalog) within(phrase string) string {
	f := strings.Fields(phrase)
	for n := 1; n < len(f); n++ {
		if w := strings.Join(f[n:], " "); c.words[w] != nil {
			return w
		}
	}
	for n := len(f) - 1; n > 0; n-- {
		if w := strings.Join(f[:n], " "); c.words[w] != nil {
			return w
		}
	}
	return ""
}

// Emergency is the kind that a fixture marked `emergency` is: the one that is listed as its
// kind with that mark, the kind itself where there is none.
func (c *Catalog) Emergency(k *Kind) *Kind {
	for _, e := range c.kinds {
		if e.Emergency && e.As == k.Name {
			return e
		}
	}
	return k
}

// Kinds lists the kinds in the order of the file.
func (c *Catalog) Kinds() []*Kind { return c.kinds }

// Classes lists the classes: those described, then the names of the kinds.
func (c *Catalog) Classes() []string { return c.classes }

// ClassIndex returns the index of a class in Classes, -1 when there is none.
func (c *Catalog) ClassIndex(class string) int {
	if i, ok := c.classAt[class]; ok {
		return i
	}
	return -1
}
