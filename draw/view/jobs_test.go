package view_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"trapweir/engine"
	"trapweir/engine/codebook"
	"trapweir/shelf"
)

// solve runs a job's text; layers lie in the folder of that name beside it.
func solve(t testing.TB, name string, text []byte, dir string) *engine.Result {
	t.Helper()
	var extra []codebook.File
	for _, id := range shelf.With(text) {
		if b, err := os.ReadFile(filepath.Join(dir, "layers", id+".yaml")); err == nil {
			extra = append(extra, codebook.File{Name: id + ".yaml", Text: b})
		}
	}
	d, _ := shelf.For(text, "", extra...)
	r := engine.Run(d, engine.Input{Name: name, Text: text})
	if !r.Solved() {
		t.Fatalf("%s: not solved: %v\n%s", name, r.Faults, text)
	}
	return r
}

type named struct {
	name string
	r    *engine.Result
}

// from solves all jobs of a folder, in order of name.
func from(t testing.TB, dir string) []named {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "*.dwv.yaml"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no jobs in %s: %v", dir, err)
	}
	sort.Strings(files)
	var out []named
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		name := strings.TrimSuffix(filepath.Base(f), ".dwv.yaml")
		out = append(out, named{name, solve(t, name, text, dir)})
	}
	return out
}

func example(t testing.TB, name string) *engine.Result {
	t.Helper()
	return solve(t, name, []byte(exampleText(t, name)), "../../examples")
}

