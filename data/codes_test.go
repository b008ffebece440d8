package data_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"trapweir/data"
	"trapweir/engine/codebook"
	"trapweir/engine/unit"
)

// A cell of a table, as it is printed.
type cellCheck struct {
	table, row, column string
	want               string
	from               string // where the number was read
}

const (
	etsDFU   = "engineeringtoolbox.com, page with unit loads and pipe tables"
	gardenW  = "ths.gardenweb.com, thread with IRC branch values"
	examSt   = "ircp1.passetra.com, examination question on a 3 in stack"
	jlcVent  = "jlconline.com, where vents go"
	slSlope  = "studylib.net, course paper that quotes P3005.3"
	fb646    = "online.flipbuilder.com, IRC 2018 page 646"
	icc3005  = "publicecodes.cyberregs.com, IRC 2012 section P3005"
	plan3    = "scribd.com, layout and planning text, chapter 3"
	ins708   = "inspectcheck.net, cleanouts after 2015 section 708"
	ipc84    = "scribd.com, IPC 2012 page 84, Table 710.1(2)"
	sbcTable = "adopted copy of Table 710.1(2), source sbc of the book"
	chi704   = "chicagoplumbingcode.com, 18-29-704, which prints the model's slopes"
	utah906  = "pdfcoffee.com, Utah's copy of section 906, 2015"
	kcUnits  = "kingcounty.gov, health department sheet on 702.1 and 703.2"
	tl6U     = "terrylove.com thread 39893, trap loads of Table 7-3"
	hq24     = "hqplumbingandair.com, Table 1002.2 of 2024"
	tlcd     = "terrylove.com, distances from trap to vent"
	cs7079   = "eofficial.org, spotlight of September 2023 on 707.9"
	areas    = "worked out: a quarter of pi times the nominal diameter squared"
)

