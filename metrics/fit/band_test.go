package fit

import (
	"math"
	"testing"
)

// Rows that fix nothing, or are no numbers, are told, not stumbled over: at the
// first try, when there is no solution before it, and at a later one.
func TestFactorRefuses(t *testing.T) {
	t.Parallel()
	good := func(p *Normal) { p.Add(0, []float64{1, 2}, 0.5, 1); p.Add(1, []float64{2, 1}, 0.25, 1) }
	for name, bad := range map[string][]float64{
		"not a number":       {math.NaN(), 1},
		"beyond all numbers": {math.Inf(1), 1},
		"overflowing":        {1e200, 1},
		"one row for two":    {1e9, 1e9}, // its curvature has no inverse, and the rest is lost in rounding
	} {
		p := NewNormal(3, 2)
		p.Add(1, bad, 0, 1)
		if p.Factor(0) {
			t.Errorf("%s: solved", name)
		}
		if _, _, ok := p.Step(); ok {
			t.Errorf("%s: a step", name)
		}
		if v := p.Variance(0, []float64{1}); v != 0 {
			t.Errorf("%s: variance %g", name, v)
		}
		later := NewNormal(3, 2)
		good(later)
		if !later.Factor(1) {
			t.Fatal("not solvable")
		}
		later.Add(1, bad, 0, 1)
		if later.Factor(0) {
			t.Errorf("%s: solved at the second try", name)
		}
	}
}
