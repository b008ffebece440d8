package web

import (
	"slices"
	"strings"
	"testing"
)

const someSVG = `<svg viewBox="0 0 9 9"><title>T</title>
<style>
.a > .b{stroke:red}
</style>
<rect class="page"/>
<g id="a"><g><path d="M0 0"/></g><title>a &gt; b</title></g>
<text x="1" data-id="a > b">one</text>
<rect class="page"/>
<line id="c"/>
</svg>
`

// whole is what the page makes of what it is sent.
func whole(p Parts, base []string) []string {
	if p.Order == nil {
		return p.Fresh
	}
	var out []string
	next := 0
	for _, k := range p.Order {
		if k < 0 {
			out = append(out, p.Fresh[next])
			next++
		} else {
			out = append(out, base[k])
		}
	}
	return out
}

func TestDrawingsComeApart(t *testing.T) {
	p := apart([]byte(someSVG))
	want := []string{`<rect class="page"/>`, `<g id="a"><g><path d="M0 0"/></g><title>a &gt; b</title></g>`, `<text x="1" data-id="a > b">one</text>`, `<rect class="page"/>`, `<line id="c"/>`}
	if !slices.Equal(p.Fresh, want) || !strings.HasSuffix(p.Head, "</style>") {
		t.Fatalf("head %q, parts %q", p.Head, p.Fresh)
	}
	for _, bad := range []string{"", "<svg>", "<svg><style></style><g></svg>", "<svg><style></style></g></svg>", `<svg><style></style><g id="</svg>`, "<style></style>"} {
		if got := apart([]byte(bad)); got.Head != bad || len(got.Fresh) != 0 {
			t.Errorf("%q comes apart into %q", bad, got.Fresh)
		}
	}
}

// What differs, put over what the page has, is the drawing again; a page that has none, or
// one that the server has forgotten, gets all of it.
func TestOnlyWhatDiffersIsSent(t *testing.T) {
	s := New(Options{Folder: t.TempDir()})
	t.Cleanup(s.Close)
	first := s.drawn(apart([]byte(someSVG)), "")
	if first.Base != "" || first.Order != nil || len(first.Fresh) != 5 {
		t.Fatalf("the first: %+v", first)
	}
	for _, change := range []func(string) string{
		func(s string) string { return s },
		func(s string) string { return strings.Replace(s, ">one<", ">two<", 1) },
		func(s string) string { return strings.Replace(s, "<line id=\"c\"/>\n", "", 1) },
		func(s string) string { return strings.Replace(s, "<rect class=\"page\"/>\n", "", 1) },
		func(s string) string {
			return strings.Replace(s, "<line id=\"c\"/>", "<rect class=\"page\"/><line id=\"c\"/><line id=\"c\"/>", 1)
		},
	} {
		next := apart([]byte(change(someSVG)))
		sent := s.drawn(next, first.Key)
		if got := whole(sent, first.Fresh); sent.Base != first.Key || !slices.Equal(got, next.Fresh) {
			t.Errorf("%q over the first gives %q, want %q", sent.Fresh, got, next.Fresh)
		}
		if len(sent.Fresh) > 3 {
			t.Errorf("%d elements are sent", len(sent.Fresh))
		}
	}
	if other := s.drawn(apart([]byte(strings.Replace(someSVG, "0 0 9 9", "0 0 8 8", 1))), first.Key); other.Base != "" || len(other.Fresh) != 5 {
		t.Errorf("another paper: %+v", other)
	}
	if lost := s.drawn(apart([]byte(someSVG)), "ffff"); lost.Base != "" || len(lost.Fresh) != 5 {
		t.Errorf("a drawing that nobody knows: %+v", lost)
	}
	for i := range 20 {
		s.drawn(apart([]byte(strings.Replace(someSVG, ">one<", ">"+strings.Repeat("x", i)+"<", 1))), "")
	}
	if len(s.sent) != drawnKept {
		t.Errorf("%d drawings are kept", len(s.sent))
	}
}
