package worker_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"ashline/worker"
	"ashline/worker/event"
	"ashline/worker/fake"
	"ashline/worker/job"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/testutil/promlint"
)

// locked is a buffer for several writers.
type locked struct {
	mu  sync.Mutex
	buf bytes.Buffer
}

func (l *locked) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.buf.Write(p)
}

func (l *locked) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.buf.String()
}

// The words that may not be found in any log or metric.
const (
	ourHitter  = "fh-017"
	ourAcademy = "fernhill"
	ourClip    = "lefty-in-the-cage"
	ourSecret  = "Invented Name"
)

// night is a worker that had a good clip, a bad one, a panic and a card with a
// name for an id, and everything that it told.
func night(t *testing.T) (metrics, log string, reg *prometheus.Registry) {
	t.Helper()
	synctest.Test(t, func(t *testing.T) {
		q, st := fake.NewQueue(time.Minute), fake.NewStore()
		cards := []string{
			"academy: " + ourAcademy + "\nhitter: " + ourHitter + "\n", "hitter: " + ourHitter + "\nlabel: two\n",
			"hitter: " + ourHitter + "\nlabel: three\n", "hitter: " + ourSecret + "\n", "label: a " + ourSecret + " \"quoted\nno: such\n",
		}
		for i, text := range cards {
			key := fmt.Sprintf("clips/%s/%s/%d/%s.mp4", ourAcademy, ourHitter, i, ourClip)
			for k, v := range map[string]string{key: "frames", strings.TrimSuffix(key, ".mp4") + ".card.yaml": text} {
				if err := st.Store(t.Context(), "clips", k, []byte(v)); err != nil {
					t.Fatal(err)
				}
			}
			j := job.Job{Schema: job.Schema, Bucket: "clips", Key: key, Name: ourClip}
			j.ID = j.NewID("")
			if _, err := q.Submit(t.Context(), j); err != nil {
				t.Fatal(err)
			}
		}
		a := &fake.Analyst{Do: func(_ context.Context, call int, task worker.Task) error {
			switch call {
			case 2:
				return fmt.Errorf("%w: %q: nothing in %q", job.ErrBadInput, ourClip+".mp4", task.Clip)
			case 3:
				panic("index out of range")
			}
			return nil
		}}
		reg = prometheus.NewRegistry()
		var out locked
		ctx, cancel := context.WithCancel(t.Context())
		done := make(chan struct{})
		go func() {
			defer close(done)
			worker.New(q, st, q, a, worker.NewTelemetry(reg), worker.Config{Bucket: "clips", Room: 1, Scratch: t.TempDir(), Log: slog.New(slog.NewJSONHandler(&out, nil))}).Run(ctx)
		}()
		if _, err := q.Heard(t.Context(), event.SubjectFailed, len(cards)-1); err != nil {
			t.Error(err)
		}
		cancel()
		<-done
		w := httptest.NewRecorder()
		worker.NewHealth(reg).ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/metrics", nil))
		metrics, log = w.Body.String(), out.String()
	})
	return metrics, log, reg
}

func TestNothingPersonalIsTold(t *testing.T) {
	t.Parallel()
	metrics, log, _ := night(t)
	for _, word := range []string{ourHitter, ourAcademy, ourClip, ourSecret} {
		for what, text := range map[string]string{"metrics": metrics, "log": log} {
			if i := strings.Index(text, word); i >= 0 {
				t.Errorf("the %s tell %q: …%s…", what, word, text[max(0, i-200):min(len(text), i+100)])
			}
		}
	}
	perJob := 0
	for line := range strings.Lines(log) {
		var rec struct {
			Msg string `json:"msg"`
			Job string `json:"job"`
		}
		if err := json.Unmarshal([]byte(line), &rec); err != nil {
			t.Fatalf("%q is no JSON: %v", line, err)
		}
		if !job.ValidID(rec.Job) {
			t.Errorf("%q has no job's id", line)
		}
		perJob++
	}
	if perJob < 10 {
		t.Errorf("only %d lines of log", perJob)
	}
}

