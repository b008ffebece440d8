package order

import (
	"fmt"
	"strings"

	"trapweir/draw"
	"trapweir/draw/textwidth"
	"trapweir/engine/price"
	"trapweir/engine/takeoff"
	"trapweir/engine/unit"
)

// Sheet options.
type Sheet struct {
	Title  string // of the job
	Paper  string // a name of draw.Sizes, "" is letter
	Fields []draw.Field
	Units  unit.System
}

// column is one column of a printed table.
type column struct {
	head  string
	width float64
	right bool
}

const (
	capHigh = draw.SmallestText
	rowPad  = 1.7 // above and below the words of a row
)

// press sets tables on as many sheets as they need.
type press struct {
	o      Sheet
	sheets []*draw.Sheet
	cur    *draw.Sheet
	area   draw.Rect
	y      float64
	title  string
	heads  []column
}

// Sheets sets the order for a counter clerk to fill from, by delivery, then the saw list
// and what is not measured. Every sheet says who decides.
func Sheets(p *price.Priced, o Sheet) ([]*draw.Sheet, error) {
	if o.Paper == "" {
		o.Paper = "letter"
	}
	if _, ok := draw.NewSheet(o.Paper, true, "", ""); !ok {
		var names []string
		for _, z := range draw.Sizes {
			names = append(names, z.Name)
		}
		return nil, fmt.Errorf("paper %q is not known: write one of %s", o.Paper, strings.Join(names, ", "))
	}
	pr := &press{o: o}
	pr.order(p)
	pr.saw(p.Order)
	pr.bent(p.Order)
	pr.wants(p.Order)
	pr.open(p.Order)
	for i, s := range pr.sheets {
		draw.DrawFrame(s, pr.block(fmt.Sprintf("%d of %d", i+1, len(pr.sheets))))
	}
	return pr.sheets, nil
}

func (p *press) block(of string) draw.TitleBlock {
	return draw.TitleBlock{Project: p.o.Title, Lines: p.o.Fields, Of: of, Notice: Caution}
}

// page begins a sheet. The frame is drawn last, when the number of sheets is known; a first
// one only measures.
func (p *press) page() {
	s, _ := draw.NewSheet(p.o.Paper, true, fmt.Sprintf("M-%d", len(p.sheets)+1), p.title)
	probe, _ := draw.NewSheet(p.o.Paper, true, "M-99", p.title)
	p.area = draw.DrawFrame(probe, p.block("99 of 99"))
	s.Desc = p.title + " of " + p.o.Title
	p.sheets, p.cur, p.y = append(p.sheets, s), s, p.area.Y0
}

func (p *press) text(x, y float64, words string, w textwidth.Weight, soft bool, a draw.Align) {
	if words == "" {
		return
	}
	p.cur.Add(draw.Text{Mark: draw.Mark{Layer: draw.LayerTable}, At: draw.Point{X: x, Y: y}, Words: words, Size: capHigh, VAlign: draw.AtTop, Align: a, Weight: w, Soft: soft})
}

func (p *press) rule(y float64) {
	p.cur.Add(draw.Line{Mark: draw.Mark{Layer: draw.LayerTable, Pen: draw.Pen{Width: draw.Hair}}, A: draw.Point{X: p.area.X0, Y: y}, B: draw.Point{X: p.area.X1, Y: y}})
}

// begin starts a table on the sheet at hand.
func (p *press) begin(heads []column) {
	p.heads = heads
	p.head()
}

func (p *press) head() {
	x := p.area.X0
	for _, h := range p.heads {
		if h.right {
			p.text(x+h.width-1, p.y, h.head, textwidth.Bold, false, draw.Right)
		} else {
			p.text(x+1, p.y, h.head, textwidth.Bold, false, draw.Left)
		}
		x += h.width
	}
	p.y += capHigh + rowPad
	p.cur.Add(draw.Line{Mark: draw.Mark{Layer: draw.LayerTable, Pen: draw.Pen{Width: draw.Medium}}, A: draw.Point{X: p.area.X0, Y: p.y}, B: draw.Point{X: p.area.X1, Y: p.y}})
	p.y += rowPad
}

