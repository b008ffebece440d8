package web

import (
	"fmt"
	"math"
	"net/http"
	"strconv"
	"strings"

	"trapweir/draw"
	"trapweir/engine/job"
	"trapweir/engine/unit"
)

// Point is a place on a sheet in its millimetres, x to the right and y down.
type Point [2]float64

// Hold is a leg that can be made longer or shorter on the sheet. Lengths count in steps, of
// half an inch or ten millimetres.
type Hold struct {
	Heading string  `json:"heading"` // "runs" or "vents"
	Name    string  `json:"name"`
	Part    int     `json:"part"`  // which leg, those of the trap arm first
	Label   string  `json:"label"` // as the page calls it
	Fixed   Point   `json:"fixed"` // the end that stays
	End     Point   `json:"end"`   // the end that moves
	Step    Point   `json:"step"`  // how far it moves for a step
	Steps   float64 `json:"steps"`
	Known   bool    `json:"known"` // false: drawn as if it were so long
	Pieces  []Piece `json:"pieces"`
}

// Piece is a stretch of a leg between joins, with the water (vents: with the air).
type Piece struct {
	A     Point   `json:"a"`
	B     Point   `json:"b"`
	From  float64 `json:"from"` // along the whole run, in steps
	To    float64 `json:"to"`
	Known bool    `json:"known"` // so is everything upstream of it
}

// Way is a direction in which pipe can be drawn, and how far a step of it goes.
type Way struct {
	Word string `json:"word"`
	Step Point  `json:"step"`
}

// stepOf is the length of a step.
func stepOf(sys unit.System) unit.Length {
	if sys == unit.Metric {
		return 10 * unit.Millimetre
	}
	return unit.Inch / 2
}

func pt(p draw.Point) Point {
	return Point{math.Round(p.X*100) / 100, math.Round(p.Y*100) / 100}
}

// fine keeps a step exact enough to be summed up over a long pipe.
func fine(p draw.Point) Point {
	return Point{math.Round(p.X*1e6) / 1e6, math.Round(p.Y*1e6) / 1e6}
}

// holds sorts what can be taken hold of by legs.
func holds(j *job.Job, g draw.Grips) ([]Hold, []Way) {
	step := float64(stepOf(j.Units))
	runs, vents := map[string]*job.Run{}, map[string]*job.Vent{}
	for i := range j.Runs {
		runs[j.Runs[i].Name] = &j.Runs[i]
	}
	for i := range j.Vents {
		vents[j.Vents[i].Name] = &j.Vents[i]
	}
	out := make([]Hold, 0, len(g.List))
	var first, last draw.Point
	end := func() {
		if len(out) == 0 {
			return
		}
		h := &out[len(out)-1]
		h.Steps = h.Pieces[len(h.Pieces)-1].To - h.Pieces[0].From
		fixed, moves := last, first // pipe hangs on what it drains into
		if h.Heading == "vents" {
			fixed, moves = first, last
		}
		h.Fixed, h.End = pt(fixed), pt(moves)
		if h.Steps > 0 {
			h.Step = fine(moves.Sub(fixed).Mul(1 / h.Steps))
		}
	}
	sure := true // all upstream is known
	for _, x := range g.List {
		if n := len(out); n == 0 || out[n-1].Name != x.ID || out[n-1].Part != x.Part {
			end()
			if n == 0 || out[n-1].Name != x.ID {
				sure = x.From == 0
			}
			h := Hold{Name: x.ID, Part: x.Part, Known: true}
			if r := runs[x.ID]; r != nil {
				h.Heading, h.Label = "runs", legLabel(x.Part-len(r.Arm), len(r.Legs))
				if x.Part < len(r.Arm) {
					h.Label = "trap arm"
				}
			} else if v := vents[x.ID]; v != nil {
				h.Heading, h.Label = "vents", legLabel(x.Part, len(v.Legs))
			}
			out = append(out, h)
			first = x.A
		}
		h := &out[len(out)-1]
		sure = sure && x.Known
		h.Known = h.Known && x.Known
		h.Pieces = append(h.Pieces, Piece{pt(x.A), pt(x.B), float64(x.From) / step, float64(x.To) / step, sure})
		last = x.B
	}
	end()
	ways := make([]Way, 0, len(g.Ways))
	for _, w := range g.Ways {
		ways = append(ways, Way{w.Word, fine(w.Step.Mul(step / float64(unit.Metre)))})
	}
	return out, ways
}

func legLabel(i, legs int) string {
	if legs == 0 {
		return "length"
	}
	return "leg " + strconv.Itoa(i+1)
}

// length sets the length of a leg and leaves its direction as it is written.
func (s *Server) length(w http.ResponseWriter, r *http.Request) {
	var in struct {
		Rev, Heading, Name, Length string
		Part                       int
	}
	if err := readBody(r, &in); err != nil {
		trouble(w, err)
		return
	}
	s.apply(w, r, in.Rev, func(text []byte) ([]job.Edit, error) {
		e, err := lengthEdit(written(text), in.Heading, in.Name, in.Part, in.Length)
		return []job.Edit{e}, err
	})
}

// lengthEdit is the edit that gives a leg its length.
func lengthEdit(w Written, heading, name string, part int, length string) (job.Edit, error) {
	list := w.Runs
	if heading == "vents" {
		list = w.Vents
	}
	e, ok := get(list, name)
	if !ok {
		return job.Edit{}, fmt.Errorf("the job has no run or vent %q", name)
	}
	key := "arm"
	arm, ok := get(e.Keys, key)
	n := 0
	if ok {
		n = max(1, len(arm.List))
	}
	x := arm
	if part >= n {
		part -= n
		key = "legs"
		if x, ok = get(e.Keys, key); !ok {
			return job.Set(length, heading, name, "length"), nil
		}
	}
	items := x.List
	if items == nil { // one value may hold several legs
		items = strings.Split(x.Text, ",")
	}
	if part < 0 || part >= len(items) {
		return job.Edit{}, fmt.Errorf("%q has no such leg", name)
	}
	was, found, _ := job.ParseLeg(strings.TrimSpace(items[part]))
	leg := length
	if found == "" {
		was.Length = job.Len{}
		leg = was.String() + " " + length
	}
	if x.List != nil {
		return job.Set(leg, heading, name, key, strconv.Itoa(part)), nil
	}
	if len(items) == 1 {
		return job.Set(leg, heading, name, key), nil
	}
	for i := range items {
		items[i] = strings.TrimSpace(items[i])
	}
	items[part] = leg
	return job.SetList(items, heading, name, key), nil
}
