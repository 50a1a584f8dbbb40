package bench

import (
	"math"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/pipeline/scene"
)

// samePairS is how far apart a true contact and a measured one may be that are of the
// same swing, s.
const samePairS = 0.25

// pair is a swing that was measured, and the true one that it is.
type pair struct {
	got  metrics.Swing
	want scene.SwingTruth
}

// pairs joins measured swings with the true ones whose contact is nearest. Missed are
// true swings that were not found, extra those found where there is none.
func (o *Outcome) pairs() (out []pair, missed, extra int) {
	taken := make([]bool, len(o.Result.Swings))
	for _, want := range o.Truth.Swings {
		if want.Keys.Contact.Frame == nil {
			continue // held up, or never begun
		}
		best, off := -1, samePairS*o.Truth.FPS
		for k, got := range o.Result.Swings {
			if got.Keys.Contact.Frame == nil || taken[k] {
				continue
			}
			if d := math.Abs(*got.Keys.Contact.Frame - *want.Keys.Contact.Frame); d < off {
				best, off = k, d
			}
		}
		if best < 0 {
			missed++
			continue
		}
		taken[best] = true
		out = append(out, pair{o.Result.Swings[best], want})
	}
	for k, got := range o.Result.Swings {
		if !taken[k] && got.Keys.Contact.Frame != nil {
			extra++
		}
	}
	return out, missed, extra
}

// nearestContactS is the time from the nearest true contact; from the scene's zero where
// there is none.
func nearestContactS(t scene.Truth, atS float64) float64 {
	off := math.Inf(1)
	for _, s := range t.Swings {
		if c := s.Keys.Contact.TimeS; c != nil && math.Abs(atS-*c) < math.Abs(off) {
			off = atS - *c
		}
	}
	if math.IsInf(off, 1) {
		return atS
	}
	return off
}

// surelyOffDeg is how far off an angle is wrong when it is told with confidence, degrees.
const surelyOffDeg = 3

// surelyWrong counts swings told with confidence that are not so: an attack or descent
// angle that is measured, is off by more than surelyOffDeg and whose interval does not
// hold the truth; and one found where there was no swing.
func (o *Outcome) surelyWrong() int {
	n := 0
	pairs, _, extra := o.pairs()
	for _, p := range pairs {
		if p.surelyOff(catalogue.PlaneAttackDeg) || p.surelyOff(catalogue.PitchDescentDeg) {
			n++
		}
	}
	return n + extra
}

// surelyOff reports whether an angle is told with confidence and is not so.
func (p pair) surelyOff(m catalogue.Metric) bool {
	want, ok := p.want.Metrics[m.Path()]
	got := p.got.Metrics[m]
	if !ok || got.Status != metrics.Measured || math.Abs(got.Float()-want) <= surelyOffDeg {
		return false
	}
	return got.Low == nil || got.High == nil || want < *got.Low || want > *got.High
}

// Reliability tells how often a band was where it was said to be seen, of the frames of
// clips whose path_confidence lies between Low and High.
type Reliability struct {
	Low    float64 `json:"low"`
	High   float64 `json:"high"`
	Clips  int     `json:"clips"`
	Frames int     `json:"frames"`
	OnBat  int     `json:"on_bat"`
}

// reliabilityEdges divide path_confidence.
var reliabilityEdges = []float64{0, 0.5, 0.7, 0.8, 0.9, 1}

// reliability sums up outcomes by path_confidence.
func reliability(outs []TrackOutcome) []Reliability {
	out := make([]Reliability, len(reliabilityEdges)-1)
	for k := range out {
		out[k].Low, out[k].High = reliabilityEdges[k], reliabilityEdges[k+1]
	}
	for _, o := range outs {
		if o.Err != nil {
			continue
		}
		k := 0
		for k+1 < len(out) && o.Result.Quality.PathConfidence >= out[k].High {
			k++
		}
		out[k].Clips++
		out[k].Frames += len(o.AroundPx)
		for _, e := range o.AroundPx {
			if e <= offPx(o.Truth) {
				out[k].OnBat++
			}
		}
	}
	return out
}
