// Package trapweir_test holds the rules about the shape of the repository: which package
// may import which, what the engine may touch, and that no Go file knows a code book.
package trapweir_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"sort"
	"strconv"
	"strings"
	"testing"
)

const module = "trapweir"

// flow lists the packages in the order in which a job goes through them. A package may
// import only what stands above it. An entry that ends in "/..." is a family: its members
// may import each other, since none of them sees more of the job than the others.
//
// A new package gets a line here, at the place where it stands in the flow.
var flow = []string{
	"engine/unit",
	"engine/source",
	"engine/diag",
	"engine/yamlread",
	"engine/codebook",
	"engine/catalog",
	"engine/job",
	"engine/network",
	"engine/load",
	"engine/size",
	"engine/vent",
	"engine/elevation",
	"engine/fitting",
	"engine/framing",
	"engine/check",
	"engine/rules",
	"engine/stock",
	"engine/takeoff",
	"engine/price",
	"engine",
	"engine/propose", // calls the engine on changed jobs, to try what it proposes
	"engine/site",    // picks what to look at on the site of a solved job
	"data/...",       // embedded files; what asks for them is told which by its caller
	"shelf",          // hands the engine the embedded books that a job names
	"examples",       // embedded demo jobs
	"draw/...",
	"report/...",
	"draw/view", // draws what the report says as well as what the engine found
	"web/...",
	"cmd/...",
	"internal/...", // tools of the repository: they look at it, the product never uses them
}

// rank gives the place of a package directory in the flow, or -1. A line of its own goes
// before the line of its family.
func rank(dir string) int {
	at := -1
	for i, f := range flow {
		family, ok := strings.CutSuffix(f, "/...")
		switch {
		case dir == f:
			return i
		case ok && at < 0 && (dir == family || strings.HasPrefix(dir, family+"/")):
			at = i
		}
	}
	return at
}

// turnsBack says what is wrong with an import that a file of a package makes, or "".
func turnsBack(file, dir, imported string) string {
	target, ok := strings.CutPrefix(imported, module+"/")
	if !ok {
		return ""
	}
	if rank(target) > rank(dir) {
		return fmt.Sprintf("%s imports %s, which comes later in the flow", file, strings.TrimPrefix(target, "engine/"))
	}
	return ""
}

// mayImport lists what the engine may use: the standard library without the packages that
// reach outside the program, the YAML reader, and itself. Package embed is allowed: what
// it embeds is part of the program (the rules carry their examples so).
func mayImport(p string) bool {
	switch {
	case p == module+"/engine" || strings.HasPrefix(p, module+"/engine/"):
		return true
	case p == "go.yaml.in/yaml/v4" || strings.HasPrefix(p, "go.yaml.in/yaml/v4/"):
		return true
	case strings.Contains(strings.SplitN(p, "/", 2)[0], "."), p == module, strings.HasPrefix(p, module+"/"):
		return false
	}
	for _, bad := range []string{"os", "net", "syscall", "plugin", "log", "io/ioutil", "path/filepath", "math/rand", "crypto/rand", "database", "runtime", "unsafe", "testing"} {
		if p == bad || strings.HasPrefix(p, bad+"/") {
			return false
		}
	}
	return true
}

// clock are the names of package time that look at a clock or wait for one.
var clock = map[string]bool{
	"Now": true, "Since": true, "Until": true, "Sleep": true, "After": true, "AfterFunc": true,
	"Tick": true, "NewTicker": true, "NewTimer": true, "Local": true, "LoadLocation": true,
}

// goFile is one parsed Go file that is not a test.
type goFile struct {
	path string // slash-separated, from the root
	dir  string
	ast  *ast.File
}

