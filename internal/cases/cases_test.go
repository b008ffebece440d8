package cases

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"

	"trapweir/data"
	"trapweir/engine/diag"
	"trapweir/engine/job"
)

var folders = []string{"../../testdata/cases", "../../testdata/worked", "../../testdata/tried"}

func load(t *testing.T, dir string) *Suite {
	t.Helper()
	s, err := Load(dir)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestJobsRead reads every job of the cases in every variant: each must be readable as written.
func TestJobsRead(t *testing.T) {
	for _, dir := range folders {
		s := load(t, dir)
		for _, id := range s.IDs() {
			c := s.Cases[id]
			for _, name := range c.Used() {
				text, err := s.Text(c, name)
				if err != nil {
					t.Error(err)
					continue
				}
				j, ds := job.Read(id, text)
				for _, d := range ds {
					if d.Severity == diag.Error {
						t.Errorf("%s, %s: %s: %s; %s", id, name, d.At, d.Message, d.Try)
					}
				}
				for _, w := range j.With {
					if _, ok := s.Layers[w.Text]; !ok && data.Get("codes/"+w.Text+".yaml") == nil {
						t.Errorf("%s, %s: no layer %s", id, name, w.Text)
					}
				}
			}
		}
	}
}

// TestNamesAreThere holds every name that an entry points at against the job that it is about:
// an entry about a pipe that is not there could never be met, or never be broken.
func TestNamesAreThere(t *testing.T) {
	for _, dir := range folders {
		s := load(t, dir)
		for _, id := range s.IDs() {
			c := s.Cases[id]
			names := map[string]map[string]bool{}
			for _, name := range c.Used() {
				text, err := s.Text(c, name)
				if err != nil {
					t.Fatal(err)
				}
				names[name] = namesOf(t, text)
			}
			check := func(variant, name string) {
				if name != "job" && !names[variant][name] {
					t.Errorf("%s, %s: an entry is about %s, which is not in the job", id, variant, name)
				}
			}
			for _, list := range [][]*Expect{c.Find, c.Clear, c.Ask, c.Inverts} {
				for _, e := range list {
					for _, v := range e.in() {
						for _, n := range e.On {
							check(v, n)
						}
						if e.Run != "" {
							check(v, e.Run)
						}
					}
					for _, q := range []string{e.Value, e.Limit, e.Suggest, e.Is} {
						if q != "" {
							if _, err := parseNumber(q); err != nil {
								t.Errorf("%s: %v", id, err)
							}
						}
					}
					for _, on := range e.On {
						if len(e.Words) == 0 && e.Rule == "" {
							t.Errorf("%s: an entry on %s without a rule", id, on)
						}
					}
				}
			}
			for _, e := range c.Find {
				if e.Severity != "error" && e.Severity != "warning" && e.Severity != "note" {
					t.Errorf("%s: %s: no severity %q", id, e, e.Severity)
				}
			}
			for _, m := range []map[string]map[string]Size{c.Sizes, c.Traps, c.Units} {
				for v, list := range m {
					for n, want := range list {
						check(v, n)
						if want.SameAs != "" {
							check(v, want.SameAs)
						}
					}
				}
			}
		}
	}
}

func namesOf(t *testing.T, text []byte) map[string]bool {
	t.Helper()
	var top struct {
		Runs  map[string]yaml.Node `yaml:"runs"`
		Vents map[string]yaml.Node `yaml:"vents"`
	}
	if err := yaml.Load(text, &top); err != nil {
		t.Fatal(err)
	}
	out := map[string]bool{}
	for n := range top.Runs {
		out[n] = true
	}
	for n := range top.Vents {
		out[n] = true
	}
	return out
}

// TestEveryJobIsACase finds job files that no case runs.
func TestEveryJobIsACase(t *testing.T) {
	for _, dir := range folders {
		s := load(t, dir)
		used := map[string]bool{}
		for id, c := range s.Cases {
			for _, name := range c.Used() {
				v, err := c.variant(name)
				switch {
				case err != nil:
					t.Error(err)
				case v.Job != "":
					used[v.Job] = true
				default:
					used[id] = true
				}
			}
		}
		files, err := filepath.Glob(filepath.Join(dir, "*.dwv.yaml"))
		if err != nil || len(files) == 0 {
			t.Fatalf("no jobs in %s (%v)", dir, err)
		}
		for _, f := range files {
			if name := strings.TrimSuffix(filepath.Base(f), ".dwv.yaml"); !used[name] {
				t.Errorf("%s: no case runs it", f)
			}
		}
	}
}

// TestCaseCounts holds what was taken over against the numbers of the shared case file: 52
// cases with 114 expected findings and 117 rules that must keep silent.
func TestCaseCounts(t *testing.T) {
	s := load(t, folders[0])
	find, clear := 0, 0
	for _, c := range s.Cases {
		find += len(c.Find)
		clear += len(c.Clear)
	}
	if len(s.Cases) != 52 || find != 114 || clear != 117 {
		t.Errorf("%d cases, %d findings, %d silences; the shared file has 52, 114 and 117", len(s.Cases), find, clear)
	}
}

// TestCaseScore runs the suites. A score below its floor fails; what is missing is shown with -v.
func TestCaseScore(t *testing.T) {
	for _, dir := range folders {
		s := load(t, dir)
		reports, score := s.All(Run)
		var b bytes.Buffer
		if err := Write(&b, reports, score, testing.Verbose()); err != nil {
			t.Fatal(err)
		}
		t.Logf("%s\n%s", dir, b.String())
		if lost := score.Below(s.Floor); lost != "" {
			t.Errorf("%s: lost: %s", dir, lost)
		}
		for _, r := range reports {
			if why := r.Failed[AsWritten]; why != "" {
				t.Errorf("%s: %s", r.ID, why)
			}
		}
	}
}

func TestLoadSaysWhatIsWrong(t *testing.T) {
	dir := t.TempDir()
	bad := "cases:\n  S01:\n    find:\n      - {rule: s-trap, upon: arm}\n"
	if err := os.WriteFile(filepath.Join(dir, "expect.yaml"), []byte(bad), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Load(dir); err == nil || !strings.Contains(err.Error(), "upon") {
		t.Errorf("a misspelt key must be told, got %v", err)
	}
}

// TestEveryFindingSaysWhatToDo holds every finding of every case, in feet and in metres: what is
// wrong says what would mend it, and what is open asks its question.
func TestEveryFindingSaysWhatToDo(t *testing.T) {
	for _, dir := range folders {
		s := load(t, dir)
		for _, id := range s.IDs() {
			c := s.Cases[id]
			for _, name := range c.Used() {
				text, err := s.Text(c, name)
				if err != nil {
					t.Fatal(err)
				}
				metric, err := apply(text, &Variant{Edits: []Edit{{Set: "units", To: *word("metric")}}})
				if err != nil {
					t.Fatal(err)
				}
				for _, text := range [][]byte{text, metric} {
					r, err := Run(Input{Name: id, Text: text, Layers: s.Layers})
					if err != nil {
						continue // TestCaseScore tells it
					}
					for i := range r.Findings {
						if lacks := lacking(&r.Findings[i]); lacks != "" {
							t.Errorf("%s, %s: %s %s: %s", id, name, r.Findings[i].Rule, lacks, r.Findings[i].Message)
						}
					}
				}
			}
		}
	}
}

// lacking says what a finding leaves its reader without.
func lacking(d *diag.Diagnostic) string {
	switch {
	case d.Severity == diag.Unchecked && d.Ask == "":
		return "asks nothing"
	case d.Severity <= diag.Warning && d.Try == "":
		return "does not say what to do"
	case strings.ContainsAny(d.Try, "{}") && !strings.Contains(d.Try, "`"):
		return "says to do " + d.Try
	}
	return ""
}
