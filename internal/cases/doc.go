// Package cases runs practice cases and worked examples through the engine and counts how
// much of what they expect comes out: findings with the right number at the right pipe,
// rules that keep silent where they must, sizes, questions and inverts.
//
// The cases are jobs in testdata, with what they expect in expect.yaml beside them. The
// package knows no rule and no code: it compares words and numbers.
package cases
