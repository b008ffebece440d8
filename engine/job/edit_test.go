package job

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"
	"pgregory.net/rapid"

	"trapweir/engine/diag"
)

// changed gives the lines that two texts do not share, in the manner of a diff.
func changed(a, b string) string {
	x, y := strings.SplitAfter(a, "\n"), strings.SplitAfter(b, "\n")
	for len(x) > 0 && len(y) > 0 && x[0] == y[0] {
		x, y = x[1:], y[1:]
	}
	for len(x) > 0 && len(y) > 0 && x[len(x)-1] == y[len(y)-1] {
		x, y = x[:len(x)-1], y[:len(y)-1]
	}
	out := ""
	for _, l := range x {
		if l != "" {
			out += "-" + l
		}
	}
	for _, l := range y {
		if l != "" {
			out += "+" + l
		}
	}
	return out
}

func TestEditsOfTheExample(t *testing.T) {
	doc := strings.TrimRight(string(docExample(t)), "\n") + "\n"
	for _, c := range []struct {
		edit Edit
		want string
	}{
		{
			Set("2%", "runs", "sewer", "slope"),
			"-  sewer:         {joins: outlet, legs: [E 52'], slope: 1/4\" per ft}\n+  sewer:         {joins: outlet, legs: [E 52'], slope: 2%}\n",
		},
		{
			Set("2", "runs", "kitchen", "size"),
			"-  kitchen:       {joins: main, fixture: kitchen sink}     # lengths not known yet\n+  kitchen:       {joins: main, fixture: kitchen sink, size: 2}     # lengths not known yet\n",
		},
		{
			Set("a, b: {c} #d", "runs", "kitchen", "note"),
			"-  kitchen:       {joins: main, fixture: kitchen sink}     # lengths not known yet\n+  kitchen:       {joins: main, fixture: kitchen sink, note: 'a, b: {c} #d'}     # lengths not known yet\n",
		},
		{
			Set("E 60'", "runs", "sewer", "legs", "0"),
			"-  sewer:         {joins: outlet, legs: [E 52'], slope: 1/4\" per ft}\n+  sewer:         {joins: outlet, legs: [E 60'], slope: 1/4\" per ft}\n",
		},
		{
			Append("down 2'", "runs", "main", "legs"),
			"-  main:          {joins: sewer, legs: [S 18' 6\"]}\n+  main:          {joins: sewer, legs: [S 18' 6\", down 2']}\n",
		},
		{
			SetList([]string{"N 4'", "down 8'"}, "runs", "kitchen", "legs"),
			"-  kitchen:       {joins: main, fixture: kitchen sink}     # lengths not known yet\n+  kitchen:       {joins: main, fixture: kitchen sink, legs: [N 4', down 8']}     # lengths not known yet\n",
		},
		{
			Remove("runs", "hall bath wc", "flush"),
			"-  hall bath wc:  {joins: stack, legs: [W 2' 3\"], fixture: water closet, flush: 1.28 gal, level: second}\n+  hall bath wc:  {joins: stack, legs: [W 2' 3\"], fixture: water closet, level: second}\n",
		},
		{
			Remove("runs", "kitchen"),
			"-  kitchen:       {joins: main, fixture: kitchen sink}     # lengths not known yet\n",
		},
		{
			Add("runs", "laundry", Field{Key: "joins", Value: "main"}, Field{Key: "legs", List: []string{"E 4'"}}, Field{Key: "fixture", Value: "washer"}),
			"+  laundry:       {joins: main, legs: [E 4'], fixture: washer}\n",
		},
		{
			Edit{Op: OpAdd, Path: []string{"runs", "a name that is longer"}, After: "sewer", Fields: []Field{{Key: "joins", Value: "sewer"}}},
			"+  a name that is longer: {joins: sewer}\n",
		},
		{
			Add("vents", "kitchen vent", Field{Key: "from", Value: "kitchen"}),
			"+  kitchen vent: {from: kitchen}\n",
		},
		{
			Add("levels", "loft", Field{Key: "floor", Value: `18'`}),
			"+  loft:   {floor: 18'}\n",
		},
		{
			Rename("runs", "kitchen", "bar"),
			"-  kitchen:       {joins: main, fixture: kitchen sink}     # lengths not known yet\n+  bar:           {joins: main, fixture: kitchen sink}     # lengths not known yet\n",
		},
		{
			Set("-9' 2\"", "outlet", "invert"),
			"-outlet: {to: public sewer, invert: -7' 2\"}\n+outlet: {to: public sewer, invert: -9' 2\"}\n",
		},
		{
			Set("yes", "site", "septic"),
			"+site: {septic: yes}\n",
		},
		{
			Set("6\"", "vents", "hall bath", "terminal", "above roof"),
			"-  hall bath: {from: hall bath lav, at: end of arm, legs: [up 12'], ends: through roof}\n+  hall bath: {from: hall bath lav, at: end of arm, legs: [up 12'], ends: through roof, terminal: {above roof: 6\"}}\n",
		},
		{Remove("with"), "-with: [marlow-county, our-shop]     # local amendments first, then shop practice\n"},
		{Remove("with", "0"), "-with: [marlow-county, our-shop]     # local amendments first, then shop practice\n+with: [our-shop]     # local amendments first, then shop practice\n"},
		{Set("ipc-2018", "code"), "-code: irc-2021\n+code: ipc-2018\n"},
		{Set("Heron Lane, new house", "job"), ""},
	} {
		for _, eol := range []string{"\n", "\r\n"} {
			in := strings.ReplaceAll(doc, "\n", eol)
			got, ds := Apply([]byte(in), []Edit{c.edit})
			if len(ds) > 0 {
				t.Errorf("%v: %s", c.edit, tell(ds))
			}
			want := strings.ReplaceAll(c.want, "\n", eol)
			if ch := changed(in, string(got)); ch != want {
				t.Errorf("%v\n got %q\nwant %q", c.edit, ch, want)
			}
			// The same where the last line lacks its line break.
			short := strings.TrimSuffix(in, eol)
			if got, _ := Apply([]byte(short), []Edit{c.edit}); changed(in, string(got)+eol) != want || strings.HasSuffix(string(got), eol) {
				t.Errorf("%v, last line without its break: %q", c.edit, changed(in, string(got)+eol))
			}
			if _, ds := Read("t", got); len(ds) > 0 {
				t.Errorf("%v leaves a job with faults:\n%s", c.edit, tell(ds))
			}
		}
	}
}