var cells = map[string][]cellCheck{
	"irc-2021": {
		{"branch-stack", "1-1/2", "branch", "3", etsDFU},
		{"branch-stack", "1-1/2", "stack", "4", etsDFU},
		{"branch-stack", "2", "branch", "6", gardenW},
		{"branch-stack", "2", "stack", "10", etsDFU},
		{"branch-stack", "2-1/2", "branch", "12", etsDFU},
		{"branch-stack", "2-1/2", "stack", "20", etsDFU},
		{"branch-stack", "3", "branch", "20", gardenW},
		{"branch-stack", "3", "stack", "48", examSt},
		{"branch-stack", "4", "branch", "160", etsDFU},
		{"branch-stack", "4", "stack", "240", etsDFU},
		{"building-drain", "2", "1/8", "-", etsDFU},
		{"building-drain", "2", "1/4", "21", etsDFU},
		{"building-drain", "2-1/2", "1/2", "31", etsDFU},
		{"building-drain", "3", "1/8", "36", etsDFU},
		{"building-drain", "3", "1/4", "42", etsDFU},
		{"building-drain", "3", "1/2", "50", etsDFU},
		{"building-drain", "4", "1/8", "180", etsDFU},
		{"building-drain", "4", "1/4", "216", etsDFU},
		{"building-drain", "4", "1/2", "250", etsDFU},
		{"min-slope", "2-1/2", "slope", `1/4"/ft`, slSlope},
		{"min-slope", "3", "slope", `1/8"/ft`, slSlope},
		{"trap-arm", "1-1/4", "max", "5'", jlcVent},
		{"trap-arm", "1-1/2", "max", "6'", jlcVent},
		{"trap-arm", "2", "max", "8'", jlcVent},
		{"trap-arm", "3", "max", "12'", jlcVent},
		{"trap-arm", "4", "max", "16'", jlcVent},
		{"support-spacing", "pvc", "level", "4'", fb646},
		{"support-spacing", "cast iron", "upright", "15'", fb646},
		{"fittings-direction", "sanitary tee", "level-to-level", "-", icc3005},
		{"fittings-direction", "long sweep", "upright-to-level", "yes", icc3005},
		{"drill-notch", "bearing stud hole", "share", "2/5", plan3},
		{"cleanout-clearance", "3", "clearance", `18"`, ins708},
	},
	"ipc-2021": {
		{"branch-stack", "1-1/2", "branch", "3", ipc84},
		{"branch-stack", "1-1/2", "interval", "2", ipc84},
		{"branch-stack", "1-1/2", "le3", "4", ipc84},
		{"branch-stack", "1-1/2", "gt3", "8", ipc84},
		{"branch-stack", "2", "interval", "6", ipc84},
		{"branch-stack", "2", "gt3", "24", ipc84},
		{"branch-stack", "2-1/2", "interval", "9", sbcTable},
		{"branch-stack", "2-1/2", "gt3", "42", sbcTable},
		{"branch-stack", "3", "branch", "20", ipc84},
		{"branch-stack", "3", "interval", "20", ipc84},
		{"branch-stack", "3", "le3", "48", ipc84},
		{"branch-stack", "3", "gt3", "72", ipc84},
		{"branch-stack", "4", "branch", "160", sbcTable},
		{"branch-stack", "4", "interval", "90", sbcTable},
		{"branch-stack", "4", "le3", "240", sbcTable},
		{"branch-stack", "4", "gt3", "500", sbcTable},
		{"branch-stack", "5", "gt3", "1100", ipc84},
		{"building-drain", "2", "1/2", "26", etsDFU},
		{"building-drain", "3", "1/8", "36", etsDFU},
		{"building-drain", "3", "1/4", "42", etsDFU},
		{"building-drain", "4", "1/4", "216", etsDFU},
		{"building-drain", "4", "1/2", "250", etsDFU},
		{"min-slope", "2-1/2", "slope", `1/4"/ft`, chi704},
		{"min-slope", "3", "slope", `1/8"/ft`, chi704},
		{"min-slope", "8", "slope", `1/16"/ft`, chi704},
		{"trap-arm", "1-1/2", "max", "6'", jlcVent},
		{"trap-arm", "3", "max", "12'", jlcVent},
	},
	"upc-2021": {
		{"pipe-capacity", "1-1/4", "level", "1", kcUnits},
		{"pipe-capacity", "1-1/4", "upright-length", "45'", kcUnits},
		{"pipe-capacity", "1-1/2", "level", "1", kcUnits},
		{"pipe-capacity", "1-1/2", "upright", "2", kcUnits},
		{"pipe-capacity", "1-1/2", "upright-length", "65'", kcUnits},
		{"pipe-capacity", "1-1/2", "vent-units", "8", kcUnits},
		{"pipe-capacity", "1-1/2", "vent-length", "60'", kcUnits},
		{"pipe-capacity", "2", "level", "8", kcUnits},
		{"pipe-capacity", "2", "upright", "16", kcUnits},
		{"pipe-capacity", "2", "vent-units", "24", kcUnits},
		{"pipe-capacity", "2", "vent-length", "120'", kcUnits},
		{"pipe-capacity", "2-1/2", "level", "14", kcUnits},
		{"pipe-capacity", "2-1/2", "upright", "32", kcUnits},
		{"pipe-capacity", "3", "level", "35", kcUnits},
		{"pipe-capacity", "3", "upright", "48", kcUnits},
		{"pipe-capacity", "3", "upright-length", "212'", kcUnits},
		{"pipe-capacity", "3", "vent-units", "84", kcUnits},
		{"pipe-capacity", "4", "level", "216", kcUnits},
		{"pipe-capacity", "4", "upright", "256", kcUnits},
		{"pipe-capacity", "4", "vent-length", "300'", kcUnits},
		{"sewer-capacity", "3", "1/4", "35", kcUnits},
		{"sewer-capacity", "4", "1/8", "172.8", "four fifths of 216; the factor from memory"},
		{"trap-load", "1-1/4", "units", "1", tl6U},
		{"trap-load", "1-1/2", "units", "3", tl6U},
		{"trap-load", "2", "units", "4", tl6U},
		{"trap-load", "3", "units", "6", tl6U},
		{"trap-load", "4", "units", "8", tl6U},
		{"trap-arm", "1-1/4", "max", `30"`, hq24},
		{"trap-arm", "1-1/2", "max", `42"`, hq24},
		{"trap-arm", "2", "max", `60"`, hq24},
		{"trap-arm", "3", "max", `72"`, tlcd},
		{"trap-arm", "4", "max", `120"`, hq24},
		{"trap-arm", "1-1/2", "min", `3"`, hq24},
		{"cleanout-clearance", "2", "clearance", `18"`, cs7079},
		{"cleanout-clearance", "3", "clearance", `24"`, cs7079},
		{"vent-area", "2", "sq-in", "3.14", areas},
		{"vent-area", "4", "sq-in", "12.57", areas},
		{"wet-vent", "2", "units", "4", "from memory, 908.2.2"},
	},
}

