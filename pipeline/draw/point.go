package draw

import "math"

// Point is a place in the upright picture, px; pixel centres are at integers.
type Point struct{ X, Y float64 }

// far bounds coordinates, px: beyond it a shape's form no longer matters, and
// no sum below can overflow.
const far = 1e7

func bounded(v float64) float64 { return min(max(v, -far), far) }

func finite(points ...Point) bool {
	for _, p := range points {
		if math.IsNaN(p.X) || math.IsNaN(p.Y) {
			return false
		}
	}
	return true
}
