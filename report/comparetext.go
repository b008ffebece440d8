package report

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"trapweir/engine"
)

// Compare prints where books differ on a job: the sums, then every size, trap and finding
// that is not the same under all of them, each with what governs it and where that is printed.
func Compare(w io.Writer, rs []*engine.Result) {
	c := CompareDoc(rs)
	if len(rs) == 0 {
		return
	}
	fmt.Fprintln(w, rs[0].Job.Title.Text)
	p := comparison{w: w}
	for _, b := range c.Books {
		p.heads = append(p.heads, b.Code)
		p.wide = max(p.wide, len(b.Code))
		var over []string
		for _, l := range b.Layers {
			if l.Kind == "local amendment" || l.Kind == "shop practice" {
				over = append(over, l.ID)
			}
		}
		with := ""
		if len(over) > 0 {
			with = "; over it " + strings.Join(over, ", ")
		}
		if len(b.LeftOut) > 0 {
			with += "; without " + strings.Join(b.LeftOut, ", ") + ": not written for this book"
		}
		fmt.Fprintf(w, "  %s: %s%s\n", b.Code, b.Title, with)
	}
	fmt.Fprintln(w)
	p.totals(&c, rs)
	if len(c.Sizes) > 0 {
		fmt.Fprintln(w, "SIZES THAT DIFFER")
		for i := range c.Sizes {
			p.sizes(&c.Sizes[i])
		}
		fmt.Fprintln(w)
	}
	if len(c.Traps) > 0 {
		fmt.Fprintln(w, "TRAPS WHOSE VENTING IS READ DIFFERENTLY")
		for _, r := range c.Traps {
			fmt.Fprintf(w, "  %s\n", r.Run)
			for k, a := range r.Answer {
				p.line(p.heads[k], a+inBrackets(r.At[k]))
			}
		}
		fmt.Fprintln(w)
	}
	if len(c.Findings) > 0 {
		fmt.Fprintln(w, "FINDINGS THAT DIFFER")
		for i := range c.Findings {
			p.finding(&c.Findings[i])
		}
		fmt.Fprintln(w)
	}
	fmt.Fprintf(w, "The same under all %d: %s, %s, %s.\n", len(rs), count(c.Same.Sizes, "size"), count(c.Same.Traps, "trap"), count(c.Same.Findings, "finding"))
	caution(w)
}

// comparison prints one.
type comparison struct {
	w     io.Writer
	heads []string // ids of the books
	wide  int
}

func (p *comparison) totals(c *Comparison, rs []*engine.Result) {
	ts := c.Totals
	t := newTable(append([]string{""}, p.heads...)...)
	row := func(word string, of func(i int) string) {
		cells := []string{word}
		for i := range ts {
			cells = append(cells, of(i))
		}
		t.add(cells...)
	}
	row("units at the outlet", func(i int) string {
		if ts[i].AtLeast {
			return "at least " + ts[i].Units.String()
		}
		return ts[i].Units.String()
	})
	row("size at the outlet", func(i int) string { return rs[i].Sizes.Required[rs[i].Net.Outlet].String() })
	row("faults", func(i int) string { return strconv.Itoa(ts[i].Errors) })
	row("warnings", func(i int) string { return strconv.Itoa(ts[i].Warnings) })
	row("not checked", func(i int) string { return strconv.Itoa(ts[i].Unchecked) })
	for i := range c.Books {
		if len(c.Books[i].LeftOut) > 0 {
			row("layers left out", func(i int) string { return strings.Join(c.Books[i].LeftOut, ", ") })
			break
		}
	}
	t.write(p.w)
	fmt.Fprintln(p.w)
}

// sizes prints the sizes of one run or vent: the books that ask for the same for the same
// reason on one line, each with where it prints it.
func (p *comparison) sizes(r *SizeRow) {
	fmt.Fprintf(p.w, "  %s\n", r.Name)
	done := make([]bool, len(r.Sizes))
	for k, s := range r.Sizes {
		if done[k] {
			continue
		}
		why, _ := cutPlace(r.Why[k])
		var who []string
		for i := k; i < len(r.Sizes); i++ {
			if head, at := cutPlace(r.Why[i]); r.Sizes[i] == s && head == why {
				done[i] = true
				who = append(who, p.heads[i]+at)
			}
		}
		p.line(s, strings.Join(who, ", ")+": "+why)
	}
}

// cutPlace parts a reason and the printed place behind it in brackets.
func cutPlace(s string) (head, at string) {
	if i := strings.LastIndex(s, " ["); i >= 0 && strings.HasSuffix(s, "]") {
		return s[:i], s[i:]
	}
	return s, ""
}

func (p *comparison) finding(r *FindingRow) {
	fmt.Fprintf(p.w, "  %s [%s]\n", r.On, r.Rule)
	for k, s := range r.Says {
		if s == "" {
			s = "- " + r.Silent[k]
		}
		p.line(p.heads[k], s+inBrackets(r.At[k]))
	}
}

func inBrackets(at string) string {
	if at == "" {
		return ""
	}
	return " [" + at + "]"
}

// line prints text under a word, broken over lines that begin below it.
func (p *comparison) line(word, text string) {
	for i, l := range wrapText(text, 100) {
		if i > 0 {
			word = ""
		}
		fmt.Fprintf(p.w, "    %-*s %s\n", max(p.wide, 9), word, l)
	}
}
