package svg

import (
	"bytes"
	"encoding/xml"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"trapweir/draw"
	"trapweir/draw/internal/golden"
	"trapweir/draw/internal/sample"
)

func TestGolden(t *testing.T) {
	golden.Check(t, "house.svg", Render(sample.House("tabloid"), Options{}))
	golden.Check(t, "symbols.svg", Render(sample.Symbols(), Options{}))
	golden.Check(t, "house-dark.svg", Render(sample.House("letter"), Options{Dark: true, Fluid: true}))
}

// walk reads the document to its end and calls f for every element.
func walk(t *testing.T, doc []byte, f func(xml.StartElement)) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(doc))
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return
		}
		if err != nil {
			t.Fatalf("not well formed: %v", err)
		}
		if e, ok := tok.(xml.StartElement); ok {
			f(e)
		}
	}
}

var ncName = regexp.MustCompile(`^[\pL_][\pL\pN_.-]*$`) // Namespaces in XML 1.0, without the rare letters

func TestWellFormed(t *testing.T) {
	for _, s := range []*draw.Sheet{sample.House("tabloid"), sample.House("letter"), sample.Symbols(), sample.Many(300)} {
		for _, o := range []Options{{}, {Dark: true}, {Fluid: true}} {
			ids := map[string]bool{}
			walk(t, Render(s, o), func(e xml.StartElement) {
				for _, a := range e.Attr {
					if a.Name.Local == "id" {
						if ids[a.Value] || !ncName.MatchString(a.Value) {
							t.Errorf("id %q is used twice or is no name", a.Value)
						}
						ids[a.Value] = true
					}
				}
			})
		}
	}
}

// Whatever the job says comes back as it was said, in text, titles and ids.
func TestEscapes(t *testing.T) {
	nasty := `</text><script>alert("1" & '2')</script>`
	s := &draw.Sheet{Title: nasty, Desc: nasty, W: 100, H: 100, Lang: `en"><script>`}
	s.Add(draw.Text{Mark: draw.Mark{Layer: draw.LayerText, ID: nasty, Title: nasty}, Words: nasty},
		draw.Text{Mark: draw.Mark{Layer: draw.LayerText}, Words: "bell\x07 bad\xff end\ufffe"},
		draw.Group{Mark: draw.Mark{Layer: draw.LayerDrain, ID: "2nd bath"}},
		draw.SymbolRef{Mark: draw.Mark{Layer: draw.LayerDrain}, Name: nasty})
	doc := Render(s, Options{})
	seen := map[string]bool{}
	walk(t, doc, func(e xml.StartElement) {
		if e.Name.Local == "script" {
			t.Error("text became an element")
		}
		for _, a := range e.Attr {
			seen[a.Name.Local+"="+a.Value] = true
		}
	})
	for _, want := range []string{"data-id=" + nasty, "data-symbol=" + nasty, "id=_2nd_bath", "data-id=2nd bath"} {
		if !seen[want] {
			t.Errorf("missing attribute %s", want)
		}
	}
	var root struct {
		Title string   `xml:"title"`
		Text  []string `xml:"text"`
	}
	if err := xml.Unmarshal(doc, &root); err != nil {
		t.Fatal(err)
	}
	if root.Title != nasty || len(root.Text) != 2 || root.Text[0] != nasty || root.Text[1] != "bell\uFFFD bad\uFFFD end\uFFFD" {
		t.Errorf("text came back as %q and %q", root.Title, root.Text)
	}
}

func TestID(t *testing.T) {
	for in, want := range map[string]string{
		"lav-1.arm":     "lav-1.arm",
		"hall bath lav": "hall_bath_lav",
		"2nd bath":      "_2nd_bath",
		"Küche":         "Küche",
		"a_b":           "a_x5f_b",
		`3" stack`:      "_3_x22__stack",
	} {
		if got := ID(in); got != want {
			t.Errorf("ID(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestMillimetres(t *testing.T) {
	for _, tt := range []struct {
		v    float64
		want string
	}{{0, "0.00"}, {-0.001, "0.00"}, {-0.005, "-0.01"}, {1.005, "1.00"}, {12.345, "12.35"}, {-3.1, "-3.10"}, {1e300, "0.00"}} {
		if got := string(appendMM(nil, tt.v)); got != tt.want {
			t.Errorf("%g is written %s, want %s", tt.v, got, tt.want)
		}
	}
}

// A renderer that is not ours draws the sheet, and what it draws is not blank.
func TestRenders(t *testing.T) {
	conv, err := exec.LookPath("rsvg-convert")
	if err != nil {
		t.Skip("NOT TESTED: rsvg-convert is missing; install librsvg2-bin")
	}
	for _, o := range []Options{{}, {Dark: true}} {
		dir := t.TempDir()
		in, out := filepath.Join(dir, "a.svg"), filepath.Join(dir, "a.png")
		if err := os.WriteFile(in, Render(sample.House("tabloid"), o), 0o644); err != nil {
			t.Fatal(err)
		}
		if msg, err := exec.Command(conv, "-w", "1200", in, "-o", out).CombinedOutput(); err != nil || len(msg) > 0 {
			t.Fatalf("rsvg-convert: %v %s", err, msg)
		}
		ink := shares(t, out)
		if ink < 0.005 || ink > 0.1 {
			t.Errorf("%.2f %% of the picture is dark: expected between 0.5 and 10", ink*100)
		}
	}
}

func TestOneElementALine(t *testing.T) {
	for i, l := range strings.Split(string(Render(sample.Many(50), Options{})), "\n") {
		if n := strings.Count(l, "<") - strings.Count(l, "</") - 2*strings.Count(l, "<title>"); n > 1 && !strings.Contains(l, "<title>") {
			t.Errorf("line %d holds %d elements: %s", i+1, n, l)
		}
	}
}

func BenchmarkRender2000(b *testing.B) {
	s := sample.Many(2000)
	for b.Loop() {
		Render(s, Options{})
	}
}
