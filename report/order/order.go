// Package order writes an order in the forms that people use at a counter and at a saw: a
// text table, comma-parted values, and sheets for print. The amounts, prices and sums come
// from packages takeoff and price; nothing is worked out here.
package order

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"text/tabwriter"
	"unicode/utf8"

	"trapweir/engine/price"
	"trapweir/engine/takeoff"
	"trapweir/engine/unit"
)

// Caution stands on every order.
const Caution = "Counted from what the job says. Check it against the drawing and the fittings in hand; local code and the inspector decide."

// Amount writes a net amount: pieces as they are, feet to a hundredth, quarts to a
// thousandth, cubic feet to a tenth.
//
// In metric: metres to a hundredth, litres to a thousandth, cubic metres to a hundredth.
func Amount(u takeoff.Unit, qty int64, sys unit.System) string {
	if sys == unit.Metric {
		switch u {
		case takeoff.Run:
			return decimal(qty, int64(unit.Metre), 2)
		case takeoff.Quart: // of 0.946353 L
			return decimal(qty*946_353/1_000_000, 1_000_000, 3)
		case takeoff.Cubic: // thousandths of 28.3168 L
			return decimal(qty*283_168/10_000, 1_000_000, 2)
		}
	}
	switch u {
	case takeoff.Run:
		return decimal(qty, int64(unit.Foot), 2)
	case takeoff.Quart:
		return decimal(qty, 1_000_000, 3)
	case takeoff.Cubic:
		return decimal(qty, 1000, 1)
	}
	return fmt.Sprint(qty)
}

// UnitWord is the unit of Amount.
func UnitWord(u takeoff.Unit, sys unit.System) string {
	if sys == unit.Metric {
		switch u {
		case takeoff.Run:
			return "m"
		case takeoff.Quart:
			return "L"
		case takeoff.Cubic:
			return "m3"
		}
	}
	return u.String()
}

// BuyWord is the unit in which a thing is bought; what is sold by the foot and by the pint
// says what that is in metric.
func BuyWord(word string, sys unit.System) string {
	if sys != unit.Metric {
		return word
	}
	switch word {
	case "pint":
		return "pint (473 mL)"
	case "quart":
		return "quart (946 mL)"
	case "gallon":
		return "gallon (3.785 L)"
	case "ft":
		return "ft (0.305 m)"
	}
	if n, ok := strings.CutSuffix(word, " ft"); ok {
		if v, err := strconv.Atoi(n); err == nil {
			return word + " (" + decimal(int64(v)*int64(unit.Foot), int64(unit.Metre), 2) + " m)"
		}
	}
	return word
}

// Count writes a number of things bought, in thousandths, without needless decimals.
func Count(n int64) string {
	s := fmt.Sprintf("%d.%03d", n/1000, n%1000)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}

// decimal writes n/one to so many places, rounded half up, away from zero.
func decimal(n, one int64, places int) string {
	scale := int64(1)
	for range places {
		scale *= 10
	}
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	whole, rest := n/one, n%one
	part := (rest*scale*2 + one) / (2 * one)
	if part >= scale {
		whole, part = whole+1, part-scale
	}
	if places == 0 {
		return fmt.Sprintf("%s%d", sign, whole)
	}
	return fmt.Sprintf("%s%d.%0*d", sign, whole, places, part)
}

// Row is one printed row of an order: one thing bought, or a line of which nothing new is
// bought.
type Row struct {
	Line  *price.Line
	Index int // of the line, from 1
	First bool
	Cost  price.Cost // zero value where nothing is bought
	Buys  bool
}

// Rows flattens the lines: a line bought in two lengths has two rows.
func Rows(p *price.Priced) []Row {
	var out []Row
	for i := range p.Lines {
		l := &p.Lines[i]
		if len(l.Costs) == 0 {
			out = append(out, Row{Line: l, Index: i + 1, First: true})
		}
		for k, c := range l.Costs {
			out = append(out, Row{Line: l, Index: i + 1, First: k == 0, Cost: c, Buys: true})
		}
	}
	return out
}

// Runs writes the shares of a line: "hall lav 1, kitchen 2"; amounts of one are left out
// where pieces are counted.
func Runs(l *takeoff.Line, sys unit.System) string {
	var out []string
	for _, s := range l.Shares {
		switch {
		case l.Unit == takeoff.Each && s.Qty == 1:
			out = append(out, s.Name)
		default:
			out = append(out, s.Name+" "+Amount(l.Unit, s.Qty, sys))
		}
	}
	return strings.Join(out, ", ")
}

