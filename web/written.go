package web

import (
	"strings"
	"sync"

	"go.yaml.in/yaml/v4"

	"trapweir/engine/job"
)

// Entry is a run, vent or level, or a key of the top of the file, as it is written.
type Entry struct {
	Name string `json:"name"`
	Line int    `json:"line"` // in the file, from 1
	// Text is the value of a key alone, List of a list; Keys are those of a mapping. An
	// item of a list that is a mapping stands in List in flow style.
	Text string   `json:"text,omitempty"`
	List []string `json:"list,omitempty"`
	Keys []Entry  `json:"keys,omitempty"`
	// Rows are the items of a list that has mappings in it, each with its Text or Keys.
	Rows []Entry `json:"rows,omitempty"`
}

// Written is what the file says, key by key, so that the page can show and change it
// without reading the format itself.
type Written struct {
	Top    []Entry `json:"top"`
	Levels []Entry `json:"levels"`
	Runs   []Entry `json:"runs"`
	Vents  []Entry `json:"vents"`
	Walls  []Entry `json:"walls"`
}

func nothingWritten() Written {
	return Written{[]Entry{}, []Entry{}, []Entry{}, []Entry{}, []Entry{}}
}

// written reads a text that package job could read.
func written(text []byte) Written {
	w := nothingWritten()
	var doc yaml.Node
	if err := yaml.Unmarshal(text, &doc); err != nil || len(doc.Content) == 0 {
		return w
	}
	for _, e := range entries(doc.Content[0]) {
		switch e.Name {
		case "levels":
			w.Levels = append(w.Levels, e.Keys...)
		case "runs":
			w.Runs = append(w.Runs, e.Keys...)
		case "vents":
			w.Vents = append(w.Vents, e.Keys...)
		case "walls":
			w.Walls = append(w.Walls, e.Keys...)
		default:
			w.Top = append(w.Top, e)
		}
	}
	return w
}

func entries(n *yaml.Node) []Entry {
	if n.Kind != yaml.MappingNode {
		return nil
	}
	out := make([]Entry, 0, len(n.Content)/2)
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, v := n.Content[i], n.Content[i+1]
		e := Entry{Name: k.Value, Line: k.Line}
		switch v.Kind {
		case yaml.MappingNode:
			e.Keys = entries(v)
		case yaml.SequenceNode:
			e.List = make([]string, 0, len(v.Content))
			deep := false
			for _, item := range v.Content {
				e.List = append(e.List, inline(item))
				deep = deep || item.Kind == yaml.MappingNode
			}
			for _, item := range v.Content {
				if deep {
					e.Rows = append(e.Rows, Entry{Text: item.Value, Line: item.Line, Keys: entries(item)})
				}
			}
		default:
			e.Text = v.Value
		}
		out = append(out, e)
	}
	return out
}

// inline words a value in one line.
func inline(n *yaml.Node) string {
	var parts []string
	switch n.Kind {
	case yaml.MappingNode:
		for i := 0; i+1 < len(n.Content); i += 2 {
			parts = append(parts, n.Content[i].Value+": "+inline(n.Content[i+1]))
		}
		return "{" + strings.Join(parts, ", ") + "}"
	case yaml.SequenceNode:
		for _, c := range n.Content {
			parts = append(parts, inline(c))
		}
		return "[" + strings.Join(parts, ", ") + "]"
	}
	return n.Value
}

// get gives an entry of that name.
func get(es []Entry, name string) (Entry, bool) {
	for _, e := range es {
		if e.Name == name {
			return e, true
		}
	}
	return Entry{}, false
}

// Key is one key that a file may hold, as the page offers it.
type Key struct {
	Name string `json:"name"`
	Say  string `json:"say"`
	// Takes is "length", "height", "size", "slope", "flow", "volume", "temperature", "load",
	// "flag", "place", "leg", "legs", "degrees", "word", "words", "text" or "keys".
	Takes string   `json:"takes"`
	Words []string `json:"words,omitempty"`
	Open  bool     `json:"open,omitempty"` // other values than Words are taken too
	Keys  []Key    `json:"keys,omitempty"`
}

// Forms are the keys of the top of the file, of levels, runs, vents and walls.
type Forms struct {
	Top    []Key `json:"top"`
	Levels []Key `json:"levels"`
	Runs   []Key `json:"runs"`
	Vents  []Key `json:"vents"`
	Walls  []Key `json:"walls"`
}

// forms are made of the schema, which the reader of jobs keeps true.
var forms = sync.OnceValue(func() Forms {
	var doc yaml.Node // JSON is YAML, and read as a tree it keeps its order
	if err := yaml.Unmarshal(job.Schema(), &doc); err != nil {
		panic("web: the schema of jobs cannot be read: " + err.Error())
	}
	f := Forms{}
	for _, k := range keysOf(doc.Content[0]) {
		switch k.Name {
		case "levels":
			f.Levels = k.Keys
		case "runs":
			f.Runs = k.Keys
		case "vents":
			f.Vents = k.Keys
		case "walls":
			f.Walls = k.Keys
		default:
			f.Top = append(f.Top, k)
		}
	}
	return f
})

func at(n *yaml.Node, key string) *yaml.Node {
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

func keysOf(object *yaml.Node) []Key {
	props := at(object, "properties")
	if props == nil {
		return nil
	}
	var out []Key
	for i := 0; i+1 < len(props.Content); i += 2 {
		p := props.Content[i+1]
		k := Key{Name: props.Content[i].Value, Takes: "text"}
		if d := at(p, "description"); d != nil {
			k.Say = d.Value
		}
		k.look(p)
		out = append(out, k)
	}
	return out
}

// look finds what a key takes in the schema of its value.
func (k *Key) look(n *yaml.Node) {
	if r := at(n, "$ref"); r != nil && k.Takes == "text" {
		k.Takes = strings.TrimPrefix(r.Value, "#/$defs/")
	}
	if e := at(n, "enum"); e != nil && len(k.Words) == 0 {
		for _, w := range e.Content {
			k.Words = append(k.Words, w.Value)
		}
		if k.Takes == "text" {
			k.Takes = "word"
		}
	}
	// A pattern that comes before the words, or lets anything through, and a quantity beside
	// them mean that more than the words is taken.
	if p := at(n, "pattern"); p != nil && (len(k.Words) == 0 || p.Value == `\S`) {
		k.Open = true
	}
	if r := at(n, "$ref"); r != nil && len(k.Words) > 0 {
		k.Open = true
	}
	if ks := keysOf(n); len(ks) > 0 && len(k.Keys) == 0 {
		k.Keys = ks
		if len(k.Words) == 0 {
			k.Takes = "keys"
		}
	}
	if a := at(n, "additionalProperties"); a != nil {
		k.look(a)
	}
	if alts := at(n, "anyOf"); alts != nil {
		for _, a := range alts.Content {
			k.look(a)
		}
	}
	if items := at(n, "items"); items != nil {
		k.look(items)
		switch k.Takes {
		case "leg":
			k.Takes = "legs"
		case "word", "text":
			k.Takes += "s"
		}
	}
}
