package embed_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ashline/worker"
	"ashline/worker/bundle"
	"ashline/worker/conform"
	"ashline/worker/embed"
	"ashline/worker/event"
	"ashline/worker/fake"
	"ashline/worker/job"
	"ashline/worker/queue"
	"ashline/worker/store"

	"go.uber.org/goleak"
)

// The gateway changes the process's working directory and there can be one at
// a time, so these tests take turns.

func TestMain(m *testing.M) {
	goleak.VerifyTestMain(m,
		// The gateway's HTTP server has one clock for good, and a cleaner a
		// server that looks for its end every ten seconds.
		goleak.IgnoreAnyFunction("github.com/valyala/fasthttp.updateServerDate.func1"),
		goleak.IgnoreAnyFunction("github.com/valyala/fasthttp.(*workerPool).Start.func2"))
}

func start(t *testing.T, dir string) *embed.Services {
	t.Helper()
	s, err := embed.Start(t.Context(), embed.Config{Dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Errorf("Close: %v", err)
		}
	})
	return s
}

func connect(t *testing.T, s *embed.Services, lease time.Duration) (*queue.Queue, *store.Store) {
	t.Helper()
	q, err := queue.Open(t.Context(), queue.Config{InProcess: s.Server(), SeedFile: s.QueueSeed, Lease: lease})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(q.Close)
	if err := q.Setup(t.Context()); err != nil {
		t.Fatal(err)
	}
	st, err := store.New(store.Config{URL: s.StoreURL, Access: s.Access, Secret: s.Secret})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(st.Close)
	return q, st
}

func TestConformance(t *testing.T) {
	s := start(t, t.TempDir())
	const lease = 500 * time.Millisecond
	q, st := connect(t, s, lease)
	if err := st.EnsureBucket(t.Context(), "conform"); err != nil {
		t.Fatal(err)
	}
	t.Run("store", func(t *testing.T) { conform.Store(t, st) })
	t.Run("queue", func(t *testing.T) {
		conform.QueueSuite(t, lease, func(t *testing.T, check func(*testing.T, conform.Queue, conform.Heard)) { check(t, q, heard(q)) })
	})
}

// heard collects events from the beginning of the stream.
func heard(q *queue.Queue) conform.Heard {
	return func(ctx context.Context, subject string, n int) ([]event.Event, error) {
		var got []event.Event
		enough := errors.New("enough")
		err := q.Follow(ctx, time.Unix(1, 0), func(note queue.Note) error {
			var e event.Event
			if err := json.Unmarshal(note.Data, &e); err != nil {
				return err
			}
			if got = append(got, e); len(got) >= n {
				return enough
			}
			return nil
		}, subject)
		if errors.Is(err, enough) {
			err = nil
		}
		return got, err
	}
}

