package inspect

import (
	"math"

	"ashline/metrics"
	"ashline/pipeline/follow"
	"ashline/pipeline/track"
)

// inspectedFlight is one chosen flight of the ball.
type inspectedFlight struct {
	swing   int
	out     bool
	samples []metrics.Sample
	fit     track.Parabola
	rms     float64 // px
}

// newFlight is a flight with how well a parabola of steady, unknown acceleration
// explains it.
func newFlight(swing int, out bool, samples []metrics.Sample, r follow.Ruler) inspectedFlight {
	f := inspectedFlight{swing: swing, out: out, samples: samples, rms: math.NaN()}
	if len(samples) > 2 {
		f.fit = follow.FitFlight(samples, r)
		sum := 0.0
		for _, s := range samples {
			u, v := f.fit.At(s.TimeS)
			sum += (u-s.XPx)*(u-s.XPx) + (v-s.YPx)*(v-s.YPx)
		}
		f.rms = math.Sqrt(sum / float64(len(samples)))
	}
	return f
}

// missed is the longest run of frames without a sample inside the flight.
func (f inspectedFlight) missed() int {
	most := 0
	for i := 1; i < len(f.samples); i++ {
		most = max(most, f.samples[i].Frame-f.samples[i-1].Frame-1)
	}
	return most
}

// name says which way the ball goes.
func (f inspectedFlight) name() string {
	if f.out {
		return "out"
	}
	return "in"
}
