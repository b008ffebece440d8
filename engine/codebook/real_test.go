package codebook_test

import (
	"testing"

	"trapweir/data"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
)

func library(tb testing.TB) *codebook.Library {
	tb.Helper()
	var files []codebook.File
	for _, f := range data.Books() {
		files = append(files, codebook.File(f))
	}
	lib, ds := codebook.ReadLibrary(files)
	say(tb, ds)
	return lib
}

func say(tb testing.TB, ds []diag.Diagnostic) {
	tb.Helper()
	for _, d := range ds {
		tb.Errorf("%s: %s: %s (%s)", d.At, d.Severity, d.Message, d.Try)
	}
}

// Every book that comes with the program is read without a word, alone and with each of
// the layers that lie over it.
func TestEmbeddedBooks(t *testing.T) {
	lib := library(t)
	for _, id := range lib.IDs() {
		in, _ := lib.Info(id)
		if in.Kind == "model code" || in.Kind == "edition" {
			b, ds := lib.Book(id, nil)
			say(t, ds)
			if len(b.Sizings()) == 0 || len(b.Limits()) == 0 || len(b.Fixtures()) == 0 || len(b.Clauses()) == 0 {
				t.Errorf("%s lacks a part: %d sizings, %d limits, %d fixtures, %d clauses", id, len(b.Sizings()), len(b.Limits()), len(b.Fixtures()), len(b.Clauses()))
			}
			continue
		}
		over := in.Amends
		if len(over) == 1 && over[0] == "any" {
			over = nil
			for _, other := range lib.IDs() {
				if o, _ := lib.Info(other); o.Kind == "model code" {
					over = append(over, other)
				}
			}
		}
		for _, o := range over {
			if x, _ := lib.Info(o); x.Kind == "model code" || x.Kind == "edition" {
				_, ds := lib.Book(o, []string{id})
				say(t, ds)
			}
		}
	}
}
