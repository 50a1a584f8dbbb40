package change

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"ashline/metrics"
)

// chance is the note on many metrics at once.
const chance = "of metrics that did not change, about one in twenty reads as real by chance"

// traits are what two groups should have in common. An unlike one is noted, not
// refused: the coach may have meant it.
var traits = []struct {
	name string
	of   func(metrics.Result) string
}{
	{"hitter", func(r metrics.Result) string { return cmp.Or(r.Card.Hitter, "not given") }},
	{"bats", bats},
	{"camera side", func(r metrics.Result) string { return cmp.Or(r.Card.Camera.Side, "open") }},
	{"ball", func(r metrics.Result) string { return cmp.Or(r.Card.Pitch.Ball, "baseball") }},
	{"limits of zone and solid contact", func(r metrics.Result) string {
		return fmt.Sprintf("%.3g° and %.3g m, %.3g m", r.Card.DirectionDeg(), r.Card.DistanceM(), r.Card.SolidM())
	}},
	{"depth", func(r metrics.Result) string { return r.Quality.Frame }},
	{"program", func(r metrics.Result) string { return r.Program }},
}

func kind(r metrics.Result) string { return cmp.Or(r.Card.Kind, "live") }

func bats(r metrics.Result) string { return cmp.Or(r.Card.Bats, "right") }

// distinct lists a trait's values over a group, in the alphabet's order.
func distinct(group []metrics.Result, of func(metrics.Result) string) []string {
	var out []string
	for _, r := range group {
		out = append(out, of(r))
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// unlike gives a trait's values on either side; same is true when all have one
// value.
func unlike(before, after []metrics.Result, of func(metrics.Result) string) (a, b string, same bool) {
	x, y := distinct(before, of), distinct(after, of)
	return list(x), list(y), len(x) == 1 && slices.Equal(x, y)
}

// list writes the first few of many values.
func list(values []string) string {
	const most = 5
	if over := len(values) - most; over > 0 {
		return fmt.Sprintf("%s and %d more", strings.Join(values[:most], ", "), over)
	}
	return strings.Join(values, ", ")
}

// notes says what the groups do not have in common.
func notes(before, after []metrics.Result) []string {
	out := []string{}
	if a, b, same := unlike(before, after, kind); !same {
		out = append(out, fmt.Sprintf("kind is unlike: before %s; after %s; a difference may be the kind's", a, b))
	}
	for _, t := range traits {
		if a, b, same := unlike(before, after, t.of); !same {
			out = append(out, fmt.Sprintf("%s is unlike: before %s; after %s", t.name, a, b))
		}
	}
	for _, r := range after {
		same := func(x metrics.Result) bool { return x.Clip.SHA256 != "" && x.Clip.SHA256 == r.Clip.SHA256 }
		if slices.ContainsFunc(before, same) {
			out = append(out, fmt.Sprintf("clip %.12s is on both sides", r.Clip.SHA256))
		}
	}
	return out
}

// group describes a side.
func group(results []metrics.Result) Group {
	g := Group{Clips: []Clip{}}
	for _, r := range results {
		g.Swings += len(r.Swings)
		g.Clips = append(g.Clips, Clip{
			SHA256: r.Clip.SHA256, Hitter: r.Card.Hitter, Session: r.Card.Session, Label: r.Card.Label,
			Kind: kind(r), Bats: bats(r), Swings: len(r.Swings),
		})
	}
	return g
}
