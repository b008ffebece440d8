package load

import (
	"slices"
	"strconv"
	"strings"

	"trapweir/engine/catalog"
	"trapweir/engine/codebook"
	"trapweir/engine/diag"
	"trapweir/engine/source"
)

// assumed gathers the fixtures of a kind for which the same thing was taken because the job
// does not say it, so that it is asked for once.
type assumed struct {
	asks []ask
	at   map[assumption]int // in asks
}

type assumption struct {
	kind     *catalog.Kind
	what     string
	question string
}

type ask struct {
	row   *codebook.FixtureRow
	names []string // the first few, in order
	more  int
	on    diag.Ref // the first by name
	at    source.Span
}

func (a *assumed) add(k *catalog.Kind, row *codebook.FixtureRow, name string, on diag.Ref, at source.Span) {
	key := assumption{k, row.Assumed, row.Ask}
	if i, ok := a.at[key]; ok {
		x := &a.asks[i]
		if name < x.names[0] {
			x.on, x.at = on, at
		}
		j, _ := slices.BinarySearch(x.names, name)
		x.names = slices.Insert(x.names, j, name)
		if len(x.names) > most {
			x.names = x.names[:most]
			x.more++
		}
		return
	}
	if a.at == nil {
		a.at = map[assumption]int{}
	}
	a.at[key] = len(a.asks)
	a.asks = append(a.asks, ask{row: row, names: []string{name}, on: on, at: at})
}

// questions words what was taken, naming at most four fixtures each.
func (a *assumed) questions() []diag.Diagnostic {
	var out []diag.Diagnostic
	for i := range a.asks {
		x := &a.asks[i]
		q := x.row.Ask
		if len(x.names) > 1 {
			q = "for each of them: " + q
		}
		out = append(out, diag.Diagnostic{
			Severity: diag.Unchecked, Rule: "fixture-load", On: x.on, At: x.at,
			Message: list(x.names, x.more) + ": " + x.row.Assumed, Ask: q, Cites: cites(x.row.Cite),
		})
	}
	return out
}

// most is how many fixtures are named at once.
const most = 4

// list joins names, and how many more there are.
func list(names []string, more int) string {
	last := len(names) - 1
	switch {
	case more > 0:
		return strings.Join(names, ", ") + " and " + strconv.Itoa(more) + " more"
	case last == 0:
		return names[0]
	default:
		return strings.Join(names[:last], ", ") + " and " + names[last]
	}
}
