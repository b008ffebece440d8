package yamlread

import (
	"fmt"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"
)

// walk reads a small made-up file shape and returns what was said, one line each.
func walk(text string) (said []string, got []string) {
	root, diags := Parse("t.yaml", []byte(text), Limits{})
	r := New("t.yaml", []byte(text), "job-file")
	r.Diags = diags
	for k, v := range r.Fields(root, "the file", []string{"job", "runs", "grid", "list"}) {
		switch k {
		case "job":
			if s, at, ok := r.Text(v); ok {
				got = append(got, fmt.Sprintf("job=%s@%d-%d", s, at.Col, at.EndCol))
			}
		case "list":
			for _, c := range r.Items(v, "list") {
				if s, at, ok := r.Text(c); ok {
					got = append(got, fmt.Sprintf("%s@%d:%d-%d", s, at.Line, at.Col, at.EndCol))
				}
			}
		case "runs":
			for name, run := range r.Entries(v, "runs") {
				for kk, vv := range r.Fields(run, "the run "+name.Value, []string{"joins", "slope", "size"}) {
					if s, at, ok := r.Text(vv); ok {
						got = append(got, fmt.Sprintf("%s.%s=%s@%d:%d-%d", name.Value, kk, s, at.Line, at.Col, at.EndCol))
					}
				}
			}
		case "grid":
			if b, ok := r.Block(v, "grid"); ok {
				for i, l := range b.Lines {
					at := b.Span(i, 0, len(l))
					got = append(got, fmt.Sprintf("%q@%d:%d-%d", l, at.Line, at.Col, at.EndCol))
				}
			}
		}
	}
	for _, d := range r.Diags {
		s := d.At.String() + ": " + d.Message
		if d.Try != "" {
			s += " | " + d.Try
		}
		said = append(said, s)
	}
	return said, got
}

func TestReport(t *testing.T) {
	tests := []struct {
		name, text string
		said, got  string
	}{
		{
			"plain values end where they end",
			"job: 9' 2-1/2\"   # note\nruns:\n  main: {joins: outlet, slope: 1/4\" per ft}\n",
			"", "job=9' 2-1/2\"@6-15; main.joins=outlet@3:17-23; main.slope=1/4\" per ft@3:32-43",
		},
		{
			"quoted values include their quotes",
			"list: ['it''s', \"a\\\"b\", é½, x]\n",
			"", "it's@1:8-15; a\"b@1:17-23; é½@1:25-27; x@1:29-30",
		},
		{
			"columns are characters, not bytes",
			"job: ½½ size\n", "", "job=½½ size@6-13",
		},
		{
			"unknown and doubled keys, all at once",
			"jub: x\nruns:\n  a: {join: b, sise: 3, size: 2, size: 4}\n  a: {}\n",
			"t.yaml:1:1: unknown key jub in the file | did you mean job?; " +
				"t.yaml:3:7: unknown key join in the run a | did you mean joins?; " +
				"t.yaml:3:16: unknown key sise in the run a | did you mean size?; " +
				"t.yaml:3:34: size is given twice in the run a, first on line 3 | keep one of the two; " +
				"t.yaml:4:3: a is given twice in runs, first on line 3 | keep one of the two",
			"a.size=2@3:31-32",
		},
		{
			"wrong shapes",
			"job: [a]\nruns: 3\ngrid: a\nlist: {a: b}\n",
			"t.yaml:1:6: found a list where a single value is expected | write one value, with no brackets and no dash before it; " +
				"t.yaml:2:7: runs is a single value; a mapping is expected | write key: value pairs, one a line or in { }; " +
				"t.yaml:3:7: grid is not written as a block of lines | write | after the key and the lines below it, indented; " +
				"t.yaml:4:7: list is a mapping; a list is expected | write [one, two] or a line with - for each",
			"",
		},
		{"nothing written", "job:\n", "t.yaml:1:5: nothing is written here | write a value, or leave the key out", ""},
		{
			"a block keeps its lines and places", "grid: |\n    a  b\n\n    é  d\njob: x\n", "",
			"\"a  b\"@2:5-9; \"\"@3:1-2; \"é  d\"@4:5-10; job=x@6-7",
		},
		{
			"inch mark in double quotes", "runs:\n  a: {slope: \"1/4\"\", size: 3}\n",
			"t.yaml:2:14: \"1/4\"\": the inch mark inside double quotes ends the text early | write it without quotes: 1/4\"", "",
		},
		{
			"inch mark in double quotes, seen by the parser only later", "job: \"9' 2\"\"\nruns:\n  a: {size: \"3\"}\n",
			"t.yaml:1:6: \"9' 2\"\": the inch mark inside double quotes ends the text early | write it without quotes: 9' 2\"", "",
		},
		{"two inch marks", "job: 9' 2\"\"\n", "t.yaml:1:6: 9' 2\"\" ends in more than one inch mark | write 9' 2\"", ""},
		{
			"alias", "job: &a x\nlist: *a\n",
			"t.yaml:1:6: an anchor (&) stands here; anchors are not read | leave it out; " +
				"t.yaml:2:7: an alias (*) stands here; aliases are not read | write the value out", "",
		},
		{"tag", "job: !!str x\n", "t.yaml:1:6: a tag (!) stands here; tags are not read | leave it out", ""},
		{"empty", "# nothing\n", "t.yaml:1:1: the file says nothing | write its keys, or leave the file out", ""},
		{"two files in one", "job: x\n---\njob: y\n", "t.yaml:2:1: a second document starts here; one is read | leave out the line ---", ""},
		{"byte order mark", "\ufeffjob: x\r\nlist: [a]\r\n", "", "job=x@6-7; a@2:8-9"},
		{"no UTF-8", "job: x\nruns: \xff\n", "t.yaml:2:1: the line has bytes that are no UTF-8 text | save the file as UTF-8", ""},
		{
			"deep", "job: " + strings.Repeat("[", 60) + strings.Repeat("]", 60) + "\n",
			"t.yaml:1:46: the nesting is deeper than is read here | write it flatter", "",
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			said, got := walk(tt.text)
			if s := strings.Join(said, "; "); s != tt.said {
				t.Errorf("said\n%s\nwant\n%s", strings.ReplaceAll(s, "; ", "\n"), strings.ReplaceAll(tt.said, "; ", "\n"))
			}
			if s := strings.Join(got, "; "); s != tt.got {
				t.Errorf("read\n%s\nwant\n%s", s, tt.got)
			}
		})
	}
}

