package main

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp/kb"
)

// One who has never seen the page: from an empty folder to a house of two and a half baths
// on a crawl space, with nothing chosen that need not be chosen. Every touch and every
// stretch of typing is counted; with SHOTS each step can be looked at.
func TestPageNewcomer(t *testing.T) {
	in := browser(t)
	t.Run("desk", func(t *testing.T) { newcomerOn(t, in, "new desk", 1366, 860, false, false) })
	t.Run("phone", func(t *testing.T) { newcomerOn(t, in, "new phone", 360, 740, true, false) })
	t.Run("metric", func(t *testing.T) { newcomerOn(t, in, "new metric", 390, 844, true, true) })
}

func newcomerOn(t *testing.T, in context.Context, screen string, w, h int64, touch, metric bool) {
	folder, url := bench(t)
	p := window(t, in, folder, url)
	p.screen(w, h, metric, touch) // the metric one in the dark
	touches, step := 0, 0
	shot := func(what string) { step++; p.shot(fmt.Sprintf("%s %02d %s", screen, step, what)) }
	click := func(name string) { t.Helper(); touches++; p.click(name) }
	typed := func(label, value string) { t.Helper(); touches++; p.typeIn(label, value) }
	choose := func(label, value string) { t.Helper(); touches += 2; p.choose(label, value) }

	shot("jobs")
	click("New job")
	typed("Title", "First house (invented)")
	choose("Code and edition", "irc-2021")
	choose("Floors", "2")
	if metric {
		choose("Measured in", "metric")
		typed("Drain under the house", "11 m")
		typed("From the house to the street", "14 m")
	} else {
		typed("Drain under the house", "36'")
		typed("From the house to the street", "45'")
	}
	shot("new job")
	click("Begin")
	p.wait("document.querySelector('.work')")
	shot("pad")
	const name = "First house invented"
	room := func(kind, level string) {
		t.Helper()
		click(kind)
		if level != "first" {
			choose("Level", level)
		}
		shot(kind)
		p.edits(func() { click("Lay out") })
		if level != "first" { // the next room is down again
			choose("Level", "first")
		}
	}
	room("powder room", "first")
	room("kitchen wall", "first")
	room("laundry", "first")
	room("bath with tub", "second")
	room("bath with shower", "second")
	shot("laid out")
	if got := p.text(".title"); !strings.Contains(got, "Fixtures 10") || !strings.Contains(got, "Water closets 3") {
		t.Errorf("the title block says %q, want 10 fixtures and 3 water closets", got)
	}
	for tries := 0; eval[bool](p, "!!tw.button('Findings').querySelector('.badge')") && tries < 8; tries++ {
		click("Findings")
		shot("findings")
		click("Look for changes")
		p.wait("document.querySelector('.fix')")
		shot("changes")
		p.edits(func() { click("Do it") })
	}
	click("Findings")
	shot("findings after")
	if n := eval[int](p, "document.querySelectorAll('.finding.bad, .finding.warn').length"); n != 0 {
		t.Errorf("%d things stay broken or to settle: %s\n%s", n, p.text(".pane"), p.file(name))
	}
	click("Questions")
	shot("questions")
	click("Pipes")
	shot("pipes")
	if bare := eval[[]string](p, "[...document.querySelectorAll('.pane .line')].filter((e) => !/in/.test(e.querySelector('.num').textContent)).map((e) => e.textContent)"); len(bare) > 0 {
		t.Errorf("without a size: %q", bare)
	}
	click("Take away")
	click("Show the sheets")
	p.wait("document.querySelector('.pages')?.getAttribute('aria-label').includes('permit set') && document.querySelectorAll('.sheet-of').length > 1")
	shot("permit set")
	click("Show the order")
	p.wait("document.querySelector('.pages')?.getAttribute('aria-label').includes('order')")
	shot("order")
	p.pickLine("bath wc")
	shot("pipe")
	p.click("Keypad for Length of leg 1")
	p.wait("document.querySelector('dialog.keypad')")
	shot("keypad")
	if got := p.text("dialog.keypad"); metric != strings.Contains(got, "mm") || metric == strings.Contains(got, "feet") {
		t.Errorf("metric %v: the keypad says %q", metric, got)
	}
	p.click("Leave as it was")
	fmt.Printf("%s: %d touches and typings from an empty folder to the house, its permit set and its order\n", screen, touches)
	if touches > 60 {
		t.Errorf("%d touches", touches)
	}
	if t.Failed() {
		t.Log(p.file(name))
	}
}

