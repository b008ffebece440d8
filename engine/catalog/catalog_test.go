package catalog_test

import (
	"io/fs"
	"slices"
	"strings"
	"testing"

	"trapweir/data"
	"trapweir/data/symbols"
	"trapweir/engine/catalog"
	"trapweir/engine/codebook"
	"trapweir/engine/unit"
)

func read(tb testing.TB) *catalog.Catalog {
	tb.Helper()
	c, ds := catalog.Read([]codebook.File{{Name: "fixtures.yaml", Text: data.Get("fixtures.yaml")}})
	for _, d := range ds {
		tb.Errorf("%s: %s (%s)", d.At, d.Message, d.Try)
	}
	return c
}

func TestFind(t *testing.T) {
	c := read(t)
	for word, want := range map[string]string{
		"lavatory": "lavatory", "lav": "lavatory", "Lav": "lavatory", "vanity": "lavatory", "lavatories": "lavatory",
		"toilet": "water closet", "wc": "water closet", "WC": "water closet", "water-closet": "water closet", "water_closet": "water closet",
		"tub": "bathtub", "ks": "kitchen sink", "kitchen sinks": "kitchen sink", "washer": "clothes washer", "cw": "clothes washer",
		"clothes  washer": "clothes washer", "dw": "dishwasher", "fd": "floor drain", "laundry tray": "laundry tub",
		"indirect-receptor": "indirect receptor", "fixture-group": "bathroom group", "floor drain": "floor drain",
	} {
		k, near := c.Find(word)
		if k == nil || k.Name != want {
			t.Errorf("%s: got %v (nearest %q), want %s", word, k, near, want)
		}
	}
	for word, want := range map[string]string{
		"lavatry": "lavatory", "kitchn sink": "kitchen sink", "ejector": "", "bathtob": "bathtub", "urnal": "urinal", "": "",
	} {
		if k, near := c.Find(word); k != nil || near != want {
			t.Errorf("%q: got %v, nearest %q, want none and %q", word, k, near, want)
		}
	}
}

func TestClasses(t *testing.T) {
	c := read(t)
	tests := []struct {
		kind, class string
		want        bool
	}{
		{"water closet", "water closet", true},
		{"flushometer tank water closet", "water closet", true},
		{"bathroom group", "water closet", true},
		{"kitchen sink", "sink", true},
		{"sink", "sink", true},
		{"lavatory", "sink", false},
		{"lavatory", "bathroom fixture", true},
		{"kitchen sink", "bathroom fixture", false},
		{"clothes washer", "suds", true},
		{"emergency floor drain", "floor drain", true},
		{"waterless urinal", "urinal", true},
	}
	for _, tt := range tests {
		k, _ := c.Find(tt.kind)
		if k == nil {
			t.Errorf("no kind %s", tt.kind)
			continue
		}
		i := c.ClassIndex(tt.class)
		if i < 0 {
			t.Errorf("no class %s", tt.class)
		}
		if got := k.Has(tt.class); got != tt.want {
			t.Errorf("%s is %s: %v, want %v", tt.kind, tt.class, got, tt.want)
		}
		if got := k.HasAt(i); got != tt.want {
			t.Errorf("%s is %s by index: %v, want %v", tt.kind, tt.class, got, tt.want)
		}
	}
	if c.ClassIndex("boiler") >= 0 {
		t.Error("a boiler is no class")
	}
	if k, _ := c.Find("lav"); k.Count(1) != "1 lavatory" || k.Count(2) != "2 lavatories" {
		t.Errorf("%s, %s", k.Count(1), k.Count(2))
	}
}

// Every class holds something, but for those that follow from the job.
func TestNoEmptyClass(t *testing.T) {
	c := read(t)
	for i, class := range c.Classes() {
		used := class == "disposer" || class == "pumped"
		for _, k := range c.Kinds() {
			used = used || k.HasAt(i)
		}
		if !used {
			t.Errorf("no kind is %s", class)
		}
	}
}

