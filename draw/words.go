package draw

import (
	"strconv"
	"strings"

	"trapweir/draw/textwidth"
)

// number writes v in plain figures, without needless zeros.
func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// Wrap breaks words into lines that fit into width millimetres. A word that is too long by
// itself gets its own line and sticks out, which Audit reports; nothing is cut off.
func Wrap(words string, size float64, w textwidth.Weight, width float64) []string {
	var lines []string
	space := textwidth.Width(" ", size, w)
	for _, para := range strings.Split(words, "\n") {
		list := strings.Fields(para)
		from, wide := 0, 0.0 // where the line begins, and how wide it is
		for i, word := range list {
			more := textwidth.Width(word, size, w)
			switch {
			case i == from:
				wide = more
			case wide+space+more <= width:
				wide += space + more
			default:
				lines = append(lines, strings.Join(list[from:i], " "))
				from, wide = i, more
			}
		}
		lines = append(lines, strings.Join(list[from:], " "))
	}
	return lines
}

// Leading is the distance of baselines, as a multiple of the height of capitals.
const Leading = 1.75

// Lines sets lines of text below each other, the top of the first line's capitals at t.At
// (whatever t.VAlign says), and gives the depth they take.
func Lines(t Text, lines []string) (shapes []Shape, depth float64) {
	t.VAlign = AtTop
	for i, l := range lines {
		if i > 0 {
			depth += t.Height() * Leading
		}
		if l == "" {
			continue
		}
		n := t
		n.Words = l
		n.At.Y += depth
		shapes = append(shapes, n)
	}
	return shapes, depth + t.Height()
}
