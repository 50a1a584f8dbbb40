package worker_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"ashline/worker"
	"ashline/worker/event"
	"ashline/worker/fake"
	"ashline/worker/job"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/testutil"
)

// bucketGone is a store that answers, in which the bucket is not, or not for this
// account: not mounted, a key changed, a clock wrong.
type bucketGone struct {
	*fake.Store
	err error
}

func (s *bucketGone) Ready(ctx context.Context, bucket string) error {
	if s.err != nil {
		return s.err
	}
	return s.Store.Ready(ctx, bucket)
}

func (s *bucketGone) Has(ctx context.Context, bucket, key string) (bool, error) {
	if s.err != nil {
		return false, nil //nolint:nilerr // to the client an object of a bucket that is not there is only not there
	}
	return s.Store.Has(ctx, bucket, key)
}

func (s *bucketGone) Fetch(ctx context.Context, bucket, key, path string, limit int64) error {
	if s.err != nil {
		return s.err
	}
	return s.Store.Fetch(ctx, bucket, key, path, limit)
}

func TestNoJobIsBlamedForTheBucket(t *testing.T) {
	t.Parallel()
	for name, gone := range map[string]error{"not there": job.ErrNotFound, "refused": job.ErrDenied} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				b := setup(t)
				st := &bucketGone{b.store, gone}
				run := func(d time.Duration) {
					stop := b.startWith(st, b.analyst, nil, worker.Config{Attempts: 2})
					time.Sleep(d) //nolint:forbidigo // the bubble has a fake clock
					stop()
				}
				b.submit("")
				b.submit("another")
				run(8 * time.Hour)
				if ends := b.queue.Ends(); ends[0] != "" || ends[1] != "" {
					t.Fatalf("ended %q", ends)
				}
				st.err = nil
				run(time.Hour)
				b.settled("done", 1)
			})
		})
	}
}

// A job for a bucket that is none of these workers' ends at once, whatever its
// store says of it.
func TestAnotherBucket(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := setup(t)
		j := job.Job{Schema: job.Schema, Bucket: "elsewhere", Key: clipKey}
		j.ID = j.NewID("")
		if _, err := b.queue.Submit(t.Context(), j); err != nil {
			t.Fatal(err)
		}
		stop := b.start(worker.Config{})
		var f event.Failed
		if err := unmarshal(b.hear(event.SubjectFailed, 1)[0], &f); err != nil || f.Class != job.BadInput {
			t.Errorf("got %+v, %v", f, err)
		}
		stop()
		b.settled("rejected", 0)
	})
}

func hashOf(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])
}

// A clip that is gone after its bundle was committed and before that was told is
// told as measured.
func TestClipGoneAfterTheCommit(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := setup(t)
		submit := func(salt string) {
			j := job.Job{Schema: job.Schema, Bucket: bucket, Key: clipKey, ClipSHA256: hashOf("frames")}
			j.ID = j.NewID(salt)
			if _, err := b.queue.Submit(t.Context(), j); err != nil {
				t.Fatal(err)
			}
		}
		stop := b.start(worker.Config{})
		submit("")
		b.hear(event.SubjectMeasured, 1)
		b.store.Fault = func(op, key string) error {
			if op == "fetch" && key == clipKey {
				return job.ErrNotFound
			}
			return nil
		}
		submit("again")
		b.hear(event.SubjectMeasured, 2)
		stop()
		b.settled("done", 1)
	})
}

// Looking at a job may take longer than the watch waits; its end is told all the same.
func TestGiveUpTellsAfterALongLook(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := setup(t)
		raw, err := json.Marshal(b.submit(""))
		if err != nil {
			t.Fatal(err)
		}
		ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
		defer cancel()
		b.store.Fault = func(op, _ string) error {
			if op != "fetch" {
				return nil
			}
			<-ctx.Done()
			return ctx.Err()
		}
		w := worker.New(b.queue, b.store, b.queue, b.analyst, nil, worker.Config{Bucket: bucket, Scratch: b.scratch})
		if err := w.GiveUp(ctx, "0", raw, 7, 2*time.Hour); err != nil {
			t.Fatal(err)
		}
		b.hear(event.SubjectFailed, 1)
	})
}

