package cases

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"sort"
	"strings"

	"go.yaml.in/yaml/v4"
)

// AsWritten is the variant of the job as it stands in its file.
const AsWritten = "as written"

// Suite is a folder of jobs with what they expect.
type Suite struct {
	Dir     string              `yaml:"-"`
	Layers  map[string][]byte   `yaml:"-"` // files of the folder layers
	Aliases map[string][]string `yaml:"aliases"`
	Floor   Floor               `yaml:"floor"`
	Cases   map[string]*Case    `yaml:"cases"`
}

// Floor is the score that must not be lost again.
type Floor struct {
	Found  int `yaml:"found"`
	Alarms int `yaml:"false alarms"`
	Sizes  int `yaml:"sizes"`
}

// Case is what one case expects.
type Case struct {
	ID        string                     `yaml:"-"`
	Say       string                     `yaml:"say"`          // what is published, and where
	Table     string                     `yaml:"table"`        // whose table the published result comes from
	Variants  map[string]*Variant        `yaml:"variants"`     // name -> what is changed
	Find      []*Expect                  `yaml:"find"`         // must be found
	Clear     []*Expect                  `yaml:"clear"`        // must not be raised
	Only      bool                       `yaml:"nothing else"` // the job as written has no error or warning but those of find
	Sizes     map[string]map[string]Size `yaml:"sizes"`        // variant -> run or vent -> size
	Traps     map[string]map[string]Size `yaml:"traps"`        // variant -> run -> trap
	Units     map[string]map[string]Size `yaml:"units"`        // variant -> run -> fixture units
	Ask       []*Expect                  `yaml:"ask"`          // must be asked
	Inverts   []*Expect                  `yaml:"inverts"`      // ends of runs
	Beyond    []string                   `yaml:"beyond"`       // what a run of the job cannot show
	Published map[string]string          `yaml:"published"`    // what the source prints, in its words and numbers
}

// Variant is a job with something changed.
type Variant struct {
	Job   string   `yaml:"job"`
	Code  string   `yaml:"code"`
	With  []string `yaml:"with"`
	Edits []Edit   `yaml:"edits"`
}

// Edit changes one place: a path of keys with / between them.
type Edit struct {
	Set  string    `yaml:"set"`
	To   yaml.Node `yaml:"to"`
	Drop string    `yaml:"drop"`
}

// Expect is one line of what must or must not be said.
type Expect struct {
	Rule     string `yaml:"rule"`
	On       Words  `yaml:"on"`
	Value    string `yaml:"value"`
	Limit    string `yaml:"limit"`
	Suggest  string `yaml:"suggest"`
	Severity string `yaml:"severity"`
	Words    Words  `yaml:"words"`
	Run      string `yaml:"run"` // with inverts
	End      string `yaml:"end"`
	Is       string `yaml:"is"`
	In       Words  `yaml:"in"`
}

// Size is what a size must be: a size, the size of another pipe, or at least a size.
type Size struct {
	Is, SameAs, AtLeast string
}

// Words is one word or a list of them.
type Words []string

// UnmarshalYAML reads a word or a list.
func (w *Words) UnmarshalYAML(n *yaml.Node) error {
	switch n.Kind {
	case yaml.ScalarNode:
		*w = Words{n.Value}
	case yaml.SequenceNode:
		for _, c := range n.Content {
			*w = append(*w, c.Value)
		}
	default:
		return fmt.Errorf("line %d: a word or a list of words is expected", n.Line)
	}
	return nil
}

// UnmarshalYAML reads `3`, `{same as: stk}` or `{at least: 4}`.
func (s *Size) UnmarshalYAML(n *yaml.Node) error {
	if n.Kind == yaml.ScalarNode {
		s.Is = n.Value
		return nil
	}
	if n.Kind != yaml.MappingNode || len(n.Content) != 2 {
		return fmt.Errorf("line %d: a size, {same as: NAME} or {at least: SIZE} is expected", n.Line)
	}
	switch k := n.Content[0].Value; k {
	case "same as":
		s.SameAs = n.Content[1].Value
	case "at least":
		s.AtLeast = n.Content[1].Value
	default:
		return fmt.Errorf("line %d: %q is neither same as nor at least", n.Line, k)
	}
	return nil
}

// Load reads DIR/expect.yaml and the layers; job files are read when they are run.
func Load(dir string) (*Suite, error) {
	b, err := os.ReadFile(filepath.Join(dir, "expect.yaml"))
	if err != nil {
		return nil, err
	}
	s := &Suite{Dir: dir, Layers: map[string][]byte{}}
	if err := yaml.Load(b, s, yaml.WithKnownFields(true)); err != nil {
		return nil, fmt.Errorf("%s/expect.yaml: %w", dir, err)
	}
	for id, c := range s.Cases {
		c.ID = id
	}
	files, err := filepath.Glob(filepath.Join(dir, "layers", "*.yaml"))
	if err != nil {
		return nil, err
	}
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			return nil, err
		}
		s.Layers[strings.TrimSuffix(filepath.Base(f), ".yaml")] = b
	}
	return s, nil
}

