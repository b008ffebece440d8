package vent_test

import (
	"testing"

	"trapweir/engine"
	"trapweir/engine/diag"
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