func TestStagesAreCounted(t *testing.T) {
	t.Parallel()
	metrics, _, _ := night(t)
	for _, want := range []string{
		`ashline_stage_started_total{stage="analyse"} 3`,
		`ashline_stage_ended_total{class="done",stage="analyse"} 1`,
		`ashline_stage_ended_total{class="bad_input",stage="analyse"} 1`,
		`ashline_stage_ended_total{class="bug",stage="analyse"} 1`,
		`ashline_stage_running{stage="analyse"} 0`,
		`ashline_stage_ended_total{class="done",stage="upload"} 1`,
		`ashline_stage_ended_total{class="bad_input",stage="fetch"} 2`,
		`ashline_stage_seconds_count{stage="analyse"} 1`,
		`ashline_jobs_total{class="bad_input"} 3`,
		`ashline_jobs_total{class="bug"} 1`,
		`ashline_jobs_running 0`,
		`ashline_lease_age_seconds 0`,
		`ashline_analysis_silence_seconds 0`,
	} {
		if !strings.Contains(metrics, want) {
			t.Errorf("no %q in\n%s", want, metrics)
		}
	}
}

var (
	nameRule    = regexp.MustCompile(`^ashline_[a-z]+(_[a-z]+)*$`)
	labelsKnown = []string{"class", "goversion", "missing", "program", "stage"}
	plural      = []string{"_info", "_jobs", "_running", "_seconds", "_total"}
)

// nameFaults holds our own metrics against the rules: one prefix, base units
// at the end, counters in _total and nothing else, no label but the known.
func nameFaults(reg prometheus.Gatherer) ([]string, error) {
	families, err := reg.Gather()
	if err != nil {
		return nil, err
	}
	var faults []string
	for _, f := range families {
		name := f.GetName()
		if !nameRule.MatchString(name) {
			faults = append(faults, name+": not ashline_ and small words")
		}
		if counter := f.GetType().String() == "COUNTER"; counter != strings.HasSuffix(name, "_total") {
			faults = append(faults, name+": _total is for counters, and for each of them")
		}
		if !slices.ContainsFunc(plural, func(s string) bool { return strings.HasSuffix(name, s) }) {
			faults = append(faults, name+": does not end in a unit")
		}
		if len(f.GetHelp()) < 10 {
			faults = append(faults, name+": no help")
		}
		for _, m := range f.GetMetric() {
			for _, l := range m.GetLabel() {
				if !slices.Contains(labelsKnown, l.GetName()) {
					faults = append(faults, name+": label "+l.GetName())
				}
			}
		}
	}
	return faults, nil
}

func TestMetricNames(t *testing.T) {
	t.Parallel()
	metrics, _, reg := night(t)
	reg.MustRegister(worker.Lag(func(context.Context) (int, int, error) { return 7, 3, nil }), worker.BuildInfo("0.0.0"))
	faults, err := nameFaults(reg)
	if err != nil || len(faults) > 0 {
		t.Errorf("got %q, %v", faults, err)
	}
	if problems, err := promlint.New(strings.NewReader(metrics)).Lint(); err != nil || len(problems) > 0 {
		t.Errorf("promlint: %v, %v", problems, err)
	}
}

func TestMetricNamesAreEnforced(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]prometheus.Collector{
		"prefix":        prometheus.NewGauge(prometheus.GaugeOpts{Name: "jobs_running", Help: "Jobs in hand."}),
		"no total":      prometheus.NewCounter(prometheus.CounterOpts{Name: "ashline_jobs", Help: "Jobs in hand."}),
		"gauge's total": prometheus.NewGauge(prometheus.GaugeOpts{Name: "ashline_jobs_total", Help: "Jobs in hand."}),
		"unit":          prometheus.NewGauge(prometheus.GaugeOpts{Name: "ashline_age_minutes", Help: "Age of a lease."}),
		"help":          prometheus.NewGauge(prometheus.GaugeOpts{Name: "ashline_age_seconds"}),
		"label":         prometheus.NewGauge(prometheus.GaugeOpts{Name: "ashline_age_seconds", Help: "Age of a lease.", ConstLabels: prometheus.Labels{"hitter": "x"}}),
	} {
		reg := prometheus.NewRegistry()
		reg.MustRegister(c)
		if faults, err := nameFaults(reg); err != nil || len(faults) != 1 {
			t.Errorf("%s: got %q, %v; want one fault", name, faults, err)
		}
	}
}

