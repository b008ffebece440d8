package vent_test

import (
	"slices"
	"testing"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/load"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/vent"
	"trapweir/internal/layout"
	"trapweir/shelf"
)

const layouts = 250

func books(t *testing.T) engine.Data {
	t.Helper()
	d, ds := shelf.Of(layout.Books)
	if diag.Count(ds, diag.Error) > 0 {
		t.Fatal(ds[0].Message)
	}
	return d
}

// verdicts solves a job and gives what is known of each trap, by the name of its run.
func verdicts(t *testing.T, d engine.Data, j *layout.Job) map[string]vent.Verdict {
	t.Helper()
	text := j.Text()
	r := engine.Run(d, engine.Input{Name: "chance", Text: text})
	if !r.Solved() {
		t.Fatalf("not solved: %v\n%s", r.Faults, text)
	}
	out := map[string]vent.Verdict{}
	for i := range r.Net.Fixtures {
		out[r.Net.Runs[r.Net.Fixtures[i].Run].Name] = r.Vents.Trap[i].Verdict
	}
	return out
}

// A vent that is added where a trap's arm ends unprotects no trap.
func TestAddedVentUnprotectsNothing(t *testing.T) {
	d := books(t)
	added, seen := 0, 0
	for seed := range int64(layouts) {
		j := layout.New(seed)
		before := verdicts(t, d, j)
		for _, i := range j.Fixtures() {
			if j.Runs[i].Drop == 0 {
				continue // its arm ends in another pipe
			}
			k := j.Copy()
			k.Vents = append(k.Vents, layout.Vent{Name: "one more", From: j.Runs[i].Name, At: "end of arm", Up: 144, End: "through roof"})
			added++
			for name, is := range verdicts(t, d, k) {
				if before[name] == vent.Protected {
					seen++
					if is != vent.Protected {
						t.Errorf("seed %d: a vent on %s makes %s %s\n%s", seed, j.Runs[i].Name, name, is, k.Text())
					}
				}
			}
			if t.Failed() {
				return
			}
		}
	}
	if added < 300 || seen < 300 {
		t.Errorf("only %d vents were added beside %d protected traps", added, seen)
	}
}

// A trap that is not protected does not become so by a longer arm.
func TestLongerArmProtectsNothing(t *testing.T) {
	d := books(t)
	tried := 0
	for seed := range int64(layouts) {
		j := layout.New(seed)
		before := verdicts(t, d, j)
		for _, i := range j.Fixtures() {
			name := j.Runs[i].Name
			if before[name] != vent.NotProtected {
				continue
			}
			for _, more := range []int{1, 12, 60} {
				k := j.Copy()
				k.Runs[i].Arm += more
				tried++
				if is := verdicts(t, d, k)[name]; is == vent.Protected {
					t.Fatalf("seed %d: %s is %s with an arm of %d in, and was not with %d in\n%s", seed, name, is, k.Runs[i].Arm, j.Runs[i].Arm, k.Text())
				}
			}
		}
	}
	if tried < 300 {
		t.Errorf("only %d arms were made longer", tried)
	}
}

// stages runs a job up to its vents, with the sizes of the first pass and of the second.
func stages(t *testing.T, d engine.Data, text []byte) (n *network.Net, l *load.Loads, first, last *vent.Vents, floors []size.Floor) {
	t.Helper()
	j, ds := job.Read("chance", text)
	if diag.Count(ds, diag.Error) > 0 {
		t.Fatal(ds)
	}
	b, ds := d.Books.Book(j.Code.Text, nil)
	if diag.Count(ds, diag.Error) > 0 {
		t.Fatal(ds)
	}
	n, ds = network.Join(j, d.Catalog)
	if diag.Count(ds, diag.Error) > 0 {
		t.Fatal(ds)
	}
	l, _ = load.Sum(n, b)
	z, _ := size.Choose(n, l, b, nil)
	first, _ = vent.Trace(n, l, z, b)
	last = first
	if floors = vent.Floors(n, l, z, b, first); len(floors) > 0 {
		z, _ = size.Choose(n, l, b, floors)
		last, _ = vent.Trace(n, l, z, b)
	}
	return n, l, first, last, floors
}

// What the first readings make larger or smaller takes no trap its vent: a trap that the first
// sizes let a vent protect is protected by the last. What is trap arm all the way, and so left
// out of the table of drains (UPC Table 703.2), is the drain of one trap that a vent reaches at
// its lower end with the last sizes too.
func TestSecondSizesKeepVents(t *testing.T) {
	d := books(t)
	kept, arms, smaller := 0, 0, 0
	for seed := range int64(4 * layouts) {
		j := layout.New(seed)
		j.Code = layout.Books[2]
		for _, i := range j.Fixtures() {
			if r := &j.Runs[i]; r.Drop == 0 {
				// Nobody calls it an arm, its size is left open, and it may lie steep.
				r.Level, r.Arm, r.Size, r.Existing = r.Arm, 0, "", false
				r.Slope = []string{`1/4" per ft`, `1/2" per ft`, `1" per ft`}[int(seed+int64(i))%3]
			}
		}
		n, l, first, last, floors := stages(t, d, j.Text())
		for i := range first.Trap {
			if first.Trap[i].Verdict == vent.Protected {
				kept++
				if is := last.Trap[i].Verdict; is != vent.Protected {
					t.Errorf("seed %d: %s is protected with the first sizes, and %s with the last: %s\n%s", seed, n.Runs[n.Fixtures[i].Run].Name, is, last.Words(n, network.FixID(i)), j.Text())
				}
			}
		}
		for _, f := range floors {
			if !f.Arm {
				continue
			}
			arms++
			if l.Traps[f.Seg] != 1 {
				t.Fatalf("seed %d: %s, which is not one fixture's, is called an arm\n%s", seed, n.RunOf(f.Seg).Name, j.Text())
			}
			var fx network.FixID
			for s := f.Seg; ; {
				if fx = n.Segs[s].Fixture; fx != network.None {
					break
				}
				up := n.Up(s)
				s = up[slices.IndexFunc(up, func(u network.SegID) bool { return l.Traps[u] == 1 })]
			}
			r := last.Trap[fx].Reading()
			if r == nil || last.Trap[fx].Verdict == vent.NotProtected || r.Open == network.None || f.Seg >= r.Open {
				t.Errorf("seed %d: %s is called an arm, and at last it is %s\n%s", seed, n.RunOf(f.Seg).Name, last.Words(n, fx), j.Text())
			}
			if r != nil && r.Arm.Slope.Drop(r.Arm.Length) > l.Fixture[fx].Trap.Length()/2 {
				smaller++
			}
		}
		if t.Failed() {
			return
		}
	}
	if kept < 300 || arms < 100 || smaller < 10 {
		t.Errorf("only %d protected traps, %d arms and %d steep ones were looked at", kept, arms, smaller)
	}
}
