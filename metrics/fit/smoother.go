package fit

import (
	"fmt"
	"math"
	"sort"
)

// MaxOrder is the highest order of the motion model.
const MaxOrder = 4

// Sample is one sighting of a mark. Pos holds the two axes; a NaN on an axis
// means that this axis was not seen. Cov is the covariance of Pos.
type Sample struct {
	TimeS float64
	Pos   [2]float64
	Cov   [2][2]float64
}

// Kink is an instant at which velocity and higher derivatives may jump while
// the position stays continuous: an impact.
type Kink struct {
	TimeS float64
	// SD holds the standard deviation, on the first axis, of the jump of velocity,
	// acceleration, …; derivatives beyond its length do not jump. Large values
	// cut everything but the position off from what follows.
	SD []float64
	// Cross is the same for the second axis. An impact acts along the line of
	// centres: with the first axis laid that way, Cross is small and what comes
	// after the kink still tells of the motion across before it. Defaults to SD.
	Cross []float64
	// Mean is the jump that is expected, by axis: of velocity, acceleration, ….
	// Defaults to none.
	Mean [2][]float64
}

// Prior is a Gaussian belief about the state at the first node, the same
// standard deviation on both axes.
type Prior struct {
	Mean [2][]float64 // by axis: position, velocity, …
	SD   []float64
}

// Smoother fits the motion of a mark by an integrated Wiener process. The zero
// value is of order 4, on two axes, without kinks, its intensity chosen by
// maximum likelihood.
type Smoother struct {
	// Order m of the model, 1 to 4: position … (m−1)-th derivative, the m-th
	// being white noise. Defaults to 4, which finds a velocity just before an
	// impact with the least error of those compared in the package's tests.
	Order int
	// Axes is 1 or 2. With 1 only the first axis of the samples is used.
	// Defaults to 2.
	Axes int
	// Q is the intensity of the white noise, length²/s^(2m−1), on each axis.
	// Defaults to the value of greatest likelihood between QLow and QHigh.
	Q float64
	// QLow and QHigh bound the choice of Q. Default to 1e-9 and 1e7 times the
	// samples' median variance over median spacing^(2m−1).
	QLow, QHigh float64
	// Kinks are the impacts.
	Kinks []Kink
	// Nodes are further times to hold as unknowns. Between nodes a drawn path
	// follows its mean; a node makes it random there too.
	Nodes []float64
	// Prior on the first node. Defaults to none: the start is diffuse.
	Prior *Prior
	// Robust gives less weight to samples that lie far off what all the others
	// say. Defaults to false.
	Robust bool
	// Freedom is the degrees of freedom of the Student's t tail used when
	// Robust. Defaults to 4.
	Freedom float64
	// FitNoise multiplies all sample covariances by the one factor that the
	// residuals ask for, and a stated Q with them. Defaults to false: covariances
	// are taken as given.
	FitNoise bool
}

// node is one unknown state: a sample, a kink's far side, or a stated time.
type node struct {
	t     float64   // in units of the scaled clock
	after bool      // the far side of a kink at t
	jump  []float64 // scaled standard deviations of the jump into this node, nil for none
	mean  []float64 // of that jump, scaled; nil for none
	seen  []seen
}

// seen is one row of measurement: white·[state positions] = value.
type seen struct {
	coef  [2]float64
	value float64
	from  int // index of the sample
}

// problem is a Smoother with its samples, on a clock whose unit is the median
// spacing of samples, which keeps all numbers near one.
type problem struct {
	m, axes, n  int
	t0, unit    float64
	nodes       []node
	rows        int     // scalar measurements
	logDetWhite float64 // Σ log of the whitening factors
	medianVar   float64
	prior       *Prior
}

func (s *Smoother) order() int {
	if s.Order == 0 {
		return 4
	}
	return s.Order
}

func (s *Smoother) axes() int {
	if s.Axes == 0 {
		return 2
	}
	return s.Axes
}

