package worker_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"ashline/worker"
	"ashline/worker/bundle"
	"ashline/worker/event"
	"ashline/worker/fake"
	"ashline/worker/job"
)

const (
	bucket  = "clips"
	lease   = 30 * time.Second
	clipKey = "clips/fernhill/fh-001/abc/clip.mp4"
)

// bench is a worker's surroundings in memory. Tests that wait run in a bubble
// of fake time.
type bench struct {
	t       *testing.T
	store   *fake.Store
	queue   *fake.Queue
	analyst *fake.Analyst
	scratch string
}

func setup(t *testing.T) *bench {
	t.Helper()
	b := &bench{t: t, store: fake.NewStore(), queue: fake.NewQueue(lease), analyst: &fake.Analyst{}, scratch: t.TempDir()}
	b.put(clipKey, "frames")
	b.put("clips/fernhill/fh-001/abc/session.card.yaml", "academy: fernhill\nhitter: fh-001\nlabel: before\n")
	return b
}

func (b *bench) put(key, text string) {
	b.t.Helper()
	if err := b.store.Store(context.Background(), bucket, key, []byte(text)); err != nil {
		b.t.Fatal(err)
	}
}

func (b *bench) submit(salt string) job.Job {
	b.t.Helper()
	j := job.Job{Schema: job.Schema, Bucket: bucket, Key: clipKey}
	j.ID = j.NewID(salt)
	if _, err := b.queue.Submit(b.t.Context(), j); err != nil {
		b.t.Fatal(err)
	}
	return j
}

// start runs a worker; the returned stop ends it and waits.
func (b *bench) start(cfg worker.Config) (stop func()) {
	return b.startWith(b.store, b.analyst, nil, cfg)
}

// startWith is start with another store or analyst, or with telemetry.
func (b *bench) startWith(objects worker.Objects, analyst worker.Analyst, tele *worker.Telemetry, cfg worker.Config) (stop func()) {
	cfg.Scratch, cfg.Bucket = b.scratch, bucket
	if cfg.Lease == 0 {
		cfg.Lease = lease
	}
	cfg.Random = func() float64 { return 0 }
	if cfg.Room == 0 {
		cfg.Room = 1
	}
	w := worker.New(b.queue, objects, b.queue, analyst, tele, cfg)
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() {
		defer close(done)
		w.Run(ctx)
	}()
	return func() {
		cancel()
		<-done
	}
}

func (b *bench) hear(subject string, n int) []event.Event {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), time.Hour)
	defer cancel()
	got, err := b.queue.Heard(ctx, subject, n)
	if err != nil {
		b.t.Fatal(err)
	}
	return got
}

func (b *bench) manifests() (n int) {
	for _, k := range b.store.Keys(bucket) {
		if !strings.HasSuffix(k, "/"+bundle.ManifestName) {
			continue
		}
		end, err := bundle.Look(context.Background(), b.store, bucket, k)
		if err != nil {
			b.t.Errorf("half a bundle: %v", err)
		}
		if end.Manifest != nil {
			n++
		}
	}
	return n
}

// settled checks what must hold after every story: nothing lies about.
func (b *bench) settled(wantEnd string, manifests int) {
	b.t.Helper()
	synctest.Wait()
	for i, got := range b.queue.Ends() {
		if got != wantEnd {
			b.t.Errorf("message %d: ended %q, want %q", i, got, wantEnd)
		}
	}
	if got := b.manifests(); got != manifests {
		b.t.Errorf("got %d manifests, want %d", got, manifests)
	}
	if left, _ := filepath.Glob(filepath.Join(b.scratch, "*")); len(left) != 0 {
		b.t.Errorf("left behind: %q", left)
	}
}

