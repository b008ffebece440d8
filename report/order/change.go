package order

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"trapweir/engine/price"
	"trapweir/engine/takeoff"
)

// Beside writes alternates side by side: what each heading costs in each.
func Beside(w io.Writer, cols []price.Column) {
	fmt.Fprintln(w, "ALTERNATES")
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	line := func(lead string, cell func(price.Column) string) {
		fmt.Fprint(tw, lead+"\t")
		for _, c := range cols {
			fmt.Fprint(tw, cell(c)+"\t")
		}
		fmt.Fprintln(tw)
	}
	line("", func(c price.Column) string { return c.Name })
	for _, g := range price.Beside(cols) {
		fmt.Fprint(tw, g.Group+"\t")
		for _, s := range g.Cells {
			switch {
			case s.Missing > 0 && s.Cost == 0:
				fmt.Fprint(tw, "no price\t")
			case s.Missing > 0:
				fmt.Fprintf(tw, "%s and %d without\t", s.Cost, s.Missing)
			default:
				fmt.Fprint(tw, s.Cost.String()+"\t")
			}
		}
		fmt.Fprintln(tw)
	}
	line("material", func(c price.Column) string { return c.Priced.Material.String() })
	if slices.ContainsFunc(cols, func(c price.Column) bool { return c.Priced.Sundries+c.Priced.Tax > 0 }) {
		line("sundries and tax", func(c price.Column) string { return (c.Priced.Sundries + c.Priced.Tax).String() })
	}
	line("labour", func(c price.Column) string {
		l := c.Priced.Labour
		switch {
		case !l.Given:
			return "not given"
		case !l.RateKnown:
			return Hours(l.Hours) + " h, no rate"
		}
		return l.Cost.String()
	})
	line("total of what is known", func(c price.Column) string { return c.Priced.Total.String() })
	line("more or less than "+cols[0].Name, func(c price.Column) string {
		if c.Priced == cols[0].Priced {
			return "-"
		}
		// Nothing can be said of two totals of which one lacks prices.
		if !c.Priced.AllPriced() || !cols[0].Priced.AllPriced() {
			return "not known"
		}
		return signed(c.Priced.Total - cols[0].Priced.Total)
	})
	line("hours", func(c price.Column) string {
		if !c.Priced.Labour.Given {
			return "not given"
		}
		return Hours(c.Priced.Labour.Hours)
	})
	line("pipe, "+UnitWord(takeoff.Run, cols[0].Priced.Order.Units), func(c price.Column) string {
		return Amount(takeoff.Run, netPipe(c.Priced.Order), cols[0].Priced.Order.Units)
	})
	line("joints", func(c price.Column) string {
		n := int64(0)
		for _, j := range c.Priced.Order.Joints {
			n += j.N
		}
		return fmt.Sprint(n)
	})
	line("without a price", func(c price.Column) string { return fmt.Sprint(len(c.Priced.Missing)) })
	line("not measured", func(c price.Column) string { return fmt.Sprint(len(c.Priced.Order.NotMeasured)) })
	tw.Flush()
}

func sign(m price.Money) string {
	if m > 0 {
		return "+"
	}
	return ""
}

// signed writes a difference with its sign.
func signed(m price.Money) string {
	if m > 0 {
		return "+" + m.String()
	}
	return m.String()
}

func netPipe(o *takeoff.Order) int64 {
	n := int64(0)
	for i := range o.Lines {
		if o.Lines[i].Unit == takeoff.Run {
			n += o.Lines[i].Qty
		}
	}
	return n
}

// Change writes a change order: what it adds and takes away, what it costs, what has to be
// looked at again.
func Change(w io.Writer, was, is string, c *price.Change) {
	fmt.Fprintf(w, "Change order\n  from  %s\n  to    %s\n", was, is)
	list := func(lead string, names []string) {
		if len(names) > 0 {
			hang(w, "  "+lead+"  ", strings.Join(names, ", "))
		}
	}
	fmt.Fprintln(w, "\nPIPES")
	list("added    ", c.Added)
	list("removed  ", c.Removed)
	for _, r := range c.Resized {
		fmt.Fprintf(w, "  re-sized   %s: %s, was %s\n", r.Name, r.Is, r.Was)
	}
	list("re-routed", c.Rerouted)
	if len(c.Added)+len(c.Removed)+len(c.Resized)+len(c.Rerouted) == 0 {
		fmt.Fprintln(w, "  no pipe changes")
	}
	if len(c.Lines) > 0 {
		fmt.Fprintln(w, "\nMATERIAL")
		tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		fmt.Fprintln(tw, "  phase\titem\twas\tis\tdifference\tprice\truns")
		for _, d := range c.Lines {
			pr := d.Cost.String()
			switch {
			case !d.Known:
				pr = "no price"
			case d.Cost > 0:
				pr = "+" + pr
			}
			diff := Amount(d.Unit, d.Is-d.Was, c.Units)
			if d.Is > d.Was {
				diff = "+" + diff
			}
			fmt.Fprintf(tw, "  %s\t%s\t%s\t%s\t%s %s\t%s\t%s\n", d.Phase, d.Key, Amount(d.Unit, d.Was, c.Units), Amount(d.Unit, d.Is, c.Units), diff, UnitWord(d.Unit, c.Units), pr, short(d.Runs, 4))
		}
		tw.Flush()
	}
	fmt.Fprintln(w, "\nPRICE")
	cost := signed(c.Cost) + fmt.Sprintf(" (material %s, labour %s, sundries and tax %s)", signed(c.Material), signed(c.Labour), signed(c.Cost-c.Material-c.Labour))
	if c.Hours != 0 {
		fmt.Fprintf(w, "  hours       %s\n", sign(c.Hours)+Hours(c.Hours))
	}
	if c.Known {
		fmt.Fprintf(w, "  difference  %s\n", cost)
	} else {
		fmt.Fprintf(w, "  difference of what has a price  %s\n", cost)
		if len(c.Missing) > 0 {
			hang(w, "  without a price, in no total: ", strings.Join(c.Missing, "; "))
		}
		if len(c.LabourMissing) > 0 {
			hang(w, "  labour without a figure, in no total: ", strings.Join(c.LabourMissing, "; "))
		}
	}
	fmt.Fprintln(w, "\nTO BE INSPECTED AGAIN")
	if len(c.Inspect) == 0 {
		fmt.Fprintln(w, "  nothing that the order shows")
	}
	for _, x := range c.Inspect {
		hang(w, "  "+x.Phase.String()+": ", x.Say+": "+strings.Join(x.Runs, ", "))
	}
	fmt.Fprintln(w)
	hang(w, "", Caution)
}

func short(names []string, n int) string {
	if len(names) <= n+1 {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:n], ", "), len(names)-n)
}