// Notes gathers what has to be said of a line.
func Notes(l *takeoff.Line) string {
	var out []string
	if l.AtLeast {
		out = append(out, "at least: more is not measured")
	}
	if l.Pieces > 0 && l.Guessed > 0 {
		out = append(out, fmt.Sprintf("%d of %d pieces centre to centre or by an estimate", l.Guessed, l.Pieces))
	}
	if l.Note != "" {
		out = append(out, l.Note)
	}
	return strings.Join(out, "; ")
}

// Description is what the counter clerk looks for: material and item.
func Description(l *takeoff.Line) string {
	return strings.TrimSpace(materialWord(l.Material) + " " + l.Item)
}

func materialWord(m string) string {
	if m == "pvc" || m == "abs" {
		return strings.ToUpper(m)
	}
	return m
}

// width is how wide a text table may get.
const width = 118

// Text writes the whole order as a table, with the saw list and what is not measured.
func Text(w io.Writer, title string, p *price.Priced, sys unit.System) error {
	fmt.Fprintf(w, "Order: %s\n", title)
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	last := takeoff.Phase(255)
	for _, r := range Rows(p) {
		l := r.Line
		if l.Phase != last {
			last = l.Phase
			tw.Flush()
			fmt.Fprintf(w, "\n%s\n", strings.ToUpper(l.Phase.String()))
			fmt.Fprintln(tw, "  qty\tunit\tsize\titem\tnet\tprice\textended")
		}
		qty, u, pr, ext := "-", "", "", ""
		if r.Buys {
			qty, u = Count(r.Cost.N), BuyWord(r.Cost.Unit, sys)
			pr, ext = "no price", ""
			if r.Cost.Known {
				pr, ext = r.Cost.Price.String(), r.Cost.Extended.String()
			}
		}
		net := ""
		if r.First {
			net = Amount(l.Unit, l.Qty, sys) + " " + UnitWord(l.Unit, sys)
		}
		fmt.Fprintf(tw, "  %s\t%s\t%s\t%s\t%s\t%s\t%s\n", qty, u, l.Size, Description(l.Line), net, pr, ext)
	}
	tw.Flush()
	fmt.Fprintln(w, "\nFOR WHICH RUNS")
	for i := range p.Lines {
		l := p.Lines[i].Line
		hang(w, fmt.Sprintf("  %s, %s: ", strings.TrimSpace(Description(l)+" "+l.Size), l.Phase), Runs(l, sys))
		if n := Notes(l); n != "" {
			hang(w, "      ", "("+n+")")
		}
	}
	SawList(w, p.Order, sys)
	offsets(w, p.Order, sys)
	wants(w, p.Order)
	notMeasured(w, p.Order)
	totals(w, p)
	hours(w, p)
	for _, s := range p.Order.Taken {
		hang(w, "counted  ", s)
	}
	fmt.Fprintln(w)
	hang(w, "", Caution)
	return nil
}

// hang writes words after a lead, wrapped under the end of the lead.
func hang(w io.Writer, lead, words string) {
	indent := strings.Repeat(" ", min(utf8.RuneCountInString(lead), 10))
	line := lead
	empty := true
	for _, word := range strings.Fields(words) {
		if !empty && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width {
			fmt.Fprintln(w, strings.TrimRight(line, " "))
			line, empty = indent, true
		}
		if !empty {
			line += " "
		}
		line += word
		empty = false
	}
	fmt.Fprintln(w, strings.TrimRight(line, " "))
}

// SawList writes the pieces and how they come out of the lengths bought.
func SawList(w io.Writer, o *takeoff.Order, sys unit.System) {
	if len(o.Pieces) == 0 {
		return
	}
	fmt.Fprintln(w, "\nSAW LIST")
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(tw, "  no\tpipe\trun\tfrom\tto\tcentres\tcut")
	for i := range o.Pieces {
		c := &o.Pieces[i]
		fmt.Fprintf(tw, "  %d\t%s %s\t%s\t%s\t%s\t%s\t%s\n", c.Number, c.Size.Short(), materialWord(c.Material), strings.Join(c.Runs, ", "), c.From, c.To, c.Centres.In(sys), c.Says(sys))
	}
	tw.Flush()
	fmt.Fprintf(w, "\nOUT OF STOCK LENGTHS (saw cut %s)\n", o.Kerf.In(sys))
	for i := range o.Plan.Groups {
		g := &o.Plan.Groups[i]
		fmt.Fprintf(w, "  %s\n", PlanSays(g, sys))
		for _, b := range g.Bars {
			fmt.Fprintf(w, "    %s: %s\n", b.Stock.In(sys), BarSays(o, &b, sys))
		}
	}
	for _, l := range o.Plan.Left {
		fmt.Fprintf(w, "  piece %s, %s %s: %s\n", l.Cut.Run, l.Cut.Size.Short(), l.Cut.Material, l.Why)
	}
}

