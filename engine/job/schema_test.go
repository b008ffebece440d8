package job

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"go.yaml.in/yaml/v4"
)

func TestPublishedSchemaIsFresh(t *testing.T) {
	path := filepath.Join("..", "..", "docs", "job.schema.json")
	if *update {
		if err := os.WriteFile(path, Schema(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, Schema()) {
		t.Error("docs/job.schema.json is not what Schema gives: run go test ./engine/job -update")
	}
}

func compiled(t testing.TB) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("job.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("job.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// asJSON turns the text into what an editor's checker sees.
func asJSON(t testing.TB, text string) any {
	t.Helper()
	var v any
	if err := yaml.Load([]byte(text), &v); err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	return jsonOf(v)
}

func jsonOf(v any) any {
	switch v := v.(type) {
	case map[string]any:
		for k := range v {
			v[k] = jsonOf(v[k])
		}
		return v
	case map[any]any:
		out := map[string]any{}
		for k, x := range v {
			s, _ := yaml.Dump(k)
			out[strings.TrimSpace(string(s))] = jsonOf(x)
		}
		return out
	case []any:
		for i := range v {
			v[i] = jsonOf(v[i])
		}
		return v
	case time.Time:
		return v.Format(time.DateOnly)
	}
	return v
}

func TestSchemaAndReaderAcceptTheSame(t *testing.T) {
	s := compiled(t)
	for _, c := range accepted(t) {
		if err := s.Validate(asJSON(t, c.text)); err != nil {
			t.Errorf("%s: the reader accepts, the schema does not: %v\n%s", c.name, err, c.text)
		}
	}
	seen := 0
	for _, c := range rejected(t) {
		if !c.structure {
			continue
		}
		seen++
		if err := s.Validate(asJSON(t, c.text)); err == nil {
			t.Errorf("%s: the reader rejects, the schema does not:\n%s", c.name, c.text)
		}
	}
	if seen < 30 {
		t.Errorf("only %d faults of structure are compared", seen)
	}
}

// Every key that the schema lists is read, and a misspelt one is refused by both.
func TestEveryListedKeyIsRead(t *testing.T) {
	frame := func(in, line string) string {
		switch in {
		case "job":
			return "job: t\nruns: {a: {joins: outlet}}\n" + line + "\n"
		case "run":
			return "job: t\nruns: {a: {joins: outlet, " + line + "}}\n"
		case "vent":
			return "job: t\nruns: {a: {joins: outlet}}\nvents: {v: {" + line + "}}\n"
		case "level":
			return "job: t\nruns: {a: {joins: outlet}}\nlevels: {l: {" + line + "}}\n"
		}
		if in == "wall" {
			return "job: t\nruns: {a: {joins: outlet}}\nwalls: {w: {" + line + "}}\n"
		}
		if where, key, ok := strings.Cut(in, "."); ok {
			switch where {
			case "run":
				return "job: t\nruns: {a: {joins: outlet, " + key + ": {" + line + "}}}\n"
			case "vent":
				return "job: t\nruns: {a: {joins: outlet}}\nvents: {v: {" + key + ": {" + line + "}}}\n"
			}
		}
		return "job: t\nruns: {a: {joins: outlet}}\n" + in + ": {" + line + "}\n"
	}
	sets := map[string][]key{
		"job": jobKeys, "run": runKeys, "vent": ventKeys, "level": levelKeys, "material": materialKeys, "climate": climateKeys,
		"site": siteKeys, "sheet": sheetKeys, "outlet": outletKeys, "run.invert": invertKeys, "run.cleanouts": cleanoutKeys,
		"run.carries": carriesKeys, "run.basin": basinKeys, "run.through": throughKeys, "run.outlet to weir": outletToWeirKeys,
		"wall": wallKeys, "vent.terminal": terminalKeys, "vent.valve": valveKeys,
	}
	for in, keys := range sets {
		for _, k := range keys {
			_, ds := Read("t", []byte(frame(in, k.name+": [[x]]")))
			for _, d := range ds {
				if strings.Contains(d.Message, "is not known") && strings.Contains(d.Message, "the key "+quoted(k.name)) {
					t.Errorf("%s in %s is listed and not read", k.name, in)
				}
			}
		}
		_, ds := Read("t", []byte(frame(in, "zzqqxx: 1")))
		if !strings.Contains(tell(ds), `the key "zzqqxx" is not known`) {
			t.Errorf("%s: an unknown key is not reported: %s", in, tell(ds))
		}
	}
}
