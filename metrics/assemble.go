package metrics

import (
	"math"
	"sort"

	"ashline/metrics/catalogue"
	"ashline/metrics/contact"
)

// swingOf writes one swing's result from its figures and their spread.
func swingOf(p paths, index int, t Track, m motion, f figures, s spread) Swing {
	g := footingOf(p, m, f)
	sw := Swing{
		Index: index, Outcome: m.contact.Outcome, OutcomeProbability: m.contact.Chance,
		Line: lineSource(p.card, m), Keys: g.keys(t.TimesS),
	}
	for k := range catalogue.NumMetrics {
		sw.Metrics[k] = g.value(k, s)
	}
	return sw
}

// missingSwing is a swing of which nothing is known.
func missingSwing(index int, why string) Swing {
	sw := Swing{Index: index, Outcome: contact.None, Line: "none"}
	for k := range catalogue.NumKeys {
		*sw.Keys.at(k) = Key{Status: Missing, Why: why}
	}
	for m := range catalogue.NumMetrics {
		sw.Metrics[m] = Lacking(m.Row().Unit, why)
	}
	return sw
}

// keys places the key positions among frames at times.
func (g footing) keys(timesS []float64) Keys {
	var out Keys
	for k := range catalogue.NumKeys {
		row, rel := k.Row(), g.keyS[k]
		if math.IsNaN(rel) {
			*out.at(k) = Key{Status: Missing, Why: g.lackKey(k)}
			continue
		}
		frame := frameAt(timesS, g.contact.TimeS+rel)
		key := Key{TimeS: &rel, Frame: &frame, Confidence: sureKeys[k], Status: Measured}
		if why := g.assumption(row.Needs); why != "" {
			key.Status, key.Why = Assumed, why
		}
		*out.at(k) = key
	}
	if out.Contact.Why = g.contact.Why; out.Contact.Status != Missing {
		out.Contact.Confidence = g.contact.Confidence
	}
	if g.contact.Assumed {
		out.Contact.Status = Assumed
	}
	return out
}

// frameAt is the fractional frame of a time.
func frameAt(times []float64, t float64) float64 {
	n := len(times)
	i := sort.SearchFloat64s(times, t)
	switch {
	case n < 2:
		return 0
	case i == 0:
		i = 1
	case i >= n:
		i = n - 1
	}
	return float64(i-1) + (t-times[i-1])/(times[i]-times[i-1])
}
