package main

import (
	"testing"

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
		{"desk", 1366, 860, false, false}, {"desk dark", 1366, 860, true, false},
		{"phone", 360, 740, false, true}, {"phone dark", 390, 844, true, true},
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
