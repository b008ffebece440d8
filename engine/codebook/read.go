package codebook

import (
	"fmt"
	"sort"
	"strings"

	"go.yaml.in/yaml/v4"

	"trapweir/engine/diag"
	"trapweir/engine/source"
	"trapweir/engine/unit"
	"trapweir/engine/yamlread"
)

// ruleID marks what the readers of books report.
const ruleID = "book-file"

// Words that a book file may use.
var (
	topKeys    = []string{"book", "layer", "kind", "title", "amends", "invented", "status", "clauses", "params", "tables", "fixtures", "groups", "sizing", "limits", "stock", "sources"}
	bookKinds  = []string{"model code", "edition"}
	layerKinds = []string{"local amendment", "shop practice", "good practice"}
	roleWords  = []string{"trap arm", "fixture drain", "branch", "building drain branch", "stack", "stack offset", "building drain", "building sewer", "pump discharge"}
	saidKeys   = []string{"at", "seen", "memory", "conflict", "confidence"}
	lieWords   = []string{"level", "upright"}
	occupancy  = []string{"one-family", "two-family", "apartments", "public", "assembly"}
)

// anyBook is the word that makes a layer fit every book.
const anyBook = "any"

// doc is one file as read, before it is laid over anything.
type doc struct {
	layer  Layer
	file   string
	idAt   source.Span
	isBook bool
	amends []word

	sources  map[string]bool
	seen     []word // every key of a source that was used
	clauses  []clauseDoc
	params   []paramDoc
	tables   []tableDoc
	fixtures *fixtureDoc
	groups   *groupDoc
	sizing   []sizingDoc
	hasSize  bool
	limits   []limitDoc
	stock    []unit.Size
	stockAt  said
	hasStock bool

	diags []diag.Diagnostic
}

type word struct {
	text string
	at   source.Span
}

// said is what a book says about where a value comes from.
type said struct {
	at       string
	seen     []string
	memory   bool
	conflict string
	has      bool // at was written
}

type clauseDoc struct {
	id  word
	off bool
	said
}

type paramDoc struct {
	id    word
	p     Param
	as    paramShape
	shape paramShape // of a value that is none, what it would be where one is set
	said
}

type limitDoc struct {
	id  word
	off bool
	l   Limit
	said
}

type sizingDoc struct {
	s     Sizing
	at    source.Span
	table word
	col   word
}

// reader reads one file.
type reader struct {
	*yamlread.Reader
	d *doc
}

// readDoc reads one file. A file that cannot be made out at all gives a doc without id.
func readDoc(f File) *doc {
	d := &doc{file: f.Name, sources: map[string]bool{}}
	root, ds := yamlread.Parse(f.Name, f.Text, yamlread.Limits{Rule: ruleID, On: diag.Book})
	if root == nil {
		d.diags = ds
		return d
	}
	r := &reader{Reader: yamlread.New(f.Name, f.Text, ruleID), d: d}
	r.On = diag.Book
	r.Diags = ds
	for key, v := range r.Fields(root, "the book file", topKeys) {
		switch key {
		case "book", "layer":
			if s, at, ok := r.Text(v); ok {
				if d.layer.ID != "" {
					r.Add(at, "a file is either a book or a layer", "keep one of the two keys")
					continue
				}
				d.layer.ID, d.idAt, d.isBook = s, at, key == "book"
			}
		case "kind":
			d.layer.Kind = r.oneOf(v, append(append([]string{}, bookKinds...), layerKinds...), "kind of book")
		case "title":
			d.layer.Title, _, _ = r.Text(v)
		case "amends":
			for _, c := range r.Items(v, "amends") {
				if s, at, ok := r.Text(c); ok {
					d.amends = append(d.amends, word{s, at})
					d.layer.Amends = append(d.layer.Amends, s)
				}
			}
		case "invented":
			d.layer.Invented, _ = r.yes(v)
		case "status":
			d.layer.Status, _, _ = r.Text(v)
		case "sources":
			for k, s := range r.Entries(v, "sources") {
				d.sources[k.Value] = true
				r.Text(s)
			}
		case "clauses":
			r.clauses(v)
		case "params":
			r.params(v)
		case "tables":
			for k, t := range r.Entries(v, "tables") {
				r.table(k, t)
			}
		case "fixtures":
			r.fixtureTable(v)
		case "groups":
			r.groups(v)
		case "sizing":
			d.hasSize = true
			for _, c := range r.Items(v, "sizing") {
				r.sizing(c)
			}
		case "limits":
			for _, c := range r.Items(v, "limits") {
				r.limit(c)
			}
		case "stock":
			r.stock(v)
		}
	}
	r.head(root)
	d.diags = r.Diags
	return d
}

