package codebook_test

import (
	"strings"
	"testing"

	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/unit"
)

const inch = unit.Size(unit.Inch)

// An invented book, an edition over it, a town and a shop. No number stands for a code.
const (
	baseBook = `book: glen-30
kind: model code
title: Glen Code 2030
invented: true
sources: {page: "page 7"}
clauses:
  units:     {at: "7.1, Table 7-A", seen: [page]}
  trap-arm:  {at: 7.4}
  aav:       {at: 7.9, memory: true}
  odd:       {at: "", confidence: low}
params:
  sewer.min-size: {value: none, at: 7.2}
  vent.min-size:  {value: 1-1/4 in, at: 7.3}
  rise:           {value: 6", at: 7.5}
  aav.allowed:    {value: yes, at: 7.9}
  share:          {value: 1/3, at: 7.6}
  design:         {value: -5 F, at: 7.7}
  kinds:          {value: [lavatory, bathtub], at: 7.8}
  fall:           {value: 1/2" per ft, at: 7.11}
  cover:          {value: local, at: 7.12}
  count:          {value: 1.5, at: 7.13, conflict: "another page says 2"}
tables:
  branch:
    title: Branches and stacks
    at: Table 7-B
    grid: |
      pipe    branch  stack
      1-1/4   -[a]    NP
      # the shop knows these by heart
      1-1/2   3       4?
      2       6       NL[b]
      3       20      .
    notes: {a: one fixture only, b: no closet}
    proof: {rows: 4, sum branch: 29, sum stack: 4}
  drain:
    title: Building drain by slope
    at: Table 7-C
    grid: |
      pipe  1/16  1/8   1/4   1/2
      2     .     -    21   26
      3     .     36   42   50
      8     1400  1600  1920  2300
  arm:
    title: Trap arms
    at: Table 7-D
    grid: |
      trap   max  slope    cut
      1-1/2  6'   1/4"/ft  2/5
      2      8'   1/4"/ft  1/6
    proof: {sum max: 14'}
fixtures:
  at: "7.1, Table 7-A; Table 7-T"
  grid: |
    kind          when               private             public  assembly  trap   notes
    lavatory      .                  1                   2       .         1-1/4  .
    water closet  flush <= 1.6 gal   3                   4       6         .      a
    water closet  flush > 1.6 gal    4?                  6       8         .      a
    shower        flow <= 5.7 gpm    2                   2       .         1-1/2  .
    shower        flow <= 12.3 gpm   3                   3       .         2      .
    shower        flow > 12.3 gpm    5                   5       .         3      .
    tub           .                  2                   .       .         1-1/2  .
    spray bar     .                  2 +1 per head over 1  .     .         2      .
    wash trough   .                  2                   .       .         2      .
    wash trough   outlets > 2        +0.5 per outlet over 2  .   .         2      .
    cooler        .                  1.5 +2 per gpm      -       .         2      .
    floor drain   emergency          0                   0       0         2      .
    floor drain   .                  2                   2       2         2      .
    bidet         trap <= 1-1/4      1                   .       .         1-1/4  .
    bidet         trap > 1-1/4       2                   .       .         1-1/2  .
  notes: {a: by the outlet}
groups:
  at: Table 7-A
  grid: |
    group      members                                            flush       units
    full bath  water closet + lavatory + bathtub|shower + bidet?  <= 1.6 gal  5
    full bath  water closet + lavatory + bathtub|shower + bidet?  > 1.6 gal   6?
    kitchen    kitchen sink + dishwasher                          .           2[a]
  baths: |
    baths    units
    1-1/2    7
    2        8
    further  2
  notes: {a: with or without a disposer}
sizing:
  - {roles: [branch], table: branch, column: branch, finds: branch-overloaded}
  - {roles: [stack], lies: upright, table: branch, column: stack, measure: branch interval, intervals: up to 3, finds: stack-overloaded}
  - {roles: [building drain, building sewer], table: drain, column: by slope, slopes: {1/4: 1, 1/8: 0.8}, finds: drain-overloaded}
limits:
  - {id: closet-3, say: no closet under 3 in, when: {carries: water closet}, min: 3 in, at: 7.6, finds: closet}
  - {id: three-in, say: two come together, when: {roles: [branch], joins: 2 lavatory, fixtures: 3, units over: 4.5, place: under ground, lies: level, occupancy: public}, min: 2 in, at: 7.7, finds: f}
  - {id: two-of, say: two of them, when: {joins: "2 of water closet, sink"}, min: 4 in, at: 7.8, finds: f}
`
	nextBook = `book: glen-33
kind: edition
title: Glen Code 2033
amends: glen-30
clauses:
  trap-arm:  {at: 7.14}
  aav:       {off: true, at: ""}
params:
  rise:      {value: 8", at: 7.5}
  new-one:   {value: 2", at: 7.15}
tables:
  branch:
    rows: |
      pipe  branch  stack
      3     21      48
limits:
  - {id: two-of, off: true, at: 7.8}
`
	town = `layer: ford
kind: local amendment
title: Town of Ford
invented: true
amends: glen-30
clauses:
  odd: {off: true, at: 12-1}
params:
  sewer.min-size: {value: 4 in, at: 12-3}
  cover:          {value: 30", at: 12-9}
  aav.allowed:    {value: no, at: 12-4, memory: true}
tables:
  branch:
    at: 12-5
    rows: |
      pipe   branch  stack
      2      5       NL[c]
      2-1/2  10      20
    notes: {c: the town counts twice}
fixtures:
  at: 12-6
  rows: |
    kind    private  notes
    tub     3        t
    sauna   1        .
  notes: {t: hot}
limits:
  - {id: closet-3, say: no closet under 4 in, when: {carries: water closet}, min: 4 in, at: 12-7, finds: closet}
  - {id: two-of, off: true, at: 12-8}
`
	shop = `layer: shop
kind: shop practice
title: Our Shop
amends: any
params:
  sewer.min-size: {value: 6 in, at: card 1}
fixtures:
  at: card 2
  rows: |
    kind    trap
    shower  2
stock: {sizes: [4, 1-1/2, 2, 3], at: truck}
`
)

