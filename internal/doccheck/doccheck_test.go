package doccheck

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

const root = "../.."

func read(t *testing.T, p string) string {
	t.Helper()
	text, err := os.ReadFile(p)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func glob(t *testing.T, patterns ...string) []string {
	t.Helper()
	var out []string
	for _, p := range patterns {
		files, err := filepath.Glob(filepath.Join(root, p))
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, files...)
	}
	return out
}

// Every command that a document tells people to type is run by a test, or is one of the
// build's own.
func TestCommandsInDocumentsAreRun(t *testing.T) {
	ran := map[string]bool{}
	for _, f := range glob(t, "cmd/trapweir/testdata/script/*.txtar") {
		for _, c := range Ran(read(t, f)) {
			ran[c] = true
		}
	}
	targets := Targets(read(t, filepath.Join(root, "Makefile")))
	documents := glob(t, "*.md", "docs/*.md")
	if len(documents) < 3 {
		t.Fatalf("only %d documents found", len(documents))
	}
	for _, f := range documents {
		for _, c := range Commands(read(t, f)) {
			if fault := Fault(c.Text, ran, targets); fault != "" {
				t.Errorf("%s:%d: %s", strings.TrimPrefix(filepath.ToSlash(f), root+"/"), c.Line, fault)
			}
		}
	}
}

func TestFault(t *testing.T) {
	const document = "Build it:\n```sh\n$ make test   # all\n\n# a remark\ntrapweir check \\\n    examples/a.dwv.yaml\n```\n```yaml\nnot: a command\n```\n" +
		"```sh\ngo run ./cmd/trapweir draw 'b c.dwv.yaml' > b.svg\ntrapweir sing\nmake tea\ncurl https://example.org\n```\n"
	const script = "# a script\ntrapweir check $ROOT/examples/a.dwv.yaml\n! exec trapweir draw 'b c.dwv.yaml'\n-- a --\ntrapweir sing\n"
	ran := map[string]bool{}
	for _, c := range Ran(script) {
		ran[c] = true
	}
	targets := Targets("test: vet\n\tgo test\nvet:\n\tgo vet\n")
	var got []string
	for _, c := range Commands(document) {
		got = append(got, Fault(c.Text, ran, targets))
	}
	want := []string{
		"", "", "",
		"no script in cmd/trapweir/testdata/script runs `trapweir sing`",
		"the Makefile has no target tea",
		"no test runs `curl https://example.org`",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

var inBackticks = regexp.MustCompile("`([a-z]+\\.[A-Z][A-Za-z.]*)`")

// The types that the glossary names are there.
func TestGlossaryNamesWhatIsThere(t *testing.T) {
	names, err := Names(filepath.Join(root, "engine"))
	if err != nil {
		t.Fatal(err)
	}
	text := read(t, filepath.Join(root, "docs/glossary.md"))
	found := inBackticks.FindAllStringSubmatch(text, -1)
	if len(found) < 40 {
		t.Errorf("only %d of our types found in the glossary", len(found))
	}
	for _, m := range found {
		if !names[m[1]] {
			t.Errorf("docs/glossary.md names %s, which is not in engine/", m[1])
		}
	}
	if names["unit.Furlong"] || !names["unit.Length"] || !names["job.Level.Floor"] || !names["source.Span.IsZero"] {
		t.Error("the names read from engine/ are not those that are there")
	}
}

// Rows of the glossary have all six columns and no term stands twice.
func TestGlossaryRows(t *testing.T) {
	seen := map[string]int{}
	for i, line := range strings.Split(read(t, filepath.Join(root, "docs/glossary.md")), "\n") {
		if !strings.HasPrefix(line, "| ") || strings.HasPrefix(line, "| term ") {
			continue
		}
		cells := strings.Split(strings.Trim(line, "|"), "|")
		if len(cells) != 6 {
			t.Errorf("docs/glossary.md:%d: %d columns, want 6", i+1, len(cells))
			continue
		}
		for _, c := range cells {
			if strings.TrimSpace(c) == "" {
				t.Errorf("docs/glossary.md:%d: an empty cell: write - where there is no word", i+1)
			}
		}
		term := strings.TrimSpace(cells[0])
		if at := seen[term]; at > 0 {
			t.Errorf("docs/glossary.md:%d: %s stands on line %d too", i+1, term, at)
		}
		seen[term] = i + 1
	}
	if len(seen) < 80 {
		t.Errorf("the glossary has %d terms", len(seen))
	}
}
