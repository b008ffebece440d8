package main

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"
)

// A job that is too large to be drawn is shown in words and says why there is no drawing; the
// one of what was there before does not stay, and comes back with it.
func TestPageTooLarge(t *testing.T) {
	p := heron(t)
	p.wait("document.querySelector('.drawing svg')")
	var b strings.Builder
	b.WriteString("job: Crowd (invented)\ncode: irc-2021\noutlet: {to: public sewer}\nruns:\n  sewer: {joins: outlet, legs: [E 20'], slope: 1/4\" per ft}\n")
	for i := range 4000 {
		fmt.Fprintf(&b, "  lav %d: {joins: sewer, at: 5', fixture: lavatory, legs: [E 2'], slope: 1/4\" per ft}\n", i)
	}
	write(t, filepath.Join(p.folder, "heron-lane"+jobSuffix), b.String())
	p.wait("document.querySelector('.frame .blank')?.textContent.includes('4002 pieces of pipe') && !document.querySelector('.drawing svg')")
	if got := p.text(".title"); !strings.Contains(got, "Fixtures 4000") {
		t.Errorf("the title block says %q", got)
	}
	p.shot("too large")
	p.click("Take away")
	p.wait("document.querySelector('.pane .blank')?.textContent.includes('4002 pieces of pipe')")
	p.click("Undo")
	p.wait("document.querySelector('.drawing svg') && !document.querySelector('.frame .blank')")
}

// The lists of a sheet are shown with the whole of it, and not as a strip beside the pipes,
// whatever sheet comes next.
func TestPageListsOfTheSheet(t *testing.T) {
	p := heron(t)
	const lists = "[...document.querySelectorAll('.drawing svg .table')].some((e) => getComputedStyle(e).display !== 'none' && getComputedStyle(e).visibility === 'visible')"
	p.wait("document.querySelector('.drawing svg .table') && !" + lists)
	p.click("Fit the pipes, or the whole sheet")
	p.wait(lists)
	p.shot("whole sheet")
	p.choose("Sheet to work on", "plan second")
	p.wait("document.querySelector('.drawing svg title')?.textContent.includes('Plan, second') && document.querySelector('.drawing svg .table') && !" + lists)
	p.click("Fit the pipes, or the whole sheet")
	p.wait(lists)
	p.click("Fit the pipes, or the whole sheet")
	p.wait("!" + lists)
}

// A building that is too far off for its words to be read is drawn without them, and changes
// as quickly as its pipes do; coming nearer brings the words.
func TestPageFarOff(t *testing.T) {
	folder, url := bench(t, "job", building(200))
	p := window(t, browser(t), folder, url)
	p.open("job")
	p.wait("document.querySelector('.drawing[data-far] svg') && tw.rev()")
	p.wait("document.querySelector('.frame .advice.low')")
	const words = "[...document.querySelectorAll('.drawing svg .text')].filter((e) => getComputedStyle(e).display !== 'none').length"
	if n := eval[int](p, words); n > 0 {
		t.Errorf("%d words are shown though they cannot be read", n)
	}
	p.pickLine("unit 199")
	p.edits(func() { p.fill("Length of leg 1", "7' 9\"") })
	p.wait("document.querySelectorAll('.drawing svg .text').length === 0")
	p.shot("far off")
	for range 6 {
		p.click("Zoom in")
	}
	p.wait("!document.querySelector('.drawing[data-far]') && !document.querySelector('.frame .advice.low') && " + words + " > 200")
	p.shot("near again")
	p.edits(func() { p.fill("Length of leg 1", "7' 10\"") })
	p.wait(words + " > 200")
}
