package inspect

import (
	"sort"

	"ashline/metrics"
)

// chooseFrames chooses the frames that are shown: all of a short clip, of a longer
// one those around its swings, of a longer one without a swing again all. every
// is greater than 1 when that would be too many, so that only each every-th is.
func chooseFrames(timesS []float64, spans []metrics.Span) (frames []int, every int) {
	n := len(timesS)
	shown := make([]bool, n)
	if timesS[n-1]-timesS[0] <= wholeS || len(spans) == 0 {
		spans = []metrics.Span{{From: 0, To: n}}
	}
	for _, sp := range spans {
		from, to := max(0, min(sp.From, n-1)), max(1, min(sp.To, n))
		from = sort.SearchFloat64s(timesS, timesS[from]-aroundS)
		to = sort.SearchFloat64s(timesS, timesS[to-1]+aroundS)
		for i := from; i < min(to+1, n); i++ {
			shown[i] = true
		}
	}
	total := 0
	for _, b := range shown {
		if b {
			total++
		}
	}
	every = (total + mostShown - 1) / mostShown
	k := 0
	for i, b := range shown {
		if !b {
			continue
		}
		if k%every == 0 {
			frames = append(frames, i)
		}
		k++
	}
	return frames, every
}