func load(t *testing.T, files ...string) *codebook.Library {
	t.Helper()
	var in []codebook.File
	for _, f := range files {
		_, name, _ := strings.Cut(strings.SplitN(f, "\n", 2)[0], ": ")
		in = append(in, codebook.File{Name: name + ".yaml", Text: []byte(f)})
	}
	lib, ds := codebook.ReadLibrary(in)
	say(t, ds)
	return lib
}

func book(t *testing.T, id string, with ...string) *codebook.Book {
	t.Helper()
	b, ds := load(t, baseBook, nextBook, town, shop).Book(id, with)
	say(t, ds)
	return b
}

func TestLibrary(t *testing.T) {
	lib := load(t, baseBook, nextBook, town, shop)
	if got := strings.Join(lib.IDs(), " "); got != "ford glen-30 glen-33 shop" {
		t.Errorf("ids %s", got)
	}
	in, ok := lib.Info("ford")
	if !ok || in.Title != "Town of Ford" || !in.Invented || in.Kind != "local amendment" || in.Amends[0] != "glen-30" {
		t.Errorf("info %+v", in)
	}
	if _, ok := lib.Info("nope"); ok {
		t.Error("info of nothing")
	}
	if id, ok := lib.Resolve("shop.yaml"); !ok || id != "shop" {
		t.Errorf("shop.yaml is %s", id)
	}
	more, ds := lib.With(codebook.File{Name: "mine.yaml", Text: []byte("layer: mine\nkind: shop practice\ntitle: Mine\namends: glen-30\n")})
	say(t, ds)
	if _, ok := more.Info("mine"); !ok {
		t.Error("no layer mine")
	}
	if _, ok := lib.Info("mine"); ok {
		t.Error("With changed the library that it was called on")
	}
	b, ds := more.Book("glen-33", []string{"ford", "shop.yaml", "mine"})
	say(t, ds)
	var ids []string
	for _, l := range b.Layers() {
		ids = append(ids, l.ID)
	}
	if got := strings.Join(ids, " "); got != "glen-33 ford shop mine" || b.ID() != "glen-33" || b.Title() != "Glen Code 2033" {
		t.Errorf("layers %s of %s, %s", got, b.ID(), b.Title())
	}
}

