// Package xlsx writes an order as a workbook whose sums are formulas, set up for print, and
// reads price files that are kept as one. It stands apart so that nothing else pulls in the
// library for it.
package xlsx

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"trapweir/engine/diag"
	"trapweir/engine/price"
	"trapweir/engine/takeoff"
	"trapweir/engine/unit"
	"trapweir/report/order"
)

// maxSheet bounds what is unpacked from a price file.
const maxSheet = 64 << 20

// ReadPrices reads the first sheet of a workbook as a price file: item, unit, price,
// supplier. Cells are read as they are shown.
func ReadPrices(name string, text []byte) (*price.List, []diag.Diagnostic) {
	f, err := excelize.OpenReader(bytes.NewReader(text), excelize.Options{UnzipSizeLimit: maxSheet, UnzipXMLSizeLimit: maxSheet, RawCellValue: true})
	if err != nil {
		return nil, []diag.Diagnostic{{Severity: diag.Error, Rule: "price-file", On: diag.Ref{What: diag.Job, Segment: -1}, Message: name + " cannot be read as a workbook: " + err.Error(), Try: "save it as .xlsx or .csv"}}
	}
	defer f.Close()
	rows, err := f.GetRows(f.GetSheetName(0))
	if err != nil {
		return nil, []diag.Diagnostic{{Severity: diag.Error, Rule: "price-file", On: diag.Ref{What: diag.Job, Segment: -1}, Message: name + ": the first sheet cannot be read: " + err.Error()}}
	}
	return price.FromRows(name, rows, nil)
}

// Options of a workbook.
type Options struct {
	Title string
	Units unit.System
	Paper int // of the format's list: 1 letter, 9 A4; 0 is letter
	// Beside are alternates to show on a sheet of their own; the first is the order itself.
	Beside []price.Column
}

// Sheet names: formulas refer to them.
const (
	sheetOrder = "Order"
	sheetDesk  = "Supply house"
	sheetRuns  = "Runs"
	sheetSaw   = "Saw list"
	sheetBent  = "Offsets"
	sheetWant  = "Measures wanted"
	sheetHours = "Hours"
	sheetStick = "Stock lengths"
	sheetOpen  = "Not measured"
	sheetAlter = "Alternates"
)

type book struct {
	f                                  *excelize.File
	err                                error
	bold, head, money, hours, wrap, ft int
	share, pad, top                    int
}

func (b *book) keep(err error) {
	if b.err == nil {
		b.err = err
	}
}

// Write writes the workbook. Unit prices and quantities are values, for the user to change;
// amounts, net amounts and totals are formulas over them.
func Write(w io.Writer, p *price.Priced, o Options) error {
	f := excelize.NewFile()
	defer f.Close()
	b := &book{f: f}
	style := func(s *excelize.Style) int {
		id, err := f.NewStyle(s)
		b.keep(err)
		return id
	}
	line := []excelize.Border{{Type: "bottom", Color: "000000", Style: 1}}
	top := &excelize.Alignment{Vertical: "top"}
	moneyFmt, hourFmt, ftFmt, pcFmt := "#,##0.00##", "0.00", "0.00", "0.00%"
	b.bold = style(&excelize.Style{Font: &excelize.Font{Bold: true}})
	b.head = style(&excelize.Style{Font: &excelize.Font{Bold: true}, Border: line, Alignment: &excelize.Alignment{Vertical: "bottom", WrapText: true}})
	b.money = style(&excelize.Style{CustomNumFmt: &moneyFmt, Alignment: top})
	b.hours = style(&excelize.Style{CustomNumFmt: &hourFmt, Alignment: top})
	b.ft = style(&excelize.Style{CustomNumFmt: &ftFmt, Alignment: top})
	b.share = style(&excelize.Style{CustomNumFmt: &pcFmt})
	b.wrap = style(&excelize.Style{Alignment: &excelize.Alignment{Vertical: "top", WrapText: true}})
	b.pad = style(&excelize.Style{Alignment: &excelize.Alignment{Horizontal: "left", Vertical: "top", Indent: 1}})
	b.top = style(&excelize.Style{Alignment: top})
	b.keep(f.SetSheetName("Sheet1", sheetOrder))
	b.order(p, o)
	b.desk(p, o)
	b.runs(p)
	b.saw(p.Order, o)
	b.bent(p.Order, o)
	b.wants(p.Order, o)
	b.hourSheet(p, o)
	b.open(p.Order)
	b.beside(o.Beside)
	f.SetActiveSheet(0)
	// Last, as setting a filter makes the properties of the sheet anew.
	for _, s := range f.GetSheetList() {
		fit := true
		b.keep(f.SetSheetProps(s, &excelize.SheetPropsOptions{FitToPage: &fit}))
	}
	on := true
	b.keep(f.SetCalcProps(&excelize.CalcPropsOptions{FullCalcOnLoad: &on}))
	b.keep(f.SetDocProps(&excelize.DocProperties{Title: o.Title, Creator: "Trapweir", Created: "2000-01-01T00:00:00Z", Modified: "2000-01-01T00:00:00Z", Description: order.Caution}))
	if b.err != nil {
		return b.err
	}
	var out bytes.Buffer
	if _, err := f.WriteTo(&out); err != nil {
		return err
	}
	return numbers(w, out.Bytes())
}

