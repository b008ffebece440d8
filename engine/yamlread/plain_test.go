package yamlread_test

import (
	"os"
	"path/filepath"
	"testing"

	"go.yaml.in/yaml/v4"

	"trapweir/engine/yamlread"
)

// differs says where two trees differ in what readers use, "" if nowhere.
func differs(got, want *yaml.Node) string {
	switch {
	case got.Kind != want.Kind:
		return "kind"
	case got.Style != want.Style:
		return "style"
	case got.Value != want.Value:
		return "value " + got.Value + " for " + want.Value
	case got.Line != want.Line || got.Column != want.Column:
		return "place of " + want.Value
	case want.Anchor != "" || want.Alias != nil || want.Tag == "!!merge":
		return "anchor, alias or merge"
	case len(got.Content) != len(want.Content):
		return "number of entries of " + want.Value
	}
	for i := range got.Content {
		if d := differs(got.Content[i], want.Content[i]); d != "" {
			return d
		}
	}
	return ""
}

// held compares the fast reading with the library's; it says whether there was one.
func held(t *testing.T, text []byte) bool {
	t.Helper()
	got := yamlread.Plain(text)
	if got == nil {
		return false
	}
	var doc yaml.Node
	if err := yaml.Load(text, &doc, yaml.WithUniqueKeys(false)); err != nil {
		t.Fatalf("%q is read, and the library says %v", text, err)
	}
	if d := differs(got, doc.Content[0]); d != "" {
		t.Fatalf("%q: %s", text, d)
	}
	return true
}

func TestPlainReadsAsTheLibraryDoes(t *testing.T) {
	for _, text := range []string{
		"a: b", "a: b\n", "# x\na: b # c\n", "a:\n", "a:   # none\nb: 1\n", "a:\n\n  b: 1\n  c: 2\n\nd: 3\n",
		"a: {b: 1, c: [x, y z, 'q', \"r\"]}\n", "a: {}\nb: []\n", "a: [1,\n    2, # two\n    3]\nb: x\n",
		"a:\n  - x\n  - {b: c}\nd: e\n", "a:\n- x\n- y\nd: e\n", "legs: [E 9' 1\", down 2' 2-1/2\"]\n",
		"é: ½\nb: {ü: 1½, c: d}\n", "'a b': 1\n\"c\": 2\n", "a: b:c\nd: x#y\ne: [a:b]\n", "a: -3'\nb: .5\n",
		"a:\n  b:\n    c: 1\n  d: 2\n",
	} {
		if !held(t, []byte(text)) {
			t.Errorf("%q is left to the library", text)
		}
	}
}

// What is rare or wrong is the library's.
func TestPlainLeavesTheRest(t *testing.T) {
	for _, text := range []string{
		"", "# x\n", "- a\n", "a\n", "{a: 1}\n", "a: &x b\n", "a: *x\n", "a: !t b\n", "a: |\n  b\n", "a: >\n  b\n",
		"a: b\n  c\n", "a: b: c\n", "a: [b\n", "a: [b: c]\n", "a: {b}\n", "a: {b: }\n", "a: [b,]\n", "a: 'b''c'\n",
		"a: \"b\\n\"\n", "a:\tb\n", "a: b\r\n", "---\na: b\n", "a: b\n---\nc: d\n", "<<: x\n", "? a\n: b\n", "a: [b\nc]\n",
		"a: [b\n  c]\n", "a: {b\n  : c}\n", " a: b\n", "a: b\n c: d\n", "a:\n   b: 1\n  c: 2\n", "\xef\xbb\xbfa: b\n", "a: \xff\n",
	} {
		if yamlread.Plain([]byte(text)) != nil {
			t.Errorf("%q is read", text)
		}
	}
}

// Most files of this repository are written in that part; where one is, the trees agree.
func TestPlainReadsTheJobs(t *testing.T) {
	for _, glob := range []string{"../../examples/*.dwv.yaml", "../../testdata/cases/*.dwv.yaml"} {
		files, err := filepath.Glob(glob)
		if err != nil || len(files) == 0 {
			t.Fatal(glob, err)
		}
		n := 0
		for _, f := range files {
			b, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			if held(t, b) {
				n++
			}
		}
		if n*10 < len(files)*9 {
			t.Errorf("%s: %d of %d files are read; is something common missing?", glob, n, len(files))
		}
	}
}

func FuzzPlain(f *testing.F) {
	for _, s := range []string{"a: {b: 1, c: [x, 'y', \"z\"]}\nd:\n  - e\n  - f # g\nh: -3' 6\"\n", "a:\nb: [c,\n   d]\n", "é: {ü: 1½}\n", "a: - b\n", "a: .. b\n", "a:\n -b: c\n"} {
		f.Add([]byte(s))
	}
	files, _ := filepath.Glob("../../examples/*.yaml")
	for _, name := range files {
		if b, err := os.ReadFile(name); err == nil {
			f.Add(b)
		}
	}
	f.Fuzz(func(t *testing.T, b []byte) { held(t, b) })
}
