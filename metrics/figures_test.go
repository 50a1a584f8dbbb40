package metrics

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

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

// The interval of draws that are spread as a normal distribution of s.d. 2 about 7 is
// 1.96 s.d. each way about the value (2.5 % and 97.5 %), wherever the draws' middle lies.
// Infinite draws and missing ones do not count; with less than half of them there is none.
func TestIntervalOfNormalDraws(t *testing.T) {
	t.Parallel()
	const n, m = 400, catalogue.PlaneGapDeg
	draws := func(known int) (s spread, v []float64) {
		normal := distuv.Normal{Mu: 7, Sigma: 2}
		for i := range n {
			f := noFigures()
			// Every seventh is the next in order, so that they come in disorder.
			x := normal.Quantile((float64(i*7%n) + 0.5) / n)
			if i < known {
				f.metric[m] = x
				v = append(v, x)
			} else if i%2 == 0 {
				f.metric[m] = math.Inf(1)
			}
			s.draws = append(s.draws, f)
		}
		return s, v
	}
	s, v := draws(n)
	low, high := s.interval(m, -3)
	// Of 400 draws the two on either side of 2.5 % are 0.2 % of the draws apart.
	if !near(low, -3-1.95996*2, 0.05) || !near(high, -3+1.95996*2, 0.05) {
		t.Errorf("got [%.4f, %.4f], want -3 ± 3.92", low, high)
	}
	// gonum's quantiles, which interpolate at another place, agree as nearly.
	slices.Sort(v)
	mid := stat.Quantile(0.5, stat.LinInterp, v, nil)
	if l, h := stat.Quantile(0.025, stat.LinInterp, v, nil)-mid-3, stat.Quantile(0.975, stat.LinInterp, v, nil)-mid-3; !near(low, l, 0.1) || !near(high, h, 0.1) {
		t.Errorf("got [%.4f, %.4f], gonum's [%.4f, %.4f]", low, high, l, h)
	}
	for known, want := range map[int]bool{200: true, 199: false, 0: false} {
		s, _ := draws(known)
		if low, high := s.interval(m, 1); math.IsNaN(low) == want || math.IsNaN(high) == want {
			t.Errorf("%d of %d draws: [%g, %g]", known, n, low, high)
		}
	}
	few, _ := draws(n)
	for k, want := range map[int]bool{20: true, 19: false} {
		if low, _ := (spread{few.draws[:k]}).interval(m, 1); math.IsNaN(low) == want {
			t.Errorf("%d draws: from %g", k, low)
		}
	}
}
