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

// A leg of a made-up job.
type madeLeg struct {
	dir    int  // degrees clockwise from north; -1 plumb down
	slant  bool // it goes down at 45 degrees that way
	inches int
}

type madeRun struct {
	name, joins, fixture string
	at                   int // inches from the upper end of the receiver, -1 its upper end
	legs                 []madeLeg
	slope                int // eighths of an inch per foot; 0 not given
	size                 string
	cleanout             bool
	arm                  *madeLeg
	fitting, turn, place string
}

type madeJob struct {
	code   string
	invert int    // inches below the datum
	joists string // the way they lie, "" for a slab
	runs   []madeRun
	vents  []madeVent
}

// A vent goes up, perhaps some way across, and up again.
type madeVent struct {
	run    string
	across *madeLeg
}

// compass writes a direction: N, N30E, E, S45W.
func compass(d int) string {
	switch d %= 360; {
	case d%90 == 0:
		return [4]string{"N", "E", "S", "W"}[d/90]
	case d < 90:
		return fmt.Sprintf("N%dE", d)
	case d < 180:
		return fmt.Sprintf("S%dE", 180-d)
	case d < 270:
		return fmt.Sprintf("S%dW", d-180)
	default:
		return fmt.Sprintf("N%dW", 360-d)
	}
}

// text writes the job, turned by so many degrees and then mirrored east for west.
func (m *madeJob) text(turn int, mirror bool) string {
	var b strings.Builder
	word := func(l madeLeg) string {
		w := "down"
		if l.dir >= 0 {
			d := (l.dir + turn) % 360
			if mirror {
				d = (360 - d) % 360
			}
			if w = compass(d); l.slant {
				w = "down 45 " + w
			}
		}
		return fmt.Sprintf("%s %d\"", w, l.inches)
	}
	level := "slab: 4\", under: slab"
	if m.joists != "" {
		lie := m.joists
		if turn%180 != 0 {
			lie = map[string]string{"E-W": "N-S", "N-S": "E-W"}[lie]
		}
		level = "joists: 2x10, joist spacing: 16\", joist direction: " + lie + ", subfloor: 3/4\""
	}
	fmt.Fprintf(&b, "job: made\ncode: %s\nlevels:\n  first: {floor: 0', %s}\noutlet: {to: public sewer, invert: -%d\"}\nruns:\n", m.code, level, m.invert)
	for _, r := range m.runs {
		var legs []string
		for _, l := range r.legs {
			legs = append(legs, word(l))
		}
		fmt.Fprintf(&b, "  %s: {joins: %s, legs: [%s], level: first", r.name, r.joins, strings.Join(legs, ", "))
		if r.arm != nil {
			fmt.Fprintf(&b, ", arm: %s", word(*r.arm))
		}
		for _, x := range [][2]string{{"fitting", r.fitting}, {"turn", r.turn}, {"place", r.place}} {
			if x[1] != "" {
				fmt.Fprintf(&b, ", %s: %s", x[0], x[1])
			}
		}
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
			legs := "up 144\""
			if v.across != nil {
				legs = "up 60\", " + word(*v.across) + ", up 84\""
			}
			fmt.Fprintf(&b, "  vent %s: {from: %s, legs: [%s], ends: through roof}\n", v.run, v.run, legs)
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
		m.joists = rapid.SampledFrom([]string{"", "E-W", "N-S"}).Draw(t, "joists")
		way := func(name string) int { return 15 * rapid.IntRange(0, 23).Draw(t, name) }
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
				l := madeLeg{dir: -1, inches: rapid.IntRange(3, 300).Draw(t, "length")}
				if rapid.IntRange(0, 4).Draw(t, "plumb") > 0 {
					l.dir = way("way")
					l.slant = rapid.IntRange(0, 7).Draw(t, "slant") == 0
				}
				if k := len(r.legs); k > 0 && l.dir >= 0 && r.legs[k-1].dir >= 0 && (l.dir+180)%360 == r.legs[k-1].dir {
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
			r.fitting = rapid.SampledFrom([]string{"", "", "", "wye", "combo", "sanitary tee", "double sanitary tee", "double wye", "wye rolled 45"}).Draw(t, "fitting")
			r.turn = rapid.SampledFrom([]string{"", "", "", "short 90", "two 45s", "heel inlet 90"}).Draw(t, "turn")
			if m.joists != "" {
				r.place = rapid.SampledFrom([]string{"", "joists", "wall"}).Draw(t, "place")
			}
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
				if r.fixture != "water closet" && rapid.Bool().Draw(t, "has arm") {
					r.arm = &madeLeg{dir: way("arm"), inches: rapid.IntRange(3, 120).Draw(t, "arm length")}
					if first := r.legs[0].dir; first >= 0 && (first+180)%360 == r.arm.dir {
						r.arm.dir = first
					}
				}
				if rapid.Bool().Draw(t, "vented") {
					v := madeVent{run: r.name}
					if rapid.Bool().Draw(t, "across") {
						v.across = &madeLeg{dir: way("vent way"), inches: rapid.IntRange(6, 200).Draw(t, "vent length")}
					}
					m.vents = append(m.vents, v)
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
	for _, x := range r.Framing.Bores {
		out = append(out, fmt.Sprintf("bore %s %s %s %d", r.Net.Runs[x.Run].Name, x.What, x.Cut, x.Count))
	}
	sort.Strings(out)
	return out
}

// The same house turned to any side or mirrored has the same sizes, heights, findings, fittings
// and holes; mirrored, the fittings have the other hand.
func TestTurnedAndMirrored(t *testing.T) {
	d := load(t)
	rapid.Check(t, func(t *rapid.T) {
		m := made(true).Draw(t, "job")
		step := 15
		if m.joists != "" {
			step = 90 // joists lie square to the house
		}
		turn, mirror := step*rapid.IntRange(0, 360/step-1).Draw(t, "turn"), rapid.Bool().Draw(t, "mirror")
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

// Whatever is said of a house points at a line of its job.
func TestFindingsPointAtALine(t *testing.T) {
	d := load(t)
	rapid.Check(t, func(t *rapid.T) {
		for _, f := range run(t, d, made(false).Draw(t, "job").text(0, false)).Findings {
			if f.At.IsZero() {
				t.Fatalf("%s points at no line: %s", f.Rule, f.Message)
			}
		}
	})
}
