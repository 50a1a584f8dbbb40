package pipeline

import (
	"math"

	"ashline/metrics"
	"ashline/metrics/geom"
	"ashline/pipeline/follow"
	"ashline/pipeline/track"
)

// fly notes a flight with how well a parabola of steady, unknown acceleration
// explains it.
func (in *inspection) fly(swing int, out bool, samples []metrics.Sample) {
	if len(samples) == 0 {
		return
	}
	f := inspectedFlight{swing: swing, out: out, samples: samples, rms: math.NaN()}
	if len(samples) > 2 {
		var t, x, y []float64
		for _, s := range samples {
			t, x, y = append(t, s.TimeS), append(x, s.XPx), append(y, s.YPx)
		}
		ppm := 1 / in.g.View.MetresPerPixel(geom.Point{in.g.View.CX, in.g.View.CY})
		f.fit = track.FitParabola(t, x, y, follow.BallSD, 9.81*ppm, follow.BallExtra*ppm)
		sum := 0.0
		for i := range t {
			u, v := f.fit.At(t[i])
			sum += (u-x[i])*(u-x[i]) + (v-y[i])*(v-y[i])
		}
		f.rms = math.Sqrt(sum / float64(len(t)))
	}
	in.flights = append(in.flights, f)
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
