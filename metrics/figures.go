package metrics

import (
	"math"

	"ashline/metrics/catalogue"
	"ashline/metrics/fit"
)

// figures are the key positions and metrics of one evaluation of a motion; NaN where
// one is not known. An evaluation is repeated on random motions for the intervals.
type figures struct {
	keyS   [catalogue.NumKeys]float64 // from contact
	metric [catalogue.NumMetrics]float64
}

func noFigures() figures {
	var f figures
	for k := range f.keyS {
		f.keyS[k] = math.NaN()
	}
	f.keyS[catalogue.Contact] = 0
	for m := range f.metric {
		f.metric[m] = math.NaN()
	}
	return f
}

// checked are the figures of a swing that has no contact: no key position, and of the
// metrics those of the pitch and the speeds that it reached.
func (f figures) checked() figures {
	out := noFigures()
	out.keyS[catalogue.Contact] = math.NaN()
	for _, m := range []catalogue.Metric{catalogue.PitchDescentDeg, catalogue.PitchSpeedMPS, catalogue.SpeedBarrelPeakMPS, catalogue.SpeedHandsPeakMPS} {
		out.metric[m] = f.metric[m]
	}
	return out
}

// spread collects evaluations on random motions.
type spread struct {
	draws []figures
}

// interval is the 95 % interval of a metric around its value, within what the metric
// can be: the draws' quantiles, shifted so that the middle of the draws falls on the
// value. Too few finite draws give no interval.
func (s spread) interval(m catalogue.Metric, value float64) (low, high float64) {
	var v []float64
	for _, d := range s.draws {
		if x := d.metric[m]; !math.IsNaN(x) && !math.IsInf(x, 0) {
			v = append(v, x)
		}
	}
	if len(v) < 20 || 2*len(v) < len(s.draws) {
		return math.NaN(), math.NaN()
	}
	shift := value - fit.Quantile(v, 0.5)
	lo, hi := fit.Quantile(v, 0.025)+shift, fit.Quantile(v, 0.975)+shift
	bounds := m.Row().Bounds
	return min(bounds.Clip(lo), value), max(bounds.Clip(hi), value)
}
