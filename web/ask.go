package web

import (
	"regexp"
	"slices"
	"strings"

	"trapweir/engine/diag"
	"trapweir/engine/job"
)

// Answer is a place in the file where one value settles a question.
type Answer struct {
	Finding int      `json:"finding"` // index in the result's findings
	Path    []string `json:"path"`    // for an edit that sets it
	Label   string   `json:"label"`
	Example string   `json:"example,omitempty"`
	Takes   string   `json:"takes"`
	Words   []string `json:"words,omitempty"`
	Open    bool     `json:"open,omitempty"`
	// Edits make the answer where more than one key is set; "%" stands for what is answered.
	Edits []job.Edit `json:"edits,omitempty"`
}

var (
	ticked = regexp.MustCompile("`([^`]+)`")
	under  = regexp.MustCompile("(?:under|with|of|at its) `?([a-z ]+?)`?(?:$|[ ,.;?])")
)

// answers finds, for every question that names a key, where that key stands. A question
// says `key` or `key: value`, and where it is not a key of the thing asked about, under
// which heading it stands.
func answers(ds []diag.Diagnostic, w Written) []Answer {
	out := []Answer{}
	for i := range ds {
		if ds[i].Severity != diag.Unchecked || ds[i].Ask == "" {
			continue
		}
		as := answersTo(&ds[i], w)
		if len(as) == 0 || strings.Contains(ds[i].Ask, "is there a cleanout") {
			for _, a := range placesFor(&ds[i], w) {
				if !slices.ContainsFunc(as, func(b Answer) bool { return slices.Equal(a.Path, b.Path) }) {
					as = append(as, a)
				}
			}
		}
		for _, a := range as {
			a.Finding = i
			out = append(out, a)
		}
	}
	return out
}

func answersTo(d *diag.Diagnostic, w Written) []Answer {
	base, keys := homeOf(d, w)
	var out []Answer
	add := func(base []string, keys []Key, name, example string) bool {
		for _, k := range keys {
			if k.Name != name || k.Takes == "keys" || k.Takes == "legs" {
				continue
			}
			path := append(append([]string{}, base...), name)
			for _, o := range out {
				if strings.Join(o.Path, "\x00") == strings.Join(path, "\x00") {
					return true
				}
			}
			out = append(out, Answer{Path: path, Label: name, Example: example, Takes: k.Takes, Words: k.Words, Open: k.Open})
			return true
		}
		return false
	}
	_, says, named := strings.Cut(d.Ask, "write ")
	if !named {
		// Questions in plain words about what every pipe has.
		for _, q := range plainAsks {
			if strings.Contains(d.Ask, q.words) && !(q.key == "length" && hasLegs(d.On, w)) {
				b, ks := base, keys
				if q.top {
					b, ks = nil, forms().Top
				}
				add(b, ks, q.key, q.example)
			}
		}
		return out
	}
	if _, _, or := strings.Cut(says, ", or "); or {
		says, _, _ = strings.Cut(says, ", or ")
	}
	var heading *Key
	for _, m := range ticked.FindAllStringSubmatch(says, -1) {
		name, example, _ := strings.Cut(m[1], ": ")
		if inner, ok := strings.CutPrefix(example, "{"); ok {
			// `outlet: {invert: -6'}` names heading and key in one.
			for _, h := range forms().Top {
				if h.Name == name {
					k, ex, _ := strings.Cut(strings.TrimSuffix(inner, "}"), ": ")
					add([]string{name}, h.Keys, k, ex)
				}
			}
			continue
		}
		if add(base, keys, name, example) {
			continue
		}
		if k := keyNamed(keys, name); k != nil && len(k.Keys) > 0 {
			heading = k // `outlet to weir` with `across`
			continue
		}
		if heading != nil && add(append(append([]string{}, base...), heading.Name), heading.Keys, name, example) {
			continue
		}
		if strings.Contains(says, "at its level") || strings.Contains(says, "at the level") || strings.Contains(says, "of the levels") {
			if lv := levelOf(d.On, w); lv != "" && add([]string{"levels", lv}, forms().Levels, name, example) {
				continue
			}
			if keyNamed(forms().Levels, name) != nil && add(base, keys, "level", "") {
				out[len(out)-1].Label = "first, on which level it is"
				continue
			}
		}
		// Under a heading of the thing itself, or of the file.
		for _, h := range under.FindAllStringSubmatch(says, -1) {
			done := false
			for _, k := range keys {
				if k.Name == h[1] {
					done = done || add(append(append([]string{}, base...), h[1]), k.Keys, name, example)
				}
			}
			for _, k := range forms().Top {
				if k.Name == h[1] && !done {
					done = add([]string{h[1]}, k.Keys, name, example)
				}
			}
			if done {
				break
			}
		}
	}
	return out
}

var plainAsks = []struct {
	words, key, example string
	top                 bool
}{
	{"what is the slope", "slope", `1/4" per ft`, false},
	{"how long is ", "length", "8'", false},
	{"on which level", "level", "", false},
	{"outside diameter or the marking", "size", "", false},
	{"through which double fitting", "fitting", "", false},
	{"vented upstream of", "vented", "", false},
	{"which code and edition", "code", "", true},
	{"how many stories", "stories", "2", true},
}

func keyNamed(keys []Key, name string) *Key {
	for i := range keys {
		if keys[i].Name == name {
			return &keys[i]
		}
	}
	return nil
}

// homeOf gives the path of the thing that a finding is about, and its keys.
func homeOf(d *diag.Diagnostic, w Written) ([]string, []Key) {
	f := forms()
	switch d.On.What {
	case diag.Run, diag.Fixture:
		if _, ok := get(w.Runs, d.On.Name); ok {
			return []string{"runs", d.On.Name}, f.Runs
		}
	case diag.Vent:
		if _, ok := get(w.Vents, d.On.Name); ok {
			return []string{"vents", d.On.Name}, f.Vents
		}
	case diag.Level:
		return []string{"levels", d.On.Name}, f.Levels
	case diag.Outlet:
		for _, k := range f.Top {
			if k.Name == "outlet" {
				return []string{"outlet"}, k.Keys
			}
		}
	}
	return nil, f.Top
}

// hasLegs tells whether a thing has legs, beside which no length can stand.
func hasLegs(on diag.Ref, w Written) bool {
	e, _ := get(w.Runs, on.Name)
	if on.What == diag.Vent {
		e, _ = get(w.Vents, on.Name)
	}
	_, legs := get(e.Keys, "legs")
	return legs
}

func levelOf(on diag.Ref, w Written) string {
	list := w.Runs
	if on.What == diag.Vent {
		list = w.Vents
	}
	e, ok := get(list, on.Name)
	if !ok {
		return ""
	}
	l, _ := get(e.Keys, "level")
	return l.Text
}
