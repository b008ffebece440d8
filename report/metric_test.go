package report_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"trapweir/engine"
	"trapweir/shelf"
)

// feet are lengths and slopes that a metric job is not told in. Nominal sizes are in inches
// everywhere, as the books print them.
var feet = regexp.MustCompile(`[0-9] ft\b|in per ft`)

// printed is a limit in millimetres or metres with the book's own feet or inches behind it.
var printed = regexp.MustCompile(`[0-9] mm? \([0-9]+ (?:ft|in)\)`)

// inches are quantities as an example writes them; a pipe's size is none.
var inches = regexp.MustCompile(`[0-9]['"]|[0-9] g(pm|al)\b|in per ft`)

// In a metric job no finding tells a length or a slope in feet, but for a limit that the book
// prints so, in brackets behind it; nor is that shown as the example of what to write, but for
// what the job itself says so.
func TestFindingsOfMetricJobs(t *testing.T) {
	var files []string
	for _, glob := range []string{"../examples/*.dwv.yaml", "../testdata/cases/*.dwv.yaml", "../testdata/tried/*.dwv.yaml"} {
		list, err := filepath.Glob(glob)
		if err != nil || len(list) == 0 {
			t.Fatal(glob, err)
		}
		files = append(files, list...)
	}
	looked := 0
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		text := string(b)
		if !strings.Contains(text, "\nunits:") {
			text += "\nunits: metric\n"
		}
		d, _ := shelf.For([]byte(text), filepath.Dir(f))
		r := engine.Run(d, engine.Input{Name: f, Text: []byte(text)})
		for _, x := range r.Findings {
			looked++
			for _, s := range []string{x.Message, x.Got, x.Limit, x.Try, x.Ask} {
				for i, part := range strings.Split(s, "`") {
					if i%2 == 0 && feet.MatchString(printed.ReplaceAllString(part, "")) || i%2 == 1 && s == x.Ask && inches.MatchString(part) {
						t.Errorf("%s: %s: %s", filepath.Base(f), x.Rule, s)
					}
				}
			}
		}
	}
	if looked < 300 {
		t.Errorf("%d findings looked at", looked)
	}
}
