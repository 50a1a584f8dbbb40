package metrics

import (
	"math/rand/v2"

	"ashline/metrics/fit"
)

// oneOf is the expected motion, or with rng a random one; nil of nil.
func oneOf(m *fit.Smoothed, rng *rand.Rand) *fit.Path {
	switch {
	case m == nil:
		return nil
	case rng == nil:
		return m.Mean()
	}
	return m.Draw(rng)
}

// inSpan cuts samples to a swing's frames.
func inSpan(s []Sample, sp Span) []Sample {
	var out []Sample
	for _, x := range s {
		if x.Frame >= sp.From && x.Frame < sp.To {
			out = append(out, x)
		}
	}
	return out
}

// without leaves out the samples of some frames.
func without(s []Sample, frames map[int]bool) []Sample {
	var out []Sample
	for _, x := range s {
		if !frames[x.Frame] {
			out = append(out, x)
		}
	}
	return out
}

// smoothPx smooths samples in the picture, kinks or none; nil of too few.
func smoothPx(s []Sample, kinks []fit.Kink) *fit.Smoothed {
	if len(s) < smoothLeast {
		return nil
	}
	in := make([]fit.Sample, len(s))
	for i, x := range s {
		in[i] = fit.Sample{
			TimeS: x.TimeS, Pos: [2]float64{x.XPx, x.YPx},
			Cov: [2][2]float64{{x.VarXX, x.VarXY}, {x.VarXY, x.VarYY}},
		}
	}
	m := fit.Smoother{Order: wholeOrder, Robust: true, FitNoise: true, Kinks: kinks}
	out, err := m.Fit(in)
	if err != nil {
		return nil
	}
	return out
}