// An analysis that goes to and fro between stages does not flood the queue.
func TestProgressIsBounded(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := setup(t)
		stop := b.startWith(b.store, flood{}, nil, worker.Config{})
		b.submit("")
		b.hear(event.SubjectMeasured, 1)
		stop()
		if got := len(b.hear(event.SubjectProgress, 0)); got > 100 {
			t.Errorf("got %d progress events of one job", got)
		}
	})
}

type flood struct{ *fake.Analyst }

func (flood) Analyse(_ context.Context, t worker.Task, step func(worker.Step)) error {
	for i := range 10_000 {
		step(worker.Step{Stage: string(rune('a' + i%2)), Done: i})
	}
	return fake.WriteResult(t.Out)
}

// A lease that was returned is not counted as held.
func TestReturnedLeasesAreLetGo(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := setup(t)
		reg := prometheus.NewRegistry()
		began := make(chan struct{})
		b.analyst.Do = func(ctx context.Context, _ int, _ worker.Task) error {
			close(began)
			<-ctx.Done()
			return ctx.Err()
		}
		stop := b.startWith(b.store, b.analyst, worker.NewTelemetry(reg), worker.Config{Grace: -1, Lease: time.Hour})
		b.submit("")
		<-began
		stop()
		time.Sleep(time.Minute) //nolint:forbidigo // the bubble has a fake clock
		want := "# HELP ashline_lease_age_seconds Time since the queue last heard of the lease it has heard of least lately; 0 without any.\n# TYPE ashline_lease_age_seconds gauge\nashline_lease_age_seconds 0\n"
		if err := testutil.GatherAndCompare(reg, strings.NewReader(want), "ashline_lease_age_seconds"); err != nil {
			t.Error(err)
		}
	})
}

// What stands in a message that is refused does not reach the log.
func TestRefusedMessagesAreNotQuoted(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := setup(t)
		var out bytes.Buffer
		stop := b.start(worker.Config{Log: slog.New(slog.NewJSONHandler(&out, nil))})
		b.queue.Add("x", []byte(`{"schema":"ashline.job/1.0","id":"`+ourSecret+`","bucket":"clips","key":"a.mp4"}`))
		b.queue.Add("y", []byte(`{"schema":"ashline.job/1.0","id":"y","bucket":"clips","key":"a.mp4","`+ourSecret+`":1}`))
		long := fmt.Sprintf(`{"schema":"ashline.job/1.0","id":"z","bucket":"clips","key":"%s %s.mp4"}`, strings.Repeat("../", 100), ourSecret)
		b.queue.Add("z", []byte(long))
		b.hear(event.SubjectFailed, 3)
		stop()
		if strings.Contains(out.String(), ourSecret) {
			t.Errorf("the log tells %q: %s", ourSecret, out.String())
		}
	})
}

// careless is a store that heeds no condition.
type careless struct{ *fake.Store }

func (s careless) Swap(ctx context.Context, bucket, key, _ string, data []byte, _ string) error {
	return s.Store.Store(ctx, bucket, key, data)
}

func TestConditions(t *testing.T) {
	t.Parallel()
	s := fake.NewStore()
	for range 2 {
		if err := worker.CheckConditions(t.Context(), s, bucket); err != nil {
			t.Error(err)
		}
	}
	if err := worker.CheckConditions(t.Context(), careless{s}, bucket); !errors.Is(err, worker.ErrUnconditional) {
		t.Errorf("got %v, want ErrUnconditional", err)
	}
	s.Fault = func(string, string) error { return job.ErrUnreachable }
	if err := worker.CheckConditions(t.Context(), s, bucket); !errors.Is(err, job.ErrUnreachable) || errors.Is(err, worker.ErrUnconditional) {
		t.Errorf("got %v, want ErrUnreachable", err)
	}
}

// A panic beside the attempt lets go of the lease: the next delivery brings the end.
func TestPanicWhileGivingUp(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := setup(t)
		b.analyst.Do = func(context.Context, int, worker.Task) error { return fmt.Errorf("%w: no swing", job.ErrBadInput) }
		first := true
		b.store.Fault = func(op, _ string) error {
			if op == "swap" && first {
				first = false
				panic("index out of range")
			}
			return nil
		}
		stop := b.start(worker.Config{})
		b.submit("")
		b.hear(event.SubjectFailed, 1)
		stop()
		b.settled("rejected", 0)
	})
}
