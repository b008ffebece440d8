package job

import (
	"os"
	"path/filepath"
	"testing"
)

// Every job that the project keeps is read without a fault, by the reader and by the schema.
func TestJobsOfTheProject(t *testing.T) {
	schema := compiled(t)
	seen := 0
	for _, dir := range []string{"examples", filepath.Join("testdata", "cases")} {
		files, err := filepath.Glob(filepath.Join("..", "..", dir, "*.dwv.yaml"))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			b, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			seen++
			if _, ds := Read(f, b); len(ds) > 0 {
				t.Errorf("%s:\n%s", f, tell(ds))
				continue
			}
			if err := schema.Validate(asJSON(t, string(b))); err != nil {
				t.Errorf("%s: %v", f, err)
			}
		}
	}
	if seen == 0 {
		t.Error("no job found")
	}
}
