package web

import (
	"fmt"
	"net/http"
	"strings"

	"trapweir/draw"
	"trapweir/draw/font"
)

// typeface serves the type that the drawings are set in, so that the page matches them.
func typeface(w http.ResponseWriter, r *http.Request) {
	var b []byte
	switch r.PathValue("weight") {
	case "regular.ttf":
		b = font.Regular
	case "bold.ttf":
		b = font.Bold
	default:
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", "font/ttf")
	w.Header().Set("Cache-Control", "max-age=86400")
	_, _ = w.Write(b)
}

// inks sets the inks of drawings for readers who choose light or dark by hand; by itself
// a drawing follows the system.
func inks(w http.ResponseWriter, _ *http.Request) {
	var b strings.Builder
	for _, mode := range []struct {
		name string
		rgb  func(draw.Ink) [3]uint8
	}{{"light", draw.Ink.RGB}, {"dark", draw.Ink.RGBDark}} {
		fmt.Fprintf(&b, ":root[data-theme=%s] svg.sheet{--page:transparent", mode.name)
		for i := range draw.Ink(draw.InkCount) {
			c := mode.rgb(i)
			fmt.Fprintf(&b, ";--%s:#%02x%02x%02x", i, c[0], c[1], c[2])
		}
		b.WriteString("}\n")
	}
	w.Header().Set("Content-Type", "text/css")
	_, _ = w.Write([]byte(b.String()))
}
