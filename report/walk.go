package report

import (
	"fmt"
	"io"
	"strings"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/load"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// Walk follows the water from a fixture to the outlet, as one would tell an apprentice. An
// empty name starts at the fixture with the longest way. ok is false when no fixture or
// run has the name.
func Walk(w io.Writer, r *engine.Result, name string) (ok bool) {
	steps, ok := Steps(r, name)
	if !ok {
		return false
	}
	heading(w, r)
	for i, s := range steps {
		fmt.Fprintf(w, "%2d. %s\n", i+1, s.Where)
		for _, in := range s.In {
			sign := "+ "
			switch {
			case strings.HasPrefix(in, "less "):
				sign = "- "
			case strings.HasPrefix(in, "into "):
				sign = "  "
			}
			fmt.Fprintf(w, "      %s%s\n", sign, strings.TrimPrefix(in, "less "))
		}
		closets := ""
		if s.Closets > 0 {
			closets = ", " + count(s.Closets, "water closet")
		}
		long := ""
		if s.Length > 0 {
			long = " for " + s.Length.In(r.Job.Units)
		}
		up := ""
		if s.Step != "" {
			up = "  <- steps up"
		}
		fmt.Fprintf(w, "      = %s%s: %s%s%s\n", units(s.Units), closets, s.Size, long, up)
		for _, l := range wrapText(s.Step, 84) {
			fmt.Fprintf(w, "          %s\n", l)
		}
	}
	if r.Job.Outlet.To.Text != "" {
		fmt.Fprintf(w, "    %s\n", r.Job.Outlet.To.Text)
	}
	fmt.Fprintln(w)
	caution(w)
	return true
}

// WalkPage is a walk as a document.
type WalkPage struct {
	Format string `json:"format"`
	Steps  []Step `json:"steps"`
}

// Step is one stop on the way of the water.
type Step struct {
	Where   string      `json:"where"`
	Run     string      `json:"run"`
	Segment int32       `json:"segment"`
	Role    string      `json:"role"`
	In      []string    `json:"in,omitempty"`
	Units   unit.Load   `json:"units"`
	Closets int         `json:"waterClosets"`
	Size    unit.Size   `json:"size"`
	Length  unit.Length `json:"length,omitempty"`
	Step    string      `json:"stepUp,omitempty"` // what forced a larger pipe here
	Spare   string      `json:"spare,omitempty"`
	Cites   []diag.Cite `json:"cites,omitempty"`
}

// Steps works out the stops of a walk: one for every point where the load, the size or
// the role changes.
func Steps(r *engine.Result, name string) ([]Step, bool) {
	n := r.Net
	from, ok := start(r, name)
	if !ok || from == network.None {
		return nil, false
	}
	var out []Step
	prev := network.SegID(network.None)
	for s := from; s != network.None; s = n.Segs[s].Down {
		seg := &n.Segs[s]
		closets, _ := r.Loads.Count(s, load.Closets)
		changed := prev == network.None || r.Loads.Units[s] != r.Loads.Units[prev] || r.Sizes.Size[s] != r.Sizes.Size[prev] ||
			seg.Role != n.Segs[prev].Role || seg.Run != n.Segs[prev].Run
		var credits []string
		for _, c := range r.Loads.Credit {
			if c.Seg == s {
				by := "less " + units(c.Sum-c.As)
				if c.As > c.Sum {
					by = units(c.As - c.Sum)
				}
				credits = append(credits, by+", "+c.Room+" counted as one "+c.Name)
			}
		}
		if changed || credits != nil {
			st := Step{Run: n.RunOf(s).Name, Segment: int32(s), Role: seg.Role.String(), Units: r.Loads.Units[s], Closets: closets, Size: r.Sizes.Size[s]}
			st.Where = st.Run
			if st.Role != st.Run {
				st.Where += ", " + st.Role
			}
			if seg.LengthKnown && seg.From > 0 {
				st.Where += ", " + seg.From.In(r.Job.Units) + " along"
			}
			if f := seg.Fixture; f != network.None {
				st.In = append(st.In, units(r.Loads.Fixture[f].Units)+", the "+n.Fixtures[f].Kind.Name+" itself")
			}
			if seg.Carries || seg.Basin {
				for _, t := range r.Loads.Part[seg.Run].Terms {
					st.In = append(st.In, units(t.Units)+", "+t.What)
				}
			}
			for _, u := range n.Up(s) {
				switch {
				case pumped(r, s):
					st.In = append(st.In, "into the basin: "+units(r.Loads.Units[u])+" from "+n.RunOf(u).Name+" ("+r.Sizes.Size[u].String()+"); the pump's flow counts instead")
				case u == prev, n.Segs[u].Run == seg.Run && r.Loads.Units[u] == 0: // the empty end of a line
				default:
					st.In = append(st.In, units(r.Loads.Units[u])+" from "+n.RunOf(u).Name+" ("+r.Sizes.Size[u].String()+")")
				}
			}
			st.In = append(st.In, credits...)
			if prev != network.None && r.Sizes.Size[s] > r.Sizes.Size[prev] {
				g := r.Sizes.Governing(s)
				st.Step, st.Cites = reasonLine(g), g.Cites
				if need := r.Sizes.Required[s]; r.Sizes.Given[s] && need < r.Sizes.Size[s] {
					st.Step = "it is given so; the code asks for " + need.String() + ": " + st.Step
				}
			}
			st.Spare = r.Sizes.Explain(s).Spare
			out = append(out, st)
		}
		if len(out) > 0 {
			out[len(out)-1].Length += seg.Length()
		}
		prev = s
	}
	return out, true
}
