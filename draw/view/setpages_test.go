package view_test

import (
	"fmt"
	"math"
	"regexp"
	"sort"
	"strconv"
	"strings"
	"testing"

	"trapweir/draw"
	"trapweir/draw/textwidth"
	"trapweir/draw/view"
	"trapweir/engine/takeoff"
	"trapweir/engine/unit"
	"trapweir/internal/randomjob"
	"trapweir/shelf"
)

// papers are all that a permit set can be put on.
var papers = []string{"letter", "tabloid", "arch-b", "arch-c", "arch-d", "a4", "a3"}

// sets gives the permit sets that are looked over: of the demo houses on all papers, of the
// practice cases and the jobs that are hard to draw on the smallest.
func sets(t *testing.T, look func(name string, sheets []*draw.Sheet)) {
	for _, dir := range []string{"../../examples", "../../testdata/cases", "testdata/hard"} {
		for _, j := range from(t, dir) {
			list := papers[:1]
			if dir == "../../examples" {
				list = papers
			}
			for _, paper := range list {
				look(j.name+" on "+paper, view.Sheets(j.r, view.Options{Paper: paper}))
			}
		}
	}
}

// filled is how much of a sheet is used: of its bands of 4 mm, left half and right half
// apart, those in which anything stands that belongs to no frame.
func filled(s *draw.Sheet) float64 {
	const band = 4.0
	in := s.Inner()
	foot := strip(s)
	used := map[[2]int]bool{}
	var lined []draw.Text // above lines to write on, which fill nothing
	for _, h := range headings(s) {
		if h.Words == "Remarks" {
			lined = append(lined, h)
		}
	}
	draw.Walk(s.Shapes, func(sh draw.Shape, _ *draw.SymbolRef) {
		b, ok := draw.Bounds(sh)
		if _, group := sh.(draw.Group); !ok || group || sh.Base().Layer == draw.LayerFrame {
			return
		}
		for _, h := range lined {
			if b.Y0 > h.At.Y-1 && b.X0 > h.At.X-1 {
				return
			}
		}
		for half := range 2 {
			x := in.X0 + float64(half)*in.W()/2
			if b.X1 < x || b.X0 > x+in.W()/2 {
				continue
			}
			for y := b.Y0; ; y = math.Min(y+band, b.Y1) {
				used[[2]int{half, int((y - in.Y0) / band)}] = true
				if y >= b.Y1 {
					break
				}
			}
		}
	})
	return float64(len(used)) / math.Floor((foot-in.Y0)/band) / 2
}

// strip is the upper edge of the title strip of a sheet.
func strip(s *draw.Sheet) float64 {
	in := s.Inner()
	for _, sh := range s.Shapes {
		if l, ok := sh.(draw.Line); ok && l.Layer == draw.LayerFrame && l.A.Y == l.B.Y && l.B.X-l.A.X > in.W()*0.9 {
			return l.A.Y
		}
	}
	return in.Y1
}

// headings are the titles of parts on a sheet.
func headings(s *draw.Sheet) (out []draw.Text) {
	draw.Walk(s.Shapes, func(sh draw.Shape, _ *draw.SymbolRef) {
		if t, ok := sh.(draw.Text); ok && t.Layer == draw.LayerTable && t.Weight == textwidth.Bold && t.Size > 3.4 && t.Size < 4.8 {
			out = append(out, t)
		}
	})
	return out
}

// setTable is a table, or a stretch of one, as it stands on a sheet.
type setTable struct {
	title string
	rows  [][]string // from left to right, the lines of a cell apart
}

