package worker_test

import (
	"context"
	"errors"
	"fmt"
	"testing"
	"testing/synctest"
	"time"

	"ashline/worker"
	"ashline/worker/event"
	"ashline/worker/fake"
	"ashline/worker/job"
)

func TestALostAnswerToTheCommitIsNoFailure(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := setup(t)
		stop := b.startWith(lostAnswer{b.store}, b.analyst, nil, worker.Config{Attempts: 1})
		b.submit("")
		b.hear(event.SubjectMeasured, 1)
		stop()
		b.settled("done", 1)
		if got := len(b.hear(event.SubjectFailed, 0)); got != 0 {
			t.Errorf("told %d failures of a committed bundle", got)
		}
	})
}

// lostAnswer stores what is created and says that it did not.
type lostAnswer struct{ *fake.Store }

func (s lostAnswer) Swap(ctx context.Context, bucket, key, version string, data []byte, kind string) error {
	_ = s.Store.Swap(ctx, bucket, key, version, data, kind)
	return job.ErrTransient
}

func TestACommittedBundleIsNotGivenUp(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := setup(t)
		stop := b.start(worker.Config{})
		b.submit("")
		b.hear(event.SubjectMeasured, 1)
		stop()
		b.submit("again")
		for range 3 { // they commit, and die before they tell
			if _, err := b.queue.Next(t.Context()); err != nil {
				t.Fatal(err)
			}
		}
		stop = b.start(worker.Config{Attempts: 3})
		b.hear(event.SubjectMeasured, 2)
		stop()
		b.settled("done", 1)
	})
}

// A worker that comes late with a result, after another has told the failure,
// commits nothing; a worker that comes late with a failure, after another has
// committed, tells the result.
func TestTheFirstEndHolds(t *testing.T) {
	t.Parallel()
	bad := fmt.Errorf("%w: no video stream", job.ErrBadInput)
	for name, c := range map[string]struct {
		late, quick  error
		subject, end string
		manifests    int
	}{
		"late result":  {nil, bad, event.SubjectFailed, "rejected", 0},
		"late failure": {bad, nil, event.SubjectMeasured, "done", 1},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				b := setup(t)
				b.analyst.Do = func(_ context.Context, call int, _ worker.Task) error {
					if call > 1 {
						return c.quick
					}
					b.queue.Redeliver(2)
					time.Sleep(time.Minute) //nolint:forbidigo // the bubble has a fake clock
					return c.late
				}
				stop, stop2 := b.start(worker.Config{}), b.start(worker.Config{})
				b.submit("")
				time.Sleep(2 * time.Minute) //nolint:forbidigo // the bubble has a fake clock
				stop()
				stop2()
				b.settled(c.end, c.manifests)
				if measured, failed := len(b.hear(event.SubjectMeasured, 0)), len(b.hear(event.SubjectFailed, 0)); measured+failed != 1 || len(b.hear(c.subject, 1)) != 1 {
					t.Errorf("told %d results and %d failures", measured, failed)
				}
				if b.analyst.Calls() != 2 {
					t.Errorf("got %d analyses, want 2", b.analyst.Calls())
				}
			})
		})
	}
}

// A clip that failed can be asked for again, and may succeed then.
func TestAskedAgainAfterAFailure(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := setup(t)
		b.analyst.Do = func(_ context.Context, call int, _ worker.Task) error {
			if call < 3 {
				return fmt.Errorf("%w: no video stream", job.ErrBadInput)
			}
			return nil
		}
		stop := b.start(worker.Config{})
		b.submit("")
		b.hear(event.SubjectFailed, 1)
		b.submit("again")
		b.hear(event.SubjectFailed, 2)
		b.submit("and again")
		b.hear(event.SubjectMeasured, 1)
		stop()
		if got := b.manifests(); got != 1 {
			t.Errorf("got %d manifests, want 1", got)
		}
	})
}

// While the store is away no job is given up and none loses an attempt; when it
// is back each is measured.
func TestStoreAway(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := setup(t)
		away := fmt.Errorf("away: %w", job.ErrUnreachable)
		b.store.Fault = func(string, string) error { return away }
		stop := b.start(worker.Config{Attempts: 2})
		b.submit("")
		b.submit("another")
		time.Sleep(8 * time.Hour) //nolint:forbidigo // the bubble has a fake clock
		if ends := b.queue.Ends(); ends[0] != "" || ends[1] != "" {
			t.Fatalf("ended %q without the store", ends)
		}
		stop()
		b.store.Fault = nil
		stop = b.start(worker.Config{Attempts: 2})
		b.hear(event.SubjectMeasured, 2)
		stop()
		b.settled("done", 1)
	})
}

// A store that answers, but not for this clip, costs attempts. That the end could
// not be recorded does not keep it from being told, after an hour.
func TestOneClipCannotBeHad(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := setup(t)
		b.queue.MaxDeliver = 4
		b.store.Fault = func(op, _ string) error {
			if op == "fetch" {
				return fmt.Errorf("reset: %w", job.ErrUnreachable)
			}
			return nil
		}
		stop := b.start(worker.Config{Attempts: 2})
		b.submit("")
		time.Sleep(20 * time.Minute) //nolint:forbidigo // the bubble has a fake clock
		stop()
		stuck := b.queue.Stuck()
		if len(stuck) != 1 || b.queue.Ends()[0] != "" {
			t.Fatalf("got %d stuck, ends %q", len(stuck), b.queue.Ends())
		}
		w := worker.New(b.queue, b.store, b.queue, b.analyst, nil, worker.Config{Bucket: bucket, Room: 1, Scratch: b.scratch})
		giveUp := func(age time.Duration) error {
			return w.GiveUp(t.Context(), stuck[0].Origin(), stuck[0].Data(), 4, age)
		}
		if err := giveUp(time.Minute); !errors.Is(err, job.ErrUnreachable) {
			t.Errorf("got %v, want ErrUnreachable", err)
		}
		if err := giveUp(2 * time.Hour); err != nil {
			t.Errorf("after two hours: %v", err)
		}
		if got := len(b.hear(event.SubjectFailed, 1)); got != 1 {
			t.Errorf("got %d failures", got)
		}
	})
}

// A worker whose disk is full leaves the jobs to others.
func TestNoRoom(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := setup(t)
		stop := b.start(worker.Config{Room: 1 << 60})
		b.submit("")
		time.Sleep(time.Hour) //nolint:forbidigo // the bubble has a fake clock
		if b.analyst.Calls() != 0 {
			t.Error("a job was taken without room for it")
		}
		other := b.start(worker.Config{})
		b.hear(event.SubjectMeasured, 1)
		other()
		stop()
		b.settled("done", 1)
	})
}
