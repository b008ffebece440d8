package order_test

import (
	"bytes"
	"encoding/csv"
	"flag"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"trapweir/draw/layout"
	"trapweir/draw/list"
	"trapweir/draw/pdf"
	"trapweir/engine"
	"trapweir/engine/price"
	"trapweir/engine/stock"
	"trapweir/engine/takeoff"
	"trapweir/engine/unit"
	"trapweir/report/order"
	"trapweir/shelf"
)

var update = flag.Bool("update", false, "rewrite the files under testdata")

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	g, w := strings.Split(string(got), "\n"), strings.Split(string(want), "\n")
	for i := range max(len(g), len(w)) {
		var a, b string
		if i < len(g) {
			a = g[i]
		}
		if i < len(w) {
			b = w[i]
		}
		if a != b {
			t.Fatalf("%s:%d: differs\n got %s\nwant %s", path, i+1, a, b)
		}
	}
}

func priced(t testing.TB, job string, prices bool) (*engine.Result, *price.Priced) {
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
	var l *price.List
	if prices {
		b, err := os.ReadFile("../../examples/prices.csv")
		if err != nil {
			t.Fatal(err)
		}
		var ds any
		l, ds = price.ReadCSV("prices.csv", b)
		if l == nil {
			t.Fatal(ds)
		}
	}
	return r, price.Apply(r.Order(d.Stock, takeoff.Settings{}), l, price.Settings{Sundries: 300, Tax: 725})
}

func TestText(t *testing.T) {
	r, p := priced(t, "heron-lane", true)
	var out bytes.Buffer
	if err := order.Text(&out, r.Job.Title.Text, p, unit.FeetInches); err != nil {
		t.Fatal(err)
	}
	golden(t, "heron-lane.txt", out.Bytes())
	if !strings.Contains(out.String(), order.Caution[:40]) {
		t.Error("the caution is not there")
	}
	_, p = priced(t, "alder-court", false)
	out.Reset()
	order.Text(&out, "Alder Court", p, unit.Metric)
	for _, want := range []string{"no price", "NOT MEASURED, AND IN NO TOTAL", "ask: what is there at the public sewer"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is not in the text", want)
		}
	}
}

func TestCSV(t *testing.T) {
	_, p := priced(t, "alder-court", true)
	var out bytes.Buffer
	if err := order.CSV(&out, p); err != nil {
		t.Fatal(err)
	}
	text := out.String()
	if !strings.HasPrefix(text, "\ufeffline,phase,group,") {
		t.Errorf("the file begins %q", text[:40])
	}
	if n := strings.Count(text, "\n"); n != strings.Count(text, "\r\n") {
		t.Errorf("%d line ends, %d of them CR LF", n, strings.Count(text, "\r\n"))
	}
	rows, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(text, "\ufeff"))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if strings.Join(rows[0], ",") != strings.Join(order.Columns, ",") {
		t.Errorf("columns %v", rows[0])
	}
	// The documented columns, in the documented order.
	doc, err := os.ReadFile("../../docs/order.md")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(doc), "`"+strings.Join(order.Columns, "`, `")+"`") {
		t.Error("docs/order.md does not list the columns in their order")
	}
	var sum price.Money
	for _, r := range rows[1:] {
		if r[13] == "" {
			continue
		}
		m, err := price.ParseMoney(r[13])
		if err != nil {
			t.Error(err)
		}
		sum += m
	}
	if sum != p.Material {
		t.Errorf("the lines sum to %v, the material is %v", sum, p.Material)
	}
	golden(t, "alder-court.csv", out.Bytes())
}

// The form of wanted measures reads as a file of measures; filled in, it makes every cut but
// those to the outlet exact, and left as it is, it changes nothing.
func TestForm(t *testing.T) {
	r, p := priced(t, "heron-lane", false)
	var out bytes.Buffer
	if err := order.Form(&out, r.Job.Title.Text, p.Order); err != nil {
		t.Fatal(err)
	}
	blank := out.Bytes()
	st, ds := shelf.Stock(stock.File{Name: "form.yaml", Text: blank})
	if len(ds) > 0 {
		t.Fatalf("%v in\n%s", ds, blank)
	}
	if same := r.Order(st, takeoff.Settings{}); !reflect.DeepEqual(same, p.Order) {
		t.Error("a form that is not filled in changes the order")
	}
	filled := regexp.MustCompile(`(?m)^( {10}[0-9][^.]*)(\..*)$`).ReplaceAllStringFunc(string(blank), func(l string) string {
		i := strings.IndexByte(l, '.')
		cells := strings.Fields(l[i:])
		for k := range len(cells) - 1 {
			cells[k] = "1.5"
		}
		return l[:i] + strings.Join(cells, "  ")
	})
	st, ds = shelf.Stock(stock.File{Name: "form.yaml", Text: []byte(filled)})
	if len(ds) > 0 {
		t.Fatalf("%v in\n%s", ds, filled)
	}
	o := r.Order(st, takeoff.Settings{})
	for i := range o.Pieces {
		if c := &o.Pieces[i]; c.To != "outlet" && c.Sure < stock.Medium {
			t.Errorf("%s to %s: %s", c.From, c.To, c.Says(unit.FeetInches))
		}
	}
	if len(o.Wants) > 0 {
		t.Errorf("still wanted: %v", o.Wants)
	}
}

