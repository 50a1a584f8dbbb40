package worker

import (
	"context"
	"errors"
	"sync"
	"time"

	"github.com/prometheus/client_golang/prometheus"
)

// hands is what a worker has in hand and when it last heard of it.
type hands struct {
	now  func() time.Time
	life time.Duration // of a lease

	mu       sync.Mutex
	leases   map[*watchedLease]time.Time // the last word that the queue took
	analyses map[int]time.Time           // the last step
	next     int
}

func newHands() *hands {
	return &hands{now: time.Now, life: defaultLease, leases: map[*watchedLease]time.Time{}, analyses: map[int]time.Time{}}
}

func (h *hands) set(now func() time.Time, life time.Duration) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.now, h.life = now, life
}

// age is that of the lease that the queue has heard of least lately. A lease
// that has run out is nobody's any more.
func (h *hands) age() time.Duration {
	h.mu.Lock()
	defer h.mu.Unlock()
	var oldest time.Duration
	for l, at := range h.leases {
		d := h.now().Sub(at)
		if d > h.life {
			delete(h.leases, l)
			continue
		}
		oldest = max(oldest, d)
	}
	return oldest
}

// silence is that of the analysis that has said nothing for longest.
func (h *hands) silence() time.Duration {
	h.mu.Lock()
	defer h.mu.Unlock()
	var longest time.Duration
	for _, at := range h.analyses {
		longest = max(longest, h.now().Sub(at))
	}
	return longest
}

func (h *hands) beat(l *watchedLease) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.leases[l] = h.now()
}

func (h *hands) drop(l *watchedLease) {
	h.mu.Lock()
	defer h.mu.Unlock()
	delete(h.leases, l)
}

// watchedSource notes when leases are taken, heard of and ended.
type watchedSource struct {
	Source
	tele *Telemetry
}

func (s watchedSource) Next(ctx context.Context) (Lease, error) {
	l, err := s.Source.Next(ctx)
	if l == nil || err != nil {
		return l, err
	}
	w := &watchedLease{Lease: l, hands: s.tele.hands}
	w.hands.beat(w)
	return w, nil
}

type watchedLease struct {
	Lease
	hands *hands
}

func (l *watchedLease) Extend(ctx context.Context) error {
	err := l.Lease.Extend(ctx)
	if err == nil {
		l.hands.beat(l)
	}
	return err
}

func (l *watchedLease) Done(ctx context.Context) error {
	l.hands.drop(l)
	return l.Lease.Done(ctx)
}

func (l *watchedLease) Retry(ctx context.Context, delay time.Duration) error {
	l.hands.drop(l)
	return l.Lease.Retry(ctx, delay)
}

func (l *watchedLease) Reject(ctx context.Context, reason string) error {
	l.hands.drop(l)
	return l.Lease.Reject(ctx, reason)
}

// watchedObjects counts what is fetched and uploaded.
type watchedObjects struct {
	Objects
	tele *Telemetry
}

func (o watchedObjects) Fetch(ctx context.Context, bucket, key, path string, limit int64) error {
	end := o.tele.begin("fetch")
	err := o.Objects.Fetch(ctx, bucket, key, path, limit)
	end(err)
	return err
}

func (o watchedObjects) Put(ctx context.Context, bucket, key, path, contentType string) error {
	end := o.tele.begin("upload")
	err := o.Objects.Put(ctx, bucket, key, path, contentType)
	end(err)
	return err
}

func (o watchedObjects) Create(ctx context.Context, bucket, key string, data []byte, contentType string) error {
	end := o.tele.begin("upload")
	err := o.Objects.Create(ctx, bucket, key, data, contentType)
	end(err)
	return err
}

// watchedAnalyst counts analyses and notes their steps.
type watchedAnalyst struct {
	Analyst
	tele *Telemetry
}

func (a watchedAnalyst) Analyse(ctx context.Context, t Task, step func(Step)) (err error) {
	h := a.tele.hands
	h.mu.Lock()
	h.next++
	id := h.next
	h.analyses[id] = h.now()
	h.mu.Unlock()
	end := a.tele.begin("analyse")
	err = errPanic // what stays if the analysis does not return
	defer func() {
		h.mu.Lock()
		delete(h.analyses, id)
		h.mu.Unlock()
		end(err)
	}()
	return a.Analyst.Analyse(ctx, t, func(s Step) {
		h.mu.Lock()
		h.analyses[id] = h.now()
		h.mu.Unlock()
		a.tele.frames.Inc()
		step(s)
	})
}

// errPanic stands for the end of an analysis that did not return. Never normal.
var errPanic = errors.New("worker: an analysis panicked")

// lag asks the queue at each scrape.
type lag struct {
	ask            func(ctx context.Context) (waiting, taken int, err error)
	waiting, taken *prometheus.Desc
}

// Lag collects how many jobs wait and how many are taken. While the queue does
// not answer, both are absent rather than old.
func Lag(ask func(ctx context.Context) (waiting, taken int, err error)) prometheus.Collector {
	return lag{
		ask:     ask,
		waiting: prometheus.NewDesc("ashline_queue_waiting_jobs", "Jobs that no worker has had yet.", nil, nil),
		taken:   prometheus.NewDesc("ashline_queue_taken_jobs", "Jobs with a worker, or given back for later.", nil, nil),
	}
}

func (l lag) Describe(ch chan<- *prometheus.Desc) {
	ch <- l.waiting
	ch <- l.taken
}

func (l lag) Collect(ch chan<- prometheus.Metric) {
	ctx, cancel := context.WithTimeout(context.Background(), checkTime)
	defer cancel()
	waiting, taken, err := l.ask(ctx)
	if err != nil {
		return
	}
	ch <- prometheus.MustNewConstMetric(l.waiting, prometheus.GaugeValue, float64(waiting))
	ch <- prometheus.MustNewConstMetric(l.taken, prometheus.GaugeValue, float64(taken))
}
