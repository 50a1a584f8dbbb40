package results

import (
	"errors"
	"fmt"
	"unicode"

	"ashline/metrics"
	"ashline/metrics/catalogue"
	"ashline/pipeline/card"
)

const maxText = 600 // runes of a reason; the longest in use are half of it

// check reports the first thing in a result that no measurement writes.
func check(r metrics.Result) error {
	if err := card.Check(r.Card); err != nil {
		return fmt.Errorf("card: %w", err)
	}
	for _, t := range []struct{ field, text string }{
		{"program", r.Program},
		{"clip.sha256", r.Clip.SHA256},
		{"quality.frame", r.Quality.Frame},
	} {
		if err := checkText(t.text); err != nil {
			return fmt.Errorf("%s: %w", t.field, err)
		}
	}
	for i, s := range r.Swings {
		for m := range catalogue.NumMetrics {
			if err := checkValue(s.Metrics[m]); err != nil {
				return fmt.Errorf("swings[%d].%s: %w", i, m.Path(), err)
			}
		}
	}
	return nil
}

// checkValue wants number and status to agree. A metric that the file does not
// hold, of an older version say, is the zero Value and passes.
func checkValue(v metrics.Value) error {
	switch v.Status {
	case metrics.Measured, metrics.Assumed:
		if !v.Known() {
			return fmt.Errorf("%s without a value", v.Status)
		}
	case metrics.Missing, "":
		if v.Known() {
			return fmt.Errorf("a value with the status %q", v.Status)
		}
	default:
		return fmt.Errorf("status %.40q is none of measured, assumed, missing", v.Status)
	}
	if (v.Low == nil) != (v.High == nil) {
		return errors.New("half an interval")
	}
	if v.Low != nil && *v.Low > *v.High {
		return fmt.Errorf("interval from %g down to %g", *v.Low, *v.High)
	}
	return errors.Join(checkText(v.Unit), checkText(v.Why))
}

// checkText keeps control characters, which a terminal would obey, away from
// what is printed.
func checkText(s string) error {
	n := 0
	for _, r := range s {
		if n++; n > maxText {
			return fmt.Errorf("text longer than %d characters", maxText)
		}
		if !unicode.IsPrint(r) {
			return fmt.Errorf("text with the control character %q", r)
		}
	}
	return nil
}