// A metric job reads metric in every form; what is sold by the foot and the pint says so.
func TestMetricForms(t *testing.T) {
	for _, tt := range []struct {
		u    takeoff.Unit
		n    int64
		want string
	}{
		{takeoff.Run, int64(10 * unit.Foot), "3.05 m"},
		{takeoff.Quart, 1_000_000, "0.946 L"},
		{takeoff.Cubic, 1_000_000, "28.32 m3"}, // 1000 cu ft: 28.3168 m3
		{takeoff.Each, 3, "3 ea"},
	} {
		if got := order.Amount(tt.u, tt.n, unit.Metric) + " " + order.UnitWord(tt.u, unit.Metric); got != tt.want {
			t.Errorf("%d %v: %s, want %s", tt.n, tt.u, got, tt.want)
		}
	}
	for word, want := range map[string]string{"20 ft": "20 ft (6.10 m)", "pint": "pint (473 mL)", "ea": "ea", "m3": "m3"} {
		if got := order.BuyWord(word, unit.Metric); got != want {
			t.Errorf("%s: %s, want %s", word, got, want)
		}
	}
}

// Alternates of which one lacks prices are not compared; whole ones are, to the cent.
func TestBesideSaysWhatItCan(t *testing.T) {
	r, p := priced(t, "heron-lane", true)
	st, _ := shelf.Stock()
	b, err := os.ReadFile("../../examples/prices.csv")
	if err != nil {
		t.Fatal(err)
	}
	l, _ := price.ReadCSV("prices.csv", b)
	abs := price.Apply(r.Order(st, takeoff.Settings{Material: "abs"}), l, p.Settings)
	bare := price.Apply(r.Order(st, takeoff.Settings{Material: "abs"}), &price.List{}, p.Settings)
	var out bytes.Buffer
	order.Beside(&out, []price.Column{{Name: "pvc", Priced: p}, {Name: "abs", Priced: abs}, {Name: "bare", Priced: bare}})
	for _, line := range strings.Split(out.String(), "\n") {
		if strings.Contains(line, "more or less than pvc") {
			if got := strings.Fields(line)[5:]; len(got) != 4 || got[1] != (abs.Total-p.Total).String() || got[2]+" "+got[3] != "not known" {
				t.Errorf("%q", line)
			}
			return
		}
	}
	t.Errorf("no difference in\n%s", out.String())
}

func TestGuard(t *testing.T) {
	for text, want := range map[string]string{
		"=1+1": "'=1+1", "+4": "'+4", "-4": "'-4", "@x": "'@x", "\t=1": "'\t=1", " =1": "' =1", "\r=1": "'\r=1", "＝1": "'＝1",
		"main": "main", "4 x 3": "4 x 3", "": "", "a=b": "a=b", "3-1/2": "3-1/2", " bath": " bath",
	} {
		if got := order.Guard(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
	// A run that is named to hurt comes through as text.
	const job = "job: trial\ncode: irc-2021\noutlet: {to: public sewer}\nruns:\n  \"=HYPERLINK(1)\": {joins: outlet, legs: [E 10'], size: 3}\n"
	d, _ := shelf.For([]byte(job), "")
	r := engine.Run(d, engine.Input{Name: "j", Text: []byte(job)})
	if !r.Solved() {
		t.Fatal(r.Faults)
	}
	var out bytes.Buffer
	order.CSV(&out, price.Apply(r.Order(d.Stock, takeoff.Settings{}), nil, price.Settings{}))
	if strings.Contains(out.String(), ",=HYPER") || !strings.Contains(out.String(), "'=HYPERLINK(1)") {
		t.Errorf("a formula got through:\n%s", out.String())
	}
}

func TestSheets(t *testing.T) {
	r, p := priced(t, "heron-lane", true)
	for _, paper := range []string{"letter", "a4"} {
		sheets, err := order.Sheets(p, order.Sheet{Title: r.Job.Title.Text, Paper: paper})
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range sheets {
			if says := layout.Audit(s); len(says) > 0 {
				t.Errorf("%s, sheet %s: %v", paper, s.Number, says)
			}
		}
		if paper == "letter" {
			var words []byte
			for _, s := range sheets {
				words = append(words, list.Render(s)...)
			}
			golden(t, "heron-lane.list", words)
		}
		a, err := pdf.Render(sheets, pdf.Options{})
		if err != nil {
			t.Fatal(err)
		}
		b, _ := pdf.Render(sheets, pdf.Options{})
		if !bytes.HasPrefix(a, []byte("%PDF-")) || !bytes.Equal(a, b) {
			t.Errorf("%s: no PDF, or not the same twice", paper)
		}
	}
	if _, err := order.Sheets(p, order.Sheet{Paper: "napkin"}); err == nil || !strings.Contains(err.Error(), "letter") {
		t.Errorf("paper that is not there: %v", err)
	}
}

func TestAmount(t *testing.T) {
	for _, tt := range []struct {
		u    takeoff.Unit
		n    int64
		want string
	}{
		{takeoff.Each, 3, "3"},
		{takeoff.Run, int64(10*unit.Foot + unit.Inch), "10.08"},
		{takeoff.Run, int64(unit.Foot - 1), "1.00"},
		{takeoff.Run, -int64(unit.Foot / 2), "-0.50"},
		{takeoff.Quart, 458_333, "0.458"},
		{takeoff.Cubic, 93_613, "93.6"},
	} {
		if got := order.Amount(tt.u, tt.n, unit.FeetInches); got != tt.want {
			t.Errorf("%d %v: %s, want %s", tt.n, tt.u, got, tt.want)
		}
	}
	for n, want := range map[int64]string{3000: "3", 3500: "3.5", 12: "0.012", 0: "0", 10_000: "10"} {
		if got := order.Count(n); got != want {
			t.Errorf("%d thousandths: %s, want %s", n, got, want)
		}
	}
}
