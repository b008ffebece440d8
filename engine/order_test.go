package engine_test

import (
	"testing"

	"trapweir/engine/takeoff"
	"trapweir/shelf"
)

// UPC 910.4: pipe and trap of a combination waste and vent are two sizes over what the
// fixture needs elsewhere (702.1: 1-1/4 in for a lavatory). The order takes that trap where
// the job states none.
func TestOrderTakesTheTrapOfACombination(t *testing.T) {
	st, ds := shelf.Stock()
	if len(ds) > 0 {
		t.Fatal(ds)
	}
	for vented, want := range map[string]string{"": "1-1/4", "vented: combination, ": "2"} {
		r := solve(t, `job: test
code: upc-2021
outlet: {to: public sewer, invert: -8'}
levels: {first: {floor: 0', under: slab}}
runs:
  m: {joins: outlet, legs: [E 30'], slope: 1/4" per ft, cleanouts: [upper end]}
  lav: {joins: m, at: 9', `+vented+`arm: N 2', legs: [down 2'], slope: 1/4" per ft, fixture: lavatory, level: first}
vents:
  v: {from: m, at: upper end, legs: [up 10'], ends: through roof}
`)
		found := false
		for _, l := range r.Order(st, takeoff.Settings{}).Lines {
			if l.Item == "tubular P-trap" {
				found = true
				if l.Size != want {
					t.Errorf("%q: a trap of %v, want %v", vented, l.Size, want)
				}
			}
		}
		if !found {
			t.Errorf("%q: no trap in the order", vented)
		}
	}
}
