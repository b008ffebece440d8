package elevation_test

import (
	"fmt"
	"sort"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/fitting"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// A leg of a made-up job: a direction in eighths of a turn clockwise from north, or down.
type madeLeg struct {
	dir    int // 0 to 7; -1 down
	inches int
}

type madeRun struct {
	name, joins, fixture string
	at                   int // inches from the upper end of the receiver, -1 its upper end
	legs                 []madeLeg
	slope                int // eighths of an inch per foot; 0 not given
	size                 string
	cleanout             bool
}

type madeJob struct {
	code   string
	invert int // inches below the datum
	runs   []madeRun
	vents  []string // runs with a vent
}

var compassWords = [8]string{"N", "NE", "E", "SE", "S", "SW", "W", "NW"}

// text writes the job, turned by eighths of a turn and then mirrored east for west.
func (m *madeJob) text(turn int, mirror bool) string {
	var b strings.Builder
	fmt.Fprintf(&b, "job: made\ncode: %s\nlevels:\n  first: {floor: 0', slab: 4\", under: slab}\noutlet: {to: public sewer, invert: -%d\"}\nruns:\n", m.code, m.invert)
	for _, r := range m.runs {
		var legs []string
		for _, l := range r.legs {
			word := "down"
			if l.dir >= 0 {
				d := (l.dir + turn) % 8
				if mirror {
					d = (8 - d) % 8
				}
				word = compassWords[d]
			}
			legs = append(legs, fmt.Sprintf("%s %d\"", word, l.inches))
		}
		fmt.Fprintf(&b, "  %s: {joins: %s, legs: [%s], level: first", r.name, r.joins, strings.Join(legs, ", "))
		if r.at >= 0 {
			fmt.Fprintf(&b, ", at: %d\"", r.at)
		}
		if r.slope > 0 {
			fmt.Fprintf(&b, ", slope: %d/8\" per ft", r.slope)
		}
		if r.size != "" {
			fmt.Fprintf(&b, ", size: %s", r.size)
		}
		if r.fixture != "" {
			fmt.Fprintf(&b, ", fixture: %s", r.fixture)
		}
		if r.cleanout {
			b.WriteString(", cleanouts: [upper end]")
		}
		b.WriteString("}\n")
	}
	if len(m.vents) > 0 {
		b.WriteString("vents:\n")
		for _, v := range m.vents {
			fmt.Fprintf(&b, "  vent %s: {from: %s, legs: [up 144\"], ends: through roof}\n", v, v)
		}
	}
	return b.String()
}

func made(slopes bool) *rapid.Generator[*madeJob] {
	return rapid.Custom(func(t *rapid.T) *madeJob {
		m := &madeJob{
			code:   rapid.SampledFrom([]string{"irc-2021", "ipc-2021", "upc-2021"}).Draw(t, "code"),
			invert: rapid.IntRange(20, 200).Draw(t, "invert"),
		}
		count := rapid.IntRange(1, 7).Draw(t, "runs")
		length := map[string]int{}
		for i := range count {
			r := madeRun{name: fmt.Sprintf("r%d", i), joins: "outlet", at: -1}
			if i > 0 {
				r.joins = fmt.Sprintf("r%d", rapid.IntRange(0, i-1).Draw(t, "joins"))
				if rapid.Bool().Draw(t, "along") {
					r.at = rapid.IntRange(1, length[r.joins]).Draw(t, "at")
				}
			}
			for range rapid.IntRange(1, 3).Draw(t, "legs") {
				l := madeLeg{rapid.IntRange(-1, 7).Draw(t, "way"), rapid.IntRange(3, 300).Draw(t, "length")}
				if k := len(r.legs); k > 0 && l.dir >= 0 && r.legs[k-1].dir >= 0 && (l.dir+4)%8 == r.legs[k-1].dir {
					l.dir = r.legs[k-1].dir // no pipe turns back on itself
				}
				r.legs = append(r.legs, l)
				length[r.name] += l.inches
			}
			r.slope = rapid.IntRange(1, 6).Draw(t, "slope")
			if !slopes && rapid.IntRange(0, 2).Draw(t, "has slope") == 0 {
				r.slope = 0
			}
			r.size = rapid.SampledFrom([]string{"", "", "2", "3", "4"}).Draw(t, "size")
			r.cleanout = rapid.Bool().Draw(t, "cleanout")
			m.runs = append(m.runs, r)
		}
		for i := range m.runs {
			r := &m.runs[i]
			leaf := true
			for _, x := range m.runs {
				leaf = leaf && x.joins != r.name
			}
			if leaf {
				r.fixture = rapid.SampledFrom([]string{"water closet", "lavatory", "bathtub", "kitchen sink", "clothes washer", "shower"}).Draw(t, "fixture")
				if rapid.Bool().Draw(t, "vented") {
					m.vents = append(m.vents, r.name)
				}
			}
		}
		return m
	})
}

// run solves without failing on faults: some made-up jobs cannot be.
func run(t *rapid.T, d engine.Data, text string) *engine.Result {
	r := engine.Run(d, engine.Input{Name: "made.dwv.yaml", Text: []byte(text)})
	if !r.Solved() {
		t.Skip("cannot be solved")
	}
	return r
}

// Water runs down: the upper end of every piece lies no lower than its lower end, and what
// joins meets centre on centre.
func TestHeightsRiseUpstream(t *testing.T) {
	d := load(t)
	rapid.Check(t, func(t *rapid.T) {
		r := run(t, d, made(false).Draw(t, "job").text(0, false))
		for i := range r.Net.Segs {
			up, low := r.Levels.CentreUp[i], r.Levels.CentreLow[i]
			if up.Known && low.Known && up.V < low.V {
				t.Fatalf("segment %d of %s rises with the flow", i, r.Net.RunOf(network.SegID(i)).Name)
			}
			if s := r.Net.Segs[i].Down; s != network.None && low.Known && r.Levels.CentreUp[s] != low {
				t.Fatalf("segment %d of %s does not meet what it joins", i, r.Net.RunOf(network.SegID(i)).Name)
			}
		}
	})
}

// Raising the outlet never creates fall: what is to spare at any fixture, and the steepest
// slope that fits any run, only get less, by as much as the outlet rose.
func TestRaisingTheOutlet(t *testing.T) {
	d := load(t)
	rapid.Check(t, func(t *rapid.T) {
		m := made(false).Draw(t, "job")
		a := run(t, d, m.text(0, false))
		by := rapid.IntRange(1, 15).Draw(t, "raised")
		m.invert -= by
		b := run(t, d, m.text(0, false))
		for i := range a.Levels.Serve {
			x, y := a.Levels.Serve[i], b.Levels.Serve[i]
			if x.SpareKnown != y.SpareKnown || x.SpareKnown && x.Spare-y.Spare != unit.Length(by)*unit.Inch {
				t.Fatalf("fixture %d has %v to spare, and %v with the outlet %d in higher", i, x.Spare, y.Spare, by)
			}
		}
		for i := range a.Levels.Run {
			x, y := a.Levels.Run[i], b.Levels.Run[i]
			if x.SteepestKnown != y.SteepestKnown || x.SteepestKnown && y.Steepest.Cmp(x.Steepest) >= 0 {
				t.Fatalf("%s may be as steep as %v, and %v with the outlet higher", a.Net.Runs[i].Name, x.Steepest, y.Steepest)
			}
		}
		if count(a, "invert-conflict") > count(b, "invert-conflict") {
			t.Fatal("raising the outlet mends a conflict")
		}
	})
}

func count(r *engine.Result, rule string) int {
	n := 0
	for _, f := range r.Findings {
		if f.Rule == rule && f.Severity == diag.Error {
			n++
		}
	}
	return n
}

// summary is what must not depend on how the house lies on the lot: sizes, findings and
// fittings. flip exchanges left and right.
func summary(r *engine.Result, flip bool) []string {
	var out []string
	for i := range r.Net.Runs {
		for k, s := range r.Net.Runs[i].Segs {
			out = append(out, fmt.Sprintf("size %s %d %v %v", r.Net.Runs[i].Name, k, r.Sizes.Size[s], r.Levels.InvertUp[s]))
		}
	}
	for _, f := range r.Findings {
		out = append(out, fmt.Sprintf("finding %v %s %s %s", f.Severity, f.Rule, f.On.Name, f.Message))
	}
	for _, f := range r.Fittings {
		hand := f.Hand
		if flip && hand != fitting.NoHand {
			hand = fitting.Left + fitting.Right - hand
		}
		name := ""
		if f.At.Run != network.None {
			name = r.Net.Runs[f.At.Run].Name
		}
		out = append(out, fmt.Sprintf("fitting %s %v %s %v %d %d %v", name, f.Does, f.Kind, f.Size(), f.Turn, f.Count, hand))
	}
	sort.Strings(out)
	return out
}

// The same house turned or mirrored has the same sizes, findings and fittings; mirrored,
// the fittings have the other hand.
func TestTurnedAndMirrored(t *testing.T) {
	d := load(t)
	rapid.Check(t, func(t *rapid.T) {
		m := made(true).Draw(t, "job")
		turn, mirror := rapid.IntRange(0, 7).Draw(t, "turn"), rapid.Bool().Draw(t, "mirror")
		a, b := summary(run(t, d, m.text(0, false)), mirror), summary(run(t, d, m.text(turn, mirror)), false)
		for i := range max(len(a), len(b)) {
			switch {
			case i >= len(a):
				t.Fatalf("only when turned: %s", b[i])
			case i >= len(b):
				t.Fatalf("only as drawn: %s", a[i])
			case a[i] != b[i]:
				t.Fatalf("as drawn %s\nturned   %s", a[i], b[i])
			}
		}
	})
}