func TestHeights(t *testing.T) {
	c := read(t)
	for _, k := range c.Kinds() {
		if k.Weir.Set && (!k.Outlet.Set || k.Weir.V >= k.Outlet.V) {
			t.Errorf("%s: the weir at %s is not below its outlet at %s", k.Name, k.Weir.V, k.Outlet.V)
		}
		if k.Rim.Set && k.Outlet.Set && k.Rim.V < k.Outlet.V {
			t.Errorf("%s: the rim at %s is below its outlet at %s", k.Name, k.Rim.V, k.Outlet.V)
		}
	}
	// Heights as seen on rough-in pages and in the trade: lavatory rim 31 in, drain 16 to
	// 20 in; kitchen sink rim 35 to 36 in, drain 14 to 18 in; washer trap 6 to 18 in; tub
	// rim 14 to 20 in. Common practice.
	for _, tt := range []struct {
		kind           string
		rim            unit.Length
		outlet0, upto1 unit.Length
	}{
		{"lavatory", 31 * unit.Inch, 16 * unit.Inch, 20 * unit.Inch},
		{"kitchen sink", 36 * unit.Inch, 14 * unit.Inch, 18 * unit.Inch},
		{"bathtub", 16 * unit.Inch, 0, 0},
		{"clothes washer", 42 * unit.Inch, 6 * unit.Inch, 18 * unit.Inch},
	} {
		k, _ := c.Find(tt.kind)
		if k.Rim.V != tt.rim || k.Outlet.V < tt.outlet0 || k.Outlet.V > tt.upto1 {
			t.Errorf("%s: rim %s, outlet %s", tt.kind, k.Rim.V, k.Outlet.V)
		}
	}
}

// A kind names a symbol that can be drawn.
func TestSymbolsAreThere(t *testing.T) {
	for _, k := range read(t).Kinds() {
		if _, err := fs.Stat(symbols.Files, k.Symbol+".sym"); err != nil {
			t.Errorf("%s: %v", k.Name, err)
		}
	}
}

func library(tb testing.TB) *codebook.Library {
	tb.Helper()
	var files []codebook.File
	for _, f := range data.Books() {
		files = append(files, codebook.File(f))
	}
	lib, _ := codebook.ReadLibrary(files)
	return lib
}

// ofEveryHouse are the kinds that every model code rates. Source: the fixture tables of
// the books (P3004.1, 709.1, 702.1).
var ofEveryHouse = []string{
	"bar sink", "bathtub", "bidet", "clothes washer", "dishwasher", "emergency floor drain", "floor drain",
	"kitchen sink", "laundry tub", "lavatory", "shower", "water closet", "flushometer tank water closet",
}

// Every kind of the catalog is listed by a book or honestly absent from it, and every row
// of every book has a kind in the catalog.
func TestBooksAndCatalogAgree(t *testing.T) {
	c, lib := read(t), library(t)
	uses := []string{"private", "public", "assembly"}
	for _, id := range lib.IDs() {
		b, _ := lib.Book(id, nil)
		if b == nil {
			continue
		}
		for _, kind := range b.FixtureKinds() {
			if k, near := c.Find(kind); k == nil || k.Name != kind {
				t.Errorf("%s lists %q, which is no kind of the catalog (nearest %q)", id, kind, near)
			}
		}
		for _, k := range c.Kinds() {
			listed := false
			for _, use := range uses {
				row, st := k.In(b, codebook.Attr{Use: use, Flush: unit.Gallon, Flow: 2 * unit.GPM, Trap: 2 * unit.Size(unit.Inch)})
				listed = listed || st != codebook.Absent
				if st == codebook.Absent && (row.Units.State != codebook.Absent || row.Units.Load != 0 || row.Cite != nil) {
					t.Errorf("%s: %s is not listed and counts %s", id, k.Name, row.Units.Load)
				}
			}
			if !listed && slices.Contains(ofEveryHouse, k.Name) {
				t.Errorf("%s does not list a %s", id, k.Name)
			}
		}
	}
	for _, w := range ofEveryHouse {
		if k, _ := c.Find(w); k == nil {
			t.Errorf("no kind %s", w)
		}
	}
}