// A whole small house without a mouse, from an empty folder: the job, the drains, a bath with
// its vent, a length, an answer, a change taken over, and back.
func TestPageKeyboardHouse(t *testing.T) {
	in := browser(t)
	folder, url := bench(t)
	p := window(t, in, folder, url)
	p.wait("tw.button('New job')")
	const named = `(() => { const e = document.activeElement; return e.id && !e.closest('svg') ? tw.name(document.querySelector('label[for="' + CSS.escape(e.id) + '"]') ?? e) : e.matches('.line') ? e.querySelector('.name').textContent : tw.name(e) })()`
	to := func(name string) {
		t.Helper()
		for range 150 {
			if at := eval[string](p, named); at == name || strings.HasSuffix(name, "*") && strings.HasPrefix(at, strings.TrimSuffix(name, "*")) {
				if !eval[bool](p, "document.activeElement.matches(':focus-visible') && getComputedStyle(document.activeElement).outlineStyle !== 'none'") {
					t.Errorf("%s has the focus and does not show it", name)
				}
				return
			}
			p.key(kb.Tab)
		}
		t.Fatalf("Tab does not reach %q; it is at %q", name, eval[string](p, named))
	}
	press := func(name string) { t.Helper(); to(name); p.key(kb.Enter) }
	pane := func(name string) { // the panes come before what is in them
		t.Helper()
		eval[bool](p, "(() => { document.activeElement.blur(); return true })()")
		press(name)
		press("Skip to the pane")
	}
	pick := func(label, typed, want string) { // a list takes what is typed
		t.Helper()
		to(label)
		for _, c := range typed {
			p.key(string(c))
		}
		if got := eval[string](p, "document.activeElement.selectedOptions[0].textContent"); got != want {
			t.Errorf("%s: %q typed picks %q, want %q", label, typed, got, want)
		}
	}
	write := func(label, text string) { t.Helper(); to(label); p.insert(text) }

	press("New job")
	p.wait("document.querySelector('dialog')?.contains(document.activeElement)")
	write("Title", "By keys")
	pick("Floors", "2", "2")
	write("Drain under the house", "30'")
	write("From the house to the street", "40'")
	press("Begin")
	p.wait("document.querySelector('.work') && document.querySelector('.saving')?.textContent === 'Saved'")
	const name = "By keys"

	pane("Add*")
	press("powder room")
	p.edits(func() { press("Lay out*") })
	pane("Add*")
	press("bath with tub")
	pick("Level", "s", "second")
	p.edits(func() { press("Lay out*") })
	if got := p.text(".title"); !strings.Contains(got, "Fixtures 5") || !strings.Contains(got, "Water closets 2") {
		t.Errorf("the title block says %q, want 5 fixtures and 2 water closets", got)
	}
	// A fixture and its vent, by their forms.
	pane("Add*")
	press("Fixture")
	press("clothes washer")
	pick("Drains into", "m", "main")
	write("or how far along it", "24'")
	pick("Runs, with the water", "s", "South")
	write("for", "5'")
	p.edits(func() { press("Add clothes washer") })
	p.wait("document.querySelector('.pipe h2')?.textContent === 'clothes washer'")
	p.edits(func() {
		to("Slope of its level legs")
		p.key(kb.ArrowDown)
		p.key(kb.ArrowDown)
		p.key(kb.Tab) // only now it counts
	})
	if got := p.file(name); !strings.Contains(got, `slope: 1/4" per ft, fixture`) && !strings.Contains(got, `fixture: clothes washer, level: first, slope: 1/4" per ft`) {
		t.Errorf("the slope did not come about with the arrow keys:\n%s", got)
	}
	press("Vent from it")
	p.edits(func() { press("Add clothes washer vent") })
	// A length of what is there, and it goes back.
	pane("Pipes")
	press("main")
	p.wait("document.querySelector('.pipe h2')?.textContent === 'main'")
	before := p.file(name)
	to("Length of leg 1")
	p.key("a", 2)
	p.insert("32'")
	p.edits(func() { p.key(kb.Enter) })
	if !strings.Contains(p.file(name), "E 32'") {
		t.Errorf("the length did not reach the file:\n%s", p.file(name))
	}
	eval[bool](p, "(() => { document.activeElement.blur(); return true })()")
	p.edits(func() { p.key("z", 2) })
	if p.file(name) != before {
		t.Error("Ctrl-Z does not take the length back")
	}
	// What is broken is mended, what is asked is answered.
	for tries := 0; eval[bool](p, "!!tw.button('Findings').querySelector('.badge')") && tries < 6; tries++ {
		pane("Findings*")
		press("Look for changes*")
		p.wait("document.querySelector('.fix')")
		p.edits(func() { press("Do it") })
	}
	pane("Findings*")
	if n := eval[int](p, "document.querySelectorAll('.finding.bad').length"); n != 0 {
		t.Errorf("%d things stay broken: %s\n%s", n, p.text(".pane"), p.file(name))
	}
	pane("Questions*")
	write("Invert (outlet)", "-5'")
	p.edits(func() { p.key(kb.Enter) })
	if !strings.Contains(p.file(name), "invert: -5'") {
		t.Errorf("the answer did not reach the file:\n%s", p.file(name))
	}
	pane("Take away")
	press("Show the sheets")
	p.wait("document.querySelectorAll('.sheet-of').length > 1")
	p.shot("keyboard house")
}
