package metrics

import (
	"math"

	"ashline/metrics/bat"
	"ashline/metrics/fit"
	"ashline/metrics/geom"
)

// swingInput is all that was seen of one swing, before any geometry.
type swingInput struct {
	card   Card
	view   geom.View
	scale  ScaleUse
	barrel []Sample
	hands  []Sample
	ball   BallFlight
	limbs  map[string]limb
	// handsPx is the smoothed path of the hands in the picture, nil without.
	handsPx *fit.Smoothed
	// barrelPx is the smoothed path of the barrel's band in the picture.
	barrelPx *fit.Smoothed
	// peakS is when the band is fastest in the picture.
	peakS float64
	fps   float64
	// exposureS is the exposure time, 0 unknown.
	exposureS float64
	// bat is the bat's motion, fitted when first asked for; nil when not known.
	bat *bat.Bat
	// reach tells how many of the swing's steps are done.
	reach func(step int)
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

func fitSamples(s []Sample) []fit.Sample {
	out := make([]fit.Sample, len(s))
	for i, x := range s {
		out[i] = fit.Sample{
			TimeS: x.TimeS, Pos: [2]float64{x.XPx, x.YPx},
			Cov: [2][2]float64{{x.VarXX, x.VarXY}, {x.VarXY, x.VarYY}},
		}
	}
	return out
}

// smoothPx smooths samples in the picture; kinkS is the time of an impact, NaN
// for none, and kinkPx the s.d. of the jump in velocity, px/s.
func smoothPx(s []Sample, kinkS, kinkPx float64) *fit.Smoothed {
	if len(s) < 5 {
		return nil
	}
	m := fit.Smoother{Order: 3, Robust: true, FitNoise: true}
	if !math.IsNaN(kinkS) {
		m.Kinks = []fit.Kink{{TimeS: kinkS, SD: []float64{kinkPx, 500 * kinkPx}}}
	}
	out, err := m.Fit(fitSamples(s))
	if err != nil {
		return nil
	}
	return out
}

// fastest is the time at which a smoothed path is fastest, from samples' times.
func fastest(p *fit.Smoothed, s []Sample) (t, speed float64) {
	for _, x := range s {
		if v, _ := p.State(x.TimeS, fit.Before).Speed(); v > speed {
			t, speed = x.TimeS, v
		}
	}
	return t, speed
}
