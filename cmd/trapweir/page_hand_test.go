package main

import (
	"context"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

type spot struct{ X, Y float64 }

func (p *page) mouse(kind input.DispatchMouseEventType, at spot) {
	p.t.Helper()
	p.do(func(ctx context.Context, _ *chromedp.Target) (chromedp.Void, error) {
		_, err := chromedp.Call(ctx, input.DispatchMouseEvent, input.DispatchMouseEventParams{Type: kind, X: at.X, Y: at.Y, Button: "left", Buttons: 1, ClickCount: 1})
		return chromedp.Void{}, err
	})
}

// fingers puts as many fingers on the glass as there are spots, moves or lifts them.
func (p *page) fingers(kind input.DispatchTouchEventType, at ...spot) {
	p.t.Helper()
	pts := []*input.TouchPoint{}
	for i, s := range at {
		id := float64(i)
		pts = append(pts, &input.TouchPoint{X: s.X, Y: s.Y, ID: &id})
	}
	p.do(func(ctx context.Context, _ *chromedp.Target) (chromedp.Void, error) {
		_, err := chromedp.Call(ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: pts})
		return chromedp.Void{}, err
	})
}

// drag moves from one spot to another with the mouse and looks before it lets go.
func (p *page) drag(from, to spot, look func()) {
	p.t.Helper()
	p.mouse("mousePressed", from)
	for i := 1; i <= 6; i++ {
		k := float64(i) / 6
		p.mouse("mouseMoved", spot{from.X + (to.X-from.X)*k, from.Y + (to.Y-from.Y)*k})
	}
	p.frames()
	if look != nil {
		look()
	}
	p.mouse("mouseReleased", to)
}

// swipe is drag with a finger.
func (p *page) swipe(from, to spot, look func()) {
	p.t.Helper()
	p.fingers("touchStart", from)
	for i := 1; i <= 6; i++ {
		k := float64(i) / 6
		p.fingers("touchMove", spot{from.X + (to.X-from.X)*k, from.Y + (to.Y-from.Y)*k})
	}
	p.frames()
	if look != nil {
		look()
	}
	p.fingers("touchEnd")
}

// frames lets the page take in what it was told: moves are handed over frame by frame.
func (p *page) frames() {
	p.t.Helper()
	if _, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool]("(async () => { for (let i = 0; i < 3; i++) await new Promise(requestAnimationFrame); return true })()", chromedp.EvalAwaitPromise)); err != nil {
		p.t.Fatal(err)
	}
}

// grip is the end of a leg of what is picked.
func (p *page) grip(name string, part int) spot {
	p.t.Helper()
	sel := `[...document.querySelectorAll('.hands .grip')].filter((e) => e.dataset.hold === ` + quoted(name+" "+strconv.Itoa(part)) + `)`
	p.wait(sel + ".length === 1")
	return eval[spot](p, "(() => { const r = "+sel+"[0].getBoundingClientRect(); return { X: r.x + r.width / 2, Y: r.y + r.height / 2 } })()")
}

func (p *page) viewBox() [4]float64 {
	p.t.Helper()
	return eval[[4]float64](p, "document.querySelector('.drawing svg').getAttribute('viewBox').split(' ').map(Number)")
}

// along is a spot on a pipe of the drawing, by how far along its line.
func (p *page) along(name string, k float64) spot {
	p.t.Helper()
	at := quoted(name)
	return eval[spot](p, `(() => { const e = [...document.querySelectorAll('.drawing [id]')].find((e) => (e.dataset.id ?? e.id) === `+at+`);
		const line = e.matches('polyline, line') ? e : e.querySelector('polyline, line');
		const q = line.getPointAtLength(line.getTotalLength() * `+num(k)+`).matrixTransform(line.getScreenCTM()); return { X: q.x, Y: q.y } })()`)
}

func num(v float64) string { return strconv.FormatFloat(v, 'f', 4, 64) }

func viewWords(b [4]float64) string {
	var out []string
	for _, v := range b {
		out = append(out, strconv.FormatFloat(v, 'g', -1, 64))
	}
	return strings.Join(out, " ")
}

