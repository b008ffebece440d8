package randomjob

import (
	"fmt"
	"strings"

	"pgregory.net/rapid"
)

// Random is a house drawn at random. Every length is a multiple of 5 in, which is 127 mm,
// so that it can be told exactly in feet and inches and in millimetres.
type Random struct {
	Code  string
	With  []string
	Runs  []Run // the first joins the outlet, every other one an earlier one
	Vents []Vent
}

// Run is a drain of a random house.
type Run struct {
	Name    string
	Joins   int // index, -1 the outlet
	At      int // fives of inches along the receiver, -1 its upper end
	Legs    []Leg
	Slope   bool
	Fixture string // with its attributes, "" none
	Size    string
	Level   string
	Room    string
	Place   string
}

// Leg is a straight piece.
type Leg struct {
	Way   string
	Fives int // length in fives of inches
}

// Vent leaves a run at its upper end or the end of its arm.
type Vent struct {
	Name string
	From int
	Ends string
	Up   int
}

func (r *Run) length() int {
	n := 0
	for _, l := range r.Legs {
		n += l.Fives
	}
	return n
}

// Kinds are the fixtures that random houses have, with what changes their load.
var Kinds = []string{
	"lavatory", "bathtub", "shower, flow: 2.5 gpm", "shower, flow: 8 gpm", "kitchen sink", "kitchen sink, disposer: yes", "clothes washer",
	"water closet, flush: 1.28 gal", "water closet, flush: 3.5 gal", "bidet", "laundry tub", "bar sink", "floor drain",
}

// Draw draws a house under one of the books.
func Draw(t *rapid.T) *Random {
	h := &Random{Code: rapid.SampledFrom([]string{"irc-2021", "ipc-2021", "upc-2021", "upc-2018"}).Draw(t, "code")}
	h.With = rapid.SampledFrom([][]string{nil, {"marlow-county"}, {"our-shop"}, {"marlow-county", "our-shop"}}).Draw(t, "with")
	n := rapid.IntRange(1, 14).Draw(t, "runs")
	for i := range n {
		h.Runs = append(h.Runs, h.drawRun(t, i))
	}
	for i := range h.Runs {
		if rapid.IntRange(0, 3).Draw(t, "vented") == 0 {
			h.Vents = append(h.Vents, Vent{Name: fmt.Sprintf("v%02d", i), From: i, Ends: "through roof", Up: rapid.IntRange(10, 80).Draw(t, "up")})
		}
	}
	return h
}

func (h *Random) drawRun(t *rapid.T, i int) Run {
	r := Run{Name: fmt.Sprintf("r%02d", i), Joins: -1, At: -1}
	legs := rapid.IntRange(1, 3).Draw(t, "legs")
	for range legs {
		way := rapid.SampledFrom([]string{"N", "E", "S", "W", "N45E", "down", "down 45 E"}).Draw(t, "way")
		r.Legs = append(r.Legs, Leg{way, rapid.IntRange(1, 40).Draw(t, "length")})
	}
	r.Slope = rapid.IntRange(0, 3).Draw(t, "sloped") > 0
	r.Level = rapid.SampledFrom([]string{"", "first", "second"}).Draw(t, "level")
	r.Place = rapid.SampledFrom([]string{"", "", "under slab", "crawl space"}).Draw(t, "place")
	if i == 0 {
		r.Place = rapid.SampledFrom([]string{"", "outside"}).Draw(t, "place of the first")
		return r
	}
	r.Joins = rapid.IntRange(0, i-1).Draw(t, "joins")
	// Where it joins a run with a fixture is always told: it could lie on either side of
	// another one that is not.
	if to := &h.Runs[r.Joins]; to.Fixture != "" || rapid.Bool().Draw(t, "placed") {
		l := to.length()
		if r.Joins == 0 {
			l-- // nothing joins below the last pipe
		}
		r.At = rapid.IntRange(0, l).Draw(t, "at")
	}
	if rapid.IntRange(0, 2).Draw(t, "has fixture") > 0 {
		r.Fixture = rapid.SampledFrom(Kinds).Draw(t, "fixture")
		r.Room = rapid.SampledFrom([]string{"", "bath", "hall bath"}).Draw(t, "room")
	}
	if rapid.IntRange(0, 7).Draw(t, "sized") == 0 {
		r.Size = rapid.SampledFrom([]string{"1-1/2", "2", "3", "4"}).Draw(t, "size")
	}
	return r
}

// Add draws one more fixture with a run of its own, and returns the house with it.
func (h *Random) Add(t *rapid.T) *Random {
	out := *h
	r := h.drawRun(t, len(h.Runs))
	r.Name = "added"
	r.Size = ""
	if r.Fixture == "" {
		r.Fixture = "lavatory"
	}
	out.Runs = append(append([]Run(nil), h.Runs...), r)
	return &out
}

// Text writes the job in feet and inches, the runs and vents in the given orders (nil: as
// they are).
func (h *Random) Text(runs, vents []int) []byte {
	return h.text(runs, vents, func(f int) string { return fmt.Sprintf("%d' %d\"", f*5/12, f*5%12) }, `1/4" per ft`)
}

// Metric writes the same job in millimetres, its slopes as 1 in 48.
func (h *Random) Metric() []byte {
	return h.text(nil, nil, func(f int) string { return fmt.Sprintf("%d mm", f*127) }, "1:48")
}

func (h *Random) text(runs, vents []int, length func(int) string, slope string) []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "job: random (invented)\ncode: %s\n", h.Code)
	if len(h.With) > 0 {
		fmt.Fprintf(&b, "with: [%s]\n", strings.Join(h.With, ", "))
	}
	b.WriteString("levels: {first: {floor: 0 mm}, second: {floor: 2743.2 mm}}\noutlet: {to: public sewer}\nruns:\n")
	order := func(list []int, n int) []int {
		if list != nil {
			return list
		}
		for i := range n {
			list = append(list, i)
		}
		return list
	}
	for _, i := range order(runs, len(h.Runs)) {
		r := &h.Runs[i]
		to := "outlet"
		if r.Joins >= 0 {
			to = h.Runs[r.Joins].Name
		}
		fmt.Fprintf(&b, "  %s: {joins: %s", r.Name, to)
		if r.At >= 0 {
			b.WriteString(", at: " + length(r.At))
		}
		var legs []string
		for _, l := range r.Legs {
			legs = append(legs, l.Way+" "+length(l.Fives))
		}
		b.WriteString(", legs: [" + strings.Join(legs, ", ") + "]")
		if r.Slope {
			b.WriteString(", slope: " + slope)
		}
		for _, kv := range [][2]string{{"fixture", r.Fixture}, {"size", r.Size}, {"level", r.Level}, {"room", r.Room}, {"place", r.Place}} {
			if kv[1] != "" {
				b.WriteString(", " + kv[0] + ": " + kv[1])
			}
		}
		b.WriteString("}\n")
	}
	if len(h.Vents) > 0 {
		b.WriteString("vents:\n")
		for _, i := range order(vents, len(h.Vents)) {
			v := &h.Vents[i]
			fmt.Fprintf(&b, "  %s: {from: %s, legs: [up %s], ends: %s}\n", v.Name, h.Runs[v.From].Name, length(v.Up), v.Ends)
		}
	}
	return []byte(b.String())
}
