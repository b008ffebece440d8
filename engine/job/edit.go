package job

import (
	"strings"

	"go.yaml.in/yaml/v4"

	"trapweir/engine/diag"
	"trapweir/engine/source"
)

// Op is what an edit does.
type Op string

const (
	OpSet    Op = "set"    // Path gets Value or List; it is made where it is not there yet
	OpRemove Op = "remove" // Path, a key or an item of a list, goes
	OpAdd    Op = "add"    // a new run, vent or level at Path with Fields
	OpRename Op = "rename" // the run, vent, level or wall at Path is called Value, wherever it is named
	OpAppend Op = "append" // Value becomes the last item of the list at Path
)

// An Edit changes one thing in a job file. Path names it from the top of the file:
// ["runs", "kitchen", "size"]; a number stands for an item of a list, from 0:
// ["runs", "stack", "legs", "0"].
type Edit struct {
	Op     Op       `json:"op"`
	Path   []string `json:"path"`
	Value  string   `json:"value,omitempty"`
	List   []string `json:"list,omitempty"`   // with OpSet: a list instead of Value
	Items  []Item   `json:"items,omitempty"`  // with OpSet: a list of values and mappings
	Fields []Field  `json:"fields,omitempty"` // with OpAdd, in this order
	After  string   `json:"after,omitempty"`  // with OpAdd: the neighbour to stand below; "" is last
}

// Item is one item of a list: a value, or a mapping where Fields are given.
type Item struct {
	Value  string  `json:"value,omitempty"`
	Fields []Field `json:"fields,omitempty"`
}

// Field is one key of a run, vent or level that is added.
type Field struct {
	Key   string   `json:"key"`
	Value string   `json:"value,omitempty"`
	List  []string `json:"list,omitempty"` // a list instead of Value
}

// Set puts one value at a path.
func Set(value string, path ...string) Edit { return Edit{Op: OpSet, Path: path, Value: value} }

// SetList puts a list at a path.
func SetList(list []string, path ...string) Edit { return Edit{Op: OpSet, Path: path, List: list} }

// Remove takes out what is at a path: a key, an item of a list, a whole run or vent.
func Remove(path ...string) Edit { return Edit{Op: OpRemove, Path: path} }

// Add makes a run, vent or level: heading is "runs", "vents" or "levels".
func Add(heading, name string, fields ...Field) Edit {
	return Edit{Op: OpAdd, Path: []string{heading, name}, Fields: fields}
}

// Rename calls a run, vent or level by another name wherever it is named.
func Rename(heading, from, to string) Edit {
	return Edit{Op: OpRename, Path: []string{heading, from}, Value: to}
}

// Append puts one more item at the end of a list.
func Append(item string, path ...string) Edit { return Edit{Op: OpAppend, Path: path, Value: item} }

// Apply makes the edits one after the other and returns the new text. Comments, order,
// line breaks and every byte that is not meant stay. After each edit the text is read
// again and compared with what was meant; where the two differ, the part is written anew
// as a whole and an Info says so. An edit that cannot be made leaves the text as it was
// and is reported as an Error; the others are still made. Apply does not judge values:
// read the result with Read.
func Apply(b []byte, edits []Edit) ([]byte, []diag.Diagnostic) {
	var ds []diag.Diagnostic
	t, bad := parse("", b)
	if bad != nil {
		return b, []diag.Diagnostic{*bad}
	}
	for i := range edits {
		e := &edits[i]
		next, said, ok := t.apply(e)
		ds = append(ds, said...)
		if ok {
			t = next
		}
	}
	return t.bytes, ds
}

// A patch replaces the bytes [from, to).
type patch struct {
	from, to int
	with     string
}

// An editor makes one edit: it collects patches, and changes the nodes to what is meant.
type editor struct {
	*text
	patches []patch
	eol     string
	refused string // why the edit cannot be made
	try     string
	lost    bool // no patch was found; write the part anew
}

func (e *editor) refuse(msg, try string) { e.refused, e.try = msg, try }

func (e *editor) replace(from, to int, with string) {
	if from < 0 || to < from || to > len(e.bytes) {
		e.lost = true
		return
	}
	e.patches = append(e.patches, patch{from, to, with})
}