// row sets one row, on the next sheet where there is no room. box draws a square to tick in
// the first column.
func (p *press) row(box bool, cells ...string) {
	lines := make([][]string, len(cells))
	most := 1
	for i, c := range cells {
		lines[i] = draw.Wrap(c, capHigh, textwidth.Regular, p.heads[i].width-2)
		most = max(most, len(lines[i]))
	}
	depth := capHigh + float64(most-1)*capHigh*draw.Leading + 2*rowPad
	p.room(depth)
	x := p.area.X0
	for i, ls := range lines {
		for k, l := range ls {
			y := p.y + float64(k)*capHigh*draw.Leading
			if p.heads[i].right {
				p.text(x+p.heads[i].width-1, y, l, textwidth.Regular, false, draw.Right)
			} else {
				p.text(x+1, y, l, textwidth.Regular, false, draw.Left)
			}
		}
		x += p.heads[i].width
	}
	if box {
		a, s := draw.Point{X: p.area.X0 + 1, Y: p.y - 0.4}, 3.3
		p.cur.Add(draw.Polygon{Mark: draw.Mark{Layer: draw.LayerTable}, Points: []draw.Point{a, {X: a.X + s, Y: a.Y}, {X: a.X + s, Y: a.Y + s}, {X: a.X, Y: a.Y + s}}})
	}
	p.y += depth - rowPad
	p.rule(p.y)
	p.y += rowPad
}

// room goes to a new sheet, with the heads again, when so much does not fit.
func (p *press) room(depth float64) {
	if p.y+depth <= p.area.Y1 {
		return
	}
	p.page()
	if p.heads != nil {
		p.head()
	}
}

func (p *press) heading(words string) {
	p.room(capHigh*4 + 6*rowPad)
	p.y += rowPad
	p.text(p.area.X0, p.y, words, textwidth.Bold, false, draw.Left)
	p.y += capHigh + 2*rowPad
}

func (p *press) words(words string) {
	for _, l := range draw.Wrap(words, capHigh, textwidth.Regular, p.area.W()) {
		p.room(capHigh * draw.Leading)
		p.text(p.area.X0, p.y, l, textwidth.Regular, false, draw.Left)
		p.y += capHigh * draw.Leading
	}
}

// share parts the width of the table, in hundredths.
func (p *press) share(heads ...column) []column {
	for i := range heads {
		heads[i].width *= p.area.W() / 100
	}
	return heads
}

// Blanks are the lines that an order desk wants filled in.
var Blanks = []string{"Order no.", "Account", "Ship to / will call", "Need by", "Contact on site", "Phone"}

func (p *press) order(x *price.Priced) {
	p.title = "Material order"
	p.page()
	for i := 0; i < len(Blanks); i += 2 {
		for k := range 2 {
			left := p.area.X0 + float64(k)*p.area.W()/2
			p.text(left, p.y, Blanks[i+k], textwidth.Regular, true, draw.Left)
			p.cur.Add(draw.Line{Mark: draw.Mark{Layer: draw.LayerTable, Pen: draw.Pen{Width: draw.Thin}}, A: draw.Point{X: left + 34, Y: p.y + capHigh + 0.8}, B: draw.Point{X: left + p.area.W()/2 - 4, Y: p.y + capHigh + 0.8}})
		}
		p.y += capHigh + 4.2
	}
	p.y += rowPad
	heads := p.share(column{"", 3.5, false}, column{"Qty", 6.5, true}, column{"Unit", 7.5, false}, column{"Size", 14.5, false}, column{"Description", 31.5, false}, column{"For", 18.5, false}, column{"Price", 9, true}, column{"Amount", 9, true})
	p.begin(heads)
	last := takeoff.Phase(255)
	for _, r := range Rows(x) {
		l := r.Line
		if l.Phase != last {
			last = l.Phase
			p.heading(strings.ToUpper(l.Phase.String()[:1]) + l.Phase.String()[1:])
		}
		qty, u, pr, ext := "", "", "", ""
		if r.Buys {
			qty, u = Count(r.Cost.N), BuyWord(r.Cost.Unit, p.o.Units)
			if r.Cost.Known {
				pr, ext = r.Cost.Price.String(), r.Cost.Extended.String()
			}
		}
		desc := Description(l.Line)
		if l.Standard != "" && l.Group == "pipe" {
			desc += ", " + l.Standard
		}
		if n := l.Note; n != "" && r.First && l.Unit != takeoff.Quart {
			desc += " (" + n + ")"
		}
		if l.AtLeast {
			desc += " (at least)"
		}
		p.row(r.Buys, "", qty, u, l.Size, desc, names(l.Line), pr, ext)
	}
	p.heads = nil
	p.y += 2 * rowPad
	if x.Material > 0 {
		// The counter needs the material alone: tax, sundries and time are the shop's affair.
		p.room(capHigh * draw.Leading)
		p.text(p.area.X1-30, p.y, "material", textwidth.Regular, false, draw.Right)
		p.text(p.area.X1-1, p.y, x.Material.String(), textwidth.Bold, false, draw.Right)
		p.y += capHigh * draw.Leading
		if n := len(x.Missing); n > 0 {
			p.words(fmt.Sprintf("%d things have no price and are in no sum.", n))
		}
	}
}

