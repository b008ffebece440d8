package propose_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/propose"
	"trapweir/internal/layout"
	"trapweir/internal/randomjob"
	"trapweir/report"
	"trapweir/shelf"
)

// effort is that of the program.
var effort, _ = shelf.Effort("", nil)

var update = flag.Bool("update", false, "write the listings anew")

// Every proposal over the examples, the practice cases and the examples of the rules holds
// when it is made by hand.
func TestProposalsHold(t *testing.T) {
	d := shelves(t)
	offered, cured, findings := 0, 0, 0
	ways := map[string]int{}
	for _, s := range corpus(t) {
		set, r := find(t, d, s)
		for i := range set.Answers {
			a := &set.Answers[i]
			findings++
			if len(a.Proposals) > 0 {
				cured++
			}
			for k := range a.Proposals {
				p := &a.Proposals[k]
				offered++
				way, _, _ := strings.Cut(p.ID, "/")
				way, _, _ = strings.Cut(way, " ")
				ways[way]++
				holds(t, d, s, r, a, p)
			}
		}
	}
	t.Logf("%d findings, %d of them with a proposal, %d proposals of %d kinds", findings, cured, offered, len(ways))
	if cured*10 < findings*8 {
		t.Errorf("only %d of %d findings have a proposal", cured, findings)
	}
	for _, way := range []string{
		"vent-through-roof", "vent-joins", "air-admittance-valve", "move-vent", "larger-trap", "larger-pipe", "larger-vent",
		"wet-vent-by", "combination", "island-loop", "closet-last", "join-past", "steeper", "flatter", "cleanout", "cleanouts",
		"fitting", "turn", "rise-first", "roll-takeoff", "raise-valve", "reach-valve", "join-further", "join-drain-and-vent",
		"trap-size", "p-trap", "terminal", "vent-slope", "backwater-valve", "valve-upstream", "by-gravity", "own-trap",
		"into-sink", "one-trap", "inlet-upstream", "even-inlets", "single-fittings", "foot-vent", "open-vent", "no-loop", "relief-vent",
		"lower-foot", "no-dip", "terminal-away", "terminal-over", "smaller-pipe", "deeper-studs", "along-joists", "under-joists",
		"inside-wall", "sleeve", "steeper-arm", "raise-upper-end", "clear",
		"relief-vents", "vent-stack", "straight-stack", "closet-bend", "hole", "strap", "double-studs", "notch-outside", "past-branch",
		"vents-together", "valves-together", "higher", "in-trench", "past-bend", "higher-loop",
	} {
		if ways[way] == 0 {
			t.Errorf("no job of the corpus is offered %s", way)
		}
	}
}

// The same over layouts made by chance.
func TestProposalsHoldByChance(t *testing.T) {
	d, ds := shelf.Of(layout.Books)
	if diag.Count(ds, diag.Error) > 0 {
		t.Fatal(ds[0].Message)
	}
	offered, unvented, cured := 0, 0, 0
	jobs, least := int64(300), 1000
	if testing.Short() {
		jobs, least = 60, 200
	}
	for seed := range jobs {
		s := sample{name: fmt.Sprintf("layout %03d", seed), text: layout.New(seed).Text()}
		set, r := find(t, d, s)
		for i := range set.Answers {
			a := &set.Answers[i]
			if a.Finding.Rule == "unvented-fixture" {
				unvented++
				if len(a.Proposals) > 0 {
					cured++
				}
			}
			for k := range a.Proposals {
				offered++
				holds(t, d, s, r, a, &a.Proposals[k])
			}
		}
		if t.Failed() {
			t.Fatalf("%s\n%s", s.name, s.text)
		}
	}
	t.Logf("%d proposals; %d of %d traps without a vent have one", offered, cured, unvented)
	if offered < least || cured*10 < unvented*7 {
		t.Errorf("%d proposals; only %d of %d traps without a vent have one", offered, cured, unvented)
	}
}

// The same over whole houses drawn by chance, with counties and shops over the books.
func TestProposalsHoldInRandomHouses(t *testing.T) {
	d := shelves(t)
	houses := rapid.Custom(randomjob.Draw)
	n, offered, findings := 40, 0, 0
	if testing.Short() {
		n = 15
	}
	for seed := range n {
		h := houses.Example(seed)
		runs, vents := make([]int, len(h.Runs)), make([]int, len(h.Vents))
		for i := range runs {
			runs[i] = i
		}
		for i := range vents {
			vents[i] = i
		}
		s := sample{name: fmt.Sprintf("house %d", seed), text: h.Text(runs, vents)}
		set, r := find(t, d, s)
		for i := range set.Answers {
			findings++
			for k := range set.Answers[i].Proposals {
				offered++
				holds(t, d, s, r, &set.Answers[i], &set.Answers[i].Proposals[k])
			}
		}
		if t.Failed() {
			t.Fatalf("%s\n%s", s.name, s.text)
		}
	}
	t.Logf("%d findings, %d proposals", findings, offered)
	if offered < n {
		t.Errorf("only %d proposals in %d houses", offered, n)
	}
}

