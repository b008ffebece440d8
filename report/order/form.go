package order

import (
	"fmt"
	"io"
	"strings"

	"trapweir/engine/takeoff"
)

// Form writes a file of measures for the fittings that the saw list lacks, with a dot for
// every measure, for a shop to fill in and to lay over its record. A cell that stays a dot
// says nothing, and its pieces are measured in place.
func Form(w io.Writer, title string, o *takeoff.Order) error {
	p := func(format string, a ...any) { fmt.Fprintf(w, format, a...) }
	p("# Measures wanted for %s: fill in what is on your shelf, and lay the file over with\n", strings.Join(strings.Fields(title), " "))
	p("#   trapweir order JOB --dimensions THIS-FILE\n")
	p("# Inches, from the centre of the fitting to the stop in its hub (to the end, for hubless pipe): 2.3125. A dot stays\n")
	p("# not known. end: either end of a bend; upper: where the pipe comes in; lower: where it goes on; side: the branch.\n")
	p("# p-trap, trap adapter: from the weir to the stop of the outlet. p-trap inlet: how far the stop of the inlet lies over\n")
	p("# the weir. closet flange: from the floor to the stop. cleanout adapter: from its top to the stop. bushing: how far\n")
	p("# out of the hub its own stop lies (upper). combo, wye: from where the centre lines meet.\n")
	if len(o.Wants) == 0 {
		p("# Nothing is wanted: every piece can be cut from the list.\n")
		return nil
	}
	p("sets:\n")
	for _, material := range wantMaterials(o) {
		p("  ours, %s:\n    for: [%s]\n", material, material)
		for _, branches := range []bool{false, true} {
			section, kind := "", ""
			for i := range o.Wants {
				x := &o.Wants[i]
				if x.Material != material || (x.Branch > 0) != branches {
					continue
				}
				if section == "" {
					section = "bends"
					if branches {
						section = "branches"
					}
					p("    %s:\n", section)
				}
				if x.Kind != kind {
					kind = x.Kind
					head := "size   end  confidence"
					if branches {
						head = "run    branch  upper  lower  side  confidence"
					}
					p("      %s:\n        basis: measured on our shelf\n        confidence: high\n        grid: |\n          %s\n", kind, head)
				}
				if branches {
					p("          %-5s  %-6s  .      .      .     .\n", x.Run.Short(), x.Branch.Short())
				} else {
					p("          %-5s  .    .\n", x.Run.Short())
				}
			}
		}
	}
	return nil
}

// wantMaterials lists the materials of the wanted measures, in their order.
func wantMaterials(o *takeoff.Order) (out []string) {
	for i := range o.Wants {
		if m := o.Wants[i].Material; len(out) == 0 || out[len(out)-1] != m {
			out = append(out, m)
		}
	}
	return out
}
