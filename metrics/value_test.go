package metrics

import (
	"math"
	"testing"
)

// An interval of which an end is not known is none, and a value that is no number is
// missing.
func TestGot(t *testing.T) {
	t.Parallel()
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		value, low, high float64
		known, interval  bool
	}{
		{1, 0, 2, true, true},
		{1, nan, 2, true, false},
		{1, 0, nan, true, false},
		{1, -inf, 2, true, false},
		{1, 0, inf, true, false},
		{nan, 0, 2, false, false},
		{inf, 0, 2, false, false},
	} {
		v := Got(c.value, c.low, c.high, "m")
		if v.Known() != c.known || (v.Low != nil) != c.interval || (v.High != nil) != c.interval || v.Unit != "m" || c.known != (v.Status == Measured) {
			t.Errorf("%g [%g, %g]: %+v", c.value, c.low, c.high, v)
		}
	}
}
