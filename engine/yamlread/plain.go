package yamlread

import (
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
)

// Plain reads the part of YAML that nearly every job is written in, several times faster
// than the library, and returns the top mapping just as the library builds it, except that
// the tags of plain scalars are left at !!str. It returns nil for everything else: what is
// rare, what is wrong and what is deeper than maxPlain, and the caller asks the library
// then. So the library stays the judge of what YAML is and the one voice about faults;
// FuzzPlain holds the two against each other.
//
// The part: block mappings, block lists of one-line entries, flow lists and mappings over
// any number of lines, plain scalars on one line, quoted ones without escapes, comments.
func Plain(text []byte) *yaml.Node {
	p := plain{s: string(text), line: 1, told: 1}
	if !p.printable() || !p.toToken() || p.i == len(p.s) || p.col() != 1 {
		return nil
	}
	n := p.block(0, 1)
	if n == nil || p.i < len(p.s) {
		return nil
	}
	return n
}

const (
	maxPlain = 20   // depth
	maxKey   = 1000 // bytes of a key and its colon; the library's own limit is 1,024
	slabSize = 128  // nodes made at a time
)

type plain struct {
	s     string
	i     int // the next byte
	line  int // its line, from 1
	start int // offset of the line's first byte
	ascii bool
	asked int // the offset whose column was asked last, and that column
	told  int
	nodes []yaml.Node  // not yet given out
	lists []*yaml.Node // the same for contents
	stack []*yaml.Node // contents of what is open
}

// printable says whether the text holds only characters that the two readers see alike.
func (p *plain) printable() bool {
	p.ascii = true
	for i := 0; i < len(p.s); i++ {
		c := p.s[i]
		switch {
		case c >= utf8.RuneSelf:
			p.ascii = false
		case c < ' ' && c != '\n', c == 0x7f:
			return false
		}
	}
	if p.ascii {
		return true
	}
	for _, r := range p.s {
		switch {
		case r < utf8.RuneSelf:
		case r < 0xA0, r == 0x2028, r == 0x2029, r == 0xFEFF, r >= 0xFFFD && r < 0x10000:
			return false // other line breaks, marks of the byte order, bytes that are no UTF-8
		}
	}
	return true
}

// col is the column of the next byte in characters, from 1. It counts on from where it
// was asked last, or a file of one long line would be walked from its start for each value.
func (p *plain) col() int {
	if p.ascii {
		return p.i - p.start + 1
	}
	if p.asked < p.start {
		p.asked, p.told = p.start, 1
	}
	p.told += utf8.RuneCountInString(p.s[p.asked:p.i])
	p.asked = p.i
	return p.told
}

func (p *plain) node(k yaml.Kind, style yaml.Style, tag, value string, line, col int) *yaml.Node {
	if len(p.nodes) == 0 {
		p.nodes = make([]yaml.Node, slabSize)
	}
	n := &p.nodes[0]
	p.nodes = p.nodes[1:]
	n.Kind, n.Style, n.Tag, n.Value, n.Line, n.Column = k, style, tag, value, line, col
	return n
}

// close moves what was stacked from `from` on into n.
func (p *plain) close(n *yaml.Node, from int) *yaml.Node {
	k := len(p.stack) - from
	if k > len(p.lists) {
		p.lists = make([]*yaml.Node, max(2*slabSize, k))
	}
	if k > 0 {
		n.Content = p.lists[:k:k]
		p.lists = p.lists[k:]
		copy(n.Content, p.stack[from:])
	}
	p.stack = p.stack[:from]
	return n
}

func (p *plain) at(i int) byte {
	if i < len(p.s) {
		return p.s[i]
	}
	return '\n'
}

// toToken passes blanks, comments and line ends up to the next token. A # that touches
// what stands before it begins no comment; that is left to the library.
func (p *plain) toToken() bool {
	for p.i < len(p.s) {
		switch p.s[p.i] {
		case ' ':
			p.i++
		case '\n':
			p.i++
			p.line, p.start = p.line+1, p.i
		case '#':
			if p.i > p.start && p.s[p.i-1] != ' ' {
				return false
			}
			k := strings.IndexByte(p.s[p.i:], '\n')
			if k < 0 {
				p.i = len(p.s)
			} else {
				p.i += k
			}
		default:
			return true
		}
	}
	return true
}

// block reads a block mapping whose keys stand indent characters in.
func (p *plain) block(indent, depth int) *yaml.Node {
	n := p.node(yaml.MappingNode, 0, "!!map", "", p.line, p.col())
	from := len(p.stack)
	for p.i < len(p.s) {
		switch c := p.col() - 1; {
		case c < indent:
			return p.close(n, from)
		case c > indent:
			return nil
		}
		k := p.key(false)
		if k == nil {
			return nil
		}
		p.stack = append(p.stack, k)
		v := p.value(indent, depth)
		if v == nil {
			return nil
		}
		p.stack = append(p.stack, v)
	}
	return p.close(n, from)
}

// value reads what stands behind the colon of a key that is indent characters in, up to
// the next token below it.
func (p *plain) value(indent, depth int) *yaml.Node {
	line, end := p.line, p.col()
	if !p.toToken() {
		return nil
	}
	if p.line == line && p.i < len(p.s) {
		return p.entry(indent, depth)
	}
	dash := p.at(p.i) == '-' && (p.at(p.i+1) == ' ' || p.at(p.i+1) == '\n')
	switch c := p.col() - 1; {
	case p.i < len(p.s) && dash && c >= indent:
		if depth >= maxPlain {
			return nil
		}
		return p.list(c, c == indent, depth+1)
	case p.i < len(p.s) && c > indent:
		if depth >= maxPlain {
			return nil
		}
		return p.block(c, depth+1)
	}
	return p.node(yaml.ScalarNode, 0, "!!null", "", line, end) // nothing was written
}

