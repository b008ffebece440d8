package job

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

type sample struct {
	name, text string
	structure  bool // a fault that a schema can see
}

// accepted is the document's example and every way of writing that it tells of.
func accepted(t testing.TB) []sample {
	out := []sample{{name: "the document's example", text: string(docExample(t))}}
	return append(out, samples(t, "accept.txt")...)
}

func rejected(t testing.TB) []sample { return samples(t, "reject.txt") }

// samples reads testdata: each begins with a line == NAME, or =! NAME where only the
// reader can see the fault.
func samples(t testing.TB, file string) []sample {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("testdata", file))
	if err != nil {
		t.Fatal(err)
	}
	var out []sample
	for _, l := range strings.SplitAfter(string(b), "\n") {
		if name, ok := strings.CutPrefix(l, "== "); ok {
			out = append(out, sample{name: strings.TrimSpace(name), structure: true})
			continue
		}
		if name, ok := strings.CutPrefix(l, "=! "); ok {
			out = append(out, sample{name: strings.TrimSpace(name)})
			continue
		}
		if len(out) > 0 {
			out[len(out)-1].text += l
		}
	}
	for i := range out {
		// Short forms: each line that begins with run, vent or top is one run, vent or top key.
		out[i].text = strings.ReplaceAll(out[i].text, "<tab>", "\t")
		if s := out[i].text; strings.HasPrefix(s, "run ") {
			out[i].text = "job: t\nruns:\n"
			for _, l := range strings.Split(strings.TrimSpace(s), "\n") {
				if l = strings.TrimPrefix(l, "run "); out[i].text == "job: t\nruns:\n" {
					out[i].text += "  a: {joins: outlet, " + l + "}\n"
				} else {
					out[i].text += "  a" + strings.Repeat("b", strings.Count(out[i].text, "\n")) + ": {joins: a, " + l + "}\n"
				}
			}
		}
		if s := out[i].text; strings.HasPrefix(s, "vent ") {
			out[i].text = "job: t\nruns:\n  a: {joins: outlet}\nvents:\n"
			for k, l := range strings.Split(strings.TrimSpace(s), "\n") {
				out[i].text += "  v" + itoa(k) + ": {from: a, " + strings.TrimPrefix(l, "vent ") + "}\n"
			}
		}
		if s := out[i].text; strings.HasPrefix(s, "top ") {
			out[i].text = "job: t\nruns:\n  a: {joins: outlet}\n"
			for _, l := range strings.Split(strings.TrimSpace(s), "\n") {
				out[i].text += strings.TrimPrefix(l, "top ") + "\n"
			}
		}
	}
	return out
}

func TestAccepts(t *testing.T) {
	cs := accepted(t)
	if len(cs) < 20 {
		t.Fatalf("only %d samples", len(cs))
	}
	for _, c := range cs {
		if j, ds := Read("t.dwv.yaml", []byte(c.text)); len(ds) > 0 || j == nil {
			t.Errorf("%s:\n%s%s", c.name, c.text, tell(ds))
		}
		// The same with line ends of another system, and a byte order mark.
		for _, v := range []string{strings.ReplaceAll(c.text, "\n", "\r\n"), "\ufeff" + c.text, "---\n" + c.text + "...\n"} {
			if _, ds := Read("t.dwv.yaml", []byte(v)); len(ds) > 0 {
				t.Errorf("%s, with other line ends:\n%q\n%s", c.name, v, tell(ds))
			}
		}
	}
}

func TestRejects(t *testing.T) {
	var b strings.Builder
	for _, c := range rejected(t) {
		_, ds := Read("t.dwv.yaml", []byte(c.text))
		if len(ds) == 0 {
			t.Errorf("%s is accepted:\n%s", c.name, c.text)
		}
		b.WriteString("== " + c.name + "\n" + tell(ds))
		for _, d := range ds {
			if d.Rule != RuleFile || d.At.IsZero() || d.At.EndCol <= d.At.Col || d.At.File != "t.dwv.yaml" {
				t.Errorf("%s: rule %q at %v to %d", c.name, d.Rule, d.At, d.At.EndCol)
			}
			if d.Try == "" {
				t.Errorf("%s: %q does not say what to write", c.name, d.Message)
			}
			if d.Message != strings.TrimRight(d.Message, ".!\n") {
				t.Errorf("%s: %q ends in a stop", c.name, d.Message)
			}
		}
	}
	golden(t, "reject.golden.txt", b.String())
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if string(want) == got {
		return
	}
	w, g := strings.Split(string(want), "\n"), strings.Split(got, "\n")
	for i := range max(len(w), len(g)) {
		var a, b string
		if i < len(w) {
			a = w[i]
		}
		if i < len(g) {
			b = g[i]
		}
		if a != b {
			t.Errorf("%s:%d\n got %s\nwant %s", path, i+1, b, a)
			return
		}
	}
}
