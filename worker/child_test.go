package worker_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"ashline/worker"
	"ashline/worker/job"
)

func childSetup(t *testing.T, mode string) (*worker.Child, worker.Task) {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	task := worker.Task{
		Clip: filepath.Join(dir, "clip.mp4"), Cards: []string{"/a.yaml", "/b.yaml"},
		Out: filepath.Join(dir, "out"), Scratch: filepath.Join(dir, "tmp"), Products: []string{"track", "clean"},
	}
	for _, d := range []string{task.Out, task.Scratch} {
		if err := os.Mkdir(d, 0o700); err != nil {
			t.Fatal(err)
		}
	}
	return &worker.Child{Program: exe, Env: []string{"ASHLINE_TEST_CHILD=" + mode}}, task
}

func TestChildDone(t *testing.T) {
	t.Setenv("ASHLINE_STORE_SECRET", "do-not-hand-on")
	c, task := childSetup(t, "ok")
	var stages []string
	if err := c.Analyse(t.Context(), task, func(s worker.Step) { stages = append(stages, s.Stage) }); err != nil {
		t.Fatal(err)
	}
	if want := []string{"track", "draw"}; !slices.Equal(stages, want) {
		t.Errorf("got stages %q, want %q", stages, want)
	}
	raw, err := os.ReadFile(filepath.Join(task.Out, "seen.txt"))
	if err != nil {
		t.Fatal(err)
	}
	seen := string(raw)
	want := "measure " + task.Clip + " --card /a.yaml --card /b.yaml --product track --product clean --out " + task.Out + " --json --progress-fd 3 --verdict-fd 4\n" + task.Scratch + "\n"
	if !strings.HasPrefix(seen, want) {
		t.Errorf("got %q, want it to begin %q", seen, want)
	}
	if strings.Contains(seen, "do-not-hand-on") {
		t.Error("the child was given a secret")
	}
}

func TestChildVerdicts(t *testing.T) {
	t.Parallel()
	for mode, c := range map[string]struct {
		class job.Class
		text  string
	}{
		"bad":      {job.BadInput, "job: bad input: clip.mp4: no video stream"},
		"fails":    {job.Bug, "worker: the analysis failed with code 1: out of range: no space left on device"},
		"crash":    {job.Bug, "worker: the analysis failed with code 2: SIGSEGV: segmentation violation"},
		"full":     {job.Transient, "job: transient failure: writing results: no space left on device"},
		"native":   {job.Bug, "worker: the analysis died of segmentation fault"},
		"stopped":  {job.Transient, "job: transient failure: the analysis was told to stop"},
		"killed":   {job.Transient, "job: transient failure: the analysis was killed, perhaps for want of memory"},
		"longline": {job.Done, ""},

		"interrupted": {job.Transient, "job: transient failure: interrupted"},
		"liar":        {job.Done, ""},
		"babbler":     {job.Bug, "worker: the analysis failed with code 4: no reason given"},
	} {
		t.Run(mode, func(t *testing.T) {
			t.Parallel()
			ch, task := childSetup(t, mode)
			err := ch.Analyse(t.Context(), task, func(worker.Step) {})
			if got := job.Classify(err); got != c.class {
				t.Errorf("got class %s (%v), want %s", got, err, c.class)
			}
			if err != nil && err.Error() != c.text {
				t.Errorf("got %q, want %q", err, c.text)
			}
		})
	}
}

// gone waits until a process no longer exists or is only a corpse.
func gone(t *testing.T, pid int) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
	defer cancel()
	tick := time.NewTicker(5 * time.Millisecond)
	defer tick.Stop()
	for {
		stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
		if err != nil || strings.Contains(string(stat), ") Z ") || errors.Is(syscall.Kill(pid, 0), syscall.ESRCH) {
			return
		}
		select {
		case <-tick.C:
		case <-ctx.Done():
			t.Fatalf("process %d lives", pid)
		}
	}
}

func TestChildIsKilledWithItsChildren(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		stall time.Duration
		want  error
	}{
		"cancelled": {time.Hour, job.ErrLostLease},
		"stalled":   {300 * time.Millisecond, job.ErrTransient},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			ch, task := childSetup(t, "hang")
			ch.Stall = c.stall
			ctx, cancel := context.WithCancelCause(t.Context())
			defer cancel(nil)
			err := ch.Analyse(ctx, task, func(s worker.Step) {
				if s.Stage == "hang" && name == "cancelled" {
					cancel(job.ErrLostLease)
				}
			})
			if !errors.Is(err, c.want) {
				t.Fatalf("got %v, want %v", err, c.want)
			}
			var own, grand int
			raw, err := os.ReadFile(filepath.Join(task.Out, "pids"))
			if err != nil {
				t.Fatal(err)
			}
			if _, err := fmt.Sscan(string(raw), &own, &grand); err != nil {
				t.Fatal(err)
			}
			gone(t, own)
			gone(t, grand)
		})
	}
}

func TestProgressHoldsTheWatchdogOff(t *testing.T) {
	t.Parallel()
	ch, task := childSetup(t, "busy") // says something every half second for longer than this
	ch.Stall = 5 * time.Second
	if err := ch.Analyse(t.Context(), task, func(worker.Step) {}); err != nil {
		t.Fatal(err)
	}
}

func TestChildThatIsNotThere(t *testing.T) {
	t.Parallel()
	ch, task := childSetup(t, "ok")
	ch.Program = filepath.Join(task.Scratch, "none")
	if err := ch.Analyse(t.Context(), task, func(worker.Step) {}); !errors.Is(err, job.ErrTransient) {
		t.Fatalf("got %v, want ErrTransient", err)
	}
}
