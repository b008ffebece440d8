package report

import (
	"encoding"
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"trapweir/engine/diag"
	"trapweir/engine/unit"
	"trapweir/engine/vent"
)

// generator makes JSON Schema of Go types: every type that is a struct has a definition of
// its own, its words are those of the comments in the source.
type generator struct {
	defs map[string]any
	says map[string]string // "report.Doc", "report.Doc.Job" -> comment
	name [1]string
}

var text = reflect.TypeFor[encoding.TextMarshaler]()

// strings that are not free: what they look like, or the words that they can be.
var known = map[reflect.Type]map[string]any{
	reflect.TypeFor[unit.Load]():     {"type": "string", "pattern": `^-?[0-9]+(\.[0-9]{1,2})?$`, "description": "fixture units"},
	reflect.TypeFor[unit.Size]():     {"type": "string", "description": "nominal pipe size with its unit: 1-1/2 in, DN 100; empty when not known"},
	reflect.TypeFor[unit.Length]():   {"type": "string", "description": "length with its units: 2 ft 6 in, or mm where the job asks for metric"},
	reflect.TypeFor[diag.Severity](): words(diag.Error, diag.Warning, diag.Unchecked, diag.Info),
	reflect.TypeFor[diag.What]():     words(diag.Job, diag.Run, diag.Vent, diag.Fixture, diag.Level, diag.Outlet, diag.Book),
}

func words[T interface{ String() string }](list ...T) map[string]any {
	var out []any
	for _, x := range list {
		out = append(out, x.String())
	}
	return map[string]any{"type": "string", "enum": out}
}

func init() {
	known[reflect.TypeFor[vent.Verdict]()] = words(all[vent.Verdict]()...)
	known[reflect.TypeFor[vent.Method]()] = words(all[vent.Method]()...)
}

// all lists the values of a small enumeration: from 0 until it has no word.
func all[T interface {
	~uint8
	String() string
}]() (out []T) {
	defer func() { _ = recover() }()
	for i := range 255 {
		v := T(i)
		_ = v.String()
		out = append(out, v)
	}
	return out
}

func (g *generator) of(t reflect.Type, top bool) any {
	if k, ok := known[t]; ok {
		return clone(k)
	}
	if t.Kind() == reflect.Pointer && t.Implements(text) {
		return map[string]any{"type": []string{"string", "null"}} // null where it is not known
	}
	if t.Implements(text) {
		return map[string]any{"type": "string"}
	}
	switch t.Kind() {
	case reflect.Pointer:
		return g.of(t.Elem(), false)
	case reflect.Slice:
		return map[string]any{"type": "array", "items": g.of(t.Elem(), false)}
	case reflect.Map:
		return map[string]any{"type": "object", "additionalProperties": g.of(t.Elem(), false)}
	case reflect.Struct:
		if top {
			return g.object(t)
		}
		def := strings.ToLower(t.Name()[:1]) + t.Name()[1:]
		if p := filepath.Base(t.PkgPath()); p != "report" {
			def = p + "." + t.Name()
		}
		if _, ok := g.defs[def]; !ok {
			g.defs[def] = true // stops a type that holds itself
			g.defs[def] = g.object(t)
		}
		return map[string]any{"$ref": "#/$defs/" + def}
	case reflect.Bool:
		return map[string]any{"type": "boolean"}
	case reflect.String:
		return map[string]any{"type": "string"}
	}
	return map[string]any{"type": "integer"}
}

func clone(m map[string]any) map[string]any {
	out := map[string]any{}
	for k, v := range m {
		out[k] = v
	}
	return out
}

func (g *generator) object(t reflect.Type) map[string]any {
	props, required := map[string]any{}, map[string]bool{}
	name := filepath.Base(t.PkgPath()) + "." + t.Name()
	for i := range t.NumField() {
		f := t.Field(i)
		tag, opts, _ := strings.Cut(f.Tag.Get("json"), ",")
		if tag == "-" || !f.IsExported() {
			continue
		}
		if tag == "" {
			tag = f.Name
		}
		p := g.of(f.Type, false)
		if say := g.says[name+"."+f.Name]; say != "" {
			p.(map[string]any)["description"] = say
		}
		props[tag] = p
		if !strings.Contains(opts, "omitempty") && !strings.Contains(opts, "omitzero") {
			required[tag] = true
		}
	}
	out := map[string]any{"type": "object", "properties": props, "additionalProperties": false}
	if len(required) > 0 {
		out["required"] = sortedKeys(required)
	}
	if say := g.says[name]; say != "" {
		out["description"] = say
	}
	return out
}

// comments reads what the source says of the types and fields of the packages that take
// part.
func comments(t *testing.T) map[string]string {
	t.Helper()
	out := map[string]string{}
	for _, dir := range []string{".", "../engine/diag", "../engine/source", "../engine/size", "../engine/job", "../engine/check", "../engine/rules", "../engine/vent"} {
		files, err := filepath.Glob(filepath.Join(dir, "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			if strings.HasSuffix(f, "_test.go") {
				continue
			}
			x, err := parser.ParseFile(token.NewFileSet(), f, nil, parser.ParseComments)
			if err != nil {
				t.Fatal(err)
			}
			for _, d := range x.Decls {
				if gd, ok := d.(*ast.GenDecl); ok {
					typeComments(x.Name.Name, gd, out)
				}
			}
		}
	}
	return out
}

func typeComments(pkg string, gd *ast.GenDecl, out map[string]string) {
	for _, spec := range gd.Specs {
		ts, ok := spec.(*ast.TypeSpec)
		if !ok {
			continue
		}
		st, ok := ts.Type.(*ast.StructType)
		if !ok {
			continue
		}
		name := pkg + "." + ts.Name.Name
		doc := ts.Doc
		if doc == nil {
			doc = gd.Doc
		}
		out[name] = line(doc)
		for _, f := range st.Fields.List {
			say := line(f.Comment)
			if say == "" {
				say = line(f.Doc)
			}
			for _, n := range f.Names {
				out[name+"."+n.Name] = say
			}
		}
	}
}

func line(c *ast.CommentGroup) string {
	if c == nil {
		return ""
	}
	return strings.Join(strings.Fields(c.Text()), " ")
}
