package main

import (
	"strings"
	"testing"
)

// A change that is proposed says what it cures, what it meets and where that is printed, what
// it takes, what else becomes another size, what speaks against it and what it leaves open;
// it is shown before it is made, and can be left.
func TestPageProposals(t *testing.T) {
	in := browser(t)
	text := example(t, "heron-lane")
	for _, line := range strings.SplitAfter(text, "\n") {
		if strings.Contains(line, "kitchen vent:") || strings.Contains(line, "washer vent:") {
			text = strings.Replace(text, line, "", 1)
		}
	}
	const noAir = `job: No air (invented)
code: ipc-2021
outlet: {to: public sewer}
runs:
  bd: {joins: outlet, role: building drain, legs: [E 40'], slope: 1/4" per ft}
  dog: {joins: bd, fixture: special sink, trap: 2}
  pot: {joins: bd, at: 5', fixture: commercial sink, trap: 1-1/2}
  soft: {joins: bd, at: 9', fixture: water softener, flow: 3 gpm}
  cond: {joins: bd, at: 12', fixture: condensate}
  mh: {joins: bd, at: 18', fixture: trailer, trap: 3}
`
	folder, url := bench(t, "heron-lane", text, "quarry-row", example(t, "quarry-row"), "no-air", noAir)
	p := window(t, in, folder, url)
	p.open("heron-lane")
	p.wait("document.querySelector('.drawing svg')")
	p.click("Findings")
	p.click("Look for changes")
	p.wait("document.querySelectorAll('.fix').length > 2")
	p.shot("proposals")
	facts := eval[[]string](p, "[...new Set([...document.querySelectorAll('.fix dt')].map((e) => e.textContent))]")
	for _, want := range []string{"Cures", "Meets", "Takes", "Against it", "Leaves open", "Take care"} {
		found := false
		for _, f := range facts {
			found = found || f == want
		}
		if !found {
			t.Errorf("no proposal says %q; they say %q", want, facts)
		}
	}
	if got := p.text(".fix dd:nth-of-type(2)"); !strings.Contains(got, "[") || !strings.Contains(got, "irc-2021") {
		t.Errorf("what it meets has no place in the book: %q", got)
	}
	if got := p.text(".fixes"); strings.Contains(got, "write ") && strings.Contains(got, "`") {
		t.Errorf("a question says what to write in the file: %s", got)
	}
	before := p.file("heron-lane")
	p.click("Show it")
	p.wait("document.querySelector('.offer')")
	p.click("Leave it")
	p.wait("!document.querySelector('.offer')")
	if p.file("heron-lane") != before {
		t.Error("a change that was only shown was made")
	}
	p.edits(func() { p.click("Do it") })
	if p.file("heron-lane") == before {
		t.Error("the change was not made")
	}
	p.edits(func() { p.key("z", 2) })
	if p.file("heron-lane") != before {
		t.Error("the change does not go back")
	}
	p.screen(360, 740, false, true)
	p.click("Findings") // what was found for this text is still there
	p.wait("document.querySelectorAll('.fix').length > 2")
	p.shot("proposals phone")
	if wide := eval[int64](p, "document.querySelector('.pane').scrollWidth - document.querySelector('.pane').clientWidth"); wide > 0 {
		t.Errorf("the proposals are %d px too wide for a phone", wide)
	}
	// Where other pipes become another size, they are named.
	q := window(t, in, folder, url)
	q.open("quarry-row")
	q.click("Findings")
	q.click("Look for changes")
	q.wait("[...document.querySelectorAll('.fix dt')].some((e) => e.textContent === 'Also changes' && / in \\(was /.test(e.nextElementSibling.textContent))")
	q.shot("proposals change")
	// Where nothing cures, what was tried stands beside what a person must decide.
	n := window(t, in, folder, url)
	n.open("no-air")
	n.click("Findings")
	n.click("Look for changes")
	n.wait("[...document.querySelectorAll('.fix dt')].some((e) => e.textContent === 'Does not do' && /then there would be: /.test(e.nextElementSibling.textContent))")
	n.press("[...document.querySelectorAll('.fix dt')].find((e) => e.textContent === 'Does not do')")
	n.shot("proposals tried")
}