const blockJob = `job: block    # title
runs:
  # the stack
  stack:
    joins: outlet      # to the street
    legs:
      - S 18' 6"       # first
      - down 10' 4"

    # kept
    cleanouts:
      - at: foot
        type: two-way  # both ways
      - lower end
    note: |
      several lines
      of words

  lav: {joins: stack, at: after tub,
    legs: [E 4',   # along the wall
      down 2'],
    fixture: lavatory}
  tub: {joins: stack}
vents:
  v: {from: [lav, tub], ends: through roof}
  w:
    from: lav
    ends: v
    at:
`

func TestEditsOfBlockStyle(t *testing.T) {
	for _, c := range []struct {
		edit Edit
		want string
	}{
		{Set("main stack", "runs", "stack", "room"), "+    room: main stack\n"},
		{Set("one line", "runs", "stack", "note"), "-    note: |\n-      several lines\n-      of words\n+    note: one line\n"},
		{Set("a\nb", "runs", "stack", "note"), "-    note: |\n-      several lines\n-      of words\n+    note: \"a\\nb\"\n"},
		{Append("E 2'", "runs", "stack", "legs"), "+      - E 2'\n"},
		{Append("foot", "runs", "stack", "cleanouts"), "+      - foot\n"},
		{Set("down 9'", "runs", "stack", "legs", "1"), "-      - down 10' 4\"\n+      - down 9'\n"},
		{Remove("runs", "stack", "legs", "0"), "-      - S 18' 6\"       # first\n"},
		{SetList([]string{"E 1'"}, "runs", "stack", "legs"), "-    legs:\n-      - S 18' 6\"       # first\n-      - down 10' 4\"\n+    legs: [E 1']\n"},
		{Remove("runs", "stack", "cleanouts", "0", "at"), "-      - at: foot\n-        type: two-way  # both ways\n+      - type: two-way  # both ways\n"},
		{Remove("runs", "stack", "note"), "-    note: |\n-      several lines\n-      of words\n"},
		{Set("E 5'", "runs", "lav", "legs", "0"), "-    legs: [E 4',   # along the wall\n+    legs: [E 5',   # along the wall\n"},
		{Set("3", "runs", "lav", "size"), "-    fixture: lavatory}\n+    fixture: lavatory, size: 3}\n"},
		{Remove("runs", "lav", "fixture"), "-      down 2'],\n-    fixture: lavatory}\n+      down 2']}\n"},
		{Rename("runs", "tub", "big tub"), "-  lav: {joins: stack, at: after tub,\n-    legs: [E 4',   # along the wall\n-      down 2'],\n-    fixture: lavatory}\n-  tub: {joins: stack}\n-vents:\n-  v: {from: [lav, tub], ends: through roof}\n" +
			"+  lav: {joins: stack, at: after big tub,\n+    legs: [E 4',   # along the wall\n+      down 2'],\n+    fixture: lavatory}\n+  big tub: {joins: stack}\n+vents:\n+  v: {from: [lav, big tub], ends: through roof}\n"},
		{Rename("vents", "v", "v, 2"), "-  v: {from: [lav, tub], ends: through roof}\n-  w:\n-    from: lav\n-    ends: v\n+  v, 2: {from: [lav, tub], ends: through roof}\n+  w:\n+    from: lav\n+    ends: v, 2\n"},
		{Set("3'", "vents", "w", "at"), "-    at:\n+    at: 3'\n"},
		{Set("2", "vents", "w", "size"), "+    size: 2\n"},
		{Remove("vents", "w", "at"), "-    at:\n"},
		{Append("tub", "vents", "w", "from"), "-    from: lav\n+    from: [lav, tub]\n"},
		{Remove("runs", "stack"), "-  stack:\n-    joins: outlet      # to the street\n-    legs:\n-      - S 18' 6\"       # first\n-      - down 10' 4\"\n-\n-    # kept\n-    cleanouts:\n-      - at: foot\n-        type: two-way  # both ways\n-      - lower end\n-    note: |\n-      several lines\n-      of words\n"},
	} {
		got, ds := Apply([]byte(blockJob), []Edit{c.edit})
		if len(ds) > 0 {
			t.Errorf("%v: %s", c.edit, tell(ds))
		}
		if ch := changed(blockJob, string(got)); ch != c.want {
			t.Errorf("%v\n got %s\nwant %s", c.edit, ch, c.want)
		}
	}
}

