package svg

import (
	"strconv"

	"trapweir/draw"
)

const hexDigits = "0123456789abcdef"

func (w *writer) hex(c [3]uint8) {
	w.byte('#')
	for _, v := range c {
		w.byte(hexDigits[v>>4])
		w.byte(hexDigits[v&15])
	}
}

// style writes the rules for the layers in use. Those of a fine sheet are the more
// specific ones, so that both kinds can stand on the same page.
func (w *writer) style(fine, dark bool) {
	sel := ".sheet "
	if fine {
		sel = ".sheet.fine "
	}
	// paint writes a property with an ink; readers without variables keep the first.
	paint := func(property string, ink draw.Ink) {
		w.str(property)
		w.byte(':')
		w.hex(ink.RGB())
		if dark {
			w.str(";" + property + ":var(--" + ink.String() + ")")
		}
	}
	page := func() {
		w.str("fill:#ffffff")
		if dark {
			w.str(";fill:var(--page)")
		}
	}
	dashes := func(d draw.Dash) {
		w.str("stroke-dasharray:")
		for i, v := range d.MM() {
			if i > 0 {
				w.byte(' ')
			}
			w.str(strconv.FormatFloat(v, 'f', -1, 64))
		}
		if d == draw.Solid {
			w.str("none;stroke-linecap:round")
		} else {
			w.str(";stroke-linecap:butt")
		}
	}
	width := func(v draw.Width) {
		w.str("stroke-width:")
		w.str(strconv.FormatFloat(v.MM(fine), 'f', -1, 64))
	}

	w.str("<style>\n")
	if dark {
		for _, mode := range []struct {
			open, page, end string
			rgb             func(draw.Ink) [3]uint8
		}{
			{".sheet{", "#ffffff", "}\n", draw.Ink.RGB},
			{"@media screen and (prefers-color-scheme:dark){.sheet{", "#14161a", "}}\n", draw.Ink.RGBDark},
		} {
			w.str(mode.open + "--page:" + mode.page)
			for i := range draw.Ink(draw.InkCount) {
				w.str(";--" + i.String() + ":")
				w.hex(mode.rgb(i))
			}
			w.str(mode.end)
		}
	}
	w.str(".sheet{font-family:Inter,sans-serif;font-kerning:none;font-variant-ligatures:none;fill:none;stroke-linejoin:round}\n.sheet .page{")
	page()
	w.str("}\n")
	for l := range draw.Layer(draw.LayerCount) {
		if !w.used[l] {
			continue
		}
		name, p := l.String(), l.Pen()
		w.str(sel + "." + name + "{")
		paint("stroke", l.Ink())
		w.byte(';')
		width(p.Width)
		w.byte(';')
		dashes(p.Dash)
		w.str("}\n" + sel + "text." + name + "," + sel + "." + name + ".ink," + sel + "." + name + ".tint{stroke:none;")
		paint("fill", l.Ink())
		w.str("}\n")
	}
	for v := draw.Hair; v <= draw.Broad; v++ {
		w.str(sel + "." + v.String() + "{")
		width(v)
		w.str("}\n")
	}
	for d := range draw.Dash(draw.DashCount) {
		w.str(sel + "." + d.String() + "{")
		dashes(d)
		w.str("}\n")
	}
	w.str(sel + ".paper{")
	page()
	w.str("}\n" + sel + ".tint{fill-opacity:.1}\n" + sel + ".strong{font-weight:700}\n" + sel + "text.soft{")
	paint("fill", draw.Grey)
	w.str("}\n</style>\n")
}
