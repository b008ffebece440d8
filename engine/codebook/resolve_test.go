package codebook

import "testing"

func TestResolveWords(t *testing.T) {
	l, ds := ReadLibrary([]File{{Name: "a.yaml", Text: []byte("book: glen-30\nkind: model code\ntitle: Glen code\n")}})
	if len(ds) > 0 && l == nil {
		t.Fatal(ds)
	}
	for name, want := range map[string]string{
		"glen-30": "glen-30", "GLEN-30": "glen-30", "Glen 30": "glen-30", "30 glen": "glen-30", "a.yaml": "glen-30", "glen_30": "glen-30",
		"glen-31": "", "glen": "", "": "", "-": "",
	} {
		if got, ok := l.Resolve(name); got != want || ok != (want != "") {
			t.Errorf("%q: %q %v, want %q", name, got, ok, want)
		}
	}
}
