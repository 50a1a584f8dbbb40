package fit

import "gonum.org/v1/gonum/mat"

// Normal gathers the normal equations of a linear least-squares problem whose
// rows each touch a short run of the unknowns, as splines make them, and one
// unknown more that any row may touch: the common one.
type Normal struct {
	n, half int
	a       *mat.SymBandDense
	g       *Pull
	c       *mat.VecDense // products of the run's gradients and the common one's
	d       float64       // curvature of the common unknown
	chol    mat.BandCholesky
	z       mat.VecDense // a⁻¹·c
	rest    float64      // d − cᵀ·a⁻¹·c
	ok      bool
}

// NewNormal starts a problem of n unknowns whose rows span at most width.
func NewNormal(n, width int) *Normal {
	half := min(width, n) - 1
	return &Normal{n: n, half: half, a: mat.NewSymBandDense(n, half, nil), g: NewPull(n), c: mat.NewVecDense(n, nil)}
}

// Add takes one row: residual r with its gradient in the unknowns from first on
// and in the common one, all divided by the residual's s.d.
func (p *Normal) Add(first int, gradient []float64, common, r float64) {
	raw := p.a.RawSymBand()
	for i, gi := range gradient {
		if gi == 0 {
			continue
		}
		row := raw.Data[(first+i)*raw.Stride:]
		for j := i; j < len(gradient); j++ {
			row[j-i] += gi * gradient[j]
		}
		if common != 0 {
			p.c.RawVector().Data[first+i] += gi * common
		}
	}
	p.d += common * common
	p.g.Add(first, gradient, common, r)
}

// Pull is the gradient of a problem: which way its rows pull the unknowns.
type Pull struct {
	g      *mat.VecDense
	common float64
}

// NewPull starts a gradient in n unknowns and the common one.
func NewPull(n int) *Pull { return &Pull{g: mat.NewVecDense(n, nil)} }

// Add takes a row's residual, as Normal.Add does, without its curvature.
func (p *Pull) Add(first int, gradient []float64, common, r float64) {
	raw := p.g.RawVector().Data
	for i, gi := range gradient {
		raw[first+i] += gi * r
	}
	p.common += common * r
}

// Factor prepares for Step, each diagonal raised by the factor 1 + damp. It
// reports whether the rows fix all unknowns.
func (p *Normal) Factor(damp float64) bool {
	raw := p.a.RawSymBand()
	b := mat.NewSymBandDense(p.n, p.half, append([]float64(nil), raw.Data...))
	d := b.RawSymBand()
	for i := range p.n {
		d.Data[i*d.Stride] = d.Data[i*d.Stride]*(1+damp) + 1e-12
	}
	if p.ok = p.chol.Factorize(b) && p.chol.SolveVecTo(&p.z, p.c) == nil; !p.ok {
		return false // there is no z
	}
	p.rest = p.d*(1+damp) + 1e-12 - mat.Dot(p.c, &p.z)
	p.ok = p.rest > 0
	return p.ok
}

// Step is the change of the unknowns, and of the common one, that lessens the
// residuals most.
func (p *Normal) Step() (change []float64, common float64, ok bool) { return p.StepBy(p.g) }

// StepBy is the step where other residuals, of rows of the same curvature, pull.
func (p *Normal) StepBy(by *Pull) (change []float64, common float64, ok bool) {
	if !p.ok {
		return nil, 0, false
	}
	var y mat.VecDense
	if err := p.chol.SolveVecTo(&y, by.g); err != nil {
		return nil, 0, false
	}
	common = -(by.common - mat.Dot(p.c, &y)) / p.rest
	y.AddScaledVec(&y, common, &p.z)
	y.ScaleVec(-1, &y)
	return y.RawVector().Data, common, true
}

// Variance is that of a linear function of the unknowns, given by its
// coefficients from first on.
func (p *Normal) Variance(first int, c []float64) float64 {
	b := mat.NewVecDense(p.n, nil)
	for i, v := range c {
		b.SetVec(first+i, v)
	}
	var x mat.VecDense
	if !p.ok || p.chol.SolveVecTo(&x, b) != nil {
		return 0
	}
	k := mat.Dot(&p.z, b)
	return mat.Dot(b, &x) + k*k/p.rest
}