// list reads a block list whose dashes stand indent characters in. flush says that they
// stand under their key's first letter.
func (p *plain) list(indent int, flush bool, depth int) *yaml.Node {
	n := p.node(yaml.SequenceNode, 0, "!!seq", "", p.line, p.col())
	from := len(p.stack)
	for p.i < len(p.s) {
		c := p.col() - 1
		dash := p.s[p.i] == '-' && (p.at(p.i+1) == ' ' || p.at(p.i+1) == '\n')
		if c < indent || flush && c == indent && !dash {
			break
		}
		if c > indent || !dash {
			return nil
		}
		line := p.line
		p.i++
		if !p.toToken() || p.line != line || p.i == len(p.s) {
			return nil
		}
		v := p.entry(indent, depth)
		if v == nil {
			return nil
		}
		p.stack = append(p.stack, v)
	}
	return p.close(n, from)
}

// entry reads a value on its own line, or a flow value, and goes to the next token, which
// must not be indented as a further line of the value would be.
func (p *plain) entry(indent, depth int) *yaml.Node {
	line := p.line
	var v *yaml.Node
	switch p.s[p.i] {
	case '[', '{':
		v = p.flow(indent, depth)
	case '"', '\'':
		v = p.quoted()
	default:
		v = p.scalar(false)
	}
	if v == nil {
		return nil
	}
	line = max(line, p.line)
	if !p.toToken() || p.i < len(p.s) && (p.line == line || p.col()-1 > indent) {
		return nil
	}
	return v
}

// key reads a key and its colon.
func (p *plain) key(flow bool) *yaml.Node {
	first := p.i
	var k *yaml.Node
	switch c := p.at(p.i); {
	case c == '"' || c == '\'':
		k = p.quoted()
	default:
		k = p.scalar(flow)
	}
	if k == nil || p.at(p.i) != ':' || p.i-first > maxKey || k.Style == 0 && k.Value == "<<" {
		return nil
	}
	p.i++
	if c := p.at(p.i); c != ' ' && c != '\n' {
		return nil
	}
	return k
}

// scalar reads a plain scalar up to what ends it on this line.
func (p *plain) scalar(flow bool) *yaml.Node {
	s, i := p.s, p.i
	switch c := p.at(i); c {
	case ',', '[', ']', '{', '}', '#', '&', '*', '!', '|', '>', '\'', '"', '%', '@', '`', '?', ':', '\n':
		return nil
	case '-', '.':
		next := p.at(i + 1)
		if next == ' ' || next == '\n' || next == c || flow && (next == ',' || next == '[' || next == ']' || next == '{' || next == '}') {
			return nil
		}
	}
	end := i // past the last character that is no blank
scan:
	for ; i < len(s); i++ {
		switch s[i] {
		case '\n':
			break scan
		case ' ':
			continue
		case ':':
			next := p.at(i + 1)
			if next == ' ' || next == '\n' {
				break scan
			}
			if flow && (next == ',' || next == ']' || next == '}' || next == '[' || next == '{') {
				return nil
			}
		case '#':
			if s[i-1] == ' ' {
				break scan
			}
		case ',', '[', ']', '{', '}':
			if flow {
				break scan
			}
		}
		end = i + 1
	}
	if i < len(s) && s[i] == ':' && end != i {
		return nil // a blank before the colon
	}
	n := p.node(yaml.ScalarNode, 0, "!!str", s[p.i:end], p.line, p.col())
	p.i = end
	return n
}

// quoted reads a quoted scalar of one line without escapes.
func (p *plain) quoted() *yaml.Node {
	q := p.s[p.i]
	style := yaml.SingleQuotedStyle
	if q == '"' {
		style = yaml.DoubleQuotedStyle
	}
	for i := p.i + 1; i < len(p.s); i++ {
		switch p.s[i] {
		case '\n', '\\':
			return nil
		case q:
			switch p.at(i + 1) {
			case ' ', '\n', ',', ']', '}', ':':
			default:
				return nil
			}
			n := p.node(yaml.ScalarNode, style, "!!str", p.s[p.i+1:i], p.line, p.col())
			p.i = i + 1
			return n
		}
	}
	return nil
}

// flow reads a flow list or mapping. Its further lines stand further in than indent.
func (p *plain) flow(indent, depth int) *yaml.Node {
	if depth >= maxPlain {
		return nil
	}
	mapping := p.s[p.i] == '{'
	n := p.node(yaml.SequenceNode, yaml.FlowStyle, "!!seq", "", p.line, p.col())
	end := byte(']')
	if mapping {
		n.Kind, n.Tag, end = yaml.MappingNode, "!!map", '}'
	}
	from := len(p.stack)
	p.i++
	for first := true; ; first = false {
		if !p.within(indent) {
			return nil
		}
		if p.s[p.i] == end && first {
			break
		}
		if mapping {
			k := p.key(true)
			if k == nil || !p.within(indent) {
				return nil
			}
			p.stack = append(p.stack, k)
		}
		var v *yaml.Node
		switch p.s[p.i] {
		case '[', '{':
			v = p.flow(indent, depth+1)
		case '"', '\'':
			v = p.quoted()
		default:
			v = p.scalar(true)
		}
		if v == nil || !p.within(indent) {
			return nil
		}
		p.stack = append(p.stack, v)
		if p.s[p.i] == end {
			break
		}
		if p.s[p.i] != ',' {
			return nil
		}
		p.i++
	}
	p.i++
	return p.close(n, from)
}

// within goes to the next token of a flow value; false at the end of the text, or at a
// token that does not stand further in than what the value belongs to.
func (p *plain) within(indent int) bool {
	return p.toToken() && p.i < len(p.s) && p.col()-1 > indent
}