func TestLag(t *testing.T) {
	t.Parallel()
	var fail error
	reg := prometheus.NewRegistry()
	reg.MustRegister(worker.Lag(func(context.Context) (int, int, error) { return 7, 3, fail }))
	scrape := func() string {
		w := httptest.NewRecorder()
		worker.NewHealth(reg).ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/metrics", nil))
		return w.Body.String()
	}
	if text := scrape(); !strings.Contains(text, "ashline_queue_waiting_jobs 7") || !strings.Contains(text, "ashline_queue_taken_jobs 3") {
		t.Errorf("got %s", text)
	}
	fail = errors.New("gone")
	if text := scrape(); strings.Contains(text, "ashline_queue") {
		t.Errorf("old figures: %s", text)
	}
}

// An analysis that reports nothing makes the process not live; a step does.
func TestLiveWhileStepsAdvance(t *testing.T) {
	t.Parallel()
	var mu sync.Mutex
	at := time.Unix(1000, 0)
	now := func() time.Time { mu.Lock(); defer mu.Unlock(); return at }
	pass := func(d time.Duration) { mu.Lock(); defer mu.Unlock(); at = at.Add(d) }
	reg := prometheus.NewRegistry()
	tele := worker.NewTelemetry(reg)
	a := &steady{begun: make(chan struct{}), step: make(chan struct{}), stepped: make(chan struct{}), end: make(chan struct{})}
	q, st := fake.NewQueue(time.Hour), fake.NewStore()
	w := worker.New(q, st, q, a, tele, worker.Config{Bucket: "clips", Room: 1, Scratch: t.TempDir(), Lease: time.Hour, Now: now})
	health := worker.NewHealth(reg)
	health.Lives(tele.Alive(time.Minute))
	live := func() int {
		rec := httptest.NewRecorder()
		health.ServeHTTP(rec, httptest.NewRequest(http.MethodGet, "/livez", nil))
		return rec.Code
	}
	if err := st.Store(t.Context(), "clips", "a/clip.mp4", []byte("frames")); err != nil {
		t.Fatal(err)
	}
	j := job.Job{Schema: job.Schema, Bucket: "clips", Key: "a/clip.mp4", ID: "one"}
	if _, err := q.Submit(t.Context(), j); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan struct{})
	go func() { defer close(done); w.Run(ctx) }()
	<-a.begun
	if got := live(); got != http.StatusOK {
		t.Errorf("at the beginning: got %d", got)
	}
	pass(2 * time.Minute)
	if got := live(); got != http.StatusServiceUnavailable {
		t.Errorf("after silence: got %d, want 503", got)
	}
	a.step <- struct{}{}
	<-a.stepped
	if got := live(); got != http.StatusOK {
		t.Errorf("after a step: got %d", got)
	}
	close(a.end)
	cancel()
	<-done
	pass(time.Hour)
	if got := live(); got != http.StatusOK {
		t.Errorf("with nothing in hand: got %d", got)
	}
}

// steady is an analyst that does as it is told.
type steady struct {
	*fake.Analyst
	begun, step, stepped, end chan struct{}
}

func (s *steady) Analyse(_ context.Context, _ worker.Task, step func(worker.Step)) error {
	close(s.begun)
	<-s.step
	step(worker.Step{Stage: "track", Done: 1, Total: 2})
	close(s.stepped)
	<-s.end
	return fmt.Errorf("%w: told to", job.ErrBadInput)
}
