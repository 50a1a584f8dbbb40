package contact

import (
	"math"
	"math/rand/v2"
	"testing"

	"ashline/metrics/fit"
	"ashline/metrics/flight"
)

// hit is a pitch that turns at t = 0 above the plate and flies off in space, seen
// by a lens at 5.5 m.
type hit struct {
	vel    [3]float64 // x, z, towards the camera, m/s
	noiseM float64
	rateHz float64
	phase  float64 // of a frame, of the first sighting after the turn
}

const testDistM = 5.5

// sightings integrates the hit ball by Euler's method, far finer than the model's
// closed form, with a lift that the model does not know, and looks at it through
// the lens.
func (h hit) sightings(rng *rand.Rand, lift float64) (before, after []fit.Sample) {
	sample := func(t float64, p [2]float64) fit.Sample {
		v := h.noiseM * h.noiseM
		return fit.Sample{TimeS: t, Pos: [2]float64{p[0] + h.noiseM*rng.NormFloat64(), p[1] + h.noiseM*rng.NormFloat64()}, Cov: [2][2]float64{{v, 0}, {0, v}}}
	}
	at := flight.State{PosM: [2]float64{0.4, -0.3}, VelMPS: [2]float64{-33, -3.5}}
	first := h.phase / h.rateHz
	for k := 14; k >= 1; k-- {
		t := first - float64(k)/h.rateHz
		before = append(before, sample(t, flight.Fly(at, flight.Params{SpinRPM: 1800}, t).PosM))
	}
	p, v := [3]float64{0.4, -0.3, 0}, h.vel
	next, n := first, 0
	const dt = 1e-5
	for t := 0.0; n < 8; t += dt {
		if t >= next {
			k := testDistM / (testDistM - p[2])
			after = append(after, sample(t, [2]float64{k * p[0], k * p[1]}))
			next, n = next+1/h.rateHz, n+1
		}
		speed := math.Sqrt(v[0]*v[0] + v[1]*v[1] + v[2]*v[2])
		a := [3]float64{-0.0062 * speed * v[0], -9.81 - 0.0062*speed*v[1] + lift, -0.0062 * speed * v[2]}
		for i := range 3 {
			p[i] += v[i] * dt
			v[i] += a[i] * dt
		}
	}
	return before, after
}

// Time and s.d. of the turn hold the truth as often as they say, for balls pulled
// towards the camera and away from it.
func TestBounceIntervals(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(3, 4))
	const trials = 200
	in, worst := 0, 0.0
	for range trials {
		h := hit{vel: [3]float64{38, 8 + 6*rng.NormFloat64(), 12 * rng.NormFloat64()}, noiseM: 0.0015, rateHz: 240, phase: 0.3 + 2*rng.Float64()}
		before, after := h.sightings(rng, 6*rng.NormFloat64())
		p, ok := FitPitch(before, flight.Baseball)
		if !ok {
			t.Fatal("no pitch")
		}
		b, ok := findBounce(p, after, testDistM, flight.Baseball, -0.012, after[0].TimeS)
		got, sd := b.atS, b.sdS
		if !ok {
			t.Fatal("no turn")
		}
		worst = math.Max(worst, math.Abs(got))
		if math.Abs(got) < 1.96*sd {
			in++
		}
	}
	// 95 % less four standard errors; a robust fit may be over-careful, not over-sure.
	if share := float64(in) / trials; share < 0.89 {
		t.Errorf("%.1f %% of the turns within their interval", 100*share)
	}
	if worst > 0.0005 {
		t.Errorf("worst turn off by %.2f ms", 1000*worst)
	}
}

// A ball that still touches the bat is seen 6 cm off; the turn must not follow it.
func TestBounceLeavesAnOutlier(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(5, 6))
	for _, which := range []int{0, 3, 7} {
		before, after := hit{vel: [3]float64{40, 10, 8}, noiseM: 0.0015, rateHz: 240, phase: 1.2}.sightings(rng, 0)
		after[which].Pos[0] -= 0.06
		p, _ := FitPitch(before, flight.Baseball)
		b, ok := findBounce(p, after, testDistM, flight.Baseball, -0.01, after[0].TimeS)
		got, sd := b.atS, b.sdS
		if !ok || math.Abs(got) > math.Max(0.0003, 2*sd) {
			t.Errorf("sighting %d off: turn at %.2f ± %.2f ms, want 0", which, 1000*got, 1000*sd)
		}
	}
}
