package conform_test

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"ashline/worker/bundle"
	"ashline/worker/event"
	"ashline/worker/queue"
	"ashline/worker/store"
	"ashline/worker/submit"
)

var (
	stormBin   = flag.String("storm", "", "the ashline program, with ashline-lab beside it; empty: no storm")
	stormClips = flag.Int("clips", 6, "clips of the storm")
	stormSeed  = flag.Uint64("storm-seed", 1, "seed of clips and kills")
	stormGap   = flag.Duration("gap", 6*time.Second, "mean time between two kills")
)

// storm is one run: real servers, real workers, and what was done to them.
type storm struct {
	n                         natsServer
	s                         s3Server
	stopN, stopS              func()
	ended                     [2]chan struct{}
	stopW                     [2]func()
	secret, scratch, logs     string
	killedN, killedS, killedW int
}

// end is what the events say of one job.
type end struct {
	measured, failed int
	reason           string
}

// Workers, queue and store are killed at random moments while real clips are
// measured. Each job must come to one end: nothing lost, nothing double.
func TestStorm(t *testing.T) {
	if *stormBin == "" {
		t.Skip("no -storm PROGRAM; deploy/storm.sh builds it and runs this")
	}
	rng := rand.New(rand.NewPCG(*stormSeed, 0))
	dir := t.TempDir()
	clips := render(t, filepath.Join(dir, "clips"), *stormClips)
	w := &storm{n: newNATS(t), s: newS3(t), secret: filepath.Join(dir, "secret"), scratch: filepath.Join(dir, "scratch"), logs: dir}
	for _, err := range []error{os.WriteFile(w.secret, []byte(testSecret+"\n"), 0o600), os.Mkdir(w.scratch, 0o700)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	w.stopN, w.stopS = w.n.start(t), w.s.start(t)
	st := w.s.open(t)
	submitted := w.submit(t, st, clips)
	began := time.Now()
	for i := range w.ended {
		w.startWorker(t, i)
	}
	w.rage(t, rng)
	t.Logf("quiet after %s", time.Since(began).Round(time.Second))

	ends := w.ends(t)
	manifests := w.manifests(t, st)
	var committed, failed, lost, doubled int
	reasons := map[string]int{}
	for id, sum := range submitted {
		e := ends[id]
		switch {
		case e.measured+e.failed == 0:
			lost++
			t.Errorf("job %s is lost", id)
		case e.measured+e.failed > 1 || manifests[sum] > 1 || e.failed > 0 && manifests[sum] > 0:
			doubled++
			t.Errorf("job %s: measured %d times, failed %d times, %d bundles", id, e.measured, e.failed, manifests[sum])
		case e.measured == 1 && manifests[sum] == 1:
			committed++
		case e.failed == 1 && e.reason != "":
			failed++
			reasons[e.reason]++
		default:
			t.Errorf("job %s: told %+v, %d bundles", id, e, manifests[sum])
		}
	}
	for i := range w.stopW {
		w.stopW[i]()
	}
	fmt.Printf("killed: workers %d times, queue %d, store %d (seed %d), in %s\n", w.killedW, w.killedN, w.killedS, *stormSeed, time.Since(began).Round(time.Second))
	fmt.Printf("%-28s %4d\n%-28s %4d\n%-28s %4d\n", "submitted", len(submitted), "committed", committed, "failed with reason", failed)
	for r, n := range reasons {
		fmt.Printf("  %4d  %s\n", n, r)
	}
	fmt.Printf("%-28s %4d\n%-28s %4d\n", "lost", lost, "doubled", doubled)
	if committed == 0 {
		t.Error("nothing was measured")
	}
}

// render makes small clips; of every six one is cut in half.
func render(t *testing.T, dir string, n int) []submit.Clip {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), filepath.Join(filepath.Dir(*stormBin), "ashline-lab"), "scene", "--count", fmt.Sprint(n), "--seed", fmt.Sprint(5000+100*(*stormSeed)),
		"--size", "320x180", "--fps", "120", "--lead-in", "0.4", "--run-out", "0.15", "--out", dir)
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("scene: %v\n%s", err, out)
	}
	clips, err := submit.Find(dir)
	if err != nil || len(clips) != n {
		t.Fatalf("%d clips, %v", len(clips), err)
	}
	for i := 3; i < n; i += 6 {
		raw, err := os.ReadFile(clips[i].Path)
		if err == nil {
			err = os.WriteFile(clips[i].Path, raw[:len(raw)/2], 0o600)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	return clips
}

// submit sends all clips and returns each job's clip hash.
func (w *storm) submit(t *testing.T, st *store.Store, clips []submit.Clip) map[string]string {
	t.Helper()
	q, err := queue.Open(t.Context(), queue.Config{URL: w.n.url})
	if err != nil {
		t.Fatal(err)
	}
	defer q.Close()
	out := map[string]string{}
	for _, c := range clips {
		j, known, err := submit.Submitter{Objects: st, Queue: q, Bucket: "conform", Products: []string{"metrics", "track"}}.Submit(t.Context(), c)
		if err != nil || known {
			t.Fatalf("submit: known %v, %v", known, err)
		}
		out[j.ID] = j.ClipSHA256
	}
	return out
}

func (w *storm) startWorker(t *testing.T, i int) {
	t.Helper()
	log, err := os.OpenFile(filepath.Join(w.logs, fmt.Sprintf("worker-%d.log", i)), os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
	if err != nil {
		t.Fatal(err)
	}
	defer log.Close()
	cmd := exec.Command(*stormBin, "work", "--queue", w.n.url, "--store", w.s.url, "--store-access", testAccess,
		"--store-secret-file", w.secret, "--bucket", "conform", "--scratch", w.scratch)
	cmd.Stderr = log
	cmd.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		_ = cmd.Wait()
	}()
	w.ended[i], w.stopW[i] = ended, func() {
		_ = cmd.Process.Kill()
		<-ended
	}
	t.Cleanup(w.stopW[i])
}

// rage kills one thing after the other until every job has ended and each kind
// of thing has been killed.
func (w *storm) rage(t *testing.T, rng *rand.Rand) {
	t.Helper()
	most := 3*time.Minute + time.Duration(*stormClips)*30*time.Second
	ctx, cancel := context.WithTimeout(t.Context(), most)
	defer cancel()
	for n := 0; ; n++ {
		gap := time.NewTimer(time.Duration((0.3 + 1.4*rng.Float64()) * float64(*stormGap)))
		select {
		case <-gap.C:
		case <-ctx.Done():
			t.Errorf("not at rest after %s", most)
			return
		}
		if w.quiet(ctx) && n >= 3 {
			return
		}
		victim := n // each once, then at random, workers more often
		if n > 2 {
			victim = []int{0, 0, 0, 1, 2}[rng.IntN(5)]
		}
		switch victim {
		case 0:
			i := rng.IntN(len(w.ended))
			w.stopW[i]()
			w.startWorker(t, i)
			w.killedW++
		case 1:
			w.stopN()
			w.stopN = w.n.start(t)
			w.killedN++
		case 2:
			w.stopS()
			w.stopS = w.s.start(t)
			w.killedS++
		}
		for i := range w.ended { // one that found no service when it started has ended
			select {
			case <-w.ended[i]:
				w.startWorker(t, i)
			default:
			}
		}
	}
}

// quiet tells whether the queue holds no job.
func (w *storm) quiet(ctx context.Context) bool {
	q, err := queue.Open(ctx, queue.Config{URL: w.n.url})
	if err != nil {
		return false
	}
	defer q.Close()
	v, err := q.Survey(ctx, 0)
	return err == nil && v.Waiting+v.Running+v.Stuck == 0
}

// ends collects what the events say.
func (w *storm) ends(t *testing.T) map[string]end {
	t.Helper()
	q, err := queue.Open(t.Context(), queue.Config{URL: w.n.url})
	if err != nil {
		t.Fatal(err)
	}
	defer q.Close()
	out := map[string]end{}
	for _, subject := range []string{event.SubjectMeasured, event.SubjectFailed} {
		n, err := q.Count(t.Context(), subject)
		if err != nil {
			t.Fatal(err)
		}
		if n == 0 {
			continue
		}
		got, err := heard(q)(t.Context(), subject, n)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range got {
			x := out[e.Subject]
			if subject == event.SubjectMeasured {
				x.measured++
			} else {
				var f event.Failed
				if err := json.Unmarshal(e.Data, &f); err != nil {
					t.Fatal(err)
				}
				x.failed++
				x.reason = string(f.Class) + ": " + f.Reason
			}
			out[e.Subject] = x
		}
	}
	return out
}

// manifests counts the committed bundles by clip and checks that each is whole.
func (w *storm) manifests(t *testing.T, st *store.Store) map[string]int {
	t.Helper()
	out := map[string]int{}
	root := filepath.Join(w.s.dir, "conform")
	err := filepath.WalkDir(root, func(p string, _ fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(p, "/"+bundle.ManifestName) {
			return err
		}
		end, err := bundle.Look(t.Context(), st, "conform", strings.TrimPrefix(p, root+"/"))
		if err != nil || end.Manifest == nil {
			return err
		}
		m := *end.Manifest
		out[m.ClipSHA256]++
		return bundle.Download(t.Context(), st, "conform", m, t.TempDir())
	})
	if err != nil {
		t.Errorf("bundles: %v", err)
	}
	return out
}
