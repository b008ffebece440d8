package report_test

import (
	"bytes"
	"strings"
	"testing"

	"trapweir/data"
	"trapweir/engine"
	"trapweir/engine/catalog"
	"trapweir/engine/codebook"
	"trapweir/report"
)

func fallOf(t *testing.T, text string) string {
	t.Helper()
	var files []codebook.File
	for _, f := range data.Books() {
		files = append(files, codebook.File(f))
	}
	lib, _ := codebook.ReadLibrary(files)
	cat, _ := catalog.Read([]codebook.File{{Name: "fixtures.yaml", Text: data.Get("fixtures.yaml")}})
	r := engine.Run(engine.Data{Books: lib, Catalog: cat, Default: "irc-2021"}, engine.Input{Name: "t.dwv.yaml", Text: []byte(text)})
	for _, f := range r.Faults {
		t.Fatal(f.Message)
	}
	var b bytes.Buffer
	report.Fall(&b, r, "")
	return b.String()
}

// The long sewer of practice case S35: 72 in available, 62-1/2 in needed at 1/4 in per ft,
// 9-1/2 in to drop near the end.
func TestFall(t *testing.T) {
	s35 := `
job: sewer
code: irc-2021
levels: {ground: {grade: 0'}}
outlet: {to: public sewer, invert: -96", grade: -12"}
runs:
  bs: {joins: outlet, role: building sewer, size: 4, legs: [level 250'], slope: 1/4" per ft, place: outside, level: ground, invert: {upper: -24"}, carries: {units: 24}}
`
	got := fallOf(t, s35)
	for _, want := range []string{"-2 ft", "-8 ft", "250 ft", "1/4 in per ft (2.08 %, 1:48)", "9-1/2 in of fall left", "5 ft 2-1/2 in needed, 6 ft available; 9-1/2 in to spare"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
	got = fallOf(t, strings.Replace(s35, ` invert: -96",`, "", 1))
	if want := "It must be at or below -7 ft 2-1/2 in to serve bs."; !strings.Contains(got, want) {
		t.Errorf("no %q in\n%s", want, got)
	}
	got = fallOf(t, strings.Replace(s35, `, slope: 1/4" per ft, place: outside, level: ground, invert: {upper: -24"}`, ", place: outside, level: ground", 1))
	if want := "at least 1/8 in per ft"; !strings.Contains(got, want) || !strings.Contains(got, "?") {
		t.Errorf("no %q in\n%s", want, got)
	}
}
