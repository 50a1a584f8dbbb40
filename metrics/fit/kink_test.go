package fit

import (
	"math"
	"testing"
)

// A jump that is expected and one that is taken from the samples beforehand leave
// the same motion: the model is linear.
func TestKinkOfKnownMean(t *testing.T) {
	t.Parallel()
	const tc, jumpV, jumpA = 0.0567, -4.0, 300.0
	jump := func(t float64) float64 {
		d := math.Max(0, t-tc)
		return jumpV*d + jumpA*d*d/2
	}
	var with, without []Sample
	for i := range 30 {
		at := float64(i) / 240
		s := Sample{TimeS: at, Cov: [2][2]float64{{1e-4, 2e-5}, {2e-5, 1e-4}}}
		s.Pos = [2]float64{math.Sin(9*at) + 0.01*math.Sin(1e3*at), math.Cos(7 * at)}
		without = append(without, s)
		s.Pos[1] += jump(at)
		with = append(with, s)
	}
	kink := Kink{TimeS: tc, SD: []float64{3, 200}}
	fitted := func(k Kink, in []Sample) *Smoothed {
		s := Smoother{Order: 3, Q: 2e4, Kinks: []Kink{k}}
		out, err := s.Fit(in)
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	plain := fitted(kink, without)
	kink.Mean = [2][]float64{nil, {jumpV, jumpA}}
	known := fitted(kink, with)
	const same = 1e-7
	for _, side := range []Side{Before, After} {
		for _, at := range []float64{0, 0.05, tc, 0.06, 0.12} {
			a, b := plain.State(at, side), known.State(at, side)
			d, v := jump(at), 0.0
			if at > tc || (at == tc && side == After) {
				v = jumpV + jumpA*(at-tc)
			}
			if math.Abs(b.Pos[1]-a.Pos[1]-d) > same || math.Abs(b.Vel[1]-a.Vel[1]-v) > same || math.Abs(b.Pos[0]-a.Pos[0]) > same {
				t.Errorf("%g s, side %d: place %v and velocity %v, want %v and %v", at, side, b.Pos, b.Vel, a.Pos[1]+d, a.Vel[1]+v)
			}
			for i := range a.Cov {
				for j := range a.Cov[i] {
					if math.Abs(a.Cov[i][j]-b.Cov[i][j]) > same*math.Max(1, math.Abs(a.Cov[i][j])) {
						t.Errorf("%g s, side %d: the covariance changed", at, side)
					}
				}
			}
		}
	}
}
