package job

import (
	"strings"

	"trapweir/engine/unit"
	"trapweir/engine/yamlread"
)

// The closed lists of words. Spelling counts, capitals, blanks and hyphens do not;
// what is kept is the word as it stands here.
var (
	loadsWords     = []string{"each fixture", "groups"}
	unitsWords     = []string{"ft-in", "metric"}
	occupancyWords = []string{"one-family", "two-family", "apartments", "public", "assembly"}
	materialWords  = []string{"pvc", "abs", "cast iron", "copper", "galvanized steel", "clay", "lead", "brass"}
	northWords     = []string{"up", "right", "down", "left"}
	joistWords     = []string{"i-joist", "truss"}
	acrossWords    = []string{"E-W", "N-S", "W-E", "S-N"}
	underWords     = []string{"crawl space", "basement", "slab"}
	liesWords      = []string{"level", "upright"}
	runRoleWords   = []string{"trap arm", "fixture drain", "branch", "building drain branch", "stack", "stack offset", "building drain", "building sewer", "pump discharge"}
	ventRoleWords  = []string{"stack vent", "vent stack", "individual", "common", "relief", "circuit", "branch vent", "loop"}
	whereWords     = []string{"under ground", "under slab", "crawl space", "basement", "joists", "wall", "outside", "exterior wall"}
	fittingWords   = []string{"wye", "combo", "sanitary tee", "sanitary tee on its back", "sanitary tee flat", "double sanitary tee", "double fixture fitting", "double wye", "double combo", "side inlet", "wye rolled 45", "wye flat", "combo rolled 45", "combo flat", "upright wye", "upright combo", "vent tee", "tee", "test tee", "saddle"}
	turnWords      = []string{"short 90", "long sweep 90", "vent 90", "two 45s", "45", "60", "22.5", "closet bend", "heel inlet 90", "side inlet 90"}
	ventedWords    = []string{"combination", "waste stack", "circuit", "elsewhere", "none"}
	cleanoutWords  = []string{"two-way", "one-way", "wall", "floor", "test tee", "plug"}
	reachWords     = []string{"accessible", "concealed"}
	deviceWords    = []string{"backwater valve", "check valve", "full-open valve", "interceptor", "grease interceptor", "sand interceptor", "oil interceptor", "primer", "trap seal device", "relief valve", "building trap", "fresh air inlet"}
	throughWords   = []string{"joists", "studs", "top plate", "sole plate", "footing", "slab edge"}
	cutWords       = []string{"hole", "notch", "notch at the end", "notch in the middle third"}
	jointWords     = []string{"shielded coupling", "unshielded sleeve", "caulked", "compression gasket", "threaded", "adapter", "transition cement"}
	useWords       = []string{"private", "public", "assembly"}
	trapTypeWords  = []string{"p", "s", "drum", "bell", "running", "none", "integral"}
	endWords       = []string{"through roof", "side wall", "air admittance valve", "capped"}
	risesWords     = []string{"above centre line", "level", "rolled 45"}
	valveKindWords = []string{"branch", "stack"}
	coverWords     = []string{"gastight", "open", "vented"}
)

// match returns the word of the list that s stands for, "" if there is none.
func match(s string, list []string) string {
	for _, w := range list {
		if s == w {
			return w
		}
	}
	for _, w := range list {
		if strings.EqualFold(s, w) {
			return w
		}
	}
	s = closedUp.Replace(s)
	for _, w := range list {
		if isClosedUp(s, w) {
			return w
		}
	}
	return ""
}

// isClosedUp reports whether s is the word w written together.
func isClosedUp(s, w string) bool {
	for w != "" {
		part, rest := w, ""
		if i := strings.IndexAny(w, " -"); i >= 0 {
			part, rest = w[:i], w[i+1:]
		}
		if len(s) < len(part) || !strings.EqualFold(s[:len(part)], part) {
			return false
		}
		s, w = s[len(part):], rest
	}
	return s == ""
}

// closedUp: underground, crawl-space and two way are the same words as under ground, crawl
// space and two-way; books and plumbers write them either way.
var closedUp = strings.NewReplacer(" ", "", "\t", "", "\n", "", "-", "")

func nearest(s string, list []string) string { return yamlread.Nearest(s, list) }

// quoted puts a word from the file between quotes that it does not hold itself.
func quoted(s string) string {
	s = yamlread.Short(s)
	if strings.Contains(s, `"`) {
		return "`" + s + "`"
	}
	return `"` + s + `"`
}

// oneOf joins words for advice.
func oneOf(list []string) string {
	if len(list) == 1 {
		return list[0]
	}
	return strings.Join(list[:len(list)-1], ", ") + " or " + list[len(list)-1]
}

// unitFault turns what package unit says into what was found and what to write.
func unitFault(err error) (found, try string) {
	e, ok := err.(*unit.Error)
	if !ok {
		return err.Error(), ""
	}
	said := *e
	said.Write = ""
	if e.Write != "" {
		try = "write " + e.Write
	}
	return said.Error(), try
}

// tenths prints tenths of a degree: 45, 22.5.
func tenths(v int16) string {
	s := itoa(int(v) / 10)
	if r := int(v) % 10; r != 0 {
		s += "." + itoa(r)
	}
	return s
}
