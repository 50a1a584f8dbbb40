package fit

import (
	"math"
	"slices"
)

// Ranked is the value of v that a share of all values lies below: with 0.5 the median,
// the upper one of two. Of nothing it is NaN.
func Ranked(v []float64, share float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	return slices.Sorted(slices.Values(v))[min(int(share*float64(len(v))), len(v)-1)]
}

// Median is the middle of v, the upper one of two. Of nothing it is NaN.
func Median(v []float64) float64 { return Ranked(v, 0.5) }

// Quantile interpolates v between its values, the least at p 0 and the greatest at 1
// (definition 7 of Hyndman & Fan, The American Statistician 50 (1996) 361). Of nothing it
// is NaN.
func Quantile(v []float64, p float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	v = slices.Sorted(slices.Values(v))
	at := p * float64(len(v)-1)
	i := int(at)
	if i+1 >= len(v) {
		return v[len(v)-1]
	}
	return v[i] + (at-float64(i))*(v[i+1]-v[i])
}
