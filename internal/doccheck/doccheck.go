// Package doccheck reads the repository's documents and says where they have drifted from
// the program: a command that no script runs, a make target or a Go name that is not there.
package doccheck

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"path/filepath"
	"regexp"
	"strings"
)

// Command is one line of a block marked sh in a document.
type Command struct {
	Line int
	Text string // lines that end in a backslash are one command
}

// Commands returns the commands of a Markdown text's ```sh blocks, in order, without
// comments, blank lines and a leading "$ ".
func Commands(markdown string) []Command {
	var out []Command
	in, start, text := false, 0, ""
	for i, line := range strings.Split(markdown, "\n") {
		trimmed := strings.TrimSpace(line)
		if strings.HasPrefix(trimmed, "```") {
			in = !in && strings.TrimSpace(trimmed[3:]) == "sh"
			text = ""
			continue
		}
		if !in {
			continue
		}
		trimmed = strings.TrimPrefix(trimmed, "$ ")
		if c := strings.Index(trimmed+" ", " # "); c >= 0 {
			trimmed = strings.TrimSpace(trimmed[:c])
		}
		if trimmed == "" || strings.HasPrefix(trimmed, "#") {
			continue
		}
		if text == "" {
			start = i + 1
		}
		more := strings.HasSuffix(trimmed, `\`)
		text = strings.TrimSpace(text + " " + strings.TrimSpace(strings.TrimSuffix(trimmed, `\`)))
		if !more {
			out = append(out, Command{start, text})
			text = ""
		}
	}
	return out
}

// Ran returns the trapweir commands that a testscript runs, in the form that a document
// writes them: without the mark of an expected failure, and with $ROOT as the current
// directory.
func Ran(script string) []string {
	if i := strings.Index(script, "\n-- "); i >= 0 {
		script = script[:i]
	}
	var out []string
	for _, line := range strings.Split(script, "\n") {
		words := Words(line)
		for len(words) > 0 && (words[0] == "!" || words[0] == "?" || words[0] == "exec") {
			words = words[1:]
		}
		if len(words) == 0 || words[0] != "trapweir" {
			continue
		}
		if words[len(words)-1] == "&" {
			words = words[:len(words)-1]
		}
		out = append(out, strings.ReplaceAll(strings.Join(words, " "), "$ROOT/", ""))
	}
	return out
}

// Words splits a command at spaces outside quotes, and drops the quotes.
func Words(line string) []string {
	var out []string
	var word strings.Builder
	quote, open := rune(0), false
	for _, r := range line {
		switch {
		case quote != 0 && r == quote:
			quote = 0
		case quote == 0 && (r == '\'' || r == '"'):
			quote, open = r, true
		case quote == 0 && (r == ' ' || r == '\t'):
			if open {
				out = append(out, word.String())
				word.Reset()
				open = false
			}
		default:
			word.WriteRune(r)
			open = true
		}
	}
	if open {
		out = append(out, word.String())
	}
	return out
}

// Fault says what is wrong with a command of a document, or "". ran holds what scripts
// run, targets the targets of the Makefile.
func Fault(command string, ran, targets map[string]bool) string {
	words := Words(command)
	if len(words) >= 3 && words[0] == "go" && words[1] == "run" && words[2] == "./cmd/trapweir" {
		words = append([]string{"trapweir"}, words[3:]...)
	}
	if len(words) == 0 {
		return ""
	}
	switch base := path.Base(words[0]); {
	case base == "trapweir":
		words[0] = base
		// What the shell does with the output is no part of the command.
		for i, w := range words {
			if w == ">" || w == "|" || w == "<" || w == "&" {
				words = words[:i]
				break
			}
		}
		if text := strings.Join(words, " "); !ran[text] {
			return "no script in cmd/trapweir/testdata/script runs `" + text + "`"
		}
	case base == "make":
		for _, w := range words[1:] {
			if !strings.Contains(w, "=") && !targets[w] {
				return "the Makefile has no target " + w
			}
		}
	case base == "go" && len(words) > 1 && (words[1] == "test" || words[1] == "build" || words[1] == "install" || words[1] == "tool"):
	case base == "git" && len(words) > 1 && words[1] == "clone", base == "cd":
	default:
		return "no test runs `" + command + "`"
	}
	return ""
}

var target = regexp.MustCompile(`(?m)^([a-z][a-z-]*):`)

// Targets returns the targets of a Makefile.
func Targets(makefile string) map[string]bool {
	out := map[string]bool{}
	for _, m := range target.FindAllStringSubmatch(makefile, -1) {
		out[m[1]] = true
	}
	return out
}

// Names returns the exported names under a folder of packages, as "pkg.Name",
// "pkg.Type.Field" and "pkg.Type.Method".
func Names(root string) (map[string]bool, error) {
	out := map[string]bool{}
	err := filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(p, ".go") || strings.HasSuffix(p, "_test.go") {
			return err
		}
		f, err := parser.ParseFile(token.NewFileSet(), p, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		for _, d := range f.Decls {
			declared(f.Name.Name+".", d, out)
		}
		return nil
	})
	return out, err
}

func declared(prefix string, d ast.Decl, out map[string]bool) {
	switch d := d.(type) {
	case *ast.FuncDecl:
		if d.Recv == nil {
			out[prefix+d.Name.Name] = true
			return
		}
		t := d.Recv.List[0].Type
		if star, ok := t.(*ast.StarExpr); ok {
			t = star.X
		}
		if id, ok := t.(*ast.Ident); ok {
			out[prefix+id.Name+"."+d.Name.Name] = true
		}
	case *ast.GenDecl:
		for _, spec := range d.Specs {
			switch s := spec.(type) {
			case *ast.ValueSpec:
				for _, n := range s.Names {
					out[prefix+n.Name] = true
				}
			case *ast.TypeSpec:
				out[prefix+s.Name.Name] = true
				if st, ok := s.Type.(*ast.StructType); ok {
					for _, field := range st.Fields.List {
						for _, n := range field.Names {
							out[prefix+s.Name.Name+"."+n.Name] = true
						}
					}
				}
			}
		}
	}
}
