package fit

import (
	"fmt"
	"math"
)

// tailAt is the 99 % point of χ² with two degrees of freedom: samples nearer
// than this to what the others say keep their full weight, so that on clean
// samples the covariances stay what they were.
const tailAt = 9.210340371976182

// robustRounds bounds the reweighting; it settles in fewer on all but
// pathological samples.
const robustRounds = 30

// silent is the weight under which a sample has no say in the choice of q: its
// cut-off residual would still ask for a livelier motion than there is.
const silent = 0.25

// fitRobust alternates between fitting and reweighting. A sample's distance is
// taken from the motion fitted to the others, so that a sample cannot hide by
// pulling the motion towards itself; its weight is that of Student's t beyond
// tailAt. Gross errors also make a lively motion look likely, in which nothing
// is an outlier; so when q is to be chosen, the search starts at the q whose
// predictions of each sample from the others are best under Student's t.
func (s *Smoother) fitRobust(samples []Sample) (*Smoothed, error) {
	weights := make([]float64, len(samples))
	for i := range weights {
		weights[i] = 1
	}
	if s.Q == 0 {
		var err error
		if weights, err = s.startWeights(samples, weights); err != nil {
			return nil, err
		}
	}
	var out *Smoothed
	for range robustRounds {
		q := s.Q
		if q == 0 {
			heard := append([]Sample(nil), samples...)
			for i := range heard {
				if weights[i] < silent {
					heard[i].Pos = [2]float64{math.NaN(), math.NaN()}
				}
			}
			p, err := s.build(heard, weights)
			if err != nil {
				return nil, err
			}
			if q, err = s.choose(p); err != nil {
				return nil, err
			}
		}
		fitted, err := s.fit(samples, weights, q)
		if err != nil {
			return nil, err
		}
		out = fitted
		next, _ := s.reweigh(out, samples)
		var moved float64
		for i := range next {
			moved = math.Max(moved, math.Abs(next[i]-weights[i]))
		}
		if moved < 1e-3 {
			break
		}
		weights = next
	}
	return out, nil
}

// startWeights looks over the bracket of q for the best predictions of samples
// from the others and returns the weights found there.
func (s *Smoother) startWeights(samples []Sample, ones []float64) ([]float64, error) {
	p, err := s.build(samples, ones)
	if err != nil {
		return nil, err
	}
	lo, hi, err := s.bracket(p)
	if err != nil {
		return nil, err
	}
	const looks, rounds = 14, 4
	best, bestWeights := math.Inf(-1), ones
	for i := range looks {
		q := lo * math.Pow(hi/lo, float64(i)/(looks-1))
		weights, score := ones, math.Inf(-1)
		for range rounds {
			m, err := s.fit(samples, weights, q)
			if err != nil {
				return nil, err
			}
			weights, score = s.reweigh(m, samples)
		}
		if score > best {
			best, bestWeights = score, weights
		}
	}
	return bestWeights, nil
}

// reweigh gives each sample its weight and the log density, up to a constant,
// of all samples as predicted from the others.
func (s *Smoother) reweigh(m *Smoothed, samples []Sample) (weights []float64, score float64) {
	free := s.Freedom
	if free == 0 {
		free = 4
	}
	weights = make([]float64, len(samples))
	for i, x := range samples {
		d2, logDet, axes := m.distance(x, m.weight[i])
		weights[i] = math.Min(1, (free+tailAt)/(free+d2))
		score -= 0.5*logDet + (free+float64(axes))/2*math.Log1p(d2/free)
	}
	return weights, score
}

// distance is the squared distance of a sample, taken at its full precision,
// from the motion fitted without it; with it come the log determinant of the
// covariance that the distance is measured by and the number of axes seen.
func (m *Smoothed) distance(x Sample, w float64) (d2, logDet float64, axes int) {
	st := m.State(x.TimeS, Before)
	var axis [2]int
	for a := range m.prob.axes {
		if !math.IsNaN(x.Pos[a]) {
			axis[axes] = a
			axes++
		}
	}
	// With R the sample's covariance as weighted and P the posterior one, the
	// residual from the others is e = R(R−P)⁻¹r with covariance R(R−P)⁻¹R; at
	// full precision that covariance loses R and gains the sample's own.
	var r [2]float64
	var own, gap [2][2]float64
	for i := range axes {
		r[i] = x.Pos[axis[i]] - st.Pos[axis[i]]
		for j := range axes {
			own[i][j] = x.Cov[axis[i]][axis[j]] * m.NoiseScale
			gap[i][j] = own[i][j]/w - st.Cov[axis[i]][axis[j]]
		}
	}
	switch axes {
	case 0:
		return 0, 0, 0
	case 1:
		own[1][1], gap[1][1] = 1, 1/w
	}
	// A sample that alone carries its stretch leaves R−P at rounding's mercy.
	for i := range 2 {
		gap[i][i] += 1e-9 * own[i][i] / w
	}
	det := gap[0][0]*gap[1][1] - gap[0][1]*gap[1][0]
	inv := [2][2]float64{{gap[1][1] / det, -gap[0][1] / det}, {-gap[1][0] / det, gap[0][0] / det}}
	var e [2]float64
	var cov [2][2]float64
	for i := range 2 {
		for j := range 2 {
			var ri float64
			for k := range 2 {
				ri += own[i][k] / w * inv[k][j]
			}
			e[i] += ri * r[j]
			for k := range 2 {
				cov[i][k] += ri * own[j][k] / w
			}
		}
	}
	for i := range 2 {
		for j := range 2 {
			cov[i][j] += own[i][j] * (1 - 1/w)
		}
	}
	det = cov[0][0]*cov[1][1] - cov[0][1]*cov[1][0]
	d2 = (cov[1][1]*e[0]*e[0] - 2*cov[0][1]*e[0]*e[1] + cov[0][0]*e[1]*e[1]) / det
	return d2, math.Log(det), axes
}

// Fit solves for the motion. Samples may be in any order and irregular.
func (s *Smoother) Fit(samples []Sample) (*Smoothed, error) {
	if s.Prior != nil {
		m := s.order()
		if len(s.Prior.SD) != m || len(s.Prior.Mean[0]) != m || (s.axes() == 2 && len(s.Prior.Mean[1]) != m) {
			return nil, fmt.Errorf("%w: prior of %d for order %d", ErrLength, len(s.Prior.SD), m)
		}
	}
	if s.Robust {
		return s.fitRobust(samples)
	}
	return s.fit(samples, nil, s.Q)
}
