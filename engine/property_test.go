package engine_test

import (
	"encoding/json"
	"reflect"
	"slices"
	"sort"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/load"
	"trapweir/engine/network"
	"trapweir/engine/rules"
	"trapweir/engine/size"
	"trapweir/internal/randomjob"
	"trapweir/report"
	"trapweir/shelf"
)

var library = sync.OnceValue(func() engine.Data {
	d, ds := shelf.All()
	if diag.Count(ds, diag.Error) > 0 {
		panic(ds[0].Message)
	}
	return d
})

func run(t *rapid.T, text []byte) *engine.Result {
	r := engine.Run(library(), engine.Input{Name: "job", Text: text})
	if !r.Solved() {
		t.Fatalf("not solved: %v\n%s", r.Faults, text)
	}
	return r
}

// Sizes never drop with the water, every size has a reason in words, and the reason that
// governs asks for the size.
func TestSizesNeverDrop(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := randomjob.Draw(t)
		r := run(t, h.Text(nil, nil))
		for i := range r.Net.Segs {
			s := network.SegID(i)
			name := r.Net.RunOf(s).Name
			if d := r.Net.Segs[s].Down; d != network.None {
				if r.Sizes.Required[d] < r.Sizes.Required[s] {
					t.Fatalf("%s needs %s and drains into %s, which needs %s\n%s", name, r.Sizes.Required[s], r.Net.RunOf(d).Name, r.Sizes.Required[d], h.Text(nil, nil))
				}
				if !r.Sizes.Given[d] && r.Sizes.Size[d] < r.Sizes.Size[s] {
					t.Fatalf("%s is %s and drains into %s, which is %s", name, r.Sizes.Size[s], r.Net.RunOf(d).Name, r.Sizes.Size[d])
				}
				if r.Loads.Units[d] < r.Loads.Units[s] {
					t.Fatalf("%s carries more than %s below it", name, r.Net.RunOf(d).Name)
				}
			}
			y := r.Sizes.Explain(s)
			if len(y.Reasons) == 0 || y.RoleWhy == "" {
				t.Fatalf("%s: no reason for its size or role\n%s", name, h.Text(nil, nil))
			}
			for _, x := range y.Reasons {
				if x.Text == "" || x.Kind == "" {
					t.Fatalf("%s: a reason without words: %+v", name, x)
				}
				if x.Min > y.Reasons[0].Min {
					t.Fatalf("%s: %q governs and %q asks for more", name, y.Reasons[0].Text, x.Text)
				}
			}
			if g := y.Reasons[0].Min; !r.Sizes.Given[s] && (g > r.Sizes.Size[s] || y.Required > r.Sizes.Size[s]) {
				t.Fatalf("%s is %s, and %q asks for %s", name, r.Sizes.Size[s], y.Reasons[0].Text, g)
			}
		}
	})
}

// Every finding has a rule that can be looked up, a message, a question where it asks one,
// and a printed place unless it is good practice.
func TestFindingsStandAlone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := randomjob.Draw(t)
		r := run(t, h.Text(nil, nil))
		for _, d := range r.Findings {
			if rules.Find(d.Rule) == nil {
				t.Fatalf("no rule %s: %s", d.Rule, d.Message)
			}
			switch {
			case d.Message == "":
				t.Fatalf("%s says nothing", d.Rule)
			case d.Severity == diag.Unchecked && d.Ask == "":
				t.Fatalf("%s is not checked and asks nothing: %s", d.Rule, d.Message)
			case d.Severity <= diag.Warning && len(d.Cites) == 0:
				t.Fatalf("%s cites nothing: %s\n%s", d.Rule, d.Message, h.Text(nil, nil))
			}
			for _, c := range d.Cites {
				if c.Kind == "" || c.Kind != "good practice" && c.Book == "" {
					t.Fatalf("%s cites a place without a book: %+v", d.Rule, c)
				}
			}
		}
	})
}

// Adding a fixture never makes a pipe smaller: loads and sizes, before venting has its say
// (a wet vent that no longer holds asks for nothing any more).
//
// Two steps of the books themselves are left out, with all that lies below them: where one
// more trap changes what a pipe is (a fixture drain that becomes a branch has another
// table), and where a branch changes the intervals of a stack (a stack of more than three
// goes by a larger column, and a new interval parts the load of the one above).
func TestAddingAFixture(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := randomjob.Draw(t)
		before, after := sizes(t, h), sizes(t, h.Add(t))
		stepped := make([]bool, len(before.net.Segs))
		for i := range before.net.Segs {
			s := network.SegID(i)
			seg := &before.net.Segs[s]
			// Where nothing joins a piece, its twin covers it; where something does, the
			// part above the join carries what it did, so compare its lower end too.
			for _, twin := range twins(before.net, s, after.net) {
				stepped[i] = stepped[i] || seg.Role != after.net.Segs[twin].Role || before.loads.Intervals[s] != after.loads.Intervals[twin] ||
					after.loads.Interval[twin] < before.loads.Interval[s]
				if after.loads.Units[twin] < before.loads.Units[s] {
					t.Fatalf("%s carries %s and then %s", before.net.RunOf(s).Name, before.loads.Units[s], after.loads.Units[twin])
				}
				if !stepped[i] && after.sizes.Required[twin] < before.sizes.Required[s] {
					t.Fatalf("%s needed %s and then %s\n%s", before.net.RunOf(s).Name, before.sizes.Required[s], after.sizes.Required[twin], h.Text(nil, nil))
				}
			}
			if seg.Down != network.None && stepped[i] {
				stepped[seg.Down] = true
			}
		}
	})
}

