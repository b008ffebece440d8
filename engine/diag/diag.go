// Package diag holds what the program has to say about a job or a book: faults in the
// writing, findings of the checks, advice, and questions that are still open.
//
// A Diagnostic is a value that stands alone: a report can print it without asking
// anybody else. This package prints nothing.
package diag

import (
	"sort"

	"trapweir/engine/source"
)

// Severity orders what is said, gravest first.
type Severity uint8

const (
	// Error: the job cannot be read as written, or a rule is broken.
	Error Severity = iota
	// Warning: the books or sources disagree, or an authority must consent.
	Warning
	// Unchecked: a fact is missing; Ask holds the one question that would settle it.
	Unchecked
	// Info: legal, but worth saying (near a limit, customary larger size).
	Info
)

// String gives the word used on screen and in JSON.
func (s Severity) String() string {
	return [...]string{"error", "warning", "not checked", "note"}[s]
}

// MarshalText makes the word the JSON form.
func (s Severity) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// Cite is one printed place that speaks, with the layer it stands in.
type Cite struct {
	Book     string `json:"book"`               // id of the book, edition or layer: "irc-2021", "marlow-county"
	Kind     string `json:"kind"`               // "model code", "edition", "local amendment", "shop practice", "good practice"
	Title    string `json:"title,omitempty"`    // title of the book
	At       string `json:"at,omitempty"`       // section or table as printed there
	Memory   bool   `json:"memory,omitempty"`   // value from memory, not checked against a published page
	Conflict string `json:"conflict,omitempty"` // sources disagree: what the other one says
	Over     string `json:"over,omitempty"`     // what the layer below would have said ("1-1/2 in, P3005.4.1")
}

// What is the kind of thing a diagnostic points at.
type What uint8

const (
	Job What = iota
	Run
	Vent
	Fixture
	Level
	Outlet
	Book
)

// String gives the lower-case word.
func (w What) String() string {
	return [...]string{"job", "run", "vent", "fixture", "level", "outlet", "book"}[w]
}

// MarshalText makes the word the JSON form.
func (w What) MarshalText() ([]byte, error) { return []byte(w.String()), nil }

// Ref names the thing meant by its name in the job file. A fixture has the name of the
// run that it stands on.
type Ref struct {
	What What   `json:"what"`
	Name string `json:"name,omitempty"`
	// Segment is the engine's number of the pipe piece, or -1.
	Segment int32 `json:"segment"`
}

// Diagnostic is one thing that is said.
type Diagnostic struct {
	Severity Severity    `json:"severity"`
	Rule     string      `json:"rule"` // stable id; "job-file" family when the job cannot be read
	On       Ref         `json:"on"`
	At       source.Span `json:"at"`              // the words to underline
	Message  string      `json:"message"`         // the thing first, then what was measured or found, with its unit
	Got      string      `json:"got,omitempty"`   // measured value with unit, alone
	Limit    string      `json:"limit,omitempty"` // what is permitted, with unit, alone
	Cites    []Cite      `json:"cites,omitempty"`
	Why      string      `json:"why,omitempty"` // the harm that the rule guards against
	Try      string      `json:"try,omitempty"` // what to write or build instead
	Ask      string      `json:"ask,omitempty"` // with Unchecked: the one question
}

// Sort puts diagnostics into report order: by severity, then place in the file, then
// rule and message, so that the order of runs or of map keys never shows.
func Sort(ds []Diagnostic) {
	sort.SliceStable(ds, func(i, j int) bool {
		a, b := &ds[i], &ds[j]
		switch {
		case a.Severity != b.Severity:
			return a.Severity < b.Severity
		case a.At.File != b.At.File:
			return a.At.File < b.At.File
		case a.At.Line != b.At.Line:
			return a.At.Line < b.At.Line
		case a.At.Col != b.At.Col:
			return a.At.Col < b.At.Col
		case a.Rule != b.Rule:
			return a.Rule < b.Rule
		case a.On.Name != b.On.Name:
			return a.On.Name < b.On.Name
		}
		return a.Message < b.Message
	})
}

// Count returns how many diagnostics have the severity.
func Count(ds []Diagnostic, s Severity) int {
	n := 0
	for i := range ds {
		if ds[i].Severity == s {
			n++
		}
	}
	return n
}
