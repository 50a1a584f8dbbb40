package change

import (
	"fmt"
	"slices"
	"strings"
)

// UnknownError occurs when a word names neither a metric nor a group of metrics.
// It is normal: names are typed by hand.
type UnknownError struct {
	Word    string
	Nearest string // the name or group that is spelt most like it
}

func (e *UnknownError) Error() string {
	return fmt.Sprintf("change: %q is no metric and no group of metrics; nearest is %q", e.Word, e.Nearest)
}

// Choose returns the names that the words choose, in the order of Names. A word
// is a metric's whole name (plane.attack_deg), its last part (attack_deg), or a
// group (plane, zone.near). No words choose everything.
func Choose(words []string) ([]string, error) {
	names := Names()
	if len(words) == 0 {
		return names, nil
	}
	chosen := map[string]bool{}
	for _, w := range words {
		found := false
		for _, n := range names {
			if slices.Contains(handles(n), w) {
				chosen[n], found = true, true
			}
		}
		if !found {
			return nil, &UnknownError{Word: w, Nearest: nearest(w, names)}
		}
	}
	return slices.DeleteFunc(names, func(n string) bool { return !chosen[n] }), nil
}

// handles are the words that choose a name: its groups, its last part, itself.
func handles(name string) []string {
	var out []string
	for i, r := range name {
		if r == '.' {
			out = append(out, name[:i])
		}
	}
	return append(out, name[strings.LastIndex(name, ".")+1:], name)
}

// nearest is the handle in which the word is found with the fewest slips; of
// equals the shortest, then the first.
func nearest(word string, names []string) string {
	word = strings.ToLower(word)
	best, least := "", len(word)+1
	for _, n := range names {
		for _, h := range handles(n) {
			d := slips(word, h)
			if d < least || d == least && len(h) < len(best) {
				best, least = h, d
			}
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
