package main

import (
	"encoding/json"
	"strings"
	"testing"

	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/web"
)

// Every word that a job file may hold can be set on the page: each key of the format has a
// control where it belongs, and those that hold more than one value come out as the format
// has them.
func TestPageSaysEverything(t *testing.T) {
	in := browser(t)
	const text = `job: Words (invented)
code: irc-2021
levels:
  first: {floor: 0'}
outlet: {to: public sewer}
runs:
  main: {joins: outlet, legs: [E 20']}
  sink: {joins: main, at: 4', legs: [S 6'], fixture: kitchen sink}
vents:
  sink vent: {from: sink, ends: air admittance valve}
`
	folder, url := bench(t, "words", text)
	var answer struct{ Keys web.Forms }
	if err := json.Unmarshal(fetch(t, url+"api/forms"), &answer); err != nil {
		t.Fatal(err)
	}
	p := window(t, in, folder, url)
	p.open("words")
	line := func(name string) {
		t.Helper()
		p.press("[...document.querySelectorAll('.pane .line')].find((e) => e.querySelector('.name').textContent === " + quoted(name) + ")")
		p.wait("document.querySelector('.pipe h2')?.textContent === " + quoted(name))
	}
	// A control for a key has its name as a label, or as the heading of its parts.
	const shown = `((name, other) => [...document.querySelectorAll('.pane label, .pane legend, .pane select')].some((e) => { const n = tw.name(e).toLowerCase(); return n === name || n === other || n.startsWith(name + ',') || n.startsWith(name + ' ') }))`
	other := map[string]string{"joins": "joins", "at": "where on it", "arm": "trap arm, weir to its end", "legs": "legs, with the water", "slope": "slope of its level legs", "existing": "this pipe is", "remove": "this pipe is", "new": "this pipe is", "from": "from", "job": "title", "with": "amendments and shop practice", "units": "units of measure", "loads": "units are counted for"}
	for _, h := range []struct {
		thing string
		keys  []web.Key
	}{{"sink", answer.Keys.Runs}, {"sink vent", answer.Keys.Vents}} {
		line(h.thing)
		if h.thing == "sink vent" {
			other["legs"] = "legs, from the take-off on"
		}
		for _, k := range h.keys {
			if k.Name == "length" || k.Name == "lies" {
				continue // beside legs they cannot stand; set below
			}
			have := "(" + shown + ")(" + quoted(k.Name) + ", " + quoted(other[k.Name]) + ")"
			if eval[bool](p, have) {
				continue
			}
			p.choose("Say more of it", k.Name)
			p.wait(have)
		}
		p.click("Back to the list of pipes")
	}
	p.click("The house and its code")
	for _, k := range answer.Keys.Top {
		p.wait("(" + shown + ")(" + quoted(k.Name) + ", " + quoted(other[k.Name]) + ")")
		for _, part := range k.Keys {
			p.wait("(" + shown + ")(" + quoted(part.Name) + ", '')")
		}
	}
	for _, k := range append(answer.Keys.Levels, answer.Keys.Walls...) {
		if k.Name == "from" || k.Name == "at" || k.Name == "legs" {
			continue // of a wall, when there is one
		}
		p.wait("(" + shown + ")(" + quoted(k.Name) + ", '')")
	}

	// Several values, parts, and sentences.
	want := func(part string) {
		t.Helper()
		if got := p.file("words"); !strings.Contains(got, part) {
			t.Errorf("want %q in\n%s", part, got)
		}
	}
	set := func(label, value string) {
		t.Helper()
		p.wait("tw.field(" + quoted(label) + ")")
		p.edits(func() {
			if eval[bool](p, "tw.field("+quoted(label)+") instanceof HTMLSelectElement") {
				p.choose(label, value)
			} else {
				p.fill(label, value)
			}
		})
	}
	set("One more note", "Ask the office, in writing.")
	set("One more note", "Invented, every word.")
	want("notes: [")
	want("Ask the office, in writing.")
	set("Material, in short", "abs")
	p.press("[...document.querySelectorAll('.pane summary')].find((e) => e.closest('fieldset')?.querySelector('legend').textContent === 'Material')")
	set("Vents", "pvc")
	want("material: {vents: pvc}")
	set("One more amendment or practice", "marlow-county")
	want("with: marlow-county")
	set("Name of level first", "ground floor")
	want("  ground floor: {floor: 0'}")
	if answer.Keys.Walls != nil {
		p.typeIn("Name of the wall", "south wall")
		p.choose("Told from the end of", "sink")
		p.typeIn("How far to its face", "2'")
		p.edits(func() { p.click("Add the wall") })
		want("south wall: {from: sink, legs: S 2'}")
	}
	p.click("Back to the list of pipes")
	line("main")
	more := func(key string) {
		t.Helper()
		p.choose("Say more of it", key)
	}
	more("cleanouts")
	set("One more cleanout", "upper end")
	want("cleanouts: [upper end]")
	set("Type, cleanout 1", "two-way")
	set("Clearance, cleanout 1", `18"`)
	set("or how far along it (One more cleanout)", "10'")
	want(`cleanouts: [{at: upper end, type: two-way, clearance: 18"}, 10']`)
	more("devices")
	set("One more device", "backwater valve")
	set("One more device", "full-open valve")
	want("devices: [backwater valve, full-open valve]")
	more("carries")
	set("Carries, in short", "13 units")
	want("carries: 13 units")
	p.press("[...document.querySelectorAll('.pane summary')].find((e) => e.closest('fieldset')?.querySelector('legend').textContent === 'Carries')")
	set("Water closets", "2")
	set("Units", "13")
	want("carries: {water closets: 2, units: 13}")
	more("basin")
	set("Pump", "60 gpm")
	set("Cover", "gastight")
	want("basin: {pump: 60 gpm, cover: gastight}")
	set("This pipe is", "existing")
	want("existing: true")
	p.click("Back to the list of pipes")
	line("sink vent")
	more("valve")
	set("Above arm", `6"`)
	set("Reach", "accessible")
	want(`valve: {above arm: 6", reach: accessible}`)
	more("length")
	set("Length", "8'")
	want("length: 8'")

	// What was written is read without a fault in the writing.
	if _, ds := job.Read("words", []byte(p.file("words"))); diag.Count(ds, diag.Error) > 0 {
		t.Errorf("%v in\n%s", ds, p.file("words"))
	}
}
