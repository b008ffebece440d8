package job

import (
	"sort"
	"strings"

	"go.yaml.in/yaml/v4"

	"trapweir/engine/diag"
	"trapweir/engine/source"
	"trapweir/engine/unit"
)

// Read reads a job file. It reports every fault in the writing at once, each with its
// place, what was found, what was expected and what to write; the rule id of all is
// RuleFile. The job holds everything that could be read in spite of them; it is nil only
// when the text is not YAML or beyond the limits. name is the file's name in the places.
//
// What needs other runs - a name that no run has, a circle, two outlets - is not looked at
// here: package network does that.
func Read(name string, b []byte) (*Job, []diag.Diagnostic) {
	t, bad := parse(name, b)
	if bad != nil {
		return nil, []diag.Diagnostic{*bad}
	}
	r := &reader{text: t, on: diag.Ref{Segment: -1}}
	j := &Job{File: name, text: t}
	if t.root == nil || empty(t.root) {
		r.fault(source.Span{File: name, Line: 1, Col: 1, EndCol: 2}, "the file is empty", "begin with `job: TITLE`, `code: BOOK` and `runs:`")
	} else {
		r.refuse(t.root)
		r.job(j, t.root)
	}
	if r.more > 0 {
		f := fileFault(source.Span{File: name, Line: 1, Col: 1, EndCol: 2}, "and "+itoa(r.more)+" more faults in this file", "mend the ones above first")
		r.diags = append(r.diags, f)
	}
	// In the order of the file; the count of the rest stays last.
	told := r.diags[:min(len(r.diags), MaxFault)]
	sort.SliceStable(told, func(a, b int) bool {
		x, y := told[a].At, told[b].At
		return x.Line < y.Line || x.Line == y.Line && x.Col < y.Col
	})
	return j, r.diags
}

func (r *reader) job(j *Job, n *yaml.Node) {
	r.enter(diag.Job, "", "")
	hasRuns := false
	r.each(n, "", jobKeys, func(key string, k, v *yaml.Node) bool {
		// A heading with nothing below it yet is no fault.
		if empty(v) {
			switch key {
			case "levels", "vents", "notes", "with", "sheet", "site", "climate", "walls":
				return true
			}
		}
		switch key {
		case "job":
			r.word(&j.Title, key, v)
		case "code":
			r.word(&j.Code, key, v)
		case "with":
			r.wordList(&j.With, key, v, nil)
		case "units":
			var w Word
			r.oneOf(&w, key, v, unitsWords)
			if w.Text == "metric" {
				j.Units = unit.Metric
			}
		case "loads":
			r.oneOf(&j.Loads, key, v, loadsWords)
		case "occupancy":
			r.oneOf(&j.Occupancy, key, v, occupancyWords)
		case "material":
			r.materials(&j.Material, v)
		case "stories":
			r.count(&j.Stories, key, v, 1)
		case "climate":
			r.climate(&j.Climate, v)
		case "site":
			r.site(&j.Site, v)
		case "sheet":
			r.sheet(j, v)
		case "notes":
			r.wordList(&j.Notes, key, v, nil)
		case "levels":
			r.levels(j, v)
		case "outlet":
			r.outlet(&j.Outlet, k, v)
		case "walls":
			r.walls(j, v)
		case "runs":
			hasRuns = true
			r.runs(j, v)
		case "vents":
			r.vents(j, v)
		default:
			return false
		}
		r.enter(diag.Job, "", "")
		return true
	})
	if n.Kind != yaml.MappingNode {
		return
	}
	top := source.Span{File: r.file, Line: int32(n.Line), Col: int32(n.Column), EndCol: int32(n.Column) + 1}
	if !has(n, "job") {
		r.fault(top, "the job has no title", "write `job: TITLE` on the first line")
	}
	if !hasRuns {
		r.fault(top, "the job has no runs", "write `runs:` and below it, indented, NAME: {joins: outlet}")
	}
	names := make(map[string]bool, len(j.Levels))
	for i := range j.Levels {
		names[j.Levels[i].Name] = true
	}
	for i := range j.Levels {
		r.under(names, &j.Levels[i])
	}
	endsMeant(j)
}

func has(n *yaml.Node, key string) bool {
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return true
		}
	}
	return false
}

