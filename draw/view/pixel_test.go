package view_test

import (
	"bytes"
	"context"
	"encoding/base64"
	"fmt"
	"image"
	imagedraw "image/draw"
	_ "image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"trapweir/draw"
	"trapweir/draw/dxf"
	"trapweir/draw/font"
	"trapweir/draw/pdf"
	"trapweir/draw/svg"
	"trapweir/draw/textwidth"
	"trapweir/draw/view"
)

// A browser and a PDF reader, neither of them ours, show the same sheets: every part of
// the permit set is rendered as SVG by Chromium and as PDF by Poppler, at the same size,
// and compared in squares of 4 by 4 points, so that the smoothing of edges does not count.
func TestBrowserAndPDFAgree(t *testing.T) {
	browser := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			browser = p
			break
		}
	}
	if browser == "" {
		t.Skip("NOT TESTED: SVG against PDF, as there is no chromium on this machine (apt-get install chromium)")
	}
	if _, err := exec.LookPath("pdftoppm"); err != nil {
		t.Skip("NOT TESTED: SVG against PDF, as there is no pdftoppm on this machine (apt-get install poppler-utils)")
	}
	var sheets []*draw.Sheet
	kinds := map[string]bool{}
	for _, s := range view.Sheets(example(t, "alder-court"), view.Options{Paper: "letter"}) {
		if kind := s.Number[:3]; !kinds[kind] {
			kinds[kind] = true
			sheets = append(sheets, s)
		}
	}
	const px = 96 / 25.4 // points for a millimetre, in a browser and with pdftoppm -r 96
	w, h := int(math.Round(sheets[0].W*px)), int(math.Round(sheets[0].H*px))
	dir := t.TempDir()

	var page bytes.Buffer
	page.WriteString("<!doctype html><meta charset=utf-8><style>")
	for weight, ttf := range map[int][]byte{400: font.Regular, 700: font.Bold} {
		fmt.Fprintf(&page, "@font-face{font-family:Inter;font-weight:%d;src:url(data:font/ttf;base64,%s)}", weight, base64.StdEncoding.EncodeToString(ttf))
	}
	fmt.Fprintf(&page, "body{margin:0;background:#fff}div{height:%dpx;width:%dpx;overflow:hidden}svg{display:block}</style>", h, w)
	for _, s := range sheets {
		fmt.Fprintf(&page, "<div>%s</div>", svg.Render(s, svg.Options{}))
	}
	html, shot := filepath.Join(dir, "set.html"), filepath.Join(dir, "set.png")
	if err := os.WriteFile(html, page.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithTimeout(context.Background(), 90*time.Second)
	defer stop()
	c := exec.CommandContext(ctx, browser, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--force-device-scale-factor=1", "--disable-dev-shm-usage",
		"--user-data-dir="+filepath.Join(dir, "profile"), fmt.Sprintf("--window-size=%d,%d", w, h*len(sheets)), "--screenshot="+shot, "file://"+html)
	if out, err := c.CombinedOutput(); err != nil {
		t.Fatalf("chromium: %v\n%s", err, out)
	}
	b, err := pdf.Render(sheets, pdf.Options{})
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(dir, "set.pdf")
	if err := os.WriteFile(file, b, 0o644); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("pdftoppm", "-r", "96", "-gray", "-png", file, filepath.Join(dir, "pdf")).CombinedOutput(); err != nil {
		t.Fatalf("pdftoppm: %v\n%s", err, out)
	}
	pages, err := filepath.Glob(filepath.Join(dir, "pdf-*.png"))
	if err != nil || len(pages) != len(sheets) {
		t.Fatalf("%d pages of %d were rendered (%v)", len(pages), len(sheets), err)
	}
	seen := squares(t, shot)
	for i, s := range sheets {
		got, want := seen[i*h/side:(i+1)*h/side], squares(t, pages[i])
		sum, off, ink := 0.0, 0, 0
		for y := range min(len(got), len(want)) {
			for x := range min(len(got[y]), len(want[y])) {
				d := math.Abs(got[y][x] - want[y][x])
				sum += d
				if d > 0.3 {
					off++
				}
				if want[y][x] < 0.9 {
					ink++
				}
			}
		}
		all := float64(len(want) * len(want[0]))
		if ink < 300 {
			t.Errorf("%s: the PDF shows next to nothing", s.Name())
		}
		t.Logf("%s: mean difference %.3f %%, %d squares of %.0f far off", s.Name(), sum/all*100, off, all)
		if sum/all > 0.02 || float64(off) > all*0.001 {
			t.Errorf("%s: browser and PDF differ by %.2f %% on the mean, %d squares of %.0f far off", s.Name(), sum/all*100, off, all)
		}
	}
}

// side of the squares that are compared, in points.
const side = 4

