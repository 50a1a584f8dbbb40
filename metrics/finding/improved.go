package finding

import (
	"fmt"
	"math"
	"slices"

	"ashline/metrics"
	"ashline/metrics/change"
)

// Step is what is said of one metric that changed.
type Step struct {
	Metric string `json:"metric"`
	Better bool   `json:"better"`
	// SwingsOnly is true when single swings were compared: the habit may be another.
	SwingsOnly bool   `json:"swings_only"`
	Text       string `json:"text"`
	Evidence   string `json:"evidence"`
}

// Improved says which metrics with a wanted direction got better or worse between two
// groups of swings, the better ones first, each in the order of the set. Nothing is said
// of a change that is not told from noise, that rests on an assumed value, or between
// swings of unlike kinds.
func Improved(o change.Outcome, s Set) []Step {
	out := []Step{}
	if o.MixedKinds {
		return out
	}
	for _, w := range s.Wanted {
		for _, c := range o.Changes {
			if c.Metric != w.Metric || c.Verdict == change.NotTold || c.Change.Status != metrics.Measured || !c.Change.Known() {
				continue
			}
			if better, told := w.better(c); told {
				out = append(out, s.step(w, c, better))
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Step) int {
		switch {
		case a.Better == b.Better:
			return 0
		case a.Better:
			return -1
		}
		return 1
	})
	return out
}

// better reports whether a change is for the better; told is false when a metric that
// should come nearer to a value went past it and ended about as far off.
func (w Want) better(c change.Change) (better, told bool) {
	switch w.Better {
	case Lower:
		return c.Change.Float() < 0, true
	case Higher:
		return c.Change.Float() > 0, true
	}
	nearer := math.Abs(c.Before.Value-w.To) - math.Abs(c.After.Value-w.To)
	return nearer > 0, math.Abs(nearer) > c.Detectable || sameSide(c.Before.Value-w.To, c.After.Value-w.To)
}

func sameSide(a, b float64) bool { return a*b > 0 }

func (s Set) step(w Want, c change.Change, better bool) Step {
	turn := s.Words.Change[w.Metric]
	sentence := turn.Worse
	if better {
		sentence = turn.Better
	}
	u := s.Words.Units
	text := fill(sentence, func(name string) string {
		switch name {
		case "before":
			return u.number(c.Metric, c.Before.Value)
		case "after":
			return u.number(c.Metric, c.After.Value)
		}
		return u.size(c.Metric, math.Abs(c.Change.Float()))
	})
	only := c.Verdict == change.SwingsOnly
	if only {
		text = fill(s.Words.OneSwing, func(string) string { return text })
	}
	return Step{
		Metric: c.Metric, Better: better, SwingsOnly: only, Text: text,
		Evidence: fmt.Sprintf("%s %.4g to %.4g %s, change %+.4g [%.4g, %.4g]",
			c.Metric, c.Before.Value, c.After.Value, c.Unit, c.Change.Float(), *c.Change.Low, *c.Change.High),
	}
}
