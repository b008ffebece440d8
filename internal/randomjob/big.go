// Package randomjob makes jobs for tests and benchmarks: small houses drawn at random, as
// the text of a job file, and nets of any size built without text.
package randomjob

import (
	"fmt"
	"strconv"
	"strings"

	"trapweir/engine/job"
	"trapweir/engine/unit"
)

// House writes the job of a large house with baths full baths: five runs and two vents a
// bath, and a kitchen, a washer and a main besides.
func House(baths int) []byte {
	var b strings.Builder
	b.WriteString("job: benchmark house (invented)\ncode: irc-2021\nlevels:\n  second: {floor: 9' 1\", joists: 2x10}\n  first: {floor: 0', joists: 2x10, under: crawl space, grade: -3'}\n" +
		"outlet: {to: public sewer, invert: -9'}\nruns:\n  sewer: {joins: outlet, legs: [E 52'], slope: 1/4\" per ft, place: outside}\n" +
		"  main: {joins: sewer, legs: [S " + strconv.Itoa(10+8*baths) + "'], slope: 1/4\" per ft, place: crawl space}\n" +
		"  kitchen: {joins: main, arm: W 2', legs: [down 2' 6\", E 9'], slope: 1/4\" per ft, fixture: kitchen sink, disposer: yes, level: first}\n" +
		"  washer: {joins: main, at: 4', arm: E 2', legs: [down 2' 6\", W 4'], slope: 1/4\" per ft, fixture: clothes washer, standpipe: 34\", level: first}\n")
	var vents strings.Builder
	vents.WriteString("vents:\n  kitchen vent: {from: kitchen, legs: [up 9'], ends: through roof}\n  washer vent: {from: washer, legs: [up 9'], ends: through roof}\n")
	for i := 1; i <= baths; i++ {
		level, drop := "first", ""
		if i%2 == 0 {
			level = "second"
			fmt.Fprintf(&b, "  stack %d: {joins: main, at: %d', legs: [down 9']}\n", i, 6+8*i)
			drop = fmt.Sprintf("joins: stack %d", i)
		} else {
			drop = fmt.Sprintf("joins: main, at: %d'", 6+8*i)
		}
		fmt.Fprintf(&b, "  branch %[1]d: {%[2]s, legs: [E 6'], slope: 1/4\" per ft, level: %[3]s}\n"+
			"  lav %[1]d: {joins: branch %[1]d, arm: W 2', legs: [down 2' 2\"], slope: 1/4\" per ft, fixture: lavatory, level: %[3]s, room: bath %[1]d}\n"+
			"  tub %[1]d: {joins: branch %[1]d, at: 2', legs: [S 2'], slope: 1/4\" per ft, fixture: bathtub, level: %[3]s, room: bath %[1]d}\n"+
			"  wc %[1]d: {joins: branch %[1]d, at: 4', legs: [down 6\", S 1' 6\"], slope: 1/4\" per ft, fixture: water closet, flush: 1.28 gal, level: %[3]s, room: bath %[1]d}\n", i, drop, level)
		fmt.Fprintf(&vents, "  vent %[1]d: {from: lav %[1]d, legs: [up 15'], ends: through roof}\n", i)
	}
	return []byte(b.String() + vents.String())
}

// Big builds a job of at least n segments, and few more, without text: a long main with
// branches of four fixtures each, so that most of it is as deep as in a house and the main
// as long as it gets.
func Big(n int) *job.Job {
	word := func(s string) job.Word { return job.Word{Text: s} }
	leg := func(way job.Way, l unit.Length) job.Leg { return job.Leg{Way: way, Length: job.Len{V: l, Set: true}} }
	quarter := job.Slope{V: unit.Slope{Fall: 1, Run: 48}}
	east := job.Way{HasPlan: true, Azimuth: 900, Plumb: 900}
	down := job.Way{Down: true}
	j := &job.Job{Title: word("benchmark"), Code: word("irc-2021"), Outlet: job.Outlet{To: word("public sewer")}}
	const perBath = 11 // segments: 1 of main, 4 of branch, 2 + 1 + 1 + 2 of the fixtures
	baths := (n + perBath - 1) / perBath
	j.Runs = make([]job.Run, 0, 1+5*baths)
	j.Runs = append(j.Runs, job.Run{Name: "main", Joins: word("outlet"), Legs: []job.Leg{leg(east, unit.Length(baths+1)*10*unit.Foot)}, Slope: quarter})
	at := func(l unit.Length) job.Place { return job.Place{Kind: job.AtLength, Len: l} }
	for i := range baths {
		s := strconv.Itoa(i)
		branch := "branch " + s
		j.Runs = append(j.Runs,
			job.Run{Name: branch, Joins: word("main"), Place: at(unit.Length(i) * 10 * unit.Foot), Legs: []job.Leg{leg(east, 8*unit.Foot)}, Slope: quarter},
			job.Run{Name: "lav " + s, Joins: word(branch), Arm: []job.Leg{leg(east, 2*unit.Foot)}, Legs: []job.Leg{leg(down, 2*unit.Foot)}, Fixture: job.Fixture{Kind: word("lavatory")}, Slope: quarter},
			job.Run{Name: "tub " + s, Joins: word(branch), Place: at(2 * unit.Foot), Legs: []job.Leg{leg(east, 3*unit.Foot)}, Fixture: job.Fixture{Kind: word("bathtub")}, Slope: quarter},
			job.Run{Name: "shower " + s, Joins: word(branch), Place: at(4 * unit.Foot), Legs: []job.Leg{leg(east, 3*unit.Foot)}, Fixture: job.Fixture{Kind: word("shower"), Flow: job.Flow{V: 2500}}, Slope: quarter},
			job.Run{Name: "wc " + s, Joins: word(branch), Place: at(6 * unit.Foot), Legs: []job.Leg{leg(down, unit.Foot), leg(east, 2*unit.Foot)}, Fixture: job.Fixture{Kind: word("water closet"), Flush: job.Volume{V: 1280}}, Slope: quarter},
		)
	}
	return j
}
