package web

import (
	"strconv"
	"strings"

	"trapweir/engine/job"
	"trapweir/engine/unit"
)

// fitted settles what is left open of where a new room goes: a stack of its own when one is
// asked for, a place on what it drains into where there is room, and which way its branch
// flows. The edits are those that lay the stack.
func fitted(j *job.Job, in place) (place, []job.Edit) {
	in, es := joined(j, in)
	if in.Heads == "" {
		in.Heads = headsFor(j, in.Joins, runOf(j, in.Joins))
	}
	return in, es
}

// joined settles where on its receiver a room comes in, and lays the stack that it asks for.
func joined(j *job.Job, in place) (place, []job.Edit) {
	var es []job.Edit
	r := runOf(j, in.Joins)
	if in.At == "" && r != nil {
		in.At = freePlace(j, r)
	}
	if in.Stack {
		name := freeName(j, "stack")
		fields := []job.Field{{Key: "joins", Value: in.Joins}}
		if in.At != "" {
			fields = append(fields, job.Field{Key: "at", Value: in.At})
		}
		fields = append(fields, job.Field{Key: "legs", List: []string{"down " + tape(stackDrop(j, in.Level), j.Units)}})
		es = append(es, job.Add("runs", name, fields...))
		in.Joins, in.At = name, ""
	}
	return in, es
}

func runOf(j *job.Job, name string) *job.Run {
	for i := range j.Runs {
		if j.Runs[i].Name == name {
			return &j.Runs[i]
		}
	}
	return nil
}

func freeName(j *job.Job, stem string) string {
	taken := map[string]bool{}
	for i := range j.Runs {
		taken[j.Runs[i].Name] = true
	}
	for i := range j.Vents {
		taken[j.Vents[i].Name] = true
	}
	name := stem
	for i := 2; taken[name]; i++ {
		name = stem + " " + strconv.Itoa(i)
	}
	return name
}

// belowFloor is how far below the first floor the foot of a new stack lies: under joists of
// usual depth (common practice), to be set to the house.
const belowFloor = 17 * unit.Inch

// lowest is the level whose floor is the lowest; of those that do not say how high it is, the
// one that stands first.
func lowest(j *job.Job) string {
	if len(j.Levels) == 0 {
		return ""
	}
	best := &j.Levels[0]
	for i := range j.Levels {
		if l := &j.Levels[i]; l.Floor.Set && (!best.Floor.Set || l.Floor.V < best.Floor.V) {
			best = l
		}
	}
	return best.Name
}

// stackDrop is how far a stack falls from the pipes of a level to those under the house.
func stackDrop(j *job.Job, level string) unit.Length {
	const story = 109 * unit.Inch // 9 ft 1 in, a usual one (common practice)
	drop := unit.Length(story)
	for i := range j.Levels {
		if l := &j.Levels[i]; l.Name == level && l.Floor.Set && l.Floor.V > 0 {
			drop = l.Floor.V
		}
	}
	return inSystem(drop+belowFloor, j.Units)
}

// inSystem rounds a usual dimension to one that is set out in the system: whole inches, or ten
// millimetres.
func inSystem(l unit.Length, sys unit.System) unit.Length {
	if sys == unit.Metric {
		return l.Round(10 * unit.Millimetre)
	}
	return l.Round(unit.Inch)
}

// tape writes a length as it is read off a tape: 10' 6", 3200 mm.
func tape(l unit.Length, sys unit.System) string {
	if sys == unit.Metric {
		return l.In(sys)
	}
	return strings.NewReplacer(" ft", "'", " in", `"`).Replace(l.String())
}

// freePlace is where on a level pipe of known length there is room to join: the first place
// from its upper end on that is four feet from all that joins it, or else the middle of the
// widest gap. The first of all joins at the upper end, and so does what joins a stack.
func freePlace(j *job.Job, r *job.Run) string {
	length, ok := lengthOf(r)
	if !ok {
		return ""
	}
	var taken []unit.Length
	for i := range j.Runs {
		o := &j.Runs[i]
		if o.Joins.Text != r.Name {
			continue
		}
		at, ok := placeOn(o, length)
		if !ok {
			return ""
		}
		taken = append(taken, at)
	}
	if len(taken) == 0 {
		return ""
	}
	step := unit.Length(unit.Foot)
	if j.Units == unit.Metric {
		step = 300 * unit.Millimetre
	}
	best, most := unit.Length(0), unit.Length(0)
	for at := step; at < length; at += step {
		room := length
		for _, t := range taken {
			room = min(room, max(at-t, t-at))
		}
		if room > most {
			best, most = at, room
		}
		if room >= 4*step {
			break
		}
	}
	if most == 0 {
		return ""
	}
	return tape(best, j.Units)
}

// lengthOf is the length of a pipe that lies level, if all of it is known.
func lengthOf(r *job.Run) (sum unit.Length, ok bool) {
	if len(r.Legs) == 0 {
		return r.Length.V, r.Length.Set
	}
	for i := range r.Legs {
		l := &r.Legs[i]
		if !l.Length.Set || l.Way.Up || l.Way.Down {
			return 0, false
		}
		sum += l.Length.V
	}
	return sum, true
}

// placeOn is where a run joins a pipe of a length.
func placeOn(r *job.Run, length unit.Length) (at unit.Length, ok bool) {
	switch r.Place.Kind {
	case job.AtLength:
		return r.Place.Len, true
	case job.LowerEnd, job.FootOfDrop:
		return length, true
	case job.AfterName:
		return 0, false
	}
	return 0, true
}

// headsFor is the way that the branch of a room flows: across the pipe that it joins, from
// one side and the other in turn.
func headsFor(j *job.Job, joins string, r *job.Run) string {
	n := 0
	for i := range j.Runs {
		if j.Runs[i].Joins.Text == joins {
			n++
		}
	}
	if r != nil && len(r.Legs) > 0 {
		if w := r.Legs[len(r.Legs)-1].Way; w.HasPlan && (w.Azimuth+450)/900%2 == 1 { // it runs east or west
			return string("SN"[n%2])
		}
	}
	return string("EWSN"[n%4])
}
