package price

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"strings"

	"trapweir/engine/diag"
	"trapweir/engine/source"
)

// Item is one line of a price file.
type Item struct {
	Key      string `json:"item"`
	Unit     string `json:"unit"`
	Price    Money  `json:"price"`
	Supplier string `json:"supplier,omitempty"`
	Line     int    `json:"line"` // in the file, from 1
}

// List is a price file.
type List struct {
	File  string
	Items []Item
	by    map[string][]int
}

// ReadCSV reads a price file of comma (or semicolon) parted values, with or without a byte
// order mark. The first line names the columns, in any order: item, unit, price, supplier.
func ReadCSV(name string, text []byte) (*List, []diag.Diagnostic) {
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	r := csv.NewReader(bytes.NewReader(text))
	r.FieldsPerRecord, r.TrimLeadingSpace, r.Comment = -1, true, '#'
	if head, _, _ := bytes.Cut(text, []byte("\n")); bytes.Count(head, []byte(";")) > bytes.Count(head, []byte(",")) {
		r.Comma = ';'
	}
	var rows [][]string
	var lines []int
	for {
		rec, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			line := 1
			var pe *csv.ParseError
			if errors.As(err, &pe) {
				line, err = pe.Line, pe.Err
			}
			return nil, []diag.Diagnostic{fault(name, line, "the line cannot be read: "+err.Error(), `put double quotes around a text that has a comma, and double those inside: "3 x 2, long"`)}
		}
		at, _ := r.FieldPos(0)
		rows, lines = append(rows, rec), append(lines, at)
	}
	return FromRows(name, rows, lines)
}

func fault(name string, line int, message, try string) diag.Diagnostic {
	return diag.Diagnostic{
		Severity: diag.Error, Rule: "price-file", On: diag.Ref{What: diag.Job, Segment: -1},
		At: source.Span{File: name, Line: int32(line), Col: 1, EndCol: 2}, Message: message, Try: try,
	}
}

// FromRows reads the rows of a table, such as a sheet, the first of which names the
// columns. lines gives the line of each row; nil: they count from 1.
func FromRows(name string, rows [][]string, lines []int) (*List, []diag.Diagnostic) {
	l := &List{File: name, by: map[string][]int{}}
	var ds []diag.Diagnostic
	line := func(i int) int {
		if lines != nil {
			return lines[i]
		}
		return i + 1
	}
	col := map[string]int{}
	for i, row := range rows {
		cell := func(c string) string {
			if k, ok := col[c]; ok && k < len(row) {
				return strings.TrimSpace(row[k])
			}
			return ""
		}
		switch {
		case strings.TrimSpace(strings.Join(row, "")) == "":
			continue
		case len(col) == 0:
			for k, h := range row {
				h = strings.ToLower(strings.TrimSpace(h))
				switch h {
				case "item", "unit", "price", "supplier":
					if _, twice := col[h]; twice {
						return nil, append(ds, fault(name, line(i), "the column "+h+" is there twice", "keep one"))
					}
					col[h] = k
				}
			}
			for _, want := range []string{"item", "unit", "price"} {
				if _, ok := col[want]; !ok {
					return nil, append(ds, fault(name, line(i), "there is no column "+want, "name the columns in the first line: item, unit, price, supplier"))
				}
			}
			continue
		}
		item, price := cell("item"), cell("price")
		if item == "" {
			ds = append(ds, fault(name, line(i), "the line names no item", "write what it is: pvc pipe 3"))
			continue
		}
		if price == "" {
			continue // not priced yet: missing, and said so where it is wanted
		}
		m, err := ParseMoney(price)
		if err != nil {
			ds = append(ds, fault(name, line(i), item+": "+err.Error(), ""))
			continue
		}
		k := key(item)
		l.by[k] = append(l.by[k], len(l.Items))
		l.Items = append(l.Items, Item{item, unitWord(cell("unit")), m, cell("supplier"), line(i)})
	}
	if len(col) == 0 {
		return nil, append(ds, fault(name, 1, "the file is empty", "name the columns in the first line: item, unit, price, supplier"))
	}
	return l, ds
}

// key brings an item to the form that is compared: small letters, single spaces, no inch
// marks.
func key(s string) string {
	s = strings.NewReplacer(`"`, "", "″", "", "×", "x").Replace(strings.ToLower(s))
	var out []string
	for _, w := range strings.Fields(s) {
		if w != "in" && w != "inch" {
			out = append(out, w)
		}
	}
	return strings.Join(out, " ")
}

// unitWord brings a unit to one word for it.
func unitWord(s string) string {
	s = key(s)
	switch s {
	case "", "each", "pc", "piece", "pcs":
		return "ea"
	case "foot", "feet", "lf", "'":
		return "ft"
	case "pt":
		return "pint"
	case "qt":
		return "quart"
	case "gal":
		return "gallon"
	case "cy", "yd", "cubic yard":
		return "cu yd"
	case "m³", "cu m", "cubic metre", "cubic meter":
		return "m3"
	case "tn", "tons":
		return "ton"
	case "hr", "hour", "hours", "h":
		return "hour"
	}
	for _, w := range []string{"hours/", "hrs/", "hr/", "h/"} {
		if rest, ok := strings.CutPrefix(s, w); ok {
			return "hour/" + unitWord(rest)
		}
	}
	s = strings.ReplaceAll(s, "'", " ft")
	return strings.Join(strings.Fields(s), " ")
}

// Find returns the cheapest item of a name and unit; of two alike, the first in the file.
func (l *List) Find(name, unit string) (Item, bool) {
	var best Item
	ok := false
	for _, i := range l.by[key(name)] {
		if x := l.Items[i]; x.Unit == unit && (!ok || x.Price < best.Price) {
			best, ok = x, true
		}
	}
	return best, ok
}