// The examples and practice cases again under every book that a comparison takes: another
// book finds other things in the same house.
func TestProposalsHoldUnderEveryBook(t *testing.T) {
	if testing.Short() {
		t.Skip("the corpus under its own books is enough for a short look")
	}
	d := shelves(t)
	offered := 0
	for _, s := range corpus(t) {
		if !strings.HasSuffix(s.name, ".dwv.yaml") {
			continue
		}
		for _, book := range shelf.Compared() {
			s := s
			s.code = book
			s.name += " under " + book
			// A layer that does not lie over this book leaves nothing to look at.
			if !engine.Run(d, engine.Input{Name: s.name, Text: s.text, Code: book}).Solved() {
				continue
			}
			set, r := find(t, d, s)
			for i := range set.Answers {
				for k := range set.Answers[i].Proposals {
					offered++
					holds(t, d, s, r, &set.Answers[i], &set.Answers[i].Proposals[k])
				}
			}
		}
	}
	if offered < 300 {
		t.Errorf("only %d proposals", offered)
	}
}

// find solves a sample and looks for its proposals, and checks what holds for every list.
func find(t testing.TB, d engine.Data, s sample) (*propose.Set, *engine.Result) {
	t.Helper()
	in := engine.Input{Name: s.name, Text: s.text, Code: s.code}
	r := engine.Run(d, in)
	if !r.Solved() {
		t.Fatalf("%s is not solved: %v", s.name, r.Faults)
	}
	set := propose.For(d, in, r, "", effort)
	// A way that is begun is finished, with what it mends on the way.
	if set.Runs > set.Most+3 {
		t.Errorf("%s: the engine ran %d times", s.name, set.Runs)
	}
	if n := diag.Count(r.Findings, diag.Error) + diag.Count(r.Findings, diag.Warning); len(set.Answers) != n {
		t.Errorf("%s: %d answers for %d findings", s.name, len(set.Answers), n)
	}
	seen := map[int]string{}
	for i := range set.Answers {
		ps := set.Answers[i].Proposals
		if a := &set.Answers[i]; (len(ps)+len(a.Advice) == 0) != (a.Decide != "") {
			t.Errorf("%s: %s: %d proposals, advice %q, and to decide %q", s.name, a.Finding.Rule, len(ps), a.Advice, a.Decide)
		}
		for k := range ps {
			if text, ok := seen[ps[k].Number]; ok && text != string(ps[k].Text()) {
				t.Errorf("%s: number %d stands for two different things", s.name, ps[k].Number)
			}
			seen[ps[k].Number] = string(ps[k].Text())
			if k > 0 && ps[k-1].If && !ps[k].If {
				t.Errorf("%s: what hangs on an answer stands before what does not", s.name)
			}
			if k > 0 && ps[k-1].If == ps[k].If && weight(ps[k-1].Cost) > weight(ps[k].Cost) {
				t.Errorf("%s: %s stands before %s, which takes less", s.name, ps[k-1].ID, ps[k].ID)
			}
		}
	}
	for n := 1; n <= set.Count(); n++ {
		if _, ok := seen[n]; !ok {
			t.Errorf("%s: no proposal has number %d of %d", s.name, n, set.Count())
		}
	}
	return set, r
}

// weight is written here a second time, with the numbers of data/effort.yaml.
func weight(c propose.Cost) int64 {
	const foot = 304_800_000
	return int64(c.Pipe) + int64(2*c.Fittings+8*c.Roof+3*c.Walls+28*c.Valves+12*c.Moves)*foot + int64(c.Enlarged)/100*50
}

// The same job gives the same list.
func TestSameListTwice(t *testing.T) {
	d := shelves(t)
	for _, s := range corpus(t)[:40] {
		a, ra := find(t, d, s)
		b, rb := find(t, d, s)
		var x, y bytes.Buffer
		report.Fix(&x, ra, a)
		report.Fix(&y, rb, b)
		if x.String() != y.String() {
			t.Errorf("%s: two lists differ", s.name)
		}
	}
}

