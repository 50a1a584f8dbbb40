package worker

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"syscall"

	"ashline/worker/job"
)

// Verdict is the one line of JSON that a child ends with, on a stream of its own.
type Verdict struct {
	Class  job.Class `json:"class"`
	Reason string    `json:"reason,omitempty"` // one line for a person
}

// verdictBytes is more than a verdict takes.
const verdictBytes = 8 << 10

// readVerdict reads a child's verdict; without one it is empty.
func readVerdict(r io.Reader) (v Verdict) {
	_ = json.NewDecoder(io.LimitReader(r, verdictBytes)).Decode(&v)
	_, _ = io.Copy(io.Discard, r) // a child must not block on a line too long for us
	return v
}

// Tell ends a child with its verdict, on the descriptor that its parent named.
func (v Verdict) Tell(descriptor int) {
	f := os.NewFile(uintptr(descriptor), "verdict")
	if f == nil {
		return
	}
	// A parent that is gone learns nothing.
	_ = json.NewEncoder(f).Encode(v)
	_ = f.Close()
}

// outcome is how a child ended, as an error of package job: by its verdict, and where
// it gave none by what the kernel says of its end. last is what it said to people, and
// decides nothing.
func outcome(err error, v Verdict, last string) error {
	if err == nil {
		return nil
	}
	var exit *exec.ExitError
	if !errors.As(err, &exit) {
		return err
	}
	switch ws, _ := exit.Sys().(syscall.WaitStatus); {
	case ws.Signaled() && ws.Signal() == syscall.SIGKILL:
		return fmt.Errorf("%w: the analysis was killed, perhaps for want of memory", job.ErrTransient)
	case ws.Signaled() && (ws.Signal() == syscall.SIGTERM || ws.Signal() == syscall.SIGINT):
		return fmt.Errorf("%w: the analysis was told to stop", job.ErrTransient)
	case ws.Signaled():
		return fmt.Errorf("worker: the analysis died of %s", ws.Signal())
	}
	why := v.Reason
	if why == "" {
		why = last
	}
	if why == "" {
		why = "no reason given"
	}
	switch v.Class {
	case job.BadInput:
		return fmt.Errorf("%w: %s", job.ErrBadInput, why)
	case job.Transient, job.Interrupted, job.Unreachable:
		return fmt.Errorf("%w: %s", job.ErrTransient, why)
	}
	return fmt.Errorf("worker: the analysis failed with code %d: %s", exit.ExitCode(), why)
}
