package framing_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"trapweir/data"
	"trapweir/engine"
	"trapweir/engine/catalog"
	"trapweir/engine/codebook"
	"trapweir/engine/elevation"
	"trapweir/engine/unit"
)

var loaded engine.Data

func solve(t testing.TB, text string) *engine.Result {
	t.Helper()
	if loaded.Books == nil {
		var files []codebook.File
		for _, f := range data.Books() {
			files = append(files, codebook.File(f))
		}
		lib, _ := codebook.ReadLibrary(files)
		cat, _ := catalog.Read([]codebook.File{{Name: "fixtures.yaml", Text: data.Get("fixtures.yaml")}})
		loaded = engine.Data{Books: lib, Catalog: cat, Default: "irc-2021"}
	}
	r := engine.Run(loaded, engine.Input{Name: "t.dwv.yaml", Text: []byte(text)})
	for _, f := range r.Faults {
		t.Fatalf("line %d: %s", f.At.Line, f.Message)
	}
	return r
}

// says reports whether a rule found fault, or asked.
func says(r *engine.Result, rule string) string {
	for _, f := range r.Findings {
		if f.Rule == rule {
			return f.Severity.String()
		}
	}
	return ""
}

const inHouse = "job: t\ncode: %s\nlevels:\n  first: {%s}\noutlet: {to: house drain}\nruns:\n  d: {joins: outlet, level: first, carries: {units: 2}, %s}\n"

// Which pipe goes through which joist. Source: the framing facts' table, computed from a
// third of the depth and 2 in at both edges (IRC R502.8.1, public study pages).
func TestPipeThroughJoists(t *testing.T) {
	want := map[string]string{
		"2x6": "no no no no", "2x8": "yes yes no no", "2x10": "yes yes no no", "2x12": "yes yes yes no", "2x14": "yes yes yes no",
	}
	for joist, list := range want {
		var got []string
		for _, size := range []string{"1-1/2", "2", "3", "4"} {
			r := solve(t, fmt.Sprintf(inHouse, "irc-2021", "joists: "+joist, `size: `+size+`, legs: [E 4'], slope: 1/4" per ft, through: {joists: 1}`))
			word := "yes"
			if says(r, "joist-hole") == "error" {
				word = "no"
			}
			got = append(got, word)
		}
		if s := strings.Join(got, " "); s != list {
			t.Errorf("%s: %s, want %s", joist, s, list)
		}
	}
}

// How far a drain can cross joists before it leaves the band that may be bored: it holds at
// the printed length and not a sixteenth of an inch past it. Source: the framing facts'
// table (hole 1/8 in over the pipe, common practice); 2 in in 2x8 is its cap, 2-5/12 in.
func TestFallAcrossJoists(t *testing.T) {
	for _, tt := range []struct{ joist, size, slope, run, past string }{
		{"2x8", "1-1/2", "1/4", "4.9'", "4.91'"},
		{"2x8", "2", "1/4", "40 in", "40-1/16 in"},
		{"2x10", "1-1/2", "1/4", "12.9'", "12.91'"},
		{"2x10", "2", "1/4", "11'", "11' 1/16\""},
		{"2x10", "2", "1/8", "22'", "22' 1/16\""},
		{"2x12", "2", "1/4", "19'", "19' 1/16\""},
		{"2x12", "3", "1/4", "14.5'", "14.51'"},
		{"2x14", "3", "1/4", "22.5'", "22.51'"},
	} {
		for _, x := range []struct{ spacing, want string }{{tt.run, ""}, {tt.past, "error"}} {
			r := solve(t, fmt.Sprintf(inHouse, "irc-2021", "joists: "+tt.joist+", joist spacing: "+x.spacing, `size: `+tt.size+`, legs: [E 60'], slope: `+tt.slope+`" per ft, through: {joists: 2}`))
			if got := says(r, "joist-hole"); got != x.want {
				t.Errorf("%s in %s at %s in per ft over %s: %q, want %q", tt.size, tt.joist, tt.slope, x.spacing, got, x.want)
			}
		}
	}
}

// The largest hole and notch in a joist 7-1/2 in deep: 2-1/2 in, 1-1/4 in deep and 2-1/2 in long. Source: worked
// example WE-48 (IRC R502.8).
func TestShares(t *testing.T) {
	r := solve(t, fmt.Sprintf(inHouse, "irc-2021", "joists: 2x8", "legs: [E 4']"))
	tab, _ := r.Book.Table("drill-notch")
	depth := 7*unit.Inch + unit.Inch/2
	for key, want := range map[string]string{"joist hole": "2-1/2 in", "joist notch in the outer thirds": "1-1/4 in", "joist notch at the end": "1-7/8 in", "joist notch, how long": "2-1/2 in"} {
		row, ok := tab.RowByKey(key)
		if !ok || row.Cells[0].Share.Drop(depth).Inches() != want {
			t.Errorf("%s: %+v, want %s", key, row, want)
		}
	}
}