// goFiles parses every Go file of the repository that is not a test, in path order.
func goFiles(t *testing.T, fset *token.FileSet) []goFile {
	t.Helper()
	var files []goFile
	err := filepath.WalkDir(".", func(p string, d fs.DirEntry, err error) error {
		switch name := d.Name(); {
		case err != nil:
			return err
		case d.IsDir():
			if p != "." && (strings.HasPrefix(name, ".") || strings.HasPrefix(name, "_") || name == "testdata" || name == "node_modules") {
				return filepath.SkipDir
			}
		case strings.HasSuffix(name, ".go") && !strings.HasSuffix(name, "_test.go"):
			f, err := parser.ParseFile(fset, p, nil, parser.SkipObjectResolution)
			if err != nil {
				return err
			}
			p = filepath.ToSlash(p)
			files = append(files, goFile{p, path.Dir(p), f})
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(files) == 0 {
		t.Fatal("no Go files found: the test must run in the root of the repository")
	}
	return files
}

func inEngine(dir string) bool { return dir == "engine" || strings.HasPrefix(dir, "engine/") }

func TestImportsFollowTheFlow(t *testing.T) {
	for _, f := range goFiles(t, token.NewFileSet()) {
		if rank(f.dir) < 0 {
			t.Errorf("%s: package %s has no place in the flow: give it a line in layers_test.go", f.path, f.dir)
			continue
		}
		for _, spec := range f.ast.Imports {
			imported, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				t.Fatal(err)
			}
			if says := turnsBack(f.path, f.dir, imported); says != "" {
				t.Error(says)
			}
			if inEngine(f.dir) && !mayImport(imported) {
				t.Errorf("%s imports %s: the engine uses the standard library without files, network, clock and chance, and the YAML reader", f.path, imported)
			}
		}
	}
}

// The rules themselves are tried on imports that must be refused, so that a slip in the
// list above cannot let everything through.
func TestFlowRefuses(t *testing.T) {
	for _, tt := range []struct{ file, dir, imported, want string }{
		{"engine/size/size.go", "engine/size", "trapweir/report", "engine/size/size.go imports report, which comes later in the flow"},
		{"engine/load/load.go", "engine/load", "trapweir/engine/size", "engine/load/load.go imports size, which comes later in the flow"},
		{"engine/unit/unit.go", "engine/unit", "trapweir/engine", "engine/unit/unit.go imports engine, which comes later in the flow"},
		{"engine/rules/a.go", "engine/rules", "trapweir/data", "engine/rules/a.go imports data, which comes later in the flow"},
		{"report/a.go", "report", "trapweir/draw/svg", ""},
		{"draw/svg/a.go", "draw/svg", "trapweir/draw/font", ""},
		{"engine/size/a.go", "engine/size", "trapweir/engine/load", ""},
	} {
		if got := turnsBack(tt.file, tt.dir, tt.imported); got != tt.want {
			t.Errorf("%s importing %s: %q, want %q", tt.file, tt.imported, got, tt.want)
		}
	}
	for p, want := range map[string]bool{
		"os": false, "os/exec": false, "net": false, "net/http": false, "net/netip": false, "math/rand/v2": false,
		"trapweir/report": false, "trapweir": false, "github.com/spf13/cobra": false, "go.yaml.in/yaml/v3": false,
		"strings": true, "math/bits": true, "time": true, "go.yaml.in/yaml/v4": true, "trapweir/engine/unit": true,
	} {
		if mayImport(p) != want {
			t.Errorf("the engine may import %s: %v, want %v", p, !want, want)
		}
	}
}

// What the engine pulls in, directly or not, when it is built for a browser.
func TestEngineImportGraph(t *testing.T) {
	cmd := exec.Command("go", "list", "-e", "-deps", "-f", "{{.Standard}} {{.ImportPath}}", "./engine/...")
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	heavy := regexp.MustCompile(`^(net|crypto/tls|crypto/x509|os/exec|os/user|plugin|database|html|text/template|log|testing|mime|go|debug|expvar|archive|image)(/|$)`)
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	for _, line := range lines {
		standard, p, _ := strings.Cut(line, " ")
		switch {
		case standard == "true" && heavy.MatchString(p):
			t.Errorf("the engine depends on %s: find which import brings it (go list -deps ./engine/...)", p)
		case standard == "false" && !mayImport(p):
			t.Errorf("the engine depends on %s: only go.yaml.in/yaml/v4 may come from outside", p)
		}
	}
	if len(lines) < 10 {
		t.Errorf("go list named only %d packages: %q", len(lines), lines)
	}
}

// noImports stands in for every imported package: names of this package are told apart
// from local ones without building anything else.
type noImports struct{}

func (noImports) Import(p string) (*types.Package, error) {
	pkg := types.NewPackage(p, path.Base(p))
	pkg.MarkComplete()
	return pkg, nil
}

// changed returns the package-level variables that code outside init assigns to, counts
// up, clears, copies into or deletes from. A variable that is changed only through a
// pointer or a second name is not seen.
func changed(fset *token.FileSet, files []*ast.File) []string {
	info := &types.Info{Uses: map[*ast.Ident]types.Object{}}
	conf := types.Config{Importer: noImports{}, Error: func(error) {}}
	pkg, _ := conf.Check("p", fset, files, info) // imports are empty: errors are expected
	var says []string
	report := func(e ast.Expr) {
		for {
			switch x := e.(type) {
			case *ast.IndexExpr:
				e = x.X
				continue
			case *ast.SliceExpr:
				e = x.X
				continue
			case *ast.StarExpr:
				e = x.X
				continue
			case *ast.ParenExpr:
				e = x.X
				continue
			case *ast.SelectorExpr:
				if id, ok := x.X.(*ast.Ident); ok {
					if name, ok := info.Uses[id].(*types.PkgName); ok {
						says = append(says, fmt.Sprintf("%s: changes %s.%s", fset.Position(e.Pos()), name.Name(), x.Sel.Name))
						return
					}
				}
				e = x.X
				continue
			case *ast.Ident:
				if v, ok := info.Uses[x].(*types.Var); ok && v.Parent() == pkg.Scope() {
					says = append(says, fmt.Sprintf("%s: changes the package variable %s", fset.Position(x.Pos()), x.Name))
				}
			}
			return
		}
	}
	for _, f := range files {
		for _, d := range f.Decls {
			fn, ok := d.(*ast.FuncDecl)
			if !ok || fn.Body == nil || fn.Recv == nil && fn.Name.Name == "init" {
				continue
			}
			ast.Inspect(fn.Body, func(n ast.Node) bool {
				switch n := n.(type) {
				case *ast.AssignStmt:
					if n.Tok != token.DEFINE {
						for _, e := range n.Lhs {
							report(e)
						}
					}
				case *ast.IncDecStmt:
					report(n.X)
				case *ast.RangeStmt:
					if n.Tok == token.ASSIGN {
						report(n.Key)
						report(n.Value)
					}
				case *ast.CallExpr:
					if id, ok := n.Fun.(*ast.Ident); ok && len(n.Args) > 0 {
						if id.Name == "delete" || id.Name == "clear" || id.Name == "copy" {
							report(n.Args[0])
						}
					}
				}
				return true
			})
		}
	}
	return says
}

func TestEngineKeepsNothing(t *testing.T) {
	fset := token.NewFileSet()
	byDir := map[string][]*ast.File{}
	for _, f := range goFiles(t, fset) {
		if !inEngine(f.dir) {
			continue
		}
		byDir[f.dir] = append(byDir[f.dir], f.ast)
		ast.Inspect(f.ast, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.SelectorExpr:
				if id, ok := n.X.(*ast.Ident); ok && id.Name == "time" && clock[n.Sel.Name] {
					t.Errorf("%s: time.%s: the engine has no clock; hand the date in", fset.Position(n.Pos()), n.Sel.Name)
				}
				if id, ok := n.X.(*ast.Ident); ok && id.Name == "fmt" && (strings.HasPrefix(n.Sel.Name, "Print") || strings.HasPrefix(n.Sel.Name, "Scan")) {
					t.Errorf("%s: fmt.%s: the engine prints nothing; return it", fset.Position(n.Pos()), n.Sel.Name)
				}
			case *ast.CallExpr:
				if id, ok := n.Fun.(*ast.Ident); ok && (id.Name == "print" || id.Name == "println") {
					t.Errorf("%s: %s: the engine prints nothing", fset.Position(n.Pos()), id.Name)
				}
			}
			return true
		})
	}
	dirs := make([]string, 0, len(byDir))
	for d := range byDir {
		dirs = append(dirs, d)
	}
	sort.Strings(dirs)
	for _, d := range dirs {
		for _, says := range changed(fset, byDir[d]) {
			t.Errorf("%s: the engine has no globals that change", says)
		}
	}
}

