package pipeline

import (
	"math"

	"ashline/metrics"
	"ashline/pipeline/follow"
)

// fly notes a flight with how well a parabola of steady, unknown acceleration
// explains it.
func (in *inspection) fly(swing int, out bool, samples []metrics.Sample) {
	if len(samples) == 0 {
		return
	}
	f := inspectedFlight{swing: swing, out: out, samples: samples, rms: math.NaN()}
	if len(samples) > 2 {
		f.fit = follow.FitFlight(samples, in.found.Ruler)
		sum := 0.0
		for _, s := range samples {
			u, v := f.fit.At(s.TimeS)
			sum += (u-s.XPx)*(u-s.XPx) + (v-s.YPx)*(v-s.YPx)
		}
		f.rms = math.Sqrt(sum / float64(len(samples)))
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
