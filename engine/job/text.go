package job

import (
	"bytes"
	"errors"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
	"go.yaml.in/yaml/v4/plugin/loaderlimits"

	"trapweir/engine/diag"
	"trapweir/engine/source"
	"trapweir/engine/yamlread"
)

// Limits against hostile input.
const (
	MaxBytes = 4 << 20 // of one job file
	MaxDepth = 40      // of lists and mappings inside each other
	MaxFault = 200     // faults told one by one; the rest are counted
)

// RuleFile is the rule id of every fault in the writing.
const RuleFile = "job-file"

// A text is a parsed file with what is needed to find a node's bytes again.
type text struct {
	file  string
	bytes []byte
	lines []int         // offset of the first byte of each line, a byte order mark skipped
	marks map[int][]int // of long lines: the offset of every markEvery-th character
	root  *yaml.Node    // the top mapping, or nil
}

var byteOrderMark = []byte("\xef\xbb\xbf")

// parse reads YAML into nodes. The diagnostic says why it could not.
func parse(name string, b []byte) (t *text, fault *diag.Diagnostic) {
	t = &text{file: name, bytes: b}
	if len(b) > MaxBytes {
		f := fileFault(source.Span{File: name, Line: 1, Col: 1, EndCol: 1},
			"the file has "+strconv.Itoa(len(b))+" bytes, and "+strconv.Itoa(MaxBytes)+" are read at most",
			"split the job, one file for each outlet")
		return t, &f
	}
	t.splitLines()
	if is, try := noText(b); is != "" {
		f := fileFault(source.Span{File: name, Line: 1, Col: 1, EndCol: 2}, "the file is "+is+", no text of a job", try)
		return t, &f
	}
	if t.root = yamlread.Plain(b); t.root != nil {
		return t, nil
	}
	var doc yaml.Node
	if err := load(b, &doc); err != nil {
		f := t.yamlFault(err)
		return t, &f
	}
	if len(doc.Content) > 0 {
		t.root = doc.Content[0]
	}
	return t, nil
}

// noText names a file that is plainly something else than text in UTF-8, and says what to
// give instead; "" where nothing is known against it.
func noText(b []byte) (is, try string) {
	const pick = "write the path of the .dwv.yaml file instead"
	starts := func(s string) bool { return bytes.HasPrefix(b, []byte(s)) }
	switch {
	case starts("%PDF-"):
		return "a PDF", pick
	case starts("PK\x03\x04"):
		return "a packed file (a workbook, a document or a zip)", pick
	case starts("\x89PNG") || starts("\xff\xd8\xff") || starts("GIF8"):
		return "a picture", pick
	case starts("\xff\xfe") || starts("\xfe\xff") || len(b) > 3 && (b[0] == 0 && b[1] != 0 || b[0] != 0 && b[1] == 0 && b[3] == 0):
		return "UTF-16 text", "save it as UTF-8"
	}
	return "", ""
}

// load never panics: a fault inside the library comes back as an error.
func load(b []byte, into *yaml.Node) (err error) {
	defer func() {
		if recover() != nil {
			err = errors.New("the YAML reader gave up")
		}
	}()
	return yaml.Load(b, into, yaml.WithUniqueKeys(false),
		yaml.WithPlugin(loaderlimits.New(loaderlimits.DepthValue(MaxDepth))))
}

func fileFault(at source.Span, msg, try string) diag.Diagnostic {
	return diag.Diagnostic{Severity: diag.Error, Rule: RuleFile, At: at, On: diag.Ref{Segment: -1}, Message: msg, Try: try}
}

// splitLines finds the line starts. Line breaks are those that the YAML reader counts.
func (t *text) splitLines() {
	b := t.bytes
	i := 0
	if bytes.HasPrefix(b, byteOrderMark) {
		i = len(byteOrderMark)
	}
	t.lines = make([]int, 1, 8+len(b)/60)
	t.lines[0] = i
	for ; i < len(b); i++ {
		if n := breakAt(b, i); n > 0 {
			i += n - 1
			t.lines = append(t.lines, i+1)
		}
	}
}