func TestChangedSeesChanges(t *testing.T) {
	const src = `package p
import "strings"
var table = map[string]int{"a": 1}
var list []int
var n int
var made = map[string]int{}
func init() { made["a"] = 1 }
func local() { table := map[string]int{}; table["a"] = 2; n := 1; n++; _ = strings.ToUpper }
func read() int { return table["a"] + list[0] + n + made["a"] }
func bad() { table["b"] = 2; list = append(list, 1); n++; delete(table, "a"); clear(list) }
`
	fset := token.NewFileSet()
	f, err := parser.ParseFile(fset, "p.go", src, 0)
	if err != nil {
		t.Fatal(err)
	}
	got := changed(fset, []*ast.File{f})
	want := []string{"table", "list", "n", "table", "list"}
	if len(got) != len(want) {
		t.Fatalf("%d changes seen, want %d:\n%s", len(got), len(want), strings.Join(got, "\n"))
	}
	for i, says := range got {
		if !strings.HasPrefix(says, "p.go:10:") || !strings.HasSuffix(says, " "+want[i]) {
			t.Errorf("change %d: %q, want one of %s on line 10", i, says, want[i])
		}
	}
}

// bookName finds a code book's id, its initials or its title.
var bookName = regexp.MustCompile(`(?i)\b(irc|ipc|upc|npc|nspc|obc|cpc|en[- ]?12056)(-?\d|\b)|international (residential|plumbing)|uniform plumbing|national (standard )?plumbing`)

func TestNoGoFileNamesACodeBook(t *testing.T) {
	fset := token.NewFileSet()
	for _, f := range goFiles(t, fset) {
		// Sample sheets are made for drawing tests, though other packages' tests import them.
		if strings.Contains(f.path, "/internal/sample/") || f.dir == "internal" || strings.HasPrefix(f.dir, "internal/") {
			continue
		}
		ast.Inspect(f.ast, func(n ast.Node) bool {
			lit, ok := n.(*ast.BasicLit)
			if !ok || lit.Kind != token.STRING {
				return true
			}
			if word := bookName.FindString(lit.Value); word != "" {
				t.Errorf("%s: %q in %s names a code book: ask the book for a parameter, a table or a clause by its topic; the id that is used when a job names none lives in data", fset.Position(lit.Pos()), word, lit.Value)
			}
			return true
		})
	}
	for text, want := range map[string]bool{
		"irc-2021": true, "IPC 704.1": true, "upc2024": true, "the International Residential Code": true, "EN 12056-2": true, "npc": true,
		"circuit vent": false, "pipe": false, "marlow-county": false, "national standard": false, "ipchain": false,
	} {
		if bookName.MatchString(text) != want {
			t.Errorf("%q names a code book: %v, want %v", text, !want, want)
		}
	}
}
