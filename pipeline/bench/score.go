package bench

import (
	"math"
	"sort"

	"ashline/metrics"
	"ashline/pipeline/scene"
)

// Figure is one metric compared with its truth.
type Figure struct {
	Name  string
	Unit  string
	Scale float64 // of the unit in the table
	Got   func(metrics.Swing) metrics.Value
	Want  func(scene.SwingTruth) *float64
}

// Figures are the metrics that are judged.
func Figures() []Figure {
	return []Figure{
		{"attack", "deg", 1, func(s metrics.Swing) metrics.Value { return s.Plane.AttackDeg }, func(t scene.SwingTruth) *float64 { return t.Plane.AttackDeg }},
		{"descent", "deg", 1, func(s metrics.Swing) metrics.Value { return s.Pitch.DescentDeg }, func(t scene.SwingTruth) *float64 { return t.Pitch.DescentDeg }},
		{"gap", "deg", 1, func(s metrics.Swing) metrics.Value { return s.Plane.GapDeg }, func(t scene.SwingTruth) *float64 { return t.Plane.GapDeg }},
		{"offset", "mm", 1000, func(s metrics.Swing) metrics.Value { return s.Plane.OffsetM }, func(t scene.SwingTruth) *float64 { return t.Plane.OffsetM }},
		{"zone enter", "ms", 1000, func(s metrics.Swing) metrics.Value { return s.Zone.EnterS }, func(t scene.SwingTruth) *float64 { return t.Zone.EnterS }},
		{"zone leave", "ms", 1000, func(s metrics.Swing) metrics.Value { return s.Zone.LeaveS }, func(t scene.SwingTruth) *float64 { return t.Zone.LeaveS }},
		{"zone length", "mm", 1000, func(s metrics.Swing) metrics.Value { return s.Zone.LengthM }, func(t scene.SwingTruth) *float64 { return t.Zone.LengthM }},
		{"solid window", "ms", 1000, func(s metrics.Swing) metrics.Value { return s.Timing.Solid.WindowS }, func(t scene.SwingTruth) *float64 { return t.Timing.Solid.WindowS }},
		{"any window", "ms", 1000, func(s metrics.Swing) metrics.Value { return s.Timing.Any.WindowS }, func(t scene.SwingTruth) *float64 { return t.Timing.Any.WindowS }},
		{"barrel speed", "m/s", 1, func(s metrics.Swing) metrics.Value { return s.Speed.BarrelContactMPS }, func(t scene.SwingTruth) *float64 { return t.Speed.BarrelContact3DMPS }},
		{"barrel peak", "m/s", 1, func(s metrics.Swing) metrics.Value { return s.Speed.BarrelPeakMPS }, func(t scene.SwingTruth) *float64 { return t.Speed.BarrelPeak3DMPS }},
		{"pitch speed", "m/s", 1, func(s metrics.Swing) metrics.Value { return s.Pitch.SpeedMPS }, func(t scene.SwingTruth) *float64 { return t.Pitch.SpeedMPS }},
		{"launch to contact", "ms", 1000, func(s metrics.Swing) metrics.Value { return s.Tempo.LaunchContactS }, func(t scene.SwingTruth) *float64 { return t.Tempo.LaunchContactS }},
		{"lag to contact", "ms", 1000, func(s metrics.Swing) metrics.Value { return s.Tempo.LagContactS }, func(t scene.SwingTruth) *float64 { return t.Tempo.LagContactS }},
		{"launch to lag", "ms", 1000, func(s metrics.Swing) metrics.Value { return s.Tempo.LaunchLagS }, func(t scene.SwingTruth) *float64 { return t.Tempo.LaunchLagS }},
		{"hands' peak", "m/s", 1, func(s metrics.Swing) metrics.Value { return s.Speed.HandsPeakMPS }, func(t scene.SwingTruth) *float64 { return t.Speed.HandsPeakMPS }},
		{"hands' straightness", "%", 100, func(s metrics.Swing) metrics.Value { return s.Body.HandsStraightness }, func(t scene.SwingTruth) *float64 { return t.BodyImage.HandsStraightness }},
		{"hands' path", "mm", 1000, func(s metrics.Swing) metrics.Value { return s.Body.HandsPathM }, func(t scene.SwingTruth) *float64 { return t.BodyImage.HandsPathM }},
		{"finish height", "mm", 1000, func(s metrics.Swing) metrics.Value { return s.Finish.HeightM }, func(t scene.SwingTruth) *float64 { return t.Finish.HeightM }},
		{"extension", "mm", 1000, func(s metrics.Swing) metrics.Value { return s.Finish.ExtensionM }, func(t scene.SwingTruth) *float64 { return t.Finish.ExtensionM }},
	}
}

// Score sums up one figure over many cases.
type Score struct {
	Errors  []float64 // got − want, in the table's unit, sorted by size
	Missing int       // truth has a value, the result none
	Covered int       // truth inside the interval
	Judged  int       // results with an interval
	Widths  []float64
}

// Add takes one result.
func (s *Score) Add(f Figure, got metrics.Value, want *float64) {
	if want == nil {
		return
	}
	if !got.Known() {
		s.Missing++
		return
	}
	s.Errors = append(s.Errors, f.Scale*(got.Float()-*want))
	if got.Low != nil && got.High != nil {
		s.Judged++
		s.Widths = append(s.Widths, f.Scale*(*got.High-*got.Low))
		if *got.Low <= *want && *want <= *got.High {
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