// head checks what the file says of itself.
func (r *reader) head(root *yaml.Node) {
	d := r.d
	at := r.Span(root)
	switch {
	case d.layer.ID == "":
		r.Add(at, "the file does not say what it is", "write book: ID, or layer: ID for an amendment or a shop's practice")
		return
	case d.layer.Kind == "" && yamlread.Get(root, "kind") == nil:
		r.Add(d.idAt, d.layer.ID+" has no kind", "write kind: model code, edition, local amendment or shop practice")
	case d.layer.Kind != "" && d.isBook != isOneOf(d.layer.Kind, bookKinds):
		key, list := "layer", layerKinds
		if d.isBook {
			key, list = "book", bookKinds
		}
		r.Add(d.idAt, d.layer.ID+" is written as a "+key+" and its kind is "+d.layer.Kind, "a "+key+" is "+strings.Join(list, " or "))
	}
	if d.layer.Title == "" {
		r.Add(d.idAt, d.layer.ID+" has no title", "write title: and the name to print")
	}
	switch {
	case d.isBook && len(d.amends) > 1:
		r.Add(d.amends[1].at, d.layer.ID+" amends more than one book", "an edition lies over one book")
	case d.layer.Kind == "edition" && len(d.amends) == 0:
		r.Add(d.idAt, d.layer.ID+" is an edition and does not say of what", "write amends: and the id of the book that it differs from")
	case d.layer.Kind == "model code" && len(d.amends) > 0:
		r.Add(d.amends[0].at, d.layer.ID+" is a model code and amends another book", "write kind: edition, or leave amends out")
	case !d.isBook && len(d.amends) == 0:
		r.Add(d.idAt, d.layer.ID+" does not say which books it lies over", "write amends: and their ids, or amends: any")
	}
}

// said reads one of the keys that tell where a value comes from.
func (r *reader) said(s *said, key string, v *yaml.Node) {
	switch key {
	case "at":
		s.has = true
		s.at, _, _ = r.Text(v)
	case "seen":
		for _, c := range r.Items(v, "seen") {
			if t, at, ok := r.Text(c); ok {
				s.seen = append(s.seen, t)
				r.d.seen = append(r.d.seen, word{t, at})
			}
		}
	case "memory":
		s.memory, _ = r.yes(v)
	case "conflict":
		s.conflict, _, _ = r.Text(v)
	case "confidence":
		if r.oneOf(v, []string{"low", "medium", "high"}, "confidence") == "low" && s.conflict == "" {
			s.conflict = lowConfidence
		}
	}
}

// lowConfidence stands as a conflict where a source is weak and none contradicts it.
const lowConfidence = "low confidence: one weak source, or none"

func (r *reader) clauses(n *yaml.Node) {
	for k, v := range r.Entries(n, "clauses") {
		c := clauseDoc{id: word{k.Value, r.Span(k)}}
		for key, x := range r.Fields(v, "the clause "+k.Value, append([]string{"off"}, saidKeys...)) {
			if key == "off" {
				c.off, _ = r.yes(x)
				continue
			}
			r.said(&c.said, key, x)
		}
		if !c.has {
			r.Add(c.id.at, "the clause "+k.Value+" has no place", `write at: and the section, or at: "" where none is printed`)
		}
		r.d.clauses = append(r.d.clauses, c)
	}
}

// yes reads yes or no.
func (r *reader) yes(n *yaml.Node) (value, ok bool) {
	s, at, ok := r.Text(n)
	if !ok {
		return false, false
	}
	switch s {
	case "yes", "true":
		return true, true
	case "no", "false":
		return false, true
	}
	r.Add(at, "found "+yamlread.Short(s)+"; yes or no is expected", "write yes or no")
	return false, false
}

// count reads a whole number from 1 up.
func (r *reader) count(n *yaml.Node, what string) int {
	s, at, ok := r.Text(n)
	if !ok {
		return 0
	}
	c, ok := whole(s)
	if !ok {
		r.Add(at, what+" is "+yamlread.Short(s)+"; a whole number is expected", "write 1, 2, 3 ...")
		return 0
	}
	return c
}

// whole reads a whole number from 1 to 99999.
func whole(s string) (int, bool) {
	if s == "" || len(s) > 5 {
		return 0, false
	}
	c := 0
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return 0, false
		}
		c = c*10 + int(s[i]-'0')
	}
	return c, c > 0
}

// oneOf reads one of a few words, "" with a report for any other.
func (r *reader) oneOf(n *yaml.Node, words []string, what string) string {
	s, at, ok := r.Text(n)
	if !ok {
		return ""
	}
	if isOneOf(s, words) {
		return s
	}
	try := "write one of " + strings.Join(words, ", ")
	if near := yamlread.Nearest(s, words); near != "" {
		try = "did you mean " + near + "?"
	}
	r.Add(at, "unknown "+what+" "+yamlread.Short(s), try)
	return ""
}

