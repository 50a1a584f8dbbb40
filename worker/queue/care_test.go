package queue_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"ashline/worker"
	"ashline/worker/fake"
	"ashline/worker/job"
	"ashline/worker/upkeep"
)

// One hitter is forgotten, on live servers and with an operator's rights; the
// other keeps everything, and a second time finds nothing.
func TestForgetOneOfTwo(t *testing.T) {
	t.Parallel()
	r := startRoles(t)
	up, clips := r.queue(t, "uploader"), r.store(t, "uploader")
	key := func(hitter string, n int) string { return fmt.Sprintf("clips/fernhill/%s/%d/clip.mp4", hitter, n) }
	jobs := map[string][]job.Job{}
	for _, hitter := range []string{"fh-001", "fh-002"} {
		for n := range 3 {
			j := job.Job{Schema: job.Schema, Bucket: rolesBucket, Key: key(hitter, n), Name: hitter + " in words"}
			j.ID = j.NewID("")
			for k, text := range map[string]string{j.Key: "frames of " + j.Key, strings.TrimSuffix(j.Key, ".mp4") + ".card.yaml": "academy: fernhill\nhitter: " + hitter + "\n"} {
				if err := clips.Swap(t.Context(), rolesBucket, k, "", []byte(text), "text/plain"); err != nil {
					t.Fatal(err)
				}
			}
			if _, err := up.Submit(t.Context(), j); err != nil {
				t.Fatal(err)
			}
			jobs[hitter] = append(jobs[hitter], j)
		}
	}
	// Of each hitter one is measured and one fails; the last stays.
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	q := r.queue(t, "worker")
	for range 6 {
		l, err := q.Next(ctx)
		if err != nil {
			t.Fatal(err)
		}
		j, err := job.Parse(l.Data())
		if err != nil {
			t.Fatal(err)
		}
		switch {
		case strings.Contains(j.Key, "/0/"), strings.Contains(j.Key, "/1/"):
			a := &fake.Analyst{}
			if strings.Contains(j.Key, "/1/") {
				a.Do = func(context.Context, int, worker.Task) error { return fmt.Errorf("%w: no picture", job.ErrBadInput) }
			}
			one, stop := context.WithCancel(ctx)
			worker.New(&once{lease: l, empty: stop}, r.store(t, "worker"), q, a, nil, worker.Config{Bucket: rolesBucket, Room: 1, Scratch: t.TempDir()}).Run(one)
			stop()
		default:
			if err := l.Retry(ctx, time.Hour); err != nil {
				t.Fatal(err)
			}
		}
	}

	op, objects := r.queue(t, "operator"), r.store(t, "operator")
	count := func(hitter string) (objs, msgs int) {
		for _, root := range []string{"clips/", "swings/"} {
			if err := objects.Under(t.Context(), rolesBucket, root+"fernhill/"+hitter+"/", func(string) error { objs++; return nil }); err != nil {
				t.Fatal(err)
			}
		}
		for _, shelf := range []upkeep.Shelf{upkeep.Jobs, upkeep.News} {
			err := op.Each(t.Context(), shelf, func(m upkeep.Message) error {
				if strings.Contains(string(m.Data), hitter) {
					msgs++
				}
				return nil
			})
			if err != nil {
				t.Fatal(err)
			}
		}
		return objs, msgs
	}
	objs, msgs := count("fh-001")
	otherObjs, otherMsgs := count("fh-002")
	if objs < 8 || msgs < 3 { // clips and cards, a bundle; a job and two events
		t.Fatalf("only %d objects and %d messages to begin with", objs, msgs)
	}
	h := upkeep.Hitter{Bucket: rolesBucket, ID: "fh-001"}
	got, err := upkeep.Forget(t.Context(), op, objects, h)
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Objects) != objs || got.Jobs != 1 || got.Taken != 1 || got.Jobs+got.Events != msgs {
		t.Errorf("got %+v, want %d objects, 1 job that was taken, %d messages", got, objs, msgs)
	}
	if o, m := count("fh-001"); o != 0 || m != 0 {
		t.Errorf("%d objects and %d messages are left", o, m)
	}
	if o, m := count("fh-002"); o != otherObjs || m != otherMsgs {
		t.Errorf("the other hitter has %d objects and %d messages, had %d and %d", o, m, otherObjs, otherMsgs)
	}
	got, err = upkeep.Forget(t.Context(), op, objects, h)
	if err != nil || len(got.Objects) != 0 || got.Jobs != 0 || got.Events != 0 {
		t.Errorf("second time: got %+v, %v; want nothing", got, err)
	}

	other := jobs["fh-002"]
	again, err := upkeep.Retry(t.Context(), op, other[1].ID)
	if err != nil || again.Known || again.NewID == other[1].ID {
		t.Errorf("retry: got %+v, %v", again, err)
	}
	if _, err := upkeep.Retry(t.Context(), op, other[1].ID); !errors.Is(err, job.ErrNotFound) {
		t.Errorf("second retry: got %v, want ErrNotFound", err)
	}
	if got, err := upkeep.Drop(t.Context(), op, again.NewID); err != nil || got.Waiting != 1 {
		t.Errorf("drop what was submitted again: got %+v, %v", got, err)
	}
	if got, err := upkeep.Drop(t.Context(), op, other[2].ID); err != nil || got.Taken != 1 {
		t.Errorf("drop what was given back: got %+v, %v", got, err)
	}
	if v, err := op.Survey(t.Context(), 10); err != nil || v.Waiting+v.Running+v.Stuck+v.FailedInAll != 0 {
		t.Errorf("got survey %+v, %v; want nothing left", v, err)
	}
	if err := op.Remove(t.Context(), upkeep.News, 1<<40); err != nil {
		t.Errorf("remove what never was: %v", err)
	}
}

// once hands out one lease and then stops the worker.
type once struct {
	lease worker.Lease
	empty func()
}

func (o *once) Next(ctx context.Context) (worker.Lease, error) {
	if l := o.lease; l != nil {
		o.lease = nil
		return l, nil
	}
	o.empty()
	<-ctx.Done()
	return nil, ctx.Err()
}
