package metrics

import (
	"math"
	"testing"

	"ashline/metrics/catalogue"
)

// An interval stays within what its figure can be, and holds the value.
func TestIntervalBounds(t *testing.T) {
	t.Parallel()
	var s spread
	for i := range 101 {
		f := noFigures()
		x := float64(i-50) / 50 // −1 to 1
		f.metric[catalogue.TimingAnyWindowS], f.metric[catalogue.BodyHandsStraightness], f.metric[catalogue.BodyLeadElbowContactDeg], f.metric[catalogue.PlaneOffsetM] = 0.01+0.01*math.Abs(x), 0.9-0.2*math.Abs(x), 150+90*x, x
		s.draws = append(s.draws, f)
	}
	for _, c := range []struct {
		name                 string
		k                    catalogue.Metric
		value, least, most   float64
		wantAtLow, wantAtTop bool
	}{
		{"window", catalogue.TimingAnyWindowS, 0.001, 0, 1, true, false},
		{"straightness", catalogue.BodyHandsStraightness, 0.99, 0, 1, false, true},
		{"elbow", catalogue.BodyLeadElbowContactDeg, 150, 0, 180, false, true},
		{"offset, which has a sign", catalogue.PlaneOffsetM, 0.1, -1, 1.1, false, false},
	} {
		lo, hi := s.interval(c.k, c.value)
		if !(lo >= c.least && lo <= c.value && hi >= c.value && hi <= c.most) || (lo == c.least) != c.wantAtLow || (hi == c.most) != c.wantAtTop {
			t.Errorf("%s: %g [%g, %g]", c.name, c.value, lo, hi)
		}
	}
	if lo, _ := s.interval(catalogue.PlaneGapDeg, 1); !math.IsNaN(lo) {
		t.Errorf("an interval from no draws: %g", lo)
	}
}