// breakAt returns how many bytes the line break at i has, 0 if there is none.
func breakAt(b []byte, i int) int {
	switch b[i] {
	case '\n':
		return 1
	case '\r':
		if i+1 < len(b) && b[i+1] == '\n' {
			return 2
		}
		return 1
	case 0xC2:
		if i+1 < len(b) && b[i+1] == 0x85 {
			return 2
		}
	case 0xE2:
		if i+2 < len(b) && b[i+1] == 0x80 && (b[i+2] == 0xA8 || b[i+2] == 0xA9) {
			return 3
		}
	}
	return 0
}

// line gives the bytes of line n, from 1, without its break.
func (t *text) line(n int) []byte {
	if n < 1 || n > len(t.lines) {
		return nil
	}
	from, to := t.lines[n-1], len(t.bytes)
	if n < len(t.lines) {
		to = t.lines[n]
	}
	for i := from; i < to; i++ {
		if breakAt(t.bytes, i) > 0 {
			return t.bytes[from:i]
		}
	}
	return t.bytes[from:to]
}

// offset turns a line and a column in characters, both from 1, into a byte offset.
func (t *text) offset(line, col int) int {
	if line < 1 {
		return 0
	}
	if line > len(t.lines) {
		return len(t.bytes)
	}
	i := t.lines[line-1]
	if col > markEvery {
		// A file that is one long line must not be walked from its start for each value.
		m := t.marked(line)
		k := min((col-1)/markEvery, len(m)-1)
		i, col = m[k], col-k*markEvery
	}
	for ; col > 1 && i < len(t.bytes); col-- {
		i += t.width(i)
	}
	return i
}

const markEvery = 512

func (t *text) marked(line int) []int {
	if m, ok := t.marks[line]; ok {
		return m
	}
	var m []int
	end := len(t.bytes)
	if line < len(t.lines) {
		end = t.lines[line]
	}
	for i, n := t.lines[line-1], 0; i < end || n == 0; n++ {
		if n%markEvery == 0 {
			m = append(m, i)
		}
		if i >= end {
			break
		}
		i += t.width(i)
	}
	if t.marks == nil {
		t.marks = map[int][]int{}
	}
	t.marks[line] = m
	return m
}

// width is the number of bytes of the character at i.
func (t *text) width(i int) int {
	if t.bytes[i] < utf8.RuneSelf {
		return 1
	}
	_, n := utf8.DecodeRune(t.bytes[i:])
	return n
}

// span of a node: a scalar's own characters on its first line; of a list or mapping the
// first character.
func (t *text) span(n *yaml.Node) source.Span {
	s := source.Span{File: t.file, Line: int32(n.Line), Col: int32(n.Column), EndCol: int32(n.Column) + 1}
	if n.Line < 1 || n.Line > len(t.lines) || n.Kind != yaml.ScalarNode {
		return s
	}
	if n.Style == 0 {
		s.EndCol = s.Col + max(1, runes(n.Value))
		// A plain scalar that runs over several lines is longer than its first line.
		if t.lineLen(n.Line) < n.Column-1+len(n.Value) {
			rest := t.line(n.Line)
			s.EndCol = max(s.Col, int32(utf8.RuneCount(bytes.TrimRight(rest, " \t")))) + 1
		}
		return s
	}
	if n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0 {
		return s // the | or >
	}
	from := t.offset(n.Line, n.Column)
	to := t.scalarEnd(n, from, 0)
	if to < 0 {
		return s
	}
	raw := t.bytes[from:min(to, len(t.bytes))]
	for i := range raw {
		if breakAt(raw, i) > 0 {
			raw = raw[:i]
			break
		}
	}
	s.EndCol = s.Col + int32(max(1, utf8.RuneCount(raw)))
	return s
}

func (t *text) lineLen(n int) int {
	if n < len(t.lines) {
		return t.lines[n] - t.lines[n-1]
	}
	return len(t.bytes) - t.lines[n-1]
}

func runes(s string) int32 {
	for i := range len(s) {
		if s[i] >= utf8.RuneSelf {
			return int32(utf8.RuneCountInString(s))
		}
	}
	return int32(len(s))
}

