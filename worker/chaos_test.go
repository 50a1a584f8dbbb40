package worker_test

import (
	"context"
	"errors"
	"fmt"
	"hash/fnv"
	"os"
	"sync"
	"time"

	"ashline/worker"
	"ashline/worker/event"
	"ashline/worker/fake"
	"ashline/worker/job"
)

// errGone is what a killed process would get if it could still ask.
var errGone = errors.New("chaos: this worker is dead")

// chaos decides which operation fails and how. What it decides depends on the
// seed, the worker, the operation and how often that worker has asked for it,
// and on nothing else, so that another order of goroutines changes little.
type chaos struct {
	seed  uint64
	until time.Time // from then on everything works, except that an outage ends in its time
	// outages of the store, from and to
	outages [][2]time.Time
	late    sync.WaitGroup

	mu    sync.Mutex
	count map[string]uint64
}

func newChaos(seed uint64, lasts time.Duration) *chaos {
	c := &chaos{seed: seed, until: time.Now().Add(lasts), count: map[string]uint64{}}
	for at := time.Now(); len(c.outages) < 2; {
		from := at.Add(c.between("store stays", time.Minute, time.Hour))
		at = from.Add(c.between("store goes", time.Second, 20*time.Minute))
		if from.Before(c.until) {
			c.outages = append(c.outages, [2]time.Time{from, at})
		} else {
			break
		}
	}
	return c
}

// draw gives the next number, 0 to 1, of one row of events.
func (c *chaos) draw(row string) float64 {
	c.mu.Lock()
	c.count[row]++
	n := c.count[row]
	c.mu.Unlock()
	h := fnv.New64a()
	fmt.Fprintf(h, "%d %s %d", c.seed, row, n)
	x := h.Sum64() // the last bytes hardly reach the upper bits: mix (finalizer of MurmurHash3, public domain)
	x ^= x >> 33
	x *= 0xff51afd7ed558ccd
	x ^= x >> 33
	x *= 0xc4ceb9fe1a85ec53
	x ^= x >> 33
	return float64(x>>11) / (1 << 53)
}

func (c *chaos) between(row string, lo, hi time.Duration) time.Duration {
	return lo + time.Duration(c.draw(row)*float64(hi-lo))
}

// life is one worker process as queue and store see it.
type life struct {
	name  string
	chaos *chaos

	mu     sync.Mutex
	dead   bool
	frozen time.Time // suspended until then
}

func (l *life) kill() {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.dead = true
}

func (l *life) freeze(d time.Duration) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.frozen = time.Now().Add(d)
}

func (l *life) gone() bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.dead
}

// thaw waits while the process is suspended.
func (l *life) thaw() {
	l.sleep(time.Millisecond) // a process that wakes finds its timers due before it gets anything done
}

func (l *life) sleep(more time.Duration) {
	l.mu.Lock()
	d := time.Until(l.frozen)
	l.mu.Unlock()
	if d > 0 {
		time.Sleep(d + more) //nolint:forbidigo // fake time
	}
}

// call does an operation that changes something, or lets it fail: before it,
// in it (the effect stays, the answer is lost), or so late that the caller has
// given up or died meanwhile.
func (l *life) call(ctx context.Context, op string, fail error, do func(context.Context) error) error {
	l.thaw()
	if err := ctx.Err(); err != nil {
		return err
	}
	if l.gone() {
		return errGone
	}
	row := l.name + " " + op
	if time.Now().After(l.chaos.until) {
		return do(ctx)
	}
	detached := context.WithoutCancel(ctx)
	switch r := l.chaos.draw(row); {
	case r < 0.06:
		return fmt.Errorf("chaos: %s: status 503: %w", op, fail)
	case r < 0.10:
		_ = do(detached)
		return fmt.Errorf("chaos: %s: answer lost: %w", op, fail)
	case r < 0.14:
		d := l.chaos.between(row, time.Second, 5*time.Minute)
		done := make(chan error, 1)
		l.chaos.late.Go(func() {
			time.Sleep(d) //nolint:forbidigo // fake time
			done <- do(detached)
		})
		select {
		case err := <-done:
			return err
		case <-ctx.Done():
			return ctx.Err()
		}
	default:
		return do(ctx)
	}
}

// shakyQueue is a worker's view of the queue.
type shakyQueue struct {
	*life
	q *fake.Queue
}

func (s shakyQueue) Next(ctx context.Context) (worker.Lease, error) {
	for {
		s.thaw()
		if s.gone() {
			return nil, errGone
		}
		l, err := s.q.Next(ctx)
		if err != nil {
			return nil, err
		}
		if s.gone() || time.Now().Before(s.chaos.until) && s.chaos.draw(s.name+" next") < 0.05 {
			continue // sent, and lost on the way
		}
		return shakyLease{s.life, l}, nil
	}
}

func (s shakyQueue) Publish(ctx context.Context, e event.Event) error {
	if e.Route() == event.SubjectProgress {
		return nil
	}
	return s.call(ctx, "publish", job.ErrUnreachable, func(ctx context.Context) error { return s.q.Publish(ctx, e) })
}

type shakyLease struct {
	*life
	worker.Lease
}