// names lists the runs of a line, the first few of them.
func names(l *takeoff.Line) string {
	var out []string
	for i, s := range l.Shares {
		if i == 4 && len(l.Shares) > 5 {
			out = append(out, fmt.Sprintf("and %d more", len(l.Shares)-4))
			break
		}
		out = append(out, s.Name)
	}
	return strings.Join(out, ", ")
}

func (p *press) saw(o *takeoff.Order) {
	if len(o.Pieces) == 0 {
		return
	}
	p.title, p.heads = "Saw list", nil
	p.page()
	p.words("Measures from fitting to fitting. A piece that says measure rests on a take-out that is an estimate or not known: cut it in place.")
	p.y += rowPad
	p.begin(p.share(column{"No", 5, true}, column{"Pipe", 11, false}, column{"Run", 13, false}, column{"From", 18, false}, column{"To", 18, false}, column{"Centres", 11, true}, column{"", 2, false}, column{"Cut", 22, false}))
	for i := range o.Pieces {
		c := &o.Pieces[i]
		p.row(false, fmt.Sprint(c.Number), c.Size.Short()+" "+materialWord(c.Material), strings.Join(c.Runs, ", "), c.From, c.To, c.Centres.In(p.o.Units), "", c.Says(p.o.Units))
	}
	p.heads = nil
	p.heading("Out of stock lengths, saw cut " + o.Kerf.In(p.o.Units))
	for i := range o.Plan.Groups {
		g := &o.Plan.Groups[i]
		p.room(3 * capHigh * draw.Leading)
		p.words(PlanSays(g, p.o.Units))
		for k := range g.Bars {
			p.words("  " + g.Bars[k].Stock.In(p.o.Units) + ": " + BarSays(o, &g.Bars[k], p.o.Units))
		}
		p.y += rowPad
	}
}

// bent sets the offsets of the job under the saw list.
func (p *press) bent(o *takeoff.Order) {
	if len(o.Offsets) == 0 {
		return
	}
	p.title, p.heads = "Saw list", nil
	p.heading("Offsets, between centres")
	heads := []column{{"Run", 16, false}}
	for _, h := range OffsetHeads {
		heads = append(heads, column{h, 12, false})
	}
	p.begin(p.share(heads...))
	for i := range o.Offsets {
		b := &o.Offsets[i]
		p.row(false, append([]string{b.Run}, OffsetCells(b, p.o.Units)...)...)
	}
}

// wants sets the measures that the saw list lacks, with room to write them in.
func (p *press) wants(o *takeoff.Order) {
	if len(o.Wants) == 0 {
		return
	}
	p.title, p.heads = "Measures wanted", nil
	p.page()
	p.words("Measure these fittings once, from the centre to the stop in the hub, and every piece can be cut from the list.")
	p.y += rowPad
	p.begin(p.share(column{"Fitting and end", 55, false}, column{"Rests on it", 20, false}, column{"Measured", 25, false}))
	for i := range o.Wants {
		x := &o.Wants[i]
		p.row(false, WantSays(x), ends(x.Pieces), "")
	}
}

func (p *press) open(o *takeoff.Order) {
	if len(o.NotMeasured) == 0 {
		return
	}
	p.title, p.heads = "Not measured", nil
	p.page()
	p.words("In no total: each needs an answer before the order is whole.")
	p.y += rowPad
	p.begin(p.share(column{"What is not counted", 60, false}, column{"Ask", 40, false}))
	for i := range o.NotMeasured {
		x := &o.NotMeasured[i]
		p.row(false, OpenSays(x), x.Ask)
	}
}