func TestEditsThatCannotBeMade(t *testing.T) {
	for _, e := range []Edit{
		{},
		{Op: "paint", Path: []string{"job"}},
		Set("1"), Set("1", ""), Set("x", "job", "title"), Set("E 1'", "runs", "stack", "legs", "7"),
		Remove("runs", "nobody"), Remove("runs", "stack", "size"), Rename("runs", "nobody", "x"), Rename("runs", "tub", "lav"), Rename("runs", "tub", "v"),
		Rename("runs", "tub", "outlet"), Rename("runs", "tub", ""), Rename("runs", "tub", " x"), Rename("vents", "v", "capped"), Rename("sheet", "a", "b"),
		Add("runs", "tub"), Add("vents", "lav"), Add("runs", "through roof"), Add("outlet", "x"), Add("runs", "x", Field{Key: ""}), Append("x", "runs", "stack"),
		{Op: OpAdd, Path: []string{"runs", "x"}, After: "nobody"},
		Add("runs", "x", Field{Key: "size"}, Field{Key: "size"}),
	} {
		got, ds := Apply([]byte(blockJob), []Edit{e})
		if string(got) != blockJob || len(ds) != 1 || ds[0].Severity != diag.Error || ds[0].Rule != RuleFile {
			t.Errorf("%+v: %s%s", e, changed(blockJob, string(got)), tell(ds))
		}
	}
	for _, s := range []string{"a: {", "- a\n", "job: &x t\n", "word"} {
		if got, ds := Apply([]byte(s), []Edit{Set("u", "job")}); string(got) != s || len(ds) != 1 {
			t.Errorf("%q becomes %q %s", s, got, tell(ds))
		}
	}
}

