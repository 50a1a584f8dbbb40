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

// BodyFigures are the metrics of the body, against what the picture shows of it.
func BodyFigures() []Figure {
	type (
		body  = func(metrics.Body) metrics.Value
		truth = func(scene.BodyTruth) *float64
	)
	of := func(name, unit string, scale float64, got body, want truth) Figure {
		return Figure{
			name, unit, scale,
			func(s metrics.Swing) metrics.Value { return got(s.Body) },
			func(t scene.SwingTruth) *float64 { return want(t.BodyImage) },
		}
	}
	return []Figure{
		of("elbow at launch", "deg", 1, func(b metrics.Body) metrics.Value { return b.LeadElbowLaunchDeg }, func(t scene.BodyTruth) *float64 { return t.LeadElbowLaunchDeg }),
		of("elbow at slot", "deg", 1, func(b metrics.Body) metrics.Value { return b.LeadElbowSlotDeg }, func(t scene.BodyTruth) *float64 { return t.LeadElbowSlotDeg }),
		of("elbow at lag", "deg", 1, func(b metrics.Body) metrics.Value { return b.LeadElbowLagDeg }, func(t scene.BodyTruth) *float64 { return t.LeadElbowLagDeg }),
		of("elbow at contact", "deg", 1, func(b metrics.Body) metrics.Value { return b.LeadElbowContactDeg }, func(t scene.BodyTruth) *float64 { return t.LeadElbowContactDeg }),
		of("arm straight", "ms", 1000, func(b metrics.Body) metrics.Value { return b.LeadElbowStraightS }, func(t scene.BodyTruth) *float64 { return t.LeadElbowStraightS }),
		of("elbow to hip", "mm", 1000, func(b metrics.Body) metrics.Value { return b.ElbowHipSlotM }, func(t scene.BodyTruth) *float64 { return t.ElbowHipSlotM }),
		of("hands to elbow", "mm", 1000, func(b metrics.Body) metrics.Value { return b.HandsElbowSlotM }, func(t scene.BodyTruth) *float64 { return t.HandsElbowSlotM }),
		of("hands to buckle", "mm", 1000, func(b metrics.Body) metrics.Value { return b.HandsBuckleLagM }, func(t scene.BodyTruth) *float64 { return t.HandsBuckleLagM }),
		of("head drift", "mm", 1000, func(b metrics.Body) metrics.Value { return b.HeadDriftM }, func(t scene.BodyTruth) *float64 { return t.HeadDriftM }),
		of("shoulders open", "deg", 1, func(b metrics.Body) metrics.Value { return b.ShoulderOpenDeg }, func(t scene.BodyTruth) *float64 { return t.ShoulderOpenDeg }),
		{
			"above shoulder", "mm", 1000,
			func(s metrics.Swing) metrics.Value { return s.Finish.AboveShoulderM },
			func(t scene.SwingTruth) *float64 { return t.Finish.AboveShoulderM },
		},
	}
}

// Figures are the metrics of bat, ball and hands.
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
