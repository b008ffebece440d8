package report

import (
	"fmt"
	"io"
	"sort"
	"strings"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/size"
	"trapweir/engine/unit"
	"trapweir/engine/vent"
)

// WhyPage is everything that was weighed for one run.
type WhyPage struct {
	Format   string            `json:"format"`
	Run      string            `json:"run"`
	Pieces   []size.Why        `json:"pieces,omitempty"`
	Trap     string            `json:"trap,omitempty"`
	Readings []WhyReading      `json:"readings,omitempty"`
	Vent     *Vent             `json:"vent,omitempty"`
	Findings []diag.Diagnostic `json:"findings"`
}

// WhyReading is one way in which a trap's venting was read.
type WhyReading struct {
	Method vent.Method       `json:"method"`
	Vent   string            `json:"vent,omitempty"`
	Holds  bool              `json:"holds"`
	Fails  []diag.Diagnostic `json:"fails,omitempty"`
	Asks   []diag.Diagnostic `json:"asks,omitempty"`
	Cite   diag.Cite         `json:"cite"`
}

// WhyDoc collects what Why prints.
func WhyDoc(r *engine.Result, name string) (WhyPage, bool) {
	x, ok := r.Net.Find(name)
	if !ok {
		return WhyPage{}, false
	}
	p := WhyPage{Format: Format, Run: name, Findings: []diag.Diagnostic{}}
	for _, d := range r.Findings {
		if d.On.Name == name {
			p.Findings = append(p.Findings, d)
		}
	}
	if x.Run == network.None {
		v := ventDoc(r, x.Vent)
		p.Vent = &v
		return p, true
	}
	run := &r.Net.Runs[x.Run]
	for _, s := range run.Segs {
		p.Pieces = append(p.Pieces, r.Sizes.Explain(s))
	}
	if f := run.Fixture; f != network.None {
		p.Trap = r.Vents.Words(r.Net, f)
		for i := range r.Vents.Trap[f].Readings {
			rd := &r.Vents.Trap[f].Readings[i]
			w := WhyReading{Method: rd.Method, Holds: rd.Holds(), Fails: rd.Fails, Asks: rd.Asks, Cite: rd.Cite}
			if rd.Vent != network.None {
				w.Vent = r.Net.Vents[rd.Vent].Name
			}
			p.Readings = append(p.Readings, w)
		}
	}
	return p, true
}

// Comparison is one job under several books.
type Comparison struct {
	Format   string        `json:"format"`
	Books    []Basis       `json:"books"`
	Sizes    []SizeRow     `json:"sizes"`
	Traps    []TrapRow     `json:"traps"`
	Findings []FindingRow  `json:"findings"`
	Same     CompareCounts `json:"same"`
}

// CompareCounts says how much is the same under every book.
type CompareCounts struct {
	Sizes    int `json:"sizes"`
	Traps    int `json:"traps"`
	Findings int `json:"findings"`
}

// SizeRow is a run or vent whose required size differs, by book.
type SizeRow struct {
	Name  string   `json:"name"`
	Sizes []string `json:"sizes"`
	Why   []string `json:"why"`
}

// TrapRow is a trap whose verdict or way of venting differs.
type TrapRow struct {
	Run    string   `json:"run"`
	Answer []string `json:"answer"`
}

// FindingRow is a finding that not every book makes.
type FindingRow struct {
	Rule string   `json:"rule"`
	On   string   `json:"on"`
	Says []string `json:"says"` // "" where the book does not say it
}

