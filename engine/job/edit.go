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
	OpRename Op = "rename" // the run, vent or level at Path is called Value, wherever it is named
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

func scalarNode(v string) *yaml.Node {
	return &yaml.Node{Kind: yaml.ScalarNode, Value: v, Tag: "!!str", Style: styleOf(v)}
}

// styleOf keeps a text that would read as nothing apart from nothing.
func styleOf(v string) yaml.Style {
	if v == "" || v == "~" || v == "null" {
		return yaml.SingleQuotedStyle
	}
	return 0
}

func listNode(items []string) *yaml.Node {
	n := &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle}
	for _, s := range items {
		n.Content = append(n.Content, scalarNode(s))
	}
	return n
}

func itemsNode(items []Item) *yaml.Node {
	n := &yaml.Node{Kind: yaml.SequenceNode, Style: yaml.FlowStyle}
	for _, it := range items {
		if it.Fields == nil {
			n.Content = append(n.Content, scalarNode(it.Value))
			continue
		}
		m := &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle}
		for _, f := range it.Fields {
			c := scalarNode(f.Value)
			if f.List != nil {
				c = listNode(f.List)
			}
			m.Content = append(m.Content, scalarNode(f.Key), c)
		}
		n.Content = append(n.Content, m)
	}
	return n
}

// find gives the index of the value under key in a mapping, or of an item in a list; -1
// when it is not there.
func find(n *yaml.Node, key string) int {
	switch n.Kind {
	case yaml.MappingNode:
		for i := 0; i+1 < len(n.Content); i += 2 {
			if n.Content[i].Kind == yaml.ScalarNode && n.Content[i].Value == key {
				return i + 1
			}
		}
	case yaml.SequenceNode:
		if i := smallNumber(key); i >= 0 && i < len(n.Content) {
			return i
		}
	}
	return -1
}

func smallNumber(s string) int {
	n := 0
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' || n > 1e6 {
			return -1
		}
		n = n*10 + int(s[i]-'0')
	}
	if s == "" {
		return -1
	}
	return n
}

func (e *editor) set(path []string, v *yaml.Node) {
	n := e.root
	flow := n.Style&yaml.FlowStyle != 0
	for i, p := range path {
		k := find(n, p)
		last := i == len(path)-1
		switch {
		case k < 0 && n.Kind == yaml.SequenceNode:
			e.refuse("the list has no item "+p, "append to it instead")
			return
		case k < 0:
			// Not there: make it, with what is missing below it.
			for j := len(path) - 1; j > i; j-- {
				v = &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle, Content: []*yaml.Node{scalarNode(path[j]), v}}
			}
			e.insert(n, p, v, flow, i == 0, -1)
			return
		case last:
			old := n.Content[k]
			if same(old, v) {
				return
			}
			e.overwrite(n, k, old, v, flow)
			n.Content[k] = v
			return
		}
		c := n.Content[k]
		if empty(c) {
			for j := len(path) - 1; j > i; j-- {
				v = &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle, Content: []*yaml.Node{scalarNode(path[j]), v}}
			}
			e.overwrite(n, k, c, v, flow)
			n.Content[k] = v
			return
		}
		if c.Kind == yaml.ScalarNode {
			e.refuse("there is "+quoted(c.Value)+" and nothing can stand below it", "set "+strings.Join(path[:i+1], ", ")+" instead")
			return
		}
		n = c
		flow = flow || n.Style&yaml.FlowStyle != 0
	}
}

// overwrite writes v in the place of old, the child k of parent.
func (e *editor) overwrite(parent *yaml.Node, k int, old, v *yaml.Node, flow bool) {
	with := encode(v, flow)
	if parent.Kind == yaml.MappingNode {
		key := parent.Content[k-1]
		keyEnd := e.keyEnd(key)
		switch {
		case keyEnd < 0:
			e.lost = true
			return
		case empty(old) && old.Value == "":
			if e.bytes[keyEnd-1] != ':' {
				with = ": " + with
			} else {
				with = " " + with
			}
			e.replace(keyEnd, keyEnd, with)
			return
		case old.Kind != yaml.ScalarNode && old.Style&yaml.FlowStyle == 0:
			// A block below the key: the value moves up behind the key, the block's lines go.
			to := e.end(old, key.Column-1)
			if to < 0 || len(old.Content) == 0 {
				e.lost = true
				return
			}
			e.replace(keyEnd, keyEnd, " "+with)
			e.cutLines(e.lineStart(old.Line), to)
			return
		}
	}
	indent := 0
	if parent.Kind == yaml.MappingNode {
		indent = parent.Content[k-1].Column - 1
	} else {
		indent = max(0, parent.Column-1)
	}
	from := e.offset(old.Line, old.Column)
	e.replace(from, e.end(old, indent), with)
}

