package job

import (
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"
)

func (e *editor) set(path []string, v *yaml.Node) {
	n := e.root
	flow := n.Style&yaml.FlowStyle != 0
	for i, p := range path {
		k := find(n, p)
		last := i == len(path)-1
		switch {
		case k < 0 && n.Kind == yaml.SequenceNode:
			e.refuse("the list has no item "+p, "append to it instead")
			return
		case k < 0:
			// Not there: make it, with what is missing below it.
			for j := len(path) - 1; j > i; j-- {
				v = &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle, Content: []*yaml.Node{scalarNode(path[j]), v}}
			}
			e.insert(n, p, v, flow, i == 0, -1)
			return
		case last:
			old := n.Content[k]
			if same(old, v) {
				return
			}
			e.overwrite(n, k, old, v, flow)
			n.Content[k] = v
			return
		}
		c := n.Content[k]
		if empty(c) {
			for j := len(path) - 1; j > i; j-- {
				v = &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle, Content: []*yaml.Node{scalarNode(path[j]), v}}
			}
			e.overwrite(n, k, c, v, flow)
			n.Content[k] = v
			return
		}
		if c.Kind == yaml.ScalarNode {
			e.refuse("there is "+quoted(c.Value)+" and nothing can stand below it", "set "+strings.Join(path[:i+1], ", ")+" instead")
			return
		}
		n = c
		flow = flow || n.Style&yaml.FlowStyle != 0
	}
}

// overwrite writes v in the place of old, the child k of parent.
func (e *editor) overwrite(parent *yaml.Node, k int, old, v *yaml.Node, flow bool) {
	with := encode(v, flow)
	if parent.Kind == yaml.MappingNode {
		key := parent.Content[k-1]
		keyEnd := e.keyEnd(key)
		switch {
		case keyEnd < 0:
			e.lost = true
			return
		case empty(old) && old.Value == "":
			if e.bytes[keyEnd-1] != ':' {
				with = ": " + with
			} else {
				with = " " + with
			}
			e.replace(keyEnd, keyEnd, with)
			return
		case old.Kind != yaml.ScalarNode && old.Style&yaml.FlowStyle == 0:
			// A block below the key: the value moves up behind the key, the block's lines go.
			to := e.end(old, key.Column-1)
			if to < 0 || len(old.Content) == 0 {
				e.lost = true
				return
			}
			e.replace(keyEnd, keyEnd, " "+with)
			e.cutLines(e.lineStart(old.Line), to)
			return
		}
	}
	indent := 0
	if parent.Kind == yaml.MappingNode {
		indent = parent.Content[k-1].Column - 1
	} else {
		indent = max(0, parent.Column-1)
	}
	from := e.offset(old.Line, old.Column)
	e.replace(from, e.end(old, indent), with)
}

// insert writes key: v into mapping n, below child index after (or last, with -1).
func (e *editor) insert(n *yaml.Node, name string, v *yaml.Node, flow, top bool, after int) {
	if n.Kind != yaml.MappingNode {
		e.refuse("there is "+shape(n)+", and a key can only stand in a mapping", "")
		return
	}
	if after < 0 {
		after = len(n.Content) - 2
	}
	entry := Quote(name, flow) + ": " + encode(v, flow)
	switch {
	case len(n.Content) == 0:
		if n.Style&yaml.FlowStyle == 0 {
			e.lost = true
			break
		}
		at := e.offset(n.Line, n.Column) + 1
		e.replace(at, at, entry)
	case flow:
		end := e.end(n.Content[after+1], n.Content[after].Column-1)
		if n.Content[after+1].Value == "" && empty(n.Content[after+1]) {
			end = e.keyEnd(n.Content[after])
		}
		e.replace(end, end, ", "+entry)
	default:
		indent := n.Content[0].Column - 1
		if key := n.Content[after]; !top && v.Kind == yaml.MappingNode {
			entry = Quote(name, false) + ":" + e.pad(n, after, name, key) + encode(v, false)
		}
		at := e.end(n.Content[after+1], indent)
		if empty(n.Content[after+1]) && n.Content[after+1].Value == "" {
			at = e.keyEnd(n.Content[after])
		}
		if at < 0 {
			e.lost = true
			break
		}
		at, broken := e.lineEnd(at)
		line := strings.Repeat(" ", indent) + entry + e.eol
		if top && v.Kind == yaml.MappingNode && v.Style&yaml.FlowStyle != 0 && isNamed(name) {
			line = name + ":" + e.eol + "  " + strings.TrimSuffix(strings.TrimPrefix(encode(v, false), "{"), "}") + e.eol
		}
		if !broken {
			line = e.eol + strings.TrimSuffix(line, e.eol)
		}
		e.replace(at, at, line)
	}
	n.Content = append(n.Content, nil, nil)
	copy(n.Content[after+4:], n.Content[after+2:])
	n.Content[after+2], n.Content[after+3] = scalarNode(name), v
}

