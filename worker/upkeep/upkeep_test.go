package upkeep_test

import (
	"context"
	"encoding/json"
	"errors"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"ashline/worker/event"
	"ashline/worker/job"
	"ashline/worker/upkeep"

	"go.uber.org/goleak"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

const bucket = "ashline"

// shelves are a queue in memory. With broken set, the removal of that many
// messages succeeds and the next one fails.
type shelves struct {
	msgs   map[upkeep.Shelf][]upkeep.Message
	seq    uint64
	broken int
	asked  int
}

func newShelves() *shelves {
	return &shelves{msgs: map[upkeep.Shelf][]upkeep.Message{}, broken: -1}
}

func (s *shelves) add(t *testing.T, shelf upkeep.Shelf, subject string, v any, taken bool) {
	t.Helper()
	raw, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	s.seq++
	s.msgs[shelf] = append(s.msgs[shelf], upkeep.Message{Seq: s.seq, Subject: subject, Data: raw, Taken: taken})
}

func (s *shelves) news(t *testing.T, subject string, j job.Job, payload any) {
	t.Helper()
	e, err := event.New(subject, j.ID, time.Unix(1, 0), "", payload)
	if err != nil {
		t.Fatal(err)
	}
	s.add(t, upkeep.News, subject, e, false)
}

func (s *shelves) Each(_ context.Context, shelf upkeep.Shelf, fn func(upkeep.Message) error) error {
	s.asked++
	for _, m := range slices.Clone(s.msgs[shelf]) {
		if err := fn(m); err != nil {
			return err
		}
	}
	return nil
}

func (s *shelves) Remove(_ context.Context, shelf upkeep.Shelf, seq uint64) error {
	if s.broken == 0 {
		return job.ErrUnreachable
	}
	s.broken--
	s.msgs[shelf] = slices.DeleteFunc(s.msgs[shelf], func(m upkeep.Message) bool { return m.Seq == seq })
	return nil
}

func (s *shelves) Submit(_ context.Context, j job.Job) (bool, error) {
	if err := j.Check(); err != nil {
		return false, err
	}
	raw, err := json.Marshal(j)
	if err != nil {
		return false, err
	}
	for _, m := range s.msgs[upkeep.Jobs] {
		if string(m.Data) == string(raw) {
			return true, nil
		}
	}
	s.seq++
	s.msgs[upkeep.Jobs] = append(s.msgs[upkeep.Jobs], upkeep.Message{Seq: s.seq, Subject: event.SubjectSubmitted, Data: raw})
	return false, nil
}

// objects are a bucket in memory.
type objects map[string]bool

func (o objects) Folders(_ context.Context, _, folder string, fn func(string) error) error {
	seen := map[string]bool{}
	for _, k := range slices.Sorted(maps.Keys(o)) {
		rest, ok := strings.CutPrefix(k, folder)
		first, _, deeper := strings.Cut(rest, "/")
		if !ok || !deeper || seen[first] {
			continue
		}
		seen[first] = true
		if err := fn(folder + first + "/"); err != nil {
			return err
		}
	}
	return nil
}

func (o objects) Under(_ context.Context, _, prefix string, fn func(string) error) error {
	for _, k := range slices.Sorted(maps.Keys(o)) {
		if strings.HasPrefix(k, prefix) {
			if err := fn(k); err != nil {
				return err
			}
		}
	}
	return nil
}

func (o objects) Remove(_ context.Context, _, key string) error {
	delete(o, key)
	return nil
}

func clipJob(key string) job.Job {
	j := job.Job{Schema: job.Schema, Bucket: bucket, Key: key}
	j.ID = j.NewID("")
	return j
}

func measured(j job.Job, academy, hitter string) event.Measured {
	return event.Measured{Job: j, Bucket: bucket, Academy: academy, Hitter: hitter}
}

// full is an academy in the middle of its night: hitter fh-017 with jobs,
// results, failures and a clip that lies elsewhere, among others.
func full(t *testing.T) (*shelves, objects) {
	t.Helper()
	q := newShelves()
	mine, other := clipJob("clips/fernhill/fh-017/aa/clip.mp4"), clipJob("clips/fernhill/fh-01/aa/clip.mp4")
	bad, waiting := clipJob("clips/fernhill/fh-017/bb/clip.mp4"), clipJob("clips/fernhill/fh-017/cc/clip.mp4")
	stray := clipJob("inbox/april/one.mp4")
	q.add(t, upkeep.Jobs, event.SubjectSubmitted, waiting, true)
	q.add(t, upkeep.Jobs, event.SubjectSubmitted, other, false)
	q.add(t, upkeep.Jobs, event.SubjectSubmitted, "no job at all", false)
	for _, j := range []job.Job{mine, other, bad, stray} {
		q.news(t, event.SubjectProgress, j, event.Progress{JobID: j.ID})
	}
	q.news(t, event.SubjectMeasured, mine, measured(mine, "fernhill", "fh-017"))
	q.news(t, event.SubjectMeasured, stray, measured(stray, "fernhill", "fh-017"))
	q.news(t, event.SubjectMeasured, other, measured(other, "fernhill", "fh-01"))
	q.news(t, event.SubjectFailed, bad, event.Failed{Job: bad, Class: job.BadInput, Reason: "no picture"})
	st := objects{}
	for _, k := range []string{
		mine.Key, bad.Key, waiting.Key, other.Key, stray.Key, "inbox/april/one.card.yaml", "inbox/april/session.card.yaml", "inbox/april/one-more.mp4",
		"swings/fernhill/fh-017/b1/manifest.json", "swings/fernhill/fh-01/b1/manifest.json", "swings/fernhill/fh-0171/b1/manifest.json",
	} {
		st[k] = true
	}
	return q, st
}

func TestForget(t *testing.T) {
	t.Parallel()
	q, st := full(t)
	got, err := upkeep.Forget(t.Context(), q, st, upkeep.Hitter{Bucket: bucket, ID: "fh-017"})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"clips/fernhill/fh-017/aa/clip.mp4", "clips/fernhill/fh-017/bb/clip.mp4", "clips/fernhill/fh-017/cc/clip.mp4",
		"inbox/april/one.card.yaml", "inbox/april/one.mp4", "swings/fernhill/fh-017/b1/manifest.json",
	}
	if !slices.Equal(got.Objects, want) {
		t.Errorf("got %q, want %q", got.Objects, want)
	}
	if got.Jobs != 1 || got.Taken != 1 || got.Events != 6 {
		t.Errorf("got %d jobs (%d taken) and %d events, want 1 (1) and 6", got.Jobs, got.Taken, got.Events)
	}
	left := slices.Sorted(maps.Keys(st))
	if want := []string{
		"clips/fernhill/fh-01/aa/clip.mp4", "inbox/april/one-more.mp4", "inbox/april/session.card.yaml",
		"swings/fernhill/fh-01/b1/manifest.json", "swings/fernhill/fh-0171/b1/manifest.json",
	}; !slices.Equal(left, want) {
		t.Errorf("left are %q, want %q", left, want)
	}
	if n := len(q.msgs[upkeep.Jobs]) + len(q.msgs[upkeep.News]); n != 4 {
		t.Errorf("%d messages are left, want 4", n)
	}
	got, err = upkeep.Forget(t.Context(), q, st, upkeep.Hitter{Bucket: bucket, ID: "fh-017"})
	if err != nil || len(got.Objects)+got.Jobs+got.Events != 0 {
		t.Errorf("second time: got %+v, %v; want nothing", got, err)
	}
}