// Every class and kind that a book or layer speaks of is in the catalog.
func TestBooksSpeakOfKnownClasses(t *testing.T) {
	c, lib := read(t), library(t)
	for _, id := range lib.IDs() {
		in, _ := lib.Info(id)
		base, with := id, []string(nil)
		if in.Kind != "model code" && in.Kind != "edition" {
			base, with = in.Amends[0], []string{id}
			if base == "any" {
				base = "irc-2021"
			}
		}
		b, _ := lib.Book(base, with)
		if b == nil {
			continue
		}
		for _, l := range append(b.Limits(), b.Off()...) {
			for _, class := range append([]string{l.When.Class}, l.When.Joins...) {
				if class != "" && c.ClassIndex(class) < 0 {
					t.Errorf("%s, limit %s: no class %q", id, l.ID, class)
				}
			}
		}
		for _, g := range b.Groups() {
			for _, m := range append(append([][]string{}, g.Members...), g.Optional) {
				for _, kind := range m {
					if k, _ := c.Find(kind); k == nil || k.Name != kind {
						t.Errorf("%s, group %s: no kind %q", id, g.Name, kind)
					}
				}
			}
		}
		for _, p := range []string{"combination.fixtures", "island.fixtures", "shared-trap.kinds", "wet-vent.fixtures", "wet-vent.dry-from"} {
			for _, w := range b.Param(p).Words {
				if w == "any fixture" {
					continue // docs/book-format.md: no fixture is left out
				}
				if k, _ := c.Find(w); k == nil || k.Name != w {
					t.Errorf("%s, %s: no kind %q", id, p, w)
				}
			}
		}
	}
}

// A set of fixtures takes the group's units: 5 with a water closet of 1.6 gal, 6 above;
// kitchen 2, laundry 3, half bath 4 and 5 (from memory, Table P3004.1).
func TestGroupsAsKinds(t *testing.T) {
	c, lib := read(t), library(t)
	for _, tt := range []struct {
		book, kind string
		flush      unit.Volume
		want       unit.Load
		state      codebook.State
		asks       bool
	}{
		{"irc-2021", "bathroom", 1280, 500, codebook.Given, false},
		{"irc-2021", "bathroom", 3500, 600, codebook.Given, false},
		{"irc-2021", "bathroom", 0, 500, codebook.Given, true},
		{"irc-2021", "half bath", 1600, 400, codebook.Given, false},
		{"irc-2021", "kitchen", 0, 200, codebook.Given, false},
		{"irc-2021", "laundry", 0, 300, codebook.Given, false},
		{"ipc-2021", "bathroom group", 1600, 500, codebook.Given, false},
		{"irc-2021", "3/4 bath", 1600, 500, codebook.Given, false},
		// A book that does not rate the set counts its fixtures: IPC Table 709.1 and UPC Table
		// 702.1 (King County): water closet 3, lavatory 1, bathtub and shower 2, kitchen sink
		// with a dishwasher 2, washer 2 and 3, laundry tub 2.
		{"ipc-2021", "half bath", 1600, 400, codebook.Given, false},
		{"ipc-2021", "half bath", 3500, 500, codebook.Given, false},
		{"ipc-2021", "laundry", 0, 400, codebook.Given, false},
		{"upc-2021", "bathroom group", 1600, 600, codebook.Given, false},
		{"upc-2021", "bathroom group", 0, 600, codebook.Given, true},
		{"upc-2021", "3/4 bath", 1600, 600, codebook.Given, false},
		{"upc-2021", "half bath", 3500, 500, codebook.Given, false},
		{"upc-2021", "kitchen", 0, 200, codebook.Given, false},
		{"upc-2021", "laundry", 0, 500, codebook.Given, false},
		{"upc-2021", "emergency floor drain", 0, 0, codebook.Given, false},
		{"upc-2021", "flushometer tank water closet", 1600, 300, codebook.Given, false},
	} {
		k, _ := c.Find(tt.kind)
		b, _ := lib.Book(tt.book, nil)
		row, st := k.In(b, codebook.Attr{Flush: tt.flush})
		if st != tt.state || row.Units.Load != tt.want || (row.Ask != "") != tt.asks {
			t.Errorf("%s, %s at %s: %s (state %d, asks %q), want %s", tt.book, tt.kind, tt.flush, row.Units.Load, st, row.Ask, tt.want)
		}
	}
}