func (r *reader) materials(m *Materials, n *yaml.Node) {
	if n.Kind != yaml.MappingNode {
		r.oneOf(&m.Drains, "material", n, materialWords)
		m.Vents, m.Underground = m.Drains, m.Drains
		return
	}
	r.each(n, "material", materialKeys, func(key string, _, v *yaml.Node) bool {
		switch key {
		case "drains":
			r.oneOf(&m.Drains, key, v, materialWords)
		case "vents":
			r.oneOf(&m.Vents, key, v, materialWords)
		case "underground":
			r.oneOf(&m.Underground, key, v, materialWords)
		default:
			return false
		}
		return true
	})
	if !m.Underground.Given() {
		m.Underground = m.Drains
	}
}

func (r *reader) climate(c *Climate, n *yaml.Node) {
	r.where = "climate"
	r.each(n, "", climateKeys, func(key string, _, v *yaml.Node) bool {
		switch key {
		case "design temperature":
			r.temp(&c.Design, key, v)
		case "snow":
			r.length(&c.Snow, key, v)
		case "frost":
			r.length(&c.Frost, key, v)
		default:
			return false
		}
		return true
	})
}

func (r *reader) site(s *Site, n *yaml.Node) {
	r.where = "site"
	r.each(n, "", siteKeys, func(key string, _, v *yaml.Node) bool {
		switch key {
		case "manhole rim":
			r.height(&s.ManholeRim, key, v)
		case "septic":
			r.flag(&s.Septic, key, v)
		case "north":
			r.north(&s.North, v)
		case "address":
			r.word(&s.Address, key, v)
		case "jurisdiction":
			r.word(&s.Area, key, v)
		default:
			return false
		}
		return true
	})
}

// north is where north lies on the sheet: a side, or degrees clockwise from up.
func (r *reader) north(dst *Word, n *yaml.Node) {
	s, ok := r.scalar(n, "north", "up, right, down, left or degrees clockwise from up")
	if !ok {
		return
	}
	if v, ok := number(s); ok && v < 360 {
		*dst = Word{Text: digits(s), At: r.span(n)}
		return
	}
	r.oneOf(dst, "north", n, northWords)
}

// digits is the number at the front of s.
func digits(s string) string {
	s = strings.TrimSpace(s)
	i := 0
	for i < len(s) && (s[i] >= '0' && s[i] <= '9' || s[i] == '.') {
		i++
	}
	return s[:i]
}

func (r *reader) sheet(j *Job, n *yaml.Node) {
	r.where = "sheet"
	r.each(n, "", sheetKeys, func(key string, _, v *yaml.Node) bool {
		switch key {
		case "owner", "address", "parcel", "permit", "drawn by", "date", "licence":
		default:
			return false
		}
		if empty(v) { // a blank to be filled in by hand
			return true
		}
		var w Word
		r.word(&w, key, v)
		if w.Given() {
			if j.Sheet == nil {
				j.Sheet = make(map[string]Word, len(sheetKeys))
			}
			j.Sheet[key] = w
		}
		return true
	})
}

func (r *reader) outlet(o *Outlet, k, n *yaml.Node) {
	r.enter(diag.Outlet, "", "outlet")
	o.At = r.span(k)
	r.each(n, "", outletKeys, func(key string, _, v *yaml.Node) bool {
		switch key {
		case "to":
			r.word(&o.To, key, v)
		case "invert":
			r.height(&o.Invert, key, v)
		case "size":
			r.size(&o.Size, key, v)
		case "grade":
			r.height(&o.Grade, key, v)
		case "sleeve":
			r.flag(&o.Sleeve, key, v)
		default:
			return false
		}
		return true
	})
}

// named walks a mapping from names to mappings. thing is "run", "vent" or "level".
func (r *reader) named(n *yaml.Node, heading string, what diag.What, seen map[string]source.Span, f func(name string, k, v *yaml.Node)) {
	thing := what.String()
	r.where = ""
	if !r.mapping(n, heading) {
		return
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, v := n.Content[i], n.Content[i+1]
		r.enter(diag.Job, "", "")
		if !r.key(k, heading) {
			continue
		}
		name := k.Value
		at := r.span(k)
		switch {
		case strings.TrimSpace(name) == "":
			r.fault(at, heading+": a "+thing+" has no name", "write NAME: {...}")
			continue
		case name != strings.TrimSpace(name) || strings.ContainsAny(name, "\n\r\t"):
			r.fault(at, thing+" "+quoted(name)+": the name begins or ends with a blank, or holds a tab or a line break", "write it plainly")
			continue
		case k.Tag == "!!merge":
			r.fault(at, heading+": a merge key (<<) stands here, and a job has none", "write the values out")
			continue
		}
		if what != diag.Level && reserved(name) {
			r.fault(at, thing+" "+quoted(name)+": this word has a meaning of its own", "choose another name")
		}
		if first, twice := seen[name]; twice {
			r.fault(at, "the name "+quoted(name)+" is given twice, first on line "+itoa(int(first.Line)), "rename one of them; runs and vents share one space of names")
		} else {
			seen[name] = at
		}
		r.enter(what, name, name)
		f(name, k, v)
	}
	r.enter(diag.Job, "", "")
}

