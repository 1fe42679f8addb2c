package scenarios

import "strings"

// nearest returns the candidate closest to word, or "" when none is close
// enough to be a likely slip. Of equals the first wins.
func nearest(word string, candidates []string) string {
	best, bestDistance := "", slips(word)+1
	for _, candidate := range candidates {
		if d := distance(strings.ToLower(word), strings.ToLower(candidate)); d < bestDistance {
			best, bestDistance = candidate, d
		}
	}
	return best
}

// slips is how many slips of the finger a word of this length may hold. Raise
// it and short words get absurd suggestions.
func slips(word string) int {
	switch n := len([]rune(word)); {
	case n <= 3:
		return min(n-1, 1)
	case n <= 5:
		return 2
	default:
		return min(n/3+1, 4)
	}
}

// maxNearestLength bounds the quadratic work on long words.
const maxNearestLength = 64

// distance is the number of insertions, deletions, substitutions and swaps of
// neighbours that turn a into b (optimal string alignment, the restricted
// Damerau-Levenshtein distance).
func distance(a, b string) int {
	s, t := []rune(a), []rune(b)
	if len(s) > maxNearestLength || len(t) > maxNearestLength {
		return maxNearestLength
	}
	before, previous, row := make([]int, len(t)+1), make([]int, len(t)+1), make([]int, len(t)+1)
	for j := range previous {
		previous[j] = j
	}
	for i := range s {
		row[0] = i + 1
		for j := range t {
			cost := 1
			if s[i] == t[j] {
				cost = 0
			}
			row[j+1] = min(previous[j]+cost, previous[j+1]+1, row[j]+1)
			if i > 0 && j > 0 && s[i] == t[j-1] && s[i-1] == t[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, previous, row = previous, row, before
	}
	return previous[len(t)]
}
