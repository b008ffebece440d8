package report

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

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
	p := comparison{w: w, heads: bookHeads(c.Books)}
	for k, b := range c.Books {
		p.wide = max(p.wide, len(p.heads[k]))
		text := b.Title
		if over := overIt(&b); len(over) > 0 {
			text += "; over it " + strings.Join(over, ", ")
		}
		if len(b.LeftOut) > 0 {
			text += "; without " + strings.Join(b.LeftOut, ", ") + ": not written for this book"
		}
		p.say("  "+p.heads[k]+": ", "    ", text)
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
			p.told(r.Answer, r.At)
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
	if len(c.Largest) > 0 && len(rs) > 1 {
		fmt.Fprintf(w, "SIZES THAT MEET ALL %d\n", len(rs))
		for _, r := range c.Largest {
			var by []string
			for _, k := range r.By {
				by = append(by, p.heads[k])
			}
			p.say("  "+r.Name+"  ", "      ", r.Size+", asked by "+strings.Join(by, ", "))
		}
		p.say("", "", "That is sizes only: falls, vents and the rest stand above, as each book has them.")
		fmt.Fprintln(w)
	}
	p.say("", "", fmt.Sprintf("The same under all %d: %s, %s, %s.", len(rs), count(c.Same.Sizes, "size"), count(c.Same.Traps, "trap"), count(c.Same.Findings, "finding")))
	p.say("", "", "Which book is in force where you build, and what lies over it, your building department tells you.")
	p.say("", "", Caution)
}

// overIt names the layers that lie over a book.
func overIt(b *Basis) (out []string) {
	for _, l := range b.Layers {
		if l.Kind == "local amendment" || l.Kind == "shop practice" {
			out = append(out, l.ID)
		}
	}
	return out
}

// bookHeads are the words that books stand under: their ids, with their layers where one book
// stands there twice.
func bookHeads(books []Basis) []string {
	n := map[string]int{}
	for i := range books {
		n[books[i].Code]++
	}
	out := make([]string, len(books))
	for i := range books {
		if out[i] = books[i].Code; n[out[i]] > 1 {
			out[i] += "+" + strings.Join(overIt(&books[i]), "+")
			out[i] = strings.TrimSuffix(out[i], "+")
		}
	}
	return out
}

// comparison prints one.
type comparison struct {
	w     io.Writer
	heads []string // ids of the books
	wide  int
}

// totals prints what is at the outlet and how much is found: a column for each book, or a row
// where so many columns are wider than a page.
func (p *comparison) totals(c *Comparison, rs []*engine.Result) {
	ts := c.Totals
	if across := len("units at the outlet") + len(rs)*(2+max(p.wide, 8)); across > compareWide {
		p.totalsDown(c, rs)
		return
	}
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

// totalsDown prints the same with a row for each book.
func (p *comparison) totalsDown(c *Comparison, rs []*engine.Result) {
	fmt.Fprintln(p.w, "AT THE OUTLET, AND WHAT IS FOUND")
	t := newTable("", "units", "size", "faults", "warnings", "not checked")
	for i := range c.Totals {
		x := &c.Totals[i]
		units := x.Units.String()
		if x.AtLeast {
			units += " or more"
		}
		t.add(p.heads[i], units, rs[i].Sizes.Required[rs[i].Net.Outlet].String(), strconv.Itoa(x.Errors), strconv.Itoa(x.Warnings), strconv.Itoa(x.Unchecked))
	}
	t.write(p.w)
	for i := range c.Books {
		if out := c.Books[i].LeftOut; len(out) > 0 {
			p.say("", "  ", p.heads[i]+": layers left out: "+strings.Join(out, ", "))
		}
	}
	fmt.Fprintln(p.w)
}

// told prints what each book says, those that say the same in one place.
func (p *comparison) told(says, at []string) {
	done := make([]bool, len(says))
	for k, s := range says {
		if done[k] {
			continue
		}
		if len(says) <= apart {
			p.line(max(p.wide, 9), p.heads[k], s+inBrackets(at[k]))
			continue
		}
		var who []string
		for i := k; i < len(says); i++ {
			if says[i] == s {
				done[i] = true
				who = append(who, p.heads[i]+inBrackets(at[i]))
			}
		}
		p.say("    ", "      ", strings.Join(who, ", ")+": "+strings.TrimPrefix(s, "- "))
	}
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
		p.line(9, s, strings.Join(who, ", ")+": "+why)
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
	says := slices.Clone(r.Says)
	for k, s := range says {
		if s == "" {
			says[k] = "- " + r.Silent[k]
		}
	}
	p.told(says, r.At)
}

func inBrackets(at string) string {
	if at == "" {
		return ""
	}
	return " [" + at + "]"
}

// compareWide is how wide a comparison is: two of them stand beside each other on a screen.
const compareWide = 80

// apart is up to how many books have a line each; of more, those that say the same share one.
const apart = 3

// say prints text behind first, broken over lines that begin with others.
func (p *comparison) say(first, others, text string) {
	for i, l := range wrapText(text, compareWide-max(utf8.RuneCountInString(first), len(others))) {
		if i > 0 {
			first = others
		}
		fmt.Fprintln(p.w, first+l)
	}
}

// line prints text behind a word, broken over lines that begin below it.
func (p *comparison) line(wide int, word, text string) {
	wide = min(wide, 22)
	if len(word) > wide {
		fmt.Fprintln(p.w, "    "+word)
		word = ""
	}
	for i, l := range wrapText(text, compareWide-5-wide) {
		if i > 0 {
			word = ""
		}
		fmt.Fprintf(p.w, "    %-*s %s\n", wide, word, l)
	}
}
