package main

import (
	"bytes"
	"strings"
	"testing"

	"trapweir/engine/diag"
	"trapweir/engine/job"
)

// Every view can be looked at, looked at large, and taken away in the forms that hold it; the
// list of fall and hangers tells of nothing that the page does not have.
func TestPageTakeAway(t *testing.T) {
	p := heron(t)
	p.click("Take away")
	begins := map[string]string{"PDF": "%PDF-", "SVG": "<svg", "DXF": "999\nTRAPWEIR"}
	take := func(title string, forms ...string) {
		t.Helper()
		p.wait("document.querySelector('.pages .sheet-of')")
		for _, f := range forms {
			b := fetch(t, eval[string](p, "tw.button("+quoted(title+", "+f)+").href"))
			if !bytes.HasPrefix(b, []byte(begins[f])) {
				t.Errorf("%s, %s begins with %.20q", title, f, b)
			}
		}
		for _, f := range []string{"PDF", "SVG", "DXF"} {
			if is, want := eval[bool](p, "!!tw.button("+quoted(title+", "+f)+")"), strings.Contains(strings.Join(forms, " "), f); is != want {
				t.Errorf("%s as %s is offered: %v", title, f, is)
			}
		}
	}
	for _, v := range views {
		p.choose("View", v.Name)
		p.wait("tw.button(" + quoted(v.Title+", PDF") + ") && document.querySelector('.pages')?.getAttribute('aria-label') === " + quoted("What the "+v.Name+" looks like"))
		switch v.Name {
		case "riser", "section":
			take(v.Title, "PDF", "SVG", "DXF")
		case "plan":
			take(v.Title, "PDF")
			p.choose("Of level", "second")
			p.wait("tw.button('Plan, DXF')")
			take(v.Title, "PDF", "SVG", "DXF")
		default:
			take(v.Title, "PDF")
		}
	}
	p.choose("View", "section")
	p.choose("From", "kitchen")
	p.wait("tw.button('Long section, PDF').href.includes('of=kitchen')")
	take("Long section", "PDF", "SVG", "DXF")

	// A sheet is looked at large, and the next one.
	p.click("Show the sheets")
	p.wait("document.querySelectorAll('.sheet-of').length > 3")
	p.press("document.querySelector('.sheet-of')")
	p.wait("document.querySelector('dialog.paper h2')?.textContent.startsWith('Permit set, sheet 1 of ')")
	small := eval[float64](p, "document.querySelector('.sheet-large .leaf').getBoundingClientRect().width")
	p.click("Larger")
	p.wait("document.querySelector('.sheet-large .leaf').getBoundingClientRect().width > " + num(1.4*small))
	p.click("Next sheet")
	p.wait("document.querySelector('dialog.paper h2').textContent.startsWith('Permit set, sheet 2 of ')")
	p.shot("sheet large")
	p.click("Close")
	p.wait("!document.querySelector('dialog')")

	// A finding that names the list leads to it.
	p.click("Findings")
	p.click("Fall and hangers")
	p.wait("document.querySelector('.listing')?.textContent.includes('riser straps')")
	if got := p.text(".listing"); strings.Contains(got, "`") || strings.Contains(got, "trapweir ") {
		t.Errorf("the list speaks of commands: %s", got)
	}
	p.shot("fall")
	if got := fetch(t, eval[string](p, "tw.button('Fall and hangers, text').href")); !bytes.Contains(got, []byte("riser straps")) {
		t.Errorf("the list that is taken away is %.200s", got)
	}
	// No pane speaks of commands or in marks of the text.
	for _, pane := range []string{"Findings", "Questions", "Pipes"} {
		p.click(pane)
		if got := p.text(".pane"); strings.Contains(got, "`") || strings.Contains(got, "trapweir ") {
			t.Errorf("%s speaks of commands: %s", pane, got)
		}
	}
}