// CompareDoc sets the results of one job under several books side by side and keeps what
// differs.
func CompareDoc(rs []*engine.Result) Comparison {
	c := Comparison{Format: Format, Sizes: []SizeRow{}, Traps: []TrapRow{}, Findings: []FindingRow{}}
	for _, r := range rs {
		c.Books = append(c.Books, Document(r).Basis)
	}
	if len(rs) == 0 {
		return c
	}
	n := rs[0].Net
	for i := range n.Runs {
		if len(n.Runs[i].Segs) == 0 {
			continue
		}
		row := SizeRow{Name: n.Runs[i].Name}
		for _, r := range rs {
			segs := r.Net.Runs[i].Segs
			s := segs[len(segs)-1]
			row.Sizes = append(row.Sizes, r.Sizes.Required[s].String())
			row.Why = append(row.Why, reasonLine(r.Sizes.Governing(s)))
		}
		if allSame(row.Sizes) {
			c.Same.Sizes++
			continue
		}
		c.Sizes = append(c.Sizes, row)
	}
	for _, i := range ventOrder(n) {
		row := SizeRow{Name: n.Vents[i].Name}
		for _, r := range rs {
			row.Sizes = append(row.Sizes, r.Vents.Size[i].Required.String())
			why := ""
			if len(r.Vents.Size[i].Reasons) > 0 {
				why = reasonLine(r.Vents.Size[i].Reasons[0])
			}
			row.Why = append(row.Why, why)
		}
		if allSame(row.Sizes) {
			c.Same.Sizes++
			continue
		}
		c.Sizes = append(c.Sizes, row)
	}
	for k := range n.Runs {
		i := n.Runs[k].Fixture
		if i == network.None {
			continue
		}
		row := TrapRow{Run: n.Runs[k].Name}
		var short []string
		for _, r := range rs {
			t := &r.Vents.Trap[i]
			m := vent.NoMethod
			if rd := t.Reading(); rd != nil {
				m = rd.Method
			}
			short = append(short, t.Verdict.String()+m.String())
			row.Answer = append(row.Answer, r.Vents.Words(r.Net, i))
		}
		if allSame(short) {
			c.Same.Traps++
			continue
		}
		c.Traps = append(c.Traps, row)
	}
	rows := map[string]*FindingRow{}
	var keys []string
	for k, r := range rs {
		for _, d := range r.Findings {
			if d.Severity == diag.Unchecked || d.Severity == diag.Info {
				continue
			}
			key := d.Rule + "\x00" + d.On.Name
			row := rows[key]
			if row == nil {
				row = &FindingRow{Rule: d.Rule, On: d.On.Name, Says: make([]string, len(rs))}
				rows[key] = row
				keys = append(keys, key)
			}
			if row.Says[k] == "" {
				row.Says[k] = d.Message
			}
		}
	}
	sort.Strings(keys)
	for _, k := range keys {
		all := true
		for _, s := range rows[k].Says {
			all = all && s != ""
		}
		if all {
			c.Same.Findings++
			continue
		}
		c.Findings = append(c.Findings, *rows[k])
	}
	return c
}

func allSame(s []string) bool {
	for _, x := range s[1:] {
		if x != s[0] {
			return false
		}
	}
	return true
}

// Compare prints where books differ on a job.
func Compare(w io.Writer, rs []*engine.Result) {
	c := CompareDoc(rs)
	if len(rs) > 0 {
		fmt.Fprintln(w, rs[0].Job.Title.Text)
	}
	var heads []string
	for _, b := range c.Books {
		heads = append(heads, b.Code)
		fmt.Fprintf(w, "  %s: %s\n", b.Code, b.Title)
	}
	fmt.Fprintln(w)
	if len(c.Sizes) > 0 {
		fmt.Fprintln(w, "SIZES THAT DIFFER")
		t := newTable(append([]string{"Run or vent"}, append(heads, "Because")...)...)
		for _, r := range c.Sizes {
			t.add(append(append([]string{r.Name}, r.Sizes...), heads[largest(r.Sizes)]+": "+r.Why[largest(r.Sizes)])...)
		}
		t.write(w)
		fmt.Fprintln(w)
	}
	if len(c.Traps) > 0 {
		fmt.Fprintln(w, "TRAPS WHOSE VENTING IS READ DIFFERENTLY")
		for _, r := range c.Traps {
			fmt.Fprintf(w, "  %s\n", r.Run)
			for k, a := range r.Answer {
				for i, l := range wrapText(a, 80) {
					h := heads[k]
					if i > 0 {
						h = ""
					}
					fmt.Fprintf(w, "    %-10s %s\n", h, l)
				}
			}
		}
		fmt.Fprintln(w)
	}
	if len(c.Findings) > 0 {
		fmt.Fprintln(w, "FINDINGS THAT NOT EVERY BOOK MAKES")
		for _, r := range c.Findings {
			fmt.Fprintf(w, "  %s [%s]\n", r.On, r.Rule)
			for k, s := range r.Says {
				if s == "" {
					s = "silent"
				}
				for i, l := range wrapText(s, 80) {
					h := heads[k]
					if i > 0 {
						h = ""
					}
					fmt.Fprintf(w, "    %-10s %s\n", h, l)
				}
			}
		}
		fmt.Fprintln(w)
	}
	fmt.Fprintf(w, "The same under all %d: %s, %s, %s.\n", len(rs), count(c.Same.Sizes, "size"), count(c.Same.Traps, "trap"), count(c.Same.Findings, "finding"))
	caution(w)
}

func largest(sizes []string) int {
	best := 0
	for i := range sizes {
		if len(strings.TrimSpace(sizes[i])) > 0 && sizeKey(sizes[i]) > sizeKey(sizes[best]) {
			best = i
		}
	}
	return best
}

// sizeKey orders printed sizes; it is for picking which book to quote, not for deciding.
func sizeKey(s string) int64 {
	v, err := unit.ParseSize(s)
	if err != nil {
		return 0
	}
	return int64(v)
}