// build lays samples, kinks and nodes out in time.
func (s *Smoother) build(samples []Sample, weights []float64) (*problem, error) {
	m, axes := s.order(), s.axes()
	if m < 1 || m > MaxOrder || axes < 1 || axes > 2 || s.Q < 0 || !finite(s.Q) {
		return nil, fmt.Errorf("%w: order %d, axes %d, q %g", ErrValue, m, axes, s.Q)
	}
	p := &problem{m: m, axes: axes, n: m * axes, prior: s.Prior}
	order := make([]int, 0, len(samples))
	var vars []float64
	for i, x := range samples {
		if !finite(x.TimeS) {
			return nil, fmt.Errorf("%w: time of sample %d", ErrValue, i)
		}
		for a := range axes {
			if !math.IsNaN(x.Pos[a]) {
				if v := x.Cov[a][a]; !finite(x.Pos[a]) || !finite(v) || v <= 0 {
					return nil, fmt.Errorf("%w: sample %d", ErrValue, i)
				}
				vars = append(vars, x.Cov[a][a])
			}
		}
		order = append(order, i)
	}
	if len(vars) == 0 {
		return nil, fmt.Errorf("%w: none of %d was seen", ErrTooFew, len(samples))
	}
	sort.SliceStable(order, func(i, j int) bool { return samples[order[i]].TimeS < samples[order[j]].TimeS })
	p.medianVar = Median(vars)
	p.t0, p.unit = samples[order[0]].TimeS, 1
	var gaps []float64
	for i := 1; i < len(order); i++ {
		if d := samples[order[i]].TimeS - samples[order[i-1]].TimeS; d > 0 {
			gaps = append(gaps, d)
		}
	}
	if len(gaps) > 0 {
		p.unit = Median(gaps)
	}

	for _, i := range order {
		x := samples[i]
		nd := node{t: (x.TimeS - p.t0) / p.unit}
		w := 1.0
		if weights != nil {
			w = weights[i]
		}
		rows, err := p.whiten(x, w, i)
		if err != nil {
			return nil, err
		}
		nd.seen = rows
		p.rows += len(rows)
		p.nodes = append(p.nodes, nd)
	}
	for _, t := range s.Nodes {
		if !finite(t) {
			return nil, fmt.Errorf("%w: node at %g", ErrValue, t)
		}
		p.nodes = append(p.nodes, node{t: (t - p.t0) / p.unit})
	}
	for _, k := range s.Kinks {
		jump, mean := make([]float64, p.n), make([]float64, p.n)
		for a := range axes {
			sd := k.SD
			if a == 1 && k.Cross != nil {
				sd = k.Cross
			}
			pow := 1.0
			for i := 1; i < m && i <= len(sd); i++ {
				pow *= p.unit
				if !finite(sd[i-1]) || sd[i-1] < 0 {
					return nil, fmt.Errorf("%w: kink at %g s", ErrValue, k.TimeS)
				}
				jump[a*m+i] = sd[i-1] * pow
				if i <= len(k.Mean[a]) {
					if !finite(k.Mean[a][i-1]) {
						return nil, fmt.Errorf("%w: kink at %g s", ErrValue, k.TimeS)
					}
					mean[a*m+i] = k.Mean[a][i-1] * pow
				}
			}
		}
		t := (k.TimeS - p.t0) / p.unit
		if !finite(t) {
			return nil, fmt.Errorf("%w: kink at %g s", ErrValue, k.TimeS)
		}
		p.nodes = append(p.nodes, node{t: t}, node{t: t, after: true, jump: jump, mean: mean})
	}
	sort.SliceStable(p.nodes, func(i, j int) bool {
		a, b := p.nodes[i], p.nodes[j]
		if a.t != b.t {
			return a.t < b.t
		}
		return !a.after && b.after
	})
	return p, nil
}

// whiten turns a sample into rows with unit variance, through the Cholesky
// factor of its covariance.
func (p *problem) whiten(x Sample, w float64, from int) ([]seen, error) {
	has := func(a int) bool { return a < p.axes && !math.IsNaN(x.Pos[a]) }
	if has(0) && has(1) {
		l00 := math.Sqrt(x.Cov[0][0] / w)
		l10 := x.Cov[1][0] / w / l00
		rest := x.Cov[1][1]/w - l10*l10
		if !(rest > 0) {
			return nil, fmt.Errorf("%w: covariance of sample %d", ErrValue, from)
		}
		l11 := math.Sqrt(rest)
		p.logDetWhite -= math.Log(l00) + math.Log(l11)
		c := -l10 / (l00 * l11)
		return []seen{
			{coef: [2]float64{1 / l00, 0}, value: x.Pos[0] / l00, from: from},
			{coef: [2]float64{c, 1 / l11}, value: c*x.Pos[0] + x.Pos[1]/l11, from: from},
		}, nil
	}
	for a := range 2 {
		if has(a) {
			sd := math.Sqrt(x.Cov[a][a] / w)
			p.logDetWhite -= math.Log(sd)
			r := seen{value: x.Pos[a] / sd, from: from}
			r.coef[a] = 1 / sd
			return []seen{r}, nil
		}
	}
	return nil, nil
}