func TestFileTooLarge(t *testing.T) {
	root, ds := Parse("t.yaml", make([]byte, 2<<20), Limits{})
	if root != nil || len(ds) != 1 || !strings.Contains(ds[0].Message, "2097152 bytes") {
		t.Errorf("got %v, %v", root, ds)
	}
}

// A megabyte of unknown keys, of doubled keys or of values on one line must be answered
// in moments, and with no more than people can read.
func TestHostile(t *testing.T) {
	var a, b, c strings.Builder
	c.WriteString("list: [½")
	for i := 0; a.Len() < 900_000; i++ {
		fmt.Fprintf(&a, "k%d: x\n", i)
		b.WriteString("job: x\n")
		c.WriteString(",½")
	}
	c.WriteString("]\n")
	for _, text := range []string{a.String(), b.String(), c.String()} {
		said, _ := walk(text)
		if len(said) > maxDiags {
			t.Errorf("%d things said", len(said))
		}
	}
}

func TestNearest(t *testing.T) {
	known := []string{"lavatory", "bathtub", "water closet", "sump", "size", "side"}
	for word, want := range map[string]string{
		"lavatry": "lavatory", "Bathtub": "bathtub", "batthub": "bathtub", "water closets": "water closet",
		"sise": "size", "sidde": "side", "water": "water closet", "boiler": "", "": "", "x": "",
	} {
		if got := Nearest(word, known); got != want {
			t.Errorf("Nearest(%q) = %q, want %q", word, got, want)
		}
	}
}

func TestGet(t *testing.T) {
	root, _ := Parse("t.yaml", []byte("a: {b: c}\n"), Limits{})
	if v := Get(Get(root, "a"), "b"); v == nil || v.Value != "c" {
		t.Errorf("a.b = %v", v)
	}
	if v := Get(root, "z"); v != nil {
		t.Errorf("z = %v", v)
	}
}

func FuzzWalk(f *testing.F) {
	for _, s := range []string{"job: x\n", "grid: |\n  a\n", "list: ['a', \"b\\\"\", ½]\n", "\ufeffjob: x\r\n", "job: \"9' 2\"\"\n", "job: >-\n  a\n  b\nlist: - a\n", "job: 'a\n  b'\n", "? a\n: b\n", "job: a\n  b c\n"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		root, ds := Parse("f", []byte(s), Limits{})
		if root == nil && len(ds) == 0 {
			t.Fatal("nothing read and nothing said")
		}
		r := New("f", []byte(s), "job-file")
		var each func(n *yaml.Node)
		each = func(n *yaml.Node) {
			at := r.Span(n)
			if at.Line < 1 || at.Col < 1 || at.EndCol <= at.Col {
				t.Fatalf("span %+v of %q", at, n.Value)
			}
			for _, c := range n.Content {
				each(c)
			}
		}
		if root != nil {
			each(root)
		}
		walk(s)
	})
}
