package fit

import (
	"math"
	"testing"
)

// Gross errors among the samples must cost little: the robust fit has to stay
// near the fit without them, where the plain one does not.
func TestRobustIgnoresOutliers(t *testing.T) {
	t.Parallel()
	for seed := range uint64(20) {
		rng := seeded(100 + seed)
		clean := wander(200+seed, 60, false)
		dirty := append([]Sample(nil), clean...)
		var kept []Sample
		var wrong []int
		for i := range dirty {
			if i%13 == 6 {
				dirty[i].Pos[0] += 0.05 + 0.1*rng.Float64()
				dirty[i].Pos[1] -= 0.05 + 0.1*rng.Float64()
				wrong = append(wrong, i)
			} else {
				kept = append(kept, dirty[i])
			}
		}
		robust := Smoother{Order: 3, Robust: true}
		m, err := robust.Fit(dirty)
		if err != nil {
			t.Fatal(err)
		}
		plain := Smoother{Order: 3}
		without, err := plain.Fit(kept)
		if err != nil {
			t.Fatal(err)
		}
		with, err := plain.Fit(dirty)
		if err != nil {
			t.Fatal(err)
		}
		w := m.Weights()
		for _, i := range wrong {
			if w[i] > 0.05 {
				t.Errorf("seed %d: outlier %d keeps weight %.3f", seed, i, w[i])
			}
		}
		var r, p float64
		for i := range clean {
			a, b, c := m.State(clean[i].TimeS, Before), without.State(clean[i].TimeS, Before), with.State(clean[i].TimeS, Before)
			r = math.Max(r, math.Hypot(a.Pos[0]-b.Pos[0], a.Pos[1]-b.Pos[1]))
			p = math.Max(p, math.Hypot(c.Pos[0]-b.Pos[0], c.Pos[1]-b.Pos[1]))
		}
		if r > 0.1*p {
			t.Errorf("seed %d: robust fit moved by %.4f, plain by %.4f", seed, r, p)
		}
	}
}

// On clean samples robustness must cost next to nothing.
func TestRobustKeepsCleanSamples(t *testing.T) {
	t.Parallel()
	var low, all int
	for seed := range uint64(40) {
		s := Smoother{Order: 3, Robust: true}
		m, err := s.Fit(wander(300+seed, 60, true))
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range m.Weights() {
			all++
			if w < 1 {
				low++
			}
		}
	}
	// One in a hundred lies beyond the 99 % point; twice that allows for q
	// being chosen from the same samples.
	if share := float64(low) / float64(all); share > 0.02 {
		t.Errorf("%.3f of clean samples lost weight", share)
	}
}