// setTables reads the tables of a sheet back from its lines and words.
func setTables(s *draw.Sheet) []setTable {
	var rules []draw.Line
	var texts []draw.Text
	draw.Walk(s.Shapes, func(sh draw.Shape, _ *draw.SymbolRef) {
		switch x := sh.(type) {
		case draw.Line:
			if x.Layer == draw.LayerTable && x.A.Y == x.B.Y {
				rules = append(rules, x)
			}
		case draw.Text:
			if x.Layer == draw.LayerTable {
				texts = append(texts, x)
			}
		}
	})
	sort.SliceStable(rules, func(i, j int) bool { return rules[i].A.Y < rules[j].A.Y })
	heads := headings(s)
	var out []setTable
	for _, h := range heads {
		end := s.H
		for _, o := range heads {
			if math.Abs(o.At.X-h.At.X) < 1 && o.At.Y > h.At.Y+1 {
				end = math.Min(end, o.At.Y)
			}
		}
		t := setTable{title: h.Words}
		above := -1.0 // the rule above the next row
		for _, l := range rules {
			if math.Abs(l.A.X-h.At.X) > 0.5 || l.A.Y < h.At.Y || l.A.Y > end {
				continue
			}
			switch l.Pen.Width {
			case draw.Thin:
				above = l.A.Y
			case draw.Hair:
				if above < 0 {
					continue
				}
				var row []draw.Text
				for _, x := range texts {
					if b, _ := draw.Bounds(x); x.At.Y > above && x.At.Y < l.A.Y && b.X0 > l.A.X-1 && b.X1 < l.B.X+1 {
						row = append(row, x)
					}
				}
				sort.SliceStable(row, func(i, j int) bool { a, _ := draw.Bounds(row[i]); b, _ := draw.Bounds(row[j]); return a.X0 < b.X0 })
				var cells []string
				for _, x := range row {
					cells = append(cells, x.Words)
				}
				t.rows = append(t.rows, cells)
				above = l.A.Y
			}
		}
		if len(t.rows) > 0 {
			out = append(out, t)
		}
	}
	return out
}

// A table that goes on does so with three rows or more under its title and the word
// continued, and never with a reference to a row that is not there.
func TestTablesGoOn(t *testing.T) {
	seen, went := 0, 0
	sets(t, func(name string, sheets []*draw.Sheet) {
		begun := map[string]bool{}
		for _, s := range sheets {
			for _, x := range setTables(s) {
				seen++
				title, on := strings.CutSuffix(x.title, ", continued")
				if !on {
					begun[title] = true
				}
				if on {
					went++
					if len(x.rows) < 3 {
						t.Errorf("%s, %s: %q goes on with %d rows: %q", name, s.Name(), title, len(x.rows), x.rows)
					}
					if !begun[title] {
						t.Errorf("%s, %s: %q goes on before it begins", name, s.Name(), title)
					}
				}
				for _, w := range x.rows[0] {
					if w == "as above" {
						t.Errorf("%s, %s: nothing stands above %q", name, s.Name(), x.rows[0])
					}
				}
			}
		}
	})
	if seen < 540 || went < 30 {
		t.Errorf("only %d tables were read back, %d that go on", seen, went)
	}
}

// Sheets of words and tables are well filled but for the last of their kind; and where what
// is looked at on the site, the notes or the list would have room on the sheet before,
// they stand there.
func TestSheetsAreFilled(t *testing.T) {
	kind := func(s *draw.Sheet) string { return strings.TrimRight(s.Number, "0123456789") }
	sets(t, func(name string, sheets []*draw.Sheet) {
		for i, s := range sheets {
			f := filled(s)
			last := i+1 == len(sheets) || kind(sheets[i+1]) != kind(s)
			switch kind(s) {
			case "P-S", "P-W", "P-D":
				if least := 0.35; !last && f < least {
					t.Errorf("%s, %s: %.0f %% filled and not the last", name, s.Name(), f*100)
				}
			case "P-T", "P-I", "P-N", "P-O":
				if f < 0.35 {
					t.Errorf("%s, %s: %.0f %% filled", name, s.Name(), f*100)
				}
				if last && i+1 < len(sheets) && f+filled(sheets[i+1]) < 0.9 {
					t.Errorf("%s: %s and %s would go on one sheet", name, s.Name(), sheets[i+1].Name())
				}
			}
		}
	})
}

// What stands in the title strip keeps to its cell.
func TestTitlesFit(t *testing.T) {
	sets(t, func(name string, sheets []*draw.Sheet) {
		for _, s := range sheets {
			up := lines(s, func(m draw.Mark) bool { return m.Layer == draw.LayerFrame })
			for _, sh := range s.Shapes {
				w, ok := sh.(draw.Text)
				if !ok || w.Layer != draw.LayerFrame {
					continue
				}
				b, _ := draw.Bounds(w)
				for _, l := range up {
					if l[0].X == l[1].X && crosses(b.Grow(-0.1), l) {
						t.Errorf("%s, %s: %q lies on a line of the strip", name, s.Name(), w.Words)
					}
				}
			}
		}
	})
}

