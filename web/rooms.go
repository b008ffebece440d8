package web

import (
	"errors"
	"fmt"
	"strings"

	"trapweir/engine/job"
	"trapweir/engine/unit"
)

// Room is a room with its usual rough-in, to begin with and to adjust. The dimensions are
// what rooms are commonly built to (common practice): closet flange 12 in off the wall,
// lavatory trap arm about 20 in and kitchen sink about 18 in above the floor, standpipe 30
// in above its trap weir, fall of 1/4 in a foot. Code has the last word on every one.
type Room struct {
	Kind string `json:"kind"`
	Say  string `json:"say"`
	runs []pipe
	vent pipe
}

// pipe is a run or vent of a room. Names and receivers that begin with "~" get the room's
// name in its place; the receiver "^" is what the room drains into. Directions are those
// of a room whose branch flows east.
type pipe struct {
	name string
	keys []job.Field
}

func p(name string, kv ...string) pipe {
	x := pipe{name: name}
	for i := 0; i+1 < len(kv); i += 2 {
		f := job.Field{Key: kv[i], Value: kv[i+1]}
		if f.Key == "legs" {
			f.Value, f.List = "", strings.Split(kv[i+1], ", ")
		}
		x.keys = append(x.keys, f)
	}
	return x
}

const quarter = `1/4" per ft`

var rooms = []Room{
	{
		Kind: "bath with tub", Say: "water closet, lavatory and tub; the lavatory's drain vents all three",
		runs: []pipe{
			p("~ branch", "joins", "^", "legs", "E 6'", "slope", quarter),
			p("~ lav", "joins", "~ branch", "arm", "W 2'", "legs", `down 2' 2"`, "slope", quarter, "fixture", "lavatory"),
			p("~ tub", "joins", "~ branch", "at", "2'", "legs", "S 2'", "slope", quarter, "fixture", "bathtub"),
			p("~ wc", "joins", "~ branch", "at", "4'", "legs", `down 6", S 1' 6"`, "slope", quarter, "fixture", "water closet", "flush", "1.28 gal"),
		},
		vent: p("~ vent", "from", "~ lav", "legs", "up 12'", "ends", "through roof"),
	},
	{
		Kind: "bath with shower", Say: "water closet, lavatory and shower; the lavatory's drain vents all three",
		runs: []pipe{
			p("~ branch", "joins", "^", "legs", "E 7'", "slope", quarter),
			p("~ lav", "joins", "~ branch", "arm", "W 2'", "legs", `down 2' 2"`, "slope", quarter, "fixture", "lavatory"),
			p("~ shower", "joins", "~ branch", "at", `2' 6"`, "legs", `S 2' 6"`, "slope", quarter, "fixture", "shower", "flow", "2.5 gpm"),
			p("~ wc", "joins", "~ branch", "at", "5'", "legs", `down 6", S 1' 6"`, "slope", quarter, "fixture", "water closet", "flush", "1.28 gal"),
		},
		vent: p("~ vent", "from", "~ lav", "legs", "up 12'", "ends", "through roof"),
	},
	{
		Kind: "powder room", Say: "water closet and lavatory; the lavatory's drain vents both",
		runs: []pipe{
			p("~ wc", "joins", "^", "legs", `down 6", E 2' 6"`, "slope", quarter, "fixture", "water closet", "flush", "1.28 gal"),
			p("~ lav", "joins", "~ wc", "at", `1' 6"`, "arm", "N 2'", "legs", `down 2' 4", S 2'`, "slope", quarter, "fixture", "lavatory"),
		},
		vent: p("~ vent", "from", "~ lav", "legs", "up 12'", "ends", "through roof"),
	},
	{
		Kind: "kitchen wall", Say: "sink with disposer and dishwasher, vented in the wall",
		runs: []pipe{
			p("~ sink", "joins", "^", "arm", `S 1' 6"`, "legs", `down 2' 9", E 8'`, "slope", quarter, "fixture", "kitchen sink", "disposer", "yes", "dishwasher", "yes", "rim", `36"`),
		},
		vent: p("~ vent", "from", "~ sink", "legs", "up 12'", "ends", "through roof"),
	},
	{
		Kind: "laundry", Say: "clothes washer on a standpipe, vented in the wall",
		runs: []pipe{
			p("~ washer", "joins", "^", "arm", `S 2' 6"`, "legs", `down 2' 9", E 6'`, "slope", quarter, "fixture", "clothes washer", "standpipe", `30"`, "trap above floor", `10"`),
		},
		vent: p("~ vent", "from", "~ washer", "legs", "up 12'", "ends", "through roof"),
	},
}

