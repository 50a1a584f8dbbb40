package worker_test

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
	"unsafe"

	"ashline/pipeline/fence"
	"ashline/pipeline/fence/fencetest"
	"ashline/worker"
	"ashline/worker/event"
	"ashline/worker/fake"
	"ashline/worker/job"

	"go.uber.org/goleak"
	"golang.org/x/sys/unix"
)

func TestMain(m *testing.M) {
	if err := fencetest.Cap(); err != nil {
		panic(err)
	}
	if mode := os.Getenv("ASHLINE_TEST_CHILD"); mode != "" {
		if err := fence.Seal(); err != nil {
			panic(err)
		}
		os.Exit(child(mode, os.Args[1:]))
	}
	goleak.VerifyTestMain(m)
}

func signalSelf(s syscall.Signal) {
	_ = unix.Tgkill(os.Getpid(), unix.Gettid(), s)
	select {}
}

func unmarshal(e event.Event, v any) error { return json.Unmarshal(e.Data, v) }

// child is what this test program does when it stands in for the analysis.
func child(mode string, args []string) int {
	steps := os.NewFile(3, "steps")
	out := ""
	for i, a := range args {
		if a == "--out" {
			out = args[i+1]
		}
	}
	fmt.Fprintln(steps, `{"stage":"track","done":1,"total":3}`)
	switch mode {
	case "ok":
		fmt.Fprintln(steps, `not JSON`)
		fmt.Fprintln(steps, `{"stage":"draw","done":3,"total":3}`)
		if err := fake.WriteResult(out); err != nil {
			return 1
		}
		env := strings.Join(os.Environ(), "\n")
		wd, _ := os.Getwd()
		_ = os.WriteFile(filepath.Join(out, "seen.txt"), []byte(strings.Join(args, " ")+"\n"+wd+"\n"+env), 0o600)
	case "bad":
		fmt.Fprintln(os.Stderr, "job: transient failure: no space left on device")
		worker.Verdict{Class: job.BadInput, Reason: "clip.mp4: no video stream"}.Tell(4)
		return 4
	case "fails":
		fmt.Fprintln(os.Stderr, "out of range: no space left on device")
		return 1
	case "full":
		worker.Verdict{Class: job.Transient, Reason: "writing results: no space left on device"}.Tell(4)
		return 1
	case "interrupted":
		worker.Verdict{Class: job.Interrupted, Reason: "interrupted"}.Tell(4)
		return 130
	case "liar": // a verdict counts for nothing beside a success, and an unknown class is none
		worker.Verdict{Class: job.BadInput}.Tell(4)
		return 0
	case "babbler":
		fmt.Fprint(os.NewFile(4, "verdict"), `{"class":"splendid","reason":"`+strings.Repeat("x", 1<<20))
		return 4
	case "crash":
		signalSelf(syscall.SIGSEGV)
	case "stopped":
		signalSelf(syscall.SIGTERM)
	case "native":
		// As native code dies: past Go's handler, by the kernel's default.
		var byDefault [4]uintptr // struct sigaction
		_, _, _ = unix.RawSyscall6(unix.SYS_RT_SIGACTION, uintptr(unix.SIGSEGV), uintptr(unsafe.Pointer(&byDefault)), 0, 8, 0, 0)
		signalSelf(syscall.SIGSEGV)
	case "killed":
		signalSelf(syscall.SIGKILL)
	case "hang":
		c := exec.Command(os.Args[0])
		c.Env = []string{"ASHLINE_TEST_CHILD=sleep"}
		c.Stdout, c.Stderr = os.Stdout, os.Stderr
		if err := c.Start(); err != nil {
			return 1
		}
		_ = os.WriteFile(filepath.Join(out, "pids"), fmt.Appendf(nil, "%d %d", os.Getpid(), c.Process.Pid), 0o600)
		fmt.Fprintln(steps, `{"stage":"hang","done":0,"total":0}`)
		select {}
	case "sleep":
		<-time.After(10 * time.Minute)
	case "busy":
		for i := range 12 {
			fmt.Fprintf(steps, `{"stage":"track","done":%d,"total":12}`+"\n", i)
			<-time.After(500 * time.Millisecond)
		}
		_ = fake.WriteResult(out)
	case "longline":
		fmt.Fprintln(steps, strings.Repeat("x", 1<<20))
		_ = fake.WriteResult(out)
	default:
		return rogue(mode, out, steps)
	}
	return 0
}