// reserved are the words that stand where a run's or a vent's name can stand.
func reserved(name string) bool {
	return name == "outlet" || match(name, endWords) != ""
}

func (r *reader) levels(j *Job, n *yaml.Node) {
	if n.Kind == yaml.MappingNode {
		j.Levels = make([]Level, 0, len(n.Content)/2)
	}
	r.named(n, "levels", diag.Level, map[string]source.Span{}, func(name string, k, v *yaml.Node) {
		l := Level{Name: name, At: r.span(k)}
		if !empty(v) { // a level that is only named tells floors apart
			r.level(&l, v)
		}
		j.Levels = append(j.Levels, l)
	})
}

func (r *reader) level(l *Level, n *yaml.Node) {
	r.each(n, "", levelKeys, func(key string, _, v *yaml.Node) bool {
		switch key {
		case "floor":
			r.height(&l.Floor, key, v)
		case "joists":
			r.lumber(&l.Joists, key, v, joistWords)
		case "joist spacing":
			r.length(&l.Spacing, key, v)
		case "joist direction":
			r.across(&l.Across, v)
		case "slab":
			r.length(&l.Slab, key, v)
		case "under":
			r.word(&l.Under, key, v)
		case "grade":
			r.height(&l.Grade, key, v)
		case "ceiling":
			r.length(&l.Ceiling, key, v)
		case "studs":
			r.lumber(&l.Studs, key, v, nil)
		case "crawl height":
			r.length(&l.CrawlHigh, key, v)
		case "subfloor":
			r.length(&l.Subfloor, key, v)
		default:
			return false
		}
		return true
	})
}

// lumber reads 2x10, or one of the words.
func (r *reader) lumber(dst *Word, thing string, n *yaml.Node, words []string) {
	s, ok := r.scalar(n, thing, "a lumber size such as 2x10")
	if !ok {
		return
	}
	a, b, cut := strings.Cut(strings.ReplaceAll(strings.ToLower(strings.TrimSpace(s)), "×", "x"), "x")
	a, b = strings.TrimSpace(a), strings.TrimSpace(b)
	if cut && whole(a) && whole(b) {
		*dst = Word{Text: a + "x" + b, At: r.span(n)}
		return
	}
	if w := match(strings.TrimSpace(s), words); w != "" {
		*dst = Word{Text: w, At: r.span(n)}
		return
	}
	try := "write the nominal size: 2x10"
	if words != nil {
		try += ", or " + oneOf(words)
	}
	r.fault(r.span(n), thing+" "+quoted(s)+" is not a lumber size", try)
}

func whole(s string) bool {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return len(s) == 1 || len(s) == 2
}

func (r *reader) across(dst *Word, n *yaml.Node) {
	r.oneOf(dst, "joist direction", n, acrossWords)
	switch dst.Text {
	case "W-E":
		dst.Text = "E-W"
	case "S-N":
		dst.Text = "N-S"
	}
}

// under settles a level's `under`: a word, or another level's name.
func (r *reader) under(levels map[string]bool, l *Level) {
	if !l.Under.Given() {
		return
	}
	name, said := strings.CutPrefix(l.Under.Text, "level ")
	name = strings.TrimSpace(name)
	if !said {
		if w := match(name, underWords); w != "" {
			l.Under.Text = w
			return
		}
	}
	if levels[name] && name != l.Name {
		l.Under.Text = name
		return
	}
	r.enter(diag.Level, l.Name, l.Name)
	try := "write crawl space, basement, slab, or level NAME"
	if !r.full() && len(levels) < 1000 {
		known := []string{}
		if !said {
			known = append(known, underWords...)
		}
		for n := range levels {
			if n != l.Name {
				known = append(known, n)
			}
		}
		sort.Strings(known)
		if near := nearest(name, known); near != "" {
			try = "did you mean " + near + "?"
		}
	}
	r.fault(l.Under.At, "under "+quoted(l.Under.Text)+" is neither a kind of space nor another level", try)
	l.Under = Word{}
	r.enter(diag.Job, "", "")
}
