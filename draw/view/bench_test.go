package view_test

import (
	"fmt"
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
