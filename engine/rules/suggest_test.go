package rules_test

import (
	"testing"

	"trapweir/engine"
	"trapweir/engine/diag"
)

// Fixtures on one pipe that could be a combination waste and vent are one piece of advice
// and one question, however many they are.
func TestCombinationOnce(t *testing.T) {
	const text = `job: example
code: ipc-2021
outlet: {to: public sewer}
runs:
  bd: {joins: outlet, role: building drain, size: 4, legs: [level 40'], slope: 1/8" per ft}
  p: {joins: bd, at: 10', size: 3, legs: [level 20'], slope: 1/8" per ft}
  f1: {joins: p, fixture: floor drain, primer: true, arm: [level 4'], slope: 1/4" per ft}
  f2: {joins: p, at: 5', fixture: floor drain, primer: true, arm: [level 4'], slope: 1/4" per ft}
  f3: {joins: p, at: 10', fixture: floor drain, primer: true, arm: [level 4'], slope: 1/4" per ft}
`
	notes, asks := 0, 0
	for _, f := range engine.Run(load(t), engine.Input{Name: "t.dwv.yaml", Text: []byte(text)}).Findings {
		switch {
		case f.Rule != "suggest-combination-waste-vent":
		case f.Severity == diag.Unchecked:
			asks++
		default:
			notes++
		}
	}
	if notes != 1 || asks != 1 {
		t.Errorf("%d notes and %d questions, want one of each", notes, asks)
	}
}