// The units of the fixture table add up to its total, which is that of the size table at
// the outlet: counted without groups, a load is the sum of its fixtures (IRC 2021, P3004.1).
func TestUnitsAddUp(t *testing.T) {
	for name, want := range map[string]float64{"heron-lane": 21, "alder-court": 16, "larkspur": 13, "quarry-row": 25} {
		for _, paper := range papers {
			sum, total := 0.0, 0.0
			for _, s := range view.Sheets(example(t, name), view.Options{Paper: paper}) {
				for _, x := range setTables(s) {
					if !strings.HasPrefix(x.title, "Fixtures and units") {
						continue
					}
					for _, r := range x.rows {
						for i, w := range r {
							n, err := strconv.ParseFloat(w, 64)
							if err != nil {
								continue
							}
							if strings.HasSuffix(r[0], "drawn") {
								total = n
							} else if i > 0 {
								sum += n
							}
							break
						}
					}
				}
			}
			if sum != want || total != want {
				t.Errorf("%s on %s: the units add up to %v, the total is %v, want %v", name, paper, sum, total, want)
			}
		}
	}
}

// In a column of units the points stand below each other, and a metric job has the unit of
// lengths in the head of their column (common practice).
func TestFiguresStandInColumns(t *testing.T) {
	const job = "job: figures (invented)\ncode: npc-2020\nunits: metric\noutlet: {to: public sewer, invert: -3000 mm}\nruns:\n" +
		"  bd: {joins: outlet, legs: [N 12000 mm], slope: 2%}\n" +
		"  l: {joins: bd, at: 2000 mm, legs: [E 1500 mm], slope: 2%, fixture: lavatory}\n" +
		"  t: {joins: bd, at: 4000 mm, legs: [E 2500 mm], slope: 2%, fixture: bathtub}\n" +
		"  w: {joins: bd, at: 6000 mm, legs: [E 900 mm], slope: 2%, fixture: water closet}\n"
	r := solve(t, "figures", []byte(job), ".")
	for _, paper := range []string{"letter", "a4", "arch-d"} {
		ends := map[string]float64{} // where the whole part of a figure ends
		lengths := 0
		for _, s := range view.Sheets(r, view.Options{Paper: paper}) {
			for _, h := range headings(s) {
				if h.Words != "Fixtures and units" {
					continue
				}
				draw.Walk(s.Shapes, func(sh draw.Shape, _ *draw.SymbolRef) {
					x, ok := sh.(draw.Text)
					if !ok || x.Layer != draw.LayerTable || x.Align != draw.Right || x.At.Y < h.At.Y || x.At.Y > h.At.Y+45 || x.At.X < h.At.X {
						return
					}
					if whole, part, _ := strings.Cut(x.Words, "."); whole != "" && strings.Trim(whole+part, "0123456789") == "" {
						end := x.At.X
						if part != "" {
							end -= textwidth.Width("."+part, x.Height(), x.Weight)
						}
						ends[x.Words] = end
					}
				})
			}
			for _, w := range words(s) {
				if w == "Length, mm" {
					lengths++
				}
			}
		}
		if ends["1.5"] == 0 || ends["4"] == 0 || math.Abs(ends["1.5"]-ends["4"]) > 0.05 {
			t.Errorf("%s: the points of units do not stand below each other: %v", paper, ends)
		}
		if lengths == 0 {
			t.Errorf("%s: no head says that lengths are in millimetres", paper)
		}
	}
}

// A riser in parts says so on the cover and in the titles of its sheets.
func TestRiserInParts(t *testing.T) {
	r := solve(t, "three floors", randomjob.House(8), ".")
	sheets := view.Sheets(r, view.Options{Paper: "letter"})
	var titles []string
	for _, s := range sheets {
		if strings.HasPrefix(s.Number, "P-R") {
			titles = append(titles, s.Title)
		}
	}
	parts := len(titles) - 2
	if parts < 2 {
		t.Fatalf("the riser is not in parts: %q", titles)
	}
	last := fmt.Sprintf("P-R%d", parts+1)
	cover := strings.Join(words(sheets[0]), "\n")
	for _, w := range []string{"P-R1\nRiser in isometric", "P-R2 to " + last + "\nThe riser in parts", fmt.Sprintf("P-R%d\nHow to read the riser", parts+2)} {
		if !strings.Contains(cover, w) {
			t.Errorf("the cover does not say %q", w)
		}
	}
	for k, title := range titles {
		want := fmt.Sprintf("riser, part %d of %d", k, parts)
		switch k {
		case 0:
			want = "riser, overview"
		case parts + 1:
			want = "Riser: how to read it"
		}
		if !strings.Contains(title, want) {
			t.Errorf("P-R%d is called %q, want %q in it", k+1, title, want)
		}
	}
	if list := strings.Join(words(sheets...), "\n"); !strings.Contains(list, fmt.Sprintf("P-R1 to P-R%d", parts+2)) {
		t.Error("the office's list does not name all sheets of the riser")
	}
}

