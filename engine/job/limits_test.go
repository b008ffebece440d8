package job

import (
	"bytes"
	"strings"
	"testing"
	"time"
)

func TestLimits(t *testing.T) {
	if j, ds := Read("t", bytes.Repeat([]byte("# "), MaxBytes/2+1)); j != nil || len(ds) != 1 || !strings.Contains(ds[0].Message, "bytes") {
		t.Errorf("a file too large: %v %s", j, tell(ds))
	}
	var b strings.Builder
	b.WriteString("job: t\nruns:\n")
	for i := range 500 {
		b.WriteString("  r" + itoa(i) + ": {joins: outlet, sise: 3}\n")
	}
	j, ds := Read("t", []byte(b.String()))
	if len(ds) != MaxFault+1 || ds[MaxFault].Message != "and 300 more faults in this file" || len(j.Runs) != 500 {
		t.Errorf("%d faults, the last %q, %d runs", len(ds), ds[len(ds)-1].Message, len(j.Runs))
	}
	// Keys without number, in one mapping and as names.
	for _, form := range []string{"k%: 1, ", "a: 1, "} {
		b.Reset()
		b.WriteString("job: t\nruns: {a: {joins: outlet, ")
		for i := range 60000 {
			b.WriteString(strings.Replace(form, "%", itoa(i), 1))
		}
		b.WriteString("}}\n")
		start := time.Now()
		if _, ds := Read("t", []byte(b.String())); len(ds) != MaxFault+1 {
			t.Errorf("%d faults", len(ds))
		}
		if d := time.Since(start); d > 5*time.Second {
			t.Errorf("60000 keys took %v", d)
		}
	}
	for _, s := range []string{"job: \x00", "job: \x07", "job: \xff\xfe", "\xff\xfej\x00o\x00", "job: \u0080", "a\tb: {", "'", "\"", "- ", "? ", ": ", "[[", "%", "&a", "*a", "!", "|", "job: t\x85runs", "\ufeff", "\r", "---", "...", "{}", "[]", "~"} {
		j, ds := Read("t", []byte(s))
		if len(ds) == 0 {
			t.Errorf("%q is accepted: %+v", s, j)
		}
		for _, d := range ds {
			if d.Try == "" || d.At.IsZero() {
				t.Errorf("%q: %+v", s, d)
			}
		}
	}
}

// What is plainly another kind of file is named, before anything is made of its bytes.
func TestOtherKindsOfFile(t *testing.T) {
	for text, want := range map[string]string{
		"%PDF-1.7\n%\xe2\xe3\n":               "the file is a PDF, no text of a job",
		"PK\x03\x04\x14\x00":                  "the file is a packed file (a workbook, a document or a zip), no text of a job",
		"\x89PNG\r\n\x1a\n":                   "the file is a picture, no text of a job",
		"\xff\xfej\x00o\x00b\x00:\x00 \x00":   "the file is UTF-16 text, no text of a job",
		"j\x00o\x00b\x00:\x00 \x00":           "the file is UTF-16 text, no text of a job",
		"\x00j\x00o\x00b\x00:\x00 \x00x":      "the file is UTF-16 text, no text of a job",
		"job: t\x00\nruns: {a: {joins: b}}\n": "a control character stands here: 0x0",
	} {
		_, ds := Read("t", []byte(text))
		if len(ds) != 1 || ds[0].Message != want || ds[0].Try == "" {
			t.Errorf("%q: %+v, want %q", text, ds, want)
		}
	}
}

// A hostile file of the largest size is answered in seconds, however it is made up.
func TestHostileFilesEnd(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	fill := func(head, part, tail string) []byte {
		return []byte(head + strings.Repeat(part, (MaxBytes/4-len(head)-len(tail))/len(part)) + tail)
	}
	count := func(head, a, b, tail string) []byte {
		var s strings.Builder
		s.WriteString(head)
		for i := 0; s.Len() < MaxBytes/4; i++ {
			s.WriteString(a + itoa(i) + b)
		}
		s.WriteString(tail)
		return []byte(s.String())
	}
	for name, b := range map[string][]byte{
		"a list on one line":      fill("job: t\nnotes: [", "a,", "]\nruns: {a: {joins: outlet}}"),
		"quoted on one line":      fill("job: t\nnotes: [", "'é',", "]\nruns: {a: {joins: outlet}}"),
		"block texts":             fill("job: t\nnotes:\n", " - |\n  x\n", ""),
		"levels under each other": count("job: t\nruns: {a: {joins: outlet}}\nlevels: {", "l", ": {under: 'nobody é'}, ", "}"),
		"runs on one line":        count("job: t\nruns: {", "'é", "': {flush: 'x'}, ", "}"),
		"legs in one value":       fill("job: t\nruns: {a: {joins: outlet, legs: '", "Q 4 ft,", "'}}"),
		"carries in one value":    fill("job: t\nruns: {a: {joins: outlet, carries: '", "1 x and ", "'}}"),
		"brackets":                fill("", "[", ""),
		"anchors":                 count("job: t\nnotes: [", "&a", " x, ", "]"),
		"a key that is long":      fill("job: t\nruns: {a: {", "x", ": 1}}"),
	} {
		start := time.Now()
		_, ds := Read("t", b)
		if len(ds) > MaxFault+1 {
			t.Errorf("%s: %d faults", name, len(ds))
		}
		if d := time.Since(start); d > 10*time.Second {
			t.Errorf("%s: %v", name, d)
		} else {
			t.Logf("%s: %v, %d faults", name, d.Round(time.Millisecond), len(ds))
		}
	}
}

