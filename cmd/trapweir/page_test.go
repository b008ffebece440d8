package main

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"trapweir/examples"
)

func example(t testing.TB, name string) string {
	t.Helper()
	b, err := examples.Files.ReadFile(name + jobSuffix)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// Every state of the page, on paper and in the dark, on a desk and on a phone. With
// SHOTS=DIR the pictures are kept there to be looked at.
func TestPageStates(t *testing.T) {
	in := browser(t)
	folder, url := bench(t, "heron-lane", example(t, "heron-lane"), "alder-court", example(t, "alder-court"))
	p := window(t, in, folder, url)
	p.wait("document.querySelectorAll('.jobs .line').length === 2")
	p.shot("jobs")
	p.open("heron-lane")
	p.wait("document.querySelector('.drawing svg')")
	for _, s := range []struct {
		name  string
		w, h  int64
		dark  bool
		touch bool
	}{
		{"desk", 1366, 860, false, false},
		{"desk dark", 1366, 860, true, false},
		{"phone", 360, 740, false, true},
		{"phone dark", 390, 844, true, true},
		{"large", 2200, 1200, false, false},
	} {
		p.screen(s.w, s.h, s.dark, s.touch)
		for _, pane := range []string{"Add", "Findings", "Questions", "File", "Take away", "Pipes"} {
			p.click(pane)
			p.wait("document.querySelector('.pane section')")
			if pane == "File" {
				p.wait("document.querySelector('.cm-content')?.textContent.includes('Heron Lane')")
			}
			p.shot(s.name + " " + pane)
		}
		p.press("[...document.querySelectorAll('.pane .line')].find((e) => e.textContent.startsWith('hall wc'))")
		p.wait("document.querySelector('.pipe .size') && document.querySelector('.reasons')")
		p.shot(s.name + " pipe")
		p.click("Follow the water")
		p.wait("document.querySelectorAll('.walk li').length > 3")
		p.shot(s.name + " walk")
		p.click("Close the way of the water")
		p.click("Keypad for Length of leg 1")
		p.wait("document.querySelector('dialog.keypad')")
		p.shot(s.name + " keypad")
		p.click("Leave as it was")
		if wide := eval[int64](p, "document.documentElement.scrollWidth"); wide > s.w {
			t.Errorf("%s: the page is %d wide on a screen of %d", s.name, wide, s.w)
		}
		p.click("Back to the list of pipes")
	}
}

// steps is the text of the file after every edit.
type steps struct {
	p     *page
	name  string
	texts []string
}

func (s *steps) edit(what func()) {
	s.p.t.Helper()
	s.p.edits(what)
	s.texts = append(s.texts, s.p.file(s.name))
}

// From an empty pad to a house of two and a half baths, sized and checked, with its permit
// set and its order, all on the page; then back to the pad and forth again, byte for byte.
// On a desk and, in the dark, on a phone; with SHOTS on a tablet too.
func TestPageHouse(t *testing.T) {
	in := browser(t)
	t.Run("desk", func(t *testing.T) { houseOn(t, in, "house", 1366, 860, false, false) })
	t.Run("phone", func(t *testing.T) { houseOn(t, in, "house phone", 360, 740, true, true) })
	if os.Getenv("SHOTS") != "" {
		t.Run("tablet", func(t *testing.T) { houseOn(t, in, "house tablet", 1024, 768, true, true) })
	}
}

func houseOn(t *testing.T, in context.Context, screen string, w, h int64, dark, touch bool) {
	folder, url := bench(t)
	p := window(t, in, folder, url)
	p.screen(w, h, dark, touch)
	shot := func(what string) {
		t.Helper()
		p.shot(screen + " " + what)
		if wide := eval[int64](p, "document.documentElement.scrollWidth"); wide > w {
			t.Errorf("%s: the page is %d wide on a screen of %d", what, wide, w)
		}
	}
	p.click("New job")
	p.typeIn("Title", "Larkspur: two and a half baths (invented)")
	p.choose("Code and edition", "irc-2021")
	p.choose("Floors", "2")
	shot("new job")
	p.click("Begin")
	p.wait("document.querySelector('.work')")
	const name = "Larkspur two and a half baths invented"
	s := &steps{p: p, name: name, texts: []string{p.file(name)}}
	shot("pad")

	// The line to the street and the building drain: lengths by the keypad and by hand.
	line := func(run string) {
		p.press("[...document.querySelectorAll('.pane .line')].find((e) => e.querySelector('.name').textContent === " + quoted(run) + ")")
	}
	leg := func(length string) {
		s.edit(func() { p.fill("Length of leg 1", length) })
		s.edit(func() { p.choose("Slope of its level legs", `1/4" per ft`) })
		p.click("Back to the list of pipes")
	}
	p.click("Pipes")
	line("sewer")
	p.click("Keypad for Length of leg 1")
	for _, k := range []string{"4", "0", "feet", "6", "1/2"} {
		p.click(k)
	}
	shot("keypad")
	s.edit(func() { p.click(`Take 40' 6-1/2"`) })
	if !strings.Contains(p.file(name), `E 40' 6-1/2"`) {
		t.Errorf("the keypad wrote\n%s", p.file(name))
	}
	s.edit(func() { p.choose("Slope of its level legs", `1/4" per ft`) })
	p.click("Back to the list of pipes")
	line("main")
	leg("30'")
	line("main")
	p.click("Pipe that joins it")
	p.typeIn("Name", "stack")
	p.choose("Runs, with the water", "down")
	p.typeIn("for", `10' 6"`)
	s.edit(func() { p.click("Add stack") })

	room := func(kind, as, joins, at, heads, level, lies string) {
		t.Helper()
		p.click("Add")
		p.click("Room")
		p.click(kind)
		p.typeIn("Name of the room", as)
		p.choose("Drains into", joins)
		if at != "" {
			p.typeIn("or how far along it", at)
		}
		p.choose("Its branch runs", heads)
		p.choose("Level", level)
		p.choose("Its pipes lie in", lies)
		s.edit(func() { p.click("Lay out " + as) })
	}
	room("bath with tub", "hall bath", "stack", "", "E", "second", "joists")
	room("bath with shower", "main bath", "stack", "", "W", "second", "joists")
	room("powder room", "powder", "main", "12'", "S", "first", "crawl space")
	room("kitchen wall", "kitchen", "main", "20'", "N", "first", "crawl space")
	room("laundry", "laundry", "main", "24'", "S", "first", "crawl space")
	shot("laid out")
	if got := p.text(".title"); !strings.Contains(got, "Fixtures 10") || !strings.Contains(got, "Water closets 3") {
		t.Errorf("the title block says %q, want 10 fixtures and 3 water closets", got)
	}

	// What is broken is mended by a change that the program proposes and shows first.
	p.click("Findings")
	for tries := 0; eval[bool](p, "!!tw.button('Findings').querySelector('.badge')") && tries < 6; tries++ {
		p.click("Look for changes")
		p.wait("document.querySelector('.fix')")
		p.click("Show it")
		p.wait("document.querySelector('.offer')")
		shot("proposal")
		s.edit(func() { p.press("document.querySelector('.offer .main')") })
	}
	if n := eval[int](p, "document.querySelectorAll('.finding.bad').length"); n != 0 {
		t.Errorf("%d things stay broken: %s", n, p.text(".pane"))
	}

	// Questions are answered where they stand.
	p.click("Questions")
	answer := func(label, value string) {
		t.Helper()
		p.wait("tw.field(" + quoted(label) + ")")
		if eval[bool](p, "tw.field("+quoted(label)+") instanceof HTMLSelectElement") {
			s.edit(func() { p.choose(label, value) })
		} else {
			s.edit(func() { p.fill(label, value) })
		}
	}
	answer("Invert (outlet)", `-3' 8"`)
	answer("Design temperature (climate)", "12 F")
	answer("Snow (climate)", `6"`)
	answer("Air gap (kitchen sink)", "yes")
	answer("Joists (levels, second)", "2x10")
	shot("questions")

	p.click("Findings")
	p.wait("document.querySelector('.findings')")
	if n := eval[int](p, "document.querySelectorAll('.finding.bad').length"); n != 0 {
		t.Errorf("what was answered breaks %d things: %s", n, p.text(".pane"))
	}
	shot("findings")

	// Every drain and vent has a size.
	p.click("Pipes")
	p.click("Back to the list of pipes")
	shot("pipes")
	if bare := eval[[]string](p, "[...document.querySelectorAll('.pane .line')].filter((e) => !/in/.test(e.querySelector('.num').textContent)).map((e) => e.textContent)"); len(bare) > 0 {
		t.Errorf("without a size: %q", bare)
	}
	// Touch a pipe on the sheet: its reasons.
	if w > 900 {
		p.touch("hall bath wc")
	} else { // too small to touch as a whole; the list has it
		line("hall bath wc")
	}
	p.wait("document.querySelector('.pipe h2')?.textContent === 'hall bath wc' && document.querySelector('.reasons')")
	shot("why")
	p.click("Follow the water")
	p.wait("document.querySelectorAll('.walk li').length > 4")
	p.click("Close the way of the water")

	// Permit set and order: looked at, then taken away.
	p.click("Take away")
	p.click("Show the sheets")
	p.wait("document.querySelector('.pages')?.getAttribute('aria-label').includes('permit set') && document.querySelectorAll('.sheet-of').length > 1")
	shot("permit set")
	p.click("Show the order")
	p.wait("document.querySelector('.pages')?.getAttribute('aria-label').includes('order')")
	shot("order")
	for _, out := range []struct{ link, begins string }{{"Permit set, PDF", "%PDF-"}, {"Order, XLSX", "PK"}, {"Order, CSV", "\xef\xbb\xbf"}, {"Riser, DXF", "999\nTRAPWEIR"}, {"Riser, SVG", "<svg"}} {
		href := eval[string](p, "tw.button("+quoted(out.link)+").href")
		b := fetch(t, href)
		if !bytes.HasPrefix(b, []byte(out.begins)) {
			t.Errorf("%s begins with %.20q, want %q", out.link, b, out.begins)
		}
		if out.begins == "PK" {
			if _, err := zip.NewReader(bytes.NewReader(b), int64(len(b))); err != nil {
				t.Errorf("%s: %v", out.link, err)
			}
		}
	}

	// Back to the empty pad and forth to the house.
	for i := len(s.texts) - 2; i >= 0; i-- {
		p.edits(func() { p.click("Undo") })
		if got := p.file(name); got != s.texts[i] {
			t.Fatalf("undo to step %d gives\n%s\nwant\n%s", i, got, s.texts[i])
		}
	}
	p.wait("tw.button('Undo').disabled")
	for i := 1; i < len(s.texts); i++ {
		p.edits(func() { p.click("Redo") })
		if got := p.file(name); got != s.texts[i] {
			t.Fatalf("redo to step %d gives\n%s\nwant\n%s", i, got, s.texts[i])
		}
	}
	p.wait("tw.button('Redo').disabled")
	// Undo goes on where it was when the page, or the program, was begun anew.
	p.do(chromedp.Reload())
	p.wait("document.querySelector('.work') && !tw.button('Undo').disabled")
	p.edits(func() { p.click("Undo") })
	if got := p.file(name); got != s.texts[len(s.texts)-2] {
		t.Fatalf("after a reload undo gives\n%s\nwant\n%s", got, s.texts[len(s.texts)-2])
	}
	p.wait("!tw.button('Redo').disabled")
	t.Logf("%d edits, undone and redone", len(s.texts)-1)
}

func fetch(t testing.TB, url string) []byte {
	t.Helper()
	r, err := http.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	b, err := io.ReadAll(r.Body)
	if err != nil || r.StatusCode != http.StatusOK {
		t.Fatalf("%s: %d %v %.200s", url, r.StatusCode, err, b)
	}
	return b
}

// Comments and layout of a file survive edits on the page; typing in the text pane and
// picking on the page edit one job; what is wrong in the text is shown at its place.
func TestPageText(t *testing.T) {
	p := heron(t)
	p.press("[...document.querySelectorAll('.pane .line')].find((e) => e.textContent.startsWith('washer'))")
	p.edits(func() { p.choose("Size", "3") })
	want := strings.Replace(example(t, "heron-lane"), "room: laundry, place: crawl space}", "room: laundry, place: crawl space, size: 3}", 1)
	if got := p.file("heron-lane"); got != want {
		t.Errorf("one key was set, and the file differs in more:\n%s", got)
	}
	p.click("In the file")
	p.wait("document.querySelector('.cm-focused .cm-activeLine')?.textContent.includes('washer:')")
	for range 4 { // a line that is wrapped ends after some presses
		p.key(kb.End)
	}
	p.edits(func() { p.insert("  # by hand") })
	if got := p.file("heron-lane"); !strings.Contains(got, "size: 3}  # by hand\n") {
		t.Errorf("typing did not reach the file:\n%s", got)
	}
	// A fault: the last drawing stays, the words stand at their place.
	p.edits(func() { p.insert("\n  attic: {joins: nowhere}") })
	p.wait("document.querySelector('.cm-lintRange-error') && document.querySelector('.drawing svg')")
	p.shot("text fault")
	p.edits(func() { p.key("z", chromedp.Modifier(kb.ModifierCtrl)) })
	p.wait("!document.querySelector('.cm-lintRange-error')")
	if got := p.file("heron-lane"); strings.Contains(got, "attic") {
		t.Error("Ctrl-Z in the text does not take the last change back")
	}
	// An earlier version can be opened again.
	p.press("document.querySelector('.versions summary')")
	p.wait("document.querySelectorAll('.versions li button').length >= 2")
	p.edits(func() { p.press("[...document.querySelectorAll('.versions li')].at(-1).querySelectorAll('button')[1]") })
	if got := p.file("heron-lane"); got != example(t, "heron-lane") {
		t.Error("the oldest version is not what was opened first")
	}
}

// Two windows and another program change one file: nothing is overwritten unseen.
func TestPageConflict(t *testing.T) {
	in := browser(t)
	first := example(t, "heron-lane")
	folder, url := bench(t, "heron-lane", first)
	p := window(t, in, folder, url)
	p.open("heron-lane")
	q := window(t, in, folder, url)
	q.open("heron-lane")

	// With nothing unsaved, a change from the other window is shown.
	p.press("[...document.querySelectorAll('.pane .line')].find((e) => e.textContent.startsWith('washer'))")
	p.edits(func() { p.choose("Size", "3") })
	q.wait("tw.rev() === " + quoted(eval[string](p, "tw.rev()")))
	p.wait("!document.querySelector('.conflict')")

	// Typed here while another program saves: both texts are shown.
	q.click("File")
	q.wait("document.querySelector('.cm-content')")
	q.press("document.querySelector('.cm-line')")
	q.key(kb.Home, chromedp.Modifier(kb.ModifierCtrl))
	theirs := "# saved by another program\n" + q.file("heron-lane")
	// What is typed waits, so that the other program is surely first.
	hold := func() {
		eval[bool](q, `(() => { window.later ??= window.setTimeout; window.setTimeout = (f, ms, ...a) => ms === 150 ? (window.held = f, 0) : window.later(f, ms, ...a); return true })()`)
	}
	release := func() {
		eval[bool](q, "(() => { window.setTimeout = window.later; window.held?.(); window.held = null; return true })()")
	}
	hold()
	q.insert("# typed in this window\n")
	q.wait("window.held")
	write(t, filepath.Join(folder, "heron-lane"+jobSuffix), theirs)
	release()
	q.wait("document.querySelector('dialog.conflict')")
	q.shot("conflict")
	if got := q.file("heron-lane"); got != theirs {
		t.Errorf("the file was overwritten before anybody chose:\n%.200s", got)
	}
	if got := q.text("dialog.conflict"); !strings.Contains(got, "saved by another program") || !strings.Contains(got, "typed in this window") {
		t.Errorf("the two texts are not both shown: %.300s", got)
	}
	q.edits(func() { q.click("Keep mine") })
	if got := q.file("heron-lane"); !strings.HasPrefix(got, "# typed in this window\n") || strings.Contains(got, "another program") {
		t.Errorf("mine was not kept:\n%.200s", got)
	}
	// Theirs is a version.
	var kept bool
	versions, _ := filepath.Glob(filepath.Join(folder, ".trapweir", "versions", "heron-lane", "*"))
	for _, v := range versions {
		b, _ := os.ReadFile(v)
		kept = kept || string(b) == theirs
	}
	if !kept {
		t.Error("the text that was not taken is not among the versions")
	}
	// The other window follows; taking theirs keeps mine one undo away.
	p.wait("tw.rev() === " + quoted(eval[string](q, "tw.rev()")))
	mine := "# mine again\n"
	again := "# outside again\n" + q.file("heron-lane")
	q.press("document.querySelector('.cm-line')")
	q.key(kb.Home, chromedp.Modifier(kb.ModifierCtrl))
	hold()
	q.insert(mine)
	q.wait("window.held")
	write(t, filepath.Join(folder, "heron-lane"+jobSuffix), again)
	release()
	q.wait("document.querySelector('dialog.conflict')")
	q.click("Take the file")
	q.wait("!document.querySelector('dialog.conflict')")
	if got := q.file("heron-lane"); got != again {
		t.Errorf("theirs was not taken:\n%.100s", got)
	}
	q.edits(func() { q.click("Undo") })
	if got := q.file("heron-lane"); !strings.HasPrefix(got, mine) {
		t.Errorf("undo does not bring mine back:\n%.100s", got)
	}
}

// The whole of it without a mouse: a job is opened, a pipe found, a length set.
func TestPageKeyboard(t *testing.T) {
	in := browser(t)
	folder, url := bench(t, "heron-lane", example(t, "heron-lane"))
	p := window(t, in, folder, url)
	p.wait("document.querySelectorAll('.jobs .line').length === 1")
	to := func(name string) {
		t.Helper()
		for range 120 {
			if eval[bool](p, "(() => { const e = document.activeElement; const n = e.id && !e.closest('svg') ? tw.name(document.querySelector(`label[for=\"${e.id}\"]`) ?? e) : tw.name(e); return n === "+quoted(name)+" || (e.matches('.line') && n.startsWith("+quoted(name)+")) })()") {
				if !eval[bool](p, "document.activeElement.matches(':focus-visible') && getComputedStyle(document.activeElement).outlineStyle !== 'none'") {
					t.Errorf("%s has the focus and does not show it", name)
				}
				return
			}
			p.key(kb.Tab)
		}
		t.Fatalf("Tab does not reach %q; it is at %q", name, eval[string](p, "tw.name(document.activeElement)"))
	}
	to("Heron Lane, new house (invented)")
	p.key(kb.Enter)
	p.wait("document.querySelector('.work')")
	to("Skip to the pane")
	p.key(kb.Enter)
	to("hall branch")
	p.key(kb.Enter)
	p.wait("document.querySelector('.pipe h2')?.textContent === 'hall branch'")
	to("Length of leg 1")
	p.key("a", chromedp.Modifier(kb.ModifierCtrl))
	p.insert("6' 6\"")
	p.edits(func() { p.key(kb.Enter) })
	if !strings.Contains(p.file("heron-lane"), "legs: [E 6' 6\"]") {
		t.Error("the length did not reach the file")
	}
	// The keypad takes the digits of the keyboard, holds the focus, and Escape leaves it.
	to("Keypad for Length of leg 1")
	p.key(kb.Enter)
	p.wait("document.querySelector('dialog.keypad')?.contains(document.activeElement)")
	p.key(kb.Escape)
	p.wait("!document.querySelector('dialog.keypad')")
	p.edits(func() { p.key("z", chromedp.Modifier(kb.ModifierCtrl)) })
	if p.file("heron-lane") != example(t, "heron-lane") {
		t.Error("Ctrl-Z does not take the change back")
	}
}

// No serious fault of access in any pane, on paper and in the dark, by the rules of an
// open checker.
func TestPageAccess(t *testing.T) {
	axe := axeSource(t)
	in := browser(t)
	folder, url := bench(t, "heron-lane", example(t, "heron-lane"), "alder-court", example(t, "alder-court"))
	p := window(t, in, folder, url)
	type fault struct{ ID, Impact, Help, Node string }
	look := func(where string) {
		t.Helper()
		eval[bool](p, "(() => { if (!window.axe) {"+axe+"} return true })()")
		fs, err := chromedp.Run(p.ctx, chromedp.Evaluate[[]fault](`(async () => { const r = await axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa'] });
			return r.violations.flatMap((v) => v.nodes.slice(0, 3).map((n) => ({ ID: v.id, Impact: v.impact, Help: v.help, Node: n.html.slice(0, 160) + ' ' + (n.any[0]?.message ?? '') }))) })()`, chromedp.EvalAwaitPromise))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range fs {
			t.Errorf("%s: %s (%s): %s: %s", where, f.ID, f.Impact, f.Help, f.Node)
		}
		if small := eval[[]string](p, `[...document.querySelectorAll('button, select, input, .button, summary')].filter((e) => tw.seen(e) && !e.closest('.cm-editor, .skip') && (e.getBoundingClientRect().height < 44 || e.getBoundingClientRect().width < 44)).map((e) => tw.name(e) + ' ' + JSON.stringify(e.getBoundingClientRect()))`); len(small) > 0 {
			t.Errorf("%s: less than 44 px to touch: %q", where, small)
		}
	}
	p.wait("document.querySelectorAll('.jobs .line').length === 2")
	look("jobs")
	p.open("alder-court")
	for _, dark := range []bool{false, true} {
		p.screen(1366, 860, dark, false)
		for _, pane := range []string{"Add", "Findings", "Questions", "File", "Take away", "Pipes"} {
			p.click(pane)
			p.wait("document.querySelector('.pane section')")
			look(fmt.Sprint(pane, " dark ", dark))
			if pane == "Take away" {
				p.press("document.querySelector('.sheet-of')")
				p.wait("document.querySelector('dialog.paper')")
				look(fmt.Sprint("a sheet large, dark ", dark))
				p.click("Close")
				p.choose("View", "fall")
				p.wait("document.querySelector('.listing')")
				look(fmt.Sprint("fall, dark ", dark))
				p.choose("View", "riser")
			}
		}
		p.press("[...document.querySelectorAll('.pane .line')].find((e) => e.textContent.startsWith('kitchen'))")
		p.wait("document.querySelector('.reasons')")
		p.click("Follow the water")
		p.wait("document.querySelectorAll('.walk li').length > 3")
		look(fmt.Sprint("pipe and walk, dark ", dark))
		p.click("Close the way of the water")
		p.click("Keypad for Length of leg 1")
		p.wait("document.querySelector('dialog.keypad')")
		look(fmt.Sprint("keypad, dark ", dark))
		p.click("Leave as it was")
		p.click("Back to the list of pipes")
		p.click("The house and its code")
		look(fmt.Sprint("house, dark ", dark))
		p.click("Back to the list of pipes")
	}
	p.screen(360, 740, false, true)
	for _, pane := range []string{"Add", "Questions", "Pipes"} {
		p.click(pane)
		look("phone " + pane)
	}
}

// axeSource is the checker's script, from the cache that web/gen keeps.
func axeSource(t testing.TB) string {
	t.Helper()
	path := "../../.cache/ui/node_modules/axe-core/axe.min.js"
	if _, err := os.Stat(path); err != nil {
		if out, err := runGen("-install"); err != nil {
			t.Skipf("NOT TESTED: access, as the checker cannot be had: %v %s", err, out)
		}
	}
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// From an edit to the page redrawn, as one who types sees it. The rounds are in batches: on
// a machine that is busy with other work the quietest batch tells most of the program, and
// what is aimed at is printed beside both.
func TestPageSpeed(t *testing.T) {
	in := browser(t)
	house, tower := example(t, "heron-lane"), building(500)
	for _, job := range []struct {
		name, text, run, label string
		limit                  time.Duration
		from                   int // inches
		batches, rounds        int
	}{
		{"house, a branch", house, "washer", "Length of leg 2", 50 * time.Millisecond, 48, 4, 20},
		{"house, the line to the street", house, "sewer", "Length of leg 1", 50 * time.Millisecond, 36, 4, 20},
		{"building of 500 fixtures, a branch", tower, "unit 499", "Length of leg 1", 250 * time.Millisecond, 48, 4, 8},
		{"building of 500 fixtures, the line to the street, so that all of it moves", tower, "sewer", "Length of leg 1", 250 * time.Millisecond, 240, 3, 6},
	} {
		folder, url := bench(t, "job", job.text)
		p := window(t, in, folder, url)
		p.open("job")
		p.wait("document.querySelector('.drawing svg') && tw.rev()")
		p.pickLine(job.run)
		p.wait("tw.field(" + quoted(job.label) + ")")
		// The clock starts with the change and stops with the frame that shows it. Whoever
		// types looks before the next change: the drawing of the one before is there.
		round := func(n int) [][2]float64 {
			t.Helper()
			took, err := chromedp.Run(p.ctx, chromedp.Evaluate[[][2]float64](helpers+fmt.Sprintf(`(async () => {
			const out = [], work = document.querySelector('.work');
			const frame = () => new Promise(requestAnimationFrame);
			for (let i = 0; i < %d; i++) {
				const e = tw.field(%s), rev = tw.rev();
				window.inches = (window.inches ?? %d) + 1; // never the same text twice: all of it is worked out
				e.focus();
				e.value = Math.floor(window.inches / 12) + "' " + window.inches %% 12 + '"';
				e.dispatchEvent(new Event('input', { bubbles: true }));
				const t = performance.now();
				e.blur();
				while (tw.rev() === rev) await frame();
				const told = performance.now() - t;
				while (work.dataset.drawn !== tw.rev()) await frame();
				out.push([told, performance.now() - t]);
				while (document.querySelector('.saving').textContent !== 'Saved') await frame();
			}
			return out })()`, n, quoted(job.label), job.from), chromedp.EvalAwaitPromise))
			if err != nil {
				t.Fatal(err)
			}
			return took
		}
		at := func(took [][2]float64, which, percent int) float64 {
			var v []float64
			for _, x := range took {
				v = append(v, x[which])
			}
			slices.Sort(v)
			return v[len(v)*percent/100]
		}
		round(2) // the first ones still fetch and compile
		var all, quiet [][2]float64
		for range job.batches {
			b := round(job.rounds)
			all = append(all, b...)
			if quiet == nil || at(b, 1, 50) < at(quiet, 1, 50) {
				quiet = b
			}
		}
		mid := at(quiet, 1, 50)
		words := func(b [][2]float64) string {
			return fmt.Sprintf("to the numbers median %.0f ms, p95 %.0f ms; to the redrawn page median %.0f ms, p95 %.0f ms", at(b, 0, 50), at(b, 0, 95), at(b, 1, 50), at(b, 1, 95))
		}
		told := fmt.Sprintf("%s: from an edit, aim p95 %v: all %d rounds: %s; the quietest batch of %d: %s", job.name, job.limit, len(all), words(all), len(quiet), words(quiet))
		t.Log(told)
		fmt.Println(told)
		// A machine that is busy with other work is slower: fail only far beyond the aim.
		if time.Duration(mid*float64(time.Millisecond)) > 6*job.limit {
			t.Errorf("%s: median %.0f ms is far beyond %v", job.name, mid, job.limit)
		}
	}
}

// building is a job of n fixtures in stacks of ten on one main.
func building(n int) string {
	var b strings.Builder
	b.WriteString("job: Building (invented)\ncode: irc-2021\noutlet: {to: public sewer, invert: -9'}\nruns:\n  sewer: {joins: outlet, legs: [E 20'], slope: 1/4\" per ft}\n")
	for i := range n {
		if i%10 == 0 {
			fmt.Fprintf(&b, "  stack %d: {joins: sewer, at: %d', legs: [down 10']}\n", i/10, i%20)
		}
		kind := []string{"lavatory", "water closet", "bathtub", "kitchen sink"}[i%4]
		fmt.Fprintf(&b, "  unit %d: {joins: stack %d, at: %d', legs: [%s %d'], slope: 1/4\" per ft, fixture: %s}\n", i, i/10, i%10, []string{"N", "E", "S", "W"}[i%4], 2+i%5, kind)
	}
	return b.String()
}
