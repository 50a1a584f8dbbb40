package worker

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"time"

	"ashline/worker/job"

	"github.com/prometheus/client_golang/prometheus"
)

// Telemetry counts what a worker does. Its labels are classes and stages,
// never ids.
type Telemetry struct {
	jobs    *prometheus.CounterVec
	seconds *prometheus.HistogramVec
	stages  *prometheus.HistogramVec
	running prometheus.Gauge
	pauses  *prometheus.CounterVec

	started *prometheus.CounterVec
	busy    *prometheus.GaugeVec
	ends    *prometheus.CounterVec
	frames  prometheus.Counter
	hands   *hands
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
		running: prometheus.NewGauge(prometheus.GaugeOpts{Name: "ashline_jobs_running", Help: "Jobs in hand."}),
		pauses: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "ashline_pauses_total", Help: "Times that a worker took no job for a while, by what was not there for it: queue, store or disk.",
		}, []string{"missing"}),

		started: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "ashline_stage_started_total", Help: "Jobs that went into each stage.",
		}, []string{"stage"}),
		busy: prometheus.NewGaugeVec(prometheus.GaugeOpts{Name: "ashline_stage_running", Help: "Jobs in each stage."}, []string{"stage"}),
		ends: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "ashline_stage_ended_total", Help: "Jobs that came out of each stage, by class; all but done are failures.",
		}, []string{"stage", "class"}),
		frames: prometheus.NewCounter(prometheus.CounterOpts{Name: "ashline_steps_total", Help: "Steps that analyses reported, of whatever stage."}),
		hands:  newHands(),
	}
	age := prometheus.NewGaugeFunc(prometheus.GaugeOpts{
		Name: "ashline_lease_age_seconds", Help: "Time since the queue last heard of the lease it has heard of least lately; 0 without any.",
	}, func() float64 { return t.hands.age().Seconds() })
	silence := prometheus.NewGaugeFunc(prometheus.GaugeOpts{
		Name: "ashline_analysis_silence_seconds", Help: "Time since the analysis that is silent for longest last reported a step; 0 without any.",
	}, func() float64 { return t.hands.silence().Seconds() })
	jobAge := prometheus.NewGaugeFunc(prometheus.GaugeOpts{
		Name: "ashline_job_age_seconds", Help: "Time since the job was taken that is in hand for longest; 0 without any.",
	}, func() float64 { return t.hands.jobAge().Seconds() })
	if reg != nil {
		reg.MustRegister(jobAge, t.jobs, t.seconds, t.stages, t.running, t.pauses, t.started, t.busy, t.ends, t.frames, age, silence)
	}
	return t
}

// BuildInfo collects which program and which Go a worker runs.
func BuildInfo(program string) prometheus.Collector {
	g := prometheus.NewGauge(prometheus.GaugeOpts{
		Name: "ashline_build_info", Help: "1; the labels say which program this is, as in the bundles' names, and which Go built it.",
		ConstLabels: prometheus.Labels{"program": program, "goversion": runtime.Version()},
	})
	g.Set(1)
	return g
}

func (t *Telemetry) pause(missing string) { t.pauses.WithLabelValues(missing).Inc() }

func (t *Telemetry) ended(c job.Class, took time.Duration) {
	t.jobs.WithLabelValues(string(c)).Inc()
	t.seconds.WithLabelValues(string(c)).Observe(took.Seconds())
}

// stage does a stage of a job and counts it.
func (t *Telemetry) stage(name string, now func() time.Time, do func() error) (err error) {
	t.started.WithLabelValues(name).Inc()
	t.busy.WithLabelValues(name).Inc()
	began := now()
	class := job.Bug // what stays if it panics
	defer func() {
		t.busy.WithLabelValues(name).Dec()
		t.ends.WithLabelValues(name, string(class)).Inc()
		if class == job.Done {
			t.stages.WithLabelValues(name).Observe(now().Sub(began).Seconds())
		}
	}()
	err = do()
	class = stageClass(err)
	return err
}

// stageClass is the class of a stage's end; one that was broken off was so by the
// worker.
func stageClass(err error) job.Class {
	if errors.Is(err, context.Canceled) {
		return job.Interrupted
	}
	return job.Classify(err)
}

// Alive is a check that fails while a loop of the worker hangs, in a job beyond its
// deadline or anywhere else, or an analysis has reported no step for longer than
// silence: its own watchdog should have ended it by then.
func (t *Telemetry) Alive(silence time.Duration) Check {
	return func(context.Context) error {
		if d := t.hands.overdue(); d > 0 {
			return fmt.Errorf("worker: its loop hangs, for %s", d.Round(time.Second))
		}
		if s := t.hands.silence(); s > silence {
			return fmt.Errorf("worker: an analysis is silent for %s", s.Round(time.Second))
		}
		return nil
	}
}