// unheard is for words that nobody confirms: they may be lost without an error.
func (l shakyLease) unheard(ctx context.Context, op string, do func(context.Context) error) error {
	if time.Now().Before(l.chaos.until) && l.chaos.draw(l.name+" lost "+op) < 0.1 {
		return ctx.Err()
	}
	return l.call(ctx, op, job.ErrUnreachable, do)
}

func (l shakyLease) Extend(ctx context.Context) error {
	l.sleep(0)
	return l.unheard(ctx, "extend", l.Lease.Extend)
}

func (l shakyLease) Done(ctx context.Context) error {
	return l.call(ctx, "done", job.ErrUnreachable, l.Lease.Done)
}

func (l shakyLease) Retry(ctx context.Context, d time.Duration) error {
	return l.unheard(ctx, "retry", func(ctx context.Context) error { return l.Lease.Retry(ctx, d) })
}

func (l shakyLease) Return(ctx context.Context) error {
	return l.unheard(ctx, "return", l.Lease.Return)
}

func (l shakyLease) Reject(ctx context.Context, why string) error {
	return l.unheard(ctx, "reject", func(ctx context.Context) error { return l.Lease.Reject(ctx, why) })
}

// shakyStore is a worker's view of the store.
type shakyStore struct {
	*life
	s *fake.Store
}

// away is an error while the store is down.
func (c *chaos) away() error {
	now := time.Now()
	for _, o := range c.outages {
		if now.After(o[0]) && now.Before(o[1]) {
			return fmt.Errorf("chaos: connection refused: %w", job.ErrUnreachable)
		}
	}
	return nil
}

func (s shakyStore) Ready(ctx context.Context, bucket string) error {
	if err := s.chaos.away(); err != nil {
		return err
	}
	return s.ask(ctx, "ready", func(ctx context.Context) error { return s.s.Ready(ctx, bucket) })
}

func (s shakyStore) Put(ctx context.Context, bucket, key, path, kind string) error {
	if err := s.chaos.away(); err != nil {
		return err
	}
	// What is late is sent from memory: the attempt's folder may be gone by then.
	raw, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	if time.Now().Before(s.chaos.until) && s.chaos.draw(s.name+" torn put") < 0.04 {
		// A store that writes in place leaves half an object under a new key.
		_ = s.s.Swap(context.WithoutCancel(ctx), bucket, key, "", raw[:len(raw)/2], kind)
		return fmt.Errorf("chaos: put: connection reset: %w", job.ErrUnreachable)
	}
	return s.call(ctx, "put", job.ErrTransient, func(ctx context.Context) error { return s.s.Store(ctx, bucket, key, raw) })
}

func (s shakyStore) Swap(ctx context.Context, bucket, key, version string, data []byte, kind string) error {
	if err := s.chaos.away(); err != nil {
		return err
	}
	if time.Now().Before(s.chaos.until) && s.chaos.draw(s.name+" conflict") < 0.05 {
		return fmt.Errorf("chaos: swap: status 409: %w", job.ErrTransient)
	}
	return s.call(ctx, "swap", job.ErrTransient, func(ctx context.Context) error { return s.s.Swap(ctx, bucket, key, version, data, kind) })
}

func (s shakyStore) Read(ctx context.Context, bucket, key string, limit int64) (out []byte, version string, err error) {
	if err := s.chaos.away(); err != nil {
		return nil, "", err
	}
	err = s.ask(ctx, "read", func(ctx context.Context) error {
		out, version, err = s.s.Read(ctx, bucket, key, limit)
		return err
	})
	return out, version, err
}

func (s shakyStore) Fetch(ctx context.Context, bucket, key, path string, limit int64) error {
	if err := s.chaos.away(); err != nil {
		return err
	}
	return s.ask(ctx, "fetch", func(ctx context.Context) error {
		if time.Now().Before(s.chaos.until) && s.chaos.draw(s.name+" torn fetch") < 0.04 {
			_ = os.WriteFile(path, []byte("fra"), 0o600)
			return fmt.Errorf("chaos: fetch: 3 bytes: %w", job.ErrTransient)
		}
		return s.s.Fetch(ctx, bucket, key, path, limit)
	})
}

func (s shakyStore) Has(ctx context.Context, bucket, key string) (ok bool, err error) {
	if err := s.chaos.away(); err != nil {
		return false, err
	}
	err = s.ask(ctx, "has", func(ctx context.Context) error {
		ok, err = s.s.Has(ctx, bucket, key)
		return err
	})
	return ok, err
}

// ask does an operation that changes nothing.
func (l *life) ask(ctx context.Context, op string, do func(context.Context) error) error {
	l.thaw()
	if l.gone() {
		return errGone
	}
	if time.Now().Before(l.chaos.until) {
		switch r := l.chaos.draw(l.name + " " + op); {
		case r < 0.05:
			return fmt.Errorf("chaos: %s: status 500: %w", op, job.ErrTransient)
		case r < 0.08:
			select {
			case <-time.After(l.chaos.between(l.name+" "+op, time.Second, 60*time.Second)):
			case <-ctx.Done():
				return ctx.Err()
			}
		}
	}
	if l.gone() {
		return errGone
	}
	return do(ctx)
}