func isNamed(heading string) bool {
	return heading == "runs" || heading == "vents" || heading == "levels"
}

// pad is the blank between the colon and the value that lines a new entry up with the
// entry above, where that one is lined up.
func (e *editor) pad(n *yaml.Node, at int, name string, key *yaml.Node) string {
	v := n.Content[at+1]
	if v.Line != key.Line {
		return " "
	}
	width := v.Column - key.Column // of the key, its colon and the blank
	aligned := width > int(runes(Quote(key.Value, false)))+2
	for i := 0; i+1 < len(n.Content) && !aligned; i += 2 {
		k, o := n.Content[i], n.Content[i+1]
		aligned = i != at && o.Line == k.Line && o.Column == v.Column && k.Value != key.Value && len(k.Value) != len(key.Value)
	}
	if gap := width - int(runes(Quote(name, false))) - 1; aligned && gap > 0 {
		return strings.Repeat(" ", gap)
	}
	return " "
}

func (e *editor) add(edit *Edit) {
	heading, name := edit.Path[0], ""
	if len(edit.Path) == 2 {
		name = edit.Path[1]
	}
	if !isNamed(heading) || name == "" {
		e.refuse("only a run, a vent or a level can be added", "give a path such as runs, kitchen")
		return
	}
	if why := e.nameTaken(heading, name); why != "" {
		e.refuse(why, "choose another name")
		return
	}
	for i, f := range edit.Fields {
		if f.Key == "" || slices.ContainsFunc(edit.Fields[:i], func(x Field) bool { return x.Key == f.Key }) {
			e.refuse("the key "+quoted(f.Key)+" is empty or given twice", "")
			return
		}
	}
	v := fieldsNode(edit.Fields)
	k := find(e.root, heading)
	if k < 0 || empty(e.root.Content[k]) || len(e.root.Content[k].Content) == 0 {
		if k >= 0 && e.root.Content[k].Kind == yaml.SequenceNode {
			e.refuse("there is a list below "+heading, "")
			return
		}
		e.set([]string{heading, name}, v)
		return
	}
	n := e.root.Content[k]
	after := -1
	if edit.After != "" {
		i := find(n, edit.After)
		if i < 0 {
			e.refuse("there is no "+quoted(edit.After)+" to stand below", "")
			return
		}
		after = i - 1
	}
	e.insert(n, name, v, e.root.Style&yaml.FlowStyle != 0 || n.Style&yaml.FlowStyle != 0, false, after)
}

// nameTaken says why a new thing cannot have a name, "" when it can.
func (e *editor) nameTaken(heading, name string) string {
	if name != strings.TrimSpace(name) || strings.ContainsAny(name, "\n\r\t") {
		return "the name begins or ends with a blank, or holds a tab or a line break"
	}
	if heading == "levels" || heading == "walls" {
		if k := find(e.root, heading); k >= 0 && find(e.root.Content[k], name) >= 0 {
			return "the name " + quoted(name) + " is taken"
		}
		return ""
	}
	if reserved(name) {
		return "the word " + quoted(name) + " has a meaning of its own"
	}
	for _, h := range []string{"runs", "vents"} {
		if k := find(e.root, h); k >= 0 && find(e.root.Content[k], name) >= 0 {
			return "the name " + quoted(name) + " is taken"
		}
	}
	return ""
}

func (e *editor) append(edit *Edit) {
	n := e.root
	flow := n.Style&yaml.FlowStyle != 0
	for _, p := range edit.Path {
		k := find(n, p)
		if k < 0 {
			e.set(edit.Path, listNode([]string{edit.Value}))
			return
		}
		n = n.Content[k]
		flow = flow || n.Style&yaml.FlowStyle != 0
	}
	item := scalarNode(edit.Value)
	switch {
	case empty(n):
		e.set(edit.Path, listNode([]string{edit.Value}))
		return
	case n.Kind == yaml.ScalarNode:
		e.set(edit.Path, listNode([]string{n.Value, edit.Value}))
		return
	case n.Kind != yaml.SequenceNode:
		e.refuse("there is "+shape(n)+", and only a list can be appended to", "")
		return
	}
	with := Quote(edit.Value, flow)
	switch {
	case n.Style&yaml.FlowStyle != 0 && len(n.Content) == 0:
		at := e.offset(n.Line, n.Column) + 1
		e.replace(at, at, with)
	case n.Style&yaml.FlowStyle != 0:
		at := e.childEnd(n, len(n.Content)-1)
		e.replace(at, at, ", "+with)
	default:
		at := e.childEnd(n, len(n.Content)-1)
		if at < 0 {
			e.lost = true
			break
		}
		at, broken := e.lineEnd(at)
		line := strings.Repeat(" ", n.Column-1) + "- " + with + e.eol
		if !broken {
			line = e.eol + strings.TrimSuffix(line, e.eol)
		}
		e.replace(at, at, line)
	}
	n.Content = append(n.Content, item)
}