func TestEditsMakeAJobFromNothing(t *testing.T) {
	edits := []Edit{
		Set("Heron Lane, invented", "job"), Set("irc-2021", "code"),
		Add("runs", "sewer", Field{Key: "joins", Value: "outlet"}),
		Add("runs", "kitchen", Field{Key: "joins", Value: "sewer"}, Field{Key: "fixture", Value: "kitchen sink"}),
		Add("vents", "kitchen vent", Field{Key: "from", Value: "kitchen"}),
		Set("9' 1\"", "levels", "second", "floor"),
	}
	want := "job: Heron Lane, invented\ncode: irc-2021\nruns:\n  sewer: {joins: outlet}\n  kitchen: {joins: sewer, fixture: kitchen sink}\nvents:\n  kitchen vent: {from: kitchen}\nlevels:\n  second: {floor: 9' 1\"}\n"
	for _, s := range []string{"{}\n", "job:\n"} {
		got, ds := Apply([]byte(s), edits)
		if diag.Count(ds, diag.Error) > 0 {
			t.Fatal(tell(ds))
		}
		if s == "job:\n" && string(got) != want {
			t.Errorf("made\n%s\nwant\n%s", got, want)
		}
		if _, ds := Read("t", got); len(ds) > 0 {
			t.Errorf("%s\n%s", got, tell(ds))
		}
	}
}

// What a patch cannot do is written anew, and said.
func TestFallsBackAndSaysSo(t *testing.T) {
	in := "job: t\nruns:\n  a: {joins: outlet}  # one\n  b:\n    joins: a\n    through:\n      ? joists\n      : 2\n  # two\n  c: {joins: a}\n"
	got, ds := Apply([]byte(in), []Edit{Remove("runs", "b", "through", "joists")})
	if len(ds) > 1 || !strings.Contains(string(got), "# one") || !strings.Contains(string(got), "# two") {
		t.Errorf("%s%s", got, tell(ds))
	}
	in = "job: t\nruns: {? a : {joins: outlet}, b: {joins: a, turn: [x: y]}}\n"
	got, ds = Apply([]byte(in), []Edit{Append("z", "runs", "b", "turn")})
	if diag.Count(ds, diag.Error) != 0 || !strings.Contains(string(got), "z") {
		t.Errorf("%s%s", got, tell(ds))
	}
}

func TestQuote(t *testing.T) {
	for _, s := range []string{
		"", " ", "a", "a b", " a", "a ", "~", "null", "true", "1-1/2", "9' 2-1/2\"", "-7' 2\"", "- a", "-", "?", "? a", ":", ":a", "a:", "a: b", "a :b", "a #b", "#a", "a#b", "a, b", "[a]", "{a}", "a]", "!a", "&a", "*a",
		"|", ">", "'a'", "it's", "\"a\"", "%a", "@a", "`a", "a\nb", "a\tb", "\n", "é ½", "\u00a0", "\u0085", "\u2028", "\ufeff", "---", "--- a", "...", "<<", "=", "0x1", "1:50", "a?b", "\x07", "\\", "a\\nb", "-a", "-,", "a:,",
	} {
		for _, flow := range []bool{false, true} {
			text := "k: " + Quote(s, flow) + "\n"
			if flow {
				text = "k: [x, {y: " + Quote(s, flow) + "}]\n"
			}
			var n yaml.Node
			if err := yaml.Load([]byte(text), &n); err != nil {
				t.Errorf("%q is written %s: %v", s, text, err)
				continue
			}
			v := n.Content[0].Content[1]
			if flow {
				v = v.Content[1].Content[1]
			}
			if v.Value != s || s != "" && empty(v) {
				t.Errorf("%q is written %s and reads %q", s, text, v.Value)
			}
			// As a key.
			if s != "" {
				text := Quote(s, false) + ": {" + Quote(s, true) + ": 1}\n"
				if err := yaml.Load([]byte(text), &n); err != nil || n.Content[0].Content[0].Value != s || n.Content[0].Content[1].Content[0].Value != s {
					t.Errorf("%q as a key is written %s: %v", s, text, err)
				}
			}
		}
	}
}

