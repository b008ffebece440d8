package textwidth

import (
	"math"
	"testing"

	"codeberg.org/go-pdf/fpdf"

	"trapweir/draw/font"
)

var lines = []string{
	"",
	`3" S  1/4"/FT  (17)`,
	"2″ V — 1-½″ × 6′-0⅜″ ≤ Ø 45°",
	"Größe, Ålesund, naïve, Łódź",
	"TO PUBLIC SEWER, IE 96.42",
	"→ ✓ № Жук",
}

// The widths are held against another reader of the same font files, which measures in
// thousandths of an em and rounds each character to one: half a unit a character is agreement.
func TestWidthAgreesWithPDFReader(t *testing.T) {
	f := fpdf.New("P", "mm", "A4", "")
	f.AddUTF8FontFromBytes("Inter", "", font.Regular)
	f.AddUTF8FontFromBytes("Inter", "B", font.Bold)
	for _, w := range []Weight{Regular, Bold} {
		f.SetFont("Inter", map[Weight]string{Regular: "", Bold: "B"}[w], 12)
		f.SetFontUnitSize(FontSize(2.5))
		for _, s := range lines {
			got, want := Width(s, 2.5, w), f.GetStringWidth(s)
			if tol := 0.0006 * FontSize(2.5) * float64(len([]rune(s))); math.Abs(got-want) > tol+1e-9 {
				t.Errorf("%v %q: %.3f mm wide, the PDF library measures %.3f", w, s, got, want)
			}
		}
	}
}

func TestHas(t *testing.T) {
	for _, r := range `aZ09"'½¼¾⅛⅜⅝⅞⁄′″°Ø×≤≥→²³µ±–—“”•✓△` {
		if !Has(r) {
			t.Errorf("the font should have %q", r)
		}
	}
	// Measured absent when the font was chosen.
	for _, r := range "⌀∠⊥日\x7f\u0081" {
		if Has(r) {
			t.Errorf("the font should lack %q", r)
		}
	}
}

// Capitals of 2.5 mm are set at 3.44 mm: Inter's capitals are 1490 of 2048 units high
// (OS/2 table of the font).
func TestFontSize(t *testing.T) {
	if got := FontSize(2.5); math.Abs(got-3.4362) > 0.0001 {
		t.Errorf("capitals of 2.5 mm are set at %.4f mm, want 3.4362", got)
	}
}

func TestWidthAllocatesNothing(t *testing.T) {
	if n := testing.AllocsPerRun(100, func() { Width(lines[2], 2.5, Bold) }); n != 0 {
		t.Errorf("Width allocates %v times", n)
	}
}

func BenchmarkWidth(b *testing.B) {
	for b.Loop() {
		Width(`3" S  1/4"/FT  (17)`, 2.5, Regular)
	}
}