func at(col, row int) string {
	s, _ := excelize.CoordinatesToCellName(col, row)
	return s
}

// put sets a cell: a string as text (never as a formula), a number as it is written, a
// formula after =. A formula keeps the value that it comes to, for programs that show a
// workbook without working it out.
func (b *book) put(sheet string, col, row int, v any) {
	c := at(col, row)
	switch v := v.(type) {
	case formula:
		b.keep(b.f.SetCellDefault(sheet, c, v.is))
		b.keep(b.f.SetCellFormula(sheet, c, v.f))
	case number:
		b.keep(b.f.SetCellDefault(sheet, c, string(v)))
	case string:
		if v != "" {
			b.keep(b.f.SetCellStr(sheet, c, v))
		}
	case int:
		b.keep(b.f.SetCellInt(sheet, c, int64(v)))
	}
}

// number is exact decimal text.
type number string

// formula is a formula and what it comes to, exact decimal text or nothing.
type formula struct{ f, is string }

// table sets the heads and how a sheet prints: lying, as wide as the paper, the heads on
// every page.
func (b *book) table(sheet string, row int, heads []string, widths []float64, o Options) {
	for i, h := range heads {
		b.put(sheet, i+1, row, h)
		name, _ := excelize.ColumnNumberToName(i + 1)
		b.keep(b.f.SetColWidth(sheet, name, name, widths[i]))
	}
	b.keep(b.f.SetCellStyle(sheet, at(1, row), at(len(heads), row), b.head))
	b.keep(b.f.SetPanes(sheet, &excelize.Panes{Freeze: true, YSplit: row, TopLeftCell: at(1, row+1), ActivePane: "bottomLeft"}))
	paper, lying, wide, tall := max(o.Paper, 1), "landscape", 1, 0
	b.keep(b.f.SetPageLayout(sheet, &excelize.PageLayoutOptions{Size: &paper, Orientation: &lying, FitToWidth: &wide, FitToHeight: &tall}))
	m, hf := 0.5, 0.3
	b.keep(b.f.SetPageMargins(sheet, &excelize.PageLayoutMarginsOptions{Left: &m, Right: &m, Top: &m, Bottom: &m, Header: &hf, Footer: &hf}))
	b.keep(b.f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: fmt.Sprintf("'%s'!$%d:$%d", sheet, row, row), Scope: sheet}))
	b.keep(b.f.SetHeaderFooter(sheet, &excelize.HeaderFooterOptions{OddFooter: "&L" + strings.ReplaceAll(o.Title, "&", "&&") + "&C&A&RPage &P of &N"}))
}

// tall makes a row as high as words wrapped to a column's width need: programs that show a
// workbook do not all do so themselves.
func (b *book) tall(sheet string, row int, words string, width int) {
	width = width * 6 / 5 // a column holds more words than digits
	lines, room := 1, width
	for _, w := range strings.Fields(words) {
		n := utf8.RuneCountInString(w)
		if n > room && room < width {
			lines, room = lines+1, width
		}
		room -= n + 1
	}
	if lines > 1 {
		b.keep(b.f.SetRowHeight(sheet, row, 15*float64(lines)))
	}
}

