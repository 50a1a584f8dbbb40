package fit_test

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"

	"ashline/metrics/fit"
)

// By hand, and by gonum where a share of the values is no whole number, so that no two
// definitions differ.
func TestRanked(t *testing.T) {
	t.Parallel()
	v := []float64{40, 10, 30, 20, 50}
	for share, want := range map[float64]float64{0: 10, 0.5: 30, 0.9: 50, 0.75: 40, 1: 50} {
		if got := fit.Ranked(v, share); got != want {
			t.Errorf("%g of %v: %g, want %g", share, v, got, want)
		}
	}
	if got := fit.Median([]float64{3, 1, 2, 4}); got != 3 {
		t.Errorf("upper median %g, want 3", got)
	}
	if !slices.Equal(v, []float64{40, 10, 30, 20, 50}) {
		t.Errorf("reordered: %v", v)
	}
	sorted := slices.Sorted(slices.Values(v))
	for _, p := range []float64{0.05, 0.33, 0.5, 0.77, 0.93} {
		if got, want := fit.Ranked(v, p), stat.Quantile(p, stat.Empirical, sorted, nil); got != want {
			t.Errorf("%g: %g, gonum %g", p, got, want)
		}
	}
	if !math.IsNaN(fit.Median(nil)) || !math.IsNaN(fit.Quantile(nil, 0.5)) {
		t.Error("a median of nothing")
	}
}

// By hand: between 1 and 3 the middle is 2; a quarter of the way from 10 over 20 to 40 is
// half way from 10 to 20. Source: with the definition, Hyndman & Fan's seventh, the
// quartiles of 1 … 10 are 3.25, 5.5 and 7.75 (R 4, quantile(1:10)).
func TestQuantile(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ v, shares, want []float64 }{
		{[]float64{3, 1}, []float64{0.5}, []float64{2}},
		{[]float64{40, 10, 20}, []float64{0, 0.25, 0.75, 1}, []float64{10, 15, 30, 40}},
		{[]float64{10, 9, 8, 7, 6, 5, 4, 3, 2, 1}, []float64{0.25, 0.5, 0.75}, []float64{3.25, 5.5, 7.75}},
		{[]float64{5}, []float64{0.3, 1}, []float64{5, 5}},
	} {
		for i, p := range c.shares {
			if got := fit.Quantile(c.v, p); got != c.want[i] {
				t.Errorf("%g of %v: %g, want %g", p, c.v, got, c.want[i])
			}
		}
	}
}