// A Forget that breaks off at any message is finished by the next one.
func TestForgetBrokenOff(t *testing.T) {
	t.Parallel()
	for n := range 7 {
		q, st := full(t)
		q.broken = n
		if _, err := upkeep.Forget(t.Context(), q, st, upkeep.Hitter{Bucket: bucket, ID: "fh-017"}); !errors.Is(err, job.ErrUnreachable) {
			t.Fatalf("broken at %d: got %v", n, err)
		}
		q.broken = -1
		if _, err := upkeep.Forget(t.Context(), q, st, upkeep.Hitter{Bucket: bucket, ID: "fh-017"}); err != nil {
			t.Fatal(err)
		}
		if len(q.msgs[upkeep.News]) != 2 || len(q.msgs[upkeep.Jobs]) != 2 || len(st) != 5 {
			t.Errorf("broken at %d: %d events, %d jobs and %d objects are left, want 2, 2, 5", n, len(q.msgs[upkeep.News]), len(q.msgs[upkeep.Jobs]), len(st))
		}
	}
}

func TestForgetTellsAcademiesApart(t *testing.T) {
	t.Parallel()
	st := objects{"clips/fernhill/h-1/a/clip.mp4": true, "swings/northfield/h-1/b/manifest.json": true}
	if _, err := upkeep.Forget(t.Context(), newShelves(), st, upkeep.Hitter{Bucket: bucket, ID: "h-1"}); !errors.Is(err, job.ErrBadInput) || len(st) != 2 {
		t.Errorf("got %v and %d objects left, want ErrBadInput and 2", err, len(st))
	}
	got, err := upkeep.Forget(t.Context(), newShelves(), st, upkeep.Hitter{Bucket: bucket, Academy: "northfield", ID: "h-1"})
	if err != nil || len(got.Objects) != 1 || !st["clips/fernhill/h-1/a/clip.mp4"] {
		t.Errorf("got %+v, %v", got, err)
	}
}

