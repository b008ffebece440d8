// Package yamlread walks YAML strictly: every unknown, doubled or misplaced key and every
// value of the wrong shape is reported at its place, several at once, with the nearest
// known word. It is shared by the readers of books, the fixture catalog and job files.
//
// It knows no keys of its own and reads no files. What it hands on are words and places;
// what they mean is the caller's business. Anchors, aliases and tags are refused: a file
// is read by people, and what stands in it is what it says.
//
//	root, diags := yamlread.Parse("kitchen.dwv.yaml", text, yamlread.Limits{Rule: "job-file"})
//	r := yamlread.New("kitchen.dwv.yaml", text, "job-file")
//	for key, v := range r.Fields(root, "the job", []string{"job", "code"}) { ... }
package yamlread

import (
	"errors"
	"fmt"
	"iter"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
	"go.yaml.in/yaml/v4/plugin/loaderlimits"

	"trapweir/engine/diag"
	"trapweir/engine/source"
)

// Limits guards against input that is meant to hurt. Zero fields take the defaults.
type Limits struct {
	Bytes int    // largest file, 1 MiB
	Depth int    // deepest nesting, 40
	Rule  string // rule id of what Parse reports, "job-file"
	On    diag.What
}

const (
	defaultBytes = 1 << 20
	defaultDepth = 40
	defaultRule  = "job-file"
	// maxDiags stops a reader that is fed nonsense from answering with as much of it.
	maxDiags = 200
	// maxWord is the longest word that a nearest known word is looked for.
	maxWord = 48
)

// Parse reads a text into its top node (a mapping in every file of ours). It returns nil
// when there is nothing to walk; the diagnostics then say why. A file with nothing but
// comments is one such.
func Parse(name string, text []byte, lim Limits) (*yaml.Node, []diag.Diagnostic) {
	if lim.Bytes == 0 {
		lim.Bytes = defaultBytes
	}
	if lim.Depth == 0 {
		lim.Depth = defaultDepth
	}
	if lim.Rule == "" {
		lim.Rule = defaultRule
	}
	r := New(name, text, lim.Rule)
	r.On = lim.On
	if len(text) > lim.Bytes {
		r.Add(r.at(1, 1, 1), fmt.Sprintf("the file has %d bytes, more than the %d that are read", len(text), lim.Bytes), "split it, or leave out what is not needed")
		return nil, r.Diags
	}
	if !utf8.Valid(text) {
		line := invalidLine(text)
		r.Add(r.at(line, 1, 1), "the line has bytes that are no UTF-8 text", "save the file as UTF-8")
		return nil, r.Diags
	}
	var doc yaml.Node
	err := yaml.Load(text, &doc,
		yaml.WithUniqueKeys(false),
		yaml.WithPlugin(loaderlimits.New(loaderlimits.DepthValue(lim.Depth))))
	switch {
	case err != nil && strings.Contains(err.Error(), "no documents"):
		// Only comments and blank lines.
	case err != nil && strings.Contains(err.Error(), "found multiple"):
		r.Add(r.at(r.secondDocument(), 1, 4), "a second document starts here; one is read", "leave out the line ---")
		return nil, r.Diags
	case err != nil:
		r.syntax(err)
		return nil, r.Diags
	}
	top := &doc
	if doc.Kind == yaml.DocumentNode {
		if len(doc.Content) == 0 {
			top = nil
		} else {
			top = doc.Content[0]
		}
	}
	if top == nil || top.Kind == 0 || isNull(top) {
		r.Add(r.at(1, 1, 1), "the file says nothing", "write its keys, or leave the file out")
		return nil, r.Diags
	}
	if !r.plain(top) {
		return nil, r.Diags
	}
	return top, r.Diags
}

// Reader walks nodes and gathers what there is to say.
type Reader struct {
	File  string
	Rule  string // rule id of the diagnostics
	On    diag.What
	Diags []diag.Diagnostic

	lines []string
	ascii []bool
	runes map[int][]rune
	more  int
}

// New makes a reader for a file's text; spans and columns come from that text.
func New(file string, text []byte, rule string) *Reader {
	r := &Reader{File: file, Rule: rule}
	r.lines = strings.Split(string(text), "\n")
	r.ascii = make([]bool, len(r.lines))
	for i, l := range r.lines {
		l = strings.TrimSuffix(l, "\r")
		if i == 0 {
			l = strings.TrimPrefix(l, "\ufeff")
		}
		r.lines[i] = l
		r.ascii[i] = isASCII(l)
	}
	return r
}

