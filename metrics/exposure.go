package metrics

import (
	"math"
	"sort"
)

// exposure estimates the exposure time from the ball's streaks, which are its
// speed times the exposure; 0 when there are too few.
func exposure(flights []BallFlight) float64 {
	var v []float64
	for _, f := range flights {
		for _, half := range [][]Sample{f.In, f.Out} {
			for i := 1; i < len(half); i++ {
				a, b := half[i-1], half[i]
				speed := math.Hypot(b.XPx-a.XPx, b.YPx-a.YPx) / (b.TimeS - a.TimeS)
				if speed > 0 {
					v = append(v, b.StreakPx/speed)
				}
			}
		}
	}
	if len(v) < 5 {
		return 0
	}
	sort.Float64s(v)
	return v[len(v)/2]
}