// PlanSays sums up the plan for one pipe: bought, cut, waste, and how far from the least.
func PlanSays(g *takeoff.Group, sys unit.System) string {
	least := "no plan buys less"
	if !g.Least {
		least = "no plan buys less than " + g.Bound.In(sys)
	}
	waste := ""
	if g.Bought > 0 {
		waste = ", waste and offcuts " + decimal(int64(g.Bought-g.Cut)*100, int64(g.Bought), 1) + " %"
	}
	lengths := "lengths"
	if len(g.Bars) == 1 {
		lengths = "length"
	}
	return fmt.Sprintf("%s %s: %d %s, %s bought, %s used%s; %s", g.Size.Short(), materialWord(g.Material), len(g.Bars), lengths, g.Bought.In(sys), g.Cut.In(sys), waste, least)
}

// BarSays tells which pieces come out of one length and what is left. A piece that has to
// be measured in place is named with about what it takes, never to a sixteenth.
func BarSays(o *takeoff.Order, b *takeoff.Bar, sys unit.System) string {
	var out []string
	about := false
	for _, c := range b.Cuts {
		length := c.Length.In(sys)
		if k, err := strconv.Atoi(c.Run); err == nil && k > 0 && k <= len(o.Pieces) && !o.Pieces[k-1].Cut() && c.Length != b.Stock {
			length, about = "measure, about "+roundUp(c.Length, sys).In(sys), true
		}
		out = append(out, fmt.Sprintf("%s (%s)", c.Run, length))
	}
	s := "pieces " + strings.Join(out, " + ")
	if b.Offcut > 0 && (!about || b.Offcut >= takeoff.Step(sys)) {
		fine := unit.Inch / 16
		if sys == unit.Metric {
			fine = unit.Millimetre
		}
		left := b.Offcut.Round(fine).In(sys)
		if about {
			step := takeoff.Step(sys)
			left = "about " + (b.Offcut / step * step).In(sys)
		}
		s += ", left " + left
		if b.Offcut >= o.ReuseFrom {
			s += " to keep"
		}
	}
	return s
}

// roundUp gives whole inches, or centimetres.
func roundUp(l unit.Length, sys unit.System) unit.Length {
	step := takeoff.Step(sys)
	return (l + step - 1) / step * step
}

func notMeasured(w io.Writer, o *takeoff.Order) {
	if len(o.NotMeasured) == 0 {
		return
	}
	fmt.Fprintln(w, "\nNOT MEASURED, AND IN NO TOTAL")
	for _, x := range o.NotMeasured {
		hang(w, "  ", OpenSays(&x))
		hang(w, "      ask: ", x.Ask)
	}
}

// OpenSays is one thing that could not be counted, in a line.
func OpenSays(x *takeoff.Open) string {
	what := strings.Join(strings.Fields(materialWord(x.Material)+" "+x.What+" "+x.Size), " ")
	return what + " (" + x.Phase.String() + "; " + strings.Join(x.Runs, ", ") + "): " + x.Why
}

func totals(w io.Writer, p *price.Priced) {
	if !p.Listed {
		fmt.Fprintln(w, "\nPRICE")
		fmt.Fprintln(w, "  no price file was given (--prices): nothing is priced")
		return
	}
	if len(p.Missing) == 0 && p.Material == 0 && !p.Labour.Given {
		return
	}
	fmt.Fprintln(w, "\nPRICE")
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	for _, t := range Totals(p) {
		fmt.Fprintf(tw, "%s\t%s\t\n", t.Words, t.Amount)
	}
	tw.Flush()
	if len(p.Missing) > 0 {
		fmt.Fprintf(w, "  %d without a price, in no total:\n", len(p.Missing))
		for _, m := range p.Missing {
			fmt.Fprintln(w, "    "+m)
		}
	}
	if len(p.Labour.Missing) > 0 {
		hang(w, "  labour without a figure: ", strings.Join(p.Labour.Missing, "; "))
	}
}

// Hours writes hours to a hundredth.
func Hours(h price.Money) string { return decimal(int64(h), int64(price.One), 2) }

// HourHeads are the columns of the table of hours, after the phase.
var HourHeads = []string{"pipe", "joints", "pieces", "fixtures", "tests", "fixed", "hours"}

// HourCells are the hours of a phase by what they are figured on; nothing is a dash.
func HourCells(h *price.PhaseHours) []string {
	var out []string
	for _, m := range []price.Money{h.Pipe, h.Joints, h.Pieces, h.Fixtures, h.Tests, h.Fixed, h.Hours} {
		if m == 0 {
			out = append(out, "-")
			continue
		}
		out = append(out, Hours(m))
	}
	return out
}

// HoursSay stands over the table of hours.
const HoursSay = "by the shop's own figures in the price file; the program has none of its own"

