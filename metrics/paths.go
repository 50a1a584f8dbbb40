package metrics

import (
	"math"

	"ashline/metrics/contact"
	"ashline/metrics/fit"
	"ashline/metrics/flight"
	"ashline/metrics/geom"
)

// setting is what is known of a clip whichever swing is looked at.
type setting struct {
	card      Card
	view      geom.View
	scale     ScaleUse
	fps       float64
	exposureS float64 // 0 unknown
}

// sighted is what was seen of one swing.
type sighted struct {
	setting
	barrel, hands []Sample
	ball          BallFlight
	limbs         map[string]limb
}

// sightedIn cuts one swing out of a track.
func sightedIn(s setting, t Track, swing int) sighted {
	sp := t.Swings[swing]
	out := sighted{setting: s, barrel: inSpan(t.Barrel, sp), hands: inSpan(t.Hands, sp), limbs: limbsOf(t, sp)}
	if swing < len(t.Balls) {
		out.ball = t.Balls[swing]
	}
	return out
}

// paths are what was seen of one swing with the marks' paths in the picture.
type paths struct {
	sighted
	barrelPx *fit.Smoothed // of the barrel's band
	handsPx  *fit.Smoothed // nil where there are too few sightings
	peakS    float64       // when the band is fastest in the picture
}

// pathsOf smooths the marks; false where the barrel was seen too seldom.
func pathsOf(s sighted) (paths, bool) {
	p := paths{sighted: s, barrelPx: smoothPx(s.barrel, nil), handsPx: smoothPx(s.hands, nil)}
	if p.barrelPx == nil {
		return p, false
	}
	p.peakS = fastest(p.barrelPx, s.barrel)
	return p, true
}

// without are the paths with some frames' sightings of the hands left out.
func (p paths) without(stray map[int]bool) paths {
	p.hands = without(p.hands, stray)
	p.handsPx = smoothPx(p.hands, nil)
	return p
}

// meeting is what there is to find contact from, seen by v.
func (p paths) meeting(v geom.View) contact.Seen {
	ball, err := flight.Named(p.card.Pitch.Ball)
	if err != nil {
		ball = flight.Baseball
	}
	return contact.Seen{
		Before: inPlane(v, p.ball.In), After: inPlane(v, p.ball.Out), Ball: ball, Tee: p.card.Kind == "tee",
		ReachM: p.card.BallRadiusM() + p.card.BarrelRadiusM(), LensM: lensM(v), FrameS: 1 / p.fps, ExposureS: p.exposureS, PeakS: p.peakS,
		FromS: p.barrel[0].TimeS, ToS: p.barrel[len(p.barrel)-1].TimeS,
	}
}

// inPlane puts sightings of a ball into the plane of the pitch.
func inPlane(v geom.View, s []Sample) []fit.Sample {
	out := make([]fit.Sample, len(s))
	for i, x := range s {
		w := v.At(x.px(), 0)
		k := v.MetresPerPixel(x.px())
		k *= k
		// The picture's y points down.
		out[i] = fit.Sample{TimeS: x.TimeS, Pos: [2]float64{w.X, w.Z}, Cov: [2][2]float64{
			{k * (x.VarXX + ballSDPx*ballSDPx), -v.Sign * k * x.VarXY}, {-v.Sign * k * x.VarXY, k * (x.VarYY + ballSDPx*ballSDPx)},
		}}
	}
	return out
}

// fastest is the time at which a smoothed path is fastest, from samples' times.
func fastest(p *fit.Smoothed, s []Sample) float64 {
	var t, most float64
	for _, x := range s {
		if v, _ := p.State(x.TimeS, fit.Before).Speed(); v > most {
			t, most = x.TimeS, v
		}
	}
	return t
}

// rate is how many frames a second were taken, on average.
func rate(times []float64) float64 {
	n := len(times)
	if n < 2 {
		return 1
	}
	return float64(n-1) / (times[n-1] - times[0])
}

// handsHidden is the share of the swing before contact, at tc, in which the hands'
// mark was not seen.
func handsHidden(s sighted, tc float64) float64 {
	n := 0.0
	for _, h := range s.hands {
		if h.TimeS > tc-usualSwingS && h.TimeS <= tc {
			n++
		}
	}
	return math.Max(0, 1-n/(usualSwingS*s.fps))
}