// Whatever can be read is read, in spite of faults around it.
func TestFaultsDoNotHideTheRest(t *testing.T) {
	j, ds := Read("t", []byte("job: t\nlevels: [x]\nruns:\n  a: {joins: outlet, size: 7, slope: 2%, legs: [Q 3', E 4']}\n  b: {joins: a, fixture: lavatory, fitting: te}\nvents:\n  v: {from: [a, [b]], ends: capped}\n"))
	if len(ds) != 5 {
		t.Errorf("faults:\n%s", tell(ds))
	}
	if len(j.Runs) != 2 || j.Runs[0].Slope.V.Run != 50 || len(j.Runs[0].Legs) != 1 || j.Runs[0].Size.V != 0 || j.Runs[1].Fixture.Kind.Text != "lavatory" ||
		len(j.Vents) != 1 || len(j.Vents[0].From) != 1 || j.Vents[0].Ends.Text != "capped" {
		t.Errorf("read as %+v", j)
	}
}

// A job can be typed from the top: no step of it breaks the reader, and what is missing
// is said.
func TestTypingAJob(t *testing.T) {
	whole := string(docExample(t))
	for i := range whole {
		j, ds := Read("t", []byte(whole[:i]))
		if j == nil && len(ds) != 1 {
			t.Fatalf("%q: no job and %d faults", whole[:i], len(ds))
		}
	}
	for _, c := range []struct {
		text   string
		faults int
	}{
		{"job: t\n", 1},
		{"job: t\nruns:\n", 1},
		{"job: t\nruns:\n  sewer:\n", 1},
		{"job: t\nruns:\n  sewer: {joins: outlet}\n", 0},
	} {
		if j, ds := Read("t", []byte(c.text)); len(ds) != c.faults || j == nil || j.Title.Text != "t" {
			t.Errorf("%q: %s", c.text, tell(ds))
		}
	}
}

func TestPlacesOfFaults(t *testing.T) {
	for _, c := range []struct{ text, under string }{
		{"job: t\nruns: {a: {joins: outlet, size: 7¾}}", "7¾"},
		{"job: t # ½ é\nruns: {é ü: {joins: outlet, size: '9\"'}}", `'9"'`},
		{"\ufeffjob: t\nruns: {a: {joins: outlet, note: é, size: \"7\"}}", `"7"`},
		{"\ufeffruns: {a: {joins: outlet, size: 7 in}}\njob: t", "7 in"},
		{"job: t\r\nruns:\r\n  a:\r\n    joins: outlet\r\n    size: nine\r\n      inches\r\n", "nine"},
		{"job: t\nruns: {a: {joins: outlet, size: 'nine\n   inches'}}", "'nine"},
		{"job: t\nruns:\n  a:\n    joins: outlet\n    legs: E 3', Ö 4', S 2'\n", ""},
	} {
		j, ds := Read("t", []byte(c.text))
		if len(ds) != 1 || j == nil {
			t.Errorf("%q: %s", c.text, tell(ds))
			continue
		}
		e := echo{t: j.text}
		if got := e.written(ds[0].At); c.under != "" && got != c.under {
			t.Errorf("%q: %q is underlined, want %q", c.text, got, c.under)
		}
	}
	j := read(t, "job: t\nruns:\n  a:\n    joins: outlet\n    legs: E 3½', down 4'\n")
	e := echo{t: j.text}
	if got := e.written(j.Runs[0].Legs[1].At); got != "down 4'" {
		t.Errorf("second leg is at %q", got)
	}
}

func TestEcho(t *testing.T) {
	j := read(t, string(docExample(t))+"\nclimate: {design temperature: -20 C, snow: 24\"}\n")
	var b strings.Builder
	for _, r := range Echo(j) {
		b.WriteString(r.On.What.String() + " " + r.On.Name + ": " + r.What + " " + r.Text + " = " + r.Read + "\n")
	}
	golden(t, "echo.golden.txt", b.String())
	for _, c := range accepted(t) {
		j := read(t, c.text)
		for _, r := range Echo(j) {
			if r.Text == "" || r.Read == "" || r.At.IsZero() {
				t.Errorf("%s: %+v", c.name, r)
			}
		}
	}
}

func FuzzRead(f *testing.F) {
	for _, c := range append(accepted(f), rejected(f)...) {
		f.Add([]byte(c.text))
	}
	f.Add(house())
	f.Fuzz(func(t *testing.T, b []byte) {
		j, ds := Read("t", b)
		if j == nil && len(ds) == 0 {
			t.Fatal("no job and no fault")
		}
		if len(ds) > MaxFault+1 {
			t.Fatalf("%d faults", len(ds))
		}
		for _, d := range ds {
			if d.At.Line < 1 || d.At.Col < 1 || d.At.EndCol <= d.At.Col {
				t.Fatalf("fault at %+v: %s", d.At, d.Message)
			}
		}
		for _, r := range Echo(j) {
			if r.At.IsZero() {
				t.Fatalf("%+v", r)
			}
		}
	})
}
