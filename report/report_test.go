package report

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"reflect"
	"sort"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"trapweir/engine"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/propose"
	"trapweir/shelf"
)

var update = flag.Bool("update", false, "rewrite the stored results and the schema")

// solveFile runs a job file of the repository, its layers beside it.
func solveFile(t *testing.T, path string) *engine.Result {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", path))
	if err != nil {
		t.Fatal(err)
	}
	var extra []codebook.File
	for _, id := range shelf.With(text) {
		if b, err := os.ReadFile(filepath.Join("..", filepath.Dir(path), "layers", id+".yaml")); err == nil {
			extra = append(extra, codebook.File{Name: id + ".yaml", Text: b})
		}
	}
	d, ds := shelf.For(text, "", extra...)
	if diag.Count(ds, diag.Error) > 0 {
		t.Fatal(ds[0].Message)
	}
	return engine.Run(d, engine.Input{Name: path, Text: text})
}

func jobs(t *testing.T, patterns ...string) []string {
	t.Helper()
	var out []string
	for _, p := range patterns {
		files, err := filepath.Glob(filepath.Join("..", p))
		if err != nil || len(files) == 0 {
			t.Fatalf("no files like %s", p)
		}
		for _, f := range files {
			out = append(out, filepath.ToSlash(strings.TrimPrefix(f, ".."+string(filepath.Separator))))
		}
	}
	return out
}

// The demo houses come out as they did when someone last looked: examples/*.golden, made
// anew with go test ./report -update.
func TestDemoHouses(t *testing.T) {
	for _, path := range jobs(t, "examples/*.dwv.yaml") {
		r := solveFile(t, path)
		if !r.Solved() {
			t.Errorf("%s: not solved: %v", path, r.Faults)
			continue
		}
		for name, write := range map[string]func(*bytes.Buffer){
			"size":  func(b *bytes.Buffer) { Size(b, r) },
			"check": func(b *bytes.Buffer) { Check(b, r) },
		} {
			var b bytes.Buffer
			write(&b)
			stored(t, strings.TrimSuffix(path, ".dwv.yaml")+"."+name+".golden", b.Bytes())
		}
	}
}