// What named a pipe that is deleted names what is left, so that the file can be read, and
// undo gives back every byte.
func TestPageDelete(t *testing.T) {
	const text = `job: Delete (invented)
code: irc-2021
outlet: {to: public sewer}
walls:
  south wall: {from: branch, legs: S 2'}   # goes with the branch
runs:
  main: {joins: outlet, legs: [E 20']}
  branch: {joins: main, at: 4', legs: [S 6']}
  lav: {joins: branch, at: 2', legs: [W 2'], fixture: lavatory}
  tub: {joins: main, at: after branch, legs: [S 6'], fixture: bathtub}
  old sink: {joins: lav vent, legs: [N 2'], fixture: bar sink}
vents:
  lav vent: {from: lav, legs: [up 4'], ends: stack vent, into at: 3'}
  stack vent: {from: [branch, tub], legs: [up 12'], ends: through roof}
  branch vent: {from: branch, legs: [up 12'], ends: through roof}
  relief: {from: branch vent, at: 2', legs: [E 2'], ends: stack vent}
`
	in := browser(t)
	folder, url := bench(t, "delete", text)
	p := window(t, in, folder, url)
	p.open("delete")
	for _, c := range []struct {
		what       string
		want, gone []string
	}{
		{"branch", []string{"lav: {joins: main, at: 4', legs", "tub: {joins: main, legs", "stack vent: {from: tub,"}, []string{"branch", "relief", "wall:"}},
		{"lav vent", []string{"old sink: {joins: lav,"}, []string{"lav vent"}},
		{"stack vent", []string{"lav vent: {from: lav, legs: [up 4'], ends: through roof}", "ends: through roof}\n"}, []string{"stack vent", "into at"}},
	} {
		p.pickLine(c.what)
		p.edits(func() { p.click("Delete " + c.what) })
		got := p.file("delete")
		for _, w := range c.want {
			if !strings.Contains(got, w) {
				t.Errorf("%s deleted: want %q in\n%s", c.what, w, got)
			}
		}
		_, body, _ := strings.Cut(got, "outlet:")
		for _, g := range c.gone {
			if strings.Contains(body, g) {
				t.Errorf("%s deleted: %q is still in\n%s", c.what, g, got)
			}
		}
		if _, ds := job.Read("delete", []byte(got)); diag.Count(ds, diag.Error) > 0 {
			t.Errorf("%s deleted: %v in\n%s", c.what, ds, got)
		}
		p.edits(func() { p.click("Undo") })
		if got := p.file("delete"); got != text {
			t.Fatalf("undo gives\n%s", got)
		}
	}
}

// A room is copied to another floor, turned about, and stands on a stack of its own there.
func TestPageCopyRoom(t *testing.T) {
	const text = `job: Copy (invented)
code: irc-2021
levels:
  first: {floor: 0', joists: 2x10, under: crawl space}
  second: {floor: 9' 1", joists: 2x12}
outlet: {to: public sewer, invert: -6'}
runs:
  sewer: {joins: outlet, legs: [E 40'], slope: 1/4" per ft, place: under ground}
  main: {joins: sewer, legs: [E 24'], slope: 1/4" per ft, place: crawl space}
`
	in := browser(t)
	folder, url := bench(t, "copy", text)
	p := window(t, in, folder, url)
	p.open("copy")
	p.click("bath with tub")
	p.edits(func() { p.click("Lay out bath") })
	p.click("Copy")
	p.typeIn("Name of the copy", "upper bath")
	p.choose("Level", "second")
	p.choose("Mirrored", "E-W")
	p.edits(func() { p.click("Copy bath as upper bath") })
	got := p.file("copy")
	for _, want := range []string{
		"  stack: {joins: main, at: 4', legs: [down 10' 6\"]}\n", // 9' 1" and 1' 5" below the first floor
		"  upper bath branch: {joins: stack, legs: [S 6'], slope: 1/4\" per ft, level: second, room: upper bath, place: joists}\n",
		"  upper bath tub: {joins: upper bath branch, at: 2', legs: [E 2']",
		"  bath tub: {joins: bath branch, at: 2', legs: [W 2']",
		"  upper bath vent: {from: upper bath lav, legs: [up 12'], ends: through roof}\n",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("want %q in\n%s", want, got)
		}
	}
	if got := p.text(".title"); !strings.Contains(got, "Fixtures 6") {
		t.Errorf("the title block says %q, want 6 fixtures", got)
	}
	p.shot("room copied")
}