func TestClauses(t *testing.T) {
	b := book(t, "glen-30")
	if c, ok := b.Clause("trap-arm"); !ok || c.At != "7.4" || c.Book != "glen-30" || c.Kind != "model code" || c.Title != "Glen Code 2030" || c.Over != "" {
		t.Errorf("trap-arm %+v", c)
	}
	if c, ok := b.Clause("aav"); !ok || !c.Memory {
		t.Errorf("aav %+v", c)
	}
	if c, ok := b.Clause("odd"); !ok || c.Conflict == "" {
		t.Errorf("odd %+v", c)
	}
	if _, ok := b.Clause("nothing"); ok {
		t.Error("a topic that the book lacks")
	}
	n := book(t, "glen-33", "ford")
	if c, ok := n.Clause("trap-arm"); !ok || c.At != "7.14" || c.Book != "glen-33" || c.Over != "" {
		t.Errorf("moved section: %+v", c)
	}
	if c, ok := n.Clause("units"); !ok || c.Book != "glen-33" || c.At != "7.1, Table 7-A" {
		t.Errorf("what an edition keeps is its own: %+v", c)
	}
	if _, ok := n.Clause("aav"); ok {
		t.Error("the edition dropped aav")
	}
	if _, ok := n.Clause("odd"); ok {
		t.Error("the town switched odd off")
	}
	if c, ok := n.ClauseOff("odd"); !ok || c.Book != "ford" || c.At != "12-1" {
		t.Errorf("odd is off by %+v", c)
	}
	if got := strings.Join(n.Clauses(), " "); got != "trap-arm units" {
		t.Errorf("topics %s", got)
	}
}

func TestParams(t *testing.T) {
	b := book(t, "glen-30")
	if p := b.Param("sewer.min-size"); p.State != codebook.NoLimit || p.Cite.At != "7.2" {
		t.Errorf("none: %+v", p)
	}
	if p := b.Param("nothing"); p.State != codebook.Absent || p.Cite != nil {
		t.Errorf("absent: %+v", p)
	}
	if p := b.Param("vent.min-size"); p.State != codebook.Given || p.Size != inch*5/4 || p.Length != unit.Inch*5/4 {
		t.Errorf("size: %+v", p)
	}
	if p := b.Param("rise"); p.Length != 6*unit.Inch {
		t.Errorf("length: %+v", p)
	}
	if p := b.Param("aav.allowed"); !p.Yes || p.State != codebook.Given {
		t.Errorf("yes: %+v", p)
	}
	if p := b.Param("share"); p.Share != (unit.Slope{Fall: 1, Run: 3}) || p.Number != 33 {
		t.Errorf("share: %+v", p)
	}
	if p := b.Param("design"); p.Temp != -50 || p.Number != -500 {
		t.Errorf("temperature: %+v", p)
	}
	if p := b.Param("kinds"); len(p.Words) != 2 || p.Words[1] != "bathtub" || p.Text != "lavatory, bathtub" {
		t.Errorf("words: %+v", p)
	}
	if p := b.Param("fall"); p.Slope != unit.PerFoot(1, 2) {
		t.Errorf("slope: %+v", p)
	}
	if p := b.Param("cover"); p.Text != "local" || p.Length != 0 {
		t.Errorf("word: %+v", p)
	}
	if p := b.Param("count"); p.Number != 150 || p.Cite.Conflict != "another page says 2" || p.Share != (unit.Slope{Fall: 3, Run: 2}) {
		t.Errorf("number: %+v", p)
	}
	if n := len(b.Params()); n != 10 {
		t.Errorf("%d params", n)
	}

	// A layer's value says what lay below, the edition's does not.
	n := book(t, "glen-33", "ford", "shop")
	for _, tt := range []struct{ id, text, book, over string }{
		{"rise", `8"`, "glen-33", ""},
		{"new-one", `2"`, "glen-33", ""},
		{"cover", `30"`, "ford", "local, 7.12"},
		{"aav.allowed", "no", "ford", "yes, 7.9"},
		{"sewer.min-size", "6 in", "shop", "4 in, 12-3, ford"},
		{"vent.min-size", "1-1/4 in", "glen-33", ""},
	} {
		p := n.Param(tt.id)
		if p.Text != tt.text || p.Cite.Book != tt.book || p.Cite.Over != tt.over {
			t.Errorf("%s: %s by %s over %q", tt.id, p.Text, p.Cite.Book, p.Cite.Over)
		}
	}
	if p := book(t, "glen-30", "ford").Param("sewer.min-size"); p.Cite.Over != "none, 7.2" || p.Size != 4*inch || !strings.Contains(p.Cite.Kind, "amendment") {
		t.Errorf("over the book: %+v %+v", p, p.Cite)
	}
	if p := n.Param("aav.allowed"); p.Yes || !p.Cite.Memory {
		t.Errorf("no: %+v", p)
	}
}