func stored(t *testing.T, path string, got []byte) {
	t.Helper()
	file := filepath.Join("..", path)
	if *update {
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Equal(got, want) {
		return
	}
	g, w := strings.Split(string(got), "\n"), strings.Split(string(want), "\n")
	for i := range max(len(g), len(w)) {
		a, b := "(end)", "(end)"
		if i < len(g) {
			a = g[i]
		}
		if i < len(w) {
			b = w[i]
		}
		if a != b {
			t.Errorf("%s:%d:\n got  %s\n want %s\n(go test ./report -update rewrites it)", path, i+1, a, b)
			return
		}
	}
}

// Texts keep to the width of a page, say nothing twice in a row and never that a job is
// approved or in order.
func TestTextsReadWell(t *testing.T) {
	for _, path := range jobs(t, "examples/*.dwv.yaml", "testdata/cases/*.dwv.yaml") {
		r := solveFile(t, path)
		if !r.Solved() {
			continue
		}
		var b bytes.Buffer
		Size(&b, r)
		Check(&b, r)
		Walk(&b, r, "")
		for i := range r.Net.Runs {
			Why(&b, r, r.Net.Runs[i].Name)
		}
		for _, line := range strings.Split(b.String(), "\n") {
			if n := len([]rune(line)); n > 132 {
				t.Errorf("%s: %d characters: %s", path, n, line)
			}
			if line != strings.TrimRight(line, " ") {
				t.Errorf("%s: spaces at the end: %q", path, line)
			}
			if strings.Contains(line, "1 units") && !strings.Contains(line, ".1 units") && !strings.Contains(line, "1 units that") && !digitBefore(line, "1 units") {
				t.Errorf("%s: 1 units: %s", path, line)
			}
			low := strings.ToLower(line)
			for _, bad := range []string{"is approved", "is safe", "passes inspection", "%!", "<nil>"} {
				if strings.Contains(low, bad) {
					t.Errorf("%s: %q in %s", path, bad, line)
				}
			}
		}
	}
}

func digitBefore(s, word string) bool {
	i := strings.Index(s, word)
	return i > 0 && s[i-1] >= '0' && s[i-1] <= '9'
}

// Every document that the program writes as JSON keeps to the schema that is published.
func TestDocumentsKeepToTheSchema(t *testing.T) {
	stored(t, "docs/result.schema.json", schema(t))
	var doc any
	if err := json.Unmarshal(schema(t), &doc); err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("result.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	compiled := map[string]*jsonschema.Schema{}
	check := func(def, what string, v any) {
		t.Helper()
		s := compiled[def]
		if s == nil {
			var err error
			if s, err = c.Compile("result.schema.json#/$defs/" + def); err != nil {
				t.Fatal(err)
			}
			compiled[def] = s
		}
		b, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		x, err := jsonschema.UnmarshalJSON(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Validate(x); err != nil {
			t.Errorf("%s: %s: %v", what, def, err)
		}
	}
	for _, path := range jobs(t, "examples/*.dwv.yaml", "testdata/cases/*.dwv.yaml", "testdata/worked/*.dwv.yaml", "testdata/tried/*.dwv.yaml") {
		r := solveFile(t, path)
		check("result", path, Document(r))
		if !r.Solved() {
			continue
		}
		for i := range r.Net.Runs {
			if p, ok := WhyDoc(r, r.Net.Runs[i].Name); ok {
				check("why", path, p)
			}
		}
		for i := range r.Net.Vents {
			if p, ok := WhyDoc(r, r.Net.Vents[i].Name); ok {
				check("why", path, p)
			}
		}
		if steps, ok := Steps(r, ""); ok {
			check("walk", path, WalkPage{Format, steps})
		}
		if p, ok := FallDoc(r, ""); ok {
			check("fall", path, p)
		}
	}
	check("result", "a job that cannot be read", Document(engine.Run(engine.Data{}, engine.Input{Name: "x", Text: []byte("job: [")})))
	d, ds := shelf.All()
	if diag.Count(ds, diag.Error) > 0 {
		t.Fatal(ds[0].Message)
	}
	text, err := os.ReadFile("../examples/heron-lane.dwv.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var rs []*engine.Result
	for _, b := range shelf.Compared() {
		rs = append(rs, engine.Run(d, engine.Input{Name: "heron-lane", Text: text, Code: b}))
	}
	check("compare", "heron-lane", CompareDoc(rs))
	check("site", "heron-lane", SiteDoc(rs[0]))
	effort, _ := shelf.Effort("", nil)
	check("fix", "heron-lane", FixDocument(propose.For(d, engine.Input{Name: "heron-lane", Text: text, Code: shelf.Compared()[2]}, rs[2], "", effort)))
	check("books", "shelf", BookList(d.Books))
	check("rules", "rules", RuleList(d))
	for _, p := range RuleList(d) {
		if q, ok := RuleDoc(d, p.ID); ok {
			check("rule", p.ID, q)
		}
	}
	for _, id := range shelf.Compared() {
		b, ds := d.Books.Book(id, nil)
		if diag.Count(ds, diag.Error) > 0 {
			t.Fatal(ds[0].Message)
		}
		check("book", id, BookContents(b))
		for _, table := range TableNames(b) {
			p, ok := TableDoc(b, table)
			if !ok {
				t.Errorf("%s has no table %s", id, table)
			}
			check("table", id+" "+table, p)
		}
	}
	// The schema is no empty net: what it names is wanted, and other words are not known.
	bad := Document(solveFile(t, "examples/heron-lane.dwv.yaml"))
	b, _ := json.Marshal(bad)
	x, _ := jsonschema.UnmarshalJSON(strings.NewReader(strings.Replace(string(b), `"waterClosets"`, `"closets"`, 1)))
	if err := compiled["result"].Validate(x); err == nil {
		t.Error("a document with another word passes the schema")
	}
}

// A net that was built by a program, without a file, can be reported too.
func TestDocumentOfNothing(t *testing.T) {
	d := Document(&engine.Result{})
	if d.Format != Format || d.Findings == nil || d.Faults == nil || d.Runs == nil {
		t.Errorf("%+v", d)
	}
}

// A walk ends at the outlet and its loads only grow.
func TestWalkGoesWithTheWater(t *testing.T) {
	for _, path := range jobs(t, "examples/*.dwv.yaml") {
		r := solveFile(t, path)
		for i := range r.Net.Fixtures {
			name := r.Net.Runs[r.Net.Fixtures[i].Run].Name
			steps, ok := Steps(r, name)
			if !ok || len(steps) == 0 {
				t.Fatalf("%s: no walk from %s", path, name)
			}
			if steps[0].Run != name {
				t.Errorf("%s: the walk from %s begins on %s", path, name, steps[0].Run)
			}
			last := steps[len(steps)-1]
			if r.Net.RunOf(r.Net.Outlet).Name != last.Run || last.Units != r.Loads.Units[r.Net.Outlet] {
				t.Errorf("%s: the walk from %s ends on %s with %s units", path, name, last.Run, last.Units)
			}
			for k := 1; k < len(steps); k++ {
				if steps[k].Units < steps[k-1].Units || steps[k].Size < steps[k-1].Size && !r.Sizes.Given[network.SegID(steps[k].Segment)] {
					t.Errorf("%s: from %s, step %d carries less or is smaller than the one above", path, name, k+1)
				}
			}
		}
	}
}

// Where a layer asks for what the book does not, the walk says so, and where the book speaks.
func TestWalkTellsTheBookAlone(t *testing.T) {
	var out strings.Builder
	if !Walk(&out, solveFile(t, "examples/heron-lane.dwv.yaml"), "") {
		t.Fatal("no walk")
	}
	said := strings.Join(strings.Fields(out.String()), " ")
	// The book's section has no least size of building sewers of its own; the county's
	// ordinance is invented.
	if want := "[marlow-county: ordinance 12-3; the book alone sets none: P3005.4.2]"; !strings.Contains(said, want) {
		t.Errorf("the walk does not say %s:\n%s", want, out.String())
	}
	for over, want := range map[string]string{
		"none, P3105.1, Table P3105.1": "the book alone sets none: P3105.1, Table P3105.1",
		"3 in, 406.2":                  "the book alone: 3 in, 406.2",
		"P3110":                        "the book alone: P3110",
	} {
		if got := bookAlone(over); got != want {
			t.Errorf("%s: %s", over, got)
		}
	}
}

// schema writes the JSON Schema of the documents from their Go types.
func schema(t *testing.T) []byte {
	t.Helper()
	g := generator{defs: map[string]any{}, says: comments(t)}
	for _, top := range tops {
		g.name[0] = ""
		g.defs[top.def] = g.of(reflect.TypeOf(top.v), true)
		m := g.defs[top.def].(map[string]any)
		m["description"] = top.say
	}
	out := map[string]any{
		"$schema":     "https://json-schema.org/draft/2020-12/schema",
		"$id":         "https://trapweir.invalid/result.schema.json",
		"title":       "What trapweir writes with --json",
		"description": "The root is the result of `size` and `check`; the documents of the other commands stand under $defs.",
		"$ref":        "#/$defs/result",
		"$defs":       g.defs,
	}
	b, err := json.MarshalIndent(out, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	return append(b, '\n')
}

var tops = []struct {
	def, say string
	v        any
}{
	{"result", "`trapweir size JOB --json` and `trapweir check JOB --json`", Doc{}},
	{"why", "`trapweir why JOB RUN --json`", WhyPage{}},
	{"walk", "`trapweir walk JOB --json`", WalkPage{}},
	{"fall", "`trapweir fall JOB --json`", FallPage{}},
	{"compare", "`trapweir compare JOB --json`", Comparison{}},
	{"fix", "`trapweir fix JOB --json`", FixDoc{}},
	{"site", "`trapweir check JOB --site --json`", SitePage{}},
	{"books", "`trapweir books --json`", []BookEntry{}},
	{"book", "`trapweir books BOOK --json`", Contents{}},
	{"table", "`trapweir books BOOK TABLE --json`", TablePage{}},
	{"rules", "`trapweir rules --json`", []RulePage{}},
	{"rule", "`trapweir rules ID --json`", RulePage{}},
}

func sortedKeys(m map[string]bool) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}
