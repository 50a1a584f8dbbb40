package change

import (
	"fmt"
	"slices"
	"strings"

	"ashline/metrics/spell"
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
			var all []string
			for _, n := range names {
				all = append(all, handles(n)...)
			}
			return nil, &UnknownError{Word: w, Nearest: spell.Nearest(w, all)}
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
