package job

import (
	"strings"
	"testing"
)

// What the job says of a cut, and what it must say with it.
func TestThrough(t *testing.T) {
	read := func(through string) (*Job, string) {
		j, ds := Read("t", []byte("job: t\nlevels:\n  first: {subfloor: 3/4\"}\nruns:\n  a: {joins: outlet, through: "+through+"}\n"))
		return j, tell(ds)
	}
	j, ds := read(`{studs: 3, cut: notch, deep: 1", bearing: yes, doubled: no, strap: yes}`)
	th := j.Runs[0].Through
	if ds != "" || th.What.Text != "studs" || th.Count.V != 3 || th.Cut.Text != "notch" || th.Deep.V.Inches() != "1 in" || !th.Bearing.V || !th.Doubled.Set || th.Doubled.V || !th.Strap.V {
		t.Errorf("read %+v, %s", th, ds)
	}
	if j.Levels[0].Subfloor.V.Inches() != "3/4 in" {
		t.Errorf("subfloor is %v", j.Levels[0].Subfloor)
	}
	for text, want := range map[string]string{
		"{cut: notch}":          "what it goes through is not said",
		"{joists: 2, studs: 1}": "at once",
		"{joists: 2, cut: saw}": "saw",
	} {
		if _, ds := read(text); !strings.Contains(ds, want) {
			t.Errorf("%s: %q, want %q", text, ds, want)
		}
	}
	if j, ds := read("top plate"); ds != "" || j.Runs[0].Through.What.Text != "top plate" {
		t.Errorf("top plate: %s", ds)
	}
}
