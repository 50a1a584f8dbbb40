package fake

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"sync"
	"time"

	"ashline/worker"
	"ashline/worker/event"
	"ashline/worker/job"
)

// Queue is a work queue and an event log in memory.
type Queue struct {
	Lease time.Duration // time of a delivery
	// MaxDeliver is the number of deliveries after which a message is stuck. 0: no limit.
	MaxDeliver int
	// Window is how long an event's id is remembered. 0: for good.
	Window time.Duration
	// Fault, when set, is asked before each operation (next, publish, extend,
	// done, retry, reject); its error is returned instead of doing it.
	Fault func(op string) error

	mu     sync.Mutex
	msgs   []*message
	ids    map[string]time.Time
	events []event.Event
	wake   chan struct{} // closed and replaced whenever a message may be ready
}

type message struct {
	origin     string
	data       []byte
	deliveries int
	ready      time.Time // not before
	token      int       // of the delivery that holds it
	end        string    // how it ended; empty: not yet
	reason     string
}

var (
	_ worker.Source    = (*Queue)(nil)
	_ worker.Publisher = (*Queue)(nil)
)

// NewQueue makes an empty queue.
func NewQueue(lease time.Duration) *Queue {
	return &Queue{Lease: lease, ids: map[string]time.Time{}, wake: make(chan struct{})}
}

func (q *Queue) fault(op string) error {
	if q.Fault == nil {
		return nil
	}
	return q.Fault(op)
}

func (q *Queue) poke() {
	close(q.wake)
	q.wake = make(chan struct{})
}

// Submit adds a job.
func (q *Queue) Submit(_ context.Context, j job.Job) (known bool, err error) {
	if err := j.Check(); err != nil {
		return false, err
	}
	raw, err := json.Marshal(j)
	if err != nil {
		return false, err
	}
	return q.Add(j.ID, raw), nil
}

// Add adds a message of any content and reports whether its id was known.
func (q *Queue) Add(id string, data []byte) (known bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.known("job " + id) {
		return true
	}
	q.msgs = append(q.msgs, &message{origin: strconv.Itoa(len(q.msgs)), data: data})
	q.poke()
	return false
}

// known tells whether an id came within the window, and remembers it.
func (q *Queue) known(id string) bool {
	at, ok := q.ids[id]
	if ok && (q.Window == 0 || time.Since(at) < q.Window) {
		return true
	}
	q.ids[id] = time.Now()
	return false
}

// Next waits for a job.
func (q *Queue) Next(ctx context.Context) (worker.Lease, error) {
	for {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if err := q.fault("next"); err != nil {
			return nil, err
		}
		l, wait, wake := q.try()
		if l != nil {
			return l, nil
		}
		t := time.NewTimer(wait)
		select {
		case <-ctx.Done():
		case <-wake:
		case <-t.C:
		}
		t.Stop()
	}
}

func (q *Queue) try() (worker.Lease, time.Duration, chan struct{}) {
	q.mu.Lock()
	defer q.mu.Unlock()
	now, wait := time.Now(), time.Hour
	for _, m := range q.msgs {
		if m.end != "" {
			continue
		}
		if d := m.ready.Sub(now); d > 0 {
			wait = min(wait, d)
			continue
		}
		if q.stuck(m) {
			continue
		}
		m.deliveries++
		m.token++
		m.ready = now.Add(q.Lease)
		return &lease{q: q, m: m, token: m.token, delivery: m.deliveries}, 0, nil
	}
	return nil, wait, q.wake
}

func (q *Queue) stuck(m *message) bool { return q.MaxDeliver > 0 && m.deliveries >= q.MaxDeliver }

// Redeliver makes every message due at once, held or not, that has been
// delivered fewer than below times.
func (q *Queue) Redeliver(below int) {
	q.mu.Lock()
	defer q.mu.Unlock()
	for _, m := range q.msgs {
		if m.deliveries < below {
			m.ready = time.Now()
		}
	}
	q.poke()
}

// Stuck returns a lease of each message that is delivered no more.
func (q *Queue) Stuck() (out []worker.Lease) {
	q.mu.Lock()
	defer q.mu.Unlock()
	for _, m := range q.msgs {
		if m.end == "" && q.stuck(m) && !m.ready.After(time.Now()) {
			out = append(out, &lease{q: q, m: m, token: m.token, delivery: m.deliveries})
		}
	}
	return out
}

// Publish stores an event once.
func (q *Queue) Publish(ctx context.Context, e event.Event) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	if err := q.fault("publish"); err != nil {
		return err
	}
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.known("event " + e.ID) {
		return nil
	}
	q.events = append(q.events, e)
	q.poke()
	return nil
}

// Heard waits until n events of a subject are stored and returns all of them.
func (q *Queue) Heard(ctx context.Context, subject string, n int) ([]event.Event, error) {
	for {
		q.mu.Lock()
		wake := q.wake
		got := slices.DeleteFunc(slices.Clone(q.events), func(e event.Event) bool { return e.Route() != subject })
		q.mu.Unlock()
		if len(got) >= n {
			return got, nil
		}
		select {
		case <-wake:
		case <-ctx.Done():
			return got, fmt.Errorf("fake: %d of %d events: %w", len(got), n, ctx.Err())
		}
	}
}

// Ends tells how each message ended, in the order of their coming.
func (q *Queue) Ends() []string {
	q.mu.Lock()
	defer q.mu.Unlock()
	var out []string
	for _, m := range q.msgs {
		out = append(out, m.end)
	}
	return out
}

type lease struct {
	q        *Queue
	m        *message
	token    int
	delivery int
}

func (l *lease) Data() []byte  { return l.m.data }
func (l *lease) Delivery() int { return l.delivery }

func (l *lease) Origin() string { return l.m.origin }

// say does what is said about the message. Like the real queue it accepts the
// word of a worker that has lost its lease without complaint.
func (l *lease) say(ctx context.Context, op string, do func(m *message, held bool)) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	if err := l.q.fault(op); err != nil {
		return err
	}
	l.q.mu.Lock()
	defer l.q.mu.Unlock()
	if l.m.end == "" {
		do(l.m, l.m.token == l.token)
	}
	l.q.poke()
	return nil
}

func (l *lease) Extend(ctx context.Context) error {
	return l.say(ctx, "extend", func(m *message, _ bool) { m.ready = time.Now().Add(l.q.Lease) })
}

func (l *lease) Done(ctx context.Context) error {
	return l.say(ctx, "done", func(m *message, _ bool) { m.end = "done" })
}

func (l *lease) Retry(ctx context.Context, delay time.Duration) error {
	return l.say(ctx, "retry", func(m *message, held bool) {
		if held {
			m.ready = time.Now().Add(delay)
		}
	})
}

func (l *lease) Return(ctx context.Context) error {
	return l.say(ctx, "return", func(m *message, held bool) {
		if held {
			m.ready = time.Now()
			m.deliveries--
		}
	})
}

func (l *lease) Reject(ctx context.Context, reason string) error {
	return l.say(ctx, "reject", func(m *message, _ bool) { m.end, m.reason = "rejected", reason })
}
