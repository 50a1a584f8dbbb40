package conform

import (
	"context"
	"errors"
	"fmt"
	"testing"
	"time"

	"ashline/worker"
	"ashline/worker/event"
	"ashline/worker/job"
)

// Queue is what the suite drives.
type Queue interface {
	worker.Source
	worker.Publisher
	Submit(ctx context.Context, j job.Job) (known bool, err error)
}

// Heard returns the events of a subject once there are n.
type Heard func(ctx context.Context, subject string, n int) ([]event.Event, error)

// QueueSuite runs the suite on an empty queue whose lease lasts for lease,
// which should be short: the suite waits for it to run out.
func QueueSuite(t *testing.T, q Queue, heard Heard, lease time.Duration) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	t.Cleanup(cancel)
	n := 0
	submit := func(t *testing.T) job.Job {
		t.Helper()
		n++
		j := job.Job{Schema: job.Schema, Bucket: bucket, Key: fmt.Sprintf("clips/%d.mp4", n)}
		j.ID = j.NewID("")
		if known, err := q.Submit(ctx, j); err != nil || known {
			t.Fatalf("Submit: known %v, %v", known, err)
		}
		return j
	}
	next := func(t *testing.T, want job.Job, delivery int) worker.Lease {
		t.Helper()
		l, err := q.Next(ctx)
		if err != nil {
			t.Fatalf("Next: %v", err)
		}
		got, err := job.Parse(l.Data())
		if err != nil || got.ID != want.ID || l.Delivery() != delivery {
			t.Fatalf("got job %q delivery %d (%v), want %q delivery %d", got.ID, l.Delivery(), err, want.ID, delivery)
		}
		return l
	}
	none := func(t *testing.T, wait time.Duration) {
		t.Helper()
		short, stop := context.WithTimeout(ctx, wait)
		defer stop()
		if l, err := q.Next(short); err == nil {
			t.Fatalf("unexpected delivery %d of %s", l.Delivery(), l.Data())
		}
	}
	must := func(t *testing.T, err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}

	t.Run("done is gone", func(t *testing.T) {
		j := submit(t)
		must(t, next(t, j, 1).Done(ctx))
		none(t, 2*lease)
	})
	t.Run("the same job twice is one", func(t *testing.T) {
		j := submit(t)
		if known, err := q.Submit(ctx, j); err != nil || !known {
			t.Fatalf("known %v, %v; want known", known, err)
		}
		must(t, next(t, j, 1).Done(ctx))
		none(t, 2*lease)
	})
	t.Run("given back comes again", func(t *testing.T) {
		j := submit(t)
		must(t, next(t, j, 1).Retry(ctx, 0))
		l := next(t, j, 2)
		before := time.Now()
		must(t, l.Retry(ctx, lease/2))
		l = next(t, j, 3)
		if got := time.Since(before); got < lease/2-time.Millisecond {
			t.Errorf("came back after %s, want %s", got, lease/2)
		}
		must(t, l.Done(ctx))
	})
	t.Run("returned comes again and is not counted", func(t *testing.T) {
		j := submit(t)
		l := next(t, j, 1)
		origin := l.Origin()
		must(t, l.Retry(ctx, 0))
		for range 3 {
			must(t, next(t, j, 2).Return(ctx))
		}
		l = next(t, j, 2)
		if got := l.Origin(); got != origin || got == "" {
			t.Errorf("got origin %q, want %q", got, origin)
		}
		must(t, l.Done(ctx))
		none(t, 2*lease)
	})
	t.Run("a silent worker loses it", func(t *testing.T) {
		j := submit(t)
		old := next(t, j, 1)
		l := next(t, j, 2)
		// The late word of the first holder is accepted; that is why the work
		// itself must be harmless when done twice.
		must(t, old.Extend(ctx))
		must(t, l.Done(ctx))
	})
	t.Run("a heartbeat keeps it", func(t *testing.T) {
		j := submit(t)
		l := next(t, j, 1)
		for range 6 {
			must(t, l.Extend(ctx))
			none(t, lease/2)
		}
		must(t, l.Done(ctx))
	})
	t.Run("rejected is gone", func(t *testing.T) {
		must(t, next(t, submit(t), 1).Reject(ctx, "bad_input: no\r\nvideo"))
		none(t, 2*lease)
	})
	t.Run("bad jobs are not taken in", func(t *testing.T) {
		_, err := q.Submit(ctx, job.Job{Schema: job.Schema, ID: "x", Bucket: bucket, Key: "../x.mp4"})
		if !errors.Is(err, job.ErrBadInput) {
			t.Fatalf("got %v, want ErrBadInput", err)
		}
	})
	t.Run("an event is stored once", func(t *testing.T) {
		e, err := event.New(event.SubjectFailed, "j1", time.Now(), "", event.Failed{Reason: "no"})
		must(t, err)
		must(t, q.Publish(ctx, e))
		must(t, q.Publish(ctx, e))
		other, err := event.New(event.SubjectFailed, "j2", time.Now(), "", event.Failed{Reason: "no"})
		must(t, err)
		must(t, q.Publish(ctx, other))
		got, err := heard(ctx, event.SubjectFailed, 2)
		if err != nil || len(got) != 2 || got[0].ID != e.ID || got[1].ID != other.ID {
			t.Fatalf("got %d events, %v; want the two", len(got), err)
		}
	})
	t.Run("a submission ends once", func(t *testing.T) {
		for _, subject := range []string{event.SubjectMeasured, event.SubjectFailed} {
			e, err := event.NewEnd(subject, "j3", "1@2", time.Now(), "", event.Failed{Reason: "no"})
			must(t, err)
			must(t, q.Publish(ctx, e))
		}
		again, err := event.NewEnd(event.SubjectFailed, "j3", "2@3", time.Now(), "", event.Failed{Reason: "no"})
		must(t, err)
		must(t, q.Publish(ctx, again))
		got, err := heard(ctx, event.SubjectFailed, 3)
		if err != nil || len(got) != 3 || got[2].ID != again.ID {
			t.Fatalf("got %d failures, %v; want two, and that of the other submission", len(got), err)
		}
	})
	t.Run("nobody waits", func(t *testing.T) {
		gone, stop := context.WithCancel(ctx)
		stop()
		if _, err := q.Next(gone); !errors.Is(err, context.Canceled) {
			t.Fatalf("got %v, want context.Canceled", err)
		}
	})
}