// What goes into a wall. Source: the framing facts' table of pipe and hubs in walls.
func TestWalls(t *testing.T) {
	for _, tt := range []struct{ material, size, studs, want string }{
		{"pvc", "1-1/2", "2x4", ""},
		{"pvc", "2", "2x4", ""},
		{"pvc", "3", "2x4", "warning"},
		{"pvc", "3", "2x6", ""},
		{"pvc", "4", "2x4", "warning"},
		{"pvc", "4", "2x6", ""},
		{"cast iron", "3", "2x4", "warning"},
		{"cast iron", "4", "2x6", ""},
		{"copper", "3", "2x4", ""},
		{"copper", "3", "2x6", ""},
	} {
		r := solve(t, fmt.Sprintf(inHouse, "irc-2021", "studs: "+tt.studs, "size: "+tt.size+", material: "+tt.material+", legs: [down 12'], place: wall"))
		if got := says(r, "wall-room"); got != tt.want {
			t.Errorf("%s %s in %s: %q, want %q", tt.size, tt.material, tt.studs, got, tt.want)
		}
	}
	// Pipe with hubs of its own: 4 in reaches 5.68 in across and goes into neither wall.
	r := solve(t, fmt.Sprintf(inHouse, "irc-2021", "studs: 2x6", "size: 4, material: cast iron, joint: caulked, legs: [down 12'], place: wall"))
	if got := says(r, "wall-room"); got != "warning" {
		t.Errorf("4 in hub pipe in 2x6: %q", got)
	}
}

// What holds 20 ft of pipe. Source: IRC Table P2605.1 (2018, page scan), P2605.1 note b.
func TestSupports(t *testing.T) {
	for _, tt := range []struct{ material, size, leg, want string }{
		{"pvc", "3", "E 20'", "6 hanger, every 4 ft"},
		{"pvc", "3", "E 20' 1/64\"", "7 hanger, every 4 ft"},
		{"abs", "2", "E 4'", "2 hanger, every 4 ft"},
		{"cast iron", "4", "E 20'", "5 hanger, every 5 ft"},
		{"copper", "1-1/4", "E 20'", "5 hanger, every 6 ft"},
		{"copper", "1-1/2", "E 20'", "3 hanger, every 10 ft"},
		{"galvanized steel", "2", "E 20'", "3 hanger, every 12 ft"},
		{"pvc", "3", "down 20'", "2 riser strap, every 10 ft"},
		{"pvc", "2", "down 20'", "2 riser strap, every 10 ft, 2 guides"},
		{"pvc", "2", "down 4' 11\"", "1 riser strap, every 10 ft"},
		{"pvc", "2", "down 1' 11\"", ""},
		{"cast iron", "3", "down 20'", "2 riser strap, every 15 ft"},
		{"clay", "4", "E 20'", "? hanger: the book gives no spacing for clay that lies level"},
	} {
		r := solve(t, fmt.Sprintf(inHouse, "irc-2021", "floor: 0'", "size: "+tt.size+", material: "+tt.material+", legs: ["+tt.leg+"]"))
		got := ""
		for _, h := range r.Framing.Held {
			switch {
			case h.Why != "":
				got = "? " + h.Word() + ": " + h.Why
			case h.Count > 0:
				got = fmt.Sprintf("%d %s, every %s", h.Count, h.Word(), h.Every)
				if h.Guides > 0 {
					got += fmt.Sprintf(", %d guides", h.Guides)
				}
			}
		}
		if got != tt.want {
			t.Errorf("%s %s %s: %q, want %q", tt.material, tt.size, tt.leg, got, tt.want)
		}
	}
}

// What a run does below the joists is not bored through them: 3 ft along joists that are 7-1/4 in
// deep, down, and 6 ft across. (Arithmetic; 2x8: 7-1/4 in, the American softwood lumber standard.)
func TestCrossingEndsBelowJoists(t *testing.T) {
	for down, want := range map[string]int{`7-1/4"`: 0, `7"`: 1} {
		r := solve(t, "job: t\ncode: irc-2021\nlevels: {first: {floor: 0', joists: 2x8, joist spacing: 16\", joist direction: N-S}}\noutlet: {to: house drain}\nruns:\n  a: {joins: outlet, size: 2, place: joists, level: first, legs: [S 3', down "+down+", E 6'], slope: 1/4\" per ft, carries: {units: 4}}\n")
		if got := len(r.Framing.Bores); got != want {
			t.Errorf("down %s: %d crossings, want %d", down, got, want)
		}
	}
}