// A length is set by pulling at the end of a pipe, on the riser and on the plan, with the
// mouse and with a finger; it snaps, is read at the finger, and can be undone.
func TestPagePull(t *testing.T) {
	p := heron(t)
	first := p.file("heron-lane")
	p.touch("hall branch")
	p.wait("document.querySelector('.pipe h2')?.textContent === 'hall branch'")
	at := p.grip("hall branch", 0)
	low := p.along("hall branch", 1)
	out := spot{at.X + (at.X-low.X)*0.5, at.Y + (at.Y-low.Y)*0.5}
	read := ""
	p.edits(func() {
		p.drag(at, out, func() {
			p.wait("document.querySelector('.readout .much')?.textContent.includes(\"'\")")
			read = p.readout()
			p.shot("pull riser")
		})
	})
	got := p.file("heron-lane")
	if !strings.Contains(got, "hall branch: {joins: stack, legs: [E "+read+"]") || read == "6'" {
		t.Errorf("the finger read %q, and the file says\n%s", read, got)
	}
	if strings.Count(got, "\n") != strings.Count(first, "\n") || !strings.Contains(read, "'") {
		t.Errorf("the length %q, or the file lost lines", read)
	}
	p.edits(func() { p.click("Undo") })
	if p.file("heron-lane") != first {
		t.Error("undo does not bring the length back")
	}
	// Escape leaves it as it was; a touch without a move is for the keypad.
	at = p.grip("hall branch", 0)
	p.mouse("mousePressed", at)
	p.mouse("mouseReleased", at)
	p.wait("document.querySelector('dialog.keypad')?.textContent.includes('hall branch, leg 1')")
	p.click("Leave as it was")

	// On the plan, to scale: so many steps, so many inches.
	p.choose("Sheet to work on", "plan second")
	p.wait("document.querySelector('.drawing svg title')?.textContent.includes('Plan, second')")
	p.touch("main branch")
	at = p.grip("main branch", 0)
	low = p.along("main branch", 1)
	p.edits(func() {
		p.drag(at, spot{at.X + (at.X-low.X)/7*2, at.Y}, func() { // 7 feet are drawn: pull 2 feet more
			read = p.readout()
			p.shot("pull plan")
		})
	})
	if read != `9'` && read != `9' 1/2"` && read != `8' 11-1/2"` && read != `9' 1"` && read != `8' 11"` {
		t.Errorf("two feet more than 7' read %q", read)
	}
	if !strings.Contains(p.file("heron-lane"), "main branch:  {joins: stack, legs: [W "+read+"]") {
		t.Errorf("the plan read %q, and the file says\n%s", read, p.file("heron-lane"))
	}

	// With a finger, on a phone.
	p.screen(360, 740, false, true)
	p.wait("document.querySelectorAll('.hands .grip').length === 1")
	at = p.grip("main branch", 0)
	p.edits(func() {
		p.swipe(at, spot{at.X + 30, at.Y}, func() {
			read = p.readout()
			p.shot("pull phone")
		})
	})
	if !strings.Contains(p.file("heron-lane"), "main branch:  {joins: stack, legs: [W "+read+"]") {
		t.Errorf("the finger read %q, and the file says\n%s", read, p.file("heron-lane"))
	}
}

// Two fingers zoom where they are, one moves the sheet, and neither changes the job.
func TestPagePinch(t *testing.T) {
	p := heron(t)
	p.screen(360, 740, false, true)
	p.wait("document.querySelector('.drawing svg') && document.querySelector('.drawing').getBoundingClientRect().width < 360")
	rev := eval[string](p, "tw.rev()")
	frame := eval[struct{ X, Y, W, H float64 }](p, "(() => { const r = document.querySelector('.drawing').getBoundingClientRect(); return { X: r.x, Y: r.y, W: r.width, H: r.height } })()")
	mid := spot{frame.X + frame.W/2, frame.Y + frame.H/2}
	under := func(at spot) spot { // the place on the sheet under a spot of the screen
		return eval[spot](p, "(() => { const s = document.querySelector('.drawing svg'); const q = new DOMPoint("+num(at.X)+", "+num(at.Y)+").matrixTransform(s.getScreenCTM().inverse()); return { X: q.x, Y: q.y } })()")
	}
	before, place := p.viewBox(), under(mid)
	two := func(d float64) (spot, spot) { return spot{mid.X - d, mid.Y}, spot{mid.X + d, mid.Y} }
	a, b := two(30)
	p.fingers("touchStart", a, b)
	for d := 40.0; d <= 90; d += 10 {
		a, b = two(d)
		p.fingers("touchMove", a, b)
	}
	p.fingers("touchEnd")
	p.wait("document.querySelector('.drawing svg').getAttribute('viewBox') !== '" + viewWords(before) + "'")
	in3 := p.viewBox()
	if k := before[2] / in3[2]; math.Abs(k-3) > 0.2 {
		t.Errorf("fingers three times as far apart zoom by %.2f", k)
	}
	if now := under(mid); math.Hypot(now.X-place.X, now.Y-place.Y) > 1.5 {
		t.Errorf("the place between the fingers moved from %v to %v", place, now)
	}
	p.shot("pinch")
	// One finger moves the sheet with it.
	place = under(mid)
	to := spot{mid.X + 60, mid.Y + 40}
	p.swipe(mid, to, nil)
	if now := under(to); math.Hypot(now.X-place.X, now.Y-place.Y) > 4 { // the first few pixels tell a touch from a move
		t.Errorf("the sheet did not go with the finger: %v is at %v", place, now)
	}
	if w := p.viewBox()[2]; math.Abs(w-in3[2]) > 0.01 {
		t.Errorf("one finger zoomed from %v to %v", in3[2], w)
	}
	// Together again: out.
	a, b = two(90)
	p.fingers("touchStart", a, b)
	for d := 80.0; d >= 30; d -= 10 {
		a, b = two(d)
		p.fingers("touchMove", a, b)
	}
	p.fingers("touchEnd")
	if k := p.viewBox()[2] / in3[2]; math.Abs(k-3) > 0.2 {
		t.Errorf("fingers a third as far apart zoom out by %.2f", k)
	}
	if eval[string](p, "tw.rev()") != rev || eval[bool](p, "!!document.querySelector('.pipe')") {
		t.Error("moving the sheet picked or changed something")
	}
	if wide := eval[float64](p, "visualViewport.scale"); wide != 1 {
		t.Errorf("the page itself was zoomed, by %v", wide)
	}
}

