package job

import (
	"strings"

	"trapweir/engine/unit"
)

var placeWords = []string{"upper end", "end of arm", "top of drop", "foot", "lower end"}

const placeHelp = "write a length from the upper end (9'), upper end, end of arm, top of drop, foot, lower end, or after NAME"

// ParsePlace reads where on a pipe something is: 9', upper end, end of arm, top of drop,
// foot, lower end, after NAME. try is what to write instead when found is not empty.
func ParsePlace(s string) (p Place, found, try string) {
	p, bad := parsePlace(s)
	return p, bad.found, bad.try
}

func parsePlace(s string) (Place, slip) {
	s = strings.TrimSpace(s)
	if s == "" {
		return Place{}, slip{"is empty", placeHelp}
	}
	if !letter(s[0]) {
		v, err := unit.ParseLength(s)
		if err != nil {
			found, try := unitFault(err)
			return Place{}, slip{"is not a place: " + found, try}
		}
		if v < 0 {
			return Place{}, slip{"is a length below zero", "count from the upper end, with the flow"}
		}
		return Place{Kind: AtLength, Len: v}, slip{}
	}
	if len(s) >= 5 && strings.EqualFold(s[:5], "after") && (len(s) == 5 || s[5] == ' ' || s[5] == '\t') {
		name := strings.TrimSpace(s[5:])
		if name == "" {
			return Place{}, slip{"says after and no name", "write after NAME, the run that joins above"}
		}
		return Place{Kind: AfterName, Name: name}, slip{}
	}
	switch match(s, placeWords) {
	case "upper end":
		return Place{Kind: UpperEnd}, slip{}
	case "end of arm":
		return Place{Kind: EndOfArm}, slip{}
	case "top of drop":
		return Place{Kind: TopOfDrop}, slip{}
	case "foot":
		return Place{Kind: FootOfDrop}, slip{}
	case "lower end":
		return Place{Kind: LowerEnd}, slip{}
	}
	try := placeHelp
	if near := nearest(s, placeWords); near != "" {
		try = "did you mean " + near + "?"
	}
	return Place{}, slip{"is not a place", try}
}

// String gives the place as it is written in a job, "" when it was not said.
func (p Place) String() string { return p.In(unit.FeetInches) }

// In is String with a length in the given system.
func (p Place) In(sys unit.System) string {
	switch p.Kind {
	case AtLength:
		return p.Len.In(sys)
	case UpperEnd:
		return "upper end"
	case EndOfArm:
		return "end of arm"
	case TopOfDrop:
		return "top of drop"
	case FootOfDrop:
		return "foot"
	case LowerEnd:
		return "lower end"
	case AfterName:
		return "after " + p.Name
	}
	return ""
}
