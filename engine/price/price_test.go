package price_test

import (
	"fmt"
	"math/big"
	"os"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"trapweir/engine"
	"trapweir/engine/price"
	"trapweir/engine/takeoff"
	"trapweir/engine/unit"
	"trapweir/shelf"
)

func TestParseMoney(t *testing.T) {
	for text, want := range map[string]string{
		"12": "12.00", "12.5": "12.50", "$3.0625": "3.0625", "1,234.50": "1234.50", " 0.99 ": "0.99", ".5": "0.50", "0": "0.00", "1,000,000": "1000000.00", "7.125": "7.125",
	} {
		m, err := price.ParseMoney(text)
		if err != nil || m.String() != want {
			t.Errorf("%q: %v (%v), want %s", text, m, err, want)
		}
	}
	for _, text := range []string{"", ".", "$", "-1", "1e3", "1,23", "12,34.5", ",5", "1.23456", "twelve", "1.2.3", "99999999999", "12.", "１"} {
		if m, err := price.ParseMoney(text); err == nil {
			t.Errorf("%q is read as %v", text, m)
		}
	}
}

// Amounts are exact: a thousand times a tenth of a cent is a whole number of cents, which
// binary floating point does not give.
func TestMoneyIsExact(t *testing.T) {
	var sum price.Money
	tenth, _ := price.ParseMoney("0.1")
	for range 1000 {
		sum += tenth
	}
	if sum.String() != "100.00" {
		t.Errorf("a thousand times 0.1 is %v", sum)
	}
	for _, tt := range []struct {
		m        price.Money
		num, den int64
		want     string
	}{
		{12345, 3, 2, "1.8518"}, // 1.85175, half away from zero
		{-12345, 3, 2, "-1.8518"},
		{1, 1, 3, "0.00"},
		{2, 1, 3, "0.0001"},
		{10_000, 725, 10_000, "0.0725"},
	} {
		if got := tt.m.Times(tt.num, tt.den).String(); got != tt.want {
			t.Errorf("%d times %d/%d: %s, want %s", tt.m, tt.num, tt.den, got, tt.want)
		}
	}
	for m, want := range map[price.Money]string{10_049: "1.00", 10_050: "1.01", 10_150: "1.02", -10_050: "-1.01"} {
		if got := m.Cents().String(); got != want {
			t.Errorf("%d to the cent: %s, want %s", m, got, want)
		}
	}
}

// Times agrees with exact rational arithmetic.
func TestTimesAgainstRationals(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.Int64Range(-1e12, 1e12).Draw(t, "money")
		num := rapid.Int64Range(0, 1e9).Draw(t, "num")
		den := rapid.Int64Range(1, 1e9).Draw(t, "den")
		exact := new(big.Rat).Mul(new(big.Rat).SetInt64(m), big.NewRat(num, den))
		if exact.Cmp(big.NewRat(1<<62, 1)) > 0 || exact.Cmp(big.NewRat(-(1<<62), 1)) < 0 {
			return
		}
		got := price.Money(m).Times(num, den)
		off := new(big.Rat).Sub(exact, new(big.Rat).SetInt64(int64(got)))
		if off.Abs(off).Cmp(big.NewRat(1, 2)) > 0 {
			t.Fatalf("%d x %d/%d = %d, off by more than a half", m, num, den, got)
		}
	})
}

const list = "\ufeffitem,unit,price,supplier\r\n" +
	"# invented\r\n" +
	"pvc wye 3,each,4.10,A\r\n" +
	"\"PVC  Wye 3\"\"\",ea,3.95,B\r\n" +
	"pvc pipe 3,ft,2.3333,A\r\n" +
	"pvc pipe 2,10',14.20,A\r\n" +
	"pvc solvent cement,quart,15.50,A\r\n" +
	"sand or gravel for bedding,ton,30,A\r\n" +
	"test cap 2,,,A\r\n"