func isOneOf(s string, words []string) bool {
	for _, w := range words {
		if s == w {
			return true
		}
	}
	return false
}

// quantity reports a quantity that cannot be read, in the words of package unit.
func (r *reader) quantity(at source.Span, err error) {
	if e, ok := err.(*unit.Error); ok && e.Write != "" {
		r.Add(at, e.Error(), "")
		return
	}
	r.Add(at, err.Error(), "")
}

var sizingKeys = []string{"roles", "lies", "table", "column", "measure", "intervals", "slopes", "finds"}

func (r *reader) sizing(n *yaml.Node) {
	s := sizingDoc{at: r.Span(n), s: Sizing{Measure: "total"}}
	for key, v := range r.Fields(n, "sizing", sizingKeys) {
		switch key {
		case "roles":
			s.s.Roles = r.roles(v)
		case "lies":
			s.s.Lies = r.oneOf(v, lieWords, "lie")
		case "table":
			s.table.text, s.table.at, _ = r.Text(v)
			s.s.Table = s.table.text
		case "column":
			s.col.text, s.col.at, _ = r.Text(v)
			s.s.Column = s.col.text
		case "measure":
			s.s.Measure = r.oneOf(v, []string{"total", "branch interval"}, "measure")
		case "intervals":
			s.s.Intervals = r.oneOf(v, []string{"up to 3", "over 3"}, "number of intervals")
		case "slopes":
			for k, f := range r.Entries(v, "slopes") {
				sl, ok := headSlope(k.Value)
				if !ok {
					r.Add(r.Span(k), yamlread.Short(k.Value)+" is not a slope", "write 1/4, 1/8 or 1/4\" per ft")
					continue
				}
				t, at, ok := r.Text(f)
				if !ok {
					continue
				}
				share, ok := parseShare(t)
				if !ok || share.Fall == 0 {
					r.Add(at, yamlread.Short(t)+" is not a factor", "write 1 or 0.8")
					continue
				}
				s.s.Slopes = append(s.s.Slopes, SlopeFactor{Slope: sl, Num: share.Fall, Den: share.Run})
			}
		case "finds":
			s.s.Finds, _, _ = r.Text(v)
		}
	}
	if len(s.s.Roles) == 0 || s.s.Table == "" || s.s.Column == "" {
		r.Add(s.at, "a sizing says which table and column speak for which roles", "write {roles: [...], table: ID, column: HEAD, finds: RULE}")
		return
	}
	r.d.sizing = append(r.d.sizing, s)
}

func (r *reader) roles(n *yaml.Node) []string {
	var out []string
	for _, c := range r.Items(n, "roles") {
		if w := r.oneOf(c, roleWords, "role"); w != "" {
			out = append(out, w)
		}
	}
	return out
}

var (
	limitKeys = append([]string{"id", "say", "when", "min", "finds", "off"}, saidKeys...)
	whenKeys  = []string{"roles", "lies", "place", "carries", "fixtures", "units over", "joins", "occupancy"}
)

// maxLimits is far above what a book has, and low enough that comparing each with each
// takes no time.
const maxLimits = 500

func (r *reader) limit(n *yaml.Node) {
	l := limitDoc{id: word{at: r.Span(n)}}
	hasWhen := false
	for key, v := range r.Fields(n, "the limit", limitKeys) {
		switch key {
		case "id":
			l.id.text, l.id.at, _ = r.Text(v)
		case "say":
			l.l.Say, _, _ = r.Text(v)
		case "when":
			hasWhen = true
			r.when(v, &l.l.When)
		case "min":
			if s, at, ok := r.Text(v); ok {
				size, err := unit.ParseSize(s)
				if err != nil {
					r.quantity(at, err)
				}
				l.l.Min = size
			}
		case "finds":
			l.l.Finds, _, _ = r.Text(v)
		case "off":
			l.off, _ = r.yes(v)
		default:
			r.said(&l.said, key, v)
		}
	}
	l.l.ID = l.id.text
	name := "the limit " + l.l.ID
	switch {
	case l.l.ID == "":
		r.Add(l.id.at, "a limit has no id", "write id: and a short name of its own")
		return
	case l.off && (hasWhen || l.l.Min != 0):
		r.Add(l.id.at, name+" is switched off and says when it holds", "keep off: true, or when and min")
	case l.off:
	case l.l.Say == "" || l.l.Min == 0 && yamlread.Get(n, "min") == nil:
		r.Add(l.id.at, name+" is not complete", "it has say, when, min, at and finds")
	}
	if !l.has {
		r.Add(l.id.at, name+" has no place", "write at: and the section or the table's note")
	}
	if len(r.d.limits) == maxLimits {
		r.Addf(l.id.at, "there are more than the %d limits that are read", maxLimits)
		return
	}
	for i := range r.d.limits {
		if r.d.limits[i].l.ID == l.l.ID {
			r.Add(l.id.at, name+" is given twice", "give each its own id")
			return
		}
	}
	r.d.limits = append(r.d.limits, l)
}

