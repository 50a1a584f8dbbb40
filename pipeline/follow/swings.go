package follow

import (
	"fmt"
	"math"
	"sort"

	"ashline/metrics"
	"ashline/pipeline/fault"
)

// Swings finds the spans of frames that hold one swing of the barrel each.
func Swings(s Sightings, barrel []metrics.Sample, r Ruler) ([]metrics.Span, error) {
	out := spans(barrel, s.TimesS, r.PxPerM())
	if len(out) > 0 {
		return out, nil
	}
	if err := tooMuchHue(s); err != nil {
		return nil, err
	}
	return nil, fmt.Errorf("%w: the barrel never exceeds %g m/s", fault.ErrNoSwing, minSwingMPS)
}

func spans(barrel []metrics.Sample, timesS []float64, ppm float64) []metrics.Span {
	type peak struct{ at, speed float64 }
	speeds := sampleSpeeds(barrel)
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
		at := barrel[i].TimeS
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
		out = append(out, metrics.Span{From: sort.SearchFloat64s(timesS, from), To: sort.SearchFloat64s(timesS, to)})
	}
	return out
}

// towards is the share of the barrel's fastest travel that goes to the picture's right,
// −1 to 1.
func towards(barrel []metrics.Sample) float64 {
	speeds := sampleSpeeds(barrel)
	most := 0.0
	for _, v := range speeds {
		most = math.Max(most, v)
	}
	way, across := 0.0, 0.0
	for i := 1; i < len(barrel); i++ {
		if math.Min(speeds[i], speeds[i-1]) < fastPart*most {
			continue
		}
		dx, dy := barrel[i].XPx-barrel[i-1].XPx, barrel[i].YPx-barrel[i-1].YPx
		way, across = way+math.Hypot(dx, dy), across+dx
	}
	if way == 0 {
		return 0
	}
	return across / way
}

// pace is the most that two neighbouring speeds of the barrel both reach, px/s: one alone may
// be a stray.
func pace(barrel []metrics.Sample) float64 {
	speeds := sampleSpeeds(barrel)
	most := 0.0
	for i := 1; i < len(speeds); i++ {
		most = math.Max(most, math.Min(speeds[i-1], speeds[i]))
	}
	return most
}
