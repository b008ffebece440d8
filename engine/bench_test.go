package engine_test

import (
	"fmt"
	"testing"

	"trapweir/engine"
	"trapweir/engine/job"
	"trapweir/engine/load"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/internal/randomjob"
	"trapweir/shelf"
)

// From the text of a job of about 60 runs to the sizes of its drains, on one core. The books
// are read before (BenchmarkShelf), vents and checks come after (BenchmarkHouseWhole). The aim
// is less than 1 ms and 1 MB.
func BenchmarkHouseTextToSizes(b *testing.B) {
	text := randomjob.House(12)
	d, _ := shelf.For(text, "")
	book, _ := d.Books.Book("irc-2021", nil)
	b.ReportAllocs()
	for b.Loop() {
		j, ds := job.Read("house", text)
		if len(ds) > 0 || len(j.Runs) < 55 || len(j.Runs) > 65 {
			b.Fatal(len(j.Runs), ds)
		}
		n, ds := network.Join(j, d.Catalog)
		if len(ds) > 0 {
			b.Fatal(ds)
		}
		l, _ := load.Sum(n, book)
		z, _ := size.Choose(n, l, book, nil)
		if z.Required[n.Outlet] == 0 {
			b.Fatal("no size at the outlet")
		}
	}
}

// The same house through every stage and check.
func BenchmarkHouseWhole(b *testing.B) {
	text := randomjob.House(12)
	d, _ := shelf.For(text, "")
	b.ReportAllocs()
	for b.Loop() {
		if r := engine.Run(d, engine.Input{Name: "house", Text: text}); !r.Solved() {
			b.Fatal(r.Faults)
		}
	}
}

// Joining, loads and sizes of large jobs that are read already: no text of this length is
// read at all (job.MaxBytes), and vents and checks are left out (BenchmarkGrowing has them).
// The aim is 2 s for a million segments, and a cost per segment that stays near level: what
// it grows by is memory that the processor waits for.
func BenchmarkSegments(b *testing.B) {
	for _, n := range []int{1000, 10_000, 100_000, 1_000_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			d, _ := shelf.Of([]string{"irc-2021"})
			book, _ := d.Books.Book("irc-2021", nil)
			j := randomjob.Big(n)
			b.ReportAllocs()
			segs := 0
			for b.Loop() {
				net, ds := network.Join(j, d.Catalog)
				if len(ds) > 0 {
					b.Fatal(ds)
				}
				l, _ := load.Sum(net, book)
				z, _ := size.Choose(net, l, book, nil)
				if z.Required[net.Outlet] == 0 {
					b.Fatal("no size at the outlet")
				}
				segs = len(net.Segs)
			}
			b.ReportMetric(float64(segs), "segments")
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(segs), "ns/segment")
		})
	}
}

// Houses that grow, from text through every stage and check, as `trapweir check` does.
func BenchmarkGrowing(b *testing.B) {
	for _, baths := range []int{10, 100, 1000} {
		b.Run(fmt.Sprint(baths), func(b *testing.B) {
			text := randomjob.House(baths)
			d, _ := shelf.For(text, "")
			b.ReportAllocs()
			segs := 0
			for b.Loop() {
				r := engine.Run(d, engine.Input{Name: "house", Text: text})
				if !r.Solved() {
					b.Fatal(r.Faults)
				}
				segs = len(r.Net.Segs)
			}
			b.ReportMetric(float64(segs), "segments")
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(segs), "ns/segment")
		})
	}
}

// Reading one book and its catalog, which every start of the program pays for.
func BenchmarkShelf(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, ds := shelf.Of([]string{"irc-2021"}); len(ds) > 0 {
			b.Fatal(ds)
		}
	}
}
