package bounds

import (
	"fmt"
	"runtime"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

// Limit is what one call may take.
type Limit struct {
	Bytes uint64        // allocated over all, whether or not let go again
	CPU   time.Duration // of the thread that makes the call
}

const (
	// lookEvery is how often a call that has not ended is looked at.
	lookEvery = 100 * time.Millisecond
	// perThread and inAll make a thread's number the number of the clock of the
	// processor time that it used, as clock_getcpuclockid(3) does for a process.
	perThread = 4
	inAll     = 2
)

// Call makes a call and fails the test when it takes more. Nothing else may allocate
// meanwhile. A call that works on and on is ended by a panic, which a fuzzer counts as
// a crash and keeps the input of.
func (l Limit) Call(t testing.TB, f func()) {
	t.Helper()
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	clock := int32(^unix.Gettid()<<3 | perThread | inAll)
	begun := used(clock)
	quit, gone := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(gone)
		tick := time.NewTicker(lookEvery)
		defer tick.Stop()
		for {
			select {
			case <-quit:
				return
			case <-tick.C:
				if d := used(clock) - begun; d > l.CPU {
					panic(fmt.Sprintf("a call has worked for %s and goes on, want at most %s", d, l.CPU))
				}
			}
		}
	}()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	f()
	runtime.ReadMemStats(&after)
	took := used(clock) - begun
	close(quit)
	<-gone
	if got := after.TotalAlloc - before.TotalAlloc; got > l.Bytes {
		t.Errorf("allocated %d bytes, want at most %d", got, l.Bytes)
	}
	if took > l.CPU {
		t.Errorf("worked for %s, want at most %s", took, l.CPU)
	}
}

// used is what a clock shows.
func used(clock int32) time.Duration {
	var at unix.Timespec
	if err := unix.ClockGettime(clock, &at); err != nil {
		panic(fmt.Sprintf("processor time of a thread: %v", err))
	}
	return time.Duration(at.Nano())
}
