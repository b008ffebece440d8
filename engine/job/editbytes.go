package job

import (
	"bytes"

	"go.yaml.in/yaml/v4"
)

// lineBreak is the one that the file uses.
func (t *text) lineBreak() string {
	for i := range t.bytes {
		switch breakAt(t.bytes, i) {
		case 1:
			return string(t.bytes[i : i+1])
		case 2:
			return string(t.bytes[i : i+2])
		}
	}
	return "\n"
}

func (t *text) lineStart(line int) int {
	if line < 1 || line > len(t.lines) {
		return -1
	}
	return t.lines[line-1]
}

// lineEnd is the offset behind the line break of the line that holds at; broken is false
// on a last line without one. Behind a line break the text before it counts: a block text
// ends there.
func (t *text) lineEnd(at int) (end int, broken bool) {
	for i := at; i < len(t.bytes); i++ {
		if n := breakAt(t.bytes, i); n > 0 {
			return i + n, true
		}
	}
	return len(t.bytes), false
}

// cutLines takes out the lines from one that starts at start to the one that holds to,
// the comments behind their values with them.
func (e *editor) cutLines(start, to int) {
	end, broken := e.lineEnd(to)
	if !broken && start > 0 {
		// The last line of the file: its break before it goes.
		for k := range e.lines {
			if e.lines[k] == start && k > 0 {
				start = e.lines[k-1] + len(e.line(k))
				break
			}
		}
	}
	e.replace(start, end, "")
}

// keyEnd is the offset just past the colon of a key, or past the key when there is none
// ({a, b}), or -1.
func (t *text) keyEnd(key *yaml.Node) int {
	end := t.scalarEnd(key, t.offset(key.Line, key.Column), 0)
	if end < 0 || key.Value == "" && key.Style == 0 {
		return -1
	}
	i := end
	for i < len(t.bytes) && (t.bytes[i] == ' ' || t.bytes[i] == '\t') {
		i++
	}
	if i < len(t.bytes) && t.bytes[i] == ':' {
		return i + 1
	}
	return end
}

// childEnd is the end of child i; of a value that was left blank, the end of its key.
func (t *text) childEnd(n *yaml.Node, i int) int {
	c := n.Content[i]
	indent := max(0, n.Column-1)
	if n.Kind == yaml.MappingNode && i%2 == 1 {
		key := n.Content[i-1]
		indent = key.Column - 1
		if empty(c) && c.Value == "" {
			return t.keyEnd(key)
		}
	}
	return t.end(c, indent)
}

// end is the offset just past a node, or -1 where it cannot be told. indent is that of
// the key or dash that it belongs to.
func (t *text) end(n *yaml.Node, indent int) int {
	from := t.offset(n.Line, n.Column)
	switch n.Kind {
	case yaml.ScalarNode:
		return t.scalarEnd(n, from, indent)
	case yaml.MappingNode, yaml.SequenceNode:
		if n.Style&yaml.TaggedStyle != 0 || n.Anchor != "" {
			return -1
		}
	default:
		return -1
	}
	if n.Style&yaml.FlowStyle == 0 {
		if len(n.Content) == 0 {
			return -1
		}
		return t.childEnd(n, len(n.Content)-1)
	}
	open := byte('{')
	shut := byte('}')
	if n.Kind == yaml.SequenceNode {
		open, shut = '[', ']'
	}
	if from >= len(t.bytes) || t.bytes[from] != open {
		return -1 // a pair alone in a list: [a: 1]
	}
	at := from + 1
	if len(n.Content) > 0 {
		at = t.childEnd(n, len(n.Content)-1)
	}
	if at < 0 {
		return -1
	}
	for at < len(t.bytes) {
		switch c := t.bytes[at]; {
		case c == shut:
			return at + 1
		case c == '#':
			i := bytes.IndexAny(t.bytes[at:], "\r\n")
			if i < 0 {
				return -1
			}
			at += i
		case c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == ',':
			at++
		default:
			return -1
		}
	}
	return -1
}