func TestTables(t *testing.T) {
	b := book(t, "glen-30")
	for _, tt := range []struct {
		table, row, column string
		state              codebook.State
		load               unit.Load
	}{
		{"branch", "1-1/4", "branch", codebook.Dash, 0},
		{"branch", "1-1/4", "stack", codebook.Dash, 0},
		{"branch", "1-1/2", "branch", codebook.Given, 300},
		{"branch", "2", "stack", codebook.NoLimit, 0},
		{"branch", "3", "stack", codebook.Blank, 0},
		{"branch", "4", "stack", codebook.Absent, 0},
		{"branch", "3", "attic", codebook.Absent, 0},
		{"attic", "3", "stack", codebook.Absent, 0},
	} {
		row, _ := unit.ParseSize(tt.row)
		if c := b.Cell(tt.table, row, tt.column); c.State != tt.state || c.Load != tt.load {
			t.Errorf("%s %s %s: %+v", tt.table, tt.row, tt.column, c)
		}
	}
	if c := b.Cell("branch", 0, "branch"); c.State != codebook.Absent {
		t.Errorf("no size: %+v", c)
	}
	c := b.Cell("branch", inch*3/2, "stack")
	if !c.Memory || !c.Cite.Memory || c.Cite.At != "Table 7-B" || b.Cell("branch", inch*3/2, "branch").Cite.Memory {
		t.Errorf("memory is of the cell alone: %+v %+v", c, c.Cite)
	}
	tab, _ := b.Table("branch")
	if c := b.Cell("branch", inch*5/4, "branch"); c.Notes != "a" || tab.Note("a") != "one fixture only" || tab.Note("z") != "" {
		t.Errorf("note %q says %q", c.Notes, tab.Note(c.Notes))
	}
	if r, ok := tab.FirstRow(func(r codebook.Row) bool { return r.Cells[0].Load >= 500 }); !ok || r.Key != "2" {
		t.Errorf("first row %+v", r)
	}
	if _, ok := tab.FirstRow(func(r codebook.Row) bool { return r.Cells[0].Load >= 5000 }); ok {
		t.Error("a row too many")
	}
	arm := b.Cell("arm", 2*inch, "max")
	if arm.Length != 8*unit.Foot || b.Cell("arm", 2*inch, "slope").Slope != unit.PerFoot(1, 4) || b.Cell("arm", inch*3/2, "cut").Share != (unit.Slope{Fall: 2, Run: 5}) {
		t.Errorf("arm %+v", arm)
	}
	if r, ok := tab.RowByKey("1-1/2"); !ok || r.At.Line == 0 || r.At.File != "glen-30.yaml" {
		t.Errorf("row %+v", r)
	}
	if got := strings.Join(b.Tables(), " "); got != "branch drain arm" {
		t.Errorf("tables %s", got)
	}
}

func TestCellSlope(t *testing.T) {
	b := book(t, "glen-30")
	q := func(n, d int64) unit.Slope { return unit.PerFoot(n, d) }
	for _, tt := range []struct {
		row   unit.Size
		slope unit.Slope
		state codebook.State
		load  unit.Load
		col   unit.Slope
	}{
		{3, q(1, 4), codebook.Given, 4200, q(1, 4)},
		{3, unit.Slope{Fall: 1, Run: 48}, codebook.Given, 4200, q(1, 4)},    // exactly at the column
		{3, unit.Slope{Fall: 1, Run: 49}, codebook.Given, 3600, q(1, 8)},    // a hair flatter
		{3, unit.Slope{Fall: 1, Run: 97}, codebook.Absent, 0, unit.Slope{}}, // flatter than every column
		{3, q(3, 4), codebook.Given, 5000, q(1, 2)},
		{2, q(1, 8), codebook.Dash, 0, q(1, 8)},
		{2, q(1, 16), codebook.Absent, 0, unit.Slope{}}, // nothing printed at 1/16
		{8, q(1, 16), codebook.Given, 140000, q(1, 16)},
		{5, q(1, 4), codebook.Absent, 0, unit.Slope{}},
		{3, unit.Slope{}, codebook.Absent, 0, unit.Slope{}},
	} {
		c, col := b.CellSlope("drain", tt.row*inch, tt.slope)
		if c.State != tt.state || c.Load != tt.load || col != tt.col {
			t.Errorf("%s at %s: %+v in %s", tt.row*inch, tt.slope, c, col)
		}
	}
	if c, _ := b.CellSlope("attic", 3*inch, q(1, 4)); c.State != codebook.Absent {
		t.Errorf("no table: %+v", c)
	}
}