func TestEndToEnd(t *testing.T) {
	dir := t.TempDir()
	s := start(t, dir)
	q, st := connect(t, s, 30*time.Second)
	if err := st.EnsureBucket(t.Context(), "clips"); err != nil {
		t.Fatal(err)
	}
	clip := filepath.Join(t.TempDir(), "clip.mp4")
	if err := os.WriteFile(clip, []byte("frames"), 0o600); err != nil {
		t.Fatal(err)
	}
	const n = 6
	for i := range n {
		key := fmt.Sprintf("clips/fernhill/fh-%03d/x/clip.mp4", i)
		if err := st.Put(t.Context(), "clips", key, clip, "video/mp4"); err != nil {
			t.Fatal(err)
		}
		if err := st.Swap(t.Context(), "clips", strings.TrimSuffix(key, ".mp4")+".card.yaml", "", fmt.Appendf(nil, "hitter: fh-%03d\n", i), "application/yaml"); err != nil {
			t.Fatal(err)
		}
		j := job.Job{Schema: job.Schema, Bucket: "clips", Key: key}
		j.ID = j.NewID("")
		if _, err := q.Submit(t.Context(), j); err != nil {
			t.Fatal(err)
		}
	}
	analyst := &fake.Analyst{Do: func(_ context.Context, call int, _ worker.Task) error {
		if call == 2 {
			return fmt.Errorf("%w: frame 0: no picture", job.ErrBadInput)
		}
		return nil
	}}
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan struct{})
	go func() {
		defer close(done)
		worker.New(q, st, q, analyst, nil, worker.Config{Bucket: "clips", Room: 1, Slots: 2, Scratch: t.TempDir()}).Run(ctx)
	}()
	bounded, stop := context.WithTimeout(t.Context(), 30*time.Second)
	defer stop()
	good, err := heard(q)(bounded, event.SubjectMeasured, n-1)
	if err != nil {
		t.Fatal(err)
	}
	bad, err := heard(q)(bounded, event.SubjectFailed, 1)
	if err != nil {
		t.Fatal(err)
	}
	cancel()
	<-done

	seen := map[string]bool{}
	for _, e := range good {
		var m event.Measured
		if err := json.Unmarshal(e.Data, &m); err != nil {
			t.Fatal(err)
		}
		seen[m.Hitter] = true
		manifest, err := bundle.Load(t.Context(), st, m.Bucket, m.Manifest)
		if err != nil {
			t.Fatal(err)
		}
		if err := bundle.Download(t.Context(), st, m.Bucket, manifest, t.TempDir()); err != nil {
			t.Error(err)
		}
		link, err := st.Link(t.Context(), m.Bucket, m.Metrics, time.Minute)
		if err != nil {
			t.Fatal(err)
		}
		if text := get(t, link); !strings.Contains(text, `"schema"`) {
			t.Errorf("link gives %q", text)
		}
	}
	if len(seen) != n-1 {
		t.Errorf("got results of %d hitters, want %d", len(seen), n-1)
	}
	survey, err := q.Survey(t.Context(), 10)
	if err != nil {
		t.Fatal(err)
	}
	if survey.Waiting != 0 || survey.Running != 0 || survey.Stuck != 0 || len(survey.Failed) != 1 || survey.Failed[0].Reason != "frame 0: no picture" {
		t.Errorf("got survey %+v", survey)
	}
	if len(bad) != 1 {
		t.Errorf("got %d failures, want 1", len(bad))
	}
}

func get(t *testing.T, link string) string {
	t.Helper()
	tr := &http.Transport{DisableKeepAlives: true}
	resp, err := (&http.Client{Transport: tr, Timeout: 10 * time.Second}).Get(link)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	text, err := io.ReadAll(resp.Body)
	if err != nil || resp.StatusCode != http.StatusOK {
		t.Fatalf("status %s: %s (%v)", resp.Status, text, err)
	}
	return string(text)
}

