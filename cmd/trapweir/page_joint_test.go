package main

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// joint is where what is picked meets the pipe that it joins.
func (p *page) joint(name string) spot {
	p.t.Helper()
	sel := "document.querySelector('.hands .joint[data-joint=" + quoted(name) + "]')"
	p.wait(sel)
	return eval[spot](p, "(() => { const r = "+sel+".getBoundingClientRect(); return { X: r.x + r.width / 2, Y: r.y + r.height / 2 } })()")
}

func (p *page) pickLine(name string) {
	p.t.Helper()
	p.click("Pipes")
	p.wait("document.querySelector('.pane h2')")
	if eval[bool](p, "!!tw.button('Back to the list of pipes')") {
		p.click("Back to the list of pipes")
	}
	p.press("[...document.querySelectorAll('.pane .line')].find((e) => e.querySelector('.name').textContent === " + quoted(name) + ")")
	p.wait("document.querySelector('.pipe h2')?.textContent === " + quoted(name))
}

func between(a, b spot, k float64) spot { return spot{a.X + (b.X-a.X)*k, a.Y + (b.Y-a.Y)*k} }

// Where a pipe joins is moved by pulling the joint along the pipe that it joins, on the riser
// and on the plan, with the mouse and with a finger; it snaps to where others join and to the
// ends, is read at the finger, and can be keyed.
func TestPageJoint(t *testing.T) {
	p := heron(t)
	first := p.file("heron-lane")
	at := func(run string) string {
		t.Helper()
		m := regexp.MustCompile(`(?m)^  ` + run + `: .*?at: ([^,]+),`).FindStringSubmatch(p.file("heron-lane"))
		if m == nil {
			t.Fatalf("%s joins nowhere in\n%s", run, p.file("heron-lane"))
		}
		return m[1]
	}
	feet := func(s string) float64 {
		m := regexp.MustCompile(`^(\d+)'(?: (\d+)(?:-1/2)?")?$`).FindStringSubmatch(s)
		if m == nil {
			return math.NaN()
		}
		f, _ := strconv.ParseFloat(m[1], 64)
		i, _ := strconv.ParseFloat("0"+m[2], 64)
		return f + i/12
	}
	p.pickLine("washer")
	washer := p.joint("washer")
	p.pickLine("powder wc")
	powder := p.joint("powder wc")
	read := ""
	p.edits(func() {
		p.drag(powder, between(powder, washer, 0.3), func() {
			read = p.readout()
			p.shot("joint riser")
		})
	})
	if got := at("powder wc"); got != read || !(feet(got) > 12 && feet(got) < 24) {
		t.Errorf("pulled from 12' towards 24', read as %q: the file says %q", read, got)
	}
	if n := strings.Count(p.file("heron-lane"), "\n"); n != strings.Count(first, "\n") {
		t.Errorf("the file has %d lines", n)
	}
	p.edits(func() { p.click("Undo") })
	if p.file("heron-lane") != first {
		t.Error("undo does not bring the joint back")
	}
	// Near to where another joins it goes there, and says so.
	powder = p.joint("powder wc")
	p.edits(func() {
		p.drag(powder, spot{washer.X + 3, washer.Y + 3}, func() {
			if got := p.text(".hands .readout") + eval[string](p, "document.querySelector('.hands .readout')?.textContent ?? ''"); !strings.Contains(got, "with washer") {
				t.Errorf("at the washer's joint it reads %q", got)
			}
			p.shot("joint with another")
		})
	})
	if got := at("powder wc"); got != "24'" {
		t.Errorf("pulled to where the washer joins: %q, want 24'", got)
	}
	p.edits(func() { p.click("Undo") })
	// To the last fraction, though a pull itself goes by half inches at best.
	p.pickLine("washer")
	p.edits(func() { p.fill("or how far along it", `24' 1/4"`) })
	washer = p.joint("washer")
	p.pickLine("powder wc")
	powder = p.joint("powder wc")
	p.edits(func() { p.drag(powder, washer, nil) })
	if got := at("powder wc"); got != `24' 1/4"` {
		t.Errorf("pulled to where the washer joins: %q, want 24' 1/4\"", got)
	}
	p.edits(func() { p.click("Undo") })
	p.edits(func() { p.click("Undo") })
	// A touch without a move is for the keypad.
	powder = p.joint("powder wc")
	p.mouse("mousePressed", powder)
	p.mouse("mouseReleased", powder)
	p.wait("document.querySelector('dialog.keypad')?.textContent.includes('How far along main')")
	for _, k := range []string{"1", "4", "feet"} {
		p.click(k)
	}
	p.edits(func() { p.click("Take 14'") })
	if got := at("powder wc"); got != "14'" {
		t.Errorf("keyed 14': %q", got)
	}
	p.edits(func() { p.click("Undo") })

	// On the plan, to scale: half of the way is half of the feet.
	p.choose("Sheet to work on", "plan below")
	p.wait("document.querySelector('.drawing svg title')?.textContent.includes('Plan of the drains')")
	p.pickLine("washer")
	washer = p.joint("washer")
	p.pickLine("powder wc")
	powder = p.joint("powder wc")
	p.edits(func() { p.drag(powder, between(powder, washer, 0.25), func() { p.shot("joint plan") }) })
	if got := feet(at("powder wc")); math.Abs(got-15) > 0.3 {
		t.Errorf("a quarter of the way from 12' to 24' is %v feet", got)
	}
	p.edits(func() { p.click("Undo") })

	// With a finger, on a phone, where the drawing has come near enough.
	p.screen(360, 740, false, true)
	p.pickLine("hall tub")
	p.choose("Sheet to work on", "riser")
	p.wait("document.querySelector('.drawing svg title')?.textContent.includes('riser')")
	p.frames()
	tub := p.joint("hall tub") // in sight, and its words can be read
	p.wait("(() => { const d = document.querySelector('.drawing').getBoundingClientRect(), j = document.querySelector('.hands .joint').getBoundingClientRect(); return j.x > d.x && j.x < d.right && j.y > d.y && j.y < d.bottom })()")
	if px := eval[float64](p, "(() => { const t = [...document.querySelectorAll('.drawing svg text')].map((e) => Number(e.getAttribute('font-size'))).sort((a, b) => a - b)[0]; return t * document.querySelector('.drawing svg').getScreenCTM().a })()"); px < 8 {
		t.Errorf("the smallest words of what is picked are %.1f px tall on a phone", px)
	}
	up := p.along("hall branch", 0.02)
	p.edits(func() {
		p.swipe(tub, between(tub, up, 0.6), func() {
			read = p.readout()
			p.shot("joint phone")
		})
	})
	if got := at("hall tub"); got != read && got != "upper end" || got == "2'" {
		t.Errorf("the finger read %q: the file says %q", read, got)
	}
	// The drawing on the whole screen, and back by what is picked.
	p.click("The drawing on the whole screen")
	p.wait("document.querySelector('.peek') && document.querySelector('.drawing').getBoundingClientRect().height > 400")
	p.shot("phone whole screen")
	p.click("Open")
	p.wait("document.querySelector('.pipe h2')?.textContent === 'hall tub' && !document.querySelector('.peek')")
}