func library(t *testing.T) *codebook.Library {
	t.Helper()
	var files []codebook.File
	for _, f := range data.Books() {
		files = append(files, codebook.File(f))
	}
	lib, ds := codebook.ReadLibrary(files)
	for _, d := range ds {
		t.Errorf("%s: %s (%s)", d.At, d.Message, d.Try)
	}
	return lib
}

func open(t *testing.T, lib *codebook.Library, id string, with ...string) *codebook.Book {
	t.Helper()
	b, ds := lib.Book(id, with)
	for _, d := range ds {
		t.Errorf("%s with %v: %s: %s (%s)", id, with, d.At, d.Message, d.Try)
	}
	if b == nil {
		t.Fatalf("no book %s", id)
	}
	return b
}

func TestCells(t *testing.T) {
	lib := library(t)
	for id, list := range cells {
		if len(list) < 25 {
			t.Errorf("%s: %d cells are checked, want 25 or more", id, len(list))
		}
		b := open(t, lib, id)
		for _, c := range list {
			tab, ok := b.Table(c.table)
			if !ok {
				t.Errorf("%s has no table %s (%s)", id, c.table, c.from)
				continue
			}
			cell := tab.CellByKey(c.row, c.column)
			got := cell.Text
			if cell.State == codebook.Absent {
				got = "nothing"
			}
			if got != c.want {
				t.Errorf("%s, %s, row %s, column %s: %s, want %s (%s)", id, c.table, c.row, c.column, got, c.want, c.from)
			}
			if cell.Cite == nil || cell.Cite.Book != id || cell.Cite.At == "" {
				t.Errorf("%s, %s, row %s: no printed place", id, c.table, c.row)
			}
		}
	}
}

func TestLoads(t *testing.T) {
	lib := library(t)
	gal := func(hundredths int) unit.Volume { return unit.Gallon * unit.Volume(hundredths) / 100 }
	for _, tt := range []struct {
		book, kind string
		attr       codebook.Attr
		want       unit.Load
		from       string
	}{
		{"irc-2021", "lavatory", codebook.Attr{}, 100, "adlmag.net, part of Table P3004.1"},
		{"irc-2021", "laundry tub", codebook.Attr{}, 200, "adlmag.net, part of Table P3004.1"},
		{"irc-2021", "shower", codebook.Attr{Flow: 2 * unit.GPM}, 200, "adlmag.net, part of Table P3004.1"},
		{"irc-2021", "water closet", codebook.Attr{Flush: gal(160)}, 300, "adlmag.net, part of Table P3004.1"},
		{"ipc-2021", "water closet", codebook.Attr{Flush: gal(160)}, 300, "plumbingzone.com, private water closet of 1.6 gal"},
		{"ipc-2021", "water closet", codebook.Attr{Flush: gal(160), Use: "public"}, 400, "thebuildingcodeforum.com, notes of Table 709.1"},
		{"ipc-2021", "kitchen sink", codebook.Attr{}, 200, "askinglot.com, parts of 709.1"},
		{"ipc-2021", "floor drain", codebook.Attr{}, 200, "askinglot.com, parts of 709.1"},
		{"upc-2021", "lavatory", codebook.Attr{}, 100, kcUnits},
		{"upc-2021", "bathtub", codebook.Attr{}, 200, kcUnits},
		{"upc-2021", "shower", codebook.Attr{}, 200, kcUnits},
		{"upc-2021", "shower", codebook.Attr{Heads: 5}, 600, "practice case with five heads: 2 and 1 for each further head; from memory"},
		{"upc-2021", "kitchen sink", codebook.Attr{}, 200, kcUnits},
		{"upc-2021", "laundry tub", codebook.Attr{}, 200, kcUnits},
		{"upc-2021", "clothes washer", codebook.Attr{}, 300, kcUnits},
		{"upc-2021", "dishwasher", codebook.Attr{}, 200, kcUnits},
		{"upc-2021", "bar sink", codebook.Attr{}, 100, kcUnits},
		{"upc-2021", "water closet", codebook.Attr{Flush: gal(160)}, 300, kcUnits},
		{"upc-2021", "floor drain", codebook.Attr{Emergency: true}, 0, "from memory"},
		{"upc-2021", "floor drain", codebook.Attr{}, 200, "from memory; an engineer's article gives 1"},
	} {
		row, state := open(t, lib, tt.book).Fixture(tt.kind, tt.attr)
		if state != codebook.Given || row.Units.Load != tt.want {
			t.Errorf("%s, %s %+v: %v (state %d), want %v (%s)", tt.book, tt.kind, tt.attr, row.Units.Load, state, tt.want, tt.from)
		}
	}
	// Nothing printed in a column is not a load of nothing.
	if _, state := open(t, lib, "upc-2021").Fixture("service sink", codebook.Attr{}); state != codebook.Blank {
		t.Errorf("upc-2021, service sink in private use: state %d, want nothing printed", state)
	}
}