// Under the UPC plastic is held at its base and at each floor, with a guide at mid story: from
// 1 ft over the lowest floor to 1 ft over the third it passes two floors. Source: UPC Table 313.3,
// from memory.
func TestSupportsByFloor(t *testing.T) {
	r := solve(t, "job: t\ncode: upc-2021\nlevels:\n  a: {floor: 0'}\n  b: {floor: 9'}\n  c: {floor: 18'}\noutlet: {to: house drain, invert: 1'}\nruns:\n  st: {joins: outlet, size: 3, legs: [down 18'], carries: {units: 4}}\n")
	if len(r.Framing.Held) != 1 {
		t.Fatalf("%d stretches", len(r.Framing.Held))
	}
	if h := r.Framing.Held[0]; !h.ByFloor || h.Count != 3 || h.Guides != 2 {
		t.Errorf("held %d times with %d guides, want 3 and 2: %+v", h.Count, h.Guides, h)
	}
}

// Where plates go, and how many: on both faces where less than 1-1/4 in of wood is left
// (1 in under the UPC). Source: IRC P2603.2.1 (2018 page 645); UPC 312.9 as quoted.
func TestPlates(t *testing.T) {
	for _, tt := range []struct {
		code, levels, run, want string
	}{
		{"irc-2021", "studs: 2x4", "size: 2, legs: [E 4'], through: {studs: 3}", "studs 6"},
		{"irc-2021", "studs: 2x6", "size: 1-1/2, legs: [E 4'], through: {studs: 3}", ""},
		{"irc-2021", "studs: 2x6", "size: 3, legs: [E 4'], through: {studs: 3}", "studs 6"},
		{"upc-2021", "studs: 2x6", "size: 3, legs: [E 4'], through: {studs: 3}", "studs 6"},
		{"irc-2021", "studs: 2x4", "size: 2, material: cast iron, legs: [E 4'], through: {studs: 3}", ""},
		{"irc-2021", "studs: 2x4", "size: 2, legs: [down 9'], through: {top plate: 1}", "top plate 2"},
		{"irc-2021", "studs: 2x4", "size: 2, legs: [E 4'], through: {studs: 3, cut: notch}", "studs 3"},
		{"irc-2021", "studs: 2x4", "size: 2, legs: [E 4'], through: studs", "studs ?"},
		{"irc-2021", "joists: 2x10", "size: 2, legs: [E 4'], through: {joists: 3}", ""},
	} {
		r := solve(t, fmt.Sprintf(inHouse, tt.code, tt.levels, tt.run))
		var got []string
		for _, p := range r.Framing.Plates {
			n := fmt.Sprint(p.Count)
			if p.Why != "" {
				n = "?"
			}
			got = append(got, p.What+" "+n)
		}
		if s := strings.Join(got, ", "); s != tt.want {
			t.Errorf("%s, %s: %q, want %q", tt.code, tt.run, s, tt.want)
		}
	}
}

// A stack in a wall passes the sole plate of the floor that it comes down through and the
// top plate under the joists over it, by its heights. Arithmetic.
func TestPlatesPassed(t *testing.T) {
	r := solve(t, `
job: t
levels:
  second: {floor: 9' 1", joists: 2x10, studs: 2x4, under: first}
  first:  {floor: 0', joists: 2x10, studs: 2x6, under: crawl space}
outlet: {to: house drain, invert: -2'}
runs:
  m: {joins: outlet, size: 3, legs: [E 4'], slope: 1/4" per ft}
  d: {joins: m, level: first, size: 3, legs: [down 14'], place: wall, carries: {units: 4}}
`)
	var got []string
	for _, b := range r.Framing.Bores {
		got = append(got, b.What+" of "+b.Level.Name)
	}
	slices.Sort(got)
	if s := strings.Join(got, ", "); s != "sole plate of first, sole plate of second, top plate of first" {
		t.Errorf("passes %s", s)
	}
}

// Hubs are wider than their pipe, and the least is not over the most.
func TestHubs(t *testing.T) {
	for _, m := range []string{"pvc", "abs", "cast iron", "cast iron, hubbed", "copper"} {
		for _, s := range []string{"1-1/4", "1-1/2", "2", "3", "4", "5", "6"} {
			z, err := unit.ParseSize(s)
			if err != nil {
				t.Fatal(err)
			}
			least, most, ok := elevation.Hub(m, z)
			od, known := elevation.Outside(strings.TrimSuffix(m, ", hubbed"), z)
			if ok && (least > most || known && least <= od) {
				t.Errorf("%s %s: %v to %v over %v", m, s, least, most, od)
			}
		}
	}
	if _, _, ok := elevation.Hub("clay", 0); ok {
		t.Error("clay has no hub on record")
	}
}
