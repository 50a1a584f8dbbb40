package worker

import (
	"ashline/pipeline/fence"

	"github.com/prometheus/client_golang/prometheus"
)

// Fenced is the gauge of the fence around analyses.
func Fenced(s fence.Support) prometheus.Collector {
	g := prometheus.NewGauge(prometheus.GaugeOpts{
		Name: "ashline_fence_whole", Help: "1 where everything that an analysis may not do is held back, 0 where only a part is.",
	})
	if s.Whole() {
		g.Set(1)
	}
	return g
}