// Two listings as they are printed: a lavatory arm that dives, and an unvented laundry tub
// beside old work.
func TestListings(t *testing.T) {
	d := shelves(t)
	for _, name := range []string{"S14", "S20"} {
		text, err := os.ReadFile(root + "testdata/cases/" + name + ".dwv.yaml")
		if err != nil {
			t.Fatal(err)
		}
		set, r := find(t, d, sample{name: name + ".dwv.yaml", text: text})
		var b bytes.Buffer
		report.Fix(&b, r, set)
		file := filepath.Join("testdata", name+".golden")
		if *update {
			if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if b.String() != string(want) {
			t.Errorf("%s: the listing is\n%s\nand was\n%s", name, b.String(), want)
		}
	}
}

const tub = `job: a laundry tub (invented)
code: irc-2021
outlet: {to: house drain}
runs:
  main: {joins: outlet, size: 3, role: branch, legs: [E 20'], slope: 1/4" per ft}
  tub: {joins: main, at: 4', size: 1-1/2, legs: [N 10'], slope: 1/4" per ft, fixture: laundry tub}   # by the window
`

// A 1-1/2 in trap arm may be 6 ft long, and falls its diameter in 6 ft at 1/4 in per ft
// (IRC P3105.1 and P3105.2, Table P3105.1): a vent is offered there and not at the end.
func TestVentWithinTheLimit(t *testing.T) {
	p := want(t, tub, "unvented-fixture", "vent-through-roof/tub")
	if !strings.Contains(string(p.Text()), "at: 6'") {
		t.Errorf("the vent does not leave 6 ft from the weir:\n%s", p.Text())
	}
	if !strings.Contains(string(p.Text()), "# by the window") {
		t.Errorf("the comment is lost:\n%s", p.Text())
	}
}

// Where the book does not accept air admittance valves none is offered.
func TestNoValveWhereBarred(t *testing.T) {
	if p := offered(t, tub, "unvented-fixture", "air-admittance-valve/tub"); p == nil {
		t.Error("no valve is offered where the book has them")
	}
	text := strings.Replace(tub, "irc-2021", "upc-2021", 1)
	if p := offered(t, text, "unvented-fixture", "air-admittance-valve/tub"); p != nil {
		t.Errorf("a valve is offered where the book does not accept it: %s", p.Do)
	}
	want(t, text, "unvented-fixture", "vent-through-roof/tub")
}

// A 2 in arm may be 8 ft long where a 1-1/2 in one may be 6 ft (IRC Table P3105.1): 7 ft 6 in
// is cured by a larger trap, which takes 2 in pipe down to the outlet.
func TestLargerTrap(t *testing.T) {
	text := `job: a long arm (invented)
code: irc-2021
outlet: {to: house drain}
runs:
  d: {joins: outlet, size: 1-1/2, role: branch, legs: [down 3']}
  sink: {joins: d, size: 1-1/2, trap: 1-1/2, arm: E 7' 6", slope: 1/4" per ft, fixture: kitchen sink}
vents:
  v: {from: d, legs: [up 12'], ends: through roof}
`
	p := want(t, text, "trap-arm-too-long", "larger-trap/sink")
	j, ds := job.Read("", p.Text())
	if diag.Count(ds, diag.Error) > 0 {
		t.Fatal(ds)
	}
	for _, r := range j.Runs {
		if r.Size.V.String() != "2 in" {
			t.Errorf("%s is %s, want 2 in", r.Name, r.Size.V)
		}
	}
	if j.Runs[1].Fixture.Trap.V.String() != "2 in" {
		t.Errorf("the trap is %s", j.Runs[1].Fixture.Trap.V)
	}
}

// What is cured says what stays, and a name restricts the list.
func TestRestrictedToARun(t *testing.T) {
	d := shelves(t)
	text, err := os.ReadFile(root + "testdata/cases/S13.dwv.yaml")
	if err != nil {
		t.Fatal(err)
	}
	in := engine.Input{Name: "S13", Text: text}
	r := engine.Run(d, in)
	all := propose.For(d, in, r, "", effort)
	some := propose.For(d, in, r, "armT", effort)
	if len(some.Answers) == 0 || len(some.Answers) >= len(all.Answers) {
		t.Fatalf("%d of %d answers are about armT", len(some.Answers), len(all.Answers))
	}
	for _, a := range some.Answers {
		if a.Finding.On.Name != "armT" {
			t.Errorf("an answer is about %s", a.Finding.On.Name)
		}
		for _, p := range a.Proposals {
			if len(p.Leaves) == 0 {
				t.Errorf("%s says that nothing is left", p.ID)
			}
		}
	}
	if got := propose.For(d, in, r, "nobody", effort); len(got.Answers) != 0 {
		t.Errorf("%d answers are about nobody", len(got.Answers))
	}
}

// A job that is not solved, or clean, has no proposals.
func TestNothingToPropose(t *testing.T) {
	d := shelves(t)
	for _, text := range []string{"job: nothing yet\n", "code: [", "job: clean\noutlet: {to: house drain}\nruns:\n  d: {joins: outlet, legs: [down 3']}\n"} {
		in := engine.Input{Name: "x", Text: []byte(text)}
		if set := propose.For(d, in, engine.Run(d, in), "", effort); set.Count() != 0 {
			t.Errorf("%d proposals for\n%s", set.Count(), text)
		}
	}
}

// offered gives the proposal with an id for a finding of a rule, nil for none; it holds.
func offered(t *testing.T, text, rule, id string) *propose.Proposal {
	t.Helper()
	d := shelves(t)
	s := sample{name: "job", text: []byte(text)}
	set, r := find(t, d, s)
	for i := range set.Answers {
		a := &set.Answers[i]
		for k := range a.Proposals {
			if a.Finding.Rule == rule && a.Proposals[k].ID == id {
				holds(t, d, s, r, a, &a.Proposals[k])
				return &a.Proposals[k]
			}
		}
	}
	return nil
}

func want(t *testing.T, text, rule, id string) *propose.Proposal {
	t.Helper()
	p := offered(t, text, rule, id)
	if p == nil {
		t.Fatalf("no proposal %s for %s", id, rule)
	}
	return p
}