// apply makes one edit. ok is false when it was refused.
func (t *text) apply(edit *Edit) (next *text, ds []diag.Diagnostic, ok bool) {
	ed := &editor{text: t, eol: t.lineBreak()}
	say := func(sev diag.Severity, msg, try string) {
		if len(edit.Path) > 0 {
			msg = strings.Join(edit.Path, ", ") + ": " + msg
		}
		ds = append(ds, diag.Diagnostic{Severity: sev, Rule: RuleFile, On: diag.Ref{Segment: -1}, At: source.Span{}, Message: msg, Try: try})
	}
	if t.root == nil || empty(t.root) {
		// A file with nothing in it, or with comments alone.
		t.root = &yaml.Node{Kind: yaml.MappingNode, Tag: "!!map", Line: len(t.lines) + 1, Column: 1}
		ed.lost = true
	}
	if t.root.Kind != yaml.MappingNode {
		say(diag.Error, "the file is "+shape(t.root)+" and not a job", "")
		return t, ds, false
	}
	if r := (&reader{text: t, on: diag.Ref{Segment: -1}}); true {
		if r.refuse(t.root); len(r.diags) > 0 {
			say(diag.Error, "the file is not edited: "+r.diags[0].Message, r.diags[0].Try)
			return t, ds, false
		}
	}
	undo := clone(t.root)
	fail := func(msg, try string) (*text, []diag.Diagnostic, bool) {
		t.root = undo
		say(diag.Error, msg, try)
		return t, ds, false
	}
	ed.change(edit)
	if ed.refused != "" {
		return fail(ed.refused, ed.try)
	}
	meant := t.root
	if !ed.lost {
		if got, bad := parse(t.file, ed.patched()); bad == nil && got.root != nil && same(got.root, meant) {
			return got, ds, true
		}
	}
	// What was patched is not what was meant: write the entry anew, and if that does not
	// do either, the whole file.
	part := ""
	if len(edit.Path) > 1 && edit.Op != OpRename {
		part = edit.Path[1]
		if b, ok := t.entryAnew(undo, meant, edit.Path); ok {
			if got, bad := parse(t.file, b); bad == nil && got.root != nil && same(got.root, meant) {
				say(diag.Info, "the entry "+quoted(part)+" was written anew, its comments and layout are lost", "")
				return got, ds, true
			}
		}
	}
	b := encodeJob(meant, ed.eol)
	got, bad := parse(t.file, b)
	if bad != nil || got.root == nil || !same(got.root, meant) {
		return fail("the edit cannot be written in this file", "change it by hand")
	}
	if len(undo.Content) > 0 {
		say(diag.Info, "the file was written anew, its comments and layout are lost", "")
	}
	return got, ds, true
}

// patched is the text with the patches made, which must not overlap.
func (e *editor) patched() []byte {
	ps := e.patches
	for i := 1; i < len(ps); i++ { // few; in order of place, later ones stay behind
		for k := i; k > 0 && ps[k].from < ps[k-1].from; k-- {
			ps[k], ps[k-1] = ps[k-1], ps[k]
		}
	}
	out := make([]byte, 0, len(e.bytes)+64)
	at := 0
	for _, p := range ps {
		if p.from < at {
			return nil
		}
		out = append(out, e.bytes[at:p.from]...)
		out = append(out, p.with...)
		at = p.to
	}
	return append(out, e.bytes[at:]...)
}

// same compares what two trees say: kinds, order and values, not how they are written.
func same(a, b *yaml.Node) bool {
	if empty(a) && empty(b) {
		return true
	}
	if a.Kind != b.Kind || a.Value != b.Value || len(a.Content) != len(b.Content) || empty(a) != empty(b) {
		return false
	}
	for i := range a.Content {
		if !same(a.Content[i], b.Content[i]) {
			return false
		}
	}
	return true
}

func clone(n *yaml.Node) *yaml.Node {
	c := *n
	c.Content = make([]*yaml.Node, len(n.Content))
	for i := range n.Content {
		c.Content[i] = clone(n.Content[i])
	}
	return &c
}

func (e *editor) change(edit *Edit) {
	if len(edit.Path) == 0 {
		e.refuse("the edit has no path", "give a path such as runs, kitchen, size")
		return
	}
	for _, p := range edit.Path {
		if p == "" {
			e.refuse("a part of the path is empty", "")
			return
		}
	}
	switch edit.Op {
	case OpSet:
		v := scalarNode(edit.Value)
		if edit.List != nil {
			v = listNode(edit.List)
		}
		if edit.Items != nil {
			v = itemsNode(edit.Items)
		}
		e.set(edit.Path, v)
	case OpRemove:
		e.remove(edit.Path)
	case OpAdd:
		e.add(edit)
	case OpRename:
		e.rename(edit)
	case OpAppend:
		e.append(edit)
	default:
		e.refuse("the operation "+quoted(string(edit.Op))+" is not known", "write set, remove, add, rename or append")
	}
}