func (r *reader) when(n *yaml.Node, w *When) {
	for key, v := range r.Fields(n, "when", whenKeys) {
		switch key {
		case "roles":
			w.Roles = r.roles(v)
		case "lies":
			w.Lies = r.oneOf(v, lieWords, "lie")
		case "place":
			w.UnderGround = r.oneOf(v, []string{"under ground"}, "place") != ""
		case "carries":
			if s, at, ok := r.Text(v); ok {
				w.ClassCount, w.Class = countAndClass(s)
				if w.Class == "" {
					r.Add(at, yamlread.Short(s)+" names no class of fixtures", "write water closet, or 4 water closet for at least four")
				}
			}
		case "fixtures":
			w.Fixtures = r.count(v, "fixtures")
		case "units over":
			if s, at, ok := r.Text(v); ok {
				u, err := unit.ParseLoad(s)
				if err != nil {
					r.quantity(at, err)
				}
				w.UnitsOver = u
			}
		case "joins":
			r.joins(v, w)
		case "occupancy":
			w.Occupancy = r.oneOf(v, occupancy, "occupancy")
		}
	}
}

// joins reads `2 water closet`, `2 of water closet, sink` or a list, of which two come
// together.
func (r *reader) joins(n *yaml.Node, w *When) {
	w.JoinCount = 2
	if n.Kind == yaml.SequenceNode {
		w.Joins = r.Texts(n, "joins")
		return
	}
	s, at, ok := r.Text(n)
	if !ok {
		return
	}
	count, rest := countAndClass(s)
	if count > 0 {
		w.JoinCount = count
	}
	for _, c := range strings.Split(strings.TrimPrefix(rest, "of "), ",") {
		if c = strings.TrimSpace(c); c != "" {
			w.Joins = append(w.Joins, c)
		}
	}
	if len(w.Joins) == 0 {
		r.Add(at, yamlread.Short(s)+" names no class of fixtures", "write 2 of water closet, sink")
	}
}

// countAndClass parts "4 water closet"; the count is 1 where none is written.
func countAndClass(s string) (int, string) {
	s = strings.TrimSpace(s)
	if head, rest, ok := strings.Cut(s, " "); ok {
		if c, ok := whole(head); ok {
			return c, strings.TrimSpace(rest)
		}
	}
	if _, ok := whole(s); ok {
		return 1, ""
	}
	return 1, s
}

func (r *reader) stock(n *yaml.Node) {
	d := r.d
	for key, v := range r.Fields(n, "stock", append([]string{"sizes"}, saidKeys...)) {
		if key != "sizes" {
			r.said(&d.stockAt, key, v)
			continue
		}
		for _, c := range r.Items(v, "sizes") {
			s, at, ok := r.Text(c)
			if !ok {
				continue
			}
			size, err := unit.ParseSize(s)
			if err != nil {
				r.quantity(at, err)
				continue
			}
			d.stock = append(d.stock, size)
		}
	}
	sort.Slice(d.stock, func(i, j int) bool { return d.stock[i] < d.stock[j] })
	d.hasStock = len(d.stock) > 0
	if !d.hasStock {
		r.Add(r.Span(n), "stock names no sizes", "write {sizes: [1-1/2, 2, 3, 4], at: truck list}")
	}
	if d.isBook {
		r.Add(r.Span(n), "a book has no stock", "write it in the layer of a shop")
	}
}

// source checks that every source that is named is described, here or in the books below.
func (d *doc) checkSources(known func(string) bool, all []string) []diag.Diagnostic {
	var out []diag.Diagnostic
	for _, w := range d.seen {
		if known(w.text) {
			continue
		}
		try := "describe it under sources"
		if near := yamlread.Nearest(w.text, all); near != "" {
			try = "did you mean " + near + "?"
		}
		out = append(out, bookDiag(w.at, "no source "+yamlread.Short(w.text), try))
		if len(out) > 50 {
			break
		}
	}
	return out
}

func bookDiag(at source.Span, message, try string) diag.Diagnostic {
	return diag.Diagnostic{Severity: diag.Error, Rule: ruleID, On: diag.Ref{What: diag.Book, Segment: -1}, At: at, Message: message, Try: try}
}

func didYouMean(wordGiven string, known []string, otherwise string) string {
	if near := yamlread.Nearest(wordGiven, known); near != "" {
		return "did you mean " + near + "?"
	}
	return otherwise
}

func plural(n int, one string) string {
	if n == 1 {
		return fmt.Sprintf("%d %s", n, one)
	}
	return fmt.Sprintf("%d %ss", n, one)
}
