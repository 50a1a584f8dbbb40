package worker

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"strconv"
	"time"

	"ashline/pipeline/fence"
)

const (
	defaultMemory = 2 << 30
	// weighEvery is short against the time in which a process fills the room
	// that a limit leaves; a look costs some ten microseconds.
	weighEvery = 100 * time.Millisecond
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
	for _, p := range fence.Family(pid) {
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
