package fit

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// Smoothed is the motion of a mark given all its samples.
type Smoothed struct {
	prob   *problem
	q      float64 // on the scaled clock
	at     []info
	back   []step
	root   []float64 // R⁻¹ at the last node
	mean   *Path
	cov    [][]float64 // by node
	noise  float64
	weight []float64

	// Q is the intensity used, NoiseScale the factor on the samples'
	// covariances (1 unless FitNoise).
	Q, NoiseScale float64
	// LogLik is the log-likelihood of the samples with the start integrated out.
	LogLik float64
	// ChiSq is the sum of squared whitened residuals and DoF the number of
	// scalar measurements less the number of unknown starting values: near 1
	// in ratio when the samples' covariances are right.
	ChiSq float64
	DoF   int
}

// fit solves with fixed weights; q = 0 chooses it.
func (s *Smoother) fit(samples []Sample, weights []float64, q float64) (*Smoothed, error) {
	p, err := s.build(samples, weights)
	if err != nil {
		return nil, err
	}
	if q == 0 {
		if q, err = s.choose(p); err != nil {
			return nil, err
		}
	}
	if weights == nil {
		weights = make([]float64, len(samples))
		for i := range weights {
			weights[i] = 1
		}
	}
	pass := newPass(p, q)
	at, back := pass.run(true)
	out := &Smoothed{prob: p, q: pass.q, at: at, back: back, Q: q, NoiseScale: 1, ChiSq: pass.sse, weight: weights}
	out.DoF = p.rows
	if p.prior == nil {
		out.DoF -= p.n
	}
	if s.FitNoise && out.DoF > 0 {
		out.NoiseScale = pass.sse / float64(out.DoF)
		out.Q *= out.NoiseScale
	}
	ll, ok := pass.logLik(out.NoiseScale)
	n := p.n
	out.root = make([]float64, n*n)
	if !ok || !invertUpper(out.root, pass.now.r, n, n, singular) {
		return nil, fmt.Errorf("%w: %d measurements for %d unknowns", ErrTooFew, p.rows, n)
	}
	out.LogLik, out.noise = ll, math.Sqrt(out.NoiseScale)
	out.goBack()
	return out, nil
}

// goBack finds mean and covariance at every node, last to first.
func (m *Smoothed) goBack() {
	p, n := m.prob, m.prob.n
	last := len(p.nodes) - 1
	m.cov = make([][]float64, last+1)
	m.cov[last] = gram(m.root, n, m.noise*m.noise)
	for k := last - 1; k >= 0; k-- {
		m.cov[k] = m.covBack(m.back[k+1], m.cov[k+1])
	}
	m.mean = m.path(nil)
}

// covBack is a·P·aᵀ + c·cᵀ: a sum of squares, so never indefinite.
func (m *Smoothed) covBack(st step, next []float64) []float64 {
	if st.a == nil {
		return next
	}
	n := m.prob.n
	out := gram(st.c, n, m.noise*m.noise)
	ap := make([]float64, n*n)
	mulInto(ap, st.a, next, n)
	for i := range n {
		for j := range n {
			var sum float64
			for l := range n {
				sum += ap[i*n+l] * st.a[j*n+l]
			}
			out[i*n+j] += sum
		}
	}
	return out
}

// path walks back through the nodes; rng adds the noise of a draw, nil gives
// the mean.
func (m *Smoothed) path(rng *rand.Rand) *Path {
	p, n := m.prob, m.prob.n
	last := len(p.nodes) - 1
	flat := make([]float64, (last+1)*n)
	eps := make([]float64, n)
	rhs := make([]float64, n)
	x := flat[last*n:]
	for i := range n {
		rhs[i] = m.at[last].z[i]
		if rng != nil {
			rhs[i] += m.noise * rng.NormFloat64()
		}
	}
	for i := range n {
		for j := i; j < n; j++ {
			x[i] += m.root[i*n+j] * rhs[j]
		}
	}
	for k := last - 1; k >= 0; k-- {
		next := flat[(k+1)*n : (k+2)*n]
		x := flat[k*n : (k+1)*n]
		st := m.back[k+1]
		if st.a == nil {
			copy(x, next)
			continue
		}
		if rng != nil {
			for i := range n {
				eps[i] = m.noise * rng.NormFloat64()
			}
		}
		for i := range n {
			sum := st.b[i]
			for j := range n {
				sum += st.a[i*n+j]*next[j] + st.c[i*n+j]*eps[j]
			}
			x[i] = sum
		}
	}
	return newPath(p, flat)
}

