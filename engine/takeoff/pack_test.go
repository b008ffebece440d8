package takeoff

import (
	"fmt"
	"math/bits"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"trapweir/engine/unit"
)

const (
	in = unit.Inch
	ft = unit.Foot
)

func pieces(lengths ...unit.Length) []Cut {
	var out []Cut
	for i, l := range lengths {
		out = append(out, Cut{Length: l, Size: unit.Size(2 * in), Material: "pvc", Run: fmt.Sprint("run ", i)})
	}
	return out
}

func sold(lengths ...unit.Length) []Stock {
	var out []Stock
	for _, l := range lengths {
		out = append(out, Stock{Length: l, Size: unit.Size(2 * in), Material: "pvc"})
	}
	return out
}

// wellCut says what is wrong with a plan for cuts that all fit, or "". It adds up by
// itself what the saw takes.
func wellCut(g *Group, cuts []Cut, stock []Stock, kerf unit.Length) string {
	seen := map[Cut]int{}
	var bought, cut unit.Length
	for i, b := range g.Bars {
		if len(b.Cuts) == 0 {
			return fmt.Sprintf("bar %d holds nothing", i)
		}
		if !slices.ContainsFunc(stock, func(s Stock) bool { return s.Length == b.Stock }) {
			return fmt.Sprintf("bar %d is %v, which is not sold", i, b.Stock)
		}
		at := unit.Length(0)
		for j, c := range b.Cuts {
			if j > 0 {
				at += kerf
				if c.Length > b.Cuts[j-1].Length {
					return fmt.Sprintf("bar %d: a longer piece comes after a shorter one", i)
				}
			}
			at += c.Length
			seen[c]++
			cut += c.Length
		}
		if at > b.Stock {
			return fmt.Sprintf("bar %d of %v would have to be %v long", i, b.Stock, at)
		}
		if want := max(b.Stock-at-kerf, 0); b.Offcut != want {
			return fmt.Sprintf("bar %d leaves %v, says %v", i, want, b.Offcut)
		}
		bought += b.Stock
	}
	for _, c := range cuts {
		if seen[c]--; seen[c] < 0 {
			return fmt.Sprintf("piece %v is missing", c)
		}
	}
	for c, n := range seen {
		if n != 0 {
			return fmt.Sprintf("piece %v is cut once too often", c)
		}
	}
	switch {
	case bought != g.Bought || cut != g.Cut:
		return fmt.Sprintf("bought %v and cut %v, says %v and %v", bought, cut, g.Bought, g.Cut)
	case g.Bound > g.Bought:
		return fmt.Sprintf("the bound %v is above what is bought, %v", g.Bound, g.Bought)
	case g.Least != (g.Gap() == 0):
		return "a plan that is the least has a gap, or the other way round"
	}
	return ""
}

// leastByTrying finds the least length by trying every way to part the pieces into bars:
// the subset that holds the lowest piece, then the best of the rest.
func leastByTrying(cuts []Cut, stock []Stock, kerf unit.Length) unit.Length {
	n := len(cuts)
	price := make([]unit.Length, 1<<n) // one bar for this subset; 0 where none is long enough
	for set := 1; set < 1<<n; set++ {
		need := -kerf
		for i := range n {
			if set>>i&1 == 1 {
				need += cuts[i].Length + kerf
			}
		}
		for _, s := range stock {
			if s.Length >= need && (price[set] == 0 || s.Length < price[set]) {
				price[set] = s.Length
			}
		}
	}
	best := make([]unit.Length, 1<<n)
	for set := 1; set < 1<<n; set++ {
		lowest := 1 << bits.TrailingZeros(uint(set))
		best[set] = -1
		for sub := set; sub > 0; sub = (sub - 1) & set {
			if sub&lowest == 0 || price[sub] == 0 {
				continue
			}
			if v := price[sub] + best[set&^sub]; best[set] < 0 || v < best[set] {
				best[set] = v
			}
		}
	}
	return best[1<<n-1]
}