// scalarEnd finds the offset just past a scalar that starts at from, or -1. indent is the
// column, from 0, of the key that a block scalar belongs to.
func (t *text) scalarEnd(n *yaml.Node, from, indent int) int {
	b := t.bytes
	switch {
	case n.Style&yaml.TaggedStyle != 0 || n.Anchor != "":
		return -1
	case n.Style&yaml.DoubleQuotedStyle != 0:
		for i := from + 1; i < len(b); i++ {
			switch b[i] {
			case '\\':
				i++
			case '"':
				return i + 1
			}
		}
		return -1
	case n.Style&yaml.SingleQuotedStyle != 0:
		for i := from + 1; i < len(b); i++ {
			if b[i] != '\'' {
				continue
			}
			if i+1 < len(b) && b[i+1] == '\'' {
				i++
				continue
			}
			return i + 1
		}
		return -1
	case n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		return t.blockScalarEnd(n.Line, indent)
	}
	if n.Value == "" {
		return from
	}
	if bytes.HasPrefix(b[from:], []byte(n.Value)) {
		return from + len(n.Value)
	}
	// A plain scalar over several lines: white space is folded, the rest is as written.
	i, v := from, n.Value
	for v != "" {
		switch {
		case i >= len(b):
			return -1
		case v[0] == ' ' || v[0] == '\n':
			j := i
			for j < len(b) && (b[j] == ' ' || b[j] == '\t' || b[j] == '\n' || b[j] == '\r') {
				j++
			}
			if j == i {
				return -1
			}
			i, v = j, strings.TrimLeft(v, " \n\t")
		case v[0] == b[i]:
			i, v = i+1, v[1:]
		default:
			return -1
		}
	}
	return i
}

// blockScalarEnd is the end of the last line of a | or > text that begins on line n.
func (t *text) blockScalarEnd(n, indent int) int {
	last := n
	for i := n + 1; i <= len(t.lines); i++ {
		l := t.line(i)
		body := bytes.TrimLeft(l, " ")
		if len(bytes.TrimSpace(body)) == 0 {
			continue
		}
		if len(l)-len(body) <= indent {
			break
		}
		last = i
	}
	return t.lines[last-1] + len(t.line(last))
}

// yamlFault says in the trade's terms why the text is not YAML.
func (t *text) yamlFault(err error) diag.Diagnostic {
	at := source.Span{File: t.file, Line: 1, Col: 1, EndCol: 2}
	msg := err.Error()
	var le *yaml.LoadError
	if errors.As(err, &le) {
		msg = le.Message
		if le.Mark.Line > 0 {
			at = t.caret(le.Mark.Line, le.Mark.Column)
		}
		if strings.Contains(msg, "max depth") {
			return fileFault(at, "lists and mappings lie more than "+strconv.Itoa(MaxDepth)+" deep in each other", "a job needs four")
		}
		if d, ok := t.markFault(le); ok {
			return d
		}
	}
	switch {
	case strings.Contains(msg, "no documents"):
		return fileFault(at, "the file is empty", "begin with `job: TITLE`, `code: BOOK` and `runs:`")
	case strings.Contains(msg, "multiple"):
		for i := 2; i <= len(t.lines); i++ {
			if l := t.line(i); bytes.HasPrefix(l, []byte("---")) {
				at = source.Span{File: t.file, Line: int32(i), Col: 1, EndCol: 4}
			}
		}
		return fileFault(at, "the file holds more than one document", "one job a file; take out the line ---")
	}
	if i, what := t.strange(); i >= 0 {
		line := 1
		for line < len(t.lines) && t.lines[line] <= i {
			line++
		}
		col := 1 + utf8.RuneCount(t.bytes[min(t.lines[line-1], i):i])
		return fileFault(t.caret(line, col), what, "save the file as UTF-8 text")
	}
	return fileFault(at, "not YAML here: "+msg, "compare with the line before; a value with a colon and a space, or with { } [ ] , # in it, wants quotes")
}

// strange finds bytes that are not text.
func (t *text) strange() (at int, what string) {
	for i := 0; i < len(t.bytes); {
		r, n := utf8.DecodeRune(t.bytes[i:])
		switch {
		case r == utf8.RuneError && n == 1:
			return i, "the file is not UTF-8 text: byte 0x" + strconv.FormatUint(uint64(t.bytes[i]), 16)
		case unicode.IsControl(r) && r != '\t' && r != '\n' && r != '\r' && r != 0x85, r == 0xFFFE || r == 0xFFFF:
			return i, "a control character stands here: 0x" + strconv.FormatInt(int64(r), 16)
		}
		i += n
	}
	return -1, ""
}

// caret is a span of one character that lies in the text.
func (t *text) caret(line, col int) source.Span {
	line = min(max(line, 1), max(len(t.lines), 1))
	col = max(col, 1)
	return source.Span{File: t.file, Line: int32(line), Col: int32(col), EndCol: int32(col) + 1}
}