func (b *book) sheet(name string) {
	_, err := b.f.NewSheet(name)
	b.keep(err)
}

// Columns of the order sheet, from 1.
const (
	cLine = iota + 1
	cPhase
	cGroup
	cQty
	cUnit
	cSize
	cItem
	cMaterial
	cStandard
	cNet
	cNetUnit
	cPrice
	cExt
	cSupplier
	cNotes
)

const firstRow = 4

// noteWide is the width of the column of notes, in characters.
const noteWide = 44

func (b *book) order(p *price.Priced, o Options) {
	f := b.f
	b.put(sheetOrder, 1, 1, o.Title)
	b.keep(f.SetCellStyle(sheetOrder, "A1", "A1", b.bold))
	b.put(sheetOrder, 1, 2, order.Caution)
	b.table(sheetOrder, firstRow-1,
		[]string{"Line", "Phase", "Group", "Qty", "Unit", "Size", "Item", "Material", "Standard", "Net", "Net unit", "Unit price", "Amount", "Supplier", "Notes"},
		[]float64{5, 13, 21, 7, 8, 20, 33, 9, 17, 9, 7, 10, 11, 21, noteWide}, o)
	row := firstRow
	rows := order.Rows(p)
	end := firstRow + len(order.Rows(p)) - 1
	runsEnd := 1
	for i := range p.Lines {
		runsEnd += len(p.Lines[i].Shares)
	}
	// The number of a line leads to the runs that it comes from.
	begins, next := make([]int, len(p.Lines)+1), 2
	for i := range p.Lines {
		begins[i+1] = next
		next += len(p.Lines[i].Shares)
	}
	for _, r := range rows {
		l := r.Line
		b.put(sheetOrder, cLine, row, r.Index)
		if len(l.Shares) > 0 {
			b.keep(f.SetCellHyperLink(sheetOrder, at(cLine, row), fmt.Sprintf("%s!A%d", sheetRuns, begins[r.Index]), "Location"))
		}
		b.put(sheetOrder, cPhase, row, l.Phase.String())
		b.put(sheetOrder, cGroup, row, l.Group)
		if r.Buys {
			b.put(sheetOrder, cQty, row, number(order.Count(r.Cost.N)))
			b.put(sheetOrder, cUnit, row, r.Cost.Unit)
			if r.Cost.Known {
				b.put(sheetOrder, cPrice, row, number(r.Cost.Price.String()))
			}
			ext := ""
			if r.Cost.Known {
				ext = r.Cost.Extended.String()
			}
			b.put(sheetOrder, cExt, row, formula{fmt.Sprintf(`IF(ISNUMBER(%[1]s),ROUND(%[2]s*%[1]s,2),"")`, at(cPrice, row), at(cQty, row)), ext})
			b.put(sheetOrder, cSupplier, row, r.Cost.Supplier)
		}
		b.put(sheetOrder, cSize, row, l.Size)
		b.put(sheetOrder, cItem, row, l.Item)
		b.put(sheetOrder, cMaterial, row, l.Material)
		b.put(sheetOrder, cStandard, row, l.Standard)
		if r.First && runsEnd > 1 {
			b.put(sheetOrder, cNet, row, formula{fmt.Sprintf("SUMIF('%s'!$A$2:$A$%d,%s,'%s'!$G$2:$G$%d)", sheetRuns, runsEnd, at(cLine, row), sheetRuns, runsEnd), string(exact(l.Unit, l.Qty, p.Order.Units))})
			b.put(sheetOrder, cNetUnit, row, order.UnitWord(l.Unit, p.Order.Units))
		}
		b.put(sheetOrder, cNotes, row, order.Notes(l.Line))
		b.tall(sheetOrder, row, order.Notes(l.Line), noteWide)
		row++
	}
	if len(rows) > 0 {
		b.keep(f.SetCellStyle(sheetOrder, at(1, firstRow), at(cStandard, end), b.top))
		for _, c := range []int{cPhase, cUnit, cNetUnit, cSupplier} {
			b.keep(f.SetCellStyle(sheetOrder, at(c, firstRow), at(c, end), b.pad))
		}
		b.keep(f.SetCellStyle(sheetOrder, at(cPrice, firstRow), at(cExt, end), b.money))
		for i, r := range rows {
			if r.Line.Unit == takeoff.Each {
				b.keep(f.SetCellStyle(sheetOrder, at(cNet, firstRow+i), at(cNet, firstRow+i), b.top))
			} else {
				b.keep(f.SetCellStyle(sheetOrder, at(cNet, firstRow+i), at(cNet, firstRow+i), b.ft))
			}
		}
		b.keep(f.SetCellStyle(sheetOrder, at(cNotes, firstRow), at(cNotes, end), b.wrap))
		b.keep(f.AutoFilter(sheetOrder, at(1, firstRow-1)+":"+at(cNotes, end), nil))
	}
	row++
	sum := map[string]string{}
	total := func(key, words string, v any, s int) {
		b.put(sheetOrder, cItem, row, words)
		b.put(sheetOrder, cExt, row, v)
		b.keep(f.SetCellStyle(sheetOrder, at(cItem, row), at(cItem, row), b.bold))
		b.keep(f.SetCellStyle(sheetOrder, at(cExt, row), at(cExt, row), s))
		sum[key] = at(cExt, row)
		row++
	}
	rate := func(v int64) { // beside the words, for the user to change
		b.put(sheetOrder, cPrice, row, number(share(v)))
		b.keep(f.SetCellStyle(sheetOrder, at(cPrice, row), at(cPrice, row), b.share))
	}
	span := at(cExt, firstRow) + ":" + at(cExt, max(end, firstRow))
	total("material", "Material", formula{"SUM(" + span + ")", p.Material.String()}, b.money)
	rate(p.Settings.Sundries)
	total("sundries", "Sundries", formula{fmt.Sprintf("ROUND(%s*%s,2)", sum["material"], at(cPrice, row)), p.Sundries.String()}, b.money)
	rate(p.Settings.Tax)
	total("tax", "Tax", formula{fmt.Sprintf("ROUND((%s+%s)*%s,2)", sum["material"], sum["sundries"], at(cPrice, row)), p.Tax.String()}, b.money)
	if p.Labour.Given {
		begin := row
		for i := range p.Labour.Phases {
			h := &p.Labour.Phases[i]
			b.put(sheetOrder, cQty, row, number(h.Hours.String()))
			b.put(sheetOrder, cUnit, row, "hour")
			if h.RateKnown {
				b.put(sheetOrder, cPrice, row, number(h.Rate.String()))
			}
			b.put(sheetOrder, cNotes, row, "hours by the shop's own figures")
			b.keep(f.SetCellStyle(sheetOrder, at(cPrice, row), at(cPrice, row), b.money))
			b.keep(f.SetCellStyle(sheetOrder, at(cQty, row), at(cQty, row), b.hours))
			total("", "Labour, "+h.Phase.String(), formula{fmt.Sprintf(`IF(ISNUMBER(%[1]s),ROUND(%[2]s*%[1]s,2),0)`, at(cPrice, row), at(cQty, row)), h.Cost.String()}, b.money)
		}
		total("labour", "Labour", formula{"SUM(" + at(cExt, begin) + ":" + at(cExt, row-1) + ")", p.Labour.Cost.String()}, b.money)
	} else {
		b.put(sheetOrder, cNotes, row, "no figures for labour in the price file")
		total("labour", "Labour", number("0"), b.money)
	}
	total("total", "Total of what is known", formula{sum["material"] + "+" + sum["sundries"] + "+" + sum["tax"] + "+" + sum["labour"], p.Total.String()}, b.money)
	none := 0
	for _, r := range rows {
		if r.Buys && !r.Cost.Known {
			none++
		}
	}
	total("missing", "Without a price, in no total", formula{fmt.Sprintf(`SUMPRODUCT((%s:%s<>"")*(%s:%s=""))`, at(cQty, firstRow), at(cQty, max(end, firstRow)), at(cPrice, firstRow), at(cPrice, max(end, firstRow))), fmt.Sprint(none)}, 0)
	total("open", "Not measured, in no total", len(p.Order.NotMeasured), 0)
	b.keep(f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Area", RefersTo: fmt.Sprintf("'%s'!$A$1:$O$%d", sheetOrder, row), Scope: sheetOrder}))
}

// share writes hundredths of a percent as a fraction of one: 500 is 0.05.
func share(v int64) string { return fmt.Sprintf("%d.%04d", v/10_000, v%10_000) }

// exact writes a net amount with every digit that a sum needs.
func exact(u takeoff.Unit, qty int64, sys unit.System) number {
	if sys == unit.Metric {
		switch u {
		case takeoff.Run:
			return number(decimal9(qty, int64(unit.Metre)))
		case takeoff.Quart: // millionths of 0.946353 L
			return number(decimal9(qty*946_353, 1_000_000_000_000))
		case takeoff.Cubic: // thousandths of 0.0283168 m3
			return number(decimal9(qty*283_168, 10_000_000_000))
		}
	}
	switch u {
	case takeoff.Run:
		// A sixteenth of an inch is 1/192 ft: nine decimals sum to the hundredth shown.
		return number(decimal9(qty, int64(unit.Foot)))
	case takeoff.Quart:
		return number(decimal9(qty, 1_000_000))
	case takeoff.Cubic:
		return number(decimal9(qty, 1000))
	}
	return number(fmt.Sprint(qty))
}

func decimal9(n, one int64) string {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	whole, rest := n/one, n%one
	var digits strings.Builder
	for range 9 {
		rest *= 10
		digits.WriteByte(byte('0' + rest/one))
		rest %= one
	}
	return fmt.Sprintf("%s%d.%s", sign, whole, digits.String())
}

func (b *book) runs(p *price.Priced) {
	b.sheet(sheetRuns)
	b.table(sheetRuns, 1, []string{"Line", "Phase", "Item", "Size", "Material", "Run or vent", "Net", "Unit"}, []float64{6, 12, 34, 20, 11, 24, 11, 8}, Options{Title: "Which run takes what"})
	row := 2
	for i := range p.Lines {
		l := p.Lines[i].Line
		for _, s := range l.Shares {
			for c, v := range []any{i + 1, l.Phase.String(), l.Item, l.Size, l.Material, s.Name, exact(l.Unit, s.Qty, p.Order.Units), order.UnitWord(l.Unit, p.Order.Units)} {
				b.put(sheetRuns, c+1, row, v)
			}
			row++
		}
	}
	if row > 2 {
		b.keep(b.f.SetCellStyle(sheetRuns, "G2", at(7, row-1), b.ft))
		b.keep(b.f.AutoFilter(sheetRuns, "A1:"+at(8, row-1), nil))
	}
}

func (b *book) saw(o *takeoff.Order, opt Options) {
	b.sheet(sheetSaw)
	b.table(sheetSaw, 1, []string{"No", "Phase", "Run or vent", "Material", "Size", "From", "To", "Centres", "Take-out from", "Take-out to", "Cut"}, []float64{6, 12, 24, 11, 8, 30, 30, 14, 20, 20, 40}, opt)
	for i := range o.Pieces {
		c := &o.Pieces[i]
		out := func(k int) string {
			d := c.Take[k]
			if !d.Known() {
				return "not known"
			}
			return d.V.Round(fine(opt.Units)).In(opt.Units) + ", " + d.Confidence.String()
		}
		for k, v := range []any{c.Number, c.Phase.String(), strings.Join(c.Runs, ", "), c.Material, c.Size.Short(), c.From, c.To, c.Centres.In(opt.Units), out(0), out(1), c.Says(opt.Units)} {
			b.put(sheetSaw, k+1, i+2, v)
		}
	}
	b.sheet(sheetStick)
	b.table(sheetStick, 1, []string{"Material", "Size", "Length", "Pieces"}, []float64{12, 10, 12, 100}, opt)
	row := 2
	for i := range o.Plan.Groups {
		g := &o.Plan.Groups[i]
		for k := range g.Bars {
			for c, v := range []any{g.Material, g.Size.Short(), g.Bars[k].Stock.In(opt.Units), order.BarSays(o, &g.Bars[k], opt.Units)} {
				b.put(sheetStick, c+1, row, v)
			}
			row++
		}
		b.put(sheetStick, 4, row, order.PlanSays(g, opt.Units))
		b.keep(b.f.SetCellStyle(sheetStick, at(4, row), at(4, row), b.bold))
		row++
	}
}

func (b *book) open(o *takeoff.Order) {
	b.sheet(sheetOpen)
	b.table(sheetOpen, 1, []string{"What", "Phase", "Runs", "Why", "Ask"}, []float64{30, 12, 40, 50, 60}, Options{Title: "In no total"})
	for i := range o.NotMeasured {
		x := &o.NotMeasured[i]
		what := strings.Join(strings.Fields(x.Material+" "+x.What+" "+x.Size), " ")
		for c, v := range []any{what, x.Phase.String(), strings.Join(x.Runs, ", "), x.Why, x.Ask} {
			b.put(sheetOpen, c+1, i+2, v)
		}
	}
}

func (b *book) beside(cols []price.Column) {
	if len(cols) < 2 {
		return
	}
	b.sheet(sheetAlter)
	heads, widths := []string{"Group"}, []float64{28}
	for _, c := range cols {
		heads, widths = append(heads, c.Name), append(widths, 18)
	}
	b.table(sheetAlter, 1, heads, widths, Options{Title: "Alternates"})
	t := price.Beside(cols)
	row := 2
	for _, g := range t {
		b.put(sheetAlter, 1, row, g.Group)
		for k, c := range g.Cells {
			if c.Missing == 0 || c.Cost > 0 {
				b.put(sheetAlter, k+2, row, number(c.Cost.String()))
			} else {
				b.put(sheetAlter, k+2, row, "no price")
			}
		}
		row++
	}
	b.put(sheetAlter, 1, row, "Material")
	for k := range cols {
		b.put(sheetAlter, k+2, row, formula{"SUM(" + at(k+2, 2) + ":" + at(k+2, row-1) + ")", cols[k].Priced.Material.String()})
	}
	row++
	rows := []struct {
		words string
		cell  func(*price.Priced) any
	}{
		{"Sundries and tax", func(p *price.Priced) any { return number((p.Sundries + p.Tax).String()) }},
		{"Labour", func(p *price.Priced) any { return number(p.Labour.Cost.String()) }},
	}
	begin := row - 1
	for _, r := range rows {
		b.put(sheetAlter, 1, row, r.words)
		for k, c := range cols {
			b.put(sheetAlter, k+2, row, r.cell(c.Priced))
		}
		row++
	}
	b.put(sheetAlter, 1, row, "Total of what is known")
	b.put(sheetAlter, 1, row+1, "More or less than "+cols[0].Name)
	b.put(sheetAlter, 1, row+2, "Hours, by the shop's own figures")
	b.put(sheetAlter, 1, row+3, "Without a price")
	b.put(sheetAlter, 1, row+4, "Not measured")
	for k, c := range cols {
		b.put(sheetAlter, k+2, row, formula{"SUM(" + at(k+2, begin) + ":" + at(k+2, row-1) + ")", c.Priced.Total.String()})
		if c.Priced.AllPriced() && cols[0].Priced.AllPriced() {
			b.put(sheetAlter, k+2, row+1, formula{at(k+2, row) + "-" + "$B$" + fmt.Sprint(row), (c.Priced.Total - cols[0].Priced.Total).String()})
		} else {
			b.put(sheetAlter, k+2, row+1, "not known")
		}
		if c.Priced.Labour.Given {
			b.put(sheetAlter, k+2, row+2, number(c.Priced.Labour.Hours.String()))
		}
		b.put(sheetAlter, k+2, row+3, len(c.Priced.Missing))
		b.put(sheetAlter, k+2, row+4, len(c.Priced.Order.NotMeasured))
	}
	b.keep(b.f.SetCellStyle(sheetAlter, "B2", at(len(cols)+1, row+1), b.money))
	b.keep(b.f.SetCellStyle(sheetAlter, at(2, row+2), at(len(cols)+1, row+2), b.hours))
}