func TestMeasured(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := setup(t)
		stop := b.start(worker.Config{})
		first := b.submit("")
		b.hear(event.SubjectMeasured, 1)
		b.submit("again")
		got := b.hear(event.SubjectMeasured, 2)
		stop()
		b.settled("done", 1)
		if b.analyst.Calls() != 1 {
			t.Errorf("analysed %d times, want once: the second job finds the bundle", b.analyst.Calls())
		}
		var m event.Measured
		if err := unmarshal(got[0], &m); err != nil {
			t.Fatal(err)
		}
		if m.Job.ID != first.ID || m.Hitter != "fh-001" || m.Label != "before" || !strings.HasSuffix(m.Metrics, "/metrics.json") {
			t.Errorf("got %+v", m)
		}
		if ok, _ := b.store.Has(t.Context(), bucket, m.Metrics); !ok {
			t.Errorf("no object %q", m.Metrics)
		}
		if got[0].DataRef != "s3://clips/"+m.Metrics {
			t.Errorf("dataref %q", got[0].DataRef)
		}
		if len(b.hear(event.SubjectProgress, 1)) == 0 {
			t.Error("no progress")
		}
	})
}

func TestFates(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		err      error
		class    job.Class
		attempts int
		reason   string
	}{
		"bad input":      {fmt.Errorf("%w: no video stream", job.ErrBadInput), job.BadInput, 1, "no video stream"},
		"bug":            {errors.New("worker: the analysis died of segmentation fault"), job.Bug, 1, "worker: the analysis died of segmentation fault"},
		"never succeeds": {fmt.Errorf("%w: out of memory", job.ErrTransient), job.Transient, 3, "out of memory"},
		"unreachable":    {fmt.Errorf("x: %w", job.ErrUnreachable), job.Transient, 3, "x: job: service unreachable"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				b := setup(t)
				b.analyst.Do = func(context.Context, int, worker.Task) error { return c.err }
				stop := b.start(worker.Config{Attempts: 3})
				b.submit("")
				e := b.hear(event.SubjectFailed, 1)[0]
				stop()
				b.settled("rejected", 0)
				var f event.Failed
				if err := unmarshal(e, &f); err != nil {
					t.Fatal(err)
				}
				if f.Class != c.class || f.Attempts != c.attempts || f.Reason != c.reason || b.analyst.Calls() != c.attempts {
					t.Errorf("got %+v after %d analyses, want %s after %d: %q", f, b.analyst.Calls(), c.class, c.attempts, c.reason)
				}
			})
		})
	}
}

func TestPanicCostsOnlyItsJob(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := setup(t)
		b.analyst.Do = func(_ context.Context, call int, _ worker.Task) error {
			if call == 1 {
				panic("index out of range")
			}
			return nil
		}
		stop := b.start(worker.Config{})
		b.submit("")
		b.hear(event.SubjectFailed, 1)
		b.submit("again")
		b.hear(event.SubjectMeasured, 1)
		stop()
		if got := b.queue.Ends(); got[0] != "rejected" || got[1] != "done" {
			t.Errorf("got ends %q", got)
		}
	})
}

func TestTransientFaultsEndInOneBundle(t *testing.T) {
	t.Parallel()
	for _, op := range []string{"fetch", "has", "read", "put", "swap", "publish", "done", "next"} {
		t.Run(op, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				b := setup(t)
				left := 2
				fault := func(got string) error {
					if got == op && left > 0 {
						left--
						return fmt.Errorf("%s: %w", op, job.ErrUnreachable)
					}
					return nil
				}
				stopFaults := func() { b.store.Fault, b.queue.Fault = nil, nil }
				b.store.Fault = func(op, _ string) error { return fault(op) }
				b.queue.Fault = fault
				stop := b.start(worker.Config{})
				b.submit("")
				b.hear(event.SubjectMeasured, 1)
				time.Sleep(10 * lease) //nolint:forbidigo // the bubble has a fake clock: late deliveries come without waiting
				stop()
				stopFaults()
				b.settled("done", 1)
				if got := len(b.hear(event.SubjectMeasured, 1)); got != 1 {
					t.Errorf("told %d times, want once", got)
				}
			})
		})
	}
}

