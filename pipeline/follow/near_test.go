package follow

import (
	"math"
	"testing"

	"ashline/metrics"
)

func TestNear(t *testing.T) {
	t.Parallel()
	var s []metrics.Sample
	for _, at := range []float64{0.00, 0.01, 0.02, 0.10, 0.12} {
		s = append(s, metrics.Sample{TimeS: at, XPx: 100 * at, YPx: -200 * at})
	}
	for name, c := range map[string]struct {
		at    float64
		known bool
	}{
		"between":          {0.015, true},
		"on a sample":      {0.01, true},
		"on the first":     {0.00, true},
		"on the last":      {0.12, true},
		"before a gap":     {0.02, true},
		"after a gap":      {0.10, true},
		"in a gap":         {0.05, false},
		"before all":       {-0.001, false},
		"after all":        {0.121, false},
		"no time":          {math.NaN(), false},
		"between the last": {0.11, true},
	} {
		got, ok := near(s, c.at)
		if ok != c.known || ok && math.Hypot(got.XPx-100*c.at, got.YPx+200*c.at) > 1e-9 {
			t.Errorf("%s: got [%g, %g] and %v, want known %v", name, got.XPx, got.YPx, ok, c.known)
		}
	}
	if _, ok := near(s[:1], 0); ok {
		t.Error("one sample has no neighbour")
	}
}