// IDs returns the cases in order.
func (s *Suite) IDs() []string {
	out := make([]string, 0, len(s.Cases))
	for id := range s.Cases {
		out = append(out, id)
	}
	sort.Strings(out)
	return out
}

var bookID = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*-\d{4}$`)

// variant returns what a name stands for: a variant of the case, the job as written, or
// the job under the book of that id.
func (c *Case) variant(name string) (*Variant, error) {
	if v, ok := c.Variants[name]; ok {
		return v, nil
	}
	switch {
	case name == AsWritten:
		return &Variant{}, nil
	case bookID.MatchString(name):
		return &Variant{Code: name}, nil
	}
	return nil, fmt.Errorf("%s: no variant %q", c.ID, name)
}

// Used lists the variants that the case's entries name, in order, "as written" first.
func (c *Case) Used() []string {
	seen := map[string]bool{}
	if c.Only {
		seen[AsWritten] = true
	}
	for _, list := range [][]*Expect{c.Find, c.Clear, c.Ask, c.Inverts} {
		for _, e := range list {
			for _, v := range e.in() {
				seen[v] = true
			}
		}
	}
	for _, m := range []map[string]map[string]Size{c.Sizes, c.Traps, c.Units} {
		for v := range m {
			seen[v] = true
		}
	}
	out := make([]string, 0, len(seen))
	for v := range seen {
		out = append(out, v)
	}
	sort.Slice(out, func(i, j int) bool {
		if a, b := out[i] == AsWritten, out[j] == AsWritten; a != b {
			return a
		}
		return out[i] < out[j]
	})
	return out
}

func (e *Expect) in() []string {
	if len(e.In) == 0 {
		return []string{AsWritten}
	}
	return e.In
}

// Text returns the job file of a variant.
func (s *Suite) Text(c *Case, name string) ([]byte, error) {
	v, err := c.variant(name)
	if err != nil {
		return nil, err
	}
	file := v.Job
	if file == "" {
		file = c.ID
	}
	b, err := os.ReadFile(filepath.Join(s.Dir, file+".dwv.yaml"))
	if err != nil {
		return nil, err
	}
	if v.Code == "" && len(v.With) == 0 && len(v.Edits) == 0 {
		return b, nil
	}
	out, err := apply(b, v)
	if err != nil {
		return nil, fmt.Errorf("%s, %s: %w", c.ID, name, err)
	}
	return out, nil
}

// apply changes a job text. The text is written anew; a job means the same however it is
// laid out.
func apply(text []byte, v *Variant) ([]byte, error) {
	var doc yaml.Node
	if err := yaml.Load(text, &doc); err != nil {
		return nil, err
	}
	if len(doc.Content) == 0 {
		return nil, fmt.Errorf("an empty job")
	}
	top := doc.Content[0]
	if v.Code != "" {
		if err := set(top, "code", word(v.Code)); err != nil {
			return nil, err
		}
	}
	if len(v.With) > 0 {
		list := &yaml.Node{Kind: yaml.SequenceNode, Tag: "!!seq"}
		for _, w := range v.With {
			list.Content = append(list.Content, word(w))
		}
		if err := set(top, "with", list); err != nil {
			return nil, err
		}
	}
	for i := range v.Edits {
		e := &v.Edits[i]
		var err error
		switch {
		case e.Set != "" && e.Drop == "":
			err = set(top, e.Set, &e.To)
		case e.Drop != "" && e.Set == "":
			err = drop(top, e.Drop)
		default:
			err = fmt.Errorf("an edit either sets or drops")
		}
		if err != nil {
			return nil, err
		}
	}
	return yaml.Dump(&doc)
}

func word(s string) *yaml.Node { return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: s} }

// find walks to the mapping that holds the last key of a path.
func find(n *yaml.Node, path string) (*yaml.Node, string, error) {
	keys := strings.Split(path, "/")
	for _, k := range keys[:len(keys)-1] {
		i := index(n, k)
		if i < 0 {
			return nil, "", fmt.Errorf("%s: no %s in the job", path, k)
		}
		n = n.Content[i+1]
	}
	if n.Kind != yaml.MappingNode {
		return nil, "", fmt.Errorf("%s: nothing can be set there", path)
	}
	return n, keys[len(keys)-1], nil
}

func index(n *yaml.Node, key string) int {
	if n.Kind == yaml.MappingNode {
		for i := 0; i+1 < len(n.Content); i += 2 {
			if n.Content[i].Value == key {
				return i
			}
		}
	}
	return -1
}

func set(top *yaml.Node, path string, to *yaml.Node) error {
	n, key, err := find(top, path)
	if err != nil {
		return err
	}
	if i := index(n, key); i >= 0 {
		n.Content[i+1] = to
		return nil
	}
	n.Content = append(n.Content, word(key), to)
	return nil
}

func drop(top *yaml.Node, path string) error {
	n, key, err := find(top, path)
	if err != nil {
		return err
	}
	i := index(n, key)
	if i < 0 {
		return fmt.Errorf("%s: nothing there to drop", path)
	}
	n.Content = append(n.Content[:i:i], n.Content[i+2:]...)
	return nil
}
