package shelf

import (
	"slices"
	"testing"

	"trapweir/engine/codebook"
	"trapweir/engine/diag"
)

// A job brings along the books that it names and what those lie over, and no others.
func TestForReadsWhatAJobNames(t *testing.T) {
	for _, tt := range []struct {
		job  string
		code string
		want []string
	}{
		{"job: x\n", "", []string{Default()}},
		{"job: x\ncode: irc-2018   # the county's\nwith: [marlow-county, our-shop]\n", "", []string{"irc-2018", "irc-2021", "marlow-county", "our-shop"}},
		{"job: x\ncode: irc-2018\nwith:\n  - marlow-county\n  - our-shop # ours\n", "", []string{"irc-2018", "irc-2021", "marlow-county", "our-shop"}},
		{"job: x\ncode: irc-2018\n", "upc-2021", []string{"upc-2021"}},
		{"job: x\ncode: irc-2018\nwith: [marlow-county,\n  our-shop]\n", "", []string{"irc-2018", "irc-2021", "marlow-county", "our-shop"}},
		{"job: x\ncode: irc-2018\nwith:\n# ours\n- marlow-county\n\n- our-shop\n", "", []string{"irc-2018", "irc-2021", "marlow-county", "our-shop"}},
		{"job: x\n\"code\": irc-2018\n", "", []string{"irc-2018", "irc-2021"}},
		{"\ufeffcode: irc-2018\njob: x\n", "", []string{"irc-2018", "irc-2021"}},
		{"job: x\ncode : irc-2018\n", "", []string{"irc-2018", "irc-2021"}},
		{"job: x\ncode:\n  irc-2018\n", "", []string{"irc-2018", "irc-2021"}},
		{"job: x\r\ncode: irc-2018\r\nwith: [\"marlow-county\"]\r\n", "", []string{"irc-2018", "irc-2021", "marlow-county"}},
		{"job: x\ncode: irc-2018\nruns:\n  code: {joins: with}\n  with: {joins: outlet}\n", "", []string{"irc-2018", "irc-2021"}},
		{"{job: x, code: irc-2018}\n", "", []string{"irc-2018", "irc-2021"}},
	} {
		d, ds := For([]byte(tt.job), tt.code)
		if diag.Count(ds, diag.Error) > 0 {
			t.Errorf("%q: %s", tt.job, ds[0].Message)
			continue
		}
		if got := d.Books.IDs(); !slices.Equal(got, tt.want) {
			t.Errorf("%q reads %v, want %v", tt.job, got, tt.want)
		}
	}
}

// A name that is not on the shelf is not swallowed: everything is read, so that the engine
// can say what there is.
func TestForAnUnknownBook(t *testing.T) {
	d, _ := For([]byte("job: x\ncode: irc-1066\n"), "")
	if !slices.Contains(d.Books.IDs(), Default()) || len(d.Books.IDs()) < 10 {
		t.Errorf("only %v", d.Books.IDs())
	}
}

// A layer of the user's own takes part.
func TestExtraLayers(t *testing.T) {
	own := codebook.File{Name: "own.yaml", Text: []byte("layer: own\nkind: shop practice\ntitle: own\namends: any\nparams:\n  building-drain.min-size: {value: 4 in, at: mine}\n")}
	d, ds := For([]byte("job: x\ncode: irc-2021\nwith: own\n"), "", own)
	if diag.Count(ds, diag.Error) > 0 {
		t.Fatal(ds[0].Message)
	}
	b, ds := d.Books.Book("irc-2021", []string{"own"})
	if diag.Count(ds, diag.Error) > 0 {
		t.Fatal(ds[0].Message)
	}
	if p := b.Param("building-drain.min-size"); p.Cite == nil || p.Cite.Book != "own" {
		t.Errorf("the layer does not speak: %+v", p)
	}
}

// All reads the whole shelf without a fault, and every id can be opened.
func TestAll(t *testing.T) {
	d, ds := All()
	if diag.Count(ds, diag.Error) > 0 {
		t.Fatal(ds[0].Message)
	}
	if !slices.Equal(d.Books.IDs(), sorted(IDs())) {
		t.Errorf("the library has %v, the shelf %v", d.Books.IDs(), IDs())
	}
	for _, id := range Compared() {
		if _, ds := d.Books.Book(id, nil); diag.Count(ds, diag.Error) > 0 {
			t.Errorf("%s: %s", id, ds[0].Message)
		}
	}
}

func sorted(s []string) []string {
	out := slices.Clone(s)
	slices.Sort(out)
	return out
}
