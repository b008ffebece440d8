package svg

import (
	"image/png"
	"os"
	"testing"
)

// shares gives the share of dark points in a picture.
func shares(t *testing.T, path string) float64 {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	b := img.Bounds()
	dark := 0
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			if r, g, bl, _ := img.At(x, y).RGBA(); r+g+bl < 3*0x8000 {
				dark++
			}
		}
	}
	return float64(dark) / float64(b.Dx()*b.Dy())
}