func TestPackIsLeastOnSmallCases(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stockLengths := rapid.SliceOfNDistinct(rapid.Int64Range(6, 24), 1, 3, rapid.ID[int64]).Draw(t, "stock")
		longest := slices.Max(stockLengths)
		lengths := rapid.SliceOfN(rapid.Int64Range(1, longest), 1, 9).Draw(t, "cuts")
		kerf := unit.Length(rapid.Int64Range(0, 2).Draw(t, "kerf"))
		var cuts []Cut
		for i, l := range lengths {
			cuts = append(cuts, Cut{unit.Length(l), 1, "m", fmt.Sprint(i)})
		}
		var stock []Stock
		for _, l := range stockLengths {
			stock = append(stock, Stock{unit.Length(l), 1, "m"})
		}
		plan := Pack(cuts, stock, kerf)
		if len(plan.Groups) != 1 || len(plan.Left) != 0 {
			t.Fatalf("%d groups, left %v", len(plan.Groups), plan.Left)
		}
		g := &plan.Groups[0]
		if says := wellCut(g, cuts, stock, kerf); says != "" {
			t.Fatal(says)
		}
		want := leastByTrying(cuts, stock, kerf)
		if g.Bought != want || !g.Least {
			t.Fatalf("bought %d (least %v), every way tried: %d", g.Bought, g.Least, want)
		}
		if g.Bound > want {
			t.Fatalf("the bound %d is above the least %d", g.Bound, want)
		}
	})
}

// The bound and the quick ways hold by themselves, with no search to help.
func TestPackWithoutSearch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lengths := rapid.SliceOfN(rapid.Int64Range(1, 20), 1, 9).Draw(t, "cuts")
		stockLengths := []int64{20}
		if rapid.Bool().Draw(t, "two lengths") {
			stockLengths = []int64{rapid.Int64Range(5, 19).Draw(t, "shorter"), 20}
		}
		var cuts []Cut
		for i, l := range lengths {
			cuts = append(cuts, Cut{unit.Length(l), 1, "m", fmt.Sprint(i)})
		}
		var stock []Stock
		for _, l := range stockLengths {
			stock = append(stock, Stock{unit.Length(l), 1, "m"})
		}
		g := packGroup(cuts, stockLengths, 1, 1)
		if says := wellCut(&g, cuts, stock, 1); says != "" {
			t.Fatal(says)
		}
		want := leastByTrying(cuts, stock, 1)
		if g.Bound > want || g.Bought < want || g.Least && g.Bought != want {
			t.Fatalf("bound %d, least %d, bought %d (said to be least: %v)", g.Bound, want, g.Bought, g.Least)
		}
	})
}

// The bound as its authors define it, threshold by threshold.
func TestBoundIsL2(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		room := rapid.Int64Range(1, 40).Draw(t, "room")
		all := rapid.SliceOfN(rapid.Int64Range(1, room), 0, 30).Draw(t, "pieces")
		var want int64
		for a := int64(0); 2*a <= room; a++ {
			var n1, n2, sum2, sum3 int64
			for _, w := range all {
				switch {
				case w > room-a:
					n1++
				case 2*w > room:
					n2++
					sum2 += w
				case w >= a:
					sum3 += w
				}
			}
			need := n1 + n2
			if over := sum3 - (n2*room - sum2); over > 0 {
				need += (over + room - 1) / room
			}
			want = max(want, need)
		}
		slices.Sort(all)
		slices.Reverse(all)
		var c cutter
		for i, w := range all {
			if i == 0 || w != all[i-1] {
				c.piece, c.left = append(c.piece, w), append(c.left, 0)
			}
			c.left[len(c.left)-1]++
		}
		if got := c.barsNeeded(room); got != want {
			t.Fatalf("L2 of %v in %d: %d, want %d", all, room, got, want)
		}
	})
}

