package follow

import (
	"math"
	"sort"

	"ashline/metrics"
)

const (
	minSwingMPS = 8.0  // published youth swings start at 15 m/s; a waggle stays under 5
	swingShare  = 0.5  // of the fastest swing in the clip
	beforeS     = 0.60 // kept before the fast part
	afterS      = 0.60
	restS       = 0.30 // slower than a third of the peak for this long ends a swing
)

// swings finds the spans of frames that hold one swing each.
func swings(t metrics.Track, ppm float64) []metrics.Span {
	type peak struct {
		at    float64
		speed float64
	}
	speeds := sampleSpeeds(t.Barrel)
	fastest := 0.0
	for _, v := range speeds {
		fastest = math.Max(fastest, v)
	}
	need := math.Max(minSwingMPS*ppm, swingShare*fastest)
	var peaks []peak
	for i, v := range speeds {
		if v < need {
			continue
		}
		at := t.Barrel[i].TimeS
		if n := len(peaks); n > 0 && at-peaks[n-1].at < restS {
			if v > peaks[n-1].speed {
				peaks[n-1] = peak{at, v}
			}
			continue
		}
		peaks = append(peaks, peak{at, v})
	}
	var out []metrics.Span
	for i, p := range peaks {
		from, to := p.at-beforeS, p.at+afterS
		if i > 0 {
			from = math.Max(from, (peaks[i-1].at+p.at)/2)
		}
		if i+1 < len(peaks) {
			to = math.Min(to, (p.at+peaks[i+1].at)/2)
		}
		out = append(out, metrics.Span{
			From: sort.SearchFloat64s(t.TimesS, from),
			To:   sort.SearchFloat64s(t.TimesS, to),
		})
	}
	return out
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

// middle is the median; it reorders v.
func middle(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	sort.Float64s(v)
	return v[len(v)/2]
}