var errRoom = errors.New("the room cannot be made")

// place says where a room goes.
type place struct {
	Kind   string `json:"kind"`  // with a new room
	Room   string `json:"room"`  // with a copy: the room copied
	As     string `json:"as"`    // name of the new room
	Joins  string `json:"joins"` // "" with a copy: what the copied room joins
	At     string `json:"at"`
	Level  string `json:"level"`
	Heads  string `json:"heads"`  // new room: which way its branch flows, N E S W; "" as it fits
	Mirror string `json:"mirror"` // copy: "E-W" or "N-S"
	Place  string `json:"place"`  // what its pipes lie in; "" with a copy: what those of the room copied lie in
	Stack  bool   `json:"stack"`  // a stack is laid down to what it joins
}

// newRoom makes the edits that lay a room out in a job.
func newRoom(j *job.Job, in place) ([]job.Edit, error) {
	for _, r := range rooms {
		if r.Kind != in.Kind {
			continue
		}
		name := strings.TrimSpace(in.As)
		if name == "" || in.Joins == "" {
			return nil, fmt.Errorf("%w: it wants a name and what it drains into", errRoom)
		}
		in, es := fitted(j, in)
		turn := strings.Index("ESWN", strings.ToUpper(in.Heads))
		if turn < 0 || len(in.Heads) != 1 {
			turn = 0
		}
		make := func(heading string, x pipe) {
			fields := []job.Field{}
			for _, f := range x.keys {
				f.Value = named(f.Value, name, in.Joins)
				switch f.Key {
				case "legs":
					f.List = each(f.List, func(s string) string { return measured(turned(s, turn), j.Units) })
				case "arm":
					f.Value = measured(turned(f.Value, turn), j.Units)
				case "at", "rim", "standpipe", "trap above floor":
					f.Value = measured(f.Value, j.Units)
				case "slope":
					if j.Units == unit.Metric {
						f.Value = "2%"
					}
				case "flush":
					if j.Units == unit.Metric {
						f.Value = "4.8 L" // as tanks of 1.28 gal are sold
					}
				case "flow":
					if j.Units == unit.Metric {
						f.Value = "0.16 L/s" // 2.5 gpm
					}
				}
				fields = append(fields, f)
				if f.Key == "joins" && in.At != "" && f.Value == in.Joins {
					fields = append(fields, job.Field{Key: "at", Value: in.At})
				}
			}
			if heading == "runs" {
				if in.Level != "" {
					fields = append(fields, job.Field{Key: "level", Value: in.Level})
				}
				fields = append(fields, job.Field{Key: "room", Value: name})
				if in.Place != "" {
					fields = append(fields, job.Field{Key: "place", Value: in.Place})
				}
			}
			es = append(es, job.Add(heading, named(x.name, name, ""), fields...))
		}
		for _, x := range r.runs {
			make("runs", x)
		}
		make("vents", r.vent)
		return es, nil
	}
	return nil, fmt.Errorf("%w: there is no kind of room %q", errRoom, in.Kind)
}

// measured writes a leg or a length as the job writes lengths.
func measured(s string, sys unit.System) string {
	if sys != unit.Metric {
		return s
	}
	if l, err := unit.ParseLength(s); err == nil {
		return inSystem(l, sys).In(sys)
	}
	if leg, found, _ := job.ParseLeg(s); found == "" && leg.Length.Set {
		leg.Length.V = inSystem(leg.Length.V, sys)
		return leg.In(sys)
	}
	return s
}

