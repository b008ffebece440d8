package engine

import (
	"testing"

	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/unit"
)

// What a question shows a metric job to write is metric, near to what it shows others (exact:
// 1 in is 25.4 mm, 1 gal is 3.785411784 L, NIST SP 811) and reads back; pipe sizes, and what
// stands outside the marks of an example, stay.
func TestMetricExamples(t *testing.T) {
	length := func(s string) error { _, err := unit.ParseLength(s); return err }
	slope := func(s string) error { _, err := unit.ParseSlope(s); return err }
	flow := func(s string) error { _, err := unit.ParseFlow(s); return err }
	volume := func(s string) error { _, err := unit.ParseVolume(s); return err }
	for _, tt := range []struct {
		from, to string
		reads    func(string) error
	}{
		{`18"`, "450 mm", length},
		{`3/4"`, "19 mm", length},
		{`-6'`, "-1.8 m", length},
		{`12'`, "3.6 m", length},
		{`0"`, "0 mm", length},
		{`1/4" per ft`, "1:48", slope},
		{"5 gpm", "18.9 L/min", flow},
		{"1.28 gal", "4.8 L", volume},
		{`1-1/2"`, `1-1/2"`, nil},
	} {
		r := Result{Job: &job.Job{Units: unit.Metric}, Findings: []diag.Diagnostic{{Ask: `is it 2"? write ` + "`{it: " + tt.from + "}`"}}}
		r.metricWording()
		got := r.Findings[0].Ask
		if want := `is it 2"? write ` + "`{it: " + tt.to + "}`"; got != want {
			t.Errorf("%s: %s, want %s", tt.from, got, want)
		}
		if tt.reads == nil {
			continue
		}
		if err := tt.reads(tt.to); err != nil {
			t.Errorf("%s: %v", tt.to, err)
		}
	}
}

// Sentences of a metric job: litres for gallons (1 gal is 3.785411784 L, NIST SP 811), whole
// millimetres where two lengths do not read alike in them.
func TestMetricWords(t *testing.T) {
	for _, tt := range []struct{ from, to string }{
		{"flow taken as 5.7 gpm or less", "flow taken as 21.6 L/min or less"},
		{"flush taken as 1.6 gal or less", "flush taken as 6.1 L or less"},
		{"how many gpm does the pump deliver?", "how many L/min does the pump deliver?"},
		{"its weir lies 646.6 mm below; 609.6 mm is the most", "its weir lies 647 mm below; 610 mm is the most"},
		{"it is 610.0 mm; 609.6 mm is the most", "it is 610.0 mm; 609.6 mm is the most"},
		{"it is 610 mm; 609.6 mm is the most", "it is 610 mm; 609.6 mm is the most"},
		{"a drop of 12.7 mm", "a drop of 12.7 mm"},
		{"it is 2 in pipe, 5-1/2 gal", "it is 2 in pipe, 5-1/2 gal"},
	} {
		if got := metricWords(tt.from); got != tt.to {
			t.Errorf("%q: %q, want %q", tt.from, got, tt.to)
		}
	}
}
