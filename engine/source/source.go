// Package source says where a value was written: file, line and columns.
//
// It is for error messages, for carets under the words meant, and for edits that
// touch only what changed. It deliberately does not read files.
package source

import "fmt"

// Span is a stretch of one line of a file. Lines and columns count from 1, columns
// in characters (not bytes); EndCol is one past the last character. The zero Span
// means "not from a file" (a value that the program worked out).
type Span struct {
	File   string `json:"file"`
	Line   int32  `json:"line"`
	Col    int32  `json:"col"`
	EndCol int32  `json:"end"`
}

// IsZero reports whether the span points nowhere.
func (s Span) IsZero() bool { return s.Line == 0 }

// String gives file:line:col, or "" for the zero span.
func (s Span) String() string {
	if s.IsZero() {
		return ""
	}
	return fmt.Sprintf("%s:%d:%d", s.File, s.Line, s.Col)
}