func TestLostLeaseCancelsTheWork(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := setup(t)
		var cause error
		b.analyst.Do = func(ctx context.Context, call int, _ worker.Task) error {
			if call > 1 {
				return nil
			}
			<-ctx.Done()
			cause = context.Cause(ctx)
			b.queue.Fault = nil
			return ctx.Err()
		}
		b.queue.Fault = func(op string) error {
			if op == "extend" {
				return job.ErrUnreachable
			}
			return nil
		}
		stop := b.start(worker.Config{})
		b.submit("")
		b.hear(event.SubjectMeasured, 1)
		stop()
		b.settled("done", 1)
		if !errors.Is(cause, job.ErrLostLease) {
			t.Errorf("got cause %v, want ErrLostLease", cause)
		}
		if b.analyst.Calls() != 2 {
			t.Errorf("got %d analyses, want 2", b.analyst.Calls())
		}
	})
}

func TestHeartbeatKeepsALongJob(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := setup(t)
		b.analyst.Do = func(ctx context.Context, _ int, _ worker.Task) error {
			select {
			case <-time.After(20 * lease):
				return nil
			case <-ctx.Done():
				return ctx.Err()
			}
		}
		stop, stop2 := b.start(worker.Config{}), b.start(worker.Config{})
		b.submit("")
		b.hear(event.SubjectMeasured, 1)
		stop()
		stop2()
		b.settled("done", 1)
		if b.analyst.Calls() != 1 {
			t.Errorf("got %d analyses, want 1", b.analyst.Calls())
		}
	})
}

func TestDrain(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		work  time.Duration
		grace time.Duration
		calls int
	}{
		"a short job finishes":        {5 * time.Second, 20 * time.Second, 1},
		"a long job is given back":    {time.Hour, 20 * time.Second, 2},
		"without grace, at once back": {5 * time.Second, -1, 2},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				b := setup(t)
				began := make(chan struct{})
				b.analyst.Do = func(ctx context.Context, call int, _ worker.Task) error {
					if call > 1 {
						return nil
					}
					close(began)
					select {
					case <-time.After(c.work):
						return nil
					case <-ctx.Done():
						return ctx.Err()
					}
				}
				stop := b.start(worker.Config{Grace: c.grace})
				b.submit("")
				<-began
				before := time.Now()
				stop()
				if got, most := time.Since(before), max(0, c.grace); got > most {
					t.Errorf("drained in %s, want at most %s", got, most)
				}
				stop = b.start(worker.Config{})
				b.hear(event.SubjectMeasured, 1)
				if got := time.Since(before); got > 25*time.Second {
					t.Errorf("the next worker had it after %s: it was not given back", got)
				}
				stop()
				b.settled("done", 1)
				if b.analyst.Calls() != c.calls {
					t.Errorf("got %d analyses, want %d", b.analyst.Calls(), c.calls)
				}
			})
		})
	}
}

func TestBadMessages(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		data string
		end  string
		fail bool
	}{
		"not JSON":         {"swing", "rejected", true},
		"unknown field":    {`{"schema":"ashline.job/1.0","id":"x","bucket":"clips","key":"a.mp4","run":"rm"}`, "rejected", true},
		"leaves its place": {`{"schema":"ashline.job/1.0","id":"x","bucket":"clips","key":"../../etc/a.mp4"}`, "rejected", true},
		"not there":        {`{"schema":"ashline.job/1.0","id":"x","bucket":"clips","key":"gone.mp4"}`, "rejected", true},
		"store: a card":    {`{"Records":[{"eventName":"s3:ObjectCreated:Put","s3":{"bucket":{"name":"clips"},"object":{"key":"a.card.yaml"}}}]}`, "done", false},
		"store: a removal": {`{"Records":[{"eventName":"s3:ObjectRemoved:Delete","s3":{"bucket":{"name":"clips"},"object":{"key":"a.mp4"}}}]}`, "done", false},
		"store: a clip":    {`{"Records":[{"eventName":"s3:ObjectCreated:Put","s3":{"bucket":{"name":"clips"},"object":{"key":"clips%2Ffernhill%2Ffh-001%2Fabc%2Fclip.mp4","eTag":"e"}}}]}`, "done", false},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				b := setup(t)
				stop := b.start(worker.Config{})
				b.queue.Add("x", []byte(c.data))
				time.Sleep(time.Second) //nolint:forbidigo // the bubble has a fake clock
				stop()
				if got := b.queue.Ends()[0]; got != c.end {
					t.Errorf("ended %q, want %q", got, c.end)
				}
				want := 0
				if c.fail {
					want = 1
				}
				if got := len(b.hear(event.SubjectFailed, 0)); got != want {
					t.Errorf("got %d failures, want %d", got, want)
				}
			})
		})
	}
}