func limit(b *codebook.Book, id string) codebook.Limit {
	for _, l := range b.Limits() {
		if l.ID == id {
			return l
		}
	}
	return codebook.Limit{}
}

// The note on water closets on 3 in pipe changed between editions; layers change it again.
func TestClosetCounts(t *testing.T) {
	lib := library(t)
	kc := "three level, four upright: " + kcUnits + " and a state text, 51-56-0700"
	five := "five, edition not named: caphcc.org, code corner"
	for _, tt := range []struct {
		book         string
		with         []string
		level, stand int // the count that makes it 4 in
		from         string
	}{
		{"upc-2015", nil, 4, 5, kc},
		{"upc-2018", nil, 4, 5, kc},
		{"upc-2021", nil, 6, 6, five},
		{"upc-2024", nil, 6, 6, five},
		{"upc-2018", []string{"washington"}, 4, 5, "apps.leg.wa.gov, 51-56-0700: a fourth level one by consent"},
		{"upc-2021", []string{"washington"}, 4, 5, "apps.leg.wa.gov, 51-56-0700: a fourth level one by consent"},
	} {
		b := open(t, lib, tt.book, tt.with...)
		for _, w := range []struct {
			id, class, lies string
			want            int
		}{
			{"closets-on-3in-level", "water closet", "level", tt.level},
			{"closets-on-3in-upright", "water closet", "upright", tt.stand},
			{"six-unit-traps-on-3in-level", "six-unit trap", "level", tt.level},
			{"six-unit-traps-on-3in-upright", "six-unit trap", "upright", tt.stand},
		} {
			l := limit(b, w.id)
			if l.When.ClassCount != w.want || l.When.Class != w.class || l.When.Lies != w.lies || l.Min != unit.Size(4*unit.Inch) {
				t.Errorf("%s with %v, %s: %+v, 4 in from %d (%s)", tt.book, tt.with, w.id, l, w.want, tt.from)
			}
			if l.Cite == nil || l.Cite.Conflict == "" && tt.with == nil {
				t.Errorf("%s, %s: the sources disagree and it is not said", tt.book, w.id)
			}
		}
	}
}

func TestValues(t *testing.T) {
	lib := library(t)
	for _, tt := range []struct {
		book string
		with []string
		id   string
		want string
		from string
	}{
		{"irc-2021", nil, "under-ground.min-size", "1-1/2 in", "examzify.com, drains below grade"},
		{"irc-2021", nil, "standpipe.max", `42"`, "homeownersnetwork.com, traps"},
		{"ipc-2021", nil, "base-of-stack.diameters", "10", chi704},
		{"upc-2021", nil, "standpipe.min", `18"`, "forms.iapmo.org, spotlight on 804.1"},
		{"upc-2021", nil, "standpipe.max", `30"`, "forms.iapmo.org, spotlight on 804.1"},
		{"upc-2021", nil, "standpipe.trap-above-floor-max", `18"`, "forms.iapmo.org, spotlight on 804.1"},
		{"upc-2021", nil, "trap-arm.max-turns", "90", "terrylove.com, 1002.3"},
		{"upc-2021", nil, "cleanout.turn-total", "135", "forms.iapmo.org, spotlight on 707.4"},
		{"upc-2021", nil, "vent.aggregate-area", "yes", "aa.iapmo.org, 904.1"},
		{"upc-2021", nil, "vent.horizontal-share", "1/3", "iapmo.org, 904.2"},
		{"upc-2021", nil, "vent.closet-min-size", "2 in", "eofficial.org, spotlight on 908.1.2"},
		{"upc-2021", nil, "suds.zone", "8'", "forms.iapmo.org, spotlight on 711.1"},
		{"upc-2021", nil, "combination.allowed", "approval", "eofficial.org, spotlight on 910.1"},
		{"upc-2021", nil, "aav.allowed", "no", "pmmag.com and inspectors' forum"},
		{"upc-2015", nil, "cleanout.upper-end-upstairs-kinds", "urinal", "forms.iapmo.org, spotlight of 2017 on 707.4"},
		{"upc-2024", nil, "cleanout.upper-end-upstairs-kinds", "urinal, kitchen sink", "eofficial.org, spotlight of 2024 on 707.4"},
		{"irc-2021", []string{"kentucky"}, "under-ground.min-size", "2 in", "casetext.com, 815 KAR 20:090"},
		{"ipc-2018", []string{"eudora-ks"}, "building-sewer.min-size", "4 in", "eudoraks.citycode.net"},
		{"ipc-2018", []string{"eudora-ks"}, "sewer.cover", `12"`, "eudoraks.citycode.net"},
		{"ipc-2021", []string{"baltimore"}, "waste-stack.closets", "yes", "city of Baltimore, section 913"},
		{"irc-2018", []string{"nashville"}, "sewer.cover", `12"`, "nashville-tn.elaws.us, 16.12.140"},
		{"ipc-2021", []string{"chicago"}, "pumped.units-per-gpm", "1", "chicagoplumbingcode.com, 18-29-709.3"},
		{"irc-2021", []string{"marlow-county"}, "building-sewer.min-size", "4 in", "invented"},
		{"upc-2021", []string{"marlow-county"}, "under-ground.min-size", "2 in", "invented"},
	} {
		p := open(t, lib, tt.book, tt.with...).Param(tt.id)
		if p.State != codebook.Given || p.Text != tt.want {
			t.Errorf("%s with %v, %s: %q, want %q (%s)", tt.book, tt.with, tt.id, p.Text, tt.want, tt.from)
		}
		if who := append([]string{tt.book}, tt.with...); p.Cite == nil || p.Cite.Book != who[len(who)-1] {
			t.Errorf("%s with %v, %s: the cite is %+v, want %s to speak", tt.book, tt.with, tt.id, p.Cite, who[len(who)-1])
		}
	}
}

