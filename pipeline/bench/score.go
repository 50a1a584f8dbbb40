package bench

import (
	"math"
	"sort"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/pipeline/scene"
)

// tableUnits are what tables show an SI unit in: how many of them are one, and their
// name.
var tableUnits = map[string]struct {
	scale float64
	name  string
}{
	"s": {1000, "ms"}, "m": {1000, "mm"}, "m/s": {1, "m/s"}, "deg": {1, "deg"}, "1": {100, "%"},
}

// Score sums up one metric over many cases.
type Score struct {
	Errors  []float64 // got − want, in the table's unit, sorted by size
	Missing int       // truth has a value, the result none
	Covered int       // truth inside the interval
	Judged  int       // results with an interval
	Widths  []float64
}

// Add takes one result.
func (s *Score) Add(m catalogue.Metric, got metrics.Value, truth scene.Numbers) {
	want, ok := truth[m.Path()]
	if !ok {
		return
	}
	if !got.Known() {
		s.Missing++
		return
	}
	scale := tableUnits[m.Row().Unit].scale
	s.Errors = append(s.Errors, scale*(got.Float()-want))
	if got.Low != nil && got.High != nil {
		s.Judged++
		s.Widths = append(s.Widths, scale*(*got.High-*got.Low))
		if *got.Low <= want && want <= *got.High {
			s.Covered++
		}
	}
}

// Bias is the median error.
func (s *Score) Bias() float64 { return quantile(s.Errors, 0.5) }

// Size is a quantile of the error's size.
func (s *Score) Size(p float64) float64 {
	v := make([]float64, len(s.Errors))
	for i, e := range s.Errors {
		v[i] = math.Abs(e)
	}
	return quantile(v, p)
}

// Coverage is the share of intervals that hold the truth.
func (s *Score) Coverage() float64 {
	if s.Judged == 0 {
		return math.NaN()
	}
	return float64(s.Covered) / float64(s.Judged)
}

// quantile interpolates; NaN of nothing.
func quantile(v []float64, p float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	v = append([]float64(nil), v...)
	sort.Float64s(v)
	x := p * float64(len(v)-1)
	i := int(x)
	if i+1 >= len(v) {
		return v[len(v)-1]
	}
	return v[i] + (x-float64(i))*(v[i+1]-v[i])
}

func rms(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	sum := 0.0
	for _, x := range v {
		sum += x * x
	}
	return math.Sqrt(sum / float64(len(v)))
}