func TestPackLarge(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{40, 120, 600} {
		for _, stock := range [][]Stock{sold(10 * ft), sold(10*ft, 20*ft)} {
			var cuts []Cut
			for i := range n {
				cuts = append(cuts, Cut{unit.Length(4+rng.IntN(110)) * in, unit.Size(2 * in), "pvc", fmt.Sprint(i)})
			}
			kerf := in / 8
			plan := Pack(cuts, stock, kerf)
			g := &plan.Groups[0]
			if says := wellCut(g, cuts, stock, kerf); says != "" {
				t.Errorf("%d pieces, %d stock lengths: %s", n, len(stock), says)
			}
			// First fit by falling length needs at most 11/9 of the least number of bars
			// and 6/9 of one (Dosa 2007); L2 is at least 2/3 of the least number
			// (Martello and Toth 1990). Both from memory.
			if len(stock) == 1 && float64(g.Bought) > 11.0/9*1.5*float64(g.Bound)+6.0/9*float64(10*ft) {
				t.Errorf("%d pieces: bought %v, bound %v: worse than first fit can be", n, g.Bought, g.Bound)
			}
			if g.Gap() > 20*ft {
				t.Errorf("%d pieces, %d stock lengths: the gap is %v of %v", n, len(stock), g.Gap(), g.Bought)
			}
			again := Pack(cuts, stock, kerf)
			if fmt.Sprint(again) != fmt.Sprint(plan) {
				t.Errorf("%d pieces: a second plan differs from the first", n)
			}
		}
	}
}

// The example of rolls of paper cut from rolls of 5600 mm, in the encyclopedia article
// "Cutting stock problem" (Wikipedia): 73 rolls are the least, 0.401 % is lost. From memory.
func TestPackPublishedRolls(t *testing.T) {
	demand := []struct{ width, n int }{
		{1380, 22},
		{1520, 25},
		{1560, 12},
		{1710, 14},
		{1820, 18},
		{1880, 18},
		{1930, 20},
		{2000, 10},
		{2050, 12},
		{2100, 14},
		{2140, 16},
		{2150, 18},
		{2200, 20},
	}
	var cuts []Cut
	for _, d := range demand {
		for range d.n {
			cuts = append(cuts, Cut{unit.Length(d.width) * unit.Millimetre, 1, "paper", ""})
		}
	}
	plan := Pack(cuts, []Stock{{5600 * unit.Millimetre, 1, "paper"}}, 0)
	g := &plan.Groups[0]
	if len(g.Bars) != 73 || g.Bound != 73*5600*unit.Millimetre || !g.Least {
		t.Errorf("%d rolls, bound %v, least %v; printed: 73", len(g.Bars), g.Bound/(5600*unit.Millimetre), g.Least)
	}
	if lost := float64(g.Bought-g.Cut) / float64(g.Bought) * 100; lost < 0.4005 || lost > 0.4015 {
		t.Errorf("%.3f %% lost; printed: 0.401 %%", lost)
	}
}