func named(s, room, joins string) string {
	if s == "^" {
		return joins
	}
	if rest, ok := strings.CutPrefix(s, "~"); ok {
		return room + rest
	}
	return s
}

func each(list []string, f func(string) string) []string {
	out := make([]string, len(list))
	for i, s := range list {
		out[i] = f(s)
	}
	return out
}

// turned turns the direction of a leg by quarters, clockwise.
func turned(leg string, quarters int) string {
	return redirected(leg, func(c byte) byte { return "ESWN"[(strings.IndexByte("ESWN", c)+quarters)%4] })
}

// mirrored flips the direction of a leg.
func mirrored(leg, axis string) string {
	flip := map[string]string{"E-W": "EW", "N-S": "NS"}[axis]
	return redirected(leg, func(c byte) byte {
		if i := strings.IndexByte(flip, c); i >= 0 {
			return flip[1-i]
		}
		return c
	})
}

var compass = map[string]string{"NORTH": "N", "EAST": "E", "SOUTH": "S", "WEST": "W"}

// redirected maps the compass letters of a leg's direction: E 4', NE 3', N45E 2', down 45 E.
func redirected(leg string, f func(byte) byte) string {
	words := strings.Fields(leg)
	for i, w := range words {
		up := strings.ToUpper(w)
		if short, ok := compass[up]; ok {
			up = short
		}
		if strings.Trim(up, "NESW0123456789.") != "" || strings.Trim(up, "0123456789.") == "" {
			continue
		}
		b := []byte(up)
		for j, c := range b {
			if strings.IndexByte("NESW", c) >= 0 {
				b[j] = f(c)
			}
		}
		// A diagonal names north or south first.
		if len(b) == 2 && strings.IndexByte("EW", b[0]) >= 0 && strings.IndexByte("NS", b[1]) >= 0 {
			b[0], b[1] = b[1], b[0]
		} else if len(b) > 2 && strings.IndexByte("EW", b[0]) >= 0 {
			// N30W turned a quarter is E30N, which is written N60E.
			var deg int
			if n, _ := fmt.Sscanf(string(b[1:len(b)-1]), "%d", &deg); n == 1 && deg > 0 && deg < 90 {
				b = []byte(fmt.Sprintf("%c%d%c", b[len(b)-1], 90-deg, b[0]))
			}
		}
		words[i] = string(b)
	}
	return strings.Join(words, " ")
}