func TestTableRowsOfLayers(t *testing.T) {
	b := book(t, "glen-33", "ford")
	tab, _ := b.Table("branch")
	var keys []string
	for _, r := range tab.Rows {
		keys = append(keys, r.Key)
	}
	if got := strings.Join(keys, " "); got != "1-1/4 1-1/2 2 2-1/2 3" {
		t.Errorf("rows %s", got)
	}
	if c := b.Cell("branch", 3*inch, "stack"); c.Load != 4800 || c.Cite.Book != "glen-33" || c.Cite.Over != "" {
		t.Errorf("edition's row %+v %+v", c, c.Cite)
	}
	c := b.Cell("branch", 2*inch, "branch")
	if c.Load != 500 || c.Cite.Book != "ford" || c.Cite.At != "12-5" || c.Cite.Over != "6, Table 7-B" {
		t.Errorf("town's row %+v %+v", c, c.Cite)
	}
	if c := b.Cell("branch", 2*inch, "stack"); c.State != codebook.NoLimit || c.Cite.Over != "" || c.Notes != "c" || tab.Note("c") == "" {
		t.Errorf("what does not differ lies over nothing: %+v %+v", c, c.Cite)
	}
	if c := b.Cell("branch", inch*5/2, "stack"); c.Load != 2000 {
		t.Errorf("a row that the book lacks: %+v", c)
	}
	// The book that the layers lie over stays as it is.
	if c := book(t, "glen-30").Cell("branch", 2*inch, "branch"); c.Load != 600 || c.Cite.Book != "glen-30" {
		t.Errorf("the book changed: %+v", c)
	}
}

func TestLimits(t *testing.T) {
	b := book(t, "glen-30")
	ls := b.Limits()
	if len(ls) != 3 || len(b.Off()) != 0 {
		t.Fatalf("%d limits, %d off", len(ls), len(b.Off()))
	}
	if w := ls[0].When; w.Class != "water closet" || w.ClassCount != 1 || ls[0].Min != 3*inch || ls[0].Finds != "closet" {
		t.Errorf("%+v", ls[0])
	}
	w := ls[1].When
	if w.Roles[0] != "branch" || w.JoinCount != 2 || w.Joins[0] != "lavatory" || w.Fixtures != 3 || w.UnitsOver != 450 || !w.UnderGround || w.Lies != "level" || w.Occupancy != "public" {
		t.Errorf("%+v", w)
	}
	if w := ls[2].When; w.JoinCount != 2 || len(w.Joins) != 2 || w.Joins[1] != "sink" {
		t.Errorf("%+v", w)
	}
	n := book(t, "glen-30", "ford")
	if ls := n.Limits(); len(ls) != 2 || ls[0].Min != 4*inch || ls[0].Cite.Book != "ford" || ls[0].Cite.Over != "3 in, 7.6" {
		t.Errorf("%+v", ls)
	}
	if off := n.Off(); len(off) != 1 || off[0].ID != "two-of" || off[0].Say != "two of them" || off[0].Cite.At != "12-8" || off[0].Cite.Over != "4 in, 7.8" {
		t.Errorf("off %+v", off)
	}
	// An edition drops a limit without a word.
	if e := book(t, "glen-33"); len(e.Limits()) != 2 || len(e.Off()) != 0 {
		t.Errorf("edition: %+v, off %+v", e.Limits(), e.Off())
	}
}

