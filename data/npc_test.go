package data_test

import (
	"testing"

	"trapweir/engine/codebook"
	"trapweir/engine/unit"
)

// The Canadian code was read on provincial pages; see docs/books.md.
const (
	obcStack  = "buildingcode.online/1070, Ontario 7.4.10.6, loads of stacks"
	obcDrain  = "buildingcode.online/1072, Ontario 7.4.10.8, level drains by slope"
	obcSlope  = "buildingcode.online/1059, Ontario 7.4.8.1"
	obcFlow   = "buildingcode.online/1067, Ontario 7.4.10.3"
	bcForum   = "plumbingzone.com, question for British Columbia: 2 in stack 24, branch 6, wet vent 4"
	bcab1352  = "gov.bc.ca, appeal board 1352: 3 in carries 27"
	canFAQ    = "terrylove.com, Canadian code answers"
	opia0517  = "opia.info, interpretation 05-17: bathtub 1.5 units, arm of 2 in 2.4 m"
	opia1402  = "opia.info, interpretation 14-02: 3 units on a 2 in wet vent of a water closet"
	npcMemory = "from memory"
)

func TestCanada(t *testing.T) {
	b := open(t, library(t), "npc-2020")
	for _, c := range []cellCheck{
		{"stack", "1-1/2", "total", "8", obcStack},
		{"stack", "2", "total", "24", bcForum},
		{"stack", "3", "storey", "18", obcStack},
		{"stack", "3", "total", "102", obcStack},
		{"stack", "4", "storey", "100", obcStack},
		{"stack", "4", "total", "540", obcStack},
		{"stack", "6", "total", "2900", obcStack},
		{"branch", "2", "units", "6", bcForum},
		{"branch", "3", "units", "27", bcab1352},
		{"branch", "4", "units", "180", npcMemory},
		{"building-drain", "3", "1:100", "-", obcDrain},
		{"building-drain", "3", "1:50", "27", obcDrain},
		{"building-drain", "3", "1:25", "36", obcDrain},
		{"building-drain", "4", "1:100", "180", obcDrain},
		{"building-drain", "4", "1:50", "240", obcDrain},
		{"building-drain", "4", "1:25", "300", obcDrain},
		{"building-drain", "6", "1:133", "600", obcDrain},
		{"building-drain", "12", "1:400", "2240", obcDrain},
		{"min-slope", "3", "slope", "1:50", obcSlope},
		{"min-slope", "4", "slope", "1:100", npcMemory},
		{"trap-arm", "1-1/2", "max", "1.8 m", canFAQ},
		{"trap-arm", "2", "max", "2.4 m", opia0517},
		{"trap-arm", "3", "max", "3.6 m", canFAQ},
		{"trap-vent", "2", "vent", "1-1/2", npcMemory},
		{"wet-vent", "1-1/2", "closet units", "-", npcMemory},
		{"wet-vent", "2", "units", "4", bcForum},
		{"wet-vent", "2", "closet units", "3", opia1402},
		{"unlisted-by-trap", "2", "units", "3", opia0517},
		{"semi-continuous-flow", "3", "units", "27", obcFlow},
		{"drill-notch", "joist hole", "share", "1/4", npcMemory},
	} {
		tab, ok := b.Table(c.table)
		if !ok {
			t.Errorf("no table %s (%s)", c.table, c.from)
			continue
		}
		cell := tab.CellByKey(c.row, c.column)
		if cell.Text != c.want {
			t.Errorf("%s, row %s, column %s: %q, want %s (%s)", c.table, c.row, c.column, cell.Text, c.want, c.from)
		}
		if cell.Cite == nil || cell.Cite.At == "" {
			t.Errorf("%s, row %s: no printed place", c.table, c.row)
		} else if c.from == npcMemory && !cell.Cite.Memory {
			t.Errorf("%s, row %s, column %s is from memory and does not say so", c.table, c.row, c.column)
		}
	}
	for _, tt := range []struct{ id, want, from string }{
		{"trap-arm.closet-max", "3 m", canFAQ},
		{"trap-arm.max-turns", "135", canFAQ},
		{"trap.seal-min", "38 mm", "buildingcode.online/920"},
		{"wet-vent.closets-max", "2", "buildcodes.ca, section 7.5; trade article on wet vents"},
		{"wet-vent.upper-floor-units", "4", "trade article on wet vents; apprenticeship text D-1.7"},
		{"aav.allowed", "yes", "gov.bc.ca, appeal board 1801"},
		{"building-sewer.min-size", "4 in", npcMemory},
		{"joist.hole-edge", "50 mm", npcMemory},
	} {
		if p := b.Param(tt.id); p.State != codebook.Given || p.Text != tt.want {
			t.Errorf("%s: %q, want %s (%s)", tt.id, p.Text, tt.want, tt.from)
		} else if tt.from == npcMemory && !p.Cite.Memory {
			t.Errorf("%s is from memory and does not say so", tt.id)
		}
	}
	for _, tt := range []struct {
		kind string
		attr codebook.Attr
		want unit.Load
		from string
	}{
		{"bathtub", codebook.Attr{}, 150, opia0517},
		{"kitchen sink", codebook.Attr{}, 150, bcForum},
		{"water closet", codebook.Attr{}, 400, npcMemory},
		{"lavatory", codebook.Attr{Trap: unit.Size(unit.Inch * 3 / 2)}, 150, npcMemory},
		{"shower", codebook.Attr{Heads: 3}, 300, npcMemory},
		{"floor drain", codebook.Attr{Emergency: true}, 0, npcMemory},
	} {
		if row, state := b.Fixture(tt.kind, tt.attr); state != codebook.Given || row.Units.Load != tt.want {
			t.Errorf("%s %+v: %v units (state %d), want %v (%s)", tt.kind, tt.attr, row.Units.Load, state, tt.want, tt.from)
		}
	}
	for _, tt := range []struct {
		id, lies string
		count    int // that makes it 4 in
		from     string
	}{
		{"closets-on-3in-level", "level", 3, "codes-guides.nrc.ca, intent statement 391; the size from memory"},
		{"closets-on-3in-upright", "upright", 7, npcMemory},
	} {
		if l := limit(b, tt.id); l.When.ClassCount != tt.count || l.When.Lies != tt.lies || l.Min != unit.Size(4*unit.Inch) {
			t.Errorf("%s: %+v, want 4 in from %d (%s)", tt.id, l, tt.count, tt.from)
		}
	}
	if b.Layers()[0].Status == "" {
		t.Error("the book is partial and does not say so")
	}
}

// The storey limits that two printings give differently are said, not settled.
func TestCanadaDisputedStacks(t *testing.T) {
	tab, _ := open(t, library(t), "npc-2020").Table("stack")
	for _, tt := range []struct{ row, want string }{
		{"1-1/2", "a"}, // 2 from memory, 5 on Ontario's page
		{"2", "b"},     // 6 from memory, 10 on Ontario's page
	} {
		if c := tab.CellByKey(tt.row, "storey"); c.Notes != tt.want || !c.Memory || tab.Note(tt.want) == "" {
			t.Errorf("%s in from one storey: %q with notes %q; the other printing has to be named", tt.row, c.Text, c.Notes)
		}
	}
}
