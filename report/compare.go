package report

import (
	"slices"
	"sort"
	"strconv"

	"trapweir/engine"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/rules"
	"trapweir/engine/unit"
	"trapweir/engine/vent"
)

// Comparison is one job under several books. A list in a row has an entry for each book, in
// the order of Books.
type Comparison struct {
	Format   string       `json:"format"`
	Books    []Basis      `json:"books"`
	Totals   []Totals     `json:"totals"`
	Sizes    []SizeRow    `json:"sizes"`
	Traps    []TrapRow    `json:"traps"`
	Findings []FindingRow `json:"findings"`
	// Largest holds, of each run and vent whose size differs, what meets the sizes of all.
	Largest []LargestRow  `json:"largest"`
	Same    CompareCounts `json:"same"`
}

// LargestRow is the largest size that any of the books asks of a run or vent.
type LargestRow struct {
	Name string `json:"name"`
	Size string `json:"size"`
	By   []int  `json:"by"` // which books ask for it, counted from 0
}

// CompareCounts says how much is the same under every book.
type CompareCounts struct {
	Sizes    int `json:"sizes"`
	Traps    int `json:"traps"`
	Findings int `json:"findings"`
}

// SizeRow is a run or vent whose required size differs, by book, with what governs it.
type SizeRow struct {
	Name  string   `json:"name"`
	Sizes []string `json:"sizes"`
	Why   []string `json:"why"`
}

// TrapRow is a trap whose verdict or way of venting differs.
type TrapRow struct {
	Run    string   `json:"run"`
	Answer []string `json:"answer"`
	At     []string `json:"at"` // where each book prints it, "" where it prints nothing
}

// FindingRow is a finding that not every book makes, or not with the same limit or weight.
type FindingRow struct {
	Rule string   `json:"rule"`
	On   string   `json:"on"`
	Says []string `json:"says"` // "" where the book does not say it
	At   []string `json:"at"`   // where each book prints the rule, "" where it has no such rule
	// Silent says why a book does not say it: it has no such rule, it is not checked there,
	// or nothing is wrong by it; "" where it says it.
	Silent []string `json:"silent"`
}

// CompareDoc sets the results of one job under several books side by side and keeps what
// differs.
func CompareDoc(rs []*engine.Result) Comparison {
	c := Comparison{Format: Format, Totals: []Totals{}, Sizes: []SizeRow{}, Traps: []TrapRow{}, Findings: []FindingRow{}, Largest: []LargestRow{}}
	for _, r := range rs {
		doc := Document(r)
		c.Books = append(c.Books, doc.Basis)
		c.Totals = append(c.Totals, doc.Totals)
	}
	if len(rs) == 0 {
		return c
	}
	c.compareSizes(rs)
	c.compareTraps(rs)
	c.compareFindings(rs)
	return c
}

func (c *Comparison) size(name string, sizes []unit.Size, why []string) {
	row := SizeRow{Name: name, Why: why}
	top := LargestRow{Name: name}
	most := slices.Max(sizes)
	for k, s := range sizes {
		row.Sizes = append(row.Sizes, s.String())
		if s == most {
			top.By = append(top.By, k)
		}
	}
	if allSame(row.Sizes) {
		c.Same.Sizes++
		return
	}
	top.Size = most.String()
	c.Sizes, c.Largest = append(c.Sizes, row), append(c.Largest, top)
}

func (c *Comparison) compareSizes(rs []*engine.Result) {
	n := rs[0].Net
	for i := range n.Runs {
		if len(n.Runs[i].Segs) == 0 {
			continue
		}
		var sizes []unit.Size
		var whys []string
		for _, r := range rs {
			segs := r.Net.Runs[i].Segs
			s := segs[len(segs)-1]
			sizes = append(sizes, r.Sizes.Required[s])
			whys = append(whys, reasonLine(r.Sizes.Governing(rootOf(r, s))))
		}
		c.size(n.Runs[i].Name, sizes, whys)
	}
	for _, i := range ventOrder(n) {
		var sizes []unit.Size
		var whys []string
		for _, r := range rs {
			sizes = append(sizes, r.Vents.Size[i].Required)
			why := ""
			if len(r.Vents.Size[i].Reasons) > 0 {
				why = reasonLine(r.Vents.Size[i].Reasons[0])
			}
			whys = append(whys, why)
		}
		c.size(n.Vents[i].Name, sizes, whys)
	}
}