type sized struct {
	net   *network.Net
	loads *load.Loads
	sizes *size.Sizes
}

func sizes(t *rapid.T, h *randomjob.Random) sized {
	r := run(t, h.Text(nil, nil))
	l, _ := load.Sum(r.Net, r.Book)
	z, _ := size.Choose(r.Net, l, r.Book, nil)
	return sized{r.Net, l, z}
}

// twins are the pieces of another net that lie on the same stretch of the run of that name.
func twins(n *network.Net, s network.SegID, other *network.Net) []network.SegID {
	x, _ := other.Find(n.RunOf(s).Name)
	var out []network.SegID
	for _, k := range other.Runs[x.Run].Segs {
		if other.Segs[k].From >= n.Segs[s].From && other.Segs[k].To <= n.Segs[s].To {
			out = append(out, k)
		}
	}
	return out
}

// The order in which runs and vents are written changes nothing but where things stand in
// the file.
func TestOrderOfRuns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := randomjob.Draw(t)
		order := func(n int, label string) []int {
			var list []int
			for i := range n {
				list = append(list, i)
			}
			return rapid.Permutation(list).Draw(t, label)
		}
		a := run(t, h.Text(nil, nil))
		text := h.Text(order(len(h.Runs), "order of runs"), order(len(h.Vents), "order of vents"))
		same(t, a, run(t, text), text)
	})
}

// Feet and inches, or millimetres: one job, one result.
func TestSpellings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := randomjob.Draw(t)
		same(t, run(t, h.Text(nil, nil)), run(t, h.Metric()), h.Metric())
	})
}

// same compares the whole JSON results, but for readings, places in the file, and the
// order of lists that follow the file.
func same(t *rapid.T, a, b *engine.Result, text []byte) {
	x, y := plain(t, a), plain(t, b)
	if reflect.DeepEqual(x, y) {
		return
	}
	for k := range x {
		if !reflect.DeepEqual(x[k], y[k]) {
			p, _ := json.MarshalIndent(x[k], "", " ")
			q, _ := json.MarshalIndent(y[k], "", " ")
			t.Fatalf("%s differs:\n%s\n---\n%s\n%s", k, firstDifference(string(p), string(q)), text, h(a))
		}
	}
}

func h(r *engine.Result) string { return r.Job.Title.Text }

func firstDifference(a, b string) string {
	i := 0
	for i < len(a) && i < len(b) && a[i] == b[i] {
		i++
	}
	cut := func(s string) string { return s[max(0, min(i, len(s))-400):min(len(s), i+400)] }
	return cut(a) + "\n=== other ===\n" + cut(b)
}

func plain(t *rapid.T, r *engine.Result) map[string]any {
	doc := report.Document(r)
	doc.Readings = nil
	b, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	var m map[string]any
	if err := json.Unmarshal(b, &m); err != nil {
		t.Fatal(err)
	}
	strip(m)
	return m
}

// strip removes places and brings lists into an order of their own.
func strip(v any) {
	switch x := v.(type) {
	case map[string]any:
		if _, ok := x["at"].(map[string]any); ok {
			delete(x, "at") // a place in the file; that of a citation is a text
		}
		if x["severity"] == "not checked" {
			// A question about many things names the first of them in the file.
			delete(x, "message")
			delete(x, "ask")
			delete(x, "on")
		}
		if _, ok := x["what"]; ok {
			delete(x, "segment") // of several pieces of a run that one fault is about, the first in the file
		}
		for k, y := range x {
			strip(y)
			if l, ok := y.([]any); ok && slices.Contains([]string{"runs", "fixtures", "vents", "findings", "serves"}, k) {
				sort.SliceStable(l, func(i, j int) bool { return text(l[i]) < text(l[j]) })
			}
		}
	case []any:
		for _, y := range x {
			strip(y)
		}
	}
}

func text(v any) string {
	b, _ := json.Marshal(v)
	return string(b)
}
