package report

import (
	"os"
	"regexp"
	"sort"
	"strings"
	"testing"

	"trapweir/data"
	"trapweir/shelf"
)

var (
	ruleRow = regexp.MustCompile(`^\| (R\d{3}) \|`)
	siteS   = regexp.MustCompile(`\bS\b`)
)

// docs/rules.md marks with S what is left to the site, and data/sitechecks.yaml lists it:
// neither may have what the other lacks. A row is marked where one of its books has S, or
// where its last column leaves a part to S.
func TestSiteChecksAreThoseOfTheDocument(t *testing.T) {
	text, err := os.ReadFile("../docs/rules.md")
	if err != nil {
		t.Fatal(err)
	}
	d, ds := shelf.All()
	if len(ds) > 0 {
		t.Fatal(ds[0].Message)
	}
	checks, ds := shelf.SiteChecks()
	if len(ds) > 0 {
		t.Fatal(ds[0].Message)
	}
	topic := map[string]string{}
	for _, c := range checks {
		topic[c.Rule] = c.Topic
	}
	marked := map[string]bool{}
	rows := 0
	for _, line := range strings.Split(string(text), "\n") {
		m := ruleRow.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		rows++
		for _, cell := range strings.Split(line, "|")[2:] {
			marked[m[1]] = marked[m[1]] || siteS.MatchString(cell)
		}
		// What is the site's alone is asked by those books that print it, and by no other.
		cells := strings.Split(line, "|")
		if !strings.Contains(strings.Join(cells[3:6], "|"), " S ") {
			continue
		}
		for k, book := range []string{"irc-2021", "ipc-2021", "upc-2021"} {
			b, _ := d.Books.Book(book, nil)
			_, has := b.Clause(topic[m[1]])
			if mark := strings.TrimSpace(cells[3+k]); (mark == "S") != has {
				t.Errorf("%s is marked %q for the %s; that the book lists %s is %v", m[1], mark, book, topic[m[1]], has)
			}
		}
	}
	if rows < 80 {
		t.Fatalf("only %d rows are read", rows)
	}
	listed := map[string]bool{}
	for _, c := range checks {
		listed[c.Rule] = true
		if !marked[c.Rule] {
			t.Errorf("data/sitechecks.yaml lists %s, which docs/rules.md does not mark with S", c.Rule)
		}
	}
	var missing []string
	for rule, s := range marked {
		if s && !listed[rule] {
			missing = append(missing, rule)
		}
	}
	sort.Strings(missing)
	if len(missing) > 0 {
		t.Errorf("docs/rules.md marks %s with S, and data/sitechecks.yaml does not list it", strings.Join(missing, ", "))
	}
	if !strings.Contains(string(data.Get("sitechecks.yaml")), "docs/rules.md") {
		t.Error("the file does not name the document")
	}
}