func TestBadCardIsToldByNameAndField(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := setup(t)
		b.put("clips/fernhill/fh-001/abc/clip.card.yaml", "bats: both\n")
		stop := b.start(worker.Config{})
		b.submit("")
		var f event.Failed
		if err := unmarshal(b.hear(event.SubjectFailed, 1)[0], &f); err != nil {
			t.Fatal(err)
		}
		stop()
		if f.Class != job.BadInput || !strings.Contains(f.Reason, "clip.card.yaml") || !strings.Contains(f.Reason, "bats") || strings.Contains(f.Reason, b.scratch) {
			t.Errorf("got %s: %q", f.Class, f.Reason)
		}
	})
}

func TestWorkersThatDieAreCounted(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := setup(t)
		b.submit("")
		for range 3 { // three workers take it and are never heard of again
			if _, err := b.queue.Next(t.Context()); err != nil {
				t.Fatal(err)
			}
		}
		stop := b.start(worker.Config{Attempts: 3})
		var f event.Failed
		if err := unmarshal(b.hear(event.SubjectFailed, 1)[0], &f); err != nil {
			t.Fatal(err)
		}
		stop()
		b.settled("rejected", 0)
		if f.Class != job.Transient || b.analyst.Calls() != 0 {
			t.Errorf("got %+v after %d analyses", f, b.analyst.Calls())
		}
	})
}

func TestSweepLeavesTheLiving(t *testing.T) {
	t.Parallel()
	b := setup(t)
	living, dead, fresh := filepath.Join(b.scratch, "ashline-job-1"), filepath.Join(b.scratch, "ashline-job-2"), filepath.Join(b.scratch, "ashline-job-3")
	for _, d := range []string{living, dead, fresh} {
		if err := os.MkdirAll(filepath.Join(d, "in"), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	old := time.Now().Add(-time.Hour)
	for _, d := range []string{living, dead} {
		if err := os.Chtimes(d, old, old); err != nil {
			t.Fatal(err)
		}
	}
	f, err := os.Open(living)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX); err != nil {
		t.Fatal(err)
	}
	b.start(worker.Config{})()
	for d, want := range map[string]bool{living: true, dead: false, fresh: true} {
		if _, err := os.Stat(d); (err == nil) != want {
			t.Errorf("%s: is there %v, want %v", filepath.Base(d), err == nil, want)
		}
	}
}

func TestDrainCostsNoAttempt(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := setup(t)
		began := make(chan struct{})
		b.analyst.Do = func(ctx context.Context, call int, _ worker.Task) error {
			if call > 6 {
				return nil
			}
			began <- struct{}{}
			<-ctx.Done()
			return ctx.Err()
		}
		b.submit("")
		for range 6 {
			stop := b.start(worker.Config{Grace: -1, Attempts: 2})
			<-began
			stop()
		}
		stop := b.start(worker.Config{Attempts: 2})
		b.hear(event.SubjectMeasured, 1)
		stop()
		b.settled("done", 1)
	})
}
