package main

import (
	"encoding/json"
	"strings"
	"testing"

	"trapweir/web"
)

// Each key of the format, and each part of those that have parts, is set by hand on the page,
// reaches the file, and is taken back: at the end the file is what it was.
func TestPageEveryKey(t *testing.T) {
	in := browser(t)
	const text = `job: Words (invented)
code: irc-2021
levels:
  first: {floor: 0'}
  second: {floor: 9'}
outlet: {to: public sewer}
walls:
  south wall: {from: sink, legs: S 2'}
runs:
  main: {joins: outlet, legs: [E 20']}
  lav: {joins: main, at: 8', legs: [S 6'], fixture: lavatory}
  sink: {joins: main, at: 4', legs: [S 6'], fixture: kitchen sink}
vents:
  other vent: {from: lav, ends: through roof}
  sink vent: {from: sink, ends: other vent}
`
	folder, url := bench(t, "words", text)
	var answer struct{ Keys web.Forms }
	if err := json.Unmarshal(fetch(t, url+"api/forms"), &answer); err != nil {
		t.Fatal(err)
	}
	p := window(t, in, folder, url)
	p.open("words")

	ofItsOwn := map[string]string{
		"job": "Words again", "code": "ipc-2021", "with": "marlow-county", "level": "second", "joins": "lav", "from": "lav", "ends": "side wall", "fixture": "shower", "serves": "lavatory", "fixtures": "lavatory",
	}
	sample := func(k web.Key) string {
		if v := ofItsOwn[k.Name]; v != "" {
			return v
		}
		if len(k.Words) > 0 {
			return k.Words[len(k.Words)-1]
		}
		if v := map[string]string{
			"flag": "yes", "length": `1' 3"`, "height": `1' 3"`, "slope": "2%", "size": "3", "flow": "3 gpm", "volume": "1.28 gal",
			"temperature": "12 F", "degrees": "90", "place": "upper end", "legs": "S 3'", "load": "3",
		}[k.Takes]; v != "" {
			return v
		}
		return "2"
	}
	labels := map[string]string{
		"job": "Title", "with": "One more amendment or practice", "units": "Units of measure", "loads": "Units are counted for", "notes": "One more note", "devices": "One more device",
		"turn": "One more turn", "serves": "One more fixture", "fixtures": "One more fixture", "at": "Where on it", "arm": "Length of the trap arm", "existing": "This pipe is",
		"new": "This pipe is", "remove": "This pipe is", "slope": "Slope of its level legs", "cleanouts": "One more cleanout",
	}
	top := false // keys of the whole job
	label := func(k web.Key) string {
		if k.Name == "units" && !top {
			return "Units"
		}
		if l := labels[k.Name]; l != "" {
			return l
		}
		return strings.ToUpper(k.Name[:1]) + k.Name[1:]
	}
	n := 0
	set := func(where, label, key, value string) {
		t.Helper()
		n++
		f := "tw.field(" + quoted(label) + ")"
		if !eval[bool](p, "!!"+f) {
			t.Errorf("%s, %s: there is no field %q", where, key, label)
			return
		}
		list := eval[bool](p, f+" instanceof HTMLSelectElement")
		if list && !eval[bool](p, "[...("+f+").options].some((o) => o.value === "+quoted(value)+")") {
			p.choose(label, "another")
			p.wait(f + " instanceof HTMLInputElement")
			list = false
		}
		p.edits(func() {
			if list {
				p.choose(label, value)
			} else {
				p.fill(label, value)
			}
		})
		want := key
		if !strings.Contains(key, ": ") {
			want += ": "
		}
		if got := p.file("words"); !strings.Contains(got, want) {
			t.Errorf("%s, %s: it did not reach the file:\n%s", where, key, got)
		}
		p.edits(func() { p.click("Undo") })
		if got := p.file("words"); got != text {
			t.Fatalf("%s, %s: undo leaves\n%s", where, key, got)
		}
	}
	parts := func(k web.Key) { // those that are shut are opened
		t.Helper()
		shut := "[...document.querySelectorAll('.pane summary')].find((e) => e.closest('fieldset')?.querySelector('legend').textContent === " + quoted(label(k)) + " && !e.parentElement.open)"
		if eval[bool](p, "!!"+shut) {
			p.press(shut)
		}
	}
	more := func(k web.Key) {
		t.Helper()
		if eval[bool](p, "[...tw.field('Say more of it').options].some((o) => o.value === "+quoted(k.Name)+")") {
			p.choose("Say more of it", k.Name)
			p.frames()
		}
	}
	for _, h := range []struct {
		thing string
		keys  []web.Key
	}{{"sink", answer.Keys.Runs}, {"sink vent", answer.Keys.Vents}} {
		p.pickLine(h.thing)
		for _, k := range h.keys {
			switch {
			case k.Name == "legs": // a leg more, and one told another way, below
			case k.Name == "existing" || k.Name == "remove" || k.Name == "new":
				set(h.thing, label(k), k.Name, k.Name)
			case k.Name == "cleanouts":
				more(k)
				set(h.thing, label(k), k.Name, "foot")
			case len(k.Keys) > 0:
				for _, q := range k.Keys {
					more(k)
					parts(k)
					set(h.thing+", "+k.Name, label(q), q.Name, sample(q))
				}
			default:
				more(k)
				set(h.thing, label(k), k.Name, sample(k))
			}
		}
		p.click("Back to the list of pipes")
	}
	// The ways of saying where a pipe goes.
	p.pickLine("sink")
	set("sink", "Where on it", "at: after lav", "after lav")
	p.choose("Direction of leg 1", "another")
	set("sink", "Leg 1", "legs: [down 22.5 from plumb E 2']", "down 22.5 from plumb E 2'")
	set("sink", "Direction of leg 1", "legs: [down 45 N 6']", "down 45 N")
	set("sink", "Joins", "joins: other vent", "other vent")
	p.click("Back to the list of pipes")
	p.pickLine("sink vent")
	p.edits(func() { p.choose("and from another", "lav") })
	if got := p.file("words"); !strings.Contains(got, "from: [sink, lav]") {
		t.Errorf("a vent of two takes off from\n%s", got)
	}
	p.edits(func() { p.click("Take out lav") })
	if got := p.file("words"); !strings.Contains(got, "from: sink,") {
		t.Errorf("a vent of one again takes off from\n%s", got)
	}
	p.edits(func() { p.click("Undo") })
	p.edits(func() { p.click("Undo") })
	p.click("Back to the list of pipes")

	p.click("The house and its code")
	top = true
	for _, k := range answer.Keys.Top {
		for _, q := range k.Keys {
			parts(k)
			set(k.Name, label(q), q.Name, sample(q))
		}
		if len(k.Keys) == 0 {
			set("the job", label(k), k.Name, sample(k))
		}
	}
	for _, k := range answer.Keys.Levels {
		set("a level", label(k), k.Name, sample(k))
	}
	set("a wall", "Told from the end of", "from", "lav")
	set("a wall", "Name of wall south wall", "north wall", "north wall")
	t.Logf("%d keys and parts of keys were set and taken back", n)
}