// Add reports an error at a place. try may be empty.
func (r *Reader) Add(at source.Span, message, try string) {
	if len(r.Diags) >= maxDiags {
		r.more++
		return
	}
	r.Diags = append(r.Diags, diag.Diagnostic{
		Severity: diag.Error, Rule: r.Rule, On: diag.Ref{What: r.On, Segment: -1}, At: at, Message: message, Try: try,
	})
}

// Addf is Add with a format and no advice.
func (r *Reader) Addf(at source.Span, format string, args ...any) {
	if !r.Full() {
		r.Add(at, fmt.Sprintf(format, args...), "")
	}
}

// Full reports that so much has been said that looking on is no use.
func (r *Reader) Full() bool { return len(r.Diags) >= maxDiags }

// Fields yields the values of a mapping in file order under their keys. Keys that are not
// among known and keys given twice are reported and left out; so is a node that is no
// mapping. what names the thing in messages: "the run hall bath".
func (r *Reader) Fields(n *yaml.Node, what string, known []string) iter.Seq2[string, *yaml.Node] {
	return func(yield func(string, *yaml.Node) bool) {
		for k, v := range r.Entries(n, what) {
			if !has(known, k.Value) {
				if r.Full() {
					continue
				}
				near := Nearest(k.Value, known)
				try := "write one of " + strings.Join(known, ", ")
				if near != "" {
					try = "did you mean " + near + "?"
				}
				r.Add(r.Span(k), "unknown key "+short(k.Value)+" in "+what, try)
				continue
			}
			if !yield(k.Value, v) {
				return
			}
		}
	}
}

// Entries yields the keys and values of a mapping whose keys are names that the user
// chose, in file order. Empty names and names given twice are reported and left out.
func (r *Reader) Entries(n *yaml.Node, what string) iter.Seq2[*yaml.Node, *yaml.Node] {
	return func(yield func(*yaml.Node, *yaml.Node) bool) {
		if n == nil {
			return
		}
		if n.Kind != yaml.MappingNode {
			r.Add(r.Span(n), what+" is "+shape(n)+"; a mapping is expected", "write key: value pairs, one a line or in { }")
			return
		}
		seen := make(map[string]int, len(n.Content)/2)
		for i := 0; i+1 < len(n.Content); i += 2 {
			k, v := n.Content[i], n.Content[i+1]
			switch {
			case k.Kind != yaml.ScalarNode:
				r.Addf(r.Span(k), "a key of %s is %s; a word is expected", what, shape(k))
				continue
			case k.Value == "":
				r.Addf(r.Span(k), "a key of %s is empty", what)
				continue
			}
			if line, dup := seen[k.Value]; dup {
				if !r.Full() {
					r.Add(r.Span(k), short(k.Value)+" is given twice in "+what+", first on line "+fmt.Sprint(line), "keep one of the two")
				}
				continue
			}
			seen[k.Value] = k.Line
			if !yield(k, v) {
				return
			}
		}
	}
}

// Items yields the members of a list. A single word stands for a list of one.
func (r *Reader) Items(n *yaml.Node, what string) iter.Seq2[int, *yaml.Node] {
	return func(yield func(int, *yaml.Node) bool) {
		if n == nil {
			return
		}
		switch {
		case n.Kind == yaml.SequenceNode:
			for i, c := range n.Content {
				if !yield(i, c) {
					return
				}
			}
		case n.Kind == yaml.ScalarNode && !isNull(n):
			yield(0, n)
		default:
			r.Add(r.Span(n), what+" is "+shape(n)+"; a list is expected", "write [one, two] or a line with - for each")
		}
	}
}

// Texts returns the members of a list of single values, or the one word that stands for it.
func (r *Reader) Texts(n *yaml.Node, what string) (out []string) {
	for _, c := range r.Items(n, what) {
		if s, _, ok := r.Text(c); ok {
			out = append(out, s)
		}
	}
	return out
}

// Get returns the value under a key, nil when it is not there. It reports nothing.
func Get(n *yaml.Node, key string) *yaml.Node {
	if n == nil || n.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return n.Content[i+1]
		}
	}
	return nil
}