// A layer's row stands in the table, and says what lay below.
func TestRowsOfLayers(t *testing.T) {
	lib := library(t)
	for _, tt := range []struct {
		book, layer, table, row, column, want, over string
		from                                        string
	}{
		{"irc-2021", "illinois", "min-slope", "3", "slope", `1/4"/ft`, `1/8"/ft`, "ilga.gov, 77 Ill. Adm. Code 890.1320"},
		{"ipc-2021", "illinois", "min-slope", "4", "slope", `1/8"/ft`, "", "not touched; " + chi704},
		{"irc-2021", "harbor-city", "min-slope", "4", "slope", `1/4"/ft`, `1/8"/ft`, "invented"},
		{"irc-2021", "harbor-city", "fittings-direction", "quarter bend", "upright-to-level", "-", "yes", "invented"},
	} {
		tab, _ := open(t, lib, tt.book, tt.layer).Table(tt.table)
		c := tab.CellByKey(tt.row, tt.column)
		if c.Text != tt.want {
			t.Errorf("%s with %s, %s %s: %s, want %s (%s)", tt.book, tt.layer, tt.table, tt.row, c.Text, tt.want, tt.from)
		}
		switch {
		case tt.over == "" && c.Cite.Book != tt.book:
			t.Errorf("%s with %s, %s %s: %s speaks, want the book", tt.book, tt.layer, tt.table, tt.row, c.Cite.Book)
		case tt.over != "" && (c.Cite.Book != tt.layer || !strings.HasPrefix(c.Cite.Over, tt.over)):
			t.Errorf("%s with %s, %s %s: cite %+v, want %s over %s", tt.book, tt.layer, tt.table, tt.row, c.Cite, tt.layer, tt.over)
		}
	}
}

// The shop asks for more than the county, the county for more than the book; all speak.
func TestShopOverCounty(t *testing.T) {
	lib := library(t)
	b := open(t, lib, "irc-2021", "marlow-county", "our-shop")
	for _, id := range []string{"fourth-closet-level", "fourth-closet-upright", "two-lavatories", "tub-on-2in", "closet-on-3in"} {
		if limit(b, id).Min == 0 {
			t.Errorf("the limit %s is missing", id)
		}
	}
	if l := limit(b, "two-lavatories"); l.When.JoinCount != 2 || len(l.When.Joins) != 1 || l.When.Joins[0] != "lavatory" {
		t.Errorf("two lavatories: %+v", l.When)
	}
	sizes, cite, ok := b.Stock()
	var got []string
	for _, s := range sizes {
		got = append(got, s.String())
	}
	if want := "1-1/2 in, 2 in, 3 in, 4 in, 6 in"; !ok || strings.Join(got, ", ") != want || cite.Book != "our-shop" {
		t.Errorf("the truck carries %v (%s), want %s", got, cite.Book, want)
	}
	// Its tub keeps the book's load and has a 2 in trap.
	row, _ := b.Fixture("bathtub", codebook.Attr{})
	if row.Units.Load != 200 || row.Trap.Size != unit.Size(2*unit.Inch) || row.Trap.Cite.Book != "our-shop" {
		t.Errorf("bathtub: %v units, trap %v by %s; want 2 units by the book, 2 in by the shop", row.Units.Load, row.Trap.Size, row.Trap.Cite.Book)
	}
}

