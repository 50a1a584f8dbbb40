package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Poly is a fitted polynomial in time. Its coefficients are held in the scaled
// abscissa u = (t − centre)/half, where they are well conditioned.
type Poly struct {
	centre, half float64
	coef         []float64
	cov          []float64 // p×p, row-major, in the scaled basis

	// ResidualSD is √(Σ wᵢ rᵢ² / (n − p)) with wᵢ = 1/variance, or wᵢ = 1 when no
	// variances were given; it is NaN when n = p.
	ResidualSD float64
	// DoF is n − p.
	DoF int
}

// Polynomial fits y(t) of the given degree by weighted least squares. variance
// holds the variance of each y; when it is nil all samples weigh the same and
// their variance is estimated from the residuals.
func Polynomial(t, y, variance []float64, degree int) (*Poly, error) {
	n, p := len(t), degree+1
	switch {
	case len(y) != n || (variance != nil && len(variance) != n):
		return nil, fmt.Errorf("%w: %d times, %d values, %d variances", ErrLength, n, len(y), len(variance))
	case degree < 0:
		return nil, fmt.Errorf("%w: degree %d", ErrValue, degree)
	case n < p:
		return nil, fmt.Errorf("%w: %d for degree %d", ErrTooFew, n, degree)
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range t {
		w := 1.0
		if variance != nil {
			w = variance[i]
		}
		if !finite(t[i]) || !finite(y[i]) || !finite(w) || w <= 0 {
			return nil, fmt.Errorf("%w: sample %d", ErrValue, i)
		}
		lo, hi = math.Min(lo, t[i]), math.Max(hi, t[i])
	}
	f := &Poly{centre: (lo + hi) / 2, half: (hi - lo) / 2, DoF: n - p}
	if f.half == 0 {
		f.half = 1
	}
	a := make([]float64, n*(p+1))
	for i := range t {
		root := 1.0
		if variance != nil {
			root = 1 / math.Sqrt(variance[i])
		}
		row, u, pow := a[i*(p+1):(i+1)*(p+1)], (t[i]-f.centre)/f.half, root
		for j := range p {
			row[j] = pow
			pow *= u
		}
		row[p] = root * y[i]
	}
	triangularise(a, n, p+1, p)
	inv := make([]float64, p*p)
	if !invertUpper(inv, a, p, p+1, singular) {
		return nil, fmt.Errorf("%w: fewer than %d distinct times", ErrTooFew, p)
	}
	f.coef = make([]float64, p)
	for i := range p {
		for j := i; j < p; j++ {
			f.coef[i] += inv[i*p+j] * a[j*(p+1)+p]
		}
	}
	var sse float64
	for i := p; i < n; i++ {
		sse += a[i*(p+1)+p] * a[i*(p+1)+p]
	}
	f.ResidualSD = math.NaN()
	if f.DoF > 0 {
		f.ResidualSD = math.Sqrt(sse / float64(f.DoF))
	}
	scale := 1.0
	if variance == nil {
		scale = f.ResidualSD * f.ResidualSD
	}
	m := mat.NewDense(p, p, inv)
	var c mat.Dense
	c.Mul(m, m.T())
	c.Scale(scale, &c)
	f.cov = c.RawMatrix().Data
	return f, nil
}

// At is the fitted value at t.
func (f *Poly) At(t float64) float64 { return f.Deriv(t, 0) }

// Deriv is the k-th derivative at t.
func (f *Poly) Deriv(t float64, k int) float64 {
	var sum float64
	for j, b := range f.basis(t, k) {
		sum += b * f.coef[j]
	}
	return sum
}

// VarDeriv is the variance of Deriv(t, k).
func (f *Poly) VarDeriv(t float64, k int) float64 { return f.CovDeriv(t, k, k) }

// CovDeriv is the covariance of the j-th and the k-th derivative at t.
func (f *Poly) CovDeriv(t float64, j, k int) float64 {
	return quad(f.cov, f.basis(t, j), f.basis(t, k))
}

// Coefficients returns the coefficients of 1, t, t², … and their standard
// errors. Far from t = 0 they are poorly determined; prefer At and Deriv.
func (f *Poly) Coefficients() (coef, se []float64) {
	p := len(f.coef)
	coef, se = make([]float64, p), make([]float64, p)
	fact := 1.0
	for k := range p {
		if k > 0 {
			fact *= float64(k)
		}
		coef[k] = f.Deriv(0, k) / fact
		se[k] = math.Sqrt(f.VarDeriv(0, k)) / fact
	}
	return coef, se
}

// basis is the k-th derivative by t of the scaled monomials.
func (f *Poly) basis(t float64, k int) []float64 {
	out := make([]float64, len(f.coef))
	u, pow := (t-f.centre)/f.half, math.Pow(f.half, -float64(k))
	for j := k; j < len(out); j++ {
		c := pow
		for i := range k {
			c *= float64(j - i)
		}
		out[j] = c
		pow *= u
	}
	return out
}

func quad(m, a, b []float64) float64 {
	var sum float64
	for i := range a {
		for j := range b {
			sum += a[i] * m[i*len(b)+j] * b[j]
		}
	}
	return sum
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
