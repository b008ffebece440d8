package job

import (
	"strings"

	"go.yaml.in/yaml/v4"
)

func (e *editor) remove(path []string) {
	n := e.root
	flow := n.Style&yaml.FlowStyle != 0
	var parent *yaml.Node
	in := 0
	for i, p := range path {
		k := find(n, p)
		if k < 0 {
			e.refuse("it is not there", "")
			return
		}
		if i < len(path)-1 {
			parent, in = n, k
			n = n.Content[k]
			flow = flow || n.Style&yaml.FlowStyle != 0
			continue
		}
		first, width := k, 1
		if n.Kind == yaml.MappingNode {
			first, width = k-1, 2
		}
		e.cut(parent, in, n, first, width)
		n.Content = append(n.Content[:first:first], n.Content[first+width:]...)
	}
}

// cut takes the children [first, first+width) of n out of the text. n is child in of
// parent.
func (e *editor) cut(parent *yaml.Node, in int, n *yaml.Node, first, width int) {
	head := n.Content[first]
	from := e.offset(head.Line, head.Column)
	to := e.childEnd(n, first+width-1)
	if to < 0 {
		e.lost = true
		return
	}
	only := len(n.Content) == width
	if n.Style&yaml.FlowStyle != 0 {
		next := to
		for next < len(e.bytes) && (e.bytes[next] == ' ' || e.bytes[next] == '\t') {
			next++
		}
		comma := next < len(e.bytes) && e.bytes[next] == ','
		switch {
		case only && comma:
			e.replace(from, next+1, "")
		case only:
			e.replace(from, to, "")
		case first+width == len(n.Content):
			// The last: what parts it from the one before goes too.
			e.replace(e.childEnd(n, first-1), to, "")
		case comma:
			next++
			for next < len(e.bytes) && (e.bytes[next] == ' ' || e.bytes[next] == '\t') {
				next++
			}
			e.replace(from, next, "")
		default:
			e.lost = true
		}
		return
	}
	if only {
		// Nothing is left below the heading: say so, as an empty value means not given.
		if parent == nil || parent.Kind != yaml.MappingNode {
			e.lost = true
			return
		}
		hollow := " {}"
		if n.Kind == yaml.SequenceNode {
			hollow = " []"
		}
		at := e.keyEnd(parent.Content[in-1])
		if at < 0 {
			e.lost = true
			return
		}
		e.replace(at, at, hollow)
		e.cutLines(e.lineStart(n.Line), to)
		return
	}
	start := e.lineStart(head.Line)
	lead := strings.TrimSpace(string(e.bytes[start:from]))
	switch {
	case lead == "" || n.Kind == yaml.SequenceNode && lead == "-":
		e.cutLines(start, to)
	case first == 0 && n.Kind == yaml.MappingNode:
		// The first key behind a dash: the next one moves up to it.
		after := n.Content[width]
		e.replace(from, e.offset(after.Line, after.Column), "")
	default:
		e.lost = true
	}
}
