package metrics

import (
	"math"
	"testing"
)

func TestExposureFromStreaks(t *testing.T) {
	t.Parallel()
	const fps, speed, shutter = 240.0, 9000.0, 0.004
	pitch := func(n int, sign float64, streak float64) []Sample {
		var out []Sample
		for k := range n {
			out = append(out, Sample{TimeS: float64(k) / fps, XPx: sign * speed * float64(k) / fps, StreakPx: streak})
		}
		return out
	}
	in := pitch(9, -1, speed*shutter)
	in[3].StreakPx, in[6].StreakPx = 90, 0 // beside the bat; not measured
	s, sd := exposure([]BallFlight{{In: in, Out: pitch(8, 1, speed*shutter/2)}})
	if math.Abs(s-shutter) > 1e-9 || sd > shutter/10 {
		t.Errorf("got %.4f ± %.4f ms, want 4", 1000*s, 1000*sd)
	}
	if s, sd = exposure([]BallFlight{{In: pitch(3, -1, 20)}}); s != 0 || sd != 0 {
		t.Errorf("three streaks: got %g ± %g, want unknown", s, sd)
	}
	if s, _ = exposure([]BallFlight{{Out: pitch(8, 1, speed*shutter)}}); math.Abs(s-shutter) > 1e-9 {
		t.Errorf("a tee's ball: got %.4f ms, want 4", 1000*s)
	}
}
