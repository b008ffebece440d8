// Package layout makes small layouts of traps and vents by chance, which a test can change
// before they are written down: for what must hold in any layout. A seed always gives the
// same one. All of it is invented.
package layout

import (
	"fmt"
	"math/rand"
	"strings"
)

// A Job is a small job of one to seven fixtures, made from a seed, that a test may change
// before it is written down. The same seed always gives the same one.
type Job struct {
	Code  string
	Runs  []Run
	Vents []Vent
}

// Run is one drain. Lengths are in inches; a length of 0 is not written.
type Run struct {
	Name, Joins string
	At          int    // inches from the receiver's upper end; 0 is the upper end
	Way         string // of the arm and of the level legs
	Arm         int
	Drop        int // after the arm
	Level       int // after the drop
	Size        string
	Fixture     string
	Floor       string
	Slope       string
	Existing    bool
	Units       string // what it carries from a part that is not drawn
}

// Vent is one vent that rises to the roof, or ends in what End names.
type Vent struct {
	Name, From, At, End, Size string
	Up                        int
}

var kinds = []string{"lavatory", "lavatory", "bathtub", "shower", "water closet", "kitchen sink", "clothes washer", "laundry tub", "floor drain"}

// Books that layouts are made for, one of each family.
var Books = []string{"irc-2021", "ipc-2021", "upc-2021"}

// New makes a layout from a seed: a drain, perhaps a stack with branches on two floors, and up
// to seven fixtures, some of them vented.
func New(seed int64) *Job {
	r := rand.New(rand.NewSource(seed))
	j := &Job{Code: Books[r.Intn(len(Books))]}
	pick := func(s ...string) string { return s[r.Intn(len(s))] }
	size := func(s ...string) string {
		if r.Intn(3) == 0 {
			return pick(s...)
		}
		return ""
	}
	j.Runs = append(j.Runs, Run{Name: "main", Joins: "outlet", Way: "E", Level: 240 + 12*r.Intn(20), Slope: `1/4" per ft`, Size: size("3", "4")})
	type receiver struct {
		name, floor string
		room        int
	}
	recv := []receiver{{"main", "first", 200}}
	if r.Intn(2) == 0 {
		j.Runs = append(j.Runs, Run{Name: "stack", Joins: "main", At: 24 * r.Intn(3), Drop: 120 + 6*r.Intn(10), Size: size("3", "4")})
		recv = append(recv, receiver{"stack", "second", 60})
		if r.Intn(2) == 0 {
			j.Runs = append(j.Runs, Run{Name: "branch", Joins: "stack", Way: pick("N", "S", "W"), Level: 48 + 12*r.Intn(6), Slope: `1/4" per ft`, Size: size("2", "3")})
			recv = append(recv, receiver{"branch", "second", 48})
		}
	}
	if r.Intn(2) == 0 {
		j.Runs = append(j.Runs, Run{Name: "bath branch", Joins: "main", At: 100 + 12*r.Intn(5), Way: pick("N", "S"), Level: 60 + 12*r.Intn(6), Slope: `1/4" per ft`, Size: size("2", "3")})
		recv = append(recv, receiver{"bath branch", "first", 60})
	}
	for i := range 1 + r.Intn(7) {
		to := recv[r.Intn(len(recv))]
		f := Run{
			Name: fmt.Sprintf("f%d", i), Joins: to.name, At: 6 * r.Intn(to.room/6), Way: pick("N", "S", "W", "NW"), Fixture: pick(kinds...),
			Floor: to.floor, Arm: 6 + 6*r.Intn(14), Slope: `1/4" per ft`, Size: size("1-1/2", "2"),
		}
		if f.Fixture == "water closet" && f.Size != "" {
			f.Size = "3"
		}
		if r.Intn(3) > 0 {
			f.Drop = 6 + 6*r.Intn(6)
			if r.Intn(2) == 0 {
				f.Level = 12 + 12*r.Intn(4)
			}
		}
		f.Existing = r.Intn(8) == 0
		j.Runs = append(j.Runs, f)
		switch r.Intn(5) {
		case 0, 1:
			j.Vents = append(j.Vents, Vent{Name: f.Name + " air", From: f.Name, At: "end of arm", Up: 120 + 12*r.Intn(12), End: "through roof"})
		case 2:
			if r.Intn(3) == 0 {
				j.Vents = append(j.Vents, Vent{Name: f.Name + " air", From: f.Name, At: "end of arm", Up: 8, End: "air admittance valve"})
			}
		}
	}
	if len(recv) > 1 && r.Intn(2) == 0 {
		top := recv[1+r.Intn(len(recv)-1)]
		j.Vents = append(j.Vents, Vent{Name: top.name + " air", From: top.name, At: "upper end", Up: 144, End: "through roof", Size: size("2", "3")})
	}
	if r.Intn(6) == 0 {
		j.Runs = append(j.Runs, Run{Name: "old part", Joins: "main", At: 12, Way: "N", Level: 60, Slope: `1/4" per ft`, Units: "6"})
	}
	return j
}

// Fixtures lists the runs with a fixture, as indexes into Runs.
func (j *Job) Fixtures() []int {
	var out []int
	for i := range j.Runs {
		if j.Runs[i].Fixture != "" {
			out = append(out, i)
		}
	}
	return out
}

// Copy is a job that can be changed without changing this one.
func (j *Job) Copy() *Job {
	return &Job{j.Code, append([]Run(nil), j.Runs...), append([]Vent(nil), j.Vents...)}
}

// Text writes the job file.
func (j *Job) Text() []byte {
	var b strings.Builder
	b.WriteString("job: made by chance (invented)   # not a house\ncode: " + j.Code + "\noutlet: {to: public sewer}\nruns:\n")
	for i := range j.Runs {
		r := &j.Runs[i]
		f := []string{"joins: " + r.Joins}
		put := func(key, value string) {
			if value != "" {
				f = append(f, key+": "+value)
			}
		}
		if r.Joins != "outlet" && r.At > 0 {
			put("at", fmt.Sprintf(`%d"`, r.At))
		}
		if r.Arm > 0 {
			put("arm", fmt.Sprintf(`%s %d"`, r.Way, r.Arm))
		}
		var legs []string
		if r.Drop > 0 {
			legs = append(legs, fmt.Sprintf(`down %d"`, r.Drop))
		}
		if r.Level > 0 {
			legs = append(legs, fmt.Sprintf(`%s %d"`, r.Way, r.Level))
		}
		if len(legs) > 0 {
			put("legs", "["+strings.Join(legs, ", ")+"]")
		}
		put("slope", r.Slope)
		put("size", r.Size)
		put("fixture", r.Fixture)
		put("level", r.Floor)
		if r.Existing {
			put("existing", "true")
		}
		if r.Units != "" {
			put("carries", "{units: "+r.Units+", level: second}")
		}
		fmt.Fprintf(&b, "  %s: {%s}   # %s stays\n", r.Name, strings.Join(f, ", "), r.Name)
	}
	if len(j.Vents) > 0 {
		b.WriteString("vents:\n")
	}
	for i := range j.Vents {
		v := &j.Vents[i]
		size := ""
		if v.Size != "" {
			size = ", size: " + v.Size
		}
		fmt.Fprintf(&b, "  %s: {from: %s, at: %s, legs: [up %d\"], ends: %s%s}\n", v.Name, v.From, v.At, v.Up, v.End, size)
	}
	return []byte(b.String())
}
