package spell

import (
	"slices"
	"strings"
)

// Nearest is the name in which the word is found with the fewest slips; of equals
// the shortest, then the first in the alphabet. It is empty when nothing is known.
func Nearest(word string, known []string) string {
	word = strings.ToLower(word)
	best, least := "", -1
	for _, n := range known {
		d := slips(word, strings.ToLower(n))
		nearer := d < least || d == least && (len(n) < len(best) || len(n) == len(best) && n < best)
		if least < 0 || nearer {
			best, least = n, d
		}
	}
	return best
}

// slips is the least number of letters to change, add or drop so that the word
// is a part of the text (P. H. Sellers, J. Algorithms 1 (1980) 359, from memory).
func slips(word, text string) int {
	row := make([]int, len(text)+1) // the word may begin anywhere
	for i := 1; i <= len(word); i++ {
		diag := row[0]
		row[0] = i
		for j := 1; j <= len(text); j++ {
			cost := 1
			if word[i-1] == text[j-1] {
				cost = 0
			}
			diag, row[j] = row[j], min(row[j]+1, row[j-1]+1, diag+cost)
		}
	}
	return slices.Min(row)
}