// plainTree is what a text says, without the editor's help.
func plainTree(t *rapid.T, b []byte) map[string]any {
	var n yaml.Node
	if err := yaml.Load(b, &n); err != nil {
		t.Fatalf("%v in\n%s", err, b)
	}
	m, _ := treeOf(n.Content[0]).(map[string]any)
	return m
}

func treeOf(n *yaml.Node) any {
	switch n.Kind {
	case yaml.MappingNode:
		m := map[string]any{}
		for i := 0; i+1 < len(n.Content); i += 2 {
			m[n.Content[i].Value] = treeOf(n.Content[i+1])
		}
		return m
	case yaml.SequenceNode:
		l := []any{}
		for _, c := range n.Content {
			l = append(l, treeOf(c))
		}
		return l
	}
	return n.Value
}

// drawJob makes a job in mixed styles, with a comment of its own on every line.
func drawJob(t *rapid.T) (text string, names []string) {
	var b strings.Builder
	notes := 0
	note := func() string {
		notes++
		return fmt.Sprintf("  # c%d", notes)
	}
	b.WriteString("job: t" + note() + "\nruns:" + note() + "\n")
	for i := range rapid.IntRange(1, 5).Draw(t, "runs") {
		name := fmt.Sprintf("run %d", i)
		joins := "outlet"
		if i > 0 {
			joins = names[rapid.IntRange(0, i-1).Draw(t, "joins")]
		}
		names = append(names, name)
		legs := rapid.SliceOfN(rapid.SampledFrom([]string{"E 4'", "down 8' 6\"", "N45E 3'"}), 1, 3).Draw(t, "legs")
		if rapid.Bool().Draw(t, "flow") {
			b.WriteString("  " + name + ": " + strings.Repeat(" ", rapid.IntRange(0, 3).Draw(t, "blanks")) + "{joins: " + joins + ", legs: [" + strings.Join(legs, ", ") + "], size: 3}" + note() + "\n")
			continue
		}
		b.WriteString("  " + name + ":" + note() + "\n    joins: '" + joins + "'" + note() + "\n    legs:" + note() + "\n")
		dash := rapid.SampledFrom([]string{"    - ", "      - "}).Draw(t, "dash")
		for _, l := range legs {
			b.WriteString(dash + l + note() + "\n")
		}
		b.WriteString("    size: \"3\"" + note() + "\n")
		if rapid.Bool().Draw(t, "gap") {
			b.WriteString("\n  " + note() + "\n")
		}
	}
	return b.String(), names
}

