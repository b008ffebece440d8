package takeoff_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"trapweir/data"
	"trapweir/engine/catalog"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/elevation"
	"trapweir/engine/fitting"
	"trapweir/engine/job"
	"trapweir/engine/load"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/unit"
	"trapweir/engine/vent"
)

// solved is a job taken through the stages that the take-off looks at, rules left out.
type solved struct {
	net      *network.Net
	sizes    *size.Sizes
	vents    *vent.Vents
	levels   *elevation.Levels
	fittings []fitting.Fitting
	book     *codebook.Book
	traps    []unit.Size
}

// root is the repository.
const root = "../.."

// file reads a file of the repository.
func file(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(root, name))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// shelfOf reads the books and the catalog once for a test.
func shelfOf(t testing.TB) (*codebook.Library, *catalog.Catalog) {
	t.Helper()
	var files []codebook.File
	for _, f := range data.Books() {
		files = append(files, codebook.File{Name: f.Name, Text: f.Text})
	}
	lib, ds := codebook.ReadLibrary(files)
	cat, more := catalog.Read([]codebook.File{{Name: "fixtures.yaml", Text: data.Get("fixtures.yaml")}})
	if diag.Count(append(ds, more...), diag.Error) > 0 {
		t.Fatal(append(ds, more...))
	}
	return lib, cat
}

// solve takes a job's text through the stages; ok is false for one that cannot be read.
func solve(t testing.TB, lib *codebook.Library, cat *catalog.Catalog, name string, text []byte) (solved, bool) {
	t.Helper()
	j, ds := job.Read(name, text)
	if j == nil || diag.Count(ds, diag.Error) > 0 {
		return solved{}, false
	}
	code := j.Code.Text
	if code == "" {
		code = strings.TrimSpace(strings.TrimPrefix(strings.Split(string(data.Get("defaults.yaml")), "\n")[1], "code:"))
	}
	var with []string
	for _, w := range j.With {
		with = append(with, w.Text)
	}
	b, ds := lib.Book(code, with)
	if b == nil || diag.Count(ds, diag.Error) > 0 {
		return solved{}, false
	}
	n, ds := network.Join(j, cat)
	if diag.Count(ds, diag.Error) > 0 || len(n.Segs) == 0 {
		return solved{}, false
	}
	l, _ := load.Sum(n, b)
	z, _ := size.Choose(n, l, b, nil)
	v, _ := vent.Trace(n, l, z, b)
	if floors := vent.Floors(n, l, z, b, v); len(floors) > 0 {
		z, _ = size.Choose(n, l, b, floors)
		v, _ = vent.Trace(n, l, z, b)
	}
	vent.SizeAll(n, l, z, b, v)
	levels := elevation.Work(n, z, b)
	var traps []unit.Size
	for i := range l.Fixture {
		traps = append(traps, l.Fixture[i].Trap)
	}
	return solved{n, z, v, levels, fitting.Pick(n, z, levels, v, b), b, traps}, true
}