func TestRestartKeepsEverything(t *testing.T) {
	dir := t.TempDir()
	before, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	j := job.Job{Schema: job.Schema, Bucket: "clips", Key: "a/clip.mp4"}
	j.ID = j.NewID("")
	var secret string
	t.Run("first life", func(t *testing.T) {
		s := start(t, dir)
		secret = s.Secret
		q, st := connect(t, s, time.Minute)
		if err := st.EnsureBucket(t.Context(), "clips"); err != nil {
			t.Fatal(err)
		}
		if err := st.Swap(t.Context(), "clips", j.Key, "", []byte("frames"), "video/mp4"); err != nil {
			t.Fatal(err)
		}
		if _, err := q.Submit(t.Context(), j); err != nil {
			t.Fatal(err)
		}
	})
	t.Run("second life", func(t *testing.T) {
		s := start(t, dir)
		if s.Secret != secret {
			t.Error("another secret")
		}
		q, st := connect(t, s, time.Minute)
		if got, _, err := st.Read(t.Context(), "clips", j.Key, 100); err != nil || string(got) != "frames" {
			t.Errorf("got %q, %v", got, err)
		}
		if known, err := q.Submit(t.Context(), j); err != nil || !known {
			t.Errorf("known %v, %v: the queue forgot", known, err)
		}
		l, err := q.Next(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if err := l.Done(t.Context()); err != nil {
			t.Fatal(err)
		}
	})
	if after, err := os.Getwd(); err != nil || after != before {
		t.Errorf("working directory is %q (%v), was %q", after, err, before)
	}
	for _, f := range []string{"store.secret", "queue.seed"} {
		st, err := os.Stat(filepath.Join(dir, f))
		if err != nil || st.Mode().Perm() != 0o600 {
			t.Errorf("%s: %v, %v", f, st, err)
		}
	}
}

func TestStrangersAreRefused(t *testing.T) {
	s, err := embed.Start(t.Context(), embed.Config{Dir: t.TempDir(), Listen: true})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if _, err := queue.Open(t.Context(), queue.Config{URL: s.QueueURL}); !errors.Is(err, job.ErrDenied) {
		t.Errorf("queue without a seed: got %v, want ErrDenied", err)
	}
	q, err := queue.Open(t.Context(), queue.Config{URL: s.QueueURL, SeedFile: s.QueueSeed})
	if err != nil {
		t.Fatal(err)
	}
	q.Close()
	st, err := store.New(store.Config{URL: s.StoreURL, Access: s.Access, Secret: "guess"})
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	if _, _, err := st.Read(t.Context(), "clips", "x", 1); !errors.Is(err, job.ErrDenied) {
		t.Errorf("store with a wrong secret: got %v, want ErrDenied", err)
	}
}

// hasty is a queue that soon has had enough of a job, and one job in it.
func hasty(t *testing.T) *queue.Queue {
	t.Helper()
	s := start(t, t.TempDir())
	q, err := queue.Open(t.Context(), queue.Config{InProcess: s.Server(), SeedFile: s.QueueSeed, Lease: 100 * time.Millisecond, Attempts: 1})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(q.Close)
	if err := q.Setup(t.Context()); err != nil {
		t.Fatal(err)
	}
	if _, err := q.Submit(t.Context(), job.Job{Schema: job.Schema, Bucket: "clips", Key: "a/clip.mp4", ID: "stuck"}); err != nil {
		t.Fatal(err)
	}
	return q
}

func TestWatchStuck(t *testing.T) {
	q := hasty(t)
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	got := make(chan queue.Stuck, 1)
	ended := make(chan error, 1)
	go func() {
		ended <- q.WatchStuck(ctx, func(_ context.Context, s queue.Stuck) error {
			got <- s
			return nil
		})
	}()
	for range 3 { // as often as it may be, and never a word
		if _, err := q.Next(ctx); err != nil {
			t.Fatal(err)
		}
	}
	asked := make(chan struct{})
	go func() { // the queue notices when somebody asks
		defer close(asked)
		_, _ = q.Next(ctx)
	}()
	select {
	case st := <-got:
		if p, err := job.Parse(st.Data); err != nil || p.ID != "stuck" || st.Deliveries != 3 {
			t.Errorf("got %+v", st)
		}
	case <-ctx.Done():
		t.Fatal("nothing heard of the stuck job")
	}
	cancel()
	if err := <-ended; err != nil {
		t.Logf("follower ended: %v", err)
	}
	<-asked
}

// A job that got stuck while nobody listened is found by whoever watches next.
func TestStuckUnheard(t *testing.T) {
	q := hasty(t)
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	for range 3 {
		if _, err := q.Next(ctx); err != nil {
			t.Fatal(err)
		}
	}
	for { // the queue notices when somebody asks, and then counts it as stuck
		short, stop := context.WithTimeout(ctx, 200*time.Millisecond)
		_, _ = q.Next(short)
		stop()
		v, err := q.Survey(ctx, 0)
		if err != nil {
			t.Fatal(err)
		}
		if v.Stuck == 1 {
			break
		}
	}
	var got queue.Stuck
	err := q.WatchStuck(ctx, func(_ context.Context, x queue.Stuck) error {
		got = x
		cancel() // the removal that follows fails: the next watcher finds the job again
		return nil
	})
	if p, perr := job.Parse(got.Data); perr != nil || p.ID != "stuck" || got.Deliveries != 3 || got.Origin == "" {
		t.Fatalf("got %+v (%v)", got, err)
	}
	again, stop := context.WithTimeout(t.Context(), 20*time.Second)
	defer stop()
	gone := make(chan struct{})
	go func() {
		defer close(gone)
		_ = q.WatchStuck(again, func(_ context.Context, x queue.Stuck) error {
			if x.Origin != got.Origin {
				t.Errorf("origin %q, then %q", got.Origin, x.Origin)
			}
			return nil
		})
	}()
	for {
		v, err := q.Survey(again, 0)
		if err != nil {
			t.Fatal(err)
		}
		if v.Stuck == 0 {
			break
		}
	}
	stop()
	<-gone
}
