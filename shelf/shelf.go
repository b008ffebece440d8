// Package shelf hands the embedded books and catalogs to the engine.
//
// Reading every book takes longer than solving a house, so For reads only what a job
// names; All reads everything. Nothing is kept between calls.
package shelf

import (
	"bytes"
	"strings"

	"trapweir/data"
	"trapweir/engine"
	"trapweir/engine/catalog"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/propose"
	"trapweir/engine/site"
	"trapweir/engine/stock"
)

// All reads every book and layer that comes with the program, and the extra files.
func All(extra ...codebook.File) (engine.Data, []diag.Diagnostic) {
	return read(data.Books(), extra)
}

// For reads the books that a job needs: the given code, else the one that the text names,
// else the default, what they amend, and the layers named by `with`. A name that the
// shelf does not have makes it read everything, so that the nearest one can be offered.
func For(text []byte, code string, extra ...codebook.File) (engine.Data, []diag.Diagnostic) {
	named, want := basis(text)
	if code == "" {
		code = named
	}
	if code == "" {
		code = Default()
	}
	return Of(append(want, code), extra...)
}

// Of reads the named books and what they amend.
func Of(ids []string, extra ...codebook.File) (engine.Data, []diag.Diagnostic) {
	var files []data.File
	seen := map[string]bool{}
	todo := append([]string(nil), ids...)
	for len(todo) > 0 {
		id := todo[0]
		todo = todo[1:]
		if id == "any" || seen[id] {
			continue
		}
		seen[id] = true
		text := data.Get("codes/" + id + ".yaml")
		if text == nil {
			if has(extra, id) {
				continue
			}
			return All(extra...)
		}
		files = append(files, data.File{Name: "codes/" + id + ".yaml", Text: text})
		todo = append(todo, words(topLine(text, "amends"))...)
	}
	for _, f := range extra {
		for _, w := range words(topLine(f.Text, "amends")) {
			if w != "any" && !seen[w] {
				return All(extra...)
			}
		}
	}
	d, ds := read(files, extra)
	// A layer may amend several books; those that nobody asked for need not be there.
	if diag.Count(ds, diag.Error) > 0 {
		return All(extra...)
	}
	return d, ds
}

func has(files []codebook.File, id string) bool {
	for _, f := range files {
		if f.Name == id || f.Name == id+".yaml" || topLine(f.Text, "layer") == id || topLine(f.Text, "book") == id {
			return true
		}
	}
	return false
}

func read(books []data.File, extra []codebook.File) (engine.Data, []diag.Diagnostic) {
	files := make([]codebook.File, 0, len(books)+len(extra))
	for _, f := range books {
		files = append(files, codebook.File{Name: f.Name, Text: f.Text})
	}
	lib, ds := codebook.ReadLibrary(append(files, extra...))
	cat, more := catalog.Read([]codebook.File{{Name: "fixtures.yaml", Text: data.Get("fixtures.yaml")}})
	ds = append(ds, more...)
	st, more := Stock()
	return engine.Data{Books: lib, Catalog: cat, Default: Default(), Stock: st}, append(ds, more...)
}

// Stock reads pipe and fittings as they are sold, then the user's own files over them.
func Stock(own ...stock.File) (*stock.Stock, []diag.Diagnostic) {
	files := []stock.File{{Name: "pipes.yaml", Text: data.Get("pipes.yaml")}, {Name: "fittings.yaml", Text: data.Get("fittings.yaml")}}
	return stock.Read(append(files, own...))
}

// Effort is how parts of a proposal are weighed: as the program has it, then a user's own
// file over it ("" for none).
func Effort(name string, own []byte) (propose.Effort, []diag.Diagnostic) {
	e, ds := propose.ReadEffort("effort.yaml", data.Get("effort.yaml"), propose.Effort{})
	if own != nil {
		var more []diag.Diagnostic
		e, more = propose.ReadEffort(name, own, e)
		ds = append(ds, more...)
	}
	return e, ds
}

// SiteChecks are the things to look at on the site that no job tells.
func SiteChecks() ([]site.Check, []diag.Diagnostic) {
	return site.Read("sitechecks.yaml", data.Get("sitechecks.yaml"))
}