// What the test page says of a basin, and of a job that gives no lengths.
func TestWaterTest(t *testing.T) {
	said := func(text string) string {
		return strings.Join(words(view.Sheets(solve(t, "test", []byte(text), "."), view.Options{Paper: "letter"})...), " ")
	}
	if all := said(everyDetail); !strings.Contains(all, "basin of dis: plug its inlets") || !strings.Contains(all, "but for the uppermost 5'-0\"") && !strings.Contains(all, "but for the uppermost 10'-0\"") {
		t.Error("the test page does not tell of the basin, or of the head over the uppermost part")
	}
	all := said("job: bare\ncode: irc-2021\nruns:\n  main: {joins: outlet}\n  a: {joins: main, fixture: lavatory}\n")
	if strings.Contains(all, "0 gallons") || !strings.Contains(all, "not known: the job gives too few lengths") {
		t.Error("a volume is told of a job that gives no lengths")
	}
}

// What is invented is said to be once.
func TestInventedOnce(t *testing.T) {
	text := strings.Replace(exampleText(t, "heron-lane"), "\ncode:", "\nsite: {jurisdiction: Marlow County}\ncode:", 1)
	all := strings.Join(words(view.Sheets(solve(t, "marlow", []byte(text), "../../examples"), view.Options{Paper: "tabloid"})...), " ")
	_, list, ok := strings.Cut(all, "Marlow County, permit counter. ")
	if !ok {
		t.Fatal("the office's list has no title")
	}
	if list = list[:60]; strings.Count(list, "nvented") != 1 || strings.Contains(all, "(invented), invented") {
		t.Errorf("the list says %q", list)
	}
}

// What the test page closes is what the order has caps and plugs for: every opening with its
// size. The two count by themselves.
func TestCapsAreThoseOfTheOrder(t *testing.T) {
	st, _ := shelf.Stock()
	opening := regexp.MustCompile(`^\S+ (.*), (opening|closet flange) (\S+)"$`)
	seen := 0
	for _, dir := range []string{"../../examples", "../../testdata/cases", "testdata/hard"} {
		for _, j := range from(t, dir) {
			if j.r.Job.Units == unit.Metric {
				continue
			}
			o := j.r.Order(st, takeoff.Settings{})
			var want, got []string
			for _, l := range o.Lines {
				if l.Item == "test cap" || l.Item == "test plug for a closet flange" {
					for _, s := range l.Shares {
						want = append(want, s.Name+" "+l.Size)
					}
				}
			}
			if len(want) == 0 { // nothing is new, or no fixture is drawn
				continue
			}
			for _, s := range view.Sheets(j.r, view.Options{Paper: "arch-d"}) {
				for _, w := range words(s) {
					if m := opening.FindStringSubmatch(w); m != nil {
						got = append(got, m[1]+" "+m[3])
						seen++
					}
				}
			}
			sort.Strings(want)
			sort.Strings(got)
			if strings.Join(got, "; ") != strings.Join(want, "; ") {
				t.Errorf("%s: the sheet closes %q, the order has caps for %q", j.name, got, want)
			}
		}
	}
	if seen < 150 {
		t.Errorf("only %d openings were read back", seen)
	}
}

// Where a new bath drains into old pipe, the test is of what is new.
func TestTestOfNewPipe(t *testing.T) {
	all := strings.Join(words(view.Sheets(example(t, "quarry-row"), view.Options{Paper: "letter"})...), "\n")
	for _, w := range []string{"end of new branch at house drain, 3\"", "WC-1 new wc 1, closet flange 3\"", "Plug where new pipe meets old first"} {
		if !strings.Contains(all, w) {
			t.Errorf("the test page does not say %q", w)
		}
	}
	for _, w := range []string{"old bath comes in", "Outlet: "} {
		if strings.Contains(all, w) {
			t.Errorf("the test page closes existing pipe: %q", w)
		}
	}
}

