package report

import (
	"fmt"
	"io"
	"strings"

	"trapweir/engine"
	"trapweir/engine/elevation"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// Fall writes the profile from the farthest fixture, or from the upper end of the run that
// is named, to the outlet as a table: station, ground or floor, invert, slope, cover and room,
// a line for every piece of pipe; then what fall there is and what is needed, where it is
// short and where there is some to spare; then the room between joists, what is cut through
// wood, and what holds the pipe, run by run. Heights are above the job's datum. A job that was
// not solved gives nothing; ok is false where it has no such run.
func Fall(w io.Writer, r *engine.Result, name string) (ok bool) {
	if !r.Solved() || r.Levels == nil || len(r.Net.Segs) == 0 {
		return true
	}
	from, ok := start(r, name)
	if !ok {
		return false
	}
	f := faller{w: w, r: r, sys: r.Job.Units}
	heading(w, r)
	f.profile(from, name == "")
	f.outlet(from)
	f.runs()
	f.fixtures()
	f.bays()
	f.wood()
	f.holds()
	fmt.Fprintln(w, "\n.  not given or not to be said here; ?  cannot be worked out yet. Pipes of different sizes meet centre on centre.\n`trapweir fall JOB -o FILE.svg` (.pdf, .dxf) draws the profile.")
	caution(w)
	return true
}

// start is where a line begins: at the upper end of the run that is named, else at the
// farthest fixture. ok is false for a name that is no run.
func start(r *engine.Result, name string) (s network.SegID, ok bool) {
	if name == "" {
		return elevation.Farthest(r.Net), true
	}
	x, found := r.Net.Find(name)
	if !found || x.Run == network.None || len(r.Net.Runs[x.Run].Segs) == 0 {
		return network.None, false
	}
	return r.Net.Runs[x.Run].Segs[0], true
}

type faller struct {
	w   io.Writer
	r   *engine.Result
	sys unit.System
}

// len is a length in the job's units; in metric to the millimetre.
func (f *faller) len(l unit.Length) string {
	if f.sys == unit.Metric {
		return strings.TrimPrefix(l.Round(unit.Millimetre).In(f.sys), "~")
	}
	return l.String()
}

func (f *faller) height(h elevation.Height) string {
	if !h.Known {
		return "?"
	}
	return f.len(h.V)
}

func (f *faller) profile(from network.SegID, farthest bool) {
	r := f.r
	rows := r.Levels.Profile(r.Net, r.Sizes, from)
	what := ""
	switch first := &r.Net.Segs[from]; {
	case farthest && first.Fixture != network.None:
		what = ", the farthest fixture,"
	case farthest:
		what = ", the farthest upper end,"
	}
	fmt.Fprintf(f.w, "Profile from %s%s to the %s\n\n", r.Net.Runs[rows[0].Run].Name, what, f.to())
	t := newTable(">Station", "Run", ">Size", ">Invert", ">Ground", ">Floor", ">Cover", ">Room", "Falls", "")
	for _, x := range rows {
		station := f.len(x.Station)
		if !x.StationKnown {
			station = "?"
		}
		blank := func(h elevation.Height) string {
			if !h.Known {
				return "."
			}
			return f.len(h.V)
		}
		note := ""
		if x.Seg == network.None {
			t.add(station, "("+f.to()+")", "", f.height(x.Invert), blank(x.Ground), ".", blank(x.Cover), ".", "", "")
			continue
		}
		falls := ""
		switch {
		case x.Upright && x.LengthKnown:
			falls = "drops " + f.len(x.Length)
		case x.Upright:
			falls = "drops ?"
		case x.SlopeFrom == elevation.NotKnown:
			falls = "?"
			note = f.between(x.Run)
		case x.SlopeFrom == elevation.Plumb:
			falls = f.height(r.Levels.Fall[x.Seg])
		default:
			falls = x.Slope.AllIn(f.sys)
			if x.SlopeFrom == elevation.Found {
				note = "found from its two ends"
			}
		}
		if x.Drop > 0 {
			if note != "" {
				note += "; "
			}
			note += f.len(x.Drop) + " of fall left at its lower end: take it in a drop"
		}
		t.add(station, r.Net.Runs[x.Run].Name, x.Size.Short(), f.height(x.Invert), blank(x.Ground), blank(x.Floor), blank(x.Cover), blank(x.Room), falls, note)
	}
	t.write(f.w)
}

// between tells between which slopes a run without one may lie.
func (f *faller) between(id network.RunID) string {
	x := &f.r.Levels.Run[id]
	switch {
	case !x.Flattest.Given():
		return "its slope is not given"
	case !x.Bound():
		return "at least " + x.Flattest.AllIn(f.sys)
	case x.Steepest.Cmp(x.Flattest) < 0:
		return "even the flattest, " + x.Flattest.AllIn(f.sys) + ", is too steep here"
	}
	return "from " + x.Flattest.AllIn(f.sys) + " to " + x.Steepest.AllIn(f.sys)
}

func (f *faller) to() string {
	if t := f.r.Job.Outlet.To.Text; t != "" {
		return t
	}
	return "outlet"
}

// at is where a run is met: the closet flange or the trap of its fixture, or the run itself.
func (f *faller) at(id network.RunID) string {
	run := &f.r.Net.Runs[id]
	switch {
	case run.Fixture == network.None || f.r.Net.Fixtures[run.Fixture].Kind == nil:
		return "the upper end of " + run.Name
	case f.r.Net.Fixtures[run.Fixture].Kind.Has("water closet"):
		return "the closet flange of " + run.Name
	}
	return "the trap of " + run.Name
}

// outlet tells how the fall of the whole system comes out.
func (f *faller) outlet(from network.SegID) {
	o := &f.r.Levels.Outlet
	fmt.Fprintln(f.w)
	switch {
	case o.Invert.Known && o.AtOrBelow.Known && o.Available.Known:
		who := f.r.Net.Runs[o.Binds].Name
		fmt.Fprintf(f.w, "%s sets the fall: %s needed, %s available", who, f.height(o.Needed), f.height(o.Available))
		switch d := o.AtOrBelow.V - o.Invert.V; {
		case d < 0:
			fmt.Fprintf(f.w, "; %s short at %s.\n`trapweir fix JOB` lists what wins it back", f.len(-d), f.at(o.Binds))
			if f.r.Net.Segs[from].Run != o.Binds {
				fmt.Fprintf(f.w, ", `trapweir fall JOB %s` shows its line", who)
			}
			fmt.Fprintln(f.w, ".")
		case d == 0:
			fmt.Fprintln(f.w, "; nothing to spare")
		default:
			fmt.Fprintf(f.w, "; %s to spare\n", f.len(d))
		}
	case o.AtOrBelow.Known:
		at := "at or below"
		if o.Loose {
			at = "below"
		}
		fmt.Fprintf(f.w, "The invert of the %s is not given. It must be %s %s to serve %s.\n", f.to(), at, f.len(o.AtOrBelow.V), f.r.Net.Runs[o.Binds].Name)
	case !o.Invert.Known:
		fmt.Fprintf(f.w, "The invert of the %s is not given, and no floor or invert upstream says how high it may be.\n", f.to())
	}
}

// runs lists the runs that arrive higher or lower than what they join.
func (f *faller) runs() {
	t := newTable("Run", "Arrives", "")
	for i := range f.r.Net.Runs {
		run, x := &f.r.Net.Runs[i], &f.r.Levels.Run[i]
		if len(run.Segs) == 0 || !x.SpareKnown || x.Spare == 0 {
			continue
		}
		word := "above what it joins: fall to spare"
		by := x.Spare
		if by < 0 {
			word, by = "below what it joins", -by
		}
		t.add(run.Name, f.len(by), word)
	}
	if len(t.rows) > 0 {
		fmt.Fprintln(f.w)
		t.write(f.w)
	}
}

// fixtures lists the fixtures that drain through the floor, with what is left over them.
func (f *faller) fixtures() {
	t := newTable("Fixture", "Run", ">Floor", ">Invert", ">Highest", "")
	for i := range f.r.Net.Fixtures {
		x, v := &f.r.Net.Fixtures[i], &f.r.Levels.Serve[i]
		if !v.SpareKnown {
			continue
		}
		word := f.len(v.Spare) + " to spare"
		if v.Spare < 0 {
			word = "short by " + f.len(-v.Spare)
		}
		if !v.Upper.Known {
			word += ", at the flattest slopes"
		}
		t.add(x.Kind.Name, f.r.Net.Runs[x.Run].Name, f.height(v.Floor), f.height(v.Upper), f.height(v.Limit), word)
	}
	if len(t.rows) > 0 {
		fmt.Fprintln(f.w)
		t.write(f.w)
	}
}