func hours(w io.Writer, p *price.Priced) {
	if !p.Labour.Given {
		return
	}
	fmt.Fprintln(w, "\nHOURS BY PHASE, "+HoursSay)
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(tw, "phase\t"+strings.Join(HourHeads, "\t")+"\t")
	for i := range p.Labour.Phases {
		h := &p.Labour.Phases[i]
		fmt.Fprintln(tw, h.Phase.String()+"\t"+strings.Join(HourCells(h), "\t")+"\t")
	}
	tw.Flush()
}

// offsets writes the layout of the offsets of the job.
func offsets(w io.Writer, o *takeoff.Order, sys unit.System) {
	if len(o.Offsets) == 0 {
		return
	}
	fmt.Fprintln(w, "\nOFFSETS (between centres)")
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(tw, "  run\tbends\tto the side\tup or down\tset\ttravel\tadvance\troll")
	for i := range o.Offsets {
		b := &o.Offsets[i]
		fmt.Fprintln(tw, "  "+b.Run+"\t"+strings.Join(OffsetCells(b, sys), "\t"))
	}
	tw.Flush()
}

// OffsetHeads are the columns of OffsetCells.
var OffsetHeads = []string{"Bends", "To the side", "Up or down", "Set", "Travel", "Advance", "Roll"}

// OffsetCells tells an offset: its bends, what it moves the pipe by, the slanted piece and how
// far it gets; the roll of a rolling one out of the level.
func OffsetCells(b *takeoff.Bent, sys unit.System) []string {
	dash := func(l unit.Length) string {
		if l == 0 {
			return "-"
		}
		return l.In(sys)
	}
	roll := "-"
	if b.Rolling() {
		roll = decimal(int64(b.Roll), 100, 1) + " degrees"
	}
	return []string{b.Bend.String(), dash(b.Side), dash(b.Rise), b.Set.In(sys), b.Travel.In(sys), b.Advance.In(sys), roll}
}

// WantSays names a measure that the saw list lacks: the fitting, its sizes, which ends.
func WantSays(x *takeoff.Want) string {
	size := x.Run.Short()
	if x.Branch > 0 {
		size += " x " + x.Branch.Short()
	}
	says := strings.TrimSpace(materialWord(x.Material) + " " + x.Say + " " + size)
	if x.Branch == 0 || x.Kind == "bushing" {
		return says
	}
	var ends []string
	for i, word := range [...]string{"upper", "lower", "side"} {
		if x.Ports[i] {
			ends = append(ends, word)
		}
	}
	return says + ": " + strings.Join(ends, ", ")
}

func ends(n int) string {
	if n == 1 {
		return "1 end of pipe"
	}
	return fmt.Sprintf("%d ends of pipe", n)
}

// wants lists the measures that would let every piece be cut from the list.
func wants(w io.Writer, o *takeoff.Order) {
	if len(o.Wants) == 0 {
		return
	}
	fmt.Fprintln(w, "\nMEASURE THESE ONCE, AND THE SAW LIST IS EXACT (--form FILE writes a file to fill in, --dimensions FILE reads it)")
	for i := range o.Wants {
		x := &o.Wants[i]
		hang(w, "  ", WantSays(x)+" ("+ends(x.Pieces)+")")
	}
}

// Total is one line of the sums at the foot of an order.
type Total struct{ Words, Amount string }

// Totals gives the sums at the foot of an order. What is incomplete says so.
func Totals(p *price.Priced) []Total {
	rate := func(v int64) string { return decimal(v, 100, 2) + " %" }
	out := []Total{{"material", p.Material.String()}}
	if p.Settings.Sundries > 0 {
		out = append(out, Total{"sundries " + rate(p.Settings.Sundries), p.Sundries.String()})
	}
	if p.Settings.Tax > 0 {
		out = append(out, Total{"tax " + rate(p.Settings.Tax), p.Tax.String()})
	}
	if p.Labour.Given {
		for i := range p.Labour.Phases {
			h := &p.Labour.Phases[i]
			words := "labour " + h.Phase.String() + ", " + Hours(h.Hours) + " h"
			switch {
			case h.Hours == 0:
			case !h.RateKnown:
				out = append(out, Total{words, "no rate"})
			default:
				out = append(out, Total{words + " at " + h.Rate.String(), h.Cost.String()})
			}
		}
		if p.Labour.RateKnown {
			out = append(out, Total{"labour, " + Hours(p.Labour.Hours) + " h", p.Labour.Cost.String()})
		} else {
			out = append(out, Total{"labour, " + Hours(p.Labour.Hours) + " h", "no rate"})
		}
	}
	words := "total"
	if !p.Complete() || len(p.Labour.Missing) > 0 || p.Labour.Given && !p.Labour.RateKnown {
		words = "total of what is known"
	}
	return append(out, Total{words, p.Total.String()})
}