func TestSizingAndStock(t *testing.T) {
	b := book(t, "glen-30", "shop")
	s := b.Sizings()
	if len(s) != 3 || s[0].Measure != "total" || s[1].Measure != "branch interval" || s[1].Intervals != "up to 3" || s[1].Lies != "upright" {
		t.Fatalf("%+v", s)
	}
	if f := s[2].Slopes; len(f) != 2 || f[1].Num != 4 || f[1].Den != 5 || f[1].Slope != unit.PerFoot(1, 8) {
		t.Errorf("factors %+v", f)
	}
	sizes, c, ok := b.Stock()
	if !ok || c.Book != "shop" || c.At != "truck" || len(sizes) != 4 || sizes[0] != inch*3/2 || sizes[3] != 4*inch {
		t.Errorf("stock %v %+v", sizes, c)
	}
	if _, _, ok := book(t, "glen-30").Stock(); ok {
		t.Error("a book has no stock")
	}
}

func TestFixtures(t *testing.T) {
	b := book(t, "glen-30")
	gal, gpm := func(v unit.Volume) codebook.Attr { return codebook.Attr{Flush: v} }, func(v unit.Flow) codebook.Attr { return codebook.Attr{Flow: v * unit.GPM / 10} }
	for _, tt := range []struct {
		kind    string
		a       codebook.Attr
		state   codebook.State
		units   unit.Load
		trap    unit.Size
		assumed string
	}{
		{"lavatory", codebook.Attr{}, codebook.Given, 100, inch * 5 / 4, ""},
		{"lavatory", codebook.Attr{Use: "public"}, codebook.Given, 200, inch * 5 / 4, ""},
		{"lavatory", codebook.Attr{Use: "assembly"}, codebook.Blank, 0, inch * 5 / 4, ""},
		{"water closet", gal(1280), codebook.Given, 300, 0, ""},
		{"water closet", gal(1600), codebook.Given, 300, 0, ""},
		{"water closet", gal(1601), codebook.Given, 400, 0, ""},
		{"water closet", codebook.Attr{}, codebook.Given, 300, 0, "flush taken as 1.6 gal or less"},
		{"water closet", codebook.Attr{Use: "assembly", Flush: 3500}, codebook.Given, 800, 0, ""},
		{"shower", gpm(57), codebook.Given, 200, inch * 3 / 2, ""},
		{"shower", gpm(58), codebook.Given, 300, 2 * inch, ""},
		{"shower", gpm(200), codebook.Given, 500, 3 * inch, ""},
		{"shower", codebook.Attr{}, codebook.Given, 200, inch * 3 / 2, "flow taken as 5.7 gpm or less"},
		{"shower", codebook.Attr{Heads: 3}, codebook.Given, 300, 2 * inch, "flow taken as 7.5 gpm, 3 heads of 2.5 gpm"},
		{"shower", codebook.Attr{Heads: 3, Flow: 5 * unit.GPM}, codebook.Given, 200, inch * 3 / 2, ""},
		{"spray bar", codebook.Attr{}, codebook.Given, 200, 2 * inch, ""},
		{"spray bar", codebook.Attr{Heads: 4}, codebook.Given, 500, 2 * inch, ""},
		{"wash trough", codebook.Attr{Outlets: 2}, codebook.Given, 200, 2 * inch, ""},
		{"wash trough", codebook.Attr{Outlets: 5}, codebook.Given, 350, 2 * inch, ""},
		{"cooler", codebook.Attr{Flow: 1500}, codebook.Given, 450, 2 * inch, ""},
		{"cooler", codebook.Attr{Use: "public"}, codebook.Dash, 0, 2 * inch, ""},
		{"floor drain", codebook.Attr{}, codebook.Given, 200, 2 * inch, ""},
		{"floor drain", codebook.Attr{Emergency: true}, codebook.Given, 0, 2 * inch, ""},
		{"bidet", codebook.Attr{}, codebook.Given, 100, inch * 5 / 4, "trap taken as 1-1/4 in or less"},
		{"bidet", codebook.Attr{Trap: inch * 3 / 2}, codebook.Given, 200, inch * 3 / 2, ""},
		{"sauna", codebook.Attr{}, codebook.Absent, 0, 0, ""},
	} {
		row, state := b.Fixture(tt.kind, tt.a)
		if state != tt.state || row.Units.Load != tt.units || row.Trap.Size != tt.trap || row.Assumed != tt.assumed || (row.Ask == "") != (tt.assumed == "") {
			t.Errorf("%s %+v: state %d, %s units, trap %s, assumed %q, ask %q", tt.kind, tt.a, state, row.Units.Load, row.Trap.Size, row.Assumed, row.Ask)
		}
	}
	row, _ := b.Fixture("water closet", gal(1600))
	if row.Units.Cite.At != "7.1, Table 7-A" || row.Trap.State != codebook.Blank || row.Notes != "a" || b.FixtureNotes()[0].Say != "by the outlet" {
		t.Errorf("%+v", row)
	}
	if row, _ := b.Fixture("water closet", gal(3500)); !row.Units.Cite.Memory {
		t.Errorf("%+v", row.Units.Cite)
	}
	if row, _ := b.Fixture("lavatory", codebook.Attr{}); row.Trap.Cite.At != "Table 7-T" {
		t.Errorf("place of traps %+v", row.Trap.Cite)
	}
	rows := b.FixtureRows("shower")
	if len(rows) != 3 || rows[1].MaxFlow != 12300 || rows[1].Trap.Size != 2*inch || rows[2].MaxFlow != 0 || b.FixtureRows("sauna") != nil {
		t.Errorf("rows %+v", rows)
	}
	if n := len(b.Fixtures()); n != 15 || b.Fixtures()[1].Assembly.Load != 600 {
		t.Errorf("%d lines", n)
	}
}

