// Vulncheck reads the JSON output of govulncheck from standard input and exits with 1 if
// there is a finding that is not accepted.
//
// Accepted is a finding in the standard library whose id stands in a table row of the
// file named by -listed. A finding in any other module is accepted by nothing. What the
// program only imports or requires, but never calls, is told and does not fail.
package main

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"regexp"
	"slices"
	"sort"
)

// message is the part of a govulncheck message that is used here.
type message struct {
	Config  *struct{}
	Finding *finding
}

// finding is one vulnerability on one way through the program. Trace starts at the
// vulnerable symbol; it names no function where the code is imported but not called.
type finding struct {
	OSV          string `json:"osv"`
	FixedVersion string `json:"fixed_version"`
	Trace        []struct {
		Module, Package, Function string
	}
}

var listedRow = regexp.MustCompile(`(?m)^\| *(GO-\d{4}-\d+) *\|`)

// listedIn gives the ids in the first column of a Markdown table.
func listedIn(text []byte) map[string]bool {
	ids := map[string]bool{}
	for _, m := range listedRow.FindAllSubmatch(text, -1) {
		ids[string(m[1])] = true
	}
	return ids
}

// judge reads govulncheck's output and says what it found; ok is false if something is
// not accepted. Output that does not start with govulncheck's configuration is an error,
// so that an empty file is not taken for a clean one.
func judge(r io.Reader, listed map[string]bool) (says []string, ok bool, err error) {
	type key struct{ id, module string }
	called, imported := map[key]finding{}, map[key]finding{}
	dec := json.NewDecoder(r)
	begun := false
	for {
		var m message
		if err := dec.Decode(&m); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return nil, false, err
		}
		begun = begun || m.Config != nil
		if f := m.Finding; f != nil && len(f.Trace) > 0 {
			into := imported
			if f.Trace[0].Function != "" {
				into = called
			}
			into[key{f.OSV, f.Trace[0].Module}] = *f
		}
	}
	if !begun {
		return nil, false, errors.New("no output of govulncheck")
	}
	ok = true
	accepted := 0
	for k, f := range called {
		switch {
		case k.module == "stdlib" && listed[k.id]:
			accepted++
			says = append(says, fmt.Sprintf("%s: listed: standard library, %s, mended in %s", k.id, f.Trace[0].Package, f.FixedVersion))
		default:
			ok = false
			says = append(says, fmt.Sprintf("%s: NOT LISTED: %s is called from %s, mended in %q", k.id, f.Trace[0].Package+"."+f.Trace[0].Function, f.Trace[len(f.Trace)-1].Package, f.FixedVersion))
		}
	}
	quiet := 0
	for k := range imported {
		if _, also := called[k]; !also {
			quiet++
		}
	}
	sort.Strings(says)
	says = slices.Compact(says)
	says = append(says, fmt.Sprintf("vulnerabilities: %d called, of them %d listed in the standard library; %d more in code that is never called", len(called), accepted, quiet))
	return says, ok, nil
}

func main() {
	list := flag.String("listed", "SECURITY.md", "file with the table of accepted ids")
	flag.Parse()
	text, err := os.ReadFile(*list)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(2)
	}
	says, ok, err := judge(os.Stdin, listedIn(text))
	if err != nil {
		fmt.Fprintf(os.Stderr, "standard input: %v\n", err)
		os.Exit(2)
	}
	for _, s := range says {
		fmt.Println(s)
	}
	if !ok {
		os.Exit(1)
	}
}
