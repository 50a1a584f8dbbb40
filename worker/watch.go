package worker

import (
	"context"
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
	turns    map[*turn]struct{}
}

func newHands() *hands {
	return &hands{now: time.Now, life: defaultLease, leases: map[*watchedLease]time.Time{}, analyses: map[int]time.Time{}, turns: map[*turn]struct{}{}}
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

// watchedLease is heard of until it is let go, whatever its fate.
type watchedLease struct {
	Lease
	hands *hands
}

func (l *watchedLease) letGo() { l.hands.drop(l) }

func (l *watchedLease) Extend(ctx context.Context) error {
	err := l.Lease.Extend(ctx)
	if err == nil {
		l.hands.beat(l)
	}
	return err
}

// watchedAnalyst notes the steps of analyses.
type watchedAnalyst struct {
	Analyst
	tele *Telemetry
}

func (a watchedAnalyst) Analyse(ctx context.Context, t Task, step func(Step)) error {
	h := a.tele.hands
	h.mu.Lock()
	h.next++
	id := h.next
	h.analyses[id] = h.now()
	h.mu.Unlock()
	defer func() {
		h.mu.Lock()
		delete(h.analyses, id)
		h.mu.Unlock()
	}()
	return a.Analyst.Analyse(ctx, t, func(s Step) {
		h.mu.Lock()
		h.analyses[id] = h.now()
		h.mu.Unlock()
		a.tele.frames.Inc()
		step(s)
	})
}

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
