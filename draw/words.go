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
	lines := make([]string, 0, 2)
	space := textwidth.Width(" ", size, w)
	for more := true; more; {
		var para string
		para, words, more = strings.Cut(words, "\n")
		para = plainly(para)
		from, wide := 0, 0.0 // where the line begins, and how wide it is
		for at := 0; at < len(para); {
			end := len(para)
			if k := strings.IndexByte(para[at:], ' '); k >= 0 {
				end = at + k
			}
			word := textwidth.Width(para[at:end], size, w)
			switch {
			case at == from:
				wide = word
			case wide+space+word <= width:
				wide += space + word
			default:
				lines = append(lines, para[from:at-1])
				from, wide = at, word
			}
			at = end + 1
		}
		lines = append(lines, para[from:])
	}
	return lines
}

// plainly gives words with one space between any two.
func plainly(words string) string {
	last := byte(' ')
	for i := range len(words) {
		c := words[i]
		if c >= 0x80 || c < ' ' || c == ' ' && last == ' ' {
			return strings.Join(strings.Fields(words), " ")
		}
		last = c
	}
	return strings.TrimSuffix(words, " ")
}

// Leading is the distance of baselines, as a multiple of the height of capitals.
const Leading = 1.75

// Lines sets lines of text below each other, the top of the first line's capitals at t.At
// (whatever t.VAlign says), and gives the depth they take.
func Lines(t Text, lines []string) (shapes []Shape, depth float64) {
	t.VAlign = AtTop
	shapes = make([]Shape, 0, len(lines))
	for i, l := range lines {
		if l != "" {
			n := t
			n.Words = l
			n.At.Y += Depth(&t, i+1) - t.Height()
			shapes = append(shapes, n)
		}
	}
	return shapes, Depth(&t, len(lines))
}

// Depth is what n lines of text take, set as t is: from the top of the first line's
// capitals to the foot of the last line's.
func Depth(t *Text, n int) float64 {
	return t.Height() * (1 + Leading*float64(max(n, 1)-1))
}
