package yamlread

import "strings"

// Nearest returns the known word that is closest to word by single-character changes
// (one swap of neighbours counts as one), or "" when none is close: at most a third of
// the word's length may differ, three changes at most; for one letter nothing is close.
// Upper and lower case are the same here. Among equals the first in known wins, so the order of known decides.
func Nearest(word string, known []string) string {
	w := []rune(strings.ToLower(word))
	if len(w) < 2 || len(w) > maxWord {
		return ""
	}
	limit := min(3, max(1, len(w)/3))
	best, bestAt := limit+1, -1
	for i, k := range known {
		kr := []rune(strings.ToLower(k))
		if d := len(kr) - len(w); d >= best || -d >= best {
			continue
		}
		if d := distance(w, kr, best); d < best {
			best, bestAt = d, i
		}
	}
	if bestAt >= 0 {
		return known[bestAt]
	}
	// A word cut short or spelled out: "flood" for "flood rim", when only one fits.
	if len(w) >= 3 {
		lw := string(w)
		for i, k := range known {
			lk := strings.ToLower(k)
			if strings.HasPrefix(lk, lw) || strings.HasPrefix(lw, lk) && len(lk) >= 3 {
				if bestAt >= 0 {
					return ""
				}
				bestAt = i
			}
		}
		if bestAt >= 0 {
			return known[bestAt]
		}
	}
	return ""
}

// distance is the number of insertions, deletions, replacements and swaps of neighbours
// between a and b; cap or more when it is not less than cap.
func distance(a, b []rune, most int) int {
	prev2 := make([]int, len(b)+1)
	prev := make([]int, len(b)+1)
	cur := make([]int, len(b)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(a); i++ {
		cur[0] = i
		low := i
		for j := 1; j <= len(b); j++ {
			d := prev[j-1]
			if a[i-1] != b[j-1] {
				d++
			}
			d = min(d, prev[j]+1, cur[j-1]+1)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d = min(d, prev2[j-2]+1)
			}
			cur[j] = d
			low = min(low, d)
		}
		if low >= most {
			return most
		}
		prev2, prev, cur = prev, cur, prev2
	}
	return prev[len(b)]
}