// Every value has its place in print or says that it comes from memory, and no note, title
// or condition of a book is long enough to be the wording of a code.
func TestPlacesAndWords(t *testing.T) {
	lib := library(t)
	for _, id := range lib.IDs() {
		in, _ := lib.Info(id)
		if in.Kind != "model code" && in.Kind != "edition" {
			continue
		}
		b := open(t, lib, id)
		for _, topic := range b.Clauses() {
			if c, _ := b.Clause(topic); c.At == "" && !c.Memory {
				t.Errorf("%s, %s: no place and not from memory", id, topic)
			}
		}
		for _, l := range b.Limits() {
			if l.Cite == nil || l.Cite.At == "" {
				t.Errorf("%s, limit %s: no place", id, l.ID)
			}
			if l.Finds == "" {
				t.Errorf("%s, limit %s: names no finding", id, l.ID)
			}
		}
		for _, name := range b.Tables() {
			tab, _ := b.Table(name)
			for _, n := range tab.Notes {
				if len(n.Say) > 260 {
					t.Errorf("%s, table %s, note %s: %d characters; say it shorter, in our own words", id, name, n.Mark, len(n.Say))
				}
			}
		}
	}
}

// The example in the folder's guide is a layer that loads.
func TestGuideExample(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("codes", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	_, rest, ok := strings.Cut(string(text), "```yaml\n")
	example, _, ok2 := strings.Cut(rest, "```\n")
	if !ok || !ok2 {
		t.Fatal("codes/README.md has no example between ```yaml and ```")
	}
	lib, ds := library(t).With(codebook.File{Name: "tansy-ford.yaml", Text: []byte(example)})
	for _, d := range ds {
		t.Errorf("%s: %s (%s)", d.At, d.Message, d.Try)
	}
	b := open(t, lib, "irc-2021", "tansy-ford.yaml")
	if p := b.Param("aav.allowed"); p.Yes || p.Cite.Book != "tansy-ford" {
		t.Errorf("aav.allowed: %+v, want no, by the town", p)
	}
	if limit(b, "building-drain-branch-1-1/2").Min != 0 || len(b.Off()) != 1 {
		t.Errorf("one limit is switched off by the town; found off: %+v", b.Off())
	}
	if l := limit(b, "under-slab-2in"); !l.When.UnderGround || l.Min != unit.Size(2*unit.Inch) {
		t.Errorf("under slab: %+v", l)
	}
}

// A layer cannot put a value of another shape where the books set none, and believe that it
// speaks: every such value says what it would be.
func TestNoneHasAShape(t *testing.T) {
	lib := library(t)
	for _, id := range []string{"irc-2021", "ipc-2021", "upc-2021", "npc-2020"} {
		b := open(t, lib, id)
		var none []string
		text := "layer: wrong\nkind: local amendment\ntitle: wrong\namends: " + id + "\nparams:\n"
		for _, p := range b.Params() {
			if b.Param(p).State == codebook.NoLimit {
				none = append(none, p)
				text += "  " + p + ": {value: 3 gpm, at: x}\n"
			}
		}
		if len(none) < 3 {
			t.Errorf("%s: only %d values are none", id, len(none))
		}
		files := []codebook.File{{Name: "wrong.yaml", Text: []byte(text)}}
		for _, f := range data.Books() {
			files = append(files, codebook.File{Name: f.Name, Text: f.Text})
		}
		l, ds := codebook.ReadLibrary(files)
		_, more := l.Book(id, []string{"wrong"})
		said := ""
		for _, d := range append(ds, more...) {
			said += d.Message + "\n"
		}
		for _, p := range none {
			if !strings.Contains(said, p+" is a ") {
				t.Errorf("%s: a flow is taken as %s, which is none there", id, p)
			}
		}
	}
}
