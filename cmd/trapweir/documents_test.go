package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"trapweir/internal/doccheck"
)

// The output that documents show is the program's own: a block marked text that follows a
// block of commands is held against what the last of them prints. A line of three dots
// stands for lines that are left out, all else must be there, in a row.
func TestDocumentsShowWhatIsPrinted(t *testing.T) {
	root, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	shown := 0
	for _, doc := range []string{"README.md", "docs/tutorial.md"} {
		text, err := os.ReadFile(filepath.Join(root, doc))
		if err != nil {
			t.Fatal(err)
		}
		dir := t.TempDir()
		t.Chdir(dir)
		if err := os.Symlink(filepath.Join(root, "examples"), filepath.Join(dir, "examples")); err != nil {
			t.Fatal(err)
		}
		var out []string
		for _, b := range blocks(string(text)) {
			switch b.kind {
			case "sh":
				for _, c := range doccheck.Commands("```sh\n" + b.text + "```\n") {
					words := doccheck.Words(c.Text)
					if len(words) > 2 && words[0] == "go" && words[1] == "run" {
						words = append([]string{"trapweir"}, words[3:]...)
					}
					out = nil
					if words[0] != "trapweir" || len(words) > 1 && words[1] == "open" { // that one does not end by itself; open.txtar runs it
						continue
					}
					var stdout, stderr bytes.Buffer
					if status := run(words[1:], strings.NewReader(""), &stdout, &stderr); status == exitNoLook {
						t.Errorf("%s: %s: %s", doc, c.Text, stderr.String())
					}
					out = strings.Split(stdout.String(), "\n")
				}
			case "text":
				if out == nil {
					t.Errorf("%s: no command stands before the output\n%s", doc, b.text)
					continue
				}
				shown++
				if miss := within(strings.Split(strings.TrimRight(b.text, "\n"), "\n"), out); miss != "" {
					t.Errorf("%s shows a line that is not printed there:\n%s\nprinted is\n%s", doc, miss, strings.Join(out, "\n"))
				}
			}
		}
	}
	if shown < 4 {
		t.Errorf("only %d outputs are shown", shown)
	}
}

type block struct{ kind, text string }

func blocks(markdown string) []block {
	var out []block
	in := false
	for _, line := range strings.SplitAfter(markdown, "\n") {
		if rest, ok := strings.CutPrefix(strings.TrimSpace(line), "```"); ok {
			if in = !in; in {
				out = append(out, block{kind: rest})
			}
			continue
		}
		if in {
			out[len(out)-1].text += line
		}
	}
	return out
}

// within returns the first wanted line that is not in its place, "" when all are.
func within(want, got []string) string {
	i, gap := 0, true
	for _, w := range want {
		if w == "..." {
			gap = true
			continue
		}
		if gap {
			for i < len(got) && got[i] != w {
				i++
			}
		}
		if i >= len(got) || got[i] != w {
			return w
		}
		i++
		gap = false
	}
	return ""
}
