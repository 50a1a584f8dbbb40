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

// QueueSuite runs each case of the suite as a test of its own. Within it, setup runs
// the case on an empty queue, or on one that other cases have left, in the time that
// suits it: a queue in memory in a bubble of fake time. A lease lasts for lease, which
// should be short where time is real: cases wait for it to run out.
func QueueSuite(t *testing.T, lease time.Duration, setup func(t *testing.T, check func(t *testing.T, q Queue, heard Heard))) {
	t.Helper()
	for i, c := range queueCases {
		t.Run(c.name, func(t *testing.T) {
			setup(t, func(t *testing.T, q Queue, heard Heard) {
				c.check(queueCase{t: t, q: q, heard: heard, lease: lease, key: fmt.Sprintf("clips/%d.mp4", i)})
			})
		})
	}
}

// queueCase is what one case works with.
type queueCase struct {
	t     *testing.T
	q     Queue
	heard Heard
	lease time.Duration
	key   string // of the case's clip
}

func (c queueCase) submit() job.Job {
	c.t.Helper()
	j := job.Job{Schema: job.Schema, Bucket: bucket, Key: c.key}
	j.ID = j.NewID("")
	if known, err := c.q.Submit(c.t.Context(), j); err != nil || known {
		c.t.Fatalf("Submit: known %v, %v", known, err)
	}
	return j
}

func (c queueCase) next(want job.Job, delivery int) worker.Lease {
	c.t.Helper()
	l, err := c.q.Next(c.t.Context())
	if err != nil {
		c.t.Fatalf("Next: %v", err)
	}
	got, err := job.Parse(l.Data())
	if err != nil || got.ID != want.ID || l.Delivery() != delivery {
		c.t.Fatalf("got job %q delivery %d (%v), want %q delivery %d", got.ID, l.Delivery(), err, want.ID, delivery)
	}
	return l
}

func (c queueCase) none(wait time.Duration) {
	c.t.Helper()
	short, stop := context.WithTimeout(c.t.Context(), wait)
	defer stop()
	if l, err := c.q.Next(short); err == nil {
		c.t.Fatalf("unexpected delivery %d of %s", l.Delivery(), l.Data())
	}
}

func (c queueCase) must(err error) {
	c.t.Helper()
	if err != nil {
		c.t.Fatal(err)
	}
}

var queueCases = []struct {
	name  string
	check func(c queueCase)
}{
	{"done is gone", func(c queueCase) {
		j := c.submit()
		c.must(c.next(j, 1).Done(c.t.Context()))
		c.none(2 * c.lease)
	}},
	{"the same job twice is one", func(c queueCase) {
		j := c.submit()
		if known, err := c.q.Submit(c.t.Context(), j); err != nil || !known {
			c.t.Fatalf("known %v, %v; want known", known, err)
		}
		c.must(c.next(j, 1).Done(c.t.Context()))
		c.none(2 * c.lease)
	}},
	{"given back comes again", func(c queueCase) {
		j := c.submit()
		c.must(c.next(j, 1).Retry(c.t.Context(), 0))
		l := c.next(j, 2)
		before := time.Now()
		c.must(l.Retry(c.t.Context(), c.lease/2))
		l = c.next(j, 3)
		if got := time.Since(before); got < c.lease/2-time.Millisecond {
			c.t.Errorf("came back after %s, want %s", got, c.lease/2)
		}
		c.must(l.Done(c.t.Context()))
	}},
	{"returned comes again and is not counted", func(c queueCase) {
		j := c.submit()
		l := c.next(j, 1)
		origin := l.Origin()
		c.must(l.Retry(c.t.Context(), 0))
		for range 3 {
			c.must(c.next(j, 2).Return(c.t.Context()))
		}
		l = c.next(j, 2)
		if got := l.Origin(); got != origin || got == "" {
			c.t.Errorf("got origin %q, want %q", got, origin)
		}
		c.must(l.Done(c.t.Context()))
		c.none(2 * c.lease)
	}},
	{"a silent worker loses it", func(c queueCase) {
		j := c.submit()
		old := c.next(j, 1)
		l := c.next(j, 2)
		// The late word of the first holder is accepted; that is why the work
		// itself must be harmless when done twice.
		c.must(old.Extend(c.t.Context()))
		c.must(l.Done(c.t.Context()))
	}},
	{"a heartbeat keeps it", func(c queueCase) {
		j := c.submit()
		l := c.next(j, 1)
		for range 6 {
			c.must(l.Extend(c.t.Context()))
			c.none(c.lease / 2)
		}
		c.must(l.Done(c.t.Context()))
	}},
	{"rejected is gone", func(c queueCase) {
		c.must(c.next(c.submit(), 1).Reject(c.t.Context(), "bad_input: no\r\nvideo"))
		c.none(2 * c.lease)
	}},
	{"bad jobs are not taken in", func(c queueCase) {
		_, err := c.q.Submit(c.t.Context(), job.Job{Schema: job.Schema, ID: "x", Bucket: bucket, Key: "../x.mp4"})
		if !errors.Is(err, job.ErrBadInput) {
			c.t.Fatalf("got %v, want ErrBadInput", err)
		}
	}},
	{"an event is stored once", func(c queueCase) {
		e, err := event.New(event.SubjectMeasured, "j1", time.Now(), "", event.Measured{})
		c.must(err)
		c.must(c.q.Publish(c.t.Context(), e))
		c.must(c.q.Publish(c.t.Context(), e))
		other, err := event.New(event.SubjectMeasured, "j2", time.Now(), "", event.Measured{})
		c.must(err)
		c.must(c.q.Publish(c.t.Context(), other))
		got, err := c.heard(c.t.Context(), event.SubjectMeasured, 2)
		if err != nil || len(got) != 2 || got[0].ID != e.ID || got[1].ID != other.ID {
			c.t.Fatalf("got %d events, %v; want the two", len(got), err)
		}
	}},
	{"a submission ends once", func(c queueCase) {
		for _, subject := range []string{event.SubjectMeasured, event.SubjectFailed} {
			e, err := event.NewEnd(subject, "j3", "1@2", time.Now(), "", event.Failed{Reason: "no"})
			c.must(err)
			c.must(c.q.Publish(c.t.Context(), e))
		}
		again, err := event.NewEnd(event.SubjectFailed, "j3", "2@3", time.Now(), "", event.Failed{Reason: "no"})
		c.must(err)
		c.must(c.q.Publish(c.t.Context(), again))
		got, err := c.heard(c.t.Context(), event.SubjectFailed, 1)
		if err != nil || len(got) != 1 || got[0].ID != again.ID {
			c.t.Fatalf("got %d failures, %v; want that of the other submission", len(got), err)
		}
	}},
	{"nobody waits", func(c queueCase) {
		gone, stop := context.WithCancel(c.t.Context())
		stop()
		if _, err := c.q.Next(gone); !errors.Is(err, context.Canceled) {
			c.t.Fatalf("got %v, want context.Canceled", err)
		}
	}},
}