func TestFixturesOfLayers(t *testing.T) {
	b := book(t, "glen-30", "ford", "shop")
	tub, st := b.Fixture("tub", codebook.Attr{})
	if st != codebook.Given || tub.Units.Load != 300 || tub.Units.Cite.Over != "2, 7.1, Table 7-A" || tub.Trap.Size != inch*3/2 || tub.Trap.Cite.Book != "glen-30" || tub.Notes != "t" {
		t.Errorf("tub %+v %+v", tub, tub.Units.Cite)
	}
	if s, st := b.Fixture("sauna", codebook.Attr{}); st != codebook.Given || s.Units.Load != 100 {
		t.Errorf("sauna %+v", s)
	}
	// The shop's shower: one row for all flows, units as the first row had them.
	s, st := b.Fixture("shower", codebook.Attr{Flow: 3 * unit.GPM})
	if st != codebook.Given || s.Units.Load != 200 || s.Trap.Size != 2*inch || s.Trap.Cite.Over != "1-1/2, Table 7-T" || s.Units.Cite.Book != "glen-30" {
		t.Errorf("shower %+v %+v", s, s.Trap.Cite)
	}
	kinds := strings.Join(b.FixtureKinds(), ", ")
	if kinds != "lavatory, water closet, shower, tub, spray bar, wash trough, cooler, floor drain, bidet, sauna" {
		t.Errorf("kinds %s", kinds)
	}
}

func TestGroups(t *testing.T) {
	b := book(t, "glen-30")
	g := b.Groups()
	if len(g) != 3 || g[0].Units != 500 || len(g[0].Members) != 3 || strings.Join(g[0].Members[2], " ") != "bathtub shower" || g[0].Optional[0] != "bidet" || g[1].When != "flush > 1.6 gal" || !g[1].Cite.Memory || g[0].Cite.Memory {
		t.Fatalf("%+v", g)
	}
	for _, tt := range []struct {
		flush unit.Volume
		want  [3]bool
	}{{1600, [3]bool{true, false, true}}, {1601, [3]bool{false, true, true}}} {
		for i := range g {
			if got := g[i].Fits(tt.flush); got != tt.want[i] {
				t.Errorf("%s %s at %s: %v", g[i].Name, g[i].When, tt.flush, got)
			}
		}
	}
	bs := b.Baths()
	if len(bs) != 3 || bs[0].HalfBaths != 3 || bs[0].Units != 700 || !bs[2].Further || bs[2].Units != 200 {
		t.Errorf("%+v", bs)
	}
}