// copyRoom makes the edits that copy a room: the runs that are in it, those that only they
// join, and the vents that leave from them. What is left open of where it goes is settled as
// for a new room.
func copyRoom(j *job.Job, w Written, in place) ([]job.Edit, error) {
	as := strings.TrimSpace(in.As)
	if as == "" || in.Room == "" || as == in.Room {
		return nil, fmt.Errorf("%w: it wants a room to copy and a new name", errRoom)
	}
	in1 := map[string]bool{}
	joins := map[string]string{}
	for _, e := range w.Runs {
		r, _ := get(e.Keys, "room")
		j, _ := get(e.Keys, "joins")
		joins[e.Name] = j.Text
		in1[e.Name] = r.Text == in.Room
	}
	if !anyTrue(in1) {
		return nil, fmt.Errorf("%w: no run is in a room %q", errRoom, in.Room)
	}
	for changed := true; changed; {
		changed = false
		for _, e := range w.Runs {
			if in1[e.Name] {
				continue
			}
			fed, alone := false, true
			for from, to := range joins {
				if to == e.Name {
					fed = true
					alone = alone && in1[from]
				}
			}
			if r, _ := get(e.Keys, "room"); fed && alone && r.Text == "" {
				in1[e.Name], changed = true, true
			}
		}
	}
	// The stack or drain that the room hangs on feeds from it alone in a small house; it stays.
	for changed := true; changed; {
		changed = false
		for _, e := range w.Runs {
			if r, _ := get(e.Keys, "room"); in1[e.Name] && r.Text == "" && !in1[joins[e.Name]] && trunk(e, joins) {
				in1[e.Name], changed = false, true
			}
		}
	}
	name := func(s string) string {
		if strings.Contains(s, in.Room) {
			return strings.Replace(s, in.Room, as, 1)
		}
		// "hall lav" of the room "hall bath": swap the first word, else put the new name first.
		first, rest, _ := strings.Cut(s, " ")
		if rest != "" && strings.HasPrefix(in.Room, first+" ") {
			return as + " " + rest
		}
		return as + " " + s
	}
	flip := func(s string) string {
		if in.Mirror == "" {
			return s
		}
		return mirrored(s, in.Mirror)
	}
	if in.Joins == "" {
		for _, e := range w.Runs { // what the room copied joins
			if to := joins[e.Name]; in1[e.Name] && !in1[to] {
				in.Joins = to
				break
			}
		}
	}
	in, es := joined(j, in)
	var later []job.Edit
	add := func(heading string, e Entry) {
		to := name(e.Name)
		var fields []job.Field
		for _, k := range e.Keys {
			f := job.Field{Key: k.Name, Value: k.Text, List: k.List}
			switch k.Name {
			case "joins", "from":
				if in1[k.Text] {
					f.Value = name(k.Text)
				} else if k.Name == "joins" && in.Joins != "" {
					f.Value = in.Joins
				}
				f.List = each2(k.List, func(s string) string {
					if in1[s] {
						return name(s)
					}
					return s
				})
			case "at":
				if !in1[joins[e.Name]] && heading == "runs" {
					continue
				}
			case "level":
				if in.Level != "" {
					f.Value = in.Level
				}
			case "room":
				f.Value = as
			case "place":
				if in.Place != "" && k.Text != "wall" {
					f.Value = in.Place
				}
			case "legs":
				f.List = each2(k.List, flip)
				f.Value = flip(k.Text)
			case "arm":
				f.List = each2(k.List, flip)
				f.Value = flip(k.Text)
			}
			if k.Keys != nil {
				for _, sub := range k.Keys {
					later = append(later, job.Edit{Op: job.OpSet, Path: []string{heading, to, k.Name, sub.Name}, Value: sub.Text, List: sub.List})
				}
				continue
			}
			if k.Rows != nil {
				later = append(later, job.Edit{Op: job.OpSet, Path: []string{heading, to, k.Name}, Items: rows(k)})
				continue
			}
			fields = append(fields, f)
			if k.Name == "joins" && !in1[k.Text] && in.At != "" {
				fields = append(fields, job.Field{Key: "at", Value: in.At})
			}
		}
		es = append(es, job.Add(heading, to, fields...))
	}
	for _, e := range w.Runs {
		if in1[e.Name] {
			add("runs", e)
		}
	}
	for _, e := range w.Vents {
		from, _ := get(e.Keys, "from")
		if in1[from.Text] || len(from.List) > 0 && in1[from.List[0]] {
			add("vents", e)
		}
	}
	return append(es, later...), nil
}

// trunk tells whether a run is the line to the street, all that comes into that line, or goes
// down, as a stack does.
func trunk(e Entry, joins map[string]string) bool {
	to := joins[e.Name]
	if to == "outlet" {
		return true
	}
	if joins[to] == "outlet" {
		alone := true
		for from, into := range joins {
			alone = alone && (into != to || from == e.Name)
		}
		if alone {
			return true
		}
	}
	legs, _ := get(e.Keys, "legs")
	for _, l := range append(legs.List, legs.Text) {
		if strings.HasPrefix(strings.ToLower(l), "down") {
			return true
		}
	}
	return false
}

func each2(list []string, f func(string) string) []string {
	if list == nil {
		return nil
	}
	return each(list, f)
}

func anyTrue(m map[string]bool) bool {
	for _, v := range m {
		if v {
			return true
		}
	}
	return false
}
