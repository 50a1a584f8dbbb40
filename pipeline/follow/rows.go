package follow

import (
	"slices"

	"ashline/metrics"
)

// rows is a sensor's read-out: the top row has the frame's time, each further row a later one.
type rows struct {
	readoutS float64 // from the top row to the bottom row; 0 not known
	bottomPx float64
}

func rowsOf(c metrics.Card, height int) rows {
	return rows{readoutS: c.Camera.ReadoutMS / 1000, bottomPx: float64(height - 1)}
}

// times are the samples, each at the time of its row.
func (r rows) times(samples []metrics.Sample) []metrics.Sample {
	out := slices.Clone(samples)
	for i := range out {
		out[i].TimeS += r.readoutS * out[i].YPx / r.bottomPx
	}
	return out
}
