package change

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"ashline/metrics"
	"ashline/metrics/catalogue"
)

// GroupOptions for Groups. The zero value is strict and compares everything.
type GroupOptions struct {
	// Mix allows swings of unlike kinds, tee against live say; the outcome then
	// says so. Defaults to false.
	Mix bool
	// Only chooses metrics as Choose does. Defaults to all.
	Only []string
}

// Groups compares every metric that both groups of results have. What cannot be
// compared is left out and says why. Swings of unlike kinds, within a group or
// between the two, are an *UnlikeError unless mixing is allowed.
func Groups(before, after []metrics.Result, o GroupOptions) (Outcome, error) {
	chosen, err := Choose(o.Only)
	if err != nil {
		return Outcome{}, err
	}
	a, b, same := unlike(before, after, kind)
	if !same && !o.Mix && len(before) > 0 && len(after) > 0 {
		return Outcome{}, &UnlikeError{Field: "kind", A: a, B: b}
	}
	out := Outcome{
		Schema: SchemaVersion, Before: group(before), After: group(after), MixedKinds: !same,
		Notes: []string{}, Changes: []Change{}, LeftOut: []LeftOut{},
	}
	if out.Before.Swings == 0 || out.After.Swings == 0 {
		return Outcome{}, ErrEmpty
	}
	for _, m := range chosen {
		c, lacks := difference(m.Path(), column(before, m), column(after, m), o)
		if len(lacks) > 0 {
			out.LeftOut = append(out.LeftOut, lacks...)
			continue
		}
		out.Changes = append(out.Changes, c)
	}
	out.Notes = notes(before, after)
	if len(out.Changes) > 1 {
		out.Notes = append(out.Notes, chance)
	}
	return out, nil
}

// sample is one swing's value with the kind of its card.
type sample struct {
	metrics.Value
	kind string
}

// column gathers a metric's values over all swings of a group.
func column(group []metrics.Result, m catalogue.Metric) []sample {
	var out []sample
	for _, r := range group {
		for _, s := range r.Swings {
			out = append(out, sample{s.Metrics[m], kind(r)})
		}
	}
	return out
}

// difference compares one metric, or says why not.
func difference(name string, before, after []sample, o GroupOptions) (Change, []LeftOut) {
	if lacks := missing(name, before, after); len(lacks) > 0 {
		return Change{}, lacks
	}
	x, y := readings(before), readings(after)
	d, err := Compare(x, y, Options{Mix: o.Mix})
	if err != nil {
		return Change{}, []LeftOut{{name, "both", reason(err)}}
	}
	unit := x[0].Unit
	c := Change{
		Metric: name, Unit: unit, Before: mean(d.Before, before), After: mean(d.After, after),
		Change: metrics.Got(d.Value, d.Low, d.High, unit), Detectable: d.Detectable, Verdict: verdict(d),
	}
	if !c.Change.Known() || c.Change.Low == nil || !finite(c.Before) || !finite(c.After) {
		return Change{}, []LeftOut{{name, "both", "the values are too large to be compared"}}
	}
	c.Change.Why = sides(c.Before.Why, c.After.Why)
	if c.Before.Status == metrics.Assumed || c.After.Status == metrics.Assumed {
		c.Change.Status = metrics.Assumed
	}
	return c, nil
}

// readings keeps the values that are known.
func readings(values []sample) []Reading {
	var out []Reading
	for _, v := range values {
		if !v.Known() {
			continue
		}
		r := Reading{Value: v.Float(), Low: math.NaN(), High: math.NaN(), Kind: v.kind, Unit: v.Unit}
		if v.Low != nil && v.High != nil {
			r.Low, r.High = *v.Low, *v.High
		}
		out = append(out, r)
	}
	return out
}

// missing says where a metric has no value at all.
func missing(name string, before, after []sample) []LeftOut {
	const absent = "the file does not hold it"
	a, lacksA := whyMissing(before, absent)
	b, lacksB := whyMissing(after, absent)
	switch {
	case lacksA && lacksB && a == b:
		return []LeftOut{{name, "both", a}}
	case lacksA && lacksB:
		return []LeftOut{{name, "before", a}, {name, "after", b}}
	case lacksA:
		return []LeftOut{{name, "before", a}}
	case lacksB:
		return []LeftOut{{name, "after", b}}
	}
	return nil
}

// whyMissing is true when no value is known.
func whyMissing(values []sample, absent string) (why string, all bool) {
	var whys []string
	for _, v := range values {
		switch {
		case v.Known():
			return "", false
		case v.Why != "":
			whys = append(whys, v.Why)
		default:
			whys = append(whys, absent)
		}
	}
	return join(whys), true
}

func reason(err error) string {
	var u *UnlikeError
	switch {
	case errors.As(err, &u):
		return fmt.Sprintf("units are unlike: %s and %s", u.A, u.B)
	case errors.Is(err, ErrNoSpread):
		return "nothing says how uncertain it is: neither an interval nor swings that differ"
	}
	return err.Error()
}

func mean(s Side, values []sample) Mean {
	m := Mean{Value: s.Mean, Swings: s.N, Missing: len(values) - s.N, Status: metrics.Measured}
	if s.N > 1 {
		m.SD = &s.SD
	}
	var whys []string
	for _, v := range values {
		if v.Status == metrics.Assumed {
			m.Status = metrics.Assumed
		}
		if v.Why != "" {
			whys = append(whys, v.Why)
		}
	}
	m.Why = join(whys)
	return m
}

// finite tells whether JSON can hold the mean.
func finite(m Mean) bool {
	sd := 0.0
	if m.SD != nil {
		sd = *m.SD
	}
	return !math.IsInf(m.Value+sd, 0) && !math.IsNaN(m.Value+sd)
}

func verdict(d Difference) Verdict {
	switch {
	case !d.Real:
		return NotTold
	case !d.SwingsVary:
		return SwingsOnly
	}
	return Real
}

// sides joins what the two sides say.
func sides(before, after string) string {
	switch {
	case before == after:
		return before
	case after == "":
		return "before: " + before
	case before == "":
		return "after: " + after
	}
	return "before: " + before + "; after: " + after
}

// join lists each reason once.
func join(whys []string) string {
	slices.Sort(whys)
	return strings.Join(slices.Compact(whys), "; ")
}