// insert writes key: v into mapping n, below child index after (or last, with -1).
func (e *editor) insert(n *yaml.Node, name string, v *yaml.Node, flow, top bool, after int) {
	if n.Kind != yaml.MappingNode {
		e.refuse("there is "+shape(n)+", and a key can only stand in a mapping", "")
		return
	}
	if after < 0 {
		after = len(n.Content) - 2
	}
	entry := quote(name, flow) + ": " + encode(v, flow)
	switch {
	case len(n.Content) == 0:
		if n.Style&yaml.FlowStyle == 0 {
			e.lost = true
			break
		}
		at := e.offset(n.Line, n.Column) + 1
		e.replace(at, at, entry)
	case flow:
		end := e.end(n.Content[after+1], n.Content[after].Column-1)
		if n.Content[after+1].Value == "" && empty(n.Content[after+1]) {
			end = e.keyEnd(n.Content[after])
		}
		e.replace(end, end, ", "+entry)
	default:
		indent := n.Content[0].Column - 1
		if key := n.Content[after]; !top && v.Kind == yaml.MappingNode {
			entry = quote(name, false) + ":" + e.pad(n, after, name, key) + encode(v, false)
		}
		at := e.end(n.Content[after+1], indent)
		if empty(n.Content[after+1]) && n.Content[after+1].Value == "" {
			at = e.keyEnd(n.Content[after])
		}
		if at < 0 {
			e.lost = true
			break
		}
		at, broken := e.lineEnd(at)
		line := strings.Repeat(" ", indent) + entry + e.eol
		if top && v.Kind == yaml.MappingNode && v.Style&yaml.FlowStyle != 0 && isNamed(name) {
			line = name + ":" + e.eol + "  " + strings.TrimSuffix(strings.TrimPrefix(encode(v, false), "{"), "}") + e.eol
		}
		if !broken {
			line = e.eol + strings.TrimSuffix(line, e.eol)
		}
		e.replace(at, at, line)
	}
	n.Content = append(n.Content, nil, nil)
	copy(n.Content[after+4:], n.Content[after+2:])
	n.Content[after+2], n.Content[after+3] = scalarNode(name), v
}

func isNamed(heading string) bool {
	return heading == "runs" || heading == "vents" || heading == "levels"
}

// pad is the blank between the colon and the value that lines a new entry up with the
// entry above, where that one is lined up.
func (e *editor) pad(n *yaml.Node, at int, name string, key *yaml.Node) string {
	v := n.Content[at+1]
	if v.Line != key.Line {
		return " "
	}
	width := v.Column - key.Column // of the key, its colon and the blank
	aligned := width > int(runes(quote(key.Value, false)))+2
	for i := 0; i+1 < len(n.Content) && !aligned; i += 2 {
		k, o := n.Content[i], n.Content[i+1]
		aligned = i != at && o.Line == k.Line && o.Column == v.Column && k.Value != key.Value && len(k.Value) != len(key.Value)
	}
	if gap := width - int(runes(quote(name, false))) - 1; aligned && gap > 0 {
		return strings.Repeat(" ", gap)
	}
	return " "
}

func (e *editor) remove(path []string) {
	n := e.root
	flow := n.Style&yaml.FlowStyle != 0
	var parent *yaml.Node
	in := 0
	for i, p := range path {
		k := find(n, p)
		if k < 0 {
			e.refuse("it is not there", "")
			return
		}
		if i < len(path)-1 {
			parent, in = n, k
			n = n.Content[k]
			flow = flow || n.Style&yaml.FlowStyle != 0
			continue
		}
		first, width := k, 1
		if n.Kind == yaml.MappingNode {
			first, width = k-1, 2
		}
		e.cut(parent, in, n, first, width)
		n.Content = append(n.Content[:first:first], n.Content[first+width:]...)
	}
}

// cut takes the children [first, first+width) of n out of the text. n is child in of
// parent.
func (e *editor) cut(parent *yaml.Node, in int, n *yaml.Node, first, width int) {
	head := n.Content[first]
	from := e.offset(head.Line, head.Column)
	to := e.childEnd(n, first+width-1)
	if to < 0 {
		e.lost = true
		return
	}
	only := len(n.Content) == width
	if n.Style&yaml.FlowStyle != 0 {
		next := to
		for next < len(e.bytes) && (e.bytes[next] == ' ' || e.bytes[next] == '\t') {
			next++
		}
		comma := next < len(e.bytes) && e.bytes[next] == ','
		switch {
		case only && comma:
			e.replace(from, next+1, "")
		case only:
			e.replace(from, to, "")
		case first+width == len(n.Content):
			// The last: what parts it from the one before goes too.
			e.replace(e.childEnd(n, first-1), to, "")
		case comma:
			next++
			for next < len(e.bytes) && (e.bytes[next] == ' ' || e.bytes[next] == '\t') {
				next++
			}
			e.replace(from, next, "")
		default:
			e.lost = true
		}
		return
	}
	if only {
		// Nothing is left below the heading: say so, as an empty value means not given.
		if parent == nil || parent.Kind != yaml.MappingNode {
			e.lost = true
			return
		}
		hollow := " {}"
		if n.Kind == yaml.SequenceNode {
			hollow = " []"
		}
		at := e.keyEnd(parent.Content[in-1])
		if at < 0 {
			e.lost = true
			return
		}
		e.replace(at, at, hollow)
		e.cutLines(e.lineStart(n.Line), to)
		return
	}
	start := e.lineStart(head.Line)
	lead := strings.TrimSpace(string(e.bytes[start:from]))
	switch {
	case lead == "" || n.Kind == yaml.SequenceNode && lead == "-":
		e.cutLines(start, to)
	case first == 0 && n.Kind == yaml.MappingNode:
		// The first key behind a dash: the next one moves up to it.
		after := n.Content[width]
		e.replace(from, e.offset(after.Line, after.Column), "")
	default:
		e.lost = true
	}
}