// markFault looks for the usual slips at and just before the place where reading stopped.
func (t *text) markFault(le *yaml.LoadError) (diag.Diagnostic, bool) {
	first := le.Mark.Line
	if c := le.ContextMark.Line; c > 0 && c < first {
		first = c
	}
	last := min(le.Mark.Line, len(t.lines))
	for i := max(1, first); i <= last && i < first+40; i++ {
		l := t.line(i)
		for k := 0; k < len(l) && (l[k] == ' ' || l[k] == '\t'); k++ {
			if l[k] == '\t' {
				return fileFault(source.Span{File: t.file, Line: int32(i), Col: int32(k) + 1, EndCol: int32(k) + 2},
					"a tab indents this line", "indent with spaces"), true
			}
		}
		if k := inchInQuotes(l); k >= 0 {
			col := int32(utf8.RuneCount(l[:k])) + 1
			return fileFault(source.Span{File: t.file, Line: int32(i), Col: col, EndCol: col + 1},
				"an inch mark ends the double quotes too early", `write it without double quotes: 9' 2"`), true
		}
	}
	if strings.Contains(le.Message, "expected") || strings.Contains(le.Message, "mapping values") {
		for i := max(1, min(first, last-1)); i <= last && i < first+400; i++ {
			l := t.line(i)
			k := bytes.Index(l, []byte(" #"))
			if colon := bytes.Index(l, []byte(": ")); k > 0 && colon > k && len(bytes.TrimSpace(l[:k])) > 0 && !bytes.ContainsAny(l[:k], ":'\"") {
				col := int32(utf8.RuneCount(l[:k])) + 2
				return fileFault(source.Span{File: t.file, Line: int32(i), Col: col, EndCol: col + 1},
					"a # after a blank begins a comment, also within a name", "put the name in quotes: \""+string(bytes.TrimSpace(l[:colon]))+"\""), true
			}
		}
	}
	at := t.caret(le.Mark.Line, le.Mark.Column)
	switch {
	case strings.Contains(le.Message, "mapping values are not allowed"):
		if i := le.Mark.Line - 1; i >= 1 {
			if l := bytes.TrimSpace(t.line(i)); len(l) > 0 && l[0] != '#' && !bytes.ContainsAny(l, ":,{[") {
				return fileFault(source.Span{File: t.file, Line: int32(i), Col: 1, EndCol: int32(utf8.RuneCount(t.line(i))) + 1},
					"this line has no colon", "write "+quoted(string(l))+" with a colon behind it"), true
			}
		}
		return fileFault(at, "a second colon on this line, or a line indented too far", "put the value in quotes, or indent as the lines above"), true
	case strings.Contains(le.Message, "',' or '}'"):
		return fileFault(t.caret(le.ContextMark.Line, le.ContextMark.Column), "this { is not closed, or a comma is missing behind it",
			"write {KEY: VALUE, KEY: VALUE}"), true
	case strings.Contains(le.Message, "',' or ']'"):
		return fileFault(t.caret(le.ContextMark.Line, le.ContextMark.Column), "this [ is not closed, or a comma is missing behind it",
			"write [ITEM, ITEM]"), true
	case strings.Contains(le.Message, "could not find expected ':'"):
		return fileFault(t.caret(le.ContextMark.Line, le.ContextMark.Column), "this line has no colon", "write KEY: VALUE"), true
	case strings.Contains(le.Message, "unknown anchor"):
		return fileFault(at, "an alias (*NAME) stands here, and a job has none", "write the value out, or put it in quotes"), true
	case strings.Contains(le.Message, "did not find expected key"):
		return fileFault(at, "this line is not indented as the keys before it", "indent the keys of one mapping alike"), true
	}
	return diag.Diagnostic{}, false
}

// inchInQuotes finds ": "9' 2"" (an inch mark inside double quotes) and returns the offset
// of the last quote, or -1.
func inchInQuotes(l []byte) int {
	i := bytes.Index(l, []byte(`""`))
	for ; i > 0; i++ {
		// Something written before it in the same quotes, and not an empty value.
		if c := l[i-1]; c >= '0' && c <= '9' {
			return i + 1
		}
		k := bytes.Index(l[i+1:], []byte(`""`))
		if k < 0 {
			return -1
		}
		i += k
	}
	return -1
}