func TestReadCSV(t *testing.T) {
	l, ds := price.ReadCSV("p.csv", []byte(list))
	if len(ds) > 0 {
		t.Fatal(ds)
	}
	// The cheaper of two; inch marks, capitals and spaces do not matter.
	if it, ok := l.Find("pvc wye 3", "ea"); !ok || it.Price.String() != "3.95" || it.Supplier != "B" || it.Line != 4 {
		t.Errorf("%+v %v", it, ok)
	}
	if it, ok := l.Find("pvc pipe 2", "10 ft"); !ok || it.Price.String() != "14.20" {
		t.Errorf("%+v %v", it, ok)
	}
	// A line without a price is not a price of nothing.
	if it, ok := l.Find("test cap 2", "ea"); ok {
		t.Errorf("a blank price is read as %v", it.Price)
	}
	semi, ds := price.ReadCSV("p.csv", []byte("unit;price;item\nea;1,234.50;basin\n"))
	if len(ds) > 0 || semi.Items[0].Price.String() != "1234.50" {
		t.Errorf("%v %v", semi, ds)
	}
	for _, tt := range []struct{ text, at, want string }{
		{"", "p.csv:1:1", "the file is empty"},
		{"item,unit\n", "p.csv:1:1", "there is no column price"},
		{"item,price,unit,price\n", "p.csv:1:1", "the column price is there twice"},
		{"item,unit,price\nwye,ea,free\n", "p.csv:2:1", `wye: price "free": found "f" where a digit is expected: write 12.50`},
		{"item,unit,price\n,ea,1\n", "p.csv:2:1", "the line names no item"},
		{"item,unit,price\n\"wye,ea,1\n", "p.csv:2:1", "the line cannot be read"},
	} {
		_, ds := price.ReadCSV("p.csv", []byte(tt.text))
		if len(ds) != 1 || ds[0].At.String() != tt.at || !strings.HasPrefix(ds[0].Message, tt.want) {
			t.Errorf("%q: %v, want %s %s", tt.text, ds, tt.at, tt.want)
		}
	}
}

func line(item, size string, u takeoff.Unit, qty int64, buys ...takeoff.Buy) takeoff.Line {
	return takeoff.Line{Item: item, Size: size, Material: "pvc", Unit: u, Qty: qty, Group: "other", Buys: buys}
}

