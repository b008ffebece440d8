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
		r.wording()
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

// A limit of millimetres in a job of feet is printed to a sixteenth, on the side on which it is
// kept, and what breaks it on the other: 2.4 m is 94.488 in, 7 ft 10-1/2 in is 94.5 (25.4 mm an
// inch, NIST SP 811).
func TestOnTape(t *testing.T) {
	for _, tt := range []struct {
		say        string
		from, want diag.Diagnostic
	}{
		{
			"the most",
			diag.Diagnostic{Message: "a is ~7 ft 10-33/64 in long; ~7 ft 10-31/64 in is the most", Got: "~7 ft 10-33/64 in", Limit: "~7 ft 10-31/64 in", Try: "bring it to within ~7 ft 10-31/64 in"},
			diag.Diagnostic{Message: "a is ~7 ft 10-9/16 in long; ~7 ft 10-7/16 in is the most", Got: "~7 ft 10-33/64 in", Limit: "~7 ft 10-31/64 in", Try: "bring it to within ~7 ft 10-7/16 in"},
		},
		{
			"the least",
			diag.Diagnostic{Message: "a has ~17-43/64 in; ~17-23/32 in is the least", Got: "~17-43/64 in", Limit: "~17-23/32 in"},
			diag.Diagnostic{Message: "a has ~17-5/8 in; ~17-3/4 in is the least", Got: "~17-43/64 in", Limit: "~17-23/32 in"},
		},
		{
			"a fall of a metric book: 2 % is 0.24 in a foot",
			diag.Diagnostic{Message: "a falls 1/8 in per ft (1.04 %, 1:96); 3 in pipe falls at least ~15/64 in per ft (2 %, 1:50)"},
			diag.Diagnostic{Message: "a falls 1/8 in per ft (1.04 %, 1:96); 3 in pipe falls at least ~1/4 in per ft (2 %, 1:50)"},
		},
		{
			"what a sixteenth would hide, and what is exact",
			diag.Diagnostic{Message: "a is ~5/64 in short; b is 17-63/64 in", Got: "17-63/64 in", Limit: "18 in"},
			diag.Diagnostic{Message: "a is ~5/64 in short; b is 17-63/64 in", Got: "17-63/64 in", Limit: "18 in"},
		},
	} {
		r := Result{Job: &job.Job{}, Findings: []diag.Diagnostic{tt.from}}
		r.wording()
		f, w := r.Findings[0], tt.want
		if f.Message != w.Message || f.Got != w.Got || f.Limit != w.Limit || f.Try != w.Try {
			t.Errorf("%s: %q, got %s, limit %s, try %q", tt.say, f.Message, f.Got, f.Limit, f.Try)
		}
	}
}

// A metric job names the inches of a book that prints inches, once, and none of a metric book;
// what is to be done by a rounded figure keeps the limit.
func TestMetricLimits(t *testing.T) {
	for _, tt := range []struct{ msg, limit, try, wantMsg, wantTry string }{
		{"no cleanout within 3048 mm upstream", "3048 mm", "set one within 3048 mm", "no cleanout within 3048 mm (10 ft) upstream", "set one within 3048 mm"},
		{"it opens 70 mm away; 76.2 mm is the least", "76.2 mm", "let it leave 76.2 mm or more from the weir", "it opens 70 mm away; 76.2 mm (3 in) is the least", "let it leave 77 mm or more from the weir"},
		{"its rim is 1100 mm up; 1066.8 mm is the most", "1066.8 mm", "cut it to 1066.8 mm or less", "its rim is 1100 mm up; 1067 mm (42 in) is the most", "cut it to 1066 mm or less"},
		{"it is 33 m; 30.48 m is the most", "30.48 m", "", "it is 33 m; 30.48 m (100 ft) is the most", ""},
		{"it is 2500 mm; 2400 mm is the most", "2400 mm", "", "it is 2500 mm; 2400 mm is the most", ""},
		{"a turns, and no cleanout within 12.192 m above it", "", "", "a turns, and no cleanout within 12.192 m (40 ft) above it", ""},
		{"1651 mm of it lie level on the 1524 mm of b", "", "", "1651 mm of it lie level on the 1524 mm of b", ""},
	} {
		r := Result{Job: &job.Job{Units: unit.Metric}, Findings: []diag.Diagnostic{{Message: tt.msg, Limit: tt.limit, Try: tt.try}}}
		r.wording()
		if f := r.Findings[0]; f.Message != tt.wantMsg || f.Try != tt.wantTry {
			t.Errorf("%q, try %q", f.Message, f.Try)
		}
	}
}
