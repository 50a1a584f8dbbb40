package fit

import (
	"fmt"
	"math"
)

func (s *Smoother) likelihood(p *problem, q float64) (float64, bool) {
	pass := newPass(p, q)
	pass.run(false)
	noise := 1.0
	if dof := p.rows - p.n; s.FitNoise && dof > 0 {
		noise = pass.sse / float64(dof)
	}
	return pass.logLik(noise)
}

// choose finds the intensity of greatest likelihood: a coarse look over the
// bracket, because the likelihood may have two humps, then golden section.
func (s *Smoother) choose(p *problem) (float64, error) {
	lo, hi, err := s.bracket(p)
	if err != nil {
		return 0, err
	}
	cost := func(logQ float64) float64 {
		ll, ok := s.likelihood(p, math.Exp(logQ))
		if !ok || math.IsNaN(ll) {
			return math.Inf(1)
		}
		return -ll
	}
	a, b := math.Log(lo), math.Log(hi)
	looks := max(3, int(math.Ceil((b-a)/1.5)))
	width := (b - a) / float64(looks)
	best, at := math.Inf(1), a
	for i := range looks + 1 {
		x := a + float64(i)*width
		if c := cost(x); c < best {
			best, at = c, x
		}
	}
	if math.IsInf(best, 1) {
		return 0, fmt.Errorf("%w: %d measurements for %d unknowns", ErrTooFew, p.rows, p.n)
	}
	return math.Exp(golden(cost, math.Max(a, at-width), math.Min(b, at+width), 0.01)), nil
}

// bracket is the range in which q is sought.
func (s *Smoother) bracket(p *problem) (lo, hi float64, err error) {
	natural := p.medianVar / math.Pow(p.unit, float64(2*p.m-1))
	lo, hi = s.QLow, s.QHigh
	if lo == 0 {
		lo = 1e-9 * natural
	}
	if hi == 0 {
		hi = 1e7 * natural
	}
	if !(lo > 0) || !(hi >= lo) || !finite(hi) {
		return 0, 0, fmt.Errorf("%w: q between %g and %g", ErrValue, lo, hi)
	}
	return lo, hi, nil
}

// golden narrows a minimum of f between a and b down to a width of tol.
func golden(f func(float64) float64, a, b, tol float64) float64 {
	const ratio = 0.6180339887498949
	x1, x2 := b-ratio*(b-a), a+ratio*(b-a)
	f1, f2 := f(x1), f(x2)
	for b-a > tol {
		if f1 <= f2 {
			b, x2, f2 = x2, x1, f1
			x1 = b - ratio*(b-a)
			f1 = f(x1)
		} else {
			a, x1, f1 = x1, x2, f2
			x2 = a + ratio*(b-a)
			f2 = f(x2)
		}
	}
	return (a + b) / 2
}
