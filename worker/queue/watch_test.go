package queue_test

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"ashline/worker/conform"
	"ashline/worker/queue"
)

// stuckConfig makes a job stuck after three deliveries of a tenth of a second.
var stuckConfig = queue.Config{Lease: 100 * time.Millisecond, Attempts: 1, Sweep: 100 * time.Millisecond}

// stick takes a job so often, without a word, that the queue sets it aside.
func stick(t *testing.T, q *queue.Queue, jobs int) {
	t.Helper()
	for range 3 * jobs {
		if _, err := q.Next(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	conform.Await(t, "stuck jobs", func(ctx context.Context) error {
		short, stop := context.WithTimeout(ctx, 200*time.Millisecond)
		defer stop()
		_, _ = q.Next(short) // the queue notices when somebody asks
		v, err := q.Survey(ctx, 0)
		if err == nil && v.Stuck != jobs {
			err = fmt.Errorf("%+v", v)
		}
		return err
	})
}

// watch runs WatchStuck until the test ends.
func watch(t *testing.T, q *queue.Queue, fn func(queue.Stuck) error) (ended chan error) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	ended, gone := make(chan error, 1), make(chan struct{})
	go func() {
		defer close(gone)
		ended <- q.WatchStuck(ctx, func(_ context.Context, s queue.Stuck) error { return fn(s) })
	}()
	t.Cleanup(func() {
		cancel()
		<-gone
	})
	return ended
}

// someStuck waits until so many are left.
func someStuck(t *testing.T, q *queue.Queue, want int) {
	t.Helper()
	conform.Await(t, "the watch", func(ctx context.Context) error {
		v, err := q.Survey(ctx, 0)
		if err == nil && v.Stuck != want {
			err = fmt.Errorf("%+v", v)
		}
		return err
	})
}

// A watch that begins before there is a stream does its work once there is one.
func TestWatchOutlastsItsBeginning(t *testing.T) {
	t.Parallel()
	p, log := newPlain(t), make(lines, 100)
	p.start(t, "right")
	cfg := stuckConfig
	cfg.URL, cfg.Log = p.url("right"), slog.New(slog.NewTextHandler(log, nil))
	q, err := queue.Open(t.Context(), cfg)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(q.Close)
	ended := watch(t, q, func(queue.Stuck) error { return nil })
	log.say(t, "stream not found")
	if err := q.Setup(t.Context()); err != nil {
		t.Fatal(err)
	}
	enqueue(t, q, "x")
	for range 3 {
		if _, err := q.Next(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	conform.Await(t, "the watch", func(ctx context.Context) error {
		short, stop := context.WithTimeout(ctx, 200*time.Millisecond)
		defer stop()
		_, _ = q.Next(short)
		select {
		case err := <-ended:
			t.Fatalf("the watch ended: %v", err)
		default:
		}
		n, m, err := q.Lag(ctx)
		v, serr := q.Survey(ctx, 1)
		if err = errors.Join(err, serr); err == nil && n+m+len(v.Jobs) != 0 {
			err = fmt.Errorf("%+v", v)
		}
		return err
	})
}

// An advisory is heard once; what could not be done about it is done later, while
// other jobs wait as well.
func TestStuckIsTriedAgain(t *testing.T) {
	t.Parallel()
	p := newPlain(t)
	p.start(t, "right")
	q := p.open(t, stuckConfig)
	enqueue(t, q, "other")
	l, err := q.Next(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if err := l.Retry(t.Context(), time.Hour); err != nil {
		t.Fatal(err)
	}
	var calls, back atomic.Int32
	watch(t, q, func(queue.Stuck) error {
		calls.Add(1)
		if back.Load() == 0 {
			return errors.New("the store is away")
		}
		return nil
	})
	enqueue(t, q, "x")
	stick(t, q, 1)
	conform.Await(t, "a second try", func(context.Context) error {
		if n := calls.Load(); n < 2 {
			return fmt.Errorf("called %d times", n)
		}
		return nil
	})
	back.Store(1)
	someStuck(t, q, 0)
	if v, err := q.Survey(t.Context(), 10); err != nil || len(v.Jobs) != 1 || v.Jobs[0].ID != "other" {
		t.Errorf("got %+v, %v; want the other job", v, err)
	}
}

// One job that cannot be given up does not hold up those after it.
func TestSweepGoesOn(t *testing.T) {
	t.Parallel()
	p := newPlain(t)
	p.start(t, "right")
	q := p.open(t, stuckConfig)
	enqueue(t, q, "first")
	enqueue(t, q, "second")
	stick(t, q, 2)
	watch(t, q, func(s queue.Stuck) error {
		if strings.Contains(string(s.Data), "first") {
			return errors.New("not yet")
		}
		return nil
	})
	someStuck(t, q, 1)
	v, err := q.Survey(t.Context(), 10)
	if err != nil || len(v.Jobs) != 1 || v.Jobs[0].ID != "first" {
		t.Errorf("got %+v, %v; want the first job alone", v, err)
	}
}
