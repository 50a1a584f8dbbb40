package metrics

import (
	"sort"
)

// median is the middle of v, which stays as it is.
func median(v []float64) float64 {
	v = append([]float64(nil), v...)
	sort.Float64s(v)
	return v[len(v)/2]
}

// quantile interpolates a sorted sample.
func quantile(v []float64, p float64) float64 {
	x := p * float64(len(v)-1)
	i := int(x)
	if i+1 >= len(v) {
		return v[len(v)-1]
	}
	return v[i] + (x-float64(i))*(v[i+1]-v[i])
}