// A list to tick goes on to another column with two boxes at the least.
func TestListsGoOn(t *testing.T) {
	went := 0
	sets(t, func(name string, sheets []*draw.Sheet) {
		for _, s := range sheets {
			heads := headings(s)
			columns := map[int][]draw.Rect{} // the boxes of a column
			for _, sh := range s.Shapes {
				if b, ok := draw.Bounds(sh); ok && sh.Base().Layer == draw.LayerTable {
					if p, is := sh.(draw.Polygon); is && len(p.Points) == 4 && b.W() < 5 && math.Abs(b.W()-b.H()) < 0.1 {
						columns[int(b.X0)] = append(columns[int(b.X0)], b)
					}
				}
			}
			for _, list := range columns {
				first := s.H
				for _, h := range heads {
					if math.Abs(h.At.X-list[0].X0) < 2 {
						first = math.Min(first, h.At.Y)
					}
				}
				n := 0
				for _, b := range list {
					if b.Y0 < first {
						n++
					}
				}
				if n > 0 {
					went++
				}
				if n == 1 {
					t.Errorf("%s, %s: a box stands alone at the head of a column", name, s.Name())
				}
			}
		}
	})
	if went < 5 {
		t.Errorf("only %d lists go on", went)
	}
}

// A title block that is filled in takes little of the sheet, and the cover stays one sheet
// on which there is room to sign. What it takes may be what a riser on letter paper needed to
// stand whole: the others are no more than one more.
func TestFilledTitleBlock(t *testing.T) {
	const fields = "\nsheet: {address: '1412 Heron Lane, Lot 7, Marlow Springs, Marlow County', owner: 'J. and M. Example (invented)', parcel: '04-17-220-031', permit: 'P-2026-004417', licence: 'MP-55821 (invented)', drawn by: 'J. Reed', date: '25 November 2026'}\nsite: {jurisdiction: Marlow County}\ncode:"
	r := solve(t, "filled in", []byte(strings.Replace(exampleText(t, "heron-lane"), "\ncode:", fields, 1)), "../../examples")
	for _, paper := range papers {
		sheets := view.Sheets(r, view.Options{Paper: paper})
		empty := view.Sheets(example(t, "heron-lane"), view.Options{Paper: paper})
		others := func(list []*draw.Sheet) (n int) {
			for _, s := range list {
				if !strings.HasPrefix(s.Number, "P-R") {
					n++
				}
			}
			return n
		}
		if others(sheets) > others(empty)+1 || len(sheets) > len(empty)+2 {
			t.Errorf("%s: %d sheets, and %d with an empty title block", paper, len(sheets), len(empty))
		}
		for i, s := range sheets {
			audit(t, "filled in", []*draw.Sheet{s})
			if h := s.Inner().Y1 - strip(s); h > 37 {
				t.Errorf("%s, %s: the strip is %.0f mm high", paper, s.Name(), h)
			}
			said := strings.Join(words(s), " ")
			for _, w := range []string{"1412 Heron Lane,", "04-17-220-031", "P-2026-004417", "MP-55821 (invented)", "25 November 2026"} {
				if !strings.Contains(said, w) {
					t.Errorf("%s, %s: the title block does not say %q", paper, s.Name(), w)
				}
			}
			if i == 0 && (!strings.Contains(said, "Licence and signature") || !strings.Contains(said, "State of the checks")) {
				t.Errorf("%s: no room to sign on the cover", paper)
			}
		}
	}
}

// Names as long as some are stay within their columns.
func TestLongNames(t *testing.T) {
	text := strings.ReplaceAll(exampleText(t, "heron-lane"), "main lav 1", "lavatory on the left hand of the great bathroom upstairs")
	text = strings.ReplaceAll(text, "powder wc", "Kleinkinderbadezimmerwasserklosettanschlussleitung")
	r := solve(t, "long names", []byte(text), "../../examples")
	for _, paper := range papers {
		for _, s := range view.Sheets(r, view.Options{Paper: paper}) {
			if strings.HasPrefix(s.Title, "Plan") && !strings.Contains(s.Title, "details") {
				continue // drawings: words there are not set in columns
			}
			audit(t, "long names", []*draw.Sheet{s})
		}
	}
}