// Mean is the expected motion.
func (m *Smoothed) Mean() *Path { return m.mean }

// Draw is one motion at random from all those the samples allow, jointly right
// at all nodes. Between nodes it follows the mean given the nodes beside it.
func (m *Smoothed) Draw(rng *rand.Rand) *Path { return m.path(rng) }

// Span is the time of the first and of the last node.
func (m *Smoothed) Span() (fromS, toS float64) {
	p := m.prob
	return p.t0 + p.nodes[0].t*p.unit, p.t0 + p.nodes[len(p.nodes)-1].t*p.unit
}

// Weights are the weights of the samples in their given order: 1 unless Robust.
func (m *Smoothed) Weights() []float64 { return append([]float64(nil), m.weight...) }

// State is the mean state at t with its covariance. Beyond the span it is
// extrapolated, and its covariance grows as the model says.
func (m *Smoothed) State(t float64, side Side) State {
	p, n := m.prob, m.prob.n
	u := (t - p.t0) / p.unit
	x := make([]float64, n)
	m.mean.scaled(u, side, x)
	k := p.nodeAt(u, side) // last node at or before u, −1 when u is before all
	last := len(p.nodes) - 1
	switch {
	case k >= 0 && p.nodes[k].t == u:
		return p.state(t, x, m.cov[k])
	case k < 0: // time runs the same way backwards
		return p.state(t, x, m.extrapolate(m.cov[0], u-p.nodes[0].t))
	case k == last:
		return p.state(t, x, m.extrapolate(m.cov[last], u-p.nodes[last].t))
	}
	s := newPass(&problem{m: p.m, axes: p.axes, n: n, unit: 1}, m.q)
	copy(s.now.r, m.at[k].r)
	copy(s.now.z, m.at[k].z)
	s.move(u-p.nodes[k].t, nil, nil)
	var st step
	s.move(p.nodes[k+1].t-u, nil, &st)
	return p.state(t, x, m.covBack(st, m.cov[k+1]))
}

// extrapolate carries a covariance over d, which may be negative.
func (m *Smoothed) extrapolate(cov []float64, d float64) []float64 {
	p, n, o := m.prob, m.prob.n, m.prob.m
	f, g := make([]float64, o*o), make([]float64, o*o)
	transition(f, o, d)
	noiseRoot(g, o, math.Abs(d), m.q)
	big, gg := make([]float64, n*n), gram(g, o, m.noise*m.noise)
	out := make([]float64, n*n)
	for a := range p.axes {
		for i := range o {
			copy(big[(a*o+i)*n+a*o:], f[i*o:(i+1)*o])
		}
	}
	tmp := make([]float64, n*n)
	mulInto(tmp, big, cov, n)
	for i := range n {
		for j := range n {
			for l := range n {
				out[i*n+j] += tmp[i*n+l] * big[j*n+l]
			}
		}
	}
	for a := range p.axes {
		for i := range o {
			for j := range o {
				v := gg[i*o+j]
				if d < 0 && (i+j)%2 == 1 {
					v = -v
				}
				out[(a*o+i)*n+a*o+j] += v
			}
		}
	}
	return out
}

func gram(a []float64, n int, scale float64) []float64 {
	out := make([]float64, n*n)
	for i := range n {
		for j := range n {
			var sum float64
			for l := range n {
				sum += a[i*n+l] * a[j*n+l]
			}
			out[i*n+j] = scale * sum
		}
	}
	return out
}

func mulInto(dst, a, b []float64, n int) {
	for i := range n {
		for j := range n {
			var sum float64
			for l := range n {
				sum += a[i*n+l] * b[l*n+j]
			}
			dst[i*n+j] = sum
		}
	}
}
