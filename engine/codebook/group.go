package codebook

import (
	"strings"

	"go.yaml.in/yaml/v4"

	"trapweir/engine/source"
	"trapweir/engine/unit"
	"trapweir/engine/yamlread"
)

// groupDoc is the groups section of one file.
type groupDoc struct {
	at     source.Span
	groups []Group
	memory []bool
	baths  []BathsRow
	bathsM []bool
	notes  []Note
	said
}

var groupKeys = append([]string{"grid", "baths", "notes", "proof"}, saidKeys...)

func (r *reader) groups(n *yaml.Node) {
	d := &groupDoc{at: r.Span(n)}
	const what = "the groups"
	var lines, baths, proof *yaml.Node
	for key, v := range r.Fields(n, what, groupKeys) {
		switch key {
		case "grid":
			lines = v
		case "baths":
			baths = v
		case "notes":
			d.notes = r.notes(v, what)
		case "proof":
			proof = v
		default:
			r.said(&d.said, key, v)
		}
	}
	if !d.has {
		r.Add(d.at, "the groups have no place", "write at: and the table's number in print")
	}
	if lines == nil && baths == nil {
		r.Add(d.at, "the groups have no lines", "write grid: | with group, members, flush and units")
		return
	}
	r.d.groups = d
	if lines != nil {
		r.groupGrid(lines, proof, d)
	}
	if baths != nil {
		r.baths(baths, d)
	}
}

func (r *reader) groupGrid(lines, proof *yaml.Node, d *groupDoc) {
	g, ok := r.grid(lines, "the groups", 4)
	if !ok {
		return
	}
	if strings.Join(g.head, " ") != "group members flush units" {
		r.Add(g.at, "the columns of the groups are "+strings.Join(g.head, ", "), "write group, members, flush, units")
		return
	}
	table := make([]Cell, len(g.rows))
	for i, row := range g.rows {
		x := Group{Name: row.cells[0].text}
		x.Members, x.Optional = members(row.cells[1].text)
		if len(x.Members) == 0 {
			r.Add(row.cells[1].at, "the group "+yamlread.Short(x.Name)+" has no members", "write water closet + lavatory + bathtub|shower")
		}
		if w := row.cells[2]; w.text != "." {
			text := w.text
			if !strings.HasPrefix(text, "flush ") {
				text = "flush " + text
			}
			x.When = text
			for _, t := range r.tests(gridCell{text, w.at}) {
				switch {
				case t.attr == attrFlush && t.op == "<=":
					x.FlushMax = unit.Volume(t.v)
				case t.attr == attrFlush && t.op == ">":
					x.FlushOver = unit.Volume(t.v)
				default:
					r.Add(w.at, "a group asks for "+yamlread.Short(w.text), "write <= 1.6 gal, > 1.6 gal or .")
				}
			}
		}
		c := r.cell(row.cells[3])
		r.marks(c.Notes, d.notes, row.cells[3].at, "the groups")
		if c.State != Given || !isNumberCell(c.Text) {
			r.Add(row.cells[3].at, "the units "+yamlread.Short(row.cells[3].text)+" are no number", "write 5")
			continue
		}
		table[i] = c
		x.Units, x.Notes = c.Load, c.Notes
		d.groups = append(d.groups, x)
		d.memory = append(d.memory, c.Memory)
	}
	r.proof(proof, "the groups", len(g.rows), []string{"units"}, func(row, _ int) (Cell, bool) { return table[row], true })
}

// members reads `water closet + lavatory + bathtub|shower + bidet?`: + parts members, |
// parts what may stand for a member, ? marks one that may be there or not.
func members(s string) (need [][]string, may []string) {
	for _, part := range strings.Split(s, "+") {
		part = strings.TrimSpace(part)
		opt := strings.HasSuffix(part, "?")
		part = strings.TrimSuffix(part, "?")
		var alt []string
		for _, a := range strings.Split(part, "|") {
			if a = strings.TrimSpace(a); a != "" {
				alt = append(alt, a)
			}
		}
		switch {
		case len(alt) == 0:
		case opt:
			may = append(may, alt...)
		default:
			need = append(need, alt)
		}
	}
	return need, may
}

// baths reads the grid `baths units`; the row `further` gives what each further full bath
// adds.
func (r *reader) baths(n *yaml.Node, d *groupDoc) {
	g, ok := r.grid(n, "the baths", 2)
	if !ok {
		return
	}
	for _, row := range g.rows {
		key, c := row.cells[0], r.cell(row.cells[1])
		r.marks(c.Notes, d.notes, row.cells[1].at, "the groups")
		if c.State != Given || !isNumberCell(c.Text) {
			r.Add(row.cells[1].at, "the units "+yamlread.Short(row.cells[1].text)+" are no number", "write 7")
			continue
		}
		x := BathsRow{Units: c.Load, Notes: c.Notes}
		if key.text == "further" {
			x.Further, x.HalfBaths = true, 2
		} else {
			share, ok := parseShare(key.text)
			if !ok || share.Run > 2 || share.Fall < 1 || share.Fall > 1000 {
				r.Add(key.at, yamlread.Short(key.text)+" is no number of baths", "write 1-1/2, 2, 2-1/2 ... or further")
				continue
			}
			x.HalfBaths = int(share.Fall * 2 / share.Run)
		}
		d.baths = append(d.baths, x)
		d.bathsM = append(d.bathsM, c.Memory)
	}
}