// Text returns a value as written (without quotes) and its place. ok is false, with a
// report, when it is empty or no single value. Numbers and yes/no come as their text.
func (r *Reader) Text(n *yaml.Node) (text string, at source.Span, ok bool) {
	if n == nil {
		return "", source.Span{}, false
	}
	at = r.Span(n)
	switch {
	case n.Kind != yaml.ScalarNode:
		r.Add(at, "found "+shape(n)+" where a single value is expected", "write one value, with no brackets and no dash before it")
		return "", at, false
	case isNull(n) && (n.Value == "" || n.Value == "~"):
		r.Add(at, "nothing is written here", "write a value, or leave the key out")
		return "", at, false
	}
	if n.Style&yaml.LiteralStyle != 0 || n.Style&yaml.FoldedStyle != 0 {
		return strings.TrimSpace(n.Value), at, true
	}
	// An inch mark typed twice: 9' 2"" (or the mark and a closing quote too many).
	if plainStyle(n) && strings.HasSuffix(n.Value, `""`) {
		one := strings.TrimRight(n.Value, `"`) + `"`
		r.Add(at, short(n.Value)+" ends in more than one inch mark", "write "+one)
		return "", at, false
	}
	return n.Value, at, true
}

// Block is a block text with the place of each line.
type Block struct {
	Lines []string
	r     *Reader
	line  int // file line of Lines[0]
}

// Block returns a block text (key: | and indented lines below). ok is false, with a
// report, for anything else, as the lines could then not be told apart.
func (r *Reader) Block(n *yaml.Node, what string) (b Block, ok bool) {
	if n == nil {
		return b, false
	}
	if n.Kind != yaml.ScalarNode || n.Style&yaml.LiteralStyle == 0 {
		r.Add(r.Span(n), what+" is not written as a block of lines", "write | after the key and the lines below it, indented")
		return b, false
	}
	b.r, b.line = r, n.Line+1
	b.Lines = strings.Split(strings.TrimSuffix(n.Value, "\n"), "\n")
	return b, true
}

// Span returns the place of characters [from, to) of line i.
func (b *Block) Span(i, from, to int) source.Span {
	line := b.line + i
	indent := 0
	if line-1 < len(b.r.lines) {
		indent = utf8.RuneCountInString(b.r.lines[line-1]) - utf8.RuneCountInString(b.Lines[i])
	}
	return b.r.at(line, max(0, indent)+from+1, max(0, indent)+max(to, from+1)+1)
}

// Span returns where a node is written: for plain and quoted values from the first to the
// last character on the first line, quotes included; for a mapping or list its start.
func (r *Reader) Span(n *yaml.Node) source.Span {
	if n == nil || n.Line < 1 {
		return source.Span{}
	}
	line, col := n.Line, max(1, n.Column)
	if n.Kind != yaml.ScalarNode {
		return r.at(line, col, col+1)
	}
	return r.at(line, col, r.scalarEnd(n, line, col))
}

// scalarEnd rescans a scalar from its start, as the parser marks no ends.
func (r *Reader) scalarEnd(n *yaml.Node, line, col int) int {
	if n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0 || n.Value == "" && plainStyle(n) || line > len(r.lines) {
		return col + 1
	}
	if plainStyle(n) {
		return max(col+1, min(col+utf8.RuneCountInString(n.Value), r.width(line)+1))
	}
	double := n.Style&yaml.DoubleQuotedStyle != 0
	end, w := col, r.width(line)
	for end++; end <= w; end++ {
		c := r.char(line, end)
		switch {
		case double && c == '\\':
			end++
		case double && c == '"':
			return end + 1
		case !double && c == '\'':
			if end < w && r.char(line, end+1) == '\'' {
				end++
				continue
			}
			return end + 1
		}
	}
	return max(col+1, w+1)
}

func (r *Reader) at(line, col, end int) source.Span {
	if end <= col {
		end = col + 1
	}
	return source.Span{File: r.File, Line: int32(line), Col: int32(col), EndCol: int32(end)}
}

// width is the number of characters of a line.
func (r *Reader) width(line int) int {
	if r.ascii[line-1] {
		return len(r.lines[line-1])
	}
	return len(r.wide(line))
}

func (r *Reader) char(line, col int) rune {
	if r.ascii[line-1] {
		return rune(r.lines[line-1][col-1])
	}
	return r.wide(line)[col-1]
}

// wide keeps the characters of lines beyond ASCII, so that a long line with many values
// is decoded once.
func (r *Reader) wide(line int) []rune {
	if w, ok := r.runes[line]; ok {
		return w
	}
	if r.runes == nil {
		r.runes = map[int][]rune{}
	}
	w := []rune(r.lines[line-1])
	r.runes[line] = w
	return w
}

