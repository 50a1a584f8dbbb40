package worker_test

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"ashline/worker"
	"ashline/worker/bundle"
	"ashline/worker/event"
	"ashline/worker/fake"
	"ashline/worker/job"
)

var (
	simSeeds = flag.Int("seeds", 200, "seeds of the fault simulation")
	simFirst = flag.Uint64("seed", 1, "first seed of the fault simulation")
)

const (
	simAttempts = 5
	simLasts    = 12 * time.Hour // by then every job must have ended
)

// tally sums what became of the jobs of all seeds.
type tally struct {
	mu                               sync.Mutex
	seeds, jobs, measured, failed    int
	kills, drains, freezes, analyses int
}

// Jobs, workers and services of each seed meet other faults. Whatever they
// are, each job must end in exactly one committed bundle or one recorded
// failure, the events must say which, and nothing may be left half.
func TestFaults(t *testing.T) {
	t.Parallel()
	var sum tally
	if testing.Short() {
		*simSeeds = min(*simSeeds, 40)
	}
	next := make(chan uint64)
	go func() {
		defer close(next)
		for i := range *simSeeds {
			next <- *simFirst + uint64(i)
		}
	}()
	var wait sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			for seed := range next {
				t.Run(fmt.Sprintf("seed %d", seed), func(t *testing.T) {
					synctest.Test(t, func(t *testing.T) { simulate(t, seed, &sum) })
				})
			}
		})
	}
	wait.Wait()
	t.Logf("%d seeds: %d jobs, measured %d, failed %d; %d analyses, %d workers killed, %d drained, %d suspended",
		sum.seeds, sum.jobs, sum.measured, sum.failed, sum.analyses, sum.kills, sum.drains, sum.freezes)
	if !t.Failed() && sum.jobs != sum.measured+sum.failed {
		t.Errorf("%d jobs, but %d ends", sum.jobs, sum.measured+sum.failed)
	}
}

// simulate plays one seed.
func simulate(t *testing.T, seed uint64, sum *tally) {
	rng := rand.New(rand.NewPCG(seed, 0))
	store, queue := fake.NewStore(), fake.NewQueue(lease)
	queue.MaxDeliver, queue.Window = simAttempts+2, 24*time.Hour
	troubles := newChaos(seed, time.Duration(rng.Int64N(int64(40*time.Minute))))
	scratch := t.TempDir()
	story := &story{chaos: troubles, behaviour: map[string]string{}, log: slog.New(slog.DiscardHandler)}
	if *simSeeds == 1 {
		story.log = slog.New(slog.NewTextHandler(t.Output(), nil))
	}
	analyst := &fake.Analyst{Do: story.analyse}

	jobs := map[string]job.Job{}
	for i := range 2 + rng.IntN(4) {
		key := fmt.Sprintf("clips/fernhill/fh-%03d/x/clip.mp4", i)
		text := fmt.Sprintf("frames %d %d", seed, i)
		if err := store.Store(t.Context(), bucket, key, []byte(text)); err != nil {
			t.Fatal(err)
		}
		story.behaviour[text] = []string{"good", "good", "good", "good", "long", "flaky", "flaky", "bad", "bug"}[rng.IntN(9)]
		for k := range 1 + rng.IntN(2) {
			j := job.Job{Schema: job.Schema, Bucket: bucket, Key: key}
			j.ID = j.NewID(strings.Repeat("x", k))
			jobs[j.ID] = j
			if _, err := queue.Submit(t.Context(), j); err != nil {
				t.Fatal(err)
			}
		}
	}

	ctx, cancel := context.WithCancel(t.Context())
	var crew sync.WaitGroup
	for i := range 1 + rng.IntN(3) {
		crew.Go(func() { story.post(ctx, fmt.Sprintf("post %d", i), store, queue, analyst, scratch) })
	}
	// Messages come again though they are held, which a queue does that has lost
	// its latest notes. It has then lost count as well, so this does not use up
	// the last of a job's attempts.
	crew.Go(func() {
		for ctx.Err() == nil && time.Now().Before(troubles.until) {
			pauseFor(ctx, troubles.between("redeliver", time.Minute, 20*time.Minute))
			story.log.Info("all redelivered")
			queue.Redeliver(simAttempts - 1)
		}
	})
	crew.Go(func() { // the watch on what the queue has set aside
		w := worker.New(queue, store, queue, analyst, nil, worker.Config{Bucket: bucket, Room: 1, Scratch: scratch})
		for pauseFor(ctx, time.Minute) {
			for _, l := range queue.Stuck() {
				if w.GiveUp(ctx, l.Origin(), l.Data(), l.Delivery(), 0) == nil {
					_ = l.Done(ctx)
				}
			}
		}
	})
	for end := time.Now().Add(simLasts); time.Now().Before(end) && slices.Contains(queue.Ends(), ""); {
		pauseFor(ctx, time.Minute)
	}
	pauseFor(ctx, 10*time.Minute) // whatever is still under way arrives
	cancel()
	crew.Wait()
	troubles.late.Wait()

	ends := verify(t, store, queue, jobs, scratch)
	if t.Failed() {
		t.Logf("seed %d; again: go test ./worker -run TestFaults -seed %d -seeds 1 -v", seed, seed)
	}
	sum.mu.Lock()
	defer sum.mu.Unlock()
	sum.seeds++
	sum.jobs += len(jobs)
	sum.measured += ends[event.SubjectMeasured]
	sum.failed += ends[event.SubjectFailed]
	sum.analyses += analyst.Calls()
	sum.kills += story.kills
	sum.drains += story.drains
	sum.freezes += story.freezes
}

