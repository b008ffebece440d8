package view_test

import (
	"fmt"
	"strings"
	"testing"

	"trapweir/draw/svg"
	"trapweir/draw/view"
	"trapweir/internal/randomjob"
)

// Buildings of many baths on one drain: what a fixture costs must stay level.
func BenchmarkBuilding(b *testing.B) {
	for _, fixtures := range []int{100, 500, 1000} {
		b.Run(fmt.Sprint(fixtures), func(b *testing.B) {
			r := solve(b, "building", randomjob.House((fixtures-2)/3), ".")
			b.ReportAllocs()
			for b.Loop() {
				svg.Render(view.Isometric(r, view.Options{}), svg.Options{Fluid: true})
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(r.Net.Fixtures)), "ns/fixture")
		})
	}
}

// Fixtures that all join at one place, with the words of all runs: where labels find little
// room, what a fixture costs must not grow with their number.
func BenchmarkCrowd(b *testing.B) {
	for _, fixtures := range []int{60, 500, 4000} {
		var text strings.Builder
		text.WriteString("job: crowd (invented)\ncode: irc-2021\nruns:\n  main: {joins: outlet, legs: [E 40'], slope: 1/4\" per ft}\n")
		kinds := [...]string{"lavatory", "kitchen sink", "bathtub", "water closet", "floor drain"}
		for i := range fixtures {
			fmt.Fprintf(&text, "  drain %d: {joins: main, at: 10', fixture: %s}\n", i, kinds[i%len(kinds)])
		}
		r := solve(b, "crowd", []byte(text.String()), ".")
		draw := map[string]func(){
			"riser": func() { svg.Render(view.Isometric(r, view.Options{}), svg.Options{Fluid: true}) },
			"plan": func() {
				for _, l := range view.Plans(r) {
					svg.Render(view.Plan(r, l, view.Options{}), svg.Options{Fluid: true})
				}
			},
		}
		for _, what := range []string{"riser", "plan"} {
			b.Run(fmt.Sprint(what, "/", fixtures), func(b *testing.B) {
				for b.Loop() {
					draw[what]()
				}
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*fixtures), "ns/fixture")
			})
		}
	}
}
