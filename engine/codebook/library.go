package codebook

import (
	"sort"
	"strings"

	"trapweir/engine/diag"
	"trapweir/engine/yamlread"
)

// File is a book or layer file in memory.
type File struct {
	Name string // for messages, and to name a layer by its file in a job
	Text []byte
}

// Library holds books and layers that have been read. It does not change after
// ReadLibrary, so several goroutines may use it at once.
type Library struct {
	docs   map[string]*doc
	byFile map[string]string
	ids    []string
	// Topics and params that any book knows: what a layer may speak of.
	topics, params []string
	topicSet       map[string]bool
	paramSet       map[string]bool
}

// ReadLibrary reads all files once. A file with faults is kept as far as it could be read;
// every fault is reported at its place.
func ReadLibrary(files []File) (*Library, []diag.Diagnostic) {
	l := &Library{docs: make(map[string]*doc, len(files)), byFile: make(map[string]string, len(files))}
	return l, l.add(files)
}

// With returns a library with further files, usually a user's own layers. The library it
// is called on stays as it is.
func (l *Library) With(extra ...File) (*Library, []diag.Diagnostic) {
	n := &Library{docs: make(map[string]*doc, len(l.docs)+len(extra)), byFile: make(map[string]string, len(l.byFile)+len(extra))}
	for k, v := range l.docs {
		n.docs[k] = v
	}
	for k, v := range l.byFile {
		n.byFile[k] = v
	}
	return n, n.add(extra)
}

func (l *Library) add(files []File) []diag.Diagnostic {
	var out []diag.Diagnostic
	var fresh []*doc
	for _, f := range files {
		d := readDoc(f)
		out = append(out, d.diags...)
		if d.layer.ID == "" {
			continue
		}
		if old := l.docs[d.layer.ID]; old != nil {
			out = append(out, bookDiag(d.idAt, d.layer.ID+" is already the id of "+old.file, "give it an id of its own"))
			continue
		}
		l.docs[d.layer.ID] = d
		l.byFile[f.Name] = d.layer.ID
		fresh = append(fresh, d)
	}
	l.ids = make([]string, 0, len(l.docs))
	for id := range l.docs {
		l.ids = append(l.ids, id)
	}
	sort.Strings(l.ids)
	l.vocabulary()
	for _, d := range fresh {
		out = append(out, l.check(d)...)
	}
	return out
}

// vocabulary gathers the topics and params of all books.
func (l *Library) vocabulary() {
	l.topics, l.params = nil, nil
	l.topicSet, l.paramSet = map[string]bool{}, map[string]bool{}
	for _, id := range l.ids {
		d := l.docs[id]
		if !d.isBook {
			continue
		}
		for i := range d.clauses {
			l.topicSet[d.clauses[i].id.text] = true
		}
		for i := range d.params {
			l.paramSet[d.params[i].id.text] = true
		}
	}
	for t := range l.topicSet {
		l.topics = append(l.topics, t)
	}
	for p := range l.paramSet {
		l.params = append(l.params, p)
	}
	sort.Strings(l.topics)
	sort.Strings(l.params)
}

// maxSaid ends the looking for names that no book has.
const maxSaid = 100

// check looks at what a file says of others.
func (l *Library) check(d *doc) []diag.Diagnostic {
	var out []diag.Diagnostic
	books := l.bookIDs()
	for _, w := range d.amends {
		if w.text == anyBook && !d.isBook {
			continue
		}
		below := l.docs[w.text]
		switch {
		case below == nil:
			out = append(out, bookDiag(w.at, d.layer.ID+" amends "+yamlread.Short(w.text)+", which is not here", didYouMean(w.text, books, "the books are "+strings.Join(books, ", "))))
		case d.isBook && !below.isBook:
			out = append(out, bookDiag(w.at, d.layer.ID+" amends the layer "+w.text, "an edition lies over a book"))
		}
	}
	if d.isBook {
		if _, circle := l.chain(d); circle {
			out = append(out, bookDiag(d.idAt, d.layer.ID+" amends itself in a circle", "an edition lies over a book that does not lie over it"))
		}
	}
	known := func(key string) bool {
		if d.sources[key] {
			return true
		}
		for _, w := range d.amends {
			if below := l.docs[w.text]; below != nil {
				chain, _ := l.chain(below)
				for _, c := range chain {
					if c.sources[key] {
						return true
					}
				}
			}
		}
		return false
	}
	var own []string
	for s := range d.sources {
		own = append(own, s)
	}
	sort.Strings(own)
	out = append(out, d.checkSources(known, own)...)
	if d.isBook {
		return out
	}
	for i := range d.clauses {
		if len(out) > maxSaid {
			return out
		}
		if w := d.clauses[i].id; !l.topicSet[w.text] && len(l.topics) > 0 {
			out = append(out, bookDiag(w.at, "no book has the topic "+yamlread.Short(w.text), didYouMean(w.text, l.topics, "the topics are listed at the head of the books' files")))
		}
	}
	for i := range d.params {
		if len(out) > maxSaid {
			return out
		}
		if w := d.params[i].id; !l.paramSet[w.text] && len(l.params) > 0 {
			out = append(out, bookDiag(w.at, "no book has the value "+yamlread.Short(w.text), didYouMean(w.text, l.params, "the values are listed at the head of the books' files")))
		}
	}
	return out
}