// A pipe is drawn from the one that it joins, on the plan and on the riser, and becomes a
// fixture of a kind.
func TestPageDraw(t *testing.T) {
	p := heron(t)
	p.choose("Sheet to work on", "plan below")
	p.wait("document.querySelector('.drawing svg title')?.textContent.includes('Plan of the drains')")
	p.click("Draw a pipe")
	from := p.along("main", 0.5)
	read := ""
	p.drag(from, spot{from.X + 4, from.Y + 70}, func() { // south of main
		p.wait("document.querySelector('.readout .much')?.textContent.startsWith('South')")
		read = strings.TrimPrefix(p.readout(), "South ")
		p.shot("draw plan")
	})
	p.wait("document.querySelector('.pane h2')?.textContent === 'Add'")
	p.click("floor drain")
	p.shot("draw plan form")
	p.edits(func() { p.click("Add floor drain") })
	got := p.file("heron-lane")
	if !strings.Contains(got, "floor drain: {joins: main, at: ") || !strings.Contains(got, "legs: [N "+read+"], fixture: floor drain") {
		t.Errorf("drawn south for %s, so the water runs north; the file says\n%s", read, got)
	}
	p.wait("document.querySelector('.pipe h2')?.textContent === 'floor drain'")
	// On the riser, upward: a drop.
	p.choose("Sheet to work on", "riser")
	p.wait("document.querySelector('.drawing svg title')?.textContent.includes('riser')")
	p.click("Draw a pipe")
	from = p.along("main", 0.45)
	p.drag(from, spot{from.X + 3, from.Y - 70}, func() {
		p.wait("document.querySelector('.readout .much')?.textContent.startsWith('Up')")
		p.shot("draw riser")
	})
	p.wait("document.querySelector('.pane h2')?.textContent === 'Add'")
	p.click("Pipe")
	p.typeIn("Name", "new stack")
	p.edits(func() { p.click("Add new stack") })
	if got := strings.Join(strings.Fields(p.file("heron-lane")), " "); !strings.Contains(got, "new stack: {joins: main, at: ") || !strings.Contains(got, "legs: [down ") {
		t.Errorf("drawn upward; the file says\n%s", got)
	}
}

// In a metric job too a pipe joins where it was drawn from.
func TestPageDrawMetric(t *testing.T) {
	in := browser(t)
	folder, url := bench(t, "metres", "job: Metres (invented)\ncode: irc-2021\nunits: metric\noutlet: {to: public sewer}\nruns:\n  main: {joins: outlet, legs: [E 10 m], slope: 2%}\n")
	p := window(t, in, folder, url)
	p.open("metres")
	p.click("Draw a pipe")
	from, read := p.along("main", 0.25), ""
	p.drag(from, spot{from.X + 4, from.Y + 70}, func() {
		read = p.text(".hands .readout") + eval[string](p, "document.querySelector('.hands .readout')?.textContent ?? ''")
	})
	p.wait("document.querySelector('.pane h2')?.textContent === 'Add'")
	p.click("floor drain")
	p.edits(func() { p.click("Add floor drain") })
	m := regexp.MustCompile(`floor drain: \{joins: main, at: (\d+) mm`).FindStringSubmatch(p.file("metres"))
	if m == nil || !strings.Contains(read, "on main, "+m[1]+" mm along") {
		t.Fatalf("read as %q; the file says\n%s", read, p.file("metres"))
	}
	if at, _ := strconv.Atoi(m[1]); at < 2300 || at > 2700 {
		t.Errorf("drawn from a quarter of 10 m, it joins at %d mm", at)
	}
}

// readout is the length that is read at the finger.
func (p *page) readout() string {
	p.t.Helper()
	return eval[string](p, "document.querySelector('.readout .much')?.textContent ?? ''")
}