// What people list with the fixtures and drains nothing is answered, not guessed at; no word
// is both.
func TestNoDrain(t *testing.T) {
	c := read(t)
	for _, w := range []string{"hose bib", "Hose Bibs", "hose-bibb", "water heater", "boiler", "garbage disposal", "roof drain", "fridge"} {
		if k, near := c.Find(w); k != nil || near != "" || c.NoDrain(w) == "" {
			t.Errorf("%s: kind %v, near %q, says %q", w, k, near, c.NoDrain(w))
		}
	}
	for _, w := range []string{"water heater pan", "floor drain", "kitchen sink", "condensate", "vanity"} {
		if k, _ := c.Find(w); k == nil || c.NoDrain(w) != "" {
			t.Errorf("%s: kind %v, says %q", w, k, c.NoDrain(w))
		}
	}
}

func TestReadSays(t *testing.T) {
	tests := []struct{ text, want string }{
		{"kinds:\n  tub: {tag: T, symbol: tub, trap: own}\n  bath: {also: [tub], tag: T, symbol: tub, trap: own}\n", "f:3:17: tub already means tub"},
		{"kinds:\n  tub: {tag: T, symbol: tub, trap: in}\n", "f:2:36: the trap of the fixture tub is in"},
		{"kinds:\n  tub: {tag: T, symbol: tub}\n", "f:2:3: the fixture tub does not say where its trap is"},
		{"kinds:\n  tub: {trap: own}\n", "f:2:3: the fixture tub has no tag or no symbol"},
		{"classes: {soil: x}\nkinds:\n  tub: {tag: T, symbol: tub, trap: own, classes: [sol]}\n", "f:3:51: no class sol"},
		{"kinds:\n  tub: {tag: T, symbol: tub, trap: own, rim: {value: 3, from: x}}\n", "f:2:54: "},
		{"kinds:\n  tub: {tag: T, symbol: tub, trap: own, rim: {value: 3\", from: x}}\n", "f:2:64: rim is from x"},
		{"kinds:\n  tub: {tag: T, symbol: tub, trap: own, rim: {value: 3\"}}\n", "f:2:46: rim is not complete"},
		{"kinds:\n  tub: {tag: T, symbol: tub, trap: own, group: perhaps}\n", "f:2:48: found perhaps; yes or no is expected"},
		{"kinds:\n  tub: {tag: T, symbol: tub, trap: own, as: bath}\n", "f:2:45: the fixture tub is listed as bath, which is no kind"},
		{"kinds:\n  tub: {tga: T, symbol: tub, trap: own, tag: T}\n", "f:2:9: unknown key tga in the fixture tub"},
		{"no drain: {tub: it is dry}\nkinds:\n  tub: {tag: T, symbol: tub, trap: own}\n", "f:1:12: tub is no drain, and means tub too"},
		{"kinds:\n  tub: {tag: T, symbol: tub, trap: own, members: [lav]}\n", "f:2:51: the fixture tub has the member lav, which is no fixture"},
		{"", "f:1:1: the file says nothing"},
	}
	for _, tt := range tests {
		_, ds := catalog.Read([]codebook.File{{Name: "f", Text: []byte(tt.text)}})
		if len(ds) == 0 {
			t.Errorf("%q: nothing said, want %q", tt.text, tt.want)
			continue
		}
		if got := ds[0].At.String() + ": " + ds[0].Message; !strings.HasPrefix(got, tt.want) {
			t.Errorf("%q: said %q, want %q", tt.text, got, tt.want)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add(data.Get("fixtures.yaml"))
	f.Add([]byte("classes: {soil: x}\nkinds:\n  tub: {tag: T, symbol: tub, trap: own, classes: [soil], rim: {value: 3\", from: common practice}}\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		c, ds := catalog.Read([]codebook.File{{Name: "f", Text: text}})
		for _, k := range c.Kinds() {
			if got, _ := c.Find(k.Name); got == nil && len(ds) == 0 {
				t.Errorf("%q is not found", k.Name)
			}
		}
		c.Find(string(text))
	})
}

func BenchmarkFind(b *testing.B) {
	c := read(b)
	for b.Loop() {
		c.Find("toilet")
	}
}

func BenchmarkRead(b *testing.B) {
	text := data.Get("fixtures.yaml")
	for b.Loop() {
		catalog.Read([]codebook.File{{Name: "fixtures.yaml", Text: text}})
	}
}
