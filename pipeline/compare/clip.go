package compare

import (
	"ashline/metrics"
	"ashline/metrics/finding"
	"ashline/pipeline/footage"
	"ashline/pipeline/svg"
)

// Clip is a measured clip.
type Clip struct {
	footage.Footage
	Card  metrics.Card
	Rules finding.Set
	Study metrics.Study
}

// swing is the first swing of a clip that is known.
func (c Clip) swing() (int, bool) {
	for i, s := range c.Study.Swings {
		if s.Known && i < len(c.Study.Result.Swings) {
			return i, true
		}
	}
	return 0, false
}

// Sides name what came before and what came after.
var Sides = [2]string{"before", "after"}

// titleMost letters of a clip's name fit its panel.
const titleMost = 20

// titles are what the coach calls the two clips, by which they can be told apart.
func titles(clips [2]Clip) [2]string {
	var label, hitter [2]string
	for i, c := range clips {
		label[i], hitter[i] = svg.Short(c.Card.Label, titleMost), svg.Short(c.Card.Hitter, titleMost)
	}
	for _, t := range [][2]string{label, hitter} {
		if t[0] != "" && t[1] != "" && t[0] != t[1] {
			return t
		}
	}
	return Sides
}
