package web

import (
	"strings"
	"testing"

	"trapweir/engine/diag"
	"trapweir/engine/job"
)

// Everything that the file can say can be said on the page: each key of the schema, at
// whatever depth, has a form, and what the form offers is what the reader of jobs takes. A
// key that was added to the format without one fails here.
func TestEveryKeyIsTaken(t *testing.T) {
	const base = `job: Words (invented)
code: irc-2021
levels:
  first: {floor: 0'}
  second: {floor: 9' 1"}
outlet: {to: public sewer}
walls:
  south wall: {from: sink, legs: S 2'}
runs:
  main: {joins: outlet, legs: [E 20']}
  bare: {joins: main}
  sink: {joins: main, legs: [S 6'], fixture: kitchen sink}
  pot: {joins: main, legs: [S 6'], fixture: water closet}
  both: {joins: main, legs: [S 6'], fixture: lavatory, serves: [lavatory, lavatory]}
  bored: {joins: main, legs: [S 6'], through: {joists: 1}}
vents:
  sink vent: {from: sink, ends: air admittance valve}
  pot vent: {from: pot, legs: [up 10'], ends: sink vent}
  tall: {from: both, ends: through roof}
`
	samples := map[string]string{
		"length": `6"`, "height": "1'", "size": "3", "slope": quarter, "flow": "2 gpm", "volume": "1.28 gal", "temperature": "10 F", "load": "3", "flag": "yes",
		"place": "upper end", "leg": "S 2'", "legs": "S 2'", "degrees": "45",
	}
	// Words that only their own key has.
	named := map[string]string{
		"from": "main", "joins": "main", "fixture": "shower", "code": "irc-2021", "with": "marlow-county", "level": "first", "ends": "capped", "joists": "2x10",
		"studs": "2x4", "under": "crawl space", "bend": "4x3", "units": "3", "serves": "lavatory", "turn": "long", "carries": "13 units", "stories": "2",
		"runs, carries, water closets": "2", "runs, through, joists": "2", "runs, through, studs": "2", "runs, through, top plate": "1", "runs, through, sole plate": "1",
		"runs, through, footing": "1", "runs, through, slab edge": "1", "bends": "90", "heads": "2", "outlets": "2", "bowls": "2", "north": "up", "unit": "A",
	}
	faultless := func(edits ...job.Edit) (string, bool) {
		text, said := job.Apply([]byte(base), edits)
		if diag.Count(said, diag.Error) > 0 {
			return said[0].Message, false
		}
		_, ds := job.Read("words", text)
		if diag.Count(ds, diag.Error) > 0 {
			return ds[0].Message + "\n" + string(text), false
		}
		return "", true
	}
	if why, ok := faultless(); !ok {
		t.Fatal(why)
	}
	n := 0
	var try func(homes [][]string, k Key, under string)
	try = func(homes [][]string, k Key, under string) {
		t.Helper()
		values := append([]string{}, k.Words...)
		if k.Open || len(values) == 0 {
			switch v, ok := samples[k.Takes]; {
			case named[under+k.Name] != "":
				values = append(values, named[under+k.Name])
			case named[k.Name] != "":
				values = append(values, named[k.Name])
			case ok:
				values = append(values, v)
			case k.Takes == "text" || k.Takes == "texts":
				values = append(values, "free words")
			}
		}
		if k.Takes == "keys" && !k.Open {
			values = nil
		}
		if len(values) == 0 && len(k.Keys) == 0 {
			t.Errorf("%s%s takes %q, which no form knows", under, k.Name, k.Takes)
		}
		for _, v := range values {
			n++
			why := ""
			taken := false
			for _, h := range homes {
				path := append(append([]string{}, h...), k.Name)
				es := []job.Edit{job.Set(v, path...)}
				if k.Takes == "words" || k.Takes == "texts" || k.Takes == "legs" {
					es = []job.Edit{job.SetList([]string{v}, path...)}
				}
				var ok bool
				if why, ok = faultless(es...); ok {
					taken = true
					break
				}
			}
			if !taken {
				t.Errorf("%s%s: %q is offered and not taken: %s", under, k.Name, v, why)
			}
		}
		for _, part := range k.Keys {
			var inside [][]string
			for _, h := range homes {
				inside = append(inside, append(append([]string{}, h...), k.Name))
			}
			try(inside, part, under+k.Name+", ")
		}
	}
	f := forms()
	for _, k := range f.Top {
		try([][]string{nil}, k, "")
	}
	for heading, keys := range map[string][]Key{"levels": f.Levels, "runs": f.Runs, "vents": f.Vents, "walls": f.Walls} {
		homes := map[string][]string{
			"levels": {"first", "second"}, "walls": {"south wall"}, "runs": {"main", "bare", "sink", "pot", "both", "bored"}, "vents": {"sink vent", "pot vent", "tall"},
		}[heading]
		var at [][]string
		for _, h := range homes {
			at = append(at, []string{heading, h})
		}
		if len(keys) == 0 {
			t.Errorf("%s has no forms", heading)
		}
		for _, k := range keys {
			if strings.TrimSpace(k.Say) == "" {
				t.Errorf("%s, %s says nothing of itself", heading, k.Name)
			}
			try(at, k, heading+", ")
		}
	}
	if n < 300 {
		t.Errorf("only %d values were tried", n)
	}
}
