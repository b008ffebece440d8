package report

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"trapweir/engine"
	"trapweir/engine/catalog"
	"trapweir/engine/diag"
	"trapweir/engine/job"
	"trapweir/engine/network"
	"trapweir/engine/source"
)

// readings lists every written quantity and fixture word, and how it was understood: of a
// word, the kind that it names.
func readings(r *engine.Result) []job.Reading {
	out := job.Echo(r.Job)
	if r.Net == nil {
		return out
	}
	named := map[source.Span]string{}
	zip := func(words []job.Word, kinds []*catalog.Kind) {
		if len(words) != len(kinds) {
			return // one of them is the fixture itself, or counts with it
		}
		for i, k := range kinds {
			named[words[i].At] = k.Name
		}
	}
	for i := range r.Net.Fixtures {
		f := &r.Net.Fixtures[i]
		zip([]job.Word{f.Def.Kind}, []*catalog.Kind{f.Kind})
		zip(f.Def.Serves, f.Beside)
	}
	for i := range r.Net.Runs {
		kinds := r.Net.Runs[i].Carried
		for _, w := range r.Net.Runs[i].Def.Carries.Fixtures {
			n, _ := network.Counted(w.Text)
			if n > len(kinds) {
				break
			}
			named[w.At] = kinds[0].Name
			if n > 1 {
				named[w.At] += fmt.Sprintf(", %d of them", n)
			}
			kinds = kinds[n:]
		}
	}
	for i := range out {
		if out[i].What == "kind" && named[out[i].At] != "" {
			out[i].Read = named[out[i].At]
		}
	}
	slices.SortStableFunc(out, func(a, b job.Reading) int {
		return cmp.Or(cmp.Compare(a.At.Line, b.At.Line), cmp.Compare(a.At.Col, b.At.Col))
	})
	return out
}

// Readings prints how everything was read that is written with a number, and every
// fixture, so that a wrong reading is seen.
func Readings(w io.Writer, r *engine.Result) {
	heading(w, r)
	t := newTable(">Line", "Of", "Written", "Read as")
	for _, x := range readings(r) {
		on := x.On.Name
		if on == "" {
			on = x.On.What.String()
		}
		if x.On.What == diag.Level {
			on = "level " + on
		}
		t.add(fmt.Sprint(x.At.Line), on, strings.Join(strings.Fields(x.Text), " "), x.Read)
	}
	t.write(w)
	fmt.Fprintln(w)
	caution(w)
}
