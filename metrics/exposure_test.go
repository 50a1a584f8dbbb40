package metrics

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// Streaks that scatter as a normal distribution does, by three tenths of the exposure,
// know it by √(π/2)·0.3/√n: the s.d. of a median in closed form.
func TestExposureOfScatteredStreaks(t *testing.T) {
	t.Parallel()
	const n, shutter, speed, fps = 61, 0.004, 9000.0, 240.0
	var in []Sample
	for i := range n {
		// Every seventh is the next in order, so that they come in disorder.
		of := distuv.UnitNormal.Quantile((float64(i*7%n) + 0.5) / n)
		in = append(in, Sample{TimeS: float64(i) / fps, XPx: speed * float64(i) / fps, StreakPx: speed * shutter * (1 + 0.3*of)})
	}
	s, sd := exposure([]BallFlight{{In: in}})
	// The tenth of it that is not scatter is what a single streak may be wrong by, all of
	// them alike: 1.5 % for tones, and a blur of 3 px² of 36 px.
	want := shutter * math.Hypot(math.Sqrt(math.Pi/2)*0.3/math.Sqrt(n), math.Hypot(0.015, 3.0/36/36))
	if !near(s, shutter, 1e-4*shutter) || !near(sd, want, 0.03*want) {
		t.Errorf("got %.5f ± %.5f ms, want %.5f ± %.5f", 1000*s, 1000*sd, 1000*shutter, 1000*want)
	}
}

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
