package follow

import (
	"math"
	"testing"

	"ashline/metrics"
)

// The top row is read at the frame's time, the bottom row one read-out later, whatever a
// sample's origin; without a read-out on the card all rows are read at once.
func TestRowTimes(t *testing.T) {
	t.Parallel()
	in := []metrics.Sample{
		{TimeS: 1, YPx: 0, How: metrics.Seen}, {TimeS: 2, YPx: 359.5, How: metrics.Flow}, {TimeS: 3, YPx: 719, How: metrics.Seen},
	}
	var c metrics.Card
	c.Camera.ReadoutMS = 8
	for i, want := range []float64{1, 2.004, 3.008} {
		if got := rowsOf(c, 720).times(in)[i].TimeS; math.Abs(got-want) > 1e-12 {
			t.Errorf("sample %d is at %g s, want %g", i, got, want)
		}
	}
	if in[2].TimeS != 3 {
		t.Error("the input has changed")
	}
	if got := rowsOf(metrics.Card{}, 720).times(in)[2].TimeS; got != 3 {
		t.Errorf("without a read-out: %g s, want 3", got)
	}
}