// squares gives the mean brightness, 0 to 1, of the squares of a picture, row by row.
func squares(t *testing.T, path string) [][]float64 {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, _, err := image.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	b := img.Bounds()
	grey := image.NewGray(image.Rect(0, 0, b.Dx(), b.Dy()))
	imagedraw.Draw(grey, grey.Bounds(), img, b.Min, imagedraw.Src)
	out := make([][]float64, b.Dy()/side)
	for y := range out {
		out[y] = make([]float64, b.Dx()/side)
		for x := range out[y] {
			sum := 0.0
			for dy := range side {
				at := grey.PixOffset(x*side, y*side+dy)
				for _, v := range grey.Pix[at : at+side] {
					sum += float64(v)
				}
			}
			out[y][x] = sum / 0xff / side / side
		}
	}
	return out
}

// A DXF library that is not ours reads the sheets of a set without a complaint, and finds
// every word on its layer and every named thing.
func TestDXFReadsBack(t *testing.T) {
	py := ""
	for _, p := range []string{"/usr/bin/python3", "python3"} {
		if exec.Command(p, "-c", "import ezdxf").Run() == nil {
			py = p
			break
		}
	}
	if py == "" {
		t.Skip("NOT TESTED: DXF files of a set were not read back, because ezdxf is missing; install python3-ezdxf")
	}
	r := example(t, "alder-court")
	section, _ := view.Section(r, view.Options{Paper: "tabloid"})
	list := []*draw.Sheet{view.Isometric(r, view.Options{}), view.Plan(r, view.Below, view.Options{Paper: "tabloid"}), section}
	list = append(list, view.Details(r, view.Options{Paper: "tabloid"})...)
	for _, j := range from(t, "testdata/hard") { // old pipe, skew pipe, metric, on letter
		list = append(list, view.Plan(j.r, view.Plans(j.r)[0], view.Options{Paper: "letter"}))
	}
	for _, s := range list {
		file := filepath.Join(t.TempDir(), "a.dxf")
		if err := os.WriteFile(file, dxf.Render(s), 0o644); err != nil {
			t.Fatal(err)
		}
		c := exec.Command(py, "../dxf/testdata/read.py", file)
		c.Env = append(os.Environ(), "PYTHONIOENCODING=utf-8")
		out, err := c.Output()
		if err != nil {
			t.Fatalf("%s: ezdxf cannot read the file: %v", s.Name(), err)
		}
		facts := map[string]int{}
		for _, l := range strings.Split(string(out), "\n") {
			facts[l]++
		}
		scale := 1.0
		if s.Scale > 0 {
			scale = s.Scale
		}
		if want := fmt.Sprintf("units 4 measure 1 lfac %s", dxfNumber(scale)); facts[want] != 1 {
			t.Errorf("%s: the file is not in millimetres, or measures otherwise than %s", s.Name(), want)
		}
		for name, n := range inserted(s) {
			if facts[fmt.Sprintf("block %s %d", name, n)] != 1 {
				t.Errorf("%s: ezdxf does not find %d times the block %s", s.Name(), n, name)
			}
		}
		if facts["errors 0 fixes 0"] != 1 {
			t.Errorf("%s: ezdxf finds fault:\n%s", s.Name(), out)
		}
		draw.Walk(s.Shapes, func(sh draw.Shape, _ *draw.SymbolRef) {
			x, ok := sh.(draw.Text)
			if !ok || x.Words == "" {
				return
			}
			weight := "REGULAR"
			if x.Weight == textwidth.Bold {
				weight = "BOLD"
			}
			fact := fmt.Sprintf("text %s %.2f %s %s", strings.ToUpper(x.Layer.String()), x.Height(), weight, x.Words)
			if facts[fact]--; facts[fact] < 0 {
				t.Errorf("%s: ezdxf does not find: %s", s.Name(), fact)
			}
		})
		for f, n := range facts {
			if strings.HasPrefix(f, "text ") && n > 0 {
				t.Errorf("%s: the file says what the sheet does not: %s", s.Name(), f)
			}
		}
	}
}

// dxfNumber writes a number as it comes back from a file with four places.
func dxfNumber(v float64) string { return fmt.Sprintf("%.6g", math.Round(v*1e4)/1e4) }

// inserted counts the symbols of a sheet that lie as they are, without words, and of which
// there is one form only.
func inserted(s *draw.Sheet) map[string]int {
	out := map[string]int{}
	for _, name := range []string{"flow-arrow", "break-mark", "north-arrow"} {
		n := 0
		draw.Walk(s.Shapes, func(sh draw.Shape, _ *draw.SymbolRef) {
			ref, ok := sh.(draw.SymbolRef)
			if !ok || ref.Name != name {
				return
			}
			_, _, rigid := ref.Place.Rigid()
			for _, k := range ref.Strokes {
				_, text := k.(draw.Text)
				rigid = rigid && !text
			}
			if rigid {
				n++
			}
		})
		if n > 0 {
			out[strings.ToUpper(name)] = n
		}
	}
	return out
}
