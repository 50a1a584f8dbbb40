package follow

import (
	"math"
	"sort"

	"ashline/metrics"
)

// near interpolates samples, which are in order of time, at t when both neighbours are
// close in time.
func near(s []metrics.Sample, t float64) (metrics.Sample, bool) {
	i := sort.Search(len(s), func(i int) bool { return s[i].TimeS >= t })
	// At a sample's own time either neighbour will do.
	for _, i := range []int{i, i + 1} {
		if i < 1 || i >= len(s) {
			continue
		}
		a, b := s[i-1], s[i]
		if a.TimeS <= t && t <= b.TimeS && b.TimeS-a.TimeS < nearGapS {
			k := (t - a.TimeS) / (b.TimeS - a.TimeS)
			a.XPx += k * (b.XPx - a.XPx)
			a.YPx += k * (b.YPx - a.YPx)
			return a, true
		}
	}
	return metrics.Sample{}, false
}

// sampleSpeeds returns a speed for each sample, px/s: the median of three
// central differences, so that one bad sample does not make a swing.
func sampleSpeeds(s []metrics.Sample) []float64 {
	raw := make([]float64, len(s))
	for i := range s {
		a, b := s[max(0, i-1)], s[min(len(s)-1, i+1)]
		if dt := b.TimeS - a.TimeS; dt > 0 {
			raw[i] = math.Hypot(b.XPx-a.XPx, b.YPx-a.YPx) / dt
		}
	}
	out := make([]float64, len(s))
	for i := range s {
		out[i] = middle(append([]float64(nil), raw[max(0, i-1):min(len(s), i+2)]...))
	}
	return out
}

// PeakTime is when the barrel is fastest within a swing, s.
func PeakTime(barrel []metrics.Sample, swing metrics.Span) float64 {
	return peakTime(barrel, sampleSpeeds(barrel), swing)
}

// peakTime is PeakTime by the speeds of all samples of the barrel.
func peakTime(barrel []metrics.Sample, speeds []float64, swing metrics.Span) float64 {
	at, most := 0.0, -1.0
	for i, b := range barrel {
		if b.Frame >= swing.From && b.Frame < swing.To && speeds[i] > most {
			at, most = b.TimeS, speeds[i]
		}
	}
	return at
}

// middle is the median, the upper one of two; it reorders v.
func middle(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	sort.Float64s(v)
	return v[len(v)/2]
}