func TestPackKnown(t *testing.T) {
	tests := []struct {
		name   string
		cuts   []Cut
		stock  []Stock
		kerf   unit.Length
		bars   int
		bound  unit.Length
		offcut []unit.Length
		from   string
	}{
		{"two halves with no saw", pieces(5*ft, 5*ft), sold(10 * ft), 0, 1, 10 * ft, nil, "5 + 5 = 10"},
		{"two halves with a saw", pieces(5*ft, 5*ft), sold(10 * ft), in / 8, 2, 20 * ft, []unit.Length{59*in + 7*in/8, 59*in + 7*in/8}, "5 + 1/8 in + 5 is over 10 ft; 5 ft less one cut is left of each"},
		{"the saw takes the rest", pieces(9*ft + 11*in + 15*in/16), sold(10 * ft), in / 8, 1, 10 * ft, nil, "1/16 in is left, the saw is 1/8 in wide"},
		{"whole lengths are not cut", pieces(10*ft, 10*ft), sold(10 * ft), in / 8, 2, 20 * ft, nil, "no saw cut"},
		{"where first fit takes a third", pieces(5*ft, 4*ft, 4*ft, 3*ft, 2*ft, 2*ft), sold(10 * ft), 0, 2, 20 * ft, nil, "4 4 2 and 5 3 2; first fit: 5 4, 4 3 2, 2"},
		{"longer than half stand alone", pieces(6*ft, 6*ft, 6*ft), sold(10 * ft), 0, 3, 30 * ft, []unit.Length{4 * ft, 4 * ft, 4 * ft}, "L2 counts them; the sum alone would say 2 bars"},
		{"the shorter length where it is enough", pieces(9*ft, 18*ft), sold(20*ft, 10*ft), 0, 2, 30 * ft, []unit.Length{2 * ft, ft}, "10 + 20"},
	}
	for _, tt := range tests {
		plan := Pack(tt.cuts, tt.stock, tt.kerf)
		g := &plan.Groups[0]
		if says := wellCut(g, tt.cuts, tt.stock, tt.kerf); says != "" {
			t.Errorf("%s: %s", tt.name, says)
		}
		if len(g.Bars) != tt.bars || g.Bound != tt.bound || !g.Least || !slices.Equal(g.Offcuts(), tt.offcut) {
			t.Errorf("%s: %d bars, bound %v, least %v, offcuts %v; want %d, %v and %v (%s)", tt.name, len(g.Bars), g.Bound, g.Least, g.Offcuts(), tt.bars, tt.bound, tt.offcut, tt.from)
		}
	}
}

func TestPackSortsApartAndLeavesOver(t *testing.T) {
	size := func(n unit.Length) unit.Size { return unit.Size(n * in) }
	cuts := []Cut{
		{3 * ft, size(3), "pvc", "main"},
		{3 * ft, size(2), "pvc", "kitchen"},
		{3 * ft, size(2), "abs", "laundry"},
		{52 * ft, size(3), "pvc", "sewer"},
		{0, size(3), "pvc", "not measured"},
		{1 * ft, size(4), "pvc", "bend"},
		{3 * ft, size(2), "pvc", "bar sink"},
	}
	stock := []Stock{{10 * ft, size(2), "pvc"}, {10 * ft, size(3), "pvc"}, {20 * ft, size(3), "pvc"}, {10 * ft, size(2), "abs"}, {-1, size(4), "pvc"}}
	plan := Pack(cuts, stock, -1)
	var got []string
	for _, g := range plan.Groups {
		for _, b := range g.Bars {
			line := fmt.Sprintf("%s %d: %d", g.Material, g.Size/unit.Size(in), b.Stock/ft)
			for _, c := range b.Cuts {
				line += " " + c.Run
			}
			got = append(got, line)
		}
	}
	for _, l := range plan.Left {
		got = append(got, l.Cut.Run+": "+l.Why.String())
	}
	want := []string{
		"abs 2: 10 laundry",
		"pvc 2: 10 kitchen bar sink",
		"pvc 3: 10 main",
		"sewer: longer than any stock length",
		"not measured: length not known",
		"bend: no stock length of this size and material",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	if p := Pack(nil, stock, 0); len(p.Groups) != 0 || len(p.Left) != 0 {
		t.Errorf("nothing to cut gives %v", p)
	}
}

func BenchmarkPackHouse(b *testing.B) {
	rng := rand.New(rand.NewPCG(3, 4))
	var cuts []Cut
	for range 80 {
		cuts = append(cuts, Cut{unit.Length(6+rng.IntN(90)) * in, unit.Size(2 * in), "pvc", ""})
	}
	stock := sold(10*ft, 20*ft)
	for b.Loop() {
		Pack(cuts, stock, in/8)
	}
}
