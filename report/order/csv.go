package order

import (
	"encoding/csv"
	"io"
	"strings"

	"trapweir/engine/price"
)

// Columns are the columns of the CSV file, in order: a promise (docs/order.md). A column
// may be added at the end.
var Columns = []string{"line", "phase", "group", "qty", "unit", "size", "item", "material", "standard", "net", "net unit", "runs", "unit price", "extended", "supplier", "notes", "price item"}

// CSV writes the order for a spreadsheet: UTF-8 with a byte order mark, lines ended by CR
// LF, texts that a spreadsheet would take for a formula guarded by an apostrophe. What is
// not measured follows the lines, without amounts.
func CSV(w io.Writer, p *price.Priced) error {
	if _, err := io.WriteString(w, "\ufeff"); err != nil {
		return err
	}
	c := csv.NewWriter(w)
	c.UseCRLF = true
	put := func(cells ...string) {
		for i := range cells {
			cells[i] = Guard(cells[i])
		}
		c.Write(cells) // an error stays with c and is returned below
	}
	put(append([]string(nil), Columns...)...)
	for _, r := range Rows(p) {
		l := r.Line
		qty, u, pr, ext := "", "", "", ""
		if r.Buys {
			qty, u = Count(r.Cost.N), r.Cost.Unit
			if r.Cost.Known {
				pr, ext = r.Cost.Price.String(), r.Cost.Extended.String()
			}
		}
		net, runs := "", ""
		if r.First {
			net, runs = Amount(l.Unit, l.Qty, p.Order.Units), Runs(l.Line, p.Order.Units)
		}
		put(Count(int64(r.Index)*1000), l.Phase.String(), l.Group, qty, u, l.Size, l.Item, l.Material, l.Standard, net, UnitWord(l.Unit, p.Order.Units), runs, pr, ext, r.Cost.Supplier, Notes(l.Line), l.Key())
	}
	for i := range p.Order.NotMeasured {
		x := &p.Order.NotMeasured[i]
		put("", x.Phase.String(), "not measured", "", "", x.Size, x.What, x.Material, "", "", "", strings.Join(x.Runs, ", "), "", "", "", x.Why+": "+x.Ask, "")
	}
	c.Flush()
	return c.Error()
}

// Guard puts an apostrophe before a text that a spreadsheet would run as a formula: one
// that begins, after blanks and control characters, with = + - or @.
func Guard(s string) string {
	t := strings.TrimLeftFunc(s, func(r rune) bool { return r <= ' ' || r == '\u00a0' || r == '\ufeff' })
	if t != "" && strings.ContainsRune("=+-@＝＋－＠", []rune(t)[0]) || s != t && strings.ContainsAny(s[:len(s)-len(t)], "\t\r\n") {
		return "'" + s
	}
	return s
}
