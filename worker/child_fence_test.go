package worker_test

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"ashline/pipeline/fence"
	"ashline/pipeline/fence/fencetest"
	"ashline/pipeline/media"
	"ashline/worker"
	"ashline/worker/fake"
	"ashline/worker/job"
)

// rogue is a child that a clip has taken over.
func rogue(mode, out string, steps *os.File) int {
	switch mode {
	case "escapes":
		said := []string{}
		try := func(what string, err error) {
			if err == nil {
				said = append(said, what)
			}
		}
		try("write outside", os.WriteFile(filepath.Join(out, "..", "..", "escaped"), nil, 0o600))
		try("write beside the clip", os.WriteFile(filepath.Join(out, "..", "escaped"), nil, 0o600))
		_, err := net.Listen("tcp", "127.0.0.1:0")
		try("listen", err)
		_, err = net.Dial("udp", "192.0.2.1:53")
		try("udp", err)
		_, err = os.ReadFile(fmt.Sprintf("/proc/%d/environ", os.Getppid()))
		try("read the worker's environment", err)
		if err := fake.WriteResult(out); err != nil {
			return 1
		}
		if os.WriteFile(filepath.Join(out, "did.txt"), []byte(strings.Join(said, ", ")), 0o600) != nil {
			return 1
		}
	case "taken": // by the clip's decoder
		_, err := media.Probe(context.Background(), os.Args[2], media.Limits{MemoryBytes: 4 << 30})
		if fake.WriteResult(out) != nil || os.WriteFile(filepath.Join(out, "did.txt"), fmt.Append(nil, err), 0o600) != nil {
			return 1
		}
	case "eats":
		var all [][]byte
		for len(all) < 64 { // 1 GiB at most, should nobody stop it
			b := make([]byte, 16<<20)
			for i := 0; i < len(b); i += 4096 {
				b[i] = 1
			}
			all = append(all, b)
			<-time.After(20 * time.Millisecond)
		}
		fmt.Fprintf(steps, `{"stage":"draw","done":%d,"total":64}`+"\n", len(all))
		_ = fake.WriteResult(out)
	case "forever":
		for {
			fmt.Fprintln(steps, `{"stage":"track","done":1,"total":2}`)
			<-time.After(50 * time.Millisecond)
		}
	}
	return 0
}

func TestChildCannotEscape(t *testing.T) {
	t.Parallel()
	if s := fence.Probe(); s.Landlock == 0 || !s.Seccomp {
		t.Skipf("this kernel has no fence: %s", s)
	}
	ch, task := childSetup(t, "escapes")
	// The clip's folder is readable, and the test's own temporary folder lies above.
	if err := ch.Analyse(t.Context(), task, func(worker.Step) {}); err != nil {
		t.Fatal(err)
	}
	did, err := os.ReadFile(filepath.Join(task.Out, "did.txt"))
	if err != nil {
		t.Fatal(err)
	}
	if len(did) > 0 {
		t.Errorf("the child could %s", did)
	}
}

// A decoder that a clip has taken over can do nothing to the worker, to the store or to
// anybody else, and what it leaves behind is gone when the job is over.
func TestTakenOverDecoder(t *testing.T) {
	if s := fence.Probe(); !s.Whole() {
		t.Skipf("this kernel's fence is not whole: %s", s)
	}
	dir := t.TempDir()
	program := fencetest.Program(t, dir, "ffprobe")
	t.Setenv("PATH", dir+string(filepath.ListSeparator)+os.Getenv("PATH"))
	ch, task := childSetup(t, "taken")
	ch.Env = append(ch.Env, fencetest.Handed()...)
	clip, target := fencetest.Clip(t, program, fencetest.Target{Parent: os.Getpid(), Outlive: true, Bomb: fence.Probe().Account})
	task.Clip = clip
	if err := ch.Analyse(t.Context(), task, func(worker.Step) {}); err != nil {
		t.Fatal(err)
	}
	did, err := os.ReadFile(filepath.Join(task.Out, "did.txt"))
	if err != nil {
		t.Fatal(err)
	}
	var tried, left int
	_, said, _ := strings.Cut(string(did), "rogue tried ")
	if _, err := fmt.Sscanf(said, "%d, could [], left %d", &tried, &left); err != nil || tried < 100 {
		t.Fatalf("%v: %q", err, did)
	}
	if err := syscall.Kill(left, 0); left == 0 || !errors.Is(err, syscall.ESRCH) {
		t.Errorf("the process %d that it left behind: %v", left, err)
	}
	fencetest.Untouched(t, clip, target)
}

// So it is where the kernel knows no more of Landlock than Debian 12's own.
func TestTakenOverDecoderOnLinux61(t *testing.T) {
	t.Parallel()
	cmd := exec.CommandContext(t.Context(), os.Args[0], "-test.run", "^TestTakenOverDecoder$", "-test.v")
	cmd.Env = append(os.Environ(), fencetest.Capped(2))
	if said, err := cmd.CombinedOutput(); err != nil || !strings.Contains(string(said), "--- PASS: TestTakenOverDecoder") {
		t.Errorf("%v:\n%s", err, said)
	}
}

func TestChildLimits(t *testing.T) {
	t.Parallel()
	for mode, c := range map[string]struct {
		set  func(*worker.Child)
		text string
	}{
		"eats":    {func(c *worker.Child) { c.Memory = 200 << 20 }, "job: bad input: the clip takes too much memory to measure"},
		"forever": {func(c *worker.Child) { c.Limit = time.Second }, "job: bad input: the clip takes too long to measure"},
	} {
		t.Run(mode, func(t *testing.T) {
			t.Parallel()
			ch, task := childSetup(t, mode)
			c.set(ch)
			err := ch.Analyse(t.Context(), task, func(worker.Step) {})
			if !errors.Is(err, job.ErrBadInput) || err.Error() != c.text {
				t.Errorf("got %v, want %q", err, c.text)
			}
		})
	}
}

func TestResidentCountsDescendants(t *testing.T) {
	t.Parallel()
	own := worker.Resident(os.Getpid())
	if own < 1<<20 || own > 4<<30 {
		t.Errorf("got %d bytes for this process", own)
	}
	if got := worker.Resident(1 << 30); got != 0 { // no such process
		t.Errorf("got %d bytes for nobody", got)
	}
}