func exampleText(t testing.TB, name string) string {
	t.Helper()
	text, err := os.ReadFile("../../examples/" + name + ".dwv.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// randomHouse writes a house as someone might: some of it measured, some not, pipes that
// join at the same point or along each other, old and new.
func randomHouse(r *rand.Rand) []byte {
	var b strings.Builder
	pick := func(list ...string) string { return list[r.IntN(len(list))] }
	chance := func(p float64) bool { return r.Float64() < p }
	feet := func(lo, hi int) string {
		f := fmt.Sprintf("%d'", lo+r.IntN(hi-lo+1))
		if chance(0.5) {
			f += fmt.Sprintf(" %d\"", 1+r.IntN(11))
		}
		return f
	}
	measured := r.Float64() // how much of the job is measured
	way := func() string { return pick("N", "E", "S", "W", "N", "E", "S", "W", "NE", "N30W", "SE", "level") }
	leg := func(lo, hi int) string {
		if !chance(measured) {
			return ""
		}
		w := way()
		if !chance(measured) {
			w = "level"
		}
		return w + " " + feet(lo, hi)
	}
	down := func(lo, hi int) string {
		if !chance(measured) {
			return "down"
		}
		return "down " + feet(lo, hi)
	}
	legs := func(parts ...string) string {
		var out []string
		for _, p := range parts {
			if p != "" {
				out = append(out, p)
			}
		}
		if len(out) == 0 {
			return ""
		}
		return ", legs: [" + strings.Join(out, ", ") + "]"
	}
	slope := func() string {
		if chance(0.7) {
			return ", slope: " + pick(`1/4" per ft`, `1/4" per ft`, `1/8" per ft`, "2%", `1/2" per ft`)
		}
		return ""
	}
	// What others join is not taken out: a job in which what stays joins it is refused.
	state := func(joined bool) string {
		if chance(0.12) {
			list := []string{", existing: true", ", existing: true, size: 3", ", new: true", ", remove: true"}
			if joined {
				list = list[:3]
			}
			return pick(list...)
		}
		return ""
	}
	fmt.Fprintf(&b, "job: random house %d\ncode: %s\n", r.IntN(1000), pick("irc-2021", "ipc-2021", "upc-2021"))
	if chance(0.2) {
		b.WriteString("units: metric\n")
	}
	floors := 1 + r.IntN(3)
	levels := chance(0.7)
	names := []string{"first", "second", "third"}[:floors]
	if levels {
		b.WriteString("levels:\n")
		for i := floors - 1; i >= 0; i-- {
			fmt.Fprintf(&b, "  %s: {floor: %d'", names[i], 9*i)
			if i == 0 && chance(0.5) {
				b.WriteString(", grade: -2', under: crawl space")
			}
			b.WriteString("}\n")
		}
	}
	invert := ""
	if chance(0.5) {
		invert = ", invert: -8'"
	}
	fmt.Fprintf(&b, "outlet: {to: %s%s}\nruns:\n", pick("public sewer", "septic tank", "house drain"), invert)
	place := ""
	if chance(0.5) {
		place = pick(", place: outside", ", place: under slab", ", place: crawl space")
	}
	co := ""
	if chance(0.5) {
		co = pick(", cleanouts: [upper end]", ", cleanouts: [{at: upper end, type: two-way}]", ", cleanouts: [lower end]")
	}
	fmt.Fprintf(&b, "  sewer: {joins: outlet%s%s%s%s}\n", legs(leg(10, 60), leg(5, 20)), slope(), place, co)
	var vents []string
	takes := []string{}
	kinds := []string{"lavatory", "water closet", "bathtub", "shower", "kitchen sink", "clothes washer", "laundry tub", "bidet", "floor drain", "bar sink"}
	fixture := 0
	addFixture := func(into, at, level string) {
		fixture++
		name := fmt.Sprintf("%s %d", pick("lav", "wc", "tub", "bath fixture with a long name", "sink", "f"), fixture)
		kind := pick(kinds...)
		extra := ""
		if kind == "water closet" {
			extra = ", flush: 1.28 gal"
		}
		if kind == "clothes washer" {
			extra = `, standpipe: 30"`
		}
		arm := ""
		if chance(0.4) && chance(measured) {
			arm = ", arm: " + pick("N", "E", "S", "W") + " " + feet(1, 4)
		}
		l := ""
		if arm != "" {
			l = legs(down(1, 3), leg(1, 9))
		} else if chance(0.7) {
			l = legs(pick("", down(1, 3)), leg(1, 9))
		}
		if level != "" {
			extra += ", level: " + level
		}
		if chance(0.05) {
			extra += ", devices: [backwater valve]"
		}
		fmt.Fprintf(&b, "  %s: {joins: %s%s, fixture: %s%s%s%s%s%s}\n", name, into, at, kind, arm, l, slope(), extra, state(false))
		if chance(0.6) {
			takes = append(takes, name)
		}
	}
	at := func(prev string) string {
		switch {
		case prev != "" && chance(0.5):
			return ", at: after " + prev
		case chance(0.3):
			return ", at: upper end"
		}
		return ""
	}
	stacks := 1 + r.IntN(3)
	prev := ""
	for s := range stacks {
		stack := fmt.Sprintf("stack %d", s+1)
		fmt.Fprintf(&b, "  %s: {joins: sewer%s%s%s}\n", stack, at(prev), legs(down(8, 9*floors+2)), state(true))
		prev = stack
		prevBranch := ""
		for f := range 1 + r.IntN(3) {
			level := ""
			if levels {
				level = names[f%floors]
			}
			branch := fmt.Sprintf("branch %d%c", s+1, 'a'+f)
			lv := ""
			if level != "" {
				lv = ", level: " + level
			}
			fmt.Fprintf(&b, "  %s: {joins: %s%s%s%s%s}\n", branch, stack, at(prevBranch), legs(leg(2, 12)), slope(), lv)
			prevBranch = branch
			for range 1 + r.IntN(4) {
				addFixture(branch, "", level)
			}
		}
		if chance(0.15) {
			fmt.Fprintf(&b, "  old part %d: {joins: %s, carries: {fixtures: [water closet, lavatory]}, existing: true}\n", s, stack)
		}
	}
	for range r.IntN(3) {
		lv := ""
		if levels {
			lv = names[0]
		}
		addFixture("sewer", at(prev), lv)
	}
	for i, t := range takes {
		v := fmt.Sprintf("v%d", i+1)
		end := pick("through roof", "through roof", "through roof", "air admittance valve", "side wall", "capped")
		if i > 0 && chance(0.35) {
			end = "v1"
		}
		if i == 0 {
			end = "through roof"
		}
		l := ""
		switch {
		case chance(0.6):
			l = ", legs: [up " + feet(3, 24) + "]"
		case chance(0.5):
			l = ", legs: [up " + feet(2, 5) + ", " + pick("N", "E", "S", "W", "level") + " " + feet(2, 9) + "]"
		}
		vents = append(vents, fmt.Sprintf("  %s: {from: %s%s, ends: %s}\n", v, t, l, end))
	}
	if len(vents) > 0 {
		b.WriteString("vents:\n")
		for _, v := range vents {
			b.WriteString(v)
		}
	}
	return []byte(b.String())
}