// rootOf walks up a run as long as a piece is only as large as the piece above it, to the one
// whose reason is its own, or another run's.
func rootOf(r *engine.Result, s network.SegID) network.SegID {
	for hops := 0; hops < len(r.Net.Segs); hops++ {
		if r.Sizes.Governing(s).Kind != "upstream" {
			return s
		}
		next := network.SegID(network.None)
		for _, u := range r.Net.Up(s) {
			if r.Net.Segs[u].Run == r.Net.Segs[s].Run && r.Sizes.Required[u] >= r.Sizes.Required[s] {
				next = u
			}
		}
		if next == network.None {
			return s
		}
		s = next
	}
	return s
}

func (c *Comparison) compareTraps(rs []*engine.Result) {
	n := rs[0].Net
	for k := range n.Runs {
		i := n.Runs[k].Fixture
		if i == network.None {
			continue
		}
		row := TrapRow{Run: n.Runs[k].Name}
		var short []string
		for _, r := range rs {
			t := &r.Vents.Trap[i]
			m, at := vent.NoMethod, ""
			if rd := t.Reading(); rd != nil {
				m, at = rd.Method, rd.Cite.At
				if t.Verdict == vent.NotProtected && len(rd.Fails) > 0 {
					at = citeLine(rd.Fails[0].Cites)
				}
			}
			short = append(short, t.Verdict.String()+m.String())
			row.Answer = append(row.Answer, r.Vents.Words(r.Net, i))
			row.At = append(row.At, at)
		}
		if allSame(short) {
			c.Same.Traps++
			continue
		}
		c.Traps = append(c.Traps, row)
	}
}

// compareFindings sets faults and warnings side by side, by rule and thing. They are the same
// where every book says them with one weight and one limit.
func (c *Comparison) compareFindings(rs []*engine.Result) {
	type cell struct {
		says, at, mark string
	}
	rows := map[string][]cell{}
	var keys []string
	for k, r := range rs {
		for i := range r.Findings {
			d := &r.Findings[i]
			if d.Severity == diag.Unchecked || d.Severity == diag.Info {
				continue
			}
			key := d.Rule + "\x00" + d.On.Name
			if rows[key] == nil {
				rows[key] = make([]cell, len(rs))
				keys = append(keys, key)
			}
			if x := &rows[key][k]; x.says == "" {
				*x = cell{d.Message, citeLine(d.Cites), strconv.Itoa(int(d.Severity)) + d.Limit}
			}
		}
	}
	sort.Strings(keys)
	for _, key := range keys {
		var marks []string
		for _, x := range rows[key] {
			marks = append(marks, x.mark)
		}
		if allSame(marks) {
			c.Same.Findings++
			continue
		}
		row := FindingRow{}
		for i := range key {
			if key[i] == 0 {
				row.Rule, row.On = key[:i], key[i+1:]
			}
		}
		for k, x := range rows[key] {
			at, silent := x.at, ""
			if x.says == "" {
				at, silent = whySilent(rs[k], row.Rule, row.On)
			}
			row.Says, row.At, row.Silent = append(row.Says, x.says), append(row.At, at), append(row.Silent, silent)
		}
		c.Findings = append(c.Findings, row)
	}
}

// whySilent says why a book does not make a finding that another one makes, and where it
// prints the rule.
func whySilent(r *engine.Result, rule, on string) (at, silent string) {
	x := rules.Find(rule)
	if x != nil && x.Clause != "" {
		c, ok := r.Book.Clause(x.Clause)
		if !ok {
			return "", "has no such rule"
		}
		at = citeLine([]diag.Cite{c})
	}
	for i := range r.Findings {
		d := &r.Findings[i]
		if d.Rule != rule || d.On.Name != on {
			continue
		}
		switch d.Severity {
		case diag.Unchecked:
			return at, "not checked: " + d.Ask
		case diag.Info:
			return at, "a note only: " + d.Message
		}
	}
	return at, "nothing is wrong by it"
}

func allSame(s []string) bool {
	for _, x := range s[1:] {
		if x != s[0] {
			return false
		}
	}
	return true
}
