package metrics

import (
	"fmt"
	"math"
)

// Status says where a metric's value comes from.
type Status string

// The three states of a metric.
const (
	Measured Status = "measured" // computed from what was seen in the clip
	Assumed  Status = "assumed"  // rests on a default or on a value from the card
	Missing  Status = "missing"  // not known; Why says what was lacking
)

// Value is one metric: a number with its unit, its 95 % interval and its
// provenance. Value, Low and High are nil when the metric is missing.
type Value struct {
	Value  *float64 `json:"value"`
	Unit   string   `json:"unit"`
	Low    *float64 `json:"low"`
	High   *float64 `json:"high"`
	Status Status   `json:"status"`
	Why    string   `json:"why,omitempty"`
}

// noNumber is why a value is missing that should be there.
const noNumber = "the computation gave no finite number"

// Got returns a measured value with its 95 % interval. A value that is not
// finite is missing.
func Got(v, low, high float64, unit string) Value {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return Lacking(unit, noNumber)
	}
	out := Value{Value: &v, Unit: unit, Status: Measured}
	if !math.IsNaN(low) && !math.IsNaN(high) && !math.IsInf(low, 0) && !math.IsInf(high, 0) {
		out.Low, out.High = &low, &high
	}
	return out
}

// Lacking returns a missing value and the reason.
func Lacking(unit, why string) Value {
	return Value{Unit: unit, Status: Missing, Why: why}
}

// As returns v with another status and reason; a missing value stays missing.
func (v Value) As(s Status, why string) Value {
	if v.Status == Missing {
		return v
	}
	v.Status, v.Why = s, why
	return v
}

// Known reports whether v carries a number.
func (v Value) Known() bool { return v.Value != nil }

// Float returns the number, NaN when missing.
func (v Value) Float() float64 {
	if v.Value == nil {
		return math.NaN()
	}
	return *v.Value
}

// String writes the value for people: number, 95 % interval, unit; a missing
// one is a dash and the reason.
func (v Value) String() string {
	if v.Value == nil {
		return "–  " + v.Why
	}
	s := fmt.Sprintf("%.4g %s", *v.Value, v.Unit)
	if v.Low != nil && v.High != nil {
		s = fmt.Sprintf("%.4g %s  [%.4g, %.4g]", *v.Value, v.Unit, *v.Low, *v.High)
	}
	if v.Status == Assumed {
		s += "  assumed: " + v.Why
	}
	return s
}