// Default is the id of the book that speaks when a job names none.
func Default() string { return topLine(data.Get("defaults.yaml"), "code") }

// Compared are the ids of the books that a comparison takes when none is named.
func Compared() []string { return words(topLine(data.Get("defaults.yaml"), "compare")) }

// IDs lists the books and layers on the shelf.
func IDs() []string {
	var out []string
	for _, f := range data.Books() {
		out = append(out, strings.TrimSuffix(strings.TrimPrefix(f.Name, "codes/"), ".yaml"))
	}
	return out
}

// With lists what a job's `with` names, read without judging the file.
func With(text []byte) []string {
	_, with := basis(text)
	return with
}

// Code is the book that a job names, else the one that speaks when it names none.
func Code(text []byte) string {
	if code, _ := basis(text); code != "" {
		return code
	}
	return Default()
}

// basis is what a job names as `code` and `with`. Nearly every job says them on lines that
// need no reader of YAML; whatever is written otherwise is left to the reader of jobs.
func basis(text []byte) (code string, with []string) {
	code, ok := plainLine(text, "code")
	list, fine := plainLine(text, "with")
	if ok && fine && !strings.ContainsAny(code, "[]{}, ") {
		with, fine = plainList(list)
		if fine {
			return code, with
		}
	}
	j, _ := job.Read("", text)
	if j == nil {
		return "", nil
	}
	for _, w := range j.With {
		with = append(with, w.Text)
	}
	return j.Code.Text, with
}

// plainLine returns the value of a top-level key that stands on one line as KEY: VALUE. It
// is not ok where the key may be written in another way.
func plainLine(text []byte, key string) (v string, ok bool) {
	for rest := text; ; {
		i := bytes.Index(rest, []byte(key))
		if i < 0 {
			return v, true
		}
		at := len(text) - len(rest) + i
		rest = rest[i+len(key):]
		after := bytes.TrimLeft(rest, "\"' \t")
		if len(after) == 0 || after[0] != ':' {
			continue // no key, such as the word in a remark
		}
		if at > 0 && text[at-1] != '\n' || rest[0] != ':' || v != "" {
			return "", false
		}
		line, _, _ := bytes.Cut(rest[1:], []byte("\n"))
		line, _, _ = bytes.Cut(line, []byte(" #"))
		v = string(bytes.TrimSpace(line))
		if v == "" || strings.ContainsAny(v, "\"'#&*!|>") {
			return "", false
		}
	}
}

// plainList reads [a, b] or one word.
func plainList(s string) (out []string, ok bool) {
	if inner, yes := strings.CutPrefix(s, "["); yes {
		if s, yes = strings.CutSuffix(inner, "]"); !yes {
			return nil, false
		}
	} else if strings.Contains(s, ",") {
		return nil, false
	}
	for w := range strings.SplitSeq(s, ",") {
		if w = strings.TrimSpace(w); w == "" {
			continue
		}
		if strings.ContainsAny(w, " \t[]{}:") {
			return nil, false
		}
		out = append(out, w)
	}
	return out, true
}

// topLine returns the value of a key of a book's file, which is written on its own line.
func topLine(text []byte, key string) string {
	for len(text) > 0 {
		var line []byte
		line, text, _ = bytes.Cut(text, []byte("\n"))
		rest, ok := bytes.CutPrefix(line, []byte(key+":"))
		if !ok {
			continue
		}
		v, _, _ := strings.Cut(string(rest), " #")
		v = strings.Trim(strings.TrimSpace(v), `"'`)
		if v != "" {
			return v
		}
		for len(text) > 0 {
			line, text, _ = bytes.Cut(text, []byte("\n"))
			item := strings.TrimSpace(string(line))
			w, ok := strings.CutPrefix(item, "- ")
			if !ok {
				break
			}
			w, _, _ = strings.Cut(w, " #")
			v += strings.Trim(strings.TrimSpace(w), `"'`) + ","
		}
		return v
	}
	return ""
}

// words splits "[a, b]" or "a, b" or "a".
func words(s string) []string {
	var out []string
	for _, w := range strings.FieldsFunc(s, func(r rune) bool { return r == ',' || r == '[' || r == ']' || r == ' ' }) {
		out = append(out, strings.Trim(w, `"'`))
	}
	return out
}
