// Package rules holds the checks that need more than a table: one file a family, each rule
// with a stable id, one line of doc, its topic in the books, and examples in a file beside
// it. Its numbers come from the book.
package rules

import "trapweir/engine/check"

// All lists the rules in report order: what sizing and venting decide, then the checks.
var All = join(sized, vented, geometry, venting)

func join(lists ...[]*check.Rule) []*check.Rule {
	var out []*check.Rule
	for _, l := range lists {
		out = append(out, l...)
	}
	return out
}
