package xlsx_test

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"trapweir/engine"
	"trapweir/engine/price"
	"trapweir/engine/takeoff"
	"trapweir/report/order"
	"trapweir/report/xlsx"
	"trapweir/shelf"
)

func priced(t testing.TB, job, material string, set price.Settings) (*engine.Result, *price.Priced) {
	t.Helper()
	text, err := os.ReadFile("../../examples/" + job + ".dwv.yaml")
	if err != nil {
		t.Fatal(err)
	}
	d, _ := shelf.For(text, "")
	r := engine.Run(d, engine.Input{Name: job, Text: text})
	if !r.Solved() {
		t.Fatal(r.Faults)
	}
	b, err := os.ReadFile("../../examples/prices.csv")
	if err != nil {
		t.Fatal(err)
	}
	l, ds := price.ReadCSV("prices.csv", b)
	if len(ds) > 0 {
		t.Fatal(ds)
	}
	return r, price.Apply(r.Order(d.Stock, takeoff.Settings{Material: material}), l, set)
}

// The workbook is read by an office program that works out the formulas anew, and comes to
// the totals of the program: material, sundries, tax, labour, total, every amount and every
// net amount.
func TestLibreOfficeComesToTheSameTotals(t *testing.T) {
	soffice, err := exec.LookPath("soffice")
	if err != nil {
		t.Skip("SKIPPED: soffice (LibreOffice) is not installed, so NO independent program has worked out the formulas of the order; apt-get install libreoffice-calc and run again")
	}
	for _, tt := range []struct {
		job, material string
		set           price.Settings
	}{
		{"heron-lane", "", price.Settings{Sundries: 300, Tax: 725, Spare: 1000, Waste: 500}},
		{"alder-court", "cast iron", price.Settings{}},
		{"larkspur", "copper", price.Settings{Tax: 600}},
	} {
		_, p := priced(t, tt.job, tt.material, tt.set)
		dir := t.TempDir()
		var out bytes.Buffer
		if err := xlsx.Write(&out, p, xlsx.Options{Title: tt.job}); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, "order.xlsx"), out.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		cmd := exec.Command(soffice, "--headless", "-env:UserInstallation=file://"+filepath.Join(dir, "profile"), "--convert-to", "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,false,false", "--outdir", dir, filepath.Join(dir, "order.xlsx"))
		cmd.WaitDelay = time.Second
		if msg, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("soffice: %v\n%s", err, msg)
		}
		text, err := os.ReadFile(filepath.Join(dir, "order.csv"))
		if err != nil {
			t.Fatal(err)
		}
		r := csv.NewReader(bytes.NewReader(text))
		r.FieldsPerRecord = -1
		rows, err := r.ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		at := func(words string) string {
			for _, row := range rows {
				if len(row) > 12 && row[6] == words {
					return row[12]
				}
			}
			return "not there"
		}
		same := func(what, got string, want price.Money) {
			m, err := price.ParseMoney(got)
			if err != nil || m != want {
				t.Errorf("%s: %s: the office program says %q, the program %v", tt.job, what, got, want)
			}
		}
		same("material", at("Material"), p.Material)
		same("sundries", at("Sundries"), p.Sundries)
		same("tax", at("Tax"), p.Tax)
		same("labour", at("Labour"), p.Labour.Cost)
		same("total", at("Total of what is known"), p.Total)
		lines := order.Rows(p)
		missing := 0
		for i, row := range lines {
			got := rows[3+i]
			if row.Buys && row.Cost.Known {
				same("amount of "+row.Line.Key(), got[12], row.Cost.Extended)
			} else if got[12] != "" {
				t.Errorf("%s: %s has no price and comes to %q", tt.job, row.Line.Key(), got[12])
			}
			if row.Buys && !row.Cost.Known {
				missing++
			}
			if row.First {
				want := order.Amount(row.Line.Unit, row.Line.Qty, p.Order.Units)
				m, err := price.ParseMoney(round4(got[9]))
				w, _ := price.ParseMoney(want)
				within := price.Money(51) // half of the last place that the text shows: a hundredth
				if row.Line.Unit == takeoff.Cubic {
					within = 501 // a tenth
				}
				if d := m - w; err != nil || d > within || d < -within {
					t.Errorf("%s: %s: the runs sum to %q, the line says %s", tt.job, row.Line.Key(), got[9], want)
				}
			}
		}
		if got := at("Without a price, in no total"); got != itoa(missing) {
			t.Errorf("%s: %s without a price, the program has %d", tt.job, got, missing)
		}
	}
}

