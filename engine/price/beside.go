package price

import (
	"slices"

	"trapweir/engine/takeoff"
)

// Column is one alternate: another material, or another route.
type Column struct {
	Name   string
	Priced *Priced
}

// Group is one heading over all alternates.
type Group struct {
	Group string `json:"group"`
	Cells []Sum  `json:"cells"` // by column
}

// Beside lays alternates side by side, heading by heading, in the order of the headings.
// An alternate that has nothing under a heading has a Sum of nothing there.
func Beside(cols []Column) []Group {
	var out []Group
	for k, c := range cols {
		for _, s := range c.Priced.Sums() {
			i := slices.IndexFunc(out, func(g Group) bool { return g.Group == s.Group })
			if i < 0 {
				i = len(out)
				out = append(out, Group{s.Group, make([]Sum, len(cols))})
				for j := range out[i].Cells {
					out[i].Cells[j].Group = s.Group
				}
			}
			out[i].Cells[k] = s
		}
	}
	order := takeoff.Groups()
	slices.SortStableFunc(out, func(a, b Group) int { return slices.Index(order, a.Group) - slices.Index(order, b.Group) })
	return out
}