// story is what happens to the workers.
type story struct {
	chaos     *chaos
	behaviour map[string]string // by a clip's content
	log       *slog.Logger

	mu                     sync.Mutex
	kills, drains, freezes int
}

func (s *story) count(n *int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	*n++
}

// post is a place where one worker runs after the other.
func (s *story) post(ctx context.Context, name string, store *fake.Store, queue *fake.Queue, analyst worker.Analyst, scratch string) {
	for n := 0; ctx.Err() == nil; n++ {
		l := &life{name: fmt.Sprintf("%s.%d", name, n), chaos: s.chaos}
		w := worker.New(shakyQueue{l, queue}, shakyStore{l, store}, shakyQueue{l, queue}, analyst, nil, worker.Config{
			Bucket: bucket,
			Lease:  lease, Attempts: simAttempts, Scratch: scratch, Room: 1, Slots: 1 + n%2,
			Log: s.log.With("worker", l.name), Grace: []time.Duration{-1, 5 * time.Second, time.Minute}[n%3], Random: func() float64 { return s.chaos.draw(name + " delay") },
		})
		run, stop := context.WithCancel(ctx)
		done := make(chan struct{})
		go func() {
			defer close(done)
			w.Run(run)
		}()
		if time.Now().After(s.chaos.until) {
			<-ctx.Done()
		} else {
			pauseFor(ctx, s.chaos.between(name+" lives", time.Second, 10*time.Minute))
			switch r := s.chaos.draw(name + " ends"); {
			case ctx.Err() != nil:
			case r < 0.5:
				l.kill()
				s.log.Info("killed", "worker", l.name)
				s.count(&s.kills)
			case r < 0.75:
				l.freeze(s.chaos.between(name+" frozen", time.Second, 3*time.Minute))
				s.count(&s.freezes)
				pauseFor(ctx, 4*time.Minute)
			default:
				s.count(&s.drains)
			}
		}
		stop()
		<-done
	}
}

// analyse behaves as the clip's content asks for.
func (s *story) analyse(ctx context.Context, _ int, t worker.Task) error {
	raw, err := os.ReadFile(t.Clip)
	if err != nil {
		return err
	}
	row := "analyse " + string(raw)
	kind := s.behaviour[string(raw)]
	most := 20 * time.Second
	if kind == "long" {
		most = 5 * time.Minute
	}
	if !pauseFor(ctx, s.chaos.between(row, time.Second, most)) {
		return ctx.Err()
	}
	switch {
	case kind == "bad":
		return fmt.Errorf("%w: no video stream", job.ErrBadInput)
	case kind == "bug":
		return fmt.Errorf("worker: the analysis died of segmentation fault")
	case kind == "flaky" && s.chaos.draw(row) < 0.6:
		return fmt.Errorf("%w: out of memory", job.ErrTransient)
	}
	// Two analyses of one clip need not be equal to the byte.
	return os.WriteFile(filepath.Join(t.Out, "captions.vtt"), fmt.Appendf(nil, "WEBVTT %.0f\n", 3*s.chaos.draw(row)), 0o600)
}

// verify checks what must hold when everything has come to rest.
func verify(t *testing.T, store *fake.Store, queue *fake.Queue, jobs map[string]job.Job, scratch string) map[string]int {
	t.Helper()
	ends := map[string]int{}
	for i, end := range queue.Ends() {
		if end == "" {
			t.Errorf("message %d has not ended", i)
		}
	}
	told, committed := map[string]int{}, map[string]bool{}
	for _, subject := range []string{event.SubjectMeasured, event.SubjectFailed} {
		got, err := queue.Heard(t.Context(), subject, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range got {
			told[e.Subject]++
			ends[subject]++
			if subject == event.SubjectFailed {
				var f event.Failed
				if err := json.Unmarshal(e.Data, &f); err != nil || f.Reason == "" || f.Class == "" {
					t.Errorf("failure of %s without a reason: %s (%v)", e.Subject, e.Data, err)
				}
				continue
			}
			var m event.Measured
			if err := json.Unmarshal(e.Data, &m); err != nil {
				t.Fatal(err)
			}
			manifest, err := bundle.Load(t.Context(), store, m.Bucket, m.Manifest)
			if err != nil {
				t.Errorf("told as measured: %v", err)
				continue
			}
			if err := bundle.Download(t.Context(), store, m.Bucket, manifest, t.TempDir()); err != nil {
				t.Errorf("bundle of %s: %v", e.Subject, err)
			}
			committed[manifest.ClipSHA256] = true
		}
	}
	for id, j := range jobs {
		if told[id] != 1 {
			t.Errorf("job %s of %s has %d ends, want 1", id, j.Key, told[id])
		}
	}
	for _, k := range store.Keys(bucket) {
		if !strings.HasSuffix(k, "/"+bundle.ManifestName) {
			continue
		}
		end, err := bundle.Look(t.Context(), store, bucket, k)
		switch m := end.Manifest; {
		case err != nil:
			t.Errorf("half a bundle: %s (%v)", k, err)
		case m != nil && !committed[m.ClipSHA256]:
			t.Errorf("a bundle of jobs that were all told as failed: %s", k)
		}
	}
	if left, _ := filepath.Glob(filepath.Join(scratch, "*")); len(left) != 0 {
		t.Errorf("left behind: %q", left)
	}
	return ends
}

// pauseFor waits and tells whether the whole time has passed.
func pauseFor(ctx context.Context, d time.Duration) bool {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
		return true
	case <-ctx.Done():
		return false
	}
}
