package contact

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"ashline/metrics/fit"
	"ashline/metrics/flight"
)

// hitLine is the flight of a ball off a tee, with neither its beginning nor its
// time known: x' = (x₀ + v_x·τ)/(1 − v_y·τ/D), as in a bounce, and τ counts from
// the first sighting.
type hitLine struct {
	t0, distM float64
	c         [5]float64 // x, z, v_x, v_z, v_y
}

// newHitLine fits a line to the sightings of a hit ball. It needs three.
func newHitLine(seen []fit.Sample, lensM float64) (hitLine, bool) {
	if len(seen) < 3 {
		return hitLine{}, false
	}
	h := hitLine{t0: seen[0].TimeS, distM: lensM}
	weight := make([]float64, len(seen))
	for i := range weight {
		weight[i] = 1
	}
	for range hitRounds {
		if !h.solve(seen, weight) {
			return h, false
		}
		for i, s := range seen {
			p := h.at(s.TimeS)
			r := math.Hypot(s.Pos[0]-p[0], s.Pos[1]-p[1]) / math.Sqrt((s.Cov[0][0]+s.Cov[1][1])/2)
			weight[i] = fit.StudentWeight(r)
		}
	}
	return h, true
}

func (h *hitLine) solve(seen []fit.Sample, weight []float64) bool {
	n := mat.NewSymDense(5, nil)
	b := mat.NewVecDense(5, nil)
	n.SetSym(4, 4, 1/(sprayMPS*sprayMPS))
	for i, s := range seen {
		w := 2 * weight[i] / (s.Cov[0][0] + s.Cov[1][1])
		tau := s.TimeS - h.t0
		for a := range 2 {
			var row [5]float64
			row[a], row[2+a], row[4] = 1, tau, s.Pos[a]*tau/h.distM
			y := s.Pos[a]
			if a == 1 {
				y += flight.GravityMPS2 * tau * tau / 2
			}
			for r := range 5 {
				for c := r; c < 5; c++ {
					n.SetSym(r, c, n.At(r, c)+w*row[r]*row[c])
				}
				b.SetVec(r, b.AtVec(r)+w*row[r]*y)
			}
		}
	}
	var ch mat.Cholesky
	var x mat.VecDense
	if !ch.Factorize(n) || ch.SolveVecTo(&x, b) != nil {
		return false
	}
	for i := range h.c {
		h.c[i] = x.AtVec(i)
	}
	return true
}

// at is where the ball looks to be in the plane of the pitch.
func (h hitLine) at(t float64) [2]float64 {
	tau := t - h.t0
	k := 1 / (1 - h.c[4]*tau/h.distM)
	return [2]float64{k * (h.c[0] + h.c[2]*tau), k * (h.c[1] + h.c[3]*tau - flight.GravityMPS2*tau*tau/2)}
}
