// Package site holds the checks that no job can answer: facts of the site, of how the work
// is done, and of products. It picks those that a solved job has cause for and gives each
// with the section of the job's book.
//
// It judges nothing: what it gives is a list for the eye of whoever stands there. The list
// itself is data (data/sitechecks.yaml), handed in by the caller.
package site

import (
	"strings"

	"go.yaml.in/yaml/v4"

	"trapweir/engine"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/unit"
	"trapweir/engine/yamlread"
)

// Phases are the times at which things are looked at, in their order.
var Phases = []string{"trench", "before cover", "fixtures set", "after the test"}

// A Check is one thing to look at, as the file has it.
type Check struct {
	Rule  string   // number in the rule list: "R078"
	Topic string   // clause of the books that prints it
	Books []string // only under books whose id begins so; empty: every book with the topic
	Phase string   // one of Phases
	When  string   // what in a job gives cause: a key of causes
	Look  string   // what to look at; params of the book in braces
}

// An Item is one thing to look at on the site of one job.
type Item struct {
	Rule  string    `json:"rule"`
	Phase string    `json:"phase"`
	Look  string    `json:"look"`         // with the book's numbers in it
	On    []string  `json:"on,omitempty"` // the runs and vents that give cause, in the order of the file; empty: all of the work
	Cite  diag.Cite `json:"cite"`
}

// Read reads the file of checks. What is wrong in it is reported and left out.
func Read(name string, text []byte) ([]Check, []diag.Diagnostic) {
	root, ds := yamlread.Parse(name, text, yamlread.Limits{Rule: "site-file"})
	if root == nil {
		return nil, ds
	}
	r := yamlread.New(name, text, "site-file")
	var out []Check
	for phase, list := range r.Fields(root, "the file of site checks", Phases) {
		for _, n := range r.Items(list, phase) {
			c := Check{Phase: phase}
			readCheck(r, n, &c)
			switch at := r.Span(n); {
			case c.Rule == "" || c.Topic == "" || c.Look == "" || c.When == "":
				r.Add(at, "a site check lacks its rule, topic, look or when", "write all four")
			case causes[c.When] == nil:
				r.Add(at, "when: "+yamlread.Short(c.When)+" is no cause that is known", near(c.When))
			default:
				out = append(out, c)
			}
		}
	}
	return out, append(ds, r.Diags...)
}

func readCheck(r *yamlread.Reader, n *yaml.Node, c *Check) {
	for key, v := range r.Fields(n, "a site check", []string{"rule", "topic", "books", "when", "look"}) {
		if key == "books" {
			c.Books = r.Texts(v, "books")
			continue
		}
		s, _, ok := r.Text(v)
		if !ok {
			continue
		}
		switch key {
		case "rule":
			c.Rule = s
		case "topic":
			c.Topic = s
		case "when":
			c.When = s
		case "look":
			c.Look = s
		}
	}
}

func near(word string) string {
	var known []string
	for k := range causes {
		known = append(known, k)
	}
	if s := yamlread.Nearest(word, known); s != "" {
		return "write " + s
	}
	return ""
}

// For picks the checks that a solved job has cause for, in the order of the phases. A check
// whose topic its book does not list, or whose numbers it does not give, is left out. A job
// that is not solved has none.
func For(checks []Check, r *engine.Result) []Item {
	if !r.Solved() {
		return nil
	}
	var out []Item
	for _, phase := range Phases {
		for i := range checks {
			c := &checks[i]
			if c.Phase != phase || !under(r.Book, c.Books) {
				continue
			}
			cite, ok := r.Book.Clause(c.Topic)
			if !ok {
				continue
			}
			look, ok := numbers(r.Book, c.Look, r.Job.Units)
			if !ok {
				continue
			}
			on, all := causes[c.When](r)
			if len(on) == 0 && !all {
				continue
			}
			out = append(out, Item{Rule: c.Rule, Phase: phase, Look: look, On: on, Cite: cite})
		}
	}
	return out
}

// under reports whether a book, or one that it is laid over, has an id that begins so.
func under(b *codebook.Book, heads []string) bool {
	if len(heads) == 0 {
		return true
	}
	for _, h := range heads {
		if strings.HasPrefix(b.ID(), h) {
			return true
		}
		for _, l := range b.Layers() {
			if strings.HasPrefix(l.ID, h) {
				return true
			}
		}
	}
	return false
}

// numbers puts the book's numbers in the place of {param}. What stands in [brackets] is left
// out where the book does not give its number; elsewhere ok is then false.
func numbers(b *codebook.Book, s string, sys unit.System) (string, bool) {
	if head, rest, found := strings.Cut(s, "["); found {
		inside, tail, _ := strings.Cut(rest, "]")
		inside, ok := numbers(b, inside, sys)
		if !ok {
			inside = ""
		}
		return numbers(b, head+inside+tail, sys)
	}
	head, rest, found := strings.Cut(s, "{")
	if !found {
		return s, true
	}
	id, tail, _ := strings.Cut(rest, "}")
	p := b.Param(id)
	if p.State != codebook.Given {
		return "", false
	}
	text := p.Text
	if p.Length > 0 {
		text = p.Length.Inches()
		if sys == unit.Metric {
			text = p.Length.In(sys)
		}
	}
	return numbers(b, head+text+tail, sys)
}
