package data_test

import (
	"testing"

	"trapweir/engine/codebook"
)

// What an edition says otherwise than the 2021 one that it lies over.
func TestEditions(t *testing.T) {
	lib := library(t)
	const (
		island = "gardencourte.com, disposers on combination waste and vent"
		vacuum = "thebuildingcodeforum.com, vacuum test: residential code 2018, plumbing code 2021"
		washer = "thebuildingcodeforum.com, washer waste, standpipe section by edition"
		closet = "thebuildingcodeforum.com, water closet's drain, 420.4 and 425.4"
	)
	for _, tt := range []struct {
		book, param, want, from string
	}{
		{"irc-2015", "combination.disposer", "no", island},
		{"irc-2018", "combination.disposer", "yes", island},
		{"irc-2021", "combination.disposer", "yes", island},
		{"irc-2024", "combination.disposer", "yes", "carried forward"},
		{"ipc-2015", "combination.disposer", "no", "from memory"},
		{"irc-2015", "test.vacuum", "no", vacuum},
		{"irc-2018", "test.vacuum", "yes", vacuum},
		{"ipc-2015", "test.vacuum", "no", vacuum},
		{"ipc-2018", "test.vacuum", "no", vacuum},
		{"ipc-2021", "test.vacuum", "yes", vacuum},
	} {
		p := open(t, lib, tt.book).Param(tt.param)
		if p.State != codebook.Given || p.Text != tt.want || p.Cite.Book != tt.book {
			t.Errorf("%s, %s: %q by %+v, want %q (%s)", tt.book, tt.param, p.Text, p.Cite, tt.want, tt.from)
		}
	}
	for _, tt := range []struct {
		book, topic, want, from string
	}{
		{"ipc-2015", "standpipe", "802.4", washer},
		{"ipc-2018", "standpipe", "802.3.3", washer},
		{"ipc-2021", "standpipe", "802.4.3", "law.cornell.edu, Ohio 4101:3-10-01 after the plumbing code of 2021"},
		{"ipc-2015", "closet-bend", "420.4", closet},
		{"ipc-2018", "closet-bend", "425.4", closet},
		{"ipc-2024", "closet-bend", "425.4", closet},
		{"ipc-2015", "test-vacuum", "", vacuum},
		{"ipc-2018", "test-vacuum", "", vacuum},
		{"ipc-2021", "test-vacuum", "312.4", vacuum},
		{"irc-2015", "test-vacuum", "", vacuum},
	} {
		c, ok := open(t, lib, tt.book).Clause(tt.topic)
		if ok != (tt.want != "") || ok && c.At != tt.want {
			t.Errorf("%s, %s: %q (%t), want %q (%s)", tt.book, tt.topic, c.At, ok, tt.want, tt.from)
		}
	}
	// The head of the water test is disputed between editions; every edition takes the
	// stricter one and says that others differ.
	for _, id := range []string{"irc-2015", "irc-2018", "irc-2021", "irc-2024"} {
		if p := open(t, lib, id).Param("test.head"); p.Text != "10'" || p.Cite.Conflict == "" {
			t.Errorf("%s, test.head: %q, conflict %q; want 10' and what the others say", id, p.Text, p.Cite.Conflict)
		}
	}
	for _, id := range []string{"irc-2024", "ipc-2024"} {
		if in, _ := lib.Info(id); in.Status == "" {
			t.Errorf("%s does not say that its tables were not seen", id)
		}
	}
}

// Lengths of stack vents, IPC Table 906.1, as far as the scan was legible.
func TestStackVentLength(t *testing.T) {
	const from = "pdfcoffee.com, Utah's copy of section 906, 2015"
	tab, ok := open(t, library(t), "ipc-2021").Table("stack-vent-length")
	if !ok {
		t.Fatal("no table stack-vent-length")
	}
	for _, tt := range []struct{ row, vent, want string }{
		{"1-1/4:2", "1-1/4", "30'"},
		{"1-1/2:8", "1-1/2", "150'"},
		{"2:12", "1-1/2", "75'"},
		{"2:12", "2", "200'"},
		{"3:10", "1-1/4", "-"},
		{"3:10", "1-1/2", "42'"},
		{"3:53", "2", "94'"},
		{"3:102", "3", "620'"},
		{"4:43", "2", "35'"},
		{"4:540", "3", "150'"},
		{"6:2900", "6", "600'"},
	} {
		if c := tab.CellByKey(tt.row, tt.vent); c.Text != tt.want {
			t.Errorf("row %s, vent %s: %q, want %s (%s)", tt.row, tt.vent, c.Text, tt.want, from)
		}
	}
	if c := tab.CellByKey("2:20", "2"); !c.Cite.Memory {
		t.Error("the row that the scan does not show has to say that it is from memory")
	}
}

// A group stands for its fixtures with the load of its flush.
func TestGroupsOfBooks(t *testing.T) {
	lib := library(t)
	for _, tt := range []struct {
		book, group string
		row         int // of the groups of this name
		want        string
		from        string
	}{
		{"irc-2021", "full bath", 0, "5", "from memory"},
		{"irc-2021", "full bath", 1, "6", "examination question, flush not stated"},
		{"irc-2021", "laundry", 0, "3", "from memory"},
		{"ipc-2021", "bathroom group", 0, "5", "plumbingzone.com, group with a 1.6 gal water closet"},
		{"ipc-2021", "bathroom group", 1, "6", "plumbingzone.com, older group"},
	} {
		n := 0
		found := false
		for _, g := range open(t, lib, tt.book).Groups() {
			if g.Name != tt.group {
				continue
			}
			if n == tt.row {
				found = true
				if g.Units.String() != tt.want {
					t.Errorf("%s, %s %s: %v units, want %s (%s)", tt.book, g.Name, g.When, g.Units, tt.want, tt.from)
				}
			}
			n++
		}
		if !found {
			t.Errorf("%s has no group %s, row %d", tt.book, tt.group, tt.row)
		}
	}
	if n := len(open(t, lib, "irc-2021").Baths()); n != 6 {
		t.Errorf("irc-2021 counts houses by %d lines of baths, want 6 (from memory, Table P3004.1)", n)
	}
}