// round4 cuts a decimal to four places.
func round4(s string) string {
	if i := strings.IndexByte(s, '.'); i >= 0 && len(s) > i+5 {
		return s[:i+5]
	}
	return s
}

func itoa(n int) string {
	return order.Count(int64(n) * 1000)
}

// Formulas are alive, texts that begin like a formula are not, and the print is set up.
func TestWorkbook(t *testing.T) {
	r, p := priced(t, "heron-lane", "", price.Settings{Tax: 725})
	_, abs := priced(t, "heron-lane", "abs", price.Settings{})
	var out bytes.Buffer
	if err := xlsx.Write(&out, p, xlsx.Options{Title: r.Job.Title.Text, Beside: []price.Column{{Name: "pvc", Priced: p}, {Name: "abs", Priced: abs}}}); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(bytes.NewReader(out.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if got := strings.Join(f.GetSheetList(), ","); got != "Order,Supply house,Runs,Saw list,Stock lengths,Measures wanted,Hours,Not measured,Alternates" {
		t.Errorf("sheets %s", got)
	}
	if got, _ := f.GetCellFormula("Order", "M4"); got != `IF(ISNUMBER(L4),ROUND(D4*L4,2),"")` {
		t.Errorf("the amount is %q", got)
	}
	if got, _ := f.GetCellFormula("Order", "J4"); !strings.HasPrefix(got, "SUMIF('Runs'!") {
		t.Errorf("the net amount is %q", got)
	}
	// A line leads to its runs.
	ok, to, err := f.GetCellHyperLink("Order", "A6")
	line, _ := f.GetCellValue("Order", "A6")
	if led, _ := f.GetCellValue("Runs", strings.TrimPrefix(to, "Runs!")); !ok || err != nil || led != line {
		t.Errorf("line %s leads to %q, which is of line %s", line, to, led)
	}
	for _, s := range f.GetSheetList() {
		l, err := f.GetPageLayout(s)
		if err != nil || l.Orientation == nil || *l.Orientation != "landscape" || l.FitToWidth == nil || *l.FitToWidth != 1 || l.FitToHeight == nil || *l.FitToHeight != 0 {
			t.Errorf("%s: page layout %+v", s, l)
		}
		if props, _ := f.GetSheetProps(s); props.FitToPage == nil || !*props.FitToPage {
			t.Errorf("%s does not fit to the width of the paper", s)
		}
	}
	titles := 0
	for _, d := range f.GetDefinedName() {
		if d.Name == "_xlnm.Print_Titles" {
			titles++
		}
	}
	if titles != 9 {
		t.Errorf("%d sheets repeat their heads", titles)
	}
	var again bytes.Buffer
	if err := xlsx.Write(&again, p, xlsx.Options{Title: r.Job.Title.Text, Beside: []price.Column{{Name: "pvc", Priced: p}, {Name: "abs", Priced: abs}}}); err != nil || !bytes.Equal(out.Bytes(), again.Bytes()) {
		t.Errorf("the same order is written otherwise the second time (%v)", err)
	}
}

// Every formula keeps the value that it comes to, as a number, for programs that only show a
// workbook; and the values are those of the program.
func TestFormulasKeepTheirValues(t *testing.T) {
	_, p := priced(t, "heron-lane", "", price.Settings{Sundries: 300, Tax: 725})
	var out bytes.Buffer
	if err := xlsx.Write(&out, p, xlsx.Options{Title: "trial", Beside: []price.Column{{Name: "pvc", Priced: p}, {Name: "again", Priced: p}}}); err != nil {
		t.Fatal(err)
	}
	z, err := zip.NewReader(bytes.NewReader(out.Bytes()), int64(out.Len()))
	if err != nil {
		t.Fatal(err)
	}
	cell := regexp.MustCompile(`<c [^>]*>(?:<f>[^<]*</f>)(?:<v>([^<]*)</v>|<v/>)?</c>`)
	formulas := 0
	for _, f := range z.File {
		if !strings.HasPrefix(f.Name, "xl/worksheets/") || !strings.HasSuffix(f.Name, ".xml") {
			continue
		}
		in, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(in)
		if err != nil {
			t.Fatal(err)
		}
		all := cell.FindAllSubmatch(text, -1)
		formulas += len(all)
		for _, m := range all {
			if len(m[1]) == 0 || bytes.Contains(m[0], []byte(`t="str"`)) {
				t.Errorf("%s: no number is kept: %s", f.Name, m[0])
			}
		}
		if n := bytes.Count(text, []byte("<f>")); n != len(all) {
			t.Errorf("%s: %d formulas, %d of them looked at", f.Name, n, len(all))
		}
	}
	if formulas < 150 {
		t.Errorf("only %d formulas", formulas)
	}
	b, err := excelize.OpenReader(bytes.NewReader(out.Bytes()), excelize.Options{RawCellValue: true})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	rows, err := b.GetRows("Order")
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]price.Money{"Material": p.Material, "Sundries": p.Sundries, "Tax": p.Tax, "Labour": p.Labour.Cost, "Total of what is known": p.Total}
	for _, r := range rows {
		if len(r) > 12 {
			if m, ok := want[r[6]]; ok {
				if got, err := price.ParseMoney(r[12]); err != nil || got != m {
					t.Errorf("%s keeps %q, the program has %v", r[6], r[12], m)
				}
				delete(want, r[6])
			}
		}
	}
	if len(want) > 0 {
		t.Errorf("not there: %v", want)
	}
	// The supply house sees quantities that follow the order, and no prices and hours.
	desk, err := b.GetRows("Supply house")
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for i, r := range desk {
		if i < 6 || len(r) < 7 {
			continue
		}
		n++
		for _, c := range r[7:] {
			if c != "" {
				t.Errorf("row %d says %q beyond the delivery", i+1, c)
			}
		}
	}
	buys := 0
	for _, r := range order.Rows(p) {
		if r.Buys {
			buys++
		}
	}
	if n != buys {
		t.Errorf("%d rows for the supply house, %d things are bought", n, buys)
	}
}

func TestNamesAreNoFormulas(t *testing.T) {
	const job = "job: \"=1+1\"\ncode: irc-2021\noutlet: {to: public sewer}\nruns:\n  \"=HYPERLINK(1)\": {joins: outlet, legs: [E 10'], size: 3}\n"
	d, _ := shelf.For([]byte(job), "")
	r := engine.Run(d, engine.Input{Name: "j", Text: []byte(job)})
	if !r.Solved() {
		t.Fatal(r.Faults)
	}
	var out bytes.Buffer
	if err := xlsx.Write(&out, price.Apply(r.Order(d.Stock, takeoff.Settings{}), nil, price.Settings{}), xlsx.Options{Title: r.Job.Title.Text}); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(bytes.NewReader(out.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if v, _ := f.GetCellValue("Order", "A1"); v != "=1+1" {
		t.Errorf("the title is %q", v)
	}
	for _, c := range []string{"A1", "F2"} {
		sheet := "Runs"
		if c == "A1" {
			sheet = "Order"
		}
		if got, _ := f.GetCellFormula(sheet, c); got != "" {
			t.Errorf("%s %s is a formula: %s", sheet, c, got)
		}
	}
	if v, _ := f.GetCellValue("Runs", "F2"); v != "=HYPERLINK(1)" {
		t.Errorf("the run is %q", v)
	}
}

func TestReadPrices(t *testing.T) {
	f := excelize.NewFile()
	for c, v := range map[string]any{"A1": "Item", "B1": "Unit", "C1": "Price", "D1": "Supplier", "A2": "pvc wye 3", "B2": "each", "C2": 4.1, "D2": "A", "A3": "pvc pipe 3", "B3": "10 ft", "C3": "42.3375"} {
		if err := f.SetCellValue("Sheet1", c, v); err != nil {
			t.Fatal(err)
		}
	}
	var out bytes.Buffer
	if _, err := f.WriteTo(&out); err != nil {
		t.Fatal(err)
	}
	l, ds := xlsx.ReadPrices("p.xlsx", out.Bytes())
	if len(ds) > 0 {
		t.Fatal(ds)
	}
	if it, ok := l.Find("pvc wye 3", "ea"); !ok || it.Price.String() != "4.10" || it.Supplier != "A" {
		t.Errorf("%+v %v", it, ok)
	}
	if it, ok := l.Find("pvc pipe 3", "10 ft"); !ok || it.Price.String() != "42.3375" {
		t.Errorf("%+v %v", it, ok)
	}
	if _, ds := xlsx.ReadPrices("p.xlsx", []byte("item,unit,price\n")); len(ds) != 1 || !strings.Contains(ds[0].Message, "cannot be read as a workbook") {
		t.Errorf("%v", ds)
	}
}
