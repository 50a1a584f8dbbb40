package change

import (
	"fmt"
	"slices"
	"strings"

	"ashline/metrics/catalogue"
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

// Choose returns the metrics that the words choose, in the order of metrics.json. A
// word is a metric's path (plane.attack_deg), its last part (attack_deg), or a group
// (plane, zone.near). No words choose everything.
func Choose(words []string) ([]catalogue.Metric, error) {
	var chosen [catalogue.NumMetrics]bool
	for _, w := range words {
		found := false
		for m := range catalogue.NumMetrics {
			if slices.Contains(handles(m.Path()), w) {
				chosen[m], found = true, true
			}
		}
		if !found {
			var all []string
			for _, p := range catalogue.Paths() {
				all = append(all, handles(p)...)
			}
			return nil, &UnknownError{Word: w, Nearest: spell.Nearest(w, all)}
		}
	}
	var out []catalogue.Metric
	for m := range catalogue.NumMetrics {
		if chosen[m] || len(words) == 0 {
			out = append(out, m)
		}
	}
	return out, nil
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