// chain returns the files that make up a book, the lowest first.
func (l *Library) chain(d *doc) (out []*doc, circle bool) {
	for d != nil {
		for _, x := range out {
			if x == d {
				return out, true
			}
		}
		out = append([]*doc{d}, out...)
		if !d.isBook || len(d.amends) == 0 {
			break
		}
		d = l.docs[d.amends[0].text]
	}
	return out, false
}

// IDs lists books and layers by id, in alphabetical order.
func (l *Library) IDs() []string { return append([]string(nil), l.ids...) }

// Info tells what an id stands for.
func (l *Library) Info(id string) (Layer, bool) {
	d := l.docs[id]
	if d == nil {
		return Layer{}, false
	}
	return d.layer, true
}

// Resolve returns the id of a book or layer that is named by its id or by its file. Capitals,
// blanks and the order of name and year do not matter: "IRC 2021" and "2021 irc" are irc-2021.
func (l *Library) Resolve(name string) (id string, ok bool) {
	if l.docs[name] != nil {
		return name, true
	}
	if id, ok = l.byFile[name]; ok {
		return id, true
	}
	f := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return r == ' ' || r == '-' || r == '_' })
	if id = strings.Join(f, "-"); l.docs[id] != nil {
		return id, true
	}
	if len(f) == 2 && l.docs[f[1]+"-"+f[0]] != nil {
		return f[1] + "-" + f[0], true
	}
	return "", false
}

func (l *Library) bookIDs() []string {
	var out []string
	for _, id := range l.ids {
		if l.docs[id].isBook {
			out = append(out, id)
		}
	}
	return out
}

func (l *Library) layerIDs() []string {
	var out []string
	for _, id := range l.ids {
		if !l.docs[id].isBook {
			out = append(out, id)
		}
	}
	return out
}

// Book lays an edition over the book that it amends, and layers over that in the order
// given, and returns what results. Layers are named by id or by file.
//
// The book is nil only when id is not the id of a book. A layer that cannot be used is
// reported and left out; the answers of the book are then not those that were asked for,
// so errors here must reach the user. Places in these diagnostics are those in the layer
// files; a name that is not known has no place, as it stands in the job.
func (l *Library) Book(id string, with []string) (*Book, []diag.Diagnostic) {
	var out []diag.Diagnostic
	name := id
	id, ok := l.Resolve(name)
	d := l.docs[id]
	switch books := l.bookIDs(); {
	case !ok:
		out = append(out, bookDiag(noPlace, "no book "+yamlread.Short(name), didYouMean(name, books, "the books are "+strings.Join(books, ", "))))
		return nil, out
	case !d.isBook:
		out = append(out, bookDiag(noPlace, id+" is a "+d.layer.Kind+", not a book", "write it under `with`, and a book under `code`: "+strings.Join(books, ", ")))
		return nil, out
	}
	m := newMerger(d.layer)
	chain, _ := l.chain(d)
	for _, c := range chain {
		m.lay(c, d.layer, false)
	}
	below := idsOf(chain)
	shop := ""
	for _, w := range with {
		lid, ok := l.Resolve(w)
		x := l.docs[lid]
		layers := l.layerIDs()
		switch {
		case !ok:
			out = append(out, bookDiag(noPlace, "no layer "+yamlread.Short(w), didYouMean(w, layers, "the layers are "+strings.Join(layers, ", ")+"; a file of your own lies beside the job or in a folder below it")))
			continue
		case x.isBook:
			out = append(out, bookDiag(noPlace, lid+" is a book, not a layer", "write it under `code`"))
			continue
		case below[lid]:
			out = append(out, bookDiag(noPlace, "the layer "+lid+" is given twice", "keep one"))
			continue
		}
		if !x.liesOver(below) {
			out = append(out, bookDiag(noPlace, lid+" lies over "+strings.Join(x.layer.Amends, ", ")+", not over "+id, "take one of those books, or write amends: "+id+" in "+x.file+" once you have checked its values against that book"))
			continue
		}
		if x.layer.Kind == "local amendment" && shop != "" {
			dg := bookDiag(noPlace, "the amendment "+lid+" is laid over the shop practice "+shop, "name amendments first, then shop practice")
			dg.Severity = diag.Warning
			out = append(out, dg)
		}
		if x.layer.Kind == "shop practice" {
			shop = lid
		}
		below[lid] = true
		m.lay(x, x.layer, true)
	}
	b := m.finish()
	return b, append(out, m.diags...)
}

// Part parts layers into those that can lie over a book, each also over those before it, and
// those that cannot. What is no layer stays with the first, so that Book says so.
func (l *Library) Part(id string, with []string) (over, not []string) {
	id, ok := l.Resolve(id)
	if !ok {
		return with, nil
	}
	chain, _ := l.chain(l.docs[id])
	below := idsOf(chain)
	for _, w := range with {
		lid, ok := l.Resolve(w)
		if x := l.docs[lid]; ok && !x.isBook {
			if !x.liesOver(below) {
				not = append(not, lid)
				continue
			}
			below[lid] = true
		}
		over = append(over, w)
	}
	return over, not
}

// idsOf are what a layer may name to lie over these files.
func idsOf(chain []*doc) map[string]bool {
	below := map[string]bool{anyBook: true}
	for _, c := range chain {
		below[c.layer.ID] = true
	}
	return below
}

// liesOver reports whether a layer amends one of the ids.
func (d *doc) liesOver(below map[string]bool) bool {
	for _, a := range d.amends {
		if below[a.text] {
			return true
		}
	}
	return false
}