func TestEditsDoWhatIsMeantAndNothingElse(t *testing.T) {
	values := rapid.OneOf(rapid.SampledFrom([]string{"2", "1-1/2\"", "a, b", "it's", "x: y", "- z", "#", "{", "null", "a\nb"}), rapid.StringN(1, 12, -1))
	rapid.Check(t, func(t *rapid.T) {
		text, names := drawJob(t)
		if rapid.Bool().Draw(t, "crlf") {
			text = strings.ReplaceAll(text, "\n", "\r\n")
		}
		if rapid.Bool().Draw(t, "no last break") {
			text = strings.TrimRight(text, "\r\n")
		}
		name := rapid.SampledFrom(names).Draw(t, "name")
		want := plainTree(t, []byte(text))
		runs := want["runs"].(map[string]any)
		run := runs[name].(map[string]any)
		v := strings.ToValidUTF8(values.Draw(t, "value"), "")
		if v == "" {
			v = "x"
		}
		var e Edit
		gone := 0 // comments that may go with what is removed
		switch rapid.IntRange(0, 7).Draw(t, "edit") {
		case 0:
			e = Set(v, "runs", name, "size")
			run["size"] = v
		case 1:
			e = Set(v, "runs", name, "note")
			run["note"] = v
		case 2:
			e = Remove("runs", name, "size")
			delete(run, "size")
			gone = 1
		case 3:
			e = Append(v, "runs", name, "legs")
			run["legs"] = append(run["legs"].([]any), v)
		case 4:
			e = Set(v, "runs", name, "legs", "0")
			run["legs"].([]any)[0] = v
		case 5:
			e = Add("runs", "fresh", Field{Key: "joins", Value: name}, Field{Key: "note", Value: v})
			runs["fresh"] = map[string]any{"joins": name, "note": v}
		case 6:
			e = Remove("runs", name)
			delete(runs, name)
			gone = 20
		case 7:
			v = strings.TrimSpace(strings.Map(func(r rune) rune {
				if r == '\n' || r == '\r' || r == '\t' {
					return -1
				}
				return r
			}, v)) + "!"
			e = Rename("runs", name, v)
			delete(runs, name)
			runs[v] = run
			for _, r := range runs {
				if r := r.(map[string]any); r["joins"] == name {
					r["joins"] = v
				}
			}
		}
		got, ds := Apply([]byte(text), []Edit{e})
		if len(ds) > 0 {
			t.Fatalf("%+v\n%s\n%s%s", e, text, got, tell(ds))
		}
		if tree := plainTree(t, got); !reflect.DeepEqual(tree, want) {
			t.Fatalf("%+v\n%s\n%s\n got %v\nwant %v", e, text, got, tree, want)
		}
		lost := 0
		for i := 1; strings.Contains(text, fmt.Sprintf("# c%d", i)); i++ {
			if !strings.Contains(string(got), fmt.Sprintf("# c%d", i)) {
				lost++
			}
		}
		if lost > gone {
			t.Fatalf("%d comments are lost, %+v\n%s\n%s", lost, e, text, got)
		}
		if strings.Contains(text, "\r\n") && strings.Count(string(got), "\n") != strings.Count(string(got), "\r\n") {
			t.Fatalf("line breaks are mixed: %q", got)
		}
	})
}

func FuzzApply(f *testing.F) {
	for _, c := range accepted(f) {
		f.Add([]byte(c.text), uint8(0), "a", "size", "3")
	}
	for op := range uint8(6) {
		f.Add([]byte(blockJob), op, "stack", "legs", "E 4'")
		f.Add(docExample(f), op, "main", "note", "a: b")
	}
	f.Fuzz(func(t *testing.T, b []byte, op uint8, name, key, value string) {
		edits := []Edit{
			Set(value, "runs", name, key), Remove("runs", name, key), Append(value, "runs", name, key), Rename("runs", name, value),
			Add("runs", name, Field{Key: key, Value: value}), Remove("runs", name),
		}
		got, ds := Apply(b, edits[op%6:op%6+1])
		if len(b) > 1<<16 {
			return
		}
		if diag.Count(ds, diag.Error) > 0 {
			if string(got) != string(b) {
				t.Fatalf("refused and changed: %q becomes %q", b, got)
			}
			return
		}
		if _, bad := parse("t", got); bad != nil {
			t.Fatalf("%q becomes %q, which is not YAML: %s", b, got, bad.Message)
		}
	})
}

func BenchmarkApply(b *testing.B) {
	text := house()
	b.ReportAllocs()
	for b.Loop() {
		if _, ds := Apply(text, []Edit{Set("4", "runs", "main", "size")}); len(ds) > 0 {
			b.Fatal(tell(ds))
		}
	}
}

// A wall gets another name at its place; nothing else names it, and it takes none that
// another wall has.
func TestRenameWall(t *testing.T) {
	const text = "job: t\nwalls:\n  south: {from: a, legs: S 2'}  # the long one\n  west: {from: south, legs: W 2'}\nruns:\n  a: {joins: outlet}\n  south: {joins: a}\n"
	got, said := Apply([]byte(text), []Edit{Rename("walls", "south", "street side")})
	if want := strings.Replace(text, "  south: {from: a", "  street side: {from: a", 1); string(got) != want || len(said) > 0 {
		t.Errorf("%v\n%s\nwant\n%s", said, got, want)
	}
	if _, said := Apply([]byte(text), []Edit{Rename("walls", "south", "west")}); len(said) == 0 {
		t.Error("two walls got one name")
	}
}
