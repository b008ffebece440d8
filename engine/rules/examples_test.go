package rules_test

import (
	"strings"
	"testing"

	"trapweir/data"
	"trapweir/engine"
	"trapweir/engine/catalog"
	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/rules"
)

// load reads the embedded books and the catalog.
func load(t testing.TB) engine.Data {
	t.Helper()
	var files []codebook.File
	for _, f := range data.Books() {
		files = append(files, codebook.File(f))
	}
	lib, _ := codebook.ReadLibrary(files)
	cat, ds := catalog.Read([]codebook.File{{Name: "fixtures.yaml", Text: data.Get("fixtures.yaml")}})
	if len(ds) > 0 {
		t.Fatal(ds)
	}
	return engine.Data{Books: lib, Catalog: cat, Default: "irc-2021"}
}

// TestExamples runs every rule's examples: a failing one must bring a finding of the rule,
// a passing one none, an unchecked one a question. A rule without examples fails.
func TestExamples(t *testing.T) {
	d := load(t)
	for _, r := range rules.All {
		t.Run(r.ID, func(t *testing.T) { examples(t, d, r) })
	}
}

// Words that may stand before the examples of a rule.
const (
	neverOpen = "never open" // it has no question
	onlyAsks  = "only asks"  // it finds no fault
	saidAs    = "said as "   // it reports under another rule's id
)

func examples(t *testing.T, d engine.Data, r *check.Rule) {
	list := rules.Examples(r.ID)
	if len(list) == 0 {
		t.Errorf("no examples: write engine/rules/examples/%s.txtar", r.ID)
		return
	}
	have := map[string]int{}
	words := rules.Preamble(r.ID)
	for _, x := range list {
		have[x.Outcome]++
		res := engine.Run(d, engine.Input{Name: r.ID + ".dwv.yaml", Text: []byte(x.Job)})
		for _, f := range res.Faults {
			t.Errorf("%s: %s: the job cannot be read: line %d: %s", x.Outcome, x.Says, f.At.Line, f.Message)
		}
		if !res.Solved() {
			continue
		}
		var said, asked []string
		for _, f := range res.Findings {
			// What is wrong says what would mend it, whichever rule it is of.
			if f.Severity <= diag.Warning && f.Try == "" || f.Severity == diag.Unchecked && f.Ask == "" || strings.Contains(f.Try, "{") && !strings.Contains(f.Try, "`") {
				t.Errorf("%s: %s: %s does not say what to do or asks nothing: %s: %q", x.Outcome, x.Says, f.Rule, f.Message, f.Try)
			}
			switch {
			case f.Rule != r.ID && !strings.Contains(words, saidAs+f.Rule):
			case f.Severity == diag.Unchecked:
				asked = append(asked, f.Message)
			default:
				said = append(said, f.Message)
			}
		}
		switch x.Outcome {
		case "fail":
			if len(said) == 0 {
				t.Errorf("fail: %s: nothing was found%s", x.Says, also(asked))
			}
		case "pass":
			if len(said) > 0 {
				t.Errorf("pass: %s: found %s", x.Says, strings.Join(said, "; "))
			}
		case "unchecked":
			if len(asked) == 0 || len(said) > 0 {
				t.Errorf("unchecked: %s: asked nothing, or found something%s%s", x.Says, also(asked), also(said))
			}
		default:
			t.Errorf("%q is neither pass, fail nor unchecked", x.Outcome)
		}
	}
	if have["fail"] == 0 && !strings.Contains(words, onlyAsks) || have["pass"] == 0 {
		t.Errorf("a rule has a passing and a failing example; it has %v", have)
	}
	if have["unchecked"] == 0 && !strings.Contains(words, neverOpen) {
		t.Errorf("no unchecked example: write one, or say in the words before the examples that the rule is %s", neverOpen)
	}
}

func also(s []string) string {
	if len(s) == 0 {
		return ""
	}
	return ": " + strings.Join(s, "; ")
}

// Every file of examples belongs to a rule, and every rule says what it is about.
func TestRulesAreWhole(t *testing.T) {
	ids := map[string]bool{}
	for _, r := range rules.All {
		if ids[r.ID] {
			t.Errorf("%s is listed twice", r.ID)
		}
		ids[r.ID] = true
		if r.Doc == "" || r.Why == "" || r.Family == "" {
			t.Errorf("%s has no doc, no reason or no family", r.ID)
		}
		if r.Run == nil && r.Stage == "" {
			t.Errorf("%s has neither a run nor a stage", r.ID)
		}
	}
	for _, name := range rules.ExampleFiles() {
		if id := strings.TrimSuffix(name, ".txtar"); !ids[id] {
			t.Errorf("%s belongs to no rule", name)
		}
	}
}
