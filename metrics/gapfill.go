package metrics

import (
	"math"

	"ashline/metrics/fit"
)

// swungPath is the barrel seen from the hands: over a gap the bat's angle and its
// apparent length change far more evenly than the barrel's place does.
type swungPath struct {
	hands rodEnd
	polar *fit.Smoothed // angle (rad) and length (px)
}

// newSwungPath fits the barrel's samples as seen from the hands; nil when the
// hands are not known well enough.
func newSwungPath(axis []Sample, hands rodEnd) *swungPath {
	if hands.px == nil || len(axis) < 12 {
		return nil
	}
	var samples []fit.Sample
	last := math.NaN()
	for _, s := range axis {
		if !hands.knownAt(s.TimeS) {
			continue
		}
		h := hands.px.State(s.TimeS, fit.Before)
		dx, dy := s.XPx-h.Pos[0], s.YPx-h.Pos[1]
		length := math.Hypot(dx, dy)
		if length < 20 {
			continue
		}
		a := math.Atan2(dy, dx)
		if !math.IsNaN(last) {
			a = last + math.Remainder(a-last, 2*math.Pi)
		}
		last = a
		v := (s.VarXX+s.VarYY)/2 + (h.Cov[0][0]+h.Cov[1][1])/2
		samples = append(samples, fit.Sample{TimeS: s.TimeS, Pos: [2]float64{a, length / polarPx}, Cov: [2][2]float64{{v / (length * length), 0}, {0, v / (polarPx * polarPx)}}})
	}
	if len(samples) < 12 {
		return nil
	}
	m := fit.Smoother{Order: 3, Robust: true, FitNoise: true}
	p, err := m.Fit(samples)
	if err != nil {
		return nil
	}
	return &swungPath{hands: hands, polar: p}
}

// polarPx brings lengths to the size of angles, so that one intensity suits both.
const polarPx = 150

// at is the barrel's place at t and its variance, px; infinite where the hands
// are not known.
func (p *swungPath) at(t float64) (Point, float64) {
	if !p.hands.knownAt(t) {
		return Point{}, math.Inf(1)
	}
	s, h := p.polar.State(t, fit.Before), p.hands.px.State(t, fit.Before)
	length := s.Pos[1] * polarPx
	v := math.Max(s.Cov[0][0]*length*length, s.Cov[1][1]*polarPx*polarPx) + math.Max(h.Cov[0][0], h.Cov[1][1])
	return Point{h.Pos[0] + length*math.Cos(s.Pos[0]), h.Pos[1] + length*math.Sin(s.Pos[0])}, v
}