func TestOddIDsAreRefusedUnasked(t *testing.T) {
	t.Parallel()
	for _, id := range []string{"", ".", "..", "_", "a/b", "../fh-017", "fh*", "fh-017/", "fh 17", "fh\n17", ">", "a..b", strings.Repeat("x", 65), "\xff", "-x"} {
		q := newShelves()
		_, errForget := upkeep.Forget(t.Context(), q, objects{}, upkeep.Hitter{Bucket: bucket, ID: id})
		_, errRetry := upkeep.Retry(t.Context(), q, id)
		_, errDrop := upkeep.Drop(t.Context(), q, id)
		for verb, err := range map[string]error{"forget": errForget, "retry": errRetry, "drop": errDrop} {
			if !errors.Is(err, job.ErrBadInput) {
				t.Errorf("%s %q: got %v, want ErrBadInput", verb, id, err)
			}
		}
		if q.asked != 0 {
			t.Errorf("%q reached the queue", id)
		}
	}
	q := newShelves()
	if _, err := upkeep.Forget(t.Context(), q, objects{}, upkeep.Hitter{Bucket: bucket, Academy: "../x", ID: "ok"}); !errors.Is(err, job.ErrBadInput) {
		t.Errorf("odd academy: got %v", err)
	}
	if _, err := upkeep.Forget(t.Context(), q, objects{}, upkeep.Hitter{Bucket: "../x", ID: "ok"}); !errors.Is(err, job.ErrBadInput) {
		t.Errorf("odd bucket: got %v", err)
	}
}

func TestRetryAndDrop(t *testing.T) {
	t.Parallel()
	q, _ := full(t)
	bad := clipJob("clips/fernhill/fh-017/bb/clip.mp4")
	got, err := upkeep.Retry(t.Context(), q, bad.ID)
	if err != nil || got.Known || got.NewID == bad.ID || !job.ValidID(got.NewID) {
		t.Fatalf("got %+v, %v", got, err)
	}
	if len(q.msgs[upkeep.Jobs]) != 4 {
		t.Errorf("%d jobs, want 4", len(q.msgs[upkeep.Jobs]))
	}
	if _, err := upkeep.Retry(t.Context(), q, bad.ID); !errors.Is(err, job.ErrNotFound) {
		t.Errorf("second retry: got %v, want ErrNotFound", err)
	}
	if got, err := upkeep.Drop(t.Context(), q, got.NewID); err != nil || got.Waiting != 1 || got.Taken != 0 {
		t.Errorf("got %+v, %v", got, err)
	}
	if got, err := upkeep.Drop(t.Context(), q, clipJob("clips/fernhill/fh-017/cc/clip.mp4").ID); err != nil || got.Taken != 1 {
		t.Errorf("got %+v, %v", got, err)
	}
	if _, err := upkeep.Drop(t.Context(), q, "never-was"); !errors.Is(err, job.ErrNotFound) {
		t.Errorf("got %v, want ErrNotFound", err)
	}
}

// A retry that could not take the failure off is one job all the same.
func TestRetryBrokenOff(t *testing.T) {
	t.Parallel()
	q, _ := full(t)
	bad := clipJob("clips/fernhill/fh-017/bb/clip.mp4")
	q.broken = 0
	if _, err := upkeep.Retry(t.Context(), q, bad.ID); !errors.Is(err, job.ErrUnreachable) {
		t.Fatalf("got %v", err)
	}
	q.broken = -1
	got, err := upkeep.Retry(t.Context(), q, bad.ID)
	if err != nil || !got.Known || len(q.msgs[upkeep.Jobs]) != 4 {
		t.Errorf("got %+v, %v and %d jobs; want a known one and 4", got, err, len(q.msgs[upkeep.Jobs]))
	}
}
