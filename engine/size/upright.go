package size

import (
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/network"
	"trapweir/engine/unit"
)

// RuleUpright is the id of "upright pipe is no longer than its size allows".
const RuleUpright = "upright-too-long"

// uprightColumn is the column of a sizing table that says how long upright pipe of a size
// may be.
const uprightColumn = "upright-length"

// A reach is the most upright pipe of one size that the book allows.
type reach struct {
	size unit.Size
	most unit.Length
	cite *diag.Cite
}

// reaches reads the book's lengths of upright pipe, smallest size first; none where no
// sizing table of the book has such a column, or the topic is not part of the book.
func reaches(b *codebook.Book, sizings []codebook.Sizing) []reach {
	if _, ok := b.Clause("vertical-length"); !ok {
		return nil
	}
	for i := range sizings {
		t, ok := b.Table(sizings[i].Table)
		if !ok {
			continue
		}
		col := t.Column(uprightColumn)
		if col < 0 {
			continue
		}
		var out []reach
		for k := range t.Rows {
			r := &t.Rows[k]
			if c := &r.Cells[col]; c.State == codebook.Given && c.Length > 0 && r.Size > 0 {
				cite := c.Cite
				if cite == nil {
					cite = t.Cite
				}
				out = append(out, reach{r.Size, c.Length, cite})
			}
		}
		return out
	}
	return nil
}

// fall notes how much upright pipe lies above the lower end of a segment in its line: its
// own, and that of what goes on into it upright. In a stack the count goes on past a level
// offset, whose own length does not count. The dry top of a stack is a vent, nothing falls in it.
func (c *chooser) fall(s network.SegID) {
	if c.reach == nil || c.dry(s) {
		return
	}
	seg := &c.net.Segs[s]
	offset := seg.Role == network.StackOffset && seg.Lie != network.Upright
	if seg.Role == network.PumpDischarge || seg.Lie != network.Upright && !offset {
		return
	}
	known := offset || seg.LengthKnown
	sum := unit.Length(0)
	for _, u := range c.net.Up(s) {
		if up := &c.net.Segs[u]; up.Role == network.StackOffset || up.Lie == network.Upright && up.Role != network.PumpDischarge {
			sum = max(sum, c.fallen[u])
			known = known && !c.fallOpen[u]
		}
	}
	if !offset {
		sum += seg.Length()
	}
	c.fallen[s], c.fallOpen[s] = sum, !known
}

// uprightTerm: the pipe is at least so large that the book lets it stand as tall. The term
// is left out where the smallest size may be as tall.
func (c *chooser) uprightTerm(s network.SegID) {
	if c.net.Segs[s].Lie != network.Upright {
		return
	}
	for i := range c.reach {
		if c.reach[i].most < c.fallen[s] || !c.pickable(c.reach[i].size) {
			continue
		}
		if i > 0 && c.reach[0].most < c.fallen[s] {
			c.z.terms = append(c.z.terms, Term{Kind: ByUpright, Min: c.reach[i].size, Ref: int32(i)})
		}
		return
	}
}

// mostUpright is how tall upright pipe of a size may be, nil where nothing is printed.
func (z *Sizes) mostUpright(size unit.Size) *reach {
	for i := range z.reach {
		if z.reach[i].size == size {
			return &z.reach[i]
		}
	}
	return nil
}

// tallest is the most upright pipe that a building of so many stories can have in one line,
// at fifteen feet a story (common practice), with the story below the first one.
func tallest(stories int) unit.Length { return unit.Length(stories+1) * 15 * unit.Foot }

// anyStories stands for the stories of a building of which the job tells nothing: it may be
// taller than any pipe may stand.
const anyStories = 100

// askUpright asks for the heights of upright pipe of a given size whose length is not
// known, where the building may be so tall that it matters. Without a word on its stories a
// house of one or two families has three.
func (c *chooser) askUpright(s network.SegID, said map[string]bool) {
	if c.reach == nil || !c.fallOpen[s] || c.net.Segs[s].Lie != network.Upright || c.z.Size[s] == 0 {
		return
	}
	may := c.z.mostUpright(c.z.Size[s])
	j := c.net.Job
	stories := j.Stories.V
	switch o := j.Occupancy.Text; {
	case j.Stories.Set:
	case len(j.Levels) > 0:
		stories = len(j.Levels)
	case o == "" || o == "one-family" || o == "two-family":
		stories = 3
	default:
		stories = anyStories
	}
	run := c.net.RunOf(s)
	if may == nil || tallest(stories) <= may.most || !once(said, RuleUpright+"\x00"+run.Name) {
		return
	}
	most := may.most.In(j.Units)
	c.diags = append(c.diags, diag.Diagnostic{
		Severity: diag.Unchecked, Rule: RuleUpright, On: segRef(run.Name, s), At: run.Def.At,
		Message: run.Name + ": how tall it stands is not known, and " + c.z.Size[s].String() + " upright pipe may be " + most + " at most",
		Limit:   most, Cites: citesOf(may.cite),
		Ask: "how tall is " + run.Name + ", from its highest drain to its foot?",
	})
}
