package report

import (
	"io"
	"strings"
	"unicode/utf8"
)

// table writes aligned columns: right-aligned where Right says so, two spaces between.
type table struct {
	head  []string
	right []bool
	rows  [][]string
	wrap  int // column that is wrapped to the width, -1 none
	width int
}

func newTable(head ...string) *table {
	t := &table{wrap: -1, width: 118}
	for _, h := range head {
		t.right = append(t.right, strings.HasPrefix(h, ">"))
		t.head = append(t.head, strings.TrimPrefix(h, ">"))
	}
	return t
}

func (t *table) add(cells ...string) { t.rows = append(t.rows, cells) }

func (t *table) write(w io.Writer) {
	widths := make([]int, len(t.head))
	for i, h := range t.head {
		widths[i] = utf8.RuneCountInString(h)
	}
	for _, r := range t.rows {
		for i, c := range r {
			widths[i] = max(widths[i], utf8.RuneCountInString(c))
		}
	}
	last := len(t.head) - 1
	used := 0
	for i := range last {
		used += widths[i] + 2
	}
	room := max(36, t.width-used)
	line := func(cells []string) {
		var b strings.Builder
		var more []string
		for i, c := range cells {
			if i == last && !t.right[i] {
				more = wrapText(c, room)
				if len(more) > 0 {
					b.WriteString(more[0])
					more = more[1:]
				}
				break
			}
			pad := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(c))
			if t.right[i] {
				b.WriteString(pad + c)
			} else {
				b.WriteString(c + pad)
			}
			if i < last {
				b.WriteString("  ")
			}
		}
		io.WriteString(w, strings.TrimRight(b.String(), " ")+"\n")
		for _, m := range more {
			io.WriteString(w, strings.Repeat(" ", used)+m+"\n")
		}
	}
	line(t.head)
	rule := make([]string, len(t.head))
	for i := range rule {
		n := widths[i]
		if i == last && !t.right[i] {
			n = min(n, room)
		}
		rule[i] = strings.Repeat("-", n)
	}
	line(rule)
	for _, r := range t.rows {
		line(r)
	}
}

// wrapText breaks words into lines of at most width characters; a longer word stands alone.
func wrapText(s string, width int) []string {
	var out []string
	line, n := "", 0
	for _, word := range strings.Fields(s) {
		k := utf8.RuneCountInString(word)
		if n > 0 && n+1+k > width {
			out = append(out, line)
			line, n = "", 0
		}
		if n > 0 {
			line += " "
			n++
		}
		line += word
		n += k
	}
	if n > 0 {
		out = append(out, line)
	}
	return out
}
