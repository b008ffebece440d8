package web

import (
	"regexp"
	"strconv"
	"strings"

	"trapweir/engine/diag"
	"trapweir/engine/job"
)

// placesFor answers the questions that no single key settles: a cleanout is one more item of
// a list, a length belongs to one of several legs, a vent is drawn.
func placesFor(d *diag.Diagnostic, w Written) []Answer {
	ask, on := d.Ask, d.On.Name
	heading := "runs"
	e, ok := get(w.Runs, on)
	if d.On.What == diag.Vent {
		heading = "vents"
		e, ok = get(w.Vents, on)
	}
	var out []Answer
	has := func(words string) bool { return strings.Contains(ask, words) }
	if ok && (has("how long is ") || has("how far is it along the pipe from the trap weir")) {
		out = append(out, legLengths(heading, e, has("trap weir"))...)
	}
	if ok && has("is there a cleanout") {
		out = append(out, newCleanout(e))
	}
	if ok && (has("write `clearance") || has("write `reach")) {
		key := "clearance"
		if has("write `reach") {
			key = "reach"
		}
		out = append(out, cleanoutKey(e, key)...)
	}
	if m := joinsOrder.FindStringSubmatch(ask); m != nil {
		for _, r := range w.Runs {
			j, _ := get(r.Keys, "joins")
			if _, said := get(r.Keys, "at"); j.Text == m[1] && !said {
				out = append(out, Answer{Path: []string{"runs", r.Name, "at"}, Label: "at", Takes: "place"})
			}
		}
	}
	if ok && has("along the pipe, does "+on+" join") {
		out = append(out, Answer{Path: []string{heading, on, "at"}, Label: "at", Takes: "place"})
	}
	if ok && has("stand upright?") {
		legs, _ := get(e.Keys, "legs")
		out = append(out, Answer{
			Path: []string{heading, on, "legs"}, Label: "drop below it", Takes: "length", Example: "1'",
			Edits: []job.Edit{job.SetList(append([]string{"down %"}, items(legs)...), heading, on, "legs")},
		})
	}
	if ok && has("with which interceptor") {
		k := keyNamed(forms().Runs, "devices")
		var words []string
		for _, x := range k.Words {
			if strings.Contains(x, "interceptor") {
				words = append(words, x)
			}
		}
		out = append(out, Answer{Path: []string{heading, on, "devices"}, Label: "interceptor", Takes: "word", Words: words, Edits: []job.Edit{job.Append("%", heading, on, "devices")}})
	}
	if has("draw the vent") || has("which other vents") || has("at least one vent of this house") {
		from := ""
		if m := goesOn.FindStringSubmatch(ask); m != nil {
			from = m[1]
		}
		out = append(out, Answer{Path: []string{"vents"}, Label: "vent", Takes: "vent", Example: from})
	}
	return out
}

var (
	joinsOrder = regexp.MustCompile(`do the pipes join (.+?)\?`)
	goesOn     = regexp.MustCompile(`does (.+?) go on up as a vent`)
)

// items are the values of a key that takes one or several.
func items(e Entry) []string {
	if e.List != nil {
		return e.List
	}
	var out []string
	for _, x := range strings.Split(e.Text, ",") {
		if x = strings.TrimSpace(x); x != "" {
			out = append(out, x)
		}
	}
	return out
}

// legLengths asks for the lengths that the legs of a pipe lack; of one without legs, for its
// length, or that of its trap arm.
func legLengths(heading string, e Entry, arm bool) []Answer {
	var out []Answer
	lacking := func(key, label string) {
		x, _ := get(e.Keys, key)
		list := items(x)
		for i, text := range list {
			leg, found, _ := job.ParseLeg(text)
			if found != "" || leg.Length.Set {
				continue
			}
			path := []string{heading, e.Name, key}
			set := job.Set(text+" %", path...)
			switch {
			case x.List != nil:
				path = append(path, strconv.Itoa(i))
				set = job.Set(text+" %", path...)
			case len(list) > 1:
				all := append([]string{}, list...)
				all[i] = text + " %"
				set = job.SetList(all, path...)
				path = append(path, strconv.Itoa(i))
			}
			say := label
			if key == "legs" {
				say += " " + strconv.Itoa(i+1)
			}
			out = append(out, Answer{Path: path, Label: say + ", " + text, Takes: "length", Edits: []job.Edit{set}})
		}
	}
	lacking("arm", "trap arm")
	lacking("legs", "leg")
	if len(out) > 0 {
		return out
	}
	_, legs := get(e.Keys, "legs")
	_, given := get(e.Keys, "arm")
	if arm && !given {
		return []Answer{{Path: []string{heading, e.Name, "arm"}, Label: "arm", Takes: "length", Example: "2' 6\""}}
	}
	if !legs && !arm {
		return []Answer{{Path: []string{heading, e.Name, "length"}, Label: "length", Takes: "length"}}
	}
	return nil
}

// rows are the items of a list of values and mappings, to be written anew.
func rows(e Entry) []job.Item {
	fields := func(keys []Entry) []job.Field {
		out := []job.Field{}
		for _, k := range keys {
			out = append(out, job.Field{Key: k.Name, Value: k.Text, List: k.List})
		}
		return out
	}
	switch {
	case e.Rows != nil:
		var out []job.Item
		for _, r := range e.Rows {
			if r.Keys != nil {
				out = append(out, job.Item{Fields: fields(r.Keys)})
			} else {
				out = append(out, job.Item{Value: r.Text})
			}
		}
		return out
	case e.Keys != nil:
		return []job.Item{{Fields: fields(e.Keys)}}
	}
	var out []job.Item
	for _, x := range items(e) {
		out = append(out, job.Item{Value: x})
	}
	return out
}

func newCleanout(e Entry) Answer {
	path := []string{"runs", e.Name, "cleanouts"}
	have, _ := get(e.Keys, "cleanouts")
	to, _ := get(e.Keys, "joins")
	usual := "lower end"
	if to.Text == "outlet" {
		usual = "upper end"
	}
	return Answer{
		Path: path, Label: "cleanout", Takes: "place", Example: usual,
		Edits: []job.Edit{{Op: job.OpSet, Path: path, Items: append(rows(have), job.Item{Value: "%"})}},
	}
}

// cleanoutKey asks for one fact of each cleanout that lacks it.
func cleanoutKey(e Entry, key string) []Answer {
	have, _ := get(e.Keys, "cleanouts")
	k := keyNamed(keyNamed(forms().Runs, "cleanouts").Keys, key)
	var out []Answer
	all := rows(have)
	for i, it := range all {
		at, said := it.Value, false
		fields := []job.Field{{Key: "at", Value: it.Value}}
		if it.Fields != nil {
			fields = append([]job.Field{}, it.Fields...)
		}
		for _, f := range fields {
			said = said || f.Key == key
			if f.Key == "at" {
				at = f.Value
			}
		}
		if said {
			continue
		}
		next := append([]job.Item{}, all...)
		next[i] = job.Item{Fields: append(fields, job.Field{Key: key, Value: "%"})}
		path := []string{"runs", e.Name, "cleanouts", strconv.Itoa(i), key}
		out = append(out, Answer{
			Path: path, Label: key + " of the cleanout at " + at, Takes: k.Takes, Words: k.Words, Open: k.Open,
			Edits: []job.Edit{{Op: job.OpSet, Path: path[:3], Items: next}},
		})
	}
	return out
}
