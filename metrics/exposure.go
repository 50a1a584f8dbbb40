package metrics

import (
	"math"

	"ashline/metrics/fit"
)

// exposure estimates the exposure time from the streaks of pitches, which are
// their speed times the exposure, with its s.d.; 0 when there are too few. A hit
// ball is used where no pitch was seen: it may fly towards the camera.
func exposure(flights []BallFlight) (s, sd float64) {
	var in, out streaks
	for _, f := range flights {
		in.add(f.In)
		out.add(f.Out)
	}
	if len(in.timeS) < streaksLeast {
		in = out
	}
	if len(in.timeS) < streaksLeast {
		return 0, 0
	}
	s = fit.Median(in.timeS)
	off := make([]float64, len(in.timeS))
	for i, x := range in.timeS {
		off[i] = math.Abs(x - s)
	}
	// A normal scatter's s.d. is 1.48 of its median deviation, and its median is
	// known a quarter worse than its mean.
	scatter := 1.48 * 1.25 * fit.Median(off) / math.Sqrt(float64(len(off)))
	long := fit.Median(in.longPx)
	px := math.Hypot(math.Hypot(streakBlurPx2/(2*long), toneShare*long), ballShare*fit.Median(in.ballPx))
	return s, math.Hypot(scatter, s*px/long)
}

// streaks are the lengths and breadths of streaks and the exposures that they tell.
type streaks struct{ longPx, ballPx, timeS []float64 }

// add takes one flight; the ball's speed is that between a frame's neighbours.
func (k *streaks) add(s []Sample) {
	for i, x := range s {
		a, b := s[max(0, i-1)], s[min(len(s)-1, i+1)]
		if l := math.Hypot(b.XPx-a.XPx, b.YPx-a.YPx); l > 0 && x.StreakPx > 0 {
			k.longPx = append(k.longPx, x.StreakPx)
			k.ballPx = append(k.ballPx, x.SizePx)
			k.timeS = append(k.timeS, x.StreakPx*(b.TimeS-a.TimeS)/l)
		}
	}
}