func (e *editor) add(edit *Edit) {
	heading, name := edit.Path[0], ""
	if len(edit.Path) == 2 {
		name = edit.Path[1]
	}
	if !isNamed(heading) || name == "" {
		e.refuse("only a run, a vent or a level can be added", "give a path such as runs, kitchen")
		return
	}
	if why := e.nameTaken(heading, name); why != "" {
		e.refuse(why, "choose another name")
		return
	}
	v := &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle}
	for _, f := range edit.Fields {
		c := scalarNode(f.Value)
		if f.List != nil {
			c = listNode(f.List)
		}
		if f.Key == "" || find(v, f.Key) >= 0 {
			e.refuse("the key "+quoted(f.Key)+" is empty or given twice", "")
			return
		}
		v.Content = append(v.Content, scalarNode(f.Key), c)
	}
	k := find(e.root, heading)
	if k < 0 || empty(e.root.Content[k]) || len(e.root.Content[k].Content) == 0 {
		if k >= 0 && e.root.Content[k].Kind == yaml.SequenceNode {
			e.refuse("there is a list below "+heading, "")
			return
		}
		e.set([]string{heading, name}, v)
		return
	}
	n := e.root.Content[k]
	after := -1
	if edit.After != "" {
		i := find(n, edit.After)
		if i < 0 {
			e.refuse("there is no "+quoted(edit.After)+" to stand below", "")
			return
		}
		after = i - 1
	}
	e.insert(n, name, v, e.root.Style&yaml.FlowStyle != 0 || n.Style&yaml.FlowStyle != 0, false, after)
}

// nameTaken says why a new thing cannot have a name, "" when it can.
func (e *editor) nameTaken(heading, name string) string {
	if name != strings.TrimSpace(name) || strings.ContainsAny(name, "\n\r\t") {
		return "the name begins or ends with a blank, or holds a tab or a line break"
	}
	if heading == "levels" {
		if k := find(e.root, heading); k >= 0 && find(e.root.Content[k], name) >= 0 {
			return "the name " + quoted(name) + " is taken"
		}
		return ""
	}
	if reserved(name) {
		return "the word " + quoted(name) + " has a meaning of its own"
	}
	for _, h := range []string{"runs", "vents"} {
		if k := find(e.root, h); k >= 0 && find(e.root.Content[k], name) >= 0 {
			return "the name " + quoted(name) + " is taken"
		}
	}
	return ""
}

func (e *editor) append(edit *Edit) {
	n := e.root
	flow := n.Style&yaml.FlowStyle != 0
	for _, p := range edit.Path {
		k := find(n, p)
		if k < 0 {
			e.set(edit.Path, listNode([]string{edit.Value}))
			return
		}
		n = n.Content[k]
		flow = flow || n.Style&yaml.FlowStyle != 0
	}
	item := scalarNode(edit.Value)
	switch {
	case empty(n):
		e.set(edit.Path, listNode([]string{edit.Value}))
		return
	case n.Kind == yaml.ScalarNode:
		e.set(edit.Path, listNode([]string{n.Value, edit.Value}))
		return
	case n.Kind != yaml.SequenceNode:
		e.refuse("there is "+shape(n)+", and only a list can be appended to", "")
		return
	}
	with := quote(edit.Value, flow)
	switch {
	case n.Style&yaml.FlowStyle != 0 && len(n.Content) == 0:
		at := e.offset(n.Line, n.Column) + 1
		e.replace(at, at, with)
	case n.Style&yaml.FlowStyle != 0:
		at := e.childEnd(n, len(n.Content)-1)
		e.replace(at, at, ", "+with)
	default:
		at := e.childEnd(n, len(n.Content)-1)
		if at < 0 {
			e.lost = true
			break
		}
		at, broken := e.lineEnd(at)
		line := strings.Repeat(" ", n.Column-1) + "- " + with + e.eol
		if !broken {
			line = e.eol + strings.TrimSuffix(line, e.eol)
		}
		e.replace(at, at, line)
	}
	n.Content = append(n.Content, item)
}
