package xlsx

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"regexp"
	"strings"

	"trapweir/engine/price"
	"trapweir/engine/takeoff"
	"trapweir/engine/unit"
	"trapweir/report/order"
)

// fine is the finest mark that lengths are shown to.
func fine(sys unit.System) unit.Length {
	if sys == unit.Metric {
		return unit.Millimetre
	}
	return unit.Inch / 16
}

// deskRow is where the heads of the page for the supply house stand, under the lines to fill
// in.
const deskRow = 6

// deskWide is the width of its column of descriptions, in characters.
const deskWide = 56

// desk is the page for the supply house: what to put on the truck, with room for prices, and
// nothing of the shop's affairs. Quantities follow the order.
func (b *book) desk(p *price.Priced, o Options) {
	b.sheet(sheetDesk)
	b.put(sheetDesk, 1, 1, "Order, "+o.Title)
	b.keep(b.f.SetCellStyle(sheetDesk, "A1", "A1", b.bold))
	for i, words := range order.Blanks {
		b.put(sheetDesk, 2+3*(i%2), 2+i/2, words+": ____________________")
	}
	b.table(sheetDesk, deskRow, []string{"", "Qty", "Unit", "Size", "Description", "Standard", "With delivery", "Price", "Amount"}, []float64{4, 8, 14, 26, deskWide, 24, 14, 12, 12}, o)
	row := deskRow + 1
	for i, r := range order.Rows(p) {
		if !r.Buys {
			continue
		}
		l := r.Line
		b.put(sheetDesk, 1, row, "☐")
		b.put(sheetDesk, 2, row, formula{fmt.Sprintf("'%s'!%s", sheetOrder, at(cQty, firstRow+i)), order.Count(r.Cost.N)})
		desc := order.Description(l.Line)
		if l.Note != "" && r.First && l.Unit != takeoff.Quart {
			desc += " (" + l.Note + ")"
		}
		standard, _, _ := strings.Cut(l.Standard, ";")
		for c, v := range []string{order.BuyWord(r.Cost.Unit, o.Units), l.Size, desc, standard, l.Phase.String()} {
			b.put(sheetDesk, c+3, row, v)
		}
		b.tall(sheetDesk, row, desc, deskWide)
		row++
	}
	if row > deskRow+1 {
		b.keep(b.f.SetCellStyle(sheetDesk, at(1, deskRow+1), at(7, row-1), b.top))
		b.keep(b.f.SetCellStyle(sheetDesk, at(3, deskRow+1), at(3, row-1), b.pad))
		b.keep(b.f.SetCellStyle(sheetDesk, at(5, deskRow+1), at(5, row-1), b.wrap))
	}
	b.put(sheetDesk, 2, row+1, order.Caution)
}

// bent lists the offsets of the job.
func (b *book) bent(o *takeoff.Order, opt Options) {
	if len(o.Offsets) == 0 {
		return
	}
	b.sheet(sheetBent)
	heads := append([]string{"Run or vent"}, order.OffsetHeads...)
	b.table(sheetBent, 1, heads, []float64{24, 16, 16, 16, 16, 16, 16, 16}, opt)
	for i := range o.Offsets {
		x := &o.Offsets[i]
		for c, v := range append([]string{x.Run}, order.OffsetCells(x, opt.Units)...) {
			b.put(sheetBent, c+1, i+2, v)
		}
	}
}

// wants lists the measures that the saw list lacks.
func (b *book) wants(o *takeoff.Order, opt Options) {
	if len(o.Wants) == 0 {
		return
	}
	b.sheet(sheetWant)
	b.table(sheetWant, 1, []string{"Fitting and end", "Ends of pipe that rest on it", "Measured"}, []float64{70, 24, 20}, opt)
	for i := range o.Wants {
		b.put(sheetWant, 1, i+2, order.WantSays(&o.Wants[i]))
		b.put(sheetWant, 2, i+2, o.Wants[i].Pieces)
	}
}

// hourSheet shows the shop's hours by phase and by what they are figured on.
func (b *book) hourSheet(p *price.Priced, opt Options) {
	if !p.Labour.Given {
		return
	}
	b.sheet(sheetHours)
	heads := append([]string{"Phase"}, order.HourHeads...)
	b.table(sheetHours, 1, heads, []float64{16, 12, 12, 12, 12, 12, 12, 12}, opt)
	row := 2
	for i := range p.Labour.Phases {
		h := &p.Labour.Phases[i]
		b.put(sheetHours, 1, row, h.Phase.String())
		for c, m := range []price.Money{h.Pipe, h.Joints, h.Pieces, h.Fixtures, h.Tests, h.Fixed} {
			b.put(sheetHours, c+2, row, number(m.String()))
		}
		b.put(sheetHours, 8, row, formula{"SUM(" + at(2, row) + ":" + at(7, row) + ")", h.Hours.String()})
		row++
	}
	b.put(sheetHours, 1, row, "all")
	for c := 2; c <= 8; c++ {
		var sum price.Money
		for i := range p.Labour.Phases {
			h := &p.Labour.Phases[i]
			sum += []price.Money{h.Pipe, h.Joints, h.Pieces, h.Fixtures, h.Tests, h.Fixed, h.Hours}[c-2]
		}
		b.put(sheetHours, c, row, formula{"SUM(" + at(c, 2) + ":" + at(c, row-1) + ")", sum.String()})
	}
	b.keep(b.f.SetCellStyle(sheetHours, "B2", at(8, row), b.hours))
	b.put(sheetHours, 1, row+2, "Hours "+order.HoursSay+".")
	for i, m := range p.Labour.Missing {
		b.put(sheetHours, 1, row+3+i, "without a figure: "+m)
	}
}

// kept is a formula's cell with a number that is marked as text.
var kept = regexp.MustCompile(`(<c r="[A-Z]+[0-9]+"(?: s="[0-9]+")?) t="str">(<f>[^<]*</f><v>-?[0-9.]+</v>)`)

// numbers writes the workbook with the kept values of formulas marked as numbers, which the
// library marks as text.
func numbers(w io.Writer, book []byte) error {
	r, err := zip.NewReader(bytes.NewReader(book), int64(len(book)))
	if err != nil {
		return err
	}
	out := zip.NewWriter(w)
	for _, f := range r.File {
		in, err := f.Open()
		if err != nil {
			return err
		}
		text, err := io.ReadAll(in)
		in.Close()
		if err != nil {
			return err
		}
		if strings.HasPrefix(f.Name, "xl/worksheets/") {
			text = kept.ReplaceAll(text, []byte("$1>$2"))
		}
		to, err := out.CreateHeader(&zip.FileHeader{Name: f.Name, Method: zip.Deflate})
		if err != nil {
			return err
		}
		if _, err := to.Write(text); err != nil {
			return err
		}
	}
	return out.Close()
}
