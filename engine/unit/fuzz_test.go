package unit

import (
	"strings"
	"testing"
)

// What is read is written so that it reads back the same, and an error says something.

func FuzzParseLength(f *testing.F) {
	for _, s := range []string{`12' 3-1/2"`, "3 ft, 6 in", "½″", "-7’ 2”", "2.5 m", "about 15'", "1/3\"", "3'6", "9999999999 m", "−0.001 in"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		v, err := ParseLength(s)
		if err != nil {
			wellSaid(t, s, err)
			return
		}
		b, err := v.MarshalText()
		if err != nil {
			t.Fatalf("%q reads as %d, which cannot be written: %v", s, int64(v), err)
		}
		for _, text := range []string{string(b), v.String(), v.Inches(), v.In(Metric)} {
			if w, err := ParseLength(text); !strings.HasPrefix(text, "~") && (err != nil || w != v) {
				t.Fatalf("%q reads as %d, printed %q, which reads as %d, %v", s, int64(v), text, int64(w), err)
			}
		}
	})
}

func FuzzParseSize(f *testing.F) {
	for _, s := range []string{`1-1/2"`, "inch and a half", "DN 100", "dn50", `3" PVC`, "3x2", "1.9", "2½ inch"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		v, err := ParseSize(s)
		if err != nil {
			wellSaid(t, s, err)
			return
		}
		for _, text := range []string{v.String(), v.Short()} {
			if w, err := ParseSize(text); err != nil || w != v {
				t.Fatalf("%q reads as %d, printed %q, which reads as %d, %v", s, v, text, w, err)
			}
		}
	})
}

func FuzzParseSlope(f *testing.F) {
	for _, s := range []string{`1/4" per ft`, "2%", "1:50", "1 in 50", `18" in 50'`, "1/4 in 12", "quarter inch per foot", "20 mm per m", "level", "1 in 50 ft", "1/4 bubble"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		v, err := ParseSlope(s)
		if err != nil {
			wellSaid(t, s, err)
			return
		}
		if v.Run <= 0 || v.Fall < 0 || gcd(uint64(v.Fall), uint64(v.Run)) != 1 {
			t.Fatalf("%q reads as %d/%d, which is not in lowest terms", s, v.Fall, v.Run)
		}
		v.All()
		b, err := v.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		if w, err := ParseSlope(string(b)); err != nil || w != v {
			t.Fatalf("%q reads as %d/%d, written %q, which reads as %d/%d, %v", s, v.Fall, v.Run, b, w.Fall, w.Run, err)
		}
		if text := v.String(); !strings.HasPrefix(text, "~") && !strings.HasPrefix(text, "under") && len(text) < 24 {
			if w, err := ParseSlope(text); err != nil || w != v {
				t.Fatalf("%q reads as %d/%d, printed %q, which reads as %d/%d, %v", s, v.Fall, v.Run, text, w.Fall, w.Run, err)
			}
		}
	})
}

// wellSaid checks an error's form: a place inside the text, something wrong, something to write.
func wellSaid(t *testing.T, s string, err error) {
	t.Helper()
	e, ok := err.(*Error)
	if !ok || e.Text != s || e.Off < 0 || e.Off > len([]rune(s)) || e.Write == "" || strings.HasSuffix(e.Error(), ".") || strings.Contains(e.Error(), "\n") {
		t.Fatalf("%q: error %#v", s, err)
	}
}
