package catalog

import (
	"testing"

	"trapweir/engine/codebook"
)

func TestFindWithin(t *testing.T) {
	c, ds := Read([]codebook.File{{Name: "f.yaml", Text: []byte(`
kinds:
  lavatory: {also: [vanity, tub and shower], tag: L, symbol: x, trap: own}
  kitchen sink: {tag: K, symbol: x, trap: own}
  sink: {tag: S, symbol: x, trap: own}
`)}})
	if len(ds) > 0 {
		t.Fatal(ds)
	}
	for word, want := range map[string]string{
		"double vanity": "vanity", "island kitchen sink": "kitchen sink", "sink with a disposer": "sink", "vanitty": "vanity", "gargoyle": "", "": "",
	} {
		if k, near := c.Find(word); k != nil || near != want {
			t.Errorf("%q: %v, nearest %q, want %q", word, k, near, want)
		}
	}
	for _, word := range []string{"vanitys", "Vanities", "Lavatorys", "tub and showers", "Tub/Shower", "tub & shower", "tub-shower", "TUB AND SHOWER"} {
		if k, _ := c.Find(word); k == nil || k.Name != "lavatory" {
			t.Errorf("%q is not found", word)
		}
	}
}
