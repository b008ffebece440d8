package job

import (
	"go.yaml.in/yaml/v4"
)

func scalarNode(v string) *yaml.Node {
	return &yaml.Node{Kind: yaml.ScalarNode, Value: v, Tag: "!!str", Style: styleOf(v)}
}

// styleOf keeps a text that would read as nothing apart from nothing.
func styleOf(v string) yaml.Style {
	if v == "" || v == "~" || v == "null" {
		return yaml.SingleQuotedStyle
	}
	return 0
}

func listNode(items []string) *yaml.Node {
	n := &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle}
	for _, s := range items {
		n.Content = append(n.Content, scalarNode(s))
	}
	return n
}

func itemsNode(items []Item) *yaml.Node {
	n := &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle}
	for _, it := range items {
		if it.Fields == nil {
			n.Content = append(n.Content, scalarNode(it.Value))
			continue
		}
		n.Content = append(n.Content, fieldsNode(it.Fields))
	}
	return n
}

func fieldsNode(fields []Field) *yaml.Node {
	n := &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle}
	for _, f := range fields {
		c := scalarNode(f.Value)
		if f.List != nil {
			c = listNode(f.List)
		}
		n.Content = append(n.Content, scalarNode(f.Key), c)
	}
	return n
}

// find gives the index of the value under key in a mapping, or of an item in a list; -1
// when it is not there.
func find(n *yaml.Node, key string) int {
	switch n.Kind {
	case yaml.MappingNode:
		for i := 0; i+1 < len(n.Content); i += 2 {
			if n.Content[i].Kind == yaml.ScalarNode && n.Content[i].Value == key {
				return i + 1
			}
		}
	case yaml.SequenceNode:
		if i := smallNumber(key); i >= 0 && i < len(n.Content) {
			return i
		}
	}
	return -1
}

func smallNumber(s string) int {
	n := 0
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' || n > 1e6 {
			return -1
		}
		n = n*10 + int(s[i]-'0')
	}
	if s == "" {
		return -1
	}
	return n
}
