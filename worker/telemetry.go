package worker

import (
	"time"

	"ashline/worker/job"

	"github.com/prometheus/client_golang/prometheus"
)

// Telemetry counts what a worker does. Its labels are classes and stages,
// never ids.
type Telemetry struct {
	jobs         *prometheus.CounterVec
	seconds      *prometheus.HistogramVec
	stages       *prometheus.HistogramVec
	running      prometheus.Gauge
	sourceErrors prometheus.Counter
}

// NewTelemetry makes the counters and registers them; reg may be nil.
func NewTelemetry(reg prometheus.Registerer) *Telemetry {
	buckets := []float64{0.1, 0.3, 1, 3, 10, 30, 60, 120, 300, 600}
	t := &Telemetry{
		jobs: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "ashline_jobs_total", Help: "Deliveries of jobs by how they ended.",
		}, []string{"class"}),
		seconds: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "ashline_job_seconds", Help: "Time from taking a job to its end.", Buckets: buckets,
		}, []string{"class"}),
		stages: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "ashline_stage_seconds", Help: "Time of each stage of a job.", Buckets: buckets,
		}, []string{"stage"}),
		running:      prometheus.NewGauge(prometheus.GaugeOpts{Name: "ashline_jobs_running", Help: "Jobs in hand."}),
		sourceErrors: prometheus.NewCounter(prometheus.CounterOpts{Name: "ashline_source_errors_total", Help: "Failed requests for a job."}),
	}
	if reg != nil {
		reg.MustRegister(t.jobs, t.seconds, t.stages, t.running, t.sourceErrors)
	}
	return t
}

func (t *Telemetry) ended(c job.Class, took time.Duration) {
	t.jobs.WithLabelValues(string(c)).Inc()
	t.seconds.WithLabelValues(string(c)).Observe(took.Seconds())
}

func (t *Telemetry) stage(name string, took time.Duration) {
	t.stages.WithLabelValues(name).Observe(took.Seconds())
}