// After any number of changes the drawing on the page is the one that a page opened anew gets.
func TestPageDrawingIsWhole(t *testing.T) {
	in := browser(t)
	folder, url := bench(t, "heron-lane", example(t, "heron-lane"))
	p := window(t, in, folder, url)
	p.open("heron-lane")
	p.wait("document.querySelector('.drawing svg')")
	const drawn = `(() => { const s = document.querySelector('.drawing svg').cloneNode(true); for (const e of s.querySelectorAll('[class]')) { e.classList.remove('picked', 'wet') }
		return s.getAttribute('class') + s.innerHTML.replaceAll(' class=""', '') })()`
	p.pickLine("washer")
	for _, change := range []func(){
		func() { p.choose("Size", "4") },
		func() { p.fill("Length of leg 2", "9'") },
		func() { p.choose("Joins", "sewer") },
		func() { p.click("Delete washer") },
		func() { p.click("Undo") },
		func() { p.click("Undo") },
		func() { p.click("Redo") },
	} {
		p.edits(change)
		patched := eval[string](p, drawn)
		q := window(t, in, folder, url)
		q.open("heron-lane")
		q.wait("document.querySelector('.drawing svg')")
		if fresh := eval[string](q, drawn); fresh != patched {
			i := 0
			for i < len(fresh) && i < len(patched) && fresh[i] == patched[i] {
				i++
			}
			t.Fatalf("the drawing was patched to\n%.300s\nand fresh it is\n%.300s", patched[max(0, i-60):], fresh[max(0, i-60):])
		}
	}
}
