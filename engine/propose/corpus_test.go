package propose_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"trapweir/engine"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/propose"
	"trapweir/engine/rules"
	"trapweir/shelf"
)

const root = "../../"

// A sample is one job of the repository.
type sample struct {
	name string
	text []byte
	code string // book to use instead of the job's; "" uses the job's
}

// corpus gathers the examples, the practice cases and the examples of the rules.
func corpus(t testing.TB) []sample {
	t.Helper()
	var out []sample
	for _, pattern := range []string{"examples/*.dwv.yaml", "testdata/cases/*.dwv.yaml", "testdata/tried/*.dwv.yaml", "testdata/worked/*.dwv.yaml"} {
		files, err := filepath.Glob(root + pattern)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			b, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			out = append(out, sample{name: filepath.Base(f), text: b})
		}
	}
	if len(out) < 50 {
		t.Fatalf("only %d jobs found", len(out))
	}
	for _, f := range rules.ExampleFiles() {
		id := strings.TrimSuffix(f, ".txtar")
		for i, x := range rules.Examples(id) {
			if x.Outcome == "fail" {
				out = append(out, sample{name: id + " " + string(rune('a'+i)), text: []byte(x.Job)})
			}
		}
	}
	return out
}

// layers are the invented amendments of the cases.
func layers(t testing.TB) []codebook.File {
	t.Helper()
	var out []codebook.File
	for _, dir := range []string{"testdata/cases/layers/", "testdata/worked/layers/"} {
		files, _ := filepath.Glob(root + dir + "*.yaml")
		for _, f := range files {
			b, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			out = append(out, codebook.File{Name: filepath.Base(f), Text: b})
		}
	}
	return out
}

// shelves reads every book once for all tests of one kind.
func shelves(t testing.TB) engine.Data {
	t.Helper()
	d, ds := shelf.All(layers(t)...)
	if diag.Count(ds, diag.Error) > 0 {
		t.Fatalf("the books are not read: %s", ds[0].Message)
	}
	return d
}

type mark struct{ rule, what, name string }

func faults(r *engine.Result) map[mark]int {
	out := map[mark]int{}
	for i := range r.Findings {
		if f := &r.Findings[i]; f.Severity <= diag.Warning {
			out[mark{f.Rule, f.On.What.String(), f.On.Name}]++
		}
	}
	return out
}

// holds tries one proposal by hand, without what package propose knows of it: the edits are
// made in the file, the job is solved again from the text, and the findings are compared.
// It reports how the finding of an answer and all others fare.
func holds(t testing.TB, d engine.Data, s sample, before *engine.Result, a *propose.Answer, p *propose.Proposal) {
	t.Helper()
	fail := func(format string, args ...any) {
		t.Helper()
		t.Errorf("%s: proposal %d, %s: "+format, append([]any{s.name, p.Number, p.ID}, args...)...)
	}
	text, ds := job.Apply(s.text, p.Edits)
	if len(ds) > 0 {
		fail("the edits are not made as meant: %s", ds[0].Message)
		return
	}
	if !bytes.Equal(text, p.Text()) {
		fail("the text that it holds is not the text that its edits make")
	}
	after := engine.Run(d, engine.Input{Name: s.name, Text: text, Code: s.code})
	if !after.Solved() || diag.Count(after.Faults, diag.Error) > 0 {
		fail("the job is not read any more: %v", after.Faults)
		return
	}
	was, now := faults(before), faults(after)
	m := mark{a.Finding.Rule, a.Finding.On.What.String(), a.Finding.On.Name}
	if now[m] >= was[m] {
		fail("%v is found %d times, and was %d times before", m, now[m], was[m])
	}
	for k, n := range now {
		if n > was[k] {
			fail("brings %v", k)
		}
	}
	for _, x := range p.Removes {
		k := mark{x.Rule, x.What.String(), x.Name}
		if now[k] >= was[k] {
			fail("says that it removes %v and does not", k)
		}
	}
	for _, x := range p.Leaves {
		if now[mark{x.Rule, x.What.String(), x.Name}] == 0 {
			fail("says that it leaves %v and does not", x)
		}
	}
	onlyMeant(t, s, text, p)
	if p.Do == "" || strings.HasSuffix(p.Do, ".") || strings.Contains(p.Do, "  ") || strings.Contains(p.Do, "~") {
		fail("words: %q", p.Do)
	}
	if p.Cost.Pipe < 0 || p.Cost.Enlarged < 0 || p.Cost.Fittings < 0 || p.Number < 1 {
		fail("cost %+v", p.Cost)
	}
}

// onlyMeant compares the two texts line by line: lines of runs and vents that no edit names
// are still there, in their order, and so is every comment.
func onlyMeant(t testing.TB, s sample, text []byte, p *propose.Proposal) {
	t.Helper()
	named := func(line string) bool {
		for i := range p.Edits {
			if p.Edits[i].Path[0] == "outlet" && strings.HasPrefix(line, "outlet:") {
				return true
			}
			if e := &p.Edits[i]; len(e.Path) > 1 && strings.Contains(line, e.Path[1]) {
				return true
			}
		}
		return false
	}
	next := string(text)
	inNamed := 0
	for _, line := range strings.Split(string(s.text), "\n") {
		trimmed := strings.TrimSpace(line)
		indent := len(line) - len(strings.TrimLeft(line, " "))
		switch {
		case trimmed == "":
			continue
		case named(line) && (indent > 0 || strings.HasPrefix(line, "outlet:")):
			inNamed = indent // its own lines may follow
			continue
		case inNamed > 0 && indent > inNamed:
			continue
		}
		inNamed = 0
		if !strings.Contains(next, trimmed) && trimmed != "vents:" {
			t.Errorf("%s: proposal %s lost the line %q", s.name, p.ID, line)
			return
		}
	}
	for _, line := range strings.Split(string(s.text), "\n") {
		if _, comment, ok := strings.Cut(line, " #"); ok && !strings.Contains(next, strings.TrimSpace(comment)) {
			t.Errorf("%s: proposal %s lost the comment %q", s.name, p.ID, comment)
		}
	}
}