// plain refuses anchors, aliases and tags, and reports whether there were none.
func (r *Reader) plain(n *yaml.Node) bool {
	ok := true
	switch {
	case n.Kind == yaml.AliasNode:
		r.Add(r.at(n.Line, max(1, n.Column), 0), "an alias (*) stands here; aliases are not read", "write the value out")
		return false
	case n.Anchor != "":
		r.Add(r.at(n.Line, max(1, n.Column), 0), "an anchor (&) stands here; anchors are not read", "leave it out")
		ok = false
	case n.Style&yaml.TaggedStyle != 0:
		r.Add(r.at(n.Line, max(1, n.Column), 0), "a tag (!) stands here; tags are not read", "leave it out")
		ok = false
	}
	for _, c := range n.Content {
		if r.Full() {
			return false
		}
		ok = r.plain(c) && ok
	}
	return ok
}

// syntax reports a text that is no YAML.
func (r *Reader) syntax(err error) {
	line, col, msg := 1, 1, err.Error()
	var le *yaml.LoadError
	if errors.As(err, &le) {
		line, col, msg = le.Mark.Line, le.Mark.Column, le.Message
		if strings.Contains(msg, "max depth") {
			r.Add(r.at(max(1, line), max(1, col), 0), "the nesting is deeper than is read here", "write it flatter")
			return
		}
	}
	line, col = max(1, line), max(1, col)
	// "9' 2"" is reported by the parser at the next quote, wherever that is. Look for it
	// from the top down to there.
	for i := 0; i < len(r.lines) && i < line; i++ {
		if from, to, word, ok := quotedInch(r.lines[i]); ok {
			r.Add(r.at(i+1, from+1, to+1), word+": the inch mark inside double quotes ends the text early", "write it without quotes: "+word[1:len(word)-1])
			return
		}
	}
	if line > len(r.lines) {
		line = len(r.lines)
		col = r.width(line) + 1
	}
	try := "look at this line and the one above: brackets, braces, quotes and the indent"
	if line <= len(r.lines) && strings.HasPrefix(strings.TrimLeft(r.lines[line-1], " "), "\t") {
		try = "indent with blanks, not with tabs"
	}
	r.Add(r.at(line, col, 0), "the text breaks off here: "+msg, try)
}

// secondDocument finds the line that parts two documents, 1 if it cannot be told.
func (r *Reader) secondDocument() int {
	content := false
	for i, l := range r.lines {
		switch t := strings.TrimSpace(l); {
		case strings.HasPrefix(l, "---") && content, strings.HasPrefix(l, "..."):
			return i + 1
		case t != "" && t[0] != '#' && t[0] != '%' && t != "---":
			content = true
		}
	}
	return 1
}

// quotedInch finds a value in double quotes that ends in an inch mark: "9' 2"". Offsets
// are in characters.
func quotedInch(line string) (from, to int, word string, ok bool) {
	for end := strings.Index(line, `""`); end >= 0; {
		start := strings.LastIndexByte(line[:end], '"')
		rest := strings.TrimLeft(line[end+2:], " ")
		digit := end > 0 && line[end-1] >= '0' && line[end-1] <= '9'
		if start >= 0 && digit && (rest == "" || strings.IndexByte(",}]#:", rest[0]) >= 0) {
			word = line[start : end+2]
			from = utf8.RuneCountInString(line[:start])
			return from, from + utf8.RuneCountInString(word), word, true
		}
		next := strings.Index(line[end+2:], `""`)
		if next < 0 {
			break
		}
		end += 2 + next
	}
	return 0, 0, "", false
}

func isNull(n *yaml.Node) bool {
	return n.Kind == yaml.ScalarNode && plainStyle(n) && (n.Value == "" || n.Value == "~" || n.Value == "null")
}

func plainStyle(n *yaml.Node) bool {
	return n.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle|yaml.LiteralStyle|yaml.FoldedStyle) == 0
}

func shape(n *yaml.Node) string {
	switch {
	case n.Kind == yaml.MappingNode:
		return "a mapping"
	case n.Kind == yaml.SequenceNode:
		return "a list"
	case isNull(n):
		return "empty"
	}
	return "a single value"
}

// short keeps a word from the file short enough to print.
func short(s string) string {
	if strings.ContainsAny(s, "\n\r\t") {
		s = strings.Join(strings.Fields(s), " ")
	}
	if utf8.RuneCountInString(s) > maxWord {
		return string([]rune(s)[:maxWord]) + "..."
	}
	return s
}

// Short shortens a word from a file for a message: one line, 48 characters at most.
func Short(s string) string { return short(s) }

func has(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

func isASCII(s string) bool {
	for i := range len(s) {
		if s[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

func invalidLine(text []byte) int {
	line := 1
	for len(text) > 0 {
		c, n := utf8.DecodeRune(text)
		if c == utf8.RuneError && n == 1 {
			return line
		}
		if c == '\n' {
			line++
		}
		text = text[n:]
	}
	return line
}
