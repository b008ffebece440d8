package job

import (
	"strings"

	"go.yaml.in/yaml/v4"
)

// rename calls a thing by another name at its own place and wherever it is named: in
// joins, after NAME, from (of walls too), ends; a level in level, under and carries.
func (e *editor) rename(edit *Edit) {
	if len(edit.Path) != 2 || !isNamed(edit.Path[0]) && edit.Path[0] != "walls" {
		e.refuse("only a run, a vent, a level or a wall can be renamed", "give a path such as runs, kitchen")
		return
	}
	heading, from, to := edit.Path[0], edit.Path[1], edit.Value
	if from == to {
		return
	}
	k := find(e.root, heading)
	at := -1
	if k >= 0 {
		at = find(e.root.Content[k], from)
	}
	if at < 0 || e.root.Content[k].Kind != yaml.MappingNode {
		e.refuse("it is not there", "")
		return
	}
	if to == "" {
		e.refuse("the new name is empty", "")
		return
	}
	if why := e.nameTaken(heading, to); why != "" {
		e.refuse(why, "choose another name")
		return
	}
	all := e.root.Content[k]
	flow := e.root.Style&yaml.FlowStyle != 0 || all.Style&yaml.FlowStyle != 0
	e.renameKey(all, at-1, to, flow)
	if heading == "walls" {
		return // nothing names a wall
	}
	for _, h := range []string{"runs", "vents", "levels", "walls"} {
		k := find(e.root, h)
		if k < 0 || e.root.Content[k].Kind != yaml.MappingNode {
			continue
		}
		list := e.root.Content[k]
		flow := e.root.Style&yaml.FlowStyle != 0 || list.Style&yaml.FlowStyle != 0
		for i := 1; i < len(list.Content); i += 2 {
			e.renameIn(heading, h, list.Content[i], from, to, flow)
		}
	}
}

// renameIn looks through one run, vent or level.
func (e *editor) renameIn(heading, in string, n *yaml.Node, from, to string, flow bool) {
	if n.Kind != yaml.MappingNode {
		return
	}
	flow = flow || n.Style&yaml.FlowStyle != 0
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, v := n.Content[i].Value, n.Content[i+1]
		indent := n.Content[i].Column - 1
		if heading == "levels" {
			switch {
			case key == "level" && in != "levels" && in != "walls":
				e.renameValue(v, from, to, flow, indent)
			case key == "under" && in == "levels":
				e.renameUnder(v, from, to, flow, indent)
			case key == "carries" && in == "runs" && v.Kind == yaml.MappingNode:
				if k := find(v, "level"); k >= 0 {
					e.renameValue(v.Content[k], from, to, flow || v.Style&yaml.FlowStyle != 0, v.Content[k-1].Column-1)
				}
			}
			continue
		}
		switch {
		case key == "joins" && in == "runs", key == "ends" && in == "vents":
			e.renameValue(v, from, to, flow, indent)
		case key == "from" && (in == "vents" || in == "walls"):
			if v.Kind == yaml.SequenceNode {
				for _, c := range v.Content {
					e.renameValue(c, from, to, flow || v.Style&yaml.FlowStyle != 0, indent)
				}
			} else {
				e.renameValue(v, from, to, flow, indent)
			}
		case key == "at" && in != "levels", key == "into at" && in == "vents":
			e.renameAfter(v, from, to, flow, indent)
		case key == "cleanouts":
			e.renameCleanouts(v, from, to, flow, indent)
		}
	}
}

func (e *editor) renameCleanouts(n *yaml.Node, from, to string, flow bool, indent int) {
	flow = flow || n.Style&yaml.FlowStyle != 0
	switch n.Kind {
	case yaml.ScalarNode:
		e.renameAfter(n, from, to, flow, indent)
	case yaml.SequenceNode:
		for _, c := range n.Content {
			e.renameCleanouts(c, from, to, flow, indent)
		}
	case yaml.MappingNode:
		if k := find(n, "at"); k >= 0 {
			e.renameAfter(n.Content[k], from, to, flow, n.Content[k-1].Column-1)
		}
	}
}

func (e *editor) renameValue(n *yaml.Node, from, to string, flow bool, indent int) {
	if n.Kind == yaml.ScalarNode && strings.TrimSpace(n.Value) == from {
		e.rewrite(n, to, flow, indent)
	}
}

func (e *editor) renameAfter(n *yaml.Node, from, to string, flow bool, indent int) {
	if n.Kind != yaml.ScalarNode {
		return
	}
	if p, bad := parsePlace(n.Value); bad.found == "" && p.Kind == AfterName && p.Name == from {
		e.rewrite(n, "after "+to, flow, indent)
	}
}

func (e *editor) renameUnder(n *yaml.Node, from, to string, flow bool, indent int) {
	if n.Kind != yaml.ScalarNode {
		return
	}
	name, said := strings.CutPrefix(strings.TrimSpace(n.Value), "level ")
	if strings.TrimSpace(name) != from || !said && match(name, underWords) != "" {
		return
	}
	if said || match(to, underWords) != "" {
		to = "level " + to
	}
	e.rewrite(n, to, flow, indent)
}

// rewrite replaces a scalar.
func (e *editor) rewrite(n *yaml.Node, v string, flow bool, indent int) {
	from := e.offset(n.Line, n.Column)
	e.replace(from, e.end(n, indent), Quote(v, flow))
	n.Value, n.Style = v, styleOf(v)
}

// renameKey rewrites a key and keeps the value in its column where there is room and the
// neighbours are lined up.
func (e *editor) renameKey(n *yaml.Node, at int, to string, flow bool) {
	key, v := n.Content[at], n.Content[at+1]
	from := e.offset(key.Line, key.Column)
	end := e.end(key, 0)
	if end < 0 {
		e.lost = true
		key.Value = to
		return
	}
	written := Quote(to, flow)
	colon := e.keyEnd(key)
	blanks := 0
	if colon > 0 && v.Line == key.Line && !flow {
		for colon+blanks < len(e.bytes) && e.bytes[colon+blanks] == ' ' {
			blanks++
		}
	}
	aligned := false
	for i := 0; i+1 < len(n.Content); i += 2 {
		aligned = aligned || i != at && n.Content[i+1].Column == v.Column && n.Content[i].Line == n.Content[i+1].Line
	}
	grow := int(runes(written)) - int(runes(string(e.bytes[from:end])))
	if want := blanks - grow; blanks > 0 && aligned && (blanks > 1 || grow < 0) && !empty(v) {
		e.replace(from, colon+blanks, written+string(e.bytes[end:colon])+strings.Repeat(" ", max(1, want)))
	} else {
		e.replace(from, end, written)
	}
	key.Value, key.Style = to, styleOf(to)
}
