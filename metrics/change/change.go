package change

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Options for Compare. The zero value is strict.
type Options struct {
	// Mix allows readings of unlike kinds, tee against live say; the outcome then
	// says so. Defaults to false.
	Mix bool
	// Pooled takes one spread for both sides, which gives more degrees of freedom
	// when there is no reason for the sides to differ in it. Defaults to false:
	// Welch.
	Pooled bool
	// SwingSD is the standard deviation from swing to swing known from elsewhere,
	// used for a side of one reading when the other has none of its own either.
	// Defaults to 0: not known, and the interval of a single swing then speaks of
	// that swing alone.
	SwingSD float64
}

// Side sums a group of readings up.
type Side struct {
	N    int
	Mean float64
	SD   float64 // between readings; NaN for one
	Own  float64 // root mean square of the readings' own standard deviations
}

// Difference is the outcome: after less before.
type Difference struct {
	Value, Low, High float64 // 95 % interval
	Real             bool    // the interval excludes zero
	// Detectable is the least difference that would have been real.
	Detectable    float64
	SE, DoF       float64 // DoF is +Inf when only the readings' own intervals count
	Before, After Side
	Mixed         bool // readings of unlike kind were compared
	// SwingsVary is false when nothing but the noise of measurement was known, so
	// that a real difference is one between these swings, not between habits.
	SwingsVary bool
}

// Compare finds the difference of two groups of readings.
func Compare(before, after []Reading, o Options) (Difference, error) {
	a, b := present(before), present(after)
	if len(a) == 0 || len(b) == 0 {
		return Difference{}, ErrEmpty
	}
	both := append(append([]Reading(nil), a...), b...)
	if err := alike(both, o.Mix); err != nil {
		return Difference{}, err
	}
	d := Difference{Before: sum(a), After: sum(b), Mixed: alike(both, false) != nil}
	d.Value = d.After.Mean - d.Before.Mean

	spread, dof := shared(d.Before, d.After, o)
	va, fa, okA := meanVariance(d.Before, spread, dof, o.Pooled)
	vb, fb, okB := meanVariance(d.After, spread, dof, o.Pooled)
	if !okA || !okB {
		return Difference{}, ErrNoSpread
	}
	d.SwingsVary = !math.IsNaN(spread)
	d.SE = math.Sqrt(va + vb)
	if d.SE == 0 {
		return Difference{}, ErrNoSpread // readings that agree to the last digit say nothing of their error
	}
	switch {
	case math.IsInf(fa, 1) && math.IsInf(fb, 1):
		d.DoF = math.Inf(1)
	case o.Pooled || d.Before.N == 1 || d.After.N == 1:
		d.DoF = math.Min(fa, fb) // both rest on the one spread
	default:
		wa, wb := va/(va+vb), vb/(va+vb) // shares, so that no square leaves the range of numbers
		d.DoF = 1 / (wa*wa/fa + wb*wb/fb)
	}
	d.Detectable = quantile(d.DoF) * d.SE
	d.Low, d.High = d.Value-d.Detectable, d.Value+d.Detectable
	d.Real = d.Low > 0 || d.High < 0
	return d, nil
}

func present(in []Reading) []Reading {
	var out []Reading
	for _, r := range in {
		if !math.IsNaN(r.Value) && !math.IsInf(r.Value, 0) {
			out = append(out, r)
		}
	}
	return out
}

func sum(in []Reading) Side {
	s := Side{N: len(in), SD: math.NaN()}
	v := make([]float64, len(in))
	for i, r := range in {
		v[i] = r.Value
		if u, ok := r.sd(); ok {
			s.Own += u * u / float64(len(in))
		}
	}
	s.Own = math.Sqrt(s.Own)
	if s.N == 1 {
		s.Mean = v[0]
		return s
	}
	s.Mean, s.SD = stat.MeanStdDev(v, nil)
	return s
}

// shared is the spread that a side without one of its own borrows, and its
// degrees of freedom; NaN when there is none.
func shared(a, b Side, o Options) (sd, dof float64) {
	fa, fb := float64(a.N-1), float64(b.N-1)
	switch {
	case fa > 0 && fb > 0:
		return math.Sqrt((fa*a.SD*a.SD + fb*b.SD*b.SD) / (fa + fb)), fa + fb
	case fa > 0:
		return a.SD, fa
	case fb > 0:
		return b.SD, fb
	case o.SwingSD > 0:
		return o.SwingSD, math.Inf(1)
	}
	return math.NaN(), math.Inf(1)
}

// meanVariance is the variance of a side's mean and its degrees of freedom.
func meanVariance(s Side, spread, dof float64, pooled bool) (v, f float64, ok bool) {
	n := float64(s.N)
	own := s.Own * s.Own / n
	between, f := math.NaN(), dof
	switch {
	case s.N > 1 && !pooled:
		between, f = s.SD*s.SD/n, n-1
	case !math.IsNaN(spread):
		between = spread * spread / n
	}
	switch {
	case math.IsNaN(between) && own == 0:
		return 0, 0, false
	case math.IsNaN(between) || own > between:
		return own, math.Inf(1), true
	}
	return between, f, true
}

// quantile is the two-sided 95 % point of Student's t.
func quantile(dof float64) float64 {
	if dof > 1e6 {
		return z95
	}
	return distuv.StudentsT{Sigma: 1, Nu: dof}.Quantile(0.975)
}
