package worker

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"strconv"
	"time"

	"golang.org/x/sys/unix"
)

const (
	defaultMemory = 2 << 30
	// weighEvery is short against the time in which a process fills the room
	// that a limit leaves; a look costs some ten microseconds.
	weighEvery = 100 * time.Millisecond
	maxFamily  = 256 // processes; a child starts two or three
)

// weigh watches the resident memory of a process and all its descendants until
// ctx ends. A limit of address space does not suit a Go program, which reserves
// far more than it uses.
func weigh(ctx context.Context, pid int, limit int64, tooMuch func()) {
	tick := time.NewTicker(weighEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			if Resident(pid) > limit {
				tooMuch()
				return
			}
		}
	}
}

// Resident is the memory that a process and all its descendants keep, in bytes.
// Pages that several of them share count once for each.
func Resident(pid int) int64 {
	var sum int64
	for _, p := range Family(pid) {
		raw, err := os.ReadFile(fmt.Sprintf("/proc/%d/statm", p))
		fields := bytes.Fields(raw)
		if err != nil || len(fields) < 2 {
			continue // it has ended
		}
		pages, err := strconv.ParseInt(string(fields[1]), 10, 64)
		if err == nil {
			sum += pages * int64(os.Getpagesize())
		}
	}
	return sum
}

// Family lists a process and its descendants.
func Family(pid int) []int {
	out := []int{pid}
	for i := 0; i < len(out) && len(out) < maxFamily; i++ {
		threads, err := os.ReadDir(fmt.Sprintf("/proc/%d/task", out[i]))
		if err != nil {
			continue
		}
		for _, t := range threads {
			raw, _ := os.ReadFile(fmt.Sprintf("/proc/%d/task/%s/children", out[i], t.Name()))
			for _, f := range bytes.Fields(raw) {
				if child, err := strconv.Atoi(string(f)); err == nil {
					out = append(out, child)
				}
			}
		}
	}
	return out
}

// noCore keeps a child that crashes from writing its memory, and with it the
// pictures of a person, into a file.
func noCore(pid int) error {
	err := unix.Prlimit(pid, unix.RLIMIT_CORE, &unix.Rlimit{}, nil)
	if errors.Is(err, unix.ESRCH) { // gone already
		return nil
	}
	return err
}
