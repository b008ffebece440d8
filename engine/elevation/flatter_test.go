package elevation_test

import (
	"testing"

	"trapweir/engine/unit"
)

// 42 ft at 1/4 in per ft fall 10-1/2 in. At 3/16 in per ft they fall 7-7/8 in and win 2-5/8 in,
// at 1/8 in per ft 5-1/4 in each way. (Arithmetic; the least slopes: IPC 704.1.)
func TestFlatter(t *testing.T) {
	r := solve(t, "job: t\ncode: ipc-2021\nlevels: {first: {floor: 0'}}\noutlet: {to: public sewer, invert: -4'}\nruns:\n  m: {joins: outlet, size: 3, legs: [N 20', E 22'], slope: 1/4\" per ft, carries: {units: 4}}\n")
	from := r.Net.Runs[0].Segs[0]
	for _, tt := range []struct {
		short, slope string
	}{
		{"0\"", `3/16" per ft`}, {`2-5/8"`, `3/16" per ft`}, {`2-41/64"`, `1/8" per ft`}, {`5-1/4"`, `1/8" per ft`}, {`5-17/64"`, ""},
	} {
		got, ok := r.Levels.Flatter(r.Net, from, length(t, tt.short), unit.FeetInches)
		want := unit.Slope{}
		if tt.slope != "" {
			want, _ = unit.ParseSlope(tt.slope)
		}
		if !ok || got.Slope.Given() != want.Given() || want.Given() && got.Slope.Cmp(want) != 0 || got.Most != length(t, `5-1/4"`) || got.Level != 42*unit.Foot {
			t.Errorf("%s short: %+v, want %s", tt.short, got, tt.slope)
		}
	}
	// In a metric job whole percents are told: 1:48 is 2.08 %, flatter is 2 %.
	got, _ := r.Levels.Flatter(r.Net, from, 1, unit.Metric)
	if want := (unit.Slope{Fall: 1, Run: 50}); got.Slope.Cmp(want) != 0 {
		t.Errorf("metric: %v, want 2 %%", got.Slope)
	}
	// What lies as flat as it may has nothing to give.
	r = solve(t, "job: t\ncode: ipc-2021\noutlet: {to: public sewer, invert: -4'}\nruns:\n  m: {joins: outlet, size: 3, legs: [N 20'], slope: 1/8\" per ft, carries: {units: 4}}\n")
	if got, ok := r.Levels.Flatter(r.Net, r.Net.Runs[0].Segs[0], 0, unit.FeetInches); !ok || got.Most != 0 || got.Slope.Given() {
		t.Errorf("at its least slope: %+v %v", got, ok)
	}
}