func TestApply(t *testing.T) {
	l, _ := price.ReadCSV("p.csv", []byte(list))
	bedding := line("sand or gravel for bedding", "", takeoff.Cubic, 170_000, takeoff.Buy{N: 6_300, Unit: "cu yd"})
	bedding.Material = ""
	o := &takeoff.Order{Lines: []takeoff.Line{
		line("wye", "3", takeoff.Each, 3, takeoff.Buy{N: 3000, Unit: "ea"}),
		line("pipe", "3", takeoff.Run, int64(31*unit.Foot), takeoff.Buy{N: 2000, Unit: "20 ft", Length: 20 * unit.Foot}),
		line("solvent cement", "", takeoff.Quart, 1_400_000, takeoff.Buy{N: 3000, Unit: "pint"}),
		bedding,
		line("no such thing", "2", takeoff.Each, 4, takeoff.Buy{N: 4000, Unit: "ea"}),
	}}
	p := price.Apply(o, l, price.Settings{Sundries: 300, Tax: 725})
	var got []string
	for _, x := range p.Lines {
		for _, c := range x.Costs {
			got = append(got, fmt.Sprintf("%d %s %v %v %v", c.N, c.Unit, c.Price, c.Extended, c.Known))
		}
	}
	want := []string{
		"3000 ea 3.95 11.85 true",
		"40000 ft 2.3333 93.33 true",  // 2 sticks of 20 ft by the foot: 93.332
		"2000 quart 15.50 31.00 true", // 3 pints are 2 whole quarts
		"8900 ton 30.00 267.00 true",  // 6.3 yd x 1.4 = 8.82 tons, up to a tenth
		"4000 ea 0.00 0.00 false",     // no price is not nothing
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	// 11.85 + 93.33 + 31.00 + 267.00 = 403.18; 3 % = 12.0954; 7.25 % of 415.28 = 30.1078.
	if p.Material.String() != "403.18" || p.Sundries.String() != "12.10" || p.Tax.String() != "30.11" || p.Total.String() != "445.39" {
		t.Errorf("material %v, sundries %v, tax %v, total %v", p.Material, p.Sundries, p.Tax, p.Total)
	}
	if len(p.Missing) != 1 || p.Missing[0] != "pvc no such thing 2, ea" || p.Complete() {
		t.Errorf("missing %q", p.Missing)
	}
	if p.Labour.Given {
		t.Error("labour without any figure counts as given")
	}
	// Spare pieces are whole pieces.
	if c := price.Apply(o, l, price.Settings{Spare: 1000}).Lines[0].Costs[0]; c.N != 4000 {
		t.Errorf("3 and 10 %% are %d thousandths, want 4 pieces", c.N)
	}
}

func TestLabour(t *testing.T) {
	l, ds := price.ReadCSV("p.csv", []byte("item,unit,price\nlabour pvc pipe 3,hour/ft,0.11\nlabor pvc joint 3,hours/ea,0.22\nlabour rate,hour,85\nlabour pvc wye 3,hour/ea,0.5\n"))
	if len(ds) > 0 {
		t.Fatal(ds)
	}
	o := &takeoff.Order{
		Lines: []takeoff.Line{line("pipe", "3", takeoff.Run, int64(20*unit.Foot)), line("pipe", "2", takeoff.Run, int64(5*unit.Foot)), line("wye", "3", takeoff.Each, 2)},
	}
	o.Joints = []takeoff.Joints{{Material: "pvc", Size: unit.Size(3 * unit.Inch), N: 10}}
	// 20 ft x 0.11 + 10 x 0.22 + 2 x 0.5 = 5.4 h at 85. The 2 in pipe has no figure.
	p := price.Apply(o, l, price.Settings{})
	if p.Labour.Hours.String() != "5.40" || p.Labour.Cost.String() != "459.00" || fmt.Sprint(p.Labour.Missing) != "[labour pvc pipe 2, hour/ft]" {
		t.Errorf("%+v", p.Labour)
	}
}

// Hours by phase, by every basis, each with its own figures; a basis that the file uses and
// that lacks a figure is missing, one that it does not use is not.
func TestLabourByPhase(t *testing.T) {
	l, ds := price.ReadCSV("p.csv", []byte(`item,unit,price
labour pvc pipe 3,hour/ft,0.10
labour pvc joint 3,hour/ea,0.20
labour fixture bathtub,hour/ea,2.5
labour trim bathtub,hour/ea,0.5
labour test underground,hour/ea,1.25
labour phase trim,hour,1
labour rate,hour,80
labour rate underground,hour,100
`))
	if len(ds) > 0 {
		t.Fatal(ds)
	}
	under := line("pipe", "3", takeoff.Run, int64(30*unit.Foot))
	rough := line("pipe", "3", takeoff.Run, int64(10*unit.Foot))
	under.Phase, rough.Phase = takeoff.Underground, takeoff.RoughIn
	z := unit.Size(3 * unit.Inch)
	o := &takeoff.Order{
		Lines:    []takeoff.Line{under, rough},
		Joints:   []takeoff.Joints{{Phase: takeoff.Underground, Material: "pvc", Size: z, N: 5}, {Phase: takeoff.RoughIn, Material: "pvc", Size: z, N: 2}},
		Fixtures: []takeoff.Fixtures{{Kind: "bathtub", Phase: takeoff.RoughIn, N: 2}, {Kind: "lavatory", Phase: takeoff.RoughIn, N: 1}},
		Tests:    []takeoff.Phase{takeoff.Underground, takeoff.RoughIn},
	}
	p := price.Apply(o, l, price.Settings{})
	// Underground: 30 x 0.1 + 5 x 0.2 + 1.25 = 5.25 h at 100. Rough-in: 10 x 0.1 + 2 x 0.2 + 2 x
	// 2.5 = 6.4 h at 80. Trim: 2 x 0.5 + 1 = 2 h at 80.
	want := []string{"5.25 h, 525.00", "6.40 h, 512.00", "2.00 h, 160.00"}
	var hours, cost price.Money
	for i, h := range p.Labour.Phases {
		if got := h.Hours.String() + " h, " + h.Cost.String(); got != want[i] {
			t.Errorf("%v: %s, want %s", h.Phase, got, want[i])
		}
		if h.Pipe+h.Joints+h.Pieces+h.Fixtures+h.Tests+h.Fixed != h.Hours {
			t.Errorf("%v: the parts do not sum to %v", h.Phase, h.Hours)
		}
		hours, cost = hours+h.Hours, cost+h.Cost
	}
	if hours != p.Labour.Hours || cost != p.Labour.Cost || !p.Labour.RateKnown {
		t.Errorf("the phases sum to %v h and %v, the whole is %v h and %v", hours, cost, p.Labour.Hours, p.Labour.Cost)
	}
	if got := strings.Join(p.Labour.Missing, "; "); got != "labour fixture lavatory, hour/ea; labour test rough-in, hour/ea; labour trim lavatory, hour/ea" {
		t.Errorf("missing %q", got)
	}
	// A file without any figure by the foot lacks none.
	l, _ = price.ReadCSV("p.csv", []byte("item,unit,price\nlabour fixture bathtub,hour/ea,2.5\nlabour fixture lavatory,hour/ea,2\nlabour rate,hour,80\n"))
	if p := price.Apply(o, l, price.Settings{}); len(p.Labour.Missing) != 0 || p.Labour.Hours.String() != "7.00" || p.Labour.Cost.String() != "560.00" {
		t.Errorf("by the fixture alone: %+v", p.Labour)
	}
	// Figures for one material do not speak for another.
	l, _ = price.ReadCSV("p.csv", []byte("item,unit,price\nlabour copper pipe 3,hour/ft,0.3\nlabour fixture bathtub,hour/ea,1\n"))
	if p := price.Apply(o, l, price.Settings{}); !slices.Contains(p.Labour.Missing, "labour pvc pipe 3, hour/ft") || p.AllPriced() {
		t.Errorf("pvc without figures: %+v", p.Labour)
	}
}

func run(t testing.TB, text string) *engine.Result {
	t.Helper()
	d, _ := shelf.For([]byte(text), "")
	r := engine.Run(d, engine.Input{Name: "j.dwv.yaml", Text: []byte(text)})
	if !r.Solved() {
		t.Fatal(r.Faults)
	}
	return r
}

func sideOf(t testing.TB, text string, l *price.List) price.Side {
	r := run(t, text)
	st, _ := shelf.Stock()
	return price.Side{Net: r.Net, Sizes: r.Sizes, Vents: r.Vents, Priced: price.Apply(r.Order(st, takeoff.Settings{}), l, price.Settings{})}
}

// The change order of a house whose laundry gets a floor drain and whose kitchen moves.
func TestCompare(t *testing.T) {
	b, err := os.ReadFile("../../examples/heron-lane.dwv.yaml")
	if err != nil {
		t.Fatal(err)
	}
	csv, err := os.ReadFile("../../examples/prices.csv")
	if err != nil {
		t.Fatal(err)
	}
	l, ds := price.ReadCSV("prices.csv", csv)
	if len(ds) > 0 {
		t.Fatal(ds)
	}
	old := string(b)
	same := price.Compare(sideOf(t, old, l), sideOf(t, old, l))
	if len(same.Added)+len(same.Removed)+len(same.Resized)+len(same.Rerouted)+len(same.Lines)+len(same.Inspect) != 0 || same.Cost != 0 || !same.Known {
		t.Errorf("a job against itself: %+v", same)
	}
	now := strings.Replace(old, "legs: [down 2' 9\", N 8']", "legs: [down 2' 9\", N 11']", 1)
	now = strings.Replace(now, "vents:\n", "  laundry tub: {joins: washer, at: 8', legs: [E 3'], slope: 1/4\" per ft, size: 2, fixture: laundry sink, level: first, place: crawl space}\nvents:\n", 1)
	now = strings.Replace(now, "hall vent:    {from: hall lav, legs: [up 15']", "hall vent:    {from: hall lav, size: 2, legs: [up 15']", 1)
	c := price.Compare(sideOf(t, old, l), sideOf(t, now, l))
	if fmt.Sprint(c.Added) != "[laundry tub]" || len(c.Removed) != 0 || fmt.Sprint(c.Rerouted) != "[kitchen]" || fmt.Sprint(c.Resized) != "[{hall vent 1-1/2 2}]" {
		t.Errorf("added %v, removed %v, rerouted %v, resized %v", c.Added, c.Removed, c.Rerouted, c.Resized)
	}
	// What the lines add up to is what the totals differ by, labour left out.
	var sum price.Money
	for _, d := range c.Lines {
		sum += d.Cost
	}
	a, z := sideOf(t, old, l).Priced, sideOf(t, now, l).Priced
	if sum != z.Material-a.Material || c.Cost != z.Total-a.Total {
		t.Errorf("the lines differ by %v, the material by %v; cost %v, totals %v", sum, z.Material-a.Material, c.Cost, z.Total-a.Total)
	}
	// The laundry's drain, and the pipe it now joins, are open work again; the sewer is not.
	var rough []string
	for _, in := range c.Inspect {
		if in.Phase == takeoff.RoughIn {
			rough = in.Runs
		}
		for _, r := range in.Runs {
			if r == "sewer" || r == "main wc" {
				t.Errorf("%v: %s did not change", in.Phase, r)
			}
		}
	}
	for _, want := range []string{"laundry tub", "washer", "kitchen", "hall vent"} {
		if !strings.Contains(strings.Join(rough, ","), want) {
			t.Errorf("%s is not to be seen again: %v", want, rough)
		}
	}
	// The other way round takes away what this way adds.
	back := price.Compare(sideOf(t, now, l), sideOf(t, old, l))
	if fmt.Sprint(back.Removed) != "[laundry tub]" || back.Cost != -c.Cost {
		t.Errorf("back: %v, %v against %v", back.Removed, back.Cost, c.Cost)
	}
	// Without a price for something that changes, the difference is not known.
	none := price.Compare(sideOf(t, old, nil), sideOf(t, now, nil))
	if none.Known || len(none.Missing) == 0 {
		t.Errorf("without prices the difference is known: %v", none.Cost)
	}
}

func TestBeside(t *testing.T) {
	b, err := os.ReadFile("../../examples/heron-lane.dwv.yaml")
	if err != nil {
		t.Fatal(err)
	}
	csv, _ := os.ReadFile("../../examples/prices.csv")
	l, _ := price.ReadCSV("prices.csv", csv)
	r := run(t, string(b))
	st, _ := shelf.Stock()
	var cols []price.Column
	for _, m := range []string{"pvc", "cast iron"} {
		cols = append(cols, price.Column{Name: m, Priced: price.Apply(r.Order(st, takeoff.Settings{Material: m}), l, price.Settings{})})
	}
	sums := make([]price.Money, 2)
	for _, g := range price.Beside(cols) {
		for k, c := range g.Cells {
			sums[k] += c.Cost
		}
	}
	for k, c := range cols {
		if sums[k] != c.Priced.Material {
			t.Errorf("%s: the headings sum to %v, the material is %v", c.Name, sums[k], c.Priced.Material)
		}
	}
}

func FuzzReadCSV(f *testing.F) {
	f.Add([]byte(list))
	f.Add([]byte("item;unit;price\n\"a\nb\";ea;1\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		l, ds := price.ReadCSV("f", text)
		for _, d := range ds {
			if d.Message == "" || d.At.IsZero() {
				t.Errorf("%+v", d)
			}
		}
		if l != nil {
			for _, it := range l.Items {
				if it.Price < 0 {
					t.Errorf("%+v", it)
				}
			}
		}
	})
}
