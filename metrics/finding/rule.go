package finding

import (
	"math"

	"ashline/metrics"
)

// Topic is what a rule speaks about.
type Topic string

// Topics are all of them in the order in which a coach explains: what the barrel did
// against the pitch, then why, then where the swing ends.
func Topics() []Topic {
	return []Topic{"line", "arm", "hands", "hip", "shoulder", "timing", "finish"}
}

// Condition bounds one metric. At least one bound is given; with both the value lies
// between them.
type Condition struct {
	Metric string   `json:"metric"`
	Below  *float64 `json:"below"`
	Above  *float64 `json:"above"`
}

// Rule is one thing that can be said of a swing.
type Rule struct {
	// ID names the rule and, without Say, its sentence.
	ID string `json:"id"`
	// Topic is one of Topics.
	Topic Topic `json:"topic"`
	// Key is the key position at which to look for it, one of the catalogue.
	Key string `json:"key"`
	// When are the conditions; all of them hold when the rule fires.
	When []Condition `json:"when"`
	// Show names metrics that the sentence also tells. They have to be as certain as
	// those of the conditions.
	Show []string `json:"show"`
	// Unless names rules above this one in whose company it is silent. Defaults to none.
	Unless []string `json:"unless"`
	// Say is the sentence's name. Defaults to ID.
	Say string `json:"say"`
	// Praise marks good news. Defaults to false.
	Praise bool `json:"praise"`
	// Weight is how much the rule counts when things to work on next are chosen. Defaults
	// to 0: it is never chosen.
	Weight float64 `json:"weight"`
	// Why is the reason for the bounds.
	Why string `json:"why"`
}

// sentence is the name of the rule's sentence.
func (r Rule) sentence() string {
	if r.Say != "" {
		return r.Say
	}
	return r.ID
}

// Metrics are the metrics that the rule names, each once, those of its conditions first.
func (r Rule) Metrics() []string {
	var out []string
	add := func(name string) {
		for _, n := range out {
			if n == name {
				return
			}
		}
		out = append(out, name)
	}
	for _, c := range r.When {
		add(c.Metric)
	}
	for _, n := range r.Show {
		add(n)
	}
	return out
}

// Fires reports whether the rule can be said of a swing: all that it names is certain,
// and every whole interval lies beyond its bound.
func (r Rule) Fires(of func(metric string) metrics.Value) bool {
	for _, n := range r.Metrics() {
		if !certain(of(n)) {
			return false
		}
	}
	return r.holds(func(n string) (low, high float64) {
		v := of(n)
		return *v.Low, *v.High
	})
}

// Holds reports whether the conditions hold for exact values, NaN for one that is not
// known: a condition on it does not hold.
func (r Rule) Holds(of func(metric string) float64) bool {
	return r.holds(func(n string) (low, high float64) { return of(n), of(n) })
}

func (r Rule) holds(of func(metric string) (low, high float64)) bool {
	for _, c := range r.When {
		low, high := of(c.Metric)
		if math.IsNaN(low) || math.IsNaN(high) || c.Below != nil && !(high < *c.Below) || c.Above != nil && !(low > *c.Above) {
			return false
		}
	}
	return len(r.When) > 0
}

// certain reports whether a metric is measured and has an interval.
func certain(v metrics.Value) bool {
	return v.Status == metrics.Measured && v.Known() && v.Low != nil && v.High != nil
}
