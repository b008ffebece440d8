package rules

import (
	"slices"
	"strconv"
	"strings"

	"trapweir/engine/check"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/source"
)

// open gathers the things that one question is about, so that a fact that is missing in
// many places is asked for once. It points at the first by name, not by place in the file.
type open struct {
	names []string
	on    diag.Ref
	at    source.Span
}

func (o *open) add(name string, on diag.Ref, at source.Span) {
	if len(o.names) == 0 || name < o.names[0] {
		o.on, o.at = on, at
	}
	if i, twice := slices.BinarySearch(o.names, name); !twice { // a vent of several take-offs is one
		o.names = slices.Insert(o.names, i, name)
	}
}

func (o *open) holds(name string) bool {
	_, ok := slices.BinarySearch(o.names, name)
	return ok
}

// list names at most four things and counts the rest.
func (o *open) list() string {
	const most = 4
	n := len(o.names)
	switch {
	case n == 1:
		return o.names[0]
	case n > most:
		return strings.Join(o.names[:most], ", ") + " and " + strconv.Itoa(n-most) + " more"
	}
	return strings.Join(o.names[:n-1], ", ") + " and " + o.names[n-1]
}

// ask puts the question, if there is one.
func (o *open) ask(p *check.Pass, s check.Say) {
	if len(o.names) == 0 {
		return
	}
	s.Message = o.list() + ": " + s.Message
	p.Unchecked(o.on, o.at, s)
}

func existing(r *network.Run) bool {
	return r.Def.State.Text == "existing" || r.Def.State.Text == "remove"
}

// has reports whether a run has a device.
func has(r *network.Run, device string) bool {
	for _, d := range r.Def.Devices {
		if d.Text == device {
			return true
		}
	}
	return false
}

// below walks a segment and what it drains into, to the outlet.
func below(n *network.Net, s network.SegID, visit func(network.SegID) bool) {
	for s != network.None && visit(s) {
		s = n.Segs[s].Down
	}
}

// upstreamOf visits a segment and all that drains into it, until visit says to stop.
func upstreamOf(n *network.Net, s network.SegID, visit func(network.SegID) bool) {
	for todo := []network.SegID{s}; len(todo) > 0; {
		at := todo[len(todo)-1]
		if !visit(at) {
			return
		}
		todo = append(todo[:len(todo)-1], n.Up(at)...)
	}
}

// whole reports whether the whole house seems to be drawn: new work that reaches the sewer
// or a tank, nothing that comes in from a part that is not drawn.
func whole(n *network.Net) bool {
	to := strings.ToLower(n.Job.Outlet.To.Text)
	if !strings.Contains(to, "sewer") && !septic(n) {
		return false
	}
	for i := range n.Runs {
		r := &n.Runs[i]
		if existing(r) || r.Def.Carries.Set || r.Def.Vented.Text == "elsewhere" {
			return false
		}
	}
	return len(n.Fixtures) > 0
}

func septic(n *network.Net) bool {
	return n.Job.Site.Septic.V || strings.Contains(strings.ToLower(n.Job.Outlet.To.Text), "septic")
}

// kindIn reports whether a fixture is of one of the kinds or classes that a book lists.
func kindIn(f *network.Fixture, words []string) bool {
	for _, w := range words {
		if f.Kind.Has(w) {
			return true
		}
	}
	return false
}

func given(p codebook.Param) bool { return p.State == codebook.Given }

// times is a plain number of a param as a whole number, rounded down.
func times(p codebook.Param) int { return int(p.Number / 100) }