// What Book and ReadLibrary say.
func TestBookSays(t *testing.T) {
	lib := load(t, baseBook, nextBook, town, shop)
	other, ds := lib.With(
		codebook.File{Name: "o", Text: []byte("book: other-1\nkind: model code\ntitle: Other\n")},
		codebook.File{Name: "loose", Text: []byte("layer: loose\nkind: shop practice\ntitle: L\namends: any\nlimits:\n  - {id: closet-3, off: true, at: c}\n  - {id: three-in, say: s, when: {}, min: 1-1/2 in, at: c, finds: f}\n")},
		codebook.File{Name: "w", Text: []byte("layer: wrong\nkind: local amendment\ntitle: W\namends: any\nparams:\n  rise: {value: 6, at: c}\n  vent.min-size: {value: 1-1/2\", at: c}\n  aav.allowed: {value: 3 in, at: c}\nlimits:\n  - {id: closet-4, off: true, at: c}\ntables:\n  branch:\n    rows: |\n      pipe  stack  branch\n      2     1      2\n  brunch:\n    rows: |\n      pipe  a\n      2     1\nsizing:\n  - {roles: [stack], table: brnch, column: stack, finds: f}\n  - {roles: [stack], table: branch, column: stak, finds: f}\n  - {roles: [stack], table: branch, column: by slope, finds: f}\n")},
		codebook.File{Name: "n", Text: []byte("layer: notes\nkind: local amendment\ntitle: W\namends: any\ntables:\n  branch:\n    rows: |\n      pipe  branch  stack\n      2     1[z]    2\n    notes: {a: again}\n")},
	)
	say(t, ds)
	for _, tt := range []struct {
		id   string
		with []string
		want string
	}{
		{"glen-31", nil, "error: no book glen-31 (did you mean glen-30?)"},
		{"ford", nil, "error: ford is a local amendment, not a book (write it under `with`, and a book under `code`: glen-30, glen-33, other-1)"},
		{"glen-30", []string{"frod"}, "error: no layer frod (did you mean ford?)"},
		{"glen-30", []string{"glen-33"}, "error: glen-33 is a book, not a layer (write it under `code`)"},
		{"glen-30", []string{"ford", "ford"}, "error: the layer ford is given twice (keep one)"},
		{"other-1", []string{"ford"}, "error: ford lies over glen-30, not over other-1 (take one of those books, or write amends: other-1 in ford.yaml once you have checked its values against that book)"},
		{"glen-30", []string{"shop", "ford"}, "warning: the amendment ford is laid over the shop practice shop (name amendments first, then shop practice)"},
		{"glen-30", []string{"loose"}, "loose:6:10: warning: loose is shop practice and switches off closet-3 of 3 in, 7.6 (a shop may ask for more than the book, not for less; if an authority permits it, write a local amendment)" +
			"; loose:7:10: warning: loose is shop practice and makes three-in 1-1/2 in, below 2 in, 7.7 (a shop may ask for more than the book, not for less; if an authority permits it, write a local amendment)"},
		{"glen-30", []string{"wrong"}, `w:6:3: error: rise is a length in the book; found 6 (write 6" or 8')` +
			"; w:8:3: error: aav.allowed is yes or no in the book; found 3 in (write yes or no)" +
			"; w:14:7: error: the head of the table branch is pipe, stack, branch (write the head of the book's table: pipe  branch  stack)" +
			"; w:16:3: error: the book has no table brunch (did you mean branch?)" +
			"; w:10:10: error: no limit closet-4 to switch off (did you mean closet-3?)" +
			"; w:21:29: error: sizing names the table brnch, which the book does not have (did you mean branch?)" +
			"; w:22:45: error: sizing names the column stak, which branch does not have (did you mean stack?)" +
			"; w:23:45: error: sizing reads branch by slope, and no column head of it is a slope (write a column: branch, stack)"},
		{"glen-30", []string{"notes"}, "n:6:3: error: the table branch has a note a already (take another letter); n:9:7: error: no note z in the table branch (add it under notes, or take the mark off)"},
	} {
		_, ds := other.Book(tt.id, tt.with)
		if got := said(ds, true); got != tt.want {
			t.Errorf("%s with %v said\n%s\nwant\n%s", tt.id, tt.with, strings.ReplaceAll(got, "; ", "\n"), strings.ReplaceAll(tt.want, "; ", "\n"))
		}
	}
}

func said(ds []diag.Diagnostic, severity bool) string {
	var out []string
	for _, d := range ds {
		s := d.Message
		if severity {
			s = d.Severity.String() + ": " + s
		}
		if d.Try != "" {
			s += " (" + d.Try + ")"
		}
		if !d.At.IsZero() {
			s = d.At.String() + ": " + s
		}
		out = append(out, s)
	}
	return strings.Join(out, "; ")
}
