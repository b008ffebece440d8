package pdf

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"trapweir/draw"
	"trapweir/draw/internal/sample"
	"trapweir/draw/textwidth"
)

func set(t testing.TB) []byte {
	t.Helper()
	b, err := Render([]*draw.Sheet{sample.Symbols(), sample.House("tabloid"), sample.House("letter")},
		Options{Title: "Heron Lane — 3″ stack", Subject: "Sample set", Date: time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC)})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestReproducible(t *testing.T) {
	first := set(t)
	for range 5 {
		if !bytes.Equal(first, set(t)) {
			t.Fatal("the same sheets gave different bytes")
		}
	}
}

// tool runs a program over the PDF and gives what it says.
func tool(t *testing.T, doc []byte, pkg, name string, args ...string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Skipf("NOT TESTED: %s is missing; install %s", name, pkg)
	}
	file := filepath.Join(t.TempDir(), "a.pdf")
	if err := os.WriteFile(file, doc, 0o644); err != nil {
		t.Fatal(err)
	}
	for i, a := range args {
		if a == "FILE" {
			args[i] = file
		}
	}
	out, err := exec.Command(path, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
	return string(out)
}

func TestStructure(t *testing.T) {
	if out := tool(t, set(t), "qpdf", "qpdf", "--check", "FILE"); !strings.Contains(out, "No syntax or stream encoding errors") {
		t.Errorf("qpdf finds errors:\n%s", out)
	}
}

func TestObjects(t *testing.T) {
	out := tool(t, set(t), "qpdf", "qpdf", "--qdf", "--object-streams=disable", "FILE", "-")
	for what, pattern := range map[string]string{
		"three pages":            `/Count 3\b`,
		"language":               `/Lang \(en\)`,
		"layers":                 `/OCProperties`,
		"a bookmark for a sheet": `/Type /Outlines|/Outlines`,
		"tabloid, lying":         `/MediaBox \[\s*0\s+0\s+1224(\.00)?\s+792`,
		"letter, lying":          `/MediaBox \[\s*0\s+0\s+792(\.00)?\s+612`,
		"date as given":          `/CreationDate \(D:20261125080000`,
		"no library name":        `/Producer`,
	} {
		if !regexp.MustCompile(pattern).MatchString(out) {
			t.Errorf("the file lacks %s (%s)", what, pattern)
		}
	}
	if n := strings.Count(out, "/Type /OCG"); n < 8 {
		t.Errorf("%d layers, expected one for each layer of the sheets", n)
	}
}

func TestFontsEmbedded(t *testing.T) {
	out := tool(t, set(t), "poppler-utils", "pdffonts", "FILE")
	lines := strings.Split(strings.TrimSpace(out), "\n")[2:]
	if len(lines) != 2 {
		t.Errorf("fonts, expected Inter in two weights:\n%s", out)
	}
	for _, l := range lines {
		if !regexp.MustCompile(`(?i)inter.*TrueType.*Identity-H\s+yes`).MatchString(l) {
			t.Errorf("font is not embedded Inter: %s", l)
		}
	}
}

// Words come out as they went in, quotes, fractions and dashes included.
func TestText(t *testing.T) {
	s := &draw.Sheet{Number: "P-1", Title: "Words", W: 200, H: 100}
	want := []string{`3" S 1/4"/FT (17)`, "Größe ½ × 3″ ≤ 45°", "HALL BATH LAV", `back\slash (and) <angle>`}
	for i, l := range want {
		s.Add(draw.Text{Mark: draw.Mark{Layer: draw.LayerText}, At: draw.Point{X: 10, Y: 10 + 15*float64(i)}, Words: l, Weight: textwidth.Weight(i % 2)})
	}
	b, err := Render([]*draw.Sheet{s}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	got := strings.Fields(tool(t, b, "poppler-utils", "pdftotext", "-layout", "FILE", "-"))
	if g, w := strings.Join(got, " "), strings.Join(want, " "); g != w {
		t.Errorf("text reads %q, want %q", g, w)
	}
}

// Words stand where the sheet says: poppler measures their boxes.
func TestTextPlace(t *testing.T) {
	s := &draw.Sheet{W: 200, H: 100}
	right := draw.Text{Mark: draw.Mark{Layer: draw.LayerText}, At: draw.Point{X: 150, Y: 40}, Words: "CLEANOUT", Align: draw.Right, Size: 5}
	s.Add(right)
	b, err := Render([]*draw.Sheet{s}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	out := tool(t, b, "poppler-utils", "pdftotext", "-bbox", "FILE", "-")
	m := regexp.MustCompile(`xMin="([\d.]+)" yMin="[\d.]+" xMax="([\d.]+)"`).FindStringSubmatch(out)
	if m == nil {
		t.Fatalf("no word found:\n%s", out)
	}
	x0, x1 := number(t, m[1])/k, number(t, m[2])/k
	if w := right.Width(); x1 < 149.95 || x1 > 150.05 || x0 < 150-w-0.05 || x0 > 150-w+0.05 {
		t.Errorf("the word reaches from %.2f to %.2f mm, expected %.2f to 150", x0, x1, 150-w)
	}
}

func TestDraws(t *testing.T) {
	dir := t.TempDir()
	tool(t, set(t), "poppler-utils", "pdftoppm", "-r", "60", "-gray", "-f", "2", "-l", "2", "-singlefile", "FILE", filepath.Join(dir, "a"))
	b, err := os.ReadFile(filepath.Join(dir, "a.pgm"))
	if err != nil {
		t.Fatal(err)
	}
	dark := 0
	for _, v := range b[20:] {
		if v < 128 {
			dark++
		}
	}
	if share := float64(dark) / float64(len(b)); share < 0.005 || share > 0.1 {
		t.Errorf("%.2f %% of the picture is dark: expected between 0.5 and 10", share*100)
	}
}

func TestNoTimeUnknown(t *testing.T) {
	b, err := Render([]*draw.Sheet{{W: 100, H: 100}}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(b, []byte("D:20000101000000")) {
		t.Error("a file without a date should bear the fixed one")
	}
}

func BenchmarkRender2000(b *testing.B) {
	s := []*draw.Sheet{sample.Many(2000)}
	for b.Loop() {
		if _, err := Render(s, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSet(b *testing.B) {
	for b.Loop() {
		set(b)
	}
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
