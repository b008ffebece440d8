// Package textwidth says how wide words are on a drawing, from a table made out of the
// font files once (go generate), so that layout never opens a font and every writer
// agrees on where a line of text ends.
//
// Widths are sums of advances, without kerning: the PDF writer sets text that way, and the
// SVG writer switches kerning off.
package textwidth

//go:generate go run gen.go

// Weight is a weight of the family.
type Weight uint8

const (
	Regular Weight = iota
	Bold
)

// String gives "regular" or "bold".
func (w Weight) String() string {
	if w == Bold {
		return "bold"
	}
	return "regular"
}

// run is a stretch of characters beyond the direct table that share an advance.
type run struct{ lo, hi, adv uint16 }

// Width gives the width in millimetres of one line of text whose capitals are size
// millimetres high. A character that the font lacks counts as the box that is drawn
// instead. It allocates nothing.
func Width(s string, size float64, w Weight) float64 {
	direct, runs := &regular, regularRuns
	if w == Bold {
		direct, runs = &bold, boldRuns
	}
	sum := 0
	for _, r := range s {
		if r >= first && r < first+rune(len(direct)) {
			sum += int(direct[r-first])
			continue
		}
		sum += int(look(runs, r))
	}
	return float64(sum) * size / capHeight
}

// Has tells whether both weights of the font can draw r.
func Has(r rune) bool {
	if r >= first && r < first+rune(len(regular)) {
		return regularHas[(r-first)/64]&(1<<(uint(r-first)%64)) != 0
	}
	return find(regularRuns, r) >= 0 && find(boldRuns, r) >= 0
}

func look(runs []run, r rune) uint16 {
	if i := find(runs, r); i >= 0 {
		return runs[i].adv
	}
	return missing
}

func find(runs []run, r rune) int {
	lo, hi := 0, len(runs)
	for lo < hi {
		m := (lo + hi) / 2
		switch {
		case r < rune(runs[m].lo):
			hi = m
		case r > rune(runs[m].hi):
			lo = m + 1
		default:
			return m
		}
	}
	return -1
}

// FontSize gives the em size, in the unit of size, at which capitals are size high.
func FontSize(size float64) float64 { return size * unitsPerEm / capHeight }

// Descent is how far p, q and commas reach below the baseline, and Ascent how far b and
// brackets reach above it, as a share of the height of capitals.
const (
	Descent = float64(-descender) / capHeight
	Ascent  = float64(ascender) / capHeight
)
