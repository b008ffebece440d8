// Package font holds the one type family of the drawings: Inter in two weights, under the
// SIL Open Font Licence 1.1 (see OFL.txt; the family reserves no name).
//
// Only writers that embed a font import it. Layout asks draw/textwidth, which knows the
// widths without the font files.
package font

import _ "embed"

// Family is the name to ask for where a font is named and not embedded.
const Family = "Inter"

// Regular is Inter at weight 400 as a TrueType file.
//
//go:embed Inter-Regular.ttf
var Regular []byte

// Bold is Inter at weight 700 as a TrueType file.
//
//go:embed Inter-Bold.ttf
var Bold []byte