// Details keep the longest names within their boxes, in titles, words and drawing, whatever
// it is that has the name; long words are broken, and what follows goes on behind their end.
func TestLongNamesInDetails(t *testing.T) {
	const word, sentence = "Kleinkinderbadezimmerwasserklosettanschlussleitung", "lavatory on the left hand of the great bathroom up"
	for _, name := range []string{"main shower", "washer", "sewer", "main", "powder vent"} {
		for _, long := range []string{word, sentence} {
			text := exampleText(t, "heron-lane")
			for _, where := range [][2]string{{"from: ", ","}, {"joins: ", ","}, {"\n  ", ":"}} {
				text = strings.ReplaceAll(text, where[0]+name+where[1], where[0]+long+where[1])
			}
			r := solve(t, "long names", []byte(text), "../../examples")
			for _, paper := range []string{"letter", "a4", "tabloid", "arch-c", "arch-d"} {
				sheets := view.Details(r, view.Options{Paper: paper})
				audit(t, name+" with a long name, "+paper, sheets)
				all := strings.Join(words(sheets...), " ")
				if long == sentence && !strings.Contains(all, sentence) || long == word && !strings.Contains(strings.ReplaceAll(all, "- ", ""), word) {
					t.Errorf("%s: the details do not name %q", paper, long)
				}
			}
		}
	}
}

// Details that need more than a sheet are spread evenly, so that none stands alone.
func TestDetailsAreSpread(t *testing.T) {
	more := 0
	for _, j := range append(from(t, "testdata/hard"), from(t, "../../examples")...) {
		for _, system := range []unit.System{unit.FeetInches, unit.Metric} {
			old := j.r.Job.Units
			j.r.Job.Units = system
			for _, paper := range []string{"letter", "a4", "tabloid"} {
				sheets := view.Details(j.r, view.Options{Paper: paper, Stamp: true})
				if len(sheets) < 2 {
					continue
				}
				more++
				fewest, most := 99, 0
				for _, s := range sheets {
					n := 0
					for _, sh := range s.Shapes {
						if strings.HasPrefix(sh.Base().ID, "detail ") {
							n++
						}
					}
					fewest, most = min(fewest, n), max(most, n)
				}
				if most-fewest > 1 {
					t.Errorf("%s on %s: a sheet with %d details and one with %d", j.name, paper, most, fewest)
				}
			}
			j.r.Job.Units = old
		}
	}
	if more < 3 {
		t.Errorf("only %d took more than a sheet", more)
	}
}

// Sizes and units of the walk are written equally large in all of its rows, with room between
// them.
func TestWalkFiguresStandApart(t *testing.T) {
	figure := regexp.MustCompile(`^\S+"   [0-9.]+ units?(, \d+ WC)?$`)
	read := 0
	for _, j := range from(t, "../../examples") {
		for _, paper := range []string{"letter", "tabloid", "a4", "arch-d"} {
			size, rows := 0.0, map[float64][]draw.Rect{}
			for i, s := range view.Strip(j.r, view.Options{Paper: paper}) {
				draw.Walk(s.Shapes, func(sh draw.Shape, _ *draw.SymbolRef) {
					x, ok := sh.(draw.Text)
					if !ok || !figure.MatchString(x.Words) {
						return
					}
					read++
					if size != 0 && math.Abs(x.Height()-size) > 1e-9 {
						t.Errorf("%s on %s: %q is %.2f mm high, others %.2f", j.name, paper, x.Words, x.Height(), size)
					}
					size = x.Height()
					b, _ := draw.Bounds(x)
					y := float64(i)*10000 + math.Round(x.At.Y*10)
					for _, o := range rows[y] {
						if gap := max(b.X0-o.X1, o.X0-b.X1); gap < 3.9 {
							t.Errorf("%s on %s: %q stands %.1f mm from its neighbour", j.name, paper, x.Words, gap)
						}
					}
					rows[y] = append(rows[y], b)
				})
			}
		}
	}
	if read < 50 {
		t.Errorf("only %d figures were read", read)
	}
}
